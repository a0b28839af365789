//! A value that remembers which inputs make it uncertain.

use super::Belief;
use crate::quantity::Shape;
use smallvec::{SmallVec, smallvec};
use std::borrow::Cow;

/// One named input of a calculation.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Copy)]
pub struct InputId(usize);

#[derive(Debug, Clone)]
struct Input {
    key: String,
    name: Cow<'static, str>,
    shape: Shape,
    value: f64,
}

/// The inputs of one calculation. The same key is the same input, so that what two readings share
/// is counted once.
#[derive(Debug, Clone, Default)]
pub struct Inputs {
    list: Vec<Input>,
}

impl Inputs {
    /// Registers an input and returns it as an uncertain value.
    ///
    /// `key` says which inputs are one and the same; `name` is what a person reads.
    ///
    /// # Errors
    /// The value given before, when the same key comes with another value.
    pub fn register(
        &mut self,
        key: impl Into<String>,
        name: impl Into<Cow<'static, str>>,
        value: f64,
        standard_uncertainty: f64,
        shape: Shape,
    ) -> Result<Uncertain, f64> {
        let key = key.into();
        let known = self.list.iter().position(|i| i.key == key);
        let id = match known {
            Some(at) => {
                if let Some(input) = self.list.get(at)
                    && (input.value - value).abs() > f64::EPSILON * value.abs()
                {
                    return Err(input.value);
                }
                at
            }
            None => {
                if self.list.is_empty() {
                    // Room for the inputs of one batch.
                    self.list.reserve(8);
                }
                self.list.push(Input {
                    key,
                    name: name.into(),
                    shape,
                    value,
                });
                self.list.len().saturating_sub(1)
            }
        };
        let parts = if standard_uncertainty > 0.0 {
            smallvec![(InputId(id), standard_uncertainty)]
        } else {
            SmallVec::new()
        };
        Ok(Uncertain { value, parts })
    }

    /// The share of each input in the variance of `of`, largest first.
    #[must_use]
    pub fn contributions(&self, of: &Uncertain) -> Vec<Contribution> {
        let total = of.variance();
        if total <= 0.0 {
            return Vec::new();
        }
        let mut shares: Vec<Contribution> = of
            .parts
            .iter()
            .map(|(id, c)| Contribution {
                input: self
                    .list
                    .get(id.0)
                    .map_or(Cow::Borrowed(""), |i| i.name.clone()),
                share: c * c / total,
            })
            .collect();
        shares.sort_by(|a, b| b.share.total_cmp(&a.share));
        shares
    }

    /// What is believed of `of`: normal, but for its largest rectangular part, which is kept as it
    /// is. `scale` widens everything (the Birge ratio; 1 leaves it).
    #[must_use]
    pub fn belief(&self, of: &Uncertain, scale: f64) -> Belief {
        let largest = of
            .parts
            .iter()
            .filter(|(id, _)| {
                self.list
                    .get(id.0)
                    .is_some_and(|i| i.shape == Shape::Rectangular)
            })
            .map(|(_, c)| c.abs())
            .fold(0.0, f64::max);
        let rest = (of.variance() - largest * largest).max(0.0).sqrt();
        Belief::new(of.value, rest * scale, largest * 3f64.sqrt() * scale)
    }
}

/// The share of one input in a variance, 0 to 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Contribution {
    /// What a person calls the input.
    pub input: Cow<'static, str>,
    /// Its share of the variance.
    pub share: f64,
}

/// A value with its first-order uncertainty: for each input, the partial derivative times the
/// input's standard uncertainty (JCGM 100:2008, 5.1.2). Shared inputs carry covariance by
/// themselves.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Uncertain {
    value: f64,
    parts: Parts,
}

/// Inputs, each with its part of the standard uncertainty: seldom more than fit in place.
type Parts = SmallVec<[(InputId, f64); 8]>;

impl Uncertain {
    /// A value without uncertainty.
    #[must_use]
    pub const fn exact(value: f64) -> Self {
        Self {
            value,
            parts: SmallVec::new_const(),
        }
    }

    /// The value.
    #[must_use]
    pub const fn value(&self) -> f64 {
        self.value
    }

    /// Variance: the sum of the squared parts.
    #[must_use]
    pub fn variance(&self) -> f64 {
        self.parts.iter().map(|(_, c)| c * c).sum()
    }

    /// Standard uncertainty.
    #[must_use]
    pub fn standard_uncertainty(&self) -> f64 {
        self.variance().sqrt()
    }

    /// Covariance with another value: the sum over shared inputs.
    #[must_use]
    pub fn covariance(&self, other: &Self) -> f64 {
        self.parts
            .iter()
            .map(|(id, c)| {
                other
                    .parts
                    .iter()
                    .filter(|(o, _)| o == id)
                    .map(|(_, d)| c * d)
                    .sum::<f64>()
            })
            .sum()
    }

    /// The inputs it rests on, each with its part of the standard uncertainty.
    pub(super) fn parts(&self) -> &[(InputId, f64)] {
        &self.parts
    }

    /// The same value with its parts by some inputs times a factor.
    pub(super) fn with_parts_scaled(&self, of: impl Fn(InputId) -> bool, factor: f64) -> Self {
        Self {
            value: self.value,
            parts: self
                .parts
                .iter()
                .map(|(id, c)| (*id, if of(*id) { c * factor } else { *c }))
                .collect(),
        }
    }

    /// Applies a function of one variable, given its value and derivative here.
    #[must_use]
    pub fn mapped(&self, value: f64, derivative: f64) -> Self {
        Self {
            value,
            parts: self
                .parts
                .iter()
                .map(|(id, c)| (*id, c * derivative))
                .collect(),
        }
    }

    /// Times an exact factor.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        self.mapped(self.value * factor, factor)
    }

    fn linear(&self, a: f64, other: &Self, b: f64, value: f64) -> Self {
        let mut parts: Parts = self.parts.iter().map(|(id, c)| (*id, c * a)).collect();
        for (id, c) in &other.parts {
            match parts.iter_mut().find(|(p, _)| p == id) {
                Some((_, have)) => *have += c * b,
                None => parts.push((*id, c * b)),
            }
        }
        Self { value, parts }
    }

    /// The sum.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        self.linear(1.0, other, 1.0, self.value + other.value)
    }

    /// The difference.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        self.linear(1.0, other, -1.0, self.value - other.value)
    }

    /// The product.
    #[must_use]
    pub fn times(&self, other: &Self) -> Self {
        self.linear(other.value, other, self.value, self.value * other.value)
    }

    /// The quotient; the caller has made sure the divisor is not zero.
    #[must_use]
    pub fn over(&self, other: &Self) -> Self {
        let d = other.value;
        self.linear(1.0 / d, other, -self.value / (d * d), self.value / d)
    }
}
