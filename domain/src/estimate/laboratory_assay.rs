//! A laboratory's figure.

use super::bench::{Bench, Spread};
use super::evidence::LaboratoryAssay;
use super::finding::Finding;
use crate::answer::Method;
use crate::fault::{Fault, FaultKind};
use crate::quantity::{Measured, Unit, write_decimal};
use crate::statistics::Uncertain;

pub(super) const LABORATORY_ASSAY: Method = Method {
    name: "laboratory_assay",
    formula: "m(Ag) = c(Ag) x dilution x V batch, or w(Ag) x m batch; below the limit of detection: between 0 and the limit; a bare 0 is refused, for it names no limit",
    source: "house_rule",
};

pub(super) fn estimate(bench: &mut Bench<'_>, e: &LaboratoryAssay) -> Result<Finding, Fault> {
    let about = bench.about.clone();
    bench.notes.method(&about, LABORATORY_ASSAY);
    let factor = match &e.dilution_factor {
        Some(f) => {
            if f.as_f64() < 1.0 {
                return Err(Fault::out_of_range(
                    bench.pointer("dilution_factor"),
                    f.decimal(),
                    "1 or more: how many times the sample was diluted",
                ));
            }
            bench.take("dilution_factor", f, Spread::Relative(1.0))?
        }
        None => Uncertain::exact(1.0),
    };
    let below = e.below_detection_limit == Some(true);
    let spread = if below {
        Spread::Absolute(0.0)
    } else {
        Spread::Relative(5.0)
    };
    let (content, amount) = match (&e.silver_mg_per_l, &e.silver_percent) {
        (Some(c), None) => {
            let reading = if below {
                limit(bench, "silver_mg_per_l", c)?
            } else {
                bench.take("silver_mg_per_l", c, spread)?
            };
            (reading.times(&factor).scaled(0.001), bench.volume()?)
        }
        (None, Some(w)) => {
            let reading = if below {
                limit(bench, "silver_percent", w)?
            } else {
                bench.take("silver_percent", w, spread)?
            };
            (reading.times(&factor).scaled(0.01), bench.mass_g()?)
        }
        (Some(_), Some(_)) => {
            return Err(Fault::new(
                FaultKind::Conflict,
                bench.pointer("silver_percent"),
                "both a concentration and a share by mass: expected one of them",
            ));
        }
        (None, None) => {
            return Err(Fault::missing(
                bench.pointer("silver_mg_per_l"),
                "silver_mg_per_l, or silver_percent for a solid",
            ));
        }
    };
    if below {
        return Ok(Finding::Bounds {
            lower: 0.0,
            upper: Some(content.value()),
            scale: amount,
        });
    }
    Ok(Finding::Point(content.times(&amount)))
}

/// A limit of detection, which is more than nothing.
fn limit<U: Unit>(bench: &Bench<'_>, field: &str, of: &Measured<U>) -> Result<Uncertain, Fault> {
    if of.as_f64() <= 0.0 {
        return Err(Fault::out_of_range(
            bench.pointer(field),
            write_decimal(of.decimal()),
            &format!(
                "the laboratory's limit of detection, more than 0 {}",
                U::SYMBOL
            ),
        ));
    }
    Ok(Uncertain::exact(of.as_f64()))
}
