//! The silver account as text, for the example: a year of an invented studio with one misread titration.

use serde_json::Value;
use spent_silver::operation::{Operation, operation};

fn accounts() -> &'static Operation {
    operation("silver-accounts").unwrap()
}

fn page() -> String {
    let text = accounts()
        .renderings
        .iter()
        .find(|r| r.format == "text")
        .unwrap();
    String::from_utf8((text.render)(accounts().example.as_bytes(), &[]).unwrap()).unwrap()
}

fn answer() -> Value {
    serde_json::from_slice(&accounts().answer(accounts().example.as_bytes()).unwrap()).unwrap()
}

/// The page as one line: wrapping and the walls of boxes undone.
fn flat(page: &str) -> String {
    page.split(|c: char| c.is_whitespace() || "║┃│•".contains(c))
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

#[test]
fn every_warning_container_and_entry_that_moved_silver_is_on_the_page() {
    let (page, answer) = (flat(&page()), answer());
    let warnings = answer["warnings"].as_array().unwrap();
    assert!(!warnings.is_empty());
    for warning in warnings {
        assert!(
            page.contains(warning["text"].as_str().unwrap()),
            "{warning}"
        );
    }
    for container in answer["result"]["containers"].as_array().unwrap() {
        assert!(page.contains(container["batch"]["id"].as_str().unwrap()));
    }
    for movement in answer["result"]["movements"].as_array().unwrap() {
        assert!(page.contains(movement["entry"].as_str().unwrap()));
    }
    assert!(page.contains("Nothing here is permission to discharge"));
}

/// The titration of June was written as 6.31 mL; by the make-up and the additions it was 5.71 mL, which
/// is 97.6 g: (5.71 - 0.05) mL x 0.1 mol/L x 107.8682 g/mol x 100/25 / 5 mL = 48.8 g/L, in 2 L.
#[test]
fn the_misread_titration_of_the_example_is_found_and_named() {
    let answer = answer();
    let suspects = answer["result"]["reconciliation"]["suspects"]
        .as_array()
        .unwrap();
    assert_eq!(suspects.len(), 1);
    assert_eq!(suspects[0]["entry"], "26-011");
    let expected: f64 = suspects[0]["expected_g"].as_str().unwrap().parse().unwrap();
    let hand = (5.71 - 0.05) * 0.1 * 107.8682 * 4.0 / 5.0 * 2.0;
    assert!((expected - hand).abs() < 1.0, "{expected} against {hand}");
    assert!(page().contains("look at it"));
}

#[test]
fn no_line_is_wider_than_the_page() {
    for line in page().lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}
