//! Codes of chemicals thrown away unused, federal rules of the United States: those listed by name
//! (40 CFR 261.33(e) and (f)), oxidizers (261.21(a)(4) by 49 CFR 173.127), and what reacts or takes fire
//! as it is (261.23(a)(2), 261.21(a)(2)). The code of each name is written here from the list and not taken
//! from the data file.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use spent_silver_domain::waste::classification::{
    Classification, ClassificationRequest, HazardCode, classify_waste,
};
use spent_silver_domain::waste::contents::Certainty;

fn bottle(substance: &str, amount: &str, kind: &str) -> Classification {
    let text = format!(
        r#"{{"batch": {{"id": "b", "kind": "{kind}", "status": "spent", "mass_kg": "0.5",
            "composition": [{{"substance": "{substance}"{amount}}}]}},
            "on": "2026-11-25", "rule_set": "us-federal"}}"#
    );
    let request: ClassificationRequest = serde_json::from_str(&text).unwrap();
    classify_waste(&request).unwrap().result
}

fn code<'a>(found: &'a Classification, code: &str) -> Option<&'a HazardCode> {
    found.codes.iter().find(|c| c.code == code)
}

#[test]
fn a_listed_chemical_bears_its_code_unused_or_spilt_and_never_as_a_working_liquid() {
    for (substance, listed, acute) in [
        ("potassium_cyanide", "P098", true),
        ("potassium_silver_cyanide", "P099", true),
        ("silver_cyanide", "P104", true),
        ("sodium_azide", "P105", true),
        ("sodium_cyanide", "P106", true),
        ("acetone", "U002", false),
        ("diethyl_ether", "U117", false),
        ("formaldehyde", "U122", false),
        ("formic_acid", "U123", false),
        ("lead_acetate", "U144", false),
        ("mercury", "U151", false),
        ("methanol", "U154", false),
        ("thiourea", "U219", false),
    ] {
        for kind in ["unused_chemical", "spill_residue"] {
            let found = bottle(substance, "", kind);
            let borne = code(&found, listed).unwrap();
            assert_eq!(borne.acute, acute, "{substance}");
            assert!(borne.reason.contains("listed by name"));
        }
        let working = bottle(substance, r#", "g_per_l": "5""#, "toner");
        assert!(code(&working, listed).is_none(), "{substance}");
    }
    // Not on either list.
    for substance in [
        "potassium_permanganate",
        "hydroquinone",
        "sodium_hydroxide",
        "silver_nitrate",
    ] {
        let found = bottle(substance, "", "unused_chemical");
        assert!(
            found.codes.iter().all(|c| !c.code.starts_with(['P', 'U'])),
            "{substance}"
        );
    }
}

/// 49 CFR 172.101: hydrogen peroxide is named in class 5.1 from 8 % (UN 2984); nitric acid bears class 5.1
/// beside 8 from 65 % (UN 2031); hypochlorite solution is class 8 (UN 1791).
#[test]
fn an_oxidizer_is_ignitable_from_the_strength_at_which_it_is_named_one() {
    for (substance, amount, expected) in [
        ("hydrogen_peroxide", "", true),
        ("hydrogen_peroxide", r#", "percent_w_w": "35""#, true),
        ("hydrogen_peroxide", r#", "percent_w_w": "8""#, true),
        ("hydrogen_peroxide", r#", "percent_w_w": "7.9""#, false),
        ("hydrogen_peroxide", r#", "percent_w_w": "3""#, false),
        ("nitric_acid", r#", "percent_w_w": "68""#, true),
        ("nitric_acid", r#", "percent_w_w": "53""#, false),
        ("nitric_acid_dilute", "", false),
        ("silver_nitrate", "", true),
        ("potassium_permanganate", "", true),
        ("potassium_permanganate", r#", "g_per_l": "2""#, false),
        ("sodium_hypochlorite", r#", "percent_w_w": "5""#, false),
    ] {
        let found = bottle(substance, amount, "unused_chemical");
        assert_eq!(
            code(&found, "D001").is_some(),
            expected,
            "{substance}{amount}"
        );
    }
    // A bleach bath that is strong enough bears it too, bottle or not.
    let strong = bottle(
        "hydrogen_peroxide",
        r#", "percent_w_w": "30""#,
        "intensifier_or_reducer",
    );
    assert!(code(&strong, "D001").is_some());
}

#[test]
fn what_reacts_with_water_or_takes_fire_by_itself_bears_that_code() {
    let borohydride = bottle("sodium_borohydride", "", "unused_chemical");
    assert_eq!(
        code(&borohydride, "D003").unwrap().certainty,
        Certainty::Presumed
    );
    let dithionite = bottle("sodium_dithionite", "", "unused_chemical");
    assert_eq!(
        code(&dithionite, "D001").unwrap().certainty,
        Certainty::Presumed
    );
    // Whether zinc is dust nobody has said.
    let zinc = bottle("zinc", "", "unused_chemical");
    assert_eq!(
        code(&zinc, "D003").unwrap().certainty,
        Certainty::ToBeTested
    );
}

fn liquid(kind: &str, rest: &str, composition: &str) -> Classification {
    let text = format!(
        r#"{{"batch": {{"id": "b", "kind": "{kind}", "status": "spent", "mass_kg": "0.5"{rest},
            "composition": [{{{composition}}}]}}, "on": "2026-11-25", "rule_set": "us-federal"}}"#
    );
    classify_waste(&serde_json::from_str(&text).unwrap())
        .unwrap()
        .result
}

/// 40 CFR 261.22(a)(1): pH 2 or less; 261.21(a)(1): a flash point below 60 °C; 261.24: 5.0 mg/L of silver in
/// a liquid, which is its own extract. Each speaks of any liquid, bottles and spills among them.
#[test]
fn a_bottle_or_spill_that_is_liquid_stands_under_the_limits_of_liquids() {
    let acid = r#""substance": "hydrochloric_acid", "percent_w_w": "36""#;
    for form in [r#", "form": "liquid""#, ""] {
        let spilt = liquid("spill_residue", &format!(r#"{form}, "ph": "0""#), acid);
        let corrosive = code(&spilt, "D002").unwrap();
        assert_eq!(corrosive.certainty, Certainty::Known, "{form}");
        let glacial = liquid(
            "unused_chemical",
            &format!(r#"{form}, "flash_point_c": "39""#),
            r#""substance": "acetic_acid", "percent_w_w": "99""#,
        );
        let ignitable = code(&glacial, "D001").unwrap();
        assert_eq!(ignitable.certainty, Certainty::Known, "{form}");
    }
    // Strong acid that is liquid and whose pH nobody read.
    let unread = liquid("spill_residue", r#", "form": "liquid""#, acid);
    assert_eq!(
        code(&unread, "D002").unwrap().certainty,
        Certainty::Presumed
    );
    // 90 g/L of silver nitrate is 57 g/L of silver.
    let silver = r#""substance": "silver_nitrate", "g_per_l": "90""#;
    for form in [r#", "form": "liquid""#, ""] {
        let spilt = liquid("spill_residue", form, silver);
        assert_eq!(
            code(&spilt, "D011").unwrap().certainty,
            Certainty::Known,
            "{form}"
        );
    }
    // 1 g/L of hydrochloric acid is 0.027 mol/L: pH 1.6.
    let thin = r#""substance": "hydrochloric_acid", "g_per_l": "1""#;
    let thin = liquid("spill_residue", "", thin);
    assert_eq!(code(&thin, "D002").unwrap().certainty, Certainty::Presumed);
    // What is soaked up is no liquid.
    let soaked = liquid("spill_residue", r#", "form": "solid""#, silver);
    assert_eq!(
        code(&soaked, "D011").unwrap().certainty,
        Certainty::Presumed
    );
}

/// CLP, Annex I, 2.6: H224 to H226 are liquids with a flash point of no more than 60 °C (H226 from 23 to
/// 60 °C; from memory); 40 CFR 261.21(a)(1) and Annex III, HP 3, count from below 60 °C.
#[test]
fn a_flammable_liquid_neat_in_its_bottle_is_presumed_ignitable() {
    for substance in [
        "diethyl_ether",
        "collodion",
        "ethanol",
        "methanol",
        "isopropanol",
        "acetone",
        "acetic_acid",
    ] {
        let found = bottle(substance, "", "unused_chemical");
        let borne = code(&found, "D001").unwrap();
        assert_eq!(borne.certainty, Certainty::Presumed, "{substance}");
        assert!(!borne.reason.contains("may hold"), "{}", borne.reason);
    }
    // Vinegar does not burn, and weak spirit in water is to be tested.
    let vinegar = bottle("acetic_acid", r#", "percent_w_w": "5""#, "unused_chemical");
    assert!(code(&vinegar, "D001").is_none());
    let weak = bottle("ethanol", r#", "percent_w_w": "40""#, "unused_chemical");
    assert_eq!(
        code(&weak, "D001").unwrap().certainty,
        Certainty::ToBeTested
    );
}

/// 40 CFR 261.21(a)(2): no liquid, takes fire by friction or by itself and burns so that it is a danger;
/// Annex III, HP 1, counts H201. A flash point is asked of liquids only (261.21(a)(1)).
#[test]
fn dry_nitrocellulose_and_nitrate_film_burn_without_a_flash_point() {
    for (substance, kind) in [
        ("nitrocellulose", "unused_chemical"),
        ("nitrate_film", "film_and_paper"),
    ] {
        let found = bottle(substance, "", kind);
        for borne in ["D001", "D003"] {
            let found = code(&found, borne).unwrap();
            assert_eq!(found.certainty, Certainty::Presumed, "{substance}");
        }
        assert!(found.unknowns.iter().all(|u| !u.what.contains("Flash")));
        let text = format!(
            r#"{{"batch": {{"id": "b", "kind": "{kind}", "status": "spent", "mass_kg": "0.5",
                "composition": [{{"substance": "{substance}"}}]}},
                "on": "2026-11-25", "rule_set": "eu"}}"#
        );
        let request: ClassificationRequest = serde_json::from_str(&text).unwrap();
        let european = classify_waste(&request).unwrap().result;
        assert_eq!(
            code(&european, "HP 1").unwrap().certainty,
            Certainty::Presumed
        );
    }
    // In collodion it is dissolved.
    let collodion = bottle("collodion", "", "unused_chemical");
    assert!(code(&collodion, "D003").is_none());
}

/// CLP, Annex VI, 011-004-00-7: sodium azide is acutely toxic and bears EUH032, and is no explosive; with
/// silver it makes one (49 CFR 172.101 forbids silver azide when dry; all from memory).
#[test]
fn sodium_azide_has_its_own_dangers_and_not_those_of_silver_azide() {
    let dangers = |composition: &str| {
        let text = format!(
            r#"{{"batch": {{"id": "b", "kind": "unused_chemical", "status": "spent", "mass_kg": "0.1",
                "composition": [{composition}]}}, "on": "2026-11-25", "rule_set": "us-federal"}}"#
        );
        let answer = classify_waste(&serde_json::from_str(&text).unwrap()).unwrap();
        let explosive = code(&answer.result, "D003").unwrap().certainty;
        let said: Vec<String> = answer.warnings.into_iter().map(|w| w.text).collect();
        (explosive, said.join(" "))
    };
    let azide = r#"{"substance": "sodium_azide"}"#;
    let (explosive, said) = dangers(azide);
    assert_eq!(explosive, Certainty::ToBeTested);
    for words in [
        "fatal if swallowed",
        "hydrazoic acid",
        "silver, lead or copper",
    ] {
        assert!(said.contains(words), "{said}");
    }
    assert!(!said.contains("Silver acetylide"), "{said}");
    let (explosive, said) = dangers(&format!(r#"{azide}, {{"substance": "silver_nitrate"}}"#));
    assert_eq!(explosive, Certainty::Presumed);
    assert!(said.contains("silver azide"), "{said}");
    // Annex III, HP 12: EUH032, from memory and so to be tested.
    let european = r#"{"batch": {"id": "b", "kind": "unused_chemical", "status": "spent", "mass_kg": "0.1",
        "composition": [{"substance": "sodium_azide"}]}, "on": "2026-11-25", "rule_set": "eu"}"#;
    let found = classify_waste(&serde_json::from_str(european).unwrap())
        .unwrap()
        .result;
    for open in ["HP 1", "HP 12"] {
        assert_eq!(code(&found, open).unwrap().certainty, Certainty::ToBeTested);
    }
}
