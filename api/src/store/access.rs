//! Who may do what: tokens, each tied to one studio, and the trail of what was done.

use super::statements::Statements;
use super::{Change, Store, failed, number, text, unreadable, written};
use crate::problem::{Code, Problem};
use clap::ValueEnum;
use jiff::Timestamp;
use serde::Serialize;
use sha2::{Digest as _, Sha256};
use spent_silver_domain::quantity::Identifier;
use std::fmt::Write as _;

/// What a token lets its bearer do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, ValueEnum, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Read the studio's book and calculate from it.
    Reader,
    /// Append entries and issue documents as well.
    Writer,
    /// Change the studio's record as well.
    Owner,
}

impl Role {
    const fn name(self) -> &'static str {
        match self {
            Self::Reader => "reader",
            Self::Writer => "writer",
            Self::Owner => "owner",
        }
    }

    fn named(name: &str) -> Option<Self> {
        [Self::Reader, Self::Writer, Self::Owner]
            .into_iter()
            .find(|role| role.name() == name)
    }
}

/// Who asks, from where, and what that lets them do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Access {
    /// Who: `local`, `operator`, or the token by its public part.
    pub actor: String,
    /// Network address of the caller, or `command line`.
    pub address: String,
    /// The one studio it reaches, with the role there; `None` reaches all, as owner.
    pub only: Option<(Identifier, Role)>,
}

impl Access {
    /// Somebody at the machine itself.
    #[must_use]
    pub fn local(address: impl Into<String>) -> Self {
        Self {
            actor: "local".to_owned(),
            address: address.into(),
            only: None,
        }
    }

    /// Refuses what this access does not reach.
    ///
    /// # Errors
    /// Another studio is not there; in its own, the role may not be enough.
    pub fn check(&self, studio: &str, needed: Role) -> Result<(), Problem> {
        match &self.only {
            None => Ok(()),
            Some((own, _)) if own.as_str() != studio => Err(super::studio::no_studio(studio)),
            Some((_, role)) if *role < needed => Err(Problem::new(
                Code::Forbidden,
                format!(
                    "This token is a {}'s: expected one of a {} or more.",
                    role.name(),
                    needed.name()
                ),
            )),
            Some(_) => Ok(()),
        }
    }
}

/// A token just made. Its text is shown this once and kept nowhere.
pub struct NewToken {
    /// The text to send.
    pub text: String,
    /// Its public part, by which it is listed and revoked.
    pub id: String,
}

/// A token as it is listed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TokenRecord {
    /// Its public part.
    pub id: String,
    /// Its studio.
    pub studio: String,
    /// What it lets its bearer do.
    pub role: Role,
    /// Whose it is.
    pub label: String,
    /// When it was made.
    pub created_at: String,
    /// When it was revoked.
    pub revoked_at: Option<String>,
}

/// One line of the trail.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, serde::Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Deed {
    /// Its number in the studio's trail.
    pub number: i64,
    /// When.
    pub done_at: String,
    /// Who.
    pub actor: String,
    /// From where.
    pub address: String,
    /// What.
    pub action: String,
    /// To what.
    pub target: String,
}

/// Writes one line of the trail, as part of the change it tells of.
pub(super) fn deed(
    writes: &mut Statements,
    studio: &str,
    (count, at): (i64, &str),
    access: &Access,
    (action, target): (&str, &str),
) {
    writes.add(
        "INSERT INTO deeds (studio, number, done_at, actor, address, action, target) VALUES ($1, $2, $3, $4, $5, $6, $7)",
        [
            studio.into(),
            count.into(),
            at.into(),
            access.actor.as_str().into(),
            access.address.as_str().into(),
            action.into(),
            target.into(),
        ],
    );
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut out, byte| {
        let _ = write!(out, "{byte:02x}");
        out
    })
}

pub(crate) fn sha256(text: &[u8]) -> String {
    hexadecimal(&Sha256::digest(text))
}

/// `count` random bytes of the system, in hexadecimal.
pub(crate) fn random(count: usize) -> Result<String, Problem> {
    let mut bytes = vec![0; count];
    getrandom::fill(&mut bytes).map_err(|_| Problem::internal())?;
    Ok(hexadecimal(&bytes))
}

impl Store {
    /// Makes a token for a studio.
    ///
    /// # Errors
    /// There is no such studio.
    pub async fn create_token(
        &self,
        studio: &str,
        role: Role,
        label: &str,
        access: &Access,
        now: Timestamp,
    ) -> Result<NewToken, Problem> {
        let (id, secret) = (random(8)?, random(32)?);
        let mut change = self.change().await?;
        let count = raise_deeds(&mut change, studio).await?;
        let at = written(now);
        let mut writes = Statements::default();
        writes.add(
            "INSERT INTO tokens (id, studio, role, label, secret_sha256, created_at) VALUES ($1, $2, $3, $4, $5, $6)",
            [
                id.as_str().into(),
                studio.into(),
                role.name().into(),
                label.into(),
                sha256(secret.as_bytes()).into(),
                at.as_str().into(),
            ],
        );
        let done = ("create token", id.as_str());
        deed(&mut writes, studio, (count, &at), access, done);
        change.commit(writes).await.map_err(|e| failed(&e))?;
        Ok(NewToken {
            text: format!("{id}.{secret}"),
            id,
        })
    }

    /// Every token, without its secret.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn tokens(&self) -> Result<Vec<TokenRecord>, Problem> {
        let rows = sqlx::query(
            "SELECT id, studio, role, label, created_at, revoked_at FROM tokens ORDER BY created_at, id",
        )
        .fetch_all(&self.pool)
        .await
        .map_err(|e| failed(&e))?;
        rows.iter()
            .map(|row| {
                Ok(TokenRecord {
                    id: text(row, "id")?,
                    studio: text(row, "studio")?,
                    role: Role::named(&text(row, "role")?).ok_or_else(|| unreadable("role"))?,
                    label: text(row, "label")?,
                    created_at: text(row, "created_at")?,
                    revoked_at: sqlx::Row::try_get(row, "revoked_at").map_err(|e| failed(&e))?,
                })
            })
            .collect()
    }

    /// Whether any token is in force.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn has_tokens(&self) -> Result<bool, Problem> {
        sqlx::query("SELECT 1 AS one FROM tokens WHERE revoked_at IS NULL LIMIT 1")
            .fetch_optional(&self.pool)
            .await
            .map(|row| row.is_some())
            .map_err(|e| failed(&e))
    }

    /// Takes a token out of force.
    ///
    /// # Errors
    /// There is none of that id in force.
    pub async fn revoke_token(
        &self,
        id: &str,
        access: &Access,
        now: Timestamp,
    ) -> Result<(), Problem> {
        let mut change = self.change().await?;
        let mut revoke = Statements::default();
        revoke.add(
            "UPDATE tokens SET revoked_at = $2 WHERE id = $1 AND revoked_at IS NULL RETURNING studio",
            [id.into(), written(now).into()],
        );
        let rows = change.read(revoke).await.map_err(|e| failed(&e))?;
        let row = rows
            .first()
            .ok_or_else(|| Problem::new(Code::NotFound, format!("No token `{id}` is in force.")))?;
        let studio = text(row, "studio")?;
        let count = raise_deeds(&mut change, &studio).await?;
        let mut writes = Statements::default();
        let done = ("revoke token", id);
        deed(&mut writes, &studio, (count, &written(now)), access, done);
        change.commit(writes).await.map_err(|e| failed(&e))
    }

    /// What a token lets its bearer do; `None` where it is not in force. The secret is compared by its
    /// hash, in a time that does not tell how much of it is right.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn admit(&self, token: &str, address: &str) -> Result<Option<Access>, Problem> {
        let Some((id, secret)) = token.split_once('.') else {
            return Ok(None);
        };
        let row = sqlx::query(
            "SELECT studio, role, secret_sha256 FROM tokens WHERE id = $1 AND revoked_at IS NULL",
        )
        .bind(id)
        .fetch_optional(&self.pool)
        .await
        .map_err(|e| failed(&e))?;
        let given = sha256(secret.as_bytes());
        let kept = row
            .as_ref()
            .map_or_else(|| Ok(String::new()), |row| text(row, "secret_sha256"))?;
        let right = crate::config::Secret::from(kept).matches(given.as_bytes());
        let Some(row) = row.filter(|_| right) else {
            return Ok(None);
        };
        let studio = text(&row, "studio")?;
        let (Ok(studio), Some(role)) =
            (Identifier::new(&studio), Role::named(&text(&row, "role")?))
        else {
            return Ok(None);
        };
        Ok(Some(Access {
            actor: format!("token {id}"),
            address: address.to_owned(),
            only: Some((studio, role)),
        }))
    }

    /// The trail of a studio after a number, at most `limit` lines.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn deeds(&self, studio: &str, after: i64, limit: i64) -> Result<Vec<Deed>, Problem> {
        let rows = sqlx::query(
            "SELECT number, done_at, actor, address, action, target FROM deeds WHERE studio = $1 AND number > $2 ORDER BY number LIMIT $3",
        )
        .bind(studio)
        .bind(after)
        .bind(limit)
        .fetch_all(&self.pool)
        .await
        .map_err(|e| failed(&e))?;
        rows.iter()
            .map(|row| {
                Ok(Deed {
                    number: number(row, "number")?,
                    done_at: text(row, "done_at")?,
                    actor: text(row, "actor")?,
                    address: text(row, "address")?,
                    action: text(row, "action")?,
                    target: text(row, "target")?,
                })
            })
            .collect()
    }
}

/// Raises the number of the studio's deeds, which locks the studio until the change ends.
async fn raise_deeds(change: &mut Change, studio: &str) -> Result<i64, Problem> {
    let mut raise = Statements::default();
    raise.add(
        "UPDATE studios SET last_deed = last_deed + 1 WHERE id = $1 RETURNING last_deed",
        [studio.into()],
    );
    let rows = change.read(raise).await.map_err(|e| failed(&e))?;
    let row = rows
        .first()
        .ok_or_else(|| super::studio::no_studio(studio))?;
    number(row, "last_deed")
}
