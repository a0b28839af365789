//! A mixture brought to a pH by as much of a reagent as that takes: the activity of hydrogen is known, and
//! the amount is unknown in its place.

use super::super::proof;
use super::super::reagent::Reagent;
use super::super::system::{LN_10, Mixture, System};
use super::active::{Search, TIGHT};
use super::guess::start_at;
use super::newton::{Coupling, HIGHEST_IONIC_STRENGTH, State, Sums, Workspace, gammas};
use super::problem::{Problem, Titration};
use super::reduced::Reduced;
use super::{Equilibrium, EquilibriumError, ROOM, Room, Solved, check, report};

impl System {
    /// Brings a mixture without a metal to a pH by a reagent that gives or takes protons: the amount of
    /// it, mol, which may be negative, and the equilibrium there.
    ///
    /// # Errors
    /// As [`System::solve`]; not every mixture is found that can be, for there is one road only.
    pub(crate) fn solve_at_ph(
        &self,
        mixture: &Mixture,
        reagent: &Reagent,
        ph: f64,
        near: Option<&Equilibrium>,
    ) -> Result<(f64, Equilibrium), EquilibriumError> {
        check(mixture)?;
        ROOM.with_borrow_mut(|room| {
            let Room { problem, work } = &mut **room;
            problem.lay_out(self, mixture, true, Some(reagent));
            let solved = find_at_ph(work, problem, -ph * LN_10, near)?;
            let amount_mol = work.sums.titrant_mol;
            let mut titrated = mixture.clone();
            titrated.add(reagent, amount_mol);
            check(&titrated)?;
            let mut out = report(self, &titrated, problem, work, &solved)?;
            out.proof = proof::prove(self, &titrated, &out).map_err(EquilibriumError::NotProved)?;
            Ok((amount_mol, out))
        })
    }
}

/// Finds the phases and the state of a mixture that something brings to a pH; nothing but the straight
/// road is tried.
fn find_at_ph(
    work: &mut Workspace,
    p: &Problem,
    ln_hydrogen: f64,
    near: Option<&Equilibrium>,
) -> Result<Solved, EquilibriumError> {
    work.iterations = 0;
    work.sweeps = 0;
    let mut search = match near {
        Some(near) => Search::near(p, near, None),
        None => Search::cold(p, work.start_at_ph(p, ln_hydrogen)),
    };
    match search.settle(work, Coupling::Free, TIGHT) {
        Ok(()) => Ok(search.end()),
        Err(_) => Err(search.lost(work)),
    }
}

impl Workspace {
    /// A first guess of a mixture that is brought to a pH: made once for the amounts, and again at the
    /// ionic strength that these come to.
    fn start_at_ph(&mut self, p: &Problem, ln_hydrogen: f64) -> State {
        let first = start_at(p, ln_hydrogen, None);
        if self.reduced.set(p, &[], &p.at_hand()).is_err() {
            return first;
        }
        let g = gammas(p, first.ln_i);
        self.sums.evaluate(p, &self.reduced, &first, &g);
        let strength = (self.sums.z2_moles / (2.0 * p.water_kg)).min(HIGHEST_IONIC_STRENGTH);
        if strength > first.ln_i.exp() {
            start_at(p, ln_hydrogen, Some(strength.ln()))
        } else {
            first
        }
    }
}

impl Sums {
    /// Adds the titrant that balances the protons.
    pub(super) fn titrate(&mut self, r: &Reduced, titration: &Titration, hydrogen: usize) {
        let mol = (self.positive[hydrogen] - self.negative[hydrogen]) / r.titrant[hydrogen];
        self.titrant_mol = mol;
        for u in 0..r.unknowns {
            // The sides anew, for a total may change its own.
            let (before, now) = (r.total[u], r.total[u] + mol * r.titrant[u]);
            self.total[u] = now;
            self.positive[u] += before.min(0.0) - now.min(0.0);
            self.negative[u] += now.max(0.0) - before.max(0.0);
        }
        self.water_total += mol * r.titrant_water;
        self.spectator_mol += mol * titration.spectator_mol;
        self.all_moles += mol * titration.spectator_mol;
        self.spectator_z2_mol += mol * titration.spectator_z2_mol;
        self.z2_moles += mol * titration.spectator_z2_mol;
    }
}
