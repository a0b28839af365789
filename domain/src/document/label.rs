//! The label of a container.

use super::facts::{self, Route, SignalWord};
use super::figures;
use super::findings;
use super::pictogram::{Pictogram, pictograms_of};
use super::request::{ContainerLabel, StudioDetails};
use super::sheets::closing;
use super::tree::{Block, Column, Document, DocumentKind, FieldLine, PaperSize, Section};
use crate::answer::{Notes, Severity};
use crate::batch::{Batch, BatchKind, BatchStatus, CyanideKnowledge};
use crate::bibliography::reference;
use crate::estimate::Estimate;
use crate::quantity::{Date, Identifier, MeasuredPh, Shape, write_significant};
use crate::substance::{Group, Substance, substance};
use crate::waste::classification::{FLAMMABLE_LIQUID, HazardCode, find_codes};
use crate::waste::contents::{Certainty, Held, implied_groups};
use crate::waste::rule_set::{DutyRule, RuleSet};
use crate::waste::storage::{container_findings, storage_danger};

/// Most substances that a label names; the record names them all.
const MOST_NAMES: usize = 6;

/// What every paper knows besides its subject.
#[derive(Debug, Clone, Copy)]
pub struct Desk<'a> {
    /// The day it is drawn up.
    pub on: Date,
    /// Whose paper it is.
    pub studio: Option<&'a StudioDetails>,
    /// The rules that apply.
    pub rules: &'static RuleSet,
    /// The sheet it goes on; a label is A6 whatever this says.
    pub paper_size: PaperSize,
}

/// Draws up the label of a container. `at` is the label's own place in the request.
///
/// The label names the content in plain words, carries the waste words and the start date where
/// the rules ask for them, the hazards of the substances stated (or implied by the kind), what
/// never to do, and whom to call. Dangers stand first.
#[must_use]
pub fn container_label(
    label: &ContainerLabel,
    estimate: Option<&Estimate>,
    at: &str,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Document {
    let batch = &label.batch;
    let lines = lines_of(batch);
    let mut head = Vec::new();
    let codes = codes_of(label, estimate, desk.rules, notes);
    head.extend(waste_words(label, &codes, at, desk.rules, notes));
    head.push(Block::Fields {
        fields: container_fields(batch, estimate, &codes),
    });

    let mut safety = dangers(batch);
    safety.extend(hazards(batch, at, desk.rules, notes));
    let vessel = container_findings(batch);
    let vessel = vessel.iter().filter(|f| f.on_label);
    safety.extend(findings::container(vessel, notes));
    let never = never_lines(batch, lines, notes);
    if !never.is_empty() {
        safety.push(Block::warning(Severity::Caution, "Never", never));
    }
    safety.extend(first_aid(batch, lines, notes).map(Block::paragraph));
    safety.extend(closing(batch, lines).map(Block::paragraph));

    let sections = vec![
        Section::plain(head),
        Section::plain(safety),
        Section::plain(vec![Block::Fields {
            fields: studio_fields(desk.studio, false),
        }]),
    ];
    let id = Some(batch.id.to_string());
    let title = content_in_words(batch);
    Document::new(DocumentKind::ContainerLabel, title, id, sections, desk)
}

/// What never to do with a container: by its kind, and by what it is known to hold.
pub(super) fn never_lines(
    batch: &Batch,
    lines: Option<&'static facts::KindLines>,
    notes: &mut Notes,
) -> Vec<String> {
    let mut never = Vec::new();
    if let Some(lines) = lines {
        notes.cite(&lines.source);
        never.extend(lines.never.iter().cloned());
    }
    let contents = implied_groups(batch);
    let known = |group: &Group| {
        contents
            .source_of(*group)
            .is_some_and(|held| held.certainty == Certainty::Known)
    };
    for line in facts::group_lines() {
        if line.groups.iter().any(known) && !line.not_for.contains(&batch.kind) {
            notes.cite(&line.source);
            never.push(line.never.clone());
        }
    }
    never
}

/// What to do first after a splash or a breath, by the kind or by the hazard statements of what it holds;
/// the most there is to do where that is not known.
fn first_aid(
    batch: &Batch,
    lines: Option<&'static facts::KindLines>,
    notes: &mut Notes,
) -> Option<String> {
    let own = lines.and_then(|l| l.first_aid.as_deref());
    let mut said: Vec<&str> = own.into_iter().collect();
    let mut done: Vec<Route> = own.map(|_| Route::Splash).into_iter().collect();
    let held = substances_of(batch);
    let unknown = content_unknown(batch);
    for aid in facts::first_aid() {
        let applies = unknown
            || held
                .iter()
                .flat_map(|s| &s.hazard_statements)
                .any(|code| aid.codes.contains(code));
        if applies && !done.contains(&aid.route) {
            notes.cite(&aid.source);
            done.push(aid.route);
            said.push(&aid.text);
        }
    }
    (!said.is_empty()).then(|| said.join(" "))
}

/// The lines of a container's kind; a fixer that may hold cyanide gets those of cyanide.
pub(super) fn lines_of(batch: &Batch) -> Option<&'static facts::KindLines> {
    facts::lines(if batch.counts_as_cyanide() {
        BatchKind::CyanideFixer
    } else {
        batch.kind
    })
}

/// The content in plain words, such as "Spent silver nitrate bath".
#[must_use]
pub fn content_in_words(batch: &Batch) -> String {
    let kind = batch.kind.words();
    let text = match batch.status {
        Some(BatchStatus::InUse) => format!("{kind}, in use"),
        // What is thrown away unused is not spent, though it is waste.
        Some(BatchStatus::Spent) if !kind.starts_with("sp") && !kind.starts_with("unused") => {
            format!("spent {kind}")
        }
        Some(BatchStatus::Unused) if !kind.starts_with("unused") => format!("unused {kind}"),
        Some(BatchStatus::Treated) => format!("treated {kind}"),
        _ => kind.to_owned(),
    };
    let text = match batch.cyanide() {
        CyanideKnowledge::Presumed => format!("{text}, taken as cyanide"),
        _ => text,
    };
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => text,
    }
}

/// The codes of a waste that is labelled as one. What the codes rest on stands on the record.
fn codes_of(
    label: &ContainerLabel,
    estimate: Option<&Estimate>,
    rules: &RuleSet,
    notes: &mut Notes,
) -> Vec<HazardCode> {
    if !label.batch.is_waste() || label.hazardous == Some(false) {
        return Vec::new();
    }
    notes
        .as_a_whole(|notes| {
            let at = "/document/container_label/batch";
            find_codes(&label.batch, estimate, rules, at, notes)
        })
        .map_or_else(Vec::new, |found| found.codes)
}

/// The words for waste, as the rules have them; where they have none, our own, once it is said or by its
/// entry in the list of waste known to be hazardous.
fn waste_words(
    label: &ContainerLabel,
    codes: &[HazardCode],
    at: &str,
    rules: &'static RuleSet,
    notes: &mut Notes,
) -> Option<Block> {
    let batch = &label.batch;
    if batch.status.is_none() && batch.waste_since.is_none() {
        notes.warn(
            "",
            Severity::Note,
            "Neither a status nor the day it became waste was given, so the label does not say whether this is waste. A working bath is not.",
        );
    }
    if !batch.is_waste() {
        return None;
    }
    let marked = |mark: &'static DutyRule| Some((mark, mark.words.as_ref()?));
    let Some((mark, words)) = rules.mark.iter().find_map(marked) else {
        // The asterisk of the list of waste.
        let starred = codes
            .iter()
            .any(|c| c.code.ends_with('*') && c.certainty != Certainty::ToBeTested);
        let plain = Block::Banner {
            text: "HAZARDOUS WASTE".to_owned(),
        };
        return label.hazardous.unwrap_or(starred).then_some(plain);
    };
    match label.hazardous {
        Some(false) => return None,
        Some(true) => {}
        None => notes.assume(
            "/sections/0",
            format!("{at}/hazardous"),
            "house_rule",
            "The waste is labelled hazardous until a classification says otherwise.",
        ),
    }
    if let Some(source) = reference(&mark.rule.source) {
        notes.cite(&source.key);
    }
    let who = rules
        .asked_of(&mark.categories)
        .map_or_else(String::new, |who| {
            format!(" The rules ask it of a {who}; a smaller one does well to do the same.")
        });
    notes.warn(
        "/sections/0",
        Severity::Note,
        format!(
            "On each container: {} ({}, {}).{who}",
            lower_first(mark.text.trim_end_matches('.')),
            mark.rule.clause,
            mark.rule.status.words()
        ),
    );
    Some(Block::Banner {
        text: words.clone(),
    })
}

pub(super) fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |c| c.to_lowercase().chain(letters).collect())
}

/// What the label says in figures, the day first: it sets the clock.
fn container_fields(
    batch: &Batch,
    estimate: Option<&Estimate>,
    codes: &[HazardCode],
) -> Vec<FieldLine> {
    let mut fields = Vec::new();
    if batch.is_waste() {
        fields.push(FieldLine::or_blank(
            "Waste since",
            batch.waste_since.map(|d| d.to_string()),
        ));
    }
    fields.push(FieldLine::or_blank(
        "Amount",
        figures::amount_in_words(batch),
    ));
    let codes = codes_in_words(codes);
    if !codes.is_empty() {
        fields.push(FieldLine::new("Codes", codes));
    }
    let mut holds: Vec<String> = batch
        .composition
        .iter()
        .take(MOST_NAMES)
        .map(|part| {
            let name = name_of(&part.substance);
            match figures::component_amount(part) {
                Some(amount) => format!("{name} {amount}"),
                None => name,
            }
        })
        .collect();
    let more = batch.composition.len().saturating_sub(MOST_NAMES);
    if more > 0 {
        holds.push(format!("and {more} more: see the record"));
    }
    if !holds.is_empty() {
        fields.push(FieldLine::new("Holds", holds.join(", ")));
    }
    if let Some(made) = batch.made_on {
        fields.push(FieldLine::new("Made on", made.to_string()));
    }
    if let Some(estimate) = estimate {
        fields.push(FieldLine::new("Silver", figures::silver_in_words(estimate)));
    }
    if let Some(ph) = &batch.ph {
        fields.push(FieldLine::new("pH", ph_in_words(ph)));
    }
    fields
}

/// The codes that a waste bears or is presumed to, the known ones first.
pub(super) fn codes_in_words(codes: &[HazardCode]) -> String {
    let mut codes: Vec<&HazardCode> = codes
        .iter()
        .filter(|c| c.certainty != Certainty::ToBeTested)
        .collect();
    codes.sort_by_key(|c| c.certainty != Certainty::Known);
    let codes: Vec<String> = codes.iter().map(|c| c.with_certainty()).collect();
    codes.join(", ")
}

/// pH without a unit, and as pH paper reads it: from one colour to the next.
pub(super) fn ph_in_words(ph: &MeasuredPh) -> String {
    match ph.standard_uncertainty() {
        Some((u, Shape::Rectangular)) if u > 0.0 => {
            let half = u * 3f64.sqrt();
            let end = |x: f64| write_significant(x, 4);
            format!("{} to {}", end(ph.as_f64() - half), end(ph.as_f64() + half))
        }
        _ => figures::reading(ph).trim_end_matches(" pH").to_owned(),
    }
}

pub(super) fn name_of(id: &Identifier) -> String {
    substance(id).map_or_else(
        || format!("{id} (not known to be safe with anything)"),
        |s| s.name.clone(),
    )
}

/// What is said to be dissolved in a batch, as a table; or the words for nothing said.
pub(super) fn composition(batch: &Batch, nothing_said: &str) -> Block {
    if batch.composition.is_empty() {
        return Block::paragraph(nothing_said);
    }
    Block::Table {
        columns: vec![Column::words("Substance"), Column::figures("Amount")],
        rows: batch
            .composition
            .iter()
            .map(|part| {
                vec![
                    name_of(&part.substance),
                    figures::component_amount(part).unwrap_or_else(|| "not stated".to_owned()),
                ]
            })
            .collect(),
        total: None,
    }
}

/// The lines a studio stands on; `all` asks for every one of them.
pub(super) fn studio_fields(studio: Option<&StudioDetails>, all: bool) -> Vec<FieldLine> {
    let none = StudioDetails::default();
    let studio = studio.unwrap_or(&none);
    let mut fields = vec![
        FieldLine::or_blank("Studio", studio.name.as_ref().map(|t| t.as_str())),
        FieldLine::or_blank("Telephone", studio.telephone.as_ref().map(|t| t.as_str())),
    ];
    if all || studio.address.is_some() {
        fields.push(FieldLine::or_blank(
            "Address",
            studio.address.as_ref().map(|t| t.as_str()),
        ));
    }
    if all || studio.responsible.is_some() {
        fields.push(FieldLine::or_blank(
            "Responsible",
            studio.responsible.as_ref().map(|t| t.as_str()),
        ));
    }
    if all || studio.site_number.is_some() {
        fields.push(FieldLine::or_blank(
            "Site number",
            studio.site_number.as_ref().map(|t| t.as_str()),
        ));
    }
    fields
}

/// The vessel of a container and where it stands, as far as that was said.
pub(super) fn vessel_fields(batch: &Batch) -> Vec<FieldLine> {
    let vessel = batch.container.as_ref();
    [
        ("Vessel", vessel.and_then(|v| v.description.as_ref())),
        ("Stands", vessel.and_then(|v| v.place.as_ref())),
    ]
    .into_iter()
    .filter_map(|(label, text)| Some(FieldLine::new(label, text?.as_str())))
    .collect()
}

/// What cannot wait: storage that is itself a danger, and cyanide.
pub(super) fn dangers(batch: &Batch) -> Vec<Block> {
    let mut blocks = Vec::new();
    if let Some(danger) = storage_danger(batch) {
        let mut lines = vec![danger.reason];
        lines.extend(danger.act);
        lines.extend(danger.never);
        blocks.push(Block::warning(Severity::Danger, "Act today", lines));
    }
    if batch.counts_as_cyanide() {
        let mut lines = Vec::new();
        if batch.cyanide() == CyanideKnowledge::Presumed {
            lines.push("The type of this fixer was not stated. In a collodion studio it counts as cyanide until it is known to be thiosulfate.".to_owned());
        }
        let keep = if blocks.is_empty() {
            " Keep it closed, alkaline and apart from every acid."
        } else {
            ""
        };
        lines.extend([
            format!("Acid makes a gas of it that kills.{keep}"),
            "No treatment of any kind here: a licensed contractor takes it as it is.".to_owned(),
        ]);
        blocks.push(Block::warning(Severity::Danger, "Cyanide", lines));
    }
    blocks
}

/// The substances whose hazards a container is labelled with: those stated, else those its kind is
/// taken to hold.
fn substances_of(batch: &Batch) -> Vec<&'static Substance> {
    if !batch.composition.is_empty() {
        return batch.known_substances().collect();
    }
    lines_of(batch)
        .into_iter()
        .flat_map(|lines| &lines.implies)
        .filter_map(|id| Identifier::new(id).ok())
        .filter_map(|id| substance(&id))
        .collect()
}

/// The same, with a word on what was taken to be in it.
fn hazardous_substances(batch: &Batch, at: &str, notes: &mut Notes) -> Vec<&'static Substance> {
    let known = substances_of(batch);
    if batch.composition.is_empty() {
        let names: Vec<&str> = known.iter().map(|s| s.name.as_str()).collect();
        if !names.is_empty() {
            notes.assume(
                "/sections/1",
                format!("{at}/batch/composition"),
                "common_practice",
                format!(
                    "Nothing was said of what is in it, so the hazards are those of {}, which it is taken to hold.",
                    names.join(" and ")
                ),
            );
        }
    }
    known
}

/// Whether nothing, or not all, is known of what is in it: a substance that is none we know, or nothing
/// said of a kind that does not tell what it holds.
pub(super) fn content_unknown(batch: &Batch) -> bool {
    let contents = implied_groups(batch);
    let told = |held: &Held| held.certainty == Certainty::Known && held.group != Group::Inert;
    !contents.unknown().is_empty()
        || (batch.composition.is_empty()
            && substances_of(batch).is_empty()
            && !contents.held().iter().any(told))
}

/// The word on content that is not known, of the containers named.
pub(super) fn unknown_content(names: &str) -> Block {
    let signal = if names.is_empty() {
        "Unknown".to_owned()
    } else {
        format!("{names}: Unknown")
    };
    let lines = vec![
        "Not all that it holds is known: to be tested. Treat it as the worst it may be.".to_owned(),
    ];
    Block::warning(Severity::Caution, signal, lines)
}

/// Whether the rules have shown that as a whole it is no liquid that burns, whatever is dissolved in it.
fn does_not_burn(batch: &Batch, rules: &RuleSet) -> bool {
    let Some(ignitable) = &rules.ignitability else {
        return false;
    };
    // Their reasons stand in the record of the classification.
    find_codes(batch, None, rules, "", &mut Notes::new())
        .is_some_and(|found| found.clean.iter().any(|c| c.code == ignitable.code))
}

/// The hazard pictograms of a container's substances, and their statements in a box, but for what the
/// rules ruled out; what is not known first.
pub(super) fn hazards(batch: &Batch, at: &str, rules: &RuleSet, notes: &mut Notes) -> Vec<Block> {
    let mut blocks = Vec::new();
    if content_unknown(batch) {
        blocks.push(unknown_content(""));
    }
    let known = hazardous_substances(batch, at, notes);
    let calm = does_not_burn(batch, rules);
    let holds_good = |code: &&String| !(calm && FLAMMABLE_LIQUID.contains(&code.as_str()));
    let mut codes: Vec<&str> = Vec::new();
    for substance in &known {
        notes.cite(&substance.source);
        for code in substance.hazard_statements.iter().filter(holds_good) {
            if !codes.contains(&code.as_str()) {
                codes.push(code);
            }
        }
    }
    // The graver statement says what the lesser one does.
    let covered: Vec<&str> = codes
        .iter()
        .filter_map(|code| facts::statement(code))
        .flat_map(|s| s.covers.iter().map(String::as_str))
        .collect();
    codes.retain(|code| !covered.contains(code));
    codes.sort_by_key(|code| std::cmp::Reverse(facts::statement(code).map(|s| s.signal)));
    if codes.is_empty() {
        return blocks;
    }
    notes.cite(&facts::STATEMENTS.source);
    let statements: Vec<_> = codes.iter().map(|c| (*c, facts::statement(c))).collect();
    let signal = statements
        .iter()
        .filter_map(|(_, s)| s.map(|s| s.signal))
        .max()
        .unwrap_or(SignalWord::Warning);
    let mut lines: Vec<String> = statements
        .iter()
        .map(|(code, s)| s.map_or_else(|| (*code).to_owned(), |s| s.words.clone()))
        .collect();
    let names: Vec<&str> = known
        .iter()
        .filter(|s| s.hazard_statements.iter().any(|code| holds_good(&code)))
        .map(|s| s.name.as_str())
        .collect();
    let few = names.len() <= MOST_NAMES;
    lines.push(format!(
        "These are the hazards of {} undiluted; nobody has classified this mixture.",
        if few {
            names.join(", ")
        } else {
            format!("its {} hazardous substances", names.len())
        }
    ));
    let (severity, word) = match signal {
        SignalWord::Danger => (Severity::Danger, "Danger"),
        _ => (Severity::Caution, "Warning"),
    };
    let pictograms: Vec<Pictogram> = pictograms_of(&codes);
    if !pictograms.is_empty() {
        blocks.push(Block::Pictograms { pictograms });
    }
    blocks.push(Block::warning(severity, word, lines));
    blocks
}
