//! Silver sulfide from an alkaline fixer: never the default, and never where acid can reach it.

use super::curve::{CURVE, Dosing};
use super::draft::{dose, fill_yield, liquor_waste, mass_phrase, trouble};
use super::facts::{ProcessFacts, facts, ph_range};
use super::floor::{Decider, set_floor};
use super::plan::{ProcessName, RecoveryPlan, SecondaryWaste};
use super::predicted::{DoseForResidual, HeadSpace};
use super::situation::{SilverRange, Situation, Unfit, short};
use super::text;
use crate::answer::{Method, Notes, Severity};
use crate::bibliography::{SourceStatus, reference};
use crate::chemistry::constants::{SILVER, SILVER_SULFIDE, SODIUM_SULFIDE_NONAHYDRATE};
use crate::chemistry::dosing::dose_for_silver;
use crate::chemistry::liquor::bring_to_ph;
use crate::chemistry::reagent::Reagent;
use crate::chemistry::species::tables;
use crate::chemistry::system::{Mixture, System};
use crate::procedure::{Addition, Step};
use crate::quantity::{Computed, Identifier};
use std::sync::LazyLock;

/// Sodium sulfide nonahydrate that one gram of silver takes: one for two atoms.
const SULFIDE_PER_SILVER: f64 = SODIUM_SULFIDE_NONAHYDRATE / (2.0 * SILVER);
/// Silver in silver sulfide by mass.
const SILVER_IN_SULFIDE: f64 = 2.0 * SILVER / SILVER_SULFIDE;

/// The smallest dose for a residual.
pub(super) const DOSE_FOR_RESIDUAL: Method = Method {
    name: "dose for a residual",
    formula: "the smallest dose of sulfide for which the solved liquor, with the silver as estimated, holds no more than the lower end of the practical residual dissolved",
    source: "equilibrium_judgement",
};

/// Hydrogen sulfide above the liquor.
pub(super) const HEAD_SPACE: Method = Method {
    name: "hydrogen sulfide in the head space",
    formula: "ppm = a(H2S) in the solved liquor / 0.101 mol/(L atm) x 1e6, in still air at 25 °C and 1 atm; the pH moved by nitric acid in the reckoning only",
    source: "sander_henry_2023",
};

/// Sodium sulfide with the water it is dissolved in, 10 mL for each gram of the nonahydrate.
static SULFIDE: LazyLock<Option<Reagent>> = LazyLock::new(|| {
    let mut sulfide = Reagent::parse("Na2S.9H2O").ok()?;
    // 240.17 g in 2402 g of water, beside that of the crystals.
    sulfide.water = sulfide.water.saturating_add(133);
    Some(sulfide)
});

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
        predict(
            &mut plan,
            situation,
            silver,
            process,
            &sulfide.substance,
            sulfide.mass_g.get(),
            notes,
        );
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
            what: "sulfide left over".into(),
            mass_g: None,
            text: "Acid makes it deadly: a jug of its own, alkaline, labelled sulfide, never with stop bath, iron developer or acid waste.".into(),
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

/// The floor at the dose of the plan, and where curves were asked for the curve, the dose that
/// reaches the practical residual and the hydrogen sulfide above the liquid.
fn predict(
    plan: &mut RecoveryPlan,
    situation: &Situation<'_>,
    silver: SilverRange,
    process: &'static ProcessFacts,
    substance: &Identifier,
    mass_g: f64,
    notes: &mut Notes,
) {
    let Some(sulfide) = SULFIDE.as_ref() else {
        return;
    };
    let advised_mol = mass_g / SODIUM_SULFIDE_NONAHYDRATE;
    set_floor(
        plan,
        situation,
        silver,
        Decider::Solid("Ag2S"),
        |mixture| mixture.add(sulfide, advised_mol),
        notes,
    );
    let (true, Ok(liquor)) = (situation.options.curves, situation.solved()) else {
        return;
    };
    let mixture = &liquor.stated.mixture;
    let exact_mol = silver.figure_g / (2.0 * SILVER);
    let dosing = Dosing {
        substance,
        reagent: sulfide,
        grams_per_mol: SODIUM_SULFIDE_NONAHYDRATE,
        stoichiometric_mol: exact_mol,
        advised_mol,
    };
    match dosing.curve(mixture) {
        Ok(curve) => {
            notes.method("/plan/dose_curve", CURVE);
            plan.dose_curve = Some(curve);
        }
        Err(why) => notes.warn("/plan", Severity::Note, why),
    }
    let target = process.residual.as_ref().map_or(1.0, |r| r.low_mg_per_l);
    let reached = dose_for_silver(
        System::at_25_c(),
        mixture,
        sulfide,
        target / 1000.0 / SILVER,
        1.5 * exact_mol,
    );
    if let Ok(point) = reached {
        notes.method("/plan/dose_for_residual", DOSE_FOR_RESIDUAL);
        plan.dose_for_residual = Some(DoseForResidual {
            target_mg_per_l: Computed::of(target),
            added_g: Computed::of(point.dose_mol * SODIUM_SULFIDE_NONAHYDRATE),
            excess_g: Computed::of(
                (point.dose_mol - exact_mol).max(0.0) * SODIUM_SULFIDE_NONAHYDRATE,
            ),
        });
    }
    let mut dosed = mixture.clone();
    dosed.add(sulfide, advised_mol);
    plan.head_space = head_space(&dosed, notes);
}

/// Hydrogen sulfide in the still air above the dosed liquid: as it is, and if its pH slips.
fn head_space(dosed: &Mixture, notes: &mut Notes) -> Vec<HeadSpace> {
    const SLIPS_TO: [f64; 3] = [8.0, 7.0, 6.0];
    let henry = &facts().hydrogen_sulfide;
    let source = henry.source.as_str();
    let status = reference(source).map_or(SourceStatus::Unverified, |r| r.status);
    let system = System::at_25_c();
    let Ok(as_it_is) = system.solve(dosed) else {
        return Vec::new();
    };
    let mut answers = vec![as_it_is];
    for ph in SLIPS_TO {
        let mut slipped = dosed.clone();
        if answers.first().is_some_and(|a| a.ph() > ph)
            && let Ok(answer) = bring_to_ph(system, &mut slipped, ph)
        {
            answers.push(answer);
        }
    }
    let t = tables();
    let Some(index) = t.species_index("H2S") else {
        return Vec::new();
    };
    notes.method("/plan/head_space", HEAD_SPACE);
    let points: Vec<HeadSpace> = answers
        .iter()
        .map(|answer| {
            let activity = answer.ln_activity.get(index).map_or(0.0, |ln| ln.exp());
            let atmospheres = activity / henry.mol_per_l_atm;
            HeadSpace {
                ph: Computed::of(answer.ph()),
                hydrogen_sulfide_ppm: Computed::of((atmospheres * 1e6).min(1e6)),
                source,
                status,
            }
        })
        .collect();
    if let (Some(first), Some(last)) = (points.first(), points.last()) {
        notes.warn(
            "/plan/head_space",
            Severity::Danger,
            format!(
                "Why the pH is held above 8 and the extraction stays on: still air above the liquid could come to about {} ppm of hydrogen sulfide at pH {}, and to {} ppm at pH {}; 100 ppm is immediately dangerous. Nothing acid may come near it.",
                text::about(first.hydrogen_sulfide_ppm.get()),
                text::about(first.ph.get()),
                text::about(last.hydrogen_sulfide_ppm.get()),
                text::about(last.ph.get())
            ),
        );
    }
    points
}

fn steps(
    substance: &Identifier,
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
