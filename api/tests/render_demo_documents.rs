//! Every document of the demo, in every form it is written in: nothing that warns is lost.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use spent_silver::operation::operation;
use spent_silver_domain::document::{Document, DocumentKind, DocumentRequest, draw_up_document};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Every request of the demo, by the name of its file.
fn requests() -> Vec<(String, String)> {
    let demo = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../demo");
    let mut found: Vec<(String, String)> = std::fs::read_dir(demo)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter_map(|path| {
            let name = path.file_stem()?.to_str()?.to_owned();
            name.strip_prefix("document-")?;
            Some((name, std::fs::read_to_string(&path).unwrap()))
        })
        .collect();
    found.sort();
    found
}

fn drawn(request: &str) -> Document {
    let request: DocumentRequest = serde_json::from_str(request).unwrap();
    draw_up_document(&request).unwrap().result.document
}

fn written(request: &str, format: &str) -> Vec<u8> {
    let operation = operation("documents").unwrap();
    let rendering = operation.renderings.iter().find(|r| r.format == format);
    (rendering.unwrap().render)(request.as_bytes(), &[]).unwrap()
}

/// Words only: walls, bullets, tags and line ends fall away.
fn heard(page: &str) -> String {
    page.chars()
        .filter(|c| c.is_alphanumeric())
        .collect::<String>()
        .to_lowercase()
}

/// HTML without its tags and with its entities read.
fn without_tags(page: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for c in page.chars() {
        match c {
            '<' => inside = true,
            '>' => inside = false,
            _ if !inside => out.push(c),
            _ => {}
        }
    }
    for (entity, letter) in [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#39;", "'"),
    ] {
        out = out.replace(entity, letter);
    }
    out.replace("&amp;", "&")
}

/// The warnings and the notice, piece by piece.
fn warnings(document: &Document) -> Vec<String> {
    let mut out: Vec<String> = document
        .warnings()
        .flat_map(|(_, signal, lines)| lines.iter().map(String::as_str).chain([signal]))
        .map(ToOwned::to_owned)
        .collect();
    out.push(document.notice.text.to_string());
    out.extend(document.notice.confirm.iter().cloned());
    out
}

#[test]
fn the_demo_asks_for_every_kind_of_document() {
    let schema: Value = serde_json::from_str(
        &std::fs::read_to_string(
            Path::new(env!("CARGO_MANIFEST_DIR")).join("../openapi/openapi.json"),
        )
        .unwrap(),
    )
    .unwrap();
    let kinds = schema["components"]["schemas"]["DocumentKind"]["enum"]
        .as_array()
        .unwrap();
    let asked: Vec<Value> = requests()
        .iter()
        .map(|(_, request)| json!(drawn(request).kind))
        .collect();
    assert!(kinds.len() >= 14);
    for kind in kinds {
        assert!(
            asked.contains(kind),
            "no demo/document-*.json asks for {kind}"
        );
    }
}

#[test]
fn every_warning_stands_in_text_html_and_json() {
    for (name, request) in requests() {
        let document = drawn(&request);
        let text = heard(&String::from_utf8(written(&request, "text")).unwrap());
        let html = heard(&without_tags(
            &String::from_utf8(written(&request, "html")).unwrap(),
        ));
        let json = String::from_utf8(
            operation("documents")
                .unwrap()
                .answer(request.as_bytes())
                .unwrap(),
        )
        .unwrap();
        let json: Value = serde_json::from_str(&json).unwrap();
        let json = heard(&json["result"]["document"].to_string().replace("\\\"", ""));
        for piece in warnings(&document) {
            let piece = heard(&piece);
            assert!(text.contains(&piece), "{name}, text: {piece}");
            assert!(html.contains(&piece), "{name}, HTML: {piece}");
            assert!(json.contains(&piece), "{name}, JSON: {piece}");
        }
    }
}

/// A value with its members in order. For names in ASCII and texts, which is all that a document
/// holds, the plain writing of it is the canonical one (RFC 8785, sections 3.2.2.2 and 3.2.3).
fn in_order(value: &Value) -> Value {
    match value {
        Value::Object(members) => {
            assert!(members.keys().all(|name| name.is_ascii()));
            let sorted: BTreeMap<&String, &Value> = members.iter().collect();
            let sorted = sorted.into_iter().map(|(n, v)| (n.clone(), in_order(v)));
            Value::Object(sorted.collect())
        }
        Value::Array(items) => items.iter().map(in_order).collect(),
        other => other.clone(),
    }
}

#[test]
fn the_fingerprint_is_that_of_the_document_without_it() {
    use sha2::{Digest as _, Sha256};
    for (name, request) in requests() {
        let mut document = serde_json::to_value(drawn(&request)).unwrap();
        let stated = document.as_object_mut().unwrap().remove("sha256").unwrap();
        let digest = Sha256::digest(in_order(&document).to_string().as_bytes());
        let hex: String = digest.iter().map(|b| format!("{b:02x}")).collect();
        assert_eq!(stated, hex, "{name}");
    }
}

#[cfg(feature = "pdf")]
mod pdf {
    use super::*;
    use std::process::Command;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn the_same_request_gives_the_same_bytes() {
        let (_, request) = requests().into_iter().next().unwrap();
        let once = written(&request, "pdf");
        assert!(once.starts_with(b"%PDF-"));
        assert_eq!(once, written(&request, "pdf"));
    }

    /// In a process of its own, because other tests draw PDFs beside this one.
    #[test]
    fn nothing_of_the_press_is_made_before_the_first_pdf() {
        let alone = "ALONE_WITH_THE_PRESS";
        if std::env::var_os(alone).is_none() {
            let name =
                "render_demo_documents::pdf::nothing_of_the_press_is_made_before_the_first_pdf";
            let done = Command::new(std::env::current_exe().unwrap())
                .args(["--exact", name])
                .env(alone, "1")
                .output()
                .unwrap();
            let said = String::from_utf8_lossy(&done.stdout).into_owned();
            assert!(done.status.success() && said.contains("1 passed"), "{said}");
            return;
        }
        let (_, request) = requests().into_iter().next().unwrap();
        for format in ["text", "html"] {
            written(&request, format);
        }
        assert!(!spent_silver::render::pdf::press_is_made());
        written(&request, "pdf");
        assert!(spent_silver::render::pdf::press_is_made());
    }

    fn tool(name: &str, arguments: &[&str], file: &Path) -> String {
        let out = Command::new(name)
            .args(arguments)
            .arg(file)
            .arg("-")
            .output();
        let out = match out {
            Ok(out) if out.status.success() => out,
            _ => Command::new(name)
                .args(arguments)
                .arg(file)
                .output()
                .unwrap(),
        };
        assert!(
            out.status.success(),
            "{name}: {}",
            String::from_utf8_lossy(&out.stderr)
        );
        String::from_utf8_lossy(&out.stdout).into_owned()
    }

    /// As poppler reads it, without white space: a line may end anywhere. Signal words are set in
    /// capitals.
    fn unspaced(text: &str) -> String {
        text.split_whitespace().collect::<String>().to_lowercase()
    }

    /// Writes the PDF of a request to a file and hands it to `read`.
    fn with_pdf<R>(name: &str, request: &str, read: impl FnOnce(&Path) -> R) -> R {
        static FILES: AtomicUsize = AtomicUsize::new(0);
        let number = FILES.fetch_add(1, Ordering::Relaxed);
        let name = format!("{name}-{}-{number}.pdf", std::process::id());
        let file = std::env::temp_dir().join(name);
        std::fs::write(&file, written(request, "pdf")).unwrap();
        let out = read(&file);
        std::fs::remove_file(&file).unwrap();
        out
    }

    fn page_count(file: &Path) -> usize {
        let said = tool("pdfinfo", &[], file);
        let line = said.lines().find(|l| l.starts_with("Pages:")).unwrap();
        line["Pages:".len()..].trim().parse().unwrap()
    }

    /// With poppler's own reading of the file.
    #[test]
    #[ignore = "needs poppler"]
    fn every_warning_stands_in_the_pdf_and_every_font_is_inside() {
        for (name, request) in requests() {
            let (text, fonts) = with_pdf(&name, &request, |file| {
                let text = tool("pdftotext", &["-raw"], file);
                (unspaced(&text), tool("pdffonts", &[], file))
            });
            for piece in warnings(&drawn(&request)) {
                assert!(text.contains(&unspaced(&piece)), "{name}: {piece}");
            }
            assert!(fonts.lines().count() > 2, "{name}: no fonts");
            for line in fonts.lines().skip(2) {
                let columns: Vec<&str> = line.split_whitespace().rev().collect();
                assert_eq!(columns[4], "yes", "{name}: not embedded: {line}");
            }
        }
    }

    #[test]
    #[ignore = "needs poppler"]
    fn labels_and_postings_keep_to_their_sheet_on_a4_and_on_letter() {
        for (name, request) in requests() {
            for size in ["a4", "us_letter"] {
                let mut asked: Value = serde_json::from_str(&request).unwrap();
                asked["paper_size"] = json!(size);
                let asked = asked.to_string();
                let most = match drawn(&asked).kind {
                    DocumentKind::ContainerLabel
                    | DocumentKind::WallSheet
                    | DocumentKind::InspectionLog
                    | DocumentKind::LaboratorySampleSheet => 1,
                    DocumentKind::ClassificationRecord
                    | DocumentKind::RecoveryShipmentSheet
                    | DocumentKind::WasteRecord
                    | DocumentKind::Worksheet => 3,
                    _ => 2,
                };
                let pages = with_pdf(&name, &asked, |file| {
                    let pages = page_count(file);
                    // The notice is not alone on the last page: something stands before it.
                    let last = pages.to_string();
                    let text = tool("pdftotext", &["-raw", "-f", &last, "-l", &last], file);
                    let alone = unspaced(&text).starts_with("localrulescomefirst");
                    assert!(!alone, "{name}, {size}: {text}");
                    pages
                });
                assert!(pages <= most, "{name}, {size}: {pages} pages");
            }
        }
    }

    /// What no letter makes fit goes on to a second sheet, and each says whose it is and which; a
    /// label on one sheet says no number.
    #[test]
    #[ignore = "needs poppler"]
    fn the_sheets_of_a_label_are_numbered_where_there_are_two() {
        let mut requests = requests().into_iter();
        let (_, request) = requests
            .find(|(name, _)| name.ends_with("container-label"))
            .unwrap();
        let mut label = drawn(&request);
        let file = std::env::temp_dir().join(format!("sheets-{}.pdf", std::process::id()));
        let read = |label: &Document| {
            let pdf = spent_silver::render::pdf::document(label).unwrap();
            std::fs::write(&file, pdf).unwrap();
            (page_count(&file), tool("pdftotext", &["-layout"], &file))
        };
        let (pages, text) = read(&label);
        assert_eq!(pages, 1);
        assert!(!unspaced(&text).contains("1/1"), "{text}");
        let said = label.sections.clone();
        label
            .sections
            .extend(std::iter::repeat_n(said, 9).flatten());
        let (pages, text) = read(&label);
        std::fs::remove_file(&file).unwrap();
        assert!(pages > 1);
        for page in 1..=pages {
            let foot = unspaced(&format!("{} {page} / {pages}", label.record_id));
            let foot = |line: &str| unspaced(line) == foot;
            assert!(text.lines().any(foot), "{page} of {pages}: {text}");
        }
    }

    /// Labels of much more than a jug holds: one sheet, and no warning lost.
    #[test]
    #[ignore = "needs poppler"]
    fn a_very_full_label_is_one_sheet() {
        let holds = [
            "silver_nitrate",
            "nitric_acid",
            "ethanol",
            "diethyl_ether",
            "cadmium_bromide",
            "mercuric_chloride",
            "acetic_acid",
            "lead_nitrate",
        ]
        .map(|s| json!({"substance": s}));
        let full = json!({
            "id": "the-old-bottle-behind-the-varnish", "kind": "sensitizing_bath", "status": "spent",
            "craft": "collodion", "volume_l": {"value": "1.98", "standard_uncertainty": "0.02"},
            "made_on": "2019-03-02", "waste_since": "2026-10-03", "ph": {"between": ["1", "2"]},
            "composition": holds,
            "container": {"description": "2 L steel can", "capacity_l": "2", "material": "steel",
                "fill_percent": "99", "vented": true, "old_label_removed": false, "secondary_containment": false},
            "evidence": [
                {"stated": {"silver_g": {"value": "97", "standard_uncertainty": "1"}, "source": "the make-up book"}},
                {"stated": {"silver_g": {"value": "12", "standard_uncertainty": "1"}, "source": "the silver book"}}
            ]
        });
        let cyanide = json!({"id": "fix-2", "kind": "fixer", "craft": "collodion", "status": "spent",
            "volume_l": "4", "waste_since": "2026-09-12",
            "container": {"capacity_l": "4", "material": "aluminium", "old_label_removed": false}});
        let ammoniacal = json!({"id": "back-shelf", "kind": "ammoniacal_silver", "status": "spent",
            "volume_l": "0.25", "container": {"vented": false}});
        for batch in [full, cyanide, ammoniacal] {
            for rules in ["us-federal", "eu", "gb-england", "unspecified"] {
                let request = json!({
                    "document": {"container_label": {"batch": batch}}, "on": "2026-11-25",
                    "rule_set": rules,
                    "studio": {"name": "Lantern Yard Studio", "address": "3 Mill Lane", "site_number": "0000",
                        "telephone": "555 0100", "responsible": "The printer"}
                })
                .to_string();
                let name = format!("label-{}-{rules}", batch["kind"].as_str().unwrap());
                let (pages, text) = with_pdf(&name, &request, |file| {
                    (
                        page_count(file),
                        unspaced(&tool("pdftotext", &["-raw"], file)),
                    )
                });
                assert_eq!(pages, 1, "{name}");
                for piece in warnings(&drawn(&request)) {
                    assert!(text.contains(&unspaced(&piece)), "{name}: {piece}");
                }
            }
        }
    }
}

/// What a person types goes through every renderer as letters: no control reaches a terminal, no mark
/// turns the line round, no markup is read.
#[test]
fn names_full_of_marks_and_markup_are_letters_in_every_form() {
    let nasty = "#panic() *x* $y$ <b>&amp;\u{202e} \"quote\" \u{202e}\u{feff}\u{200f}\u{92c0}\u{5d0} \u{e000}</script>";
    let request = json!({
        "document": {"waste_record": {
            "batch": {"id": "jug", "kind": "fixer", "status": "spent", "waste_since": "2026-11-01",
                "container": {"description": nasty, "place": nasty}},
            "carrier": nasty, "destination": nasty, "reasons": [nasty]
        }},
        "on": "2026-11-25", "studio": {"name": nasty, "address": nasty}
    })
    .to_string();
    let parsed: Result<DocumentRequest, _> = serde_json::from_str(&request);
    assert!(parsed.is_ok(), "{parsed:?}");
    for rendering in &operation("documents").unwrap().renderings {
        let bytes = (rendering.render)(request.as_bytes(), &[]).unwrap();
        if rendering.format == "pdf" {
            assert!(bytes.starts_with(b"%PDF-"));
            continue;
        }
        let page = String::from_utf8(bytes).unwrap();
        let turned =
            |c: char| c.is_control() && c != '\n' || "\u{202e}\u{feff}\u{200f}".contains(c);
        assert!(!page.contains(turned), "{}", rendering.format);
        assert!(page.contains("panic()"), "{}", rendering.format);
        if rendering.format == "html" {
            assert!(!page.contains("<b>") && page.contains("&lt;b&gt;&amp;amp;"));
        }
    }
}

/// A control character never gets that far: the request is refused, and its place named.
#[test]
fn a_control_character_in_a_name_is_refused_by_its_place() {
    let request = r#"{"document": {"wall_sheet": {"place": "a\u001b[2Jb"}}, "on": "2026-11-25"}"#;
    let operation = operation("documents").unwrap();
    let problem = operation.answer(request.as_bytes()).unwrap_err();
    let problem = String::from_utf8(problem.to_json(None)).unwrap();
    assert!(problem.contains("/document/wall_sheet/place"), "{problem}");
}

/// A log longer than one request may carry is refused by name, and the longest allowed is drawn.
#[test]
fn a_log_of_five_thousand_lines_is_refused_where_it_is_too_long() {
    let request = |lines: usize| {
        let pour = json!({"on": "2026-11-20", "batch": "fix-a", "what": "a tray"});
        json!({
            "document": {"accumulation_log": {
                "batches": [{"id": "fix-a", "kind": "fixer"}], "pours": vec![pour; lines]
            }},
            "on": "2026-11-25"
        })
        .to_string()
    };
    let operation = operation("documents").unwrap();
    let problem = operation.answer(request(5000).as_bytes()).unwrap_err();
    let problem = String::from_utf8(problem.to_json(None)).unwrap();
    assert!(
        problem.contains("/document/accumulation_log/pours"),
        "{problem}"
    );
    assert!(problem.contains("at most 1000"), "{problem}");
    assert!(operation.answer(request(1000).as_bytes()).is_ok());
}
