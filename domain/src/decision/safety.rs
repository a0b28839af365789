//! What outranks money: dangerous storage, and what only a licensed contractor takes.

use super::alternatives::haul;
use super::result::{Alternative, Decision, LotAction};
use crate::answer::{Notes, Severity};
use crate::quantity::Currency;
use crate::valuation::{Constituent, PreparedLot, Valuation};

/// A decision with nothing decided.
pub(super) fn blank(lot: &PreparedLot<'_>, currency: Currency) -> Decision {
    Decision {
        lot: lot.id.clone(),
        verdict: LotAction::MeasureFirst,
        reason: String::new(),
        act: Vec::new(),
        never: Vec::new(),
        currency,
        alternatives: Vec::new(),
        break_even: None,
        break_even_on: None,
        latest: None,
        limits: Vec::new(),
        call_by_on: None,
        look_again_on: None,
        economic_interval: None,
        shipping_plan: Vec::new(),
        chance_of_gain_percent: None,
        what_would_change: Vec::new(),
        restore: None,
    }
}

/// Acting today, where keeping any batch of the lot is dangerous. Money is not asked.
pub(super) fn act_today(
    lot: &PreparedLot<'_>,
    currency: Currency,
    notes: &mut Notes,
) -> Option<Decision> {
    let mut decision = blank(lot, currency);
    decision.verdict = LotAction::ActToday;
    let mut reasons = Vec::new();
    for part in &lot.batches {
        let Some(danger) = &part.danger else {
            continue;
        };
        reasons.push((&part.batch.id, danger.warning()));
        for (list, more) in [
            (&mut decision.act, &danger.act),
            (&mut decision.never, &danger.never),
        ] {
            for text in more {
                if !list.contains(text) {
                    list.push(text.clone());
                }
            }
        }
    }
    if reasons.is_empty() {
        return None;
    }
    decision.reason = match reasons.as_slice() {
        // A lot of one container needs no name before its reason.
        [(_, reason)] if lot.batches.len() == 1 => reason.clone(),
        _ => reasons
            .iter()
            .map(|(id, reason)| format!("{id}: {reason}"))
            .collect::<Vec<_>>()
            .join(" "),
    };
    notes.warn("/verdict", Severity::Danger, decision.reason.clone());
    Some(decision)
}

const CALL: &str = "Call a licensed waste contractor and say what is in it.";

/// What is done about a cyanide, wherever it is spoken of.
pub(crate) const CYANIDE_ACT: [&str; 2] = [
    CALL,
    "Until then keep it closed, alkaline, labelled, locked away and apart from every acid.",
];

/// What is never done to a cyanide.
pub(crate) const CYANIDE_NEVER: [&str; 2] = [
    "Never let acid, acid fixer, stop bath or iron developer near it: hydrogen cyanide is deadly.",
    "Never recover, titrate, plate, bleach or \"kill\" it here.",
];

const CONTRACTOR_ONLY: [Constituent; 3] = [
    Constituent::Cyanide,
    Constituent::Mercury,
    Constituent::Chromate,
];

fn named(lot: &PreparedLot<'_>, constituents: &[Constituent]) -> Vec<String> {
    constituents
        .iter()
        .filter_map(|c| {
            let holders: Vec<&str> = lot
                .batches
                .iter()
                .filter(|b| b.holds(*c))
                .map(|b| b.batch.id.as_str())
                .collect();
            (!holders.is_empty()).then(|| format!("{} in {}", c.words(), holders.join(", ")))
        })
        .collect()
}

/// Whether the lot holds what nobody but a licensed contractor may touch: nothing is recovered from it.
pub(super) fn is_for_a_contractor(lot: &PreparedLot<'_>) -> bool {
    !named(lot, &CONTRACTOR_ONLY).is_empty()
}

/// Hauling away by a licensed contractor, where the lot holds what nobody else may touch. Returns
/// whether that is so.
pub(super) fn contractor_only(
    lot: &PreparedLot<'_>,
    valuation: &Valuation,
    decision: &mut Decision,
    notes: &mut Notes,
) -> bool {
    let found = named(lot, &CONTRACTOR_ONLY);
    if found.is_empty() {
        return false;
    }
    let cyanide = lot.batches.iter().any(|b| b.batch.counts_as_cyanide());
    let mut haul = haul(valuation, decision.currency);
    let presumed = if cyanide {
        " A fixer of unstated type in a collodion studio counts as cyanide until it is shown to be thiosulfate."
    } else {
        ""
    };
    decision.verdict = LotAction::HaulAway;
    decision.reason = format!(
        "The lot holds {}: only a licensed contractor takes it, whatever its silver is worth.{presumed} {}",
        found.join(" and "),
        haul.reason
    );
    if cyanide {
        decision.act = CYANIDE_ACT.map(str::to_owned).to_vec();
        decision.never = CYANIDE_NEVER.map(str::to_owned).to_vec();
        notes.warn(
            "/verdict",
            Severity::Danger,
            "Cyanide: a licensed contractor only; acid near it sets free hydrogen cyanide.",
        );
    } else {
        decision.act.push(CALL.to_owned());
        decision
            .act
            .push("Until then keep it closed, labelled and in its own container.".to_owned());
        decision
            .never
            .push("Never pour it together with other silver waste.".to_owned());
    }
    haul.reason.push_str(" Chosen: nothing else is open.");
    let closed = "Only a licensed contractor takes this.";
    decision.alternatives = vec![
        haul,
        Alternative::closed(LotAction::Send, closed),
        Alternative::closed(LotAction::RecoverHere, closed),
        Alternative::closed(
            LotAction::Hold,
            "It may wait for the contractor, closed and apart, and for nothing else.",
        ),
    ];
    if cyanide {
        decision.what_would_change.push(
            "If the fixer is plain thiosulfate, say so in its composition: the answer is then worked out anew.".to_owned(),
        );
    }
    true
}

/// Why no silver is recovered here, where the lot holds what belongs in a jug of its own.
pub(super) fn bars_recovery(lot: &PreparedLot<'_>) -> Option<String> {
    let found = named(
        lot,
        &[
            Constituent::Cyanide,
            Constituent::Mercury,
            Constituent::Chromate,
            Constituent::Lead,
            Constituent::Selenium,
            Constituent::Ammonia,
        ],
    );
    (!found.is_empty()).then(|| {
        format!(
            "It holds {}: no silver is recovered from it here; keep it apart for a collection.",
            found.join(" and ")
        )
    })
}
