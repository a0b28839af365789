//! What is asked about carriage.

use crate::batch::Batch;
use crate::quantity::{Date, Identifier, Text};
use crate::waste::rule_set::RuleSetName;
use serde::{Deserialize, Serialize};

/// Asks under which entries of the tables of dangerous goods containers may travel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct TransportRequest {
    /// The containers, at most [`MOST_ITEMS`]; each counts as one package.
    pub batches: Vec<Batch>,
    /// Today.
    pub on: Date,
    /// What has been settled before anything is offered; what is left out is a no.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gate: Option<ShippingGate>,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// Most containers in one request.
pub const MOST_ITEMS: usize = 100;

/// Who carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Carriage {
    /// A carrier or contractor with its own vehicle.
    Carrier,
    /// The studio itself.
    OwnVehicle,
    /// A parcel service.
    Parcel,
    /// The post.
    Post,
}

/// What has been settled before anything is offered for carriage. Every member left out is "no until
/// confirmed".
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ShippingGate {
    /// The last day on which the training of whoever packs and signs is valid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub training_valid_until: Option<Date>,
    /// The competent person who classified every container.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub classified_by: Option<Text>,
    /// Whether every packaging is approved for its content, or shown to be exempt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub packaging_approved: Option<bool>,
    /// Who carries.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carried_by: Option<Carriage>,
    /// Whether whoever carries has agreed in writing to exactly this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carrier_accepts: Option<bool>,
    /// Whether the carrier is registered or licensed for waste.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carrier_registered: Option<bool>,
    /// Whether the receiver has agreed in writing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub receiver_accepts: Option<bool>,
    /// Whether a telephone is answered all the while by a person who knows the load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub telephone_answered: Option<bool>,
    /// The generator category of the site in the month, as the rule set names it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub generator_category: Option<Identifier>,
    /// The identification number of the site.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub identification_number: Option<Text>,
}
