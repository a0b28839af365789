//! Waste that went into a container, as it was before: a mixture answers for what went in.

use super::{Batch, BatchKind, BatchStatus, Component, Craft, CyanideKnowledge};
use crate::estimate::{Evidence, Stated};
use crate::quantity::{
    Date, Identifier, Measured, MeasuredDegreesCelsius, MeasuredMilligramsPerLitre, MeasuredPh,
    Quantity,
};
use crate::waste::contents::component_g_per_l;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// Most containers that one batch may have been mixed from.
pub const MOST_MIXED_IN: usize = 50;

/// What went into a waste from one other container, as it was before it was mixed: the strongest of it,
/// where it went in more than once. Thinning it does not take off the codes that it bore.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct MixedIn {
    /// The container it came out of.
    pub from: Identifier,
    /// The day it first went in.
    pub on: Date,
    /// What it was.
    pub kind: BatchKind,
    /// Where it stood in its life.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub status: Option<BatchStatus>,
    /// The craft it served.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub craft: Option<Craft>,
    /// What was in it besides water.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub composition: Vec<Component>,
    /// Its silver.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub silver_mg_per_l: Option<MeasuredMilligramsPerLitre>,
    /// Its pH.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ph: Option<MeasuredPh>,
    /// Its flash point, closed cup.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flash_point_c: Option<MeasuredDegreesCelsius>,
}

impl MixedIn {
    /// What a batch was on the day it went into another.
    #[must_use]
    pub fn of(batch: &Batch, silver: Option<MeasuredMilligramsPerLitre>, on: Date) -> Self {
        Self {
            from: batch.id.clone(),
            on,
            kind: batch.kind,
            status: batch.status,
            craft: batch.craft,
            composition: batch.composition.clone(),
            silver_mg_per_l: silver,
            ph: batch.ph,
            flash_point_c: batch.flash_point_c,
        }
    }

    /// A litre of it, as a batch.
    #[must_use]
    pub fn as_batch(&self) -> Batch {
        let mut batch = Batch::named(self.from.clone(), self.kind);
        batch.status = self.status;
        batch.craft = self.craft;
        batch.composition.clone_from(&self.composition);
        batch.ph = self.ph;
        batch.flash_point_c = self.flash_point_c;
        if self.kind.is_liquid() {
            batch.volume_l = Measured::with_standard_uncertainty(Decimal::ONE, Decimal::ZERO);
            batch.evidence.extend(self.silver_mg_per_l.and_then(stated));
        }
        batch
    }

    /// Takes in what came from the same container again: of each reading the more dangerous stays.
    fn strengthen(&mut self, other: &Self) {
        self.on = self.on.min(other.on);
        for part in &other.composition {
            match self
                .composition
                .iter_mut()
                .find(|c| c.substance == part.substance)
            {
                None => self.composition.push(part.clone()),
                Some(mine) => {
                    let scratch = Batch::named(self.from.clone(), self.kind);
                    let amount = |c: &Component| component_g_per_l(&scratch, c);
                    // An amount that is not known may be any.
                    if amount(part).is_none_or(|new| amount(mine).is_some_and(|old| new > old)) {
                        part.clone_into(mine);
                    }
                }
            }
        }
        keep(
            &mut self.silver_mg_per_l,
            other.silver_mg_per_l,
            |new, old| new.as_f64() > old.as_f64(),
        );
        keep(&mut self.ph, other.ph, |new, old| {
            (new.as_f64() - 7.0).abs() > (old.as_f64() - 7.0).abs()
        });
        keep(&mut self.flash_point_c, other.flash_point_c, |new, old| {
            new.as_f64() < old.as_f64()
        });
    }
}

/// Keeps `new` where there is no old one, or where it is worse.
fn keep<T: Copy>(old: &mut Option<T>, new: Option<T>, worse: impl Fn(&T, &T) -> bool) {
    if let Some(new) = new
        && old.as_ref().is_none_or(|old| worse(&new, old))
    {
        *old = Some(new);
    }
}

/// Silver in one litre, in grams.
fn stated(silver: MeasuredMilligramsPerLitre) -> Option<Evidence> {
    let grams = silver.decimal().checked_div(Decimal::ONE_THOUSAND)?;
    let silver_g = match silver.standard_uncertainty() {
        Some((u, _)) => {
            Measured::with_standard_uncertainty(grams, Decimal::try_from(u / 1000.0).ok()?)?
        }
        None => Measured::bare(Quantity::new(grams).ok()?),
    };
    Some(Evidence::Stated(Stated {
        silver_g,
        source: None,
        measured_on: None,
        sampled: None,
        shares: Vec::new(),
    }))
}

impl Batch {
    /// Keeps what went into this waste.
    pub(crate) fn keep_mixed_in(&mut self, came: MixedIn) {
        let same = |m: &&mut MixedIn| m.from == came.from && m.kind == came.kind;
        match self.mixed_in.iter_mut().find(same) {
            Some(mine) => mine.strengthen(&came),
            None => self.mixed_in.push(came),
        }
    }

    /// What is known of cyanide by what went in.
    pub(super) fn cyanide_mixed_in(&self) -> CyanideKnowledge {
        let of = |m: &MixedIn| m.as_batch().cyanide();
        let known: Vec<CyanideKnowledge> = self.mixed_in.iter().map(of).collect();
        if known.contains(&CyanideKnowledge::Present) {
            CyanideKnowledge::Present
        } else if known.contains(&CyanideKnowledge::Presumed) {
            CyanideKnowledge::Presumed
        } else {
            CyanideKnowledge::NotIndicated
        }
    }
}
