//! What a plan says, and what it refuses.

use crate::recovery_common;

use recovery_common::{answer, estimate, full_answer, plan, read, set_aside};
use serde_json::{Value, json};
use spent_silver_domain::bibliography::reference;
use spent_silver_domain::estimate::{Agreement, Estimate};
use spent_silver_domain::fault::FaultKind;
use spent_silver_domain::quantity::Computed;
use spent_silver_domain::recovery::{
    HazardLevel, METHODS, Means, PlanEntry, ProcessName, RecoveryPlans, plan_recovery,
    recovery_sources,
};
use std::collections::BTreeSet;

const EVERYTHING: [&str; 6] = [
    "scale",
    "burette",
    "power_supply",
    "extraction",
    "training",
    "pump",
];

fn bath() -> Value {
    json!({"batch": {"id": "bath-1", "kind": "sensitizing_bath", "craft": "collodion", "volume_l": "1"}})
}

fn fixer() -> Value {
    json!({"batch": {"id": "fix-1", "kind": "fixer", "craft": "film_and_paper", "volume_l": "20"}, "means": EVERYTHING})
}

fn unknown() -> Estimate {
    Estimate::unknown(Vec::new(), Agreement::WithinBounds {})
}

/// Every batch kind with every means, in a salted paper studio.
fn everywhere() -> Vec<RecoveryPlans> {
    [
        "sensitizing_bath",
        "fixer",
        "bleach_fix",
        "developer",
        "stop_bath",
        "drip",
        "rinse_water",
    ]
    .iter()
    .flat_map(|kind| {
        ["3.5", "5", "8.5"].map(|ph| {
            answer(
                &json!({
                    "batch": {"id": "b", "kind": kind, "craft": "salted_paper", "volume_l": "10", "ph": ph},
                    "means": EVERYTHING,
                }),
                &estimate(45.0, 50.0, 55.0),
            )
        })
    })
    .collect()
}

#[test]
fn salt_is_dosed_on_the_upper_end_and_not_on_the_figure() {
    let loose = answer(&bath(), &estimate(50.0, 57.0, 64.0));
    let tight = answer(&bath(), &estimate(56.5, 57.0, 57.5));
    let grams = |plans: &RecoveryPlans| {
        plan(plans, ProcessName::ChloridePrecipitation).reagents[0]
            .mass_g
            .get()
    };
    assert!(grams(&loose) > grams(&tight));
    // 64 g silver take 34.7 g salt; a tenth more is 38.1 g, and the scale shows whole grams.
    assert_eq!(grams(&loose), 39.0);
}

#[test]
fn salt_covers_the_silver_and_leaves_the_free_chloride_that_dissolves_least() {
    for (lower, figure, upper) in [
        (50.0, 57.0, 64.0),
        (5.0, 6.0, 7.0),
        (0.5, 1.0, 1.5),
        (1.0, 30.0, 60.0),
    ] {
        let plans = answer(&bath(), &estimate(lower, figure, upper));
        let salt = &plan(&plans, ProcessName::ChloridePrecipitation).reagents[0];
        assert!(
            salt.mass_g.get() / 58.44 >= upper / 107.87,
            "enough salt for {upper} g"
        );
        // Whole grams may put the dose a gram over.
        assert!(
            salt.highest_excess_mol_per_l.unwrap().get() <= 0.3 + 1.0 / 58.44,
            "{lower} to {upper} g: {:?}",
            salt.highest_excess_mol_per_l
        );
    }
}

#[test]
fn a_loose_estimate_gets_its_salt_in_portions_and_is_told_why() {
    let answer = full_answer(&bath(), &estimate(1.0, 30.0, 60.0));
    let salt = &plan(&answer.result, ProcessName::ChloridePrecipitation).reagents[0];
    let first = salt.first_portion_g.expect("a first portion").get();
    assert!(first < salt.mass_g.get());
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.text.contains("0.3 mol/L") && w.text.contains("clear drop"))
    );
    let tight = full_answer(&bath(), &estimate(56.0, 57.0, 58.0));
    assert!(
        plan(&tight.result, ProcessName::ChloridePrecipitation).reagents[0]
            .first_portion_g
            .is_none()
    );
}

#[test]
fn a_trace_of_salt_is_measured_as_salt_water() {
    let plans = answer(
        &json!({"batch": {"id": "rinse", "kind": "rinse_water", "craft": "salted_paper", "volume_l": 20}}),
        &estimate(0.8, 1.0, 1.2),
    );
    let plan = plan(&plans, ProcessName::ChloridePrecipitation);
    let salt = &plan.reagents[0];
    // 1.2 g silver take 0.65 g salt, 0.715 g with the excess: 7.15 mL of a tenth, poured as 10 mL.
    assert_eq!(salt.solution_ml.unwrap().get(), 10.0);
    assert_eq!(salt.mass_g.get(), 1.0);
    assert!(
        plan.steps
            .iter()
            .any(|s| s.action.contains("too little for the scale"))
    );
    assert!(
        plan.steps[2].check.as_ref().unwrap().contains("stop here"),
        "a rinse of unknown descent is tried before it is salted"
    );
}

#[test]
fn the_end_of_salting_is_the_clear_drop() {
    let plans = answer(&bath(), &estimate(50.0, 57.0, 64.0));
    let plan = plan(&plans, ProcessName::ChloridePrecipitation);
    assert!(plan.end_test.as_ref().unwrap().contains("clear drop"));
    let drop = plan
        .steps
        .iter()
        .find(|s| s.action.contains("clear drop") && !s.adds.is_empty())
        .expect("a step for the drop that can add salt");
    assert!(drop.check.is_some());
    assert!(drop.cautions.iter().any(|c| c.contains("dissolves again")));
}

#[test]
fn every_silver_nitrate_step_has_goggles_and_eye_rinse() {
    let mut request = bath();
    request["batch"]["craft"] = json!("salted_paper");
    request["batch"]["ph"] = json!("4.5");
    request["means"] = json!(EVERYTHING);
    let plans = answer(&request, &estimate(50.0, 57.0, 64.0));
    for process in [
        ProcessName::ChloridePrecipitation,
        ProcessName::CementationCopper,
        ProcessName::CementationZinc,
    ] {
        for step in &plan(&plans, process).steps {
            assert!(
                step.cautions
                    .iter()
                    .any(|c| c.contains("oggles") && c.contains("eye rinse")),
                "{process:?}: {}",
                step.action
            );
        }
    }
}

#[test]
fn every_fixer_step_says_never_acid_and_iron_wool_is_vented_and_never_dried() {
    let plans = answer(&fixer(), &estimate(100.0, 120.0, 140.0));
    for process in [
        ProcessName::Electrolysis,
        ProcessName::ElectrolysisThenReplacement,
        ProcessName::MetallicReplacement,
        ProcessName::MetallicReplacementTwoStage,
    ] {
        for step in &plan(&plans, process).steps {
            assert!(
                step.cautions.iter().any(|c| c.contains("Never add acid")),
                "{process:?}: {}",
                step.action
            );
        }
    }
    for process in [
        ProcessName::MetallicReplacement,
        ProcessName::MetallicReplacementTwoStage,
        ProcessName::ElectrolysisThenReplacement,
    ] {
        let steps = &plan(&plans, process).steps;
        for step in steps.iter().filter(|s| !s.adds.is_empty()) {
            assert!(
                step.cautions
                    .iter()
                    .any(|c| c.contains("hydrogen") && c.contains("vented"))
            );
        }
        let keeping = steps.last().unwrap();
        assert!(keeping.action.contains("never dry") && keeping.action.contains("vents"));
    }
}

#[test]
fn two_buckets_take_twice_the_wool_and_two_additions() {
    let plans = answer(&fixer(), &estimate(100.0, 120.0, 140.0));
    let one = plan(&plans, ProcessName::MetallicReplacement);
    let two = plan(&plans, ProcessName::MetallicReplacementTwoStage);
    assert_eq!(
        two.reagents[0].mass_g.get(),
        2.0 * one.reagents[0].mass_g.get()
    );
    let additions = |p: &spent_silver_domain::recovery::RecoveryPlan| {
        p.steps.iter().map(|s| s.adds.len()).sum::<usize>()
    };
    assert_eq!((additions(one), additions(two)), (1, 2));
}

#[test]
fn salt_in_fixer_is_set_aside_with_its_number() {
    let plans = answer(&fixer(), &estimate(100.0, 120.0, 140.0));
    let reason = set_aside(&plans, ProcessName::ChloridePrecipitation);
    assert!(reason.contains("holds the silver") && reason.contains("0 or more"));
    let entry = plans
        .not_applicable
        .iter()
        .find(|n| n.process == ProcessName::ChloridePrecipitation)
        .unwrap();
    let found = entry.number.as_ref().unwrap().found.get();
    assert!(found < -3.0 && found > -8.0, "{found}");
}

#[test]
fn no_current_goes_into_a_bath_that_may_hold_alcohol() {
    let mut request = bath();
    request["means"] = json!(EVERYTHING);
    let plans = answer(&request, &estimate(50.0, 57.0, 64.0));
    for process in [
        ProcessName::Electrolysis,
        ProcessName::ElectrolysisThenReplacement,
    ] {
        assert!(set_aside(&plans, process).contains("alcohol"));
    }
    assert!(set_aside(&plans, ProcessName::CementationZinc).contains("alcohol"));
}

#[test]
fn iron_wool_is_set_aside_where_the_fixer_is_too_acid() {
    let mut request = fixer();
    for (ph, reading) in [
        ("3.5", json!({"value": "3.6", "plus_minus": "0.1"})),
        ("3", json!({"between": ["3", "5"]})),
    ] {
        request["batch"]["ph"] = reading;
        let plans = answer(&request, &estimate(100.0, 120.0, 140.0));
        assert!(set_aside(&plans, ProcessName::MetallicReplacement).contains(ph));
        let entry = plans
            .not_applicable
            .iter()
            .find(|n| n.process == ProcessName::MetallicReplacement)
            .unwrap();
        assert_eq!(entry.number.as_ref().unwrap().limit.unwrap().get(), 4.0);
    }
    request["batch"]["ph"] = json!({"between": ["4", "5"]});
    plan(
        &answer(&request, &estimate(100.0, 120.0, 140.0)),
        ProcessName::MetallicReplacement,
    );
}

#[test]
fn sulfide_is_given_only_in_a_measured_alkali_and_never_recommended() {
    let mut request = fixer();
    let silver = estimate(100.0, 120.0, 140.0);
    assert!(
        set_aside(
            &answer(&request, &silver),
            ProcessName::SulfidePrecipitation
        )
        .contains("pH")
    );
    request["batch"]["ph"] = json!("7.9");
    assert!(
        set_aside(
            &answer(&request, &silver),
            ProcessName::SulfidePrecipitation
        )
        .contains("8")
    );
    // pH paper may be half a unit off, and hydrogen sulfide kills.
    request["batch"]["ph"] = json!("8.2");
    let on_paper = full_answer(&request, &silver);
    assert!(set_aside(&on_paper.result, ProcessName::SulfidePrecipitation).contains("7.7"));
    assert!(on_paper.assumptions.iter().any(|a| a.field == "/batch/ph"));
    request["batch"]["ph"] = json!({"value": "8.2", "standard_uncertainty": "0.05"});
    request["processes"] = json!(["sulfide_precipitation"]);
    let plans = answer(&request, &silver);
    assert_eq!(
        plan(&plans, ProcessName::SulfidePrecipitation).hazard,
        HazardLevel::High
    );
    assert_eq!(plans.recommended, None);
}

#[test]
fn the_dangerous_ways_are_never_the_default() {
    for plans in everywhere() {
        for entry in &plans.plans {
            if let PlanEntry::Plan(plan) = entry
                && matches!(
                    plan.process,
                    ProcessName::SulfidePrecipitation | ProcessName::CementationZinc
                )
            {
                assert!(!plan.offered_by_default);
                assert_ne!(plans.recommended, Some(plan.process));
            }
        }
    }
}

#[test]
fn a_bath_is_best_salted_and_a_fixer_best_plated_or_else_put_on_iron() {
    let silver = estimate(100.0, 120.0, 140.0);
    assert_eq!(
        answer(&bath(), &silver).recommended,
        Some(ProcessName::ChloridePrecipitation)
    );
    let mut request = fixer();
    assert_eq!(
        answer(&request, &silver).recommended,
        Some(ProcessName::ElectrolysisThenReplacement)
    );
    request["means"] = json!(["scale"]);
    assert_eq!(
        answer(&request, &silver).recommended,
        Some(ProcessName::MetallicReplacementTwoStage)
    );
}

#[test]
fn without_means_a_scale_is_assumed_and_the_rest_says_what_it_needs() {
    let mut request = fixer();
    request.as_object_mut().unwrap().remove("means");
    let answer = full_answer(&request, &estimate(100.0, 120.0, 140.0));
    assert!(answer.assumptions.iter().any(|a| a.field == "/means"));
    let entry = answer
        .result
        .not_applicable
        .iter()
        .find(|n| n.process == ProcessName::Electrolysis)
        .unwrap();
    assert_eq!(entry.needs, [Means::PowerSupply, Means::Extraction]);
    for entry in &answer.result.plans {
        if let PlanEntry::Plan(plan) = entry {
            assert_eq!(plan.means, [Means::Scale]);
        }
    }
}

#[test]
fn cyanide_has_one_answer_whatever_is_asked() {
    for batch in [
        json!({"id": "kcn", "kind": "cyanide_fixer", "volume_l": 2}),
        json!({"id": "fix", "kind": "fixer", "craft": "collodion", "volume_l": 2}),
    ] {
        let request = json!({"batch": batch, "means": EVERYTHING});
        let answer = full_answer(&request, &estimate(5.0, 6.0, 7.0));
        let plans = &answer.result;
        assert!(plans.plans.is_empty() && plans.recommended.is_none());
        assert_eq!(plans.not_applicable.len(), 17);
        let refusal = plans.refusal.as_ref().unwrap();
        let instead = refusal.instead.join(" ");
        assert!(
            instead.contains("closed") && instead.contains("alkaline") && instead.contains("apart")
        );
        assert!(refusal.call.join(" ").contains("icensed"));
        assert!(refusal.never.join(" ").contains("iron sulfate"));
    }
}

#[test]
fn cyanide_is_refused_even_when_its_evidence_is_not_usable() {
    // A titration is refused for a cyanide liquid; the safety answer must not wait for it.
    let request = read(
        &json!({"batch": {"id": "kcn", "kind": "cyanide_fixer", "volume_l": 2, "evidence": [
        {"volhard_titration": {"sample_ml": 5, "thiocyanate_mol_per_l": "0.1", "titre_ml": 12}}]}}),
    );
    let answer = plan_recovery(&request).unwrap();
    assert!(answer.result.refusal.is_some());
}

#[test]
fn ammoniacal_silver_is_acted_on_today_and_gets_no_plan() {
    let request = json!({"batch": {"id": "amm", "kind": "ammoniacal_silver", "volume_l": 1}, "means": EVERYTHING});
    let plans = answer(&request, &estimate(5.0, 6.0, 7.0));
    assert!(plans.plans.is_empty());
    let act = plans.act_today.unwrap();
    assert!(act.act.join(" ").contains("salt water"));
    assert!(!act.never.is_empty());
}

#[test]
fn what_belongs_in_a_jug_of_its_own_is_refused() {
    for kind in ["toner", "intensifier_or_reducer", "collodion_or_solvent"] {
        let plans = answer(
            &json!({"batch": {"id": "x", "kind": kind, "volume_l": 1}, "means": EVERYTHING}),
            &estimate(5.0, 6.0, 7.0),
        );
        assert!(plans.plans.is_empty() && plans.refusal.is_some(), "{kind}");
    }
}

#[test]
fn a_bath_with_the_wrong_thing_in_it_is_refused() {
    for (substance, words) in [
        ("mercuric_chloride", "mercury"),
        ("potassium_dichromate", "chrom"),
        ("sodium_selenite", "selenium"),
        ("lead_nitrate", "lead"),
        ("gold_chloride", "gold"),
        ("oxalic_acid", "oxalate"),
        ("hydrogen_peroxide", ""),
        ("a_secret_powder", "do not know"),
    ] {
        let mut request = bath();
        request["batch"]["composition"] = json!([{"substance": substance}]);
        request["means"] = json!(EVERYTHING);
        let plans = answer(&request, &estimate(50.0, 57.0, 64.0));
        assert!(plans.plans.is_empty(), "{substance}");
        let reason = plans
            .refusal
            .map(|r| r.reason)
            .or(plans.act_today.map(|d| d.reason))
            .unwrap()
            .to_lowercase();
        // Which word names an oxidizer is left to the rule that stops it.
        assert!(reason.contains(words), "{substance}: {reason}");
    }
}

#[test]
fn a_solid_and_an_unused_chemical_have_no_liquid_to_work_on() {
    for kind in [
        "sludge",
        "wipes_and_filters",
        "film_and_paper",
        "glass_plates",
        "spent_cartridge",
        "spill_residue",
        "unused_chemical",
    ] {
        let plans = answer(
            &json!({"batch": {"id": "x", "kind": kind}, "means": EVERYTHING}),
            &estimate(5.0, 6.0, 7.0),
        );
        assert!(plans.plans.is_empty(), "{kind}");
        assert_eq!(plans.not_applicable.len(), 17, "{kind}");
    }
}

#[test]
fn without_a_figure_the_plans_say_measure_first_and_give_no_dose() {
    let contradiction = Estimate::unknown(
        Vec::new(),
        Agreement::Contradiction {
            reason: "the strip says below 2 g/L, the titration 6 g/L".to_owned(),
        },
    );
    let mut unbounded = estimate(5.0, 6.0, 7.0);
    unbounded.silver_g = None;
    unbounded.interval_95_g.as_mut().unwrap().upper = None;
    for (estimate, words) in [
        (unknown(), "Nothing is known"),
        (contradiction, "the strip says"),
        (unbounded, "at least"),
    ] {
        for request in [bath(), fixer()] {
            let plans = answer(&request, &estimate);
            assert!(plans.measure_first.as_ref().unwrap().contains(words));
            assert_eq!(plans.recommended, None);
            for entry in &plans.plans {
                let PlanEntry::Plan(plan) = entry else {
                    continue;
                };
                assert!(plan.reagents.is_empty() && plan.charge.is_none());
                assert!(plan.steps.iter().all(|s| s.adds.is_empty()));
                if plan.process != ProcessName::ShipLiquid {
                    assert!(plan.measure_first.is_some());
                }
            }
        }
    }
}

#[test]
fn no_evidence_is_a_plan_to_measure_first() {
    let answer = plan_recovery(&read(&bath())).unwrap();
    assert!(answer.result.measure_first.is_some());
    assert!(answer.result.estimate.is_none());
}

#[test]
fn the_silver_recovered_lies_within_the_silver_and_closes_the_balance() {
    let (lower, figure, upper) = (45.0, 50.0, 55.0);
    for plans in everywhere() {
        for entry in &plans.plans {
            let PlanEntry::Plan(plan) = entry else {
                continue;
            };
            let Some(out) = plan.silver_recovered else {
                continue;
            };
            assert!(out.lower_g <= out.expected_g && out.expected_g <= out.upper_g);
            assert!(out.lower_g.get() <= lower && out.upper_g.get() <= upper);
            let Some(residual) = plan.practical_residual.as_ref() else {
                assert_eq!(out.expected_g.get(), figure);
                continue;
            };
            // Ten litres: what stays is the residual's range in hundredths of a gram per mg/L.
            let left = figure - out.expected_g.get();
            assert!(left >= residual.low_mg_per_l.get() / 100.0 - 1e-9);
            assert!(left <= residual.high_mg_per_l.get() / 100.0 + 1e-9);
        }
    }
}

#[test]
fn a_liquid_thinner_than_what_a_way_leaves_is_set_aside_with_the_number() {
    let mut request = fixer();
    // 20 L with 0.1 g: 5 mg/L, and the best iron wool in the field left 7.2 mg/L.
    let thin = answer(&request, &estimate(0.05, 0.075, 0.1));
    assert!(set_aside(&thin, ProcessName::MetallicReplacement).contains("7.2"));
    // 0.4 g/L: nothing to plate before the stop at 0.5 g/L.
    let low = answer(&request, &estimate(7.0, 8.0, 9.0));
    assert!(set_aside(&low, ProcessName::Electrolysis).contains("0.5"));
    request["batch"].as_object_mut().unwrap().remove("volume_l");
    let no_volume = answer(&request, &estimate(100.0, 120.0, 140.0));
    assert!(set_aside(&no_volume, ProcessName::Electrolysis).contains("volume_l"));
}

#[test]
fn no_plan_calls_its_liquor_safe_to_pour_away() {
    for plans in everywhere() {
        for entry in &plans.plans {
            let PlanEntry::Plan(plan) = entry else {
                continue;
            };
            assert!(
                plan.secondary_waste
                    .iter()
                    .any(|w| w.text.contains("tested by a laboratory")),
                "{:?}",
                plan.process
            );
            let text = serde_json::to_string(plan).unwrap().to_lowercase();
            for word in ["dischargeable", "safe to pour", "may be poured"] {
                assert!(!text.contains(word), "{:?} says {word}", plan.process);
            }
        }
    }
}

#[test]
fn the_floor_stands_beside_the_practical_residual_or_says_why_there_is_none() {
    for plans in everywhere() {
        for entry in &plans.plans {
            let PlanEntry::Plan(plan) = entry else {
                continue;
            };
            if plan.process == ProcessName::ShipLiquid || plan.measure_first.is_some() {
                assert!(plan.equilibrium_floor.is_none());
                continue;
            }
            assert!(plan.practical_residual.is_some() || plan.floor_unknown.is_some());
            assert!(
                plan.equilibrium_floor.is_some() != plan.floor_unknown.is_some(),
                "{:?}",
                plan.process
            );
        }
    }
}

#[test]
fn costs_are_exact_and_currencies_do_not_mix() {
    let mut request = bath();
    request["reagent_prices"] = json!([{"substance": "sodium_chloride", "amount_per_kilogram": "12.50", "currency": "EUR"}]);
    request["price"] = json!({"amount": "1000", "currency": "EUR", "per": "kilogram"});
    let silver = estimate(50.0, 57.0, 64.0);
    let plans = answer(&request, &silver);
    let cost = plan(&plans, ProcessName::ChloridePrecipitation)
        .cost
        .as_ref()
        .unwrap();
    // 39 g at 12.50 per kg is 0.4875.
    assert_eq!(cost.lines[0].amount.to_string(), "0.49");
    assert_eq!(cost.total.unwrap().to_string(), "0.49");
    // 57 g less 10.5 mg/L in one litre.
    assert_eq!(cost.metal_value.unwrap().to_string(), "56.99");
    let copper = plan(&plans, ProcessName::CementationCopper)
        .cost
        .as_ref()
        .unwrap();
    assert_eq!(copper.without_price, ["copper"]);
    assert_eq!(copper.total, None);

    request["shipping"] = json!({"fixed": "30", "per_litre": "2.5", "currency": "EUR"});
    let plans = answer(&request, &silver);
    let ship = plan(&plans, ProcessName::ShipLiquid).cost.as_ref().unwrap();
    assert_eq!(ship.total.unwrap().to_string(), "32.50");

    request["shipping"]["currency"] = json!("USD");
    let faults = plan_recovery(&read(&request)).unwrap_err();
    let fault = &faults.list()[0];
    assert_eq!(fault.kind, FaultKind::MixedCurrencies);
    assert_eq!(fault.pointer, "/shipping/currency");
}

#[test]
fn faults_name_their_field() {
    for (member, value, pointer) in [
        ("current_a", json!(0), "/current_a"),
        (
            "current_efficiency_percent",
            json!(0),
            "/current_efficiency_percent",
        ),
        ("processes", json!([]), "/processes"),
        ("means", json!(vec!["scale"; 21]), "/means"),
        (
            "reagent_prices",
            json!(vec![
                json!({"substance": "zinc", "amount_per_kilogram": 1, "currency": "USD"});
                2
            ]),
            "/reagent_prices/1/substance",
        ),
    ] {
        let mut request = bath();
        request[member] = value;
        let faults = plan_recovery(&read(&request)).unwrap_err();
        assert_eq!(faults.list()[0].pointer, pointer);
    }
    let mut request = bath();
    request["batch"]["volume_l"] = json!(0);
    let faults = plan_recovery(&read(&request)).unwrap_err();
    assert_eq!(faults.list()[0].pointer, "/batch/volume_l");
}

#[test]
fn unknown_members_and_unknown_names_are_refused() {
    for bad in [
        json!({"batch": {"id": "b", "kind": "fixer"}, "means": ["furnace"]}),
        json!({"batch": {"id": "b", "kind": "fixer"}, "processes": ["melting"]}),
        json!({"batch": {"id": "b", "kind": "fixer"}, "current": 3}),
    ] {
        assert!(
            serde_json::from_str::<spent_silver_domain::recovery::RecoveryPlansRequest>(
                &bad.to_string()
            )
            .is_err(),
            "{bad}"
        );
    }
}

#[test]
fn only_the_ways_asked_for_are_considered() {
    let mut request = bath();
    request["processes"] = json!(["chloride_precipitation", "electrolysis"]);
    let plans = answer(&request, &estimate(50.0, 57.0, 64.0));
    assert_eq!(plans.plans.len(), 1);
    assert_eq!(plans.not_applicable.len(), 1);
}

/// The cell is stopped at 0.5 g of silver in a litre (common practice, no source), so of 120 g in 20 L
/// it plates 110 g; what the wool takes after it is no flake.
#[test]
fn a_flake_holds_what_the_cell_plated_and_not_what_the_wool_took() {
    let mut request = fixer();
    request["current_a"] = json!(3);
    let plans = answer(&request, &estimate(119.0, 120.0, 121.0));
    let both = plan(&plans, ProcessName::ElectrolysisThenReplacement);
    assert!(
        both.product
            .next
            .contains("it holds the 110 g of silver that the cell plated"),
        "{}",
        both.product.next
    );
    let dry = both.product.dry_g.unwrap().get();
    let least = both.product.silver_low_percent.unwrap().get();
    let most = both.product.silver_high_percent.unwrap().get();
    assert!(
        dry * least / 100.0 <= 110.0
            && 110.0 <= dry * most / 100.0
            && dry < 120.0 / (least / 100.0),
        "{dry} g of {least} to {most} %"
    );
}

#[test]
fn a_bare_efficiency_spreads_and_a_better_one_is_faster() {
    let mut request = fixer();
    request["current_a"] = json!(3);
    let silver = estimate(119.0, 120.0, 121.0);
    let mut last = f64::INFINITY;
    for efficiency in ["50", "70", "95"] {
        request["current_efficiency_percent"] = json!(efficiency);
        let plans = answer(&request, &silver);
        let time = plan(&plans, ProcessName::Electrolysis)
            .time
            .clone()
            .unwrap();
        let expected = time.expected_h.unwrap();
        assert!(time.least_h < expected && expected < time.most_h);
        assert!(expected.get() < last);
        last = expected.get();
    }
}

#[test]
fn amounts_are_what_the_scale_can_weigh() {
    let mut request = bath();
    request["batch"]["scale_resolution_g"] = json!("0.1");
    let plans = answer(&request, &estimate(50.0, 57.0, 64.0));
    let fine = plan(&plans, ProcessName::ChloridePrecipitation).reagents[0].mass_g;
    // 38.14 g rounded up to tenths.
    assert_eq!(serde_json::to_value(fine).unwrap(), json!("38.2"));
    request["batch"]["scale_resolution_g"] = json!("5");
    let plans = answer(&request, &estimate(500.0, 570.0, 640.0));
    let coarse = plan(&plans, ProcessName::ChloridePrecipitation).reagents[0].mass_g;
    assert_eq!(coarse, Computed::of(385.0));
}

#[test]
fn every_source_of_the_plans_is_in_the_bibliography() {
    let used: BTreeSet<&str> = recovery_sources()
        .into_iter()
        .chain(METHODS.iter().map(|m| m.source))
        .collect();
    for key in &used {
        assert!(reference(key).is_some(), "{key}");
    }
    let listed = include_str!("../data/bibliography/recovery.toml")
        .lines()
        .filter_map(|line| line.strip_prefix("key = \""))
        .filter_map(|rest| rest.strip_suffix('"'));
    for key in listed {
        assert!(used.contains(key), "{key} is cited nowhere");
    }
    let mut requests = vec![bath(), fixer()];
    requests.push(json!({"batch": {"id": "b", "kind": "fixer", "volume_l": 20, "ph": "8.5"}, "means": EVERYTHING}));
    requests.push(
        json!({"batch": {"id": "b", "kind": "developer", "volume_l": 20}, "means": EVERYTHING}),
    );
    for request in requests {
        let answer = full_answer(&request, &estimate(100.0, 120.0, 140.0));
        for key in answer
            .references
            .iter()
            .chain(answer.result.not_applicable.iter().map(|n| &n.source))
        {
            assert!(reference(key).is_some(), "{key}");
        }
    }
}

#[test]
fn every_note_points_into_the_result() {
    for request in [bath(), fixer()] {
        let answer = full_answer(&request, &estimate(100.0, 120.0, 140.0));
        let result = serde_json::to_value(&answer.result).unwrap();
        let pointers = answer
            .warnings
            .iter()
            .map(|w| &w.about)
            .chain(answer.methods.iter().map(|m| &m.about))
            .chain(answer.assumptions.iter().map(|a| &a.about));
        for pointer in pointers {
            assert!(result.pointer(pointer).is_some(), "{pointer}");
        }
    }
}

#[test]
fn readings_in_the_request_are_estimated_and_dosed() {
    // 5.00 mL of bath took 26.5 mL of 0.1 mol/L thiocyanate: 57.2 g of silver in the litre.
    let mut request = bath();
    request["batch"]["volume_l"] = json!({"value": 1, "standard_uncertainty": "0.01"});
    request["batch"]["evidence"] = json!([{"volhard_titration":
        {"sample_ml": 5, "thiocyanate_mol_per_l": "0.1", "titre_ml": "26.5"}}]);
    let answer = plan_recovery(&read(&request)).unwrap();
    let estimate = answer.result.estimate.as_ref().unwrap();
    assert!((estimate.figure().unwrap().0 - 57.17).abs() < 0.02);
    let salt = &plan(&answer.result, ProcessName::ChloridePrecipitation).reagents[0];
    assert!(
        (salt.stoichiometric_g.get() - estimate.upper_g().unwrap() * 58.44 / 107.868).abs() < 1e-3
    );
    let result = serde_json::to_value(&answer.result).unwrap();
    for pointer in answer
        .assumptions
        .iter()
        .map(|a| &a.about)
        .chain(answer.methods.iter().map(|m| &m.about))
        .filter(|p| !p.is_empty())
    {
        assert!(result.pointer(pointer).is_some(), "{pointer}");
    }
}

#[test]
fn absurd_but_finite_silver_still_gives_finite_plans() {
    for (lower, figure, upper) in [(0.0, 1e-12, 2e-12), (1e8, 5e8, 9e8), (0.0, 0.0, 0.0)] {
        for request in [bath(), fixer()] {
            let plans = answer(&request, &estimate(lower, figure, upper));
            let text = serde_json::to_string(&plans).unwrap();
            assert!(!text.contains("NaN") && !text.contains("inf\""));
        }
    }
}
