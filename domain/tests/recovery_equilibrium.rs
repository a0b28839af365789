//! What solved equilibria add to recovery plans, against figures and laws from outside.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use crate::recovery_common;

use recovery_common::{answer, estimate, full_answer, plan, read, set_aside};
use serde_json::{Value, json};
use spent_silver_domain::chemistry::liquor::{bring_to_ph, mixture_of};
use spent_silver_domain::chemistry::reagent::Reagent;
use spent_silver_domain::chemistry::species::Component;
use spent_silver_domain::chemistry::system::{Mixture, System};
use spent_silver_domain::estimate::Estimate;
use spent_silver_domain::recovery::{PlanEntry, ProcessName, RecoveryPlan, RecoveryPlans};
use spent_silver_domain::report::{ReportRequest, report_studio};

const EVERYTHING: [&str; 6] = [
    "scale",
    "burette",
    "power_supply",
    "extraction",
    "training",
    "pump",
];

fn bath(volume_l: &str) -> Value {
    json!({"batch": {"id": "bath", "kind": "sensitizing_bath", "craft": "salted_paper",
        "volume_l": volume_l, "ph": "4"}, "means": EVERYTHING})
}

fn fixer(ph: &str, composition: &Value) -> Value {
    json!({"batch": {"id": "fix", "kind": "fixer", "craft": "film_and_paper", "volume_l": "10",
        "ph": ph, "composition": composition}, "means": EVERYTHING, "current_a": "2"})
}

fn exactly(silver_g: f64) -> Estimate {
    estimate(0.98 * silver_g, silver_g, 1.02 * silver_g)
}

fn all_plans(plans: &RecoveryPlans) -> impl Iterator<Item = &RecoveryPlan> {
    plans.plans.iter().filter_map(|entry| match entry {
        PlanEntry::Plan(plan) => Some(plan.as_ref()),
        PlanEntry::Refused(_) => None,
    })
}

/// log10 of an activity coefficient by the Davies equation as textbooks print it, A = 0.509.
fn davies(charge: f64, ionic_strength: f64) -> f64 {
    let root = ionic_strength.sqrt();
    -0.509 * charge * charge * (root / (1.0 + root) - 0.3 * ionic_strength)
}

#[test]
fn a_washing_takes_what_the_handbooks_say_that_water_dissolves() {
    let plans = answer(&bath("2"), &exactly(100.0));
    let plan = plan(&plans, ProcessName::ChloridePrecipitation);
    assert_eq!(plan.wash_losses.len(), 3);
    for (loss, number) in plan.wash_losses.iter().zip(1..) {
        assert_eq!(loss.washing, number);
        let silver_chloride = loss.silver_mg.get() / loss.water_l.get() / 0.752_63;
        // Silver chloride in water at 25 °C: 1.9 mg/L (Ksp 1.8e-10, as textbooks print it; 1.5 mg/L at
        // 20 °C in an old handbook of agricultural analysis).
        assert!((silver_chloride - 1.9).abs() < 0.1, "{silver_chloride}");
    }
}

#[test]
fn the_least_silver_is_where_the_textbook_curve_has_its_minimum() {
    // D. Harvey, Modern Analytical Chemistry (2000), figure 8.1: silver chloride dissolves least
    // between pCl 2 and 3, and more on either side.
    for silver_g in [2.0, 20.0, 100.0] {
        let plans = answer(&bath("2"), &exactly(silver_g));
        let curve = plan(&plans, ProcessName::ChloridePrecipitation)
            .dose_curve
            .as_ref()
            .unwrap();
        let salt_g = curve.least.added_g.get();
        let litres = 2.0 + salt_g * 10.0 / 1000.0;
        let free = (salt_g / 58.44 - silver_g / 107.868) / litres;
        let p_cl = -free.log10();
        assert!(p_cl > 2.0 && p_cl < 3.0, "{silver_g} g: pCl {p_cl}");
    }
}

#[test]
fn the_minimum_of_the_curve_is_where_a_fine_scan_finds_it() {
    let request = bath("2");
    let batch = read(&request).batch;
    let silver_g = 60.0;
    let plans = answer(&request, &exactly(silver_g));
    let curve = plan(&plans, ProcessName::ChloridePrecipitation)
        .dose_curve
        .clone()
        .unwrap();

    let system = System::at_25_c();
    let mut liquor = mixture_of(&batch, 2.0, silver_g, "/batch").mixture;
    bring_to_ph(system, &mut liquor, 4.0).unwrap();
    let salt = Reagent::parse("NaCl").unwrap();
    let residual = |salt_g: f64| {
        let mut dosed: Mixture = liquor.clone();
        dosed.add(&salt, salt_g / 58.43977);
        // The plan's brine: 10 mL of water for each gram, within 2 %.
        dosed.water_kg += 0.01 * salt_g;
        let answer = system.solve(&dosed).unwrap();
        answer.dissolved_silver() * 107_868.2
    };
    let exact = silver_g * 58.43977 / 107.8682;
    let (best, least) = (0..4000)
        .map(|i| exact * (1.0 + 0.1 * f64::from(i) / 4000.0))
        .map(|g| (g, residual(g)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap();
    assert!((curve.least.added_g.get() / best - 1.0).abs() < 1e-3);
    assert!((curve.least.residual_silver_mg_per_l.get() / least - 1.0).abs() < 5e-3);
    for point in &curve.points {
        let (found, here) = (
            point.residual_silver_mg_per_l.get(),
            residual(point.added_g.get()),
        );
        assert!((found / here - 1.0).abs() < 0.02, "{point:?}: {here}");
    }
    // Twice the residual of the advised dose at the end of the safe range.
    let safe = curve.safe_up_to_g.unwrap().get();
    let twice = 2.0 * residual(curve.advised.added_g.get());
    assert!((residual(safe) / twice - 1.0).abs() < 0.02);
    assert!(curve.doubled_at_g.unwrap() < curve.safe_up_to_g.unwrap());
    let end_test = plan(&plans, ProcessName::ChloridePrecipitation)
        .end_test
        .clone()
        .unwrap();
    assert!(end_test.contains("no cloud forms") && end_test.contains("Then stop"));
}

#[test]
fn the_curve_shows_too_little_enough_and_too_much() {
    for (request, process, silver_g) in [
        (bath("2"), ProcessName::ChloridePrecipitation, 60.0),
        (bath("20"), ProcessName::ChloridePrecipitation, 3.0),
        (
            fixer("8.6", &json!([])),
            ProcessName::SulfidePrecipitation,
            30.0,
        ),
    ] {
        let plans = answer(&request, &exactly(silver_g));
        let curve = plan(&plans, process).dose_curve.as_ref().unwrap();
        assert_eq!(curve.points.len(), 41);
        assert!(curve.points.is_sorted_by(|a, b| a.added_g < b.added_g));
        let least = curve.least.residual_silver_mg_per_l.get();
        let (first, last) = (curve.points.first().unwrap(), curve.points.last().unwrap());
        assert!(first.residual_silver_mg_per_l.get() > 100.0 * least);
        assert!(last.residual_silver_mg_per_l.get() > 1.5 * least);
        assert!(last.added_g > curve.least.added_g && last.added_g > curve.advised.added_g);
        for point in &curve.points {
            assert!(point.residual_silver_mg_per_l.get() >= 0.999 * least);
        }
    }
}

#[test]
fn metals_come_to_rest_where_their_standard_potentials_say() {
    // OpenStax, Chemistry 2e, appendix L: Ag+/Ag 0.7996 V, Cu2+/Cu 0.34 V, Zn2+/Zn -0.7618 V.
    let per_decade = 0.05916;
    for (process, potential, molar) in [
        (ProcessName::CementationCopper, 0.34, 63.546),
        (ProcessName::CementationZinc, -0.7618, 65.38),
    ] {
        let mut request = bath("10");
        request["batch"]["ph"] = json!("5");
        let plans = answer(&request, &exactly(5.4));
        let plan = plan(&plans, process);
        let floor = plan.equilibrium_floor.as_ref().unwrap();
        let metal = plan.metal_dissolved.as_ref().unwrap();

        let log_k = 2.0 * (0.7996 - potential) / per_decade;
        let ionic_strength = floor.ionic_strength_mol_per_kg.get();
        let ion = metal.liquor_mg_per_l.get() / 1000.0 / molar;
        let log_silver =
            0.5 * (ion.log10() + davies(2.0, ionic_strength) - log_k) - davies(1.0, ionic_strength);
        let found = (floor.residual_mg_per_l.get() / 107_868.2).log10();
        assert!(
            (found - log_silver).abs() < 0.1,
            "{process:?}: {found} beside {log_silver}"
        );
        assert!((found - log_silver).abs() < floor.factor_95.get().log10());
        // One atom of the metal for two of silver.
        let expected = 5.4 / 107.868 / 2.0 * molar;
        assert!((metal.dissolved_g.get() / expected - 1.0).abs() < 0.01);
        assert!(metal.text.contains("local") && metal.text.contains("ask"));
    }
}

#[test]
fn salt_does_nothing_in_any_fixer_and_the_number_is_its_own() {
    let mut found = Vec::new();
    for composition in [
        json!([]),
        json!([{"substance": "sodium_thiosulfate", "mol_per_l": "0.4"}]),
        json!([{"substance": "sodium_thiosulfate_pentahydrate", "g_per_l": "250"}]),
        json!([{"substance": "ammonium_thiosulfate", "mol_per_l": "0.9"}]),
    ] {
        for silver_g in [5.0, 40.0] {
            let plans = answer(&fixer("5", &composition), &exactly(silver_g));
            let reason = set_aside(&plans, ProcessName::ChloridePrecipitation);
            assert!(reason.contains("0 or more"), "{reason}");
            let number = plans
                .not_applicable
                .iter()
                .find(|n| n.process == ProcessName::ChloridePrecipitation)
                .and_then(|n| n.number.clone())
                .unwrap();
            assert!(number.found.get() < -3.0, "{composition}: {number:?}");
            assert_eq!(number.limit.unwrap().get(), 0.0);
            found.push(number.found.get());
        }
    }
    // More silver stands nearer to the salt, more thiosulfate farther from it.
    assert!(found[3] > found[2] && found[2] > found[4]);
}

#[test]
fn a_fixer_that_is_not_stated_says_what_was_taken_for_granted() {
    let answer = full_answer(&fixer("5", &json!([])), &exactly(40.0));
    for word in ["thiosulfate", "sulfite", "acetate", "bromide"] {
        assert!(
            answer.assumptions.iter().any(|a| a.text.contains(word)),
            "{word}"
        );
    }
    let stated = json!([{"substance": "sodium_thiosulfate", "mol_per_l": "0.8"},
        {"substance": "sodium_sulfite", "mol_per_l": "0.1"}, {"substance": "acetic_acid", "mol_per_l": "0.1"}]);
    let answer = full_answer(&fixer("5", &stated), &exactly(40.0));
    assert!(
        !answer
            .assumptions
            .iter()
            .any(|a| a.text.contains("No amount was given"))
    );
    let floor = |plans: &RecoveryPlans| {
        plan(plans, ProcessName::MetallicReplacement)
            .equilibrium_floor
            .clone()
            .unwrap()
    };
    assert!(floor(&answer.result).text.contains("it works"));
    assert!(floor(&answer.result).model_error_factor.get() >= 2.0);
}

#[test]
fn a_liquid_too_strong_for_the_model_keeps_its_plan_without_a_floor() {
    let strong = json!([{"substance": "ammonium_thiosulfate", "g_per_l": "450"}]);
    let plans = answer(&fixer("5", &strong), &exactly(40.0));
    let wool = plan(&plans, ProcessName::MetallicReplacement);
    assert!(wool.equilibrium_floor.is_none() && wool.dose_curve.is_none());
    assert!(wool.floor_unknown.as_ref().unwrap().contains("too strong"));
    assert!(!wool.steps.is_empty() && wool.practical_residual.is_some());
    assert!(set_aside(&plans, ProcessName::ChloridePrecipitation).contains("thiosulfate"));
}

#[test]
fn hydrogen_sulfide_in_still_air_grows_as_the_ph_slips() {
    let plans = answer(&fixer("8.6", &json!([])), &exactly(30.0));
    let plan = plan(&plans, ProcessName::SulfidePrecipitation);
    let points: Vec<(f64, f64)> = plan
        .head_space
        .iter()
        .map(|h| (h.ph.get(), h.hydrogen_sulfide_ppm.get()))
        .collect();
    assert!(points.is_sorted_by(|a, b| a.0 > b.0 && a.1 < b.1));
    // With pK1 7.0 (OpenStax, Chemistry 2e, appendix H: Ka 8.9e-8 is 7.05) the share of molecules
    // is 0.91 at pH 6 and 0.5 at pH 7.
    let [.., (ph_7, at_7), (ph_6, at_6)] = points[..] else {
        panic!("{points:?}");
    };
    assert!((ph_7 - 7.0).abs() < 0.01 && (ph_6 - 6.0).abs() < 0.01);
    let ratio = at_6 / at_7;
    assert!((1.5..2.3).contains(&ratio), "{ratio}");
    // All the sulfide left over as gas in water: Henry's law, 0.1 mol/(L atm).
    let left_mol = (plan.reagents[0].mass_g.get() / 240.18 - 30.0 / 107.868 / 2.0) / 10.0;
    let ceiling = left_mol / 0.1 * 1e6;
    assert!(
        at_6 > 0.5 * ceiling && at_6 < 2.0 * ceiling,
        "{at_6} {ceiling}"
    );
    let reached = plan.dose_for_residual.unwrap();
    assert!(reached.added_g <= plan.reagents[0].mass_g);
    assert_eq!(reached.target_mg_per_l.get(), 0.5);
}

#[test]
fn the_cell_falls_by_nernst_and_its_charge_is_the_sum_of_its_parts() {
    let stated = json!([{"substance": "sodium_thiosulfate", "mol_per_l": "0.8"}]);
    let plans = answer(&fixer("6", &stated), &exactly(40.0));
    let plan = plan(&plans, ProcessName::Electrolysis);
    let volts = |level: f64| {
        plan.cell
            .iter()
            .find(|p| (p.silver_g_per_l.get() - level).abs() < 1e-9)
            .unwrap()
            .equilibrium_v
            .get()
    };
    // Two thiosulfates leave with each silver: E falls by 59.16 mV x (log c1/c2 + 2 log s2/s1).
    let free = |level: f64| -> f64 { 0.8 - 2.0 * level / 107.868 };
    for (high, low) in [(4.0_f64, 2.0_f64), (2.0, 1.0), (1.0, 0.1)] {
        let expected: f64 =
            0.05916 * ((high / low).log10() + 2.0 * (free(low) / free(high)).log10());
        let found = volts(high) - volts(low);
        assert!((found - expected).abs() < 1e-3, "{found} beside {expected}");
    }
    // Efficiency 90 % at 4 g/L, 60 % at 0.5 g/L, a straight line between: added up in small parts.
    let parts = 10_000;
    let step = 3.5 / f64::from(parts);
    let ampere_hours: f64 = (0..parts)
        .map(|i| {
            let level = 0.5 + (f64::from(i) + 0.5) * step;
            let efficiency = 0.6 + 0.3 * (level - 0.5) / 3.5;
            10.0 * step / (4.02471 * efficiency)
        })
        .sum();
    let charge = plan
        .cell
        .iter()
        .find(|p| (p.silver_g_per_l.get() - 0.5).abs() < 1e-9)
        .unwrap();
    assert!((charge.charge_ah.unwrap().get() / ampere_hours - 1.0).abs() < 1e-4);
    assert!((charge.time_h.unwrap().get() - charge.charge_ah.unwrap().get() / 2.0).abs() < 1e-6);
    let planned = plan.charge.unwrap().expected_ah.get();
    assert!((planned / ampere_hours - 1.0).abs() < 1e-4);
    assert!(plan.floor_unknown.is_some());
}

#[test]
fn a_liquor_is_brought_to_its_ph_with_charge_kept() {
    let system = System::at_25_c();
    for (request, silver_g) in [
        (bath("2"), 100.0),
        (bath("0.5"), 0.1),
        (fixer("5", &json!([])), 40.0),
    ] {
        let batch = read(&request).batch;
        let volume_l = batch.volume_l.unwrap().as_f64();
        for ph in [2.0, 4.5, 6.9, 8.5] {
            let mut mixture = mixture_of(&batch, volume_l, silver_g, "/batch").mixture;
            bring_to_ph(system, &mut mixture, ph).unwrap();
            let solved = system.solve(&mixture).unwrap();
            assert!((solved.ph() - ph).abs() < 2e-4, "{ph}: {}", solved.ph());
            let sodium = mixture.total_mol(Component::Sodium);
            assert!(sodium >= 0.0 && mixture.total_mol(Component::Nitrate) >= 0.0);
        }
    }
}

#[test]
fn curves_are_given_when_asked_for_and_the_floor_always() {
    let mut request = bath("2");
    request["curves"] = json!(false);
    let plans = answer(&request, &exactly(60.0));
    let without = plan(&plans, ProcessName::ChloridePrecipitation);
    assert!(without.dose_curve.is_none() && without.equilibrium_floor.is_some());
    for asked in [json!(null), json!(true)] {
        request["curves"] = asked;
        let plans = answer(&request, &exactly(60.0));
        let with = plan(&plans, ProcessName::ChloridePrecipitation);
        assert!(with.dose_curve.is_some());
        assert_eq!(with.equilibrium_floor, without.equilibrium_floor);
    }
}

#[test]
fn a_report_carries_curves_only_when_it_is_asked_to() {
    let demo = include_str!("../../demo/studio.json");
    let mut request: ReportRequest = serde_json::from_str(demo).unwrap();
    let curves = |request: &ReportRequest| {
        let answer = report_studio(request).unwrap();
        serde_json::to_string(&answer)
            .unwrap()
            .matches("\"dose_curve\"")
            .count()
    };
    assert_eq!(curves(&request), 0);
    request.curves = Some(true);
    assert!(curves(&request) >= 2);
}

#[test]
fn no_text_lets_a_floor_stand_alone_or_calls_it_safe() {
    for (request, silver_g) in [
        (bath("2"), 100.0),
        (bath("20"), 3.0),
        (fixer("5", &json!([])), 40.0),
        (fixer("8.6", &json!([])), 40.0),
    ] {
        let answer = full_answer(&request, &exactly(silver_g));
        let mut floors = 0;
        for plan in all_plans(&answer.result) {
            if let Some(floor) = &plan.equilibrium_floor {
                floors += 1;
                assert!(floor.text.contains("In practice"), "{}", floor.text);
                assert!(floor.text.contains("the figure that counts"));
                assert!(floor.text.contains("No limit and no drain"));
                assert!(floor.text.contains("factor"));
                assert!(floor.factor_95.get() >= floor.model_error_factor.get());
                let field = plan.practical_residual.as_ref().unwrap();
                assert!(floor.residual_mg_per_l < field.high_mg_per_l);
            }
        }
        assert!(floors >= 2, "{floors}");
        let text = serde_json::to_string(&answer.result)
            .unwrap()
            .to_lowercase();
        for word in [
            "safe for a drain",
            "safe to pour",
            "may be poured",
            "may go down",
            "meets the limit",
            "below the limit",
        ] {
            assert!(!text.contains(word), "{word}");
        }
    }
}
