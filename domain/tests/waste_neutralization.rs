//! Neutralization: doses against published figures, and each block as a refusal of its own.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use proptest::prelude::*;
use spent_silver_domain::answer::{Answer, Severity};
use spent_silver_domain::bibliography::reference;
use spent_silver_domain::chemistry::equilibria::{EquilibriumRequest, solve_equilibrium};
use spent_silver_domain::document::{Block, DocumentRequest, draw_up_document};
use spent_silver_domain::procedure::Refusal;
use spent_silver_domain::waste::neutralization::{
    LeftOutEffect, NeutralizationPlan, NeutralizationRequest, plan_neutralization, sources,
};

fn answer(batch: &str, wish: &str) -> Answer<NeutralizationPlan> {
    let request: NeutralizationRequest =
        serde_json::from_str(&format!(r#"{{"batch": {batch}, {wish}}}"#)).unwrap();
    plan_neutralization(&request).unwrap()
}

fn plan(batch: &str, wish: &str) -> NeutralizationPlan {
    let plan = answer(batch, wish).result;
    assert_eq!(plan.refusal, None);
    plan
}

fn refused(batch: &str, wish: &str) -> Refusal {
    let answer = answer(batch, wish);
    let plan = answer.result;
    assert!(plan.base_g.is_none() && plan.base_mol.is_none() && plan.base_95_g.is_none());
    assert!(plan.ph_path.is_empty() && plan.steps.is_empty());
    let refusal = plan.refusal.unwrap();
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.severity == Severity::Danger)
    );
    assert!(!refusal.reason.is_empty());
    assert!(!refusal.never.is_empty() && !refusal.instead.is_empty() && !refusal.call.is_empty());
    refusal
}

const SODA: &str = r#""base": "sodium_bicarbonate""#;
const WASHING_SODA: &str = r#""base": "sodium_carbonate""#;
const LYE: &str = r#""base": "sodium_hydroxide""#;

fn liquor(substance: &str, amount: &str) -> String {
    format!(
        r#"{{"id": "l", "kind": "rinse_water", "volume_l": {{"value": "1", "standard_uncertainty": "0"}},
            "composition": [{{"substance": "{substance}", {amount}}}]}}"#
    )
}

fn exactly(field: &str, value: &str) -> String {
    format!(r#""{field}": {{"value": "{value}", "standard_uncertainty": "0"}}"#)
}

/// 1 g of nitric acid needs 1.333 g of bicarbonate, 0.8410 g of carbonate or 0.6347 g of hydroxide, and
/// 1 g of acetic acid 0.6660 g of hydroxide (stoichiometry from IUPAC atomic weights). With the gas of
/// the carbonates gone, what stays dissolved adds less than 0.2 %.
#[test]
fn a_gram_of_acid_needs_what_stoichiometry_says() {
    for (acid, wish, ph, gas, wanted) in [
        ("nitric_acid", SODA, "6.5", "open_to_air", 1.333),
        ("nitric_acid", WASHING_SODA, "6.5", "open_to_air", 0.8410),
        ("nitric_acid", LYE, "7", "closed", 0.6347),
        ("acetic_acid", LYE, "8.5", "closed", 0.6660),
    ] {
        let plan = plan(
            &liquor(acid, &exactly("g_per_l", "1")),
            &format!(r#"{wish}, "target_ph": "{ph}", "carbon_dioxide": "{gas}""#),
        );
        let got = plan.base_g.unwrap().get();
        assert!(
            (got - wanted).abs() < 2e-3 * wanted,
            "{acid} {wish}: {got} against {wanted}"
        );
    }
}

#[test]
fn doses_and_gas_agree_with_a_reference_code() {
    let published: serde_json::Value =
        serde_json::from_str(include_str!("data/equilibrium_cases.json")).unwrap();
    let cases: Vec<_> = published["cases"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|c| c["kind"] == "neutralisation_dose")
        .collect();
    assert_eq!(cases.len(), 9);
    for case in cases {
        let inputs = &case["inputs"];
        let id = &case["id"];
        let acids: Vec<String> = inputs["acids_mol_per_kgw"]
            .as_object()
            .unwrap()
            .iter()
            .map(|(formula, amount)| {
                let substance = match formula.as_str() {
                    "HNO3" => "nitric_acid",
                    _ => "acetic_acid",
                };
                format!(r#"{{"substance": "{substance}", "mol_per_l": "{amount}"}}"#)
            })
            .collect();
        let base = match inputs["base"].as_str().unwrap() {
            "NaOH" => LYE,
            "Na2CO3" => WASHING_SODA,
            _ => SODA,
        };
        let gas = match inputs["gas_model"].as_str().unwrap() {
            "no gas escapes" => "closed",
            "CO2 above 1 atm leaves (log pCO2=0)" => "vents_at_saturation",
            _ => "open_to_air",
        };
        let kilograms = &inputs["water_kg"];
        let plan = plan(
            &format!(
                r#"{{"id": "l", "kind": "rinse_water", "volume_l": "{kilograms}", "composition": [{}]}}"#,
                acids.join(",")
            ),
            &format!(
                r#"{base}, "target_ph": "{}", "carbon_dioxide": "{gas}""#,
                inputs["target_pH"]
            ),
        );
        let expected = |key: &str| case["expected"][key].as_f64().unwrap();
        let dose = plan.base_mol.unwrap().get();
        let wanted = expected("dose") * kilograms.as_f64().unwrap();
        assert!((dose / wanted - 1.0).abs() < 1e-5, "{id}: {dose}");
        let grams = plan.base_g.unwrap().get();
        let wanted = expected("dose_mass_total");
        assert!((grams / wanted - 1.0).abs() < 1e-5, "{id}: {grams}");
        // Printed to six figures.
        let mol = plan.carbon_dioxide_released_mol.unwrap().get();
        let wanted = expected("CO2_evolved");
        assert!((mol - wanted).abs() <= 1e-9 + 1e-5 * wanted, "{id}: {mol}");
        // An ideal gas at 25 °C and 1 atm: 0.082057 L atm/(mol K) x 298.15 K.
        let litres = plan.carbon_dioxide_released_l.unwrap().get();
        assert!((litres - mol * 24.4654).abs() <= 1e-4 * mol, "{id}");
    }
}

/// OpenStax Chemistry 2e, section 4.5, printed answers: 49.6 mL of hydrochloric acid of 0.6 mol/L takes
/// 2.5 g of bicarbonate; 1.7 mL of hydroxide of 0.0811 mol/L takes up 20.0 mL of sulfuric acid of
/// 0.00345 mol/L (hydrogen sulfate gives up its second proton long before pH 7).
#[test]
fn spills_take_the_base_that_a_textbook_gives() {
    let spill = plan(
        r#"{"id": "l", "kind": "rinse_water", "volume_l": {"value": "0.0496", "standard_uncertainty": "0"},
            "composition": [{"substance": "hydrochloric_acid", "mol_per_l": "0.6"}]}"#,
        &format!(r#"{SODA}, "target_ph": "6.5", "carbon_dioxide": "open_to_air""#),
    );
    let grams = spill.base_g.unwrap().get();
    assert!((grams - 2.5).abs() < 0.005, "{grams}");
    let rain = plan(
        r#"{"id": "l", "kind": "rinse_water", "volume_l": {"value": "0.02", "standard_uncertainty": "0"},
            "composition": [{"substance": "sulfuric_acid", "mol_per_l": "0.00344675"}]}"#,
        &format!(r#"{LYE}, "target_ph": "7""#),
    );
    let mol = rain.base_mol.unwrap().get();
    assert!((mol / (0.0017 * 0.0811) - 1.0).abs() < 1e-3, "{mol}");
}

/// OpenStax Chemistry 2e, section 14.7: 25.00 mL of acetic acid of 0.100 mol/L with hydroxide of
/// 0.100 mol/L stands at pH 4.74 after 12.5 mL and at 8.72 after 25 mL. The book ignores activity,
/// which moves a buffer of this strength by less than 0.1.
#[test]
fn a_buffer_stands_where_a_textbook_puts_it() {
    let half = plan(
        r#"{"id": "l", "kind": "stop_bath", "volume_l": "0.0375", "composition": [
            {"substance": "acetic_acid", "mol_per_l": "0.033333"},
            {"substance": "sodium_acetate", "mol_per_l": "0.033333"}]}"#,
        &format!(r#"{LYE}, "target_ph": "7""#),
    );
    let ph = half.start_ph.unwrap().get();
    assert!((ph - 4.74).abs() < 0.1, "{ph}");
    let whole = plan(
        r#"{"id": "l", "kind": "stop_bath", "volume_l": "0.05", "composition": [
            {"substance": "acetic_acid", "mol_per_l": "0.05"}]}"#,
        &format!(r#"{LYE}, "target_ph": "8.72""#),
    );
    let mol = whole.base_mol.unwrap().get();
    assert!((mol / 0.0025 - 1.0).abs() < 1e-3, "{mol}");
}

/// Citric acid is triprotic and formic acid monoprotic, and at pH 9 every one of those protons is
/// gone: 3 and 1 mol of hydroxide (IUPAC atomic weights). A primary buffer standard, borax of
/// 0.01 mol/kg, has pH 9.180 at 25 °C (from memory, unverified).
#[test]
fn acids_outside_the_tables_take_up_base_too() {
    for (acid, wanted) in [("citric_acid", 3.0), ("formic_acid", 1.0)] {
        let plan = plan(
            &liquor(acid, &exactly("mol_per_l", "0.02")),
            &format!(r#"{LYE}, "target_ph": "9""#),
        );
        let got = plan.base_mol.unwrap().get() / 0.02;
        assert!((got / wanted - 1.0).abs() < 2e-3, "{acid}: {got}");
        let ph: Vec<f64> = plan.ph_path.iter().map(|p| p.ph.get()).collect();
        assert!(ph.windows(2).all(|w| w[0] < w[1]), "{acid}: {ph:?}");
        assert!((ph.last().unwrap() - 9.0).abs() < 1e-5, "{acid}: {ph:?}");
    }
    let borax = refused(
        r#"{"id": "l", "kind": "stop_bath", "volume_l": "1", "composition": [
            {"substance": "borax", "mol_per_l": "0.01"},
            {"substance": "acetic_acid", "mol_per_l": "0.00001"}]}"#,
        &format!(r#"{LYE}, "target_ph": "9""#),
    );
    assert!(borax.reason.contains("pH 9.2"), "{}", borax.reason);
}

/// A published answer for 50 m3 of strong acid at pH 2: 500 mol of hydroxide to pH 7. The activity of
/// the hydrogen ion, which it leaves out, lies within the upper end of our range.
#[test]
fn a_strong_acid_alone_may_be_dosed_from_its_ph() {
    let plan = plan(
        r#"{"id": "l", "kind": "rinse_water", "volume_l": {"value": "50000", "standard_uncertainty": "0"},
            "ph": {"value": "2", "standard_uncertainty": "0"}, "composition": [{"substance": "nitric_acid"}]}"#,
        r#""base": "sodium_hydroxide", "target_ph": "7""#,
    );
    assert!(
        (plan.base_mol.unwrap().get() - 500.0).abs() < 0.01,
        "{:?}",
        plan.base_mol
    );
    assert!(plan.base_95_g.unwrap().upper.get() > 1.05 * plan.base_g.unwrap().get());
}

#[test]
fn the_dose_carries_the_uncertainty_of_what_was_measured() {
    let plan = plan(
        r#"{"id": "l", "kind": "rinse_water", "volume_l": {"value": "4", "standard_uncertainty": "0.12"},
            "composition": [{"substance": "nitric_acid",
                             "mol_per_l": {"value": "0.1", "standard_uncertainty": "0.004"}}]}"#,
        r#""base": "sodium_hydroxide", "target_ph": "7""#,
    );
    // 3 % and 4 % make 5 %: plus or minus 9.8 % at 95 %.
    let half = (plan.base_95_g.unwrap().upper.get() - plan.base_95_g.unwrap().lower.get()) / 2.0;
    assert!(
        (half / plan.base_g.unwrap().get() - 0.098).abs() < 5e-4,
        "{half}"
    );
}

/// The dose that a plan gives, solved again by the equilibrium operation, has the pH of the target.
#[test]
fn buffers_of_sulfite_acetate_carbonate_ammonia_and_sulfate_are_dosed_to_the_target() {
    let parts = [
        ("nitric_acid", "HNO3", "0.03"),
        ("sodium_bisulfate", "NaHSO4", "0.02"),
        ("acetic_acid", "CH3COOH", "0.15"),
        ("sodium_acetate", "CH3COONa", "0.05"),
        ("sodium_sulfite", "Na2SO3", "0.04"),
        ("ammonium_chloride", "NH4Cl", "0.1"),
        ("sodium_bicarbonate", "NaHCO3", "0.01"),
    ];
    let composition: Vec<String> = parts
        .iter()
        .map(|(id, _, c)| format!(r#"{{"substance": "{id}", {}}}"#, exactly("mol_per_l", c)))
        .collect();
    let batch = format!(
        r#"{{"id": "l", "kind": "stop_bath", "volume_l": {{"value": "3", "standard_uncertainty": "0"}},
            "composition": [{}]}}"#,
        composition.join(",")
    );
    for (base, formula) in [(SODA, "NaHCO3"), (WASHING_SODA, "Na2CO3")] {
        for (gas, target) in [
            ("vents_at_saturation", 6.5),
            ("open_to_air", 7.5),
            ("closed", 6.0),
        ] {
            let wish = format!(r#"{base}, "target_ph": "{target}", "carbon_dioxide": "{gas}""#);
            let plan = plan(&batch, &wish);
            let mut reagents: Vec<String> = parts
                .iter()
                .map(|(_, formula, c)| {
                    format!(
                        r#"{{"formula": "{formula}", "amount_mol": "{}"}}"#,
                        3.0 * c.parse::<f64>().unwrap()
                    )
                })
                .collect();
            reagents.push(format!(
                r#"{{"formula": "{formula}", "amount_mol": "{}"}}"#,
                plan.base_mol.unwrap().get()
            ));
            let again: EquilibriumRequest = serde_json::from_str(&format!(
                r#"{{"water_kg": 3, "reagents": [{}], "carbon_dioxide": "{gas}"}}"#,
                reagents.join(",")
            ))
            .unwrap();
            let again = solve_equilibrium(&again).unwrap().result;
            assert!((again.ph.get() - target).abs() < 1e-6, "{wish}");
            let gas = plan.carbon_dioxide_released_mol.unwrap().get();
            assert!((gas - again.carbon_dioxide_released_mol.get().max(0.0)).abs() < 1e-6);
            let range = plan.base_95_g.unwrap();
            let dose = plan.base_g.unwrap().get();
            assert!(range.lower.get() < dose && dose < range.upper.get());
            // Only the constants and the model are unsure.
            assert!(range.upper.get() < 1.5 * dose, "{wish}: {range:?} {dose}");
        }
    }
    assert!(refused(&batch, LYE).reason.contains("ammonia"));
}

#[test]
fn sulfite_of_stated_amount_is_dosed_with_a_warning_of_sulfur_dioxide() {
    let answer = answer(
        r#"{"id": "s", "kind": "stop_bath", "volume_l": "1", "composition":
            [{"substance": "acetic_acid", "g_per_l": "20"}, {"substance": "sodium_sulfite", "g_per_l": "5"}]}"#,
        SODA,
    );
    assert_eq!(answer.result.refusal, None);
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.severity == Severity::Danger && w.text.contains("sulfur dioxide"))
    );
    assert!(
        answer.result.steps[0]
            .cautions
            .iter()
            .any(|c| c.contains("sulfur dioxide"))
    );
}

#[test]
fn what_is_left_out_is_named_with_what_that_does() {
    let answer = answer(
        r#"{"id": "s", "kind": "rinse_water", "volume_l": "1", "composition":
            [{"substance": "nitric_acid", "g_per_l": "5"}, {"substance": "sodium_chloride"},
             {"substance": "sucrose", "g_per_l": "10"}, {"substance": "calcium_chloride", "g_per_l": "3"},
             {"substance": "ammonium_nitrate"}]}"#,
        SODA,
    );
    let left_out: Vec<(&str, LeftOutEffect)> = answer
        .result
        .left_out
        .iter()
        .map(|l| (l.substance.as_str(), l.effect))
        .collect();
    assert_eq!(
        left_out,
        [
            ("sodium_chloride", LeftOutEffect::None),
            ("sucrose", LeftOutEffect::None),
            ("calcium_chloride", LeftOutEffect::LowerBound),
            ("ammonium_nitrate", LeftOutEffect::LowerBound),
        ]
    );
    for unsure in ["calcium_chloride", "ammonium_nitrate"] {
        assert!(
            answer
                .warnings
                .iter()
                .any(|w| w.severity == Severity::Caution && w.text.contains(unsure))
        );
    }
}

#[test]
fn the_path_is_at_amounts_that_the_scale_can_weigh() {
    let batch = r#"{"id": "l", "kind": "stop_bath", "volume_l": "4", "scale_resolution_g": "1",
        "composition": [{"substance": "acetic_acid", "g_per_l": "12"}]}"#;
    let plan = plan(batch, SODA);
    let path: Vec<f64> = plan.ph_path.iter().map(|p| p.added_g.get()).collect();
    assert!((10..=30).contains(&path.len()), "{path:?}");
    for added in &path[..path.len() - 1] {
        assert!((added - added.round()).abs() < 1e-9, "{added}");
    }
    let steps: Vec<f64> = path.windows(2).map(|w| w[1] - w[0]).collect();
    assert!(steps[steps.len() - 2] < steps[0], "the last are finer");
    assert!(plan.stop_points.len() >= 3);
    let after = plan.ph_after_dose.unwrap();
    assert!(after.lower.get() < 6.5 && after.upper.get() > 6.5);
}

/// Heat of neutralization 55.8 kJ/mol, of dissolving hydroxide 44.5 kJ/mol, of water 4.18 kJ/(kg K).
#[test]
fn lye_warms_and_bicarbonate_cools() {
    let batch = liquor("nitric_acid", &exactly("mol_per_l", "1"));
    let lye = answer(&batch, LYE);
    let rise = lye.result.temperature_rise_c.unwrap().get();
    assert!((rise - (55.8 + 44.5) / 4.18).abs() < 1.0, "{rise}");
    assert!(lye.warnings.iter().any(|w| w.text.contains("warms")));
    let soda = plan(&batch, SODA);
    assert!(soda.temperature_rise_c.unwrap().get() < 0.0);
}

#[test]
fn a_liquid_too_strong_for_the_model_is_refused_with_its_number() {
    let refusal = refused(&liquor("nitric_acid", &exactly("mol_per_l", "7")), SODA);
    assert!(refusal.reason.contains("ionic strength"), "{refusal:?}");
}

#[test]
fn a_buffer_that_such_a_liquid_always_holds_is_refused_when_nobody_states_it() {
    let refusal = refused(
        r#"{"id": "d", "kind": "developer", "craft": "film_and_paper", "volume_l": "1", "composition":
            [{"substance": "acetic_acid", "g_per_l": "20"}, {"substance": "sodium_carbonate", "g_per_l": "1"}]}"#,
        SODA,
    );
    assert!(refusal.reason.contains("unknown amount"), "{refusal:?}");
}

/// The dose is for the pH that was asked, also where the acid is strong and outside the solver's tables.
#[test]
fn the_path_of_a_strong_citric_liquor_ends_at_the_ph_asked_for() {
    let plan = answer(
        r#"{"id": "l", "kind": "stop_bath", "volume_l": "0.200", "composition": [{"substance": "citric_acid", "mol_per_l": "0.671115"}]}"#,
        &format!(r#"{WASHING_SODA}, "carbon_dioxide": "closed", "target_ph": "7.4""#),
    )
    .result;
    let last = plan.ph_path.last().unwrap();
    assert!((last.ph.get() - 7.4).abs() < 1e-6, "{last:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn more_base_never_lowers_the_ph(
        amounts in proptest::collection::vec((0usize..9, 1e-4f64..0.4), 1..5),
        base in 0usize..3,
        gas in 0usize..3,
        volume in 0.2f64..20.0,
        target in 55u32..90,
    ) {
        const SUBSTANCES: [&str; 9] = [
            "nitric_acid", "hydrochloric_acid", "sulfuric_acid", "acetic_acid", "sodium_acetate",
            "sodium_bisulfite", "citric_acid", "boric_acid", "sodium_bicarbonate",
        ];
        let composition: Vec<String> = amounts
            .iter()
            .map(|(i, c)| format!(r#"{{"substance": "{}", "mol_per_l": "{c:.6}"}}"#, SUBSTANCES[*i]))
            .collect();
        let batch = format!(
            r#"{{"id": "l", "kind": "stop_bath", "volume_l": "{volume:.3}", "composition": [{}]}}"#,
            composition.join(",")
        );
        let wish = format!(
            r#"{}, "carbon_dioxide": "{}", "target_ph": "{}""#,
            [SODA, WASHING_SODA, LYE][base],
            ["closed", "vents_at_saturation", "open_to_air"][gas],
            f64::from(target) / 10.0
        );
        let plan = answer(&batch, &wish).result;
        if plan.refusal.is_none() {
            let path = &plan.ph_path;
            prop_assert!(path.len() <= 30);
            for pair in path.windows(2) {
                prop_assert!(pair[0].added_g.get() < pair[1].added_g.get());
                prop_assert!(pair[0].ph.get() <= pair[1].ph.get() + 1e-7, "{pair:?} {batch} {wish}");
            }
            let last = path.last().unwrap();
            prop_assert!((last.ph.get() - f64::from(target) / 10.0).abs() < 1e-5, "{last:?} {batch} {wish}");
            prop_assert!((last.added_g.get() - plan.base_g.unwrap().get()).abs() < 1e-9);
            prop_assert!(plan.carbon_dioxide_released_mol.unwrap().get() >= 0.0);
        }
    }
}

#[test]
fn the_path_rises_and_ends_at_the_target() {
    for wish in [SODA, WASHING_SODA, LYE] {
        let plan = plan(
            &liquor("acetic_acid", &exactly("mol_per_l", "0.2")),
            &format!(r#"{wish}, "target_ph": "7""#),
        );
        let path: Vec<f64> = plan.ph_path.iter().map(|p| p.ph.get()).collect();
        assert!(path.windows(2).all(|w| w[0] < w[1]), "{path:?}");
        assert!((path.last().unwrap() - 7.0).abs() < 1e-6);
        // OpenStax Chemistry 2e, 14.3: acetic acid of 0.2 mol/L stands near pH 2.7.
        assert!((path[0] - 2.72).abs() < 0.05, "{}", path[0]);
    }
}

#[test]
fn the_window_and_the_gas_are_assumed_aloud() {
    let answer = answer(&liquor("nitric_acid", &exactly("g_per_l", "1")), SODA);
    for field in ["/target_ph", "/carbon_dioxide", "/rule_set"] {
        assert!(
            answer.assumptions.iter().any(|a| a.field == field),
            "{field}"
        );
    }
    let window = answer.result.ph_window.unwrap();
    assert!((window.lower.get() - 6.5).abs() < 1e-12);
    assert!((window.upper.get() - 8.5).abs() < 1e-12);
}

#[test]
fn the_steps_put_the_base_into_the_acid_in_a_vented_container() {
    let plan = plan(&liquor("nitric_acid", &exactly("g_per_l", "10")), SODA);
    assert!(
        plan.order
            .as_deref()
            .unwrap()
            .contains("base into the acid")
    );
    let text: String = plan
        .steps
        .iter()
        .flat_map(|s| std::iter::once(&s.action).chain(&s.cautions))
        .cloned()
        .collect::<Vec<_>>()
        .join(" ");
    for words in [
        "oggles",
        "closed container",
        "foam",
        "portions",
        "for a day",
        "permission to discharge",
    ] {
        assert!(text.contains(words), "{words}");
    }
    let weighed: f64 = plan
        .steps
        .iter()
        .flat_map(|s| &s.adds)
        .map(|a| a.mass_g.unwrap().get())
        .sum();
    assert!((weighed - plan.base_95_g.unwrap().upper.get()).abs() < 1e-9);
}

#[test]
fn a_treated_bath_gets_a_plan() {
    let batch = r#"{"id": "b", "kind": "sensitizing_bath", "craft": "collodion", "status": "treated",
        "volume_l": "2", "composition": [{"substance": "nitric_acid", "g_per_l": "2"},
        {"substance": "sodium_chloride"}, {"substance": "ammonium_nitrate"}]}"#;
    plan(batch, SODA);
    assert!(refused(batch, LYE).reason.contains("ammonia"));
}

#[test]
fn a_rule_set_says_what_neutralizing_is_in_law() {
    let plan = plan(
        &liquor("nitric_acid", &exactly("g_per_l", "1")),
        &format!(r#"{SODA}, "rule_set": "us-federal""#),
    );
    assert!(plan.duties.iter().any(|d| d.text.contains("never covers")));
}

// The blocks.

#[test]
fn a_silver_bath_is_refused_with_the_route_through_chloride() {
    for wish in [SODA, WASHING_SODA, LYE] {
        let refusal = refused(
            r#"{"id": "b", "kind": "sensitizing_bath", "craft": "salted_paper", "volume_l": "1",
                "composition": [{"substance": "nitric_acid", "g_per_l": "2"}]}"#,
            wish,
        );
        assert!(refusal.instead[0].contains("chloride first"));
        assert!(refusal.never.iter().any(|n| n.contains("hydroxide")));
    }
}

#[test]
fn silver_stated_in_the_composition_is_refused_in_any_container() {
    let refusal = refused(
        r#"{"id": "b", "kind": "stop_bath", "volume_l": "1", "composition":
            [{"substance": "acetic_acid", "g_per_l": "20"}, {"substance": "silver_nitrate"}]}"#,
        SODA,
    );
    assert!(refusal.instead[0].contains("chloride first"));
}

#[test]
fn silver_shown_by_evidence_is_refused_in_a_treated_bath() {
    refused(
        r#"{"id": "b", "kind": "sensitizing_bath", "status": "treated", "volume_l": "1",
            "composition": [{"substance": "nitric_acid", "g_per_l": "2"}],
            "evidence": [{"laboratory_assay": {"silver_mg_per_l": "5"}}]}"#,
        SODA,
    );
}

#[test]
fn cyanide_is_refused() {
    let refusal = refused(
        r#"{"id": "c", "kind": "cyanide_fixer", "volume_l": "1"}"#,
        SODA,
    );
    assert!(refusal.reason.contains("one answer"));
}

#[test]
fn a_collodion_fixer_of_unstated_type_is_refused_as_cyanide() {
    let refusal = refused(
        r#"{"id": "f", "kind": "fixer", "craft": "collodion", "volume_l": "1"}"#,
        SODA,
    );
    assert!(refusal.reason.contains("one answer"));
}

#[test]
fn fixer_is_refused_because_sulfite_buffers_it() {
    let refusal = refused(
        r#"{"id": "f", "kind": "fixer", "craft": "film_and_paper", "volume_l": "1", "ph": "5"}"#,
        SODA,
    );
    assert!(refusal.reason.contains("buffered"));
    assert!(refusal.never.iter().any(|n| n.contains("acid")));
}

#[test]
fn sulfite_of_unstated_amount_is_refused_in_any_container() {
    refused(
        r#"{"id": "s", "kind": "stop_bath", "volume_l": "1", "composition":
            [{"substance": "acetic_acid", "g_per_l": "20"}, {"substance": "sodium_sulfite"}]}"#,
        SODA,
    );
}

#[test]
fn ammoniacal_silver_is_refused_with_what_to_do_today() {
    let refusal = refused(
        r#"{"id": "a", "kind": "ammoniacal_silver", "volume_l": "1"}"#,
        SODA,
    );
    assert!(refusal.instead.iter().any(|i| i.contains("salt water")));
}

#[test]
fn mercury_lead_chromium_and_selenium_are_refused() {
    for metal in [
        "mercuric_chloride",
        "lead_nitrate",
        "potassium_dichromate",
        "selenium",
    ] {
        let refusal = refused(
            &format!(
                r#"{{"id": "m", "kind": "rinse_water", "volume_l": "1", "composition":
                    [{{"substance": "nitric_acid", "g_per_l": "2"}}, {{"substance": "{metal}"}}]}}"#
            ),
            SODA,
        );
        assert!(
            refusal.instead.iter().any(|i| i.contains("collection")),
            "{metal}"
        );
    }
}

#[test]
fn gold_is_refused_for_the_refiner() {
    let refusal = refused(
        r#"{"id": "g", "kind": "toner", "volume_l": "1", "composition":
            [{"substance": "gold_chloride"}]}"#,
        SODA,
    );
    assert!(refusal.instead.iter().any(|i| i.contains("refiner")));
}

#[test]
fn sulfide_is_refused() {
    refused(
        r#"{"id": "s", "kind": "toner", "volume_l": "1", "composition":
            [{"substance": "sodium_sulfide"}]}"#,
        SODA,
    );
}

#[test]
fn ferricyanide_is_refused() {
    refused(
        r#"{"id": "f", "kind": "intensifier_or_reducer", "volume_l": "1", "composition":
            [{"substance": "potassium_ferricyanide"}]}"#,
        SODA,
    );
}

#[test]
fn hypochlorite_peroxide_and_permanganate_are_refused() {
    for oxidizer in [
        "sodium_hypochlorite",
        "hydrogen_peroxide",
        "potassium_permanganate",
    ] {
        refused(
            &format!(
                r#"{{"id": "o", "kind": "rinse_water", "volume_l": "1", "composition":
                    [{{"substance": "nitric_acid", "g_per_l": "2"}}, {{"substance": "{oxidizer}"}}]}}"#
            ),
            SODA,
        );
    }
}

#[test]
fn strong_acid_with_alcohol_or_ether_is_refused() {
    let refusal = refused(
        r#"{"id": "b", "kind": "rinse_water", "volume_l": "1", "composition":
            [{"substance": "nitric_acid", "g_per_l": "60"}, {"substance": "ethanol"}]}"#,
        SODA,
    );
    assert!(refusal.reason.contains("burst"));
}

#[test]
fn collodion_is_refused() {
    refused(
        r#"{"id": "c", "kind": "collodion_or_solvent", "volume_l": "1"}"#,
        SODA,
    );
}

#[test]
fn silver_oxalate_is_refused() {
    refused(
        r#"{"id": "x", "kind": "rinse_water", "volume_l": "1", "composition":
            [{"substance": "nitric_acid", "g_per_l": "2"}, {"substance": "silver_oxalate"}]}"#,
        SODA,
    );
}

#[test]
fn iron_developer_and_other_metal_salts_are_refused() {
    for metal in [
        "iron_ii_sulfate",
        "copper_sulfate",
        "chrome_alum",
        "cadmium_bromide",
    ] {
        refused(
            &format!(
                r#"{{"id": "d", "kind": "stop_bath", "volume_l": "1", "composition":
                    [{{"substance": "acetic_acid", "g_per_l": "20"}}, {{"substance": "{metal}"}}]}}"#
            ),
            SODA,
        );
    }
}

#[test]
fn an_unknown_substance_is_refused() {
    let refusal = refused(
        r#"{"id": "u", "kind": "stop_bath", "volume_l": "1", "composition":
            [{"substance": "acetic_acid", "g_per_l": "20"}, {"substance": "mystery_powder"}]}"#,
        SODA,
    );
    assert!(refusal.reason.contains("mystery_powder"));
}

#[test]
fn solids_are_refused() {
    refused(r#"{"id": "s", "kind": "sludge", "mass_kg": "1"}"#, SODA);
}

#[test]
fn a_ph_alone_never_gives_a_dose() {
    let refusal = refused(
        r#"{"id": "s", "kind": "stop_bath", "volume_l": "1", "ph": "3"}"#,
        SODA,
    );
    assert!(refusal.reason.contains("acetic acid or sulfite"));
}

#[test]
fn a_weak_acid_of_unstated_amount_is_never_dosed_from_its_ph() {
    let refusal = refused(
        r#"{"id": "s", "kind": "stop_bath", "volume_l": "1", "ph": "3",
            "composition": [{"substance": "acetic_acid"}]}"#,
        SODA,
    );
    assert!(refusal.reason.contains("pH alone"));
    refused(
        r#"{"id": "s", "kind": "stop_bath", "volume_l": "1", "ph": "3", "composition":
            [{"substance": "nitric_acid"}, {"substance": "acetic_acid", "g_per_l": "20"}]}"#,
        SODA,
    );
}

#[test]
fn bicarbonate_cannot_be_asked_for_what_it_cannot_reach() {
    let refusal = refused(
        &liquor("nitric_acid", &exactly("g_per_l", "1")),
        &format!(r#"{SODA}, "target_ph": "8.9", "carbon_dioxide": "closed""#),
    );
    assert!(refusal.reason.contains("beyond"));
}

#[test]
fn faults_name_their_field() {
    let fault = |batch: &str, wish: &str| {
        let request: NeutralizationRequest =
            serde_json::from_str(&format!(r#"{{"batch": {batch}, {wish}}}"#)).unwrap();
        plan_neutralization(&request).unwrap_err().list()[0]
            .pointer
            .clone()
    };
    let acid = r#"{"id": "s", "kind": "stop_bath", "composition": [{"substance": "acetic_acid", "g_per_l": "20"}]}"#;
    assert_eq!(fault(acid, SODA), "/batch/volume_l");
    assert_eq!(
        fault(acid, &format!(r#"{SODA}, "target_ph": "12""#)),
        "/target_ph"
    );
}

#[test]
fn a_reading_that_contradicts_the_recipe_is_told() {
    let answer = answer(
        r#"{"id": "s", "kind": "stop_bath", "volume_l": "1", "ph": "6",
            "composition": [{"substance": "nitric_acid", "g_per_l": "6"}]}"#,
        SODA,
    );
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.text.contains("something else"))
    );
}

#[test]
fn every_source_of_the_constants_resolves() {
    for key in sources() {
        assert!(reference(key).is_some(), "{key}");
    }
}

/// The ends of the window are lines of one height: each is one row of the chart's table.
#[test]
fn the_ends_of_the_window_stand_once_among_the_figures_of_the_curve() {
    let request = include_str!("../../demo/document-worksheet-neutralization.json");
    let request: DocumentRequest = serde_json::from_str(request).unwrap();
    let document = draw_up_document(&request).unwrap().result.document;
    let mut blocks = document.sections.iter().flat_map(|s| &s.blocks);
    let chart = blocks.find_map(|b| match b {
        Block::Chart { chart } => Some(chart),
        _ => None,
    });
    let (_, rows) = chart.unwrap().table();
    for (end, ph) in [
        ("lower end of the window", "6.5"),
        ("upper end of the window", "8.5"),
    ] {
        let of: Vec<_> = rows.iter().filter(|r| r[2] == end).collect();
        assert_eq!(of, [&["", ph, end].map(str::to_owned).to_vec()]);
    }
}
