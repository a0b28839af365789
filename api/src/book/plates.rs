//! Plates and sheets of a budget that names none: how many a month, by what was recorded.

use spent_silver_domain::answer::Assumption;
use spent_silver_domain::batch::Craft;
use spent_silver_domain::budget::PlateFormat;
use spent_silver_domain::ledger::{Entry, Event, Work};
use spent_silver_domain::quantity::{Date, Identifier, Quantity, Text, write_decimal};
use std::collections::{BTreeMap, BTreeSet};

/// Days that are looked back on, at most; and that a count is spread over, at least.
const YEAR: i64 = 365;
const LEAST: i64 = 30;
/// Days of a month, in ten-thousandths: 365.25 / 12.
const MONTH: u64 = 304_375;
const PARTS: u64 = 10_000;

/// What was sensitized in a year, as a budget takes it.
pub(crate) struct RecordedPlates {
    /// Each size and craft.
    pub formats: Vec<PlateFormat>,
    /// What an answer says of it.
    pub assumed: Assumption,
}

/// Plates and sheets of the year that ends on a day; none where nothing was sensitized in it.
///
/// A month's count is `plates × 30.4375 / days`, rounded up, with the days from the first of them to
/// that day, and at least thirty.
pub(crate) fn recorded_plates(entries: &[Entry], until: Date) -> Option<RecordedPlates> {
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

fn name(
    width: rust_decimal::Decimal,
    height: rust_decimal::Decimal,
    craft: Option<Craft>,
) -> String {
    let size = format!("{} × {} cm", write_decimal(width), write_decimal(height));
    match craft {
        Some(Craft::Collodion) | None => size,
        Some(Craft::SaltedPaper) => format!("{size}, salted paper"),
        Some(Craft::AlbumenPaper) => format!("{size}, albumen paper"),
        Some(Craft::FilmAndPaper) => format!("{size}, film and paper"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn entry(id: &str, on: &str, event: serde_json::Value) -> Entry {
        let entry = json!({"id": id, "on": on, "recorded_by": "R. Example", "event": event});
        serde_json::from_str(&entry.to_string()).unwrap()
    }

    fn plates(id: &str, on: &str, count: u32, width: &str) -> Entry {
        entry(
            id,
            on,
            json!({"processed": {"batch": "bath", "work": {"sensitized":
            {"plates": [{"count": count, "width_cm": width, "height_cm": "12.7"}]}}}}),
        )
    }

    fn monthly(entries: &[Entry], until: &str) -> Vec<(String, u32)> {
        let found = recorded_plates(entries, Date::parse(until).unwrap());
        let formats = found.map_or_else(Vec::new, |f| f.formats);
        let both = |f: &PlateFormat| (f.name.to_string(), f.monthly_count);
        formats.iter().map(both).collect()
    }

    #[test]
    fn a_year_of_plates_is_spread_over_its_months() {
        let entries = [
            plates("old", "2025-01-01", 500, "10.2"),
            plates("1", "2026-01-01", 60, "10.2"),
            plates("2", "2026-02-01", 40, "10.2"),
            plates("3", "2026-02-02", 12, "20.3"),
            plates("4", "2026-02-03", 999, "20.3"),
            entry(
                "5",
                "2026-02-04",
                json!({"reversed": {"entry": "4", "reason": "Typed twice."}}),
            ),
            plates("late", "2026-04-01", 7, "20.3"),
        ];
        // By hand: 1 January to 1 March are 60 days; 100 x 30.4375 / 60 = 50.7; 12 x 30.4375 / 60 = 6.09.
        assert_eq!(
            monthly(&entries, "2026-03-01"),
            [
                ("10.2 × 12.7 cm".to_owned(), 51),
                ("20.3 × 12.7 cm".to_owned(), 7)
            ]
        );
        // Less than a month is spread over thirty days: 60 x 30.4375 / 30 = 60.9.
        assert_eq!(
            monthly(&entries[..2], "2026-01-05"),
            [("10.2 × 12.7 cm".to_owned(), 61)]
        );
        assert_eq!(monthly(&[], "2026-01-05"), []);
        assert_eq!(monthly(&entries[..1], "2026-01-05"), []);
    }
}
