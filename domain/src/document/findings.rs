//! What a classification found, as blocks of a record: the same on each paper that carries it.

use super::label::Desk;
use super::sheets::Known;
use super::tree::{Block, Column};
use crate::answer::{Notes, Severity};
use crate::batch::Batch;
use crate::bibliography::{SourceStatus, reference};
use crate::fault::Faults;
use crate::quantity::{Date, Identifier, write_decimal};
use crate::waste::classification::{
    Classification, DischargeLimitFinding, LocalVerdict, Site, TreatmentFinding, TreatmentVerdict,
    WasteListFinding, classify_batch,
};
use crate::waste::rule_set::Authority;
use crate::waste::storage::ContainerFinding;

/// A table of words.
pub(super) fn words<const N: usize>(headings: [&str; N], rows: Vec<Vec<String>>) -> Block {
    Block::Table {
        columns: headings.into_iter().map(Column::words).collect(),
        rows,
        total: None,
    }
}

/// The rule that a finding rests on. One that nobody read in its own text is marked first of all.
pub(super) fn clause(of: &Authority, notes: &mut Notes) -> String {
    if let Some(source) = reference(&of.source) {
        notes.cite(&source.key);
    }
    match of.status {
        SourceStatus::Unverified => format!("UNVERIFIED: {}, {}", of.clause, of.edition),
        status => format!("{}, {} ({})", of.clause, of.edition, status.words()),
    }
}

/// Containers of one paper, each with what the rules say of it.
pub(super) type Classified<'a> = Vec<(&'a Identifier, Classification)>;

/// Classifies every container; the reasons stand in the record of its classification.
///
/// # Errors
/// A day of a container that is yet to come.
pub(super) fn of_all<'a>(
    known: &Known<'a>,
    at: &str,
    desk: Desk<'_>,
) -> Result<Classified<'a>, Faults> {
    let site = Site::of_nobody(desk.rules, desk.on);
    known
        .iter()
        .enumerate()
        .map(|(i, (batch, estimate))| {
            let (place, mut aside) = (format!("{at}/{i}"), Notes::new());
            let found = classify_batch(batch, estimate.as_ref(), &site, &place, &mut aside)?;
            Ok((&batch.id, found))
        })
        .collect()
}

/// What the rules say of one of them.
pub(super) fn of_one<'a>(all: &'a Classified<'_>, batch: &Batch) -> Option<&'a Classification> {
    let found = all.iter().find(|(name, _)| **name == batch.id);
    found.map(|(_, found)| found)
}

/// The last day that a container may stay; one for each category where that is not known, the earliest
/// first; blank where no clock runs.
pub(super) fn must_leave_by(found: &Classification) -> String {
    let mut days: Vec<Date> = found.clocks().map(|c| c.due_on).collect();
    days.dedup();
    let days: Vec<String> = days.iter().map(ToString::to_string).collect();
    match days.as_slice() {
        [] | [_] => days.concat(),
        several => format!("{}: ask which", several.join(" or ")),
    }
}

/// The rules that the last days come from, each once, with the containers it holds for or may hold for.
pub(super) fn clock_rules(containers: &Classified<'_>, notes: &mut Notes) -> Option<Block> {
    let mut rules: Vec<(&str, Vec<&str>)> = Vec::new();
    for (name, found) in containers {
        for clock in found.clocks() {
            match rules.iter_mut().find(|(rule, _)| *rule == clock.rule) {
                Some((_, names)) => names.push(name.as_str()),
                None => {
                    rules.push((&clock.rule, vec![name.as_str()]));
                    if let Some(source) = reference(&clock.source) {
                        notes.cite(&source.key);
                    }
                }
            }
        }
    }
    let points: Vec<String> = rules
        .into_iter()
        .map(|(rule, names)| format!("{}: {rule}", names.join(", ")))
        .collect();
    (!points.is_empty()).then_some(Block::Points { points })
}

/// Said loudly, of every container by its name.
pub(super) fn past_their_day(of: &Classified<'_>, on: Date) -> Option<Block> {
    past_its_day(of.iter().map(|(name, found)| (Some(*name), found)), on)
}

/// Said loudly: containers, by name where there are several, that have stood longer than their clock
/// allows, or than one that may run.
pub(super) fn past_its_day<'a>(
    containers: impl IntoIterator<Item = (Option<&'a Identifier>, &'a Classification)>,
    on: Date,
) -> Option<Block> {
    let (mut grave, mut lines) = (Severity::Caution, Vec::new());
    for (name, found) in containers {
        let Some(clock) = found.run_out(on) else {
            continue;
        };
        let what = name.map_or_else(|| "It".to_owned(), ToString::to_string);
        let days = on.days_since(clock.due_on);
        let due = format!("to leave by {}: {days} days ago.", clock.due_on);
        lines.push(if found.clock.is_some() {
            grave = Severity::Danger;
            format!("{what} had {due} Call the authority and a licensed haulier today.")
        } else {
            format!("{what} may have had {due} Find out the site's category, and call the authority today.")
        });
    }
    (!lines.is_empty()).then(|| Block::warning(grave, "Past its latest day", lines))
}

/// The codes a waste bears, may bear, or was shown not to bear.
pub(super) fn codes(found: &Classification, notes: &mut Notes) -> Vec<Block> {
    let mut rows = Vec::new();
    for c in &found.codes {
        let rule = clause(c.authority, notes);
        let sure = c.certainty.words().to_owned();
        rows.push(vec![c.code.clone(), sure, c.reason.clone(), rule]);
    }
    for c in &found.clean {
        let rule = clause(c.authority, notes);
        let sure = "does not apply".to_owned();
        rows.push(vec![c.code.clone(), sure, c.reason.clone(), rule]);
    }
    if rows.is_empty() {
        return vec![Block::paragraph(
            "These rules gave no code. That does not make it harmless: ask the authority.",
        )];
    }
    vec![words(["Code", "How sure", "Why", "Rule"], rows)]
}

/// All else that decides what a waste is in law and what may be done with it: its entry in the list
/// of waste, what the law takes it for, treatments here, limits on what goes to a sewer or a water.
pub(super) fn beyond_codes(found: &Classification, notes: &mut Notes) -> Vec<Block> {
    let mut blocks = Vec::new();
    if let Some(list) = &found.waste_list {
        blocks.extend(list_of_waste(list, notes));
    }
    if let Some(material) = &found.material {
        let rule = clause(material.authority, notes);
        blocks.push(words(
            ["What the law takes it for", "Rule"],
            vec![vec![material.text.to_owned(), rule]],
        ));
    }
    if !found.treatments.is_empty() {
        blocks.push(treatments(&found.treatments, notes));
    }
    if !found.discharge_limits.is_empty() {
        blocks.push(discharge_limits(&found.discharge_limits, notes));
    }
    if rests_on_unverified(found) {
        blocks.push(Block::warning(
            Severity::Note,
            "Unverified rules",
            vec!["A rule marked UNVERIFIED was not read in its own text. Look it up, or ask the authority, before anything rests on it.".to_owned()],
        ));
    }
    blocks
}

fn list_of_waste(list: &WasteListFinding, notes: &mut Notes) -> Vec<Block> {
    let mut blocks = Vec::new();
    if list.candidates.is_empty() {
        blocks.push(Block::paragraph(
            "No entry of the list of waste names it: ask the authority or the contractor.",
        ));
    } else {
        let mut rows = Vec::new();
        for entry in &list.candidates {
            let rule = clause(entry.authority, notes);
            let marked = entry.entry.words().to_owned();
            rows.push(vec![entry.code.clone(), entry.title.clone(), marked, rule]);
        }
        blocks.push(words(
            ["Entry", "List of waste", "By its entry", "Rule"],
            rows,
        ));
    }
    if let (Some(choice), Some(authority)) = (&list.choice, &list.choice_authority) {
        let rule = clause(authority, notes);
        blocks.push(Block::paragraph(format!("{choice} [{rule}]")));
    }
    blocks
}

fn treatments(found: &[TreatmentFinding], notes: &mut Notes) -> Block {
    let mut rows = Vec::new();
    for t in found {
        let verdict = match t.verdict {
            TreatmentVerdict::DoesNotFit => "no",
            TreatmentVerdict::Ask => "ask the authority",
            TreatmentVerdict::OnItsCondition => "on its condition",
        };
        let rule = clause(t.authority, notes);
        rows.push(vec![
            t.what.to_owned(),
            verdict.to_owned(),
            t.text.clone().into_owned(),
            rule,
        ]);
    }
    words(
        ["Treated here", "May it be?", "What the rule says", "Rule"],
        rows,
    )
}

fn discharge_limits(found: &[DischargeLimitFinding], notes: &mut Notes) -> Block {
    let mut rows = Vec::new();
    for limit in found {
        let verdict = match limit.verdict {
            LocalVerdict::AtOrAbove => "at or above",
            LocalVerdict::ToBeTested => "to be tested",
            LocalVerdict::AssayBelow => "assay below; no permission",
        };
        let rule = clause(limit.authority, notes);
        rows.push(vec![
            format!(
                "{}, {} mg/L",
                limit.element,
                write_decimal(limit.limit_mg_per_l.decimal())
            ),
            verdict.to_owned(),
            limit.text.clone(),
            rule,
        ]);
    }
    words(
        [
            "Limit to a sewer or water",
            "Against it",
            "In words",
            "Rule",
        ],
        rows,
    )
}

fn rests_on_unverified(found: &Classification) -> bool {
    let list = found.waste_list.iter();
    let list = list.flat_map(|l| {
        let entries = l.candidates.iter().map(|c| &c.authority);
        entries.chain(&l.choice_authority)
    });
    (found.codes.iter().map(|c| &c.authority))
        .chain(found.clean.iter().map(|c| &c.authority))
        .chain(list)
        .chain(found.material.iter().map(|m| &m.authority))
        .chain(found.treatments.iter().map(|t| &t.authority))
        .chain(found.discharge_limits.iter().map(|l| &l.authority))
        .chain(found.duties.iter().map(|d| &d.authority))
        .chain(found.papers.iter().map(|d| &d.authority))
        .chain(found.marks.iter().map(|d| &d.authority))
        .any(|a| a.status == SourceStatus::Unverified)
}

/// What is wrong with a container, in a box; nothing where nothing is.
pub(super) fn container<'a>(
    found: impl Iterator<Item = &'a ContainerFinding>,
    notes: &mut Notes,
) -> Option<Block> {
    let lines: Vec<String> = found
        .map(|f| {
            notes.cite(f.source);
            format!("{} {}", f.happens, f.instead)
        })
        .collect();
    (!lines.is_empty()).then(|| Block::warning(Severity::Caution, "Container", lines))
}
