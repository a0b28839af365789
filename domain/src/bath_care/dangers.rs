//! The dangers of caring for a bath, which come before everything else.

use super::request::BathCareRequest;
use super::result::BathState;
use crate::answer::{Notes, Severity};
use crate::batch::Craft;
use crate::bibliography::reference;
use crate::waste::storage::storage_danger;

/// The dangers, which no renderer drops.
pub(super) fn warn(
    request: &BathCareRequest,
    over: bool,
    ceiling: Option<f64>,
    state: &BathState,
    notes: &mut Notes,
) {
    if let Some(danger) = storage_danger(&request.batch) {
        notes.warn("/state", Severity::Danger, danger.reason);
    }
    notes.warn("/ammonium", Severity::Danger, "Silver with ammonia makes fulminating silver, which explodes at a touch: keep the bath acid, never add ammonia or lye, and never dry or boil it down, whatever old manuals say.");
    if let Some(source) = reference("cen1996") {
        notes.cite(&source.key);
    }
    if over {
        notes.warn("/care", Severity::Danger, "So much alcohol and ether with acid makes gas and heat, and with silver worse: no acid until the bath has aired and been measured again.");
    }
    if let (Some(ceiling), Some(range)) = (ceiling, state.range_ph)
        && range.upper.get() > ceiling
    {
        notes.warn("/ammonium", Severity::Danger, format!("As read, the pH may lie above {ceiling:.1}, where ammonia begins to hold silver: make it acid first, before anything else."));
    }
    if !matches!(
        request.batch.craft,
        Some(Craft::SaltedPaper | Craft::AlbumenPaper)
    ) {
        notes.warn("/care", Severity::Danger, "A used collodion bath gives off ether and alcohol vapour: no flame or spark, sun it out of doors, loosely covered, and never heat or shut it tight.");
    }
    notes.warn("/care", Severity::Danger, "Silver nitrate burns the eyes: goggles at every step. A splash: 15 minutes of running water, and call a doctor.");
    notes.warn("/care", Severity::Note, "Each dose rests on a pH read from paper and on an activity model that is a convention in so strong a bath: the sign named in the step decides, not the figure.");
}
