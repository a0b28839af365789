//! A change under way, in as few steps to the database as may be: each is a way there and back.

use super::statements::Statements;
use super::{Backend, failed};
use crate::problem::Problem;
use sqlx::any::AnyRow;
use sqlx::pool::PoolConnection;
use sqlx::{Any, AnyPool, Executor as _};

/// Most statements in one step. Each way of putting some together is a text of its own to prepare, and
/// a text has its limits.
const TOGETHER: usize = 16;

/// Statements that count together or not at all: durable once committed, and nothing where it is
/// dropped.
///
/// SQLite takes several statements in one text: it begins with the first ones and commits with the
/// last. PostgreSQL takes one with values at a time, so that beginning and committing are steps of
/// their own.
pub(super) struct Change {
    /// `None` once it is committed.
    connection: Option<PoolConnection<Any>>,
    backend: Backend,
    /// What begins it, until it has begun.
    begin: Option<&'static str>,
}

impl Change {
    /// To be begun with `begin`, by the first statement.
    pub(super) async fn to_begin(
        pool: &AnyPool,
        backend: Backend,
        begin: &'static str,
    ) -> Result<Self, Problem> {
        let connection = pool.acquire().await.map_err(|e| failed(&e))?;
        Ok(Self {
            connection: Some(connection),
            backend,
            begin: Some(begin),
        })
    }

    /// The rows of all, in turn. Each finds what those before it did, and what others did until then:
    /// in PostgreSQL, where a statement that waits for a lock sees what was there before it waited,
    /// each is a step of its own.
    pub(super) async fn read(&mut self, reads: Statements) -> Result<Vec<AnyRow>, sqlx::Error> {
        let (mut begin, backend) = (self.begin.take(), self.backend);
        let connection = self.open()?;
        if backend == Backend::Sqlite {
            let query = reads.one_after_the_other(begin, None)?;
            return query.fetch_all(&mut **connection).await;
        }
        send_alone(connection, begin.take()).await?;
        let mut rows = Vec::new();
        for step in reads.by(1) {
            rows.extend(
                step.at_the_same_time()?
                    .fetch_all(&mut **connection)
                    .await?,
            );
        }
        Ok(rows)
    }

    /// Does them, in as few steps as may be. No two of them write the same row, and none reads what
    /// another writes: PostgreSQL does those of one step at the same time.
    pub(super) async fn write(&mut self, writes: Statements) -> Result<(), sqlx::Error> {
        self.send(writes, None).await
    }

    /// Does the last of them, as [`Change::write`] would, and commits.
    pub(super) async fn commit(mut self, last: Statements) -> Result<(), sqlx::Error> {
        self.send(last, Some("COMMIT")).await?;
        self.connection = None;
        Ok(())
    }

    async fn send(
        &mut self,
        writes: Statements,
        mut end: Option<&'static str>,
    ) -> Result<(), sqlx::Error> {
        let (mut begin, backend) = (self.begin.take(), self.backend);
        let connection = self.open()?;
        let mut steps = writes.by(TOGETHER).into_iter().peekable();
        if backend == Backend::Postgres {
            send_alone(connection, begin.take()).await?;
        }
        while let Some(step) = steps.next() {
            let query = match backend {
                Backend::Sqlite => {
                    let end = if steps.peek().is_none() {
                        end.take()
                    } else {
                        None
                    };
                    step.one_after_the_other(begin.take(), end)?
                }
                Backend::Postgres => step.at_the_same_time()?,
            };
            query.execute(&mut **connection).await?;
        }
        send_alone(connection, begin).await?;
        send_alone(connection, end).await
    }

    /// The connection, which is there until the change is committed.
    fn open(&mut self) -> Result<&mut PoolConnection<Any>, sqlx::Error> {
        self.connection.as_mut().ok_or(sqlx::Error::PoolClosed)
    }
}

async fn send_alone(
    connection: &mut PoolConnection<Any>,
    statement: Option<&'static str>,
) -> Result<(), sqlx::Error> {
    if let Some(statement) = statement {
        connection.execute(statement).await?;
    }
    Ok(())
}

impl Drop for Change {
    /// Takes back what was not committed. Where that cannot be said, because the database ended it by
    /// itself, the connection is closed.
    fn drop(&mut self) {
        if let Some(mut connection) = self.connection.take()
            && self.begin.is_none()
        {
            tokio::spawn(async move {
                if connection.execute("ROLLBACK").await.is_err() {
                    let _ = connection.close().await;
                }
            });
        }
    }
}
