//! Choosing among what is open, once safety has had its say.

use super::Circumstances;
use super::decide::{Case, f, is_loss};
use super::result::{Alternative, Decision, LotAction};
use crate::answer::Notes;
use crate::valuation::defaults::{Figure, defaults};
use crate::valuation::{AcceptanceRule, Valuation, ValuationOutcome};

/// The verdict: what must be measured comes before money, and holding only where it may be done.
pub(super) fn choose(
    decision: &Decision,
    case: &Case<'_>,
    valuation: &Valuation,
    chance: Option<f64>,
    circumstances: &Circumstances<'_>,
    at: &str,
    notes: &mut Notes,
) -> LotAction {
    let may_hold = decision
        .alternatives
        .iter()
        .any(|a| a.action == LotAction::Hold && a.possible);
    let best = best_way_out(decision);
    if valuation.silver.is_none()
        || matches!(valuation.outcome, ValuationOutcome::ValueUnknown { .. })
    {
        return if may_hold {
            LotAction::MeasureFirst
        } else {
            best.map_or(LotAction::HaulAway, |b| b.action)
        };
    }
    let Some(best) = best else {
        return if may_hold && only_too_small(valuation) {
            LotAction::Hold
        } else {
            LotAction::HaulAway
        };
    };
    if !may_hold {
        return best.action;
    }
    if matches!(best.action, LotAction::Send | LotAction::HaulAway)
        && odds_are_even(valuation, chance, at, notes)
    {
        return LotAction::MeasureFirst;
    }
    if holding_pays(decision, case, best, circumstances) {
        LotAction::Hold
    } else {
        best.action
    }
}

/// The possible alternative, other than holding, that leaves most money.
fn best_way_out(decision: &Decision) -> Option<&Alternative> {
    decision
        .alternatives
        .iter()
        .filter(|a| a.possible && a.action != LotAction::Hold && a.net.is_some())
        .reduce(|best, a| if a.net > best.net { a } else { best })
}

/// Whether the refiner refuses the lot for nothing but its small mass.
fn only_too_small(valuation: &Valuation) -> bool {
    match &valuation.outcome {
        ValuationOutcome::NotAccepted { reasons } => reasons
            .iter()
            .all(|r| r.rule == AcceptanceRule::MinimumMass),
        _ => false,
    }
}

/// Whether a better reading may turn the answer: the odds are near even and the silver is poorly known.
fn odds_are_even(valuation: &Valuation, chance: Option<f64>, at: &str, notes: &mut Notes) -> bool {
    let (Some(chance), Some(silver)) = (chance, valuation.silver) else {
        return false;
    };
    let d = defaults();
    let share = |figure: &Figure| f(figure.value) / 100.0;
    let relative =
        silver.standard_uncertainty_g.get() / silver.silver_g.get().max(f64::MIN_POSITIVE);
    let even = chance > share(&d.measure_first_chance_low_percent)
        && chance < share(&d.measure_first_chance_high_percent)
        && relative > share(&d.measure_first_uncertainty_percent);
    if even {
        notes.assume(
            "/verdict",
            format!("{at}/batches"),
            &d.measure_first_uncertainty_percent.source,
            format!(
                "Measure first where the chance of gain lies between {} and {} and the silver is known no better than {}.",
                d.measure_first_chance_low_percent.words(),
                d.measure_first_chance_high_percent.words(),
                d.measure_first_uncertainty_percent.words()
            ),
        );
    }
    even
}

/// Whether waiting beats the best way out. Where every way out costs money it does when the later,
/// bigger lot makes this silver cost less; where sending brings money, only while the economic
/// interval has not passed, since nothing else weighs waiting against having the money.
fn holding_pays(
    decision: &Decision,
    case: &Case<'_>,
    best: &Alternative,
    circumstances: &Circumstances<'_>,
) -> bool {
    let hold = decision
        .alternatives
        .iter()
        .find(|a| a.action == LotAction::Hold)
        .and_then(|a| a.net);
    if best.net.is_some_and(is_loss) {
        // With no fill rate nothing is known of later, and nothing forces a loss today.
        return circumstances.fill_rate_g_per_month.is_none() || hold > best.net;
    }
    let unripe = match (decision.economic_interval, &case.load) {
        (Some(interval), Some(load)) => f(load.silver_g) < interval.silver_g.get(),
        _ => false,
    };
    best.action == LotAction::Send && unripe && hold > best.net
}
