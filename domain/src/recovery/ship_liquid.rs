//! The liquid goes to a refiner as it is.

use super::draft::liquor_waste;
use super::facts::facts;
use super::plan::{RecoveryPlan, SilverRecovered};
use super::situation::{Liquor, Situation, Unfit};
use super::text;
use crate::answer::{Notes, Severity};
use crate::procedure::Step;
use crate::quantity::Computed;

pub(super) fn assess(situation: &Situation<'_>) -> Result<(), Unfit> {
    if situation.liquor == Liquor::FilmDeveloper {
        return Err(Unfit::new(
            "fixer_silver_levels",
            "A film or paper developer is not silver-rich: no refiner pays for it. It goes to a collection.",
        ));
    }
    Ok(())
}

pub(super) fn plan(
    situation: &Situation<'_>,
    mut plan: RecoveryPlan,
    notes: &mut Notes,
) -> RecoveryPlan {
    if let Some(silver) = situation.silver {
        plan.silver_recovered = Some(SilverRecovered {
            expected_g: Computed::of(silver.figure_g),
            lower_g: Computed::of(silver.lower_g),
            upper_g: Computed::of(silver.upper_g),
            expected_percent: Computed::of(100.0),
        });
    }
    let stated_mass = situation.batch.mass_kg.map(|m| m.as_f64() * 1000.0);
    let mass_g = stated_mass.or_else(|| {
        let volume_l = situation.volume_l?;
        let density = situation.batch.density_g_per_ml.map_or_else(
            || {
                let planning = &facts().planning;
                notes.assume(
                    "/plan/product/wet_g",
                    format!("{}/density_g_per_ml", situation.at),
                    planning.source.as_str(),
                    "Density 1.1 g/mL, on the heavy side, so that the freight is not underestimated.",
                );
                planning.liquid_density_g_per_ml
            },
            |d| d.as_f64(),
        );
        Some(volume_l * density * 1000.0)
    });
    plan.product.wet_g = mass_g.map(Computed::of);
    "It goes as it is to a refiner who takes liquids. All its silver goes along; what is paid for it is in the refiner's terms."
        .clone_into(&mut plan.product.next);
    plan.end_test =
        Some("The refiner has confirmed in writing that they take this liquid.".to_owned());
    plan.secondary_waste = vec![liquor_waste("rinse of the emptied container")];
    plan.steps = steps(situation);
    notes.warn(
        "/plan",
        Severity::Caution,
        "A silver liquid on the road is often hazardous waste and dangerous goods: the sender answers for the papers, the marks and the packing.",
    );
    plan
}

fn steps(situation: &Situation<'_>) -> Vec<Step> {
    let mass = situation.volume_l.map_or_else(String::new, |v| {
        format!(" It is about {} L.", text::about(v))
    });
    let mut pack = Step::new(
        "Fill a sound plastic canister made for the road to nine tenths at most, wipe it dry, and stand it in a second, leak-proof container with something that soaks up all of it.",
    )
    .caution("Nothing else goes into that canister: no second bath, no fixer into bath, no acid.");
    if situation.may_hold_solvent() {
        pack = pack.caution(
            "The bath may hold alcohol and ether with nitric acid: ask the carrier for a vented closure, never shut it up tight and warm.",
        );
    }
    if situation.liquor == Liquor::Nitrate {
        pack = pack.caution(text::SILVER_NITRATE);
    } else if situation.liquor.is_fixer() {
        pack = pack.caution(text::NEVER_ACID);
    }
    vec![
        Step::new(format!(
            "Write to the refiner: what it is, how it was made, how much, and the silver by your estimate.{mass} Ask whether they take it, how, and on what terms."
        ))
        .done_when("You have their yes in writing, with the address and the packing they want."),
        Step::new("Ask your waste authority whether it may go as material for recovery or only as hazardous waste with its papers, and ask a person trained in dangerous goods to classify it for the road.")
            .caution("Do not guess the class: acid, silver, alcohol and amount all change it.")
            .done_when("You have the class, the marks and the papers, or the name of a carrier who does it."),
        pack,
        Step::new("Label it: what is in it, the silver, the date, your name and telephone number, and the marks that the class asks for.")
            .done_when("A stranger could tell what it is and whom to call."),
        Step::new("Hand it over with its papers and keep a copy. Enter it in the silver book as sent, not as sold.")
            .done_when("The refiner has confirmed that it came."),
    ]
}
