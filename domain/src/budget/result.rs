//! What a budget says.

use crate::estimate::InputShare;
use crate::quantity::{ComputedGrams, ComputedSquareMetres, Currency, SignedAmount, Text};
use serde::Serialize;

/// What silver costs, net of what is got back.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Budget {
    /// Currency of every amount.
    pub currency: Currency,
    /// The prices of the three cases.
    pub prices: PriceCases,
    /// Silver nitrate bought in a year.
    pub silver_nitrate_per_year: MassFigure,
    /// Silver in it.
    pub silver_per_year: MassFigure,
    /// Silver got back in a year, before the refiner's cut.
    pub recovered_silver_per_year: MassFigure,
    /// Each format, in the order of the request.
    pub formats: Vec<FormatBudget>,
    /// Each bath, in the order of the request.
    pub baths: Vec<BathBudget>,
    /// Each stream, in the order of the request.
    pub streams: Vec<StreamBudget>,
    /// The studio's cost in a month: a twelfth of the year.
    pub per_month: CostCases,
    /// The studio's cost in a year.
    pub per_year: CostCases,
    /// What makes the year's net cost uncertain at the expected price, largest first.
    pub contributions: Vec<InputShare>,
}

/// A mass and how sure it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct MassFigure {
    /// The mass.
    pub mass_g: ComputedGrams,
    /// Its standard uncertainty.
    pub standard_uncertainty_g: ComputedGrams,
}

/// The prices of the three cases.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PriceCases {
    /// At the low metal price.
    pub low: PriceCase,
    /// At the price given.
    pub expected: PriceCase,
    /// At the high metal price.
    pub high: PriceCase,
}

/// The prices of one case.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PriceCase {
    /// Fine silver, for one troy ounce.
    pub metal_per_troy_ounce: SignedAmount,
    /// Silver nitrate, for 100 g.
    pub silver_nitrate_per_hundred_grams: SignedAmount,
}

/// The cost under the three metal prices.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct CostCases {
    /// At the low metal price.
    pub low: CostLines,
    /// At the price given.
    pub expected: CostLines,
    /// At the high metal price.
    pub high: CostLines,
}

/// Bought, got back, charged, and what is left to pay. The three lines add up to the fourth.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct CostLines {
    /// Silver nitrate bought.
    pub silver_nitrate: SignedAmount,
    /// What the recovered silver brings, after the refiner's cut.
    pub recovered_silver: SignedAmount,
    /// Costs of recovery, refiner's charges and freight.
    pub charges: SignedAmount,
    /// Bought, less got back, plus charges; negative when more comes in than goes out.
    pub net: SignedAmount,
    /// Standard uncertainty of the net, from the silver; the price is the case's own.
    pub net_standard_uncertainty: SignedAmount,
}

/// One format's cost.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct FormatBudget {
    /// What the studio calls it.
    pub name: Text,
    /// Area of one.
    pub area_m2: ComputedSquareMetres,
    /// Silver nitrate that one takes.
    pub silver_nitrate_each: MassFigure,
    /// Silver in it.
    pub silver_each: MassFigure,
    /// Silver got back from one.
    pub recovered_silver_each: MassFigure,
    /// Cost of one.
    pub each: CostCases,
    /// Cost in a month.
    pub per_month: CostCases,
    /// Cost in a year.
    pub per_year: CostCases,
}

/// One bath's cost.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathBudget {
    /// What the studio calls it.
    pub name: Text,
    /// Silver nitrate that fills it once.
    pub silver_nitrate_each: MassFigure,
    /// Silver in it.
    pub silver_each: MassFigure,
    /// Silver got back from the old one.
    pub recovered_silver_each: MassFigure,
    /// Cost of filling it once.
    pub each: CostCases,
    /// Cost in a year.
    pub per_year: CostCases,
}

/// What one stream takes and gives back in a year.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct StreamBudget {
    /// What the studio calls it.
    pub name: Text,
    /// Silver that goes there.
    pub silver_per_year: MassFigure,
    /// Silver that comes back.
    pub recovered_silver_per_year: MassFigure,
    /// What it brings after its own cost, before the studio's yearly charges.
    pub worth_per_year: WorthCases,
}

/// What something brings under the three metal prices; negative when it costs more than it brings.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct WorthCases {
    /// At the low metal price.
    pub low: SignedAmount,
    /// At the price given.
    pub expected: SignedAmount,
    /// At the high metal price.
    pub high: SignedAmount,
}
