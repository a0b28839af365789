//! A solid on the scale.

use super::bench::{Bench, Spread};
use super::evidence::{SilverCompound, WeighedSolid};
use super::finding::Finding;
use crate::answer::Method;
use crate::chemistry::constants::{
    SILVER, SILVER_BROMIDE, SILVER_CHLORIDE, SILVER_IODIDE, SILVER_OXIDE, SILVER_SULFIDE,
};
use crate::fault::{Fault, FaultKind};

pub(super) const WEIGHED_SOLID: Method = Method {
    name: "weighed_solid",
    formula: "m(Ag) = m wet x (1 - moisture) x w(Ag dry), or x purity x silver in the compound",
    source: "iupac_atomic_weights",
};

/// Silver by mass in a compound: n M(Ag) / M.
fn silver_in(compound: SilverCompound) -> f64 {
    match compound {
        SilverCompound::SilverChloride => SILVER / SILVER_CHLORIDE,
        SilverCompound::SilverSulfide => 2.0 * SILVER / SILVER_SULFIDE,
        SilverCompound::SilverBromide => SILVER / SILVER_BROMIDE,
        SilverCompound::SilverIodide => SILVER / SILVER_IODIDE,
        SilverCompound::SilverOxide => 2.0 * SILVER / SILVER_OXIDE,
        SilverCompound::Silver => 1.0,
    }
}

pub(super) fn estimate(bench: &mut Bench<'_>, e: &WeighedSolid) -> Result<Finding, Fault> {
    let about = bench.about.clone();
    bench.notes.method(&about, WEIGHED_SOLID);
    let wet = bench.weigh("wet_mass_g", &e.wet_mass_g, e.scale_resolution_g)?;
    let moisture = match &e.moisture_percent {
        Some(m) => bench.take("moisture_percent", m, Spread::Absolute(2.0))?,
        None => bench.default(
            "moisture_percent",
            30.0,
            Spread::HalfWidth(30.0),
            "common_practice",
            "Moisture not stated: taken as anything from 0 to 60 % (common practice, no source). Dry a spoonful and weigh it to know.",
        )?,
    };
    let dry = wet.times(&moisture.mapped(1.0 - moisture.value() / 100.0, -0.01));
    let silver = match (&e.silver_percent_dry, e.compound) {
        (Some(_), Some(_)) => {
            return Err(Fault::new(
                FaultKind::Conflict,
                bench.pointer("compound"),
                "both an assay and a compound: expected silver_percent_dry, or compound with purity_percent",
            ));
        }
        (Some(share), None) => {
            if e.purity_percent.is_some() {
                return Err(Fault::new(
                    FaultKind::Conflict,
                    bench.pointer("purity_percent"),
                    "a purity beside an assay says nothing: expected purity_percent only with compound",
                ));
            }
            dry.times(&bench.take("silver_percent_dry", share, Spread::Relative(5.0))?)
                .scaled(0.01)
        }
        (None, Some(compound)) => {
            let purity = match &e.purity_percent {
                Some(p) => bench.take("purity_percent", p, Spread::Absolute(2.0))?,
                None => bench.default(
                    "purity_percent",
                    95.0,
                    Spread::HalfWidth(5.0),
                    "common_practice",
                    "Purity not stated: a well washed precipitate taken as 90 to 100 % (common practice, no source).",
                )?,
            };
            dry.times(&purity).scaled(0.01 * silver_in(compound))
        }
        (None, None) => {
            return Err(Fault::missing(
                bench.pointer("silver_percent_dry"),
                "silver_percent_dry, or compound with purity_percent",
            ));
        }
    };
    Ok(Finding::Point(silver))
}
