//! Iron wool: for fixer. Iron dissolves, silver stays; one bucket or two in series.

use super::draft::{dose, fill_yield, liquor_waste, mass_phrase, middle_share, trouble};
use super::facts::{ProcessFacts, facts, ph_range};
use super::floor::{Metal, set_metal};
use super::plan::{ProcessName, ReagentDose, RecoveryPlan, SecondaryWaste, Trouble};
use super::situation::{Liquor, SilverRange, Situation, Unfit, short};
use super::text;
use crate::answer::{Notes, Severity};
use crate::chemistry::constants::{IRON, SILVER};
use crate::chemistry::system::{MetalInContact, Mixture};
use crate::procedure::{Addition, Step};
use crate::quantity::{Computed, Identifier};

/// Iron that one gram of silver takes: one atom for two.
pub(super) const IRON_PER_SILVER: f64 = IRON / (2.0 * SILVER);

pub(super) fn assess(situation: &Situation<'_>) -> Result<(), Unfit> {
    if !situation.liquor.is_fixer() {
        return Err(Unfit::new(
            "common_practice",
            "Iron wool is for fixer. In a silver nitrate liquid the acid eats it with heat and hydrogen, and silver coats it before it can work: salt does it better.",
        ));
    }
    situation.too_acid(
        ProcessName::MetallicReplacement,
        "Acid eats the wool and makes hydrogen. Never make it less acid by adding anything to a fixer without a plan.",
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
    "Send the sludge wet, under water, in a vented tub. It holds 30 to 50 % silver when dry, and a refiner may pay little for it; never dry it to find out."
        .clone_into(&mut plan.product.next);
    let stages = if process.name == ProcessName::MetallicReplacementTwoStage {
        notes.cite("replacement_series_rule");
        2
    } else {
        1
    };
    if let Some(one) = dose(situation, silver, process, IRON_PER_SILVER, notes) {
        let all = in_stages(one.clone(), stages);
        let mut steps = opening(situation);
        steps.extend(wool_steps(&one, stages));
        steps.extend(closing(&mass_phrase(&plan), stages));
        text::caution_all(&mut steps, text::NEVER_ACID);
        plan.steps = steps;
        set_iron(&mut plan, situation, silver, &all.substance, |_| {}, notes);
        plan.reagents.push(all);
    }
    warn(situation, notes);
    plan.end_test = Some(end_test(stages));
    plan.secondary_waste = secondary_waste(situation, silver);
    plan.troubles = troubles();
    plan
}

/// The floor of iron wool, and the iron that goes into the liquor; `change` makes the fixer as it is
/// when the wool goes in.
pub(super) fn set_iron(
    plan: &mut RecoveryPlan,
    situation: &Situation<'_>,
    silver: SilverRange,
    wool: &Identifier,
    change: impl Fn(&mut Mixture),
    notes: &mut Notes,
) {
    let seen = format!(
        " Up to {} mg/L has been seen.",
        short(facts().replacement.iron_mg_per_l_most)
    );
    let metal = Metal {
        metal: MetalInContact::Fe,
        substance: wool,
        name: "iron",
        limit: &seen,
    };
    set_metal(plan, situation, silver, metal, change, notes);
}

fn in_stages(mut reagent: ReagentDose, stages: u8) -> ReagentDose {
    reagent.mass_g = Computed::of(reagent.mass_g.get() * f64::from(stages));
    reagent.dose_factor = Computed::of(reagent.dose_factor.get() * f64::from(stages));
    reagent
}

fn warn(situation: &Situation<'_>, notes: &mut Notes) {
    notes.warn(
        "/plan",
        Severity::Danger,
        "Iron wool makes hydrogen in use and heats itself as it dries: vented, away from flames, never dried.",
    );
    if situation.liquor == Liquor::BleachFix {
        notes.warn(
            "/plan/reagents",
            Severity::Caution,
            "The bleach in a bleach-fix eats iron too: expect to use more wool than the silver alone takes.",
        );
    }
    if situation.batch.ph.is_none()
        && let Some(range) = ph_range(ProcessName::MetallicReplacement)
    {
        notes.assume(
            "/plan/steps",
            format!("{}/ph", situation.at),
            range.source.as_str(),
            format!(
                "The pH was not given: the steps begin by checking that it is {} to {} (unverified).",
                short(range.low),
                short(range.high.unwrap_or(range.low))
            ),
        );
    }
}

fn opening(situation: &Situation<'_>) -> Vec<Step> {
    let (low, high) = ph_range(ProcessName::MetallicReplacement)
        .map_or((4.0, 6.5), |r| (r.low, r.high.unwrap_or(6.5)));
    let bucket = situation.volume_l.map_or_else(
        || "a plastic bucket that it fills to two thirds at most".to_owned(),
        |v| format!("a plastic bucket of at least {} L", text::about(1.5 * v)),
    );
    vec![
        Step::new("Be sure that it is hypo fixer and not cyanide: read the label of what it was made from.")
            .caution("If you are not sure, treat it as cyanide: keep it closed and alkaline, add nothing, call a licensed contractor.")
            .done_when("The label names sodium or ammonium thiosulfate."),
        Step::new("Dip pH paper in the fixer.").done_when(format!(
            "It reads {} to {}. Below {}: stop, acid eats the wool and makes hydrogen. Above {} it works slowly: allow more time.",
            short(low),
            short(high),
            short(low),
            short(high)
        )),
        Step::new(format!(
            "Stand {bucket} outdoors or by an open window, with a lid that breathes (drill a few holes, or tie a cloth over it)."
        ))
        .caution(text::HYDROGEN),
    ]
}

/// The soaking, one stage after the other; `one` is the wool of one stage.
pub(super) fn wool_steps(one: &ReagentDose, stages: u8) -> Vec<Step> {
    let wool = text::exact(one.mass_g.get());
    let mut steps = vec![
        Step::new(format!(
            "Weigh out {wool} g of plain steel wool (no soap in it, not stainless). Wash the oil off with warm water and a drop of dish soap, rinse, pull it apart and lay it loosely in the bucket, wet."
        ))
        .caution(text::NEVER_DRY),
        Step::new("Pour the fixer gently over the wool until it is covered.")
            .adding(wool_addition(&one.substance, one.mass_g.get()))
            .caution(text::HYDROGEN)
            .done_when("A few bubbles, the wool darkens. Froth, warmth or a sharp smell: see what goes wrong, below."),
        Step::new("Leave it one to three days under the lid that breathes. Stir gently once or twice a day with a plastic rod, and top up with fixer or water so that the wool stays under.")
            .caution(text::NEVER_DRY)
            .done_when("A clean scrap of copper or a test strip dipped in for a minute stays as it is. That shows less than about 0.5 g/L (unverified), no more than that."),
    ];
    if stages > 1 {
        steps.push(
            Step::new(format!(
                "Set up a second bucket with another {wool} g of fresh wet wool in the same way, and decant the fixer from the first onto it. Leave it one to three days, stirring as before."
            ))
            .adding(wool_addition(&one.substance, one.mass_g.get()))
            .caution(text::HYDROGEN)
            .caution(text::NEVER_DRY)
            .done_when("The strip or the copper stays as it is after the first bucket too. If it greys after the first, the first wool is spent: it goes to the refiner and the second takes its place."),
        );
    }
    steps
}

fn wool_addition(substance: &Identifier, mass_g: f64) -> Addition {
    Addition {
        substance: substance.clone(),
        mass_g: Some(Computed::of(mass_g)),
        volume_ml: None,
    }
}

/// Decanting, and keeping the sludge; `mass` says how much to expect.
pub(super) fn closing(mass: &str, stages: u8) -> Vec<Step> {
    let buckets = if stages > 1 {
        "both buckets"
    } else {
        "the bucket"
    };
    vec![
        Step::new("Decant the liquid through a coffee filter into a jug with a vented cap. Label it: desilvered fixer with iron, to be tested by a laboratory, with the date.")
            .caution(text::LIQUOR)
            .caution("It holds iron, up to 3,000 mg/L, and rusts brown as it stands: that is no sign of silver or of none."),
        Step::new(format!(
            "Gather the dark sludge and what is left of the wool from {buckets} in a plastic tub, rinse once with water (the rinse goes into the liquor), and cover it with water. {mass}"
        ))
        .caution(text::NEVER_DRY),
        Step::new("Close the tub with a lid that vents, label it: iron and silver sludge, wet, never dry, the date, the weight. Send it with the next lot.")
            .caution(text::HYDROGEN)
            .done_when("It is weighed with its tub and water, and in the silver book. Once a week see that the water still covers it."),
    ]
}

/// The end test of one or two stages.
fn end_test(stages: u8) -> String {
    let after = if stages > 1 { "the second" } else { "the" };
    format!(
        "A test strip or a clean scrap of copper stays as it is for a minute in the liquid after {after} bucket. It shows about 0.5 g/L at best (unverified): only a laboratory can say more."
    )
}

/// What iron wool leaves behind.
pub(super) fn secondary_waste(
    situation: &Situation<'_>,
    silver: SilverRange,
) -> Vec<SecondaryWaste> {
    let most = facts().replacement.iron_mg_per_l_most;
    let range = situation.volume_l.map_or(String::new(), |v| {
        format!(
            " In this volume that would be up to {} g.",
            text::about(most * v / 1000.0)
        )
    });
    vec![
        liquor_waste("desilvered fixer"),
        SecondaryWaste {
            what: "iron dissolved in the liquor, at the least".into(),
            mass_g: Some(Computed::of(silver.figure_g * IRON_PER_SILVER)),
            text: format!(
                "The silver alone brings this much into solution; up to {} mg/L has been seen.{range} A sewer authority may limit iron.",
                short(most)
            ).into(),
        },
    ]
}

/// What goes wrong with iron wool.
pub(super) fn troubles() -> Vec<Trouble> {
    vec![
        trouble(
            "Froth, warmth, many bubbles",
            "The fixer is too acid. Leave the lid off, keep flames away, stand back and let it calm down; do not add anything.",
        ),
        trouble(
            "A choking, sharp smell",
            "Sulfur dioxide: acid has got in. Leave it outdoors, keep upwind, add nothing.",
        ),
        trouble(
            "A smell of rotten eggs",
            "It has stood too long and sulfides. Air the place, leave it uncovered outdoors, and call for advice before going near again.",
        ),
        trouble(
            "Rust-brown flakes and a hole through the wool",
            "The wool stood in air. Put it under liquid again; use fresh wool for what is left of the fixer.",
        ),
        trouble(
            "The strip still shows silver after three days",
            "The wool is spent or coated. Decant onto fresh wool.",
        ),
        trouble(
            "Sludge or wool is warm or steams",
            "It is drying and heating itself. Flood it with water, outdoors; keep away from anything that burns.",
        ),
    ]
}
