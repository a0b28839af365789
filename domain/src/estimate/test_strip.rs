//! A silver test strip: it bounds, and never points.

use super::bench::Bench;
use super::evidence::TestStrip;
use super::finding::Finding;
use crate::answer::{Method, Severity};
use crate::batch::BatchKind;
use crate::fault::{Fault, FaultKind};

pub(super) const TEST_STRIP: Method = Method {
    name: "test_strip",
    formula: "c(Ag) lies between two neighbouring colours of the scale; bounds x V batch",
    source: "common_practice",
};

/// An expired strip is trusted to a factor of two each way: common practice, no source.
const EXPIRED_FACTOR: f64 = 2.0;

pub(super) fn estimate(bench: &mut Bench<'_>, e: &TestStrip) -> Result<Finding, Fault> {
    if !matches!(bench.batch.kind, BatchKind::Fixer | BatchKind::BleachFix) {
        return Err(bench.refuse(
            bench.batch.kind.words(),
            "the strips are made for thiosulfate fixer only",
        ));
    }
    if bench.batch.counts_as_cyanide() {
        return Err(bench.refuse(
            "a fixer that counts as cyanide",
            "the strips are made for thiosulfate fixer. State sodium_thiosulfate or ammonium_thiosulfate in the composition if that is what it is",
        ));
    }
    let about = bench.about.clone();
    bench.notes.method(&about, TEST_STRIP);
    let mut lower = e.at_least_g_per_l.as_f64();
    let mut upper = e.below_g_per_l.as_ref().map(|u| u.as_f64());
    if let Some(upper) = upper
        && upper <= lower
    {
        return Err(Fault::new(
            FaultKind::Conflict,
            bench.pointer("below_g_per_l"),
            format!(
                "{upper} g/L is not above at_least_g_per_l: expected the next colour of the scale"
            ),
        ));
    }
    if e.strip_expired == Some(true) {
        bench.notes.warn(
            &about,
            Severity::Note,
            "The strip is past its date: its colours are trusted to a factor of two each way.",
        );
        lower /= EXPIRED_FACTOR;
        upper = upper.map(|u| u * EXPIRED_FACTOR);
    }
    bench.notes.warn(
        &about,
        Severity::Note,
        "A strip is approximate and can never show silver below 5 mg/L.",
    );
    let scale = bench.volume()?;
    Ok(Finding::Bounds {
        lower,
        upper,
        scale,
    })
}
