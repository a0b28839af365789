//! The codes of a batch, property by property.

use super::hazard;
use super::hazard_class::{Classified, hazard_classes, hazard_statements};
use super::ignitable::{self, is_neat};
use super::list;
use super::mixture;
use super::result::{
    CleanFinding, Figure, HazardCode, Hazardous, Property, ToTest, WasteListFinding,
};
use super::silver::{self, Against};
use crate::answer::Notes;
use crate::batch::{Batch, BatchKind, BatchStatus, Craft};
use crate::estimate::Estimate;
use crate::quantity::ComputedPh;
use crate::substance::{Group, substance};
use crate::waste::contents::{Certainty, Contents, implied_groups, ph_interval};
use crate::waste::rule_set::{Authority, Corrosivity, Reactivity, RuleSet, ToxicityLimit};

/// Everything found about one batch.
#[derive(Debug, Clone, Default)]
pub(crate) struct Findings {
    pub codes: Vec<HazardCode>,
    pub clean: Vec<CleanFinding>,
    /// What decides a code: while one is open, the batch is not shown to be without hazard.
    pub to_test: Vec<ToTest>,
    /// What is open and decides no code.
    pub to_ask: Vec<ToTest>,
    /// Whether it may be a product that is listed as acute, because nobody knows what it is.
    pub may_be_acute: bool,
    pub list: Option<WasteListFinding>,
}

impl Findings {
    /// Whether the batch is hazardous waste: by its surest code, else by what is still to be tested.
    pub fn hazardous(&self) -> Hazardous {
        self.codes
            .iter()
            .map(|c| match c.certainty {
                Certainty::Known => Hazardous::Known,
                Certainty::Presumed => Hazardous::Presumed,
                Certainty::ToBeTested => Hazardous::ToBeTested,
            })
            .max()
            .unwrap_or(if self.to_test.is_empty() {
                Hazardous::NotIndicated
            } else {
                Hazardous::ToBeTested
            })
    }

    pub(super) fn code(
        &mut self,
        code: &str,
        property: Property,
        certainty: Certainty,
        reason: impl Into<String>,
        figure: Option<Figure>,
        authority: &'static Authority,
    ) {
        self.codes.push(HazardCode {
            code: code.to_owned(),
            property,
            certainty,
            reason: reason.into(),
            figure,
            acute: false,
            authority,
        });
    }

    pub(super) fn clean(
        &mut self,
        code: &str,
        reason: impl Into<String>,
        figure: Option<Figure>,
        authority: &'static Authority,
    ) {
        self.clean.push(CleanFinding {
            code: code.to_owned(),
            reason: reason.into(),
            figure,
            authority,
        });
    }

    pub(super) fn test(
        &mut self,
        what: impl Into<String>,
        how: impl Into<String>,
        why: impl Into<String>,
    ) {
        self.to_test.push(ToTest {
            what: what.into(),
            how: how.into(),
            why: why.into(),
        });
    }
}

/// The codes of a batch, or `None` under a rule set that sets no limit at all.
pub(crate) fn find_codes(
    batch: &Batch,
    estimate: Option<&Estimate>,
    rules: &RuleSet,
    at: &str,
    notes: &mut Notes,
) -> Option<Findings> {
    codes_of(batch, &implied_groups(batch), estimate, rules, at, notes)
}

/// The same of a batch whose contents are known already.
pub(super) fn codes_of(
    batch: &Batch,
    contents: &Contents,
    estimate: Option<&Estimate>,
    rules: &RuleSet,
    at: &str,
    notes: &mut Notes,
) -> Option<Findings> {
    if rules.is_silent() {
        return None;
    }
    let mut found = Findings::default();
    for name in contents.unknown() {
        found.test(
            format!("What `{name}` is"),
            "Read the bottle or its safety data sheet, or have the container analysed.",
            "It is not a substance we know, so nothing can be ruled out.",
        );
    }
    for limit in &rules.toxicity {
        if limit.element == "silver" {
            silver_code(batch, estimate, contents, limit, rules, notes, &mut found);
        } else {
            element_code(batch, contents, limit, &mut found);
        }
    }
    if let Some(rule) = &rules.ignitability {
        ignitable::find(batch, contents, rule, &mut found);
    }
    if let Some(rule) = &rules.corrosivity {
        corrosive(batch, contents, rule, &mut found);
    }
    reactive(batch, contents, rules, &mut found);
    hazard::find((batch, at), estimate, contents, rules, notes, &mut found);
    listed(batch, contents, rules, &mut found);
    mixture::find(batch, rules, &mut found);
    found.list = list::find(batch, rules, &mut found);
    Some(found)
}

fn silver_code(
    batch: &Batch,
    estimate: Option<&Estimate>,
    contents: &Contents,
    limit: &ToxicityLimit,
    rules: &RuleSet,
    notes: &mut Notes,
    found: &mut Findings,
) {
    let Some(silver) = silver::find_silver(
        batch,
        estimate,
        contents,
        limit.limit_mg_per_l,
        rules.totals_screen.as_ref(),
        notes,
    ) else {
        return;
    };
    match silver.against {
        Against::Below => found.clean(&limit.code, silver.reason, silver.figure, limit.rule),
        Against::Over(certainty) => found.code(
            &limit.code,
            Property::Toxic,
            certainty,
            silver.reason,
            silver.figure,
            limit.rule,
        ),
    }
    if let Some(how) = silver.test {
        found.test(
            format!("Silver against {} mg/L", limit.limit_mg_per_l.decimal()),
            how,
            format!("It decides {}.", limit.code),
        );
    }
}

/// The groups that bring an element.
const fn groups_of(element: &str) -> &'static [Group] {
    match element.as_bytes() {
        b"cadmium" => &[Group::Cadmium],
        b"chromium" => &[Group::Chromate, Group::Chromium],
        b"lead" => &[Group::Lead],
        b"mercury" => &[Group::Mercury],
        b"selenium" => &[Group::Selenium],
        _ => &[],
    }
}

/// Cadmium from iodizers can be in every liquid and residue of a collodion studio.
pub(super) fn may_hold_cadmium(batch: &Batch) -> bool {
    matches!(batch.craft, None | Some(Craft::Collodion))
        && batch.status != Some(BatchStatus::Unused)
        && matches!(
            batch.kind,
            BatchKind::SensitizingBath
                | BatchKind::Drip
                | BatchKind::RinseWater
                | BatchKind::CollodionOrSolvent
                | BatchKind::Sludge
                | BatchKind::WipesAndFilters
                | BatchKind::CyanideFixer
        )
}

fn element_code(batch: &Batch, contents: &Contents, limit: &ToxicityLimit, found: &mut Findings) {
    let element = limit.element.as_str();
    let to_test = |found: &mut Findings| {
        found.test(
            format!("{element} content"),
            format!("A laboratory analysis for {element} in mg/L (of a solid: the leaching test)."),
            format!("It decides {}.", limit.code),
        );
    };
    if let Some(level) = silver::element_in_liquid(batch, element) {
        let figure = level
            .filter(|_| batch.is_liquid())
            .map(|l| l.in_liquid(element, limit.limit_mg_per_l));
        let over = batch.is_liquid()
            && level.is_some_and(|l| {
                l.against(limit.limit_mg_per_l.as_f64()) == Against::Over(Certainty::Known)
            });
        let (certainty, reason) = if over {
            (
                Certainty::Known,
                format!("The {element} stated in its composition is at the limit or above it."),
            )
        } else if level.is_none() {
            (
                Certainty::Presumed,
                format!("Its composition names a {element} compound without an amount."),
            )
        } else {
            (
                Certainty::ToBeTested,
                format!("Its composition names {element}; a laboratory decides against the limit."),
            )
        };
        found.code(
            &limit.code,
            Property::Toxic,
            certainty,
            reason,
            figure,
            limit.rule,
        );
        if certainty != Certainty::Known {
            to_test(found);
        }
        return;
    }
    let held = groups_of(element)
        .iter()
        .find_map(|g| contents.source_of(*g));
    if let Some(held) = held {
        let reason = format!("It may hold {element}: {}.", held.from);
        found.code(
            &limit.code,
            Property::Toxic,
            Certainty::ToBeTested,
            reason,
            None,
            limit.rule,
        );
        to_test(found);
    } else if element == "cadmium" && may_hold_cadmium(batch) {
        found.code(
            &limit.code,
            Property::Toxic,
            Certainty::ToBeTested,
            "Iodizers with cadmium carry grams per litre of it, and all of it can go into the bath and what follows.",
            None,
            limit.rule,
        );
        found.test(
            "Cadmium from the iodizer",
            "Read the iodizer's label; if it names cadmium or nothing, a laboratory analysis for cadmium.",
            format!("1 mg/L decides {}, and refiners refuse cadmium.", limit.code),
        );
    }
}

/// Whether it is a liquid mainly of water: no collodion, and no bottle of what burns as it is.
pub(super) fn is_aqueous(batch: &Batch) -> bool {
    let spirit = batch.is_product()
        && batch.composition.iter().any(|part| {
            substance(&part.substance).is_some_and(|s| s.is(Group::Fuel) && is_neat(batch, part))
        });
    batch.is_liquid() && batch.kind != BatchKind::CollodionOrSolvent && !spirit
}

fn corrosive(batch: &Batch, contents: &Contents, rule: &Corrosivity, found: &mut Findings) {
    let strong = [Group::StrongAcid, Group::HydrochloricAcid, Group::Caustic]
        .into_iter()
        .filter_map(|group| contents.source_of(group))
        .find(|held| held.certainty == Certainty::Known);
    let liquid = batch.is_liquid() || batch.volume_l.is_some();
    if let (Some(held), None, true) = (strong, &batch.ph, liquid) {
        found.code(
            &rule.code,
            Property::Corrosive,
            Certainty::Presumed,
            format!("It holds {}, and its pH was not read.", held.from),
            None,
            rule.rule,
        );
        found.test(
            "pH",
            "pH paper, at arm's length and with goggles on; a calibrated meter near the limit.",
            format!("It decides {}.", rule.code),
        );
        return;
    }
    if !is_aqueous(batch) {
        return;
    }
    let Some((lower, upper)) = ph_interval(batch) else {
        found.test(
            "pH",
            format!(
                "pH paper; a calibrated meter near {} or {}.",
                rule.at_or_below_ph.decimal(),
                rule.at_or_above_ph.decimal()
            ),
            format!(
                "At or below {} and at or above {} it bears {}.",
                rule.at_or_below_ph.decimal(),
                rule.at_or_above_ph.decimal(),
                rule.code
            ),
        );
        return;
    };
    let middle = f64::midpoint(lower, upper);
    let (low, high) = (rule.at_or_below_ph.as_f64(), rule.at_or_above_ph.as_f64());
    const HAIR: f64 = 1e-9;
    let acid = lower <= low + HAIR;
    let limit = if acid || middle < f64::midpoint(low, high) {
        rule.at_or_below_ph
    } else {
        rule.at_or_above_ph
    };
    let figure = Figure::Acidity {
        lower_ph: ComputedPh::of(lower),
        upper_ph: ComputedPh::of(upper),
        limit_ph: limit,
    };
    let certainty = if upper <= low + HAIR || lower >= high - HAIR {
        Some(Certainty::Known)
    } else if middle <= low + HAIR || middle >= high - HAIR {
        Some(Certainty::Presumed)
    } else if acid || upper >= high - HAIR {
        Some(Certainty::ToBeTested)
    } else {
        None
    };
    // A pH that only points at the property neither proves it nor rules it out.
    let certainty = match certainty {
        None if rule.indicative => return,
        Some(sure) if rule.indicative => Some(sure.min(Certainty::Presumed)),
        other => other,
    };
    match certainty {
        None => found.clean(
            &rule.code,
            "Its pH, uncertainty included, lies between the limits.",
            Some(figure),
            rule.rule,
        ),
        Some(certainty) => {
            found.code(
                &rule.code,
                Property::Corrosive,
                certainty,
                "Its pH reaches the limit; equal counts as over.",
                Some(figure),
                rule.rule,
            );
            if certainty != Certainty::Known {
                found.test(
                    "pH near the limit",
                    "A calibrated meter.",
                    format!("It decides {}.", rule.code),
                );
            }
        }
    }
}

fn reactive(batch: &Batch, contents: &Contents, rules: &RuleSet, found: &mut Findings) {
    let Some(rule) = &rules.reactivity else {
        return;
    };
    gas_by_statement(batch, rule, hazard_classes, Certainty::Presumed, found);
    for group in [Group::Cyanide, Group::CyanideTraces, Group::Sulfide] {
        let Some(held) = contents.source_of(group) else {
            continue;
        };
        if found.codes.iter().any(|c| c.code == rule.code) && !rule.hazards.is_empty() {
            continue;
        }
        let certainty = match (group, held.certainty) {
            (Group::Cyanide, sure) => sure,
            (Group::Sulfide, Certainty::Known) => Certainty::Presumed,
            _ => Certainty::ToBeTested,
        };
        found.code(
            &rule.code,
            Property::Reactive,
            certainty,
            format!(
                "It holds {} ({}): the rule asks whether it {}.",
                group.words(),
                held.from,
                rule.words
            ),
            None,
            rule.rule,
        );
        if certainty != Certainty::Known {
            found.test(
                format!("Whether it holds {}", group.words()),
                "A laboratory; do not test it with acid yourself.",
                format!("It decides {}.", rule.code),
            );
        }
    }
    // A bare statement that nobody looked up asks, where nothing else answers.
    if found.codes.iter().all(|c| c.code != rule.code) {
        let sure = Certainty::ToBeTested;
        gas_by_statement(batch, rule, hazard_statements, sure, found);
    }
    if let (Some((code, explosive)), Some((certainty, reason))) =
        (&rule.explosive, explodes(batch, contents))
    {
        found.code(code, Property::Reactive, certainty, reason, None, explosive);
    }
}

/// Why a batch can explode, where it can, and how sure that is.
fn explodes(batch: &Batch, contents: &Contents) -> Option<(Certainty, String)> {
    const METALS: [Group; 7] = [
        Group::Silver,
        Group::SilverComplex,
        Group::SilverSolid,
        Group::Lead,
        Group::Copper,
        Group::CopperMetal,
        Group::Mercury,
    ];
    let presumed = |reason: &str| Some((Certainty::Presumed, reason.to_owned()));
    if contents.holds(Group::AcetylideOrAzide)
        || (contents.holds(Group::Silver) && contents.holds(Group::Ammonia))
    {
        return presumed("Silver with ammonia, acetylide or azide can explode.");
    }
    if contents.holds(Group::Azide) {
        if METALS.iter().any(|g| contents.holds(*g)) {
            return presumed("Azide with silver, lead, copper or mercury can explode.");
        }
        let alone = "Azide is no explosive by itself, and makes one with silver, lead or copper that it meets.";
        return Some((Certainty::ToBeTested, alone.to_owned()));
    }
    // H200 to H205: an explosive. Dissolved, as in collodion, it burns and does not explode.
    let (known, statement) = batch
        .known_substances()
        .filter(|_| !batch.is_liquid())
        .find_map(|s| {
            let own = s.hazard_statements.iter().find(|h| h.starts_with("H20"))?;
            Some((s, own))
        })?;
    presumed(&format!(
        "It holds {} ({statement}), which explodes or burns in a flash once it is dry.",
        known.name
    ))
}

/// Substances whose own hazard statement says that they give off the gas.
fn gas_by_statement(
    batch: &Batch,
    rule: &Reactivity,
    hazards: fn(&str) -> Option<&'static Classified>,
    certainty: Certainty,
    found: &mut Findings,
) {
    for part in &batch.composition {
        let statement = hazards(part.substance.as_str())
            .and_then(|c| c.classes.iter().find(|k| rule.hazards.contains(&k.hazard)));
        let Some(statement) = statement else { continue };
        found.code(
            &rule.code,
            Property::Reactive,
            certainty,
            format!(
                "It holds {} ({}): the rule asks whether it {}.",
                part.substance, statement.hazard, rule.words
            ),
            None,
            rule.rule,
        );
        if certainty == Certainty::ToBeTested {
            found.test(
                format!("Whether {} gives off poison gas", part.substance),
                "Section 2 of its safety data sheet, or a laboratory; do not test it with acid yourself.",
                format!("It decides {}.", rule.code),
            );
        }
    }
}

fn listed(batch: &Batch, contents: &Contents, rules: &RuleSet, found: &mut Findings) {
    let as_product = batch.is_product()
        || (batch.kind == BatchKind::CollodionOrSolvent
            && batch.status == Some(BatchStatus::Unused));
    // Film is what it is, used or not; a list of products does not speak of it.
    let as_it_is = as_product || batch.kind == BatchKind::FilmAndPaper;
    for part in batch.composition.iter().filter(|_| as_it_is) {
        let named = rules
            .unused_product
            .iter()
            .filter(|p| as_product || p.property != Property::Listed)
            .filter(|p| p.substance == part.substance.as_str());
        for product in named {
            // A metal reacts as dust, and as a lump does not.
            let metal = substance(&part.substance).is_some_and(|s| s.is(Group::ReactiveMetal));
            let certainty = if metal {
                Certainty::ToBeTested
            } else {
                Certainty::Presumed
            };
            let name = &part.substance;
            let reason = if product.words.is_empty() {
                format!(
                    "{name} thrown away unused, or spilt, is listed by name. A spent bath or fixer never is."
                )
            } else {
                format!("{name} {}.", product.words)
            };
            found.codes.push(HazardCode {
                code: product.code.clone(),
                property: product.property,
                certainty,
                reason,
                figure: None,
                acute: product.acute,
                authority: product.rule,
            });
        }
    }
    found.may_be_acute = as_product
        && !contents.unknown().is_empty()
        && rules.unused_product.iter().any(|p| p.acute);
    if let Some(rule) = &rules.spent_solvent
        && batch.kind == BatchKind::CollodionOrSolvent
        && !as_product
        && contents.holds(Group::Ether)
    {
        found.code(
            &rule.code,
            Property::Listed,
            Certainty::ToBeTested,
            "Spent ether may be a listed solvent: it is asked, not asserted.",
            None,
            rule.rule,
        );
        found.test(
            "Whether waste collodion counts as a listed solvent",
            "Ask the waste contractor or the authority.",
            format!("It decides {}.", rule.code),
        );
    }
}
