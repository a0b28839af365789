//! The tables of constants: every reaction balances, every source resolves, temperature moves what has an enthalpy.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use spent_silver_domain::bibliography::reference;
use spent_silver_domain::chemistry::formula::Formula;
use spent_silver_domain::chemistry::species::{Component, Constant, tables};
use spent_silver_domain::chemistry::system::System;
use std::collections::BTreeMap;

fn balance(formula: &Formula, components: &[i8], water: i8) -> (BTreeMap<String, i64>, i64) {
    let t = tables();
    let mut atoms: BTreeMap<String, i64> = BTreeMap::new();
    let mut charge = -i64::from(formula.charge());
    for (element, n) in formula.elements() {
        *atoms.entry(element.clone()).or_default() -= i64::from(*n);
    }
    for (row, nu) in t.components.iter().zip(components) {
        charge += i64::from(row.formula.charge()) * i64::from(*nu);
        for (element, n) in row.formula.elements() {
            *atoms.entry(element.clone()).or_default() += i64::from(*n) * i64::from(*nu);
        }
    }
    *atoms.entry("H".to_owned()).or_default() += 2 * i64::from(water);
    *atoms.entry("O".to_owned()).or_default() += i64::from(water);
    atoms.retain(|_, n| *n != 0);
    (atoms, charge)
}

#[test]
fn every_reaction_balances_in_atoms_and_charge() {
    let t = tables();
    for s in &t.species {
        assert_eq!(
            balance(&s.formula, &s.components, s.water),
            (BTreeMap::new(), 0),
            "{}",
            s.formula
        );
    }
    for s in t.solids.iter().chain([&t.carbon_dioxide]) {
        assert_eq!(
            balance(&s.formula, &s.components, s.water),
            (BTreeMap::new(), 0),
            "{}",
            s.formula
        );
    }
    for m in &t.metals {
        let ion = &t.components[m.ion.index()].formula;
        assert_eq!(ion.elements(), m.formula.elements());
        assert_eq!(ion.charge(), i32::from(m.electron_count));
    }
}

#[test]
fn the_tables_hold_what_the_components_promise() {
    let t = tables();
    assert_eq!(t.components.len(), Component::COUNT);
    assert_eq!(t.species.len(), Component::COUNT + 43);
    assert_eq!(t.solids.len(), 11);
    let names = [
        "H+", "Ag+", "Cl-", "Br-", "I-", "S2O3-2", "SO3-2", "SO4-2", "HS-", "CN-", "SCN-", "NH3",
        "CH3COO-", "NO3-", "CO3-2", "CrO4-2", "Na+", "K+", "Cu+2", "Zn+2", "Fe+2",
    ];
    for ((component, row), name) in Component::ALL.into_iter().zip(&t.components).zip(names) {
        assert_eq!(row.formula.as_str(), name, "{component:?}");
    }
    let mut formulas: Vec<&str> = t.species.iter().map(|s| s.formula.as_str()).collect();
    formulas.sort_unstable();
    formulas.dedup();
    assert_eq!(formulas.len(), t.species.len(), "no species twice");
}

fn check(name: &Formula, c: &Constant) {
    assert!(c.standard_uncertainty > 0.0, "{name}");
    assert!(reference(&c.source).is_some(), "{name}: {}", c.source);
    assert_eq!(
        c.enthalpy_kj_per_mol.is_some(),
        c.enthalpy_source.is_some(),
        "{name}"
    );
    assert_eq!(
        c.enthalpy_kj_per_mol.is_some(),
        c.enthalpy_status.is_some(),
        "{name}"
    );
    for key in c
        .enthalpy_source
        .iter()
        .chain(c.alternatives.iter().map(|a| &a.source))
    {
        assert!(reference(key).is_some(), "{name}: {key}");
    }
    for a in &c.alternatives {
        assert!((a.log_k.unwrap() - c.log_k).abs() < 2.0, "{name}");
    }
}

#[test]
fn every_constant_has_a_source_that_resolves() {
    let t = tables();
    for s in &t.species {
        if let Some(c) = &s.constant {
            check(&s.formula, c);
        }
    }
    for s in t.solids.iter().chain([&t.carbon_dioxide]) {
        check(&s.formula, &s.constant);
    }
    for m in &t.metals {
        assert!(reference(&m.source).is_some(), "{}", m.name);
        // log K and the potential say the same: n E F / (R T ln 10), to the rounding of the file.
        let n = f64::from(m.electron_count);
        assert!(
            (m.log_k + n * m.potential_v / 0.059_159_3).abs() < 3e-3,
            "{}",
            m.name
        );
    }
    for key in [
        "phreeqc_davies",
        "equilibrium_judgement",
        "air_co2_convention",
        "equilibrium_memory",
    ] {
        assert!(reference(key).is_some(), "{key}");
    }
}

#[test]
fn constants_follow_temperature_where_an_enthalpy_is_known() {
    // Water: pKw 14.17 at 20 and 13.83 at 30 °C (Marshall and Franck's table gives 14.164 and 13.837).
    for (t, expected) in [(20.0, -14.164), (30.0, -13.837)] {
        let got = System::at(t).species_log_k("OH-").unwrap();
        assert!((got - expected).abs() < 0.02, "{t}: {got}");
    }
    // Silver chloride: 0.89 mg/L dissolve at 10 °C and 1.93 at 25 °C by the handbooks (unverified):
    // the constant halves its square root.
    let ratio = System::at(10.0).solid_log_k("AgCl").unwrap()
        - System::at(25.0).solid_log_k("AgCl").unwrap();
    assert!(
        (ratio / 2.0 - (0.89f64 / 1.93).log10()).abs() < 0.06,
        "{ratio}"
    );
    // No enthalpy, no change.
    assert_eq!(
        System::at(10.0).species_log_k("AgBr2-"),
        System::at(25.0).species_log_k("AgBr2-")
    );
}
