//! Amounts of containers: taken apart, put together, and how sure they then are.

use super::entry::Part;
use super::holding::PLACES;
use crate::estimate::{HOUSEHOLD_SCALE, Spread};
use crate::fault::{Fault, FaultKind};
use crate::quantity::{
    Computed, Identifier, Measured, MeasuredGrams, MeasuredKilograms, MeasuredLitres, Unit,
    nearest_double, write_decimal,
};
use rust_decimal::Decimal;

pub(super) fn spread<U: Unit>(reading: &Measured<U>, bare: Spread) -> f64 {
    reading
        .standard_uncertainty()
        .map_or_else(|| bare.standard(reading.as_f64()).0, |(u, _)| u)
}

/// The share that a part is of the whole, with its standard uncertainty; `None` where it is all.
pub(super) fn fraction<U: Unit>(
    part: &Measured<U>,
    whole: Option<&Measured<U>>,
    bare: Spread,
    at: &str,
    name: &Identifier,
) -> Result<Option<(Decimal, f64)>, Fault> {
    let (value, symbol) = (part.decimal(), U::SYMBOL);
    if value <= Decimal::ZERO {
        let words = format!("more than 0 {symbol}");
        return Err(Fault::out_of_range(at, write_decimal(value), &words));
    }
    let Some(whole) = whole.filter(|w| w.decimal() > Decimal::ZERO) else {
        return Err(Fault::new(
            FaultKind::Missing,
            at,
            format!(
                "how much `{name}` holds is not known in {symbol}: expected a reading of it first, or {{\"all\": {{}}}}"
            ),
        ));
    };
    let (part_u, whole_u) = (spread(part, bare), spread(whole, bare));
    if part.as_f64() > whole.as_f64() + 2.0 * part_u.hypot(whole_u) {
        return Err(Fault::new(
            FaultKind::OutOfRange,
            at,
            format!(
                "{} {symbol} would go out of `{name}`, which holds {} {symbol}: expected no more than it holds",
                write_decimal(value),
                write_decimal(whole.decimal())
            ),
        ));
    }
    if value >= whole.decimal() {
        return Ok(None);
    }
    let share = value.checked_div(whole.decimal()).unwrap_or_default();
    let relative = (part_u / part.as_f64()).hypot(whole_u / whole.as_f64());
    Ok(Some((share, nearest_double(share) * relative)))
}

pub(super) fn part_volume(part: &Part) -> Option<MeasuredLitres> {
    match part {
        Part::VolumeL(volume) => Some(*volume),
        Part::MassKg(_) | Part::All(_) => None,
    }
}

pub(super) fn part_mass(part: &Part) -> Option<MeasuredKilograms> {
    match part {
        Part::MassKg(mass) => Some(*mass),
        Part::VolumeL(_) | Part::All(_) => None,
    }
}

/// An amount in two: what goes, as it was measured or by the share, and what stays.
pub(super) fn split<U: Unit>(
    whole: Option<Measured<U>>,
    measured: Option<Measured<U>>,
    share: Decimal,
    bare: Spread,
) -> (Option<Measured<U>>, Option<Measured<U>>) {
    let Some(whole) = whole else {
        return (measured, None);
    };
    let went = measured.or_else(|| {
        let value = whole.decimal().checked_mul(share)?;
        of(value, spread(&whole, bare) * nearest_double(share))
    });
    let stays = went.and_then(|went| {
        let u = spread(&whole, bare).hypot(spread(&went, bare));
        of(whole.decimal().saturating_sub(went.decimal()), u)
    });
    (went, stays)
}

pub(super) fn summed<U: Unit>(
    a: Option<Measured<U>>,
    b: Option<Measured<U>>,
    bare: Spread,
) -> Option<Measured<U>> {
    let (a, b) = a.zip(b)?;
    let u = spread(&a, bare).hypot(spread(&b, bare));
    of(a.decimal().checked_add(b.decimal())?, u)
}

/// A mass from the scale in the unit of a container's.
pub(super) fn in_kilograms(solid: &MeasuredGrams) -> Option<MeasuredKilograms> {
    let uncertainty = spread(solid, HOUSEHOLD_SCALE) / 1000.0;
    let kilograms = solid.decimal().checked_div(Decimal::ONE_THOUSAND)?;
    of(kilograms, uncertainty)
}

pub(super) fn of<U: Unit>(value: Decimal, uncertainty: f64) -> Option<Measured<U>> {
    let uncertainty = Computed::<U>::of(uncertainty).to_decimal().ok()?;
    Measured::with_standard_uncertainty(value.round_dp(PLACES).max(Decimal::ZERO), uncertainty)
}
