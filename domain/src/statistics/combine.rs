//! Several estimates of one quantity, made into one.

use super::{InputId, Uncertain, chi_square_tail};

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
    /// Inputs that every part rests on alike, of which agreement or disagreement says nothing.
    untested: Vec<InputId>,
}

/// Combines estimates by the inverse of their covariance: x = (1' C^-1 x) / (1' C^-1 1), with
/// covariance from the inputs they share (JCGM 100:2008, 5.2; generalized least squares).
///
/// A shared input that scales the estimates (a volume, the strength of a solution) enters C at the
/// combined value, x u(input)/input for all of them alike, and not at each estimate: otherwise the
/// mean of two that differ falls below both (R. W. Peelle 1987; G. D'Agostini 1994). C and x are
/// found in turns until x stays. No weight falls below zero: an estimate that would enter with its
/// sign turned is left out, so x lies between the least and the greatest estimate.
///
/// Chi-square = (x - m)' C^-1 (x - m). When its chance is below 5 %, the uncertainty is widened by
/// the Birge ratio, but for what all estimates rest on alike. An exact estimate decides alone, and chi-square is that of the others about it;
/// two unequal exact ones contradict.
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
    combine_moved(parts, &[])
}

/// Combines estimates that a change was added to since: `changes` in the order of `readings`, none
/// where there is none. As [`combine`], but what scales a reading scales it without the change.
#[must_use]
pub fn combine_moved(readings: &[Uncertain], changes: &[Uncertain]) -> Option<Combined> {
    let moved = |i: usize, reading: &Uncertain| match changes.get(i) {
        Some(change) => reading.plus(change),
        None => reading.clone(),
    };
    let now: Vec<Uncertain> = readings
        .iter()
        .enumerate()
        .map(|(i, r)| moved(i, r))
        .collect();
    let first = now.first()?;
    if now.len() == 1 {
        return Some(Combined::of(first.clone()));
    }
    if let Some(sure) = now.iter().find(|p| p.variance() <= 0.0) {
        return about_exact(sure, &now);
    }
    let scaling = scaling_inputs(readings);
    let parts_at = |value: f64| -> Vec<Uncertain> {
        let each = readings.iter().enumerate();
        each.map(|(i, reading)| {
            let change = changes.get(i).map_or(0.0, Uncertain::value);
            let factor = if reading.value() > 0.0 {
                ((value - change) / reading.value()).max(0.0)
            } else {
                1.0
            };
            moved(
                i,
                &reading.with_parts_scaled(|id| scaling.contains(&id), factor),
            )
        })
        .collect()
    };
    if scaling.is_empty() {
        return weighed(&now, &mut Vec::new());
    }
    let mut value = now.iter().map(Uncertain::value).sum::<f64>() / now.len() as f64;
    let mut left_out = Vec::new();
    let mut combined = weighed(&parts_at(value), &mut left_out)?;
    let mut between = Range::default();
    for part in &now {
        between.take(part.value());
    }
    for turn in 0..MOST_TURNS {
        let next = combined.mean.value();
        if (next - value).abs() <= 1e-12 * next.abs() {
            break;
        }
        if turn < FREE_TURNS {
            value = next;
            left_out.clear();
        } else {
            if turn > FREE_TURNS {
                between.close_in(value, next);
            }
            value = 0.5 * (between.least + between.most);
        }
        combined = weighed(&parts_at(value), &mut left_out)?;
    }
    Some(combined)
}

/// Most turns of finding the covariance at the mean and the mean by the covariance.
const MOST_TURNS: usize = 100;
/// Turns that take the last mean as it is; two or three settle readings that agree. After them the
/// interval that holds the mean is halved at each turn, and an estimate that was left out stays out:
/// readings far apart may otherwise swing to and fro for ever.
const FREE_TURNS: usize = 10;

/// The inputs that two or more readings share and that scale them: as shares of the readings, their
/// parts agree better than as amounts. One that adds to all alike (a blank) stays as it is.
fn scaling_inputs(readings: &[Uncertain]) -> Vec<InputId> {
    let mut found: Vec<InputId> = Vec::new();
    let mut seen: Vec<InputId> = Vec::new();
    let ids = readings
        .iter()
        .flat_map(Uncertain::parts)
        .map(|(id, _)| *id);
    for id in ids {
        if seen.contains(&id) {
            continue;
        }
        seen.push(id);
        let mut amounts = Range::default();
        let mut shares = Range::default();
        for reading in readings.iter().filter(|r| r.value() > 0.0) {
            if let Some((_, part)) = reading.parts().iter().find(|(i, _)| *i == id) {
                amounts.take(*part);
                shares.take(part / reading.value());
            }
        }
        if amounts.count > 1 && shares.spread() < amounts.spread() {
            found.push(id);
        }
    }
    found
}

/// The least and the greatest of some numbers.
struct Range {
    least: f64,
    most: f64,
    count: usize,
}

impl Default for Range {
    fn default() -> Self {
        Self {
            least: f64::INFINITY,
            most: f64::NEG_INFINITY,
            count: 0,
        }
    }
}

impl Range {
    fn take(&mut self, x: f64) {
        self.least = self.least.min(x);
        self.most = self.most.max(x);
        self.count = self.count.saturating_add(1);
    }

    /// Keeps the side of `at` on which what came of it lies.
    fn close_in(&mut self, at: f64, came: f64) {
        if came > at {
            self.least = at;
        } else {
            self.most = at;
        }
    }

    /// How far they lie apart, as a share of the largest.
    fn spread(&self) -> f64 {
        let largest = self.least.abs().max(self.most.abs());
        if largest > 0.0 {
            (self.most - self.least) / largest
        } else {
            0.0
        }
    }
}

impl Combined {
    /// One estimate alone.
    const fn of(mean: Uncertain) -> Self {
        Self {
            mean,
            chi_square: 0.0,
            degrees_of_freedom: 0,
            chance: 1.0,
            birge_ratio: 0.0,
            widening: 1.0,
            odd_one_out: None,
            contradiction: false,
            untested: Vec::new(),
        }
    }

    /// The mean with its uncertainty widened, but for what every part rests on alike (one volume
    /// for all): the parts would disagree no more and no less if that were off.
    #[must_use]
    pub fn widened(&self) -> Uncertain {
        let tested = |id| !self.untested.contains(&id);
        self.mean.with_parts_scaled(tested, self.widening)
    }

    /// Says how well estimates agree whose residuals about the mean are these.
    fn judged(mut self, covariance: &Factor, residuals: &[f64], degrees_of_freedom: usize) -> Self {
        let solved = covariance.solve(residuals.to_vec());
        let products = residuals.iter().zip(&solved).map(|(r, s)| r * s);
        self.chi_square = products.sum::<f64>().max(0.0);
        self.degrees_of_freedom = degrees_of_freedom;
        self.chance = chi_square_tail(self.chi_square, degrees_of_freedom);
        self.birge_ratio = (self.chi_square / degrees_of_freedom.max(1) as f64).sqrt();
        if self.chance < BEYOND_CHANCE && self.birge_ratio > 1.0 {
            self.widening = self.birge_ratio;
        }
        self
    }
}

/// An exact estimate, judged by the others.
fn about_exact(sure: &Uncertain, parts: &[Uncertain]) -> Option<Combined> {
    let alone = Combined::of(sure.clone());
    let (exact, others): (Vec<&Uncertain>, Vec<&Uncertain>) =
        parts.iter().partition(|p| p.variance() <= 0.0);
    let differs = |e: &&Uncertain| (e.value() - sure.value()).abs() > 1e-12 * sure.value().abs();
    if exact.iter().any(differs) {
        return Some(Combined {
            contradiction: true,
            ..alone
        });
    }
    if others.is_empty() {
        return Some(alone);
    }
    let residuals: Vec<f64> = others.iter().map(|p| p.value() - sure.value()).collect();
    Some(alone.judged(&covariance(&others)?, &residuals, others.len()))
}

/// The factored covariance of these estimates.
fn covariance(parts: &[&Uncertain]) -> Option<Factor> {
    Factor::of(parts.len(), |i, j| match (parts.get(i), parts.get(j)) {
        // Two readings that share everything give a singular matrix; a whisper of independence settles it.
        (Some(a), Some(_)) if i == j => a.variance() * (1.0 + 1e-9),
        (Some(a), Some(b)) => a.covariance(b),
        _ => 0.0,
    })
}

/// The mean of these parts as they are, none with a weight below zero, and how well they agree.
/// `left_out` names those that have no weight; more are added where their weight would be negative.
fn weighed(parts: &[Uncertain], left_out: &mut Vec<usize>) -> Option<Combined> {
    let (kept, weights) = loop {
        let each = parts.iter().enumerate();
        let (places, kept): (Vec<usize>, Vec<&Uncertain>) =
            each.filter(|(i, _)| !left_out.contains(i)).unzip();
        let weights = covariance(&kept)?.solve(vec![1.0; kept.len()]);
        let least = places
            .iter()
            .zip(&weights)
            .min_by(|a, b| a.1.total_cmp(b.1));
        match least {
            Some((place, weight)) if *weight < 0.0 => left_out.push(*place),
            _ => break (kept, weights),
        }
    };
    let total: f64 = weights.iter().sum();
    if !(total.is_finite() && total > 0.0) {
        return None;
    }
    let mut mean = Uncertain::exact(0.0);
    for (part, weight) in kept.iter().zip(&weights) {
        mean = mean.plus(&part.scaled(weight / total));
    }
    let all: Vec<&Uncertain> = parts.iter().collect();
    let residuals: Vec<f64> = parts.iter().map(|p| p.value() - mean.value()).collect();
    let free = parts.len().saturating_sub(1);
    let mut combined = Combined::of(mean).judged(&covariance(&all)?, &residuals, free);
    combined.untested = alike(parts);
    if combined.widening > 1.0 && parts.len() > 2 {
        combined.odd_one_out = odd_one_out(parts, &combined.mean);
    }
    Some(combined)
}

/// The inputs that all of these rest on to the same amount.
fn alike(parts: &[Uncertain]) -> Vec<InputId> {
    let Some((first, others)) = parts.split_first() else {
        return Vec::new();
    };
    let same = |p: &Uncertain, id: InputId, part: f64| {
        let own = p.parts().iter().find(|(i, _)| *i == id);
        own.is_some_and(|(_, c)| (c - part).abs() <= 1e-9 * part.abs())
    };
    first
        .parts()
        .iter()
        .filter(|(id, part)| others.iter().all(|p| same(p, *id, *part)))
        .map(|(id, _)| *id)
        .collect()
}

/// The part that lies farthest from the mean, by its own uncertainty about it.
fn odd_one_out(parts: &[Uncertain], mean: &Uncertain) -> Option<usize> {
    let deviation = |p: &Uncertain| {
        let free = (p.variance() - mean.variance()).abs().max(1e-300).sqrt();
        ((p.value() - mean.value()) / free).abs()
    };
    parts
        .iter()
        .enumerate()
        .max_by(|(_, a), (_, b)| deviation(a).total_cmp(&deviation(b)))
        .map(|(i, _)| i)
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
