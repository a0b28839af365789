//! The waste register as text, for the example.

use serde_json::Value;
use spent_silver::operation::{Operation, operation};

fn registers() -> &'static Operation {
    operation("waste-registers").unwrap()
}

fn page() -> String {
    let text = registers()
        .renderings
        .iter()
        .find(|r| r.format == "text")
        .unwrap();
    String::from_utf8((text.render)(registers().example.as_bytes(), &[]).unwrap()).unwrap()
}

fn answer() -> Value {
    serde_json::from_slice(&registers().answer(registers().example.as_bytes()).unwrap()).unwrap()
}

/// The words of the page in a row, without what wrapping and the walls of boxes did to them.
fn words(text: &str) -> String {
    text.split(|c: char| c.is_whitespace() || "║┃│•".contains(c))
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

#[test]
fn every_entry_reversal_and_warning_is_on_the_page() {
    let (page, answer) = (page(), answer());
    let rows = answer["result"]["rows"].as_array().unwrap();
    for row in rows {
        for member in ["entry", "on"] {
            assert!(page.contains(row[member].as_str().unwrap()), "{row}");
        }
        // The last column of the page wraps; each of its words stands there.
        for member in [
            "text",
            "to",
            "consignment",
            "reversal_reason",
            "supervised_by",
            "note",
        ] {
            let said = row[member].as_str().unwrap_or_default();
            for word in said.split_whitespace() {
                assert!(page.contains(word), "{word} of {row}");
            }
        }
    }
    let reversed = rows.iter().filter(|r| !r["reversed_by"].is_null()).count();
    assert_eq!(reversed, 1);
    assert_eq!(page.matches("REVERSED").count(), reversed);
    for warning in answer["warnings"].as_array().unwrap() {
        assert!(words(&page).contains(warning["text"].as_str().unwrap()));
    }
    assert!(words(&page).contains("Nothing here is permission to discharge"));
}

/// 8 L of the 10 that became waste in February went into the drum; 0.2 L were spilled and 7.8 collected.
#[test]
fn the_months_of_the_example_come_to_what_its_entries_say() {
    let answer = answer();
    let totals: Vec<(String, String, String)> = answer["result"]["totals"]
        .as_array()
        .unwrap()
        .iter()
        .map(|t| {
            let text = |member: &str| t[member].as_str().unwrap().to_owned();
            (text("month"), text("what"), text("volume_l"))
        })
        .collect();
    let expected = [
        ("2026-02", "generated", "10"),
        ("2026-02", "moved", "8"),
        ("2026-03", "collected", "7.8"),
        ("2026-03", "spilled", "0.2"),
    ];
    let expected: Vec<_> = expected
        .iter()
        .map(|(a, b, c)| ((*a).to_owned(), (*b).to_owned(), (*c).to_owned()))
        .collect();
    assert_eq!(totals, expected);
    let line = words(&page());
    assert!(line.contains("2026-03 collected 1 7.8"));
}

#[test]
fn no_line_is_wider_than_the_page() {
    for line in page().lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}
