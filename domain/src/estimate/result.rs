//! What an estimate says.

use crate::batch::Batch;
use crate::quantity::{ComputedFactor, ComputedGrams, ComputedGramsPerLitre, ComputedPercent};
use crate::waste::rule_set::RuleSetName;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// Asks how much silver is in a batch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct EstimateRequest {
    /// The batch with its evidence.
    pub batch: Batch,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// The silver in one batch.
///
/// `silver_g` is null when the evidence contradicts itself or only bounds the silver from below:
/// then there is no figure, and the reader measures again.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Estimate {
    /// Silver in the batch.
    pub silver_g: Option<ComputedGrams>,
    /// Standard uncertainty of `silver_g`.
    pub standard_uncertainty_g: Option<ComputedGrams>,
    /// The interval that holds the silver with 95 % probability.
    pub interval_95_g: Option<Interval>,
    /// Silver per litre, where the volume is known.
    pub silver_g_per_l: Option<ComputedGramsPerLitre>,
    /// What each piece of evidence says by itself, in the order of the request.
    pub by_evidence: Vec<EvidenceEstimate>,
    /// How well the evidence agrees.
    pub agreement: Agreement,
}

/// Two ends; `upper` is null where nothing bounds the silver from above.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Interval {
    /// Lower end, grams.
    pub lower: ComputedGrams,
    /// Upper end, grams.
    pub upper: Option<ComputedGrams>,
}

/// What one piece of evidence says.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct EvidenceEstimate {
    /// Kind of evidence.
    pub kind: &'static str,
    /// Silver it points to; null for evidence that only bounds.
    pub silver_g: Option<ComputedGrams>,
    /// Standard uncertainty of `silver_g`.
    pub standard_uncertainty_g: Option<ComputedGrams>,
    /// Bounds, for evidence that only bounds.
    pub bounds_g: Option<Interval>,
    /// The share of each input in its variance, largest first.
    pub contributions: Vec<InputShare>,
}

/// The share of one input in a variance.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct InputShare {
    /// Name of the input.
    pub input: Cow<'static, str>,
    /// Its share.
    pub share_percent: ComputedPercent,
}

/// How well several pieces of evidence agree.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Agreement {
    /// One piece of evidence: nothing to compare.
    Single {},
    /// Bounds only, or one figure within bounds.
    WithinBounds {},
    /// They agree within chance.
    Consistent {
        /// Chi-square about the mean.
        chi_square: ComputedFactor,
        /// Chance of a chi-square this large.
        chance_percent: ComputedPercent,
        /// Birge ratio.
        birge_ratio: ComputedFactor,
    },
    /// They disagree beyond chance: the uncertainty is widened by the Birge ratio, but for what all
    /// of them rest on alike (one volume).
    Widened {
        /// Chi-square about the mean.
        chi_square: ComputedFactor,
        /// Chance of a chi-square this large.
        chance_percent: ComputedPercent,
        /// Birge ratio, the factor of widening.
        birge_ratio: ComputedFactor,
        /// Index in `by_evidence` of the one that stands out, where three or more were compared.
        odd_one_out: Option<usize>,
    },
    /// They cannot all be true, or lie too far apart for a mean: there is no figure.
    Contradiction {
        /// What contradicts what.
        reason: String,
    },
}

impl Estimate {
    /// An estimate without a figure.
    #[must_use]
    pub const fn unknown(by_evidence: Vec<EvidenceEstimate>, agreement: Agreement) -> Self {
        Self {
            silver_g: None,
            standard_uncertainty_g: None,
            interval_95_g: None,
            silver_g_per_l: None,
            by_evidence,
            agreement,
        }
    }

    /// Silver and its standard uncertainty, where there is a figure.
    #[must_use]
    pub fn figure(&self) -> Option<(f64, f64)> {
        Some((self.silver_g?.get(), self.standard_uncertainty_g?.get()))
    }

    /// Upper end of the 95 % interval: what a reagent is dosed on.
    #[must_use]
    pub fn upper_g(&self) -> Option<f64> {
        Some(self.interval_95_g?.upper?.get())
    }

    /// Lower end of the 95 % interval.
    #[must_use]
    pub fn lower_g(&self) -> Option<f64> {
        Some(self.interval_95_g?.lower.get())
    }
}
