//! The slow road: at fixed activity coefficients the equilibrium is the least of a convex function
//! (the sum of moles less the totals times the logarithms of the activities), which damped Newton
//! with a line search always finds.

use super::super::system::WATER_KG_PER_MOL;
use super::linear::{WIDTH, solve};
use super::newton::{SUM_SCALE, State, Workspace, gammas};
use super::problem::{MAX_COMPONENTS, Problem};

impl Workspace {
    /// Descends at the ionic strength of `state` until every balance holds to `tolerance`.
    pub(super) fn descend(&mut self, p: &Problem, state: &mut State, tolerance: f64) -> bool {
        let g = gammas(p, state.ln_i);
        for _ in 0..40 {
            if !self.minimise(p, state, &g, tolerance) {
                return false;
            }
            let water = (self.reduced.water_total - self.sums.water_bound) * WATER_KG_PER_MOL;
            let activity = 1.0 - SUM_SCALE * self.sums.all_moles / state.ln_w.exp();
            if water <= 0.0 {
                return false;
            }
            let ln_w = water.ln();
            let ln_aw = activity.max(0.05).ln();
            let moved = (ln_w - state.ln_w).abs().max((ln_aw - state.ln_aw).abs());
            state.ln_w = ln_w;
            state.ln_aw = ln_aw;
            if moved < tolerance {
                self.sums.evaluate(p, &self.reduced, state, &g);
                self.reduced.complete(&mut state.y, state.ln_aw);
                return true;
            }
        }
        false
    }

    fn potential(&self, state: &State) -> f64 {
        let mut value: f64 = self.sums.moles.iter().sum();
        for u in 0..self.reduced.unknowns {
            value -= self.reduced.total[u] * state.y[self.reduced.column[u]];
        }
        value
    }

    fn minimise(
        &mut self,
        p: &Problem,
        state: &mut State,
        g: &super::newton::Gammas,
        tolerance: f64,
    ) -> bool {
        let n = self.reduced.unknowns;
        self.sums.moles = [0.0; super::super::system::MAX_SPECIES];
        self.sums.evaluate(p, &self.reduced, state, g);
        let mut value = self.potential(state);
        let mut ridge = 1e-14;
        for _ in 0..300 {
            let mut worst = 0.0f64;
            let mut gradient = [0.0; MAX_COMPONENTS];
            for u in 0..n {
                let (a, b) = (self.sums.positive[u], self.sums.negative[u]);
                gradient[u] = a - b;
                worst = worst.max((a - b).abs() / (a + b).max(1e-290));
            }
            if worst < tolerance {
                return true;
            }
            self.iterations += 1;
            let m = &mut self.equations.jacobian;
            m[..n].fill([0.0; WIDTH]);
            for i in 0..p.species {
                let row = &self.reduced.rows[i];
                let moles = self.sums.moles[i];
                for (u, nu) in row.terms() {
                    for (v, mu) in row.terms() {
                        m[u][v] += nu * mu * moles;
                    }
                }
            }
            let mut scale = [0.0; MAX_COMPONENTS];
            for u in 0..n {
                scale[u] = 1.0 / m[u][u].max(1e-280).sqrt();
            }
            for u in 0..n {
                for v in 0..n {
                    m[u][v] *= scale[u] * scale[v];
                }
                m[u][u] += ridge;
                self.equations.residual[u] = gradient[u] * scale[u];
            }
            if !solve(
                &mut self.equations.jacobian,
                &mut self.equations.residual,
                n,
            ) {
                ridge = (ridge * 100.0).min(1.0);
                continue;
            }
            let mut step = [0.0; MAX_COMPONENTS];
            let mut longest = 0.0f64;
            for u in 0..n {
                step[u] = -self.equations.residual[u] * scale[u];
                longest = longest.max(step[u].abs());
            }
            let mut length = if longest > 8.0 { 8.0 / longest } else { 1.0 };
            let slope: f64 = (0..n).map(|u| gradient[u] * step[u]).sum();
            let start = *state;
            let mut moved = false;
            for _ in 0..50 {
                for u in 0..n {
                    let col = self.reduced.column[u];
                    state.y[col] = (start.y[col] + length * step[u]).clamp(-300.0, 300.0);
                }
                self.sums.evaluate(p, &self.reduced, state, g);
                let now = self.potential(state);
                // Near the bottom the value no longer changes in its digits; the slope still does.
                let next_slope: f64 = (0..n)
                    .map(|u| (self.sums.positive[u] - self.sums.negative[u]) * step[u])
                    .sum();
                if now <= value + 1e-4 * length * slope
                    || (next_slope.abs() <= 0.9 * slope.abs() && now <= value + 1e-12 * value.abs())
                {
                    value = now;
                    moved = true;
                    break;
                }
                length *= 0.4;
            }
            if !moved {
                *state = start;
                self.sums.evaluate(p, &self.reduced, state, g);
                if ridge > 0.1 {
                    return false;
                }
                ridge = (ridge * 1e3).min(1.0);
            } else {
                ridge = (ridge * 0.1).max(1e-14);
            }
        }
        false
    }
}
