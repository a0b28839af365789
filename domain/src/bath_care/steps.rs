//! The procedure of bath care, as a person follows it.

use super::build_up::figure;
use super::facts::{facts, number};
use super::request::BathAcid;
use super::result::{BathAcidDose, BathBicarbonate, BathTopUp};
use crate::procedure::{Addition, Step};
use crate::quantity::{ComputedGrams, ComputedMillilitres, Identifier};

const GOGGLES: &str = "Goggles, gloves, and water for the eyes within reach: silver nitrate burns the eyes and stains.";
const NO_FLAME: &str = "No flame, spark or smoking near it: a used collodion bath gives off ether and alcohol vapour. Out of doors or at an open window.";
const NO_AMMONIA: &str =
    "Never ammonia and never lye: silver with ammonia can explode as it stands.";
const NO_HEAT: &str = "Never heat or boil it, and never close it tight: gas must get out.";

/// What the procedure is made of.
pub(super) struct Plan<'a> {
    /// Whether it goes into the sun.
    pub sun: bool,
    pub bicarbonate: Option<&'a BathBicarbonate>,
    pub top_up: Option<&'a BathTopUp>,
    pub acid: Option<&'a BathAcidDose>,
    /// Whether alcohol and ether must go off first.
    pub air: bool,
    /// Whether collodion plates went through it.
    pub collodion: bool,
}

fn solid(name: &str, g: f64) -> Option<Addition> {
    Some(Addition {
        substance: Identifier::new(name).ok()?,
        mass_g: Some(ComputedGrams::of(g)),
        volume_ml: None,
    })
}

fn liquid(name: &str, ml: f64) -> Option<Addition> {
    Some(Addition {
        substance: Identifier::new(name).ok()?,
        mass_g: None,
        volume_ml: Some(ComputedMillilitres::of(ml)),
    })
}

fn adding(step: Step, addition: Option<Addition>) -> Step {
    match addition {
        Some(a) => step.adding(a),
        None => step,
    }
}

/// The steps in order.
pub(super) fn steps(plan: &Plan<'_>) -> Vec<Step> {
    let mut out = vec![filter_first(plan.collodion)];
    if plan.air {
        out.push(air());
    }
    if plan.sun {
        match plan.bicarbonate {
            Some(dose) => out.extend(sun_with_bicarbonate(dose)),
            None => out.push(sun_as_it_is()),
        }
        out.push(
            Step::new("Filter again; keep the filter wet, closed and with the other silver waste: the dark sediment is silver.")
                .caution(GOGGLES)
                .caution("Never dry or burn the filter: paper soaked in nitrate burns fiercely.")
                .done_when("Clear against the light."),
        );
    }
    if let Some(top_up) = plan.top_up {
        out.extend(strengthen(top_up));
    }
    if let Some(acid) = plan.acid {
        out.push(re_acidify(acid));
    }
    out.push(
        Step::new("Try a plate or a print, and write down the day, the strength, the pH and what went in.")
            .done_when("It is clean, without fog."),
    );
    out
}

fn filter_first(collodion: bool) -> Step {
    let step = Step::new("Filter the bath through cotton or paper into a clean glass bottle; keep the filter wet and closed, it holds silver.")
        .caution(GOGGLES);
    let step = if collodion {
        step.caution(NO_FLAME)
    } else {
        step
    };
    step.done_when("No specks against the light.")
}

fn air() -> Step {
    Step::new("Let alcohol and ether go off cold: stand the bath out of doors in a wide glass dish under a loose cloth, away from people, flame and sparks, for some days.")
        .caution(NO_FLAME)
        .caution(NO_HEAT)
        .done_when("It no longer smells of ether, it wets the plate evenly, and the alcohol measured again is below the limit.")
}

fn sun_with_bicarbonate(dose: &BathBicarbonate) -> Vec<Step> {
    let percent = dose.solution_percent_w_v.get();
    let ml = dose.solution_ml.get();
    let most = dose.range_g.upper.map_or(ml, |g| 100.0 * g.get() / percent);
    let sign = if dose.stopped_by_silver_carbonate {
        "A faint white or grey haze stays for a minute: that is silver carbonate. Stop there, however much is left."
    } else {
        "pH paper reads about 6.5, or a faint haze stays. Stop there, however much is left."
    };
    // A few millilitres are told in drops.
    let portions = if ml < 5.0 {
        format!(
            "about {} drops ({} mL) of it, a drop at a time",
            drops(ml),
            figure(ml)
        )
    } else {
        format!("about {} mL of it in ten portions", figure(ml))
    };
    let drip = Step::new(format!(
        "Dissolve {} g of bicarbonate in 100 mL of distilled water. Give the bath {portions}, stirring; wait a minute and read the pH after each.",
        figure(percent)
    ))
    .caution(GOGGLES)
    .caution(NO_AMMONIA)
    .caution(format!(
        "The pH as read leaves the dose open up to {} mL: the haze tells you, not the figure. More only takes silver out, about {} g of silver nitrate for each gram of bicarbonate.",
        figure(most),
        figure(dose.silver_nitrate_lost_per_gram_more_g.get())
    ))
    .done_when(sign);
    vec![
        adding(drip, solid("sodium_bicarbonate", dose.bicarbonate_g.get())),
        sun("Stand the bottle, loosely covered, in full sun out of doors for one to three days."),
    ]
}

fn sun(action: &'static str) -> Step {
    Step::new(action)
        .caution(NO_FLAME)
        .caution(NO_HEAT)
        .done_when("A dark sediment has settled and the liquid above is clear.")
}

fn sun_as_it_is() -> Step {
    sun(
        "Without bicarbonate: stand the bath as it is, acid and loosely covered, in full sun out of doors for some days. It works more slowly.",
    )
    .caution(NO_AMMONIA)
}

fn strengthen(top_up: &BathTopUp) -> Vec<Step> {
    let mut out = Vec::new();
    let grams = top_up.silver_nitrate_g.get();
    let water = top_up.water_ml.get();
    if water > 0.0 {
        let step = Step::new(format!(
            "Make up what has been lost with {} mL of distilled water.",
            figure(water)
        ))
        .caution(GOGGLES)
        .done_when(format!(
            "The volume is {} L.",
            figure(top_up.full_volume_l.get())
        ));
        out.push(adding(step, liquid("water", water)));
    }
    if grams > 0.0 {
        let step = Step::new(format!(
            "Stir in {} g of silver nitrate, which brings the bath to {} % w/v.",
            figure(grams),
            figure(top_up.target_strength_percent_w_v.get())
        ))
        .caution(GOGGLES)
        .done_when("All has dissolved. If the bath was filtered or sunned since it was measured, measure again first.");
        out.push(adding(step, solid("silver_nitrate", grams)));
    }
    out
}

fn re_acidify(dose: &BathAcidDose) -> Step {
    let name = match dose.acid {
        BathAcid::NitricAcid => "nitric_acid_dilute",
        BathAcid::AceticAcid => "acetic_acid",
    };
    let step = Step::new(format!(
        "Cold, drop in {} diluted to {} % w/v: about {} mL, that is some {} drops. Add a third of it, stir, read the pH, and go on a drop at a time.",
        dose.acid.words(),
        figure(dose.acid_percent_w_v.get()),
        figure(dose.volume_ml.get()),
        dose.drop_count
    ))
    .caution("Dilute and cold only: strong acid never goes into a bath that holds alcohol or ether. Acid into water when you dilute it, never water into acid.")
    .caution(GOGGLES)
    .done_when(format!(
        "pH paper reads about {}. Stop there, however much is left.",
        figure(dose.target_ph.get())
    ));
    adding(step, liquid(name, dose.volume_ml.get()))
}

/// Drops in so much liquid, at least one.
pub(super) fn drops(volume_ml: f64) -> u64 {
    let drops = (volume_ml / number(&facts().drop_ml)).ceil();
    // Held to what a person would ever count.
    drops.clamp(1.0, 1e6) as u64
}
