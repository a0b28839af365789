//! The problem with some phases present: each takes one component out of the unknowns.

use super::super::system::{MAX_PHASES, MAX_SPECIES};
use super::problem::{MAX_COMPONENTS, Problem};

/// A species in the components that are left.
#[derive(Clone, Copy)]
pub(super) struct Row {
    len: usize,
    index: [u8; MAX_COMPONENTS],
    nu: [f64; MAX_COMPONENTS],
    pub water: f64,
    pub ln_k: f64,
}

impl Row {
    /// The unknowns it is made of, and how much of each.
    pub(super) fn terms(&self) -> impl Iterator<Item = (usize, f64)> + Clone {
        let index = self.index[..self.len].iter();
        index.zip(&self.nu).map(|(u, nu)| (usize::from(*u), *nu))
    }
}

/// The problem with the components of the phases eliminated.
pub(super) struct Reduced {
    /// Unknown components: how many, and which of the problem each is.
    pub unknowns: usize,
    pub column: [usize; MAX_COMPONENTS],
    pub total: [f64; MAX_COMPONENTS],
    pub water_total: f64,
    /// Where something holds the pH: the place of hydrogen among the unknowns, and what a mole of
    /// the titrant adds to the totals.
    pub held: Option<usize>,
    pub titrant: [f64; MAX_COMPONENTS],
    pub titrant_water: f64,
    pub rows: [Row; MAX_SPECIES],
    /// Phases present, the component each eliminates, and the elimination.
    pub active: usize,
    pub phase: [usize; MAX_PHASES],
    pub pivot: [usize; MAX_PHASES],
    pub b: [[f64; MAX_COMPONENTS]; MAX_PHASES],
    pub b_water: [f64; MAX_PHASES],
    pub b_ln_k: [f64; MAX_PHASES],
    pub combination: [[f64; MAX_PHASES]; MAX_PHASES],
}

/// The phases asked for hang together: the row of `combination` that says how.
pub(super) struct Dependent(pub usize);

const SMALL: f64 = 1e-9;

impl Reduced {
    pub(super) const fn empty() -> Self {
        Self {
            unknowns: 0,
            column: [0; MAX_COMPONENTS],
            total: [0.0; MAX_COMPONENTS],
            water_total: 0.0,
            held: None,
            titrant: [0.0; MAX_COMPONENTS],
            titrant_water: 0.0,
            rows: [Row {
                len: 0,
                index: [0; MAX_COMPONENTS],
                nu: [0.0; MAX_COMPONENTS],
                water: 0.0,
                ln_k: 0.0,
            }; MAX_SPECIES],
            active: 0,
            phase: [0; MAX_PHASES],
            pivot: [0; MAX_PHASES],
            b: [[0.0; MAX_COMPONENTS]; MAX_PHASES],
            b_water: [0.0; MAX_PHASES],
            b_ln_k: [0.0; MAX_PHASES],
            combination: [[0.0; MAX_PHASES]; MAX_PHASES],
        }
    }

    /// Lays the problem out for the phases `active`. Of the components that could be eliminated,
    /// takes those with the least dissolved (`gross`), so that no small figure is had as the
    /// difference of large ones; never hydrogen, where something holds the pH.
    pub(super) fn set(
        &mut self,
        p: &Problem,
        active: &[usize],
        gross: &[f64; MAX_COMPONENTS],
    ) -> Result<(), Dependent> {
        let k = active.len();
        let n = p.components;
        self.active = k;
        for (s, &phase) in active.iter().enumerate() {
            self.phase[s] = phase;
            self.b[s][..n].copy_from_slice(&p.phase_nu[phase][..n]);
            self.b_water[s] = p.phase_water[phase];
            self.b_ln_k[s] = p.phase_ln_k[phase];
            self.combination[s][..k].fill(0.0);
            self.combination[s][s] = 1.0;
        }
        let holds_ph = p.titration.is_some();
        let mut eliminated = [false; MAX_COMPONENTS];
        for step in 0..k {
            let mut best: Option<(usize, usize)> = None;
            for (row, b) in self.b.iter().enumerate().take(k).skip(step) {
                for col in 0..n {
                    if b[col].abs() < SMALL || (holds_ph && col == p.hydrogen) {
                        continue;
                    }
                    let better = best.is_none_or(|(r, c)| {
                        gross[col] < gross[c] || (col == c && b[col].abs() > self.b[r][c].abs())
                    });
                    if better {
                        best = Some((row, col));
                    }
                }
            }
            let Some((row, col)) = best else {
                return Err(Dependent(step));
            };
            self.b.swap(step, row);
            self.b_water.swap(step, row);
            self.b_ln_k.swap(step, row);
            self.combination.swap(step, row);
            self.pivot[step] = col;
            eliminated[col] = true;
            let inverse = 1.0 / self.b[step][col];
            for v in &mut self.b[step][..n] {
                *v *= inverse;
            }
            self.b_water[step] *= inverse;
            self.b_ln_k[step] *= inverse;
            for v in &mut self.combination[step][..k] {
                *v *= inverse;
            }
            for other in 0..k {
                let factor = self.b[other][col];
                if other == step || factor == 0.0 {
                    continue;
                }
                for c in 0..n {
                    let cut = factor * self.b[step][c];
                    self.b[other][c] -= cut;
                    if self.b[other][c].abs() < 1e-12 {
                        self.b[other][c] = 0.0;
                    }
                }
                self.b_water[other] -= factor * self.b_water[step];
                self.b_ln_k[other] -= factor * self.b_ln_k[step];
                for c in 0..k {
                    let cut = factor * self.combination[step][c];
                    self.combination[other][c] -= cut;
                }
            }
        }

        self.unknowns = 0;
        for col in 0..n {
            if !eliminated[col] {
                self.column[self.unknowns] = col;
                self.unknowns += 1;
            }
        }
        // Solids that are there but not among the active have dissolved: they join the totals.
        let mut total = p.total;
        let mut water = p.water_total;
        for phase in 0..p.phases {
            let start = p.phase_start[phase];
            if start > 0.0 && !active.contains(&phase) {
                for (t, nu) in total[..n].iter_mut().zip(&p.phase_nu[phase]) {
                    *t += nu * start;
                }
                water += p.phase_water[phase] * start;
            }
        }
        for u in 0..self.unknowns {
            let col = self.column[u];
            let mut sum = total[col];
            for s in 0..k {
                sum -= self.b[s][col] * total[self.pivot[s]];
            }
            self.total[u] = sum;
        }
        self.water_total = water;
        for s in 0..k {
            self.water_total -= self.b_water[s] * total[self.pivot[s]];
        }
        self.held = None;
        if let Some(titration) = &p.titration {
            let of = &titration.of;
            self.held = self.column[..self.unknowns]
                .iter()
                .position(|col| *col == p.hydrogen);
            self.titrant_water = titration.water;
            for s in 0..k {
                self.titrant_water -= self.b_water[s] * of[self.pivot[s]];
            }
            for u in 0..self.unknowns {
                let col = self.column[u];
                self.titrant[u] = of[col];
                for s in 0..k {
                    self.titrant[u] -= self.b[s][col] * of[self.pivot[s]];
                }
            }
        }
        for i in 0..p.species {
            let nu = &p.nu[i];
            let row = &mut self.rows[i];
            row.water = p.nu_water[i];
            row.ln_k = p.ln_k[i];
            for s in 0..k {
                let e = nu[self.pivot[s]];
                if e != 0.0 {
                    row.water -= e * self.b_water[s];
                    row.ln_k += e * self.b_ln_k[s];
                }
            }
            row.len = 0;
            for u in 0..self.unknowns {
                let col = self.column[u];
                let mut v = nu[col];
                for s in 0..k {
                    v -= nu[self.pivot[s]] * self.b[s][col];
                }
                if v.abs() > SMALL {
                    row.index[row.len] = u as u8;
                    row.nu[row.len] = v;
                    row.len += 1;
                }
            }
        }
        Ok(())
    }

    /// Whether some phase eliminates a component of which far more is dissolved than of another
    /// that it could eliminate.
    pub(super) fn is_poor(&self, p: &Problem, gross: &[f64; MAX_COMPONENTS]) -> bool {
        let holds_ph = p.titration.is_some();
        (0..self.active).any(|s| {
            (0..p.components).any(|c| {
                self.b[s][c].abs() > SMALL
                    && gross[c] < 1e-3 * gross[self.pivot[s]]
                    && !(holds_ph && c == p.hydrogen)
            })
        })
    }

    /// The activities of the eliminated components from those of the others.
    pub(super) fn complete(&self, y: &mut [f64; MAX_COMPONENTS], ln_water_activity: f64) {
        for s in 0..self.active {
            let mut value = self.b_ln_k[s] - self.b_water[s] * ln_water_activity;
            for u in 0..self.unknowns {
                let col = self.column[u];
                value -= self.b[s][col] * y[col];
            }
            y[self.pivot[s]] = value;
        }
    }

    /// How much of each active phase has formed beyond what was there at the start, mol, given the
    /// species' amounts and that of the titrant.
    pub(super) fn formed(
        &self,
        p: &Problem,
        active: &[usize],
        moles: &[f64; MAX_SPECIES],
        titrant_mol: f64,
    ) -> [f64; MAX_PHASES] {
        let mut short = [0.0; MAX_PHASES];
        for (s, short) in short.iter_mut().enumerate().take(self.active) {
            let e = self.pivot[s];
            let mut value = p.total[e] + p.titration.map_or(0.0, |t| titrant_mol * t.of[e]);
            for i in 0..p.species {
                value -= p.nu[i][e] * moles[i];
            }
            for phase in 0..p.phases {
                if p.phase_start[phase] > 0.0 && !active.contains(&phase) {
                    value += p.phase_nu[phase][e] * p.phase_start[phase];
                }
            }
            *short = value;
        }
        let mut out = [0.0; MAX_PHASES];
        for (s, slot) in out.iter_mut().enumerate().take(self.active) {
            let mut formed = 0.0;
            for e in 0..self.active {
                formed += self.combination[e][s] * short[e];
            }
            *slot = formed;
        }
        out
    }
}
