//! Everything about a studio's silver and waste, in one answer.

use crate::batch::{BatchKind, BatchStatus};
use crate::budget::Budget;
use crate::decision::Decision;
use crate::estimate::{Estimate, Interval};
use crate::quantity::{
    ComputedGrams, ComputedTroyOunces, Currency, Date, Identifier, SignedAmount, Text,
};
use crate::recovery::RecoveryPlans;
use crate::valuation::Valuation;
use crate::waste::classification::Classification;
use crate::waste::neutralization::NeutralizationPlan;
use crate::waste::storage::StorageDanger;
use serde::Serialize;

/// The report on a studio.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Report {
    /// Name of the studio.
    pub studio: Text,
    /// The day it is made for.
    pub on: Date,
    /// What to do, the most urgent first.
    pub to_do: Vec<ToDo>,
    /// Sums over the studio.
    pub totals: Totals,
    /// Each container.
    pub batches: Vec<BatchReport>,
    /// Pairs of containers that must not meet.
    pub keep_apart: Vec<KeepApart>,
    /// Each lot: what it is worth and what to do with it.
    pub lots: Vec<LotReport>,
    /// What silver costs, where the use was stated.
    pub budget: Option<Budget>,
}

/// One thing to do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ToDo {
    /// Place in the list; 1 is first.
    pub rank: usize,
    /// How it is placed in time.
    pub urgency: Urgency,
    /// The latest day, where there is one.
    pub by_on: Option<Date>,
    /// What to do, in a line.
    pub what: String,
    /// Why.
    pub why: String,
    /// Ids of the batches it is about.
    pub batches: Vec<Identifier>,
    /// Pointer into the result.
    pub about: String,
}

/// How a thing to do is placed in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Urgency {
    /// Today: danger, or a day already past.
    Today,
    /// By a date.
    Dated,
    /// Soon: it costs money or leaves a duty undone, but no day is set.
    Soon,
    /// When there is time.
    WhenConvenient,
}

/// Sums over the studio.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Totals {
    /// Containers.
    pub container_count: usize,
    /// Containers whose silver has a figure.
    pub measured_count: usize,
    /// Silver in those.
    pub silver_g: ComputedGrams,
    /// Its standard uncertainty, the containers taken as independent.
    pub standard_uncertainty_g: ComputedGrams,
    /// The interval that holds it with 95 % probability.
    pub interval_95_g: Interval,
    /// The same silver in troy ounces.
    pub silver_ozt: ComputedTroyOunces,
    /// Currency of the sums; null where no price was given.
    pub currency: Option<Currency>,
    /// Worth of all that silver at the metal's price, before any charge.
    pub metal_value: Option<SignedAmount>,
    /// What the lots bring if each is done as decided, where that is known.
    pub net_as_decided: Option<SignedAmount>,
    /// Of that, what restored baths keep: silver nitrate not bought again, and no money received; null
    /// where none is restored.
    pub kept_by_restoring: Option<SignedAmount>,
    /// Lots whose outcome has no figure.
    pub lots_without_figure_count: usize,
}

/// One container.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BatchReport {
    /// Its name.
    pub id: Identifier,
    /// What it holds.
    pub kind: BatchKind,
    /// Where it stands in its life.
    pub status: Option<BatchStatus>,
    /// The silver in it; null without evidence.
    pub estimate: Option<Estimate>,
    /// Why keeping it is a danger, where it is.
    pub danger: Option<StorageDanger>,
    /// What it is in law.
    pub classification: Classification,
    /// Ways of recovering its silver; null where it bears none.
    pub recovery: Option<RecoveryPlans>,
    /// How it is made neutral; null where no acid is stated.
    pub neutralization: Option<NeutralizationPlan>,
}

/// Two containers that must not meet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct KeepApart {
    /// The two, by id.
    pub batches: [Identifier; 2],
    /// What would happen.
    pub happens: String,
    /// Whether even one cupboard or vehicle is too close.
    pub apart_everywhere: bool,
}

/// One lot.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LotReport {
    /// Its name.
    pub id: Identifier,
    /// Ids of its batches.
    pub batches: Vec<Identifier>,
    /// What it is worth.
    pub valuation: Valuation,
    /// What to do with it.
    pub decision: Decision,
}
