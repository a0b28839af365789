//! Dependencies point one way, and the calculations stay pure.

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
