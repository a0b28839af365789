//! Processes in series: the silver goes from stage to stage, each worked out from what the one
//! before it left.

use super::facts::{ProcessFacts, row_of};
use super::plan::{ProcessName, RecoveryPlan, Stage, StageInput};
use super::reduction::washed_chloride_of;
use super::situation::{Liquor, SilverRange, Situation, Unfit};
use super::{chloride_precipitation, reduction_dextrose, text};
use crate::answer::{Method, Notes};
use crate::batch::Batch;
use crate::procedure::{Refusal, Step};
use crate::quantity::Computed;
use crate::waste::contents::Contents;
use crate::waste::pour::{check_procedure, check_procedure_on};

/// The silver of a series.
pub(super) const STAGES: Method = Method {
    name: "silver from stage to stage",
    formula: "silver left (g) = the lesser of silver in (g) and planned residual (mg/L) x volume (L) / 1000; silver out = silver in - silver left; a stage on the liquor takes what the one before left, a stage on the product what it brought out",
    source: "house_rule",
};

/// Works out the stages of a process, each from the one before it; none for a process of one stage.
///
/// The last stage on the liquid is counted on to leave what the process as a whole leaves, because
/// the field figures were taken behind the whole.
pub(super) fn stages(
    situation: &Situation<'_>,
    silver: SilverRange,
    process: &'static ProcessFacts,
) -> Vec<Stage> {
    let last_on_liquid = process
        .stages
        .iter()
        .rposition(|s| s.works_on != StageInput::Product);
    let mut left = None;
    let mut out = None;
    let mut stages = Vec::with_capacity(process.stages.len());
    for (i, stage) in process.stages.iter().enumerate() {
        let silver_in = match stage.works_on {
            StageInput::Batch => Some(silver.figure_g),
            StageInput::Liquor => left,
            StageInput::Product => out,
        };
        let on_solid = stage.works_on == StageInput::Product;
        let row = if Some(i) == last_on_liquid {
            Some(process)
        } else {
            row_of(stage.process)
        };
        let residual = row
            .and_then(|r| r.residual.as_ref())
            .filter(|_| !on_solid)
            .map(super::facts::ResidualFacts::planned_mg_per_l);
        left = if on_solid {
            silver_in.map(|_| 0.0)
        } else {
            residual
                .zip(situation.volume_l)
                .map(|(mg_per_l, volume_l)| mg_per_l * volume_l / 1000.0)
                .zip(silver_in)
                .map(|(stays, silver_in)| stays.min(silver_in))
        };
        out = silver_in.zip(left).map(|(i, l)| i - l);
        stages.push(Stage {
            process: stage.process,
            works_on: stage.works_on,
            silver_in_g: silver_in.map(Computed::of),
            silver_out_g: out.map(Computed::of),
            silver_left_g: left.map(Computed::of),
            residual_mg_per_l: residual.map(Computed::of),
        });
    }
    stages
}

/// Checks a plan's steps against the batch, and those that work on the washed product against that.
///
/// # Errors
/// The refusal that takes the plan's place.
pub(super) fn check(
    batch: &Batch,
    contents: &Contents,
    plan: &RecoveryPlan,
) -> Result<(), Refusal> {
    match plan
        .product_steps_from
        .and_then(|from| plan.steps.split_at_checked(from))
    {
        Some((on_batch, on_product)) => {
            check_procedure_on(batch, contents.clone(), on_batch)?;
            check_procedure(&washed_chloride_of(batch), on_product)
        }
        None => check_procedure_on(batch, contents.clone(), &plan.steps),
    }
}

/// Whether silver chloride can be thrown down here, and metal made of it.
pub(super) fn assess_chloride_then_metal(situation: &Situation<'_>) -> Result<(), Unfit> {
    if situation.liquor == Liquor::Solid {
        return Err(Unfit::new(
            "house_rule",
            "It begins with a liquid to salt, and this is none. Washed silver chloride has ways of its own.",
        ));
    }
    chloride_precipitation::assess(situation)
}

/// Salts the batch, then makes metal of the chloride that came out.
pub(super) fn plan_chloride_then_metal(
    situation: &Situation<'_>,
    silver: SilverRange,
    mut plan: RecoveryPlan,
    _process: &'static ProcessFacts,
    notes: &mut Notes,
) -> RecoveryPlan {
    let (Some(salting), Some(reducing)) = (
        row_of(ProcessName::ChloridePrecipitation),
        row_of(ProcessName::ChlorideReductionDextrose),
    ) else {
        return plan;
    };
    let purity = (
        plan.product.silver_low_percent,
        plan.product.silver_high_percent,
    );
    plan = chloride_precipitation::plan(situation, silver, plan, salting, notes);
    let end_of_salting = plan.end_test.take();
    (
        plan.product.silver_low_percent,
        plan.product.silver_high_percent,
    ) = purity;
    // Lye and sugar must do for the most silver that the chloride can hold. Without a volume nothing
    // is taken off for the liquor.
    let recovered = plan.silver_recovered;
    let in_chloride = recovered.map_or(silver, |r| SilverRange {
        figure_g: r.expected_g.get(),
        lower_g: r.lower_g.get(),
        upper_g: r.upper_g.get(),
    });
    plan.product_steps_from = Some(plan.steps.len());
    plan.steps.push(
        Step::new("Wash the chloride twice more before going on, five times in all, so that nothing is left of what the liquid held. The washings go into the liquor.")
            .caution("You may stop here: the washed, damp chloride can be sent as it is, and that is what is done unless someone asks for metal.")
            .caution(text::LIQUOR),
    );
    reduction_dextrose::add_stage(&mut plan, situation, in_chloride, reducing, notes);
    plan.silver_recovered = recovered;
    plan.end_test = end_of_salting
        .zip(plan.end_test.take())
        .map(|(salting, reducing)| format!("Salting: {salting} Reduction: {reducing}"));
    plan
}
