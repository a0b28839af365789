//! Where the iteration starts: the pH of the acids and bases alone, then silver held by what binds it.

use super::super::species::{Component, tables};
use super::super::system::MAX_SPECIES;
use super::newton::{Gammas, State, gammas};
use super::problem::{MAX_COMPONENTS, Problem};

/// Highest ionic strength at which phases are first chosen.
const CHOOSING_IONIC_STRENGTH: f64 = 0.5;
/// The smallest amount a component is guessed from, mol/kg.
const LEAST: f64 = 1e-6;

/// Species of one acid family: which component, and the constant and protons of each.
struct Acids {
    len: usize,
    component: [usize; MAX_SPECIES],
    protons: [f64; MAX_SPECIES],
    ln_k: [f64; MAX_SPECIES],
    /// Constants of the hydrogen ion and of hydroxide as molalities.
    ln_hydrogen: f64,
    ln_hydroxide: f64,
}

impl Acids {
    fn new(p: &Problem, g: &Gammas) -> Self {
        let mut out = Self {
            len: 0,
            component: [0; MAX_SPECIES],
            protons: [0.0; MAX_SPECIES],
            ln_k: [0.0; MAX_SPECIES],
            ln_hydrogen: -g.ln[1],
            ln_hydroxide: f64::NEG_INFINITY,
        };
        for i in 0..p.species {
            if p.silver.is_some_and(|s| p.nu[i][s] != 0.0) {
                continue;
            }
            let ln = p.ln_k[i] - g.ln[usize::from(p.charge[i])];
            let mut other = None;
            for c in 0..p.components {
                if c != p.hydrogen && p.nu[i][c] != 0.0 {
                    other = Some(c);
                }
            }
            match other {
                Some(c) => {
                    out.component[out.len] = c;
                    out.protons[out.len] = p.nu[i][p.hydrogen];
                    out.ln_k[out.len] = ln;
                    out.len += 1;
                }
                None if p.nu[i][p.hydrogen] < 0.0 => out.ln_hydroxide = ln,
                None => {}
            }
        }
        out
    }

    /// Protons bound beyond the total, mol/kg, and the sum over the species of each component for
    /// a free activity of 1.
    fn excess(
        &self,
        p: &Problem,
        amount: &[f64; MAX_COMPONENTS],
        y: f64,
        sums: &mut [f64; MAX_COMPONENTS],
    ) -> f64 {
        let mut protons = [0.0; MAX_COMPONENTS];
        sums[..p.components].fill(0.0);
        for i in 0..self.len {
            let term = (self.ln_k[i] + self.protons[i] * y).min(600.0).exp();
            sums[self.component[i]] += term;
            protons[self.component[i]] += self.protons[i] * term;
        }
        let mut out = (self.ln_hydrogen + y).exp()
            - (self.ln_hydroxide - y).exp()
            - p.total[p.hydrogen] / p.water_kg;
        for c in 0..p.components {
            if c != p.hydrogen && sums[c] > 0.0 {
                out += amount[c] * protons[c] / sums[c];
            }
        }
        out
    }
}

/// A first guess.
pub(super) fn cold_start(p: &Problem) -> State {
    guess(p, None, None)
}

/// A first guess of a mixture whose acidity is known well enough, as ln a(H+), and perhaps the
/// logarithm of its ionic strength.
pub(super) fn start_at(p: &Problem, hydrogen: f64, ln_i: Option<f64>) -> State {
    guess(p, Some(hydrogen), ln_i)
}

fn guess(p: &Problem, hydrogen: Option<f64>, ln_i: Option<f64>) -> State {
    let mut charge = p.spectator_z2_mol;
    let mut amount = [0.0; MAX_COMPONENTS];
    let at_hand = p.at_hand();
    for c in 0..p.components {
        let z = component_charge(p.component[c]);
        charge += at_hand[c].abs() * z * z;
        amount[c] = (at_hand[c] / p.water_kg).max(LEAST);
    }
    let ln_i = ln_i.unwrap_or_else(|| {
        (0.5 * charge / p.water_kg)
            .clamp(1e-7, CHOOSING_IONIC_STRENGTH)
            .ln()
    });
    let g = gammas(p, ln_i);
    let acids = Acids::new(p, &g);
    let mut sums = [0.0; MAX_COMPONENTS];

    let hydrogen = hydrogen.unwrap_or_else(|| {
        // The proton balance rises steadily with ln a(H+): halve the interval.
        let (mut low, mut high) = (-36.0f64, 5.0f64);
        for _ in 0..14 {
            let middle = 0.5 * (low + high);
            if acids.excess(p, &amount, middle, &mut sums) > 0.0 {
                high = middle;
            } else {
                low = middle;
            }
        }
        0.5 * (low + high)
    });
    acids.excess(p, &amount, hydrogen, &mut sums);

    let mut y = [0.0; MAX_COMPONENTS];
    for c in 0..p.components {
        y[c] = if c == p.hydrogen {
            hydrogen
        } else {
            amount[c].ln() - sums[c].max(1e-300).ln()
        };
    }
    if let Some(silver) = p.silver {
        // The free ion is the total over the sum of the side reactions.
        let mut sum = (-g.ln[1]).exp();
        for i in p.components..p.species {
            if p.nu[i][silver] != 1.0 {
                continue;
            }
            let mut ln = p.ln_k[i] - g.ln[usize::from(p.charge[i])];
            for c in 0..p.components {
                if c != silver {
                    ln += p.nu[i][c] * y[c];
                }
            }
            sum += ln.min(300.0).exp();
        }
        y[silver] = amount[silver].ln() - sum.ln();
    }
    State {
        y,
        ln_i,
        ln_w: p.water_kg.ln(),
        ln_aw: 0.0,
    }
}

fn component_charge(component: Component) -> f64 {
    tables()
        .species
        .get(component.index())
        .map_or(0.0, |s| f64::from(s.charge))
}
