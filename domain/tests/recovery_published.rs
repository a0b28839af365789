//! Doses, products and charges against published and independently computed values.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::recovery_common;

use recovery_common::{answer, estimate, plan};
use serde_json::{Value, json};
use spent_silver_domain::chemistry::faraday::{deposited_g, hours_to_deposit};
use spent_silver_domain::recovery::ProcessName;

fn published() -> Value {
    serde_json::from_str(include_str!("data/recovery_published.json")).unwrap()
}

fn number(value: &Value, member: &str) -> f64 {
    value[member].as_f64().unwrap()
}

fn process(value: &Value) -> ProcessName {
    serde_json::from_value(value["process"].clone()).unwrap()
}

/// A liquid in which the process applies, with everything at hand.
fn request(case: &Value) -> Value {
    let kind = case["batch_kind"].as_str().unwrap();
    let ph = match process(case) {
        ProcessName::SulfidePrecipitation => "8.5",
        _ => "5",
    };
    json!({
        "batch": {"id": "b", "kind": kind, "craft": "salted_paper", "volume_l": "10", "ph": ph},
        "means": ["scale", "power_supply", "extraction", "training"],
    })
}

fn close(found: f64, expected: f64, relative: f64, what: &str) {
    assert!(
        ((found - expected) / expected).abs() <= relative,
        "{what}: found {found}, published {expected}"
    );
}

#[test]
fn doses_for_a_hundred_grams_of_silver_are_those_of_the_reference_case() {
    let doses = &published()["doses"];
    let silver = number(doses, "silver_g");
    for case in doses["expected_g"].as_array().unwrap() {
        // The dose goes by the upper end, so the reference silver is put there.
        let plans = answer(&request(case), &estimate(90.0, 95.0, silver));
        let reagent = &plan(&plans, process(case)).reagents[0];
        close(
            reagent.stoichiometric_g.get() * number(doses, "factor"),
            number(case, "grams"),
            number(doses, "relative_tolerance"),
            case["process"].as_str().unwrap(),
        );
    }
}

#[test]
fn two_hundred_and_fifty_grams_of_product_hold_the_silver_of_the_reference_case() {
    let products = &published()["products"];
    for case in products["expected"].as_array().unwrap() {
        let plans = answer(&request(case), &estimate(90.0, 100.0, 110.0));
        let plan = plan(&plans, process(case));
        let silver = plan.silver_recovered.unwrap().expected_g.get();
        let dry = plan.product.dry_g.unwrap().get();
        close(
            silver / dry * 250.0,
            number(case, "silver_g"),
            number(products, "relative_tolerance"),
            case["process"].as_str().unwrap(),
        );
    }
}

#[test]
fn faraday_gives_the_published_masses() {
    for case in published()["faraday_mass"].as_array().unwrap() {
        let found = deposited_g(
            number(case, "current_a"),
            number(case, "time_h"),
            number(case, "efficiency"),
            number(case, "molar_mass"),
            number(case, "electrons"),
        );
        let expected = number(case, "mass_g");
        assert!(
            (found - expected).abs() <= number(case, "absolute_tolerance"),
            "{}: found {found}, published {expected}",
            case["id"]
        );
    }
}

#[test]
fn faraday_gives_the_published_times() {
    for case in published()["faraday_time"].as_array().unwrap() {
        let found = hours_to_deposit(
            number(case, "mass_g"),
            number(case, "current_a"),
            number(case, "efficiency"),
            number(case, "molar_mass"),
            number(case, "electrons"),
        )
        .unwrap();
        let expected = number(case, "time_h");
        assert!(
            (found - expected).abs() <= number(case, "absolute_tolerance"),
            "{}: found {found}, published {expected}",
            case["id"]
        );
    }
}

#[test]
fn an_electrolysis_plan_takes_the_hours_of_the_reference_case() {
    let published = published();
    let case = &published["electrolysis_plan"];
    let request = json!({
        "batch": {"id": "fix", "kind": "fixer", "volume_l": case["volume_l"]},
        "means": ["scale", "power_supply", "extraction"],
        "current_a": case["current_a"],
        "current_efficiency_percent": {"value": case["efficiency_percent"], "standard_uncertainty": 0},
    });
    let plans = answer(&request, &estimate(100.0, number(case, "silver_g"), 140.0));
    let plan = plan(&plans, ProcessName::Electrolysis);
    let relative = number(case, "relative_tolerance");
    close(
        plan.charge.unwrap().silver_g.get(),
        number(case, "plated_g"),
        relative,
        "silver plated",
    );
    close(
        plan.time.as_ref().unwrap().expected_h.unwrap().get(),
        number(case, "time_h"),
        relative,
        "hours",
    );
}

#[test]
fn the_field_data_of_2003_are_given_as_published() {
    // J. Air & Waste Manage. Assoc. 53 (2003) 434.
    let request = json!({
        "batch": {"id": "fix", "kind": "fixer", "volume_l": 20},
        "means": ["scale", "power_supply", "extraction"],
    });
    let plans = answer(&request, &estimate(100.0, 120.0, 140.0));
    for (process, figures) in [
        (
            ProcessName::ElectrolysisThenReplacement,
            [0.20, 99.9, 35.2, 33.8],
        ),
        (
            ProcessName::MetallicReplacement,
            [7.2, 1112.0, 565.0, 720.0],
        ),
    ] {
        let residual = plan(&plans, process).practical_residual.as_ref().unwrap();
        let found = [
            residual.low_mg_per_l.get(),
            residual.high_mg_per_l.get(),
            residual.mean_mg_per_l.unwrap().get(),
            residual.median_mg_per_l.unwrap().get(),
        ];
        assert_eq!(found, figures, "{process:?}");
        assert_eq!(residual.source, "jawma2003");
    }
}
