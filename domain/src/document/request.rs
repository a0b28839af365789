//! What a person asks to have on paper.

use super::tree::{Document, PaperSize};
use crate::batch::Batch;
use crate::estimate::Estimate;
use crate::quantity::{Date, Grams, Identifier, Kilograms, Kilometres, Litres, Text};
use crate::valuation::ValuationRequest;
use crate::waste::classification::{LocalSilverLimit, Premises};
use crate::waste::rule_set::RuleSetName;
use crate::waste::transport::ShippingGate;
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
    /// The sheet it goes on; default `a4`. A label is A6 always.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paper_size: Option<PaperSize>,
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
    /// What was known of a waste, what was decided, and why.
    ClassificationRecord(Box<ClassificationRecord>),
    /// What goes with a shipment to a refiner.
    RecoveryShipmentSheet(Box<TravelSheet>),
    /// What is ticked before the lorry comes.
    CollectionChecklist(Box<TravelSheet>),
    /// What goes with a sample to a laboratory.
    LaboratorySampleSheet(Box<SampleSheet>),
    /// What went into the containers, and what left.
    AccumulationLog(Box<AccumulationLog>),
    /// What was seen when the containers were looked at.
    InspectionLog(Box<ContainersSheet>),
    /// What a refiner paid against what was expected.
    SettlementSheet(Box<SettlementSheet>),
    /// Silver in and out, with a balance.
    PreciousMetalAccount(Box<PreciousMetalAccount>),
    /// What was spilled and what was done.
    SpillRecord(Box<ContainersSheet>),
    /// What hangs by the telephone.
    EmergencyPosting(Box<ContainersSheet>),
    /// What hangs at the bench: do, and never do.
    WallSheet(Box<ContainersSheet>),
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

/// The record of a classification.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ClassificationRecord {
    /// What is in the container; its evidence, if any, gives the silver.
    pub batch: Batch,
    /// What kind of place it is; unknown stays to be asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub premises: Option<Premises>,
    /// Other hazardous waste of the site in the month; unknown is not zero.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_hazardous_waste_kg: Option<Kilograms>,
    /// Other acute hazardous waste of the site in the month; unknown is not zero.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_acute_waste_kg: Option<Kilograms>,
    /// How far the waste must travel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub haul_distance_km: Option<Kilometres>,
    /// A silver limit of the place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub local_silver_limit: Option<LocalSilverLimit>,
}

/// A sheet for containers that leave.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct TravelSheet {
    /// The containers, at most [`MOST_CONTAINERS`].
    pub batches: Vec<Batch>,
    /// Who takes them away.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carrier: Option<Text>,
    /// Where they go.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub destination: Option<Text>,
    /// The day they are to leave.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leaves_on: Option<Date>,
    /// What has been settled before anything is offered; what is left out is a no.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gate: Option<ShippingGate>,
}

/// A sheet for containers that stay. Without containers it is a form to fill in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ContainersSheet {
    /// The containers, at most [`MOST_CONTAINERS`].
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub batches: Vec<Batch>,
    /// Where they stand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<Text>,
}

/// A sheet for one sample.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct SampleSheet {
    /// What the sample is taken from.
    pub batch: Batch,
    /// Who tests it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub laboratory: Option<Text>,
    /// The name on the sample's bottle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sample_id: Option<Identifier>,
}

/// A log of what went into containers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct AccumulationLog {
    /// The containers, at most [`MOST_CONTAINERS`].
    pub batches: Vec<Batch>,
    /// What is known already, at most [`MOST_LINES`] lines; blank lines follow.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pours: Vec<Pour>,
}

/// One line of an accumulation log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Pour {
    /// The day.
    pub on: Date,
    /// The container.
    pub batch: Identifier,
    /// What was poured, or that it left.
    pub what: Text,
    /// How much.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume_l: Option<Litres>,
    /// Who poured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<Text>,
}

/// What a lot should bring, to hold a refiner's statement against.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct SettlementSheet {
    /// The lot, the price and the terms.
    pub valuation: ValuationRequest,
}

/// An account of silver over a period.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct PreciousMetalAccount {
    /// First day.
    pub from_on: Date,
    /// Last day.
    pub until_on: Date,
    /// Silver at the start; without it the balance is counted from nothing and says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opening_silver_g: Option<Grams>,
    /// Movements, oldest first, at most [`MOST_LINES`].
    pub movements: Vec<SilverMovement>,
}

/// Silver that came or went. Exactly one of the two amounts is given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct SilverMovement {
    /// The day.
    pub on: Date,
    /// What it was: bought, sent, settled, found wanting.
    pub what: Text,
    /// Silver that came.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_silver_g: Option<Grams>,
    /// Silver that went.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub out_silver_g: Option<Grams>,
}

/// Most containers on one sheet.
pub const MOST_CONTAINERS: usize = 100;

/// Most lines of a log or an account in one request.
pub const MOST_LINES: usize = 1000;

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
