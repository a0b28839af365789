//! Papers whose fixed parts are data: sections in order, some of which a builder fills.

use super::label::Desk;
use super::tree::{Block, Column, Document, DocumentKind, FieldLine, Section};
use crate::answer::Notes;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::LazyLock;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct PapersFile {
    paper: Vec<Form>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Form {
    kind: DocumentKind,
    title: String,
    source: String,
    section: Vec<FormSection>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct FormSection {
    heading: Option<String>,
    insert: Option<String>,
    paragraph: Option<String>,
    #[serde(default)]
    fields: Vec<String>,
    #[serde(default)]
    points: Vec<String>,
    #[serde(default)]
    checks: Vec<String>,
    #[serde(default)]
    columns: Vec<String>,
    #[serde(default)]
    rows: Vec<Vec<String>>,
    #[serde(default)]
    blank_rows: usize,
    #[serde(default)]
    blanks: Vec<String>,
}

static FORMS: LazyLock<PapersFile> =
    LazyLock::new(|| crate::data::parse(include_str!("../../data/papers.toml")));

/// The bibliography key of every form.
pub(super) fn form_sources() -> impl Iterator<Item = &'static str> {
    FORMS.paper.iter().map(|f| f.source.as_str())
}

/// What a builder puts into a form, by the name of the place.
pub(super) type Inserts = BTreeMap<&'static str, Vec<Block>>;

/// Lays out a paper: the fixed parts of its kind, with what the builder knows in their places. A
/// section that is all insert and gets nothing is left out.
pub(super) fn filled(
    kind: DocumentKind,
    about: Option<String>,
    mut inserts: Inserts,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Document {
    let form = FORMS.paper.iter().find(|f| f.kind == kind);
    let mut sections = Vec::new();
    for part in form.map_or(&[][..], |f| &f.section) {
        let mut blocks = part
            .insert
            .as_deref()
            .and_then(|name| inserts.remove(name))
            .unwrap_or_default();
        blocks.extend(part.blocks());
        if !blocks.is_empty() {
            sections.push(Section {
                heading: part.heading.clone(),
                blocks,
            });
        }
    }
    // What no place was kept for is said all the same.
    sections.extend(
        inserts
            .into_values()
            .filter(|b| !b.is_empty())
            .map(Section::plain),
    );
    if let Some(form) = form {
        notes.cite(&form.source);
    }
    let title = form.map_or("", |f| f.title.as_str());
    Document::new(kind, title, about, sections, desk)
}

impl FormSection {
    fn blocks(&self) -> Vec<Block> {
        let mut blocks = Vec::new();
        blocks.extend(self.paragraph.as_deref().map(Block::paragraph));
        if !self.fields.is_empty() {
            let blank = |name: &String| FieldLine::or_blank(name, None::<String>);
            blocks.push(Block::Fields {
                fields: self.fields.iter().map(blank).collect(),
            });
        }
        if !self.points.is_empty() {
            blocks.push(Block::Points {
                points: self.points.clone(),
            });
        }
        if !self.checks.is_empty() {
            blocks.push(Block::Checks {
                checks: self.checks.clone(),
            });
        }
        if !self.columns.is_empty() {
            let blank = || vec![String::new(); self.columns.len()];
            let mut rows = self.rows.clone();
            rows.extend((0..self.blank_rows).map(|_| blank()));
            blocks.push(Block::Table {
                columns: self.columns.iter().map(Column::words).collect(),
                rows,
                total: None,
            });
        }
        if !self.blanks.is_empty() {
            blocks.push(Block::Blanks {
                blanks: self.blanks.clone(),
            });
        }
        blocks
    }
}
