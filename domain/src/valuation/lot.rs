//! A lot: the batches of one form that go to one refiner together.

use super::defaults::defaults;
use super::terms::Constituent;
use crate::answer::{Method, Notes};
use crate::batch::{Batch, BatchKind, LotForm};
use crate::estimate::{Agreement, Estimate, silver_together};
use crate::fault::{Fault, FaultKind, at_most};
use crate::quantity::{
    ComputedGrams, ComputedTroyOunces, Exact, Identifier, Percent, TROY_OUNCE_G, TooLarge,
};
use crate::substance::Group;
use crate::waste::storage::{StorageDanger, storage_danger};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// Most batches in one lot.
pub const MOST_BATCHES: usize = 500;

pub(super) const LOT_SUM: Method = Method {
    name: "silver of a lot",
    formula: "m = sum of m_i; u = sqrt(sum of u_i^2), the batches taken as independent; 95 % interval m - 1.96 u to m + 1.96 u, not below 0, and of a single batch its own",
    source: "jcgm100",
};

/// The batches that go to one refiner together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Lot {
    /// Name of the lot.
    pub id: Identifier,
    /// The form it travels in; the default follows from what the batches are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub form: Option<LotForm>,
    /// The batches, all of that form.
    pub batches: Vec<Batch>,
    /// Moisture of a solid lot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture_percent: Option<Percent>,
    /// Whether a solid lot stands in free liquid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub free_liquid: Option<bool>,
    /// Whether the refiner has approved a sample.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sample_approved: Option<bool>,
}

/// One batch with its estimate.
#[derive(Debug, Clone)]
pub struct LotBatch<'a> {
    /// The batch's own place in the request.
    pub at: String,
    /// The batch.
    pub batch: &'a Batch,
    /// The silver in it.
    pub estimate: &'a Estimate,
    /// What it holds besides silver that a refiner asks about.
    pub constituents: Vec<Constituent>,
    /// Why it must not be kept.
    pub danger: Option<StorageDanger>,
}

impl LotBatch<'_> {
    /// Whether a constituent is stated in the batch, or certain from its kind.
    #[must_use]
    pub fn holds(&self, constituent: Constituent) -> bool {
        self.constituents.contains(&constituent)
    }
}

/// A lot whose silver has been estimated.
#[derive(Debug, Clone)]
pub struct PreparedLot<'a> {
    /// Name of the lot.
    pub id: &'a Identifier,
    /// The form it travels in.
    pub form: LotForm,
    /// Its batches.
    pub batches: Vec<LotBatch<'a>>,
    /// Moisture of a solid lot.
    pub moisture_percent: Option<Percent>,
    /// Whether a solid lot stands in free liquid.
    pub free_liquid: Option<bool>,
    /// Whether the refiner has approved a sample.
    pub sample_approved: Option<bool>,
}

impl BatchKind {
    /// The form in which this kind usually travels to a refiner.
    #[must_use]
    pub const fn lot_form(self) -> LotForm {
        match self {
            Self::Sludge | Self::SpillResidue => LotForm::MixedSludge,
            Self::WipesAndFilters => LotForm::WipesAndFilters,
            Self::FilmAndPaper => LotForm::FilmAndPaper,
            Self::GlassPlates => LotForm::GlassPlates,
            Self::SpentCartridge => LotForm::MetallicReplacementSludge,
            Self::UnusedChemical => LotForm::UnusedChemical,
            _ => LotForm::Solution,
        }
    }

    /// Whether this kind can travel in `form`.
    #[must_use]
    pub const fn can_travel_as(self, form: LotForm) -> bool {
        match self {
            Self::Sludge | Self::SpillResidue => matches!(
                form,
                LotForm::SilverChloride
                    | LotForm::SilverSulfide
                    | LotForm::ElectrolyticFlake
                    | LotForm::MetallicReplacementSludge
                    | LotForm::MixedSludge
                    | LotForm::Metal
            ),
            Self::SpentCartridge => matches!(
                form,
                LotForm::MetallicReplacementSludge | LotForm::MixedSludge
            ),
            other => other.lot_form() as u8 == form as u8,
        }
    }
}

impl Lot {
    /// Checks the lot as a whole and finds its form. Pointers start at `at`; the batches themselves
    /// are checked too.
    ///
    /// # Errors
    /// No batch, too many, two of one name, two forms in one lot, and every fault of a batch.
    pub fn check(&self, at: &str) -> Result<LotForm, Vec<Fault>> {
        let list = format!("{at}/batches");
        let Some(first) = self.batches.first() else {
            return Err(vec![Fault::missing(list, "at least one batch")]);
        };
        if let Err(fault) = at_most(&list, self.batches.len(), MOST_BATCHES) {
            return Err(vec![fault]);
        }
        let form = self.form.unwrap_or_else(|| first.kind.lot_form());
        let mut faults = Vec::new();
        let mut names = BTreeSet::new();
        for (i, batch) in self.batches.iter().enumerate() {
            faults.extend(batch.faults(&format!("{list}/{i}")));
            if !names.insert(&batch.id) {
                faults.push(Fault::new(
                    FaultKind::Conflict,
                    format!("{list}/{i}/id"),
                    format!(
                        "`{}` stands twice in this lot: expected one name per container",
                        batch.id
                    ),
                ));
            }
            if !batch.kind.can_travel_as(form) {
                faults.push(Fault::new(
                    FaultKind::Conflict,
                    format!("{list}/{i}/kind"),
                    format!(
                        "{} cannot travel in a lot of {}: expected batches of one form, or a lot of their own",
                        batch.kind.words(),
                        form.words()
                    ),
                ));
            }
        }
        if faults.is_empty() {
            Ok(form)
        } else {
            Err(faults)
        }
    }

    /// Puts the estimates beside the batches, in order; `at` is the lot's own place in the request.
    #[must_use]
    pub fn prepared<'a>(
        &'a self,
        form: LotForm,
        estimates: &'a [Estimate],
        at: &str,
    ) -> PreparedLot<'a> {
        PreparedLot {
            id: &self.id,
            form,
            batches: self
                .batches
                .iter()
                .zip(estimates)
                .enumerate()
                .map(|(i, (batch, estimate))| LotBatch {
                    at: format!("{at}/batches/{i}"),
                    batch,
                    estimate,
                    constituents: constituents_of(batch),
                    danger: storage_danger(batch),
                })
                .collect(),
            moisture_percent: self.moisture_percent,
            free_liquid: self.free_liquid,
            sample_approved: self.sample_approved,
        }
    }
}

/// The silver in a lot.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LotSilver {
    /// Silver in all batches.
    pub silver_g: ComputedGrams,
    /// The same in troy ounces.
    pub silver_ozt: ComputedTroyOunces,
    /// Standard uncertainty, the batches taken as independent.
    pub standard_uncertainty_g: ComputedGrams,
    /// Lower end of the 95 % interval.
    pub lower_95_g: ComputedGrams,
    /// Upper end of the 95 % interval; null where nothing bounds a batch from above.
    pub upper_95_g: Option<ComputedGrams>,
}

/// A batch that has no figure for its silver.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct UnknownBatch {
    /// Name of the batch.
    pub batch: Identifier,
    /// Why there is no figure, and what would give one.
    pub reason: String,
}

fn why_unknown(estimate: &Estimate) -> String {
    match &estimate.agreement {
        Agreement::Contradiction { reason } => {
            format!("its readings contradict each other ({reason}): measure again")
        }
        _ if estimate.by_evidence.is_empty() => {
            "nothing was measured: weigh, titrate or send a sample".to_owned()
        }
        _ => "its readings only bound the silver: take one that gives a figure".to_owned(),
    }
}

/// Sums the silver of a lot.
///
/// See [`silver_together`]. `at` is the lot's own place.
///
/// # Errors
/// The batches without a figure: an unknown is never taken for zero.
pub fn lot_silver(
    lot: &PreparedLot<'_>,
    at: &str,
    notes: &mut Notes,
) -> Result<LotSilver, Vec<UnknownBatch>> {
    let unknown: Vec<UnknownBatch> = lot
        .batches
        .iter()
        .filter(|of| of.estimate.figure().is_none())
        .map(|of| UnknownBatch {
            batch: of.batch.id.clone(),
            reason: why_unknown(of.estimate),
        })
        .collect();
    if !unknown.is_empty() {
        return Err(unknown);
    }
    let sum = silver_together(lot.batches.iter().map(|of| of.estimate));
    notes.method("/silver", LOT_SUM);
    if lot.batches.len() > 1 {
        notes.assume(
            "/silver",
            format!("{at}/batches"),
            "house_rule",
            "The estimates of the lot's containers are taken as independent of each other. What they share (one titrant, one scale) would widen the sum a little.",
        );
    }
    Ok(LotSilver {
        silver_g: ComputedGrams::of(sum.silver_g),
        silver_ozt: ComputedTroyOunces::of(
            sum.silver_g / TROY_OUNCE_G.to_f64().unwrap_or(31.103_476_8),
        ),
        standard_uncertainty_g: ComputedGrams::of(sum.standard_uncertainty_g),
        lower_95_g: sum.interval_95_g.lower,
        upper_95_g: sum.interval_95_g.upper,
    })
}

/// Everything a refiner asks about that a batch holds.
pub(crate) fn constituents_of(batch: &Batch) -> Vec<Constituent> {
    let mut all = Constituent::ALL.to_vec();
    all.retain(|c| holds(batch, *c));
    all
}

/// Whether a constituent is stated in the batch, or certain from its kind.
#[must_use]
pub fn holds(batch: &Batch, constituent: Constituent) -> bool {
    match constituent {
        Constituent::Cyanide => batch.counts_as_cyanide(),
        Constituent::Ammonia => batch.is_ammoniacal_silver() || batch.states(Group::Ammonia),
        Constituent::Mercury => batch.states(Group::Mercury),
        Constituent::Cadmium => batch.states(Group::Cadmium),
        Constituent::Selenium => batch.states(Group::Selenium),
        Constituent::Lead => batch.states(Group::Lead),
        Constituent::Chromate => batch.states(Group::Chromate),
    }
}

/// What the lot weighs and fills, as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Bulk {
    pub mass_kg: Option<Decimal>,
    pub volume_l: Option<Decimal>,
}

/// Mass and volume of one batch: weighed, or from volume and density, with the default density of
/// its kind as an assumption about `about`.
pub(crate) fn bulk(
    batch: &Batch,
    at: &str,
    about: &str,
    notes: &mut Notes,
) -> Result<Bulk, TooLarge> {
    let weighed = match (&batch.mass_kg, &batch.gross_g, &batch.tare_g) {
        (Some(mass), _, _) => Some(mass.decimal()),
        (None, Some(gross), Some(tare)) => Some(
            ((Exact::from(gross.decimal()) - Exact::from(tare.decimal()))
                / Exact::from(Decimal::ONE_THOUSAND))
            .finish()?,
        ),
        _ => None,
    };
    let marked = batch.volume_l.map(|v| v.decimal());
    if !batch.kind.is_liquid() || (weighed.is_some() == marked.is_some()) {
        return Ok(Bulk {
            mass_kg: weighed,
            volume_l: marked,
        });
    }
    let density = match &batch.density_g_per_ml {
        Some(d) if !d.decimal().is_zero() => d.decimal(),
        _ => {
            let d = defaults();
            let figure = match batch.kind {
                BatchKind::SensitizingBath | BatchKind::Drip => {
                    &d.density_sensitizing_bath_kg_per_l
                }
                BatchKind::Fixer | BatchKind::BleachFix => &d.density_fixer_kg_per_l,
                _ => &d.density_other_liquid_kg_per_l,
            };
            notes.assume(
                about,
                format!("{at}/density_g_per_ml"),
                &figure.source,
                format!("Density of {}: {}.", batch.kind.words(), figure.words()),
            );
            figure.value
        }
    };
    let density = Exact::from(density);
    Ok(match (weighed, marked) {
        (Some(mass), _) => Bulk {
            mass_kg: Some(mass),
            volume_l: Some((Exact::from(mass) / density).finish()?),
        },
        (None, Some(volume)) => Bulk {
            mass_kg: Some((Exact::from(volume) * density).finish()?),
            volume_l: Some(volume),
        },
        (None, None) => Bulk::default(),
    })
}

/// Mass and volume of all batches; unknown as soon as one is.
pub(crate) fn lot_bulk(batches: &[Bulk]) -> Result<Bulk, TooLarge> {
    let sum = |pick: fn(&Bulk) -> Option<Decimal>| -> Result<Option<Decimal>, TooLarge> {
        batches
            .iter()
            .try_fold(Exact::ZERO, |sum, one| Some(sum + Exact::from(pick(one)?)))
            .map(Exact::finish)
            .transpose()
    };
    Ok(Bulk {
        mass_kg: sum(|b| b.mass_kg)?,
        volume_l: sum(|b| b.volume_l)?,
    })
}
