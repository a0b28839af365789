//! People's units, made into those of the book. What was typed is kept beside it.

use super::language;
use rust_decimal::{Decimal, RoundingStrategy};
use serde_json::{Value, json};
use spent_silver_domain::quantity::write_decimal;

/// A unit of an amount: its name in a form, what it is called, how many of the book's unit it is (in
/// units of ten to the minus ten), and whether it is a mass.
struct Unit {
    name: &'static str,
    words: &'static str,
    factor: i64,
    mass: bool,
}

const SCALE: u32 = 13;

const UNIT_NOT_KNOWN: &str = " (choose a unit)";

/// Litres and kilograms in one of each. The US gallon is 231 cubic inches of 2.54 cm, and 128 fluid
/// ounces; the imperial gallon 4.54609 L, and 160 fluid ounces (NIST Handbook 44, appendix C; Units of
/// Measurement Regulations 1995). The avoirdupois pound is 0.45359237 kg. All are exact.
const UNITS: &[Unit] = &[
    unit("l", "litres", 10_000_000_000_000, false),
    unit("ml", "millilitres", 10_000_000_000, false),
    unit("us_gal", "US gallons", 37_854_117_840_000, false),
    unit("imp_gal", "imperial gallons", 45_460_900_000_000, false),
    unit("us_floz", "US fluid ounces", 295_735_295_625, false),
    unit("imp_floz", "imperial fluid ounces", 284_130_625_000, false),
    unit("kg", "kilograms", 10_000_000_000_000, true),
    unit("g", "grams", 10_000_000_000, true),
    unit("lb", "pounds", 4_535_923_700_000, true),
];

const fn unit(name: &'static str, words: &'static str, factor: i64, mass: bool) -> Unit {
    Unit {
        name,
        words,
        factor,
        mass,
    }
}

/// Units to choose from: of volumes, or of masses as well.
pub(super) fn units(with_masses: bool) -> impl Iterator<Item = (&'static str, &'static str)> {
    UNITS
        .iter()
        .filter(move |u| with_masses || !u.mass)
        .map(|u| (u.name, u.words))
}

/// An amount as the book takes it.
pub(super) struct InBook {
    /// `volume_l` or `mass_kg`.
    pub member: &'static str,
    /// The figure, or what was typed where it is none.
    pub value: Value,
    /// What was typed, and what it is in the book's unit, where the two differ.
    pub as_typed: Option<String>,
}

/// An amount that was typed, in the unit that was chosen. In a unit that is none of ours it stays as
/// it was typed, unit and all: it is no number, and the reader says what would be right.
pub(super) fn amount(typed: &str, unit: &str) -> InBook {
    let Some(unit) = UNITS.iter().find(|u| u.name == unit) else {
        return InBook {
            member: "volume_l",
            value: Value::String(format!("{typed} {unit}").trim_end().to_owned() + UNIT_NOT_KNOWN),
            as_typed: None,
        };
    };
    let (member, symbol) = if unit.mass {
        ("mass_kg", "kg")
    } else {
        ("volume_l", "L")
    };
    let factor = Decimal::new(unit.factor, SCALE);
    let converted = |text: &str| {
        // What is no number stays as it was typed: the reader says what would be right.
        text.parse::<Decimal>()
            .ok()
            .filter(|_| spent_silver_domain::quantity::parse_number(text).is_ok())
            .and_then(|number| Some((number.checked_mul(factor)?, digits(text))))
            .and_then(|(n, digits)| n.round_sf_with_strategy(digits, HALF_EVEN))
            .map_or_else(|| text.to_owned(), |n| write_decimal(n.normalize()))
    };
    let parts = halves(&language::typed(typed));
    let value = match &parts {
        (figure, None) => Value::String(converted(figure)),
        (figure, Some(about)) => {
            json!({"value": converted(figure), "plus_minus": converted(about)})
        }
    };
    let same = matches!(unit.name, "l" | "kg");
    let as_typed = (!same).then(|| {
        let (figure, _) = &parts;
        format!("{typed} {} ({} {symbol})", unit.words, converted(figure))
    });
    InBook {
        member,
        value,
        as_typed,
    }
}

const HALF_EVEN: RoundingStrategy = RoundingStrategy::MidpointNearestEven;

/// Significant digits that a converted figure keeps: two more than were typed, and at least four. What
/// was typed stands beside it.
fn digits(typed: &str) -> u32 {
    let count = typed
        .split(['e', 'E'])
        .next()
        .unwrap_or_default()
        .trim_start_matches(['-', '0', '.'])
        .bytes()
        .filter(u8::is_ascii_digit)
        .count();
    u32::try_from(count.saturating_add(2)).unwrap_or(4).max(4)
}

/// A figure with or without `± so much`.
fn halves(typed: &str) -> (String, Option<String>) {
    for sign in ["±", "+/-", "+-"] {
        if let Some((figure, about)) = typed.split_once(sign) {
            return (figure.trim().to_owned(), Some(about.trim().to_owned()));
        }
    }
    (typed.trim().to_owned(), None)
}

/// A reading as the book takes it: the digits that were typed, and how far off they may be.
pub(super) fn reading(typed: &str) -> Value {
    let typed = language::typed(typed);
    if let Some((low, high)) = typed.split_once(BETWEEN) {
        return json!({"between": [low.trim(), high.trim()]});
    }
    if let Some((figure, u)) = typed.split_once(STANDARD) {
        return json!({"value": figure.trim(), "standard_uncertainty": u.trim()});
    }
    match halves(&typed) {
        (figure, None) => Value::String(figure),
        (figure, Some(about)) => json!({"value": figure, "plus_minus": about}),
    }
}

/// Between the two ends of a range.
const BETWEEN: &str = " to ";
/// With a standard uncertainty.
const STANDARD: &str = ", u = ";

/// What the book holds, as it is typed: [`reading`] makes the same of it again. The book keeps two ends
/// as their middle and half of what lies between.
pub(super) fn shown(of: &Value) -> Option<String> {
    let text = |of: Option<&Value>| match of {
        Some(Value::String(text)) => Some(text.clone()),
        Some(Value::Number(number)) => Some(number.to_string()),
        _ => None,
    };
    match of {
        Value::Bool(yes) => Some(if *yes { "yes" } else { "no" }.to_owned()),
        Value::Object(members) => {
            let ends = members.get("between").and_then(Value::as_array);
            if let Some([low, high]) = ends.map(Vec::as_slice) {
                return Some(format!(
                    "{}{BETWEEN}{}",
                    text(Some(low))?,
                    text(Some(high))?
                ));
            }
            let value = text(members.get("value"))?;
            let about = text(members.get("plus_minus")).map(|u| format!("{value} ± {u}"));
            about.or_else(|| {
                let u = text(members.get("standard_uncertainty"))?;
                Some(format!("{value}{STANDARD}{u}"))
            })
        }
        other => text(Some(other)),
    }
}

/// A size of plate, sheet or film that has a name.
pub(super) struct Size {
    pub name: &'static str,
    pub words: &'static str,
    pub width_cm: &'static str,
    pub height_cm: &'static str,
}

const fn size(
    name: &'static str,
    words: &'static str,
    width_cm: &'static str,
    height_cm: &'static str,
) -> Size {
    Size {
        name,
        words,
        width_cm,
        height_cm,
    }
}

/// Sizes that have a name; an inch is 2.54 cm. The names of plates are the trade's.
pub(super) const SIZES: &[Size] = &[
    size("ninth", "ninth plate, 2 × 2½ in", "5.08", "6.35"),
    size("sixth", "sixth plate, 2¾ × 3¼ in", "6.985", "8.255"),
    size("quarter", "quarter plate, 3¼ × 4¼ in", "8.255", "10.795"),
    size("half", "half plate, 4¼ × 5½ in", "10.795", "13.97"),
    size("half_uk", "half plate, 4¾ × 6½ in", "12.065", "16.51"),
    size("whole", "whole plate, 6½ × 8½ in", "16.51", "21.59"),
    size("4x5", "4 × 5 in", "10.16", "12.7"),
    size("5x7", "5 × 7 in", "12.7", "17.78"),
    size("8x10", "8 × 10 in", "20.32", "25.4"),
    size("11x14", "11 × 14 in", "27.94", "35.56"),
    size("16x20", "16 × 20 in", "40.64", "50.8"),
    size("9x12", "9 × 12 cm", "9", "12"),
    size("13x18", "13 × 18 cm", "13", "18"),
    size("18x24", "18 × 24 cm", "18", "24"),
    size("24x30", "24 × 30 cm", "24", "30"),
    size(
        "roll",
        "a roll of 120, or 36 exposures of 35 mm (taken as 8 × 10 in: common practice, no source)",
        "20.32",
        "25.4",
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gallons_and_ounces_are_what_the_law_says() {
        // NIST Handbook 44 (2024), appendix C, units of liquid volume; Units of Measurement
        // Regulations 1995 (UK), schedule.
        for (typed, unit, litres) in [
            ("1", "us_gal", "3.785"),
            ("1.0000000", "us_gal", "3.785411784"),
            ("128.0000000", "us_floz", "3.785411784"),
            ("1.0000", "imp_gal", "4.54609"),
            ("160.0", "imp_floz", "4.54609"),
            ("250", "ml", "0.25"),
            ("1.50", "l", "1.5"),
        ] {
            let made = amount(typed, unit);
            assert_eq!(
                (made.member, made.value),
                ("volume_l", json!(litres)),
                "{typed} {unit}"
            );
        }
        let pound = amount("2", "lb");
        assert_eq!((pound.member, pound.value), ("mass_kg", json!("0.9072")));
    }

    #[test]
    fn how_far_off_goes_through_the_same_factor_and_what_is_no_number_stays() {
        let made = amount("2 ± 0.5", "us_gal");
        assert_eq!(made.value, json!({"value": "7.571", "plus_minus": "1.893"}));
        assert_eq!(
            made.as_typed.as_deref(),
            Some("2 ± 0.5 US gallons (7.571 L)")
        );
        assert_eq!(amount("two", "us_gal").value, json!("two"));
        assert_eq!(
            amount("2", "firkin").value,
            json!("2 firkin (choose a unit)")
        );
        assert_eq!(amount("2", "").value, json!("2 (choose a unit)"));
        assert_eq!(amount("1_0", "us_gal").value, json!("1_0"));
        assert_eq!(reading("22.860"), json!("22.860"));
        assert_eq!(
            reading("22.86 +/- 0.05"),
            json!({"value": "22.86", "plus_minus": "0.05"})
        );
    }

    #[test]
    fn what_the_book_holds_comes_back_as_it_was() {
        for held in [
            json!("22.860"),
            json!({"value": "22.86", "plus_minus": "0.05"}),
            json!({"value": "22.86", "standard_uncertainty": "0.03"}),
        ] {
            assert_eq!(reading(&shown(&held).unwrap()), held);
        }
        assert_eq!(reading("3 to 4"), json!({"between": ["3", "4"]}));
        assert_eq!(shown(&json!(30)).as_deref(), Some("30"));
        assert_eq!(shown(&json!(true)).as_deref(), Some("yes"));
        assert_eq!(shown(&json!([1])), None);
    }
}
