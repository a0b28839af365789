//! Rule sets: one jurisdiction's rules as a data file.

use crate::answer::Notice;
use crate::fault::{Fault, FaultKind, Faults};
use reader::Reader;
use serde::{Deserialize, Deserializer, Serialize, de::Error as _};
use std::borrow::Cow;
use std::sync::{LazyLock, OnceLock};

mod compile;
mod reader;
mod rule;
mod rules;
mod seen;

pub use rule::{Comparison, ListEntry, Rule, RuleQuantity, RuleUnit};
pub use rules::{
    Authority, CategoryRule, ClockRule, ClockStart, Corrosivity, DilutionBranch, DischargeLimit,
    DutyRule, HazardCutOff, HazardRule, Ignitability, InspectionRule, ListChoiceRule, ListRule,
    MaterialKind, MaterialRule, PaperRule, Reactivity, RecoveryHereRule, RuleSentence,
    SpeculativeAccumulation, SpentSolvent, TotalsScreen, ToxicityLimit, TreatmentRule,
    UnusedProduct, When,
};

/// One jurisdiction's rules, read from a data file. What a file leaves out is not assumed: it is
/// asked.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct RuleSet {
    /// The name a request uses.
    pub id: String,
    /// What it covers, in words.
    pub title: String,
    /// The edition of the texts it was made from.
    pub edition: String,
    /// What comes before this program's answer.
    pub notice: String,
    /// What to confirm, and with whom.
    pub confirm: Vec<String>,
    /// What must be asked before anything can be said.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ask: Vec<String>,
    /// The rule set it extends.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub extends: Option<String>,
    /// Every rule, with what it rests on.
    pub rules: Vec<Rule>,
    /// Limits on elements in the extract.
    #[serde(skip)]
    pub toxicity: Vec<ToxicityLimit>,
    /// How a total in a solid bounds its extract.
    #[serde(skip)]
    pub totals_screen: Option<TotalsScreen>,
    /// When a liquid is ignitable.
    #[serde(skip)]
    pub ignitability: Option<Ignitability>,
    /// When an aqueous liquid is corrosive.
    #[serde(skip)]
    pub corrosivity: Option<Corrosivity>,
    /// When a waste is reactive.
    #[serde(skip)]
    pub reactivity: Option<Reactivity>,
    /// Products listed when thrown away unused.
    #[serde(skip)]
    pub unused_product: Vec<UnusedProduct>,
    /// A listed spent solvent.
    #[serde(skip)]
    pub spent_solvent: Option<SpentSolvent>,
    /// Hazard properties that follow from the shares of substances.
    #[serde(skip)]
    pub hazard: Vec<HazardRule>,
    /// Shares below which a substance is left out.
    #[serde(skip)]
    pub hazard_cut_off: Vec<HazardCutOff>,
    /// Entries of the list of wastes.
    #[serde(skip)]
    pub list: Vec<ListRule>,
    /// Which entry to choose.
    #[serde(skip)]
    pub list_choice: Vec<ListChoiceRule>,
    /// Generator categories, most demanding first.
    #[serde(skip)]
    pub category: Vec<CategoryRule>,
    /// How long waste may be kept.
    #[serde(skip)]
    pub clock: Vec<ClockRule>,
    /// How often stored waste is inspected.
    #[serde(skip)]
    pub inspection: Vec<InspectionRule>,
    /// What must be done.
    #[serde(skip)]
    pub duty: Vec<DutyRule>,
    /// What is kept, and how long.
    #[serde(skip)]
    pub paper: Vec<PaperRule>,
    /// Marks on the container.
    #[serde(skip)]
    pub mark: Vec<DutyRule>,
    /// What never changes an answer.
    #[serde(skip)]
    pub never: Vec<RuleSentence>,
    /// When dilution does not count against a waste.
    #[serde(skip)]
    pub dilution: Option<DilutionBranch>,
    /// What a mixture counts as.
    #[serde(skip)]
    pub mixing: Option<RuleSentence>,
    /// Whether household waste is excluded.
    #[serde(skip)]
    pub household: Option<RuleSentence>,
    /// Whether a school or college has rules of its own.
    #[serde(skip)]
    pub school: Option<RuleSentence>,
    /// Whether silver may be recovered on the premises.
    #[serde(skip)]
    pub recovery_here: Option<RecoveryHereRule>,
    /// How much of a stock must move within the year.
    #[serde(skip)]
    pub speculative: Option<SpeculativeAccumulation>,
    /// Treatments on the premises.
    #[serde(skip)]
    pub treatment: Vec<TreatmentRule>,
    /// What kinds of material count as.
    #[serde(skip)]
    pub material: Vec<MaterialRule>,
    /// Elements in what goes to a sewer or a water.
    #[serde(skip)]
    pub discharge_limit: Vec<DischargeLimit>,
}

static RULE_SETS: LazyLock<Vec<RuleSet>> = LazyLock::new(|| {
    let mut sets = Vec::new();
    for text in [
        include_str!("../../../data/rule_sets/unspecified.toml"),
        include_str!("../../../data/rule_sets/us-federal.toml"),
        include_str!("../../../data/rule_sets/eu.toml"),
        include_str!("../../../data/rule_sets/de.toml"),
        include_str!("../../../data/rule_sets/gb-england.toml"),
    ] {
        let set = crate::data::built_in(RuleSet::read(text, &sets));
        sets.push(set);
    }
    sets
});

/// Rule sets of the operator's own, added once when the program starts.
static ADDED: OnceLock<Vec<RuleSet>> = OnceLock::new();

impl RuleSet {
    /// Every rule set there is: those we ship, of which the first is `unspecified`, and those added.
    pub fn all() -> impl Iterator<Item = &'static Self> + Clone {
        RULE_SETS.iter().chain(ADDED.get().into_iter().flatten())
    }

    /// Adds rule sets of the operator's own, so that requests can name them. It is done once, when
    /// the program starts; a second call changes nothing and says `false`.
    pub fn add(sets: Vec<Self>) -> bool {
        ADDED.set(sets).is_ok()
    }

    /// Reads a rule-set file. With `extends = "us-federal"` it starts from a rule set we ship, or
    /// from one of `others`; a rule with the id of one of its base replaces that rule.
    ///
    /// # Errors
    /// Every fault found, each with a pointer into the file: a missing clause, two rules with one
    /// id, an unknown unit, an unknown base.
    ///
    /// ```
    /// use spent_silver_domain::waste::rule_set::RuleSet;
    /// let text = r#"
    /// id = "our-town"
    /// title = "Federal rules and the town's sewer permit"
    /// edition = "permit of 3 March 2026"
    /// extends = "us-federal"
    /// [[rule]]
    /// id = "our-town-silver"
    /// quantity = "discharge_limit"
    /// applies_to = "what a photographic business lets into the sewer"
    /// element = "silver"
    /// comparison = "at_or_below"
    /// value = "1.2"
    /// unit = "mg/L"
    /// sampling_point = "manhole at the kerb"
    /// averaging = "daily maximum"
    /// dilution_allowed = false
    /// clause = "section 4"
    /// source = "sewer permit, in the binder"
    /// edition = "3 March 2026"
    /// status = "read_primary"
    /// "#;
    /// let shipped: Vec<_> = RuleSet::all().cloned().collect();
    /// let rules = RuleSet::read(text, &shipped).unwrap();
    /// assert_eq!(rules.discharge_limit.len(), 1);
    /// let faults = RuleSet::read(&text.replace("mg/L", "ppb"), &shipped).unwrap_err();
    /// assert_eq!(faults.list()[0].pointer, "/rule/0/unit");
    /// ```
    pub fn read(text: &str, others: &[Self]) -> Result<Self, Faults> {
        let table: toml::Table = toml::from_str(text).map_err(|error: toml::de::Error| {
            let line = error.span().map_or(0, |s| {
                text.get(..s.start)
                    .map_or(0, |before| before.matches('\n').count())
            });
            Fault::new(
                FaultKind::OutOfRange,
                "",
                format!(
                    "not TOML at line {}: {}",
                    line.saturating_add(1),
                    error.message()
                ),
            )
        })?;
        let mut faults = Vec::new();
        let mut r = Reader::new(&table, "");
        let id = r.needed("id", "the name requests will use", &mut faults);
        let title = r.needed("title", "what it covers, in words", &mut faults);
        let edition = r.needed(
            "edition",
            "the edition of the texts it was made from",
            &mut faults,
        );
        let extends = r.text("extends", &mut faults);
        let base = extends.as_ref().and_then(|name| {
            let found = others.iter().find(|o| o.id == *name);
            if found.is_none() {
                faults.push(unknown_set("/extends", name, others.iter()));
            }
            found
        });
        if let Some(id) = id.as_ref().filter(|id| others.iter().any(|o| o.id == **id)) {
            faults.push(Fault::new(
                FaultKind::Conflict,
                "/id",
                format!("there is a rule set `{id}` already: expected a name of your own; extends takes its rules over"),
            ));
        }
        let notice = r
            .text("notice", &mut faults)
            .or_else(|| base.map(|b| b.notice.clone()));
        if notice.is_none() && extends.is_none() {
            faults.push(Fault::missing(
                "/notice",
                "what comes before this program's answer",
            ));
        }
        let own_or = |own: Vec<String>, base: Option<&Vec<String>>| match base {
            Some(base) if own.is_empty() => base.clone(),
            _ => own,
        };
        let mut set = Self {
            id: id.unwrap_or_default(),
            title: title.unwrap_or_default(),
            edition: edition.unwrap_or_default(),
            notice: notice.unwrap_or_default(),
            confirm: own_or(r.texts("confirm", &mut faults), base.map(|b| &b.confirm)),
            ask: own_or(r.texts("ask", &mut faults), base.map(|b| &b.ask)),
            extends,
            rules: base.map(|b| b.rules.clone()).unwrap_or_default(),
            ..Self::default()
        };
        let own = reader::rules_of(&mut r, &mut faults);
        r.end(&mut faults);
        let mut places = vec![String::new(); set.rules.len()];
        for (i, (rule, at)) in own.iter().enumerate() {
            if let Some((_, first)) = own.iter().take(i).find(|(o, _)| o.id == rule.id)
                && !rule.id.is_empty()
            {
                faults.push(Fault::new(
                    FaultKind::Conflict,
                    format!("{at}/id"),
                    format!(
                        "`{}` is the id of {first} too: expected one id for each rule",
                        rule.id
                    ),
                ));
                continue;
            }
            match set.rules.iter().position(|r| r.id == rule.id) {
                Some(k) => {
                    if let (Some(slot), Some(place)) = (set.rules.get_mut(k), places.get_mut(k)) {
                        slot.clone_from(rule);
                        place.clone_from(at);
                    }
                }
                None => {
                    set.rules.push(rule.clone());
                    places.push(at.clone());
                }
            }
        }
        faults.append(&mut compile::compile(&mut set, &places));
        Faults::none_of(faults)?;
        Ok(set)
    }

    /// Whether nothing can be said under it, because it sets no limit and knows no list.
    #[must_use]
    pub fn is_silent(&self) -> bool {
        self.toxicity.is_empty() && self.hazard.is_empty() && self.list.is_empty()
    }

    /// The rule set that assumes nothing and asks for everything.
    #[must_use]
    #[expect(
        clippy::indexing_slicing,
        reason = "the list is a constant of this file and never empty"
    )]
    pub fn unspecified() -> &'static Self {
        &RULE_SETS[0]
    }

    /// The rule set of that name.
    #[must_use]
    pub fn named(id: &str) -> Option<&'static Self> {
        Self::all().find(|r| r.id == id)
    }

    /// The categories a duty is for, by their titles; none where it is for every one.
    #[must_use]
    pub fn asked_of(&self, categories: &[String]) -> Option<String> {
        let titles: Vec<&str> = self
            .category
            .iter()
            .filter(|c| categories.contains(&c.id))
            .map(|c| c.title.as_str())
            .collect();
        (!titles.is_empty()).then(|| titles.join(" or "))
    }

    /// The words that go on every output made under these rules.
    #[must_use]
    pub fn notice(&'static self) -> Notice {
        Notice {
            rule_set: Cow::Borrowed(&self.id),
            edition: Cow::Borrowed(&self.edition),
            text: Cow::Borrowed(&self.notice),
            confirm: Cow::Borrowed(&self.confirm),
        }
    }
}

/// The rule set a request asks for. Reading it finds the rules, so that a name we do not have is
/// a problem with the list of those we do.
#[derive(Debug, Clone, Copy)]
pub struct RuleSetName(&'static RuleSet);

impl RuleSetName {
    /// The rules.
    #[must_use]
    pub const fn rules(self) -> &'static RuleSet {
        self.0
    }

    /// Finds a rule set by name.
    ///
    /// # Errors
    /// Lists the names there are.
    pub fn parse(id: &str) -> Result<Self, Fault> {
        RuleSet::named(id)
            .map(Self)
            .ok_or_else(|| unknown_set("/rule_set", id, RuleSet::all()))
    }
}

fn unknown_set<'a>(pointer: &str, id: &str, known: impl Iterator<Item = &'a RuleSet>) -> Fault {
    let known: Vec<&str> = known.map(|r| r.id.as_str()).collect();
    Fault::new(
        FaultKind::Unknown,
        pointer,
        format!(
            "`{id}` is not a rule set we have: expected one of {}",
            known.join(", ")
        ),
    )
}

impl PartialEq for RuleSetName {
    fn eq(&self, other: &Self) -> bool {
        self.0.id == other.0.id
    }
}

impl<'de> Deserialize<'de> for RuleSetName {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let id = String::deserialize(deserializer)?;
        Self::parse(&id).map_err(|f| D::Error::custom(f.detail))
    }
}

impl Serialize for RuleSetName {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0.id)
    }
}

#[cfg(feature = "openapi")]
mod schema {
    use super::{RuleSet, RuleSetName};
    use utoipa::openapi::schema::{ObjectBuilder, SchemaType, Type};
    use utoipa::openapi::{RefOr, Schema};
    use utoipa::{PartialSchema, ToSchema};

    impl PartialSchema for RuleSetName {
        fn schema() -> RefOr<Schema> {
            let names: Vec<String> = RuleSet::all().map(|r| r.id.clone()).collect();
            RefOr::T(Schema::Object(
                ObjectBuilder::new()
                    .schema_type(SchemaType::Type(Type::String))
                    .enum_values(Some(names))
                    .description(Some(
                        "The jurisdiction whose rules apply. Default `unspecified`.",
                    ))
                    .build(),
            ))
        }
    }
    impl ToSchema for RuleSetName {}
}
