//! Money on the pages: prices and terms, what a lot is worth, what silver costs.

use crate::visitor::{APP, Browser, fixer, hidden, studio};

/// Terms whose account can be done by hand.
pub const TERMS: &[(&str, &str)] = &[
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
pub fn with_ten_ounces(browser: &mut Browser<'_>) -> String {
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
pub fn keep(
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
        let page = crate::visitor::checked(&path, &reply);
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
        all.contains(
            "USD 30.00 per troy ounce, on <time datetime=\"2026-03-01\">1 Mar 2026</time>"
        ),
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

#[test]
fn what_silver_costs_is_what_the_plates_take() {
    let mut browser = Browser::new(&APP);
    let studio = studio(&mut browser);
    let path = format!("{studio}/cost");
    assert!(
        browser
            .page(&path)
            .contains(&format!("href=\"{studio}/terms\""))
    );
    let use_of_it: &[(&str, &str)] = &[
        ("currency", "USD"),
        ("bottle", "100"),
        ("bottle_g", "100"),
        // The first row is left open: the second is the first of the list.
        ("format1_name", "8x10 plates"),
        ("format1_craft", "collodion"),
        ("format1_size", "8x10"),
        ("format1_count", "10"),
        ("bath0_name", "plate bath"),
        ("bath0_strength", "9 ± 0.1"),
        ("bath0_strength_unit", "g_per_100_ml"),
        ("bath0_volume", "1"),
        ("bath0_volume_unit", "us_gal"),
        ("bath0_times", "1"),
        ("bath0_back", "80 to 90"),
    ];
    let terms = format!("{studio}/terms");
    assert_eq!(keep(&mut browser, &terms, TERMS).status, 303);
    let kept = keep(&mut browser, &path, use_of_it);
    assert_eq!(kept.status, 303, "{}", kept.text());
    let held = dealings(&studio)["silver_use"].clone();
    assert_eq!(held["formats"].as_array().unwrap().len(), 1);
    assert_eq!(held["formats"][0]["width_cm"], "20.32");
    assert_eq!(held["baths"][0]["volume_l"], "3.785");
    assert_eq!(
        held["baths"][0]["recovered_percent"],
        serde_json::json!({"value": "85", "plus_minus": "5"})
    );
    // By hand: 20.32 x 25.4 cm are 0.0516128 m2; at 13.9 g/m2 (the usual loss of collodion plates)
    // 0.7174 g, at 1 USD a gram 0.72 USD; ten in a month 7.17 USD. A bath of 3.785 L at 9 g in 100 mL
    // takes 340.65 g.
    let page = browser.page(&path);
    for words in [
        "8x10 plates",
        "<td class=\"figure\">0.72</td>",
        "<td class=\"figure\">7.17</td>",
        "<figure>",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    assert!(page.contains("341"), "{page}");
    // What was typed stands there again, and sent again it stays what it was.
    assert!(page.contains("value=\"85 ± 5\""), "{page}");
    assert!(page.contains("value=\"9 ± 0.1\""), "{page}");
    let mut litres = use_of_it.to_vec();
    for pair in &mut litres {
        match pair.0 {
            "bath0_volume" => pair.1 = "3.785",
            "bath0_volume_unit" => pair.1 = "l",
            name => {
                pair.0 = match name {
                    "format1_name" => "format0_name",
                    "format1_craft" => "format0_craft",
                    "format1_size" => "format0_size",
                    "format1_count" => "format0_count",
                    other => other,
                }
            }
        }
    }
    assert_eq!(keep(&mut browser, &path, &litres).status, 303);
    assert_eq!(dealings(&studio)["silver_use"], held);

    // One question about the currency, for all of it.
    let mut euros = TERMS.to_vec();
    euros[0] = ("currency", "EUR");
    assert_eq!(keep(&mut browser, &terms, &euros).status, 303);
    assert_eq!(dealings(&studio)["silver_use"]["currency"], "EUR");
    assert_eq!(keep(&mut browser, &terms, TERMS).status, 303);

    for (pairs, field) in [
        (
            &[
                ("currency", "USD"),
                ("bottle", "100"),
                ("bottle_g", "100"),
                ("format2_count", "3"),
            ][..],
            "format2_name",
        ),
        (
            &[
                ("currency", "USD"),
                ("bottle", "100"),
                ("bottle_g", "100"),
                ("premium", "20"),
            ][..],
            "premium",
        ),
        (&[("currency", "USD"), ("bottle", "100")][..], "bottle_g"),
        (
            &[
                ("currency", "USD"),
                ("premium", "20"),
                ("format0_name", "p"),
                ("format0_size", "8x10"),
                ("format0_count", "few"),
            ][..],
            "format0_count",
        ),
        (
            &[
                ("currency", "USD"),
                ("premium", "20"),
                ("format0_name", "p"),
                ("format0_size", "8x10"),
                ("format0_count", "3"),
                ("stream1_name", "fixer"),
                ("stream1_share", "140"),
                ("stream1_back", "50"),
            ][..],
            "stream1_share",
        ),
        (
            &[
                ("currency", "GBP"),
                ("premium", "20"),
                ("format0_name", "p"),
                ("format0_size", "8x10"),
                ("format0_count", "3"),
            ][..],
            "currency",
        ),
    ] {
        let reply = keep(&mut browser, &path, pairs);
        assert_eq!(reply.status, 422, "{pairs:?}: {}", reply.text());
        let page = crate::visitor::checked(&path, &reply);
        assert!(
            page.contains(&format!("id=\"{field}_wrong\"")),
            "{pairs:?}: {page}"
        );
        assert_eq!(dealings(&studio)["silver_use"], held);
    }
    // Left open altogether it is gone.
    assert_eq!(keep(&mut browser, &path, &[]).status, 303);
    assert!(dealings(&studio)["silver_use"].is_null());
}

/// The silver of a period and what a lot should bring are papers, drawn up from the book and the record.
#[test]
fn an_account_and_a_settlement_sheet_are_papers() {
    let mut browser = Browser::new(&APP);
    let studio = with_ten_ounces(&mut browser);
    let papers = format!("{studio}/papers");
    let lot = [
        ("paper", "settlement_sheet"),
        ("containers", "fixer-1"),
        ("lot", "spring"),
        ("on", "2026-03-05"),
        ("size", "a4"),
    ];
    let page = format!("{papers}?paper=settlement_sheet");
    let refused = browser.send(&page, &lot);
    assert_eq!(refused.status, 422, "{}", refused.text());
    assert!(
        refused
            .text()
            .contains("terms or the price of silver are not in this record")
    );
    let terms = format!("{studio}/terms");
    assert_eq!(keep(&mut browser, &terms, TERMS).status, 303);
    browser.write(&page, &lot);
    // By hand, above: 300 less 30, 45, 5.40, 35 and 18.50 leave 166.10.
    let sheet = browser.get(&format!("{papers}/1.txt")).text();
    for amount in [
        "300.00",
        "5.40",
        "166.10",
        "fixer-1",
        "USD 30.00 per troy ounce",
    ] {
        assert!(sheet.contains(amount), "{amount}: {sheet}");
    }
    let account = [
        ("paper", "precious_metal_account"),
        ("from", "2026-01-01"),
        ("until", "2026-12-31"),
        ("on", "2026-03-05"),
        ("size", "a4"),
    ];
    let page = format!("{papers}?paper=precious_metal_account");
    assert!(!browser.page(&page).contains("name=\"containers\""));
    browser.write(&page, &account);
    let sheet = browser.get(&format!("{papers}/2.txt")).text();
    // The jug was taken in unread, and the laboratory found 10.00 ozt in it: 311.03 g.
    let words: Vec<&str> = sheet.split_whitespace().collect();
    let words = words.join(" ");
    assert!(
        words.contains("silver not known, counted as nothing"),
        "{sheet}"
    );
    let balance = sheet
        .lines()
        .find(|line| line.contains("Balance") && line.starts_with("2026-12-31"));
    assert!(
        balance.is_some_and(|line| line.trim_end().ends_with("311") || line.contains("311.0")),
        "{sheet}"
    );
    for (name, day, field) in [("until", "2025-12-31", "until"), ("from", "soon", "from")] {
        let wrong = account.map(|(n, v)| (n, if n == name { day } else { v }));
        let reply = browser.send(&page, &wrong);
        assert_eq!(reply.status, 422, "{day}: {}", reply.text());
        let text = reply.text();
        assert!(
            text.contains(&format!("id=\"{field}_wrong\"")),
            "{day}: {text}"
        );
    }
}

/// What a page takes from the record is said there, and where nothing is valued it says so.
#[test]
fn a_page_says_which_price_and_terms_it_reckons_with() {
    let mut browser = Browser::new(&APP);
    let studio = with_ten_ounces(&mut browser);
    for path in [studio.clone(), format!("{studio}/containers/fixer-1")] {
        let page = browser.page(&path);
        assert!(page.contains("nothing is valued"), "{page}");
        assert!(!page.contains("of the studio&#39;s record"), "{page}");
    }
    assert_eq!(
        keep(&mut browser, &format!("{studio}/terms"), TERMS).status,
        303
    );
    for path in [
        studio.clone(),
        format!("{studio}/containers/fixer-1"),
        format!("{studio}/worth"),
        format!("{studio}/worth?lot=spent-fixer"),
    ] {
        let page = browser.page(&path);
        assert!(!page.contains("nothing is valued"), "{path}: {page}");
        assert!(
            page.contains("The price of silver is that of the studio&#39;s record: USD 30.00 per troy ounce, of <time datetime=\"2026-03-01\">1 Mar 2026</time>."),
            "{path}: {page}"
        );
        assert!(page.contains("of An Invented Refiner"), "{path}: {page}");
    }
}

/// By hand: 100 g of pure silver nitrate at USD 150 for a bottle of 100 g are USD 150; the silver in them,
/// 63.50 g (107.8682 / 169.8731), is USD 61.25 at 30 a troy ounce, and is not what a new bath would cost.
#[test]
fn a_restored_bath_is_worth_what_the_studio_pays_for_silver_nitrate() {
    let mut browser = Browser::new(&APP);
    let studio = studio(&mut browser);
    let by = [("on", "2026-03-01"), ("by", "R. Example")];
    let mut jug = vec![
        ("id", "bath-1"),
        ("kind", "sensitizing_bath"),
        ("craft", "collodion"),
        ("status", "in_use"),
    ];
    jug.extend_from_slice(&by);
    browser.write(&format!("{studio}/record/container"), &jug);
    let mut bath = vec![
        ("container", "bath-1"),
        ("nitrate", "100"),
        ("nitrate_unit", "g"),
        ("purity", "100"),
        ("after", "1.00"),
        ("after_unit", "l"),
    ];
    bath.extend_from_slice(&by);
    browser.write(&format!("{studio}/record/made-up"), &bath);
    assert_eq!(
        keep(&mut browser, &format!("{studio}/terms"), TERMS).status,
        303
    );
    let worth = browser.page(&format!("{studio}/worth"));
    let lot = worth
        .split("/worth?lot=")
        .nth(1)
        .and_then(|rest| rest.split('"').next())
        .unwrap_or_else(|| panic!("{worth}"))
        .to_owned();
    let path = format!("{studio}/worth?lot={lot}");
    let unpriced = browser.page(&path);
    assert!(unpriced.contains("worth USD 61.25 that"), "{unpriced}");
    assert!(
        unpriced.contains("No price of silver nitrate was given"),
        "{unpriced}"
    );
    let bottle = &[
        ("currency", "USD"),
        ("bottle", "150"),
        ("bottle_g", "100"),
        ("format0_name", "8x10 plates"),
        ("format0_craft", "collodion"),
        ("format0_size", "8x10"),
        ("format0_count", "10"),
    ];
    let kept = keep(&mut browser, &format!("{studio}/cost"), bottle);
    assert_eq!(kept.status, 303, "{}", kept.text());
    let priced = browser.page(&path);
    assert!(
        priced.contains("it keeps 100.0 g of silver nitrate worth USD 150.00 that"),
        "{priced}"
    );
    assert!(
        !priced.contains("No price of silver nitrate was given"),
        "{priced}"
    );
}
