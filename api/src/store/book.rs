//! Entries: appended for good, read back, and what they come to.

use super::access::{Access, deed, sha256};
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

/// What was answered to a request: its place, and the body.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reply {
    /// Path of what was made.
    pub location: String,
    /// The answer.
    pub body: String,
}

/// A studio that is locked for a change.
pub(super) struct Locked {
    pub sequence: i64,
    pub document: i64,
    pub deed: i64,
    pub at: String,
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
        let mut change = self.begin().await?;
        let locked = lock(&mut change, studio, (1, 0), recording.now).await?;
        if let Some(reply) = replied(&mut change, studio, recording.key, recording.payload).await? {
            // Nothing is changed by this request: what was locked is let go.
            return Ok(reply);
        }
        let mut notes = Notes::new();
        let about = about(&mut change, studio, entry).await?;
        let mut states = Vec::new();
        for subject in &about {
            states.extend(state_of(&mut change, studio, subject).await?);
        }
        let rules = recording.rules;
        let changed = enter(&mut change, studio, entry, about, states, rules, &mut notes).await?;
        let recorded = RecordedEntry {
            sequence: locked.sequence,
            recorded_at: locked.at.clone(),
            entry: entry.clone(),
        };
        insert_entry(&mut change, studio, &recorded, &changed.about).await?;
        for subject in &changed.touched {
            keep_state(&mut change, studio, subject, changed.book.state(subject)).await?;
        }
        let reply = answer(&recorded, notes)?;
        remember(
            &mut change,
            studio,
            recording.key,
            recording.payload,
            &reply,
            &locked.at,
        )
        .await?;
        let studio = Identifier::new(studio).map_err(|_| no_studio(studio))?;
        let id = entry.id.as_str();
        deed(
            &mut change,
            &studio,
            locked.deed,
            &locked.at,
            recording.access,
            "append entry",
            id,
        )
        .await?;
        change.commit().await.map_err(|e| failed(&e))?;
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
        let mut change = self.begin_reading().await?;
        connected(&mut change, studio, vec![subject.clone()]).await
    }

    async fn begin_reading(&self) -> Result<Change, Problem> {
        self.pool.begin().await.map_err(|e| failed(&e))
    }
}

/// Raises the numbers of a studio, which locks it until the change ends. What is recorded later never
/// bears an earlier instant, also where the clock went back.
pub(super) async fn lock(
    change: &mut Change,
    studio: &str,
    (entries, documents): (i64, i64),
    now: Timestamp,
) -> Result<Locked, Problem> {
    let row = sqlx::query(
        "UPDATE studios SET last_sequence = last_sequence + $2, last_document = last_document + $3, last_deed = last_deed + 1, last_recorded_at = CASE WHEN last_recorded_at > $4 THEN last_recorded_at ELSE $4 END WHERE id = $1 RETURNING last_sequence, last_document, last_deed, last_recorded_at",
    )
    .bind(studio)
    .bind(entries)
    .bind(documents)
    .bind(written(now))
    .fetch_optional(&mut **change)
    .await
    .map_err(|e| failed(&e))?
    .ok_or_else(|| no_studio(studio))?;
    Ok(Locked {
        sequence: number(&row, "last_sequence")?,
        document: number(&row, "last_document")?,
        deed: number(&row, "last_deed")?,
        at: text(&row, "last_recorded_at")?,
    })
}

/// What was answered under a key; another request under it is refused.
pub(super) async fn replied(
    change: &mut Change,
    studio: &str,
    key: &str,
    payload: &[u8],
) -> Result<Option<Reply>, Problem> {
    let row = sqlx::query(
        "SELECT fingerprint, location, body FROM replies WHERE studio = $1 AND idempotency_key = $2",
    )
    .bind(studio)
    .bind(key)
    .fetch_optional(&mut **change)
    .await
    .map_err(|e| failed(&e))?;
    let Some(row) = row else {
        return Ok(None);
    };
    if text(&row, "fingerprint")? != sha256(payload) {
        return Err(Problem::new(
            Code::IdempotencyKeyReused,
            "This Idempotency-Key came before with another request: expected a new key for a new request.",
        ));
    }
    Ok(Some(Reply {
        location: text(&row, "location")?,
        body: text(&row, "body")?,
    }))
}

/// Keeps an answer under its key.
pub(super) async fn remember(
    change: &mut Change,
    studio: &str,
    key: &str,
    payload: &[u8],
    reply: &Reply,
    at: &str,
) -> Result<(), Problem> {
    sqlx::query(
        "INSERT INTO replies (studio, idempotency_key, fingerprint, location, body, created_at) VALUES ($1, $2, $3, $4, $5, $6)",
    )
    .bind(studio)
    .bind(key)
    .bind(sha256(payload))
    .bind(&reply.location)
    .bind(&reply.body)
    .bind(at)
    .execute(&mut **change)
    .await
    .map(|_| ())
    .map_err(|e| failed(&e))
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
        let rows = sqlx::query(
            "SELECT e.sequence, e.recorded_at, e.body FROM entry_subjects s JOIN entries e ON e.studio = s.studio AND e.sequence = s.sequence WHERE s.studio = $1 AND s.subject = $2 ORDER BY s.sequence",
        )
        .bind(studio)
        .bind(subject.to_string())
        .fetch_all(&mut **change)
        .await
        .map_err(|e| failed(&e))?;
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
    let rows = sqlx::query(
        "SELECT s.subject FROM entries e LEFT JOIN entry_subjects s ON s.studio = e.studio AND s.sequence = e.sequence WHERE e.studio = $1 AND e.id = $2 ORDER BY s.subject",
    )
    .bind(studio)
    .bind(entry.as_str())
    .fetch_all(&mut **change)
    .await
    .map_err(|e| failed(&e))?;
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

async fn state_of(
    change: &mut Change,
    studio: &str,
    subject: &Subject,
) -> Result<Option<(Subject, State)>, Problem> {
    sqlx::query("SELECT subject, state FROM states WHERE studio = $1 AND subject = $2")
        .bind(studio)
        .bind(subject.to_string())
        .fetch_optional(&mut **change)
        .await
        .map_err(|e| failed(&e))?
        .as_ref()
        .map(state)
        .transpose()
}

pub(super) fn state(row: &AnyRow) -> Result<(Subject, State), Problem> {
    let subject = text(row, "subject")?
        .parse()
        .map_err(|_| Problem::internal())?;
    Ok((subject, parsed(&text(row, "state")?, "state")?))
}

pub(super) fn recorded(row: &AnyRow) -> Result<RecordedEntry, Problem> {
    Ok(RecordedEntry {
        sequence: number(row, "sequence")?,
        recorded_at: text(row, "recorded_at")?,
        entry: parsed(&text(row, "body")?, "entry")?,
    })
}

pub(super) async fn insert_entry(
    change: &mut Change,
    studio: &str,
    recorded: &RecordedEntry,
    about: &[Subject],
) -> Result<(), Problem> {
    let id = &recorded.entry.id;
    let inserted = sqlx::query(
        "INSERT INTO entries (studio, sequence, id, recorded_at, body) VALUES ($1, $2, $3, $4, $5)",
    )
    .bind(studio)
    .bind(recorded.sequence)
    .bind(id.as_str())
    .bind(&recorded.recorded_at)
    .bind(json(&recorded.entry)?)
    .execute(&mut **change)
    .await;
    match inserted {
        Err(sqlx::Error::Database(e)) if e.is_unique_violation() => {
            return Err(Faults::from(Fault::new(
                FaultKind::Conflict,
                "/id",
                format!("`{id}` names an entry of this book already: expected a name of its own"),
            ))
            .into());
        }
        other => other.map_err(|e| failed(&e))?,
    };
    for subject in about {
        sqlx::query("INSERT INTO entry_subjects (studio, subject, sequence) VALUES ($1, $2, $3)")
            .bind(studio)
            .bind(subject.to_string())
            .bind(recorded.sequence)
            .execute(&mut **change)
            .await
            .map_err(|e| failed(&e))?;
    }
    Ok(())
}

pub(super) async fn keep_state(
    change: &mut Change,
    studio: &str,
    subject: &Subject,
    state: Option<State>,
) -> Result<(), Problem> {
    let done = match state {
        Some(state) => {
            sqlx::query(
                "INSERT INTO states (studio, subject, state) VALUES ($1, $2, $3) ON CONFLICT (studio, subject) DO UPDATE SET state = excluded.state",
            )
            .bind(studio)
            .bind(subject.to_string())
            .bind(json(&state)?)
            .execute(&mut **change)
            .await
        }
        None => {
            sqlx::query("DELETE FROM states WHERE studio = $1 AND subject = $2")
                .bind(studio)
                .bind(subject.to_string())
                .execute(&mut **change)
                .await
        }
    };
    done.map(|_| ()).map_err(|e| failed(&e))
}
