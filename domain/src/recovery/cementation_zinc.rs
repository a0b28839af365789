//! Silver sponge on zinc: hydrogen with the bath's acid, so never the default.

use super::cementation_copper::bath_only;
use super::draft::{dose, fill_yield, liquor_waste, mass_phrase, middle_share, trouble};
use super::facts::ProcessFacts;
use super::floor::{Metal, set_metal};
use super::plan::{ProcessName, RecoveryPlan, SecondaryWaste};
use super::situation::{SilverRange, Situation, Unfit};
use super::text;
use crate::answer::{Notes, Severity};
use crate::chemistry::constants::{SILVER, ZINC};
use crate::chemistry::system::MetalInContact;
use crate::procedure::{Addition, Step};
use crate::quantity::Computed;

/// Zinc that one gram of silver takes: one atom for two.
const ZINC_PER_SILVER: f64 = ZINC / (2.0 * SILVER);

pub(super) fn assess(situation: &Situation<'_>) -> Result<(), Unfit> {
    bath_only(situation, "Zinc")?;
    if situation.may_hold_solvent() {
        return Err(Unfit::new(
            "house_rule",
            "Zinc makes hydrogen and heat with the bath's acid, and this bath holds, or being of collodion may hold, alcohol and ether.",
        ));
    }
    if situation.lowest_ph().is_none() {
        return Err(Unfit::new(
            "house_rule",
            "Zinc with acid makes hydrogen and heat, and the pH was not given: measure it and state it as ph.",
        ));
    }
    situation.too_acid(
        ProcessName::CementationZinc,
        "Zinc with acid makes hydrogen and heat.",
    )
}

pub(super) fn plan(
    situation: &Situation<'_>,
    silver: SilverRange,
    mut plan: RecoveryPlan,
    process: &'static ProcessFacts,
    notes: &mut Notes,
) -> RecoveryPlan {
    fill_yield(
        &mut plan,
        situation,
        silver,
        process,
        middle_share(process),
        notes,
    );
    "Send the washed sponge, damp. It is not melted here, and zinc left in it is not dissolved with acid here."
        .clone_into(&mut plan.product.next);
    if let Some(zinc) = dose(situation, silver, process, ZINC_PER_SILVER, notes) {
        let addition = Addition {
            substance: zinc.substance.clone(),
            mass_g: Some(zinc.mass_g),
            volume_ml: None,
        };
        let mut steps = vec![
            Step::new(format!(
                "Weigh out {} g of zinc in lumps or strips, never powder or wool.",
                text::exact(zinc.mass_g.get())
            ))
            .caution("Zinc powder goes off all at once, and catches fire when damp."),
            Step::new("Under extraction, put one lump into the bath in an open jug with room for froth, and wait until it calms. Then the next, until all are in.")
                .adding(addition)
                .caution(text::HYDROGEN)
                .caution("Feel the jug from outside: if it is warmer than the hand, wait.")
                .done_when("Grey sponge gathers on the zinc; a few bubbles."),
            Step::new("Leave it open under extraction, knocking the sponge off the zinc now and then.")
                .caution(text::HYDROGEN)
                .done_when("A drop of salt water leaves a clear spoonful of the liquid clear."),
            Step::new("Pick the zinc out with plastic tongs, let the sponge settle, and decant the liquid through a coffee filter into a second container with a vented cap. Label it: zinc nitrate liquor, to be tested by a laboratory, with the date.")
                .caution(text::LIQUOR),
            Step::new(format!(
                "Wash the sponge three times with water, drain it in the filter, and keep it damp in a tub with a vented lid for a week before it is shut. {} Label it: silver sponge with some zinc, damp, the date, the weight.",
                mass_phrase(&plan)
            ))
            .caution("Zinc in the sponge goes on making hydrogen for days. Never add acid to clean it, never melt it here."),
        ];
        text::caution_all(&mut steps, text::SILVER_NITRATE);
        plan.steps = steps;
        let metal = Metal {
            metal: MetalInContact::Zn,
            substance: &zinc.substance,
            name: "zinc",
            limit: "",
        };
        set_metal(&mut plan, situation, silver, metal, |_| {}, notes);
        plan.reagents.push(zinc);
    }
    notes.warn(
        "/plan",
        Severity::Danger,
        "Zinc with acid makes hydrogen and heat: for trained people with extraction, never the default.",
    );
    plan.end_test =
        Some("A drop of salt water leaves a clear spoonful of the liquid clear.".to_owned());
    plan.secondary_waste = vec![
        liquor_waste("zinc liquor and washings"),
        SecondaryWaste {
            what: "zinc dissolved in the liquor, at the least".into(),
            mass_g: Some(Computed::of(silver.figure_g * ZINC_PER_SILVER)),
            text: "A sewer authority may limit zinc.".into(),
        },
    ];
    plan.troubles = vec![
        trouble(
            "Froth rises or the jug grows warm",
            "Lift the zinc out with plastic tongs and let it calm. Keep flames away; do not add anything.",
        ),
        trouble(
            "The zinc is coated and nothing more happens",
            "Knock the sponge off with a plastic rod.",
        ),
    ];
    plan
}
