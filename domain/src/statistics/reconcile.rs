//! Weighted least-squares data reconciliation of measured amounts over linear balances, with the
//! global test and the measurement test for a gross error.

use super::combine::Factor;
use super::{chi_square_tail, normal_quantile};

/// Level of the global test and of the measurement test.
pub const SIGNIFICANCE: f64 = 0.05;
/// What remains of a row after elimination, against what it was, below which it counts as nothing.
const NOTHING: f64 = 1e-10;

/// One amount that stands in balances.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The amount.
    pub value: f64,
    /// Its variance; zero is exact.
    pub variance: f64,
}

/// One balance: the sum of coefficient times amount over its terms is zero.
pub type Balance = Vec<(usize, f64)>;

/// What reconciliation makes of one amount.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reconciled {
    /// The amount that closes every balance, or that the balances give where nothing was measured.
    pub value: f64,
    /// Its standard uncertainty.
    pub standard_uncertainty: f64,
    /// (measured - reconciled) over the standard deviation of that difference; `None` where nothing
    /// checks the reading.
    pub standardized_adjustment: Option<f64>,
}

/// The balances closed, and how well the readings agree with them.
#[derive(Debug, Clone, PartialEq)]
pub struct Reconciliation {
    /// One for each amount; `None` where neither a reading nor the balances give it.
    pub amounts: Vec<Option<Reconciled>>,
    /// Sum of squared adjustments over their variances.
    pub chi_square: f64,
    /// Balances that check something: their number after what was not measured is eliminated.
    pub degrees_of_freedom: usize,
    /// Chance of a chi-square this large or larger.
    pub chance: f64,
    /// Whether the readings disagree beyond chance.
    pub disagree: bool,
    /// Where they disagree, the readings whose standardized adjustment is largest and beyond
    /// [`Reconciliation::critical_adjustment`]. Several only where the balances cannot tell them apart.
    pub suspects: Vec<usize>,
    /// The size beyond which one standardized adjustment among so many is a gross error.
    pub critical_adjustment: f64,
}

/// Why readings cannot be reconciled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Irreconcilable {
    /// A balance holds only exact amounts, and they do not close it.
    ExactContradiction,
    /// A term names an amount that was not given, or a figure is not finite.
    Malformed,
}

/// Closes balances A x = 0 by the smallest adjustments in the sense of least squares, each weighted
/// by the inverse of its variance:
///
/// x = y - V A' (A V A')^-1 A y, with covariance V - V A' (A V A')^-1 A V.
///
/// Amounts without a reading are eliminated first, and found from the balances afterwards where
/// those determine them. Global test: r' (A V A')^-1 r with r = A y is chi-square with as many
/// degrees of freedom as there are independent balances. Measurement test: each adjustment over its
/// standard deviation is standard normal; the level is shared over all by Sidak's rule.
///
/// # Errors
/// See [`Irreconcilable`].
///
/// ```
/// use spent_silver_domain::statistics::{Reading, reconcile};
/// // Two readings of one amount, 10 +- 1 and 13 +- 2: x1 - x2 = 0 gives the weighted mean 10.6.
/// let readings = [
///     Some(Reading { value: 10.0, variance: 1.0 }),
///     Some(Reading { value: 13.0, variance: 4.0 }),
/// ];
/// let closed = reconcile(&readings, &[vec![(0, 1.0), (1, -1.0)]]).unwrap();
/// assert!((closed.amounts[0].unwrap().value - 10.6).abs() < 1e-12);
/// assert!((closed.chi_square - 9.0 / 5.0).abs() < 1e-12);
/// ```
pub fn reconcile(
    readings: &[Option<Reading>],
    balances: &[Balance],
) -> Result<Reconciliation, Irreconcilable> {
    let n = readings.len();
    let finite = readings
        .iter()
        .flatten()
        .all(|r| r.value.is_finite() && r.variance.is_finite() && r.variance >= 0.0);
    let within = balances
        .iter()
        .flatten()
        .all(|(i, c)| *i < n && c.is_finite());
    if !finite || !within {
        return Err(Irreconcilable::Malformed);
    }
    let mut rows = Rows::of(balances, n);
    let unread: Vec<usize> = (0..n).filter(|i| reading(readings, *i).is_none()).collect();
    let giving = rows.eliminate(&unread);
    // What checks something: independent balances over uncertain readings.
    let exact: Vec<usize> = (0..n)
        .filter(|i| reading(readings, *i).is_some_and(|r| r.variance <= 0.0))
        .collect();
    let uncertain: Vec<usize> = (0..n)
        .filter(|i| reading(readings, *i).is_some_and(|r| r.variance > 0.0))
        .collect();
    let checks = rows.eliminate(&uncertain);
    for row in rows.left() {
        let (sum, size) = exact.iter().fold((0.0, 0.0f64), |(sum, size), i| {
            let term = cell(row, *i) * reading(readings, *i).map_or(0.0, |r| r.value);
            (sum + term, size.max(f64::abs(term)))
        });
        if f64::abs(sum) > 1e-9 * size {
            return Err(Irreconcilable::ExactContradiction);
        }
    }
    let checks: Vec<Vec<f64>> = checks.into_iter().map(|(_, row)| row).collect();
    let closed = Closed::by(readings, &checks)?;
    let mut amounts: Vec<Option<Reconciled>> = (0..n)
        .map(|i| reading(readings, i).map(|r| closed.amount(i, r)))
        .collect();
    for (unknown, row) in &giving {
        // The row holds no other unread amount but those that nothing determines.
        if unread
            .iter()
            .any(|u| u != unknown && f64::abs(cell(row, *u)) > 0.0)
        {
            continue;
        }
        if let Some(slot) = amounts.get_mut(*unknown) {
            *slot = Some(closed.derived(readings, row, *unknown));
        }
    }
    let chance = chi_square_tail(closed.chi_square, checks.len());
    let tested: Vec<(usize, f64)> = amounts
        .iter()
        .enumerate()
        .filter_map(|(i, a)| Some((i, a.as_ref()?.standardized_adjustment?.abs())))
        .collect();
    let critical_adjustment = critical(tested.len());
    let disagree = chance < SIGNIFICANCE;
    let largest = tested.iter().map(|(_, z)| *z).fold(0.0, f64::max);
    let suspects = if disagree && largest > critical_adjustment {
        tested
            .iter()
            .filter(|(_, z)| *z >= largest * (1.0 - 1e-6))
            .map(|(i, _)| *i)
            .collect()
    } else {
        Vec::new()
    };
    Ok(Reconciliation {
        amounts,
        chi_square: closed.chi_square,
        degrees_of_freedom: checks.len(),
        chance,
        disagree,
        suspects,
        critical_adjustment,
    })
}

/// The quantile of the standard normal at 1 - b/2, with b = 1 - (1 - level)^(1/count) (Sidak).
fn critical(count: usize) -> f64 {
    if count == 0 {
        return f64::INFINITY;
    }
    let each = 1.0 - (1.0 - SIGNIFICANCE).powf(1.0 / count as f64);
    normal_quantile(1.0 - each / 2.0)
}

fn reading(readings: &[Option<Reading>], i: usize) -> Option<Reading> {
    readings.get(i).copied().flatten()
}

fn cell(row: &[f64], i: usize) -> f64 {
    row.get(i).copied().unwrap_or(0.0)
}

/// Balances as rows of coefficients, of which some are used up by elimination.
struct Rows {
    rows: Vec<Vec<f64>>,
    sizes: Vec<f64>,
}

impl Rows {
    fn of(balances: &[Balance], width: usize) -> Self {
        let rows: Vec<Vec<f64>> = balances
            .iter()
            .map(|balance| {
                let mut row = vec![0.0; width];
                for (i, coefficient) in balance {
                    if let Some(cell) = row.get_mut(*i) {
                        *cell += coefficient;
                    }
                }
                row
            })
            .collect();
        let sizes = rows.iter().map(|row| size(row)).collect();
        Self { rows, sizes }
    }

    /// Gauss-Jordan elimination on these columns with the largest pivot: takes out, for each column
    /// that some row determines, the row that does, free of the other columns it determined.
    fn eliminate(&mut self, columns: &[usize]) -> Vec<(usize, Vec<f64>)> {
        let mut taken: Vec<(usize, Vec<f64>)> = Vec::new();
        loop {
            let mut best: Option<(f64, usize, usize)> = None;
            for (r, row) in self.rows.iter().enumerate() {
                let whole = self.sizes.get(r).copied().unwrap_or(0.0);
                for c in columns {
                    let weight = f64::abs(cell(row, *c));
                    let counts = weight > NOTHING * whole;
                    if counts && best.is_none_or(|(w, _, _)| weight > w) {
                        best = Some((weight, r, *c));
                    }
                }
            }
            let Some((_, r, column)) = best else {
                return taken;
            };
            let mut pivot = self.rows.swap_remove(r);
            self.sizes.swap_remove(r);
            let divisor = cell(&pivot, column);
            for value in &mut pivot {
                *value /= divisor;
            }
            let others = self
                .rows
                .iter_mut()
                .chain(taken.iter_mut().map(|(_, row)| row));
            for row in others {
                let factor = cell(row, column);
                for (value, above) in row.iter_mut().zip(&pivot) {
                    let next = *value - factor * above;
                    // What cancels leaves nothing behind.
                    let noise = NOTHING * f64::max(f64::abs(*value), f64::abs(factor * above));
                    *value = if f64::abs(next) <= noise { 0.0 } else { next };
                }
            }
            taken.push((column, pivot));
        }
    }

    fn left(&self) -> impl Iterator<Item = &Vec<f64>> {
        self.rows.iter()
    }
}

fn size(row: &[f64]) -> f64 {
    row.iter().fold(0.0, |most, x| f64::max(most, f64::abs(*x)))
}

/// Independent balances over readings, closed.
struct Closed<'a> {
    checks: &'a [Vec<f64>],
    variances: Vec<f64>,
    factor: Option<Factor>,
    multipliers: Vec<f64>,
    chi_square: f64,
}

impl<'a> Closed<'a> {
    fn by(readings: &[Option<Reading>], checks: &'a [Vec<f64>]) -> Result<Self, Irreconcilable> {
        let at = |i: usize| {
            reading(readings, i).unwrap_or(Reading {
                value: 0.0,
                variance: 0.0,
            })
        };
        let variances: Vec<f64> = (0..readings.len()).map(|i| at(i).variance).collect();
        if checks.is_empty() {
            return Ok(Self {
                checks,
                variances,
                factor: None,
                multipliers: Vec::new(),
                chi_square: 0.0,
            });
        }
        let covariance = |i: usize, j: usize| match (checks.get(i), checks.get(j)) {
            (Some(a), Some(b)) => weighted(a, b, &variances),
            _ => 0.0,
        };
        let factor = Factor::of(checks.len(), covariance).ok_or(Irreconcilable::Malformed)?;
        let residuals: Vec<f64> = checks
            .iter()
            .map(|row| row.iter().enumerate().map(|(i, c)| c * at(i).value).sum())
            .collect();
        let multipliers = factor.solve(residuals.clone());
        let chi_square = residuals.iter().zip(&multipliers).map(|(r, m)| r * m).sum();
        Ok(Self {
            checks,
            variances,
            factor: Some(factor),
            multipliers,
            chi_square,
        })
    }

    /// A V g, where g is a row of coefficients.
    fn seen_by_checks(&self, row: &[f64]) -> Vec<f64> {
        self.checks
            .iter()
            .map(|check| weighted(check, row, &self.variances))
            .collect()
    }

    /// What the balances make of g' y, from A V g: the adjustment g' V A' (A V A')^-1 A y, and what
    /// they take off its variance, g' V A' (A V A')^-1 A V g.
    fn effect(&self, seen: &[f64]) -> (f64, f64) {
        let solved = self
            .factor
            .as_ref()
            .map(|f| f.solve(seen.to_vec()))
            .unwrap_or_default();
        let product = |with: &[f64]| seen.iter().zip(with).map(|(a, b)| a * b).sum();
        (product(&self.multipliers), product(&solved))
    }

    fn amount(&self, i: usize, reading: Reading) -> Reconciled {
        let seen: Vec<f64> = self
            .checks
            .iter()
            .map(|check| cell(check, i) * reading.variance)
            .collect();
        let (adjustment, gain) = self.effect(&seen);
        let checked = gain > NOTHING * reading.variance && reading.variance > 0.0;
        Reconciled {
            value: reading.value - adjustment,
            standard_uncertainty: f64::max(reading.variance - gain, 0.0).sqrt(),
            standardized_adjustment: checked.then(|| adjustment / gain.sqrt()),
        }
    }

    /// An amount that nobody read, from a row in which its own coefficient is one.
    fn derived(&self, readings: &[Option<Reading>], row: &[f64], own: usize) -> Reconciled {
        let mut rest: Vec<f64> = row.iter().map(|c| -c).collect();
        if let Some(cell) = rest.get_mut(own) {
            *cell = 0.0;
        }
        let read: f64 = rest
            .iter()
            .enumerate()
            .map(|(i, c)| c * reading(readings, i).map_or(0.0, |r| r.value))
            .sum();
        let (adjustment, gain) = self.effect(&self.seen_by_checks(&rest));
        let variance = weighted(&rest, &rest, &self.variances) - gain;
        Reconciled {
            value: read - adjustment,
            standard_uncertainty: f64::max(variance, 0.0).sqrt(),
            standardized_adjustment: None,
        }
    }
}

/// a' V b.
fn weighted(a: &[f64], b: &[f64], variances: &[f64]) -> f64 {
    a.iter()
        .zip(b)
        .zip(variances)
        .map(|((x, y), v)| x * y * v)
        .sum()
}
