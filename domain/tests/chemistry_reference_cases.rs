//! Equilibria that an independent code computed from the same constants.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::disallowed_macros,
    reason = "a test fails by panicking"
)]

use serde_json::Value;
use spent_silver_domain::chemistry::dosing::{dose_for_silver, least_silver};
use spent_silver_domain::chemistry::electrode::silver_potential;
use spent_silver_domain::chemistry::iodide::{IodideConstants, iodide_saturation};
use spent_silver_domain::chemistry::neutralization::{
    Base, base_for_ph, heat_of_neutralization, ph_path,
};
use spent_silver_domain::chemistry::reagent::Reagent;
use spent_silver_domain::chemistry::solver::Equilibrium;
use spent_silver_domain::chemistry::species::Component;
use spent_silver_domain::chemistry::system::{
    ActivityModel, CarbonDioxide, MetalInContact, Mixture, SolidSet, System,
};

const SILVER: f64 = 107.8682;

fn cases() -> Value {
    serde_json::from_str(include_str!("data/equilibrium_cases.json")).unwrap()
}

fn mixture(inputs: &Value, model: ActivityModel) -> Mixture {
    let mut out = Mixture::new(1.0);
    out.activity_model = model;
    out.solids = SolidSet::NONE;
    if let Some(reagents) = inputs["reagents_mol_per_kgw"].as_object() {
        for (formula, amount) in reagents {
            out.add(&Reagent::parse(formula).unwrap(), amount.as_f64().unwrap());
        }
    }
    if let Some(solids) = inputs["solids_allowed"].as_object() {
        for (name, state) in solids {
            let amount = state["initial_mol"].as_f64().unwrap();
            if name == "CO2(g)" {
                out.carbon_dioxide = if state["target_SI"].as_f64().unwrap() == 0.0 {
                    CarbonDioxide::VentsAtSaturation
                } else {
                    CarbonDioxide::OpenToAir
                };
                continue;
            }
            assert!(
                out.start_with(name.trim_end_matches("(s)"), amount),
                "{name}"
            );
        }
    }
    match inputs["metal"].as_str() {
        Some("Cu") => out.metal = Some(MetalInContact::Cu),
        Some("Zn") => out.metal = Some(MetalInContact::Zn),
        Some("Fe") => out.metal = Some(MetalInContact::Fe),
        _ => {}
    }
    out
}

fn figure(key: &str, e: &Equilibrium, m: &Mixture) -> f64 {
    let silver = e.dissolved_silver();
    match key {
        // The file gives moles per kilogram of the water at the start.
        "dissolved_Ag" => silver * e.water_kg / m.water_kg,
        "pe" => e.pag().map(|p| 13.517 - p).unwrap(),
        "residual_Ag" => silver * SILVER * 1000.0,
        "dissolved_Ag_mass" => silver * SILVER,
        "free_Ag" => e.free_silver(),
        "AgCl2_minus" => e.molality_of("AgCl2-"),
        "AgCl_mass" => e.solid_of("AgCl") * 143.3182,
        "AgCl_moles" => e.solid_of("AgCl"),
        "Ag2S_mass" => e.solid_of("Ag2S") * 247.7964,
        "AgI_mass" => e.solid_of("AgI") * 234.77267,
        "pH" => e.ph(),
        "H_conc" => e.molality_of("H+"),
        "Ag_per_thiosulfate" => silver * e.water_kg / m.total_mol(Component::Thiosulfate),
        "SI_AgCl" => e.saturation_index_of("AgCl").unwrap(),
        "pAg_activity" => e.pag().unwrap(),
        "log10_a_Ag" => -e.pag().unwrap(),
        "fraction_bis" => e.molality_of("Ag(S2O3)2-3") / silver,
        "CO2_aq" => e.molality_of("CO2"),
        "CO2_evolved" => e.carbon_dioxide_released_mol,
        "HSO3" => e.molality_of("HSO3-"),
        "HCN" => e.molality_of("HCN"),
        "HCN_fraction" => e.molality_of("HCN") / e.dissolved(Component::Cyanide),
        "log_free_Ag" => e.free_silver().log10(),
        "log_dissolved_iodide" => e.dissolved(Component::Iodide).log10(),
        "log10_free_Ag" => e.free_silver().log10(),
        "log10_dissolved_Ag" => silver.log10(),
        "metal_dissolved_per_Ag" => e.metal_dissolved_mol / m.total_mol(Component::Silver),
        "metal_dissolved_mass" => e.metal_dissolved_mol * metal_mass(m),
        _ => f64::NAN,
    }
}

fn metal_mass(m: &Mixture) -> f64 {
    match m.metal {
        Some(MetalInContact::Cu) => 63.546,
        Some(MetalInContact::Zn) => 65.38,
        _ => 55.845,
    }
}

/// Relative, or absolute where the figure is itself a logarithm of about 1 or a zero.
const AGREEMENT: f64 = 1e-5;

/// Figures that the file gives from other arithmetic than the solver's.
const NOT_SOLVED: &[&str] = &["Na2S_9H2O_dose", "dose", "dose_mass_total", "CO2_mass"];

fn off(key: &str, expected: f64, got: f64) -> f64 {
    match key {
        "pH"
        | "pAg_activity"
        | "log10_a_Ag"
        | "pe"
        | "SI_AgCl"
        | "log_free_Ag"
        | "log10_free_Ag"
        | "log10_dissolved_Ag"
        | "log_dissolved_iodide" => {
            // The file gives six digits: half a unit of the last one is its own rounding.
            let digits = 0.5 * 10f64.powf(expected.abs().log10().floor() - 5.0);
            ((got - expected).abs() - digits).max(0.0)
        }
        _ if expected == 0.0 => got.abs(),
        _ => (got / expected - 1.0).abs(),
    }
}

#[test]
fn the_solver_agrees_with_the_reference_cases() {
    let all = cases();
    let mut table: std::collections::BTreeMap<String, (u32, f64)> =
        std::collections::BTreeMap::new();
    let mut seen = 0;
    for case in all["cases"].as_array().unwrap() {
        let id = case["id"].as_str().unwrap();
        let kind = case["kind"].as_str().unwrap();
        let inputs = &case["inputs"];
        if inputs["reagents_mol_per_kgw"].is_null() {
            continue;
        }
        seen += 1;
        for (model, key) in [
            (ActivityModel::Davies, "expected"),
            (ActivityModel::Ideal, "expected_ideal"),
        ] {
            let Some(expected) = case[key].as_object() else {
                continue;
            };
            let m = mixture(inputs, model);
            let e = System::at_25_c()
                .solve(&m)
                .unwrap_or_else(|e| panic!("{id} {model:?}: {e}"));
            for (name, value) in expected {
                if NOT_SOLVED.contains(&name.as_str()) {
                    continue;
                }
                let value = value.as_f64().unwrap();
                let got = figure(name, &e, &m);
                let error = off(name, value, got);
                assert!(
                    error <= AGREEMENT,
                    "{id} {model:?} {name}: expected {value:e}, got {got:e}"
                );
                let row = table.entry(kind.to_owned()).or_insert((0, 0.0));
                row.0 += 1;
                row.1 = row.1.max(error);
            }
        }
    }
    assert_eq!(seen, 55, "cases with a mixture");
    for (kind, (count, worst)) in table {
        println!("{kind:35} {count:4} figures, worst {worst:.1e}");
    }
}

fn of_kind(kind: &str) -> Vec<Value> {
    let all = cases();
    let found: Vec<Value> = all["cases"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|c| c["kind"] == kind)
        .cloned()
        .collect();
    assert!(!found.is_empty(), "{kind}");
    found
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn agrees(id: &str, what: &str, got: f64, expected: f64, limit: f64) {
    let off = if expected == 0.0 {
        got.abs()
    } else {
        (got / expected - 1.0).abs()
    };
    assert!(
        off <= limit,
        "{id} {what}: expected {expected:e}, got {got:e}"
    );
}

#[test]
fn the_base_for_a_ph_agrees_with_the_reference_cases() {
    for case in of_kind("neutralisation_dose") {
        let id = case["id"].as_str().unwrap();
        let inputs = &case["inputs"];
        let water = number(&inputs["water_kg"]);
        let base = match inputs["base"].as_str().unwrap() {
            "NaHCO3" => Base::SodiumBicarbonate,
            "Na2CO3" => Base::SodiumCarbonate,
            _ => Base::SodiumHydroxide,
        };
        for (model, key) in [
            (ActivityModel::Davies, "expected"),
            (ActivityModel::Ideal, "expected_ideal"),
        ] {
            let mut liquor = Mixture::new(water);
            liquor.activity_model = model;
            for (formula, amount) in inputs["acids_mol_per_kgw"].as_object().unwrap() {
                liquor.add(&Reagent::parse(formula).unwrap(), number(amount) * water);
            }
            liquor.carbon_dioxide = match inputs["gas_model"].as_str().unwrap() {
                "no gas escapes" => CarbonDioxide::Closed,
                "CO2 above 1 atm leaves (log pCO2=0)" => CarbonDioxide::VentsAtSaturation,
                _ => CarbonDioxide::OpenToAir,
            };
            let dose = base_for_ph(
                System::at_25_c(),
                &liquor,
                base.reagent().unwrap(),
                number(&inputs["target_pH"]),
            )
            .unwrap();
            agrees(
                id,
                "dose",
                dose.base_mol / water,
                number(&case[key]["dose"]),
                1e-7,
            );
            if key == "expected" {
                let mass = dose.base_mol * base.molar_mass_g_per_mol();
                agrees(
                    id,
                    "mass",
                    mass,
                    number(&case[key]["dose_mass_total"]),
                    1e-6,
                );
                let gas = number(&case[key]["CO2_evolved"]);
                agrees(id, "gas", dose.carbon_dioxide_released_mol, gas, 5e-6);
            }
        }
    }
}

#[test]
fn the_least_silver_over_silver_chloride_agrees_with_the_reference_case() {
    let case = &of_kind("agcl_solubility_minimum")[0];
    let mut liquor = Mixture::new(1.0);
    liquor.solids = SolidSet::NONE;
    liquor.start_with("AgCl", 1.0);
    let salt = Reagent::parse("NaCl").unwrap();
    let range = &case["inputs"]["search_range_mol_per_kgw"];
    let least = least_silver(
        System::at_25_c(),
        &liquor,
        &salt,
        number(&range[0]),
        number(&range[1]),
    )
    .unwrap();
    // The minimum is flat: its place is known to the file's own four digits.
    agrees(
        "AGCL-MIN-01",
        "dose",
        least.dose_mol,
        number(&case["expected"]["chloride_added"]),
        1e-3,
    );
    agrees(
        "AGCL-MIN-01",
        "silver",
        least.dissolved_silver_mol_per_kg,
        number(&case["expected"]["dissolved_Ag"]),
        1e-5,
    );
    agrees(
        "AGCL-MIN-01",
        "residue",
        least.residual_silver_mg_per_kg,
        number(&case["expected"]["residual_Ag"]),
        1e-5,
    );
}

#[test]
fn the_potential_of_silver_in_fixer_agrees_with_the_reference_cases() {
    for case in of_kind("electrolysis_potential") {
        let id = case["id"].as_str().unwrap();
        let inputs = &case["inputs"];
        let mut liquor = Mixture::new(1.0);
        liquor.solids = SolidSet::NONE;
        liquor.add(
            &Reagent::parse("AgNO3").unwrap(),
            number(&inputs["Ag_g_per_kgw"]) / SILVER,
        );
        liquor.add(
            &Reagent::parse("Na2S2O3").unwrap(),
            number(&inputs["Na2S2O3_mol_per_kgw"]),
        );
        let answer = System::at_25_c().solve(&liquor).unwrap();
        let pag = answer.pag().unwrap();
        let log = number(&case["expected"]["log10_a_Ag"]);
        assert!(off("log10_a_Ag", log, -pag) < 1e-5, "{id} {pag}");
        // The file takes 0.0591597 V for R T ln 10 / F, which is 0.0591593 V by the exact constants.
        let expected = number(&case["expected"]["E_vs_SHE"]) - log * (0.059_159_7 - 0.059_159_35);
        assert!(
            (silver_potential(pag, 25.0) - expected).abs() < 2e-6,
            "{id}"
        );
    }
}

#[test]
fn iodide_saturation_with_given_constants_agrees_with_the_reference_case() {
    let case = &of_kind("iodide_saturation_with_given_constants")[0];
    let beta = &case["inputs"]["log_beta"];
    let got = iodide_saturation(
        number(&case["inputs"]["AgNO3_mol_per_L"]),
        &IodideConstants {
            log_ksp: number(&case["inputs"]["log_Ksp_AgI"]),
            log_beta_agi: number(&beta["AgI"]),
            log_beta_agi2: number(&beta["AgI2-"]),
            log_beta_ag2i: number(&beta["Ag2I+"]),
            log_beta_ag3i: number(&beta["Ag3I+2"]),
        },
    );
    let expected = &case["expected"];
    agrees(
        "AGI-BATH-02",
        "iodide",
        got.dissolved_iodide_mol_per_l,
        number(&expected["dissolved_iodide"]),
        1e-6,
    );
    agrees(
        "AGI-BATH-02",
        "mass",
        got.dissolved_silver_iodide_g_per_l,
        number(&expected["dissolved_AgI"]),
        1e-6,
    );
    agrees(
        "AGI-BATH-02",
        "silver",
        got.free_silver_mol_per_l,
        number(&expected["free_Ag"]),
        1e-6,
    );
}

#[test]
fn a_path_rises_and_ends_at_the_dose() {
    let mut liquor = Mixture::new(3.0);
    liquor.add(&Reagent::parse("HNO3").unwrap(), 0.15);
    liquor.add(&Reagent::parse("CH3COOH").unwrap(), 0.45);
    liquor.carbon_dioxide = CarbonDioxide::VentsAtSaturation;
    let base = Base::SodiumCarbonate.reagent().unwrap();
    let dose = base_for_ph(System::at_25_c(), &liquor, base, 6.5).unwrap();
    let doses: Vec<f64> = (0..=20)
        .map(|i| dose.base_mol * f64::from(i) / 20.0)
        .collect();
    let path = ph_path(System::at_25_c(), &liquor, base, &doses).unwrap();
    assert!(path.windows(2).all(|w| w[1].ph > w[0].ph));
    assert!(path.iter().any(|p| p.carbon_dioxide_released_mol > 0.1));
    assert!((path[20].ph - 6.5).abs() < 1e-9);
}

#[test]
fn a_ph_that_a_base_cannot_reach_is_refused_with_the_nearest() {
    let mut liquor = Mixture::new(1.0);
    liquor.add(&Reagent::parse("HNO3").unwrap(), 0.1);
    let soda = Base::SodiumBicarbonate.reagent().unwrap();
    assert!(base_for_ph(System::at_25_c(), &liquor, soda, 12.0).is_err());
    assert!(base_for_ph(System::at_25_c(), &liquor, soda, 0.5).is_err());
}

#[test]
fn sulfide_needs_its_stoichiometric_dose_and_a_little_more() {
    // 2 Ag + S: half a mole of sulfide per mole of silver.
    let mut liquor = Mixture::new(1.0);
    liquor.add(&Reagent::parse("AgNO3").unwrap(), 0.046);
    liquor.add(&Reagent::parse("Na2S2O3").unwrap(), 0.5);
    let sulfide = Reagent::parse("Na2S.9H2O").unwrap();
    let point = dose_for_silver(System::at_25_c(), &liquor, &sulfide, 1e-8, 0.05).unwrap();
    assert!(
        point.dose_mol > 0.022_99 && point.dose_mol < 0.0235,
        "{}",
        point.dose_mol
    );
    assert!(point.dissolved_silver_mol_per_kg <= 1e-8);
    // Salt reaches no such target in a fixer.
    let salt = Reagent::parse("NaCl").unwrap();
    assert!(dose_for_silver(System::at_25_c(), &liquor, &salt, 1e-3, 2.0).is_err());
}

#[test]
fn strong_acid_and_hydroxide_give_the_heat_of_neutralization() {
    // H+ + OH- gives 55.8 kJ/mol (the enthalpy of water's own constant); dissolving the pellets 44.5 more.
    let mut liquor = Mixture::new(1.0);
    liquor.add(&Reagent::parse("HNO3").unwrap(), 0.1);
    let before = System::at_25_c().solve(&liquor).unwrap();
    let mut mixed = liquor.clone();
    mixed.add(Base::SodiumHydroxide.reagent().unwrap(), 0.1);
    let after = System::at_25_c().solve(&mixed).unwrap();
    let heat = heat_of_neutralization(&before, &after, Base::SodiumHydroxide, 0.1);
    assert!((heat.released_kj - 10.03).abs() < 0.01, "{heat:?}");
    assert!((heat.rise_k - 2.4).abs() < 0.01, "{heat:?}");
}
