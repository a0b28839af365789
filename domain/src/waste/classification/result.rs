//! What a classification is asked and what it says.

use super::Site;
use crate::batch::Batch;
use crate::quantity::{
    ComputedDegreesCelsius, ComputedMilligramsPerKilogram, ComputedMilligramsPerLitre,
    ComputedPercentVV, ComputedPh, Date, DegreesCelsius, Kilograms, Kilometres, MilligramsPerLitre,
    PercentVV, Ph, Text,
};
use crate::waste::contents::Certainty;
use crate::waste::rule_set::{Authority, DilutionBranch, RuleSet, RuleSetName};
use crate::waste::storage::StorageClock;
use serde::{Deserialize, Serialize};

/// What kind of place the waste arises in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Premises {
    /// A hobby at home.
    HouseholdHobby,
    /// A business at home.
    HomeBusiness,
    /// A business.
    Business,
    /// A school.
    School,
    /// A college or university.
    College,
}

/// A silver limit of the place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct LocalSilverLimit {
    /// The limit.
    pub silver_mg_per_l: MilligramsPerLitre,
    /// Where it is measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sampling_point: Option<Text>,
    /// Over what time it is averaged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub averaging: Option<Text>,
    /// Whether other water may thin it before the sampling point; unknown is no.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dilution_allowed: Option<bool>,
}

/// Asks what a batch is in law.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ClassificationRequest {
    /// The batch.
    pub batch: Batch,
    /// Today.
    pub on: Date,
    /// What kind of place it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub premises: Option<Premises>,
    /// Other hazardous waste that arises on the site in the month.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_hazardous_waste_kg: Option<Kilograms>,
    /// Other acute hazardous waste that arises on the site in the month.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_acute_waste_kg: Option<Kilograms>,
    /// How far the waste must travel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub haul_distance_km: Option<Kilometres>,
    /// A silver limit of the place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub local_silver_limit: Option<LocalSilverLimit>,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

impl ClassificationRequest {
    /// The site and the day of this request.
    #[must_use]
    pub fn site(&self) -> Site {
        Site {
            rules: self
                .rule_set
                .map_or_else(RuleSet::unspecified, RuleSetName::rules),
            on: self.on,
            premises: self.premises,
            other_hazardous_waste_kg: self.other_hazardous_waste_kg,
            other_acute_waste_kg: self.other_acute_waste_kg,
            haul_distance_km: self.haul_distance_km,
            local_silver_limit: self.local_silver_limit.clone(),
            shares: Vec::new(),
        }
    }
}

/// What a batch is in law, as far as it can be said.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Classification {
    /// Whether it is waste at all.
    pub standing: WasteStanding,
    /// Whether it is hazardous waste.
    pub hazardous: Hazardous,
    /// The codes it bears, may bear, or must be tested for.
    pub codes: Vec<HazardCode>,
    /// What a laboratory or the rule itself has ruled out.
    pub clean: Vec<CleanFinding>,
    /// What is not known and must be tested or asked.
    pub unknowns: Vec<ToTest>,
    /// The site's category in the month.
    pub category: GeneratorCategory,
    /// The day it must have left by.
    pub clock: Option<StorageClock>,
    /// The clocks that may run while the category is unknown, shortest first.
    pub possible_clocks: Vec<StorageClock>,
    /// What must be done.
    pub duties: Vec<LegalDuty>,
    /// What is kept, and how long.
    pub papers: Vec<LegalDuty>,
    /// Marks on the container.
    pub marks: Vec<LegalDuty>,
    /// What never changes the answer.
    pub never: Vec<String>,
    /// When dilution does not count against a waste; null where it always does.
    pub dilution: Option<DilutionBranch>,
    /// Questions for the authority.
    pub questions: Vec<String>,
    /// How it stands against the limit of the place.
    pub local_limit: Option<LocalLimitFinding>,
}

/// Whether a batch is waste.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// At work, and not waste.
    AtWork,
    /// Never used.
    Unused,
    /// Waste, or a material on its way to recovery.
    Waste,
    /// Nobody has said.
    ToBeAsked,
}

/// Whether a batch is waste, in a word and a sentence.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct WasteStanding {
    /// In a word.
    pub is: Standing,
    /// In a sentence.
    pub text: String,
}

/// Whether a batch is hazardous waste.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Hazardous {
    /// Nothing points to it; the state may still list it.
    NotIndicated,
    /// The rules are unknown.
    ToBeAsked,
    /// A test decides; until then it is handled as hazardous.
    ToBeTested,
    /// Taken to be so until shown otherwise.
    Presumed,
    /// It is.
    Known,
}

/// The property that a code stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Property {
    /// It leaches a poison.
    Toxic,
    /// It catches fire, or feeds one.
    Ignitable,
    /// It eats skin or metal.
    Corrosive,
    /// It gives off poison gas, or explodes.
    Reactive,
    /// The law lists it by name.
    Listed,
}

/// One waste code.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct HazardCode {
    /// The code.
    pub code: String,
    /// What it stands for.
    pub property: Property,
    /// Known, presumed, or to be tested.
    pub certainty: Certainty,
    /// Why.
    pub reason: String,
    /// The figure against its threshold.
    pub figure: Option<Figure>,
    /// Whether the law counts it as acute.
    pub acute: bool,
    /// What it rests on.
    pub authority: Authority,
}

/// A code that is ruled out, and by what.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct CleanFinding {
    /// The code.
    pub code: String,
    /// Why it does not apply.
    pub reason: String,
    /// The figure against its threshold.
    pub figure: Option<Figure>,
    /// What it rests on.
    pub authority: Authority,
}

/// A figure and the threshold it is compared with.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Figure {
    /// An element in a liquid.
    Concentration {
        /// Element.
        element: String,
        /// Best figure, where there is one.
        value_mg_per_l: Option<ComputedMilligramsPerLitre>,
        /// Lower end.
        lower_mg_per_l: ComputedMilligramsPerLitre,
        /// Upper end; null where nothing bounds it.
        upper_mg_per_l: Option<ComputedMilligramsPerLitre>,
        /// Limit; equal counts as over.
        limit_mg_per_l: MilligramsPerLitre,
    },
    /// An element in a solid.
    Total {
        /// Element.
        element: String,
        /// Lower end.
        lower_mg_per_kg: ComputedMilligramsPerKilogram,
        /// Upper end; null where nothing bounds it.
        upper_mg_per_kg: Option<ComputedMilligramsPerKilogram>,
        /// The total from which on the extract can reach the limit.
        screen_mg_per_kg: ComputedMilligramsPerKilogram,
        /// Limit on the extract.
        limit_mg_per_l: MilligramsPerLitre,
    },
    /// pH.
    Acidity {
        /// Lower end.
        lower_ph: ComputedPh,
        /// Upper end.
        upper_ph: ComputedPh,
        /// Corrosive at or beyond.
        limit_ph: Ph,
    },
    /// Flash point.
    FlashPoint {
        /// The figure.
        value_c: ComputedDegreesCelsius,
        /// Ignitable below.
        limit_c: DegreesCelsius,
    },
    /// Alcohol in an aqueous liquid.
    Alcohol {
        /// The figure.
        value_percent_v_v: ComputedPercentVV,
        /// Excluded below.
        limit_percent_v_v: PercentVV,
    },
}

/// Something to test or ask.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ToTest {
    /// What is not known.
    pub what: String,
    /// How it is found out.
    pub how: String,
    /// Why it matters.
    pub why: String,
}

/// The site's category in a calendar month.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct GeneratorCategory {
    /// Its name in the rule set; null while unknown.
    pub id: Option<String>,
    /// Its name in the law, or "category unknown".
    pub title: String,
    /// Why.
    pub reason: String,
    /// The month it is for, `YYYY-MM`.
    pub month: String,
    /// The categories still possible while unknown, most demanding first.
    pub possible: Vec<String>,
    /// What would settle it; listed again among the unknowns.
    #[serde(skip)]
    pub needs: Vec<ToTest>,
    /// What it rests on.
    pub authority: Option<Authority>,
}

/// A duty, paper or mark with its authority.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LegalDuty {
    /// What must be done, kept or written.
    pub text: String,
    /// How long a paper is kept.
    pub keep_for: Option<String>,
    /// What it rests on.
    pub authority: Authority,
}

/// How a batch stands against a limit of the place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum LocalVerdict {
    /// At the limit or above it.
    AtOrAbove,
    /// A laboratory decides.
    ToBeTested,
    /// A laboratory assay lies below it. This is not permission to discharge.
    AssayBelow,
}

/// How a batch stands against a limit of the place, with the words that go with it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LocalLimitFinding {
    /// In a word.
    pub verdict: LocalVerdict,
    /// In words.
    pub text: String,
    /// The figure against the limit.
    pub figure: Option<Figure>,
}
