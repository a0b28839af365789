//! What is asked of the silver book, and what it answers.

use super::entry::Entry;
use super::fold::Place;
use crate::batch::Batch;
use crate::quantity::{ComputedFactor, ComputedGrams, ComputedPercent, Date, Identifier};
use crate::waste::rule_set::RuleSetName;
use serde::{Deserialize, Serialize};

/// Asks for the silver account of a period, from the entries of the book.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct SilverAccountRequest {
    /// The entries, in the order they were recorded.
    pub entries: Vec<Entry>,
    /// First day of the period.
    pub from: Date,
    /// Last day of the period.
    pub until: Date,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// The account of a period.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct SilverAccount {
    /// First day.
    pub from: Date,
    /// Last day.
    pub until: Date,
    /// Start, what came, what went, end: the first and what came, less what went, give the last.
    pub lines: Vec<AccountLine>,
    /// What each container that is in the book on the last day holds.
    pub containers: Vec<ContainerBalance>,
    /// The figures that the rules for precious-metal recovery ask for.
    pub recovery_figures: RecoveryFigures,
    /// Whether readings and records agree; null where nothing checks them, or they cannot be compared.
    pub reconciliation: Option<AccountReconciliation>,
    /// Shipments that were sent or settled in the period: what went, and what the refiner found.
    pub shipments: Vec<ShipmentBalance>,
    /// Every movement of silver in the period.
    pub movements: Vec<LedgerMovement>,
}

/// One line of the account.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct AccountLine {
    /// What it is.
    pub what: LineKind,
    /// Silver. What went out stands as a positive figure; what was found or missed has its sign.
    pub silver_g: ComputedGrams,
    /// Its standard uncertainty, as if its entries were independent.
    pub standard_uncertainty_g: ComputedGrams,
    /// Entries whose silver is unknown, and which therefore are not in the sum.
    pub unknown_count: u32,
}

/// What a line of the account is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum LineKind {
    /// In containers at the start of the first day.
    AtStart,
    /// Here before, and taken into the book in the period.
    TakenIn,
    /// Bought.
    Bought,
    /// From somebody else.
    Received,
    /// Left in a liquid by film, paper and plates.
    FromMaterial,
    /// Taken along by plates and sheets.
    ToMaterial,
    /// Sent to a refiner.
    Shipped,
    /// Taken away by a haulier.
    Collected,
    /// Discharged.
    Discharged,
    /// Spilled or written off.
    Lost,
    /// Found by readings against the records; negative where silver was missed.
    Unexplained,
    /// In containers at the end of the last day.
    AtEnd,
}

/// What a container holds.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ContainerBalance {
    /// The container as every other operation takes it, with what is known of its silver.
    pub batch: Batch,
    /// Whether nothing is in it.
    pub empty: bool,
    /// The day it was taken into the book.
    pub opened_on: Date,
    /// The day it left the book; null while it is in it.
    pub closed_on: Option<Date>,
    /// Silver in it; null where it is unknown or its readings contradict each other.
    pub silver_g: Option<ComputedGrams>,
    /// Standard uncertainty of `silver_g`.
    pub standard_uncertainty_g: Option<ComputedGrams>,
    /// Silver by the reconciled readings of the period.
    pub reconciled_g: Option<ComputedGrams>,
}

/// What every container of a book holds.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ContainerBalances {
    /// The containers, closed ones included, by name.
    pub containers: Vec<ContainerBalance>,
}

/// What the rules for precious-metal recovery ask for, over spent and treated batches.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct RecoveryFigures {
    /// On hand at the start of the period.
    pub at_start_g: ComputedGrams,
    /// Generated or received in the period, as the rest of the balance gives it.
    pub generated_or_received_g: ComputedGrams,
    /// Sent for recovery in the period.
    pub sent_g: ComputedGrams,
    /// Gone in another way in the period: taken away by a haulier, discharged or lost.
    pub gone_otherwise_g: ComputedGrams,
    /// On hand at the end of the period.
    pub at_end_g: ComputedGrams,
    /// Sent, in percent of what was on hand at the start; null where nothing was, or where the silver of
    /// what was there or was sent is not known.
    pub turnover_percent: Option<ComputedPercent>,
    /// Containers on hand at the start whose silver nobody knows: not in the figures.
    pub unknown_at_start_count: u32,
    /// What was sent without its silver being known: not in the figures.
    pub unknown_sent_count: u32,
    /// Containers on hand at the end whose silver nobody knows: not in the figures.
    pub unknown_at_end_count: u32,
}

/// Whether readings and records agree.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct AccountReconciliation {
    /// Chi-square of all adjustments.
    pub chi_square: ComputedFactor,
    /// Independent checks.
    pub check_count: u32,
    /// Chance of a chi-square this large or larger, where every uncertainty is right.
    pub chance_percent: ComputedPercent,
    /// Whether they agree within chance (5 %).
    pub agree: bool,
    /// The entries most likely wrong, where they do not agree.
    pub suspects: Vec<Suspect>,
    /// Every amount that something checks.
    pub adjustments: Vec<Adjustment>,
}

/// An entry that is most likely wrong.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Suspect {
    /// The entry; null where it is the balance at the start of the period.
    pub entry: Option<Identifier>,
    /// The container, for a balance at the start.
    pub container: Option<Identifier>,
    /// What was entered.
    pub recorded_g: ComputedGrams,
    /// What everything else says it should be; null where nothing else does.
    pub expected_g: Option<ComputedGrams>,
}

/// One amount, as it was recorded and as it closes the balances.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Adjustment {
    /// The entry; null where it is the balance at the start of the period.
    pub entry: Option<Identifier>,
    /// The container, for a balance at the start.
    pub container: Option<Identifier>,
    /// As recorded.
    pub recorded_g: ComputedGrams,
    /// As it closes the balances.
    pub reconciled_g: ComputedGrams,
    /// Standard uncertainty of `reconciled_g`.
    pub standard_uncertainty_g: ComputedGrams,
    /// The adjustment over its own standard deviation.
    pub standardized_adjustment: ComputedFactor,
}

/// What went to a refiner, and what the refiner found.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ShipmentBalance {
    /// The shipment.
    pub shipment: Identifier,
    /// Silver sent, by the book; null where it was unknown.
    pub sent_g: Option<ComputedGrams>,
    /// Standard uncertainty of `sent_g`.
    pub sent_standard_uncertainty_g: Option<ComputedGrams>,
    /// Silver the refiner found; null while it is not settled.
    pub settled_g: Option<ComputedGrams>,
    /// Standard uncertainty of `settled_g`, as the entry states it or as a bare figure is taken.
    pub settled_standard_uncertainty_g: Option<ComputedGrams>,
    /// What the refiner found more than was sent, over the uncertainty of both: beyond 2 either way,
    /// ask how it was sampled, and look at the terms for an umpire assay.
    pub standardized_difference: Option<ComputedFactor>,
}

/// Silver that went from one place to another.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LedgerMovement {
    /// The entry.
    pub entry: Identifier,
    /// Its day.
    pub on: Date,
    /// Out of this place.
    pub from: Place,
    /// Into this one.
    pub to: Place,
    /// Silver; null where it is unknown.
    pub silver_g: Option<ComputedGrams>,
    /// Standard uncertainty of `silver_g`.
    pub standard_uncertainty_g: Option<ComputedGrams>,
}
