//! A drop of salt water in a clear sample.

use super::bench::Bench;
use super::evidence::{Cloud, CloudTest};
use super::finding::Finding;
use crate::answer::{Method, Severity};
use crate::fault::Fault;

pub(super) const CLOUD_TEST: Method = Method {
    name: "cloud_test",
    formula: "clear: below 0.02 g/L; haze: 0.003 to 0.1; cloud: 0.05 to 2; curd: 1 g/L or more; bounds x V batch",
    source: "common_practice",
};

/// Bounds in g/L. Wide on purpose: what an eye calls haze depends on the light. Common practice, no source.
const fn bounds(appearance: Cloud) -> (f64, Option<f64>) {
    match appearance {
        Cloud::Clear => (0.0, Some(0.02)),
        Cloud::Haze => (0.003, Some(0.1)),
        Cloud::Cloud => (0.05, Some(2.0)),
        Cloud::Curd => (1.0, None),
    }
}

pub(super) fn estimate(bench: &mut Bench<'_>, e: &CloudTest) -> Result<Finding, Fault> {
    if bench.batch.counts_as_cyanide() {
        return Err(bench.refuse(
            "a cyanide liquid",
            "cyanide holds the silver: a clear drop would mean nothing",
        ));
    }
    if bench.batch.holds_thiosulfate() {
        return Err(bench.refuse(
            "a thiosulfate liquid",
            "thiosulfate holds the silver: a clear drop would mean nothing",
        ));
    }
    if bench.batch.is_ammoniacal_silver() {
        return Err(bench.refuse(
            "ammoniacal silver",
            "ammonia holds the silver: a clear drop would mean nothing",
        ));
    }
    let about = bench.about.clone();
    bench.notes.method(&about, CLOUD_TEST);
    bench.notes.warn(
        &about,
        Severity::Note,
        "A clear drop does not show silver below 5 mg/L: only a laboratory can.",
    );
    let (lower, upper) = bounds(e.appearance);
    let scale = bench.volume()?;
    Ok(Finding::Bounds {
        lower,
        upper,
        scale,
    })
}
