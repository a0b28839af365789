//! Rule sets: one jurisdiction's rules as a data file.

use crate::answer::Notice;
use crate::fault::{Fault, FaultKind};
use serde::{Deserialize, Deserializer, Serialize, de::Error as _};
use std::sync::LazyLock;

/// One jurisdiction's rules, read from a data file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct RuleSet {
    /// The name a request uses.
    pub id: String,
    /// What it covers, in words.
    pub title: String,
    /// The edition of the texts it was made from.
    pub edition: String,
    /// What comes before this program's answer.
    pub notice: String,
    /// What to confirm, and with whom.
    pub confirm: Vec<String>,
}

static RULE_SETS: LazyLock<Vec<RuleSet>> = LazyLock::new(|| {
    [
        include_str!("../../data/rule_sets/unspecified.toml"),
        include_str!("../../data/rule_sets/us-federal.toml"),
    ]
    .iter()
    .map(|text| crate::data::parse(text))
    .collect()
});

impl RuleSet {
    /// Every rule set we ship; the first is `unspecified`.
    #[must_use]
    pub fn all() -> &'static [Self] {
        &RULE_SETS
    }

    /// The rule set that assumes nothing and asks for everything.
    #[must_use]
    #[expect(
        clippy::indexing_slicing,
        reason = "the list is a constant of this file and never empty"
    )]
    pub fn unspecified() -> &'static Self {
        &RULE_SETS[0]
    }

    /// The rule set of that name.
    #[must_use]
    pub fn named(id: &str) -> Option<&'static Self> {
        RULE_SETS.iter().find(|r| r.id == id)
    }

    /// The words that go on every output made under these rules.
    #[must_use]
    pub fn notice(&self) -> Notice {
        Notice {
            rule_set: self.id.clone(),
            edition: self.edition.clone(),
            text: self.notice.clone(),
            confirm: self.confirm.clone(),
        }
    }
}

/// The rule set a request asks for. Reading it finds the rules, so that a name we do not have is
/// a problem with the list of those we do.
#[derive(Debug, Clone, Copy)]
pub struct RuleSetName(&'static RuleSet);

impl RuleSetName {
    /// The rules.
    #[must_use]
    pub const fn rules(self) -> &'static RuleSet {
        self.0
    }

    /// Finds a rule set by name.
    ///
    /// # Errors
    /// Lists the names there are.
    pub fn parse(id: &str) -> Result<Self, Fault> {
        RuleSet::named(id).map(Self).ok_or_else(|| {
            let known: Vec<&str> = RuleSet::all().iter().map(|r| r.id.as_str()).collect();
            Fault::new(
                FaultKind::Unknown,
                "/rule_set",
                format!(
                    "`{id}` is not a rule set we have: expected one of {}",
                    known.join(", ")
                ),
            )
        })
    }
}

impl PartialEq for RuleSetName {
    fn eq(&self, other: &Self) -> bool {
        self.0.id == other.0.id
    }
}

impl<'de> Deserialize<'de> for RuleSetName {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let id = String::deserialize(deserializer)?;
        Self::parse(&id).map_err(|f| D::Error::custom(f.detail))
    }
}

impl Serialize for RuleSetName {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0.id)
    }
}

#[cfg(feature = "openapi")]
mod schema {
    use super::{RuleSet, RuleSetName};
    use utoipa::openapi::schema::{ObjectBuilder, SchemaType, Type};
    use utoipa::openapi::{RefOr, Schema};
    use utoipa::{PartialSchema, ToSchema};

    impl PartialSchema for RuleSetName {
        fn schema() -> RefOr<Schema> {
            let names: Vec<String> = RuleSet::all().iter().map(|r| r.id.clone()).collect();
            RefOr::T(Schema::Object(
                ObjectBuilder::new()
                    .schema_type(SchemaType::Type(Type::String))
                    .enum_values(Some(names))
                    .description(Some(
                        "The jurisdiction whose rules apply. Default `unspecified`.",
                    ))
                    .build(),
            ))
        }
    }
    impl ToSchema for RuleSetName {}
}
