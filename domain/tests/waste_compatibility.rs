//! The compatibility table over all substances: total, symmetric, and nowhere milder than the published
//! chart of reactivity groups without saying so.
//!
//! Outside source: EPA-600/2-80-076, chart of reactivity groups, by a transcription; every expected code
//! below was read there and not taken from the data file.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_macros,
    reason = "a test fails by panicking, and this one prints its figures"
)]

use spent_silver_domain::bibliography::reference;
use spent_silver_domain::quantity::Identifier;
use spent_silver_domain::substance::{Substance, substance, substances};
use spent_silver_domain::waste::pour::{
    PourCheckRequest, PourVerdict, check_pour, compatibility, verdict_of,
};
use std::collections::BTreeMap;

fn find(id: &str) -> &'static Substance {
    substance(&Identifier::new(id).unwrap()).unwrap()
}

#[test]
fn every_two_substances_have_an_outcome_a_reason_and_a_source_whichever_comes_first() {
    let mut counts: BTreeMap<PourVerdict, usize> = BTreeMap::new();
    for (i, a) in substances().iter().enumerate() {
        for b in substances().iter().skip(i) {
            let entry = compatibility(a, b);
            assert_eq!(entry, compatibility(b, a), "{} {}", a.id, b.id);
            for (x, y) in [(a, b), (b, a)] {
                assert_eq!(
                    verdict_of(&x.groups, &y.groups),
                    entry.outcome,
                    "{} {}",
                    x.id,
                    y.id
                );
            }
            assert_ne!(
                entry.outcome,
                PourVerdict::NotKnownToBeSafe,
                "{} {}",
                a.id,
                b.id
            );
            assert!(!entry.reasons.is_empty(), "{} {}", a.id, b.id);
            for r in &entry.reasons {
                assert!(!r.happens.is_empty() && reference(r.source).is_some());
                assert_eq!(reference(r.source).unwrap().status, r.status);
            }
            *counts.entry(entry.outcome).or_default() += 1;
        }
    }
    let n = substances().len();
    assert_eq!(counts.values().sum::<usize>(), n * (n + 1) / 2);
    println!("{n} substances, pairs by outcome: {counts:?}");
}

/// Wherever the chart prints fire, toxic gas or an explosion the pair is blocked; wherever it prints anything
/// but S (a poison dissolves: a matter of discharge) it is at least a caution, unless a departure is
/// stated with its reason.
#[test]
fn no_outcome_is_milder_than_the_published_chart_without_saying_so() {
    let mut departures = 0;
    for a in substances() {
        for b in substances() {
            let entry = compatibility(a, b);
            let grave = entry.chart.iter().any(|c| ["F", "GT", "E"].contains(c));
            let any = entry.chart.iter().any(|c| *c != "S");
            let least = match (grave, any) {
                (true, _) => PourVerdict::Blocked,
                (false, true) => PourVerdict::Caution,
                _ => PourVerdict::NoObjectionKnown,
            };
            if let Some(departure) = &entry.departure {
                assert!(!departure.why.is_empty() && reference(&departure.source).is_some());
                departures += 1;
                continue;
            }
            assert!(
                entry.outcome >= least,
                "{} with {}: {:?} against {:?}",
                a.id,
                b.id,
                entry.outcome,
                entry.chart
            );
        }
    }
    assert_eq!(departures, 4, "two sulfides with water, either way round");
}

#[test]
fn the_charts_own_cells_come_out() {
    for (a, b, codes) in [
        ("hydrochloric_acid", "potassium_cyanide", "GT GF"),
        ("nitric_acid", "potassium_cyanide", "GT GF"),
        ("acetic_acid", "sodium_cyanide", "GT GF"),
        ("potassium_cyanide", "potassium_permanganate", "H GT E"),
        ("potassium_cyanide", "sodium_borohydride", "H GT"),
        ("hydrochloric_acid", "sodium_sulfide", "GT GF"),
        ("acetic_acid", "sodium_sulfide", "GT"),
        ("nitric_acid", "ethanol", "H F"),
        ("nitric_acid", "diethyl_ether", "H F"),
        ("hydrochloric_acid", "diethyl_ether", "H"),
        ("acetic_acid", "ethanol", "H P"),
        ("sodium_hydroxide", "zinc", "H GF"),
        ("zinc", "potassium_permanganate", "H F E"),
        ("zinc", "water", "H GF"),
        ("ethanol", "hydrogen_peroxide", "H F"),
        ("pyrogallol", "potassium_permanganate", "H F"),
        ("pyrogallol", "sodium_borohydride", "H GF"),
        ("sodium_sulfide", "sodium_hypochlorite", "H F GT"),
        ("sodium_sulfide", "water", "GT GF"),
        ("silver_azide", "hydrochloric_acid", "H E"),
        ("hydrochloric_acid", "sodium_hypochlorite", "H GT"),
        ("sodium_dithionite", "nitric_acid", "H F GT"),
        ("nitric_acid", "water", "H"),
        ("silver_nitrate", "water", "S"),
    ] {
        let entry = compatibility(find(a), find(b));
        assert_eq!(entry.chart.join(" "), codes, "{a} with {b}");
    }
}

/// A reason speaks of the two that meet: nothing acid is said where lye is poured (hydrogen cyanide has
/// pKa 9.2: alkali holds it back), and none of a gas where none comes off.
#[test]
fn a_reason_speaks_of_the_two_that_meet() {
    for (a, b, rule, words) in [
        (
            "sodium_hydroxide",
            "potassium_ferricyanide",
            "ferricyanide_with_lye",
            "Cold, lye does little",
        ),
        (
            "acetic_acid",
            "potassium_ferricyanide",
            "ferricyanide_with_acid",
            "Weak acid",
        ),
        (
            "potassium_cyanide",
            "sodium_cyanide",
            "cyanide_with_its_own",
            "while both are strongly alkaline",
        ),
        (
            "potassium_cyanide",
            "sodium_hydroxide",
            "cyanide_with_lye",
            "Lye holds the gas back",
        ),
        (
            "potassium_cyanide",
            "silver_chloride",
            "cyanide_with_silver",
            "dissolves the silver",
        ),
        (
            "sulfuric_acid",
            "sucrose",
            "strong_acid_on_organic",
            "chars paper, cotton and sugar",
        ),
    ] {
        let entry = compatibility(find(a), find(b));
        assert_eq!(entry.outcome, PourVerdict::Caution, "{a} {b}");
        let reason = entry.reasons.iter().find(|r| r.rule == rule).unwrap();
        assert!(
            reason.happens.contains(words),
            "{a} {b}: {}",
            reason.happens
        );
    }
    let lye = compatibility(find("sodium_hydroxide"), find("potassium_ferricyanide"));
    assert!(lye.reasons.iter().all(|r| !r.happens.contains("Weak acid")));
}

/// 40 CFR 264 Appendix V, group 6-A (nitrates, permanganates, peroxides and other strong oxidizers) with
/// group 6-B (alcohols, metals in powder, other waste that burns): fire, explosion or violent reaction.
/// Permanganate on glycerol takes fire by itself within a minute.
#[test]
fn a_dry_or_strong_oxidizer_never_meets_what_burns() {
    let oxidizers = [
        "potassium_permanganate",
        "hydrogen_peroxide",
        "potassium_persulfate",
        "ammonium_dichromate",
        "silver_nitrate",
        "potassium_nitrate",
        "ammonium_nitrate",
    ];
    let burning = [
        "glycerol",
        "ethylene_glycol",
        "dextrose",
        "sucrose",
        "ethanol",
        "diethyl_ether",
        "acetone",
        "turpentine",
        "collodion",
        "paper_or_cotton",
        "activated_carbon",
        "formaldehyde",
        "pyrogallol",
        "hydroquinone",
        "ascorbic_acid",
        "thiourea",
        "sodium_dithionite",
        "zinc",
        "magnesium",
    ];
    for oxidizer in oxidizers {
        for fuel in burning {
            let entry = compatibility(find(oxidizer), find(fuel));
            assert_eq!(entry.outcome, PourVerdict::Blocked, "{oxidizer} {fuel}");
            let fire = entry
                .reasons
                .iter()
                .find(|r| r.rule == "strong_oxidizer_on_fuel");
            assert!(
                fire.is_some_and(|r| r.happens.contains("Fire")),
                "{oxidizer} {fuel}"
            );
        }
        // Water and salt burn nothing.
        for harmless in ["water", "sodium_sulfate"] {
            let entry = compatibility(find(oxidizer), find(harmless));
            assert!(
                entry
                    .reasons
                    .iter()
                    .all(|r| r.rule != "strong_oxidizer_on_fuel")
            );
        }
    }
}

/// A bleach of 4 g/L, an antiseptic of 3 % and a working bath are no fire: hydrogen peroxide is named as an
/// oxidizer from 8 % (49 CFR 172.101, UN 2984).
#[test]
fn a_thin_oxidizer_sets_nothing_on_fire_and_a_thin_sugar_does_not_catch_it() {
    let verdict = |from: &str, into: &str| {
        let text = format!(r#"{{"from": {from}, "into": {into}}}"#);
        check_pour(&request(&text)).unwrap().result.safety.verdict
    };
    let of = |id: &str, amount: &str| {
        format!(
            r#"{{"id": "{id}", "kind": "unused_chemical", "composition": [{{"substance": "{id}"{amount}}}]}}"#
        )
    };
    for (oxidizer, amount, fuel, expected) in [
        (
            "potassium_permanganate",
            "",
            "glycerol",
            PourVerdict::Blocked,
        ),
        (
            "potassium_permanganate",
            r#", "g_per_l": 60"#,
            "glycerol",
            PourVerdict::Blocked,
        ),
        (
            "potassium_permanganate",
            r#", "g_per_l": 4"#,
            "glycerol",
            PourVerdict::Caution,
        ),
        (
            "hydrogen_peroxide",
            r#", "percent_w_w": 8"#,
            "dextrose",
            PourVerdict::Blocked,
        ),
        (
            "hydrogen_peroxide",
            r#", "percent_w_w": 3"#,
            "dextrose",
            PourVerdict::Caution,
        ),
        ("silver_nitrate", "", "sucrose", PourVerdict::Blocked),
        (
            "silver_nitrate",
            r#", "g_per_l": 80"#,
            "sucrose",
            PourVerdict::Caution,
        ),
    ] {
        let got = verdict(&of(oxidizer, amount), &of(fuel, ""));
        assert_eq!(got, expected, "{oxidizer}{amount} into {fuel}");
    }
    assert_eq!(
        verdict(
            &of("potassium_permanganate", ""),
            &of("glycerol", r#", "g_per_l": 20"#)
        ),
        PourVerdict::Caution,
        "crystals into a rinse with a little glycerine"
    );
    let bath = r#"{"id": "bath", "kind": "sensitizing_bath", "craft": "collodion"}"#;
    assert_eq!(
        verdict(&of("silver_nitrate", ""), bath),
        PourVerdict::Caution
    );
}

/// The published method has no group for thiosulfate and sulfite: our own rules stand there.
#[test]
fn acid_with_fixing_salt_and_sulfite_is_blocked_by_our_own_rule() {
    for acid in [
        "acetic_acid",
        "hydrochloric_acid",
        "nitric_acid",
        "citric_acid",
    ] {
        for salt in [
            "sodium_thiosulfate",
            "ammonium_thiosulfate",
            "sodium_sulfite",
        ] {
            let entry = compatibility(find(acid), find(salt));
            assert_eq!(entry.outcome, PourVerdict::Blocked, "{acid} {salt}");
            assert!(entry.chart.is_empty());
            assert!(entry.reasons.iter().any(|r| r.rule == "acid_into_fixer"));
        }
    }
}

fn request(json: &str) -> PourCheckRequest {
    serde_json::from_str(json).unwrap()
}

#[test]
fn three_things_are_checked_together_and_each_two_by_themselves() {
    // None of the three pairs frees ammonia over silver by itself; the three together do.
    let check = check_pour(&request(
        r#"{"from": {"id": "sludge", "kind": "unused_chemical", "composition": [{"substance": "silver_chloride"}]},
            "into": {"id": "salt", "kind": "unused_chemical", "composition": [{"substance": "ammonium_chloride"}]},
            "substances": ["sodium_hydroxide"]}"#,
    ))
    .unwrap()
    .result;
    assert_eq!(check.safety.verdict, PourVerdict::Blocked);
    assert!(
        check
            .safety
            .reasons
            .iter()
            .any(|r| r.rule == "silver_solid_ammonium_alkali")
    );
    assert_eq!(check.share.vehicle, PourVerdict::Blocked);
    assert_eq!(check.pairs.len(), 3);
    assert!(
        check
            .pairs
            .iter()
            .all(|p| p.safety.verdict < PourVerdict::Blocked)
    );
}

#[test]
fn a_check_of_more_containers_tells_of_cadmium_and_strength() {
    let check = check_pour(&request(
        r#"{"from": {"id": "bath", "kind": "sensitizing_bath", "volume_l": "2",
                "composition": [{"substance": "silver_nitrate", "g_per_l": "90"}]},
            "into": {"id": "rinse", "kind": "rinse_water", "volume_l": "4", "status": "treated",
                "composition": [{"substance": "cadmium_bromide"}]},
            "also": [{"id": "fixer", "kind": "fixer", "volume_l": "1"}]}"#,
    ))
    .unwrap()
    .result;
    let says = |word: &str| check.silver.iter().any(|s| s.contains(word));
    assert!(says("Cadmium spreads"), "{:?}", check.silver);
    // (90 g/L x 2 L) / 6 L = 30 g/L in bath and rinse; with the fixer, whose silver nobody knows, no figure.
    let two = check.pairs[0].silver.iter();
    assert!(
        two.clone()
            .any(|s| s.contains("90 g/L") && s.contains("about 30 g/L"))
    );
    assert!(!says("Strength falls"), "{:?}", check.silver);
    assert!(says("chloride way is lost"), "{:?}", check.silver);
}

#[test]
fn faults_of_the_further_containers_name_them() {
    let many: Vec<&str> = vec!["\"water\""; 11];
    let faults = check_pour(&request(&format!(
        r#"{{"from": {{"id": "a", "kind": "fixer"}}, "into": {{"id": "b", "kind": "fixer"}},
            "also": [{{"id": "c", "kind": "fixer", "volume_l": "0"}}], "substances": [{}]}}"#,
        many.join(",")
    )))
    .unwrap_err();
    let at: Vec<&str> = faults.list().iter().map(|f| f.pointer.as_str()).collect();
    assert_eq!(at, ["/also/0/volume_l", "/substances"]);
}
