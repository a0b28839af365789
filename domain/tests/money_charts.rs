//! The pictures of money, held to accounts done by hand.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use spent_silver_domain::budget::{BudgetRequest, plan_budget};
use spent_silver_domain::document::{
    Chart, budget_chart, worth_by_price_chart, worth_by_silver_chart,
};
use spent_silver_domain::valuation::{ValuationOutcome, ValuationRequest, value_lot};

/// A figure that the chart marks, by its name.
fn marked(chart: &Chart, name: &str) -> (f64, f64) {
    let mark = chart.marks.iter().find(|m| m.name == name).unwrap();
    (mark.point.across.get(), mark.point.up.get())
}

fn near(found: f64, by_hand: f64) {
    assert!((found - by_hand).abs() < 0.01, "{found}, by hand {by_hand}");
}

#[test]
fn a_lot_is_drawn_through_its_nets_and_breaks_even_where_the_account_does() {
    // 10 troy ounces at 30: 300 less 10 % not paid for, 45, 9 x 0.60, 35 and 18.50 leave 166.10. At 21,
    // 30 % less: 210 - 21 - 45 - 5.40 - 35 - 18.50 = 85.10. It breaks even at (98.50 + 5.40) / 9 a troy
    // ounce, rounded up to 11.5445, and at 98.50 / 29.40 / 0.9 troy ounces of 31.1034768 g: 115.79 g.
    let request: ValuationRequest = serde_json::from_str(
        r#"{"lot": {"id": "lot", "batches": [{"id": "jug", "kind": "fixer", "status": "spent", "volume_l": "10",
          "composition": [{"substance": "sodium_thiosulfate"}],
          "evidence": [{"stated": {"silver_g": {"value": "311.034768", "standard_uncertainty": "3"}, "source": "a record"}}]}]},
        "price": {"amount": "30", "currency": "USD", "per": "troy_ounce"},
        "terms": {"currency": "USD", "payment": {"payable_percent": "90", "treatment": {"per_lot": "45"},
          "refining_per_troy_ounce": "0.60", "assay_fee": "35", "freight": "18.50"}}}"#,
    )
    .unwrap();
    let valuation = value_lot(&request).unwrap().result.valuation;
    let ValuationOutcome::Accepted(settlement) = &valuation.outcome else {
        panic!("{:?}", valuation.outcome);
    };
    let by_price = worth_by_price_chart(settlement, &request.price).unwrap();
    let (price, net) = marked(&by_price, "now");
    near(price, 30.0);
    near(net, 166.10);
    let (even, nothing) = marked(&by_price, "break-even");
    near(even, 11.5445);
    near(nothing, 0.0);
    let expected = &by_price.curves.first().unwrap().points;
    let cheap = expected.iter().find(|p| p.across.get() == 21.0).unwrap();
    near(cheap.up.get(), 85.10);
    assert!(expected.is_sorted_by(|a, b| a.across.get() <= b.across.get()));
    // Less silver nets less, more nets more.
    let nets: Vec<f64> = by_price
        .curves
        .iter()
        .map(|c| {
            c.points
                .iter()
                .find(|p| p.across.get() == 30.0)
                .unwrap()
                .up
                .get()
        })
        .collect();
    let [middle, least, most] = nets.as_slice() else {
        panic!("{nets:?}");
    };
    assert!(least < middle && middle < most, "{nets:?}");
    // Side by side: one row for each price.
    let (columns, rows) = by_price.table();
    assert_eq!((columns.len(), rows.len()), (4, 8));
    assert!(
        rows.iter()
            .any(|r| r.first().unwrap() == "now 30" && r.get(1).unwrap() == "166"),
        "{rows:?}"
    );

    let silver = valuation.silver.as_ref().unwrap();
    let by_silver = worth_by_silver_chart(silver, settlement, valuation.currency).unwrap();
    near(marked(&by_silver, "break-even").0, 115.79);
    near(marked(&by_silver, "the silver expected").1, 166.10);
}

#[test]
fn the_year_is_drawn_at_three_prices_and_left_to_pay_is_the_sum_of_its_parts() {
    let request: BudgetRequest =
        serde_json::from_str(include_str!("../../api/examples/budgets.json")).unwrap();
    let budget = plan_budget(&request).unwrap().result;
    let chart = budget_chart(&budget);
    // 31.25 a troy ounce, 30 % either way: 21.875 and 40.625, half a cent away from nothing.
    let [paid, bought, back] = chart.curves.as_slice() else {
        panic!("{} curves", chart.curves.len());
    };
    let prices: Vec<f64> = paid.points.iter().map(|p| p.across.get()).collect();
    assert_eq!(prices, [21.88, 31.25, 40.63]);
    // Charges are the same at any price: 8 + 12 + 100 in the request.
    for ((paid, bought), back) in paid.points.iter().zip(&bought.points).zip(&back.points) {
        near(paid.up.get(), bought.up.get() - back.up.get() + 120.0);
    }
    assert_eq!(marked(&chart, "now").0, 31.25);
}
