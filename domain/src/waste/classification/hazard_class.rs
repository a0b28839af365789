//! Hazard classes of substances, as data.

use crate::bibliography::SourceStatus;
use crate::quantity::PercentWW;
use crate::substance::{Group, Substance, substances};
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
    /// Whether it is the hazard that a rule names: a statement without its sub-category may be any of them.
    pub fn is(&self, named: &str) -> bool {
        named
            .strip_prefix(self.hazard.as_str())
            .is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
    }

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

/// The hazard statements of substances whose classes nobody has looked up: bare, and no surer than their
/// source.
static STATEMENTS: LazyLock<HashMap<&str, Classified>> = LazyLock::new(|| {
    let bare = |substance: &'static Substance| Classified {
        id: substance.id.clone(),
        classes: substance
            .hazard_statements
            .iter()
            .map(|hazard| HazardClass {
                hazard: hazard.clone(),
                from: None,
                below: None,
            })
            .collect(),
        _entry: String::new(),
        source: substance
            .hazard_source
            .clone()
            .unwrap_or_else(|| substance.source.clone()),
        _status: SourceStatus::Unverified,
    };
    substances()
        .iter()
        .filter(|s| !CLASSES.contains_key(&s.id))
        .filter(|s| !s.hazard_statements.is_empty() || s.groups == [Group::Inert])
        .map(|s| (s.id.as_str(), bare(s)))
        .collect()
});

/// What is known of a substance whose classes nobody has looked up; `None` where that is nothing.
pub(super) fn hazard_statements(id: &str) -> Option<&'static Classified> {
    STATEMENTS.get(id)
}

/// The hazard classes of a substance; `None` where nobody has looked them up.
pub(super) fn hazard_classes(id: &str) -> Option<&'static Classified> {
    CLASSES.get(id)
}
