//! What a person says about the silver they use.

use crate::batch::Craft;
use crate::quantity::{
    Amount, Centimetres, Currency, Grams, MeasuredGramsPerSquareMetre, MeasuredLitres,
    MeasuredPercent, MeasuredPercentWV, MetalPrice, Percent, PremiumPercent, Text,
};
use crate::waste::rule_set::RuleSetName;
use serde::{Deserialize, Serialize};

/// Asks what silver costs per plate, per month and per year.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct BudgetRequest {
    /// Name of the studio, for the page.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub studio: Option<Text>,
    /// The metal's price: recovered silver is worth this, and silver nitrate follows it.
    pub metal_price: MetalPrice,
    /// How far the metal's price may move; default 30 % either way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price_range: Option<PriceRange>,
    /// What is bought, used and recovered.
    pub silver_use: SilverUse,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// How far the metal's price may move.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum PriceRange {
    /// Two prices, in the metal price's own unit and currency.
    Prices {
        /// The low price.
        low: Amount,
        /// The high price.
        high: Amount,
    },
    /// As far below as above.
    Spread {
        /// How far, in percent of the price.
        plus_minus_percent: Percent,
    },
}

/// What silver nitrate costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum SilverNitratePrice {
    /// As a supplier quotes it: so much for so many grams.
    Quoted {
        /// Price of the bottle, carriage included.
        amount: Amount,
        /// Silver nitrate in the bottle.
        for_g: Grams,
    },
    /// From the metal: its silver is 63.50 % of it, and the maker adds a premium.
    OverMetal {
        /// What the maker adds, in percent of the value of the silver in it.
        premium_percent: PremiumPercent,
    },
}

/// What is bought, used and recovered in a studio.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct SilverUse {
    /// Currency of every amount here; the metal price is in the same.
    pub currency: Currency,
    /// What silver nitrate costs.
    pub silver_nitrate: SilverNitratePrice,
    /// Purity of the silver nitrate; default 99 to 100 %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub purity_percent: Option<MeasuredPercent>,
    /// Plates and sheets made.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub formats: Vec<PlateFormat>,
    /// Baths made up afresh.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub baths: Vec<BathUse>,
    /// Where the silver of the plates goes, and what comes back.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub streams: Vec<RecoveryStream>,
    /// Share of the recovered silver that a refiner pays for; default 90 %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub payable_percent: Option<Percent>,
    /// Refiner's charges and freight in a year.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub yearly_charges: Option<Amount>,
}

/// One size of plate or sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct PlateFormat {
    /// What the studio calls it.
    pub name: Text,
    /// The craft; default collodion.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub craft: Option<Craft>,
    /// How many are sensitized in a month, spoiled ones included.
    pub monthly_count: u32,
    /// Width.
    pub width_cm: Centimetres,
    /// Height.
    pub height_cm: Centimetres,
    /// Silver nitrate that leaves the bath per area; default by craft.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub silver_nitrate_g_per_m2: Option<MeasuredGramsPerSquareMetre>,
}

/// A bath that is thrown out and made up afresh.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct BathUse {
    /// What the studio calls it.
    pub name: Text,
    /// Silver nitrate in grams per 100 mL; a bare figure is good to 2 % of itself.
    pub strength_percent_w_v: MeasuredPercentWV,
    /// Volume; a bare figure is a jug mark, good to 5 %.
    pub volume_l: MeasuredLitres,
    /// How many such baths are made up in a year.
    pub yearly_count: u32,
    /// Share of the old bath's silver that is got back; default none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recovered_percent: Option<MeasuredPercent>,
    /// What getting it back costs in a year.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub yearly_cost: Option<Amount>,
}

/// One place the silver of the plates goes to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct RecoveryStream {
    /// What the studio calls it, such as "fixer".
    pub name: Text,
    /// Share of the plates' silver that goes there.
    pub share_percent: MeasuredPercent,
    /// Share of that silver that is got back.
    pub recovered_percent: MeasuredPercent,
    /// What getting it back costs in a year: reagents, cartridges, current.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub yearly_cost: Option<Amount>,
}

/// Most formats, baths or streams one budget may list.
pub const MOST_LINES: usize = 100;
/// Most plates of one format in a month.
pub const MOST_PLATES: u32 = 100_000;
/// Most fresh baths of one kind in a year.
pub const MOST_BATHS: u32 = 1_000;
/// Longest side of a plate or sheet, centimetres.
pub const LONGEST_SIDE_CM: i64 = 500;
