//! What a request for an equilibrium says, and the mixture it makes.

use super::super::formula::Formula;
use super::super::reagent::Reagent;
use super::super::species::{Component, tables};
use super::super::system::{
    ActivityModel, COLDEST_C, CarbonDioxide, MetalInContact, Mixture, SolidSet, WARMEST_C,
};
use super::checks;
use crate::answer::Notes;
use crate::fault::{Fault, FaultKind, Faults, at_most};
use crate::quantity::{DegreesCelsius, Grams, Kilograms, Moles};
use crate::waste::rule_set::RuleSetName;
use serde::{Deserialize, Serialize};

/// Most reagents, and most solids, in one request.
const MOST: usize = 100;

/// Asks for the equilibrium of a mixture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct EquilibriumRequest {
    /// Temperature, 10 to 35 °C; default 25.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<DegreesCelsius>,
    /// Water, not counting what the reagents bring.
    pub water_kg: Kilograms,
    /// What is dissolved in it.
    pub reagents: Vec<ReagentAmount>,
    /// Solids that may form; default all that can, an empty list for none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub solids: Option<Vec<Formula>>,
    /// Solids that are there at the start, and how much of the metal there is.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub start: Vec<ReagentAmount>,
    /// What carbon dioxide may do; default `closed`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carbon_dioxide: Option<CarbonDioxide>,
    /// A metal in the liquor: Cu, Zn or Fe to take the silver, Ag for an electrode.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub metal: Option<MetalInContact>,
    /// How activity coefficients are computed; default `davies`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub activity_model: Option<ActivityModel>,
    /// Rules that apply; default `unspecified`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<RuleSetName>,
}

/// So much of a reagent: either its amount or its mass.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ReagentAmount {
    /// Formula, water of crystallization included.
    pub formula: Formula,
    /// Amount of substance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount_mol: Option<Moles>,
    /// Mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_g: Option<Grams>,
}

impl ReagentAmount {
    /// The amount in moles.
    fn moles(&self, at: &str) -> Result<f64, Fault> {
        match (self.amount_mol, self.mass_g) {
            (Some(amount), None) => Ok(amount.as_f64()),
            (None, Some(mass)) => Ok(mass.as_f64() / self.formula.molar_mass_g_per_mol()),
            (None, None) => Err(Fault::missing(
                format!("{at}/amount_mol"),
                "`amount_mol` or `mass_g`",
            )),
            (Some(_), Some(_)) => Err(Fault::new(
                FaultKind::Conflict,
                format!("{at}/mass_g"),
                "both `amount_mol` and `mass_g` are given: expected one of them",
            )),
        }
    }
}

impl EquilibriumRequest {
    /// The mixture and the temperature.
    pub(super) fn mixture(&self, at: &str, notes: &mut Notes) -> Result<(Mixture, f64), Faults> {
        let mut faults = Vec::new();
        for (name, length) in [
            ("reagents", self.reagents.len()),
            ("start", self.start.len()),
            ("solids", self.solids.as_ref().map_or(0, Vec::len)),
        ] {
            at_most(format!("{at}/{name}"), length, MOST)?;
        }
        let temperature_c = self.temperature(at, notes, &mut faults);
        let water_kg = self.water_kg.as_f64();
        if water_kg <= 0.0 {
            faults.push(Fault::out_of_range(
                format!("{at}/water_kg"),
                "0",
                "water, more than 0 kg",
            ));
        }
        let mut mixture = Mixture::new(water_kg);
        self.choices(&mut mixture, at, notes);
        self.add_solids(&mut mixture, at, &mut faults);
        for (i, entry) in self.reagents.iter().enumerate() {
            let here = format!("{at}/reagents/{i}");
            match (Reagent::of_formula(&entry.formula), entry.moles(&here)) {
                (Ok(reagent), Ok(moles)) => mixture.add(&reagent, moles),
                (reagent, moles) => {
                    if let Err(e) = reagent {
                        faults.push(Fault::new(
                            FaultKind::Unknown,
                            format!("{here}/formula"),
                            e.to_string(),
                        ));
                    }
                    faults.extend(moles.err());
                }
            }
        }
        checks::oxidation(self, &mixture, at, &mut faults);
        Faults::none_of(faults)?;
        Ok((mixture, temperature_c))
    }

    fn temperature(&self, at: &str, notes: &mut Notes, faults: &mut Vec<Fault>) -> f64 {
        let Some(temperature) = self.temperature_c else {
            notes.assume(
                "",
                format!("{at}/temperature_c"),
                "house_rule",
                "25 °C, at which the constants are known best.",
            );
            return 25.0;
        };
        let t = temperature.as_f64();
        if !(COLDEST_C..=WARMEST_C).contains(&t) {
            faults.push(Fault::out_of_range(
                format!("{at}/temperature_c"),
                format!("{t} °C"),
                "10 to 35 °C, where the constants hold",
            ));
        }
        t
    }

    fn choices(&self, mixture: &mut Mixture, at: &str, notes: &mut Notes) {
        mixture.metal = self.metal;
        mixture.carbon_dioxide = self.carbon_dioxide.unwrap_or_default();
        mixture.activity_model = self.activity_model.unwrap_or_default();
        if self.carbon_dioxide.is_none() {
            notes.assume(
                "/carbon_dioxide_released_mol",
                format!("{at}/carbon_dioxide"),
                "house_rule",
                "`closed`: carbon dioxide neither leaves nor enters.",
            );
        }
        if self.activity_model.is_none() {
            notes.assume(
                "",
                format!("{at}/activity_model"),
                "phreeqc_davies",
                "`davies`: activity coefficients by the Davies equation with 0.3 I.",
            );
        }
        if self.solids.is_none() {
            notes.assume(
                "/solids",
                format!("{at}/solids"),
                "house_rule",
                "Every solid in the set may form, silver acetate excepted, whose constant is unverified.",
            );
        }
    }

    fn add_solids(&self, mixture: &mut Mixture, at: &str, faults: &mut Vec<Fault>) {
        let t = tables();
        let unknown = |pointer: String, formula: &Formula| {
            let known: Vec<&str> = t.solids.iter().map(|s| s.formula.as_str()).collect();
            Fault::new(
                FaultKind::Unknown,
                pointer,
                format!(
                    "`{formula}` is not a solid in the set: expected one of {}",
                    known.join(", ")
                ),
            )
        };
        if let Some(solids) = &self.solids {
            mixture.solids = SolidSet::NONE;
            for (i, formula) in solids.iter().enumerate() {
                match t.solid_index(formula.as_str()) {
                    Some(index) => mixture.solids.insert(index),
                    None => faults.push(unknown(format!("{at}/solids/{i}"), formula)),
                }
            }
        }
        for (i, entry) in self.start.iter().enumerate() {
            let here = format!("{at}/start/{i}");
            let moles = match entry.moles(&here) {
                Ok(moles) => moles,
                Err(fault) => {
                    faults.push(fault);
                    continue;
                }
            };
            let is_metal = self
                .metal
                .is_some_and(|m| m.symbol() == entry.formula.as_str());
            if is_metal {
                mixture.metal_supply_mol = Some(mixture.metal_supply_mol.unwrap_or(0.0) + moles);
            } else if !mixture.start_with(entry.formula.as_str(), moles) {
                faults.push(unknown(format!("{here}/formula"), &entry.formula));
            }
        }
    }

    /// The first reagent that brings a component, by its pointer.
    pub(super) fn reagent_with(&self, at: &str, component: Component) -> Option<String> {
        self.reagents.iter().enumerate().find_map(|(i, entry)| {
            let reagent = Reagent::of_formula(&entry.formula).ok()?;
            (reagent.of(component) > 0).then(|| format!("{at}/reagents/{i}"))
        })
    }
}
