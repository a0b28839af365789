//! One row of the register: what its entry says, and its container as it was on that day.

use super::result::{RegisterEvent, RegisterRow};
use crate::batch::{BatchKind, BatchStatus};
use crate::ledger::entry::{Entry, Event, Part, Transferred};
use crate::ledger::fold::{Book, Place};
use crate::ledger::holding::Holding;
use crate::quantity::{
    ComputedGrams, Date, Exact, Identifier, Kilograms, Litres, Measured, Quantity, Unit,
    nearest_double,
};
use crate::waste::classification::{Standing, standing_of};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// A container at one moment.
pub(super) struct Moment {
    kind: BatchKind,
    status: Option<BatchStatus>,
    waste_since: Option<Date>,
    standing: Standing,
    empty: bool,
    volume_l: Option<Litres>,
    mass_kg: Option<Kilograms>,
    silver: Option<(Decimal, f64)>,
}

impl Moment {
    pub(super) fn holds(holding: &Holding) -> Self {
        let (batch, empty) = (holding.content(), holding.is_empty());
        let weighed = batch.gross_g.as_ref().zip(batch.tare_g.as_ref());
        let net = weighed.and_then(|(gross, tare)| {
            kilograms(Exact::from(gross.decimal()) - Exact::from(tare.decimal()))
        });
        Self {
            kind: batch.kind,
            status: batch.status,
            waste_since: batch.waste_since,
            standing: standing_of(batch).is,
            empty,
            volume_l: recorded(batch.volume_l.as_ref()).filter(|_| !empty),
            mass_kg: recorded(batch.mass_kg.as_ref()).or(net).filter(|_| !empty),
            silver: holding.silver_g(),
        }
    }

    fn is_waste(&self) -> bool {
        self.standing == Standing::Waste
    }
}

/// Grams as kilograms.
fn kilograms(grams: Exact) -> Option<Kilograms> {
    let kilograms = grams / Exact::from(Decimal::ONE_THOUSAND);
    Kilograms::new(kilograms.finish().ok()?).ok()
}

/// The value of a reading, as it was recorded.
fn recorded<U: Unit>(reading: Option<&Measured<U>>) -> Option<Quantity<U>> {
    Quantity::new(reading?.decimal()).ok()
}

/// The containers of an entry before and after it.
pub(super) struct Moments {
    pub before: BTreeMap<Identifier, Moment>,
    pub after: BTreeMap<Identifier, Moment>,
}

impl Moments {
    fn was_waste(&self, name: &Identifier) -> bool {
        self.before.get(name).is_some_and(Moment::is_waste)
    }

    fn is_waste(&self, name: &Identifier) -> bool {
        self.after.get(name).is_some_and(Moment::is_waste)
    }
}

/// The row of an entry; none where no inspector asks for it.
pub(super) fn row(
    entry: &Entry,
    moments: &Moments,
    whole: &Book,
    named: Option<&Entry>,
) -> Option<RegisterRow> {
    let sheet = Sheet {
        entry,
        moments,
        whole,
    };
    match &entry.event {
        Event::Opened(e) => {
            let name = &e.batch.id;
            // One that was reversed never came into the book.
            let own = Moment::holds(&Holding::opened(&e.batch, entry.on));
            let moment = moments.after.get(name).unwrap_or(&own);
            let text = match moment.standing {
                Standing::Waste => "It was waste when it came into the book.",
                Standing::ToBeAsked => {
                    "It came into the book, and nobody has said whether it is at work."
                }
                Standing::AtWork | Standing::Unused => return None,
            };
            if moment.empty {
                return None;
            }
            let row = sheet.whole_container(RegisterEvent::TakenIn, name, moment, text);
            Some(sheet.with_silver_moved(row))
        }
        Event::Spent(e) => {
            let moment = moments.after.get(&e.batch)?;
            let text = "Taken out of work: from this day it is waste.";
            Some(sheet.whole_container(RegisterEvent::Generated, &e.batch, moment, text))
        }
        Event::Treated(e) => {
            let moment = moments.after.get(&e.batch)?;
            Some(sheet.whole_container(RegisterEvent::Treated, &e.batch, moment, e.what.as_str()))
        }
        Event::Transferred(e) => sheet.transferred(e),
        Event::ToppedUp(e) => moments.was_waste(&e.batch).then(|| {
            let row = sheet.at(RegisterEvent::WaterAdded, &e.batch, "Water was added.");
            RegisterRow {
                volume_l: recorded(Some(&e.water_l)),
                ..row
            }
        }),
        Event::ProductRecovered(e) => {
            let mass_kg = kilograms(Exact::from(e.product.wet_mass_g.decimal()));
            if moments.was_waste(&e.batch) {
                let text = "A product was taken out of it.";
                let row = sheet.at(RegisterEvent::Recovered, &e.batch, text);
                Some(sheet.with_silver_moved(RegisterRow {
                    mass_kg,
                    to: Some(e.into.to_string()),
                    ..row
                }))
            } else if moments.is_waste(&e.into) {
                let text = "A product out of a liquid at work, kept as waste.";
                let row = sheet.at(RegisterEvent::Generated, &e.into, text);
                Some(sheet.with_silver_moved(RegisterRow { mass_kg, ..row }))
            } else {
                None
            }
        }
        Event::Shipped(e) => {
            let row = sheet.out(
                RegisterEvent::Shipped,
                &e.batch,
                &e.part,
                "Sent to a refiner.",
            );
            Some(RegisterRow {
                to: Some(format!("shipment {}", e.shipment)),
                ..row
            })
        }
        Event::Settled(e) => {
            let row = sheet.blank(RegisterEvent::Settled, "The refiner's statement came.");
            Some(sheet.with_silver_moved(RegisterRow {
                to: Some(format!("shipment {}", e.shipment)),
                ..row
            }))
        }
        Event::Collected(e) => {
            let text = "Taken away by a haulier.";
            let row = sheet.out(RegisterEvent::Collected, &e.batch, &e.part, text);
            Some(RegisterRow {
                to: Some(e.haulier.to_string()),
                consignment: e.consignment.clone(),
                ..row
            })
        }
        Event::Discharged(e) => {
            let text = "Discharged under the permit or written word named here.";
            let row = sheet.out(RegisterEvent::Discharged, &e.batch, &e.part, text);
            Some(RegisterRow {
                to: Some(e.permit.to_string()),
                ..row
            })
        }
        Event::Spilled(e) => {
            Some(sheet.out(RegisterEvent::Spilled, &e.batch, &e.part, e.what.as_str()))
        }
        Event::Inspected(e) => Some(match &e.batch {
            Some(batch) => sheet.at(RegisterEvent::Inspected, batch, e.found.as_str()),
            None => sheet.blank(RegisterEvent::Inspected, e.found.as_str()),
        }),
        Event::Closed(e) => {
            let text = e.written_off.as_ref().map_or_else(
                || "Empty, and out of the book.".to_owned(),
                |why| format!("Out of the book; what was left counts as lost: {why}"),
            );
            let row = sheet.at(RegisterEvent::Closed, &e.batch, &text);
            let moment = moments.before.get(&e.batch);
            Some(sheet.with_silver_moved(RegisterRow {
                volume_l: moment.and_then(|m| m.volume_l),
                mass_kg: moment.and_then(|m| m.mass_kg),
                ..row
            }))
        }
        Event::Reversed(e) => {
            let named = named.filter(|n| may_be_listed(&n.event))?;
            let text = format!(
                "Entry `{}` of {} ({}) was wrong and counts no more: {}",
                named.id,
                named.on,
                named.event.name(),
                e.reason
            );
            Some(sheet.blank(RegisterEvent::Reversal, &text))
        }
        Event::MadeUp(_) | Event::Replenished(_) | Event::Processed(_) | Event::Measured(_) => None,
    }
}

/// Whether an event of this kind may stand in a register.
const fn may_be_listed(event: &Event) -> bool {
    !matches!(
        event,
        Event::MadeUp(_) | Event::Replenished(_) | Event::Processed(_) | Event::Measured(_)
    )
}

/// One row being written.
struct Sheet<'a> {
    entry: &'a Entry,
    moments: &'a Moments,
    whole: &'a Book,
}

impl Sheet<'_> {
    fn blank(&self, what: RegisterEvent, text: &str) -> RegisterRow {
        let entry = self.entry;
        RegisterRow {
            entry: entry.id.clone(),
            on: entry.on,
            what,
            container: None,
            kind: None,
            status: None,
            waste_since: None,
            text: text.to_owned(),
            volume_l: None,
            mass_kg: None,
            silver_g: None,
            standard_uncertainty_g: None,
            to: None,
            consignment: None,
            recorded_by: entry.recorded_by.clone(),
            supervised_by: entry.supervised_by.clone(),
            note: entry.note.clone(),
            reversed_by: None,
            reversed_on: None,
            reversal_reason: None,
        }
    }

    /// About a container as it was before the entry.
    fn at(&self, what: RegisterEvent, name: &Identifier, text: &str) -> RegisterRow {
        let moment = self.moments.before.get(name);
        RegisterRow {
            container: Some(name.clone()),
            kind: moment.map(|m| m.kind),
            status: moment.and_then(|m| m.status),
            waste_since: moment.and_then(|m| m.waste_since),
            ..self.blank(what, text)
        }
    }

    /// About all of a container at that moment.
    fn whole_container(
        &self,
        what: RegisterEvent,
        name: &Identifier,
        moment: &Moment,
        text: &str,
    ) -> RegisterRow {
        RegisterRow {
            container: Some(name.clone()),
            kind: Some(moment.kind),
            status: moment.status,
            waste_since: moment.waste_since,
            volume_l: moment.volume_l,
            mass_kg: moment.mass_kg,
            silver_g: moment
                .silver
                .map(|s| ComputedGrams::of(nearest_double(s.0))),
            standard_uncertainty_g: moment.silver.map(|s| ComputedGrams::of(s.1)),
            ..self.blank(what, text)
        }
    }

    /// About a part that leaves a container.
    fn out(&self, what: RegisterEvent, name: &Identifier, part: &Part, text: &str) -> RegisterRow {
        let (volume_l, mass_kg) = self.amount(name, part);
        self.with_silver_moved(RegisterRow {
            volume_l,
            mass_kg,
            ..self.at(what, name, text)
        })
    }

    fn amount(&self, name: &Identifier, part: &Part) -> (Option<Litres>, Option<Kilograms>) {
        match part {
            Part::VolumeL(v) => (recorded(Some(v)), None),
            Part::MassKg(m) => (None, recorded(Some(m))),
            Part::All(_) => {
                let moment = self.moments.before.get(name);
                (
                    moment.and_then(|m| m.volume_l),
                    moment.and_then(|m| m.mass_kg),
                )
            }
        }
    }

    /// With the silver that the entry moved, by the book.
    fn with_silver_moved(&self, row: RegisterRow) -> RegisterRow {
        let moved = self.whole.movements.iter().find(|m| {
            m.entry == self.entry.id && m.from != Place::Unexplained && m.to != Place::Unexplained
        });
        let silver = moved.and_then(|m| m.silver);
        RegisterRow {
            silver_g: silver.map(|s| ComputedGrams::of(s.value())),
            standard_uncertainty_g: silver.map(|s| ComputedGrams::of(s.uncertainty())),
            ..row
        }
    }

    /// A pouring is an incident, makes waste, or moves it; else no inspector asks for it.
    fn transferred(&self, e: &Transferred) -> Option<RegisterRow> {
        let (volume_l, mass_kg) = self.amount(&e.from, &e.part);
        let was = self.moments.was_waste(&e.from);
        let row = if let Some(incident) = &e.incident {
            RegisterRow {
                to: Some(e.into.to_string()),
                ..self.at(RegisterEvent::Incident, &e.from, incident.as_str())
            }
        } else if !was && self.moments.is_waste(&e.into) {
            let moment = self.moments.after.get(&e.into)?;
            let text = format!("It came out of `{}`.", e.from);
            RegisterRow {
                silver_g: None,
                standard_uncertainty_g: None,
                ..self.whole_container(RegisterEvent::Generated, &e.into, moment, &text)
            }
        } else if was {
            RegisterRow {
                to: Some(e.into.to_string()),
                ..self.at(
                    RegisterEvent::Moved,
                    &e.from,
                    "Poured, or put, into another container.",
                )
            }
        } else {
            return None;
        };
        Some(self.with_silver_moved(RegisterRow {
            volume_l,
            mass_kg,
            ..row
        }))
    }
}
