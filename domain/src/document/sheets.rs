//! Sheets about containers: those that leave, those that stay, and a sample of one.

use super::carriage;
use super::facts;
use super::figures;
use super::findings;
use super::form::{Inserts, filled};
use super::label::{
    Desk, codes_in_words, composition, content_in_words, content_unknown, dangers, hazards,
    lines_of, never_lines, ph_in_words, studio_fields, unknown_content,
};
use super::request::{ContainersSheet, MOST_CONTAINERS, SampleSheet, TravelSheet};
use super::tree::{Block, Column, Document, DocumentKind, FieldLine};
use crate::answer::{Notes, Severity};
use crate::batch::Batch;
use crate::estimate::{Estimate, estimate_batch};
use crate::fault::{Fault, FaultKind, Faults, at_most};
use crate::quantity::{Measured, Text, write_decimal};
use crate::waste::rule_set::RuleSet;
use crate::waste::storage::{must_vent, storage_danger};
use crate::waste::transport;
use rust_decimal::Decimal;

/// Containers on a sheet, each with its silver where it carries evidence.
pub(super) type Known<'a> = Vec<(&'a Batch, Option<Estimate>)>;

/// Checks the containers and works out their silver.
///
/// # Errors
/// Too many containers, two of one name, or a fault of a batch.
pub(super) fn known<'a>(
    batches: &'a [Batch],
    at: &str,
    notes: &mut Notes,
) -> Result<Known<'a>, Faults> {
    at_most(at, batches.len(), MOST_CONTAINERS)?;
    let mut faults = Vec::new();
    for (i, batch) in batches.iter().enumerate() {
        faults.extend(batch.faults(&format!("{at}/{i}")));
        if batches.iter().take(i).any(|b| b.id == batch.id) {
            faults.push(Fault::new(
                FaultKind::Conflict,
                format!("{at}/{i}/id"),
                format!(
                    "{} names two containers: expected a name of its own for each",
                    batch.id
                ),
            ));
        }
    }
    Faults::none_of(faults)?;
    batches
        .iter()
        .enumerate()
        .map(|(i, batch)| {
            if batch.evidence.is_empty() {
                return Ok((batch, None));
            }
            let place = format!("{at}/{i}");
            let estimate = notes.as_a_whole(|notes| estimate_batch(batch, &place, notes))?;
            Ok((batch, Some(estimate)))
        })
        .collect()
}

/// The dangers of every container, each under its name.
pub(super) fn all_dangers<'a>(batches: impl Iterator<Item = &'a Batch>) -> Vec<Block> {
    batches
        .flat_map(|batch| {
            dangers(batch).into_iter().map(|block| match block {
                Block::Warning {
                    severity,
                    signal,
                    lines,
                } => Block::warning(severity, format!("{}: {signal}", batch.id), lines),
                other => other,
            })
        })
        .collect()
}

fn names(known: &Known<'_>) -> Vec<String> {
    known.iter().map(|(b, _)| b.id.to_string()).collect()
}

fn line(label: &str, value: Option<&Text>) -> FieldLine {
    FieldLine::or_blank(label, value.map(Text::as_str))
}

/// One row per container: name, content, amount, its vessel and what more a sheet asks.
fn table(known: &Known<'_>, more: &[(&str, Row<'_>)]) -> Block {
    let mut columns = vec![
        Column::words("Container"),
        Column::words("Content"),
        Column::words("Amount"),
    ];
    columns.extend(more.iter().map(|(heading, _)| Column::words(*heading)));
    let blank = vec![String::new(); columns.len()];
    let mut rows: Vec<Vec<String>> = known
        .iter()
        .map(|(batch, estimate)| {
            let mut row = vec![
                batch.id.to_string(),
                content_in_words(batch),
                figures::amount_in_words(batch).unwrap_or_default(),
            ];
            row.extend(more.iter().map(|(_, cell)| cell(batch, estimate.as_ref())));
            row
        })
        .collect();
    if rows.is_empty() {
        rows = vec![blank; 6];
    }
    Block::Table {
        columns,
        rows,
        total: None,
    }
}

type Row<'a> = &'a dyn Fn(&Batch, Option<&Estimate>) -> String;

fn vessel(batch: &Batch, _: Option<&Estimate>) -> String {
    let vessel = batch.container.as_ref();
    vessel
        .and_then(|c| c.description.as_ref())
        .map_or_else(String::new, ToString::to_string)
}

fn stands(batch: &Batch, _: Option<&Estimate>) -> String {
    let vessel = batch.container.as_ref();
    vessel
        .and_then(|c| c.place.as_ref())
        .map_or_else(String::new, ToString::to_string)
}

fn since(batch: &Batch, _: Option<&Estimate>) -> String {
    batch
        .waste_since
        .map_or_else(String::new, |d| d.to_string())
}

fn silver(_: &Batch, estimate: Option<&Estimate>) -> String {
    estimate.map_or_else(|| "not measured".to_owned(), figures::silver_in_words)
}

/// What each container weighs, as far as that was said: the rest is filled in by whoever packs.
fn weighed(known: &Known<'_>) -> Block {
    let rows = known.iter().map(|(batch, _)| {
        let cell = |g: Option<Decimal>| g.map_or_else(String::new, write_decimal);
        vec![
            batch.id.to_string(),
            String::new(),
            cell(batch.gross_g.as_ref().map(Measured::decimal)),
            cell(batch.tare_g.as_ref().map(Measured::decimal)),
            cell(figures::net_g(batch)),
            String::new(),
            String::new(),
        ]
    });
    findings::words(
        [
            "Container",
            "Seal number",
            "Gross, g",
            "Tare, g",
            "Net wet, g",
            "Moisture, %",
            "Net dry, g",
        ],
        rows.collect(),
    )
}

/// A shipment to a refiner, or a collection.
pub(super) fn travel(
    kind: DocumentKind,
    of: &TravelSheet,
    at: &str,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Result<Document, Faults> {
    if of.batches.is_empty() {
        return Err(Fault::missing(
            format!("{at}/batches"),
            "at least one container that leaves",
        )
        .into());
    }
    let place = format!("{at}/batches");
    let known = known(&of.batches, &place, notes)?;
    let shipped = kind == DocumentKind::RecoveryShipmentSheet;
    let mut dangers = all_dangers(known.iter().map(|(b, _)| *b));
    let classified = if shipped {
        Vec::new()
    } else {
        findings::of_all(&known, &place, desk)?
    };
    dangers.extend(findings::past_their_day(&classified, desk.on));
    let mut inserts = Inserts::new();
    inserts.insert("dangers", dangers);
    let mut parties = studio_fields(desk.studio, true);
    parties.push(line("Carrier", of.carrier.as_ref()));
    parties.push(line("To", of.destination.as_ref()));
    parties.push(FieldLine::or_blank(
        "Leaves on",
        of.leaves_on.map(|d| d.to_string()),
    ));
    inserts.insert("parties", vec![Block::Fields { fields: parties }]);
    // Cyanide goes to a licensed contractor, and what must not be kept must not travel either.
    let stays = |batch: &Batch| {
        if shipped {
            transport::stays(batch)
        } else {
            storage_danger(batch).map(|danger| danger.warning())
        }
    };
    let (kept, goes): (Known<'_>, Known<'_>) =
        known.into_iter().partition(|(b, _)| stays(b).is_some());
    if !kept.is_empty() {
        let points = kept
            .iter()
            .map(|(batch, _)| {
                let why = stays(batch).unwrap_or_default();
                format!("{}, {}: {why}", batch.id, content_in_words(batch))
            })
            .collect();
        inserts.insert(
            "refused",
            vec![Block::warning(Severity::Danger, "Not on this load", points)],
        );
    }
    let names = names(&goes);
    let found = carriage::carriage(of, &goes, at, desk, notes)?;
    inserts.insert("gate", carriage::gate_blocks(&found.gate));
    if shipped {
        inserts.insert("candidates", carriage::candidate_blocks(&found));
    }
    let containers = if shipped {
        notes.assume(
            "",
            format!("{at}/batches"),
            "house_rule",
            "The silver is the studio's estimate: the refiner's assay decides what is paid.",
        );
        if !goes.is_empty() {
            inserts.insert("weighed", vec![weighed(&goes)]);
        }
        table(&goes, &[("Silver, estimated", &silver)])
    } else {
        let codes = |batch: &Batch, _: Option<&Estimate>| {
            let found = findings::of_one(&classified, batch);
            found.map_or_else(String::new, |found| codes_in_words(&found.codes))
        };
        table(
            &goes,
            &[
                ("Vessel", &vessel),
                ("Waste since", &since),
                ("Codes", &codes),
            ],
        )
    };
    let mut blocks = vec![Block::paragraph(match names.len() {
        0 => "No container on this sheet may leave.".to_owned(),
        1 => "1 container.".to_owned(),
        n => format!("{n} containers."),
    })];
    if !names.is_empty() {
        blocks.push(containers);
    }
    inserts.insert("containers", blocks);
    let about = match names.as_slice() {
        [one] => Some(one.clone()),
        _ => None,
    };
    Ok(filled(kind, about, inserts, desk, notes))
}

/// A sheet for containers that stay: an inspection log, a spill record, a posting.
pub(super) fn standing(
    kind: DocumentKind,
    of: &ContainersSheet,
    at: &str,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Result<Document, Faults> {
    let place = format!("{at}/batches");
    let known = known(&of.batches, &place, notes)?;
    let mut inserts = Inserts::new();
    inserts.insert("dangers", all_dangers(known.iter().map(|(b, _)| *b)));
    let mut parties = studio_fields(desk.studio, true);
    if kind == DocumentKind::EmergencyPosting {
        // Nobody who calls for help is asked for the number of the site.
        parties
            .retain(|f| f.value.is_some() || matches!(f.label.as_str(), "Telephone" | "Address"));
    }
    parties.push(line("Place", of.place.as_ref()));
    if kind == DocumentKind::WallSheet {
        parties.retain(|f| f.label == "Place" && f.value.is_some());
    }
    if !parties.is_empty() {
        inserts.insert("parties", vec![Block::Fields { fields: parties }]);
    }
    match kind {
        DocumentKind::SpillRecord | DocumentKind::EmergencyPosting => {
            let content = all_hazards(&known, &place, desk.rules, notes);
            inserts.insert("content", content);
        }
        DocumentKind::WallSheet => {
            let unknown: Vec<String> = known
                .iter()
                .filter(|(b, _)| content_unknown(b))
                .map(|(b, _)| b.id.to_string())
                .collect();
            if !unknown.is_empty() {
                let dangers = inserts.entry("dangers").or_default();
                dangers.push(unknown_content(&unknown.join(", ")));
            }
            inserts.insert("do_and_never", do_and_never(&known, notes));
        }
        _ => {}
    }
    match kind {
        DocumentKind::InspectionLog => {
            let classified = findings::of_all(&known, &place, desk)?;
            let dangers = inserts.entry("dangers").or_default();
            dangers.extend(findings::past_their_day(&classified, desk.on));
            let due = |batch: &Batch, _: Option<&Estimate>| {
                let found = findings::of_one(&classified, batch);
                found.map_or_else(String::new, findings::must_leave_by)
            };
            let columns: [(&str, Row<'_>); 3] = [
                ("Stands", &stands),
                ("Waste since", &since),
                ("Must leave by", &due),
            ];
            let mut blocks = vec![table(&known, &columns)];
            blocks.extend(findings::clock_rules(&classified, notes));
            inserts.insert("containers", blocks);
        }
        DocumentKind::EmergencyPosting => {
            let blocks = vec![table(&known, &[("Vessel", &vessel), ("Stands", &stands)])];
            inserts.insert("containers", blocks);
        }
        _ => {}
    }
    let names = names(&known);
    let about = match names.as_slice() {
        [one] => Some(one.clone()),
        _ => None,
    };
    Ok(filled(kind, about, inserts, desk, notes))
}

/// The pictograms of all containers once, then the hazards of each under its name.
fn all_hazards(known: &Known<'_>, at: &str, rules: &RuleSet, notes: &mut Notes) -> Vec<Block> {
    let mut seen = Vec::new();
    let mut boxes = Vec::new();
    for (i, (batch, _)) in known.iter().enumerate() {
        let at = at.trim_end_matches("/batches");
        for block in hazards(batch, &format!("{at}/batches/{i}"), rules, notes) {
            match block {
                Block::Pictograms { pictograms } => seen.extend(pictograms),
                Block::Warning {
                    severity,
                    signal,
                    lines,
                } => boxes.push(Block::warning(
                    severity,
                    format!("{}: {signal}", batch.id),
                    lines,
                )),
                other => boxes.push(other),
            }
        }
    }
    seen.sort_unstable();
    seen.dedup();
    let mut blocks = Vec::new();
    if !seen.is_empty() {
        blocks.push(Block::Pictograms { pictograms: seen });
    }
    blocks.extend(boxes);
    blocks
}

fn do_and_never(known: &Known<'_>, notes: &mut Notes) -> Vec<Block> {
    // Containers of which the same is said share a row.
    let mut rows: Vec<[String; 4]> = Vec::new();
    for (batch, _) in known {
        let lines = lines_of(batch);
        let (id, content) = (batch.id.to_string(), content_in_words(batch));
        let keep = closing(batch, lines)
            .unwrap_or("Act today: see above.")
            .to_owned();
        let never = never_lines(batch, lines, notes).join(" ");
        match rows
            .iter_mut()
            .find(|[_, _, k, n]| *k == keep && *n == never)
        {
            Some([ids, contents, ..]) => {
                *ids = format!("{ids}, {id}");
                if !contents.split("; ").any(|c| c == content) {
                    *contents = format!("{contents}; {content}");
                }
            }
            None => rows.push([id, content, keep, never]),
        }
    }
    if rows.is_empty() {
        return Vec::new();
    }
    let rows = rows.into_iter().map(Vec::from).collect();
    vec![findings::words(
        ["Container", "Content", "Do", "Never"],
        rows,
    )]
}

/// How a container is kept; nothing where keeping it is a danger, whose act is the only word on that.
pub(super) fn closing(batch: &Batch, lines: Option<&facts::KindLines>) -> Option<&'static str> {
    if storage_danger(batch).is_some() {
        return None;
    }
    let vented = batch
        .container
        .as_ref()
        .and_then(|c| c.vented)
        .unwrap_or_else(|| lines.is_some_and(|l| l.vented) || must_vent(batch));
    Some(if batch.counts_as_cyanide() || !vented {
        "Keep closed and upright, in a tray that would hold it all."
    } else {
        "Vented cap: keep upright, in a tray that would hold it all."
    })
}

/// A sheet that goes with one sample.
pub(super) fn sample(
    of: &SampleSheet,
    estimate: Option<&Estimate>,
    at: &str,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Document {
    let batch = &of.batch;
    let mut inserts = Inserts::new();
    inserts.insert("dangers", all_dangers(std::iter::once(batch)));
    let mut parties = studio_fields(desk.studio, true);
    parties.push(line("Laboratory", of.laboratory.as_ref()));
    parties.push(FieldLine::or_blank(
        "Sample",
        of.sample_id.as_ref().map(ToString::to_string),
    ));
    inserts.insert("parties", vec![Block::Fields { fields: parties }]);
    let known = vec![(batch, None)];
    inserts.insert(
        "containers",
        vec![table(
            &known,
            &[("Vessel", &vessel), ("Waste since", &since)],
        )],
    );
    inserts.insert("content", hazards(batch, at, desk.rules, notes));
    let mut silver = Vec::new();
    if let Some(estimate) = estimate {
        silver.push(FieldLine::new("Silver", figures::silver_in_words(estimate)));
        let strength = figures::strength_in_words(estimate);
        silver.extend(strength.map(|s| FieldLine::new("Per litre", s)));
    }
    let mut what = contents(batch);
    if !silver.is_empty() {
        what.insert(0, Block::Fields { fields: silver });
    }
    inserts.insert("known", what);
    let about = Some(batch.id.to_string());
    filled(
        DocumentKind::LaboratorySampleSheet,
        about,
        inserts,
        desk,
        notes,
    )
}

/// What was said of a batch: pH, flash point, substances. What was not said is a line to fill in.
pub(super) fn contents(batch: &Batch) -> Vec<Block> {
    let mut blocks = vec![Block::Fields {
        fields: vec![
            FieldLine::or_blank("pH", batch.ph.as_ref().map(ph_in_words)),
            FieldLine::or_blank(
                "Flash point",
                batch.flash_point_c.as_ref().map(figures::reading),
            ),
        ],
    }];
    blocks.push(composition(
        batch,
        "Nobody said what is dissolved in it: everything is to be tested.",
    ));
    blocks
}
