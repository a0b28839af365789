//! What is answered about carriage.

use super::data::{GateSubject, TransportTable};
use crate::bibliography::SourceStatus;
use crate::quantity::{ComputedKilograms, Kilograms};
use serde::Serialize;

/// The gate, and candidates for each container. Nothing here classifies.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct TransportCandidates {
    /// What every entry below is: a candidate.
    pub standing: &'static str,
    /// Who may offer it; first of all.
    pub gate: Gate,
    /// One for each container, in the order of the request.
    pub items: Vec<TransportItem>,
}

/// Whether anything may be offered for carriage.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Gate {
    /// Whether every question was answered with yes. It is what was stated, and was not checked.
    pub passed_as_stated: bool,
    /// In words.
    pub text: &'static str,
    /// The questions.
    pub questions: Vec<GateFinding>,
}

/// An answer of the gate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum GateAnswer {
    /// Stated so.
    Yes,
    /// These rules do not ask it.
    NotAsked,
    /// Nobody has said.
    NoUntilConfirmed,
    /// Stated so, or no longer valid.
    No,
}

impl GateAnswer {
    /// The answer in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Yes => "yes, as stated",
            Self::NotAsked => "not asked",
            Self::NoUntilConfirmed => "no until confirmed",
            Self::No => "no",
        }
    }
}

/// One question of the gate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct GateFinding {
    /// What it is about.
    pub about: GateSubject,
    /// The question.
    pub question: String,
    /// The answer.
    pub answer: GateAnswer,
    /// Why, or what to do.
    pub text: String,
    /// Bibliography key.
    pub source: &'static str,
    /// How well the source was verified.
    pub status: SourceStatus,
}

/// What was found of a container, in a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum TransportVerdict {
    /// It does not travel from here.
    Stays,
    /// Something is not known, so nothing can be said for sure.
    ToBeClassified,
    /// Everything that was stated leads to the candidates listed.
    Candidates,
    /// No entry applies as far as known; the reason stands beside it.
    NotRegulatedAsFarAsKnown,
}

impl TransportVerdict {
    /// The verdict in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Stays => "does not travel from here",
            Self::ToBeClassified => "to be classified",
            Self::Candidates => "candidate: a competent person classifies",
            Self::NotRegulatedAsFarAsKnown => {
                "not regulated as far as known: a competent person confirms"
            }
        }
    }
}

/// One container.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct TransportItem {
    /// The name on the container.
    pub id: String,
    /// In a word.
    pub verdict: TransportVerdict,
    /// Why.
    pub reason: String,
    /// Entries it may travel under, surest first.
    pub candidates: Vec<TransportCandidate>,
    /// What is not known, and how it is found out.
    pub to_find_out: Vec<String>,
    /// Reportable quantities, United States, against what is in the package.
    pub reportable: Vec<ReportableFinding>,
    /// Marks that the package may need.
    pub marks: Vec<TransportMark>,
}

/// Whether something holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Fit {
    /// What was stated leads here.
    Fits,
    /// Something that is not known decides.
    Open,
}

/// A row of a table that a container may travel under.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct TransportCandidate {
    /// Name of the rule that leads here.
    pub rule: &'static str,
    /// Whether what was stated leads here, or something decides that is not known.
    pub fit: Fit,
    /// UN or NA number.
    pub number: String,
    /// Which table.
    pub table: TransportTable,
    /// Proper shipping name, as the table prints it.
    pub proper_shipping_name: String,
    /// Class or division.
    pub class: String,
    /// Subsidiary classes.
    pub subsidiary: Vec<String>,
    /// Packing group.
    pub packing_group: Option<String>,
    /// Limited quantity, against what is in the container.
    pub limited_quantity: LimitedQuantity,
    /// Why this row.
    pub reason: String,
    /// What was found of each condition.
    pub findings: Vec<String>,
    /// What would change it.
    pub changes: &'static str,
    /// What the row rests on.
    pub row_source: String,
    /// Edition of the table.
    pub row_edition: String,
    /// How well the row was verified.
    pub row_status: SourceStatus,
    /// What the choice of the row rests on.
    pub rule_source: &'static str,
    /// How well that was verified.
    pub rule_status: SourceStatus,
}

/// Whether a container keeps the limited quantity of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum LimitedQuantityVerdict {
    /// The container holds no more than the limit of an inner packaging.
    Within,
    /// It holds more.
    Above,
    /// The row allows none.
    NotAllowed,
    /// The limit or the amount is not known.
    NotKnown,
}

/// The limited quantity of a row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LimitedQuantity {
    /// As the table prints it.
    pub printed: String,
    /// In a word.
    pub verdict: LimitedQuantityVerdict,
    /// In words.
    pub text: String,
}

/// Whether a reportable quantity is reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Reached {
    /// Equal or more.
    Reached,
    /// Less.
    NotReached,
    /// Something is not known.
    Open,
}

/// A reportable quantity against what is in the package.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ReportableFinding {
    /// What it is for.
    pub name: &'static str,
    /// In a word.
    pub reached: Reached,
    /// In words, with which mass is compared.
    pub text: String,
    /// The reportable quantity.
    pub reportable_kg: Kilograms,
    /// What is in the package, upper end; null while it is not known.
    pub in_package_kg: Option<ComputedKilograms>,
    /// Bibliography key.
    pub source: &'static str,
    /// How well the source was verified.
    pub status: SourceStatus,
}

/// A mark that a package may need.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct TransportMark {
    /// The mark.
    pub text: &'static str,
    /// Whether it is asked, or something decides that is not known.
    pub fit: Fit,
    /// Bibliography key.
    pub source: &'static str,
    /// How well the source was verified.
    pub status: SourceStatus,
}
