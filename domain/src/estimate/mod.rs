//! How much silver is in a batch, and how surely: one file per kind of evidence, and their combination.

mod agreement;
mod bench;
mod carry_over;
mod chloride_titration;
mod chloride_weighing;
mod cloud_test;
mod combined;
mod density;
mod electrolytic_deposit;
mod evidence;
mod facts;
mod finding;
mod laboratory_assay;
mod make_up;
mod result;
mod sense;
mod stated;
mod sum;
mod test_strip;
mod throughput;
mod volhard_titration;
mod weighed_solid;

pub(crate) use bench::{
    HOUSEHOLD_SCALE, JUG_MARK, STATED_FIGURE, Spread, bare_text, batch_input, mass_of, volume_of,
};
pub(crate) use density::{ALCOHOL_SHIFT, plain_bath_density};
pub use evidence::{
    CarryOver, ChlorideTitration, ChlorideWeighing, Cloud, CloudTest, Density, ElectrolyticDeposit,
    EndPoint, Evidence, LaboratoryAssay, MakeUp, Plates, Rinse, Sampled, SilverCompound, Stated,
    TestStrip, Throughput, ThroughputItem, VolhardTitration, WeighedSolid,
};
pub use facts::bound_sources;
pub use make_up::mass_dissolved;
pub use result::{Agreement, Estimate, EstimateRequest, EvidenceEstimate, InputShare, Interval};
pub use sum::{SilverSum, silver_together};
pub use throughput::{material_names, material_sources};

use crate::answer::{Answer, Method, Notes};
use crate::batch::Batch;
use crate::fault::{Fault, Faults};
use crate::statistics::Inputs;
use bench::{Bench, pointer};
use combined::Piece;

/// Most pieces of evidence one batch may carry.
pub const MOST_EVIDENCE: usize = 50;

/// Every method of this module.
pub const METHODS: &[Method] = &[
    make_up::MAKE_UP,
    volhard_titration::VOLHARD,
    chloride_titration::CHLORIDE_TITRATION,
    chloride_weighing::CHLORIDE_WEIGHING,
    density::DENSITY,
    density::WATER_DENSITY,
    test_strip::TEST_STRIP,
    cloud_test::CLOUD_TEST,
    laboratory_assay::LABORATORY_ASSAY,
    throughput::THROUGHPUT,
    carry_over::STILL_RINSE,
    carry_over::COUNTER_CURRENT_RINSE,
    weighed_solid::WEIGHED_SOLID,
    crate::chemistry::faraday::FARADAY,
    stated::STATED,
    combined::PROPAGATION,
    combined::COMBINATION,
    combined::BOUNDS,
];

/// Answers how much silver is in a batch, and how surely (`POST /v1/silver-estimates`).
///
/// Each piece of evidence is worked out to first order (JCGM 100:2008, 5.1 and 5.2); several are
/// combined by the inverse of their covariance, or contradict where they lie too far apart; strips
/// and drops only bound.
///
/// # Errors
/// Every fault found in the batch and its evidence; absent evidence is a fault at `/batch/evidence`.
/// What no reading can be is one too: a zero without an uncertainty, a sample larger than the batch,
/// more silver than solid metal of its volume (10490 g/L).
///
/// ```
/// use spent_silver_domain::estimate::{EstimateRequest, estimate_silver};
/// // 1.0 L of a 9 % bath from nitrate of 99.8 %: 90 g x 0.998 x 0.63499 = 57.04 g of silver.
/// let request: EstimateRequest = serde_json::from_str(r#"{"batch": {"id": "bath", "kind": "sensitizing_bath",
///   "evidence": [{"make_up": {"strength_percent_w_v": "9", "made_volume_l": "1.0",
///                             "purity_percent": "99.8"}}]}}"#).unwrap();
/// let answer = estimate_silver(&request).unwrap();
/// assert!((answer.result.figure().unwrap().0 - 57.0353579).abs() < 1e-6);
/// ```
pub fn estimate_silver(request: &EstimateRequest) -> Result<Answer<Estimate>, Faults> {
    let mut notes = Notes::new();
    let estimate = estimate_batch(&request.batch, "/batch", &mut notes)?;
    Ok(notes.answer(estimate, request.rule_set.map(|r| r.rules())))
}

/// Estimates the silver in one batch; `at` is the batch's own place in the request, for faults.
///
/// # Errors
/// Every fault found in the batch and its evidence.
pub fn estimate_batch(batch: &Batch, at: &str, notes: &mut Notes) -> Result<Estimate, Faults> {
    let mut faults = batch.faults(at);
    let list = pointer(&[at, "evidence"]);
    if batch.evidence.is_empty() {
        faults.push(Fault::missing(
            list.clone(),
            "at least one reading or record of the silver",
        ));
    }
    Faults::none_of(faults)?;

    let mut inputs = Inputs::default();
    let mut pieces = Vec::with_capacity(batch.evidence.len());
    let mut faults = Vec::new();
    for (i, evidence) in batch.evidence.iter().enumerate() {
        let around = evidence.circumstances();
        let index = i.to_string();
        let mut bench = Bench {
            inputs: &mut inputs,
            notes,
            batch,
            batch_at: at,
            at: pointer(&[&list, &index, evidence.kind()]),
            about: pointer(&["/by_evidence", &index]),
            shares: around.shares,
            of_sludge: around.sampled == Some(Sampled::Sludge),
            used: Vec::with_capacity(12),
            zero: None,
        };
        match work_out(&mut bench, evidence) {
            Ok(finding) => {
                faults.extend(unknown_shares(&bench));
                pieces.push(Piece::new(evidence, finding));
            }
            Err(fault) => faults.push(fault),
        }
    }
    Faults::none_of(faults)?;
    let volume = volume_of(batch, at, &mut inputs, notes)?;
    combined::combine_pieces(&pieces, volume.as_ref(), &inputs, &list, notes)
}

/// What one piece of evidence says by itself: silver in grams with its standard uncertainty; `None`
/// where it only bounds. `at` is the place of its members in the request; `batch_at` that of the batch.
///
/// # Errors
/// Everything that is wrong with this piece of evidence.
pub(crate) fn reading_of(
    batch: &Batch,
    batch_at: &str,
    evidence: &Evidence,
    at: &str,
    notes: &mut Notes,
) -> Result<Option<(f64, f64)>, Faults> {
    let mut inputs = Inputs::default();
    let around = evidence.circumstances();
    let mut bench = Bench {
        inputs: &mut inputs,
        notes,
        batch,
        batch_at,
        at: at.to_owned(),
        about: String::new(),
        shares: around.shares,
        of_sludge: around.sampled == Some(Sampled::Sludge),
        used: Vec::new(),
        zero: None,
    };
    let finding = work_out(&mut bench, evidence)?;
    Faults::none_of(unknown_shares(&bench))?;
    Ok(match finding {
        finding::Finding::Point(silver) => Some((silver.value(), silver.standard_uncertainty())),
        finding::Finding::Bounds { .. } | finding::Finding::Removed(_) => None,
    })
}

/// Silver that plates took out of a bath: the loss side of a make-up record, whose other members do
/// not count. `at` is the record's own place in the request.
///
/// # Errors
/// Neither plates nor an area, or both.
pub(crate) fn taken_by_plates(
    batch: &Batch,
    record: &MakeUp,
    at: &str,
    notes: &mut Notes,
) -> Result<(f64, f64), Fault> {
    let mut inputs = Inputs::default();
    let mut bench = Bench {
        inputs: &mut inputs,
        notes,
        batch,
        batch_at: at,
        at: at.to_owned(),
        about: String::new(),
        shares: &[],
        of_sludge: false,
        used: Vec::new(),
        zero: None,
    };
    let silver = make_up::silver_lost(&mut bench, record)?;
    Ok((silver.value(), silver.standard_uncertainty()))
}

fn work_out(bench: &mut Bench<'_>, evidence: &Evidence) -> Result<finding::Finding, Fault> {
    let finding = match evidence {
        Evidence::MakeUp(e) => make_up::estimate(bench, e),
        Evidence::VolhardTitration(e) => volhard_titration::estimate(bench, e),
        Evidence::ChlorideTitration(e) => chloride_titration::estimate(bench, e),
        Evidence::ChlorideWeighing(e) => chloride_weighing::estimate(bench, e),
        Evidence::Density(e) => density::estimate(bench, e),
        Evidence::TestStrip(e) => test_strip::estimate(bench, e),
        Evidence::CloudTest(e) => cloud_test::estimate(bench, e),
        Evidence::LaboratoryAssay(e) => laboratory_assay::estimate(bench, e),
        Evidence::Throughput(e) => throughput::estimate(bench, e),
        Evidence::CarryOver(e) => carry_over::estimate(bench, e),
        Evidence::WeighedSolid(e) => weighed_solid::estimate(bench, e),
        Evidence::ElectrolyticDeposit(e) => electrolytic_deposit::estimate(bench, e),
        Evidence::Stated(e) => stated::estimate(bench, e),
    }?;
    sense::believable(bench, evidence, finding)
}

/// A name under `shares` that this evidence does not use would be ignored silently: it is a fault.
fn unknown_shares(bench: &Bench<'_>) -> Vec<Fault> {
    bench
        .shares
        .iter()
        .enumerate()
        .filter(|(_, s)| !bench.used.iter().any(|u| u == s.as_str()))
        .map(|(i, s)| {
            Fault::new(
                crate::fault::FaultKind::Unknown,
                bench.pointer(&format!("shares/{i}")),
                format!(
                    "`{s}` is not an input of this evidence: expected one of {}",
                    bench.used.join(", ")
                ),
            )
        })
        .collect()
}
