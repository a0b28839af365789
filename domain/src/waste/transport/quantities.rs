//! Limited quantities of a row, and reportable quantities of a package.

use super::data::{Ends, status_of};
use super::item::{Item, name_of};
use super::result::{LimitedQuantity, LimitedQuantityVerdict, Reached, ReportableFinding};
use super::span::{Span, Truth};
use crate::quantity::{ComputedKilograms, write_decimal, write_significant};
use crate::substance::{
    ReportableBasis, ReportableQuantity, TransportEntry, reportable_floor, reportable_quantities,
};
use crate::waste::contents::Certainty;

/// A printed limit: its figure in litres or kilograms.
enum Printed {
    None,
    Litres(f64),
    Kilograms(f64),
    NotRead,
}

fn printed(text: &str) -> Printed {
    if text == "0" || text.starts_with("not authorised") {
        return Printed::None;
    }
    let Some((figure, unit)) = text.split_once(' ') else {
        return Printed::NotRead;
    };
    let Ok(figure) = figure.parse::<f64>() else {
        return Printed::NotRead;
    };
    match unit {
        "L" => Printed::Litres(figure),
        "ml" => Printed::Litres(figure / 1000.0),
        "kg" => Printed::Kilograms(figure),
        "g" => Printed::Kilograms(figure / 1000.0),
        _ => Printed::NotRead,
    }
}

/// The limited quantity of a row against what is in the container, taken as the inner packaging.
/// Equal is within.
pub(super) fn limited(row: &TransportEntry, item: &Item<'_>) -> LimitedQuantity {
    use LimitedQuantityVerdict::{Above, NotAllowed, NotKnown, Within};
    let relief = if row.table == "us" {
        " Its relief from shipping papers is not for hazardous waste, hazardous substances or marine pollutants."
    } else {
        " The packing rules of limited quantities and their mark apply."
    };
    let (limit, amount, unit) = match printed(&row.limited_quantity) {
        Printed::None => {
            return LimitedQuantity {
                printed: row.limited_quantity.clone(),
                verdict: NotAllowed,
                text: "This row allows no limited quantity.".to_owned(),
            };
        }
        Printed::NotRead => {
            return LimitedQuantity {
                printed: row.limited_quantity.clone(),
                verdict: NotKnown,
                text: format!("There is such a way, but its amount was not read.{relief}"),
            };
        }
        Printed::Litres(limit) => (limit, item.volume_l, "L"),
        Printed::Kilograms(limit) => (limit, item.mass_kg, "kg"),
    };
    let ends = Ends {
        up_to: Some(limit),
        ..Ends::default()
    };
    let (verdict, text) = match amount.map(|a| (a, a.keeps(ends))) {
        None => (
            NotKnown,
            format!(
                "State the amount in {unit}: the limit of an inner packaging is {}.{relief}",
                row.limited_quantity
            ),
        ),
        Some((a, Truth::Yes)) => (
            Within,
            format!(
                "{} {unit} in the container, not above {}.{relief}",
                write_significant(a.high, 3),
                row.limited_quantity
            ),
        ),
        Some((a, Truth::No)) => (
            Above,
            format!(
                "{} {unit} in the container, above {}.",
                write_significant(a.low, 3),
                row.limited_quantity
            ),
        ),
        Some((_, Truth::Open)) => (
            NotKnown,
            format!(
                "The amount is not known closely enough against {}.{relief}",
                row.limited_quantity
            ),
        ),
    };
    LimitedQuantity {
        printed: row.limited_quantity.clone(),
        verdict,
        text,
    }
}

/// Every reportable quantity that concerns the container.
pub(super) fn reportable(item: &Item<'_>) -> Vec<ReportableFinding> {
    reportable_quantities()
        .iter()
        .filter_map(|quantity| match quantity.basis {
            ReportableBasis::Substance => of_substance(quantity, item),
            ReportableBasis::Waste => of_waste(quantity, item),
        })
        .collect()
}

/// Codes that the waste bears or may bear and whose reportable quantity was not read: that none is told
/// must not pass for none.
pub(super) fn unread<'a>(item: &'a Item<'_>) -> Vec<&'a str> {
    if item.is_kept_for_use() {
        return Vec::new();
    }
    let read = |code: &str| {
        let mut rows = reportable_quantities().iter();
        rows.any(|q| q.codes.iter().any(|c| c == code))
    };
    let codes = item.codes.iter().flatten().map(|c| c.code.as_str());
    codes.filter(|c| !read(c)).collect()
}

/// The surest of the findings.
pub(super) fn surest(findings: &[ReportableFinding]) -> Truth {
    findings
        .iter()
        .map(|f| match f.reached {
            Reached::Reached => Truth::Yes,
            Reached::Open => Truth::Open,
            Reached::NotReached => Truth::No,
        })
        .max()
        .unwrap_or(Truth::No)
}

fn at_or_above(figure: f64) -> Ends {
    Ends {
        from: Some(figure),
        ..Ends::default()
    }
}

fn of_substance(
    quantity: &'static ReportableQuantity,
    item: &Item<'_>,
) -> Option<ReportableFinding> {
    let id = quantity.substance.as_deref()?;
    let (part, share) = item.parts.iter().find(|(p, _)| p.id == id)?;
    let mass = item.mass_kg.map(|m| m.times(share.scaled(0.01)));
    let floor = reportable_floor(quantity);
    let enough = floor.map_or(Truth::Yes, |f| {
        share.keeps(at_or_above(f.from_percent_w_w.as_f64()))
    });
    let name = name_of(&part.id);
    let below = floor.map_or_else(String::new, |f| {
        format!(
            " Below {} % by mass it does not count.",
            write_decimal(f.from_percent_w_w.decimal())
        )
    });
    Some(finding(
        quantity,
        mass,
        enough,
        &format!("{name} in the package"),
        &below,
    ))
}

fn of_waste(quantity: &'static ReportableQuantity, item: &Item<'_>) -> Option<ReportableFinding> {
    let borne: Vec<_> = item
        .codes
        .iter()
        .flatten()
        .filter(|c| quantity.codes.contains(&c.code))
        .collect();
    let first = borne.first()?;
    let travels_as_waste = !item.is_kept_for_use();
    let applies = if !travels_as_waste {
        return None;
    } else if borne.iter().any(|c| c.certainty >= Certainty::Presumed) {
        Truth::Yes
    } else {
        Truth::Open
    };
    let code = &first.code;
    let tail = match applies {
        Truth::Open => format!(" Whether it is {code} is to be tested."),
        _ => format!(
            " It is {code}. The mass of the waste counts, not that of what makes it hazardous."
        ),
    };
    Some(finding(
        quantity,
        item.mass_kg,
        applies,
        "waste in the package",
        &tail,
    ))
}

fn finding(
    quantity: &'static ReportableQuantity,
    mass: Option<Span>,
    applies: Truth,
    of: &str,
    tail: &str,
) -> ReportableFinding {
    let limit = quantity.reportable_kg.as_f64();
    let reaches = mass.map_or(Truth::Open, |m| m.keeps(at_or_above(limit)));
    let reached = match applies.min(reaches) {
        Truth::Yes => Reached::Reached,
        Truth::Open => Reached::Open,
        Truth::No => Reached::NotReached,
    };
    let amount = mass.map_or_else(
        || "an amount nobody stated".to_owned(),
        |m| format!("{} kg", write_significant(m.high, 4)),
    );
    ReportableFinding {
        name: quantity.name.as_str(),
        reached,
        text: format!(
            "{amount} of {of}, against {} lb ({} kg); equal counts.{tail}",
            quantity.pounds,
            write_decimal(quantity.reportable_kg.decimal()),
        ),
        reportable_kg: quantity.reportable_kg,
        in_package_kg: mass
            .filter(|m| m.high.is_finite())
            .map(|m| ComputedKilograms::of(m.high)),
        source: quantity.source.as_str(),
        status: status_of(&quantity.source),
    }
}
