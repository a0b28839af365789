//! The silver of several containers together.

use super::{Estimate, Interval};
use crate::quantity::ComputedGrams;
use crate::statistics::normal_quantile;

/// What the containers with a figure come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SilverSum {
    /// Silver, grams.
    pub silver_g: f64,
    /// Its standard uncertainty, grams.
    pub standard_uncertainty_g: f64,
    /// 95 % interval.
    pub interval_95_g: Interval,
}

/// Silver of several containers, of those that have a figure.
///
/// `m = sum m_i`, `u = sqrt(sum u_i^2)` with the containers taken as independent (JCGM 100, 5.1.2), and
/// `m - 1.96 u` to `m + 1.96 u`, not below 0: the sum of several is near a normal, whatever each is
/// (JCGM 100, G.2). A single one keeps its own interval. 100 g (u = 3 g) and 50 g (u = 4 g) make 150 g
/// with u = 5 g, from 140.2 to 159.8 g.
#[must_use]
pub fn silver_together<'a>(estimates: impl IntoIterator<Item = &'a Estimate>) -> SilverSum {
    let (mut silver, mut variance, mut count) = (0.0, 0.0, 0_usize);
    let mut own = None;
    for estimate in estimates {
        let Some((m, u)) = estimate.figure() else {
            continue;
        };
        silver += m;
        variance += u * u;
        count = count.saturating_add(1);
        own = estimate.interval_95_g;
    }
    let u = f64::sqrt(variance);
    let reach = normal_quantile(0.975) * u;
    SilverSum {
        silver_g: silver,
        standard_uncertainty_g: u,
        interval_95_g: own.filter(|_| count == 1).unwrap_or_else(|| Interval {
            lower: ComputedGrams::of((silver - reach).max(0.0)),
            upper: Some(ComputedGrams::of(silver + reach)),
        }),
    }
}
