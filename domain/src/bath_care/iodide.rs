//! Iodide in the bath, by constants that the person gives.

use super::request::GivenIodideConstants;
use super::result::BathIodide;
use crate::chemistry::iodide::{IodideConstants, iodide_saturation};
use crate::fault::Fault;
use crate::quantity::{ComputedGrams, ComputedGramsPerLitre, ComputedMolesPerLitre, LogConstant};

/// Constants that cannot be.
pub(super) fn faults(given: &GivenIodideConstants, at: &str) -> Vec<Fault> {
    let check = |name: &str, k: LogConstant, low: f64, high: f64, expected: &str| {
        let value = k.as_f64();
        (value < low || value > high)
            .then(|| Fault::out_of_range(format!("{at}/{name}"), value, expected))
    };
    [
        check(
            "solubility_log_k",
            given.solubility_log_k,
            -30.0,
            -5.0,
            "log10 of a solubility product, -30 to -5",
        ),
        check(
            "agi_log_k",
            given.agi_log_k,
            0.0,
            30.0,
            "log10 of a formation constant, 0 to 30",
        ),
        check(
            "agi2_log_k",
            given.agi2_log_k,
            0.0,
            30.0,
            "log10 of a formation constant, 0 to 30",
        ),
        check(
            "ag2i_log_k",
            given.ag2i_log_k,
            0.0,
            30.0,
            "log10 of a formation constant, 0 to 30",
        ),
        check(
            "ag3i_log_k",
            given.ag3i_log_k,
            0.0,
            30.0,
            "log10 of a formation constant, 0 to 30",
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Iodide that saturates a bath of so much silver nitrate, by the constants given.
pub(super) fn saturation(
    given: &GivenIodideConstants,
    mol_per_l: f64,
    volume_l: f64,
) -> BathIodide {
    let constants = IodideConstants {
        log_ksp: given.solubility_log_k.as_f64(),
        log_beta_agi: given.agi_log_k.as_f64(),
        log_beta_agi2: given.agi2_log_k.as_f64(),
        log_beta_ag2i: given.ag2i_log_k.as_f64(),
        log_beta_ag3i: given.ag3i_log_k.as_f64(),
    };
    let held = iodide_saturation(mol_per_l, &constants);
    let thin = iodide_saturation(0.5 * mol_per_l, &constants);
    BathIodide {
        silver_iodide_g_per_l: ComputedGramsPerLitre::of(held.dissolved_silver_iodide_g_per_l),
        silver_iodide_g: ComputedGrams::of(held.dissolved_silver_iodide_g_per_l * volume_l),
        iodide_mol_per_l: ComputedMolesPerLitre::of(held.dissolved_iodide_mol_per_l),
        free_silver_mol_per_l: ComputedMolesPerLitre::of(held.free_silver_mol_per_l),
        at_half_strength_g_per_l: ComputedGramsPerLitre::of(thin.dissolved_silver_iodide_g_per_l),
    }
}
