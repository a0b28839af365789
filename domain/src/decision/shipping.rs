//! How often to ship: a fixed cost each time against the cost of holding what has gathered.

use crate::answer::Method;

pub(crate) const ECONOMIC_LOT: Method = Method {
    name: "economic shipping interval",
    formula: "Q = sqrt(2 K D / h), interval = Q / D; K fixed cost of a shipment, D silver gathered per month, h cost of holding a gram for a month",
    source: "snyder_shen2019",
};

pub(crate) const SHIPPING_PLAN: Method = Method {
    name: "shipping plan over uneven months",
    formula: "least total of fixed cost per shipment and holding cost per gram and month, everything shipped by the last month (Wagner-Whitin recursion run backwards in time)",
    source: "snyder_shen2019",
};

/// The lot size that costs least in the long run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EconomicLot {
    /// Quantity per shipment.
    pub quantity: f64,
    /// Time between shipments: quantity / rate.
    pub interval: f64,
    /// Fixed and holding cost per time.
    pub cost_per_time: f64,
}

/// The economic lot for a fixed cost per shipment, a rate of gathering and a cost of holding one
/// unit for one time: `Q = sqrt(2 K D / h)`, at a cost of `sqrt(2 K D h)` per time.
///
/// With `drawn_at` the lot is not carried off at once but worked through at that rate (a plating
/// cell of so many grams a month), while it goes on gathering: `h` then weighs `1 - D / drawn_at`.
/// K = 8, D = 1300, h = 0.225 gives Q = 304.05 at 68.41 per time. `None` where a figure is not
/// positive, or the lot cannot be worked through as fast as it gathers.
#[must_use]
pub fn economic_lot(
    fixed_cost: f64,
    rate: f64,
    holding_cost: f64,
    drawn_at: Option<f64>,
) -> Option<EconomicLot> {
    let share = drawn_at.map_or(1.0, |p| 1.0 - rate / p);
    let all = [fixed_cost, rate, holding_cost, share];
    if all.iter().any(|x| !x.is_finite() || *x <= 0.0) {
        return None;
    }
    let quantity = (2.0 * fixed_cost * rate / (holding_cost * share)).sqrt();
    let cost_per_time = (2.0 * fixed_cost * rate * holding_cost * share).sqrt();
    Some(EconomicLot {
        quantity,
        interval: quantity / rate,
        cost_per_time,
    })
}

/// When to ship what gathers unevenly, so that fixed and holding cost together are least and
/// nothing is left after the last period.
#[derive(Debug, Clone, PartialEq)]
pub struct ShippingPlan {
    /// Quantity shipped at the end of each period; zero where nothing goes.
    pub shipped: Vec<f64>,
    /// Total cost.
    pub cost: f64,
}

/// The cheapest plan to ship `gathered` (one figure per period). `fixed` is the cost of a shipment
/// in each period and `holding` that of keeping one unit from a period into the next; missing
/// entries count as the last one given.
///
/// The recursion: least cost up to period j = min over i <= j of (least cost up to i - 1, plus the
/// holding of periods i to j until j, plus the fixed cost of j). Gathering 70, 80, 120, 90 with
/// fixed cost 500 and holding cost 2 ships 150 in the second period and 210 in the fourth for 1380.
#[must_use]
pub fn shipping_plan(gathered: &[f64], fixed: &[f64], holding: &[f64]) -> ShippingPlan {
    let at = |list: &[f64], i: usize| list.get(i).or(list.last()).copied().unwrap_or(0.0);
    // best[j] is the least cost of having shipped the first j periods, and where its last lot began.
    let mut best: Vec<(f64, usize)> = vec![(0.0, 0)];
    for j in 1..=gathered.len() {
        let last = j.saturating_sub(1);
        let mut least: Option<(f64, usize)> = None;
        let (mut held, mut carried, mut amount) = (0.0, 0.0, 0.0);
        for i in (0..j).rev() {
            // Going back one period, what it gathered is carried over one more step.
            if i < last {
                carried += at(holding, i);
            }
            let here = at(gathered, i);
            held += here * carried;
            amount += here;
            let before = best.get(i).map_or(0.0, |b| b.0);
            let cost = if amount > 0.0 {
                before + held + at(fixed, last)
            } else {
                before
            };
            if least.is_none_or(|(c, _)| cost < c) {
                least = Some((cost, i));
            }
        }
        best.push(least.unwrap_or((0.0, last)));
    }
    let mut shipped = vec![0.0; gathered.len()];
    let mut end = gathered.len();
    while end > 0 {
        let start = best.get(end).map_or(0, |b| b.1).min(end.saturating_sub(1));
        let amount: f64 = gathered.get(start..end).unwrap_or_default().iter().sum();
        if let Some(slot) = shipped.get_mut(end.saturating_sub(1)) {
            *slot = amount;
        }
        end = start;
    }
    ShippingPlan {
        shipped,
        cost: best.last().map_or(0.0, |b| b.0),
    }
}
