//! A reading and how sure it is.

use super::number::nearest_double;
use super::text::{quoted, sub_problem};
use super::{Plain, Quantity, Unit, literal, write_decimal};
use rust_decimal::Decimal;
use serde::{
    Deserialize, Deserializer, Serialize, Serializer, de::Error as _, ser::SerializeMap as _,
};
use serde_json::value::RawValue;

/// A measured input in unit `U`, in one of four forms:
/// a bare value; `{"value", "standard_uncertainty"}`; `{"value", "plus_minus"}` (rectangular
/// half-width); `{"between": [low, high]}` (rectangular, as pH paper reads).
///
/// A bare value takes the default uncertainty of its evidence kind, and the answer lists that
/// default under its assumptions.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Measured<U: Unit> {
    value: Decimal,
    spread: Option<(Decimal, Shape)>,
    unit: std::marker::PhantomData<U>,
}

/// How an uncertainty is distributed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Shape {
    /// Normal; the figure is a standard deviation.
    Normal,
    /// Rectangular; the figure is the half-width.
    Rectangular,
}

impl<U: Unit> Measured<U> {
    /// A bare value, without an uncertainty of its own.
    #[must_use]
    pub const fn bare(value: Quantity<U>) -> Self {
        Self {
            value: value.decimal(),
            spread: None,
            unit: std::marker::PhantomData,
        }
    }

    /// A value with a standard uncertainty; `None` where it lies outside the unit's range or the
    /// uncertainty is negative.
    #[must_use]
    pub fn with_standard_uncertainty(value: Decimal, uncertainty: Decimal) -> Option<Self> {
        let value = Quantity::<U>::new(value).ok()?.decimal();
        (uncertainty >= Decimal::ZERO).then_some(Self {
            value,
            spread: Some((uncertainty, Shape::Normal)),
            unit: std::marker::PhantomData,
        })
    }

    /// The value (of an interval, its middle).
    #[must_use]
    pub const fn decimal(&self) -> Decimal {
        self.value
    }

    /// The value as a binary number.
    #[must_use]
    pub fn as_f64(&self) -> f64 {
        nearest_double(self.value)
    }

    /// The standard uncertainty and its shape, where one was given. A rectangular half-width `a`
    /// has the standard uncertainty `a / sqrt(3)` (JCGM 100:2008, 4.3.7).
    #[must_use]
    pub fn standard_uncertainty(&self) -> Option<(f64, Shape)> {
        let (size, shape) = self.spread?;
        let size = nearest_double(size);
        Some(match shape {
            Shape::Normal => (size, shape),
            Shape::Rectangular => (size / 3f64.sqrt(), shape),
        })
    }

    /// How far the value may lie either way, 95 times in 100, where an uncertainty was given: 1.96 of a
    /// normal one's standard uncertainty, and the whole half-width of a rectangular one.
    #[must_use]
    pub fn half_width_95(&self) -> Option<f64> {
        let (u, shape) = self.standard_uncertainty()?;
        Some(match shape {
            Shape::Normal => 1.96 * u,
            Shape::Rectangular => u * 3f64.sqrt(),
        })
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Form<'a> {
    #[serde(borrow)]
    value: Option<&'a RawValue>,
    #[serde(borrow)]
    standard_uncertainty: Option<&'a RawValue>,
    #[serde(borrow)]
    plus_minus: Option<&'a RawValue>,
    #[serde(borrow)]
    between: Option<&'a RawValue>,
}

const FORMS: &str = "a bare number, {\"value\", \"standard_uncertainty\"}, {\"value\", \"plus_minus\"} or {\"between\": [low, high]}";

fn quantity<U: Unit>(member: &str, raw: &RawValue) -> Result<Decimal, String> {
    let wrong = |detail: String| sub_problem(member, &detail);
    let text = literal(raw.get()).ok_or_else(|| {
        wrong(format!(
            "{} is not a number of {}",
            quoted(raw.get()),
            U::SYMBOL
        ))
    })?;
    Quantity::<U>::parse(text)
        .map(Quantity::decimal)
        .map_err(wrong)
}

fn half_width(member: &str, raw: &RawValue) -> Result<Decimal, String> {
    let wrong = |detail: String| sub_problem(member, &detail);
    let text = literal(raw.get())
        .ok_or_else(|| wrong(format!("{} is not a number", quoted(raw.get()))))?;
    let value = super::parse_number(text).map_err(|e| {
        wrong(format!(
            "{} is not accepted: expected {}",
            quoted(text),
            e.expected()
        ))
    })?;
    if value.is_sign_negative() && !value.is_zero() {
        return Err(wrong(format!(
            "{} is negative: an uncertainty is zero or more",
            quoted(text)
        )));
    }
    Ok(value)
}

impl<U: Unit> Measured<U> {
    fn from_raw(raw: &str) -> Result<Self, String> {
        if let Some(text) = literal(raw) {
            return Quantity::<U>::parse(text).map(Self::bare);
        }
        if !raw.starts_with('{') {
            return Err(format!(
                "{} is not a reading in {}: expected {FORMS}",
                quoted(raw),
                U::SYMBOL
            ));
        }
        if let Some((value, spread)) = usual::<U>(raw) {
            return Ok(Self {
                value,
                spread: Some(spread),
                unit: std::marker::PhantomData,
            });
        }
        let form: Form<'_> = serde_json::from_str(raw)
            .map_err(|e| format!("{}: expected {FORMS}", serde_words(&e)))?;
        let (value, spread) = match (
            form.value,
            form.standard_uncertainty,
            form.plus_minus,
            form.between,
        ) {
            (Some(v), Some(u), None, None) => (
                quantity::<U>("value", v)?,
                (half_width("standard_uncertainty", u)?, Shape::Normal),
            ),
            (Some(v), None, Some(a), None) => (
                quantity::<U>("value", v)?,
                (half_width("plus_minus", a)?, Shape::Rectangular),
            ),
            (None, None, None, Some(b)) => between::<U>(b)?,
            _ => {
                return Err(format!(
                    "this mixture of members is not a reading: expected {FORMS}"
                ));
            }
        };
        Ok(Self {
            value,
            spread: Some(spread),
            unit: std::marker::PhantomData,
        })
    }
}

fn between<U: Unit>(raw: &RawValue) -> Result<(Decimal, (Decimal, Shape)), String> {
    let wrong = |detail: &str| sub_problem("between", detail);
    let ends: Vec<&RawValue> =
        serde_json::from_str(raw.get()).map_err(|_| wrong("expected two numbers, [low, high]"))?;
    let [low, high] = ends.as_slice() else {
        return Err(wrong("expected two numbers, [low, high]"));
    };
    let low = quantity::<U>("between/0", low)?;
    let high = quantity::<U>("between/1", high)?;
    if low > high {
        return Err(wrong(&format!(
            "{} is above {}: expected the low end first",
            write_decimal(low),
            write_decimal(high)
        )));
    }
    middle(low, high).ok_or_else(|| wrong("the ends carry more digits than can be added"))
}

/// The middle of two ends, and the half-width between them.
fn middle(low: Decimal, high: Decimal) -> Option<(Decimal, (Decimal, Shape))> {
    let middle = low.checked_add(high)?.checked_div(Decimal::TWO)?;
    let half = high.checked_sub(low)?.checked_div(Decimal::TWO)?;
    Some((middle, (half, Shape::Rectangular)))
}

/// A form as nearly everyone writes it, two members and no escapes, cut from text that is known to
/// be JSON without parsing it again. `None` for any other, right or wrong, which goes the long way.
fn usual<U: Unit>(raw: &str) -> Option<(Decimal, (Decimal, Shape))> {
    let (name, rest) = scalar(past(raw, b'{')?)?;
    let rest = past(rest, b':')?;
    let number = |text| super::parse_number(text).ok();
    let value = |text| Quantity::<U>::parse(text).ok().map(Quantity::decimal);
    if name == "between" {
        let (low, rest) = scalar(past(rest, b'[')?)?;
        let (high, rest) = scalar(past(rest, b',')?)?;
        past(past(rest, b']')?, b'}')?;
        let (low, high) = (value(low)?, value(high)?);
        return if low <= high { middle(low, high) } else { None };
    }
    let (first, rest) = scalar(rest)?;
    let (second_name, rest) = scalar(past(rest, b',')?)?;
    let (second, rest) = scalar(past(rest, b':')?)?;
    past(rest, b'}')?;
    let (of, size, shape) = match (name, second_name) {
        ("value", "standard_uncertainty") => (first, second, Shape::Normal),
        ("value", "plus_minus") => (first, second, Shape::Rectangular),
        ("standard_uncertainty", "value") => (second, first, Shape::Normal),
        ("plus_minus", "value") => (second, first, Shape::Rectangular),
        _ => return None,
    };
    let size = number(size).filter(|s| !s.is_sign_negative())?;
    Some((value(of)?, (size, shape)))
}

/// What follows this mark of JSON.
fn past(text: &str, mark: u8) -> Option<&str> {
    let text = text.trim_ascii_start();
    (text.as_bytes().first() == Some(&mark)).then(|| text.get(1..))?
}

/// The inside of a string without escapes, or a number, and what follows it.
fn scalar(text: &str) -> Option<(&str, &str)> {
    let text = text.trim_ascii_start();
    if let Some(inside) = text.strip_prefix('"') {
        let end = inside.bytes().position(|b| matches!(b, b'"' | b'\\'))?;
        let (inside, rest) = inside.split_at_checked(end)?;
        return Some((inside, rest.strip_prefix('"')?));
    }
    let end = text
        .bytes()
        .position(|b| !matches!(b, b'-' | b'+' | b'.' | b'0'..=b'9' | b'e' | b'E'))?;
    text.split_at_checked(end).filter(|(n, _)| !n.is_empty())
}

/// serde's message without its line and column, which count from inside the member.
fn serde_words(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.split(" at line ")
        .next()
        .unwrap_or_default()
        .to_owned()
}

impl<'de, U: Unit> Deserialize<'de> for Measured<U> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let raw = <&RawValue>::deserialize(deserializer)?;
        Self::from_raw(raw.get()).map_err(D::Error::custom)
    }
}

impl<U: Unit> Serialize for Measured<U> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let Some((size, shape)) = self.spread else {
            return serializer.serialize_str(Plain::decimal(self.value).as_str());
        };
        let mut map = serializer.serialize_map(Some(2))?;
        map.serialize_entry("value", Plain::decimal(self.value).as_str())?;
        map.serialize_entry(
            match shape {
                Shape::Normal => "standard_uncertainty",
                Shape::Rectangular => "plus_minus",
            },
            Plain::decimal(size).as_str(),
        )?;
        map.end()
    }
}

#[cfg(feature = "openapi")]
mod schema {
    use super::{Measured, Quantity, Unit};
    use std::borrow::Cow;
    use utoipa::openapi::schema::{
        AdditionalProperties, ArrayBuilder, ObjectBuilder, OneOfBuilder, SchemaType, Type,
    };
    use utoipa::openapi::{Ref, RefOr, Schema};
    use utoipa::{PartialSchema, ToSchema};

    fn closed() -> ObjectBuilder {
        ObjectBuilder::new()
            .schema_type(SchemaType::Type(Type::Object))
            .additional_properties(Some(AdditionalProperties::FreeForm(false)))
    }

    impl<U: Unit> PartialSchema for Measured<U> {
        fn schema() -> RefOr<Schema> {
            let value = || RefOr::<Schema>::Ref(Ref::from_schema_name(U::NAME));
            let spread = || crate::quantity::schema::number_in("Zero or more.".to_owned());
            RefOr::T(Schema::OneOf(
                OneOfBuilder::new()
                    .description(Some(format!(
                        "A reading in {}: a bare value takes the default uncertainty of its kind.",
                        U::SYMBOL
                    )))
                    .item(value())
                    .item(
                        closed()
                            .property("value", value())
                            .property("standard_uncertainty", spread())
                            .required("value")
                            .required("standard_uncertainty"),
                    )
                    .item(
                        closed()
                            .property("value", value())
                            .property("plus_minus", spread())
                            .required("value")
                            .required("plus_minus"),
                    )
                    .item(
                        closed()
                            .property(
                                "between",
                                ArrayBuilder::new()
                                    .items(value())
                                    .min_items(Some(2))
                                    .max_items(Some(2)),
                            )
                            .required("between"),
                    )
                    .build(),
            ))
        }
    }

    impl<U: Unit> ToSchema for Measured<U> {
        fn name() -> Cow<'static, str> {
            U::MEASURED.into()
        }
        fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
            schemas.push((U::NAME.to_owned(), Quantity::<U>::schema()));
        }
    }
}
