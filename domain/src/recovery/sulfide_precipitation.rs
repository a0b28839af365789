//! Silver sulfide from an alkaline fixer: never the default, and never where acid can reach it.

use super::draft::{dose, fill_yield, liquor_waste, mass_phrase, trouble};
use super::facts::{ProcessFacts, ph_range};
use super::plan::{ProcessName, RecoveryPlan, SecondaryWaste};
use super::situation::{SilverRange, Situation, Unfit, short};
use super::text;
use crate::answer::{Notes, Severity};
use crate::chemistry::constants::{SILVER, SILVER_SULFIDE, SODIUM_SULFIDE_NONAHYDRATE};
use crate::procedure::{Addition, Step};
use crate::quantity::Computed;

/// Sodium sulfide nonahydrate that one gram of silver takes: one for two atoms.
const SULFIDE_PER_SILVER: f64 = SODIUM_SULFIDE_NONAHYDRATE / (2.0 * SILVER);
/// Silver in silver sulfide by mass.
const SILVER_IN_SULFIDE: f64 = 2.0 * SILVER / SILVER_SULFIDE;

pub(super) fn assess(situation: &Situation<'_>) -> Result<(), Unfit> {
    if !situation.liquor.is_fixer() {
        return Err(Unfit::new(
            "house_rule",
            "Sulfide is for an alkaline fixer. This liquid is or may be acid, and acid turns sulfide into hydrogen sulfide, which kills: salt does it without.",
        ));
    }
    if situation.lowest_ph().is_none() {
        return Err(Unfit::new(
            "recovery_recollection",
            "Sulfide needs pH 8 or above, and the pH was not given: measure it and state it as ph.",
        ));
    }
    situation.too_acid(
        ProcessName::SulfidePrecipitation,
        "Below it sulfide gives off hydrogen sulfide, which kills; and a silver fixer is not made alkaline here to suit it.",
    )
}

pub(super) fn plan(
    situation: &Situation<'_>,
    silver: SilverRange,
    mut plan: RecoveryPlan,
    process: &'static ProcessFacts,
    notes: &mut Notes,
) -> RecoveryPlan {
    notes.cite("niosh_idlh_h2s");
    fill_yield(
        &mut plan,
        situation,
        silver,
        process,
        SILVER_IN_SULFIDE,
        notes,
    );
    let share = 100.0 * SILVER_IN_SULFIDE;
    plan.product.silver_low_percent = None;
    plan.product.silver_high_percent = Some(Computed::of(share));
    "Send the sulfide wet in a closed tub; ask the refiner first, not every one takes it. It is not burnt or melted here."
        .clone_into(&mut plan.product.next);
    if let Some(sulfide) = dose(situation, silver, process, SULFIDE_PER_SILVER, notes) {
        plan.steps = steps(&sulfide.substance, sulfide.mass_g.get(), &plan, situation);
        plan.reagents.push(sulfide);
    }
    notes.warn(
        "/plan",
        Severity::Danger,
        "Sulfide and any acid make hydrogen sulfide, which kills: for trained people with extraction, never the default.",
    );
    plan.end_test = Some(
        "The clear drop with sulfide: filter a little, add a drop of the sulfide solution; repeat until it stays clear."
            .to_owned(),
    );
    plan.secondary_waste = vec![
        liquor_waste("desilvered fixer with a little sulfide"),
        SecondaryWaste {
            what: "sulfide left over".to_owned(),
            mass_g: None,
            text: "Acid makes it deadly: a jug of its own, alkaline, labelled sulfide, never with stop bath, iron developer or acid waste.".to_owned(),
        },
    ];
    plan.troubles = vec![
        trouble(
            "A smell of rotten eggs",
            "Leave at once, keep others out, let the extraction run. If anyone feels ill: fresh air and the emergency services.",
        ),
        trouble(
            "A brown, cloudy liquid that will not settle or filter",
            "Too much sulfide, or a colloid: leave it for days, covered, under extraction. Do not add acid to coagulate it.",
        ),
    ];
    plan
}

fn steps(
    substance: &crate::quantity::Identifier,
    mass_g: f64,
    plan: &RecoveryPlan,
    situation: &Situation<'_>,
) -> Vec<Step> {
    let low = ph_range(ProcessName::SulfidePrecipitation).map_or(8.0, |r| r.low);
    let add = |grams: f64| Addition {
        substance: substance.clone(),
        mass_g: Some(Computed::of(grams)),
        volume_ml: None,
    };
    let water_ml = text::pourable_ml(mass_g * 10.0);
    let tenth = text::weighable(mass_g / 10.0, situation.scale_step_g);
    let mut steps = vec![
        Step::new("Clear every acid, stop bath and acid waste out of the room. Turn the extraction on. Work with a second person.")
            .done_when("The extraction draws a strip of tissue inwards."),
        Step::new("Be sure that it is hypo fixer and not cyanide, and dip pH paper in it.").done_when(format!(
            "It reads {} or more, here and now. If not: stop. Do not make it alkaline to suit the sulfide.",
            short(low)
        )),
        Step::new(format!(
            "Weigh out {} g of sodium sulfide nonahydrate and dissolve it in {} of cold water.",
            text::exact(mass_g),
            text::volume(water_ml)
        ))
        .caution("It burns the skin and the eyes: goggles, gloves, eye rinse within reach. Rinse all it touched with much water."),
        Step::new("Pour nine tenths of it into the fixer in a thin stream, stirring slowly; keep the rest. Cover loosely.")
            .adding(add(mass_g * 0.9))
            .done_when(format!("The liquid turns black. pH paper still reads {} or more.", short(low))),
        Step::new("Let it settle overnight under extraction. Filter a spoonful, add one drop of the sulfide solution; if it turns brown, add a little of what you kept, stir, settle, and try again.")
            .adding(add(tenth))
            .done_when("The drop leaves the filtered spoonful clear: stop. Too much sulfide makes a slime that passes every filter."),
        Step::new("Decant and filter under extraction into a jug with a vented cap. Label it: desilvered fixer with sulfide, never with acid, to be tested by a laboratory, with the date.")
            .caution(text::LIQUOR),
        Step::new(format!(
            "Rinse the black sulfide once with water and keep it wet in a tub. {} Label it: silver sulfide, wet, never with acid, the date, the weight.",
            mass_phrase(plan)
        ))
        .caution("Never burn, roast or melt it here."),
    ];
    text::caution_all(&mut steps, text::HYDROGEN_SULFIDE);
    text::caution_all(&mut steps, text::NEVER_ACID);
    steps
}
