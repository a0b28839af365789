//! What a batch is: one container's chemistry, and what may be in it.

use crate::estimate::{Evidence, MOST_EVIDENCE};
use crate::fault::{Fault, FaultKind, at_most};
use crate::quantity::{
    Date, Grams, Identifier, MeasuredDegreesCelsius, MeasuredGrams, MeasuredGramsPerMillilitre,
    MeasuredKilograms, MeasuredLitres, MeasuredPh,
};
use crate::substance::{Group, Substance, substance};
use serde::{Deserialize, Serialize};

mod component;
mod container;
mod mixed;

pub use component::{Component, MOST_COMPONENTS};
pub use container::{Container, VesselMaterial};
pub use mixed::{MOST_MIXED_IN, MixedIn};

use component::composition_faults;

/// What the container holds, in the trade's words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum BatchKind {
    /// Silver nitrate bath for plates or paper.
    SensitizingBath,
    /// Thiosulfate fixer.
    Fixer,
    /// Cyanide fixer.
    CyanideFixer,
    /// Bleach-fix.
    BleachFix,
    /// Developer and developer run-off.
    Developer,
    /// Stop bath.
    StopBath,
    /// Drips from holders and dippers.
    Drip,
    /// Rinse or wash water.
    RinseWater,
    /// Toner.
    Toner,
    /// Intensifier or reducer.
    IntensifierOrReducer,
    /// Silver with ammonia.
    AmmoniacalSilver,
    /// Collodion, ether or alcohol.
    CollodionOrSolvent,
    /// Sludge, precipitate or filter cake.
    Sludge,
    /// Wipes and filters.
    WipesAndFilters,
    /// Film and paper.
    FilmAndPaper,
    /// Glass plates.
    GlassPlates,
    /// A spent recovery cartridge.
    SpentCartridge,
    /// What a spill left.
    SpillResidue,
    /// An unused chemical in its bottle.
    UnusedChemical,
}

impl BatchKind {
    /// The kind in the words of the studio.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::SensitizingBath => "silver nitrate bath",
            Self::Fixer => "fixer",
            Self::CyanideFixer => "cyanide fixer",
            Self::BleachFix => "bleach-fix",
            Self::Developer => "developer",
            Self::StopBath => "stop bath",
            Self::Drip => "drips",
            Self::RinseWater => "rinse water",
            Self::Toner => "toner",
            Self::IntensifierOrReducer => "intensifier or reducer",
            Self::AmmoniacalSilver => "ammoniacal silver",
            Self::CollodionOrSolvent => "collodion or solvent",
            Self::Sludge => "sludge",
            Self::WipesAndFilters => "wipes and filters",
            Self::FilmAndPaper => "film and paper",
            Self::GlassPlates => "glass plates",
            Self::SpentCartridge => "spent cartridge",
            Self::SpillResidue => "spill residue",
            Self::UnusedChemical => "unused chemical",
        }
    }

    /// Whether it is a liquid, so that a concentration times a volume gives its silver.
    #[must_use]
    pub const fn is_liquid(self) -> bool {
        matches!(
            self,
            Self::SensitizingBath
                | Self::Fixer
                | Self::CyanideFixer
                | Self::BleachFix
                | Self::Developer
                | Self::StopBath
                | Self::Drip
                | Self::RinseWater
                | Self::Toner
                | Self::IntensifierOrReducer
                | Self::AmmoniacalSilver
                | Self::CollodionOrSolvent
        )
    }
}

/// Where the batch stands in its life. A working bath is not waste.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum BatchStatus {
    /// At work.
    InUse,
    /// Done with: waste, or a material on its way to recovery.
    Spent,
    /// Never used.
    Unused,
    /// Already treated or recovered from.
    Treated,
}

impl BatchStatus {
    /// Whether it is no longer at work and was used: a waste, or a material on its way to recovery.
    #[must_use]
    pub const fn is_waste(self) -> bool {
        matches!(self, Self::Spent | Self::Treated)
    }
}

/// The craft a batch serves. In a collodion studio a fixer of unstated type counts as cyanide.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Craft {
    /// Collodion plates.
    Collodion,
    /// Salted paper.
    SaltedPaper,
    /// Albumen paper.
    AlbumenPaper,
    /// Film and gelatin paper.
    FilmAndPaper,
}

/// What a container holds, as it would travel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum PhysicalForm {
    /// A liquid, or a sludge with free liquid over it.
    Liquid,
    /// A solid without free liquid.
    Solid,
}

/// One container's chemistry: kind, amount, dates and the evidence of its silver.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Batch {
    /// The name on the container.
    pub id: Identifier,
    /// What it holds.
    pub kind: BatchKind,
    /// Where it stands in its life.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub status: Option<BatchStatus>,
    /// The craft it serves.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub craft: Option<Craft>,
    /// Volume; a bare figure is a jug mark, good to 5 %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume_l: Option<MeasuredLitres>,
    /// Net mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<MeasuredKilograms>,
    /// Mass of the full container.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gross_g: Option<MeasuredGrams>,
    /// Mass of the empty container.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tare_g: Option<MeasuredGrams>,
    /// Resolution of the scale that gave `gross_g` and `tare_g`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scale_resolution_g: Option<Grams>,
    /// The day it was made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub made_on: Option<Date>,
    /// The day it became waste.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waste_since: Option<Date>,
    /// The day the amount on site went over a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit_exceeded_on: Option<Date>,
    /// The day water first went into it although it was waste: no reading since shows that it lies below
    /// a limit, because a waste is judged as it was before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub diluted_on: Option<Date>,
    /// What went into it as waste, from other containers or before what it was mixed with, each as it was:
    /// a mixture answers for the codes of what went in.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub mixed_in: Vec<MixedIn>,
    /// What is in it besides water.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub composition: Vec<Component>,
    /// pH.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ph: Option<MeasuredPh>,
    /// Density.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub density_g_per_ml: Option<MeasuredGramsPerMillilitre>,
    /// Flash point, closed cup.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flash_point_c: Option<MeasuredDegreesCelsius>,
    /// Initial boiling point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub boiling_point_c: Option<MeasuredDegreesCelsius>,
    /// Liquid or solid, where its kind does not say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub form: Option<PhysicalForm>,
    /// The vessel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub container: Option<Container>,
    /// What is known of its silver.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub evidence: Vec<Evidence>,
}

/// What is known of cyanide in a batch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CyanideKnowledge {
    /// Cyanide is stated.
    Present,
    /// A fixer of unstated type in a collodion studio: counts as cyanide until shown otherwise.
    Presumed,
    /// Nothing points to cyanide.
    NotIndicated,
}

impl Batch {
    /// Whether it was given up: by its status, or by the day it became waste.
    #[must_use]
    pub(crate) fn is_waste(&self) -> bool {
        self.waste_since.is_some() || self.status.is_some_and(BatchStatus::is_waste)
    }

    /// A batch of which only name and kind are known.
    #[must_use]
    pub const fn named(id: Identifier, kind: BatchKind) -> Self {
        Self {
            id,
            kind,
            status: None,
            craft: None,
            volume_l: None,
            mass_kg: None,
            gross_g: None,
            tare_g: None,
            scale_resolution_g: None,
            made_on: None,
            waste_since: None,
            limit_exceeded_on: None,
            diluted_on: None,
            mixed_in: Vec::new(),
            composition: Vec::new(),
            ph: None,
            density_g_per_ml: None,
            flash_point_c: None,
            boiling_point_c: None,
            form: None,
            container: None,
            evidence: Vec::new(),
        }
    }

    /// Whether it is a bottle or a spill: of those, the kind does not say whether they are liquid.
    #[must_use]
    pub const fn is_product(&self) -> bool {
        matches!(
            self.kind,
            BatchKind::UnusedChemical | BatchKind::SpillResidue
        )
    }

    /// Whether it is a liquid: by its kind, or a bottle or spill that was said to be one, or of which a pH,
    /// a flash point or an amount per litre was stated, which only a liquid has. A sludge under its liquid
    /// is no liquid.
    #[must_use]
    pub fn is_liquid(&self) -> bool {
        let said = || match self.form {
            Some(form) => form == PhysicalForm::Liquid,
            None => {
                let per_litre = |c: &Component| c.g_per_l.is_some() || c.mol_per_l.is_some();
                self.ph.is_some()
                    || self.flash_point_c.is_some()
                    || self.composition.iter().any(per_litre)
            }
        };
        self.kind.is_liquid() || (self.is_product() && said())
    }

    /// The stated substances that we know.
    pub fn known_substances(&self) -> impl Iterator<Item = &'static Substance> {
        self.composition
            .iter()
            .filter_map(|c| substance(&c.substance))
    }

    /// Whether a stated substance belongs to `group`.
    #[must_use]
    pub fn states(&self, group: Group) -> bool {
        self.known_substances().any(|s| s.is(group))
    }

    /// What is known of cyanide. In a collodion studio a fixer counts as cyanide unless
    /// thiosulfate is stated.
    #[must_use]
    pub fn cyanide(&self) -> CyanideKnowledge {
        if self.kind == BatchKind::CyanideFixer || self.states(Group::Cyanide) {
            CyanideKnowledge::Present
        } else if self.kind == BatchKind::Fixer
            && self.craft == Some(Craft::Collodion)
            && !self.states(Group::Thiosulfate)
        {
            CyanideKnowledge::Presumed
        } else {
            self.cyanide_mixed_in()
        }
    }

    /// Whether cyanide is stated or presumed.
    #[must_use]
    pub fn counts_as_cyanide(&self) -> bool {
        self.cyanide() != CyanideKnowledge::NotIndicated
    }

    /// Whether thiosulfate is stated, or the kind always holds it.
    #[must_use]
    pub fn holds_thiosulfate(&self) -> bool {
        (matches!(self.kind, BatchKind::Fixer | BatchKind::BleachFix) && !self.counts_as_cyanide())
            || self.states(Group::Thiosulfate)
    }

    /// Whether silver stands together with ammonia, or with an ammonium salt and strong alkali.
    #[must_use]
    pub fn is_ammoniacal_silver(&self) -> bool {
        self.kind == BatchKind::AmmoniacalSilver
            || ((self.kind == BatchKind::SensitizingBath
                || self.kind == BatchKind::Drip
                || self.states(Group::Silver))
                && (self.states(Group::Ammonia)
                    || (self.states(Group::Ammonium) && self.states(Group::Caustic))))
    }

    /// Checks what no single field can: dates in order, one amount per component, tare below gross.
    /// Pointers start at `at`, the batch's own place in the request.
    #[must_use]
    pub fn faults(&self, at: &str) -> Vec<Fault> {
        let mut faults = Vec::new();
        faults.extend(composition_faults(&self.composition, at));
        let mut order = |earlier: Option<Date>, later: Option<Date>, field: &str, words: &str| {
            if let (Some(a), Some(b)) = (earlier, later)
                && a > b
            {
                faults.push(Fault::new(
                    FaultKind::DateOrder,
                    format!("{at}/{field}"),
                    format!("{b} is before {a}: expected {words}"),
                ));
            }
        };
        order(
            self.made_on,
            self.waste_since,
            "waste_since",
            "a day on or after made_on",
        );
        order(
            self.made_on,
            self.limit_exceeded_on,
            "limit_exceeded_on",
            "a day on or after made_on",
        );
        order(
            self.waste_since,
            self.diluted_on,
            "diluted_on",
            "a day on or after waste_since",
        );
        let no_waste = match self.status {
            Some(BatchStatus::InUse) => Some((
                "in use",
                "spent or treated, or no waste_since, because a batch at work is no waste",
            )),
            Some(BatchStatus::Unused) => Some((
                "unused",
                "spent, which is also what is thrown away unused, or no waste_since, because a product kept for use is no waste",
            )),
            _ => None,
        };
        if let (Some(day), Some((is, expected))) = (self.waste_since, no_waste) {
            faults.push(Fault::new(
                FaultKind::Conflict,
                format!("{at}/waste_since"),
                format!("{is}, and waste since {day}: expected a status of {expected}"),
            ));
        }
        match (&self.gross_g, &self.tare_g) {
            (Some(gross), Some(tare)) if tare.decimal() >= gross.decimal() => {
                faults.push(Fault::new(
                    FaultKind::Conflict,
                    format!("{at}/tare_g"),
                    "the empty container weighs as much as the full one: expected tare_g below gross_g",
                ));
            }
            (Some(_), None) => faults.push(Fault::missing(
                format!("{at}/tare_g"),
                "the mass of the empty container beside gross_g",
            )),
            (None, Some(_)) => faults.push(Fault::missing(
                format!("{at}/gross_g"),
                "the mass of the full container beside tare_g",
            )),
            _ => {}
        }
        if self.form == Some(PhysicalForm::Solid) && self.kind.is_liquid() {
            faults.push(Fault::new(
                FaultKind::Conflict,
                format!("{at}/form"),
                format!(
                    "solid, but {} is a liquid: expected liquid, or none",
                    self.kind.words()
                ),
            ));
        }
        if self.volume_l.is_some_and(|v| v.decimal().is_zero()) {
            faults.push(Fault::out_of_range(
                format!("{at}/volume_l"),
                0,
                "more than 0 L",
            ));
        }
        if let Some(container) = &self.container {
            let volume = self.volume_l.as_ref().map(|v| v.as_f64());
            faults.extend(container.faults(volume, format_args!("{at}/container")));
        }
        let list = format_args!("{at}/mixed_in");
        faults.extend(at_most(list, self.mixed_in.len(), MOST_MIXED_IN).err());
        for (i, one) in self.mixed_in.iter().enumerate() {
            faults.extend(composition_faults(
                &one.composition,
                format_args!("{list}/{i}"),
            ));
        }
        let list = format_args!("{at}/evidence");
        faults.extend(at_most(list, self.evidence.len(), MOST_EVIDENCE).err());
        faults
    }
}

/// The form in which silver travels to a refiner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum LotForm {
    /// A liquid with silver dissolved in it.
    Solution,
    /// Washed silver chloride.
    SilverChloride,
    /// Silver sulfide.
    SilverSulfide,
    /// Flake from electrolysis.
    ElectrolyticFlake,
    /// Sludge from iron wool, copper or zinc, spent cartridges included.
    MetallicReplacementSludge,
    /// Other sludge and filter cake.
    MixedSludge,
    /// Film and paper.
    FilmAndPaper,
    /// Glass plates.
    GlassPlates,
    /// Wipes and filters.
    WipesAndFilters,
    /// Solid silver metal.
    Metal,
    /// A chemical in its own bottle.
    UnusedChemical,
}

impl LotForm {
    /// The form in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Solution => "solution",
            Self::SilverChloride => "silver chloride",
            Self::SilverSulfide => "silver sulfide",
            Self::ElectrolyticFlake => "electrolytic flake",
            Self::MetallicReplacementSludge => "metallic replacement sludge",
            Self::MixedSludge => "mixed sludge",
            Self::FilmAndPaper => "film and paper",
            Self::GlassPlates => "glass plates",
            Self::WipesAndFilters => "wipes and filters",
            Self::Metal => "silver metal",
            Self::UnusedChemical => "unused chemical",
        }
    }
}
