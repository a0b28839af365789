//! How long a batch may be kept, and when keeping it is itself a danger.

use super::contents::implied_groups;
use super::pour::{Act, act_rules};
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

impl StorageDanger {
    /// The warning that goes wherever this batch is spoken of, in the same words everywhere.
    #[must_use]
    pub fn warning(&self) -> String {
        format!("Keeping this is itself a danger. {}", self.reason)
    }
}

/// Whether storage of this batch is itself a danger, and what to do today.
///
/// Ammoniacal silver, explosive silver salts, strong acid with alcohol or ether, and acid with
/// alcohol or ether in a container that cannot vent. What matters is what the container holds;
/// whether it is still at work or has some worth is not asked.
#[must_use]
pub fn storage_danger(batch: &Batch) -> Option<StorageDanger> {
    let contents = implied_groups(batch);
    let shut = batch
        .container
        .as_ref()
        .is_some_and(|c| c.vented == Some(false));
    let mut danger: Option<StorageDanger> = None;
    for rule in act_rules() {
        let kept = rule.holds(Act::Keep, &contents);
        let sealed = shut && rule.holds(Act::Seal, &contents);
        if !kept && !sealed {
            continue;
        }
        let danger = danger.get_or_insert_with(|| StorageDanger {
            reason: String::new(),
            act: Vec::new(),
            never: Vec::new(),
        });
        if !danger.reason.is_empty() {
            danger.reason.push(' ');
        }
        danger.reason.push_str(&rule.happens);
        danger.act.extend(rule.instead.iter().cloned());
        danger.never.extend(rule.never.iter().cloned());
    }
    danger
}
