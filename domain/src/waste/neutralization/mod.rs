//! Neutralization: the dose of base for an acid liquid, in stages, or a refusal with its reason.
//!
//! The blocks come first. What is left is a mixture of known acids in water.

mod acid_base;
mod acids;
mod blocks;
mod plan;
mod result;

pub use crate::chemistry::neutralization::Base;
pub use crate::chemistry::system::CarbonDioxide;
pub use acid_base::sources;
pub use result::{
    DoseRange, LeftOut, LeftOutEffect, NeutralizationPlan, NeutralizationRequest, PhPoint,
    PhWindow, StopPoint,
};

use super::contents::ph_interval;
use super::pour::check_procedure;
use super::rule_set::{RuleSet, RuleSetName};
use crate::answer::{Answer, Method, Notes, Severity};
use crate::batch::Batch;
use crate::estimate::{estimate_batch, volume_of};
use crate::fault::{Fault, Faults};
use crate::quantity::{Identifier, Ph};
use crate::statistics::{Inputs, Uncertain};
use crate::substance::substance;
use acid_base::{BaseData, Liquor, data, dose_for_ph, ph_after};
use acids::{Acids, acids_of};

/// Dose from the stated acids.
pub const CHARGE_BALANCE: Method = Method {
    name: "acid-base balance",
    formula: "[Na] + [H] = acid anions + [OH] + [HCO3] + 2 [CO3] at the target pH, Davies activities; dose = mol/L x V x M",
    source: "minteq_v4_acids",
};

/// Carbonate and gas in the balance.
pub const GAS_BALANCE: Method = Method {
    name: "carbon dioxide released",
    formula: "carbon added - carbon left dissolved; litres at 25 °C and 1 atm = mol x 24.465",
    source: "phreeqc_co2",
};

/// Activities.
pub const DAVIES: Method = Method {
    name: "Davies activities",
    formula: "log10 g = -0.510025 z^2 (sqrt(I) / (1 + sqrt(I)) - 0.3 I)",
    source: "davies_phreeqc",
};

/// Dose of a strong acid alone, from its pH.
pub const FROM_PH: Method = Method {
    name: "strong acid from pH",
    formula: "mol/L = 10^-pH; the upper end of the dose allows for the activity of the ion",
    source: "house_rule",
};

/// The order of addition and the stages.
pub const STAGES: Method = Method {
    name: "staged addition",
    formula: "four fifths of the lower end in portions, then twentieths with the pH read after each",
    source: "ppe_neutralization",
};

/// Answers `POST /v1/neutralization-plans`: a plan, or a refusal with its reason.
///
/// 1 g of nitric acid asks for 1.333 g of bicarbonate, 0.841 g of carbonate or 0.635 g of hydroxide,
/// plus what the dissolved carbon dioxide holds at the target pH.
///
/// # Errors
/// Faults of the batch and its evidence; a target outside 5.5 to 9; no volume.
///
/// ```
/// use spent_silver_domain::waste::neutralization::*;
/// let request: NeutralizationRequest = serde_json::from_str(r#"{"batch": {"id": "liquor",
///   "kind": "rinse_water", "volume_l": "5", "composition": [{"substance": "nitric_acid", "mol_per_l": "0.1"}]},
///   "base": "sodium_hydroxide", "target_ph": "7"}"#).unwrap();
/// let plan = plan_neutralization(&request).unwrap().result;
/// // 5 L x 0.1 mol/L x 39.997 g/mol = 20.0 g.
/// assert!((plan.base_g.unwrap().get() - 19.998).abs() < 0.001);
/// ```
pub fn plan_neutralization(
    request: &NeutralizationRequest,
) -> Result<Answer<NeutralizationPlan>, Faults> {
    let mut notes = Notes::new();
    let rules = request
        .rule_set
        .map_or_else(RuleSet::unspecified, RuleSetName::rules);
    let carbon_dioxide = request.carbon_dioxide.unwrap_or_else(|| {
        notes.assume(
            "/carbon_dioxide",
            "/carbon_dioxide",
            "house_rule",
            "The gas is taken to bubble off at the pressure of the air, as it does within the hour.",
        );
        CarbonDioxide::VentsAtSaturation
    });
    let plan = neutralize_batch(
        &request.batch,
        &Wish {
            base: request.base,
            target_ph: request.target_ph,
            carbon_dioxide,
            rules,
        },
        "/batch",
        &mut notes,
    )?;
    if let Some(refusal) = &plan.refusal {
        notes.warn("/refusal", Severity::Danger, refusal.reason.clone());
    }
    Ok(notes.answer(plan, request.rule_set.map(|r| r.rules())))
}

/// How a batch is to be neutralized.
#[derive(Debug, Clone, Copy)]
pub struct Wish {
    /// The base.
    pub base: Base,
    /// The pH to reach; none: the window of the data file.
    pub target_ph: Option<Ph>,
    /// What becomes of the gas.
    pub carbon_dioxide: CarbonDioxide,
    /// The rules that apply.
    pub rules: &'static RuleSet,
}

/// Plans the neutralization of one batch; `at` is the batch's own place in the request, for faults.
///
/// # Errors
/// Faults of the batch and its evidence; a target outside 5.5 to 9; no volume.
pub fn neutralize_batch(
    batch: &Batch,
    wish: &Wish,
    at: &str,
    notes: &mut Notes,
) -> Result<NeutralizationPlan, Faults> {
    let mut faults = batch.faults(at);
    let window = &data().window;
    if let Some(target) = wish.target_ph
        && (target < window.least_target_ph || target > window.most_target_ph)
    {
        faults.push(Fault::out_of_range(
            "/target_ph",
            target.decimal(),
            &format!(
                "{} to {}",
                window.least_target_ph.decimal(),
                window.most_target_ph.decimal()
            ),
        ));
    }
    Faults::none_of(faults)?;
    let refused = |refusal| NeutralizationPlan::refused(refusal, wish.base, wish.carbon_dioxide);
    let estimate = if batch.evidence.is_empty() {
        None
    } else {
        Some(estimate_batch(batch, at, &mut Notes::new())?)
    };
    if let Err(refusal) = blocks::check(batch, wish.base, estimate.as_ref()) {
        return Ok(refused(refusal));
    }
    let mut inputs = Inputs::default();
    let acids = match acids_of(batch, at, &mut inputs, notes)? {
        Ok(acids) => acids,
        Err(refusal) => return Ok(refused(refusal)),
    };
    let Some(volume) = volume_of(batch, at, &mut inputs, notes)? else {
        return Err(Fault::missing(
            format!("{at}/volume_l"),
            "the volume, to turn a concentration into a dose",
        )
        .into());
    };
    let Some(dose) = dose(&acids, &volume, &inputs, wish, notes) else {
        return Ok(refused(blocks::refusal(
            format!(
                "{} does not bring this liquid to that pH: it is there already, or it lies beyond what this base can do.",
                wish.base.words()
            ),
            &["Never keep adding base when the pH no longer moves."],
            &["Read the pH again; choose another target or base."],
        )));
    };
    warn_of_disagreement(batch, &acids, wish, notes);
    let plan = plan::write_plan(batch, wish, &acids, &dose, volume.value(), notes);
    if let Err(refusal) = check_procedure(batch, &plan.steps) {
        return Ok(refused(refusal));
    }
    Ok(plan)
}

struct BatchDose {
    target_ph: f64,
    window: (f64, f64),
    mol: f64,
    range_mol: (f64, f64),
    gas_mol: f64,
    molar: f64,
    base: &'static BaseData,
}

fn dose(
    acids: &Acids,
    volume: &Uncertain,
    inputs: &Inputs,
    wish: &Wish,
    notes: &mut Notes,
) -> Option<BatchDose> {
    let base = data().base.iter().find(|b| b.id == wish.base.substance())?;
    let molar = Identifier::new(wish.base.substance())
        .ok()
        .and_then(|id| substance(&id))?
        .molar_mass()?;
    let (target_ph, window) = target(wish, notes);
    let gas = wish.carbon_dioxide;
    let liquor = acids.liquor();
    let per_litre = dose_for_ph(&liquor, base, target_ph, gas)?;
    notes.method("/base_g", CHARGE_BALANCE);
    notes.method("/base_g", DAVIES);
    if base.carbon_per_mol > 0.0 {
        notes.method("/carbon_dioxide_released_mol", GAS_BALANCE);
    }
    for (_, acid) in &acids.list {
        notes.cite(crate::bibliography::reference(&acid.source).map_or("house_rule", |r| &r.key));
    }
    if per_litre.ionic_strength > 0.5 {
        notes.warn(
            "/ph_path",
            Severity::Note,
            "This liquid is concentrated (ionic strength above 0.5): trust the pH paper before the predicted pH.",
        );
    }
    let mut concentration = Uncertain::exact(per_litre.base_mol_per_l);
    for (i, (c, _)) in acids.list.iter().enumerate() {
        let slope = slope(&liquor, i, base, target_ph, gas, per_litre.base_mol_per_l);
        concentration = concentration.plus(&c.mapped(0.0, slope));
    }
    let total = concentration.times(volume);
    let range_mol = match acids.from_ph {
        // The pH is an exponent: its ends are taken as they are, not to first order.
        Some((low, high)) => {
            let relative = 1.96 * volume.standard_uncertainty() / volume.value();
            (
                total.value() * low * (1.0 - relative).max(0.0),
                total.value() * high * (1.0 + relative),
            )
        }
        None => inputs
            .belief(&total, 1.0)
            .within(0.0, f64::INFINITY)
            .interval_95(),
    };
    Some(BatchDose {
        target_ph,
        window,
        mol: total.value(),
        range_mol,
        gas_mol: per_litre.gas_mol_per_l * volume.value(),
        molar,
        base,
    })
}

/// The change of dose with the concentration of one acid.
fn slope(
    liquor: &Liquor,
    i: usize,
    base: &BaseData,
    ph: f64,
    gas: CarbonDioxide,
    dose: f64,
) -> f64 {
    let mut more = liquor.clone();
    let Some((c, _)) = more.acids.get_mut(i) else {
        return 0.0;
    };
    let step = *c * 1e-3;
    if step <= 0.0 {
        return 0.0;
    }
    *c += step;
    dose_for_ph(&more, base, ph, gas).map_or(0.0, |d| (d.base_mol_per_l - dose) / step)
}

fn target(wish: &Wish, notes: &mut Notes) -> (f64, (f64, f64)) {
    if let Some(target) = wish.target_ph {
        let target = target.as_f64();
        return (target, (target - 0.5, target + 0.5));
    }
    let window = &data().window;
    let (lower, upper) = (window.lower_ph.as_f64(), window.upper_ph.as_f64());
    notes.assume(
        "/ph_window",
        "/target_ph",
        "house_rule",
        "No target was given: a window of pH 6.5 to 8.5, and the dose that first reaches it. A sewer authority may set another.",
    );
    // Lye overshoots; a carbonate goes on rising by itself as its gas leaves.
    let target = if wish.base == Base::SodiumHydroxide {
        7.0
    } else {
        lower
    };
    (target, (lower, upper))
}

fn warn_of_disagreement(batch: &Batch, acids: &Acids, wish: &Wish, notes: &mut Notes) {
    let (Some((low, high)), None, Some(base)) =
        (ph_interval(batch), acids.from_ph, data().base.first())
    else {
        return;
    };
    let expected = ph_after(&acids.liquor(), base, 0.0, wish.carbon_dioxide);
    if expected < low - 0.5 || expected > high + 0.5 {
        notes.warn(
            "/base_g",
            Severity::Caution,
            format!(
                "The stated acids give pH {expected:.1}, and the reading says {low:.1} to {high:.1}: something else is in it. Go by the pH after each portion, not by the dose."
            ),
        );
    }
}
