//! What a recovery plan says.

use super::curve::DoseCurve;
use super::predicted::{
    CellPoint, DoseForResidual, EquilibriumFloor, HeadSpace, MetalDissolved, WashLoss,
};
use super::request::Means;
use crate::batch::LotForm;
use crate::bibliography::SourceStatus;
use crate::estimate::Estimate;
use crate::procedure::{Refusal, Step};
use crate::quantity::{
    ComputedAmpereHours, ComputedFactor, ComputedGrams, ComputedHours, ComputedMilligramsPerLitre,
    ComputedMillilitres, ComputedMolesPerLitre, ComputedPercent, Currency, Identifier,
    SignedAmount,
};
use crate::waste::storage::StorageDanger;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// A way of recovery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum ProcessName {
    /// Silver chloride with salt.
    ChloridePrecipitation,
    /// Iron wool, one bucket.
    MetallicReplacement,
    /// Iron wool, two buckets in series.
    MetallicReplacementTwoStage,
    /// Plating out.
    Electrolysis,
    /// Plating out, then iron wool on what is left.
    ElectrolysisThenReplacement,
    /// Silver crystals on copper.
    CementationCopper,
    /// Silver sponge on zinc.
    CementationZinc,
    /// Silver sulfide.
    SulfidePrecipitation,
    /// The liquid goes to a refiner as it is.
    ShipLiquid,
    /// Ion exchange resin, for wash water.
    IonExchange,
    /// Silver chloride with salt, then metal from the chloride.
    ChlorideThenMetal,
    /// Metal from washed chloride with dextrose and lye.
    ChlorideReductionDextrose,
    /// Metal from washed chloride with iron and dilute acid.
    ChlorideReductionIron,
    /// Metal from washed chloride with zinc and dilute acid.
    ChlorideReductionZinc,
    /// Silver trimercaptotriazine.
    TrimercaptotriazinePrecipitation,
    /// Metal with sodium dithionite.
    DithioniteReduction,
    /// Metal with sodium borohydride.
    BorohydrideReduction,
}

/// The ways of recovery for one batch.
///
/// Where `act_today` or `refusal` stands there are no plans: that comes first, and economics are
/// not consulted.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct RecoveryPlans {
    /// The estimate that the doses rest on, where it was made here.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub estimate: Option<Estimate>,
    /// The way to take unless something speaks against it; null where there is none, or where the
    /// silver must be measured first. It is the first in the order of the data file, whose practical
    /// residual is the lowest; `comparison` weighs prices too and may put another first.
    pub recommended: Option<ProcessName>,
    /// Why the silver must be measured before any dose is given.
    pub measure_first: Option<String>,
    /// Keeping this batch is dangerous: what to do today.
    pub act_today: Option<StorageDanger>,
    /// No way of recovery is offered for this batch, and why.
    pub refusal: Option<Refusal>,
    /// A plan for each way that applies, the first to consider first.
    pub plans: Vec<PlanEntry>,
    /// Ways that apply too but were not worked out, because only the recommended one was asked for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub also_possible: Vec<ProcessName>,
    /// The ways that do not apply, and why.
    pub not_applicable: Vec<NotApplicable>,
    /// The plans beside each other, best first. Absent where only the recommended way was worked
    /// out, or none was.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub comparison: Vec<ComparisonRow>,
}

impl RecoveryPlans {
    /// The dose curve of the recommended plan, or of the first plan that has one.
    #[must_use]
    pub fn curve(&self) -> Option<&DoseCurve> {
        let recommended = self
            .recommended
            .and_then(|process| self.plan(process)?.dose_curve.as_ref());
        recommended.or_else(|| {
            self.plans.iter().find_map(|entry| match entry {
                PlanEntry::Plan(plan) => plan.dose_curve.as_ref(),
                PlanEntry::Refused(_) => None,
            })
        })
    }

    /// The plan for a way of recovery, where there is one.
    #[must_use]
    pub fn plan(&self, process: ProcessName) -> Option<&RecoveryPlan> {
        self.plans.iter().find_map(|entry| match entry {
            PlanEntry::Plan(plan) if plan.process == process => Some(plan.as_ref()),
            _ => None,
        })
    }
}

/// One plan among the others. What is not known is null, and stands after what is.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ComparisonRow {
    /// Its place, 1 for the best.
    pub rank: usize,
    /// The way of recovery.
    pub process: ProcessName,
    /// Whether a plan may be followed: false where the safety rules or the rules named forbid it,
    /// null where they do not say and someone must be asked.
    pub allowed_by_rules: Option<bool>,
    /// What the rules say, or whom to ask.
    pub rules_text: String,
    /// Whether it may be taken without being asked for.
    pub offered_by_default: bool,
    /// Worth of the silver expected less the cost of the plan, before any refiner's charge; null
    /// while a price or the silver is wanting.
    pub net_value: Option<SignedAmount>,
    /// Currency of the net value.
    pub currency: Option<Currency>,
    /// Silver that the plan counts on leaving in the liquor.
    pub residual_planned_mg_per_l: Option<ComputedMilligramsPerLitre>,
    /// The most that is left in practice.
    pub residual_high_mg_per_l: Option<ComputedMilligramsPerLitre>,
    /// Hours at worst.
    pub most_h: Option<ComputedHours>,
    /// How hazardous it is.
    pub hazard: HazardLevel,
    /// Why it stands where it does.
    pub why: String,
}

/// A plan, or the refusal that took its place because one of its steps is blocked.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum PlanEntry {
    /// A plan to follow.
    Plan(Box<RecoveryPlan>),
    /// A plan that must not be followed.
    Refused(RefusedPlan),
}

/// A way of recovery whose steps were blocked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct RefusedPlan {
    /// The way of recovery.
    pub process: ProcessName,
    /// Why there is no plan, and what to do instead.
    pub refusal: Refusal,
}

/// A way of recovery that does not apply.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct NotApplicable {
    /// The way of recovery.
    pub process: ProcessName,
    /// Why it does not apply.
    pub reason: String,
    /// The number that decides it, where there is one.
    pub number: Option<DecidingNumber>,
    /// What the studio would need, where that alone stands in the way.
    pub needs: Vec<Means>,
    /// Key in the bibliography.
    pub source: &'static str,
}

/// The number that decides a question, beside its limit.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct DecidingNumber {
    /// What was found or is known.
    pub what: String,
    /// The figure.
    pub found: ComputedFactor,
    /// The figure it would have to reach or stay below, where one applies.
    pub limit: Option<ComputedFactor>,
    /// The unit of both, empty for a plain number.
    pub unit: &'static str,
}

/// A way of recovery worked out for one batch.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct RecoveryPlan {
    /// The way of recovery.
    pub process: ProcessName,
    /// Its name in words.
    pub title: String,
    /// Whether it may be taken without being asked for.
    pub offered_by_default: bool,
    /// What it needs.
    pub means: Vec<Means>,
    /// How hazardous it is.
    pub hazard: HazardLevel,
    /// What can hurt.
    pub hazards: Vec<String>,
    /// Why no dose is given, where none is.
    pub measure_first: Option<String>,
    /// The stages of a series, in order; absent for a way of one stage.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub stages: Vec<Stage>,
    /// What to have ready.
    pub reagents: Vec<ReagentDose>,
    /// Charge through the plating cell.
    pub charge: Option<PlatingCharge>,
    /// How long it takes.
    pub time: Option<PlanTime>,
    /// How to see that it is done.
    pub end_test: Option<String>,
    /// What comes out.
    pub product: Product,
    /// Silver that comes out.
    pub silver_recovered: Option<SilverRecovered>,
    /// Silver left in the liquor in practice.
    pub practical_residual: Option<PracticalResidual>,
    /// Silver left in the liquor at equilibrium, where it has been solved: what chemistry allows,
    /// never what a jug reaches. The practical residual counts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub equilibrium_floor: Option<EquilibriumFloor>,
    /// Why there is no equilibrium floor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floor_unknown: Option<String>,
    /// What each dose would leave dissolved, where curves were asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dose_curve: Option<DoseCurve>,
    /// Silver that each washing takes out of the product.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub wash_losses: Vec<WashLoss>,
    /// The metal that takes the silver's place in the liquor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub metal_dissolved: Option<MetalDissolved>,
    /// The smallest dose that would reach a residual.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dose_for_residual: Option<DoseForResidual>,
    /// Hydrogen sulfide above the liquor if the pH slips, the highest pH first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub head_space: Vec<HeadSpace>,
    /// The plating cell as the silver falls.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cell: Vec<CellPoint>,
    /// What is left to deal with.
    pub secondary_waste: Vec<SecondaryWaste>,
    /// Cost of the reagents or the shipping, where prices were given.
    pub cost: Option<PlanCost>,
    /// What to do, in order.
    pub steps: Vec<Step>,
    /// Where the steps begin that work on the washed product and no longer on the batch.
    #[serde(skip)]
    pub(super) product_steps_from: Option<usize>,
    /// What it looks like when it goes wrong.
    pub troubles: Vec<Trouble>,
}

/// One stage of a way of recovery that works in series: the silver that comes to it, and where it
/// goes. What cannot be told, as without a volume, is null.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Stage {
    /// The way of recovery of this stage.
    pub process: ProcessName,
    /// What it works on.
    pub works_on: StageInput,
    /// Silver that comes to it.
    pub silver_in_g: Option<ComputedGrams>,
    /// Silver that it brings out.
    pub silver_out_g: Option<ComputedGrams>,
    /// Silver that it leaves in the liquor.
    pub silver_left_g: Option<ComputedGrams>,
    /// The level that it is counted on to leave; null where it works on a solid.
    pub residual_mg_per_l: Option<ComputedMilligramsPerLitre>,
}

/// What a stage works on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum StageInput {
    /// The batch itself.
    Batch,
    /// The liquor of the stage before it.
    Liquor,
    /// The solid of the stage before it.
    Product,
}

/// How hazardous a way of recovery is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum HazardLevel {
    /// Goggles, gloves and care.
    Low,
    /// A gas, heat or fire is possible when the steps are not kept.
    Moderate,
    /// A mistake can kill: for trained people with extraction.
    High,
}

/// How much of a reagent.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ReagentDose {
    /// Id of the substance.
    pub substance: Identifier,
    /// What the upper end of the silver's 95 % interval takes, atom for atom.
    pub stoichiometric_g: ComputedGrams,
    /// How many times that is used, all stages together.
    pub dose_factor: ComputedFactor,
    /// Key in the bibliography of the dose factor.
    pub factor_source: &'static str,
    /// What to have ready, rounded up to what the scale weighs.
    pub mass_g: ComputedGrams,
    /// Water to dissolve it in, or the volume of the stock solution to pour.
    pub solution_ml: Option<ComputedMillilitres>,
    /// What to add before the first test, where the whole at once might be too much.
    pub first_portion_g: Option<ComputedGrams>,
    /// Reagent left over in the liquor if the silver is as estimated.
    pub excess_mol_per_l: Option<ComputedMolesPerLitre>,
    /// Reagent left over in the liquor after the first addition if the silver is at the lower end.
    pub highest_excess_mol_per_l: Option<ComputedMolesPerLitre>,
}

/// Charge that plates the silver.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PlatingCharge {
    /// Silver to plate before stopping.
    pub silver_g: ComputedGrams,
    /// Charge at the expected efficiency.
    pub expected_ah: ComputedAmpereHours,
    /// Charge for the least silver at the best efficiency.
    pub least_ah: ComputedAmpereHours,
    /// Charge for the most silver at the worst efficiency.
    pub most_ah: ComputedAmpereHours,
}

/// How long it takes.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PlanTime {
    /// Expected, where one figure can be given.
    pub expected_h: Option<ComputedHours>,
    /// At best.
    pub least_h: ComputedHours,
    /// At worst.
    pub most_h: ComputedHours,
    /// What the time is made of.
    pub text: String,
}

/// What comes out of a process.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Product {
    /// Its form.
    pub form: LotForm,
    /// Its dry mass, expected; for a liquid, its whole mass.
    pub dry_g: Option<ComputedGrams>,
    /// Its mass as it drains, a rough estimate.
    pub wet_g: Option<ComputedGrams>,
    /// Least share of silver in the dry product.
    pub silver_low_percent: Option<ComputedPercent>,
    /// Greatest share of silver in the dry product.
    pub silver_high_percent: Option<ComputedPercent>,
    /// What becomes of it.
    pub next: String,
}

/// Silver that comes out: the estimate less what the practical residual leaves behind.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct SilverRecovered {
    /// Expected.
    pub expected_g: ComputedGrams,
    /// With the least silver and the highest residual.
    pub lower_g: ComputedGrams,
    /// With the most silver and the lowest residual.
    pub upper_g: ComputedGrams,
    /// Expected share of the silver in the batch.
    pub expected_percent: ComputedPercent,
}

/// Silver left in the liquor in practice. No limit may rest on it: the liquor is to be tested by a
/// laboratory.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PracticalResidual {
    /// Least.
    pub low_mg_per_l: ComputedMilligramsPerLitre,
    /// Greatest.
    pub high_mg_per_l: ComputedMilligramsPerLitre,
    /// Mean, where measured.
    pub mean_mg_per_l: Option<ComputedMilligramsPerLitre>,
    /// Median, where measured.
    pub median_mg_per_l: Option<ComputedMilligramsPerLitre>,
    /// What the range rests on.
    pub text: String,
    /// Key in the bibliography.
    pub source: &'static str,
    /// How well the source is known.
    pub status: SourceStatus,
}

/// What a process leaves to deal with.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct SecondaryWaste {
    /// What it is.
    pub what: Cow<'static, str>,
    /// Its mass, or the mass of the metal in it, where it can be told.
    pub mass_g: Option<ComputedGrams>,
    /// What becomes of it.
    pub text: Cow<'static, str>,
}

/// Cost of a plan, exact.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PlanCost {
    /// Currency of every sum.
    pub currency: Currency,
    /// One line for each thing that has a price.
    pub lines: Vec<CostLine>,
    /// Things the plan uses whose price was not given.
    pub without_price: Vec<String>,
    /// Sum of the lines; null while a price is wanting.
    pub total: Option<SignedAmount>,
    /// Worth of the silver expected, at the metal's price and before any refiner's charge.
    pub metal_value: Option<SignedAmount>,
}

/// One line of a cost.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct CostLine {
    /// What it is for.
    pub item: String,
    /// The sum.
    pub amount: SignedAmount,
}

/// A sign that something goes wrong.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Trouble {
    /// What the person sees or smells.
    pub sign: Cow<'static, str>,
    /// What to do.
    pub response: Cow<'static, str>,
}
