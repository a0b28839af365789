//! Papers: a typed tree, and one builder per document.
//!
//! A builder decides what a paper says; how it looks is left to the renderers.

mod accounts;
mod bench;
mod carriage;
mod chart;
mod classified;
mod facts;
mod figures;
mod findings;
mod form;
mod label;
mod money_chart;
mod pictogram;
mod plan_chart;
mod record;
mod request;
mod seal;
mod sheets;
mod tree;
mod worksheet;

pub use chart::{Axis, Chart, ChartPoint, Curve, Mark, Scale};
pub use facts::document_sources;
pub use figures::{
    amount_in_words, component_amount, figure, interval_in_words, reading, silver_in_words,
};
pub use label::{Desk, container_label, content_in_words};
pub use money_chart::{budget_chart, worth_by_price_chart, worth_by_silver_chart};
pub use pictogram::{Pictogram, pictograms_of};
pub use plan_chart::{dose_chart, ph_chart};
pub use record::waste_record;
pub use request::{
    AccumulationLog, BenchProcedure, BenchWorksheet, ClassificationRecord, ContainerLabel,
    ContainersSheet, DocumentRequest, MOST_CODES, MOST_CONTAINERS, MOST_LINES, Paper, PaperAnswer,
    Pour, PreciousMetalAccount, SampleSheet, SettlementSheet, SilverMovement, StudioDetails,
    TravelSheet, WasteRecord,
};
pub use tree::{
    Align, Block, Column, Document, DocumentKind, FieldLine, PaperSize, Section, StepLine,
};
pub use worksheet::{Procedure, step_line, worksheet};

use crate::answer::{Answer, Assumption, Notes, Severity};
use crate::batch::Batch;
use crate::bibliography::{SourceStatus, reference};
use crate::estimate::{Estimate, estimate_batch};
use crate::fault::Faults;
use crate::quantity::UNITS;
use crate::waste::classification::{Classification, Site, classify_batch};
use crate::waste::rule_set::RuleSet;

/// Answers `POST /v1/documents`.
///
/// # Errors
/// Every fault found in the batch, its evidence and the paper's own members.
pub fn draw_up_document(request: &DocumentRequest) -> Result<Answer<PaperAnswer>, Faults> {
    let mut notes = Notes::new();
    let rules = request.rule_set.map(|r| r.rules());
    let desk = Desk {
        on: request.on,
        studio: request.studio.as_ref(),
        rules: rules.unwrap_or_else(RuleSet::unspecified),
        paper_size: request.paper_size.unwrap_or(PaperSize::A4),
    };
    let (document, estimate) = drawn(&request.document, desk, &mut notes)?;
    if request.paper_size.is_none() && document.paper_size != PaperSize::A6 {
        notes.assume(
            "/document/paper_size",
            "/paper_size",
            "house_rule",
            "No sheet was named: it is set for A4.",
        );
    }
    let mut answer = notes.answer(PaperAnswer { document, estimate }, rules);
    let qualified = qualifications(&answer);
    let document = &mut answer.result.document;
    // Whoever works through a sheet reads what to beware of before the first step.
    let first = document.sections.iter().position(|s| s.heading.is_some());
    let place = match (document.kind, first) {
        (DocumentKind::Worksheet, Some(first)) => first,
        _ => document.sections.len(),
    };
    document.sections.splice(place..place, qualified);
    *document = document.clone().sealed();
    Ok(answer)
}

/// Draws up the paper, with the estimate that it prints where it is about one container.
fn drawn(
    paper: &Paper,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Result<(Document, Option<Estimate>), Faults> {
    let member = serde_json::to_value(paper).ok();
    let member = member.as_ref().and_then(|v| v.as_object()?.keys().next());
    let at = format!("/document/{}", member.map_or("", String::as_str));
    let at = at.as_str();
    let place = format!("{at}/batch");
    let estimate = match paper {
        Paper::ContainerLabel(of) => known_silver(&of.batch, &place, notes)?,
        Paper::WasteRecord(of) => known_silver(&of.batch, &place, notes)?,
        Paper::Worksheet(of) => known_silver(&of.batch, &place, notes)?,
        Paper::ClassificationRecord(of) => known_silver(&of.batch, &place, notes)?,
        Paper::LaboratorySampleSheet(of) => known_silver(&of.batch, &place, notes)?,
        _ => None,
    };
    let silver = estimate.as_ref();
    let document = notes.within("/document", |notes| match paper {
        Paper::ContainerLabel(of) => Ok(container_label(of, silver, at, desk, notes)),
        Paper::WasteRecord(of) => {
            let found = classified(of, silver, at, desk, notes)?;
            waste_record(of, silver, found.as_ref(), at, desk, notes)
        }
        Paper::Worksheet(of) => bench::bench_worksheet(of, silver, at, desk, notes),
        Paper::ClassificationRecord(of) => {
            classified::classification_record(of, silver, at, desk, notes)
        }
        Paper::RecoveryShipmentSheet(of) => {
            sheets::travel(DocumentKind::RecoveryShipmentSheet, of, at, desk, notes)
        }
        Paper::CollectionChecklist(of) => {
            sheets::travel(DocumentKind::CollectionChecklist, of, at, desk, notes)
        }
        Paper::LaboratorySampleSheet(of) => Ok(sheets::sample(of, silver, at, desk, notes)),
        Paper::AccumulationLog(of) => accounts::accumulation(of, at, desk, notes),
        Paper::InspectionLog(of) => {
            sheets::standing(DocumentKind::InspectionLog, of, at, desk, notes)
        }
        Paper::SettlementSheet(of) => accounts::settlement(of, at, desk, notes),
        Paper::PreciousMetalAccount(of) => accounts::account(of, at, desk, notes),
        Paper::SpillRecord(of) => sheets::standing(DocumentKind::SpillRecord, of, at, desk, notes),
        Paper::EmergencyPosting(of) => {
            sheets::standing(DocumentKind::EmergencyPosting, of, at, desk, notes)
        }
        Paper::WallSheet(of) => sheets::standing(DocumentKind::WallSheet, of, at, desk, notes),
    })?;
    Ok((document, estimate))
}

/// Checks the batch and works out its silver, where it carries evidence.
fn known_silver(batch: &Batch, at: &str, notes: &mut Notes) -> Result<Option<Estimate>, Faults> {
    Faults::none_of(batch.faults(at))?;
    if batch.evidence.is_empty() {
        return Ok(None);
    }
    notes
        .within("/estimate", |notes| estimate_batch(batch, at, notes))
        .map(Some)
}

/// What the rules say of a waste whose record came with neither codes nor reasons, where any rules
/// were named. Clocks and duties belong to the record of the classification.
fn classified(
    record: &WasteRecord,
    estimate: Option<&Estimate>,
    at: &str,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Result<Option<Classification>, Faults> {
    if !record.waste_codes.is_empty() || !record.reasons.is_empty() || desk.rules.is_silent() {
        return Ok(None);
    }
    let site = Site::of_nobody(desk.rules, desk.on);
    let place = format!("{at}/batch");
    notes
        .as_a_whole(|notes| classify_batch(&record.batch, estimate, &site, &place, notes))
        .map(Some)
}

/// What qualifies the answer goes on the paper too: warnings on every paper that does not have them
/// already; on a record, which outlives the answer, also what was assumed and where the figures come
/// from.
fn qualifications(answer: &Answer<PaperAnswer>) -> Vec<Section> {
    let mut sections = Vec::new();
    let said = |text: &String| {
        let mut warnings = answer.result.document.warnings();
        warnings.any(|(_, _, lines)| lines.contains(text))
    };
    for (severity, signal) in [
        (Severity::Danger, "Danger"),
        (Severity::Caution, "Take care"),
        (Severity::Note, "Note"),
    ] {
        let lines: Vec<String> = answer
            .warnings
            .iter()
            .filter(|w| w.severity == severity && !said(&w.text))
            .map(|w| w.text.clone())
            .collect();
        if !lines.is_empty() {
            sections.push(Section::plain(vec![Block::warning(
                severity, signal, lines,
            )]));
        }
    }
    if !matches!(
        answer.result.document.kind,
        DocumentKind::WasteRecord | DocumentKind::ClassificationRecord
    ) {
        return sections;
    }
    // The sheet it is set for says nothing of the waste: it stands in the answer alone.
    let assumed: Vec<String> = answer
        .assumptions
        .iter()
        .filter(|a| a.field != "/paper_size")
        .map(assumption_in_words)
        .collect();
    if !assumed.is_empty() {
        sections.push(Section::headed(
            "What was assumed",
            vec![Block::Points { points: assumed }],
        ));
    }
    let sources: Vec<String> = answer
        .references
        .iter()
        .filter_map(|key| reference(key))
        .filter(|r| r.status != SourceStatus::CommonPractice)
        .map(|r| format!("{} ({})", r.citation, r.status.words()))
        .collect();
    if !sources.is_empty() {
        sections.push(Section::headed(
            "Where this comes from",
            vec![Block::Points { points: sources }],
        ));
    }
    sections
}

/// An assumption with the name of the member that would replace it, so that its reader knows what
/// is meant.
fn assumption_in_words(of: &Assumption) -> String {
    let names: Vec<String> = of
        .field
        .split('/')
        .filter(|part| !part.is_empty() && part.parse::<usize>().is_err())
        .map(|part| without_unit(part).replace('_', " "))
        .collect();
    let name = match names.as_slice() {
        [.., above, name] if above != "batch" && above != "waste record" => {
            format!("{above}, {name}")
        }
        [.., name] => name.clone(),
        [] => return of.text.clone().into_owned(),
    };
    format!("{name}: {}", of.text)
}

/// A text with the members of a request that it names in words, such as "other hazardous waste"; a name
/// in backticks is somebody's own.
fn members_in_words(text: &str) -> String {
    let in_words = |word: &str| {
        let name = word.trim_end_matches(['.', ',', ';', ':']);
        if !name.contains('_') || name.contains('`') {
            return word.to_owned();
        }
        let after = word.strip_prefix(name).unwrap_or_default();
        format!("{}{after}", without_unit(name).replace('_', " "))
    };
    let words: Vec<String> = text.split(' ').map(in_words).collect();
    words.join(" ")
}

/// A member's name without the unit it ends in.
fn without_unit(name: &str) -> &str {
    UNITS
        .iter()
        .filter_map(|unit| name.strip_suffix(unit.suffix)?.strip_suffix('_'))
        .min_by_key(|rest| rest.len())
        .unwrap_or(name)
}
