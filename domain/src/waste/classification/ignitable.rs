//! Whether a batch catches fire, or feeds one.

use super::codes::Findings;
use super::result::{Figure, Property};
use crate::batch::{Batch, BatchKind};
use crate::quantity::{ComputedDegreesCelsius, ComputedPercentVV};
use crate::substance::{Group, substance};
use crate::waste::contents::{Certainty, Contents, Held, component_g_per_l};
use crate::waste::rule_set::Ignitability;

/// Density of ethanol, g/mL: turns g/L of alcohol into percent by volume.
const ETHANOL_G_PER_ML: f64 = 0.789;

/// Alcohol in percent by volume, from the stated composition: `None` where alcohol may be there
/// without an amount.
pub(crate) fn alcohol_percent(batch: &Batch, contents: &Contents) -> Option<f64> {
    if !contents.holds(Group::Alcohol) {
        return Some(0.0);
    }
    let mut sum = None;
    for part in &batch.composition {
        if substance(&part.substance).is_some_and(|s| s.is(Group::Alcohol)) {
            let g = component_g_per_l(batch, part)?;
            sum = Some(sum.unwrap_or(0.0) + g / ETHANOL_G_PER_ML / 10.0);
        }
    }
    sum
}

/// Finds the code for ignitable waste, or what rules it out.
pub(super) fn find(batch: &Batch, contents: &Contents, rule: &Ignitability, found: &mut Findings) {
    oxidizer(batch, contents, rule, found);
    let flammable = [Group::Ether, Group::Solvent, Group::Nitrocellulose]
        .into_iter()
        .find_map(|g| contents.source_of(g));
    let alcohol = alcohol_percent(batch, contents);
    let limit = rule.flash_point_below_c;
    let how = "A closed-cup flash point by a laboratory.";
    let why = format!("Below {} °C decides {}.", limit.decimal(), rule.code);
    let aqueous = batch.kind.is_liquid() && batch.kind != BatchKind::CollodionOrSolvent;
    if aqueous
        && flammable.is_none()
        && let Some(percent) = alcohol.filter(|p| *p > 0.0)
        && let Some(excluded) = rule.alcohol_below_percent_v_v
        && percent < excluded.as_f64()
    {
        found.clean(
            &rule.code,
            "An aqueous liquid with this little alcohol, and nothing else that burns, is excluded.",
            Some(Figure::Alcohol {
                value_percent_v_v: ComputedPercentVV::of(percent),
                limit_percent_v_v: excluded,
            }),
            &rule.rule,
        );
        return;
    }
    if let Some(flash) = batch.flash_point_c.filter(|_| batch.kind.is_liquid()) {
        let figure = Figure::FlashPoint {
            value_c: ComputedDegreesCelsius::of(flash.as_f64()),
            limit_c: limit,
        };
        if flash.as_f64() < limit.as_f64() {
            found.code(
                &rule.code,
                Property::Ignitable,
                Certainty::Known,
                "Its flash point is below the limit.",
                Some(figure),
                &rule.rule,
            );
        } else {
            found.clean(
                &rule.code,
                "Its flash point is not below the limit.",
                Some(figure),
                &rule.rule,
            );
        }
        return;
    }
    if batch.kind == BatchKind::CollodionOrSolvent {
        found.code(
            &rule.code,
            Property::Ignitable,
            Certainty::Presumed,
            "Ether and alcohol flash far below the limit.",
            None,
            &rule.rule,
        );
    } else if let Some(held) = flammable {
        found.code(
            &rule.code,
            Property::Ignitable,
            Certainty::ToBeTested,
            format!(
                "It may hold {}: a few per cent lower the flash point.",
                in_words(held)
            ),
            None,
            &rule.rule,
        );
        found.test("Flash point", how, why);
    } else if contents.holds(Group::Alcohol) {
        found.code(
            &rule.code,
            Property::Ignitable,
            Certainty::ToBeTested,
            "It holds alcohol in an amount that was not stated, or above the exclusion.",
            None,
            &rule.rule,
        );
        found.test("Flash point and alcohol by volume", how, why);
    }
}

/// The group with what it comes from, named once where one name holds the other.
fn in_words(held: &Held) -> String {
    let group = held.group.words();
    if held.from.starts_with(group) {
        held.from.clone()
    } else {
        format!("{group} (from: {})", held.from)
    }
}

fn oxidizer(batch: &Batch, contents: &Contents, rule: &Ignitability, found: &mut Findings) {
    let feeding = [
        Group::Nitrate,
        Group::Peroxide,
        Group::Permanganate,
        Group::Persulfate,
        Group::Chromate,
        Group::Hypochlorite,
    ]
    .into_iter()
    .find_map(|g| contents.source_of(g));
    let (Some(held), Some((code, authority))) = (feeding, &rule.oxidizer) else {
        return;
    };
    if batch.kind == BatchKind::UnusedChemical {
        found.code(
            code,
            Property::Ignitable,
            Certainty::Presumed,
            format!("{} in its bottle is an oxidizer.", held.from),
            None,
            authority,
        );
    } else if batch.kind == BatchKind::SensitizingBath {
        found.test(
            "Whether the bath counts as an oxidizer",
            "Ask the waste contractor or the authority, or have it tested.",
            format!(
                "A strong silver nitrate solution might fall under {code}; it is not asserted.",
            ),
        );
    }
}
