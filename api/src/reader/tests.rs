//! What is read, what is refused, and in which words.

use super::*;
use serde::Deserialize;
use spent_silver_domain::quantity::{Litres, MeasuredLitres};

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(dead_code, reason = "only read, to see what is refused")]
struct Jug {
    volume_l: MeasuredLitres,
    #[serde(default)]
    cups: Vec<Cup>,
    filled: Option<Filled>,
    size: Option<Size>,
    #[serde(default)]
    sizes: Vec<Size>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(dead_code, reason = "only read, to see what is refused")]
struct Cup {
    volume_l: Litres,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
#[expect(dead_code, reason = "only read, to see what is refused")]
enum Filled {
    WithWater { volume_l: Litres },
    WithBath(Cup),
    Never,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Size {
    Small,
    Large,
}

fn members() -> Members {
    Members {
        lists: ["cups", "between", "sizes"].map(str::to_owned).into(),
        objects: ["volume_l", "cups", "filled", "with_water", "with_bath"]
            .map(str::to_owned)
            .into(),
    }
}

fn refusal(text: &str) -> (Code, String, String) {
    let problem = read::<Jug>(text.as_bytes(), &members()).expect_err(text);
    let pointer = problem
        .errors
        .first()
        .and_then(|e| e.pointer.clone())
        .unwrap_or_default();
    let detail = problem
        .errors
        .first()
        .map_or(problem.detail.clone(), |e| e.detail.clone());
    (problem.code, pointer, detail)
}

#[test]
fn a_good_body_is_read_whole() {
    let text = r#"{"volume_l": {"between": ["1", 2.50]}, "cups": [{"volume_l": 1e-3}],
        "filled": {"with_bath": {"volume_l": "0.1"}}, "size": "small"}"#;
    let jug: Jug = read(text.as_bytes(), &members()).unwrap();
    assert_eq!(jug.volume_l.decimal().normalize().to_string(), "1.75");
    // An escaped name is the same name.
    assert!(read::<Jug>(br#"{"volume_l": 1, "\u0063ups": []}"#, &members()).is_ok());
    // Null stands for an absent member where the member is optional.
    assert!(read::<Jug>(br#"{"volume_l": 1, "size": null, "cups": []}"#, &members()).is_ok());
}

#[test]
fn each_refusal_names_the_place_and_what_would_be_right() {
    use Code::{DuplicateMember, InvalidInput, NotJson, TooDeep};
    let deep = format!("{}{}", r#"{"a":"#.repeat(40), "}".repeat(40));
    let cases: &[(&str, Code, &str, &str)] = &[
        ("", NotJson, "", "empty"),
        ("{", NotJson, "", "line 1"),
        (r#"{"volume_l": NaN}"#, NotJson, "", "line 1, column 1"),
        (r#"{"volume_l": 1} x"#, NotJson, "", "trailing"),
        ("[1, 2", NotJson, "", "line 1"),
        (&deep, TooDeep, "", "32"),
        (
            r#"{"volume_l": 1, "volume_l": 2}"#,
            DuplicateMember,
            "/volume_l",
            "twice",
        ),
        (
            r#"{"volume_l": {"value": 1, "value": 2, "plus_minus": 1}}"#,
            DuplicateMember,
            "/volume_l/value",
            "twice",
        ),
        (
            r#"{"volume_l": 1, "filled": {"with_water": {"volume_l": 1}, "with_water": {"volume_l": 1}}}"#,
            DuplicateMember,
            "/filled/with_water",
            "twice",
        ),
        ("[]", InvalidInput, "", "array"),
        ("[1]", InvalidInput, "", "array"),
        ("3", InvalidInput, "", "expected an object"),
        ("null", InvalidInput, "", "expected an object"),
        ("{}", InvalidInput, "/volume_l", "missing"),
        (
            r#"{"volume_ml": 1}"#,
            InvalidInput,
            "/volume_ml",
            "did you mean `volume_l`? Expected one of volume_l, cups, filled, size, sizes",
        ),
        (
            r#"{"volume_l": 1, "a/b~": 1}"#,
            InvalidInput,
            "/a~1b~0",
            "not a member",
        ),
        (
            r#"{"volume_l": 1, "cups": [[1]]}"#,
            InvalidInput,
            "/cups/0",
            "array",
        ),
        (
            r#"{"volume_l": 1, "filled": {"with_water": ["1"]}}"#,
            InvalidInput,
            "/filled/with_water",
            "array",
        ),
        (r#"{"volume_l": [1]}"#, InvalidInput, "/volume_l", "array"),
        (
            r#"{"volume_l": 1, "cups": [{"volume_l": 1}, {}]}"#,
            InvalidInput,
            "/cups/1/volume_l",
            "missing",
        ),
        (
            r#"{"volume_l": 1, "cups": [{"volume_l": 1, "volume_ml": 1}]}"#,
            InvalidInput,
            "/cups/0/volume_ml",
            "did you mean `volume_l`",
        ),
        (
            r#"{"volume_l": 1, "cups": {}}"#,
            InvalidInput,
            "/cups",
            "a list",
        ),
        (
            r#"{"volume_l": -1}"#,
            InvalidInput,
            "/volume_l",
            "out of range",
        ),
        (r#"{"volume_l": 1e30}"#, InvalidInput, "/volume_l", "1e12"),
        (
            r#"{"volume_l": "NaN"}"#,
            InvalidInput,
            "/volume_l",
            "JSON number",
        ),
        (r#"{"volume_l": 1e400}"#, InvalidInput, "/volume_l", "1e12"),
        (
            r#"{"volume_l": true}"#,
            InvalidInput,
            "/volume_l",
            "expected",
        ),
        (
            r#"{"volume_l": {"between": [1, "x"]}}"#,
            InvalidInput,
            "/volume_l/between/1",
            "`x`",
        ),
        (
            r#"{"volume_l": {"value": 1, "plusminus": 1}}"#,
            InvalidInput,
            "/volume_l/plusminus",
            "plus_minus",
        ),
        (
            r#"{"volume_l": 1, "filled": {"with_wine": {}}}"#,
            InvalidInput,
            "/filled/with_wine",
            "with_water",
        ),
        (
            r#"{"volume_l": 1, "filled": {"with_water": {"volume_ml": 1}}}"#,
            InvalidInput,
            "/filled/with_water/volume_ml",
            "did you mean `volume_l`",
        ),
        (
            r#"{"volume_l": 1, "filled": {"with_bath": {}}}"#,
            InvalidInput,
            "/filled/with_bath/volume_l",
            "missing",
        ),
        (
            r#"{"volume_l": 1, "filled": {"with_bath": {"volume_l": 1}, "with_water": {"volume_l": 1}}}"#,
            InvalidInput,
            "/filled/with_water",
            "exactly one",
        ),
        (
            r#"{"volume_l": 1, "size": "medium"}"#,
            InvalidInput,
            "/size",
            "small, large",
        ),
        (
            r#"{"volume_l": 1, "size": {"small": null}}"#,
            InvalidInput,
            "/size",
            "expected the choice itself",
        ),
        (
            r#"{"volume_l": 1, "sizes": ["large", {"small": null}]}"#,
            InvalidInput,
            "/sizes/1",
            "expected the choice itself",
        ),
        (
            r#"{"volume_l": 1, "\u0073ize": {"small": null}}"#,
            InvalidInput,
            "/size",
            "expected the choice itself",
        ),
        (
            r#"{"volume_l": 1, "filled": {"never": {}}}"#,
            InvalidInput,
            "/filled/never",
            "an object is not accepted: expected the choice itself, as a string",
        ),
        (
            r#"{"volume_l": 1, "size": {"medium": null}}"#,
            InvalidInput,
            "/size/medium",
            "small, large",
        ),
        (
            r#"{"volume_l": 1, "no_such": {"small": null}}"#,
            InvalidInput,
            "/no_such",
            "not a member",
        ),
        (
            r#"{"volume_l": 1, "cups": null}"#,
            InvalidInput,
            "/cups",
            "null",
        ),
        (
            r#"{"volume_l": 1, "sizes": [null]}"#,
            InvalidInput,
            "/sizes/0",
            "null",
        ),
        (
            r#"{"volume_l": 1, "size": 5}"#,
            InvalidInput,
            "/size",
            "choice",
        ),
    ];
    let mut wrong = Vec::new();
    for (text, code, pointer, words) in cases {
        let found = refusal(text);
        if (found.0, found.1.as_str()) != (*code, *pointer)
            || !found.2.contains(words)
            || found.2.contains(" at line 1 column")
            || found.2.contains('\u{1f}')
        {
            wrong.push(format!("{text}\n  {found:?}\n  {code:?} {pointer} {words}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_bytes_make_the_reader_panic() {
    let seed = br#"{"volume_l": {"value": "1.5", "plus_minus": 1e-2}, "cups": [{"volume_l": 1}], "filled": {"with_water": {"volume_l": "2"}}, "size": "small"}"#;
    let spice = b"{}[]\",:\\u0e-+.\xff\x00 \n1nt\x1f`";
    // A fixed linear congruential sequence: the same bytes each time.
    let mut state = 7u64;
    let mut next = move |below: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below.max(1)
    };
    for _ in 0..20_000 {
        let mut bytes = seed.to_vec();
        for _ in 0..=next(6) {
            let at = next(bytes.len());
            match next(4) {
                _ if bytes.len() < 2 => bytes.push(b'{'),
                0 => bytes[at] = spice[next(spice.len())],
                1 => bytes.insert(at, spice[next(spice.len())]),
                2 => {
                    bytes.remove(at);
                }
                _ => bytes.truncate(at.max(1)),
            }
        }
        if let Err(problem) = read::<Jug>(&bytes, &members()) {
            assert_ne!(
                problem.code,
                Code::Internal,
                "{}",
                String::from_utf8_lossy(&bytes)
            );
        }
    }
}
