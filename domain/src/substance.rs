//! Substances of the trade, as data: what they are and which hazard groups they belong to.

use crate::quantity::Identifier;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// What a substance does when it meets others. Pour rules and blocks are written in these groups.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Group {
    /// Any acid, acid salts included.
    Acid,
    /// An acid that is fully dissociated.
    StrongAcid,
    /// An acid that also oxidizes, such as nitric.
    OxidizingAcid,
    /// A halide acid, such as hydrochloric.
    HydrochloricAcid,
    /// A strong alkali.
    Caustic,
    /// Carbonates and bicarbonates: gas with acid.
    Carbonate,
    /// Cyanides that acid turns into hydrogen cyanide.
    Cyanide,
    /// Ferricyanides and ferrocyanides.
    Ferricyanide,
    /// Sulfides.
    Sulfide,
    /// Sulfites, bisulfites and metabisulfites.
    Sulfite,
    /// Thiosulfates.
    Thiosulfate,
    /// Hypochlorites.
    Hypochlorite,
    /// Peroxides.
    Peroxide,
    /// Permanganates.
    Permanganate,
    /// Dichromates and chromates.
    Chromate,
    /// Free ammonia.
    Ammonia,
    /// Ammonium salts.
    Ammonium,
    /// Soluble silver salts.
    Silver,
    /// Chlorides that precipitate silver.
    Chloride,
    /// Bromides and iodides.
    Halide,
    /// Alcohols.
    Alcohol,
    /// Ethers.
    Ether,
    /// Nitrocellulose.
    Nitrocellulose,
    /// Nitrates.
    Nitrate,
    /// Oxalates and tartrates.
    OxalateOrTartrate,
    /// Acetylides and azides.
    AcetylideOrAzide,
    /// Mercury and its compounds.
    Mercury,
    /// Lead and its compounds.
    Lead,
    /// Cadmium and its compounds.
    Cadmium,
    /// Selenium and its compounds.
    Selenium,
    /// Gold and its compounds.
    Gold,
    /// Metals in powder or wool that acid or silver attacks.
    ReactiveMetal,
    /// Iron(II) salts and iron developers.
    IronTwo,
    /// Organic developing agents.
    DevelopingAgent,
    /// Strong reducing agents such as borohydride and dithionite.
    StrongReducer,
    /// Aldehydes.
    Aldehyde,
    /// Thiourea and its kin.
    Thiourea,
    /// Other water-miscible or harmless matter.
    Inert,
}

/// A substance we know.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Substance {
    /// The id that a composition uses.
    pub id: String,
    /// Its name in the trade.
    pub name: String,
    /// Chemical formula, where it is one compound.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub formula: Option<String>,
    /// Molar mass, where it is one compound.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub molar_mass_g_per_mol: Option<f64>,
    /// Hazard groups.
    pub groups: Vec<Group>,
    /// GHS hazard statements, where known.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hazard_statements: Vec<String>,
    /// What a person must know of it, in one sentence.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
    /// Bibliography key.
    pub source: String,
}

impl Substance {
    /// Whether the substance belongs to `group`.
    #[must_use]
    pub fn is(&self, group: Group) -> bool {
        self.groups.contains(&group)
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    substance: Vec<Substance>,
}

static SUBSTANCES: LazyLock<Vec<Substance>> =
    LazyLock::new(|| crate::data::parse::<File>(include_str!("../data/substances.toml")).substance);

/// Every substance we know, in the order of the data file.
#[must_use]
pub fn substances() -> &'static [Substance] {
    &SUBSTANCES
}

/// The substance with that id; `None` means it is not known to be safe with anything.
#[must_use]
pub fn substance(id: &Identifier) -> Option<&'static Substance> {
    SUBSTANCES.iter().find(|s| s.id == id.as_str())
}
