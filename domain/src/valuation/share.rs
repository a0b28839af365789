//! Charges of a lot shared back to its batches, exact to the minor unit.

use crate::answer::Method;
use crate::quantity::{Currency, Exact, SignedAmount, TooLarge};
use rust_decimal::Decimal;

pub(crate) const LARGEST_REMAINDER: Method = Method {
    name: "charges shared back to the batches",
    formula: "each share is charge x weight / sum of weights, cut to the minor unit; the units left over go to the largest remainders, the earlier batch first",
    source: "largest_remainder",
};

/// The rule in words, as the answer states it.
pub(crate) const RULE: &str = "Silver, refining, lot charges, assay and freight are shared by silver; charges by mass, volume or container by mass, volume or container; a surcharge for a constituent only among the containers that hold it. Shares add up exactly.";

/// Shares an amount by weight (equally when every weight is zero), so that the shares add up to it
/// exactly: 100.00 by weights 1, 1, 1 gives 33.34, 33.33, 33.33.
///
/// # Errors
/// [`TooLarge`] when the figures leave exact arithmetic.
pub fn share_out(
    amount: SignedAmount,
    weights: &[Decimal],
    currency: Currency,
) -> Result<Vec<Decimal>, TooLarge> {
    match weights {
        [] => return Ok(Vec::new()),
        [_] => return Ok(vec![amount.decimal()]),
        _ => {}
    }
    let unit = Decimal::new(1, currency.minor_unit());
    let units = (Exact::from(amount.decimal()) / Exact::from(unit)).finish()?;
    let sum: Exact = weights.iter().copied().map(Exact::from).sum();
    let even = sum.finish()?.is_zero();
    let mut parts = Vec::with_capacity(weights.len());
    for (i, weight) in weights.iter().enumerate() {
        let part = if even {
            Exact::ONE / Exact::from(Decimal::from(weights.len()))
        } else {
            Exact::from(*weight) / sum
        };
        let quota = (part * Exact::from(units)).finish()?;
        let whole = quota.floor();
        let rest = (Exact::from(quota) - Exact::from(whole)).finish()?;
        parts.push((i, whole, rest));
    }
    let given: Exact = parts.iter().map(|p| Exact::from(p.1)).sum();
    let mut left = (Exact::from(units) - given).finish()?;
    parts.sort_by(|a, b| b.2.cmp(&a.2).then(a.0.cmp(&b.0)));
    for part in &mut parts {
        if left < Decimal::ONE {
            break;
        }
        part.1 = (Exact::from(part.1) + Exact::ONE).finish()?;
        left = (Exact::from(left) - Exact::ONE).finish()?;
    }
    parts.sort_by_key(|p| p.0);
    parts
        .into_iter()
        .map(|p| (Exact::from(p.1) * Exact::from(unit)).finish())
        .collect()
}
