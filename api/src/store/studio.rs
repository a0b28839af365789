//! Studios: whose book it is, and where.

use super::access::{Access, deed};
use super::failure::is_taken;
use super::reply::{Reply, remember, replied};
use super::statements::Statements;
use super::{Change, Store, failed, json, not_before, number, parsed, text, written};
use crate::problem::{Code, ErrorEntry, Problem};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use spent_silver_domain::document::StudioDetails;
use spent_silver_domain::fault::{Fault, FaultKind, Faults};
use spent_silver_domain::quantity::{Date, Identifier, Text};
use spent_silver_domain::report::{Dealings, Studio};
use spent_silver_domain::waste::rule_set::RuleSetName;
use sqlx::any::AnyRow;
use utoipa::ToSchema;

/// A studio, as it is kept: what calculations and papers ask of it, so that no request repeats it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StudioRecord {
    /// Its name in paths, which never changes.
    pub id: Identifier,
    /// The studio and its site, as a report takes them.
    pub studio: Studio,
    /// How it stands on paper.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub details: Option<StudioDetails>,
    /// Its time zone, by its IANA name such as `Europe/Berlin`: it says which day it is there; default
    /// `UTC`, which the record then says.
    #[serde(default = "universal_time")]
    #[schema(default = "UTC")]
    pub time_zone: Text,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub rule_set: Option<RuleSetName>,
    /// Prices, terms and habits of the studio: calculations from the book take them where a request is
    /// silent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub dealings: Option<Dealings>,
}

/// The time zone of a studio that names none.
fn universal_time() -> Text {
    Text::fixed("UTC")
}

impl StudioRecord {
    /// The day it is there at that instant.
    #[must_use]
    pub fn day(&self, now: Timestamp) -> Date {
        let zone = self.zone().unwrap_or(jiff::tz::TimeZone::UTC);
        Date::of(zone.to_datetime(now).date())
    }

    fn zone(&self) -> Option<jiff::tz::TimeZone> {
        jiff::tz::TimeZone::get(self.time_zone.as_str()).ok()
    }

    pub(super) fn check(&self) -> Result<(), Problem> {
        let mut faults = Vec::new();
        if self.zone().is_none() {
            faults.push(Fault::new(
                FaultKind::Unknown,
                "/time_zone",
                format!(
                    "`{}` is not known: expected an IANA name such as Europe/Berlin",
                    self.time_zone
                ),
            ));
        }
        if let Some(dealings) = &self.dealings {
            faults.extend(dealings.faults("/dealings"));
        }
        Ok(Faults::none_of(faults)?)
    }
}

/// A studio, and which version of its record this is.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredStudio {
    /// The record.
    pub record: StudioRecord,
    /// Raised by one at each change.
    pub version: i64,
    /// The place in the list of studios.
    pub position: i64,
    /// The number of its last entry.
    pub last_sequence: i64,
}

/// Where replies are kept that belong to no studio yet: no name is empty.
const NO_STUDIO: &str = "";

const COLUMNS_OF_ONE: &str =
    "SELECT position, body, version, last_sequence FROM studios WHERE id = $1";

impl Store {
    /// Begins the book of a studio.
    ///
    /// # Errors
    /// A name that is taken, an unknown time zone, a key that was used for another request.
    pub async fn create_studio(
        &self,
        record: &StudioRecord,
        access: &Access,
        request: (&str, &[u8]),
        now: Timestamp,
    ) -> Result<Reply, Problem> {
        record.check()?;
        let mut change = self.change().await?;
        let position = next_position(&mut change).await?;
        if let Some(reply) = replied(&mut change, NO_STUDIO, request).await? {
            return Ok(reply);
        }
        let at = written(now);
        let id = record.id.as_str();
        let mut writes = Statements::default();
        writes.add(
            "INSERT INTO studios (id, position, body, version, created_at, last_sequence, last_document, last_deed, last_recorded_at) VALUES ($1, $2, $3, 1, $4, 0, 0, 1, $4)",
            [id.into(), position.into(), json(record)?.into(), at.as_str().into()],
        );
        // A step of its own: a studio that has the name has a first deed as well.
        change.write(writes).await.map_err(|e| {
            if is_taken(&e, "studios") {
                taken(&record.id)
            } else {
                failed(&e)
            }
        })?;
        let reply = Reply {
            location: format!("/v1/studios/{}", record.id),
            body: json(record)?,
        };
        let mut writes = Statements::default();
        deed(&mut writes, id, (1, &at), access, ("create studio", id));
        remember(&mut writes, NO_STUDIO, request, &reply, &at);
        change.commit(writes).await.map_err(|e| failed(&e))?;
        Ok(reply)
    }

    /// The studio of that name.
    ///
    /// # Errors
    /// There is none.
    pub async fn studio(&self, id: &str) -> Result<StoredStudio, Problem> {
        let row = sqlx::query(COLUMNS_OF_ONE)
            .bind(id)
            .fetch_optional(&self.pool)
            .await
            .map_err(|e| failed(&e))?
            .ok_or_else(|| no_studio(id))?;
        stored(&row)
    }

    /// Studios after a place in the list, at most `limit`.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn studios(&self, after: i64, limit: i64) -> Result<Vec<StoredStudio>, Problem> {
        let rows = sqlx::query(
            "SELECT position, body, version, last_sequence FROM studios WHERE position > $1 ORDER BY position LIMIT $2",
        )
        .bind(after)
        .bind(limit)
        .fetch_all(&self.pool)
        .await
        .map_err(|e| failed(&e))?;
        rows.iter().map(stored).collect()
    }

    /// Puts a new record in the place of version `seen`.
    ///
    /// # Errors
    /// There is no such studio, or its record is no longer that version.
    pub async fn replace_studio(
        &self,
        record: &StudioRecord,
        seen: i64,
        access: &Access,
        now: Timestamp,
    ) -> Result<StoredStudio, Problem> {
        record.check()?;
        let mut change = self.change().await?;
        let mut raise = Statements::default();
        raise.add(
            "UPDATE studios SET body = $2, version = version + 1, last_deed = last_deed + 1 WHERE id = $1 AND version = $3 RETURNING position, version, last_sequence, last_deed, last_recorded_at",
            [record.id.as_str().into(), json(record)?.into(), seen.into()],
        );
        let rows = change.read(raise).await.map_err(|e| failed(&e))?;
        let Some(row) = rows.first() else {
            drop(change);
            self.studio(record.id.as_str()).await?;
            return Err(Problem::new(
                Code::PreconditionFailed,
                "The studio was changed since you read it: read it again, and put your change into what it is now.",
            ));
        };
        let at = not_before(now, &text(row, "last_recorded_at")?);
        let count = number(row, "last_deed")?;
        let id = record.id.as_str();
        let mut writes = Statements::default();
        deed(
            &mut writes,
            id,
            (count, &at),
            access,
            ("replace studio", id),
        );
        change.commit(writes).await.map_err(|e| failed(&e))?;
        Ok(StoredStudio {
            record: record.clone(),
            version: number(row, "version")?,
            position: number(row, "position")?,
            last_sequence: number(row, "last_sequence")?,
        })
    }
}

/// The place of the next studio in the list, which locks the list until the change ends.
pub(super) async fn next_position(change: &mut Change) -> Result<i64, Problem> {
    let mut raise = Statements::default();
    raise.add(
        "UPDATE counters SET value = value + 1 WHERE name = 'studios' RETURNING value",
        [],
    );
    let rows = change.read(raise).await.map_err(|e| failed(&e))?;
    number(rows.first().ok_or_else(Problem::internal)?, "value")
}

fn stored(row: &AnyRow) -> Result<StoredStudio, Problem> {
    Ok(StoredStudio {
        record: parsed(&text(row, "body")?, "studio")?,
        version: number(row, "version")?,
        position: number(row, "position")?,
        last_sequence: number(row, "last_sequence")?,
    })
}

/// There is no such studio, or the caller may not know of it: the two are told alike.
pub(crate) fn no_studio(id: &str) -> Problem {
    let id: String = id.chars().take(64).collect();
    Problem::new(Code::NotFound, format!("There is no studio `{id}` here."))
}

fn taken(id: &Identifier) -> Problem {
    let detail = format!("`{id}` is the name of a studio already: expected a name of its own");
    Problem::new(Code::StateConflict, detail.clone())
        .with(ErrorEntry::at("conflict", "/id", detail))
}
