//! Defaults and limits of bath care, read from their data file.

use crate::chemistry::formula::Formula;
use crate::quantity::Identifier;
use crate::valuation::defaults::Figure;
use rust_decimal::prelude::ToPrimitive as _;
use serde::Deserialize;
use std::sync::LazyLock;

/// What a halide of an iodizer leaves in the bath.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Cation {
    Ammonium,
    Potassium,
    Cadmium,
    /// Counted as sodium where the chemistry is solved.
    Other,
}

/// A halide that an iodizer may hold.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SaltRow {
    /// Id of the substance.
    pub substance: String,
    /// Its formula without water.
    pub formula: Formula,
    /// Halide ions in one formula.
    pub ions: u32,
    /// Formula of the nitrate it leaves.
    pub leaves: Formula,
    /// What the nitrate's cation is.
    pub cation: Cation,
}

/// Every figure of the file.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Facts {
    pub target_ph: Figure,
    pub lowest_target_ph: Figure,
    pub highest_target_ph: Figure,
    pub acid_percent_w_v: Figure,
    pub drop_ml: Figure,
    pub sunned_to_ph: Figure,
    pub bicarbonate_percent_w_v: Figure,
    pub sun_again_after_days: Figure,
    pub silver_ammine_most_mol_per_kg: Figure,
    pub strengthen_below_percent: Figure,
    pub past_sense_below_percent: Figure,
    pub past_sense_salts_g_per_l: Figure,
    pub collodion_ml_per_m2: Figure,
    pub salt_density_low_g_per_ml: Figure,
    pub salt_density_high_g_per_ml: Figure,
    pub alcohol_g_per_ml: Figure,
    pub ether_g_per_ml: Figure,
    salt: Vec<SaltRow>,
}

static FACTS: LazyLock<Facts> =
    LazyLock::new(|| crate::data::parse(include_str!("../../data/bath_care.toml")));

/// The file.
pub(super) fn facts() -> &'static Facts {
    &FACTS
}

/// A figure as a binary number.
pub(super) fn number(figure: &Figure) -> f64 {
    figure.value.to_f64().unwrap_or_default()
}

/// The halide of that name.
pub(super) fn salt(id: &Identifier) -> Option<&'static SaltRow> {
    FACTS.salt.iter().find(|s| s.substance == id.as_str())
}

/// Names of the halides known here, for a fault.
pub(super) fn salt_names() -> String {
    let names: Vec<&str> = FACTS.salt.iter().map(|s| s.substance.as_str()).collect();
    names.join(", ")
}

/// Every bibliography key that bath care uses.
#[must_use]
pub fn sources() -> Vec<&'static str> {
    let f = facts();
    [
        &f.target_ph,
        &f.lowest_target_ph,
        &f.highest_target_ph,
        &f.acid_percent_w_v,
        &f.drop_ml,
        &f.sunned_to_ph,
        &f.bicarbonate_percent_w_v,
        &f.sun_again_after_days,
        &f.silver_ammine_most_mol_per_kg,
        &f.strengthen_below_percent,
        &f.past_sense_below_percent,
        &f.past_sense_salts_g_per_l,
        &f.collodion_ml_per_m2,
        &f.salt_density_low_g_per_ml,
        &f.salt_density_high_g_per_ml,
        &f.alcohol_g_per_ml,
        &f.ether_g_per_ml,
    ]
    .into_iter()
    .map(|figure| figure.source.as_str())
    .chain(super::METHODS.iter().map(|m| m.source))
    .collect()
}
