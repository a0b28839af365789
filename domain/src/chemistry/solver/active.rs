//! Which phases are present: added and dropped one at a time until none is supersaturated and none negative.

use super::super::species::Component;
use super::super::system::{ActivityModel, MAX_PHASES, MAX_SPECIES};
use super::guess::{cold_start, start_at};
use super::newton::{Coupling, State, Workspace};
use super::problem::{MAX_COMPONENTS, PhaseKind, Problem};
use super::{Equilibrium, EquilibriumError, Solved};

/// Balances hold to this, as the logarithm of positive over negative terms.
pub(super) const TIGHT: f64 = 1e-11;
/// What is good enough to choose the phases by.
const CHOOSING: f64 = 1e-5;
/// A phase is supersaturated above this, natural logarithm per ion.
const SUPERSATURATED: f64 = 1e-9;
/// Newton steps before the slow road is taken.
const MOST_STEPS: u32 = 25;

/// The phases present, in the order they came.
#[derive(Clone, Copy)]
pub(super) struct ActiveSet {
    len: usize,
    list: [usize; MAX_PHASES],
}

impl ActiveSet {
    const EMPTY: Self = Self {
        len: 0,
        list: [0; MAX_PHASES],
    };

    pub(super) fn as_slice(&self) -> &[usize] {
        &self.list[..self.len]
    }

    pub(super) fn contains(&self, phase: usize) -> bool {
        self.as_slice().contains(&phase)
    }

    fn push(&mut self, phase: usize) {
        if self.len < MAX_PHASES && !self.contains(phase) {
            self.list[self.len] = phase;
            self.len += 1;
        }
    }

    fn remove(&mut self, at: usize) {
        for i in at + 1..self.len {
            self.list[i - 1] = self.list[i];
        }
        self.len -= usize::from(at < self.len);
    }

    fn mask(&self) -> u32 {
        self.as_slice().iter().fold(0, |m, p| m | (1u32 << p))
    }
}

/// The search as it stands.
pub(super) struct Search<'a> {
    p: &'a Problem,
    state: State,
    active: ActiveSet,
    /// Amount of each phase, by phase.
    amounts: [f64; MAX_PHASES],
    /// How much of it has formed since the start.
    formed: [f64; MAX_PHASES],
    /// How much of each component is dissolved, all signs positive.
    gross: [f64; MAX_COMPONENTS],
}

/// Whether a solved mixture knows the activity of every component.
fn lacks_nothing(p: &Problem, near: &Equilibrium) -> bool {
    p.component[..p.components]
        .iter()
        .all(|c| near.ln_activity[c.index()].is_finite())
}

pub(super) enum Trouble {
    NoRoot,
    Cycle,
}

/// Finds the phases and the state.
pub(super) fn find(
    work: &mut Workspace,
    p: &Problem,
    near: Option<&Equilibrium>,
) -> Result<Solved, EquilibriumError> {
    work.iterations = 0;
    work.sweeps = 0;
    if let Some(near) = near {
        let hydrogen = near.ln_activity[Component::Hydrogen.index()];
        let guessed = (!lacks_nothing(p, near)).then(|| start_at(p, hydrogen, None));
        let mut search = Search::near(p, near, guessed.as_ref());
        if search.settle(work, Coupling::Free, TIGHT).is_ok() {
            return Ok(search.end());
        }
    }
    let cold = cold_start(p);
    let mut search = Search::cold(p, cold);
    let coupling = if p.model == ActivityModel::Ideal {
        Coupling::Held
    } else {
        Coupling::Free
    };
    // Where no phase is there to begin with, the coupled iteration mostly finds its way by itself.
    let straight = coupling == Coupling::Held || search.active.len == 0;
    if straight && search.settle(work, coupling, TIGHT).is_ok() {
        return Ok(search.end());
    }
    if coupling == Coupling::Free && p.phases > 0 {
        search = Search::cold(p, cold);
        if search.settle(work, Coupling::Held, CHOOSING).is_ok()
            && search.settle(work, coupling, TIGHT).is_ok()
        {
            return Ok(search.end());
        }
    }
    search.bracket(work, cold)?;
    Ok(search.end())
}

impl<'a> Search<'a> {
    pub(super) fn end(&self) -> Solved {
        Solved {
            state: self.state,
            active: self.active,
            amounts: self.amounts,
            formed: self.formed,
        }
    }

    /// Begins at a solved mixture; a component that it lacks begins as guessed.
    pub(super) fn near(p: &'a Problem, near: &Equilibrium, guessed: Option<&State>) -> Self {
        let mut y = guessed.map_or([0.0; MAX_COMPONENTS], |g| g.y);
        for c in 0..p.components {
            let ln = near.ln_activity[p.component[c].index()];
            if ln.is_finite() {
                y[c] = ln;
            }
        }
        let state = State {
            y,
            ln_i: near.ionic_strength.max(1e-12).ln(),
            ln_w: near.water_kg.ln(),
            ln_aw: near.water_activity.ln(),
        };
        let mut search = Self::cold(p, state);
        for phase in 0..p.phases {
            let there = near
                .solid_mol
                .get(p.phase_id[phase])
                .is_some_and(|n| *n > 0.0)
                || (p.phase_id[phase] == super::gas_index()
                    && near.carbon_dioxide_released_mol > 0.0)
                || (p.phase_id[phase] > super::gas_index() && near.metal_dissolved_mol > 0.0);
            if there {
                search.active.push(phase);
            }
        }
        // What is supersaturated there will most likely form here.
        if let Some(next) = search.to_add(false) {
            search.active.push(next);
        }
        search
    }

    /// Begins with the phases of the start.
    pub(super) fn cold(p: &'a Problem, state: State) -> Self {
        let mut gross = p.at_hand();
        gross[p.hydrogen] = gross[p.hydrogen].abs().max(1e-7);
        let mut search = Self {
            p,
            state,
            active: ActiveSet::EMPTY,
            amounts: [0.0; MAX_PHASES],
            formed: [0.0; MAX_PHASES],
            gross,
        };
        for phase in 0..p.phases {
            if p.present_at_first(phase) {
                search.active.push(phase);
                search.amounts[phase] = p.phase_start[phase];
            }
        }
        search
    }

    /// Solves for the present phases, then adds or drops one, until nothing is left to do.
    pub(super) fn settle(
        &mut self,
        work: &mut Workspace,
        coupling: Coupling,
        tolerance: f64,
    ) -> Result<(), Trouble> {
        let p = self.p;
        let mut visited = [0u32; 96];
        let mut visits = 0;
        let mut cautious = false;
        // Amounts before the last phase came, for the ratio test.
        let mut before = self.amounts;
        loop {
            let mask = self.active.mask();
            if visited[..visits].contains(&mask) {
                cautious = true;
            }
            if visits >= visited.len() {
                return Err(Trouble::Cycle);
            }
            visited[visits] = mask;
            visits += 1;

            if let Err(dependent) = work.reduced.set(p, self.active.as_slice(), &self.gross) {
                let combination = work.reduced.combination[dependent.0];
                self.exchange(&combination, &before)?;
                continue;
            }
            work.reduced.complete(&mut self.state.y, self.state.ln_aw);
            self.root(work, coupling, tolerance)?;
            self.measure(work);
            // What was taken for the scarcest component may have turned out not to be.
            if work.reduced.is_poor(p, &self.gross)
                && work
                    .reduced
                    .set(p, self.active.as_slice(), &self.gross)
                    .is_ok()
            {
                self.root(work, coupling, tolerance)?;
                self.measure(work);
            }

            if let Some(at) = self.to_drop(&before, cautious) {
                let gone = self.active.list[at];
                self.active.remove(at);
                self.amounts[gone] = 0.0;
                before[gone] = 0.0;
                continue;
            }
            before = self.amounts;
            let Some(next) = self.to_add(cautious) else {
                return Ok(());
            };
            self.active.push(next);
        }
    }

    fn root(
        &mut self,
        work: &mut Workspace,
        coupling: Coupling,
        tolerance: f64,
    ) -> Result<(), Trouble> {
        let start = self.state;
        if work.newton(self.p, &mut self.state, coupling, tolerance, MOST_STEPS) {
            return Ok(());
        }
        if coupling == Coupling::Free {
            self.state = start;
            return Err(Trouble::NoRoot);
        }
        self.state = start;
        self.state.ln_w = self.p.water_kg.ln();
        self.state.ln_aw = 0.0;
        if work.descend(self.p, &mut self.state, 1e-6)
            && work.newton(self.p, &mut self.state, coupling, tolerance, MOST_STEPS)
        {
            return Ok(());
        }
        if work.descend(self.p, &mut self.state, tolerance.max(1e-11)) {
            return Ok(());
        }
        Err(Trouble::NoRoot)
    }

    /// Amounts of the phases and of what is dissolved, from the sums of the last iteration.
    fn measure(&mut self, work: &Workspace) {
        let p = self.p;
        let by_position = work.reduced.formed(
            p,
            self.active.as_slice(),
            &work.sums.moles,
            work.sums.titrant_mol,
        );
        self.amounts = [0.0; MAX_PHASES];
        for phase in 0..p.phases {
            self.formed[phase] = -p.phase_start[phase];
        }
        for (phase, formed) in self.active.as_slice().iter().zip(by_position) {
            self.formed[*phase] = formed;
            self.amounts[*phase] = p.phase_start[*phase] + formed;
        }
        self.gross = gross(p, &work.sums.moles);
    }

    /// The present phase to drop, by its place in the list.
    fn to_drop(&self, before: &[f64; MAX_PHASES], cautious: bool) -> Option<usize> {
        let p = self.p;
        let mut best: Option<(f64, usize)> = None;
        for (at, &phase) in self.active.as_slice().iter().enumerate() {
            if p.phase_kind[phase] == PhaseKind::Fixed {
                continue;
            }
            let amount = self.amounts[phase];
            let mut scale = p.phase_start[phase];
            for c in 0..p.components {
                if p.phase_nu[phase][c] != 0.0 {
                    scale = scale.max(p.total[c].abs()).max(self.gross[c]);
                }
            }
            if amount >= -1e-13 * scale {
                continue;
            }
            let rank = if cautious {
                phase as f64
            } else if before[phase] > 0.0 {
                // The first to run out on the way from what was there.
                before[phase] / (before[phase] - amount)
            } else {
                0.0
            };
            if best.is_none_or(|(r, _)| rank < r) {
                best = Some((rank, at));
            }
        }
        best.map(|(_, at)| at)
    }

    /// The absent phase to add.
    fn to_add(&self, cautious: bool) -> Option<usize> {
        let p = self.p;
        let mut best: Option<(f64, usize)> = None;
        for phase in 0..p.phases {
            if self.active.contains(phase) {
                continue;
            }
            let index = self.index(phase) / p.phase_ions[phase];
            if index <= SUPERSATURATED {
                continue;
            }
            if cautious {
                return Some(phase);
            }
            if best.is_none_or(|(b, _)| index > b) {
                best = Some((index, phase));
            }
        }
        best.map(|(_, phase)| phase)
    }

    /// Natural logarithm of the ion activity product over the constant.
    fn index(&self, phase: usize) -> f64 {
        let p = self.p;
        let mut ln = p.phase_water[phase] * self.state.ln_aw - p.phase_ln_k[phase];
        for c in 0..p.components {
            ln += p.phase_nu[phase][c] * self.state.y[c];
        }
        ln
    }

    /// The phase that came last is made of the others: one of them goes.
    fn exchange(
        &mut self,
        combination: &[f64; MAX_PHASES],
        before: &[f64; MAX_PHASES],
    ) -> Result<(), Trouble> {
        let last = self.active.len.saturating_sub(1);
        let own = combination[last];
        if own.abs() < 1e-9 {
            // The dependence is older than the last phase: drop the last of the optional ones in it.
            for at in (0..self.active.len).rev() {
                let phase = self.active.list[at];
                if combination[at].abs() > 1e-9 && self.p.phase_kind[phase] == PhaseKind::Optional {
                    self.active.remove(at);
                    return Ok(());
                }
            }
            return Err(Trouble::Cycle);
        }
        let mut best: Option<(f64, usize)> = None;
        for at in 0..last {
            let phase = self.active.list[at];
            let share = -combination[at] / own;
            if share <= 1e-9 || self.p.phase_kind[phase] == PhaseKind::Fixed {
                continue;
            }
            let ratio = before[phase] / share;
            if best.is_none_or(|(r, _)| ratio < r) {
                best = Some((ratio, at));
            }
        }
        let Some((_, at)) = best else {
            return Err(Trouble::Cycle);
        };
        self.active.remove(at);
        Ok(())
    }

    /// Brackets the ionic strength outside complete solutions at fixed ionic strength.
    fn bracket(&mut self, work: &mut Workspace, cold: State) -> Result<(), EquilibriumError> {
        let (mut low, mut high) = (1e-9f64.ln(), 8.0f64.ln());
        let mut at_low = f64::INFINITY;
        let mut at_high = f64::NEG_INFINITY;
        let mut try_at = cold.ln_i.clamp(low, high);
        for round in 0..120 {
            self.state.ln_i = try_at;
            let mut found = self.settle(work, Coupling::Held, 1e-12).is_ok();
            if !found {
                self.state = cold;
                self.state.ln_i = try_at;
                self.active = ActiveSet::EMPTY;
                for phase in 0..self.p.phases {
                    if self.p.phase_kind[phase] == PhaseKind::Fixed {
                        self.active.push(phase);
                    }
                }
                found = self.settle(work, Coupling::Held, 1e-11).is_ok();
            }
            if !found {
                return Err(self.lost(work));
            }
            let reached = (work.sums.z2_moles / (2.0 * self.state.ln_w.exp()))
                .max(1e-300)
                .ln();
            if self.p.model == ActivityModel::Ideal {
                return Ok(());
            }
            let off = reached - try_at;
            if off.abs() < 1e-11 {
                return Ok(());
            }
            if off > 0.0 {
                low = try_at;
                at_low = off;
            } else {
                high = try_at;
                at_high = off;
            }
            if low >= 8.0f64.ln() - 1e-9 {
                return Err(EquilibriumError::TooConcentrated {
                    ionic_strength: reached.exp(),
                });
            }
            // Close in, the coupled iteration finishes the work.
            if round % 4 == 3 && high - low < 0.5 {
                let keep = (
                    self.state,
                    self.active,
                    self.amounts,
                    self.formed,
                    self.gross,
                );
                if self.settle(work, Coupling::Free, TIGHT).is_ok() {
                    return Ok(());
                }
                (
                    self.state,
                    self.active,
                    self.amounts,
                    self.formed,
                    self.gross,
                ) = keep;
            }
            try_at = if at_low.is_finite() && at_high.is_finite() && round % 3 != 2 {
                let t = at_low / (at_low - at_high);
                (low + t * (high - low))
                    .clamp(low + 1e-3 * (high - low), high - 1e-3 * (high - low))
            } else if at_low.is_finite() && !at_high.is_finite() {
                (reached).clamp(low + 0.1, high)
            } else if at_high.is_finite() && !at_low.is_finite() {
                reached.clamp(low, high - 0.1)
            } else {
                0.5 * (low + high)
            };
            if high - low < 1e-13 {
                return Err(self.lost(work));
            }
        }
        Err(self.lost(work))
    }

    pub(super) fn lost(&self, work: &Workspace) -> EquilibriumError {
        EquilibriumError::NotConverged {
            iterations: work.iterations,
            ionic_strength: self.state.ln_i.exp(),
            ph: -self.state.y[self.p.hydrogen] / std::f64::consts::LN_10,
        }
    }
}

/// How much of each component is dissolved, all signs positive.
fn gross(p: &Problem, moles: &[f64; MAX_SPECIES]) -> [f64; MAX_COMPONENTS] {
    let mut out = [0.0; MAX_COMPONENTS];
    for i in 0..p.species {
        for c in 0..p.components {
            out[c] += p.nu[i][c].abs() * moles[i];
        }
    }
    out
}
