//! Every document of the demo, in every form it is written in: nothing that warns is lost.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use spent_silver::operation::operation;
use spent_silver_domain::document::{Document, DocumentRequest, canonical_json, draw_up_document};
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
    (rendering.unwrap().render)(request.as_bytes()).unwrap()
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
    out.push(document.notice.text.to_owned());
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

#[test]
fn the_fingerprint_is_that_of_the_document_without_it() {
    use sha2::{Digest as _, Sha256};
    for (name, request) in requests() {
        let mut document = serde_json::to_value(drawn(&request)).unwrap();
        let stated = document.as_object_mut().unwrap().remove("sha256").unwrap();
        let digest = Sha256::digest(canonical_json(&document).as_bytes());
        let hex: String = digest.iter().map(|b| format!("{b:02x}")).collect();
        assert_eq!(stated, hex, "{name}");
    }
}

/// RFC 8785, section 3.2.3: the order of members, by UTF-16 code units; section 3.2.2.2: strings.
#[test]
fn canonical_json_is_that_of_the_standard() {
    let value = json!({
        "\u{20ac}": "Euro Sign", "\r": "Carriage Return", "\u{fb33}": "Hebrew Letter Dalet With Dagesh",
        "1": "One", "\u{1f600}": "Emoji: Grinning Face", "\u{80}": "Control", "\u{f6}": "Latin Small Letter O With Diaeresis"
    });
    let canonical = canonical_json(&value);
    let order = [
        "Carriage Return",
        "One",
        "Control",
        "Latin Small",
        "Euro Sign",
        "Emoji",
        "Hebrew",
    ];
    let places: Vec<usize> = order.iter().map(|w| canonical.find(w).unwrap()).collect();
    assert!(places.is_sorted(), "{canonical}");
    // Section 3.2.2.2 and the sample of section 3.2.2, its string.
    let text = json!("\u{20ac}$\u{f}\nA'B\"\\\\\"/");
    assert_eq!(
        canonical_json(&text),
        "\"\u{20ac}$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\""
    );
}

#[cfg(feature = "pdf")]
mod pdf {
    use super::*;
    use std::process::Command;

    #[test]
    fn the_same_request_gives_the_same_bytes() {
        let (_, request) = requests().into_iter().next().unwrap();
        let once = written(&request, "pdf");
        assert!(once.starts_with(b"%PDF-"));
        assert_eq!(once, written(&request, "pdf"));
    }

    #[test]
    fn what_a_person_types_is_never_markup() {
        let nasty =
            "#panic() *x* $y$ _z_ @ref <l> \\u{202e}\u{202e}\u{feff}\u{92c0}\u{5d0} \u{e000}";
        let request = json!({
            "document": {"emergency_posting": {"batches": [], "place": nasty}},
            "on": "2026-11-25", "studio": {"name": nasty}
        });
        assert!(written(&request.to_string(), "pdf").starts_with(b"%PDF-"));
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

    /// With poppler's own reading of the file.
    #[test]
    #[ignore = "needs poppler"]
    fn every_warning_stands_in_the_pdf_and_every_font_is_inside() {
        let folder = std::env::temp_dir();
        for (name, request) in requests() {
            let file = folder.join(format!("{name}-{}.pdf", std::process::id()));
            std::fs::write(&file, written(&request, "pdf")).unwrap();
            let text = heard(&tool("pdftotext", &["-raw"], &file));
            let fonts = tool("pdffonts", &[], &file);
            std::fs::remove_file(&file).unwrap();
            for piece in warnings(&drawn(&request)) {
                let whole = text.contains(&heard(&piece));
                let broken = || piece.split_whitespace().all(|w| text.contains(&heard(w)));
                assert!(whole || broken(), "{name}: {piece}");
            }
            assert!(fonts.lines().count() > 2, "{name}: no fonts");
            for line in fonts.lines().skip(2) {
                let columns: Vec<&str> = line.split_whitespace().rev().collect();
                assert_eq!(columns[4], "yes", "{name}: not embedded: {line}");
            }
        }
    }
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
