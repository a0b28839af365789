//! Rounding for people: what the uncertainty supports, and no more.

use super::write_significant;

/// Significant digits of an uncertainty that people read.
const UNCERTAINTY_DIGITS: usize = 2;
/// Significant digits of an exact figure that people read.
const EXACT_DIGITS: usize = 6;

/// A value and its standard uncertainty as people print them: the uncertainty to two significant
/// digits, the value to the same decimal place (JCGM 100:2008, 7.2.6). Both carry one unit.
///
/// Rounds to nearest. An uncertainty of zero (or one that is no number) is written "0" beside the
/// value to six significant digits.
///
/// ```
/// use spent_silver_domain::quantity::rounded_with_uncertainty;
/// // JCGM 100, 7.2.6: 10.057 62 ohm with 27 milliohm is written 10.058 ohm.
/// assert_eq!(
///     rounded_with_uncertainty(10.057_62, 0.027),
///     ("10.058".to_owned(), "0.027".to_owned())
/// );
/// ```
#[must_use]
pub fn rounded_with_uncertainty(value: f64, standard_uncertainty: f64) -> (String, String) {
    let u = standard_uncertainty.abs();
    if u == 0.0 || !u.is_finite() || !value.is_finite() {
        return (write_significant(value, EXACT_DIGITS), "0".to_owned());
    }
    let place = last_place(u);
    (to_place(value, place), to_place(u, place))
}

/// The power of ten of the uncertainty's last kept digit, after rounding: 0.0996 becomes 0.10 and
/// keeps two digits, not three.
fn last_place(u: f64) -> i32 {
    let scientific = format!("{:.*e}", UNCERTAINTY_DIGITS.saturating_sub(1), u);
    let exponent: i32 = scientific
        .split_once('e')
        .and_then(|(_, e)| e.parse().ok())
        .unwrap_or_default();
    let kept = i32::try_from(UNCERTAINTY_DIGITS).unwrap_or(i32::MAX);
    exponent.saturating_sub(kept).saturating_add(1)
}

fn to_place(value: f64, place: i32) -> String {
    let text = if place < 0 {
        format!("{:.*}", place.unsigned_abs() as usize, value)
    } else {
        let step = 10f64.powi(place);
        format!("{:.0}", (value / step).round_ties_even() * step)
    };
    // A value that rounds to nothing has no sign.
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| matches!(b, b'0' | b'.')) => rest.to_owned(),
        _ => text,
    }
}
