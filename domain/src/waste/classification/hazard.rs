//! Hazard properties by calculation: the shares of what a waste holds against the limits.

use super::HAZARD_BY_CALCULATION;
use super::codes::{Findings, may_hold_cadmium};
use super::hazard_class::{Classified, hazard_classes, hazard_statements};
use super::result::{Figure, Property};
use super::silver::{Level, in_liquid};
use crate::answer::Notes;
use crate::batch::{Batch, BatchKind, Component};
use crate::estimate::Estimate;
use crate::quantity::{ComputedPercentWW, Identifier};
use crate::substance::{Group, substance};
use crate::waste::contents::{Certainty, Contents, component_g_per_l};
use crate::waste::rule_set::{HazardRule, RuleSet};

/// Floating point noise that must not turn "equal" into "below".
const SLACK: f64 = 1.0 - 1e-9;

/// A substance in the waste with its share by mass; `None` where no amount is known.
pub(crate) struct Part {
    pub id: String,
    pub percent: Option<Level>,
    pub classes: Option<&'static Classified>,
}

impl Part {
    /// Its hazards: the classes that were looked up, else its bare statements.
    fn hazards(&self) -> Option<&'static Classified> {
        self.classes.or_else(|| hazard_statements(&self.id))
    }

    /// Whether a hazard may be missing from what is known of it. Harmless matter has none.
    fn is_blind(&self) -> bool {
        self.classes.is_none() && self.hazards().is_none_or(|h| !h.classes.is_empty())
    }
}

/// One rule applied: the sum, and whether an unknown amount may add to it.
struct Sum {
    value: f64,
    lower: f64,
    upper: Option<f64>,
    open: bool,
    /// Whether bare statements are in it: they presume and prove nothing.
    unread: bool,
}

/// Finds the hazard properties that follow from shares of substances.
pub(super) fn find(
    (batch, at): (&Batch, &str),
    estimate: Option<&Estimate>,
    contents: &Contents,
    rules: &RuleSet,
    notes: &mut Notes,
    found: &mut Findings,
) {
    if rules.hazard.is_empty() {
        return;
    }
    notes.method("/codes", HAZARD_BY_CALCULATION);
    let parts = parts_of(batch, estimate, at, notes);
    for part in &parts {
        if let Some(known) = part.hazards() {
            notes.cite(super::source_key(&known.source));
        }
        if part.is_blind() {
            found.test(
                format!("Hazard classes of {}", part.id),
                "Read section 2 of its safety data sheet.",
                "They are not in our data, so no hazard property can be ruled out by calculation.",
            );
        }
    }
    if parts.is_empty() && contents.unknown().is_empty() {
        found.test(
            "What it holds",
            "State its composition from the bottles or the recipe, or have it analysed.",
            "Without it no hazard property can be ruled out by calculation.",
        );
    }
    // What the calculation cannot see leaves every property open that it does not find.
    let blind =
        parts.is_empty() || parts.iter().any(Part::is_blind) || !contents.unknown().is_empty();
    let mut codes: Vec<&str> = rules.hazard.iter().map(|r| r.code.as_str()).collect();
    codes.dedup();
    let mut corrosive = false;
    for code in codes {
        if code == "HP 4" && corrosive {
            continue;
        }
        let of_code = || rules.hazard.iter().filter(|r| r.code == code);
        let best = of_code()
            .map(|rule| (rule, sum_of(rule, rules, &parts)))
            .max_by(|a, b| rank(a).total_cmp(&rank(b)));
        let Some((rule, sum)) = best else { continue };
        let limit = rule.limit_percent_w_w.as_f64();
        let reaches = |x: f64| x >= limit * SLACK;
        let open = of_code().any(|r| sum_of(r, rules, &parts).open);
        let certainty = if reaches(sum.lower) {
            Some(Certainty::Known)
        } else if reaches(sum.value) {
            Some(Certainty::Presumed)
        } else if sum.upper.is_none_or(reaches) || open {
            Some(Certainty::ToBeTested)
        } else {
            None
        };
        corrosive |= code == "HP 8" && certainty >= Some(Certainty::Presumed);
        let figure = Figure::HazardShare {
            hazards: rule.hazards.iter().map(|(h, _)| h.clone()).collect(),
            value_percent_w_w: ComputedPercentWW::of(sum.value),
            limit_percent_w_w: rule.limit_percent_w_w,
        };
        let names = named(rule, &parts);
        match certainty {
            Some(certainty) => {
                let reason = match certainty {
                    Certainty::Known => format!("By calculation: {names} reach the limit."),
                    Certainty::Presumed if sum.unread => format!(
                        "By calculation from hazard statements that are not verified: {names} reach the limit."
                    ),
                    Certainty::Presumed => format!(
                        "By calculation: {names} reach the limit, though the uncertainty reaches below."
                    ),
                    Certainty::ToBeTested => format!(
                        "It holds {names} in an amount that is not known well enough to calculate."
                    ),
                };
                found.code(
                    code,
                    property_of(code),
                    certainty,
                    reason,
                    Some(figure),
                    rule.rule,
                );
                if certainty != Certainty::Known {
                    found.test(
                        format!("Amounts for {code}"),
                        "State g_per_l or percent_w_w in the composition, or have it analysed; a test of the property decides over the calculation.",
                        format!("They decide {code}."),
                    );
                }
            }
            None if !blind && sum.value > 0.0 => found.clean(
                code,
                "By calculation from what was stated it stays below the limit. A test decides over the calculation.",
                Some(figure),
                rule.rule,
            ),
            None => {}
        }
    }
    unknown_silver(contents, rules, found);
    if may_hold_cadmium(batch) {
        found.test(
            "Cadmium from the iodizer",
            "Read the iodizer's label; if it names cadmium or nothing, a laboratory analysis for cadmium.",
            "Cadmium salts are poisonous, may cause cancer and count towards HP 14 from 0.25 %; refiners refuse them.",
        );
    }
}

/// How near a sum comes to its limit.
fn rank((rule, sum): &(&HazardRule, Sum)) -> f64 {
    let limit = rule.limit_percent_w_w.as_f64();
    let scale = if limit > 0.0 { 1.0 / limit } else { 1.0 };
    (sum.lower * 1e3 + sum.value + if sum.open { 1e-6 } else { 0.0 }) * scale
}

const fn property_of(code: &str) -> Property {
    match code.as_bytes() {
        b"HP 4" => Property::Irritant,
        b"HP 6" => Property::Poisonous,
        b"HP 8" => Property::Corrosive,
        b"HP 14" => Property::Ecotoxic,
        _ => Property::HarmsHealth,
    }
}

fn named(rule: &HazardRule, parts: &[Part]) -> String {
    let names: Vec<String> = parts
        .iter()
        .filter(|p| {
            p.hazards().is_some_and(|c| {
                c.classes
                    .iter()
                    .any(|k| rule.hazards.iter().any(|(h, _)| k.is(h)))
            })
        })
        .map(|p| {
            Identifier::new(&p.id)
                .ok()
                .and_then(|id| substance(&id))
                .map_or_else(|| p.id.clone(), |s| s.name.clone())
        })
        .collect();
    if names.is_empty() {
        "such substances".to_owned()
    } else {
        names.join(", ")
    }
}

/// The substances of the batch that stands at `at`: those stated, and the silver nitrate that its kind
/// always brings. A stated amount reaches as far as was said of it; a bare one is taken as it stands.
pub(crate) fn parts_of(
    batch: &Batch,
    estimate: Option<&Estimate>,
    at: &str,
    notes: &mut Notes,
) -> Vec<Part> {
    let density = batch.density_g_per_ml.map(|d| d.as_f64());
    let mut assumed = false;
    // A share from grams per litre; without a density the liquid is taken light, so that the share
    // is not made too small.
    let mut share = |g_per_l: f64| {
        assumed |= density.is_none();
        g_per_l / (10.0 * density.unwrap_or(1.0))
    };
    let alone = batch.kind == BatchKind::UnusedChemical && batch.composition.len() == 1;
    let mut parts: Vec<Part> = batch
        .composition
        .iter()
        .map(|c| {
            let percent = match &c.percent_w_w {
                Some(p) => Some(p.as_f64()),
                None => component_g_per_l(batch, c).map(&mut share),
            };
            Part {
                id: c.substance.to_string(),
                percent: percent
                    .map(|percent| Level::within(percent, percent * relative_half_width(c)))
                    .or(alone.then(|| Level::stated(100.0))),
                classes: hazard_classes(c.substance.as_str()),
            }
        })
        .collect();
    let holds_nitrate = matches!(
        batch.kind,
        BatchKind::SensitizingBath | BatchKind::Drip | BatchKind::RinseWater
    );
    let salt = Identifier::new("silver_nitrate").ok();
    let salt = salt.as_ref().and_then(substance);
    if let Some(salt) = salt.filter(|_| holds_nitrate) {
        let id = salt.id.as_str();
        let measured = estimate.and_then(|e| in_liquid(batch, Some(e)));
        let silver = salt
            .contaminant
            .as_ref()
            .map(|c| c.percent.as_f64() / 100.0);
        let own = parts.iter().position(|p| p.id == id);
        if let (Some(level), Some(silver)) = (measured, silver) {
            let to = |mg: f64, share: &mut dyn FnMut(f64) -> f64| share(mg / 1000.0 / silver);
            let level = Level {
                value: level.value.map(|v| to(v, &mut share)),
                lower: to(level.lower, &mut share),
                upper: level.upper.map(|u| to(u, &mut share)),
                by_laboratory: level.by_laboratory,
            };
            let part = Part {
                id: id.to_owned(),
                percent: Some(level),
                classes: hazard_classes(id),
            };
            match own.and_then(|i| parts.get_mut(i)) {
                Some(slot) => *slot = part,
                None => parts.push(part),
            }
        } else if own.is_none() && batch.status != Some(crate::batch::BatchStatus::Treated) {
            parts.push(Part {
                id: id.to_owned(),
                percent: None,
                classes: hazard_classes(id),
            });
        }
    }
    if assumed {
        notes.assume(
            "/codes",
            format!("{at}/density_g_per_ml"),
            "common_practice",
            "Shares by mass: without a density the liquid is taken at 1.0 kg/L, which is light, so that no share comes out too small (common practice, no source).",
        );
    }
    parts
}

/// How far a component's amount may lie from what was stated, 95 times in 100, as a share of it.
pub(super) fn relative_half_width(part: &Component) -> f64 {
    let (half, value) = if let Some(g) = &part.g_per_l {
        (g.half_width_95(), g.as_f64())
    } else if let Some(mol) = &part.mol_per_l {
        (mol.half_width_95(), mol.as_f64())
    } else if let Some(percent) = &part.percent_w_w {
        (percent.half_width_95(), percent.as_f64())
    } else {
        return 0.0;
    };
    half.filter(|_| value > 0.0)
        .map_or(0.0, |half| half / value)
}

fn sum_of(rule: &HazardRule, rules: &RuleSet, parts: &[Part]) -> Sum {
    let mut sum = Sum {
        value: 0.0,
        lower: 0.0,
        upper: Some(0.0),
        open: false,
        unread: false,
    };
    for part in parts {
        let best = part.percent.map(|l| l.value.unwrap_or(l.lower));
        let held = part.hazards().map_or(&[][..], |h| &h.classes);
        for class in held.iter().filter(|c| c.holds_at(best)) {
            let Some((hazard, weight)) = rule.hazards.iter().find(|(h, _)| class.is(h)) else {
                continue;
            };
            sum.unread |= part.classes.is_none();
            let Some(level) = part.percent else {
                sum.open = true;
                continue;
            };
            let cut_off = rules
                .hazard_cut_off
                .iter()
                .filter(|c| c.code == rule.code && c.hazards.contains(hazard))
                .map(|c| c.below_percent_w_w.as_f64())
                .fold(0.0, f64::max);
            let counted = |p: f64| {
                if p >= cut_off * SLACK {
                    p * f64::from(*weight)
                } else {
                    0.0
                }
            };
            let value = counted(best.unwrap_or(0.0));
            let lower = part.classes.map_or(0.0, |_| counted(level.lower));
            let upper = level.upper.map(counted);
            if rule.summed {
                sum.value += value;
                sum.lower += lower;
                sum.upper = sum.upper.zip(upper).map(|(a, b)| a + b);
            } else {
                sum.value = sum.value.max(value);
                sum.lower = sum.lower.max(lower);
                sum.upper = sum.upper.zip(upper).map(|(a, b)| a.max(b));
            }
        }
    }
    sum
}

/// Silver in fixer and in solids has no harmonised class: whether it is ecotoxic is left open.
fn unknown_silver(contents: &Contents, rules: &RuleSet, found: &mut Findings) {
    let Some(rule) = rules.hazard.iter().find(|r| r.code == "HP 14") else {
        return;
    };
    let held = [Group::SilverComplex, Group::SilverSolid]
        .iter()
        .find_map(|g| contents.source_of(*g));
    let Some(held) = held.filter(|_| !found.codes.iter().any(|c| c.code == "HP 14")) else {
        return;
    };
    found.clean.retain(|c| c.code != "HP 14");
    found.code(
        "HP 14",
        Property::Ecotoxic,
        Certainty::ToBeTested,
        format!(
            "It holds {} ({}), for which no harmonised class is known to us.",
            held.group.words(),
            held.from
        ),
        None,
        rule.rule,
    );
    found.test(
        "Whether its silver is ecotoxic in this form",
        "Ask the contractor or a laboratory; the entry of the list of waste may settle it without.",
        "It decides HP 14.",
    );
}
