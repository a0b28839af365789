//! Published values as data: each check is a row with its source, the published value, ours and the tolerance.

use serde_json::Value;

/// One published figure against ours.
#[derive(Debug)]
pub struct Check {
    source: String,
    what: String,
    published: f64,
    ours: f64,
    tolerance: f64,
}

/// Collects checks, prints them as a table and fails on those out of tolerance.
#[derive(Debug, Default)]
pub struct Table {
    rows: Vec<Check>,
}

impl Table {
    /// Adds a check with an absolute tolerance.
    pub fn within(&mut self, source: &str, what: &str, published: f64, ours: f64, tolerance: f64) {
        self.rows.push(Check {
            source: source.to_owned(),
            what: what.to_owned(),
            published,
            ours,
            tolerance,
        });
    }

    /// Adds a check with a relative tolerance.
    pub fn relative(
        &mut self,
        source: &str,
        what: &str,
        published: f64,
        ours: f64,
        tolerance: f64,
    ) {
        self.within(source, what, published, ours, tolerance * published.abs());
    }

    /// The table as text.
    #[must_use]
    pub fn text(&self) -> String {
        let mut out = format!(
            "{:<28} {:<34} {:>16} {:>16} {:>11}\n",
            "source", "quantity", "published", "ours", "difference"
        );
        for r in &self.rows {
            out.push_str(&format!(
                "{:<28} {:<34} {:>16.8} {:>16.8} {:>11.2e}\n",
                r.source,
                r.what,
                r.published,
                r.ours,
                r.ours - r.published
            ));
        }
        out
    }

    /// How many checks were made.
    #[must_use]
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether no check was made.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The rows out of tolerance, in words.
    #[must_use]
    pub fn failures(&self) -> Vec<String> {
        // What is not a number is within no tolerance.
        let agrees = |r: &Check| (r.ours - r.published).abs() <= r.tolerance;
        self.rows
            .iter()
            .filter(|r| !agrees(r))
            .map(|r| {
                format!(
                    "{} {}: published {}, ours {}, tolerance {}",
                    r.source, r.what, r.published, r.ours, r.tolerance
                )
            })
            .collect()
    }
}

/// A number inside a case, by path.
#[must_use]
pub fn number(value: &Value, path: &str) -> f64 {
    value
        .pointer(path)
        .and_then(Value::as_f64)
        .unwrap_or(f64::NAN)
}
