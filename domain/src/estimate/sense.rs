//! What no reading can be: nothing for certain, more than the container held, denser than silver.

use super::bench::{Bench, HOUSEHOLD_SCALE, volume_of};
use super::evidence::Evidence;
use super::facts::{facts, number};
use super::finding::Finding;
use crate::answer::{Notes, Severity};
use crate::fault::{Fault, FaultKind};
use crate::quantity::{MeasuredMillilitres, Plain};
use crate::statistics::{Inputs, Uncertain};

/// Lets a finding pass that can be, and cautions where it hardly can. A person may state that there
/// is surely none, as of a liquid made fresh; no reading can show it.
///
/// # Errors
/// A zero without an uncertainty, at the member that gives it; more silver than metal of the
/// container's volume holds (10490 g/L), at the evidence.
pub(super) fn believable(
    bench: &mut Bench<'_>,
    evidence: &Evidence,
    finding: Finding,
) -> Result<Finding, Fault> {
    let least = match &finding {
        Finding::Point(x) => {
            let meant = matches!(evidence, Evidence::Stated(s) if s.silver_g.standard_uncertainty().is_some());
            if x.value() == 0.0 && x.variance() <= 0.0 && !meant {
                return Err(certain_nothing(bench, evidence));
            }
            x.value()
        }
        Finding::Bounds { lower, scale, .. } => lower * scale.value(),
        Finding::Removed(_) => return Ok(finding),
    };
    more_than_all(bench, least)?;
    let Some(litres) = volume(bench).map(|v| v.value()).filter(|v| *v > 0.0) else {
        return Ok(finding);
    };
    let strength = least / litres;
    let metal = number(&facts().silver_metal_g_per_l);
    let figures = bench.used.join(", ");
    let words = |x: f64| Plain::significant(x, 4).as_str().to_owned();
    if strength > metal {
        return Err(Fault::new(
            FaultKind::OutOfRange,
            bench.at.clone(),
            format!(
                "{} g in {} L is {} g/L, more than solid silver weighs: expected at most {metal} g/L. Look at {figures} and the volume of the batch, their units first",
                words(least),
                words(litres),
                words(strength),
            ),
        ));
    }
    let dissolved = number(&facts().dissolved_silver_g_per_l);
    if bench.batch.kind.is_liquid() && !bench.of_sludge && strength > dissolved {
        bench.notes.cite(&facts().dissolved_silver_g_per_l.source);
        let about = bench.about.clone();
        bench.notes.warn(
            &about,
            Severity::Caution,
            format!(
                "{} g/L is more silver than a liquid dissolves: silver nitrate, the most soluble of its salts here, stops at about {dissolved} g/L (from memory, unverified). Look at {figures} and the volume of the batch before anything rests on this reading.",
                words(strength),
            ),
        );
    }
    Ok(finding)
}

/// Refuses more silver than the whole batch weighs, as far as its own weighing may be off.
fn more_than_all(bench: &Bench<'_>, grams: f64) -> Result<(), Fault> {
    let Some(mass) = &bench.batch.mass_kg else {
        return Ok(());
    };
    let known = mass.standard_uncertainty().map_or(0.0, |(u, _)| u);
    let (usual, _) = HOUSEHOLD_SCALE.standard(mass.as_f64());
    let most = 1000.0 * (mass.as_f64() + 2.0 * (known + usual));
    if grams <= most {
        return Ok(());
    }
    Err(Fault::new(
        FaultKind::Conflict,
        bench.at.clone(),
        format!(
            "{} g of silver in a batch of {} kg: expected less than the whole. Look at {} and the mass of the batch, their units first",
            Plain::significant(grams, 4).as_str(),
            Plain::decimal(mass.decimal()).as_str(),
            bench.used.join(", "),
        ),
    ))
}

/// A zero read without an uncertainty would say that there is surely no silver.
fn certain_nothing(bench: &Bench<'_>, evidence: &Evidence) -> Fault {
    let (pointer, unit) = bench
        .zero
        .clone()
        .unwrap_or_else(|| (bench.at.clone(), "g"));
    let fresh = if matches!(evidence, Evidence::Stated(_)) {
        "; or {\"value\": \"0\", \"standard_uncertainty\": \"0\"} for what was made fresh and surely holds none"
    } else {
        ""
    };
    Fault::new(
        FaultKind::OutOfRange,
        pointer,
        format!(
            "0 {unit} without an uncertainty would be certainty, and no reading is: expected what the method can just show as an upper bound, such as {{\"between\": [\"0\", \"0.05\"]}} where that is 0.05 {unit}{fresh}"
        ),
    )
}

/// Refuses a sample that is more than the container holds.
///
/// # Errors
/// [`FaultKind::Conflict`] at the sample.
pub(super) fn drawn_from(
    bench: &Bench<'_>,
    field: &str,
    sample: &MeasuredMillilitres,
) -> Result<(), Fault> {
    let Some(held) = volume(bench) else {
        return Ok(());
    };
    // A volume worked out from a mass may be off by the density that was assumed.
    let allowance = if bench.batch.volume_l.is_some() {
        0.0
    } else {
        2.0 * held.standard_uncertainty()
    };
    let most = 1000.0 * (held.value() + allowance);
    if sample.as_f64() <= most * (1.0 + 1e-12) {
        return Ok(());
    }
    Err(Fault::new(
        FaultKind::Conflict,
        bench.pointer(field),
        format!(
            "{} mL is more than the batch, which is {} mL: expected a sample of it, or the volume of the batch in litres",
            Plain::decimal(sample.decimal()).as_str(),
            Plain::significant(1000.0 * held.value(), 4).as_str(),
        ),
    ))
}

/// Volume of the batch, without a word in the answer: what needs it says so itself.
fn volume(bench: &Bench<'_>) -> Option<Uncertain> {
    let (mut inputs, mut notes) = (Inputs::default(), Notes::default());
    volume_of(bench.batch, bench.batch_at, &mut inputs, &mut notes)
        .ok()
        .flatten()
}
