//! How sure a predicted figure is: from the constants to first order, and a model error as a factor.

use super::formula::Formula;
use super::solver::{Equilibrium, Figure, Sensitivities};
use super::species::{Component, tables};
use super::system::{Mixture, System};

/// Ionic strength above which an answer carries a notice, mol/kg.
pub const NOTICE_ABOVE: f64 = 0.5;
/// Ionic strength above which an answer carries a strong warning, mol/kg.
pub const STRONG_WARNING_ABOVE: f64 = 2.0;

/// The factor by which a predicted amount may be wrong because the activity model is, on top of
/// what the constants leave open: 1.2 up to ionic strength 0.5 mol/kg, 2 above it, 10 above 2.
///
/// A house rule: the Davies equation is a convention above 0.5 and meaningless above 2.
///
/// ```
/// use spent_silver_domain::chemistry::prediction::model_error_factor;
/// assert_eq!([0.1, 0.6, 3.0].map(model_error_factor), [1.2, 2.0, 10.0]);
/// ```
#[must_use]
pub fn model_error_factor(ionic_strength: f64) -> f64 {
    if ionic_strength > STRONG_WARNING_ABOVE {
        10.0
    } else if ionic_strength > NOTICE_ABOVE {
        2.0
    } else {
        1.2
    }
}

/// One constant's part in the variance of a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct ConstantShare {
    /// Formula of the species, or of the solid with `(s)`.
    pub formula: String,
    /// Derivative of the figure by log10 of the constant.
    pub sensitivity: f64,
    /// Part of the variance, 0 to 1.
    pub share: f64,
}

/// How sure a figure is that is a decimal logarithm (silver, pAg) or a pH.
#[derive(Debug, Clone, PartialEq)]
pub struct Uncertainty {
    /// Standard uncertainty of the figure from the constants and the amounts.
    pub standard: f64,
    /// Factor of the model error.
    pub model_factor: f64,
    /// The constants that matter, the greatest first.
    pub shares: Vec<ConstantShare>,
}

impl Uncertainty {
    /// The factor within which an amount lies with 95 % by the constants, times the model error:
    /// 10^(1.96 u) x model factor.
    #[must_use]
    pub fn factor_95(&self) -> f64 {
        10f64.powf(1.96 * self.standard) * self.model_factor
    }
}

/// A constant's formula, its state, the derivative by it and its part in the variance.
type Part = (&'static Formula, &'static str, f64, f64);

/// The uncertainty of a figure of a solved mixture, first order:
/// u^2 = sum (dQ/d log K . u(log K))^2 + sum (dQ/dn . u(n))^2.
///
/// `amounts` gives the standard uncertainty of the amount of a component, mol. `None` where the
/// figure is not there.
#[must_use]
pub fn uncertainty(
    system: &System,
    mixture: &Mixture,
    answer: &Equilibrium,
    figure: Figure,
    amounts: &[(Component, f64)],
) -> Option<Uncertainty> {
    let derivatives = system.sensitivities(mixture, answer, figure)?;
    Some(uncertainty_by(&derivatives, answer, amounts))
}

/// The same where the derivatives of the figure are known already.
pub(crate) fn uncertainty_by(
    derivatives: &Sensitivities,
    answer: &Equilibrium,
    amounts: &[(Component, f64)],
) -> Uncertainty {
    let t = tables();
    let mut variance = 0.0;
    let mut parts: Vec<Part> = Vec::with_capacity(16);
    let species = t
        .species
        .iter()
        .zip(derivatives.by_species_log_k)
        .filter_map(|(s, d)| Some((&s.formula, "", s.constant.as_ref()?, d)));
    let gas = &t.carbon_dioxide;
    let phases = t
        .solids
        .iter()
        .map(|s| (&s.formula, "(s)", &s.constant))
        .chain(std::iter::once((&gas.formula, "(g)", &gas.constant)))
        .zip(derivatives.by_phase_log_k)
        .map(|((formula, state, constant), d)| (formula, state, constant, d));
    for (formula, state, constant, derivative) in species.chain(phases) {
        let part = derivative * constant.standard_uncertainty;
        variance += part * part;
        if part != 0.0 {
            parts.push((formula, state, derivative, part * part));
        }
    }
    for (component, u) in amounts {
        let derivative = derivatives
            .by_total_mol
            .get(component.index())
            .copied()
            .unwrap_or_default();
        variance += (derivative * u) * (derivative * u);
    }
    parts.sort_by(|a, b| b.3.total_cmp(&a.3));
    Uncertainty {
        standard: variance.sqrt(),
        model_factor: model_error_factor(answer.ionic_strength),
        shares: parts
            .into_iter()
            .filter(|(.., part)| *part > 0.01 * variance)
            .take(5)
            .map(|(formula, state, sensitivity, part)| ConstantShare {
                formula: format!("{formula}{state}"),
                sensitivity,
                share: part / variance,
            })
            .collect(),
    }
}
