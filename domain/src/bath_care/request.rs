//! What a request for bath care says.

use crate::batch::Batch;
use crate::estimate::Plates;
use crate::quantity::{
    Date, Identifier, Litres, LogConstant, MeasuredGramsPerLitre,
    MeasuredMillilitresPerSquareMetre, MeasuredPercentVV, MeasuredSquareMetres, PercentVV,
    PercentWV, Ph, Text,
};
use crate::waste::rule_set::RuleSetName;
use serde::{Deserialize, Serialize};

/// Most salts one iodizer may list.
pub const MOST_SALTS: usize = 20;
/// Most sizes of plates one request may list.
pub const MOST_PLATES: usize = 100;
/// Most signs one request may list.
pub const MOST_SIGNS: usize = 20;

/// Asks how a working silver nitrate bath is kept at work.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct BathCareRequest {
    /// The bath, with its volume, what was read of its pH, and the evidence of its silver.
    pub batch: Batch,
    /// Strength the bath is brought back to; default 9 % w/v.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target_strength_percent_w_v: Option<PercentWV>,
    /// Volume the bath is made up to with distilled water; default the volume as it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub full_volume_l: Option<Litres>,
    /// pH the bath is brought back to, 2 to 6; default 4 for a collodion bath, none for paper.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target_ph: Option<Ph>,
    /// The acid of the bath; default nitric acid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub acid: Option<BathAcid>,
    /// Strength of the diluted acid that is dropped in, at most 5 % w/v; default 5 % w/v.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub acid_percent_w_v: Option<PercentWV>,
    /// The iodized collodion that goes through the bath.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub iodizer: Option<Iodizer>,
    /// Plates sensitized since the bath was made.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub plates: Vec<Plates>,
    /// Area sensitized since the bath was made, in the place of `plates`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plate_area_m2: Option<MeasuredSquareMetres>,
    /// Collodion that stays on a plate; default 150 mL/m2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub collodion_ml_per_m2: Option<MeasuredMillilitresPerSquareMetre>,
    /// Whether it is known that no ammonium salt was ever in what went through the bath.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ammonium_free: Option<bool>,
    /// Alcohol and ether in the bath, as found by distillation, by density or from a record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub alcohol_percent_v_v: Option<MeasuredPercentVV>,
    /// What the plates or prints show.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub signs: Vec<BathSign>,
    /// Constants of iodide in a silver bath, from a source of your own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub iodide_constants: Option<GivenIodideConstants>,
    /// The day it last stood in the sun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last_sunned_on: Option<Date>,
    /// Today, for the days since `last_sunned_on`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<Date>,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// The acid that keeps a bath acid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum BathAcid {
    /// Nitric acid: a few drops make the pH.
    NitricAcid,
    /// Acetic acid: weak, so the bath holds more of it than its pH shows.
    AceticAcid,
}

impl BathAcid {
    /// Its name.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::NitricAcid => "nitric acid",
            Self::AceticAcid => "acetic acid",
        }
    }
}

/// Iodized collodion: what is dissolved in a litre of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Iodizer {
    /// Iodides, bromides and chlorides, all of them.
    pub salts: Vec<IodizerSalt>,
    /// Alcohol in the iodized collodion.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub alcohol_percent_v_v: Option<PercentVV>,
    /// Ether in the iodized collodion.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ether_percent_v_v: Option<PercentVV>,
}

/// One salt of an iodizer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct IodizerSalt {
    /// Id of the substance, such as `cadmium_bromide`.
    pub substance: Identifier,
    /// Grams in a litre of iodized collodion, as weighed.
    pub g_per_l: MeasuredGramsPerLitre,
    /// Molecules of water in one formula of the crystals as weighed; default none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_count: Option<u8>,
}

/// What plates or prints show of a bath.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum BathSign {
    /// A grey veil over the whole plate.
    Fog,
    /// Fog that stayed after the bath was sunned, filtered and made acid.
    FogAfterSunning,
    /// Dark stains or a bath that has turned brown.
    Stains,
    /// Pinholes, or fine crystals on the plate.
    Pinholes,
    /// Greasy lines: the bath does not wet the plate evenly.
    GreasyLines,
    /// A thin image with a pale film.
    ThinImage,
}

/// Constants for iodide in a silver bath, log10, as the person gives them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct GivenIodideConstants {
    /// Solubility product, AgI(s) = Ag+ + I-.
    pub solubility_log_k: LogConstant,
    /// Ag+ + I- = AgI in solution.
    pub agi_log_k: LogConstant,
    /// Ag+ + 2 I- = AgI2-.
    pub agi2_log_k: LogConstant,
    /// 2 Ag+ + I- = Ag2I+.
    pub ag2i_log_k: LogConstant,
    /// 3 Ag+ + I- = Ag3I 2+.
    pub ag3i_log_k: LogConstant,
    /// Where they come from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<Text>,
}
