//! How much base brings a mixture of acids to a pH, and the pH after so much base.
//!
//! One charge balance with Davies activities answers both. Its border is [`dose_for_ph`] and
//! [`ph_after`]: acids in, moles of base and of gas out. Nothing here knows of silver, sulfite,
//! ammonia or metals; whoever calls has refused those.

use crate::chemistry::system::CarbonDioxide;
use serde::Deserialize;
use std::sync::LazyLock;

use crate::quantity::Ph;

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

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Water {
    pk: f64,
    source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct CarbonicAcid {
    pk1: f64,
    pk2: f64,
    source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CarbonDioxideData {
    log_k: f64,
    air_log_p: f64,
    pub litres_per_mol: f64,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Activity {
    davies_a: f64,
    davies_b: f64,
    neutral: f64,
    source: String,
}

/// An acid that can be neutralized here.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AcidData {
    pub substance: String,
    pub strong_protons: u32,
    #[serde(default)]
    pub pk: Vec<f64>,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BaseData {
    pub id: String,
    pub sodium_per_mol: f64,
    pub carbon_per_mol: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Data {
    pub window: Window,
    water: Water,
    carbonic_acid: CarbonicAcid,
    pub carbon_dioxide: CarbonDioxideData,
    activity: Activity,
    pub acid: Vec<AcidData>,
    pub base: Vec<BaseData>,
}

static DATA: LazyLock<Data> =
    LazyLock::new(|| crate::data::parse(include_str!("../../../data/neutralization.toml")));

pub(super) fn data() -> &'static Data {
    &DATA
}

/// Every bibliography key of the data file.
#[must_use]
pub fn sources() -> Vec<&'static str> {
    let d = data();
    let mut keys = vec![
        d.window.source.as_str(),
        d.water.source.as_str(),
        d.carbonic_acid.source.as_str(),
        d.carbon_dioxide.source.as_str(),
        d.activity.source.as_str(),
    ];
    keys.extend(d.acid.iter().map(|a| a.source.as_str()));
    keys
}

/// Acids in a litre of liquid.
#[derive(Debug, Clone, Default)]
pub(super) struct Liquor {
    pub acids: Vec<(f64, &'static AcidData)>,
}

/// Base that brings a litre to a pH, and the gas it sets free.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Dose {
    pub base_mol_per_l: f64,
    pub gas_mol_per_l: f64,
    pub ionic_strength: f64,
}

#[derive(Debug, Clone, Copy)]
struct State {
    /// Positive charge, mol/L.
    positive: f64,
    /// Negative charge, mol/L.
    negative: f64,
    dissolved_carbon: f64,
    ionic_strength: f64,
}

/// Davies: log10 g = -A z^2 ( sqrt(I) / (1 + sqrt(I)) - 0.3 I ); 0.1 I for a neutral species. Held
/// at I = 1, beyond which the formula turns about.
fn log_activity_coefficient(charge: f64, ionic_strength: f64) -> f64 {
    let a = &data().activity;
    let i = ionic_strength.clamp(0.0, 1.0);
    if charge == 0.0 {
        return a.neutral * i;
    }
    let root = i.sqrt();
    -a.davies_a * charge * charge * (root / (1.0 + root) - a.davies_b * i)
}

/// Activity coefficient of a singly charged ion at an ionic strength.
pub(super) fn single_ion_coefficient(ionic_strength: f64) -> f64 {
    10f64.powf(log_activity_coefficient(1.0, ionic_strength))
}

fn state(liquor: &Liquor, base: &BaseData, added: f64, ph: f64, gas: CarbonDioxide) -> State {
    const MOST_ROUNDS: usize = 12;
    let sodium = base.sodium_per_mol * added;
    let acids: f64 = liquor.acids.iter().map(|(c, _)| c).sum();
    let mut out = State {
        positive: sodium,
        negative: 0.0,
        dissolved_carbon: 0.0,
        ionic_strength: acids.max(sodium),
    };
    for _ in 0..MOST_ROUNDS {
        let guess = out.ionic_strength;
        out = at_ionic_strength(liquor, base, added, ph, gas, guess);
        if (out.ionic_strength - guess).abs() <= 1e-10 * guess {
            break;
        }
    }
    out
}

/// The charges at a pH when the activity coefficients belong to `ionic_strength`; the state carries
/// the ionic strength that results.
fn at_ionic_strength(
    liquor: &Liquor,
    base: &BaseData,
    added: f64,
    ph: f64,
    gas: CarbonDioxide,
    ionic_strength: f64,
) -> State {
    let log_g = |z: f64| log_activity_coefficient(z, ionic_strength);
    let sodium = base.sodium_per_mol * added;
    let hydrogen = 10f64.powf(-ph - log_g(1.0));
    let hydroxide = 10f64.powf(ph - data().water.pk - log_g(1.0));
    let mut negative = hydroxide;
    let mut squares = sodium + hydrogen + hydroxide;
    for (concentration, acid) in &liquor.acids {
        // Each step of dissociation weighs 10^(n pH - sum of pK), corrected for activity.
        let start = f64::from(acid.strong_protons);
        let (mut log_term, mut charge) = (0.0, start);
        let mut weight = 10f64.powf(-log_g(start));
        let (mut sum, mut charges, mut charge_squares) =
            (weight, start * weight, start * start * weight);
        for pk in &acid.pk {
            log_term += ph - pk;
            charge += 1.0;
            weight = 10f64.powf(log_term - log_g(charge));
            sum += weight;
            charges += charge * weight;
            charge_squares += charge * charge * weight;
        }
        negative += concentration * charges / sum;
        squares += concentration * charge_squares / sum;
    }
    let (dioxide, bicarbonate, carbonate) =
        carbon_species(base.carbon_per_mol * added, ph, gas, ionic_strength);
    negative += bicarbonate + 2.0 * carbonate;
    squares += bicarbonate + 4.0 * carbonate;
    State {
        positive: sodium + hydrogen,
        negative,
        dissolved_carbon: dioxide + bicarbonate + carbonate,
        ionic_strength: 0.5 * squares,
    }
}

/// Dissolved carbon dioxide, bicarbonate and carbonate, mol/L.
fn carbon_species(total: f64, ph: f64, gas: CarbonDioxide, ionic_strength: f64) -> (f64, f64, f64) {
    let log_g = |z: f64| log_activity_coefficient(z, ionic_strength);
    let acid = &data().carbonic_acid;
    let to_bicarbonate = 10f64.powf(ph - acid.pk1 + log_g(0.0) - log_g(1.0));
    let to_carbonate = 10f64.powf(2.0 * ph - acid.pk1 - acid.pk2 + log_g(0.0) - log_g(2.0));
    let of = |dioxide: f64| (dioxide, dioxide * to_bicarbonate, dioxide * to_carbonate);
    let kept = total / (1.0 + to_bicarbonate + to_carbonate);
    let gas_data = &data().carbon_dioxide;
    let at_one = 10f64.powf(gas_data.log_k - log_g(0.0));
    match gas {
        CarbonDioxide::Closed => of(kept),
        CarbonDioxide::VentsAtSaturation => of(kept.min(at_one)),
        CarbonDioxide::OpenToAir => of(at_one * 10f64.powf(gas_data.air_log_p)),
    }
}

/// Moles of base per litre that bring the liquor to `ph`, and the gas set free; `None` where this
/// base cannot reach it, or where the liquor is there already.
///
/// Charge balance: [Na] + [H] = acid anions + [OH] + [HCO3] + 2 [CO3], with Davies activities.
pub(super) fn dose_for_ph(
    liquor: &Liquor,
    base: &BaseData,
    ph: f64,
    gas: CarbonDioxide,
) -> Option<Dose> {
    let short = |added: f64| {
        let there = state(liquor, base, added, ph, gas);
        there.positive - there.negative
    };
    let protons: f64 = liquor
        .acids
        .iter()
        .map(|(c, a)| c * (f64::from(a.strong_protons) + a.pk.len() as f64))
        .sum();
    let added = root(short, 0.0, 20.0 * protons + 1.0)?;
    let there = state(liquor, base, added, ph, gas);
    Some(Dose {
        base_mol_per_l: added,
        gas_mol_per_l: (base.carbon_per_mol * added - there.dissolved_carbon).max(0.0),
        ionic_strength: there.ionic_strength,
    })
}

/// The pH after so many moles of base per litre.
pub(super) fn ph_after(liquor: &Liquor, base: &BaseData, added: f64, gas: CarbonDioxide) -> f64 {
    // The logarithm of the ratio is nearly straight in pH, where the difference is a cliff.
    let ratio = |ph: f64| {
        let there = state(liquor, base, added, ph, gas);
        (there.negative / there.positive).ln()
    };
    root(ratio, -1.0, 15.0).unwrap_or(7.0)
}

/// The place between `low` and `high` where a rising function crosses zero (regula falsi, Illinois
/// form, with a bisection whenever it creeps); `None` where it does not cross.
fn root(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> Option<f64> {
    const MOST_ROUNDS: usize = 200;
    let (mut at_low, mut at_high) = (f(low), f(high));
    if !(at_low < 0.0 && at_high >= 0.0) {
        return None;
    }
    let close = 1e-13 * (high - low);
    let mut last_was_low = None;
    for round in 0..MOST_ROUNDS {
        let middle = if round % 4 == 3 {
            0.5 * (low + high)
        } else {
            (low * at_high - high * at_low) / (at_high - at_low)
        };
        let value = f(middle);
        let is_low = value < 0.0;
        if is_low {
            low = middle;
            at_low = value;
        } else {
            high = middle;
            at_high = value;
        }
        if last_was_low == Some(is_low) {
            if is_low {
                at_high *= 0.5;
            } else {
                at_low *= 0.5;
            }
        }
        last_was_low = Some(is_low);
        if value.abs() < 1e-13 || high - low <= close {
            return Some(middle);
        }
    }
    Some(0.5 * (low + high))
}
