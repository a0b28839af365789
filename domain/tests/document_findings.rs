//! What a classification found reaches the papers: the list of waste, what the law takes a material
//! for, treatments, limits, and what is wrong with the container.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use spent_silver_domain::answer::Severity;
use spent_silver_domain::document::{Block, Document, DocumentRequest, draw_up_document};
use spent_silver_domain::waste::classification::{ClassificationRequest, classify_waste};

fn draw(paper: &str, batch: &Value, rules: &str) -> Document {
    let request = json!({
        "document": {paper: {"batch": batch}}, "on": "2026-11-25", "rule_set": rules
    });
    let request: DocumentRequest = serde_json::from_str(&request.to_string()).unwrap();
    draw_up_document(&request).unwrap().result.document
}

fn says(document: &Document, words: &str) -> bool {
    document.texts().iter().any(|t| t.contains(words))
}

/// The rows of every table.
fn rows(document: &Document) -> impl Iterator<Item = &Vec<String>> {
    let blocks = document.sections.iter().flat_map(|s| &s.blocks);
    blocks
        .filter_map(|b| match b {
            Block::Table { rows, .. } => Some(rows),
            _ => None,
        })
        .flatten()
}

/// The row of a table that begins with these words.
fn row<'a>(document: &'a Document, first: &str) -> Option<&'a Vec<String>> {
    rows(document).find(|r| r[0].starts_with(first))
}

fn fixer() -> Value {
    json!({"id": "fix-a", "kind": "fixer", "craft": "film_and_paper", "status": "spent",
        "volume_l": "18", "waste_since": "2026-09-30",
        "evidence": [{"laboratory_assay": {"silver_mg_per_l": "4000"}}]})
}

const RECORDS: [&str; 2] = ["classification_record", "waste_record"];

#[test]
fn both_records_name_the_entry_of_the_list_of_waste_with_its_clause() {
    for paper in RECORDS {
        let document = draw(paper, &fixer(), "eu");
        // Decision 2000/532/EC, chapter 09 01: fixer solutions, with an asterisk: hazardous.
        let entry = rows(&document).find(|r| r[1] == "fixer solutions").unwrap();
        assert_eq!(entry[0], "09 01 04*");
        assert_eq!(entry[2], "hazardous");
        assert!(entry[3].contains("2000/532/EC"), "{entry:?}");
    }
}

#[test]
fn a_silver_nitrate_bath_has_no_entry_of_its_own_and_the_choice_is_printed() {
    let bath = json!({"id": "bath-1", "kind": "sensitizing_bath", "status": "spent", "volume_l": "2",
        "waste_since": "2026-10-03", "composition": [{"substance": "silver_nitrate", "g_per_l": 90}]});
    let request = json!({"batch": bath, "on": "2026-11-25", "rule_set": "eu"});
    let request: ClassificationRequest = serde_json::from_str(&request.to_string()).unwrap();
    let list = classify_waste(&request).unwrap().result.waste_list.unwrap();
    let choice = list.choice.unwrap();
    for paper in RECORDS {
        let document = draw(paper, &bath, "eu");
        assert!(says(&document, &choice), "{paper}: {choice}");
        for candidate in &list.candidates {
            assert!(
                row(&document, &candidate.code).is_some(),
                "{}",
                candidate.code
            );
        }
    }
}

#[test]
fn both_records_print_the_limit_that_a_rule_sets_on_waste_water() {
    for paper in RECORDS {
        let document = draw(paper, &fixer(), "de");
        // AbwV, Anhang 53, part D(1) no. 1: silver 0.7 mg/L; an assay of 4000 mg/L is far above.
        let limit = row(&document, "silver, 0.7 mg/L").unwrap();
        assert_eq!(limit[1], "at or above", "{limit:?}");
        assert!(limit[3].contains("Anhang 53"), "{limit:?}");
    }
}

#[test]
fn both_records_say_what_may_be_treated_here_and_never_as_a_permission() {
    for paper in RECORDS {
        let document = draw(paper, &fixer(), "us-federal");
        // 40 CFR 260.10: elementary neutralization only for what is hazardous by corrosivity alone; a
        // fixer with D011 is not.
        let treatment = row(&document, "elementary neutralization").unwrap();
        assert_eq!(treatment[1], "no", "{treatment:?}");
        assert!(
            says(&document, "A spent material"),
            "what the law takes it for"
        );
    }
}

#[test]
fn a_rule_that_nobody_read_in_its_own_text_is_marked_on_the_paper() {
    for paper in RECORDS {
        let document = draw(paper, &fixer(), "us-federal");
        // 40 CFR 261.1(c) and 261.2(c)(3) are carried as unverified.
        assert!(says(&document, "UNVERIFIED: 40 CFR 261.1(c)"), "{paper}");
        assert!(
            document
                .warnings()
                .any(|(_, signal, _)| signal == "Unverified rules"),
            "{paper}"
        );
    }
}

#[test]
fn what_is_wrong_with_a_container_is_in_the_classification_and_on_every_paper_of_it() {
    let bath = json!({"id": "bath-1", "kind": "sensitizing_bath", "status": "spent", "volume_l": "1.96",
        "waste_since": "2026-10-03", "composition": [{"substance": "silver_nitrate", "g_per_l": 90}],
        "container": {"material": "steel", "capacity_l": "2", "vented": true, "secondary_containment": false}});
    for rules in ["us-federal", "unspecified"] {
        let request = json!({"batch": bath, "on": "2026-11-25", "rule_set": rules});
        let request: ClassificationRequest = serde_json::from_str(&request.to_string()).unwrap();
        let found = classify_waste(&request).unwrap().result.container_findings;
        let checks: Vec<&str> = found.iter().map(|f| f.check).collect();
        // 98 % full; iron takes silver out of its nitrate (E0 of Ag+/Ag 0.80 V, of Fe2+/Fe -0.44 V).
        assert_eq!(
            checks,
            [
                "container_head_space",
                "container_material",
                "container_bund"
            ]
        );
        for paper in ["classification_record", "waste_record", "container_label"] {
            let document = draw(paper, &bath, rules);
            let (severity, _, lines) = document
                .warnings()
                .find(|(_, signal, _)| *signal == "Container")
                .unwrap();
            assert_eq!(severity, Severity::Caution);
            // The label has said already that it stands in a tray.
            let shown = found
                .iter()
                .filter(|f| paper != "container_label" || f.check != "container_bund");
            for finding in shown {
                let line = lines.iter().find(|l| l.contains(&finding.happens));
                assert!(line.unwrap().contains(&finding.instead), "{paper}");
            }
            assert_eq!(lines.len(), if paper == "container_label" { 2 } else { 3 });
        }
    }
    let mut good = bath;
    good["container"] = json!({"material": "glass", "capacity_l": "4", "vented": true});
    let label = draw("container_label", &good, "us-federal");
    assert!(!label.warnings().any(|(_, signal, _)| signal == "Container"));
}

#[test]
fn a_label_of_a_waste_carries_its_codes_and_none_that_a_test_must_find_first() {
    let label = draw("container_label", &fixer(), "us-federal");
    // 40 CFR 261.24: silver at 4000 mg/L is D011.
    let codes = |document: &Document| {
        document
            .sections
            .iter()
            .flat_map(|s| &s.blocks)
            .find_map(|b| match b {
                Block::Fields { fields } => fields.iter().find(|f| f.label == "Codes"),
                _ => None,
            })
            .and_then(|f| f.value.clone())
    };
    assert_eq!(codes(&label).as_deref(), Some("D011"));
    // At work it is no waste, and bears no code.
    let mut batch = fixer();
    batch["status"] = json!("in_use");
    batch.as_object_mut().unwrap().remove("waste_since");
    assert_eq!(codes(&draw("container_label", &batch, "us-federal")), None);
    // Without a reading, whether a fixer's silver reaches the limit is for a test to find.
    let mut batch = fixer();
    batch.as_object_mut().unwrap().remove("evidence");
    batch["kind"] = json!("rinse_water");
    let shown = codes(&draw("container_label", &batch, "us-federal"));
    assert!(!shown.unwrap_or_default().contains("to be tested"));
}

#[test]
fn a_container_past_its_latest_day_is_said_loudly_with_the_day() {
    let mut batch = fixer();
    batch["waste_since"] = json!("2025-01-10");
    let request = json!({
        "document": {"classification_record": {"batch": batch, "premises": "business",
            "other_hazardous_waste_kg": "200", "other_acute_waste_kg": "0"}},
        "on": "2026-11-25", "rule_set": "us-federal"
    });
    let request: DocumentRequest = serde_json::from_str(&request.to_string()).unwrap();
    let document = draw_up_document(&request).unwrap().result.document;
    let (severity, _, lines) = document
        .warnings()
        .find(|(_, signal, _)| *signal == "Past its latest day")
        .unwrap();
    assert_eq!(severity, Severity::Danger);
    // 40 CFR 262.16(b): 180 days for 100 to 1,000 kg in the month; 2025-01-10 and 180 days is
    // 2025-07-09, 504 days before 2026-11-25.
    assert!(
        lines[0].contains("2025-07-09") && lines[0].contains("504 days"),
        "{lines:?}"
    );
}

/// A log of two containers of fixer, the first waste since `since`.
fn log(since: &str) -> Document {
    let (mut old, mut new) = (fixer(), fixer());
    old["waste_since"] = json!(since);
    new["id"] = json!("fix-b");
    let request = json!({
        "document": {"accumulation_log": {"batches": [old, new], "pours": []}},
        "on": "2026-11-25", "rule_set": "us-federal"
    });
    let request: DocumentRequest = serde_json::from_str(&request.to_string()).unwrap();
    draw_up_document(&request).unwrap().result.document
}

#[test]
fn a_log_names_the_rules_of_its_last_days_once_with_the_containers() {
    let document = log("2026-09-01");
    // 40 CFR 262.17(a): 90 days from 1 September are 30 November; 262.16(b): 180 days are 28 February.
    let row = row(&document, "fix-a").unwrap();
    assert_eq!(row[4], "2026-11-30 or 2027-02-28: ask which");
    let rules: Vec<_> = document.texts();
    let rules: Vec<_> = rules
        .iter()
        .filter(|t| t.starts_with("fix-a, fix-b: "))
        .collect();
    assert_eq!(rules.len(), 2, "{rules:?}");
    assert!(rules[0].contains("90 days") && rules[0].contains("40 CFR 262.17(a)"));
    assert!(rules[1].contains("180 days") && rules[1].contains("40 CFR 262.16(b)"));
    assert!(
        document
            .warnings()
            .all(|(_, signal, _)| signal != "Past its latest day")
    );
}

#[test]
fn a_log_says_loudly_what_may_have_stood_too_long() {
    let document = log("2026-08-01");
    let (severity, _, lines) = document
        .warnings()
        .find(|(_, signal, _)| *signal == "Past its latest day")
        .unwrap();
    // The category is not known, so 90 days may run: until 30 October, 26 days before 25 November.
    assert_eq!(severity, Severity::Caution);
    assert_eq!(lines.len(), 1);
    assert!(
        lines[0].starts_with("fix-a may have had to leave by 2026-10-30: 26 days ago."),
        "{lines:?}"
    );
}

#[test]
fn a_lesser_hazard_does_not_stand_beside_the_graver_one() {
    let holds = ["silver_nitrate", "ethanol", "diethyl_ether"].map(|s| json!({"substance": s}));
    let bath = json!({"id": "bath-1", "kind": "sensitizing_bath", "status": "in_use", "composition": holds});
    let label = draw("container_label", &bath, "unspecified");
    // CLP, Annex VI: diethyl ether is H224, ethanol H225; Article 27 asks for no redundant statement.
    assert!(says(&label, "Extremely flammable liquid and vapour."));
    assert!(!says(&label, "Highly flammable liquid and vapour."));
}

#[test]
fn containers_of_which_the_same_is_said_share_a_row_of_the_wall_sheet() {
    let jug = |id: &str, kind: &str| json!({"id": id, "kind": kind, "status": "spent", "craft": "film_and_paper"});
    let request = json!({
        "document": {"wall_sheet": {"batches": [jug("fix-a", "fixer"), jug("dev", "developer"), jug("fix-b", "fixer")]}},
        "on": "2026-11-25"
    });
    let request: DocumentRequest = serde_json::from_str(&request.to_string()).unwrap();
    let sheet = draw_up_document(&request).unwrap().result.document;
    assert!(row(&sheet, "fix-a, fix-b").is_some());
    assert!(row(&sheet, "dev").is_some());
}
