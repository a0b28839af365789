//! Silver crystals on copper: for a silver nitrate bath whose owner wants metal.

use super::draft::{dose, fill_yield, liquor_waste, mass_phrase, middle_share, trouble};
use super::facts::{ProcessFacts, facts};
use super::floor::{Metal, set_metal};
use super::plan::{ProcessName, RecoveryPlan, SecondaryWaste};
use super::situation::{Liquor, SilverRange, Situation, Unfit, short};
use super::text;
use crate::answer::{Notes, Severity};
use crate::chemistry::constants::{COPPER, SILVER};
use crate::chemistry::system::MetalInContact;
use crate::procedure::{Addition, Step};
use crate::quantity::Computed;

/// Copper that one gram of silver takes: one atom for two.
const COPPER_PER_SILVER: f64 = COPPER / (2.0 * SILVER);

pub(super) fn assess(situation: &Situation<'_>) -> Result<(), Unfit> {
    bath_only(situation, "Copper")?;
    situation.too_acid(
        ProcessName::CementationCopper,
        "Strong nitric acid dissolves copper with brown, poisonous fumes.",
    )
}

/// Cementation is for the bath and its drips.
pub(super) fn bath_only(situation: &Situation<'_>, metal: &str) -> Result<(), Unfit> {
    match situation.liquor {
        Liquor::Nitrate => Ok(()),
        Liquor::Fixer | Liquor::BleachFix => Err(Unfit::new(
            "recovery_recollection",
            format!(
                "{metal} dissolves in fixer as thiosulfate holds its ions, and no trustworthy constant says where it ends: it is for the silver nitrate bath only."
            ),
        )),
        Liquor::Rinse | Liquor::PlateDeveloper => Err(Unfit::new(
            "house_rule",
            format!(
                "{metal} is for the bath and its drips: in a thin or a reducing liquid it puts more metal into the water than silver it takes out."
            ),
        )),
        Liquor::FilmDeveloper | Liquor::Solid | Liquor::Unused => Err(Unfit::new(
            "fixer_silver_levels",
            format!(
                "{metal} is for the silver nitrate bath only: there is no free silver to take out here."
            ),
        )),
    }
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
    "Send the washed crystals. They are not melted here.".clone_into(&mut plan.product.next);
    if let Some(copper) = dose(situation, silver, process, COPPER_PER_SILVER, notes) {
        let addition = Addition {
            substance: copper.substance.clone(),
            mass_g: Some(copper.mass_g),
            volume_ml: None,
        };
        let mut steps = vec![
            Step::new(format!(
                "Clean at least {} g of bare copper (sheet, pipe or thick wire, no lacquer, no solder) with scouring powder and rinse it. Weigh it.",
                text::exact(copper.mass_g.get())
            )),
            Step::new("Hang the copper in the bath in a plastic or glass jug so that it can be lifted out, with a cloth over the top, and leave it overnight.")
                .adding(addition)
                .caution("No heat and no extra acid: acid on copper makes brown, poisonous fumes.")
                .done_when("Grey silver needles grow on the copper and the liquid turns blue."),
            Step::new("Lift the copper, brush or shake the crystals off into the jug, and hang it back. Do this two or three times a day.")
                .done_when("Freshly brushed copper stays bright for an hour."),
            Step::new("The clear drop: put a spoonful of the clear liquid in a glass against something black and add one drop of salt water.")
                .done_when("No cloud forms. If one does, leave the copper in longer, or finish with the salt plan."),
            Step::new("Take the copper out, let the crystals settle, and decant the blue liquid through a coffee filter into a second container. Label it: copper nitrate liquor, to be tested by a laboratory, with the date.")
                .caution(text::LIQUOR)
                .caution("Copper poisons water life: nothing of it goes down a drain."),
            Step::new(format!(
                "Wash the crystals with water until it stays colourless, the washings into the liquor, and drain them in the filter. {} Label the tub: silver crystals from copper, the date, the weight.",
                mass_phrase(&plan)
            ))
            .caution("Never melt them here. Never put ammonia on them to wash the blue out: silver and ammonia make an explosive.")
            .done_when("The weight is in the silver book. Weigh the copper too: what it lost is in the liquor."),
        ];
        if situation.may_hold_solvent() {
            text::caution_all(&mut steps, text::NO_FLAME);
        }
        text::caution_all(&mut steps, text::SILVER_NITRATE);
        plan.steps = steps;
        let example = format!(
            " One city's limit for copper is {} mg/L.",
            short(facts().copper.limit_example_mg_per_l)
        );
        let metal = Metal {
            metal: MetalInContact::Cu,
            substance: &copper.substance,
            name: "copper",
            limit: &example,
        };
        set_metal(&mut plan, situation, silver, metal, |_| {}, notes);
        plan.reagents.push(copper);
    }
    let limit = &facts().copper;
    notes.cite(limit.source.as_str());
    notes.warn(
        "/plan/secondary_waste",
        Severity::Caution,
        "Copper trades a silver liquid for a copper liquid: ask what becomes of copper where you are before you start.",
    );
    plan.end_test = Some(
        "Freshly brushed copper stays bright, and a drop of salt water leaves a clear spoonful of the liquid clear."
            .to_owned(),
    );
    plan.secondary_waste = vec![
        liquor_waste("blue copper liquor and washings"),
        SecondaryWaste {
            what: "copper dissolved in the liquor".into(),
            mass_g: Some(Computed::of(silver.figure_g * COPPER_PER_SILVER)),
            text: format!(
                "Sewer limits for copper are low where there are any: one city's is {} mg/L.",
                short(limit.limit_example_mg_per_l)
            )
            .into(),
        },
    ];
    plan.troubles = vec![
        trouble(
            "Brown fumes or brisk bubbles",
            "The bath is too acid. Go outdoors or air the room, lift the copper out with plastic tongs, and take the salt plan.",
        ),
        trouble(
            "A tight white or grey skin on the copper and nothing more happens",
            "Brush it off; clean the copper again.",
        ),
        trouble(
            "The liquid turns blue but no crystals show",
            "Acid is eating the copper and there is little silver. Take the copper out and try the clear drop.",
        ),
    ];
    plan
}
