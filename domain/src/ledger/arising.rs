//! What became waste in each calendar month, over all containers of the book: the figure that a site's
//! category goes by. It counts what arises, whether it still stands here or has left.

use super::entry::{Entry, Event, Part, reversals};
use super::fold::Book;
use super::holding::Holding;
use crate::answer::Notes;
use crate::batch::{Batch, BatchStatus};
use crate::estimate::estimate_batch;
use crate::fault::Faults;
use crate::quantity::{Date, Identifier, Measured, Quantity};
use crate::waste::classification::{MonthlyShare, Site, Standing, monthly_share, standing_of};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// How much of what is in a container became waste with an entry.
enum Arisen {
    /// All of it.
    Whole,
    /// What was poured or put in.
    Amount(Box<Batch>),
}

/// What the entries made waste.
#[derive(Default)]
pub(super) struct Arising {
    /// What each adds to its month.
    pub shares: Vec<MonthlyShare>,
    /// The day on which an entry made what is in a container waste, where that day is known from the
    /// entries alone.
    pub since: BTreeMap<Identifier, Date>,
}

/// What each entry up to the site's day made waste, with the month it counts to. `at` gives the place
/// of a container in the request, for faults.
pub(super) fn arisen(
    entries: &[Entry],
    site: &Site,
    at: impl Fn(&Identifier) -> String,
) -> Result<Arising, Faults> {
    let gone = reversals(entries);
    let mut order: Vec<(usize, &Entry)> = entries
        .iter()
        .enumerate()
        .filter(|(_, e)| e.on <= site.on && !gone.contains_key(&e.id))
        .collect();
    order.sort_by_key(|(i, e)| (e.on, *i));
    let mut book = Book::default();
    let mut arising = Arising::default();
    for (i, entry) in order {
        let found = waste_of(&entry.event, &book);
        let was_empty = |name| book.holding(name).is_some_and(Holding::is_empty);
        let fresh = match &found {
            Some((name, Arisen::Amount(_))) => was_empty(name),
            // Since when it is waste that stood here as such already, only the person knows.
            _ => !matches!(entry.event, Event::Opened(_)),
        };
        book.enter(
            entry,
            &format!("/entries/{i}"),
            site.rules,
            &mut Notes::default(),
        )?;
        let Some((name, amount)) = found else {
            continue;
        };
        let Some(holding) = book.holding(name).filter(|h| !h.is_empty()) else {
            continue;
        };
        if working(holding.content()) {
            continue;
        }
        if fresh {
            arising.since.insert(name.clone(), entry.on);
        }
        let share = share(holding, &amount, entry.on, site, &at(name))?;
        arising.shares.push(share);
    }
    Ok(arising)
}

/// Whether it is at work, or was never used: no waste yet.
fn working(batch: &Batch) -> bool {
    matches!(standing_of(batch).is, Standing::AtWork | Standing::Unused)
}

/// The container in which an entry makes waste, if it does, and how much of it. `book` is as it was
/// before the entry.
fn waste_of<'a>(event: &'a Event, book: &Book) -> Option<(&'a Identifier, Arisen)> {
    let at_work = |name: &Identifier| book.holding(name).is_some_and(|h| working(h.content()));
    match event {
        Event::Opened(e) => Some((&e.batch.id, Arisen::Whole)),
        Event::Spent(e) => at_work(&e.batch).then_some((&e.batch, Arisen::Whole)),
        Event::Treated(e) => at_work(&e.batch).then_some((&e.batch, Arisen::Whole)),
        Event::Transferred(e) => {
            let from = book.holding(&e.from).filter(|h| working(h.content()))?;
            let mut amount = bare(from.content());
            match &e.part {
                Part::All(_) => {
                    amount.volume_l = from.content().volume_l;
                    amount.mass_kg = from.content().mass_kg;
                }
                Part::VolumeL(volume) => amount.volume_l = Some(*volume),
                Part::MassKg(mass) => amount.mass_kg = Some(*mass),
            }
            Some((&e.into, Arisen::Amount(Box::new(amount))))
        }
        Event::ProductRecovered(e) => {
            let from = book.holding(&e.batch).filter(|h| working(h.content()))?;
            let mut amount = bare(from.content());
            let kilograms = e
                .product
                .wet_mass_g
                .decimal()
                .checked_div(Decimal::ONE_THOUSAND);
            amount.mass_kg = kilograms
                .and_then(|kg| Quantity::new(kg).ok())
                .map(Measured::bare);
            Some((&e.into, Arisen::Amount(Box::new(amount))))
        }
        _ => None,
    }
}

/// A liquid as it is, without its amount.
fn bare(of: &Batch) -> Batch {
    Batch {
        density_g_per_ml: of.density_g_per_ml,
        ..Batch::named(of.id.clone(), of.kind)
    }
}

fn share(
    holding: &Holding,
    amount: &Arisen,
    on: Date,
    site: &Site,
    at: &str,
) -> Result<MonthlyShare, Faults> {
    let mut batch = holding.batch();
    let estimate = if batch.evidence.is_empty() {
        None
    } else {
        Some(estimate_batch(&batch, "", &mut Notes::default())?)
    };
    let made_here = matches!(amount, Arisen::Amount(_))
        || (batch.waste_since.is_none() && batch.status == Some(BatchStatus::Treated));
    if made_here {
        batch.waste_since = Some(on);
    }
    let mut share = monthly_share(&batch, estimate.as_ref(), site, at);
    if let Arisen::Amount(amount) = amount {
        share.mass_kg = monthly_share(amount, None, site, at).mass_kg;
    }
    Ok(share)
}
