//! Rule-set files with faults, and the European rules at their own boundaries.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use spent_silver_domain::fault::FaultKind;
use spent_silver_domain::waste::classification::{
    Classification, ClassificationRequest, HazardCode, Hazardous, LocalVerdict, TreatmentVerdict,
    classify_waste,
};
use spent_silver_domain::waste::contents::Certainty;
use spent_silver_domain::waste::rule_set::{RuleSet, RuleUnit};
use std::collections::BTreeSet;

fn classify(rules: &str, batch: &str) -> Classification {
    let request: ClassificationRequest = serde_json::from_str(&format!(
        r#"{{"batch": {batch}, "on": "2026-11-25", "rule_set": "{rules}"}}"#
    ))
    .unwrap();
    classify_waste(&request).unwrap().result
}

fn bottle(parts: &[(&str, &str)]) -> Classification {
    let parts: Vec<String> = parts
        .iter()
        .map(|(id, percent)| format!(r#"{{"substance": "{id}", "percent_w_w": "{percent}"}}"#))
        .collect();
    classify(
        "eu",
        &format!(
            r#"{{"id": "b", "kind": "unused_chemical", "status": "unused", "mass_kg": "1",
                "composition": [{}]}}"#,
            parts.join(", ")
        ),
    )
}

fn code<'a>(result: &'a Classification, code: &str) -> Option<&'a HazardCode> {
    result.codes.iter().find(|c| c.code == code)
}

/// Directive 2008/98/EC, Annex III: each sum just below its limit, at it, and just above.
#[test]
fn a_hazard_property_begins_at_its_limit() {
    for (property, substance, below, at, above) in [
        // HP 8: H314 1A to 1C, 5 %. Silver nitrate is 1B.
        ("HP 8", "silver_nitrate", "4.99", "5", "5.01"),
        // HP 14: 100 x H410 at 25 %, so 0.25 % of one substance.
        ("HP 14", "silver_nitrate", "0.249", "0.25", "0.251"),
        // HP 6: H300 category 2 and H310 category 1, 0.25 %.
        ("HP 6", "potassium_cyanide", "0.249", "0.25", "0.251"),
        // HP 4: H315 and H319, 20 %; H318, 10 %.
        ("HP 4", "sodium_carbonate", "19.9", "20", "20.1"),
        ("HP 4", "sodium_metabisulfite", "9.99", "10", "10.1"),
        // HP 6: H302, 25 %.
        ("HP 6", "sodium_dithionite", "24.9", "25", "25.1"),
        // HP 7: H351, 1 %. Cadmium iodide is category 2, not 1.
        ("HP 7", "cadmium_iodide", "0.99", "1", "1.01"),
    ] {
        let low = bottle(&[(substance, below)]);
        assert!(code(&low, property).is_none(), "{property} {substance}");
        assert!(
            low.clean.iter().any(|c| c.code == property),
            "{property} {substance}"
        );
        for percent in [at, above] {
            let found = bottle(&[(substance, percent)]);
            let found = code(&found, property).unwrap();
            assert_eq!(found.certainty, Certainty::Known, "{property} {substance}");
            assert!(found.authority.id.starts_with("eu-hp") && found.figure.is_some());
        }
    }
}

/// A share that was stated with its uncertainty: known where all of it lies at the limit or above,
/// presumed where only the figure does, and to be tested where the uncertainty alone reaches it. The
/// limit is that of HP 8 (Directive 2008/98/EC, Annex III), 5 %; a half-width is added as it stands.
#[test]
fn a_share_reaches_as_far_as_was_said_of_it() {
    for (percent, expected) in [
        ("5.4", Some(Certainty::Known)),
        ("5.1", Some(Certainty::Presumed)),
        ("4.9", Some(Certainty::ToBeTested)),
        ("4.6", None),
    ] {
        let result = classify(
            "eu",
            &format!(
                r#"{{"id": "b", "kind": "unused_chemical", "status": "unused", "mass_kg": "1", "composition":
                [{{"substance": "silver_nitrate", "percent_w_w": {{"value": "{percent}", "plus_minus": "0.3"}}}}]}}"#
            ),
        );
        let found = code(&result, "HP 8").map(|c| c.certainty);
        assert_eq!(found, expected, "{percent} +- 0.3 %");
    }
}

/// AVV, Anlage, no. 2: a substance below its cut-off is left out of the sum. 4.5 % and 0.9 % of two
/// corrosive substances make 4.5 %; 4.5 % and 1 % make 5.5 %.
#[test]
fn a_share_below_the_cut_off_is_left_out() {
    let left_out = bottle(&[("silver_nitrate", "4.5"), ("sodium_sulfide", "0.9")]);
    assert!(code(&left_out, "HP 8").is_none());
    let counted = bottle(&[("silver_nitrate", "4.5"), ("sodium_sulfide", "1")]);
    assert!(code(&counted, "HP 8").is_some());
    // HP 14 cuts off at 0.1 %: 3 x 0.09 % of H410 would else be 27.
    let many = bottle(&[
        ("silver_nitrate", "0.09"),
        ("cadmium_iodide", "0.09"),
        ("sodium_hypochlorite", "0.09"),
    ]);
    assert!(code(&many, "HP 14").is_none());
}

/// Annex VI: sodium hydroxide is corrosive 1A from 5 %, 1B from 2 %, and irritant from 0.5 %.
#[test]
fn a_class_that_begins_at_a_share_begins_there() {
    let weak = bottle(&[("sodium_hydroxide", "1.9")]);
    assert!(code(&weak, "HP 8").is_none());
    assert!(code(&bottle(&[("sodium_hydroxide", "5")]), "HP 8").is_some());
}

/// Annex III: where HP 8 is given, HP 4 is not.
#[test]
fn what_is_corrosive_is_not_called_irritant_too() {
    let lye = bottle(&[("sodium_hydroxide", "10")]);
    assert!(code(&lye, "HP 8").is_some() && code(&lye, "HP 4").is_none());
}

/// A bath of 9 % w/v: 90 g/L of silver nitrate at about 1.08 kg/L is 8.3 % by mass.
#[test]
fn a_silver_bath_has_properties_by_calculation_and_no_line_of_its_own() {
    let batch = r#"{"id": "b", "kind": "sensitizing_bath", "craft": "salted_paper", "status": "spent",
        "volume_l": "1", "density_g_per_ml": "1.08",
        "composition": [{"substance": "silver_nitrate", "g_per_l": "90"}]}"#;
    for rules in ["eu", "de", "gb-england"] {
        let bath = classify(rules, batch);
        assert_eq!(code(&bath, "HP 8").unwrap().certainty, Certainty::Known);
        assert_eq!(code(&bath, "HP 14").unwrap().certainty, Certainty::Known);
        let list = bath.waste_list.unwrap();
        let codes: Vec<&str> = list.candidates.iter().map(|c| c.code.as_str()).collect();
        assert_eq!(codes, ["09 01 99", "06 03 13*", "16 05 07*"]);
        assert!(list.choice.unwrap().contains("no line of its own"));
    }
}

/// The list of waste: fixer is 09 01 04*, and stays hazardous as 09 01 13* when its silver is out.
#[test]
fn a_fixer_is_hazardous_by_its_entry_before_and_after() {
    for (status, entry) in [("spent", "09 01 04*"), ("treated", "09 01 13*")] {
        let fixer = classify(
            "eu",
            &format!(
                r#"{{"id": "f", "kind": "fixer", "craft": "film_and_paper", "status": "{status}"}}"#
            ),
        );
        assert_eq!(code(&fixer, entry).unwrap().certainty, Certainty::Known);
        assert_eq!(fixer.hazardous, Hazardous::Known);
    }
    let film = classify(
        "eu",
        r#"{"id": "s", "kind": "film_and_paper", "status": "spent"}"#,
    );
    assert_eq!(film.waste_list.unwrap().candidates[0].code, "09 01 07");
}

/// Exemption T30 (28 April 2014) names 09 01 06* and 09 01 07 and nothing else.
#[test]
fn the_english_exemption_reaches_only_the_codes_it_names() {
    let holding = |kind: &str, amount: &str| {
        let batch = format!(
            r#"{{"id": "x", "kind": "{kind}", "craft": "film_and_paper", "status": "spent"{amount}}}"#
        );
        let found = classify("gb-england", &batch);
        let t30 = found
            .treatments
            .into_iter()
            .find(|t| t.authority.id == "gb-england-t30")
            .unwrap();
        assert!(t30.text.contains("sealed drainage"));
        t30.verdict
    };
    let verdict = |kind: &str| holding(kind, "");
    // It is for no more than 1,000 litres at a time.
    for (litres, expected) in [
        ("999", TreatmentVerdict::OnItsCondition),
        ("1000", TreatmentVerdict::OnItsCondition),
        ("1001", TreatmentVerdict::DoesNotFit),
    ] {
        let amount = format!(r#", "volume_l": "{litres}""#);
        assert_eq!(holding("sludge", &amount), expected, "{litres}");
    }
    assert_eq!(verdict("sludge"), TreatmentVerdict::OnItsCondition);
    assert_eq!(verdict("fixer"), TreatmentVerdict::DoesNotFit);
    assert_eq!(verdict("sensitizing_bath"), TreatmentVerdict::DoesNotFit);
}

/// 40 CFR 270.1(c)(2)(v): for waste that is hazardous only because it is corrosive.
#[test]
fn a_silver_bath_never_qualifies_as_elementary_neutralization() {
    let verdict = |batch: &str| {
        classify("us-federal", batch)
            .treatments
            .into_iter()
            .find(|t| t.authority.id == "us-treatment-neutralization")
            .map(|t| t.verdict)
    };
    let bath = r#"{"id": "b", "kind": "sensitizing_bath", "craft": "salted_paper", "status": "spent",
        "ph": {"value": "1", "standard_uncertainty": "0.1"}}"#;
    assert_eq!(verdict(bath), Some(TreatmentVerdict::DoesNotFit));
}

/// AbwV Anhang 53 D(1) no. 1: 0.7 mg/L of silver in treated baths, before mixing.
#[test]
fn the_german_limit_is_kept_at_its_figure_and_broken_above() {
    let silver = |mg: &str| {
        let batch = format!(
            r#"{{"id": "f", "kind": "fixer", "craft": "film_and_paper", "status": "treated",
                "volume_l": {{"value": "2", "standard_uncertainty": "0"}},
                "evidence": [{{"laboratory_assay": {{"silver_mg_per_l":
                    {{"value": "{mg}", "standard_uncertainty": "0"}}}}}}]}}"#
        );
        let found = classify("de", &batch);
        let limit = found
            .discharge_limits
            .into_iter()
            .find(|l| l.element == "silver")
            .unwrap();
        assert_eq!(limit.limit_mg_per_l.decimal().to_string(), "0.7");
        limit.verdict
    };
    assert_eq!(silver("0.69"), LocalVerdict::AssayBelow);
    assert_eq!(silver("0.7"), LocalVerdict::AssayBelow);
    assert_eq!(silver("0.71"), LocalVerdict::AtOrAbove);
}

#[test]
fn every_rule_has_an_id_of_its_own_and_a_unit_where_it_has_a_value() {
    for rules in RuleSet::all() {
        let ids: BTreeSet<&str> = rules.rules.iter().map(|r| r.id.as_str()).collect();
        assert_eq!(ids.len(), rules.rules.len(), "{}", rules.id);
        for rule in &rules.rules {
            assert_eq!(rule.value.is_some(), rule.unit.is_some(), "{}", rule.id);
            assert!(
                !rule.clause.is_empty() && !rule.edition.is_empty(),
                "{}",
                rule.id
            );
        }
    }
}

const OWN: &str = r#"
id = "our-town"
title = "Federal rules and the town's permit"
edition = "3 March 2026"
extends = "us-federal"

[[rule]]
id = "us-d011-silver"
quantity = "element_in_extract"
applies_to = "the extract, by the state's stricter table"
code = "D011"
element = "silver"
comparison = "at_or_above"
value = "1.0"
unit = "mg/L"
clause = "table 2"
source = "state code"
edition = "2026"
status = "read_primary"

[[rule]]
id = "town-silver"
quantity = "discharge_limit"
applies_to = "every discharge"
element = "silver"
comparison = "below"
value = "0.43"
unit = "mg/L"
sampling_point = "the kerb"
averaging = "grab sample"
dilution_allowed = false
clause = "4"
source = "permit"
edition = "2026"
status = "read_primary"
"#;

fn read(text: &str) -> Result<RuleSet, Vec<(FaultKind, String)>> {
    let shipped: Vec<RuleSet> = RuleSet::all().cloned().collect();
    RuleSet::read(text, &shipped).map_err(|faults| {
        faults
            .list()
            .iter()
            .map(|f| (f.kind, f.pointer.clone()))
            .collect()
    })
}

#[test]
fn a_file_of_ones_own_replaces_a_rule_and_adds_one() {
    let rules = read(OWN).unwrap();
    let shipped = RuleSet::named("us-federal").unwrap();
    assert_eq!(rules.rules.len(), shipped.rules.len() + 1);
    assert_eq!(rules.toxicity.len(), shipped.toxicity.len());
    let silver = rules
        .toxicity
        .iter()
        .find(|t| t.element == "silver")
        .unwrap();
    assert_eq!(silver.limit_mg_per_l.decimal().to_string(), "1");
    assert_eq!(rules.notice, shipped.notice);
    assert_eq!(
        rules.rules.last().unwrap().unit,
        Some(RuleUnit::MilligramsPerLitre)
    );
}

#[test]
fn every_fault_of_a_file_is_named_with_its_place() {
    for (from, to, kind, pointer) in [
        ("clause = \"4\"\n", "", FaultKind::Missing, "/rule/1/clause"),
        (
            "id = \"town-silver\"",
            "id = \"us-d011-silver\"",
            FaultKind::Conflict,
            "/rule/1/id",
        ),
        (
            "value = \"0.43\"\nunit = \"mg/L\"",
            "value = \"0.43\"\nunit = \"ppb\"",
            FaultKind::Unknown,
            "/rule/1/unit",
        ),
        (
            "value = \"0.43\"\nunit = \"mg/L\"",
            "value = \"0.43\"\nunit = \"kg\"",
            FaultKind::Conflict,
            "/rule/1/unit",
        ),
        (
            "value = \"0.43\"",
            "value = \"few\"",
            FaultKind::OutOfRange,
            "/rule/1/value",
        ),
        (
            "extends = \"us-federal\"",
            "extends = \"atlantis\"",
            FaultKind::Unknown,
            "/extends",
        ),
        (
            "id = \"our-town\"",
            "id = \"eu\"",
            FaultKind::Conflict,
            "/id",
        ),
        (
            "averaging = \"grab sample\"\n",
            "",
            FaultKind::Missing,
            "/rule/1/averaging",
        ),
        (
            "dilution_allowed = false\n",
            "",
            FaultKind::Missing,
            "/rule/1/dilution_allowed",
        ),
        (
            "clause = \"4\"",
            "clause = \"4\"\ncolour = \"red\"",
            FaultKind::Unknown,
            "/rule/1/colour",
        ),
        (
            "clause = \"4\"",
            "clause = \"4\"\ncategories = [\"tiny\"]",
            FaultKind::Unknown,
            "/rule/1/categories/0",
        ),
        (
            "quantity = \"discharge_limit\"",
            "quantity = \"wish\"",
            FaultKind::Unknown,
            "/rule/1/quantity",
        ),
        (
            "comparison = \"below\"",
            "comparison = \"above\"",
            FaultKind::Conflict,
            "/rule/1/comparison",
        ),
    ] {
        assert!(OWN.contains(from), "{from}");
        let faults = read(&OWN.replace(from, to)).unwrap_err();
        assert!(
            faults.contains(&(kind, pointer.to_owned())),
            "{pointer}: {faults:?}"
        );
    }
    let two = OWN
        .replace("clause = \"4\"\n", "")
        .replace("averaging = \"grab sample\"\n", "");
    assert_eq!(read(&two).unwrap_err().len(), 2);
    assert_eq!(read("id = ").unwrap_err()[0].0, FaultKind::OutOfRange);
}
