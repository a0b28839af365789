//! What a dose does to the silver in a liquor: curves, the least silver, the dose for a target, a metal's floor.

use super::constants::SILVER;
use super::reagent::Reagent;
use super::solver::{Equilibrium, EquilibriumError};
use super::species::{Component, tables};
use super::system::{MetalInContact, Mixture, System};
use std::fmt;

/// One point of a dose curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DosePoint {
    /// Reagent added, mol.
    pub dose_mol: f64,
    /// Silver left in solution, mol per kg of water.
    pub dissolved_silver_mol_per_kg: f64,
    /// The same, mg per kg of water.
    pub residual_silver_mg_per_kg: f64,
    /// Silver in all solids, mol.
    pub silver_in_solids_mol: f64,
    /// pH.
    pub ph: f64,
    /// Ionic strength, mol per kg of water.
    pub ionic_strength: f64,
}

impl DosePoint {
    fn new(dose_mol: f64, answer: &Equilibrium) -> Self {
        let dissolved = answer.dissolved_silver();
        let at = Component::Silver.index();
        let silver_in_solids_mol = tables()
            .solids
            .iter()
            .zip(answer.solid_mol)
            .filter_map(|(s, n)| Some(f64::from(*s.components.get(at)?) * n))
            .sum();
        Self {
            dose_mol,
            dissolved_silver_mol_per_kg: dissolved,
            residual_silver_mg_per_kg: dissolved * SILVER * 1000.0,
            silver_in_solids_mol,
            ph: answer.ph(),
            ionic_strength: answer.ionic_strength,
        }
    }
}

/// Why a dose cannot be given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DoseError {
    /// The liquor with some dose has no answer.
    Equilibrium(EquilibriumError),
    /// No dose reaches the target; the nearest that any reaches is given.
    OutOfReach {
        /// The figure nearest to the target.
        nearest: f64,
    },
}

impl fmt::Display for DoseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Equilibrium(e) => e.fmt(f),
            Self::OutOfReach { nearest } => {
                write!(
                    f,
                    "no dose reaches the target: the nearest is {nearest:.4e}"
                )
            }
        }
    }
}

impl std::error::Error for DoseError {}

impl From<EquilibriumError> for DoseError {
    fn from(error: EquilibriumError) -> Self {
        Self::Equilibrium(error)
    }
}

/// Solves a liquor with so much of a reagent added.
fn dosed(
    system: &System,
    liquor: &Mixture,
    reagent: &Reagent,
    dose_mol: f64,
) -> Result<Equilibrium, EquilibriumError> {
    let mut mixture = liquor.clone();
    mixture.add(reagent, dose_mol);
    system.solve(&mixture)
}

/// The silver left in solution against the dose of a reagent, at each of `doses_mol`.
///
/// # Errors
/// The first dose for which there is no proved equilibrium (a liquor that becomes too strong).
pub fn dose_curve(
    system: &System,
    liquor: &Mixture,
    reagent: &Reagent,
    doses_mol: &[f64],
) -> Result<Vec<DosePoint>, EquilibriumError> {
    doses_mol
        .iter()
        .map(|dose| {
            Ok(DosePoint::new(
                *dose,
                &dosed(system, liquor, reagent, *dose)?,
            ))
        })
        .collect()
}

/// The dose between `low_mol` and `high_mol` that leaves the least silver in solution. More of the
/// reagent takes silver back into solution as a complex.
///
/// Golden section on the logarithm of the dose, to 1e-6 of it (the minimum is flat).
///
/// # Errors
/// As [`dose_curve`].
pub fn least_silver(
    system: &System,
    liquor: &Mixture,
    reagent: &Reagent,
    low_mol: f64,
    high_mol: f64,
) -> Result<DosePoint, EquilibriumError> {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let silver = |ln: f64| -> Result<f64, EquilibriumError> {
        Ok(dosed(system, liquor, reagent, ln.exp())?.dissolved_silver())
    };
    let (mut a, mut b) = (low_mol.max(1e-12).ln(), high_mol.max(1e-12).ln());
    let mut c = b - GOLDEN * (b - a);
    let mut d = a + GOLDEN * (b - a);
    let (mut at_c, mut at_d) = (silver(c)?, silver(d)?);
    while b - a > 1e-6 {
        if at_c < at_d {
            b = d;
            d = c;
            at_d = at_c;
            c = b - GOLDEN * (b - a);
            at_c = silver(c)?;
        } else {
            a = c;
            c = d;
            at_c = at_d;
            d = a + GOLDEN * (b - a);
            at_d = silver(d)?;
        }
    }
    let best = (0.5 * (a + b)).exp();
    Ok(DosePoint::new(best, &dosed(system, liquor, reagent, best)?))
}

/// The smallest dose that leaves no more than `target_mol_per_kg` of silver in solution, up to
/// `most_mol`: for sulfide, the stoichiometric dose and the excess that the target needs.
///
/// # Errors
/// [`DoseError::OutOfReach`] with the least silver that a dose up to `most_mol` leaves.
pub fn dose_for_silver(
    system: &System,
    liquor: &Mixture,
    reagent: &Reagent,
    target_mol_per_kg: f64,
    most_mol: f64,
) -> Result<DosePoint, DoseError> {
    let silver = |dose: f64| -> Result<f64, EquilibriumError> {
        Ok(dosed(system, liquor, reagent, dose)?.dissolved_silver())
    };
    if silver(0.0)? <= target_mol_per_kg {
        return Ok(DosePoint::new(0.0, &dosed(system, liquor, reagent, 0.0)?));
    }
    // Walk up until the target is met, so that a curve that turns back is not overlooked.
    const STEPS: u32 = 60;
    let mut low = 0.0;
    let mut nearest = f64::INFINITY;
    let mut high = None;
    for step in 1..=STEPS {
        let dose = most_mol * f64::from(step) / f64::from(STEPS);
        let left = silver(dose)?;
        nearest = nearest.min(left);
        if left <= target_mol_per_kg {
            high = Some(dose);
            break;
        }
        low = dose;
    }
    let Some(mut high) = high else {
        return Err(DoseError::OutOfReach { nearest });
    };
    for _ in 0..200 {
        if high - low <= 1e-12 * high {
            break;
        }
        let middle = 0.5 * (low + high);
        if silver(middle)? <= target_mol_per_kg {
            high = middle;
        } else {
            low = middle;
        }
    }
    Ok(DosePoint::new(high, &dosed(system, liquor, reagent, high)?))
}

/// What a metal leaves of the silver, and what it costs of itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CementationFloor {
    /// Silver left in solution by the potentials alone, mol per kg of water.
    pub dissolved_silver_mol_per_kg: f64,
    /// Metal that dissolves, mol.
    pub metal_dissolved_mol: f64,
    /// The same, g.
    pub metal_dissolved_g: f64,
    /// Metal in solution afterwards, mg per kg of water: what a local limit is compared with.
    pub metal_mg_per_kg: f64,
    /// Silver that plates out, mol.
    pub silver_plated_mol: f64,
    /// Ionic strength, mol per kg of water.
    pub ionic_strength: f64,
}

impl CementationFloor {
    /// What an equilibrium with more than enough copper, zinc or iron in it comes to:
    /// 2 Ag+ + M = 2 Ag + M2+. A real cartridge stops at milligrams per litre.
    #[must_use]
    pub fn at(answer: &Equilibrium, metal: MetalInContact) -> Self {
        let (mass, ion) = metal.row().map_or((0.0, 0.0), |m| {
            (m.formula.molar_mass_g_per_mol(), answer.dissolved(m.ion))
        });
        Self {
            dissolved_silver_mol_per_kg: answer.dissolved_silver(),
            metal_dissolved_mol: answer.metal_dissolved_mol,
            metal_dissolved_g: answer.metal_dissolved_mol * mass,
            metal_mg_per_kg: ion * mass * 1000.0,
            silver_plated_mol: answer.silver_plated_mol,
            ionic_strength: answer.ionic_strength,
        }
    }
}
