//! The pH of a liquor with a dose, and the dose for a pH, acids outside the tables included.

use super::data::OtherAcid;
use super::liquor::{Kind, Liquor};
use crate::chemistry::dosing::DoseError;
use crate::chemistry::neutralization::{Base, base_for_ph};
use crate::chemistry::prediction;
use crate::chemistry::reagent::Reagent;
use crate::chemistry::solver::{Equilibrium, EquilibriumError, Figure};
use crate::chemistry::system::{CarbonDioxide, Mixture, SolidSet, System};
use crate::statistics::Uncertain;
use std::sync::LazyLock;

static STRONG_ACID: LazyLock<Option<Reagent>> = LazyLock::new(|| Reagent::parse("HNO3").ok());

/// A liquor to which a base is added.
///
/// An acid outside the tables stands in the mixture as so much strong acid as it has given up
/// protons at the pH of the answer.
pub(super) struct Titration {
    system: &'static System,
    mixture: Mixture,
    others: Vec<(f64, &'static OtherAcid)>,
    base: &'static Reagent,
}

/// The liquor at one dose.
#[derive(Clone)]
pub(super) struct Point {
    pub ph: f64,
    pub equilibrium: Equilibrium,
}

impl Point {
    /// Where to begin beyond this point, as far as `share` of the way from `before` to this one.
    pub fn beyond(&self, before: &Self, share: f64) -> Self {
        Self {
            ph: self.ph,
            equilibrium: self.equilibrium.beyond(&before.equilibrium, share),
        }
    }
}

/// The dose for a pH.
pub(super) struct Dose {
    /// The liquor before it.
    pub start: Point,
    pub mol: f64,
    pub equilibrium: Equilibrium,
    /// The mixture that was solved.
    mixture: Mixture,
}

impl Dose {
    /// The liquor with it.
    pub fn end(&self) -> Point {
        Point {
            ph: self.equilibrium.ph(),
            equilibrium: self.equilibrium.clone(),
        }
    }
}

impl Titration {
    /// The liquor in `volume_l`, a litre taken as a kilogram of water.
    pub fn new(liquor: &Liquor, volume_l: f64, base: Base, gas: CarbonDioxide) -> Option<Self> {
        let mut mixture = Mixture::new(volume_l);
        mixture.carbon_dioxide = gas;
        mixture.solids = SolidSet::NONE;
        let mut others = Vec::new();
        for held in &liquor.held {
            let mol = held.concentration.value() * volume_l;
            match held.kind {
                Kind::Solved(reagent) => mixture.add(reagent, mol),
                Kind::Other(brings) => {
                    mixture.add(
                        Base::SodiumHydroxide.reagent()?,
                        brings.hydroxide_count * mol,
                    );
                    others.push((brings.acid_count * mol, brings.acid()?));
                }
            }
        }
        Some(Self {
            system: System::at_25_c(),
            mixture,
            others,
            base: base.reagent()?,
        })
    }

    /// Protons that the acids outside the tables have given up, mol.
    fn given_up(&self, ph: f64, ionic_strength: f64) -> f64 {
        let water = self.mixture.water_kg;
        self.others
            .iter()
            .map(|(mol, acid)| mol * acid.charge(mol / water, ph, ionic_strength))
            .sum()
    }

    /// The mixture with a dose and so much strong acid.
    fn with(&self, dose_mol: f64, strong_mol: f64) -> Mixture {
        let mut mixture = self.mixture.clone();
        mixture.add(self.base, dose_mol);
        if let Some(acid) = STRONG_ACID.as_ref().filter(|_| strong_mol > 0.0) {
            mixture.add(acid, strong_mol);
        }
        mixture
    }

    /// The liquor with a dose and so much strong acid, solved from one that is near.
    fn solve(
        &self,
        dose_mol: f64,
        strong_mol: f64,
        near: Option<&Equilibrium>,
    ) -> Result<Equilibrium, EquilibriumError> {
        self.system
            .solve_from(&self.with(dose_mol, strong_mol), near)
    }

    /// The liquor with a dose, from a point that is near.
    ///
    /// With acids outside the tables, the pH is sought at which they give up what that pH takes:
    /// the solved pH falls as the assumed one rises, so that there is one. It is the assumed pH
    /// that answers, for the solved one hangs on the small difference of acid and base.
    pub fn at(&self, dose_mol: f64, near: Option<&Point>) -> Result<Point, EquilibriumError> {
        const MOST_ROUNDS: usize = 30;
        if self.others.is_empty() {
            let equilibrium = self.solve(dose_mol, 0.0, near.map(|n| &n.equilibrium))?;
            return Ok(Point {
                ph: equilibrium.ph(),
                equilibrium,
            });
        }
        // The ionic strength at which the acids give up their protons is that of the answer.
        let mut ionic_strength = near.map_or(0.05, |n| n.equilibrium.ionic_strength);
        let mut point = self.at_ionic_strength(dose_mol, ionic_strength, 0.3, near)?;
        for _ in 0..MOST_ROUNDS {
            let now = point.equilibrium.ionic_strength;
            if (now - ionic_strength).abs() <= 1e-7 * now {
                break;
            }
            ionic_strength = now;
            point = self.at_ionic_strength(dose_mol, ionic_strength, 1e-3, Some(&point))?;
        }
        Ok(point)
    }

    /// The same while the acids outside the tables see a given ionic strength; `step` is how far
    /// from the near pH the answer may well be.
    fn at_ionic_strength(
        &self,
        dose_mol: f64,
        ionic_strength: f64,
        step: f64,
        near: Option<&Point>,
    ) -> Result<Point, EquilibriumError> {
        const MOST_ROUNDS: usize = 100;
        const CLOSE: f64 = 1e-8;
        // The excess of hydroxide over acid is the charge that is out of balance.
        let excess = |ph: f64| 10f64.powf(ph - 14.0) - 10f64.powf(-ph);
        let mut ph = near.map_or(3.0, |n| n.ph);
        let mut equilibrium = self.solve(
            dose_mol,
            self.given_up(ph, ionic_strength),
            near.map(|n| &n.equilibrium),
        )?;
        let (mut low, mut high) = (-2.0, 16.0);
        let mut before: Option<(f64, f64)> = None;
        let mut width = high - low;
        for round in 0..MOST_ROUNDS {
            let off = excess(equilibrium.ph()) - excess(ph);
            if off > 0.0 {
                low = ph;
            } else {
                high = ph;
            }
            let secant = match before {
                Some((x, f)) if off != f => ph - off * (ph - x) / (off - f),
                _ => ph + step.copysign(off),
            };
            let creeps = round % 4 == 3 && high - low > 0.5 * width;
            if round % 4 == 3 {
                width = high - low;
            }
            before = Some((ph, off));
            let next = if !creeps && secant > low && secant < high {
                secant
            } else {
                0.5 * (low + high)
            };
            if (next - ph).abs() < CLOSE || high - low < CLOSE {
                break;
            }
            ph = next;
            equilibrium = self.solve(
                dose_mol,
                self.given_up(ph, ionic_strength),
                Some(&equilibrium),
            )?;
        }
        Ok(Point { ph, equilibrium })
    }

    /// The dose that brings the liquor to a pH.
    pub fn dose_for(&self, target_ph: f64) -> Result<Dose, DoseError> {
        // A strong liquor of a weak acid closes in slowly: by half a round.
        const MOST_ROUNDS: usize = 60;
        let mut strong_mol = 0.0;
        let mut known_start = None;
        if !self.others.is_empty() {
            let start = self.at(0.0, None)?;
            if start.ph >= target_ph {
                return Err(DoseError::OutOfReach { nearest: start.ph });
            }
            known_start = Some(start);
            strong_mol = self.given_up(target_ph, 0.1);
        }
        let mut found = None;
        for _ in 0..MOST_ROUNDS {
            let liquor = self.with(0.0, strong_mol);
            let dose = base_for_ph(self.system, &liquor, self.base, target_ph)?;
            let next = self.given_up(target_ph, dose.equilibrium.ionic_strength);
            let settled = (next - strong_mol).abs() <= 1e-8 * strong_mol;
            // The strong acid that stands for the others is that of the target, not of the start.
            let start = known_start.clone().unwrap_or_else(|| Point {
                ph: dose.start.ph(),
                equilibrium: dose.start,
            });
            found = Some(Dose {
                start,
                mol: dose.base_mol,
                equilibrium: dose.equilibrium,
                mixture: self.with(dose.base_mol, strong_mol),
            });
            if settled {
                break;
            }
            strong_mol = next;
        }
        found.ok_or(DoseError::OutOfReach { nearest: target_ph })
    }

    /// The dose with its uncertainty from the amounts, the volume, the constants and the model, mol.
    ///
    /// At a fixed pH, d dose / d x = -(d pH / d x) / (d pH / d dose), from the solver's derivatives.
    /// The second figure is the standard uncertainty from the constants and the model alone.
    pub fn uncertain(
        &self,
        dose: &Dose,
        target_ph: f64,
        liquor: &Liquor,
        volume: &Uncertain,
    ) -> Option<(Uncertain, f64)> {
        let at = &dose.equilibrium;
        let derivatives = self.system.sensitivities(&dose.mixture, at, Figure::Ph)?;
        let by_total = derivatives.by_total_mol;
        let of = |reagent: &Reagent| -> f64 {
            reagent
                .components
                .iter()
                .zip(by_total)
                .map(|(nu, d)| f64::from(*nu) * d)
                .sum()
        };
        let by_dose = of(self.base);
        if by_dose.is_nan() || by_dose <= 0.0 {
            return None;
        }
        let strong = STRONG_ACID.as_ref()?;
        let lye = Base::SodiumHydroxide.reagent()?;
        let water = self.mixture.water_kg;
        let mut per_litre = Uncertain::exact(dose.mol / volume.value());
        let (mut by_pk, mut by_ph) = (0.0, 1.0 / by_dose);
        for held in &liquor.held {
            let by_amount = match held.kind {
                Kind::Solved(reagent) => of(reagent),
                Kind::Other(brings) => {
                    let acid = brings.acid()?;
                    let mol = brings.acid_count * held.concentration.value() * volume.value();
                    let charge = |ph: f64| acid.charge(mol / water, ph, at.ionic_strength);
                    let u = acid.standard_uncertainty;
                    let change = mol * (charge(target_ph) - charge(target_ph - u)) * of(strong);
                    by_pk += change / by_dose;
                    by_ph -= change / by_dose / u;
                    brings.acid_count * charge(target_ph) * of(strong)
                        + brings.hydroxide_count * of(lye)
                }
            };
            per_litre = per_litre.plus(&held.concentration.mapped(0.0, -by_amount / by_dose));
        }
        let known = prediction::uncertainty_by(&derivatives, at, &[]);
        let model = known.model_factor.log10() / 1.96;
        let constants = (known.standard / by_dose).hypot(model * by_ph).hypot(by_pk);
        Some((per_litre.times(volume), constants))
    }
}
