//! The silver and the price at which a lot pays for itself.

use super::settlement::{Line, LineItem, Load, Settled, grams_per, ozt_of_kg};
use super::terms::{ChargeBasis, RefinerTerms, TreatmentCharge};
use crate::answer::Method;
use crate::quantity::{
    Amount, ComputedGrams, ComputedTroyOunces, Currency, Exact, MetalPrice, PriceUnit,
    TROY_OUNCE_G, TooLarge,
};
use rust_decimal::prelude::ToPrimitive as _;
use rust_decimal::{Decimal, RoundingStrategy};
use serde::Serialize;

pub(crate) const BREAK_EVEN: Method = Method {
    name: "break-even",
    formula: "silver: x paid for solves price x - max(minimum, treatment + refining x) - other charges = 0, silver = x / payable + deducted; price: charges / silver paid for, rounded up to four decimals",
    source: "refiner_schedules",
};

/// A metal price at which a lot pays for itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BreakEvenPrice {
    /// The price, rounded up to four decimals.
    pub amount: Amount,
    /// Its currency.
    pub currency: Currency,
    /// The unit it is for.
    pub per: PriceUnit,
}

/// Where the net of a lot crosses zero.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BreakEven {
    /// Silver a lot of this mass must hold at the price given; null when no amount is enough.
    pub silver_g: Option<ComputedGrams>,
    /// The same in troy ounces.
    pub silver_ozt: Option<ComputedTroyOunces>,
    /// Price at which the silver in hand pays for the charges; null when nothing is paid for.
    pub price: Option<BreakEvenPrice>,
}

/// The net of a lot as a function of silver and price, in binary figures: for break-even, dates and
/// chance, which are estimates themselves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct NetModel {
    payable: f64,
    deducted_ozt: f64,
    least_ozt: f64,
    refining: f64,
    minimum: f64,
    treatment_fixed: f64,
    treatment_growing: f64,
    other_fixed: f64,
    other_growing: f64,
}

fn f(value: Decimal) -> f64 {
    value.to_f64().unwrap_or_default()
}

fn amount(value: Option<Amount>) -> f64 {
    value.map_or(0.0, |a| f(a.decimal()))
}

impl NetModel {
    /// Reads the model off the terms and the load; what is not known counts as none, since a
    /// settlement comes first and refuses it.
    pub fn new(load: &Load, terms: &RefinerTerms) -> Self {
        let pay = &terms.payment;
        let mass = load.mass_kg.map_or(0.0, f);
        let volume = load.volume_l.map_or(0.0, f);
        let received = load
            .mass_kg
            .and_then(|m| ozt_of_kg(m).finish().ok())
            .map_or(0.0, f);
        let treatment = pay.treatment.as_ref();
        let of =
            |charge: fn(&TreatmentCharge) -> Option<Amount>| amount(treatment.and_then(charge));
        let mut fixed = amount(pay.assay_fee) + amount(pay.freight) + amount(pay.return_freight);
        let mut growing = 0.0;
        for s in &pay.surcharges {
            let containers = load.containers_for(s);
            if containers == 0 {
                continue;
            }
            let rate = f(s.amount.decimal());
            match s.per {
                ChargeBasis::Lot => fixed += rate,
                ChargeBasis::Container => fixed += rate * containers as f64,
                ChargeBasis::Kilogram => growing += rate * mass,
                ChargeBasis::TroyOunceReceived => growing += rate * received,
            }
        }
        Self {
            payable: f(pay.payable_percent.decimal()) / 100.0,
            deducted_ozt: pay.silver_deducted_ozt.map_or(0.0, |d| f(d.decimal())),
            least_ozt: pay
                .least_silver_paid_for_ozt
                .map_or(0.0, |d| f(d.decimal())),
            refining: amount(pay.refining_per_troy_ounce),
            minimum: amount(pay.minimum_lot_charge),
            treatment_fixed: of(|t| t.per_lot),
            treatment_growing: of(|t| t.per_kilogram) * mass
                + of(|t| t.per_litre) * volume
                + of(|t| t.per_troy_ounce_received) * received,
            other_fixed: fixed,
            other_growing: growing,
        }
    }

    /// Net for `ozt` of silver at `price` per troy ounce in a lot `scale` times as heavy.
    pub fn net(&self, ozt: f64, price: f64, scale: f64) -> f64 {
        let paid = if ozt < self.least_ozt {
            0.0
        } else {
            (ozt - self.deducted_ozt).max(0.0) * self.payable
        };
        let treatment =
            self.treatment_fixed + self.treatment_growing * scale + self.refining * paid;
        price * paid - treatment.max(self.minimum) - self.other_fixed - self.other_growing * scale
    }

    /// Troy ounces of silver at which this lot, at its own mass, nets zero; `None` when no amount does.
    pub fn break_even_ozt(&self, price: f64) -> Option<f64> {
        let treatment = self.treatment_fixed + self.treatment_growing;
        let other = self.other_fixed + self.other_growing;
        if other + treatment.max(self.minimum) <= 0.0 {
            return Some(0.0);
        }
        if self.payable <= 0.0 || price <= 0.0 {
            return None;
        }
        let under_minimum = (self.minimum + other) / price;
        let paid = if treatment + self.refining * under_minimum <= self.minimum {
            under_minimum
        } else if price > self.refining {
            (treatment + other) / (price - self.refining)
        } else {
            return None;
        };
        Some((paid / self.payable + self.deducted_ozt).max(self.least_ozt))
    }

    /// What one more shipment costs however much silver is in it.
    pub fn fixed_cost(&self) -> f64 {
        self.treatment_fixed.max(self.minimum) + self.other_fixed
    }
}

const fn is_silver(item: LineItem) -> bool {
    matches!(
        item,
        LineItem::SilverDeducted | LineItem::SilverBelowLeast | LineItem::SilverNotPayable
    )
}

/// Works out the break-even of a settled lot.
pub(crate) fn break_even(
    load: &Load,
    settled: &Settled<'_>,
    price: &MetalPrice,
    price_per_ozt: Decimal,
    terms: &RefinerTerms,
) -> Result<BreakEven, TooLarge> {
    let ozt = NetModel::new(load, terms).break_even_ozt(f(price_per_ozt));
    let charges: Exact = settled
        .lines
        .iter()
        .filter(|l: &&Line<'_>| !is_silver(l.item))
        .map(|l| Exact::from(l.amount.decimal()))
        .sum();
    let price = if settled.paid_ozt.is_zero() {
        None
    } else {
        let per_unit = charges / Exact::from(settled.paid_ozt) * Exact::from(grams_per(price.per))
            / Exact::from(TROY_OUNCE_G);
        let amount = per_unit
            .finish()?
            .round_dp_with_strategy(4, RoundingStrategy::AwayFromZero);
        Amount::new(amount).ok().map(|amount| BreakEvenPrice {
            amount,
            currency: price.currency,
            per: price.per,
        })
    };
    Ok(BreakEven {
        silver_g: ozt.map(|o| ComputedGrams::of(o * f(TROY_OUNCE_G))),
        silver_ozt: ozt.map(ComputedTroyOunces::of),
        price,
    })
}
