//! Papers of one container agree with each other, and none hides what another says.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use spent_silver_domain::document::{Block, Document, DocumentRequest, Section, draw_up_document};

/// A paper about one container, or about several.
fn draw(paper: &str, of: &Value, rules: &str) -> Document {
    let member = if of.is_array() { "batches" } else { "batch" };
    draw_with(paper, &json!({ member: of }), rules)
}

fn draw_with(paper: &str, members: &Value, rules: &str) -> Document {
    let request = json!({
        "document": {paper: members}, "on": "2026-11-25", "rule_set": rules,
        "studio": {"name": "Lantern Yard Studio", "address": "3 Mill Lane", "site_number": "ZZ0000123456"}
    });
    let request: DocumentRequest = serde_json::from_str(&request.to_string()).unwrap();
    draw_up_document(&request).unwrap().result.document
}

fn says(document: &Document, words: &str) -> bool {
    document.texts().iter().any(|t| t.contains(words))
}

/// A silver bath of collodion, in a bottle that cannot vent.
fn shut_bath() -> Value {
    json!({"id": "bath-1", "kind": "sensitizing_bath", "craft": "collodion", "status": "spent",
        "volume_l": "1.9", "waste_since": "2026-10-01",
        "composition": [{"substance": "silver_nitrate", "g_per_l": 80}, {"substance": "ethanol", "g_per_l": 24},
            {"substance": "acetic_acid", "g_per_l": 3}],
        "container": {"vented": false}})
}

fn ammoniacal() -> Value {
    json!({"id": "shelf", "kind": "ammoniacal_silver", "status": "spent", "volume_l": "0.25",
        "waste_since": "2026-10-01",
        "composition": [{"substance": "silver_nitrate"}, {"substance": "ammonia"}]})
}

#[test]
fn where_keeping_is_a_danger_its_act_is_the_only_word_on_closing() {
    // Cyanide at pH 8 gives off its gas: the act is to leave it alone, not to close it.
    let cyanide = json!({"id": "jug", "kind": "cyanide_fixer", "status": "spent", "volume_l": "1",
        "ph": "8", "waste_since": "2026-10-01"});
    for batch in [shut_bath(), ammoniacal(), cyanide] {
        let papers = [
            draw("container_label", &batch, "us-federal"),
            draw("wall_sheet", &json!([batch]), "us-federal"),
        ];
        for paper in papers {
            let act = |(_, signal, _): &(_, &str, _)| signal.ends_with("Act today");
            assert!(paper.warnings().any(|w| act(&w)), "{batch}");
            for closing in ["Keep closed", "Keep it closed", "Vented cap: keep"] {
                assert!(!says(&paper, closing), "{closing}: {batch}");
            }
        }
    }
    let mut vented = shut_bath();
    vented["container"]["vented"] = json!(true);
    let label = draw("container_label", &vented, "us-federal");
    assert!(says(&label, "Vented cap: keep upright"));
}

#[test]
fn what_makes_gas_is_not_to_be_closed_where_nobody_spoke_of_its_cap() {
    let run_off = json!({"id": "run-off", "kind": "developer", "craft": "collodion", "status": "spent",
        "volume_l": "7", "composition": [{"substance": "iron_ii_sulfate", "g_per_l": 40},
            {"substance": "acetic_acid", "g_per_l": 35}, {"substance": "ethanol", "g_per_l": 20}]});
    let label = draw("container_label", &run_off, "us-federal");
    assert!(says(&label, "Vented cap: keep upright"));
    assert!(!says(&label, "Keep closed"));
}

fn bottle(id: &str, substance: &str) -> Value {
    json!({"id": id, "kind": "unused_chemical", "status": "unused", "composition": [{"substance": substance}]})
}

#[test]
fn the_wall_sheet_says_never_in_the_words_of_the_label() {
    let mut bath = shut_bath();
    bath["container"]["vented"] = json!(true);
    let (permanganate, acid) = (
        bottle("perm-1", "potassium_permanganate"),
        bottle("acid-1", "sulfuric_acid"),
    );
    let wall = draw(
        "wall_sheet",
        &json!([bath, permanganate, acid]),
        "us-federal",
    );
    for batch in [&bath, &permanganate, &acid] {
        let label = draw("container_label", batch, "us-federal");
        let (_, _, never) = label.warnings().find(|(_, s, _)| *s == "Never").unwrap();
        assert!(says(&wall, &never.join(" ")), "{never:?}");
    }
    // EPA-600/2-80-076: acid with hypochlorite or cyanide makes a poison gas.
    assert!(says(&wall, "Never with bleach, cyanide, sulfide or fixer"));
}

#[test]
fn content_that_is_not_known_is_said_to_be_so_and_never_looks_harmless() {
    let unknown = [
        json!({"id": "mystery", "kind": "developer", "status": "spent", "volume_l": "4"}),
        json!({"id": "toner", "kind": "toner", "status": "spent", "composition": [{"substance": "moon_dust"}]}),
        json!({"id": "strong", "kind": "intensifier_or_reducer", "status": "spent"}),
        json!({"id": "bottle", "kind": "unused_chemical", "status": "unused"}),
    ];
    let not_known = |document: &Document, signal: &str| {
        let lines =
            ["Not all that it holds is known: to be tested. Treat it as the worst it may be."];
        document
            .warnings()
            .any(|(_, s, l)| s == signal && l == lines)
    };
    for batch in &unknown {
        let label = draw("container_label", batch, "us-federal");
        assert!(not_known(&label, "Unknown"), "{batch}");
        assert!(says(&label, "rinse with water for 15 minutes"), "{batch}");
        assert!(says(&label, "Breathed in"), "{batch}");
        let named = format!("{}: Unknown", batch["id"].as_str().unwrap());
        for paper in ["emergency_posting", "spill_record", "wall_sheet"] {
            let document = draw(paper, &json!([batch]), "us-federal");
            assert!(not_known(&document, &named), "{paper}: {batch}");
        }
    }
    let wall = draw("wall_sheet", &json!(unknown), "us-federal");
    assert!(not_known(&wall, "mystery, toner, strong, bottle: Unknown"));
    // What is known, by what was stated or by what such a thing is, has no such word.
    let known = [
        shut_bath(),
        bottle("acid-1", "sulfuric_acid"),
        json!({"id": "fix", "kind": "fixer", "status": "spent", "craft": "film_and_paper"}),
        json!({"id": "plates", "kind": "glass_plates", "status": "spent"}),
    ];
    for batch in &known {
        let label = draw("container_label", batch, "us-federal");
        assert!(!not_known(&label, "Unknown"), "{batch}");
    }
}

/// A waste of January: whatever the category of its site, 40 CFR 262.16 and 262.17 let it stand 180 or 90
/// days.
#[test]
fn what_stands_past_its_day_is_said_so_on_every_paper_that_looks_at_it() {
    let mut late = shut_bath();
    late["container"]["vented"] = json!(true);
    late["waste_since"] = json!("2026-01-05");
    let loud = |document: &Document| {
        document.warnings().any(|(_, signal, lines)| {
            signal == "Past its latest day" && lines[0].contains("2026-04-05")
        })
    };
    for paper in ["inspection_log", "collection_checklist", "accumulation_log"] {
        assert!(loud(&draw(paper, &json!([late]), "us-federal")), "{paper}");
    }
    let log = draw("inspection_log", &json!([late]), "us-federal");
    assert!(says(&log, "Must leave by"));
    assert!(says(&log, "2026-04-05 or 2026-07-04: ask which"));
    let record = draw("waste_record", &late, "us-federal");
    assert!(loud(&record));
    // Near the top: before any field.
    let texts = record.texts();
    let place = |words: &str| texts.iter().position(|t| t.starts_with(words)).unwrap();
    assert!(place("Past its latest day") < place("Lantern Yard Studio"));
    // Codes that somebody gave it stop no clock; leaving in time does.
    let mut given = json!({"batch": late, "waste_codes": ["D011"], "sent_on": "2026-05-01"});
    assert!(loud(&draw_with("waste_record", &given, "us-federal")));
    given["sent_on"] = json!("2026-04-05");
    assert!(!loud(&draw_with("waste_record", &given, "us-federal")));
}

#[test]
fn a_tight_cap_hides_nothing_else_that_is_wrong_with_a_container() {
    let mut can = shut_bath();
    can["container"] = json!({"vented": false, "material": "steel", "old_label_removed": false});
    for (paper, of) in [
        ("container_label", &can),
        ("waste_record", &can),
        ("classification_record", &can),
    ] {
        let document = draw(paper, of, "us-federal");
        assert!(says(&document, "Never shut it tight"), "{paper}");
        assert!(says(&document, "acid sets hydrogen free"), "{paper}");
        assert!(says(&document, "The old label is still on it"), "{paper}");
    }
    // What must not be kept is not to be poured over for the sake of its can.
    let mut shelf = ammoniacal();
    shelf["container"] = json!({"material": "steel", "old_label_removed": false});
    let label = draw("container_label", &shelf, "us-federal");
    assert!(!says(&label, "The old label is still on it"));
}

#[test]
fn a_hazardous_waste_is_called_one_under_every_rule_set() {
    let banner = |batch: &Value, hazardous: Option<bool>, rules: &str| {
        let mut of = json!({"batch": batch});
        if let Some(hazardous) = hazardous {
            of["hazardous"] = json!(hazardous);
        }
        says(&draw_with("container_label", &of, rules), "HAZARDOUS WASTE")
    };
    let mut bath = shut_bath();
    for rules in ["us-federal", "eu", "de", "gb-england", "unspecified"] {
        assert!(banner(&bath, Some(true), rules), "{rules}");
        assert!(!banner(&bath, Some(false), rules), "{rules}");
    }
    bath["status"] = json!("in_use");
    bath.as_object_mut().unwrap().remove("waste_since");
    assert!(
        !banner(&bath, Some(true), "eu"),
        "a working bath is no waste"
    );
    // Decision 2000/532/EC, 09 01 04*, fixer solutions: hazardous by its entry. A silver nitrate bath has
    // none of its own.
    let fixer = json!({"id": "fix", "kind": "fixer", "status": "spent", "craft": "film_and_paper"});
    assert!(banner(&fixer, None, "eu"));
    assert!(!banner(&fixer, Some(false), "eu"));
    assert!(!banner(&fixer, None, "unspecified"));
    assert!(!banner(&shut_bath(), None, "eu"));
}

#[test]
fn what_an_inspector_asks_for_says_whose_it_is_and_where_the_container_stands() {
    let mut bath = shut_bath();
    bath["container"] =
        json!({"description": "brown 2 L bottle", "place": "cellar", "vented": true});
    for paper in ["classification_record", "accumulation_log", "spill_record"] {
        let of = if paper == "classification_record" {
            bath.clone()
        } else {
            json!([bath])
        };
        let document = draw(paper, &of, "us-federal");
        for words in ["Lantern Yard Studio", "3 Mill Lane", "ZZ0000123456"] {
            assert!(says(&document, words), "{words}: {paper}");
        }
    }
    for paper in ["classification_record", "waste_record"] {
        let document = draw(paper, &bath, "us-federal");
        assert!(says(&document, "brown 2 L bottle"), "{paper}");
        assert!(says(&document, "cellar"), "{paper}");
    }
    let place = json!({"batches": [bath], "place": "north wall"});
    for paper in [
        "spill_record",
        "inspection_log",
        "emergency_posting",
        "wall_sheet",
    ] {
        let document = draw_with(paper, &place, "us-federal");
        assert!(says(&document, "north wall"), "{paper}");
    }
    let record = draw("classification_record", &bath, "us-federal");
    assert!(says(&record, "state other hazardous waste; nothing is 0"));
    assert!(!says(&record, "other_hazardous_waste_kg"));
}

#[test]
fn the_collection_checklist_says_what_stays_behind_by_name_and_the_codes_of_what_goes() {
    let cyanide = json!({"id": "kcn-jug", "kind": "cyanide_fixer", "status": "spent", "volume_l": "1",
        "waste_since": "2026-10-01"});
    let fixer = json!({"id": "fix", "kind": "fixer", "status": "spent", "craft": "film_and_paper", "volume_l": "5",
        "waste_since": "2026-11-01"});
    let list = draw(
        "collection_checklist",
        &json!([ammoniacal(), cyanide, fixer]),
        "us-federal",
    );
    let behind = list
        .sections
        .iter()
        .position(|s| s.heading.as_deref() == Some("What stays behind"));
    let waits = list
        .sections
        .iter()
        .position(|s| s.heading.as_deref() == Some("What waits"));
    assert_eq!(behind.unwrap(), waits.unwrap() + 1);
    assert!(says(&list, "kcn-jug: A licensed contractor for cyanide"));
    // 40 CFR 261.24: spent fixer is taken to be at the limit for silver.
    assert!(says(&list, "D011 (presumed)"));
}

#[test]
fn a_laboratory_is_told_the_hazards_and_the_silver_that_is_known() {
    let mut bath = shut_bath();
    bath["evidence"] =
        json!([{"laboratory_assay": {"silver_mg_per_l": "310", "sampled": "stirred"}}]);
    let sheet = draw("laboratory_sample_sheet", &bath, "us-federal");
    let spill = draw("spill_record", &json!([bath]), "us-federal");
    let (_, _, hazards) = spill
        .warnings()
        .find(|(_, s, _)| *s == "bath-1: Danger")
        .unwrap();
    assert!(
        sheet
            .warnings()
            .any(|(_, s, lines)| s == "Danger" && lines == hazards)
    );
    // 310 mg/L in 1.9 L: 0.589 g.
    assert!(says(&sheet, "about 0.31 g/L"));
    assert!(says(&sheet, "0.589"), "{:?}", sheet.texts());
    let unknown = json!({"id": "mystery", "kind": "developer", "status": "spent"});
    let sheet = draw("laboratory_sample_sheet", &unknown, "us-federal");
    assert!(sheet.warnings().any(|(_, s, _)| s == "Unknown"));
}

#[test]
fn weights_stand_once_on_a_shipment_sheet_and_the_net_is_worked_out() {
    let cake = json!({"id": "cake-1", "kind": "sludge", "form": "solid", "status": "spent",
        "composition": [{"substance": "silver_chloride"}], "gross_g": "512", "tare_g": "202"});
    let later = json!({"id": "cake-2", "kind": "sludge", "form": "solid", "status": "spent"});
    let sheet = draw(
        "recovery_shipment_sheet",
        &json!([cake, later]),
        "us-federal",
    );
    let blocks = sheet.sections.iter().flat_map(|s| &s.blocks);
    let weighed: Vec<_> = blocks
        .filter_map(|b| match b {
            Block::Table { columns, rows, .. } => columns
                .iter()
                .any(|c| c.heading == "Gross, g")
                .then_some(rows),
            _ => None,
        })
        .collect();
    let [rows] = weighed.as_slice() else {
        panic!("{weighed:?}")
    };
    // 512 g - 202 g = 310 g.
    assert_eq!(rows[0], ["cake-1", "", "512", "202", "310", "", ""]);
    assert_eq!(rows[1], ["cake-2", "", "", "", "", "", ""]);
}

#[test]
fn what_is_to_be_found_out_for_carriage_stands_once_and_names_the_row_that_asks() {
    let mut bath = shut_bath();
    bath["container"]["vented"] = json!(true);
    let sheet = draw("recovery_shipment_sheet", &json!([bath]), "us-federal");
    assert!(!says(&sheet, "this row"));
    let texts = sheet.texts();
    let asks = |what: &str| {
        let points = texts.iter().filter(|t| t.starts_with("To find out:"));
        points
            .filter(|t| t.contains(what))
            .copied()
            .collect::<Vec<_>>()
    };
    let ph = asks("Its pH");
    assert_eq!(ph.len(), 1, "{texts:?}");
    assert!(ph[0].contains("not above 7 for UN3264"), "{ph:?}");
    let flash = asks("Its flash point");
    assert_eq!(flash.len(), 1, "{flash:?}");
    assert!(flash[0].contains("below 23 °C for UN1993"), "{flash:?}");
}

#[test]
fn a_recovery_sheet_warns_before_its_first_step_and_says_below_what_goes_wrong() {
    // A spent fixer goes through iron wool, one of whose steps points to what goes wrong.
    let fixer = json!({"id": "fix", "kind": "fixer", "status": "spent", "craft": "film_and_paper", "volume_l": "18",
        "composition": [{"substance": "sodium_thiosulfate"}],
        "evidence": [{"laboratory_assay": {"silver_mg_per_l": "4000"}}]});
    let of = json!({"batch": fixer, "procedure": "recovery"});
    let sheet = draw_with("worksheet", &of, "us-federal");
    let place = |heading: &str| {
        let at = |s: &Section| s.heading.as_deref() == Some(heading);
        sheet.sections.iter().position(at).unwrap()
    };
    assert!(says(&sheet, "see what goes wrong, below"));
    assert!(place("Steps") < place("If it goes wrong"));
    assert!(place("If it goes wrong") < place("Afterwards"));
    let warnings = sheet
        .sections
        .iter()
        .enumerate()
        .filter(|(_, s)| s.blocks.iter().any(|b| matches!(b, Block::Warning { .. })));
    let warnings: Vec<usize> = warnings.map(|(i, _)| i).collect();
    assert!(!warnings.is_empty(), "{:?}", sheet.texts());
    assert!(warnings.iter().all(|i| *i < place("Steps")), "{warnings:?}");
}

/// 40 CFR 261.21(a)(1): an aqueous liquid with less than 24 % alcohol by volume is excluded; 20 g/L of ethanol
/// are 2.5 %.
#[test]
fn no_paper_calls_a_liquid_flammable_where_the_record_says_that_it_is_not() {
    let run_off = |grams: u32, rest: &[&str]| {
        let mut composition = vec![
            json!({"substance": "acetic_acid", "g_per_l": 35}),
            json!({"substance": "ethanol", "g_per_l": grams}),
        ];
        composition.extend(rest.iter().map(|s| json!({"substance": s})));
        json!({"id": "run-off", "kind": "developer", "craft": "collodion", "status": "spent", "volume_l": "7",
            "composition": composition})
    };
    let papers = |batch: &Value, rules: &str| {
        [
            draw("container_label", batch, rules),
            draw("laboratory_sample_sheet", batch, rules),
            draw("spill_record", &json!([batch]), rules),
            draw("emergency_posting", &json!([batch]), rules),
        ]
    };
    let thin = run_off(20, &[]);
    let record = draw("waste_record", &thin, "us-federal");
    assert!(says(&record, "does not apply"));
    for paper in papers(&thin, "us-federal") {
        assert!(!says(&paper, "lammable liquid"), "{:?}", paper.texts());
        // Acetic acid burns the skin all the same.
        assert!(says(&paper, "skin burns"));
    }
    // More alcohol, ether beside it, or no rules: nothing is ruled out.
    for (batch, rules) in [
        (run_off(300, &[]), "us-federal"),
        (run_off(20, &["diethyl_ether"]), "us-federal"),
        (thin, "unspecified"),
    ] {
        for paper in papers(&batch, rules) {
            assert!(says(&paper, "lammable liquid"), "{batch}");
        }
    }
}

#[test]
fn no_sheet_says_how_to_keep_what_must_not_be_kept() {
    let cyanide = json!({"id": "jug", "kind": "cyanide_fixer", "status": "spent", "volume_l": "1", "ph": "8"});
    for procedure in [
        "volhard_titration",
        "chloride_weighing",
        "recovery",
        "neutralization",
    ] {
        let of = json!({"batch": cyanide, "procedure": procedure});
        let sheet = draw_with("worksheet", &of, "us-federal");
        assert!(says(&sheet, "Leave the room now"), "{procedure}");
        assert!(!says(&sheet, "eep it closed"), "{procedure}");
    }
    // Alkaline cyanide is kept, and closed.
    let mut alkaline = cyanide;
    alkaline["ph"] = json!("12");
    let of = json!({"batch": alkaline, "procedure": "recovery"});
    assert!(says(
        &draw_with("worksheet", &of, "us-federal"),
        "Keep it closed, alkaline"
    ));
}
