//! The whole job for one studio: every container, every lot, what silver costs, and what to do next.

mod dealings;
mod lots;
mod request;
mod result;
mod to_do;

pub use dealings::Dealings;
pub use request::{ReportLot, ReportRequest, Studio};
pub use result::{BatchReport, KeepApart, LotReport, Report, ToDo, Totals, Urgency};

use crate::answer::{Answer, Method, Notes, Severity};
use crate::batch::{Batch, BatchKind, BatchStatus, Craft};
use crate::budget::{Budget, BudgetPrices, SilverNitratePrice, budget_silver_use};
use crate::decision::{
    Circumstances, LotAction, LotClocks, RecoveryOffer, RestoreTerms, decide_lot,
};
use crate::estimate::{Agreement, Estimate, estimate_batch, silver_together};
use crate::fault::{Fault, FaultKind, Faults, at_most};
use crate::quantity::{ComputedGrams, ComputedTroyOunces, Currency, SignedAmount, TROY_OUNCE_G};
use crate::recovery::{RecoveryOptions, RecoveryPlans, recovery_plans_of};
use crate::substance::Group;
use crate::valuation::{Market, value_prepared_lot};
use crate::waste::classification::{Examined, Site, classify_examined};
use crate::waste::contents::{Contents, implied_groups};
use crate::waste::neutralization::{Base, CarbonDioxide, Wish, neutralize_batch};
use crate::waste::pour::objection;
use crate::waste::rule_set::{RuleSet, RuleSetName};
use lots::{Planned, joined, offer_of, plan_lots};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;
use std::sync::Arc;

/// Most containers one report may list.
pub const MOST_BATCHES: usize = 200;

/// Sums over a studio.
pub const TOTALS: Method = Method {
    name: "sum_over_containers",
    formula: "m(Ag) = sum of the containers' figures; u^2 = sum of their u^2, the containers taken as independent; 95 % interval m - 1.96 u to m + 1.96 u, not below 0, and of a single container its own",
    source: "jcgm100",
};

/// Every method of this module.
pub const METHODS: &[Method] = &[TOTALS];

/// Answers all six questions for a studio (`POST /v1/reports`): how much silver, what is it worth,
/// what to do and when, what is it in law, how to make it safe, what does it cost.
///
/// # Errors
/// Every fault found in the batches, the lots, the terms and the currencies.
///
/// ```
/// use spent_silver_domain::report::{ReportRequest, report_studio};
/// let request: ReportRequest = serde_json::from_str(r#"{"studio": {"name": "A shed"}, "on": "2026-11-25",
///   "batches": [{"id": "old", "kind": "ammoniacal_silver"}]}"#).unwrap();
/// let report = report_studio(&request).unwrap().result;
/// // Silver with ammonia is never kept: it heads the list, whatever it is worth.
/// assert!(report.to_do[0].what.contains("salt water"));
/// ```
pub fn report_studio(request: &ReportRequest) -> Result<Answer<Report>, Faults> {
    check(request)?;
    let mut notes = Notes::for_parts(request.batches.len());
    let batches = with_crafts(request, &mut notes);
    let estimates = estimate_all(&batches, &mut notes)?;
    let planned = plan_lots(request, &batches, &estimates)
        .map_err(|f| Faults::none_of(f).err().unwrap_or_else(nothing))?;
    let contents: Vec<Contents> = batches.iter().map(implied_groups).collect();
    let reports = report_batches(request, &batches, &contents, &estimates, &mut notes)?;
    let lots = report_lots(
        request, &batches, &estimates, &reports, &planned, &mut notes,
    )?;
    let keep_apart = keep_apart(&batches, &contents, &mut notes);
    let budget = budget(request, &mut notes)?;
    let totals = totals(request, &estimates, &lots, &mut notes);
    let to_do = to_do::rank(request.on, &batches, &reports, &lots);
    let report = Report {
        studio: request.studio.name.clone(),
        on: request.on,
        to_do,
        totals,
        batches: reports,
        keep_apart,
        lots,
        budget,
    };
    Ok(notes.answer(report, request.rule_set.map(|r| r.rules())))
}

fn nothing() -> Faults {
    Fault::missing("/batches", "at least one container").into()
}

fn rules(request: &ReportRequest) -> &'static RuleSet {
    request
        .rule_set
        .map_or_else(RuleSet::unspecified, RuleSetName::rules)
}

fn check(request: &ReportRequest) -> Result<(), Faults> {
    let mut faults = Vec::new();
    if request.batches.is_empty() {
        return Err(nothing());
    }
    at_most("/batches", request.batches.len(), MOST_BATCHES)?;
    at_most("/studio/crafts", request.studio.crafts.len(), 4)?;
    for (i, batch) in request.batches.iter().enumerate() {
        let earlier = request.batches.iter().take(i).any(|b| b.id == batch.id);
        if earlier {
            faults.push(Fault::new(
                FaultKind::Conflict,
                format!("/batches/{i}/id"),
                format!(
                    "`{}` names two containers: expected a name of its own",
                    batch.id
                ),
            ));
        }
        faults.extend(batch.faults(&format!("/batches/{i}")));
    }
    if request.terms.is_some() && request.price.is_none() {
        faults.push(Fault::missing("/price", "the metal's price, for the terms"));
    }
    if request.price.is_some() && request.terms.is_none() && request.silver_use.is_none() {
        faults.push(Fault::missing(
            "/terms",
            "what the price is for: a refiner's terms or the silver used",
        ));
    }
    if request.silver_use.is_some() && request.price.is_none() {
        faults.push(Fault::missing(
            "/price",
            "the metal's price, for the budget",
        ));
    }
    Faults::none_of(faults)
}

/// A batch of unstated craft takes the studio's: collodion where that is one of them, because a
/// fixer may then be cyanide.
fn with_crafts(request: &ReportRequest, notes: &mut Notes) -> Vec<Batch> {
    let crafts = &request.studio.crafts;
    let default = if crafts.contains(&Craft::Collodion) {
        Some(Craft::Collodion)
    } else if crafts.len() == 1 {
        crafts.first().copied()
    } else {
        None
    };
    request
        .batches
        .iter()
        .enumerate()
        .map(|(i, batch)| {
            let mut batch = batch.clone();
            if batch.craft.is_none() && batch.kind.is_liquid() && default.is_some() {
                batch.craft = default;
                let text = if default == Some(Craft::Collodion) {
                    "Craft not stated in a studio that works collodion: taken as collodion, the careful reading (a fixer may be cyanide, a bath may hold alcohol)."
                } else {
                    "Craft not stated: taken as the studio's only one."
                };
                notes.assume(&format!("/batches/{i}"), format!("/batches/{i}/craft"), "house_rule", text);
            }
            batch
        })
        .collect()
}

fn unknown() -> Estimate {
    Estimate::unknown(Vec::new(), Agreement::Single {})
}

fn estimate_all(batches: &[Batch], notes: &mut Notes) -> Result<Vec<Estimate>, Faults> {
    let mut faults = Vec::new();
    let mut estimates = Vec::with_capacity(batches.len());
    for (i, batch) in batches.iter().enumerate() {
        if batch.evidence.is_empty() {
            estimates.push(unknown());
            continue;
        }
        let at = format!("/batches/{i}");
        let found = notes.within(&format!("{at}/estimate"), |notes| {
            estimate_batch(batch, &at, notes)
        });
        match found {
            Ok(estimate) => estimates.push(estimate),
            Err(more) => faults.extend(more.list().iter().cloned()),
        }
    }
    Faults::none_of(faults)?;
    Ok(estimates)
}

fn site(request: &ReportRequest) -> Site {
    let studio = &request.studio;
    Site {
        rules: rules(request),
        on: request.on,
        premises: studio.premises,
        other_hazardous_waste_kg: studio.other_hazardous_waste_kg,
        other_acute_waste_kg: studio.other_acute_waste_kg,
        haul_distance_km: studio.haul_distance_km,
        local_silver_limit: studio.local_silver_limit.clone(),
        shares: Arc::default(),
    }
}

fn report_batches(
    request: &ReportRequest,
    batches: &[Batch],
    contents: &[Contents],
    estimates: &[Estimate],
    notes: &mut Notes,
) -> Result<Vec<BatchReport>, Faults> {
    let mut site = site(request);
    let examined: Vec<Examined<'_>> = batches
        .iter()
        .zip(contents)
        .zip(estimates)
        .enumerate()
        .map(|(i, ((batch, contents), estimate))| {
            let estimate = measured(batch, estimate);
            let at = format!("/batches/{i}");
            let aside = notes.aside(&format!("{at}/classification"));
            Examined::new(batch, contents, estimate, &site, &at, aside)
        })
        .collect();
    // The site has one mass in a month, whichever of its containers is looked at.
    site.shares = batches
        .iter()
        .zip(&examined)
        .map(|(batch, examined)| examined.share(batch, &site))
        .collect();
    let options = RecoveryOptions {
        at: "",
        means: request.means.as_deref(),
        price: request.price.as_ref(),
        reagent_prices: &request.reagent_prices,
        current_a: request.current_a,
        recommended_only: true,
        curves: request.curves.unwrap_or(false),
        ..RecoveryOptions::default()
    };
    let mut faults = Vec::new();
    let mut reports = Vec::with_capacity(batches.len());
    let batches = batches.iter().zip(contents).zip(estimates).zip(examined);
    for (i, (((batch, contents), estimate), examined)) in batches.enumerate() {
        let at = format!("/batches/{i}");
        let found = notes.within(&at, |notes| {
            report_batch(
                (batch, contents),
                estimate,
                examined,
                &site,
                &options,
                &at,
                notes,
            )
        });
        match found {
            Ok(report) => reports.push(report),
            Err(more) => faults.extend(more.list().iter().cloned()),
        }
    }
    Faults::none_of(faults)?;
    Ok(reports)
}

fn measured<'a>(batch: &Batch, estimate: &'a Estimate) -> Option<&'a Estimate> {
    (!batch.evidence.is_empty()).then_some(estimate)
}

fn report_batch(
    (batch, contents): (&Batch, &Contents),
    estimate: &Estimate,
    examined: Examined<'_>,
    site: &Site,
    options: &RecoveryOptions<'_>,
    at: &str,
    notes: &mut Notes,
) -> Result<BatchReport, Faults> {
    let bears_silver = examined.bears_silver(batch);
    let danger = examined.danger.clone();
    let classification = notes.within("/classification", |notes| {
        classify_examined(batch, measured(batch, estimate), examined, site, at, notes)
    })?;
    let recovery = if bears_silver || estimate.figure().is_some() {
        Some(notes.within("/recovery", |notes| {
            recovery_plans_of((batch, contents), estimate, options, at, notes)
        })?)
    } else {
        None
    };
    let acid = batch.kind == BatchKind::StopBath || batch.states(Group::Acid);
    let neutralization =
        if acid && batch.kind.is_liquid() && batch.status != Some(BatchStatus::InUse) {
            let wish = Wish {
                base: Base::SodiumBicarbonate,
                target_ph: None,
                carbon_dioxide: CarbonDioxide::VentsAtSaturation,
                rules: site.rules,
            };
            Some(notes.within("/neutralization", |notes| {
                neutralize_batch(batch, &wish, at, notes)
            })?)
        } else {
            None
        };
    Ok(BatchReport {
        id: batch.id.clone(),
        kind: batch.kind,
        status: batch.status,
        estimate: measured(batch, estimate).cloned(),
        danger,
        classification,
        recovery,
        neutralization,
    })
}

fn report_lots(
    request: &ReportRequest,
    batches: &[Batch],
    estimates: &[Estimate],
    reports: &[BatchReport],
    planned: &[Planned<'_>],
    notes: &mut Notes,
) -> Result<Vec<LotReport>, Faults> {
    let (Some(price), Some(terms)) = (&request.price, &request.terms) else {
        notes.warn(
            "/lots",
            Severity::Note,
            "Without the price of silver and a refiner's terms nothing is valued and no lot is decided.",
        );
        return Ok(Vec::new());
    };
    let market = Market {
        price,
        price_at: "/price",
        terms,
        terms_at: "/terms",
        haulage_terms: request.haulage_terms.as_ref(),
        haulage_at: "/haulage_terms",
    };
    let mut faults = market.faults();
    let mut out = Vec::with_capacity(planned.len());
    for (i, lot) in planned.iter().enumerate() {
        if !faults.is_empty() {
            break;
        }
        let found = notes.within(&format!("/lots/{i}"), |notes| {
            report_lot(
                request, batches, estimates, reports, lot, planned, &market, notes,
            )
        });
        match found {
            Ok(report) => out.push(report),
            Err(more) => faults.extend(more.list().iter().cloned()),
        }
    }
    Faults::none_of(faults)?;
    Ok(out)
}

/// What a bottle of silver nitrate costs the studio, where it says so in the currency of the metal.
fn bought_silver_nitrate(request: &ReportRequest, currency: Currency) -> Option<RestoreTerms> {
    let silver_use = request.silver_use.as_ref()?;
    match silver_use.silver_nitrate {
        SilverNitratePrice::Quoted { amount, for_g }
            if silver_use.currency == currency && !for_g.decimal().is_zero() =>
        {
            Some(RestoreTerms {
                currency,
                bottle_price: amount,
                bottle_g: for_g,
                target_strength_percent_w_v: None,
                upkeep_cost: None,
                ammonium_free: None,
            })
        }
        _ => None,
    }
}

#[expect(
    clippy::too_many_arguments,
    reason = "each is a stage already worked out, and this is the one caller"
)]
fn report_lot(
    request: &ReportRequest,
    batches: &[Batch],
    estimates: &[Estimate],
    reports: &[BatchReport],
    planned: &Planned<'_>,
    all: &[Planned<'_>],
    market: &Market<'_>,
    notes: &mut Notes,
) -> Result<LotReport, Faults> {
    let lot = planned.prepared(batches, estimates, reports);
    let mut clocks = LotClocks::default();
    let members: Vec<&BatchReport> = planned
        .members
        .iter()
        .filter_map(|m| reports.get(*m))
        .collect();
    for member in &members {
        clocks.add(&member.classification);
    }
    let stated = planned.stated;
    let derived: Vec<RecoveryOffer> = match stated {
        Some(s) if !s.recovery_offers.is_empty() => s.recovery_offers.clone(),
        _ => {
            let plans: Option<Vec<&RecoveryPlans>> =
                members.iter().map(|m| m.recovery.as_ref()).collect();
            let figures: Vec<&Estimate> = planned
                .members
                .iter()
                .filter_map(|m| estimates.get(*m))
                .collect();
            let alone = plans.and_then(|plans| offer_of(&plans, &figures, market.price.currency));
            let with_others = alone.as_ref().and_then(|offer| {
                let host = all
                    .iter()
                    .find(|l| l.id != planned.id && l.form == offer.product_form)?;
                joined(offer, market.terms, &host.id)
            });
            alone.into_iter().chain(with_others).collect()
        }
    };
    let bought = bought_silver_nitrate(request, market.price.currency);
    let restore = stated.and_then(|s| s.restore.as_ref());
    let circumstances = Circumstances {
        at: &planned.at,
        fill_rate_g_per_month: stated.and_then(|s| s.fill_rate_g_per_month),
        fill_rate_l_per_month: stated.and_then(|s| s.fill_rate_l_per_month),
        holding_cost_per_month: stated.and_then(|s| s.holding_cost_per_month),
        capacity_l: stated.and_then(|s| s.capacity_l),
        must_leave_by_on: stated.and_then(|s| s.must_leave_by_on),
        recovery_offers: &derived,
        restore: restore.or(bought.as_ref()),
        clock: clocks.runs.as_ref(),
        possible_clock: clocks.may_run.as_ref(),
        rules: request.rule_set.map(|r| r.rules()),
        ..Circumstances::on(request.on)
    };
    Faults::none_of(circumstances.faults(market))?;
    let valuation = notes.within("/valuation", |notes| {
        value_prepared_lot(&lot, &planned.at, market, Some(request.on), notes)
    })?;
    let decision = notes.within("/decision", |notes| {
        decide_lot(&lot, &planned.at, market, &valuation, &circumstances, notes)
    })?;
    if restore.is_none() && bought.is_some() && decision.restore.is_some() {
        notes.assume(
            "/decision/restore",
            "/silver_use/silver_nitrate/quoted",
            "house_rule",
            "The silver nitrate that a restored bath keeps is priced as the studio buys it.",
        );
    }
    Ok(LotReport {
        id: planned.id.clone(),
        batches: members.iter().map(|m| m.id.clone()).collect(),
        valuation,
        decision,
    })
}

/// Every pair of containers that the pour rules block.
fn keep_apart(batches: &[Batch], contents: &[Contents], notes: &mut Notes) -> Vec<KeepApart> {
    let groups: Vec<Vec<Group>> = contents
        .iter()
        .map(|c| c.held().iter().map(|h| h.group).collect())
        .collect();
    let mut pairs = Vec::new();
    for (i, a) in batches.iter().enumerate() {
        for (j, b) in batches.iter().enumerate().skip(i.saturating_add(1)) {
            let (Some(x), Some(y)) = (groups.get(i), groups.get(j)) else {
                continue;
            };
            let Some(objection) = objection(x, y) else {
                continue;
            };
            notes.cite(objection.source);
            pairs.push(KeepApart {
                batches: [a.id.clone(), b.id.clone()],
                happens: objection.happens.to_owned(),
                apart_everywhere: objection.apart_everywhere,
            });
        }
    }
    pairs.sort_by_key(|p| !p.apart_everywhere);
    pairs
}

fn budget(request: &ReportRequest, notes: &mut Notes) -> Result<Option<Budget>, Faults> {
    let (Some(silver_use), Some(price)) = (&request.silver_use, &request.price) else {
        return Ok(None);
    };
    let prices = BudgetPrices {
        metal: price,
        metal_at: "/price",
        range: request.price_range.as_ref(),
        range_at: "/price_range",
    };
    notes
        .within("/budget", |notes| {
            budget_silver_use(silver_use, "/silver_use", prices, notes)
        })
        .map(Some)
}

fn totals(
    request: &ReportRequest,
    estimates: &[Estimate],
    lots: &[LotReport],
    notes: &mut Notes,
) -> Totals {
    notes.method("/totals", TOTALS);
    let sum = silver_together(estimates);
    let ounce = TROY_OUNCE_G.to_f64().unwrap_or(31.103_476_8);
    let silver_g = ComputedGrams::of(sum.silver_g);
    let currency = request.price.as_ref().map(|p| p.currency);
    let metal_value = request.price.as_ref().and_then(|p| {
        let value = p.value_of(silver_g.to_decimal().ok()?)?;
        Some(SignedAmount::rounded(value, p.currency))
    });
    let decided: Vec<(LotAction, Decimal)> = lots
        .iter()
        .filter_map(|l| {
            let first = l.decision.alternatives.first()?;
            Some((first.action, first.net?.decimal()))
        })
        .collect();
    let sum_of = |counts: &dyn Fn(LotAction) -> bool| {
        let mut nets = decided.iter().filter(|(a, _)| counts(*a)).peekable();
        nets.peek()?;
        let sum = nets.try_fold(Decimal::ZERO, |sum, (_, n)| sum.checked_add(*n))?;
        Some(SignedAmount::rounded(sum, currency?))
    };
    Totals {
        container_count: estimates.len(),
        measured_count: estimates.iter().filter(|e| e.figure().is_some()).count(),
        silver_g,
        standard_uncertainty_g: ComputedGrams::of(sum.standard_uncertainty_g),
        interval_95_g: sum.interval_95_g,
        silver_ozt: ComputedTroyOunces::of(sum.silver_g / ounce),
        currency,
        metal_value,
        net_as_decided: sum_of(&|_| true),
        kept_by_restoring: sum_of(&|action| action == LotAction::Restore),
        lots_without_figure_count: lots.len().saturating_sub(decided.len()),
    }
}
