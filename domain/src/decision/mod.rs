//! The decision on a lot: send, hold, restore, recover here, haul away, measure first, or act today.
//!
//! Safety comes first and is not weighed against money; then cyanide and its kin, which go to a
//! licensed contractor; then what is not known; only then money.

mod alternatives;
mod chance;
mod choose;
mod decide;
mod limits;
pub(crate) mod restore;
mod result;
mod safety;
mod shipping;
mod words;

pub use decide::decide_lot;
pub use limits::{DateLimit, LimitKind};
pub use result::{
    Alternative, Decision, EconomicInterval, LotAction, LotDecision, PlannedShipment, RestorePlan,
};
pub(crate) use safety::{CYANIDE_ACT, CYANIDE_NEVER};
pub use shipping::{EconomicLot, ShippingPlan, economic_lot, shipping_plan};

use crate::answer::{Answer, Method, Notes};
use crate::fault::{Fault, Faults, at_most};
use crate::quantity::{
    Amount, Currency, Date, Grams, GramsPerMonth, Kilograms, Kilometres, Litres, LitresPerMonth,
    MetalPrice, Percent, PercentWV, Text,
};
use crate::valuation::{
    HaulageTerms, Lot, LotForm, Market, PreparedLot, RefinerTerms, batch_estimates, estimate_lot,
    value_prepared_lot,
};
use crate::waste::classification::{Classification, Premises, Site, classify_batch};
use crate::waste::rule_set::{RuleSet, RuleSetName};
use crate::waste::storage::StorageClock;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Every method of a decision.
pub const METHODS: &[Method] = &[
    decide::DECISION,
    decide::BREAK_EVEN_DAY,
    chance::CHANCE,
    limits::CAPACITY,
    restore::RESTORE,
    shipping::ECONOMIC_LOT,
    shipping::SHIPPING_PLAN,
];

/// Most ways of recovery one request may compare.
pub const MOST_OFFERS: usize = 20;
/// Most months a shipping plan looks ahead.
pub const MOST_MONTHS: usize = 60;

/// A way of recovering the silver here, and what it would bring.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct RecoveryOffer {
    /// What the person calls it.
    pub name: Text,
    /// The form in which the silver then travels.
    pub product_form: LotForm,
    /// The share of the silver that comes out.
    pub recovered_percent: Percent,
    /// Currency of `cost`.
    pub currency: Currency,
    /// Reagents, power and wear.
    pub cost: Amount,
    /// Mass of the product; the default follows from the usual silver content of its form.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product_mass_kg: Option<Kilograms>,
    /// Terms for the product; absent means the terms of the request.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terms: Option<RefinerTerms>,
    /// How much silver the equipment takes out in a month.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub throughput_g_per_month: Option<GramsPerMonth>,
}

/// What restoring a working bath costs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct RestoreTerms {
    /// Currency of the amounts.
    pub currency: Currency,
    /// Price of a bottle of silver nitrate.
    pub bottle_price: Amount,
    /// Silver nitrate in the bottle.
    pub bottle_g: Grams,
    /// Strength the bath is brought back to; default 9 % w/v.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target_strength_percent_w_v: Option<PercentWV>,
    /// Filters and other small things.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upkeep_cost: Option<Amount>,
    /// Whether it is known that no ammonium salt was ever in what went through the bath: only then
    /// does bicarbonate go in before sunning.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ammonium_free: Option<bool>,
}

/// Material kept for recovery over the calendar year, of one kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct RecoverableStock {
    /// On hand on 1 January.
    pub january_first_kg: Kilograms,
    /// Recycled or moved since.
    pub moved_this_year_kg: Kilograms,
}

/// Asks what to do with a lot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct DecisionRequest {
    /// The lot with its batches.
    pub lot: Lot,
    /// Price of silver.
    pub price: MetalPrice,
    /// The refiner's terms.
    pub terms: RefinerTerms,
    /// A haulier's terms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub haulage_terms: Option<HaulageTerms>,
    /// Today.
    pub on: Date,
    /// Silver that gathers in a month.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fill_rate_g_per_month: Option<GramsPerMonth>,
    /// Liquid that gathers in a month.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fill_rate_l_per_month: Option<LitresPerMonth>,
    /// Silver expected in each of the coming months, for a shipping plan.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub expected_fill_g: Vec<Grams>,
    /// What keeping this lot costs in a month at its size today, in the currency of the price.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub holding_cost_per_month: Option<Amount>,
    /// What there is room for; default the capacities of the containers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capacity_l: Option<Litres>,
    /// A day by which it must have left, where the person was given one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub must_leave_by_on: Option<Date>,
    /// Material kept for recovery over the year.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recoverable_stock: Option<RecoverableStock>,
    /// What kind of place the waste arises in, for the storage clock.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub premises: Option<Premises>,
    /// Other hazardous waste that arises on the site in the month.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_hazardous_waste_kg: Option<Kilograms>,
    /// Other acute hazardous waste that arises on the site in the month.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_acute_waste_kg: Option<Kilograms>,
    /// How far the waste must travel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub haul_distance_km: Option<Kilometres>,
    /// Standard deviation of the price until settlement; default 10 %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price_spread_percent: Option<Percent>,
    /// Ways of recovering the silver here.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub recovery_offers: Vec<RecoveryOffer>,
    /// What restoring a working bath costs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub restore: Option<RestoreTerms>,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// Everything around a lot that decides when and how it leaves.
#[derive(Debug, Clone, Copy)]
pub struct Circumstances<'a> {
    /// Where the members of this struct stand in the request: the pointer of their parent.
    pub at: &'a str,
    /// Today.
    pub on: Date,
    /// Silver that gathers in a month.
    pub fill_rate_g_per_month: Option<GramsPerMonth>,
    /// Liquid that gathers in a month.
    pub fill_rate_l_per_month: Option<LitresPerMonth>,
    /// Silver expected in each of the coming months.
    pub expected_fill_g: &'a [Grams],
    /// What keeping this lot costs in a month at its size today.
    pub holding_cost_per_month: Option<Amount>,
    /// What there is room for.
    pub capacity_l: Option<Litres>,
    /// A day by which it must have left.
    pub must_leave_by_on: Option<Date>,
    /// Material kept for recovery over the year.
    pub recoverable_stock: Option<&'a RecoverableStock>,
    /// Standard deviation of the price until settlement.
    pub price_spread_percent: Option<Percent>,
    /// Ways of recovering the silver here.
    pub recovery_offers: &'a [RecoveryOffer],
    /// What restoring a working bath costs.
    pub restore: Option<&'a RestoreTerms>,
    /// The storage clock that runs, of all batches the one that ends first.
    pub clock: Option<&'a StorageClock>,
    /// The first clock that may run while the site's category is unknown.
    pub possible_clock: Option<&'a StorageClock>,
    /// The rules that apply.
    pub rules: Option<&'static RuleSet>,
}

impl<'a> Circumstances<'a> {
    /// Nothing but the day is known.
    #[must_use]
    pub const fn on(on: Date) -> Self {
        Self {
            at: "",
            on,
            fill_rate_g_per_month: None,
            fill_rate_l_per_month: None,
            expected_fill_g: &[],
            holding_cost_per_month: None,
            capacity_l: None,
            must_leave_by_on: None,
            recoverable_stock: None,
            price_spread_percent: None,
            recovery_offers: &[],
            restore: None,
            clock: None,
            possible_clock: None,
            rules: None,
        }
    }

    /// What a request says, under the storage clocks that run.
    #[must_use]
    pub fn of(request: &'a DecisionRequest, clocks: &'a LotClocks) -> Self {
        Self {
            at: "",
            on: request.on,
            fill_rate_g_per_month: request.fill_rate_g_per_month,
            fill_rate_l_per_month: request.fill_rate_l_per_month,
            expected_fill_g: &request.expected_fill_g,
            holding_cost_per_month: request.holding_cost_per_month,
            capacity_l: request.capacity_l,
            must_leave_by_on: request.must_leave_by_on,
            recoverable_stock: request.recoverable_stock.as_ref(),
            price_spread_percent: request.price_spread_percent,
            recovery_offers: &request.recovery_offers,
            restore: request.restore.as_ref(),
            clock: clocks.runs.as_ref(),
            possible_clock: clocks.may_run.as_ref(),
            rules: request.rule_set.map(|r| r.rules()),
        }
    }

    /// Checks lists and currencies against the price's market.
    #[must_use]
    pub fn faults(&self, market: &Market<'_>) -> Vec<Fault> {
        let at = self.at;
        let mut faults = Vec::new();
        faults.extend(
            at_most(
                format_args!("{at}/expected_fill_g"),
                self.expected_fill_g.len(),
                MOST_MONTHS,
            )
            .err(),
        );
        faults.extend(
            at_most(
                format_args!("{at}/recovery_offers"),
                self.recovery_offers.len(),
                MOST_OFFERS,
            )
            .err(),
        );
        for (i, offer) in self.recovery_offers.iter().enumerate().take(MOST_OFFERS) {
            let place = format_args!("{at}/recovery_offers/{i}");
            faults.extend(market.same_currency(offer.currency, place));
            if let Some(terms) = &offer.terms {
                let place = format_args!("{place}/terms");
                faults.extend(market.same_currency(terms.currency, place));
                faults.extend(terms.faults(place));
            }
        }
        if let Some(terms) = self.restore {
            let place = format_args!("{at}/restore");
            faults.extend(market.same_currency(terms.currency, place));
            if terms.bottle_g.decimal().is_zero() {
                faults.push(Fault::out_of_range(
                    format!("{place}/bottle_g"),
                    0,
                    "more than 0 g",
                ));
            }
        }
        faults
    }
}

/// The storage clocks of a lot.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LotClocks {
    /// The clock that ends first of those that run.
    pub runs: Option<StorageClock>,
    /// The clock that ends first of those that may run while the site's category is unknown.
    pub may_run: Option<StorageClock>,
}

impl LotClocks {
    /// Takes in what the classification of one more batch says.
    pub fn add(&mut self, classification: &Classification) {
        let first = |have: &mut Option<StorageClock>, more: &StorageClock| {
            if have.as_ref().is_none_or(|h| more.due_on < h.due_on) {
                *have = Some(more.clone());
            }
        };
        if let Some(clock) = &classification.clock {
            first(&mut self.runs, clock);
        }
        for clock in &classification.possible_clocks {
            first(&mut self.may_run, clock);
        }
    }
}

/// Classifies the batches of a lot for their storage clocks. What else a classification says
/// belongs to its own answer.
///
/// # Errors
/// Faults of the batches, and dates later than the site's day.
pub fn lot_clocks(lot: &PreparedLot<'_>, site: &Site) -> Result<LotClocks, Faults> {
    let mut clocks = LotClocks::default();
    let mut faults = Vec::new();
    let mut aside = Notes::default();
    for part in &lot.batches {
        let measured = (!part.batch.evidence.is_empty()).then_some(part.estimate);
        match classify_batch(part.batch, measured, site, &part.at, &mut aside) {
            Ok(classification) => clocks.add(&classification),
            Err(more) => faults.extend(more.list().iter().cloned()),
        }
    }
    Faults::none_of(faults)?;
    Ok(clocks)
}

impl DecisionRequest {
    /// The site and the day, as a classification asks for them.
    #[must_use]
    pub fn site(&self) -> Site {
        Site {
            rules: self
                .rule_set
                .map_or_else(RuleSet::unspecified, RuleSetName::rules),
            on: self.on,
            premises: self.premises,
            other_hazardous_waste_kg: self.other_hazardous_waste_kg,
            other_acute_waste_kg: self.other_acute_waste_kg,
            haul_distance_km: self.haul_distance_km,
            local_silver_limit: None,
            shares: Arc::default(),
        }
    }
}

/// Answers what to do with a lot (`POST /v1/decisions`).
///
/// # Errors
/// Every fault found in the lot, its batches, the terms and the currencies.
pub fn decide(request: &DecisionRequest) -> Result<Answer<LotDecision>, Faults> {
    let market = Market {
        price: &request.price,
        price_at: "/price",
        terms: &request.terms,
        terms_at: "/terms",
        haulage_terms: request.haulage_terms.as_ref(),
        haulage_at: "/haulage_terms",
    };
    let mut notes = Notes::new();
    let none = LotClocks::default();
    Faults::none_of(Circumstances::of(request, &none).faults(&market))?;
    let (form, estimates) = estimate_lot(&request.lot, "/lot", &market, &mut notes)?;
    let lot = request.lot.prepared(form, &estimates, "/lot");
    let clocks = lot_clocks(&lot, &request.site())?;
    let circumstances = Circumstances::of(request, &clocks);
    let valuation = notes.within("/valuation", |notes| {
        value_prepared_lot(&lot, "/lot", &market, Some(request.on), notes)
    })?;
    let decision = notes.within("/decision", |notes| {
        decide_lot(&lot, "/lot", &market, &valuation, &circumstances, notes)
    })?;
    let result = LotDecision {
        estimates: batch_estimates(&request.lot, &estimates),
        valuation,
        decision,
    };
    Ok(notes.answer(result, request.rule_set.map(|r| r.rules())))
}
