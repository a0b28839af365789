//! Papers as PDF: processor time of a label and of a record, warm, beside a Python library that
//! makes PDF from HTML (the PyPI package `weasyprint`; `PYTHON` names the interpreter, default
//! `python3`) on the HTML of the same papers; what the first PDF costs; and the memory that thousands
//! of them leave.
//!
//! Each paper is of another container, with another amount in it: what they have in common is what the
//! papers of a studio have in common.
#![expect(clippy::print_stdout, reason = "a bench prints what it found")]
#![expect(
    clippy::unwrap_used,
    reason = "a bench that fails has nothing to print"
)]

use serde_json::Value;
use spent_silver::render::{html, pdf};
use spent_silver_domain::document::{Document, DocumentRequest, draw_up_document};
use std::path::PathBuf;
use std::process::Command;
use std::time::Instant;

const LABEL: &str = include_str!("../../demo/document-container-label.json");
const RECORD: &str = include_str!("../../demo/document-classification-record.json");

/// The paper of the request, for a container of another name with another amount in it.
fn drawn(request: &str, member: &str, number: usize) -> Document {
    let mut request: Value = serde_json::from_str(request).unwrap();
    let batch = &mut request["document"][member]["batch"];
    batch["id"] = format!("jug-{number}").into();
    let litres = batch["volume_l"].as_str().unwrap();
    let point = if litres.contains('.') { "" } else { "." };
    batch["volume_l"] = format!("{litres}{point}{:03}", number % 1_000).into();
    let request: DocumentRequest = serde_json::from_str(&request.to_string()).unwrap();
    draw_up_document(&request).unwrap().result.document
}

/// Nanoseconds that this thread had a processor for; without them, of the clock.
fn on_processor(since: Instant) -> u128 {
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|s| s.split_whitespace().next()?.parse().ok())
        .unwrap_or_else(|| since.elapsed().as_nanos())
}

/// Papers that are timed together: a thread's time is told in steps of some milliseconds.
const TOGETHER: usize = 20;

/// Median milliseconds of a processor that one paper takes, from the tree to the PDF.
fn median(papers: &[Document], since: Instant) -> f64 {
    let mut times: Vec<f64> = papers
        .chunks(TOGETHER)
        .map(|papers| {
            let started = on_processor(since);
            for paper in papers {
                pdf::document(paper).unwrap();
            }
            #[expect(clippy::cast_precision_loss, reason = "milliseconds to three digits")]
            let taken = on_processor(since).saturating_sub(started) as f64;
            #[expect(clippy::cast_precision_loss, reason = "a number of papers")]
            let each = taken / papers.len() as f64;
            each / 1e6
        })
        .collect();
    times.sort_unstable_by(f64::total_cmp);
    times.get(times.len() / 2).copied().unwrap_or(f64::NAN)
}

fn resident_mib() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|l| l.starts_with("VmRSS:"));
    let kib = line.and_then(|l| l.split_whitespace().nth(1)?.parse::<f64>().ok());
    kib.map_or(f64::NAN, |kib| kib / 1024.0)
}

/// Milliseconds that the Python library takes for each page; none where it is not there.
fn python(pages: &[String]) -> Option<Vec<f64>> {
    let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let files: Vec<PathBuf> = (0..pages.len())
        .map(|i| std::env::temp_dir().join(format!("paper-{}-{i}.html", std::process::id())))
        .collect();
    for (file, page) in files.iter().zip(pages) {
        std::fs::write(file, page).unwrap();
    }
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/documents.py");
    let done = Command::new(python).arg(script).args(&files).output();
    for file in &files {
        let _ = std::fs::remove_file(file);
    }
    let done = done.ok().filter(|d| d.status.success())?;
    serde_json::from_slice(&done.stdout).ok()
}

fn main() {
    let full = std::env::args().any(|a| a == "--bench");
    let (runs, many) = if full {
        (11 * TOGETHER, 10_000)
    } else {
        (3, 4)
    };
    let since = Instant::now();
    let label = |n| drawn(LABEL, "container_label", n);
    let record = |n| drawn(RECORD, "classification_record", n);

    let (one, other) = (label(0), record(0));
    let pages = [html::document(&one), html::document(&other)];
    assert!(
        !pdf::press_is_made(),
        "the press stood before the first PDF"
    );
    let before = resident_mib();
    let started = on_processor(since);
    pdf::document(&one).unwrap();
    let first = on_processor(since).saturating_sub(started) / 1_000_000;
    println!(
        "before the first PDF: {before:.1} MiB resident, no press; the first takes {first} ms and leaves {:.1} MiB",
        resident_mib()
    );

    let labels: Vec<Document> = (1..=runs).map(label).collect();
    let records: Vec<Document> = (1..=runs).map(record).collect();
    let ours = [median(&labels, since), median(&records, since)];
    let theirs = python(&pages);
    for (i, name) in ["label", "classification record"].iter().enumerate() {
        let beside = theirs
            .as_ref()
            .and_then(|t| t.get(i))
            .map_or("no weasyprint to compare with".to_owned(), |t| {
                format!("weasyprint {t:.0} ms, {:.1} times as much", t / ours[i])
            });
        println!(
            "{name}: {:.2} ms of a processor, median of {runs}; {beside}",
            ours[i]
        );
    }

    let mut resident = Vec::new();
    for n in 0..many {
        pdf::document(&label(n)).unwrap();
        if (n + 1) % (many / 4) == 0 {
            resident.push(format!("{:.1}", resident_mib()));
        }
    }
    println!(
        "resident after each quarter of {many} labels: {} MiB",
        resident.join(", ")
    );
}
