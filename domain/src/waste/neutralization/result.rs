//! What a neutralization plan is asked and what it says.

use crate::batch::Batch;
use crate::bibliography::SourceStatus;
use crate::chemistry::equilibria::Validity;
use crate::chemistry::neutralization::Base;
use crate::chemistry::system::CarbonDioxide;
use crate::procedure::{Refusal, Step};
use crate::quantity::{
    ComputedDegreesCelsius, ComputedGrams, ComputedLitres, ComputedMoles, ComputedPh, Identifier,
    Ph,
};
use crate::waste::classification::LegalDuty;
use crate::waste::rule_set::RuleSetName;
use serde::{Deserialize, Serialize};

/// Asks how a batch is neutralized.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct NeutralizationRequest {
    /// The batch, with its acids and their amounts in the composition.
    pub batch: Batch,
    /// The base.
    pub base: Base,
    /// The pH to reach; default: a window of 6.5 to 8.5.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target_ph: Option<Ph>,
    /// What becomes of the gas; default `vents_at_saturation`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carbon_dioxide: Option<CarbonDioxide>,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// How to neutralize one batch. With a `refusal` the figures are null and the lists empty.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct NeutralizationPlan {
    /// Why there is no plan, and what to do instead; null where there is one.
    pub refusal: Option<Refusal>,
    /// The base.
    pub base: Base,
    /// Grams of it that the stated contents ask for.
    pub base_g: Option<ComputedGrams>,
    /// The range that holds the dose with 95 % probability, from the uncertainty of the inputs and
    /// of the constants.
    pub base_95_g: Option<DoseRange>,
    /// The same dose in moles.
    pub base_mol: Option<ComputedMoles>,
    /// Carbon dioxide set free by the dose.
    pub carbon_dioxide_released_mol: Option<ComputedMoles>,
    /// The same gas in litres at 25 °C and 1 atm.
    pub carbon_dioxide_released_l: Option<ComputedLitres>,
    /// What became of the gas in this reckoning.
    pub carbon_dioxide: CarbonDioxide,
    /// The pH before any base, from the stated contents.
    pub start_ph: Option<ComputedPh>,
    /// The pH the dose is worked out for.
    pub target_ph: Option<ComputedPh>,
    /// Where to stop.
    pub ph_window: Option<PhWindow>,
    /// Where the pH lands when the dose goes in unread, with 95 % probability: why it is read after
    /// each portion.
    pub ph_after_dose: Option<PhWindow>,
    /// What goes into what.
    pub order: Option<String>,
    /// The pH to expect on the way, at amounts that the scale can weigh; the last is the dose.
    pub ph_path: Vec<PhPoint>,
    /// Where to stop and read, and what the reading means.
    pub stop_points: Vec<StopPoint>,
    /// Rise of the temperature if no heat is lost; negative where it cools.
    pub temperature_rise_c: Option<ComputedDegreesCelsius>,
    /// How well the heat of dissolving the base is known.
    pub temperature_rise_status: Option<SourceStatus>,
    /// What was stated and is not in the reckoning.
    pub left_out: Vec<LeftOut>,
    /// How far the activity model reaches, at the end of the dose.
    pub validity: Option<Validity>,
    /// The container to work in holds at least this much.
    pub least_container_l: Option<ComputedLitres>,
    /// Room above the liquid for the foam.
    pub head_space_l: Option<ComputedLitres>,
    /// Numbered steps.
    pub steps: Vec<Step>,
    /// What the rules say of neutralizing.
    pub duties: Vec<LegalDuty>,
}

impl NeutralizationPlan {
    /// No plan, and why.
    #[must_use]
    pub const fn refused(refusal: Refusal, base: Base, carbon_dioxide: CarbonDioxide) -> Self {
        Self {
            refusal: Some(refusal),
            base,
            base_g: None,
            base_95_g: None,
            base_mol: None,
            carbon_dioxide_released_mol: None,
            carbon_dioxide_released_l: None,
            carbon_dioxide,
            start_ph: None,
            target_ph: None,
            ph_window: None,
            ph_after_dose: None,
            order: None,
            ph_path: Vec::new(),
            stop_points: Vec::new(),
            temperature_rise_c: None,
            temperature_rise_status: None,
            left_out: Vec::new(),
            validity: None,
            least_container_l: None,
            head_space_l: None,
            steps: Vec::new(),
            duties: Vec::new(),
        }
    }
}

/// A place on the way at which to stop and read the pH.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct StopPoint {
    /// Grams added by then; null where it is the pH that says stop.
    pub added_g: Option<ComputedGrams>,
    /// The pH to expect there.
    pub ph: Option<ComputedPh>,
    /// What to do, and what another reading means.
    pub action: String,
}

/// Something that was stated and is not in the reckoning.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LeftOut {
    /// Its id.
    pub substance: Identifier,
    /// What that does to the dose.
    pub effect: LeftOutEffect,
    /// Why it is left out.
    pub reason: String,
}

/// What leaving a substance out does to the dose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum LeftOutEffect {
    /// It neither takes up base nor gives any.
    None,
    /// It may take up base: the dose is the least that is needed.
    LowerBound,
}

/// Two ends of a dose.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct DoseRange {
    /// Lower end, grams.
    pub lower: ComputedGrams,
    /// Upper end, grams.
    pub upper: ComputedGrams,
}

/// Two ends of a pH.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PhWindow {
    /// Lower end.
    pub lower: ComputedPh,
    /// Upper end.
    pub upper: ComputedPh,
}

/// One point on the way.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PhPoint {
    /// Grams added so far.
    pub added_g: ComputedGrams,
    /// pH to expect.
    pub ph: ComputedPh,
}
