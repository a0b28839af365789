//! What a reading of pH says of a liquid, whatever was stated of it. Outside sources: hydrogen cyanide,
//! pKa 9.21 (NIST SRD 46, read in MINTEQ's table); acid with cyanide and with sulfide, EPA-600/2-80-076,
//! groups 1 with 11 and 33; acid in fixer, common practice; corrosivity, 40 CFR 261.22.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use spent_silver_domain::answer::Notes;
use spent_silver_domain::batch::Batch;
use spent_silver_domain::waste::classification::{ClassificationRequest, classify_waste};
use spent_silver_domain::waste::contents::Certainty;
use spent_silver_domain::waste::neutralization::{NeutralizationRequest, plan_neutralization};
use spent_silver_domain::waste::pour::{PourVerdict, check_pour_between};
use spent_silver_domain::waste::rule_set::RuleSet;
use spent_silver_domain::waste::storage::storage_danger;

fn batch(json: &str) -> Batch {
    serde_json::from_str(json).unwrap()
}

fn verdict(from: &str, into: &str) -> PourVerdict {
    let (from, into) = (batch(from), batch(into));
    check_pour_between(&from, &into, RuleSet::unspecified(), &mut Notes::new())
        .safety
        .verdict
}

/// Water that reads acid is an acid to what it meets, though nobody stated one.
#[test]
fn an_acid_nobody_stated_is_blocked_by_its_ph() {
    let rinse = r#"{"id": "r", "kind": "rinse_water", "composition": [{"substance": "water"}], "ph": {"between": ["1", "2"]}}"#;
    for into in [
        "sodium_sulfide",
        "sodium_hypochlorite",
        "potassium_cyanide",
        "sodium_thiosulfate",
    ] {
        let other = format!(
            r#"{{"id": "b", "kind": "unused_chemical", "composition": [{{"substance": "{into}"}}]}}"#
        );
        assert_eq!(verdict(rinse, &other), PourVerdict::Blocked, "{into}");
    }
    let neutral =
        r#"{"id": "r", "kind": "rinse_water", "composition": [{"substance": "water"}], "ph": "7"}"#;
    let hypo = r#"{"id": "b", "kind": "unused_chemical", "composition": [{"substance": "sodium_thiosulfate"}]}"#;
    assert_eq!(verdict(neutral, hypo), PourVerdict::NoObjectionKnown);
}

/// At pH 4 a cyanide fixer is hydrogen cyanide: 10^(9.2 - 4) parts of it to one of cyanide.
#[test]
fn cyanide_that_is_not_alkaline_is_fled_from() {
    let fixer = |ph: &str| {
        batch(&format!(
            r#"{{"id": "f", "kind": "cyanide_fixer", "volume_l": "1", "ph": {{"value": "{ph}", "plus_minus": "0.3"}}}}"#
        ))
    };
    for ph in ["4", "7", "9.5"] {
        let danger = storage_danger(&fixer(ph)).unwrap();
        assert!(danger.act[0].starts_with("Leave the room"), "{danger:?}");
    }
    assert_eq!(storage_danger(&fixer("11.2")), None);
    let acid = r#"{"id": "f", "kind": "cyanide_fixer", "ph": "4"}"#;
    let good = r#"{"id": "g", "kind": "cyanide_fixer", "ph": "11"}"#;
    assert_eq!(verdict(acid, good), PourVerdict::Blocked);
}

/// [Ag+][OH-] = 2e-8 leaves 2e-4 mol/L of silver at pH 10: a clear bath there holds ammonia.
#[test]
fn a_silver_bath_that_reads_like_lye_is_taken_for_ammoniacal() {
    let bath = |ph: &str| {
        batch(&format!(
            r#"{{"id": "b", "kind": "sensitizing_bath", "craft": "salted_paper", "volume_l": "1", "ph": "{ph}"}}"#
        ))
    };
    let danger = storage_danger(&bath("10")).unwrap();
    assert!(danger.reason.contains("fulminating"), "{danger:?}");
    assert_eq!(storage_danger(&bath("7")), None);
}

/// What must not be kept shares no place, though the salt water that ends it may be poured.
#[test]
fn what_must_not_be_kept_shares_no_place() {
    let (silver, salt) = (
        batch(r#"{"id": "a", "kind": "ammoniacal_silver"}"#),
        batch(
            r#"{"id": "s", "kind": "unused_chemical", "composition": [{"substance": "sodium_chloride"}]}"#,
        ),
    );
    let check = check_pour_between(&silver, &salt, RuleSet::unspecified(), &mut Notes::new());
    assert!(check.safety.verdict < PourVerdict::Blocked);
    for place in [check.share.tray, check.share.cupboard, check.share.vehicle] {
        assert_eq!(place, PourVerdict::Blocked);
    }
}

/// 2 KMnO4 + 16 HCl -> 2 MnCl2 + 2 KCl + 8 H2O + 5 Cl2: salt with acid is hydrochloric acid to it (from
/// memory; the equation balances).
#[test]
fn permanganate_with_acid_stays_away_from_salt() {
    let bleach = r#"{"id": "p", "kind": "unused_chemical", "composition": [{"substance": "potassium_permanganate"}, {"substance": "sulfuric_acid"}]}"#;
    for salt in ["sodium_chloride", "potassium_bromide"] {
        let salt = format!(
            r#"{{"id": "s", "kind": "unused_chemical", "composition": [{{"substance": "{salt}"}}]}}"#
        );
        assert_eq!(verdict(bleach, &salt), PourVerdict::Blocked);
    }
}

/// Wipes and sludge of a collodion studio may carry cyanide, like its rinse.
#[test]
fn acid_stays_away_from_wipes_and_sludge_of_a_collodion_studio() {
    let stop = r#"{"id": "s", "kind": "stop_bath"}"#;
    let rinse = r#"{"id": "w", "kind": "rinse_water", "craft": "collodion"}"#;
    for kind in ["wipes_and_filters", "sludge"] {
        let own = format!(r#"{{"id": "w", "kind": "{kind}", "craft": "collodion"}}"#);
        assert_eq!(verdict(stop, &own), verdict(stop, rinse), "{kind}");
        assert_eq!(verdict(stop, &own), PourVerdict::Blocked, "{kind}");
    }
}

/// 40 CFR 261.22(a)(1): a strong acid or lye of which nobody read the pH is presumed to reach 2 or 12.5.
#[test]
fn a_bottle_of_strong_acid_is_presumed_corrosive() {
    for substance in ["hydrochloric_acid", "sulfuric_acid", "sodium_hydroxide"] {
        let request: ClassificationRequest = serde_json::from_str(&format!(
            r#"{{"batch": {{"id": "b", "kind": "unused_chemical", "status": "unused", "volume_l": "1",
            "composition": [{{"substance": "{substance}", "g_per_l": "100"}}]}}, "on": "2026-11-25", "rule_set": "us-federal"}}"#
        ))
        .unwrap();
        let result = classify_waste(&request).unwrap().result;
        let code = result.codes.iter().find(|c| c.code == "D002");
        assert_eq!(code.unwrap().certainty, Certainty::Presumed, "{substance}");
    }
}

/// 40 CFR 268.3(a): no dilution as a substitute for treatment; 262.11(a)(1): judged where it arises. What a
/// laboratory reads after water went in shows nothing of the waste.
#[test]
fn no_reading_after_water_went_in_clears_a_waste() {
    for (diluted, cleared) in [("", true), (r#""diluted_on": "2026-03-02","#, false)] {
        let request: ClassificationRequest = serde_json::from_str(&format!(
            r#"{{"batch": {{"id": "f", "kind": "fixer", "craft": "film_and_paper", "status": "spent", "volume_l": "46", "ph": "6",
            "waste_since": "2026-03-01", {diluted} "composition": [{{"substance": "sodium_thiosulfate"}}],
            "evidence": [{{"laboratory_assay": {{"silver_mg_per_l": {{"value": "0.4", "standard_uncertainty": "0.02"}}}}}}]}},
            "on": "2026-11-25", "rule_set": "us-federal"}}"#
        ))
        .unwrap();
        let result = classify_waste(&request).unwrap().result;
        let code = result.codes.iter().find(|c| c.code == "D011");
        assert_eq!(code.is_none(), cleared, "{:?}", result.codes);
    }
}

/// A stop bath that reads alkaline gets no base, and one that reads like a mineral acid none by the dose
/// of vinegar.
#[test]
fn no_base_is_dosed_by_contents_that_the_reading_excludes() {
    for (ph, planned) in [
        ("\"2.7\"", true),
        (r#"{"between": ["8", "9"]}"#, false),
        (r#"{"between": ["0", "1"]}"#, false),
    ] {
        let request: NeutralizationRequest = serde_json::from_str(&format!(
            r#"{{"batch": {{"id": "s", "kind": "stop_bath", "status": "spent", "volume_l": "4", "ph": {ph},
            "composition": [{{"substance": "acetic_acid", "g_per_l": "12"}}]}}, "base": "sodium_bicarbonate"}}"#
        ))
        .unwrap();
        let plan = plan_neutralization(&request).unwrap().result;
        assert_eq!(plan.refusal.is_none(), planned, "{ph}: {:?}", plan.refusal);
    }
}
