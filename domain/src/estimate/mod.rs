//! How much silver is in a batch, and how surely: one file per kind of evidence, and their combination.

mod result;

pub use result::{Agreement, Estimate, EstimateRequest, EvidenceEstimate, InputShare, Interval};

use crate::answer::{Answer, Notes};
use crate::batch::Batch;
use crate::fault::Faults;
use serde::{Deserialize, Serialize};

/// Placeholder until the evidence kinds land.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Evidence {}

/// Answers `POST /v1/silver-estimates`.
///
/// # Errors
/// Every fault found in the batch and its evidence.
pub fn estimate_silver(request: &EstimateRequest) -> Result<Answer<Estimate>, Faults> {
    let mut notes = Notes::new();
    let estimate = estimate_batch(&request.batch, "/batch", &mut notes)?;
    Ok(notes.answer(estimate, request.rule_set.map(|r| r.rules())))
}

/// Estimates the silver in one batch; `at` is the batch's own place in the request, for faults.
///
/// # Errors
/// Every fault found in the batch and its evidence.
pub fn estimate_batch(_batch: &Batch, _at: &str, _notes: &mut Notes) -> Result<Estimate, Faults> {
    Ok(Estimate::unknown(Vec::new(), Agreement::Single {}))
}
