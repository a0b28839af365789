//! Silver chloride with kitchen salt: for silver nitrate, never for fixer.

use super::curve::{CURVE, Dosing};
use super::draft::{dose, fill_yield, liquor_waste, mass_phrase, trouble};
use super::facts::{ProcessFacts, facts};
use super::floor::{Decider, set_floor, silver_mg_per_kg};
use super::plan::{RecoveryPlan, SecondaryWaste, Trouble};
use super::predicted::WashLoss;
use super::situation::{Liquor, SilverRange, Situation, Unfit, short};
use super::text;
use crate::answer::{Method, Notes, Severity};
use crate::chemistry::constants::{SILVER, SILVER_IN_CHLORIDE, SODIUM_CHLORIDE};
use crate::chemistry::reagent::Reagent;
use crate::chemistry::species::Component;
use crate::chemistry::system::{Mixture, System};
use crate::procedure::{Addition, Step};
use crate::quantity::{Computed, Identifier};
use crate::substance::Group;
use std::sync::LazyLock;

/// Free chloride after salting.
pub(super) const FREE_CHLORIDE: Method = Method {
    name: "free chloride after salting",
    formula: "free chloride (mol/L) = (salt (g) / 58.43977 - silver (g) / 107.8682) / volume (L); the first addition leaves at most 0.3 mol/L with the silver at the lower end of its interval",
    source: "chloride_floor_derived",
};

/// What a washing takes along.
pub(super) const WASHING: Method = Method {
    name: "silver lost in washing",
    formula: "silver (mg) = solubility of silver chloride in clean water (solved, 25 °C) x water (L); water 10 mL for each gram of dry chloride (twice its height, unverified); the salt left from the liquor makes the first washings take less",
    source: "recovery_recollection",
};

/// Saturation index of silver chloride.
pub(super) const SATURATION: Method = Method {
    name: "saturation index of silver chloride in a fixer",
    formula: "log10 (a(Ag+) x a(Cl-) / K) in the solved fixer with the salt that its silver would take and 0.3 mol/L more; silver chloride forms from 0 up",
    source: "fixer_chloride_index_derived",
};

/// Kitchen salt with the water of its brine, 10 mL for each gram.
static BRINE: LazyLock<Option<Reagent>> = LazyLock::new(|| {
    let mut salt = Reagent::parse("NaCl").ok()?;
    // 58.44 g of salt in 584 g of water.
    salt.water = 32;
    Some(salt)
});

pub(super) fn assess(situation: &Situation<'_>) -> Result<(), Unfit> {
    if situation.liquor.is_fixer() {
        return Err(no_use_in_fixer(situation));
    }
    if situation.liquor == Liquor::FilmDeveloper {
        return Err(Unfit::new(
            "fixer_silver_levels",
            "A film or paper developer is not silver-rich, and its sulfite holds what is there. If it is the run-off of an iron developer, state iron_ii_sulfate or the craft.",
        ));
    }
    if situation.batch.states(Group::Thiourea) {
        return Err(Unfit::new(
            "recovery_recollection",
            "Thiourea holds the silver as thiosulfate does: salt cannot be relied on (unverified).",
        ));
    }
    Ok(())
}

/// Why salt does nothing in this fixer, with the number that decides.
fn no_use_in_fixer(situation: &Situation<'_>) -> Unfit {
    let fixer = &facts().fixer_chloride;
    let what = "saturation index of silver chloride";
    match situation.chloride_saturation() {
        Some(index) => Unfit::new(
            fixer.source.as_str(),
            format!(
                "The thiosulfate holds the silver: even with salt to spare, silver chloride stands at a saturation index of {} in this fixer, and it would need to be 0 or more, so salt throws nothing down.",
                text::about(index)
            ),
        )
        .with_number(what, index, Some(0.0), "")
        .by_equilibrium(),
        None => Unfit::new(
            fixer.source.as_str(),
            format!(
                "The thiosulfate holds the silver: in a usual fixer silver chloride stands at a saturation index of about {}, and it would need to be 0 or more, so salt throws nothing down.",
                short(fixer.saturation_index)
            ),
        )
        .with_number(what, fixer.saturation_index, Some(0.0), ""),
    }
}

/// The saturation index of silver chloride with salt for the silver and 0.3 mol/L to spare; none
/// where the fixer has no solved equilibrium.
pub(super) fn saturation_in_fixer(situation: &Situation<'_>) -> Option<f64> {
    let liquor = situation.solved().ok()?;
    let mut mixture = liquor.stated.mixture.clone();
    let spare = facts().planning.free_chloride_limit_mol_per_l * mixture.water_kg;
    let salt = mixture.total_mol(Component::Silver) + spare;
    mixture.add_component(Component::Sodium, salt);
    mixture.add_component(Component::Chloride, salt);
    let answer = System::at_25_c()
        .solve_from(&mixture, Some(&liquor.equilibrium))
        .ok()?;
    // Where the chloride is there, its index is zero and there is nothing to refuse with.
    answer
        .saturation_index_of("AgCl")
        .filter(|index| *index < -1e-6)
}

/// Salt for the silver, and how it is portioned.
struct Salt {
    mass_g: f64,
    /// Grams before the first test, where less than the whole.
    first_g: Option<f64>,
    /// Brine of the whole, millilitres.
    brine_ml: f64,
    /// Whether the salt is too little to weigh, so that stock brine is measured by volume.
    by_volume: bool,
}

fn portion(situation: &Situation<'_>, silver: SilverRange, wanted_g: f64) -> Salt {
    let planning = &facts().planning;
    let step = situation.scale_step_g;
    let by_volume = wanted_g < 10.0 * step;
    let (mass_g, brine_ml) = if by_volume {
        let ml = text::pourable_ml(wanted_g / planning.brine_g_per_ml);
        (ml * planning.brine_g_per_ml, ml)
    } else {
        let mass = text::weighable(wanted_g, step);
        (mass, text::pourable_ml(mass / planning.brine_g_per_ml))
    };
    let first_g = situation.volume_l.and_then(|volume_l| {
        let safe = (silver.lower_g / SILVER + planning.free_chloride_limit_mol_per_l * volume_l)
            * SODIUM_CHLORIDE;
        (mass_g > safe).then(|| {
            if by_volume {
                let ml = safe / planning.brine_g_per_ml;
                text::weighable_down(ml, 5.0).max(5.0) * planning.brine_g_per_ml
            } else {
                text::weighable_down(safe, step)
            }
        })
    });
    Salt {
        mass_g,
        first_g,
        brine_ml,
        by_volume,
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
        SILVER_IN_CHLORIDE,
        notes,
    );
    plan.product.silver_low_percent = Some(Computed::of(100.0 * SILVER_IN_CHLORIDE));
    plan.product.silver_high_percent = Some(Computed::of(100.0 * SILVER_IN_CHLORIDE));
    "Send the washed chloride, damp, to a refiner. It is not melted or burnt here, and need not be made into metal."
        .clone_into(&mut plan.product.next);

    if let Some(mut reagent) = dose(situation, silver, process, SODIUM_CHLORIDE / SILVER, notes) {
        let wanted = reagent.stoichiometric_g.get() * reagent.dose_factor.get();
        let salt = portion(situation, silver, wanted);
        reagent.mass_g = Computed::of(salt.mass_g);
        reagent.solution_ml = Some(Computed::of(salt.brine_ml));
        reagent.first_portion_g = salt.first_g.map(Computed::of);
        if let Some(volume_l) = situation.volume_l {
            notes.method("/plan/reagents", FREE_CHLORIDE);
            let free = |salt_g: f64, silver_g: f64| {
                ((salt_g / SODIUM_CHLORIDE - silver_g / SILVER) / volume_l).max(0.0)
            };
            let first = salt.first_g.unwrap_or(salt.mass_g);
            reagent.excess_mol_per_l = Some(Computed::of(free(salt.mass_g, silver.figure_g)));
            reagent.highest_excess_mol_per_l = Some(Computed::of(free(first, silver.lower_g)));
            if salt.first_g.is_some() {
                notes.warn(
                    "/plan/reagents/0",
                    Severity::Note,
                    "The silver is known so loosely that all the salt at once might leave more than 0.3 mol/L of free chloride: add the first portion, then go by the clear drop. Near 1 mol/L the chloride begins to dissolve again.",
                );
            }
        } else {
            notes.warn(
                "/plan/reagents/0",
                Severity::Note,
                "Without the volume, free chloride cannot be checked: give volume_l, and add the salt in portions with the clear drop between them.",
            );
        }
        plan.steps = steps(situation, &salt, &reagent.substance, &plan);
        predict(
            &mut plan,
            situation,
            silver,
            &salt,
            &reagent.substance,
            notes,
        );
        plan.reagents.push(reagent);
    }
    let stop = plan
        .dose_curve
        .as_ref()
        .and_then(|c| c.safe_up_to_g)
        .map_or_else(String::new, |g| {
            format!(
                " Then stop: from about {} g of salt in all, twice as much silver stays dissolved as at the dose of this plan.",
                text::about(g.get())
            )
        });
    plan.end_test = Some(format!(
        "The clear drop: let it settle, decant a little of the clear liquid, add a drop of salt water; repeat until no cloud forms.{stop}"
    ));
    plan.secondary_waste = vec![
        liquor_waste("clear liquor and washings"),
        SecondaryWaste {
            what: "filters and gloves with silver chloride".into(),
            mass_g: None,
            text: "Keep them damp with the chloride and send them along.".into(),
        },
    ];
    if situation.batch.states(Group::Cadmium) {
        plan.secondary_waste.push(SecondaryWaste {
            what: "cadmium from the iodizer, in the liquor".into(),
            mass_g: None,
            text: "Washing takes it out of the chloride; the liquor is a cadmium waste whatever its silver.".into(),
        });
    }
    plan.troubles = troubles(situation);
    plan
}

/// The floor at the dose of the plan, what the washings take along, and the curve where it was asked for.
fn predict(
    plan: &mut RecoveryPlan,
    situation: &Situation<'_>,
    silver: SilverRange,
    salt: &Salt,
    substance: &Identifier,
    notes: &mut Notes,
) {
    let Some(brine) = BRINE.as_ref() else {
        return;
    };
    let advised_mol = salt.mass_g / SODIUM_CHLORIDE;
    set_floor(
        plan,
        situation,
        silver,
        Decider::Solid("AgCl"),
        |mixture| mixture.add(brine, advised_mol),
        notes,
    );
    plan.wash_losses = wash_losses(plan, notes);
    if !situation.options.curves {
        return;
    }
    let Ok(liquor) = situation.solved() else {
        return;
    };
    let dosing = Dosing {
        substance,
        reagent: brine,
        grams_per_mol: SODIUM_CHLORIDE,
        stoichiometric_mol: silver.figure_g / SILVER,
        advised_mol,
    };
    match dosing.curve(&liquor.stated.mixture) {
        Ok(curve) => {
            notes.method("/plan/dose_curve", CURVE);
            plan.dose_curve = Some(curve);
        }
        Err(why) => notes.warn("/plan", Severity::Note, why),
    }
}

/// Silver in clean water that stands over silver chloride.
static SATURATED_MG_PER_L: LazyLock<Option<f64>> = LazyLock::new(|| {
    let mut water = Mixture::new(1.0);
    water.start_with("AgCl", 1.0).then_some(())?;
    let answer = System::at_25_c().solve(&water).ok()?;
    Some(silver_mg_per_kg(&answer))
});

/// What each of three washings with clean water takes along: silver chloride's solubility in it.
fn wash_losses(plan: &RecoveryPlan, notes: &mut Notes) -> Vec<WashLoss> {
    const WASHINGS: u8 = 3;
    let (Some(dry), Some(mg_per_l)) = (plan.product.dry_g, *SATURATED_MG_PER_L) else {
        return Vec::new();
    };
    let water_l = dry.get() * facts().planning.wash_ml_per_g / 1000.0;
    notes.method("/plan/wash_losses", WASHING);
    (1..=WASHINGS)
        .map(|washing| WashLoss {
            washing,
            water_l: Computed::of(water_l),
            silver_mg: Computed::of(mg_per_l * water_l),
        })
        .collect()
}

/// The brine that pours `grams` of salt.
fn addition(substance: &Identifier, grams: f64) -> Addition {
    Addition {
        substance: substance.clone(),
        mass_g: Some(Computed::of(grams)),
        volume_ml: Some(Computed::of(grams / facts().planning.brine_g_per_ml)),
    }
}

fn steps(
    situation: &Situation<'_>,
    salt: &Salt,
    substance: &Identifier,
    plan: &RecoveryPlan,
) -> Vec<Step> {
    let planning = &facts().planning;
    let step_g = situation.scale_step_g;
    let mut steps = Vec::new();

    let jug = situation.volume_l.map_or_else(
        || "Work in a clear or white jug or bucket that is at most two thirds full once the salt water is in.".to_owned(),
        |v| {
            format!(
                "Work in a clear or white jug or bucket of at least {} L, so that it is at most two thirds full.",
                text::about(1.5 * (v + salt.brine_ml / 1000.0))
            )
        },
    );
    let mut place = Step::new(format!(
        "{jug} Plastic or glass, no metal. Stand it in a tray that would hold a spill."
    ));
    if situation.may_hold_solvent() {
        place = place.caution(text::NO_FLAME);
    }
    steps.push(place);

    if situation.liquor == Liquor::Rinse {
        steps.push(
            Step::new("Find out what it rinsed.")
                .caution("After a cyanide fixer it is not salted: it is kept with the cyanide for a licensed contractor."),
        );
    }
    if situation.liquor != Liquor::Nitrate {
        steps.push(
            Step::new("Try it first: let it stand until the top is clear, put a spoonful of the clear liquid in a glass against something black and add one drop of salt water.")
                .done_when("A white cloud forms. If none does, there is hardly any silver in solution or there is fixer in it: stop here, salt is of no use."),
        );
    }

    steps.push(if salt.by_volume {
        let stock_g = 10.0 * step_g;
        Step::new(format!(
            "The salt needed is too little for the scale, so measure it as salt water: dissolve {} g of plain cooking salt in warm water and fill up to {}. Of this you will use {}; let it cool.",
            text::exact(stock_g),
            text::volume(stock_g / planning.brine_g_per_ml),
            text::volume(salt.brine_ml),
        ))
    } else {
        Step::new(format!(
            "Weigh out {} g of plain cooking salt and dissolve it in about {} of warm water. Let it cool.",
            text::exact(salt.mass_g),
            text::volume(salt.brine_ml),
        ))
    });

    let first = salt.first_g.unwrap_or(salt.mass_g);
    let how_much = if salt.first_g.is_some() {
        format!(
            "Pour in the first {} of the salt water ({} g of salt) and keep the rest.",
            text::volume(ml_of(first)),
            text::exact(first)
        )
    } else {
        "Pour in all of the salt water.".to_owned()
    };
    steps.push(
        Step::new(format!(
            "{how_much} Pour in a thin stream and stir all the while with a plastic or glass rod."
        ))
        .adding(addition(substance, first))
        .caution(
            "Salt water into the silver, not the other way round; no acid, no ammonia, no heat.",
        )
        .done_when("White curds form at once and the liquid turns milky."),
    );
    steps.push(
        Step::new("Stir hard for five minutes so that the curds clump. Cover loosely, put it in the dark and leave it overnight.")
            .done_when("The chloride lies at the bottom and the liquid above is clear. Grey or violet chloride is only light: it costs nothing."),
    );

    let tenth = again_g(salt, step_g);
    steps.push(
        Step::new(format!(
            "The clear drop: put a spoonful of the clear liquid in a clean glass against something black and add one drop of salt water. If it clouds, pour the spoonful back, add {} more salt water ({} g of salt), stir, let it settle and try again.",
            text::volume(ml_of(tenth)),
            text::exact(tenth),
        ))
        .adding(addition(substance, tenth))
        .caution(too_much(situation))
        .done_when("The drop leaves the liquid clear: stop adding salt."),
    );
    steps.push(
        Step::new("Decant the clear liquid through a coffee filter into a second container, leaving the chloride behind. Label it: desilvered liquor, to be tested by a laboratory, with the date.")
            .caution(text::LIQUOR)
            .caution("The liquor still holds the bath's acid and metals: ask for a plan to neutralize it before anything else is done with it."),
    );
    steps.push(
        Step::new("Wash the chloride three times: cover it with twice its height of clean water, stir, let it settle until clear, and decant the washings through the same filter into the liquor.")
            .done_when("The third washing leaves pH paper as clean water does. Each washing takes only a milligram or two of silver per litre."),
    );
    steps.push(
        Step::new(format!(
            "Tip the chloride into the coffee filter and let it drain. {}",
            mass_phrase(plan)
        ))
        .caution("Never put ammonia or hypo on it: ammonia and silver make an explosive.")
        .caution("Do not dry the filters by heat or in the sun: paper that soaked up nitrate burns fiercely. Keep them damp."),
    );
    steps.push(
        Step::new("Put the damp chloride with its filters into a wide plastic tub with a lid. Label it: silver chloride, washed, damp; the name of this container; the date; the weight.")
            .caution("Never melt it, burn it or heat it with anything here.")
            .done_when("It is weighed and in the silver book: send it to the refiner with the next lot."),
    );
    if situation.liquor == Liquor::Nitrate {
        text::caution_all(&mut steps, text::SILVER_NITRATE);
    } else {
        text::caution_all(
            &mut steps,
            "Goggles and gloves on, eye rinse within reach: it may hold silver nitrate, which burns the eyes and stains the skin.",
        );
    }
    steps
}

fn ml_of(salt_g: f64) -> f64 {
    text::pourable_ml(salt_g / facts().planning.brine_g_per_ml)
}

/// What to add again when the drop still clouds: about a tenth, in an amount that can be poured.
fn again_g(salt: &Salt, step_g: f64) -> f64 {
    let tenth = salt.mass_g / 10.0;
    if salt.by_volume {
        text::pourable_ml(tenth / facts().planning.brine_g_per_ml) * facts().planning.brine_g_per_ml
    } else {
        text::weighable(tenth, step_g)
    }
}

fn too_much(situation: &Situation<'_>) -> String {
    let trouble = facts().planning.free_chloride_trouble_mol_per_l;
    situation.volume_l.map_or_else(
        || "More salt than the drop asks for does harm: strong salt water dissolves the chloride again.".to_owned(),
        |v| {
            format!(
                "More salt than the drop asks for does harm: from about {} g too much in this volume the chloride dissolves again.",
                text::about(trouble * v * SODIUM_CHLORIDE)
            )
        },
    )
}

fn troubles(situation: &Situation<'_>) -> Vec<Trouble> {
    let mut troubles = vec![
        trouble(
            "No cloud at the first salt",
            "There is fixer in it, or hardly any silver. Add no more salt; treat it as fixer.",
        ),
        trouble(
            "It stays milky after a night",
            "Stir hard again for five minutes and give it another night. Do not add acid to clear it.",
        ),
        trouble(
            "It still clouds after twice the salt",
            "There is more silver than the estimate says. Stop, measure again and ask for a new plan.",
        ),
        trouble(
            "Yellow instead of white",
            "Bromide or iodide from the collodion or the paper: it is silver all the same and stays with the chloride.",
        ),
        trouble(
            "Brown or black as the salt goes in",
            "There is ammonia, alkali or developer in it. Stop and add nothing. If it smells of ammonia, treat it as ammoniacal silver: into plenty of salt water today, never dried, never kept.",
        ),
    ];
    if situation.liquor == Liquor::PlateDeveloper {
        troubles.push(trouble(
            "Grey or black sediment before any salt is in",
            "Silver that the developer has reduced already. It stays with the chloride.",
        ));
    }
    if situation.may_hold_solvent() {
        troubles.push(trouble(
            "A smell of ether",
            "Open the windows, put out every flame, and let it air before going on.",
        ));
    }
    troubles
}
