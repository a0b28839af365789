//! What a statement is checked with, from `settlement.toml`.

use super::result::SettlementVerdict;
use crate::estimate::Spread;
use crate::quantity::nearest_double;
use crate::valuation::defaults::Figure;
use serde::Deserialize;
use std::sync::LazyLock;

/// Something to ask the refiner for.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Ask {
    pub when: Vec<SettlementVerdict>,
    pub what: String,
    pub why: String,
    pub source: String,
}

/// The data file.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SettlementData {
    pub splitting_limit: Figure,
    pub refiner_figure: Figure,
    pub ask: Vec<Ask>,
}

static DATA: LazyLock<SettlementData> =
    LazyLock::new(|| crate::data::parse(include_str!("../../../data/settlement.toml")));

/// The data.
pub(super) fn data() -> &'static SettlementData {
    &DATA
}

/// How far a refiner's figure that stands bare may be off.
pub(crate) fn refiner_spread() -> Spread {
    Spread::Relative(nearest_double(DATA.refiner_figure.value))
}

/// Keys of the bibliography that the data rests on.
pub(crate) fn sources() -> impl Iterator<Item = &'static str> {
    let figures = [&DATA.splitting_limit, &DATA.refiner_figure];
    figures
        .into_iter()
        .map(|f| f.source.as_str())
        .chain(DATA.ask.iter().map(|a| a.source.as_str()))
}
