//! The program from outside: what it prints, where, and what it exits with.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::Value;
use spent_silver::contract::contract_text;
use spent_silver::operation::operations;
use std::io::Write as _;
use std::process::{Command, Output, Stdio};

fn program(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_spent-silver"));
    command.args(arguments).env_clear();
    command
}

fn run(arguments: &[&str], input: &str) -> Output {
    let mut child = program(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // The program may end before it has read its input.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    child.wait_with_output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// The whole of standard error as one problem document.
fn problem(output: &Output) -> Value {
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    assert!(output.stdout.is_empty(), "{output:?}");
    let problem: Value = serde_json::from_slice(&output.stderr).unwrap();
    let code = problem["code"].as_str().unwrap();
    assert_eq!(problem["type"], format!("/problems/{code}"));
    problem
}

#[test]
fn compute_prints_for_programs_exactly_what_http_answers() {
    for operation in operations() {
        let output = run(
            &["compute", operation.name, "-", "--format", "json"],
            operation.example,
        );
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        assert!(output.stderr.is_empty(), "{output:?}");
        let mut expected = operation.answer(operation.example.as_bytes()).unwrap();
        expected.push(b'\n');
        assert_eq!(output.stdout, expected, "{}", operation.name);
    }
}

#[test]
fn compute_prints_for_people_without_being_asked() {
    for operation in operations() {
        let output = run(&["compute", operation.name, "-"], operation.example);
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        assert_eq!(
            output.stdout,
            run(
                &["--format", "text", "compute", operation.name, "-"],
                operation.example
            )
            .stdout
        );
        let out = text(&output.stdout);
        assert!(out.lines().count() > 10, "{out}");
        if operation.renderings.iter().all(|r| r.format != "text") {
            let answer: Value = serde_json::from_str(&out).unwrap();
            assert!(answer.get("result").is_some());
        }
    }
}

#[test]
fn a_file_is_read_as_standard_input_is() {
    let operation = &operations()[0];
    let path = format!(
        "{}/examples/{}.json",
        env!("CARGO_MANIFEST_DIR"),
        operation.name
    );
    let from_file = run(&["compute", operation.name, &path], "");
    assert_eq!(from_file.status.code(), Some(0), "{from_file:?}");
    assert_eq!(
        from_file.stdout,
        run(&["compute", operation.name, "-"], operation.example).stdout
    );
}

#[test]
fn a_bad_input_is_the_problem_that_http_answers_and_exit_2() {
    let bad = r#"{"batch": {"id": "a", "kind": "fixer", "volume_ml": 1}}"#;
    let problem = problem(&run(
        &["compute", "silver-estimates", "-", "--format", "json"],
        bad,
    ));
    assert_eq!(problem["status"], 422);
    assert_eq!(problem["errors"][0]["pointer"], "/batch/volume_ml");
    let detail = problem["errors"][0]["detail"].as_str().unwrap();
    assert!(detail.contains("did you mean `volume_l`"), "{detail}");

    let output = run(&["compute", "silver-estimates", "-"], bad);
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    let words = text(&output.stderr);
    assert!(
        words.contains("/batch/volume_ml") && words.contains("did you mean"),
        "{words}"
    );
    assert!(!words.contains('{'), "{words}");
}

#[test]
fn whatever_fails_with_format_json_is_a_problem_and_nothing_else() {
    for (arguments, code) in [
        (
            &["compute", "silver-estimates", "no such file"][..],
            "unreadable_file",
        ),
        (&["compute", "silver-estimates", "."], "unreadable_file"),
        (&["report", "no such file"], "unreadable_file"),
        (
            &["openapi", "--output", "no such folder/contract.json"],
            "unwritable_file",
        ),
        (&["compute", "alchemy", "-"], "not_found"),
        (&["compute", "silver-estimates", "-"], "not_json"),
        (&["compute", "silver-estimates"], "invalid_argument"),
        (&["transmute"], "invalid_argument"),
        (&["serve", "--listen", "here"], "invalid_argument"),
        (&["serve", "--listen", "0.0.0.0:0"], "invalid_argument"),
        (&["serve", "--workers", "0"], "invalid_argument"),
        (
            &["serve", "--price-url", "http://prices.test"],
            "invalid_argument",
        ),
        (&["openapi", "extra"], "invalid_argument"),
    ] {
        let mut arguments = arguments.to_vec();
        arguments.push("--format=json");
        let output = run(&arguments, "");
        if arguments[0] == "report" && operations().iter().all(|o| o.name != "reports") {
            assert_eq!(problem(&output)["code"], "not_found");
            continue;
        }
        assert_eq!(problem(&output)["code"], code, "{arguments:?}");
    }
}

#[test]
fn flags_and_environment_say_the_same_and_help_lists_both() {
    let folder = tempfile::tempdir().unwrap();
    let refused = program(&["serve"])
        .env("SPENT_SILVER_LISTEN", "0.0.0.0:0")
        .env("SPENT_SILVER_DATABASE", folder.path().join("book"))
        .output()
        .unwrap();
    assert_eq!(refused.status.code(), Some(2));
    assert!(text(&refused.stderr).contains("--api-token"), "{refused:?}");

    let help = run(&["serve", "--help"], "");
    assert_eq!(help.status.code(), Some(0));
    let help = text(&help.stdout);
    for flag in [
        "listen",
        "database",
        "api-token",
        "requests-per-minute",
        "allowed-hosts",
        "body-limit-bytes",
        "workers",
        "shutdown-seconds",
        "log-level",
        "price-url",
        "price-pointer",
        "price-per",
        "price-currency",
        "price-source",
        "price-refresh-seconds",
    ] {
        assert!(help.contains(&format!("--{flag} ")), "{flag}");
        let variable = format!("SPENT_SILVER_{}", flag.replace('-', "_").to_uppercase());
        assert!(help.contains(&variable), "{variable}");
    }
    let secret = program(&["serve", "--help"])
        .env("SPENT_SILVER_API_TOKEN", "hunters of the snark")
        .output()
        .unwrap();
    assert!(!text(&secret.stdout).contains("snark"));
}

#[test]
fn openapi_prints_the_contract() {
    let output = run(&["openapi"], "");
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(text(&output.stdout), contract_text());
}

const OWN_RULES: &str = r#"
id = "our-town"
title = "Federal rules and the town's permit"
edition = "3 March 2026"
extends = "us-federal"

[[rule]]
id = "town-silver"
quantity = "discharge_limit"
applies_to = "every discharge"
element = "silver"
comparison = "at_or_below"
value = "1.2"
unit = "mg/L"
sampling_point = "the kerb"
averaging = "grab sample"
dilution_allowed = false
clause = "4"
source = "permit"
edition = "2026"
status = "read_primary"
"#;

#[test]
fn a_rule_set_file_is_checked_and_every_fault_named() {
    let output = run(&["rule-set", "check", "-"], OWN_RULES);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    assert!(text(&output.stdout).contains("`our-town`, extends `us-federal`"));
    let broken = OWN_RULES
        .replace("clause = \"4\"\n", "")
        .replace("mg/L", "ppb");
    let found = problem(&run(
        &["rule-set", "check", "-", "--format", "json"],
        &broken,
    ));
    let pointers: Vec<&str> = found["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| e["pointer"].as_str().unwrap())
        .collect();
    assert!(pointers.contains(&"/rule/0/clause"), "{found}");
    assert!(pointers.contains(&"/rule/0/unit"), "{found}");
}

#[test]
fn a_rule_set_file_is_used_by_its_id_and_an_unknown_id_names_those_known() {
    let folder = std::env::temp_dir().join(format!("rule-set-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let file = folder.join("own.toml");
    std::fs::write(&file, OWN_RULES).unwrap();
    let request = r#"{"batch": {"id": "f", "kind": "fixer", "craft": "film_and_paper",
        "status": "spent"}, "on": "2026-11-25", "rule_set": "our-town"}"#;
    let compute = ["compute", "waste-classifications", "-", "--format", "json"];
    let unknown = problem(&run(&compute, request));
    assert_eq!(unknown["status"], 422);
    assert!(unknown.to_string().contains("gb-england"), "{unknown}");
    let with_file = [&compute[..], &["--rule-set-file", file.to_str().unwrap()]].concat();
    let output = run(&with_file, request);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(answer["notice"]["rule_set"], "our-town");
    assert_eq!(
        answer["result"]["discharge_limits"][0]["authority"]["id"],
        "town-silver"
    );
    std::fs::remove_dir_all(&folder).unwrap();
}
