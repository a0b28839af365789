//! What every plan has in common: silver recovered, residual, product, time, and cost.

use super::facts::{ProcessFacts, ReagentFacts, ResidualFacts, TimeFacts};
use super::plan::{
    CostLine, PlanCost, PlanTime, PracticalResidual, ProcessName, Product, ReagentDose,
    RecoveryPlan, SecondaryWaste, SilverRecovered, Trouble,
};
use super::situation::{SilverRange, Situation};
use super::text;
use crate::answer::{Method, Notes, Severity};
use crate::bibliography::{SourceStatus, reference};
use crate::quantity::{Computed, ComputedGrams, Currency, SignedAmount};
use rust_decimal::Decimal;
use std::borrow::Cow;

/// Silver that a plan brings out.
pub(super) const RECOVERED: Method = Method {
    name: "silver recovered",
    formula: "expected (g) = silver (g) - planned residual (mg/L) x volume (L) / 1000; lower and upper ends: least silver with the highest residual, most silver with the lowest; never below zero",
    source: "house_rule",
};

/// Dose of a reagent.
pub(super) const DOSE: Method = Method {
    name: "dose on the upper end",
    formula: "reagent (g) = upper end of the silver's 95 % interval (g) x reagent's molar mass / (107.8682 x silver atoms per reagent) x dose factor, rounded up to what the scale weighs",
    source: "recovery_stoichiometry",
};

/// Cost lines.
pub(super) const COST: Method = Method {
    name: "cost of a plan",
    formula: "line = mass (kg) x price per kg, rounded half away from zero to the minor unit; total = sum of the rounded lines",
    source: "house_rule",
};

/// A plan before its process has filled it in.
pub(super) fn draft(facts: &'static ProcessFacts, notes: &mut Notes) -> RecoveryPlan {
    RecoveryPlan {
        process: facts.name,
        title: facts.title.clone(),
        offered_by_default: facts.offered_by_default,
        means: facts.means.clone(),
        hazard: facts.hazard,
        hazards: facts.hazards.clone(),
        measure_first: None,
        stages: Vec::new(),
        reagents: Vec::new(),
        charge: None,
        time: facts.time.as_ref().map(|t| plan_time(t, notes)),
        end_test: None,
        product: Product {
            form: facts.product.form,
            dry_g: None,
            wet_g: None,
            silver_low_percent: facts.product.silver_percent_low.map(Computed::of),
            silver_high_percent: facts.product.silver_percent_high.map(Computed::of),
            next: String::new(),
        },
        silver_recovered: None,
        practical_residual: facts.residual.as_ref().map(|r| residual(r, notes)),
        equilibrium_floor: None,
        floor_unknown: None,
        dose_curve: None,
        wash_losses: Vec::new(),
        metal_dissolved: None,
        dose_for_residual: None,
        head_space: Vec::new(),
        cell: Vec::new(),
        secondary_waste: Vec::new(),
        cost: None,
        steps: Vec::new(),
        product_steps_from: None,
        troubles: Vec::new(),
    }
}

fn plan_time(time: &'static TimeFacts, notes: &mut Notes) -> PlanTime {
    notes.cite(time.source.as_str());
    PlanTime {
        expected_h: None,
        least_h: Computed::of(time.least_h),
        most_h: Computed::of(time.most_h),
        text: time.text.clone(),
    }
}

fn residual(residual: &'static ResidualFacts, notes: &mut Notes) -> PracticalResidual {
    let source = residual.source.as_str();
    notes.cite(source);
    PracticalResidual {
        low_mg_per_l: Computed::of(residual.low_mg_per_l),
        high_mg_per_l: Computed::of(residual.high_mg_per_l),
        mean_mg_per_l: residual.mean_mg_per_l.map(Computed::of),
        median_mg_per_l: residual.median_mg_per_l.map(Computed::of),
        text: residual.text.clone(),
        source,
        status: reference(source).map_or(SourceStatus::Unverified, |r| r.status),
    }
}

/// Sets the silver recovered and the product's mass. Without a volume the silver left behind is
/// unknown, and so is what is recovered.
///
/// `silver_share` is the silver in the dry product, 0 to 1.
pub(super) fn fill_yield(
    plan: &mut RecoveryPlan,
    situation: &Situation<'_>,
    silver: SilverRange,
    facts: &'static ProcessFacts,
    silver_share: f64,
    notes: &mut Notes,
) {
    let (Some(volume_l), Some(residual)) = (situation.volume_l, facts.residual.as_ref()) else {
        notes.assume(
            "/plan/product",
            format!("{}/volume_l", situation.at),
            "house_rule",
            "No volume was given: the product's mass is that of all the silver, and what stays in the liquor could not be taken off.",
        );
        set_mass(plan, facts, silver.figure_g, silver_share);
        return;
    };
    notes.method("/plan/silver_recovered", RECOVERED);
    let left_g = |mg_per_l: f64| mg_per_l * volume_l / 1000.0;
    let expected = (silver.figure_g - left_g(residual.planned_mg_per_l())).max(0.0);
    let lower = (silver.lower_g - left_g(residual.high_mg_per_l)).max(0.0);
    let upper = (silver.upper_g - left_g(residual.low_mg_per_l)).max(0.0);
    plan.silver_recovered = Some(SilverRecovered {
        expected_g: Computed::of(expected),
        lower_g: Computed::of(lower.min(expected)),
        upper_g: Computed::of(upper.max(expected)),
        expected_percent: Computed::of(if silver.figure_g > 0.0 {
            100.0 * expected / silver.figure_g
        } else {
            0.0
        }),
    });
    set_mass(plan, facts, expected, silver_share);
    if expected <= 0.0 {
        notes.warn(
            "/plan/silver_recovered",
            Severity::Note,
            format!(
                "It holds about {} mg/L silver, no more than the {} mg/L that this plan counts on leaving behind: it may not pay, though some may come out.",
                text::about(silver.figure_g / volume_l * 1000.0),
                text::about(residual.planned_mg_per_l())
            ),
        );
    }
}

/// Sets the product's dry and wet mass from the silver in it and its share of silver, 0 to 1.
pub(super) fn set_mass(
    plan: &mut RecoveryPlan,
    facts: &'static ProcessFacts,
    silver_g: f64,
    share: f64,
) {
    let dry = silver_g / share;
    plan.product.dry_g = Some(Computed::of(dry));
    plan.product.wet_g = facts
        .product
        .moisture_percent
        .map(|m| Computed::of(dry / (1.0 - m / 100.0)));
}

/// The product's share of silver in the middle of its range, 0 to 1.
pub(super) fn middle_share(facts: &ProcessFacts) -> f64 {
    let product = &facts.product;
    match (product.silver_percent_low, product.silver_percent_high) {
        (Some(low), Some(high)) => f64::midpoint(low, high) / 100.0,
        _ => 1.0,
    }
}

/// Dry and wet mass of the product as a phrase for a step.
pub(super) fn mass_phrase(plan: &RecoveryPlan) -> String {
    let two = |m: Option<ComputedGrams>| m.map(|m| text::about(m.get()));
    match (two(plan.product.dry_g), two(plan.product.wet_g)) {
        (Some(dry), Some(wet)) => {
            format!("Expect about {wet} g damp, which would be about {dry} g dry.")
        }
        _ => String::new(),
    }
}

/// A dose of a solid: `grams_per_gram` is what one gram of silver takes, atom for atom.
pub(super) fn dose(
    situation: &Situation<'_>,
    silver: SilverRange,
    facts: &'static ProcessFacts,
    grams_per_gram: f64,
    notes: &mut Notes,
) -> Option<ReagentDose> {
    let reagent = facts.reagent.as_ref()?;
    Some(dose_of(situation, silver, reagent, grams_per_gram, notes))
}

/// A dose of one of several reagents.
pub(super) fn dose_of(
    situation: &Situation<'_>,
    silver: SilverRange,
    reagent: &'static ReagentFacts,
    grams_per_gram: f64,
    notes: &mut Notes,
) -> ReagentDose {
    notes.method("/plan/reagents", DOSE);
    notes.cite(reagent.source.as_str());
    let stoichiometric = silver.upper_g * grams_per_gram;
    let mass = text::weighable(stoichiometric * reagent.dose_factor, situation.scale_step_g);
    ReagentDose {
        substance: reagent.substance.clone(),
        stoichiometric_g: Computed::of(stoichiometric),
        dose_factor: Computed::of(reagent.dose_factor),
        factor_source: reagent.source.as_str(),
        mass_g: Computed::of(mass),
        solution_ml: None,
        first_portion_g: None,
        excess_mol_per_l: None,
        highest_excess_mol_per_l: None,
    }
}

/// The liquor that every process leaves.
pub(super) fn liquor_waste(what: impl Into<Cow<'static, str>>) -> SecondaryWaste {
    SecondaryWaste {
        what: what.into(),
        mass_g: None,
        text: text::LIQUOR.into(),
    }
}

/// A sign that something goes wrong, and what to do.
pub(super) fn trouble(sign: &'static str, response: impl Into<Cow<'static, str>>) -> Trouble {
    Trouble {
        sign: sign.into(),
        response: response.into(),
    }
}

/// Prices the reagents of a plan, and the shipping where it ships; exact money.
pub(super) fn cost(
    situation: &Situation<'_>,
    plan: &RecoveryPlan,
    notes: &mut Notes,
) -> Option<PlanCost> {
    let options = situation.options;
    let currency = options.currency()?;
    let mut lines = Vec::new();
    let mut without_price = Vec::new();
    for reagent in &plan.reagents {
        let line = options
            .reagent_prices
            .iter()
            .find(|p| p.substance == reagent.substance)
            .and_then(|price| {
                let kilograms = reagent
                    .mass_g
                    .to_decimal()
                    .ok()?
                    .checked_div(Decimal::ONE_THOUSAND)?;
                price.amount_per_kilogram.decimal().checked_mul(kilograms)
            });
        match line {
            Some(sum) => lines.push(CostLine {
                item: reagent.substance.to_string(),
                amount: SignedAmount::rounded(sum, currency),
            }),
            None => without_price.push(reagent.substance.to_string()),
        }
    }
    if plan.charge.is_some() {
        without_price.push("electricity".to_owned());
    }
    if plan.process == ProcessName::ShipLiquid {
        match shipping(situation, currency) {
            Some(line) => lines.push(line),
            None => without_price.push("shipping".to_owned()),
        }
    }
    let total = lines
        .iter()
        .try_fold(Decimal::ZERO, |sum, l| sum.checked_add(l.amount.decimal()))
        .filter(|_| without_price.is_empty());
    let metal_value = options.price.and_then(|price| {
        let grams = plan.silver_recovered?.expected_g.to_decimal().ok()?;
        Some(SignedAmount::rounded(price.value_of(grams)?, currency))
    });
    notes.method("/plan/cost", COST);
    Some(PlanCost {
        currency,
        lines,
        without_price,
        total: total.map(|t| SignedAmount::rounded(t, currency)),
        metal_value,
    })
}

fn shipping(situation: &Situation<'_>, currency: Currency) -> Option<CostLine> {
    let price = situation.options.shipping?;
    let fixed = price.fixed.map_or(Decimal::ZERO, |a| a.decimal());
    let per_litre = match price.per_litre {
        Some(amount) => {
            let litres = Computed::<crate::quantity::Litre>::of(situation.volume_l?)
                .to_decimal()
                .ok()?;
            amount.decimal().checked_mul(litres)?
        }
        None => Decimal::ZERO,
    };
    Some(CostLine {
        item: "shipping".to_owned(),
        amount: SignedAmount::rounded(fixed.checked_add(per_litre)?, currency),
    })
}
