//! The pH of a liquor as a base is added: the path, the dose for a pH, gas and heat.

use super::dosing::DoseError;
use super::formula::Formula;
use super::reagent::Reagent;
use super::solver::{Equilibrium, EquilibriumError};
use super::species::{Component, tables};
use super::system::{Mixture, System};
use crate::bibliography::SourceStatus;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// Heat capacity of water, kJ/(kg K): what a dilute liquor is taken to have.
const WATER_HEAT_KJ_PER_KG_K: f64 = 4.18;

/// A base that neutralizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Base {
    /// Baking soda, NaHCO3: the gentlest.
    SodiumBicarbonate,
    /// Washing soda, Na2CO3.
    SodiumCarbonate,
    /// Lye, NaOH: never for a liquid that holds silver.
    SodiumHydroxide,
}

/// What the data say of a base.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BaseRow {
    /// The base.
    pub id: Base,
    /// Its name.
    pub name: String,
    /// Its formula.
    pub formula: Formula,
    /// The species that it gives when it dissolves.
    pub gives: Vec<Gives>,
    /// Heat of dissolving the solid in much water, kJ/mol; negative warms.
    pub enthalpy_of_solution_kj_per_mol: f64,
    /// Bibliography key of that heat.
    pub source: String,
    /// How well it was verified.
    pub status: SourceStatus,
}

/// So much of a species from one base.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gives {
    /// Formula of the species.
    pub species: String,
    /// How many.
    pub amount: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BaseFile {
    base: Vec<BaseRow>,
}

static BASES: LazyLock<Vec<(BaseRow, Option<Reagent>)>> = LazyLock::new(|| {
    crate::data::parse::<BaseFile>(include_str!("../../data/bases.toml"))
        .base
        .into_iter()
        .map(|row| {
            let reagent = Reagent::of_formula(&row.formula).ok();
            (row, reagent)
        })
        .collect()
});

impl Base {
    /// Every base.
    pub const ALL: [Self; 3] = [
        Self::SodiumBicarbonate,
        Self::SodiumCarbonate,
        Self::SodiumHydroxide,
    ];

    /// Its id among the substances.
    #[must_use]
    pub const fn substance(self) -> &'static str {
        match self {
            Self::SodiumBicarbonate => "sodium_bicarbonate",
            Self::SodiumCarbonate => "sodium_carbonate",
            Self::SodiumHydroxide => "sodium_hydroxide",
        }
    }

    /// The name a person reads.
    #[must_use]
    pub fn words(self) -> &'static str {
        self.row().map_or(self.substance(), |r| &r.name)
    }

    /// Its row in the data; the tests hold that there is one.
    #[must_use]
    pub fn row(self) -> Option<&'static BaseRow> {
        BASES.iter().map(|(row, _)| row).find(|row| row.id == self)
    }

    /// It as a reagent.
    #[must_use]
    pub fn reagent(self) -> Option<&'static Reagent> {
        BASES
            .iter()
            .find(|(row, _)| row.id == self)
            .and_then(|(_, reagent)| reagent.as_ref())
    }

    /// Its molar mass, g/mol.
    #[must_use]
    pub fn molar_mass_g_per_mol(self) -> f64 {
        self.row().map_or(0.0, |r| r.formula.molar_mass_g_per_mol())
    }
}

/// A dose of base and the liquor it makes.
#[derive(Debug, Clone, PartialEq)]
pub struct BaseDose {
    /// The liquor before it.
    pub start: Equilibrium,
    /// Base, mol.
    pub base_mol: f64,
    /// Carbon dioxide that leaves, mol.
    pub carbon_dioxide_released_mol: f64,
    /// The liquor afterwards.
    pub equilibrium: Equilibrium,
}

/// Two doses, and the pH at each, with the target between them.
struct Bracket {
    low: (f64, f64),
    high: (f64, f64),
}

/// A liquor that is solved with one dose after another, each from the equilibria of the last two.
struct Doses<'a> {
    system: &'a System,
    liquor: &'a Mixture,
    base: &'a Reagent,
    last: Option<(f64, Equilibrium)>,
    before: Option<(f64, Equilibrium)>,
}

impl<'a> Doses<'a> {
    const fn new(system: &'a System, liquor: &'a Mixture, base: &'a Reagent) -> Self {
        Self {
            system,
            liquor,
            base,
            // The first dose lies far from the start.
            last: None,
            before: None,
        }
    }

    fn at(&mut self, dose_mol: f64) -> Result<&Equilibrium, EquilibriumError> {
        let mut mixture = self.liquor.clone();
        mixture.add(self.base, dose_mol);
        let near = self.last.as_ref().map(|(at, last)| match &self.before {
            Some((from, before)) if at != from => {
                last.beyond(before, (dose_mol - at) / (at - from))
            }
            _ => last.clone(),
        });
        let solved = self.system.solve_from(&mixture, near.as_ref())?;
        self.before = self.last.take();
        Ok(&self.last.insert((dose_mol, solved)).1)
    }

    fn ph(&mut self, dose_mol: f64) -> Result<f64, EquilibriumError> {
        Ok(self.at(dose_mol)?.ph())
    }

    /// Looks for the target about the dose that the protons of the liquor suggest, in growing steps.
    fn bracket(&mut self, start_ph: f64, target_ph: f64) -> Result<Bracket, DoseError> {
        const MOST_MOL_PER_KG: f64 = 20.0;
        let water = self.liquor.water_kg;
        let sodium = f64::from(self.base.of(Component::Sodium).max(1));
        let mut low = (0.0, start_ph);
        let mut dose = (self.liquor.total_mol(Component::Hydrogen) / sodium).max(1e-6 * water);
        let mut step = 0.02 * dose;
        loop {
            match self.ph(dose) {
                Ok(ph) if ph >= target_ph => {
                    // From the first dose the search goes down as well.
                    let mut high = (dose, ph);
                    while low.0 == 0.0 && step < dose {
                        let less = dose - step;
                        let ph = self.ph(less)?;
                        if ph < target_ph {
                            low = (less, ph);
                        } else {
                            high = (less, ph);
                            step *= 4.0;
                        }
                    }
                    return Ok(Bracket { low, high });
                }
                Ok(ph) => low = (dose, ph),
                Err(EquilibriumError::TooConcentrated { .. }) if step > 1e-3 * dose => {
                    step *= 0.25;
                    dose = low.0;
                }
                Err(EquilibriumError::TooConcentrated { .. }) => {
                    return Err(DoseError::OutOfReach { nearest: low.1 });
                }
                Err(e) => return Err(e.into()),
            }
            dose += step;
            step *= 2.0;
            if dose > MOST_MOL_PER_KG * water {
                return Err(DoseError::OutOfReach { nearest: low.1 });
            }
        }
    }

    /// Closes the bracket to a pH within 1e-9 of the target, or to 1e-13 of the dose: the dose, and
    /// the liquor with it.
    fn close(
        &mut self,
        mut between: Bracket,
        target_ph: f64,
    ) -> Result<(f64, Equilibrium), EquilibriumError> {
        const MOST_ROUNDS: u32 = 100;
        // A strong acid's curve is straight in the excess of acid over hydroxide, a buffer's in pH:
        // each is tried in turn, through the two latest points.
        let excess = |ph: f64| 10f64.powf(ph - 14.0) - 10f64.powf(-ph);
        let straight = |ph: f64, round: u32| {
            if round.is_multiple_of(2) {
                excess(ph)
            } else {
                ph
            }
        };
        let (mut before, mut last) = (between.low, between.high);
        let mut width = f64::INFINITY;
        for round in 0..MOST_ROUNDS {
            let (low, high) = (between.low.0, between.high.0);
            let (a, b) = (straight(before.1, round), straight(last.1, round));
            let secant = last.0 - (b - straight(target_ph, round)) * (last.0 - before.0) / (b - a);
            let creeps = round % 4 == 3 && high - low > 0.5 * width;
            if round % 4 == 3 {
                width = high - low;
            }
            let dose = if !creeps && secant > low && secant < high {
                secant
            } else {
                0.5 * (low + high)
            };
            let solved = self.at(dose)?;
            let ph = solved.ph();
            before = last;
            last = (dose, ph);
            if ph >= target_ph {
                between.high = last;
            } else {
                between.low = last;
            }
            if (ph - target_ph).abs() < 1e-9 || between.high.0 - between.low.0 <= 1e-13 * dose {
                return Ok((dose, solved.clone()));
            }
        }
        let dose = 0.5 * (between.low.0 + between.high.0);
        Ok((dose, self.at(dose)?.clone()))
    }
}

/// The base that brings a liquor to a pH. The liquor says what carbon dioxide may do and which
/// solids may form.
///
/// The pH rises with the dose; the dose is bracketed and the bracket closed by secants.
///
/// # Errors
/// [`DoseError::OutOfReach`] with the nearest pH when the liquor is above the target already, or
/// when no dose of this base reaches it (bicarbonate stops near pH 8).
///
/// ```
/// use spent_silver_domain::chemistry::neutralization::{Base, base_for_ph};
/// use spent_silver_domain::chemistry::reagent::Reagent;
/// use spent_silver_domain::chemistry::system::{CarbonDioxide, Mixture, System};
/// let mut acid = Mixture::new(2.0);
/// acid.add(&Reagent::parse("HNO3").unwrap(), 0.2);
/// acid.carbon_dioxide = CarbonDioxide::VentsAtSaturation;
/// let base = Base::SodiumBicarbonate.reagent().unwrap();
/// let dose = base_for_ph(System::at_25_c(), &acid, base, 6.0).unwrap();
/// assert!((dose.base_mol - 0.239134).abs() < 1e-6);
/// ```
pub fn base_for_ph(
    system: &System,
    liquor: &Mixture,
    base: &Reagent,
    target_ph: f64,
) -> Result<BaseDose, DoseError> {
    let start = system.solve(liquor)?;
    let start_ph = start.ph();
    if start_ph >= target_ph {
        return Err(DoseError::OutOfReach { nearest: start_ph });
    }
    let protons = base.of(Component::Hydrogen) != 0;
    if protons
        && let Ok((base_mol, equilibrium)) = system.solve_at_ph(liquor, base, target_ph, None)
        && base_mol > 0.0
    {
        return Ok(BaseDose {
            start,
            base_mol,
            carbon_dioxide_released_mol: equilibrium.carbon_dioxide_released_mol,
            equilibrium,
        });
    }
    let mut doses = Doses::new(system, liquor, base);
    let between = doses.bracket(start_ph, target_ph)?;
    let (base_mol, equilibrium) = doses.close(between, target_ph)?;
    Ok(BaseDose {
        start,
        base_mol,
        carbon_dioxide_released_mol: equilibrium.carbon_dioxide_released_mol,
        equilibrium,
    })
}

/// One step of a neutralization.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PathPoint {
    /// Base added so far, mol.
    pub base_mol: f64,
    /// pH then.
    pub ph: f64,
    /// Carbon dioxide that has left by then, mol.
    pub carbon_dioxide_released_mol: f64,
    /// Ionic strength then, mol per kg of water.
    pub ionic_strength: f64,
}

/// The pH after each of the doses (base added so far, mol), for a person who follows with pH paper.
///
/// Each point is the equilibrium of all the base added so far, with the gas still above the liquor:
/// near the end some of it goes back into solution, which a jug left open does not show.
///
/// # Errors
/// The first dose for which there is no proved equilibrium.
pub fn ph_path(
    system: &System,
    liquor: &Mixture,
    base: &Reagent,
    doses_mol: &[f64],
) -> Result<Vec<PathPoint>, EquilibriumError> {
    let mut doses = Doses::new(system, liquor, base);
    doses_mol
        .iter()
        .map(|dose| {
            let answer = doses.at(*dose)?;
            Ok(PathPoint {
                base_mol: *dose,
                ph: answer.ph(),
                carbon_dioxide_released_mol: answer.carbon_dioxide_released_mol.max(0.0),
                ionic_strength: answer.ionic_strength,
            })
        })
        .collect()
}

/// Enthalpy of what is in a solved mixture over the component ions, kJ, where enthalpies are known.
fn enthalpy_kj(answer: &Equilibrium) -> f64 {
    let t = tables();
    let mut sum = 0.0;
    for (species, molality) in t.species.iter().zip(answer.molality) {
        let h = species
            .constant
            .as_ref()
            .and_then(|c| c.enthalpy_kj_per_mol);
        sum += h.unwrap_or_default() * molality * answer.water_kg;
    }
    for (solid, formed) in t.solids.iter().zip(answer.solid_formed_mol) {
        sum -= solid.constant.enthalpy_kj_per_mol.unwrap_or_default() * formed;
    }
    let gas = t
        .carbon_dioxide
        .constant
        .enthalpy_kj_per_mol
        .unwrap_or_default();
    let dissolved = species_enthalpy("CO2");
    sum + (dissolved - gas) * answer.carbon_dioxide_released_mol
}

fn species_enthalpy(formula: &str) -> f64 {
    let t = tables();
    t.species_index(formula)
        .and_then(|i| t.species.get(i))
        .and_then(|s| s.constant.as_ref())
        .and_then(|c| c.enthalpy_kj_per_mol)
        .unwrap_or_default()
}

/// Heat of a neutralization.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heat {
    /// Heat given off, kJ; negative when the liquor cools.
    pub released_kj: f64,
    /// Rise of the temperature if no heat is lost, in kelvin.
    pub rise_k: f64,
}

/// Heat and temperature rise when so much solid base is stirred into a liquor at once:
/// the enthalpies of the species before and after, and that of dissolving the base; the liquor is
/// taken to have the heat capacity of its water, 4.18 kJ/(kg K).
///
/// The enthalpies of solution are from memory, unverified.
#[must_use]
pub fn heat_of_neutralization(
    before: &Equilibrium,
    after: &Equilibrium,
    base: Base,
    base_mol: f64,
) -> Heat {
    let solid = base.row().map_or(0.0, |row| {
        let dissolved: f64 = row
            .gives
            .iter()
            .map(|g| species_enthalpy(&g.species) * g.amount)
            .sum();
        dissolved - row.enthalpy_of_solution_kj_per_mol
    });
    let released_kj = enthalpy_kj(before) + solid * base_mol - enthalpy_kj(after);
    Heat {
        released_kj,
        rise_k: released_kj / (WATER_HEAT_KJ_PER_KG_K * after.water_kg),
    }
}
