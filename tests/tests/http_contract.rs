//! The contract: fresh, whole, true of the answers, and with units in the names.

use serde_json::{Map, Value, json};
use spent_silver::contract::{
    Holds, contract, contract_text, members, members_by_type, members_text, operation_list,
};
use spent_silver::operation::operations;
use spent_silver::problem::Code;
use spent_silver_domain::quantity::{UNITS, UnitRow};
use spent_silver_tests::{App, pointers, requests, spawn_app};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

static APP: LazyLock<App> = LazyLock::new(spawn_app);

/// Members that name their unit in another way, because the trade says it so. May only shrink.
const UNIT_SAID_OTHERWISE: &[&str] = &["silver_percent_dry", "hours"];
/// Members of a reading or an interval: the unit stands in the name of the member that holds them.
const PARTS: &[&str] = &[
    "lower",
    "upper",
    "value",
    "standard_uncertainty",
    "plus_minus",
    "between",
];

fn validator(schema: &str) -> jsonschema::Validator {
    let root = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$ref": format!("#/components/schemas/{schema}"),
        "components": contract().document["components"],
    });
    jsonschema::validator_for(&root).unwrap()
}

fn complaints(validator: &jsonschema::Validator, value: &Value) -> Vec<String> {
    validator
        .iter_errors(value)
        .map(|e| format!("{}: {e}", e.instance_path()))
        .collect()
}

/// Name of the schema that the body of an operation or an answer refers to.
fn schema_of(content: &Value) -> Option<String> {
    let reference = content.pointer("/schema/$ref")?.as_str()?;
    Some(reference.rsplit('/').next()?.to_owned())
}

fn schemas() -> &'static Map<String, Value> {
    contract().document["components"]["schemas"]
        .as_object()
        .unwrap()
}

/// Every operation object of the contract, with its method and path.
fn described() -> Vec<(String, &'static Value)> {
    let mut all = Vec::new();
    for (path, item) in contract().document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            all.push((format!("{} {path}", method.to_uppercase()), operation));
        }
    }
    all
}

#[test]
fn the_kept_contract_is_fresh() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../openapi");
    for (name, now) in [
        ("openapi.json", contract_text()),
        ("operations.txt", &operation_list()),
        ("request_members.txt", &members_text()),
    ] {
        let path = format!("{folder}/{name}");
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            std::fs::write(&path, now).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            kept == now,
            "openapi/{name} is not what the program says: run the tests with UPDATE_GOLDEN=1 and read the diff"
        );
    }
}

#[test]
fn the_contract_is_openapi_3_1_0() {
    assert_eq!(contract().document["openapi"], "3.1.0");
    let served = APP.get("/openapi.json");
    assert_eq!(served.text(), contract_text());
}

#[test]
fn schema_names_are_unique_and_every_reference_resolves() {
    assert_eq!(contract().collisions, Vec::<String>::new());
    let document = &contract().document;
    let mut used = BTreeSet::new();
    for pointer in pointers(document) {
        if !pointer.ends_with("/$ref") {
            continue;
        }
        let reference = document.pointer(&pointer).unwrap().as_str().unwrap();
        let target = reference.strip_prefix('#').unwrap();
        assert!(document.pointer(target).is_some(), "{reference} dangles");
        used.insert(target.rsplit('/').next().unwrap().to_owned());
    }
    for name in schemas().keys() {
        let part_of_reading = UNITS.iter().any(|u| u.exact == name);
        assert!(
            used.contains(name) || part_of_reading,
            "nothing uses {name}"
        );
    }
}

#[test]
fn operations_have_an_id_a_tag_and_a_summary_each() {
    let mut ids = BTreeSet::new();
    for (at, operation) in described() {
        let id = operation["operationId"].as_str().unwrap();
        assert!(ids.insert(id), "{id} twice");
        let (verb, resource) = id.split_once('_').unwrap();
        assert!(
            !verb.is_empty()
                && resource
                    .bytes()
                    .all(|b| b.is_ascii_lowercase() || b == b'_'),
            "{at}: {id} is not verb_resource"
        );
        assert_eq!(operation["tags"].as_array().unwrap().len(), 1, "{at}");
        assert!(operation["summary"].is_string(), "{at}");
    }
}

#[test]
fn every_example_keeps_its_schema() {
    for (at, operation) in described() {
        let mut contents = Vec::new();
        if let Some(content) = operation.pointer("/requestBody/content/application~1json") {
            contents.push(("request".to_owned(), content));
        }
        for (status, response) in operation["responses"].as_object().unwrap() {
            for (kind, content) in response["content"].as_object().unwrap() {
                if kind.ends_with("json") {
                    contents.push((status.clone(), content));
                }
            }
        }
        for (part, content) in contents {
            let Some(schema) = schema_of(content) else {
                continue;
            };
            if schema.ends_with("Page") {
                continue;
            }
            let example = content.get("example").filter(|e| !e.is_null());
            let example = example.unwrap_or_else(|| panic!("{at} {part} has no example"));
            let wrong = complaints(&validator(&schema), example);
            assert!(wrong.is_empty(), "{at} {part}: {wrong:#?}");
        }
    }
}

#[test]
fn every_answer_keeps_its_schema() {
    for (operation, body) in requests() {
        let reply = APP.post(&format!("/v1/{}", operation.name), body.to_string());
        assert_eq!(reply.status, 200, "{}: {}", operation.name, reply.text());
        let validator = validator(&format!("{}Answer", operation.result.name()));
        let wrong = complaints(&validator, &reply.json());
        assert!(wrong.is_empty(), "{}: {wrong:#?}", operation.name);
    }
}

/// Every object of the schema that `value` touches, as the list of its members; choices by the
/// member that is there.
fn touch(value: &Value, schema: &Value, touched: &mut BTreeSet<String>) {
    if let Some(name) = schema.get("$ref").and_then(Value::as_str) {
        let name = name.rsplit('/').next().unwrap();
        return touch(value, &schemas()[name], touched);
    }
    for part in ["oneOf", "anyOf", "allOf"] {
        for choice in schema
            .get(part)
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
        {
            touch(value, choice, touched);
        }
    }
    match (value, schema.get("properties"), schema.get("items")) {
        (Value::Object(map), Some(Value::Object(properties)), _)
            if map.keys().all(|name| properties.contains_key(name)) =>
        {
            touched.insert(members_of(properties));
            for (name, value) in map {
                touch(value, &properties[name], touched);
            }
        }
        (Value::Array(values), _, Some(items)) => {
            for value in values {
                touch(value, items, touched);
            }
        }
        _ => {}
    }
}

fn members_of(properties: &Map<String, Value>) -> String {
    let names: BTreeSet<&str> = properties.keys().map(String::as_str).collect();
    names.into_iter().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_requests_touch_every_object_that_a_request_may_hold() {
    // What is tried at each object of the requests is then tried at every kind of object.
    let mut touched = BTreeSet::new();
    for (operation, body) in requests() {
        touch(
            &body,
            &schemas()[operation.request.name().as_str()],
            &mut touched,
        );
    }
    let mut missed = BTreeSet::new();
    for operation in operations() {
        let parts = operation.request.parts().into_iter().map(|(name, _)| name);
        for name in parts.chain([operation.request.name()]) {
            if unit_of(&name).is_some() {
                continue;
            }
            let schema = &schemas()[&name];
            for pointer in pointers(schema) {
                if let Some(Value::Object(properties)) = schema.pointer(&pointer)
                    && pointer.ends_with("/properties")
                    && !touched.contains(&members_of(properties))
                {
                    missed.insert(format!("{name}: {}", members_of(properties)));
                }
            }
        }
    }
    assert!(missed.is_empty(), "add to the requests: {missed:#?}");
}

#[test]
fn a_request_with_one_member_more_breaks_its_schema() {
    for (operation, body) in requests() {
        let validator = validator(&operation.request.name());
        for pointer in pointers(&body) {
            let mut changed = body.clone();
            let Some(Value::Object(map)) = changed.pointer_mut(&pointer) else {
                continue;
            };
            map.insert("no_such_member".to_owned(), json!("1"));
            assert!(
                !validator.is_valid(&changed),
                "{}: the contract takes an unknown member at {pointer}",
                operation.name
            );
        }
    }
}

#[test]
fn null_is_refused_wherever_the_contract_has_none() {
    for (operation, body) in requests() {
        let validator = validator(&operation.request.name());
        for pointer in pointers(&body) {
            let mut changed = body.clone();
            *changed.pointer_mut(&pointer).unwrap() = Value::Null;
            let reply = APP.post(&format!("/v1/{}", operation.name), changed.to_string());
            if validator.is_valid(&changed) {
                // Absent by another name: the rest of the request may still ask for it.
                assert!(matches!(reply.status, 200 | 422), "{pointer}");
            } else {
                assert_eq!(reply.status, 422, "{} null at {pointer}", operation.name);
                // A reading is read as a whole.
                let (parent, name) = pointer.rsplit_once('/').unwrap_or_default();
                let place = if PARTS.contains(&name) {
                    parent
                } else {
                    &pointer
                };
                assert!(
                    reply.places().iter().any(|p| p == place),
                    "{} null at {pointer}: {}",
                    operation.name,
                    reply.text()
                );
            }
        }
    }
}

#[test]
fn no_plain_choice_shares_its_name_with_an_object() {
    // The reader knows members by name: such a choice could be written as an object unseen.
    for (owner, name, property) in properties() {
        let choice = referred(&property)
            .iter()
            .any(|schema| schemas()[schema].get("enum").is_some());
        let clash = choice && members().objects.contains(&name) && is_of_a_request(&owner);
        assert!(
            !clash,
            "`{name}` is a choice in {owner} and an object elsewhere: rename one"
        );
    }
}

fn is_of_a_request(schema: &str) -> bool {
    operations().iter().any(|o| {
        o.request.name() == schema || o.request.parts().iter().any(|(name, _)| name == schema)
    })
}

#[test]
fn lists_problems_and_pages_keep_their_schema() {
    for (path, schema) in [
        ("/v1/rule-sets", "RuleSetPage"),
        ("/v1/substances?limit=1", "SubstancePage"),
        ("/v1/references?limit=2", "ReferencePage"),
        ("/v1/references?limit=0", "Problem"),
        ("/v1/price", "Problem"),
        ("/livez", "Health"),
    ] {
        let wrong = complaints(&validator(schema), &APP.get(path).json());
        assert!(wrong.is_empty(), "{path}: {wrong:#?}");
    }
    let refused = APP.post(
        "/v1/silver-estimates",
        r#"{"batch": {"id": "a", "kind": "fixer"}}"#,
    );
    let wrong = complaints(&validator("Problem"), &refused.json());
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn no_member_is_a_list_in_one_request_and_an_object_in_another() {
    let objects: BTreeMap<String, String> = members_by_type(Holds::Value("object"))
        .into_iter()
        .map(|(owner, member)| (member, owner))
        .collect();
    for (owner, member) in members_by_type(Holds::Value("array")) {
        if let Some(other) = objects.get(&member) {
            panic!("`{member}` is a list in {owner} and an object in {other}: rename one");
        }
        assert!(members().lists.contains(&member));
    }
    assert!(members().lists.contains("evidence"));
}

/// Names of the schemas that a property refers to, through null, lists and choices.
fn referred(property: &Value) -> Vec<String> {
    let mut found = Vec::new();
    if let Some(reference) = property.get("$ref").and_then(Value::as_str) {
        found.push(reference.rsplit('/').next().unwrap().to_owned());
    }
    for key in ["oneOf", "anyOf", "allOf"] {
        for part in property
            .get(key)
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
        {
            found.extend(referred(part));
        }
    }
    if let Some(items) = property.get("items") {
        found.extend(referred(items));
    }
    found
}

fn unit_of(schema: &str) -> Option<&'static UnitRow> {
    UNITS
        .iter()
        .find(|u| [u.exact, u.measured, u.computed].contains(&schema))
}

fn ends_in(name: &str, suffix: &str) -> bool {
    name == suffix || name.ends_with(&format!("_{suffix}"))
}

/// The longest unit suffix that a member's name ends in.
fn unit_in_name(name: &str) -> Option<&'static UnitRow> {
    UNITS
        .iter()
        .filter(|u| ends_in(name, u.suffix))
        .max_by_key(|u| u.suffix.len())
}

/// Every property of every schema, at any depth.
fn properties() -> Vec<(String, String, Value)> {
    let mut all = Vec::new();
    for (owner, schema) in schemas() {
        if unit_of(owner).is_some() {
            continue;
        }
        for pointer in pointers(schema) {
            let Some(Value::Object(map)) = schema.pointer(&pointer) else {
                continue;
            };
            if pointer.ends_with("/properties") {
                for (name, property) in map {
                    all.push((owner.clone(), name.clone(), property.clone()));
                }
            }
        }
    }
    all
}

#[test]
fn the_name_of_every_quantity_ends_in_its_unit() {
    let mut wrong = Vec::new();
    for (owner, name, property) in properties() {
        if PARTS.contains(&name.as_str()) || UNIT_SAID_OTHERWISE.contains(&name.as_str()) {
            continue;
        }
        for schema in referred(&property) {
            // A plain ratio has no unit to name.
            if let Some(unit) = unit_of(&schema)
                && unit.suffix != "factor"
                && unit_in_name(&name).map(|u| u.suffix) != Some(unit.suffix)
            {
                wrong.push(format!(
                    "{owner}.{name} is {schema}: expected ..._{}",
                    unit.suffix
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn what_is_named_like_a_unit_is_a_quantity_in_it() {
    let mut wrong = Vec::new();
    for (owner, name, property) in properties() {
        let Some(unit) = unit_in_name(&name) else {
            continue;
        };
        let fits = referred(&property).iter().any(|schema| {
            unit_of(schema).is_some_and(|u| u.suffix == unit.suffix) || {
                // An interval: its ends are quantities in the unit.
                let ends = schemas()[schema]
                    .get("properties")
                    .and_then(Value::as_object);
                ends.is_some_and(|ends| {
                    ends.values()
                        .flat_map(referred)
                        .any(|s| unit_of(&s).is_some_and(|u| u.suffix == unit.suffix))
                })
            }
        });
        if !fits {
            wrong.push(format!("{owner}.{name} is no {}", unit.computed));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn no_member_of_a_request_is_a_map() {
    for operation in operations() {
        for (name, schema) in operation.request.parts() {
            let schema = serde_json::to_value(&schema).unwrap();
            for pointer in pointers(&schema) {
                assert!(
                    !pointer.ends_with("/additionalProperties")
                        || schema.pointer(&pointer) == Some(&json!(false)),
                    "{name}{pointer}: a map in a request"
                );
            }
        }
    }
}

#[test]
fn every_problem_has_its_page() {
    for code in Code::ALL {
        let page = APP.get(&format!("/problems/{}", code.name()));
        assert_eq!(page.status, 200, "{}", code.name());
        assert!(page.header("content-type").starts_with("text/html"));
        assert!(page.text().contains(code.title()));
    }
    assert_eq!(APP.get("/problems/no_such_code").status, 404);
}

#[test]
fn the_documentation_is_whole_and_fetches_nothing() {
    let page = APP.get("/docs").text();
    for (_, operation) in described() {
        let summary = operation["summary"].as_str().unwrap();
        assert!(page.contains(summary), "{summary}");
    }
    let posts: Vec<usize> = operations()
        .iter()
        .map(|o| page.find(&format!("<h3 id=\"{}\">", o.id)).unwrap())
        .collect();
    assert!(posts.is_sorted(), "not in the order of the job");
    for name in schemas().keys() {
        assert!(page.contains(&format!("id=\"shape-{name}\"")), "{name}");
    }
    for outside in [
        "http://", "https://", "src=", "<script", "<link", "@import", "url(",
    ] {
        let found = page.find(outside);
        assert!(found.is_none(), "the page reaches outside: {outside}");
    }
}
