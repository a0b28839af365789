//! Money on the pages: prices and terms, what a lot is worth, what silver costs.

use crate::browser::{APP, Browser, fixer, hidden, studio};

/// Terms whose account can be done by hand.
const TERMS: &[(&str, &str)] = &[
    ("currency", "usd"),
    ("price", "30"),
    ("per", "troy_ounce"),
    ("as_of", "2026-03-01"),
    ("refiner", "An Invented Refiner"),
    ("payable", "90"),
    ("forms", "solution"),
    ("sample", "no"),
    ("treatment", "45"),
    ("refining", "0.60"),
    ("assay", "35"),
    ("freight", "18.50"),
    ("days", "30"),
    ("haulier", "An Invented Haulier"),
    ("call_out", "95"),
    ("per_container", "12"),
    ("days_before", "21"),
];

/// A studio with 10.00 troy ounces of silver in a jug of fixer: 311.034768 g in 3.785 L, by a
/// laboratory: 311.034768 / 3.785 = 82.1756 g/L.
fn with_ten_ounces(browser: &mut Browser<'_>) -> String {
    let studio = studio(browser);
    fixer(browser, &studio, "fixer-1");
    let figure = [
        ("container", "fixer-1"),
        ("figure", "82175.6"),
        ("sampled", "stirred"),
        ("on", "2026-03-02"),
        ("by", "R. Example"),
    ];
    browser.write(&format!("{studio}/record/laboratory"), &figure);
    studio
}

/// Opens the page that keeps a part of the record, and sends it with these answers.
fn keep(
    browser: &mut Browser<'_>,
    path: &str,
    pairs: &[(&str, &str)],
) -> spent_silver_tests::Reply {
    let page = browser.page(path);
    let names = ["proof", "once", "version"];
    let values = names.map(|name| hidden(&page, name));
    let mut all: Vec<(&str, &str)> = names
        .iter()
        .zip(&values)
        .map(|(name, value)| (*name, value.as_str()))
        .collect();
    all.extend_from_slice(pairs);
    browser.post(path, &all, &[])
}

fn dealings(studio: &str) -> serde_json::Value {
    APP.get(&format!("/v1{studio}")).json()["dealings"].clone()
}

#[test]
fn prices_and_terms_are_plain_questions_and_what_is_not_asked_stays() {
    let mut browser = Browser::new(&APP);
    let studio = studio(&mut browser);
    let path = format!("{studio}/terms");
    for page in [&studio, &format!("{studio}/about")] {
        assert!(browser.page(page).contains(&format!("href=\"{path}\"")));
    }
    let kept = keep(&mut browser, &path, TERMS);
    assert_eq!(kept.status, 303, "{}", kept.text());
    assert_eq!(kept.header("location"), format!("{studio}/worth"));
    let held = dealings(&studio);
    assert_eq!(held["price"]["currency"], "USD");
    assert_eq!(held["terms"]["currency"], "USD");
    assert_eq!(held["haulage_terms"]["currency"], "USD");
    assert_eq!(held["terms"]["payment"]["treatment"]["per_lot"], "45");
    assert_eq!(held["terms"]["payment"]["settlement_day_count"], 30);
    assert_eq!(held["terms"]["acceptance"]["forms"][0], "solution");
    assert_eq!(held["terms"]["acceptance"]["approval_sample_needed"], false);
    // What was not answered is not there: nothing is made up.
    assert!(held["terms"]["acceptance"]["refused"].is_null(), "{held}");
    assert!(held["terms"]["payment"]["minimum_lot_charge"].is_null());

    // What these questions do not ask goes in over the JSON service, and stays when they are answered.
    let read = APP.get(&format!("/v1{studio}"));
    let mut record = read.json();
    record["dealings"]["terms"]["payment"]["surcharges"] = serde_json::json!([{"name": "cadmium", "amount": "0.95", "per": "troy_ounce_received", "when": "cadmium"}]);
    record["dealings"]["terms"]["payment"]["treatment"]["per_kilogram"] = "2".into();
    let headers = [
        ("content-type", "application/json"),
        ("if-match", read.header("etag")),
    ];
    let put = APP.request(
        "PUT",
        &format!("/v1{studio}"),
        &headers,
        record.to_string().as_bytes(),
    );
    assert_eq!(put.status, 200, "{}", put.text());
    let page = browser.page(&path);
    assert!(page.contains("The refiner: surcharges"), "{page}");
    assert!(
        page.contains("id=\"price\" name=\"price\" value=\"30\""),
        "{page}"
    );
    let mut again = TERMS.to_vec();
    again.retain(|(name, _)| {
        !matches!(
            *name,
            "assay" | "haulier" | "call_out" | "per_container" | "days_before"
        )
    });
    again[0] = ("currency", "EUR");
    assert_eq!(keep(&mut browser, &path, &again).status, 303);
    let held = dealings(&studio);
    assert_eq!(held["terms"]["currency"], "EUR");
    assert_eq!(held["terms"]["payment"]["surcharges"][0]["amount"], "0.95");
    assert_eq!(held["terms"]["payment"]["treatment"]["per_kilogram"], "2");
    assert!(held["terms"]["payment"]["assay_fee"].is_null());
    // A part that is left open altogether is gone.
    assert!(held["haulage_terms"].is_null(), "{held}");
    assert_eq!(keep(&mut browser, &path, &[]).status, 303);
    assert!(dealings(&studio).is_null());
}

#[test]
fn what_is_wrong_with_terms_stands_beside_its_question_and_nothing_is_kept() {
    let mut browser = Browser::new(&APP);
    let studio = studio(&mut browser);
    let path = format!("{studio}/terms");
    let cases: &[(&[(&str, &str)], &str)] = &[
        (&[("currency", "USD")], "price"),
        (&[("price", "30"), ("per", "gram")], "currency"),
        (
            &[("currency", "dollars"), ("price", "30"), ("per", "gram")],
            "currency",
        ),
        (
            &[("currency", "USD"), ("price", "-3"), ("per", "gram")],
            "price",
        ),
        (&[("currency", "USD"), ("price", "30")], "per"),
        (&[("currency", "USD"), ("per", "gram")], "price"),
        (
            &[("currency", "USD"), ("price", "30"), ("per", "stone")],
            "per",
        ),
        (
            &[
                ("currency", "USD"),
                ("price", "30"),
                ("per", "gram"),
                ("as_of", "yesterday"),
            ],
            "as_of",
        ),
        (&[("currency", "USD"), ("refiner", "R")], "payable"),
        (&[("currency", "USD"), ("payable", "190")], "payable"),
        (
            &[("currency", "USD"), ("payable", "90"), ("freight", "1 ± 1")],
            "freight",
        ),
        (
            &[("currency", "USD"), ("payable", "90"), ("days", "soon")],
            "days",
        ),
        (
            &[("currency", "USD"), ("payable", "90"), ("forms", "smoke")],
            "forms",
        ),
        (
            &[
                ("currency", "USD"),
                ("payable", "90"),
                ("refused", "people"),
            ],
            "refused",
        ),
        (&[("currency", "USD"), ("call_out", "dear")], "call_out"),
    ];
    for (pairs, field) in cases {
        let reply = keep(&mut browser, &path, pairs);
        assert_eq!(reply.status, 422, "{pairs:?}: {}", reply.text());
        let page = crate::browser::checked(&path, &reply);
        assert!(
            page.contains(&format!("id=\"{field}_wrong\"")),
            "{pairs:?}: {page}"
        );
        assert!(page.contains(&format!("href=\"#{field}\"")), "{pairs:?}");
        assert!(dealings(&studio).is_null());
    }
    // Two people at once: the second is told, and nothing of the first is lost.
    let page = browser.page(&path);
    let (proof, once, version) = (
        hidden(&page, "proof"),
        hidden(&page, "once"),
        hidden(&page, "version"),
    );
    assert_eq!(keep(&mut browser, &path, TERMS).status, 303);
    let mut late = vec![
        ("proof", proof.as_str()),
        ("once", once.as_str()),
        ("version", version.as_str()),
    ];
    late.extend_from_slice(TERMS);
    assert_eq!(browser.post(&path, &late, &[]).status, 412);
}

#[test]
fn a_lot_is_worth_what_the_account_by_hand_says() {
    let mut browser = Browser::new(&APP);
    let studio = with_ten_ounces(&mut browser);
    let worth = format!("{studio}/worth");
    let missing = browser.page(&worth);
    assert!(
        missing.contains("The price of silver is not in this record"),
        "{missing}"
    );
    assert!(missing.contains("terms are not in this record"));
    assert!(missing.contains(&format!("href=\"{studio}/terms\"")));

    assert_eq!(
        keep(&mut browser, &format!("{studio}/terms"), TERMS).status,
        303
    );
    // By hand: 10 ozt at 30 are 300; 10 % is not paid for: 30; treatment 45; 9 ozt at 0.60: 5.40;
    // assay 35; freight 18.50. 300 - 30 - 45 - 5.40 - 35 - 18.50 = 166.10.
    let all = browser.page(&worth);
    assert!(all.contains("Sent now it nets USD 166.10."), "{all}");
    assert!(
        all.contains("USD 30 per troy ounce, on 2026-03-01"),
        "{all}"
    );
    let lot = browser.page(&format!("{worth}?lot=spent-fixer"));
    for amount in [
        "300.00",
        "−30.00",
        "−45.00",
        "−5.40",
        "−35.00",
        "−18.50",
        "<b>166.10</b>",
    ] {
        assert!(lot.contains(amount), "{amount}: {lot}");
    }
    // A collection: 95 + 12 and nothing by the kilogram.
    assert!(lot.contains("<b>107.00</b>"), "{lot}");
    // Break-even: (45 + 35 + 18.50) / (30 - 0.60) = 3.3503 ozt paid for, / 0.9 = 3.7226 ozt, 115.8 g;
    // (98.50 + 5.40) / 9 = 11.5444 a troy ounce, rounded up.
    assert!(lot.contains("115.8 g (3.72 ozt)"), "{lot}");
    assert!(lot.contains("USD 11.5445 per troy ounce"), "{lot}");
    assert!(lot.contains("break-even"), "{lot}");
    assert_eq!(lot.matches("<figure>").count(), 2, "{lot}");
    assert_eq!(browser.get(&format!("{worth}?lot=nothing")).status, 404);

    // The same in a line where the container is.
    for page in [studio.clone(), format!("{studio}/containers/fixer-1")] {
        let page = browser.page(&page);
        assert!(
            page.contains("Sent now it nets USD 166.10. Advice:"),
            "{page}"
        );
    }

    // A second jug goes in the same lot: what is charged once is shared, so neither is valued alone.
    fixer(&mut browser, &studio, "fixer-2");
    let figure = [
        ("container", "fixer-2"),
        ("figure", "82175.6"),
        ("sampled", "stirred"),
        ("on", "2026-03-02"),
        ("by", "R. Example"),
    ];
    browser.write(&format!("{studio}/record/laboratory"), &figure);
    // 600 - 60 - 45 - 10.80 - 35 - 18.50 = 430.70; half of it is 215.35.
    let page = browser.page(&format!("{studio}/containers/fixer-2"));
    assert!(
        page.contains("Sent now with lot spent-fixer its share nets USD 215.35."),
        "{page}"
    );

    // A refiner that takes no liquid says why.
    let mut solids = TERMS.to_vec();
    solids.retain(|(name, _)| *name != "forms");
    solids.push(("forms", "silver_chloride"));
    assert_eq!(
        keep(&mut browser, &format!("{studio}/terms"), &solids).status,
        303
    );
    let lot = browser.page(&format!("{worth}?lot=spent-fixer"));
    assert!(
        lot.contains("The refiner does not take it as it is"),
        "{lot}"
    );
    assert!(lot.contains("solution"), "{lot}");
}
