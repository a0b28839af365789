//! Reagents whose chemistry in fixer no constant can be trusted for: dosed by the atoms alone, with
//! no floor and no residual. What they share; each has a file of its own.

use super::draft::{dose, liquor_waste, set_mass};
use super::facts::{ProcessFacts, ph_range};
use super::plan::{ProcessName, ReagentDose, RecoveryPlan};
use super::situation::{SilverRange, Situation, Unfit, short};
use super::text;
use crate::answer::{Notes, Severity};
use crate::procedure::{Addition, Step};
use crate::quantity::Computed;

/// Why no floor and no residual stand in the plan.
pub(super) const NO_CONSTANT: &str = "Dosed by the atoms alone: no equilibrium constant for it in fixer can be trusted, so there is no floor, no residual and no yield here. Only a laboratory can say what it left.";

/// Fixers only, in a measured pH.
pub(super) fn assess(
    situation: &Situation<'_>,
    process: ProcessName,
    name: &str,
    too_acid: &str,
) -> Result<(), Unfit> {
    if !situation.liquor.is_fixer() {
        return Err(Unfit::new(
            "house_rule",
            format!(
                "{name} is kept for fixers here. This liquid is or may be acid, or holds hardly any silver: what holds silver ions is salted, without its dangers."
            ),
        ));
    }
    if situation.lowest_ph().is_none()
        && let Some(range) = ph_range(process)
    {
        return Err(Unfit::new(
            range.source.as_str(),
            format!(
                "{name} needs pH {} or above, and the pH was not given: measure it and state it as ph.",
                short(range.low)
            ),
        ));
    }
    situation.too_acid(process, too_acid)
}

/// Dose, product and warnings; `purest` is the silver in the dry product at best.
pub(super) fn fill(
    plan: &mut RecoveryPlan,
    situation: &Situation<'_>,
    silver: SilverRange,
    process: &'static ProcessFacts,
    grams_per_gram: f64,
    purest: f64,
    notes: &mut Notes,
) -> Option<ReagentDose> {
    notes.cite("recovery_stoichiometry");
    notes.warn("/plan", Severity::Caution, NO_CONSTANT);
    let least = process.product.silver_percent_low.map(|p| p / 100.0);
    set_mass(plan, process, silver.figure_g, least.unwrap_or(purest));
    plan.product.silver_high_percent = Some(Computed::of(100.0 * purest));
    "Its mass is that of all the silver: what stays in the liquor is not known. Send it wet in a tub with a lid that vents; ask the refiner first. It is not burnt or melted here."
        .clone_into(&mut plan.product.next);
    plan.secondary_waste = vec![liquor_waste("fixer after treatment")];
    dose(situation, silver, process, grams_per_gram, notes)
}

/// The pH below which a process is never begun or gone on with, as it is read out.
pub(super) fn least_ph(process: ProcessName) -> String {
    // Every process of this kind has a range in the data; without one, it never goes on.
    ph_range(process).map_or_else(|| "14".to_owned(), |range| short(range.low))
}

/// The step that checks what it is and its pH.
pub(super) fn opening(process: ProcessName) -> Step {
    Step::new("Turn the extraction on, clear every acid and every flame out of the room, and work with a second person. Be sure that it is hypo fixer and not cyanide, and dip pH paper in it.")
        .caution("If you are not sure what it is, treat it as cyanide: keep it closed and alkaline, add nothing, call a licensed contractor.")
        .done_when(format!(
            "It reads {} or more, here and now. If not: stop. A silver fixer is not made alkaline here to suit it.",
            least_ph(process)
        ))
}

/// The addition of a dose.
pub(super) fn addition(reagent: &ReagentDose) -> Addition {
    Addition {
        substance: reagent.substance.clone(),
        mass_g: Some(reagent.mass_g),
        volume_ml: reagent.solution_ml,
    }
}

/// Settling, decanting and keeping the sludge.
pub(super) fn closing(sludge: &str, mass: &str) -> Vec<Step> {
    vec![
        Step::new("Let it settle overnight under extraction, covered loosely, and look at it again.")
            .done_when("The top is clear and no bubbles rise."),
        Step::new("Decant and filter it into a jug with a vented cap. Label it: fixer after treatment, to be tested by a laboratory, with the date.")
            .caution(text::LIQUOR),
        Step::new(format!(
            "Rinse the sludge twice with water (the rinse goes into the liquor) and keep it wet in a tub with a lid that vents. {mass} Label it: {sludge}, wet, the date, the weight."
        ))
        .caution("Never dry, burn or melt it here.")
        .done_when("It is weighed and in the silver book."),
    ]
}

/// How to see that it is done.
pub(super) fn end_test() -> String {
    "A laboratory's figure for the filtered liquor. No clear drop ends this dose, and a strip shows nothing below 0.5 g/L."
        .to_owned()
}
