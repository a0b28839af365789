//! Quantities, measured values and money.
//!
//! Readings, masses and money are exact decimals ([`Quantity`], [`Amount`]); what chemistry and
//! statistics compute is a finite binary number ([`Computed`]). Both write themselves as plain
//! decimal strings. Units are part of the type, and the field's name ends in the unit.

mod computed;
mod date;
mod exact;
mod measured;
mod money;
mod number;
mod plain;
mod rounding;
mod text;
mod unit;

pub use computed::{Computed, NotFinite};
pub use date::Date;
pub use exact::{Exact, TooLarge};
pub use measured::{Measured, Shape};
pub use money::{Amount, Currency, MetalPrice, PriceUnit, SignedAmount, TROY_OUNCE_G, exact_grams};
pub(crate) use number::nearest_double;
pub use number::{MAX_DIGITS, NumberError, parse_number, write_decimal, write_significant};
pub(crate) use plain::Plain;
pub use rounding::rounded_with_uncertainty;
pub(crate) use text::quoted;
pub use text::{Identifier, Text, split_sub_problem, sub_problem};
pub use unit::*;

use rust_decimal::Decimal;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};
use serde_json::value::RawValue;
use std::marker::PhantomData;

/// An exact quantity in unit `U`.
///
/// Reads a JSON number or a string holding one, keeps every digit, and refuses what lies outside
/// the unit's range. Writes a string.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Quantity<U>(Decimal, PhantomData<U>);

impl<U: Unit> std::fmt::Debug for Quantity<U> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", write_decimal(self.0), U::SYMBOL)
    }
}

impl<U: Unit> Quantity<U> {
    /// Takes a decimal if it lies within the unit's range.
    ///
    /// # Errors
    /// Says the range when the value lies outside it.
    pub fn new(value: Decimal) -> Result<Self, String> {
        if value < Decimal::from(U::MIN) || value > Decimal::from(U::MAX) {
            return Err(format!(
                "{} is out of range: expected {} to {} {}",
                write_decimal(value),
                U::MIN,
                U::MAX,
                U::SYMBOL
            ));
        }
        Ok(Self(value, PhantomData))
    }

    /// The exact value.
    #[must_use]
    pub const fn decimal(self) -> Decimal {
        self.0
    }

    /// The nearest binary number, for statistics and chemistry.
    #[must_use]
    pub fn as_f64(self) -> f64 {
        nearest_double(self.0)
    }

    /// Parses a literal in the number grammar and checks the range.
    ///
    /// # Errors
    /// Says what is wrong with the literal and what would be right.
    pub fn parse(text: &str) -> Result<Self, String> {
        let value = parse_number(text).map_err(|e| {
            format!(
                "{} is not accepted: expected {}",
                quoted(text),
                e.expected()
            )
        })?;
        Self::new(value)
    }
}

/// The literal inside a raw JSON value: a number as it stands, or the inside of a string.
pub(crate) fn literal(raw: &str) -> Option<&str> {
    match raw.as_bytes().first()? {
        b'"' => raw.get(1..raw.len().saturating_sub(1)),
        b'-' | b'0'..=b'9' => Some(raw),
        _ => None,
    }
}

impl<'de, U: Unit> Deserialize<'de> for Quantity<U> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let raw = <&RawValue>::deserialize(deserializer)?;
        let Some(text) = literal(raw.get()) else {
            return Err(D::Error::custom(format_args!(
                "{} is not a number: expected {}, in {}",
                quoted(raw.get()),
                NumberError::Grammar.expected(),
                U::SYMBOL
            )));
        };
        Self::parse(text).map_err(D::Error::custom)
    }
}

impl<U: Unit> Serialize for Quantity<U> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(Plain::decimal(self.0).as_str())
    }
}

#[cfg(feature = "openapi")]
pub(crate) mod schema {
    //! The schema of a number that is written as a string.
    use super::{Quantity, Unit};
    use std::borrow::Cow;
    use utoipa::openapi::schema::{ObjectBuilder, OneOfBuilder, SchemaType, Type};
    use utoipa::openapi::{RefOr, Schema};
    use utoipa::{PartialSchema, ToSchema};

    /// What a number looks like inside a string.
    pub const PATTERN: &str = r"^-?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][+-]?[0-9]+)?$";
    /// What a number that we write looks like.
    pub const PLAIN: &str = r"^-?(0|[1-9][0-9]*)(\.[0-9]+)?$";

    pub fn number_in(description: String) -> Schema {
        Schema::OneOf(
            OneOfBuilder::new()
                .description(Some(description))
                .item(ObjectBuilder::new().schema_type(SchemaType::Type(Type::Number)))
                .item(
                    ObjectBuilder::new()
                        .schema_type(SchemaType::Type(Type::String))
                        .pattern(Some(PATTERN)),
                )
                .examples(["22.86"])
                .build(),
        )
    }

    pub fn number_out(description: String) -> Schema {
        Schema::Object(
            ObjectBuilder::new()
                .schema_type(SchemaType::Type(Type::String))
                .pattern(Some(PLAIN))
                .description(Some(description))
                .examples(["22.86"])
                .build(),
        )
    }

    impl<U: Unit> PartialSchema for Quantity<U> {
        fn schema() -> RefOr<Schema> {
            RefOr::T(number_in(format!(
                "An exact quantity in {}, from {} to {}. Answers write it as a string.",
                U::SYMBOL,
                U::MIN,
                U::MAX
            )))
        }
    }

    impl<U: Unit> ToSchema for Quantity<U> {
        fn name() -> Cow<'static, str> {
            U::NAME.into()
        }
    }
}
