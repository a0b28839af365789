//! The kinds of evidence, as a person writes them down.

use crate::quantity::{
    Date, Grams, Identifier, MeasuredAmperes, MeasuredCentimetres, MeasuredDegreesCelsius,
    MeasuredFactor, MeasuredGrams, MeasuredGramsPerLitre, MeasuredGramsPerMillilitre,
    MeasuredGramsPerSquareMetre, MeasuredHours, MeasuredLitres, MeasuredLitresPerHour,
    MeasuredMilligramsPerLitre, MeasuredMillilitres, MeasuredMillilitresPerSquareMetre,
    MeasuredMolesPerLitre, MeasuredPercent, MeasuredPercentVV, MeasuredPercentWV, MeasuredPh,
    MeasuredSquareMetres, Text,
};
use serde::{Deserialize, Deserializer, Serialize};

/// What was sampled. A clear liquor says nothing of the sludge below it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Sampled {
    /// The whole, stirred up.
    Stirred,
    /// The clear liquor above a sludge.
    ClearLiquor,
    /// The sludge alone.
    Sludge,
}

/// When and how a piece of evidence was taken, and what it shares with others.
#[derive(Debug, Clone, Copy)]
pub(super) struct Circumstances<'a> {
    pub measured_on: Option<Date>,
    pub sampled: Option<Sampled>,
    pub shares: &'a [Identifier],
}

macro_rules! evidence {
    ($(#[$meta:meta])* $name:ident { $($(#[$field_meta:meta])* $field:ident: $type:ty,)* }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
        #[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            $($(#[$field_meta])* pub $field: $type,)*
            /// The day it was measured; work done since is rolled forward.
            #[serde(skip_serializing_if = "Option::is_none")]
            pub measured_on: Option<Date>,
            /// What was sampled.
            #[serde(skip_serializing_if = "Option::is_none")]
            pub sampled: Option<Sampled>,
            /// Names of inputs that are one and the same in other evidence listing them too.
            #[serde(default, skip_serializing_if = "Vec::is_empty")]
            pub shares: Vec<Identifier>,
        }

        impl $name {
            pub(super) fn circumstances(&self) -> Circumstances<'_> {
                Circumstances { measured_on: self.measured_on, sampled: self.sampled, shares: &self.shares }
            }
        }
    };
}

evidence! {
    /// What went into the bath when it was made, what was added since, and what plates took out.
    MakeUp {
        /// Silver nitrate weighed in; or give `strength_percent_w_v` with `made_volume_l`.
        silver_nitrate_g: Option<MeasuredGrams>,
        /// Strength it was made to.
        strength_percent_w_v: Option<MeasuredPercentWV>,
        /// Volume it was made to.
        made_volume_l: Option<MeasuredLitres>,
        /// Purity of the silver nitrate.
        purity_percent: Option<MeasuredPercent>,
        /// Silver nitrate added since.
        added_silver_nitrate_g: Option<MeasuredGrams>,
        /// Plates sensitized since.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        plates: Vec<Plates>,
        /// Area sensitized since, instead of `plates`.
        plate_area_m2: Option<MeasuredSquareMetres>,
        /// Silver nitrate that leaves the bath per area of plate.
        silver_nitrate_loss_g_per_m2: Option<MeasuredGramsPerSquareMetre>,
        /// Resolution of the scale.
        scale_resolution_g: Option<Grams>,
    }
}

/// Plates of one size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Plates {
    /// How many.
    pub count: u32,
    /// Width.
    pub width_cm: MeasuredCentimetres,
    /// Height.
    pub height_cm: MeasuredCentimetres,
}

evidence! {
    /// Silver titrated with thiocyanate, iron alum as indicator.
    VolhardTitration {
        /// Sample taken from the batch.
        sample_ml: MeasuredMillilitres,
        /// Strength of the thiocyanate.
        thiocyanate_mol_per_l: MeasuredMolesPerLitre,
        /// Thiocyanate used.
        titre_ml: MeasuredMillilitres,
        /// Thiocyanate used without silver.
        blank_ml: Option<MeasuredMillilitres>,
        /// Volume the sample was diluted to, with `aliquot_ml`.
        diluted_to_ml: Option<MeasuredMillilitres>,
        /// Part of the dilution that was titrated.
        aliquot_ml: Option<MeasuredMillilitres>,
    }
}

/// How the end of a chloride titration was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum EndPoint {
    /// Red silver chromate (Mohr). Chromate is toxic and makes a chromium waste.
    Chromate,
    /// The liquor clears and one more drop makes no cloud. No chromium.
    Clear,
}

evidence! {
    /// A known amount of chloride titrated with the silver liquid in the burette (Mohr).
    ChlorideTitration {
        /// Silver liquid used.
        titre_ml: MeasuredMillilitres,
        /// Silver liquid used without chloride.
        blank_ml: Option<MeasuredMillilitres>,
        /// Bath taken for dilution, with `diluted_to_ml`.
        bath_ml: Option<MeasuredMillilitres>,
        /// Volume the bath was diluted to.
        diluted_to_ml: Option<MeasuredMillilitres>,
        /// Chloride solution in the flask, with `chloride_mol_per_l`; or give `sodium_chloride_g`.
        chloride_ml: Option<MeasuredMillilitres>,
        /// Strength of the chloride solution.
        chloride_mol_per_l: Option<MeasuredMolesPerLitre>,
        /// Dry sodium chloride in the flask.
        sodium_chloride_g: Option<MeasuredGrams>,
        /// pH in the flask, 7 to 10; about 7.2 at most where ammonium is present.
        flask_ph: Option<MeasuredPh>,
        /// How the end was seen; default `chromate`.
        end_point: Option<EndPoint>,
        /// Resolution of the scale.
        scale_resolution_g: Option<Grams>,
    }
}

evidence! {
    /// Silver chloride thrown down from a sample, washed, dried and weighed.
    ChlorideWeighing {
        /// Sample taken from the batch.
        sample_ml: MeasuredMillilitres,
        /// Dry silver chloride from it.
        dry_silver_chloride_g: MeasuredGrams,
        /// Resolution of the scale.
        scale_resolution_g: Option<Grams>,
    }
}

evidence! {
    /// Density of a plain silver nitrate bath: read, as specific gravity, or by three weighings of one bottle.
    Density {
        /// Density read.
        density_g_per_ml: Option<MeasuredGramsPerMillilitre>,
        /// Specific gravity read, with `calibration_temperature_c`.
        specific_gravity: Option<MeasuredFactor>,
        /// Temperature of the water the hydrometer compares with.
        calibration_temperature_c: Option<MeasuredDegreesCelsius>,
        /// Bottle, empty.
        bottle_empty_g: Option<MeasuredGrams>,
        /// The same bottle full of water.
        bottle_water_g: Option<MeasuredGrams>,
        /// The same bottle full of bath.
        bottle_bath_g: Option<MeasuredGrams>,
        /// Temperature of the bath.
        temperature_c: Option<MeasuredDegreesCelsius>,
        /// Alcohol in the bath.
        ethanol_percent_v_v: Option<MeasuredPercentVV>,
        /// Resolution of the scale.
        scale_resolution_g: Option<Grams>,
    }
}

fn required_but_nullable<'de, D, T>(deserializer: D) -> Result<Option<T>, D::Error>
where
    D: Deserializer<'de>,
    T: Deserialize<'de>,
{
    Option::deserialize(deserializer)
}

evidence! {
    /// A silver test strip in fixer: two neighbouring colours of its scale.
    TestStrip {
        /// The colour it reaches.
        at_least_g_per_l: MeasuredGramsPerLitre,
        /// The next colour, which it does not reach; null when it is off the scale.
        #[serde(deserialize_with = "required_but_nullable")]
        #[cfg_attr(feature = "openapi", schema(required = true))]
        below_g_per_l: Option<MeasuredGramsPerLitre>,
        /// Whether the strip is past its date.
        strip_expired: Option<bool>,
    }
}

/// What a drop of salt water does in a clear sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Cloud {
    /// Stays clear.
    Clear,
    /// A haze against a dark ground.
    Haze,
    /// A milky cloud.
    Cloud,
    /// White curds.
    Curd,
}

evidence! {
    /// A drop of salt water in a clear, decanted sample of bath or wash.
    CloudTest {
        /// What was seen.
        appearance: Cloud,
    }
}

evidence! {
    /// A laboratory's figure.
    LaboratoryAssay {
        /// Silver per litre. A bare 0 is refused: give the limit of detection as an upper bound,
        /// such as `{"between": ["0", "0.05"]}`.
        silver_mg_per_l: Option<MeasuredMilligramsPerLitre>,
        /// Silver by mass, for solids.
        silver_percent: Option<MeasuredPercent>,
        /// How many times the sample was diluted before the laboratory saw it.
        dilution_factor: Option<MeasuredFactor>,
        /// The figure is the laboratory's limit of detection.
        below_detection_limit: Option<bool>,
    }
}

evidence! {
    /// Film, paper or plates that went through the liquid.
    Throughput {
        /// What went through.
        items: Vec<ThroughputItem>,
        /// Silver already taken out of the liquid.
        silver_already_removed_g: Option<MeasuredGrams>,
    }
}

/// Material of one sort: a count with its size, or an area.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ThroughputItem {
    /// Name of the material; one we have data for, or any with both figures given.
    pub material: Identifier,
    /// How many pieces.
    pub count: Option<u32>,
    /// Width of one.
    pub width_cm: Option<MeasuredCentimetres>,
    /// Height of one.
    pub height_cm: Option<MeasuredCentimetres>,
    /// Area, instead of a count.
    pub area_m2: Option<MeasuredSquareMetres>,
    /// Silver on the material before processing.
    pub silver_g_per_m2: Option<MeasuredGramsPerSquareMetre>,
    /// Share of it that goes into the liquid.
    pub to_solution_percent: Option<MeasuredPercent>,
}

evidence! {
    /// Silver carried into a rinse by what comes out of the bath before it; the batch is one tank.
    CarryOver {
        /// Area carried through.
        area_m2: Option<MeasuredSquareMetres>,
        /// Liquid that clings to it.
        pick_up_ml_per_m2: Option<MeasuredMillilitresPerSquareMetre>,
        /// Silver in the bath before the rinse.
        upstream_silver_g_per_l: MeasuredGramsPerLitre,
        /// How the rinse works.
        rinse: Rinse,
        /// Which tank the batch is; 1 is the first after the bath.
        tank: Option<u32>,
        /// Pieces carried through, for an exact count of fillings; without it the carry is taken as steady.
        sheet_count: Option<u32>,
    }
}

/// How a rinse works.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Rinse {
    /// Tanks of standing water, one after another.
    Still {
        /// How many tanks.
        tanks: u32,
        /// Volume of each.
        tank_volume_l: MeasuredLitres,
    },
    /// Fresh water enters the last tank and runs back to the first.
    CounterCurrent {
        /// How many tanks.
        tanks: u32,
        /// Fresh water.
        water_l_per_h: MeasuredLitresPerHour,
        /// Liquid carried in from the bath.
        drag_out_l_per_h: MeasuredLitresPerHour,
        /// How long it ran.
        hours: Option<MeasuredHours>,
    },
}

/// A compound of silver.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum SilverCompound {
    /// AgCl.
    SilverChloride,
    /// Ag2S.
    SilverSulfide,
    /// AgBr.
    SilverBromide,
    /// AgI.
    SilverIodide,
    /// Ag2O.
    SilverOxide,
    /// Metal.
    Silver,
}

evidence! {
    /// A solid on the scale, with its moisture and what it is.
    WeighedSolid {
        /// Mass as it is, wet.
        wet_mass_g: MeasuredGrams,
        /// Water in it.
        moisture_percent: Option<MeasuredPercent>,
        /// Silver in the dry solid.
        silver_percent_dry: Option<MeasuredPercent>,
        /// What the dry solid is, instead of `silver_percent_dry`.
        compound: Option<SilverCompound>,
        /// Purity of the compound in the dry solid.
        purity_percent: Option<MeasuredPercent>,
        /// Resolution of the scale.
        scale_resolution_g: Option<Grams>,
    }
}

evidence! {
    /// Silver plated out of the batch by current.
    ElectrolyticDeposit {
        /// Current.
        current_a: MeasuredAmperes,
        /// Time.
        time_h: MeasuredHours,
        /// Share of the current that plates silver.
        current_efficiency_percent: Option<MeasuredPercent>,
    }
}

evidence! {
    /// A figure from elsewhere, in somebody's words.
    Stated {
        /// Silver in the batch.
        silver_g: MeasuredGrams,
        /// Who says so.
        source: Option<Text>,
    }
}

/// One way of knowing the silver in a batch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Evidence {
    /// What went in.
    MakeUp(MakeUp),
    /// Thiocyanate titration.
    VolhardTitration(VolhardTitration),
    /// Chloride titration.
    ChlorideTitration(ChlorideTitration),
    /// Silver chloride on the scale.
    ChlorideWeighing(ChlorideWeighing),
    /// Density of the bath.
    Density(Density),
    /// Test strip.
    TestStrip(TestStrip),
    /// Salt-water drop.
    CloudTest(CloudTest),
    /// Laboratory figure.
    LaboratoryAssay(LaboratoryAssay),
    /// Material processed.
    Throughput(Throughput),
    /// Carried into a rinse.
    CarryOver(CarryOver),
    /// A solid weighed.
    WeighedSolid(WeighedSolid),
    /// Plated out.
    ElectrolyticDeposit(ElectrolyticDeposit),
    /// Somebody's figure.
    Stated(Stated),
}

impl Evidence {
    /// The name of the kind, as requests write it.
    #[must_use]
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::MakeUp(_) => "make_up",
            Self::VolhardTitration(_) => "volhard_titration",
            Self::ChlorideTitration(_) => "chloride_titration",
            Self::ChlorideWeighing(_) => "chloride_weighing",
            Self::Density(_) => "density",
            Self::TestStrip(_) => "test_strip",
            Self::CloudTest(_) => "cloud_test",
            Self::LaboratoryAssay(_) => "laboratory_assay",
            Self::Throughput(_) => "throughput",
            Self::CarryOver(_) => "carry_over",
            Self::WeighedSolid(_) => "weighed_solid",
            Self::ElectrolyticDeposit(_) => "electrolytic_deposit",
            Self::Stated(_) => "stated",
        }
    }

    /// The day it was taken.
    #[must_use]
    pub fn measured_on(&self) -> Option<Date> {
        self.circumstances().measured_on
    }

    /// Sets the day it was taken.
    pub const fn set_measured_on(&mut self, day: Date) {
        let place = match self {
            Self::MakeUp(e) => &mut e.measured_on,
            Self::VolhardTitration(e) => &mut e.measured_on,
            Self::ChlorideTitration(e) => &mut e.measured_on,
            Self::ChlorideWeighing(e) => &mut e.measured_on,
            Self::Density(e) => &mut e.measured_on,
            Self::TestStrip(e) => &mut e.measured_on,
            Self::CloudTest(e) => &mut e.measured_on,
            Self::LaboratoryAssay(e) => &mut e.measured_on,
            Self::Throughput(e) => &mut e.measured_on,
            Self::CarryOver(e) => &mut e.measured_on,
            Self::WeighedSolid(e) => &mut e.measured_on,
            Self::ElectrolyticDeposit(e) => &mut e.measured_on,
            Self::Stated(e) => &mut e.measured_on,
        };
        *place = Some(day);
    }

    pub(super) fn circumstances(&self) -> Circumstances<'_> {
        match self {
            Self::MakeUp(e) => e.circumstances(),
            Self::VolhardTitration(e) => e.circumstances(),
            Self::ChlorideTitration(e) => e.circumstances(),
            Self::ChlorideWeighing(e) => e.circumstances(),
            Self::Density(e) => e.circumstances(),
            Self::TestStrip(e) => e.circumstances(),
            Self::CloudTest(e) => e.circumstances(),
            Self::LaboratoryAssay(e) => e.circumstances(),
            Self::Throughput(e) => e.circumstances(),
            Self::CarryOver(e) => e.circumstances(),
            Self::WeighedSolid(e) => e.circumstances(),
            Self::ElectrolyticDeposit(e) => e.circumstances(),
            Self::Stated(e) => e.circumstances(),
        }
    }
}
