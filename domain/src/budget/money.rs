//! The money side of a budget: three metal prices, and exact lines under each.

use super::defaults::DEFAULTS;
use super::{
    BudgetPrices, CostCases, CostLines, PriceCase, PriceCases, PriceRange, SilverNitratePrice,
    SilverUse, WorthCases,
};
use crate::answer::{Method, Notes, Severity};
use crate::chemistry::constants::SILVER_IN_NITRATE;
use crate::fault::{Fault, FaultKind, Faults};
use crate::quantity::{
    Amount, ComputedFactor, ComputedGrams, Currency, MetalPrice, SignedAmount, TROY_OUNCE_G,
};
use crate::statistics::Uncertain;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;

pub(super) const FROM_METAL: Method = Method {
    name: "silver nitrate from the metal price",
    formula: "price per g = 0.6350 x metal price per g x (1 + premium / 100)",
    source: "iupac_atomic_weights",
};
pub(super) const FROM_QUOTE: Method = Method {
    name: "silver nitrate from a quoted price",
    formula: "price per g = quoted price per g + 0.6350 x (metal price of the case - metal price given) per g",
    source: "iupac_atomic_weights",
};

/// Silver nitrate used for one piece, the silver got back from it, and how many in a year.
pub(super) struct Flow {
    pub nitrate: Uncertain,
    pub recovered: Uncertain,
    pub yearly: f64,
}

/// One metal price: what a gram of silver and a gram of silver nitrate cost.
struct Case {
    metal: Decimal,
    nitrate: Decimal,
    /// What a gram of recovered silver brings, and a gram of silver nitrate costs, for uncertainties.
    brings: f64,
    costs: f64,
}

/// What is bought, got back and charged for some pieces, the same under every price: grams, and the
/// share of the yearly charges.
struct Parts {
    nitrate: Decimal,
    recovered: Decimal,
    share: Decimal,
}

pub(super) struct Cases {
    currency: Currency,
    payable: Decimal,
    charges: Decimal,
    low: Case,
    expected: Case,
    high: Case,
}

fn too_large(at: &str) -> Faults {
    Fault::new(
        FaultKind::OutOfRange,
        at,
        "the sums are too large to be kept exactly: expected prices and amounts of a studio",
    )
    .into()
}

fn percent_of(value: Decimal, percent: Decimal) -> Option<Decimal> {
    value
        .checked_mul(percent)?
        .checked_div(Decimal::ONE_HUNDRED)
}

/// Silver in silver nitrate as an exact decimal, to ten digits.
fn silver_in_nitrate() -> Decimal {
    ComputedFactor::of(SILVER_IN_NITRATE)
        .to_decimal()
        .unwrap_or_default()
}

impl Cases {
    pub fn work_out(
        silver_use: &SilverUse,
        at: &str,
        prices: BudgetPrices<'_>,
        notes: &mut Notes,
    ) -> Result<Self, Faults> {
        let (low, high) = range(prices, notes)?;
        let per_g = |amount: Decimal| {
            let amount = Amount::new(amount).ok()?;
            MetalPrice {
                amount,
                ..prices.metal.clone()
            }
            .value_of(Decimal::ONE)
        };
        let expected = per_g(prices.metal.amount.decimal());
        let (Some(low), Some(expected), Some(high)) = (per_g(low), expected, per_g(high)) else {
            return Err(too_large(prices.metal_at));
        };

        let nitrate_per_g = |metal: Decimal| -> Option<Decimal> {
            match &silver_use.silver_nitrate {
                SilverNitratePrice::OverMetal { premium_percent } => {
                    let silver = silver_in_nitrate().checked_mul(metal)?;
                    silver.checked_add(percent_of(silver, premium_percent.decimal())?)
                }
                SilverNitratePrice::Quoted { amount, for_g } => {
                    let quoted = amount.decimal().checked_div(for_g.decimal())?;
                    let moved = silver_in_nitrate().checked_mul(metal.checked_sub(expected)?)?;
                    Some(quoted.checked_add(moved)?.max(Decimal::ZERO))
                }
            }
        };
        let both = |metal: Decimal| Some((metal, nitrate_per_g(metal)?));
        let (Some(low), Some(expected), Some(high)) = (both(low), both(expected), both(high))
        else {
            return Err(too_large(&format!("{at}/silver_nitrate")));
        };

        match silver_use.silver_nitrate {
            SilverNitratePrice::OverMetal { .. } => notes.method("/prices", FROM_METAL),
            SilverNitratePrice::Quoted { .. } => {
                notes.method("/prices", FROM_QUOTE);
                notes.assume(
                    "/prices",
                    format!("{at}/silver_nitrate/quoted"),
                    "house_rule",
                    "The quoted price moves with the metal in it; what the maker adds stays the same.",
                );
                let in_it = silver_in_nitrate().checked_mul(expected.0);
                if in_it.is_some_and(|m| m > expected.1) {
                    notes.warn(
                        "/prices/expected/silver_nitrate_per_hundred_grams",
                        Severity::Caution,
                        "The silver nitrate is quoted below the value of the silver in it. Check the amount, the grams and the dates of both prices.",
                    );
                }
            }
        }
        let payable = match silver_use.payable_percent {
            Some(p) => p.decimal(),
            None => {
                let default = &DEFAULTS.payable_percent;
                notes.assume(
                    "/per_year",
                    format!("{at}/payable_percent"),
                    &default.source,
                    &default.words,
                );
                default.value
            }
        };
        let streams = silver_use.streams.iter().filter_map(|s| s.yearly_cost);
        let baths = silver_use.baths.iter().filter_map(|b| b.yearly_cost);
        let charges = streams
            .chain(baths)
            .chain(silver_use.yearly_charges)
            .try_fold(Decimal::ZERO, |sum, a| sum.checked_add(a.decimal()))
            .ok_or_else(|| too_large(at))?;
        let f64_of = |d: Decimal| d.to_f64().unwrap_or_default();
        let case = |(metal, nitrate): (Decimal, Decimal)| Case {
            metal,
            nitrate,
            brings: f64_of(metal) * f64_of(payable) / 100.0,
            costs: f64_of(nitrate),
        };
        Ok(Self {
            currency: silver_use.currency,
            payable,
            charges,
            low: case(low),
            expected: case(expected),
            high: case(high),
        })
    }

    /// Net cost of `count` pieces at the expected price, with its uncertainty.
    pub fn net(&self, flow: &Flow, total: &Flow, count: f64) -> Uncertain {
        self.net_at(&self.expected, flow, &self.charged(flow, total), count)
    }

    /// The part of the yearly charges that one piece bears.
    fn charged(&self, flow: &Flow, total: &Flow) -> Uncertain {
        let charges = self.charges.to_f64().unwrap_or_default();
        flow.nitrate.over(&total.nitrate).scaled(charges)
    }

    fn net_at(&self, case: &Case, flow: &Flow, charged: &Uncertain, count: f64) -> Uncertain {
        let bought = flow.nitrate.scaled(case.costs);
        let back = flow.recovered.scaled(case.brings);
        bought.minus(&back).plus(charged).scaled(count)
    }

    /// The cost of `count` pieces, divided by `divisor`, under the three prices.
    pub fn cost(
        &self,
        flow: &Flow,
        total: &Flow,
        count: f64,
        divisor: u32,
        at: &str,
    ) -> Result<CostCases, Faults> {
        let exact = |value: f64| ComputedFactor::of(value).to_decimal().ok();
        let parts = || {
            Some(Parts {
                nitrate: exact(flow.nitrate.value() * count)?,
                recovered: exact(flow.recovered.value() * count)?,
                share: exact(flow.nitrate.value() * count / total.nitrate.value())?,
            })
        };
        let parts = parts().ok_or_else(|| too_large(at))?;
        let charged = self.charged(flow, total);
        let lines = |case: &Case| {
            let u = self
                .net_at(case, flow, &charged, count)
                .standard_uncertainty();
            self.lines(case, &parts, u, divisor)
                .ok_or_else(|| too_large(at))
        };
        Ok(CostCases {
            low: lines(&self.low)?,
            expected: lines(&self.expected)?,
            high: lines(&self.high)?,
        })
    }

    fn lines(
        &self,
        case: &Case,
        parts: &Parts,
        standard_uncertainty: f64,
        divisor: u32,
    ) -> Option<CostLines> {
        let part = |value: Decimal| {
            let value = match divisor {
                1 => Some(value),
                _ => value.checked_div(Decimal::from(divisor)),
            };
            value.map(|v| SignedAmount::rounded(v, self.currency))
        };
        let bought = part(parts.nitrate.checked_mul(case.nitrate)?)?;
        let recovered = part(percent_of(
            parts.recovered.checked_mul(case.metal)?,
            self.payable,
        )?)?;
        let charges = part(self.charges.checked_mul(parts.share)?)?;
        // The net is the sum of the rounded lines, so that a reader who adds them finds it.
        let net = bought
            .decimal()
            .checked_sub(recovered.decimal())?
            .checked_add(charges.decimal())?;
        let u = ComputedFactor::try_new(standard_uncertainty).ok()?;
        Some(CostLines {
            silver_nitrate: bought,
            recovered_silver: recovered,
            charges,
            net: SignedAmount::rounded(net, self.currency),
            net_standard_uncertainty: part(u.to_decimal().ok()?)?,
        })
    }

    /// What recovered silver brings in a year after its own cost.
    pub fn worth(
        &self,
        recovered: &Uncertain,
        cost: Option<Amount>,
        at: &str,
    ) -> Result<WorthCases, Faults> {
        let worth = |case: &Case| {
            let grams = ComputedGrams::of(recovered.value()).to_decimal().ok()?;
            let brings = percent_of(grams.checked_mul(case.metal)?, self.payable)?;
            let cost = cost.map_or(Decimal::ZERO, Amount::decimal);
            Some(SignedAmount::rounded(
                brings.checked_sub(cost)?,
                self.currency,
            ))
        };
        let worth = |case: &Case| worth(case).ok_or_else(|| too_large(at));
        Ok(WorthCases {
            low: worth(&self.low)?,
            expected: worth(&self.expected)?,
            high: worth(&self.high)?,
        })
    }

    /// The prices of the cases, in units that people quote.
    pub fn prices(&self, currency: Currency, at: &str) -> Result<PriceCases, Faults> {
        let case = |case: &Case| {
            Some(PriceCase {
                metal_per_troy_ounce: SignedAmount::rounded(
                    // It went through a gram: what that lost in the last digit decides no cent.
                    case.metal.checked_mul(TROY_OUNCE_G)?.round_dp(12),
                    currency,
                ),
                silver_nitrate_per_hundred_grams: SignedAmount::rounded(
                    case.nitrate.checked_mul(Decimal::ONE_HUNDRED)?,
                    currency,
                ),
            })
        };
        let case = |of: &Case| case(of).ok_or_else(|| too_large(at));
        Ok(PriceCases {
            low: case(&self.low)?,
            expected: case(&self.expected)?,
            high: case(&self.high)?,
        })
    }
}

fn range(prices: BudgetPrices<'_>, notes: &mut Notes) -> Result<(Decimal, Decimal), Faults> {
    let price = prices.metal.amount.decimal();
    let percent = match prices.range {
        Some(PriceRange::Prices { low, high }) => {
            let mut faults = Vec::new();
            if low.decimal() > price {
                faults.push(Fault::out_of_range(
                    format!("{}/prices/low", prices.range_at),
                    low.decimal().normalize(),
                    "at most the metal price",
                ));
            }
            if high.decimal() < price {
                faults.push(Fault::out_of_range(
                    format!("{}/prices/high", prices.range_at),
                    high.decimal().normalize(),
                    "at least the metal price",
                ));
            }
            Faults::none_of(faults)?;
            return Ok((low.decimal(), high.decimal()));
        }
        Some(PriceRange::Spread { plus_minus_percent }) => plus_minus_percent.decimal(),
        None => {
            let default = &DEFAULTS.price_spread_percent;
            notes.assume("/prices", prices.range_at, &default.source, &default.words);
            default.value
        }
    };
    let step = percent_of(price, percent);
    step.and_then(|s| Some((price.checked_sub(s)?, price.checked_add(s)?)))
        .ok_or_else(|| too_large(prices.metal_at))
}
