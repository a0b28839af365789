//! How much silver nitrate is in the bath, and what brings it back to strength.

use super::TOP_UP;
use super::request::BathCareRequest;
use super::result::{BathMassSpan, BathState, BathTopUp};
use crate::answer::Notes;
use crate::chemistry::constants::{SILVER_IN_NITRATE, SILVER_NITRATE};
use crate::decision::restore::{silver_nitrate_of, silver_nitrate_to_add};
use crate::estimate::{Estimate, estimate_batch, volume_of};
use crate::fault::{Fault, FaultKind, Faults};
use crate::quantity::{
    ComputedGrams, ComputedLitres, ComputedMillilitres, ComputedPercentWV, TooLarge, write_decimal,
};
use crate::statistics::Inputs;
use crate::valuation::defaults::defaults;
use rust_decimal::Decimal;
use rust_decimal::prelude::{FromPrimitive as _, ToPrimitive as _};

/// Volume and silver of the bath.
pub(super) struct Held {
    pub volume_l: f64,
    /// Silver nitrate and its standard uncertainty, g.
    pub silver: Option<(f64, f64)>,
    /// Ends of its 95 % interval, g.
    ends: Option<(f64, Option<f64>)>,
}

impl Held {
    pub fn silver_nitrate_mol_per_l(&self) -> Option<f64> {
        let (grams, _) = self.silver?;
        Some(grams / (SILVER_NITRATE * self.volume_l))
    }

    pub fn state(&self) -> BathState {
        let percent = |g: f64| ComputedPercentWV::of(g / (10.0 * self.volume_l));
        BathState {
            volume_l: Some(ComputedLitres::of(self.volume_l)),
            silver_nitrate_g: self.silver.map(|(g, _)| ComputedGrams::of(g)),
            silver_nitrate_95_g: self.ends.map(|(lower, upper)| BathMassSpan {
                lower: ComputedGrams::of(lower),
                upper: upper.map(ComputedGrams::of),
            }),
            strength_percent_w_v: self.silver.map(|(g, _)| percent(g)),
            uncertainty_percent_w_v: self.silver.map(|(_, u)| percent(u)),
            ..BathState::UNKNOWN
        }
    }
}

/// What is wrong with the volume and the strength asked for.
pub(super) fn faults(request: &BathCareRequest, at: &str) -> Vec<Fault> {
    let mut faults = Vec::new();
    if let Some(percent) = request.target_strength_percent_w_v
        && percent.decimal().is_zero()
    {
        faults.push(Fault::out_of_range(
            format!("{at}/target_strength_percent_w_v"),
            0,
            "more than 0 % w/v",
        ));
    }
    faults
}

/// Volume and silver of the bath by its evidence.
pub(super) fn measure(
    request: &BathCareRequest,
    at: &str,
    notes: &mut Notes,
) -> Result<Held, Faults> {
    let batch = &request.batch;
    let batch_at = format!("{at}/batch");
    let volume_l = notes
        .within("/state", |notes| {
            notes.as_a_whole(|notes| volume_of(batch, &batch_at, &mut Inputs::default(), notes))
        })?
        .map(|v| v.value())
        .filter(|v| *v > 0.0)
        .ok_or_else(|| Fault::missing(format!("{batch_at}/volume_l"), "the volume of the bath"))?;
    if let Some(full) = request.full_volume_l
        && full.as_f64() < volume_l * 0.999
    {
        return Err(Fault::new(
            FaultKind::Conflict,
            format!("{at}/full_volume_l"),
            format!(
                "{} L is less than the {volume_l} L in the bath: expected at least that, for nothing is taken out",
                write_decimal(full.decimal())
            ),
        )
        .into());
    }
    let estimate: Option<Estimate> = if batch.evidence.is_empty() {
        None
    } else {
        Some(notes.within("/state", |notes| {
            notes.as_a_whole(|notes| estimate_batch(batch, &batch_at, notes))
        })?)
    };
    let nitrate = |silver: f64| silver / SILVER_IN_NITRATE;
    Ok(Held {
        volume_l,
        silver: estimate
            .as_ref()
            .and_then(Estimate::figure)
            .map(|(silver, u)| (nitrate(silver), nitrate(u))),
        ends: estimate
            .as_ref()
            .and_then(|e| Some((nitrate(e.lower_g()?), e.upper_g().map(nitrate)))),
    })
}

/// The strength aimed at, % w/v.
pub(super) fn target(request: &BathCareRequest, at: &str, notes: &mut Notes) -> f64 {
    match request.target_strength_percent_w_v {
        Some(given) => given.as_f64(),
        None => {
            let figure = &defaults().bath_strength_percent_w_v;
            notes.assume(
                "/care",
                format!("{at}/target_strength_percent_w_v"),
                &figure.source,
                format!("The bath is brought back to {}.", figure.words()),
            );
            figure.value.to_f64().unwrap_or_default()
        }
    }
}

/// Silver nitrate and water that bring the bath back; `None` where its silver is not known.
pub(super) fn top_up(
    request: &BathCareRequest,
    held: &Held,
    target: f64,
    at: &str,
    notes: &mut Notes,
) -> Result<Option<BathTopUp>, Faults> {
    let Some((nitrate, _)) = held.silver else {
        return Ok(None);
    };
    notes.method("/care", TOP_UP);
    let full = request
        .full_volume_l
        .map_or(held.volume_l, |v| v.as_f64().max(held.volume_l));
    let add = |nitrate_g: f64| -> Result<ComputedGrams, TooLarge> {
        let decimal = |x: f64| Decimal::from_f64(x).ok_or(TooLarge);
        let kept = silver_nitrate_of(decimal(nitrate_g * SILVER_IN_NITRATE)?)?;
        let grams = silver_nitrate_to_add(decimal(target)?, decimal(full)?, kept)?;
        Ok(ComputedGrams::of(grams.to_f64().ok_or(TooLarge)?))
    };
    let (lower, upper) = held.ends.unwrap_or((nitrate, Some(nitrate)));
    let made = || -> Result<BathTopUp, TooLarge> {
        Ok(BathTopUp {
            target_strength_percent_w_v: ComputedPercentWV::of(target),
            full_volume_l: ComputedLitres::of(full),
            water_ml: ComputedMillilitres::of(1000.0 * (full - held.volume_l)),
            silver_nitrate_g: add(nitrate)?,
            silver_nitrate_95_g: BathMassSpan {
                lower: upper.map_or(Ok(ComputedGrams::of(0.0)), add)?,
                upper: Some(add(lower)?),
            },
        })
    };
    made().map(Some).map_err(|TooLarge| {
        Fault::out_of_range(
            format!("{at}/batch"),
            "the silver nitrate of this bath",
            "figures small enough to reckon with",
        )
        .into()
    })
}
