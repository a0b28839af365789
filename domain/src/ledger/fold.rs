//! Entries, folded into what each container holds and where the silver went.

use super::entry::{Entry, Event, Reversed, Subject};
use super::holding::{Holding, Level};
use super::pen::Pen;
use crate::answer::Notes;
use crate::fault::{Fault, FaultKind, Faults};
use crate::quantity::{Date, Identifier};
use crate::waste::rule_set::RuleSet;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Where silver is, or where it went.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// Here before the book began.
    OnHand,
    /// Bought.
    Bought,
    /// From somebody else.
    Received,
    /// On plates, film and paper.
    Material,
    /// In a container, by its name.
    Container(Identifier),
    /// On its way to a refiner, by the shipment's name.
    Shipment(Identifier),
    /// Settled by a refiner.
    Settled,
    /// Taken away by a haulier.
    Collected,
    /// Discharged.
    Discharged,
    /// Spilled or written off.
    Lost,
    /// Found, or missed, by a reading against the records.
    Unexplained,
}

/// Silver that went from one place to another.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Movement {
    pub entry: Identifier,
    pub on: Date,
    pub from: Place,
    pub to: Place,
    /// `None` where the silver was unknown.
    pub silver: Option<Level>,
    /// Where it is a share of what the container held: the share, and what its own uncertainty makes
    /// in grams. Else it was weighed or worked out by itself.
    pub share: Option<(f64, f64)>,
    /// Whether its silver was only concluded from a later reading, which it therefore cannot check.
    pub concluded: bool,
}

/// A reading of a container's silver by itself, which checks the records.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct SilverReading {
    pub entry: Identifier,
    pub on: Date,
    pub batch: Identifier,
    pub silver: Level,
    /// How many movements came before it.
    pub after: usize,
}

/// The silver book at some day: its containers, and every movement of silver.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Book {
    pub(super) holdings: BTreeMap<Identifier, Holding>,
    pub(super) movements: Vec<Movement>,
    pub(super) readings: Vec<SilverReading>,
    /// Shipments that were sent.
    pub(super) shipments: BTreeMap<Identifier, Shipment>,
    entries: BTreeSet<Identifier>,
    /// What the records say each container holds: the sum of what went in and out; `None` once
    /// something unknown did.
    pub(super) records: BTreeMap<Identifier, Option<Decimal>>,
    /// Containers whose silver was unknown when they were opened.
    pub(super) unknown_at_first: BTreeMap<Identifier, Unknown>,
    /// The last day of an entry about each subject.
    pub(super) last: BTreeMap<Subject, Date>,
}

/// A container whose silver was unknown when it was opened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Unknown {
    /// The movement that brought it.
    pub movement: usize,
    /// Whether nothing went in or out since.
    pub alone: bool,
}

/// What is known of a shipment.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Shipment {
    /// Silver sent, by the book; `None` where some of it was unknown.
    pub sent: Option<Level>,
    /// Whether the refiner has settled it.
    pub settled: bool,
}

/// Folds entries, given in the order they were recorded, into the book as of the end of a day (by
/// default of the last entry).
///
/// Entries count by their day, and within a day in the order recorded. A reversed entry counts as
/// never made. Silver that goes out of one container goes into another or to a named place, to the
/// last digit: nothing is rounded away.
///
/// # Errors
/// The first entry, in the order of days, that cannot be: an unknown or closed container, more taken
/// out than is in it, a dangerous mixture that is not recorded as an incident. Pointers start at
/// `/entries/` and the entry's place in the list.
pub fn fold(
    entries: &[Entry],
    until: Option<Date>,
    rules: &RuleSet,
    notes: &mut Notes,
) -> Result<Book, Faults> {
    let gone = reversed(entries)?;
    fold_without(entries, &gone, until, None, rules, notes).map_err(|(_, faults)| faults)
}

/// Folds entries, but for those `gone`; a fault comes with the place of the entry that has it. With
/// `alone`, only that entry's notes are taken, and pointers are into the entry itself.
pub(super) fn fold_without(
    entries: &[Entry],
    gone: &BTreeSet<Identifier>,
    until: Option<Date>,
    alone: Option<usize>,
    rules: &RuleSet,
    notes: &mut Notes,
) -> Result<Book, (usize, Faults)> {
    let mut order: Vec<(usize, &Entry)> = entries
        .iter()
        .enumerate()
        .filter(|(_, e)| until.is_none_or(|day| e.on <= day) && !gone.contains(&e.id))
        .collect();
    order.sort_by_key(|(i, e)| (e.on, *i));
    let mut book = Book::default();
    let mut aside = Notes::default();
    for (i, entry) in order {
        let (at, notes) = match alone {
            None => (format!("/entries/{i}"), &mut *notes),
            Some(one) if one == i => (String::new(), &mut *notes),
            Some(_) => (String::new(), &mut aside),
        };
        book.enter(entry, &at, rules, notes)
            .map_err(|faults| (i, faults))?;
    }
    Ok(book)
}

/// Names of the entries that are reversed. Every name is unique; a reversal names an entry recorded
/// before it, once, and is not reversed itself.
pub(super) fn reversed(entries: &[Entry]) -> Result<BTreeSet<Identifier>, Faults> {
    let mut seen: BTreeMap<&Identifier, &Event> = BTreeMap::new();
    let mut gone = BTreeSet::new();
    let mut faults = Vec::new();
    for (i, entry) in entries.iter().enumerate() {
        if let Event::Reversed(Reversed { entry: named, .. }) = &entry.event {
            let at = format!("/entries/{i}/event/reversed/entry");
            match seen.get(named) {
                None => faults.push(Fault::new(
                    FaultKind::Unknown,
                    at,
                    format!("no entry `{named}` was recorded before this one: expected the name of an earlier entry"),
                )),
                Some(Event::Reversed(_)) => faults.push(Fault::new(
                    FaultKind::Conflict,
                    at,
                    format!("`{named}` is a reversal, which stands: make the entry it removed again"),
                )),
                Some(_) if !gone.insert(named.clone()) => faults.push(Fault::new(
                    FaultKind::Conflict,
                    at,
                    format!("`{named}` is reversed already: expected one reversal"),
                )),
                Some(_) => {}
            }
        }
        if seen.insert(&entry.id, &entry.event).is_some() {
            faults.push(Fault::new(
                FaultKind::Conflict,
                format!("/entries/{i}/id"),
                format!(
                    "`{}` names two entries: expected a name of its own",
                    entry.id
                ),
            ));
        }
    }
    Faults::none_of(faults)?;
    Ok(gone)
}

impl Book {
    /// The containers that were ever in the book, closed ones included.
    pub fn holdings(&self) -> impl Iterator<Item = (&Identifier, &Holding)> {
        self.holdings.iter()
    }

    /// The container of that name.
    #[must_use]
    pub fn holding(&self, name: &Identifier) -> Option<&Holding> {
        self.holdings.get(name)
    }

    /// Enters one more entry, on or after the last one's day. `at` is its place, for faults.
    ///
    /// # Errors
    /// See [`fold`].
    pub fn enter(
        &mut self,
        entry: &Entry,
        at: &str,
        rules: &RuleSet,
        notes: &mut Notes,
    ) -> Result<(), Faults> {
        if !self.entries.insert(entry.id.clone()) {
            return Err(Fault::new(
                FaultKind::Conflict,
                format!("{at}/id"),
                format!(
                    "`{}` names two entries: expected a name of its own",
                    entry.id
                ),
            )
            .into());
        }
        for subject in entry.event.subjects() {
            self.last.insert(subject, entry.on);
        }
        let at = format!("{at}/event/{}", entry.event.name());
        Pen {
            book: self,
            entry,
            at: &at,
            notes,
        }
        .write(rules)
    }

    pub(super) fn move_silver(&mut self, movement: Movement) {
        let grams = movement.silver.map(|s| s.grams);
        let index = self.movements.len();
        for (place, inward) in [(&movement.from, false), (&movement.to, true)] {
            if let Place::Container(name) = place {
                if let Some(unknown) = self.unknown_at_first.get_mut(name) {
                    unknown.alone &= unknown.movement == index;
                }
                let sum = self
                    .records
                    .entry(name.clone())
                    .or_insert(Some(Decimal::ZERO));
                *sum = sum.zip(grams).map(|(sum, grams)| {
                    if inward {
                        sum.saturating_add(grams)
                    } else {
                        sum.saturating_sub(grams)
                    }
                });
            }
        }
        self.movements.push(movement);
    }

    /// What the records say a container holds; `None` where something unknown went in or out.
    pub(super) fn records(&self, name: &Identifier) -> Option<Decimal> {
        self.records
            .get(name)
            .copied()
            .unwrap_or(Some(Decimal::ZERO))
    }

    /// Puts the first reading of a container, whose silver was unknown when it was opened, where it
    /// belongs: into what was taken in that day. Says whether that could be done.
    pub(super) fn conclude(&mut self, name: &Identifier, level: Level) -> bool {
        let Some(unknown) = self.unknown_at_first.remove(name) else {
            return false;
        };
        // Anything that went in or out meanwhile was unknown as well.
        if !unknown.alone {
            return false;
        }
        if let Some(movement) = self.movements.get_mut(unknown.movement) {
            movement.silver = Some(level);
            movement.concluded = true;
        }
        self.records.insert(name.clone(), Some(level.grams));
        true
    }
}
