//! The silver book over HTTP. Each check takes a service, so that the same suite runs on a SQLite
//! file, and on PostgreSQL where a server is at hand.

use serde_json::{Value, json};
use spent_silver::book::endpoints;
use spent_silver::contract::contract;
use spent_silver_tests::{App, Reply, spawn_app, spawn_app_with};
use std::collections::BTreeSet;
use std::sync::LazyLock;
use std::sync::atomic::{AtomicU64, Ordering};

static APP: LazyLock<App> = LazyLock::new(spawn_app);
const JSON: (&str, &str) = ("content-type", "application/json");

/// A number that no other call of this run gets.
fn fresh() -> u64 {
    static NEXT: AtomicU64 = AtomicU64::new(1);
    // Tests on one PostgreSQL database come from several processes.
    u64::from(std::process::id()) * 1_000_000 + NEXT.fetch_add(1, Ordering::Relaxed)
}

fn keyed(app: &App, path: &str, key: &str, body: &Value) -> Reply {
    let headers = [JSON, ("idempotency-key", key)];
    app.request("POST", path, &headers, body.to_string().as_bytes())
}

fn made(reply: &Reply) -> Value {
    assert_eq!(reply.status, 201, "{}", reply.text());
    reply.json()
}

/// A studio of its own, by its path.
fn studio(app: &App) -> String {
    let name = format!("studio-{}", fresh());
    let record = json!({"id": name, "studio": {"name": "An Invented Studio", "premises": "home_business"}, "rule_set": "eu"});
    made(&keyed(app, "/v1/studios", &format!("k{name}"), &record));
    format!("/v1/studios/{name}")
}

fn append(app: &App, studio: &str, entry: &Value) -> Reply {
    keyed(
        app,
        &format!("{studio}/entries"),
        &format!("k{}", fresh()),
        entry,
    )
}

fn entry(id: &str, on: &str, event: &Value) -> Value {
    json!({"id": id, "on": on, "recorded_by": "R. Example", "event": event})
}

/// A jug of 4 L of used fixer with 12.0 g of silver.
fn jug(id: &str, name: &str, on: &str) -> Value {
    entry(
        id,
        on,
        &json!({"opened": {"batch": {"id": name, "kind": "fixer", "status": "spent", "craft": "film_and_paper",
        "volume_l": {"value": "4", "standard_uncertainty": "0.02"},
        "composition": [{"substance": "sodium_thiosulfate", "g_per_l": "150"}],
        "evidence": [{"stated": {"silver_g": {"value": "12.0", "standard_uncertainty": "0.4"}}}]}}}),
    )
}

fn water(id: &str, name: &str, on: &str) -> Value {
    entry(
        id,
        on,
        &json!({"topped_up": {"batch": name, "water_l": {"value": "0.1", "standard_uncertainty": "0"}}}),
    )
}

fn silver(app: &App, studio: &str, name: &str) -> String {
    let reply = app.get(&format!("{studio}/batches/{name}"));
    assert_eq!(reply.status, 200, "{}", reply.text());
    reply.json()["result"]["silver_g"]
        .as_str()
        .unwrap()
        .to_owned()
}

fn entries(app: &App, studio: &str) -> Vec<Value> {
    let (mut all, mut query) = (Vec::new(), "?limit=200".to_owned());
    loop {
        let page = app.get(&format!("{studio}/entries{query}")).json();
        all.extend(page["items"].as_array().unwrap().clone());
        match page["next_cursor"].as_str() {
            Some(cursor) => query = format!("?limit=200&cursor={cursor}"),
            None => return all,
        }
    }
}

fn year() -> Value {
    serde_json::from_str(include_str!("../../api/examples/silver-accounts.json")).unwrap()
}

/// The year of the example, recorded entry by entry, comes to the account that the entries give when
/// they are sent together; and the misread titration in it is found.
fn the_recorded_year_comes_to_the_same_account(app: &App) {
    let at = studio(app);
    let request = year();
    for one in request["entries"].as_array().unwrap() {
        made(&append(app, &at, one));
    }
    let (from, until) = (
        request["from"].as_str().unwrap(),
        request["until"].as_str().unwrap(),
    );
    let kept = app.get(&format!("{at}/silver-account?from={from}&until={until}"));
    let sent = app.post("/v1/silver-accounts", request.to_string());
    assert_eq!(kept.json()["result"], sent.json()["result"]);
    let suspects = &kept.json()["result"]["reconciliation"]["suspects"];
    assert_eq!(suspects[0]["entry"], "26-011");
    // What each container holds, kept from entry to entry, is what the account reckons from them all.
    let standing = app.get(&format!("{at}/batches")).json();
    let mut kept: Vec<Value> = standing["result"]["containers"].as_array().unwrap().clone();
    kept.retain(|c| c["closed_on"].is_null());
    let mut reckoned: Vec<Value> = sent.json()["result"]["containers"]
        .as_array()
        .unwrap()
        .clone();
    for container in &mut reckoned {
        container["reconciled_g"] = Value::Null;
    }
    assert_eq!(kept, reckoned);
}

fn the_same_request_under_one_key_is_done_once(app: &App) {
    let at = studio(app);
    made(&append(app, &at, &jug("1", "jug", "2026-01-05")));
    let one = water("2", "jug", "2026-01-06");
    let path = format!("{at}/entries");
    // Fifty clients at once.
    let replies: Vec<Reply> = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..50)
            .map(|_| scope.spawn(|| keyed(app, &path, "the-key", &one)))
            .collect();
        threads.into_iter().map(|t| t.join().unwrap()).collect()
    });
    let first = made(&replies[0]);
    assert!(
        replies.iter().all(|r| made(r) == first),
        "all are told the same"
    );
    assert_eq!(entries(app, &at).len(), 2);
    // In quotation marks it is the same key.
    assert_eq!(made(&keyed(app, &path, "\"the-key\"", &one)), first);
    let other = keyed(app, &path, "the-key", &water("3", "jug", "2026-01-06"));
    assert_eq!(other.status, 422);
    assert_eq!(other.problem()["code"], "idempotency_key_reused");
    for headers in [
        &[JSON][..],
        &[JSON, ("idempotency-key", "two words")],
        &[JSON, ("idempotency-key", "")],
    ] {
        let reply = app.request("POST", &path, headers, one.to_string().as_bytes());
        assert_eq!(reply.problem()["code"], "idempotency_key_missing");
        assert_eq!(reply.places(), ["Idempotency-Key"]);
    }
}

fn writers_at_once_come_one_after_the_other(app: &App) {
    let at = studio(app);
    made(&append(app, &at, &jug("0", "jug", "2026-01-05")));
    let (writers, each) = (8, 5);
    std::thread::scope(|scope| {
        for writer in 0..writers {
            let at = &at;
            scope.spawn(move || {
                for i in 0..each {
                    made(&append(
                        app,
                        at,
                        &water(&format!("{writer}-{i}"), "jug", "2026-01-06"),
                    ));
                }
            });
        }
    });
    let all = entries(app, &at);
    let sequences: Vec<i64> = all
        .iter()
        .map(|e| e["sequence"].as_i64().unwrap())
        .collect();
    assert_eq!(sequences, (1..=1 + writers * each).collect::<Vec<i64>>());
    let holds = app.get(&format!("{at}/batches/jug")).json();
    // 4 L and forty times 0.1 L.
    assert_eq!(holds["result"]["batch"]["volume_l"]["value"], "8");
}

fn a_studio_is_replaced_only_as_it_was_read(app: &App) {
    let at = studio(app);
    let read = app.get(&at);
    let tag = read.header("etag").to_owned();
    assert_eq!(read.status, 200);
    let known = app.request("GET", &at, &[("if-none-match", &tag)], b"");
    assert_eq!((known.status, known.body.len()), (304, 0));
    let mut record = read.json();
    record["time_zone"] = "Asia/Tokyo".into();
    let put = |tag: Option<&str>, record: &Value| {
        let mut headers = vec![JSON];
        headers.extend(tag.map(|t| ("if-match", t)));
        app.request("PUT", &at, &headers, record.to_string().as_bytes())
    };
    assert_eq!(
        put(None, &record).problem()["code"],
        "precondition_required"
    );
    let replaced = put(Some(&tag), &record);
    assert_eq!(replaced.status, 200, "{}", replaced.text());
    assert_ne!(replaced.header("etag"), tag);
    let stale = put(Some(&tag), &record);
    assert_eq!(
        (stale.status, &stale.problem()["code"]),
        (412, &json!("precondition_failed"))
    );
    let now = replaced.header("etag").to_owned();
    let mut renamed = record.clone();
    renamed["id"] = "another".into();
    assert_eq!(put(Some(&now), &renamed).places(), ["/id"]);
    record["time_zone"] = "Atlantis/Capital".into();
    assert_eq!(put(Some(&now), &record).places(), ["/time_zone"]);
    assert_eq!(app.get(&at).json()["time_zone"], "Asia/Tokyo");
    let deeds = app.get(&format!("{at}/deeds")).json();
    let actions: Vec<&str> = deeds["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|d| d["action"].as_str().unwrap())
        .collect();
    assert_eq!(actions, ["create studio", "replace studio"]);
}

fn a_name_is_given_once(app: &App) {
    let at = studio(app);
    let name = at.rsplit('/').next().unwrap();
    let again = keyed(
        app,
        "/v1/studios",
        &format!("k{}", fresh()),
        &json!({"id": name, "studio": {"name": "B."}}),
    );
    assert_eq!(
        (again.status, again.places()),
        (409, vec!["/id".to_owned()])
    );
    made(&append(app, &at, &jug("1", "jug", "2026-01-05")));
    let same = append(app, &at, &water("1", "jug", "2026-01-06"));
    assert_eq!((same.status, same.places()), (422, vec!["/id".to_owned()]));
    // What was refused left nothing behind: the numbers go on.
    assert_eq!(
        made(&append(app, &at, &water("2", "jug", "2026-01-06")))["result"]["sequence"],
        2
    );
}

fn lists_go_on_where_they_ended(app: &App) {
    let at = studio(app);
    made(&append(app, &at, &jug("0", "jug", "2026-01-05")));
    made(&append(app, &at, &jug("1", "tub", "2026-01-05")));
    for i in 2..8 {
        made(&append(
            app,
            &at,
            &water(
                &i.to_string(),
                if i % 2 == 0 { "jug" } else { "tub" },
                "2026-01-06",
            ),
        ));
    }
    let (mut seen, mut query) = (Vec::new(), "?limit=3".to_owned());
    loop {
        let page = app.get(&format!("{at}/entries{query}")).json();
        let items = page["items"].as_array().unwrap();
        assert!(items.len() <= 3);
        seen.extend(
            items
                .iter()
                .map(|e| e["entry"]["id"].as_str().unwrap().to_owned()),
        );
        let Some(cursor) = page["next_cursor"].as_str() else {
            break;
        };
        query = format!("?limit=3&cursor={cursor}");
    }
    assert_eq!(seen, ["0", "1", "2", "3", "4", "5", "6", "7"]);
    let tub = app.get(&format!("{at}/entries?batch=tub")).json();
    let tub: Vec<&str> = tub["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| e["entry"]["id"].as_str().unwrap())
        .collect();
    assert_eq!(tub, ["1", "3", "5", "7"]);
    for (query, place) in [
        ("limit=0", "limit"),
        ("limit=x", "limit"),
        ("cursor=zz", "cursor"),
        ("offset=3", "offset"),
        ("limit=3&limit=4", "limit"),
        ("batch=a%20b", "batch"),
    ] {
        let reply = app.get(&format!("{at}/entries?{query}"));
        assert_eq!(
            (reply.status, reply.places()),
            (400, vec![place.to_owned()]),
            "{query}"
        );
    }
}

fn balances_are_asked_for_as_of_a_day_and_as_of_an_instant(app: &App) {
    let at = studio(app);
    made(&append(app, &at, &jug("1", "jug", "2026-01-05")));
    let poured = made(&append(
        app,
        &at,
        &entry(
            "2",
            "2026-02-05",
            &json!({"collected": {"batch": "jug",
        "part": {"volume_l": {"value": "1", "standard_uncertainty": "0"}}, "haulier": "H. Haulage"}}),
        ),
    ));
    // By hand: three of four litres of 12.0 g are 9.0 g.
    assert_eq!(silver(app, &at, "jug"), "9");
    let before = app.get(&format!("{at}/batches/jug?on=2026-02-04")).json();
    assert_eq!(before["result"]["silver_g"], "12");
    let list = app.get(&format!("{at}/batches?on=2026-02-04")).json();
    assert_eq!(list["result"]["containers"][0]["silver_g"], "12");
    assert_eq!(
        app.get(&format!("{at}/batches/jug?on=2026-01-04")).status,
        404
    );
    // An entry for an earlier day, recorded later: by day it counts, by the instant of recording not yet.
    let recorded = poured["result"]["recorded_at"].as_str().unwrap();
    std::thread::sleep(std::time::Duration::from_millis(5));
    made(&append(
        app,
        &at,
        &entry(
            "3",
            "2026-01-20",
            &json!({"spilled": {"batch": "jug",
        "part": {"volume_l": {"value": "1", "standard_uncertainty": "0"}}, "what": "A jug fell."}}),
        ),
    ));
    let known = app
        .get(&format!(
            "{at}/batches/jug?on=2026-02-01&recorded_until={recorded}"
        ))
        .json();
    assert_eq!(known["result"]["silver_g"], "12");
    let today = app.get(&format!("{at}/batches/jug?on=2026-02-01")).json();
    assert_eq!(today["result"]["silver_g"], "9");
    assert_eq!(silver(app, &at, "jug"), "6");
    for query in [
        "on=2026-13-01",
        "recorded_until=yesterday",
        "day=2026-01-01",
    ] {
        assert_eq!(
            app.get(&format!("{at}/batches?{query}")).status,
            400,
            "{query}"
        );
    }
}

fn an_entry_for_an_earlier_day_must_leave_the_later_ones_possible(app: &App) {
    let at = studio(app);
    made(&append(app, &at, &jug("1", "jug", "2026-01-05")));
    made(&append(
        app,
        &at,
        &entry(
            "2",
            "2026-03-05",
            &json!({"collected": {"batch": "jug", "part": {"volume_l": "3"}, "haulier": "H. Haulage"}}),
        ),
    ));
    let before = app.get(&format!("{at}/batches/jug")).json();
    let emptied = append(
        app,
        &at,
        &entry(
            "3",
            "2026-02-05",
            &json!({"collected": {"batch": "jug", "part": {"all": {}}, "haulier": "H. Haulage"}}),
        ),
    );
    assert_eq!(
        (emptied.status, emptied.places()),
        (409, vec!["/on".to_owned()]),
        "{}",
        emptied.text()
    );
    assert!(
        emptied.text().contains("`2`"),
        "the entry in the way is named: {}",
        emptied.text()
    );
    assert_eq!(
        app.get(&format!("{at}/batches/jug")).json(),
        before,
        "nothing was changed"
    );
    let tomorrow = append(app, &at, &water("4", "jug", "2190-01-01"));
    assert_eq!(
        (tomorrow.status, tomorrow.places()),
        (422, vec!["/on".to_owned()])
    );
    let unknown = append(app, &at, &water("5", "mug", "2026-03-06"));
    assert_eq!(
        (unknown.status, unknown.places()),
        (422, vec!["/event/topped_up/batch".to_owned()])
    );
}

fn a_reversal_restores_what_was_and_stands(app: &App) {
    let at = studio(app);
    made(&append(app, &at, &jug("1", "jug", "2026-01-05")));
    made(&append(app, &at, &jug("2", "tub", "2026-01-05")));
    let before = app.get(&format!("{at}/batches")).json();
    made(&append(
        app,
        &at,
        &entry(
            "3",
            "2026-01-06",
            &json!({"transferred": {"from": "jug", "into": "tub", "part": {"volume_l": "2"}}}),
        ),
    ));
    assert_ne!(app.get(&format!("{at}/batches")).json(), before);
    let reversal = entry(
        "4",
        "2026-01-07",
        &json!({"reversed": {"entry": "3", "reason": "It was the other jug."}}),
    );
    made(&append(app, &at, &reversal));
    assert_eq!(app.get(&format!("{at}/batches")).json(), before);
    // It is found under the containers that it concerns.
    let about = app.get(&format!("{at}/entries?batch=tub")).json();
    assert_eq!(about["items"].as_array().unwrap().len(), 3);
    for (id, named) in [("5", "3"), ("6", "4"), ("7", "none")] {
        let again = append(
            app,
            &at,
            &entry(
                id,
                "2026-01-08",
                &json!({"reversed": {"entry": named, "reason": "Again."}}),
            ),
        );
        assert_eq!(
            (again.status, again.places()),
            (422, vec!["/event/reversed/entry".to_owned()]),
            "{named}"
        );
    }
    // The opening of a container that nothing else speaks of can be reversed as well.
    made(&append(app, &at, &jug("8", "pot", "2026-01-09")));
    made(&append(
        app,
        &at,
        &entry(
            "9",
            "2026-01-09",
            &json!({"reversed": {"entry": "8", "reason": "There is no pot."}}),
        ),
    ));
    assert_eq!(app.get(&format!("{at}/batches/pot")).status, 404);
}

fn a_dangerous_pour_is_refused_where_it_is_recorded(app: &App) {
    let at = studio(app);
    made(&append(
        app,
        &at,
        &entry(
            "1",
            "2026-01-05",
            &json!({"opened": {"batch": {"id": "cyanide", "kind": "fixer", "volume_l": "1", "composition": [{"substance": "potassium_cyanide"}]}}}),
        ),
    ));
    made(&append(
        app,
        &at,
        &entry(
            "2",
            "2026-01-05",
            &json!({"opened": {"batch": {"id": "acid", "kind": "stop_bath", "volume_l": "1", "composition": [{"substance": "acetic_acid"}]}}}),
        ),
    ));
    let pour = json!({"from": "acid", "into": "cyanide", "part": {"all": {}}});
    let refused = append(
        app,
        &at,
        &entry("3", "2026-01-06", &json!({"transferred": pour})),
    );
    assert_eq!(
        (refused.status, refused.places()),
        (422, vec!["/event/transferred/into".to_owned()]),
        "{}",
        refused.text()
    );
    let check = app.post(
        &format!("{at}/batches/acid/pour-checks"),
        json!({"into": "cyanide"}).to_string(),
    );
    assert_eq!(
        check.json()["result"]["safety"]["verdict"],
        "blocked",
        "{}",
        check.text()
    );
}

/// Each calculator over the book answers what the same call with the container in it answers.
fn calculators_take_their_containers_from_the_book(app: &App) {
    let at = studio(app);
    made(&append(app, &at, &jug("1", "jug", "2026-01-05")));
    made(&append(app, &at, &jug("2", "tub", "2026-01-05")));
    let batch = app.get(&format!("{at}/batches/jug")).json()["result"]["batch"].clone();
    let tub = app.get(&format!("{at}/batches/tub")).json()["result"]["batch"].clone();
    for (name, body, more) in [
        ("silver-estimates", json!({}), json!({"batch": batch})),
        ("recovery-plans", json!({}), json!({"batch": batch})),
        (
            "waste-classifications",
            json!({"on": "2026-03-01"}),
            json!({"batch": batch, "premises": "home_business"}),
        ),
        (
            "neutralization-plans",
            json!({"base": "sodium_bicarbonate"}),
            json!({"batch": batch}),
        ),
        (
            "bath-care",
            json!({"on": "2026-03-01"}),
            json!({"batch": batch}),
        ),
        (
            "pour-checks",
            json!({"into": "tub"}),
            json!({"from": batch, "into": tub}),
        ),
    ] {
        let kept = app.post(&format!("{at}/batches/jug/{name}"), body.to_string());
        let mut whole = body.clone();
        whole["rule_set"] = "eu".into();
        whole
            .as_object_mut()
            .unwrap()
            .extend(more.as_object().unwrap().clone());
        let sent = app.post(&format!("/v1/{name}"), whole.to_string());
        assert_eq!(
            (kept.status, kept.text()),
            (sent.status, sent.text()),
            "{name}"
        );
        let member = more.as_object().unwrap().keys().next().unwrap().clone();
        if name != "pour-checks" {
            let mut twice = body.clone();
            twice[&member] = more[&member].clone();
            let refused = app.post(&format!("{at}/batches/jug/{name}"), twice.to_string());
            assert_eq!(refused.places(), [format!("/{member}")], "{name}");
        }
    }
    let two = app.post(
        &format!("{at}/transport-candidates"),
        json!({"batches": ["jug", "tub"], "on": "2026-03-01"}).to_string(),
    );
    assert_eq!(two.status, 200, "{}", two.text());
    let wrong = app.post(
        &format!("{at}/transport-candidates"),
        json!({"batches": ["jug", "mug"], "on": "2026-03-01"}).to_string(),
    );
    assert_eq!(wrong.places(), ["/batches/1"]);
    let report = app.post(
        &format!("{at}/reports"),
        json!({"on": "2026-03-01"}).to_string(),
    );
    assert_eq!(report.status, 200, "{}", report.text());
    let reported = report.json()["result"]["batches"].clone();
    assert_eq!(reported.as_array().map(Vec::len), Some(2));
    let text = app.request(
        "POST",
        &format!("{at}/reports"),
        &[JSON, ("accept", "text/plain")],
        br#"{"on": "2026-03-01"}"#,
    );
    assert!(
        text.text().contains("An Invented Studio"),
        "{}",
        text.text()
    );
    assert_eq!(
        app.post(&format!("{at}/batches/mug/silver-estimates"), "{}")
            .status,
        404
    );
    assert_eq!(
        app.post(&format!("{at}/batches/jug/silver-estimates"), "[]")
            .status,
        422
    );
    assert_eq!(
        app.post(&format!("{at}/batches/jug/silver-estimates"), "{")
            .status,
        400
    );
    assert_eq!(
        app.post(
            &format!("{at}/batches/jug/silver-estimates"),
            r#"{"rule_set":"eu","rule_set":"eu"}"#
        )
        .problem()["code"],
        "duplicate_member"
    );
    made(&append(
        app,
        &at,
        &entry(
            "9",
            "2026-03-05",
            &json!({"closed": {"batch": "jug", "written_off": "Given away."}}),
        ),
    ));
    assert_eq!(
        app.post(&format!("{at}/batches/jug/silver-estimates"), "{}")
            .status,
        409
    );
}

fn example(name: &str) -> Value {
    let text = match name {
        "valuations" => include_str!("../../api/examples/valuations.json"),
        _ => include_str!("../../api/examples/budgets.json"),
    };
    serde_json::from_str(text).unwrap()
}

/// A budget without plates takes those that were recorded, and says so; one with plates takes its own.
fn plates_of_the_book_stand_in_a_budget_that_names_none(
    app: &App,
    at: &str,
    lot: &Value,
    budget: &Value,
) {
    let today = app.get(&format!("{at}/clocks")).json()["result"]["on"].clone();
    let today = today.as_str().unwrap();
    let bath = entry(
        "b",
        today,
        &json!({"opened": {"batch": {"id": "bath", "kind": "sensitizing_bath", "craft": "collodion"}}}),
    );
    made(&append(app, at, &bath));
    let plates = json!({"processed": {"batch": "bath", "work": {"sensitized": {"plates": [{"count": 60, "width_cm": "10.2", "height_cm": "12.7"}]}}}});
    let nitrate =
        json!({"made_up": {"batch": "bath", "silver_nitrate_g": "90", "volume_after_l": "1"}});
    made(&append(app, at, &entry("n", today, &nitrate)));
    made(&append(app, at, &entry("p", today, &plates)));
    let mut silent = budget["silver_use"].clone();
    silent.as_object_mut().unwrap().remove("formats");
    let kept = app.post(
        &format!("{at}/budgets"),
        json!({"silver_use": silent}).to_string(),
    );
    assert_eq!(kept.status, 200, "{}", kept.text());
    // Sixty in less than a month are spread over thirty days: 60 x 30.4375 / 30 = 60.9, rounded up.
    let mut named = silent.clone();
    named["formats"] = json!([{"name": "10.2 × 12.7 cm", "craft": "collodion", "monthly_count": 61, "width_cm": "10.2", "height_cm": "12.7"}]);
    let sent = json!({"metal_price": lot["price"], "silver_use": named, "studio": "An Invented Studio", "rule_set": "us-federal"});
    let sent = app.post("/v1/budgets", sent.to_string());
    assert_eq!(
        kept.json()["result"],
        sent.json()["result"],
        "{}",
        kept.text()
    );
    let words = assumed(&kept.json(), "/silver_use/formats");
    assert!(words.contains("in a month 61 of 10.2 × 12.7 cm"), "{words}");
    assert_eq!(assumed(&sent.json(), "/silver_use/formats"), "");
}

/// What an answer assumed for that member of its request; empty where it assumed nothing.
fn assumed(answer: &Value, field: &str) -> String {
    let all = answer["assumptions"].as_array().unwrap();
    let one = all.iter().find(|a| a["field"] == field);
    one.map_or_else(String::new, |a| a["text"].as_str().unwrap().to_owned())
}

/// Prices, terms and habits stand once, in the studio's record: a valuation, a decision, a budget and
/// the report take them from there, and come to what the same request comes to when it holds them.
fn prices_and_terms_come_from_the_record(app: &App) {
    let (lot, budget) = (example("valuations"), example("budgets"));
    let name = format!("studio-{}", fresh());
    let mut record = json!({"id": name, "studio": {"name": "An Invented Studio", "premises": "home_business"},
        "rule_set": "us-federal", "dealings": {"price": lot["price"], "terms": lot["terms"],
        "haulage_terms": lot["haulage_terms"], "silver_use": budget["silver_use"]}});
    let create = |record: &Value| keyed(app, "/v1/studios", &format!("k{}", fresh()), record);
    let mut mixed = record.clone();
    mixed["dealings"]["terms"]["currency"] = "EUR".into();
    assert_eq!(create(&mixed).places(), ["/dealings/terms/currency"]);
    let mut nothing_made = record.clone();
    nothing_made["dealings"]["silver_use"]["formats"] = json!([]);
    nothing_made["dealings"]["silver_use"]["baths"] = json!([]);
    assert_eq!(
        create(&nothing_made).places(),
        ["/dealings/silver_use/formats"]
    );
    // A studio that names no time zone is told which one holds.
    assert_eq!(made(&create(&record))["time_zone"], "UTC");
    let at = format!("/v1/studios/{name}");
    made(&append(app, &at, &jug("1", "jug", "2026-01-05")));
    let jug = app.get(&format!("{at}/batches/jug")).json()["result"]["batch"].clone();
    let named = json!({"id": "fixer", "batches": ["jug"], "sample_approved": true});
    let whole = json!({"id": "fixer", "batches": [jug], "sample_approved": true});
    for operation in ["valuations", "decisions"] {
        let kept = app.post(
            &format!("{at}/{operation}"),
            json!({"lot": named, "on": "2026-11-25"}).to_string(),
        );
        assert_eq!(kept.status, 200, "{}", kept.text());
        let mut request = json!({"lot": whole, "on": "2026-11-25", "price": lot["price"], "terms": lot["terms"],
            "haulage_terms": lot["haulage_terms"], "rule_set": "us-federal"});
        if operation == "decisions" {
            request["premises"] = "home_business".into();
        }
        let sent = app.post(&format!("/v1/{operation}"), request.to_string());
        assert_eq!(kept.json()["result"], sent.json()["result"], "{operation}");
        // What was filled in is said, with where it is from and of which day; what was sent is not.
        let day = lot["price"]["as_of_on"].as_str().unwrap();
        assert!(
            assumed(&kept.json(), "/price").contains(&format!(
                "of the studio's record: USD 48.20 per troy ounce, of {day}"
            )),
            "{}",
            kept.text()
        );
        assert!(
            assumed(&kept.json(), "/terms").contains("of the studio's record"),
            "{}",
            kept.text()
        );
        for field in ["/price", "/terms", "/haulage_terms"] {
            assert_eq!(assumed(&sent.json(), field), "", "{operation}");
        }
        let own = json!({"lot": named, "on": "2026-11-25", "price": lot["price"]});
        let own = app.post(&format!("{at}/{operation}"), own.to_string());
        assert_eq!(assumed(&own.json(), "/price"), "", "{operation}");
    }
    // By hand: 12.0 g are 0.38581 ozt, at 48.20 USD 18.60 USD; at 96.40 USD twice that.
    let valued = |request: Value| {
        let reply = app.post(&format!("{at}/reports"), request.to_string());
        assert_eq!(reply.status, 200, "{}", reply.text());
        reply.json()["result"]["totals"]["metal_value"]
            .as_str()
            .unwrap()
            .to_owned()
    };
    assert_eq!(valued(json!({"on": "2026-11-25"})), "18.60");
    let mut dearer = lot["price"].clone();
    dearer["amount"] = "96.40".into();
    assert_eq!(
        valued(json!({"on": "2026-11-25", "price": dearer})),
        "37.19"
    );
    let kept = app.post(&format!("{at}/budgets"), "{}");
    let sent = json!({"metal_price": lot["price"], "silver_use": budget["silver_use"], "studio": "An Invented Studio", "rule_set": "us-federal"});
    let sent = app.post("/v1/budgets", sent.to_string());
    assert_eq!((kept.status, sent.status), (200, 200), "{}", kept.text());
    assert_eq!(kept.json()["result"], sent.json()["result"]);
    assert!(assumed(&kept.json(), "/metal_price").contains("of the studio's record"));
    assert!(assumed(&kept.json(), "/silver_use").contains("by the studio's record"));
    plates_of_the_book_stand_in_a_budget_that_names_none(app, &at, &lot, &budget);
    let unknown = json!({"lot": {"id": "fixer", "batches": ["jar"]}});
    let unknown = app.post(&format!("{at}/valuations"), unknown.to_string());
    assert_eq!(
        (unknown.status, unknown.places()),
        (422, vec!["/lot/batches/0".to_owned()])
    );
    let read = app.get(&at);
    record = read.json();
    record["dealings"].as_object_mut().unwrap().remove("price");
    let headers = [JSON, ("if-match", read.header("etag"))];
    let put = app.request("PUT", &at, &headers, record.to_string().as_bytes());
    assert_eq!(put.status, 200, "{}", put.text());
    let priceless = app.post(
        &format!("{at}/valuations"),
        json!({"lot": named}).to_string(),
    );
    assert_eq!(
        (priceless.status, priceless.places()),
        (422, vec!["/price".to_owned()])
    );
    // A report goes on without what rests on a price.
    let report = app.post(
        &format!("{at}/reports"),
        json!({"on": "2026-11-25"}).to_string(),
    );
    assert_eq!(report.status, 200, "{}", report.text());
    assert!(report.json()["result"]["budget"].is_null());
}

fn an_issued_document_stays_as_it_was(app: &App) {
    let at = studio(app);
    made(&append(app, &at, &jug("1", "jug", "2026-01-05")));
    let path = format!("{at}/documents");
    let label = json!({"document": {"container_label": {"batch": "jug"}}, "on": "2026-01-06"});
    let issued = keyed(app, &path, "d-1", &label);
    assert_eq!(issued.header("location"), format!("{path}/1"));
    let first = made(&issued);
    assert_eq!(
        (&first["number"], &first["as_of_sequence"]),
        (&json!(1), &json!(1))
    );
    made(&append(
        app,
        &at,
        &entry(
            "2",
            "2026-02-05",
            &json!({"collected": {"batch": "jug", "part": {"volume_l": "3"}, "haulier": "H. Haulage"}}),
        ),
    ));
    assert_eq!(
        app.get(&format!("{path}/1")).json(),
        first,
        "the book went on, the paper did not"
    );
    assert_eq!(made(&keyed(app, &path, "d-1", &label)), first);
    assert_eq!(made(&keyed(app, &path, "d-2", &label))["number"], 2);
    let record = json!({"document": {"waste_record": {"batch": "jug"}}, "on": "2026-02-06"});
    assert_eq!(made(&keyed(app, &path, "d-3", &record))["number"], 3);
    let sheet =
        json!({"document": {"collection_checklist": {"batches": ["jug"]}}, "on": "2026-02-06"});
    assert_eq!(made(&keyed(app, &path, "d-4", &sheet))["number"], 4);
    let list = app.get(&path).json();
    let kinds: Vec<&str> = list["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|d| d["kind"].as_str().unwrap())
        .collect();
    assert_eq!(
        kinds,
        [
            "container_label",
            "container_label",
            "waste_record",
            "collection_checklist"
        ]
    );
    for (media_type, begins) in [
        ("text/plain", ""),
        ("text/html", "<!"),
        ("application/pdf", "%PDF"),
    ] {
        let paper = app.request("GET", &format!("{path}/1"), &[("accept", media_type)], b"");
        assert_eq!(paper.status, 200, "{media_type}");
        assert!(paper.header("content-type").starts_with(media_type));
        assert!(
            String::from_utf8_lossy(&paper.body).starts_with(begins),
            "{media_type}"
        );
    }
    let text = app
        .request(
            "GET",
            &format!("{path}/1"),
            &[("accept", "text/plain")],
            b"",
        )
        .text();
    assert!(
        text.contains("No. 1") && text.contains("An Invented Studio"),
        "{text}"
    );
    let unknown = keyed(
        app,
        &path,
        "d-5",
        &json!({"document": {"container_label": {"batch": "mug"}}, "on": "2026-01-06"}),
    );
    assert_eq!(unknown.places(), ["/document/container_label/batch"]);
    for number in ["0", "9", "x", "-1"] {
        assert_eq!(app.get(&format!("{path}/{number}")).status, 404, "{number}");
    }
}

fn registers_are_written_as_csv(app: &App) {
    let at = studio(app);
    let mut opened = jug("1", "jug", "2026-01-05");
    opened["note"] = "=1+1, \"quoted\"".into();
    made(&append(app, &at, &opened));
    let get = |path: &str| {
        app.request(
            "GET",
            &format!("{at}/{path}"),
            &[("accept", "text/csv")],
            b"",
        )
    };
    let entries = get("entries");
    assert_eq!(entries.header("content-type"), "text/csv; charset=utf-8");
    assert!(
        entries.text().contains("\"'=1+1, \"\"quoted\"\"\""),
        "{}",
        entries.text()
    );
    assert!(get("batches").text().starts_with("batch,kind,status,"));
    assert_eq!(get("batches").text().lines().count(), 2);
    assert!(
        get("silver-account?from=2026-01-01&until=2026-12-31")
            .text()
            .contains("at_end,12,")
    );
}

/// What falls due and what an inspector asks for come from the whole book, and are what the same entries
/// give when they are sent together.
/// Asked again, on another day, after an entry, after its reversal and after a change of the record, the
/// clocks are what all entries come to, folded anew.
fn clocks_go_with_the_book(app: &App) {
    let at = studio(app);
    let mut entries: Vec<Value> = Vec::new();
    let mut premises = "home_business";
    let same = |entries: &[Value], premises: &str, on: &str| {
        let kept = app.get(&format!("{at}/clocks?on={on}"));
        let sent = app.post(
            "/v1/waste-clocks",
            json!({"entries": entries, "on": on, "premises": premises, "rule_set": "eu"})
                .to_string(),
        );
        assert_eq!(kept.json(), sent.json(), "{on}, {} entries", entries.len());
        kept.json()["result"]["clocks"].as_array().unwrap().len()
    };
    let steps = [
        jug("1", "jug", "2026-01-05"),
        water("2", "jug", "2026-01-06"),
        entry(
            "3",
            "2026-01-13",
            &json!({"inspected": {"found": "Shut and sound."}}),
        ),
        entry(
            "4",
            "2026-01-14",
            &json!({"inspected": {"batch": "jug", "found": "Shut."}}),
        ),
        entry(
            "5",
            "2026-01-14",
            &json!({"reversed": {"entry": "4", "reason": "Another jug."}}),
        ),
    ];
    let mut counts = Vec::new();
    for one in steps {
        made(&append(app, &at, &one));
        entries.push(one);
        for _ in 0..2 {
            counts.push(same(&entries, premises, "2026-02-01"));
        }
        same(&entries, premises, "2026-01-10");
    }
    assert!(counts.iter().all(|count| *count > 0), "{counts:?}");
    let read = app.get(&at);
    let mut record = read.json();
    premises = "business";
    record["studio"]["premises"] = premises.into();
    let headers = [JSON, ("if-match", read.header("etag"))];
    let put = app.request("PUT", &at, &headers, record.to_string().as_bytes());
    assert_eq!(put.status, 200, "{}", put.text());
    same(&entries, premises, "2026-02-01");
}

fn clocks_calendar_and_register_come_from_the_book(app: &App) {
    let at = studio(app);
    let request = year();
    for one in request["entries"].as_array().unwrap() {
        made(&append(app, &at, one));
    }
    let entries = &request["entries"];
    let kept = app.get(&format!("{at}/clocks?on=2026-11-20"));
    let sent = app.post("/v1/waste-clocks", json!({"entries": entries, "on": "2026-11-20", "premises": "home_business", "rule_set": "eu"}).to_string());
    assert_eq!(kept.status, 200, "{}", kept.text());
    assert_eq!(kept.json(), sent.json());
    let clocks = kept.json()["result"]["clocks"].as_array().unwrap().clone();
    assert!(!clocks.is_empty());
    clocks_go_with_the_book(app);
    let kept = app.get(&format!(
        "{at}/waste-register?from=2026-01-01&until=2026-12-31"
    ));
    let sent = app.post(
        "/v1/waste-registers",
        json!({"entries": entries, "from": "2026-01-01", "until": "2026-12-31", "rule_set": "eu"})
            .to_string(),
    );
    assert_eq!(kept.json(), sent.json());
    let rows = kept.json()["result"]["rows"].as_array().unwrap().len();
    let get = |path: &str, media_type: &str| {
        app.request(
            "GET",
            &format!("{at}/{path}"),
            &[("accept", media_type)],
            b"",
        )
    };
    let csv = get(
        "waste-register?from=2026-01-01&until=2026-12-31",
        "text/csv",
    )
    .text();
    assert!(csv.lines().count() > rows, "{csv}");
    assert!(
        get(
            "waste-register?from=2026-01-01&until=2026-12-31",
            "text/plain"
        )
        .text()
        .contains("2026")
    );
    assert!(
        get("clocks", "text/csv")
            .text()
            .starts_with("id,what,container")
    );
    // A calendar: RFC 5545 asks for CRLF, lines of at most 75 octets, a UID and a DTSTAMP in each event.
    let feed = get("calendar.ics", "*/*");
    assert_eq!(feed.header("content-type"), "text/calendar; charset=utf-8");
    let feed = feed.text();
    assert!(
        feed.starts_with("BEGIN:VCALENDAR\r\n") && feed.ends_with("END:VCALENDAR\r\n"),
        "{feed}"
    );
    assert!(
        feed.split("\r\n")
            .all(|line| line.len() <= 75 && !line.contains('\n')),
        "{feed}"
    );
    let count = |what: &str| feed.matches(what).count();
    assert!(count("BEGIN:VEVENT") > 0);
    for each in ["UID:", "DTSTAMP:", "DTSTART;VALUE=DATE:", "SUMMARY:"] {
        assert_eq!(count(each), count("BEGIN:VEVENT"), "{each}");
    }
    assert_eq!(count("VERSION:2.0"), 1);
    assert_eq!(count("PRODID:"), 1);
    for query in [
        "",
        "?from=2026-01-01",
        "?from=2026-02-01&until=2026-01-01",
        "?from=x&until=y",
    ] {
        assert_eq!(
            app.get(&format!("{at}/waste-register{query}")).status,
            400,
            "{query}"
        );
    }
}

/// The check of a refiner's statement takes what was sent and what was settled from the book.
fn a_statement_is_checked_against_the_shipment_in_the_book(app: &App) {
    let at = studio(app);
    for one in year()["entries"].as_array().unwrap() {
        made(&append(app, &at, one));
    }
    let example = include_str!("../../api/examples/settlement-checks.json");
    let example: Value = serde_json::from_str(example).unwrap();
    let mut body = example.clone();
    for member in ["shipment", "expected_silver_g", "reported_silver_g"] {
        body.as_object_mut().unwrap().remove(member);
    }
    let path = format!("{at}/shipments/ship-26-1/settlement-checks");
    let kept = app.post(&path, body.to_string());
    assert_eq!(kept.status, 200, "{}", kept.text());
    let shipment = app.get(&format!("{at}/shipments/ship-26-1")).json();
    // What the account says besides goes with what is taken out of it.
    let account = app.get(&format!(
        "{at}/silver-account?from=1900-01-01&until=2026-12-31"
    ));
    let texts = |of: &Value| -> Vec<String> {
        let all = of["warnings"].as_array().unwrap().iter();
        all.map(|w| w["text"].as_str().unwrap().to_owned())
            .collect()
    };
    let list = app.get(&format!("{at}/shipments")).json();
    assert_eq!(texts(&list), texts(&account.json()));
    assert!(!texts(&list).is_empty());
    assert_eq!(list["notice"], account.json()["notice"]);
    assert_eq!(shipment["notice"], account.json()["notice"]);
    let path_of = format!("{at}/silver-account?from=1900-01-01&until=2026-12-31");
    let rows = app.request("GET", &path_of, &[("accept", "text/csv")], b"");
    assert_eq!(
        rows.header("x-warning-count"),
        texts(&list).len().to_string()
    );
    assert_eq!(
        rows.header("link"),
        format!("<{path_of}>; rel=\"alternate\"; type=\"application/json\"")
    );
    let mut whole = body.clone();
    whole["shipment"] = "ship-26-1".into();
    whole["expected_silver_g"] = json!({"value": shipment["sent_g"], "standard_uncertainty": shipment["sent_standard_uncertainty_g"]});
    whole["reported_silver_g"] = json!({"value": shipment["settled_g"],
        "standard_uncertainty": shipment["settled_standard_uncertainty_g"]});
    let sent = app.post("/v1/settlement-checks", whole.to_string());
    assert_eq!(kept.json()["result"], sent.json()["result"]);
    whole.as_object_mut().unwrap().remove("expected_silver_g");
    assert_eq!(app.post(&path, whole.to_string()).places(), ["/shipment"]);
    assert_eq!(
        app.post(&path.replace("ship-26-1", "none"), body.to_string())
            .status,
        404
    );
}

/// Every answer of the book keeps the schema that the contract gives it.
fn answers_keep_the_contract(app: &App) {
    let at = studio(app);
    for one in year()["entries"].as_array().unwrap() {
        made(&append(app, &at, one));
    }
    made(&keyed(
        app,
        &format!("{at}/documents"),
        "d",
        &json!({"document": {"container_label": {"batch": "bath-1"}}, "on": "2026-11-01"}),
    ));
    let root = &contract().document;
    let mut checked = BTreeSet::new();
    for endpoint in endpoints().iter().filter(|e| e.method == "GET") {
        let mut path = endpoint
            .path
            .replace("/v1/studios/{studio}", &at)
            .replace("{batch}", "bath-1")
            .replace("{entry}", "26-011")
            .replace("{shipment}", "ship-26-1")
            .replace("{document}", "1");
        if path.ends_with(".ics") {
            continue;
        }
        if path.ends_with("silver-account") || path.ends_with("waste-register") {
            path.push_str("?from=2026-01-01&until=2026-12-31");
        }
        let reply = app.get(&path);
        assert_eq!(reply.status, 200, "{path}: {}", reply.text());
        let schema = root.pointer(&format!(
            "/paths/{}/get/responses/200/content/application~1json/schema",
            endpoint.path.replace('/', "~1")
        ));
        let schema = json!({"$schema": "https://json-schema.org/draft/2020-12/schema",
            "allOf": [schema.unwrap()], "components": root["components"]});
        let validator = jsonschema::validator_for(&schema).unwrap();
        let complaints: Vec<String> = validator
            .iter_errors(&reply.json())
            .map(|e| format!("{}: {e}", e.instance_path()))
            .collect();
        assert!(complaints.is_empty(), "{path}: {complaints:#?}");
        checked.insert(&endpoint.id);
    }
    assert!(checked.len() >= 10);
}

/// Runs every check against one service.
macro_rules! suite {
    ($($check:ident),* $(,)?) => {
        mod sqlite {
            $(#[test]
            fn $check() {
                super::$check(&super::APP);
            })*
        }

        /// The same on PostgreSQL, through two services on one database.
        mod postgres {
            use super::{App, spawn_app_with};
            use std::sync::LazyLock;

            static APP: LazyLock<App> = LazyLock::new(|| {
                let url = std::env::var("SPENT_SILVER_TEST_POSTGRES")
                    .expect("SPENT_SILVER_TEST_POSTGRES names a database");
                let app = spawn_app_with(|_| {}, |s| s.book.database = Some(url.clone()));
                app.beside(spawn_app_with(|_| {}, |s| s.book.database = Some(url)))
            });

            $(#[test]
            #[ignore = "needs PostgreSQL"]
            fn $check() {
                super::$check(&APP);
            })*
        }
    };
}

suite!(
    the_recorded_year_comes_to_the_same_account,
    the_same_request_under_one_key_is_done_once,
    writers_at_once_come_one_after_the_other,
    a_studio_is_replaced_only_as_it_was_read,
    a_name_is_given_once,
    lists_go_on_where_they_ended,
    balances_are_asked_for_as_of_a_day_and_as_of_an_instant,
    an_entry_for_an_earlier_day_must_leave_the_later_ones_possible,
    a_reversal_restores_what_was_and_stands,
    a_dangerous_pour_is_refused_where_it_is_recorded,
    calculators_take_their_containers_from_the_book,
    prices_and_terms_come_from_the_record,
    an_issued_document_stays_as_it_was,
    registers_are_written_as_csv,
    clocks_calendar_and_register_come_from_the_book,
    a_statement_is_checked_against_the_shipment_in_the_book,
    answers_keep_the_contract,
);
