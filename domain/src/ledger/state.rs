//! The book going on from where it stood, without the entries before: what a store keeps beside the
//! entries, and one more entry against those that were recorded.

use super::entry::{Entry, Subject};
use super::fold::{Book, Shipment, Unknown, fold_without, reversed};
use super::holding::Holding;
use crate::answer::Notes;
use crate::fault::{Fault, FaultKind, Faults};
use crate::quantity::{Date, Identifier, write_decimal};
use crate::waste::rule_set::RuleSet;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// What the entries about one container or shipment come to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct State {
    /// Day of the last of them.
    pub last_on: Date,
    what: What,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum What {
    Container(Box<Container>),
    Shipment(Shipment),
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Container {
    holding: Holding,
    /// What the records say it holds, as a decimal; `None` once something unknown went in or out.
    records: Option<String>,
    /// Whether its silver was unknown when it was opened, and nothing went in or out since.
    unknown_alone: Option<bool>,
}

impl Book {
    /// What the entries about a container or shipment come to; `None` where there are none.
    #[must_use]
    pub fn state(&self, subject: &Subject) -> Option<State> {
        let last_on = *self.last.get(subject)?;
        let what = match subject {
            Subject::Shipment(name) => What::Shipment(*self.shipments.get(name)?),
            Subject::Container(name) => What::Container(Box::new(Container {
                holding: self.holdings.get(name)?.clone(),
                records: self.records(name).map(write_decimal),
                unknown_alone: self.unknown_at_first.get(name).map(|u| u.alone),
            })),
        };
        Some(State { last_on, what })
    }

    /// Every container and shipment in the book.
    pub fn subjects(&self) -> impl Iterator<Item = &Subject> {
        self.last.keys()
    }

    /// A book that goes on from these states. It knows nothing of other containers, and of these no
    /// entry before: it takes entries about them, and says what they hold, but gives no account.
    ///
    /// ```
    /// # use spent_silver_domain::answer::Notes;
    /// # use spent_silver_domain::ledger::{Book, Entry, Subject, fold};
    /// # use spent_silver_domain::waste::rule_set::RuleSet;
    /// let entries: Vec<Entry> = serde_json::from_str(r#"[
    ///   {"id": "1", "on": "2026-02-01", "recorded_by": "A.", "event": {"opened": {"batch": {"id": "bath", "kind": "sensitizing_bath"}}}},
    ///   {"id": "2", "on": "2026-02-01", "recorded_by": "A.", "event": {"made_up": {"batch": "bath", "silver_nitrate_g": "100", "volume_after_l": "1.1"}}}]"#).unwrap();
    /// let rules = RuleSet::unspecified();
    /// let whole = fold(&entries, None, rules, &mut Notes::default()).unwrap();
    /// let bath: Subject = "container/bath".parse().unwrap();
    /// let first = fold(&entries[..1], None, rules, &mut Notes::default()).unwrap();
    /// let mut book = Book::resume([(bath.clone(), first.state(&bath).unwrap())]);
    /// book.enter(&entries[1], "", rules, &mut Notes::default()).unwrap();
    /// assert_eq!(book.state(&bath), whole.state(&bath));
    /// ```
    #[must_use]
    pub fn resume(states: impl IntoIterator<Item = (Subject, State)>) -> Self {
        let mut book = Self::default();
        for (subject, state) in states {
            book.last.insert(subject.clone(), state.last_on);
            match (subject, state.what) {
                (Subject::Shipment(name), What::Shipment(shipment)) => {
                    book.shipments.insert(name, shipment);
                }
                (Subject::Container(name), What::Container(container)) => {
                    let records = container.records.and_then(|r| r.parse::<Decimal>().ok());
                    book.records.insert(name.clone(), records);
                    if let Some(alone) = container.unknown_alone {
                        // The movement that brought it is not in this book: none has that number.
                        let unknown = Unknown {
                            movement: usize::MAX,
                            alone,
                        };
                        book.unknown_at_first.insert(name.clone(), unknown);
                    }
                    book.holdings.insert(name, container.holding);
                }
                // A state is kept under the subject it is of.
                (Subject::Shipment(_), What::Container(_))
                | (Subject::Container(_), What::Shipment(_)) => {}
            }
        }
        book
    }
}

/// Why an entry is not taken into the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refused {
    /// It cannot be; pointers are into the entry.
    Entry(Faults),
    /// With it, one recorded for a later day cannot be.
    Later {
        /// That entry.
        entry: Identifier,
        /// Why it cannot be; pointers are into that entry.
        faults: Faults,
    },
}

/// Enters one more entry, of whatever day, into what was recorded, in that order.
///
/// # Errors
/// See [`Refused`]; an entry for an earlier day is refused where it makes a later one impossible.
pub fn amend(
    recorded: &[Entry],
    entry: &Entry,
    rules: &RuleSet,
    notes: &mut Notes,
) -> Result<Book, Refused> {
    let mut entries = recorded.to_vec();
    entries.push(entry.clone());
    let last = recorded.len();
    let gone = reversed(&entries).map_err(|f| Refused::Entry(within(&f, last)))?;
    fold_without(&entries, &gone, None, Some(last), rules, notes).map_err(|(i, faults)| {
        match recorded.get(i) {
            Some(later) => Refused::Later {
                entry: later.id.clone(),
                faults,
            },
            None => Refused::Entry(faults),
        }
    })
}

/// The faults of the entry in that place, their pointers into the entry.
fn within(faults: &Faults, place: usize) -> Faults {
    let prefix = format!("/entries/{place}");
    let own = |fault: &Fault| Fault {
        pointer: fault
            .pointer
            .strip_prefix(&prefix)
            .unwrap_or(&fault.pointer)
            .to_owned(),
        ..fault.clone()
    };
    let list: Vec<Fault> = faults.list().iter().map(own).collect();
    match Faults::none_of(list) {
        Err(faults) => faults,
        Ok(()) => Fault::new(FaultKind::Conflict, "", "the entry cannot be").into(),
    }
}
