//! The book under a clock that is wrong, through the store itself: a request brings no clock.

use jiff::Timestamp;
use spent_silver::store::{Access, Location, Recording, Reply, Store};
use spent_silver_domain::ledger::Entry;
use spent_silver_domain::waste::rule_set::RuleSet;

fn opened(id: &str) -> Entry {
    serde_json::from_str(&format!(
        r#"{{"id": "{id}", "on": "2026-01-05", "recorded_by": "R.", "event": {{"opened": {{"batch": {{"id": "{id}", "kind": "fixer", "volume_l": "4"}}}}}}}}"#
    ))
    .unwrap()
}

#[tokio::test]
async fn what_is_recorded_later_never_bears_an_earlier_instant() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.sqlite3");
    let store = Store::open(&Location::parse(file.to_str().unwrap()).unwrap())
        .await
        .unwrap();
    let access = Access::local("here");
    let at = |text: &str| text.parse::<Timestamp>().unwrap();
    let record =
        serde_json::from_str(r#"{"id": "studio", "studio": {"name": "An Invented Studio"}}"#)
            .unwrap();
    store
        .create_studio(&record, &access, ("s", b"s"), at("2026-06-01T12:00:00Z"))
        .await
        .unwrap();
    // The clock jumps back by a day, and then goes on.
    for (id, now) in [
        ("a", "2026-06-01T12:00:01Z"),
        ("b", "2026-05-31T12:00:02Z"),
        ("c", "2026-05-31T12:00:03.000000999Z"),
        ("d", "2026-06-01T12:00:02Z"),
    ] {
        let entry = opened(id);
        let recording = Recording {
            studio: "studio",
            entry: &entry,
            key: id,
            payload: id.as_bytes(),
            access: &access,
            now: at(now),
            rules: RuleSet::unspecified(),
        };
        store
            .append(&recording, |_, _| {
                Ok(Reply {
                    location: String::new(),
                    body: String::new(),
                })
            })
            .await
            .unwrap();
    }
    let entries = store.entries("studio", None, 0, 10).await.unwrap();
    let seen: Vec<(i64, &str)> = entries
        .iter()
        .map(|e| (e.sequence, e.recorded_at.as_str()))
        .collect();
    assert_eq!(
        seen,
        [
            (1, "2026-06-01T12:00:01.000000Z"),
            (2, "2026-06-01T12:00:01.000000Z"),
            (3, "2026-06-01T12:00:01.000000Z"),
            (4, "2026-06-01T12:00:02.000000Z"),
        ]
    );
}
