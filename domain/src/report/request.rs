//! What a studio says of itself and of its containers.

use crate::batch::{Batch, Craft};
use crate::budget::{PriceRange, SilverUse};
use crate::decision::{RecoveryOffer, RestoreTerms};
use crate::quantity::{
    Amount, Amperes, Date, GramsPerMonth, Identifier, Kilograms, Kilometres, Litres,
    LitresPerMonth, MetalPrice, Percent, Text,
};
use crate::recovery::{Means, ReagentPrice};
use crate::valuation::{HaulageTerms, LotForm, RefinerTerms};
use crate::waste::classification::{LocalSilverLimit, Premises};
use crate::waste::rule_set::RuleSetName;
use serde::{Deserialize, Serialize};

/// Asks for everything at once: a studio, its containers, prices, terms and rules.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ReportRequest {
    /// The studio.
    pub studio: Studio,
    /// Today.
    pub on: Date,
    /// Its containers.
    pub batches: Vec<Batch>,
    /// Which batches travel together; by default those of one kind and form.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lots: Vec<ReportLot>,
    /// Price of silver; without it nothing is valued.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<MetalPrice>,
    /// How far the price may move, for the budget.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price_range: Option<PriceRange>,
    /// The refiner's terms; without them nothing is valued.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terms: Option<RefinerTerms>,
    /// A haulier's terms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub haulage_terms: Option<HaulageTerms>,
    /// What is at hand for recovery; default a kitchen scale.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub means: Option<Vec<Means>>,
    /// Current of the studio's power supply, for electrolysis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub current_a: Option<Amperes>,
    /// What reagents cost.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reagent_prices: Vec<ReagentPrice>,
    /// Whether the recovery plans carry their dose curves; default false.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub curves: Option<bool>,
    /// What the studio buys, uses and recovers, for the budget.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub silver_use: Option<SilverUse>,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// A studio and its site.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Studio {
    /// Its name.
    pub name: Text,
    /// The crafts it practises. Where collodion is one of them, a fixer of unstated type counts as cyanide.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub crafts: Vec<Craft>,
    /// What the premises are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub premises: Option<Premises>,
    /// Other hazardous waste of the site in a month, besides these batches.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_hazardous_waste_kg: Option<Kilograms>,
    /// Other acute hazardous waste of the site in a month.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_acute_waste_kg: Option<Kilograms>,
    /// How far the waste travels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub haul_distance_km: Option<Kilometres>,
    /// The sewer authority's silver limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub local_silver_limit: Option<LocalSilverLimit>,
}

/// Batches that go together, and what is known of their filling and keeping.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ReportLot {
    /// Name of the lot.
    pub id: Identifier,
    /// Ids of its batches.
    pub batches: Vec<Identifier>,
    /// The form it travels in; default from the batches.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub form: Option<LotForm>,
    /// Moisture of a solid lot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture_percent: Option<Percent>,
    /// Whether a solid lot stands in free liquid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub free_liquid: Option<bool>,
    /// Whether the refiner has approved a sample.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sample_approved: Option<bool>,
    /// Silver that gathers in a month.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fill_rate_g_per_month: Option<GramsPerMonth>,
    /// Liquid that gathers in a month.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fill_rate_l_per_month: Option<LitresPerMonth>,
    /// What keeping the lot costs in a month.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub holding_cost_per_month: Option<Amount>,
    /// What there is room for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capacity_l: Option<Litres>,
    /// A day by which it must have left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub must_leave_by_on: Option<Date>,
    /// Ways of recovering the silver here; default the recommended plan of its batches, where it has a cost.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub recovery_offers: Vec<RecoveryOffer>,
    /// What restoring a working bath costs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub restore: Option<RestoreTerms>,
}
