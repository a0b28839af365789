//! The store: the silver book in one SQLite file, or in a PostgreSQL database.
//!
//! One text of each statement serves both: columns are text and whole numbers, and parameters are
//! written `$1`. Whatever changes a studio first raises a number in that studio's row, which both
//! databases take as a lock, so that two writers come one after the other.

mod access;
mod book;
mod carry;
mod change;
mod failure;
mod paper;
mod reply;
mod standing;
mod statements;
mod studio;

pub use access::{Access, Deed, NewToken, Role, TokenRecord};
pub(crate) use access::{random, sha256};
pub use book::{RecordedEntry, Recording};
pub use carry::{Difference, Imported};
pub use paper::{IssuedDocument, IssuedSummary, Issuing};
pub use reply::Reply;
pub use studio::{StoredStudio, StudioRecord};

use crate::problem::{Code, Problem};
use change::Change;
use failure::failed;
use jiff::Timestamp;
use sqlx::any::{AnyConnectOptions, AnyPoolOptions};
use sqlx::migrate::{MigrateError, Migrator};
use sqlx::{AnyPool, Connection as _, Executor as _, Row as _};
use standing::KnownBooks;
use std::path::{Path, PathBuf};
use std::str::FromStr as _;
use std::sync::Arc;
use std::time::Duration;

/// Schema of both databases.
static SCHEMA: Migrator = sqlx::migrate!();

/// What of it SQLite keeps in another way.
static SCHEMA_OF_SQLITE: Migrator = sqlx::migrate!("./migrations/sqlite");

/// Connections kept open. SQLite has one writer at a time; readers are served beside it.
const CONNECTIONS: u32 = 8;

/// How long a request waits for a connection, or for another writer.
const PATIENCE: Duration = Duration::from_secs(10);

/// The database that a store keeps its book in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Backend {
    /// One file.
    Sqlite,
    /// A server.
    Postgres,
}

/// Where the book is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Location {
    backend: Backend,
    url: String,
    file: Option<PathBuf>,
}

impl Location {
    /// A file of SQLite by its path, or a PostgreSQL database by its URL.
    ///
    /// # Errors
    /// A URL of neither.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        if text.starts_with("postgres://") || text.starts_with("postgresql://") {
            return Ok(Self {
                backend: Backend::Postgres,
                url: text.to_owned(),
                file: None,
            });
        }
        if let Some((scheme, _)) = text.split_once("://") {
            return Err(Problem::new(
                Code::InvalidArgument,
                format!(
                    "--database: `{scheme}` is not known: expected a path, or a postgres:// URL"
                ),
            ));
        }
        if text.is_empty() {
            return Err(Problem::new(
                Code::InvalidArgument,
                "--database: empty: expected a path, or a postgres:// URL",
            ));
        }
        let escaped = text
            .replace('%', "%25")
            .replace('?', "%3F")
            .replace('#', "%23");
        Ok(Self {
            backend: Backend::Sqlite,
            url: format!("sqlite://{escaped}"),
            file: Some(PathBuf::from(text)),
        })
    }

    /// The file, where it is one.
    #[must_use]
    pub fn file(&self) -> Option<&Path> {
        self.file.as_deref()
    }
}

/// The store. Clones share its connections.
#[derive(Debug, Clone)]
pub struct Store {
    pool: AnyPool,
    /// Where changes are made. SQLite makes one at a time: they share one connection, wait for it in
    /// turn, and find in its memory what the last one read and wrote.
    writing: AnyPool,
    backend: Backend,
    books: Arc<KnownBooks>,
}

impl Store {
    /// Opens the book, making it where there is none, and brings its schema up to date.
    ///
    /// # Errors
    /// A file that is no book, or damaged; a book that a newer program wrote; a server that does not
    /// answer.
    pub async fn open(location: &Location) -> Result<Self, Problem> {
        Self::open_with(location, true).await
    }

    /// As [`Store::open`], but a file that is not there is a problem.
    ///
    /// # Errors
    /// See there.
    pub async fn open_existing(location: &Location) -> Result<Self, Problem> {
        Self::open_with(location, false).await
    }

    async fn open_with(location: &Location, make: bool) -> Result<Self, Problem> {
        sqlx::any::install_default_drivers();
        let backend = location.backend;
        let mut url = location.url.clone();
        if let Some(file) = location.file() {
            if make && let Some(folder) = file.parent().filter(|f| !f.as_os_str().is_empty()) {
                std::fs::create_dir_all(folder).map_err(|e| {
                    Problem::new(
                        Code::StoreUnavailable,
                        format!("{} cannot be made: {e}.", folder.display()),
                    )
                })?;
            }
            if !make && !file.exists() {
                return Err(Problem::new(
                    Code::UnreadableFile,
                    format!("{} does not exist.", file.display()),
                ));
            }
            url.push_str(if make { "?mode=rwc" } else { "?mode=rw" });
        }
        let options = AnyConnectOptions::from_str(&url)
            .map_err(|e| Problem::new(Code::InvalidArgument, format!("--database: {e}")))?;
        let pool = |connections| {
            AnyPoolOptions::new()
                .max_connections(connections)
                .acquire_timeout(PATIENCE)
                // Nobody hangs up on a file.
                .test_before_acquire(backend == Backend::Postgres)
                .after_connect(move |connection, _| {
                    Box::pin(async move {
                        if backend == Backend::Sqlite {
                            // Committed is on the disk: the log is synced at each commit.
                            connection
                                .execute("PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA busy_timeout = 10000")
                                .await?;
                        }
                        Ok(())
                    })
                })
                .connect_lazy_with(options.clone())
        };
        let reading = pool(CONNECTIONS);
        let writing = match backend {
            Backend::Sqlite => pool(1),
            Backend::Postgres => reading.clone(),
        };
        let store = Self {
            pool: reading,
            writing,
            backend,
            books: Arc::default(),
        };
        store.bring_up_to_date().await?;
        Ok(store)
    }

    async fn bring_up_to_date(&self) -> Result<(), Problem> {
        let own = match self.backend {
            Backend::Sqlite => Some(&SCHEMA_OF_SQLITE),
            Backend::Postgres => None,
        };
        let all = [Some(&SCHEMA), own]
            .into_iter()
            .flatten()
            .flat_map(Migrator::iter)
            .cloned()
            .collect();
        match Migrator::with_migrations(all).run(&self.pool).await {
            Ok(()) => self.keep_log().await,
            Err(MigrateError::VersionMissing(version)) => Err(Problem::new(
                Code::StoreTooNew,
                format!(
                    "The book has schema {version}, which this program does not know: use the program that wrote it, or a newer one."
                ),
            )),
            Err(MigrateError::VersionMismatch(version) | MigrateError::Dirty(version)) => {
                Err(Problem::new(
                    Code::StoreUnavailable,
                    format!(
                        "The schema of the book is not what this program made (version {version})."
                    ),
                ))
            }
            Err(MigrateError::Execute(e) | MigrateError::ExecuteMigration(e, _)) => Err(failed(&e)),
            Err(e) => Err(Problem::new(
                Code::StoreUnavailable,
                format!("The book cannot be opened: {e}."),
            )),
        }
    }

    /// Lets a file be read while it is written, by a log beside it. The file remembers it. Not before its
    /// schema is known to be ours: what a newer program wrote is not touched.
    async fn keep_log(&self) -> Result<(), Problem> {
        if self.backend == Backend::Sqlite {
            let mut connection = self.pool.acquire().await.map_err(|e| failed(&e))?;
            connection
                .execute("PRAGMA journal_mode = WAL")
                .await
                .map_err(|e| failed(&e))?;
        }
        Ok(())
    }

    /// Whether the database answers.
    ///
    /// # Errors
    /// It does not.
    pub async fn check(&self) -> Result<(), Problem> {
        let mut connection = self.pool.acquire().await.map_err(|e| failed(&e))?;
        connection.ping().await.map_err(|e| failed(&e))
    }

    /// The database it is kept in.
    #[must_use]
    pub const fn backend(&self) -> Backend {
        self.backend
    }

    /// Closes every connection, so that a file is whole.
    pub async fn close(&self) {
        self.writing.close().await;
        self.pool.close().await;
    }

    /// A change. SQLite is told at once that it will write: a reader that turns writer could find that
    /// another came first.
    async fn change(&self) -> Result<Change, Problem> {
        let begin = match self.backend {
            Backend::Sqlite => "BEGIN IMMEDIATE",
            Backend::Postgres => "BEGIN",
        };
        Change::to_begin(&self.writing, self.backend, begin).await
    }

    /// What reads the book as it is at one moment.
    async fn reading(&self) -> Result<Change, Problem> {
        Change::to_begin(&self.pool, self.backend, "BEGIN").await
    }

    /// Copies the whole book into a new file while it is in use.
    ///
    /// # Errors
    /// The file exists; the book is not in SQLite.
    pub async fn backup(&self, file: &Path) -> Result<(), Problem> {
        if self.backend != Backend::Sqlite {
            return Err(Problem::new(
                Code::InvalidArgument,
                "A book in PostgreSQL is backed up with that server's own tools, or with `spent-silver export`.",
            ));
        }
        if file.exists() {
            return Err(Problem::new(
                Code::UnwritableFile,
                format!("{} exists already: expected a new name.", file.display()),
            ));
        }
        let Some(name) = file.to_str() else {
            return Err(Problem::new(
                Code::UnwritableFile,
                format!("{} is not a name in UTF-8.", file.display()),
            ));
        };
        sqlx::query("VACUUM INTO $1")
            .bind(name)
            .execute(&self.pool)
            .await
            .map(|_| ())
            .map_err(|e| failed(&e))
    }
}

/// The instant, as every column of instants holds it: all of one length, so that their order is that
/// of time.
fn written(instant: Timestamp) -> String {
    format!("{instant:.6}")
}

/// An instant not before `last`: what is recorded later never bears an earlier instant, also where the
/// clock went back.
fn not_before(now: Timestamp, last: &str) -> String {
    let now = written(now);
    if now.as_str() < last {
        last.to_owned()
    } else {
        now
    }
}

/// A column of text.
fn text(row: &sqlx::any::AnyRow, column: &str) -> Result<String, Problem> {
    row.try_get(column).map_err(|e| failed(&e))
}

/// A column of whole numbers.
fn number(row: &sqlx::any::AnyRow, column: &str) -> Result<i64, Problem> {
    row.try_get(column).map_err(|e| failed(&e))
}

/// A value that the book holds as JSON.
fn parsed<T: serde::de::DeserializeOwned>(json: &str, what: &str) -> Result<T, Problem> {
    serde_json::from_str(json).map_err(|e| {
        tracing::error!(what, error = %e, "the book holds what this program cannot read");
        unreadable(what)
    })
}

fn unreadable(what: &str) -> Problem {
    Problem::new(
        Code::StoreUnavailable,
        format!("The book holds a {what} that cannot be read. `spent-silver verify` says more."),
    )
}

/// A value as the JSON that the book holds.
fn json<T: serde::Serialize>(value: &T) -> Result<String, Problem> {
    let bytes = crate::json::to_vec(value).map_err(|_| Problem::internal())?;
    String::from_utf8(bytes).map_err(|_| Problem::internal())
}
