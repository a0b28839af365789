//! What is asked of the clocks of the book, and what they say.

use crate::batch::BatchKind;
use crate::bibliography::SourceStatus;
use crate::ledger::Entry;
use crate::quantity::{Date, Identifier, Kilograms, Kilometres};
use crate::waste::classification::{GeneratorCategory, Hazardous, Premises, ToTest, WasteStanding};
use crate::waste::rule_set::RuleSetName;
use serde::{Deserialize, Serialize};

/// Asks for every clock and due day of the book. The site is described as a classification takes it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ClocksRequest {
    /// The entries, in the order they were recorded.
    pub entries: Vec<Entry>,
    /// Today. Entries of a later day do not count yet.
    pub on: Date,
    /// What kind of place it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub premises: Option<Premises>,
    /// Other hazardous waste that arises on the site in a month, besides what the book knows of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_hazardous_waste_kg: Option<Kilograms>,
    /// Other acute hazardous waste that arises on the site in a month, besides what the book knows of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_acute_waste_kg: Option<Kilograms>,
    /// How far the waste must travel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub haul_distance_km: Option<Kilometres>,
    /// Days from sending to the refiner's statement, by the refiner's terms; default six weeks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub settlement_day_count: Option<u16>,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// Every clock and due day of the book.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Clocks {
    /// Today.
    pub on: Date,
    /// The clocks, the earliest due first.
    pub clocks: Vec<Clock>,
    /// Each container that is not empty: why its clocks run, or why none does.
    pub containers: Vec<WatchedContainer>,
}

/// What falls due.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum ClockKind {
    /// Keeping it is itself a danger: today, whatever else is due.
    ActToday,
    /// It must have left.
    StorageLimit,
    /// It must have left, if the site's category is the one that the rule is for.
    PossibleStorageLimit,
    /// It must be looked at.
    Inspection,
    /// A refiner's statement is awaited.
    RefinerStatement,
    /// A share of the stock of 1 January must have moved.
    StockToMove,
    /// The year's account is drawn up.
    AnnualAccount,
}

/// One thing that falls due.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Clock {
    /// Its name, the same whenever the book is asked: what it is about, the kind, and for a storage
    /// limit the rule. A limit keeps its name when it becomes certain.
    pub id: String,
    /// What falls due.
    pub what: ClockKind,
    /// The container it is about.
    pub container: Option<Identifier>,
    /// The shipment it is about.
    pub shipment: Option<Identifier>,
    /// The day it is counted from.
    pub starts_on: Option<Date>,
    /// The latest day.
    pub due_on: Date,
    /// Days left; negative where the day has gone by.
    pub days_left_count: i64,
    /// What to do and why, in words.
    pub text: String,
    /// Clause of the rule; null where no rule sets the day.
    pub clause: Option<String>,
    /// Key in the bibliography; in rules of your own, the source in words.
    pub source: String,
    /// How well it was verified.
    pub status: SourceStatus,
}

/// Why the clocks of a container run, or why none does.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct WatchedContainer {
    /// The container.
    pub container: Identifier,
    /// What it holds.
    pub kind: BatchKind,
    /// Whether it is waste at all.
    pub standing: WasteStanding,
    /// Whether it is hazardous waste.
    pub hazardous: Hazardous,
    /// Its codes, with how sure they are where they are not known.
    pub codes: Vec<String>,
    /// The site's category in the month it became waste.
    pub category: GeneratorCategory,
    /// The last inspection of it, or of the whole place.
    pub last_inspected_on: Option<Date>,
    /// What is not known and must be tested or asked.
    pub unknowns: Vec<ToTest>,
}
