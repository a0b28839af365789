//! Exact arithmetic that cannot overflow unseen: one expression, one place where it may fail.

use super::Amount;
use rust_decimal::Decimal;
use std::ops::{Add, Div, Mul, Sub};

/// A decimal in the middle of a formula. An operation that overflows, or divides by zero, spoils
/// the expression, and [`Exact::finish`] says so.
///
/// ```
/// use rust_decimal::Decimal;
/// use spent_silver_domain::quantity::Exact;
/// let five = Exact::from(Decimal::from(5));
/// assert_eq!((five * five + five).finish(), Ok(Decimal::from(30)));
/// assert!((five / (five - five)).finish().is_err());
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Exact(Option<Decimal>);

/// A figure is beyond what a decimal of 28 digits holds, or a divisor was zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TooLarge;

impl Exact {
    /// Nothing.
    pub const ZERO: Self = Self(Some(Decimal::ZERO));
    /// One.
    pub const ONE: Self = Self(Some(Decimal::ONE));

    /// The value of the whole expression, unrounded.
    ///
    /// # Errors
    /// [`TooLarge`] when any operation on the way overflowed or divided by zero.
    pub fn finish(self) -> Result<Decimal, TooLarge> {
        self.0.ok_or(TooLarge)
    }

    /// A share given in percent, as a factor.
    #[must_use]
    pub fn percent(value: Decimal) -> Self {
        Self(value.checked_div(Decimal::ONE_HUNDRED))
    }

    /// The larger of two.
    #[must_use]
    pub fn at_least(self, least: Self) -> Self {
        Self(self.0.zip(least.0).map(|(a, b)| a.max(b)))
    }

    /// The smaller of two.
    #[must_use]
    pub fn at_most(self, most: Self) -> Self {
        Self(self.0.zip(most.0).map(|(a, b)| a.min(b)))
    }
}

impl From<Decimal> for Exact {
    fn from(value: Decimal) -> Self {
        Self(Some(value))
    }
}

impl From<Amount> for Exact {
    fn from(value: Amount) -> Self {
        Self(Some(value.decimal()))
    }
}

impl Add for Exact {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.zip(other.0).and_then(|(a, b)| a.checked_add(b)))
    }
}

impl Sub for Exact {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.zip(other.0).and_then(|(a, b)| a.checked_sub(b)))
    }
}

impl Mul for Exact {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self(self.0.zip(other.0).and_then(|(a, b)| a.checked_mul(b)))
    }
}

impl Div for Exact {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        Self(self.0.zip(other.0).and_then(|(a, b)| a.checked_div(b)))
    }
}

impl std::iter::Sum for Exact {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}
