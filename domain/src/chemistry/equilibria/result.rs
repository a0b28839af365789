//! What an answer about an equilibrium says.

use super::super::constants::SILVER;
use super::super::electrode::silver_potential;
use super::super::prediction::ConstantShare;
use super::super::solver::Equilibrium;
use super::super::species::{Phase, Species};
use super::super::system::MetalInContact;
use crate::quantity::{
    ComputedActivity, ComputedFactor, ComputedGrams, ComputedKilograms, ComputedLogActivity,
    ComputedMilligramsPerKilogram, ComputedMoles, ComputedMolesPerKilogram, ComputedPag,
    ComputedPercent, ComputedPh, ComputedSaturationIndex, ComputedVolts,
};
use serde::Serialize;

/// A mixture at equilibrium. Every concentration is per kilogram of the water there is then.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct EquilibriumResult {
    /// pH, by the activity of the hydrogen ion.
    pub ph: ComputedPh,
    /// Ionic strength.
    pub ionic_strength_mol_per_kg: ComputedMolesPerKilogram,
    /// Mass of water.
    pub water_kg: ComputedKilograms,
    /// Activity of water.
    pub water_activity: ComputedActivity,
    /// All dissolved silver.
    pub dissolved_silver_mol_per_kg: ComputedMolesPerKilogram,
    /// All dissolved silver, by mass.
    pub residual_silver_mg_per_kg: ComputedMilligramsPerKilogram,
    /// How far the dissolved silver may be from the truth; null without silver.
    pub predicted_silver: Option<PredictedSilver>,
    /// Silver as the free ion.
    pub free_silver_mol_per_kg: ComputedMolesPerKilogram,
    /// Minus log10 of the activity of the free silver ion; null without silver.
    pub pag: Option<ComputedPag>,
    /// Every dissolved species.
    pub species: Vec<SpeciesState>,
    /// Every solid whose ions are there, present or not.
    pub solids: Vec<SolidState>,
    /// Carbon dioxide that left the liquor; negative when air gave some.
    pub carbon_dioxide_released_mol: ComputedMoles,
    /// The same, by mass.
    pub carbon_dioxide_released_g: ComputedGrams,
    /// The metal in the liquor, where one was named.
    pub metal: Option<MetalState>,
    /// How far the activity model reaches here.
    pub validity: Validity,
}

/// A dissolved species.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct SpeciesState {
    /// Formula with charge.
    pub formula: String,
    /// Molality.
    pub molality_mol_per_kg: ComputedMolesPerKilogram,
    /// Activity.
    pub activity: ComputedActivity,
    /// log10 of the activity.
    pub log10_activity: ComputedLogActivity,
}

impl SpeciesState {
    pub(super) fn new(species: &Species, molality: f64, ln_activity: f64) -> Self {
        Self {
            formula: species.formula.to_string(),
            molality_mol_per_kg: ComputedMolesPerKilogram::of(molality),
            activity: ComputedActivity::of(ln_activity.exp()),
            log10_activity: ComputedLogActivity::of(ln_activity / std::f64::consts::LN_10),
        }
    }
}

/// A solid.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct SolidState {
    /// Formula.
    pub formula: String,
    /// Name.
    pub name: String,
    /// Whether the request let it form.
    pub allowed: bool,
    /// Amount there.
    pub amount_mol: ComputedMoles,
    /// Mass there.
    pub mass_g: ComputedGrams,
    /// log10 of the ion activity product over the constant: 0 when present, negative when it would dissolve.
    pub saturation_index: Option<ComputedSaturationIndex>,
}

impl SolidState {
    pub(super) fn new(solid: &Phase, amount: f64, index: Option<f64>, allowed: bool) -> Self {
        Self {
            formula: solid.formula.to_string(),
            name: solid.name.clone(),
            allowed,
            amount_mol: ComputedMoles::of(amount),
            mass_g: ComputedGrams::of(amount * solid.formula.molar_mass_g_per_mol()),
            // Zero by definition where the solid is there; what the arithmetic leaves is noise.
            saturation_index: index
                .map(|si| ComputedSaturationIndex::of(if amount > 0.0 { 0.0 } else { si })),
        }
    }
}

/// How far a predicted silver concentration may be from the truth.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PredictedSilver {
    /// The truth is expected within the figure divided and multiplied by this.
    pub factor_95: ComputedFactor,
    /// The part of it that the activity model makes.
    pub model_error_factor: ComputedFactor,
    /// The constants that matter most.
    pub constants: Vec<ConstantShareResult>,
}

/// One constant's part in the uncertainty.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ConstantShareResult {
    /// The species, or the solid with `(s)`.
    pub formula: String,
    /// Its part of the variance that the constants make.
    pub share_percent: ComputedPercent,
}

impl ConstantShareResult {
    pub(super) fn new(share: &ConstantShare) -> Self {
        Self {
            formula: share.formula.clone(),
            share_percent: ComputedPercent::of(100.0 * share.share),
        }
    }
}

/// The metal in the liquor.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct MetalState {
    /// Symbol.
    pub formula: MetalInContact,
    /// How much of it dissolved.
    pub dissolved_mol: ComputedMoles,
    /// The same, by mass.
    pub dissolved_g: ComputedGrams,
    /// Silver that plated out on it.
    pub plated_silver_g: ComputedGrams,
    /// Equilibrium potential of silver in this liquor, against the standard hydrogen electrode.
    pub silver_electrode_v: Option<ComputedVolts>,
}

impl MetalState {
    pub(super) fn new(metal: MetalInContact, answer: &Equilibrium, temperature_c: f64) -> Self {
        let mass = metal
            .row()
            .map_or(0.0, |m| m.formula.molar_mass_g_per_mol());
        Self {
            formula: metal,
            dissolved_mol: ComputedMoles::of(answer.metal_dissolved_mol),
            dissolved_g: ComputedGrams::of(answer.metal_dissolved_mol * mass),
            plated_silver_g: ComputedGrams::of(answer.silver_plated_mol * SILVER),
            silver_electrode_v: answer
                .pag()
                .map(|pag| ComputedVolts::of(silver_potential(pag, temperature_c))),
        }
    }
}

/// How far the activity model reaches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Validity {
    /// How grave it is.
    pub level: ValidityLevel,
    /// What that means.
    pub text: &'static str,
}

/// Steps of validity; above ionic strength 5 mol/kg there is no answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum ValidityLevel {
    /// Ionic strength up to 0.5 mol/kg.
    WithinModel,
    /// Above 0.5 mol/kg.
    Notice,
    /// Above 2 mol/kg.
    StrongWarning,
}
