//! What a person asks to have on paper.

use super::tree::Document;
use crate::batch::Batch;
use crate::estimate::Estimate;
use crate::quantity::{Date, Text};
use crate::waste::rule_set::RuleSetName;
use serde::{Deserialize, Serialize};

/// Asks for a piece of paper.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct DocumentRequest {
    /// Which paper, and what it is about.
    pub document: Paper,
    /// The day it is drawn up.
    pub on: Date,
    /// Whose paper it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub studio: Option<StudioDetails>,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// Which paper.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Paper {
    /// What goes on a container.
    ContainerLabel(Box<ContainerLabel>),
    /// What is kept of a waste.
    WasteRecord(Box<WasteRecord>),
    /// What is worked through at the bench.
    Worksheet(Box<BenchWorksheet>),
}

/// A studio as it stands on paper. What is missing becomes a line to fill in.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct StudioDetails {
    /// Its name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Text>,
    /// Its address, on one line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub address: Option<Text>,
    /// The telephone that is answered when something leaks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub telephone: Option<Text>,
    /// The person who answers for the waste.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub responsible: Option<Text>,
    /// The number its authority gave it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub site_number: Option<Text>,
}

/// A label for one container.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ContainerLabel {
    /// What is in the container; its evidence, if any, gives the silver.
    pub batch: Batch,
    /// Whether a classification found it hazardous; until then a waste is taken to be.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hazardous: Option<bool>,
}

/// A record of one waste.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct WasteRecord {
    /// What is in the container; its evidence, if any, gives the silver.
    pub batch: Batch,
    /// Codes that a classification or the authority gave it; without them and without reasons, the
    /// rules are asked.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub waste_codes: Vec<Text>,
    /// Why it is what it is, in the person's or the classification's words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reasons: Vec<Text>,
    /// Who takes it away.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carrier: Option<Text>,
    /// Where it goes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub destination: Option<Text>,
    /// The day it left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sent_on: Option<Date>,
}

/// A worksheet of one procedure for one container.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct BenchWorksheet {
    /// What is in the container; its evidence, if any, gives the silver that a recovery is dosed on.
    pub batch: Batch,
    /// What is to be done.
    pub procedure: BenchProcedure,
}

/// A procedure for the bench.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum BenchProcedure {
    /// Titrating the silver with thiocyanate.
    VolhardTitration,
    /// Weighing the silver of a sample as chloride.
    ChlorideWeighing,
    /// The recommended way of recovery.
    Recovery,
    /// Making it neutral with sodium bicarbonate.
    Neutralization,
}

/// Most codes, and most reasons, one record may list.
pub const MOST_CODES: usize = 20;

/// A piece of paper and the estimate it prints.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PaperAnswer {
    /// The paper, as a tree.
    pub document: Document,
    /// The silver in the container with every figure; null where the batch carries no evidence.
    pub estimate: Option<Estimate>,
}
