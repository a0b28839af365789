//! Formulas: counts, molar masses and errors.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use spent_silver_domain::chemistry::formula::Formula;
use spent_silver_domain::chemistry::reagent::Reagent;
use spent_silver_domain::chemistry::species::Component;

/// Molar masses from the IUPAC conventional and abridged atomic weights, computed with the
/// periodictable library 2.1.0.
const MASSES: &[(&str, f64)] = &[
    ("AgNO3", 169.8722),
    ("AgCl", 143.3182),
    ("AgBr", 187.7722),
    ("AgI", 234.77267),
    ("Ag2S", 247.7964),
    ("Ag2O", 231.7354),
    ("AgSCN", 165.9462),
    ("AgCN", 133.8862),
    ("Ag2CO3", 275.7444),
    ("Ag2CrO4", 331.7285),
    ("HNO3", 63.0120),
    ("CH3COOH", 60.0520),
    ("Na2S2O3", 158.09654),
    ("Na2S2O3.5H2O", 248.17154),
    ("(NH4)2S2O3", 148.1950),
    ("KCN", 65.1163),
    ("NaCl", 58.43977),
    ("KI", 166.00277),
    ("KBr", 119.0023),
    ("NaHCO3", 84.00577),
    ("Na2CO3", 105.98754),
    ("Na2CO3.H2O", 124.0025),
    ("Na2CO3·10H2O", 286.1375),
    ("NaOH", 39.99677),
    ("CO2", 44.0090),
    ("Na2S", 78.03954),
    ("Na2S.9H2O", 240.17454),
    ("NaBH4", 37.83177),
    ("Na2S2O4", 174.09554),
    ("C3N3S3Na3", 243.20331),
    ("C3N3S3Na3.9H2O", 405.33831),
    ("C3N3S3Ag3", 497.8386),
    ("Na2SO3", 126.03654),
    ("Na2S2O5", 190.09454),
    ("KSCN", 97.1763),
    ("NH4SCN", 76.1170),
    ("K2CrO4", 194.1887),
    ("Fe", 55.845),
    ("Cu", 63.546),
    ("Zn", 65.38),
];

#[test]
fn molar_masses_equal_the_table() {
    for (formula, mass) in MASSES {
        let got = Formula::parse(formula).unwrap().molar_mass_g_per_mol();
        assert!(
            (got / mass - 1.0).abs() < 1e-6,
            "{formula}: {got} against {mass}"
        );
    }
}

#[test]
fn elements_are_counted_exactly() {
    let alum = Formula::parse("KAl(SO4)2.12H2O").unwrap();
    let counts: Vec<(&str, u32)> = alum
        .elements()
        .iter()
        .map(|(e, n)| (e.as_str(), *n))
        .collect();
    assert_eq!(
        counts,
        [("Al", 1), ("H", 24), ("K", 1), ("O", 20), ("S", 2)]
    );
    assert_eq!(alum.hydrate_water(), 12);
    let complex = Formula::parse("Ag(S2O3)2-3").unwrap();
    assert_eq!(
        (complex.count("S"), complex.count("O"), complex.charge()),
        (4, 6, -3)
    );
    // Co is cobalt, CO carbon and oxygen.
    assert_eq!(Formula::parse("CO").unwrap().count("C"), 1);
    assert_eq!(Formula::parse("Co").unwrap().count("Co"), 1);
    assert_eq!(
        Formula::parse("Na₂S₂O₃•5H₂O").unwrap().as_str(),
        "Na2S2O3.5H2O"
    );
}

#[test]
fn an_error_names_the_position_and_what_would_be_right() {
    for (text, position, word) in [
        ("", 1, "empty"),
        ("AgX", 3, "`X`"),
        ("Na2S2O3.", 9, "expected"),
        ("(NH4", 1, "never closed"),
        ("NH4)2S", 4, "never opened"),
        ("Na0Cl", 3, "1 to 9999"),
        ("agno3", 1, "capital"),
        ("2NaCl", 1, "in front"),
        ("Na Cl", 3, "expected"),
        ("((((((Na))))))", 5, "deeply"),
        ("()", 2, "empty brackets"),
        ("Na99999", 3, "1 to 9999"),
        ("Ag+Cl", 4, "expected"),
    ] {
        let error = Formula::parse(text).unwrap_err();
        assert_eq!(error.position, position, "{error}");
        assert!(error.to_string().contains(word), "{error}");
    }
}

#[test]
fn no_text_makes_the_parser_panic() {
    let alphabet: Vec<char> = "AgNaClSO()[].·+-0159 HxÅ₂".chars().collect();
    let mut state = 9u64;
    for _ in 0..200_000 {
        let mut text = String::new();
        for _ in 0..12 {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            text.push(alphabet[(state >> 33) as usize % alphabet.len()]);
        }
        if let Ok(formula) = Formula::parse(&text) {
            // What was read can be read again, and means the same.
            assert_eq!(
                Formula::parse(formula.as_str()).as_ref(),
                Ok(&formula),
                "{text}"
            );
            let _ = Reagent::of_formula(&formula);
        }
    }
}

#[test]
fn reagents_come_apart_into_components() {
    for (text, parts, water) in [
        (
            "AgNO3",
            &[(Component::Silver, 1), (Component::Nitrate, 1)][..],
            0,
        ),
        (
            "Na2S.9H2O",
            &[
                (Component::Sodium, 2),
                (Component::Sulfide, 1),
                (Component::Hydrogen, -1),
            ],
            9,
        ),
        (
            "H2S",
            &[(Component::Sulfide, 1), (Component::Hydrogen, 1)],
            0,
        ),
        (
            "NaOH",
            &[(Component::Sodium, 1), (Component::Hydrogen, -1)],
            1,
        ),
        (
            "Ag2O",
            &[(Component::Silver, 2), (Component::Hydrogen, -2)],
            1,
        ),
        (
            "Na2S2O5",
            &[
                (Component::Sodium, 2),
                (Component::Sulfite, 2),
                (Component::Hydrogen, 2),
            ],
            -1,
        ),
        (
            "K2Cr2O7",
            &[
                (Component::Potassium, 2),
                (Component::Chromate, 2),
                (Component::Hydrogen, 2),
            ],
            -1,
        ),
        ("NH4OH", &[(Component::Ammonia, 1)], 1),
        (
            "NH4HCO3",
            &[
                (Component::Ammonia, 1),
                (Component::Carbonate, 1),
                (Component::Hydrogen, 2),
            ],
            0,
        ),
        (
            "CH3COONa.3H2O",
            &[(Component::Acetate, 1), (Component::Sodium, 1)],
            3,
        ),
        (
            "(CH3COO)2Cu",
            &[(Component::Acetate, 2), (Component::Copper, 1)],
            0,
        ),
        (
            "NaC2H3O2",
            &[(Component::Acetate, 1), (Component::Sodium, 1)],
            0,
        ),
        (
            "Fe(NH4)2(SO4)2.6H2O",
            &[
                (Component::Iron, 1),
                (Component::Ammonia, 2),
                (Component::Sulfate, 2),
                (Component::Hydrogen, 2),
            ],
            6,
        ),
        (
            "ZnCl2",
            &[(Component::Zinc, 1), (Component::Chloride, 2)],
            0,
        ),
        (
            "CO2",
            &[(Component::Carbonate, 1), (Component::Hydrogen, 2)],
            -1,
        ),
    ] {
        let reagent = Reagent::parse(text).unwrap();
        let mut expected = [0; Component::COUNT];
        for (component, n) in parts {
            expected[component.index()] = *n;
        }
        assert_eq!(reagent.components, expected, "{text}");
        assert_eq!(reagent.water, water, "{text}");
    }
}

#[test]
fn what_is_outside_the_set_is_refused_in_words() {
    for (text, word) in [
        ("H2O2", "oxidizes"),
        ("KMnO4", "oxidizes"),
        ("NaOCl", "oxidizes"),
        ("K3Fe(CN)6", "oxidizes"),
        ("NaBH4", "reduces"),
        ("Na2S2O4", "reduces"),
        ("MgSO4", "outside the set"),
        ("Fe2(SO4)3", "outside the set"),
        ("SC(NH2)2", "outside the set"),
        ("CS(NH2)2", "outside the set"),
        ("NaCl2", "outside the set"),
        ("Na+", "charge"),
        ("KAl(SO4)2.12H2O", "outside the set"),
        ("NaCl.KCl", "double salt"),
    ] {
        let error = Reagent::parse(text).unwrap_err();
        assert!(error.to_string().contains(word), "{text}: {error}");
    }
}
