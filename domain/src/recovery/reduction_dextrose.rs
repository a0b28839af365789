//! Washed silver chloride to metal with dextrose and lye: no hydrogen, but lye, heat and froth.
//!
//! 2 AgCl + C6H12O6 + 3 NaOH = 2 Ag + NaC6H11O7 + 2 NaCl + 2 H2O.

use super::draft::{dose_of, mass_phrase, trouble};
use super::facts::{ProcessFacts, facts};
use super::plan::{ReagentDose, RecoveryPlan};
use super::reduction;
use super::situation::{SilverRange, Situation, Unfit};
use super::text;
use crate::answer::{Notes, Severity};
use crate::chemistry::constants::{DEXTROSE, SILVER, SODIUM_HYDROXIDE};
use crate::estimate::SilverCompound;
use crate::procedure::{Addition, Step};
use crate::quantity::Computed;

/// Dextrose that one gram of silver takes: one for two atoms.
const DEXTROSE_PER_SILVER: f64 = DEXTROSE / (2.0 * SILVER);
/// Sodium hydroxide that one gram of silver takes: three for two atoms.
const LYE_PER_SILVER: f64 = 3.0 * SODIUM_HYDROXIDE / (2.0 * SILVER);

const LYE: &str = "Goggles and gloves on, eye rinse within reach: lye blinds (rinse 15 minutes and call for help) and eats skin.";
const LIQUOR: &str = "used lye with sugar";

pub(super) fn assess(situation: &Situation<'_>) -> Result<(), Unfit> {
    reduction::washed_chloride_only(situation)?;
    let batch = situation.batch;
    if reduction::holds(batch, "silver_iodide", SilverCompound::SilverIodide)
        || reduction::holds(batch, "silver_bromide", SilverCompound::SilverBromide)
    {
        return Err(Unfit::new(
            "chloride_reduction_recollection",
            "It holds silver bromide or iodide: dextrose reduces bromide slowly and iodide hardly at all (unverified). Send it as it is.",
        ));
    }
    Ok(())
}

pub(super) fn plan(
    situation: &Situation<'_>,
    silver: SilverRange,
    mut plan: RecoveryPlan,
    process: &'static ProcessFacts,
    notes: &mut Notes,
) -> RecoveryPlan {
    add_stage(&mut plan, situation, silver, process, notes);
    plan
}

/// Adds the reduction to a plan: doses, steps, product, what is left over.
pub(super) fn add_stage(
    plan: &mut RecoveryPlan,
    situation: &Situation<'_>,
    silver: SilverRange,
    process: &'static ProcessFacts,
    notes: &mut Notes,
) {
    notes.cite("chloride_reduction_stoichiometry");
    let (Some(lye), Some(sugar)) = (&process.reagent, &process.second_reagent) else {
        return;
    };
    let mut lye = dose_of(situation, silver, lye, LYE_PER_SILVER, notes);
    let mut sugar = dose_of(situation, silver, sugar, DEXTROSE_PER_SILVER, notes);
    let f = &facts().chloride_reduction;
    notes.cite(f.source.as_str());
    lye.solution_ml = Some(Computed::of(text::pourable_ml(
        lye.mass_g.get() * f.lye_water_ml_per_g,
    )));
    sugar.solution_ml = Some(Computed::of(text::pourable_ml(
        sugar.mass_g.get() * f.sugar_water_ml_per_g,
    )));
    reduction::set_product(plan, silver, process);
    plan.steps.extend(steps(&lye, &sugar, &mass_phrase(plan)));
    plan.reagents.push(lye);
    plan.reagents.push(sugar);
    plan.end_test = Some(reduction::end_test());
    plan.secondary_waste
        .extend(reduction::secondary_waste(LIQUOR, None));
    plan.troubles.extend(reduction::troubles());
    plan.troubles.push(trouble(
        "It froths up or grows hot as the sugar goes in",
        "Wait; stand the jug in cold water in its tray. Add no sugar and no lid until it is calm.",
    ));
    notes.warn(
        "/plan",
        Severity::Danger,
        "Lye blinds, and with ammonia or an ammonium salt over silver it makes an explosive: for trained people, never the default. Sending the washed chloride needs neither.",
    );
}

fn steps(lye: &ReagentDose, sugar: &ReagentDose, mass: &str) -> Vec<Step> {
    let water = |r: &ReagentDose| r.solution_ml.map_or(0.0, Computed::get);
    let addition = |r: &ReagentDose| Addition {
        substance: r.substance.clone(),
        mass_g: Some(r.mass_g),
        volume_ml: r.solution_ml,
    };
    let mut steps = vec![
        reduction::opening(),
        Step::new(format!(
            "Put {} of cold water in a plastic or glass jug, strew {} g of lye into it little by little while stirring, and let it cool.",
            text::volume(water(lye)),
            text::exact(lye.mass_g.get())
        ))
        .caution("Lye into cold water, never water onto lye: it boils and spits.")
        .caution("No aluminium and no zinc: lye makes hydrogen with them.")
        .done_when("The jug is no warmer than the hand."),
        Step::new("Put the damp chloride in a wide plastic or glass jug that stays two thirds empty, in a tray. Pour the cold lye over it and stir with a plastic rod.")
            .adding(addition(lye))
            .caution(reduction::NO_AMMONIA)
            .done_when("It turns brown to black, and nothing smells of ammonia."),
        Step::new(format!(
            "Dissolve {} g of dextrose in {} of warm water. Pour in a tenth of it, stir, and wait until the froth has fallen; then the next tenth, until all is in. Corn syrup does it too, but its sugar differs from make to make and no dose can be given.",
            text::exact(sugar.mass_g.get()),
            text::volume(water(sugar))
        ))
        .adding(addition(sugar))
        .caution("Sugar into the lye in portions, never all at once: it warms and froths. No lid, no flame, no heating.")
        .done_when("It is grey all through and calm, with no white or brown lumps under the rod."),
    ];
    steps.extend(reduction::closing(LIQUOR, "a lid", mass));
    text::caution_all(&mut steps, LYE);
    steps
}
