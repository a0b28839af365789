//! The solver against PHREEQC, live, on the same constants. Needs Python; the PyPI package
//! `phreeqc` is installed into the build directory the first time.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::disallowed_macros,
    reason = "a test fails by panicking, and this one prints its figures"
)]

use crate::chemistry_support;

use chemistry_support::{Dice, Draw, describe, describe_tables};
use serde_json::{Value, json};
use spent_silver_domain::chemistry::solver::EquilibriumError;
use spent_silver_domain::chemistry::system::System;
use std::path::{Path, PathBuf};
use std::process::Command;

const MIXTURES: usize = 3000;
const SEED: u64 = 20_261_125;

fn python(directory: &Path) -> PathBuf {
    let environment = directory.join("phreeqc-environment");
    let python = environment.join("bin/python");
    let ready = |p: &Path| {
        Command::new(p)
            .args(["-c", "import phreeqc"])
            .output()
            .is_ok_and(|o| o.status.success())
    };
    if ready(&python) {
        return python;
    }
    let made = Command::new("python3")
        .args(["-m", "venv"])
        .arg(&environment)
        .status()
        .unwrap();
    assert!(made.success(), "python3 -m venv");
    let installed = Command::new(&python)
        .args(["-m", "pip", "install", "--quiet", "phreeqc==1.1.1"])
        .status()
        .unwrap();
    assert!(installed.success(), "pip install phreeqc");
    python
}

#[test]
#[ignore = "needs Python and the PyPI package phreeqc"]
fn the_solver_agrees_with_phreeqc_on_generated_mixtures() {
    let mut dice = Dice::new(SEED);
    let mut mixtures: Vec<Value> = Vec::new();
    while mixtures.len() < MIXTURES {
        let draw = Draw::random(&mut dice);
        let temperature_c = if dice.chance(0.3) {
            10.0 + 25.0 * dice.unit()
        } else {
            25.0
        };
        let mixture = draw.mixture();
        match System::at(temperature_c).solve(&mixture) {
            Ok(e) => {
                let mut row = describe(&mixture, temperature_c);
                row["ours"] = json!({
                    "ph": e.ph(),
                    "pag": e.pag(),
                    "dissolved": e.dissolved_silver(),
                    "ionic_strength": e.ionic_strength,
                });
                mixtures.push(row);
            }
            Err(
                EquilibriumError::TooConcentrated { .. }
                | EquilibriumError::TooLittleWater { .. }
                | EquilibriumError::NoSilverForMetal,
            ) => {}
            Err(e) => panic!("{e}: {draw}"),
        }
    }
    let directory = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let file = directory.join("cross_check.json");
    let all = json!({ "tables": describe_tables(), "mixtures": mixtures });
    std::fs::write(&file, all.to_string()).unwrap();
    let output = Command::new(python(&directory))
        .arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/cross_check.py"))
        .arg(&file)
        .output()
        .unwrap();
    let text = String::from_utf8_lossy(&output.stdout);
    assert!(
        output.status.success(),
        "{text}{}",
        String::from_utf8_lossy(&output.stderr)
    );
    println!("{text}");
    let report: Value = serde_json::from_str(text.lines().next().unwrap()).unwrap();
    assert!(report["compared"].as_u64().unwrap() >= 1000);
    for (what, limit) in [
        ("ph", 1e-5),
        ("dissolved", 1e-5),
        ("ionic_strength", 1e-5),
        ("trace", 1e-3),
    ] {
        let worst = report["worst"][what].as_f64().unwrap();
        assert!(worst <= limit, "{what}: worst disagreement {worst:e}");
    }
}
