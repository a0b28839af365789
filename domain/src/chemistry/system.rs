//! The constants at one temperature, and the mixture whose equilibrium is sought.

use super::species::{Component, Metal, Phase, Tables, tables};

/// Room for dissolved species.
pub(crate) const MAX_SPECIES: usize = 72;
/// Room for solids, the gas and the metal couple.
pub(crate) const MAX_PHASES: usize = 16;
/// Natural logarithm of ten.
pub(crate) const LN_10: f64 = std::f64::consts::LN_10;
/// Gas constant, J/(mol K) (exact by the SI of 2019).
pub const GAS_CONSTANT: f64 = 8.314_462_618;
/// 25 °C in kelvin.
pub(crate) const KELVIN_25: f64 = 298.15;
/// Mass of a mole of water, kg.
pub(crate) const WATER_KG_PER_MOL: f64 = 0.018_015;
/// Lowest temperature for which constants are given, °C.
pub const COLDEST_C: f64 = 10.0;
/// Highest temperature for which constants are given, °C.
pub const WARMEST_C: f64 = 35.0;

/// How activity coefficients are computed.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize,
)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum ActivityModel {
    /// Davies: log10 g = -A z^2 (sqrt(I)/(1 + sqrt(I)) - 0.3 I); neutral species log10 g = 0.1 I.
    #[default]
    Davies,
    /// Every activity coefficient is 1.
    Ideal,
}

/// What carbon dioxide may do.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize,
)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum CarbonDioxide {
    /// It stays in the liquor. For comparison only: a closed jug bursts.
    #[default]
    Closed,
    /// It bubbles off above a pressure of 1 atm: what a person sees within the hour.
    VentsAtSaturation,
    /// The liquor is in equilibrium with the carbon dioxide of air, which may enter or leave: what
    /// a person finds after days in the open.
    OpenToAir,
}

/// The metal in the liquor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub enum MetalInContact {
    /// Silver, as an electrode: it shows a potential and takes nothing.
    Ag,
    /// Copper: silver plates out and copper dissolves.
    Cu,
    /// Zinc: silver plates out and zinc dissolves.
    Zn,
    /// Iron: silver plates out and iron dissolves.
    Fe,
}

impl MetalInContact {
    /// The symbol.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Ag => "Ag",
            Self::Cu => "Cu",
            Self::Zn => "Zn",
            Self::Fe => "Fe",
        }
    }

    /// Its row in the tables.
    #[must_use]
    pub fn row(self) -> Option<&'static Metal> {
        tables().metal(self.symbol())
    }
}

/// Debye-Hückel A of the Davies equation (log10, molal), 5 to 40 °C.
///
/// A cubic through the values that the reference code computes from the permittivity and density
/// of water: 0.510025 at 25 °C; the fit is within 1e-7.
///
/// ```
/// use spent_silver_domain::chemistry::system::davies_a;
/// assert!((davies_a(25.0) - 0.510025).abs() < 1e-6);
/// assert!((davies_a(10.0) - 0.497864).abs() < 1e-6);
/// ```
#[must_use]
pub fn davies_a(temperature_c: f64) -> f64 {
    let t = temperature_c - 25.0;
    0.510_024_789_4 + t * (8.751_994_93e-4 + t * (4.288_896_86e-6 - t * 6.206_141_43e-10))
}

/// The constants at one temperature. Made once and used for any number of solutions.
#[derive(Debug, Clone)]
pub struct System {
    pub(crate) temperature_c: f64,
    pub(crate) davies_a: f64,
    /// Natural logarithm of each species' formation constant; zero for the components.
    pub(crate) ln_k: [f64; MAX_SPECIES],
    /// Natural logarithm of each solid's constant, then of the gas's.
    pub(crate) ln_k_phase: [f64; MAX_PHASES],
    /// Hydrogen ion less hydroxide in water at pH 7 and 25 °C, mol/kg, for Davies and ideal.
    pub(crate) start_imbalance: [f64; 2],
}

impl System {
    /// The recommended constants at 25 °C.
    #[must_use]
    pub fn at_25_c() -> &'static Self {
        static AT_25: std::sync::LazyLock<System> = std::sync::LazyLock::new(|| System::at(25.0));
        &AT_25
    }

    /// The recommended constants at a temperature: van 't Hoff with a constant enthalpy,
    /// ln K(T) = ln K(25) - (dH/R)(1/T - 1/298.15), where an enthalpy is known; else ln K(25).
    ///
    /// The temperature is held to 10 to 35 °C.
    #[must_use]
    pub fn at(temperature_c: f64) -> Self {
        let temperature_c = temperature_c.clamp(COLDEST_C, WARMEST_C);
        let t = tables();
        let per_kj = -1000.0 / GAS_CONSTANT * (1.0 / (temperature_c + 273.15) - 1.0 / KELVIN_25);
        let shift = |enthalpy: Option<f64>| enthalpy.map_or(0.0, |h| h * per_kj);
        let mut ln_k = [0.0; MAX_SPECIES];
        for (slot, species) in ln_k.iter_mut().zip(&t.species) {
            if let Some(c) = &species.constant {
                *slot = c.log_k * LN_10 + shift(c.enthalpy_kj_per_mol);
            }
        }
        let mut ln_k_phase = [0.0; MAX_PHASES];
        for (slot, solid) in ln_k_phase.iter_mut().zip(&t.solids) {
            *slot = solid.constant.log_k * LN_10 + shift(solid.constant.enthalpy_kj_per_mol);
        }
        let mut out = Self {
            temperature_c,
            davies_a: davies_a(temperature_c),
            ln_k,
            ln_k_phase,
            start_imbalance: [
                start_imbalance(ActivityModel::Davies),
                start_imbalance(ActivityModel::Ideal),
            ],
        };
        out.set_gas();
        out
    }

    /// The gas's row is written as the dissolution of CO2(g) into components: log K of
    /// CO2(g) = CO2(aq) less the formation constant of CO2(aq).
    fn set_gas(&mut self) {
        let t = tables();
        let per_kj =
            -1000.0 / GAS_CONSTANT * (1.0 / (self.temperature_c + 273.15) - 1.0 / KELVIN_25);
        let gas = &t.carbon_dioxide.constant;
        let dissolved = t.species_index("CO2").unwrap_or_default();
        if let (Some(slot), Some(formation)) = (
            self.ln_k_phase.get_mut(t.solids.len()),
            self.ln_k.get(dissolved),
        ) {
            *slot = gas.log_k * LN_10 + gas.enthalpy_kj_per_mol.unwrap_or_default() * per_kj
                - formation;
        }
    }

    /// The temperature, °C.
    #[must_use]
    pub const fn temperature_c(&self) -> f64 {
        self.temperature_c
    }

    /// log10 of a species' formation constant at this temperature.
    #[must_use]
    pub fn species_log_k(&self, formula: &str) -> Option<f64> {
        let index = tables().species_index(formula)?;
        Some(self.ln_k.get(index)? / LN_10)
    }

    /// log10 of a solid's dissolution constant at this temperature.
    #[must_use]
    pub fn solid_log_k(&self, formula: &str) -> Option<f64> {
        let index = tables().solid_index(formula)?;
        Some(self.ln_k_phase.get(index)? / LN_10)
    }

    /// The same system with one species' constant replaced, for a sensitivity or a Monte Carlo.
    /// An unknown formula changes nothing.
    #[must_use]
    pub fn with_species_log_k(mut self, formula: &str, log_k: f64) -> Self {
        if let Some(slot) = tables()
            .species_index(formula)
            .and_then(|i| self.ln_k.get_mut(i))
        {
            *slot = log_k * LN_10;
            self.set_gas();
        }
        self
    }

    /// The same system with one solid's constant replaced. An unknown formula changes nothing.
    #[must_use]
    pub fn with_solid_log_k(mut self, formula: &str, log_k: f64) -> Self {
        if let Some(slot) = tables()
            .solid_index(formula)
            .and_then(|i| self.ln_k_phase.get_mut(i))
        {
            *slot = log_k * LN_10;
        }
        self
    }
}

/// Charge balance of the water that every mixture starts from: water at pH 7, as in the reference
/// code. It is 7e-10 mol/kg, and shows only in an unbuffered liquor.
fn start_imbalance(model: ActivityModel) -> f64 {
    let hydroxide_activity = 10f64.powf(7.0 - 13.997);
    let mut ionic_strength = 1e-7;
    let mut gamma = 1.0;
    for _ in 0..4 {
        if model == ActivityModel::Davies {
            let root = f64::sqrt(ionic_strength);
            gamma = 10f64.powf(-davies_a(25.0) * (root / (1.0 + root) - 0.3 * ionic_strength));
        }
        ionic_strength = 0.5 * (1e-7 + hydroxide_activity) / gamma;
    }
    (1e-7 - hydroxide_activity) / gamma
}

/// Which solids may form, as a set of indices into the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct SolidSet(u32);

impl SolidSet {
    /// No solid.
    pub const NONE: Self = Self(0);

    /// Every solid that forms without being named.
    #[must_use]
    pub fn all() -> Self {
        let mut set = Self::NONE;
        for (i, solid) in tables().solids.iter().enumerate() {
            if !solid.only_when_named {
                set.insert(i);
            }
        }
        set
    }

    /// The solids with these formulas; unknown ones are left out.
    #[must_use]
    pub fn of(formulas: &[&str]) -> Self {
        let mut set = Self::NONE;
        for index in formulas.iter().filter_map(|f| tables().solid_index(f)) {
            set.insert(index);
        }
        set
    }

    /// Adds one solid by its index.
    pub fn insert(&mut self, index: usize) {
        self.0 |= 1u32
            .checked_shl(u32::try_from(index).unwrap_or(32))
            .unwrap_or(0);
    }

    /// Whether the solid is in the set.
    #[must_use]
    pub fn contains(self, index: usize) -> bool {
        u32::try_from(index)
            .ok()
            .and_then(|i| self.0.checked_shr(i))
            .is_some_and(|bits| bits & 1 == 1)
    }
}

/// What is mixed: amounts of the components in so much water, and what may happen to them.
#[derive(Debug, Clone, PartialEq)]
pub struct Mixture {
    /// Water, kg.
    pub water_kg: f64,
    /// Amount of each component, mol. Hydrogen may be negative: hydroxide is one water less one hydrogen.
    pub totals_mol: [f64; Component::COUNT],
    /// Water that the reagents bring (from hydrates, or from hydroxide), mol.
    pub reagent_water_mol: f64,
    /// Solids that may form.
    pub solids: SolidSet,
    /// Solids there at the start, mol, by index into the table.
    pub start_mol: [f64; MAX_PHASES],
    /// What carbon dioxide may do.
    pub carbon_dioxide: CarbonDioxide,
    /// Metal in the liquor.
    pub metal: Option<MetalInContact>,
    /// How much of the metal there is, mol; without it, more than enough.
    pub metal_supply_mol: Option<f64>,
    /// How activity coefficients are computed.
    pub activity_model: ActivityModel,
}

impl Mixture {
    /// Water alone, closed, with every solid allowed and the Davies equation.
    #[must_use]
    pub fn new(water_kg: f64) -> Self {
        Self {
            water_kg,
            totals_mol: [0.0; Component::COUNT],
            reagent_water_mol: 0.0,
            solids: SolidSet::all(),
            start_mol: [0.0; MAX_PHASES],
            carbon_dioxide: CarbonDioxide::Closed,
            metal: None,
            metal_supply_mol: None,
            activity_model: ActivityModel::Davies,
        }
    }

    /// The amount of one component, mol, solids at the start not counted.
    #[must_use]
    pub const fn total_mol(&self, component: Component) -> f64 {
        self.totals_mol[component.index()]
    }

    /// Adds so much of a component, mol.
    pub fn add_component(&mut self, component: Component, amount_mol: f64) {
        self.totals_mol[component.index()] += amount_mol;
    }

    /// Sets how much of a solid is there at the start, mol, and allows it. False for an unknown formula.
    pub fn start_with(&mut self, formula: &str, amount_mol: f64) -> bool {
        let Some(index) = tables().solid_index(formula) else {
            return false;
        };
        if let Some(slot) = self.start_mol.get_mut(index) {
            *slot += amount_mol;
        }
        self.solids.insert(index);
        true
    }

    /// The solids of the table with their index and the amount at the start.
    pub(crate) fn start(&self) -> impl Iterator<Item = (&'static Phase, f64)> {
        let t: &'static Tables = tables();
        t.solids.iter().zip(self.start_mol)
    }
}
