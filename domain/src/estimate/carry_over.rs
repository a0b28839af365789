//! Silver carried into a rinse by what comes out of the bath before it.

use super::bench::{Bench, Spread};
use super::evidence::{CarryOver, Rinse};
use super::finding::Finding;
use crate::answer::{Method, Severity};
use crate::fault::{Fault, FaultKind};
use crate::quantity::{MeasuredHours, MeasuredLitres, MeasuredLitresPerHour};
use crate::statistics::Uncertain;

pub(super) const STILL_RINSE: Method = Method {
    name: "still_rinse",
    formula: "each sheet of carry d: c = (c V + c_in d)/(V + d); without a count of sheets, V dc/dv = c_in - c over the whole carry",
    source: "house_rule",
};

pub(super) const COUNTER_CURRENT_RINSE: Method = Method {
    name: "counter_current_rinse",
    formula: "steady: 0 = D c[i-1] + Q c[i+1] - (D + Q) c[i]; c[n]/c[0] = (r - 1)/(r^(n+1) - 1) with r = Q/D",
    source: "house_rule",
};

const MOST_TANKS: u32 = 20;
const MOST_SHEETS: u32 = 100_000;

pub(super) fn estimate(bench: &mut Bench<'_>, e: &CarryOver) -> Result<Finding, Fault> {
    let upstream = bench.take(
        "upstream_silver_g_per_l",
        &e.upstream_silver_g_per_l,
        Spread::Relative(10.0),
    )?;
    let tanks = match &e.rinse {
        Rinse::Still { tanks, .. } | Rinse::CounterCurrent { tanks, .. } => *tanks,
    };
    if !(1..=MOST_TANKS).contains(&tanks) {
        return Err(Fault::out_of_range(
            bench.pointer("rinse/tanks"),
            tanks,
            "1 to 20 tanks",
        ));
    }
    let tank = e.tank.unwrap_or_else(|| {
        let (about, pointer) = (bench.about.clone(), bench.pointer("tank"));
        bench.notes.assume(
            &about,
            &pointer,
            "house_rule",
            "Tank not stated: taken as 1, the first after the bath.",
        );
        1
    });
    if !(1..=tanks).contains(&tank) {
        return Err(Fault::out_of_range(
            bench.pointer("tank"),
            tank,
            &format!("1 to {tanks}, the number of tanks"),
        ));
    }
    match &e.rinse {
        Rinse::Still { tank_volume_l, .. } => still(bench, e, &upstream, tank, tank_volume_l),
        Rinse::CounterCurrent {
            water_l_per_h,
            drag_out_l_per_h,
            hours,
            ..
        } => {
            let flows = Flows {
                tanks,
                tank,
                water: water_l_per_h,
                drag_out: drag_out_l_per_h,
                hours: hours.as_ref(),
            };
            counter_current(bench, e, &upstream, &flows)
        }
    }
}

/// Concentration share of tank `tank` after a carry of `carry` into standing tanks of `volume`.
fn still_share(volume: f64, carry: f64, tank: u32, sheets: Option<u32>) -> f64 {
    let n = tank as usize;
    let mut c = vec![0.0; n];
    let steps = sheets.unwrap_or(0).max(1);
    if sheets.is_some() {
        let each = carry / f64::from(steps);
        for _ in 0..steps {
            let mut incoming = 1.0;
            for tank in &mut c {
                *tank = (*tank * volume + incoming * each) / (volume + each);
                incoming = *tank;
            }
        }
        return c.last().copied().unwrap_or_default();
    }
    // Steady carry: the n-th tank follows the gamma distribution, 1 - e^-x sum x^k/k!, x = carry/volume.
    let x = carry / volume;
    let mut term = (-x).exp();
    let mut sum = 0.0;
    for k in 0..n {
        sum += term;
        term *= x / (k as f64 + 1.0);
    }
    1.0 - sum
}

fn still(
    bench: &mut Bench<'_>,
    e: &CarryOver,
    upstream: &Uncertain,
    tank: u32,
    tank_volume: &MeasuredLitres,
) -> Result<Finding, Fault> {
    let about = bench.about.clone();
    bench.notes.method(&about, STILL_RINSE);
    let volume = bench.positive(
        "rinse/still/tank_volume_l",
        tank_volume,
        Spread::Relative(5.0),
    )?;
    let Some(area) = &e.area_m2 else {
        return Err(Fault::missing(
            bench.pointer("area_m2"),
            "the area carried through the rinse",
        ));
    };
    let area = bench.take("area_m2", area, Spread::Relative(5.0))?;
    let pick_up = match &e.pick_up_ml_per_m2 {
        Some(p) => bench.take("pick_up_ml_per_m2", p, Spread::Relative(30.0))?,
        None => bench.default(
            "pick_up_ml_per_m2",
            150.0,
            Spread::HalfWidth(100.0),
            "pick_up_memory",
            "Pick-up not stated: taken as 50 to 250 mL/m2; from memory, unverified (30 to 60 squeegeed film, 100 to 200 not, 200 to 400 fibre paper).",
        )?,
    };
    if e.sheet_count.is_some_and(|n| n == 0 || n > MOST_SHEETS) {
        return Err(Fault::out_of_range(
            bench.pointer("sheet_count"),
            e.sheet_count.unwrap_or_default(),
            "1 to 100000",
        ));
    }
    let carry = area.times(&pick_up).scaled(0.001);
    // The share depends on carry/volume only; its slope is taken by a central difference.
    let ratio = carry.over(&volume);
    let at = |r: f64| still_share(1.0, r.max(0.0), tank, e.sheet_count);
    let step = (ratio.value() * 1e-5).max(1e-12);
    let slope = (at(ratio.value() + step) - at(ratio.value() - step)) / (2.0 * step);
    let share = ratio.mapped(at(ratio.value()), slope);
    let amount = if bench.batch.volume_l.is_some() {
        bench.volume()?
    } else {
        volume
    };
    Ok(Finding::Point(upstream.times(&share).times(&amount)))
}

struct Flows<'a> {
    tanks: u32,
    tank: u32,
    water: &'a MeasuredLitresPerHour,
    drag_out: &'a MeasuredLitresPerHour,
    hours: Option<&'a MeasuredHours>,
}

/// c[tank]/c[0] in a steady cascade: (1 + r + ... + r^(n-i)) / (1 + r + ... + r^n).
fn cascade_share(ratio: f64, tanks: u32, tank: u32) -> f64 {
    let sum = |n: u32| (0..=n).map(|k| ratio.powi(k.cast_signed())).sum::<f64>();
    sum(tanks.saturating_sub(tank)) / sum(tanks)
}

fn counter_current(
    bench: &mut Bench<'_>,
    e: &CarryOver,
    upstream: &Uncertain,
    flows: &Flows<'_>,
) -> Result<Finding, Fault> {
    let about = bench.about.clone();
    bench.notes.method(&about, COUNTER_CURRENT_RINSE);
    if e.sheet_count.is_some() {
        return Err(Fault::new(
            FaultKind::Conflict,
            bench.pointer("sheet_count"),
            "a count of sheets in running water says nothing: expected it only with a still rinse",
        ));
    }
    let water = bench.positive(
        "rinse/counter_current/water_l_per_h",
        flows.water,
        Spread::Relative(10.0),
    )?;
    let drag_out = bench.positive(
        "rinse/counter_current/drag_out_l_per_h",
        flows.drag_out,
        Spread::Relative(30.0),
    )?;
    let ratio = water.over(&drag_out);
    let at = |r: f64| cascade_share(r, flows.tanks, flows.tank);
    let step = ratio.value() * 1e-5;
    let slope = (at(ratio.value() + step) - at(ratio.value() - step)) / (2.0 * step);
    let share = ratio.mapped(at(ratio.value()), slope);
    let volume = bench.volume()?;
    let concentration = upstream.times(&share);
    let reached = match flows.hours {
        // A stirred tank approaches its steady state at the rate of its through-flow.
        Some(hours) => {
            let hours =
                bench.positive("rinse/counter_current/hours", hours, Spread::Relative(1.0))?;
            1.0 - (-(water.value() + drag_out.value()) * hours.value() / volume.value()).exp()
        }
        None => {
            let pointer = bench.pointer("rinse/counter_current/hours");
            bench.notes.assume(
                &about,
                &pointer,
                "house_rule",
                "Running time not stated: taken as long enough for the tanks to be steady.",
            );
            1.0
        }
    };
    const STEADY: f64 = 0.95;
    if reached < STEADY {
        bench.notes.warn(
            &about,
            Severity::Note,
            format!("The rinse ran too short to be steady: the tank may have reached only {:.0} % of its final silver, so this reading bounds and does not point.", 100.0 * reached),
        );
        let most = concentration.value();
        return Ok(Finding::Bounds {
            lower: 0.0,
            upper: Some(most),
            scale: volume,
        });
    }
    Ok(Finding::Point(concentration.times(&volume)))
}
