//! The number grammar and the ways numbers are written.

use spent_silver_domain::quantity::{parse_number, write_decimal, write_significant};

#[test]
fn the_grammar_is_json_and_nothing_else() {
    for good in [
        "0",
        "-0",
        "5",
        "-5.25",
        "0.001",
        "1e3",
        "1E+3",
        "1.5e-7",
        "100000000000",
    ] {
        assert!(parse_number(good).is_ok(), "{good}");
    }
    for bad in [
        "", "+5", ".5", "5.", "1_000", "NaN", "Infinity", "0x10", "01", "1e", "1e+", " 1", "1 ",
        "--1", "1,5",
    ] {
        assert!(parse_number(bad).is_err(), "{bad}");
    }
}

#[test]
fn digits_are_kept_or_refused() {
    assert_eq!(
        write_decimal(parse_number("22.8600000000000000001").unwrap()),
        "22.8600000000000000001"
    );
    assert!(
        parse_number("1.2345678901234567890123456789").is_err(),
        "29 digits"
    );
    assert!(parse_number("1e12").is_err());
    assert!(parse_number("999999999999").is_ok());
    assert!(parse_number("1e30").is_err());
    assert!(parse_number("1e-29").is_err());
    assert!(parse_number("1e-28").is_ok());
    assert!(parse_number("1e99999999999999999999").is_err());
    assert_eq!(write_decimal(parse_number("0e99999").unwrap()), "0");
    assert_eq!(write_decimal(parse_number("1.50").unwrap()), "1.5");
    assert_eq!(write_decimal(parse_number("120e-1").unwrap()), "12");
}

#[test]
fn computed_figures_keep_their_leading_zeros() {
    assert_eq!(
        write_significant(1e-40, 10),
        format!("0.{}1", "0".repeat(39))
    );
    assert_eq!(write_significant(123_456_789_012.0, 10), "123456789000");
    assert_eq!(write_significant(0.1 + 0.2, 10), "0.3");
    assert_eq!(write_significant(-1234.5, 10), "-1234.5");
}
