//! Silver from the density of a plain silver nitrate bath.

use super::bench::{Bench, Spread};
use super::evidence::Density;
use super::finding::Finding;
use crate::answer::{Method, Severity};
use crate::batch::{BatchKind, BatchStatus, Craft};
use crate::chemistry::constants::SILVER_IN_NITRATE;
use crate::fault::{Fault, FaultKind};
use crate::quantity::Shape;
use crate::statistics::Uncertain;
use crate::substance::Group;
use std::sync::LazyLock;

pub(super) const DENSITY: Method = Method {
    name: "density",
    formula: "w(AgNO3) from the density table at the bath's temperature; c(Ag) = 10 w x rho x M(Ag)/M(AgNO3), g/L with rho in g/mL and w in %",
    source: "agno3_density_table",
};

pub(super) const WATER_DENSITY: Method = Method {
    name: "density_of_water",
    formula: "rho(t) by Kell 1975; rho bath = SG x rho(t calibration), or (bath - empty)/(water - empty) x rho(t)",
    source: "kell1975",
};

/// Each 1 % of alcohol by volume lowers the density by this, g/mL.
pub(crate) const ALCOHOL_SHIFT: f64 = 0.0014;
/// Most alcohol a used collodion bath is taken to hold, % by volume: common practice, no source.
const MOST_ALCOHOL: f64 = 15.0;

struct Row {
    percent: f64,
    rho: [f64; 3],
}

static TABLE: LazyLock<Vec<Row>> = LazyLock::new(|| {
    include_str!("../../data/silver_nitrate_density.csv")
        .lines()
        .filter(|l| !l.starts_with('#'))
        .skip(1)
        .filter_map(|line| {
            let mut cells = line.split(',').map(str::parse::<f64>);
            let mut next = || cells.next()?.ok();
            Some(Row {
                percent: next()?,
                rho: [next()?, next()?, next()?],
            })
        })
        .collect()
});

impl Row {
    /// Density at `t` °C: the parabola through 15, 20 and 25 °C.
    fn at(&self, t: f64) -> f64 {
        let [cold, middle, warm] = self.rho;
        let x = (t - 20.0) / 5.0;
        middle + x * (warm - cold) / 2.0 + x * x * (warm - 2.0 * middle + cold) / 2.0
    }
}

/// Density of water, g/mL, by Kell's formula, 0 to 100 °C.
pub(super) fn water(t: f64) -> f64 {
    let top = 999.839_52
        + t * (16.945_176
            + t * (-7.987_040_1e-3
                + t * (-46.170_461e-6 + t * (105.563_02e-9 - t * 280.542_53e-12))));
    top / (1.0 + 16.879_850e-3 * t) / 1000.0
}

/// Silver in g/L of a plain bath of density `rho` at `t`; below water it is zero, above the table `None`.
fn silver_per_litre(rho: f64, t: f64) -> Option<f64> {
    // Density rises with strength, row by row.
    let at = TABLE.partition_point(|row| row.at(t) < rho);
    let above = TABLE.get(at)?;
    let percent = match at.checked_sub(1).and_then(|before| TABLE.get(before)) {
        Some(below) => {
            let r = below.at(t);
            below.percent + (rho - r) / (above.at(t) - r) * (above.percent - below.percent)
        }
        None => 0.0,
    };
    Some(10.0 * percent * rho * SILVER_IN_NITRATE)
}

/// Density of a plain bath of so much silver, g/mL at 20 °C; `None` beyond the table.
pub(crate) fn plain_bath_density(silver_g_per_l: f64) -> Option<f64> {
    let (mut low, mut high) = (water(20.0), 1.5);
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if silver_per_litre(middle, 20.0).is_none_or(|c| c > silver_g_per_l) {
            high = middle;
        } else {
            low = middle;
        }
    }
    silver_per_litre(low, 20.0).map(|_| low)
}

pub(super) fn estimate(bench: &mut Bench<'_>, e: &Density) -> Result<Finding, Fault> {
    if !matches!(
        bench.batch.kind,
        BatchKind::SensitizingBath | BatchKind::Drip
    ) || bench.batch.is_ammoniacal_silver()
    {
        return Err(bench.refuse(
            bench.batch.kind.words(),
            "density tells the silver only of a plain silver nitrate bath",
        ));
    }
    let about = bench.about.clone();
    bench.notes.method(&about, DENSITY);
    let temperature = match &e.temperature_c {
        Some(t) => bench.take("temperature_c", t, Spread::Absolute(0.5))?,
        None => bench.default(
            "temperature_c",
            20.0,
            Spread::HalfWidth(4.0),
            "house_rule",
            "Temperature not stated: taken as 16 to 24 °C.",
        )?,
    };
    let t = temperature.value();
    if !(10.0..=30.0).contains(&t) {
        return Err(Fault::out_of_range(
            bench.pointer("temperature_c"),
            t,
            "10 to 30 °C: beyond that the density table does not reach",
        ));
    }
    let rho = observed(bench, e, &temperature)?;
    let at = |rho: f64, t: f64| silver_per_litre(rho, t);
    let too_dense = |bench: &Bench<'_>, rho: f64| {
        Fault::out_of_range(
            bench.at.clone(),
            format!("a density of {rho:.4} g/mL"),
            "no more than that of 45 % silver nitrate",
        )
    };
    if rho.value() < water(t) - 0.03 {
        return Err(Fault::out_of_range(
            bench.at.clone(),
            format!("a density of {:.4} g/mL", rho.value()),
            "a bath at least about as dense as water",
        ));
    }
    // Below 4 % the fit is good to 0.0003 g/mL; towards 40 % to 0.001; off 20 °C another 0.0003.
    let table_u = if rho.value() > 1.2 { 0.001 } else { 0.0003 } + 0.000_06 * (t - 20.0).abs();
    let table = bench.register("density table", 0.0, table_u, Shape::Normal)?;
    let rho = rho.plus(&table);

    let alcohol = match &e.ethanol_percent_v_v {
        Some(a) => Some(bench.take("ethanol_percent_v_v", a, Spread::HalfWidth(1.0))?),
        None => None,
    };
    let volume = bench.volume()?;
    if alcohol.is_none() && may_hold_alcohol(bench) {
        bench.notes.assume(
            &about,
            bench.pointer("ethanol_percent_v_v"),
            "ethanol_density_shift",
            format!("Alcohol not stated in a used bath: taken as anything from 0 to {MOST_ALCOHOL} % by volume, each 1 % lowering the density by about 0.0014 g/mL. The density then bounds the silver and does not point to it."),
        );
        bench.notes.warn(
            &about,
            Severity::Note,
            "Density misleads in a used collodion bath: alcohol makes it read low. Titrate, or weigh silver chloride from 25 mL.",
        );
        let reach = 2.0 * rho.standard_uncertainty();
        let lower = at(rho.value() - reach, t).unwrap_or(0.0);
        let upper = at(rho.value() + reach + ALCOHOL_SHIFT * MOST_ALCOHOL, t)
            .ok_or_else(|| too_dense(bench, rho.value()))?;
        return Ok(Finding::Bounds {
            lower,
            upper: Some(upper),
            scale: volume,
        });
    }
    let rho = match alcohol {
        Some(alcohol) => {
            let shift = bench.register(
                "alcohol density shift",
                ALCOHOL_SHIFT,
                0.0002,
                Shape::Normal,
            )?;
            bench.notes.cite("ethanol_density_shift");
            rho.plus(&alcohol.times(&shift))
        }
        None => {
            let pointer = bench.pointer("ethanol_percent_v_v");
            bench.notes.assume(&about, &pointer, "house_rule", "Alcohol not stated: taken as none, in a bath not said to be a used collodion bath.");
            rho
        }
    };
    let value = at(rho.value(), t).ok_or_else(|| too_dense(bench, rho.value()))?;
    let slope = |d: f64, dt: f64| {
        let up = at(rho.value() + d, t + dt).unwrap_or(value);
        let down = at(rho.value() - d, t - dt).unwrap_or(value);
        (up - down) / (2.0 * (d + dt))
    };
    let by_density = rho.mapped(value, slope(2e-4, 0.0));
    let by_temperature = temperature.mapped(0.0, slope(0.0, 0.1));
    let concentration = by_density.plus(&by_temperature);
    Ok(Finding::Point(concentration.times(&volume)))
}

/// A used bath that serves collodion, or whose craft and alcohol nobody stated.
fn may_hold_alcohol(bench: &Bench<'_>) -> bool {
    let batch = bench.batch;
    let used = matches!(
        batch.status,
        Some(BatchStatus::InUse | BatchStatus::Spent | BatchStatus::Treated)
    );
    match batch.craft {
        Some(Craft::Collodion) => batch.status != Some(BatchStatus::Unused),
        Some(Craft::SaltedPaper | Craft::AlbumenPaper | Craft::FilmAndPaper) => {
            batch.states(Group::Alcohol)
        }
        None => used || batch.states(Group::Alcohol) || batch.states(Group::Ether),
    }
}

/// The density that was read, in one of three ways.
fn observed(
    bench: &mut Bench<'_>,
    e: &Density,
    temperature: &Uncertain,
) -> Result<Uncertain, Fault> {
    let weighed = [
        e.bottle_empty_g.is_some(),
        e.bottle_water_g.is_some(),
        e.bottle_bath_g.is_some(),
    ];
    let ways = [
        e.density_g_per_ml.is_some(),
        e.specific_gravity.is_some(),
        weighed.contains(&true),
    ];
    match ways.iter().filter(|w| **w).count() {
        0 => {
            return Err(Fault::missing(
                bench.pointer("density_g_per_ml"),
                "density_g_per_ml, specific_gravity with calibration_temperature_c, or bottle_empty_g, bottle_water_g and bottle_bath_g",
            ));
        }
        1 => {}
        _ => {
            return Err(Fault::new(
                FaultKind::Conflict,
                bench.at.clone(),
                "the density is given in more than one way: expected one of density_g_per_ml, specific_gravity, or three weighings",
            ));
        }
    }
    let about = bench.about.clone();
    if let Some(rho) = &e.density_g_per_ml {
        return bench.positive("density_g_per_ml", rho, Spread::HalfWidth(0.002));
    }
    bench.notes.method(&about, WATER_DENSITY);
    if let Some(gravity) = &e.specific_gravity {
        let gravity = bench.positive("specific_gravity", gravity, Spread::HalfWidth(0.002))?;
        let calibration = match &e.calibration_temperature_c {
            Some(t) => bench.take("calibration_temperature_c", t, Spread::Absolute(0.0))?,
            None => bench.default(
                "calibration_temperature_c",
                20.0,
                Spread::HalfWidth(5.0),
                "common_practice",
                "Calibration temperature of the hydrometer not stated: taken as 15 to 25 °C; it is printed on the scale (common practice, no source).",
            )?,
        };
        if !(0.0..=60.0).contains(&calibration.value()) {
            return Err(Fault::out_of_range(
                bench.pointer("calibration_temperature_c"),
                calibration.value(),
                "0 to 60 °C, as printed on the hydrometer",
            ));
        }
        let t = calibration.value();
        let water_rho = calibration.mapped(water(t), (water(t + 0.1) - water(t - 0.1)) / 0.2);
        return Ok(gravity.times(&water_rho));
    }
    let (Some(empty), Some(full_water), Some(full_bath)) =
        (&e.bottle_empty_g, &e.bottle_water_g, &e.bottle_bath_g)
    else {
        let names = ["bottle_empty_g", "bottle_water_g", "bottle_bath_g"];
        let absent = names
            .iter()
            .zip(weighed)
            .find(|(_, w)| !w)
            .map_or("bottle_empty_g", |(n, _)| n);
        return Err(Fault::missing(
            bench.pointer(absent),
            "three weighings of one bottle: empty, with water, with bath",
        ));
    };
    for (name, mass) in [("bottle_water_g", full_water), ("bottle_bath_g", full_bath)] {
        if mass.decimal() <= empty.decimal() {
            return Err(Fault::new(
                FaultKind::Conflict,
                bench.pointer(name),
                format!(
                    "{} g is not above the empty bottle: expected more than bottle_empty_g",
                    mass.decimal()
                ),
            ));
        }
    }
    let empty = bench.weigh("bottle_empty_g", empty, e.scale_resolution_g)?;
    let full_water = bench.weigh("bottle_water_g", full_water, e.scale_resolution_g)?;
    let full_bath = bench.weigh("bottle_bath_g", full_bath, e.scale_resolution_g)?;
    let t = temperature.value();
    let water_rho = temperature.mapped(water(t), (water(t + 0.1) - water(t - 0.1)) / 0.2);
    Ok(full_bath
        .minus(&empty)
        .over(&full_water.minus(&empty))
        .times(&water_rho))
}

#[cfg(test)]
mod tests {
    use super::water;

    #[test]
    fn water_weighs_what_the_tables_say() {
        // 0.99910, 0.99820 and 0.99704 g/mL at 15, 20 and 25 °C (Laliberte model in the chemicals library, read).
        for (t, rho) in [(15.0, 0.99910), (20.0, 0.99820), (25.0, 0.99704)] {
            assert!((water(t) - rho).abs() < 1.5e-5, "{t}: {}", water(t));
        }
    }
}
