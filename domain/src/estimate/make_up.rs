//! Silver from the make-up record of a bath.

use super::bench::{Bench, JUG_MARK, Spread};
use super::evidence::{MakeUp, Plates};
use super::finding::Finding;
use crate::answer::Method;
use crate::chemistry::constants::SILVER_IN_NITRATE;
use crate::fault::{Fault, FaultKind, at_most};
use crate::quantity::{MeasuredGrams, MeasuredGramsPerLitre, MeasuredLitres};
use crate::statistics::Uncertain;
use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive as _;

pub(super) const MAKE_UP: Method = Method {
    name: "make_up_record",
    formula: "m(Ag) = [(m(AgNO3) + m added) x purity - area x loss per area] x M(Ag)/M(AgNO3), grams; a strength in % w/v is 10 g/L",
    source: "iupac_atomic_weights",
};

/// A bare strength is what a kitchen scale and a jug make it: common practice, no source.
const MADE_STRENGTH: Spread = Spread::Relative(2.0);

/// What is dissolved in a volume, g, from a strength: `m = c V`, `u(m)^2 = (V u(c))^2 + (c u(V))^2`, to four
/// significant digits, its uncertainty to two. A bare strength is good to 2 %, a bare volume is a jug
/// mark, good to 5 % (common practice, no source). None where the product is out of range.
///
/// ```
/// use spent_silver_domain::estimate::mass_dissolved;
/// // 90 g/L in 2.0 L, each bare: 180 g; 2 % and 5 % are 5.4 % together, 9.7 g.
/// let made = mass_dissolved(
///     &serde_json::from_str("90")?,
///     &serde_json::from_str("2.0")?,
/// );
/// let made = made.map(|m| serde_json::to_string(&m)).transpose()?;
/// assert_eq!(made.as_deref(), Some(r#"{"value":"180","standard_uncertainty":"9.7"}"#));
/// # Ok::<(), serde_json::Error>(())
/// ```
#[must_use]
pub fn mass_dissolved(
    strength: &MeasuredGramsPerLitre,
    volume: &MeasuredLitres,
) -> Option<MeasuredGrams> {
    let (c, v) = (strength.as_f64(), volume.as_f64());
    let stated = |of: Option<(f64, _)>, bare: Spread, value: f64| {
        of.map_or_else(|| bare.standard(value).0, |(u, _)| u)
    };
    let u_c = stated(strength.standard_uncertainty(), MADE_STRENGTH, c);
    let u_v = stated(volume.standard_uncertainty(), JUG_MARK, v);
    let off = Decimal::from_f64((v * u_c).hypot(c * u_v))?.round_sf(2)?;
    let grams = strength.decimal().checked_mul(volume.decimal())?;
    MeasuredGrams::with_standard_uncertainty(grams.round_sf(4)?.normalize(), off.normalize())
}

/// Silver nitrate that leaves a bath per area of plate, g/m2: 13.9 from 23 plates of three sizes.
/// One test by one operator, so it is taken with 30 %.
const LOSS_G_PER_M2: f64 = 13.9;

pub(super) fn estimate(bench: &mut Bench<'_>, e: &MakeUp) -> Result<Finding, Fault> {
    let about = bench.about.clone();
    bench.notes.method(&about, MAKE_UP);
    let made = match (&e.silver_nitrate_g, &e.strength_percent_w_v) {
        (Some(_), Some(_)) => {
            return Err(Fault::new(
                FaultKind::Conflict,
                bench.pointer("strength_percent_w_v"),
                "both a weight and a strength: expected silver_nitrate_g, or strength_percent_w_v with made_volume_l",
            ));
        }
        (Some(mass), None) => {
            if e.made_volume_l.is_some() {
                return Err(Fault::new(
                    FaultKind::Conflict,
                    bench.pointer("made_volume_l"),
                    "a volume beside a weight says nothing: expected made_volume_l only with strength_percent_w_v",
                ));
            }
            bench.weigh("silver_nitrate_g", mass, e.scale_resolution_g)?
        }
        (None, Some(strength)) => {
            let Some(volume) = &e.made_volume_l else {
                return Err(Fault::missing(
                    bench.pointer("made_volume_l"),
                    "the volume that was made to this strength",
                ));
            };
            let strength = bench.take("strength_percent_w_v", strength, MADE_STRENGTH)?;
            let volume = bench.positive("made_volume_l", volume, Spread::Relative(2.0))?;
            strength.times(&volume).scaled(10.0)
        }
        (None, None) => {
            return Err(Fault::missing(
                bench.pointer("silver_nitrate_g"),
                "silver_nitrate_g, or strength_percent_w_v with made_volume_l",
            ));
        }
    };
    let made = match &e.added_silver_nitrate_g {
        Some(added) => {
            made.plus(&bench.weigh("added_silver_nitrate_g", added, e.scale_resolution_g)?)
        }
        None => made,
    };
    let purity = match &e.purity_percent {
        Some(p) => bench.positive("purity_percent", p, Spread::Absolute(0.3))?,
        None => bench.default(
            "purity_percent",
            99.5,
            Spread::HalfWidth(0.5),
            "common_practice",
            "Purity not stated: silver nitrate taken as 99.5 plus or minus 0.5 % (common practice, no source).",
        )?,
    };
    let made = made.times(&purity).scaled(0.01);
    let left = match lost(bench, e)? {
        Some(lost) => made.minus(&lost),
        None => made,
    };
    let silver = left.scaled(SILVER_IN_NITRATE);
    if silver.value() < -2.0 * silver.standard_uncertainty() {
        return Err(Fault::new(
            FaultKind::Conflict,
            bench.at.clone(),
            format!(
                "the plates would have taken {:.1} g more silver nitrate than went in: check the plates and the additions",
                -left.value()
            ),
        ));
    }
    Ok(Finding::Point(silver))
}

/// The silver in what plates took; a record without plates is a fault.
pub(super) fn silver_lost(bench: &mut Bench<'_>, e: &MakeUp) -> Result<Uncertain, Fault> {
    let about = bench.about.clone();
    bench.notes.method(&about, MAKE_UP);
    lost(bench, e)?
        .map(|nitrate| nitrate.scaled(SILVER_IN_NITRATE))
        .ok_or_else(|| Fault::missing(bench.pointer("plates"), "the plates, or plate_area_m2"))
}

fn lost(bench: &mut Bench<'_>, e: &MakeUp) -> Result<Option<Uncertain>, Fault> {
    let area = match (&e.plate_area_m2, e.plates.is_empty()) {
        (Some(_), false) => {
            return Err(Fault::new(
                FaultKind::Conflict,
                bench.pointer("plate_area_m2"),
                "both an area and a list of plates: expected one of them",
            ));
        }
        (Some(area), true) => bench.take("plate_area_m2", area, Spread::Relative(5.0))?,
        (None, false) => plate_area(bench, &e.plates)?,
        (None, true) => {
            if e.silver_nitrate_loss_g_per_m2.is_some() {
                return Err(Fault::missing(
                    bench.pointer("plates"),
                    "the plates, or plate_area_m2, that the loss per area applies to",
                ));
            }
            return Ok(None);
        }
    };
    let per_area = match &e.silver_nitrate_loss_g_per_m2 {
        Some(loss) => {
            bench.take("silver_nitrate_loss_g_per_m2", loss, Spread::Relative(30.0))?
        }
        None => bench.default(
            "silver_nitrate_loss_g_per_m2",
            LOSS_G_PER_M2,
            Spread::Relative(30.0),
            "plate_titration_2026",
            "Loss per plate not stated: 13.9 g silver nitrate per square metre, from one published titration test of three sizes, taken with 30 % (one collodion, one operator).",
        )?,
    };
    Ok(Some(area.times(&per_area)))
}

fn plate_area(bench: &mut Bench<'_>, plates: &[Plates]) -> Result<Uncertain, Fault> {
    at_most(bench.pointer("plates"), plates.len(), 100)?;
    let mut area = Uncertain::exact(0.0);
    for (i, p) in plates.iter().enumerate() {
        let width = bench.positive(
            format!("plates/{i}/width_cm"),
            &p.width_cm,
            Spread::Relative(1.0),
        )?;
        let height = bench.positive(
            format!("plates/{i}/height_cm"),
            &p.height_cm,
            Spread::Relative(1.0),
        )?;
        area = area.plus(&width.times(&height).scaled(f64::from(p.count) / 10_000.0));
    }
    Ok(area)
}
