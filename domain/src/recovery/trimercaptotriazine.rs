//! Silver trimercaptotriazine from a fixer that no alum hardened: by the atoms alone.
//!
//! 3 Ag+ + C3N3S3--- = Ag3C3N3S3.

use super::by_stoichiometry as shared;
use super::draft::{mass_phrase, trouble};
use super::facts::{ProcessFacts, facts};
use super::plan::{ProcessName, RecoveryPlan};
use super::situation::{SilverRange, Situation, Unfit};
use super::text;
use crate::answer::Notes;
use crate::chemistry::constants::{SILVER, SILVER_TRIMERCAPTOTRIAZINE, SODIUM_TRIMERCAPTOTRIAZINE};
use crate::procedure::Step;
use crate::quantity::Computed;

/// Trisodium salt that one gram of silver takes: one for three atoms.
const PER_SILVER: f64 = SODIUM_TRIMERCAPTOTRIAZINE / (3.0 * SILVER);
/// Silver in the precipitate by mass.
const SILVER_IN_PRECIPITATE: f64 = 3.0 * SILVER / SILVER_TRIMERCAPTOTRIAZINE;

pub(super) fn assess(situation: &Situation<'_>) -> Result<(), Unfit> {
    shared::assess(
        situation,
        ProcessName::TrimercaptotriazinePrecipitation,
        "Trimercaptotriazine",
        "Below it the trimercaptotriazine itself falls out and holds no silver.",
    )?;
    let alum = ["alum", "chrome_alum"];
    if situation
        .batch
        .composition
        .iter()
        .any(|part| alum.contains(&part.substance.as_str()))
    {
        return Err(Unfit::new(
            "trimercaptotriazine_patents",
            "It holds the alum of a hardening fixer, which interferes unless it is bound first; that is not planned here.",
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
    let share = SILVER_IN_PRECIPITATE;
    let Some(mut reagent) = shared::fill(
        &mut plan, situation, silver, process, PER_SILVER, share, notes,
    ) else {
        return plan;
    };
    let stock = &facts().stock;
    notes.cite(stock.source.as_str());
    let stock_ml =
        text::pourable_ml(reagent.mass_g.get() * 100.0 / stock.trimercaptotriazine_percent_w_w);
    reagent.solution_ml = Some(Computed::of(stock_ml));
    let mut steps = vec![
        shared::opening(process.name),
        Step::new(format!(
            "Have {} g of the trisodium salt ready: that is about {} of the 15 % solution in which it is sold (unverified; go by its label). Pour it into the fixer in a thin stream, stirring slowly.",
            text::exact(reagent.mass_g.get()),
            text::volume(stock_ml)
        ))
        .adding(shared::addition(&reagent))
        .caution("Goggles and gloves on: little is known of what it does to people.")
        .done_when("Yellow flocks form and gather."),
    ];
    steps.extend(shared::closing(
        "silver trimercaptotriazine",
        &mass_phrase(&plan),
    ));
    text::caution_all(&mut steps, text::NEVER_ACID);
    plan.steps = steps;
    plan.reagents.push(reagent);
    plan.end_test = Some(shared::end_test());
    plan.troubles = vec![
        trouble(
            "White or yellow flocks at once and the strip stays as it was",
            "The fixer is too acid or holds alum: the trimercaptotriazine has fallen out by itself. Add no more.",
        ),
        trouble(
            "A choking, sharp smell",
            "Sulfur dioxide: acid has got in. Leave it under extraction, keep away, add nothing.",
        ),
    ];
    plan
}
