//! A batch as a liquor that can be solved, and what of it cannot.

use super::FROM_PH;
use super::blocks::refusal;
use super::data::{Brings, brings};
use super::result::{LeftOut, LeftOutEffect};
use crate::answer::{Notes, Severity};
use crate::batch::{Batch, Component as Part};
use crate::chemistry::formula::Formula;
use crate::chemistry::liquor::reagent_of;
use crate::chemistry::reagent::Reagent;
use crate::chemistry::species::Component;
use crate::chemistry::system::{Mixture, System};
use crate::estimate::{Spread, batch_input};
use crate::fault::Fault;
use crate::procedure::Refusal;
use crate::statistics::{Inputs, Uncertain};
use crate::substance::{Group, Substance, substance};
use crate::waste::contents::{implied_groups, ph_interval};

/// What a stated substance is to the reckoning.
#[derive(Clone, Copy)]
pub(super) enum Kind {
    /// A salt, acid or base of the equilibrium tables.
    Solved(&'static Reagent),
    /// An acid outside the tables, or its salt.
    Other(&'static Brings),
}

/// One substance of a liquor.
pub(super) struct Held {
    /// Moles per litre.
    pub concentration: Uncertain,
    pub kind: Kind,
}

/// What a batch holds.
#[derive(Default)]
pub(super) struct Liquor {
    pub held: Vec<Held>,
    pub left_out: Vec<LeftOut>,
    /// Where the only acid was read from its pH: the range of its concentration, as factors.
    pub from_ph: Option<(f64, f64)>,
}

/// Ions that neither take up base nor give any at the pH of a target.
const SPECTATORS: [Component; 8] = [
    Component::Chloride,
    Component::Bromide,
    Component::Iodide,
    Component::Thiocyanate,
    Component::Sulfate,
    Component::Nitrate,
    Component::Sodium,
    Component::Potassium,
];

/// Whether every part of a reagent but its hydrogen is a spectator.
fn is_strong(reagent: &Reagent) -> bool {
    Component::ALL
        .iter()
        .all(|c| *c == Component::Hydrogen || reagent.of(*c) == 0 || SPECTATORS.contains(c))
}

/// A salt that changes no pH.
fn is_idle(reagent: &Reagent) -> bool {
    is_strong(reagent) && reagent.of(Component::Hydrogen) == 0
}

/// An ammonium salt of a strong acid.
fn is_ammonium_salt(reagent: &Reagent) -> bool {
    let ammonia = reagent.of(Component::Ammonia);
    ammonia > 0
        && reagent.of(Component::Hydrogen) == ammonia
        && Component::ALL.iter().all(|c| {
            matches!(c, Component::Hydrogen | Component::Ammonia)
                || reagent.of(*c) == 0
                || SPECTATORS.contains(c)
        })
}

/// A strong acid that its pH measures: nitric, hydrochloric. Hydrogen sulfate is a buffer.
fn is_measured_by_ph(reagent: &Reagent) -> bool {
    is_strong(reagent)
        && reagent.of(Component::Hydrogen) == 1
        && reagent.of(Component::Sulfate) == 0
}

/// Groups of what neither takes up base nor sets anything free with a carbonate.
const IDLE: &[Group] = &[
    Group::Nitrate,
    Group::Chloride,
    Group::Halide,
    Group::Alcohol,
    Group::Ether,
    Group::OrganicMatter,
    Group::Inert,
    Group::StrongOxidizer,
    Group::Fuel,
];

/// What leaving out a substance that is not in the tables does; `None` where no dose may be given.
fn left_out(part: &Part, known: &Substance) -> Option<LeftOut> {
    if !known.groups.iter().all(|g| IDLE.contains(g)) {
        return None;
    }
    let organic = known.groups.iter().all(|g| {
        matches!(
            g,
            Group::Alcohol | Group::Ether | Group::OrganicMatter | Group::Inert | Group::Fuel
        )
    });
    let harmless = match known.formula.as_deref().map(Formula::parse) {
        // Other metals may fall out as hydroxide or carbonate.
        Some(Ok(formula)) => formula.elements().keys().all(|symbol| {
            ["H", "C", "N", "O", "S", "Cl", "Br", "I", "Li", "Na", "K"].contains(&symbol.as_str())
        }),
        _ => organic,
    };
    Some(if harmless {
        out(
            part,
            LeftOutEffect::None,
            "it is not in the equilibrium tables, and neither takes up base nor gives any",
        )
    } else {
        out(
            part,
            LeftOutEffect::LowerBound,
            "its metal may fall out as hydroxide or carbonate and take up base: the dose is the least that is needed",
        )
    })
}

fn out(part: &Part, effect: LeftOutEffect, reason: &str) -> LeftOut {
    LeftOut {
        substance: part.substance.clone(),
        effect,
        reason: reason.to_owned(),
    }
}

fn ask(reason: impl Into<String>) -> Refusal {
    refusal(
        reason,
        &["Never dose by guess."],
        &[
            "State each acid and each buffer in the composition with its amount: from the recipe, the bottle or a titration.",
            "Or send the liquid for collection as it is.",
        ],
    )
}

/// What the composition states; a refusal where an amount is needed and not known, or where
/// something would take up base unseen.
pub(super) fn liquor_of(
    batch: &Batch,
    at: &str,
    inputs: &mut Inputs,
    notes: &mut Notes,
) -> Result<Result<Liquor, Refusal>, Fault> {
    if let Some(refusal) = hidden_buffer(batch) {
        return Ok(Err(refusal));
    }
    let mut liquor = Liquor::default();
    let mut unmeasured: Vec<(&'static Substance, Kind)> = Vec::new();
    let mut acid = false;
    for (i, part) in batch.composition.iter().enumerate() {
        let Some(known) = substance(&part.substance) else {
            continue;
        };
        let id = known.id.as_str();
        let kind = brings(id).map(Kind::Other).or_else(|| {
            reagent_of(id)
                .filter(|r| r.of(Component::Zinc) == 0 && r.components != [0; Component::COUNT])
                .map(Kind::Solved)
        });
        let Some(kind) = kind else {
            match left_out(part, known) {
                Some(out) => liquor.left_out.push(out),
                None => {
                    return Ok(Err(ask(format!(
                        "`{id}` may take up base, and no dose is worked out for it here."
                    ))));
                }
            }
            continue;
        };
        acid |= known.is(Group::Acid);
        match (
            amount(
                batch,
                part,
                &format!("{at}/composition/{i}"),
                inputs,
                notes,
            )?,
            kind,
        ) {
            (Some(concentration), _) => liquor.held.push(Held {
                concentration,
                kind,
            }),
            (None, Kind::Solved(r)) if is_idle(r) => liquor.left_out.push(out(
                part,
                LeftOutEffect::None,
                "its amount is not stated, and it neither takes up base nor gives any",
            )),
            (None, Kind::Solved(r)) if is_ammonium_salt(r) => liquor.left_out.push(out(
                part,
                LeftOutEffect::LowerBound,
                "its amount is not stated: ammonium takes up a little base from pH 7.5 upwards, and the dose is the least that is needed",
            )),
            (None, _) => unmeasured.push((known, kind)),
        }
    }
    if !acid {
        return Ok(Err(ask(
            "No acid is named. The pH alone gives no dose: acetic acid or sulfite may hold far more acid than the pH shows.",
        )));
    }
    let only_salts = liquor
        .held
        .iter()
        .all(|h| matches!(h.kind, Kind::Solved(r) if is_idle(r)));
    match unmeasured.as_slice() {
        [] => {}
        [(known, Kind::Solved(reagent))] if only_salts && is_measured_by_ph(reagent) => {
            if let Err(refusal) = from_ph(batch, at, known, reagent, &mut liquor, inputs, notes)? {
                return Ok(Err(refusal));
            }
        }
        [(known, _), ..] => {
            return Ok(Err(ask(format!(
                "The amount of {} is not stated, and the pH alone does not show it: a weak acid, a buffer such as sulfite or acetate, or a second acid holds more than the pH says.",
                known.name
            ))));
        }
    }
    for out in &liquor.left_out {
        if out.effect == LeftOutEffect::LowerBound {
            notes.warn(
                "/left_out",
                Severity::Caution,
                format!("{} is left out: {}.", out.substance, out.reason),
            );
        }
    }
    Ok(Ok(liquor))
}

/// A buffer that such a liquid always holds and nobody stated.
fn hidden_buffer(batch: &Batch) -> Option<Refusal> {
    let contents = implied_groups(batch);
    [Group::Sulfite, Group::Carbonate, Group::DevelopingAgent]
        .into_iter()
        .filter(|g| !batch.states(*g))
        .find_map(|g| contents.source_of(g))
        .map(|held| {
            ask(format!(
                "This {} is buffered by {} of unknown amount: a dose from what is stated would be far from what it needs.",
                batch.kind.words(),
                held.group.words()
            ))
        })
}

/// The one strong acid, from the pH. The dose takes its activity as its concentration; the upper
/// end of the range allows for the difference.
fn from_ph(
    batch: &Batch,
    at: &str,
    known: &Substance,
    reagent: &'static Reagent,
    liquor: &mut Liquor,
    inputs: &mut Inputs,
    notes: &mut Notes,
) -> Result<Result<(), Refusal>, Fault> {
    let (Some(reading), Some((low, high))) = (&batch.ph, ph_interval(batch)) else {
        return Ok(Err(ask(format!(
            "The amount of {} is not stated, and no pH was read.",
            known.name
        ))));
    };
    let most = 10f64.powf(-low);
    let mut strongest = Mixture::new(1.0);
    strongest.add(reagent, most);
    let Ok(solved) = System::at_25_c().solve(&strongest) else {
        return Ok(Err(ask(format!(
            "The pH of {low:.1} is too low to tell how much {} there is.",
            known.name
        ))));
    };
    notes.method("/base_g", FROM_PH);
    let ph = batch_input(
        at,
        inputs,
        notes,
        "ph",
        reading,
        Spread::HalfWidth(0.5),
        "read from pH paper",
    )?;
    let c = 10f64.powf(-ph.value());
    let activity = 10f64.powf(-solved.ph()) / most;
    liquor.from_ph = Some((10f64.powf(-high) / c, most / activity.min(1.0) / c));
    liquor.held.push(Held {
        concentration: ph.mapped(c, -c * std::f64::consts::LN_10),
        kind: Kind::Solved(reagent),
    });
    Ok(Ok(()))
}

/// Moles per litre of one component, where an amount is stated.
fn amount(
    batch: &Batch,
    part: &Part,
    at: &str,
    inputs: &mut Inputs,
    notes: &mut Notes,
) -> Result<Option<Uncertain>, Fault> {
    const BARE: Spread = Spread::Relative(5.0);
    const WORDS: &str = "taken as a recipe's figure";
    let molar = substance(&part.substance).and_then(|s| s.molar_mass());
    if let Some(c) = &part.mol_per_l {
        return batch_input(at, inputs, notes, "mol_per_l", c, BARE, WORDS).map(Some);
    }
    let Some(molar) = molar else { return Ok(None) };
    if let Some(c) = &part.g_per_l {
        let c = batch_input(at, inputs, notes, "g_per_l", c, BARE, WORDS)?;
        return Ok(Some(c.scaled(1.0 / molar)));
    }
    let Some(percent) = &part.percent_w_w else {
        return Ok(None);
    };
    let c = batch_input(at, inputs, notes, "percent_w_w", percent, BARE, WORDS)?;
    let density = batch.density_g_per_ml.map_or(1.0, |d| d.as_f64());
    Ok(Some(c.scaled(10.0 * density / molar)))
}
