//! Exact money: amounts, currencies with their minor unit, and the metal's price.

use super::text::quoted;
use super::{Date, Text, literal, parse_number, plain::Plain, write_decimal};
use rust_decimal::Decimal;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};
use serde_json::value::RawValue;

/// Grams in a troy ounce, exactly (480 grains of 64.79891 mg).
pub const TROY_OUNCE_G: Decimal = Decimal::from_parts(311_034_768, 0, 0, false, 7);

fn read<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Decimal, D::Error> {
    let raw = <&RawValue>::deserialize(deserializer)?;
    let text = literal(raw.get()).ok_or_else(|| {
        D::Error::custom(format_args!(
            "{} is not an amount of money: expected a number",
            quoted(raw.get())
        ))
    })?;
    parse_number(text).map_err(|e| {
        D::Error::custom(format_args!(
            "{} is not accepted: expected {}",
            quoted(text),
            e.expected()
        ))
    })
}

/// An amount of money, zero or more, in the currency named beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Amount(Decimal);

impl Amount {
    /// Nothing.
    pub const ZERO: Self = Self(Decimal::ZERO);

    /// Takes an amount that is not negative.
    ///
    /// # Errors
    /// Says that an amount is zero or more.
    pub fn new(value: Decimal) -> Result<Self, String> {
        if value < Decimal::ZERO {
            return Err(format!(
                "{} is negative: expected an amount of zero or more",
                write_decimal(value)
            ));
        }
        Ok(Self(value))
    }

    /// The exact amount.
    #[must_use]
    pub const fn decimal(self) -> Decimal {
        self.0
    }
}

impl<'de> Deserialize<'de> for Amount {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Self::new(read(deserializer)?).map_err(D::Error::custom)
    }
}

impl Serialize for Amount {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(Plain::decimal(self.0).as_str())
    }
}

/// An amount of money in an answer, rounded to the currency's minor unit; may be negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SignedAmount {
    value: Decimal,
    digits: u32,
}

/// Rounds half away from zero to so many decimal places: 28 digits take one division.
fn half_away(value: Decimal, places: u32) -> Decimal {
    let (scale, mantissa) = (value.scale(), value.mantissa());
    let step = match scale.checked_sub(places) {
        None | Some(0) => return value,
        Some(cut) => 10i128.saturating_pow(cut),
    };
    let half = (step / 2).saturating_mul(mantissa.signum());
    let rounded = mantissa.saturating_add(half).checked_div(step);
    rounded
        .and_then(|n| Decimal::try_from_i128_with_scale(n, places).ok())
        .unwrap_or(value)
}

impl SignedAmount {
    /// Rounds half away from zero to the currency's minor unit, as invoices do.
    #[must_use]
    pub fn rounded(value: Decimal, currency: Currency) -> Self {
        let digits = currency.minor_unit();
        Self {
            value: half_away(value, digits),
            digits,
        }
    }

    /// The rounded amount.
    #[must_use]
    pub const fn decimal(self) -> Decimal {
        self.value
    }
}

impl std::fmt::Display for SignedAmount {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let value = if self.value.is_zero() {
            Decimal::ZERO
        } else {
            self.value
        };
        match Plain::fixed(value, self.digits) {
            Some(text) => f.write_str(text.as_str()),
            None => write!(f, "{:.*}", self.digits as usize, value),
        }
    }
}

impl Serialize for SignedAmount {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match Plain::fixed(self.value, self.digits) {
            Some(text) => serializer.serialize_str(text.as_str()),
            None => serializer.collect_str(self),
        }
    }
}

/// A currency of ISO 4217 that has a minor unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Currency(iso_currency::Currency);

impl Currency {
    /// Finds a currency by its three-letter code.
    ///
    /// # Errors
    /// Says that the code is not one of ISO 4217, or that it is a metal or fund code.
    pub fn parse(code: &str) -> Result<Self, String> {
        iso_currency::Currency::from_code(code)
            .filter(|c| c.exponent().is_some())
            .map(Self)
            .ok_or_else(|| {
                format!(
                    "{} is not a currency: expected an ISO 4217 code such as USD, EUR or GBP",
                    quoted(code)
                )
            })
    }

    /// The three-letter code.
    #[must_use]
    pub fn code(self) -> &'static str {
        self.0.code()
    }

    /// An amount as people write it: with the places of the minor unit, and more where it has more, to four.
    ///
    /// ```
    /// use rust_decimal::Decimal;
    /// use spent_silver_domain::quantity::Currency;
    /// let dollars = Currency::parse("USD").unwrap();
    /// assert_eq!(dollars.written(Decimal::new(482, 1)), "48.20");
    /// assert_eq!(dollars.written(Decimal::new(640_617, 4)), "64.0617");
    /// // ISO 4217: the yen has no minor unit.
    /// assert_eq!(Currency::parse("JPY").unwrap().written(Decimal::new(7300, 0)), "7300");
    /// ```
    #[must_use]
    pub fn written(self, amount: Decimal) -> String {
        self.plain(amount).into()
    }

    /// The same, to be written somewhere.
    pub(crate) fn plain(self, amount: Decimal) -> Plain {
        let short = amount.round_dp(4).normalize();
        let places = short.scale().max(self.minor_unit());
        Plain::fixed(short, places)
            .unwrap_or_else(|| Plain::from(format!("{short:.*}", places as usize)))
    }

    /// Decimal places of the minor unit.
    #[must_use]
    pub fn minor_unit(self) -> u32 {
        self.0.exponent().map_or(2, u32::from)
    }
}

impl std::fmt::Display for Currency {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.code())
    }
}

impl<'de> Deserialize<'de> for Currency {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let code = String::deserialize(deserializer)?;
        Self::parse(&code).map_err(D::Error::custom)
    }
}

impl Serialize for Currency {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.code())
    }
}

/// What a metal price is quoted for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum PriceUnit {
    /// Per troy ounce of 31.1034768 g.
    TroyOunce,
    /// Per gram.
    Gram,
    /// Per kilogram.
    Kilogram,
}

impl PriceUnit {
    /// The unit in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::TroyOunce => "troy ounce",
            Self::Gram => "gram",
            Self::Kilogram => "kilogram",
        }
    }
}

/// The metal's price as the person gives it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct MetalPrice {
    /// Price of fine silver for one unit.
    pub amount: Amount,
    /// Currency of the price.
    pub currency: Currency,
    /// The unit the price is for.
    pub per: PriceUnit,
    /// The day the price was true.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub as_of_on: Option<Date>,
    /// Where the price comes from, in the person's words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<Text>,
}

impl MetalPrice {
    /// Price of `grams` of fine silver: amount x grams / grams per unit, exact to 28 digits and not rounded.
    ///
    /// Returns `None` when the figures are too large for an exact product.
    #[must_use]
    pub fn value_of(&self, grams: Decimal) -> Option<Decimal> {
        let per = match self.per {
            PriceUnit::TroyOunce => TROY_OUNCE_G,
            PriceUnit::Gram => Decimal::ONE,
            PriceUnit::Kilogram => Decimal::ONE_THOUSAND,
        };
        self.amount.decimal().checked_mul(grams)?.checked_div(per)
    }
}

/// Grams in a mass given in troy ounces, exactly.
#[must_use]
pub fn exact_grams(troy_ounces: Decimal) -> Option<Decimal> {
    troy_ounces.checked_mul(TROY_OUNCE_G)
}

#[cfg(feature = "openapi")]
mod schema {
    use super::{Amount, Currency, SignedAmount};
    use utoipa::openapi::schema::{ObjectBuilder, SchemaType, Type};
    use utoipa::openapi::{RefOr, Schema};
    use utoipa::{PartialSchema, ToSchema};

    impl PartialSchema for Amount {
        fn schema() -> RefOr<Schema> {
            RefOr::T(crate::quantity::schema::number_in(
                "Money, zero or more, in the currency named beside it.".to_owned(),
            ))
        }
    }
    impl ToSchema for Amount {}

    impl PartialSchema for SignedAmount {
        fn schema() -> RefOr<Schema> {
            RefOr::T(crate::quantity::schema::number_out(
                "Money to the minor unit of the currency named beside it; may be negative."
                    .to_owned(),
            ))
        }
    }
    impl ToSchema for SignedAmount {}

    impl PartialSchema for Currency {
        fn schema() -> RefOr<Schema> {
            RefOr::T(Schema::Object(
                ObjectBuilder::new()
                    .schema_type(SchemaType::Type(Type::String))
                    .pattern(Some("^[A-Z]{3}$"))
                    .description(Some("ISO 4217 code."))
                    .examples(["USD"])
                    .build(),
            ))
        }
    }
    impl ToSchema for Currency {}
}
