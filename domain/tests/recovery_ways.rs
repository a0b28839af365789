//! Ion exchange, metal from washed chloride, the reagents dosed by their atoms alone, processes in
//! series, and the plans beside each other.
#![expect(
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test fails by panicking"
)]

use crate::recovery_common;

use recovery_common::{answer, estimate, full_answer, plan, set_aside};
use serde_json::{Value, json};
use spent_silver_domain::batch::LotForm;
use spent_silver_domain::recovery::{
    ComparisonRow, HazardLevel, PlanEntry, ProcessName, RecoveryPlans, StageInput,
};
use spent_silver_domain::substance::substance;

const EVERYTHING: [&str; 7] = [
    "scale",
    "burette",
    "power_supply",
    "extraction",
    "training",
    "pump",
    "resin_column",
];

const REDUCTIONS: [ProcessName; 3] = [
    ProcessName::ChlorideReductionDextrose,
    ProcessName::ChlorideReductionIron,
    ProcessName::ChlorideReductionZinc,
];

const BY_THE_ATOMS: [ProcessName; 3] = [
    ProcessName::TrimercaptotriazinePrecipitation,
    ProcessName::DithioniteReduction,
    ProcessName::BorohydrideReduction,
];

fn asked(batch: Value) -> Value {
    json!({"batch": batch, "means": EVERYTHING})
}

fn chloride(composition: Value) -> Value {
    asked(json!({"id": "tub", "kind": "sludge", "composition": composition}))
}

fn washed_chloride() -> Value {
    chloride(json!([{"substance": "silver_chloride"}]))
}

/// A fixer of sodium thiosulfate, of which the pH was measured well.
fn alkaline_fixer() -> Value {
    asked(
        json!({"id": "fix", "kind": "fixer", "craft": "film_and_paper", "volume_l": 20,
        "ph": {"value": "8.5", "standard_uncertainty": "0.05"},
        "composition": [{"substance": "sodium_thiosulfate"}]}),
    )
}

fn bath() -> Value {
    asked(json!({"id": "bath", "kind": "sensitizing_bath", "craft": "salted_paper", "volume_l": 1}))
}

/// Five hundred litres of wash with a little hypo in it.
fn wash() -> Value {
    asked(
        json!({"id": "wash", "kind": "rinse_water", "craft": "film_and_paper", "volume_l": 500,
        "composition": [{"substance": "sodium_thiosulfate", "g_per_l": "0.5"}]}),
    )
}

fn refusal_of(plans: &RecoveryPlans, process: ProcessName) -> String {
    plans
        .plans
        .iter()
        .find_map(|entry| match entry {
            PlanEntry::Refused(r) if r.process == process => Some(r.refusal.reason.clone()),
            _ => None,
        })
        .unwrap_or_else(|| panic!("{process:?} is not refused"))
}

fn near(found: f64, expected: f64) {
    assert!(
        (found / expected - 1.0).abs() < 2e-4,
        "{found} instead of {expected}"
    );
}

#[test]
fn every_reagent_is_dosed_as_its_balanced_equation_says() {
    // 107.8682 g of silver at the upper end is one mole. Worked by hand with H 1.008, B 10.81,
    // C 12.011, N 14.007, O 15.999, Na 22.990, S 32.06, Fe 55.845, Zn 65.38:
    let silver = estimate(100.0, 104.0, 107.8682);
    for (request, process, index, grams) in [
        // 2 AgCl + C6H12O6 + 3 NaOH = 2 Ag + NaC6H11O7 + 2 NaCl + 2 H2O:
        // 3/2 x 39.997 = 59.995 g of lye, 1/2 x 180.156 = 90.078 g of dextrose.
        (
            washed_chloride(),
            ProcessName::ChlorideReductionDextrose,
            0,
            59.995,
        ),
        (
            washed_chloride(),
            ProcessName::ChlorideReductionDextrose,
            1,
            90.078,
        ),
        // 2 AgCl + Zn = 2 Ag + ZnCl2: 65.38 / 2.
        (
            washed_chloride(),
            ProcessName::ChlorideReductionZinc,
            0,
            32.69,
        ),
        // 2 AgCl + Fe = 2 Ag + FeCl2: 55.845 / 2.
        (
            washed_chloride(),
            ProcessName::ChlorideReductionIron,
            0,
            27.9225,
        ),
        // 3 Ag+ + Na3C3N3S3 = Ag3C3N3S3 + 3 Na+: (36.033 + 42.021 + 96.18 + 68.969) / 3.
        (
            alkaline_fixer(),
            ProcessName::TrimercaptotriazinePrecipitation,
            0,
            81.068,
        ),
        // 2 Ag+ + Na2S2O4 + 2 H2O = 2 Ag + 2 NaHSO3 + 2 H+: (45.980 + 64.12 + 63.996) / 2.
        (
            alkaline_fixer(),
            ProcessName::DithioniteReduction,
            0,
            87.048,
        ),
        // 8 Ag+ + NaBH4 + 8 OH- = 8 Ag + NaB(OH)4 + 4 H2O: (22.990 + 10.81 + 4.032) / 8 = 4.729 g,
        // which is 39.408 g of a solution of 12 %.
        (
            alkaline_fixer(),
            ProcessName::BorohydrideReduction,
            0,
            39.408,
        ),
    ] {
        let plans = answer(&request, &silver);
        near(
            plan(&plans, process).reagents[index].stoichiometric_g.get(),
            grams,
        );
    }
}

#[test]
fn doses_stand_on_the_upper_end_times_their_excess_in_whole_grams() {
    let plans = answer(&washed_chloride(), &estimate(100.0, 104.0, 107.8682));
    let masses = |process| -> Vec<f64> {
        plan(&plans, process)
            .reagents
            .iter()
            .map(|r| r.mass_g.get())
            .collect()
    };
    // Twice 59.995 and 90.078 g.
    assert_eq!(
        masses(ProcessName::ChlorideReductionDextrose),
        [120.0, 181.0]
    );
    // 1.1 x 32.69 = 35.96: 36 g, 3.31 g or 0.0506 mol too much; as much sulfuric acid is 4.97 g, or
    // 99 mL of 5 %.
    assert_eq!(masses(ProcessName::ChlorideReductionZinc), [36.0, 100.0]);
    // 1.2 x 27.92 = 33.5: 34 g, 6.08 g or 0.1088 mol too much; 10.7 g of acid, or 213 mL of 5 %.
    assert_eq!(masses(ProcessName::ChlorideReductionIron), [34.0, 220.0]);
}

#[test]
fn the_hydrogen_that_the_acid_can_make_is_told() {
    let answer = full_answer(&washed_chloride(), &estimate(100.0, 104.0, 107.8682));
    // 100 mL of 5 % hold 5 g or 0.0510 mol of acid: 1.25 L at 24.465 L/mol.
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.text.contains("Zinc") && w.text.contains("about 1.2 L"))
    );
    for process in [
        ProcessName::ChlorideReductionIron,
        ProcessName::ChlorideReductionZinc,
    ] {
        for step in &plan(&answer.result, process).steps {
            if !step.adds.is_empty() {
                assert!(step.cautions.iter().any(|c| c.contains("hydrogen")));
            }
        }
    }
}

#[test]
fn metal_from_chloride_keeps_all_the_silver_and_says_how_pure_it_may_be() {
    let plans = answer(&washed_chloride(), &estimate(95.0, 100.0, 105.0));
    for process in REDUCTIONS {
        let plan = plan(&plans, process);
        let out = plan.silver_recovered.unwrap();
        assert_eq!(
            (out.lower_g.get(), out.expected_g.get(), out.upper_g.get()),
            (95.0, 100.0, 105.0)
        );
        assert_eq!(plan.product.form, LotForm::Metal);
        let low = plan.product.silver_low_percent.unwrap().get();
        let high = plan.product.silver_high_percent.unwrap().get();
        let dry = plan.product.dry_g.unwrap().get();
        assert!(low < high && high < 100.0);
        assert!(dry > 100.0 / high * 100.0 && dry < 100.0 / low * 100.0);
        assert!(plan.practical_residual.is_none());
    }
}

#[test]
fn metal_from_chloride_is_washed_neutral_tested_without_ammonia_and_never_melted() {
    let plans = answer(&washed_chloride(), &estimate(95.0, 100.0, 105.0));
    for process in REDUCTIONS {
        let plan = plan(&plans, process);
        let all = |f: fn(&spent_silver_domain::procedure::Step) -> bool| plan.steps.iter().any(f);
        assert!(all(|s| s
            .check
            .as_ref()
            .is_some_and(|c| c.contains("neutral"))));
        assert!(all(|s| s.cautions.iter().any(|c| c.contains("Never melt"))));
        assert!(all(|s| s.cautions.iter().any(|c| c.contains("No ammonia"))));
        assert!(
            plan.end_test
                .as_ref()
                .unwrap()
                .contains("never test with ammonia")
                || plan
                    .end_test
                    .as_ref()
                    .unwrap()
                    .contains("Never test with ammonia")
        );
        for step in &plan.steps {
            assert!(
                step.cautions
                    .iter()
                    .any(|c| c.contains("oggles") && c.contains("eye rinse")),
                "{}",
                step.action
            );
        }
    }
    let dextrose = plan(&plans, ProcessName::ChlorideReductionDextrose);
    let order: Vec<&str> = dextrose
        .steps
        .iter()
        .flat_map(|s| &s.adds)
        .map(|a| a.substance.as_str())
        .collect();
    assert_eq!(order, ["sodium_hydroxide", "dextrose"]);
}

#[test]
fn lye_over_silver_is_refused_where_an_ammonium_salt_is_stated() {
    let request =
        chloride(json!([{"substance": "silver_chloride"}, {"substance": "ammonium_chloride"}]));
    let answer = full_answer(&request, &estimate(95.0, 100.0, 105.0));
    assert!(refusal_of(&answer.result, ProcessName::ChlorideReductionDextrose).contains("ammonia"));
    // The refused plan left no note behind that points at it.
    let result = serde_json::to_value(&answer.result).unwrap();
    for pointer in answer
        .warnings
        .iter()
        .map(|w| &w.about)
        .chain(answer.methods.iter().map(|m| &m.about))
        .chain(answer.assumptions.iter().map(|a| &a.about))
    {
        assert!(result.pointer(pointer).is_some(), "{pointer}");
    }
    // Zinc needs no lye.
    plan(&answer.result, ProcessName::ChlorideReductionZinc);
}

#[test]
fn a_bath_with_an_ammonium_salt_is_salted_but_its_chloride_gets_no_lye() {
    let mut request = bath();
    request["batch"]["composition"] = json!([{"substance": "ammonium_nitrate"}]);
    let plans = answer(&request, &estimate(50.0, 57.0, 64.0));
    plan(&plans, ProcessName::ChloridePrecipitation);
    assert!(refusal_of(&plans, ProcessName::ChlorideThenMetal).contains("ammonia"));
}

#[test]
fn acid_on_chloride_is_refused_where_fixer_or_sulfide_clings_to_it() {
    for (substance, word) in [
        ("sodium_thiosulfate", "Sulfur dioxide"),
        ("sodium_sulfide", "Hydrogen sulfide"),
    ] {
        let request = chloride(json!([{"substance": "silver_chloride"}, {"substance": substance}]));
        let plans = answer(&request, &estimate(95.0, 100.0, 105.0));
        for process in [
            ProcessName::ChlorideReductionIron,
            ProcessName::ChlorideReductionZinc,
        ] {
            assert!(refusal_of(&plans, process).contains(word));
        }
    }
}

#[test]
fn chloride_with_ammonia_is_acted_on_today_and_with_cyanide_refused() {
    let silver = estimate(95.0, 100.0, 105.0);
    let ammonia = answer(
        &chloride(json!([{"substance": "silver_chloride"}, {"substance": "ammonia"}])),
        &silver,
    );
    assert!(ammonia.act_today.is_some() && ammonia.plans.is_empty());
    let cyanide = answer(
        &chloride(json!([{"substance": "silver_chloride"}, {"substance": "potassium_cyanide"}])),
        &silver,
    );
    assert!(cyanide.refusal.is_some() && cyanide.plans.is_empty());
    assert!(cyanide.comparison.is_empty());
}

#[test]
fn a_borohydride_solution_is_refused_for_an_ammonium_fixer() {
    for composition in [json!([{"substance": "ammonium_thiosulfate"}]), json!([])] {
        let mut request = alkaline_fixer();
        request["batch"]["composition"] = composition;
        let plans = answer(&request, &estimate(45.0, 50.0, 55.0));
        assert!(refusal_of(&plans, ProcessName::BorohydrideReduction).contains("ammonia"));
    }
}

#[test]
fn metal_is_made_of_nothing_but_washed_chloride_and_says_why() {
    let silver = estimate(45.0, 50.0, 55.0);
    for (request, words) in [
        (alkaline_fixer(), "This is a fixer"),
        (bath(), "salt it first"),
        (
            asked(json!({"id": "w", "kind": "wipes_and_filters"})),
            "a sludge",
        ),
        (chloride(json!([])), "state silver_chloride"),
        (
            chloride(json!([{"substance": "silver_sulfide"}])),
            "silver sulfide",
        ),
    ] {
        let plans = answer(&request, &silver);
        for process in REDUCTIONS {
            let reason = set_aside(&plans, process);
            assert!(reason.contains(words), "{process:?}: {reason}");
        }
    }
    let mixed = chloride(json!([{"substance": "silver_chloride"}, {"substance": "silver_iodide"}]));
    let plans = answer(&mixed, &silver);
    assert!(set_aside(&plans, ProcessName::ChlorideReductionDextrose).contains("iodide"));
    plan(&plans, ProcessName::ChlorideReductionZinc);
}

#[test]
fn a_weighing_of_silver_chloride_says_what_the_sludge_is() {
    let request: Value = asked(json!({"id": "tub", "kind": "sludge", "evidence": [
        {"weighed_solid": {"wet_mass_g": 200, "moisture_percent": 50, "compound": "silver_chloride"}}]}));
    let plans = answer(&request, &estimate(70.0, 75.0, 80.0));
    plan(&plans, ProcessName::ChlorideReductionDextrose);
}

#[test]
fn chloride_of_unknown_weight_is_measured_first() {
    let mut request = washed_chloride();
    request["processes"] = json!(["chloride_reduction_dextrose"]);
    let answer = spent_silver_domain::recovery::plan_recovery(&recovery_common::read(&request))
        .unwrap()
        .result;
    assert!(answer.measure_first.as_ref().unwrap().contains("weigh it"));
    assert!(
        plan(&answer, ProcessName::ChlorideReductionDextrose)
            .reagents
            .is_empty()
    );
}

#[test]
fn reagents_without_a_constant_give_no_floor_no_residual_and_no_yield() {
    let answer = full_answer(&alkaline_fixer(), &estimate(45.0, 50.0, 55.0));
    for process in BY_THE_ATOMS {
        let plan = plan(&answer.result, process);
        assert!(plan.equilibrium_floor.is_none());
        assert!(plan.practical_residual.is_none());
        assert!(plan.silver_recovered.is_none());
        assert!(!plan.offered_by_default && plan.means.len() > 1);
        assert_ne!(answer.result.recommended, Some(process));
    }
    assert!(
        answer
            .warnings
            .iter()
            .filter(|w| w.text.contains("no equilibrium constant"))
            .count()
            == 3
    );
}

#[test]
fn reagents_without_a_constant_say_what_their_ph_is_for() {
    let silver = estimate(45.0, 50.0, 55.0);
    for (process, too_low, high_enough, words) in [
        (
            ProcessName::TrimercaptotriazinePrecipitation,
            "5.4",
            "5.7",
            "5.5",
        ),
        (
            ProcessName::DithioniteReduction,
            "4.9",
            "5.2",
            "sulfur dioxide",
        ),
        (ProcessName::BorohydrideReduction, "7.9", "8.2", "hydrogen"),
    ] {
        let mut request = alkaline_fixer();
        request["batch"]["ph"] = json!({"value": too_low, "standard_uncertainty": "0.05"});
        assert!(set_aside(&answer(&request, &silver), process).contains(words));
        request["batch"]["ph"] = json!({"value": high_enough, "standard_uncertainty": "0.05"});
        plan(&answer(&request, &silver), process);
        request["batch"].as_object_mut().unwrap().remove("ph");
        assert!(set_aside(&answer(&request, &silver), process).contains("pH was not given"));
        assert!(set_aside(&answer(&bath(), &silver), process).contains("salted"));
        let mut few = alkaline_fixer();
        few["means"] = json!(["scale"]);
        assert!(set_aside(&answer(&few, &silver), process).contains("training"));
    }
    let mut hardened = alkaline_fixer();
    hardened["batch"]["composition"] =
        json!([{"substance": "sodium_thiosulfate"}, {"substance": "alum"}]);
    assert!(
        set_aside(
            &answer(&hardened, &silver),
            ProcessName::TrimercaptotriazinePrecipitation
        )
        .contains("alum")
    );
}

#[test]
fn resin_is_sized_on_the_charges_that_go_on_to_it() {
    let plans = answer(&wash(), &estimate(8.0, 10.0, 10.78682));
    let plan = plan(&plans, ProcessName::IonExchange);
    // 0.1 mol of silver at the upper end takes 3 charges each: 0.3 mol. 250 g of sodium thiosulfate
    // (158.11 g/mol) are 1.5812 mol, of which 0.2 go with the silver: 1.3812 x 2 = 2.7624 mol.
    // 3.0624 mol at 1 mol per litre are 3.0624 L or 2.1437 kg at 0.7 kg per litre.
    near(plan.reagents[0].stoichiometric_g.get(), 2143.7);
    // Two columns of 3.1 L.
    assert_eq!(plan.reagents[0].mass_g.get(), 4340.0);
    assert_eq!(plan.product.wet_g.unwrap().get(), 2170.0);
    // 500 L at 5 and 20 times 3.1 L an hour.
    let time = plan.time.as_ref().unwrap();
    near(time.most_h.get(), 500.0 / 15.5);
    near(time.least_h.get(), 500.0 / 62.0);
    assert!(
        plan.steps
            .iter()
            .all(|s| s.cautions.iter().any(|c| c.contains("Never add acid")))
    );
    assert!(plan.end_test.as_ref().unwrap().contains("laboratory"));
}

#[test]
fn resin_without_a_stated_amount_of_thiosulfate_says_that_it_is_the_least() {
    let mut request = wash();
    request["batch"]["composition"] = json!([{"substance": "sodium_thiosulfate"}]);
    let answer = full_answer(&request, &estimate(8.0, 10.0, 10.78682));
    // 0.3 mol of charges are 0.3 L of resin.
    near(
        plan(&answer.result, ProcessName::IonExchange).reagents[0]
            .stoichiometric_g
            .get(),
        210.0,
    );
    assert!(
        answer
            .assumptions
            .iter()
            .any(|a| a.text.contains("the least that the silver alone takes"))
    );
}

#[test]
fn resin_is_for_dilute_washes_after_fixer_and_says_why_nowhere_else() {
    let silver = estimate(8.0, 10.0, 12.0);
    let mut strong = wash();
    strong["batch"]["composition"] = json!([{"substance": "sodium_thiosulfate", "g_per_l": 8}]);
    let mut thick = wash();
    thick["batch"]["volume_l"] = json!(100);
    let mut no_volume = wash();
    no_volume["batch"]
        .as_object_mut()
        .unwrap()
        .remove("volume_l");
    let mut bleach = wash();
    bleach["batch"]["composition"] =
        json!([{"substance": "sodium_thiosulfate"}, {"substance": "iron_iii_edta"}]);
    for (request, words) in [
        (bath(), "positive ion"),
        (alkaline_fixer(), "fills the resin"),
        (
            asked(
                json!({"id": "d", "kind": "developer", "craft": "film_and_paper", "volume_l": 5}),
            ),
            "not silver-rich",
        ),
        // 8 g/L are 0.0506 mol/L or 0.101 mol of charges: full after ten times its litres.
        (strong, "full after 9.9 L"),
        // 12 g in 100 L.
        (thick, "120 mg/L"),
        (no_volume, "volume_l"),
        (bleach, "iron bleach"),
    ] {
        let reason = set_aside(&answer(&request, &silver), ProcessName::IonExchange);
        assert!(reason.contains(words), "{words}: {reason}");
    }
    let mut bare = wash();
    bare["means"] = json!(["scale"]);
    assert!(set_aside(&answer(&bare, &silver), ProcessName::IonExchange).contains("resin"));
}

#[test]
fn the_wash_after_a_fixer_goes_over_resin_where_there_is_some() {
    let plans = answer(&wash(), &estimate(8.0, 10.0, 12.0));
    assert_eq!(plans.recommended, Some(ProcessName::IonExchange));
}

#[test]
fn chloride_then_metal_conserves_the_silver_from_stage_to_stage() {
    let plans = answer(&bath(), &estimate(50.0, 57.0, 64.0));
    let plan = plan(&plans, ProcessName::ChlorideThenMetal);
    let [salting, reducing] = plan.stages.as_slice() else {
        panic!("two stages");
    };
    assert_eq!(salting.works_on, StageInput::Batch);
    assert_eq!(reducing.works_on, StageInput::Product);
    let g = |x: Option<spent_silver_domain::quantity::ComputedGrams>| x.unwrap().get();
    assert_eq!(g(salting.silver_in_g), 57.0);
    // 10.5 mg/L, the middle of 1 to 20, in one litre.
    near(g(salting.silver_left_g), 0.0105);
    near(
        g(salting.silver_out_g) + g(salting.silver_left_g),
        g(salting.silver_in_g),
    );
    assert_eq!(reducing.silver_in_g, salting.silver_out_g);
    assert_eq!(reducing.silver_out_g, reducing.silver_in_g);
    near(g(reducing.silver_out_g), 56.9895);
    assert_eq!(
        plan.silver_recovered.unwrap().expected_g,
        reducing.silver_out_g.unwrap()
    );
    // Lye and sugar do for the most silver that can be in the chloride: 64 g less 1 mg.
    near(
        plan.reagents[1].stoichiometric_g.get(),
        63.999 * 59.995 / 107.8682,
    );
    assert_eq!(plan.product.form, LotForm::Metal);
    // Salt, then lye, then sugar: the steps follow the stages.
    let mut order: Vec<&str> = plan
        .steps
        .iter()
        .flat_map(|s| &s.adds)
        .map(|a| a.substance.as_str())
        .collect();
    order.dedup();
    assert_eq!(order, ["sodium_chloride", "sodium_hydroxide", "dextrose"]);
}

#[test]
fn chloride_then_metal_has_nothing_to_say_where_salt_has_nothing_to_do() {
    let silver = estimate(45.0, 50.0, 55.0);
    assert!(
        set_aside(
            &answer(&alkaline_fixer(), &silver),
            ProcessName::ChlorideThenMetal
        )
        .contains("saturation index")
    );
    assert!(
        set_aside(
            &answer(&washed_chloride(), &silver),
            ProcessName::ChlorideThenMetal
        )
        .contains("ways of its own")
    );
}

#[test]
fn each_stage_on_the_liquor_takes_what_the_one_before_left() {
    let mut request = alkaline_fixer();
    request["batch"]["ph"] = json!({"value": "6", "standard_uncertainty": "0.05"});
    // 20 L with 100 g.
    let plans = answer(&request, &estimate(95.0, 100.0, 105.0));
    let g = |x: Option<spent_silver_domain::quantity::ComputedGrams>| x.unwrap().get();
    let stages = &plan(&plans, ProcessName::ElectrolysisThenReplacement).stages;
    // Plating stops at 500 mg/L: 10 g in 20 L go to the iron wool, which leaves 35.2 mg/L: 0.704 g.
    near(g(stages[0].silver_out_g), 90.0);
    near(g(stages[1].silver_in_g), 10.0);
    near(g(stages[1].silver_left_g), 0.704);
    near(
        g(stages[0].silver_out_g) + g(stages[1].silver_out_g),
        plan(&plans, ProcessName::ElectrolysisThenReplacement)
            .silver_recovered
            .unwrap()
            .expected_g
            .get(),
    );
    // The second bucket is not counted on for anything.
    let stages = &plan(&plans, ProcessName::MetallicReplacementTwoStage).stages;
    near(g(stages[0].silver_left_g), 11.3);
    assert_eq!(g(stages[1].silver_out_g), 0.0);
    assert!(
        plan(&plans, ProcessName::MetallicReplacement)
            .stages
            .is_empty()
    );
}

#[test]
fn without_a_volume_no_stage_claims_a_figure() {
    let mut request = bath();
    request["batch"].as_object_mut().unwrap().remove("volume_l");
    let plans = answer(&request, &estimate(50.0, 57.0, 64.0));
    let stages = &plan(&plans, ProcessName::ChlorideThenMetal).stages;
    assert!(stages[0].silver_in_g.is_some() && stages[0].silver_out_g.is_none());
    assert!(stages[1].silver_in_g.is_none() && stages[1].silver_out_g.is_none());
}

fn names(rows: &[ComparisonRow]) -> Vec<ProcessName> {
    rows.iter().map(|r| r.process).collect()
}

fn row(plans: &RecoveryPlans, process: ProcessName) -> &ComparisonRow {
    plans
        .comparison
        .iter()
        .find(|r| r.process == process)
        .unwrap()
}

#[test]
fn without_prices_the_lower_residual_stands_first_and_what_is_not_unasked_last() {
    let mut request = bath();
    request["means"] = json!(["scale"]);
    let plans = answer(&request, &estimate(50.0, 57.0, 64.0));
    // 10.5 mg/L, 25.5 mg/L, and shipping, of which no residual is known.
    assert_eq!(
        names(&plans.comparison),
        [
            ProcessName::ChloridePrecipitation,
            ProcessName::CementationCopper,
            ProcessName::ShipLiquid,
        ]
    );
    for (i, row) in plans.comparison.iter().enumerate() {
        assert_eq!(row.rank, i + 1);
        assert_eq!(row.net_value, None);
        assert_eq!(row.allowed_by_rules, None);
    }
    let copper = row(&plans, ProcessName::CementationCopper);
    assert!(copper.why.contains("25.5 mg/L, against 10.5"));
    let ship = row(&plans, ProcessName::ShipLiquid);
    assert_eq!(ship.residual_planned_mg_per_l, None);
    assert!(ship.why.contains("not known"));

    let all = answer(&bath(), &estimate(50.0, 57.0, 64.0));
    assert!(
        row(&all, ProcessName::ChlorideThenMetal)
            .why
            .contains("never taken unasked")
    );
    let asked_for: Vec<bool> = all
        .comparison
        .iter()
        .map(|r| r.offered_by_default)
        .collect();
    assert!(asked_for.windows(2).all(|w| w[0] >= w[1]));
}

#[test]
fn the_higher_net_value_stands_first_whatever_it_leaves() {
    let mut request = bath();
    request["means"] = json!(["scale"]);
    request["price"] = json!({"amount": "1000", "currency": "EUR", "per": "kilogram"});
    request["reagent_prices"] = json!([
        {"substance": "sodium_chloride", "amount_per_kilogram": "500", "currency": "EUR"},
        {"substance": "copper", "amount_per_kilogram": "10", "currency": "EUR"}]);
    let plans = answer(&request, &estimate(50.0, 57.0, 64.0));
    // Salt: 56.9895 g at 1 EUR is 56.99, less 39 g at 0.50: 37.49. Copper: 56.9745 g is 56.97, less
    // 1.5 x 64 x 63.546 / 215.7364 = 28.28, so 29 g at 0.01 or 0.29: 56.68.
    assert_eq!(
        names(&plans.comparison),
        [
            ProcessName::CementationCopper,
            ProcessName::ChloridePrecipitation,
            ProcessName::ShipLiquid,
        ]
    );
    let net: Vec<Option<String>> = plans
        .comparison
        .iter()
        .map(|r| r.net_value.map(|n| n.to_string()))
        .collect();
    assert_eq!(
        net,
        [Some("56.68".to_owned()), Some("37.49".to_owned()), None]
    );
    assert!(
        row(&plans, ProcessName::ChloridePrecipitation)
            .why
            .contains("37.49 against 56.68")
    );
    // Without the price of copper its net value is unknown, and not the whole of its silver.
    request["reagent_prices"].as_array_mut().unwrap().pop();
    let plans = answer(&request, &estimate(50.0, 57.0, 64.0));
    assert_eq!(
        plans.comparison[0].process,
        ProcessName::ChloridePrecipitation
    );
    assert_eq!(row(&plans, ProcessName::CementationCopper).net_value, None);
}

#[test]
fn equal_plans_differ_by_their_hours_and_the_first_says_what_is_below() {
    let mut request = alkaline_fixer();
    request["means"] = json!(["scale"]);
    request["processes"] = json!(["metallic_replacement_two_stage", "metallic_replacement"]);
    request["batch"]["ph"] = json!({"value": "6", "standard_uncertainty": "0.05"});
    let plans = answer(&request, &estimate(95.0, 100.0, 105.0));
    // Both are counted on to leave 565 mg/L; one bucket takes up to 72 hours, two up to 144.
    assert_eq!(
        names(&plans.comparison),
        [
            ProcessName::MetallicReplacement,
            ProcessName::MetallicReplacementTwoStage
        ]
    );
    assert!(plans.comparison[0].why.starts_with("First."));
    assert!(plans.comparison[1].why.contains("144 hours, against 72"));
}

#[test]
fn a_blocked_plan_is_compared_last_and_not_allowed() {
    let mut request = bath();
    request["batch"]["composition"] = json!([{"substance": "ammonium_nitrate"}]);
    let plans = answer(&request, &estimate(50.0, 57.0, 64.0));
    let last = plans.comparison.last().unwrap();
    assert_eq!(last.process, ProcessName::ChlorideThenMetal);
    assert_eq!(last.allowed_by_rules, Some(false));
    assert!(last.rules_text.contains("ammonia") && last.why.contains("forbid"));
}

#[test]
fn rules_that_were_not_read_in_their_own_text_say_neither_yes_nor_no() {
    let mut request = bath();
    request["rule_set"] = json!("us-federal");
    let plans = answer(&request, &estimate(50.0, 57.0, 64.0));
    let salting = row(&plans, ProcessName::ChloridePrecipitation);
    assert_eq!(salting.allowed_by_rules, None);
    assert!(salting.rules_text.contains("261.6"));
    request["rule_set"] = json!("unspecified");
    let plans = answer(&request, &estimate(50.0, 57.0, 64.0));
    assert!(
        row(&plans, ProcessName::ChloridePrecipitation)
            .rules_text
            .contains("ask your waste authority")
    );
}

#[test]
fn the_new_ways_are_dangerous_where_they_are_and_never_the_default() {
    for (request, ways) in [
        (washed_chloride(), &REDUCTIONS),
        (alkaline_fixer(), &BY_THE_ATOMS),
    ] {
        let plans = answer(&request, &estimate(45.0, 50.0, 55.0));
        for process in *ways {
            let plan = plan(&plans, process);
            assert!(!plan.offered_by_default && plan.hazard >= HazardLevel::Moderate);
            for addition in plan.steps.iter().flat_map(|s| &s.adds) {
                assert!(substance(&addition.substance).is_some());
            }
            assert!(
                plan.secondary_waste
                    .iter()
                    .any(|w| w.text.contains("tested by a laboratory"))
            );
            assert!(!plan.troubles.is_empty() && plan.end_test.is_some());
        }
    }
}

#[test]
fn the_notes_of_the_new_ways_point_into_the_result() {
    for request in [washed_chloride(), alkaline_fixer(), bath(), wash()] {
        let answer = full_answer(&request, &estimate(8.0, 10.0, 12.0));
        let result = serde_json::to_value(&answer.result).unwrap();
        for pointer in answer
            .warnings
            .iter()
            .map(|w| &w.about)
            .chain(answer.methods.iter().map(|m| &m.about))
            .chain(answer.assumptions.iter().map(|a| &a.about))
        {
            assert!(result.pointer(pointer).is_some(), "{pointer}");
        }
    }
}
