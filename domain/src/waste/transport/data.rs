//! The rules of candidates, marks and the shipping gate, as data.

use crate::batch::{BatchKind, PhysicalForm};
use crate::bibliography::{SourceStatus, reference};
use crate::quantity::{PercentWW, Quantity, Unit};
use crate::substance::Group;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// A table of dangerous goods.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum TransportTable {
    /// 49 CFR 172.101, United States.
    Us,
    /// ADR, chapter 3.2 Table A: roads of Europe.
    Adr,
}

impl TransportTable {
    /// Its name in the rows.
    pub(super) const fn id(self) -> &'static str {
        match self {
            Self::Us => "us",
            Self::Adr => "adr",
        }
    }
}

/// Ends that a figure must keep; each may be absent.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, bound = "U: Unit")]
pub(super) struct Bounds<U: Unit> {
    #[serde(default, deserialize_with = "crate::data::exact_some")]
    pub above: Option<Quantity<U>>,
    #[serde(default, deserialize_with = "crate::data::exact_some")]
    pub from: Option<Quantity<U>>,
    #[serde(default, deserialize_with = "crate::data::exact_some")]
    pub below: Option<Quantity<U>>,
    #[serde(default, deserialize_with = "crate::data::exact_some")]
    pub up_to: Option<Quantity<U>>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ShareOf {
    pub of: Vec<String>,
    #[serde(default, deserialize_with = "crate::data::exact_some")]
    pub above: Option<PercentWW>,
    #[serde(default, deserialize_with = "crate::data::exact_some")]
    pub from: Option<PercentWW>,
    #[serde(default, deserialize_with = "crate::data::exact_some")]
    pub below: Option<PercentWW>,
    #[serde(default, deserialize_with = "crate::data::exact_some")]
    pub up_to: Option<PercentWW>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HazardShareOf {
    pub hazards: Vec<String>,
    #[serde(default, deserialize_with = "crate::data::exact_some")]
    pub above: Option<PercentWW>,
    #[serde(default, deserialize_with = "crate::data::exact_some")]
    pub from: Option<PercentWW>,
    #[serde(default, deserialize_with = "crate::data::exact_some")]
    pub below: Option<PercentWW>,
}

/// What must hold for a rule; see the head of the data file.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Condition {
    Form(PhysicalForm),
    Kind(Vec<BatchKind>),
    Holds(Vec<String>),
    Alone(Vec<String>),
    NotAlone(Vec<String>),
    Share(ShareOf),
    Alcohol(Bounds<crate::quantity::PercentVolume>),
    HazardShare(HazardShareOf),
    Group(Group),
    Lacks(Group),
    FlashPoint(Bounds<crate::quantity::DegreeCelsius>),
    BoilingPoint(Bounds<crate::quantity::DegreeCelsius>),
    Ph(Bounds<crate::quantity::PhUnit>),
    HazardousWaste(bool),
    Reportable(bool),
    Spent(bool),
    Otherwise(bool),
    Test(String),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Law {
    pub rule_set: String,
    pub table: TransportTable,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StaysRule {
    pub group: Group,
    pub form: Option<PhysicalForm>,
    pub why: String,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CandidateRule {
    pub id: String,
    pub table: Option<TransportTable>,
    pub number: String,
    #[serde(default)]
    pub packing_groups: Vec<String>,
    pub row: Option<String>,
    pub not_row: Option<String>,
    pub when: Vec<Condition>,
    pub why: String,
    pub changes: String,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ClearedRule {
    pub table: Option<TransportTable>,
    pub when: Vec<Condition>,
    pub substances: Vec<String>,
    pub why: String,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct OpenRule {
    pub when: Vec<Condition>,
    pub ask: String,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MarkRule {
    pub table: Option<TransportTable>,
    pub text: String,
    pub when: Vec<Condition>,
    pub source: String,
}

/// What a question of the gate is about; the gate finds its answer by this.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum GateSubject {
    /// Training of whoever packs, marks and signs.
    Training,
    /// A competent person has classified.
    Classified,
    /// Approved packaging.
    Packaging,
    /// The carrier's agreement.
    Carrier,
    /// Post and parcel.
    PostAndParcel,
    /// The receiver's agreement.
    Receiver,
    /// A telephone that is answered.
    EmergencyTelephone,
    /// The generator category.
    Category,
    /// The identification number.
    IdentificationNumber,
    /// The carrier's registration for waste.
    RegisteredCarrier,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct GateRule {
    pub id: GateSubject,
    pub table: Option<TransportTable>,
    pub ask: String,
    pub no: String,
    pub smallest: Option<String>,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Rules {
    pub law: Vec<Law>,
    pub stays: Vec<StaysRule>,
    pub candidate: Vec<CandidateRule>,
    pub cleared: Vec<ClearedRule>,
    pub open: Vec<OpenRule>,
    pub mark: Vec<MarkRule>,
    pub question: Vec<GateRule>,
}

static RULES: LazyLock<Rules> =
    LazyLock::new(|| crate::data::parse(include_str!("../../../data/transport_rules.toml")));

/// The rules.
pub(super) fn rules() -> &'static Rules {
    &RULES
}

/// Bibliography key of every rule.
pub fn rule_sources() -> impl Iterator<Item = &'static str> {
    let rules = rules();
    let rows = rules.candidate.iter().map(|r| r.source.as_str());
    let stays = rules.stays.iter().map(|r| r.source.as_str());
    let cleared = rules.cleared.iter().map(|r| r.source.as_str());
    let open = rules.open.iter().map(|r| r.source.as_str());
    let mark = rules.mark.iter().map(|r| r.source.as_str());
    let question = rules.question.iter().map(|r| r.source.as_str());
    rows.chain(stays)
        .chain(cleared)
        .chain(open)
        .chain(mark)
        .chain(question)
}

/// How well a source was verified.
pub(super) fn status_of(source: &str) -> SourceStatus {
    reference(source).map_or(SourceStatus::Unverified, |r| r.status)
}

/// Ends as plain numbers, to compare with.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Ends {
    pub above: Option<f64>,
    pub from: Option<f64>,
    pub below: Option<f64>,
    pub up_to: Option<f64>,
}

impl<U: Unit> Bounds<U> {
    pub fn ends(&self) -> Ends {
        Ends {
            above: self.above.map(Quantity::as_f64),
            from: self.from.map(Quantity::as_f64),
            below: self.below.map(Quantity::as_f64),
            up_to: self.up_to.map(Quantity::as_f64),
        }
    }
}

impl ShareOf {
    pub fn ends(&self) -> Ends {
        Ends {
            above: self.above.map(Quantity::as_f64),
            from: self.from.map(Quantity::as_f64),
            below: self.below.map(Quantity::as_f64),
            up_to: self.up_to.map(Quantity::as_f64),
        }
    }
}

impl HazardShareOf {
    pub fn ends(&self) -> Ends {
        Ends {
            above: self.above.map(Quantity::as_f64),
            from: self.from.map(Quantity::as_f64),
            below: self.below.map(Quantity::as_f64),
            up_to: None,
        }
    }
}
