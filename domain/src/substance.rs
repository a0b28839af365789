//! Substances of the trade, as data: what they are and which hazard groups they belong to.

use crate::quantity::{GramsPerMole, Identifier, Percent};
use crate::short_hash::ShortHash;
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::hash::BuildHasherDefault;
use std::sync::LazyLock;

mod tables;

pub use tables::{
    ChartGroup, Departure, ExposureLimit, HazardClasses, ReportableBasis, ReportableFloor,
    ReportableQuantity, TransportEntry, chart_codes, chart_departure, reportable_floor,
    reportable_quantities, strangers, table_sources, transport_entries, transport_numbers,
};

macro_rules! groups {
    ($($(#[$doc:meta])* $name:ident: $words:literal;)*) => {
        /// What a substance does when it meets others. Pour rules and blocks are written in these groups.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
        #[serde(rename_all = "snake_case")]
        pub enum Group {
            $($(#[$doc])* $name,)*
        }

        impl Group {
            /// Every group.
            pub const ALL: &[Self] = &[$(Self::$name,)*];

            /// The group in the words of the studio.
            #[must_use]
            pub const fn words(self) -> &'static str {
                match self {
                    $(Self::$name => $words,)*
                }
            }
        }
    };
}

groups! {
    /// Any acid, acid salts included.
    Acid: "acid";
    /// An acid that is fully dissociated, unless it is dilute.
    StrongAcid: "strong acid";
    /// An acid that also oxidizes, such as nitric.
    OxidizingAcid: "strong nitric acid";
    /// A halide acid, such as hydrochloric.
    HydrochloricAcid: "hydrochloric acid";
    /// The weak acid of an acid fixer, held by sulfite.
    AcidFixer: "acid fixer";
    /// A strong alkali.
    Caustic: "lye";
    /// Carbonates and bicarbonates: gas with acid.
    Carbonate: "carbonate";
    /// Cyanides that acid turns into hydrogen cyanide.
    Cyanide: "cyanide";
    /// A rinse that may carry cyanide.
    CyanideTraces: "a rinse that may carry cyanide";
    /// Ferricyanides and ferrocyanides.
    Ferricyanide: "ferricyanide";
    /// Thiocyanates.
    Thiocyanate: "thiocyanate";
    /// Sulfides.
    Sulfide: "sulfide";
    /// Sulfites, bisulfites and metabisulfites.
    Sulfite: "sulfite";
    /// Thiosulfates.
    Thiosulfate: "fixing salt (thiosulfate)";
    /// Hypochlorites.
    Hypochlorite: "bleach (hypochlorite)";
    /// Peroxides.
    Peroxide: "peroxide";
    /// Permanganates.
    Permanganate: "permanganate";
    /// Persulfates.
    Persulfate: "persulfate";
    /// Dichromates and chromates.
    Chromate: "dichromate or chromate";
    /// Chromium(III) salts.
    Chromium: "chromium(III)";
    /// Free ammonia.
    Ammonia: "ammonia";
    /// Ammonium salts.
    Ammonium: "ammonium salt";
    /// Soluble silver salts.
    Silver: "dissolved silver";
    /// Silver held in a complex, as in spent fixer.
    SilverComplex: "silver held in fixer";
    /// Silver metal and silver salts that do not dissolve.
    SilverSolid: "silver solid";
    /// Chlorides that precipitate silver.
    Chloride: "chloride";
    /// Bromides and iodides.
    Halide: "bromide or iodide";
    /// Iodine.
    Iodine: "iodine";
    /// Alcohols.
    Alcohol: "alcohol";
    /// Ethers.
    Ether: "ether";
    /// Other flammable solvents.
    Solvent: "solvent";
    /// Nitrocellulose.
    Nitrocellulose: "collodion (nitrocellulose)";
    /// Nitrates.
    Nitrate: "nitrate";
    /// Oxalates and tartrates.
    OxalateOrTartrate: "oxalate or tartrate";
    /// Acetylides, azides and fulminating silver: what explodes as it stands.
    AcetylideOrAzide: "acetylide, azide or fulminating silver";
    /// Azides that dissolve: poison, and explosive with acid and heavy metals.
    Azide: "azide";
    /// Mercury and its compounds.
    Mercury: "mercury";
    /// Lead and its compounds.
    Lead: "lead";
    /// Cadmium and its compounds.
    Cadmium: "cadmium";
    /// Selenium and its compounds.
    Selenium: "selenium";
    /// Gold, platinum, palladium and their compounds.
    Gold: "gold or platinum";
    /// Uranium, vanadium and their compounds.
    ToxicMetal: "uranium or vanadium";
    /// Copper salts.
    Copper: "copper salt";
    /// Iron(III) salts.
    Ferric: "iron(III) salt";
    /// Iron(II) salts and iron developers.
    IronTwo: "iron developer (iron(II))";
    /// Metals in powder or wool that acid or silver attacks.
    ReactiveMetal: "metal powder or wool";
    /// Copper metal.
    CopperMetal: "copper metal";
    /// Organic developing agents.
    DevelopingAgent: "developing agent";
    /// Strong reducing agents such as borohydride and dithionite.
    StrongReducer: "borohydride or dithionite";
    /// Aldehydes.
    Aldehyde: "formaldehyde";
    /// Thiourea and its kin.
    Thiourea: "thiourea";
    /// Mercaptans that bind silver.
    Mercaptan: "mercaptan";
    /// Sugars, glycerine, gelatin, paper and the like.
    OrganicMatter: "sugar, paper or other organic matter";
    /// Water and harmless matter.
    Inert: "water or harmless matter";
    /// An oxidizer that is dry or strong enough to set fire to what burns, unless it is dilute.
    StrongOxidizer: "dry or strong oxidizer";
    /// What an oxidizer sets on fire: neat or dry organic matter, reducers and metal powder, unless it is dilute.
    Fuel: "something that burns";
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
    #[serde(
        default,
        deserialize_with = "crate::data::exact_some",
        skip_serializing_if = "Option::is_none"
    )]
    pub molar_mass_g_per_mol: Option<GramsPerMole>,
    /// Hazard groups.
    pub groups: Vec<Group>,
    /// GHS hazard statements, where known.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hazard_statements: Vec<String>,
    /// Bibliography key of the hazard statements.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hazard_source: Option<String>,
    /// The regulated element in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub contaminant: Option<Contaminant>,
    /// What a person must know of it, in one sentence.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
    /// Bibliography key.
    pub source: String,
    /// Classification, where a table has it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub classification: Option<HazardClasses>,
    /// Limits in the air that were read.
    #[serde(default)]
    pub exposure_limits: Vec<ExposureLimit>,
    /// Rows of the tables of dangerous goods for the forms it comes in.
    #[serde(default)]
    pub transport: Vec<TransportEntry>,
    /// Reportable quantity, United States.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reportable_quantity: Option<ReportableQuantity>,
    /// Groups of the published reactivity chart.
    #[serde(default)]
    pub chart_groups: Vec<ChartGroup>,
    /// What no table that was read says of it.
    #[serde(default)]
    pub missing: Vec<String>,
}

/// A regulated element in a substance.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Contaminant {
    /// The element, as the tables of law name it.
    pub element: String,
    /// Its share of the substance by mass, from the formula.
    #[serde(deserialize_with = "crate::data::exact")]
    pub percent: Percent,
}

impl Substance {
    /// Molar mass in g/mol, for calculations.
    #[must_use]
    pub fn molar_mass(&self) -> Option<f64> {
        self.molar_mass_g_per_mol.map(|m| m.as_f64())
    }

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

static SUBSTANCES: LazyLock<Vec<Substance>> = LazyLock::new(|| {
    crate::data::parse::<File>(include_str!("../data/substances.toml"))
        .substance
        .into_iter()
        .map(tables::join)
        .collect()
});

/// The keys are ours and fixed, so that nobody can choose them to collide, and a report looks up several
/// hundred.
static BY_ID: LazyLock<HashMap<&'static str, &'static Substance, BuildHasherDefault<ShortHash>>> =
    LazyLock::new(|| SUBSTANCES.iter().map(|s| (s.id.as_str(), s)).collect());

/// Every substance we know, in the order of the data file.
#[must_use]
pub fn substances() -> &'static [Substance] {
    &SUBSTANCES
}

/// The substance with that id; `None` means it is not known to be safe with anything.
#[must_use]
pub fn substance(id: &Identifier) -> Option<&'static Substance> {
    BY_ID.get(id.as_str()).copied()
}
