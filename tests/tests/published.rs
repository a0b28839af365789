//! The estimates, the statistics and the stoichiometry against published values and against cases
//! recomputed with general-purpose tools. The data files carry the source of each.
//!
//! `cargo test -p spent-silver-tests published:: -- --nocapture` prints the table.

use serde_json::{Value, json};
use spent_silver_domain::estimate::{Estimate, EstimateRequest, estimate_silver};
use spent_silver_domain::quantity::Shape;
use spent_silver_domain::statistics::{Inputs, Uncertain, combine};
use spent_silver_tests::published::{Table, number};

fn cases() -> Vec<Value> {
    let all: Value = serde_json::from_str(include_str!("../data/reference_cases.json")).unwrap();
    all["cases"].as_array().unwrap().clone()
}

fn examples() -> Vec<Value> {
    let all: Value = serde_json::from_str(include_str!("../data/worked_examples.json")).unwrap();
    all["examples"].as_array().unwrap().clone()
}

fn example(id: &str) -> Value {
    examples()
        .into_iter()
        .find(|e| e["id"] == id)
        .unwrap_or_else(|| panic!("no example {id}"))
}

fn of_kind(kind: &str) -> Vec<Value> {
    let found: Vec<Value> = cases().into_iter().filter(|c| c["kind"] == kind).collect();
    assert!(!found.is_empty(), "no case of kind {kind}");
    found
}

fn estimate(batch: &Value) -> Estimate {
    let text = json!({ "batch": batch }).to_string();
    let request: EstimateRequest =
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("{e}: {text}"));
    estimate_silver(&request)
        .unwrap_or_else(|e| panic!("{e}: {text}"))
        .result
}

/// Silver in one litre of a batch of `kind` with this evidence, so that grams are grams per litre.
fn per_litre(kind: &str, evidence: Value) -> f64 {
    estimate(&json!({
        "id": "b", "kind": kind, "volume_l": {"value": 1, "standard_uncertainty": 0}, "evidence": [evidence]
    }))
    .figure()
    .unwrap()
    .0
}

fn expected(case: &Value, name: &str) -> f64 {
    number(case, &format!("/expected/{name}/value"))
}

fn settle(table: &Table) {
    println!("{}", table.text());
    assert!(!table.is_empty());
    assert!(
        table.failures().is_empty(),
        "{}",
        table.failures().join("\n")
    );
}

#[test]
fn titrations_agree_with_recomputed_and_published_ones() {
    let mut t = Table::default();
    for c in of_kind("volhard_direct") {
        let i = &c["inputs"];
        let ours = per_litre(
            "sensitizing_bath",
            json!({"volhard_titration": {
            "sample_ml": i["sample_mL"], "diluted_to_ml": i["diluted_to_mL"], "aliquot_ml": i["aliquot_mL"],
            "titre_ml": i["titre_mL"], "blank_ml": i["blank_mL"], "thiocyanate_mol_per_l": i["KSCN_mol_L"]}}),
        );
        t.relative(
            c["id"].as_str().unwrap(),
            "silver g/L by thiocyanate",
            expected(&c, "silver_concentration"),
            ours,
            1e-8,
        );
    }
    for c in of_kind("mohr_standardisation") {
        let i = &c["inputs"];
        let ours = per_litre(
            "sensitizing_bath",
            json!({"chloride_titration": {
            "sodium_chloride_g": i["NaCl_g"], "titre_ml": i["titre_mL"], "blank_ml": i["blank_mL"], "flask_ph": 8}}),
        );
        t.relative(
            c["id"].as_str().unwrap(),
            "silver g/L by chloride",
            expected(&c, "silver"),
            ours,
            1e-6,
        );
    }
    for c in of_kind("mohr_diluted_bath") {
        let i = &c["inputs"];
        let ours = per_litre(
            "sensitizing_bath",
            json!({"chloride_titration": {
            "bath_ml": i["bath_mL"], "diluted_to_ml": i["diluted_to_mL"], "chloride_ml": i["NaCl_mL"],
            "chloride_mol_per_l": i["NaCl_mol_L"], "titre_ml": i["titre_mL"], "blank_ml": i["blank_mL"],
            "end_point": "clear"}}),
        );
        t.relative(
            c["id"].as_str().unwrap(),
            "silver g/L, diluted bath",
            expected(&c, "silver_in_bath"),
            ours,
            1e-8,
        );
    }
    // Harvey 2009, Practice Exercise 9.23: 1.963 g of alloy in 100 mL, 25 mL taken.
    let e = example("TIT-VOLHARD-ALLOY");
    let i = &e["inputs"];
    let silver = estimate(&json!({"id": "b", "kind": "sensitizing_bath", "volume_l": {"value": 0.1, "standard_uncertainty": 0},
        "evidence": [{"volhard_titration": {"sample_ml": i["aliquot_mL"], "titre_ml": i["KSCN_mL"],
        "blank_ml": 0, "thiocyanate_mol_per_l": i["KSCN_M"]}}]})).figure().unwrap().0;
    t.within(
        "Harvey 2009, PE 9.23",
        "% silver in an alloy",
        number(&e, "/published/percent_Ag"),
        100.0 * silver / 1.963,
        0.005,
    );
    // The same titration read backwards: published salt found in the food extract gives the strength of the silver solution.
    let e = example("TIT-NACL-ALIQUOT");
    let salt = 12.0 * 0.15 * number(&e, "/published/percent_NaCl") / 100.0;
    let ours = per_litre(
        "sensitizing_bath",
        json!({"chloride_titration": {"sodium_chloride_g": salt.to_string(),
        "titre_ml": 23.75, "blank_ml": 0, "end_point": "clear"}}),
    );
    t.relative(
        "CHEM 301 sheet, Ex. 1",
        "silver g/L from 6.897 % NaCl",
        0.08943 * 107.8682,
        ours,
        3e-4,
    );
    settle(&t);
}

#[test]
fn weighings_agree_with_published_gravimetry() {
    let mut t = Table::default();
    // OpenStax Chemistry 2e, 4.5: 1.0881 g AgCl holds 23.76 % of 1.1324 g as chloride; the rest is silver.
    let e = example("GRAV-AGCL");
    let chloride = number(&e, "/published/percent_Cl") / 100.0 * number(&e, "/inputs/sample_g");
    let ours = per_litre(
        "sensitizing_bath",
        json!({"chloride_weighing": {"sample_ml": 1000, "dry_silver_chloride_g": 1.0881}}),
    );
    t.within(
        "OpenStax 2e, 4.5",
        "silver g in 1.0881 g AgCl",
        1.0881 - chloride,
        ours,
        2e-4,
    );
    for c in of_kind("product_to_silver") {
        for (formula, compound) in [
            ("AgCl", "silver_chloride"),
            ("Ag2S", "silver_sulfide"),
            ("AgBr", "silver_bromide"),
            ("AgI", "silver_iodide"),
            ("Ag2O", "silver_oxide"),
        ] {
            let ours = estimate(&json!({"id": "s", "kind": "sludge", "evidence": [{"weighed_solid": {
                "wet_mass_g": 250, "moisture_percent": 0, "compound": compound, "purity_percent": 100}}]})).figure().unwrap().0;
            t.relative(
                c["id"].as_str().unwrap(),
                &format!("silver g in 250 g {formula}"),
                expected(&c, formula),
                ours,
                1e-8,
            );
        }
    }
    for c in of_kind("assay") {
        let ours = estimate(
            &json!({"id": "s", "kind": "sludge", "evidence": [{"weighed_solid": {
            "wet_mass_g": 812, "moisture_percent": 34.5, "silver_percent_dry": 61.2}}]}),
        )
        .figure()
        .unwrap()
        .0;
        t.relative(
            c["id"].as_str().unwrap(),
            "silver g in wet sludge",
            expected(&c, "silver"),
            ours,
            1e-9,
        );
    }
    settle(&t);
}

#[test]
fn density_agrees_with_the_handbook_table() {
    let mut t = Table::default();
    for kind in ["density_to_silver", "density_to_silver_other_temperature"] {
        for c in of_kind(kind) {
            let i = &c["inputs"];
            let ours = per_litre(
                "sensitizing_bath",
                json!({"density": {"density_g_per_ml": i["density_g_mL"],
                "temperature_c": i["temperature_C"], "ethanol_percent_v_v": 0}}),
            );
            let tolerance = if kind == "density_to_silver" {
                0.005
            } else {
                0.008
            };
            t.relative(
                c["id"].as_str().unwrap(),
                "silver g/L by density",
                expected(&c, "silver"),
                ours,
                tolerance,
            );
        }
    }
    // Handbook table at 20 °C, entries read in a reprint: mass percent 5, 10, 20, 30, 40.
    for (percent, rho) in [
        (5.0, 1.0417),
        (10.0, 1.0882),
        (20.0, 1.1942),
        (30.0, 1.3204),
        (40.0, 1.4743),
    ] {
        let ours = per_litre(
            "sensitizing_bath",
            json!({"density": {"density_g_per_ml": rho.to_string(),
            "temperature_c": 20, "ethanol_percent_v_v": 0}}),
        );
        let table = 10.0 * percent * rho * 107.8682 / 169.8722;
        t.relative(
            "handbook, 20 C",
            &format!("silver g/L at {percent} %"),
            table,
            ours,
            0.007,
        );
    }
    settle(&t);
}

#[test]
fn records_and_throughput_agree_with_recomputed_ones() {
    let mut t = Table::default();
    for c in of_kind("make_up_record") {
        let ours = estimate(
            &json!({"id": "b", "kind": "sensitizing_bath", "evidence": [{"make_up": {
            "strength_percent_w_v": 9, "made_volume_l": 1, "purity_percent": "99.8"}}]}),
        )
        .figure()
        .unwrap()
        .0;
        t.relative(
            c["id"].as_str().unwrap(),
            "silver g in 1 L of 9 %",
            expected(&c, "silver"),
            ours,
            1e-8,
        );
    }
    for c in of_kind("media_throughput") {
        let ours = estimate(&json!({"id": "f", "kind": "fixer", "evidence": [{"throughput": {"items": [
            {"material": "paper-a", "count": 120, "width_cm": 20, "height_cm": 25, "silver_g_per_m2": 1.6, "to_solution_percent": 60},
            {"material": "film-a", "area_m2": "1.29", "silver_g_per_m2": 5, "to_solution_percent": 45}]}}]})).figure().unwrap().0;
        t.relative(
            c["id"].as_str().unwrap(),
            "silver g to the fixer",
            expected(&c, "silver_to_fixer"),
            ours,
            1e-9,
        );
    }
    // The published plate test itself: 0.18, 0.31 and 0.72 g of silver nitrate per 4x5, 5x7 and 8x10 inch plate.
    for (w, h, published) in [
        (10.16, 12.70, 0.18),
        (12.70, 17.78, 0.31),
        (20.32, 25.40, 0.72),
    ] {
        let with = |plates: Value| {
            estimate(
                &json!({"id": "b", "kind": "sensitizing_bath", "evidence": [{"make_up": {
            "silver_nitrate_g": 100, "purity_percent": 100, "plates": plates}}]}),
            )
            .figure()
            .unwrap()
            .0
        };
        let lost = (with(json!([])) - with(json!([{"count": 1, "width_cm": w, "height_cm": h}])))
            / (107.8682 / 169.8722);
        t.within(
            "plate titration 2026",
            &format!("g nitrate per {w} x {h} cm plate"),
            published,
            lost,
            0.005,
        );
    }
    settle(&t);
}

#[test]
fn electrolysis_follows_faraday() {
    let mut t = Table::default();
    let plated = |current: &str, hours: &str, efficiency: &str| {
        let answer = estimate(&json!({"id": "f", "kind": "fixer", "evidence": [
            {"stated": {"silver_g": 5000}},
            {"electrolytic_deposit": {"current_a": current, "time_h": hours, "current_efficiency_percent": efficiency}}]}));
        answer.by_evidence[1].silver_g.unwrap().get()
    };
    let e = example("FAR-AG-OS");
    t.within(
        "OpenStax 2e, 17.7",
        "silver g, 10.23 A for 1 h",
        number(&e, "/published/mass_g"),
        plated("10.23", "1", "100"),
        0.02,
    );
    let e = example("FAR-AG-COULOMETER");
    t.within(
        "ampere of 1908",
        "silver mg per coulomb",
        number(&e, "/published/mg_per_C"),
        plated("1", "1", "100") / 3.6,
        5e-4,
    );
    // Verma: 42 g on both sides of a plate takes 42 minutes at 15 A.
    t.within(
        "Verma, ch. 33",
        "silver g, 15 A for 41.73 min",
        42.0,
        plated("15", &(41.72968798f64 / 60.0).to_string(), "100"),
        0.02,
    );
    for c in of_kind("faraday_mass") {
        let i = &c["inputs"];
        let ours = plated(
            &i["current_A"].to_string(),
            &i["time_h"].to_string(),
            &format!("{}", 100.0 * number(i, "/current_efficiency")),
        );
        t.relative(
            c["id"].as_str().unwrap(),
            "silver g plated",
            expected(&c, "silver_mass"),
            ours,
            1e-8,
        );
    }
    settle(&t);
}

#[test]
fn rinses_agree_with_published_dilutions() {
    let mut t = Table::default();
    let cascade = |tanks: u64, tank: u64, water: f64, drag: f64, bath: f64| {
        per_litre(
            "rinse_water",
            json!({"carry_over": {"upstream_silver_g_per_l": bath, "tank": tank,
            "rinse": {"counter_current": {"tanks": tanks, "water_l_per_h": water, "drag_out_l_per_h": drag, "hours": 1000}}}}),
        )
    };
    for c in of_kind("countercurrent_cascade") {
        let i = &c["inputs"];
        let tanks = i["tanks"].as_u64().unwrap();
        for tank in 1..=tanks {
            let ours = cascade(
                tanks,
                tank,
                number(i, "/rinse_L_h"),
                number(i, "/dragout_L_h"),
                number(i, "/bath_g_L"),
            );
            t.relative(
                c["id"].as_str().unwrap(),
                &format!("silver g/L in tank {tank}"),
                expected(&c, &format!("C{tank}")),
                ours,
                1e-8,
            );
        }
    }
    for c in of_kind("still_rinse_build_up") {
        let i = &c["inputs"];
        let tanks = i["tanks"].as_u64().unwrap();
        for tank in 1..=tanks {
            let ours = estimate(&json!({"id": "r", "kind": "rinse_water", "volume_l": {"value": 1, "standard_uncertainty": 0},
                "evidence": [{"carry_over": {"upstream_silver_g_per_l": i["bath_g_L"], "tank": tank,
                "area_m2": 1, "pick_up_ml_per_m2": 240, "sheet_count": i["sheets"],
                "rinse": {"still": {"tanks": tanks, "tank_volume_l": i["rinse_L"]}}}}]})).figure().unwrap().0;
            t.relative(
                c["id"].as_str().unwrap(),
                &format!("silver g/L in still tank {tank}"),
                expected(&c, &format!("C{tank}")),
                ours,
                1e-8,
            );
        }
    }
    // Two published rinse tables, with the exact relation C0/Cn = 1 + R + ... + R^n.
    t.within(
        "10 Minutes to Better Rinsing",
        "99 volumes to 1: dilution",
        100.0,
        5.0 / cascade(1, 1, 99.0, 1.0, 5.0),
        1e-6,
    );
    t.within(
        "surface finishing guide",
        "999 volumes to 1: dilution",
        1000.0,
        5.0 / cascade(1, 1, 999.0, 1.0, 5.0),
        1e-5,
    );
    settle(&t);
}

fn register(inputs: &mut Inputs, name: &str, value: f64, u: f64, shape: Shape) -> Uncertain {
    inputs
        .register(name, name.to_owned(), value, u, shape)
        .unwrap()
}

#[test]
fn propagation_agrees_with_the_guides() {
    let mut t = Table::default();
    // EURACHEM/CITAC QUAM 2000, A1: c = 1000 m P / V.
    let mut inputs = Inputs::default();
    let m = register(&mut inputs, "m", 100.28, 0.05, Shape::Normal);
    let p = register(
        &mut inputs,
        "P",
        0.9999,
        0.0001 / 3f64.sqrt(),
        Shape::Rectangular,
    );
    let v_tolerance = register(&mut inputs, "V", 100.0, 0.1 / 6f64.sqrt(), Shape::Normal);
    let v_fill = register(&mut inputs, "fill", 0.0, 0.02, Shape::Normal);
    let v_heat = register(
        &mut inputs,
        "heat",
        0.0,
        0.084 / 3f64.sqrt(),
        Shape::Rectangular,
    );
    let v = v_tolerance.plus(&v_fill).plus(&v_heat);
    let c = m.times(&p).over(&v).scaled(1000.0);
    let e = example("UNC-QUAM-A1");
    t.within(
        "QUAM 2000, A1",
        "c mg/L",
        number(&e, "/published/c_mg_per_L"),
        c.value(),
        0.05,
    );
    t.relative(
        "QUAM 2000, A1",
        "u(c) mg/L",
        number(&e, "/published/u_c_unrounded"),
        c.standard_uncertainty(),
        1e-6,
    );
    t.within(
        "QUAM 2000, A1",
        "u(V) mL",
        number(&e, "/published/u_V_mL"),
        v.standard_uncertainty(),
        0.005,
    );

    // GUM 5.2.2: ten resistors calibrated against one standard; the shared error must not average down.
    let mut inputs = Inputs::default();
    let standard = register(&mut inputs, "standard", 1000.0, 0.1, Shape::Normal);
    let sum = (0..10).fold(Uncertain::exact(0.0), |s, _| s.plus(&standard));
    let e = example("UNC-GUM-5.2.2");
    t.within(
        "GUM 5.2.2",
        "u of ten in series, ohm",
        number(&e, "/published/u_correlated_ohm"),
        sum.standard_uncertainty(),
        1e-9,
    );

    // GUM H.1, first order.
    let mut inputs = Inputs::default();
    let ls = register(&mut inputs, "ls", 50_000_623.0, 25.0, Shape::Normal);
    let d = register(&mut inputs, "d", 215.0, 9.7, Shape::Normal);
    let dalpha = register(&mut inputs, "dalpha", 0.0, 5.8e-7, Shape::Normal);
    let theta = register(&mut inputs, "theta", -0.1, 0.41, Shape::Normal);
    let alpha = register(&mut inputs, "alpha", 1.15e-5, 1.2e-6, Shape::Normal);
    let dtheta = register(&mut inputs, "dtheta", 0.0, 0.029, Shape::Normal);
    let l = ls
        .plus(&d)
        .minus(&ls.times(&dalpha.times(&theta).plus(&alpha.times(&dtheta))));
    let e = example("UNC-GUM-H1");
    t.within(
        "GUM H.1",
        "l nm",
        number(&e, "/published/l_nm"),
        l.value(),
        0.5,
    );
    t.within(
        "GUM H.1",
        "u(l) nm, first order",
        number(&e, "/published/u_first_order_unrounded"),
        l.standard_uncertainty(),
        0.005,
    );

    // GUM 4.3.7: a half-width of 0.40e-6 has u = 0.23e-6; JCGM 101, 9.2.3: four rectangular inputs.
    let e = example("INT-GUM-4.3.7");
    t.within(
        "GUM 4.3.7",
        "u of a rectangle",
        number(&e, "/published/u"),
        4e-7 / 3f64.sqrt(),
        5e-9,
    );
    for c in of_kind("gum_propagation") {
        if let Some((value, u)) = propagate(&c) {
            let id = c["id"].as_str().unwrap();
            t.relative(id, "value", expected(&c, "value"), value, 1e-6);
            t.relative(
                id,
                "standard uncertainty",
                expected(&c, "standard_uncertainty"),
                u,
                1e-6,
            );
        }
    }
    assert!(t.len() >= 18);
    settle(&t);
}

/// The models of the propagation cases, written out.
fn propagate(case: &Value) -> Option<(f64, f64)> {
    let mut inputs = Inputs::default();
    let quantities = case["inputs"]["quantities"].as_object().unwrap().clone();
    let mut q = |name: &str| {
        let entry = &quantities[name];
        let value = entry["value"].as_f64().unwrap();
        let (u, shape) = match (
            entry["std_uncertainty"].as_f64(),
            entry["half_width"].as_f64(),
            entry["distribution"].as_str(),
        ) {
            (Some(u), _, _) => (u, Shape::Normal),
            (None, Some(a), Some("tri")) => (a / 6f64.sqrt(), Shape::Normal),
            (None, Some(a), _) => (a / 3f64.sqrt(), Shape::Rectangular),
            _ => panic!("no uncertainty for {name}"),
        };
        inputs
            .register(name, name.to_owned(), value, u, shape)
            .unwrap()
    };
    let y = match case["id"].as_str().unwrap() {
        "GUM-01" => q("V")
            .minus(&q("b"))
            .times(&q("c"))
            .times(&q("d"))
            .over(&q("s"))
            .scaled(107.8682),
        "GUM-02" => q("V1")
            .times(&q("c1"))
            .plus(&q("V2").times(&q("c2")))
            .plus(&q("V3").times(&q("c3"))),
        "GUM-03" => q("w0")
            .plus(&q("r").minus(&q("r0")).over(&q("k")))
            .times(&q("r"))
            .scaled(10.0 * 107.8682 / 169.8722),
        "GUM-04" => {
            let log_k = q("lK");
            let k = 10f64.powf(log_k.value());
            log_k
                .mapped(k, k * std::f64::consts::LN_10)
                .over(&q("Cl"))
                .scaled(107_868.2)
        }
        "GUM-05" => q("m").over(&q("V").times(&q("c"))),
        "GUM-07" => q("I")
            .times(&q("t"))
            .times(&q("e"))
            .scaled(3600.0 / 96_485.332_12 * 107.8682),
        _ => return None,
    };
    Some((y.value(), y.standard_uncertainty()))
}

#[test]
fn combinations_agree_with_published_means() {
    let mut t = Table::default();
    let weigh = |id: &str| {
        let e = example(id);
        let values = e["inputs"]["values"].as_array().unwrap().clone();
        let us = e["inputs"]["u"].as_array().unwrap().clone();
        let mut inputs = Inputs::default();
        let parts: Vec<Uncertain> = values
            .iter()
            .zip(&us)
            .enumerate()
            .map(|(i, (x, u))| {
                inputs
                    .register(
                        i.to_string(),
                        "x",
                        x.as_f64().unwrap(),
                        u.as_f64().unwrap(),
                        Shape::Normal,
                    )
                    .unwrap()
            })
            .collect();
        (e, combine(&parts).unwrap())
    };
    let (e, c) = weigh("CMB-TAYLOR-7");
    t.within(
        "Taylor 1997, 7.3",
        "weighted mean, ohm",
        number(&e, "/published/wmean"),
        c.mean.value(),
        5e-6,
    );
    t.within(
        "Taylor 1997, 7.3",
        "its uncertainty, ohm",
        number(&e, "/published/u"),
        c.mean.standard_uncertainty(),
        5e-8,
    );
    let (e, c) = weigh("CMB-TWO-DISCREPANT");
    t.within(
        "two discrepant estimates",
        "weighted mean",
        number(&e, "/published/wmean"),
        c.mean.value(),
        0.006,
    );
    t.within(
        "two discrepant estimates",
        "its uncertainty",
        number(&e, "/published/u"),
        c.mean.standard_uncertainty(),
        0.006,
    );
    let (e, c) = weigh("CMB-CODATA-G");
    t.within(
        "CODATA 2018, G",
        "chi-square",
        number(&e, "/published/Q"),
        c.chi_square,
        1e-3,
    );
    let (e, c) = weigh("CMB-PLANCK-3");
    t.within(
        "Planck constant, three",
        "chi-square",
        number(&e, "/published/Q"),
        c.chi_square,
        1e-3,
    );
    t.within(
        "Planck constant, three",
        "chance",
        number(&e, "/published/p"),
        c.chance,
        1e-4,
    );
    let (e, c) = weigh("CMB-PDG-OMEGAB");
    t.within(
        "PDG, Omega b",
        "scale factor",
        number(&e, "/published/S"),
        c.birge_ratio,
        0.06,
    );
    t.within(
        "PDG, Omega b",
        "widened uncertainty, MeV",
        number(&e, "/published/scaled_u"),
        c.mean.standard_uncertainty() * c.widening,
        1.0,
    );
    settle(&t);
}
