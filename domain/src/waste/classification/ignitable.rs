//! Whether a batch catches fire, or feeds one.

use super::codes::{Findings, is_aqueous};
use super::hazard::relative_half_width;
use super::result::{Figure, Property};
use super::silver::Level;
use crate::batch::{Batch, BatchKind, Component, PhysicalForm};
use crate::quantity::{ComputedDegreesCelsius, ComputedPercentVV, MeasuredDegreesCelsius};
use crate::substance::{Group, substance};
use crate::waste::contents::{Certainty, Contents, Held, component_g_per_l, is_thin};
use crate::waste::rule_set::Ignitability;

/// The statements of liquids that burn.
pub(crate) const FLAMMABLE_LIQUID: [&str; 3] = ["H224", "H225", "H226"];

/// Density of ethanol, g/mL: turns g/L of alcohol into percent by volume.
const ETHANOL_G_PER_ML: f64 = 0.789;

/// Alcohol in percent by volume, from the stated composition and as far as it may be off: `None` where
/// alcohol may be there without an amount.
pub(crate) fn alcohol_percent(batch: &Batch, contents: &Contents) -> Option<Level> {
    let (mut sum, mut half_width) = (0.0, 0.0);
    let mut stated = !contents.holds(Group::Alcohol);
    for part in &batch.composition {
        if substance(&part.substance).is_some_and(|s| s.is(Group::Alcohol)) {
            let percent = component_g_per_l(batch, part)? / ETHANOL_G_PER_ML / 10.0;
            sum += percent;
            half_width += percent * relative_half_width(part);
            stated = true;
        }
    }
    stated.then(|| Level::within(sum, half_width))
}

/// Finds the code for ignitable waste, or what rules it out.
pub(super) fn find(batch: &Batch, contents: &Contents, rule: &Ignitability, found: &mut Findings) {
    oxidizer(batch, contents, rule, found);
    let flammable = [Group::Ether, Group::Solvent, Group::Nitrocellulose]
        .into_iter()
        .filter_map(|g| contents.source_of(g))
        // Dry nitrocellulose has no flash point: it explodes.
        .find(|held| held.group != Group::Nitrocellulose || batch.is_liquid());
    let alcohol = alcohol_percent(batch, contents);
    let limit = rule.flash_point_below_c;
    let how = "A closed-cup flash point by a laboratory.";
    let why = || format!("Below {} °C decides {}.", limit.decimal(), rule.code);
    let mut code = |certainty, reason: &str| {
        found.code(
            &rule.code,
            Property::Ignitable,
            certainty,
            reason,
            None,
            rule.rule,
        );
    };
    if is_aqueous(batch)
        && flammable.is_none()
        && let Some(level) = alcohol.filter(|level| level.value > Some(0.0))
        && let Some(excluded) = rule.alcohol_below_percent_v_v
        && level.upper.is_some_and(|p| p < excluded.as_f64())
    {
        found.clean(
            &rule.code,
            "An aqueous liquid with this little alcohol, and nothing else that burns, is excluded.",
            Some(Figure::Alcohol {
                value_percent_v_v: ComputedPercentVV::of(level.value.unwrap_or(level.lower)),
                limit_percent_v_v: excluded,
            }),
            rule.rule,
        );
    } else if let Some(flash) = batch.flash_point_c.filter(|_| batch.is_liquid()) {
        by_flash_point(flash, rule, found);
    } else if batch.kind == BatchKind::CollodionOrSolvent {
        code(
            Certainty::Presumed,
            "Ether and alcohol flash far below the limit.",
        );
    } else if let Some((name, statement)) = neat_and_flammable(batch) {
        code(
            Certainty::Presumed,
            &format!("{name} is a flammable liquid as it stands in its bottle ({statement})."),
        );
    } else if let Some(held) = flammable {
        code(
            Certainty::ToBeTested,
            &format!(
                "It {} {}: a few per cent lower the flash point.",
                if held.certainty == Certainty::Known {
                    "holds"
                } else {
                    "may hold"
                },
                in_words(held)
            ),
        );
        found.test("Flash point", how, why());
    } else if contents.holds(Group::Alcohol) {
        code(
            Certainty::ToBeTested,
            match (alcohol, rule.alcohol_below_percent_v_v) {
                (None, _) => "It holds alcohol in an amount that was not stated.",
                (Some(_), Some(_)) => "Its alcohol is not shown to be below the exclusion.",
                (Some(_), None) => "It holds alcohol: its flash point decides.",
            },
        );
        found.test("Flash point and alcohol by volume", how, why());
    }
}

/// A flash point that was read, as far as it may be off, against the limit.
fn by_flash_point(flash: MeasuredDegreesCelsius, rule: &Ignitability, found: &mut Findings) {
    const HAIR: f64 = 1e-9;
    let limit = rule.flash_point_below_c;
    let (value, half) = (flash.as_f64(), flash.half_width_95().unwrap_or(0.0));
    let below = |c: f64| c < limit.as_f64() - HAIR;
    let figure = Figure::FlashPoint {
        value_c: ComputedDegreesCelsius::of(value),
        limit_c: limit,
    };
    let (certainty, reason) = if below(value + half) {
        (Certainty::Known, "Its flash point is below the limit.")
    } else if below(value) {
        (
            Certainty::Presumed,
            "Its flash point is below the limit, though the uncertainty reaches above.",
        )
    } else if below(value - half) {
        (
            Certainty::ToBeTested,
            "Its flash point is not below the limit, but the uncertainty reaches below.",
        )
    } else {
        found.clean(
            &rule.code,
            "Its flash point is not below the limit.",
            Some(figure),
            rule.rule,
        );
        return;
    };
    found.code(
        &rule.code,
        Property::Ignitable,
        certainty,
        reason,
        Some(figure),
        rule.rule,
    );
    if certainty != Certainty::Known {
        found.test(
            "Flash point near the limit",
            "A closed-cup flash point by a laboratory.",
            format!("It decides {}.", rule.code),
        );
    }
}

/// A flammable liquid that stands neat in its bottle, or was spilt so and not soaked up: its name and the
/// statement that says so.
fn neat_and_flammable(batch: &Batch) -> Option<(&'static str, &'static str)> {
    if !batch.is_product() || batch.form == Some(PhysicalForm::Solid) {
        return None;
    }
    batch.composition.iter().find_map(|part| {
        let known = substance(&part.substance).filter(|_| is_neat(batch, part))?;
        let statement = known
            .hazard_statements
            .iter()
            .find(|h| FLAMMABLE_LIQUID.contains(&h.as_str()))?;
        Some((known.name.as_str(), statement.as_str()))
    })
}

/// The group with what it comes from, named once where one name holds the other.
fn in_words(held: &Held) -> String {
    let group = held.group.words();
    if held.from.starts_with(group) {
        held.from.clone().into_owned()
    } else {
        format!("{group} (from: {})", held.from)
    }
}

/// What feeds a fire: in its bottle, or as strong in a waste as a rule names it. A thin solution is asked.
fn oxidizer(batch: &Batch, contents: &Contents, rule: &Ignitability, found: &mut Findings) {
    let Some((code, authority)) = &rule.oxidizer else {
        return;
    };
    let as_product = batch.is_product();
    let mut asked = false;
    for part in &batch.composition {
        let Some(known) = substance(&part.substance) else {
            continue;
        };
        let named = rule
            .oxidizer_from
            .iter()
            .find(|o| o.substance == part.substance.as_str());
        let (strong, reason, authority) = match named {
            Some(named) => {
                let from = named.from_percent_w_w;
                let strong = percent_w_w(batch, part).map_or(as_product, |p| p >= from.as_f64());
                let reason = format!(
                    "{} of {} % by mass or more is an oxidizer.",
                    known.name,
                    from.decimal()
                );
                (strong, reason, &named.rule)
            }
            None if known.is(Group::StrongOxidizer) => {
                let strong = as_product && !is_thin(batch, part, known);
                let reason = format!("{} in its bottle is an oxidizer.", known.name);
                (strong, reason, authority)
            }
            None => continue,
        };
        if strong {
            found.code(
                code,
                Property::Ignitable,
                Certainty::Presumed,
                reason,
                None,
                authority,
            );
            return;
        }
        asked |= as_product;
    }
    if asked || batch.kind == BatchKind::SensitizingBath {
        found.test(
            format!("Whether the {} counts as an oxidizer", batch.kind.words()),
            "Ask the waste contractor or the authority, or have it tested.",
            if contents.holds(Group::Silver) {
                format!(
                    "A strong silver nitrate solution might fall under {code}; it is not asserted."
                )
            } else {
                format!("A solution might fall under {code}; it is not asserted.")
            },
        );
    }
}

/// The share by mass from which on what stands in its bottle counts as neat (house rule). An amount that
/// nobody stated is neat.
const NEAT_FROM_PERCENT: f64 = 90.0;

/// Whether a substance of a bottle or a spill is neat.
pub(super) fn is_neat(batch: &Batch, part: &Component) -> bool {
    percent_w_w(batch, part).is_none_or(|p| p >= NEAT_FROM_PERCENT)
}

/// Percent by mass, where an amount is stated; a liquid without a density is taken at 1.0 g/mL.
fn percent_w_w(batch: &Batch, part: &Component) -> Option<f64> {
    if let Some(percent) = &part.percent_w_w {
        return Some(percent.as_f64());
    }
    let density = batch.density_g_per_ml.map_or(1.0, |d| d.as_f64());
    Some(component_g_per_l(batch, part)? / 10.0 / density)
}
