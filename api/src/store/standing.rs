//! What the containers and shipments of a book come to, as it stands.

use super::reply::state;
use super::{Store, failed, number};
use crate::problem::Problem;
use spent_silver_domain::ledger::{Book, State, Subject};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Whole books of the studios that were asked last, each with the number of its last entry. They are
/// what stands in the database until that number moves, whoever moves it.
#[derive(Debug, Default)]
pub(super) struct KnownBooks(Mutex<BTreeMap<String, (i64, Arc<Book>)>>);

impl KnownBooks {
    /// Most studios.
    const STUDIOS: usize = 8;
    /// Most containers and shipments of one: beyond, a book takes more room than it saves time.
    const SUBJECTS: usize = 2_000;

    fn open(&self) -> MutexGuard<'_, BTreeMap<String, (i64, Arc<Book>)>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn get(&self, studio: &str, sequence: i64) -> Option<Arc<Book>> {
        let open = self.open();
        let (known, book) = open.get(studio)?;
        (*known == sequence).then(|| Arc::clone(book))
    }

    fn keep(&self, studio: &str, sequence: i64, book: &Arc<Book>) {
        if book.subjects().nth(Self::SUBJECTS).is_some() {
            return;
        }
        let mut open = self.open();
        if open.len() >= Self::STUDIOS && !open.contains_key(studio) {
            open.clear();
        }
        open.insert(studio.to_owned(), (sequence, Arc::clone(book)));
    }
}

impl Store {
    /// The book of these subjects as it stands; of all where none is named.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn standing(
        &self,
        studio: &str,
        only: Option<&Subject>,
    ) -> Result<Arc<Book>, Problem> {
        let Some(subject) = only else {
            return self.whole(studio).await;
        };
        let rows =
            sqlx::query("SELECT subject, state FROM states WHERE studio = $1 AND subject = $2")
                .bind(studio)
                .bind(subject.to_string())
                .fetch_all(&self.pool)
                .await
                .map_err(|e| failed(&e))?;
        let states: Result<Vec<(Subject, State)>, Problem> = rows.iter().map(state).collect();
        Ok(Arc::new(Book::resume(states?)))
    }

    async fn whole(&self, studio: &str) -> Result<Arc<Book>, Problem> {
        // The number is read first: a book that is newer than its number is only read again.
        let row = sqlx::query("SELECT last_sequence FROM studios WHERE id = $1")
            .bind(studio)
            .fetch_optional(&self.pool)
            .await
            .map_err(|e| failed(&e))?;
        let sequence = row.map(|row| number(&row, "last_sequence")).transpose()?;
        if let Some(known) = sequence.and_then(|n| self.books.get(studio, n)) {
            return Ok(known);
        }
        let rows = sqlx::query("SELECT subject, state FROM states WHERE studio = $1")
            .bind(studio)
            .fetch_all(&self.pool)
            .await
            .map_err(|e| failed(&e))?;
        let states: Result<Vec<(Subject, State)>, Problem> = rows.iter().map(state).collect();
        let book = Arc::new(Book::resume(states?));
        if let Some(sequence) = sequence {
            self.books.keep(studio, sequence, &book);
        }
        Ok(book)
    }
}
