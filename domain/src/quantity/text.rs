//! Bounded text, and how a parser below a field says which member is at fault.

use serde::{Deserialize, Deserializer, Serialize, de::Error as _};

/// Separates the member from the message in an error raised inside one field.
const MARK: char = '\u{1f}';

/// An error message that belongs to `member` below the field being read.
#[must_use]
pub fn sub_problem(member: &str, detail: &str) -> String {
    format!("{MARK}{member}{MARK}{detail}")
}

/// Splits a message made by [`sub_problem`] into the member's pointer and the message.
#[must_use]
pub fn split_sub_problem(message: &str) -> Option<(&str, &str)> {
    message.strip_prefix(MARK)?.split_once(MARK)
}

/// A value quoted for a message, cut to a readable length.
#[must_use]
pub(crate) fn quoted(text: &str) -> String {
    const LONGEST: usize = 60;
    if text.chars().count() <= LONGEST {
        return format!("`{text}`");
    }
    let head: String = text.chars().take(LONGEST).collect();
    format!("`{head}...`")
}

/// A name a person gives to a batch, a lot or a tank: 1 to 64 letters, digits, `-`, `_` or `.`, one of
/// them a letter or a digit, so that a name is never `..` in a path.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(transparent)]
pub struct Identifier(String);

impl Identifier {
    /// Takes a name that keeps the rule.
    ///
    /// # Errors
    /// Says the rule.
    pub fn new(text: &str) -> Result<Self, String> {
        let good = !text.is_empty()
            && text.len() <= 64
            && text
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_' | b'.'))
            && text.bytes().any(|b| b.is_ascii_alphanumeric());
        if good {
            Ok(Self(text.to_owned()))
        } else {
            Err(format!(
                "{} is not an identifier: expected 1 to 64 letters, digits, '-', '_' or '.', at least one of them a letter or a digit",
                quoted(text)
            ))
        }
    }

    /// The name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl std::fmt::Display for Identifier {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Identifier {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::new(&text).map_err(D::Error::custom)
    }
}

/// Free text from a person, at most 500 characters, without control characters.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(transparent)]
pub struct Text(String);

impl Text {
    /// Takes text that keeps the rule.
    ///
    /// # Errors
    /// Says the rule.
    pub fn new(text: &str) -> Result<Self, String> {
        let good = !text.trim().is_empty()
            && text.chars().count() <= 500
            && !text.chars().any(char::is_control);
        if good {
            Ok(Self(text.to_owned()))
        } else {
            Err(format!(
                "{} is not accepted: expected 1 to 500 characters on one line",
                quoted(text)
            ))
        }
    }

    /// Text that the program itself writes: one line that keeps the rule.
    #[must_use]
    pub fn fixed(text: &'static str) -> Self {
        debug_assert!(Self::new(text).is_ok(), "{text} breaks the rule of texts");
        Self(text.to_owned())
    }

    /// The text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl std::fmt::Display for Text {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Text {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::new(&text).map_err(D::Error::custom)
    }
}

#[cfg(feature = "openapi")]
mod schema {
    use super::{Identifier, Text};
    use utoipa::openapi::schema::{ObjectBuilder, SchemaType, Type};
    use utoipa::openapi::{RefOr, Schema};
    use utoipa::{PartialSchema, ToSchema};

    impl PartialSchema for Identifier {
        fn schema() -> RefOr<Schema> {
            RefOr::T(Schema::Object(
                ObjectBuilder::new()
                    .schema_type(SchemaType::Type(Type::String))
                    .pattern(Some("^[._-]*[A-Za-z0-9][A-Za-z0-9._-]*$"))
                    .examples(["bath-1"])
                    .build(),
            ))
        }
    }
    impl ToSchema for Identifier {}

    impl PartialSchema for Text {
        fn schema() -> RefOr<Schema> {
            RefOr::T(Schema::Object(
                ObjectBuilder::new()
                    .schema_type(SchemaType::Type(Type::String))
                    .min_length(Some(1))
                    .max_length(Some(500))
                    .build(),
            ))
        }
    }
    impl ToSchema for Text {}
}
