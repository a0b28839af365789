//! Defaults of valuations and decisions, read from their data file.

use crate::bibliography::SourceStatus;
use crate::quantity::parse_number;
use rust_decimal::Decimal;
use serde::{Deserialize, Deserializer, de::Error as _};
use std::sync::{LazyLock, OnceLock};

/// One default with its standing.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Figure {
    /// The value.
    #[serde(deserialize_with = "decimal")]
    pub value: Decimal,
    /// The unit as people write it.
    pub unit: String,
    /// How well it is known.
    pub status: SourceStatus,
    /// Key in the bibliography.
    pub source: String,
    /// It in words, written once.
    #[serde(skip)]
    words: OnceLock<String>,
}

impl Figure {
    /// The default in words, as an assumption states it.
    pub fn words(&self) -> &str {
        self.words.get_or_init(|| {
            format!(
                "{} {} ({})",
                crate::quantity::write_decimal(self.value),
                self.unit,
                self.status.words()
            )
        })
    }
}

fn decimal<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Decimal, D::Error> {
    let text = String::deserialize(deserializer)?;
    parse_number(&text).map_err(|e| D::Error::custom(e.expected()))
}

/// Every default of valuations and decisions.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Defaults {
    pub price_spread_percent: Figure,
    pub price_stale_after_days: Figure,
    pub measure_first_chance_low_percent: Figure,
    pub measure_first_chance_high_percent: Figure,
    pub measure_first_uncertainty_percent: Figure,
    pub bath_strength_percent_w_v: Figure,
    pub density_sensitizing_bath_kg_per_l: Figure,
    pub density_fixer_kg_per_l: Figure,
    pub density_other_liquid_kg_per_l: Figure,
    pub silver_percent_of_silver_chloride: Figure,
    pub silver_percent_of_silver_sulfide: Figure,
    pub silver_percent_of_electrolytic_flake: Figure,
    pub silver_percent_of_metallic_replacement_sludge: Figure,
}

impl Defaults {
    /// Every default, in the order of the file.
    pub fn all(&self) -> [&Figure; 13] {
        [
            &self.price_spread_percent,
            &self.price_stale_after_days,
            &self.measure_first_chance_low_percent,
            &self.measure_first_chance_high_percent,
            &self.measure_first_uncertainty_percent,
            &self.bath_strength_percent_w_v,
            &self.density_sensitizing_bath_kg_per_l,
            &self.density_fixer_kg_per_l,
            &self.density_other_liquid_kg_per_l,
            &self.silver_percent_of_silver_chloride,
            &self.silver_percent_of_silver_sulfide,
            &self.silver_percent_of_electrolytic_flake,
            &self.silver_percent_of_metallic_replacement_sludge,
        ]
    }
}

static DEFAULTS: LazyLock<Defaults> =
    LazyLock::new(|| crate::data::parse(include_str!("../../data/money.toml")));

/// The defaults.
pub(crate) fn defaults() -> &'static Defaults {
    &DEFAULTS
}
