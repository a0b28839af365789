//! Random mixtures of the trade's chemicals, shared by the tests of the solver.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(dead_code)]

use serde_json::{Value, json};
use spent_silver_domain::chemistry::reagent::Reagent;
use spent_silver_domain::chemistry::species::tables;
use spent_silver_domain::chemistry::system::{
    ActivityModel, CarbonDioxide, MetalInContact, Mixture, SolidSet,
};
use std::sync::LazyLock;

/// A small generator (splitmix64): the same mixtures for the same seed on every machine.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 up to 1.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.bits() % n as u64) as usize
    }

    /// A standard normal variate.
    pub fn normal(&mut self) -> f64 {
        let r = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        r * (std::f64::consts::TAU * self.unit()).cos()
    }

    pub fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }
}

pub const REAGENTS: &[&str] = &[
    "AgNO3",
    "NaCl",
    "KBr",
    "KI",
    "Na2S2O3.5H2O",
    "Na2SO3",
    "Na2SO4",
    "Na2S.9H2O",
    "KCN",
    "KSCN",
    "NH3",
    "CH3COOH",
    "CH3COONa",
    "HNO3",
    "NaHCO3",
    "Na2CO3",
    "K2CrO4",
    "NaOH",
    "(NH4)2S2O3",
    "NH4Cl",
    "NaHSO3",
    "H2SO4",
    "Cu(NO3)2",
    "ZnCl2",
    "FeSO4.7H2O",
    "Ag2O",
    "Na2S2O5",
    "CO2",
];

static PARSED: LazyLock<Vec<Reagent>> = LazyLock::new(|| {
    REAGENTS
        .iter()
        .map(|f| Reagent::parse(f).unwrap())
        .collect()
});

/// A mixture as it was drawn.
#[derive(Debug, Clone)]
pub struct Draw {
    pub water_kg: f64,
    pub reagents: Vec<(usize, f64)>,
    /// `None`: all that form by themselves.
    pub solids: Option<Vec<String>>,
    pub start: Vec<(String, f64)>,
    pub carbon_dioxide: CarbonDioxide,
    pub metal: Option<MetalInContact>,
    pub model: ActivityModel,
}

impl Draw {
    pub fn random(dice: &mut Dice) -> Self {
        let count = 1 + dice.below(7);
        let mut reagents: Vec<(usize, f64)> = Vec::new();
        for _ in 0..count {
            let which = if dice.chance(0.25) {
                0
            } else {
                dice.below(REAGENTS.len())
            };
            reagents.push((which, 10f64.powf(-7.0 + 7.3 * dice.unit().sqrt())));
        }
        // Some meet exactly, or a hair off.
        if reagents.len() > 1 && dice.chance(0.15) {
            let hair = [0.0, 1e-15, -1e-12, 1e-9, 1e-6][dice.below(5)];
            reagents[1].1 = reagents[0].1 * (1.0 + hair);
        }
        let solids = if dice.chance(0.15) {
            Some(Vec::new())
        } else if dice.chance(0.15) {
            Some(
                tables()
                    .solids
                    .iter()
                    .filter(|_| dice.chance(0.5))
                    .map(|s| s.formula.to_string())
                    .collect(),
            )
        } else {
            None
        };
        let mut start = Vec::new();
        if dice.chance(0.25) {
            let t = tables();
            let solid = &t.solids[dice.below(t.solids.len())];
            start.push((
                solid.formula.to_string(),
                10f64.powf(-4.0 + 5.0 * dice.unit()),
            ));
        }
        Self {
            water_kg: if dice.chance(0.3) {
                10f64.powf(-2.0 + 4.0 * dice.unit())
            } else {
                1.0
            },
            reagents,
            solids,
            start,
            carbon_dioxide: [
                CarbonDioxide::Closed,
                CarbonDioxide::Closed,
                CarbonDioxide::VentsAtSaturation,
                CarbonDioxide::OpenToAir,
            ][dice.below(4)],
            metal: dice.chance(0.12).then(|| {
                [
                    MetalInContact::Ag,
                    MetalInContact::Cu,
                    MetalInContact::Zn,
                    MetalInContact::Fe,
                ][dice.below(4)]
            }),
            model: if dice.chance(0.2) {
                ActivityModel::Ideal
            } else {
                ActivityModel::Davies
            },
        }
    }

    pub fn mixture(&self) -> Mixture {
        let mut out = Mixture::new(self.water_kg);
        for (which, amount) in &self.reagents {
            out.add(&PARSED[*which], amount * self.water_kg);
        }
        if let Some(solids) = &self.solids {
            let names: Vec<&str> = solids.iter().map(String::as_str).collect();
            out.solids = SolidSet::of(&names);
        }
        for (formula, amount) in &self.start {
            assert!(out.start_with(formula, amount * self.water_kg));
        }
        out.carbon_dioxide = self.carbon_dioxide;
        out.metal = self.metal;
        out.activity_model = self.model;
        out
    }
}

impl std::fmt::Display for Draw {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} kg:", self.water_kg)?;
        for (which, amount) in &self.reagents {
            write!(f, " {} {amount:e};", REAGENTS[*which])?;
        }
        write!(
            f,
            " solids {:?} start {:?} {:?} {:?} {:?}",
            self.solids, self.start, self.carbon_dioxide, self.metal, self.model
        )
    }
}

/// What an independent code needs to solve the mixture: totals by component, phases, what may happen.
pub fn describe(mixture: &Mixture, temperature_c: f64) -> Value {
    let t = tables();
    let totals: serde_json::Map<String, Value> = t
        .components
        .iter()
        .zip(mixture.totals_mol)
        .filter(|(_, n)| *n != 0.0)
        .map(|(c, n)| (c.formula.to_string(), json!(n)))
        .collect();
    let phases: Vec<Value> = t
        .solids
        .iter()
        .enumerate()
        .filter(|(i, _)| mixture.solids.contains(*i))
        .map(|(i, s)| json!([s.formula.to_string(), mixture.start_mol[i]]))
        .collect();
    json!({
        "temperature_c": temperature_c,
        "water_kg": mixture.water_kg,
        "totals": totals,
        "water_mol": mixture.reagent_water_mol,
        "solids": phases,
        "carbon_dioxide": mixture.carbon_dioxide,
        "metal": mixture.metal,
        "ideal": mixture.activity_model == ActivityModel::Ideal,
    })
}

/// The tables of constants as an independent code needs them.
pub fn describe_tables() -> Value {
    let t = tables();
    let reaction = |components: &[i8], water: i8| -> Value {
        let mut out: serde_json::Map<String, Value> = t
            .components
            .iter()
            .zip(components)
            .filter(|(_, nu)| **nu != 0)
            .map(|(c, nu)| (c.formula.to_string(), json!(nu)))
            .collect();
        if water != 0 {
            out.insert("H2O".to_owned(), json!(water));
        }
        Value::Object(out)
    };
    let species: Vec<Value> = t
        .species
        .iter()
        .filter_map(|s| {
            let c = s.constant.as_ref()?;
            Some(json!({
                "formula": s.formula.to_string(),
                "charge": s.formula.charge(),
                "reaction": reaction(&s.components, s.water),
                "log_k": c.log_k,
                "enthalpy_kj_per_mol": c.enthalpy_kj_per_mol,
            }))
        })
        .collect();
    let phase = |p: &spent_silver_domain::chemistry::species::Phase| {
        json!({
            "formula": p.formula.to_string(),
            "reaction": reaction(&p.components, p.water),
            "log_k": p.constant.log_k,
            "enthalpy_kj_per_mol": p.constant.enthalpy_kj_per_mol,
        })
    };
    json!({
        "components": t.components.iter().map(|c| json!([c.formula.to_string(), c.formula.charge()])).collect::<Vec<_>>(),
        "species": species,
        "solids": t.solids.iter().map(phase).collect::<Vec<_>>(),
        "gas": phase(&t.carbon_dioxide),
        "air_log_pressure": t.air_log_pressure,
        "metals": t.metals.iter().map(|m| json!({
            "formula": m.formula.to_string(),
            "ion": t.components[m.ion.index()].formula.to_string(),
            "electron_count": m.electron_count,
            "log_k": m.log_k,
        })).collect::<Vec<_>>(),
    })
}
