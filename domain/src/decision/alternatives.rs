//! What could be done with a lot besides sending it as it is, each in money.

use super::result::{Alternative, EconomicInterval, LotAction};
use super::shipping::economic_lot;
use super::{Circumstances, RecoveryOffer};
use crate::answer::Notes;
use crate::batch::Batch;
use crate::fault::Fault;
use crate::quantity::{ComputedGrams, ComputedMonths, Currency, Exact, SignedAmount, TooLarge};
use crate::valuation::defaults::{Figure, defaults};
use crate::valuation::{
    LineItem, Load, LotForm, Market, MoneyLine, NetModel, NoSettlement, PreparedLot, Valuation,
    ValuationOutcome, grown_cost, judge_product, price_per_ozt, settle, silver_words,
};
use rust_decimal::Decimal;
use rust_decimal::prelude::{FromPrimitive as _, ToPrimitive as _};

impl Alternative {
    /// One that may be done, with or without a figure.
    pub(crate) fn open(
        action: LotAction,
        net: Option<SignedAmount>,
        reason: impl Into<String>,
    ) -> Self {
        Self {
            action,
            name: None,
            possible: true,
            net,
            lines: Vec::new(),
            reason: reason.into(),
            economic_interval: None,
        }
    }

    /// One that may not be done.
    pub(crate) fn closed(action: LotAction, reason: impl Into<String>) -> Self {
        Self {
            possible: false,
            ..Self::open(action, None, reason)
        }
    }
}

/// Sending the lot as it is, today.
pub(crate) fn send(valuation: &Valuation) -> Alternative {
    match &valuation.outcome {
        ValuationOutcome::NotAccepted { reasons } => {
            let texts: Vec<&str> = reasons.iter().map(|r| r.text.as_str()).collect();
            Alternative::closed(LotAction::Send, texts.join(" "))
        }
        ValuationOutcome::ValueUnknown { reasons, .. } => Alternative::open(
            LotAction::Send,
            None,
            format!("What it would bring is not known: {}", reasons.join("; ")),
        ),
        ValuationOutcome::Accepted(s) => {
            let mut reason = s.statement.clone();
            for condition in &s.conditions {
                reason.push(' ');
                reason.push_str(&condition.text);
            }
            Alternative::open(LotAction::Send, Some(s.net), reason)
        }
    }
}

/// Having the lot hauled away.
pub(crate) fn haul(valuation: &Valuation, currency: Currency) -> Alternative {
    let Some(haulage) = &valuation.haulage else {
        return Alternative::open(
            LotAction::HaulAway,
            None,
            "No haulier's terms were given: ask a licensed one for a price.",
        );
    };
    let cost = haulage.total.map(|t| minus(t, currency));
    if let Some(text) = &haulage.free_collection {
        let otherwise = haulage.total.map_or_else(String::new, |t| {
            format!(" Otherwise a haulier costs {currency} {t}.")
        });
        return Alternative::open(
            LotAction::HaulAway,
            Some(SignedAmount::rounded(Decimal::ZERO, currency)),
            format!("{text}{otherwise}"),
        );
    }
    let reason = match haulage.total {
        Some(t) => format!("A licensed haulier costs {currency} {t}, and the silver is gone."),
        None => haulage.unknown.join(" "),
    };
    Alternative {
        lines: haulage
            .lines
            .iter()
            .map(|l| MoneyLine {
                amount: minus(l.amount, currency),
                ..l.clone()
            })
            .collect(),
        ..Alternative::open(LotAction::HaulAway, cost, reason)
    }
}

fn minus(amount: SignedAmount, currency: Currency) -> SignedAmount {
    let value = Decimal::ZERO
        .checked_sub(amount.decimal())
        .unwrap_or_default();
    SignedAmount::rounded(value, currency)
}

/// Recovering the silver here and sending the product.
pub(crate) fn recover(
    offer: &RecoveryOffer,
    load: &Load,
    market: &Market<'_>,
    valuation: &Valuation,
    circumstances: &Circumstances<'_>,
    at: &str,
    notes: &mut Notes,
) -> Result<Alternative, Fault> {
    let worked = product(offer, load, market, valuation, circumstances, at, notes);
    let mut alternative = match worked {
        Ok(alternative) => alternative,
        Err(NoSettlement::Unknown(reason)) => {
            Alternative::open(LotAction::RecoverHere, None, reason)
        }
        Err(NoSettlement::TooLarge) => {
            return Err(Fault::out_of_range(
                at,
                "this way of recovery",
                "figures small enough for exact money",
            ));
        }
    };
    alternative.name = Some(offer.name.to_string());
    Ok(alternative)
}

/// Usual silver content of a product, where there is a usual one.
fn usual_silver_percent(form: LotForm) -> Option<&'static Figure> {
    let d = defaults();
    match form {
        LotForm::SilverChloride => Some(&d.silver_percent_of_silver_chloride),
        LotForm::SilverSulfide => Some(&d.silver_percent_of_silver_sulfide),
        LotForm::ElectrolyticFlake => Some(&d.silver_percent_of_electrolytic_flake),
        LotForm::MetallicReplacementSludge => {
            Some(&d.silver_percent_of_metallic_replacement_sludge)
        }
        _ => None,
    }
}

fn product(
    offer: &RecoveryOffer,
    load: &Load,
    market: &Market<'_>,
    valuation: &Valuation,
    circumstances: &Circumstances<'_>,
    at: &str,
    notes: &mut Notes,
) -> Result<Alternative, NoSettlement> {
    let currency = market.price.currency;
    let terms = offer.terms.as_ref().unwrap_or(market.terms);
    let silver_g = (Exact::from(load.silver_g) * Exact::percent(offer.recovered_percent.decimal()))
        .finish()?;
    let mass_kg = match (
        offer.product_mass_kg,
        usual_silver_percent(offer.product_form),
    ) {
        (Some(mass), _) => Some(mass.decimal()),
        (None, Some(usual)) => {
            notes.assume(
                "/alternatives",
                format!("{at}/product_mass_kg"),
                &usual.source,
                format!(
                    "Silver in dry {}: {}.",
                    offer.product_form.words(),
                    usual.words()
                ),
            );
            let kilograms = Exact::from(silver_g)
                / Exact::percent(usual.value)
                / Exact::from(Decimal::ONE_THOUSAND);
            Some(kilograms.finish()?)
        }
        (None, None) => None,
    };
    let judged = judge_product(offer.product_form, mass_kg, terms.accepts());
    if !judged.refused.is_empty() {
        let texts: Vec<&str> = judged.refused.iter().map(|r| r.text.as_str()).collect();
        return Ok(Alternative::closed(LotAction::RecoverHere, texts.join(" ")));
    }
    let product = Load {
        silver_g,
        mass_kg,
        volume_l: None,
        container_count: 1,
        present: load.present.clone(),
    };
    let settled = settle(&product, price_per_ozt(market.price)?, terms)?;
    // What is left of a liquid still has to go somewhere.
    let (liquor, uncounted) = if valuation.form == LotForm::Solution {
        match &valuation.haulage {
            Some(h) if h.free_collection.is_none() => (h.total, h.total.is_none()),
            Some(_) => (None, false),
            None => (None, true),
        }
    } else {
        (None, false)
    };
    let taken = Exact::from(offer.cost.decimal())
        + Exact::from(liquor.map_or(Decimal::ZERO, |l| l.decimal()));
    let net = SignedAmount::rounded(
        (Exact::from(settled.net.decimal()) - taken).finish()?,
        currency,
    );
    let mut lines = vec![
        line(
            LineItem::ProductSettlement,
            "what the refiner settles for the product",
            silver_words(silver_g.to_f64().unwrap_or_default()),
            settled.net,
        ),
        line(
            LineItem::RecoveryCost,
            "reagents, power and wear here",
            "as stated".to_owned(),
            SignedAmount::rounded(negative(offer.cost.decimal()), currency),
        ),
    ];
    if let Some(l) = liquor {
        lines.push(line(
            LineItem::ResidueHaulage,
            "hauling away the liquid that is left",
            "as billed for the whole lot".to_owned(),
            minus(l, currency),
        ));
    }
    let mut reason = format!(
        "{} % of the silver comes out as {}; the refiner settles {currency} {}, and the work here costs {currency} {}.",
        crate::quantity::write_decimal(offer.recovered_percent.decimal()),
        offer.product_form.words(),
        settled.net,
        SignedAmount::rounded(offer.cost.decimal(), currency)
    );
    if let Some(l) = liquor {
        reason.push_str(&format!(
            " The liquid that is left is still waste, and a haulier takes it for {currency} {l}."
        ));
    } else if uncounted {
        reason.push_str(
            " The liquid that is left is still waste; what it costs to be rid of it is not counted here.",
        );
    }
    reason.push_str(" No liquid may go down a drain before a laboratory has tested it and the sewer authority has agreed.");
    Ok(Alternative {
        lines,
        economic_interval: rhythm(offer, &product, terms, market, circumstances),
        ..Alternative::open(LotAction::RecoverHere, Some(net), reason)
    })
}

fn negative(value: Decimal) -> Decimal {
    Decimal::ZERO.checked_sub(value).unwrap_or_default()
}

fn line(item: LineItem, label: &'static str, basis: String, amount: SignedAmount) -> MoneyLine {
    MoneyLine {
        item,
        label: label.into(),
        basis: basis.into(),
        amount,
    }
}

/// The rhythm that costs least when the equipment works through the lot at a stated rate.
fn rhythm(
    offer: &RecoveryOffer,
    product: &Load,
    terms: &crate::valuation::RefinerTerms,
    market: &Market<'_>,
    circumstances: &Circumstances<'_>,
) -> Option<EconomicInterval> {
    let drawn_at = offer.throughput_g_per_month?.as_f64();
    let fixed = NetModel::new(product, terms).fixed_cost();
    interval(
        fixed,
        product.silver_g.to_f64()?,
        Some(drawn_at),
        market,
        circumstances,
    )
}

/// The economic interval at the fill rate and holding cost given.
pub(crate) fn interval(
    fixed_cost: f64,
    silver_g: f64,
    drawn_at: Option<f64>,
    market: &Market<'_>,
    circumstances: &Circumstances<'_>,
) -> Option<EconomicInterval> {
    let rate = circumstances.fill_rate_g_per_month?.as_f64();
    let holding = circumstances.holding_cost_per_month?.decimal().to_f64()? / silver_g;
    let lot = economic_lot(fixed_cost, rate, holding, drawn_at)?;
    Some(EconomicInterval {
        silver_g: ComputedGrams::of(lot.quantity),
        interval_months: ComputedMonths::of(lot.interval),
        cost_per_month: SignedAmount::rounded(
            Decimal::from_f64(lot.cost_per_time)?,
            market.price.currency,
        ),
    })
}

/// What becomes of this silver if it is held.
pub(crate) struct Held {
    /// Its part of what the later, bigger lot nets, less the cost of holding.
    pub net: SignedAmount,
    /// The way out taken then: sending or hauling away.
    pub way: LotAction,
}

/// Holding until `months` from now and then taking the better of sending and hauling away.
pub(crate) fn held(
    lot: &PreparedLot<'_>,
    load: &Load,
    months: f64,
    accepted: bool,
    market: &Market<'_>,
    circumstances: &Circumstances<'_>,
) -> Result<Option<Held>, TooLarge> {
    let Some(rate) = circumstances.fill_rate_g_per_month else {
        return Ok(None);
    };
    let months = Decimal::from_f64(months).ok_or(TooLarge)?;
    if load.silver_g.is_zero() {
        return Ok(None);
    }
    let silver = Exact::from(load.silver_g);
    let later = silver + Exact::from(rate.decimal()) * Exact::from(months);
    let growth = later / silver;
    let mut ways = Vec::new();
    if accepted && let Some(net) = sent_later(load, later, growth, market)? {
        ways.push((net, LotAction::Send));
    }
    if let Some(terms) = market.haulage_terms {
        let batches: Vec<&Batch> = lot.batches.iter().map(|b| b.batch).collect();
        let free = terms.free_municipal_collection == Some(true);
        let cost = if free {
            Some(SignedAmount::rounded(Decimal::ZERO, terms.currency))
        } else {
            grown_cost(&batches, load.mass_kg, terms, growth)?
        };
        ways.extend(cost.map(|c| (negative(c.decimal()), LotAction::HaulAway)));
    }
    let Some((net, way)) = ways
        .into_iter()
        .reduce(|a, b| if b.0 > a.0 { b } else { a })
    else {
        return Ok(None);
    };
    let holding = circumstances
        .holding_cost_per_month
        .map_or(Decimal::ZERO, |h| h.decimal());
    let part = Exact::from(net) / growth - Exact::from(holding) * Exact::from(months);
    Ok(Some(Held {
        net: SignedAmount::rounded(part.finish()?, market.price.currency),
        way,
    }))
}

/// Net of the bigger lot, its mass and volume grown in step with its silver.
fn sent_later(
    load: &Load,
    later_g: Exact,
    growth: Exact,
    market: &Market<'_>,
) -> Result<Option<Decimal>, TooLarge> {
    let grow = |value: Option<Decimal>| {
        value
            .map(|v| (Exact::from(v) * growth).finish())
            .transpose()
    };
    let bigger = Load {
        silver_g: later_g.finish()?,
        mass_kg: grow(load.mass_kg)?,
        volume_l: grow(load.volume_l)?,
        ..load.clone()
    };
    match settle(&bigger, price_per_ozt(market.price)?, market.terms) {
        Ok(settled) => Ok(Some(settled.net.decimal())),
        Err(NoSettlement::Unknown(_)) => Ok(None),
        Err(NoSettlement::TooLarge) => Err(TooLarge),
    }
}
