//! A budget as a part of a page: what silver costs, at three metal prices.

use super::text::Page;
use spent_silver_domain::budget::{Budget, CostLines, MassFigure};
use spent_silver_domain::document::{Column, FieldLine, figure};

/// Sets the budget on the page, without a heading.
pub fn write_budget(page: &mut Page, budget: &Budget) {
    let currency = budget.currency.code();
    let mass = |of: &MassFigure| figure(of.mass_g.get(), of.standard_uncertainty_g.get(), "g");
    page.fields(&[
        FieldLine::new(
            "Silver nitrate in a year",
            mass(&budget.silver_nitrate_per_year),
        ),
        FieldLine::new("Silver in it", mass(&budget.silver_per_year)),
        FieldLine::new("Silver got back", mass(&budget.recovered_silver_per_year)),
    ]);
    if !budget.formats.is_empty() {
        let rows: Vec<Vec<String>> = budget
            .formats
            .iter()
            .map(|f| {
                let each = &f.each;
                vec![
                    f.name.to_string(),
                    mass(&f.silver_nitrate_each),
                    each.low.net.to_string(),
                    each.expected.net.to_string(),
                    each.high.net.to_string(),
                    f.per_month.expected.net.to_string(),
                ]
            })
            .collect();
        page.table(
            &[
                Column::words("One plate or sheet"),
                Column::figures("Silver nitrate"),
                Column::figures(format!("Low, {currency}")),
                Column::figures("Expected"),
                Column::figures("High"),
                Column::figures("A month"),
            ],
            &rows,
            None,
        );
    }
    let year = &budget.per_year;
    let line = |name: &str, of: fn(&CostLines) -> String| {
        vec![
            name.to_owned(),
            of(&year.low),
            of(&year.expected),
            of(&year.high),
        ]
    };
    let silver = vec![
        "Silver, a troy ounce".to_owned(),
        budget.prices.low.metal_per_troy_ounce.to_string(),
        budget.prices.expected.metal_per_troy_ounce.to_string(),
        budget.prices.high.metal_per_troy_ounce.to_string(),
    ];
    let rows = vec![
        silver,
        line("Silver nitrate bought", |c| c.silver_nitrate.to_string()),
        line("Less silver got back", |c| c.recovered_silver.to_string()),
        line("Charges", |c| c.charges.to_string()),
    ];
    let total = line("Left to pay", |c| c.net.to_string());
    page.table(
        &[
            Column::words("In a year"),
            Column::figures(format!("Low, {currency}")),
            Column::figures("Expected"),
            Column::figures("High"),
        ],
        &rows,
        Some(&total),
    );
    page.paragraph(&format!(
        "At the expected price that is {} {currency} a month. The year's figure has a standard uncertainty of {} {currency}, from the silver alone.",
        budget.per_month.expected.net, year.expected.net_standard_uncertainty
    ));
}
