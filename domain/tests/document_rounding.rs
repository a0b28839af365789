//! Values rounded as people print them, against published examples.

use spent_silver_domain::quantity::rounded_with_uncertainty;

fn check(value: f64, u: f64, expected_value: &str, expected_u: &str) {
    assert_eq!(
        rounded_with_uncertainty(value, u),
        (expected_value.to_owned(), expected_u.to_owned()),
        "{value} with {u}"
    );
}

#[test]
fn the_value_keeps_the_place_of_its_uncertainty() {
    // JCGM 100:2008, 7.2.6: 10.057 62 ohm with u = 27 milliohm is rounded to 10.058 ohm.
    check(10.057_62, 0.027, "10.058", "0.027");
    // JCGM 100:2008, 7.2.6: u(x) = 28.05 kHz is rounded down to 28 kHz.
    check(1000.0, 28.05, "1000", "28");
    // JCGM 100:2008, 7.2.2: a 100 g standard, 100.021 47 g with u = 0.35 mg, in grams.
    check(100.021_47, 0.000_35, "100.02147", "0.00035");
    // JCGM 100:2008, annex H.1.7: end gauge 50 000 838 nm, u = 32 nm (31.71 before rounding).
    check(50_000_838.0, 31.71, "50000838", "32");
    // EURACHEM/CITAC QUAM:2012, example A2: 0.102 14 mol/L with u = 0.000 10 (0.000 100 5).
    check(0.102_136_159_7, 0.000_100_500_722, "0.10214", "0.00010");
    // EURACHEM/CITAC QUAM:2012, example A1: 1002.7 mg/L with u = 0.835 prints 0.9 (one digit, up);
    // two digits give 0.84 and 1002.70.
    check(1_002.699_72, 0.835_199, "1002.70", "0.84");
}

#[test]
fn an_uncertainty_that_rounds_up_to_a_power_of_ten_keeps_two_digits() {
    check(2.718_9, 0.099_6, "2.72", "0.10");
    check(31.4159, 9.96, "31", "10");
    check(1234.0, 99.7, "1230", "100");
}

#[test]
fn large_uncertainties_round_the_value_to_tens_and_hundreds() {
    check(56_789.0, 1234.0, "56800", "1200");
    check(12.0, 340.0, "10", "340");
}

#[test]
fn nothing_is_never_negative_and_the_exact_has_no_uncertainty() {
    check(-0.001, 0.12, "0.00", "0.12");
    check(-4.0, 1234.0, "0", "1200");
    check(57.035_357_9, 0.0, "57.0354", "0");
}

#[test]
fn tiny_figures_keep_their_zeros() {
    check(1.234_1e-7, 2.3e-9, "0.0000001234", "0.0000000023");
}
