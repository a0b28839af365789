//! First-order derivatives of an answer by every constant and amount, from the iteration's Jacobian.

use super::super::species::Component;
use super::super::system::{ActivityModel, MAX_PHASES, MAX_SPECIES, Mixture, System};
use super::linear::solve;
use super::newton::{Coupling, SUM_SCALE, State, gammas};
use super::problem::{MAX_COMPONENTS, PhaseKind, gas_index};
use super::{Equilibrium, MAX_UNKNOWNS, ROOM, Room};

/// The figure whose derivatives are sought.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Figure {
    /// log10 of the dissolved silver, mol per kg of water.
    LogDissolvedSilver,
    /// pH.
    Ph,
    /// Minus log10 of the activity of free silver.
    Pag,
}

/// Derivatives of one figure (a decimal logarithm).
#[derive(Debug, Clone, PartialEq)]
pub struct Sensitivities {
    /// By log10 of each species' formation constant.
    pub by_species_log_k: [f64; MAX_SPECIES],
    /// By log10 of each solid's constant (the gas comes after the solids).
    pub by_phase_log_k: [f64; MAX_PHASES],
    /// By the amount of each component, per mole.
    pub by_total_mol: [f64; Component::COUNT],
}

impl System {
    /// The derivatives of a figure at a solved equilibrium: one transposed solution of the
    /// Jacobian, dQ/dp = Q_p - (J^-T Q_u) . F_p. `None` when the figure is not there (no silver),
    /// when a finite supply of metal is used up, or when the Jacobian is singular.
    #[must_use]
    pub fn sensitivities(
        &self,
        mixture: &Mixture,
        answer: &Equilibrium,
        figure: Figure,
    ) -> Option<Sensitivities> {
        let used_up = mixture
            .metal_supply_mol
            .is_some_and(|supply| answer.metal_dissolved_mol >= supply);
        if used_up {
            return None;
        }
        ROOM.with_borrow_mut(|room| self.derivatives(room, mixture, answer, figure))
    }

    fn derivatives(
        &self,
        room: &mut Room,
        mixture: &Mixture,
        answer: &Equilibrium,
        figure: Figure,
    ) -> Option<Sensitivities> {
        let Room { problem, work } = room;
        problem.lay_out(self, mixture, true, None);
        let p = &*problem;
        let silver = p.silver;
        let mut state = State {
            y: [0.0; MAX_COMPONENTS],
            ln_i: answer.ionic_strength.ln(),
            ln_w: answer.water_kg.ln(),
            ln_aw: answer.water_activity.ln(),
        };
        let mut gross = [0.0; MAX_COMPONENTS];
        for c in 0..p.components {
            state.y[c] = answer.ln_activity[p.component[c].index()];
        }
        for i in 0..p.species {
            for c in 0..p.components {
                gross[c] += p.nu[i][c].abs() * answer.molality[p.species_row[i]];
            }
        }
        let mut active = [0usize; MAX_PHASES];
        let mut count = 0;
        for phase in 0..p.phases {
            let id = p.phase_id[phase];
            let there = p.phase_kind[phase] == PhaseKind::Fixed
                || (id < gas_index() && answer.solid_mol[id] > 0.0)
                || (id == gas_index() && answer.carbon_dioxide_released_mol > 0.0)
                || (id > gas_index() && answer.metal_dissolved_mol > 0.0);
            if there {
                active[count] = phase;
                count += 1;
            }
        }
        work.reduced.set(p, &active[..count], &gross).ok()?;
        let coupling = if p.model == ActivityModel::Ideal {
            Coupling::Held
        } else {
            Coupling::Free
        };
        let free = coupling == Coupling::Free;
        let g = gammas(p, state.ln_i);
        work.sums.evaluate(p, &work.reduced, &state, &g);
        work.equations
            .fill_jacobian(p, &work.reduced, &g, &work.sums, coupling);
        let r = &work.reduced;
        let sums = &work.sums;
        let n = r.unknowns;
        let size = work.equations.size;
        let at_w = if free { n + 1 } else { n };
        let at_a = at_w + 1;
        let water = sums.water_kg;

        // The figure by each species' amount and by the unknowns.
        let mut by_amount = [0.0; MAX_SPECIES];
        let mut by_unknown = [0.0; MAX_UNKNOWNS];
        let mut by_phase = [0.0; MAX_PHASES];
        match figure {
            Figure::LogDissolvedSilver => {
                let silver = silver?;
                let total: f64 = (0..p.species)
                    .map(|i| p.nu[i][silver] * sums.moles[i])
                    .sum();
                if total <= 0.0 {
                    return None;
                }
                for i in 0..p.species {
                    by_amount[i] = p.nu[i][silver] * sums.moles[i] / total;
                }
                by_unknown[at_w] -= 1.0;
                for i in 0..p.species {
                    let weight = by_amount[i];
                    let row = &r.rows[i];
                    for (u, nu) in row.terms() {
                        by_unknown[u] += weight * nu;
                    }
                    if free {
                        by_unknown[n] -= weight * g.slope[usize::from(p.charge[i])];
                    }
                    by_unknown[at_w] += weight;
                    by_unknown[at_a] += weight * row.water;
                }
            }
            Figure::Ph | Figure::Pag => {
                let c = if figure == Figure::Ph {
                    p.hydrogen
                } else {
                    silver?
                };
                // Both are minus the logarithm of a component's activity.
                if let Some(s) = (0..r.active).find(|s| r.pivot[*s] == c) {
                    for u in 0..n {
                        by_unknown[u] += r.b[s][r.column[u]];
                    }
                    by_unknown[at_a] += r.b_water[s];
                    for (a, slot) in by_phase.iter_mut().enumerate().take(r.active) {
                        *slot -= r.combination[s][a];
                    }
                } else {
                    for u in 0..n {
                        if r.column[u] == c {
                            by_unknown[u] -= 1.0;
                        }
                    }
                }
            }
        }

        let transposed = &mut work.equations.jacobian;
        for i in 0..size {
            for j in 0..i {
                let above = transposed[j][i];
                transposed[j][i] = transposed[i][j];
                transposed[i][j] = above;
            }
        }
        let mut multiplier = by_unknown;
        if !solve(transposed, &mut multiplier, size) {
            return None;
        }

        let per_z2 = 1.0 / sums.z2_moles;
        let water_scale = super::super::system::WATER_KG_PER_MOL / water;
        let sum_scale = SUM_SCALE / water;
        let mut out = Sensitivities {
            by_species_log_k: [0.0; MAX_SPECIES],
            by_phase_log_k: [0.0; MAX_PHASES],
            by_total_mol: [0.0; Component::COUNT],
        };
        for i in 0..p.species {
            let row = &r.rows[i];
            let moles = sums.moles[i];
            let mut value = by_amount[i];
            for (u, nu) in row.terms() {
                let side = if nu > 0.0 {
                    sums.positive[u]
                } else {
                    sums.negative[u]
                };
                value -= multiplier[u] * nu * moles / side;
            }
            if free {
                let z2 = f64::from(p.charge[i] * p.charge[i]);
                value -= multiplier[n] * z2 * moles * per_z2;
            }
            value -= multiplier[at_w] * row.water * moles * water_scale;
            value -= multiplier[at_a] * moles * sum_scale;
            if p.species_row[i] >= Component::COUNT {
                out.by_species_log_k[p.species_row[i]] = value;
            }
            for a in 0..r.active {
                let mut shift = 0.0;
                for s in 0..r.active {
                    shift += p.nu[i][r.pivot[s]] * r.combination[s][a];
                }
                by_phase[a] += value * shift;
            }
        }
        for a in 0..r.active {
            let id = p.phase_id[r.phase[a]];
            if id < MAX_PHASES {
                out.by_phase_log_k[id] = by_phase[a];
            }
        }
        // The gas's constant is CO2(g) = CO2(aq) less the formation constant of CO2(aq).
        let gas = out.by_phase_log_k[gas_index()];
        if let Some(row) = super::tables().species_index("CO2") {
            out.by_species_log_k[row] -= gas;
        }

        let by_residual = |u: usize| {
            let side = if r.total[u] > 0.0 {
                sums.negative[u]
            } else {
                sums.positive[u]
            };
            multiplier[u] / side
        };
        let per_ln = 1.0 / std::f64::consts::LN_10;
        for c in 0..p.components {
            let value = match (0..r.active).find(|s| r.pivot[*s] == c) {
                Some(s) => {
                    let mut v = 0.0;
                    for u in 0..n {
                        v -= r.b[s][r.column[u]] * by_residual(u);
                    }
                    v - multiplier[at_w] * r.b_water[s] * water_scale
                }
                None => (0..n).find(|u| r.column[*u] == c).map_or(0.0, by_residual),
            };
            out.by_total_mol[p.component[c].index()] = value * per_ln;
        }
        for (i, component) in Component::ALL.into_iter().enumerate() {
            if mixture.totals_mol[i] > 0.0 && !p.component[..p.components].contains(&component) {
                let z = super::tables()
                    .species
                    .get(i)
                    .map_or(0.0, |s| f64::from(s.charge));
                let mut v = -multiplier[at_a] * sum_scale;
                if free {
                    v -= multiplier[n] * z * z * per_z2;
                }
                out.by_total_mol[i] = v * per_ln;
            }
        }
        Some(out)
    }
}
