//! What was answered to requests that may come again.

use super::access::sha256;
use super::statements::{Statements, Value};
use super::{Change, failed, parsed, text};
use crate::problem::{Code, Problem};
use spent_silver_domain::ledger::{State, Subject};
use sqlx::Row as _;
use sqlx::any::AnyRow;
use std::fmt::Write as _;

/// What was answered to a request: its place, and the body.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reply {
    /// Path of what was made.
    pub location: String,
    /// The answer.
    pub body: String,
}

/// What was answered under a key; another request under it is refused.
pub(super) async fn replied(
    change: &mut Change,
    studio: &str,
    (key, payload): (&str, &[u8]),
) -> Result<Option<Reply>, Problem> {
    let mut reads = Statements::default();
    recall(&mut reads, studio, key, &[]);
    let rows = change.read(reads).await.map_err(|e| failed(&e))?;
    Ok(recalled(&rows, payload)?.0)
}

/// Asks what was answered under a key, and for the states of some subjects.
pub(super) fn recall(reads: &mut Statements, studio: &str, key: &str, subjects: &[Subject]) {
    let mut asked = String::from(
        "SELECT NULL AS subject, NULL AS state, fingerprint, location, body FROM replies WHERE studio = $1 AND idempotency_key = $2",
    );
    let mut values: Vec<Value> = vec![studio.into(), key.into()];
    for subject in subjects {
        values.push(subject.to_string().into());
        let _ = write!(
            asked,
            " UNION ALL SELECT subject, state, NULL, NULL, NULL FROM states WHERE studio = $1 AND subject = ${}",
            values.len()
        );
    }
    reads.add(asked, values);
}

/// What was answered before, and states of subjects.
type Recalled = (Option<Reply>, Vec<(Subject, State)>);

/// The rows that were asked for by [`recall`]. Another request under the same key is refused.
pub(super) fn recalled(rows: &[AnyRow], payload: &[u8]) -> Result<Recalled, Problem> {
    let (mut reply, mut states) = (None, Vec::new());
    for row in rows {
        let subject: Option<&str> = row.try_get("subject").map_err(|e| failed(&e))?;
        if subject.is_some() {
            states.push(state(row)?);
        } else if text(row, "fingerprint")? == sha256(payload) {
            reply = Some(Reply {
                location: text(row, "location")?,
                body: text(row, "body")?,
            });
        } else {
            return Err(Problem::new(
                Code::IdempotencyKeyReused,
                "This Idempotency-Key came before with another request: expected a new key for a new request.",
            ));
        }
    }
    Ok((reply, states))
}

/// A subject and its state, as a row of the table of states has them.
pub(super) fn state(row: &AnyRow) -> Result<(Subject, State), Problem> {
    let subject = text(row, "subject")?
        .parse()
        .map_err(|_| Problem::internal())?;
    Ok((subject, parsed(&text(row, "state")?, "state")?))
}

/// Keeps an answer under its key.
pub(super) fn remember(
    writes: &mut Statements,
    studio: &str,
    (key, payload): (&str, &[u8]),
    reply: &Reply,
    at: &str,
) {
    writes.add(
        "INSERT INTO replies (studio, idempotency_key, fingerprint, location, body, created_at) VALUES ($1, $2, $3, $4, $5, $6)",
        [
            studio.into(),
            key.into(),
            sha256(payload).into(),
            reply.location.as_str().into(),
            reply.body.as_str().into(),
            at.into(),
        ],
    );
}
