//! Silver from the film, paper and plates that went through a liquid.

use super::bench::{Bench, Spread};
use super::evidence::{Throughput, ThroughputItem};
use super::finding::Finding;
use crate::answer::Method;
use crate::fault::{Fault, FaultKind, at_most};
use crate::statistics::Uncertain;
use serde::Deserialize;
use std::sync::LazyLock;

pub(super) const THROUGHPUT: Method = Method {
    name: "throughput",
    formula: "m(Ag) = sum of area x silver per area x share to solution, less silver already removed",
    source: "house_rule",
};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Material {
    id: String,
    name: String,
    silver_g_per_m2: f64,
    silver_half_width_g_per_m2: f64,
    silver_source: String,
    to_solution_percent: f64,
    to_solution_half_width_percent: f64,
    to_solution_source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    material: Vec<Material>,
}

static MATERIALS: LazyLock<Vec<Material>> = LazyLock::new(|| {
    crate::data::parse::<File>(include_str!("../../data/materials.toml")).material
});

/// Names of the materials we have figures for.
pub fn material_names() -> impl Iterator<Item = &'static str> {
    MATERIALS.iter().map(|m| m.id.as_str())
}

/// Bibliography keys that the materials rest on.
pub fn material_sources() -> impl Iterator<Item = &'static str> {
    MATERIALS
        .iter()
        .flat_map(|m| [m.silver_source.as_str(), m.to_solution_source.as_str()])
}

pub(super) fn estimate(bench: &mut Bench<'_>, e: &Throughput) -> Result<Finding, Fault> {
    let about = bench.about.clone();
    bench.notes.method(&about, THROUGHPUT);
    if e.items.is_empty() {
        return Err(Fault::missing(
            bench.pointer("items"),
            "at least one material that went through",
        ));
    }
    at_most(bench.pointer("items"), e.items.len(), 200)?;
    let mut silver = Uncertain::exact(0.0);
    for (i, item) in e.items.iter().enumerate() {
        silver = silver.plus(&one(bench, &format!("items/{i}"), item)?);
    }
    if let Some(removed) = &e.silver_already_removed_g {
        let removed = bench.take("silver_already_removed_g", removed, Spread::Relative(10.0))?;
        silver = silver.minus(&removed);
    }
    Ok(Finding::Point(silver))
}

fn one(bench: &mut Bench<'_>, at: &str, item: &ThroughputItem) -> Result<Uncertain, Fault> {
    let area = area(bench, at, item)?;
    let known = MATERIALS.iter().find(|m| m.id == item.material.as_str());
    if known.is_none() && (item.silver_g_per_m2.is_none() || item.to_solution_percent.is_none()) {
        let names: Vec<&str> = material_names().collect();
        return Err(Fault::new(
            FaultKind::Unknown,
            bench.pointer(&format!("{at}/material")),
            format!(
                "no figures for `{}`: expected one of {}, or both silver_g_per_m2 and to_solution_percent",
                item.material,
                names.join(", ")
            ),
        ));
    }
    let load_field = format!("{at}/silver_g_per_m2");
    let load = match (&item.silver_g_per_m2, known) {
        (Some(load), _) => bench.take(load_field, load, Spread::Relative(20.0))?,
        (None, Some(m)) => bench.default(
            load_field,
            m.silver_g_per_m2,
            Spread::HalfWidth(m.silver_half_width_g_per_m2),
            m.silver_source.as_str(),
            format!(
                "Silver on {} not stated: {} plus or minus {} g/m2.",
                m.name, m.silver_g_per_m2, m.silver_half_width_g_per_m2
            ),
        )?,
        (None, None) => Uncertain::exact(0.0),
    };
    let share_field = format!("{at}/to_solution_percent");
    let share = match (&item.to_solution_percent, known) {
        (Some(share), _) => bench.take(share_field, share, Spread::Absolute(10.0))?,
        (None, Some(m)) => bench.default(
            share_field,
            m.to_solution_percent,
            Spread::HalfWidth(m.to_solution_half_width_percent),
            m.to_solution_source.as_str(),
            format!(
                "Share of the silver on {} that goes into the liquid not stated: {} plus or minus {} %.",
                m.name, m.to_solution_percent, m.to_solution_half_width_percent
            ),
        )?,
        (None, None) => Uncertain::exact(0.0),
    };
    Ok(area.times(&load).times(&share).scaled(0.01))
}

fn area(bench: &mut Bench<'_>, at: &str, item: &ThroughputItem) -> Result<Uncertain, Fault> {
    match (&item.area_m2, item.count, &item.width_cm, &item.height_cm) {
        (Some(area), None, None, None) => {
            bench.take(format!("{at}/area_m2"), area, Spread::Relative(5.0))
        }
        (None, Some(count), Some(width), Some(height)) => {
            let width = bench.positive(format!("{at}/width_cm"), width, Spread::Relative(1.0))?;
            let height =
                bench.positive(format!("{at}/height_cm"), height, Spread::Relative(1.0))?;
            Ok(width.times(&height).scaled(f64::from(count) / 10_000.0))
        }
        (Some(_), ..) => Err(Fault::new(
            FaultKind::Conflict,
            bench.pointer(&format!("{at}/area_m2")),
            "both an area and a count or size: expected area_m2 alone, or count with width_cm and height_cm",
        )),
        (None, count, width, _) => {
            let absent = if count.is_none() {
                "count"
            } else if width.is_none() {
                "width_cm"
            } else {
                "height_cm"
            };
            Err(Fault::missing(
                bench.pointer(&format!("{at}/{absent}")),
                "count with width_cm and height_cm, or area_m2",
            ))
        }
    }
}
