//! Figures as people print them.

use crate::batch::{Batch, Component};
use crate::estimate::{Agreement, Estimate};
use crate::quantity::{Measured, Unit, rounded_with_uncertainty, write_decimal, write_significant};
use rust_decimal::Decimal;

/// A figure with its standard uncertainty and unit, as people print it: `57.0 ± 1.2 g`.
#[must_use]
pub fn figure(value: f64, standard_uncertainty: f64, unit: &str) -> String {
    let (value, u) = rounded_with_uncertainty(value, standard_uncertainty);
    if u == "0" {
        format!("{value} {unit}")
    } else {
        format!("{value} ± {u} {unit}")
    }
}

/// A reading as people print it; a bare one as it was given.
#[must_use]
pub fn reading<U: Unit>(of: &Measured<U>) -> String {
    match of.standard_uncertainty() {
        Some((u, _)) if u > 0.0 => figure(of.as_f64(), u, U::SYMBOL),
        _ => format!("{} {}", write_decimal(of.decimal()), U::SYMBOL),
    }
}

/// The silver of an estimate in one sentence, with how sure it is.
#[must_use]
pub fn silver_in_words(estimate: &Estimate) -> String {
    if let Some((silver, u)) = estimate.figure() {
        return figure(silver, u, "g");
    }
    if matches!(estimate.agreement, Agreement::Contradiction { .. }) {
        // Why stands with the warning that every answer of it carries.
        return "no figure: the readings contradict each other".to_owned();
    }
    let bounds = estimate
        .interval_95_g
        .or_else(|| estimate.by_evidence.iter().find_map(|piece| piece.bounds_g));
    match bounds {
        Some(b) => match b.upper {
            Some(upper) => format!(
                "between {} and {} g",
                write_significant(b.lower.get(), 2),
                write_significant(upper.get(), 2)
            ),
            None => format!("at least {} g", write_significant(b.lower.get(), 2)),
        },
        None => "not known: not measured".to_owned(),
    }
}

/// The silver in a litre, where that is known.
pub(super) fn strength_in_words(estimate: &Estimate) -> Option<String> {
    let strength = write_significant(estimate.silver_g_per_l?.get(), 2);
    Some(format!("about {strength} g/L"))
}

/// The interval that holds the silver 95 times in 100, at the places its uncertainty supports.
#[must_use]
pub fn interval_in_words(estimate: &Estimate) -> Option<String> {
    let u = estimate.figure().map_or(0.0, |(_, u)| u);
    let interval = estimate.interval_95_g?;
    let end = |x: f64| {
        if u > 0.0 {
            rounded_with_uncertainty(x, u).0
        } else {
            write_significant(x, 2)
        }
    };
    Some(match interval.upper {
        Some(upper) => format!("{} to {} g", end(interval.lower.get()), end(upper.get())),
        None => format!("{} g or more", end(interval.lower.get())),
    })
}

/// How much is in the container, by whatever was measured.
#[must_use]
pub fn amount_in_words(batch: &Batch) -> Option<String> {
    let volume = batch.volume_l.as_ref().map(reading);
    let mass = batch.mass_kg.as_ref().map(reading);
    match (volume, mass) {
        (Some(v), Some(m)) => Some(format!("{v}, {m}")),
        (Some(one), None) | (None, Some(one)) => Some(one),
        (None, None) => {
            let net = net_g(batch)?;
            Some(format!("{} g net", write_decimal(net)))
        }
    }
}

/// The content by weight, where the container was weighed full and empty.
pub(super) fn net_g(batch: &Batch) -> Option<Decimal> {
    let (gross, tare) = (batch.gross_g.as_ref()?, batch.tare_g.as_ref()?);
    gross.decimal().checked_sub(tare.decimal())
}

/// The amount of one substance, where it was stated.
#[must_use]
pub fn component_amount(part: &Component) -> Option<String> {
    let by_volume = part.g_per_l.as_ref().map(reading);
    let by_amount = part.mol_per_l.as_ref().map(reading);
    let by_mass = part.percent_w_w.as_ref().map(reading);
    by_volume.or(by_amount).or(by_mass)
}
