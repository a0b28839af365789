//! What a check of a refiner's statement says.

use crate::quantity::{
    ComputedFactor, ComputedGrams, Currency, Grams, Identifier, PercentWW, SignedAmount,
};
use crate::valuation::LineItem;
use serde::{Deserialize, Serialize};

/// Whether a refiner's statement agrees, and what to do.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct SettlementCheck {
    /// Name of the shipment.
    pub shipment: Option<Identifier>,
    /// In a word.
    pub verdict: SettlementVerdict,
    /// Why, the gravest first.
    pub reasons: Vec<String>,
    /// What to ask the refiner for.
    pub ask_for: Vec<AskFor>,
    /// Silver reported against silver sent.
    pub silver: SilverDifference,
    /// What the assays say, where they were exchanged.
    pub assays: Option<AssayFinding>,
    /// Money by the terms against the money of the statement.
    pub money: MoneyCheck,
}

/// Whether a statement agrees.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum SettlementVerdict {
    /// Silver and money agree.
    Agrees,
    /// The silver agrees; the statement's money was not given, so that none was compared.
    SilverAgrees,
    /// Nothing disagrees, but the silver sent is known too poorly to check the refiner with.
    TooUncertain,
    /// The silver agrees, the money is not what the terms say.
    MoneyDiffers,
    /// The silver differs beyond the uncertainty of both figures.
    SilverDiffers,
    /// The umpire's assay settles, and the statement is not by it.
    UmpireSettles,
    /// The assays lie outside the splitting limit: ask for the umpire's.
    AskForUmpire,
}

/// Something to ask the refiner for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct AskFor {
    /// What.
    pub what: String,
    /// Why.
    pub why: String,
    /// Key in the bibliography.
    pub source: String,
}

/// Silver that the refiner reports against silver that was sent.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct SilverDifference {
    /// Sent.
    pub expected_g: ComputedGrams,
    /// Standard uncertainty of `expected_g`.
    pub expected_standard_uncertainty_g: ComputedGrams,
    /// Reported.
    pub reported_g: ComputedGrams,
    /// Standard uncertainty of `reported_g`.
    pub reported_standard_uncertainty_g: ComputedGrams,
    /// Reported less sent; negative where silver is missing.
    pub difference_g: ComputedGrams,
    /// Standard uncertainty of the difference.
    pub standard_uncertainty_g: ComputedGrams,
    /// The difference over its uncertainty; null where both figures are exact.
    pub standardized_difference: Option<ComputedFactor>,
    /// Whether it is beyond chance (95 %).
    pub beyond_chance: bool,
    /// Worth of the difference at the price, before any deduction.
    pub worth: SignedAmount,
}

/// Who pays for the umpire's assay.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum UmpireCost {
    /// You are further from the umpire.
    You,
    /// The refiner is further from the umpire.
    Refiner,
    /// Both are equally far.
    Shared,
}

/// What exchanged assays say.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct AssayFinding {
    /// How far apart they are, in percentage points of silver.
    pub apart_percent_w_w: PercentWW,
    /// The splitting limit.
    pub splitting_limit_percent_w_w: PercentWW,
    /// Whether they lie within it; at the limit counts as within.
    pub within: bool,
    /// The assay that settles: the mean within the limit, else the umpire's; null while there is none.
    pub settling_percent_w_w: Option<PercentWW>,
    /// Silver by that assay, where the dry mass is known.
    pub settling_silver_g: Option<Grams>,
    /// Who pays for the umpire, by common practice.
    pub umpire_cost: Option<UmpireCost>,
}

/// Money by the terms against the money of the statement.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct MoneyCheck {
    /// Currency of every amount.
    pub currency: Currency,
    /// Worth of the reported silver at the price.
    pub gross_value: ComparedAmount,
    /// Every deduction of the terms and of the statement.
    pub deductions: Vec<ComparedLine>,
    /// What is left.
    pub net: ComparedAmount,
    /// What the terms leave of the silver sent.
    pub net_by_terms_for_expected: SignedAmount,
    /// What the terms leave of the silver by the assay that settles.
    pub net_by_terms_for_settling: Option<SignedAmount>,
    /// What the statement's own lines miss its net by; null where it does not give all of them.
    pub statement_off_by: Option<SignedAmount>,
    /// The most that rounding each line may make of the net's difference.
    pub rounding_allowed: SignedAmount,
}

/// An amount by the terms and by the statement.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ComparedAmount {
    /// By the terms, for the reported silver.
    pub by_terms: SignedAmount,
    /// By the statement; null where it does not say.
    pub by_statement: Option<SignedAmount>,
    /// By the statement less by the terms.
    pub difference: Option<SignedAmount>,
}

/// One deduction by the terms and by the statement.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ComparedLine {
    /// What it is for.
    pub item: LineItem,
    /// In words.
    pub label: String,
    /// How the terms come to it; null where they know no such line.
    pub basis: Option<String>,
    /// By the terms, for the reported silver; zero where they know no such line.
    pub by_terms: SignedAmount,
    /// By the statement; null where it lists no deductions, zero where it lists others.
    pub by_statement: Option<SignedAmount>,
    /// By the statement less by the terms; positive where more was taken.
    pub difference: Option<SignedAmount>,
}
