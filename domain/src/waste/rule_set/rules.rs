//! The parts of a rule set: thresholds, categories, clocks, duties, papers, marks. Each carries the
//! authority it rests on.

use super::rule::{Comparison, ListEntry};
use crate::batch::{BatchKind, BatchStatus};
use crate::bibliography::SourceStatus;
use crate::quantity::{
    Date, DegreesCelsius, Factor, Kilograms, Kilometres, Litres, MilligramsPerLitre, Percent,
    PercentVV, PercentWW, Ph,
};
use crate::waste::classification::Property;
use serde::{Deserialize, Serialize};

/// What a rule rests on. A rule that was not read in the primary text is never presented as law.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Authority {
    /// The rule's name in its rule set.
    pub id: String,
    /// Clause of the text.
    pub clause: String,
    /// Edition of the text that was read.
    pub edition: String,
    /// Bibliography key.
    pub source: String,
    /// How well it was verified.
    pub status: SourceStatus,
}

/// A waste is toxic when its extract holds this much of an element, or more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToxicityLimit {
    /// Waste code.
    pub code: String,
    /// Element.
    pub element: String,
    /// The limit; equal counts as over.
    pub limit_mg_per_l: MilligramsPerLitre,
    /// Authority.
    pub rule: &'static Authority,
}

/// A solid cannot leach more than its total divided by this factor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TotalsScreen {
    /// Litres of extraction fluid per kilogram of solid.
    pub dilution_factor: Factor,
    /// Authority.
    pub rule: &'static Authority,
}

/// When a liquid is ignitable.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ignitability {
    /// Waste code.
    pub code: String,
    /// Flash point below this.
    pub flash_point_below_c: DegreesCelsius,
    /// An aqueous liquid with less alcohol than this is excluded.
    pub alcohol_below_percent_v_v: Option<PercentVV>,
    /// Authority.
    pub rule: &'static Authority,
    /// Code and authority for what feeds a fire.
    pub oxidizer: Option<(String, &'static Authority)>,
    /// Solutions that feed a fire from a strength on.
    pub oxidizer_from: Vec<OxidizerFrom>,
}

/// A substance whose solution feeds a fire from a strength on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OxidizerFrom {
    /// Id of the substance.
    pub substance: String,
    /// The strength; equal counts.
    pub from_percent_w_w: PercentWW,
    /// Authority.
    pub rule: &'static Authority,
}

/// When an aqueous liquid is corrosive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Corrosivity {
    /// Waste code.
    pub code: String,
    /// Corrosive at this pH or below.
    pub at_or_below_ph: Ph,
    /// Corrosive at this pH or above.
    pub at_or_above_ph: Ph,
    /// Whether a pH only points at the property, which a test or a calculation decides.
    pub indicative: bool,
    /// Authority.
    pub rule: &'static Authority,
}

/// When a waste is reactive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reactivity {
    /// Waste code.
    pub code: String,
    /// The rule for cyanide and sulfide, in words.
    pub words: String,
    /// Authority for cyanide and sulfide.
    pub rule: &'static Authority,
    /// Hazard statements of substances that give off the gas.
    pub hazards: Vec<String>,
    /// Code and authority for what explodes.
    pub explosive: Option<(String, &'static Authority)>,
}

/// A commercial product that is listed when it is thrown away unused, and its spills.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnusedProduct {
    /// Waste code.
    pub code: String,
    /// Id of the substance.
    pub substance: String,
    /// Whether it is acute hazardous waste.
    pub acute: bool,
    /// What it is a waste for: its name on a list, or a property that it has as a product.
    pub property: Property,
    /// That property, in words; empty where its name alone decides.
    pub words: String,
    /// Authority.
    pub rule: &'static Authority,
}

/// A listed spent solvent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpentSolvent {
    /// Waste code.
    pub code: String,
    /// Authority.
    pub rule: &'static Authority,
}

/// A generator category, by mass per calendar month and site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CategoryRule {
    /// Its name in this data.
    pub id: String,
    /// Its name in the law.
    pub title: String,
    /// More acute waste than this puts a site here.
    pub acute_above_kg: Option<Kilograms>,
    /// More residue of an acute spill than this puts a site here.
    pub acute_residue_above_kg: Option<Kilograms>,
    /// This much hazardous waste or more puts a site here.
    pub hazardous_at_or_above_kg: Option<Kilograms>,
    /// More hazardous waste than this puts a site here.
    pub hazardous_above_kg: Option<Kilograms>,
    /// Authority.
    pub rule: &'static Authority,
}

/// The date of a batch that sets a clock going.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum ClockStart {
    /// The day it became waste.
    WasteSince,
    /// The day the amount on site went over a limit.
    LimitExceededOn,
}

/// How long waste may be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClockRule {
    /// CategoryRule it holds for.
    pub category: String,
    /// The date it starts from.
    pub starts: ClockStart,
    /// Whether it is for acute waste.
    pub acute: bool,
    /// What sets it going, in words.
    pub trigger: Option<String>,
    /// Days allowed.
    pub limit_day_count: i64,
    /// A longer haul than this earns more days.
    pub haul_more_than_km: Option<Kilometres>,
    /// Days allowed on a long haul.
    pub far_limit_day_count: Option<i64>,
    /// Most that may stand on site meanwhile.
    pub most_on_site_kg: Option<Kilograms>,
    /// Authority.
    pub rule: &'static Authority,
    /// Authority for the longer time.
    pub far_rule: Option<&'static Authority>,
}

/// How often stored waste is inspected.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InspectionRule {
    /// Categories it holds for; empty: every one.
    pub categories: Vec<String>,
    /// Most days between two inspections.
    pub every_day_count: i64,
    /// Authority.
    pub rule: &'static Authority,
}

/// When a duty or paper applies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum When {
    /// To every hazardous waste.
    #[default]
    Always,
    /// Where silver is reclaimed from it.
    SilverRecovery,
    /// Where it may reach a sewer.
    Sewer,
    /// Where it is neutralized.
    Neutralization,
}

/// Something that must be done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DutyRule {
    /// When it applies.
    pub when: When,
    /// Categories it holds for; empty: every one.
    pub categories: Vec<String>,
    /// The duty, in words.
    pub text: String,
    /// Words to print as they stand, where a mark asks for some.
    pub words: Option<String>,
    /// Authority.
    pub rule: &'static Authority,
}

/// A paper that is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaperRule {
    /// When it applies.
    pub when: When,
    /// Categories it holds for; empty: every one.
    pub categories: Vec<String>,
    /// The paper.
    pub text: String,
    /// How long it is kept.
    pub keep_for: String,
    /// Authority.
    pub rule: &'static Authority,
}

/// A sentence with its authority.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleSentence {
    /// The rule, in words.
    pub text: String,
    /// Authority.
    pub rule: &'static Authority,
}

/// Whether silver may be recovered on the premises.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecoveryHereRule {
    /// Whether it is allowed without a permit; absent where the text does not settle it.
    pub allowed: Option<bool>,
    /// The rule, in words.
    pub text: String,
    /// Authority.
    pub rule: &'static Authority,
}

/// When dilution does not count against a waste.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct DilutionBranch {
    /// The branch, in words.
    pub branch: String,
    /// Authority.
    pub rule: &'static Authority,
}

/// How much of a stock must move within the year for recovery to be believed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpeculativeAccumulation {
    /// Share of the stock of 1 January that must be recovered or sent by 31 December.
    pub share_percent: Percent,
    /// Authority.
    pub rule: &'static Authority,
}

impl SpeculativeAccumulation {
    /// The day by which the share must have moved: the last of the calendar year of `on`.
    #[must_use]
    pub fn latest_day(&self, on: Date) -> Date {
        on.last_of_year()
    }
}

/// How a hazard property follows from the shares of substances.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HazardRule {
    /// Code of the property, such as `HP 8`.
    pub code: String,
    /// Hazards counted, with their weights.
    pub hazards: Vec<(String, u32)>,
    /// Whether the shares are added; otherwise each stands alone.
    pub summed: bool,
    /// The share from which on the property is there; equal counts.
    pub limit_percent_w_w: PercentWW,
    /// Authority.
    pub rule: &'static Authority,
}

/// The share below which a substance is left out of a sum.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HazardCutOff {
    /// Code of the property.
    pub code: String,
    /// Hazards it holds for.
    pub hazards: Vec<String>,
    /// Left out below this share.
    pub below_percent_w_w: PercentWW,
}

/// An entry of the list of wastes, and the containers it may be for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListRule {
    /// The entry's code, with its asterisk.
    pub code: String,
    /// The entry's words.
    pub title: String,
    /// How it is marked.
    pub entry: ListEntry,
    /// Kinds of container.
    pub kinds: Vec<BatchKind>,
    /// Statuses; empty: every one.
    pub statuses: Vec<BatchStatus>,
    /// Authority.
    pub rule: &'static Authority,
}

/// Which entry to choose where several fit, or none does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListChoiceRule {
    /// The choice, in words.
    pub text: String,
    /// Kinds of container.
    pub kinds: Vec<BatchKind>,
    /// Authority.
    pub rule: &'static Authority,
}

/// A treatment on the premises.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TreatmentRule {
    /// What is treated, and where.
    pub name: String,
    /// The condition, in words.
    pub text: String,
    /// Whether it is allowed on that condition; absent where the text does not settle it.
    pub allowed: Option<bool>,
    /// Only for waste that is hazardous by this property alone.
    pub only_property: Option<Property>,
    /// Only for these entries of the list of wastes; empty: every one.
    pub only_codes: Vec<String>,
    /// Only for so much at a time.
    pub at_most_l: Option<Litres>,
    /// Authority.
    pub rule: &'static Authority,
}

/// What a material is to the law when something is reclaimed from it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum MaterialKind {
    /// Used, and no longer fit for its purpose without treatment: a spent bath or fixer.
    SpentMaterial,
    /// Residue of treating a waste or a waste water: a recovery sludge.
    Sludge,
    /// A residue that is neither product nor spent: drips that never worked.
    ByProduct,
    /// A product that was never used.
    UnusedProduct,
    /// Metal, or what is mainly metal.
    ScrapMetal,
}

/// What a kind of material counts as.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MaterialRule {
    /// The kind.
    pub kind: MaterialKind,
    /// What it counts as, in words.
    pub text: String,
    /// Authority.
    pub rule: &'static Authority,
}

/// An element in what goes to a sewer or a water.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DischargeLimit {
    /// Element.
    pub element: String,
    /// The limit.
    pub limit_mg_per_l: MilligramsPerLitre,
    /// How a figure is held against it: what is asked is to be at or below, or below.
    pub comparison: Comparison,
    /// What it applies to.
    pub applies_to: String,
    /// Kinds of container; empty: every liquid.
    pub kinds: Vec<BatchKind>,
    /// Where it is measured.
    pub sampling_point: String,
    /// Over what time it is averaged.
    pub averaging: String,
    /// Whether other water may thin it before that point.
    pub dilution_allowed: bool,
    /// Authority.
    pub rule: &'static Authority,
}
