//! The book going on from kept states gives what folding everything gives.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use spent_silver_domain::answer::Notes;
use spent_silver_domain::fault::FaultKind;
use spent_silver_domain::ledger::{Book, Entry, Event, Refused, State, Subject, amend, fold};
use spent_silver_domain::quantity::Identifier;
use spent_silver_domain::waste::rule_set::RuleSet;
use std::collections::BTreeMap;

/// The entries of the example of the silver account: an invented year.
fn year() -> Vec<Entry> {
    let example = include_str!("../../api/examples/silver-accounts.json");
    let request: Value = serde_json::from_str(example).unwrap();
    serde_json::from_str(&request["entries"].to_string()).unwrap()
}

fn states(book: &Book) -> BTreeMap<Subject, State> {
    book.subjects()
        .map(|s| (s.clone(), book.state(s).unwrap()))
        .collect()
}

fn folded(entries: &[Entry]) -> Book {
    fold(entries, None, RuleSet::unspecified(), &mut Notes::default()).unwrap()
}

fn made(value: Value) -> Entry {
    serde_json::from_str(&value.to_string()).unwrap()
}

#[test]
fn going_on_from_what_was_written_down_is_folding_from_the_start() {
    let mut entries = year();
    entries.retain(|e| !matches!(e.event, Event::Reversed(_)));
    entries.sort_by_key(|e| e.on);
    // Each entry goes into a book that knows only what it is about, read back from text.
    let mut kept: BTreeMap<Subject, String> = BTreeMap::new();
    for entry in &entries {
        let about = entry.event.subjects();
        let known = about.iter().filter_map(|s| {
            let text = kept.get(s)?;
            Some((s.clone(), serde_json::from_str(text).unwrap()))
        });
        let mut book = Book::resume(known);
        book.enter(entry, "", RuleSet::unspecified(), &mut Notes::default())
            .unwrap();
        for subject in about {
            let state = book.state(&subject).unwrap();
            kept.insert(subject, serde_json::to_string(&state).unwrap());
        }
    }
    let whole = states(&folded(&entries));
    assert!(whole.len() > 5, "the year has containers and a shipment");
    for (subject, state) in &whole {
        let back: State = serde_json::from_str(&kept[subject]).unwrap();
        assert_eq!(&back, state, "{subject}");
    }
    assert_eq!(kept.len(), whole.len());
}

#[test]
fn silver_unknown_at_first_is_concluded_after_going_on_as_without() {
    let entries: Vec<Entry> = [
        json!({"id": "1", "on": "2026-01-02", "recorded_by": "A.", "event": {"opened": {"batch": {"id": "jug", "kind": "fixer", "volume_l": "4"}}}}),
        json!({"id": "2", "on": "2026-02-02", "recorded_by": "A.", "event": {"measured": {"batch": "jug", "reading": {"stated": {"silver_g": {"value": "12", "standard_uncertainty": "0.4"}}}}}}),
        json!({"id": "3", "on": "2026-03-02", "recorded_by": "A.", "event": {"shipped": {"batch": "jug", "part": {"all": {}}, "shipment": "s1"}}}),
    ]
    .map(made)
    .into();
    let jug: Subject = "container/jug".parse().unwrap();
    let shipment: Subject = "shipment/s1".parse().unwrap();
    let mut known: Vec<(Subject, State)> = Vec::new();
    for entry in &entries {
        let mut book = Book::resume(known);
        book.enter(entry, "", RuleSet::unspecified(), &mut Notes::default())
            .unwrap();
        known = [&jug, &shipment]
            .into_iter()
            .filter_map(|s| Some((s.clone(), book.state(s)?)))
            .collect();
    }
    let whole = folded(&entries);
    assert_eq!(Some(&known[0].1), whole.state(&jug).as_ref());
    assert_eq!(Some(&known[1].1), whole.state(&shipment).as_ref());
    // By hand: all 12 g of the jug are on their way.
    let sent = serde_json::to_value(&known[1].1).unwrap();
    let grams = sent.pointer("/what/shipment/sent/grams").unwrap();
    assert_eq!(grams.as_str().unwrap().parse::<f64>().unwrap(), 12.0);
}

#[test]
fn amending_with_an_earlier_day_is_folding_with_it_in_its_place() {
    let entries = year();
    let (extra, rest): (Vec<Entry>, Vec<Entry>) = entries
        .iter()
        .cloned()
        .partition(|e| matches!(e.event, Event::Inspected(_)));
    let late = extra.first().unwrap();
    let book = amend(&rest, late, RuleSet::unspecified(), &mut Notes::default()).unwrap();
    let mut together = rest.clone();
    together.push(late.clone());
    assert_eq!(states(&book), states(&folded(&together)));
}

#[test]
fn an_entry_that_makes_a_later_one_impossible_names_it() {
    let entries: Vec<Entry> = [
        json!({"id": "1", "on": "2026-01-02", "recorded_by": "A.", "event": {"opened": {"batch": {"id": "jug", "kind": "fixer", "volume_l": "4"}}}}),
        json!({"id": "2", "on": "2026-03-02", "recorded_by": "A.", "event": {"topped_up": {"batch": "jug", "water_l": "1"}}}),
    ]
    .map(made)
    .into();
    let early = made(
        json!({"id": "3", "on": "2026-02-02", "recorded_by": "A.", "event": {"collected": {"batch": "jug", "part": {"all": {}}, "haulier": "H."}}}),
    );
    let refused = amend(
        &entries,
        &early,
        RuleSet::unspecified(),
        &mut Notes::default(),
    );
    let Err(Refused::Later { entry, faults }) = refused else {
        panic!("{refused:?}");
    };
    assert_eq!(entry, Identifier::new("2").unwrap());
    assert_eq!(faults.list()[0].pointer, "/event/topped_up/batch");
    let gone = made(
        json!({"id": "4", "on": "2026-03-03", "recorded_by": "A.", "event": {"reversed": {"entry": "9", "reason": "wrong"}}}),
    );
    let Err(Refused::Entry(faults)) = amend(
        &entries,
        &gone,
        RuleSet::unspecified(),
        &mut Notes::default(),
    ) else {
        panic!("there is no entry 9");
    };
    assert_eq!(faults.list()[0].pointer, "/event/reversed/entry");
    assert_eq!(faults.list()[0].kind, FaultKind::Unknown);
}
