//! The record of a waste.

use super::figures;
use super::findings;
use super::label::{
    Desk, composition, content_in_words, dangers, lower_first, ph_in_words, studio_fields,
    vessel_fields,
};
use super::request::{MOST_CODES, WasteRecord};
use super::tree::{Block, Column, Document, DocumentKind, FieldLine, Section};
use crate::answer::Notes;
use crate::batch::Batch;
use crate::bibliography::reference;
use crate::estimate::{Agreement, Estimate};
use crate::fault::{Fault, FaultKind, Faults, at_most};
use crate::quantity::{rounded_with_uncertainty, write_significant};
use crate::waste::classification::{Classification, HazardCode, Site, classify_batch};
use crate::waste::contents::bears_silver;
use crate::waste::rule_set::{RuleSet, When};
use crate::waste::storage::container_findings;

/// Draws up the record of a waste: what, how much, since when, the silver with how sure it is,
/// what it is in law, where it goes, who signs, and how long it is kept. `found` is what the rules
/// say of it, for a record that came with neither codes nor reasons.
///
/// # Errors
/// Too many codes or reasons, or a day of leaving before the day it became waste.
pub fn waste_record(
    record: &WasteRecord,
    estimate: Option<&Estimate>,
    found: Option<&Classification>,
    at: &str,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Result<Document, Faults> {
    let batch = &record.batch;
    let mut faults = Vec::new();
    faults.extend(
        at_most(
            format!("{at}/waste_codes"),
            record.waste_codes.len(),
            MOST_CODES,
        )
        .err(),
    );
    faults.extend(at_most(format!("{at}/reasons"), record.reasons.len(), MOST_CODES).err());
    if let (Some(sent), Some(since)) = (record.sent_on, batch.waste_since)
        && sent < since
    {
        faults.push(Fault::new(
            FaultKind::DateOrder,
            format!("{at}/sent_on"),
            format!("{sent} is before {since}: expected a day on or after waste_since"),
        ));
    }
    Faults::none_of(faults)?;

    let mut sections = Vec::new();
    let mut dangers = dangers(batch);
    dangers.extend(past_its_day(record, estimate, found, desk));
    if !dangers.is_empty() {
        sections.push(Section::plain(dangers));
    }
    sections.push(Section::headed(
        "Who",
        vec![Block::Fields {
            fields: studio_fields(desk.studio, true),
        }],
    ));
    let mut content = what(batch);
    content.extend(findings::container(container_findings(batch).iter(), notes));
    sections.push(Section::headed("What", content));
    sections.push(Section::headed(
        "Since when",
        vec![Block::Fields {
            fields: vec![
                FieldLine::or_blank("Made on", batch.made_on.map(|d| d.to_string())),
                FieldLine::or_blank("Waste since", batch.waste_since.map(|d| d.to_string())),
                FieldLine::new("Recorded on", desk.on.to_string()),
            ],
        }],
    ));
    sections.push(Section::headed("Silver in it", silver(estimate)));
    sections.push(Section::headed(
        "What it is in law",
        law(record, found, notes),
    ));
    sections.push(Section::headed(
        "Where it goes",
        vec![Block::Fields {
            fields: vec![
                FieldLine::or_blank("Carrier", record.carrier.as_ref().map(|t| t.as_str())),
                FieldLine::or_blank("To", record.destination.as_ref().map(|t| t.as_str())),
                FieldLine::or_blank("Left on", record.sent_on.map(|d| d.to_string())),
                FieldLine::or_blank("Paper number", None::<String>),
            ],
        }],
    ));
    sections.push(Section::headed(
        "Signed",
        vec![Block::Blanks {
            blanks: vec![
                "For the studio".to_owned(),
                "Date".to_owned(),
                "For the carrier".to_owned(),
                "Date".to_owned(),
            ],
        }],
    ));
    sections.push(Section::headed(
        "Keep this",
        vec![Block::Points {
            points: kept(batch, desk.rules, notes),
        }],
    ));
    let title = format!("Waste record: {}", lower_first(&content_in_words(batch)));
    let id = Some(batch.id.to_string());
    Ok(Document::new(
        DocumentKind::WasteRecord,
        title,
        id,
        sections,
        desk,
    ))
}

/// Said loudly where it stands longer than it may, or stood so on the day it left; the codes may be
/// anybody's.
fn past_its_day(
    record: &WasteRecord,
    estimate: Option<&Estimate>,
    found: Option<&Classification>,
    desk: Desk<'_>,
) -> Option<Block> {
    let asked = || {
        let (site, mut aside) = (Site::of_nobody(desk.rules, desk.on), Notes::new());
        classify_batch(&record.batch, estimate, &site, "", &mut aside).ok()
    };
    let found = found.cloned().or_else(asked)?;
    let due_on = found.run_out(desk.on)?.due_on;
    if record.sent_on.is_some_and(|left| left <= due_on) {
        return None;
    }
    findings::past_its_day([(None, &found)], desk.on)
}

/// What the rules want kept, and how long; where none were named, what is prudent.
fn kept(batch: &Batch, rules: &RuleSet, notes: &mut Notes) -> Vec<String> {
    let holds = |when: When| match when {
        When::Always => true,
        When::SilverRecovery => bears_silver(batch),
        When::Sewer | When::Neutralization => false,
    };
    let mut points = Vec::new();
    for paper in rules.paper.iter().filter(|p| holds(p.when)) {
        if let Some(source) = reference(&paper.rule.source) {
            notes.cite(&source.key);
        }
        let who = rules
            .asked_of(&paper.categories)
            .map_or_else(String::new, |who| format!(" Asked of a {who}."));
        points.push(format!(
            "{} Keep it {} ({}, {}).{who}",
            paper.text,
            paper.keep_for,
            paper.rule.clause,
            paper.rule.status.words()
        ));
    }
    if points.is_empty() {
        notes.cite("house_rule");
        points.push("No rules were named. Ask your waste authority how long this must be kept; until you know, keep it with the carrier's papers and throw nothing away.".to_owned());
    }
    points
}

fn what(batch: &Batch) -> Vec<Block> {
    let mut fields = vec![
        FieldLine::new("Content", content_in_words(batch)),
        FieldLine::or_blank("Amount", figures::amount_in_words(batch)),
    ];
    fields.extend(vessel_fields(batch));
    fields.push(FieldLine::or_blank(
        "pH",
        batch.ph.as_ref().map(ph_in_words),
    ));
    if let Some(flash) = &batch.flash_point_c {
        fields.push(FieldLine::new("Flash point", figures::reading(flash)));
    }
    let mut blocks = vec![Block::Fields { fields }];
    blocks.push(composition(
        batch,
        "Nobody said what is dissolved in it. A carrier will ask.",
    ));
    blocks
}

fn silver(estimate: Option<&Estimate>) -> Vec<Block> {
    let Some(estimate) = estimate else {
        return vec![Block::paragraph(
            "Not measured, and no record of how it was made. Silver may still be in it.",
        )];
    };
    let mut fields = vec![FieldLine::new("Silver", figures::silver_in_words(estimate))];
    if let Some(interval) = figures::interval_in_words(estimate) {
        fields.push(FieldLine::new("95 times in 100", interval));
    }
    let strength = figures::strength_in_words(estimate);
    fields.extend(strength.map(|s| FieldLine::new("Per litre", s)));
    let rows: Vec<Vec<String>> = estimate
        .by_evidence
        .iter()
        .map(|piece| {
            let (value, u) = match (piece.silver_g, piece.standard_uncertainty_g) {
                (Some(value), Some(u)) => rounded_with_uncertainty(value.get(), u.get()),
                _ => (bounds_in_words(piece.bounds_g.as_ref()), "–".to_owned()),
            };
            vec![piece.kind.replace('_', " "), value, u]
        })
        .collect();
    let mut blocks = vec![
        Block::Fields { fields },
        Block::Table {
            columns: vec![
                Column::words("Reading or record"),
                Column::figures("Silver, g"),
                Column::figures("±, g"),
            ],
            rows,
            total: None,
        },
        Block::paragraph("The ± is one standard uncertainty."),
    ];
    match &estimate.agreement {
        Agreement::Widened { .. } => blocks.push(Block::paragraph(
            "The readings disagree beyond chance, so the ± was widened.",
        )),
        Agreement::Contradiction { .. } => blocks.push(Block::paragraph(
            "The readings cannot all be true: measure again before anyone relies on a figure.",
        )),
        _ => {}
    }
    blocks
}

fn bounds_in_words(bounds: Option<&crate::estimate::Interval>) -> String {
    match bounds {
        Some(b) => match b.upper {
            Some(upper) => format!(
                "{} to {}",
                write_significant(b.lower.get(), 2),
                write_significant(upper.get(), 2)
            ),
            None => format!("{} or more", write_significant(b.lower.get(), 2)),
        },
        None => "none".to_owned(),
    }
}

fn law(record: &WasteRecord, found: Option<&Classification>, notes: &mut Notes) -> Vec<Block> {
    let mut codes: Vec<String> = record.waste_codes.iter().map(ToString::to_string).collect();
    codes.extend(
        found
            .iter()
            .flat_map(|f| &f.codes)
            .map(HazardCode::with_certainty),
    );
    let mut blocks = vec![Block::Fields {
        fields: vec![FieldLine::or_blank(
            "Codes",
            (!codes.is_empty()).then(|| codes.join(", ")),
        )],
    }];
    if let Some(found) = found {
        if found.codes.is_empty() {
            blocks.push(Block::paragraph(
                "The rules gave no code. Until a classification is attached, treat it as hazardous and have it tested.",
            ));
        } else {
            blocks.extend(findings::codes(found, notes));
            blocks.push(Block::paragraph(
                "From what was stated and measured, by the rules named below; nobody has tested it for this paper.",
            ));
        }
        blocks.extend(findings::beyond_codes(found, notes));
    } else if record.reasons.is_empty() {
        blocks.push(Block::paragraph(
            "No classification is attached. Until there is one, treat it as hazardous and have it tested.",
        ));
    } else {
        blocks.push(Block::Points {
            points: record.reasons.iter().map(ToString::to_string).collect(),
        });
    }
    blocks
}
