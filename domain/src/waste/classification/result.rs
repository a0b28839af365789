//! What a classification is asked and what it says.

use super::Site;
use crate::batch::Batch;
use crate::quantity::{
    ComputedDegreesCelsius, ComputedMilligramsPerKilogram, ComputedMilligramsPerLitre,
    ComputedPercentVV, ComputedPercentWW, ComputedPh, Date, DegreesCelsius, Kilograms, Kilometres,
    MilligramsPerLitre, PercentVV, PercentWW, Ph, Text,
};
use crate::waste::contents::Certainty;
use crate::waste::rule_set::{
    Authority, DilutionBranch, ListEntry, MaterialKind, RuleSet, RuleSetName,
};
use crate::waste::storage::{ContainerFinding, StorageClock};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::sync::Arc;

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
    /// Where it stands written: a permit, a by-law, a letter of the authority.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<Text>,
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
            shares: Arc::default(),
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
    /// How often it must be inspected; null where the rules do not say.
    pub inspection: Option<InspectionDuty>,
    /// What must be done.
    pub duties: Vec<LegalDuty>,
    /// What is kept, and how long.
    pub papers: Vec<LegalDuty>,
    /// Marks on the container.
    pub marks: Vec<LegalDuty>,
    /// What never changes the answer.
    pub never: Vec<Cow<'static, str>>,
    /// When dilution does not count against a waste; null where it always does.
    pub dilution: Option<&'static DilutionBranch>,
    /// Questions for the authority.
    pub questions: Vec<Cow<'static, str>>,
    /// How it stands against the limit of the place.
    pub local_limit: Option<LocalLimitFinding>,
    /// Entries of the list of wastes; null where the rules know no such list.
    pub waste_list: Option<WasteListFinding>,
    /// What the law takes it for when silver is reclaimed from it; null where the rules do not say.
    pub material: Option<MaterialFinding>,
    /// Treatments on the premises, each with its condition.
    pub treatments: Vec<TreatmentFinding>,
    /// How it stands against what these rules let into a sewer or a water.
    pub discharge_limits: Vec<DischargeLimitFinding>,
    /// What is wrong with the container it stands in, whatever the rules.
    pub container_findings: Vec<ContainerFinding>,
}

impl Classification {
    /// The clock that runs, else those that may run while the category is unknown, the shortest first.
    pub fn clocks(&self) -> impl Iterator<Item = &StorageClock> {
        self.clock.iter().chain(&self.possible_clocks)
    }

    /// The first of the clocks, if its day has passed. It is certain to run only where `clock` holds it:
    /// the smallest generators may have none.
    #[must_use]
    pub fn run_out(&self, on: Date) -> Option<&StorageClock> {
        self.clocks().next().filter(|c| c.due_on < on)
    }
}

/// Entries of the list of wastes that fit a container.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct WasteListFinding {
    /// The entries.
    pub candidates: Vec<ListCandidate>,
    /// The choice to be made between them.
    pub choice: Option<String>,
    /// What the choice rests on.
    pub choice_authority: Option<&'static Authority>,
}

/// One entry of the list of wastes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ListCandidate {
    /// The entry's code, with its asterisk.
    pub code: String,
    /// The entry's words.
    pub title: String,
    /// How it is marked.
    pub entry: ListEntry,
    /// What it rests on.
    pub authority: &'static Authority,
}

/// What the law takes a material for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct MaterialFinding {
    /// The kind.
    pub kind: MaterialKind,
    /// What follows from it.
    pub text: &'static str,
    /// What it rests on.
    pub authority: &'static Authority,
}

/// Whether a treatment rule reaches a container. Nothing here is a permission.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum TreatmentVerdict {
    /// The rule does not reach it.
    DoesNotFit,
    /// The authority says.
    Ask,
    /// The rule reaches it where its condition is kept.
    OnItsCondition,
}

/// What a rule says of treating a container on the premises.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct TreatmentFinding {
    /// The treatment.
    pub what: &'static str,
    /// In a word.
    pub verdict: TreatmentVerdict,
    /// In words, with its condition.
    pub text: Cow<'static, str>,
    /// What it rests on.
    pub authority: &'static Authority,
}

/// How a container stands against a limit on what goes to a sewer or a water.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct DischargeLimitFinding {
    /// The element.
    pub element: String,
    /// In a word.
    pub verdict: LocalVerdict,
    /// In words.
    pub text: String,
    /// The limit.
    pub limit_mg_per_l: MilligramsPerLitre,
    /// The figure against the limit.
    pub figure: Option<Figure>,
    /// What it rests on.
    pub authority: &'static Authority,
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
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
    /// It irritates skin or eyes.
    Irritant,
    /// It poisons at once.
    Poisonous,
    /// It harms health in the long run.
    HarmsHealth,
    /// It poisons water life.
    Ecotoxic,
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
    pub authority: &'static Authority,
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
    pub authority: &'static Authority,
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
    /// Shares of substances with the named hazards, added with the rule's weights.
    HazardShare {
        /// Hazard statements counted.
        hazards: Vec<String>,
        /// The sum.
        value_percent_w_w: ComputedPercentWW,
        /// Limit; equal counts as over.
        limit_percent_w_w: PercentWW,
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
    pub authority: Option<&'static Authority>,
}

impl GeneratorCategory {
    /// Whether the site is in one of `categories`, or may be while its own is unknown; none named
    /// means every one.
    #[must_use]
    pub fn may_be_in(&self, categories: &[String]) -> bool {
        categories.is_empty()
            || self.id.as_ref().map_or_else(
                || categories.iter().any(|c| self.possible.contains(c)),
                |id| categories.contains(id),
            )
    }
}

/// How often a container must be inspected.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct InspectionDuty {
    /// Most days between two inspections.
    pub every_day_count: i64,
    /// What it rests on.
    pub authority: &'static Authority,
}

/// A duty, paper or mark with its authority.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LegalDuty {
    /// What must be done, kept or written.
    pub text: Cow<'static, str>,
    /// How long a paper is kept.
    pub keep_for: Option<&'static str>,
    /// What it rests on.
    pub authority: &'static Authority,
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
