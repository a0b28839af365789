//! Care of a working silver nitrate bath, which prevents waste: its state, what piles up in it, the
//! acid, the silver nitrate and the sun that keep it at work, and when it is past sense.
//!
//! No figure for iodide is given without constants of the person's own, and no bicarbonate goes
//! into a bath in which ammonia could hold silver.

mod acidity;
mod ammonium;
mod block;
mod build_up;
mod dangers;
mod facts;
mod findings;
mod iodide;
mod liquor;
mod request;
mod result;
mod steps;
mod strength;

pub use facts::sources;
pub use liquor::{acid_for_ph, ph_of_bath};
pub use request::{
    BathAcid, BathCareRequest, BathSign, GivenIodideConstants, Iodizer, IodizerSalt, MOST_PLATES,
    MOST_SALTS, MOST_SIGNS,
};
pub use result::{
    BathAcidDose, BathAmmonium, BathBicarbonate, BathBuildUp, BathCare, BathFinding, BathIodide,
    BathMassSpan, BathPastSense, BathPathPoint, BathPhSpan, BathProcedure, BathSaltLeft, BathState,
    BathSubject, BathTopUp, BathVolumeSpan, HowSure, PhOrigin,
};

use crate::answer::{Answer, Method, Notes, Severity};
use crate::batch::{BatchStatus, Craft};
use crate::chemistry::constants::SILVER_NITRATE;
use crate::fault::{Fault, FaultKind, Faults, at_most};
use crate::quantity::{ComputedMolesPerLitre, ComputedPercentVV, ComputedPh, write_decimal};
use crate::substance::{Group, substance};
use crate::waste::contents::component_g_per_l;
use crate::waste::pour::check_procedure;
use acidity::{
    MadeUp, acid_dose, acid_of, acidity, bath, bicarbonate, bicarbonate_allowed, ceiling,
};
use ammonium::{Ammonium, ammonium_of};
use build_up::brought_in;
use facts::{facts, number};
use findings::{Seen, findings, spirits_limit};
use liquor::Unreached;
use steps::{Plan, steps};

const BATH_PH: Method = Method {
    name: "pH and acid of a silver nitrate bath",
    formula: "charge balance of silver nitrate, its acid and its salts at 25 °C in open air, Davies activity; the acid for a pH by the same equations solved back; 1 L holds 1 kg of water, alcohol not counted",
    source: "phreeqc_davies",
};

const SUNNING: Method = Method {
    name: "bicarbonate before sunning",
    formula: "NaHCO3 + H+ = Na+ + H2O + CO2 to pH 6.5, or to the first silver carbonate that lasts: [Ag+]^2 [CO3 2-] = Ksp",
    source: "nist46_minteq_v4",
};

const AMMINES: Method = Method {
    name: "silver held by ammonia",
    formula: "[AgNH3+] + [Ag(NH3)2+] over pH; the ceiling is where it passes 0.0001 mol/kg",
    source: "nist46_minteq_v4",
};

const IODIDE: Method = Method {
    name: "iodide saturation",
    formula: "[I] = Ksp/[Ag]; AgI, AgI2-, Ag2I+, Ag3I2+ by the constants given, activity coefficients 1; silver balanced against nitrate",
    source: "equilibrium_judgement",
};

const IODIZER_BALANCE: Method = Method {
    name: "mass balance of the iodizer",
    formula: "collodion = area x pick-up; halide = sum of g/L x litres x ions / molar mass; silver nitrate = halide x 169.8722 g/mol; each cation stays as its nitrate",
    source: "iodizer_mass_balance",
};

const TOP_UP: Method = Method {
    name: "topping up a bath",
    formula: "silver nitrate to add = 10 x strength aimed at (% w/v) x volume (L) - silver nitrate in the bath; water = volume aimed at - volume",
    source: "iupac_atomic_weights",
};

/// Every method of this module.
pub const METHODS: &[Method] = &[BATH_PH, SUNNING, AMMINES, IODIDE, IODIZER_BALANCE, TOP_UP];

/// Answers `POST /v1/bath-care`: the state of a working bath, and what keeps it at work.
///
/// # Errors
/// Every fault of the request. A bath that must not be cared for is not a fault but a refusal.
pub fn care_for_bath(request: &BathCareRequest) -> Result<Answer<BathCare>, Faults> {
    let mut notes = Notes::new();
    let result = care_for(request, "", &mut notes)?;
    Ok(notes.answer(result, request.rule_set.map(|r| r.rules())))
}

/// The care of one bath; `at` is the pointer of this request's members, for faults.
///
/// # Errors
/// Every fault of the batch, its evidence and the wishes.
pub fn care_for(
    request: &BathCareRequest,
    at: &str,
    notes: &mut Notes,
) -> Result<BathCare, Faults> {
    Faults::none_of(faults(request, at))?;
    // Whether it may be cared for at all comes before what is in it.
    let refused = block::refused(&request.batch)
        .or_else(|| block::alkaline(&request.batch, ammonium_of(request, None)));
    if let Some(refusal) = refused {
        notes.warn("/refusal", Severity::Danger, refusal.reason.clone());
        return Ok(BathCare::refused(refusal));
    }
    let held = strength::measure(request, at, notes)?;
    let volume_l = held.volume_l;
    let brought = brought_in(request, at, volume_l, notes);
    let ammonium = ammonium_of(request, brought.as_ref());
    let target = strength::target(request, at, notes);
    let alcohol_g_per_l = spirits(request);

    let silver = held
        .silver_nitrate_mol_per_l()
        .unwrap_or(target * 10.0 / SILVER_NITRATE);
    let liquor = bath(&request.batch, silver, ammonium, brought.as_ref());
    let (acid, mut unsolved) = match acidity(request, &liquor) {
        Ok(found) => (found, None),
        Err(why) => (None, Some(words(why))),
    };
    if acid.is_some() {
        notes.method("/state/ph", BATH_PH);
        if held.silver.is_none() {
            notes.assume(
                "/care",
                format!("{at}/batch/evidence"),
                "house_rule",
                "Strength not known: for its acid the bath is taken at the strength aimed at.",
            );
        }
    }
    let mut state = held.state();
    state.alcohol_percent_v_v = alcohol_g_per_l
        .map(|g| ComputedPercentVV::of(g / (10.0 * number(&facts().alcohol_g_per_ml))));
    match (&acid, &request.batch.ph) {
        (Some(a), _) => {
            state.ph = Some(ComputedPh::of(a.ph));
            state.range_ph = Some(span(a.range));
            state.ph_from = a.from;
        }
        (None, Some(reading)) => {
            state.ph = Some(ComputedPh::of(reading.as_f64()));
            state.range_ph = crate::waste::contents::ph_interval(&request.batch).map(span);
            state.ph_from = PhOrigin::Reading;
        }
        (None, None) => {}
    }

    let ceiling_ph = match ammonium {
        Ammonium::AtMost(_) => {
            notes.method("/ammonium", AMMINES);
            ceiling(&liquor)
        }
        _ => None,
    };
    let due = sun(request);
    let mut dose = None;
    if due.is_some()
        && let Some(acid) = &acid
    {
        match bicarbonate(acid, volume_l) {
            Ok(found) => dose = found,
            Err(why) => unsolved = Some(words(why)),
        }
    }
    let allowed = bicarbonate_allowed(ammonium, ceiling_ph, dose.as_ref());
    let dose = dose.filter(|_| allowed);
    if dose.is_some() {
        notes.method("/care", SUNNING);
    }
    let ammonium_result = (ammonium != Ammonium::Absent).then(|| BathAmmonium {
        ammonium_mol_per_l: match ammonium {
            Ammonium::AtMost(c) => Some(ComputedMolesPerLitre::of(c)),
            _ => None,
        },
        ceiling_ph: ceiling_ph.map(ComputedPh::of),
        keeps_bicarbonate_out: ammonium == Ammonium::NotKnown || ceiling_ph.is_some(),
    });

    let target_ph = target_ph(request, at, ceiling_ph, notes);
    let top_up = strength::top_up(request, &held, target, at, notes)?;
    let over = alcohol_g_per_l.is_some_and(|g| g > spirits_limit());
    let mut acid_due = None;
    if let (Some(acid), Some(target_ph), false) = (&acid, target_ph, over) {
        let made = MadeUp {
            volume_l,
            full_volume_l: top_up.as_ref().map_or(volume_l, |t| t.full_volume_l.get()),
            silver_nitrate_mol: top_up
                .as_ref()
                .map_or(0.0, |t| t.silver_nitrate_g.get() / SILVER_NITRATE),
        };
        let percent = acid_percent(request, at, notes);
        match acid_dose(
            acid,
            dose.as_ref(),
            made,
            acid_of(request),
            percent,
            target_ph,
        ) {
            Ok(found) => acid_due = found,
            Err(why) => unsolved = Some(words(why)),
        }
    }

    let iodide = request
        .iodide_constants
        .as_ref()
        .zip(held.silver_nitrate_mol_per_l())
        .map(|(given, c)| {
            notes.method("/iodide", IODIDE);
            iodide::saturation(given, c, volume_l)
        });
    let (found, recovery_advised) = findings(
        &Seen {
            request,
            state: &state,
            target_percent: target,
            target_ph,
            stated_ph: acid.as_ref().and_then(|a| a.stated_ph),
            unsolved,
            build_up: brought.as_ref().map(|b| &b.result),
            ammonium,
            ammonium_result: ammonium_result.as_ref(),
            iodide: iodide.as_ref(),
            bicarbonate: dose.as_ref(),
            alcohol_g_per_l,
            sun: due.clone(),
            days: days_since(request),
        },
        notes,
    );

    let steps = steps(&Plan {
        sun: due.is_some(),
        bicarbonate: dose.as_ref(),
        top_up: top_up.as_ref(),
        acid: acid_due.as_ref(),
        air: over || request.signs.contains(&BathSign::GreasyLines),
        collodion: !matches!(
            request.batch.craft,
            Some(Craft::SaltedPaper | Craft::AlbumenPaper)
        ),
    });
    let (care, refusal) = match check_procedure(&request.batch, &steps) {
        Ok(()) => (
            Some(BathProcedure {
                additions: steps.iter().flat_map(|s| s.adds.clone()).collect(),
                steps,
                top_up,
                acid: acid_due,
                bicarbonate: dose,
            }),
            None,
        ),
        Err(refusal) => {
            notes.warn("/refusal", Severity::Danger, refusal.reason.clone());
            (None, Some(refusal))
        }
    };
    dangers::warn(request, over, ceiling_ph, &state, notes);
    Ok(BathCare {
        refusal,
        state,
        findings: found,
        care,
        iodide,
        build_up: brought.map(|b| b.result),
        ammonium: ammonium_result,
        recovery_advised,
    })
}

fn span(range: (f64, f64)) -> BathPhSpan {
    BathPhSpan {
        lower: ComputedPh::of(range.0),
        upper: ComputedPh::of(range.1),
    }
}

fn words(why: Unreached) -> String {
    match why {
        Unreached::Equilibrium(error) => error.to_string(),
        Unreached::OutOfReach => "no sensible amount of acid or base gives this pH".to_owned(),
    }
}

/// What is wrong with the request itself.
fn faults(request: &BathCareRequest, at: &str) -> Vec<Fault> {
    let mut faults = request.batch.faults(&format!("{at}/batch"));
    faults.extend(build_up::faults(request, at));
    faults.extend(ammonium::conflict(request, at));
    faults.extend(at_most(format!("{at}/signs"), request.signs.len(), MOST_SIGNS).err());
    faults.extend(strength::faults(request, at));
    let (low, high) = (&facts().lowest_target_ph, &facts().highest_target_ph);
    if let Some(ph) = request.target_ph
        && (ph.decimal() < low.value || ph.decimal() > high.value)
    {
        faults.push(Fault::out_of_range(
            format!("{at}/target_ph"),
            write_decimal(ph.decimal()),
            "2 to 6: above that the silver falls out, below that plates lose their speed",
        ));
    }
    let strongest = &facts().acid_percent_w_v;
    if let Some(percent) = request.acid_percent_w_v
        && (percent.decimal().is_zero() || percent.decimal() > strongest.value)
    {
        faults.push(Fault::out_of_range(
            format!("{at}/acid_percent_w_v"),
            write_decimal(percent.decimal()),
            "more than 0 and at most 5 % w/v: stronger acid never goes into a bath that may hold alcohol",
        ));
    }
    match (request.last_sunned_on, request.on) {
        (Some(_), None) => faults.push(Fault::missing(
            format!("{at}/on"),
            "today's date beside last_sunned_on",
        )),
        (Some(then), Some(now)) if now < then => faults.push(Fault::new(
            FaultKind::DateOrder,
            format!("{at}/on"),
            format!("{now} is before {then}: expected a day on or after last_sunned_on"),
        )),
        _ => {}
    }
    if let Some(given) = &request.iodide_constants {
        faults.extend(iodide::faults(given, &format!("{at}/iodide_constants")));
    }
    faults
}

/// Alcohol and ether as found, or as stated in the composition, g/L.
fn spirits(request: &BathCareRequest) -> Option<f64> {
    if let Some(found) = &request.alcohol_percent_v_v {
        return Some(found.as_f64() * 10.0 * number(&facts().alcohol_g_per_ml));
    }
    let mut sum = None;
    for part in &request.batch.composition {
        let is_spirit =
            substance(&part.substance).is_some_and(|s| s.is(Group::Alcohol) || s.is(Group::Ether));
        if let Some(g) = component_g_per_l(&request.batch, part).filter(|_| is_spirit) {
            sum = Some(sum.unwrap_or(0.0) + g);
        }
    }
    sum
}

fn days_since(request: &BathCareRequest) -> Option<i64> {
    Some(request.on?.days_since(request.last_sunned_on?))
}

/// Why the bath goes into the sun, where it does.
fn sun(request: &BathCareRequest) -> Option<String> {
    if request.batch.status == Some(BatchStatus::Unused) {
        return None;
    }
    if request.signs.contains(&BathSign::Fog) {
        return Some("the plates fog".to_owned());
    }
    if request.signs.contains(&BathSign::Stains) {
        return Some("the plates stain".to_owned());
    }
    let again = number(&facts().sun_again_after_days);
    days_since(request)
        .filter(|days| *days as f64 > again)
        .map(|days| format!("it last stood in the sun {days} days ago"))
}

/// The pH aimed at: as asked, else 4 for a bath that is not for paper, and never above where ammonia
/// takes hold of silver.
fn target_ph(
    request: &BathCareRequest,
    at: &str,
    ceiling: Option<f64>,
    notes: &mut Notes,
) -> Option<f64> {
    let asked = match (request.target_ph, request.batch.craft) {
        (Some(ph), _) => ph.as_f64(),
        (None, Some(Craft::SaltedPaper | Craft::AlbumenPaper)) => return None,
        (None, _) => {
            let figure = &facts().target_ph;
            notes.assume(
                "/care",
                format!("{at}/target_ph"),
                &figure.source,
                format!("The bath is brought back to about {}.", figure.words()),
            );
            number(figure)
        }
    };
    match ceiling {
        Some(ceiling) if ceiling < asked => {
            notes.warn("/ammonium", Severity::Caution, format!("pH {asked:.1} is above where ammonia takes hold of silver in this bath: pH {ceiling:.1} is aimed at instead."));
            Some(ceiling.max(number(&facts().lowest_target_ph)))
        }
        _ => Some(asked),
    }
}

fn acid_percent(request: &BathCareRequest, at: &str, notes: &mut Notes) -> f64 {
    if request.acid.is_none() {
        notes.assume(
            "/care",
            format!("{at}/acid"),
            "bath_upkeep",
            format!("The acid is taken as {}.", acid_of(request).words()),
        );
    }
    match request.acid_percent_w_v {
        Some(given) => given.as_f64(),
        None => {
            let figure = &facts().acid_percent_w_v;
            notes.assume(
                "/care",
                format!("{at}/acid_percent_w_v"),
                &figure.source,
                format!("The diluted acid is taken as {}.", figure.words()),
            );
            number(figure)
        }
    }
}
