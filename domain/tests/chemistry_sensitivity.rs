//! Derivatives of a prediction against finite differences, and first order against a Monte Carlo.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use crate::chemistry_support;

use chemistry_support::{Dice, Draw};
use spent_silver_domain::chemistry::prediction::uncertainty;
use spent_silver_domain::chemistry::reagent::Reagent;
use spent_silver_domain::chemistry::solver::{Equilibrium, Figure};
use spent_silver_domain::chemistry::species::{Component, tables};
use spent_silver_domain::chemistry::system::{CarbonDioxide, Mixture, System};

fn mix(list: &[(&str, f64)]) -> Mixture {
    let mut m = Mixture::new(1.0);
    for (f, a) in list {
        m.add(&Reagent::parse(f).unwrap(), *a);
    }
    m
}

type Read = fn(&Equilibrium) -> f64;

fn figures() -> [(Figure, Read); 3] {
    [
        (Figure::LogDissolvedSilver, |e| e.dissolved_silver().log10()),
        (Figure::Ph, |e| e.ph()),
        (Figure::Pag, |e| e.pag().unwrap_or(f64::NAN)),
    ]
}

fn same_phases(a: &Equilibrium, b: &Equilibrium) -> bool {
    a.solid_mol
        .iter()
        .zip(&b.solid_mol)
        .all(|(x, y)| (*x > 0.0) == (*y > 0.0))
        && (a.carbon_dioxide_released_mol > 0.0) == (b.carbon_dioxide_released_mol > 0.0)
}

/// Compares every derivative with a central difference; counts those compared.
fn compare(mixture: &Mixture, what: &str) -> u32 {
    const STEP: f64 = 1e-4;
    let system = System::at_25_c();
    let answer = system.solve(mixture).unwrap();
    let mut compared = 0;
    for (figure, read) in figures() {
        let Some(got) = system.sensitivities(mixture, &answer, figure) else {
            assert!(figure != Figure::Ph, "{what}");
            continue;
        };
        let mut check =
            |name: &str, derivative: f64, low: &Equilibrium, high: &Equilibrium, step: f64| {
                if !same_phases(low, &answer) || !same_phases(high, &answer) {
                    return;
                }
                let difference = (read(high) - read(low)) / (2.0 * step);
                let limit = 2e-5 * (1.0 + derivative.abs().max(difference.abs()));
                assert!(
                    (difference - derivative).abs() <= limit,
                    "{what}: d {figure:?} / d {name}: {derivative} against {difference}"
                );
                compared += 1;
            };
        for (i, species) in tables().species.iter().enumerate().skip(Component::COUNT) {
            if answer.molality[i] == 0.0 {
                continue;
            }
            let name = species.formula.as_str();
            let log_k = system.species_log_k(name).unwrap();
            let shifted = |by: f64| {
                system
                    .clone()
                    .with_species_log_k(name, log_k + by)
                    .solve(mixture)
            };
            let (Ok(low), Ok(high)) = (shifted(-STEP), shifted(STEP)) else {
                continue;
            };
            check(name, got.by_species_log_k[i], &low, &high, STEP);
        }
        for (i, solid) in tables().solids.iter().enumerate() {
            if answer.solid_mol[i] <= 0.0 {
                continue;
            }
            let name = solid.formula.as_str();
            let log_k = system.solid_log_k(name).unwrap();
            let shifted = |by: f64| {
                system
                    .clone()
                    .with_solid_log_k(name, log_k + by)
                    .solve(mixture)
            };
            let (Ok(low), Ok(high)) = (shifted(-STEP), shifted(STEP)) else {
                continue;
            };
            check(name, got.by_phase_log_k[i], &low, &high, STEP);
        }
        for component in Component::ALL {
            let total = mixture.total_mol(component);
            if total <= 0.0 || component == Component::Hydrogen {
                continue;
            }
            // Per unit of ln amount, so that small and large amounts are judged alike.
            let shifted = |by: f64| {
                let mut m = mixture.clone();
                m.totals_mol[component.index()] = total * (1.0 + by);
                system.solve(&m)
            };
            let (Ok(low), Ok(high)) = (shifted(-1e-5), shifted(1e-5)) else {
                continue;
            };
            let derivative = got.by_total_mol[component.index()] * total;
            // At an equivalence point the figure bends within any step: there two steps disagree.
            let (Ok(nearer), Ok(farther)) = (shifted(-5e-6), shifted(5e-6)) else {
                continue;
            };
            let wide = (read(&high) - read(&low)) / 2e-5;
            let narrow = (read(&farther) - read(&nearer)) / 1e-5;
            if (wide - narrow).abs() <= 1e-5 * (1.0 + wide.abs()) {
                check(&format!("{component:?}"), derivative, &low, &high, 1e-5);
            }
        }
    }
    compared
}

#[test]
fn derivatives_equal_finite_differences_in_the_liquors_of_the_trade() {
    let bath = mix(&[("AgNO3", 0.53), ("HNO3", 0.01), ("CH3COOH", 0.1)]);
    let salted = mix(&[("AgNO3", 0.53), ("HNO3", 0.01), ("NaCl", 0.6)]);
    let fixer = mix(&[
        ("AgNO3", 0.04),
        ("Na2S2O3", 0.5),
        ("Na2SO3", 0.1),
        ("NaCl", 0.1),
    ]);
    let sulfide = mix(&[("AgNO3", 0.046), ("Na2S2O3", 0.5), ("Na2S", 0.026)]);
    let mut vented = mix(&[("HNO3", 0.05), ("CH3COOH", 0.15), ("NaHCO3", 0.17)]);
    vented.carbon_dioxide = CarbonDioxide::VentsAtSaturation;
    let mut air = mix(&[("AgNO3", 0.1), ("NaHCO3", 0.2)]);
    air.carbon_dioxide = CarbonDioxide::OpenToAir;
    for (mixture, what) in [
        (&bath, "bath"),
        (&salted, "salted bath"),
        (&fixer, "fixer"),
        (&sulfide, "fixer with sulfide"),
        (&vented, "vented acid"),
        (&air, "bath open to air"),
    ] {
        assert!(compare(mixture, what) > 3, "{what}");
    }
}

#[test]
fn derivatives_equal_finite_differences_in_random_mixtures() {
    let mut dice = Dice::new(77);
    let mut compared = 0;
    for _ in 0..300 {
        let draw = Draw::random(&mut dice);
        if draw.metal.is_some() {
            continue;
        }
        let mixture = draw.mixture();
        if System::at_25_c().solve(&mixture).is_ok() {
            compared += compare(&mixture, &draw.to_string());
        }
    }
    assert!(compared > 5000, "{compared}");
}

#[test]
fn first_order_agrees_with_a_monte_carlo_over_the_constants() {
    let bath = mix(&[("AgNO3", 0.1), ("HNO3", 0.01), ("NaCl", 0.2)]);
    let fixer = mix(&[("AgNO3", 0.04), ("Na2S2O3", 0.3), ("KI", 0.05)]);
    for (liquor, what) in [(&bath, "bath in salt"), (&fixer, "iodide in fixer")] {
        let answer = System::at_25_c().solve(liquor).unwrap();
        let first_order = uncertainty(
            System::at_25_c(),
            liquor,
            &answer,
            Figure::LogDissolvedSilver,
            &[],
        )
        .unwrap();
        let mut dice = Dice::new(8);
        let (mut sum, mut squares) = (0.0, 0.0);
        let draws = 4000;
        for _ in 0..draws {
            let mut system = System::at_25_c().clone();
            for species in tables().species.iter().skip(Component::COUNT) {
                let c = species.constant.as_ref().unwrap();
                let log_k = c.log_k + c.standard_uncertainty * dice.normal();
                system = system.with_species_log_k(species.formula.as_str(), log_k);
            }
            for solid in &tables().solids {
                let c = &solid.constant;
                let log_k = c.log_k + c.standard_uncertainty * dice.normal();
                system = system.with_solid_log_k(solid.formula.as_str(), log_k);
            }
            let silver = system
                .solve_from(liquor, Some(&answer))
                .unwrap()
                .dissolved_silver()
                .log10();
            sum += silver;
            squares += silver * silver;
        }
        let mean = sum / f64::from(draws);
        let spread = (squares / f64::from(draws) - mean * mean).sqrt();
        // The spread of a spread over 4000 draws is 1.1 %; the rest is curvature.
        assert!(
            (spread / first_order.standard - 1.0).abs() < 0.08,
            "{what}: {spread} against {}",
            first_order.standard
        );
    }
}

#[test]
fn an_uncertain_amount_adds_its_part() {
    // In pure excess chloride, 10 % more chloride is 10 % less silver: 0.0434 in log10.
    let mut liquor = mix(&[("NaCl", 1e-3)]);
    liquor.start_with("AgCl", 1.0);
    let answer = System::at_25_c().solve(&liquor).unwrap();
    let at = |amounts: &[(Component, f64)]| {
        uncertainty(System::at_25_c(), &liquor, &answer, Figure::Pag, amounts)
            .unwrap()
            .standard
    };
    let (without, with) = (at(&[]), at(&[(Component::Chloride, 1e-4)]));
    let added = (with * with - without * without).sqrt();
    assert!((added - 0.0434).abs() < 0.001, "{added}");
}

#[test]
fn measured_solubilities_lie_within_the_stated_factor() {
    // Silver chloride in water, 1.93 mg/L at 25 °C (handbooks, unverified), and in sodium chloride
    // by Forbes 1911 (unverified): mol/L, taken as mol/kg.
    for (salt, measured) in [
        (0.0, 1.35e-5),
        (0.93, 8.6e-5),
        (1.43, 1.8e-4),
        (3.0, 1.1e-3),
    ] {
        let mut liquor = mix(&[("NaCl", salt)]);
        liquor.start_with("AgCl", 1.0);
        let answer = System::at_25_c().solve(&liquor).unwrap();
        let factor = uncertainty(
            System::at_25_c(),
            &liquor,
            &answer,
            Figure::LogDissolvedSilver,
            &[],
        )
        .unwrap()
        .factor_95();
        let ratio = measured / answer.dissolved_silver();
        assert!(
            ratio < factor && ratio > 1.0 / factor,
            "{salt} mol/kg: measured over predicted {ratio}, factor {factor}"
        );
    }
}
