//! The bath as a mixture for the solver, a litre at a time: its pH, the acid and the bicarbonate
//! for a pH, and what ammonia does to its silver.

use super::facts::{facts, number};
use super::request::BathAcid;
use crate::chemistry::dosing::dose_curve;
use crate::chemistry::neutralization::{Base, base_for_ph};
use crate::chemistry::prediction;
use crate::chemistry::reagent::Reagent;
use crate::chemistry::solver::{Equilibrium, EquilibriumError, Figure};
use crate::chemistry::species::Component;
use crate::chemistry::system::{CarbonDioxide, Mixture, SolidSet, System};

/// Most acid that a search goes to, mol/L.
const MOST_ACID: f64 = 4.0;
/// Most base that a search for a reading above the pH of the plain bath goes to, mol/L.
const MOST_BASE: f64 = 0.05;

/// What a litre of bath holds, mol, its acid not counted.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Bath {
    pub silver: f64,
    pub ammonium: f64,
    pub potassium: f64,
    /// Nitrates of other metals, as nitrate.
    pub other_nitrate: f64,
    /// Acetic acid and acetates that were stated.
    pub acetic_acid: f64,
    pub acetate: f64,
}

impl Bath {
    /// A litre of it in the open air, taken to hold a kilogram of water, before anything falls out.
    pub fn mixture(&self) -> Mixture {
        let mut m = Mixture::new(1.0);
        m.solids = SolidSet::NONE;
        m.carbon_dioxide = CarbonDioxide::OpenToAir;
        m.add_component(Component::Silver, self.silver);
        m.add_component(Component::Ammonia, self.ammonium);
        m.add_component(Component::Hydrogen, self.ammonium + self.acetic_acid);
        m.add_component(Component::Potassium, self.potassium);
        m.add_component(Component::Sodium, self.other_nitrate + self.acetate);
        m.add_component(Component::Acetate, self.acetic_acid + self.acetate);
        m.add_component(
            Component::Nitrate,
            self.silver + self.ammonium + self.potassium + self.other_nitrate,
        );
        m
    }
}

/// Adds so much acid, mol; a negative amount is sodium hydroxide.
pub(super) fn acidify(mixture: &mut Mixture, acid: BathAcid, amount: f64) {
    mixture.add_component(Component::Hydrogen, amount);
    let anion = match acid {
        _ if amount < 0.0 => return mixture.add_component(Component::Sodium, -amount),
        BathAcid::NitricAcid => Component::Nitrate,
        BathAcid::AceticAcid => Component::Acetate,
    };
    mixture.add_component(anion, amount);
}

fn with_acid(mixture: &Mixture, acid: BathAcid, amount: f64) -> Mixture {
    let mut out = mixture.clone();
    acidify(&mut out, acid, amount);
    out
}

/// Why a pH was not reached.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Unreached {
    /// No proved equilibrium.
    Equilibrium(EquilibriumError),
    /// Not with any sensible amount of this acid.
    OutOfReach,
}

impl From<EquilibriumError> for Unreached {
    fn from(error: EquilibriumError) -> Self {
        Self::Equilibrium(error)
    }
}

/// Where a falling or rising `f` is zero between two ends: false position with the stale end halved
/// (Illinois), to 1e-10 of the ends' distance.
fn zero<E>(
    (mut a, mut b): (f64, f64),
    (mut fa, mut fb): (f64, f64),
    mut f: impl FnMut(f64) -> Result<f64, E>,
) -> Result<f64, E> {
    let width = (b - a).abs();
    let mut side = 0i8;
    for _ in 0..100 {
        if (b - a).abs() <= 1e-10 * width || fa == fb {
            break;
        }
        let x = (a * fb - b * fa) / (fb - fa);
        let fx = f(x)?;
        if fx.abs() < 1e-10 {
            return Ok(x);
        }
        if (fx > 0.0) == (fb > 0.0) {
            b = x;
            fb = fx;
            if side == 1 {
                fa *= 0.5;
            }
            side = 1;
        } else {
            a = x;
            fa = fx;
            if side == -1 {
                fb *= 0.5;
            }
            side = -1;
        }
    }
    Ok(0.5 * (a + b))
}

/// The acid, mol, that brings a litre to a pH; negative where base would be needed.
pub(super) fn acid_to(mixture: &Mixture, acid: BathAcid, ph: f64) -> Result<f64, Unreached> {
    let system = System::at_25_c();
    let off = |amount: f64| -> Result<f64, Unreached> {
        Ok(system.solve(&with_acid(mixture, acid, amount))?.ph() - ph)
    };
    let plain = off(0.0)?;
    if plain == 0.0 {
        return Ok(0.0);
    }
    if plain < 0.0 {
        let most = off(-MOST_BASE)?;
        if most < 0.0 {
            return Err(Unreached::OutOfReach);
        }
        return zero((0.0, -MOST_BASE), (plain, most), off);
    }
    // pH falls almost straight with the logarithm of the acid.
    let (mut low, mut at_low) = (1e-9f64, off(1e-9)?);
    if at_low <= 0.0 {
        return zero((0.0, low), (plain, at_low), off);
    }
    while low < MOST_ACID {
        let high = low * 10.0;
        let at_high = off(high.min(MOST_ACID))?;
        if at_high <= 0.0 {
            let ends = (low.ln(), high.min(MOST_ACID).ln());
            return zero(ends, (at_low, at_high), |ln| off(ln.exp())).map(f64::exp);
        }
        (low, at_low) = (high, at_high);
    }
    Err(Unreached::OutOfReach)
}

/// pH of a litre with so much acid, with how far off the constants and the model may have it.
pub(super) fn ph_and_spread(mixture: &Mixture) -> Result<(f64, f64), EquilibriumError> {
    let system = System::at_25_c();
    let answer = system.solve(mixture)?;
    Ok((answer.ph(), factor_95(mixture, &answer).log10()))
}

/// The factor of a predicted amount of acid: that of the hydrogen ion.
pub(super) fn factor_95(mixture: &Mixture, answer: &Equilibrium) -> f64 {
    prediction::uncertainty(System::at_25_c(), mixture, answer, Figure::Ph, &[]).map_or_else(
        || prediction::model_error_factor(answer.ionic_strength),
        |u| u.factor_95(),
    )
}

/// Bicarbonate for a litre.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bicarbonate {
    pub mol: f64,
    pub end_ph: f64,
    pub stopped: bool,
}

/// How far a litre is past the point where silver carbonate or oxide lasts, as a saturation index.
fn haze(answer: &Equilibrium) -> f64 {
    ["Ag2CO3", "Ag2O"]
        .iter()
        .filter_map(|s| answer.saturation_index_of(s))
        .fold(f64::NEG_INFINITY, f64::max)
}

/// The bicarbonate that brings a litre, in open air, to the pH that sunning would like, or to the
/// first haze of silver carbonate that lasts, whichever comes first. `None` where the bath is there
/// already.
pub(super) fn bicarbonate_for_sunning(mixture: &Mixture) -> Result<Option<Bicarbonate>, Unreached> {
    let system = System::at_25_c();
    let Some(reagent) = Base::SodiumBicarbonate.reagent() else {
        return Err(Unreached::OutOfReach);
    };
    let target = number(&facts().sunned_to_ph);
    let start = system.solve(mixture)?;
    if start.ph() >= target || haze(&start) >= 0.0 {
        return Ok(None);
    }
    let dose = base_for_ph(system, mixture, reagent, target).map_err(|_| Unreached::OutOfReach)?;
    if haze(&dose.equilibrium) < 0.0 {
        return Ok(Some(Bicarbonate {
            mol: dose.base_mol,
            end_ph: target,
            stopped: false,
        }));
    }
    let at = |mol: f64| -> Result<Equilibrium, EquilibriumError> {
        let mut m = mixture.clone();
        m.add(reagent, mol);
        system.solve(&m)
    };
    let ends = (0.0, dose.base_mol);
    let mol = zero(ends, (haze(&start), haze(&dose.equilibrium)), |mol| {
        Ok::<f64, EquilibriumError>(haze(&at(mol)?))
    })?;
    Ok(Some(Bicarbonate {
        mol,
        end_ph: at(mol)?.ph(),
        stopped: true,
    }))
}

/// The way of the bicarbonate with everything allowed to fall out: dose, pH, silver fallen out, mol.
pub(super) fn bicarbonate_path(
    mixture: &Mixture,
    doses: &[f64],
) -> Result<Vec<(f64, f64, f64)>, EquilibriumError> {
    let mut all = mixture.clone();
    all.solids = SolidSet::all();
    let Some(reagent) = Base::SodiumBicarbonate.reagent() else {
        return Ok(Vec::new());
    };
    Ok(dose_curve(System::at_25_c(), &all, reagent, doses)?
        .iter()
        .map(|p| (p.dose_mol, p.ph, p.silver_in_solids_mol))
        .collect())
}

/// A litre with bicarbonate in it.
pub(super) fn with_bicarbonate(mixture: &Mixture, mol: f64) -> Mixture {
    let mut out = mixture.clone();
    if let Some(reagent) = Base::SodiumBicarbonate.reagent() {
        out.add(reagent, mol);
    }
    out
}

/// The same litre in another volume, with so much silver nitrate added: `factor` is the old volume
/// over the new one.
pub(super) fn made_up(mixture: &Mixture, factor: f64, silver_nitrate: f64) -> Mixture {
    let mut out = mixture.clone();
    for total in &mut out.totals_mol {
        *total *= factor;
    }
    out.reagent_water_mol *= factor;
    if let Ok(reagent) = Reagent::parse("AgNO3") {
        out.add(&reagent, silver_nitrate);
    }
    out
}

/// Silver that ammonia holds in solution, mol per kg of water.
fn ammines(answer: &Equilibrium) -> f64 {
    answer.molality_of("AgNH3+") + answer.molality_of("Ag(NH3)2+")
}

/// The pH above which ammonia holds more silver in solution than the limit; `None` where there is
/// too little ammonium for that.
pub(super) fn ammonia_ceiling(bath: &Bath) -> Result<Option<f64>, EquilibriumError> {
    let system = System::at_25_c();
    let limit = number(&facts().silver_ammine_most_mol_per_kg);
    if bath.ammonium <= limit {
        return Ok(None);
    }
    let plain = bath.mixture();
    let at = |acid: f64| system.solve(&with_acid(&plain, BathAcid::NitricAcid, acid));
    let over = |acid: f64| -> Result<f64, EquilibriumError> {
        Ok((ammines(&at(acid)?).max(1e-30) / limit).ln())
    };
    let (acid, alkaline) = (0.1, -(bath.ammonium + MOST_BASE));
    let ends = (over(acid)?, over(alkaline)?);
    if ends.1 <= 0.0 {
        return Ok(None);
    }
    if ends.0 >= 0.0 {
        return Ok(Some(at(acid)?.ph()));
    }
    // Halving: the curve is flat at the acid end and steep beside neutral.
    let (mut low, mut high) = (alkaline, acid);
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if over(middle)? > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(Some(at(high)?.ph()))
}

/// pH of a bath of so much silver nitrate and acid, mol/L, by the equilibrium solver at 25 °C; a
/// litre is taken to hold a kilogram of water.
///
/// # Errors
/// A bath too strong for the activity model, or without a proved equilibrium.
///
/// ```
/// use spent_silver_domain::bath_care::{BathAcid, ph_of_bath};
/// // 0.53 mol/L (9 % w/v) with 0.01 mol/L of nitric acid: pH 2.14.
/// let ph = ph_of_bath(0.53, BathAcid::NitricAcid, 0.01).unwrap();
/// assert!((ph - 2.1357).abs() < 1e-3);
/// ```
pub fn ph_of_bath(
    silver_nitrate_mol_per_l: f64,
    acid: BathAcid,
    acid_mol_per_l: f64,
) -> Result<f64, EquilibriumError> {
    let bath = Bath {
        silver: silver_nitrate_mol_per_l,
        ..Bath::default()
    };
    let mixture = with_acid(&bath.mixture(), acid, acid_mol_per_l);
    Ok(System::at_25_c().solve(&mixture)?.ph())
}

/// The acid, mol/L, that a bath of so much silver nitrate holds at a pH; `None` where no sensible
/// amount of it gives that pH, or none is needed.
///
/// ```
/// use spent_silver_domain::bath_care::{BathAcid, acid_for_ph, ph_of_bath};
/// let acid = acid_for_ph(0.53, BathAcid::AceticAcid, 4.0).unwrap();
/// assert!((ph_of_bath(0.53, BathAcid::AceticAcid, acid).unwrap() - 4.0).abs() < 1e-6);
/// ```
#[must_use]
pub fn acid_for_ph(silver_nitrate_mol_per_l: f64, acid: BathAcid, ph: f64) -> Option<f64> {
    let bath = Bath {
        silver: silver_nitrate_mol_per_l,
        ..Bath::default()
    };
    acid_to(&bath.mixture(), acid, ph).ok().filter(|x| *x > 0.0)
}
