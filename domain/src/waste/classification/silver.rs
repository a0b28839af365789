//! Silver against a limit. Only a laboratory can show that a liquid is below one.

use super::result::{DischargeLimitFinding, Figure, LocalLimitFinding, LocalVerdict};
use super::{LIQUID_IS_EXTRACT, Site, TOTALS_SCREEN};
use crate::answer::Notes;
use crate::batch::{Batch, BatchKind, BatchStatus};
use crate::estimate::{Estimate, mass_of};
use crate::quantity::{
    ComputedMilligramsPerKilogram, ComputedMilligramsPerLitre, MilligramsPerLitre,
};
use crate::statistics::Inputs;
use crate::substance::{Group, substance};
use crate::waste::contents::{Certainty, Contents, component_g_per_l};
use crate::waste::rule_set::{Comparison, TotalsScreen};

/// How much of an element a liquid or a solid holds, in mg/L or mg/kg.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Level {
    pub value: Option<f64>,
    pub lower: f64,
    pub upper: Option<f64>,
    pub by_laboratory: bool,
}

/// A level against a limit where equal counts as over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Against {
    Over(Certainty),
    Below,
}

/// Floating point noise that must not turn "equal" into "below".
const SLACK: f64 = 1.0 - 1e-9;

impl Level {
    /// A level that was stated and not measured.
    pub const fn stated(value: f64) -> Self {
        Self {
            value: Some(value),
            lower: value,
            upper: Some(value),
            by_laboratory: false,
        }
    }

    /// A level that was stated, and how far it may be off.
    pub fn within(value: f64, half_width: f64) -> Self {
        Self {
            lower: (value - half_width).max(0.0),
            upper: Some(value + half_width),
            ..Self::stated(value)
        }
    }

    /// Compares with a limit. Below counts only by laboratory.
    pub(super) fn against(&self, limit: f64) -> Against {
        let reaches = |x: f64| x >= limit * SLACK;
        if reaches(self.lower) {
            Against::Over(Certainty::Known)
        } else if self.value.is_some_and(reaches) {
            Against::Over(Certainty::Presumed)
        } else if self.by_laboratory && self.upper.is_some_and(|u| !reaches(u)) {
            Against::Below
        } else {
            Against::Over(Certainty::ToBeTested)
        }
    }

    pub(super) fn in_liquid(&self, element: &str, limit: MilligramsPerLitre) -> Figure {
        Figure::Concentration {
            element: element.to_owned(),
            value_mg_per_l: self.value.map(ComputedMilligramsPerLitre::of),
            lower_mg_per_l: ComputedMilligramsPerLitre::of(self.lower),
            upper_mg_per_l: self.upper.map(ComputedMilligramsPerLitre::of),
            limit_mg_per_l: limit,
        }
    }
}

fn by_laboratory(estimate: &Estimate) -> bool {
    estimate
        .by_evidence
        .iter()
        .any(|e| e.kind == "laboratory_assay")
}

fn per(estimate: &Estimate, amount: f64) -> Option<Level> {
    let interval = estimate.interval_95_g?;
    let scale = 1000.0 / amount;
    // The middle of bare bounds is no figure.
    let measured = estimate.by_evidence.iter().any(|e| e.silver_g.is_some());
    Some(Level {
        value: estimate
            .silver_g
            .filter(|_| measured)
            .map(|g| g.get() * scale),
        lower: interval.lower.get() * scale,
        upper: interval.upper.map(|u| u.get() * scale),
        by_laboratory: by_laboratory(estimate),
    })
}

/// Silver in a liquid, mg/L: from the estimate and the volume, else from the stated composition.
pub(super) fn in_liquid(batch: &Batch, estimate: Option<&Estimate>) -> Option<Level> {
    let measured = estimate.and_then(|e| {
        let litres = match (e.silver_g, e.silver_g_per_l) {
            (Some(g), Some(c)) if c.get() > 0.0 => g.get() / c.get(),
            _ => batch.volume_l.map(|v| v.as_f64())?,
        };
        let level = per(e, litres)?;
        Some(Level {
            // A laboratory that reads what was diluted does not read the waste.
            by_laboratory: level.by_laboratory && batch.diluted_on.is_none(),
            ..level
        })
    });
    measured.or_else(|| element_in_liquid(batch, "silver").flatten())
}

/// An element in a liquid from the stated composition, mg/L: `None` where it is not stated, and
/// `Some(None)` where it is stated without an amount.
pub(super) fn element_in_liquid(batch: &Batch, element: &str) -> Option<Option<Level>> {
    let mut total = None;
    for part in &batch.composition {
        let share = substance(&part.substance)
            .and_then(|s| s.contaminant.as_ref())
            .filter(|c| c.element == element);
        let Some(share) = share else { continue };
        match component_g_per_l(batch, part) {
            Some(g) => {
                let sum: f64 = total.unwrap_or(0.0);
                total = Some(sum + g * share.percent.as_f64() * 10.0);
            }
            None => return Some(None),
        }
    }
    total.map(|t| Some(Level::stated(t)))
}

/// What is found about silver: a code with its certainty, or that a laboratory ruled it out.
pub(super) struct SilverFinding {
    pub against: Against,
    pub reason: String,
    pub figure: Option<Figure>,
    /// How to test, where a test decides.
    pub test: Option<String>,
}

const LABORATORY: &str = "A laboratory assay of silver in mg/L by an accepted method, on a stirred sample; no strip, copper strip or cloud test can show silver below 5 mg/L.";

/// Silver in this batch against the limit on its extract.
pub(super) fn find_silver(
    batch: &Batch,
    estimate: Option<&Estimate>,
    contents: &Contents,
    limit: MilligramsPerLitre,
    screen: Option<&TotalsScreen>,
    notes: &mut Notes,
) -> Option<SilverFinding> {
    if batch.is_liquid() {
        let level = in_liquid(batch, estimate);
        if level.is_some() || batch.kind.is_liquid() {
            notes.method("/codes", LIQUID_IS_EXTRACT);
            return level.map_or_else(
                || liquid_by_kind(batch, contents),
                |level| Some(liquid_by_figure(&level, limit)),
            );
        }
    }
    solid(batch, estimate, contents, limit, screen, notes)
}

fn liquid_by_figure(level: &Level, limit: MilligramsPerLitre) -> SilverFinding {
    let against = level.against(limit.as_f64());
    let reason = match against {
        Against::Over(Certainty::Known) => "Its silver is at the limit or above it.",
        Against::Over(Certainty::Presumed) => {
            "Its figure is at the limit or above it, though the uncertainty reaches below: it counts as over until a laboratory says otherwise."
        }
        Against::Over(Certainty::ToBeTested) => {
            "Its figure does not show it to be below the limit: only a laboratory can."
        }
        Against::Below => {
            "A laboratory assay puts all of its interval below the limit. This is not permission to discharge."
        }
    };
    SilverFinding {
        against,
        reason: reason.to_owned(),
        figure: Some(level.in_liquid("silver", limit)),
        test: matches!(against, Against::Over(c) if c != Certainty::Known)
            .then(|| LABORATORY.to_owned()),
    }
}

fn liquid_by_kind(batch: &Batch, contents: &Contents) -> Option<SilverFinding> {
    let held = [Group::Silver, Group::SilverComplex, Group::SilverSolid]
        .iter()
        .filter_map(|g| contents.source_of(*g))
        .map(|h| h.certainty)
        .max();
    let treated = batch.status == Some(BatchStatus::Treated);
    let (certainty, reason) = match held {
        Some(Certainty::Known) if !treated => (
            Certainty::Presumed,
            format!(
                "Such a container ({}) nearly always holds far more silver than the limit.",
                batch.kind.words()
            ),
        ),
        _ if batch.kind == BatchKind::CollodionOrSolvent && held.is_none() => return None,
        _ => (
            Certainty::ToBeTested,
            format!(
                "Nobody has measured the silver in this {}.",
                batch.kind.words()
            ),
        ),
    };
    Some(SilverFinding {
        against: Against::Over(certainty),
        reason,
        figure: None,
        test: Some(LABORATORY.to_owned()),
    })
}

fn solid(
    batch: &Batch,
    estimate: Option<&Estimate>,
    contents: &Contents,
    limit: MilligramsPerLitre,
    screen: Option<&TotalsScreen>,
    notes: &mut Notes,
) -> Option<SilverFinding> {
    const LEACHING: &str = "A leaching test of the solid by a laboratory (the toxicity characteristic leaching procedure); a total below a twentieth of the scale, by laboratory, spares it.";
    let holds = [Group::Silver, Group::SilverComplex, Group::SilverSolid]
        .iter()
        .any(|g| contents.holds(*g));
    if !holds && estimate.is_none() {
        return None;
    }
    let mass_kg = mass_of(batch, "", &mut Inputs::default(), &mut Notes::default())
        .ok()
        .flatten()
        .map(|grams| grams.value() / 1000.0);
    let level = estimate
        .zip(mass_kg.filter(|m| *m > 0.0))
        .and_then(|(e, kg)| per(e, kg));
    let soluble = contents
        .source_of(Group::Silver)
        .is_some_and(|h| h.certainty == Certainty::Known);
    let (Some(level), Some(screen)) = (level, screen) else {
        let (certainty, reason) = if soluble {
            (
                Certainty::Presumed,
                "It holds a silver salt that dissolves.",
            )
        } else {
            (
                Certainty::ToBeTested,
                "How much silver it gives to water has not been tested.",
            )
        };
        return Some(SilverFinding {
            against: Against::Over(certainty),
            reason: reason.to_owned(),
            figure: None,
            test: Some(LEACHING.to_owned()),
        });
    };
    notes.method("/codes", TOTALS_SCREEN);
    let threshold = limit.as_f64() * screen.dilution_factor.as_f64();
    let figure = Figure::Total {
        element: "silver".to_owned(),
        lower_mg_per_kg: ComputedMilligramsPerKilogram::of(level.lower),
        upper_mg_per_kg: level.upper.map(ComputedMilligramsPerKilogram::of),
        screen_mg_per_kg: ComputedMilligramsPerKilogram::of(threshold),
        limit_mg_per_l: limit,
    };
    let (against, reason) = match level.against(threshold) {
        Against::Below => (
            Against::Below,
            "By laboratory, all of its silver leached at once would stay below the limit: the leaching test need not be run.",
        ),
        Against::Over(_) if soluble => (
            Against::Over(Certainty::Presumed),
            "Its silver dissolves in water, and leached at once it would reach the limit: no test is needed to see that.",
        ),
        Against::Over(_) => (
            Against::Over(Certainty::ToBeTested),
            "Its total could reach the limit in the leaching test, which shows nothing either way: run the test.",
        ),
    };
    Some(SilverFinding {
        against,
        reason: reason.to_owned(),
        figure: Some(figure),
        test: (against != Against::Below && !soluble).then(|| LEACHING.to_owned()),
    })
}

/// How the batch stands against a limit of the place, where one was given.
pub(super) fn local_limit(
    batch: &Batch,
    estimate: Option<&Estimate>,
    site: &Site,
) -> Option<LocalLimitFinding> {
    let limit = site.local_silver_limit.as_ref()?;
    let level = batch
        .is_liquid()
        .then(|| in_liquid(batch, estimate))
        .flatten();
    let place = limit.sampling_point.as_ref().map_or_else(
        || "an unstated point: ask where it is sampled".to_owned(),
        ToString::to_string,
    );
    let averaged = limit
        .averaging
        .as_ref()
        .map_or_else(String::new, |a| format!(", as {a}"));
    let source = limit.source.as_ref().map_or_else(
        || "Where it stands was not stated: ask for it in writing.".to_owned(),
        |s| format!("It stands in: {s}."),
    );
    let (verdict, words) = verdict(level.as_ref(), limit.silver_mg_per_l, Comparison::Below);
    Some(LocalLimitFinding {
        verdict,
        text: format!(
            "{words} Sampled at {place}{averaged}. {} {source}",
            thinning(limit.dilution_allowed == Some(true))
        ),
        figure: level.map(|l| l.in_liquid("silver", limit.silver_mg_per_l)),
    })
}

/// How a liquid stands against what the rules let into a sewer or a water. What is only stated, and
/// what nobody has measured, is to be tested.
pub(super) fn discharge_limits(
    batch: &Batch,
    estimate: Option<&Estimate>,
    site: &Site,
) -> Vec<DischargeLimitFinding> {
    site.rules
        .discharge_limit
        .iter()
        .filter(|l| batch.is_liquid() && (l.kinds.is_empty() || l.kinds.contains(&batch.kind)))
        .map(|limit| {
            let level = if limit.element == "silver" {
                in_liquid(batch, estimate)
            } else {
                element_in_liquid(batch, &limit.element).flatten()
            };
            let (verdict, words) = verdict(level.as_ref(), limit.limit_mg_per_l, limit.comparison);
            DischargeLimitFinding {
                element: limit.element.clone(),
                verdict,
                text: format!(
                    "{words} It holds for {}. Sampled at {}, as {}. {}",
                    limit.applies_to,
                    limit.sampling_point,
                    limit.averaging,
                    thinning(limit.dilution_allowed)
                ),
                limit_mg_per_l: limit.limit_mg_per_l,
                figure: level.map(|l| l.in_liquid(&limit.element, limit.limit_mg_per_l)),
                authority: limit.rule,
            }
        })
        .collect()
}

const fn thinning(allowed: bool) -> &'static str {
    if allowed {
        "Whether other water may thin it before that point is for the sewer authority to confirm in writing."
    } else {
        "Thinning it with water does not count."
    }
}

/// A level against a limit where what is asked is to be below it, or at or below it.
fn verdict(
    level: Option<&Level>,
    limit: MilligramsPerLitre,
    asked: Comparison,
) -> (LocalVerdict, &'static str) {
    // To be allowed the limit itself is to be over only beyond it.
    let allowed_at = asked == Comparison::AtOrBelow;
    let over_from = if allowed_at {
        limit.as_f64() * (1.0 + 2e-9)
    } else {
        limit.as_f64()
    };
    match level.map_or(Against::Over(Certainty::ToBeTested), |l| {
        l.against(over_from)
    }) {
        Against::Over(Certainty::ToBeTested) => (
            LocalVerdict::ToBeTested,
            "Only a laboratory can show that it is below the limit of the place.",
        ),
        Against::Over(_) if allowed_at => (LocalVerdict::AtOrAbove, "It is above the limit."),
        Against::Over(_) => (
            LocalVerdict::AtOrAbove,
            "It is at the limit of the place or above it.",
        ),
        Against::Below => (
            LocalVerdict::AssayBelow,
            "A laboratory assay puts it below the limit of the place. This is not permission to discharge: the sewer authority gives that.",
        ),
    }
}
