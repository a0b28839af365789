//! How much ammonium a bath may hold, and what that forbids.

use super::build_up::{BroughtIn, iodizer_has_ammonium};
use super::request::BathCareRequest;
use crate::batch::{Batch, BatchStatus};
use crate::chemistry::liquor::reagent_of;
use crate::chemistry::species::Component;
use crate::fault::{Fault, FaultKind};
use crate::substance::{Group, Substance, substance};
use crate::waste::contents::component_g_per_l;

/// What is known of ammonium in a bath.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Ammonium {
    /// None ever went in.
    Absent,
    /// No more than this, mol/L.
    AtMost(f64),
    /// It may be there, and nobody knows how much.
    NotKnown,
}

/// The fault of a bath said to be free of ammonium that is stated to hold some.
pub(super) fn conflict(request: &BathCareRequest, at: &str) -> Option<Fault> {
    let held = request.batch.states(Group::Ammonium)
        || request.iodizer.as_ref().is_some_and(iodizer_has_ammonium);
    (request.ammonium_free == Some(true) && held).then(|| {
        Fault::new(
            FaultKind::Conflict,
            format!("{at}/ammonium_free"),
            "the composition or the iodizer names an ammonium salt: expected false, or none",
        )
    })
}

/// Ammonium from the composition, the iodizer and what the person knows.
pub(super) fn ammonium_of(request: &BathCareRequest, brought: Option<&BroughtIn>) -> Ammonium {
    let stated = match stated(&request.batch) {
        Some(mol_per_l) => mol_per_l,
        None => return Ammonium::NotKnown,
    };
    let carried = match (&request.iodizer, brought) {
        (Some(_), Some(b)) => b.ammonium,
        (Some(iodizer), None) if iodizer_has_ammonium(iodizer) => return Ammonium::NotKnown,
        (Some(_), None) => 0.0,
        (None, _) => {
            let free = request.ammonium_free == Some(true)
                || request.batch.status == Some(BatchStatus::Unused);
            if !free && stated == 0.0 {
                return Ammonium::NotKnown;
            }
            0.0
        }
    };
    if stated + carried > 0.0 {
        Ammonium::AtMost(stated + carried)
    } else {
        Ammonium::Absent
    }
}

/// Ammonium of the composition, mol/L; `None` where a salt of it has no amount.
fn stated(batch: &Batch) -> Option<f64> {
    let mut sum = 0.0;
    for part in &batch.composition {
        let Some(known) = substance(&part.substance).filter(|s| s.is(Group::Ammonium)) else {
            continue;
        };
        sum += component_g_per_l(batch, part)? / known.molar_mass()? * ions(known)?;
    }
    Some(sum)
}

/// Ammonium ions in one formula.
fn ions(known: &Substance) -> Option<f64> {
    let reagent = reagent_of(&known.id)?;
    Some(f64::from(reagent.of(Component::Ammonia)))
}
