//! Hazard classes of substances, as data.

use crate::bibliography::SourceStatus;
use crate::quantity::PercentWW;
use serde::Deserialize;
use std::collections::HashMap;
use std::sync::LazyLock;

/// A hazard of a substance, and the shares from and up to which it has it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct HazardClass {
    /// Statement with its sub-category, such as `H314 1B`.
    pub hazard: String,
    #[serde(default, deserialize_with = "crate::data::exact_some")]
    from: Option<PercentWW>,
    #[serde(default, deserialize_with = "crate::data::exact_some")]
    below: Option<PercentWW>,
}

impl HazardClass {
    /// Whether a substance of this share in the waste has the hazard; an unknown share may.
    pub fn holds_at(&self, percent: Option<f64>) -> bool {
        percent.is_none_or(|p| {
            self.from.is_none_or(|f| p >= f.as_f64()) && self.below.is_none_or(|b| p < b.as_f64())
        })
    }
}

/// The classes of one substance.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Classified {
    id: String,
    /// Its hazards; empty where it has no harmonised class.
    pub classes: Vec<HazardClass>,
    /// The entry, in words.
    #[serde(rename = "entry")]
    _entry: String,
    /// Bibliography key.
    pub source: String,
    #[serde(rename = "status")]
    _status: SourceStatus,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    substance: Vec<Classified>,
}

static CLASSES: LazyLock<HashMap<String, Classified>> = LazyLock::new(|| {
    crate::data::parse::<File>(include_str!("../../../data/hazard_classes.toml"))
        .substance
        .into_iter()
        .map(|c| (c.id.clone(), c))
        .collect()
});

/// The hazard classes of a substance; `None` where nobody has looked them up.
pub(super) fn hazard_classes(id: &str) -> Option<&'static Classified> {
    CLASSES.get(id)
}
