//! The chance that sending now nets more than zero.

use crate::answer::Method;
use crate::statistics::{normal_cdf, normal_quantile};
use crate::valuation::NetModel;
use std::sync::LazyLock;

pub(crate) const CHANCE: Method = Method {
    name: "chance that sending now brings money",
    formula: "P(net > 0) = mean over the price of P(silver > break-even silver at that price), silver and price normal and independent",
    source: "jcgm101",
};

/// Points of equal probability over the price.
const POINTS: usize = 64;

/// The middles of as many equally likely parts of a standard normal variable.
static QUANTILES: LazyLock<[f64; POINTS]> =
    LazyLock::new(|| std::array::from_fn(|i| normal_quantile((i as f64 + 0.5) / POINTS as f64)));

/// The chance, from 0 to 1, that the net is above zero, for silver of `ozt` +- `u_ozt` and a price
/// with the relative standard deviation `spread`. At each price the silver must exceed that price's
/// break-even, so the lot minimum and the least silver paid for count in full.
pub(crate) fn chance_of_gain(
    model: &NetModel,
    ozt: f64,
    u_ozt: f64,
    price: f64,
    spread: f64,
) -> f64 {
    let at = |price: f64| match model.break_even_ozt(price.max(0.0)) {
        None => 0.0,
        Some(needed) if u_ozt > 0.0 => normal_cdf((ozt - needed) / u_ozt),
        Some(needed) => f64::from(u8::from(ozt > needed)),
    };
    if spread <= 0.0 {
        return at(price);
    }
    let sum: f64 = QUANTILES
        .iter()
        .map(|z| at(price * (1.0 + spread * z)))
        .sum();
    (sum / POINTS as f64).clamp(0.0, 1.0)
}
