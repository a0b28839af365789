//! Iodide that a silver bath holds, only with constants that the user gives.

/// Constants for iodide in a silver bath, log10. No reviewed set holds the ions of several silvers,
/// so all of them come from the user.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IodideConstants {
    /// AgI(s) = Ag+ + I-.
    pub log_ksp: f64,
    /// Ag+ + I- = AgI.
    pub log_beta_agi: f64,
    /// Ag+ + 2 I- = AgI2-.
    pub log_beta_agi2: f64,
    /// 2 Ag+ + I- = Ag2I+.
    pub log_beta_ag2i: f64,
    /// 3 Ag+ + I- = Ag3I 2+.
    pub log_beta_ag3i: f64,
}

/// A bath saturated with silver iodide.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IodideSaturation {
    /// Iodide in solution, mol/L.
    pub dissolved_iodide_mol_per_l: f64,
    /// The same as grams of silver iodide per litre.
    pub dissolved_silver_iodide_g_per_l: f64,
    /// Free silver ion, mol/L.
    pub free_silver_mol_per_l: f64,
}

/// Iodide that saturates a bath of so much silver nitrate, every activity coefficient 1.
///
/// The silver nitrate balances free silver and the silver that its complexes hold beyond their
/// iodide: c = \[Ag\] + (2-1)\[Ag2I\] + (3-1)\[Ag3I\] - \[AgI2\] - \[I\], with \[I\] = Ksp/\[Ag\].
///
/// ```
/// use spent_silver_domain::chemistry::iodide::{IodideConstants, iodide_saturation};
/// let given = IodideConstants { log_ksp: -16.08, log_beta_agi: 6.6, log_beta_agi2: 11.7, log_beta_ag2i: 10.9, log_beta_ag3i: 14.0 };
/// let bath = iodide_saturation(0.53, &given);
/// assert!((bath.dissolved_iodide_mol_per_l / 0.0022995534 - 1.0).abs() < 1e-7);
/// ```
#[must_use]
pub fn iodide_saturation(silver_nitrate_mol_per_l: f64, k: &IodideConstants) -> IodideSaturation {
    let ksp = 10f64.powf(k.log_ksp);
    let at = |silver: f64| {
        let iodide = ksp / silver;
        [
            iodide,
            10f64.powf(k.log_beta_agi) * ksp,
            10f64.powf(k.log_beta_agi2) * ksp * iodide,
            10f64.powf(k.log_beta_ag2i) * ksp * silver,
            10f64.powf(k.log_beta_ag3i) * ksp * silver * silver,
        ]
    };
    let nitrate = |silver: f64| {
        let [free, _, two, pair, triple] = at(silver);
        silver + pair + 2.0 * triple - two - free
    };
    let (mut low, mut high) = (1e-12, silver_nitrate_mol_per_l.max(1e-12) + 1.0);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if nitrate(middle) > silver_nitrate_mol_per_l {
            high = middle;
        } else {
            low = middle;
        }
    }
    let silver = 0.5 * (low + high);
    let [free, one, two, pair, triple] = at(silver);
    let iodide = free + one + 2.0 * two + pair + triple;
    IodideSaturation {
        dissolved_iodide_mol_per_l: iodide,
        dissolved_silver_iodide_g_per_l: iodide * super::constants::SILVER_IODIDE,
        free_silver_mol_per_l: silver,
    }
}
