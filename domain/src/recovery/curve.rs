//! What a dose of a reagent leaves of the silver, point by point.

use crate::quantity::{ComputedGrams, ComputedMilligramsPerLitre, ComputedPh, Identifier};
use serde::Serialize;

/// Silver left in solution against the dose of a reagent, at equilibrium.
///
/// The silver is taken as estimated. It shows the shape (too little, enough, too much), not what a
/// jug reaches: silver that has not settled comes on top, and no limit may rest on it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct DoseCurve {
    /// Id of the reagent.
    pub reagent: Identifier,
    /// The curve, the smallest dose first.
    pub points: Vec<DoseCurvePoint>,
    /// The dose that would leave the least.
    pub least: DoseCurvePoint,
    /// The dose of the plan, which covers the silver at the upper end of its interval.
    pub advised: DoseCurvePoint,
    /// The dose beyond which the residual is more than twice that of the advised dose (or of the
    /// least, where that is the larger dose); null where no dose up to the end of the curve does that.
    pub safe_up_to_g: Option<ComputedGrams>,
    /// What the curve says, in a sentence or two.
    pub text: String,
}

/// One point of a dose curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct DoseCurvePoint {
    /// Reagent added.
    pub added_g: ComputedGrams,
    /// Silver left in solution.
    pub residual_silver_mg_per_l: ComputedMilligramsPerLitre,
    /// pH then.
    pub ph: ComputedPh,
}
