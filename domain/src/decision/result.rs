//! What a decision says.

use super::limits::DateLimit;
use crate::procedure::Step;
use crate::quantity::{
    ComputedGrams, ComputedMonths, ComputedPercent, Currency, Date, Identifier, SignedAmount,
};
use crate::valuation::{BatchEstimate, BreakEven, MoneyLine, Valuation};
use serde::Serialize;

/// What to do with a lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum LotAction {
    /// Send it to the refiner now.
    Send,
    /// Keep it for now.
    Hold,
    /// Restore the working bath.
    Restore,
    /// Recover the silver here first.
    RecoverHere,
    /// Have it hauled away.
    HaulAway,
    /// Keeping it is dangerous: act today.
    ActToday,
    /// Measure before deciding.
    MeasureFirst,
}

impl LotAction {
    /// The action in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Send => "send it to the refiner",
            Self::Hold => "hold it",
            Self::Restore => "restore the bath",
            Self::RecoverHere => "recover the silver here first",
            Self::HaulAway => "have it hauled away",
            Self::ActToday => "act today",
            Self::MeasureFirst => "measure first",
        }
    }
}

/// One thing that could be done, in money.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Alternative {
    /// What it is.
    pub action: LotAction,
    /// Which one, where there are several ways.
    pub name: Option<String>,
    /// Whether it may be done at all.
    pub possible: bool,
    /// What it brings, negative for a cost; null where that is not known.
    pub net: Option<SignedAmount>,
    /// How the net came about, where it is a sum: gains positive, costs negative, adding up to it.
    pub lines: Vec<MoneyLine>,
    /// Why it is or is not the thing to do.
    pub reason: String,
    /// Lot size and rhythm that cost least, for a way of recovery with a stated throughput.
    pub economic_interval: Option<EconomicInterval>,
}

/// The shipment size and rhythm that cost least in the long run.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct EconomicInterval {
    /// Silver per shipment.
    pub silver_g: ComputedGrams,
    /// Time between shipments.
    pub interval_months: ComputedMonths,
    /// What shipping and holding cost together per month.
    pub cost_per_month: SignedAmount,
}

/// One shipment of a plan over uneven months.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PlannedShipment {
    /// The day, at the end of its month counted from today.
    pub ships_on: Date,
    /// Silver expected in it.
    pub silver_g: ComputedGrams,
}

/// How a working bath is restored.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct RestorePlan {
    /// Silver nitrate that stays in use.
    pub silver_nitrate_kept_g: ComputedGrams,
    /// Silver nitrate to add for the strength wanted; null where the volume is not known.
    pub silver_nitrate_to_add_g: Option<ComputedGrams>,
    /// What the silver nitrate to add and the upkeep cost; null where a price is missing.
    pub outlay: Option<SignedAmount>,
    /// What to do, in order.
    pub steps: Vec<Step>,
}

/// The decision on a lot.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Decision {
    /// Name of the lot.
    pub lot: Identifier,
    /// What to do.
    pub verdict: LotAction,
    /// Why, with figures.
    pub reason: String,
    /// What to do now, in order.
    pub act: Vec<String>,
    /// What never to do.
    pub never: Vec<String>,
    /// Currency of every amount.
    pub currency: Currency,
    /// Everything that could be done, the one chosen first, then by net. Empty where safety decides.
    pub alternatives: Vec<Alternative>,
    /// Where sending pays for itself; null where there is no settlement.
    pub break_even: Option<BreakEven>,
    /// The day break-even is reached at the fill rate; null where it is not.
    pub break_even_on: Option<Date>,
    /// The latest day, by the limit that comes first.
    pub latest: Option<DateLimit>,
    /// Every limit, the earliest first.
    pub limits: Vec<DateLimit>,
    /// The day to call the haulier for the latest day.
    pub call_by_on: Option<Date>,
    /// The day to look at the lot again, where it is held; always after today.
    pub look_again_on: Option<Date>,
    /// How often to ship in the long run.
    pub economic_interval: Option<EconomicInterval>,
    /// When to ship what is expected in the coming months.
    pub shipping_plan: Vec<PlannedShipment>,
    /// The chance that sending now nets more than zero, to a tenth of a percent.
    pub chance_of_gain_percent: Option<ComputedPercent>,
    /// What would change the answer.
    pub what_would_change: Vec<String>,
    /// How the bath is restored, where that is open.
    pub restore: Option<RestorePlan>,
}

/// The decision on a lot, with the estimates and the valuation it rests on.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LotDecision {
    /// The silver in each batch.
    pub estimates: Vec<BatchEstimate>,
    /// What the lot is worth.
    pub valuation: Valuation,
    /// What to do.
    pub decision: Decision,
}
