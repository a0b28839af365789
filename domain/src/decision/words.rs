//! The decision in words: the reason with its figures, what to do, and what would change it.

use super::Circumstances;
use super::decide::{Case, is_loss, largest_charge};
use super::limits::LimitKind;
use super::result::{Decision, LotAction};
use crate::batch::{BatchKind, BatchStatus};
use crate::quantity::{Date, SignedAmount};
use crate::valuation::{
    Market, PreparedLot, Valuation, ValuationOutcome, price_words, silver_words,
};
use std::cmp::Ordering;

/// Fills in the verdict, the reason, what to do and what would change the answer, and puts the
/// chosen alternative first.
pub(super) fn explain(
    verdict: LotAction,
    decision: &mut Decision,
    case: &Case<'_>,
    lot: &PreparedLot<'_>,
    market: &Market<'_>,
    valuation: &Valuation,
    circumstances: &Circumstances<'_>,
) {
    decision.verdict = verdict;
    decision.alternatives.sort_by(|a, b| {
        let rank = |x: &super::Alternative| (x.action == verdict && x.possible, x.possible);
        rank(b).cmp(&rank(a)).then(match (a.net, b.net) {
            (Some(x), Some(y)) => y.cmp(&x),
            (Some(_), None) => Ordering::Less,
            (None, Some(_)) => Ordering::Greater,
            (None, None) => a.action.cmp(&b.action),
        })
    });
    decision.reason = reason(verdict, decision, case, valuation, circumstances);
    decision.act = act(verdict, decision, lot, valuation, circumstances.on);
    decision.what_would_change = changes(decision, case, lot, market, valuation, circumstances);
    not_chosen(verdict, decision);
}

fn reason(
    verdict: LotAction,
    decision: &Decision,
    case: &Case<'_>,
    valuation: &Valuation,
    circumstances: &Circumstances<'_>,
) -> String {
    let chosen = decision
        .alternatives
        .first()
        .filter(|a| a.action == verdict)
        .map_or("", |a| a.reason.as_str());
    let text = match verdict {
        LotAction::MeasureFirst => measure_reason(decision, valuation),
        LotAction::Hold => hold_reason(decision, case, circumstances, chosen),
        LotAction::Send if case.settlement.is_some_and(|s| is_loss(s.net)) => {
            format!("{chosen} It is still the cheapest way to be rid of it.")
        }
        LotAction::HaulAway => {
            let sending = case
                .settlement
                .map_or_else(String::new, |s| format!(" {}", s.statement));
            format!("{chosen}{sending}")
        }
        _ => chosen.to_owned(),
    };
    let time_up = decision
        .latest
        .as_ref()
        .filter(|l| l.on <= circumstances.on)
        .map_or_else(String::new, |l| format!(" Waiting is not open: {}", l.text));
    format!("{text}{time_up}")
}

fn measure_reason(decision: &Decision, valuation: &Valuation) -> String {
    match (
        &valuation.outcome,
        decision.chance_of_gain_percent,
        valuation.silver,
    ) {
        (ValuationOutcome::ValueUnknown { reasons, .. }, ..) => format!(
            "What the lot is worth is not known, and unknown is not nothing. {}",
            reasons.join(" ")
        ),
        (_, Some(chance), Some(silver)) => format!(
            "The odds of gaining by sending are {:.0} in 100, and the silver, {}, is known only to {:.0} g: one good reading may turn the answer.",
            chance.get(),
            silver_words(silver.silver_g.get()),
            silver.standard_uncertainty_g.get()
        ),
        _ => "A container of the lot has no figure for its silver.".to_owned(),
    }
}

fn hold_reason(
    decision: &Decision,
    case: &Case<'_>,
    circumstances: &Circumstances<'_>,
    chosen: &str,
) -> String {
    let cannot_tell = circumstances.fill_rate_g_per_month.is_none();
    let Some(settlement) = case.settlement else {
        return format!("The refiner does not take the lot as it is. {chosen}");
    };
    if !is_loss(settlement.net) {
        let until = decision.economic_interval.map_or_else(String::new, |e| {
            format!(
                " Shipping costs least every {:.1} months, at {} each time.",
                e.interval_months.get(),
                silver_words(e.silver_g.get())
            )
        });
        return format!("{chosen}{until}");
    }
    if let (true, Some(day)) = (cannot_tell, decision.look_again_on) {
        return format!(
            "{} Every way out costs money today. Held until {day} at the latest, because of a limit: say how fast silver gathers, to tell whether waiting pays.",
            settlement.statement
        );
    }
    if cannot_tell {
        return format!(
            "{} Every way out costs money today and no limit known here forces one yet: ask your waste authority how long you may keep it, and say how fast silver gathers.",
            settlement.statement
        );
    }
    let pays = match case.break_even_on {
        Some(day) if decision.latest.as_ref().is_none_or(|l| day <= l.on) => {
            format!("At the rate it gathers, sending pays for itself from {day}.")
        }
        Some(day) => format!(
            "At the rate it gathers, sending would pay for itself only from {day}, after the latest day; but a bigger lot spreads the charges."
        ),
        None => "At the rate it gathers, sending never pays for itself; but a bigger lot spreads the charges.".to_owned(),
    };
    format!("{} {pays} {chosen}", settlement.statement)
}

fn act(
    verdict: LotAction,
    decision: &Decision,
    lot: &PreparedLot<'_>,
    valuation: &Valuation,
    on: Date,
) -> Vec<String> {
    match verdict {
        LotAction::Send => {
            let mut act: Vec<String> = match &valuation.outcome {
                ValuationOutcome::Accepted(s) => s.conditions.iter().map(|c| c.text.clone()).collect(),
                _ => Vec::new(),
            };
            act.push("Ask the refiner and the carrier what they accept, then pack, label and weigh it.".to_owned());
            act
        }
        LotAction::Hold => {
            let mut act = vec!["Keep it closed, labelled, dated and where it cannot be knocked over.".to_owned()];
            if let Some(day) = decision.look_again_on {
                act.push(format!("Look again on {day}."));
            }
            act
        }
        LotAction::HaulAway => {
            let mut act = vec!["Call a licensed haulier and say what is in it.".to_owned()];
            if let Some(day) = decision.call_by_on {
                act.push(if day > on {
                    format!("Call by {day}.")
                } else {
                    "Call today.".to_owned()
                });
            }
            act
        }
        LotAction::MeasureFirst => lot
            .batches
            .iter()
            .filter(|b| b.estimate.figure().is_none() || valuation.silver.is_some())
            .map(|b| format!("{}: {}", b.batch.id, how_to_measure(b.batch.kind)))
            .collect(),
        LotAction::RecoverHere => vec!["Work through the plan for this way of recovery, step by step; keep the liquid until a laboratory has tested it.".to_owned()],
        LotAction::Restore => vec!["Follow the steps for restoring it.".to_owned()],
        LotAction::ActToday => Vec::new(),
    }
}

const fn how_to_measure(kind: BatchKind) -> &'static str {
    match kind {
        BatchKind::SensitizingBath | BatchKind::Drip => {
            "titrate a sample, or weigh the dry silver chloride that 25 mL gives"
        }
        BatchKind::Fixer | BatchKind::BleachFix => {
            "a strip gives bounds; a laboratory assay of a stirred sample gives a figure"
        }
        kind if kind.is_liquid() => "a laboratory assay of a stirred sample",
        _ => "weigh it and have a sample assayed",
    }
}

fn changes(
    decision: &Decision,
    case: &Case<'_>,
    lot: &PreparedLot<'_>,
    market: &Market<'_>,
    valuation: &Valuation,
    circumstances: &Circumstances<'_>,
) -> Vec<String> {
    let mut list = Vec::new();
    let code = market.price.currency;
    if let Some(settlement) = case.settlement {
        let loses = is_loss(settlement.net);
        if let Some(price) = settlement.break_even.price {
            let words = price_words(price.amount.decimal(), price.currency, price.per);
            list.push(if loses {
                format!("A silver price above {words} would make sending pay.")
            } else {
                format!("A silver price below {words} would make sending cost money.")
            });
        }
        match settlement.break_even.silver_g {
            Some(silver) if loses => list.push(format!(
                "Sending pays from {} of silver in a lot of this mass.",
                silver_words(silver.get())
            )),
            None => list.push("No amount of silver pays at this price and these terms.".to_owned()),
            _ => {}
        }
        if let Some(swing) = swing(settlement.sensitivity.as_slice(), code.code()) {
            list.push(swing);
        }
        if loses {
            if let Some((label, amount)) = largest_charge(settlement) {
                list.push(format!(
                    "The largest charge is {label}, {code} {amount}: ask for terms without it, or send together with another studio and share it."
                ));
            }
            if circumstances.recovery_offers.is_empty() {
                list.push("Recovering the silver to a small, concentrated form first may meet other terms: add ways of recovery to compare.".to_owned());
            }
        }
    }
    if valuation.haulage.is_none() {
        list.push("A haulier's price, to compare with.".to_owned());
    }
    if circumstances.fill_rate_g_per_month.is_none() {
        list.push(
            "How fast silver gathers, to tell when sending pays and whether holding does."
                .to_owned(),
        );
    } else if circumstances.holding_cost_per_month.is_none() {
        list.push("What holding the lot costs in a month, to tell how often to ship.".to_owned());
    }
    let only_possible = decision
        .latest
        .as_ref()
        .is_some_and(|l| l.set_by == LimitKind::PossibleStorageClock);
    if only_possible {
        list.push("How much other hazardous waste arises on the site in the month: it decides whether the storage clock runs.".to_owned());
    }
    if decision.latest.is_none() {
        list.push(
            "A storage limit: none is known here, and your waste authority may set one.".to_owned(),
        );
    }
    let bath_of_unknown_status = lot.batches.iter().any(|b| {
        b.batch.kind == BatchKind::SensitizingBath && b.batch.status != Some(BatchStatus::InUse)
    });
    if bath_of_unknown_status {
        list.push(
            "If the bath is still at work (status `in_use`), restoring it is compared too."
                .to_owned(),
        );
    }
    list
}

/// Says so when the ends of the estimate's interval fall on both sides of zero.
fn swing(rows: &[crate::valuation::PriceRow], code: &str) -> Option<String> {
    let row = rows.iter().find(|r| r.price_change_percent.get() == 0.0)?;
    let upper: SignedAmount = row.net_upper?;
    (is_loss(row.net_lower) && !is_loss(upper)).then(|| {
        format!(
            "A better reading of the silver: at the lower end of its interval sending nets {code} {}, at the upper end {code} {upper}.",
            row.net_lower
        )
    })
}

/// Adds to every alternative that was not chosen how it compares.
fn not_chosen(verdict: LotAction, decision: &mut Decision) {
    let best = decision
        .alternatives
        .first()
        .filter(|a| a.action == verdict && a.possible)
        .and_then(|a| a.net);
    let code = decision.currency;
    for (i, alternative) in decision.alternatives.iter_mut().enumerate() {
        if i == 0 && alternative.action == verdict {
            continue;
        }
        if let (Some(best), Some(net), true) = (best, alternative.net, alternative.possible)
            && net < best
            && let Some(gap) = best.decimal().checked_sub(net.decimal())
        {
            alternative.reason.push_str(&format!(
                " That is {code} {} worse than to {}.",
                SignedAmount::rounded(gap, code),
                verdict.words()
            ));
        }
    }
}
