//! What labels, records and worksheets must say.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use spent_silver_domain::answer::{Answer, Severity};
use spent_silver_domain::batch::BatchKind;
use spent_silver_domain::bibliography::reference;
use spent_silver_domain::document::{
    Block, Desk, Document, DocumentRequest, PaperAnswer, PaperSize, Procedure, document_sources,
    draw_up_document, worksheet,
};
use spent_silver_domain::fault::{FaultKind, Faults};
use spent_silver_domain::procedure::{Refusal, Step};
use spent_silver_domain::quantity::Date;
use spent_silver_domain::waste::rule_set::RuleSet;

fn draw(request: &Value) -> Result<Answer<PaperAnswer>, Faults> {
    let request: DocumentRequest = serde_json::from_str(&request.to_string()).unwrap();
    draw_up_document(&request)
}

fn spent_bath() -> Value {
    json!({
        "id": "bath-1", "kind": "sensitizing_bath", "status": "spent", "craft": "collodion",
        "volume_l": {"value": "1.85", "standard_uncertainty": "0.02"},
        "made_on": "2026-03-02", "waste_since": "2026-10-03",
        "composition": [{"substance": "silver_nitrate", "g_per_l": 90}],
        "evidence": [{"stated": {"silver_g": {"value": "97.31", "standard_uncertainty": "1.234"}, "source": "the bottle"}}]
    })
}

fn label(batch: &Value, rule_set: &str) -> Value {
    json!({
        "document": {"container_label": {"batch": batch}},
        "on": "2026-11-25",
        "studio": {"name": "Lamp & Plate"},
        "rule_set": rule_set
    })
}

fn record(batch: &Value) -> Value {
    json!({
        "document": {"waste_record": {"batch": batch, "waste_codes": ["D011"], "reasons": ["Silver is above 5.0 mg/L"], "carrier": "Marsh Carriers", "sent_on": "2026-11-26"}},
        "on": "2026-11-25",
        "studio": {"name": "Lamp & Plate", "telephone": "000-1234"},
        "rule_set": "us-federal"
    })
}

fn says(document: &Document, words: &str) -> bool {
    document.texts().iter().any(|t| t.contains(words))
}

#[test]
fn a_waste_label_under_federal_rules_has_the_words_the_hazard_and_the_start_date() {
    let answer = draw(&label(&spent_bath(), "us-federal")).unwrap();
    let document = &answer.result.document;
    // 40 CFR 262.16(b)(6)(i): the words, an indication of the hazards, and the start date.
    let banner = document
        .sections
        .iter()
        .flat_map(|s| &s.blocks)
        .find_map(|b| match b {
            Block::Banner { text } => Some(text.as_str()),
            _ => None,
        });
    assert_eq!(banner, Some("HAZARDOUS WASTE"));
    assert!(says(document, "2026-10-03"));
    assert!(
        document
            .warnings()
            .any(|(s, signal, _)| s == Severity::Danger && signal == "Danger")
    );
    assert!(says(document, "severe skin burns"));
    assert!(says(document, "Never add ammonia"));
    assert_eq!(document.title, "Spent silver nitrate bath");
}

#[test]
fn a_working_bath_is_not_called_waste() {
    let mut batch = spent_bath();
    batch["status"] = json!("in_use");
    batch.as_object_mut().unwrap().remove("waste_since");
    let answer = draw(&label(&batch, "us-federal")).unwrap();
    assert!(!says(&answer.result.document, "HAZARDOUS WASTE"));
    assert!(!says(&answer.result.document, "Waste since"));
    assert_eq!(answer.result.document.title, "Silver nitrate bath, in use");
}

#[test]
fn words_come_from_the_rules_and_a_classification_can_take_them_off() {
    let answer = draw(&label(&spent_bath(), "unspecified")).unwrap();
    assert!(!says(&answer.result.document, "HAZARDOUS WASTE"));
    let mut request = label(&spent_bath(), "us-federal");
    request["document"]["container_label"]["hazardous"] = json!(false);
    assert!(!says(
        &draw(&request).unwrap().result.document,
        "HAZARDOUS WASTE"
    ));
}

#[test]
fn a_missing_start_date_and_telephone_are_lines_to_fill_in() {
    let mut batch = spent_bath();
    batch.as_object_mut().unwrap().remove("waste_since");
    let answer = draw(&label(&batch, "us-federal")).unwrap();
    let blank = |name: &str| {
        answer
            .result
            .document
            .sections
            .iter()
            .flat_map(|s| &s.blocks)
            .any(|b| match b {
                Block::Fields { fields } => {
                    fields.iter().any(|f| f.label == name && f.value.is_none())
                }
                _ => false,
            })
    };
    assert!(blank("Waste since"));
    assert!(blank("Telephone"));
}

#[test]
fn a_collodion_fixer_of_unstated_type_is_labelled_as_cyanide() {
    let batch = json!({"id": "fix", "kind": "fixer", "craft": "collodion", "status": "spent"});
    let answer = draw(&label(&batch, "us-federal")).unwrap();
    let document = &answer.result.document;
    let (severity, _, lines) = document
        .warnings()
        .find(|(_, s, _)| *s == "Cyanide")
        .unwrap();
    assert_eq!(severity, Severity::Danger);
    assert!(lines.iter().any(|l| l.contains("licensed contractor")));
    assert!(!says(document, "Vented cap"), "cyanide stays closed");
    let record = draw(&record(&batch)).unwrap();
    assert!(
        record
            .result
            .document
            .warnings()
            .any(|(_, s, _)| s == "Cyanide")
    );
}

#[test]
fn silver_is_printed_to_what_its_uncertainty_supports() {
    // 97.31 g with 1.234 g: two digits of uncertainty, value to the same place (JCGM 100, 7.2.6).
    let answer = draw(&label(&spent_bath(), "us-federal")).unwrap();
    assert!(
        says(&answer.result.document, "97.3 ± 1.2 g"),
        "{:?}",
        answer.result.document.texts()
    );
    assert!(says(&answer.result.document, "1.850 ± 0.020 L"));
    assert!(answer.result.estimate.is_some());
}

/// 40 CFR 264 Appendix V, groups 5 (cyanide and sulfide with acid) and 6, and the chart of
/// EPA-600/2-80-076 (acid with hypochlorite: toxic gas). A splash is rinsed for 15 minutes.
#[test]
fn the_label_of_a_bottle_says_what_kills_and_what_to_do_after_a_splash() {
    let splash = ["rinse with water for 15 minutes", "goggles and gloves"];
    for (substance, splashed, never) in [
        (
            "hydrochloric_acid",
            true,
            &[
                "Never with bleach, cyanide, sulfide or fixer",
                "acid into the water",
            ][..],
        ),
        (
            "sulfuric_acid",
            true,
            &["Never with bleach, cyanide", "acid into the water"],
        ),
        (
            "nitric_acid",
            true,
            &[
                "Never with bleach, cyanide",
                "alcohol, ether, collodion, paper or metal",
            ],
        ),
        (
            "acetic_acid",
            true,
            &["Never with bleach, cyanide, sulfide or fixer"],
        ),
        (
            "sodium_hydroxide",
            true,
            &["Never with acid, aluminium or zinc"],
        ),
        (
            "ammonia",
            true,
            &["Never with bleach, silver, gold or iodine"],
        ),
        (
            "sodium_hypochlorite",
            true,
            &["Never with acid, ammonia, cyanide or fixer"],
        ),
        (
            "formaldehyde",
            true,
            &[
                "Never with hydrochloric acid, peroxide or permanganate",
                "fresh air",
            ],
        ),
        (
            "potassium_cyanide",
            true,
            &["Never with acid or bleach: a gas that kills"],
        ),
        (
            "sodium_sulfide",
            true,
            &["Never with acid or bleach: hydrogen sulfide"],
        ),
        (
            "sodium_sulfite",
            false,
            &["Never with acid: sulfur dioxide"],
        ),
        (
            "potassium_permanganate",
            false,
            &["anything that burns", "Never with acid, fixer"],
        ),
        ("silver_nitrate", true, &["anything that burns"]),
    ] {
        let bottle = json!({
            "id": "bottle", "kind": "unused_chemical", "status": "unused",
            "composition": [{"substance": substance}]
        });
        let answer = draw(&label(&bottle, "us-federal")).unwrap();
        let document = &answer.result.document;
        for words in never.iter().chain(splash.iter().filter(|_| splashed)) {
            assert!(says(document, words), "{substance}: {words}");
        }
    }
    // A fixer says it once, in the words of its kind.
    let fixer = json!({
        "id": "f", "kind": "fixer", "status": "spent",
        "composition": [{"substance": "sodium_thiosulfate"}]
    });
    let answer = draw(&label(&fixer, "us-federal")).unwrap();
    assert!(says(&answer.result.document, "Never add acid"));
    assert!(!says(&answer.result.document, "Never with acid"));
}

#[test]
fn every_kind_of_container_has_a_label_that_says_what_never_to_do() {
    let kinds = [
        "sensitizing_bath",
        "fixer",
        "cyanide_fixer",
        "bleach_fix",
        "developer",
        "stop_bath",
        "drip",
        "rinse_water",
        "toner",
        "intensifier_or_reducer",
        "ammoniacal_silver",
        "collodion_or_solvent",
        "sludge",
        "wipes_and_filters",
        "film_and_paper",
        "glass_plates",
        "spent_cartridge",
        "spill_residue",
        "unused_chemical",
    ];
    for kind in kinds {
        let kind: BatchKind = serde_json::from_value(json!(kind)).unwrap();
        for status in ["in_use", "spent", "unused", "treated"] {
            let batch = json!({"id": "x", "kind": kind, "status": status});
            let answer = draw(&label(&batch, "unspecified")).unwrap();
            let never = answer
                .result
                .document
                .warnings()
                .find(|(_, s, _)| *s == "Never");
            assert!(
                never.is_some_and(|(_, _, lines)| !lines.is_empty()),
                "{kind:?}"
            );
            assert!(answer.result.document.title.starts_with(char::is_uppercase));
        }
    }
}

#[test]
fn a_record_says_what_how_much_since_when_where_who_and_how_long() {
    let answer = draw(&record(&spent_bath())).unwrap();
    let document = &answer.result.document;
    for words in [
        "silver nitrate",
        "90 g/L",
        "2026-10-03",
        "97.3 ± 1.2 g",
        "D011",
        "above 5.0 mg/L",
        "Marsh Carriers",
        "For the studio",
        "three years",
        "Ask your state waste agency",
    ] {
        assert!(says(document, words), "{words}");
    }
    let of_the_waste = answer
        .assumptions
        .iter()
        .filter(|a| a.field != "/paper_size");
    for assumption in of_the_waste {
        assert!(says(document, &assumption.text), "{}", assumption.text);
    }
}

#[test]
fn every_warning_of_the_answer_is_on_the_paper() {
    let mut batch = spent_bath();
    batch.as_object_mut().unwrap().remove("status");
    batch.as_object_mut().unwrap().remove("waste_since");
    for request in [
        label(&batch, "us-federal"),
        label(&spent_bath(), "us-federal"),
        record(&batch),
    ] {
        let mut request = request;
        if let Some(record) = request["document"].get_mut("waste_record") {
            record.as_object_mut().unwrap().remove("sent_on");
        }
        let answer = draw(&request).unwrap();
        for warning in &answer.warnings {
            let shown = answer
                .result
                .document
                .warnings()
                .any(|(severity, _, lines)| {
                    severity == warning.severity && lines.contains(&warning.text)
                });
            assert!(shown, "{}", warning.text);
        }
        assert!(says(&answer.result.document, &answer.notice.text));
    }
    let answer = draw(&label(&batch, "us-federal")).unwrap();
    assert!(
        !answer.warnings.is_empty(),
        "an unstated status is warned of"
    );
}

#[test]
fn an_unknown_substance_is_not_known_to_be_safe() {
    let mut batch = spent_bath();
    batch["composition"][0]["substance"] = json!("moon_dust");
    let answer = draw(&label(&batch, "unspecified")).unwrap();
    assert!(says(
        &answer.result.document,
        "moon_dust (not known to be safe with anything)"
    ));
}

#[test]
fn a_worksheet_prints_cautions_with_their_step_and_a_refusal_prints_no_step() {
    let desk = Desk {
        on: Date::parse("2026-11-25").unwrap(),
        studio: None,
        rules: RuleSet::unspecified(),
        paper_size: PaperSize::A4,
    };
    let steps = [
        Step::new("Put on goggles."),
        Step::new("Stir in the salt.")
            .caution("Slowly.")
            .done_when("No more cloud forms."),
    ];
    let sheet = worksheet(
        "Salt out bath-1",
        "bath-1",
        &["A scale".to_owned()],
        Procedure::Steps(&steps),
        desk,
    );
    for words in [
        "Put on goggles.",
        "Slowly.",
        "No more cloud forms.",
        "A scale",
        "Done by",
    ] {
        assert!(says(&sheet, words), "{words}");
    }
    let refusal = Refusal {
        reason: "Cyanide.".to_owned(),
        never: vec!["Never add acid.".to_owned()],
        instead: vec!["Keep it closed.".to_owned()],
        call: vec!["A licensed contractor.".to_owned()],
    };
    let sheet = worksheet(
        "Salt out fix",
        "fix",
        &[],
        Procedure::Refused(&refusal),
        desk,
    );
    for words in [
        "Cyanide.",
        "Never add acid.",
        "Keep it closed.",
        "A licensed contractor.",
    ] {
        assert!(says(&sheet, words), "{words}");
    }
    assert!(
        !sheet
            .sections
            .iter()
            .flat_map(|s| &s.blocks)
            .any(|b| matches!(b, Block::Steps { .. }))
    );
}

#[test]
fn every_source_of_a_document_resolves() {
    for key in document_sources() {
        assert!(reference(key).is_some(), "{key}");
    }
    for request in [label(&spent_bath(), "us-federal"), record(&spent_bath())] {
        for key in draw(&request).unwrap().references {
            assert!(reference(key).is_some(), "{key}");
        }
    }
}

#[test]
fn a_record_without_codes_says_what_the_rules_say_and_how_surely() {
    let mut request = record(&spent_bath());
    let own = request["document"]["waste_record"].as_object_mut().unwrap();
    own.remove("waste_codes");
    own.remove("reasons");
    let answer = draw(&request).unwrap();
    let document = &answer.result.document;
    // 40 CFR 261.24(b), table 1: silver is D011 from 5.0 mg/L; a silver nitrate bath is far above.
    assert!(says(document, "D011"));
    assert!(says(document, "40 CFR 261.24"));
    assert!(says(document, "nobody has tested it for this paper"));
    assert!(answer.references.contains(&"cfr40_261_24"));
    assert!(!says(document, "No classification is attached"));

    // What the person says stands alone: the rules are not asked over their head.
    request["document"]["waste_record"]["reasons"] = json!(["The authority's letter of 3 May"]);
    let document = draw(&request).unwrap().result.document;
    assert!(says(&document, "The authority's letter of 3 May"));
    assert!(!says(&document, "D011"));

    // Rules that name no code leave the question open.
    let own = request["document"]["waste_record"].as_object_mut().unwrap();
    own.remove("reasons");
    request["rule_set"] = json!("unspecified");
    let document = draw(&request).unwrap().result.document;
    assert!(says(&document, "Until there is one, treat it as hazardous"));
}

#[test]
fn bad_papers_are_named_by_their_place() {
    let mut request = record(&spent_bath());
    request["document"]["waste_record"]["sent_on"] = json!("2026-10-02");
    let faults = draw(&request).unwrap_err();
    assert_eq!(faults.list()[0].pointer, "/document/waste_record/sent_on");
    assert_eq!(faults.list()[0].kind, FaultKind::DateOrder);
    let mut request = record(&spent_bath());
    request["document"]["waste_record"]["waste_codes"] = json!(vec!["D011"; 21]);
    assert_eq!(
        draw(&request).unwrap_err().list()[0].kind,
        FaultKind::TooMany
    );
    let mut request = label(&spent_bath(), "us-federal");
    request["document"]["container_label"]["batch"]["waste_since"] = json!("2026-01-01");
    assert_eq!(
        draw(&request).unwrap_err().list()[0].pointer,
        "/document/container_label/batch/waste_since"
    );
    for bad in [
        json!({"document": {"poster": {}}, "on": "2026-11-25"}),
        json!({"document": {"container_label": {"batch": spent_bath()}}}),
        json!({"document": {"container_label": {"batch": spent_bath(), "colour": 1}}, "on": "2026-11-25"}),
    ] {
        assert!(
            serde_json::from_str::<DocumentRequest>(&bad.to_string()).is_err(),
            "{bad}"
        );
    }
}

fn bench_sheet(batch: &Value, procedure: &str) -> Document {
    let request = json!({
        "document": {"worksheet": {"batch": batch, "procedure": procedure}},
        "on": "2026-11-25", "rule_set": "us-federal"
    });
    draw(&request).unwrap().result.document
}

#[test]
fn a_reading_has_a_worksheet_with_a_line_for_every_figure_its_estimate_asks_for() {
    let bath = json!({"id": "bath-1", "kind": "sensitizing_bath", "status": "in_use",
        "craft": "salted_paper", "volume_l": 2, "composition": [{"substance": "silver_nitrate"}]});
    for (procedure, lines) in [
        (
            "volhard_titration",
            // Members of the titration: sample_ml, diluted_to_ml, aliquot_ml, thiocyanate_mol_per_l,
            // titre_ml, blank_ml.
            &[
                "Sample",
                "Filled up to",
                "Aliquot",
                "Thiocyanate",
                "Titres",
                "Blank",
            ][..],
        ),
        (
            // Members of the weighing: sample_ml, dry_silver_chloride_g, scale_resolution_g.
            "chloride_weighing",
            &["Sample", "Dry silver chloride", "The scale shows"][..],
        ),
    ] {
        let sheet = bench_sheet(&bath, procedure);
        let blanks: Vec<&String> = sheet
            .sections
            .iter()
            .flat_map(|s| &s.blocks)
            .filter_map(|b| match b {
                Block::Blanks { blanks } => Some(blanks),
                _ => None,
            })
            .flatten()
            .collect();
        for line in lines {
            assert!(
                blanks.iter().any(|b| b.starts_with(line)),
                "{line}: {blanks:?}"
            );
        }
        assert!(says(&sheet, "Goggles"), "{procedure}");
    }
}

#[test]
fn a_worksheet_is_refused_where_its_procedure_is_dangerous() {
    let cyanide = json!({"id": "jug", "kind": "cyanide_fixer", "status": "spent", "volume_l": 1});
    let fixer = json!({"id": "fix", "kind": "fixer", "status": "spent", "craft": "film_and_paper",
        "volume_l": 5, "composition": [{"substance": "sodium_thiosulfate"}]});
    let shelf = json!({"id": "shelf", "kind": "ammoniacal_silver", "volume_l": 1});
    for (batch, procedure) in [
        (&cyanide, "volhard_titration"),
        (&cyanide, "chloride_weighing"),
        (&cyanide, "recovery"),
        (&cyanide, "neutralization"),
        // Acid into fixer sets sulfur dioxide free.
        (&fixer, "volhard_titration"),
        (&shelf, "recovery"),
    ] {
        let sheet = bench_sheet(batch, procedure);
        let steps = sheet
            .sections
            .iter()
            .flat_map(|s| &s.blocks)
            .any(|b| matches!(b, Block::Steps { .. }));
        assert!(!steps, "{procedure} of {batch}");
        let refused = sheet.sections.iter().flat_map(|s| &s.blocks).any(
            |b| matches!(b, Block::Warning { severity: Severity::Danger, lines, .. } if !lines.is_empty()),
        );
        assert!(refused, "{procedure} of {batch}");
    }
}

#[test]
fn a_recovery_worksheet_has_the_steps_of_the_recommended_plan() {
    let bath = json!({"id": "bath", "kind": "sensitizing_bath", "status": "spent", "volume_l": 1,
        "craft": "salted_paper",
        "evidence": [{"stated": {"silver_g": {"value": "57", "standard_uncertainty": "2"}, "source": "the silver book"}}]});
    let sheet = bench_sheet(&bath, "recovery");
    // Upper end 57 + 1.96 x 2 = 60.92 g; x 0.54177 = 33.0 g of salt; a tenth more, in whole grams.
    assert!(says(&sheet, "37 g"), "{:?}", sheet.texts());
    assert!(says(&sheet, "clear drop"));
}

/// The sheet a record is set for is no assumption on the waste: it stands in the answer, and not on paper.
#[test]
fn the_size_of_the_sheet_is_told_in_the_answer_and_not_on_the_record() {
    let answer = draw(&record(&spent_bath())).unwrap();
    assert!(answer.assumptions.iter().any(|a| a.field == "/paper_size"));
    assert!(!says(&answer.result.document, "paper size"));
    assert!(!says(&answer.result.document, "set for A4"));
}
