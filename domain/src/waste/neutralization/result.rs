//! What a neutralization plan is asked and what it says.

use crate::batch::Batch;
use crate::chemistry::system::CarbonDioxide;
use crate::procedure::{Refusal, Step};
use crate::quantity::{ComputedGrams, ComputedLitres, ComputedMoles, ComputedPh, Ph};
use crate::waste::classification::LegalDuty;
use crate::waste::rule_set::RuleSetName;
use serde::{Deserialize, Serialize};

/// A base that a plan may use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum NeutralizingBase {
    /// Baking soda: the gentlest.
    SodiumBicarbonate,
    /// Washing soda.
    SodiumCarbonate,
    /// Lye: never for a liquid that holds silver.
    SodiumHydroxide,
}

impl NeutralizingBase {
    /// Id among the substances.
    #[must_use]
    pub const fn substance(self) -> &'static str {
        match self {
            Self::SodiumBicarbonate => "sodium_bicarbonate",
            Self::SodiumCarbonate => "sodium_carbonate",
            Self::SodiumHydroxide => "sodium_hydroxide",
        }
    }

    /// The name a person reads.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::SodiumBicarbonate => "sodium bicarbonate",
            Self::SodiumCarbonate => "sodium carbonate (washing soda, anhydrous)",
            Self::SodiumHydroxide => "sodium hydroxide",
        }
    }
}

/// Asks how a batch is neutralized.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct NeutralizationRequest {
    /// The batch, with its acids and their amounts in the composition.
    pub batch: Batch,
    /// The base.
    pub base: NeutralizingBase,
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

/// A plan, or a refusal with its reason.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum NeutralizationOutcome {
    /// How to do it.
    Plan(Box<NeutralizationPlan>),
    /// Why not, and what to do instead.
    Refusal(Refusal),
}

/// How to neutralize one batch.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct NeutralizationPlan {
    /// The base.
    pub base: NeutralizingBase,
    /// Grams of it that the stated acids ask for.
    pub base_g: ComputedGrams,
    /// The range that holds the dose with 95 % probability, from the uncertainty of the inputs.
    pub base_95_g: DoseRange,
    /// The same dose in moles.
    pub base_mol: ComputedMoles,
    /// Carbon dioxide set free by the dose.
    pub carbon_dioxide_released_mol: ComputedMoles,
    /// The same gas in litres at 25 °C and 1 atm.
    pub carbon_dioxide_released_l: ComputedLitres,
    /// What became of the gas in this reckoning.
    pub carbon_dioxide: CarbonDioxide,
    /// The pH the dose is worked out for.
    pub target_ph: ComputedPh,
    /// Where to stop.
    pub ph_window: PhWindow,
    /// What goes into what.
    pub order: String,
    /// The pH to expect on the way.
    pub ph_path: Vec<PhPoint>,
    /// The container to work in holds at least this much.
    pub least_container_l: ComputedLitres,
    /// Numbered steps.
    pub steps: Vec<Step>,
    /// What the rules say of neutralizing.
    pub duties: Vec<LegalDuty>,
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
