//! Every operation of the table over HTTP: its example, and everything that can be wrong with it.
//! A new operation is covered by its row.

use serde_json::{Map, Value, json};
use spent_silver::operation::{Operation, operations};
use spent_silver_domain::quantity::UNITS;
use spent_silver_tests::{App, Reply, pointers, requests, spawn_app};
use std::sync::LazyLock;

static APP: LazyLock<App> = LazyLock::new(spawn_app);

fn post(operation: &Operation, body: &Value) -> Reply {
    APP.post(&format!("/v1/{}", operation.name), body.to_string())
}

/// The member's own name, and the pointer to its object.
fn split(pointer: &str) -> (&str, &str) {
    let (parent, name) = pointer.rsplit_once('/').unwrap_or_default();
    (parent, name)
}

fn is_below(place: &str, pointer: &str) -> bool {
    place == pointer || place.starts_with(&format!("{pointer}/"))
}

fn refused_at(operation: &Operation, body: &Value, status: u16, pointer: &str, what: &str) {
    let reply = post(operation, body);
    let context = format!("{} {what} at {pointer}: {}", operation.name, reply.text());
    assert_eq!(reply.status, status, "{context}");
    assert!(
        reply.places().iter().any(|place| is_below(place, pointer)),
        "{context}"
    );
}

/// Members whose name ends in a unit, and so hold a number, a string of one or a reading.
fn quantities(body: &Value) -> Vec<String> {
    pointers(body)
        .into_iter()
        .filter(|p| {
            let (_, name) = split(p);
            let value = body.pointer(p).unwrap();
            (value.is_string() || value.is_number() || value.is_object())
                && UNITS
                    .iter()
                    .any(|u| name == u.suffix || name.ends_with(&format!("_{}", u.suffix)))
        })
        .collect()
}

#[test]
fn each_example_is_answered_in_the_one_envelope() {
    for (operation, body) in requests() {
        let reply = post(operation, &body);
        assert_eq!(reply.status, 200, "{}: {}", operation.name, reply.text());
        assert_eq!(reply.header("content-type"), "application/json");
        let answer = reply.json();
        let members: Vec<&String> = answer.as_object().unwrap().keys().collect();
        assert_eq!(
            members,
            [
                "result",
                "methods",
                "assumptions",
                "references",
                "warnings",
                "notice"
            ],
            "{}",
            operation.name
        );
        assert!(
            answer["notice"]["text"]
                .as_str()
                .unwrap()
                .contains("come first"),
            "{}",
            operation.name
        );
        for part in ["methods", "assumptions", "warnings"] {
            for entry in answer[part].as_array().unwrap() {
                let about = entry["about"].as_str().unwrap();
                assert!(
                    answer["result"].pointer(about).is_some(),
                    "{}: {part} is about {about}, which the result does not have",
                    operation.name
                );
            }
        }
    }
}

#[test]
fn every_figure_of_an_answer_is_a_plain_string() {
    for (operation, body) in requests() {
        let answer = post(operation, &body).json();
        for pointer in pointers(&answer["result"]) {
            let value = answer["result"].pointer(&pointer).unwrap();
            assert!(
                !value.is_f64(),
                "{} {pointer}: {value} is a bare number",
                operation.name
            );
        }
    }
}

#[test]
fn every_cited_source_can_be_looked_up() {
    for (operation, body) in requests() {
        let answer = post(operation, &body).json();
        for key in answer["references"].as_array().unwrap() {
            let key = key.as_str().unwrap();
            assert_eq!(
                APP.get(&format!("/v1/references/{key}")).status,
                200,
                "{key}"
            );
        }
    }
}

#[test]
fn an_unknown_member_is_named_wherever_it_stands() {
    for (operation, body) in requests() {
        for pointer in pointers(&body) {
            let mut changed = body.clone();
            let Some(Value::Object(map)) = changed.pointer_mut(&pointer) else {
                continue;
            };
            map.insert("no_such_member".to_owned(), json!("1"));
            refused_at(
                operation,
                &changed,
                422,
                &format!("{pointer}/no_such_member"),
                "unknown member",
            );
        }
    }
}

#[test]
fn a_wrong_unit_suffix_is_named_and_the_right_one_shown() {
    for (operation, body) in requests() {
        for pointer in quantities(&body) {
            let (parent, name) = split(&pointer);
            if !name.contains('_') {
                continue;
            }
            let wrong = format!("{name}_gal");
            let mut changed = body.clone();
            let map = changed
                .pointer_mut(parent)
                .unwrap()
                .as_object_mut()
                .unwrap();
            let value = map.remove(name).unwrap();
            map.insert(wrong.clone(), value);
            let reply = post(operation, &changed);
            assert_eq!(reply.status, 422, "{pointer}");
            let problem = reply.problem();
            let entry = &problem["errors"][0];
            let detail = entry["detail"].as_str().unwrap();
            if entry["code"] == "unknown_member" {
                assert_eq!(entry["pointer"], format!("{parent}/{wrong}"), "{detail}");
                assert!(detail.contains(name), "{detail}");
            } else {
                // A required member that is missing now may be found first.
                assert!(
                    is_below(entry["pointer"].as_str().unwrap(), parent),
                    "{problem}"
                );
            }
        }
    }
}

#[test]
fn a_missing_member_never_breaks_an_operation() {
    for (operation, body) in requests() {
        for pointer in pointers(&body) {
            let (parent, name) = split(&pointer);
            let mut changed = body.clone();
            let Some(Value::Object(map)) = changed.pointer_mut(parent) else {
                continue;
            };
            if map.remove(name).is_none() {
                continue;
            }
            let reply = post(operation, &changed);
            match reply.status {
                200 => {}
                422 => assert!(!reply.places().is_empty(), "{pointer}: {}", reply.text()),
                other => panic!("{} without {pointer}: {other}", operation.name),
            }
        }
        let empty = post(operation, &json!({}));
        if empty.status != 200 {
            assert_eq!(empty.status, 422, "{}", operation.name);
            let problem = empty.problem();
            assert_eq!(problem["errors"][0]["code"], "missing", "{problem}");
        }
    }
}

#[test]
fn an_array_in_the_place_of_an_object_is_refused() {
    for (operation, body) in requests() {
        for pointer in pointers(&body) {
            let value = body.pointer(&pointer).unwrap();
            let Value::Object(map) = value else { continue };
            let mut changed = body.clone();
            *changed.pointer_mut(&pointer).unwrap() = Value::Array(map.values().cloned().collect());
            refused_at(operation, &changed, 422, &pointer, "array for object");
        }
    }
}

#[test]
fn a_value_of_another_kind_is_refused_where_it_stands() {
    for (operation, body) in requests() {
        for pointer in pointers(&body) {
            for other in [
                json!(true),
                json!([]),
                json!([[1]]),
                json!({"a": {"b": []}}),
            ] {
                let mut changed = body.clone();
                let place = changed.pointer_mut(&pointer).unwrap();
                if std::mem::discriminant(place) == std::mem::discriminant(&other) {
                    continue;
                }
                *place = other;
                refused_at(operation, &changed, 422, &pointer, "another kind");
            }
        }
    }
}

#[test]
fn a_choice_or_text_written_as_an_object_is_refused() {
    for (operation, body) in requests() {
        for pointer in pointers(&body) {
            let Some(text) = body.pointer(&pointer).unwrap().as_str() else {
                continue;
            };
            for object in [json!({text: null}), json!({text: {}}), json!({})] {
                let mut changed = body.clone();
                *changed.pointer_mut(&pointer).unwrap() = object;
                refused_at(operation, &changed, 422, &pointer, "an object for a string");
            }
        }
    }
}

#[test]
fn absurd_numbers_are_refused_where_they_stand() {
    for (operation, body) in requests() {
        let found = quantities(&body);
        assert!(!found.is_empty(), "{} has no quantity", operation.name);
        for pointer in found {
            for absurd in [
                "1e30",
                "-1e11",
                "NaN",
                "Infinity",
                "1_000",
                "+5",
                "0x10",
                "1.2345678901234567890123456789",
                "",
                "1e99999999999999999999",
                "five",
            ] {
                let mut changed = body.clone();
                *changed.pointer_mut(&pointer).unwrap() = json!(absurd);
                refused_at(operation, &changed, 422, &pointer, absurd);
            }
            // As a number rather than as a string.
            let marked = {
                let mut changed = body.clone();
                *changed.pointer_mut(&pointer).unwrap() = json!("the mark");
                changed.to_string()
            };
            for (literal, status) in [("1e30", 422), ("-1e11", 422), ("NaN", 400), ("1e400", 422)] {
                let text = marked.replace("\"the mark\"", literal);
                let reply = APP.post(&format!("/v1/{}", operation.name), text);
                assert_eq!(
                    reply.status,
                    status,
                    "{pointer} {literal}: {}",
                    reply.text()
                );
            }
        }
    }
}

#[test]
fn no_crate_of_the_build_changes_what_a_json_number_is() {
    // With `arbitrary_precision`, which any crate can switch on for all, tagged values break.
    let value: Value = serde_json::from_str("1.00000000000000000000000001").unwrap();
    assert_eq!(value, json!(1.0));
    // With `float_roundtrip` a double is read back as it was written.
    let value: f64 = serde_json::from_str("1.1150000000000002e-10").unwrap();
    assert_eq!(value.to_bits(), 1.115_000_000_000_000_2e-10_f64.to_bits());
}

#[test]
fn lists_have_limits() {
    for (operation, body) in requests() {
        for pointer in pointers(&body) {
            let Some([first, ..]) = body
                .pointer(&pointer)
                .unwrap()
                .as_array()
                .map(Vec::as_slice)
            else {
                continue;
            };
            if split(&pointer).1 == "between" {
                continue;
            }
            let most = 3_500_000 / (first.to_string().len() + 1);
            let mut changed = body.clone();
            *changed.pointer_mut(&pointer).unwrap() =
                Value::Array(vec![first.clone(); most.min(10_000)]);
            refused_at(operation, &changed, 422, &pointer, "a list too long");
        }
    }
}

#[test]
fn a_body_that_is_no_good_json_is_a_400() {
    for operation in operations() {
        let path = format!("/v1/{}", operation.name);
        let doubled = {
            let text = operation.example.trim();
            let body: Map<String, Value> = serde_json::from_str(text).unwrap();
            let (name, value) = body.iter().next().unwrap();
            format!("{{\"{name}\": {value}, {}", text.strip_prefix('{').unwrap())
        };
        let deep = format!("{}1{}", "{\"a\":".repeat(100_000), "}".repeat(100_000));
        let lists = format!("{{\"batch\": {}", "[".repeat(100_000));
        for (body, code) in [
            (String::new(), "not_json"),
            ("{".to_owned(), "not_json"),
            ("{\"a\": nan}".to_owned(), "not_json"),
            (format!("{} {{}}", operation.example), "not_json"),
            (doubled, "duplicate_member"),
            (deep, "too_deep"),
        ] {
            let reply = APP.post(&path, &body);
            assert_eq!(reply.status, 400, "{}", reply.text());
            assert_eq!(reply.problem()["code"], code);
        }
        let reply = APP.post(&path, lists);
        assert!(matches!(reply.status, 400 | 422), "{}", reply.text());
        let reply = APP.post(&path, b"{\"batch\": \"\xff\"}");
        assert_eq!(reply.problem()["code"], "not_json");
    }
}

#[test]
fn a_body_of_ten_megabytes_is_refused_without_being_read() {
    for operation in operations() {
        let body = vec![b' '; 10_000_000];
        let reply = APP.post(&format!("/v1/{}", operation.name), body);
        assert_eq!(reply.status, 413);
        assert_eq!(reply.problem()["code"], "body_too_large");
    }
}
