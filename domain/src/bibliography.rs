//! Where every figure comes from. Each key used anywhere in the code or the data resolves here.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// How well a source was verified.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum SourceStatus {
    /// Read in the primary wording or the agency's own page.
    ReadPrimary,
    /// Read in a secondary page that reproduces or summarises it.
    ReadSecondary,
    /// From memory, unverified.
    Unverified,
    /// Derived by arithmetic from other figures.
    Derived,
    /// Common practice, no source.
    CommonPractice,
}

impl SourceStatus {
    /// The status in words, as answers print it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::ReadPrimary => "read in the primary text",
            Self::ReadSecondary => "read in a secondary text",
            Self::Unverified => "unverified",
            Self::Derived => "derived",
            Self::CommonPractice => "common practice, no source",
        }
    }
}

/// One entry of the bibliography.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Reference {
    /// The key that answers use.
    pub key: String,
    /// Author, title, edition and place, or what the figure rests on.
    pub citation: String,
    /// How well it was verified.
    pub status: SourceStatus,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    reference: Vec<Reference>,
}

const FILES: &[&str] = &[
    include_str!("../data/bibliography/chemistry.toml"),
    include_str!("../data/bibliography/equilibrium.toml"),
    include_str!("../data/bibliography/law.toml"),
    include_str!("../data/bibliography/money.toml"),
    include_str!("../data/bibliography/trade.toml"),
    include_str!("../data/bibliography/statistics.toml"),
    include_str!("../data/bibliography/paper.toml"),
    include_str!("../data/bibliography/recovery.toml"),
];

static BIBLIOGRAPHY: LazyLock<BTreeMap<String, Reference>> = LazyLock::new(|| {
    FILES
        .iter()
        .flat_map(|text| crate::data::parse::<File>(text).reference)
        .map(|r| (r.key.clone(), r))
        .collect()
});

/// Every entry, by key.
#[must_use]
pub fn bibliography() -> &'static BTreeMap<String, Reference> {
    &BIBLIOGRAPHY
}

/// The entry for a key.
#[must_use]
pub fn reference(key: &str) -> Option<&'static Reference> {
    BIBLIOGRAPHY.get(key)
}
