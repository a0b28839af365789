//! What is asked of a recovery plan, and with what at hand.

use super::plan::ProcessName;
use crate::batch::Batch;
use crate::fault::{Fault, FaultKind, at_most};
use crate::quantity::{Amount, Amperes, Currency, Identifier, MeasuredPercent, MetalPrice};
use crate::waste::rule_set::{RuleSet, RuleSetName};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Most reagent prices in one request.
pub const MOST_REAGENT_PRICES: usize = 50;

/// Most names in the lists of means and of processes.
pub const MOST_NAMES: usize = 20;

/// What the studio has at hand besides jugs, buckets, pH paper and a place outdoors.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Means {
    /// A kitchen scale.
    Scale,
    /// A burette.
    Burette,
    /// A power supply and a plating cell.
    PowerSupply,
    /// Extraction: a fume hood or a fan that draws away from the face.
    Extraction,
    /// Training in handling toxic gases and strong chemicals.
    Training,
    /// A pump.
    Pump,
    /// Columns with ion exchange resin.
    ResinColumn,
}

impl Means {
    /// The means in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Scale => "a kitchen scale",
            Self::Burette => "a burette",
            Self::PowerSupply => "a power supply with a plating cell",
            Self::Extraction => "extraction (a fume hood, or a fan that draws away from the face)",
            Self::Training => "training in handling toxic gases",
            Self::Pump => "a pump",
            Self::ResinColumn => "two columns with strong base anion resin",
        }
    }
}

/// Asks for recovery plans for one batch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct RecoveryPlansRequest {
    /// The batch with its evidence.
    pub batch: Batch,
    /// What the studio has; default a kitchen scale.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub means: Option<Vec<Means>>,
    /// The ways to consider; default all of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub processes: Option<Vec<ProcessName>>,
    /// The metal's price, to set the silver's value against the reagents.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<MetalPrice>,
    /// What the reagents cost.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reagent_prices: Vec<ReagentPrice>,
    /// What shipping the liquid costs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shipping: Option<ShippingPrice>,
    /// Current of the plating cell.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub current_a: Option<Amperes>,
    /// Share of the current that plates silver; a bare figure is taken as good to 10 points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub current_efficiency_percent: Option<MeasuredPercent>,
    /// Whether to give the dose curves and the other figures that take many solutions; default true.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub curves: Option<bool>,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

impl RecoveryPlansRequest {
    /// The members that say how to plan, without the batch.
    #[must_use]
    pub fn options(&self) -> RecoveryOptions<'_> {
        RecoveryOptions {
            at: "",
            means: self.means.as_deref(),
            processes: self.processes.as_deref(),
            price: self.price.as_ref(),
            reagent_prices: &self.reagent_prices,
            shipping: self.shipping.as_ref(),
            current_a: self.current_a,
            current_efficiency_percent: self.current_efficiency_percent,
            recommended_only: false,
            curves: self.curves.unwrap_or(true),
            rules: self.rule_set.map(RuleSetName::rules),
        }
    }
}

/// What a reagent costs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ReagentPrice {
    /// Id of the substance, as in a composition.
    pub substance: Identifier,
    /// Price of one kilogram.
    pub amount_per_kilogram: Amount,
    /// Currency of the price.
    pub currency: Currency,
}

/// What shipping a liquid costs: a sum for the parcel, and one for each litre.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ShippingPrice {
    /// The sum that does not depend on the volume; default nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fixed: Option<Amount>,
    /// The sum for each litre; default nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_litre: Option<Amount>,
    /// Currency of both.
    pub currency: Currency,
}

/// How to plan, borrowed from whichever request holds it.
#[derive(Debug, Clone, Copy, Default)]
pub struct RecoveryOptions<'a> {
    /// Where these members stand in the request: a JSON Pointer, empty for the top.
    pub at: &'a str,
    /// What the studio has; none means a kitchen scale.
    pub means: Option<&'a [Means]>,
    /// The ways to consider; none means all.
    pub processes: Option<&'a [ProcessName]>,
    /// The metal's price.
    pub price: Option<&'a MetalPrice>,
    /// What the reagents cost.
    pub reagent_prices: &'a [ReagentPrice],
    /// What shipping the liquid costs.
    pub shipping: Option<&'a ShippingPrice>,
    /// Current of the plating cell.
    pub current_a: Option<Amperes>,
    /// Share of the current that plates silver.
    pub current_efficiency_percent: Option<MeasuredPercent>,
    /// Work out the first way that may be taken unasked, and only name the others.
    pub recommended_only: bool,
    /// Give the dose curves and the other figures that take many solutions.
    pub curves: bool,
    /// Rules named, for what they say of recovery.
    pub rules: Option<&'static RuleSet>,
}

impl RecoveryOptions<'_> {
    /// Checks what no single member can: one currency, lists within bounds, a current that flows.
    #[must_use]
    pub fn faults(&self) -> Vec<Fault> {
        let at = self.at;
        let mut faults = Vec::new();
        let means = self.means.map_or(0, <[Means]>::len);
        let processes = self.processes.map_or(0, <[ProcessName]>::len);
        let prices = self.reagent_prices.len();
        faults.extend(at_most(format_args!("{at}/means"), means, MOST_NAMES).err());
        faults.extend(at_most(format_args!("{at}/processes"), processes, MOST_NAMES).err());
        faults.extend(
            at_most(
                format_args!("{at}/reagent_prices"),
                prices,
                MOST_REAGENT_PRICES,
            )
            .err(),
        );
        if self.processes.is_some_and(<[ProcessName]>::is_empty) {
            faults.push(Fault::missing(
                format!("{at}/processes"),
                "at least one way of recovery, or no list at all for every way",
            ));
        }
        if self.current_a.is_some_and(|c| c.decimal().is_zero()) {
            faults.push(Fault::out_of_range(
                format!("{at}/current_a"),
                0,
                "more than 0 A",
            ));
        }
        if self
            .current_efficiency_percent
            .is_some_and(|e| e.decimal().is_zero())
        {
            faults.push(Fault::out_of_range(
                format!("{at}/current_efficiency_percent"),
                0,
                "more than 0 %",
            ));
        }
        let mut first: Option<Currency> = self.price.map(|p| p.currency);
        let mut one_currency = |currency: Currency, pointer: fmt::Arguments<'_>| {
            let known = *first.get_or_insert(currency);
            if known != currency {
                faults.push(Fault::new(
                    FaultKind::MixedCurrencies,
                    pointer.to_string(),
                    format!("{currency} beside {known}: expected one currency in one request"),
                ));
            }
        };
        for (i, price) in self.reagent_prices.iter().enumerate() {
            one_currency(
                price.currency,
                format_args!("{at}/reagent_prices/{i}/currency"),
            );
        }
        if let Some(shipping) = self.shipping {
            one_currency(shipping.currency, format_args!("{at}/shipping/currency"));
        }
        for (i, price) in self.reagent_prices.iter().enumerate() {
            if self
                .reagent_prices
                .iter()
                .take(i)
                .any(|p| p.substance == price.substance)
            {
                faults.push(Fault::new(
                    FaultKind::Conflict,
                    format!("{at}/reagent_prices/{i}/substance"),
                    format!(
                        "`{}` has a price already: expected each substance once",
                        price.substance
                    ),
                ));
            }
        }
        faults
    }

    /// The currency of the prices given, if any was.
    pub(super) fn currency(&self) -> Option<Currency> {
        self.price
            .map(|p| p.currency)
            .or_else(|| self.reagent_prices.first().map(|p| p.currency))
            .or_else(|| self.shipping.map(|s| s.currency))
    }
}
