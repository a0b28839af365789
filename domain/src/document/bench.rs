//! Worksheets for the bench: a reading to take, or a plan to work through.

use super::chart::Chart;
use super::findings;
use super::label::Desk;
use super::plan_chart::{dose_chart, ph_chart};
use super::request::{BenchProcedure, BenchWorksheet};
use super::tree::{Block, Column, Document, Section};
use super::worksheet::{Procedure, sheet, worksheet};
use crate::answer::Notes;
use crate::batch::Batch;
use crate::chemistry::neutralization::Base;
use crate::chemistry::system::CarbonDioxide;
use crate::estimate::{Agreement, Estimate};
use crate::fault::Faults;
use crate::procedure::{Addition, Refusal, Step};
use crate::quantity::{ComputedGrams, ComputedMillilitres, Identifier, write_significant};
use crate::recovery::{RecoveryOptions, RecoveryPlans, Trouble, recovery_plans};
use crate::waste::neutralization::{NeutralizationPlan, Wish, neutralize_batch};
use crate::waste::pour::{Act, check_act, check_procedure};

const GOGGLES: &str =
    "Goggles and gloves on, water for the eyes within reach: silver nitrate burns the eyes.";

/// A reading: what it is called, how it is taken, what is written down, and where it is described.
struct Reading {
    title: &'static str,
    act: Act,
    ready: &'static [&'static str],
    steps: Vec<Step>,
    blanks: &'static [&'static str],
    source: &'static str,
}

/// Draws up a worksheet: of a reading, with lines for the figures that the estimate asks for; of
/// the recommended way of recovery; or of neutralizing with bicarbonate. Every addition is checked
/// against the container first, and a refusal takes the steps' place.
///
/// # Errors
/// Faults of the batch.
pub(super) fn bench_worksheet(
    of: &BenchWorksheet,
    estimate: Option<&Estimate>,
    at: &str,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Result<Document, Faults> {
    let batch = &of.batch;
    let place = format!("{at}/batch");
    match of.procedure {
        BenchProcedure::VolhardTitration => Ok(take(batch, &titration(), at, desk, notes)),
        BenchProcedure::ChlorideWeighing => Ok(take(batch, &weighing(), at, desk, notes)),
        BenchProcedure::Recovery => {
            let unknown = Estimate::unknown(Vec::new(), Agreement::WithinBounds {});
            let options = RecoveryOptions {
                at: "",
                recommended_only: true,
                curves: true,
                ..RecoveryOptions::default()
            };
            let plans = notes.as_a_whole(|notes| {
                recovery_plans(batch, estimate.unwrap_or(&unknown), &options, &place, notes)
            })?;
            Ok(recovery(batch, &plans, desk))
        }
        BenchProcedure::Neutralization => {
            let wish = Wish {
                base: Base::SodiumBicarbonate,
                target_ph: None,
                carbon_dioxide: CarbonDioxide::VentsAtSaturation,
                rules: desk.rules,
            };
            let plan = notes.as_a_whole(|notes| neutralize_batch(batch, &wish, &place, notes))?;
            let first: Vec<String> = plan.order.iter().cloned().collect();
            let procedure = plan
                .refusal
                .as_ref()
                .map_or(Procedure::Steps(&plan.steps), Procedure::Refused);
            let title = "Making it neutral with sodium bicarbonate";
            let afterwards = ["What I saw", "pH at the end", "Done by, and the date"];
            let id = batch.id.as_str();
            let mut document = sheet(title, id, &first, procedure, &afterwards, desk);
            if plan.refusal.is_none() {
                let before_last = document.sections.len().saturating_sub(1);
                document.sections.insert(before_last, readings(&plan));
            }
            document.sections.extend(ph_chart(&plan).map(drawn));
            Ok(document)
        }
    }
}

/// The plan's increments with what the pH should be after each, and room for what it is. The pH
/// paper decides, so lines without a figure follow.
fn readings(plan: &NeutralizationPlan) -> Section {
    const BLANK_LINES: usize = 3;
    let planned = plan
        .ph_path
        .iter()
        .filter(|p| p.added_g.get() > 0.0)
        .map(|p| {
            vec![
                write_significant(p.added_g.get(), 3),
                write_significant(p.ph.get(), 2),
                String::new(),
                String::new(),
            ]
        });
    let blank = (0..BLANK_LINES).map(|_| vec![String::new(); 4]);
    Section::headed(
        "After each portion",
        vec![Block::Table {
            columns: vec![
                Column::figures("Added so far, g"),
                Column::figures("pH to expect"),
                Column::words("pH read"),
                Column::words("Time, and what I saw"),
            ],
            rows: planned.chain(blank).collect(),
            total: None,
        }],
    )
}

fn take(batch: &Batch, reading: &Reading, at: &str, desk: Desk<'_>, notes: &mut Notes) -> Document {
    notes.cite(reading.source);
    notes.assume(
        "",
        format!("{at}/procedure"),
        "common_practice",
        "How much sample, reagent and water to take: common practice, no source. Other volumes do as well when they are written down.",
    );
    let allowed =
        check_act(batch, reading.act).and_then(|()| check_procedure(batch, &reading.steps));
    let ready: Vec<String> = reading.ready.iter().map(|r| (*r).to_owned()).collect();
    let procedure = match &allowed {
        Ok(()) => Procedure::Steps(&reading.steps),
        Err(refusal) => Procedure::Refused(refusal),
    };
    let id = batch.id.as_str();
    sheet(reading.title, id, &ready, procedure, reading.blanks, desk)
}

fn recovery(batch: &Batch, plans: &RecoveryPlans, desk: Desk<'_>) -> Document {
    let plan = plans.recommended.and_then(|p| plans.plan(p));
    let title = plan.map_or_else(
        || "Getting the silver out".to_owned(),
        |p| format!("Getting the silver out: {}", p.title),
    );
    let id = batch.id.as_str();
    if let Some(plan) = plan {
        let steps = Procedure::Steps(&plan.steps);
        let mut document = worksheet(&title, id, &plan.hazards, steps, desk);
        if !plan.troubles.is_empty() {
            let before_last = document.sections.len().saturating_sub(1);
            let troubles = troubles(&plan.troubles);
            document.sections.insert(before_last, troubles);
        }
        let chart = plan.dose_curve.as_ref().map(dose_chart);
        document.sections.extend(chart.map(drawn));
        return document;
    }
    let refusal = plans.refusal.clone().unwrap_or_else(|| {
        let (reason, never, instead) = match (&plans.act_today, &plans.measure_first) {
            (Some(danger), _) => (danger.warning(), danger.never.clone(), danger.act.clone()),
            (None, Some(why)) => (why.clone(), Vec::new(), Vec::new()),
            (None, None) => {
                let why = plans.not_applicable.iter().map(|n| n.reason.clone());
                let reason = "No way of recovery that is at hand here applies.".to_owned();
                (reason, Vec::new(), why.collect())
            }
        };
        Refusal {
            reason,
            never,
            instead,
            call: Vec::new(),
        }
    });
    worksheet(&title, id, &[], Procedure::Refused(&refusal), desk)
}

/// What it looks like when it goes wrong, and what to do then.
fn troubles(of: &[Trouble]) -> Section {
    let rows = of
        .iter()
        .map(|t| vec![t.sign.to_string(), t.response.to_string()]);
    let table = findings::words(["What I see or smell", "What to do"], rows.collect());
    Section::headed("If it goes wrong", vec![table])
}

/// A picture under a heading of its own.
fn drawn(chart: Chart) -> Section {
    Section::headed(
        "What to expect",
        vec![Block::Chart {
            chart: Box::new(chart),
        }],
    )
}

fn adding(substance: &str, mass_g: Option<f64>, volume_ml: Option<f64>) -> Option<Addition> {
    Some(Addition {
        substance: Identifier::new(substance).ok()?,
        mass_g: mass_g.map(ComputedGrams::of),
        volume_ml: volume_ml.map(ComputedMillilitres::of),
    })
}

fn with(step: Step, addition: Option<Addition>) -> Step {
    match addition {
        Some(addition) => step.adding(addition),
        None => step,
    }
}

fn titration() -> Reading {
    Reading {
        title: "Volhard titration of the silver",
        act: Act::Titrate,
        ready: &[
            "Goggles, gloves, and water for the eyes.",
            "Thiocyanate whose strength is known; a burette rinsed and filled with it, no bubble at its tip.",
            "Dilute nitric acid and an iron(III) alum solution.",
        ],
        steps: vec![
            Step::new("Stir the container and measure 5 mL of it into a clean measuring flask.")
                .caution(GOGGLES),
            Step::new("Fill up to 100 mL with distilled water and mix. Measure 25 mL of that into a clean glass flask: the aliquot."),
            with(
                Step::new("Add about 5 mL of dilute nitric acid to the aliquot.")
                    .caution("Into this small portion only: never pour acid into the container."),
                adding("nitric_acid_dilute", None, Some(5.0)),
            ),
            Step::new("Add about 1 mL of the iron(III) alum solution, which shows the end."),
            Step::new("Run in thiocyanate from the burette, swirling; near the end drop by drop.")
                .done_when("The first faint red-brown stays while you swirl for a quarter of a minute."),
            Step::new("Write down the titre. Titrate two more aliquots.")
                .done_when("The titres agree within about 0.1 mL."),
            Step::new("Do the same with 25 mL of distilled water in place of the aliquot: the blank."),
            Step::new("Pour what is in the flasks into a jug of its own, label it: silver thiocyanate, acid, with the date.")
                .caution("Never into fixer or cyanide, and never any bleach to it."),
        ],
        blanks: &[
            "Sample, mL",
            "Filled up to, mL",
            "Aliquot, mL",
            "Thiocyanate, mol/L",
            "Titres, mL",
            "Blank, mL",
            "Done by, and the date",
        ],
        source: "harvey2009",
    }
}

fn weighing() -> Reading {
    Reading {
        title: "Weighing the silver as chloride",
        act: Act::Recover,
        ready: &[
            "Goggles, gloves, and water for the eyes.",
            "A scale that shows a tenth of a gram or better, and a coffee filter.",
        ],
        steps: vec![
            Step::new("Weigh the dry coffee filter."),
            Step::new("Stir the container and measure 25 mL of it into a clear glass.")
                .caution(GOGGLES),
            with(
                Step::new("Dissolve 2 g of plain cooking salt in 50 mL of water and pour it into the sample, stirring.")
                    .caution("No acid, no ammonia, no heat."),
                adding("sodium_chloride", Some(2.0), None),
            ),
            Step::new("Stir hard, stand it in the dark until the liquid above is clear, and add one more drop of salt water.")
                .done_when("The drop makes no cloud. If it does, add as much salt water again."),
            Step::new("Pour all of it through the filter and wash it three times with clean water.")
                .caution("Keep what runs through: it is to be tested by a laboratory like any liquor."),
            Step::new("Let filter and chloride dry in the air, away from light.")
                .caution("Washed silver chloride only, without heat and out of the sun: paper that soaked up nitrate burns fiercely.")
                .done_when("Its weight no longer changes from one day to the next."),
            Step::new("Weigh it with the filter, and take the filter's weight off. The chloride goes to the rest of the silver chloride."),
        ],
        blanks: &[
            "Dry filter, g",
            "Sample, mL",
            "Filter with dry silver chloride, g",
            "Dry silver chloride, g",
            "The scale shows steps of, g",
            "Done by, and the date",
        ],
        source: "openstax_chemistry_2e",
    }
}
