//! Bounds on what readings can be, read from their data file.

use crate::valuation::defaults::Figure;
use rust_decimal::prelude::ToPrimitive as _;
use serde::Deserialize;
use std::sync::LazyLock;

/// Every figure of the file.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Facts {
    pub no_mean_below_chance: Figure,
    pub no_mean_beyond_ratio: Figure,
    pub silver_metal_g_per_l: Figure,
    pub dissolved_silver_g_per_l: Figure,
}

static FACTS: LazyLock<Facts> =
    LazyLock::new(|| crate::data::parse(include_str!("../../data/readings.toml")));

/// The file.
pub(super) fn facts() -> &'static Facts {
    &FACTS
}

/// A figure as a binary number.
pub(super) fn number(figure: &Figure) -> f64 {
    figure.value.to_f64().unwrap_or_default()
}

/// Every bibliography key of the bounds on readings.
#[must_use]
pub fn bound_sources() -> Vec<&'static str> {
    let f = facts();
    [
        &f.no_mean_below_chance,
        &f.no_mean_beyond_ratio,
        &f.silver_metal_g_per_l,
        &f.dissolved_silver_g_per_l,
    ]
    .into_iter()
    .map(|figure| figure.source.as_str())
    .collect()
}
