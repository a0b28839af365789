//! Entries: appended for good, read back, and what they come to.

use super::access::{Access, deed};
use super::failure::is_taken;
use super::reply::{Reply, recall, recalled, remember};
use super::statements::Statements;
use super::studio::no_studio;
use super::{Change, Store, failed, json, number, parsed, text, written};
use crate::problem::{Code, ErrorEntry, Problem};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use spent_silver_domain::answer::Notes;
use spent_silver_domain::fault::{Fault, FaultKind, Faults};
use spent_silver_domain::ledger::{Book, Entry, Event, Refused, Reversed, State, Subject, amend};
use spent_silver_domain::quantity::Identifier;
use spent_silver_domain::waste::rule_set::RuleSet;
use sqlx::any::AnyRow;
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;

/// An entry as it was recorded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RecordedEntry {
    /// Its place in the studio's book: 1, 2, 3.
    pub sequence: i64,
    /// When it was recorded.
    pub recorded_at: String,
    /// The entry.
    pub entry: Entry,
}

/// An entry to be appended.
pub struct Recording<'a> {
    /// The studio.
    pub studio: &'a str,
    /// The entry.
    pub entry: &'a Entry,
    /// The key under which the request may come again.
    pub key: &'a str,
    /// The request, as it came: under the same key only the same may come again.
    pub payload: &'a [u8],
    /// Who records it.
    pub access: &'a Access,
    /// Now.
    pub now: Timestamp,
    /// Rules that apply.
    pub rules: &'static RuleSet,
}

/// A studio that is locked for a change.
pub(super) struct Locked {
    pub sequence: i64,
    pub document: i64,
    pub deed: i64,
    pub at: String,
    /// What was answered to the request, if it came before: then nothing is to be changed.
    pub reply: Option<Reply>,
    /// Of the subjects asked for, in no order.
    pub states: Vec<(Subject, State)>,
}

impl Store {
    /// Appends an entry; it is on the disk when this returns. `answer` makes the answer that is kept
    /// with it, and given again to the same request.
    ///
    /// # Errors
    /// An entry that cannot be, or with which a later one cannot be; a key that was used for another
    /// request.
    pub async fn append(
        &self,
        recording: &Recording<'_>,
        answer: impl FnOnce(&RecordedEntry, Notes) -> Result<Reply, Problem>,
    ) -> Result<Reply, Problem> {
        let Recording { studio, entry, .. } = *recording;
        let request = (recording.key, recording.payload);
        let mut change = self.change().await?;
        let (now, subjects) = (recording.now, entry.event.subjects());
        let locked = lock(&mut change, studio, (1, 0), now, request, &subjects).await?;
        if let Some(reply) = locked.reply {
            // Nothing is changed by this request: what was locked is let go.
            return Ok(reply);
        }
        let mut notes = Notes::new();
        let about = about(&mut change, studio, entry).await?;
        let rules = recording.rules;
        let states = locked.states;
        let changed = enter(&mut change, studio, entry, about, states, rules, &mut notes).await?;
        let recorded = RecordedEntry {
            sequence: locked.sequence,
            recorded_at: locked.at.clone(),
            entry: entry.clone(),
        };
        let mut writes = Statements::default();
        insert_entry(&mut writes, studio, &recorded, &changed.about)?;
        for subject in &changed.touched {
            keep_state(&mut writes, studio, subject, changed.book.state(subject))?;
        }
        let reply = answer(&recorded, notes)?;
        remember(&mut writes, studio, request, &reply, &locked.at);
        let id = entry.id.as_str();
        deed(
            &mut writes,
            studio,
            (locked.deed, &locked.at),
            recording.access,
            ("append entry", id),
        );
        change
            .commit(writes)
            .await
            .map_err(|e| not_entered(&e, entry))?;
        Ok(reply)
    }

    /// Entries after a place in the book, at most `limit`, of one container where it is named.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn entries(
        &self,
        studio: &str,
        about: Option<&Subject>,
        after: i64,
        limit: i64,
    ) -> Result<Vec<RecordedEntry>, Problem> {
        let rows = match about {
            None => sqlx::query(
                "SELECT sequence, recorded_at, body FROM entries WHERE studio = $1 AND sequence > $2 ORDER BY sequence LIMIT $3",
            )
            .bind(studio)
            .bind(after)
            .bind(limit)
            .fetch_all(&self.pool)
            .await,
            Some(subject) => sqlx::query(
                "SELECT e.sequence, e.recorded_at, e.body FROM entry_subjects s JOIN entries e ON e.studio = s.studio AND e.sequence = s.sequence WHERE s.studio = $1 AND s.subject = $4 AND s.sequence > $2 ORDER BY s.sequence LIMIT $3",
            )
            .bind(studio)
            .bind(after)
            .bind(limit)
            .bind(subject.to_string())
            .fetch_all(&self.pool)
            .await,
        };
        rows.map_err(|e| failed(&e))?.iter().map(recorded).collect()
    }

    /// The entry of that name.
    ///
    /// # Errors
    /// There is none.
    pub async fn entry(&self, studio: &str, id: &str) -> Result<RecordedEntry, Problem> {
        let row = sqlx::query(
            "SELECT sequence, recorded_at, body FROM entries WHERE studio = $1 AND id = $2",
        )
        .bind(studio)
        .bind(id)
        .fetch_optional(&self.pool)
        .await
        .map_err(|e| failed(&e))?
        .ok_or_else(|| {
            let id: String = id.chars().take(64).collect();
            Problem::new(
                Code::NotFound,
                format!("There is no entry `{id}` in this book."),
            )
        })?;
        recorded(&row)
    }

    /// Every entry that has to do with a container, however many pours away, in the order recorded.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn connected(
        &self,
        studio: &str,
        subject: &Subject,
    ) -> Result<Vec<RecordedEntry>, Problem> {
        let mut change = self.reading().await?;
        connected(&mut change, studio, vec![subject.clone()]).await
    }
}

/// Raises the numbers of a studio, which locks it until the change ends, and gives what was answered
/// to the request, or else the states of some subjects. What is recorded later never bears an earlier
/// instant, also where the clock went back.
pub(super) async fn lock(
    change: &mut Change,
    studio: &str,
    (entries, documents): (i64, i64),
    now: Timestamp,
    (key, payload): (&str, &[u8]),
    subjects: &[Subject],
) -> Result<Locked, Problem> {
    let mut reads = Statements::default();
    reads.add(
        "UPDATE studios SET last_sequence = last_sequence + $2, last_document = last_document + $3, last_deed = last_deed + 1, last_recorded_at = CASE WHEN last_recorded_at > $4 THEN last_recorded_at ELSE $4 END WHERE id = $1 RETURNING last_sequence, last_document, last_deed, last_recorded_at",
        [studio.into(), entries.into(), documents.into(), written(now).into()],
    );
    recall(&mut reads, studio, key, subjects);
    let rows = change.read(reads).await.map_err(|e| failed(&e))?;
    let (row, recall) = rows.split_first().ok_or_else(|| no_studio(studio))?;
    let (reply, states) = recalled(recall, payload)?;
    Ok(Locked {
        sequence: number(row, "last_sequence")?,
        document: number(row, "last_document")?,
        deed: number(row, "last_deed")?,
        at: text(row, "last_recorded_at")?,
        reply,
        states,
    })
}

/// A book with one more entry in it.
pub(super) struct Changed {
    pub book: Book,
    /// What the entry is about; of a reversal, what the entry that it names is about.
    pub about: Vec<Subject>,
    /// What may have another state now.
    pub touched: Vec<Subject>,
}

/// What an entry is about; of a reversal, what the entry that it names is about.
pub(super) async fn about(
    change: &mut Change,
    studio: &str,
    entry: &Entry,
) -> Result<Vec<Subject>, Problem> {
    let Event::Reversed(Reversed { entry: named, .. }) = &entry.event else {
        return Ok(entry.event.subjects());
    };
    subjects_of(change, studio, named).await?.ok_or_else(|| {
        Faults::from(Fault::new(
            FaultKind::Unknown,
            "/event/reversed/entry",
            format!("no entry `{named}` was recorded before this one: expected the name of an earlier entry"),
        ))
        .into()
    })
}

/// The book with the entry in it. Where the entry comes after all others about the same, it goes on
/// from `states`; else everything that is connected is folded anew.
pub(super) async fn enter(
    change: &mut Change,
    studio: &str,
    entry: &Entry,
    about: Vec<Subject>,
    states: Vec<(Subject, State)>,
    rules: &RuleSet,
    notes: &mut Notes,
) -> Result<Changed, Problem> {
    let later = states.iter().any(|(_, state)| state.last_on > entry.on);
    if later || matches!(entry.event, Event::Reversed(_)) {
        let before = connected(change, studio, about.clone()).await?;
        let before: Vec<Entry> = before.into_iter().map(|r| r.entry).collect();
        let book = amend(&before, entry, rules, notes).map_err(refused)?;
        // What only a reversed entry spoke of is in no book any more.
        let mut touched = about.clone();
        touched.extend(before.iter().flat_map(|e| e.event.subjects()));
        touched.sort();
        touched.dedup();
        return Ok(Changed {
            book,
            about,
            touched,
        });
    }
    let mut book = Book::resume(states);
    book.enter(entry, "", rules, notes)?;
    Ok(Changed {
        book,
        touched: about.clone(),
        about,
    })
}

fn refused(refused: Refused) -> Problem {
    match refused {
        Refused::Entry(faults) => faults.into(),
        Refused::Later { entry, faults } => {
            let why = faults.list().first().map_or("", |f| &f.detail);
            let detail = format!("with this entry, `{entry}` of a later day cannot be: {why}");
            Problem::new(Code::StateConflict, detail.clone())
                .with(ErrorEntry::at("conflict", "/on", detail))
        }
    }
}

/// Everything connected with some subjects: the entries about them, about what those entries speak of,
/// and so on; in the order recorded.
pub(super) async fn connected(
    change: &mut Change,
    studio: &str,
    mut open: Vec<Subject>,
) -> Result<Vec<RecordedEntry>, Problem> {
    let mut seen: BTreeSet<Subject> = BTreeSet::new();
    let mut found: BTreeMap<i64, RecordedEntry> = BTreeMap::new();
    while let Some(subject) = open.pop() {
        if !seen.insert(subject.clone()) {
            continue;
        }
        let mut reads = Statements::default();
        reads.add(
            "SELECT e.sequence, e.recorded_at, e.body FROM entry_subjects s JOIN entries e ON e.studio = s.studio AND e.sequence = s.sequence WHERE s.studio = $1 AND s.subject = $2 ORDER BY s.sequence",
            [studio.into(), subject.to_string().into()],
        );
        let rows = change.read(reads).await.map_err(|e| failed(&e))?;
        for row in &rows {
            let entry = recorded(row)?;
            open.extend(entry.entry.event.subjects());
            found.insert(entry.sequence, entry);
        }
    }
    Ok(found.into_values().collect())
}

async fn subjects_of(
    change: &mut Change,
    studio: &str,
    entry: &Identifier,
) -> Result<Option<Vec<Subject>>, Problem> {
    let mut reads = Statements::default();
    reads.add(
        "SELECT s.subject FROM entries e LEFT JOIN entry_subjects s ON s.studio = e.studio AND s.sequence = e.sequence WHERE e.studio = $1 AND e.id = $2 ORDER BY s.subject",
        [studio.into(), entry.as_str().into()],
    );
    let rows = change.read(reads).await.map_err(|e| failed(&e))?;
    if rows.is_empty() {
        return Ok(None);
    }
    let mut subjects = Vec::new();
    for row in &rows {
        // An entry about nothing, such as an inspection of the place, has no subject.
        let subject: Option<String> = sqlx::Row::try_get(row, "subject").map_err(|e| failed(&e))?;
        if let Some(subject) = subject {
            subjects.push(subject.parse().map_err(|_| Problem::internal())?);
        }
    }
    Ok(Some(subjects))
}

pub(super) fn recorded(row: &AnyRow) -> Result<RecordedEntry, Problem> {
    Ok(RecordedEntry {
        sequence: number(row, "sequence")?,
        recorded_at: text(row, "recorded_at")?,
        entry: parsed(&text(row, "body")?, "entry")?,
    })
}

pub(super) fn insert_entry(
    writes: &mut Statements,
    studio: &str,
    recorded: &RecordedEntry,
    about: &[Subject],
) -> Result<(), Problem> {
    writes.add(
        "INSERT INTO entries (studio, sequence, id, recorded_at, body) VALUES ($1, $2, $3, $4, $5)",
        [
            studio.into(),
            recorded.sequence.into(),
            recorded.entry.id.as_str().into(),
            recorded.recorded_at.as_str().into(),
            json(&recorded.entry)?.into(),
        ],
    );
    for subject in about {
        writes.add(
            "INSERT INTO entry_subjects (studio, subject, sequence) VALUES ($1, $2, $3)",
            [
                studio.into(),
                subject.to_string().into(),
                recorded.sequence.into(),
            ],
        );
    }
    Ok(())
}

/// Why an entry could not be written. A name that another entry has is told as such.
pub(super) fn not_entered(error: &sqlx::Error, entry: &Entry) -> Problem {
    if !is_taken(error, "entries") {
        return failed(error);
    }
    let id = &entry.id;
    Faults::from(Fault::new(
        FaultKind::Conflict,
        "/id",
        format!("`{id}` names an entry of this book already: expected a name of its own"),
    ))
    .into()
}

pub(super) fn keep_state(
    writes: &mut Statements,
    studio: &str,
    subject: &Subject,
    state: Option<State>,
) -> Result<(), Problem> {
    let subject = subject.to_string().into();
    match state {
        Some(state) => writes.add(
            "INSERT INTO states (studio, subject, state) VALUES ($1, $2, $3) ON CONFLICT (studio, subject) DO UPDATE SET state = excluded.state",
            [studio.into(), subject, json(&state)?.into()],
        ),
        None => writes.add(
            "DELETE FROM states WHERE studio = $1 AND subject = $2",
            [studio.into(), subject],
        ),
    }
    Ok(())
}
