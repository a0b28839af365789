//! The floor that a solved equilibrium sets: one liquor of the batch, solved once, and what each way
//! of recovery asks of it.

use super::plan::RecoveryPlan;
use super::predicted::{DecidingSolid, EquilibriumFloor, MetalDissolved};
use super::situation::{SilverRange, Situation};
use super::text;
use crate::answer::{Method, Notes};
use crate::chemistry::constants::SILVER;
use crate::chemistry::dosing::CementationFloor;
use crate::chemistry::electrode::volts_per_decade;
use crate::chemistry::equilibria::{self, ValidityLevel, validity};
use crate::chemistry::liquor::{StatedLiquor, bring_to_ph, mixture_of};
use crate::chemistry::prediction::{Uncertainty, uncertainty};
use crate::chemistry::solver::{Equilibrium, EquilibriumError, Figure};
use crate::chemistry::species::{Component, tables};
use crate::chemistry::system::{MetalInContact, Mixture, SolidSet, System};
use crate::quantity::{
    ComputedFactor, ComputedGrams, ComputedMilligramsPerLitre, ComputedMolesPerKilogram,
    ComputedSaturationIndex, Identifier,
};

/// How a floor is found.
pub(super) const FLOOR: Method = Method {
    name: "equilibrium floor",
    formula: "the liquor at 25 °C with its pH matched by nitric acid or sodium hydroxide, the dose of the plan added, solved for all dissolved silver; mg per kg of water stands for mg/L; factor = 10^(1.96 u) x model error factor, u from the constants, the silver's uncertainty and the amounts taken for granted",
    source: "equilibrium_judgement",
};

/// Nothing is read below this; smaller figures mean only that it works, mg/L.
const PLAIN_MG_PER_L: f64 = 0.001;

/// Share of the silver below which it counts as taken out.
const TAKEN_OUT: f64 = 0.01;

/// Most that a factor says: beyond it nothing is known.
const MOST_FACTOR: f64 = 1e6;

/// The liquid of a batch, solved.
#[derive(Debug)]
pub(super) struct SolvedLiquor {
    /// The mixture at the batch's pH, and what was taken for granted.
    pub stated: StatedLiquor,
    /// Its equilibrium: where the search begins for the same liquor with a dose in it.
    pub equilibrium: Equilibrium,
}

impl SolvedLiquor {
    /// Solves the liquid of a batch.
    ///
    /// # Errors
    /// Why it has no equilibrium, in words.
    pub fn new(situation: &Situation<'_>) -> Result<Self, String> {
        let silver = situation
            .silver
            .ok_or("The silver is not known: measure it first.")?;
        let volume_l = situation
            .volume_l
            .ok_or("Without the volume the equilibrium cannot be worked out: give volume_l.")?;
        let mut stated = mixture_of(situation.batch, volume_l, silver.figure_g, situation.at);
        let system = System::at_25_c();
        let equilibrium = match stated.ph {
            Some(ph) => bring_to_ph(system, &mut stated.mixture, ph),
            None => system.solve(&stated.mixture),
        }
        .map_err(unsolved)?;
        Ok(Self {
            stated,
            equilibrium,
        })
    }

    /// The texts of what was taken for granted.
    fn assumed(&self) -> Vec<String> {
        self.stated
            .assumed
            .iter()
            .map(|a| a.text.clone().into_owned())
            .collect()
    }

    /// Records what was taken for granted.
    pub fn note(&self, about: &str, notes: &mut Notes) {
        notes.method(about, equilibria::MASS_ACTION);
        notes.method(about, equilibria::DAVIES);
        for assumed in &self.stated.assumed {
            notes.assume(
                about,
                assumed.field.clone(),
                assumed.source,
                assumed.text.clone(),
            );
        }
    }
}

/// Why there is no equilibrium, in words.
pub(super) fn unsolved(error: EquilibriumError) -> String {
    match error {
        EquilibriumError::TooConcentrated { ionic_strength } => format!(
            "The liquid is too strong for any model of its equilibrium (ionic strength {} mol/kg, where 5 is the most): only the practical range stands.",
            text::about(ionic_strength)
        ),
        EquilibriumError::TooLittleWater { .. } => {
            "There is too little water in it for an equilibrium to be worked out: only the practical range stands."
                .to_owned()
        }
        EquilibriumError::NoWater
        | EquilibriumError::NoSilverForMetal
        | EquilibriumError::BadAmount { .. }
        | EquilibriumError::NotConverged { .. }
        | EquilibriumError::NotProved(_) => {
            "No proved equilibrium was found for it, so no floor is given: only the practical range stands."
                .to_owned()
        }
    }
}

/// Silver in solution, mg per kg of water.
pub(super) fn silver_mg_per_kg(answer: &Equilibrium) -> f64 {
    answer.dissolved_silver() * SILVER * 1000.0
}

/// How sure the dissolved silver of an answer is.
fn how_sure(
    situation: &Situation<'_>,
    silver: SilverRange,
    liquor: &SolvedLiquor,
    mixture: &Mixture,
    answer: &Equilibrium,
) -> Option<Uncertainty> {
    // The silver's interval is 95 %, 1.96 standard uncertainties either way.
    let of_silver = (silver.upper_g - silver.lower_g) / 3.92 / SILVER;
    let companion = if situation.batch.holds_thiosulfate() {
        Component::Bromide
    } else {
        Component::Nitrate
    };
    let mut amounts = liquor.stated.uncertain.clone();
    amounts.extend([(Component::Silver, of_silver), (companion, of_silver)]);
    let mut sure = uncertainty(
        System::at_25_c(),
        mixture,
        answer,
        Figure::LogDissolvedSilver,
        &amounts,
    )?;
    if let Some(metal) = mixture.metal.and_then(MetalInContact::row) {
        // Both potentials enter at one decade for each 59 mV.
        let silver_u = tables()
            .metal("Ag")
            .map_or(0.0, |m| m.potential_standard_uncertainty_v);
        let volts = metal.potential_standard_uncertainty_v.hypot(silver_u);
        sure.standard = sure.standard.hypot(volts / volts_per_decade(25.0));
    }
    Some(sure)
}

/// What decides a floor.
#[derive(Debug, Clone, Copy)]
pub(super) enum Decider {
    /// A solid, by its formula.
    Solid(&'static str),
    /// A metal in the liquor.
    Metal(MetalInContact),
}

/// Sets the floor of a plan from the liquor with its dose in, and returns the equilibrium there; or
/// sets why there is none.
pub(super) fn set_floor(
    plan: &mut RecoveryPlan,
    situation: &Situation<'_>,
    silver: SilverRange,
    decider: Decider,
    dose: impl FnOnce(&mut Mixture),
    notes: &mut Notes,
) -> Option<Equilibrium> {
    match floor(plan, situation, silver, decider, dose) {
        Ok((floor, answer)) => {
            notes.method("/plan/equilibrium_floor", FLOOR);
            if let Ok(liquor) = situation.solved() {
                liquor.note("/plan/equilibrium_floor", notes);
            }
            plan.equilibrium_floor = Some(floor);
            Some(answer)
        }
        Err(why) => {
            plan.floor_unknown = Some(why);
            None
        }
    }
}

fn floor(
    plan: &RecoveryPlan,
    situation: &Situation<'_>,
    silver: SilverRange,
    decider: Decider,
    dose: impl FnOnce(&mut Mixture),
) -> Result<(EquilibriumFloor, Equilibrium), String> {
    let liquor = situation.solved()?;
    let mut mixture = liquor.stated.mixture.clone();
    dose(&mut mixture);
    let system = System::at_25_c();
    let mut nothing_down = None;
    let solid = match decider {
        Decider::Solid(formula) => {
            let mut none = mixture.clone();
            none.solids = SolidSet::NONE;
            let answer = system
                .solve_from(&none, Some(&liquor.equilibrium))
                .map_err(unsolved)?;
            let index = nothing_down.insert(answer).saturation_index_of(formula);
            index.map(|index| DecidingSolid {
                formula: formula.to_owned(),
                saturation_index: ComputedSaturationIndex::of(index),
            })
        }
        Decider::Metal(metal) => {
            mixture.metal = Some(metal);
            None
        }
    };
    let answer = system
        .solve_from(
            &mixture,
            nothing_down.as_ref().or(Some(&liquor.equilibrium)),
        )
        .map_err(unsolved)?;
    let sure = how_sure(situation, silver, liquor, &mixture, &answer).ok_or(
        "The floor was found, but not how sure it is, so it is not given: only the practical range stands.",
    )?;
    let factor = sure.factor_95().min(MOST_FACTOR);
    let residual = silver_mg_per_kg(&answer);
    let validity = validity(answer.ionic_strength);
    let predicted = if validity.level == ValidityLevel::StrongWarning
        || situation.batch.holds_thiosulfate()
    {
        let before = mixture.total_mol(Component::Silver) / mixture.water_kg;
        works(
            solid.as_ref(),
            answer.dissolved_silver() < TAKEN_OUT * before,
            factor,
        )
    } else {
        format!(
            "By the equilibrium alone {} would stay dissolved, within a factor of {} either way.",
            milligrams(residual),
            text::about(factor)
        )
    };
    let floor = EquilibriumFloor {
        residual_mg_per_l: ComputedMilligramsPerLitre::of(residual),
        factor_95: ComputedFactor::of(factor),
        model_error_factor: ComputedFactor::of(sure.model_factor),
        solid,
        ionic_strength_mol_per_kg: ComputedMolesPerKilogram::of(answer.ionic_strength),
        validity,
        assumed: liquor.assumed(),
        text: format!("{predicted} {}", in_practice(plan)),
    };
    Ok((floor, answer))
}

/// Works or does not work: all that a strong liquor lets one say. `taken_out` says whether the
/// silver leaves the solution.
fn works(solid: Option<&DecidingSolid>, taken_out: bool, factor: f64) -> String {
    let verdict = if taken_out {
        "By the equilibrium it works"
    } else {
        "By the equilibrium it does not work"
    };
    let why = match solid {
        Some(solid) => format!(
            "the saturation index of {} is {}, and it forms from 0 up",
            solid.formula,
            text::about(solid.saturation_index.get())
        ),
        None if taken_out => "the metal gives way to the silver".to_owned(),
        None => "the silver stays in solution".to_owned(),
    };
    format!(
        "{verdict}: {why}. The figure of the floor says no more than that: in so strong a liquid it may be off by a factor of {} either way.",
        text::about(factor)
    )
}

/// The practical residual beside the floor, and which of them counts.
fn in_practice(plan: &RecoveryPlan) -> String {
    plan.practical_residual.as_ref().map_or_else(
        || "In practice more stays, and no limit may rest on this figure.".to_owned(),
        |field| {
            format!(
                "In practice {} mg/L stays, fines and slow corners included, and that is the figure that counts. No limit and no drain may rest on either: only a laboratory says what is left.",
                text::span(field.low_mg_per_l.get(), field.high_mg_per_l.get())
            )
        },
    )
}

/// A residual in words.
pub(super) fn milligrams(mg_per_l: f64) -> String {
    if mg_per_l < PLAIN_MG_PER_L {
        "less than a thousandth of a milligram per litre".to_owned()
    } else {
        format!("{} mg/L", text::about(mg_per_l))
    }
}

/// A metal that takes the silver's place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Metal<'a> {
    /// The metal.
    pub metal: MetalInContact,
    /// Id of the substance that is put in.
    pub substance: &'a Identifier,
    /// Its name.
    pub name: &'a str,
    /// What shows the size of the matter, as a sentence; or empty.
    pub limit: &'a str,
}

/// Sets the floor of a metal, and the metal that goes into the liquor; `change` makes the liquor as
/// it is when the metal goes in.
pub(super) fn set_metal(
    plan: &mut RecoveryPlan,
    situation: &Situation<'_>,
    silver: SilverRange,
    metal: Metal<'_>,
    change: impl FnOnce(&mut Mixture),
    notes: &mut Notes,
) {
    let decider = Decider::Metal(metal.metal);
    let Some(answer) = set_floor(plan, situation, silver, decider, change, notes) else {
        return;
    };
    let end = CementationFloor::at(&answer, metal.metal);
    plan.metal_dissolved = Some(MetalDissolved {
        substance: metal.substance.clone(),
        dissolved_g: ComputedGrams::of(end.metal_dissolved_g),
        liquor_mg_per_l: ComputedMilligramsPerLitre::of(end.metal_mg_per_kg),
        text: format!(
            "The liquid then holds about {} mg/L {}, and more where acid or air dissolves it too.{} Sewer limits for it are local: ask before the first time.",
            text::about(end.metal_mg_per_kg),
            metal.name,
            metal.limit
        ),
    });
}
