//! The plan as a person follows it.

use super::acid_base::{data, ph_after};
use super::acids::Acids;
use super::result::{DoseRange, NeutralizationPlan, PhPoint, PhWindow};
use super::{Base, BatchDose, STAGES, Wish};
use crate::answer::{Notes, Severity};
use crate::batch::Batch;
use crate::chemistry::system::CarbonDioxide;
use crate::procedure::{Addition, Step};
use crate::quantity::{ComputedGrams, ComputedLitres, ComputedMoles, ComputedPh, Identifier};
use crate::waste::classification::LegalDuty;
use crate::waste::rule_set::When;

/// Points on the way that a plan lists.
const PATH_POINTS: u32 = 10;

/// Words and numbers of the plan for a dose.
pub(super) fn write_plan(
    batch: &Batch,
    wish: &Wish,
    acids: &Acids,
    dose: &BatchDose,
    volume_l: f64,
    notes: &mut Notes,
) -> NeutralizationPlan {
    notes.method("/steps", STAGES);
    let grams = |mol: f64| mol * dose.molar;
    let liquor = acids.liquor();
    let gas = wish.carbon_dioxide;
    let ph_path: Vec<PhPoint> = (0..=PATH_POINTS)
        .map(|i| {
            let share = f64::from(i) / f64::from(PATH_POINTS);
            let added = dose.mol * share;
            PhPoint {
                added_g: ComputedGrams::of(grams(added)),
                ph: ComputedPh::of(ph_after(&liquor, dose.base, added / volume_l, gas)),
            }
        })
        .collect();
    let litres = dose.gas_mol * data().carbon_dioxide.litres_per_mol;
    if wish.carbon_dioxide == CarbonDioxide::Closed && dose.base.carbon_per_mol > 0.0 {
        notes.warn(
            "/carbon_dioxide",
            Severity::Danger,
            "A closed jug with acid and a carbonate bursts. This reckoning is for comparison only: work in the open.",
        );
    }
    NeutralizationPlan {
        refusal: None,
        base: wish.base,
        base_g: Some(ComputedGrams::of(grams(dose.mol))),
        base_95_g: Some(DoseRange {
            lower: ComputedGrams::of(grams(dose.range_mol.0)),
            upper: ComputedGrams::of(grams(dose.range_mol.1)),
        }),
        base_mol: Some(ComputedMoles::of(dose.mol)),
        carbon_dioxide_released_mol: Some(ComputedMoles::of(dose.gas_mol)),
        carbon_dioxide_released_l: Some(ComputedLitres::of(litres)),
        carbon_dioxide: wish.carbon_dioxide,
        start_ph: ph_path.first().map(|p| p.ph),
        target_ph: Some(ComputedPh::of(dose.target_ph)),
        ph_window: Some(PhWindow {
            lower: ComputedPh::of(dose.window.0),
            upper: ComputedPh::of(dose.window.1),
        }),
        ph_after_dose: None,
        order: Some("Always the base into the acid liquid, slowly, in portions; never the acid into the base.".to_owned()),
        ph_path,
        stop_points: Vec::new(),
        temperature_rise_c: None,
        temperature_rise_status: None,
        left_out: Vec::new(),
        validity: None,
        least_container_l: Some(ComputedLitres::of(2.0 * volume_l)),
        head_space_l: None,
        steps: steps(batch, wish.base, dose, volume_l, litres),
        duties: wish
            .rules
            .duty
            .iter()
            .filter(|d| matches!(d.when, When::Neutralization | When::Sewer))
            .map(|d| LegalDuty {
                text: d.text.clone(),
                keep_for: None,
                authority: d.rule.clone(),
            })
            .collect(),
    }
}

fn steps(batch: &Batch, base: Base, dose: &BatchDose, volume_l: f64, gas_l: f64) -> Vec<Step> {
    let grams = |mol: f64| mol * dose.molar;
    let (low, high) = (grams(dose.range_mol.0), grams(dose.range_mol.1));
    let first = 0.8 * low.min(grams(dose.mol));
    let portion = grams(dose.mol) / 20.0;
    let name = base.words();
    let add = |g: f64| {
        Identifier::new(base.substance())
            .ok()
            .map(|substance| Addition {
                substance,
                mass_g: Some(ComputedGrams::of(g)),
                volume_ml: None,
            })
    };
    let with = |step: Step, g: f64| match add(g) {
        Some(addition) => step.adding(addition),
        None => step,
    };
    let mut start = Step::new(format!(
        "Put on goggles and gloves, have an eye rinse at hand, and work outdoors or at an open window. Put the liquid in an open container that holds at least {:.1} L.",
        2.0 * volume_l
    ))
    .caution("Never in a closed container: the gas bursts it.");
    if gas_l > 0.0 {
        start = start.caution(format!(
            "About {gas_l:.0} L of carbon dioxide comes off: it foams, and in a closed room it takes the air."
        ));
    }
    let mut weigh = Step::new(format!(
        "Weigh out {high:.1} g of {name}. The stated acids ask for {:.1} g; the rest is for what is not known exactly.",
        grams(dose.mol)
    ));
    if base == Base::SodiumHydroxide {
        weigh = weigh
            .caution("Lye blinds and gets hot: dissolve it first, the lye into ten times its mass of cold water, a little at a time.");
    }
    vec![
        start,
        weigh,
        with(
            Step::new(format!(
                "Add the first {first:.1} g to the acid liquid, in portions of about {portion:.1} g, stirring."
            )),
            first,
        )
        .caution("Always the base into the acid, never the acid into the base. Wait after each portion until the foam has gone.")
        .done_when("The foam of the last portion has gone."),
        with(
            Step::new(format!(
                "Go on in portions of about {portion:.1} g; stir, wait a minute and read the pH after each."
            )),
            high - first,
        )
        .done_when(format!(
            "The pH is between {:.1} and {:.1}. Stop there, however much is left.",
            dose.window.0, dose.window.1
        )),
        Step::new(format!(
            "If all {high:.1} g are in and the pH is still below {:.1}: stop. Something else is in the liquid; ask before adding more.",
            dose.window.0
        )),
        Step::new(
            "Leave it open, or under a cap that vents, for a day; then read the pH once more, for it rises as the last gas leaves.",
        )
        .caution("Never shut a freshly neutralized jug."),
        Step::new(format!(
            "Label it ({}, neutralized, with the date). What it now is, and where it may go, a laboratory and the authority say.",
            batch.id
        ))
        .caution("Nothing here is permission to discharge."),
    ]
}
