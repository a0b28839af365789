//! One container as the book knows it: what is in it, and how much silver.

use super::amounts::{fraction, in_kilograms, of, part_mass, part_volume, split, summed};
use super::entry::Part;
use crate::answer::Notes;
use crate::batch::{Batch, BatchStatus, Component, MixedIn};
use crate::estimate::{Evidence, HOUSEHOLD_SCALE, JUG_MARK, MOST_EVIDENCE, Stated, estimate_batch};
use crate::fault::{Fault, FaultKind, Faults};
use crate::quantity::{
    Computed, Date, Exact, Gram, Measured, MeasuredGrams, MeasuredGramsPerLitre, MeasuredKilograms,
    MeasuredLitres, MeasuredMilligramsPerLitre, Text, nearest_double, write_decimal,
};
use crate::waste::contents::component_g_per_l;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// Places of a gram that a share of silver is rounded to; what one side gains the other loses.
pub(super) const PLACES: u32 = 9;

/// Silver in grams, exact, with the variance of what is known of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Level {
    #[serde(with = "rust_decimal::serde::str")]
    pub grams: Decimal,
    pub variance: f64,
}

impl Level {
    pub const NONE: Self = Self {
        grams: Decimal::ZERO,
        variance: 0.0,
    };

    /// A computed figure with its standard uncertainty.
    pub fn of((value, uncertainty): (f64, f64)) -> Self {
        let grams = Computed::<Gram>::of(value).to_decimal();
        Self {
            grams: grams.unwrap_or_default().round_dp(PLACES),
            variance: uncertainty * uncertainty,
        }
    }

    pub fn plus(self, other: Self) -> Self {
        Self {
            grams: self.grams.saturating_add(other.grams),
            variance: self.variance + other.variance,
        }
    }

    pub fn less(self, other: Self) -> Self {
        Self {
            grams: self.grams.saturating_sub(other.grams),
            variance: self.variance + other.variance,
        }
    }

    pub fn value(self) -> f64 {
        nearest_double(self.grams)
    }

    pub fn uncertainty(self) -> f64 {
        self.variance.sqrt()
    }
}

/// A container in the book.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Holding {
    /// The container; its evidence stands apart.
    batch: Batch,
    /// Silver when its content last changed; `None` where that is unknown.
    base: Option<Level>,
    /// What was read since.
    fresh: Vec<Evidence>,
    /// Whether nothing is in it.
    empty: bool,
    /// The day it was taken into the book.
    pub opened_on: Date,
    /// The day it left the book.
    pub closed_on: Option<Date>,
}

/// What went out of a holding.
pub(super) struct Taken {
    pub silver: Option<Level>,
    /// The share of the silver, and the standard uncertainty that the share alone gives, in grams;
    /// `None` where all of it went.
    pub share: Option<(f64, f64)>,
    volume: Option<MeasuredLitres>,
    mass: Option<MeasuredKilograms>,
}

impl Holding {
    /// A container as it was taken into the book.
    pub(super) fn opened(batch: &Batch, on: Date) -> Self {
        let mut batch = batch.clone();
        let fresh = std::mem::take(&mut batch.evidence);
        let amount = batch.volume_l.is_some() || batch.mass_kg.is_some() || batch.gross_g.is_some();
        let empty = fresh.is_empty() && !amount;
        Self {
            base: empty.then_some(Level::NONE),
            batch,
            fresh,
            empty,
            opened_on: on,
            closed_on: None,
        }
    }

    /// The container as every calculation takes it: what is known of its silver stands in its evidence.
    #[must_use]
    pub fn batch(&self) -> Batch {
        let mut batch = self.batch.clone();
        batch.evidence = self.base.into_iter().filter_map(carried).collect();
        batch.evidence.extend(self.fresh.iter().cloned());
        batch
    }

    /// Silver in it, grams, with its standard uncertainty; `None` where it is unknown, or its readings
    /// contradict each other.
    #[must_use]
    pub fn silver_g(&self) -> Option<(Decimal, f64)> {
        let level = self.level().ok().flatten()?;
        Some((level.grams, level.uncertainty()))
    }

    /// Whether nothing is in it.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.empty
    }

    /// What is in the container, without what is known of its silver.
    pub(super) const fn content(&self) -> &Batch {
        &self.batch
    }

    pub(super) const fn content_mut(&mut self) -> &mut Batch {
        &mut self.batch
    }

    /// Silver by everything that is known today; `None` where it is unknown, or its readings
    /// contradict each other.
    pub(super) fn level(&self) -> Result<Option<Level>, Faults> {
        if self.fresh.is_empty() {
            return Ok(self.base);
        }
        let estimate = estimate_batch(&self.batch(), "", &mut Notes::default())?;
        Ok(estimate.figure().map(Level::of))
    }

    /// How far what was known before the readings may be off.
    pub(super) fn base_variance(&self) -> f64 {
        self.base.map_or(0.0, |level| level.variance)
    }

    /// Makes `level` what is known of the silver, in place of the readings.
    pub(super) fn rest_on(&mut self, level: Option<Level>) {
        self.base = level;
        self.fresh.clear();
    }

    /// Whether one more reading would be more evidence than an estimate takes.
    pub(super) const fn is_full_of_readings(&self) -> bool {
        self.fresh.len().saturating_add(1) >= MOST_EVIDENCE
    }

    /// Takes a reading. One of a container that counted as empty stands alone: something is in it.
    pub(super) fn read(&mut self, evidence: Evidence) {
        if std::mem::take(&mut self.empty) {
            self.base = None;
        }
        self.fresh.push(evidence);
    }

    /// Takes a part out. The readings have been settled before.
    pub(super) fn take(&mut self, part: &Part, at: &str) -> Result<Taken, Fault> {
        let name = self.batch.id.clone();
        if self.empty {
            return Err(Fault::new(
                FaultKind::OutOfRange,
                at,
                format!("`{name}` is empty: expected a container with something in it"),
            ));
        }
        let fraction = match part {
            Part::All(_) => None,
            Part::VolumeL(volume) => {
                let held = self.batch.volume_l.as_ref();
                fraction(volume, held, JUG_MARK, at, &name)?
            }
            Part::MassKg(mass) => {
                let held = self.batch.mass_kg.as_ref();
                fraction(mass, held, HOUSEHOLD_SCALE, at, &name)?
            }
        };
        self.forget_fill();
        let Some((share, uncertainty)) = fraction else {
            let taken = Taken {
                silver: self.base,
                share: None,
                volume: self.batch.volume_l.take(),
                mass: self.batch.mass_kg.take(),
            };
            self.batch.gross_g = None;
            self.batch.tare_g = None;
            self.batch.ph = None;
            // The days were those of what is gone: what comes next begins its own.
            self.batch.made_on = None;
            self.batch.waste_since = None;
            self.batch.limit_exceeded_on = None;
            self.batch.diluted_on = None;
            self.batch.mixed_in.clear();
            self.empty = true;
            self.base = Some(Level::NONE);
            return Ok(taken);
        };
        let f = nearest_double(share);
        let mut taken = Taken {
            silver: None,
            share: Some((f, 0.0)),
            volume: None,
            mass: None,
        };
        if let Some(level) = self.base {
            let too_large = |_| {
                Fault::out_of_range(at, write_decimal(share), "an amount of silver below 1e12 g")
            };
            let moved = (Exact::from(level.grams) * Exact::from(share))
                .finish()
                .map_err(too_large)?;
            let moved = moved.round_dp(PLACES);
            let by_share = level.value() * uncertainty;
            let variance = |part: f64| part * part * level.variance + by_share * by_share;
            taken.silver = Some(Level {
                grams: moved,
                variance: variance(f),
            });
            taken.share = Some((f, by_share));
            self.base = Some(Level {
                grams: level.grams.saturating_sub(moved),
                variance: variance(1.0 - f),
            });
        }
        (taken.volume, self.batch.volume_l) =
            split(self.batch.volume_l, part_volume(part), share, JUG_MARK);
        (taken.mass, self.batch.mass_kg) =
            split(self.batch.mass_kg, part_mass(part), share, HOUSEHOLD_SCALE);
        // A weighing of the full container held before.
        self.batch.gross_g = None;
        self.batch.tare_g = None;
        Ok(taken)
    }

    /// Takes in what came out of another container, that day.
    pub(super) fn put(&mut self, taken: &Taken, from: &Batch, on: Date) {
        let before = self.as_waste(on);
        let the_same = self.empty && self.batch.kind == from.kind;
        self.forget_fill();
        if self.empty {
            self.batch.composition = from.composition.clone();
            self.batch.ph = from.ph;
            self.batch.density_g_per_ml = from.density_g_per_ml;
            self.batch.flash_point_c = from.flash_point_c;
            self.batch.boiling_point_c = from.boiling_point_c;
            self.batch.form = self.batch.form.or(from.form);
            self.batch.volume_l = taken.volume;
            self.batch.mass_kg = taken.mass;
        } else {
            self.batch.composition = mixed(&self.batch, from, taken.volume.as_ref());
            self.forget_readings_of_liquid();
            self.batch.volume_l = summed(self.batch.volume_l, taken.volume, JUG_MARK);
            self.batch.mass_kg = summed(self.batch.mass_kg, taken.mass, HOUSEHOLD_SCALE);
        }
        // A batch at work stays at work; else waste makes waste, from the earliest day of either.
        if self.batch.status != Some(BatchStatus::InUse) {
            // Nor is it unused any more when waste went in.
            let unused = self.batch.status == Some(BatchStatus::Unused);
            self.batch.status = self
                .batch
                .status
                .filter(|_| !(unused && from.is_waste()))
                .or(from.status.filter(|s| *s != BatchStatus::InUse));
            self.batch.waste_since = match (self.batch.waste_since, from.waste_since) {
                (Some(a), Some(b)) => Some(a.min(b)),
                (a, b) => a.or(b),
            };
            // What was at work until now is waste from the day it went among waste.
            if self.batch.status.is_some_and(BatchStatus::is_waste) {
                self.batch.waste_since = self.batch.waste_since.or(Some(on));
            }
        }
        self.batch.diluted_on = match (self.batch.diluted_on, from.diluted_on) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
        if let Some(one) = before {
            self.batch.keep_mixed_in(one);
        }
        for one in &from.mixed_in {
            self.batch.keep_mixed_in(one.clone());
        }
        let given_up = from.is_waste() || !at_work(&self.batch);
        if given_up && !the_same {
            let silver = concentration(taken.silver, taken.volume.as_ref());
            self.batch.keep_mixed_in(MixedIn::of(from, silver, on));
        }
        self.empty = false;
        self.base = self.base.zip(taken.silver).map(|(a, b)| a.plus(b));
    }

    /// Takes in silver that is weighed by itself.
    pub(super) fn gain(&mut self, silver: Level) {
        self.base = self.base.map(|level| level.plus(silver));
        self.empty = false;
    }

    /// Gives up silver that is weighed by itself. Less than nothing, within its uncertainty, stays as
    /// it is: the next reading settles it.
    pub(super) fn lose(&mut self, silver: Level, at: &str) -> Result<(), Fault> {
        let Some(level) = self.base else {
            return Ok(());
        };
        let left = level.less(silver);
        if left.value() < -2.0 * left.uncertainty() {
            return Err(Fault::new(
                FaultKind::OutOfRange,
                at,
                format!(
                    "{} g of silver would go out of `{}`, which holds {} g: expected no more than it holds",
                    write_decimal(silver.grams),
                    self.batch.id,
                    write_decimal(level.grams)
                ),
            ));
        }
        self.base = Some(left);
        Ok(())
    }

    /// Solid was weighed into the container: that is its mass where it was empty, and is added to it where
    /// it is known. Called before what came with the solid.
    pub(super) fn weighed_in(&mut self, solid: &MeasuredGrams) {
        let solid = in_kilograms(solid);
        self.batch.mass_kg = if self.empty {
            solid
        } else {
            summed(self.batch.mass_kg, solid, HOUSEHOLD_SCALE)
        };
        self.batch.gross_g = None;
        self.batch.tare_g = None;
    }

    /// Solid was weighed out of the container: its mass follows, where it is known.
    pub(super) fn weighed_out(&mut self, solid: &MeasuredGrams) {
        let solid = in_kilograms(solid);
        self.batch.mass_kg = split(self.batch.mass_kg, solid, Decimal::ZERO, HOUSEHOLD_SCALE).1;
        self.batch.gross_g = None;
        self.batch.tare_g = None;
    }

    /// What it holds, as it is before something else joins it; nothing where it is no waste.
    fn as_waste(&self, on: Date) -> Option<MixedIn> {
        let is = !self.empty && self.batch.is_waste();
        let silver = concentration(self.base, self.batch.volume_l.as_ref());
        is.then(|| MixedIn::of(&self.batch, silver, on))
    }

    /// Adds water, that day.
    pub(super) fn dilute(&mut self, water: &MeasuredLitres, on: Date) {
        if let Some(before) = self.as_waste(on) {
            self.batch.keep_mixed_in(before);
        }
        let nothing = Batch::named(self.batch.id.clone(), self.batch.kind);
        self.batch.composition = mixed(&self.batch, &nothing, Some(water));
        self.forget_readings_of_liquid();
        self.batch.volume_l = summed(self.batch.volume_l, Some(*water), JUG_MARK);
        self.batch.mass_kg = None;
    }

    /// How full the vessel stood was read before its content changed.
    pub(super) const fn forget_fill(&mut self) {
        if let Some(container) = &mut self.batch.container {
            container.fill_percent = None;
        }
    }

    /// pH, density, flash and boiling point were those of the liquid before it changed.
    pub(super) fn forget_readings_of_liquid(&mut self) {
        self.forget_fill();
        self.batch.ph = None;
        self.batch.density_g_per_ml = None;
        self.batch.flash_point_c = None;
        self.batch.boiling_point_c = None;
        self.batch.gross_g = None;
        self.batch.tare_g = None;
    }
}

/// Whether it is said to be at work, or unused.
const fn at_work(batch: &Batch) -> bool {
    matches!(batch.status, Some(BatchStatus::InUse | BatchStatus::Unused))
}

/// Silver in a liquid, where silver and volume are known.
fn concentration(
    silver: Option<Level>,
    volume: Option<&MeasuredLitres>,
) -> Option<MeasuredMilligramsPerLitre> {
    let (silver, volume) = silver.zip(volume.map(|v| v.decimal()))?;
    let per_litre = Decimal::ONE_THOUSAND.checked_div(volume)?;
    of(
        silver.grams.checked_mul(per_litre)?,
        silver.uncertainty() * nearest_double(per_litre),
    )
}

/// What is known of the silver, as evidence. Less than nothing counts as nothing.
fn carried(level: Level) -> Option<Evidence> {
    let uncertainty = Computed::<Gram>::of(level.uncertainty())
        .to_decimal()
        .ok()?;
    Some(Evidence::Stated(Stated {
        silver_g: Measured::with_standard_uncertainty(level.grams.max(Decimal::ZERO), uncertainty)?,
        source: Text::new("the silver book").ok(),
        measured_on: None,
        sampled: None,
        shares: Vec::new(),
    }))
}

/// The composition of two liquids together: amounts by volume where both are known, else the bare
/// names.
fn mixed(held: &Batch, came: &Batch, came_volume: Option<&MeasuredLitres>) -> Vec<Component> {
    let volumes = held.volume_l.as_ref().zip(came_volume);
    let amount = |batch: &Batch, component: &Component| match batch
        .composition
        .iter()
        .find(|c| c.substance == component.substance)
    {
        Some(found) => component_g_per_l(batch, found),
        None => Some(0.0),
    };
    let mut all: Vec<Component> = held.composition.clone();
    for component in &came.composition {
        if !all.iter().any(|c| c.substance == component.substance) {
            all.push(component.clone());
        }
    }
    for component in &mut all {
        let grams = volumes.and_then(|(a, b)| {
            let (a, b) = (a.as_f64(), b.as_f64());
            let total = amount(held, component)? * a + amount(came, component)? * b;
            Some(total / (a + b)).filter(|g| g.is_finite())
        });
        component.mol_per_l = None;
        component.percent_w_w = None;
        component.g_per_l = grams.and_then(exactly);
    }
    all
}

fn exactly(grams_per_litre: f64) -> Option<MeasuredGramsPerLitre> {
    let value = Computed::<crate::quantity::GramPerLitre>::of(grams_per_litre)
        .to_decimal()
        .ok()?;
    crate::quantity::Quantity::new(value)
        .ok()
        .map(Measured::bare)
}
