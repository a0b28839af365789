//! Pour checks: may this go into that, or share a tray, sink, cupboard or vehicle with it?

use crate::batch::Batch;
use crate::procedure::{Refusal, Step};

/// Checks every addition of a procedure against the batch, and against what earlier steps added.
///
/// # Errors
/// The refusal that takes the plan's place when a step is blocked.
pub fn check_procedure(_batch: &Batch, _steps: &[Step]) -> Result<(), Refusal> {
    Ok(())
}
