//! Neutralization: the dose of base for an acid liquid, in stages, or a refusal with its reason.
//!
//! The blocks come first. What is left is a mixture of known acids in water.

mod acid_base;
mod blocks;
mod result;

pub use acid_base::sources;
pub use result::{
    CarbonDioxide, DoseRange, NeutralizationOutcome, NeutralizationPlan, NeutralizationRequest,
    NeutralizingBase, PhPoint, PhWindow,
};

use super::classification::LegalDuty;
use super::contents::ph_interval;
use super::pour::{call, check_procedure};
use super::rule_set::{RuleSet, RuleSetName, When};
use crate::answer::{Answer, Method, Notes, Severity};
use crate::batch::{Batch, Component};
use crate::estimate::{Spread, batch_input, estimate_batch, volume_of};
use crate::fault::{Fault, Faults};
use crate::procedure::{Addition, Refusal, Step};
use crate::quantity::{ComputedGrams, ComputedLitres, ComputedMoles, ComputedPh, Identifier, Ph};
use crate::statistics::{Inputs, Uncertain};
use crate::substance::{Group, substance};
use acid_base::{AcidData, BaseData, Gas, Liquor, data, dose_for_ph, ph_after};

/// Dose from the stated acids.
pub const CHARGE_BALANCE: Method = Method {
    name: "acid-base balance",
    formula: "[Na] + [H] = acid anions + [OH] + [HCO3] + 2 [CO3] at the target pH, Davies activities; dose = mol/L x V x M",
    source: "minteq_v4_acids",
};

/// Carbonate and gas in the balance.
pub const GAS_BALANCE: Method = Method {
    name: "carbon dioxide released",
    formula: "carbon added - carbon left dissolved; litres at 25 °C and 1 atm = mol x 24.465",
    source: "phreeqc_co2",
};

/// Activities.
pub const DAVIES: Method = Method {
    name: "Davies activities",
    formula: "log10 g = -0.510025 z^2 (sqrt(I) / (1 + sqrt(I)) - 0.3 I)",
    source: "davies_phreeqc",
};

/// Dose of a strong acid alone, from its pH.
pub const FROM_PH: Method = Method {
    name: "strong acid from pH",
    formula: "mol/L = 10^-pH; the upper end of the dose allows for the activity of the ion",
    source: "house_rule",
};

/// The order of addition and the stages.
pub const STAGES: Method = Method {
    name: "staged addition",
    formula: "four fifths of the lower end in portions, then twentieths with the pH read after each",
    source: "ppe_neutralization",
};

/// Points on the way that a plan lists.
const PATH_POINTS: u32 = 10;

/// Answers `POST /v1/neutralization-plans`: a plan, or a refusal with its reason.
///
/// 1 g of nitric acid asks for 1.333 g of bicarbonate, 0.841 g of carbonate or 0.635 g of hydroxide,
/// plus what the dissolved carbon dioxide holds at the target pH.
///
/// # Errors
/// Faults of the batch and its evidence; a target outside 5.5 to 9; no volume.
///
/// ```
/// use spent_silver_domain::waste::neutralization::*;
/// let request: NeutralizationRequest = serde_json::from_str(r#"{"batch": {"id": "liquor",
///   "kind": "rinse_water", "volume_l": "5", "composition": [{"substance": "nitric_acid", "mol_per_l": "0.1"}]},
///   "base": "sodium_hydroxide", "target_ph": "7"}"#).unwrap();
/// let NeutralizationOutcome::Plan(plan) = plan_neutralization(&request).unwrap().result else { panic!() };
/// // 5 L x 0.1 mol/L x 39.997 g/mol = 20.0 g.
/// assert!((plan.base_g.get() - 19.998).abs() < 0.001);
/// ```
pub fn plan_neutralization(
    request: &NeutralizationRequest,
) -> Result<Answer<NeutralizationOutcome>, Faults> {
    let mut notes = Notes::new();
    let rules = request
        .rule_set
        .map_or_else(RuleSet::unspecified, RuleSetName::rules);
    let carbon_dioxide = request.carbon_dioxide.unwrap_or_else(|| {
        notes.assume(
            "/plan/carbon_dioxide",
            "/carbon_dioxide",
            "house_rule",
            "The gas is taken to bubble off at the pressure of the air, as it does within the hour.",
        );
        CarbonDioxide::VentsAtSaturation
    });
    let outcome = neutralize_batch(
        &request.batch,
        &Wish {
            base: request.base,
            target_ph: request.target_ph,
            carbon_dioxide,
            rules,
        },
        "/batch",
        &mut notes,
    )?;
    if let NeutralizationOutcome::Refusal(refusal) = &outcome {
        notes.warn("/refusal", Severity::Danger, refusal.reason.clone());
    }
    Ok(notes.answer(outcome, request.rule_set.map(|r| r.rules())))
}

/// How a batch is to be neutralized.
#[derive(Debug, Clone, Copy)]
pub struct Wish {
    /// The base.
    pub base: NeutralizingBase,
    /// The pH to reach; none: the window of the data file.
    pub target_ph: Option<Ph>,
    /// What becomes of the gas.
    pub carbon_dioxide: CarbonDioxide,
    /// The rules that apply.
    pub rules: &'static RuleSet,
}

/// Plans the neutralization of one batch; `at` is the batch's own place in the request, for faults.
///
/// # Errors
/// Faults of the batch and its evidence; a target outside 5.5 to 9; no volume.
pub fn neutralize_batch(
    batch: &Batch,
    wish: &Wish,
    at: &str,
    notes: &mut Notes,
) -> Result<NeutralizationOutcome, Faults> {
    let mut faults = batch.faults(at);
    let window = &data().window;
    if let Some(target) = wish.target_ph
        && (target < window.least_target_ph || target > window.most_target_ph)
    {
        faults.push(Fault::out_of_range(
            "/target_ph",
            target.decimal(),
            &format!(
                "{} to {}",
                window.least_target_ph.decimal(),
                window.most_target_ph.decimal()
            ),
        ));
    }
    Faults::none_of(faults)?;
    let estimate = if batch.evidence.is_empty() {
        None
    } else {
        Some(estimate_batch(batch, at, &mut Notes::new())?)
    };
    if let Err(refusal) = blocks::check(batch, wish.base, estimate.as_ref()) {
        return Ok(NeutralizationOutcome::Refusal(refusal));
    }
    let mut inputs = Inputs::default();
    let acids = match acids_of(batch, at, &mut inputs, notes)? {
        Ok(acids) => acids,
        Err(refusal) => return Ok(NeutralizationOutcome::Refusal(refusal)),
    };
    let Some(volume) = volume_of(batch, at, &mut inputs, notes)? else {
        return Err(Fault::missing(
            format!("{at}/volume_l"),
            "the volume, to turn a concentration into a dose",
        )
        .into());
    };
    let Some(dose) = dose(&acids, &volume, &inputs, wish, notes) else {
        return Ok(NeutralizationOutcome::Refusal(blocks::refusal(
            format!(
                "{} does not bring this liquid to that pH: it is there already, or it lies beyond what this base can do.",
                wish.base.words()
            ),
            &["Never keep adding base when the pH no longer moves."],
            &["Read the pH again; choose another target or base."],
        )));
    };
    warn_of_disagreement(batch, &acids, wish, notes);
    let plan = plan(batch, wish, &acids, &dose, volume.value(), notes);
    if let Err(refusal) = check_procedure(batch, &plan.steps) {
        return Ok(NeutralizationOutcome::Refusal(refusal));
    }
    Ok(NeutralizationOutcome::Plan(Box::new(plan)))
}

/// The acids of a liquid with how sure their concentrations are.
struct Acids {
    list: Vec<(Uncertain, &'static AcidData)>,
    /// Where the only acid was read from its pH: the range of its concentration.
    from_ph: Option<(f64, f64)>,
}

impl Acids {
    fn liquor(&self) -> Liquor {
        Liquor {
            acids: self.list.iter().map(|(c, a)| (c.value(), *a)).collect(),
        }
    }
}

/// Groups that neither take up base nor set anything free with a carbonate.
const IDLE: &[Group] = &[
    Group::Acid,
    Group::StrongAcid,
    Group::OxidizingAcid,
    Group::HydrochloricAcid,
    Group::Nitrate,
    Group::Chloride,
    Group::Halide,
    Group::Alcohol,
    Group::Ether,
    Group::OrganicMatter,
    Group::Inert,
    Group::Ammonium,
];

fn acids_of(
    batch: &Batch,
    at: &str,
    inputs: &mut Inputs,
    notes: &mut Notes,
) -> Result<Result<Acids, Refusal>, Fault> {
    let ask = |reason: String| {
        Ok(Err(Refusal {
            reason,
            never: vec!["Never dose by guess.".to_owned()],
            instead: vec![
                "State each acid in the composition with its amount: from the recipe, the bottle or a titration.".to_owned(),
                "Or send the liquid for collection as it is.".to_owned(),
            ],
            call: call(),
        }))
    };
    let mut list = Vec::new();
    let mut unmeasured: Vec<&'static AcidData> = Vec::new();
    for (i, part) in batch.composition.iter().enumerate() {
        let id = part.substance.as_str();
        match data().acid.iter().find(|a| a.substance == id) {
            Some(acid) => {
                match amount(batch, part, &format!("{at}/composition/{i}"), inputs, notes)? {
                    Some(c) => list.push((c, acid)),
                    None => unmeasured.push(acid),
                }
            }
            None if substance(&part.substance).is_some_and(|s| {
                s.groups.iter().all(|g| IDLE.contains(g)) && !s.is(Group::Acid)
            }) => {}
            None => {
                return ask(format!(
                    "`{id}` may take up base, and no dose is worked out for it here."
                ));
            }
        }
    }
    match (unmeasured.as_slice(), list.is_empty()) {
        ([], false) => Ok(Ok(Acids {
            list,
            from_ph: None,
        })),
        ([], true) => ask(
            "No acid is named. The pH alone gives no dose: acetic acid or sulfite may hold far more acid than the pH shows."
                .to_owned(),
        ),
        ([only], true) if only.pk.is_empty() => {
            let (Some(reading), Some((low, high))) = (&batch.ph, ph_interval(batch)) else {
                return ask(format!(
                    "The amount of {} is not stated, and no pH was read.",
                    only.substance
                ));
            };
            notes.method("/plan/base_g", FROM_PH);
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
            let most = 10f64.powf(-low);
            let activity = acid_base::single_ion_coefficient(most);
            Ok(Ok(Acids {
                list: vec![(ph.mapped(c, -c * std::f64::consts::LN_10), only)],
                from_ph: Some((10f64.powf(-high) / c, most / activity / c)),
            }))
        }
        ([weak, ..], _) => ask(format!(
            "The amount of {} is not stated, and the pH alone does not show it: a weak acid, or a second acid, holds more than the pH says.",
            weak.substance
        )),
    }
}

/// Moles per litre of one component, where an amount is stated.
fn amount(
    batch: &Batch,
    part: &Component,
    at: &str,
    inputs: &mut Inputs,
    notes: &mut Notes,
) -> Result<Option<Uncertain>, Fault> {
    const BARE: Spread = Spread::Relative(5.0);
    const WORDS: &str = "taken as a recipe's figure";
    let molar = substance(&part.substance).and_then(|s| s.molar_mass_g_per_mol);
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

struct BatchDose {
    target_ph: f64,
    window: (f64, f64),
    mol: f64,
    range_mol: (f64, f64),
    gas_mol: f64,
    molar: f64,
    base: &'static BaseData,
}

fn dose(
    acids: &Acids,
    volume: &Uncertain,
    inputs: &Inputs,
    wish: &Wish,
    notes: &mut Notes,
) -> Option<BatchDose> {
    let base = data().base.iter().find(|b| b.id == wish.base.substance())?;
    let molar = Identifier::new(wish.base.substance())
        .ok()
        .and_then(|id| substance(&id))?
        .molar_mass_g_per_mol?;
    let (target_ph, window) = target(wish, notes);
    let gas = wish.carbon_dioxide.gas();
    let liquor = acids.liquor();
    let per_litre = dose_for_ph(&liquor, base, target_ph, gas)?;
    notes.method("/plan/base_g", CHARGE_BALANCE);
    notes.method("/plan/base_g", DAVIES);
    if base.carbon_per_mol > 0.0 {
        notes.method("/plan/carbon_dioxide_released_mol", GAS_BALANCE);
    }
    for (_, acid) in &acids.list {
        notes.cite(crate::bibliography::reference(&acid.source).map_or("house_rule", |r| &r.key));
    }
    if per_litre.ionic_strength > 0.5 {
        notes.warn(
            "/plan/ph_path",
            Severity::Note,
            "This liquid is concentrated (ionic strength above 0.5): trust the pH paper before the predicted pH.",
        );
    }
    let mut concentration = Uncertain::exact(per_litre.base_mol_per_l);
    for (i, (c, _)) in acids.list.iter().enumerate() {
        let slope = slope(&liquor, i, base, target_ph, gas, per_litre.base_mol_per_l);
        concentration = concentration.plus(&c.mapped(0.0, slope));
    }
    let total = concentration.times(volume);
    let range_mol = match acids.from_ph {
        // The pH is an exponent: its ends are taken as they are, not to first order.
        Some((low, high)) => {
            let relative = 1.96 * volume.standard_uncertainty() / volume.value();
            (
                total.value() * low * (1.0 - relative).max(0.0),
                total.value() * high * (1.0 + relative),
            )
        }
        None => inputs
            .belief(&total, 1.0)
            .within(0.0, f64::INFINITY)
            .interval_95(),
    };
    Some(BatchDose {
        target_ph,
        window,
        mol: total.value(),
        range_mol,
        gas_mol: per_litre.gas_mol_per_l * volume.value(),
        molar,
        base,
    })
}

/// The change of dose with the concentration of one acid.
fn slope(liquor: &Liquor, i: usize, base: &BaseData, ph: f64, gas: Gas, dose: f64) -> f64 {
    let mut more = liquor.clone();
    let Some((c, _)) = more.acids.get_mut(i) else {
        return 0.0;
    };
    let step = *c * 1e-3;
    if step <= 0.0 {
        return 0.0;
    }
    *c += step;
    dose_for_ph(&more, base, ph, gas).map_or(0.0, |d| (d.base_mol_per_l - dose) / step)
}

fn target(wish: &Wish, notes: &mut Notes) -> (f64, (f64, f64)) {
    if let Some(target) = wish.target_ph {
        let target = target.as_f64();
        return (target, (target - 0.5, target + 0.5));
    }
    let window = &data().window;
    let (lower, upper) = (window.lower_ph.as_f64(), window.upper_ph.as_f64());
    notes.assume(
        "/plan/ph_window",
        "/target_ph",
        "house_rule",
        "No target was given: a window of pH 6.5 to 8.5, and the dose that first reaches it. A sewer authority may set another.",
    );
    // Lye overshoots; a carbonate goes on rising by itself as its gas leaves.
    let target = if wish.base == NeutralizingBase::SodiumHydroxide {
        7.0
    } else {
        lower
    };
    (target, (lower, upper))
}

fn warn_of_disagreement(batch: &Batch, acids: &Acids, wish: &Wish, notes: &mut Notes) {
    let (Some((low, high)), None, Some(base)) =
        (ph_interval(batch), acids.from_ph, data().base.first())
    else {
        return;
    };
    let expected = ph_after(&acids.liquor(), base, 0.0, wish.carbon_dioxide.gas());
    if expected < low - 0.5 || expected > high + 0.5 {
        notes.warn(
            "/plan/base_g",
            Severity::Caution,
            format!(
                "The stated acids give pH {expected:.1}, and the reading says {low:.1} to {high:.1}: something else is in it. Go by the pH after each portion, not by the dose."
            ),
        );
    }
}

fn plan(
    batch: &Batch,
    wish: &Wish,
    acids: &Acids,
    dose: &BatchDose,
    volume_l: f64,
    notes: &mut Notes,
) -> NeutralizationPlan {
    notes.method("/plan/steps", STAGES);
    let grams = |mol: f64| mol * dose.molar;
    let liquor = acids.liquor();
    let gas = wish.carbon_dioxide.gas();
    let ph_path = (0..=PATH_POINTS)
        .map(|i| {
            let share = f64::from(i) / f64::from(PATH_POINTS);
            let added = dose.mol * share;
            PhPoint {
                added_g: ComputedGrams::of(grams(added)),
                ph: ComputedPh::of(ph_after(&liquor, dose.base, added / volume_l, gas)),
            }
        })
        .collect();
    let litres = dose.gas_mol * data().carbon_dioxide.litres_per_mol;
    if wish.carbon_dioxide == CarbonDioxide::Closed && dose.base.carbon_per_mol > 0.0 {
        notes.warn(
            "/plan/carbon_dioxide",
            Severity::Danger,
            "A closed jug with acid and a carbonate bursts. This reckoning is for comparison only: work in the open.",
        );
    }
    NeutralizationPlan {
        base: wish.base,
        base_g: ComputedGrams::of(grams(dose.mol)),
        base_95_g: DoseRange {
            lower: ComputedGrams::of(grams(dose.range_mol.0)),
            upper: ComputedGrams::of(grams(dose.range_mol.1)),
        },
        base_mol: ComputedMoles::of(dose.mol),
        carbon_dioxide_released_mol: ComputedMoles::of(dose.gas_mol),
        carbon_dioxide_released_l: ComputedLitres::of(litres),
        carbon_dioxide: wish.carbon_dioxide,
        target_ph: ComputedPh::of(dose.target_ph),
        ph_window: PhWindow {
            lower: ComputedPh::of(dose.window.0),
            upper: ComputedPh::of(dose.window.1),
        },
        order: "Always the base into the acid liquid, slowly, in portions; never the acid into the base.".to_owned(),
        ph_path,
        least_container_l: ComputedLitres::of(2.0 * volume_l),
        steps: steps(batch, wish.base, dose, volume_l, litres),
        duties: wish
            .rules
            .duty
            .iter()
            .filter(|d| matches!(d.when, When::Neutralization | When::Sewer))
            .map(|d| LegalDuty {
                text: d.text.clone(),
                keep_for: None,
                authority: d.rule.clone(),
            })
            .collect(),
    }
}

fn steps(
    batch: &Batch,
    base: NeutralizingBase,
    dose: &BatchDose,
    volume_l: f64,
    gas_l: f64,
) -> Vec<Step> {
    let grams = |mol: f64| mol * dose.molar;
    let (low, high) = (grams(dose.range_mol.0), grams(dose.range_mol.1));
    let first = 0.8 * low.min(grams(dose.mol));
    let portion = grams(dose.mol) / 20.0;
    let name = base.words();
    let add = |g: f64| {
        Identifier::new(base.substance())
            .ok()
            .map(|substance| Addition {
                substance,
                mass_g: Some(ComputedGrams::of(g)),
                volume_ml: None,
            })
    };
    let with = |step: Step, g: f64| match add(g) {
        Some(addition) => step.adding(addition),
        None => step,
    };
    let mut start = Step::new(format!(
        "Put on goggles and gloves, have an eye rinse at hand, and work outdoors or at an open window. Put the liquid in an open container that holds at least {:.1} L.",
        2.0 * volume_l
    ))
    .caution("Never in a closed container: the gas bursts it.");
    if gas_l > 0.0 {
        start = start.caution(format!(
            "About {gas_l:.0} L of carbon dioxide comes off: it foams, and in a closed room it takes the air."
        ));
    }
    let mut weigh = Step::new(format!(
        "Weigh out {high:.1} g of {name}. The stated acids ask for {:.1} g; the rest is for what is not known exactly.",
        grams(dose.mol)
    ));
    if base == NeutralizingBase::SodiumHydroxide {
        weigh = weigh
            .caution("Lye blinds and gets hot: dissolve it first, the lye into ten times its mass of cold water, a little at a time.");
    }
    vec![
        start,
        weigh,
        with(
            Step::new(format!(
                "Add the first {first:.1} g to the acid liquid, in portions of about {portion:.1} g, stirring."
            )),
            first,
        )
        .caution("Always the base into the acid, never the acid into the base. Wait after each portion until the foam has gone.")
        .done_when("The foam of the last portion has gone."),
        with(
            Step::new(format!(
                "Go on in portions of about {portion:.1} g; stir, wait a minute and read the pH after each."
            )),
            high - first,
        )
        .done_when(format!(
            "The pH is between {:.1} and {:.1}. Stop there, however much is left.",
            dose.window.0, dose.window.1
        )),
        Step::new(format!(
            "If all {high:.1} g are in and the pH is still below {:.1}: stop. Something else is in the liquid; ask before adding more.",
            dose.window.0
        )),
        Step::new(
            "Leave it open, or under a cap that vents, for a day; then read the pH once more, for it rises as the last gas leaves.",
        )
        .caution("Never shut a freshly neutralized jug."),
        Step::new(format!(
            "Label it ({}, neutralized, with the date). What it now is, and where it may go, a laboratory and the authority say.",
            batch.id
        ))
        .caution("Nothing here is permission to discharge."),
    ]
}
