//! The silver book: its laws, and a story whose figures are worked out by hand.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use proptest::prelude::*;
use rust_decimal::Decimal;
use serde_json::{Value, json};
use spent_silver_domain::answer::{Notes, Severity};
use spent_silver_domain::fault::FaultKind;
use spent_silver_domain::ledger::{
    Book, Entry, LineKind, SilverAccount, SilverAccountRequest, account_silver, fold,
};
use spent_silver_domain::quantity::{Date, Identifier};
use spent_silver_domain::waste::rule_set::RuleSet;

/// M(Ag) / M(AgNO3) = 107.8682 / 169.8722 (IUPAC abridged atomic weights).
const SILVER_IN_NITRATE: f64 = 107.8682 / 169.8722;

fn entry(id: &str, on: &str, event: &Value) -> Value {
    json!({"id": id, "on": on, "recorded_by": "A. Printer", "event": event})
}

fn entries(list: &[Value]) -> Vec<Entry> {
    list.iter()
        .map(|e| serde_json::from_str(&e.to_string()).unwrap())
        .collect()
}

fn folded(list: &[Value]) -> Book {
    fold(
        &entries(list),
        None,
        RuleSet::unspecified(),
        &mut Notes::new(),
    )
    .unwrap()
}

/// The only fault of these entries: its pointer, kind and words.
fn fault(list: &[Value]) -> (String, FaultKind, String) {
    let faults = fold(
        &entries(list),
        None,
        RuleSet::unspecified(),
        &mut Notes::new(),
    )
    .unwrap_err();
    assert_eq!(faults.list().len(), 1, "{faults}");
    let fault = &faults.list()[0];
    (fault.pointer.clone(), fault.kind, fault.detail.clone())
}

fn name(text: &str) -> Identifier {
    Identifier::new(text).unwrap()
}

fn holds(book: &Book, container: &str) -> f64 {
    let (grams, _) = book.holding(&name(container)).unwrap().silver_g().unwrap();
    grams.to_string().parse().unwrap()
}

fn total(book: &Book) -> Decimal {
    book.holdings().map(|(_, h)| h.silver_g().unwrap().0).sum()
}

fn account(list: &[Value], from: &str, until: &str) -> SilverAccount {
    let request = json!({"entries": list, "from": from, "until": until});
    let request: SilverAccountRequest = serde_json::from_str(&request.to_string()).unwrap();
    account_silver(&request).unwrap().result
}

fn line(account: &SilverAccount, what: LineKind) -> f64 {
    account
        .lines
        .iter()
        .find(|l| l.what == what)
        .unwrap()
        .silver_g
        .get()
}

fn opened(id: &str, on: &str, batch: &Value) -> Value {
    entry(id, on, &json!({"opened": {"batch": batch}}))
}

/// A bottle, a bath, its drips, a fixer, and what a refiner made of the sludge.
fn story() -> Vec<Value> {
    vec![
        entry(
            "e1",
            "2026-01-02",
            &json!({"opened": {"origin": "bought", "batch": {
            "id": "bottle", "kind": "unused_chemical", "status": "unused", "mass_kg": {"value": "0.200", "standard_uncertainty": "0"},
            "composition": [{"substance": "silver_nitrate"}],
            "evidence": [{"stated": {"silver_g": {"value": "127", "standard_uncertainty": "0"}}}]}}}),
        ),
        opened(
            "e2",
            "2026-01-03",
            &json!({"id": "bath", "kind": "sensitizing_bath", "status": "in_use", "craft": "collodion"}),
        ),
        entry(
            "e3",
            "2026-01-03",
            &json!({"made_up": {"batch": "bath", "from": "bottle",
            "silver_nitrate_g": {"value": "100", "standard_uncertainty": "0"}, "purity_percent": {"value": "100", "standard_uncertainty": "0"},
            "volume_after_l": {"value": "1.25", "standard_uncertainty": "0"}}}),
        ),
        entry(
            "e4",
            "2026-02-10",
            &json!({"processed": {"batch": "bath", "work": {"sensitized": {
            "plate_area_m2": {"value": "2", "standard_uncertainty": "0"},
            "silver_nitrate_loss_g_per_m2": {"value": "10", "standard_uncertainty": "0"}}}}}),
        ),
        opened(
            "e5",
            "2026-02-11",
            &json!({"id": "drips", "kind": "drip", "status": "spent", "craft": "collodion"}),
        ),
        entry(
            "e6",
            "2026-02-11",
            &json!({"transferred": {"from": "bath", "into": "drips",
            "part": {"volume_l": {"value": "0.25", "standard_uncertainty": "0"}}}}),
        ),
        entry(
            "e7",
            "2026-03-01",
            &json!({"topped_up": {"batch": "bath", "water_l": {"value": "0.2", "standard_uncertainty": "0"}}}),
        ),
        entry(
            "e8",
            "2026-04-01",
            &json!({"shipped": {"batch": "drips", "part": {"all": {}}, "shipment": "s-1"}}),
        ),
        entry(
            "e9",
            "2026-05-01",
            &json!({"settled": {"shipment": "s-1", "silver_g": {"value": "10", "standard_uncertainty": "0.1"}}}),
        ),
        entry("e10", "2026-05-02", &json!({"closed": {"batch": "drips"}})),
    ]
}

#[test]
fn a_story_comes_to_the_figures_worked_out_by_hand() {
    let book = folded(&story());
    // 100 g of nitrate went in; 2 m2 took 20 g; a fifth of the rest went to the drips.
    let bath = (100.0 - 20.0) * SILVER_IN_NITRATE * 4.0 / 5.0;
    assert!(
        (holds(&book, "bath") - bath).abs() < 1e-6,
        "{}",
        holds(&book, "bath")
    );
    assert!((holds(&book, "bottle") - (127.0 - 100.0 * SILVER_IN_NITRATE)).abs() < 1e-6);
    let bottle = book.holding(&name("bottle")).unwrap().batch();
    assert!((bottle.mass_kg.unwrap().as_f64() - 0.1).abs() < 1e-12);
    let volume = book
        .holding(&name("bath"))
        .unwrap()
        .batch()
        .volume_l
        .unwrap();
    assert!((volume.as_f64() - 1.2).abs() < 1e-12);
    let drips = book.holding(&name("drips")).unwrap();
    assert!(drips.is_empty());
    assert_eq!(drips.closed_on, Some(Date::parse("2026-05-02").unwrap()));

    let year = account(&story(), "2026-01-01", "2026-12-31");
    let shipped = 80.0 * SILVER_IN_NITRATE / 5.0;
    assert!((line(&year, LineKind::Bought) - 127.0).abs() < 1e-9);
    assert!((line(&year, LineKind::ToMaterial) - 20.0 * SILVER_IN_NITRATE).abs() < 1e-6);
    assert!((line(&year, LineKind::Shipped) - shipped).abs() < 1e-6);
    assert!(
        (line(&year, LineKind::AtEnd) - (127.0 - 20.0 * SILVER_IN_NITRATE - shipped)).abs() < 1e-6
    );
    assert!(line(&year, LineKind::Unexplained).abs() < 1e-9);
    // Spent silver: none at the start, what the drips took was sent.
    assert!((year.recovery_figures.sent_g.get() - shipped).abs() < 1e-6);
    assert!((year.recovery_figures.generated_or_received_g.get() - shipped).abs() < 1e-6);
    assert_eq!(year.recovery_figures.turnover_percent, None);
    assert_eq!(year.shipments.len(), 1);
    let shipment = &year.shipments[0];
    assert!((shipment.settled_g.unwrap().get() - 10.0).abs() < 1e-9);
    let far = (10.0 - shipped) / 0.1;
    assert!((shipment.standardized_difference.unwrap().get() - far).abs() < 1e-6);
    // The refiner's statement checks the records: 10.00 +- 0.10 g against 10.16 g.
    let checked = year.reconciliation.unwrap();
    let z = (10.0 - shipped) / 0.1;
    assert_eq!(checked.check_count, 1);
    assert!(
        (checked.chi_square.get() - z * z).abs() < 1e-6,
        "{:?}",
        checked.chi_square
    );
}

#[test]
fn the_account_of_a_period_begins_where_the_one_before_it_ended() {
    let first = account(&story(), "2026-01-01", "2026-03-31");
    let second = account(&story(), "2026-04-01", "2026-12-31");
    let whole = account(&story(), "2026-01-01", "2026-12-31");
    assert!((line(&first, LineKind::AtEnd) - line(&second, LineKind::AtStart)).abs() < 1e-12);
    for what in [LineKind::Bought, LineKind::ToMaterial, LineKind::Shipped] {
        let sum = line(&first, what) + line(&second, what);
        assert!((sum - line(&whole, what)).abs() < 1e-9, "{what:?}");
    }
}

#[test]
fn a_reversal_restores_the_balance_exactly() {
    let before = folded(&story());
    let mut list = story();
    list.push(entry(
        "e11",
        "2026-06-01",
        &json!({"replenished": {"batch": "bath", "silver_nitrate_g": "31.7"}}),
    ));
    let wrong = folded(&list);
    assert!(holds(&wrong, "bath") > holds(&before, "bath") + 15.0);
    list.push(entry(
        "e12",
        "2026-06-03",
        &json!({"reversed": {"entry": "e11", "reason": "weighed twice"}}),
    ));
    let after = folded(&list);
    for (container, holding) in before.holdings() {
        assert_eq!(after.holding(container), Some(holding), "{container}");
    }
}

#[test]
fn folding_step_by_step_is_folding_in_one_go() {
    let list = entries(&story());
    let whole = fold(&list, None, RuleSet::unspecified(), &mut Notes::new()).unwrap();
    let mut book = Book::default();
    for (i, entry) in list.iter().enumerate() {
        book.enter(
            entry,
            &format!("/entries/{i}"),
            RuleSet::unspecified(),
            &mut Notes::new(),
        )
        .unwrap();
    }
    assert_eq!(book, whole);
}

#[test]
fn a_reading_takes_the_place_of_what_was_reckoned_and_the_difference_is_shown() {
    // Records say 40 +- 2 g in 1.2 L; the laboratory finds 29.0 +- 0.4 g/L, 34.8 +- 0.48 g; then water
    // goes in, so that the two are made into one: their mean, weighted by the inverse of the variances.
    let list = [
        opened(
            "a",
            "2026-06-01",
            &json!({"id": "bath", "kind": "sensitizing_bath", "status": "in_use",
            "volume_l": {"value": "1.2", "standard_uncertainty": "0"},
            "evidence": [{"stated": {"silver_g": {"value": "40", "standard_uncertainty": "2"}}}]}),
        ),
        entry(
            "b",
            "2026-07-01",
            &json!({"measured": {"batch": "bath", "reading": {"laboratory_assay":
            {"silver_mg_per_l": {"value": "29000", "standard_uncertainty": "400"}}}}}),
        ),
        entry(
            "c",
            "2026-07-02",
            &json!({"topped_up": {"batch": "bath", "water_l": "0.1"}}),
        ),
    ];
    let (records, read) = (1.0 / (2.0 * 2.0), 1.0 / (0.48 * 0.48));
    let mean = (40.0 * records + 34.8 * read) / (records + read);
    let year = account(&list, "2026-01-01", "2026-12-31");
    let held = year.containers[0].silver_g.unwrap().get();
    assert!((held - mean).abs() < 1e-6, "{held} against {mean}");
    assert!((line(&year, LineKind::Unexplained) - (mean - 40.0)).abs() < 1e-6);
    let balance: f64 = year
        .lines
        .iter()
        .map(|l| match l.what {
            LineKind::AtStart
            | LineKind::TakenIn
            | LineKind::Bought
            | LineKind::Received
            | LineKind::FromMaterial
            | LineKind::Unexplained => l.silver_g.get(),
            LineKind::AtEnd
            | LineKind::ToMaterial
            | LineKind::Shipped
            | LineKind::Collected
            | LineKind::Discharged
            | LineKind::Lost => -l.silver_g.get(),
        })
        .sum();
    assert!(
        balance.abs() < 1e-6,
        "the account does not close: {balance}"
    );
    assert_eq!(year.reconciliation.unwrap().check_count, 1);
}

/// Two baths share a make-up; one of four readings is wrong by a tenth, and reconciliation names it.
#[test]
fn a_gross_error_is_found_and_named() {
    let bath = |id: &str, day: &str, container: &str| {
        opened(
            id,
            day,
            &json!({"id": container, "kind": "sensitizing_bath", "status": "in_use"}),
        )
    };
    let assay = |id: &str, day: &str, container: &str, mg_per_l: &str| {
        entry(
            id,
            day,
            &json!({"measured": {"batch": container, "reading": {"laboratory_assay":
            {"silver_mg_per_l": {"value": mg_per_l, "standard_uncertainty": "400"}}}}}),
        )
    };
    let mut list = vec![
        bath("a", "2026-01-01", "one"),
        bath("b", "2026-01-01", "two"),
        // 100 g of nitrate in 1 L: 63.5 g of silver.
        entry(
            "c",
            "2026-01-02",
            &json!({"made_up": {"batch": "one",
            "silver_nitrate_g": {"value": "100", "standard_uncertainty": "0.1"},
            "purity_percent": {"value": "100", "standard_uncertainty": "0.1"},
            "volume_after_l": {"value": "1", "standard_uncertainty": "0.001"}}}),
        ),
        assay("d", "2026-01-03", "one", "63700"),
        entry(
            "e",
            "2026-01-04",
            &json!({"transferred": {"from": "one", "into": "two",
            "part": {"volume_l": {"value": "0.5", "standard_uncertainty": "0.001"}}}}),
        ),
        assay("f", "2026-01-05", "two", "63200"),
    ];
    let agreed = account(&list, "2026-01-01", "2026-12-31")
        .reconciliation
        .unwrap();
    assert_eq!((agreed.check_count, agreed.agree), (2, true));
    assert!(agreed.suspects.is_empty());

    list.push(assay("g", "2026-01-06", "one", "57000"));
    let disagreed = account(&list, "2026-01-01", "2026-12-31")
        .reconciliation
        .unwrap();
    assert!(!disagreed.agree);
    assert_eq!(disagreed.suspects.len(), 1);
    let suspect = &disagreed.suspects[0];
    assert_eq!(suspect.entry, Some(name("g")));
    // 57.0 g/L in half a litre was written; everything else says half of 63.5.
    assert!((suspect.recorded_g.get() - 28.5).abs() < 0.1);
    assert!(
        (suspect.expected_g.unwrap().get() - 31.75).abs() < 0.2,
        "{suspect:?}"
    );
}

/// Readings that agree give the weighted mean of all of them, however they follow each other: three
/// readings of one jug, 10.0, 10.4 and 9.8 g, each with 0.2 g.
#[test]
fn readings_of_a_jug_that_nobody_touched_close_to_their_mean() {
    let mut list = vec![opened(
        "a",
        "2026-01-01",
        &json!({"id": "jug", "kind": "fixer",
        "composition": [{"substance": "sodium_thiosulfate"}], "volume_l": {"value": "2", "standard_uncertainty": "0"}}),
    )];
    for (i, grams) in ["10.0", "10.4", "9.8"].into_iter().enumerate() {
        list.push(entry(
            &format!("r{i}"),
            &format!("2026-02-0{}", i + 1),
            &json!({"measured": {"batch": "jug",
            "reading": {"stated": {"silver_g": {"value": grams, "standard_uncertainty": "0.2"}}}}}),
        ));
    }
    let year = account(&list, "2026-01-01", "2026-12-31");
    let mean = (10.0 + 10.4 + 9.8) / 3.0;
    assert!((year.containers[0].reconciled_g.unwrap().get() - mean).abs() < 1e-9);
    let checked = year.reconciliation.unwrap();
    let chi_square: f64 = [10.0f64, 10.4, 9.8]
        .iter()
        .map(|x| ((x - mean) / 0.2).powi(2))
        .sum();
    assert!((checked.chi_square.get() - chi_square).abs() < 1e-6);
    assert_eq!(checked.check_count, 2);
}

#[test]
fn more_readings_than_are_compared_are_said_and_not_compared() {
    let mut list = vec![opened(
        "a",
        "2026-01-01",
        &json!({"id": "jug", "kind": "fixer", "volume_l": "2",
        "composition": [{"substance": "sodium_thiosulfate"}], "evidence": [{"stated": {"silver_g": "10"}}]}),
    )];
    for i in 0..301 {
        // A volume settles the readings before it, so that no container carries hundreds.
        list.push(entry(
            &format!("r{i}"),
            "2026-02-01",
            &json!({"measured": {"batch": "jug", "volume_l": "2",
            "reading": {"stated": {"silver_g": "10"}}}}),
        ));
    }
    let request = json!({"entries": list, "from": "2026-01-01", "until": "2026-12-31"});
    let request: SilverAccountRequest = serde_json::from_str(&request.to_string()).unwrap();
    let answer = account_silver(&request).unwrap();
    assert_eq!(answer.result.reconciliation, None);
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.text.contains("301 readings are more than the 300"))
    );
}

#[test]
fn a_container_that_must_not_be_kept_is_a_danger_in_the_account_until_it_is_empty() {
    let mut list = vec![opened(
        "a",
        "2026-01-01",
        &json!({"id": "bottle", "kind": "ammoniacal_silver", "volume_l": "0.25"}),
    )];
    let dangers = |list: &[Value]| {
        let request = json!({"entries": list, "from": "2026-01-01", "until": "2026-12-31"});
        let request: SilverAccountRequest = serde_json::from_str(&request.to_string()).unwrap();
        let answer = account_silver(&request).unwrap();
        answer
            .warnings
            .into_iter()
            .filter(|w| w.severity == Severity::Danger && w.text.starts_with("bottle: "))
            .count()
    };
    assert_eq!(dangers(&list), 1);
    list.push(entry("b", "2026-01-02", &json!({"collected": {"batch": "bottle", "part": {"all": {}}, "haulier": "an invented haulier"}})));
    assert_eq!(dangers(&list), 0);
}

#[test]
fn every_bare_amount_is_listed_among_the_assumptions() {
    let mut list = vec![
        opened(
            "a",
            "2026-01-01",
            &json!({"id": "jug", "kind": "fixer", "volume_l": "2", "mass_kg": "2.1",
            "composition": [{"substance": "sodium_thiosulfate"}], "evidence": [{"stated": {"silver_g": {"value": "8", "standard_uncertainty": "0.1"}}}]}),
        ),
        entry(
            "b",
            "2026-01-02",
            &json!({"topped_up": {"batch": "jug", "water_l": "0.5"}}),
        ),
        entry(
            "c",
            "2026-01-03",
            &json!({"measured": {"batch": "jug", "volume_l": "2.4"}}),
        ),
        entry(
            "d",
            "2026-01-04",
            &json!({"spilled": {"batch": "jug", "part": {"volume_l": "0.1"}, "what": "wiped up"}}),
        ),
    ];
    let fields = |list: &[Value]| -> Vec<String> {
        let request = json!({"entries": list, "from": "2026-01-01", "until": "2026-12-31"});
        let request: SilverAccountRequest = serde_json::from_str(&request.to_string()).unwrap();
        account_silver(&request)
            .unwrap()
            .assumptions
            .into_iter()
            .map(|a| a.field)
            .collect()
    };
    let bare = fields(&list);
    for expected in [
        "/entries/0/event/opened/batch/volume_l",
        "/entries/0/event/opened/batch/mass_kg",
        "/entries/1/event/topped_up/water_l",
        "/entries/2/event/measured/volume_l",
        "/entries/3/event/spilled/part/volume_l",
    ] {
        assert!(
            bare.iter().any(|f| f == expected),
            "{expected} is not in {bare:?}"
        );
    }
    // A figure with its own uncertainty needs none of ours.
    list[3] = entry(
        "d",
        "2026-01-04",
        &json!({"spilled": {"batch": "jug",
        "part": {"volume_l": {"value": "0.1", "standard_uncertainty": "0.01"}}, "what": "wiped up"}}),
    );
    assert!(!fields(&list).iter().any(|f| f.starts_with("/entries/3/")));
}

#[test]
fn a_dangerous_mixture_is_refused_unless_it_is_told_as_an_accident() {
    let mut list = vec![
        opened(
            "a",
            "2026-01-01",
            &json!({"id": "kcn", "kind": "cyanide_fixer", "volume_l": "1"}),
        ),
        opened(
            "b",
            "2026-01-01",
            &json!({"id": "stop", "kind": "stop_bath", "volume_l": "1"}),
        ),
        entry(
            "c",
            "2026-01-02",
            &json!({"transferred": {"from": "stop", "into": "kcn", "part": {"all": {}}}}),
        ),
    ];
    let (pointer, kind, words) = fault(&list);
    assert_eq!(pointer, "/entries/2/event/transferred/into");
    assert_eq!(kind, FaultKind::NotApplicable);
    assert!(
        words.contains("does not go into") && words.contains("incident"),
        "{words}"
    );
    list[2] = entry(
        "c",
        "2026-01-02",
        &json!({"transferred": {"from": "stop", "into": "kcn", "part": {"all": {}},
        "incident": "Knocked over; room left, fire brigade called."}}),
    );
    let mut notes = Notes::new();
    fold(&entries(&list), None, RuleSet::unspecified(), &mut notes).unwrap();
    assert!(
        notes
            .warnings()
            .iter()
            .any(|w| w.text.contains("Knocked over"))
    );
}

#[test]
fn what_was_mixed_in_spite_of_a_caution_is_said_once() {
    let fixer = |id: &str| {
        opened(
            id,
            "2026-01-01",
            &json!({"id": id, "kind": "cyanide_fixer", "volume_l": "1"}),
        )
    };
    let pour = |id: &str, on: &str| {
        entry(
            id,
            on,
            &json!({"transferred": {"from": "old", "into": "new", "part": {"volume_l": "0.1"}}}),
        )
    };
    let warned = |list: &[Value]| -> Vec<String> {
        let mut notes = Notes::new();
        fold(&entries(list), None, RuleSet::unspecified(), &mut notes).unwrap();
        let warnings = notes.warnings().iter();
        let mixed = warnings.filter(|w| w.text.starts_with("`old` was poured into `new`."));
        mixed.map(|w| w.text.clone()).collect()
    };
    let mut list = vec![fixer("old"), fixer("new"), pour("a", "2026-01-02")];
    let once = warned(&list);
    // Two of cyanide mix while both are strongly alkaline: what is not gives off a gas that kills.
    assert!(once.iter().any(|w| w.contains("alkaline")), "{once:?}");
    list.push(pour("b", "2026-01-03"));
    assert_eq!(warned(&list), once);
}

#[test]
fn what_cannot_be_is_refused_where_it_stands() {
    let jug = |id: &str| {
        opened(
            id,
            "2026-01-01",
            &json!({"id": id, "kind": "fixer", "volume_l": {"value": "2", "standard_uncertainty": "0"},
        "composition": [{"substance": "sodium_thiosulfate"}],
        "evidence": [{"stated": {"silver_g": {"value": "8", "standard_uncertainty": "0.1"}}}]}),
        )
    };
    let more = |event: &Value| vec![jug("a"), jug("b"), entry("x", "2026-02-01", event)];
    let pour = |part: &Value| json!({"transferred": {"from": "a", "into": "b", "part": part}});
    let cases = [
        (
            pour(&json!({"volume_l": {"value": "2.5", "standard_uncertainty": "0"}})),
            "/transferred/part/volume_l",
            FaultKind::OutOfRange,
        ),
        (
            pour(&json!({"volume_l": "0"})),
            "/transferred/part/volume_l",
            FaultKind::OutOfRange,
        ),
        (
            pour(&json!({"mass_kg": "1"})),
            "/transferred/part/mass_kg",
            FaultKind::Missing,
        ),
        (
            json!({"transferred": {"from": "a", "into": "a", "part": {"all": {}}}}),
            "/transferred/into",
            FaultKind::Conflict,
        ),
        (
            json!({"transferred": {"from": "a", "into": "c", "part": {"all": {}}}}),
            "/transferred/into",
            FaultKind::Unknown,
        ),
        (
            json!({"spent": {"batch": "c"}}),
            "/spent/batch",
            FaultKind::Unknown,
        ),
        (
            json!({"closed": {"batch": "a"}}),
            "/closed/written_off",
            FaultKind::Missing,
        ),
        (
            json!({"settled": {"shipment": "s", "silver_g": "1"}}),
            "/settled/shipment",
            FaultKind::Unknown,
        ),
        (
            json!({"measured": {"batch": "a"}}),
            "/measured/reading",
            FaultKind::Missing,
        ),
        (
            json!({"measured": {"batch": "a", "reading": {"stated": {"silver_g": "3", "measured_on": "2026-01-31"}}}}),
            "/measured/reading/stated/measured_on",
            FaultKind::DateOrder,
        ),
        (
            json!({"made_up": {"batch": "a", "silver_nitrate_g": "3"}}),
            "/made_up/batch",
            FaultKind::Conflict,
        ),
        (
            json!({"topped_up": {"batch": "a", "water_l": "0"}}),
            "/topped_up/water_l",
            FaultKind::OutOfRange,
        ),
        (
            json!({"opened": {"batch": {"id": "a", "kind": "fixer"}}}),
            "/opened/batch/id",
            FaultKind::Conflict,
        ),
        (
            json!({"product_recovered": {"batch": "a", "into": "b", "product": {"wet_mass_g": "90",
            "moisture_percent": "0", "compound": "silver_chloride"}}}),
            "/product_recovered/product",
            FaultKind::OutOfRange,
        ),
        (
            json!({"processed": {"batch": "a", "work": {"sensitized": {}}}}),
            "/processed/work/sensitized/plates",
            FaultKind::Missing,
        ),
        (
            json!({"processed": {"batch": "a", "work": {"fixed": {"items": []}}}}),
            "/processed/work/fixed/items",
            FaultKind::Missing,
        ),
        (
            json!({"reversed": {"entry": "y", "reason": "none"}}),
            "/reversed/entry",
            FaultKind::Unknown,
        ),
    ];
    for (event, pointer, kind) in cases {
        let (at, found, words) = fault(&more(&event));
        assert_eq!(at, format!("/entries/2/event{pointer}"), "{words}");
        assert_eq!(found, kind, "{at}: {words}");
        assert!(
            words.contains("expected") || words.contains("record it"),
            "{words}"
        );
    }
    let (at, kind, _) = fault(&[jug("a"), jug("a")]);
    assert_eq!((at.as_str(), kind), ("/entries/1/id", FaultKind::Conflict));
}

#[test]
fn an_entry_of_an_earlier_day_is_refused_where_it_makes_a_later_one_impossible() {
    let mut list = story();
    list.push(entry(
        "late",
        "2026-01-20",
        &json!({"spilled": {"batch": "bath", "part": {"all": {}}, "what": "the tank broke"}}),
    ));
    let (pointer, _, words) = fault(&list);
    // e4, the plates of February, find the bath empty.
    assert_eq!(pointer, "/entries/3/event/processed/batch", "{words}");
}

/// The days of a waste are those of what is in the container, by the entries that made it waste.
#[test]
fn a_waste_begins_on_the_day_it_went_among_waste() {
    let fixer = |id: &str, more: &Value| {
        let mut batch = json!({"id": id, "kind": "fixer", "volume_l": "2"});
        batch
            .as_object_mut()
            .unwrap()
            .extend(more.as_object().unwrap().clone());
        batch
    };
    let since = |book: &Book, id: &str| {
        let holding = book.holding(&name(id)).unwrap();
        holding.batch().waste_since.map(|day| day.to_string())
    };
    let all = json!({"all": {}});
    let mut list = vec![
        opened(
            "1",
            "2026-01-05",
            &fixer("tray", &json!({"status": "in_use"})),
        ),
        opened(
            "2",
            "2026-01-05",
            &json!({"id": "drum", "kind": "fixer", "status": "spent"}),
        ),
        opened(
            "3",
            "2026-01-05",
            &fixer("jug", &json!({"status": "in_use"})),
        ),
        // Working liquid into an empty drum for waste.
        entry(
            "4",
            "2026-02-01",
            &json!({"transferred": {"from": "tray", "into": "drum", "part": all}}),
        ),
        // Treated where it stood at work.
        entry(
            "5",
            "2026-02-03",
            &json!({"treated": {"batch": "jug", "what": "The silver was taken out."}}),
        ),
    ];
    let book = folded(&list);
    assert_eq!(since(&book, "drum").as_deref(), Some("2026-02-01"));
    assert_eq!(since(&book, "jug").as_deref(), Some("2026-02-03"));
    // Emptied and filled again: the clock begins anew.
    list.push(entry(
        "6",
        "2026-03-01",
        &json!({"collected": {"batch": "drum", "part": all, "haulier": "H."}}),
    ));
    assert_eq!(since(&folded(&list), "drum"), None);
    list.push(opened(
        "7",
        "2026-03-02",
        &fixer("tub", &json!({"status": "in_use"})),
    ));
    list.push(entry(
        "8",
        "2026-04-01",
        &json!({"transferred": {"from": "tub", "into": "drum", "part": all}}),
    ));
    assert_eq!(since(&folded(&list), "drum").as_deref(), Some("2026-04-01"));
    // An older waste that joins it makes the whole as old.
    list.push(opened(
        "9",
        "2026-04-02",
        &fixer(
            "old",
            &json!({"status": "spent", "waste_since": "2026-01-20"}),
        ),
    ));
    list.push(entry(
        "10",
        "2026-04-03",
        &json!({"transferred": {"from": "old", "into": "drum", "part": all}}),
    ));
    assert_eq!(since(&folded(&list), "drum").as_deref(), Some("2026-01-20"));
}

#[test]
fn silver_that_is_unknown_stays_unknown_until_it_is_read() {
    let mut list = vec![opened(
        "a",
        "2026-01-01",
        &json!({"id": "jug", "kind": "rinse_water", "volume_l": {"value": "10", "standard_uncertainty": "0"}}),
    )];
    assert_eq!(
        folded(&list).holding(&name("jug")).unwrap().silver_g(),
        None
    );
    let unknown = account(&list, "2026-01-01", "2026-12-31");
    let end = unknown
        .lines
        .iter()
        .find(|l| l.what == LineKind::AtEnd)
        .unwrap();
    assert_eq!(end.unknown_count, 1);
    list.push(entry(
        "b",
        "2026-02-01",
        &json!({"measured": {"batch": "jug", "reading": {"laboratory_assay":
        {"silver_mg_per_l": {"value": "40", "standard_uncertainty": "2"}}}}}),
    ));
    list.push(entry(
        "c",
        "2026-02-02",
        &json!({"topped_up": {"batch": "jug", "water_l": "1"}}),
    ));
    let read = account(&list, "2026-01-01", "2026-12-31");
    assert!((line(&read, LineKind::TakenIn) - 0.4).abs() < 1e-9);
    assert!((line(&read, LineKind::AtEnd) - 0.4).abs() < 1e-9);
    assert!(line(&read, LineKind::Unexplained).abs() < 1e-12);
    // A reading that the book rests on checks nothing.
    assert_eq!(read.reconciliation, None);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever is poured where, the silver of all containers together stays the same to the last digit,
    /// and the order of recording does not matter where days decide.
    #[test]
    fn silver_is_conserved_and_days_decide(
        pours in prop::collection::vec((0usize..4, 0usize..4, 1u32..400), 1..25),
        shuffle in any::<u64>(),
    ) {
        let mut list: Vec<Value> = (0..4).map(|i| opened(&format!("o{i}"), "2026-01-01", &json!({
            "id": format!("jug{i}"), "kind": "fixer", "volume_l": {"value": "3.7", "standard_uncertainty": "0.05"},
            "composition": [{"substance": "sodium_thiosulfate", "g_per_l": "150"}],
            "evidence": [{"stated": {"silver_g": {"value": format!("{}.337", i + 3), "standard_uncertainty": "0.2"}}}]}))).collect();
        let start = Date::parse("2026-02-01").unwrap();
        for (i, (from, into, ml)) in pours.iter().enumerate() {
            if from == into {
                continue;
            }
            let day = start.plus_days(i64::try_from(i).unwrap());
            list.push(entry(&format!("p{i}"), &day.to_string(), &json!({"transferred": {
                "from": format!("jug{from}"), "into": format!("jug{into}"),
                "part": {"volume_l": {"value": format!("{}", f64::from(*ml) / 1000.0), "standard_uncertainty": "0.01"}}}})));
        }
        // A pour that finds its jug short is refused; the law is about those that go.
        let all = entries(&list);
        let mut notes = Notes::new();
        prop_assume!(fold(&all, None, RuleSet::unspecified(), &mut notes).is_ok());
        let book = folded(&list);
        let expected: Decimal = "19.348".parse().unwrap();
        // 3.337 + 4.337 + 5.337 + 6.337.
        prop_assert_eq!(total(&book), expected);

        let mut shuffled = all[4..].to_vec();
        let mut state = shuffle | 1;
        for i in (1..shuffled.len()).rev() {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            shuffled.swap(i, usize::try_from(state >> 33).unwrap() % (i + 1));
        }
        let mut mixed = all[..4].to_vec();
        mixed.extend(shuffled);
        let again = fold(&mixed, None, RuleSet::unspecified(), &mut Notes::new()).unwrap();
        prop_assert_eq!(again, book);
    }
}

/// The day water went into waste stays with it, wherever it is poured: 40 CFR 268.3(a).
#[test]
fn water_into_waste_stays_with_it() {
    let opened = |id: &str, name: &str, status: &str| {
        entry(
            id,
            "2026-01-02",
            &json!({"opened": {"batch": {"id": name, "kind": "fixer", "craft": "film_and_paper", "status": status,
            "volume_l": {"value": "2", "standard_uncertainty": "0"}, "composition": [{"substance": "sodium_thiosulfate"}]}}}),
        )
    };
    let water = |id: &str, name: &str| {
        entry(
            id,
            "2026-01-03",
            &json!({"topped_up": {"batch": name, "water_l": {"value": "1", "standard_uncertainty": "0"}}}),
        )
    };
    let book = folded(&[
        opened("1", "waste", "spent"),
        opened("2", "tray", "in_use"),
        opened("3", "jug", "spent"),
        water("4", "waste"),
        water("5", "tray"),
        entry(
            "6",
            "2026-01-04",
            &json!({"transferred": {"from": "waste", "into": "jug", "part": {"volume_l": {"value": "1", "standard_uncertainty": "0"}}}}),
        ),
    ]);
    let diluted = |container: &str| book.holding(&name(container)).unwrap().batch().diluted_on;
    let day = Some(Date::parse("2026-01-03").unwrap());
    assert_eq!(diluted("waste"), day);
    assert_eq!(diluted("jug"), day);
    assert_eq!(diluted("tray"), None);
}

/// Half the fixer by volume was sent, and the silver of the other half nobody knows: its share of the
/// silver cannot be told.
#[test]
fn what_nobody_read_is_counted_in_the_figures_for_recovery() {
    let jug = |name: &str, evidence: Value| {
        let batch = json!({"id": name, "kind": "fixer", "status": "spent", "craft": "film_and_paper",
            "volume_l": {"value": "12", "standard_uncertainty": "0"}, "evidence": evidence});
        opened(&format!("open-{name}"), "2026-06-01", &batch)
    };
    let list = [
        jug(
            "known",
            json!([{"laboratory_assay": {"silver_mg_per_l": "3900"}}]),
        ),
        jug("unread", json!([])),
        entry(
            "s",
            "2027-03-01",
            &json!({"shipped": {"batch": "known", "shipment": "s-1",
                "part": {"volume_l": {"value": "12", "standard_uncertainty": "0"}}}}),
        ),
    ];
    let request = json!({"entries": list, "from": "2027-01-01", "until": "2027-12-31"});
    let request: SilverAccountRequest = serde_json::from_str(&request.to_string()).unwrap();
    let answer = account_silver(&request).unwrap();
    let figures = &answer.result.recovery_figures;
    // 12 L x 3.9 g/L.
    assert!((figures.sent_g.get() - 46.8).abs() < 1e-9);
    assert_eq!(figures.turnover_percent, None);
    assert_eq!(
        (
            figures.unknown_at_start_count,
            figures.unknown_sent_count,
            figures.unknown_at_end_count
        ),
        (1, 0, 1)
    );
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.text.contains("whose silver nobody knows"))
    );
}
