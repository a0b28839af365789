//! The plans beside each other, best first, and why each stands where it does.

use super::facts::row_of;
use super::plan::{ComparisonRow, PlanEntry, ProcessName, RecoveryPlan};
use super::request::RecoveryOptions;
use super::situation::short;
use crate::answer::{Method, Notes};
use crate::bibliography::{SourceStatus, reference};
use crate::quantity::SignedAmount;
use std::cmp::Ordering;

/// The order of the comparison.
pub(super) const ORDER: Method = Method {
    name: "order of the plans",
    formula: "one question after the other until two plans differ: not forbidden before forbidden; what may be taken unasked before what may not; the higher net value (silver expected at the metal's price - cost, before any refiner's charge); the lower residual that the plan counts on; the fewer hours at worst; the lesser hazard; the order in which they are considered. What is not known stands after what is",
    source: "house_rule",
};

/// Ranks the plans.
pub(super) fn comparison(
    entries: &[PlanEntry],
    options: &RecoveryOptions<'_>,
    notes: &mut Notes,
) -> Vec<ComparisonRow> {
    if entries.is_empty() {
        return Vec::new();
    }
    notes.method("/comparison", ORDER);
    let mut rows: Vec<ComparisonRow> = entries
        .iter()
        .filter_map(|entry| row(entry, options, notes))
        .collect();
    // A stable sort keeps the order in which they are considered between equals.
    rows.sort_by(|a, b| first_difference(a, b).map_or(Ordering::Equal, |(order, _)| order));
    let first = match rows.as_slice() {
        [above, below, ..] => format!(
            "First. Below it, {}: {}.",
            title(below),
            why_below(above, below)
        ),
        _ => "The only plan.".to_owned(),
    };
    let others: Vec<String> = rows
        .iter()
        .zip(rows.iter().skip(1))
        .map(|(above, below)| format!("Below {}: {}.", title(above), why_below(above, below)))
        .collect();
    for (i, (row, why)) in rows
        .iter_mut()
        .zip(std::iter::once(first).chain(others))
        .enumerate()
    {
        row.rank = i.saturating_add(1);
        row.why = why;
    }
    rows
}

fn row(
    entry: &PlanEntry,
    options: &RecoveryOptions<'_>,
    notes: &mut Notes,
) -> Option<ComparisonRow> {
    match entry {
        PlanEntry::Plan(plan) => {
            let (allowed_by_rules, rules_text) = rules_on(plan.process, options, notes);
            let residual = plan.practical_residual.as_ref();
            let facts = row_of(plan.process)?;
            Some(ComparisonRow {
                rank: 0,
                process: plan.process,
                allowed_by_rules,
                rules_text,
                offered_by_default: plan.offered_by_default,
                net_value: net_value(plan),
                currency: plan.cost.as_ref().map(|c| c.currency),
                residual_planned_mg_per_l: residual
                    .and(facts.residual.as_ref())
                    .map(|r| crate::quantity::Computed::of(r.planned_mg_per_l())),
                residual_high_mg_per_l: residual.map(|r| r.high_mg_per_l),
                most_h: plan.time.as_ref().map(|t| t.most_h),
                hazard: plan.hazard,
                why: String::new(),
            })
        }
        PlanEntry::Refused(refused) => {
            let facts = row_of(refused.process)?;
            Some(ComparisonRow {
                rank: 0,
                process: refused.process,
                allowed_by_rules: Some(false),
                rules_text: format!(
                    "The safety rules block a step of it. {}",
                    refused.refusal.reason
                ),
                offered_by_default: facts.offered_by_default,
                net_value: None,
                currency: None,
                residual_planned_mg_per_l: None,
                residual_high_mg_per_l: None,
                most_h: None,
                hazard: facts.hazard,
                why: String::new(),
            })
        }
    }
}

/// Worth of the silver less the cost, where both are known.
fn net_value(plan: &RecoveryPlan) -> Option<SignedAmount> {
    let cost = plan.cost.as_ref()?;
    let net = cost
        .metal_value?
        .decimal()
        .checked_sub(cost.total?.decimal())?;
    Some(SignedAmount::rounded(net, cost.currency))
}

/// What the rules named say of recovering here. A rule that was not read in its own text never
/// counts as a yes or a no.
fn rules_on(
    process: ProcessName,
    options: &RecoveryOptions<'_>,
    notes: &mut Notes,
) -> (Option<bool>, String) {
    if process == ProcessName::ShipLiquid {
        return (
            None,
            "Nothing is recovered here; the rules of transport and waste decide: ask the carrier and your waste authority.".to_owned(),
        );
    }
    let Some(rules) = options.rules else {
        return (
            None,
            "No rules were named: ask your waste authority whether recovering here is allowed, exempt or needs a permit.".to_owned(),
        );
    };
    let Some(recovery) = &rules.recovery_here else {
        return (
            None,
            format!(
                "{} does not say: ask your waste authority whether recovering here is allowed, exempt or needs a permit.",
                rules.title
            ),
        );
    };
    if let Some(source) = reference(&recovery.rule.source) {
        notes.cite(source.key.as_str());
    }
    let read = recovery.rule.status == SourceStatus::ReadPrimary;
    (
        recovery.allowed.filter(|_| read),
        format!("{} ({})", recovery.text, recovery.rule.clause),
    )
}

/// The first question on which two rows differ, and what it says of the lower one.
fn first_difference(above: &ComparisonRow, below: &ComparisonRow) -> Option<(Ordering, String)> {
    QUESTIONS
        .iter()
        .find_map(|question| question(above, below).filter(|(o, _)| *o != Ordering::Equal))
}

type Question = fn(&ComparisonRow, &ComparisonRow) -> Option<(Ordering, String)>;

const QUESTIONS: [Question; 6] = [
    |above, below| {
        let forbidden = |r: &ComparisonRow| r.allowed_by_rules == Some(false);
        Some((
            forbidden(above).cmp(&forbidden(below)),
            "the rules forbid it".to_owned(),
        ))
    },
    |above, below| {
        Some((
            below.offered_by_default.cmp(&above.offered_by_default),
            "it is never taken unasked".to_owned(),
        ))
    },
    |above, below| {
        known_first(
            above.net_value,
            below.net_value,
            |a, b| b.decimal().cmp(&a.decimal()),
            "its net value is not known",
            |a, b| format!("its net value is lower, {b} against {a}"),
        )
    },
    |above, below| {
        known_first(
            above.residual_planned_mg_per_l,
            below.residual_planned_mg_per_l,
            |a, b| a.get().total_cmp(&b.get()),
            "what it leaves in the liquor is not known",
            |a, b| {
                format!(
                    "it is counted on to leave {} mg/L, against {}",
                    short(b.get()),
                    short(a.get())
                )
            },
        )
    },
    |above, below| {
        known_first(
            above.most_h,
            below.most_h,
            |a, b| a.get().total_cmp(&b.get()),
            "how long it takes is not known",
            |a, b| {
                format!(
                    "it takes up to {} hours, against {}",
                    short(b.get()),
                    short(a.get())
                )
            },
        )
    },
    |above, below| {
        Some((
            above.hazard.cmp(&below.hazard),
            "it is more hazardous".to_owned(),
        ))
    },
];

/// Orders two figures of which what is known stands before what is not.
fn known_first<T: Copy>(
    above: Option<T>,
    below: Option<T>,
    order: impl Fn(&T, &T) -> Ordering,
    unknown: &str,
    words: impl Fn(&T, &T) -> String,
) -> Option<(Ordering, String)> {
    match (above, below) {
        (Some(a), Some(b)) => Some((order(&a, &b), words(&a, &b))),
        (Some(_), None) => Some((Ordering::Less, unknown.to_owned())),
        (None, Some(_)) => Some((Ordering::Greater, String::new())),
        (None, None) => None,
    }
}

/// Why the lower of two neighbours stands below the other.
fn why_below(above: &ComparisonRow, below: &ComparisonRow) -> String {
    first_difference(above, below).map_or_else(
        || "equal in all that is known, and considered later".to_owned(),
        |(_, words)| words,
    )
}

fn title(row: &ComparisonRow) -> &'static str {
    row_of(row.process).map_or("another way", |facts| facts.title.as_str())
}
