//! How long the pure calculations take, from request text to answer text.

#![expect(
    clippy::expect_used,
    reason = "a bench without its request has nothing to measure"
)]

use criterion::{Criterion, criterion_group, criterion_main};
use serde::Serialize;
use serde::de::DeserializeOwned;
use spent_silver_domain::answer::Answer;
use spent_silver_domain::estimate::estimate_silver;
use spent_silver_domain::fault::Faults;
use spent_silver_domain::recovery::plan_recovery;
use spent_silver_domain::report::{ReportRequest, report_studio};
use std::hint::black_box;

/// The heap that the service has.
#[global_allocator]
static HEAP: mimalloc::MiMalloc = mimalloc::MiMalloc;

const ONE_TITRATION: &str = r#"{"batch": {"id": "bath-1", "kind": "sensitizing_bath", "volume_l": {"value": "1.9", "standard_uncertainty": "0.03"},
 "evidence": [{"volhard_titration": {"sample_ml": {"value": "5", "plus_minus": "0.03"}, "diluted_to_ml": "100", "aliquot_ml": "25",
 "thiocyanate_mol_per_l": "0.1", "titre_ml": "6.62", "blank_ml": "0.02"}}]}, "rule_set": "us-federal"}"#;

const THREE_READINGS: &str = r#"{"batch": {"id": "bath-1", "kind": "sensitizing_bath", "volume_l": {"value": "1.9", "standard_uncertainty": "0.03"},
 "evidence": [{"volhard_titration": {"sample_ml": {"value": "5", "plus_minus": "0.03"}, "diluted_to_ml": "100", "aliquot_ml": "25",
 "thiocyanate_mol_per_l": "0.1", "titre_ml": "6.62", "blank_ml": "0.02"}},
 {"density": {"density_g_per_ml": "1.0745", "temperature_c": "20", "ethanol_percent_v_v": "3"}},
 {"chloride_weighing": {"sample_ml": "25", "dry_silver_chloride_g": "1.9"}}]}, "rule_set": "us-federal"}"#;

const A_STRIP: &str = r#"{"batch": {"id": "fix-1", "kind": "fixer", "volume_l": "18",
 "evidence": [{"test_strip": {"at_least_g_per_l": "3", "below_g_per_l": "5"}},
 {"throughput": {"items": [{"material": "black_and_white_film", "area_m2": "12"}]}}]}}"#;

const A_PLAN: &str = r#"{"batch": {"id": "bath-1", "kind": "sensitizing_bath", "volume_l": "1.9", "ph": "4",
 "evidence": [{"stated": {"silver_g": {"value": "103", "standard_uncertainty": "2"}, "source": "the silver book"}}]},
 "processes": ["chloride_precipitation"], "curves": true, "rule_set": "us-federal"}"#;

fn answer<Req: DeserializeOwned, Res: Serialize>(
    text: &str,
    run: fn(&Req) -> Result<Answer<Res>, Faults>,
) -> usize {
    let request: Req = serde_json::from_str(text).expect("a request");
    let answer = run(&request).expect("an answer");
    serde_json::to_vec(&answer)
        .expect("an answer as text")
        .len()
}

fn estimates(c: &mut Criterion) {
    let mut group = c.benchmark_group("silver-estimates");
    for (name, text) in [
        ("one titration", ONE_TITRATION),
        ("three readings", THREE_READINGS),
        ("a strip and a record", A_STRIP),
    ] {
        group.bench_function(name, |b| {
            b.iter(|| answer(black_box(text), estimate_silver))
        });
    }
    group.finish();
}

/// The whole job for the demo studio: the calculation alone, without reading or writing JSON.
fn report(c: &mut Criterion) {
    let request: ReportRequest =
        serde_json::from_str(include_str!("../../demo/studio.json")).expect("a studio");
    let mut group = c.benchmark_group("reports");
    group.bench_function("the demo studio, compute only", |b| {
        b.iter(|| report_studio(black_box(&request)).expect("a report"))
    });
    group.finish();
}

fn plans(c: &mut Criterion) {
    c.benchmark_group("recovery-plans")
        .bench_function("salt with its dose curve", |b| {
            b.iter(|| answer(black_box(A_PLAN), plan_recovery));
        });
}

/// The same with every dose curve.
fn curves(c: &mut Criterion) {
    let mut request: ReportRequest =
        serde_json::from_str(include_str!("../../demo/studio.json")).expect("a studio");
    request.curves = Some(true);
    c.benchmark_group("reports")
        .bench_function("the demo studio with all curves, compute only", |b| {
            b.iter(|| report_studio(black_box(&request)).expect("a report"))
        });
}

criterion_group!(benches, estimates, report, curves, plans);
criterion_main!(benches);
