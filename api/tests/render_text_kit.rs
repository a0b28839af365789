//! The kit that text pages are set with.

use serde_json::json;
use spent_silver::render::budget::write_budget;
use spent_silver::render::text::{Page, Task, width_of, wrap};
use spent_silver_domain::budget::{BudgetRequest, plan_budget};
use spent_silver_domain::document::{Column, FieldLine};

fn set(work: impl FnOnce(&mut Page)) -> String {
    let mut page = Page::new();
    work(&mut page);
    page.finish()
}

fn cells(row: &[&str]) -> Vec<String> {
    row.iter().map(ToString::to_string).collect()
}

#[test]
fn text_wraps_at_spaces_and_breaks_only_what_does_not_fit() {
    assert_eq!(wrap("one two three", 7), ["one two", "three"]);
    assert_eq!(wrap("abcdefghij", 4), ["abcd", "efgh", "ij"]);
    assert_eq!(wrap("銀銀銀", 4), ["銀銀", "銀"]);
    assert_eq!(wrap("", 10), [""]);
    assert_eq!(
        wrap("  spaces   fall  together ", 40),
        ["spaces fall together"]
    );
    for line in wrap(&"word ".repeat(200), 17) {
        assert!(width_of(&line) <= 17);
    }
}

#[test]
fn money_stands_in_a_column_with_its_last_digit_at_the_right() {
    let page = set(|page| {
        page.table(
            &[Column::words("Line"), Column::figures("EUR")],
            &[cells(&["Silver", "1204.50"]), cells(&["Freight", "-18.00"])],
            Some(&cells(&["Net", "1186.50"])),
        );
    });
    let ends: Vec<usize> = page.lines().map(width_of).collect();
    assert!(ends.iter().all(|e| *e == ends[0]), "{page}");
    assert!(page.contains("Freight   -18.00"), "{page}");
}

#[test]
fn a_table_too_wide_wraps_its_words_and_keeps_its_figures_whole() {
    let long = "a very long story about what happened to this one bath ".repeat(3);
    let page = set(|page| {
        page.table(
            &[
                Column::words("Container"),
                Column::words("Story"),
                Column::figures("Silver, g"),
            ],
            &[cells(&["bath-1", &long, "57.0 ± 1.2"])],
            None,
        );
    });
    assert!(page.lines().all(|l| width_of(l) <= 80), "{page}");
    assert!(page.contains("57.0 ± 1.2"), "{page}");
    assert!(page.lines().count() > 4, "{page}");
}

#[test]
fn fields_line_up_and_a_missing_value_is_a_line_to_fill_in() {
    let page = set(|page| {
        page.fields(&[
            FieldLine::new("Container", "bath-1"),
            FieldLine::or_blank("pH", None::<String>),
        ]);
    });
    assert!(page.contains("Container  bath-1\n"), "{page}");
    assert!(page.contains("pH         ____"), "{page}");
}

#[test]
fn a_ranked_list_hangs_its_reasons_below_the_deed() {
    let why = "Ammoniacal silver can go off when it stands, and economics do not come into it at all today.";
    let page = set(|page| {
        page.tasks(&[
            Task {
                when: "today",
                what: "Pour jug-3 into salt water.",
                why,
            },
            Task {
                when: "2026-12-03",
                what: "Send the chloride.",
                why: "",
            },
        ]);
    });
    let expected = "1.  today       Pour jug-3 into salt water.\n";
    assert!(page.starts_with(expected), "{page}");
    assert!(
        page.contains("\n2.  2026-12-03  Send the chloride.\n"),
        "{page}"
    );
    let margin = " ".repeat("1.  today       ".len());
    assert!(
        page.lines()
            .nth(1)
            .unwrap()
            .starts_with(&format!("{margin}Ammoniacal")),
        "{page}"
    );
    assert!(page.lines().all(|l| width_of(l) <= 80), "{page}");
}

#[test]
fn a_budget_fits_the_page_and_shows_the_three_prices() {
    let request = json!({
        "metal_price": {"amount": "31.20", "currency": "EUR", "per": "troy_ounce"},
        "silver_use": {
            "currency": "EUR",
            "silver_nitrate": {"quoted": {"amount": "54.00", "for_g": "25"}},
            "formats": [
                {"name": "4x5 in", "monthly_count": 40, "width_cm": "10.16", "height_cm": "12.7"},
                {"name": "8x10 in", "monthly_count": 12, "width_cm": "20.32", "height_cm": "25.4"}
            ],
            "baths": [{"name": "bath", "strength_percent_w_v": 9, "volume_l": 2, "yearly_count": 1}],
            "streams": [{"name": "run-off", "share_percent": 50, "recovered_percent": 80}]
        }
    });
    let request: BudgetRequest = serde_json::from_str(&request.to_string()).unwrap();
    let budget = plan_budget(&request).unwrap().result;
    let page = set(|page| write_budget(page, &budget));
    for words in [
        "Left to pay",
        "Low, EUR",
        "21.84",
        "31.20",
        "40.56",
        "4x5 in",
        "8x10 in",
        &budget.per_year.expected.net.to_string(),
        &budget.per_month.expected.net.to_string(),
    ] {
        assert!(page.contains(words), "{words}\n{page}");
    }
    assert!(page.lines().all(|l| width_of(l) <= 80), "{page}");
}
