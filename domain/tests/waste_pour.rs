//! The pour rules: each block of the house has a test of its own, and the table as a whole is
//! symmetric, complete and monotone.
//!
//! Outside source of the gas-forming pairs: EPA-600/2-80-076, chart of reactivity groups (11 x 1, 2,
//! 3: toxic and flammable gas; 33 x 1, 3: toxic gas), and 40 CFR 264 Appendix V, group 5-A with 5-B.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use spent_silver_domain::answer::Notes;
use spent_silver_domain::batch::{Batch, BatchKind, Craft};
use spent_silver_domain::bibliography::reference;
use spent_silver_domain::procedure::{Addition, Refusal, Step};
use spent_silver_domain::quantity::Identifier;
use spent_silver_domain::substance::{Group, substances};
use spent_silver_domain::waste::pour::{
    Act, PourCheck, PourCheckRequest, PourVerdict, check_act, check_pour, check_pour_between,
    check_procedure, sources, verdict_of,
};
use spent_silver_domain::waste::rule_set::RuleSet;

fn batch(json: &str) -> Batch {
    serde_json::from_str(json).unwrap()
}

/// A jug of one stated substance, as an unused chemical.
fn bottle(substance: &str) -> Batch {
    batch(&format!(
        r#"{{"id": "b", "kind": "unused_chemical", "composition": [{{"substance": "{substance}"}}]}}"#
    ))
}

fn kind(kind: &str) -> Batch {
    batch(&format!(r#"{{"id": "b", "kind": "{kind}"}}"#))
}

fn pour(from: &Batch, into: &Batch) -> PourCheck {
    let there = check_pour_between(from, into, RuleSet::unspecified(), &mut Notes::new());
    let back = check_pour_between(into, from, RuleSet::unspecified(), &mut Notes::new());
    assert_eq!(there.safety.verdict, back.safety.verdict, "symmetric");
    assert_eq!(there.share, back.share, "symmetric");
    there
}

fn blocked(from: &Batch, into: &Batch) -> PourCheck {
    let check = pour(from, into);
    assert_eq!(check.safety.verdict, PourVerdict::Blocked, "{check:#?}");
    check
}

fn blocked_everywhere(from: &Batch, into: &Batch) {
    let share = blocked(from, into).share;
    for place in [share.tray, share.sink, share.cupboard, share.vehicle] {
        assert_eq!(place, PourVerdict::Blocked);
    }
}

fn adding(substance: &str) -> Vec<Step> {
    vec![Step::new("Add it.").adding(Addition {
        substance: Identifier::new(substance).unwrap(),
        mass_g: None,
        volume_ml: None,
    })]
}

fn refused(into: &Batch, substance: &str) -> Refusal {
    let refusal = check_procedure(into, &adding(substance)).unwrap_err();
    assert!(!refusal.reason.is_empty() && !refusal.never.is_empty() && !refusal.call.is_empty());
    refusal
}

fn forbidden(batch: &Batch, act: Act) -> Refusal {
    check_act(batch, act).unwrap_err()
}

#[test]
fn every_pair_of_groups_is_named_and_the_table_is_symmetric() {
    for a in Group::ALL {
        for b in Group::ALL {
            let verdict = verdict_of(&[*a], &[*b]);
            assert_eq!(verdict, verdict_of(&[*b], &[*a]), "{a:?} {b:?}");
            assert_ne!(
                verdict,
                PourVerdict::NotKnownToBeSafe,
                "{a:?} {b:?} is not named"
            );
        }
    }
}

#[test]
fn adding_anything_never_makes_a_verdict_milder() {
    let sets: Vec<Vec<Group>> = substances().iter().map(|s| s.groups.clone()).collect();
    for from in &sets {
        for into in &sets {
            let before = verdict_of(from, into);
            for extra in Group::ALL {
                let mut more = from.clone();
                more.push(*extra);
                assert!(
                    verdict_of(&more, into) >= before,
                    "{from:?} + {extra:?} -> {into:?}"
                );
            }
        }
    }
}

#[test]
fn every_source_of_the_rules_resolves() {
    for key in sources() {
        assert!(reference(key).is_some(), "{key}");
    }
}

#[test]
fn an_unknown_substance_is_not_known_to_be_safe_with_anything() {
    let unknown = bottle("mystery_powder");
    for other in ["water", "silver_nitrate", "sodium_chloride"] {
        let check = pour(&unknown, &bottle(other));
        assert_eq!(check.safety.verdict, PourVerdict::NotKnownToBeSafe);
        assert_eq!(check.share.cupboard, PourVerdict::NotKnownToBeSafe);
    }
    assert!(
        refused(&kind("sensitizing_bath"), "mystery_powder")
            .reason
            .contains("mystery_powder")
    );
    assert!(refused(&unknown, "water").reason.contains("mystery_powder"));
}

#[test]
fn an_unknown_substance_never_softens_a_block() {
    let both = batch(
        r#"{"id": "b", "kind": "unused_chemical", "composition":
            [{"substance": "mystery_powder"}, {"substance": "nitric_acid"}]}"#,
    );
    assert_eq!(
        pour(&both, &bottle("potassium_cyanide")).safety.verdict,
        PourVerdict::Blocked
    );
}

#[test]
fn acid_never_meets_cyanide_nor_shares_a_place_with_it() {
    for acid in [
        "nitric_acid",
        "acetic_acid",
        "citric_acid",
        "sulfuric_acid",
        "alum",
    ] {
        blocked_everywhere(&bottle(acid), &bottle("potassium_cyanide"));
    }
    blocked_everywhere(&kind("stop_bath"), &kind("cyanide_fixer"));
}

#[test]
fn iron_developer_is_an_acid_to_cyanide() {
    let developer = batch(r#"{"id": "d", "kind": "developer", "craft": "collodion"}"#);
    blocked_everywhere(&developer, &kind("cyanide_fixer"));
}

#[test]
fn acid_fixer_never_meets_cyanide() {
    let fixer = batch(r#"{"id": "f", "kind": "fixer", "craft": "film_and_paper"}"#);
    blocked_everywhere(&fixer, &kind("cyanide_fixer"));
}

#[test]
fn a_fixer_of_unstated_type_in_a_collodion_studio_counts_as_cyanide() {
    let fixer = batch(r#"{"id": "f", "kind": "fixer", "craft": "collodion"}"#);
    blocked_everywhere(&kind("stop_bath"), &fixer);
    assert!(
        refused(&fixer, "iron_wool")
            .reason
            .contains("counts as cyanide")
    );
    let stated = batch(
        r#"{"id": "f", "kind": "fixer", "craft": "collodion",
            "composition": [{"substance": "sodium_thiosulfate"}]}"#,
    );
    assert!(check_procedure(&stated, &adding("iron_wool")).is_ok());
}

#[test]
fn a_rinse_in_a_collodion_studio_takes_no_acid() {
    let rinse = batch(r#"{"id": "r", "kind": "rinse_water", "craft": "collodion"}"#);
    blocked_everywhere(&kind("stop_bath"), &rinse);
}

#[test]
fn cyanide_is_not_killed_with_iron_sulfate_nor_oxidized() {
    for reagent in [
        "iron_ii_sulfate",
        "hydrogen_peroxide",
        "potassium_permanganate",
        "sodium_hypochlorite",
    ] {
        refused(&kind("cyanide_fixer"), reagent);
    }
}

#[test]
fn nothing_at_all_is_added_to_a_cyanide_fixer() {
    for s in substances() {
        let harmless = s.groups.iter().all(|g| {
            matches!(
                g,
                Group::Cyanide | Group::Caustic | Group::SilverComplex | Group::SilverSolid
            )
        });
        if !harmless {
            assert!(
                check_procedure(&kind("cyanide_fixer"), &adding(&s.id)).is_err(),
                "{}",
                s.id
            );
        }
    }
}

#[test]
fn cyanide_gets_no_recovery_titration_electrolysis_or_neutralization() {
    for act in [
        Act::Recover,
        Act::Titrate,
        Act::Electrolyse,
        Act::Neutralize,
        Act::Heat,
    ] {
        let refusal = forbidden(&kind("cyanide_fixer"), act);
        assert!(
            refusal
                .instead
                .iter()
                .any(|i| i.contains("licensed waste contractor"))
        );
        assert!(refusal.never.iter().any(|n| n.contains("stains on skin")));
    }
}

#[test]
fn acid_never_goes_into_sulfide() {
    blocked_everywhere(&bottle("acetic_acid"), &bottle("sodium_sulfide"));
    blocked_everywhere(&kind("stop_bath"), &bottle("liver_of_sulfur"));
}

#[test]
fn sulfide_goes_into_fixer_only_when_its_ph_is_known_to_be_alkaline() {
    let fixer = |ph: &str| {
        batch(&format!(
            r#"{{"id": "f", "kind": "fixer", "craft": "film_and_paper", "ph": {ph},
                "composition": [{{"substance": "sodium_thiosulfate"}}]}}"#
        ))
    };
    assert!(check_procedure(&fixer("5"), &adding("sodium_sulfide")).is_err());
    assert!(
        check_procedure(&fixer("7.2"), &adding("sodium_sulfide")).is_err(),
        "7.2 +- 0.5"
    );
    assert!(
        check_procedure(
            &fixer(r#"{"between": ["8", "8.5"]}"#),
            &adding("sodium_sulfide")
        )
        .is_ok()
    );
}

#[test]
fn acid_is_never_added_to_thiosulfate_or_sulfite() {
    let fixer = batch(r#"{"id": "f", "kind": "fixer", "craft": "film_and_paper"}"#);
    for acid in [
        "acetic_acid",
        "sulfuric_acid",
        "nitric_acid_dilute",
        "citric_acid",
    ] {
        refused(&fixer, acid);
        refused(&kind("bleach_fix"), acid);
        blocked(&bottle(acid), &bottle("sodium_sulfite"));
    }
}

#[test]
fn acid_never_goes_into_selenium_or_sulfide_toner() {
    blocked_everywhere(&bottle("acetic_acid"), &bottle("selenium"));
    blocked_everywhere(&kind("stop_bath"), &kind("toner"));
}

#[test]
fn hypochlorite_never_meets_cyanide() {
    blocked_everywhere(&bottle("sodium_hypochlorite"), &bottle("potassium_cyanide"));
}

#[test]
fn hypochlorite_never_meets_ammonia() {
    blocked_everywhere(&bottle("sodium_hypochlorite"), &bottle("ammonia"));
    blocked_everywhere(&bottle("sodium_hypochlorite"), &bottle("ammonium_chloride"));
}

#[test]
fn hypochlorite_never_meets_acid() {
    blocked_everywhere(&bottle("sodium_hypochlorite"), &kind("stop_bath"));
}

#[test]
fn hypochlorite_never_meets_thiosulfate() {
    blocked_everywhere(
        &bottle("sodium_hypochlorite"),
        &bottle("sodium_thiosulfate"),
    );
}

#[test]
fn peroxide_never_goes_into_fixer() {
    refused(&kind("fixer"), "hydrogen_peroxide");
}

#[test]
fn permanganate_never_goes_into_fixer() {
    refused(&kind("fixer"), "potassium_permanganate");
}

#[test]
fn ferricyanide_never_meets_strong_acid_nor_heat() {
    blocked_everywhere(&bottle("potassium_ferricyanide"), &bottle("sulfuric_acid"));
    forbidden(&bottle("potassium_ferricyanide"), Act::Heat);
}

#[test]
fn dichromate_never_meets_hydrochloric_acid() {
    blocked_everywhere(
        &bottle("potassium_dichromate"),
        &bottle("hydrochloric_acid"),
    );
}

#[test]
fn silver_never_meets_ammonia() {
    blocked_everywhere(&bottle("silver_nitrate"), &bottle("ammonia"));
    refused(&kind("sensitizing_bath"), "ammonia");
}

#[test]
fn ammoniacal_silver_is_never_kept_dried_boiled_or_shut_up() {
    for act in [Act::Keep, Act::Dry, Act::Heat, Act::Seal] {
        forbidden(&kind("ammoniacal_silver"), act);
    }
}

#[test]
fn ammoniacal_silver_may_go_into_salt_water() {
    let salt_water = batch(
        r#"{"id": "s", "kind": "rinse_water", "composition": [{"substance": "sodium_chloride"}]}"#,
    );
    let check = pour(&kind("ammoniacal_silver"), &salt_water);
    assert_eq!(check.safety.verdict, PourVerdict::Caution);
    assert!(check.safety.reasons.iter().any(|r| r.rule == "act_today"));
}

#[test]
fn silver_ammonium_and_strong_alkali_never_come_together() {
    let bath = batch(
        r#"{"id": "b", "kind": "sensitizing_bath", "composition":
            [{"substance": "silver_nitrate"}, {"substance": "ammonium_nitrate"}]}"#,
    );
    refused(&bath, "sodium_hydroxide");
    let groups = [Group::Silver, Group::Ammonium];
    assert_eq!(verdict_of(&groups, &[Group::Caustic]), PourVerdict::Blocked);
    assert_eq!(
        verdict_of(&[Group::SilverSolid, Group::Ammonium], &[Group::Caustic]),
        PourVerdict::Blocked
    );
    // Without the ammonium salt the same solid takes lye with caution: the way to metal.
    assert_eq!(
        verdict_of(&[Group::SilverSolid], &[Group::Caustic]),
        PourVerdict::Caution
    );
}

#[test]
fn hydroxide_is_never_offered_for_silver() {
    refused(&kind("sensitizing_bath"), "sodium_hydroxide");
    refused(&kind("drip"), "potassium_hydroxide");
}

#[test]
fn an_ammonium_fixer_with_silver_takes_no_strong_alkali() {
    let fixer = batch(
        r#"{"id": "f", "kind": "fixer", "composition": [{"substance": "ammonium_thiosulfate"}]}"#,
    );
    refused(&fixer, "sodium_hydroxide");
}

#[test]
fn strong_acid_is_never_added_to_a_bath_that_holds_alcohol_or_ether() {
    let bath = batch(r#"{"id": "b", "kind": "sensitizing_bath", "craft": "collodion"}"#);
    refused(&bath, "nitric_acid");
    refused(&bath, "sulfuric_acid");
    blocked_everywhere(&bottle("nitric_acid"), &kind("collodion_or_solvent"));
}

#[test]
fn a_working_collodion_bath_is_normal_with_caution() {
    let bath = batch(
        r#"{"id": "b", "kind": "sensitizing_bath", "craft": "collodion", "composition":
            [{"substance": "silver_nitrate", "g_per_l": "90"}, {"substance": "nitric_acid"},
             {"substance": "ethanol", "g_per_l": "30"}]}"#,
    );
    assert_eq!(pour(&bath, &bath).safety.verdict, PourVerdict::Caution);
    assert!(check_procedure(&bath, &adding("nitric_acid_dilute")).is_ok());
    assert!(check_act(&bath, Act::Keep).is_ok());
}

#[test]
fn too_much_acid_or_too_much_alcohol_ends_the_allowance() {
    let bath = |acid: &str, alcohol: &str| {
        batch(&format!(
            r#"{{"id": "b", "kind": "sensitizing_bath", "craft": "collodion", "composition":
                [{{"substance": "nitric_acid", "g_per_l": "{acid}"}},
                 {{"substance": "ethanol", "g_per_l": "{alcohol}"}}]}}"#
        ))
    };
    assert!(check_act(&bath("10", "100"), Act::Keep).is_ok());
    assert!(check_act(&bath("10.1", "100"), Act::Keep).is_err());
    assert!(check_act(&bath("10", "100.1"), Act::Keep).is_err());
}

#[test]
fn a_bath_with_alcohol_or_ether_is_never_boiled() {
    let bath = batch(r#"{"id": "b", "kind": "sensitizing_bath", "craft": "collodion"}"#);
    assert!(
        forbidden(&bath, Act::Heat)
            .never
            .iter()
            .any(|n| n.contains("ammonia"))
    );
}

#[test]
fn a_bath_with_alcohol_or_ether_is_never_electrolysed() {
    let bath = batch(r#"{"id": "b", "kind": "sensitizing_bath", "craft": "collodion"}"#);
    forbidden(&bath, Act::Electrolyse);
    let paper = batch(r#"{"id": "b", "kind": "sensitizing_bath", "craft": "salted_paper"}"#);
    assert!(check_act(&paper, Act::Electrolyse).is_ok());
}

#[test]
fn a_bath_with_acid_and_alcohol_or_ether_is_never_shut_up() {
    let bath = batch(r#"{"id": "b", "kind": "sensitizing_bath", "craft": "collodion"}"#);
    forbidden(&bath, Act::Seal);
}

#[test]
fn silver_oxalate_and_tartrate_are_never_dried() {
    forbidden(&bottle("silver_oxalate"), Act::Dry);
    forbidden(&bottle("silver_tartrate"), Act::Dry);
    blocked(&kind("sensitizing_bath"), &bottle("potassium_oxalate"));
}

#[test]
fn nitrocellulose_is_never_dried() {
    forbidden(&bottle("nitrocellulose"), Act::Dry);
    forbidden(&kind("collodion_or_solvent"), Act::Dry);
}

#[test]
fn nitrate_soaked_paper_is_never_dried() {
    forbidden(&kind("wipes_and_filters"), Act::Dry);
}

#[test]
fn mercury_lead_chromium_and_selenium_have_a_jug_of_their_own_and_no_plan() {
    for metal in [
        "mercuric_chloride",
        "lead_nitrate",
        "potassium_dichromate",
        "selenium",
    ] {
        for act in [Act::Recover, Act::Neutralize] {
            let refusal = forbidden(&bottle(metal), act);
            assert!(refusal.instead.iter().any(|i| i.contains("collection")));
        }
        let check = blocked(&bottle(metal), &kind("drip"));
        assert!(check.share.tray == PourVerdict::Blocked);
        blocked(&bottle(metal), &bottle("water"));
    }
}

#[test]
fn gold_has_a_jug_of_its_own_and_goes_to_the_refiner() {
    let refusal = forbidden(&bottle("gold_chloride"), Act::Recover);
    assert!(
        refusal
            .instead
            .iter()
            .any(|i| i.contains("ask the refiner"))
    );
    blocked_everywhere(&bottle("gold_chloride"), &bottle("ammonia"));
}

#[test]
fn zinc_with_nitric_acid_is_blocked_and_with_weak_acid_a_caution() {
    blocked(&bottle("zinc"), &bottle("nitric_acid"));
    assert_eq!(
        pour(&bottle("zinc"), &bottle("citric_acid")).safety.verdict,
        PourVerdict::Caution
    );
}

#[test]
fn iodine_never_meets_ammonia() {
    blocked_everywhere(&bottle("iodine"), &bottle("ammonia"));
}

#[test]
fn the_plain_ways_of_recovery_pass() {
    let bath = batch(r#"{"id": "b", "kind": "sensitizing_bath", "craft": "collodion"}"#);
    for reagent in [
        "sodium_chloride",
        "copper",
        "zinc",
        "sodium_bicarbonate",
        "water",
    ] {
        assert!(
            check_procedure(&bath, &adding(reagent)).is_ok(),
            "{reagent}"
        );
    }
    let fixer = batch(r#"{"id": "f", "kind": "fixer", "craft": "film_and_paper"}"#);
    for reagent in [
        "iron_wool",
        "trimercaptotriazine",
        "sodium_sulfite",
        "sodium_bicarbonate",
    ] {
        assert!(
            check_procedure(&fixer, &adding(reagent)).is_ok(),
            "{reagent}"
        );
    }
    let washed = batch(
        r#"{"id": "s", "kind": "sludge", "composition": [{"substance": "silver_chloride"}]}"#,
    );
    let mut steps = adding("sodium_hydroxide");
    steps.extend(adding("dextrose"));
    assert!(check_procedure(&washed, &steps).is_ok());
}

#[test]
fn what_an_earlier_step_added_counts() {
    let rinse = batch(
        r#"{"id": "r", "kind": "rinse_water", "composition": [{"substance": "sodium_sulfate"}]}"#,
    );
    let mut steps = adding("sodium_sulfide");
    assert!(check_procedure(&rinse, &steps).is_ok());
    steps.extend(adding("acetic_acid"));
    assert!(
        check_procedure(&rinse, &steps)
            .unwrap_err()
            .reason
            .contains("Hydrogen sulfide")
    );
}

#[test]
fn mixing_a_bath_into_fixer_tells_that_the_chloride_way_is_lost() {
    let check = pour(&kind("sensitizing_bath"), &kind("fixer"));
    assert!(
        check
            .silver
            .iter()
            .any(|s| s.contains("chloride way is lost"))
    );
}

#[test]
fn the_law_of_a_mixture_is_that_of_its_more_regulated_part() {
    let rules = RuleSet::named("us-federal").unwrap();
    let check = check_pour_between(&kind("fixer"), &kind("stop_bath"), rules, &mut Notes::new());
    assert!(
        check
            .law
            .iter()
            .any(|l| l.text.contains("more regulated part"))
    );
    assert!(check.law.iter().any(|l| l.text.contains("D011")));
    let unspecified = check_pour_between(
        &kind("fixer"),
        &kind("stop_bath"),
        RuleSet::unspecified(),
        &mut Notes::new(),
    );
    assert!(unspecified.law.iter().all(|l| l.authority.is_none()));
}

#[test]
fn every_kind_of_container_can_be_checked_against_every_other() {
    let kinds = [
        BatchKind::SensitizingBath,
        BatchKind::Fixer,
        BatchKind::CyanideFixer,
        BatchKind::BleachFix,
        BatchKind::Developer,
        BatchKind::StopBath,
        BatchKind::Drip,
        BatchKind::RinseWater,
        BatchKind::Toner,
        BatchKind::IntensifierOrReducer,
        BatchKind::AmmoniacalSilver,
        BatchKind::CollodionOrSolvent,
        BatchKind::Sludge,
        BatchKind::WipesAndFilters,
        BatchKind::FilmAndPaper,
        BatchKind::GlassPlates,
        BatchKind::SpentCartridge,
        BatchKind::SpillResidue,
        BatchKind::UnusedChemical,
    ];
    for a in kinds {
        for b in kinds {
            for craft in [None, Some(Craft::Collodion), Some(Craft::FilmAndPaper)] {
                let id = Identifier::new("b").unwrap();
                let mut x = Batch::named(id.clone(), a);
                let mut y = Batch::named(id, b);
                x.craft = craft;
                y.craft = craft;
                let check = pour(&x, &y);
                assert!(!check.silver.is_empty());
                let cyanide_and_acid = (x.counts_as_cyanide() && b == BatchKind::StopBath)
                    || (y.counts_as_cyanide() && a == BatchKind::StopBath);
                if cyanide_and_acid {
                    assert_eq!(check.safety.verdict, PourVerdict::Blocked);
                }
            }
        }
    }
}

/// What several come to together is told of all of them, not of each two.
#[test]
fn several_containers_are_told_what_they_come_to_together() {
    let request = serde_json::json!({
        "from": {"id": "bath", "kind": "sensitizing_bath", "craft": "salted_paper", "volume_l": "2",
            "composition": [{"substance": "silver_nitrate", "g_per_l": "90"}]},
        "into": {"id": "one", "kind": "rinse_water", "status": "treated", "volume_l": "2",
            "composition": [{"substance": "water"}]},
        "also": [{"id": "two", "kind": "rinse_water", "status": "treated", "volume_l": "2",
            "composition": [{"substance": "water"}]}],
        "rule_set": "us-federal"
    });
    let request: PourCheckRequest = serde_json::from_str(&request.to_string()).unwrap();
    let answer = check_pour(&request).unwrap().result;
    assert_eq!(answer.pairs.len(), 3);
    // 180 g in 6 L are 30 g/L, and in the 4 L of a pair 45 g/L.
    let strength = |of: &[String]| -> Vec<String> {
        let told = of.iter().filter(|s| s.starts_with("Strength falls"));
        told.cloned().collect()
    };
    let together = strength(&answer.silver);
    assert_eq!(together.len(), 1, "{:?}", answer.silver);
    assert!(together[0].contains("about 30 g/L"), "{together:?}");
    assert!(strength(&answer.pairs[0].silver)[0].contains("about 45 g/L"));
    assert!(!answer.silver.iter().any(|s| s.contains("points to silver")));
    // One line says every code, of all three.
    let codes = answer.law.iter().filter(|l| l.text.contains("every code"));
    assert_eq!(codes.count(), 1, "{:?}", answer.law);
}
