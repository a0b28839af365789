//! The figures behind the plans, from the data file.

use super::plan::{HazardLevel, ProcessName, StageInput};
use super::request::Means;
use crate::batch::LotForm;
use crate::quantity::Identifier;
use serde::Deserialize;
use std::sync::LazyLock;

/// Everything in the data file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Facts {
    pub planning: Planning,
    pub process: Vec<ProcessFacts>,
    pub ph_range: Vec<PhRange>,
    pub electrolysis: ElectrolysisFacts,
    pub replacement: ReplacementFacts,
    pub fixer_chloride: FixerChloride,
    pub copper: CopperFacts,
    pub hydrogen_sulfide: HydrogenSulfideFacts,
    pub ion_exchange: IonExchangeFacts,
    pub chloride_reduction: ChlorideReductionFacts,
    pub stock: StockFacts,
}

/// Figures that several plans share.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Planning {
    pub scale_step_g: f64,
    pub brine_g_per_ml: f64,
    pub free_chloride_limit_mol_per_l: f64,
    pub free_chloride_trouble_mol_per_l: f64,
    pub strong_acid_limit_mol_per_l: f64,
    pub liquid_density_g_per_ml: f64,
    pub wash_ml_per_g: f64,
    pub source: String,
}

/// One way of recovery.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ProcessFacts {
    pub name: ProcessName,
    pub title: String,
    /// What works in series here; empty for a process of one stage.
    #[serde(default)]
    pub stages: Vec<StageFacts>,
    pub offered_by_default: bool,
    pub means: Vec<Means>,
    pub hazard: HazardLevel,
    pub hazards: Vec<String>,
    pub reagent: Option<ReagentFacts>,
    pub second_reagent: Option<ReagentFacts>,
    pub residual: Option<ResidualFacts>,
    pub product: ProductFacts,
    pub time: Option<TimeFacts>,
}

/// One stage of a series.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StageFacts {
    pub process: ProcessName,
    pub works_on: StageInput,
}

/// The reagent of a process, and how much more of it than the sum of the atoms asks.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ReagentFacts {
    pub substance: Identifier,
    pub dose_factor: f64,
    pub source: String,
}

/// Silver left in the liquor.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ResidualFacts {
    pub low_mg_per_l: f64,
    pub high_mg_per_l: f64,
    pub mean_mg_per_l: Option<f64>,
    pub median_mg_per_l: Option<f64>,
    pub planned_mg_per_l: Option<f64>,
    pub text: String,
    pub source: String,
}

impl ResidualFacts {
    /// The level a plan counts on: the one it steers for, else the mean where one was measured,
    /// else the middle of the range.
    pub fn planned_mg_per_l(&self) -> f64 {
        self.planned_mg_per_l
            .or(self.mean_mg_per_l)
            .unwrap_or(f64::midpoint(self.low_mg_per_l, self.high_mg_per_l))
    }
}

/// What comes out.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ProductFacts {
    pub form: LotForm,
    pub silver_percent_low: Option<f64>,
    pub silver_percent_high: Option<f64>,
    pub moisture_percent: Option<f64>,
    pub source: String,
}

/// How long it takes.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TimeFacts {
    pub least_h: f64,
    pub most_h: f64,
    pub text: String,
    pub source: String,
}

/// The pH a process needs.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PhRange {
    pub process: ProcessName,
    pub low: f64,
    pub high: Option<f64>,
    pub source: String,
}

/// Electrolysis.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ElectrolysisFacts {
    pub efficiency_low_percent: f64,
    pub efficiency_high_percent: f64,
    pub efficiency_source: String,
    pub efficiency_half_width_percent: f64,
    pub stop_at_g_per_l: f64,
    pub stop_source: String,
}

/// Iron wool.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ReplacementFacts {
    pub iron_mg_per_l_most: f64,
    pub iron_source: String,
}

/// Why salt does nothing in fixer.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FixerChloride {
    pub saturation_index: f64,
    pub source: String,
}

/// Copper left in the liquor.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CopperFacts {
    pub limit_example_mg_per_l: f64,
    pub source: String,
}

/// Hydrogen sulfide between water and air.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HydrogenSulfideFacts {
    pub mol_per_l_atm: f64,
    pub source: String,
}

/// Resin for wash water.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct IonExchangeFacts {
    pub capacity_mol_per_l: f64,
    pub resin_kg_per_l: f64,
    pub slow_bed_volumes_per_h: f64,
    pub fast_bed_volumes_per_h: f64,
    pub source: String,
    pub most_silver_mg_per_l: f64,
    pub least_bed_volumes: f64,
    pub dilute_source: String,
    pub fixer_thiosulfate_mol_per_l: f64,
}

/// Reducing washed silver chloride.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ChlorideReductionFacts {
    pub acid_percent_w_w: f64,
    pub lye_water_ml_per_g: f64,
    pub sugar_water_ml_per_g: f64,
    pub test_sponge_g: f64,
    pub test_hypo_ml: f64,
    pub strip_g_per_l: f64,
    pub source: String,
}

/// Strengths of stock solutions.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StockFacts {
    pub trimercaptotriazine_percent_w_w: f64,
    pub borohydride_percent_w_w: f64,
    pub source: String,
}

static FACTS: LazyLock<Facts> =
    LazyLock::new(|| crate::data::parse(include_str!("../../data/processes.toml")));

/// The figures, read once.
pub(super) fn facts() -> &'static Facts {
    &FACTS
}

/// The row of a process.
pub(super) fn row_of(process: ProcessName) -> Option<&'static ProcessFacts> {
    facts().process.iter().find(|p| p.name == process)
}

/// The pH range of a process, where it has one.
pub(super) fn ph_range(process: ProcessName) -> Option<&'static PhRange> {
    facts().ph_range.iter().find(|r| r.process == process)
}

/// Keys that the processes cite beside the data file.
const CITED: [&str; 5] = [
    "applied_energy2012",
    "county_cell_guide",
    "fixer_silver_levels",
    "niosh_idlh_h2s",
    "replacement_series_rule",
];

/// Every bibliography key that recovery plans use, methods apart.
#[must_use]
pub fn recovery_sources() -> Vec<&'static str> {
    let f = facts();
    let mut keys = CITED.to_vec();
    keys.extend([
        f.planning.source.as_str(),
        f.electrolysis.efficiency_source.as_str(),
        f.electrolysis.stop_source.as_str(),
        f.replacement.iron_source.as_str(),
        f.fixer_chloride.source.as_str(),
        f.copper.source.as_str(),
        f.hydrogen_sulfide.source.as_str(),
        f.ion_exchange.source.as_str(),
        f.ion_exchange.dilute_source.as_str(),
        f.chloride_reduction.source.as_str(),
        f.stock.source.as_str(),
    ]);
    keys.extend(crate::chemistry::liquor::default_sources());
    keys.extend(f.ph_range.iter().map(|r| r.source.as_str()));
    for p in &f.process {
        keys.push(p.product.source.as_str());
        keys.extend(p.reagent.iter().map(|r| r.source.as_str()));
        keys.extend(p.second_reagent.iter().map(|r| r.source.as_str()));
        keys.extend(p.residual.iter().map(|r| r.source.as_str()));
        keys.extend(p.time.iter().map(|r| r.source.as_str()));
    }
    keys
}
