//! Amounts and cautions as they are printed on a plan.

use crate::procedure::Step;
use crate::quantity::Plain;

/// Goggles and eye rinse: on every step with silver nitrate.
pub(super) const SILVER_NITRATE: &str = "Goggles and gloves on, eye rinse within reach: silver nitrate burns the eyes (rinse 15 minutes and call for help) and stains the skin black.";
/// Never acid into fixer.
pub(super) const NEVER_ACID: &str =
    "Never add acid, vinegar or stop bath: the fixer gives off choking sulfur dioxide.";
/// Hydrogen.
pub(super) const HYDROGEN: &str = "It makes hydrogen: vented cap or loose cloth, never a tight lid; outdoors or by an open window; no flame, no spark, no smoking.";
/// Iron wool that dries.
pub(super) const NEVER_DRY: &str = "Never let the wool or the sludge dry: it heats itself and can catch fire, hours later and in the bin.";
/// Hydrogen sulfide.
pub(super) const HYDROGEN_SULFIDE: &str = "Hydrogen sulfide kills and numbs the nose: at a smell of rotten eggs stop, leave and air the room. Extraction on, never alone.";
/// Alcohol and ether.
pub(super) const NO_FLAME: &str =
    "The bath may hold alcohol and ether: no flame, no spark, no heating, and no tight lid.";
/// The liquor.
pub(super) const LIQUOR: &str = "The liquor is to be tested by a laboratory before anyone decides where it goes. No strip, copper or cloud test can show silver below 5 mg/L.";

/// Rounds up to what the scale can weigh.
pub(super) fn weighable(mass_g: f64, step_g: f64) -> f64 {
    // A hair less, so that 38.000000001 g stays 38 g.
    let steps = (mass_g / step_g - 1e-6).ceil().max(1.0);
    let digits = 1e9;
    (steps * step_g * digits).round() / digits
}

/// Rounds down to what the scale can weigh.
pub(super) fn weighable_down(mass_g: f64, step_g: f64) -> f64 {
    let digits = 1e9;
    ((mass_g / step_g + 1e-6).floor().max(0.0) * step_g * digits).round() / digits
}

/// Rounds up to what a kitchen measure pours: 5, 10, 50 mL steps with the size.
pub(super) fn pourable_ml(volume_ml: f64) -> f64 {
    let step = match volume_ml {
        v if v <= 100.0 => 5.0,
        v if v <= 500.0 => 10.0,
        _ => 50.0,
    };
    ((volume_ml / step - 1e-6).ceil() * step).max(step)
}

/// An amount for a sentence that needs no more than two digits.
pub(super) fn about(value: f64) -> Plain {
    Plain::significant(value, 2)
}

/// An amount for a sentence in which the third digit counts.
pub(super) fn three(value: f64) -> Plain {
    Plain::significant(value, 3)
}

/// An amount that was rounded already.
pub(super) fn exact(value: f64) -> Plain {
    Plain::significant(value, 8)
}

/// A volume in the unit a person would use.
pub(super) fn volume(volume_ml: f64) -> String {
    if volume_ml >= 1000.0 {
        format!("{} L", about(volume_ml / 1000.0))
    } else {
        format!("{} mL", exact(volume_ml))
    }
}

/// A span of two figures in two digits, or one figure where they agree.
pub(super) fn span(low: f64, high: f64) -> String {
    let (low, high) = (about(low), about(high));
    if low.as_str() == high.as_str() {
        low.into()
    } else {
        format!("{low} to {high}")
    }
}

/// Puts `caution` first on every step that does not carry it.
pub(super) fn caution_all(steps: &mut [Step], caution: &'static str) {
    for step in steps {
        if !step.cautions.iter().any(|c| c == caution) {
            step.cautions.insert(0, caution.into());
        }
    }
}
