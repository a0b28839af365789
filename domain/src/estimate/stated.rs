//! A figure from elsewhere.

use super::bench::{Bench, STATED_FIGURE};
use super::evidence::Stated;
use super::finding::Finding;
use crate::answer::Method;
use crate::fault::Fault;

pub(super) const STATED: Method = Method {
    name: "stated",
    formula: "m(Ag) as stated",
    source: "house_rule",
};

pub(super) fn estimate(bench: &mut Bench<'_>, e: &Stated) -> Result<Finding, Fault> {
    let about = bench.about.clone();
    bench.notes.method(&about, STATED);
    Ok(Finding::Point(bench.take(
        "silver_g",
        &e.silver_g,
        STATED_FIGURE,
    )?))
}
