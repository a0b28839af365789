//! What a refiner's statement says, and what it is held against.

use crate::quantity::{
    Amount, Currency, Identifier, Kilograms, Litres, MeasuredGrams, MetalPrice, PercentWW, Text,
};
use crate::valuation::{Constituent, LineItem, RefinerTerms};
use crate::waste::rule_set::RuleSetName;
use serde::{Deserialize, Serialize};

/// Most lines one statement may list.
pub const MOST_LINES: usize = 50;

/// Asks whether a refiner's statement agrees with what was sent and with the terms.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct SettlementCheckRequest {
    /// Name of the shipment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shipment: Option<Identifier>,
    /// Silver that was sent, by estimate or by the silver book; a bare figure is good to 20 %.
    pub expected_silver_g: MeasuredGrams,
    /// Silver that the refiner reports; a bare figure is good to 0.5 %.
    pub reported_silver_g: MeasuredGrams,
    /// The lot as the refiner received it: what the terms charge by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub received: Option<ReceivedLot>,
    /// Assays that the two of you exchanged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub assay_exchange: Option<AssayExchange>,
    /// Price of silver that the settlement goes by.
    pub price: MetalPrice,
    /// The refiner's terms.
    pub terms: RefinerTerms,
    /// The money of the statement.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub statement: Option<RefinerStatement>,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// A lot as a refiner received it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ReceivedLot {
    /// Mass as received.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<Kilograms>,
    /// Mass after drying, which the assays are of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dry_mass_kg: Option<Kilograms>,
    /// Volume as received.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume_l: Option<Litres>,
    /// Containers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub container_count: Option<u16>,
    /// What was in it besides silver; it is taken to be in every container.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub constituents: Vec<Constituent>,
}

/// Assays of the same lot by both parties, of the dry material, and the umpire's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct AssayExchange {
    /// Your assay.
    pub own_percent_w_w: PercentWW,
    /// The refiner's assay.
    pub refiner_percent_w_w: PercentWW,
    /// The umpire's assay, where there was one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub umpire_percent_w_w: Option<PercentWW>,
    /// The splitting limit of your terms, in percentage points of silver; default 0.20.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub splitting_limit_percent_w_w: Option<PercentWW>,
}

/// The money of a refiner's statement.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct RefinerStatement {
    /// Currency of every amount in it.
    pub currency: Currency,
    /// Worth of all the silver, before anything is taken off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gross_value: Option<Amount>,
    /// What was taken off, as positive amounts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub deductions: Vec<StatementLine>,
    /// What was paid out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub net_paid: Option<Amount>,
    /// What was billed instead, where the charges took more than the silver brought.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub net_billed: Option<Amount>,
}

/// One deduction of a statement.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct StatementLine {
    /// What it is for.
    pub item: LineItem,
    /// The statement's own words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<Text>,
    /// The amount.
    pub amount: Amount,
}
