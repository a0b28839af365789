//! What labels say by kind, and the words of hazard statements.

use super::pictogram::Pictogram;
use crate::batch::BatchKind;
use crate::substance::Group;
use serde::Deserialize;
use std::sync::LazyLock;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct KindLines {
    id: BatchKind,
    #[serde(default)]
    pub implies: Vec<String>,
    #[serde(default)]
    pub vented: bool,
    #[serde(default)]
    pub first_aid: Option<String>,
    pub never: Vec<String>,
    pub source: String,
}

/// What never to do with a container that holds one of these groups.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct GroupLine {
    pub groups: Vec<Group>,
    pub never: String,
    #[serde(default)]
    pub not_for: Vec<BatchKind>,
    pub source: String,
}

/// How a hazard reaches a person.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Route {
    Splash,
    Breath,
}

/// What to do first where a label carries one of these statements.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FirstAid {
    pub codes: Vec<String>,
    pub route: Route,
    pub text: String,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct LinesFile {
    kind: Vec<KindLines>,
    group: Vec<GroupLine>,
    first_aid: Vec<FirstAid>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum SignalWord {
    None,
    Warning,
    Danger,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Statement {
    code: String,
    pub signal: SignalWord,
    pub words: String,
    #[serde(default)]
    pub pictogram: Option<Pictogram>,
    #[serde(default)]
    pub covers: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StatementsFile {
    pub source: String,
    statement: Vec<Statement>,
}

static LINES: LazyLock<LinesFile> =
    LazyLock::new(|| crate::data::parse(include_str!("../../data/container_lines.toml")));

pub(super) static STATEMENTS: LazyLock<StatementsFile> =
    LazyLock::new(|| crate::data::parse(include_str!("../../data/hazard_statements.toml")));

/// The lines of a kind.
pub(super) fn lines(kind: BatchKind) -> Option<&'static KindLines> {
    LINES.kind.iter().find(|k| k.id == kind)
}

/// What never to do, by what is held.
pub(super) fn group_lines() -> &'static [GroupLine] {
    &LINES.group
}

/// What to do first, by hazard statement, the graver of a route first.
pub(super) fn first_aid() -> &'static [FirstAid] {
    &LINES.first_aid
}

/// The hazard statement of a code.
pub(super) fn statement(code: &str) -> Option<&'static Statement> {
    STATEMENTS.statement.iter().find(|s| s.code == code)
}

/// The bibliography key of every fact that documents print.
#[must_use]
pub fn document_sources() -> Vec<&'static str> {
    let kinds = LINES.kind.iter().map(|k| k.source.as_str());
    let groups = LINES.group.iter().map(|g| g.source.as_str());
    let first_aid = LINES.first_aid.iter().map(|f| f.source.as_str());
    kinds
        .chain(groups)
        .chain(first_aid)
        .chain([STATEMENTS.source.as_str()])
        .chain(super::form::form_sources())
        .collect()
}
