//! Washed silver chloride to metal: what its three ways have in common. The silver stays in the
//! solid whatever becomes of it, so nothing but fines is lost.

use super::draft::{liquor_waste, middle_share, set_mass, trouble};
use super::facts::{ProcessFacts, facts};
use super::plan::{RecoveryPlan, SecondaryWaste, SilverRecovered, Trouble};
use super::situation::{Liquor, SilverRange, Situation, Unfit, short};
use super::text;
use crate::batch::{Batch, BatchKind, Component};
use crate::estimate::{Evidence, SilverCompound};
use crate::procedure::Step;
use crate::quantity::{Computed, Identifier};
use crate::substance::{Group, substance};
use std::borrow::Cow;

/// Ammonia over silver.
pub(super) const NO_AMMONIA: &str = "No ammonia and no ammonium salt anywhere near: with silver and lye they make an explosive. At a smell of ammonia stop, flood it with plenty of cold salt water the same hour, and never let it dry.";

const CHLORIDE: &str = "silver_chloride";

/// Whether the batch is washed silver chloride, the only thing that these ways work on.
pub(super) fn washed_chloride_only(situation: &Situation<'_>) -> Result<(), Unfit> {
    let batch = situation.batch;
    if situation.liquor.is_fixer() {
        return Err(Unfit::new(
            "house_rule",
            "It works on washed silver chloride. This is a fixer, from which no silver chloride falls.",
        ));
    }
    if situation.liquor != Liquor::Solid {
        return Err(Unfit::new(
            "house_rule",
            "It works on washed silver chloride, and this is a liquid: salt it first. The way of silver chloride, then silver metal, does the one after the other.",
        ));
    }
    if batch.kind != BatchKind::Sludge {
        return Err(Unfit::new(
            "house_rule",
            "It works on washed silver chloride, a sludge, and on nothing else: it goes to the refiner as it is.",
        ));
    }
    if holds(batch, "silver_sulfide", SilverCompound::SilverSulfide) {
        return Err(Unfit::new(
            "house_rule",
            "It holds silver sulfide: neither sugar nor metal brings the silver out of that here, and acid may free hydrogen sulfide, which kills.",
        ));
    }
    if !holds(batch, CHLORIDE, SilverCompound::SilverChloride) {
        return Err(Unfit::new(
            "house_rule",
            "It works on washed silver chloride, and nothing says that this is any: state silver_chloride in its composition, or weigh it as silver_chloride.",
        ));
    }
    Ok(())
}

/// Whether the composition or a weighing names this compound.
pub(super) fn holds(batch: &Batch, id: &str, compound: SilverCompound) -> bool {
    batch.composition.iter().any(|c| c.substance.as_str() == id)
        || batch
            .evidence
            .iter()
            .any(|e| matches!(e, Evidence::WeighedSolid(s) if s.compound == Some(compound)))
}

/// The washed chloride that a salted batch leaves, as the rules of pouring see it. Washing takes out
/// what dissolves; ammonia and ammonium are kept, because over silver a trace of them may kill.
pub(super) fn washed_chloride_of(batch: &Batch) -> Batch {
    let mut washed = Batch::named(batch.id.clone(), BatchKind::Sludge);
    washed.composition = batch
        .composition
        .iter()
        .filter(|part| {
            substance(&part.substance).is_none_or(|s| s.is(Group::Ammonia) || s.is(Group::Ammonium))
        })
        .cloned()
        .collect();
    washed
        .composition
        .extend(Identifier::new(CHLORIDE).ok().map(Component::named));
    washed
}

/// Sets the silver that comes out, which is all that went in, and the sponge.
pub(super) fn set_product(
    plan: &mut RecoveryPlan,
    silver: SilverRange,
    process: &'static ProcessFacts,
) {
    plan.silver_recovered = Some(SilverRecovered {
        expected_g: Computed::of(silver.figure_g),
        lower_g: Computed::of(silver.lower_g),
        upper_g: Computed::of(silver.upper_g),
        expected_percent: Computed::of(100.0),
    });
    set_mass(plan, process, silver.figure_g, middle_share(process));
    "Send the washed sponge, damp. What was not reduced stays in it as chloride, so its silver is not lost but its purity is. It is not melted here."
        .clone_into(&mut plan.product.next);
}

/// The first step of all three ways.
pub(super) fn opening() -> Step {
    Step::new("Be sure that it is washed silver chloride, still damp, and that no fixer, cyanide, sulfide, ammonia or ammonium salt is in it: read in the silver book what it was salted out of, and read the label of the iodizer.")
        .caution(NO_AMMONIA)
        .done_when("pH paper in the last washing reads as clean water does. If you cannot be sure, send the chloride as it is.")
}

/// How to see that no chloride is left.
pub(super) fn end_test() -> String {
    let f = &facts().chloride_reduction;
    let milligrams = f.strip_g_per_l * f.test_hypo_ml;
    format!(
        "Grey all through, no white when a lump is crushed. Then rinse about {} g of the sponge, shake it five minutes with {} mL of plain hypo solution and dip a test strip: below {} g/L, less than about {} mg of that silver was still chloride. Never test with ammonia.",
        short(f.test_sponge_g),
        short(f.test_hypo_ml),
        short(f.strip_g_per_l),
        short(milligrams)
    )
}

/// Testing, decanting, washing and keeping the sponge.
pub(super) fn closing(liquor: &str, lid: &str, mass: &str) -> Vec<Step> {
    vec![
        Step::new(format!("See that it is done. {}", end_test()))
            .caution("The spoonful with hypo goes into the fixer jug, never back.")
            .done_when("The strip stays as it is. If it does not, stir, give it more time and test again."),
        Step::new(format!(
            "Let it settle and decant the liquid through a coffee filter into a second container with a vented cap. Label it: {liquor}, to be tested by a laboratory, with the date."
        ))
        .caution(text::LIQUOR),
        Step::new("Wash the sponge: cover it with twice its height of clean water, stir, let it settle, decant through the same filter into the liquor, and again.")
            .done_when("pH paper in the washing reads as clean water does: neutral. It takes five washings or more."),
        Step::new(format!(
            "Drain the sponge in the filter and keep it damp in a tub with {lid}. {mass} Label it: silver sponge, washed, damp, the date, the weight."
        ))
        .caution(NO_AMMONIA)
        .caution("Never melt it or heat it here.")
        .done_when("It is weighed and in the silver book: send it to the refiner with the next lot."),
    ]
}

/// What every way leaves.
pub(super) fn secondary_waste(
    liquor: impl Into<Cow<'static, str>>,
    metal: Option<(&str, f64)>,
) -> Vec<SecondaryWaste> {
    let mut waste = vec![
        liquor_waste(liquor),
        SecondaryWaste {
            what: "filters and gloves with silver".into(),
            mass_g: None,
            text: "Keep them damp with the sponge and send them along.".into(),
        },
    ];
    waste.extend(metal.map(|(name, mass_g)| SecondaryWaste {
        what: format!("{name} dissolved in the liquor, at the least").into(),
        mass_g: Some(Computed::of(mass_g)),
        text: format!("A sewer authority may limit {name}.").into(),
    }));
    waste
}

/// What goes wrong in all three ways.
pub(super) fn troubles() -> Vec<Trouble> {
    vec![
        trouble(
            "A smell of ammonia",
            "Stop and add nothing more. Flood it with plenty of cold salt water, outdoors; wash it away from every ammonium salt the same day, never let it dry, never shut it. If any black crust has dried, do not touch it: leave and call the fire service.",
        ),
        trouble(
            "Yellow lumps stay among the grey",
            "Bromide or iodide from the collodion or the paper. It is silver all the same: leave it in and tell the refiner.",
        ),
        trouble(
            "White lumps stay",
            "Chloride under a skin of silver. Crush them with a plastic rod, stir, and wait.",
        ),
    ]
}
