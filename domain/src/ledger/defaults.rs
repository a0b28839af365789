//! What the silver book takes where nobody else sets a day, from `ledger.toml`.

use crate::valuation::defaults::Figure;
use rust_decimal::prelude::ToPrimitive as _;
use serde::Deserialize;
use std::sync::LazyLock;

/// Every default of the book.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Defaults {
    pub inspection_interval: Figure,
    pub wait_for_statement: Figure,
}

static DEFAULTS: LazyLock<Defaults> =
    LazyLock::new(|| crate::data::parse(include_str!("../../data/ledger.toml")));

/// The defaults.
pub(super) fn defaults() -> &'static Defaults {
    &DEFAULTS
}

/// A default that is a count of days.
pub(super) fn days(figure: &Figure) -> i64 {
    figure.value.to_i64().unwrap_or_default()
}
