//! What a budget assumes when the person says nothing, from `budget_defaults.toml`.

use crate::batch::Craft;
use crate::bibliography::SourceStatus;
use crate::quantity::parse_number;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;
use serde::{Deserialize, Deserializer, de::Error as _};
use std::sync::LazyLock;

fn exact<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Decimal, D::Error> {
    let text = String::deserialize(deserializer)?;
    parse_number(&text).map_err(|e| D::Error::custom(e.expected()))
}

/// One default figure.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Figure {
    #[serde(deserialize_with = "exact")]
    pub value: Decimal,
    #[serde(deserialize_with = "exact")]
    pub half_width: Decimal,
    #[expect(
        dead_code,
        reason = "the words say it to people; the file says it to maintainers"
    )]
    status: SourceStatus,
    pub source: String,
    pub words: String,
}

impl Figure {
    pub fn as_f64(&self) -> f64 {
        self.value.to_f64().unwrap_or_default()
    }

    /// Standard uncertainty of the figure itself, from its rectangular half-width.
    pub fn standard_uncertainty(&self) -> f64 {
        self.half_width.to_f64().unwrap_or_default() / 3f64.sqrt()
    }
}

/// What one craft takes out of the bath.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Loss {
    pub craft: Craft,
    #[serde(deserialize_with = "exact")]
    pub silver_nitrate_g_per_m2: Decimal,
    #[serde(deserialize_with = "exact")]
    pub relative_standard_uncertainty_percent: Decimal,
    #[expect(
        dead_code,
        reason = "the words say it to people; the file says it to maintainers"
    )]
    status: SourceStatus,
    pub source: String,
    pub words: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Defaults {
    pub loss: Vec<Loss>,
    pub purity_percent: Figure,
    pub payable_percent: Figure,
    pub price_spread_percent: Figure,
    pub recovered_percent: Figure,
    pub share_percent: Figure,
    pub strength_percent: Figure,
    pub volume_percent: Figure,
    pub loss_percent: Figure,
}

pub(super) static DEFAULTS: LazyLock<Defaults> =
    LazyLock::new(|| crate::data::parse(include_str!("../../data/budget_defaults.toml")));

impl Loss {
    /// Value and standard uncertainty, g/m2.
    pub fn figure(&self) -> (f64, f64) {
        let value = self.silver_nitrate_g_per_m2.to_f64().unwrap_or_default();
        let relative = self
            .relative_standard_uncertainty_percent
            .to_f64()
            .unwrap_or_default();
        (value, value * relative / 100.0)
    }
}

impl Defaults {
    pub fn loss_of(&'static self, craft: Craft) -> Option<&'static Loss> {
        self.loss.iter().find(|l| l.craft == craft)
    }

    pub fn sources(&'static self) -> Vec<&'static str> {
        let figures = [
            &self.purity_percent,
            &self.payable_percent,
            &self.price_spread_percent,
            &self.recovered_percent,
            &self.share_percent,
            &self.strength_percent,
            &self.volume_percent,
            &self.loss_percent,
        ];
        let losses = self.loss.iter().map(|l| l.source.as_str());
        figures
            .into_iter()
            .map(|f| f.source.as_str())
            .chain(losses)
            .collect()
    }
}
