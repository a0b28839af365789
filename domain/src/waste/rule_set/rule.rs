//! One rule as a data file writes it and as `GET /v1/rule-sets/{id}` shows it. Every rule of every
//! jurisdiction has this one shape; what it decides is its `quantity`.

use super::rules::{Authority, ClockStart, MaterialKind, When};
use crate::batch::{BatchKind, BatchStatus};
use crate::bibliography::SourceStatus;
use crate::quantity::Kilometres;
use crate::waste::classification::Property;
use serde::{Deserialize, Serialize};

/// What a rule limits, grants or asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum RuleQuantity {
    /// An element in the extract of a waste.
    ElementInExtract,
    /// Litres of extraction fluid per kilogram: how a total in a solid bounds its extract.
    TotalOverExtract,
    /// The flash point of a liquid.
    FlashPoint,
    /// The alcohol below which an aqueous liquid is not ignitable.
    AlcoholShare,
    /// What feeds a fire.
    Oxidizer,
    /// The pH of an aqueous liquid.
    Ph,
    /// What gives off poison gas.
    ToxicGas,
    /// What explodes.
    Explosive,
    /// A product that is listed when thrown away unused.
    UnusedProduct,
    /// A product that catches fire as it is.
    IgnitableProduct,
    /// A product that reacts with water, or gives off gas, as it is.
    ReactiveProduct,
    /// A listed spent solvent.
    SpentSolvent,
    /// The sum of the shares of substances with the named hazards.
    HazardSum,
    /// The share of any one substance with one of the named hazards.
    HazardSingle,
    /// The share below which a substance is left out of a sum.
    HazardCutOff,
    /// An entry of a list of wastes.
    ListOfWaste,
    /// Which entry to choose where several fit, or none does.
    ListChoice,
    /// A generator category.
    GeneratorCategory,
    /// Hazardous waste that arises in a calendar month.
    HazardousWastePerMonth,
    /// Acute hazardous waste that arises in a calendar month.
    AcuteWastePerMonth,
    /// Residue of acute hazardous waste that arises in a calendar month.
    AcuteResiduePerMonth,
    /// How long waste may be kept.
    DaysKept,
    /// How much waste may stand on the site.
    WasteOnSite,
    /// How long stored waste may stand between two inspections.
    DaysBetweenInspections,
    /// Something that must be done.
    Duty,
    /// A paper that is kept.
    Paper,
    /// A mark on the container.
    Mark,
    /// What never changes an answer.
    Never,
    /// When dilution does not count against a waste.
    Dilution,
    /// What a mixture counts as.
    Mixing,
    /// Whether household waste is excluded.
    Household,
    /// Whether a school's or a college's waste has rules of its own.
    School,
    /// Whether silver may be recovered on the premises.
    RecoveryHere,
    /// The share of a stock that must move within the year.
    StockMoved,
    /// A treatment on the premises, and its condition.
    Treatment,
    /// What a kind of material counts as when something is reclaimed from it.
    Material,
    /// An element in what goes to a sewer or a water.
    DischargeLimit,
}

/// How a figure is held against the value of a rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Comparison {
    /// Greater, or equal.
    AtOrAbove,
    /// Greater.
    Above,
    /// Smaller, or equal.
    AtOrBelow,
    /// Smaller.
    Below,
}

/// The unit of a rule's value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub enum RuleUnit {
    /// Milligrams per litre.
    #[serde(rename = "mg/L")]
    MilligramsPerLitre,
    /// Milligrams per square metre of material worked.
    #[serde(rename = "mg/m2")]
    MilligramsPerSquareMetre,
    /// Square metres in a year.
    #[serde(rename = "m2/year")]
    SquareMetresPerYear,
    /// Litres per kilogram.
    #[serde(rename = "L/kg")]
    LitresPerKilogram,
    /// Litres.
    #[serde(rename = "L")]
    Litres,
    /// Kilograms.
    #[serde(rename = "kg")]
    Kilograms,
    /// Kilograms in a month.
    #[serde(rename = "kg/month")]
    KilogramsPerMonth,
    /// Kilograms in a year.
    #[serde(rename = "kg/year")]
    KilogramsPerYear,
    /// Days.
    #[serde(rename = "d")]
    Days,
    /// Years.
    #[serde(rename = "years")]
    Years,
    /// Degrees Celsius.
    #[serde(rename = "°C")]
    DegreesCelsius,
    /// pH.
    #[serde(rename = "pH")]
    Ph,
    /// Percent.
    #[serde(rename = "%")]
    Percent,
    /// Percent by mass.
    #[serde(rename = "% w/w")]
    PercentWeight,
    /// Percent by volume.
    #[serde(rename = "% v/v")]
    PercentVolume,
}

/// How an entry of the list of wastes is marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum ListEntry {
    /// Hazardous whatever it holds.
    Hazardous,
    /// Hazardous where the waste has a hazard property, with a twin for where it has none.
    Mirror,
    /// Not hazardous by its entry.
    NotHazardous,
}

impl ListEntry {
    /// The mark in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Hazardous => "hazardous",
            Self::Mirror => "hazardous where it has a hazard property",
            Self::NotHazardous => "not hazardous",
        }
    }
}

/// One rule, with what it rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Rule {
    /// Its name, unique within the rule set.
    pub id: String,
    /// What it limits, grants or asks.
    pub quantity: RuleQuantity,
    /// What it applies to, in words.
    pub applies_to: String,
    /// How a figure is held against the value.
    pub comparison: Option<Comparison>,
    /// The value, a plain decimal.
    pub value: Option<String>,
    /// The value's unit.
    pub unit: Option<RuleUnit>,
    /// The rule in words, where it is not a figure alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub text: Option<String>,
    /// The code a waste bears by it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub code: Option<String>,
    /// The element it is about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub element: Option<String>,
    /// Id of the substance it is about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub substance: Option<String>,
    /// Hazard statements it counts, with the sub-category where one matters.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub hazards: Vec<String>,
    /// What each of the hazards is multiplied with; empty: one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub weights: Vec<u32>,
    /// Generator categories it holds for; empty: every one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub categories: Vec<String>,
    /// Kinds of container it holds for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub kinds: Vec<BatchKind>,
    /// Statuses of a container it holds for; empty: every one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub statuses: Vec<BatchStatus>,
    /// How the entry of the list of wastes is marked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub entry: Option<ListEntry>,
    /// When a duty, paper or mark applies.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub when: Option<When>,
    /// Words to print as they stand.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
    /// How long a paper is kept.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub keep_for: Option<String>,
    /// The date that starts a clock.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub starts: Option<ClockStart>,
    /// What sets a clock going, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trigger: Option<String>,
    /// Whether it is for acute waste.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub acute: Option<bool>,
    /// It holds for a haul longer than this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub haul_more_than_km: Option<Kilometres>,
    /// Whether it only points at a property that a test or a calculation decides.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub indicative: Option<bool>,
    /// Whether it is allowed; absent where the text does not settle it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub allowed: Option<bool>,
    /// A treatment that is only for waste hazardous by this property alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub only_property: Option<Property>,
    /// A treatment that is only for these entries of the list of wastes.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub only_codes: Vec<String>,
    /// The kind of material it is about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub material: Option<MaterialKind>,
    /// Where the limit is measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sampling_point: Option<String>,
    /// Over what time it is averaged.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub averaging: Option<String>,
    /// Whether other water may thin it before the sampling point.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dilution_allowed: Option<bool>,
    /// Clause of the text.
    pub clause: String,
    /// Bibliography key; in a file of your own, the source in words.
    pub source: String,
    /// Edition of the text that was read.
    pub edition: String,
    /// How well it was verified.
    pub status: SourceStatus,
}

impl Rule {
    /// What it rests on. It lives as long as the program, as the rule sets in use do, so that an
    /// answer with dozens of rules copies none of their texts.
    pub(super) fn authority(&self) -> &'static Authority {
        Box::leak(Box::new(Authority {
            id: self.id.clone(),
            clause: self.clause.clone(),
            edition: self.edition.clone(),
            source: self.source.clone(),
            status: self.status,
        }))
    }
}
