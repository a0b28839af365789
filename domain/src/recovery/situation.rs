//! What a plan must know of a batch: which kind of liquid it is, its silver, its volume, its pH.

use super::chloride_precipitation::saturation_in_fixer;
use super::facts::{facts, ph_range};
use super::floor::SolvedLiquor;
use super::plan::{DecidingNumber, ProcessName};
use super::request::RecoveryOptions;
use crate::answer::Notes;
use crate::batch::{Batch, BatchKind, Craft};
use crate::estimate::Estimate;
use crate::procedure::Refusal;
use crate::quantity::{Computed, ComputedFactor};
use crate::substance::{Group, substance};
use crate::waste::contents::{Contents, ph_interval};
use std::cell::OnceCell;

/// A liquid as recovery sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Liquor {
    /// Silver nitrate in water: bath, drips.
    Nitrate,
    /// Dilute silver without fixer: rinse water, stop bath.
    Rinse,
    /// Run-off of an iron or pyro developer from plates: silver ions, and silver already reduced.
    PlateDeveloper,
    /// Thiosulfate.
    Fixer,
    /// Thiosulfate with an iron bleach.
    BleachFix,
    /// Developer of film and paper.
    FilmDeveloper,
    /// Not a liquid.
    Solid,
    /// A chemical that was never used.
    Unused,
}

impl Liquor {
    /// Whether the silver is there as free ions that salt throws down.
    pub const fn has_free_silver(self) -> bool {
        matches!(self, Self::Nitrate | Self::Rinse | Self::PlateDeveloper)
    }

    /// Whether thiosulfate holds the silver.
    pub const fn is_fixer(self) -> bool {
        matches!(self, Self::Fixer | Self::BleachFix)
    }
}

/// Silver in the batch with its 95 % interval, grams.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SilverRange {
    pub figure_g: f64,
    pub lower_g: f64,
    pub upper_g: f64,
}

/// A batch with what a plan must know of it.
pub(super) struct Situation<'a> {
    pub batch: &'a Batch,
    pub contents: &'a Contents,
    pub at: &'a str,
    pub options: &'a RecoveryOptions<'a>,
    pub liquor: Liquor,
    pub silver: Option<SilverRange>,
    pub volume_l: Option<f64>,
    pub scale_step_g: f64,
    solved: OnceCell<Result<SolvedLiquor, String>>,
    chloride_saturation: OnceCell<Option<f64>>,
}

/// Why a way of recovery does not apply.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Unfit {
    pub reason: String,
    pub number: Option<DecidingNumber>,
    pub source: &'static str,
    /// Whether the solved liquor decided it, so that what was taken for granted of it is to be told.
    pub solved: bool,
}

impl Unfit {
    pub fn new(source: &'static str, reason: impl Into<String>) -> Self {
        Self {
            reason: reason.into(),
            number: None,
            source,
            solved: false,
        }
    }

    pub fn by_equilibrium(mut self) -> Self {
        self.solved = true;
        self
    }

    pub fn with_number(
        mut self,
        what: &str,
        found: f64,
        limit: Option<f64>,
        unit: &'static str,
    ) -> Self {
        self.number = Some(DecidingNumber {
            what: what.to_owned(),
            found: ComputedFactor::of(found),
            limit: limit.map(Computed::of),
            unit,
        });
        self
    }
}

impl<'a> Situation<'a> {
    /// Gathers what is known. The volume is the batch's own, or what the estimate or a mass implies.
    pub fn new(
        (batch, contents): (&'a Batch, &'a Contents),
        estimate: &Estimate,
        options: &'a RecoveryOptions<'a>,
        at: &'a str,
        liquor: Liquor,
        notes: &mut Notes,
    ) -> Self {
        let silver = estimate
            .figure()
            .zip(estimate.upper_g())
            .map(|((figure_g, _), upper_g)| SilverRange {
                figure_g,
                lower_g: estimate.lower_g().unwrap_or_default().max(0.0),
                upper_g,
            });
        let stated_step = batch
            .scale_resolution_g
            .map(|s| s.as_f64())
            .filter(|s| *s > 0.0);
        let planning = &facts().planning;
        let scale_step_g = stated_step.unwrap_or_else(|| {
            notes.assume(
                "",
                format!("{at}/scale_resolution_g"),
                planning.source.as_str(),
                "A kitchen scale that shows whole grams: amounts are rounded up to what it can weigh.",
            );
            planning.scale_step_g
        });
        if let Some(ph) = &batch.ph
            && ph.standard_uncertainty().is_none()
        {
            notes.assume(
                "",
                format!("{at}/ph"),
                "common_practice",
                "The pH was given as one figure: taken as read from paper, half a unit either way.",
            );
        }
        Self {
            batch,
            contents,
            at,
            options,
            liquor,
            silver,
            volume_l: volume_l(batch, estimate),
            scale_step_g,
            solved: OnceCell::new(),
            chloride_saturation: OnceCell::new(),
        }
    }

    /// The liquid solved as it stands, once for all ways of recovery; or why it cannot be.
    pub fn solved(&self) -> Result<&SolvedLiquor, &str> {
        self.solved
            .get_or_init(|| SolvedLiquor::new(self))
            .as_ref()
            .map_err(String::as_str)
    }

    /// The saturation index of silver chloride were the fixer salted, worked out once for all ways
    /// of recovery that begin with salt.
    pub fn chloride_saturation(&self) -> Option<f64> {
        *self
            .chloride_saturation
            .get_or_init(|| saturation_in_fixer(self))
    }

    /// Silver per litre, where both are known.
    pub fn silver_g_per_l(&self) -> Option<f64> {
        Some(self.silver?.figure_g / self.volume_l?)
    }

    /// Greatest silver per litre within the 95 % interval.
    pub fn highest_silver_g_per_l(&self) -> Option<f64> {
        Some(self.silver?.upper_g / self.volume_l?)
    }

    /// Whether alcohol or ether is stated, or to be expected of plates.
    pub fn may_hold_solvent(&self) -> bool {
        self.batch.states(Group::Alcohol)
            || self.batch.states(Group::Ether)
            || (self.batch.craft == Some(Craft::Collodion) && self.liquor.has_free_silver())
    }

    /// The least pH that the reading allows.
    pub fn lowest_ph(&self) -> Option<f64> {
        let (low, _) = ph_interval(self.batch)?;
        // One thousandth of a unit absorbs the rounding of the half-width.
        Some((low * 1000.0).round() / 1000.0)
    }

    /// Greatest concentration stated for a strong acid, mol/L.
    fn stated_strong_acid_mol_per_l(&self) -> Option<f64> {
        self.batch
            .composition
            .iter()
            .filter_map(|part| {
                let acid = substance(&part.substance).filter(|s| s.is(Group::StrongAcid))?;
                part.mol_per_l.map(|c| c.as_f64()).or_else(|| {
                    let molar = acid.molar_mass()?;
                    Some(part.g_per_l?.as_f64() / molar)
                })
            })
            .reduce(f64::max)
    }

    /// Why the liquid is too acid for `process`, if it is.
    pub fn too_acid(&self, process: ProcessName, outcome: &str) -> Result<(), Unfit> {
        let planning = &facts().planning;
        if let (Some(range), Some(ph)) = (ph_range(process), self.lowest_ph())
            && ph < range.low
        {
            return Err(Unfit::new(
                range.source.as_str(),
                format!(
                    "The liquid is too acid: pH {} where at least {} is needed. {outcome}",
                    short(ph),
                    short(range.low)
                ),
            )
            .with_number("pH", ph, Some(range.low), ""));
        }
        if let Some(acid) = self.stated_strong_acid_mol_per_l()
            && acid >= planning.strong_acid_limit_mol_per_l
        {
            return Err(Unfit::new(
                planning.source.as_str(),
                format!(
                    "The liquid is too acid: {} mol/L of strong acid where less than {} is needed. {outcome}",
                    short(acid),
                    short(planning.strong_acid_limit_mol_per_l)
                ),
            )
            .with_number(
                "strong acid",
                acid,
                Some(planning.strong_acid_limit_mol_per_l),
                "mol/L",
            ));
        }
        Ok(())
    }
}

/// Four significant digits, for a sentence.
pub(super) fn short(value: f64) -> String {
    crate::quantity::write_significant(value, 4)
}

fn volume_l(batch: &Batch, estimate: &Estimate) -> Option<f64> {
    let positive = |v: f64| (v > 0.0 && v.is_finite()).then_some(v);
    let stated = batch.volume_l.map(|v| v.as_f64());
    let implied = || {
        let silver = estimate.silver_g?.get();
        Some(silver / estimate.silver_g_per_l?.get())
    };
    let weighed = || {
        let mass = batch.mass_kg?.as_f64();
        Some(mass / batch.density_g_per_ml?.as_f64())
    };
    stated
        .and_then(positive)
        .or_else(|| implied().and_then(positive))
        .or_else(|| weighed().and_then(positive))
}

/// Which kind of liquid a batch is, or the refusal where no way of recovery may be offered. The rules
/// of acts have been asked already: cyanide, explosive salts and toxic metals do not come this far.
pub(super) fn classify(batch: &Batch) -> Result<Liquor, Refusal> {
    if let Some(refusal) = unknown_contents(batch).or_else(|| separate_jug(batch)) {
        return Err(refusal);
    }
    Ok(match batch.kind {
        BatchKind::CollodionOrSolvent => return Err(solvent_refusal()),
        BatchKind::Toner | BatchKind::IntensifierOrReducer => return Err(toner_refusal()),
        BatchKind::UnusedChemical => Liquor::Unused,
        BatchKind::BleachFix => Liquor::BleachFix,
        kind if !kind.is_liquid() => Liquor::Solid,
        _ if batch.holds_thiosulfate() => Liquor::Fixer,
        BatchKind::SensitizingBath | BatchKind::Drip => Liquor::Nitrate,
        BatchKind::Developer if is_plate_developer(batch) => Liquor::PlateDeveloper,
        BatchKind::Developer => Liquor::FilmDeveloper,
        _ => Liquor::Rinse,
    })
}

fn is_plate_developer(batch: &Batch) -> bool {
    batch.states(Group::IronTwo)
        || matches!(
            batch.craft,
            Some(Craft::Collodion | Craft::SaltedPaper | Craft::AlbumenPaper)
        )
}

fn words(lines: &[&str]) -> Vec<String> {
    lines.iter().map(|l| (*l).to_owned()).collect()
}

fn solvent_refusal() -> Refusal {
    Refusal {
        reason: "Collodion, ether and alcohol burn and their vapour travels: there is no way of recovery for them here.".to_owned(),
        never: words(&[
            "No current, no heat, no flame, no strong acid.",
            "Never let collodion dry out: the skin burns like gun cotton.",
        ]),
        instead: words(&["Keep it closed, cool, away from flames, and label it flammable."]),
        call: words(&["Your waste authority or a licensed contractor for flammable liquids."]),
    }
}

fn toner_refusal() -> Refusal {
    Refusal {
        reason: "Toners, intensifiers and reducers hold other poisons beside the silver, or make poison gas with what recovery adds: there is no way of recovery for them here.".to_owned(),
        never: words(&[
            "No acid: selenium and sulfide toners give off poison gas with it.",
            "Do not pour it into a jug of fixer or bath.",
        ]),
        instead: words(&["Keep it in a jug of its own, labelled with everything that is in it."]),
        call: words(&["Your waste authority or a licensed contractor. For gold, ask a refiner first."]),
    }
}

/// A substance that we do not know is not known to be safe with anything.
fn unknown_contents(batch: &Batch) -> Option<Refusal> {
    let unknown: Vec<String> = batch
        .composition
        .iter()
        .filter(|part| substance(&part.substance).is_none())
        .map(|part| format!("`{}`", part.substance))
        .collect();
    if unknown.is_empty() {
        return None;
    }
    Some(Refusal {
        reason: format!(
            "It holds {}, which we do not know: no way of recovery is known to be safe for it, and no carrier takes an unknown liquid.",
            unknown.join(", ")
        ),
        never: words(&["Add nothing to it, and do not mix it with another jug."]),
        instead: words(&[
            "Find out what it is, state it under the name that we use, and ask again.",
        ]),
        call: words(&[
            "Your waste authority or a licensed contractor, with all that you know of it.",
        ]),
    })
}

/// What belongs in a jug of its own beside what the rules of acts refuse already.
fn separate_jug(batch: &Batch) -> Option<Refusal> {
    const ALONE: [Group; 6] = [
        Group::Gold,
        Group::Ferricyanide,
        Group::Hypochlorite,
        Group::Permanganate,
        Group::Persulfate,
        Group::Peroxide,
    ];
    let found: Vec<&str> = ALONE
        .iter()
        .filter(|group| batch.states(**group))
        .map(|group| group.words())
        .collect();
    if found.is_empty() {
        return None;
    }
    let gold = batch.states(Group::Gold);
    Some(Refusal {
        reason: format!(
            "It holds {}: such a liquid stays in a jug of its own, and there is no way of recovery for it here.",
            found.join(", ")
        ),
        never: words(&["Do not mix it with bath, fixer or any other jug, and add nothing to it."]),
        instead: words(&[
            "Keep it closed and labelled with everything that is in it, for collection.",
        ]),
        call: words(&[if gold {
            "Ask a refiner, who may want the gold; else a licensed contractor."
        } else {
            "Your waste authority or a licensed contractor."
        }]),
    })
}
