//! Random mixtures, an edge grid and invariants: every mixture is solved and proved, or honestly refused.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::disallowed_macros,
    reason = "a test fails by panicking, and this one prints its figures"
)]

use crate::chemistry_support;

use chemistry_support::{Dice, Draw};
use spent_silver_domain::chemistry::constants::SILVER;
use spent_silver_domain::chemistry::reagent::Reagent;
use spent_silver_domain::chemistry::solver::{Equilibrium, EquilibriumError};
use spent_silver_domain::chemistry::species::{Component, tables};
use spent_silver_domain::chemistry::system::{
    ActivityModel, CarbonDioxide, MetalInContact, Mixture, SolidSet, System,
};

#[derive(Default, Debug)]
struct Count {
    solved: u64,
    too_strong: u64,
    no_silver: u64,
}

fn count(
    result: Result<Equilibrium, EquilibriumError>,
    tally: &mut Count,
    what: impl Fn() -> String,
) {
    match result {
        Ok(_) => tally.solved += 1,
        Err(EquilibriumError::TooConcentrated { ionic_strength }) => {
            assert!(ionic_strength > 5.0, "{}", what());
            tally.too_strong += 1;
        }
        Err(EquilibriumError::TooLittleWater { .. }) => tally.too_strong += 1,
        Err(EquilibriumError::NoSilverForMetal) => tally.no_silver += 1,
        Err(e) => panic!("{e}: {}", what()),
    }
}

fn draw_many(seed: u64, mixtures: u64) -> Count {
    let mut dice = Dice::new(seed);
    let mut tally = Count::default();
    for _ in 0..mixtures {
        let draw = Draw::random(&mut dice);
        count(System::at_25_c().solve(&draw.mixture()), &mut tally, || {
            draw.to_string()
        });
    }
    tally
}

#[test]
fn a_hundred_thousand_random_mixtures_are_proved_or_refused() {
    let tally = draw_many(0x5157, 100_000);
    assert!(tally.solved > 90_000, "{tally:?}");
}

#[test]
#[ignore = "needs minutes"]
fn a_million_random_mixtures_are_proved_or_refused() {
    let tally = draw_many(20_261_209, 1_000_000);
    println!("{tally:?}");
    assert!(tally.solved > 900_000, "{tally:?}");
}

#[test]
fn the_edges_are_proved_or_refused() {
    let ligands = [
        "NaCl", "KBr", "KI", "Na2S2O3", "Na2SO3", "Na2SO4", "Na2S", "KCN", "KSCN", "NH3",
        "CH3COONa", "Na2CO3", "K2CrO4", "NaOH", "HNO3",
    ];
    let silver = Reagent::parse("AgNO3").unwrap();
    let mut tally = Count::default();
    for ligand in ligands {
        let reagent = Reagent::parse(ligand).unwrap();
        for amount in [1e-14, 1e-9, 1e-5, 1e-3, 0.05, 0.53] {
            for ratio in [
                0.0,
                1e-12,
                0.25,
                1.0 / 3.0,
                0.5,
                1.0,
                2.0,
                3.0,
                4.0,
                1e3,
                1e12,
            ] {
                for hair in [0.0, 1e-15, -1e-15, 1e-12, -1e-9, 1e-6] {
                    let other = amount * ratio * (1.0 + hair);
                    if other > 3.0 {
                        continue;
                    }
                    for model in [ActivityModel::Davies, ActivityModel::Ideal] {
                        for metal in [None, Some(MetalInContact::Fe)] {
                            let mut m = Mixture::new(1.0);
                            m.activity_model = model;
                            m.metal = metal;
                            m.add(&silver, amount);
                            m.add(&reagent, other);
                            count(System::at_25_c().solve(&m), &mut tally, || {
                                format!("{amount} AgNO3, {other:e} {ligand}, {model:?}, {metal:?}")
                            });
                        }
                    }
                }
            }
        }
    }
    assert!(tally.solved > 15_000, "{tally:?}");
}

#[test]
fn solids_alone_and_in_pairs_have_an_answer() {
    let mut tally = Count::default();
    let t = tables();
    for a in &t.solids {
        for b in &t.solids {
            for gas in [
                CarbonDioxide::Closed,
                CarbonDioxide::VentsAtSaturation,
                CarbonDioxide::OpenToAir,
            ] {
                for metal in [None, Some(MetalInContact::Zn)] {
                    for amount in [1e-9, 1e-3, 1.0, 1e4] {
                        let mut m = Mixture::new(1.0);
                        m.carbon_dioxide = gas;
                        m.metal = metal;
                        m.start_with(a.formula.as_str(), amount);
                        m.start_with(b.formula.as_str(), 1.0);
                        count(System::at_25_c().solve(&m), &mut tally, || {
                            format!("{amount} {} and {} {gas:?} {metal:?}", a.formula, b.formula)
                        });
                    }
                }
            }
        }
    }
    assert!(tally.solved > 1500, "{tally:?}");
}

fn mix(water: f64, list: &[(&str, f64)]) -> Mixture {
    let mut m = Mixture::new(water);
    for (f, a) in list {
        m.add(&Reagent::parse(f).unwrap(), *a);
    }
    m
}

const FIXER: &[(&str, f64)] = &[
    ("AgNO3", 0.04),
    ("Na2S2O3", 0.5),
    ("Na2SO3", 0.1),
    ("CH3COOH", 0.2),
    ("KBr", 0.03),
    ("Na2S", 0.01),
];

fn near(a: f64, b: f64, limit: f64, what: &str) {
    assert!((a / b - 1.0).abs() <= limit, "{what}: {a:e} against {b:e}");
}

#[test]
fn the_order_of_the_reagents_does_not_matter() {
    let forward = System::at_25_c().solve(&mix(1.0, FIXER)).unwrap();
    let mut reversed: Vec<_> = FIXER.to_vec();
    reversed.reverse();
    let backward = System::at_25_c().solve(&mix(1.0, &reversed)).unwrap();
    near(
        forward.dissolved_silver(),
        backward.dissolved_silver(),
        1e-9,
        "silver",
    );
    near(forward.ph(), backward.ph(), 1e-9, "pH");
}

#[test]
fn twice_of_everything_is_the_same_liquor() {
    for factor in [1e-3, 2.0, 1e4] {
        let one = System::at_25_c().solve(&mix(1.0, FIXER)).unwrap();
        let scaled: Vec<_> = FIXER.iter().map(|(f, a)| (*f, a * factor)).collect();
        let other = System::at_25_c().solve(&mix(factor, &scaled)).unwrap();
        near(
            one.dissolved_silver(),
            other.dissolved_silver(),
            1e-9,
            "silver",
        );
        near(one.ph(), other.ph(), 1e-9, "pH");
        near(
            one.solid_of("Ag2S") * factor,
            other.solid_of("Ag2S"),
            1e-9,
            "silver sulfide",
        );
    }
}

#[test]
fn the_models_meet_at_infinite_dilution() {
    let liquor = |model| {
        let mut m = mix(1.0, &[("AgNO3", 1e-9), ("NaCl", 2e-9), ("Na2S2O3", 1e-9)]);
        m.activity_model = model;
        System::at_25_c().solve(&m).unwrap()
    };
    let (davies, ideal) = (liquor(ActivityModel::Davies), liquor(ActivityModel::Ideal));
    near(davies.pag().unwrap(), ideal.pag().unwrap(), 1e-4, "pAg");
    near(davies.ph(), ideal.ph(), 1e-4, "pH");
}

#[test]
fn silver_in_is_silver_out() {
    let mut dice = Dice::new(4);
    for _ in 0..2000 {
        let draw = Draw::random(&mut dice);
        let m = draw.mixture();
        let Ok(e) = System::at_25_c().solve(&m) else {
            continue;
        };
        let t = tables();
        let at = Component::Silver.index();
        let started: f64 = t
            .solids
            .iter()
            .zip(m.start_mol)
            .map(|(s, n)| f64::from(s.components[at]) * n)
            .sum();
        let ended: f64 = t
            .solids
            .iter()
            .zip(e.solid_mol)
            .map(|(s, n)| f64::from(s.components[at]) * n)
            .sum();
        let into = m.total_mol(Component::Silver) + started;
        let out = e.dissolved_silver() * e.water_kg + ended + e.silver_plated_mol;
        if into > 0.0 {
            near(out, into, 1e-9, &draw.to_string());
        }
    }
}

#[test]
fn a_solid_at_the_start_or_its_ions_give_the_same_liquor() {
    // 0.02 mol of silver chloride as the solid, or as silver nitrate and salt beside sodium nitrate.
    let mut solid = mix(1.0, &[("NaNO3", 0.02), ("Na2S2O3", 0.1)]);
    solid.start_with("AgCl", 0.02);
    let ions = mix(1.0, &[("AgNO3", 0.02), ("NaCl", 0.02), ("Na2S2O3", 0.1)]);
    let (a, b) = (
        System::at_25_c().solve(&solid).unwrap(),
        System::at_25_c().solve(&ions).unwrap(),
    );
    near(a.pag().unwrap(), b.pag().unwrap(), 1e-10, "pAg");
    near(
        a.solid_of("AgCl") + 1.0,
        b.solid_of("AgCl") + 1.0,
        1e-10,
        "silver chloride",
    );
}

#[test]
fn more_salt_than_the_least_takes_silver_back_into_solution() {
    let residue = |salt: f64| {
        let mut m = mix(1.0, &[("AgNO3", 0.05), ("NaCl", 0.05 + salt)]);
        m.solids = SolidSet::of(&["AgCl"]);
        System::at_25_c().solve(&m).unwrap().dissolved_silver() * SILVER * 1000.0
    };
    assert!(residue(0.0) > 1.0 && residue(0.003) < 0.1 && residue(1.0) > 5.0);
}

/// A silver bath with bicarbonate up to the point where silver carbonate just begins to last: the
/// solid is in balance and there is none of it.
#[test]
fn a_liquor_exactly_at_saturation_has_an_answer() {
    let mut m = Mixture::new(1.0);
    m.carbon_dioxide = CarbonDioxide::OpenToAir;
    for (component, mol) in [
        (Component::Hydrogen, 0.000_332_767_017_586_215_9),
        (Component::Silver, 0.53),
        (Component::Ammonia, 4.997_804_845_675_546e-5),
        (Component::Nitrate, 0.530_186_434_619_372_4),
        (Component::Carbonate, 0.000_146_332_398_213_810_72),
        (Component::Sodium, 0.000_146_332_398_213_810_72),
    ] {
        m.add_component(component, mol);
    }
    let answer = System::at_25_c().solve(&m).unwrap();
    assert!(answer.saturation_index_of("Ag2CO3").unwrap().abs() < 1e-8);
    assert!(answer.solid_of("Ag2CO3") < 1e-12);
}

/// A start from a mixture that lacks a component ends where a cold start does.
#[test]
fn a_start_near_another_mixture_ends_where_a_cold_one_does() {
    let mut dice = Dice::new(0x6e65);
    let salt = Reagent::parse("NaCl").unwrap();
    let system = System::at_25_c();
    let mut compared = 0;
    for _ in 0..5_000 {
        let draw = Draw::random(&mut dice);
        let mixture = draw.mixture();
        let mut salted = mixture.clone();
        salted.add(&salt, 0.2 * mixture.water_kg);
        let (Ok(start), Ok(cold)) = (system.solve(&mixture), system.solve(&salted)) else {
            continue;
        };
        let warm = system
            .solve_from(&salted, Some(&start))
            .unwrap_or_else(|e| panic!("{e}: {draw}"));
        near(warm.ph(), cold.ph(), 1e-7, &draw.to_string());
        let (a, b) = (warm.dissolved_silver(), cold.dissolved_silver());
        assert!((a - b).abs() <= 1e-7 * b, "{a} {b} {draw}");
        compared += 1;
    }
    assert!(compared > 4_000, "{compared}");
}

#[test]
fn a_warm_start_ends_where_a_cold_one_does() {
    let mut dice = Dice::new(31);
    let mut compared = 0;
    for _ in 0..2000 {
        let draw = Draw::random(&mut dice);
        let m = draw.mixture();
        let Ok(first) = System::at_25_c().solve(&m) else {
            continue;
        };
        let mut next = m.clone();
        for total in &mut next.totals_mol {
            *total *= 1.001;
        }
        let (Ok(cold), Ok(warm)) = (
            System::at_25_c().solve(&next),
            System::at_25_c().solve_from(&next, Some(&first)),
        ) else {
            continue;
        };
        assert!(
            (cold.ph() - warm.ph()).abs() < 1e-6,
            "{draw}: {} {}",
            cold.ph(),
            warm.ph()
        );
        if cold.dissolved_silver() > 0.0 {
            near(
                cold.dissolved_silver(),
                warm.dissolved_silver(),
                1e-6,
                &draw.to_string(),
            );
        }
        compared += 1;
    }
    assert!(compared > 1500);
}

#[test]
fn the_proof_sees_a_wrong_answer() {
    let system = System::at_25_c();
    let m = mix(1.0, &[("AgNO3", 0.05), ("NaCl", 0.06), ("CH3COOH", 0.1)]);
    let good = system.solve(&m).unwrap();
    type Spoil = fn(&mut Equilibrium);
    let spoils: [(&str, Spoil); 6] = [
        ("mass", |e| {
            e.molality[Component::Sodium.index()] *= 1.0 + 1e-6
        }),
        ("solid", |e| e.solid_mol[0] *= 1.001),
        ("activity", |e| {
            e.ln_activity[Component::Hydrogen.index()] += 1e-6
        }),
        ("ionic strength", |e| e.ionic_strength *= 1.0 + 1e-6),
        ("water", |e| e.water_activity -= 1e-6),
        ("sign", |e| e.molality[0] = -1e-9),
    ];
    for (what, spoil) in spoils {
        let mut bad = good.clone();
        spoil(&mut bad);
        assert!(
            spent_silver_domain::chemistry::proof::prove(system, &m, &bad).is_err(),
            "{what}"
        );
    }
    // A solid that is not allowed hides nothing; one that is may not be left out.
    let mut without = m.clone();
    without.solids = SolidSet::NONE;
    let over = system.solve(&without).unwrap();
    assert!(over.saturation_index_of("AgCl").unwrap() > 3.0);
    assert!(spent_silver_domain::chemistry::proof::prove(system, &m, &over).is_err());
}
