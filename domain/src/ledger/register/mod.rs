//! The waste register: every event that an inspector asks for, as the book tells it. Nothing that was
//! recorded is left out because it was wrong: what was reversed stands in its place and says so.

mod result;
mod sheet;

pub use result::{RegisterEvent, RegisterRow, RegisterTotal, WasteRegister, WasteRegisterRequest};

use super::entry::{Entry, Event, reversals};
use super::fold::{Book, fold};
use crate::answer::{Answer, Method, Notes, Severity};
use crate::fault::{Fault, FaultKind, Faults, at_most};
use crate::quantity::{ComputedKilograms, ComputedLitres, Identifier};
use crate::waste::rule_set::{RuleSet, RuleSetName};
use sheet::{Moment, Moments, row};
use std::collections::BTreeMap;

const REGISTER: Method = Method {
    name: "waste_register",
    formula: "for each kind of event in a calendar month the sum of the litres and the sum of the kilograms that were recorded; nothing is converted, and what was reversed counts nothing",
    source: "house_rule",
};

/// Every method of this module.
pub const REGISTER_METHODS: &[Method] = &[REGISTER];

/// Answers `POST /v1/waste-registers`: the waste register of a period, from the entries of the book.
///
/// # Errors
/// Every fault of [`fold`]; a period that ends before it begins; too many entries.
///
/// ```
/// use spent_silver_domain::ledger::{RegisterEvent, WasteRegisterRequest, list_waste_events};
/// let request: WasteRegisterRequest = serde_json::from_str(r#"{"from": "2026-01-01", "until": "2026-12-31", "entries": [
///   {"id": "1", "on": "2026-02-01", "recorded_by": "A.", "event": {"opened": {"batch": {"id": "jug", "kind": "fixer", "status": "in_use", "volume_l": "10"}}}},
///   {"id": "2", "on": "2026-03-01", "recorded_by": "A.", "event": {"spent": {"batch": "jug"}}},
///   {"id": "3", "on": "2026-04-01", "recorded_by": "A.", "event": {"collected": {"batch": "jug", "part": {"all": {}}, "haulier": "a haulier"}}}]}"#).unwrap();
/// let register = list_waste_events(&request).unwrap().result;
/// let rows: Vec<_> = register.rows.iter().map(|r| (r.what, r.volume_l.unwrap().decimal().to_string())).collect();
/// assert_eq!(rows, [(RegisterEvent::Generated, "10".into()), (RegisterEvent::Collected, "10".into())]);
/// ```
pub fn list_waste_events(request: &WasteRegisterRequest) -> Result<Answer<WasteRegister>, Faults> {
    at_most("/entries", request.entries.len(), super::MOST_ENTRIES)?;
    register_of_book(request)
}

/// As [`list_waste_events`], over any number of entries.
///
/// # Errors
/// See there.
pub fn register_of_book(request: &WasteRegisterRequest) -> Result<Answer<WasteRegister>, Faults> {
    let mut notes = Notes::new();
    let rules = request
        .rule_set
        .map_or_else(RuleSet::unspecified, RuleSetName::rules);
    if request.until < request.from {
        return Err(Fault::new(
            FaultKind::DateOrder,
            "/until",
            format!(
                "{} is before {}: expected a day on or after `from`",
                request.until, request.from
            ),
        )
        .into());
    }
    let whole =
        notes.as_a_whole(|notes| fold(&request.entries, Some(request.until), rules, notes))?;
    let rows = rows(request, &whole, rules)?;
    let totals = totals(&rows);
    notes.method("/totals", REGISTER);
    warn(&rows, &mut notes);
    let register = WasteRegister {
        from: request.from,
        until: request.until,
        rows,
        totals,
    };
    Ok(notes.answer(register, request.rule_set.map(RuleSetName::rules)))
}

fn warn(rows: &[RegisterRow], notes: &mut Notes) {
    for (i, row) in rows.iter().enumerate() {
        if row.reversed_by.is_some() {
            continue;
        }
        let about = format!("/rows/{i}");
        if row.what.has_amount() && row.volume_l.is_none() && row.mass_kg.is_none() {
            notes.warn(
                &about,
                Severity::Note,
                format!(
                    "Entry `{}` of {} ({}) has no amount: an inspector asks for kilograms. Weigh it, or read the jug mark, before it leaves.",
                    row.entry,
                    row.on,
                    row.what.words()
                ),
            );
        }
    }
}

/// Goes through the book once more, entry by entry, so that each row sees its container as it was.
fn rows(
    request: &WasteRegisterRequest,
    whole: &Book,
    rules: &RuleSet,
) -> Result<Vec<RegisterRow>, Faults> {
    let reversals = reversals(&request.entries);
    let entries: BTreeMap<&Identifier, &Entry> =
        request.entries.iter().map(|e| (&e.id, e)).collect();
    let mut order: Vec<(usize, &Entry)> = request
        .entries
        .iter()
        .enumerate()
        .filter(|(_, e)| e.on <= request.until)
        .collect();
    order.sort_by_key(|(i, e)| (e.on, *i));
    let mut book = Book::default();
    let mut rows = Vec::new();
    for (i, entry) in order {
        let before = moments(&book, entry);
        let reversal = reversals.get(&entry.id);
        if reversal.is_none() {
            book.enter(
                entry,
                &format!("/entries/{i}"),
                rules,
                &mut Notes::default(),
            )?;
        }
        if entry.on < request.from {
            continue;
        }
        let after = moments(&book, entry);
        let moments = Moments { before, after };
        let named = match &entry.event {
            Event::Reversed(r) => entries.get(&r.entry).copied(),
            _ => None,
        };
        let Some(mut row) = row(entry, &moments, whole, named) else {
            continue;
        };
        if let Some((by, reason)) = reversal {
            row.reversed_by = Some(by.id.clone());
            row.reversed_on = Some(by.on);
            row.reversal_reason = Some((*reason).clone());
        }
        rows.push(row);
    }
    Ok(rows)
}

/// The containers that an entry names, as they are now.
fn moments(book: &Book, entry: &Entry) -> BTreeMap<Identifier, Moment> {
    containers_of(&entry.event)
        .into_iter()
        .filter_map(|name| Some((name.clone(), Moment::holds(book.holding(name)?))))
        .collect()
}

fn containers_of(event: &Event) -> Vec<&Identifier> {
    match event {
        Event::Opened(e) => vec![&e.batch.id],
        Event::Transferred(e) => vec![&e.from, &e.into],
        Event::ProductRecovered(e) => vec![&e.batch, &e.into],
        Event::ToppedUp(e) => vec![&e.batch],
        Event::Spent(e) => vec![&e.batch],
        Event::Treated(e) => vec![&e.batch],
        Event::Shipped(e) => vec![&e.batch],
        Event::Collected(e) => vec![&e.batch],
        Event::Discharged(e) => vec![&e.batch],
        Event::Spilled(e) => vec![&e.batch],
        Event::Inspected(e) => e.batch.iter().collect(),
        Event::Closed(e) => vec![&e.batch],
        Event::MadeUp(_)
        | Event::Replenished(_)
        | Event::Processed(_)
        | Event::Measured(_)
        | Event::Settled(_)
        | Event::Reversed(_) => Vec::new(),
    }
}

/// The months in order, and in each what happened.
fn totals(rows: &[RegisterRow]) -> Vec<RegisterTotal> {
    let mut sums: BTreeMap<(String, RegisterEvent), RegisterTotal> = BTreeMap::new();
    let counted = rows.iter().filter(|r| {
        let lost = r.what == RegisterEvent::Closed && (r.volume_l.is_some() || r.mass_kg.is_some());
        r.reversed_by.is_none() && (r.what.has_amount() || lost)
    });
    for row in counted {
        let month: String = row.on.to_string().chars().take(7).collect();
        let sum = sums
            .entry((month.clone(), row.what))
            .or_insert_with(|| RegisterTotal {
                month,
                what: row.what,
                row_count: 0,
                volume_l: ComputedLitres::of(0.0),
                mass_kg: ComputedKilograms::of(0.0),
                unknown_count: 0,
            });
        sum.row_count = sum.row_count.saturating_add(1);
        match (row.volume_l, row.mass_kg) {
            (None, None) => sum.unknown_count = sum.unknown_count.saturating_add(1),
            (volume, mass) => {
                let litres = volume.map_or(0.0, |v| v.as_f64());
                let kilograms = mass.map_or(0.0, |m| m.as_f64());
                sum.volume_l = ComputedLitres::of(sum.volume_l.get() + litres);
                sum.mass_kg = ComputedKilograms::of(sum.mass_kg.get() + kilograms);
            }
        }
    }
    sums.into_values().collect()
}
