//! `POST /v1/equilibria`: any mixture of the trade's chemicals, solved.

mod checks;
mod request;
mod result;

pub use request::{EquilibriumRequest, ReagentAmount};
pub use result::{
    ConstantShareResult, EquilibriumResult, MetalState, PredictedSilver, SolidState, SpeciesState,
    Validity, ValidityLevel,
};

use super::constants::SILVER;
use super::prediction;
use super::solver::{Equilibrium, EquilibriumError, Figure};
use super::species::{Component, tables};
use super::system::{ActivityModel, Mixture, System};
use crate::answer::{Answer, Method, Notes};
use crate::fault::{Fault, FaultKind, Faults};
use crate::quantity::{
    ComputedFactor, ComputedGrams, ComputedMilligramsPerKilogram, ComputedMoles,
    ComputedMolesPerKilogram,
};

pub(crate) const MASS_ACTION: Method = Method {
    name: "equilibrium by mass action",
    formula: "for each species a = K x product of the activities of its components; for each component the sum over species and solids = its total; a solid is present at saturation index 0 or absent below it; water activity 1 - 0.017 x sum of molalities",
    source: "phreeqc_davies",
};
pub(crate) const DAVIES: Method = Method {
    name: "Davies equation",
    formula: "log10 g = -A z^2 (sqrt(I)/(1 + sqrt(I)) - 0.3 I), A = 0.510025 at 25 °C; neutral species log10 g = 0.1 I",
    source: "phreeqc_davies",
};
const VAN_T_HOFF: Method = Method {
    name: "van 't Hoff equation",
    formula: "ln K(T) = ln K(298.15 K) - (dH/R)(1/T - 1/298.15 K), dH constant from 10 to 35 °C",
    source: "openstax_chemistry_2e",
};
const PREDICTED: Method = Method {
    name: "uncertainty of a predicted concentration",
    formula: "u^2 = sum (d log10 c / d log10 K x u(log10 K))^2, first order, derivatives from the Jacobian of the solution; times a model error factor of 1.2, 2 above ionic strength 0.5, 10 above 2",
    source: "equilibrium_judgement",
};
const POTENTIAL: Method = Method {
    name: "Nernst equation",
    formula: "E = E0(Ag+/Ag) + (R T ln 10 / F) log10 a(Ag+)",
    source: "crc_potentials",
};

/// Solves a mixture of the trade's chemicals.
///
/// # Errors
/// [`Faults`] that name the member: no water, a reagent outside the set, both or neither of
/// `amount_mol` and `mass_g`, a temperature outside 10 to 35 °C, reagents that would react by
/// oxidation, a liquor above ionic strength 5 mol/kg.
///
/// ```
/// use spent_silver_domain::chemistry::equilibria::{EquilibriumRequest, solve_equilibrium};
/// let request: EquilibriumRequest = serde_json::from_str(
///     r#"{"temperature_c": 25, "water_kg": 1, "reagents": [{"formula": "AgNO3", "amount_mol": 0.53},
///         {"formula": "HNO3", "amount_mol": 0.01}, {"formula": "NaCl", "amount_mol": 0.55}], "solids": ["AgCl"]}"#,
/// ).unwrap();
/// let answer = solve_equilibrium(&request).unwrap();
/// assert!((answer.result.residual_silver_mg_per_kg.get() - 0.10702).abs() < 1e-5);
/// ```
pub fn solve_equilibrium(
    request: &EquilibriumRequest,
) -> Result<Answer<EquilibriumResult>, Faults> {
    let mut notes = Notes::new();
    let result = equilibrium(request, "", &mut notes)?;
    Ok(notes.answer(result, request.rule_set.map(|r| r.rules())))
}

/// Solves the mixture of a request that is a part of a larger one at `at`.
///
/// # Errors
/// As [`solve_equilibrium`].
pub fn equilibrium(
    request: &EquilibriumRequest,
    at: &str,
    notes: &mut Notes,
) -> Result<EquilibriumResult, Faults> {
    let (mixture, temperature_c) = request.mixture(at, notes)?;
    let made;
    let system = if temperature_c == 25.0 {
        System::at_25_c()
    } else {
        made = System::at(temperature_c);
        &made
    };
    let answer = system.solve(&mixture).map_err(|e| refuse(e, at))?;
    notes.method("", MASS_ACTION);
    if mixture.activity_model == ActivityModel::Davies {
        notes.method("", DAVIES);
    }
    if temperature_c != 25.0 {
        notes.method("", VAN_T_HOFF);
    }
    checks::constants(&mixture, &answer, temperature_c, at, notes);
    checks::safety(&mixture, &answer, notes);
    checks::limits(&mixture, &answer, notes);
    Ok(result(system, &mixture, &answer, notes))
}

fn refuse(error: EquilibriumError, at: &str) -> Faults {
    let fault = match error {
        EquilibriumError::NoWater => {
            Fault::out_of_range(format!("{at}/water_kg"), "0", "water, more than 0 kg")
        }
        EquilibriumError::NoSilverForMetal => Fault::new(
            FaultKind::NotApplicable,
            format!("{at}/metal"),
            "there is no silver in the mixture: expected a silver salt beside the metal, since a metal without silver has no potential here",
        ),
        EquilibriumError::TooConcentrated { ionic_strength } => Fault::new(
            FaultKind::NotApplicable,
            format!("{at}/reagents"),
            format!(
                "the ionic strength would be {ionic_strength:.3} mol/kg: expected at most 5, since no activity model here reaches so far; dilute the figures or estimate by stoichiometry"
            ),
        ),
        EquilibriumError::TooLittleWater { solutes_mol_per_kg } => Fault::new(
            FaultKind::NotApplicable,
            format!("{at}/water_kg"),
            format!(
                "{solutes_mol_per_kg:.1} mol of solutes in a kilogram of water: expected at most 30"
            ),
        ),
        EquilibriumError::BadAmount { .. }
        | EquilibriumError::NotConverged { .. }
        | EquilibriumError::NotProved(_) => Fault::new(
            FaultKind::NotApplicable,
            format!("{at}/reagents"),
            format!(
                "no proved equilibrium was found for this mixture ({error}): no figure is given"
            ),
        ),
    };
    fault.into()
}

/// The validity of the activity model at an ionic strength.
#[must_use]
pub fn validity(ionic_strength: f64) -> Validity {
    let (level, text) = if ionic_strength > prediction::STRONG_WARNING_ABOVE {
        (
            ValidityLevel::StrongWarning,
            "Above ionic strength 2 mol/kg the activity model means little: a floor may be off by a factor of ten or more. Read it as works or does not work; no limit may rest on it.",
        )
    } else if ionic_strength > prediction::NOTICE_ABOVE {
        (
            ValidityLevel::Notice,
            "Above ionic strength 0.5 mol/kg the activity model is a convention: a floor may be off by a factor of two or more.",
        )
    } else {
        (
            ValidityLevel::WithinModel,
            "Within the range of the activity model (ionic strength up to 0.5 mol/kg).",
        )
    };
    Validity { level, text }
}

fn result(
    system: &System,
    mixture: &Mixture,
    answer: &Equilibrium,
    notes: &mut Notes,
) -> EquilibriumResult {
    let t = tables();
    let dissolved = answer.dissolved_silver();
    let species = t
        .species
        .iter()
        .zip(answer.molality)
        .zip(answer.ln_activity)
        .filter(|((_, m), ln)| *m > 0.0 && ln.is_finite())
        .map(|((s, m), ln)| SpeciesState::new(s, m, ln))
        .collect();
    let solids = t
        .solids
        .iter()
        .zip(answer.solid_mol)
        .zip(answer.saturation_index)
        .enumerate()
        .filter(|(_, ((_, n), si))| *n > 0.0 || si.is_some())
        .map(|(i, ((solid, n), si))| SolidState::new(solid, n, si, mixture.solids.contains(i)))
        .collect();
    let silver = prediction::uncertainty(system, mixture, answer, Figure::LogDissolvedSilver, &[])
        .filter(|_| dissolved > 0.0)
        .map(|u| {
            notes.method("/predicted_silver", PREDICTED);
            PredictedSilver {
                factor_95: ComputedFactor::of(u.factor_95().min(1e12)),
                model_error_factor: ComputedFactor::of(u.model_factor),
                constants: u.shares.iter().map(ConstantShareResult::new).collect(),
            }
        });
    let metal = mixture.metal.map(|m| {
        notes.method("/metal", POTENTIAL);
        MetalState::new(m, answer, system.temperature_c())
    });
    EquilibriumResult {
        ph: crate::quantity::ComputedPh::of(answer.ph()),
        ionic_strength_mol_per_kg: ComputedMolesPerKilogram::of(answer.ionic_strength),
        water_kg: crate::quantity::ComputedKilograms::of(answer.water_kg),
        water_activity: crate::quantity::ComputedActivity::of(answer.water_activity),
        dissolved_silver_mol_per_kg: ComputedMolesPerKilogram::of(dissolved),
        residual_silver_mg_per_kg: ComputedMilligramsPerKilogram::of(dissolved * SILVER * 1000.0),
        predicted_silver: silver,
        free_silver_mol_per_kg: ComputedMolesPerKilogram::of(answer.free_silver()),
        pag: answer.pag().map(crate::quantity::ComputedPag::of),
        species,
        solids,
        carbon_dioxide_released_mol: ComputedMoles::of(answer.carbon_dioxide_released_mol),
        carbon_dioxide_released_g: ComputedGrams::of(
            answer.carbon_dioxide_released_mol * super::constants::CARBON_DIOXIDE,
        ),
        metal,
        validity: validity(answer.ionic_strength),
    }
}

/// Whether a component is in the mixture, dissolved or as a solid of the start.
pub(super) fn has(mixture: &Mixture, component: Component) -> bool {
    mixture.total_mol(component) > 0.0
        || mixture
            .start()
            .any(|(s, n)| n > 0.0 && s.mask & (1 << component.index()) != 0)
}
