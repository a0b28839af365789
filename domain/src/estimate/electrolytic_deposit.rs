//! Silver plated out, by Faraday's law.

use super::bench::{Bench, Spread};
use super::evidence::ElectrolyticDeposit;
use super::finding::Finding;
use crate::chemistry::constants::SILVER_G_PER_AMPERE_HOUR;
use crate::chemistry::faraday::FARADAY;
use crate::fault::Fault;

pub(super) fn estimate(bench: &mut Bench<'_>, e: &ElectrolyticDeposit) -> Result<Finding, Fault> {
    let about = bench.about.clone();
    bench.notes.method(&about, FARADAY);
    let current = bench.take("current_a", &e.current_a, Spread::Relative(3.0))?;
    let time = bench.take("time_h", &e.time_h, Spread::Relative(1.0))?;
    let efficiency = match &e.current_efficiency_percent {
        Some(share) => bench.take("current_efficiency_percent", share, Spread::Absolute(5.0))?,
        None => bench.default(
            "current_efficiency_percent",
            80.0,
            Spread::HalfWidth(20.0),
            "common_practice",
            "Current efficiency not stated: taken as anything from 60 to 100 %; it falls as the silver falls (from memory, unverified; published runs read 84 to 100 %).",
        )?,
    };
    Ok(Finding::Removed(
        current
            .times(&time)
            .times(&efficiency)
            .scaled(0.01 * SILVER_G_PER_AMPERE_HOUR),
    ))
}
