//! Several estimates of one quantity, made into one.

use super::{Uncertain, chi_square_tail};

/// Chance below which estimates count as disagreeing.
const BEYOND_CHANCE: f64 = 0.05;

/// The combined estimate and how well its parts agree.
#[derive(Debug, Clone, PartialEq)]
pub struct Combined {
    /// The weighted mean, with the parts of its uncertainty before any widening.
    pub mean: Uncertain,
    /// Chi-square of the parts about the mean.
    pub chi_square: f64,
    /// Degrees of freedom.
    pub degrees_of_freedom: usize,
    /// Chance of a chi-square this large or larger.
    pub chance: f64,
    /// Birge ratio: the square root of chi-square per degree of freedom.
    pub birge_ratio: f64,
    /// Factor by which the uncertainty is widened: 1, or the Birge ratio when the parts disagree beyond chance.
    pub widening: f64,
    /// Index of the part that stands out, where three or more disagree.
    pub odd_one_out: Option<usize>,
    /// Whether two exact values differ, so that no mean exists.
    pub contradiction: bool,
}

/// Combines estimates by the inverse of their covariance: x = (1' C^-1 x) / (1' C^-1 1), with
/// covariance from the inputs they share (JCGM 100:2008, 5.2; generalized least squares).
///
/// Chi-square = (x - m)' C^-1 (x - m). When its chance is below 5 %, the uncertainty is widened by
/// the Birge ratio. An exact estimate decides alone; two unequal exact ones contradict.
///
/// Returns `None` for an empty list.
///
/// ```
/// use spent_silver_domain::quantity::Shape;
/// use spent_silver_domain::statistics::{Inputs, combine};
/// // Taylor 1997, section 7.3: 11 +- 1, 12 +- 1 and 10 +- 3 give 11.42 +- 0.69.
/// let mut inputs = Inputs::default();
/// let parts: Vec<_> = [(11.0, 1.0), (12.0, 1.0), (10.0, 3.0)]
///     .iter().enumerate()
///     .map(|(i, (x, u))| inputs.register(&i.to_string(), "r", *x, *u, Shape::Normal).unwrap())
///     .collect();
/// let all = combine(&parts).unwrap();
/// assert!((all.mean.value() - 11.42105).abs() < 5e-6);
/// assert!((all.mean.standard_uncertainty() - 0.6882472).abs() < 5e-8);
/// ```
#[must_use]
pub fn combine(parts: &[Uncertain]) -> Option<Combined> {
    let first = parts.first()?;
    let single = |mean: Uncertain, contradiction| Combined {
        mean,
        chi_square: 0.0,
        degrees_of_freedom: 0,
        chance: 1.0,
        birge_ratio: 0.0,
        widening: 1.0,
        odd_one_out: None,
        contradiction,
    };
    if parts.len() == 1 {
        return Some(single(first.clone(), false));
    }
    let exact: Vec<&Uncertain> = parts.iter().filter(|p| p.variance() <= 0.0).collect();
    if let Some(sure) = exact.first() {
        let differs = exact
            .iter()
            .any(|e| (e.value() - sure.value()).abs() > 1e-12 * sure.value().abs());
        return Some(single((*sure).clone(), differs));
    }

    let n = parts.len();
    let factor = Factor::of(n, |i, j| match (parts.get(i), parts.get(j)) {
        // Two readings that share everything give a singular matrix; a whisper of independence settles it.
        (Some(a), Some(_)) if i == j => a.variance() * (1.0 + 1e-9),
        (Some(a), Some(b)) => a.covariance(b),
        _ => 0.0,
    })?;
    let weights = factor.solve(vec![1.0; n]);
    let total: f64 = weights.iter().sum();
    if !(total.is_finite() && total > 0.0) {
        return None;
    }
    let mut mean = Uncertain::exact(0.0);
    for (part, weight) in parts.iter().zip(&weights) {
        mean = mean.plus(&part.scaled(weight / total));
    }
    let residuals: Vec<f64> = parts.iter().map(|p| p.value() - mean.value()).collect();
    let solved = factor.solve(residuals.clone());
    let chi_square: f64 = residuals
        .iter()
        .zip(&solved)
        .map(|(r, s)| r * s)
        .sum::<f64>()
        .max(0.0);
    let degrees_of_freedom = n.saturating_sub(1);
    let chance = chi_square_tail(chi_square, degrees_of_freedom);
    let birge_ratio = (chi_square / degrees_of_freedom as f64).sqrt();
    let disagree = chance < BEYOND_CHANCE && birge_ratio > 1.0;
    let odd_one_out = (disagree && n > 2)
        .then(|| {
            let deviation = |i: usize, p: &Uncertain| {
                let free = (p.variance() - mean.variance()).abs().max(1e-300).sqrt();
                (residuals.get(i).copied().unwrap_or_default() / free).abs()
            };
            parts
                .iter()
                .enumerate()
                .max_by(|(i, a), (j, b)| deviation(*i, a).total_cmp(&deviation(*j, b)))
                .map(|(i, _)| i)
        })
        .flatten();
    Some(Combined {
        mean,
        chi_square,
        degrees_of_freedom,
        chance,
        birge_ratio,
        widening: if disagree { birge_ratio } else { 1.0 },
        odd_one_out,
        contradiction: false,
    })
}

/// The Cholesky factor of a small symmetric positive definite matrix, row by row.
pub(super) struct Factor {
    order: usize,
    cells: Vec<f64>,
}

#[expect(
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "every index runs below the order of the square matrix, fixed at the top"
)]
impl Factor {
    /// Factors the matrix that `cell` gives; `None` where it is not positive definite.
    pub(super) fn of(order: usize, cell: impl Fn(usize, usize) -> f64) -> Option<Self> {
        let mut cells = vec![0.0; order * order];
        for i in 0..order {
            for j in 0..=i {
                let sum: f64 = (0..j)
                    .map(|k| cells[i * order + k] * cells[j * order + k])
                    .sum();
                let rest = cell(i, j) - sum;
                cells[i * order + j] = if i == j {
                    if rest <= 0.0 || !rest.is_finite() {
                        return None;
                    }
                    rest.sqrt()
                } else {
                    rest / cells[j * order + j]
                };
            }
        }
        Some(Self { order, cells })
    }

    fn at(&self, i: usize, j: usize) -> f64 {
        self.cells[i * self.order + j]
    }

    /// Solves the system for one right-hand side, in its place.
    pub(super) fn solve(&self, mut x: Vec<f64>) -> Vec<f64> {
        let n = self.order;
        for i in 0..n {
            let sum: f64 = (0..i).map(|k| self.at(i, k) * x[k]).sum();
            x[i] = (x[i] - sum) / self.at(i, i);
        }
        for i in (0..n).rev() {
            let sum: f64 = (i + 1..n).map(|k| self.at(k, i) * x[k]).sum();
            x[i] = (x[i] - sum) / self.at(i, i);
        }
        x
    }
}
