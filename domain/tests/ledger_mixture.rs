//! What a mixture answers for, and what cannot be.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use spent_silver_domain::answer::Notes;
use spent_silver_domain::batch::{Batch, BatchStatus};
use spent_silver_domain::estimate::estimate_batch;
use spent_silver_domain::ledger::{Entry, fold};
use spent_silver_domain::quantity::Date;
use spent_silver_domain::substance::Group;
use spent_silver_domain::waste::classification::{Hazardous, Site, classify_batch};
use spent_silver_domain::waste::contents::{Certainty, implied_groups};
use spent_silver_domain::waste::rule_set::RuleSet;

/// 40 CFR 268.3(a) (no dilution as a substitute for treatment) and 261.3(d)(1): a characteristic waste that
/// no longer shows its characteristic may leave the system, but not by being thinned; Directive 2008/98/EC,
/// Article 18 forbids to mix it at all.
#[test]
fn a_hazard_stays_known_when_it_is_poured_into_much_weaker_waste() {
    let entries: Vec<Entry> = serde_json::from_str(
        r#"[
        {"id": "1", "on": "2026-01-05", "recorded_by": "A.", "event": {"opened": {"batch": {"id": "jug", "kind": "fixer",
            "craft": "film_and_paper", "status": "spent", "waste_since": "2026-01-05", "volume_l": "1",
            "evidence": [{"laboratory_assay": {"silver_mg_per_l": "500", "measured_on": "2026-01-05"}}]}}}},
        {"id": "2", "on": "2026-01-05", "recorded_by": "A.", "event": {"opened": {"batch": {"id": "etch", "kind": "rinse_water",
            "craft": "film_and_paper", "status": "spent", "waste_since": "2026-01-05", "volume_l": "1", "ph": {"between": ["0.5", "1.5"]},
            "composition": [{"substance": "citric_acid"}]}}}},
        {"id": "3", "on": "2026-01-05", "recorded_by": "A.", "event": {"opened": {"batch": {"id": "drum", "kind": "rinse_water",
            "craft": "film_and_paper", "status": "spent", "waste_since": "2026-01-05", "volume_l": "300",
            "composition": [{"substance": "sodium_sulfate"}],
            "evidence": [{"laboratory_assay": {"silver_mg_per_l": "0.2", "measured_on": "2026-01-05"}}]}}}},
        {"id": "4", "on": "2026-01-06", "recorded_by": "A.", "event": {"transferred": {"from": "jug", "into": "drum", "part": {"all": {}}}}},
        {"id": "5", "on": "2026-01-07", "recorded_by": "A.", "event": {"transferred": {"from": "etch", "into": "drum", "part": {"all": {}}, "incident": "wrong jug"}}},
        {"id": "6", "on": "2026-01-08", "recorded_by": "A.", "event": {"measured": {"batch": "drum", "ph": {"between": ["6", "7"]},
            "reading": {"laboratory_assay": {"silver_mg_per_l": "1.8"}}}}}]"#,
    )
    .unwrap();
    let drum = |last: usize| -> Batch {
        let rules = RuleSet::unspecified();
        let book = fold(&entries[..last], None, rules, &mut Notes::default()).unwrap();
        let (_, holding) = book
            .holdings()
            .find(|(name, _)| name.as_str() == "drum")
            .unwrap();
        holding.batch()
    };
    let classify = |batch: &Batch, rules: &str| {
        let rules = RuleSet::named(rules).unwrap();
        let site = Site::of_nobody(rules, Date::parse("2026-02-01").unwrap());
        let mut notes = Notes::default();
        let estimate = estimate_batch(batch, "", &mut notes).ok();
        classify_batch(batch, estimate.as_ref(), &site, "", &mut notes).unwrap()
    };
    // 1.8 mg/L of the mixture by the sum; the fixer's 500 mg/L was over 5.0 mg/L.
    let mixed = drum(5);
    for code in ["D011", "D002"] {
        let found = classify(&mixed, "us-federal");
        let borne = found.codes.iter().find(|c| c.code == code).unwrap();
        assert_eq!(borne.certainty, Certainty::Presumed, "{code}: {borne:?}");
        assert!(borne.reason.contains("bore it (known)"), "{}", borne.reason);
        assert!(
            borne.reason.contains("40 CFR 261.3(a)(2); 268.3"),
            "{}",
            borne.reason
        );
    }
    // A reading of the mixture rules it out, and what is left is a question.
    let read = classify(&drum(6), "us-federal");
    assert!(read.clean.iter().any(|c| c.code == "D002"));
    assert!(
        read.unknowns
            .iter()
            .any(|u| u.what.contains("without D002") && u.why.contains("thinning"))
    );
    // The fixer is thiosulfate still, whatever the drum is called: no acid goes in.
    assert!(implied_groups(&mixed).holds(Group::Thiosulfate));
}

/// What went in may be stated with a batch: 500 mg/L is over 5.0 mg/L (40 CFR 261.24).
#[test]
fn what_went_in_may_be_stated() {
    let drum: Batch = serde_json::from_str(
        r#"{"id": "drum", "kind": "rinse_water", "status": "spent", "craft": "film_and_paper", "volume_l": "200",
            "mixed_in": [{"from": "jug", "on": "2026-01-06", "kind": "fixer", "status": "spent",
                "craft": "film_and_paper", "silver_mg_per_l": "500"}]}"#,
    )
    .unwrap();
    let rules = RuleSet::named("us-federal").unwrap();
    let site = Site::of_nobody(rules, Date::parse("2026-02-01").unwrap());
    let found = classify_batch(&drum, None, &site, "", &mut Notes::default()).unwrap();
    let silver = found.codes.iter().find(|c| c.code == "D011").unwrap();
    assert!(
        silver
            .reason
            .contains("`jug`, which went into it on 2026-01-06, bore it (known)"),
        "{}",
        silver.reason
    );
}

/// The one fault of these entries: its pointer and words.
fn refused(events: &[&str]) -> (String, String) {
    let list: Vec<Entry> = events
        .iter()
        .enumerate()
        .map(|(i, event)| {
            let text = format!(
                r#"{{"id": "e{i}", "on": "2026-02-0{}", "recorded_by": "A.", "event": {event}}}"#,
                i + 1
            );
            serde_json::from_str(&text).unwrap()
        })
        .collect();
    let faults = fold(&list, None, RuleSet::unspecified(), &mut Notes::default()).unwrap_err();
    assert_eq!(faults.list().len(), 1, "{faults:?}");
    let fault = &faults.list()[0];
    (fault.pointer.clone(), fault.detail.clone())
}

#[test]
fn what_cannot_be_is_refused_where_it_is_entered() {
    let jug = r#"{"opened": {"batch": {"id": "jug", "kind": "fixer", "craft": "film_and_paper", "volume_l": "2"}}}"#;
    let small = r#"{"opened": {"batch": {"id": "small", "kind": "fixer", "craft": "film_and_paper", "container": {"capacity_l": "1"}}}}"#;
    let out = r#"{"collected": {"batch": "jug", "part": {"all": {}}, "haulier": "H."}}"#;
    for (events, pointer, words) in [
        (
            vec![
                jug,
                out,
                r#"{"measured": {"batch": "jug", "volume_l": "1"}}"#,
            ],
            "/entries/2/event/measured/volume_l",
            "is empty",
        ),
        (
            vec![jug, out, r#"{"measured": {"batch": "jug", "ph": "4"}}"#],
            "/entries/2/event/measured/ph",
            "is empty",
        ),
        (
            vec![
                r#"{"opened": {"batch": {"id": "b", "kind": "fixer", "volume_l": "2", "status": "in_use", "waste_since": "2026-01-01"}}}"#,
            ],
            "/entries/0/event/opened/batch/waste_since",
            "at work is no waste",
        ),
        (
            vec![
                r#"{"opened": {"batch": {"id": "b", "kind": "fixer", "volume_l": "2", "made_on": "2026-03-01"}}}"#,
            ],
            "/entries/0/event/opened/batch/made_on",
            "after the day of this entry",
        ),
        (
            vec![
                r#"{"opened": {"batch": {"id": "b", "kind": "fixer", "volume_l": "2", "status": "spent", "waste_since": "2026-01-10", "diluted_on": "2026-01-09"}}}"#,
            ],
            "/entries/0/event/opened/batch/diluted_on",
            "on or after waste_since",
        ),
        (
            vec![r#"{"opened": {"batch": {"id": "b", "kind": "fixer", "ph": "5"}}}"#],
            "/entries/0/event/opened/batch/volume_l",
            "the container is empty",
        ),
        (
            vec![
                r#"{"opened": {"batch": {"id": "b", "kind": "fixer", "volume_l": "5", "container": {"capacity_l": "2"}}}}"#,
            ],
            "/entries/0/event/opened/batch/container/capacity_l",
            "holds so much",
        ),
        (
            vec![
                jug,
                small,
                r#"{"transferred": {"from": "jug", "into": "small", "part": {"all": {}}}}"#,
            ],
            "/entries/2/event/transferred/into",
            "no more than goes into it",
        ),
    ] {
        let (at, detail) = refused(&events);
        assert_eq!(at, pointer, "{detail}");
        assert!(detail.contains(words), "{detail}");
    }
}

/// 40 CFR 261.3(b)(2), from memory: a mixture is hazardous waste from when a hazardous waste is first added to it.
#[test]
fn an_unused_container_that_waste_went_into_is_waste_from_that_waste_s_day() {
    let entries: Vec<Entry> = serde_json::from_str(
        r#"[
        {"id": "1", "on": "2026-01-05", "recorded_by": "A.", "event": {"opened": {"batch": {"id": "jug", "kind": "fixer",
            "craft": "film_and_paper", "status": "spent", "waste_since": "2026-01-05", "volume_l": "1"}}}},
        {"id": "2", "on": "2026-01-05", "recorded_by": "A.", "event": {"opened": {"batch": {"id": "stock", "kind": "fixer",
            "craft": "film_and_paper", "status": "unused", "volume_l": "5"}}}},
        {"id": "3", "on": "2026-01-06", "recorded_by": "A.", "event": {"transferred": {"from": "jug", "into": "stock", "part": {"all": {}}}}}]"#,
    )
    .unwrap();
    let book = fold(
        &entries,
        None,
        RuleSet::unspecified(),
        &mut Notes::default(),
    )
    .unwrap();
    let stock = book
        .holdings()
        .find(|(name, _)| name.as_str() == "stock")
        .unwrap()
        .1
        .batch();
    assert_eq!(stock.status, Some(BatchStatus::Spent));
    assert_eq!(stock.waste_since, Date::parse("2026-01-05").ok());
    assert!(stock.faults("").is_empty());
}

/// 40 CFR 261.3(a)(2): a mixture answers for what went in; of what nobody knows nothing can be ruled out.
#[test]
fn a_mixture_with_something_unknown_is_to_be_tested() {
    let drum = |went_in: &str| -> Batch {
        serde_json::from_str(&format!(
            r#"{{"id": "drum", "kind": "rinse_water", "status": "spent", "craft": "film_and_paper", "volume_l": "20",
                "ph": "7", "composition": [{{"substance": "sodium_sulfate"}}],
                "evidence": [{{"laboratory_assay": {{"silver_mg_per_l": "0.2"}}}}],
                "mixed_in": [{{"from": "jar", "on": "2026-01-06", "kind": "spill_residue", "status": "spent",
                    "composition": [{{"substance": "{went_in}"}}]}}]}}"#
        ))
        .unwrap()
    };
    let rules = RuleSet::named("us-federal").unwrap();
    let site = Site::of_nobody(rules, Date::parse("2026-02-01").unwrap());
    let classify = |went_in: &str| {
        let (batch, mut notes) = (drum(went_in), Notes::default());
        let estimate = estimate_batch(&batch, "", &mut notes).unwrap();
        classify_batch(&batch, Some(&estimate), &site, "", &mut notes)
            .unwrap()
            .hazardous
    };
    assert_eq!(classify("sodium_sulfate"), Hazardous::NotIndicated);
    assert_eq!(classify("mystery_salt"), Hazardous::ToBeTested);
}
