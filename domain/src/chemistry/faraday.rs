//! What a current deposits, and how long it takes.

use super::constants::FARADAY_C_PER_MOL;
use crate::answer::Method;

/// Faraday's law of electrolysis.
pub const FARADAY: Method = Method {
    name: "Faraday's law",
    formula: "mass (g) = molar mass x current (A) x time (h) x 3600 x efficiency / (electrons x F), F = 96485.33212 C/mol; for silver 4.02471 g/Ah",
    source: "codata2018",
};

/// Mass deposited, in grams: `M I t eff / (z F)`, with the time in hours and the efficiency as a
/// share of one.
///
/// Source: Faraday's law. Example: 10.23 A for one hour, silver (107.9 g/mol, one electron) at full
/// efficiency: 41.19 g (OpenStax, Chemistry 2e, section 17.7).
#[must_use]
pub fn deposited_g(
    current_a: f64,
    time_h: f64,
    efficiency: f64,
    molar_mass_g_per_mol: f64,
    electrons: f64,
) -> f64 {
    molar_mass_g_per_mol * current_a * time_h * 3600.0 * efficiency
        / (electrons * FARADAY_C_PER_MOL)
}

/// Hours to deposit a mass: `m z F / (M I eff 3600)`; `None` without current or efficiency.
///
/// Source: Faraday's law. Example: 110 g of silver at 3 A and 85 % takes 10.72 h.
#[must_use]
pub fn hours_to_deposit(
    mass_g: f64,
    current_a: f64,
    efficiency: f64,
    molar_mass_g_per_mol: f64,
    electrons: f64,
) -> Option<f64> {
    let per_hour = deposited_g(current_a, 1.0, efficiency, molar_mass_g_per_mol, electrons);
    (per_hour > 0.0).then(|| mass_g / per_hour)
}
