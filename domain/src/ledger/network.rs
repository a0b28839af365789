//! The book as balances over independent readings, for data reconciliation.
//!
//! Every amount that was weighed, worked out or read by itself is one unknown. What a container holds
//! is a sum of such amounts: a share poured out is that share of the sum, plus a small amount for the
//! uncertainty of the share. A reading says that the sum is what was read; a refiner's statement says
//! it of a shipment. So no amount is counted twice, however far its silver travelled.

use super::fold::{Book, Movement, Place};
use super::holding::Level;
use crate::quantity::{Date, Identifier};
use crate::statistics::{Balance, Irreconcilable, Reading, Reconciliation, reconcile};
use std::collections::BTreeMap;

/// What an unknown of the network stands for.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Source {
    /// Silver in a container at the start of the period.
    Start(Identifier),
    /// Silver that an entry moved, weighed or worked out by itself.
    Moved(Identifier),
    /// The uncertainty of a share that an entry moved.
    Share(Identifier),
    /// A reading.
    Read(Identifier),
}

impl Source {
    /// The entry it comes from; of a balance at the start, none.
    pub const fn entry(&self) -> Option<&Identifier> {
        match self {
            Self::Start(_) => None,
            Self::Moved(entry) | Self::Share(entry) | Self::Read(entry) => Some(entry),
        }
    }
}

/// Most readings of one period that are compared: the work grows with their cube.
pub(super) const MOST_READINGS: usize = 300;

/// Why readings and records were not compared.
pub(super) enum Apart {
    /// See there.
    Irreconcilable(Irreconcilable),
    /// More readings than [`MOST_READINGS`].
    TooMany(usize),
}

/// A sum over unknowns.
type Sum = BTreeMap<usize, f64>;

/// The closed network.
pub(super) struct Network {
    pub sources: Vec<Source>,
    pub measured: Vec<Option<Reading>>,
    /// What each container holds at the end, as a sum.
    holds: BTreeMap<Place, Sum>,
    pub closed: Reconciliation,
}

struct Builder {
    sources: Vec<Source>,
    measured: Vec<Option<Reading>>,
    holds: BTreeMap<Place, Sum>,
    balances: Vec<Balance>,
}

impl Builder {
    fn unknown(&mut self, source: Source, silver: Option<Level>) -> usize {
        self.sources.push(source);
        self.measured.push(silver.map(|s| Reading {
            value: s.value(),
            variance: s.variance,
        }));
        self.sources.len().saturating_sub(1)
    }

    fn add(&mut self, place: &Place, amount: &Sum, sign: f64) {
        if !matches!(place, Place::Container(_) | Place::Shipment(_)) {
            return;
        }
        let sum = self.holds.entry(place.clone()).or_default();
        for (unknown, coefficient) in amount {
            *sum.entry(*unknown).or_insert(0.0) += sign * coefficient;
        }
    }

    fn movement(&mut self, movement: &Movement) {
        // What a reading found against the records is what reconciliation is to explain.
        if movement.from == Place::Unexplained || movement.to == Place::Unexplained {
            return;
        }
        let amount: Sum = match movement.share {
            Some((share, by_share)) => {
                let held = self.holds.get(&movement.from).cloned().unwrap_or_default();
                let mut amount: Sum = held.into_iter().map(|(i, c)| (i, c * share)).collect();
                if by_share > 0.0 {
                    let around = Level {
                        variance: by_share * by_share,
                        ..Level::NONE
                    };
                    let own = self.unknown(Source::Share(movement.entry.clone()), Some(around));
                    amount.insert(own, 1.0);
                }
                amount
            }
            None => {
                let silver = movement.silver.filter(|_| !movement.concluded);
                let own = self.unknown(Source::Moved(movement.entry.clone()), silver);
                Sum::from([(own, 1.0)])
            }
        };
        self.add(&movement.from, &amount, -1.0);
        self.add(&movement.to, &amount, 1.0);
        if movement.to == Place::Settled {
            // Nothing of a settled shipment is left on the way.
            let left = self.holds.remove(&movement.from).unwrap_or_default();
            self.balances.push(left.into_iter().collect());
        }
    }

    fn reading(&mut self, batch: &Identifier, entry: &Identifier, silver: Level) {
        let own = self.unknown(Source::Read(entry.clone()), Some(silver));
        let place = Place::Container(batch.clone());
        // From here on the container holds what was read, which the balance makes the same.
        let held = self.holds.insert(place, Sum::from([(own, 1.0)]));
        let mut balance: Balance = held.unwrap_or_default().into_iter().collect();
        balance.push((own, -1.0));
        self.balances.push(balance);
    }
}

impl Network {
    /// The network of what happened from `from` on, from the balances at its `start`.
    ///
    /// # Errors
    /// See [`Apart`].
    pub fn of(book: &Book, start: &Book, from: Date) -> Result<Self, Apart> {
        let readings = book.readings.iter().filter(|r| r.on >= from).count();
        if readings > MOST_READINGS {
            return Err(Apart::TooMany(readings));
        }
        let mut builder = Builder {
            sources: Vec::new(),
            measured: Vec::new(),
            holds: BTreeMap::new(),
            balances: Vec::new(),
        };
        let known = |name: &Identifier| start.holding(name).and_then(|h| h.level().ok().flatten());
        for (name, holding) in start.holdings() {
            if holding.closed_on.is_some() {
                continue;
            }
            let own = builder.unknown(Source::Start(name.clone()), known(name));
            builder.add(
                &Place::Container(name.clone()),
                &Sum::from([(own, 1.0)]),
                1.0,
            );
        }
        // What was on its way at the start: its silver by the records of that day.
        for (shipment, shipped) in &start.shipments {
            let place = Place::Shipment(shipment.clone());
            if shipped.settled {
                continue;
            }
            let own = builder.unknown(Source::Start(shipment.clone()), shipped.sent);
            builder.add(&place, &Sum::from([(own, 1.0)]), 1.0);
        }
        let mut readings = book.readings.iter().filter(|r| r.on >= from).peekable();
        for (i, movement) in book.movements.iter().enumerate() {
            while let Some(reading) = readings.next_if(|r| r.after <= i) {
                builder.reading(&reading.batch, &reading.entry, reading.silver);
            }
            if movement.on >= from {
                builder.movement(movement);
            }
        }
        for reading in readings {
            builder.reading(&reading.batch, &reading.entry, reading.silver);
        }
        let closed =
            reconcile(&builder.measured, &builder.balances).map_err(Apart::Irreconcilable)?;
        Ok(Self {
            sources: builder.sources,
            measured: builder.measured,
            holds: builder.holds,
            closed,
        })
    }

    /// What a container holds at the end by the reconciled amounts; `None` where they do not say.
    pub fn holds(&self, name: &Identifier) -> Option<f64> {
        let sum = self.holds.get(&Place::Container(name.clone()))?;
        sum.iter().try_fold(0.0, |total, (unknown, coefficient)| {
            let amount = self.closed.amounts.get(*unknown)?.as_ref()?;
            Some(total + coefficient * amount.value)
        })
    }
}
