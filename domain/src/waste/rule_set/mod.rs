//! Rule sets: one jurisdiction's rules as a data file.

use crate::answer::Notice;
use crate::fault::{Fault, FaultKind};
use serde::{Deserialize, Deserializer, Serialize, de::Error as _};
use std::sync::LazyLock;

mod rules;

pub use rules::{
    Authority, CategoryRule, ClockRule, ClockStart, Corrosivity, DilutionBranch, DutyRule,
    Ignitability, PaperRule, Reactivity, RuleSentence, SpeculativeAccumulation, SpentSolvent,
    TotalsScreen, ToxicityLimit, UnusedProduct, When,
};

/// One jurisdiction's rules, read from a data file. What a file leaves out is not assumed: it is
/// asked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
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
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ask: Vec<String>,
    /// Limits on elements in the extract.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub toxicity: Vec<ToxicityLimit>,
    /// How a total in a solid bounds its extract.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub totals_screen: Option<TotalsScreen>,
    /// When a liquid is ignitable.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignitability: Option<Ignitability>,
    /// When an aqueous liquid is corrosive.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrosivity: Option<Corrosivity>,
    /// When a waste is reactive.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reactivity: Option<Reactivity>,
    /// Products listed when thrown away unused.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unused_product: Vec<UnusedProduct>,
    /// A listed spent solvent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spent_solvent: Option<SpentSolvent>,
    /// Generator categories, most demanding first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub category: Vec<CategoryRule>,
    /// How long waste may be kept.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub clock: Vec<ClockRule>,
    /// What must be done.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub duty: Vec<DutyRule>,
    /// What is kept, and how long.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub paper: Vec<PaperRule>,
    /// Marks on the container.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub mark: Vec<DutyRule>,
    /// What never changes an answer.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub never: Vec<RuleSentence>,
    /// When dilution does not count against a waste.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dilution: Option<DilutionBranch>,
    /// What a mixture counts as.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mixing: Option<RuleSentence>,
    /// Whether household waste is excluded.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub household: Option<RuleSentence>,
    /// How much of a stock must move within the year.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub speculative: Option<SpeculativeAccumulation>,
}

static RULE_SETS: LazyLock<Vec<RuleSet>> = LazyLock::new(|| {
    [
        include_str!("../../../data/rule_sets/unspecified.toml"),
        include_str!("../../../data/rule_sets/us-federal.toml"),
    ]
    .iter()
    .map(|text| crate::data::parse(text))
    .collect()
});

impl RuleSet {
    /// Every rule set we ship; the first is `unspecified`.
    #[must_use]
    pub fn all() -> &'static [Self] {
        &RULE_SETS
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
        RULE_SETS.iter().find(|r| r.id == id)
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
            rule_set: &self.id,
            edition: &self.edition,
            text: &self.notice,
            confirm: &self.confirm,
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
        RuleSet::named(id).map(Self).ok_or_else(|| {
            let known: Vec<&str> = RuleSet::all().iter().map(|r| r.id.as_str()).collect();
            Fault::new(
                FaultKind::Unknown,
                "/rule_set",
                format!(
                    "`{id}` is not a rule set we have: expected one of {}",
                    known.join(", ")
                ),
            )
        })
    }
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
            let names: Vec<String> = RuleSet::all().iter().map(|r| r.id.clone()).collect();
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
