//! Time of one equilibrium, cold, on one thread; beside PHREEQC through its Python binding with the
//! database loaded and minimal output, when Python and the PyPI package `phreeqc` are there
//! (`PYTHON` names the interpreter, default `python3`). Both run in turn, the least of the rounds counts.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_macros,
    clippy::disallowed_methods,
    reason = "a bench measures time and prints it"
)]

#[path = "../../domain/tests/chemistry_support/mod.rs"]
mod chemistry_support;

use serde_json::{Value, json};
use spent_silver_domain::chemistry::reagent::Reagent;
use spent_silver_domain::chemistry::system::{CarbonDioxide, MetalInContact, Mixture, System};
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

const ROUNDS: usize = 5;
const RUNS: u32 = 400;

fn mix(list: &[(&str, f64)]) -> Mixture {
    let mut m = Mixture::new(1.0);
    for (formula, amount) in list {
        m.add(&Reagent::parse(formula).unwrap(), *amount);
    }
    m
}

fn cases() -> Vec<(&'static str, f64, Mixture)> {
    let mut neutralization = mix(&[("HNO3", 0.05), ("CH3COOH", 0.15), ("NaHCO3", 0.17)]);
    neutralization.carbon_dioxide = CarbonDioxide::VentsAtSaturation;
    let mut steel_wool = mix(&[("AgNO3", 0.037), ("Na2S2O3", 0.5)]);
    steel_wool.metal = Some(MetalInContact::Fe);
    let names = [
        "AgNO3", "NaCl", "KBr", "KI", "Na2S2O3", "Na2SO3", "Na2SO4", "Na2S", "KCN", "KSCN", "NH3",
        "CH3COOH", "NaHCO3", "K2CrO4", "Cu(NO3)2", "Zn(NO3)2", "FeSO4",
    ];
    let everything: Vec<(&str, f64)> = names
        .iter()
        .zip(0u32..)
        .map(|(f, i)| {
            (
                *f,
                if i == 0 {
                    1.5
                } else {
                    0.02 + 0.004 * f64::from(i)
                },
            )
        })
        .collect();
    vec![
        ("bath", 15.0, mix(&[("AgNO3", 0.53), ("HNO3", 0.01)])),
        (
            "bath with acetic acid",
            15.0,
            mix(&[("AgNO3", 0.53), ("CH3COOH", 0.17), ("HNO3", 0.001)]),
        ),
        (
            "bath in salt",
            15.0,
            mix(&[("AgNO3", 0.53), ("HNO3", 0.01), ("NaCl", 0.55)]),
        ),
        (
            "fixer",
            15.0,
            mix(&[
                ("AgNO3", 0.037),
                ("Na2S2O3", 0.5),
                ("Na2SO3", 0.1),
                ("CH3COOH", 0.2),
            ]),
        ),
        ("neutralization", 15.0, neutralization),
        ("fixer on steel wool", 15.0, steel_wool),
        (
            "fixer with sulfide",
            30.0,
            mix(&[("AgNO3", 0.046), ("Na2S2O3", 0.5), ("Na2S", 0.0255)]),
        ),
        ("everything at once", 400.0, mix(&everything)),
    ]
}

fn our_us(mixture: &Mixture) -> f64 {
    let system = System::at_25_c();
    let began = Instant::now();
    for _ in 0..RUNS {
        black_box(system.solve(black_box(mixture)).unwrap());
    }
    began.elapsed().as_secs_f64() * 1e6 / f64::from(RUNS)
}

/// Microseconds of each case, or nothing without Python and the package.
fn phreeqc_us(file: &Path) -> Option<Vec<f64>> {
    let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/equilibrium.py");
    let output = Command::new(python).arg(script).arg(file).output().ok()?;
    if !output.status.success() {
        return None;
    }
    serde_json::from_slice(&output.stdout).ok()
}

fn main() {
    let cases = cases();
    let mixtures: Vec<Value> = cases
        .iter()
        .map(|(_, _, m)| chemistry_support::describe(m, 25.0))
        .collect();
    let file = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("equilibrium_bench.json");
    let all = json!({ "tables": chemistry_support::describe_tables(), "mixtures": mixtures });
    std::fs::write(&file, all.to_string()).unwrap();

    let mut ours = vec![f64::INFINITY; cases.len()];
    let mut theirs = vec![f64::INFINITY; cases.len()];
    for _ in 0..ROUNDS {
        for (best, (_, _, mixture)) in ours.iter_mut().zip(&cases) {
            *best = best.min(our_us(mixture));
        }
        if let Some(times) = phreeqc_us(&file) {
            for (best, time) in theirs.iter_mut().zip(times) {
                *best = best.min(time);
            }
        }
    }
    println!(
        "{:24} {:>8} {:>8} {:>9} {:>7}",
        "", "us", "at most", "PHREEQC", "ratio"
    );
    for (((name, limit, _), own), other) in cases.iter().zip(ours).zip(theirs) {
        println!(
            "{name:24} {own:8.1} {limit:8.0} {other:9.0} {:7.1}",
            other / own
        );
    }
}
