//! Silver metal with sodium dithionite from fixer: by the atoms alone, never the default.
//!
//! 2 Ag+ + S2O4-- + 2 H2O = 2 Ag + 2 HSO3- + 2 H+.

use super::by_stoichiometry as shared;
use super::draft::{mass_phrase, trouble};
use super::facts::ProcessFacts;
use super::plan::{ProcessName, RecoveryPlan, SecondaryWaste};
use super::situation::{SilverRange, Situation, Unfit};
use super::text;
use crate::answer::{Notes, Severity};
use crate::chemistry::constants::{SILVER, SODIUM_DITHIONITE};
use crate::procedure::Step;
use crate::quantity::Computed;

/// Sodium dithionite that one gram of silver takes: one for two atoms.
const PER_SILVER: f64 = SODIUM_DITHIONITE / (2.0 * SILVER);

const DAMP: &str = "Dithionite that gets damp heats itself and may catch fire: a dry spoon, the tin shut at once, spills into plenty of water and never into the bin.";

pub(super) fn assess(situation: &Situation<'_>) -> Result<(), Unfit> {
    shared::assess(
        situation,
        ProcessName::DithioniteReduction,
        "Dithionite",
        "Acid turns dithionite into choking sulfur dioxide.",
    )
}

pub(super) fn plan(
    situation: &Situation<'_>,
    silver: SilverRange,
    mut plan: RecoveryPlan,
    process: &'static ProcessFacts,
    notes: &mut Notes,
) -> RecoveryPlan {
    let Some(mut reagent) = shared::fill(
        &mut plan, situation, silver, process, PER_SILVER, 1.0, notes,
    ) else {
        return plan;
    };
    let water_ml = text::pourable_ml(reagent.mass_g.get() * 10.0);
    reagent.solution_ml = Some(Computed::of(water_ml));
    notes.warn(
        "/plan",
        Severity::Danger,
        "Dithionite may catch fire when it gets damp and gives off sulfur dioxide with acid: for trained people with extraction, never the default.",
    );
    let mut steps = vec![
        shared::opening(process.name),
        Step::new(format!(
            "Weigh out {} g of sodium dithionite with a dry spoon and strew it into {} of cold water, under extraction. Use it within the hour.",
            text::exact(reagent.mass_g.get()),
            text::volume(water_ml)
        ))
        .caution("The powder into plenty of cold water, never a little water onto the powder.")
        .done_when("It is dissolved, and the tin is shut and dry."),
        Step::new("Pour it into the fixer a tenth at a time, stirring, and dip pH paper after each tenth: it makes the fixer more acid as it works.")
            .adding(shared::addition(&reagent))
            .done_when(format!(
                "Grey to black silver falls; pH paper still reads {} or more. Below that stop: add nothing, least of all acid.",
                shared::least_ph(process.name)
            )),
    ];
    steps.extend(shared::closing("silver sludge", &mass_phrase(&plan)));
    text::caution_all(&mut steps, DAMP);
    text::caution_all(&mut steps, text::NEVER_ACID);
    plan.steps = steps;
    plan.reagents.push(reagent);
    plan.end_test = Some(shared::end_test());
    plan.secondary_waste.push(SecondaryWaste {
        what: "dithionite and sulfite left over".into(),
        mass_g: None,
        text:
            "Acid frees sulfur dioxide from them: a vented cap, never with stop bath or acid waste."
                .into(),
    });
    plan.troubles = vec![
        trouble(
            "A choking, sharp smell",
            "Sulfur dioxide: the fixer has gone acid. Stop, leave it under extraction, keep away, add nothing.",
        ),
        trouble(
            "The silver goes back into solution after a day",
            "The bare silver dissolves again in fixer in the air: decant sooner next time.",
        ),
        trouble(
            "The powder is warm or smokes",
            "It got damp. Outdoors, from a distance, flood it with plenty of water; if it burns, leave and call the fire service.",
        ),
    ];
    plan
}
