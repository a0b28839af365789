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
