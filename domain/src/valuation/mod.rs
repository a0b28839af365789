//! What a lot is worth after every charge: price, terms, acceptance, settlement, sensitivity.

mod acceptance;
mod break_even;
pub(crate) mod defaults;
mod haulage;
mod lot;
mod result;
mod settlement;
mod share;
mod statement;
mod terms;

pub use crate::batch::LotForm;
pub(crate) use acceptance::judge_product;
pub use acceptance::{AcceptanceReason, AcceptanceRule};
pub(crate) use break_even::NetModel;
pub use break_even::{BreakEven, BreakEvenPrice};
pub(crate) use haulage::grown_cost;
pub use haulage::{HaulageCost, haulage_cost};
pub use lot::{
    Lot, LotBatch, LotSilver, MOST_BATCHES, PreparedLot, UnknownBatch, holds, lot_silver,
};
pub use result::{
    BatchEstimate, LotShare, LotValuation, PriceRow, Settlement, Valuation, ValuationOutcome,
    price_words, silver_words,
};
pub use settlement::{LineItem, MoneyLine};
pub(crate) use settlement::{Load, NoSettlement, price_per_ozt, settle};
pub use share::share_out;
pub use statement::{
    AskFor, AssayExchange, AssayFinding, ComparedAmount, ComparedLine, MOST_LINES, MoneyCheck,
    ReceivedLot, RefinerStatement, SettlementCheck, SettlementCheckRequest, SettlementVerdict,
    SilverDifference, StatementLine, UmpireCost, check_settlement,
};
pub(crate) use statement::{FAR, refiner_spread};
pub use terms::{
    Acceptance, ChargeBasis, Constituent, ConstituentLimit, HaulageTerms, MOST_SURCHARGES, Payment,
    RefinerTerms, Surcharge, TreatmentCharge,
};

use crate::answer::{Answer, Method, Notes, Severity};
use crate::estimate::{Agreement, Estimate, estimate_batch};
use crate::fault::{Fault, FaultKind, Faults};
use crate::quantity::{Currency, Date, MetalPrice, TooLarge};
use crate::waste::rule_set::RuleSetName;
use defaults::defaults;
pub(crate) use lot::constituents_of;
use lot::{Bulk, bulk, lot_bulk};
use rust_decimal::prelude::ToPrimitive as _;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Every method of a valuation.
pub const METHODS: &[Method] = &[
    lot::LOT_SUM,
    settlement::SETTLEMENT,
    share::LARGEST_REMAINDER,
    break_even::BREAK_EVEN,
    haulage::HAULAGE,
    statement::DIFFERENCE,
    statement::SPLITTING,
    statement::UMPIRE,
    statement::LINES,
];

/// Keys of the bibliography that defaults and facts of valuations and decisions rest on.
pub fn default_sources() -> impl Iterator<Item = &'static str> {
    defaults()
        .all()
        .into_iter()
        .map(|f| f.source.as_str())
        .chain(["troy_ounce", "haulier_practice"])
        .chain(statement::sources())
}

/// Asks what a lot is worth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ValuationRequest {
    /// The lot with its batches.
    pub lot: Lot,
    /// Price of silver.
    pub price: MetalPrice,
    /// The refiner's terms.
    pub terms: RefinerTerms,
    /// A haulier's terms, to compare with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub haulage_terms: Option<HaulageTerms>,
    /// The day the lot would be sent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<Date>,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// The price and the terms, and where they stand in the request.
#[derive(Debug, Clone, Copy)]
pub struct Market<'a> {
    /// Price of silver.
    pub price: &'a MetalPrice,
    /// Where the price stands.
    pub price_at: &'a str,
    /// The refiner's terms.
    pub terms: &'a RefinerTerms,
    /// Where the terms stand.
    pub terms_at: &'a str,
    /// A haulier's terms.
    pub haulage_terms: Option<&'a HaulageTerms>,
    /// Where they stand.
    pub haulage_at: &'a str,
}

impl Market<'_> {
    /// Checks the terms, and that every amount is in the currency of the price.
    #[must_use]
    pub fn faults(&self) -> Vec<Fault> {
        let mut faults = self.terms.faults(self.terms_at);
        faults.extend(self.same_currency(self.terms.currency, self.terms_at));
        if let Some(haulage) = self.haulage_terms {
            faults.extend(haulage.faults(self.haulage_at));
            faults.extend(self.same_currency(haulage.currency, self.haulage_at));
        }
        faults
    }

    /// A fault when `currency`, a member of `at`, is not that of the price.
    #[must_use]
    pub fn same_currency(&self, currency: Currency, at: impl fmt::Display) -> Option<Fault> {
        (currency != self.price.currency).then(|| {
            Fault::new(
                FaultKind::MixedCurrencies,
                format!("{at}/currency"),
                format!(
                    "{currency} meets a price in {}: expected one currency, since two never add",
                    self.price.currency
                ),
            )
        })
    }
}

/// Answers `POST /v1/valuations`.
///
/// # Errors
/// Every fault found in the lot, its batches, the terms and the currencies.
pub fn value_lot(request: &ValuationRequest) -> Result<Answer<LotValuation>, Faults> {
    let market = Market {
        price: &request.price,
        price_at: "/price",
        terms: &request.terms,
        terms_at: "/terms",
        haulage_terms: request.haulage_terms.as_ref(),
        haulage_at: "/haulage_terms",
    };
    let mut notes = Notes::new();
    let (form, estimates) = estimate_lot(&request.lot, "/lot", &market, &mut notes)?;
    let lot = request.lot.prepared(form, &estimates, "/lot");
    let valuation = notes.within("/valuation", |notes| {
        value_prepared_lot(&lot, "/lot", &market, request.on, notes)
    })?;
    let result = LotValuation {
        estimates: batch_estimates(&request.lot, &estimates),
        valuation,
    };
    Ok(notes.answer(result, request.rule_set.map(|r| r.rules())))
}

/// Puts names to the estimates of a lot.
pub(crate) fn batch_estimates(lot: &Lot, estimates: &[Estimate]) -> Vec<BatchEstimate> {
    lot.batches
        .iter()
        .zip(estimates)
        .map(|(batch, estimate)| BatchEstimate {
            batch: batch.id.clone(),
            estimate: estimate.clone(),
        })
        .collect()
}

/// Checks a lot with its market and estimates its batches. `at` is the lot's own place.
///
/// # Errors
/// Every fault found, all together.
pub fn estimate_lot(
    lot: &Lot,
    at: &str,
    market: &Market<'_>,
    notes: &mut Notes,
) -> Result<(LotForm, Vec<Estimate>), Faults> {
    let mut faults = market.faults();
    let form = match lot.check(at) {
        Ok(form) => form,
        Err(more) => {
            faults.extend(more);
            return Err(Faults::none_of(faults).err().unwrap_or_else(|| {
                Fault::missing(format!("{at}/batches"), "at least one batch").into()
            }));
        }
    };
    let mut estimates = Vec::with_capacity(lot.batches.len());
    for (i, batch) in lot.batches.iter().enumerate() {
        let place = format!("{at}/batches/{i}");
        if batch.evidence.is_empty() {
            // Nobody measured: the lot's value is unknown, and the answer says so.
            estimates.push(Estimate::unknown(Vec::new(), Agreement::Single {}));
            continue;
        }
        let estimate = notes.within(&format!("/estimates/{i}/estimate"), |notes| {
            estimate_batch(batch, &place, notes)
        });
        match estimate {
            Ok(estimate) => estimates.push(estimate),
            Err(more) => faults.extend(more.list().iter().cloned()),
        }
    }
    Faults::none_of(faults)?;
    Ok((form, estimates))
}

fn too_large(at: &str) -> Fault {
    Fault::out_of_range(
        at,
        "the lot's money",
        "figures small enough for exact money",
    )
}

/// What a lot weighs, holds and is made of, for a settlement.
pub(crate) fn lot_load(
    lot: &PreparedLot<'_>,
    silver: &LotSilver,
    terms: &RefinerTerms,
    at: &str,
    notes: &mut Notes,
) -> Result<Load, Fault> {
    let (_, whole) = lot_bulks(lot, at, notes)?;
    load_of(lot, silver, terms, whole, at)
}

fn load_of(
    lot: &PreparedLot<'_>,
    silver: &LotSilver,
    terms: &RefinerTerms,
    whole: Bulk,
    at: &str,
) -> Result<Load, Fault> {
    Ok(Load {
        silver_g: silver.silver_g.to_decimal().map_err(|_| too_large(at))?,
        mass_kg: whole.mass_kg,
        volume_l: whole.volume_l,
        container_count: lot.batches.len(),
        present: present(lot, terms),
    })
}

/// In how many batches each constituent is that a surcharge of the terms is about.
fn present(lot: &PreparedLot<'_>, terms: &RefinerTerms) -> Vec<(Constituent, usize)> {
    let surcharges = &terms.payment.surcharges;
    let mut counts: Vec<(Constituent, usize)> = Vec::new();
    for about in surcharges.iter().filter_map(|s| s.when) {
        let count = || lot.batches.iter().filter(|b| b.holds(about)).count();
        if !counts.iter().any(|(c, _)| *c == about) {
            counts.push((about, count()));
        }
    }
    counts
}

fn lot_bulks(
    lot: &PreparedLot<'_>,
    at: &str,
    notes: &mut Notes,
) -> Result<(Vec<Bulk>, Bulk), Fault> {
    let wrong = |_: TooLarge| too_large(at);
    let bulks = lot
        .batches
        .iter()
        .map(|b| bulk(b.batch, &b.at, "/mass_kg", notes))
        .collect::<Result<Vec<Bulk>, TooLarge>>()
        .map_err(wrong)?;
    let whole = lot_bulk(&bulks).map_err(wrong)?;
    Ok((bulks, whole))
}

/// Values a lot whose silver has been estimated. `at` is the lot's own place in the request.
///
/// Acceptance comes first; then the gross value (silver x price), every deduction on its own line,
/// the net, which may be negative and says so, and the share of each batch. A batch without a
/// figure leaves the value unknown, never zero. At USD 30 per troy ounce and 90 % payable a lot
/// minimum of USD 300 takes 11.1 ozt (346 g) to break even.
///
/// # Errors
/// Mixed currencies, and figures too large for exact money.
pub fn value_prepared_lot(
    lot: &PreparedLot<'_>,
    at: &str,
    market: &Market<'_>,
    on: Option<Date>,
    notes: &mut Notes,
) -> Result<Valuation, Faults> {
    Faults::none_of(market.faults())?;
    notes.cite("troy_ounce");
    check_price_age(market, on, notes)?;
    let (bulks, whole) = lot_bulks(lot, at, notes)?;
    let haulage = match market.haulage_terms {
        Some(terms) => {
            let batches: Vec<_> = lot.batches.iter().map(|b| b.batch).collect();
            let place = format!("{at}/batches");
            Some(notes.within("/haulage", |notes| {
                haulage_cost(&batches, terms, &place, market.haulage_at, notes)
            })?)
        }
        None => None,
    };
    let silver = lot_silver(lot, at, notes);
    let judged = acceptance::judge(
        lot,
        &bulks,
        whole.mass_kg,
        market.terms.accepts(),
        &format!("{}/acceptance", market.terms_at),
        notes,
    );
    let outcome = if judged.refused.is_empty() {
        match &silver {
            Ok(silver) => {
                let load = load_of(lot, silver, market.terms, whole, at)?;
                result::settlement(
                    lot,
                    &bulks,
                    silver,
                    &load,
                    market,
                    judged.conditions,
                    on,
                    notes,
                )
                .map_err(|TooLarge| too_large(at))?
            }
            Err(unknown) => ValuationOutcome::ValueUnknown {
                reasons: unknown
                    .iter()
                    .map(|u| format!("{}: {}", u.batch, u.reason))
                    .collect(),
                conditions: judged.conditions,
            },
        }
    } else {
        ValuationOutcome::NotAccepted {
            reasons: judged.refused,
        }
    };
    suspect_surcharges(lot, market, notes);
    Ok(Valuation {
        lot: lot.id.clone(),
        form: lot.form,
        currency: market.price.currency,
        container_count: lot.batches.len(),
        mass_kg: whole
            .mass_kg
            .and_then(|m| m.to_f64())
            .map(crate::quantity::ComputedKilograms::of),
        volume_l: whole
            .volume_l
            .and_then(|v| v.to_f64())
            .map(crate::quantity::ComputedLitres::of),
        silver: silver.ok(),
        outcome,
        haulage,
    })
}

fn check_price_age(market: &Market<'_>, on: Option<Date>, notes: &mut Notes) -> Result<(), Fault> {
    let (Some(on), Some(of)) = (on, market.price.as_of_on) else {
        return Ok(());
    };
    let age = on.days_since(of);
    if age < 0 {
        return Err(Fault::new(
            FaultKind::DateOrder,
            format!("{}/as_of_on", market.price_at),
            format!("{of} is after {on}: expected a price of that day or before"),
        ));
    }
    let stale = defaults()
        .price_stale_after_days
        .value
        .to_i64()
        .unwrap_or(7);
    if age > stale {
        notes.warn(
            "/outcome",
            Severity::Note,
            format!("The price of silver is {age} days old: look it up again before you send."),
        );
    }
    Ok(())
}

/// Warns of a surcharge that a constituent nobody stated may still bring.
fn suspect_surcharges(lot: &PreparedLot<'_>, market: &Market<'_>, notes: &mut Notes) {
    for surcharge in &market.terms.payment.surcharges {
        let Some(constituent) = surcharge.when else {
            continue;
        };
        if lot.batches.iter().any(|b| b.holds(constituent)) {
            continue;
        }
        if let Some(text) = acceptance::suspected(lot, constituent) {
            notes.warn(
                "/outcome",
                Severity::Caution,
                format!(
                    "{text} The surcharge `{}` would then apply.",
                    surcharge.name
                ),
            );
        }
    }
}
