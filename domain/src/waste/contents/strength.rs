//! Whether what a batch holds is strong, or too thin to count as such.

use super::{component_g_per_l, ph_interval, strong_acid_ph};
use crate::batch::{Batch, BatchKind, Component};
use crate::substance::{Group, Substance};
use crate::waste::pour::{dilute_marks, working_bath};

/// Whether the acid of this component is dilute enough that it is neither a strong nor an oxidizing
/// acid to what it meets. In a bath, drips or rinse an unstated amount of acid is the few drops of
/// common practice; anywhere else it is strong. Much alcohol or ether ends the allowance.
pub(super) fn is_dilute(batch: &Batch, part: &Component, spirits_g_per_l: f64) -> bool {
    let limit = working_bath();
    if spirits_g_per_l > limit.alcohol_and_ether_most_g_per_l.as_f64() {
        return false;
    }
    match component_g_per_l(batch, part) {
        Some(c) => batch.kind.is_liquid() && c <= limit.acid_most_g_per_l.as_f64(),
        None => {
            let carries_drops = matches!(
                batch.kind,
                BatchKind::SensitizingBath | BatchKind::Drip | BatchKind::RinseWater
            );
            let too_acid = ph_interval(batch).is_some_and(|(low, _)| low < strong_acid_ph());
            carries_drops && !too_acid
        }
    }
}

/// Whether an oxidizer, or what burns, is thin enough in its liquid that the one sets nothing on fire and
/// the other does not catch it. An unstated amount in a working liquid is thin, and anywhere else dry or neat.
pub(crate) fn is_thin(batch: &Batch, part: &Component, known: &Substance) -> bool {
    let marks = dilute_marks();
    let below = if known.is(Group::Fuel) {
        marks.fuel_below_g_per_l
    } else if known.is(Group::Peroxide) {
        marks.peroxide_below_g_per_l
    } else if known.is(Group::Nitrate) {
        marks.nitrate_below_g_per_l
    } else {
        marks.oxidizer_below_g_per_l
    };
    match component_g_per_l(batch, part) {
        Some(c) => c < below.as_f64(),
        None => batch.kind.is_liquid() && batch.kind != BatchKind::CollodionOrSolvent,
    }
}
