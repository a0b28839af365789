//! The days by which a lot must have left, and what sets each of them.

use super::Circumstances;
use super::safety::is_for_a_contractor;
use crate::answer::{Method, Notes, Severity};
use crate::batch::{Batch, BatchStatus};
use crate::bibliography::reference;
use crate::quantity::{ComputedDays, Date, write_decimal};
use crate::valuation::PreparedLot;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;
use serde::Serialize;

/// Days in a month, on average.
pub(crate) const DAYS_PER_MONTH: f64 = 365.25 / 12.0;

pub(super) const CAPACITY: Method = Method {
    name: "day the container is full",
    formula: "day = today + (capacity - volume) / litres per month x 30.4375 days, cut to whole days",
    source: "house_rule",
};

/// What sets a latest day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum LimitKind {
    /// The storage clock of the rule set.
    StorageClock,
    /// A storage clock that may run while the site's category is unknown.
    PossibleStorageClock,
    /// Material for recovery must move within the year.
    SpeculativeAccumulation,
    /// The container is full.
    Capacity,
    /// A day the person was given.
    GivenDate,
}

/// A day by which the lot must have left.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct DateLimit {
    /// The latest day.
    pub on: Date,
    /// What sets it.
    pub set_by: LimitKind,
    /// The rule or limit in words.
    pub text: String,
    /// Key in the bibliography.
    pub source: String,
}

/// Every limit that applies, the earliest first.
pub(crate) fn limits(
    lot: &PreparedLot<'_>,
    volume_l: Option<Decimal>,
    silver_g: Option<f64>,
    circumstances: &Circumstances<'_>,
    notes: &mut Notes,
) -> Vec<DateLimit> {
    let mut limits = Vec::new();
    if let Some(clock) = circumstances.clock {
        limits.push(DateLimit {
            on: clock.due_on,
            set_by: LimitKind::StorageClock,
            text: format!(
                "{}: {} days from {}.",
                clock.rule.trim_end_matches('.'),
                clock.limit_day_count,
                clock.starts_on
            ),
            source: clock.source.clone(),
        });
    }
    if let Some(clock) = circumstances.possible_clock {
        limits.push(DateLimit {
            on: clock.due_on,
            set_by: LimitKind::PossibleStorageClock,
            text: format!(
                "While the site's category is not known this clock may run. {}: {} days from {}.",
                clock.rule.trim_end_matches('.'),
                clock.limit_day_count,
                clock.starts_on
            ),
            source: clock.source.clone(),
        });
    }
    if let Some(on) = circumstances.must_leave_by_on {
        limits.push(DateLimit {
            on,
            set_by: LimitKind::GivenDate,
            text: "The day you were given.".to_owned(),
            source: "house_rule".to_owned(),
        });
    }
    limits.extend(capacity(lot, volume_l, silver_g, circumstances, notes));
    limits.extend(speculative(lot, circumstances, notes));
    limits.sort();
    for limit in &limits {
        if let Some(source) = reference(&limit.source) {
            notes.cite(&source.key);
        }
    }
    limits
}

fn capacity(
    lot: &PreparedLot<'_>,
    volume_l: Option<Decimal>,
    silver_g: Option<f64>,
    circumstances: &Circumstances<'_>,
    notes: &mut Notes,
) -> Option<DateLimit> {
    let volume = volume_l?.to_f64()?;
    let capacity = match circumstances.capacity_l {
        Some(c) => c.as_f64(),
        None => lot
            .batches
            .iter()
            .map(|b| Some(b.batch.container.as_ref()?.capacity_l?.as_f64()))
            .sum::<Option<f64>>()?,
    };
    let rate = match (circumstances.fill_rate_l_per_month, silver_g) {
        (Some(rate), _) => rate.as_f64(),
        (None, Some(silver)) if silver > 0.0 => {
            let rate = circumstances.fill_rate_g_per_month?.as_f64() * volume / silver;
            notes.assume(
                "/limits",
                format!("{}/fill_rate_l_per_month", circumstances.at),
                "house_rule",
                "The liquid is taken to gather at the strength it has now.",
            );
            rate
        }
        _ => 0.0,
    };
    notes.method("/limits", CAPACITY);
    let text = format!("{volume:.1} L of {capacity:.1} L are full.");
    let on = if volume >= capacity {
        circumstances.on
    } else if rate > 0.0 {
        let days = ((capacity - volume) / rate * DAYS_PER_MONTH).floor();
        circumstances.on.plus_days(whole_days(days))
    } else {
        return None;
    };
    Some(DateLimit {
        on,
        set_by: LimitKind::Capacity,
        text: if on == circumstances.on {
            text
        } else {
            format!("{text} At {rate:.2} L a month the container is full on {on}.")
        },
        source: "house_rule".to_owned(),
    })
}

/// A computed count of days as a whole number within the calendar.
pub(crate) fn whole_days(days: f64) -> i64 {
    ComputedDays::of(days.clamp(0.0, 80_000.0))
        .get()
        .to_i64()
        .unwrap_or(0)
}

/// Material for recovery must move within the calendar year. Where nobody said what stood here on
/// 1 January, the days on which the lot became waste tell whether it was among it.
fn speculative(
    lot: &PreparedLot<'_>,
    circumstances: &Circumstances<'_>,
    notes: &mut Notes,
) -> Option<DateLimit> {
    let Some(rule) = circumstances.rules.and_then(|r| r.speculative.as_ref()) else {
        if circumstances.recoverable_stock.is_some() {
            notes.warn(
                "/limits",
                Severity::Note,
                "The stock of 1 January was given, but the rules named have no speculative accumulation rule here: it sets no day.",
            );
        }
        return None;
    };
    let limit = |on: Date, text: String| DateLimit {
        on,
        set_by: LimitKind::SpeculativeAccumulation,
        text: format!(
            "{} ({}): {text}",
            rule.rule.clause,
            rule.rule.status.words()
        ),
        source: rule.rule.source.clone(),
    };
    let today = circumstances.on;
    let this_year = rule.latest_day(today);
    let next_year = rule.latest_day(this_year.plus_days(1));
    let percent = write_decimal(rule.share_percent.decimal());
    let from_next = || {
        limit(
            next_year,
            format!(
                "of each kind of material on hand on 1 January {year} at least {percent} % by weight or volume must be recycled or moved by {next_year}. A very small generator asks whether this reaches it.",
                year = next_year.civil().year()
            ),
        )
    };
    if let Some(stock) = circumstances.recoverable_stock {
        let held = stock.january_first_kg.decimal();
        let needed = held
            .checked_mul(rule.share_percent.decimal())?
            .checked_div(Decimal::ONE_HUNDRED)?;
        let moved = stock.moved_this_year_kg.decimal();
        if held.is_zero() || moved >= needed {
            return is_for_recovery(lot).then(from_next);
        }
        return Some(limit(
            this_year,
            format!(
                "{} kg of the {} kg on hand on 1 January must be recycled or moved by 31 December; {} kg were.",
                write_decimal(needed.round_dp(3)),
                write_decimal(held.round_dp(3)),
                write_decimal(moved.round_dp(3))
            ),
        ));
    }
    if !is_for_recovery(lot) {
        return None;
    }
    let began = today.first_of_year();
    let new = |b: &Batch| b.waste_since.or(b.made_on).is_some_and(|day| day > began);
    let here_since_then = lot
        .batches
        .iter()
        .any(|b| given_up(b.batch) && !new(b.batch));
    Some(if here_since_then {
        limit(
            this_year,
            format!(
                "what was on hand on 1 January is not known here, and this may be of it: at least {percent} % by weight or volume of each kind of material on hand that day must be recycled or moved by {this_year}. State the stock of 1 January and what has moved since. A very small generator asks whether this reaches it."
            ),
        )
    } else {
        from_next()
    })
}

/// Whether any of the lot was given up and may go to recovery.
fn is_for_recovery(lot: &PreparedLot<'_>) -> bool {
    !is_for_a_contractor(lot) && lot.batches.iter().any(|b| given_up(b.batch))
}

const fn given_up(batch: &Batch) -> bool {
    !matches!(batch.status, Some(BatchStatus::InUse | BatchStatus::Unused))
}
