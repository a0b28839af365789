//! What a reader sees: nothing dropped, nothing too wide, nothing unescaped, and the golden pages.
//!
//! The golden files are rewritten with
//! `UPDATE_GOLDEN=1 cargo test -p spent-silver render_documents::`.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use spent_silver::render::{html, text};
use spent_silver_domain::answer::Severity;
use spent_silver_domain::document::{
    Desk, Document, DocumentRequest, PaperSize, Procedure, draw_up_document, worksheet,
};
use spent_silver_domain::procedure::{Addition, Refusal, Step};
use spent_silver_domain::quantity::{ComputedGrams, Date, Identifier};
use spent_silver_domain::waste::rule_set::RuleSet;
use std::path::PathBuf;

fn draw(request: &Value) -> Document {
    let request: DocumentRequest = serde_json::from_str(&request.to_string()).unwrap();
    draw_up_document(&request).unwrap().result.document
}

fn bath() -> Value {
    json!({
        "id": "bath-1", "kind": "sensitizing_bath", "status": "spent", "craft": "collodion",
        "volume_l": {"value": "1.85", "standard_uncertainty": "0.02"},
        "ph": {"between": ["3", "4"]},
        "made_on": "2026-03-02", "waste_since": "2026-10-03",
        "composition": [
            {"substance": "silver_nitrate", "g_per_l": 90},
            {"substance": "nitric_acid"},
            {"substance": "ethanol"}
        ],
        "container": {"description": "2.5 L amber glass jug", "place": "bench by the north window"},
        "evidence": [
            {"volhard_titration": {"sample_ml": "5", "thiocyanate_mol_per_l": "0.1", "titre_ml": "24.60"}},
            {"stated": {"silver_g": {"value": "97.31", "standard_uncertainty": "4.2"}, "source": "the make-up book"}}
        ]
    })
}

fn studio() -> Value {
    json!({"name": "Lamp & Plate", "address": "3 Mill Lane", "responsible": "The printer"})
}

fn label() -> Document {
    draw(&json!({
        "document": {"container_label": {"batch": bath()}},
        "on": "2026-11-25", "studio": studio(), "rule_set": "us-federal"
    }))
}

fn cyanide_label() -> Document {
    draw(&json!({
        "document": {"container_label": {"batch": {
            "id": "fix-2", "kind": "fixer", "craft": "collodion", "status": "spent",
            "volume_l": "4", "waste_since": "2026-09-12"
        }}},
        "on": "2026-11-25", "studio": studio()
    }))
}

fn record() -> Document {
    draw(&json!({
        "document": {"waste_record": {
            "batch": bath(), "waste_codes": ["D011"],
            "reasons": ["Silver is far above 5.0 mg/L.", "pH must be measured with a meter before it is called corrosive."],
            "carrier": "Marsh Carriers"
        }},
        "on": "2026-11-25", "studio": studio(), "rule_set": "us-federal"
    }))
}

fn desk() -> Desk<'static> {
    Desk {
        on: Date::parse("2026-11-25").unwrap(),
        studio: None,
        rules: RuleSet::unspecified(),
        paper_size: PaperSize::A4,
    }
}

fn sheet() -> Document {
    let salt = Addition {
        substance: Identifier::new("sodium_chloride").unwrap(),
        mass_g: Some(ComputedGrams::of(62.418)),
        volume_ml: None,
    };
    let steps = [
        Step::new("Put on goggles and gloves, and set the bucket in a tray."),
        Step::new("Dissolve the salt in half a litre of warm water.").adding(salt),
        Step::new("Pour the salt water into the bath, slowly and with stirring.")
            .caution("Silver nitrate burns eyes and skin: rinse a splash in the eye for 15 minutes and call a doctor.")
            .done_when("A drop of salt water makes no cloud in a little of the clear liquor."),
    ];
    let first = [
        "A kitchen scale".to_owned(),
        "A five-litre bucket".to_owned(),
    ];
    worksheet(
        "Salt out bath-1",
        "bath-1",
        &first,
        Procedure::Steps(&steps),
        desk(),
    )
}

fn refused() -> Document {
    let refusal = Refusal {
        reason: "This fixer may hold cyanide, and acid would free hydrogen cyanide from it."
            .to_owned(),
        never: vec!["Never add acid, bleach or anything else.".to_owned()],
        instead: vec!["Keep it closed, alkaline and apart.".to_owned()],
        call: vec!["A licensed contractor for cyanide.".to_owned()],
    };
    worksheet(
        "Recover silver from fix-2",
        "fix-2",
        &[],
        Procedure::Refused(&refusal),
        desk(),
    )
}

fn all() -> Vec<(&'static str, Document)> {
    vec![
        ("container_label", label()),
        ("container_label_cyanide", cyanide_label()),
        ("waste_record", record()),
        ("worksheet", sheet()),
        ("worksheet_refused", refused()),
    ]
}

/// Text as a reader hears it: markup, box walls, bullets and line ends fall away.
fn heard(page: &str) -> String {
    let words: String = page
        .chars()
        .map(|c| {
            if "╔═╗║╚╝┏━┓┃┗┛┌─┐│└┘•".contains(c) {
                ' '
            } else {
                c
            }
        })
        .collect();
    words
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .to_lowercase()
}

fn without_tags(page: &str) -> String {
    let body = page.split("</style>").nth(1).unwrap();
    let mut out = String::new();
    let mut inside = false;
    for c in body.chars() {
        match c {
            '<' => {
                inside = true;
                out.push(' ');
            }
            '>' => inside = false,
            _ if !inside => out.push(c),
            _ => {}
        }
    }
    out.replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&#39;", "'")
        .replace("&amp;", "&")
}

#[test]
fn no_renderer_drops_a_word_of_the_tree() {
    for (name, document) in all() {
        let text = heard(&text::document(&document));
        let html = heard(&without_tags(&html::document(&document)));
        let texts = document.texts();
        assert!(texts.len() > 10, "{name}");
        for piece in texts {
            let piece = heard(piece);
            assert!(html.contains(&piece), "{name}, HTML: {piece}");
            // A table cell may wrap beside another cell, so that in text its words stand apart.
            let whole = text.contains(&piece) || piece.split(' ').all(|word| text.contains(word));
            assert!(whole, "{name}, text: {piece}");
        }
        for (_, signal, lines) in document.warnings() {
            for line in lines.iter().map(String::as_str).chain([signal]) {
                assert!(text.contains(&heard(line)), "{name}, text: {line}");
            }
        }
        assert!(text.contains(&heard(&document.notice.text)));
        for confirm in document.notice.confirm.iter() {
            assert!(text.contains(&heard(confirm)));
        }
    }
}

#[test]
fn text_stays_within_eighty_columns_and_ends_clean() {
    for (name, document) in all() {
        let page = text::document(&document);
        for line in page.lines() {
            assert!(text::width_of(line) <= 80, "{name}: {line}");
            assert_eq!(line.trim_end(), line, "{name}: {line}");
        }
        assert!(page.ends_with('\n') && !page.ends_with("\n\n"));
        assert!(!page.contains("\n\n\n"), "{name}: two empty lines");
    }
}

#[test]
fn html_is_one_page_that_fetches_nothing() {
    for (name, document) in all() {
        let page = html::document(&document);
        for forbidden in [
            "http:", "https:", "src=", "href=", "@import", "url(", "<script",
        ] {
            assert!(!page.contains(forbidden), "{name}: {forbidden}");
        }
        assert!(page.starts_with("<!DOCTYPE html>"));
        for tag in [
            "section", "table", "aside", "ul", "ol", "li", "tr", "main", "footer",
        ] {
            let opened = page.matches(&format!("<{tag}>")).count()
                + page.matches(&format!("<{tag} ")).count();
            assert_eq!(
                opened,
                page.matches(&format!("</{tag}>")).count(),
                "{name}: {tag}"
            );
        }
    }
}

#[test]
fn what_a_person_types_is_never_markup_nor_an_order_to_the_terminal() {
    let mut document = sheet();
    let nasty = "<img src=x onerror=\"alert('1')\"> & \u{1b}[2J\u{202e}";
    document.title = nasty.to_owned();
    document.id = Some(nasty.to_owned());
    let page = html::document(&document);
    assert!(!page.contains("<img"));
    assert!(page.contains("&lt;img src=x onerror=&quot;alert(&#39;1&#39;)&quot;&gt; &amp; "));
    let page = text::document(&document);
    assert!(!page.contains('\u{1b}') && !page.contains('\u{202e}'));
}

#[test]
fn long_words_and_wide_letters_stay_on_the_page() {
    let mut document = sheet();
    document.title = "瓶".repeat(100);
    document.id = Some("x".repeat(300));
    document.sections[0].heading = Some("銀の".repeat(60));
    for line in text::document(&document).lines() {
        assert!(text::width_of(line) <= 80, "{line}");
    }
}

#[test]
fn dangers_look_graver_than_notes() {
    let page = |severity| {
        let mut page = text::Page::new();
        page.boxed(severity, "Danger", &["Keep apart from acid."]);
        page.finish()
    };
    assert!(page(Severity::Danger).contains('║'));
    assert_ne!(page(Severity::Danger), page(Severity::Caution));
    assert_ne!(page(Severity::Caution), page(Severity::Note));
    assert!(page(Severity::Note).contains("DANGER"));
}

#[test]
fn golden_pages_have_not_changed() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../tests/golden/documents");
    let rewrite = std::env::var_os("UPDATE_GOLDEN").is_some();
    let mut stale = Vec::new();
    for (name, document) in all() {
        let json = format!("{}\n", serde_json::to_string_pretty(&document).unwrap());
        for (kind, page) in [
            ("txt", text::document(&document)),
            ("html", html::document(&document)),
            ("json", json),
        ] {
            let path = folder.join(format!("{name}.{kind}"));
            if rewrite {
                std::fs::create_dir_all(&folder).unwrap();
                std::fs::write(&path, page).unwrap();
            } else if std::fs::read_to_string(&path).ok().as_deref() != Some(&page) {
                stale.push(format!("{name}.{kind}"));
            }
        }
    }
    if !stale.is_empty() {
        panic!(
            "changed: {}; look at them, then UPDATE_GOLDEN=1 cargo test -p spent-silver render_documents::",
            stale.join(", ")
        );
    }
}
