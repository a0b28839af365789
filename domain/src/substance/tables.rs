//! What the tables of classification, transport, airborne limits, reportable quantities and reactivity
//! say of a substance: read from data, joined to the substance once.

use super::Substance;
use crate::bibliography::{SourceStatus, reference};
use crate::quantity::{Kilograms, PercentWW};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// Classification of a substance as a table has it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct HazardClasses {
    #[serde(skip_serializing)]
    #[cfg_attr(feature = "openapi", schema(ignore))]
    substance: String,
    /// Registry number.
    pub cas: String,
    /// Hazard classes and categories; a star marks a minimum classification.
    pub classes: Vec<String>,
    /// True where the table was searched and has no entry.
    #[serde(default)]
    pub absent: bool,
    /// Index number in the table.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub index: Option<String>,
    /// Signal word.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signal: Option<String>,
    /// Multiplying factors for mixtures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub m_factors: Option<String>,
    /// Specific concentration limits, as far as they were read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub specific_limits: Option<String>,
    /// Bibliography key.
    pub source: String,
    /// How well the source was verified.
    #[serde(default = "unverified")]
    pub status: SourceStatus,
}

/// A limit on what may be in the air.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ExposureLimit {
    /// What is in the air.
    pub agent: String,
    /// Which limit: recommended, permissible, short-term, ceiling, or immediately dangerous.
    pub kind: String,
    /// The figure.
    pub value: String,
    /// Its unit, as printed.
    pub unit: String,
    #[serde(skip_serializing)]
    #[cfg_attr(feature = "openapi", schema(ignore))]
    substances: Vec<String>,
    /// Bibliography key.
    pub source: String,
    /// Edition that was read.
    pub edition: String,
    /// How well the source was verified.
    #[serde(default = "unverified")]
    pub status: SourceStatus,
}

/// One row of a table of dangerous goods.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct TransportEntry {
    /// UN or NA number.
    pub number: String,
    /// Which table: `us` or `adr`.
    pub table: String,
    /// Proper shipping name, as the table prints it.
    pub name: String,
    /// Class or division.
    pub class: String,
    /// Subsidiary classes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub subsidiary: Vec<String>,
    /// Packing group, where the row has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub packing_group: Option<String>,
    /// Limited quantity, as printed.
    pub limited_quantity: String,
    /// Bibliography key.
    #[serde(default)]
    pub source: String,
    /// Edition that was read.
    #[serde(default)]
    pub edition: String,
    /// How well the source was verified.
    #[serde(default = "unverified")]
    pub status: SourceStatus,
}

/// What a reportable quantity is compared with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum ReportableBasis {
    /// The mass of the substance in one package.
    Substance,
    /// The mass of the waste in one package.
    Waste,
}

/// A reportable quantity.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ReportableQuantity {
    /// What it is for, as the list has it.
    pub name: String,
    #[serde(default, skip_serializing)]
    #[cfg_attr(feature = "openapi", schema(ignore))]
    pub(crate) substance: Option<String>,
    /// Waste codes it is for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub codes: Vec<String>,
    /// Which mass is compared.
    pub basis: ReportableBasis,
    /// Pounds, as printed.
    pub pounds: String,
    /// The same in kilograms, exactly.
    #[serde(deserialize_with = "crate::data::exact")]
    pub reportable_kg: Kilograms,
    /// Bibliography key.
    pub source: String,
    /// How well the source was verified.
    #[serde(default = "unverified")]
    pub status: SourceStatus,
}

/// A group of the published reactivity chart.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ChartGroup {
    /// Number in the chart.
    pub number: u16,
    /// Its name.
    pub name: String,
    #[serde(skip_serializing)]
    #[cfg_attr(feature = "openapi", schema(ignore))]
    substances: Vec<String>,
}

const fn unverified() -> SourceStatus {
    SourceStatus::Unverified
}

fn status_of(key: &str) -> SourceStatus {
    reference(key).map_or(SourceStatus::Unverified, |r| r.status)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Ghs {
    entry: Vec<HazardClasses>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Air {
    limit: Vec<ExposureLimit>,
}

/// The share by mass from which a mixture counts against its reportable quantity.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReportableFloor {
    /// The reportable quantity, in pounds as printed.
    pub pounds: String,
    /// The share; equal counts.
    #[serde(deserialize_with = "crate::data::exact")]
    pub from_percent_w_w: PercentWW,
    /// Bibliography key.
    pub source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Reportable {
    quantity: Vec<ReportableQuantity>,
    floor: Vec<ReportableFloor>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    id: String,
    source: String,
    edition: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Numbers {
    id: String,
    numbers: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Transport {
    table: Vec<Table>,
    entry: Vec<TransportEntry>,
    substance: Vec<Numbers>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ChartPair {
    groups: [u16; 2],
    codes: Vec<String>,
}

/// Where the pour rules say less than the published chart, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Departure {
    #[serde(skip_serializing)]
    #[cfg_attr(feature = "openapi", schema(ignore))]
    groups: [u16; 2],
    /// The outcome that the pour rules give.
    pub outcome: String,
    /// Why.
    pub why: String,
    /// Bibliography key.
    pub source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Chart {
    source: String,
    membership_source: String,
    departure: Vec<Departure>,
    group: Vec<ChartGroup>,
    pair: Vec<ChartPair>,
}

static GHS: LazyLock<Vec<HazardClasses>> = LazyLock::new(|| {
    let mut file: Ghs = crate::data::parse(include_str!("../../data/ghs_entries.toml"));
    for e in &mut file.entry {
        e.status = status_of(&e.source);
    }
    file.entry
});

static AIR: LazyLock<Vec<ExposureLimit>> = LazyLock::new(|| {
    let mut file: Air = crate::data::parse(include_str!("../../data/exposure_limits.toml"));
    for e in &mut file.limit {
        e.status = status_of(&e.source);
    }
    file.limit
});

static REPORTABLE: LazyLock<Reportable> = LazyLock::new(|| {
    let mut file: Reportable =
        crate::data::parse(include_str!("../../data/reportable_quantities.toml"));
    for e in &mut file.quantity {
        e.status = status_of(&e.source);
    }
    file
});

static TRANSPORT: LazyLock<Transport> = LazyLock::new(|| {
    let mut file: Transport = crate::data::parse(include_str!("../../data/transport_entries.toml"));
    for e in &mut file.entry {
        if let Some(table) = file.table.iter().find(|t| t.id == e.table) {
            e.source.clone_from(&table.source);
            e.edition.clone_from(&table.edition);
            e.status = status_of(&table.source);
        }
    }
    file
});

static CHART: LazyLock<Chart> =
    LazyLock::new(|| crate::data::parse(include_str!("../../data/reactivity_chart.toml")));

/// Every row of the tables of dangerous goods that was read.
#[must_use]
pub fn transport_entries() -> &'static [TransportEntry] {
    &TRANSPORT.entry
}

/// Every reportable quantity that was read.
#[must_use]
pub fn reportable_quantities() -> &'static [ReportableQuantity] {
    &REPORTABLE.quantity
}

/// The share by mass below which a mixture does not count against a reportable quantity.
#[must_use]
pub fn reportable_floor(quantity: &ReportableQuantity) -> Option<&'static ReportableFloor> {
    REPORTABLE
        .floor
        .iter()
        .find(|f| f.pounds == quantity.pounds)
}

/// The numbers of the forms a substance comes in.
#[must_use]
pub fn transport_numbers(substance: &str) -> &'static [String] {
    TRANSPORT
        .substance
        .iter()
        .find(|s| s.id == substance)
        .map_or(&[], |s| s.numbers.as_slice())
}

/// What the published chart prints where groups of the two substances meet, such as `GT` and `GF`;
/// empty where it prints nothing or does not know one of them, which is not a statement of safety.
///
/// ```
/// use spent_silver_domain::substance::chart_codes;
/// // Group 3 with group 11: toxic and flammable gas.
/// assert_eq!(chart_codes("acetic_acid", "potassium_cyanide"), ["GT", "GF"]);
/// assert!(chart_codes("water", "water").is_empty());
/// ```
#[must_use]
pub fn chart_codes(a: &str, b: &str) -> Vec<&'static str> {
    let mut codes: Vec<&'static str> = Vec::new();
    for pair in &CHART.pair {
        let [x, y] = pair.groups;
        if (falls_in(a, x) && falls_in(b, y)) || (falls_in(a, y) && falls_in(b, x)) {
            for code in &pair.codes {
                if !codes.contains(&code.as_str()) {
                    codes.push(code);
                }
            }
        }
    }
    codes
}

/// Where the pour rules say less than the chart of this pair, and why.
#[must_use]
pub fn chart_departure(a: &str, b: &str) -> Option<&'static Departure> {
    CHART.departure.iter().find(|d| {
        let [x, y] = d.groups;
        (falls_in(a, x) && falls_in(b, y)) || (falls_in(a, y) && falls_in(b, x))
    })
}

fn falls_in(substance: &str, number: u16) -> bool {
    CHART
        .group
        .iter()
        .any(|g| g.number == number && g.substances.iter().any(|s| s == substance))
}

/// Bibliography keys of every table here.
#[must_use]
pub fn table_sources() -> Vec<&'static str> {
    let ghs = GHS.iter().map(|e| e.source.as_str());
    let air = AIR.iter().map(|e| e.source.as_str());
    let reportable = REPORTABLE.quantity.iter().map(|e| e.source.as_str());
    let transport = TRANSPORT.table.iter().map(|t| t.source.as_str());
    let floors = REPORTABLE.floor.iter().map(|f| f.source.as_str());
    ghs.chain(air)
        .chain(floors)
        .chain(reportable)
        .chain(transport)
        .chain([CHART.source.as_str(), CHART.membership_source.as_str()])
        .collect()
}

/// Names in the tables that are no substance of ours; a test holds that there is none.
#[must_use]
pub fn strangers(known: &[Substance]) -> Vec<&'static str> {
    let ghs = GHS.iter().map(|e| e.substance.as_str());
    let air = AIR.iter().flat_map(|e| &e.substances).map(String::as_str);
    let reportable = REPORTABLE
        .quantity
        .iter()
        .filter_map(|e| e.substance.as_deref());
    let transport = TRANSPORT.substance.iter().map(|s| s.id.as_str());
    let chart = CHART
        .group
        .iter()
        .flat_map(|g| &g.substances)
        .map(String::as_str);
    ghs.chain(air)
        .chain(reportable)
        .chain(transport)
        .chain(chart)
        .filter(|id| !known.iter().any(|s| s.id == **id))
        .collect()
}

/// Joins what the tables say to a substance, and says what none of them has.
pub(super) fn join(mut s: Substance) -> Substance {
    s.classification = GHS.iter().find(|e| e.substance == s.id).cloned();
    s.exposure_limits = AIR
        .iter()
        .filter(|e| e.substances.contains(&s.id))
        .cloned()
        .collect();
    let numbers = transport_numbers(&s.id);
    s.transport = TRANSPORT
        .entry
        .iter()
        .filter(|e| numbers.contains(&e.number))
        .cloned()
        .collect();
    s.reportable_quantity = REPORTABLE
        .quantity
        .iter()
        .find(|q| q.substance.as_deref() == Some(s.id.as_str()))
        .cloned();
    s.chart_groups = CHART
        .group
        .iter()
        .filter(|g| g.substances.contains(&s.id))
        .cloned()
        .collect();
    let missing = [
        (
            s.classification.as_ref().is_none_or(|c| c.absent),
            "No harmonised classification was read: ask the supplier's safety data sheet.",
        ),
        (
            s.hazard_statements.is_empty(),
            "No hazard statement is known here: that does not make it harmless.",
        ),
        (
            s.exposure_limits.is_empty(),
            "No airborne limit was read: ask the safety data sheet and the local list.",
        ),
        (
            s.transport.is_empty(),
            "No transport entry was read: a competent person must say whether it is dangerous goods.",
        ),
        (
            s.reportable_quantity.is_none(),
            "No reportable quantity was read: ask before a large package travels.",
        ),
        (
            s.chart_groups.is_empty(),
            "It was not placed in a group of the published reactivity chart: this program's own rules stand alone.",
        ),
    ];
    s.missing = missing
        .into_iter()
        .filter(|(is, _)| *is)
        .map(|(_, text)| text.to_owned())
        .collect();
    s
}
