//! What is known of a figure, and whether it keeps the ends of a rule.

use super::data::Ends;
use crate::quantity::{Measured, Unit};

/// Whether something holds; what is not known stays open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Truth {
    No,
    Open,
    Yes,
}

impl Truth {
    pub const fn of(is: bool) -> Self {
        if is { Self::Yes } else { Self::No }
    }

    pub const fn not(self) -> Self {
        match self {
            Self::No => Self::Yes,
            Self::Open => Self::Open,
            Self::Yes => Self::No,
        }
    }
}

/// Floating point noise that must not move a figure over the end of a rule.
const SLACK: f64 = 1e-9;

/// The interval a figure lies in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Span {
    pub low: f64,
    pub high: f64,
}

impl Span {
    pub const fn exact(value: f64) -> Self {
        Self {
            low: value,
            high: value,
        }
    }

    /// A reading: its interval where it carries an uncertainty (95 % of a normal one), else its face
    /// value.
    pub fn of<U: Unit>(reading: &Measured<U>) -> Self {
        let half = reading.half_width_95().unwrap_or(0.0);
        Self {
            low: reading.as_f64() - half,
            high: reading.as_f64() + half,
        }
    }

    pub fn scaled(self, by: f64) -> Self {
        Self {
            low: self.low * by,
            high: self.high * by,
        }
    }

    pub fn times(self, other: Self) -> Self {
        Self {
            low: self.low * other.low,
            high: self.high * other.high,
        }
    }

    pub fn plus(self, other: Self) -> Self {
        Self {
            low: self.low + other.low,
            high: self.high + other.high,
        }
    }

    pub fn at_most(self, most: f64) -> Self {
        Self {
            low: self.low.min(most),
            high: self.high.min(most),
        }
    }

    /// Whether every value, none, or some keep the ends.
    pub fn keeps(self, ends: Ends) -> Truth {
        let over = |x: f64, end: f64| x > end + SLACK * end.abs();
        let under = |x: f64, end: f64| x < end - SLACK * end.abs();
        let one = |least: f64, most: f64| {
            ends.above.is_none_or(|e| over(least, e))
                && ends.from.is_none_or(|e| !under(least, e))
                && ends.below.is_none_or(|e| under(most, e))
                && ends.up_to.is_none_or(|e| !over(most, e))
        };
        if one(self.low, self.high) {
            Truth::Yes
        } else if one(self.high, self.low) {
            Truth::Open
        } else {
            Truth::No
        }
    }
}
