//! A batch as a mixture that the solver takes: stated amounts, the silver as estimated, and the
//! usual make-up of a fixer where nothing is stated.

use super::constants::SILVER;
use super::reagent::Reagent;
use super::solver::{Equilibrium, EquilibriumError};
use super::species::Component;
use super::system::{Mixture, System};
use crate::batch::Batch;
use crate::quantity::write_significant;
use crate::substance::{Group, Substance, substance, substances};
use crate::waste::contents::component_g_per_l;
use serde::Deserialize;
use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::LazyLock;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Defaults {
    fixer: FixerDefaults,
    stands_for: Vec<StandsFor>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct FixerDefaults {
    source: String,
    thiosulfate: Usual,
    sulfite: Usual,
    acetate: Usual,
    ph: UsualPh,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Usual {
    mol_per_l: f64,
    low_mol_per_l: f64,
    high_mol_per_l: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct UsualPh {
    value: f64,
    low: f64,
    high: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct StandsFor {
    substance: String,
    formula: String,
    amount: f64,
}

static DEFAULTS: LazyLock<Defaults> =
    LazyLock::new(|| crate::data::parse(include_str!("../../data/liquor_defaults.toml")));

/// A substance of the trade as a reagent, and how many of it one stands for.
struct Known {
    reagent: Reagent,
    amount: f64,
    /// Whether it is counted as another salt.
    stands_in: bool,
}

static REAGENTS: LazyLock<HashMap<&'static str, Known>> = LazyLock::new(|| {
    let mut known = HashMap::new();
    for one in substances() {
        let other = DEFAULTS.stands_for.iter().find(|s| s.substance == one.id);
        let formula = other.map_or(one.formula.as_deref(), |s| Some(s.formula.as_str()));
        let Some(reagent) = formula.and_then(|f| Reagent::parse(f).ok()) else {
            continue;
        };
        known.insert(
            one.id.as_str(),
            Known {
                reagent,
                amount: other.map_or(1.0, |s| s.amount),
                stands_in: other.is_some(),
            },
        );
    }
    known
});

/// Every bibliography key of the defaults.
#[must_use]
pub fn default_sources() -> Vec<&'static str> {
    vec![DEFAULTS.fixer.source.as_str()]
}

/// A substance of the trade as a reagent of the solver, where it is one.
#[must_use]
pub fn reagent_of(id: &str) -> Option<&'static Reagent> {
    REAGENTS
        .get(id)
        .filter(|k| !k.stands_in)
        .map(|k| &k.reagent)
}

/// Something that was taken for granted of a liquor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assumed {
    /// Pointer into the request: the member that would replace it.
    pub field: String,
    /// What was taken.
    pub text: Cow<'static, str>,
    /// Key in the bibliography.
    pub source: &'static str,
}

/// A batch as a mixture, with what was taken for granted.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedLiquor {
    /// The mixture; its pH is not yet that of the batch (see [`bring_to_ph`]).
    pub mixture: Mixture,
    /// What was taken for granted.
    pub assumed: Vec<Assumed>,
    /// Standard uncertainty of the amounts that were taken for granted, mol.
    pub uncertain: Vec<(Component, f64)>,
    /// The pH to bring it to: the reading, or the usual one of its kind; none where the composition
    /// alone decides.
    pub ph: Option<f64>,
}

/// A batch as a mixture: its stated composition, the silver as estimated, and, in a fixer, the
/// usual thiosulfate, sulfite and acetate where no amount is stated.
///
/// The silver is there as nitrate, or in a fixer with the bromide of the film. A litre counts as a
/// kilogram of water. What is no salt, acid or base of the solver's set (alcohol, ether, sugar,
/// developing agents) is left out, and said to be.
/// `at` is the batch's own place in the request.
///
/// ```
/// use spent_silver_domain::batch::{Batch, BatchKind};
/// use spent_silver_domain::chemistry::liquor::mixture_of;
/// use spent_silver_domain::chemistry::species::Component;
/// use spent_silver_domain::quantity::Identifier;
/// let bath = Batch::named(Identifier::new("bath").unwrap(), BatchKind::SensitizingBath);
/// let liquor = mixture_of(&bath, 2.0, 107.8682, "/batch");
/// assert!((liquor.mixture.total_mol(Component::Nitrate) - 1.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn mixture_of(batch: &Batch, volume_l: f64, silver_g: f64, at: &str) -> StatedLiquor {
    let mut liquor = StatedLiquor {
        mixture: Mixture::new(volume_l),
        assumed: Vec::new(),
        uncertain: Vec::new(),
        ph: batch.ph.as_ref().map(|p| p.as_f64()),
    };
    liquor.assume(
        format!("{at}/density_g_per_ml"),
        "house_rule",
        "A litre of the liquid counts as a kilogram of water.",
    );
    let stated = liquor.add_stated(batch, volume_l, at);
    let silver = (silver_g / SILVER).max(0.0);
    liquor.mixture.add_component(Component::Silver, silver);
    if batch.holds_thiosulfate() {
        liquor.mixture.add_component(Component::Bromide, silver);
        liquor.add_usual_fixer(batch, volume_l, at, &stated);
    } else {
        liquor.mixture.add_component(Component::Nitrate, silver);
        if liquor.ph.is_none() {
            liquor.assume(
                format!("{at}/ph"),
                "house_rule",
                "No pH was given: the acid is that of the stated composition alone.",
            );
        }
    }
    liquor
}

/// Adds nitric acid or sodium hydroxide until a mixture has a pH; returns the equilibrium there.
///
/// # Errors
/// The mixture has no proved equilibrium, or grows too strong before it reaches the pH.
pub fn bring_to_ph(
    system: &System,
    mixture: &mut Mixture,
    ph: f64,
) -> Result<Equilibrium, EquilibriumError> {
    let mut near = None;
    for reagent in ACID_AND_LYE.iter() {
        match system.solve_at_ph(mixture, reagent, ph, near.as_ref()) {
            Ok((mol, found)) if mol >= 0.0 => {
                mixture.add(reagent, mol);
                return Ok(found);
            }
            other => near = other.ok().map(|(_, found)| found),
        }
    }
    enclose_ph(system, mixture, ph)
}

/// What brings a liquor to the pH that was read in it. The lye counts without its water, which was
/// measured with the rest.
static ACID_AND_LYE: LazyLock<Vec<Reagent>> = LazyLock::new(|| {
    let dry = |reagent: Reagent| Reagent {
        water: 0,
        ..reagent
    };
    ["HNO3", "NaOH"]
        .iter()
        .filter_map(|formula| Reagent::parse(formula).ok().map(dry))
        .collect()
});

/// How near a pH has to come.
const CLOSE_PH: f64 = 1e-4;

/// A mixture with so much nitric acid, or where negative sodium hydroxide.
fn with_acid(base: &Mixture, acid_mol: f64) -> Mixture {
    let mut changed = base.clone();
    changed.add_component(Component::Hydrogen, acid_mol);
    if acid_mol > 0.0 {
        changed.add_component(Component::Nitrate, acid_mol);
    } else {
        changed.add_component(Component::Sodium, -acid_mol);
    }
    changed
}

/// Finds the acid for a pH by enclosing it, to 1e-4 of it: slower, and for liquors whose search at a held
/// pH does not end.
fn enclose_ph(
    system: &System,
    mixture: &mut Mixture,
    ph: f64,
) -> Result<Equilibrium, EquilibriumError> {
    const MOST_ROUNDS: usize = 80;
    let base = mixture.clone();
    let mut found = system.solve(&base)?;
    let mut off = found.ph() - ph;
    if off.abs() <= CLOSE_PH {
        return Ok(found);
    }
    // Step outwards from no acid at all until the pH lies between two amounts.
    let strong = |ph: f64| 10f64.powf(-ph) - 10f64.powf(ph - 14.0);
    let first = (strong(ph) - strong(found.ph())).abs().max(1e-6) * base.water_kg;
    let mut step = first * off.signum();
    let (mut inner, mut at_inner) = (0.0, off);
    let (mut outer, mut at_outer);
    loop {
        let amount = inner + step;
        found = system.solve_from(&with_acid(&base, amount), Some(&found))?;
        off = found.ph() - ph;
        if off.abs() <= CLOSE_PH {
            *mixture = with_acid(&base, amount);
            return Ok(found);
        }
        (outer, at_outer) = (amount, off);
        if off.signum() != at_inner.signum() {
            break;
        }
        (inner, at_inner) = (amount, off);
        step *= 4.0;
    }
    for round in 0..MOST_ROUNDS {
        // Regula falsi with a halving now and then: a titration curve is steep.
        let amount = if round % 3 == 2 {
            0.5 * (inner + outer)
        } else {
            (inner * at_outer - outer * at_inner) / (at_outer - at_inner)
        };
        found = system.solve_from(&with_acid(&base, amount), Some(&found))?;
        off = found.ph() - ph;
        if off.abs() <= CLOSE_PH || (outer - inner).abs() <= 1e-15 * base.water_kg {
            *mixture = with_acid(&base, amount);
            return Ok(found);
        }
        if off.signum() == at_inner.signum() {
            (inner, at_inner) = (amount, off);
            at_outer *= 0.5;
        } else {
            (outer, at_outer) = (amount, off);
            at_inner *= 0.5;
        }
    }
    *mixture = with_acid(&base, 0.5 * (inner + outer));
    system.solve(mixture)
}

/// What the composition states with an amount.
#[derive(Debug, Default, Clone, Copy)]
struct Stated {
    thiosulfate: bool,
    sulfite: bool,
    acetate: bool,
}

impl StatedLiquor {
    fn assume(&mut self, field: String, source: &'static str, text: impl Into<Cow<'static, str>>) {
        self.assumed.push(Assumed {
            field,
            text: text.into(),
            source,
        });
    }

    fn add_stated(&mut self, batch: &Batch, volume_l: f64, at: &str) -> Stated {
        let mut stated = Stated::default();
        let mut without_amount = Vec::new();
        let mut left_out = Vec::new();
        let mut stands_in = Vec::new();
        for part in &batch.composition {
            let Some(one) = substance(&part.substance) else {
                left_out.push(part.substance.as_str());
                continue;
            };
            // The silver is the estimate's.
            if bears_silver(one) || one.is(Group::Inert) {
                continue;
            }
            let Some(known) = REAGENTS.get(one.id.as_str()) else {
                left_out.push(one.name.as_str());
                continue;
            };
            let Some(grams_per_l) = component_g_per_l(batch, part) else {
                // The make-up of a fixer is filled in below.
                if !(batch.holds_thiosulfate()
                    && (one.is(Group::Thiosulfate) || one.is(Group::Sulfite)))
                {
                    without_amount.push(one.name.as_str());
                }
                continue;
            };
            let molar = one
                .molar_mass()
                .unwrap_or_else(|| known.reagent.formula.molar_mass_g_per_mol());
            let amount = grams_per_l * volume_l / molar * known.amount;
            self.mixture.add(&known.reagent, amount);
            stated.thiosulfate |= one.is(Group::Thiosulfate);
            stated.sulfite |= one.is(Group::Sulfite);
            stated.acetate |= known.reagent.of(Component::Acetate) > 0;
            if known.stands_in {
                stands_in.push(one.name.as_str());
            }
        }
        let field = || format!("{at}/composition");
        if !without_amount.is_empty() {
            let text = format!(
                "No amount was given for {}: left out of the equilibrium.",
                without_amount.join(", ")
            );
            self.assume(field(), "house_rule", text);
        }
        if !left_out.is_empty() {
            let text = format!(
                "The equilibrium does not know {}: left out. What it dissolves or reduces is not in the figures.",
                left_out.join(", ")
            );
            self.assume(field(), "house_rule", text);
        }
        if batch.states(Group::IronTwo) {
            self.assume(
                field(),
                "house_rule",
                "What the iron developer has reduced already is counted as dissolved: there is less in solution than the equilibrium takes.",
            );
        }
        if !stands_in.is_empty() {
            let text = format!(
                "The metal of {} is counted as sodium in the equilibrium.",
                stands_in.join(", ")
            );
            self.assume(field(), "house_rule", text);
        }
        stated
    }

    fn add_usual_fixer(&mut self, batch: &Batch, volume_l: f64, at: &str, stated: &Stated) {
        let usual = &DEFAULTS.fixer;
        let source = usual.source.as_str();
        let field = format!("{at}/composition");
        self.assume(
            field.clone(),
            source,
            "The silver of a fixer came from film or paper: one bromide for each silver.",
        );
        let ammonium = batch.states(Group::Ammonium);
        let salt = |cations: f64| {
            move |mixture: &mut Mixture| {
                if ammonium {
                    mixture.add_component(Component::Ammonia, cations);
                    mixture.add_component(Component::Hydrogen, cations);
                } else {
                    mixture.add_component(Component::Sodium, cations);
                }
            }
        };
        let mut fill = |component: Component, charge: f64, name: &str, usual: &Usual| {
            let amount = usual.mol_per_l * volume_l;
            self.mixture.add_component(component, amount);
            if component == Component::Thiosulfate {
                salt(charge * amount)(&mut self.mixture);
            } else {
                self.mixture
                    .add_component(Component::Sodium, charge * amount);
            }
            // The range is taken as one in which every figure is as likely.
            let spread =
                (usual.high_mol_per_l - usual.low_mol_per_l) * volume_l / (2.0 * 3f64.sqrt());
            self.uncertain.push((component, spread));
            self.assume(
                field.clone(),
                source,
                format!(
                    "No amount was given for the {name}: {} mol/L, and it may be {} to {} (unverified).",
                    write_significant(usual.mol_per_l, 2),
                    write_significant(usual.low_mol_per_l, 2),
                    write_significant(usual.high_mol_per_l, 2)
                ),
            );
        };
        if !stated.thiosulfate {
            fill(
                Component::Thiosulfate,
                2.0,
                "thiosulfate",
                &usual.thiosulfate,
            );
        }
        if !stated.sulfite {
            fill(Component::Sulfite, 2.0, "sulfite", &usual.sulfite);
        }
        if !stated.acetate {
            fill(Component::Acetate, 1.0, "acetate", &usual.acetate);
        }
        if self.ph.is_none() {
            self.ph = Some(usual.ph.value);
            self.assume(
                format!("{at}/ph"),
                source,
                format!(
                    "The pH was not given: reckoned at {}, and it may be {} to {} (unverified).",
                    write_significant(usual.ph.value, 2),
                    write_significant(usual.ph.low, 2),
                    write_significant(usual.ph.high, 2)
                ),
            );
        }
    }
}

fn bears_silver(one: &Substance) -> bool {
    one.is(Group::Silver) || one.is(Group::SilverComplex) || one.is(Group::SilverSolid)
}
