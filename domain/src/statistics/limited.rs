//! A quantity that lies beyond edges which are uncertain themselves, and may share inputs with it.

use super::{Belief, Inputs, Uncertain, normal_cdf};

/// An edge spread less than this, in standard uncertainties of the quantity, is sharp.
const SHARP: f64 = 1e-6;
/// Cells of the quadrature.
const CELLS: usize = 500;

/// How far inside of an edge a quantity lies when it is `x`: normal about `at_zero + slope x`.
#[derive(Debug, Clone, Copy)]
struct Margin {
    at_zero: f64,
    slope: f64,
    spread: f64,
}

impl Margin {
    /// The margin of `of` over an edge below it (`sign` 1) or under one above it (`sign` -1), given `of`:
    /// with b = cov(edge, of)/var(of), the edge given x is normal about edge + b (x - of), with
    /// variance var(edge) - b^2 var(of).
    fn given(of: &Uncertain, edge: &Uncertain, sign: f64) -> Self {
        let variance = of.variance();
        let moves = if variance > 0.0 {
            edge.covariance(of) / variance
        } else {
            0.0
        };
        let rest = edge.variance() - moves * moves * variance;
        Self {
            at_zero: sign * (moves * of.value() - edge.value()),
            slope: sign * (1.0 - moves),
            spread: rest.max(0.0).sqrt(),
        }
    }

    /// Probability that `x` lies inside of the edge; what is less than 1e-18 is nothing.
    fn holds(&self, x: f64) -> f64 {
        const FAR: f64 = 9.0;
        let z = (self.at_zero + self.slope * x) / self.spread;
        if z.abs() < FAR {
            normal_cdf(z)
        } else if z > 0.0 {
            1.0
        } else {
            0.0
        }
    }
}

/// What is believed of a quantity that is not negative, given the edges it lies between.
///
/// A reading of so many grams per litre and a strip's range in grams per litre, both times one volume,
/// share that volume: it moves the figure and the edge together, so that the edge says nothing of the
/// volume, and the volume excuses no disagreement between the two.
#[derive(Debug, Clone)]
pub struct Limited {
    belief: Belief,
    soft: Vec<Margin>,
    chance: f64,
}

impl Inputs {
    /// What is believed of `of`, which is not negative, at least `above` and at most `below`.
    #[must_use]
    pub fn limited(
        &self,
        of: &Uncertain,
        above: Option<&Uncertain>,
        below: Option<&Uncertain>,
    ) -> Limited {
        let mut belief = self.belief(of, 1.0).within(0.0, f64::INFINITY);
        let mut soft = Vec::new();
        let mut outside = 0.0;
        let sharp = SHARP * of.standard_uncertainty();
        for (edge, sign) in [(above, 1.0), (below, -1.0)] {
            let Some(edge) = edge else { continue };
            let inside = of.minus(edge).scaled(sign);
            outside += self.belief(&inside, 1.0).below(0.0);
            let margin = Margin::given(of, edge, sign);
            if margin.spread > sharp {
                soft.push(margin);
            } else if margin.slope != 0.0 {
                let wall = -margin.at_zero / margin.slope;
                belief = if margin.slope > 0.0 {
                    belief.within(wall, f64::INFINITY)
                } else {
                    belief.within(f64::NEG_INFINITY, wall)
                };
            }
        }
        Limited {
            belief,
            soft,
            chance: (1.0 - outside).max(0.0),
        }
    }
}

impl Limited {
    /// Probability that the quantity lies between its edges, before that is taken for granted.
    #[must_use]
    pub const fn chance(&self) -> f64 {
        self.chance
    }

    /// Mean, standard uncertainty, and the central interval that holds the quantity with 95 %
    /// probability.
    #[must_use]
    pub fn summary(&self) -> (f64, f64, (f64, f64)) {
        if self.soft.is_empty() {
            let (mean, u) = self.belief.moments();
            return (mean, u, self.belief.interval_95());
        }
        let (low, high) = self.belief.support();
        let width = (high - low) / CELLS as f64;
        let mut weights = [0.0; CELLS];
        let (mut total, mut first, mut second) = (0.0, 0.0, 0.0);
        for (i, weight) in weights.iter_mut().enumerate() {
            let along = (i as f64 + 0.5) * width;
            let x = low + along;
            let inside: f64 = self.soft.iter().map(|m| m.holds(x)).product();
            if inside == 0.0 {
                continue;
            }
            *weight = self.belief.density(x) * inside;
            total += *weight;
            first += *weight * along;
            second += *weight * along * along;
        }
        if total <= 0.0 || width <= 0.0 {
            let (mean, u) = self.belief.moments();
            return (mean, u, self.belief.interval_95());
        }
        let mean = first / total;
        let quantile = |p: f64| {
            let mut before = 0.0;
            for (i, weight) in weights.iter().enumerate() {
                if before + weight >= p * total {
                    return low + width * (i as f64 + (p * total - before) / weight);
                }
                before += weight;
            }
            high
        };
        (
            low + mean,
            (second / total - mean * mean).max(0.0).sqrt(),
            (quantile(0.025), quantile(0.975)),
        )
    }
}
