//! How often to ship, against published lot sizes and plans.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde::Deserialize;
use spent_silver_domain::decision::{economic_lot, shipping_plan};

#[derive(Deserialize)]
struct Published {
    economic_lot: Vec<Lot>,
    shipping_plan: Vec<Plan>,
}

#[derive(Deserialize)]
struct Lot {
    id: String,
    fixed_cost: f64,
    holding_cost: f64,
    rate: f64,
    drawn_at: Option<f64>,
    quantity: f64,
    cost_per_time: Option<f64>,
    relative: f64,
}

#[derive(Deserialize)]
struct Plan {
    id: String,
    fixed_cost: Vec<f64>,
    holding_cost: Vec<f64>,
    demand: Vec<f64>,
    cost: f64,
    plan: Option<Vec<f64>>,
}

fn published() -> Published {
    toml::from_str(include_str!("published/money.toml")).unwrap()
}

fn close(ours: f64, theirs: f64, relative: f64) -> bool {
    (ours - theirs).abs() <= relative * theirs.abs()
}

fn reversed(list: &[f64]) -> Vec<f64> {
    list.iter().rev().copied().collect()
}

#[test]
fn economic_lots_meet_the_published_ones() {
    for case in published().economic_lot {
        let lot =
            economic_lot(case.fixed_cost, case.rate, case.holding_cost, case.drawn_at).unwrap();
        assert!(
            close(lot.quantity, case.quantity, case.relative),
            "{}: {lot:?}",
            case.id
        );
        assert!(
            close(lot.interval * case.rate, lot.quantity, 1e-12),
            "{}",
            case.id
        );
        if let Some(cost) = case.cost_per_time {
            assert!(
                close(lot.cost_per_time, cost, case.relative),
                "{}: {lot:?}",
                case.id
            );
        }
    }
}

#[test]
fn shipping_plans_meet_the_published_ones_run_backwards() {
    for case in published().shipping_plan {
        let plan = shipping_plan(
            &reversed(&case.demand),
            &reversed(&case.fixed_cost),
            &reversed(&case.holding_cost),
        );
        assert!(
            (plan.cost - case.cost).abs() < 1e-9,
            "{}: {plan:?}",
            case.id
        );
        if let Some(shipped) = case.plan {
            assert_eq!(plan.shipped, reversed(&shipped), "{}", case.id);
        }
    }
}

/// Every way to choose the months in which something is shipped, the last one included.
fn cheapest_by_trying(gathered: &[f64], fixed: f64, holding: f64) -> f64 {
    let months = gathered.len();
    let mut best = f64::INFINITY;
    for choice in 0u32..1 << months {
        let (mut cost, mut stock) = (0.0, 0.0);
        for (i, more) in gathered.iter().enumerate() {
            stock += more;
            if choice >> i & 1 == 1 {
                cost += fixed;
                stock = 0.0;
            } else {
                cost += holding * stock;
            }
        }
        if stock == 0.0 {
            best = best.min(cost);
        }
    }
    best
}

#[test]
fn no_plan_is_cheaper_than_ours_and_everything_is_shipped() {
    let mut seed: u64 = 7;
    let mut next = |most: u64| {
        seed = seed
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        ((seed >> 33) % most) as f64
    };
    for _ in 0..300 {
        let months = 1 + next(10) as usize;
        let gathered: Vec<f64> = (0..months).map(|_| next(5) * 25.0).collect();
        let (fixed, holding) = (next(300), next(40) / 10.0);
        let plan = shipping_plan(&gathered, &[fixed], &[holding]);
        let tried = cheapest_by_trying(&gathered, fixed, holding);
        assert!(
            (plan.cost - tried).abs() < 1e-9,
            "{gathered:?} {fixed} {holding}: {plan:?}, {tried}"
        );
        let sum: f64 = plan.shipped.iter().sum();
        assert!((sum - gathered.iter().sum::<f64>()).abs() < 1e-9);
    }
}

#[test]
fn there_is_no_economic_lot_where_a_figure_is_missing() {
    for (k, d, h) in [
        (0.0, 1.0, 1.0),
        (1.0, 0.0, 1.0),
        (1.0, 1.0, 0.0),
        (f64::NAN, 1.0, 1.0),
    ] {
        assert!(economic_lot(k, d, h, None).is_none());
    }
    assert!(
        economic_lot(1.0, 2.0, 1.0, Some(2.0)).is_none(),
        "it gathers as fast as it is drawn"
    );
    assert_eq!(shipping_plan(&[], &[1.0], &[1.0]).cost, 0.0);
}
