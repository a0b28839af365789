//! The ranked list of what to do, with dates.

use super::result::{BatchReport, LotReport, ToDo, Urgency};
use crate::batch::Batch;
use crate::decision::{CYANIDE_ACT, CYANIDE_NEVER, LotAction};
use crate::quantity::{Date, Identifier};
use crate::valuation::ValuationOutcome;
use crate::waste::classification::{Hazardous, Standing};
use std::collections::BTreeMap;

/// A day to look again that is nearer than this is work of its own; what is farther off is merely
/// kept.
const SOON_DAYS: i64 = 30;

/// Collects and ranks: danger first, then what only a contractor may take, then days already past,
/// dates in order, labels, money, tests, and what is merely kept in one closing line.
pub(super) fn rank(
    on: Date,
    batches: &[Batch],
    reports: &[BatchReport],
    lots: &[LotReport],
) -> Vec<ToDo> {
    let mut list = Vec::new();
    for (i, report) in reports.iter().enumerate() {
        dangers(i, report, &mut list);
    }
    cyanide(batches, reports, lots, &mut list);
    for (i, report) in reports.iter().enumerate() {
        clocks(on, i, report, &mut list);
    }
    labels(reports, &mut list);
    for (i, lot) in lots.iter().enumerate() {
        act(on, i, lot, batches, reports, &mut list);
    }
    tests(reports, &mut list);
    statuses(batches, reports, &mut list);
    kept(on, lots, &mut list);
    // The order above stands among entries of one urgency and day.
    list.sort_by_key(|entry| match entry.urgency {
        Urgency::Dated => (entry.urgency, entry.by_on),
        _ => (entry.urgency, None),
    });
    for (i, entry) in list.iter_mut().enumerate() {
        entry.rank = i.saturating_add(1);
    }
    list
}

fn entry(
    urgency: Urgency,
    what: String,
    why: String,
    batches: Vec<Identifier>,
    about: String,
) -> ToDo {
    ToDo {
        rank: 0,
        urgency,
        by_on: None,
        what,
        why,
        batches,
        about,
    }
}

fn names(of: &[Identifier]) -> String {
    of.iter()
        .map(Identifier::as_str)
        .collect::<Vec<_>>()
        .join(", ")
}

fn dangers(i: usize, report: &BatchReport, list: &mut Vec<ToDo>) {
    if let Some(danger) = &report.danger {
        let told: Vec<&str> = danger
            .act
            .iter()
            .chain(&danger.never)
            .map(String::as_str)
            .collect();
        list.push(entry(
            Urgency::Today,
            format!("Make {} safe. {}", report.id, told.join(" ")),
            danger.warning(),
            vec![report.id.clone()],
            format!("/batches/{i}/danger"),
        ));
    }
}

/// Whatever its silver is worth, and whether or not anything was valued, a cyanide goes to a
/// contractor. One line for all of it: one call settles it.
fn cyanide(batches: &[Batch], reports: &[BatchReport], lots: &[LotReport], list: &mut Vec<ToDo>) {
    let held: Vec<Identifier> = batches
        .iter()
        .zip(reports)
        .filter(|(batch, report)| batch.counts_as_cyanide() && report.danger.is_none())
        .map(|(batch, _)| batch.id.clone())
        .collect();
    let Some(first) = batches.iter().position(|b| Some(&b.id) == held.first()) else {
        return;
    };
    let mut call = entry(
        Urgency::Today,
        format!(
            "Cyanide in {}. {} {}",
            names(&held),
            CYANIDE_ACT.join(" "),
            CYANIDE_NEVER.join(" ")
        ),
        "Only a licensed contractor takes it, whatever its silver is worth.".to_owned(),
        held.clone(),
        format!("/batches/{first}"),
    );
    call.by_on = lots
        .iter()
        .filter(|lot| lot.batches.iter().any(|b| held.contains(b)))
        .filter_map(|lot| lot.decision.call_by_on)
        .min();
    list.push(call);
}

/// A clock that has run out is for today, whatever the lots say.
fn clocks(on: Date, i: usize, report: &BatchReport, list: &mut Vec<ToDo>) {
    let found = &report.classification;
    if let Some(clock) = found.run_out(on) {
        let certain = found.clock.is_some();
        let member = if certain {
            "clock"
        } else {
            "possible_clocks/0"
        };
        let mut late = entry(
            Urgency::Today,
            if certain {
                format!(
                    "{} should have left by {}: call the authority and a licensed haulier",
                    report.id, clock.due_on
                )
            } else {
                format!(
                    "{} may have had to leave by {}: find out the site's category, and call the authority",
                    report.id, clock.due_on
                )
            },
            clock.rule.clone(),
            vec![report.id.clone()],
            format!("/batches/{i}/classification/{member}"),
        );
        late.by_on = Some(clock.due_on);
        list.push(late);
    }
}

/// One line for each thing to find out, with every container it is asked of.
fn tests(reports: &[BatchReport], list: &mut Vec<ToDo>) {
    let mut asked: Vec<(&str, &str, Vec<Identifier>)> = Vec::new();
    for report in reports {
        let c = &report.classification;
        if report.danger.is_some()
            || matches!(c.standing.is, Standing::AtWork | Standing::Unused)
            || c.hazardous == Hazardous::ToBeAsked
        {
            continue;
        }
        for unknown in &c.unknowns {
            match asked
                .iter_mut()
                .find(|a| a.0 == unknown.what && a.1 == unknown.how)
            {
                Some(known) if known.2.contains(&report.id) => {}
                Some(known) => known.2.push(report.id.clone()),
                None => asked.push((&unknown.what, &unknown.how, vec![report.id.clone()])),
            }
        }
    }
    // What most containers wait for comes first.
    asked.sort_by_key(|a| std::cmp::Reverse(a.2.len()));
    for (what, how, of) in asked {
        list.push(entry(
            Urgency::Soon,
            format!("Find out for {}: {}", names(&of), lower_first(what)),
            how.to_owned(),
            of,
            "/batches".to_owned(),
        ));
    }
}

/// The first letter small, unless the word is a name such as pH or an abbreviation.
fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), Some(second)) if first.is_uppercase() && second.is_lowercase() => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => text.to_owned(),
    }
}

fn act(
    on: Date,
    i: usize,
    lot: &LotReport,
    batches: &[Batch],
    reports: &[BatchReport],
    list: &mut Vec<ToDo>,
) {
    let decision = &lot.decision;
    let endangered = |id: &Identifier| reports.iter().any(|r| r.id == *id && r.danger.is_some());
    let cyanide = |id: &Identifier| batches.iter().any(|b| b.id == *id && b.counts_as_cyanide());
    if lot.batches.iter().any(endangered)
        || lot.batches.iter().all(cyanide)
        || is_merely_kept(on, lot)
    {
        return;
    }
    let names = names(&lot.batches);
    let what = match decision.verdict {
        LotAction::Send => format!("Send {names} to the refiner"),
        LotAction::Hold => format!("Look again at {names}"),
        LotAction::Restore => format!("Restore the working bath {names}"),
        LotAction::RecoverHere => format!("Recover the silver of {names} here first"),
        LotAction::HaulAway => format!("Have {names} hauled away by a licensed contractor"),
        LotAction::ActToday => format!("Make {names} safe today"),
        LotAction::MeasureFirst => format!("Measure {names} before deciding"),
    };
    let latest = decision.latest.as_ref().map(|l| l.on);
    let by_on = match decision.verdict {
        LotAction::HaulAway => decision.call_by_on.or(latest),
        LotAction::Hold => decision.look_again_on,
        _ => latest,
    };
    // What a safety decision forbids makes the lot dangerous: it is for today.
    let dangerous = !decision.never.is_empty();
    let urgency = match by_on {
        _ if dangerous || decision.verdict == LotAction::ActToday => Urgency::Today,
        Some(day) if day <= on => Urgency::Today,
        Some(_) => Urgency::Dated,
        None => Urgency::Soon,
    };
    let mut done = entry(
        urgency,
        what,
        decision.reason.clone(),
        lot.batches.clone(),
        format!("/lots/{i}/decision"),
    );
    done.by_on = by_on;
    list.push(done);
}

/// Whether a lot is held and nothing is to be done about it for a while.
fn is_merely_kept(on: Date, lot: &LotReport) -> bool {
    lot.decision.verdict == LotAction::Hold
        && lot
            .decision
            .look_again_on
            .is_none_or(|day| day.days_since(on) > SOON_DAYS)
}

/// One closing line for all that is merely kept.
fn kept(on: Date, lots: &[LotReport], list: &mut Vec<ToDo>) {
    let kept: Vec<&LotReport> = lots.iter().filter(|l| is_merely_kept(on, l)).collect();
    if kept.is_empty() {
        return;
    }
    let mut dated: BTreeMap<Date, Vec<Identifier>> = BTreeMap::new();
    for lot in &kept {
        if let Some(day) = lot.decision.look_again_on {
            dated.entry(day).or_default().extend(lot.batches.clone());
        }
    }
    let undated: Vec<String> = kept
        .iter()
        .filter(|l| l.decision.look_again_on.is_none())
        .map(|l| names(&l.batches))
        .collect();
    let mut parts: Vec<String> = dated
        .iter()
        .map(|(day, held)| format!("{} (look again on {day})", names(held)))
        .collect();
    if !undated.is_empty() {
        parts.push(undated.join(", "));
    }
    let not_taken = kept
        .iter()
        .any(|l| matches!(l.valuation.outcome, ValuationOutcome::NotAccepted { .. }));
    let mut why =
        "Waiting leaves more than sending now, or every way out costs money today and no limit forces one yet."
            .to_owned();
    if not_taken {
        why.push_str(" The refiner does not take all of it as it is.");
    }
    if !undated.is_empty() {
        why.push_str(" Ask your waste authority how long it may be kept.");
    }
    let mut line = entry(
        Urgency::WhenConvenient,
        format!("Keep for now: {}", parts.join("; ")),
        why,
        kept.iter().flat_map(|l| l.batches.clone()).collect(),
        "/lots".to_owned(),
    );
    line.by_on = dated.keys().next().copied();
    list.push(line);
}

/// One line for all containers that need a mark.
fn labels(reports: &[BatchReport], list: &mut Vec<ToDo>) {
    let marked: Vec<Identifier> = reports
        .iter()
        .filter(|r| {
            r.classification.standing.is == Standing::Waste
                && r.classification.hazardous != Hazardous::NotIndicated
        })
        .map(|r| r.id.clone())
        .collect();
    if marked.is_empty() {
        return;
    }
    list.push(entry(
        Urgency::Soon,
        format!(
            "Label {}: what it is, what it does, and the day it became waste",
            names(&marked)
        ),
        "An unlabelled container is the first thing a collection refuses (common practice, no source), and the rules ask for marks.".to_owned(),
        marked,
        "/batches".to_owned(),
    ));
}

/// A batch of unstated status is looked at as waste. One that is dangerous to keep has no time for
/// that question.
fn statuses(batches: &[Batch], reports: &[BatchReport], list: &mut Vec<ToDo>) {
    let unstated: Vec<Identifier> = batches
        .iter()
        .zip(reports)
        .filter(|(batch, report)| batch.status.is_none() && report.danger.is_none())
        .map(|(batch, _)| batch.id.clone())
        .collect();
    if unstated.is_empty() {
        return;
    }
    list.push(entry(
        Urgency::WhenConvenient,
        format!(
            "Write down whether {} is in use, spent or unused",
            names(&unstated)
        ),
        "A working bath is not waste, and a clock starts only when it is given up.".to_owned(),
        unstated,
        "/batches".to_owned(),
    ));
}
