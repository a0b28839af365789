//! The whole book carried elsewhere and back, and held against itself.
//!
//! An export is JSON Lines: each line an object with one member, which says what the line holds. A
//! studio comes first, then what is its own, oldest first; the same book is always the same text.
//! Tokens and kept replies stay behind: the first are secrets, the second of use only here.

use super::access::{Access, Deed, deed};
use super::book::{about, enter, insert_entry, keep_state, not_entered};
use super::failure::is_taken;
use super::paper::insert;
use super::statements::Statements;
use super::studio::{StudioRecord, next_position};
use super::{Change, IssuedDocument, RecordedEntry, Store, failed, json, number, text};
use crate::problem::{Code, Problem};
use serde::{Deserialize, Serialize};
use spent_silver_domain::answer::Notes;
use spent_silver_domain::ledger::{Book, Entry, State, Subject, fold};
use spent_silver_domain::quantity::Identifier;
use spent_silver_domain::waste::rule_set::{RuleSet, RuleSetName};
use std::collections::BTreeMap;
use std::io::{BufRead, Write};

/// Lines read or written at a time, so that memory does not grow with the book.
const CHUNK: i64 = 500;

/// One line of an export.
#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Line {
    Studio(Box<StudioLine>),
    Entry(Box<RecordedEntry>),
    Document(Box<IssuedDocument>),
    Deed(Deed),
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct StudioLine {
    record: StudioRecord,
    version: i64,
    created_at: String,
    last_recorded_at: String,
}

/// What an import brought.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Imported {
    /// Studios.
    pub studios: u64,
    /// Entries.
    pub entries: u64,
    /// Documents.
    pub documents: u64,
}

/// Something in the book that is not what the entries come to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Difference {
    /// The studio.
    pub studio: String,
    /// Where.
    pub place: String,
    /// What is wrong.
    pub detail: String,
}

fn broken(e: &std::io::Error) -> Problem {
    Problem::new(
        Code::UnwritableFile,
        format!("The export cannot be written: {e}."),
    )
}

impl Store {
    /// Writes everything as JSON Lines.
    ///
    /// # Errors
    /// Those of the database and of `out`.
    pub async fn export(&self, out: &mut (dyn Write + Send)) -> Result<(), Problem> {
        let mut after = 0;
        loop {
            let rows = sqlx::query(
                "SELECT position, body, version, created_at, last_recorded_at FROM studios WHERE position > $1 ORDER BY position LIMIT 50",
            )
            .bind(after)
            .fetch_all(&self.pool)
            .await
            .map_err(|e| failed(&e))?;
            let Some(last) = rows.last() else {
                return out.flush().map_err(|e| broken(&e));
            };
            after = number(last, "position")?;
            for row in &rows {
                let record: StudioRecord = super::parsed(&text(row, "body")?, "studio")?;
                let id = record.id.to_string();
                let studio = StudioLine {
                    record,
                    version: number(row, "version")?,
                    created_at: text(row, "created_at")?,
                    last_recorded_at: text(row, "last_recorded_at")?,
                };
                write(out, &Line::Studio(Box::new(studio)))?;
                self.export_own(&id, out).await?;
            }
        }
    }

    async fn export_own(&self, studio: &str, out: &mut (dyn Write + Send)) -> Result<(), Problem> {
        let mut after = 0;
        loop {
            let entries = self.entries(studio, None, after, CHUNK).await?;
            let Some(last) = entries.last() else { break };
            after = last.sequence;
            for entry in entries {
                write(out, &Line::Entry(Box::new(entry)))?;
            }
        }
        after = 0;
        loop {
            let documents = self.documents(studio, after, CHUNK).await?;
            let Some(last) = documents.last() else { break };
            after = last.number;
            for document in documents {
                write(out, &Line::Document(Box::new(document)))?;
            }
        }
        after = 0;
        loop {
            let deeds = self.deeds(studio, after, CHUNK).await?;
            let Some(last) = deeds.last() else { break };
            after = last.number;
            for deed in deeds {
                write(out, &Line::Deed(deed))?;
            }
        }
        Ok(())
    }

    /// Takes in an export, whole or not at all. Every entry goes through the same checks as when it was
    /// made.
    ///
    /// # Errors
    /// A line that is none, a studio that is here already, an entry that cannot be; each with its line.
    pub async fn import(&self, lines: impl BufRead) -> Result<Imported, Problem> {
        let mut change = self.change().await?;
        let mut imported = Imported::default();
        let mut open: Option<Open> = None;
        for (index, line) in lines.lines().enumerate() {
            let at = index.saturating_add(1);
            let refused =
                |detail: String| Problem::new(Code::InvalidInput, format!("line {at}: {detail}"));
            let line = line.map_err(|e| refused(format!("cannot be read: {e}")))?;
            if line.trim().is_empty() {
                continue;
            }
            let line: Line = serde_json::from_str(&line).map_err(|e| refused(e.to_string()))?;
            match line {
                Line::Studio(studio) => {
                    if let Some(open) = open.take() {
                        open.end(&mut change).await?;
                    }
                    open = Some(Open::begin(&mut change, *studio, &refused).await?);
                    imported.studios = imported.studios.saturating_add(1);
                }
                line => {
                    let open = open
                        .as_mut()
                        .ok_or_else(|| refused("expected a studio first".to_owned()))?;
                    open.take(&mut change, line, &mut imported, &refused)
                        .await?;
                }
            }
        }
        if let Some(open) = open.take() {
            open.end(&mut change).await?;
        }
        change
            .commit(Statements::default())
            .await
            .map_err(|e| failed(&e))?;
        Ok(imported)
    }

    /// Holds everything that is kept against what the entries come to, and every document against its
    /// fingerprint.
    ///
    /// # Errors
    /// Those of the database; differences are not errors but the answer.
    pub async fn verify(&self) -> Result<Vec<Difference>, Problem> {
        let mut found = Vec::new();
        let mut after = 0;
        loop {
            let studios = self.studios(after, 50).await?;
            let Some(last) = studios.last() else {
                return Ok(found);
            };
            after = last.position;
            for studio in &studios {
                self.verify_studio(studio.record.id.as_str(), &mut found)
                    .await?;
            }
        }
    }

    async fn verify_studio(
        &self,
        studio: &str,
        found: &mut Vec<Difference>,
    ) -> Result<(), Problem> {
        let mut differ = |place: String, detail: String| {
            found.push(Difference {
                studio: studio.to_owned(),
                place,
                detail,
            });
        };
        let mut entries: Vec<Entry> = Vec::new();
        let mut after = 0;
        loop {
            let chunk = self.entries(studio, None, after, CHUNK).await?;
            if chunk.is_empty() {
                break;
            }
            for recorded in chunk {
                if recorded.sequence != after.saturating_add(1) {
                    differ(
                        format!("entry {}", recorded.sequence),
                        format!("follows entry {after}: some are missing"),
                    );
                }
                after = recorded.sequence;
                entries.push(recorded.entry);
            }
        }
        let row = sqlx::query("SELECT last_sequence, last_document FROM studios WHERE id = $1")
            .bind(studio)
            .fetch_one(&self.pool)
            .await
            .map_err(|e| failed(&e))?;
        let (last, papers) = (
            number(&row, "last_sequence")?,
            number(&row, "last_document")?,
        );
        if last != after {
            differ(
                "entries".to_owned(),
                format!("the last is {after}, and {last} were recorded"),
            );
        }
        match fold(
            &entries,
            None,
            RuleSet::unspecified(),
            &mut Notes::default(),
        ) {
            Err(faults) => differ("entries".to_owned(), faults.to_string()),
            Ok(book) => self.verify_states(studio, &book, &mut differ).await?,
        }
        after = 0;
        loop {
            let documents = self.documents(studio, after, CHUNK).await?;
            if documents.is_empty() {
                break;
            }
            for issued in documents {
                after = issued.number;
                let kept = issued.document.sha256.clone();
                if issued.document.sealed().sha256 != kept {
                    differ(
                        format!("document {after}"),
                        "is not what its fingerprint is of".to_owned(),
                    );
                }
            }
        }
        if papers != after {
            differ(
                "documents".to_owned(),
                format!("the last is {after}, and {papers} were issued"),
            );
        }
        Ok(())
    }

    async fn verify_states(
        &self,
        studio: &str,
        book: &Book,
        differ: &mut impl FnMut(String, String),
    ) -> Result<(), Problem> {
        let rows = sqlx::query("SELECT subject, state FROM states WHERE studio = $1")
            .bind(studio)
            .fetch_all(&self.pool)
            .await
            .map_err(|e| failed(&e))?;
        let mut kept: BTreeMap<String, String> = BTreeMap::new();
        for row in &rows {
            kept.insert(text(row, "subject")?, text(row, "state")?);
        }
        for subject in book.subjects() {
            let should = book.state(subject).as_ref().map(json).transpose()?;
            let is = kept.remove(&subject.to_string());
            if is != should {
                differ(
                    subject.to_string(),
                    "what is kept is not what the entries come to".to_owned(),
                );
            }
        }
        for subject in kept.into_keys() {
            differ(subject, "is kept, but no entry speaks of it".to_owned());
        }
        Ok(())
    }
}

fn write(out: &mut (dyn Write + Send), line: &Line) -> Result<(), Problem> {
    let mut text = json(line)?;
    text.push('\n');
    out.write_all(text.as_bytes()).map_err(|e| broken(&e))
}

/// A studio that is being taken in. What its entries come to is kept here until its end: it grows with
/// its containers, not with its entries.
struct Open {
    id: Identifier,
    rules: &'static RuleSet,
    states: BTreeMap<Subject, State>,
    sequence: i64,
    document: i64,
    deed: i64,
    recorded_at: String,
}

type Refuse<'a> = dyn Fn(String) -> Problem + Sync + 'a;

impl Open {
    async fn begin(
        change: &mut Change,
        line: StudioLine,
        refused: &Refuse<'_>,
    ) -> Result<Self, Problem> {
        let id = line.record.id.clone();
        line.record.check().map_err(|p| refused(p.detail))?;
        let position = next_position(change).await?;
        let mut writes = Statements::default();
        writes.add(
            "INSERT INTO studios (id, position, body, version, created_at, last_sequence, last_document, last_deed, last_recorded_at) VALUES ($1, $2, $3, $4, $5, 0, 0, 0, $6)",
            [
                id.as_str().into(),
                position.into(),
                json(&line.record)?.into(),
                line.version.into(),
                line.created_at.into(),
                line.last_recorded_at.into(),
            ],
        );
        change.write(writes).await.map_err(|e| {
            if is_taken(&e, "studios") {
                refused(format!(
                    "studio `{id}` is in this book already: expected a book without it"
                ))
            } else {
                failed(&e)
            }
        })?;
        Ok(Self {
            rules: line
                .record
                .rule_set
                .map_or_else(RuleSet::unspecified, RuleSetName::rules),
            id,
            states: BTreeMap::new(),
            sequence: 0,
            document: 0,
            deed: 0,
            recorded_at: String::new(),
        })
    }

    async fn take(
        &mut self,
        change: &mut Change,
        line: Line,
        imported: &mut Imported,
        refused: &Refuse<'_>,
    ) -> Result<(), Problem> {
        let next = |last: &mut i64, this: i64| {
            *last = last.saturating_add(1);
            if *last == this {
                return Ok(());
            }
            Err(refused(format!("number {this}: expected {last}")))
        };
        match line {
            Line::Entry(recorded) => {
                next(&mut self.sequence, recorded.sequence)?;
                if recorded.recorded_at < self.recorded_at {
                    return Err(refused(format!(
                        "recorded at {}, which is before the entry before it",
                        recorded.recorded_at
                    )));
                }
                self.recorded_at.clone_from(&recorded.recorded_at);
                self.enter(change, &recorded).await.map_err(|p| Problem {
                    detail: refused(p.detail.clone()).detail,
                    ..p
                })?;
                imported.entries = imported.entries.saturating_add(1);
            }
            Line::Document(issued) => {
                next(&mut self.document, issued.number)?;
                let kept = issued.document.sha256.clone();
                if issued.document.clone().sealed().sha256 != kept {
                    return Err(refused(
                        "the document is not what its fingerprint is of".to_owned(),
                    ));
                }
                let mut writes = Statements::default();
                insert(&mut writes, self.id.as_str(), &issued)?;
                change.write(writes).await.map_err(|e| failed(&e))?;
                imported.documents = imported.documents.saturating_add(1);
            }
            Line::Deed(line) => {
                next(&mut self.deed, line.number)?;
                let access = Access {
                    actor: line.actor,
                    address: line.address,
                    only: None,
                };
                let mut writes = Statements::default();
                deed(
                    &mut writes,
                    self.id.as_str(),
                    (line.number, &line.done_at),
                    &access,
                    (&line.action, &line.target),
                );
                change.write(writes).await.map_err(|e| failed(&e))?;
            }
            Line::Studio(_) => return Err(refused("a studio within a studio".to_owned())),
        }
        Ok(())
    }

    async fn enter(
        &mut self,
        change: &mut Change,
        recorded: &RecordedEntry,
    ) -> Result<(), Problem> {
        let (studio, entry) = (self.id.as_str(), &recorded.entry);
        let about = about(change, studio, entry).await?;
        let states = about
            .iter()
            .filter_map(|subject| self.states.remove_entry(subject))
            .collect();
        let mut notes = Notes::default();
        let changed = enter(change, studio, entry, about, states, self.rules, &mut notes).await?;
        for subject in changed.touched {
            match changed.book.state(&subject) {
                Some(state) => self.states.insert(subject, state),
                None => self.states.remove(&subject),
            };
        }
        let mut writes = Statements::default();
        insert_entry(&mut writes, studio, recorded, &changed.about)?;
        change
            .write(writes)
            .await
            .map_err(|e| not_entered(&e, entry))
    }

    async fn end(self, change: &mut Change) -> Result<(), Problem> {
        let studio = self.id.as_str();
        let mut writes = Statements::default();
        for (subject, state) in self.states {
            keep_state(&mut writes, studio, &subject, Some(state))?;
        }
        writes.add(
            "UPDATE studios SET last_sequence = $2, last_document = $3, last_deed = $4 WHERE id = $1",
            [
                studio.into(),
                self.sequence.into(),
                self.document.into(),
                self.deed.into(),
            ],
        );
        change.write(writes).await.map_err(|e| failed(&e))
    }
}
