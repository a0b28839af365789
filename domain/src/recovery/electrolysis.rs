//! Electrolysis of fixer: charge by Faraday's law, a stop before the silver runs low, and iron wool
//! on what is left.

use super::draft::{dose, fill_yield, liquor_waste, middle_share, set_mass, trouble};
use super::facts::{ProcessFacts, facts};
use super::metallic_replacement as replacement;
use super::plan::{PlanTime, PlatingCharge, ProcessName, RecoveryPlan, Trouble};
use super::predicted::CellPoint;
use super::situation::{Liquor, SilverRange, Situation, Unfit, short};
use super::text;
use crate::answer::{Method, Notes, Severity};
use crate::chemistry::constants::{NITRIC_ACID, SILVER, SILVER_G_PER_AMPERE_HOUR};
use crate::chemistry::electrode::silver_potential;
use crate::chemistry::faraday::{FARADAY, hours_to_deposit};
use crate::chemistry::species::Component;
use crate::chemistry::system::{Mixture, System};
use crate::procedure::Step;
use crate::quantity::{Computed, Shape};
use crate::waste::pour::{Act, objection_to};

pub(super) fn assess(situation: &Situation<'_>) -> Result<(), Unfit> {
    if let Some(reason) = objection_to(situation.batch, situation.contents, Act::Electrolyse) {
        return Err(Unfit::new("house_rule", reason));
    }
    if situation.may_hold_solvent() {
        return Err(Unfit::new(
            "house_rule",
            "It holds, or being of collodion may hold, alcohol and ether: a current and its sparks have no place there. Salt needs neither.",
        ));
    }
    if situation.liquor.has_free_silver() {
        let acid = NITRIC_ACID / SILVER;
        return Err(Unfit::new(
            "recovery_stoichiometry",
            format!(
                "From a silver nitrate liquid each gram of silver plated leaves {} g of nitric acid behind, and the silver grows in needles that short the cell: salt does it better.",
                text::about(acid)
            ),
        )
        .with_number("nitric acid per gram of silver", acid, None, "g"));
    }
    if situation.liquor == Liquor::FilmDeveloper {
        return Err(Unfit::new(
            "fixer_silver_levels",
            "A film or paper developer is not silver-rich: there is nothing to plate.",
        ));
    }
    if situation.liquor == Liquor::BleachFix {
        return Err(Unfit::new(
            "recovery_recollection",
            "The bleach in a bleach-fix takes the plated silver back into solution (unverified). Iron wool is the way for it.",
        ));
    }
    situation.too_acid(
        ProcessName::MetallicReplacement,
        "An acid fixer gives off sulfur dioxide at the anode.",
    )?;
    let cell = &facts().electrolysis;
    if situation.silver.is_some() && situation.volume_l.is_none() {
        return Err(Unfit::new(
            cell.stop_source.as_str(),
            format!(
                "Plating must stop near {} g/L, and without the volume nobody can say when: give volume_l.",
                short(cell.stop_at_g_per_l)
            ),
        ));
    }
    if let Some(silver) = situation.silver_g_per_l()
        && silver <= cell.stop_at_g_per_l
    {
        return Err(Unfit::new(
            cell.stop_source.as_str(),
            format!(
                "It holds about {} g/L silver, and plating must stop near {} g/L before sulfide forms (unverified): nothing is left to plate.",
                text::about(silver),
                short(cell.stop_at_g_per_l)
            ),
        )
        .with_number("silver", silver, Some(cell.stop_at_g_per_l), "g/L"));
    }
    Ok(())
}

/// How the efficiency falls with the silver.
pub(super) const FALLING: Method = Method {
    name: "current efficiency as the silver falls",
    formula: "efficiency e falls in a straight line with the silver from its highest at the start to its lowest where plating stops; charge (Ah) = silver plated (g) / 4.02471 x ln(e1/e2) / (e1 - e2); an efficiency that was given is held constant",
    source: "electrolysis_efficiency_model",
};

/// Equilibrium potential of the cathode.
pub(super) const POTENTIAL: Method = Method {
    name: "equilibrium potential of silver",
    formula: "E = E0(Ag+/Ag) + (R T ln 10 / F) log10 a(Ag+) in the solved fixer at each silver level, the silver plated replaced by sodium; what the anode does is not reckoned",
    source: "crc_potentials",
};

/// Silver levels at which the cell is described, g/L.
const LEVELS: [f64; 9] = [20.0, 10.0, 5.0, 4.0, 3.0, 2.0, 1.0, 0.2, 0.1];

/// Lowest, expected and highest current efficiency, as shares of one.
struct Efficiency {
    low: f64,
    middle: f64,
    high: f64,
    /// Whether it falls from the highest to the lowest as the silver falls, or is one figure with a
    /// spread.
    falls: bool,
}

impl Efficiency {
    /// At a silver level between the start and the stop, g/L.
    fn at(&self, level: f64, start: f64, stop: f64) -> f64 {
        if !self.falls || start <= stop {
            return self.middle;
        }
        let part = ((level - stop) / (start - stop)).clamp(0.0, 1.0);
        self.low + part * (self.high - self.low)
    }

    /// The mean over a fall from the start to a level: what the charge is reckoned with.
    fn mean(&self, level: f64, start: f64, stop: f64) -> f64 {
        let (first, last) = (self.at(start, start, stop), self.at(level, start, stop));
        if (first - last).abs() < 1e-9 {
            last
        } else {
            (first - last) / (first / last).ln()
        }
    }
}

fn efficiency(situation: &Situation<'_>, notes: &mut Notes) -> Efficiency {
    let cell = &facts().electrolysis;
    let field = format!("{}/current_efficiency_percent", situation.options.at);
    let (low, middle, high, falls) =
        if let Some(given) = situation.options.current_efficiency_percent {
            let half = match given.standard_uncertainty() {
                Some((u, Shape::Normal)) => 2.0 * u,
                Some((u, Shape::Rectangular)) => u * 3f64.sqrt(),
                None => {
                    notes.assume(
                        "/plan/charge",
                        &field,
                        "house_rule",
                        format!(
                            "A bare current efficiency is good to {} points either way.",
                            short(cell.efficiency_half_width_percent)
                        ),
                    );
                    cell.efficiency_half_width_percent
                }
            };
            let value = given.as_f64();
            (value - half, value, value + half, false)
        } else {
            let (low, high) = (cell.efficiency_low_percent, cell.efficiency_high_percent);
            notes.assume(
                "/plan/charge",
                &field,
                cell.efficiency_source.as_str(),
                format!(
                    "Current efficiency {} to {} %, falling as the silver falls (unverified).",
                    short(low),
                    short(high)
                ),
            );
            // The logarithmic mean of the two ends: what a straight fall between them comes to.
            let mean = (high - low) / (high / low).ln();
            (low, mean, high, true)
        };
    // A share of one per cent at the least keeps the longest time finite.
    let share = |percent: f64| (percent / 100.0).clamp(0.01, 1.0);
    Efficiency {
        low: share(low),
        middle: share(middle),
        high: share(high),
        falls,
    }
}

pub(super) fn plan(
    situation: &Situation<'_>,
    silver: SilverRange,
    mut plan: RecoveryPlan,
    process: &'static ProcessFacts,
    notes: &mut Notes,
) -> RecoveryPlan {
    let Some(volume_l) = situation.volume_l else {
        return plan;
    };
    let stop_g = facts().electrolysis.stop_at_g_per_l * volume_l;
    notes.cite(facts().electrolysis.stop_source.as_str());
    notes.cite("applied_energy2012");
    notes.cite("county_cell_guide");
    fill_yield(
        &mut plan,
        situation,
        silver,
        process,
        middle_share(process),
        notes,
    );
    "Scrape or peel the flake off, rinse it, and send it. It is not melted here."
        .clone_into(&mut plan.product.next);

    let efficiency = efficiency(situation, notes);
    let hours = set_charge(&mut plan, situation, silver, stop_g, &efficiency, notes);
    if situation.options.curves {
        plan.cell = cell(situation, volume_l, &efficiency, notes);
    }
    plan.floor_unknown = Some(
        "Plating has no floor by equilibrium: a current takes silver to any level, and what stops it is sulfide, whose onset no trustworthy constant gives. Only the practical range stands."
            .to_owned(),
    );
    let mut steps = plating_steps(situation, plan.charge, hours.as_deref());
    plan.troubles = troubles();
    if process.name == ProcessName::ElectrolysisThenReplacement {
        let tail = SilverRange {
            figure_g: stop_g.min(silver.figure_g),
            lower_g: 0.0,
            upper_g: stop_g,
        };
        if let Some(wool) = dose(
            situation,
            tail,
            process,
            replacement::IRON_PER_SILVER,
            notes,
        ) {
            steps.push(
                Step::new("Now the iron wool, for what the cell left. Stand a plastic bucket outdoors or by an open window, with a lid that breathes.")
                    .caution(text::HYDROGEN),
            );
            plan.floor_unknown = None;
            let plated_g = (silver.figure_g - tail.figure_g).max(0.0);
            replacement::set_iron(
                &mut plan,
                situation,
                tail,
                &wool.substance,
                |fixer| plate_out(fixer, plated_g),
                notes,
            );
            steps.extend(replacement::wool_steps(&wool, 1));
            steps.extend(replacement::closing("", 1));
            plan.reagents.push(wool);
        }
        // The flake is what the cell plates; the wool's silver is in its sludge.
        let plated_g = (silver.figure_g - tail.figure_g).max(0.0);
        set_mass(&mut plan, process, plated_g, middle_share(process));
        plan.product.next = format!(
            "Scrape or peel the flake off, rinse it, and send it: it holds the {} g of silver that the cell plated. The rest is in the wet iron and silver sludge, which goes along in a tub of its own. Neither is melted here.",
            short(plated_g)
        );
        plan.secondary_waste = replacement::secondary_waste(situation, tail);
        plan.troubles.extend(replacement::troubles());
    } else {
        steps.push(
            Step::new("Decant the liquid into a jug with a vented cap. Label it: fixer after plating, still silver-rich, with the date.")
                .caution("It still holds hundreds of milligrams of silver per litre: it is not done. Iron wool takes out more, or it goes for collection.")
                .caution(text::LIQUOR),
        );
        plan.secondary_waste = vec![liquor_waste("fixer after plating")];
    }
    text::caution_all(&mut steps, text::NEVER_ACID);
    plan.steps = steps;
    plan.end_test = Some(format!(
        "Stop when a test strip reads {} g/L or the charge is used up, whichever comes first. Stopping early costs a little silver; running on makes sulfide.",
        short(facts().electrolysis.stop_at_g_per_l)
    ));
    notes.warn(
        "/plan",
        Severity::Danger,
        "Plating on when the silver is low makes hydrogen sulfide: extraction on, and stop at the strip.",
    );
    plan
}

/// Takes silver out of a fixer as a current does, with sodium in its place.
fn plate_out(fixer: &mut Mixture, silver_g: f64) {
    let plated = silver_g / SILVER;
    fixer.add_component(Component::Silver, -plated);
    fixer.add_component(Component::Sodium, plated);
}

/// The cell from the start to where plating stops, and on below it, where sulfide forms.
fn cell(
    situation: &Situation<'_>,
    volume_l: f64,
    efficiency: &Efficiency,
    notes: &mut Notes,
) -> Vec<CellPoint> {
    let (Some(start), Ok(liquor)) = (situation.silver_g_per_l(), situation.solved()) else {
        return Vec::new();
    };
    let stop = facts().electrolysis.stop_at_g_per_l;
    let system = System::at_25_c();
    let levels = std::iter::once(start)
        .chain(LEVELS.into_iter().filter(|l| *l < start && *l > stop))
        .chain(std::iter::once(stop))
        .chain(LEVELS.into_iter().filter(|l| *l < stop));
    let mut points = Vec::with_capacity(LEVELS.len());
    for level in levels {
        let mut fixer = liquor.stated.mixture.clone();
        plate_out(&mut fixer, (start - level) * volume_l);
        let Some(pag) = system.solve(&fixer).ok().and_then(|a| a.pag()) else {
            return Vec::new();
        };
        let planned = level >= stop;
        let plated_g = (start - level) * volume_l;
        let mean = efficiency.mean(level, start, stop);
        let hours = situation
            .options
            .current_a
            .and_then(|a| hours_to_deposit(plated_g, a.as_f64(), mean, SILVER, 1.0));
        points.push(CellPoint {
            silver_g_per_l: Computed::of(level),
            equilibrium_v: Computed::of(silver_potential(pag, 25.0)),
            efficiency_percent: planned
                .then(|| Computed::of(100.0 * efficiency.at(level, start, stop))),
            charge_ah: planned.then(|| Computed::of(plated_g / (SILVER_G_PER_AMPERE_HOUR * mean))),
            time_h: hours.filter(|_| planned).map(Computed::of),
        });
    }
    notes.method("/plan/cell", POTENTIAL);
    notes.method("/plan/cell", FALLING);
    liquor.note("/plan/cell", notes);
    if let (Some(first), Some(last)) = (points.first(), points.last()) {
        notes.warn(
            "/plan/cell",
            Severity::Caution,
            format!(
                "As the silver falls from {} to {} g/L its equilibrium potential falls by {} mV, and the current it can feed falls with it. A voltage or a current that is held then plates sulfide from the thiosulfate instead, with hydrogen sulfide (where that sets in is unverified): lower both as the silver falls, and stop at {} g/L. The potentials are for the shape only: the liquid is too strong for exact ones.",
                text::about(first.silver_g_per_l.get()),
                text::about(last.silver_g_per_l.get()),
                text::about(1000.0 * (first.equilibrium_v.get() - last.equilibrium_v.get())),
                short(stop)
            ),
        );
    }
    points
}

/// Sets charge and time; returns the hours of plating as a sentence, where a current was given.
fn set_charge(
    plan: &mut RecoveryPlan,
    situation: &Situation<'_>,
    silver: SilverRange,
    stop_g: f64,
    efficiency: &Efficiency,
    notes: &mut Notes,
) -> Option<String> {
    let to_plate = |grams: f64| (grams - stop_g).max(0.0);
    let (least, expected, most) = (
        to_plate(silver.lower_g),
        to_plate(silver.figure_g),
        to_plate(silver.upper_g),
    );
    let ampere_hours = |grams: f64, share: f64| grams / (SILVER_G_PER_AMPERE_HOUR * share);
    notes.method("/plan/charge", FARADAY);
    plan.charge = Some(PlatingCharge {
        silver_g: Computed::of(expected),
        expected_ah: Computed::of(ampere_hours(expected, efficiency.middle)),
        least_ah: Computed::of(ampere_hours(least, efficiency.high)),
        most_ah: Computed::of(ampere_hours(most, efficiency.low)),
    });
    let current = situation.options.current_a?.as_f64();
    let hours = |grams: f64, share: f64| hours_to_deposit(grams, current, share, SILVER, 1.0);
    let expected_h = hours(expected, efficiency.middle)?;
    let least_h = hours(least, efficiency.high)?;
    let most_h = hours(most, efficiency.low)?;
    notes.method("/plan/time", FARADAY);
    // What the process itself takes besides plating, such as the soak in iron wool.
    let (soak_least, soak_most, soak_text) = plan.time.take().map_or_else(
        || (0.0, 0.0, String::new()),
        |t| (t.least_h.get(), t.most_h.get(), format!(" {}", t.text)),
    );
    let plating = format!(
        "Plating at {} A: about {} hours, {} at the extremes of efficiency and silver.",
        short(current),
        text::about(expected_h),
        text::span(least_h, most_h)
    );
    plan.time = Some(PlanTime {
        expected_h: Some(Computed::of(
            expected_h + f64::midpoint(soak_least, soak_most),
        )),
        least_h: Computed::of(least_h + soak_least),
        most_h: Computed::of(most_h + soak_most),
        text: format!("{plating}{soak_text}"),
    });
    Some(plating)
}

fn plating_steps(
    situation: &Situation<'_>,
    charge: Option<PlatingCharge>,
    hours: Option<&str>,
) -> Vec<Step> {
    let stop = short(facts().electrolysis.stop_at_g_per_l);
    let charge = charge.map_or_else(String::new, |c| {
        format!(
            "Plan on about {} ampere hours ({}), that is amperes times hours.",
            text::about(c.expected_ah.get()),
            text::span(c.least_ah.get(), c.most_ah.get())
        )
    });
    let current = situation.options.current_a.map_or_else(
        || "Set the current that the cell's maker gives for this much silver".to_owned(),
        |a| format!("Set {} A", short(a.as_f64())),
    );
    vec![
        Step::new("Be sure that it is hypo fixer and not cyanide, and that no alcohol or ether is in it: read the labels of what it was made from.")
            .caution("If you are not sure, treat it as cyanide: keep it closed and alkaline, add nothing, call a licensed contractor."),
        Step::new("Put the cell under extraction, fill it with the fixer (in turns, if it does not hold it all; share the charge out by volume), and start the stirrer or turn the cathode before the current.")
            .caution(text::HYDROGEN_SULFIDE)
            .caution("Switch off at the wall before touching the cell: it is a low voltage in wet hands."),
        Step::new(format!(
            "{current}, at about half a volt to one volt across the cell. {charge} {}",
            hours.unwrap_or_default()
        ))
        .caution("More current than the silver can feed makes sulfide: lower it as the silver falls.")
        .done_when("The plate is white to light grey and holds on."),
        Step::new(format!(
            "Dip a test strip every hour at first, every quarter of an hour below 1 g/L. Stop at {stop} g/L."
        ))
        .caution(text::HYDROGEN_SULFIDE)
        .done_when(format!(
            "The strip reads {stop} g/L, or the plate turns brown, or the charge is used up: switch off at once and lift the cathode out, or the silver dissolves again."
        )),
        Step::new("Rinse the cathode over the cell, flex or scrape the flake off, and weigh it. Keep it in a labelled bag: silver flake, the date, the weight.")
            .caution("Never melt it here.")
            .done_when("The weight is in the silver book as silver taken out of this container."),
    ]
}

fn troubles() -> Vec<Trouble> {
    vec![
        trouble(
            "The plate turns yellow, brown or black, or the fixer clouds",
            "It is sulfiding: the silver is too low or the current too high. Switch off, lift the cathode out, stop here.",
        ),
        trouble(
            "A smell of rotten eggs",
            "Hydrogen sulfide. Switch off at the wall, leave, air the room; do not lean over the cell.",
        ),
        trouble(
            "A sharp, choking smell",
            "The fixer is going acid. Switch off and let it air; add nothing.",
        ),
        trouble(
            "Loose black powder instead of a plate",
            "Too much current or too little stirring. Lower the current; keep the powder, it is silver.",
        ),
        trouble(
            "The charge is used up and the strip still reads high",
            "The efficiency is poorer than planned, or there is more silver. Go on in short turns, testing each time.",
        ),
    ]
}
