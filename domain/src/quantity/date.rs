//! Calendar dates. There is no clock here: "today" is an argument.

use super::text::quoted;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};

/// A calendar date, written `YYYY-MM-DD`, from 1900 to 2200.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date(jiff::civil::Date);

impl Date {
    /// Parses `YYYY-MM-DD`.
    ///
    /// # Errors
    /// Says what a date looks like.
    pub fn parse(text: &str) -> Result<Self, String> {
        let wrong = || {
            format!(
                "{} is not a date: expected YYYY-MM-DD between 1900 and 2200",
                quoted(text)
            )
        };
        if text.len() != 10 {
            return Err(wrong());
        }
        let date: jiff::civil::Date = text.parse().map_err(|_| wrong())?;
        if (1900..=2200).contains(&date.year()) {
            Ok(Self(date))
        } else {
            Err(wrong())
        }
    }

    /// The date `days` later (earlier when negative), held within the calendar.
    #[must_use]
    pub fn plus_days(self, days: i64) -> Self {
        let days = days.clamp(-100_000, 100_000);
        let span = jiff::Span::new().days(days);
        Self(self.0.checked_add(span).unwrap_or(self.0))
    }

    /// Whole days from `earlier` to this date.
    #[must_use]
    pub fn days_since(self, earlier: Self) -> i64 {
        self.0
            .since((jiff::Unit::Day, earlier.0))
            .map_or(0, |span| i64::from(span.get_days()))
    }

    /// A date of the calendar.
    #[must_use]
    pub const fn of(date: jiff::civil::Date) -> Self {
        Self(date)
    }

    /// The first day of its calendar year.
    #[must_use]
    pub fn first_of_year(self) -> Self {
        Self(self.0.first_of_year())
    }

    /// The last day of its calendar year.
    #[must_use]
    pub fn last_of_year(self) -> Self {
        Self(self.0.last_of_year())
    }

    /// The calendar date.
    #[must_use]
    pub const fn civil(self) -> jiff::civil::Date {
        self.0
    }
}

impl std::fmt::Display for Date {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.0)
    }
}

impl Serialize for Date {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Date {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).map_err(D::Error::custom)
    }
}

#[cfg(feature = "openapi")]
mod schema {
    use super::Date;
    use utoipa::openapi::schema::{KnownFormat, ObjectBuilder, SchemaFormat, SchemaType, Type};
    use utoipa::openapi::{RefOr, Schema};
    use utoipa::{PartialSchema, ToSchema};

    impl PartialSchema for Date {
        fn schema() -> RefOr<Schema> {
            RefOr::T(Schema::Object(
                ObjectBuilder::new()
                    .schema_type(SchemaType::Type(Type::String))
                    .format(Some(SchemaFormat::KnownFormat(KnownFormat::Date)))
                    .examples(["2026-11-25"])
                    .build(),
            ))
        }
    }
    impl ToSchema for Date {}
}
