//! Putting it together: safety, then what is unknown, then money.

use super::alternatives::{haul, held, interval, recover, send};
use super::chance::{CHANCE, chance_of_gain};
use super::choose::choose;
use super::limits::{DAYS_PER_MONTH, limits, whole_days};
use super::restore::{Restored, is_working_bath, restore};
use super::result::{Alternative, Decision, LotAction, PlannedShipment};
use super::shipping::{ECONOMIC_LOT, SHIPPING_PLAN, shipping_plan};
use super::{Circumstances, safety, words};
use crate::answer::{Method, Notes, Severity};
use crate::fault::{Fault, Faults};
use crate::quantity::{ComputedGrams, ComputedPercent, Date, SignedAmount, TROY_OUNCE_G};
use crate::valuation::defaults::defaults;
use crate::valuation::{
    LineItem, Load, Market, NetModel, PreparedLot, Settlement, Valuation, ValuationOutcome,
    lot_load, price_per_ozt,
};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;

pub(super) const DECISION: Method = Method {
    name: "decision on a lot",
    formula: "safety first, then what must be measured, then the way that leaves most money; holding counts this silver's part of the net of the later, bigger lot less the cost of holding, and only while nothing dangerous is stored and no limit has run out",
    source: "house_rule",
};

pub(super) const BREAK_EVEN_DAY: Method = Method {
    name: "day break-even is reached",
    formula: "first day on which silver now + fill rate x time nets zero or more, mass and volume growing in step with the silver; 30.4375 days to a month",
    source: "house_rule",
};

/// Most months ahead that break-even is looked for.
const HORIZON_MONTHS: u32 = 600;
/// How long holding is looked at where nothing else ends it.
const USUAL_HOLD_MONTHS: f64 = 12.0;
/// The longest that holding is looked at.
const LONGEST_HOLD_MONTHS: f64 = 36.0;

pub(super) fn f(value: Decimal) -> f64 {
    value.to_f64().unwrap_or_default()
}

pub(super) fn is_loss(amount: SignedAmount) -> bool {
    amount.decimal() < Decimal::ZERO
}

/// What is worked out of an estimated lot before anything is decided.
pub(super) struct Case<'a> {
    pub load: Option<Load>,
    pub settlement: Option<&'a Settlement>,
    pub model: Option<NetModel>,
    pub price: f64,
    /// The day break-even is reached at the fill rate.
    pub break_even_on: Option<Date>,
}

/// Decides on a lot whose silver has been estimated and valued.
///
/// Dangerous storage means acting today, and money is not asked; cyanide, mercury and chromate go
/// to a licensed contractor. A lot without a figure is measured first, unless its time is up. Then
/// the way with the best net is taken; holding is taken where every way out costs money and waiting
/// makes it cost less, or where the economic interval has not passed.
/// `at` is the lot's own place in the request.
///
/// # Errors
/// Mixed currencies, lists that are too long, and figures too large for exact money.
pub fn decide_lot(
    lot: &PreparedLot<'_>,
    at: &str,
    market: &Market<'_>,
    valuation: &Valuation,
    circumstances: &Circumstances<'_>,
    notes: &mut Notes,
) -> Result<Decision, Faults> {
    Faults::none_of(circumstances.faults(market))?;
    notes.method("/verdict", DECISION);
    if let Some(decision) = safety::act_today(lot, market.price.currency, notes) {
        return Ok(decision);
    }
    let case = case(lot, at, market, valuation, circumstances, notes)?;
    let volume = case
        .load
        .as_ref()
        .and_then(|l| l.volume_l)
        .or_else(|| valuation.volume_l.and_then(|v| v.to_decimal().ok()));
    let silver_g = valuation.silver.map(|s| s.silver_g.get());
    let mut decision = Decision {
        limits: limits(lot, volume, silver_g, circumstances, notes),
        ..safety::blank(lot, market.price.currency)
    };
    decision.latest = decision.limits.first().cloned();
    call_by(&mut decision, valuation, circumstances, notes);
    if safety::contractor_only(lot, valuation, &mut decision, notes) {
        return Ok(decision);
    }

    decision.break_even = case.settlement.map(|s| s.break_even.clone());
    decision.break_even_on = case.break_even_on;
    let chance = chance(&case, valuation, circumstances, notes);
    decision.chance_of_gain_percent = chance.map(chance_percent);
    rhythm(&case, &mut decision, market, circumstances, notes);

    let mut alternatives = vec![send(valuation), haul(valuation, market.price.currency)];
    let restored = offer_restoring(lot, &case, market, circumstances, &mut alternatives, notes)?;
    offer_recovery(
        lot,
        &case,
        market,
        valuation,
        circumstances,
        &mut alternatives,
        notes,
    )?;
    let look_again_on = look_again_on(&case, &decision, circumstances);
    let hold = holding(
        lot,
        &case,
        &decision,
        look_again_on,
        market,
        circumstances,
        at,
    )?;
    alternatives.push(hold);
    if let Some(restored) = restored {
        decision.restore = Some(restored.plan);
    }
    decision.alternatives = alternatives;

    let verdict = choose(
        &decision,
        &case,
        valuation,
        chance,
        circumstances,
        at,
        notes,
    );
    if verdict == LotAction::Hold {
        decision.look_again_on = look_again_on;
    }
    words::explain(
        verdict,
        &mut decision,
        &case,
        lot,
        market,
        valuation,
        circumstances,
    );
    Ok(decision)
}

fn case<'a>(
    lot: &PreparedLot<'_>,
    at: &str,
    market: &Market<'_>,
    valuation: &'a Valuation,
    circumstances: &Circumstances<'_>,
    notes: &mut Notes,
) -> Result<Case<'a>, Faults> {
    let load = match &valuation.silver {
        Some(silver) => Some(lot_load(lot, silver, market.terms, at, notes)?),
        None => None,
    };
    let settlement = match &valuation.outcome {
        ValuationOutcome::Accepted(s) => Some(s.as_ref()),
        _ => None,
    };
    let price = price_per_ozt(market.price).map_or(0.0, f);
    let model = match (&load, settlement) {
        (Some(load), Some(_)) => Some(NetModel::new(load, market.terms)),
        _ => None,
    };
    let mut case = Case {
        load,
        settlement,
        model,
        price,
        break_even_on: None,
    };
    case.break_even_on = break_even_on(&case, circumstances);
    if case.break_even_on.is_some() {
        notes.method("/break_even_on", BREAK_EVEN_DAY);
    }
    Ok(case)
}

/// The first day on which the growing lot nets zero or more, by months and then by days.
fn break_even_on(case: &Case<'_>, circumstances: &Circumstances<'_>) -> Option<Date> {
    let (model, load) = (case.model?, case.load.as_ref()?);
    if case.settlement.is_some_and(|s| !is_loss(s.net)) {
        return Some(circumstances.on);
    }
    let now = f(load.silver_g);
    let rate = circumstances.fill_rate_g_per_month?.as_f64();
    if rate <= 0.0 || now <= 0.0 {
        return None;
    }
    let gains = |months: f64| {
        let later = now + rate * months;
        model.net(later / f(TROY_OUNCE_G), case.price, later / now) >= 0.0
    };
    let month = (1..=HORIZON_MONTHS).find(|m| gains(f64::from(*m)))?;
    let (mut low, mut high) = (f64::from(month) - 1.0, f64::from(month));
    for _ in 0..12 {
        let middle = 0.5 * (low + high);
        if gains(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(
        circumstances
            .on
            .plus_days(whole_days((high * DAYS_PER_MONTH).ceil())),
    )
}

fn call_by(
    decision: &mut Decision,
    valuation: &Valuation,
    circumstances: &Circumstances<'_>,
    notes: &mut Notes,
) {
    let Some(latest) = &decision.latest else {
        return;
    };
    let lead = valuation
        .haulage
        .as_ref()
        .and_then(|h| h.lead_time_day_count);
    decision.call_by_on = lead.map(|days| latest.on.plus_days(i64::from(days).saturating_neg()));
    if latest.on < circumstances.on {
        notes.warn(
            "/latest",
            Severity::Caution,
            format!(
                "The latest day was {}: {} Act now and tell your waste authority if it asks.",
                latest.on, latest.text
            ),
        );
    } else if let Some(day) = decision.call_by_on.filter(|d| *d <= circumstances.on) {
        let text = if day == circumstances.on {
            "Today is the last day to call the haulier: it needs what is left until the latest day."
        } else {
            "The haulier needs longer than is left until the latest day: call today."
        };
        notes.warn("/call_by_on", Severity::Caution, text);
    }
}

fn spread(circumstances: &Circumstances<'_>, notes: &mut Notes) -> f64 {
    match circumstances.price_spread_percent {
        Some(given) => given.as_f64() / 100.0,
        None => {
            let figure = &defaults().price_spread_percent;
            notes.assume(
                "/chance_of_gain_percent",
                format!("{}/price_spread_percent", circumstances.at),
                &figure.source,
                format!(
                    "Standard deviation of the silver price until settlement: {}.",
                    figure.words()
                ),
            );
            f(figure.value) / 100.0
        }
    }
}

fn chance(
    case: &Case<'_>,
    valuation: &Valuation,
    circumstances: &Circumstances<'_>,
    notes: &mut Notes,
) -> Option<f64> {
    let (model, silver) = (case.model?, valuation.silver?);
    notes.method("/chance_of_gain_percent", CHANCE);
    let ounce = f(TROY_OUNCE_G);
    Some(chance_of_gain(
        &model,
        silver.silver_g.get() / ounce,
        silver.standard_uncertainty_g.get() / ounce,
        case.price,
        spread(circumstances, notes),
    ))
}

/// The chance in percent, to a tenth: the spread of the price behind it supports no more.
fn chance_percent(chance: f64) -> ComputedPercent {
    ComputedPercent::of((1000.0 * chance).round() / 10.0)
}

fn rhythm(
    case: &Case<'_>,
    decision: &mut Decision,
    market: &Market<'_>,
    circumstances: &Circumstances<'_>,
    notes: &mut Notes,
) {
    let (Some(model), Some(load)) = (case.model, &case.load) else {
        return;
    };
    let silver = f(load.silver_g);
    if silver <= 0.0 {
        return;
    }
    decision.economic_interval = interval(model.fixed_cost(), silver, None, market, circumstances);
    if decision.economic_interval.is_some() {
        notes.method("/economic_interval", ECONOMIC_LOT);
        notes.assume(
            "/economic_interval",
            format!("{}/holding_cost_per_month", circumstances.at),
            "house_rule",
            "The cost of holding is taken to grow in step with the silver held.",
        );
    }
    if circumstances.expected_fill_g.is_empty() {
        return;
    }
    let Some(holding) = circumstances.holding_cost_per_month else {
        notes.warn(
            "/shipping_plan",
            Severity::Note,
            "No shipping plan: say what holding the lot costs in a month.",
        );
        return;
    };
    let mut gathered: Vec<f64> = circumstances
        .expected_fill_g
        .iter()
        .map(|g| g.as_f64())
        .collect();
    if let Some(first) = gathered.first_mut() {
        // What is there already can go with the first month's shipment.
        *first += silver;
    }
    notes.method("/shipping_plan", SHIPPING_PLAN);
    let plan = shipping_plan(
        &gathered,
        &[model.fixed_cost()],
        &[f(holding.decimal()) / silver],
    );
    decision.shipping_plan = plan
        .shipped
        .iter()
        .enumerate()
        .filter(|(_, amount)| **amount > 0.0)
        .map(|(i, amount)| PlannedShipment {
            ships_on: circumstances
                .on
                .plus_days(whole_days((i as f64 + 1.0) * DAYS_PER_MONTH)),
            silver_g: ComputedGrams::of(*amount),
        })
        .collect();
}

fn offer_restoring(
    lot: &PreparedLot<'_>,
    case: &Case<'_>,
    market: &Market<'_>,
    circumstances: &Circumstances<'_>,
    alternatives: &mut Vec<Alternative>,
    notes: &mut Notes,
) -> Result<Option<Restored>, Fault> {
    if !is_working_bath(lot) {
        return Ok(None);
    }
    let Some(load) = &case.load else {
        alternatives.push(Alternative::open(
            LotAction::Restore,
            None,
            "The bath is at work, but its silver is not known: measure its strength first.",
        ));
        return Ok(None);
    };
    let gross = market.price.value_of(load.silver_g).unwrap_or_default();
    Ok(
        match restore(
            lot,
            load,
            market,
            gross,
            circumstances.restore,
            circumstances.at,
            notes,
        )? {
            Ok(restored) => {
                alternatives.push(Alternative::open(
                    LotAction::Restore,
                    Some(restored.net),
                    restored.reason.clone(),
                ));
                Some(restored)
            }
            Err(refusal) => {
                alternatives.push(Alternative::closed(LotAction::Restore, refusal.reason));
                None
            }
        },
    )
}

fn offer_recovery(
    lot: &PreparedLot<'_>,
    case: &Case<'_>,
    market: &Market<'_>,
    valuation: &Valuation,
    circumstances: &Circumstances<'_>,
    alternatives: &mut Vec<Alternative>,
    notes: &mut Notes,
) -> Result<(), Fault> {
    for (i, offer) in circumstances.recovery_offers.iter().enumerate() {
        let place = format!("{}/recovery_offers/{i}", circumstances.at);
        let mut alternative = match (safety::bars_recovery(lot), &case.load) {
            (Some(reason), _) => Alternative::closed(LotAction::RecoverHere, reason),
            (None, Some(load)) => {
                recover(offer, load, market, valuation, circumstances, &place, notes)?
            }
            (None, None) => Alternative::open(
                LotAction::RecoverHere,
                None,
                "What it would bring is not known before the silver is measured.",
            ),
        };
        alternative.name = Some(offer.name.to_string());
        alternatives.push(alternative);
    }
    Ok(())
}

fn holding(
    lot: &PreparedLot<'_>,
    case: &Case<'_>,
    decision: &Decision,
    look_again_on: Option<Date>,
    market: &Market<'_>,
    circumstances: &Circumstances<'_>,
    at: &str,
) -> Result<Alternative, Fault> {
    if let Some(latest) = &decision.latest
        && latest.on <= circumstances.on
    {
        return Ok(Alternative::closed(
            LotAction::Hold,
            format!("The time is up ({}): {}", latest.on, latest.text),
        ));
    }
    if let (Some(latest), Some(call_by)) = (&decision.latest, decision.call_by_on)
        && call_by <= circumstances.on
    {
        return Ok(Alternative::closed(
            LotAction::Hold,
            format!(
                "The haulier had to be called by {call_by} to come by {}, the latest day: {}",
                latest.on, latest.text
            ),
        ));
    }
    let unknown = |why: &str| {
        let text = format!("What waiting would bring is not known: {why}");
        Ok(Alternative::open(LotAction::Hold, None, text))
    };
    let Some(load) = &case.load else {
        return unknown("the silver is not.");
    };
    if circumstances.fill_rate_g_per_month.is_none() {
        return unknown("say how fast silver gathers.");
    }
    let months = hold_months(case, decision, circumstances);
    let until = look_again_on.unwrap_or(circumstances.on);
    let accepted = case.settlement.is_some();
    let held = held(lot, load, months, accepted, market, circumstances).map_err(|_| {
        Fault::out_of_range(
            at,
            "the later lot's money",
            "figures small enough for exact money",
        )
    })?;
    let Some(held) = held else {
        return unknown("no way out then has a price.");
    };
    let way = if held.way == LotAction::Send {
        "sent"
    } else {
        "hauled away"
    };
    let reason = format!(
        "Held until {until} and then {way} with what gathers until then, this silver's part of the net, less the cost of holding, would be {} {}.",
        market.price.currency, held.net
    );
    Ok(Alternative::open(LotAction::Hold, Some(held.net), reason))
}

/// The day until which holding is looked at, so the day to look again: always after today and never
/// after the latest day. None where neither a fill rate nor a limit tells.
fn look_again_on(
    case: &Case<'_>,
    decision: &Decision,
    circumstances: &Circumstances<'_>,
) -> Option<Date> {
    if circumstances.fill_rate_g_per_month.is_none() && decision.latest.is_none() {
        return None;
    }
    let months = hold_months(case, decision, circumstances);
    let days = whole_days((months * DAYS_PER_MONTH).round()).max(1);
    Some(circumstances.on.plus_days(days))
}

/// How long holding is looked at: to break-even if that is still ahead, else to the economic
/// interval; to the day the haulier must be called or the latest day where that comes first or
/// nothing else ends it; else a year. Never beyond three years.
fn hold_months(case: &Case<'_>, decision: &Decision, circumstances: &Circumstances<'_>) -> f64 {
    let months_to = |day: Date| day.days_since(circumstances.on) as f64 / DAYS_PER_MONTH;
    let ahead = |m: &f64| *m > 0.0;
    let wanted = case.break_even_on.map(months_to).filter(ahead).or_else(|| {
        let interval = decision.economic_interval?;
        let rate = circumstances.fill_rate_g_per_month?.as_f64();
        let now = f(case.load.as_ref()?.silver_g);
        Some((interval.silver_g.get() - now) / rate).filter(ahead)
    });
    let end = decision
        .call_by_on
        .or_else(|| decision.latest.as_ref().map(|l| l.on))
        .map(months_to);
    match (wanted, end) {
        (Some(wanted), Some(end)) => wanted.min(end),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => USUAL_HOLD_MONTHS,
    }
    .min(LONGEST_HOLD_MONTHS)
}

/// The largest line of a settlement that does not depend on silver, for what would change the answer.
pub(super) fn largest_charge(settlement: &Settlement) -> Option<(&str, SignedAmount)> {
    settlement
        .deductions
        .iter()
        .filter(|l| {
            !matches!(
                l.item,
                LineItem::SilverDeducted | LineItem::SilverBelowLeast | LineItem::SilverNotPayable
            )
        })
        .max_by_key(|l| l.amount)
        .map(|l| (l.label.as_ref(), l.amount))
}
