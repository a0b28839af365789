//! People's units, made into those of the book. What was typed is kept beside it.

use super::language;
use super::words::measure as w;
use rust_decimal::{Decimal, RoundingStrategy};
use serde_json::{Value, json};
use spent_silver_domain::estimate::mass_dissolved;
use spent_silver_domain::quantity::write_decimal;

/// What is measured. The book keeps each in one unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Measure {
    Volume,
    Mass,
    /// Of a substance that is weighed out.
    Weighing,
    /// Mass of what is dissolved, in a volume.
    Strength,
    /// The same as grams in 100 mL, which the trade writes as a percentage.
    Percent,
}

impl Measure {
    /// The unit of the book.
    fn symbol(self) -> &'static str {
        match self {
            Self::Volume => "L",
            Self::Mass => "kg",
            Self::Weighing => "g",
            Self::Strength => "g/L",
            Self::Percent => w::G_IN_100_ML,
        }
    }
}

/// A unit: its name in a form, what it is called, what it measures, and how many units of the book it
/// is: `factor / over`.
struct Unit {
    name: &'static str,
    words: &'static str,
    of: Measure,
    factor: Decimal,
    over: Decimal,
}

/// The US gallon is 231 cubic inches of 2.54 cm, and 128 fluid ounces; the imperial gallon 4.54609 L,
/// and 160 fluid ounces. The avoirdupois pound is 0.45359237 kg, 16 ounces or 7,000 grains; the troy
/// ounce is 480 grains (NIST Handbook 44, appendix C; Units of Measurement Regulations 1995). All are
/// exact. An ounce of a recipe is a fluid ounce, and the two differ by 4 %.
const UNITS: &[Unit] = &[
    unit("l", w::LITRES, Measure::Volume, ONE),
    unit("ml", w::MILLILITRES, Measure::Volume, exact(1, 3)),
    unit(
        "us_gal",
        w::US_GALLONS,
        Measure::Volume,
        exact(3_785_411_784, 9),
    ),
    unit(
        "imp_gal",
        w::IMPERIAL_GALLONS,
        Measure::Volume,
        exact(454_609, 5),
    ),
    unit("us_floz", w::US_FLUID_OUNCES, Measure::Volume, US_OUNCE),
    unit(
        "imp_floz",
        w::IMPERIAL_FLUID_OUNCES,
        Measure::Volume,
        IMPERIAL_OUNCE,
    ),
    unit("kg", w::KILOGRAMS, Measure::Mass, ONE),
    unit("g", w::GRAMS, Measure::Mass, exact(1, 3)),
    unit("lb", w::POUNDS, Measure::Mass, exact(45_359_237, 8)),
    unit("g", w::GRAMS, Measure::Weighing, ONE),
    unit("gr", w::GRAINS, Measure::Weighing, GRAIN),
    unit(
        "oz",
        w::OUNCES_OF_KITCHEN_SCALE,
        Measure::Weighing,
        exact(28_349_523_125, 9),
    ),
    unit(
        "ozt",
        w::TROY_OUNCES,
        Measure::Weighing,
        exact(311_034_768, 7),
    ),
    unit("g_per_l", w::GRAMS_IN_LITRE, Measure::Strength, ONE),
    unit(
        "g_per_100_ml",
        w::GRAMS_IN_100_ML,
        Measure::Strength,
        exact(10, 0),
    ),
    grains_in(
        "gr_per_us_floz",
        w::GRAINS_IN_US_FLUID_OUNCE,
        Measure::Strength,
        US_OUNCE,
    ),
    grains_in(
        "gr_per_imp_floz",
        w::GRAINS_IN_IMPERIAL_FLUID_OUNCE,
        Measure::Strength,
        IMPERIAL_OUNCE,
    ),
    unit("g_per_100_ml", w::GRAMS_IN_100_ML, Measure::Percent, ONE),
    unit("g_per_l", w::GRAMS_IN_LITRE, Measure::Percent, exact(1, 1)),
    grains_in(
        "gr_per_us_floz",
        w::GRAINS_IN_US_FLUID_OUNCE,
        Measure::Percent,
        TEN_US_OUNCES,
    ),
    grains_in(
        "gr_per_imp_floz",
        w::GRAINS_IN_IMPERIAL_FLUID_OUNCE,
        Measure::Percent,
        TEN_IMPERIAL_OUNCES,
    ),
];

const ONE: Decimal = Decimal::ONE;
const GRAIN: Decimal = exact(6_479_891, 8);
const US_OUNCE: Decimal = exact(295_735_295_625, 13);
const TEN_US_OUNCES: Decimal = exact(295_735_295_625, 12);
const IMPERIAL_OUNCE: Decimal = exact(284_130_625, 10);
const TEN_IMPERIAL_OUNCES: Decimal = exact(284_130_625, 9);

/// `digits` with that many decimals.
const fn exact(digits: u64, decimals: u32) -> Decimal {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the low and the high half of the same number"
    )]
    let (low, high) = (digits as u32, (digits >> 32) as u32);
    Decimal::from_parts(low, high, 0, false, decimals)
}

const fn unit(name: &'static str, words: &'static str, of: Measure, factor: Decimal) -> Unit {
    Unit {
        name,
        words,
        of,
        factor,
        over: ONE,
    }
}

const fn grains_in(name: &'static str, words: &'static str, of: Measure, ounce: Decimal) -> Unit {
    Unit {
        over: ounce,
        ..unit(name, words, of, GRAIN)
    }
}

/// A unit to choose, and how a script shows a figure in it: how many of the book's unit it is.
pub(super) struct Choice {
    pub name: &'static str,
    pub words: &'static str,
    pub factor: String,
    pub symbol: &'static str,
}

/// Units to choose from.
pub(super) fn units(of: &[Measure]) -> impl Iterator<Item = Choice> {
    UNITS
        .iter()
        .filter(move |u| of.contains(&u.of))
        .map(|u| Choice {
            name: u.name,
            words: u.words,
            factor: u.in_book(ONE, 10).map_or_else(String::new, write_decimal),
            symbol: u.of.symbol(),
        })
}

impl Unit {
    /// So many of this unit in the book's, to so many significant digits.
    fn in_book(&self, number: Decimal, digits: u32) -> Option<Decimal> {
        number
            .checked_mul(self.factor)?
            .checked_div(self.over)?
            .round_sf_with_strategy(digits, HALF_EVEN)
            .map(|n| n.normalize())
    }
}

/// An amount as the book takes it.
pub(super) struct InBook {
    /// What was measured, by the unit that was chosen; none where no unit was.
    pub of: Option<Measure>,
    /// The figure, or what was typed where it is none.
    pub value: Value,
    /// What was typed, and what it is in the book's unit, where the two differ.
    pub as_typed: Option<String>,
}

/// An amount that was typed, in the unit that was chosen. In a unit that is none of ours it stays as
/// it was typed, unit and all: it is no number, and the reader says what would be right.
pub(super) fn amount(typed: &str, unit: &str, of: &[Measure]) -> InBook {
    let known = |u: &&Unit| u.name == unit && of.contains(&u.of);
    let Some(unit) = UNITS.iter().find(known) else {
        return InBook {
            of: None,
            value: Value::String(
                format!("{typed} {unit}").trim_end().to_owned() + w::UNIT_NOT_KNOWN,
            ),
            as_typed: None,
        };
    };
    let converted = |text: &str| {
        // What is no number stays as it was typed: the reader says what would be right.
        number(text)
            .and_then(|number| unit.in_book(number, digits(text)))
            .map_or_else(|| text.to_owned(), write_decimal)
    };
    let mut value = reading(typed);
    each_figure(&mut value, &|text| *text = converted(text));
    let same = unit.factor == ONE && unit.over == ONE;
    let in_book = shown(&value).filter(|_| !same);
    let as_typed =
        in_book.map(|shown| format!("{typed} {} ({shown} {})", unit.words, unit.of.symbol()));
    InBook {
        of: Some(unit.of),
        value,
        as_typed,
    }
}

/// Grams that were weighed out, or that a strength (g/L) in a volume (L) comes to, with what is off in
/// either. A strength without a volume, or with one that is no number, stays as it was typed: it is no
/// number, and the reader says what would be right.
pub(super) fn dissolved(typed: &str, unit: &str, volume: &InBook) -> InBook {
    let made = amount(typed, unit, &[Measure::Weighing, Measure::Strength]);
    if made.of != Some(Measure::Strength) {
        return made;
    }
    let strength = serde_json::from_str(&made.value.to_string());
    let litres = serde_json::from_str(&volume.value.to_string());
    let grams = match (strength, litres) {
        (Ok(strength), Ok(litres)) => mass_dissolved(&strength, &litres),
        (Err(_), _) => {
            return InBook {
                of: Some(Measure::Weighing),
                value: Value::String(typed.to_owned()),
                as_typed: None,
            };
        }
        _ => None,
    };
    let value = grams.and_then(|grams| serde_json::to_value(grams).ok());
    let words = UNITS.iter().find(|u| u.name == unit).map(|u| u.words);
    let as_typed = value
        .as_ref()
        .and_then(shown)
        .zip(words)
        .map(|(grams, words)| format!("{typed} {words} ({grams} g)"));
    InBook {
        of: Some(Measure::Weighing),
        value: value.unwrap_or_else(|| Value::String(format!("{typed}{}", w::HOW_MUCH_LIQUID))),
        as_typed,
    }
}

/// Changes every figure of a reading.
fn each_figure(reading: &mut Value, change: &dyn Fn(&mut String)) {
    match reading {
        Value::String(text) => change(text),
        Value::Array(of) => of.iter_mut().for_each(|one| each_figure(one, change)),
        Value::Object(of) => of.values_mut().for_each(|one| each_figure(one, change)),
        _ => {}
    }
}

fn number(text: &str) -> Option<Decimal> {
    spent_silver_domain::quantity::parse_number(text).ok()?;
    text.parse().ok()
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
    if let Some((low, high)) = typed.split_once(w::BETWEEN) {
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
                return Some([text(Some(low))?, text(Some(high))?].join(w::BETWEEN));
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
    size("ninth", w::NINTH_PLATE, "5.08", "6.35"),
    size("sixth", w::SIXTH_PLATE, "6.985", "8.255"),
    size("quarter", w::QUARTER_PLATE, "8.255", "10.795"),
    size("half", w::US_HALF_PLATE, "10.795", "13.97"),
    size("half_uk", w::HALF_PLATE, "12.065", "16.51"),
    size("whole", w::WHOLE_PLATE, "16.51", "21.59"),
    size("4x5", w::SIZE_4_5_IN, "10.16", "12.7"),
    size("5x7", w::SIZE_5_7_IN, "12.7", "17.78"),
    size("8x10", w::SIZE_8_10_IN, "20.32", "25.4"),
    size("11x14", w::SIZE_11_14_IN, "27.94", "35.56"),
    size("16x20", w::SIZE_16_20_IN, "40.64", "50.8"),
    size("9x12", w::SIZE_9_12_CM, "9", "12"),
    size("13x18", w::SIZE_13_18_CM, "13", "18"),
    size("18x24", w::SIZE_18_24_CM, "18", "24"),
    size("24x30", w::SIZE_24_30_CM, "24", "30"),
    size("roll", w::ROLL, "20.32", "25.4"),
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
            let made = amount(typed, unit, &[Measure::Volume]);
            assert_eq!(
                (made.of, made.value),
                (Some(Measure::Volume), json!(litres)),
                "{typed} {unit}"
            );
        }
        let pound = amount("2", "lb", &[Measure::Volume, Measure::Mass]);
        assert_eq!(
            (pound.of, pound.value),
            (Some(Measure::Mass), json!("0.9072"))
        );
    }

    #[test]
    fn grains_and_ounces_are_what_the_law_says() {
        // NIST Handbook 44 (2024), appendix C: a grain is 64.798 91 mg, an avoirdupois ounce
        // 28.349 523 125 g, a troy ounce 31.103 476 8 g, a US fluid ounce 29.573 529 562 5 mL; Units of
        // Measurement Regulations 1995 (UK), schedule: a fluid ounce is 28.413 062 5 mL.
        let weighed = |typed, unit| amount(typed, unit, &[Measure::Weighing]).value;
        assert_eq!(weighed("480.00000", "gr"), json!("31.1034768"));
        assert_eq!(weighed("437.5000", "gr"), json!("28.3495231"));
        assert_eq!(weighed("1.000000", "oz"), json!("28.3495231"));
        assert_eq!(weighed("1.0000000", "ozt"), json!("31.1034768"));
        // By hand: 40 x 64.79891 mg = 2.5919564 g in 29.5735296 mL are 87.6445 g/L, in 28.4130625 mL
        // 91.2241 g/L.
        let strong = |unit| amount("40.00", unit, &[Measure::Strength]).value;
        assert_eq!(strong("gr_per_us_floz"), json!("87.6445"));
        assert_eq!(strong("gr_per_imp_floz"), json!("91.2241"));
        assert_eq!(strong("g_per_100_ml"), json!("400"));
        let percent = |unit| amount("40.00", unit, &[Measure::Percent]).value;
        assert_eq!(percent("gr_per_us_floz"), json!("8.76445"));
        assert_eq!(percent("gr_per_imp_floz"), json!("9.12241"));
        assert_eq!(percent("g_per_l"), json!("4"));
    }

    #[test]
    fn a_strength_and_its_volume_make_grams() {
        let litre = amount("1.00", "l", &[Measure::Volume]);
        let made = dissolved("40", "gr_per_us_floz", &litre);
        // A bare strength is good to 2 %, a bare volume to 5 % (common practice, no source): together
        // the root of 4 + 25, 5.4 %, of 87.64 g.
        let bare = json!({"value": "87.64", "standard_uncertainty": "4.7"});
        assert_eq!(made.value, bare);
        assert_eq!(
            made.as_typed.as_deref(),
            Some("40 grains in a US fluid ounce (87.64, u = 4.7 g)")
        );
        // 9 g in 100 mL, surely, in 2.0 ± 0.1 L: 180 g; 0.1 L are 9 g, a rectangle of 9 / 3^(1/2) = 5.2 g.
        let jug = amount("2.0 ± 0.1", "l", &[Measure::Volume]);
        let made = dissolved("9 ± 0", "g_per_100_ml", &jug);
        let known = json!({"value": "180", "standard_uncertainty": "5.2"});
        assert_eq!(made.value, known);
        // Between 1.9 and 2.1 L the same, and with the standard uncertainty itself, 0.1 / 3^(1/2) L.
        for volume in ["1.9 to 2.1", "2.0, u = 0.0577"] {
            let volume = amount(volume, "l", &[Measure::Volume]);
            assert_eq!(dissolved("9 ± 0", "g_per_100_ml", &volume).value, known);
        }
        // 0.3 g in 100 mL of 9 are 6 g in 2 L; beside 5.2 g the root of their squares is 7.9 g.
        let loose = dissolved("9, u = 0.3", "g_per_100_ml", &jug).value;
        assert_eq!(loose["standard_uncertainty"], "7.9");
        assert_eq!(dissolved("much", "g_per_100_ml", &jug).value, json!("much"));
        let open = amount("", "l", &[Measure::Volume]);
        assert_eq!(
            dissolved("9", "g_per_100_ml", &open).value,
            json!("9 (say how much liquid there is, too)")
        );
        // A weighing needs none.
        assert_eq!(dissolved("50.0", "g", &open).value, json!("50"));
        assert_eq!(
            dissolved("50.0", "stone", &open).value,
            json!("50.0 stone (choose a unit)")
        );
    }

    #[test]
    fn how_far_off_goes_through_the_same_factor_and_what_is_no_number_stays() {
        let made = amount("2 ± 0.5", "us_gal", &[Measure::Volume]);
        assert_eq!(made.value, json!({"value": "7.571", "plus_minus": "1.893"}));
        assert_eq!(
            made.as_typed.as_deref(),
            Some("2 ± 0.5 US gallons (7.571 ± 1.893 L)")
        );
        let range = amount("2 to 3", "us_gal", &[Measure::Volume]);
        assert_eq!(range.value, json!({"between": ["7.571", "11.36"]}));
        assert_eq!(
            amount("two", "us_gal", &[Measure::Volume]).value,
            json!("two")
        );
        assert_eq!(
            amount("2", "firkin", &[Measure::Volume]).value,
            json!("2 firkin (choose a unit)")
        );
        assert_eq!(
            amount("2", "", &[Measure::Volume]).value,
            json!("2 (choose a unit)")
        );
        assert_eq!(
            amount("1_0", "us_gal", &[Measure::Volume]).value,
            json!("1_0")
        );
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
