//! What a refiner pays and charges: published schedules worked by hand, shares, sensitivity.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Deserialize;
use serde_json::{Value, json};
use spent_silver_domain::fault::{FaultKind, Faults};
use spent_silver_domain::quantity::{Currency, SignedAmount};
use spent_silver_domain::valuation::{
    LotValuation, Settlement, ValuationOutcome, ValuationRequest, share_out, value_lot,
};

#[derive(Deserialize)]
struct Published {
    settlement: Vec<Case>,
    break_even: BreakEven,
}

#[derive(Deserialize)]
struct Case {
    id: String,
    by_hand: String,
    kind: String,
    mass_kg: Option<String>,
    volume_l: Option<String>,
    silver_ozt: String,
    composition: Option<String>,
    payment: String,
    gross: String,
    net: String,
}

#[derive(Deserialize)]
struct BreakEven {
    silver_ozt: f64,
    silver_g: f64,
}

fn published() -> Published {
    toml::from_str(include_str!("published/money.toml")).unwrap()
}

fn grams(ozt: &str) -> String {
    (ozt.parse::<Decimal>().unwrap() * Decimal::new(311_034_768, 7))
        .normalize()
        .to_string()
}

fn batch(id: &str, kind: &str, silver_g: &str, u: &str) -> Value {
    json!({"id": id, "kind": kind,
        "evidence": [{"stated": {"silver_g": {"value": silver_g, "standard_uncertainty": u}, "source": "assay"}}]})
}

fn request(batches: Vec<Value>, payment: Value) -> Value {
    json!({
        "lot": {"id": "lot", "batches": batches},
        "price": {"amount": 30, "currency": "USD", "per": "troy_ounce"},
        "terms": {"currency": "USD", "payment": payment}
    })
}

fn value(request: &Value) -> Result<LotValuation, Faults> {
    let request: ValuationRequest = serde_json::from_str(&request.to_string()).unwrap();
    value_lot(&request).map(|a| a.result)
}

fn settled(request: &Value) -> Settlement {
    match value(request).unwrap().valuation.outcome {
        ValuationOutcome::Accepted(s) => *s,
        other => panic!("not settled: {other:?}"),
    }
}

fn fault(request: &Value) -> (FaultKind, String) {
    let faults = value(request).unwrap_err();
    let first = &faults.list()[0];
    (first.kind, first.pointer.clone())
}

#[test]
fn published_schedules_settle_as_worked_by_hand() {
    for case in published().settlement {
        let mut b = batch("a", &case.kind, &grams(&case.silver_ozt), "0");
        if let Some(m) = &case.mass_kg {
            b["mass_kg"] = json!(m);
        }
        if let Some(v) = &case.volume_l {
            b["volume_l"] = json!(v);
        }
        if let Some(c) = &case.composition {
            b["composition"] = serde_json::from_str(c).unwrap();
        }
        let payment = serde_json::from_str(&case.payment).unwrap();
        let s = settled(&request(vec![b], payment));
        assert_eq!(
            s.gross_value.to_string(),
            case.gross,
            "{}: {}",
            case.id,
            case.by_hand
        );
        assert_eq!(s.net.to_string(), case.net, "{}: {}", case.id, case.by_hand);
        let total: Decimal = s.deductions.iter().map(|l| l.amount.decimal()).sum();
        assert_eq!(total, s.deductions_total.decimal(), "{}", case.id);
        assert_eq!(
            s.gross_value.decimal() - total,
            s.net.decimal(),
            "{}",
            case.id
        );
        assert_eq!(
            s.loses_money,
            s.net.decimal() < Decimal::ZERO,
            "{}",
            case.id
        );
        assert!(s.deductions.iter().all(|l| !l.basis.is_empty()));
    }
}

#[test]
fn a_lot_minimum_of_300_dollars_takes_346_grams_to_break_even() {
    let published = published().break_even;
    let payment = json!({"payable_percent": 90, "minimum_lot_charge": 300});
    let s = settled(&request(
        vec![batch("a", "sludge", "100", "2")],
        payment.clone(),
    ));
    let ozt = s.break_even.silver_ozt.unwrap().get();
    let g = s.break_even.silver_g.unwrap().get();
    assert!((ozt - published.silver_ozt).abs() < 0.05, "{ozt}");
    assert!((g - published.silver_g).abs() < 0.5, "{g}");
    assert!(s.loses_money);
    assert!(s.statement.contains("costs money"), "{}", s.statement);

    let at = |grams: f64| {
        settled(&request(
            vec![batch("a", "sludge", &format!("{grams:.6}"), "0")],
            payment.clone(),
        ))
        .net
        .decimal()
    };
    assert!(at(g).abs() <= Decimal::new(1, 2));
    assert!(at(g - 1.0) < Decimal::ZERO);
    assert!(at(g + 1.0) > Decimal::ZERO);
}

#[test]
fn the_break_even_holds_where_refining_outgrows_the_minimum() {
    // Silver x with 20 x - 4 x paid: 100 treatment + 60 assay, minimum of 110 outgrown by refining.
    let payment = json!({"payable_percent": 50, "silver_deducted_ozt": 1, "treatment": {"per_lot": 100},
        "refining_per_troy_ounce": 4, "assay_fee": 60, "minimum_lot_charge": 110});
    let mut r = request(vec![batch("a", "sludge", "50", "0")], payment);
    r["price"]["amount"] = json!(20);
    let s = settled(&r);
    // (100 + 60) / (20 - 4) = 10 ozt paid for, that is 10 / 0.5 + 1 = 21 ozt.
    assert!((s.break_even.silver_ozt.unwrap().get() - 21.0).abs() < 1e-9);
    r["lot"]["batches"] = json!([batch("a", "sludge", &grams("21"), "0")]);
    assert_eq!(settled(&r).net.to_string(), "0.00");
}

#[test]
fn the_break_even_price_nets_nothing() {
    let payment = json!({"payable_percent": 90, "minimum_lot_charge": 300, "assay_fee": 45});
    let mut r = request(vec![batch("a", "sludge", &grams("10"), "0")], payment);
    let price = settled(&r).break_even.price.unwrap();
    // 345 / (10 x 0.9) = 38.3333..., rounded up.
    assert_eq!(
        serde_json::to_value(price).unwrap()["amount"],
        json!("38.3334")
    );
    r["price"]["amount"] = json!("38.3334");
    assert_eq!(settled(&r).net.to_string(), "0.00");
    // The same price for a gram.
    r["price"] = json!({"amount": 1, "currency": "USD", "per": "gram"});
    let per_gram = settled(&r).break_even.price.unwrap().amount.decimal();
    assert_eq!(
        per_gram,
        Decimal::new(12325, 4),
        "345 / 279.9313 g = 1.23244, rounded up"
    );
}

#[test]
fn no_amount_of_silver_pays_where_refining_costs_more_than_the_price() {
    let payment =
        json!({"payable_percent": 90, "refining_per_troy_ounce": 40, "treatment": {"per_lot": 10}});
    let s = settled(&request(vec![batch("a", "sludge", "500", "0")], payment));
    assert!(s.break_even.silver_g.is_none());
    assert!(s.loses_money);
}

#[test]
fn every_price_unit_gives_the_same_money() {
    let payment = json!({"payable_percent": 90});
    let mut nets = Vec::new();
    for (amount, per) in [
        ("31.1034768", "troy_ounce"),
        ("1", "gram"),
        ("1000", "kilogram"),
    ] {
        let mut r = request(vec![batch("a", "sludge", "250", "0")], payment.clone());
        r["price"] = json!({"amount": amount, "currency": "USD", "per": per});
        nets.push(settled(&r).net.to_string());
    }
    assert_eq!(nets, ["225.00", "225.00", "225.00"]);
}

#[test]
fn a_currency_without_cents_is_rounded_to_whole_units() {
    let mut r = request(
        vec![batch("a", "sludge", "10", "0")],
        json!({"payable_percent": 90}),
    );
    r["price"] = json!({"amount": 150, "currency": "JPY", "per": "gram"});
    r["terms"]["currency"] = json!("JPY");
    let s = settled(&r);
    assert_eq!(
        (s.gross_value.to_string(), s.net.to_string()),
        ("1500".into(), "1350".into())
    );
}

#[test]
fn shares_add_up_to_the_cent_whatever_the_weights() {
    let usd = Currency::parse("USD").unwrap();
    let mut seed: u64 = 42;
    let mut next = || {
        seed = seed
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        seed >> 40
    };
    for _ in 0..2000 {
        let amount = SignedAmount::rounded(Decimal::new(next() as i64, 2), usd);
        let weights: Vec<Decimal> = (0..1 + next() % 9)
            .map(|_| Decimal::new((next() % 1000) as i64, 3))
            .collect();
        let parts = share_out(amount, &weights, usd).unwrap();
        assert_eq!(parts.iter().sum::<Decimal>(), amount.decimal());
        let sum: Decimal = weights.iter().sum();
        for (part, weight) in parts.iter().zip(&weights) {
            let exact = if sum.is_zero() {
                continue;
            } else {
                amount.decimal() * weight / sum
            };
            assert!((part - exact).abs() < Decimal::new(1, 2), "{part} {exact}");
        }
    }
}

#[test]
fn the_leftover_cents_go_to_the_largest_remainders() {
    let usd = Currency::parse("USD").unwrap();
    let share = |amount: i64, weights: &[i64]| {
        let weights: Vec<Decimal> = weights.iter().map(|w| Decimal::from(*w)).collect();
        share_out(
            SignedAmount::rounded(Decimal::new(amount, 2), usd),
            &weights,
            usd,
        )
        .unwrap()
        .iter()
        .map(|p| (p * Decimal::ONE_HUNDRED).to_i64().unwrap())
        .collect::<Vec<_>>()
    };
    assert_eq!(share(10_000, &[1, 1, 1]), [3334, 3333, 3333]);
    // The textbook case of the method: 10 seats to votes of 47, 16, 15.8, 12, 6.1 and 3.1 (thousands).
    assert_eq!(share(10, &[470, 160, 158, 120, 61, 31]), [5, 2, 1, 1, 1, 0]);
    assert_eq!(share(5, &[0, 0]), [3, 2]);
}

#[test]
fn the_shares_of_the_batches_add_up_to_the_lot() {
    let payment = json!({"payable_percent": "87.5", "silver_deducted_ozt": "0.333", "treatment": {"per_lot": "17.77", "per_kilogram": "3.33"},
        "minimum_lot_charge": 101, "assay_fee": "33.34", "freight": "12.01",
        "surcharges": [{"name": "cadmium", "amount": 10, "per": "lot", "when": "cadmium"}]});
    let mut with_cadmium = batch("b", "sludge", "23.7", "1");
    with_cadmium["composition"] = json!([{"substance": "cadmium_iodide"}]);
    let mut batches = vec![
        batch("a", "sludge", "101.3", "2"),
        with_cadmium,
        batch("c", "sludge", "0", "0"),
    ];
    for (b, m) in batches.iter_mut().zip(["1.5", "0.7", "2.2"]) {
        b["mass_kg"] = json!(m);
    }
    let s = settled(&request(batches, payment));
    let sum = |pick: fn(&spent_silver_domain::valuation::LotShare) -> Decimal| -> Decimal {
        s.shares.iter().map(pick).sum()
    };
    assert_eq!(sum(|x| x.gross_value.decimal()), s.gross_value.decimal());
    assert_eq!(
        sum(|x| x.deductions.decimal()),
        s.deductions_total.decimal()
    );
    assert_eq!(sum(|x| x.net.decimal()), s.net.decimal());
    // The silverless container still pays for its mass: 2.2 kg x 3.33, but none of the cadmium.
    assert_eq!(s.shares[2].gross_value.to_string(), "0.00");
    assert_eq!(s.shares[2].net.to_string(), "-7.33");
}

#[test]
fn the_sensitivity_table_meets_the_net_and_grows_with_price_and_silver() {
    let payment = json!({"payable_percent": 90, "minimum_lot_charge": 100});
    let s = settled(&request(vec![batch("a", "sludge", "300", "30")], payment));
    assert_eq!(s.sensitivity.len(), 7);
    let middle = &s.sensitivity[3];
    assert_eq!(middle.net_expected, s.net);
    // 300 g at 27 per ozt less 100: 160.42; at 0.7 of the price 182.2947 less 100: 82.29.
    assert_eq!(s.net.to_string(), "160.42");
    assert_eq!(s.sensitivity[0].net_expected.to_string(), "82.29");
    // The ends of 300 +- 1.96 x 30 g.
    let ends = (
        middle.net_lower.decimal(),
        middle.net_upper.unwrap().decimal(),
    );
    assert!(
        (ends.0 - Decimal::new(10938, 2)).abs() < Decimal::new(5, 2),
        "{ends:?}"
    );
    assert!(
        (ends.1 - Decimal::new(21146, 2)).abs() < Decimal::new(5, 2),
        "{ends:?}"
    );
    for rows in s.sensitivity.windows(2) {
        assert!(rows[0].net_expected < rows[1].net_expected);
    }
}

#[test]
fn the_uncertainties_of_a_lot_combine_in_quadrature() {
    let payment = json!({"payable_percent": 90});
    let batches = vec![
        batch("a", "sludge", "100", "3"),
        batch("b", "sludge", "50", "4"),
    ];
    let silver = value(&request(batches, payment))
        .unwrap()
        .valuation
        .silver
        .unwrap();
    assert!((silver.silver_g.get() - 150.0).abs() < 1e-9);
    assert!((silver.standard_uncertainty_g.get() - 5.0).abs() < 1e-9);
    assert!((silver.upper_95_g.unwrap().get() - (150.0 + 1.959964 * 5.0)).abs() < 1e-3);
}

/// Two that are anything within ± 5 g alike: the sum is a triangle over ± 10 g, and ± 8.00 g hold
/// `1 - (10 - 8.00)^2 / (2 * 50)` = 96 of 100 (by hand; the triangular density, JCGM 100, 4.3.9). The two
/// ± 4.75 g that hold 95 of 100 of each, combined as uncertainties are, would be ± 6.72 g and hold 89.
#[test]
fn the_interval_of_a_lot_holds_what_is_anything_within_its_limits() {
    let within = |id: &str, g: &str| json!({"id": id, "kind": "sludge", "evidence": [{"stated": {"silver_g": {"value": g, "plus_minus": "5"}}}]});
    let silver = |batches| {
        value(&request(batches, json!({"payable_percent": 90})))
            .unwrap()
            .valuation
            .silver
            .unwrap()
    };
    let two = silver(vec![within("a", "100"), within("b", "50")]);
    assert!(
        (two.upper_95_g.unwrap().get() - 158.0).abs() < 0.01,
        "{two:?}"
    );
    assert!((two.lower_95_g.get() - 142.0).abs() < 0.01, "{two:?}");
    let one = silver(vec![within("a", "100")]);
    assert!(
        (one.upper_95_g.unwrap().get() - 104.75).abs() < 0.01,
        "{one:?}"
    );
}

#[test]
fn a_container_without_a_figure_leaves_the_value_unknown_and_never_zero() {
    let unmeasured = json!({"id": "b", "kind": "sludge"});
    let r = request(
        vec![batch("a", "sludge", "100", "3"), unmeasured],
        json!({"payable_percent": 90}),
    );
    let v = value(&r).unwrap().valuation;
    assert!(v.silver.is_none());
    let ValuationOutcome::ValueUnknown { reasons, .. } = v.outcome else {
        panic!("expected an unknown value");
    };
    assert!(reasons[0].starts_with("b:"), "{reasons:?}");
}

#[test]
fn a_charge_by_mass_on_an_unweighed_lot_leaves_the_value_unknown() {
    let payment = json!({"payable_percent": 90, "treatment": {"per_kilogram": 5}});
    let v = value(&request(vec![batch("a", "sludge", "100", "3")], payment))
        .unwrap()
        .valuation;
    assert!(matches!(v.outcome, ValuationOutcome::ValueUnknown { .. }));
}

#[test]
fn two_currencies_never_add() {
    let mut r = request(
        vec![batch("a", "sludge", "100", "3")],
        json!({"payable_percent": 90}),
    );
    r["terms"]["currency"] = json!("EUR");
    assert_eq!(
        fault(&r),
        (FaultKind::MixedCurrencies, "/terms/currency".into())
    );
    r["terms"]["currency"] = json!("USD");
    r["haulage_terms"] = json!({"currency": "GBP", "call_out": 80});
    assert_eq!(
        fault(&r),
        (FaultKind::MixedCurrencies, "/haulage_terms/currency".into())
    );
}

#[test]
fn a_lot_is_refused_where_it_cannot_be_one() {
    let pay = json!({"payable_percent": 90});
    let r = request(vec![], pay.clone());
    assert_eq!(fault(&r), (FaultKind::Missing, "/lot/batches".into()));
    let r = request(
        vec![
            batch("a", "sludge", "1", "0"),
            batch("b", "fixer", "1", "0"),
        ],
        pay.clone(),
    );
    assert_eq!(
        fault(&r),
        (FaultKind::Conflict, "/lot/batches/1/kind".into())
    );
    let r = request(
        vec![
            batch("a", "sludge", "1", "0"),
            batch("a", "sludge", "1", "0"),
        ],
        pay.clone(),
    );
    assert_eq!(fault(&r), (FaultKind::Conflict, "/lot/batches/1/id".into()));
    let many = (0..501)
        .map(|i| batch(&format!("b{i}"), "sludge", "1", "0"))
        .collect();
    assert_eq!(
        fault(&request(many, pay.clone())),
        (FaultKind::TooMany, "/lot/batches".into())
    );
    let mut r = request(vec![batch("a", "sludge", "1", "0")], pay);
    r["price"]["as_of_on"] = json!("2026-03-02");
    r["on"] = json!("2026-03-01");
    assert_eq!(fault(&r), (FaultKind::DateOrder, "/price/as_of_on".into()));
}

#[test]
fn absurd_money_is_a_fault_or_an_answer_and_never_a_panic() {
    for amount in ["999999999999", "0", "0.0000000000000000000000000001"] {
        for silver in ["0", "0.000001", "999999999"] {
            let payment = json!({"payable_percent": "99.99999999999999999999", "treatment": {"per_kilogram": amount, "per_lot": amount},
                "refining_per_troy_ounce": amount, "minimum_lot_charge": amount});
            let mut b = batch("a", "sludge", silver, "1");
            b["mass_kg"] = json!("1000000");
            let mut r = request(vec![b], payment);
            r["price"]["amount"] = json!(amount);
            if let Ok(v) = value(&r) {
                serde_json::to_string(&v).unwrap();
            }
        }
    }
}

#[test]
fn the_outcome_is_tagged_from_outside() {
    let r = request(
        vec![batch("a", "sludge", "100", "3")],
        json!({"payable_percent": 90, "settlement_day_count": 30}),
    );
    let mut r = r;
    r["on"] = json!("2026-01-01");
    let v = serde_json::to_value(value(&r).unwrap()).unwrap();
    let accepted = &v["valuation"]["outcome"]["accepted"];
    assert_eq!(accepted["net"], json!("86.81"));
    assert_eq!(accepted["settled_on"], json!("2026-01-31"));
    assert_eq!(v["valuation"]["form"], json!("mixed_sludge"));
}

/// ISO 4217: the minor unit of the dollar has two places, that of the yen none.
#[test]
fn a_price_in_words_has_the_places_of_its_currency() {
    use rust_decimal::Decimal;
    use spent_silver_domain::quantity::{Currency, PriceUnit};
    use spent_silver_domain::valuation::price_words;
    for (code, amount, words) in [
        ("USD", Decimal::new(482, 1), "USD 48.20 per troy ounce"),
        ("USD", Decimal::new(48, 0), "USD 48.00 per troy ounce"),
        (
            "USD",
            Decimal::new(462_083, 4),
            "USD 46.2083 per troy ounce",
        ),
        ("JPY", Decimal::new(7300, 0), "JPY 7300 per troy ounce"),
    ] {
        let currency = Currency::parse(code).unwrap();
        assert_eq!(price_words(amount, currency, PriceUnit::TroyOunce), words);
    }
}
