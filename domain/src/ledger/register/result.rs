//! What is asked of the waste register, and what it shows.

use crate::batch::{BatchKind, BatchStatus};
use crate::ledger::Entry;
use crate::quantity::{
    ComputedGrams, ComputedKilograms, ComputedLitres, Date, Identifier, Kilograms, Litres, Text,
};
use crate::waste::rule_set::RuleSetName;
use serde::{Deserialize, Serialize};

/// Asks for the waste register of a period, from the entries of the book.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct WasteRegisterRequest {
    /// The entries, in the order they were recorded.
    pub entries: Vec<Entry>,
    /// First day of the period.
    pub from: Date,
    /// Last day of the period.
    pub until: Date,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// The waste register of a period.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct WasteRegister {
    /// First day.
    pub from: Date,
    /// Last day.
    pub until: Date,
    /// Every event that an inspector asks for, by day and within a day as recorded. An entry that was
    /// reversed stands in its place and says so.
    pub rows: Vec<RegisterRow>,
    /// What each kind of event comes to in each month.
    pub totals: Vec<RegisterTotal>,
}

/// What happened, as a register names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum RegisterEvent {
    /// It was waste already, or nobody said, when it came into the book.
    TakenIn,
    /// It became waste.
    Generated,
    /// Waste went from one container into another.
    Moved,
    /// An accident.
    Incident,
    /// Water went into waste.
    WaterAdded,
    /// It was treated.
    Treated,
    /// A product was taken out of it.
    Recovered,
    /// It went to a refiner.
    Shipped,
    /// The refiner's statement came.
    Settled,
    /// A haulier took it.
    Collected,
    /// It was discharged.
    Discharged,
    /// It was spilled.
    Spilled,
    /// It was inspected.
    Inspected,
    /// The container left the book.
    Closed,
    /// An earlier entry was declared wrong.
    Reversal,
}

impl RegisterEvent {
    /// The event in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::TakenIn => "taken in",
            Self::Generated => "generated",
            Self::Moved => "moved",
            Self::Incident => "incident",
            Self::WaterAdded => "water added",
            Self::Treated => "treated",
            Self::Recovered => "recovered",
            Self::Shipped => "shipped",
            Self::Settled => "settled",
            Self::Collected => "collected",
            Self::Discharged => "discharged",
            Self::Spilled => "spilled",
            Self::Inspected => "inspected",
            Self::Closed => "closed",
            Self::Reversal => "reversal",
        }
    }

    /// Whether an amount belongs to it.
    pub(super) const fn has_amount(self) -> bool {
        !matches!(
            self,
            Self::Settled | Self::Inspected | Self::Closed | Self::Reversal
        )
    }
}

/// One event. Every member is a plain value, so that a row is also a line of a table.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct RegisterRow {
    /// The entry.
    pub entry: Identifier,
    /// Its day.
    pub on: Date,
    /// What happened.
    pub what: RegisterEvent,
    /// The container; null for an inspection of the whole place, a statement and a reversal.
    pub container: Option<Identifier>,
    /// What it holds.
    pub kind: Option<BatchKind>,
    /// Where its content stood in its life: after it became waste or was treated, else before it left.
    pub status: Option<BatchStatus>,
    /// The day its content became waste.
    pub waste_since: Option<Date>,
    /// What happened, in words: those of the entry, where it has some.
    pub text: String,
    /// Volume as recorded; of all of a container, its volume by the book.
    pub volume_l: Option<Litres>,
    /// Mass as recorded; of all of a container, its mass by the book.
    pub mass_kg: Option<Kilograms>,
    /// Silver in it, where it is known.
    pub silver_g: Option<ComputedGrams>,
    /// Standard uncertainty of `silver_g`.
    pub standard_uncertainty_g: Option<ComputedGrams>,
    /// To whom, or where to: a haulier, a shipment, a permit, another container.
    pub to: Option<String>,
    /// Number of the consignment or transfer note.
    pub consignment: Option<Text>,
    /// Who wrote it down.
    pub recorded_by: Text,
    /// Who supervised the work.
    pub supervised_by: Option<Text>,
    /// Anything else.
    pub note: Option<Text>,
    /// The entry that declares this one wrong.
    pub reversed_by: Option<Identifier>,
    /// Its day.
    pub reversed_on: Option<Date>,
    /// Why it was wrong.
    pub reversal_reason: Option<Text>,
}

/// What one kind of event comes to in a month. What was reversed counts nothing.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct RegisterTotal {
    /// The month, `YYYY-MM`.
    pub month: String,
    /// What happened.
    pub what: RegisterEvent,
    /// Rows.
    pub row_count: u32,
    /// Litres, of the rows that give them.
    pub volume_l: ComputedLitres,
    /// Kilograms, of the rows that give them; nothing is converted.
    pub mass_kg: ComputedKilograms,
    /// Rows that give neither, and so are in no sum.
    pub unknown_count: u32,
}
