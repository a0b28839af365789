//! The iteration: Newton on the logarithms of positive over negative terms of each balance.

use super::super::system::{ActivityModel, LN_10, MAX_SPECIES, WATER_KG_PER_MOL};
use super::MAX_UNKNOWNS;
use super::linear::{Matrix, WIDTH, solve};
use super::problem::{MAX_COMPONENTS, Problem};
use super::reduced::Reduced;

/// Above this ionic strength the activity coefficients stand still: the answer is refused there,
/// and the iteration must not run away on its road.
pub(super) const HIGHEST_IONIC_STRENGTH: f64 = 8.0;
/// The longest Newton step, and the longest of a sweep, in natural logarithms.
const LONGEST_STEP: f64 = 3.0;
const LONGEST_SWEEP: f64 = 12.0;
/// Most sweeps of the approach, and how near is near enough for Newton (natural logarithm).
const SWEEPS: u32 = 40;
const CLOSE: f64 = 0.7;
/// Activity of water: 1 - 0.017 x mol of everything dissolved per kg of it.
pub(super) const SUM_SCALE: f64 = 0.017;
/// Lowest activity of water the iteration visits.
const DRIEST: f64 = 0.05;

/// Where the iteration stands.
#[derive(Clone, Copy)]
pub(super) struct State {
    /// Natural logarithm of each component's activity.
    pub y: [f64; MAX_COMPONENTS],
    /// Natural logarithm of the ionic strength, mol/kg.
    pub ln_i: f64,
    /// Natural logarithm of the mass of water, kg.
    pub ln_w: f64,
    /// Natural logarithm of the activity of water.
    pub ln_aw: f64,
}

/// How the ionic strength is treated.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Coupling {
    /// It is an unknown like the others.
    Free,
    /// It stays as it is.
    Held,
}

/// ln of the activity coefficient by size of charge, and its derivative by ln I.
#[derive(Clone, Copy)]
pub(super) struct Gammas {
    pub ln: [f64; 5],
    pub slope: [f64; 5],
}

pub(super) fn gammas(p: &Problem, ln_i: f64) -> Gammas {
    let mut out = Gammas {
        ln: [0.0; 5],
        slope: [0.0; 5],
    };
    if p.model == ActivityModel::Ideal {
        return out;
    }
    let free = ln_i.exp();
    let i = free.min(HIGHEST_IONIC_STRENGTH);
    let moving = if free < HIGHEST_IONIC_STRENGTH {
        i
    } else {
        0.0
    };
    let root = i.sqrt();
    let a = p.davies_a * LN_10;
    let value = -a * (root / (1.0 + root) - 0.3 * i);
    let slope = if root > 0.0 {
        -a * (0.5 / (root * (1.0 + root) * (1.0 + root)) - 0.3) * moving
    } else {
        0.0
    };
    out.ln[0] = 0.1 * LN_10 * i;
    out.slope[0] = 0.1 * LN_10 * moving;
    for z in 1..5u8 {
        let z2 = f64::from(z) * f64::from(z);
        out.ln[usize::from(z)] = z2 * value;
        out.slope[usize::from(z)] = z2 * slope;
    }
    out
}

/// Amounts of the species and the sums over them.
pub(super) struct Sums {
    pub moles: [f64; MAX_SPECIES],
    pub positive: [f64; MAX_COMPONENTS],
    pub negative: [f64; MAX_COMPONENTS],
    pub z2_moles: f64,
    pub all_moles: f64,
    pub water_bound: f64,
    /// What there is to balance: the totals, the water and the spectators, titrant included.
    pub total: [f64; MAX_COMPONENTS],
    pub water_total: f64,
    pub spectator_mol: f64,
    pub spectator_z2_mol: f64,
    /// The titrant that balances the protons, mol.
    pub titrant_mol: f64,
    /// Mass of water, kg, and its activity.
    pub water_kg: f64,
    pub activity: f64,
}

impl Sums {
    pub(super) const fn empty() -> Self {
        Self {
            moles: [0.0; MAX_SPECIES],
            positive: [0.0; MAX_COMPONENTS],
            negative: [0.0; MAX_COMPONENTS],
            z2_moles: 0.0,
            all_moles: 0.0,
            water_bound: 0.0,
            total: [0.0; MAX_COMPONENTS],
            water_total: 0.0,
            spectator_mol: 0.0,
            spectator_z2_mol: 0.0,
            titrant_mol: 0.0,
            water_kg: 0.0,
            activity: 0.0,
        }
    }

    /// The logarithm of what one balance holds on its positive over its negative side.
    fn imbalance(&self, u: usize) -> f64 {
        let ratio = self.positive[u].max(1e-290) / self.negative[u].max(1e-290);
        ratio.clamp(f64::MIN_POSITIVE, f64::MAX).ln()
    }

    /// Evaluates every species at a state. Where the pH is held, the titrant is what the protons lack.
    pub(super) fn evaluate(&mut self, p: &Problem, r: &Reduced, state: &State, g: &Gammas) {
        let n = r.unknowns;
        let mut unknown = [0.0; MAX_COMPONENTS];
        for u in 0..n {
            unknown[u] = state.y[r.column[u]];
            let t = r.total[u];
            self.total[u] = t;
            self.positive[u] = if t < 0.0 { -t } else { 0.0 };
            self.negative[u] = if t > 0.0 { t } else { 0.0 };
        }
        self.water_total = r.water_total;
        self.spectator_mol = p.spectator_mol;
        self.spectator_z2_mol = p.spectator_z2_mol;
        self.z2_moles = p.spectator_z2_mol;
        self.all_moles = p.spectator_mol;
        self.water_bound = 0.0;
        self.titrant_mol = 0.0;
        self.water_kg = state.ln_w.exp();
        self.activity = state.ln_aw.exp();
        for i in 0..p.species {
            let row = &r.rows[i];
            let z = usize::from(p.charge[i]);
            let mut ln = row.ln_k + row.water * state.ln_aw - g.ln[z] + state.ln_w;
            for (u, nu) in row.terms() {
                ln += nu * unknown[u];
            }
            let moles = ln.min(600.0).exp();
            self.moles[i] = moles;
            self.all_moles += moles;
            self.z2_moles += moles * f64::from(p.charge[i] * p.charge[i]);
            self.water_bound += row.water * moles;
            for (u, nu) in row.terms() {
                if nu > 0.0 {
                    self.positive[u] += nu * moles;
                } else {
                    self.negative[u] -= nu * moles;
                }
            }
        }
        if let (Some(h), Some(titration)) = (r.held, &p.titration) {
            self.titrate(r, titration, h);
        }
    }
}

/// Equations and their derivatives: the components first, then ionic strength (when free), the
/// mass of water and its activity.
pub(super) struct Equations {
    pub size: usize,
    pub residual: [f64; MAX_UNKNOWNS],
    pub jacobian: Matrix,
}

impl Equations {
    pub(super) const fn empty() -> Self {
        Self {
            size: 0,
            residual: [0.0; MAX_UNKNOWNS],
            jacobian: [[0.0; WIDTH]; MAX_UNKNOWNS],
        }
    }

    /// Where the equations of ionic strength, mass of water and its activity stand; a held ionic
    /// strength has none, and its place is out of the way.
    const fn places(unknowns: usize, free: bool) -> (usize, usize, usize) {
        if free {
            (unknowns, unknowns + 1, unknowns + 2)
        } else {
            (MAX_UNKNOWNS - 1, unknowns, unknowns + 1)
        }
    }

    /// Fills the residuals.
    pub(super) fn fill_residuals(
        &mut self,
        r: &Reduced,
        state: &State,
        sums: &Sums,
        coupling: Coupling,
    ) {
        let n = r.unknowns;
        let free = coupling == Coupling::Free;
        let (at_i, at_w, at_a) = Self::places(n, free);
        self.size = at_a + 1;
        for u in 0..n {
            self.residual[u] = sums.imbalance(u);
        }
        let water = sums.water_kg;
        if free {
            self.residual[at_i] = (sums.z2_moles.max(1e-290) / (2.0 * water)).ln() - state.ln_i;
        }
        self.residual[at_w] =
            1.0 + (sums.water_bound - sums.water_total) * (WATER_KG_PER_MOL / water);
        let activity = sums.activity;
        let bound = sums.all_moles * (SUM_SCALE / water);
        self.residual[at_a] = if bound > 1.0 - DRIEST {
            // Beyond the reach of the formula: hold on, so that the search can end and be refused.
            activity - DRIEST
        } else {
            activity - 1.0 + bound
        };
    }

    /// Fills the derivatives of the residuals. What is a sum over all species by itself is taken
    /// from the sums.
    pub(super) fn fill_jacobian(
        &mut self,
        p: &Problem,
        r: &Reduced,
        g: &Gammas,
        sums: &Sums,
        coupling: Coupling,
    ) {
        let n = r.unknowns;
        let free = coupling == Coupling::Free;
        let (at_i, at_w, at_a) = Self::places(n, free);
        let size = at_a + 1;
        self.size = size;
        let jacobian = &mut self.jacobian;
        jacobian[..size].fill([0.0; WIDTH]);
        let mut per_positive = [0.0; MAX_COMPONENTS];
        let mut per_negative = [0.0; MAX_COMPONENTS];
        for u in 0..n {
            per_positive[u] = 1.0 / sums.positive[u].max(1e-290);
            per_negative[u] = 1.0 / sums.negative[u].max(1e-290);
        }
        let water = sums.water_kg;
        let activity = sums.activity;
        let per_z2 = 1.0 / sums.z2_moles.max(1e-290);
        let water_scale = WATER_KG_PER_MOL / water;
        let sum_scale = SUM_SCALE / water;

        // Moles by size of charge.
        let mut charged = [0.0; 5];
        for i in 0..p.species {
            let row = &r.rows[i];
            let moles = sums.moles[i];
            let charge = usize::from(p.charge[i]);
            charged[charge] += moles;
            // A held ionic strength has its column out of the way.
            let by_i = -g.slope[charge];
            let parts = row.terms();
            for (u, nu) in parts.clone() {
                let side = if nu > 0.0 {
                    per_positive[u]
                } else {
                    per_negative[u]
                };
                let weight = nu * moles * side;
                let line = &mut jacobian[u];
                for (v, mu) in parts.clone() {
                    line[v % WIDTH] += weight * mu;
                }
                line[at_i % WIDTH] += weight * by_i;
                line[at_a % WIDTH] += weight * row.water;
            }
            if free && charge > 0 {
                let weight = f64::from(p.charge[i] * p.charge[i]) * moles * per_z2;
                let line = &mut jacobian[at_i];
                for (v, mu) in parts.clone() {
                    line[v % WIDTH] += weight * mu;
                }
                line[at_a] += weight * row.water;
            }
            if row.water != 0.0 {
                let weight = row.water * moles * water_scale;
                let line = &mut jacobian[at_w];
                for (v, mu) in parts {
                    line[v % WIDTH] += weight * mu;
                }
                line[at_i] += weight * by_i;
                line[at_a] += weight * row.water;
            }
        }
        for u in 0..n {
            // Of each balance, what the species hold: all but the total.
            let total = sums.total[u];
            let positive = sums.positive[u] + total.min(0.0);
            let negative = sums.negative[u] - total.max(0.0);
            jacobian[u][at_w] = positive * per_positive[u] - negative * per_negative[u];
            jacobian[at_a][u] = (positive - negative) * sum_scale;
        }
        let shifts = |weight: [f64; 5]| -> f64 {
            (0..5).map(|z| -weight[z] * charged[z] * g.slope[z]).sum()
        };
        if free {
            jacobian[at_i][at_i] = shifts([0.0, 1.0, 4.0, 9.0, 16.0]) * per_z2 - 1.0;
            jacobian[at_i][at_w] = -sums.spectator_z2_mol * per_z2;
        }
        jacobian[at_w][at_w] = 1.0 + sums.water_bound * water_scale;
        if sums.all_moles * sum_scale > 1.0 - DRIEST {
            jacobian[at_a][..size].fill(0.0);
            jacobian[at_a][at_a] = activity;
        } else {
            jacobian[at_a][at_i] = shifts([1.0; 5]) * sum_scale;
            jacobian[at_a][at_w] = -sums.spectator_mol * sum_scale;
            jacobian[at_a][at_a] = activity + sums.water_bound * sum_scale;
        }
        let (Some(h), Some(titration)) = (r.held, &p.titration) else {
            return;
        };
        // The activity of hydrogen is known: in its place stands the titrant.
        for u in 0..n {
            let side = if sums.total[u] > 0.0 {
                per_negative[u]
            } else {
                per_positive[u]
            };
            jacobian[u][h] = -r.titrant[u] * side;
        }
        if free {
            jacobian[at_i][h] = titration.spectator_z2_mol * per_z2;
        }
        jacobian[at_w][h] = -r.titrant_water * water_scale;
        jacobian[at_a][h] = titration.spectator_mol * sum_scale;
    }
}

/// Room the iteration works in, used again by every stage of one solution.
pub(super) struct Workspace {
    pub reduced: Reduced,
    pub sums: Sums,
    pub equations: Equations,
    pub iterations: u32,
    pub sweeps: u32,
}

impl Workspace {
    pub(super) const fn new() -> Self {
        Self {
            reduced: Reduced::empty(),
            sums: Sums::empty(),
            equations: Equations::empty(),
            iterations: 0,
            sweeps: 0,
        }
    }

    /// Brings every balance to within a small factor, each component by itself: where two balances
    /// hang on one species, Newton's step from afar has no direction. True when the sums are those of
    /// the state it leaves.
    fn approach(&mut self, p: &Problem, state: &mut State) -> bool {
        let n = self.reduced.unknowns;
        let g = gammas(p, state.ln_i);
        for _ in 0..SWEEPS {
            self.sums.evaluate(p, &self.reduced, state, &g);
            self.sweeps += 1;
            let mut off = [0.0; MAX_COMPONENTS];
            let mut worst = 0.0f64;
            for u in 0..n {
                off[u] = self.sums.imbalance(u);
                worst = worst.max(off[u].abs());
            }
            if worst < CLOSE {
                return true;
            }
            let mut slope = [0.0; MAX_COMPONENTS];
            for i in 0..p.species {
                let row = &self.reduced.rows[i];
                let moles = self.sums.moles[i];
                for (u, nu) in row.terms() {
                    let side = if nu > 0.0 {
                        self.sums.positive[u]
                    } else {
                        self.sums.negative[u]
                    };
                    slope[u] += nu * nu * moles / side.max(1e-290);
                }
            }
            for u in (0..n).filter(|u| self.reduced.held != Some(*u)) {
                let step = 0.5 * off[u] / slope[u].max(0.1);
                let slot = &mut state.y[self.reduced.column[u]];
                *slot = (*slot - step.clamp(-LONGEST_SWEEP, LONGEST_SWEEP)).clamp(-300.0, 300.0);
            }
        }
        false
    }

    /// Newton's iteration from `state` for the phases that the reduced problem holds present.
    /// True when every residual fell below `tolerance`; then `state` and the sums agree.
    pub(super) fn newton(
        &mut self,
        p: &Problem,
        state: &mut State,
        coupling: Coupling,
        tolerance: f64,
        most: u32,
    ) -> bool {
        let n = self.reduced.unknowns;
        let free = coupling == Coupling::Free;
        let mut last_step = f64::INFINITY;
        let mut evaluated = self.approach(p, state);
        for _ in 0..most {
            let g = gammas(p, state.ln_i);
            if !evaluated {
                self.sums.evaluate(p, &self.reduced, state, &g);
            }
            evaluated = false;
            let equations = &mut self.equations;
            equations.fill_residuals(&self.reduced, state, &self.sums, coupling);
            let size = equations.size;
            let worst = self.equations.residual[..size]
                .iter()
                .fold(0.0f64, |m, v| m.max(v.abs()));
            // Small residuals alone may hide a flat direction: the last step must be small too.
            if worst < tolerance && last_step < tolerance.max(1e-9).sqrt() {
                self.reduced.complete(&mut state.y, state.ln_aw);
                return true;
            }
            self.iterations += 1;
            if !worst.is_finite() {
                return false;
            }
            self.equations
                .fill_jacobian(p, &self.reduced, &g, &self.sums, coupling);
            if !solve(
                &mut self.equations.jacobian,
                &mut self.equations.residual,
                size,
            ) {
                return false;
            }
            let step = &self.equations.residual;
            last_step = 0.0;
            // The titrant needs no step: it follows from the rest.
            for u in (0..n).filter(|u| self.reduced.held != Some(*u)) {
                let d = step[u].clamp(-LONGEST_STEP, LONGEST_STEP);
                last_step = f64::max(last_step, d.abs());
                let slot = &mut state.y[self.reduced.column[u]];
                *slot = (*slot - d).clamp(-300.0, 300.0);
            }
            let mut at = n;
            if free {
                state.ln_i = (state.ln_i - step[at].clamp(-2.0, 2.0)).clamp(-30.0, 4.0);
                at += 1;
            }
            state.ln_w -= step[at].clamp(-0.5, 0.5);
            state.ln_aw = (state.ln_aw - step[at + 1].clamp(-0.5, 0.5)).clamp(DRIEST.ln(), 0.0);
        }
        false
    }
}
