//! What a container holds or must be taken to hold: what is stated, what its kind always brings,
//! and what is presumed until someone says otherwise.

use super::pour::{ph_marks, working_bath};
use crate::batch::{Batch, BatchKind, BatchStatus, Component, Craft, CyanideKnowledge};
use crate::quantity::Ph;
use crate::substance::{Group, substance};
use serde::Serialize;
use std::borrow::Cow;

mod strength;

use strength::is_dilute;
pub(crate) use strength::is_thin;

/// How it is known that something is in a container.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Certainty {
    /// Not known: it must be tested or asked.
    ToBeTested,
    /// Taken to be so until someone shows otherwise.
    Presumed,
    /// Known from what was stated or measured, or from what such a liquid always is.
    Known,
}

/// One group that a container holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    /// The group.
    pub group: Group,
    /// How it is known.
    pub certainty: Certainty,
    /// The substance or the kind of container it comes from, in words.
    pub from: Cow<'static, str>,
}

/// Everything a container holds, by hazard group.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Contents {
    held: Vec<Held>,
    /// The groups held, a bit for each.
    groups: u64,
    /// Names that we do not know, and contents that nobody stated.
    unknown: Vec<String>,
}

/// The bit of a group in a set of groups.
pub(super) const fn bit(group: Group) -> u64 {
    1 << group as u32
}

const _: () = assert!(Group::ALL.len() <= u64::BITS as usize);

impl Contents {
    /// Everything held, in no particular order; one entry per group.
    #[must_use]
    pub fn held(&self) -> &[Held] {
        &self.held
    }

    /// What is not known, in words; empty when every substance is one we know.
    #[must_use]
    pub fn unknown(&self) -> &[String] {
        &self.unknown
    }

    /// Whether the group is held, known or presumed.
    #[must_use]
    pub const fn holds(&self, group: Group) -> bool {
        self.groups & bit(group) != 0
    }

    /// Where the group comes from, in words.
    #[must_use]
    pub fn source_of(&self, group: Group) -> Option<&Held> {
        self.held.iter().find(|h| h.group == group)
    }

    /// Adds a group; knowing outranks presuming.
    pub(super) fn add(
        &mut self,
        group: Group,
        certainty: Certainty,
        from: impl Into<Cow<'static, str>>,
    ) {
        if !self.holds(group) {
            self.groups |= bit(group);
            self.held.push(Held {
                group,
                certainty,
                from: from.into(),
            });
        } else if let Some(held) = self.held.iter_mut().find(|h| h.group == group)
            && held.certainty < certainty
        {
            held.certainty = certainty;
            held.from = from.into();
        }
    }

    fn add_all(&mut self, groups: &[Group], certainty: Certainty, from: &'static str) {
        for group in groups {
            self.add(*group, certainty, from);
        }
    }

    /// Everything in one substance that is poured as it comes from its bottle.
    pub(super) fn of_substance(id: &crate::quantity::Identifier) -> Self {
        let mut contents = Self::default();
        match substance(id) {
            Some(s) => contents.add_all(&s.groups, Certainty::Known, &s.name),
            None => contents.unknown.push(id.to_string()),
        }
        contents
    }

    /// Takes in everything that `other` holds.
    pub(super) fn merge(&mut self, other: &Self) {
        for h in &other.held {
            self.add(h.group, h.certainty, h.from.clone());
        }
        for name in &other.unknown {
            if !self.unknown.contains(name) {
                self.unknown.push(name.clone());
            }
        }
    }
}

/// Grams per litre of a component, where an amount is given and the substance's molar mass is known
/// where needed. A percentage by mass is taken at the batch's density, or at 1 g/mL.
#[must_use]
pub fn component_g_per_l(batch: &Batch, part: &Component) -> Option<f64> {
    if let Some(c) = &part.g_per_l {
        return Some(c.as_f64());
    }
    if let Some(c) = &part.mol_per_l {
        let molar = substance(&part.substance)?.molar_mass()?;
        return Some(c.as_f64() * molar);
    }
    let percent = part.percent_w_w.as_ref()?.as_f64();
    let density = batch.density_g_per_ml.map_or(1.0, |d| d.as_f64());
    Some(percent * 10.0 * density)
}

/// The interval of a measured pH: the ends of a range as read from paper, 95 % of a normal reading,
/// and half a unit either way for a bare figure (common practice, no source).
#[must_use]
pub fn ph_interval(batch: &Batch) -> Option<(f64, f64)> {
    let ph = batch.ph.as_ref()?;
    let half = ph.half_width_95().unwrap_or(0.5);
    Some((ph.as_f64() - half, ph.as_f64() + half))
}

/// The hazard groups that a batch holds: those of its stated substances, those its kind always
/// brings, and those presumed until someone says otherwise. Every check of a batch starts here.
///
/// A fixer brings thiosulfate, sulfite and acid unless it counts as cyanide; an iron developer is an
/// acid; a toner or intensifier of unstated make is taken for the worst of its kind; a rinse in a
/// collodion studio may carry cyanide. Nitric acid in a working bath counts as dilute up to the
/// threshold of the data file, and an oxidizer or what burns as thin below its own. An unstated unused chemical or spill is unknown.
#[must_use]
pub fn implied_groups(batch: &Batch) -> Contents {
    let mut contents = Contents {
        // Room for what most hold.
        held: Vec::with_capacity(8),
        ..Contents::default()
    };
    let spirits: f64 = batch
        .composition
        .iter()
        .filter(|c| {
            substance(&c.substance).is_some_and(|s| s.is(Group::Alcohol) || s.is(Group::Ether))
        })
        .filter_map(|c| component_g_per_l(batch, c))
        .sum();
    let is_fixer = matches!(batch.kind, BatchKind::Fixer | BatchKind::BleachFix);
    for part in &batch.composition {
        let Some(known) = substance(&part.substance) else {
            contents.unknown.push(part.substance.to_string());
            continue;
        };
        let dilute = known.is(Group::StrongAcid) && is_dilute(batch, part, spirits);
        let thin = is_thin(batch, part, known);
        for group in &known.groups {
            let group = match group {
                Group::StrongOxidizer | Group::Fuel if thin => continue,
                Group::StrongAcid | Group::OxidizingAcid if dilute => continue,
                Group::Acid if is_fixer && !known.is(Group::StrongAcid) => Group::AcidFixer,
                other => *other,
            };
            contents.add(group, Certainty::Known, known.name.as_str());
        }
    }
    from_kind(batch, &mut contents);
    from_mixture(batch, &mut contents);
    from_ph(batch, &mut contents);
    contents
}

/// What went into a waste from another container is in it still, but for what thinning ends: its strength.
fn from_mixture(batch: &Batch, contents: &mut Contents) {
    const THINNED: &[Group] = &[
        Group::Acid,
        Group::StrongAcid,
        Group::OxidizingAcid,
        Group::HydrochloricAcid,
        Group::AcidFixer,
        Group::Caustic,
        Group::Carbonate,
        Group::StrongOxidizer,
        Group::Fuel,
    ];
    // How much of it is there now nobody says by its name.
    const SILVER: &[Group] = &[Group::Silver, Group::SilverComplex, Group::SilverSolid];
    let treated = batch.status == Some(BatchStatus::Treated);
    for one in &batch.mixed_in {
        let before = implied_groups(&one.as_batch());
        for name in before.unknown() {
            if !contents.unknown.contains(name) {
                contents.unknown.push(name.clone());
            }
        }
        for held in before.held() {
            let silver = SILVER.contains(&held.group);
            if THINNED.contains(&held.group) || (silver && treated) {
                continue;
            }
            let certainty = if silver {
                held.certainty.min(Certainty::Presumed)
            } else {
                held.certainty
            };
            let from = format!("{}, which went in from `{}`", held.from, one.from);
            contents.add(held.group, certainty, from);
        }
    }
}

/// What a reading of pH adds to what was stated: an acid, a strong one, a lye; cyanide on its way out;
/// silver that only ammonia keeps dissolved. A reading never takes anything away.
fn from_ph(batch: &Batch, contents: &mut Contents) {
    use Certainty::{Known, Presumed};
    let Some((low, high)) = ph_interval(batch) else {
        return;
    };
    let marks = ph_marks();
    let read = f64::midpoint(low, high);
    let below = |value: f64, mark: Ph| value < mark.as_f64();
    // A fixer's own acid is another group.
    let acid = if contents.holds(Group::Thiosulfate) && batch.kind.is_liquid() {
        below(high, marks.fixer_acid_below)
    } else {
        below(low, marks.acid_below)
    };
    if acid {
        let sure = if below(high, marks.acid_below) {
            Known
        } else {
            Presumed
        };
        contents.add(Group::Acid, sure, "an acid, by its pH");
    }
    if low < strong_acid_ph() {
        contents.add(Group::StrongAcid, Presumed, "a strong acid, by its pH");
    }
    if !below(read, marks.lye_from) {
        contents.add(Group::Caustic, Presumed, "a lye, by its pH");
    }
    // A pH below 10 is no sign of anything where cyanide is only one of the things that a toner or
    // intensifier of unstated make may hold.
    let cyanide = contents
        .source_of(Group::Cyanide)
        .is_some_and(|h| h.certainty == Known || batch.counts_as_cyanide());
    if cyanide && below(read, marks.cyanide_goes_below) {
        contents.add(
            Group::Acid,
            Presumed,
            "too little alkali for cyanide, by its pH",
        );
    }
    let bath = matches!(batch.kind, BatchKind::SensitizingBath | BatchKind::Drip);
    if bath && contents.holds(Group::Silver) && !below(read, marks.silver_alone_below) {
        contents.add(
            Group::Ammonia,
            Presumed,
            "silver dissolved at this pH, which only ammonia keeps so",
        );
    }
}

/// The pH below which more than the few drops of acid of a working bath must be in a liquid: 1 mol/L of
/// nitric acid is 63 g/L.
fn strong_acid_ph() -> f64 {
    let most_mol_per_l = working_bath().acid_most_g_per_l.as_f64() / 63.012;
    -most_mol_per_l.log10() - 0.5
}

fn from_kind(batch: &Batch, contents: &mut Contents) {
    use Certainty::{Known, Presumed};
    let words = batch.kind.words();
    let nothing_stated = batch.composition.is_empty();
    let used = batch.status != Some(BatchStatus::Unused);
    let treated = batch.status == Some(BatchStatus::Treated);
    let collodion = batch.craft == Some(Craft::Collodion);
    let maybe_collodion = matches!(batch.craft, None | Some(Craft::Collodion));
    let alkaline = ph_interval(batch).is_some_and(|(low, _)| low >= 7.0);
    match batch.kind {
        BatchKind::SensitizingBath | BatchKind::Drip => {
            contents.add(Group::Nitrate, Known, words);
            if !treated {
                contents.add(Group::Silver, Known, words);
            }
            if !alkaline {
                contents.add(Group::Acid, Presumed, words);
            }
            if used && maybe_collodion {
                let sure = if collodion { Known } else { Presumed };
                contents.add_all(&[Group::Alcohol, Group::Ether], sure, words);
            }
        }
        BatchKind::Fixer | BatchKind::CyanideFixer => fixer(batch, contents, used, alkaline),
        BatchKind::BleachFix => {
            contents.add_all(
                &[Group::Thiosulfate, Group::Sulfite, Group::Ferric],
                Known,
                words,
            );
            contents.add(Group::Ammonium, Presumed, words);
            if !alkaline {
                contents.add(Group::AcidFixer, Presumed, words);
            }
            if used && !treated {
                contents.add(Group::SilverComplex, Known, words);
            }
        }
        BatchKind::Developer => developer(batch, contents, used),
        BatchKind::StopBath => contents.add(Group::Acid, Known, words),
        BatchKind::RinseWater => {
            contents.add(Group::Inert, Known, words);
            if nothing_stated {
                if !treated {
                    contents.add(Group::Silver, Presumed, words);
                }
                if collodion {
                    contents.add(
                        Group::CyanideTraces,
                        Presumed,
                        "rinse in a collodion studio",
                    );
                }
            }
        }
        BatchKind::Toner if nothing_stated => contents.add_all(
            &[Group::Selenium, Group::Sulfide, Group::Gold],
            Presumed,
            "toner of unstated make",
        ),
        BatchKind::IntensifierOrReducer if nothing_stated => contents.add_all(
            &[
                Group::Mercury,
                Group::Chromate,
                Group::Ferricyanide,
                Group::Cyanide,
            ],
            Presumed,
            "intensifier or reducer of unstated make",
        ),
        BatchKind::AmmoniacalSilver => {
            contents.add_all(
                &[Group::Silver, Group::Ammonia, Group::Nitrate],
                Known,
                words,
            );
        }
        BatchKind::CollodionOrSolvent if nothing_stated => contents.add_all(
            &[
                Group::Alcohol,
                Group::Ether,
                Group::Nitrocellulose,
                Group::Fuel,
            ],
            Presumed,
            words,
        ),
        BatchKind::Sludge => {
            contents.add(Group::SilverSolid, Presumed, words);
            if nothing_stated && collodion {
                contents.add(
                    Group::CyanideTraces,
                    Presumed,
                    "sludge of a collodion studio",
                );
            }
        }
        BatchKind::WipesAndFilters => {
            contents.add(Group::OrganicMatter, Known, words);
            contents.add(Group::Fuel, Presumed, words);
            if nothing_stated && batch.craft != Some(Craft::FilmAndPaper) {
                contents.add_all(&[Group::Silver, Group::Nitrate], Presumed, words);
            }
            if nothing_stated && collodion {
                contents.add(
                    Group::CyanideTraces,
                    Presumed,
                    "wipes of a collodion studio",
                );
            }
        }
        BatchKind::FilmAndPaper | BatchKind::GlassPlates => {
            contents.add(Group::OrganicMatter, Known, words);
            if batch.kind == BatchKind::FilmAndPaper {
                contents.add(Group::Fuel, Presumed, words);
            }
            contents.add(Group::SilverSolid, Presumed, words);
        }
        BatchKind::SpentCartridge => {
            contents.add(Group::ReactiveMetal, Known, words);
            contents.add_all(&[Group::SilverSolid, Group::Thiosulfate], Presumed, words);
        }
        BatchKind::SpillResidue | BatchKind::UnusedChemical if nothing_stated => {
            contents
                .unknown
                .push(format!("{words} of unstated contents"));
        }
        BatchKind::Toner
        | BatchKind::IntensifierOrReducer
        | BatchKind::CollodionOrSolvent
        | BatchKind::SpillResidue
        | BatchKind::UnusedChemical => {}
    }
}

fn fixer(batch: &Batch, contents: &mut Contents, used: bool, alkaline: bool) {
    use Certainty::{Known, Presumed};
    let words = batch.kind.words();
    match batch.cyanide() {
        CyanideKnowledge::Present => {
            contents.add(Group::Cyanide, Known, words);
            contents.add(Group::Caustic, Presumed, words);
        }
        CyanideKnowledge::Presumed => contents.add(
            Group::Cyanide,
            Presumed,
            "fixer of unstated type in a collodion studio, which counts as cyanide",
        ),
        CyanideKnowledge::NotIndicated => {
            contents.add_all(&[Group::Thiosulfate, Group::Sulfite], Known, words);
            if !alkaline {
                contents.add(Group::AcidFixer, Presumed, words);
            }
            if !batch.states(Group::Thiosulfate) {
                contents.add(Group::Ammonium, Presumed, "fixer of unstated salt");
            }
        }
    }
    if used && batch.status != Some(BatchStatus::Treated) {
        contents.add(Group::SilverComplex, Known, words);
    }
}

fn developer(batch: &Batch, contents: &mut Contents, used: bool) {
    use Certainty::{Known, Presumed};
    let iron = batch.states(Group::IronTwo);
    let organic = batch.states(Group::DevelopingAgent);
    let iron_words = "iron developer";
    if iron || (batch.craft == Some(Craft::Collodion) && !organic) {
        contents.add_all(&[Group::IronTwo, Group::Acid], Known, iron_words);
        contents.add(Group::Alcohol, Presumed, iron_words);
        if used {
            contents.add_all(
                &[Group::Silver, Group::Nitrate],
                Presumed,
                "developer run-off",
            );
        }
    } else if organic || batch.craft.is_some() {
        contents.add(Group::DevelopingAgent, Known, "developer");
        contents.add_all(&[Group::Sulfite, Group::Carbonate], Presumed, "developer");
    } else {
        contents.add_all(
            &[
                Group::IronTwo,
                Group::Acid,
                Group::DevelopingAgent,
                Group::Sulfite,
                Group::Carbonate,
            ],
            Presumed,
            "developer of unstated type",
        );
    }
}

/// Whether a batch must be taken to hold silver, by its kind or its stated composition. A treated
/// liquor is not, but is to be tested.
#[must_use]
pub fn bears_silver(batch: &Batch) -> bool {
    holds_silver(batch, &implied_groups(batch))
}

/// The same of a batch whose contents are known already.
pub(crate) fn holds_silver(batch: &Batch, contents: &Contents) -> bool {
    let stated = batch
        .known_substances()
        .any(|s| s.is(Group::Silver) || s.is(Group::SilverComplex) || s.is(Group::SilverSolid));
    stated
        || (batch.status != Some(BatchStatus::Treated)
            && [Group::Silver, Group::SilverComplex, Group::SilverSolid]
                .iter()
                .any(|g| contents.holds(*g)))
}
