//! What is known of one container for its carriage.

use super::span::{Span, Truth};
use crate::answer::Notes;
use crate::batch::{Batch, BatchKind, BatchStatus, PhysicalForm};
use crate::estimate::Estimate;
use crate::quantity::Identifier;
use crate::substance::substance;
use crate::waste::classification::{
    Findings, HazardCode, Hazardous, Part, alcohol_percent, find_codes, parts_of,
};
use crate::waste::contents::{Certainty, Contents, implied_groups, ph_interval};
use crate::waste::rule_set::RuleSet;

/// Density taken for a mass where none is stated: the upper side, so that no reportable quantity is
/// missed.
const HEAVY_LIQUID_G_PER_ML: f64 = 1.1;

/// The most a share by mass can be.
const WHOLE: f64 = 100.0;

/// One container, read for its carriage.
pub(super) struct Item<'a> {
    pub batch: &'a Batch,
    /// Where the batch stands in the request, for assumptions.
    pub at: &'a str,
    pub form: Option<PhysicalForm>,
    pub parts: Vec<(Part, Span)>,
    pub contents: Contents,
    pub mass_kg: Option<Span>,
    pub volume_l: Option<Span>,
    pub alcohol: Option<Span>,
    pub codes: Option<Vec<HazardCode>>,
    /// Whether it must travel with a manifest, and why.
    pub manifest: (Truth, String),
}

impl<'a> Item<'a> {
    /// Reads a batch. `category` is the generator category where it was stated.
    pub fn read(
        batch: &'a Batch,
        estimate: Option<&Estimate>,
        rules: &RuleSet,
        category: Option<&Identifier>,
        at: &'a str,
        notes: &mut Notes,
    ) -> Self {
        let form = form_of(batch);
        let contents = implied_groups(batch);
        // Its note on the density would stand in a place of the classification's.
        let parts = parts_of(batch, estimate, at, &mut Notes::default())
            .into_iter()
            .map(|part| {
                let share = share_of(batch, form, &part);
                (part, share)
            })
            .collect();
        let in_litres = |c: &crate::batch::Component| c.g_per_l.is_some() || c.mol_per_l.is_some();
        if batch.density_g_per_ml.is_none() && batch.composition.iter().any(in_litres) {
            notes.assume(
                "",
                format!("{at}/density_g_per_ml"),
                "common_practice",
                "Shares by mass: without a density the liquid is taken at 1.0 kg/L, which is light, so that no share comes out too small (common practice, no source).",
            );
        }
        let alcohol = alcohol_percent(batch, &contents).map(|level| Span {
            low: level.lower,
            high: level.upper.unwrap_or(WHOLE),
        });
        let found = find_codes(batch, estimate, rules, at, &mut Notes::default());
        let manifest = manifest(batch, found.as_ref(), category);
        let codes = found.map(|f| f.codes);
        let mut item = Self {
            batch,
            at,
            form,
            parts,
            contents,
            mass_kg: None,
            volume_l: batch.volume_l.as_ref().map(Span::of),
            alcohol,
            codes,
            manifest,
        };
        item.mass_kg = item.mass(notes);
        item
    }

    fn mass(&self, notes: &mut Notes) -> Option<Span> {
        let batch = self.batch;
        if let Some(mass) = &batch.mass_kg {
            return Some(Span::of(mass));
        }
        if let (Some(gross), Some(tare)) = (&batch.gross_g, &batch.tare_g) {
            let (gross, tare) = (Span::of(gross), Span::of(tare));
            let net = Span {
                low: gross.low - tare.high,
                high: gross.high - tare.low,
            };
            return Some(net.scaled(0.001));
        }
        let volume = self.volume_l?;
        if let Some(density) = &batch.density_g_per_ml {
            return Some(volume.times(Span::of(density)));
        }
        if self.form == Some(PhysicalForm::Solid) {
            return None;
        }
        notes.assume(
            "",
            format!("{}/density_g_per_ml", self.at),
            "common_practice",
            "The mass in the package: without a density the liquid is taken at 1.1 kg/L, which is heavy, so that no reportable quantity is missed (common practice, no source).",
        );
        Some(volume.scaled(HEAVY_LIQUID_G_PER_ML))
    }

    /// Whether it is no waste: at work, or never used.
    pub const fn is_kept_for_use(&self) -> bool {
        matches!(
            self.batch.status,
            Some(BatchStatus::InUse | BatchStatus::Unused)
        )
    }

    /// Percent by mass of some substances together, and the names of those that are there.
    pub fn share(&self, of: &[String]) -> (Span, Vec<String>) {
        let mut sum = Span::exact(0.0);
        let mut names = Vec::new();
        for (part, share) in self.parts.iter().filter(|(p, _)| of.contains(&p.id)) {
            sum = sum.plus(*share);
            names.push(name_of(&part.id));
        }
        (sum.at_most(WHOLE), names)
    }

    /// Percent by mass of what bears one of the hazards, and the names.
    pub fn hazard_share(&self, hazards: &[String]) -> (Span, Vec<String>) {
        let mut sum = Span::exact(0.0);
        let mut names = Vec::new();
        for (part, share) in &self.parts {
            let bears = |percent: f64| {
                part.classes.is_some_and(|c| {
                    c.classes
                        .iter()
                        .any(|k| hazards.contains(&k.hazard) && k.holds_at(Some(percent)))
                })
            };
            let known = part.percent.is_some() || share.high <= WHOLE;
            let (low, high) = (bears(share.low), bears(share.high.min(WHOLE)));
            if !low && !high {
                continue;
            }
            names.push(name_of(&part.id));
            sum = sum.plus(Span {
                low: if low && known { share.low } else { 0.0 },
                high: share.high,
            });
        }
        (sum.at_most(WHOLE), names)
    }

    /// Whether nothing but these substances and water was stated; open where nothing was.
    pub fn alone(&self, with: &[String]) -> Truth {
        let mut others = self.parts.iter().filter(|(p, _)| p.id != "water");
        if self.batch.composition.is_empty() {
            return Truth::No;
        }
        Truth::of(others.all(|(p, _)| with.contains(&p.id)) && self.holds(with))
    }

    /// Whether one of these substances is there.
    pub fn holds(&self, one: &[String]) -> bool {
        self.parts.iter().any(|(p, _)| one.contains(&p.id))
    }

    /// pH as a span.
    pub fn ph(&self) -> Option<Span> {
        let (low, high) = match self.batch.ph.as_ref()?.standard_uncertainty() {
            Some(_) => ph_interval(self.batch)?,
            None => {
                let face = self.batch.ph.as_ref()?.as_f64();
                (face, face)
            }
        };
        Some(Span { low, high })
    }
}

/// A substance's name in the trade.
pub(super) fn name_of(id: &str) -> String {
    Identifier::new(id)
        .ok()
        .and_then(|id| substance(&id))
        .map_or_else(|| id.to_owned(), |s| s.name.clone())
}

/// Liquid or solid, where it was stated or the kind says it.
fn form_of(batch: &Batch) -> Option<PhysicalForm> {
    batch.form.or(match batch.kind {
        kind if kind.is_liquid() => Some(PhysicalForm::Liquid),
        BatchKind::WipesAndFilters | BatchKind::FilmAndPaper | BatchKind::GlassPlates => {
            Some(PhysicalForm::Solid)
        }
        _ => None,
    })
}

/// The share of a part. A single solid in its bottle is all of it; an amount that nobody stated may
/// be anything.
fn share_of(batch: &Batch, form: Option<PhysicalForm>, part: &Part) -> Span {
    let stated = batch
        .composition
        .iter()
        .find(|c| c.substance.as_str() == part.id);
    let without_amount = stated
        .is_some_and(|c| c.percent_w_w.is_none() && c.g_per_l.is_none() && c.mol_per_l.is_none());
    let only = batch.kind == BatchKind::UnusedChemical && batch.composition.len() == 1;
    if without_amount && only {
        return if form == Some(PhysicalForm::Solid) {
            Span::exact(WHOLE)
        } else {
            Span {
                low: 0.0,
                high: WHOLE,
            }
        };
    }
    let Some(level) = part.percent else {
        return Span {
            low: 0.0,
            high: WHOLE,
        };
    };
    let span = Span {
        low: level.lower,
        high: level.upper.unwrap_or(WHOLE),
    };
    // A stated amount carries its own uncertainty, which the level leaves out.
    let relative = stated.and_then(|c| {
        let ends = match (&c.percent_w_w, &c.g_per_l, &c.mol_per_l) {
            (Some(p), _, _) => (Span::of(p), p.as_f64()),
            (_, Some(g), _) => (Span::of(g), g.as_f64()),
            (_, _, Some(m)) => (Span::of(m), m.as_f64()),
            _ => return None,
        };
        (ends.1 > 0.0).then(|| ends.0.scaled(1.0 / ends.1))
    });
    match relative {
        Some(r) if span.low == span.high => span.times(r).at_most(WHOLE),
        _ => span.at_most(WHOLE),
    }
}

/// Whether a batch must travel with a hazardous waste manifest.
fn manifest(
    batch: &Batch,
    found: Option<&Findings>,
    category: Option<&Identifier>,
) -> (Truth, String) {
    if matches!(batch.status, Some(BatchStatus::InUse | BatchStatus::Unused)) {
        return (
            Truth::No,
            "It is not waste while it is at work or unused.".to_owned(),
        );
    }
    let Some(found) = found else {
        return (
            Truth::Open,
            "Whether it is hazardous waste: name a rule set, or ask the authority.".to_owned(),
        );
    };
    let named = |least: Certainty| {
        let mut names: Vec<&str> = found
            .codes
            .iter()
            .filter(|c| c.certainty >= least)
            .map(|c| c.code.as_str())
            .collect();
        names.dedup();
        names.join(", ")
    };
    let sure = named(Certainty::Presumed);
    let all = named(Certainty::ToBeTested);
    if found.hazardous() == Hazardous::NotIndicated {
        return (
            Truth::No,
            "No waste code was found for it; the state may list it.".to_owned(),
        );
    }
    match category.map(Identifier::as_str) {
        Some("very_small") => (
            Truth::No,
            format!(
                "{}, but the federal rule asks no manifest of the smallest category; the state or the receiver may.",
                if all.is_empty() {
                    "Its tests are open"
                } else {
                    &all
                }
            ),
        ),
        _ if all.is_empty() => (
            Truth::Open,
            "Whether it is hazardous waste: the tests of its classification.".to_owned(),
        ),
        _ if sure.is_empty() => (
            Truth::Open,
            format!("Whether it is hazardous waste ({all}): the tests of its classification."),
        ),
        Some(_) => (Truth::Yes, format!("Hazardous waste: {sure}.")),
        None => (
            Truth::Open,
            format!(
                "Hazardous waste ({sure}): whether it must travel with a manifest follows from the generator category, which was not stated."
            ),
        ),
    }
}
