//! Properties of numbers, readings, money and dates: what goes in comes out, or is refused.

use proptest::prelude::*;
use rust_decimal::Decimal;
use spent_silver_domain::quantity::{
    Amount, ComputedGrams, Currency, Date, Identifier, Litres, MeasuredLitres, MeasuredPh,
    MetalPrice, Millilitres, Percent, Shape, SignedAmount, TROY_OUNCE_G, Text, exact_grams,
    parse_number, write_decimal, write_significant,
};
use std::str::FromStr;

proptest! {
    #[test]
    fn every_accepted_literal_keeps_its_value(whole in 0u64..999_999_999, fraction in "[0-9]{0,15}", negative: bool) {
        let sign = if negative { "-" } else { "" };
        let text = if fraction.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{fraction}") };
        let ours = parse_number(&text).unwrap();
        // rust_decimal's own exact parser is the outside witness.
        prop_assert_eq!(ours, Decimal::from_str_exact(&text).unwrap());
    }

    #[test]
    fn an_exponent_only_moves_the_point(digits in 1u64..1_000_000, exponent in -20i32..5) {
        let ours = parse_number(&format!("{digits}e{exponent}")).unwrap();
        let witness = Decimal::from_scientific(&format!("{digits}e{exponent}")).unwrap();
        prop_assert_eq!(ours, witness);
    }

    #[test]
    fn what_is_written_is_read_back_the_same(mantissa in -9_999_999_999i64..9_999_999_999, scale in 0u32..15) {
        let value = Decimal::new(mantissa, scale);
        prop_assert_eq!(parse_number(&write_decimal(value)).unwrap(), value);
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in "\\PC{0,40}") {
        let _ = parse_number(&text);
        let _ = Date::parse(&text);
        let _ = Identifier::new(&text);
        let _ = Text::new(&text);
        let _ = Currency::parse(&text);
        let _ = serde_json::from_str::<MeasuredLitres>(&text);
    }

    #[test]
    fn a_computed_figure_is_written_to_ten_digits(value in prop::num::f64::NORMAL) {
        let text = write_significant(value, 10);
        prop_assert!(!text.contains(['e', 'E', '+']), "{}", text);
        let back: f64 = text.parse().unwrap();
        prop_assert!((back - value).abs() <= 5.1e-10 * value.abs(), "{} {}", value, text);
    }

    #[test]
    fn a_computed_figure_enters_exact_arithmetic_rounded_and_not_more(value in -1e9f64..1e9) {
        let decimal = ComputedGrams::of(value).to_decimal().unwrap();
        prop_assert_eq!(write_decimal(decimal), write_significant(value, 10));
    }

    #[test]
    fn both_forms_of_a_number_read_alike(mantissa in 0u64..1_000_000, scale in 0u32..5) {
        let text = write_decimal(Decimal::new(i64::try_from(mantissa).unwrap(), scale));
        let bare: Litres = serde_json::from_str(&text).unwrap();
        let quoted: Litres = serde_json::from_str(&format!("\"{text}\"")).unwrap();
        prop_assert_eq!(bare, quoted);
        prop_assert_eq!(serde_json::to_string(&bare).unwrap(), format!("\"{text}\""));
    }

    #[test]
    fn rounding_money_moves_it_by_half_a_minor_unit_at_most(mantissa in -1_000_000_000i64..1_000_000_000) {
        let exact = Decimal::new(mantissa, 5);
        for (code, step) in [("USD", Decimal::new(1, 2)), ("JPY", Decimal::ONE), ("KWD", Decimal::new(1, 3))] {
            let rounded = SignedAmount::rounded(exact, Currency::parse(code).unwrap()).decimal();
            prop_assert!((rounded - exact).abs() * Decimal::TWO <= step);
            prop_assert!((rounded / step).fract().is_zero());
        }
    }

    #[test]
    fn days_there_and_back(days in -30_000i64..30_000) {
        let start = Date::parse("2026-11-25").unwrap();
        prop_assert_eq!(start.plus_days(days).days_since(start), days);
    }
}

#[test]
fn digits_survive_json_both_ways() {
    let read: Millilitres = serde_json::from_str("22.8600000000000000001").unwrap();
    assert_eq!(
        serde_json::to_string(&read).unwrap(),
        "\"22.8600000000000000001\""
    );
}

#[test]
fn readings_take_four_forms() {
    let read = |text: &str| serde_json::from_str::<MeasuredLitres>(text);
    assert_eq!(read("5").unwrap().standard_uncertainty(), None);
    assert_eq!(
        read(r#"{"value": "22.86", "standard_uncertainty": "0.03"}"#)
            .unwrap()
            .standard_uncertainty(),
        Some((0.03, Shape::Normal))
    );
    let (u, shape) = read(r#"{"value": 5, "plus_minus": 0.3}"#)
        .unwrap()
        .standard_uncertainty()
        .unwrap();
    assert!((u - 0.173_205_08).abs() < 1e-8 && shape == Shape::Rectangular);
    let usual = read(r#"{"value": "1.20", "plus_minus": "0.05"}"#).unwrap();
    for other in [
        r#"{"plus_minus":5e-2,"value":1.2}"#,
        r#"{ "val\u0075e" : "1.2" , "plus_minus" : "0.05" }"#,
        r#"{"between": ["1.15", 1.25]}"#,
    ] {
        assert_eq!(read(other).unwrap(), usual, "{other}");
    }
    let between: MeasuredPh = serde_json::from_str(r#"{"between": ["3", "4"]}"#).unwrap();
    assert!((between.as_f64() - 3.5).abs() < 1e-12);
    for bad in [
        r#"{"value": 5}"#,
        r#"{"value": 5, "plus_minus": 1, "standard_uncertainty": 1}"#,
        r#"{"value": 5, "plus_minus": -1}"#,
        r#"{"value": 5, "plus_minus": 1, "unit": "ml"}"#,
        r#"{"between": [4, 3]}"#,
        r#"{"between": [4]}"#,
        r#"{"between": 4}"#,
        r#"{"value": -5, "plus_minus": 1}"#,
        "[5]",
        "true",
        "null",
        "\"five\"",
    ] {
        assert!(read(bad).is_err(), "{bad}");
    }
}

#[test]
fn the_range_of_a_unit_is_kept() {
    assert!(
        serde_json::from_str::<Litres>("-1")
            .unwrap_err()
            .to_string()
            .contains("0 to 1000000 L")
    );
    assert!(serde_json::from_str::<Litres>("1e30").is_err());
    assert!(serde_json::from_str::<Percent>("100.1").is_err());
    assert!(serde_json::from_str::<MeasuredPh>("17").is_err());
}

#[test]
fn a_troy_ounce_is_480_grains_and_a_kilogram_is_32_150747_of_them() {
    // 480 grains of exactly 64.79891 mg; 1 kg = 32.150747 ozt (unit tables).
    assert_eq!(
        TROY_OUNCE_G,
        Decimal::from_str("0.06479891").unwrap() * Decimal::from(480)
    );
    let per_kilogram = Decimal::ONE_THOUSAND / TROY_OUNCE_G;
    assert_eq!(
        per_kilogram.round_dp(6),
        Decimal::from_str("32.150747").unwrap()
    );
    assert_eq!(exact_grams(Decimal::TWO), Some(TROY_OUNCE_G * Decimal::TWO));
}

#[test]
fn one_price_in_three_units_values_silver_alike() {
    let price = |amount: &str, per: &str| -> MetalPrice {
        serde_json::from_str(&format!(
            r#"{{"amount": "{amount}", "currency": "USD", "per": "{per}"}}"#
        ))
        .unwrap()
    };
    let grams = Decimal::from(500);
    let by_gram = price("1", "gram").value_of(grams).unwrap();
    let by_kilogram = price("1000", "kilogram").value_of(grams).unwrap();
    let by_ounce = price("31.1034768", "troy_ounce").value_of(grams).unwrap();
    assert_eq!(by_gram, by_kilogram);
    assert_eq!(by_gram.round_dp(20), by_ounce.round_dp(20));
}

#[test]
fn money_knows_its_minor_unit() {
    // ISO 4217: yen has none, dollar two, Kuwaiti dinar three places.
    for (code, text) in [("JPY", "12"), ("USD", "12.35"), ("KWD", "12.345")] {
        let amount = SignedAmount::rounded(
            Decimal::from_str("12.345").unwrap(),
            Currency::parse(code).unwrap(),
        );
        assert_eq!(amount.to_string(), text, "{code}");
    }
    assert!(
        Currency::parse("XAU").is_err(),
        "gold is not a currency with a minor unit"
    );
    assert!(Currency::parse("usd").is_err());
    assert!(serde_json::from_str::<Amount>("-1").is_err());
}

#[test]
fn dates_are_days_of_the_calendar() {
    for bad in [
        "2026-02-29",
        "2026-13-01",
        "26-01-01",
        "2026-1-1",
        "1899-12-31",
        "2026-01-01T00:00:00Z",
        "tomorrow",
    ] {
        assert!(Date::parse(bad).is_err(), "{bad}");
    }
    assert_eq!(
        Date::parse("2024-02-28").unwrap().plus_days(1).to_string(),
        "2024-02-29"
    );
}
