//! What the waste is in law, checked against the rules' own figures and published questions.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use spent_silver_domain::bibliography::reference;
use spent_silver_domain::fault::FaultKind;
use spent_silver_domain::waste::classification::{
    Classification, ClassificationRequest, Figure, HazardCode, Hazardous, LocalVerdict, Standing,
    TreatmentVerdict, classify_waste,
};
use spent_silver_domain::waste::contents::Certainty;
use spent_silver_domain::waste::rule_set::RuleSet;

fn request(batch: &str, site: &str) -> ClassificationRequest {
    serde_json::from_str(&format!(
        r#"{{"batch": {batch}, "on": "2026-11-25", "rule_set": "us-federal"{site}}}"#
    ))
    .unwrap()
}

fn classify(batch: &str, site: &str) -> Classification {
    classify_waste(&request(batch, site)).unwrap().result
}

fn under(rule_set: &str, batch: &str) -> Classification {
    let request = format!(
        r#"{{"batch": {batch}, "on": "2026-11-25", "rule_set": "{rule_set}"{NOTHING_ELSE}}}"#
    );
    classify_waste(&serde_json::from_str(&request).unwrap())
        .unwrap()
        .result
}

fn code<'a>(result: &'a Classification, code: &str) -> Option<&'a HazardCode> {
    result.codes.iter().find(|c| c.code == code)
}

const NOTHING_ELSE: &str = r#", "other_hazardous_waste_kg": "0", "other_acute_waste_kg": "0""#;

fn assayed(silver_mg_per_l: &str, u: &str) -> String {
    format!(
        r#"{{"id": "j", "kind": "fixer", "craft": "film_and_paper", "status": "treated",
            "waste_since": "2026-11-02", "volume_l": {{"value": "2", "standard_uncertainty": "0"}},
            "ph": {{"value": "7", "standard_uncertainty": "0.1"}},
            "evidence": [{{"laboratory_assay": {{"silver_mg_per_l":
                {{"value": "{silver_mg_per_l}", "standard_uncertainty": "{u}"}}}}}}]}}"#
    )
}

/// 40 CFR 261.24: the contaminant at or above the level. 4.99 mg/L no, 5.00 mg/L yes.
#[test]
fn silver_exactly_at_the_limit_is_over_it() {
    let below = classify(&assayed("4.99", "0"), NOTHING_ELSE);
    assert!(code(&below, "D011").is_none());
    assert!(below.clean.iter().any(|c| c.code == "D011"));
    let at = classify(&assayed("5.0", "0"), NOTHING_ELSE);
    assert_eq!(code(&at, "D011").unwrap().certainty, Certainty::Known);
}

#[test]
fn a_figure_whose_interval_crosses_the_limit_is_never_clean() {
    let above = classify(&assayed("5.0", "0.2"), NOTHING_ELSE);
    assert_eq!(code(&above, "D011").unwrap().certainty, Certainty::Presumed);
    let near = classify(&assayed("4.9", "0.2"), NOTHING_ELSE);
    assert_eq!(
        code(&near, "D011").unwrap().certainty,
        Certainty::ToBeTested
    );
    assert!(near.unknowns.iter().any(|u| u.what.contains("Silver")));
}

#[test]
fn only_a_laboratory_can_show_silver_below_the_limit() {
    let stated = classify(
        r#"{"id": "j", "kind": "drip", "craft": "salted_paper", "status": "spent", "volume_l": "2",
            "evidence": [{"stated": {"silver_g": {"value": "0.001", "standard_uncertainty": "0.0001"},
                                     "source": "a guess"}}]}"#,
        NOTHING_ELSE,
    );
    assert_eq!(
        code(&stated, "D011").unwrap().certainty,
        Certainty::ToBeTested
    );
    let cloud = classify(
        r#"{"id": "j", "kind": "rinse_water", "craft": "salted_paper", "status": "spent",
            "volume_l": "2", "evidence": [{"cloud_test": {"appearance": "clear"}}]}"#,
        NOTHING_ELSE,
    );
    assert_eq!(
        code(&cloud, "D011").unwrap().certainty,
        Certainty::ToBeTested
    );
}

#[test]
fn a_spent_bath_of_unmeasured_silver_is_presumed_toxic() {
    let bath = classify(
        r#"{"id": "b", "kind": "sensitizing_bath", "craft": "salted_paper", "status": "spent"}"#,
        NOTHING_ELSE,
    );
    assert_eq!(code(&bath, "D011").unwrap().certainty, Certainty::Presumed);
    assert_eq!(bath.hazardous, Hazardous::Presumed);
}

/// The totals screen: 90 mg/kg gives at most 4.5 mg/L and needs no leaching test; 100 mg/kg gives 5.0
/// and is inconclusive. (Agency answers on totals in place of the leaching test; Method 1311, 1.2.)
#[test]
fn the_totals_screen_clears_below_a_hundred_and_shows_nothing_at_it() {
    let solid = |mg_per_kg: f64| {
        let percent = mg_per_kg / 1e4;
        classify(
            &format!(
                r#"{{"id": "s", "kind": "sludge", "status": "spent",
                    "mass_kg": {{"value": "1", "standard_uncertainty": "0"}},
                    "evidence": [{{"laboratory_assay": {{"silver_percent":
                        {{"value": "{percent:.4}", "standard_uncertainty": "0"}}}}}}]}}"#
            ),
            NOTHING_ELSE,
        )
    };
    let low = solid(90.0);
    assert!(code(&low, "D011").is_none());
    let Some(Figure::Total {
        screen_mg_per_kg, ..
    }) = &low.clean.iter().find(|c| c.code == "D011").unwrap().figure
    else {
        panic!("no figure")
    };
    assert!((screen_mg_per_kg.get() - 100.0).abs() < 1e-9);
    let at = solid(100.0);
    assert_eq!(code(&at, "D011").unwrap().certainty, Certainty::ToBeTested);
    assert!(at.unknowns.iter().any(|u| u.how.contains("leaching test")));
    // A great total shows nothing either way: silver chloride hardly leaches.
    assert_eq!(
        code(&solid(600_000.0), "D011").unwrap().certainty,
        Certainty::ToBeTested
    );
}

/// 40 CFR 261.22: pH at or below 2, or at or above 12.5.
#[test]
fn acidity_counts_at_the_limit_itself() {
    let liquid = |ph: &str| {
        classify(
            &format!(r#"{{"id": "a", "kind": "stop_bath", "status": "spent", "ph": {ph}}}"#),
            NOTHING_ELSE,
        )
    };
    let exact = |v: &str| {
        liquid(&format!(
            r#"{{"value": "{v}", "standard_uncertainty": "0"}}"#
        ))
    };
    assert_eq!(
        code(&exact("2"), "D002").unwrap().certainty,
        Certainty::Known
    );
    assert!(code(&exact("2.01"), "D002").is_none());
    assert_eq!(
        code(&exact("12.5"), "D002").unwrap().certainty,
        Certainty::Known
    );
    assert!(code(&exact("12.49"), "D002").is_none());
    let paper = liquid(r#"{"between": ["2", "3"]}"#);
    assert_eq!(
        code(&paper, "D002").unwrap().certainty,
        Certainty::ToBeTested
    );
    let unmeasured = classify(
        r#"{"id": "a", "kind": "stop_bath", "status": "spent"}"#,
        NOTHING_ELSE,
    );
    assert!(unmeasured.unknowns.iter().any(|u| u.what == "pH"));
}

/// 40 CFR 261.21(a)(1): below 60 °C; an aqueous liquid with less than 24 % alcohol by volume is out.
#[test]
fn flash_point_and_the_alcohol_exclusion() {
    let flash = |c: &str| {
        classify(
            &format!(
                r#"{{"id": "c", "kind": "developer", "craft": "film_and_paper", "status": "spent",
                    "flash_point_c": "{c}"}}"#
            ),
            NOTHING_ELSE,
        )
    };
    assert_eq!(
        code(&flash("59.9"), "D001").unwrap().certainty,
        Certainty::Known
    );
    assert!(code(&flash("60"), "D001").is_none());
    let alcohol = |g_per_l: &str| {
        classify(
            &format!(
                r#"{{"id": "d", "kind": "developer", "craft": "film_and_paper", "status": "spent",
                    "composition": [{{"substance": "ethanol", "g_per_l": "{g_per_l}"}}]}}"#
            ),
            NOTHING_ELSE,
        )
    };
    // 24 % v/v of ethanol at 0.789 g/mL is 189.4 g/L.
    assert!(code(&alcohol("189"), "D001").is_none());
    assert_eq!(
        code(&alcohol("190"), "D001").unwrap().certainty,
        Certainty::ToBeTested
    );
    let collodion = classify(
        r#"{"id": "c", "kind": "collodion_or_solvent", "status": "spent"}"#,
        NOTHING_ELSE,
    );
    assert_eq!(
        code(&collodion, "D001").unwrap().certainty,
        Certainty::Presumed
    );
    assert_eq!(
        code(&collodion, "F003").unwrap().certainty,
        Certainty::ToBeTested
    );
}

#[test]
fn cyanide_is_reactive_by_the_rule_and_never_listed_when_spent() {
    let fixer = classify(
        r#"{"id": "c", "kind": "cyanide_fixer", "status": "spent"}"#,
        NOTHING_ELSE,
    );
    assert_eq!(code(&fixer, "D003").unwrap().certainty, Certainty::Known);
    assert!(
        fixer
            .codes
            .iter()
            .all(|c| !c.acute && !c.code.starts_with('P'))
    );
    assert!(
        fixer.dilution.is_none(),
        "no exception for reactive cyanide"
    );
    let unstated = classify(
        r#"{"id": "f", "kind": "fixer", "craft": "collodion", "status": "spent"}"#,
        NOTHING_ELSE,
    );
    assert_eq!(
        code(&unstated, "D003").unwrap().certainty,
        Certainty::Presumed
    );
    let unused = classify(
        r#"{"id": "k", "kind": "unused_chemical", "status": "spent", "mass_kg": "0.5",
            "composition": [{"substance": "potassium_cyanide"}]}"#,
        NOTHING_ELSE,
    );
    assert!(code(&unused, "P098").unwrap().acute);
}

#[test]
fn cadmium_from_iodizers_is_asked_of_every_collodion_bath() {
    let bath = classify(
        r#"{"id": "b", "kind": "sensitizing_bath", "craft": "collodion", "status": "spent"}"#,
        NOTHING_ELSE,
    );
    assert_eq!(
        code(&bath, "D006").unwrap().certainty,
        Certainty::ToBeTested
    );
    // 0.01 g/L of cadmium bromide is 4.1 mg/L of cadmium, over 1.0.
    let stated = classify(
        r#"{"id": "b", "kind": "sensitizing_bath", "craft": "collodion", "status": "spent",
            "composition": [{"substance": "cadmium_bromide", "g_per_l": "0.01"}]}"#,
        NOTHING_ELSE,
    );
    assert_eq!(code(&stated, "D006").unwrap().certainty, Certainty::Known);
}

#[test]
fn mercury_lead_chromium_and_selenium_are_looked_for() {
    for (substance, wanted) in [
        ("mercuric_chloride", "D009"),
        ("lead_nitrate", "D008"),
        ("potassium_dichromate", "D007"),
        ("chrome_alum", "D007"),
        ("selenium", "D010"),
    ] {
        let result = classify(
            &format!(
                r#"{{"id": "t", "kind": "intensifier_or_reducer", "status": "spent",
                    "composition": [{{"substance": "{substance}"}}]}}"#
            ),
            NOTHING_ELSE,
        );
        assert_eq!(
            code(&result, wanted).unwrap().certainty,
            Certainty::Presumed,
            "{substance}"
        );
    }
}

fn hazardous_kg(kg: &str, site: &str) -> Classification {
    classify(
        &format!(
            r#"{{"id": "j", "kind": "sensitizing_bath", "craft": "salted_paper", "status": "spent",
                "waste_since": "2026-11-02", "mass_kg": {{"value": "{kg}", "standard_uncertainty": "0"}}}}"#
        ),
        site,
    )
}

/// 40 CFR 262.13 Table 1.
#[test]
fn the_category_follows_the_month_s_mass() {
    for (mine, others, acute, wanted) in [
        ("100", "0", "0", "very_small"),
        ("100", "0", "1", "very_small"),
        ("100.01", "0", "0", "small"),
        ("60", "40.01", "0", "small"),
        ("1", "999", "0", "large"),
        ("1", "998.99", "0", "small"),
        ("1", "0", "1.01", "large"),
    ] {
        let result = hazardous_kg(
            mine,
            &format!(
                r#", "other_hazardous_waste_kg": "{others}", "other_acute_waste_kg": "{acute}""#
            ),
        );
        assert_eq!(
            result.category.id.as_deref(),
            Some(wanted),
            "{mine} {others} {acute}"
        );
    }
}

/// WAC 173-303-169: 4 lb of acute with 200 lb of ignitable waste in a month is a large generator
/// (4 lb = 1.81 kg is more than 1 kg).
#[test]
fn four_pounds_of_acute_waste_make_a_large_generator() {
    let result = classify(
        r#"{"id": "k", "kind": "unused_chemical", "status": "spent", "waste_since": "2026-11-02",
            "mass_kg": "1.814", "composition": [{"substance": "potassium_cyanide"}]}"#,
        r#", "other_hazardous_waste_kg": "90.7", "other_acute_waste_kg": "0""#,
    );
    assert_eq!(result.category.id.as_deref(), Some("large"));
    assert_eq!(result.clock.unwrap().limit_day_count, 90);
}

/// An agency question: 75 kg each month, 900 kg shipped in December. What arises counts, not what is
/// shipped.
#[test]
fn seventy_five_kilograms_a_month_stay_very_small() {
    let result = hazardous_kg("75", NOTHING_ELSE);
    assert_eq!(result.category.id.as_deref(), Some("very_small"));
    assert!(result.clock.is_none());
    assert_eq!(result.category.month, "2026-11");
}

#[test]
fn an_unknown_month_is_never_the_smallest_category() {
    let result = hazardous_kg("1", "");
    assert!(result.category.id.is_none());
    assert_eq!(result.category.title, "category unknown");
    assert_eq!(result.category.possible, ["large", "small", "very_small"]);
    assert!(result.clock.is_none());
    assert_eq!(
        result.possible_clocks.first().unwrap().due_on.to_string(),
        "2027-01-31"
    );
    assert!(
        result
            .unknowns
            .iter()
            .any(|u| u.how.contains("other_acute_waste_kg"))
    );
}

#[test]
fn what_is_over_every_line_needs_no_more_knowledge() {
    assert_eq!(
        hazardous_kg("1000", "").category.id.as_deref(),
        Some("large")
    );
}

/// 40 CFR 262.16(b): 180 days; 270 where the waste must travel more than 200 miles (321.9 km).
#[test]
fn the_clock_of_a_small_generator_runs_from_the_day_of_waste() {
    let near = hazardous_kg(
        "200",
        &format!(r#"{NOTHING_ELSE}, "haul_distance_km": "321""#),
    );
    let clock = near.clock.unwrap();
    assert_eq!(
        (clock.starts_on.to_string(), clock.limit_day_count),
        ("2026-11-02".to_owned(), 180)
    );
    assert_eq!(clock.due_on.to_string(), "2027-05-01");
    let far = hazardous_kg(
        "200",
        &format!(r#"{NOTHING_ELSE}, "haul_distance_km": "322""#),
    );
    assert_eq!(far.clock.unwrap().limit_day_count, 270);
}

#[test]
fn the_clock_of_a_very_small_generator_starts_when_a_limit_is_passed() {
    let result = classify(
        r#"{"id": "j", "kind": "sensitizing_bath", "craft": "salted_paper", "status": "spent",
            "waste_since": "2026-01-02", "limit_exceeded_on": "2026-11-20", "mass_kg": "50"}"#,
        NOTHING_ELSE,
    );
    let clock = result.clock.unwrap();
    assert_eq!(clock.starts_on.to_string(), "2026-11-20");
    assert_eq!(clock.limit_day_count, 180);
    assert!(clock.rule.contains("1,000 kg"));
}

#[test]
fn a_working_bath_is_not_waste_and_has_no_clock() {
    let result = classify(
        r#"{"id": "b", "kind": "sensitizing_bath", "craft": "collodion", "status": "in_use",
            "made_on": "2026-01-02", "mass_kg": "500"}"#,
        NOTHING_ELSE,
    );
    assert_eq!(result.standing.is, Standing::AtWork);
    assert!(result.clock.is_none() && result.possible_clocks.is_empty());
    assert_eq!(
        result.category.id.as_deref(),
        Some("very_small"),
        "it does not count"
    );
    assert!(
        code(&result, "D011").is_some(),
        "what it would be is still told"
    );
}

#[test]
fn nothing_is_asserted_without_rules() {
    let request: ClassificationRequest = serde_json::from_str(
        r#"{"batch": {"id": "c", "kind": "cyanide_fixer", "status": "spent",
            "waste_since": "2026-01-02"}, "on": "2026-11-25"}"#,
    )
    .unwrap();
    let answer = classify_waste(&request).unwrap();
    let result = answer.result;
    assert!(result.codes.is_empty() && result.clean.is_empty() && result.clock.is_none());
    assert_eq!(result.hazardous, Hazardous::ToBeAsked);
    assert!(result.category.id.is_none());
    assert!(result.unknowns.len() >= 5);
    assert!(answer.assumptions.iter().any(|a| a.field == "/rule_set"));
}

#[test]
fn a_household_is_a_question_for_the_authority() {
    let result = hazardous_kg(
        "5",
        &format!(r#"{NOTHING_ELSE}, "premises": "household_hobby""#),
    );
    assert!(
        result
            .questions
            .iter()
            .any(|q| q.contains("household exclusion"))
    );
    assert!(
        code(&result, "D011").is_some(),
        "the exclusion is never applied here"
    );
    assert_eq!(result.category.id.as_deref(), Some("very_small"));
}

#[test]
fn the_limit_of_the_place_is_never_a_permission() {
    let local = |batch: &str, limit: &str| {
        classify(
            batch,
            &format!(r#"{NOTHING_ELSE}, "local_silver_limit": {{"silver_mg_per_l": "{limit}"}}"#),
        )
        .local_limit
        .unwrap()
    };
    let below = local(&assayed("0.2", "0"), "0.43");
    assert_eq!(below.verdict, LocalVerdict::AssayBelow);
    assert!(below.text.contains("not permission"));
    assert_eq!(
        local(&assayed("0.43", "0"), "0.43").verdict,
        LocalVerdict::AtOrAbove
    );
    let unmeasured =
        r#"{"id": "f", "kind": "fixer", "craft": "film_and_paper", "status": "spent"}"#;
    assert_eq!(local(unmeasured, "400").verdict, LocalVerdict::ToBeTested);
}

#[test]
fn the_limit_of_the_place_says_where_it_stands_or_that_nobody_did() {
    let local = |more: &str| {
        let limit = format!(r#""local_silver_limit": {{"silver_mg_per_l": "0.43"{more}}}"#);
        let found = classify(&assayed("0.2", "0"), &format!("{NOTHING_ELSE}, {limit}"));
        found.local_limit.unwrap().text
    };
    let told = local(
        r#", "sampling_point": "manhole 3", "averaging": "daily maximum", "source": "permit 12, page 2""#,
    );
    for words in [
        "Sampled at manhole 3, as daily maximum.",
        "It stands in: permit 12, page 2.",
    ] {
        assert!(told.contains(words), "{told}");
    }
    assert!(local("").contains("Where it stands was not stated"));
}

#[test]
fn dates_after_today_are_faults() {
    let request = request(
        r#"{"id": "b", "kind": "fixer", "waste_since": "2026-11-26"}"#,
        "",
    );
    let faults = classify_waste(&request).unwrap_err();
    let fault = &faults.list()[0];
    assert_eq!(
        (fault.kind, fault.pointer.as_str()),
        (FaultKind::DateOrder, "/batch/waste_since")
    );
}

#[test]
fn every_rule_of_every_rule_set_names_a_source_that_resolves() {
    let mut count = 0;
    for rules in RuleSet::all() {
        let text = serde_json::to_value(rules).unwrap();
        let mut stack = vec![&text];
        while let Some(value) = stack.pop() {
            if let Some(source) = value.get("source").and_then(|s| s.as_str()) {
                assert!(reference(source).is_some(), "{source}");
                assert!(value.get("clause").is_some() && value.get("status").is_some());
                count += 1;
            }
            match value {
                serde_json::Value::Object(map) => stack.extend(map.values()),
                serde_json::Value::Array(list) => stack.extend(list),
                _ => {}
            }
        }
    }
    assert!(count > 30);
}

/// A rule not read in the primary text says so wherever it is used.
#[test]
fn what_was_not_read_in_the_primary_text_says_so() {
    let result = hazardous_kg("200", NOTHING_ELSE);
    let authority = result.category.authority.unwrap();
    assert_eq!(authority.status.words(), "read in a secondary text");
    assert!(
        result
            .marks
            .iter()
            .any(|m| m.authority.status.words() == "unverified")
    );
}

/// A generator must determine whether its waste is hazardous (40 CFR 262.11, from memory); a waste that may
/// have a hazardous property is not taken to be without it (Directive 2008/98/EC, Annex III).
#[test]
fn unknown_contents_are_to_be_tested_and_count_towards_the_month() {
    for rules in ["us-federal", "eu", "de", "gb-england"] {
        for what in [
            r#""kind": "spill_residue""#,
            r#""kind": "unused_chemical""#,
            r#""kind": "unused_chemical", "composition": [{"substance": "mystery_salt"}]"#,
        ] {
            let batch = format!(r#"{{"id": "s", "status": "spent", "mass_kg": "2", {what}}}"#);
            let found = under(rules, &batch);
            assert_eq!(found.hazardous, Hazardous::ToBeTested, "{rules} {what}");
        }
    }
    // 40 CFR 262.13, Table 1: 101 kg that may be hazardous may make the site a small generator.
    let heavy = under(
        "us-federal",
        r#"{"id": "s", "kind": "spill_residue", "status": "spent", "mass_kg": "101"}"#,
    );
    assert_eq!(heavy.category.id, None);
    // A bath of which nobody has said what is in it (Annex III: the properties follow from the contents).
    let toner = r#"{"id": "t", "kind": "toner", "status": "spent", "ph": "8"}"#;
    assert_eq!(under("eu", toner).hazardous, Hazardous::ToBeTested);
}

/// 40 CFR 261.22(a)(1) and the indicative pH of AVV, Anlage, no. 2.2.7: an unread pH decides.
#[test]
fn an_unread_ph_leaves_the_waste_to_be_tested_and_a_read_one_clears_it() {
    let stop = |ph: &str| {
        format!(
            r#"{{"id": "s", "kind": "stop_bath", "status": "spent", "craft": "film_and_paper",
                "volume_l": "2"{ph}, "composition": [{{"substance": "acetic_acid", "g_per_l": "15"}}],
                "evidence": [{{"laboratory_assay": {{"silver_mg_per_l": "0.5"}}}}]}}"#
        )
    };
    for rules in ["us-federal", "eu"] {
        let unread = under(rules, &stop(""));
        assert_eq!(unread.hazardous, Hazardous::ToBeTested, "{rules}");
        assert!(unread.unknowns.iter().any(|u| u.what == "pH"));
        // Vinegar of 1.5 % and half a milligram of silver per litre: below every limit.
        let read = under(rules, &stop(r#", "ph": "3""#));
        assert_eq!(read.hazardous, Hazardous::NotIndicated, "{rules}");
    }
}

/// Directive 2008/98/EC, Annex III, by statements alone: HP 6 from 0.25 % of H300 (category 2), HP 5 from
/// 1 % of H372, HP 7 from 0.1 % of H350, HP 14 from 0.25 % of H410. Nothing is known by unverified statements.
#[test]
fn a_poison_whose_classes_nobody_looked_up_is_presumed_by_its_statements() {
    let holding = |rules: &str, substance: &str, g_per_l: &str| {
        under(
            rules,
            &format!(
                r#"{{"id": "hg", "kind": "intensifier_or_reducer", "status": "spent", "ph": "5",
                    "craft": "film_and_paper", "volume_l": "2", "density_g_per_ml": "1",
                    "composition": [{{"substance": "{substance}", "g_per_l": "{g_per_l}"}}]}}"#
            ),
        )
    };
    for rules in ["eu", "de", "gb-england"] {
        let mercury = holding(rules, "mercuric_chloride", "20");
        assert_eq!(mercury.hazardous, Hazardous::Presumed, "{rules}");
        for property in ["HP 5", "HP 6", "HP 14"] {
            let found = code(&mercury, property).unwrap();
            assert_eq!(found.certainty, Certainty::Presumed, "{rules} {property}");
            assert!(found.reason.contains("not verified"));
        }
        // Below every limit of its statements, and its classes are still to be read.
        let trace = holding(rules, "mercuric_chloride", "0.5");
        assert!(code(&trace, "HP 14").is_none());
        assert_eq!(trace.hazardous, Hazardous::ToBeTested, "{rules}");
        assert!(code(&holding(rules, "formaldehyde", "1"), "HP 7").is_some());
        for poison in ["sodium_selenite", "thiourea", "iodine"] {
            let found = holding(rules, poison, "1");
            assert_ne!(found.hazardous, Hazardous::NotIndicated, "{poison}");
        }
    }
    let harmless = under(
        "eu",
        r#"{"id": "k", "kind": "unused_chemical", "status": "spent", "mass_kg": "1", "form": "solid",
            "composition": [{"substance": "kaolin"}]}"#,
    );
    assert_eq!(harmless.hazardous, Hazardous::NotIndicated);
}

/// 40 CFR 261.21(a)(1): below 60 °C, and the exclusion of an aqueous liquid below 24 % alcohol by volume, each
/// as far as the figure is sure. 189.4 g/L of ethanol (0.789 g/mL) are 24 % by volume.
#[test]
fn an_uncertain_flash_point_or_alcohol_is_never_surer_than_it_was_stated() {
    let developer = |rest: &str| {
        format!(
            r#"{{"id": "d", "kind": "developer", "craft": "film_and_paper", "status": "spent", "ph": "7",
                {rest}}}"#
        )
    };
    for (value, half, expected) in [
        ("61", "5", Some(Certainty::ToBeTested)),
        ("59", "5", Some(Certainty::Presumed)),
        ("54", "5", Some(Certainty::Known)),
        ("66", "5", None),
    ] {
        let flash = format!(r#""flash_point_c": {{"value": "{value}", "plus_minus": "{half}"}}"#);
        let found = classify(&developer(&flash), NOTHING_ELSE);
        let certainty = code(&found, "D001").map(|c| c.certainty);
        assert_eq!(certainty, expected, "{value}");
    }
    for (half, expected) in [("30", Some(Certainty::ToBeTested)), ("5", None)] {
        let alcohol = format!(
            r#""composition": [{{"substance": "ethanol",
                "g_per_l": {{"value": "180", "plus_minus": "{half}"}}}}]"#
        );
        let found = classify(&developer(&alcohol), NOTHING_ELSE);
        let certainty = code(&found, "D001").map(|c| c.certainty);
        assert_eq!(certainty, expected, "{half}");
    }
}

/// Annex III, HP 3, has no exclusion for alcohol in water; 40 CFR 261.21(a)(1) has.
#[test]
fn an_exclusion_is_spoken_of_only_where_the_rules_have_one() {
    let iron = r#"{"id": "d", "kind": "developer", "craft": "collodion", "status": "spent",
        "composition": [{"substance": "iron_ii_sulfate", "g_per_l": "40"},
                        {"substance": "ethanol", "g_per_l": "200"}]}"#;
    let european = under("eu", iron);
    let reason = &code(&european, "HP 3").unwrap().reason;
    assert!(
        !reason.contains("exclu") && !reason.contains("not stated"),
        "{reason}"
    );
    let federal = under("us-federal", iron);
    assert!(code(&federal, "D001").unwrap().reason.contains("exclusion"));
}

/// 40 CFR 261.2(b), from memory: what is abandoned is a solid waste, used or not; 262.13: 1,000 kg in a month are counted.
#[test]
fn what_became_waste_is_not_unused() {
    let request = request(
        r#"{"id": "b", "kind": "unused_chemical", "status": "unused", "waste_since": "2026-11-02",
            "mass_kg": "1000", "composition": [{"substance": "silver_nitrate"}]}"#,
        NOTHING_ELSE,
    );
    let faults = classify_waste(&request).unwrap_err();
    let fault = &faults.list()[0];
    assert_eq!(
        (fault.kind, fault.pointer.as_str()),
        (FaultKind::Conflict, "/batch/waste_since")
    );
    assert!(fault.detail.contains("spent"), "{}", fault.detail);
}

/// 40 CFR 262.13, Table 1: more than 100 kg of the residue of an acute spill in a month make a large generator.
#[test]
fn a_category_that_acute_residue_decides_names_the_residue() {
    let spill = |kg: &str| {
        classify(
            &format!(
                r#"{{"id": "s", "kind": "spill_residue", "status": "spent", "mass_kg": "{kg}",
                    "waste_since": "2026-11-02",
                    "composition": [{{"substance": "potassium_cyanide", "percent_w_w": "1"}}]}}"#
            ),
            NOTHING_ELSE,
        )
        .category
    };
    let large = spill("101");
    assert_eq!(large.id.as_deref(), Some("large"));
    assert!(
        large
            .reason
            .contains("101.00 kg of the residue of an acute spill"),
        "{}",
        large.reason
    );
    assert_eq!(spill("100").id.as_deref(), Some("very_small"));
}

/// 40 CFR 262.13, Table 1: more than 1 kg of acute waste, or 100 kg of the residue of an acute spill, in a
/// month make a large generator. Of what nobody knows it may be either.
#[test]
fn unknown_contents_may_be_acute_waste() {
    let unknown = |kind: &str, kg: &str| {
        let batch =
            format!(r#"{{"id": "s", "kind": "{kind}", "status": "spent", "mass_kg": "{kg}"}}"#);
        under("us-federal", &batch).category
    };
    let bottle = unknown("unused_chemical", "1.1");
    assert_eq!(bottle.possible, ["large", "small", "very_small"]);
    assert_eq!(
        unknown("unused_chemical", "1").id.as_deref(),
        Some("very_small")
    );
    assert!(
        unknown("spill_residue", "101")
            .possible
            .contains(&"large".to_owned())
    );
    assert_eq!(
        unknown("spill_residue", "2").id.as_deref(),
        Some("very_small")
    );
}

/// 40 CFR 270.1(c)(2)(v): neutralizing needs no permit for waste that is hazardous only because it is
/// corrosive. Of what nobody knows that cannot be said.
#[test]
fn a_treatment_for_one_property_alone_is_asked_of_unknown_contents() {
    let spill = r#"{"id": "s", "kind": "spill_residue", "status": "spent", "mass_kg": "2"}"#;
    let neutralizing = under("us-federal", spill)
        .treatments
        .into_iter()
        .find(|t| t.authority.id == "us-treatment-neutralization")
        .unwrap();
    assert_eq!(neutralizing.verdict, TreatmentVerdict::Ask);
}
