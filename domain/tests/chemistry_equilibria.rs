//! The operation: its shape, its refusals and its warnings.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use serde_json::{Value, json};
use spent_silver_domain::answer::{Answer, Severity};
use spent_silver_domain::bibliography::reference;
use spent_silver_domain::chemistry::equilibria::{
    EquilibriumRequest, EquilibriumResult, ValidityLevel, solve_equilibrium,
};
use spent_silver_domain::fault::{FaultKind, Faults};

fn ask(request: &Value) -> Result<Answer<EquilibriumResult>, Faults> {
    let parsed: EquilibriumRequest = serde_json::from_str(&request.to_string()).unwrap();
    solve_equilibrium(&parsed)
}

fn refused(request: &Value) -> Vec<(String, FaultKind, String)> {
    ask(request)
        .unwrap_err()
        .list()
        .iter()
        .map(|f| (f.pointer.clone(), f.kind, f.detail.clone()))
        .collect()
}

#[test]
fn the_contract_is_answered_member_by_member() {
    let answer = ask(&json!({
        "temperature_c": 25, "water_kg": 1,
        "reagents": [{"formula": "AgNO3", "amount_mol": 0.53}, {"formula": "NaCl", "mass_g": 32.1}],
        "solids": ["AgCl"], "start": [{"formula": "AgCl", "amount_mol": 1}],
        "carbon_dioxide": "closed", "metal": null, "activity_model": "davies",
    }))
    .unwrap();
    let text = serde_json::to_value(&answer).unwrap();
    let result = &text["result"];
    for member in [
        "ph",
        "ionic_strength_mol_per_kg",
        "dissolved_silver_mol_per_kg",
        "residual_silver_mg_per_kg",
        "free_silver_mol_per_kg",
        "pag",
        "carbon_dioxide_released_mol",
    ] {
        assert!(result[member].is_string(), "{member}");
    }
    for member in [
        "formula",
        "molality_mol_per_kg",
        "activity",
        "log10_activity",
    ] {
        assert!(result["species"][0][member].is_string(), "{member}");
    }
    let chloride = &result["solids"]
        .as_array()
        .unwrap()
        .iter()
        .find(|s| s["formula"] == "AgCl")
        .unwrap();
    for member in ["amount_mol", "mass_g", "saturation_index"] {
        assert!(chloride[member].is_string(), "{member}");
    }
    // All the silver of the bath but the residue joins the mole that was there.
    let amount: f64 = chloride["amount_mol"].as_str().unwrap().parse().unwrap();
    assert!((amount - 1.53).abs() < 1e-4, "{amount}");
    assert_eq!(result["validity"]["level"], "notice");
    assert!(answer.methods.iter().any(|m| m.name == "Davies equation"));
    for key in &answer.references {
        assert!(reference(key).is_some(), "{key}");
    }
}

#[test]
fn masses_and_amounts_say_the_same() {
    let by = |entry: Value| {
        ask(&json!({"water_kg": "2", "reagents": [{"formula": "AgNO3", "amount_mol": "0.1"}, entry]}))
            .unwrap()
            .result
    };
    // 248.17154 g/mol: the periodictable library.
    let a = by(json!({"formula": "Na2S2O3.5H2O", "amount_mol": "0.5"}));
    let b = by(json!({"formula": "Na2S2O3.5H2O", "mass_g": "124.08577"}));
    assert!((a.pag.unwrap().get() - b.pag.unwrap().get()).abs() < 1e-6);
}

#[test]
fn defaults_are_listed() {
    let answer =
        ask(&json!({"water_kg": 1, "reagents": [{"formula": "AgNO3", "amount_mol": 0.1}]}))
            .unwrap();
    let fields: Vec<&str> = answer
        .assumptions
        .iter()
        .map(|a| a.field.as_str())
        .collect();
    for field in [
        "/temperature_c",
        "/carbon_dioxide",
        "/activity_model",
        "/solids",
        "/rule_set",
    ] {
        assert!(fields.contains(&field), "{field} in {fields:?}");
    }
}

#[test]
fn bad_input_is_named_by_its_pointer() {
    let one = |reagents: Value| json!({"water_kg": 1, "reagents": reagents});
    for (request, pointer, kind, word) in [
        (
            json!({"water_kg": 0, "reagents": []}),
            "/water_kg",
            FaultKind::OutOfRange,
            "more than 0",
        ),
        (
            json!({"water_kg": 1, "temperature_c": 60, "reagents": []}),
            "/temperature_c",
            FaultKind::OutOfRange,
            "10 to 35",
        ),
        (
            one(json!([{"formula": "MgSO4", "amount_mol": 1}])),
            "/reagents/0/formula",
            FaultKind::Unknown,
            "outside the set",
        ),
        (
            one(json!([{"formula": "KMnO4", "amount_mol": 1}])),
            "/reagents/0/formula",
            FaultKind::Unknown,
            "oxidizes",
        ),
        (
            one(json!([{"formula": "NaCl"}])),
            "/reagents/0/amount_mol",
            FaultKind::Missing,
            "expected",
        ),
        (
            one(json!([{"formula": "NaCl", "amount_mol": 1, "mass_g": 1}])),
            "/reagents/0/mass_g",
            FaultKind::Conflict,
            "expected one",
        ),
        (
            json!({"water_kg": 1, "reagents": [], "solids": ["NaCl"]}),
            "/solids/0",
            FaultKind::Unknown,
            "AgCl",
        ),
        (
            json!({"water_kg": 1, "reagents": [], "start": [{"formula": "CuS", "amount_mol": 1}]}),
            "/start/0/formula",
            FaultKind::Unknown,
            "AgCl",
        ),
        (
            json!({"water_kg": 1, "reagents": [{"formula": "NaCl", "amount_mol": 1}], "metal": "Cu"}),
            "/metal",
            FaultKind::NotApplicable,
            "no silver",
        ),
        (
            one(json!([{"formula": "Na2S2O3", "amount_mol": 3}])),
            "/reagents",
            FaultKind::NotApplicable,
            "at most 5",
        ),
        (
            one(
                json!([{"formula": "AgNO3", "amount_mol": 0.1}, {"formula": "FeSO4.7H2O", "amount_mol": 0.1}]),
            ),
            "/reagents/1",
            FaultKind::NotApplicable,
            "oxidation",
        ),
        (
            one(
                json!([{"formula": "K2CrO4", "amount_mol": 0.1}, {"formula": "Na2SO3", "amount_mol": 0.1}]),
            ),
            "/reagents/1",
            FaultKind::NotApplicable,
            "oxidation",
        ),
        (
            one(
                json!([{"formula": "KI", "amount_mol": 0.1}, {"formula": "CuSO4", "amount_mol": 0.1}]),
            ),
            "/reagents/0",
            FaultKind::NotApplicable,
            "oxidation",
        ),
    ] {
        let faults = refused(&request);
        assert_eq!(
            (faults[0].0.as_str(), faults[0].1),
            (pointer, kind),
            "{faults:?}"
        );
        assert!(faults[0].2.contains(word), "{faults:?}");
    }
    for bad in [
        json!({"water_kg": 1, "reagents": [{"formula": "NaCl", "amount_mol": -1}]}),
        json!({"water_kg": 1, "reagents": [{"formula": "NaXx", "amount_mol": 1}]}),
        json!({"water_kg": 1, "reagents": [], "pressure": 1}),
    ] {
        assert!(
            serde_json::from_str::<EquilibriumRequest>(&bad.to_string()).is_err(),
            "{bad}"
        );
    }
}

#[test]
fn several_faults_come_together() {
    let faults = refused(&json!({"water_kg": 0, "temperature_c": 5,
        "reagents": [{"formula": "MgO", "amount_mol": 1}, {"formula": "NaCl"}]}));
    assert_eq!(faults.len(), 4, "{faults:?}");
}

#[test]
fn poison_gas_and_explosive_silver_are_named_as_dangers() {
    for (reagents, word) in [
        (
            json!([{"formula": "KCN", "amount_mol": 0.1}, {"formula": "CH3COOH", "amount_mol": 0.25}]),
            "Hydrogen cyanide",
        ),
        (
            json!([{"formula": "KCN", "amount_mol": 0.1}, {"formula": "NaOH", "amount_mol": 0.1}]),
            "hydrogen cyanide",
        ),
        (
            json!([{"formula": "Na2S", "amount_mol": 0.1}, {"formula": "HNO3", "amount_mol": 0.15}]),
            "Hydrogen sulfide",
        ),
        (
            json!([{"formula": "Na2S2O3", "amount_mol": 0.1}, {"formula": "HNO3", "amount_mol": 0.05}]),
            "sulfur dioxide",
        ),
        (
            json!([{"formula": "AgNO3", "amount_mol": 0.1}, {"formula": "NH3", "amount_mol": 0.5}]),
            "explosive",
        ),
    ] {
        let answer = ask(&json!({"water_kg": 1, "reagents": reagents})).unwrap();
        assert!(
            answer
                .warnings
                .iter()
                .any(|w| w.severity == Severity::Danger && w.text.contains(word)),
            "{word}: {:?}",
            answer.warnings
        );
    }
}

#[test]
fn the_range_of_the_model_is_said_and_the_factor_grows_with_it() {
    let at = |salt: f64| {
        ask(&json!({"water_kg": 1, "reagents": [{"formula": "AgNO3", "amount_mol": 0.01}, {"formula": "NaCl", "amount_mol": salt}]}))
            .unwrap()
            .result
    };
    for (salt, level, factor) in [
        (0.1, ValidityLevel::WithinModel, 1.0),
        (1.0, ValidityLevel::Notice, 2.0),
        (3.0, ValidityLevel::StrongWarning, 10.0),
    ] {
        let result = at(salt);
        assert_eq!(result.validity.level, level);
        assert!(result.predicted_silver.unwrap().factor_95.get() >= factor);
    }
}

#[test]
fn off_25_degrees_the_constants_without_enthalpy_are_named() {
    let answer = ask(&json!({"temperature_c": 15, "water_kg": 1,
        "reagents": [{"formula": "AgNO3", "amount_mol": 0.01}, {"formula": "KBr", "amount_mol": 0.1}]})).unwrap();
    let text = &answer
        .assumptions
        .iter()
        .find(|a| a.text.contains("No enthalpy"))
        .unwrap()
        .text;
    assert!(text.contains("AgBr2-"), "{text}");
    assert!(!text.contains("AgBr(s)"), "{text}");
}

#[test]
fn nothing_but_water_has_an_answer() {
    let answer = ask(&json!({"water_kg": 1, "reagents": []})).unwrap().result;
    // The start is water at pH 7.
    assert!((answer.ph.get() - 7.0).abs() < 1e-6);
    assert!(answer.pag.is_none() && answer.predicted_silver.is_none() && answer.solids.is_empty());
    assert_eq!(answer.dissolved_silver_mol_per_kg.get(), 0.0);
}

#[test]
fn a_metal_shows_its_floor_its_loss_and_the_potential_of_silver() {
    // 0.05 mol of silver takes 0.025 mol of copper: 1.58865 g (63.546 g/mol).
    let answer = ask(&json!({"water_kg": 1, "reagents": [{"formula": "AgNO3", "amount_mol": 0.05}], "metal": "Cu"}))
        .unwrap().result;
    let metal = answer.metal.unwrap();
    assert!((metal.dissolved_g.get() - 1.58865).abs() < 1e-5);
    assert!((metal.plated_silver_g.get() - 5.39341).abs() < 1e-4);
    // Less copper than the silver needs: all of it dissolves, the rest of the silver stays.
    let answer = ask(&json!({"water_kg": 1, "reagents": [{"formula": "AgNO3", "amount_mol": 0.05}], "metal": "Cu",
        "start": [{"formula": "Cu", "amount_mol": 0.01}]})).unwrap().result;
    assert!((answer.dissolved_silver_mol_per_kg.get() - 0.03).abs() < 1e-9);
}
