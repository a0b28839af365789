//! Figures that come out of a calculation.

use super::plain::Plain;
use super::{Unit, write_significant};
use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive as _;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::marker::PhantomData;

/// Significant digits a computed figure is written with.
const DIGITS: usize = 10;

/// A finite computed figure in unit `U`. Writes itself as a plain decimal string to ten significant digits.
#[derive(Clone, Copy, PartialEq, PartialOrd)]
pub struct Computed<U>(f64, PhantomData<U>);

/// A calculation left the range of finite numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NotFinite;

impl<U: Unit> std::fmt::Debug for Computed<U> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.0, U::SYMBOL)
    }
}

impl<U: Unit> Computed<U> {
    /// Takes a finite figure.
    ///
    /// # Errors
    /// [`NotFinite`] for NaN and infinities.
    pub const fn try_new(value: f64) -> Result<Self, NotFinite> {
        if value.is_finite() {
            Ok(Self(value, PhantomData))
        } else {
            Err(NotFinite)
        }
    }

    /// Takes a figure that is finite because every input was bounded; anything else becomes zero,
    /// which the debug build refuses.
    #[must_use]
    pub fn of(value: f64) -> Self {
        debug_assert!(value.is_finite(), "a computed figure must be finite");
        Self(if value.is_finite() { value } else { 0.0 }, PhantomData)
    }

    /// The figure.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }

    /// The figure as an exact decimal, rounded half to even at ten significant digits: the one
    /// place where a computed figure enters exact arithmetic.
    ///
    /// # Errors
    /// [`NotFinite`] when the figure is beyond what a decimal holds.
    pub fn to_decimal(self) -> Result<Decimal, NotFinite> {
        if self.0 == 0.0 {
            return Ok(Decimal::ZERO);
        }
        if let Some(decimal) = Plain::significant_decimal(self.0, DIGITS) {
            return Ok(decimal);
        }
        write_significant(self.0, DIGITS)
            .parse::<Decimal>()
            .ok()
            .or_else(|| Decimal::from_f64(self.0))
            .map(|d| d.normalize())
            .ok_or(NotFinite)
    }
}

impl<U: Unit> Serialize for Computed<U> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(Plain::significant(self.0, DIGITS).as_str())
    }
}

/// Reads what was written: a figure of a document that was kept. No request takes one.
impl<'de, U: Unit> Deserialize<'de> for Computed<U> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        match text.parse::<f64>() {
            Ok(value) if value.is_finite() => Ok(Self::of(value)),
            _ => Err(D::Error::custom("expected a computed figure")),
        }
    }
}

#[cfg(feature = "openapi")]
impl<U: Unit> utoipa::PartialSchema for Computed<U> {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::Schema> {
        utoipa::openapi::RefOr::T(super::schema::number_out(format!(
            "A computed figure in {}, to ten significant digits.",
            U::SYMBOL
        )))
    }
}

#[cfg(feature = "openapi")]
impl<U: Unit> utoipa::ToSchema for Computed<U> {
    fn name() -> std::borrow::Cow<'static, str> {
        U::COMPUTED.into()
    }
}
