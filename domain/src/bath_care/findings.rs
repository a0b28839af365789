//! What was found, in words, and when a bath is past sense.

use super::ammonium::Ammonium;
use super::build_up::figure;
use super::facts::{facts, number};
use super::request::{BathCareRequest, BathSign};
use super::result::{
    BathAmmonium, BathBicarbonate, BathBuildUp, BathFinding, BathIodide, BathPastSense, BathState,
    BathSubject, HowSure, PhOrigin,
};
use crate::answer::Notes;
use crate::bibliography::{SourceStatus, reference};
use crate::chemistry::constants::SILVER_IN_NITRATE;
use crate::estimate::{ALCOHOL_SHIFT, Evidence, plain_bath_density};
use crate::waste::pour::working_bath;

/// Everything that the findings are drawn from.
pub(super) struct Seen<'a> {
    pub request: &'a BathCareRequest,
    pub state: &'a BathState,
    pub target_percent: f64,
    pub target_ph: Option<f64>,
    pub stated_ph: Option<(f64, f64)>,
    pub unsolved: Option<String>,
    pub build_up: Option<&'a BathBuildUp>,
    pub ammonium: Ammonium,
    pub ammonium_result: Option<&'a BathAmmonium>,
    pub iodide: Option<&'a BathIodide>,
    pub bicarbonate: Option<&'a BathBicarbonate>,
    pub alcohol_g_per_l: Option<f64>,
    /// Why it goes into the sun.
    pub sun: Option<String>,
    /// Days since it last stood in the sun.
    pub days: Option<i64>,
}

/// Collects findings.
struct List<'a> {
    found: Vec<BathFinding>,
    notes: &'a mut Notes,
}

impl List<'_> {
    fn add(&mut self, subject: BathSubject, how_sure: HowSure, source: &str, what: String) {
        let (source, status) = reference(source)
            .map_or(("house_rule", SourceStatus::CommonPractice), |r| {
                (r.key.as_str(), r.status)
            });
        self.notes.cite(source);
        self.found.push(BathFinding {
            subject,
            what,
            how_sure,
            source,
            status,
        });
    }
}

/// The most alcohol and ether, g/L, with which acid goes into a bath.
pub(super) fn spirits_limit() -> f64 {
    working_bath().alcohol_and_ether_most_g_per_l.as_f64()
}

/// The findings, the gravest first, and the reasons why the bath is past sense.
pub(super) fn findings(
    seen: &Seen<'_>,
    notes: &mut Notes,
) -> (Vec<BathFinding>, Option<BathPastSense>) {
    let mut past = Vec::new();
    let mut list = List {
        found: Vec::new(),
        notes,
    };
    ammonium(seen, &mut list);
    alcohol(seen, &mut list, &mut past);
    acidity(seen, &mut list);
    strength(seen, &mut list, &mut past);
    salts(seen, &mut list, &mut past);
    iodide(seen, &mut list);
    sunning(seen, &mut list);
    signs(seen, &mut list, &mut past);
    list.found.sort_by_key(|f| f.subject);
    let advice = (!past.is_empty()).then(|| BathPastSense {
        reasons: past,
        instead: vec![
            "Ask for a recovery plan for its silver, and make a new bath.".to_owned(),
            "Whether its silver nitrate is worth more kept or sent, the lot's decision compares in money.".to_owned(),
            "Until then keep it acid, under a cap that vents, labelled, away from flame and ammonia.".to_owned(),
        ],
    });
    (list.found, advice)
}

fn ammonium(seen: &Seen<'_>, list: &mut List<'_>) {
    let subject = BathSubject::Ammonium;
    let ceiling = seen.ammonium_result.and_then(|a| a.ceiling_ph);
    match (seen.ammonium, ceiling) {
        (Ammonium::Absent, _) => {}
        (Ammonium::NotKnown, _) => list.add(
            subject,
            HowSure::NotKnown,
            "house_rule",
            "Whether ammonium from an iodizer or a salting is in this bath is not known, so no bicarbonate goes in: raised out of the acid, ammonium frees ammonia, which takes hold of silver. State the iodizer and the plates, or ammonium_free.".to_owned(),
        ),
        (Ammonium::AtMost(c), None) => list.add(
            subject,
            HowSure::AtMost,
            "house_rule",
            format!("At most {} mol/L of ammonium: too little for ammonia to hold silver to the limit kept here. Keep the bath acid all the same.", figure(c)),
        ),
        (Ammonium::AtMost(c), Some(ceiling)) => list.add(
            subject,
            HowSure::AtMost,
            "nist46_minteq_v4",
            format!(
                "Up to {} mol/L of ammonium. Above about pH {:.1} ammonia begins to hold silver in this bath: keep it below, and never make it alkaline. Bicarbonate would take it to where silver carbonate falls, so none goes in; never ammonia.",
                figure(c),
                ceiling.get()
            ),
        ),
    }
}

fn alcohol(seen: &Seen<'_>, list: &mut List<'_>, past: &mut Vec<String>) {
    let subject = BathSubject::Alcohol;
    let limit = spirits_limit();
    let percent = limit / (10.0 * number(&facts().alcohol_g_per_ml));
    if let Some(g) = seen.alcohol_g_per_l {
        let over = g > limit;
        let text = if over {
            format!(
                "About {} g/L of alcohol and ether, above the {} g/L up to which a little cold dilute acid counts as safe. No acid goes in until it has aired and been measured again.",
                figure(g),
                figure(limit)
            )
        } else {
            format!(
                "About {} g/L of alcohol and ether, within the {} g/L of a working bath.",
                figure(g),
                figure(limit)
            )
        };
        list.add(subject, HowSure::Measured, "common_practice", text);
        if over && seen.request.signs.contains(&BathSign::GreasyLines) {
            past.push(format!(
                "Alcohol and ether stand above {} g/L and the bath no longer wets the plate. Air it once; if it stays so, it is past sense (common practice, no source).",
                figure(limit)
            ));
        }
    } else if let Some(most) = seen.build_up.and_then(|b| b.alcohol_percent_v_v) {
        list.add(
            subject,
            HowSure::AtMost,
            "iodizer_mass_balance",
            format!(
                "The plates brought at most {} % by volume of alcohol and ether; much of it goes off. The working limit is about {} %.",
                figure(most.get()),
                figure(percent)
            ),
        );
    }
}

fn acidity(seen: &Seen<'_>, list: &mut List<'_>) {
    let subject = BathSubject::Acidity;
    if let Some(why) = &seen.unsolved {
        list.add(
            subject,
            HowSure::NotKnown,
            "equilibrium_judgement",
            format!("No dose of acid or bicarbonate is worked out: {why}."),
        );
        return;
    }
    let Some(ph) = seen.state.ph else {
        list.add(
            subject,
            HowSure::NotKnown,
            "bath_upkeep",
            "The pH is not known: read it with pH paper before any acid or bicarbonate goes in."
                .to_owned(),
        );
        return;
    };
    let ph = ph.get();
    match (seen.state.ph_from, seen.state.range_ph, seen.stated_ph) {
        (PhOrigin::Reading, Some(range), Some((stated, spread)))
            if stated + spread < range.lower.get() || stated - spread > range.upper.get() =>
        {
            list.add(
                subject,
                HowSure::WorkedOut,
                "phreeqc_davies",
                format!(
                    "The acid stated would make pH {stated:.1}, and {ph:.1} was read: the reading is used. Either the amount has changed or something else is in the bath."
                ),
            );
        }
        (PhOrigin::StatedAcid, _, _) => list.add(
            subject,
            HowSure::WorkedOut,
            "phreeqc_davies",
            format!("The acid stated makes pH {ph:.1}. Read it with pH paper before you add any."),
        ),
        _ => {}
    }
    if let Some(target) = seen.target_ph {
        let text = if ph > target + 0.25 {
            format!("pH about {ph:.1}, above the {target:.1} aimed at: fog comes sooner.")
        } else if ph < target - 0.75 {
            format!(
                "pH about {ph:.1}, well below the {target:.1} aimed at: slow and thin plates. No acid."
            )
        } else {
            format!("pH about {ph:.1}: near the {target:.1} aimed at.")
        };
        list.add(subject, HowSure::Measured, "bath_upkeep", text);
    }
}

fn strength(seen: &Seen<'_>, list: &mut List<'_>, past: &mut Vec<String>) {
    let subject = BathSubject::Strength;
    let Some(strength) = seen.state.strength_percent_w_v else {
        list.add(
            subject,
            HowSure::NotKnown,
            "house_rule",
            "The strength is not known, so no silver nitrate is worked out: titrate it, or weigh the chloride from 25 mL.".to_owned(),
        );
        return;
    };
    let strength = strength.get();
    let share = 100.0 * strength / seen.target_percent;
    let strengthen = number(&facts().strengthen_below_percent);
    let sense = number(&facts().past_sense_below_percent);
    let text = format!(
        "{} % w/v, {} % of the {} % aimed at.",
        figure(strength),
        figure(share),
        figure(seen.target_percent)
    );
    if share < strengthen {
        list.add(
            subject,
            HowSure::Measured,
            "bath_strength_floor",
            format!(
                "{text} Period manuals strengthen a bath before it falls below about {} %.",
                figure(strengthen)
            ),
        );
    } else {
        list.add(
            subject,
            HowSure::Measured,
            "bath_strength_floor",
            format!("{text} It is strong enough to work; strengthening can wait."),
        );
    }
    if share < sense {
        past.push(format!(
            "The strength is below {} % of what is aimed at: strengthening it buys more silver nitrate than it saves (a rule of this program).",
            figure(sense)
        ));
    }
}

fn salts(seen: &Seen<'_>, list: &mut List<'_>, past: &mut Vec<String>) {
    let limit = number(&facts().past_sense_salts_g_per_l);
    if let Some(b) = seen.build_up {
        list.add(
            BathSubject::Salts,
            HowSure::AtMost,
            "iodizer_mass_balance",
            format!(
                "The halide of the plates took {} g of silver nitrate at most and left up to {} g/L of nitrates. They raise the density, so a hydrometer reads too much silver.",
                figure(b.silver_nitrate_consumed_g.get()),
                figure(b.nitrates_g_per_l.get())
            ),
        );
        if b.cadmium_mg_per_l.get() > 0.0 {
            list.add(
                BathSubject::Cadmium,
                HowSure::AtMost,
                "refiner_schedules",
                format!(
                    "Up to {} mg/L of cadmium from the iodizer. It is poisonous, refiners charge more for it or refuse it, and when the bath is waste a laboratory must look for it.",
                    figure(b.cadmium_mg_per_l.get())
                ),
            );
            list.notes.cite("cfr40_261_24_cadmium");
        }
    }
    let Some((low, high)) = salts_by_density(seen) else {
        return;
    };
    list.add(
        BathSubject::Salts,
        HowSure::WorkedOut,
        "salt_density_memory",
        format!(
            "The bath is denser than its silver makes it: some {} to {} g/L of other salts are dissolved (unverified figures; a guide only).",
            figure(low),
            figure(high)
        ),
    );
    if low > limit {
        past.push(format!(
            "The density is high while the silver is low: more than {} g/L of other nitrates are dissolved, and they do not come out again (a rule of this program).",
            figure(limit)
        ));
    }
}

/// Dissolved salts beside the silver, g/L, from the density; only where the silver was found by
/// another way than density.
fn salts_by_density(seen: &Seen<'_>) -> Option<(f64, f64)> {
    let batch = &seen.request.batch;
    let by_density = |e: &Evidence| matches!(e, Evidence::Density(_));
    if batch.evidence.is_empty() || batch.evidence.iter().any(by_density) {
        return None;
    }
    let density = batch.density_g_per_ml.as_ref()?.as_f64();
    let silver = seen.state.strength_percent_w_v?.get() * 10.0 * SILVER_IN_NITRATE;
    let spirits = seen.state.alcohol_percent_v_v.map_or(0.0, |p| p.get());
    let beyond = density + ALCOHOL_SHIFT * spirits - plain_bath_density(silver)?;
    // Half a division of a hydrometer, and the silver's own uncertainty, may hide this much.
    (beyond > 0.005).then(|| {
        (
            beyond / number(&facts().salt_density_high_g_per_ml),
            beyond / number(&facts().salt_density_low_g_per_ml),
        )
    })
}

fn iodide(seen: &Seen<'_>, list: &mut List<'_>) {
    let subject = BathSubject::Iodide;
    match seen.iodide {
        Some(held) => {
            let from = seen
                .request
                .iodide_constants
                .as_ref()
                .and_then(|c| c.source.as_ref())
                .map_or_else(String::new, |s| format!(" ({s})"));
            list.add(
                subject,
                HowSure::WorkedOut,
                "equilibrium_judgement",
                format!(
                    "By the constants you gave{from}, a litre holds up to {} g of silver iodide; at half the strength only {} g, and the rest falls out as fine crystals when a bath is thinned.",
                    figure(held.silver_iodide_g_per_l.get()),
                    figure(held.at_half_strength_g_per_l.get())
                ),
            );
        }
        None => list.add(
            subject,
            HowSure::NotKnown,
            "equilibrium_judgement",
            "How much silver iodide the bath holds is not worked out: no critically reviewed set has the constants of iodide among so much silver. With constants of your own it is. To see whether the bath is full of it, thin 5 mL with as much distilled water: a cloud is silver iodide; keep the sample with the silver waste.".to_owned(),
        ),
    }
}

fn sunning(seen: &Seen<'_>, list: &mut List<'_>) {
    let subject = BathSubject::Sunning;
    if let Some(why) = &seen.sun {
        list.add(subject, HowSure::CommonPractice, "bath_upkeep", format!("Sunning is due: {why}. Light turns the organic matter and a little silver into a dark sediment that filters off."));
    } else if let Some(days) = seen.days {
        list.add(
            subject,
            HowSure::CommonPractice,
            "bath_upkeep",
            format!(
                "It stood in the sun {days} days ago and the plates show nothing: no sunning now."
            ),
        );
    }
    if let Some(dose) = seen.bicarbonate.filter(|d| d.stopped_by_silver_carbonate) {
        list.add(
            subject,
            HowSure::WorkedOut,
            "nist46_minteq_v4",
            format!(
                "Silver carbonate begins to last at about pH {:.1} in a bath of this strength, open to the air: bicarbonate takes it no further, and pH 6.5 or 7 is out of reach while there is silver. The haze is the sign to stop.",
                dose.end_ph.get()
            ),
        );
    }
}

fn signs(seen: &Seen<'_>, list: &mut List<'_>, past: &mut Vec<String>) {
    let mut told = seen.request.signs.clone();
    told.sort_unstable();
    told.dedup();
    for sign in told {
        let text = match sign {
            BathSign::Fog => {
                "Fog: too little acid, organic matter, or stray light. Sun, filter, make acid again."
            }
            BathSign::FogAfterSunning => {
                past.push("Fog stayed after sunning, filtering and fresh acid: iodide or organic matter has the bath (common practice, no source).".to_owned());
                "Fog that stays after sunning is seldom cured."
            }
            BathSign::Stains => "Dark stains or a brown bath: organic matter. Sun and filter.",
            BathSign::Pinholes => {
                "Pinholes or crystals: the bath is full of silver iodide, or holds dust. Filter it cold; let a part go for recovery and make it up with fresh bath, for the iodide comes back."
            }
            BathSign::GreasyLines => {
                "Greasy lines: the bath is rich in alcohol and ether from the plates. Air it cold, out of doors."
            }
            BathSign::ThinImage => {
                "A thin image: too little silver or too much acid. Measure the strength first."
            }
        };
        list.add(
            BathSubject::Signs,
            HowSure::CommonPractice,
            "bath_signs",
            text.to_owned(),
        );
    }
}
