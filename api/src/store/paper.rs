//! Documents, issued: numbered, kept as they were, and never made anew from other data.

use super::access::{Access, deed};
use super::book::lock;
use super::reply::{Reply, remember, replied};
use super::statements::Statements;
use super::{Store, failed, json, number, parsed, text};
use crate::problem::{Code, Problem};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use spent_silver_domain::document::{Document, DocumentKind};
use spent_silver_domain::quantity::Date;
use sqlx::any::AnyRow;
use utoipa::ToSchema;

/// A document as it was issued.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct IssuedDocument {
    /// Its number among the studio's documents: 1, 2, 3.
    pub number: i64,
    /// When it was issued.
    pub issued_at: String,
    /// The last entry of the book that it could rest on.
    pub as_of_sequence: i64,
    /// Version of the program, and so of its data, that drew it up.
    pub program_version: String,
    /// The document. Its fingerprint is `sha256`, its rule set and that one's edition stand in `notice`.
    pub document: Document,
}

/// A document in a list.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct IssuedSummary {
    /// Its number among the studio's documents.
    pub number: i64,
    /// When it was issued.
    pub issued_at: String,
    /// What it is.
    pub kind: DocumentKind,
    /// Its heading.
    pub title: String,
    /// The name it is filed under.
    pub record_id: String,
    /// The day it is dated.
    pub dated_on: Date,
    /// Its fingerprint.
    pub sha256: String,
}

impl IssuedDocument {
    /// The document as a list has it.
    #[must_use]
    pub fn summary(&self) -> IssuedSummary {
        IssuedSummary {
            number: self.number,
            issued_at: self.issued_at.clone(),
            kind: self.document.kind,
            title: self.document.title.clone(),
            record_id: self.document.record_id.clone(),
            dated_on: self.document.dated_on,
            sha256: self.document.sha256.clone().unwrap_or_default(),
        }
    }
}

/// A document to be issued.
pub struct Issuing<'a> {
    /// The studio.
    pub studio: &'a str,
    /// The document, as it was drawn up.
    pub document: &'a Document,
    /// The key under which the request may come again.
    pub key: &'a str,
    /// The request, as it came.
    pub payload: &'a [u8],
    /// Who issues it.
    pub access: &'a Access,
    /// Now.
    pub now: Timestamp,
}

impl Store {
    /// Issues a document: gives it the next number, and keeps it. `answer` makes the answer that is
    /// kept with it.
    ///
    /// # Errors
    /// A key that was used for another request; those of the database.
    pub async fn issue(
        &self,
        issuing: &Issuing<'_>,
        answer: impl FnOnce(&IssuedDocument) -> Result<Reply, Problem>,
    ) -> Result<Reply, Problem> {
        let studio = issuing.studio;
        let request = (issuing.key, issuing.payload);
        let mut change = self.change().await?;
        let locked = lock(&mut change, studio, (0, 1), issuing.now, request, &[]).await?;
        if let Some(reply) = locked.reply {
            return Ok(reply);
        }
        let issued = IssuedDocument {
            number: locked.document,
            issued_at: locked.at.clone(),
            as_of_sequence: locked.sequence,
            program_version: env!("CARGO_PKG_VERSION").to_owned(),
            document: issuing.document.clone(),
        };
        let mut writes = Statements::default();
        insert(&mut writes, studio, &issued)?;
        let reply = answer(&issued)?;
        remember(&mut writes, studio, request, &reply, &locked.at);
        let target = issued.document.record_id.as_str();
        deed(
            &mut writes,
            studio,
            (locked.deed, &locked.at),
            issuing.access,
            ("issue document", target),
        );
        change.commit(writes).await.map_err(|e| failed(&e))?;
        Ok(reply)
    }

    /// What was answered to this request before, if it came before.
    ///
    /// # Errors
    /// The key was used for another request.
    pub async fn reply_to(
        &self,
        studio: &str,
        key: &str,
        payload: &[u8],
    ) -> Result<Option<Reply>, Problem> {
        let mut change = self.reading().await?;
        replied(&mut change, studio, (key, payload)).await
    }

    /// Documents after a number, at most `limit`.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn documents(
        &self,
        studio: &str,
        after: i64,
        limit: i64,
    ) -> Result<Vec<IssuedDocument>, Problem> {
        let rows = sqlx::query(
            "SELECT number, issued_at, as_of_sequence, program_version, body FROM documents WHERE studio = $1 AND number > $2 ORDER BY number LIMIT $3",
        )
        .bind(studio)
        .bind(after)
        .bind(limit)
        .fetch_all(&self.pool)
        .await
        .map_err(|e| failed(&e))?;
        rows.iter().map(issued).collect()
    }

    /// The document of that number.
    ///
    /// # Errors
    /// There is none.
    pub async fn document(&self, studio: &str, count: i64) -> Result<IssuedDocument, Problem> {
        let row = sqlx::query(
            "SELECT number, issued_at, as_of_sequence, program_version, body FROM documents WHERE studio = $1 AND number = $2",
        )
        .bind(studio)
        .bind(count)
        .fetch_optional(&self.pool)
        .await
        .map_err(|e| failed(&e))?
        .ok_or_else(|| {
            Problem::new(Code::NotFound, format!("No document {count} was issued here."))
        })?;
        issued(&row)
    }
}

pub(super) fn issued(row: &AnyRow) -> Result<IssuedDocument, Problem> {
    Ok(IssuedDocument {
        number: number(row, "number")?,
        issued_at: text(row, "issued_at")?,
        as_of_sequence: number(row, "as_of_sequence")?,
        program_version: text(row, "program_version")?,
        document: parsed(&text(row, "body")?, "document")?,
    })
}

pub(super) fn insert(
    writes: &mut Statements,
    studio: &str,
    issued: &IssuedDocument,
) -> Result<(), Problem> {
    let notice = &issued.document.notice;
    writes.add(
        "INSERT INTO documents (studio, number, issued_at, as_of_sequence, sha256, program_version, rule_set, rule_set_edition, body) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
        [
            studio.into(),
            issued.number.into(),
            issued.issued_at.as_str().into(),
            issued.as_of_sequence.into(),
            issued.document.sha256.as_deref().unwrap_or_default().into(),
            issued.program_version.as_str().into(),
            notice.rule_set.as_ref().into(),
            notice.edition.as_ref().into(),
            json(&issued.document)?.into(),
        ],
    );
    Ok(())
}
