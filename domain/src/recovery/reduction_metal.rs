//! Washed silver chloride to metal with zinc or iron and dilute acid: hydrogen, so never the default.
//!
//! 2 AgCl + Zn = 2 Ag + ZnCl2, and the same with iron. The acid only starts it, and eats the metal
//! that is left over.

use super::draft::{dose_of, mass_phrase, trouble};
use super::facts::{ProcessFacts, facts};
use super::plan::{ReagentDose, RecoveryPlan};
use super::reduction;
use super::situation::{SilverRange, Situation, Unfit, short};
use super::text;
use crate::answer::{Method, Notes, Severity};
use crate::chemistry::constants::{IRON, SILVER, SULFURIC_ACID, ZINC};
use crate::procedure::{Addition, Step};
use crate::quantity::Computed;

/// Acid for the metal that is left over, and the hydrogen that it makes.
pub(super) const ACID: Method = Method {
    name: "acid for the metal left over",
    formula: "dilute acid (g) = (metal weighed out - metal for the silver's upper end) / its molar mass x 98.072 / share of acid; hydrogen (L at 25 °C and 1 atm) = acid (mol) x 24.465",
    source: "chloride_reduction_stoichiometry",
};

/// Litres of one mole of gas at 25 °C and 1 atm.
const LITRES_PER_MOL: f64 = 24.465;

const CARE: &str = "Goggles and gloves on, eye rinse within reach: the acid hurts the eyes.";

/// The metal, one atom for two of silver.
struct Metal {
    name: &'static str,
    molar_g: f64,
    pieces: &'static str,
    caution: &'static str,
}

const ZINC_LUMPS: Metal = Metal {
    name: "zinc",
    molar_g: ZINC,
    pieces: "zinc in lumps or strips, big enough to be picked out again",
    caution: "Never zinc powder or wool: it goes off all at once, and catches fire when damp.",
};

const IRON_PIECES: Metal = Metal {
    name: "iron",
    molar_g: IRON,
    pieces: "clean bare iron in nails or strips, not stainless and not galvanized",
    caution: "Never iron powder or wool: it goes off all at once, and heats itself as it dries.",
};

pub(super) fn assess(situation: &Situation<'_>) -> Result<(), Unfit> {
    reduction::washed_chloride_only(situation)
}

pub(super) fn plan_zinc(
    situation: &Situation<'_>,
    silver: SilverRange,
    plan: RecoveryPlan,
    process: &'static ProcessFacts,
    notes: &mut Notes,
) -> RecoveryPlan {
    with_metal(&ZINC_LUMPS, situation, silver, plan, process, notes)
}

pub(super) fn plan_iron(
    situation: &Situation<'_>,
    silver: SilverRange,
    plan: RecoveryPlan,
    process: &'static ProcessFacts,
    notes: &mut Notes,
) -> RecoveryPlan {
    with_metal(&IRON_PIECES, situation, silver, plan, process, notes)
}

fn with_metal(
    metal: &Metal,
    situation: &Situation<'_>,
    silver: SilverRange,
    mut plan: RecoveryPlan,
    process: &'static ProcessFacts,
    notes: &mut Notes,
) -> RecoveryPlan {
    let (Some(first), Some(second)) = (&process.reagent, &process.second_reagent) else {
        return plan;
    };
    let per_silver = metal.molar_g / (2.0 * SILVER);
    let pieces = dose_of(situation, silver, first, per_silver, notes);
    let left_over_mol = (pieces.mass_g.get() - pieces.stoichiometric_g.get()) / metal.molar_g;
    let share = facts().chloride_reduction.acid_percent_w_w / 100.0;
    let acid_g = left_over_mol * SULFURIC_ACID / share;
    // Dilute acid weighs within a twentieth of what water weighs.
    let acid_ml = text::pourable_ml(acid_g * second.dose_factor);
    notes.method("/plan/reagents", ACID);
    notes.cite(second.source.as_str());
    let acid = ReagentDose {
        substance: second.substance.clone(),
        stoichiometric_g: Computed::of(acid_g),
        dose_factor: Computed::of(second.dose_factor),
        factor_source: second.source.as_str(),
        mass_g: Computed::of(acid_ml),
        solution_ml: Some(Computed::of(acid_ml)),
        first_portion_g: None,
        excess_mol_per_l: None,
        highest_excess_mol_per_l: None,
    };
    let hydrogen_l = acid_ml * share / SULFURIC_ACID * LITRES_PER_MOL;
    reduction::set_product(&mut plan, silver, process);
    plan.steps = steps(metal, &pieces, &acid, hydrogen_l, &mass_phrase(&plan));
    plan.reagents.push(pieces);
    plan.reagents.push(acid);
    plan.end_test = Some(reduction::end_test());
    plan.secondary_waste = reduction::secondary_waste(
        format!("acid liquor with {} chloride", metal.name),
        Some((metal.name, silver.figure_g * per_silver)),
    );
    plan.troubles = reduction::troubles();
    plan.troubles.extend([
        trouble(
            "Froth rises or the bowl grows warm",
            "Add no more acid, lift metal out with plastic tongs, keep flames away and let it calm.",
        ),
        trouble(
            "Nothing happens",
            "The chloride must touch the metal. Stir, and crush the lumps; then a little of the acid that you kept.",
        ),
        trouble(
            "A choking, sharp smell or one of rotten eggs",
            "Fixer or sulfide was in it. Leave at once, keep others out, let the extraction run; add nothing.",
        ),
    ]);
    notes.warn(
        "/plan",
        Severity::Danger,
        format!(
            "{} with acid makes hydrogen, about {} L of it from the acid: for trained people with extraction, never the default. Sending the washed chloride needs neither.",
            capital(metal.name),
            text::about(hydrogen_l)
        ),
    );
    plan
}

fn capital(name: &str) -> String {
    let mut letters = name.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}

fn steps(
    metal: &Metal,
    pieces: &ReagentDose,
    acid: &ReagentDose,
    hydrogen_l: f64,
    mass: &str,
) -> Vec<Step> {
    let percent = short(facts().chloride_reduction.acid_percent_w_w);
    let mut steps = vec![
        reduction::opening(),
        Step::new(format!(
            "Put the damp chloride in a wide plastic or glass bowl under extraction, cover it with twice its height of water, and press {} g of {} into it so that they touch.",
            text::exact(pieces.mass_g.get()),
            metal.pieces
        ))
        .adding(Addition {
            substance: pieces.substance.clone(),
            mass_g: Some(pieces.mass_g),
            volume_ml: None,
        })
        .caution(metal.caution)
        .caution(text::HYDROGEN)
        .done_when("Grey spreads from the metal."),
        Step::new(format!(
            "Have {} of sulfuric acid of {percent} % ready. Pour in a splash of it, wait until the bubbles slacken, then the next; once it goes by itself keep the rest for the end.",
            text::volume(acid.mass_g.get())
        ))
        .adding(Addition {
            substance: acid.substance.clone(),
            mass_g: Some(acid.mass_g),
            volume_ml: acid.solution_ml,
        })
        .caution(text::HYDROGEN)
        .caution(format!(
            "All of the acid makes up to about {} L of hydrogen. Buy it as dilute as that; where it must be diluted, the acid goes into the water and never the other way round.",
            text::about(hydrogen_l)
        ))
        .done_when("A few bubbles; no froth and no warmth."),
        Step::new("Leave it open under extraction and stir now and then with a plastic rod, knocking the silver off the metal.")
            .caution(text::HYDROGEN)
            .done_when("It is grey all through, with no white when a lump is crushed."),
        Step::new("Pick the metal that is left out with plastic tongs, rinsing it over the bowl, and pour the rest of the acid in a splash at a time for the crumbs.")
            .caution(text::HYDROGEN)
            .done_when("No bubbles rise from the sponge for an hour."),
    ];
    steps.extend(reduction::closing(
        &format!("acid liquor with {} chloride", metal.name),
        "a lid that vents, for a week before it is shut",
        mass,
    ));
    text::caution_all(&mut steps, CARE);
    steps
}
