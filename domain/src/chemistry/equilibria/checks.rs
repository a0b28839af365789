//! What a reader must know of a solved mixture: what reacts by oxidation, what is dangerous, what
//! the model leaves out, and which constants it rests on.

use super::super::prediction;
use super::super::solver::Equilibrium;
use super::super::species::{Component, tables};
use super::super::system::{MetalInContact, Mixture};
use super::{EquilibriumRequest, has};
use crate::answer::{Notes, Severity};
use crate::bibliography::SourceStatus;
use crate::fault::{Fault, FaultKind};
use crate::quantity::write_significant;
use serde::Deserialize;
use std::sync::LazyLock;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OxidationFile {
    #[serde(rename = "source")]
    _source: String,
    pair: Vec<OxidationPair>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OxidationPair {
    oxidizer: String,
    reducers: Vec<String>,
    text: String,
}

static PAIRS: LazyLock<Vec<OxidationPair>> = LazyLock::new(|| {
    crate::data::parse::<OxidationFile>(include_str!("../../../data/oxidation.toml")).pair
});

fn component(formula: &str) -> Option<Component> {
    tables()
        .components
        .iter()
        .zip(Component::ALL)
        .find(|(row, _)| row.formula.as_str() == formula)
        .map(|(_, c)| c)
}

/// Refuses reagents that would react by oxidation.
pub(super) fn oxidation(
    request: &EquilibriumRequest,
    mixture: &Mixture,
    at: &str,
    faults: &mut Vec<Fault>,
) {
    for pair in PAIRS.iter() {
        let Some(oxidizer) = component(&pair.oxidizer) else {
            continue;
        };
        for formula in &pair.reducers {
            let Some(reducer) = component(formula) else {
                continue;
            };
            if !has(mixture, oxidizer) || !has(mixture, reducer) {
                continue;
            }
            // Iron in contact keeps its own ions reduced.
            if reducer == Component::Iron && mixture.metal == Some(MetalInContact::Fe) {
                continue;
            }
            let pointer = request
                .reagent_with(at, reducer)
                .or_else(|| request.reagent_with(at, oxidizer))
                .unwrap_or_else(|| format!("{at}/reagents"));
            let name = |c: Component| {
                tables()
                    .components
                    .get(c.index())
                    .map_or("", |row| row.name.as_str())
            };
            faults.push(Fault::new(
                FaultKind::NotApplicable,
                pointer,
                format!(
                    "{} and {} react by oxidation ({}): the solver knows no oxidation or reduction beyond silver on copper, zinc or iron; expected one of the two alone",
                    name(oxidizer),
                    name(reducer),
                    pair.text
                ),
            ));
        }
    }
}

/// Cites the constants, names those that are unverified or known at 25 °C only.
pub(super) fn constants(
    mixture: &Mixture,
    answer: &Equilibrium,
    temperature_c: f64,
    at: &str,
    notes: &mut Notes,
) {
    let t = tables();
    let silver = answer.dissolved_silver();
    let mut unverified: Vec<String> = Vec::new();
    let mut at_25: Vec<String> = Vec::new();
    for (species, molality) in t.species.iter().zip(answer.molality) {
        let Some(constant) = species.constant.as_ref().filter(|_| molality > 0.0) else {
            continue;
        };
        notes.cite(&constant.source);
        let holds_silver = f64::from(species.of(Component::Silver)) * molality > 0.01 * silver;
        let matters = molality > 1e-6 || (holds_silver && silver > 0.0);
        if matters && constant.status == SourceStatus::Unverified {
            unverified.push(species.formula.to_string());
        }
        if let Some(source) = &constant.enthalpy_source
            && temperature_c != 25.0
        {
            notes.cite(source);
        }
        if matters && temperature_c != 25.0 && constant.enthalpy_kj_per_mol.is_none() {
            at_25.push(species.formula.to_string());
        }
    }
    for ((i, solid), amount) in t.solids.iter().enumerate().zip(answer.solid_mol) {
        if !mixture.solids.contains(i) {
            continue;
        }
        if amount > 0.0 || answer.saturation_index.get(i).is_some_and(Option::is_some) {
            notes.cite(&solid.constant.source);
        }
        if amount > 0.0 {
            if solid.constant.status == SourceStatus::Unverified {
                unverified.push(format!("{}(s)", solid.formula));
            }
            if temperature_c != 25.0 && solid.constant.enthalpy_kj_per_mol.is_none() {
                at_25.push(format!("{}(s)", solid.formula));
            }
        }
    }
    if let Some(metal) = mixture.metal.and_then(MetalInContact::row) {
        notes.cite(&metal.source);
        if metal.status == SourceStatus::Unverified {
            unverified.push(metal.name.clone());
        }
        if temperature_c != 25.0 && metal.formula.as_str() != "Ag" {
            at_25.push(metal.name.clone());
        }
    }
    if !unverified.is_empty() {
        notes.warn(
            "",
            Severity::Note,
            format!(
                "These constants are from memory, unverified: {}.",
                unverified.join(", ")
            ),
        );
    }
    if !at_25.is_empty() {
        notes.assume(
            "",
            format!("{at}/temperature_c"),
            "equilibrium_judgement",
            format!(
                "No enthalpy is known for {}: these constants are at 25 °C.",
                at_25.join(", ")
            ),
        );
    }
}

/// Names the poison gases and the silver-ammonia danger.
pub(super) fn safety(mixture: &Mixture, answer: &Equilibrium, notes: &mut Notes) {
    let ph = answer.ph();
    if has(mixture, Component::Cyanide) {
        let hcn = answer.molality_of("HCN");
        if ph < 10.5 {
            notes.warn(
                "",
                Severity::Danger,
                format!(
                    "Hydrogen cyanide, a deadly gas: at pH {ph:.1} this mixture holds {} mol/kg of it. Never bring acid to cyanide. This figure is for safety planning only; keep the liquid closed and alkaline, apart from every acid, and call a licensed contractor.",
                    write_significant(hcn, 3)
                ),
            );
        } else {
            notes.warn(
                "",
                Severity::Danger,
                "Cyanide: keep it closed, alkaline and apart from every acid, which would free hydrogen cyanide, a deadly gas. It goes to a licensed contractor.",
            );
        }
    }
    if has(mixture, Component::Sulfide) {
        let h2s = answer.molality_of("H2S");
        if h2s > 1e-6 || ph < 9.0 {
            notes.warn(
                "",
                Severity::Danger,
                format!(
                    "Hydrogen sulfide, a poison gas: at pH {ph:.1} the liquor holds {} mol/kg of it. Keep sulfide liquors above pH 8, never bring acid to them, work outdoors or under a hood.",
                    write_significant(h2s, 3)
                ),
            );
        }
    }
    if has(mixture, Component::Thiosulfate) && ph < 4.0 {
        notes.warn(
            "",
            Severity::Danger,
            "Below pH 4 thiosulfate falls apart into sulfur and sulfur dioxide, a choking gas: the equilibrium takes no account of it. Never add acid to a fixer.",
        );
    } else if has(mixture, Component::Sulfite) && ph < 4.0 {
        notes.warn(
            "",
            Severity::Danger,
            "Below pH 4 sulfite gives off sulfur dioxide, a choking gas. Never add acid to it.",
        );
    }
    let ammonia = answer.molality_of("NH3") + 2.0 * answer.molality_of("Ag(NH3)2+");
    if has(mixture, Component::Ammonia)
        && has(mixture, Component::Silver)
        && (ph > 8.5 || ammonia > 1e-3)
    {
        notes.warn(
            "",
            Severity::Danger,
            "Silver with ammonia, or with an ammonium salt and alkali, turns into an explosive when kept, dried or warmed. Never make, keep or bottle it; put what there is into plenty of salt water today.",
        );
    }
}

/// Says where the model ends.
pub(super) fn limits(mixture: &Mixture, answer: &Equilibrium, notes: &mut Notes) {
    let validity = super::validity(answer.ionic_strength);
    if answer.ionic_strength > prediction::STRONG_WARNING_ABOVE {
        notes.warn("/validity", Severity::Caution, validity.text);
    } else if answer.ionic_strength > prediction::NOTICE_ABOVE {
        notes.warn("/validity", Severity::Note, validity.text);
    }
    let t = tables();
    for (i, solid) in t.solids.iter().enumerate() {
        let over = answer
            .saturation_index
            .get(i)
            .copied()
            .flatten()
            .is_some_and(|si| si > 0.0);
        if solid.only_when_named && over && !mixture.solids.contains(i) {
            notes.warn(
                "/solids",
                Severity::Note,
                format!(
                    "{} may fall out: {}.",
                    solid.name,
                    solid.constant.note.as_deref().unwrap_or_default()
                ),
            );
        }
    }
    let ph = answer.ph();
    if has(mixture, Component::Chromate) && ph < 8.0 {
        notes.warn(
            "",
            Severity::Note,
            "Hydrogen chromate and dichromate are not in the set: below pH 8 more silver stays in solution over silver chromate than is shown.",
        );
    }
    if has(mixture, Component::Iodide) && answer.free_silver() > 1e-3 {
        notes.warn(
            "",
            Severity::Note,
            "Silver baths hold iodide in ions of several silvers, for which no reviewed constant was found: the dissolved iodide shown is a floor of the model, not what a bath holds.",
        );
    }
    let metal_ions = [Component::Copper, Component::Zinc, Component::Iron]
        .into_iter()
        .any(|c| answer.dissolved(c) > 1e-9);
    if metal_ions && ph > 5.0 {
        notes.warn(
            "",
            Severity::Note,
            "Hydroxides, carbonates, sulfides and complexes of copper, zinc and iron are not in the set.",
        );
    }
    if let Some(metal) = mixture.metal.filter(|m| *m != MetalInContact::Ag) {
        notes.warn(
            "/metal",
            Severity::Note,
            "This is the floor that the metals' potentials allow: a real cartridge or bucket stops at milligrams per litre, and acid that dissolves the metal as hydrogen is not counted.",
        );
        let holds = [
            Component::Thiosulfate,
            Component::Cyanide,
            Component::Iodide,
            Component::Thiocyanate,
        ]
        .into_iter()
        .any(|c| has(mixture, c));
        if metal == MetalInContact::Cu && holds {
            notes.warn(
                "/metal",
                Severity::Caution,
                "Copper(I) forms complexes here for which no reviewed constant was found: the floor on copper is not to be relied on.",
            );
        }
    }
}
