//! What a studio agreed with others, pays, and has at hand: kept once, so that no request repeats it.

use crate::answer::Notes;
use crate::budget::{BudgetPrices, PriceRange, SilverUse, budget_silver_use};
use crate::fault::Fault;
use crate::quantity::{Amperes, MetalPrice};
use crate::recovery::{Means, ReagentPrice, RecoveryOptions};
use crate::valuation::{HaulageTerms, Market, RefinerTerms};
use serde::{Deserialize, Serialize};

/// Prices, terms and habits of a studio. Each member is that of a report's request.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Dealings {
    /// Price of silver, with the day it was true.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<MetalPrice>,
    /// How far the price may move, for the budget.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price_range: Option<PriceRange>,
    /// The refiner's terms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terms: Option<RefinerTerms>,
    /// A haulier's terms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub haulage_terms: Option<HaulageTerms>,
    /// What is at hand for recovery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub means: Option<Vec<Means>>,
    /// Current of the studio's power supply, for electrolysis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub current_a: Option<Amperes>,
    /// What reagents cost.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reagent_prices: Vec<ReagentPrice>,
    /// What the studio buys, uses and recovers, for the budget.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub silver_use: Option<SilverUse>,
}

impl Dealings {
    /// Every fault in them, so that none surfaces later in a request that did not hold them; `at` is
    /// their own place in the request. Amounts are compared in their currency where there is a price.
    ///
    /// ```
    /// use spent_silver_domain::report::Dealings;
    /// let dealings: Dealings = serde_json::from_str(r#"{
    ///   "price": {"amount": "30", "currency": "USD", "per": "troy_ounce"},
    ///   "current_a": "0"}"#).unwrap();
    /// let faults = dealings.faults("/dealings");
    /// assert_eq!(faults[0].pointer, "/dealings/current_a");
    /// ```
    #[must_use]
    pub fn faults(&self, at: &str) -> Vec<Fault> {
        let mut faults = RecoveryOptions {
            at,
            means: self.means.as_deref(),
            price: self.price.as_ref(),
            reagent_prices: &self.reagent_prices,
            current_a: self.current_a,
            ..RecoveryOptions::default()
        }
        .faults();
        let (terms_at, haulage_at) = (format!("{at}/terms"), format!("{at}/haulage_terms"));
        let price_at = format!("{at}/price");
        match (&self.price, &self.terms) {
            (Some(price), Some(terms)) => faults.extend(
                Market {
                    price,
                    price_at: &price_at,
                    terms,
                    terms_at: &terms_at,
                    haulage_terms: self.haulage_terms.as_ref(),
                    haulage_at: &haulage_at,
                }
                .faults(),
            ),
            (_, terms) => {
                faults.extend(terms.iter().flat_map(|t| t.faults(&terms_at)));
                let haulage = self.haulage_terms.iter();
                faults.extend(haulage.flat_map(|h| h.faults(&haulage_at)));
            }
        }
        if let (Some(silver_use), Some(metal)) = (&self.silver_use, &self.price) {
            let prices = BudgetPrices {
                metal,
                metal_at: &price_at,
                range: self.price_range.as_ref(),
                range_at: &format!("{at}/price_range"),
            };
            let use_at = format!("{at}/silver_use");
            if let Err(found) = budget_silver_use(silver_use, &use_at, prices, &mut Notes::new()) {
                faults.extend(found.list().iter().cloned());
            }
        }
        faults
    }
}
