//! What bath care answers.

use super::request::BathAcid;
use crate::bibliography::SourceStatus;
use crate::procedure::{Addition, Refusal, Step};
use crate::quantity::{
    ComputedFactor, ComputedGrams, ComputedGramsPerLitre, ComputedLitres,
    ComputedMilligramsPerLitre, ComputedMillilitres, ComputedMoles, ComputedMolesPerLitre,
    ComputedPercentVV, ComputedPercentWV, ComputedPh, ComputedSquareMetres, Identifier,
};
use serde::Serialize;

/// The state of a bath, what was found, and what to do for it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathCare {
    /// Why no care is planned; then `care` is null.
    pub refusal: Option<Refusal>,
    /// What is known of the bath as it stands.
    pub state: BathState,
    /// What was found, the gravest first.
    pub findings: Vec<BathFinding>,
    /// What to do, step by step.
    pub care: Option<BathProcedure>,
    /// Iodide that the bath can hold; null without constants of your own.
    pub iodide: Option<BathIodide>,
    /// What the plates brought in; null without an iodizer and an area.
    pub build_up: Option<BathBuildUp>,
    /// What ammonium means for this bath; null where there is none.
    pub ammonium: Option<BathAmmonium>,
    /// Why the bath is past sense and should go for recovery; null while care is worth it.
    pub recovery_advised: Option<BathPastSense>,
}

impl BathCare {
    /// No care, and why.
    pub(super) const fn refused(refusal: Refusal) -> Self {
        Self {
            refusal: Some(refusal),
            state: BathState::UNKNOWN,
            findings: Vec::new(),
            care: None,
            iodide: None,
            build_up: None,
            ammonium: None,
            recovery_advised: None,
        }
    }
}

impl BathState {
    /// A bath of which nothing was worked out.
    pub(super) const UNKNOWN: Self = Self {
        volume_l: None,
        silver_nitrate_g: None,
        silver_nitrate_95_g: None,
        strength_percent_w_v: None,
        uncertainty_percent_w_v: None,
        ph: None,
        range_ph: None,
        ph_from: PhOrigin::NotKnown,
        alcohol_percent_v_v: None,
    };
}

/// A bath as it stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathState {
    /// Volume; null where no care is planned.
    pub volume_l: Option<ComputedLitres>,
    /// Silver nitrate in the bath; null where the evidence gives no figure.
    pub silver_nitrate_g: Option<ComputedGrams>,
    /// The interval that holds it with 95 % probability.
    pub silver_nitrate_95_g: Option<BathMassSpan>,
    /// Strength.
    pub strength_percent_w_v: Option<ComputedPercentWV>,
    /// Standard uncertainty of the strength, the volume's own counted in.
    pub uncertainty_percent_w_v: Option<ComputedPercentWV>,
    /// pH; null where none was read and no acid is stated.
    pub ph: Option<ComputedPh>,
    /// The range the pH lies in.
    pub range_ph: Option<BathPhSpan>,
    /// Where the pH comes from.
    pub ph_from: PhOrigin,
    /// Alcohol and ether, where they were found or stated.
    pub alcohol_percent_v_v: Option<ComputedPercentVV>,
}

/// Where a pH comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum PhOrigin {
    /// It was read.
    Reading,
    /// It was worked out from the acid that is stated.
    StatedAcid,
    /// It is not known.
    NotKnown,
}

/// Two ends of a mass.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathMassSpan {
    /// Lower end.
    pub lower: ComputedGrams,
    /// Upper end; null where nothing bounds it.
    pub upper: Option<ComputedGrams>,
}

/// Two ends of a volume.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathVolumeSpan {
    /// Lower end.
    pub lower: ComputedMillilitres,
    /// Upper end.
    pub upper: ComputedMillilitres,
}

/// Two ends of a pH.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathPhSpan {
    /// Lower end.
    pub lower: ComputedPh,
    /// Upper end.
    pub upper: ComputedPh,
}

/// One thing that was found.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathFinding {
    /// What it is about.
    pub subject: BathSubject,
    /// What was found.
    pub what: String,
    /// How sure it is.
    pub how_sure: HowSure,
    /// Bibliography key.
    pub source: &'static str,
    /// How well the source was verified.
    pub status: SourceStatus,
}

/// What a finding is about, the gravest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum BathSubject {
    /// Ammonium beside silver.
    Ammonium,
    /// Alcohol and ether.
    Alcohol,
    /// pH.
    Acidity,
    /// Strength.
    Strength,
    /// Nitrates that pile up.
    Salts,
    /// Cadmium.
    Cadmium,
    /// Iodide.
    Iodide,
    /// Sun and bicarbonate.
    Sunning,
    /// What the plates show.
    Signs,
}

/// How sure a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum HowSure {
    /// Read or weighed.
    Measured,
    /// Worked out from what was stated.
    WorkedOut,
    /// Never more than this.
    AtMost,
    /// What the trade takes for granted.
    CommonPractice,
    /// Not known: it must be found out.
    NotKnown,
}

/// What to do for the bath.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathProcedure {
    /// The steps, each checked against the bath.
    pub steps: Vec<Step>,
    /// All that goes in, in order.
    pub additions: Vec<Addition>,
    /// Silver nitrate and water; null where the strength is not known.
    pub top_up: Option<BathTopUp>,
    /// Acid; null where none is due.
    pub acid: Option<BathAcidDose>,
    /// Bicarbonate before the sun; null where none goes in.
    pub bicarbonate: Option<BathBicarbonate>,
}

/// Bringing the bath back to strength.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathTopUp {
    /// Strength aimed at.
    pub target_strength_percent_w_v: ComputedPercentWV,
    /// Volume it is made up to.
    pub full_volume_l: ComputedLitres,
    /// Distilled water that makes up the volume.
    pub water_ml: ComputedMillilitres,
    /// Silver nitrate to add.
    pub silver_nitrate_g: ComputedGrams,
    /// The same, for the ends of what the evidence leaves open.
    pub silver_nitrate_95_g: BathMassSpan,
}

/// Acid that brings the bath to a pH.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathAcidDose {
    /// The acid.
    pub acid: BathAcid,
    /// Strength of what is dropped in.
    pub acid_percent_w_v: ComputedPercentWV,
    /// pH aimed at.
    pub target_ph: ComputedPh,
    /// Pure acid, mol.
    pub acid_mol: ComputedMoles,
    /// Diluted acid.
    pub volume_ml: ComputedMillilitres,
    /// The same, for the ends of the pH as read, widened by `factor_95`.
    pub range_ml: BathVolumeSpan,
    /// About how many drops of 0.05 mL.
    pub drop_count: u64,
    /// Factor within which the dose lies by the constants and the model, whatever the reading.
    pub factor_95: ComputedFactor,
}

/// Bicarbonate before sunning.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathBicarbonate {
    /// Sodium bicarbonate.
    pub bicarbonate_g: ComputedGrams,
    /// The same, for the ends of the pH as read.
    pub range_g: BathMassSpan,
    /// As a solution.
    pub solution_ml: ComputedMillilitres,
    /// Strength of that solution.
    pub solution_percent_w_v: ComputedPercentWV,
    /// pH that it leads to.
    pub end_ph: ComputedPh,
    /// Whether silver carbonate ends it, before the pH that sunning would like.
    pub stopped_by_silver_carbonate: bool,
    /// Silver nitrate that each gram more would take out of the bath.
    pub silver_nitrate_lost_per_gram_more_g: ComputedGrams,
    /// The way there, and a little past it.
    pub path: Vec<BathPathPoint>,
}

/// One point on the way.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathPathPoint {
    /// Bicarbonate so far.
    pub added_g: ComputedGrams,
    /// pH then.
    pub ph: ComputedPh,
    /// Silver nitrate fallen out as carbonate by then.
    pub silver_nitrate_lost_g: ComputedGrams,
}

/// Iodide that saturates the bath, by the constants given.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathIodide {
    /// Silver iodide that a litre holds at most.
    pub silver_iodide_g_per_l: ComputedGramsPerLitre,
    /// The same in the whole bath.
    pub silver_iodide_g: ComputedGrams,
    /// The same as iodide.
    pub iodide_mol_per_l: ComputedMolesPerLitre,
    /// Free silver ion.
    pub free_silver_mol_per_l: ComputedMolesPerLitre,
    /// What a litre holds at half the strength: the rest falls out when the bath is thinned.
    pub at_half_strength_g_per_l: ComputedGramsPerLitre,
}

/// What plates brought into the bath, at most: what they carried out again is not taken off.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathBuildUp {
    /// Area that went through the bath.
    pub area_m2: ComputedSquareMetres,
    /// Collodion on it.
    pub collodion_ml: ComputedMillilitres,
    /// Halide in that collodion.
    pub halide_mol: ComputedMoles,
    /// Silver nitrate that the halide takes.
    pub silver_nitrate_consumed_g: ComputedGrams,
    /// What each salt leaves.
    pub salts: Vec<BathSaltLeft>,
    /// All nitrates left in the bath.
    pub nitrates_g_per_l: ComputedGramsPerLitre,
    /// Cadmium in them.
    pub cadmium_mg_per_l: ComputedMilligramsPerLitre,
    /// Alcohol and ether brought in; null where the collodion's are not stated.
    pub alcohol_percent_v_v: Option<ComputedPercentVV>,
}

/// What one salt of the iodizer does.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathSaltLeft {
    /// The salt.
    pub substance: Identifier,
    /// How much of it went in.
    pub brought_mol: ComputedMoles,
    /// Formula of the nitrate that stays.
    pub leaves: String,
    /// How much of that.
    pub left_g: ComputedGrams,
}

/// Ammonium in a silver bath.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathAmmonium {
    /// Ammonium, at most; null where it is not known.
    pub ammonium_mol_per_l: Option<ComputedMolesPerLitre>,
    /// pH above which ammonia begins to hold silver; null where there is too little for that, or
    /// where the ammonium is not known.
    pub ceiling_ph: Option<ComputedPh>,
    /// Whether bicarbonate is kept out of this bath.
    pub keeps_bicarbonate_out: bool,
}

/// The bath is past sense.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct BathPastSense {
    /// Why.
    pub reasons: Vec<String>,
    /// What to do instead.
    pub instead: Vec<String>,
}
