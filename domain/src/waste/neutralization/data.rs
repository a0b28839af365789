//! The pH window, and the acids that the equilibrium tables do not hold.

use crate::quantity::Ph;
use serde::Deserialize;
use std::sync::LazyLock;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Window {
    #[serde(deserialize_with = "crate::data::exact")]
    pub lower_ph: Ph,
    #[serde(deserialize_with = "crate::data::exact")]
    pub upper_ph: Ph,
    #[serde(deserialize_with = "crate::data::exact")]
    pub least_target_ph: Ph,
    #[serde(deserialize_with = "crate::data::exact")]
    pub most_target_ph: Ph,
    pub source: String,
}

/// An acid outside the equilibrium tables.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct OtherAcid {
    id: String,
    pk: Vec<f64>,
    pub standard_uncertainty: f64,
    pub source: String,
}

/// What one formula unit of a substance brings.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Brings {
    substance: String,
    acid: String,
    pub acid_count: f64,
    pub hydroxide_count: f64,
}

impl Brings {
    /// The acid that it brings.
    pub fn acid(&self) -> Option<&'static OtherAcid> {
        data().acid.iter().find(|a| a.id == self.acid)
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Data {
    pub window: Window,
    acid: Vec<OtherAcid>,
    brings: Vec<Brings>,
}

static DATA: LazyLock<Data> =
    LazyLock::new(|| crate::data::parse(include_str!("../../../data/neutralization.toml")));

pub(super) fn data() -> &'static Data {
    &DATA
}

/// What a substance brings of the acids outside the tables.
pub(super) fn brings(substance: &str) -> Option<&'static Brings> {
    data().brings.iter().find(|b| b.substance == substance)
}

/// Every bibliography key of the data file.
#[must_use]
pub fn sources() -> Vec<&'static str> {
    let d = data();
    let mut keys = vec![d.window.source.as_str()];
    keys.extend(d.acid.iter().map(|a| a.source.as_str()));
    keys
}

impl OtherAcid {
    /// Protons that one molecule has given up at a pH, on average.
    ///
    /// The share of each step follows from its pK with Davies activities, which are taken at the
    /// ionic strength of the rest (`ionic_strength`, mol/kg) and of the acid's own ions (`molality`).
    pub fn charge(&self, molality: f64, ph: f64, ionic_strength: f64) -> f64 {
        let (charge, square) = self.charges(ph, ionic_strength);
        // The liquor counts each ion as so many single charges: what is missing is z^2 - z.
        let own = 0.5 * molality * (square - charge);
        self.charges(ph, ionic_strength + own).0
    }

    /// Mean charge and mean square of the charge of its ions.
    fn charges(&self, ph: f64, ionic_strength: f64) -> (f64, f64) {
        let root = ionic_strength.max(0.0).sqrt();
        let per_square = -crate::chemistry::system::davies_a(25.0)
            * (root / (1.0 + root) - 0.3 * ionic_strength);
        let (mut log_share, mut z, mut sum, mut first, mut second) = (0.0, 0.0, 1.0, 0.0, 0.0);
        for pk in &self.pk {
            z += 1.0;
            log_share += ph - pk;
            let share = 10f64.powf(log_share - per_square * z * z);
            sum += share;
            first += z * share;
            second += z * z * share;
        }
        (first / sum, second / sum)
    }
}
