//! The text report of the demo, as the README's first command prints it.
//!
//! `demo/report.txt` is rewritten with
//! `UPDATE_GOLDEN=1 cargo test -p spent-silver-tests report_text::`.

use serde_json::Value;
use spent_silver::operation::{Operation, operation};
use std::collections::BTreeSet;
use std::sync::LazyLock;

static REPORT: LazyLock<String> = LazyLock::new(|| as_text(reports().example.as_bytes()));

fn reports() -> &'static Operation {
    operation("reports").unwrap()
}

/// The rendering that `report` and `Accept: text/plain` use.
fn as_text(request: &[u8]) -> String {
    let text = reports()
        .renderings
        .iter()
        .find(|r| r.format == "text")
        .unwrap();
    String::from_utf8((text.render)(request, &[]).unwrap()).unwrap()
}

fn answer() -> Value {
    let body = reports().answer(reports().example.as_bytes()).unwrap();
    serde_json::from_slice(&body).unwrap()
}

/// The page as one line: wrapping and the walls of boxes undone.
fn flat(page: &str) -> String {
    page.split(|c: char| c.is_whitespace() || "║┃│•".contains(c))
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

fn spaced(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_kept_sample_is_what_the_command_prints() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../demo/report.txt");
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(path, REPORT.as_str()).unwrap();
    }
    let kept = std::fs::read_to_string(path).unwrap_or_default();
    assert!(
        kept == *REPORT,
        "demo/report.txt is not what the program prints: run the tests with UPDATE_GOLDEN=1 and read the diff"
    );
}

#[test]
fn the_first_lines_say_how_much_what_it_is_worth_the_danger_and_the_next_date() {
    let head: String = REPORT.lines().take(11).collect::<Vec<_>>().join("\n");
    let totals = &answer()["result"]["totals"];
    for words in [
        totals["metal_value"].as_str().unwrap(),
        totals["net_as_decided"].as_str().unwrap(),
        "back-shelf",
        "2027-02-23",
    ] {
        assert!(head.contains(words), "`{words}` is not in\n{head}");
    }
}

#[test]
fn no_line_is_wider_than_the_page_and_the_page_stays_readable() {
    for line in REPORT.lines() {
        assert!(line.chars().count() <= 80, "{line}");
        assert_eq!(line, line.trim_end());
    }
    assert!(REPORT.lines().count() < 760);
}

#[test]
fn every_danger_stands_in_the_first_screen_and_no_warning_is_dropped() {
    let answer = answer();
    let first_screen = flat(&REPORT.lines().take(30).collect::<Vec<_>>().join("\n"));
    let page = flat(&REPORT);
    let mut dangers = 0;
    for warning in answer["warnings"].as_array().unwrap() {
        let text = spaced(warning["text"].as_str().unwrap());
        if warning["severity"] == "danger" {
            dangers += 1;
            assert!(first_screen.contains(&text), "{text}");
        }
        // What a lot brings or costs stands in its account, figure by figure.
        let in_account = answer["result"]["lots"]
            .as_array()
            .unwrap()
            .iter()
            .any(|l| l["valuation"]["outcome"]["accepted"]["statement"] == warning["text"]);
        assert!(page.contains(&text) || in_account, "{text}");
    }
    assert!(dangers >= 4);
}

#[test]
fn every_caution_of_a_printed_plan_is_on_the_page() {
    // Figures may be letters, each with its containers below the step: compare the words around them.
    let pieces = |text: &str| -> Vec<String> {
        text.split(|c: char| c.is_ascii_digit())
            .map(|piece| spaced(piece.trim_matches(['.', ','])))
            .filter(|piece| piece.len() > 12)
            .collect()
    };
    let page = flat(&REPORT);
    let answer = answer();
    let mut seen = BTreeSet::new();
    for id in ["bath-1", "drips", "run-off", "rinse-1"] {
        let batches = answer["result"]["batches"].as_array().unwrap();
        let batch = batches.iter().find(|b| b["id"] == id).unwrap();
        for step in batch["recovery"]["plans"][0]["plan"]["steps"]
            .as_array()
            .unwrap()
        {
            for caution in step["cautions"].as_array().unwrap() {
                seen.insert(caution.as_str().unwrap().to_owned());
            }
        }
    }
    assert!(seen.len() >= 9, "{seen:?}");
    for caution in seen {
        for piece in pieces(&caution) {
            assert!(page.contains(&piece), "`{piece}` of `{caution}`");
        }
    }
}

#[test]
fn the_page_says_nothing_twice_in_one_breath() {
    for clumsy in [
        "Never: Never",
        "no source (common practice, no source)",
        "back-shelf: back-shelf:",
        "A ammoniacal",
        "(ether (",
        " 0 %",
        " 100 % that",
    ] {
        assert!(!flat(&REPORT).contains(clumsy), "{clumsy}");
    }
}

#[test]
fn a_caution_that_stands_at_one_step_alone_stays_with_it() {
    let step = REPORT
        .split("[ ] ")
        .find(|step| step.contains("The clear drop: put a spoonful"))
        .unwrap();
    assert!(flat(step).contains("More salt than the drop asks for does harm"));
    // Its figures are told container by container.
    assert!(flat(step).contains("[c] bath-1 110, drips 50, run-off 410, rinse-1 580"));
    assert!(!step.contains("Goggles"), "{step}");
}

#[test]
fn a_studio_without_prices_gets_its_steps_and_no_money() {
    let text = as_text(
        br#"{"studio": {"name": "A shed"}, "on": "2026-11-25", "batches": [{"id": "bath", "kind": "sensitizing_bath",
        "status": "spent", "volume_l": "1", "evidence": [{"stated": {"silver_g": {"value": "57", "standard_uncertainty": "2"}, "source": "the silver book"}}]}]}"#,
    );
    assert!(text.contains("The clear drop"), "{text}");
    assert!(!text.contains("What it is worth"), "{text}");
    assert!(text.contains("no reading yet, only your word"), "{text}");
}
