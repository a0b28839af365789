//! The plates of a budget that names none, counted from the book.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::json;
use spent_silver_domain::budget::PlateFormat;
use spent_silver_domain::ledger::{Entry, recorded_plates};
use spent_silver_domain::quantity::Date;

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
