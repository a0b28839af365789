//! Silver metal with sodium borohydride from an alkaline fixer: by the atoms alone, never the default.
//!
//! 8 Ag+ + BH4- + 8 OH- = 8 Ag + B(OH)4- + 4 H2O.

use super::by_stoichiometry as shared;
use super::draft::{mass_phrase, trouble};
use super::facts::{ProcessFacts, facts};
use super::plan::{ProcessName, RecoveryPlan, SecondaryWaste};
use super::situation::{SilverRange, Situation, Unfit, short};
use super::text;
use crate::answer::{Notes, Severity};
use crate::chemistry::constants::{SILVER, SODIUM_BOROHYDRIDE};
use crate::procedure::Step;
use crate::quantity::Computed;

/// Sodium borohydride that one gram of silver takes: one for eight atoms.
const PER_SILVER: f64 = SODIUM_BOROHYDRIDE / (8.0 * SILVER);

pub(super) fn assess(situation: &Situation<'_>) -> Result<(), Unfit> {
    shared::assess(
        situation,
        ProcessName::BorohydrideReduction,
        "Borohydride",
        "Below it borohydride breaks up into hydrogen in a rush.",
    )
}

pub(super) fn plan(
    situation: &Situation<'_>,
    silver: SilverRange,
    mut plan: RecoveryPlan,
    process: &'static ProcessFacts,
    notes: &mut Notes,
) -> RecoveryPlan {
    let stock = &facts().stock;
    notes.cite(stock.source.as_str());
    // The dose is of the stock solution, so that it is weighed as it is poured.
    let per_silver = PER_SILVER * 100.0 / stock.borohydride_percent_w_w;
    let Some(mut reagent) = shared::fill(
        &mut plan, situation, silver, process, per_silver, 1.0, notes,
    ) else {
        return plan;
    };
    reagent.solution_ml = Some(Computed::of(reagent.mass_g.get()));
    notes.warn(
        "/plan",
        Severity::Danger,
        "Borohydride makes hydrogen, and its lye frees ammonia from an ammonium fixer over silver: for trained people with extraction, only above pH 8, never the default.",
    );
    let mut steps = vec![
        shared::opening(process.name),
        Step::new(format!(
            "Weigh out {} g of the stabilized solution of {} % sodium borohydride in lye (go by its label). Pour it into the fixer a spoonful at a time, stirring, and wait after each until the bubbles slacken.",
            text::exact(reagent.mass_g.get()),
            short(stock.borohydride_percent_w_w)
        ))
        .adding(shared::addition(&reagent))
        .caution("Lye that blinds, and a poison: goggles, gloves, eye rinse within reach. Never the dry powder: it takes fire with a little water.")
        .caution("At a smell of ammonia stop: flood it with cold salt water, never let it dry, never shut it.")
        .done_when(format!(
            "Black silver falls; pH paper still reads {} or more after each spoonful.",
            shared::least_ph(process.name)
        )),
    ];
    steps.extend(shared::closing("silver sludge", &mass_phrase(&plan)));
    text::caution_all(&mut steps, text::HYDROGEN);
    text::caution_all(&mut steps, text::NEVER_ACID);
    plan.steps = steps;
    plan.reagents.push(reagent);
    plan.end_test = Some(shared::end_test());
    plan.secondary_waste.push(SecondaryWaste {
        what: "borohydride left over, and borate".into(),
        mass_g: None,
        text: "It goes on making hydrogen for a day or more: a vented cap, never with acid waste. Borate has limits of its own in some places.".into(),
    });
    plan.troubles = vec![
        trouble(
            "Froth rises or it grows warm",
            "Add no more, keep flames away, leave the extraction on and step back until it is calm.",
        ),
        trouble(
            "The silver goes back into solution after a day",
            "The bare silver dissolves again in fixer in the air: decant sooner next time.",
        ),
    ];
    plan
}
