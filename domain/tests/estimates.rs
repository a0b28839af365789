//! What evidence is refused, what is bounded, what is rolled forward and what contradicts.
#![expect(
    clippy::panic,
    clippy::expect_used,
    reason = "a test fails by panicking"
)]

use serde_json::{Value, json};
use spent_silver_domain::answer::Answer;
use spent_silver_domain::estimate::{Agreement, Estimate, EstimateRequest, estimate_silver};
use spent_silver_domain::fault::{FaultKind, Faults};

fn ask(batch: Value) -> Result<Answer<Estimate>, Faults> {
    let text = json!({ "batch": batch }).to_string();
    let request: EstimateRequest =
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("{e}: {text}"));
    estimate_silver(&request)
}

fn fault(batch: Value) -> (FaultKind, String, String) {
    let faults = ask(batch).expect_err("a fault");
    let first = &faults.list()[0];
    (first.kind, first.pointer.clone(), first.detail.clone())
}

fn with(kind: &str, evidence: Value) -> Value {
    json!({"id": "b", "kind": kind, "volume_l": 2, "evidence": [evidence]})
}

fn volhard() -> Value {
    json!({"volhard_titration": {"sample_ml": 5, "thiocyanate_mol_per_l": 0.1, "titre_ml": 22.86}})
}

#[test]
fn thiocyanate_is_refused_where_silver_is_held_or_reduced() {
    for (batch, word) in [
        (with("fixer", volhard()), "thiosulfate"),
        (with("bleach_fix", volhard()), "thiosulfate"),
        (with("cyanide_fixer", volhard()), "hydrogen cyanide"),
        (with("developer", volhard()), "iron(II)"),
        (with("ammoniacal_silver", volhard()), "salt water"),
        (
            json!({"id": "f", "kind": "fixer", "craft": "collodion", "volume_l": 1, "evidence": [volhard()]}),
            "cyanide",
        ),
        (
            json!({"id": "r", "kind": "rinse_water", "volume_l": 1, "composition": [{"substance": "sodium_thiosulfate"}], "evidence": [volhard()]}),
            "thiosulfate",
        ),
    ] {
        let (kind, pointer, detail) = fault(batch.clone());
        assert_eq!(kind, FaultKind::NotApplicable, "{batch}");
        assert_eq!(pointer, "/batch/evidence/0/volhard_titration");
        assert!(detail.contains(word), "{detail}");
    }
}

#[test]
fn a_cloud_test_and_a_weighing_mean_nothing_in_thiosulfate() {
    for evidence in [
        json!({"cloud_test": {"appearance": "clear"}}),
        json!({"chloride_weighing": {"sample_ml": 25, "dry_silver_chloride_g": 1.9}}),
    ] {
        assert_eq!(fault(with("fixer", evidence)).0, FaultKind::NotApplicable);
    }
}

#[test]
fn a_strip_is_for_fixer_only() {
    let strip = json!({"test_strip": {"at_least_g_per_l": 2, "below_g_per_l": 3}});
    assert_eq!(
        fault(with("sensitizing_bath", strip.clone())).0,
        FaultKind::NotApplicable
    );
    let answer = ask(with("fixer", strip)).unwrap();
    let interval = answer.result.interval_95_g.unwrap();
    // Between 4 and 6 g in 2 L; the central 95 % of a rectangle, opened a little by the jug mark.
    assert!(interval.lower.get() > 3.5 && interval.upper.unwrap().get() < 6.5);
}

#[test]
fn a_strip_off_the_scale_bounds_from_below_only() {
    let answer = ask(with(
        "fixer",
        json!({"test_strip": {"at_least_g_per_l": 10, "below_g_per_l": null}}),
    ))
    .unwrap();
    assert!(answer.result.silver_g.is_none());
    let interval = answer.result.interval_95_g.unwrap();
    assert!((interval.lower.get() - 20.0).abs() < 1e-9);
    assert!(interval.upper.is_none());
    let absent = serde_json::from_str::<EstimateRequest>(
        r#"{"batch": {"id": "f", "kind": "fixer", "volume_l": 1, "evidence": [{"test_strip": {"at_least_g_per_l": 10}}]}}"#,
    );
    assert!(absent.unwrap_err().to_string().contains("below_g_per_l"));
}

#[test]
fn a_used_collodion_bath_of_unstated_alcohol_gives_bounds_and_no_point() {
    let density = json!({"density": {"density_g_per_ml": 1.07, "temperature_c": 20}});
    let used = json!({"id": "b", "kind": "sensitizing_bath", "status": "in_use", "craft": "collodion", "volume_l": 1, "evidence": [density]});
    let answer = ask(used).unwrap();
    assert!(answer.result.by_evidence[0].silver_g.is_none());
    let interval = answer.result.interval_95_g.unwrap();
    // 1.070 g/mL is 8.1 % without alcohol; with 10 % of alcohol it would be about 1.4 points more.
    assert!(interval.upper.unwrap().get() - interval.lower.get() > 10.0);
    let stated = json!({"id": "b", "kind": "sensitizing_bath", "status": "in_use", "craft": "collodion", "volume_l": 1,
        "evidence": [{"density": {"density_g_per_ml": 1.07, "temperature_c": 20, "ethanol_percent_v_v": 3}}]});
    assert!(
        ask(stated).unwrap().result.by_evidence[0]
            .silver_g
            .is_some()
    );
}

#[test]
fn three_weighings_of_one_bottle_give_the_density() {
    let bottle = json!({"density": {"bottle_empty_g": "50.0", "bottle_water_g": "149.82", "bottle_bath_g": "157.85",
        "temperature_c": 20, "ethanol_percent_v_v": 0, "scale_resolution_g": "0.01"}});
    // (157.85 - 50)/(149.82 - 50) x 0.99820 = 1.0785 g/mL: 9.0 % by the handbook table, 61.6 g/L.
    let silver = ask(json!({"id": "b", "kind": "sensitizing_bath", "volume_l": {"value": 1, "standard_uncertainty": 0}, "evidence": [bottle]}))
        .unwrap().result.figure().unwrap().0;
    assert!((silver - 61.6).abs() < 0.4, "{silver}");
}

#[test]
fn chromate_wants_its_ph_and_warns_of_itself() {
    let titration = |ph: f64| json!({"chloride_titration": {"titre_ml": 20, "sodium_chloride_g": 0.2, "flask_ph": ph}});
    let (kind, pointer, _) = fault(with("sensitizing_bath", titration(5.0)));
    assert_eq!(
        (kind, pointer.as_str()),
        (
            FaultKind::OutOfRange,
            "/batch/evidence/0/chloride_titration/flask_ph"
        )
    );
    let answer = ask(with("sensitizing_bath", titration(8.0))).unwrap();
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.text.contains("chromium waste") && w.text.contains("clear end point"))
    );
    let ammonium = json!({"id": "b", "kind": "sensitizing_bath", "volume_l": 1, "composition": [{"substance": "ammonium_bromide"}], "evidence": [titration(8.0)]});
    if spent_silver_domain::substance::substance(
        &spent_silver_domain::quantity::Identifier::new("ammonium_bromide").unwrap(),
    )
    .is_some()
    {
        assert!(fault(ammonium).2.contains("ammonium"));
    }
}

#[test]
fn impossible_readings_name_their_field() {
    for (batch, pointer) in [
        (
            json!({"id": "b", "kind": "sensitizing_bath"}),
            "/batch/evidence",
        ),
        (
            json!({"id": "b", "kind": "sensitizing_bath", "evidence": [volhard()]}),
            "/batch/volume_l",
        ),
        (
            with(
                "sensitizing_bath",
                json!({"volhard_titration": {"sample_ml": 0, "thiocyanate_mol_per_l": 0.1, "titre_ml": 20}}),
            ),
            "/batch/evidence/0/volhard_titration/sample_ml",
        ),
        (
            with(
                "sensitizing_bath",
                json!({"volhard_titration": {"sample_ml": 5, "thiocyanate_mol_per_l": 0.1, "titre_ml": 20, "blank_ml": 21}}),
            ),
            "/batch/evidence/0/volhard_titration/blank_ml",
        ),
        (
            with(
                "sensitizing_bath",
                json!({"volhard_titration": {"sample_ml": 5, "thiocyanate_mol_per_l": 0.1, "titre_ml": 20, "diluted_to_ml": 100, "aliquot_ml": 250}}),
            ),
            "/batch/evidence/0/volhard_titration/aliquot_ml",
        ),
        (
            with(
                "sensitizing_bath",
                json!({"volhard_titration": {"sample_ml": 5, "thiocyanate_mol_per_l": 0.1, "titre_ml": 20, "diluted_to_ml": 100}}),
            ),
            "/batch/evidence/0/volhard_titration/aliquot_ml",
        ),
        (
            with("sensitizing_bath", json!({"make_up": {}})),
            "/batch/evidence/0/make_up/silver_nitrate_g",
        ),
        (
            with(
                "sensitizing_bath",
                json!({"make_up": {"silver_nitrate_g": 10, "plate_area_m2": 5}}),
            ),
            "/batch/evidence/0/make_up",
        ),
        (
            with(
                "fixer",
                json!({"throughput": {"items": [{"material": "tin_type", "area_m2": 1}]}}),
            ),
            "/batch/evidence/0/throughput/items/0/material",
        ),
        (
            with("fixer", json!({"throughput": {"items": []}})),
            "/batch/evidence/0/throughput/items",
        ),
        (
            with(
                "fixer",
                json!({"test_strip": {"at_least_g_per_l": 3, "below_g_per_l": 3}}),
            ),
            "/batch/evidence/0/test_strip/below_g_per_l",
        ),
        (
            with("sludge", json!({"weighed_solid": {"wet_mass_g": 10}})),
            "/batch/evidence/0/weighed_solid/silver_percent_dry",
        ),
        (
            with(
                "fixer",
                json!({"electrolytic_deposit": {"current_a": 3, "time_h": 3}}),
            ),
            "/batch/evidence",
        ),
        (
            json!({"id": "b", "kind": "fixer", "made_on": "2026-05-02", "waste_since": "2026-05-01", "evidence": [{"stated": {"silver_g": 1}}]}),
            "/batch/waste_since",
        ),
        (
            json!({"id": "b", "kind": "fixer", "gross_g": 100, "tare_g": 200, "evidence": [{"stated": {"silver_g": 1}}]}),
            "/batch/tare_g",
        ),
        (
            with(
                "rinse_water",
                json!({"carry_over": {"upstream_silver_g_per_l": 5, "tank": 3, "rinse": {"still": {"tanks": 2, "tank_volume_l": 2}}, "area_m2": 1}}),
            ),
            "/batch/evidence/0/carry_over/tank",
        ),
    ] {
        assert_eq!(fault(batch.clone()).1, pointer, "{batch}");
    }
}

#[test]
fn every_default_is_listed() {
    let answer = ask(with("sensitizing_bath", volhard())).unwrap();
    for field in ["sample_ml", "thiocyanate_mol_per_l", "titre_ml", "blank_ml"] {
        let pointer = format!("/batch/evidence/0/volhard_titration/{field}");
        assert!(
            answer.assumptions.iter().any(|a| a.field == pointer),
            "{pointer}"
        );
    }
    assert!(
        answer
            .assumptions
            .iter()
            .any(|a| a.field == "/batch/volume_l" && a.text.contains("5 %"))
    );
    assert!(answer.assumptions.iter().any(|a| a.field == "/rule_set"));
}

#[test]
fn the_volume_counts_once_however_many_readings_use_it() {
    let reading = || json!({"laboratory_assay": {"silver_mg_per_l": {"value": 5000, "standard_uncertainty": 1}}});
    let batch = json!({"id": "f", "kind": "fixer", "volume_l": {"value": 10, "standard_uncertainty": 0.5}, "evidence": [reading(), reading(), reading(), reading()]});
    let u = ask(batch).unwrap().result.figure().unwrap().1;
    // 5 g/L x 0.5 L = 2.5 g stays, however often the concentration is read (JCGM 100:2008, 5.2.2).
    assert!((u - 2.5).abs() < 0.01, "{u}");
}

#[test]
fn what_readings_share_does_not_average_down() {
    let reading = |shares: Value| {
        json!({"volhard_titration": {"sample_ml": {"value": 5, "standard_uncertainty": 0}, "thiocyanate_mol_per_l": {"value": 0.1, "standard_uncertainty": 0.002},
        "titre_ml": {"value": 22, "standard_uncertainty": 0.01}, "blank_ml": {"value": 0, "standard_uncertainty": 0}, "shares": shares}})
    };
    let batch = |shares: Value| json!({"id": "b", "kind": "sensitizing_bath", "volume_l": {"value": 1, "standard_uncertainty": 0}, "evidence": [reading(shares.clone()), reading(shares)]});
    let alone = ask(batch(json!([]))).unwrap().result.figure().unwrap().1;
    let shared = ask(batch(json!(["thiocyanate_mol_per_l"])))
        .unwrap()
        .result
        .figure()
        .unwrap()
        .1;
    // 2 % of 47.46 g is 0.949 g when one solution served both, 0.949/sqrt 2 when two did.
    assert!((shared - 0.9493).abs() < 0.001, "{shared}");
    assert!((alone - 0.9493 / 2f64.sqrt()).abs() < 0.002, "{alone}");
    assert_eq!(
        fault(batch(json!(["burette"]))).1,
        "/batch/evidence/0/volhard_titration/shares/0"
    );
}

#[test]
fn disagreement_widens_and_names_the_odd_one() {
    let stated = |g: f64| json!({"stated": {"silver_g": {"value": g, "standard_uncertainty": 1}}});
    let answer = ask(json!({"id": "b", "kind": "sludge", "evidence": [stated(50.0), stated(51.0), stated(70.0)]})).unwrap();
    match answer.result.agreement {
        Agreement::Widened { odd_one_out, .. } => assert_eq!(odd_one_out, Some(2)),
        other => panic!("{other:?}"),
    }
    // (50 + 51 + 70)/3 = 57; chi-square 254, two degrees of freedom: 1/sqrt 3 x sqrt(127) = 6.5.
    let (value, u) = answer.result.figure().unwrap();
    assert!(
        (value - 57.0).abs() < 1e-9 && (u - 6.506).abs() < 0.01,
        "{value} {u}"
    );
}

#[test]
fn contradiction_gives_no_figure() {
    let exact = |g: f64| json!({"stated": {"silver_g": {"value": g, "standard_uncertainty": 0}}});
    let answer =
        ask(json!({"id": "b", "kind": "sludge", "evidence": [exact(50.0), exact(51.0)]})).unwrap();
    assert!(answer.result.silver_g.is_none());
    assert!(matches!(
        answer.result.agreement,
        Agreement::Contradiction { .. }
    ));
    let strip_against_assay = json!({"id": "f", "kind": "fixer", "volume_l": {"value": 10, "standard_uncertainty": 0.1}, "evidence": [
        {"test_strip": {"at_least_g_per_l": 1, "below_g_per_l": 1.5}},
        {"laboratory_assay": {"silver_mg_per_l": {"value": 7000, "standard_uncertainty": 100}}}]});
    let answer = ask(strip_against_assay).unwrap();
    assert!(answer.result.silver_g.is_none());
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.text.contains("measure again"))
    );
}

#[test]
fn bounds_far_away_leave_a_figure_alone() {
    let assay = json!({"laboratory_assay": {"silver_mg_per_l": {"value": 4000, "standard_uncertainty": 50}}});
    let strip = json!({"test_strip": {"at_least_g_per_l": 2, "below_g_per_l": 7}});
    let volume = json!({"value": 10, "standard_uncertainty": 0.1});
    let alone =
        ask(json!({"id": "f", "kind": "fixer", "volume_l": volume, "evidence": [assay]})).unwrap();
    let bounded =
        ask(json!({"id": "f", "kind": "fixer", "volume_l": volume, "evidence": [assay, strip]}))
            .unwrap();
    assert_eq!(alone.result.figure(), bounded.result.figure());
    assert!(matches!(
        bounded.result.agreement,
        Agreement::WithinBounds {}
    ));
}

#[test]
fn work_done_since_a_reading_is_rolled_forward() {
    let assay = json!({"laboratory_assay": {"silver_mg_per_l": {"value": 1000, "standard_uncertainty": 10}, "measured_on": "2026-10-01"}});
    let film = |on: &str| json!({"throughput": {"items": [{"material": "film-a", "area_m2": 4, "silver_g_per_m2": 5, "to_solution_percent": 50}], "measured_on": on}});
    let plated = |on: &str| json!({"electrolytic_deposit": {"current_a": 1, "time_h": 1, "current_efficiency_percent": 100, "measured_on": on}});
    let volume = json!({"value": 10, "standard_uncertainty": 0});
    let silver = |evidence: Value| {
        ask(json!({"id": "f", "kind": "fixer", "volume_l": volume, "evidence": evidence}))
            .unwrap()
            .result
            .figure()
            .unwrap()
            .0
    };
    assert!(
        (silver(json!([assay, film("2026-10-05")])) - 20.0).abs() < 1e-9,
        "10 g read, 10 g added since"
    );
    assert!(
        (silver(json!([assay, film("2026-10-05"), plated("2026-10-06")])) - (20.0 - 4.0247104))
            .abs()
            < 1e-6
    );
    assert!(
        (silver(json!([assay, plated("2026-09-30")])) - 10.0).abs() < 1e-9,
        "plated out before the reading"
    );
    assert!(
        (silver(json!([film("2026-10-05"), plated("2026-10-06")])) - (10.0 - 4.0247104)).abs()
            < 1e-6,
        "a record always loses what was plated out"
    );
}

#[test]
fn a_clear_liquor_says_nothing_of_the_sludge() {
    let liquor = json!({"laboratory_assay": {"silver_mg_per_l": {"value": 100, "standard_uncertainty": 1}, "sampled": "clear_liquor"}});
    let sludge = json!({"weighed_solid": {"wet_mass_g": 40, "moisture_percent": 50, "silver_percent_dry": 75, "sampled": "sludge"}});
    let volume = json!({"value": 10, "standard_uncertainty": 0});
    let clear =
        ask(json!({"id": "r", "kind": "rinse_water", "volume_l": volume, "evidence": [liquor]}))
            .unwrap();
    assert!(
        clear
            .warnings
            .iter()
            .any(|w| w.text.contains("nothing of the sludge"))
    );
    let both = ask(
        json!({"id": "r", "kind": "rinse_water", "volume_l": volume, "evidence": [liquor, sludge]}),
    )
    .unwrap();
    // 1 g in the liquor and 40 x 0.5 x 0.75 = 15 g in the sludge.
    assert!((both.result.figure().unwrap().0 - 16.0).abs() < 1e-9);
}

#[test]
fn more_taken_out_than_was_there_is_a_fault() {
    let batch = json!({"id": "f", "kind": "fixer", "evidence": [
        {"stated": {"silver_g": {"value": 5, "standard_uncertainty": 0.1}, "measured_on": "2026-10-01"}},
        {"electrolytic_deposit": {"current_a": 3, "time_h": 10, "current_efficiency_percent": 90, "measured_on": "2026-10-02"}}]});
    assert_eq!(fault(batch).0, FaultKind::Conflict);
}

#[test]
fn every_method_and_material_names_a_source_that_resolves() {
    for method in spent_silver_domain::estimate::METHODS {
        assert!(
            spent_silver_domain::bibliography::reference(method.source).is_some(),
            "{}",
            method.source
        );
    }
    for key in spent_silver_domain::estimate::material_sources() {
        assert!(
            spent_silver_domain::bibliography::reference(key).is_some(),
            "{key}"
        );
    }
}
