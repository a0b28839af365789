//! What no reading can be: a certain nothing, a sample larger than the batch, more silver than metal.
#![expect(
    clippy::panic,
    clippy::expect_used,
    reason = "a test fails by panicking"
)]

use serde_json::{Value, json};
use spent_silver_domain::answer::{Answer, Severity};
use spent_silver_domain::estimate::{Estimate, EstimateRequest, estimate_silver};
use spent_silver_domain::fault::{FaultKind, Faults};

fn ask(batch: &Value) -> Result<Answer<Estimate>, Faults> {
    let text = json!({ "batch": batch }).to_string();
    let request: EstimateRequest =
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("{e}: {text}"));
    estimate_silver(&request)
}

fn fault(batch: &Value) -> (FaultKind, String, String) {
    let faults = ask(batch).expect_err("a fault");
    let first = &faults.list()[0];
    (first.kind, first.pointer.clone(), first.detail.clone())
}

fn litres(volume: f64, kind: &str, evidence: Value) -> Value {
    json!({"id": "b", "kind": kind, "volume_l": volume, "evidence": [evidence]})
}

#[test]
fn a_zero_without_an_uncertainty_is_refused_where_it_stands() {
    let exact = |v: f64| json!({"value": v, "standard_uncertainty": 0});
    for (kind, evidence, place) in [
        (
            "fixer",
            json!({"laboratory_assay": {"silver_mg_per_l": 0}}),
            "laboratory_assay/silver_mg_per_l",
        ),
        (
            "fixer",
            json!({"laboratory_assay": {"silver_mg_per_l": exact(0.0), "dilution_factor": 10}}),
            "laboratory_assay/silver_mg_per_l",
        ),
        (
            "fixer",
            json!({"laboratory_assay": {"silver_mg_per_l": 0, "below_detection_limit": true}}),
            "laboratory_assay/silver_mg_per_l",
        ),
        (
            "fixer",
            json!({"stated": {"silver_g": "0.00"}}),
            "stated/silver_g",
        ),
        (
            "sludge",
            json!({"weighed_solid": {"wet_mass_g": 10, "moisture_percent": 50, "silver_percent_dry": 0}}),
            "weighed_solid/silver_percent_dry",
        ),
        (
            "sensitizing_bath",
            json!({"chloride_weighing": {"sample_ml": 25, "dry_silver_chloride_g": exact(0.0)}}),
            "chloride_weighing/dry_silver_chloride_g",
        ),
        (
            "fixer",
            json!({"throughput": {"items": [{"material": "black_and_white_film", "area_m2": 0}]}}),
            "throughput/items/0/area_m2",
        ),
    ] {
        let (fault_kind, pointer, detail) = fault(&litres(2.0, kind, evidence.clone()));
        assert_eq!(fault_kind, FaultKind::OutOfRange, "{evidence}");
        assert_eq!(pointer, format!("/batch/evidence/0/{place}"));
        assert!(
            detail.contains("between") || detail.contains("limit of detection"),
            "{detail}"
        );
    }
}

#[test]
fn a_zero_with_its_bound_is_a_reading() {
    for (reading, silver, upper) in [
        // Anything from 0 to 0.05 mg/L in 2 L: the middle is 0.05 mg, the top 0.1 mg.
        (
            json!({"silver_mg_per_l": {"between": ["0", "0.05"]}}),
            0.000_05,
            0.0001,
        ),
        (
            json!({"silver_mg_per_l": "0.05", "below_detection_limit": true}),
            0.000_05,
            0.0001,
        ),
        // 0 +- 0.02 mg/L cut at zero: below 2.2414 x 0.02 x 2 mg with 97.5 % of the upper half
        // (normal table, 0.98750).
        (
            json!({"silver_mg_per_l": {"value": 0, "standard_uncertainty": "0.02"}}),
            0.0,
            0.000_089_7,
        ),
    ] {
        let batch = json!({"id": "b", "kind": "fixer", "volume_l": {"value": 2, "standard_uncertainty": 0},
            "evidence": [{"laboratory_assay": reading}]});
        let estimate = ask(&batch).expect("an answer").result;
        let (value, _) = estimate.figure().expect("a figure");
        assert!((value - silver).abs() < 1e-9, "{batch}: {value}");
        let top = estimate.upper_g().expect("an upper end");
        assert!(top > 0.9 * upper && top < 1.01 * upper, "{batch}: {top}");
    }
}

#[test]
fn a_person_may_state_that_what_was_made_fresh_holds_none() {
    let stated = json!({"stated": {"silver_g": {"value": 0, "standard_uncertainty": 0}, "source": "made fresh"}});
    let answer = ask(&litres(2.0, "fixer", stated)).expect("an answer");
    assert_eq!(answer.result.figure(), Some((0.0, 0.0)));
    let bare = json!({"stated": {"silver_g": 0}});
    assert!(fault(&litres(2.0, "fixer", bare)).2.contains("made fresh"));
}

#[test]
fn a_sample_larger_than_the_batch_is_refused() {
    let volhard = json!({"volhard_titration": {"sample_ml": 5, "thiocyanate_mol_per_l": 0.1, "titre_ml": 22}});
    let weighing = json!({"chloride_weighing": {"sample_ml": 25, "dry_silver_chloride_g": 1.9}});
    let burette = json!({"chloride_titration": {"titre_ml": 20, "sodium_chloride_g": 0.2, "end_point": "clear"}});
    let diluted = json!({"chloride_titration": {"titre_ml": 20, "sodium_chloride_g": 0.2, "end_point": "clear",
        "bath_ml": 10, "diluted_to_ml": 100}});
    for (evidence, sample_l, place) in [
        (&volhard, 0.005, "volhard_titration/sample_ml"),
        (&weighing, 0.025, "chloride_weighing/sample_ml"),
        (&burette, 0.02, "chloride_titration/titre_ml"),
        (&diluted, 0.01, "chloride_titration/bath_ml"),
    ] {
        let of = |volume: f64| litres(volume, "sensitizing_bath", evidence.clone());
        let (kind, pointer, detail) = fault(&of(sample_l * 0.99));
        assert_eq!(kind, FaultKind::Conflict, "{evidence}");
        assert_eq!(pointer, format!("/batch/evidence/0/{place}"));
        assert!(detail.contains("more than the batch"), "{detail}");
        assert!(ask(&of(sample_l)).is_ok(), "all of it may be the sample");
    }
    // 20 g are 19 mL at 1.05 g/mL, and at most 20.4 mL within twice the density's uncertainty.
    let weighed = |sample: f64| {
        json!({"id": "b", "kind": "sensitizing_bath", "mass_kg": 0.02, "evidence": [
            {"chloride_weighing": {"sample_ml": sample, "dry_silver_chloride_g": 1.9}}]})
    };
    assert_eq!(fault(&weighed(25.0)).0, FaultKind::Conflict);
    assert!(ask(&weighed(20.0)).is_ok());
}

#[test]
fn more_silver_than_solid_metal_is_refused() {
    // Silver weighs 10.49 g/mL, so a litre of it 10490 g.
    let stated = |g: f64| json!({"stated": {"silver_g": g}});
    for kind in ["fixer", "sludge"] {
        let (fault_kind, pointer, detail) = fault(&litres(1.0, kind, stated(10_490.1)));
        assert_eq!(fault_kind, FaultKind::OutOfRange);
        assert_eq!(pointer, "/batch/evidence/0/stated");
        assert!(
            detail.contains("10490 g/L") && detail.contains("silver_g"),
            "{detail}"
        );
        assert!(ask(&litres(1.0, kind, stated(10_489.0))).is_ok());
    }
    // 5000 mL x 0.1 mol/L x 107.8682 g/mol / 5 mL = 10787 g/L: litres written as millilitres.
    let titration = json!({"volhard_titration": {"sample_ml": 5, "thiocyanate_mol_per_l": 0.1, "titre_ml": 5000}});
    let (_, pointer, detail) = fault(&litres(2.0, "sensitizing_bath", titration));
    assert_eq!(pointer, "/batch/evidence/0/volhard_titration");
    for figure in ["sample_ml", "thiocyanate_mol_per_l", "titre_ml"] {
        assert!(detail.contains(figure), "{detail}");
    }
    // Without a volume there is nothing to compare with.
    let unknown = json!({"id": "b", "kind": "sludge", "evidence": [stated(20_000.0)]});
    assert!(ask(&unknown).is_ok());
}

#[test]
fn more_silver_than_dissolves_is_cautioned_of() {
    let cautions = |batch: Value| {
        ask(&batch)
            .expect("an answer")
            .warnings
            .iter()
            .filter(|w| w.severity == Severity::Caution && w.text.contains("dissolves"))
            .map(|w| w.about.clone())
            .collect::<Vec<_>>()
    };
    // 216 g of nitrate to 100 g of water, in 100 + 216/4.35 = 149.66 mL: 1443 g/L, 63.499 % of it
    // silver, 916 g/L.
    let assay = |mg: f64| json!({"laboratory_assay": {"silver_mg_per_l": mg}});
    assert_eq!(
        cautions(litres(1.0, "fixer", assay(930_000.0))),
        ["/by_evidence/0"]
    );
    let none: [&str; 0] = [];
    assert_eq!(cautions(litres(1.0, "fixer", assay(915_000.0))), none);
    let solid = json!({"stated": {"silver_g": 2000}});
    assert_eq!(cautions(litres(1.0, "sludge", solid)), none);
    let sludge = json!({"stated": {"silver_g": 2000, "sampled": "sludge"}});
    assert_eq!(cautions(litres(1.0, "fixer", sludge)), none);
}

#[test]
fn more_silver_than_the_whole_weighs_is_refused() {
    let solid = |evidence: Value| json!({"id": "b", "kind": "sludge", "mass_kg": "0.4", "evidence": [evidence]});
    for evidence in [
        json!({"stated": {"silver_g": {"value": "900", "standard_uncertainty": "9"}, "source": "a note"}}),
        json!({"laboratory_assay": {"silver_percent": "100", "dilution_factor": "3"}}),
        json!({"weighed_solid": {"wet_mass_g": "500", "moisture_percent": "0", "compound": "silver"}}),
    ] {
        let (kind, at, detail) = fault(&solid(evidence));
        assert_eq!(kind, FaultKind::Conflict, "{detail}");
        assert!(at.starts_with("/batch/evidence/0/"), "{at}");
        assert!(detail.contains("0.4 kg"), "{detail}");
    }
    // 0.4 kg of fine silver is 400 g, and a kitchen scale may be off by a little.
    let all = solid(
        json!({"stated": {"silver_g": {"value": "401", "standard_uncertainty": "1"}, "source": "a note"}}),
    );
    assert!(ask(&all).is_ok());
}
