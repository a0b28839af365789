//! The record of a classification: what was known, what was decided, and why.

use super::figures;
use super::findings;
use super::form::{Inserts, filled};
use super::label::{Desk, content_in_words, studio_fields, vessel_fields};
use super::members_in_words;
use super::request::ClassificationRecord;
use super::sheets::{all_dangers, contents};
use super::tree::{Block, Document, DocumentKind, FieldLine};
use crate::answer::{Notes, Severity};
use crate::estimate::Estimate;
use crate::fault::Faults;
use crate::waste::classification::{Classification, Site, classify_batch};
use std::sync::Arc;

/// Draws up the record of a classification under the rules of the desk.
///
/// # Errors
/// Faults of the batch.
pub(super) fn classification_record(
    of: &ClassificationRecord,
    estimate: Option<&Estimate>,
    at: &str,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Result<Document, Faults> {
    let batch = &of.batch;
    let site = Site {
        rules: desk.rules,
        on: desk.on,
        premises: of.premises,
        other_hazardous_waste_kg: of.other_hazardous_waste_kg,
        other_acute_waste_kg: of.other_acute_waste_kg,
        haul_distance_km: of.haul_distance_km,
        local_silver_limit: of.local_silver_limit.clone(),
        shares: Arc::default(),
    };
    let place = format!("{at}/batch");
    let found = notes.as_a_whole(|notes| classify_batch(batch, estimate, &site, &place, notes))?;
    let mut fields = vec![
        FieldLine::new("Content", content_in_words(batch)),
        FieldLine::or_blank("Amount", figures::amount_in_words(batch)),
    ];
    fields.extend(vessel_fields(batch));
    fields.extend([
        FieldLine::or_blank("Made on", batch.made_on.map(|d| d.to_string())),
        FieldLine::or_blank("Waste since", batch.waste_since.map(|d| d.to_string())),
        FieldLine::or_blank("Silver", estimate.map(figures::silver_in_words)),
    ]);
    let mut known = vec![Block::Fields { fields }];
    known.extend(contents(batch));
    let mut inserts = Inserts::new();
    let fields = studio_fields(desk.studio, true);
    inserts.insert("parties", vec![Block::Fields { fields }]);
    inserts.insert("dangers", all_dangers(std::iter::once(batch)));
    inserts.insert("known", known);
    let mut decided = vec![Block::paragraph(found.standing.text.clone())];
    decided.extend(findings::codes(&found, notes));
    decided.extend(findings::beyond_codes(&found, notes));
    inserts.insert("decided", decided);
    let vessel = findings::container(found.container_findings.iter(), notes);
    inserts.insert("container", vessel.into_iter().collect());
    if !found.unknowns.is_empty() {
        let rows = found.unknowns.iter();
        let rows = rows.map(|u| vec![u.what.clone(), members_in_words(&u.how), u.why.clone()]);
        inserts.insert(
            "unknown",
            vec![findings::words(
                ["What", "How", "Why it matters"],
                rows.collect(),
            )],
        );
    }
    inserts.insert("site", site_blocks(&found, desk));
    inserts.insert("duties", duties(&found, notes));
    let about = Some(batch.id.to_string());
    Ok(filled(
        DocumentKind::ClassificationRecord,
        about,
        inserts,
        desk,
        notes,
    ))
}

fn site_blocks(found: &Classification, desk: Desk<'_>) -> Vec<Block> {
    let category = &found.category;
    let mut blocks = vec![Block::Fields {
        fields: vec![
            FieldLine::new("Category", category.title.clone()),
            FieldLine::new("Why", category.reason.clone()),
        ],
    }];
    if let Some(clock) = &found.clock {
        blocks.push(Block::Fields {
            fields: vec![
                FieldLine::new("Clock since", clock.starts_on.to_string()),
                FieldLine::new("Must leave by", clock.due_on.to_string()),
                FieldLine::new("By the rule", clock.rule.clone()),
            ],
        });
    } else if !found.possible_clocks.is_empty() {
        let points = found
            .possible_clocks
            .iter()
            .map(|c| format!("Leave by {}: {}", c.due_on, c.rule))
            .collect();
        blocks.push(Block::paragraph(
            "The category is not known, so one of these may run:",
        ));
        blocks.push(Block::Points { points });
    }
    blocks.extend(findings::past_its_day([(None, found)], desk.on));
    if let Some(local) = &found.local_limit {
        let line = FieldLine::new("Limit of the place", local.text.clone());
        blocks.push(Block::Fields { fields: vec![line] });
    }
    blocks
}

fn duties(found: &Classification, notes: &mut Notes) -> Vec<Block> {
    let mut blocks = Vec::new();
    let rows: Vec<Vec<String>> = found
        .duties
        .iter()
        .chain(&found.papers)
        .chain(&found.marks)
        .map(|d| {
            let text = d.keep_for.as_ref().map_or_else(
                || d.text.clone().into_owned(),
                |keep| format!("{} Keep it {keep}.", d.text),
            );
            vec![text, findings::clause(d.authority, notes)]
        })
        .collect();
    if !rows.is_empty() {
        blocks.push(findings::words(["What", "Rule"], rows));
    }
    if !found.never.is_empty() {
        blocks.push(Block::warning(
            Severity::Caution,
            "Never",
            found.never.iter().map(|n| n.to_string()).collect(),
        ));
    }
    if !found.questions.is_empty() {
        blocks.push(Block::paragraph("To be asked of the authority:"));
        blocks.push(Block::Checks {
            checks: found.questions.iter().map(|q| q.to_string()).collect(),
        });
    }
    blocks
}
