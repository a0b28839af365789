//! The ranked list of what to do, with dates.

use super::result::{BatchReport, LotReport, ToDo, Urgency};
use crate::batch::Batch;
use crate::decision::LotAction;
use crate::quantity::{Date, Identifier};
use crate::waste::classification::{Hazardous, Standing};

/// Collects and ranks: danger and days already past, then dates in order, then duties, then the rest.
pub(super) fn rank(
    on: Date,
    batches: &[Batch],
    reports: &[BatchReport],
    lots: &[LotReport],
) -> Vec<ToDo> {
    let mut list = Vec::new();
    for (i, report) in reports.iter().enumerate() {
        dangers(i, report, &mut list);
        clocks(on, i, report, &mut list);
        tests(i, report, &mut list);
    }
    for (i, lot) in lots.iter().enumerate() {
        act(on, i, lot, reports, &mut list);
    }
    labels(reports, &mut list);
    statuses(batches, &mut list);
    list.sort_by(|a, b| {
        (a.urgency, a.by_on.is_none(), a.by_on).cmp(&(b.urgency, b.by_on.is_none(), b.by_on))
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

fn dangers(i: usize, report: &BatchReport, list: &mut Vec<ToDo>) {
    if let Some(danger) = &report.danger {
        list.push(entry(
            Urgency::Today,
            format!("Make {} safe: {}", report.id, danger.act.join(" ")),
            danger.reason.clone(),
            vec![report.id.clone()],
            format!("/batches/{i}/danger"),
        ));
    }
}

/// A clock that has run out is for today, whatever the lots say.
fn clocks(on: Date, i: usize, report: &BatchReport, list: &mut Vec<ToDo>) {
    if let Some(clock) = report
        .classification
        .clock
        .as_ref()
        .filter(|c| c.due_on < on)
    {
        let mut late = entry(
            Urgency::Today,
            format!(
                "{} should have left by {}: call the authority and a licensed haulier",
                report.id, clock.due_on
            ),
            clock.rule.clone(),
            vec![report.id.clone()],
            format!("/batches/{i}/classification/clock"),
        );
        late.by_on = Some(clock.due_on);
        list.push(late);
    }
}

fn tests(i: usize, report: &BatchReport, list: &mut Vec<ToDo>) {
    let unknowns = &report.classification.unknowns;
    if unknowns.is_empty()
        || report.danger.is_some()
        || report.classification.standing.is == Standing::AtWork
        || report.classification.hazardous == Hazardous::ToBeAsked
    {
        return;
    }
    let mut what: Vec<&str> = unknowns.iter().map(|u| u.what.as_str()).collect();
    what.dedup();
    let why = unknowns.first().map_or_else(String::new, |u| u.why.clone());
    list.push(entry(
        Urgency::Soon,
        format!("Find out about {}: {}", report.id, what.join("; ")),
        why,
        vec![report.id.clone()],
        format!("/batches/{i}/classification/unknowns"),
    ));
}

fn act(on: Date, i: usize, lot: &LotReport, reports: &[BatchReport], list: &mut Vec<ToDo>) {
    let decision = &lot.decision;
    let endangered = |id: &Identifier| reports.iter().any(|r| r.id == *id && r.danger.is_some());
    if lot.batches.iter().any(endangered) {
        return;
    }
    let names = lot
        .batches
        .iter()
        .map(Identifier::as_str)
        .collect::<Vec<_>>()
        .join(", ");
    let what = match decision.verdict {
        LotAction::Send => format!("Send {names} to the refiner"),
        LotAction::Hold => format!("Keep {names} for now, and look again"),
        LotAction::Restore => format!("Restore the bath {names}"),
        LotAction::RecoverHere => format!("Recover the silver of {names} here first"),
        LotAction::HaulAway => format!("Have {names} hauled away by a licensed contractor"),
        LotAction::ActToday => format!("Make {names} safe today"),
        LotAction::MeasureFirst => format!("Measure {names} before deciding"),
    };
    let latest = decision.latest.as_ref().map(|l| l.on);
    let by_on = match decision.verdict {
        LotAction::HaulAway => decision.call_by_on.or(latest),
        _ => latest,
    };
    let urgency = match (decision.verdict, by_on) {
        (LotAction::ActToday, _) => Urgency::Today,
        (_, Some(day)) if day <= on => Urgency::Today,
        (_, Some(_)) => Urgency::Dated,
        (LotAction::Hold, None) => Urgency::WhenConvenient,
        (_, None) => Urgency::Soon,
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
    let names = marked
        .iter()
        .map(Identifier::as_str)
        .collect::<Vec<_>>()
        .join(", ");
    list.push(entry(
        Urgency::Soon,
        format!("Label {names}: what it is, what it does, and the day it became waste"),
        "An unlabelled container is the first thing a collection refuses (common practice, no source), and the rules ask for marks.".to_owned(),
        marked,
        "/batches".to_owned(),
    ));
}

/// A batch of unstated status is looked at as waste.
fn statuses(batches: &[Batch], list: &mut Vec<ToDo>) {
    let unstated: Vec<Identifier> = batches
        .iter()
        .filter(|b| b.status.is_none())
        .map(|b| b.id.clone())
        .collect();
    if unstated.is_empty() {
        return;
    }
    let names = unstated
        .iter()
        .map(Identifier::as_str)
        .collect::<Vec<_>>()
        .join(", ");
    list.push(entry(
        Urgency::WhenConvenient,
        format!("Write down whether {names} is in use, spent or unused"),
        "A working bath is not waste, and a clock starts only when it is given up.".to_owned(),
        unstated,
        "/batches".to_owned(),
    ));
}
