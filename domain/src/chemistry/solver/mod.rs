//! The equilibrium solver.
//!
//! Mass balances and the proton balance in logarithms, ionic strength, mass and activity of water
//! as unknowns of the same Newton iteration; solids, gas and a metal couple as an active set in
//! which each present phase takes one component out. When the iteration fails, the equilibrium at
//! fixed ionic strength is found as the least of a convex function and the ionic strength is
//! bracketed outside. Every answer is proved afterwards by [`super::proof`], which shares nothing
//! with the iteration. A thread's first solution takes room from the heap, the others none.
#![expect(
    clippy::arithmetic_side_effects,
    reason = "indices stay below the lengths of fixed arrays"
)]
#![expect(
    clippy::needless_range_loop,
    reason = "several arrays run along one index"
)]

mod active;
mod convex;
mod guess;
mod linear;
mod newton;
mod problem;
mod reduced;
mod sensitivity;
mod titration;

use super::proof;
use super::species::{Component, bits, tables};
use super::system::{LN_10, MAX_PHASES, MAX_SPECIES, MetalInContact, Mixture, System};
use newton::{State, Workspace};
use problem::{MAX_COMPONENTS, Problem, gas_index};
pub use sensitivity::{Figure, Sensitivities};
use std::cell::RefCell;
use std::fmt;

/// Room for the unknowns of one iteration: components, ionic strength, mass and activity of water.
const MAX_UNKNOWNS: usize = MAX_COMPONENTS + 3;

/// Greatest ionic strength for which an answer is given, mol/kg.
pub const REFUSED_ABOVE: f64 = 5.0;

/// Most solutes for which an answer is given, mol/kg: beyond, the activity of water is a guess.
pub const MOST_SOLUTES: f64 = 30.0;

/// The arrays of one solution. Each thread has its own and uses them again: filling them anew takes
/// longer than many a solution.
struct Room {
    problem: Problem,
    work: Workspace,
}

thread_local! {
    static ROOM: RefCell<Box<Room>> = RefCell::new(Box::new(Room {
        problem: Problem::EMPTY,
        work: Workspace::new(),
    }));
}

/// Why there is no equilibrium to report.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EquilibriumError {
    /// There is no water.
    NoWater,
    /// An amount is negative or not a number.
    BadAmount {
        /// The component.
        component: Component,
        /// Its amount, mol.
        amount_mol: f64,
    },
    /// The liquor is stronger than the activity model can bear.
    TooConcentrated {
        /// Ionic strength that the equations lead to, mol/kg.
        ionic_strength: f64,
    },
    /// There is so much in the water that it is hardly a solution.
    TooLittleWater {
        /// All solutes, mol/kg.
        solutes_mol_per_kg: f64,
    },
    /// A metal is named and there is no silver for it.
    NoSilverForMetal,
    /// The iteration found no answer.
    NotConverged {
        /// Iterations made.
        iterations: u32,
        /// Ionic strength where it stopped, mol/kg.
        ionic_strength: f64,
        /// pH where it stopped.
        ph: f64,
    },
    /// An answer was found and did not pass the proof.
    NotProved(proof::Failure),
}

impl fmt::Display for EquilibriumError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoWater => f.write_str("there is no water"),
            Self::BadAmount {
                component,
                amount_mol,
            } => write!(f, "{amount_mol} mol of {component:?} cannot be"),
            Self::TooConcentrated { ionic_strength } => write!(
                f,
                "ionic strength {ionic_strength:.3} mol/kg: expected at most {REFUSED_ABOVE}"
            ),
            Self::TooLittleWater { solutes_mol_per_kg } => write!(
                f,
                "{solutes_mol_per_kg:.1} mol of solutes in a kilogram of water: expected at most {MOST_SOLUTES}"
            ),
            Self::NoSilverForMetal => f.write_str("there is no silver for the metal"),
            Self::NotConverged {
                iterations,
                ionic_strength,
                ph,
            } => write!(
                f,
                "no equilibrium was found in {iterations} iterations (stopped at ionic strength {ionic_strength:.3e} mol/kg, pH {ph:.2})"
            ),
            Self::NotProved(failure) => write!(f, "the answer was not proved: {failure}"),
        }
    }
}

impl std::error::Error for EquilibriumError {}

/// A solved equilibrium, in fixed arrays; indices are those of [`tables`].
#[derive(Debug, Clone, PartialEq)]
pub struct Equilibrium {
    /// Mass of water, kg.
    pub water_kg: f64,
    /// Activity of water.
    pub water_activity: f64,
    /// Ionic strength, mol per kg of water.
    pub ionic_strength: f64,
    /// Molality of each species, mol per kg of water; zero for what is not there.
    pub molality: [f64; MAX_SPECIES],
    /// Natural logarithm of each species' activity; negative infinity for what is not there.
    pub ln_activity: [f64; MAX_SPECIES],
    /// Amount of each solid, mol.
    pub solid_mol: [f64; MAX_PHASES],
    /// How much of each solid formed since the start, mol; negative when it dissolved.
    pub solid_formed_mol: [f64; MAX_PHASES],
    /// log10 of the ion activity product over the constant, where all its ions are there.
    pub saturation_index: [Option<f64>; MAX_PHASES],
    /// Carbon dioxide that left, mol; negative when air gave some.
    pub carbon_dioxide_released_mol: f64,
    /// Metal that went into solution, mol.
    pub metal_dissolved_mol: f64,
    /// Silver that plated out on the metal, mol.
    pub silver_plated_mol: f64,
    /// Newton steps made.
    pub iterations: u32,
    /// Sweeps of the approach made.
    pub sweeps: u32,
    /// What the proof measured.
    pub proof: proof::Proof,
}

impl Equilibrium {
    /// Where to begin the search for a mixture that lies beyond this one, as far as `share` of the way
    /// from `before` to this one: the activities run on in logarithms.
    #[must_use]
    pub(crate) fn beyond(&self, before: &Self, share: f64) -> Self {
        const FARTHEST: f64 = 2.0;
        // Two points at one place point nowhere.
        let share = if share.is_nan() {
            0.0
        } else {
            share.clamp(-FARTHEST, FARTHEST)
        };
        let mut out = self.clone();
        for (ln, then) in out
            .ln_activity
            .iter_mut()
            .zip(&before.ln_activity)
            .take(Component::COUNT)
            .filter(|(ln, then)| ln.is_finite() && then.is_finite())
        {
            *ln += share * (*ln - then);
        }
        let grown = self.ionic_strength / before.ionic_strength;
        if grown.is_finite() && grown > 0.0 {
            out.ionic_strength *= grown.powf(share);
        }
        out
    }

    /// pH, by the activity of the hydrogen ion.
    #[must_use]
    pub fn ph(&self) -> f64 {
        -self.ln_activity[Component::Hydrogen.index()] / LN_10
    }

    /// Minus log10 of the activity of the free silver ion; `None` without silver.
    #[must_use]
    pub fn pag(&self) -> Option<f64> {
        let ln = self.ln_activity[Component::Silver.index()];
        ln.is_finite().then(|| -ln / LN_10)
    }

    /// Free silver ion, mol per kg of water.
    #[must_use]
    pub const fn free_silver(&self) -> f64 {
        self.molality[Component::Silver.index()]
    }

    /// All dissolved silver, mol per kg of water.
    #[must_use]
    pub fn dissolved_silver(&self) -> f64 {
        self.dissolved(Component::Silver)
    }

    /// One component in all its dissolved species, mol per kg of water.
    #[must_use]
    pub fn dissolved(&self, component: Component) -> f64 {
        tables()
            .species
            .iter()
            .zip(&self.molality)
            .map(|(s, m)| f64::from(s.of(component)) * m)
            .sum()
    }

    /// Molality of the species with that formula, mol per kg of water; zero for one that is not there.
    #[must_use]
    pub fn molality_of(&self, formula: &str) -> f64 {
        tables()
            .species_index(formula)
            .and_then(|i| self.molality.get(i))
            .copied()
            .unwrap_or_default()
    }

    /// Amount of the solid with that formula, mol.
    #[must_use]
    pub fn solid_of(&self, formula: &str) -> f64 {
        tables()
            .solid_index(formula)
            .and_then(|i| self.solid_mol.get(i))
            .copied()
            .unwrap_or_default()
    }

    /// Saturation index of the solid with that formula.
    #[must_use]
    pub fn saturation_index_of(&self, formula: &str) -> Option<f64> {
        *tables()
            .solid_index(formula)
            .and_then(|i| self.saturation_index.get(i))?
    }
}

impl System {
    /// Solves a mixture.
    ///
    /// # Errors
    /// [`EquilibriumError`]: no water, an amount that cannot be, a liquor that is too strong, or an
    /// answer that was not found or not proved. There is never a number without a proof.
    ///
    /// ```
    /// use spent_silver_domain::chemistry::species::Component;
    /// use spent_silver_domain::chemistry::system::{Mixture, System};
    /// let mut bath = Mixture::new(1.0);
    /// bath.add_component(Component::Silver, 0.53);
    /// bath.add_component(Component::Nitrate, 0.54);
    /// bath.add_component(Component::Hydrogen, 0.01);
    /// let solved = System::at_25_c().solve(&bath).unwrap();
    /// assert!((solved.ph() - 2.135_723).abs() < 1e-5);
    /// ```
    pub fn solve(&self, mixture: &Mixture) -> Result<Equilibrium, EquilibriumError> {
        self.solve_from(mixture, None)
    }

    /// Solves a mixture, starting from the equilibrium of one that is nearly the same.
    ///
    /// # Errors
    /// As [`System::solve`].
    pub fn solve_from(
        &self,
        mixture: &Mixture,
        near: Option<&Equilibrium>,
    ) -> Result<Equilibrium, EquilibriumError> {
        check(mixture)?;
        ROOM.with_borrow_mut(|room| match self.solve_in(room, mixture, near) {
            // A start from too far off may lead astray; the cold one is the surer.
            Err(EquilibriumError::NotConverged { .. } | EquilibriumError::NotProved(_))
                if near.is_some() =>
            {
                self.solve_in(room, mixture, None)
            }
            other => other,
        })
    }

    fn solve_in(
        &self,
        room: &mut Room,
        mixture: &Mixture,
        near: Option<&Equilibrium>,
    ) -> Result<Equilibrium, EquilibriumError> {
        let mut out = self.search(room, mixture, near, true)?;
        // A finite supply of metal that would be used up: all of it dissolves, and the rest of the
        // silver finds its own equilibrium.
        if let (Some(metal), Some(supply)) = (
            mixture
                .metal
                .filter(|m| *m != MetalInContact::Ag)
                .and_then(MetalInContact::row),
            mixture.metal_supply_mol,
        ) && out.metal_dissolved_mol > supply
        {
            let plated = supply * f64::from(metal.electron_count);
            let mut rest = mixture.clone();
            rest.totals_mol[metal.ion.index()] += supply;
            // This may fall below zero where the silver comes out of the solids of the start.
            rest.totals_mol[Component::Silver.index()] -= plated;
            out = self.search(room, &rest, None, false)?;
            out.metal_dissolved_mol = supply;
            out.silver_plated_mol = plated;
        }
        out.proof = proof::prove(self, mixture, &out).map_err(EquilibriumError::NotProved)?;
        Ok(out)
    }

    /// One search, not proved yet.
    fn search(
        &self,
        room: &mut Room,
        mixture: &Mixture,
        near: Option<&Equilibrium>,
        couple: bool,
    ) -> Result<Equilibrium, EquilibriumError> {
        let Room { problem, work } = room;
        problem.lay_out(self, mixture, couple, None);
        let solved = active::find(work, problem, near)?;
        report(self, mixture, problem, work, &solved)
    }
}

fn check(mixture: &Mixture) -> Result<(), EquilibriumError> {
    if !(mixture.water_kg > 0.0 && mixture.water_kg.is_finite()) {
        return Err(EquilibriumError::NoWater);
    }
    for (component, amount_mol) in Component::ALL.into_iter().zip(mixture.totals_mol) {
        let good =
            amount_mol.is_finite() && (amount_mol >= 0.0 || component == Component::Hydrogen);
        if !good {
            return Err(EquilibriumError::BadAmount {
                component,
                amount_mol,
            });
        }
    }
    if let Some(metal) = mixture.metal {
        let silver = mixture.total_mol(Component::Silver)
            + mixture
                .start()
                .map(|(s, n)| f64::from(s.components[Component::Silver.index()]) * n)
                .sum::<f64>();
        if silver <= 0.0 {
            return Err(EquilibriumError::NoSilverForMetal);
        }
        // The metal that the silver takes the place of must find room in the water.
        let solutes_mol_per_kg = silver / mixture.water_kg;
        if metal != MetalInContact::Ag && solutes_mol_per_kg > MOST_SOLUTES {
            return Err(EquilibriumError::TooLittleWater { solutes_mol_per_kg });
        }
    }
    Ok(())
}

/// Where the search ended.
struct Solved {
    pub state: State,
    pub active: active::ActiveSet,
    pub amounts: [f64; MAX_PHASES],
    pub formed: [f64; MAX_PHASES],
}

/// Turns the end of the search into an answer in the table's indices.
fn report(
    system: &System,
    mixture: &Mixture,
    p: &Problem,
    work: &Workspace,
    solved: &Solved,
) -> Result<Equilibrium, EquilibriumError> {
    let t = tables();
    let state = &solved.state;
    let g = newton::gammas(p, state.ln_i);
    let water_kg = state.ln_w.exp();
    let mut out = Equilibrium {
        water_kg,
        water_activity: state.ln_aw.exp(),
        ionic_strength: work.sums.z2_moles / (2.0 * water_kg),
        molality: [0.0; MAX_SPECIES],
        ln_activity: [f64::NEG_INFINITY; MAX_SPECIES],
        solid_mol: [0.0; MAX_PHASES],
        solid_formed_mol: [0.0; MAX_PHASES],
        saturation_index: [None; MAX_PHASES],
        carbon_dioxide_released_mol: 0.0,
        metal_dissolved_mol: 0.0,
        silver_plated_mol: 0.0,
        iterations: work.iterations,
        sweeps: work.sweeps,
        proof: proof::Proof::default(),
    };
    if out.ionic_strength > REFUSED_ABOVE {
        return Err(EquilibriumError::TooConcentrated {
            ionic_strength: out.ionic_strength,
        });
    }
    let solutes_mol_per_kg = work.sums.all_moles / water_kg;
    if solutes_mol_per_kg > MOST_SOLUTES {
        return Err(EquilibriumError::TooLittleWater { solutes_mol_per_kg });
    }
    for i in 0..p.species {
        let molality = work.sums.moles[i] / water_kg;
        let row = p.species_row[i];
        out.molality[row] = molality;
        // The logarithm is built from the components, so that it outlives an amount that underflows.
        let mut ln = p.ln_k[i] + p.nu_water[i] * state.ln_aw;
        for c in 0..p.components {
            ln += p.nu[i][c] * state.y[c];
        }
        out.ln_activity[row] = ln;
    }
    for (i, component) in Component::ALL.into_iter().enumerate() {
        // Spectators: all of it is the ion.
        if mixture.totals_mol[i] > 0.0 && !p.component[..p.components].contains(&component) {
            let charge = t.species.get(i).map_or(0, |s| s.charge.unsigned_abs());
            out.molality[i] = mixture.totals_mol[i] / water_kg;
            out.ln_activity[i] = out.molality[i].ln() + g.ln[usize::from(charge.min(4))];
        }
    }
    let there = (0..Component::COUNT).fold(0u32, |there, c| {
        there | u32::from(out.ln_activity[c].is_finite()) << c
    });
    for (id, solid) in t.solids.iter().enumerate() {
        if solid.mask & !there != 0 {
            continue;
        }
        let mut ln = f64::from(solid.water) * state.ln_aw - system.ln_k_phase[id];
        for c in bits(solid.mask) {
            ln += f64::from(solid.components[c]) * out.ln_activity[c];
        }
        out.saturation_index[id] = ln.is_finite().then_some(ln / LN_10);
    }
    for phase in 0..p.phases {
        let id = p.phase_id[phase];
        let amount = if solved.active.contains(phase) {
            solved.amounts[phase]
        } else {
            0.0
        };
        if id < gas_index() {
            // Exactly at saturation the amount may come out as a hair below nothing: then none is there.
            out.solid_mol[id] = amount.max(0.0);
            out.solid_formed_mol[id] = if amount > 0.0 {
                solved.formed[phase]
            } else {
                0.0 - p.phase_start[phase]
            };
        } else if id == gas_index() {
            out.carbon_dioxide_released_mol = amount;
        } else {
            let metal = mixture.metal.and_then(MetalInContact::row);
            out.metal_dissolved_mol = amount;
            out.silver_plated_mol = amount * metal.map_or(0.0, |m| f64::from(m.electron_count));
        }
    }
    Ok(out)
}
