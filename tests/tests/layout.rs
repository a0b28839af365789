//! Dependencies point one way, and the calculations stay pure.

use proc_macro2::{Delimiter, TokenStream, TokenTree};
use std::process::Command;

#[test]
fn the_domain_pulls_in_no_async_http_or_database_crate() {
    let output = Command::new(env!("CARGO"))
        .args(["tree", "--offline", "--locked", "--all-features"])
        .args([
            "-p",
            "spent-silver-domain",
            "-e",
            "normal",
            "--prefix",
            "none",
        ])
        .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/.."))
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    let tree = String::from_utf8(output.stdout).unwrap();
    assert!(tree.contains("rust_decimal "), "{tree}");
    for crate_name in [
        "tokio",
        "futures",
        "futures-core",
        "async-trait",
        "mio",
        "actix",
        "actix-web",
        "actix-rt",
        "hyper",
        "http",
        "reqwest",
        "rustls",
        "sqlx",
        "rusqlite",
        "diesel",
        "spent-silver",
    ] {
        let found = tree
            .lines()
            .any(|l| l.split(' ').next() == Some(crate_name));
        assert!(!found, "the domain depends on {crate_name}");
    }
}

/// Tests are not discovered by file: one that `main.rs` does not name would never run.
#[test]
fn every_file_of_tests_is_named_in_its_binary() {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/..");
    let mut seen = 0;
    for member in ["domain", "api", "tests"] {
        let folder = format!("{root}/{member}/tests");
        let main = std::fs::read_to_string(format!("{folder}/main.rs")).unwrap();
        let manifest = std::fs::read_to_string(format!("{root}/{member}/Cargo.toml")).unwrap();
        for entry in std::fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_none_or(|e| e != "rs") || path.ends_with("main.rs") {
                continue;
            }
            let name = path.file_stem().unwrap().to_str().unwrap();
            assert!(
                main.contains(&format!("mod {name};"))
                    || manifest.contains(&format!("name = \"{name}\"")),
                "{member}/tests/{name}.rs is in no binary of tests"
            );
            seen += 1;
        }
    }
    assert!(seen > 40, "only {seen} files of tests were found");
}

/// English of the pages stands in one folder, so that a translation finds all of it there.
#[test]
fn the_pages_hold_no_words_outside_their_folder_of_words() {
    // Two classes of one element, ids that name an element, HTML's and HTTP's own settings, and words
    // of the domain that are looked for.
    const NOT_READ: &[&str] = &[
        "field wrong",
        "warning ",
        "flow_title flow_words",
        "hands_title hands_words",
        "width=device-width, initial-scale=1",
        "public, max-age=31536000, immutable",
        "text/html; charset=utf-8",
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
        "{COOKIE}={name}; Path=/; HttpOnly; SameSite=Strict{secure}",
        "; Secure",
        "state other_hazardous_waste_kg",
        "state other_acute_waste_kg",
    ];
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../api/src/site");
    let (mut files, mut found) = (0, Vec::new());
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|e| e != "rs") {
            continue;
        }
        files += 1;
        let source = std::fs::read_to_string(&path).unwrap();
        let code = source.split("#[cfg(test)]").next().unwrap();
        let mut literals = Vec::new();
        strings(code.parse().unwrap(), &mut literals);
        let name = path.file_name().unwrap().to_string_lossy();
        for text in literals {
            if is_read(&text) && !NOT_READ.contains(&text.as_str()) {
                found.push(format!("{name}: {text:?}"));
            }
        }
    }
    assert!(files > 25, "only {files} files of pages were found");
    assert!(found.is_empty(), "not in api/src/site/words: {found:#?}");
    for (text, read) in [
        (" unknown", true),
        ("Sent", true),
        ("it stays clear", true),
        ("/studios/{}/terms", false),
        ("waste_since", false),
        ("{typed} {unit}", false),
        ("PDF", false),
        (" g", false),
    ] {
        assert_eq!(is_read(text), read, "{text}");
    }
}

/// The texts between quotation marks, without attributes and comments.
fn strings(code: TokenStream, into: &mut Vec<String>) {
    let mut hash = false;
    for token in code {
        let after_hash = std::mem::take(&mut hash);
        match token {
            TokenTree::Punct(mark) => hash = mark.as_char() == '#' || after_hash,
            TokenTree::Group(group) if after_hash && group.delimiter() == Delimiter::Bracket => {}
            TokenTree::Group(group) => strings(group.stream(), into),
            TokenTree::Literal(one) => {
                let text = one.to_string();
                let inside = text.strip_prefix('"').and_then(|t| t.strip_suffix('"'));
                into.extend(inside.map(str::to_owned));
            }
            TokenTree::Ident(_) => {}
        }
    }
}

/// Whether a person reads it: two words, one with a capital, or one that a space joins to others.
fn is_read(text: &str) -> bool {
    let words: Vec<&str> = text
        .split(' ')
        .map(|word| word.trim_matches(|c: char| c.is_ascii_punctuation() && c != '{' && c != '}'))
        .filter(|word| word.len() > 1 && word.chars().all(|c| c.is_alphabetic() || c == '\''))
        .filter(|word| word.chars().any(char::is_lowercase))
        .collect();
    match words.as_slice() {
        [] => false,
        [one] => {
            one.starts_with(char::is_uppercase) || text.starts_with(' ') || text.ends_with(' ')
        }
        _ => true,
    }
}
