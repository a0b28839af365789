//! A refiner's statement against what was sent and against the terms, by figures worked out by hand.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use spent_silver_domain::answer::{Answer, Severity};
use spent_silver_domain::fault::FaultKind;
use spent_silver_domain::valuation::{
    LineItem, SettlementCheck, SettlementCheckRequest, SettlementVerdict, UmpireCost,
    check_settlement,
};

/// 50 ozt of silver are 1,555.17384 g (31.1034768 g each). A published schedule for meltable scrap: USD
/// 0.30 per ounce, lot minimum USD 75, 95 % of the silver paid. At USD 30 per ounce: gross 1,500.00, not
/// paid 75.00, refining 47.5 x 0.30 = 14.25, topped up by 60.75 to 75.00, net 1,350.00.
fn scrap() -> Value {
    json!({
        "expected_silver_g": {"value": "1560", "standard_uncertainty": "20"},
        "reported_silver_g": {"value": "1555.17384", "standard_uncertainty": "5"},
        "price": {"amount": "30", "currency": "USD", "per": "troy_ounce"},
        "terms": {"currency": "USD", "payment": {"payable_percent": "95",
            "refining_per_troy_ounce": "0.30", "minimum_lot_charge": "75"}},
        "statement": {"currency": "USD", "gross_value": "1500.00", "net_paid": "1350.00", "deductions": [
            {"item": "silver_not_payable", "amount": "75.00"},
            {"item": "refining", "amount": "14.25"},
            {"item": "minimum_top_up", "amount": "60.75"}]},
    })
}

fn asked(request: &Value) -> Answer<SettlementCheck> {
    let request: SettlementCheckRequest = serde_json::from_str(&request.to_string()).unwrap();
    check_settlement(&request).unwrap()
}

fn check(request: &Value) -> SettlementCheck {
    asked(request).result
}

fn fault(request: &Value) -> (FaultKind, String) {
    let request: SettlementCheckRequest = serde_json::from_str(&request.to_string()).unwrap();
    let faults = check_settlement(&request).unwrap_err();
    assert_eq!(faults.list().len(), 1, "{faults}");
    (faults.list()[0].kind, faults.list()[0].pointer.clone())
}

fn with(mut request: Value, at: &str, value: Value) -> Value {
    let (parent, name) = at.rsplit_once('/').unwrap();
    let parent = request.pointer_mut(parent).unwrap();
    parent
        .as_object_mut()
        .unwrap()
        .insert(name.to_owned(), value);
    request
}

#[test]
fn a_statement_that_follows_the_schedule_agrees() {
    let answer = asked(&scrap());
    let found = &answer.result;
    assert_eq!(found.verdict, SettlementVerdict::Agrees);
    let net = &found.money.net;
    assert_eq!(net.by_terms.to_string(), "1350.00");
    assert_eq!(net.difference.unwrap().to_string(), "0.00");
    assert_eq!(found.money.statement_off_by.unwrap().to_string(), "0.00");
    let by_terms: Vec<(LineItem, String)> = found
        .money
        .deductions
        .iter()
        .map(|l| (l.item, l.by_terms.to_string()))
        .collect();
    assert_eq!(
        by_terms,
        [
            (LineItem::SilverNotPayable, "75.00".to_owned()),
            (LineItem::Refining, "14.25".to_owned()),
            (LineItem::MinimumTopUp, "60.75".to_owned()),
        ]
    );
    assert!(found.ask_for.is_empty());
    assert!(answer.warnings.is_empty());
}

/// Paid at 90 instead of 95 %: not paid 150.00, refining 45 x 0.30 = 13.50, topped up by 61.50: 75.00
/// short in all.
#[test]
fn each_line_is_held_against_the_terms() {
    let mut request = scrap();
    request["statement"]["deductions"] = json!([
        {"item": "silver_not_payable", "words": "payable at 90 %", "amount": "150.00"},
        {"item": "refining", "amount": "13.50"},
        {"item": "minimum_top_up", "amount": "61.50"},
        {"item": "assay", "words": "second assay", "amount": "25.00"}]);
    request["statement"]["net_paid"] = json!("1250.00");
    let answer = asked(&request);
    let found = &answer.result;
    assert_eq!(found.verdict, SettlementVerdict::MoneyDiffers);
    assert_eq!(found.money.net.difference.unwrap().to_string(), "-100.00");
    let apart: Vec<String> = found
        .money
        .deductions
        .iter()
        .map(|l| l.difference.unwrap().to_string())
        .collect();
    assert_eq!(apart, ["75.00", "-0.75", "0.75", "25.00"]);
    let assay = found.money.deductions.last().unwrap();
    assert_eq!(
        (assay.label.as_str(), &assay.basis),
        ("second assay", &None)
    );
    assert!(
        found.reasons[0].contains("USD 100.00 less"),
        "{:?}",
        found.reasons
    );
    assert!(
        found
            .ask_for
            .iter()
            .any(|a| a.what.contains("line by line"))
    );
    assert_eq!(answer.warnings[0].severity, Severity::Caution);
    assert_eq!(answer.warnings[0].text, found.reasons[0]);
}

/// Four lines, the gross among them, may each be rounded by a cent.
#[test]
fn rounding_is_no_difference_and_one_cent_more_is() {
    for (paid, verdict) in [
        ("1349.96", SettlementVerdict::Agrees),
        ("1349.95", SettlementVerdict::MoneyDiffers),
        ("1350.04", SettlementVerdict::Agrees),
        ("1350.05", SettlementVerdict::MoneyDiffers),
    ] {
        let mut request = scrap();
        request["statement"] = json!({"currency": "USD", "net_paid": paid});
        let found = check(&request);
        assert_eq!(found.verdict, verdict, "{paid}");
        assert_eq!(found.money.rounding_allowed.to_string(), "0.04");
        assert_eq!(found.money.deductions[0].by_statement, None);
    }
}

#[test]
fn a_statement_that_does_not_add_up_is_caught_even_where_its_net_is_right() {
    let request = with(scrap(), "/statement/deductions/2/amount", json!("60.00"));
    let found = check(&request);
    assert_eq!(found.verdict, SettlementVerdict::MoneyDiffers);
    assert_eq!(found.money.statement_off_by.unwrap().to_string(), "-0.75");
    assert!(found.reasons.iter().any(|r| r.contains("does not add up")));
    // Without a net its lines give it.
    let mut open = scrap();
    open["statement"]
        .as_object_mut()
        .unwrap()
        .remove("net_paid");
    let found = check(&open);
    assert_eq!(found.money.net.by_statement.unwrap().to_string(), "1350.00");
    assert_eq!(found.money.statement_off_by, None);
    assert_eq!(found.verdict, SettlementVerdict::Agrees);
    // Without net and gross, line by line.
    let lines = json!({"currency": "USD", "deductions": [{"item": "refining", "amount": "20.00"}]});
    let found = check(&with(scrap(), "/statement", lines));
    assert_eq!(found.money.net.by_statement, None);
    assert_eq!(found.verdict, SettlementVerdict::MoneyDiffers);
}

/// 10 g at USD 1 with a charge of USD 20: 9.00 paid for, so that 11.00 are billed.
#[test]
fn a_bill_is_a_negative_payment() {
    let request = json!({
        "expected_silver_g": {"value": "10", "standard_uncertainty": "0.5"}, "reported_silver_g": "10",
        "price": {"amount": "1", "currency": "EUR", "per": "gram"},
        "terms": {"currency": "EUR", "payment": {"payable_percent": "90", "treatment": {"per_lot": "20"}}},
        "statement": {"currency": "EUR", "net_billed": "11.00"}});
    let found = check(&request);
    assert_eq!(found.money.net.by_terms.to_string(), "-11.00");
    assert_eq!(found.verdict, SettlementVerdict::Agrees);
    // A yen has no minor unit: gross 10, 9 paid for, two lines and the gross may be rounded by 3.
    let mut yen = request;
    for at in ["/price/currency", "/terms/currency", "/statement/currency"] {
        *yen.pointer_mut(at).unwrap() = json!("JPY");
    }
    assert_eq!(check(&yen).money.rounding_allowed.to_string(), "3");
}

/// u = sqrt(3^2 + 4^2) = 5 g, and 1.96 x 5 = 9.8 g.
#[test]
fn silver_is_missing_beyond_the_uncertainty_of_both_figures_and_not_before() {
    let reported = |grams: &str| {
        let mut request = scrap();
        request["expected_silver_g"] = json!({"value": "100", "standard_uncertainty": "3"});
        request["reported_silver_g"] = json!({"value": grams, "standard_uncertainty": "4"});
        request.as_object_mut().unwrap().remove("statement");
        check(&request)
    };
    let at = reported("90.2");
    assert!((at.silver.standard_uncertainty_g.get() - 5.0).abs() < 1e-12);
    assert!((at.silver.standardized_difference.unwrap().get() + 1.96).abs() < 1e-9);
    assert_eq!(at.verdict, SettlementVerdict::SilverAgrees);
    let beyond = reported("90.1");
    assert!(beyond.silver.beyond_chance);
    assert_eq!(beyond.verdict, SettlementVerdict::SilverDiffers);
    // 9.9 g at USD 30 per 31.1034768 g.
    assert_eq!(beyond.silver.worth.to_string(), "-9.55");
    for what in ["sealed sample", "sampling", "masses", "purchase or a toll"] {
        assert!(
            beyond.ask_for.iter().any(|a| a.what.contains(what)),
            "{what}"
        );
    }
    // More than was sent is no case for the refiner.
    let more = reported("112");
    assert_eq!(more.verdict, SettlementVerdict::SilverDiffers);
    assert!(more.ask_for.is_empty() && more.reasons[0].contains("your own record"));
}

#[test]
fn a_poor_figure_checks_nothing_and_that_is_said() {
    let mut request = scrap();
    request["expected_silver_g"] = json!("1700");
    let answer = asked(&request);
    assert_eq!(answer.result.verdict, SettlementVerdict::TooUncertain);
    assert!(answer.result.reasons[0].contains("too poor"));
    assert_eq!(answer.warnings[0].severity, Severity::Note);
    let assumed = &answer.assumptions;
    assert!(
        assumed
            .iter()
            .any(|a| a.field == "/expected_silver_g" && a.text.contains("20 %"))
    );
    request["reported_silver_g"] = json!("1555.17384");
    let answer = asked(&request);
    let bare = answer
        .assumptions
        .iter()
        .find(|a| a.field == "/reported_silver_g")
        .unwrap();
    assert!(bare.text.contains("0.5 %"), "{}", bare.text);
    // 0.5 % of 1,555.17384 g.
    let u = answer.result.silver.reported_standard_uncertainty_g.get();
    assert!((u - 7.775_869_2).abs() < 1e-9);
}

fn assays(own: &str, refiner: &str, umpire: Option<&str>, dry: Option<&str>) -> Value {
    let mut request = scrap();
    request.as_object_mut().unwrap().remove("statement");
    request["expected_silver_g"] = json!({"value": "848", "standard_uncertainty": "20"});
    request["reported_silver_g"] = json!({"value": "846", "standard_uncertainty": "2"});
    request["assay_exchange"] = json!({"own_percent_w_w": own, "refiner_percent_w_w": refiner});
    if let Some(umpire) = umpire {
        request["assay_exchange"]["umpire_percent_w_w"] = json!(umpire);
    }
    if let Some(dry) = dry {
        request["received"] = json!({"dry_mass_kg": dry});
    }
    request
}

/// A filed refining agreement: within 0.20 % of silver the mean settles, outside it an umpire. The mean
/// of 42.50 and 42.30 is 42.40; of 2 kg that is 848 g.
#[test]
fn assays_within_the_splitting_limit_settle_by_their_mean() {
    let answer = asked(&assays("42.50", "42.30", None, Some("2")));
    let found = answer.result.assays.as_ref().unwrap();
    assert!(found.within);
    assert_eq!(
        found.settling_percent_w_w.unwrap().decimal().to_string(),
        "42.4"
    );
    assert_eq!(
        found
            .settling_silver_g
            .unwrap()
            .decimal()
            .normalize()
            .to_string(),
        "848"
    );
    // 846 g were reported: 2 g at USD 30 an ounce are more than rounding.
    assert_eq!(answer.result.verdict, SettlementVerdict::MoneyDiffers);
    assert!(
        answer.result.reasons[0].contains("not by it"),
        "{:?}",
        answer.result.reasons
    );
    let assumed = &answer.assumptions;
    assert!(
        assumed
            .iter()
            .any(|a| a.text.contains("0.2 % Ag (read in the primary text)"))
    );
    // 848 / 31.1034768 x 30 = 817.91, less 5 % = 777.02 paid for, less 75.00.
    let settling = answer.result.money.net_by_terms_for_settling.unwrap();
    assert_eq!(settling.to_string(), "702.02");
}

#[test]
fn assays_outside_the_splitting_limit_go_to_the_umpire() {
    let answer = asked(&assays("42.51", "42.30", None, Some("2")));
    assert_eq!(answer.result.verdict, SettlementVerdict::AskForUmpire);
    let found = answer.result.assays.as_ref().unwrap();
    assert!(!found.within && found.settling_percent_w_w.is_none());
    for what in ["umpire assay", "sealed sample"] {
        assert!(
            answer.result.ask_for.iter().any(|a| a.what.contains(what)),
            "{what}"
        );
    }
    assert!(answer.references.contains(&"umpire_cost"));
    // A limit of one's own terms.
    let own = with(
        assays("42.51", "42.30", None, None),
        "/assay_exchange/splitting_limit_percent_w_w",
        json!("0.3"),
    );
    assert!(check(&own).assays.unwrap().within);
}

/// From 42.40 the first is 0.11 away and the second 0.10; the middle of the two is 42.405.
#[test]
fn the_party_further_from_the_umpire_pays() {
    for (umpire, pays) in [
        ("42.4", UmpireCost::You),
        ("42.45", UmpireCost::Refiner),
        ("42.405", UmpireCost::Shared),
    ] {
        let found = check(&assays("42.51", "42.30", Some(umpire), Some("2")));
        let assays = found.assays.unwrap();
        assert_eq!(assays.umpire_cost, Some(pays), "{umpire}");
        assert_eq!(
            assays.settling_percent_w_w.unwrap().decimal().to_string(),
            umpire
        );
        assert_eq!(found.verdict, SettlementVerdict::UmpireSettles);
    }
    // By the umpire's 42.3 % of 2 kg the 846 g that were reported are right.
    let found = check(&assays("42.51", "42.29", Some("42.30"), Some("2")));
    assert_eq!(found.verdict, SettlementVerdict::SilverAgrees);
}

#[test]
fn each_refusal_names_its_place() {
    for (at, value, kind, pointer) in [
        (
            "/statement/currency",
            json!("EUR"),
            FaultKind::MixedCurrencies,
            "/statement/currency",
        ),
        (
            "/terms/currency",
            json!("EUR"),
            FaultKind::MixedCurrencies,
            "/terms/currency",
        ),
        (
            "/statement/net_billed",
            json!("1"),
            FaultKind::Conflict,
            "/statement/net_billed",
        ),
        (
            "/statement",
            json!({"currency": "USD"}),
            FaultKind::Missing,
            "/statement/net_paid",
        ),
        (
            "/expected_silver_g",
            json!("0"),
            FaultKind::OutOfRange,
            "/expected_silver_g",
        ),
        (
            "/received",
            json!({"container_count": 0}),
            FaultKind::OutOfRange,
            "/received/container_count",
        ),
        (
            "/received",
            json!({"mass_kg": "1", "dry_mass_kg": "1.1"}),
            FaultKind::Conflict,
            "/received/dry_mass_kg",
        ),
        (
            "/terms/payment/treatment",
            json!({"per_kilogram": "1"}),
            FaultKind::Missing,
            "/received/mass_kg",
        ),
        (
            "/terms/payment/treatment",
            json!({"per_litre": "1"}),
            FaultKind::Missing,
            "/received/volume_l",
        ),
        (
            "/terms/payment/surcharges",
            json!([{"name": "drum", "amount": "1", "per": "container"}]),
            FaultKind::Missing,
            "/received/container_count",
        ),
        (
            "/terms/payment/surcharges",
            json!([{"name": "handling", "amount": "1", "per": "kilogram"}]),
            FaultKind::Missing,
            "/received/mass_kg",
        ),
        (
            "/statement/deductions",
            json!(vec![json!({"item": "assay", "amount": "1"}); 51]),
            FaultKind::TooMany,
            "/statement/deductions",
        ),
    ] {
        let request = with(scrap(), at, value);
        assert_eq!(fault(&request), (kind, pointer.to_owned()), "{at}");
    }
}

/// A cadmium surcharge of USD 0.95 per ounce received, as a published schedule has it: 1 kg is 32.1507
/// ozt, so USD 30.54.
#[test]
fn a_surcharge_hangs_on_what_was_stated_and_what_was_not_is_said() {
    let mut request = scrap();
    request.as_object_mut().unwrap().remove("statement");
    request["terms"]["payment"]["surcharges"] = json!([{"name": "cadmium", "amount": "0.95", "per": "troy_ounce_received", "when": "cadmium"}]);
    let answer = asked(&request);
    assert!(
        answer
            .assumptions
            .iter()
            .any(|a| a.field == "/received/constituents")
    );
    request["received"] = json!({"mass_kg": "1", "constituents": ["cadmium"]});
    let answer = asked(&request);
    let line = answer.result.money.deductions.last().unwrap();
    assert_eq!(
        (line.item, line.by_terms.to_string()),
        (LineItem::Surcharge, "30.54".to_owned())
    );
    assert!(
        answer
            .assumptions
            .iter()
            .all(|a| a.field != "/received/constituents")
    );
}

#[test]
fn a_statement_without_money_agrees_in_silver_only() {
    let mut request = scrap();
    request.as_object_mut().unwrap().remove("statement");
    let found = check(&request);
    assert_eq!(found.verdict, SettlementVerdict::SilverAgrees);
    assert!(
        found
            .reasons
            .iter()
            .any(|r| r.contains("money was not given"))
    );
}

#[test]
fn a_fee_that_is_not_in_the_terms_keeps_its_name() {
    let charged = |line: Value| {
        let mut request = with(
            scrap(),
            "/terms/payment/surcharges",
            json!([{"name": "cadmium surcharge", "amount": "10", "per": "lot"}]),
        );
        request["statement"]["deductions"]
            .as_array_mut()
            .unwrap()
            .push(line);
        check(&request).reasons.join(" ")
    };
    let named = charged(json!({"item": "surcharge", "amount": "25", "words": "admin fee"}));
    assert!(named.contains("admin fee"), "{named}");
    let unnamed = charged(json!({"item": "return_freight", "amount": "15"}));
    assert!(
        unnamed.contains("freight of the empties back, not in the terms"),
        "{unnamed}"
    );
}
