//! What a solved equilibrium adds to a plan.

use crate::bibliography::SourceStatus;
use crate::chemistry::equilibria::Validity;
use crate::quantity::{
    ComputedAmpereHours, ComputedFactor, ComputedGrams, ComputedGramsPerLitre, ComputedHours,
    ComputedLitres, ComputedMilligrams, ComputedMilligramsPerLitre, ComputedMolesPerKilogram,
    ComputedPercent, ComputedPh, ComputedPpm, ComputedSaturationIndex, ComputedVolts, Identifier,
};
use serde::Serialize;

/// Silver left in the liquor at equilibrium, with the factor within which it is known.
///
/// It is what chemistry allows at best. The practical residual is what counts, and no limit may
/// rest on either.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct EquilibriumFloor {
    /// Silver dissolved at equilibrium.
    pub residual_mg_per_l: ComputedMilligramsPerLitre,
    /// The truth is expected within the figure divided and multiplied by this.
    pub factor_95: ComputedFactor,
    /// The part of it that the activity model makes.
    pub model_error_factor: ComputedFactor,
    /// The solid that decides; null where a metal does.
    pub solid: Option<DecidingSolid>,
    /// Ionic strength of the liquor afterwards.
    pub ionic_strength_mol_per_kg: ComputedMolesPerKilogram,
    /// How far the activity model reaches here.
    pub validity: Validity,
    /// What was assumed of the liquor.
    pub assumed: Vec<String>,
    /// What it means, never without the practical residual.
    pub text: String,
}

/// The solid that holds the silver at equilibrium.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct DecidingSolid {
    /// Its formula.
    pub formula: String,
    /// Its saturation index with the dose in and nothing thrown down yet: from 0 up it forms, below
    /// 0 it does not.
    pub saturation_index: ComputedSaturationIndex,
}

/// Silver that one washing takes along, at equilibrium.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct WashLoss {
    /// Which washing, from 1.
    pub washing: u8,
    /// Clean water poured on.
    pub water_l: ComputedLitres,
    /// Silver dissolved in it; fines that pass the filter come on top.
    pub silver_mg: ComputedMilligrams,
}

/// The metal that goes into the liquor as the silver comes out.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct MetalDissolved {
    /// Id of the metal.
    pub substance: Identifier,
    /// How much dissolves at equilibrium; what acid and air dissolve comes on top.
    pub dissolved_g: ComputedGrams,
    /// Metal in the liquor afterwards.
    pub liquor_mg_per_l: ComputedMilligramsPerLitre,
    /// What that does to a local limit.
    pub text: String,
}

/// The smallest dose that reaches a residual at equilibrium.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct DoseForResidual {
    /// The residual.
    pub target_mg_per_l: ComputedMilligramsPerLitre,
    /// The dose that reaches it.
    pub added_g: ComputedGrams,
    /// How much of it is more than the silver as estimated takes, atom for atom.
    pub excess_g: ComputedGrams,
}

/// Hydrogen sulfide in the still air above a liquor with sulfide in it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct HeadSpace {
    /// pH of the liquor.
    pub ph: ComputedPh,
    /// Hydrogen sulfide in air that has come to rest above it, parts per million by volume.
    pub hydrogen_sulfide_ppm: ComputedPpm,
    /// Key in the bibliography of the Henry constant.
    pub source: &'static str,
    /// How well it is known.
    pub status: SourceStatus,
}

/// A plating cell at one silver level.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct CellPoint {
    /// Silver in the fixer.
    pub silver_g_per_l: ComputedGramsPerLitre,
    /// Equilibrium potential of silver there, against the standard hydrogen electrode.
    pub equilibrium_v: ComputedVolts,
    /// Share of the current that plates silver there; null below the level where plating stops.
    pub efficiency_percent: Option<ComputedPercent>,
    /// Charge from the start to there.
    pub charge_ah: Option<ComputedAmpereHours>,
    /// Hours from the start to there, where a current was given.
    pub time_h: Option<ComputedHours>,
}
