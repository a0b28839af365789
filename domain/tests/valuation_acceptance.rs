//! Whether a refiner takes a lot, and what a haulier charges.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use serde_json::{Value, json};
use spent_silver_domain::answer::Answer;
use spent_silver_domain::valuation::{
    AcceptanceRule, LotValuation, ValuationOutcome, ValuationRequest, value_lot,
};

fn request(batch: Value, acceptance: Value) -> Value {
    json!({
        "lot": {"id": "lot", "batches": [batch]},
        "price": {"amount": 30, "currency": "USD", "per": "troy_ounce"},
        "terms": {"currency": "USD", "acceptance": acceptance, "payment": {"payable_percent": 90}}
    })
}

fn batch(kind: &str) -> Value {
    json!({"id": "a", "kind": kind, "mass_kg": 2,
        "evidence": [{"stated": {"silver_g": {"value": 100, "standard_uncertainty": 1}, "source": "assay"}}]})
}

fn value(request: &Value) -> Answer<LotValuation> {
    let request: ValuationRequest = serde_json::from_str(&request.to_string()).unwrap();
    value_lot(&request).unwrap()
}

fn refused(request: &Value) -> Vec<AcceptanceRule> {
    match value(request).result.valuation.outcome {
        ValuationOutcome::NotAccepted { reasons } => reasons.iter().map(|r| r.rule).collect(),
        _ => Vec::new(),
    }
}

fn conditions(request: &Value) -> Vec<AcceptanceRule> {
    match value(request).result.valuation.outcome {
        ValuationOutcome::Accepted(s) => s.conditions.iter().map(|r| r.rule).collect(),
        other => panic!("expected an accepted lot: {other:?}"),
    }
}

#[test]
fn each_rule_refuses_by_itself_and_says_so() {
    use AcceptanceRule::*;
    let r = request(batch("sludge"), json!({"forms": ["solution"]}));
    assert_eq!(refused(&r), [Form]);
    let r = request(batch("sludge"), json!({"minimum_mass_kg": "2.001"}));
    assert_eq!(refused(&r), [MinimumMass]);
    let r = request(
        batch("sludge"),
        json!({"minimum_mass_kg": 2, "maximum_mass_kg": 2}),
    );
    assert_eq!(refused(&r), []);
    let r = request(batch("sludge"), json!({"maximum_mass_kg": "1.999"}));
    assert_eq!(refused(&r), [MaximumMass]);
    let mut r = request(
        batch("sludge"),
        json!({"maximum_moisture_percent": 20, "free_liquid_allowed": false}),
    );
    r["lot"]["moisture_percent"] = json!(35);
    r["lot"]["free_liquid"] = json!(true);
    assert_eq!(refused(&r), [Moisture, FreeLiquid]);
    let mut b = batch("sludge");
    b["composition"] = json!([{"substance": "mercuric_chloride"}]);
    assert_eq!(refused(&request(b, json!({}))), [RefusedConstituent]);
}

#[test]
fn what_is_not_known_is_a_condition_and_not_a_yes() {
    use AcceptanceRule::*;
    let acceptance = json!({"maximum_moisture_percent": 20, "free_liquid_allowed": false, "approval_sample_needed": true});
    let mut r = request(batch("sludge"), acceptance);
    assert_eq!(conditions(&r), [Moisture, FreeLiquid, ApprovalSample]);
    r["lot"]["moisture_percent"] = json!(10);
    r["lot"]["free_liquid"] = json!(false);
    r["lot"]["sample_approved"] = json!(true);
    assert_eq!(conditions(&r), []);
    let mut b = batch("sludge");
    b.as_object_mut().unwrap().remove("mass_kg");
    assert_eq!(
        conditions(&request(b, json!({"minimum_mass_kg": 1}))),
        [MinimumMass]
    );
}

#[test]
fn cyanide_is_never_accepted_even_where_the_terms_forget_it() {
    let r = request(batch("cyanide_fixer"), json!({"refused": []}));
    assert_eq!(refused(&r), [AcceptanceRule::RefusedConstituent]);
    // In a collodion studio a fixer of unstated type counts as cyanide.
    let mut b = batch("fixer");
    b["craft"] = json!("collodion");
    assert_eq!(
        refused(&request(b.clone(), json!({}))),
        [AcceptanceRule::RefusedConstituent]
    );
    b["composition"] = json!([{"substance": "sodium_thiosulfate"}]);
    assert_eq!(refused(&request(b, json!({}))), []);
}

#[test]
fn cadmium_above_a_tenth_of_a_percent_is_refused_as_the_filed_agreement_says() {
    // A refining agreement filed as a public exhibit refuses cadmium above 0.10 %.
    let acceptance = json!({"limits": [{"constituent": "cadmium", "most_percent": "0.10"}]});
    let with = |percent: &str| {
        let mut b = batch("sludge");
        b["composition"] = json!([{"substance": "cadmium_iodide", "percent_w_w": percent}]);
        request(b, acceptance.clone())
    };
    // Cadmium is 112.414 / 366.22 = 30.7 % of its iodide: 0.32 % makes 0.098 %, 0.33 % makes 0.101 %.
    assert_eq!(refused(&with("0.32")), []);
    assert_eq!(refused(&with("0.33")), [AcceptanceRule::ConstituentLimit]);
    let mut unsaid = batch("sludge");
    unsaid["composition"] = json!([{"substance": "cadmium_iodide"}]);
    assert_eq!(
        conditions(&request(unsaid, acceptance.clone())),
        [AcceptanceRule::ConstituentLimit]
    );
    let mut collodion = batch("sludge");
    collodion["craft"] = json!("collodion");
    assert_eq!(
        conditions(&request(collodion, acceptance)),
        [AcceptanceRule::ConstituentLimit]
    );
}

#[test]
fn defaults_are_listed_as_assumptions_that_resolve() {
    let mut b = batch("fixer");
    b.as_object_mut().unwrap().remove("mass_kg");
    b["volume_l"] = json!(10);
    let answer = value(&request(b, json!({"minimum_mass_kg": 1})));
    let fields: Vec<&str> = answer
        .assumptions
        .iter()
        .map(|a| a.field.as_str())
        .collect();
    assert!(
        fields.contains(&"/lot/batches/0/density_g_per_ml"),
        "{fields:?}"
    );
    assert!(fields.contains(&"/terms/acceptance/refused"), "{fields:?}");
    // 10 L at the default 1.09 kg/L of a fixer.
    assert!((answer.result.valuation.mass_kg.unwrap().get() - 10.9).abs() < 1e-9);
    for key in &answer.references {
        assert!(
            spent_silver_domain::bibliography::reference(key).is_some(),
            "{key}"
        );
    }
    let whole = serde_json::to_value(&answer).unwrap();
    for a in &answer.assumptions {
        assert!(
            a.about.is_empty() || whole["result"].pointer(&a.about).is_some(),
            "{a:?}"
        );
    }
    for m in &answer.methods {
        assert!(whole["result"].pointer(&m.about).is_some(), "{m:?}");
    }
}

#[test]
fn a_collection_is_billed_line_by_line() {
    // By hand: call-out 80 + 2 x 10 + 12.5 kg x 1.50 = 118.75, topped up by 31.25 to 150;
    // cadmium surcharge 25 per container that holds it; analysis 60: 235.00.
    let mut one = batch("sludge");
    one["mass_kg"] = json!("7.5");
    one["composition"] = json!([{"substance": "cadmium_iodide"}]);
    let mut two = batch("sludge");
    two["id"] = json!("b");
    two["mass_kg"] = json!(5);
    let mut r = request(one, json!({}));
    r["lot"]["batches"].as_array_mut().unwrap().push(two);
    r["haulage_terms"] = json!({"currency": "USD", "call_out": 80, "per_container": 10, "per_kilogram": "1.50", "minimum": 150,
        "surcharges": [{"name": "cadmium", "amount": 25, "per": "container", "when": "cadmium"}], "analysis": 60, "lead_time_day_count": 14});
    let haulage = value(&r).result.valuation.haulage.unwrap();
    let lines: Vec<String> = haulage.lines.iter().map(|l| l.amount.to_string()).collect();
    assert_eq!(
        lines,
        ["80.00", "20.00", "18.75", "31.25", "25.00", "60.00"]
    );
    assert_eq!(haulage.total.unwrap().to_string(), "235.00");

    r["lot"]["batches"][1]
        .as_object_mut()
        .unwrap()
        .remove("mass_kg");
    let haulage = value(&r).result.valuation.haulage.unwrap();
    assert!(
        haulage.total.is_none(),
        "an unweighed container leaves the bill unknown"
    );
    assert_eq!(haulage.unknown.len(), 1);
}

#[test]
fn every_source_of_money_is_in_the_bibliography_and_every_entry_is_used() {
    let used: Vec<&str> = spent_silver_domain::valuation::METHODS
        .iter()
        .chain(spent_silver_domain::decision::METHODS)
        .map(|m| m.source)
        .chain(spent_silver_domain::valuation::default_sources())
        .collect();
    for key in &used {
        assert!(
            spent_silver_domain::bibliography::reference(key).is_some(),
            "{key}"
        );
    }
    let text = include_str!("../data/bibliography/money.toml");
    for line in text.lines() {
        if let Some(key) = line.strip_prefix("key = ") {
            assert!(
                used.contains(&key.trim_matches('"')),
                "{key} is used by nothing"
            );
        }
    }
}
