//! The proof of an equilibrium: every law checked again from the tables and the answer alone.
//!
//! Shares no code with the iteration. It works in decimal logarithms from the answer's molalities,
//! and takes nothing from the solver but the answer.

use super::solver::Equilibrium;
use super::species::{Component, Phase, bits, tables};
use super::system::{ActivityModel, CarbonDioxide, MetalInContact, Mixture, System};
use std::f64::consts::LN_10;
use std::fmt;

/// Greatest part of a component that may be missing.
pub const MASS_LIMIT: f64 = 1e-9;
/// Greatest error of a mass action law, log10.
pub const MASS_ACTION_LIMIT: f64 = 1e-8;
/// Greatest saturation index of an absent solid, and size of that of a present one.
pub const SATURATION_LIMIT: f64 = 1e-6;
/// Greatest relative error of the ionic strength.
pub const IONIC_STRENGTH_LIMIT: f64 = 1e-8;
/// Greatest error of the activity of water and relative error of its mass.
pub const WATER_LIMIT: f64 = 1e-8;
/// Greatest charge left, as a part of all charges.
pub const CHARGE_LIMIT: f64 = 1e-9;

/// What the proof measured: the worst of each kind.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Proof {
    /// Part of a component that is missing.
    pub mass: f64,
    /// Error of a mass action law, log10.
    pub mass_action: f64,
    /// Saturation index where it should not be.
    pub saturation: f64,
    /// Relative error of the ionic strength.
    pub ionic_strength: f64,
    /// Error of the activity of water or relative error of its mass.
    pub water: f64,
    /// Charge left, as a part of all charges.
    pub charge: f64,
}

/// A law that the answer breaks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Failure {
    /// Which law.
    pub law: Law,
    /// By how much.
    pub measured: f64,
    /// How much would pass.
    pub limit: f64,
}

/// The laws an equilibrium keeps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Law {
    /// A component's mass balance.
    Mass,
    /// A species' mass action law.
    MassAction,
    /// Saturation of the solids, the gas or the metal couple.
    Saturation,
    /// The ionic strength.
    IonicStrength,
    /// The mass and the activity of water.
    Water,
    /// The charge balance.
    Charge,
    /// No amount is negative, and every number is finite.
    Sign,
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:?} is off by {:.2e}: expected at most {:.0e}",
            self.law, self.measured, self.limit
        )
    }
}

impl std::error::Error for Failure {}

fn log10_gamma(system: &System, mixture: &Mixture, ionic_strength: f64, charge: f64) -> f64 {
    if mixture.activity_model == ActivityModel::Ideal {
        return 0.0;
    }
    if charge == 0.0 {
        return 0.1 * ionic_strength;
    }
    let z2 = charge * charge;
    let root = ionic_strength.sqrt();
    -system.davies_a * z2 * (root / (1.0 + root) - 0.3 * ionic_strength)
}

/// Whether all are finite and none is negative; looks at all of them, which several at a time is
/// quicker than one after the other.
fn all_amounts(list: &[f64]) -> bool {
    list.iter()
        .fold(true, |all, n| all & (*n >= 0.0) & (*n < f64::INFINITY))
}

/// Proves an answer.
///
/// # Errors
/// The first law that the answer breaks, with the measure and the limit.
pub fn prove(system: &System, mixture: &Mixture, answer: &Equilibrium) -> Result<Proof, Failure> {
    let t = tables();
    let mut proof = Proof::default();
    let finite = answer.ionic_strength.is_finite()
        && answer.water_kg > 0.0
        && answer.water_kg.is_finite()
        && all_amounts(&answer.molality)
        && all_amounts(&answer.solid_mol)
        && answer.carbon_dioxide_released_mol.is_finite()
        && answer.metal_dissolved_mol.is_finite();
    if !finite {
        return Err(Failure {
            law: Law::Sign,
            measured: f64::NAN,
            limit: 0.0,
        });
    }

    // The components' activities; that they belong to the molalities is the mass action of the
    // components themselves.
    let mut log_activity = [f64::NEG_INFINITY; Component::COUNT];
    for (slot, ln) in log_activity.iter_mut().zip(&answer.ln_activity) {
        *slot = ln / LN_10;
    }
    let gamma: [f64; 5] =
        std::array::from_fn(|z| log10_gamma(system, mixture, answer.ionic_strength, z as f64));
    let log_water = answer.water_activity.log10();

    let mut balance = [0.0f64; Component::COUNT];
    let mut gross = [0.0f64; Component::COUNT];
    let mut sum = 0.0;
    let mut strength = 0.0;
    let mut charge = 0.0;
    let mut charges = 0.0;
    let mut bound_water = 0.0;
    for ((species, molality), ln_k) in t.species.iter().zip(&answer.molality).zip(&system.ln_k) {
        if *molality == 0.0 {
            continue;
        }
        let zf = f64::from(species.charge);
        sum += molality;
        strength += 0.5 * zf * zf * molality;
        charge += zf * molality;
        charges += zf.abs() * molality;
        bound_water += f64::from(species.water) * molality * answer.water_kg;
        let mut log = ln_k / LN_10 + f64::from(species.water) * log_water;
        for i in bits(species.mask) {
            let nu = f64::from(species.components[i]);
            log += nu * log_activity[i];
            let moles = nu * molality * answer.water_kg;
            balance[i] += moles;
            gross[i] += moles.abs();
        }
        if *molality > 1e-280 {
            let own = molality.log10() + gamma[usize::from(species.charge.unsigned_abs().min(4))];
            proof.mass_action = proof.mass_action.max((own - log).abs());
        }
    }

    let mut water_in_phases = 0.0;
    let mut count = |phase: &Phase, amount: f64| {
        if amount == 0.0 {
            return;
        }
        for i in bits(phase.mask) {
            let moles = f64::from(phase.components[i]) * amount;
            balance[i] += moles;
            gross[i] += moles.abs();
        }
        water_in_phases += f64::from(phase.water) * amount;
    };
    let mut stock = 0.0f64;
    for (((solid, start), amount), formed) in t
        .solids
        .iter()
        .zip(mixture.start_mol)
        .zip(answer.solid_mol)
        .zip(answer.solid_formed_mol)
    {
        // The change counts: a large stock would hide a small error.
        count(solid, formed);
        stock = stock.max((amount - start - formed).abs() / amount.max(start).max(1e-290));
    }
    count(&t.carbon_dioxide, answer.carbon_dioxide_released_mol);
    let metal = mixture
        .metal
        .filter(|m| *m != MetalInContact::Ag)
        .and_then(MetalInContact::row);
    if let Some(metal) = metal {
        for (component, moles) in [
            (Component::Silver, answer.silver_plated_mol),
            (metal.ion, -answer.metal_dissolved_mol),
        ] {
            balance[component.index()] += moles;
            gross[component.index()] += moles.abs();
        }
    }
    let imbalance = match mixture.activity_model {
        ActivityModel::Davies => system.start_imbalance[0],
        ActivityModel::Ideal => system.start_imbalance[1],
    } * mixture.water_kg;
    let mut expected_charge = 0.0;
    for (i, total) in mixture.totals_mol.iter().enumerate() {
        let total = if i == Component::Hydrogen.index() {
            total + imbalance
        } else {
            *total
        };
        expected_charge += t.species.get(i).map_or(0.0, |s| f64::from(s.charge)) * total;
        let (have, scale) = (balance[i], gross[i]);
        let off = (have - total).abs();
        if off > 0.0 {
            proof.mass = proof.mass.max(off / scale.max(total.abs()).max(1e-290));
        }
    }
    proof.mass = proof.mass.max(stock);
    proof.charge = (charge * answer.water_kg - expected_charge).abs()
        / (charges * answer.water_kg).max(1e-290);

    proof.ionic_strength =
        (strength - answer.ionic_strength).abs() / answer.ionic_strength.max(1e-290);
    let water_mol = mixture.water_kg / super::system::WATER_KG_PER_MOL + mixture.reagent_water_mol;
    let water_kg = (water_mol - bound_water - water_in_phases) * super::system::WATER_KG_PER_MOL;
    proof.water = (answer.water_activity - (1.0 - 0.017 * sum))
        .abs()
        .max((water_kg - answer.water_kg).abs() / answer.water_kg);

    // Saturation.
    let index = |phase: &Phase, ln_k: f64| -> f64 {
        let mut log = f64::from(phase.water) * log_water - ln_k / LN_10;
        for i in bits(phase.mask) {
            log += f64::from(phase.components[i]) * log_activity[i];
        }
        log
    };
    let known = (log_activity.iter().enumerate()).fold(0u32, |known, (i, log)| {
        known | u32::from(log.is_finite()) << i
    });
    for (i, solid) in t.solids.iter().enumerate() {
        let there = answer.solid_mol.get(i).is_some_and(|n| *n > 0.0);
        // A solid of which something is not in the mixture has no index, and must not be there.
        if !mixture.solids.contains(i) || (solid.mask & !known != 0 && !there) {
            continue;
        }
        let si = index(solid, system.ln_k_phase.get(i).copied().unwrap_or_default());
        let off = if there { si.abs() } else { si.max(0.0) };
        if si.is_finite() || there {
            proof.saturation = proof.saturation.max(off);
        }
    }
    let gas_ln_k = system
        .ln_k_phase
        .get(t.solids.len())
        .copied()
        .unwrap_or_default();
    let pressure = index(&t.carbon_dioxide, gas_ln_k);
    let off = match mixture.carbon_dioxide {
        CarbonDioxide::Closed => answer.carbon_dioxide_released_mol.abs() * f64::MAX,
        CarbonDioxide::VentsAtSaturation if answer.carbon_dioxide_released_mol > 0.0 => {
            pressure.abs()
        }
        CarbonDioxide::VentsAtSaturation => pressure.max(0.0),
        CarbonDioxide::OpenToAir => (pressure - t.air_log_pressure).abs(),
    };
    proof.saturation = proof.saturation.max(off);
    if let Some(metal) = metal {
        let used_up = mixture
            .metal_supply_mol
            .is_some_and(|supply| answer.metal_dissolved_mol >= supply);
        let silver_log_k = MetalInContact::Ag.row().map_or(0.0, |m| m.log_k);
        let electrons = f64::from(metal.electron_count);
        let log = |c: Component| log_activity[c.index()];
        let si = electrons * log(Component::Silver)
            - log(metal.ion)
            - (electrons * silver_log_k - metal.log_k);
        if answer.metal_dissolved_mol > 0.0 && !used_up {
            proof.saturation = proof.saturation.max(si.abs());
        } else if used_up {
            // More metal would dissolve if there were more.
            proof.saturation = proof.saturation.max(-si);
        } else {
            proof.saturation = proof.saturation.max(si);
        }
    }

    for (law, measured, limit) in [
        (Law::Mass, proof.mass, MASS_LIMIT),
        (Law::MassAction, proof.mass_action, MASS_ACTION_LIMIT),
        (Law::Saturation, proof.saturation, SATURATION_LIMIT),
        (
            Law::IonicStrength,
            proof.ionic_strength,
            IONIC_STRENGTH_LIMIT,
        ),
        (Law::Water, proof.water, WATER_LIMIT),
        (Law::Charge, proof.charge, CHARGE_LIMIT),
    ] {
        if measured.is_nan() || measured > limit {
            return Err(Failure {
                law,
                measured,
                limit,
            });
        }
    }
    Ok(proof)
}
