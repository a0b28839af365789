//! Neutralization: the dose of base for an acid liquid, in stages, or a refusal with its reason.
//!
//! The blocks come first. What is left is a mixture of known acids in water.

mod blocks;
mod data;
mod liquor;
mod plan;
mod portions;
mod result;
mod titration;

pub use crate::chemistry::neutralization::Base;
pub use crate::chemistry::system::CarbonDioxide;
pub use data::sources;
pub use result::{
    DoseRange, LeftOut, LeftOutEffect, NeutralizationPlan, NeutralizationRequest, PhPoint,
    PhWindow, StopPoint,
};

use super::contents::ph_interval;
use super::pour::check_procedure;
use super::rule_set::{RuleSet, RuleSetName};
use crate::answer::{Answer, Method, Notes, Severity};
use crate::batch::Batch;
use crate::chemistry::dosing::DoseError;
use crate::chemistry::equilibria::{DAVIES, MASS_ACTION};
use crate::chemistry::neutralization::heat_of_neutralization;
use crate::chemistry::solver::EquilibriumError;
use crate::estimate::{estimate_batch, volume_of};
use crate::fault::{Fault, FaultKind, Faults};
use crate::procedure::Refusal;
use crate::quantity::{Ph, Shape};
use crate::statistics::{Inputs, Uncertain};
use data::data;
use liquor::{Kind, Liquor, liquor_of};
use portions::Portions;
use titration::{Dose, Point, Titration};

/// The dose for a pH.
pub const DOSE_FOR_PH: Method = Method {
    name: "dose for a pH",
    formula: "the base with which the equilibrium of all that is stated has the target pH; a litre counts as a kilogram of water",
    source: "phreeqc_davies",
};

/// Its uncertainty.
pub const DOSE_UNCERTAINTY: Method = Method {
    name: "uncertainty of the dose",
    formula: "u^2 = sum (d dose / dx u(x))^2 over amounts, volume, log K and the model, d dose / dx = -(d pH / dx) / (d pH / d dose) from the Jacobian of the solution",
    source: "equilibrium_judgement",
};

/// Acids outside the tables of the solver.
pub const OTHER_ACIDS: Method = Method {
    name: "acid outside the equilibrium tables",
    formula: "counted as strong acid of c x the mean charge of its ions at the pH, from its pK with Davies activities",
    source: "pka_memory",
};

/// The gas.
pub const GAS_BALANCE: Method = Method {
    name: "carbon dioxide released",
    formula: "carbon added - carbon left dissolved; litres at 25 °C and 1 atm = mol x R T / p = mol x 24.465",
    source: "phreeqc_dat",
};

/// The heat.
pub const HEAT: Method = Method {
    name: "heat of neutralization",
    formula: "enthalpies of the species before and after, and of dissolving the base; rise = heat / (4.18 kJ/(kg K) x water), no heat lost",
    source: "heats_of_solution_memory",
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
    formula: "no more than four fifths of the lower end in whole portions, then smaller ones with the pH read after each",
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
        Some(estimate_batch(batch, at, &mut Notes::default())?)
    };
    if let Err(refusal) = blocks::check(batch, wish.base, estimate.as_ref()) {
        return Ok(refused(refusal));
    }
    let mut inputs = Inputs::default();
    let liquor = match liquor_of(batch, at, &mut inputs, notes)? {
        Ok(liquor) => liquor,
        Err(refusal) => return Ok(refused(refusal)),
    };
    let Some(volume) = volume_of(batch, at, &mut inputs, notes)? else {
        return Err(Fault::missing(
            format!("{at}/volume_l"),
            "the volume, to turn a concentration into a dose",
        )
        .into());
    };
    let worked = match work_out(batch, &liquor, &volume, &mut inputs, wish, notes)? {
        Ok(worked) => worked,
        Err(refusal) => return Ok(refused(refusal)),
    };
    if let Some(refusal) = not_what_was_stated(batch, &liquor, &worked) {
        return Ok(refused(refusal));
    }
    warn_of_disagreement(batch, &liquor, worked.course.start.ph, notes);
    let mut plan = plan::write_plan(batch, wish, &worked, at, notes);
    plan.left_out = liquor.left_out;
    if let Err(refusal) = check_procedure(batch, &plan.steps) {
        return Ok(refused(refusal));
    }
    Ok(plan)
}

/// The dose and all that follows from it, in numbers.
struct Worked {
    target_ph: f64,
    window: (f64, f64),
    volume_l: f64,
    dose: Dose,
    range_mol: (f64, f64),
    course: Course,
}

/// The way to a dose.
struct Course {
    start: Point,
    rise_k: f64,
    portions: Portions,
    /// pH at each point of the path.
    path_ph: Vec<f64>,
    /// pH after the dose where the liquid needs the upper or the lower end of it.
    ph_after: (f64, f64),
}

fn work_out(
    batch: &Batch,
    liquor: &Liquor,
    volume: &Uncertain,
    inputs: &mut Inputs,
    wish: &Wish,
    notes: &mut Notes,
) -> Result<Result<Worked, Refusal>, Faults> {
    let (target_ph, window) = target(wish, notes);
    let volume_l = volume.value();
    let Some(titration) = Titration::new(liquor, volume_l, wish.base, wish.carbon_dioxide) else {
        return Ok(Err(no_dose("the data of the base are not complete")));
    };
    let dose = match titration.dose_for(target_ph) {
        Ok(dose) => dose,
        Err(error) => return Ok(Err(out_of_reach(&error, wish.base, target_ph))),
    };
    note_methods(liquor, wish, notes);
    let Some((from_amounts, from_constants)) =
        titration.uncertain(&dose, target_ph, liquor, volume)
    else {
        return Ok(Err(no_dose(
            "how sure the dose is cannot be worked out for this mixture",
        )));
    };
    let range_mol = range(&dose, liquor, volume, &from_amounts, from_constants, inputs)?;
    Ok(
        match follow(batch, &titration, &dose, range_mol, wish.base) {
            Ok(course) => Ok(Worked {
                target_ph,
                window,
                volume_l,
                dose,
                range_mol,
                course,
            }),
            Err(error) => Err(no_dose(&error.to_string())),
        },
    )
}

/// The path to the dose, and what it sets free.
fn follow(
    batch: &Batch,
    titration: &Titration,
    dose: &Dose,
    range_mol: (f64, f64),
    base: Base,
) -> Result<Course, EquilibriumError> {
    let molar = base.molar_mass_g_per_mol();
    let scale_g = batch
        .scale_resolution_g
        .map(|g| g.as_f64())
        .filter(|g| *g > 0.0)
        .unwrap_or(portions::SCALE_G);
    let portions = Portions::of(dose.mol * molar, range_mol.0 * molar, scale_g);
    let start = dose.start.clone();
    // The path begins with nothing added and ends with the dose, which are known. It is followed from
    // its end, where all is dissolved that is on the way.
    let end = dose.end();
    let mut path_ph = vec![end.ph];
    let dose_g = dose.mol * molar;
    let (mut from_g, mut at_g) = (dose_g, dose_g);
    let mut before: Option<Point> = None;
    let mut last = end.clone();
    let between = portions.path_g.iter().rev().skip(1);
    for added_g in between.take(portions.path_g.len().saturating_sub(2)) {
        let near = match &before {
            Some(before) => last.beyond(before, (added_g - at_g) / (at_g - from_g)),
            None => last.clone(),
        };
        let next = titration.at(added_g / molar, Some(&near))?;
        path_ph.push(next.ph);
        before = Some(std::mem::replace(&mut last, next));
        (from_g, at_g) = (at_g, *added_g);
    }
    path_ph.push(start.ph);
    path_ph.reverse();
    // A liquid that needs more than it gets is short by as much as the curve is left of its end.
    let short = (2.0 * dose.mol - range_mol.1).max(0.0);
    let over = (2.0 * dose.mol - range_mol.0).max(0.0);
    let ph_after = (
        titration.at(short, Some(&end))?.ph,
        titration.at(over, Some(&end))?.ph,
    );
    let rise_k =
        heat_of_neutralization(&start.equilibrium, &dose.equilibrium, base, dose.mol).rise_k;
    Ok(Course {
        start,
        rise_k,
        portions,
        path_ph,
        ph_after,
    })
}

/// The range that holds the dose with 95 % probability, mol.
fn range(
    dose: &Dose,
    liquor: &Liquor,
    volume: &Uncertain,
    from_amounts: &Uncertain,
    from_constants: f64,
    inputs: &mut Inputs,
) -> Result<(f64, f64), Faults> {
    if let Some((low, high)) = liquor.from_ph {
        // The pH is an exponent: its ends are taken as they are, not to first order.
        let relative = 1.96
            * (volume.standard_uncertainty() / volume.value()).hypot(from_constants / dose.mol);
        return Ok((
            dose.mol * low * (1.0 - relative).max(0.0),
            dose.mol * high * (1.0 + relative),
        ));
    }
    let constants = inputs
        .register(
            "equilibrium constants",
            "constants",
            0.0,
            from_constants,
            Shape::Normal,
        )
        .map_err(|_| {
            Fault::new(
                FaultKind::Conflict,
                "",
                "the constants were registered twice",
            )
        })?;
    let total = from_amounts.plus(&constants);
    Ok(inputs
        .belief(&total, 1.0)
        .within(0.0, f64::INFINITY)
        .interval_95())
}

fn note_methods(liquor: &Liquor, wish: &Wish, notes: &mut Notes) {
    for method in [MASS_ACTION, DAVIES, DOSE_FOR_PH] {
        notes.method("/base_g", method);
    }
    notes.method("/base_95_g", DOSE_UNCERTAINTY);
    notes.method("/temperature_rise_c", HEAT);
    if wish.base != Base::SodiumHydroxide {
        notes.method("/carbon_dioxide_released_mol", GAS_BALANCE);
    }
    if liquor.held.iter().any(|h| matches!(h.kind, Kind::Other(_))) {
        notes.method("/base_g", OTHER_ACIDS);
    }
}

fn no_dose(why: &str) -> Refusal {
    blocks::refusal(
        format!("No dose is worked out: {why}."),
        &["Never dose by guess."],
        &["Send the liquid for collection as it is, or ask a licensed contractor."],
    )
}

fn out_of_reach(error: &DoseError, base: Base, target_ph: f64) -> Refusal {
    match error {
        DoseError::OutOfReach { nearest } if *nearest >= target_ph => blocks::refusal(
            format!(
                "By what is stated this liquid has pH {nearest:.1} already, and pH {target_ph:.1} asks for no base."
            ),
            &["Never add acid to bring the pH down."],
            &["Read the pH; if it is lower than that, something in the liquid is not stated."],
        ),
        DoseError::OutOfReach { nearest } => blocks::refusal(
            format!(
                "pH {target_ph:.1} lies beyond what {} can do in this liquid: it comes to pH {nearest:.1}.",
                base.words()
            ),
            &["Never keep adding base when the pH no longer moves."],
            &["Choose a lower target, or another base."],
        ),
        DoseError::Equilibrium(e) => no_dose(&e.to_string()),
    }
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

/// How far below the pH of what was stated a reading has to lie to tell of a far stronger acid: twice
/// the half unit that a bare reading of paper may be off (house rule).
const FAR_STRONGER_PH: f64 = 1.0;

/// A refusal where the reading says that the acid which was stated is not in it any more, or that a far
/// stronger one is: a dose by what was stated would then be poured into something else.
fn not_what_was_stated(batch: &Batch, liquor: &Liquor, worked: &Worked) -> Option<Refusal> {
    let (Some((low, high)), None) = (ph_interval(batch), liquor.from_ph) else {
        return None;
    };
    let expected = worked.course.start.ph;
    if low >= worked.window.0 && expected < worked.window.0 {
        return Some(blocks::refusal(
            format!(
                "It reads pH {low:.1} to {high:.1}, and what was stated of it would give {expected:.1}: the acid that was stated is not in it, or is neutralized already."
            ),
            &["Never add base to a liquid that is not acid."],
            &[
                "Read the pH again after a good stir. If it is in the window, nothing is to be added.",
                "If it was something else that went in, state that, and ask again.",
            ],
        ));
    }
    (high < expected - FAR_STRONGER_PH).then(|| {
        blocks::refusal(
            format!(
                "It reads pH {low:.1} to {high:.1}, and what was stated of it would give {expected:.1}: a far stronger acid is in it."
            ),
            &["Never add base by a dose that was worked out for a weaker acid."],
            &[
                "Read the pH again after a good stir, and find out what went in.",
                "State every acid with its amount and ask again, or send it for collection as it is.",
            ],
        )
    })
}

fn warn_of_disagreement(batch: &Batch, liquor: &Liquor, expected: f64, notes: &mut Notes) {
    let (Some((low, high)), None) = (ph_interval(batch), liquor.from_ph) else {
        return;
    };
    if expected < low - 0.5 || expected > high + 0.5 {
        notes.warn(
            "/base_g",
            Severity::Caution,
            format!(
                "The stated contents give pH {expected:.1}, and the reading says {low:.1} to {high:.1}: something else is in it. Go by the pH after each portion, not by the dose."
            ),
        );
    }
}
