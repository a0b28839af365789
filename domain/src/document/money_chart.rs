//! The charts of money: what a lot nets against its silver and against the price, and what silver costs
//! at three prices.

use super::chart::{Axis, Chart, ChartPoint, Curve, Mark};
use crate::budget::{Budget, CostLines};
use crate::quantity::{Currency, MetalPrice, SignedAmount};
use crate::valuation::{LotSilver, PriceRow, Settlement, price_words, silver_words};
use rust_decimal::prelude::ToPrimitive as _;

/// A break-even beyond so many times what is at hand is told in words: drawn, it would leave nothing
/// else to see.
const FARTHEST: f64 = 4.0;

fn money(of: SignedAmount) -> f64 {
    of.decimal().to_f64().unwrap_or_default()
}

fn curve(name: &str, points: Vec<ChartPoint>) -> Curve {
    Curve {
        name: name.to_owned(),
        points,
    }
}

/// The row of a settlement's sensitivity at the price given.
fn at_this_price(settlement: &Settlement) -> Option<&PriceRow> {
    let rows = settlement.sensitivity.iter();
    rows.into_iter()
        .find(|row| row.price_change_percent.get() == 0.0)
}

/// Net of a lot against the price of silver, for the silver expected and for both ends of its 95 %
/// interval, with the price at which it pays for itself; none where the settlement has no price to
/// draw by. The figures are those of the settlement's sensitivity, and nothing is worked out anew.
///
/// `price` is the price that the settlement was made with.
#[must_use]
pub fn worth_by_price_chart(settlement: &Settlement, price: &MetalPrice) -> Option<Chart> {
    let rows = &settlement.sensitivity;
    let at = |row: &PriceRow, net: SignedAmount| {
        Some(ChartPoint::at(row.price.decimal().to_f64()?, money(net)))
    };
    let points = |net: fn(&PriceRow) -> Option<SignedAmount>| -> Vec<ChartPoint> {
        rows.iter().filter_map(|row| at(row, net(row)?)).collect()
    };
    let now = at_this_price(settlement)?;
    let now_at = at(now, now.net_expected)?;
    let mut marks = vec![Mark {
        name: "now".to_owned(),
        point: now_at,
    }];
    let mut expected = points(|row| Some(row.net_expected));
    let told = match &settlement.break_even.price {
        Some(even) => {
            let figure = even.amount.decimal().to_f64()?;
            if figure <= FARTHEST * now_at.across.get() {
                let point = ChartPoint::at(figure, 0.0);
                expected.push(point);
                expected.sort_by(|a, b| a.across.get().total_cmp(&b.across.get()));
                marks.push(Mark {
                    name: "break-even".to_owned(),
                    point,
                });
            }
            format!(
                "It breaks even at {}.",
                price_words(even.amount.decimal(), even.currency, even.per)
            )
        }
        None => "No price breaks even: the refiner pays for none of this silver.".to_owned(),
    };
    let mut curves = vec![
        curve("the silver expected", expected),
        curve("the least silver", points(|row| Some(row.net_lower))),
    ];
    let upper = points(|row| row.net_upper);
    if !upper.is_empty() {
        curves.push(curve("the most silver", upper));
    }
    let currency = price.currency;
    Some(Chart {
        title: "What sending it nets, against the price".to_owned(),
        across: Axis::linear(format!(
            "price of silver, {currency} a {}",
            price.per.words()
        )),
        up: Axis::linear(format!("net, {currency}")),
        curves,
        marks,
        caption: format!(
            "The solid line is for the silver expected, the dashed ones for the ends of its 95 % interval. Below nothing, sending costs money. {told}"
        ),
    })
}

/// Net of a lot against its silver at the price given: both ends of its 95 % interval, the silver
/// expected, and the silver at which it pays for itself; none without a figure. Between these the
/// line is straight.
#[must_use]
pub fn worth_by_silver_chart(
    silver: &LotSilver,
    settlement: &Settlement,
    currency: Currency,
) -> Option<Chart> {
    let now = at_this_price(settlement)?;
    let expected = ChartPoint::at(silver.silver_g.get(), money(now.net_expected));
    let mut points = vec![
        ChartPoint::at(silver.lower_95_g.get(), money(now.net_lower)),
        expected,
    ];
    if let (Some(grams), Some(net)) = (silver.upper_95_g, now.net_upper) {
        points.push(ChartPoint::at(grams.get(), money(net)));
    }
    let mut marks = vec![Mark {
        name: "the silver expected".to_owned(),
        point: expected,
    }];
    let told = match settlement.break_even.silver_g {
        Some(even) => {
            if even.get() <= FARTHEST * silver.upper_95_g.unwrap_or(silver.silver_g).get() {
                let point = ChartPoint::at(even.get(), 0.0);
                points.push(point);
                marks.push(Mark {
                    name: "break-even".to_owned(),
                    point,
                });
            }
            format!(
                "A lot of this mass breaks even at {} of silver.",
                silver_words(even.get())
            )
        }
        None => "No amount of silver breaks even at this price.".to_owned(),
    };
    points.sort_by(|a, b| a.across.get().total_cmp(&b.across.get()));
    Some(Chart {
        title: "What sending it nets, against its silver".to_owned(),
        across: Axis::linear("silver in the lot, g"),
        up: Axis::linear(format!("net, {currency}")),
        curves: vec![curve("net", points)],
        marks,
        caption: format!(
            "Worked out at both ends of the 95 % interval, at the silver expected, and where it breaks even; straight between. {told}"
        ),
    })
}

/// What silver costs in a year at the three prices of a budget: what is left to pay, what is bought and
/// what comes back.
#[must_use]
pub fn budget_chart(budget: &Budget) -> Chart {
    let (prices, year) = (&budget.prices, &budget.per_year);
    let cases = [
        (&prices.low, &year.low),
        (&prices.expected, &year.expected),
        (&prices.high, &year.high),
    ];
    let points = |of: fn(&CostLines) -> SignedAmount| -> Vec<ChartPoint> {
        cases
            .iter()
            .map(|(price, cost)| ChartPoint::at(money(price.metal_per_troy_ounce), money(of(cost))))
            .collect()
    };
    let currency = budget.currency;
    Chart {
        title: "What silver costs in a year, at three prices".to_owned(),
        across: Axis::linear(format!("price of silver, {currency} a troy ounce")),
        up: Axis::linear(format!("{currency} in a year")),
        curves: vec![
            curve("left to pay", points(|cost| cost.net)),
            curve("silver nitrate bought", points(|cost| cost.silver_nitrate)),
            curve("silver got back", points(|cost| cost.recovered_silver)),
        ],
        marks: vec![Mark {
            name: "now".to_owned(),
            point: ChartPoint::at(
                money(prices.expected.metal_per_troy_ounce),
                money(year.expected.net),
            ),
        }],
        caption: "The solid line is what is left to pay: silver nitrate bought, less silver got back, plus charges. It is uncertain besides by what the silver is.".to_owned(),
    }
}
