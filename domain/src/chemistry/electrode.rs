//! Potentials of silver in a liquor.

use super::constants::FARADAY_C_PER_MOL;
use super::system::{GAS_CONSTANT, MetalInContact};

/// Volts per decade of activity for one electron: R T ln 10 / F, 0.0591593 V at 25 °C.
#[must_use]
pub fn volts_per_decade(temperature_c: f64) -> f64 {
    GAS_CONSTANT * (temperature_c + 273.15) * std::f64::consts::LN_10 / FARADAY_C_PER_MOL
}

/// Equilibrium potential of silver against the standard hydrogen electrode, V:
/// E = 0.7996 V - (R T ln 10 / F) pAg. The standard potential is that of 25 °C.
///
/// ```
/// use spent_silver_domain::chemistry::electrode::silver_potential;
/// // A fixer with 4 g/kg of silver in 0.5 mol/kg of thiosulfate.
/// assert!((silver_potential(14.1965, 25.0) + 0.04026).abs() < 1e-5);
/// ```
#[must_use]
pub fn silver_potential(pag: f64, temperature_c: f64) -> f64 {
    let standard = MetalInContact::Ag.row().map_or(0.0, |m| m.potential_v);
    standard - volts_per_decade(temperature_c) * pag
}
