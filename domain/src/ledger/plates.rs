//! Plates and sheets of a budget that names none: how many a month, by what was recorded.

use super::entry::{Entry, Event, Work};
use crate::answer::Assumption;
use crate::batch::Craft;
use crate::budget::PlateFormat;
use crate::quantity::{Date, Identifier, Quantity, Text, write_decimal};
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet};

/// Days that are looked back on, at most; and that a count is spread over, at least.
const YEAR: i64 = 365;
const LEAST: i64 = 30;
/// Days of a month, in ten-thousandths: 365.25 / 12.
const MONTH: u64 = 304_375;
const PARTS: u64 = 10_000;

/// What was sensitized in a year, as a budget takes it.
#[derive(Debug, Clone)]
pub struct RecordedPlates {
    /// Each size and craft.
    pub formats: Vec<PlateFormat>,
    /// What an answer says of it.
    pub assumed: Assumption,
}

/// Plates and sheets of the year that ends on a day; none where nothing was sensitized in it.
///
/// A month's count is `plates × 30.4375 / days`, rounded up, with the days from the first of them to
/// that day, and at least thirty.
#[must_use]
pub fn recorded_plates(entries: &[Entry], until: Date) -> Option<RecordedPlates> {
    let mut gone: BTreeSet<&Identifier> = BTreeSet::new();
    let mut crafts: BTreeMap<&Identifier, Craft> = BTreeMap::new();
    for entry in entries {
        match &entry.event {
            Event::Reversed(of) => {
                gone.insert(&of.entry);
            }
            Event::Opened(of) => {
                if let Some(craft) = of.batch.craft {
                    crafts.insert(&of.batch.id, craft);
                }
            }
            _ => {}
        }
    }
    let mut first = until;
    let mut counts: Vec<(PlateFormat, u64)> = Vec::new();
    for entry in entries {
        let ago = until.days_since(entry.on);
        let Event::Processed(done) = &entry.event else {
            continue;
        };
        let Work::Sensitized(of) = &done.work else {
            continue;
        };
        if !(0..YEAR).contains(&ago) || gone.contains(&entry.id) {
            continue;
        }
        let craft = crafts.get(&done.batch).copied();
        for plates in &of.plates {
            first = first.min(entry.on);
            let (width, height) = (plates.width_cm.decimal(), plates.height_cm.decimal());
            let format = PlateFormat {
                name: Text::new(&name(width, height, craft)).ok()?,
                craft,
                monthly_count: 0,
                width_cm: Quantity::new(width).ok()?,
                height_cm: Quantity::new(height).ok()?,
                silver_nitrate_g_per_m2: None,
            };
            let count = u64::from(plates.count);
            match counts.iter_mut().find(|(known, _)| *known == format) {
                Some((_, sum)) => *sum = sum.saturating_add(count),
                None => counts.push((format, count)),
            }
        }
    }
    let days = until.days_since(first).saturating_add(1).max(LEAST);
    let days = u64::try_from(days).ok()?;
    let formats: Vec<PlateFormat> = counts
        .into_iter()
        .filter_map(|(format, count)| {
            let monthly = count.checked_mul(MONTH)?.div_ceil(days.checked_mul(PARTS)?);
            Some(PlateFormat {
                monthly_count: u32::try_from(monthly).ok()?,
                ..format
            })
        })
        .collect();
    if formats.is_empty() {
        return None;
    }
    let words: Vec<String> = formats
        .iter()
        .map(|f| format!("{} of {}", f.monthly_count, f.name))
        .collect();
    let text = format!(
        "Plates and sheets are those recorded in the book from {first} to {until}, spread over {days} days: in a month {}.",
        words.join("; ")
    );
    Some(RecordedPlates {
        formats,
        assumed: Assumption {
            about: String::new(),
            field: "/silver_use/formats".to_owned(),
            text: text.into(),
            source: "house_rule",
        },
    })
}

fn name(width: Decimal, height: Decimal, craft: Option<Craft>) -> String {
    let size = format!("{} × {} cm", write_decimal(width), write_decimal(height));
    match craft {
        Some(Craft::Collodion) | None => size,
        Some(Craft::SaltedPaper) => format!("{size}, salted paper"),
        Some(Craft::AlbumenPaper) => format!("{size}, albumen paper"),
        Some(Craft::FilmAndPaper) => format!("{size}, film and paper"),
    }
}
