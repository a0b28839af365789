//! The plan as a person follows it.

use super::portions::SCALE_G;
use super::result::{DoseRange, NeutralizationPlan, PhPoint, PhWindow, StopPoint};
use super::{Base, STAGES, Wish, Worked};
use crate::answer::{Notes, Severity};
use crate::batch::Batch;
use crate::bibliography::SourceStatus;
use crate::chemistry::equilibria::{ValidityLevel, validity};
use crate::chemistry::species::Component;
use crate::chemistry::system::{CarbonDioxide, GAS_CONSTANT};
use crate::procedure::{Addition, Step};
use crate::quantity::{
    ComputedDegreesCelsius, ComputedGrams, ComputedLitres, ComputedMoles, ComputedPh, Identifier,
    Plain,
};
use crate::waste::classification::LegalDuty;
use crate::waste::rule_set::When;

/// Litres of a mole of gas at 25 °C and 1 atm: R T / p.
const GAS_L_PER_MOL: f64 = GAS_CONSTANT * 298.15 / 101.325;
/// Molar mass of sulfur dioxide, mg/mmol.
const SULFUR_DIOXIDE: f64 = 64.058;
/// A rise from which a liquor is called hot, in kelvin: common practice, no source.
const WARM_K: f64 = 10.0;
/// A rise from which it must be cooled.
const HOT_K: f64 = 30.0;

/// What the words of a plan are made of, in grams and litres.
struct Figures<'a> {
    batch: &'a Batch,
    base: Base,
    worked: &'a Worked,
    dose_g: f64,
    lower_g: f64,
    upper_g: f64,
    gas_l: f64,
    /// Room above the liquid.
    head_space_l: f64,
    /// Grams of a portion before the pH is read after each: its gas fits the room above the liquid.
    portion_g: f64,
    decimals: usize,
}

impl<'a> Figures<'a> {
    fn of(batch: &'a Batch, base: Base, worked: &'a Worked) -> Self {
        let molar = base.molar_mass_g_per_mol();
        let dose_g = worked.dose.mol * molar;
        let gas_l = worked.dose.equilibrium.carbon_dioxide_released_mol.max(0.0) * GAS_L_PER_MOL;
        // Foam may double the liquid; without gas it only has to be stirred.
        let head_space_l = if gas_l > 0.0 { 1.0 } else { 0.25 } * worked.volume_l;
        let portions = &worked.course.portions;
        let foams_over = head_space_l * dose_g / gas_l.max(f64::MIN_POSITIVE);
        let finest = portions.fine_g.min(portions.coarse_g);
        Self {
            batch,
            base,
            worked,
            dose_g,
            lower_g: worked.range_mol.0 * molar,
            upper_g: worked.range_mol.1 * molar,
            gas_l,
            head_space_l,
            portion_g: portions.coarse_g.min(foams_over.max(finest)),
            decimals: if finest >= 1.0 {
                0
            } else {
                (-finest.log10()).ceil().clamp(1.0, 4.0) as usize
            },
        }
    }

    /// Grams as the scale shows them.
    fn grams(&self, g: f64) -> String {
        format!("{g:.*} g", self.decimals)
    }
}

/// Words and numbers of the plan for a dose.
pub(super) fn write_plan(
    batch: &Batch,
    wish: &Wish,
    worked: &Worked,
    at: &str,
    notes: &mut Notes,
) -> NeutralizationPlan {
    notes.method("/steps", STAGES);
    if batch.scale_resolution_g.is_none() {
        notes.assume(
            "/ph_path",
            format!("{at}/scale_resolution_g"),
            "common_practice",
            format!("No scale was described: taken to show steps of {SCALE_G} g (common practice, no source)."),
        );
    }
    let figures = Figures::of(batch, wish.base, worked);
    warn(&figures, wish, notes);
    let course = &worked.course;
    let window = |(lower, upper): (f64, f64)| PhWindow {
        lower: ComputedPh::of(lower),
        upper: ComputedPh::of(upper),
    };
    NeutralizationPlan {
        refusal: None,
        base: wish.base,
        base_g: Some(ComputedGrams::of(figures.dose_g)),
        base_95_g: Some(DoseRange {
            lower: ComputedGrams::of(figures.lower_g),
            upper: ComputedGrams::of(figures.upper_g),
        }),
        base_mol: Some(ComputedMoles::of(worked.dose.mol)),
        carbon_dioxide_released_mol: Some(ComputedMoles::of(
            worked.dose.equilibrium.carbon_dioxide_released_mol.max(0.0),
        )),
        carbon_dioxide_released_l: Some(ComputedLitres::of(figures.gas_l)),
        carbon_dioxide: wish.carbon_dioxide,
        start_ph: Some(ComputedPh::of(course.start.ph)),
        target_ph: Some(ComputedPh::of(worked.target_ph)),
        ph_window: Some(window(worked.window)),
        ph_after_dose: Some(window(course.ph_after)),
        order: Some("Always the base into the acid liquid, slowly, in portions; never the acid into the base.".to_owned()),
        ph_path: course
            .portions
            .path_g
            .iter()
            .zip(&course.path_ph)
            .map(|(added, ph)| PhPoint {
                added_g: ComputedGrams::of(*added),
                ph: ComputedPh::of(*ph),
            })
            .collect(),
        stop_points: stop_points(&figures),
        temperature_rise_c: Some(ComputedDegreesCelsius::of(course.rise_k)),
        temperature_rise_status: Some(wish.base.row().map_or(SourceStatus::Unverified, |r| r.status)),
        left_out: Vec::new(),
        validity: Some(validity(worked.dose.equilibrium.ionic_strength)),
        least_container_l: Some(ComputedLitres::of(worked.volume_l + figures.head_space_l)),
        head_space_l: Some(ComputedLitres::of(figures.head_space_l)),
        steps: steps(&figures),
        duties: wish
            .rules
            .duty
            .iter()
            .filter(|d| matches!(d.when, When::Neutralization | When::Sewer))
            .map(|d| LegalDuty {
                text: d.text.as_str().into(),
                keep_for: None,
                authority: d.rule,
            })
            .collect(),
    }
}

fn warn(f: &Figures<'_>, wish: &Wish, notes: &mut Notes) {
    let (start, end) = (
        &f.worked.course.start.equilibrium,
        &f.worked.dose.equilibrium,
    );
    let carbonate = wish.base != Base::SodiumHydroxide;
    if wish.carbon_dioxide == CarbonDioxide::Closed && carbonate {
        notes.warn(
            "/carbon_dioxide",
            Severity::Danger,
            "A closed jug with acid and a carbonate bursts. This reckoning is for comparison only: work in the open.",
        );
    }
    if wish.carbon_dioxide == CarbonDioxide::OpenToAir && carbonate {
        notes.warn(
            "/ph_path",
            Severity::Note,
            "The path is that of a liquid that has stood in the open for days: while it still foams, the paper reads lower.",
        );
    }
    if f.gas_l > 0.0 {
        notes.warn(
            "/carbon_dioxide_released_l",
            Severity::Caution,
            format!(
                "{:.1} L of carbon dioxide comes off: it foams, takes the air of a closed room, and bursts a closed jug. Leave the jug open or vented for a day.",
                f.gas_l
            ),
        );
    }
    if start.dissolved(Component::Sulfite) > 0.0 {
        let free = start.molality_of("H2SO3") * SULFUR_DIOXIDE * 1000.0;
        notes.warn(
            "/start_ph",
            Severity::Danger,
            format!(
                "Sulfite and acid stand in one liquid: it gives off sulfur dioxide (about {free:.0} mg/L of it is free at the start), which chokes. Work outdoors, keep anyone with asthma away, and never add acid. It fades as the base goes in."
            ),
        );
    }
    let ammonia_mg = end.molality_of("NH3") * 17_031.0;
    if ammonia_mg > 10.0 {
        notes.warn(
            "/target_ph",
            Severity::Caution,
            format!("About {ammonia_mg:.0} mg/L of free ammonia is in the liquid at the end: it smells. Stop at the low end of the window."),
        );
    }
    let rise = f.worked.course.rise_k;
    if rise > WARM_K {
        let severity = if rise > HOT_K {
            Severity::Danger
        } else {
            Severity::Caution
        };
        notes.warn(
            "/temperature_rise_c",
            severity,
            format!(
                "It warms by about {rise:.0} °C if it goes in at once: stand the vessel in cold water and wait until it is cool after each portion."
            ),
        );
    }
    let valid = validity(end.ionic_strength);
    if valid.level != ValidityLevel::WithinModel {
        notes.warn(
            "/ph_path",
            Severity::Note,
            format!("{} Trust the pH paper before the predicted pH.", valid.text),
        );
    }
    let needs = f.worked.volume_l + f.head_space_l;
    let holds = f.batch.container.as_ref().and_then(|c| c.capacity_l);
    if holds.is_some_and(|c| c.as_f64() < needs) {
        notes.warn(
            "/least_container_l",
            Severity::Caution,
            format!("Its container is too small for the foam: move it to one that holds {needs:.1} L, or do it in parts."),
        );
    }
}

fn stop_points(f: &Figures<'_>) -> Vec<StopPoint> {
    let (low, high) = f.worked.window;
    let course = &f.worked.course;
    let first = course
        .portions
        .path_g
        .iter()
        .zip(&course.path_ph)
        .take_while(|(added, _)| **added <= course.portions.first_g * (1.0 + 1e-9))
        .last();
    let [low_ph, high_ph] = [low, high].map(|ph| Plain::places(ph, 1));
    let mut points = Vec::with_capacity(4);
    if let Some((added, ph)) = first.filter(|(added, _)| **added > 0.0) {
        points.push(StopPoint {
            added_g: Some(ComputedGrams::of(*added)),
            ph: Some(ComputedPh::of(*ph)),
            action: format!(
                "Stop, wait until it is quiet and read the pH: about {} is expected. If it is {low_ph} or more, it is done; if it is much lower than expected, there is more acid than stated: go on slowly.",
                Plain::places(*ph, 1)
            ),
        });
    }
    points.push(StopPoint {
        added_g: None,
        ph: Some(ComputedPh::of(low)),
        action: format!("Stop for good as soon as the pH is between {low_ph} and {high_ph}."),
    });
    points.push(StopPoint {
        added_g: None,
        ph: Some(ComputedPh::of(high)),
        action: format!(
            "Above {high_ph}: add nothing more, no acid either. Leave it open for a day, read it again, and ask."
        ),
    });
    points.push(StopPoint {
        added_g: Some(ComputedGrams::of(f.upper_g)),
        ph: None,
        action: format!(
            "All in and still below {low_ph}: stop. Something is in the liquid that is not stated."
        ),
    });
    points
}

fn steps(f: &Figures<'_>) -> Vec<Step> {
    let portions = &f.worked.course.portions;
    let (low, high) = f.worked.window;
    let [low_ph, high_ph] = [low, high].map(|ph| Plain::places(ph, 1));
    let first_g = portions.first_g.min(f.dose_g);
    let with = |step: Step, g: f64| match Identifier::new(f.base.substance()) {
        Ok(substance) => step.adding(Addition {
            substance,
            mass_g: Some(ComputedGrams::of(g)),
            volume_ml: None,
        }),
        Err(_) => step,
    };
    let into_acid = |step: Step| {
        step.caution("Always the base into the acid, never the acid into the base. Wait after each portion until the foam has gone.")
    };
    let mut steps = vec![prepare(f), weigh(f)];
    let small = f.grams(portions.fine_g);
    let read = "stir, wait a minute and read the pH after each.";
    let go_on = if first_g > 0.0 {
        let first = format!(
            "Add the first {} to the acid liquid, in portions of about {}, stirring.",
            f.grams(first_g),
            f.grams(f.portion_g)
        );
        let first = into_acid(with(Step::new(first), first_g));
        steps.push(first.done_when("The foam of the last portion has gone."));
        Step::new(format!("Go on in portions of about {small}; {read}"))
    } else {
        into_acid(Step::new(format!(
            "Add it to the acid liquid in portions of about {small}; {read}"
        )))
    };
    steps.extend([
        with(go_on, f.upper_g - first_g)
        .done_when(format!(
            "The pH is between {low_ph} and {high_ph}. Stop there, however much is left."
        )),
        Step::new(format!(
            "If all {} are in and the pH is still below {low_ph}: stop. Something else is in the liquid; ask before adding more.",
            f.grams(f.upper_g)
        )),
        Step::new(
            "Leave it open, or under a cap that vents, for a day; then read the pH once more, for it rises as the last gas leaves.",
        )
        .caution("Never shut a freshly neutralized jug."),
        Step::new(format!(
            "Label it ({}, neutralized, with the date). What it now is, and where it may go, a laboratory and the authority say.",
            f.batch.id
        ))
        .caution("Nothing here is permission to discharge."),
    ]);
    steps
}

fn prepare(f: &Figures<'_>) -> Step {
    let start = &f.worked.course.start.equilibrium;
    let mut step = Step::new(format!(
        "Put on goggles and gloves, have an eye rinse at hand, and work outdoors or at an open window. Put the liquid in an open container that holds at least {} L.",
        Plain::places(f.worked.volume_l + f.head_space_l, 1)
    ))
    .caution("Never in a closed container: the gas bursts it.");
    if f.gas_l > 0.0 {
        step = step.caution(format!(
            "About {} L of carbon dioxide comes off in all, about {} L with each of the first portions: it foams, and in a closed room it takes the air.",
            Plain::places(f.gas_l, 1),
            Plain::places(f.gas_l * f.portion_g / f.dose_g, 1)
        ));
    }
    if start.dissolved(Component::Sulfite) > 0.0 {
        step = step.caution(
            "Sulfite with acid gives off sulfur dioxide: outdoors, upwind, and never any acid into it.",
        );
    }
    step
}

fn weigh(f: &Figures<'_>) -> Step {
    let mut step = Step::new(format!(
        "Weigh out {} of {}. The stated contents ask for {}; the rest is for what is not known exactly.",
        f.grams(f.upper_g),
        f.base.words(),
        f.grams(f.dose_g)
    ));
    if f.worked.course.portions.too_small_for_scale {
        step = step.caution(format!(
            "The scale is too coarse for the portions: dissolve {} in 1 L of cold water, and measure that out: 100 mL hold {:.3} g.",
            f.grams(10.0 * f.upper_g),
            f.upper_g
        ));
    }
    if f.base == Base::SodiumHydroxide {
        step = step.caution("Lye blinds and gets hot: dissolve it first, the lye into ten times its mass of cold water, a little at a time.");
    }
    let rise = f.worked.course.rise_k;
    if rise > WARM_K {
        step = step.caution(format!(
            "The liquid warms by about {rise:.0} °C in all: stand it in cold water and go slowly."
        ));
    }
    step
}
