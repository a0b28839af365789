//! What a valuation says.

use super::Market;
use super::acceptance::AcceptanceReason;
use super::break_even::{BREAK_EVEN, BreakEven, break_even};
use super::haulage::HaulageCost;
use super::lot::{Bulk, LotSilver, PreparedLot};
use super::settlement::{
    Load, MoneyLine, NoSettlement, SETTLEMENT, Settled, ShareBy, nets, price_per_ozt, settle,
};
use super::share::{LARGEST_REMAINDER, RULE, share_out};
use crate::answer::{Notes, Severity};
use crate::batch::LotForm;
use crate::estimate::Estimate;
use crate::quantity::{
    Amount, ComputedGrams, ComputedKilograms, ComputedLitres, ComputedPercent, ComputedTroyOunces,
    Currency, Date, Exact, Identifier, Plain, SignedAmount, TROY_OUNCE_G, TooLarge,
};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;
use serde::Serialize;

/// The estimate of one batch of the lot.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BatchEstimate {
    /// Name of the batch.
    pub batch: Identifier,
    /// The silver in it.
    pub estimate: Estimate,
}

/// What a lot is worth, with the estimates it rests on.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LotValuation {
    /// The silver in each batch.
    pub estimates: Vec<BatchEstimate>,
    /// What the lot is worth.
    pub valuation: Valuation,
}

/// What a lot is worth.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Valuation {
    /// Name of the lot.
    pub lot: Identifier,
    /// The form it travels in.
    pub form: LotForm,
    /// Currency of every amount.
    pub currency: Currency,
    /// Containers in it.
    pub container_count: usize,
    /// Its mass, where known.
    pub mass_kg: Option<ComputedKilograms>,
    /// Its volume, where known.
    pub volume_l: Option<ComputedLitres>,
    /// Its silver; null when a batch has no figure.
    pub silver: Option<LotSilver>,
    /// Whether the refiner takes it, and what is left.
    pub outcome: ValuationOutcome,
    /// What hauling it away would cost, where terms were given.
    pub haulage: Option<HaulageCost>,
}

/// Whether the refiner takes a lot, and what is left.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum ValuationOutcome {
    /// The refiner does not take it.
    NotAccepted {
        /// Why.
        reasons: Vec<AcceptanceReason>,
    },
    /// Taken, but its value is not known: unknown is not zero.
    ValueUnknown {
        /// What is missing, and what would give it.
        reasons: Vec<String>,
        /// What must be settled before it is sent.
        conditions: Vec<AcceptanceReason>,
    },
    /// Taken, and this is what is left.
    Accepted(Box<Settlement>),
}

/// What is left of a lot after every charge.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Settlement {
    /// What must be settled before it is sent.
    pub conditions: Vec<AcceptanceReason>,
    /// Silver times price.
    pub gross_value: SignedAmount,
    /// Everything taken off, as positive amounts.
    pub deductions: Vec<MoneyLine>,
    /// Their sum.
    pub deductions_total: SignedAmount,
    /// Gross value less deductions; negative means that sending costs money.
    pub net: SignedAmount,
    /// Whether sending costs more than it brings.
    pub loses_money: bool,
    /// The net in one sentence.
    pub statement: String,
    /// Silver the refiner pays for.
    pub silver_paid_for_ozt: ComputedTroyOunces,
    /// The day the refiner settles, counted from the day of sending (freight not counted).
    pub settled_on: Option<Date>,
    /// The share of each batch.
    pub shares: Vec<LotShare>,
    /// The rule by which charges are shared.
    pub sharing_rule: &'static str,
    /// Net over price and over the estimate's interval.
    pub sensitivity: Vec<PriceRow>,
    /// Where the net crosses zero.
    pub break_even: BreakEven,
}

/// What of a lot belongs to one batch.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LotShare {
    /// Name of the batch.
    pub batch: Identifier,
    /// Its silver.
    pub silver_g: ComputedGrams,
    /// Its part of the gross value.
    pub gross_value: SignedAmount,
    /// Its part of the deductions.
    pub deductions: SignedAmount,
    /// What is left for it.
    pub net: SignedAmount,
}

/// The net at one price, for the lower, expected and upper silver.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PriceRow {
    /// Change of the price.
    pub price_change_percent: ComputedPercent,
    /// The price itself, in the unit it was given for.
    pub price: Amount,
    /// Net if the silver is at the lower end of its 95 % interval.
    pub net_lower: SignedAmount,
    /// Net at the expected silver.
    pub net_expected: SignedAmount,
    /// Net at the upper end; null where nothing bounds the silver from above.
    pub net_upper: Option<SignedAmount>,
}

/// Settles an accepted lot in full.
#[expect(
    clippy::too_many_arguments,
    reason = "one call site; each argument is a different part of the lot"
)]
pub(super) fn settlement(
    lot: &PreparedLot<'_>,
    bulks: &[Bulk],
    silver: &LotSilver,
    load: &Load,
    market: &Market<'_>,
    conditions: Vec<AcceptanceReason>,
    on: Option<Date>,
    notes: &mut Notes,
) -> Result<ValuationOutcome, TooLarge> {
    let terms = market.terms;
    let price = price_per_ozt(market.price)?;
    let settled = match settle(load, price, terms) {
        Ok(settled) => settled,
        Err(NoSettlement::Unknown(reason)) => {
            return Ok(ValuationOutcome::ValueUnknown {
                reasons: vec![reason],
                conditions,
            });
        }
        Err(NoSettlement::TooLarge) => return Err(TooLarge),
    };
    notes.method("/outcome/accepted/net", SETTLEMENT);
    notes.method("/outcome/accepted/shares", LARGEST_REMAINDER);
    notes.method("/outcome/accepted/break_even", BREAK_EVEN);
    let loses_money = settled.net.decimal() < Decimal::ZERO;
    let statement = statement(&settled, loses_money, terms.currency);
    if loses_money {
        notes.warn(
            "/outcome/accepted/net",
            Severity::Caution,
            statement.clone(),
        );
    }
    Ok(ValuationOutcome::Accepted(Box::new(Settlement {
        conditions,
        gross_value: settled.gross,
        deductions: settled
            .lines
            .iter()
            .map(|l| l.described(&settled, terms))
            .collect(),
        deductions_total: settled.deductions,
        net: settled.net,
        loses_money,
        statement,
        silver_paid_for_ozt: ComputedTroyOunces::of(settled.paid_ozt.to_f64().unwrap_or_default()),
        settled_on: on
            .zip(terms.payment.settlement_day_count)
            .map(|(day, count)| day.plus_days(i64::from(count))),
        shares: shares(lot, bulks, &settled, terms.currency)?,
        sharing_rule: RULE,
        sensitivity: sensitivity(load, silver, market)?,
        break_even: break_even(load, &settled, market.price, price, terms)?,
    })))
}

fn statement(settled: &Settled<'_>, loses_money: bool, currency: Currency) -> String {
    let net = settled.net;
    if loses_money {
        let cost = SignedAmount::rounded(net.decimal().abs(), currency);
        return format!(
            "Sending this lot costs money: {currency} {cost} more than it brings. The silver in it is worth {currency} {}; charges and silver that is not paid come to {currency} {}.",
            settled.gross, settled.deductions
        );
    }
    if net.decimal().is_zero() {
        return format!(
            "Sending this lot brings nothing: the charges take all of {currency} {}.",
            settled.gross
        );
    }
    format!(
        "Sending this lot brings {currency} {net} of the {currency} {} its silver is worth.",
        settled.gross
    )
}

fn shares(
    lot: &PreparedLot<'_>,
    bulks: &[Bulk],
    settled: &Settled<'_>,
    currency: Currency,
) -> Result<Vec<LotShare>, TooLarge> {
    let silver: Vec<Decimal> = lot
        .batches
        .iter()
        .map(|b| {
            b.estimate
                .silver_g
                .map_or(Ok(Decimal::ZERO), |s| s.to_decimal().map_err(|_| TooLarge))
        })
        .collect::<Result<_, TooLarge>>()?;
    let gross = share_out(settled.gross, &silver, currency)?;
    let mut taken = vec![Exact::ZERO; lot.batches.len()];
    for line in &settled.lines {
        let weights: Vec<Decimal> = match line.share {
            ShareBy::Silver => silver.clone(),
            ShareBy::Mass => bulks
                .iter()
                .map(|b| b.mass_kg.unwrap_or_default())
                .collect(),
            ShareBy::Volume => bulks
                .iter()
                .map(|b| b.volume_l.unwrap_or_default())
                .collect(),
            ShareBy::Container => vec![Decimal::ONE; lot.batches.len()],
            ShareBy::Holders(constituent) => lot
                .batches
                .iter()
                .map(|b| Decimal::from(u8::from(b.holds(constituent))))
                .collect(),
        };
        let parts = share_out(line.amount, &weights, currency)?;
        for (sum, part) in taken.iter_mut().zip(parts) {
            *sum = *sum + Exact::from(part);
        }
    }
    lot.batches
        .iter()
        .zip(gross)
        .zip(taken)
        .map(|((part, gross), taken)| {
            let taken = taken.finish()?;
            let net = (Exact::from(gross) - Exact::from(taken)).finish()?;
            Ok(LotShare {
                batch: part.batch.id.clone(),
                silver_g: part.estimate.silver_g.unwrap_or(ComputedGrams::of(0.0)),
                gross_value: SignedAmount::rounded(gross, currency),
                deductions: SignedAmount::rounded(taken, currency),
                net: SignedAmount::rounded(net, currency),
            })
        })
        .collect()
}

const PRICE_STEPS: [i64; 7] = [-30, -20, -10, 0, 10, 20, 30];

fn sensitivity(
    load: &Load,
    silver: &LotSilver,
    market: &Market<'_>,
) -> Result<Vec<PriceRow>, TooLarge> {
    let base = Exact::from(price_per_ozt(market.price)?);
    let factor = |step: i64| Exact::ONE + Exact::percent(Decimal::from(step));
    let prices = PRICE_STEPS
        .iter()
        .map(|step| (base * factor(*step)).finish())
        .collect::<Result<Vec<Decimal>, TooLarge>>()?;
    let nets_at = |grams: ComputedGrams| -> Result<Vec<SignedAmount>, TooLarge> {
        let load = Load {
            silver_g: grams.to_decimal().map_err(|_| TooLarge)?,
            ..load.clone()
        };
        nets(&load, &prices, market.terms).map_err(|_| TooLarge)
    };
    let lower = nets_at(silver.lower_95_g)?;
    let expected = nets(load, &prices, market.terms).map_err(|_| TooLarge)?;
    let upper = silver.upper_95_g.map(nets_at).transpose()?;
    let mut upper = upper.into_iter().flatten();
    PRICE_STEPS
        .iter()
        .zip(lower.into_iter().zip(expected))
        .map(|(step, (net_lower, net_expected))| {
            let price = (Exact::from(market.price.amount) * factor(*step)).finish()?;
            Ok(PriceRow {
                price_change_percent: ComputedPercent::of(*step as f64),
                price: Amount::new(price.normalize()).unwrap_or(Amount::ZERO),
                net_lower,
                net_expected,
                net_upper: upper.next(),
            })
        })
        .collect()
}

/// Grams and troy ounces of a mass, as people read it.
#[must_use]
pub fn silver_words(grams: f64) -> String {
    let ounces = grams / TROY_OUNCE_G.to_f64().unwrap_or(31.103_476_8);
    format!(
        "{} g ({} ozt)",
        Plain::places(grams, 1),
        Plain::places(ounces, 2)
    )
}

/// A price as people read it.
#[must_use]
pub fn price_words(amount: Decimal, currency: Currency, per: crate::quantity::PriceUnit) -> String {
    format!("{currency} {} per {}", currency.plain(amount), per.words())
}
