//! What is refused before any dose is worked out.

use super::Base;
use crate::batch::{Batch, BatchKind};
use crate::estimate::Estimate;
use crate::procedure::Refusal;
use crate::substance::Group;
use crate::waste::contents::{holds_silver, implied_groups};
use crate::waste::pour::{Act, call, check_act_on};

/// Silver above which a liquid counts as bearing silver whatever its kind, g/L: the toxicity limit
/// of 5 mg/L.
const SILVER_G_PER_L: f64 = 0.005;

pub(super) fn refusal(reason: impl Into<String>, never: &[&str], instead: &[&str]) -> Refusal {
    let own = |list: &[&str]| list.iter().map(|s| (*s).to_owned()).collect();
    Refusal {
        reason: reason.into(),
        never: own(never),
        instead: own(instead),
        call: call(),
    }
}

/// Every block of the house, gravest first.
pub(super) fn check(batch: &Batch, base: Base, estimate: Option<&Estimate>) -> Result<(), Refusal> {
    let contents = implied_groups(batch);
    check_act_on(batch, &contents, Act::Neutralize)?;
    let words = batch.kind.words();
    if !batch.kind.is_liquid() || batch.kind == BatchKind::CollodionOrSolvent {
        return Err(refusal(
            format!("{words}: only a watery liquid is neutralized here."),
            &["Never sprinkle a base on a solid or into a solvent to make it safe."],
            &["Have it tested, or send it for collection as it is."],
        ));
    }
    if let Some(name) = contents.unknown().first() {
        return Err(refusal(
            format!(
                "`{name}` is not a substance we know: neutralizing it is not known to be safe."
            ),
            &["Never add anything to a liquid of unknown contents."],
            &[
                "Find out what it holds and state it in the composition, or send it for collection as it is.",
            ],
        ));
    }
    let measured = estimate
        .and_then(|e| e.silver_g_per_l)
        .is_some_and(|c| c.get() >= SILVER_G_PER_L);
    if holds_silver(batch, &contents) || measured {
        return Err(refusal(
            format!(
                "This {words} holds silver: a base drops it as a mud that is hard to recover, hydroxide can start fulminating silver, and the exemption for neutralizing never covers a silver bath."
            ),
            &[
                "Never add hydroxide to a liquid that holds silver.",
                "Never add ammonia to a liquid that holds silver.",
            ],
            &[
                "Take the silver out as chloride first: salt water, settle, decant, until a drop of salt water makes no cloud.",
                "Then ask again for the clear liquor, with its status as treated: bicarbonate, in stages.",
            ],
        ));
    }
    if base == Base::SodiumHydroxide
        && (contents.holds(Group::Ammonium) || contents.holds(Group::Ammonia))
    {
        return Err(refusal(
            "Hydroxide on an ammonium salt sets ammonia gas free.",
            &["Never add hydroxide to a liquid that holds ammonium."],
            &["Use sodium bicarbonate."],
        ));
    }
    let eats_base = [
        Group::IronTwo,
        Group::Ferric,
        Group::Copper,
        Group::Chromium,
        Group::Cadmium,
    ]
    .into_iter()
    .find_map(|g| contents.source_of(g));
    if let Some(metal) = eats_base {
        return Err(refusal(
            format!(
                "{} ({}) takes up base and falls out as sludge: no dose is worked out, and the sludge is a waste of its own.",
                metal.group.words(),
                metal.from
            ),
            &["Never pour the sludge or the liquor away untested."],
            &["Send it for collection as it is, or ask a licensed contractor."],
        ));
    }
    Ok(())
}
