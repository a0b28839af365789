//! Statements sent together: each sent apart is a step to the database and back.

use sqlx::any::AnyArguments;
use sqlx::query::Query;
use sqlx::{Any, Arguments as _, AssertSqlSafe};
use std::borrow::Cow;
use std::fmt::Write as _;

/// A value in a statement.
pub(super) enum Value {
    Text(String),
    Number(i64),
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Value {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<i64> for Value {
    fn from(number: i64) -> Self {
        Self::Number(number)
    }
}

/// Statements, each with its values `$1`, `$2` and so on, in the order in which they are done.
#[derive(Default)]
pub(super) struct Statements(Vec<Statement>);

struct Statement {
    text: Cow<'static, str>,
    values: Vec<Value>,
}

impl Statements {
    /// Adds one. Every part of its text is a constant of this program.
    pub(super) fn add(
        &mut self,
        text: impl Into<Cow<'static, str>>,
        values: impl IntoIterator<Item = Value>,
    ) {
        self.0.push(Statement {
            text: text.into(),
            values: values.into_iter().collect(),
        });
    }

    /// The same, some at a time.
    pub(super) fn by(self, most: usize) -> Vec<Self> {
        let Self(mut rest) = self;
        let mut parts = Vec::new();
        while !rest.is_empty() {
            let later = rest.split_off(rest.len().min(most));
            parts.push(Self(rest));
            rest = later;
        }
        parts
    }

    /// As one text for SQLite, which does one after the other; between two without values.
    pub(super) fn one_after_the_other(
        self,
        before: Option<&'static str>,
        after: Option<&'static str>,
    ) -> Result<Prepared, sqlx::Error> {
        let Self(mut all) = self;
        let bare = |text: &'static str| Statement {
            text: text.into(),
            values: Vec::new(),
        };
        all.splice(0..0, before.map(bare));
        all.extend(after.map(bare));
        prepared(all, false)
    }

    /// As one text for PostgreSQL, which does all at the same time.
    pub(super) fn at_the_same_time(self) -> Result<Prepared, sqlx::Error> {
        prepared(self.0, true)
    }
}

/// A text with its values.
type Prepared = Query<'static, Any, AnyArguments>;

fn prepared(statements: Vec<Statement>, with: bool) -> Result<Prepared, sqlx::Error> {
    let text = joined(&statements, with);
    let mut all = AnyArguments::default();
    for value in statements.into_iter().flat_map(|s| s.values) {
        match value {
            Value::Text(text) => all.add(text),
            Value::Number(number) => all.add(number),
        }
        .map_err(sqlx::Error::Encode)?;
    }
    Ok(sqlx::query_with(AssertSqlSafe(text), all))
}

/// One text of several statements, their values numbered through. SQLite takes one after the other;
/// PostgreSQL takes one with values at a time, to which others may be `WITH`.
fn joined(statements: &[Statement], with: bool) -> String {
    let mut out = String::new();
    let mut before = 0_usize;
    let last = statements.len().saturating_sub(1);
    for (index, statement) in statements.iter().enumerate() {
        let _ = match (with, index) {
            (false, 0) => Ok(()),
            (false, _) => out.write_str("; "),
            (true, 0) if last == 0 => Ok(()),
            (true, 0) => write!(out, "WITH w{index} AS ("),
            (true, _) if index == last => out.write_str(") "),
            (true, _) => write!(out, "), w{index} AS ("),
        };
        let mut parts = statement.text.split('$');
        out.push_str(parts.next().unwrap_or_default());
        for part in parts {
            let end = part
                .find(|c: char| !c.is_ascii_digit())
                .unwrap_or(part.len());
            let (number, text) = part.split_at(end);
            let number = number.parse().unwrap_or(0_usize).saturating_add(before);
            let _ = write!(out, "${number}{text}");
        }
        before = before.saturating_add(statement.values.len());
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{Statements, Value, joined};

    #[test]
    fn statements_become_one_text_that_each_database_takes() {
        let mut all = Statements::default();
        all.add(
            "INSERT INTO a (x, y) VALUES ($1, $2)",
            ["x".into(), 1.into()],
        );
        all.add("DELETE FROM b WHERE z = $1", [Value::Number(2)]);
        all.add(
            "INSERT INTO c (x, y) VALUES ($2, $1)",
            ["x".into(), "y".into()],
        );
        assert_eq!(
            joined(&all.0, false),
            "INSERT INTO a (x, y) VALUES ($1, $2); DELETE FROM b WHERE z = $3; INSERT INTO c (x, y) VALUES ($5, $4)"
        );
        assert_eq!(
            joined(&all.0, true),
            "WITH w0 AS (INSERT INTO a (x, y) VALUES ($1, $2)), w1 AS (DELETE FROM b WHERE z = $3) INSERT INTO c (x, y) VALUES ($5, $4)"
        );
        let one = &all.0[..1];
        assert_eq!(joined(one, true), one[0].text);
    }
}
