//! What a database says when it fails, as a problem that says what to do.

use crate::problem::{Code, Problem};

/// How long a caller waits before it tries again.
const WAIT_SECONDS: u64 = 2;

/// The problem that an error of the database is.
pub(super) fn failed(error: &sqlx::Error) -> Problem {
    let unavailable = |detail: String| Problem {
        retry_after: Some(WAIT_SECONDS),
        ..Problem::new(Code::StoreUnavailable, detail)
    };
    tracing::warn!(error = %error, "the database failed");
    match error {
        sqlx::Error::PoolTimedOut => unavailable(
            "The book is busy: other requests hold it. Nothing was changed; try again.".to_owned(),
        ),
        sqlx::Error::Database(error) => {
            let code = error.code();
            let code = code.as_deref().unwrap_or_default();
            match reason(code) {
                Reason::Full => unavailable(
                    "There is no room left where the book is kept. Nothing was changed; make room and try again."
                        .to_owned(),
                ),
                Reason::Busy => unavailable(
                    "Somebody else is writing. Nothing was changed; try again.".to_owned(),
                ),
                Reason::Damaged => unavailable(format!(
                    "The file is not a whole book: {}. Restore a backup.",
                    error.message()
                )),
                Reason::Closed => unavailable(format!(
                    "The book cannot be opened or written: {}. Nothing was changed.",
                    error.message()
                )),
                Reason::Other => Problem::internal(),
            }
        }
        sqlx::Error::Io(error) => unavailable(format!(
            "The book cannot be reached: {error}. Nothing was changed."
        )),
        sqlx::Error::Tls(error) => unavailable(format!("The book cannot be reached: {error}.")),
        _ => Problem::internal(),
    }
}

/// Whether a row of that table could not be written because what it is known by is another's.
pub(super) fn is_taken(error: &sqlx::Error, table: &str) -> bool {
    let sqlx::Error::Database(error) = error else {
        return false;
    };
    // PostgreSQL names the constraint, which begins with the table; SQLite the columns, in its message.
    error.is_unique_violation()
        && error
            .constraint()
            .or_else(|| error.message().rsplit(": ").next())
            .is_some_and(|name| {
                name.strip_prefix(table)
                    .is_some_and(|rest| rest.starts_with(['.', '_']))
            })
}

enum Reason {
    Full,
    Busy,
    Damaged,
    Closed,
    Other,
}

/// Result codes of SQLite (sqlite.org/rescode.html), the low byte of which is the kind, and SQLSTATE
/// of PostgreSQL (its manual, appendix A).
fn reason(code: &str) -> Reason {
    if code.len() == 5 {
        return match (code.get(..2), code) {
            (_, "53100") => Reason::Full,
            (_, "40001" | "40P01" | "55P03") => Reason::Busy,
            (Some("53" | "57" | "08" | "28" | "3D"), _) => Reason::Closed,
            _ => Reason::Other,
        };
    }
    match code.parse::<i32>().map(|code| code & 0xff) {
        Ok(13) => Reason::Full,
        Ok(5 | 6) => Reason::Busy,
        Ok(11 | 26) => Reason::Damaged,
        // Permission, read-only, an error of the disk, cannot open.
        Ok(3 | 8 | 10 | 14) => Reason::Closed,
        _ => Reason::Other,
    }
}
