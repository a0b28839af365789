//! How long a batch may be kept, and when keeping it is itself a danger.

use crate::batch::Batch;
use crate::quantity::Date;
use serde::Serialize;

/// The day by which a batch must have left, and the rule that sets it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct StorageClock {
    /// The day the clock started.
    pub starts_on: Date,
    /// Days allowed.
    pub limit_day_count: i64,
    /// The latest day.
    pub due_on: Date,
    /// The rule, with its clause.
    pub rule: String,
    /// Key in the bibliography.
    pub source: String,
}

/// Keeping this batch is dangerous: what to do today. Economics are not consulted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct StorageDanger {
    /// Why it cannot wait.
    pub reason: String,
    /// What to do today.
    pub act: Vec<String>,
    /// What never to do.
    pub never: Vec<String>,
}

/// Whether storage of this batch is itself a danger.
#[must_use]
pub fn storage_danger(_batch: &Batch) -> Option<StorageDanger> {
    None
}
