//! What can be wrong with an input, in the words of the trade.
//!
//! Every fault names the field by a JSON Pointer into the request, the value found and what would
//! be right. HTTP and the terminal turn faults into one problem document.

use std::fmt;

/// One thing wrong with an input.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// JSON Pointer to the field; a missing field is named itself.
    pub pointer: String,
    /// What kind of fault it is.
    pub kind: FaultKind,
    /// The value found, and what would be right.
    pub detail: String,
}

/// The kinds of fault a calculation finds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FaultKind {
    /// A member without which there is no answer is absent or empty.
    Missing,
    /// A value lies outside what can be.
    OutOfRange,
    /// Two members contradict or exclude each other.
    Conflict,
    /// This method does not work, or is not safe, for this batch.
    NotApplicable,
    /// A name that we do not know.
    Unknown,
    /// Amounts in two currencies meet.
    MixedCurrencies,
    /// Dates are in an order that cannot be.
    DateOrder,
    /// A list is longer than one request may carry.
    TooMany,
}

impl FaultKind {
    /// The code as the problem document writes it.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Missing => "missing",
            Self::OutOfRange => "out_of_range",
            Self::Conflict => "conflict",
            Self::NotApplicable => "not_applicable",
            Self::Unknown => "unknown",
            Self::MixedCurrencies => "mixed_currencies",
            Self::DateOrder => "date_order",
            Self::TooMany => "too_many",
        }
    }
}

impl Fault {
    /// A fault of `kind` at `pointer`.
    pub fn new(kind: FaultKind, pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self {
            pointer: pointer.into(),
            kind,
            detail: detail.into(),
        }
    }

    /// A member is absent. `needed` says what would be right.
    pub fn missing(pointer: impl Into<String>, needed: &str) -> Self {
        Self::new(
            FaultKind::Missing,
            pointer,
            format!("missing: expected {needed}"),
        )
    }

    /// A value cannot be.
    pub fn out_of_range(
        pointer: impl Into<String>,
        value: impl fmt::Display,
        expected: &str,
    ) -> Self {
        Self::new(
            FaultKind::OutOfRange,
            pointer,
            format!("{value} is out of range: expected {expected}"),
        )
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.pointer, self.detail)
    }
}

impl std::error::Error for Fault {}

/// Everything found wrong with one request; never empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// Succeeds when nothing was found.
    ///
    /// # Errors
    /// All faults, when there are any.
    pub fn none_of(faults: Vec<Fault>) -> Result<(), Self> {
        if faults.is_empty() {
            Ok(())
        } else {
            Err(Self(faults))
        }
    }

    /// The faults in the order found.
    #[must_use]
    pub fn list(&self) -> &[Fault] {
        &self.0
    }
}

impl From<Fault> for Faults {
    fn from(fault: Fault) -> Self {
        Self(vec![fault])
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, fault) in self.0.iter().enumerate() {
            if i > 0 {
                f.write_str("; ")?;
            }
            fault.fmt(f)?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

/// Refuses a list longer than `most`.
///
/// # Errors
/// [`FaultKind::TooMany`] at `pointer`.
pub fn at_most(pointer: impl fmt::Display, length: usize, most: usize) -> Result<(), Fault> {
    if length > most {
        return Err(Fault::new(
            FaultKind::TooMany,
            pointer.to_string(),
            format!("{length} entries: expected at most {most} in one request"),
        ));
    }
    Ok(())
}
