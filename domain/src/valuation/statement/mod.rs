//! Whether a refiner's statement agrees with what was sent and with the terms, and what to ask for
//! where it does not. What the terms leave is worked out by the settlement of valuations; nothing here
//! makes a second one.

mod data;
mod found;
mod money;
mod request;
mod result;

pub(crate) use data::{refiner_spread, sources};
pub use request::{
    AssayExchange, MOST_LINES, ReceivedLot, RefinerStatement, SettlementCheckRequest, StatementLine,
};
pub use result::{
    AskFor, AssayFinding, ComparedAmount, ComparedLine, MoneyCheck, SettlementCheck,
    SettlementVerdict, SilverDifference, UmpireCost,
};

use super::settlement::SETTLEMENT;
use super::{MOST_SURCHARGES, Market};
use crate::answer::{Answer, Method, Notes, Severity};
use crate::bibliography::reference;
use crate::estimate::{STATED_FIGURE, Spread, bare_text};
use crate::fault::{Fault, FaultKind, Faults, at_most};
use crate::quantity::{
    ComputedFactor, ComputedGrams, Exact, Grams, MeasuredGrams, PercentWW, SignedAmount, TooLarge,
    nearest_double,
};
use crate::waste::rule_set::RuleSetName;
use data::data;
use found::Found;
use money::check_money;
use rust_decimal::Decimal;

/// Beyond this many standard uncertainties two figures of silver are not the same (95 %).
pub(crate) const FAR: f64 = 1.96;

/// Silver against silver.
pub(super) const DIFFERENCE: Method = Method {
    name: "silver reported against silver sent",
    formula: "d = reported - sent; u = sqrt(u_sent^2 + u_reported^2), the two being independent; beyond chance where |d| > 1.96 u",
    source: "jcgm100",
};

/// Assay against assay.
pub(super) const SPLITTING: Method = Method {
    name: "splitting limit",
    formula: "|own assay - refiner's assay| <= limit: the mean settles; else the umpire's assay settles; silver = dry mass x assay",
    source: "filed_refining_agreement",
};

/// Who pays the umpire.
pub(super) const UMPIRE: Method = Method {
    name: "cost of the umpire assay",
    formula: "the party whose assay lies further from the umpire's pays; equally far, they share (common practice, from memory)",
    source: "umpire_cost",
};

/// Line against line.
pub(super) const LINES: Method = Method {
    name: "statement against terms",
    formula: "difference = statement - terms, line by line, for the silver reported; one minor unit for each line and for the gross may be rounding",
    source: "house_rule",
};

/// Answers `POST /v1/settlement-checks`: what the refiner reported and paid, against what was sent and
/// what the terms say.
///
/// # Errors
/// Two currencies, no silver sent, a statement that says nothing, what the terms charge by and the
/// request does not say.
///
/// ```
/// use spent_silver_domain::valuation::{SettlementCheckRequest, SettlementVerdict, check_settlement};
/// // 100 g sent, 90 g reported: 10 g less, u = sqrt(2^2 + 0.45^2) = 2.05 g, 4.9 times it.
/// let request: SettlementCheckRequest = serde_json::from_str(r#"{
///   "expected_silver_g": {"value": "100", "standard_uncertainty": "2"}, "reported_silver_g": "90",
///   "price": {"amount": "1.00", "currency": "USD", "per": "gram"},
///   "terms": {"currency": "USD", "payment": {"payable_percent": "90", "treatment": {"per_lot": "20"}}},
///   "statement": {"currency": "USD", "net_paid": "61.00"}}"#).unwrap();
/// let check = check_settlement(&request).unwrap().result;
/// assert_eq!(check.verdict, SettlementVerdict::SilverDiffers);
/// // 90 g at 90 % are 81.00, less 20.00.
/// assert_eq!(check.money.net.difference.unwrap().to_string(), "0.00");
/// ```
pub fn check_settlement(
    request: &SettlementCheckRequest,
) -> Result<Answer<SettlementCheck>, Faults> {
    let mut notes = Notes::new();
    Faults::none_of(faults(request))?;
    let silver = compare_silver(request, &mut notes)?;
    let assays = match &request.assay_exchange {
        Some(exchange) => Some(compare_assays(request, exchange, &mut notes)?),
        None => None,
    };
    let settling = assays.as_ref().and_then(|a| a.settling_silver_g);
    notes.method("/money", SETTLEMENT);
    notes.cite("troy_ounce");
    if request.statement.is_some() {
        notes.method("/money", LINES);
    }
    let money = check_money(request, settling.map(Grams::decimal), &mut notes)?;
    let found = Found::of(request, &silver, assays.as_ref(), &money);
    let (verdict, reasons) = (found.verdict(), found.reasons(request));
    let severity = match verdict {
        SettlementVerdict::Agrees
        | SettlementVerdict::SilverAgrees
        | SettlementVerdict::TooUncertain => Severity::Note,
        _ => Severity::Caution,
    };
    if let (false, Some(first)) = (verdict == SettlementVerdict::Agrees, reasons.first()) {
        notes.warn("/verdict", severity, first.clone());
    }
    let ask_for: Vec<AskFor> = data()
        .ask
        .iter()
        .filter(|a| a.when.iter().any(|v| found.asks_about(*v)))
        .map(|a| AskFor {
            what: a.what.clone(),
            why: a.why.clone(),
            source: a.source.clone(),
        })
        .collect();
    for ask in &ask_for {
        if let Some(source) = reference(&ask.source) {
            notes.cite(&source.key);
        }
    }
    let check = SettlementCheck {
        shipment: request.shipment.clone(),
        verdict,
        reasons,
        ask_for,
        silver,
        assays,
        money: money.check,
    };
    Ok(notes.answer(check, request.rule_set.map(RuleSetName::rules)))
}

fn faults(request: &SettlementCheckRequest) -> Vec<Fault> {
    let market = Market {
        price: &request.price,
        price_at: "/price",
        terms: &request.terms,
        terms_at: "/terms",
        haulage_terms: None,
        haulage_at: "",
    };
    let mut faults = market.faults();
    if request.expected_silver_g.decimal().is_zero() {
        faults.push(Fault::out_of_range(
            "/expected_silver_g",
            0,
            "more than 0 g of silver sent",
        ));
    }
    if let Some(lot) = &request.received {
        faults.extend(
            at_most(
                "/received/constituents",
                lot.constituents.len(),
                MOST_SURCHARGES,
            )
            .err(),
        );
        if lot.container_count == Some(0) {
            faults.push(Fault::out_of_range(
                "/received/container_count",
                0,
                "1 or more",
            ));
        }
        if let (Some(wet), Some(dry)) = (lot.mass_kg, lot.dry_mass_kg)
            && dry > wet
        {
            faults.push(Fault::new(
                FaultKind::Conflict,
                "/received/dry_mass_kg",
                "the dry mass is above the mass as received: expected no more than mass_kg",
            ));
        }
    }
    if let Some(statement) = &request.statement {
        faults.extend(market.same_currency(statement.currency, "/statement"));
        faults.extend(
            at_most(
                "/statement/deductions",
                statement.deductions.len(),
                MOST_LINES,
            )
            .err(),
        );
        if statement.net_paid.is_some() && statement.net_billed.is_some() {
            faults.push(Fault::new(
                FaultKind::Conflict,
                "/statement/net_billed",
                "paid and billed at once: expected net_paid, or net_billed where the charges took more than the silver brought",
            ));
        }
        if statement.gross_value.is_none()
            && statement.deductions.is_empty()
            && statement.net_paid.is_none()
            && statement.net_billed.is_none()
        {
            faults.push(Fault::missing(
                "/statement/net_paid",
                "what was paid, or net_billed, gross_value or deductions",
            ));
        }
    }
    faults
}

pub(super) fn too_large(at: &str) -> impl Fn(TooLarge) -> Fault {
    move |_| {
        Fault::out_of_range(
            at,
            "the money of the shipment",
            "figures small enough for exact money",
        )
    }
}

fn uncertainty(
    reading: &MeasuredGrams,
    bare: Spread,
    field: &str,
    words: &str,
    source: &'static str,
    notes: &mut Notes,
) -> f64 {
    match reading.standard_uncertainty() {
        Some((u, _)) => u,
        None => {
            notes.assume("/silver", field, source, bare_text(reading, words, bare));
            bare.standard(reading.as_f64()).0
        }
    }
}

fn compare_silver(
    request: &SettlementCheckRequest,
    notes: &mut Notes,
) -> Result<SilverDifference, Fault> {
    notes.method("/silver", DIFFERENCE);
    let (expected, reported) = (&request.expected_silver_g, &request.reported_silver_g);
    let refiner = &data().refiner_figure;
    let source = reference(&refiner.source).map_or("common_practice", |r| r.key.as_str());
    let u_expected = uncertainty(
        expected,
        STATED_FIGURE,
        "/expected_silver_g",
        "",
        "common_practice",
        notes,
    );
    let u_reported = uncertainty(
        reported,
        refiner_spread(),
        "/reported_silver_g",
        "a refiner's figure",
        source,
        notes,
    );
    let exact = reported.decimal().saturating_sub(expected.decimal());
    let difference = nearest_double(exact);
    let u = u_expected.hypot(u_reported);
    let ratio = difference / u;
    let worth = request
        .price
        .value_of(exact)
        .ok_or(TooLarge)
        .map_err(too_large("/price/amount"))?;
    Ok(SilverDifference {
        expected_g: ComputedGrams::of(expected.as_f64()),
        expected_standard_uncertainty_g: ComputedGrams::of(u_expected),
        reported_g: ComputedGrams::of(reported.as_f64()),
        reported_standard_uncertainty_g: ComputedGrams::of(u_reported),
        difference_g: ComputedGrams::of(difference),
        standard_uncertainty_g: ComputedGrams::of(u),
        standardized_difference: ratio.is_finite().then(|| ComputedFactor::of(ratio)),
        beyond_chance: difference.abs() > FAR * u,
        worth: SignedAmount::rounded(worth, request.price.currency),
    })
}

fn compare_assays(
    request: &SettlementCheckRequest,
    exchange: &AssayExchange,
    notes: &mut Notes,
) -> Result<AssayFinding, Fault> {
    notes.method("/assays", SPLITTING);
    let usual = &data().splitting_limit;
    let limit = match exchange.splitting_limit_percent_w_w {
        Some(limit) => limit.decimal(),
        None => {
            let source = reference(&usual.source).map_or("common_practice", |r| r.key.as_str());
            notes.assume(
                "/assays/splitting_limit_percent_w_w",
                "/assay_exchange/splitting_limit_percent_w_w",
                source,
                format!(
                    "The splitting limit is not stated: taken as {}, from one refining agreement; your terms may say otherwise.",
                    usual.words()
                ),
            );
            usual.value
        }
    };
    let (own, refiner) = (
        exchange.own_percent_w_w.decimal(),
        exchange.refiner_percent_w_w.decimal(),
    );
    let far = |other: Decimal, from: Decimal| other.saturating_sub(from).abs();
    let apart = far(own, refiner);
    let within = apart <= limit;
    let umpire = exchange.umpire_percent_w_w.map(|u| u.decimal());
    let wrong = too_large("/assay_exchange");
    let settling = if within {
        let mean = (Exact::from(own) + Exact::from(refiner)) / Exact::from(Decimal::TWO);
        Some(mean.finish().map_err(&wrong)?)
    } else {
        umpire
    };
    let cost = umpire.filter(|_| !within).map(|umpire| {
        notes.method("/assays/umpire_cost", UMPIRE);
        match far(own, umpire).cmp(&far(refiner, umpire)) {
            std::cmp::Ordering::Greater => UmpireCost::You,
            std::cmp::Ordering::Less => UmpireCost::Refiner,
            std::cmp::Ordering::Equal => UmpireCost::Shared,
        }
    });
    let dry = request.received.as_ref().and_then(|r| r.dry_mass_kg);
    let silver = settling
        .zip(dry)
        .map(|(percent, dry)| {
            let grams = Exact::from(dry.decimal())
                * Exact::from(Decimal::ONE_THOUSAND)
                * Exact::percent(percent);
            grams.finish().map_err(&wrong)
        })
        .transpose()?;
    let share = |value: Decimal| {
        PercentWW::new(value)
            .map_err(|words| Fault::new(FaultKind::OutOfRange, "/assay_exchange", words))
    };
    Ok(AssayFinding {
        apart_percent_w_w: share(apart)?,
        splitting_limit_percent_w_w: share(limit)?,
        within,
        settling_percent_w_w: settling.map(share).transpose()?,
        settling_silver_g: silver
            .map(|g| {
                Grams::new(g).map_err(|words| {
                    Fault::new(FaultKind::OutOfRange, "/received/dry_mass_kg", words)
                })
            })
            .transpose()?,
        umpire_cost: cost,
    })
}
