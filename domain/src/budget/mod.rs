//! What silver costs: per plate, per bath, per month and per year, net of what is got back.
//!
//! Silver nitrate is bought for two things: to keep a bath at strength while plates and paper take
//! silver out of it, and to fill a bath afresh. Part of that silver comes back by the streams.
//! Masses carry their uncertainty; money is exact under each of three metal prices.

mod defaults;
mod money;
mod readings;
mod request;
mod result;

pub use request::{
    BathUse, BudgetRequest, LONGEST_SIDE_CM, MOST_BATHS, MOST_LINES, MOST_PLATES, PlateFormat,
    PriceRange, RecoveryStream, SilverNitratePrice, SilverUse,
};
pub use result::{
    BathBudget, Budget, CostCases, CostLines, FormatBudget, MassFigure, PriceCase, PriceCases,
    StreamBudget, WorthCases,
};

use crate::answer::{Answer, Method, Notes, Severity};
use crate::chemistry::constants::SILVER_IN_NITRATE;
use crate::estimate::InputShare;
use crate::fault::{Fault, FaultKind, Faults, at_most};
use crate::quantity::{ComputedGrams, ComputedPercent, ComputedSquareMetres, MetalPrice};
use crate::statistics::{Inputs, Uncertain};
use defaults::DEFAULTS;
use money::{Cases, Flow};
use readings::Work;
use rust_decimal::Decimal;

const SILVER_CONTENT: Method = Method {
    name: "silver in silver nitrate",
    formula: "silver (g) = silver nitrate (g) x purity x 107.8682 / 169.8722 (63.50 %)",
    source: "iupac_atomic_weights",
};
const NET_COST: Method = Method {
    name: "net cost",
    formula: "net = silver nitrate bought - recovered silver x metal price x share paid for + charges; charges are shared by silver nitrate used",
    source: "house_rule",
};
const SPREAD: Method = Method {
    name: "first-order uncertainty",
    formula: "u2 = sum of (derivative x u of the input)2, shared inputs counted once",
    source: "jcgm100",
};

/// Every method of this module.
pub const METHODS: &[Method] = &[
    readings::PER_PLATE,
    readings::PER_BATH,
    readings::RECOVERED,
    SILVER_CONTENT,
    NET_COST,
    SPREAD,
    money::FROM_METAL,
    money::FROM_QUOTE,
];

/// The bibliography key of every default of this module.
#[must_use]
pub fn default_sources() -> Vec<&'static str> {
    DEFAULTS.sources()
}

/// The metal's price and how far it may move, with their places in the request.
#[derive(Debug, Clone, Copy)]
pub struct BudgetPrices<'a> {
    /// The metal's price.
    pub metal: &'a MetalPrice,
    /// Where it stands in the request.
    pub metal_at: &'a str,
    /// How far it may move.
    pub range: Option<&'a PriceRange>,
    /// Where that stands in the request.
    pub range_at: &'a str,
}

/// Answers `POST /v1/budgets`.
///
/// # Errors
/// Every fault found in the use, the prices and the currencies.
pub fn plan_budget(request: &BudgetRequest) -> Result<Answer<Budget>, Faults> {
    let mut notes = Notes::new();
    let prices = BudgetPrices {
        metal: &request.metal_price,
        metal_at: "/metal_price",
        range: request.price_range.as_ref(),
        range_at: "/price_range",
    };
    let budget = budget_silver_use(&request.silver_use, "/silver_use", prices, &mut notes)?;
    Ok(notes.answer(budget, request.rule_set.map(|r| r.rules())))
}

/// Works out what a studio's silver costs; `at` is the use's own place in the request, for faults.
///
/// Silver nitrate per plate is loss per area times area, per bath strength times volume; silver is
/// 63.50 % of pure silver nitrate. Net = bought - recovered silver at the metal price and the share
/// paid for + charges. With no stream, nothing comes back and the answer says so. One 8x10 inch
/// plate at 13.9 g/m2 takes 0.0516 m2 x 13.9 = 0.72 g.
///
/// # Errors
/// Every fault found: nothing made, a side or a count out of range, shares above 100 %, two
/// currencies, a low price above the price.
pub fn budget_silver_use(
    silver_use: &SilverUse,
    at: &str,
    prices: BudgetPrices<'_>,
    notes: &mut Notes,
) -> Result<Budget, Faults> {
    Faults::none_of(check(silver_use, at, prices))?;
    let mut work = Work {
        inputs: Inputs::default(),
        at,
        notes,
    };
    let cases = Cases::work_out(silver_use, at, prices, work.notes)?;

    let purity = work.purity(silver_use)?;
    let silver_in = |nitrate: &Uncertain| nitrate.times(&purity).scaled(SILVER_IN_NITRATE);

    let streams = work.streams(silver_use)?;
    let returned = streams.iter().fold(Uncertain::exact(0.0), |sum, s| {
        sum.plus(&s.share.times(&s.recovered))
    });

    let mut formats = Vec::with_capacity(silver_use.formats.len());
    for (i, format) in silver_use.formats.iter().enumerate() {
        let area = format.width_cm.as_f64() * format.height_cm.as_f64() / 10_000.0;
        let nitrate = work.loss(format, i)?.scaled(area);
        let recovered = silver_in(&nitrate).times(&returned);
        let yearly = f64::from(format.monthly_count) * 12.0;
        formats.push((
            area,
            Flow {
                nitrate,
                recovered,
                yearly,
            },
        ));
    }
    let mut baths = Vec::with_capacity(silver_use.baths.len());
    for (i, bath) in silver_use.baths.iter().enumerate() {
        let (nitrate, share) = work.bath(bath, i)?;
        let recovered = silver_in(&nitrate).times(&share);
        baths.push(Flow {
            nitrate,
            recovered,
            yearly: f64::from(bath.yearly_count),
        });
    }

    let plates = sum(formats.iter().map(|(_, f)| f.nitrate.scaled(f.yearly)));
    let total = Flow {
        nitrate: plates.plus(&sum(baths.iter().map(|b| b.nitrate.scaled(b.yearly)))),
        recovered: sum(formats
            .iter()
            .map(|(_, f)| f)
            .chain(&baths)
            .map(|f| f.recovered.scaled(f.yearly))),
        yearly: 1.0,
    };
    if total.nitrate.value() <= 0.0 {
        return Err(Fault::out_of_range(
            format!("{at}/formats"),
            "nothing",
            "at least one plate a month or one fresh bath a year",
        )
        .into());
    }

    let cost = |flow: &Flow, count: f64, divisor: u32| cases.cost(flow, &total, count, divisor, at);
    let mut format_budgets = Vec::with_capacity(formats.len());
    for (format, (area, flow)) in silver_use.formats.iter().zip(&formats) {
        format_budgets.push(FormatBudget {
            name: format.name.clone(),
            area_m2: ComputedSquareMetres::of(*area),
            silver_nitrate_each: mass(&flow.nitrate),
            silver_each: mass(&silver_in(&flow.nitrate)),
            recovered_silver_each: mass(&flow.recovered),
            each: cost(flow, 1.0, 1)?,
            per_month: cost(flow, flow.yearly, 12)?,
            per_year: cost(flow, flow.yearly, 1)?,
        });
    }
    let mut bath_budgets = Vec::with_capacity(baths.len());
    for (bath, flow) in silver_use.baths.iter().zip(&baths) {
        bath_budgets.push(BathBudget {
            name: bath.name.clone(),
            silver_nitrate_each: mass(&flow.nitrate),
            silver_each: mass(&silver_in(&flow.nitrate)),
            recovered_silver_each: mass(&flow.recovered),
            each: cost(flow, 1.0, 1)?,
            per_year: cost(flow, flow.yearly, 1)?,
        });
    }
    let plate_silver = silver_in(&plates);
    let mut stream_budgets = Vec::with_capacity(streams.len());
    for (i, (stream, says)) in streams.iter().zip(&silver_use.streams).enumerate() {
        let silver = plate_silver.times(&stream.share);
        let recovered = silver.times(&stream.recovered);
        let worth = cases.worth(&recovered, says.yearly_cost, at)?;
        if worth.expected.decimal() < Decimal::ZERO {
            work.notes.warn(
                &format!("/streams/{i}/worth_per_year"),
                Severity::Note,
                format!(
                    "Getting silver out of \"{}\" costs more than it brings at the price given. That settles nothing in law: silver may still have to come out before the liquid goes anywhere.",
                    says.name
                ),
            );
        }
        stream_budgets.push(StreamBudget {
            name: says.name.clone(),
            silver_per_year: mass(&silver),
            recovered_silver_per_year: mass(&recovered),
            worth_per_year: worth,
        });
    }

    let net = cases.net(&total, &total, 1.0);
    let contributions = work
        .inputs
        .contributions(&net)
        .into_iter()
        .map(|c| InputShare {
            input: c.input,
            share_percent: ComputedPercent::of(c.share * 100.0),
        })
        .collect();
    work.notes.method("/per_year", NET_COST);
    work.notes.method("/per_year", SPREAD);
    work.notes.method("/silver_per_year", SILVER_CONTENT);
    Ok(Budget {
        currency: silver_use.currency,
        prices: cases.prices(silver_use.currency, at)?,
        silver_nitrate_per_year: mass(&total.nitrate),
        silver_per_year: mass(&silver_in(&total.nitrate)),
        recovered_silver_per_year: mass(&total.recovered),
        formats: format_budgets,
        baths: bath_budgets,
        streams: stream_budgets,
        per_month: cost(&total, 1.0, 12)?,
        per_year: cost(&total, 1.0, 1)?,
        contributions,
    })
}

fn sum(parts: impl Iterator<Item = Uncertain>) -> Uncertain {
    parts.fold(Uncertain::exact(0.0), |a, b| a.plus(&b))
}

fn mass(of: &Uncertain) -> MassFigure {
    MassFigure {
        mass_g: ComputedGrams::of(of.value()),
        standard_uncertainty_g: ComputedGrams::of(of.standard_uncertainty()),
    }
}

fn check(silver_use: &SilverUse, at: &str, prices: BudgetPrices<'_>) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (list, length) in [
        ("formats", silver_use.formats.len()),
        ("baths", silver_use.baths.len()),
        ("streams", silver_use.streams.len()),
    ] {
        if let Err(fault) = at_most(format!("{at}/{list}"), length, MOST_LINES) {
            faults.push(fault);
        }
    }
    if silver_use.formats.is_empty() && silver_use.baths.is_empty() {
        faults.push(Fault::missing(
            format!("{at}/formats"),
            "at least one plate format, or one bath in `baths`",
        ));
    }
    if silver_use.currency != prices.metal.currency {
        faults.push(Fault::new(
            FaultKind::MixedCurrencies,
            format!("{at}/currency"),
            format!(
                "{} here and {} at {}: expected one currency, since two never add",
                silver_use.currency, prices.metal.currency, prices.metal_at
            ),
        ));
    }
    if let SilverNitratePrice::Quoted { for_g, .. } = &silver_use.silver_nitrate
        && for_g.decimal().is_zero()
    {
        faults.push(Fault::out_of_range(
            format!("{at}/silver_nitrate/quoted/for_g"),
            0,
            "the grams of silver nitrate that the amount buys, more than 0",
        ));
    }
    for (i, format) in silver_use.formats.iter().enumerate() {
        for (name, side) in [
            ("width_cm", format.width_cm),
            ("height_cm", format.height_cm),
        ] {
            let side = side.decimal();
            if side.is_zero() || side > Decimal::from(LONGEST_SIDE_CM) {
                faults.push(Fault::out_of_range(
                    format!("{at}/formats/{i}/{name}"),
                    side,
                    "more than 0 and at most 500 cm",
                ));
            }
        }
        if format.monthly_count > MOST_PLATES {
            faults.push(Fault::out_of_range(
                format!("{at}/formats/{i}/monthly_count"),
                format.monthly_count,
                "at most 100000 in a month",
            ));
        }
    }
    for (i, bath) in silver_use.baths.iter().enumerate() {
        if bath.yearly_count > MOST_BATHS {
            faults.push(Fault::out_of_range(
                format!("{at}/baths/{i}/yearly_count"),
                bath.yearly_count,
                "at most 1000 in a year",
            ));
        }
    }
    let shares = silver_use.streams.iter().try_fold(Decimal::ZERO, |sum, s| {
        sum.checked_add(s.share_percent.decimal())
    });
    if shares.is_none_or(|s| s > Decimal::ONE_HUNDRED) {
        faults.push(Fault::new(
            FaultKind::Conflict,
            format!("{at}/streams"),
            format!(
                "the shares add up to {} %: expected at most 100 %, since all of it is the silver of the plates",
                shares.map_or_else(|| "too much".to_owned(), |s| s.normalize().to_string())
            ),
        ));
    }
    faults
}
