//! The parts of a rule set: thresholds, categories, clocks, duties, papers, marks. Each carries the
//! authority it rests on.

use crate::bibliography::SourceStatus;
use crate::quantity::{
    DegreesCelsius, Factor, Kilograms, Kilometres, MilligramsPerLitre, Percent, PercentVV, Ph,
};
use serde::{Deserialize, Serialize};

/// What a rule rests on. A rule that was not read in the primary text is never presented as law.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Authority {
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
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ToxicityLimit {
    /// Waste code.
    pub code: String,
    /// Element.
    pub element: String,
    /// The limit; equal counts as over.
    #[serde(deserialize_with = "crate::data::exact")]
    pub limit_mg_per_l: MilligramsPerLitre,
    /// Authority.
    pub rule: Authority,
}

/// A solid cannot leach more than its total divided by this factor.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct TotalsScreen {
    /// Litres of extraction fluid per kilogram of solid.
    #[serde(deserialize_with = "crate::data::exact")]
    pub dilution_factor: Factor,
    /// Authority.
    pub rule: Authority,
}

/// When a liquid is ignitable.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Ignitability {
    /// Waste code.
    pub code: String,
    /// Flash point below this.
    #[serde(deserialize_with = "crate::data::exact")]
    pub flash_point_below_c: DegreesCelsius,
    /// An aqueous liquid with less alcohol than this is excluded.
    #[serde(deserialize_with = "crate::data::exact")]
    pub alcohol_below_percent_v_v: PercentVV,
    /// Authority.
    pub rule: Authority,
    /// Authority for oxidizers.
    pub oxidizer: Authority,
}

/// When an aqueous liquid is corrosive.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Corrosivity {
    /// Waste code.
    pub code: String,
    /// Corrosive at this pH or below.
    #[serde(deserialize_with = "crate::data::exact")]
    pub at_or_below_ph: Ph,
    /// Corrosive at this pH or above.
    #[serde(deserialize_with = "crate::data::exact")]
    pub at_or_above_ph: Ph,
    /// Authority.
    pub rule: Authority,
}

/// When a waste is reactive.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Reactivity {
    /// Waste code.
    pub code: String,
    /// The rule for cyanide and sulfide, in words.
    pub words: String,
    /// Authority for cyanide and sulfide.
    pub rule: Authority,
    /// Authority for what explodes.
    pub explosive: Authority,
}

/// A commercial product that is listed when it is thrown away unused, and its spills.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct UnusedProduct {
    /// Waste code.
    pub code: String,
    /// Id of the substance.
    pub substance: String,
    /// Whether it is acute hazardous waste.
    pub acute: bool,
    /// Authority.
    pub rule: Authority,
}

/// A listed spent solvent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct SpentSolvent {
    /// Waste code.
    pub code: String,
    /// Authority.
    pub rule: Authority,
}

/// A generator category, by mass per calendar month and site.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct CategoryRule {
    /// Its name in this data.
    pub id: String,
    /// Its name in the law.
    pub title: String,
    /// More acute waste than this puts a site here.
    #[serde(
        default,
        deserialize_with = "crate::data::exact_some",
        skip_serializing_if = "Option::is_none"
    )]
    pub acute_above_kg: Option<Kilograms>,
    /// More residue of an acute spill than this puts a site here.
    #[serde(
        default,
        deserialize_with = "crate::data::exact_some",
        skip_serializing_if = "Option::is_none"
    )]
    pub acute_residue_above_kg: Option<Kilograms>,
    /// This much hazardous waste or more puts a site here.
    #[serde(
        default,
        deserialize_with = "crate::data::exact_some",
        skip_serializing_if = "Option::is_none"
    )]
    pub hazardous_at_or_above_kg: Option<Kilograms>,
    /// More hazardous waste than this puts a site here.
    #[serde(
        default,
        deserialize_with = "crate::data::exact_some",
        skip_serializing_if = "Option::is_none"
    )]
    pub hazardous_above_kg: Option<Kilograms>,
    /// Authority.
    pub rule: Authority,
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
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ClockRule {
    /// CategoryRule it holds for.
    pub category: String,
    /// The date it starts from.
    pub starts: ClockStart,
    /// Whether it is for acute waste.
    #[serde(default)]
    pub acute: bool,
    /// What sets it going, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trigger: Option<String>,
    /// Days allowed.
    pub limit_day_count: i64,
    /// A longer haul than this earns more days.
    #[serde(
        default,
        deserialize_with = "crate::data::exact_some",
        skip_serializing_if = "Option::is_none"
    )]
    pub haul_more_than_km: Option<Kilometres>,
    /// Days allowed on a long haul.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub far_limit_day_count: Option<i64>,
    /// Most that may stand on site meanwhile.
    #[serde(
        default,
        deserialize_with = "crate::data::exact_some",
        skip_serializing_if = "Option::is_none"
    )]
    pub most_on_site_kg: Option<Kilograms>,
    /// Authority.
    pub rule: Authority,
    /// Authority for the longer time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub far_rule: Option<Authority>,
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
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct DutyRule {
    /// When it applies.
    #[serde(default)]
    pub when: When,
    /// Categories it holds for; empty: every one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub categories: Vec<String>,
    /// The duty, in words.
    pub text: String,
    /// Words to print as they stand, where a mark asks for some.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
    /// Authority.
    pub rule: Authority,
}

/// A paper that is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct PaperRule {
    /// When it applies.
    #[serde(default)]
    pub when: When,
    /// Categories it holds for; empty: every one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub categories: Vec<String>,
    /// The paper.
    pub text: String,
    /// How long it is kept.
    pub keep_for: String,
    /// Authority.
    pub rule: Authority,
}

/// A sentence with its authority.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct RuleSentence {
    /// The rule, in words.
    pub text: String,
    /// Authority.
    pub rule: Authority,
}

/// When dilution does not count against a waste.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct DilutionBranch {
    /// The branch, in words.
    pub branch: String,
    /// Authority.
    pub rule: Authority,
}

/// How much of a stock must move within the year for recovery to be believed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct SpeculativeAccumulation {
    /// Share of the stock of 1 January that must be recovered or sent by 31 December.
    #[serde(deserialize_with = "crate::data::exact")]
    pub share_percent: Percent,
    /// Authority.
    pub rule: Authority,
}
