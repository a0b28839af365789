//! Components, dissolved species, solids, the gas and the metals, as data with provenance.

use super::formula::Formula;
use crate::bibliography::SourceStatus;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// The ions and molecules from which every species is formed. The order is that of the data file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "the names are those of the substances")]
pub enum Component {
    Hydrogen,
    Silver,
    Chloride,
    Bromide,
    Iodide,
    Thiosulfate,
    Sulfite,
    Sulfate,
    Sulfide,
    Cyanide,
    Thiocyanate,
    Ammonia,
    Acetate,
    Nitrate,
    Carbonate,
    Chromate,
    Sodium,
    Potassium,
    Copper,
    Zinc,
    Iron,
}

impl Component {
    /// How many components there are.
    pub const COUNT: usize = 21;

    /// Every component, in the order of its index.
    pub const ALL: [Self; Self::COUNT] = [
        Self::Hydrogen,
        Self::Silver,
        Self::Chloride,
        Self::Bromide,
        Self::Iodide,
        Self::Thiosulfate,
        Self::Sulfite,
        Self::Sulfate,
        Self::Sulfide,
        Self::Cyanide,
        Self::Thiocyanate,
        Self::Ammonia,
        Self::Acetate,
        Self::Nitrate,
        Self::Carbonate,
        Self::Chromate,
        Self::Sodium,
        Self::Potassium,
        Self::Copper,
        Self::Zinc,
        Self::Iron,
    ];

    /// Position in every array over the components.
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }
}

/// A constant as some source gives it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Alternative {
    /// log10 of the constant, 25 °C.
    #[serde(default)]
    pub log_k: Option<f64>,
    /// Standard potential in volts, 25 °C.
    #[serde(default)]
    pub potential_v: Option<f64>,
    /// Bibliography key.
    pub source: String,
    /// How well it was verified.
    pub status: SourceStatus,
}

/// One constant with its provenance.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Constant {
    /// log10 of the constant at 25 °C and zero ionic strength, molal scale.
    pub log_k: f64,
    /// Standard uncertainty of `log_k`.
    pub standard_uncertainty: f64,
    /// Reaction enthalpy, kJ/mol, where one is known.
    #[serde(default)]
    pub enthalpy_kj_per_mol: Option<f64>,
    /// Bibliography key of the enthalpy.
    #[serde(default)]
    pub enthalpy_source: Option<String>,
    /// How well the enthalpy was verified.
    #[serde(default)]
    pub enthalpy_status: Option<SourceStatus>,
    /// Bibliography key of `log_k`.
    pub source: String,
    /// How well `log_k` was verified.
    pub status: SourceStatus,
    /// What other sources give.
    #[serde(default)]
    pub alternatives: Vec<Alternative>,
    /// What a reader of the constant must know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A component as the data file describes it.
#[derive(Debug, Clone, PartialEq)]
pub struct ComponentRow {
    /// Formula with charge.
    pub formula: Formula,
    /// Name.
    pub name: String,
}

/// A dissolved species: what it is formed of, and its formation constant.
#[derive(Debug, Clone, PartialEq)]
pub struct Species {
    /// Formula with charge.
    pub formula: Formula,
    /// Amount of each component that forms one of it; negative is released.
    pub components: [i8; Component::COUNT],
    /// Water that forms one of it; negative is released.
    pub water: i8,
    /// Formation constant; `None` for a component itself.
    pub constant: Option<Constant>,
    /// The components it is formed of, one bit each.
    pub(crate) mask: u32,
    /// Its charge.
    pub(crate) charge: i8,
}

impl Species {
    /// Amount of one component in the species.
    #[must_use]
    pub const fn of(&self, component: Component) -> i8 {
        self.components[component.index()]
    }
}

/// A solid or the gas: what it dissolves into, and its constant.
#[derive(Debug, Clone, PartialEq)]
pub struct Phase {
    /// Formula.
    pub formula: Formula,
    /// Name.
    pub name: String,
    /// Amount of each component that one of it gives when it dissolves; negative is taken up.
    pub components: [i8; Component::COUNT],
    /// Water that one of it gives.
    pub water: i8,
    /// Constant of the dissolution.
    pub constant: Constant,
    /// The components it dissolves into, one bit each.
    pub(crate) mask: u32,
    /// Whether it forms only when the request names it.
    pub only_when_named: bool,
}

/// A metal in equilibrium with its ion.
#[derive(Debug, Clone, PartialEq)]
pub struct Metal {
    /// Symbol.
    pub formula: Formula,
    /// Name.
    pub name: String,
    /// The ion.
    pub ion: Component,
    /// Electrons that one atom gives.
    pub electron_count: u8,
    /// log10 K of metal = ion + electrons, 25 °C.
    pub log_k: f64,
    /// Standard potential of the couple, V against the hydrogen electrode, 25 °C.
    pub potential_v: f64,
    /// Standard uncertainty of `potential_v`.
    pub potential_standard_uncertainty_v: f64,
    /// Bibliography key.
    pub source: String,
    /// How well it was verified.
    pub status: SourceStatus,
    /// What other sources give.
    pub alternatives: Vec<Alternative>,
    /// What a reader must know.
    pub note: Option<String>,
}

/// Everything the solver knows of chemistry.
#[derive(Debug, Clone, PartialEq)]
pub struct Tables {
    /// Components in the order of [`Component::ALL`].
    pub components: Vec<ComponentRow>,
    /// Dissolved species; the components come first, in their order.
    pub species: Vec<Species>,
    /// Solids.
    pub solids: Vec<Phase>,
    /// Carbon dioxide gas.
    pub carbon_dioxide: Phase,
    /// log10 of the pressure of carbon dioxide in air, atm.
    pub air_log_pressure: f64,
    /// Metals: silver, copper, zinc, iron.
    pub metals: Vec<Metal>,
}

impl Tables {
    /// Index of the dissolved species with that formula.
    #[must_use]
    pub fn species_index(&self, formula: &str) -> Option<usize> {
        self.species
            .iter()
            .position(|s| s.formula.as_str() == formula)
    }

    /// Index of the solid with that formula.
    #[must_use]
    pub fn solid_index(&self, formula: &str) -> Option<usize> {
        self.solids
            .iter()
            .position(|s| s.formula.as_str() == formula)
    }

    /// The metal with that symbol.
    #[must_use]
    pub fn metal(&self, symbol: &str) -> Option<&Metal> {
        self.metals.iter().find(|m| m.formula.as_str() == symbol)
    }
}

type Reaction = BTreeMap<String, i8>;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SpeciesFile {
    #[serde(rename = "uncertainty_source")]
    _uncertainty_source: String,
    component: Vec<RawComponent>,
    species: Vec<RawSpecies>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawComponent {
    formula: Formula,
    name: String,
}

#[derive(Deserialize)]
struct RawSpecies {
    formula: Formula,
    reaction: Reaction,
    #[serde(flatten)]
    constant: Constant,
}

#[derive(Deserialize)]
struct SolidsFile {
    solid: Vec<RawPhase>,
    gas: RawPhase,
    metal: Vec<RawMetal>,
}

#[derive(Deserialize)]
struct RawPhase {
    formula: Formula,
    name: String,
    dissolution: Reaction,
    #[serde(default)]
    only_when_named: bool,
    #[serde(default)]
    log_pressure_air_atm: Option<f64>,
    #[serde(flatten)]
    constant: Constant,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawMetal {
    formula: Formula,
    name: String,
    ion: String,
    electron_count: u8,
    log_k: f64,
    potential_v: f64,
    potential_standard_uncertainty_v: f64,
    source: String,
    status: SourceStatus,
    alternatives: Vec<Alternative>,
    #[serde(default)]
    note: Option<String>,
}

static TABLES: LazyLock<Tables> = LazyLock::new(read_tables);

/// The tables that are compiled in.
#[must_use]
pub fn tables() -> &'static Tables {
    &TABLES
}

/// The components with an amount, one bit each.
fn mask(components: &[i8; Component::COUNT]) -> u32 {
    components
        .iter()
        .rev()
        .fold(0, |bits, nu| (bits << 1) | u32::from(*nu != 0))
}

/// The positions of the bits of a mask.
pub(crate) fn bits(mut mask: u32) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        if mask == 0 {
            return None;
        }
        let at = mask.trailing_zeros() as usize;
        mask &= mask.wrapping_sub(1);
        Some(at)
    })
}

fn small_charge(formula: &Formula) -> i8 {
    i8::try_from(formula.charge()).unwrap_or_default()
}

/// Splits a reaction into components and water; the tests hold that every name is one.
fn split(reaction: &Reaction, rows: &[ComponentRow]) -> ([i8; Component::COUNT], i8) {
    let mut components = [0i8; Component::COUNT];
    for (row, slot) in rows.iter().zip(components.iter_mut()) {
        *slot = reaction
            .get(row.formula.as_str())
            .copied()
            .unwrap_or_default();
    }
    (components, reaction.get("H2O").copied().unwrap_or_default())
}

fn read_tables() -> Tables {
    let file: SpeciesFile = crate::data::parse(include_str!("../../data/species.toml"));
    let more: SolidsFile = crate::data::parse(include_str!("../../data/solids.toml"));
    let components: Vec<ComponentRow> = file
        .component
        .into_iter()
        .map(|c| ComponentRow {
            formula: c.formula,
            name: c.name,
        })
        .collect();
    let mut species: Vec<Species> = components
        .iter()
        .enumerate()
        .map(|(i, row)| Species {
            formula: row.formula.clone(),
            components: std::array::from_fn(|j| i8::from(i == j)),
            water: 0,
            constant: None,
            mask: mask(&std::array::from_fn(|j| i8::from(i == j))),
            charge: small_charge(&row.formula),
        })
        .collect();
    species.extend(file.species.into_iter().map(|raw| {
        let (of, water) = split(&raw.reaction, &components);
        Species {
            mask: mask(&of),
            charge: small_charge(&raw.formula),
            formula: raw.formula,
            components: of,
            water,
            constant: Some(raw.constant),
        }
    }));
    let air_log_pressure = more.gas.log_pressure_air_atm.unwrap_or_default();
    let phase = |raw: RawPhase| {
        let (of, water) = split(&raw.dissolution, &components);
        Phase {
            formula: raw.formula,
            name: raw.name,
            mask: mask(&of),
            components: of,
            water,
            constant: raw.constant,
            only_when_named: raw.only_when_named,
        }
    };
    let metals = more
        .metal
        .into_iter()
        .map(|raw| Metal {
            ion: Component::ALL
                .into_iter()
                .find(|c| {
                    components
                        .get(c.index())
                        .is_some_and(|row| row.formula.as_str() == raw.ion)
                })
                .unwrap_or(Component::Silver),
            formula: raw.formula,
            name: raw.name,
            electron_count: raw.electron_count,
            log_k: raw.log_k,
            potential_v: raw.potential_v,
            potential_standard_uncertainty_v: raw.potential_standard_uncertainty_v,
            source: raw.source,
            status: raw.status,
            alternatives: raw.alternatives,
            note: raw.note,
        })
        .collect();
    Tables {
        solids: more.solid.into_iter().map(phase).collect(),
        carbon_dioxide: phase(more.gas),
        air_log_pressure,
        metals,
        species,
        components,
    }
}
