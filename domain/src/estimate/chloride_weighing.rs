//! Silver chloride from a sample, dried and weighed: for a person with only a scale.

use super::bench::{Bench, Spread};
use super::evidence::ChlorideWeighing;
use super::finding::Finding;
use super::sense::drawn_from;
use crate::answer::Method;
use crate::chemistry::constants::SILVER_IN_CHLORIDE;
use crate::fault::Fault;

pub(super) const CHLORIDE_WEIGHING: Method = Method {
    name: "chloride_weighing",
    formula: "c(Ag) = m(AgCl) x M(Ag)/M(AgCl) / V sample; m(Ag) = c x V batch",
    source: "openstax_chemistry_2e",
};

pub(super) fn estimate(bench: &mut Bench<'_>, e: &ChlorideWeighing) -> Result<Finding, Fault> {
    if bench.batch.counts_as_cyanide() {
        return Err(bench.refuse(
            "a cyanide liquid",
            "cyanide holds the silver, so salt throws nothing down",
        ));
    }
    if bench.batch.holds_thiosulfate() {
        return Err(bench.refuse(
            "a thiosulfate liquid",
            "thiosulfate dissolves silver chloride, so salt throws nothing down",
        ));
    }
    if bench.batch.is_ammoniacal_silver() {
        return Err(bench.refuse(
            "ammoniacal silver",
            "ammonia dissolves silver chloride, and nothing of it is ever dried",
        ));
    }
    let about = bench.about.clone();
    bench.notes.method(&about, CHLORIDE_WEIGHING);
    drawn_from(bench, "sample_ml", &e.sample_ml)?;
    let sample = bench.positive("sample_ml", &e.sample_ml, Spread::Relative(1.0))?;
    let chloride = bench.weigh(
        "dry_silver_chloride_g",
        &e.dry_silver_chloride_g,
        e.scale_resolution_g,
    )?;
    let concentration = chloride.over(&sample).scaled(1000.0 * SILVER_IN_CHLORIDE);
    let volume = bench.volume()?;
    Ok(Finding::Point(concentration.times(&volume)))
}
