//! The waste register: what an inspector asks for, told as the entries tell it.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use spent_silver_domain::answer::{Answer, Severity};
use spent_silver_domain::batch::BatchStatus;
use spent_silver_domain::bibliography::reference;
use spent_silver_domain::fault::FaultKind;
use spent_silver_domain::ledger::{
    REGISTER_METHODS, RegisterEvent, RegisterRow, WasteRegister, WasteRegisterRequest,
    list_waste_events,
};

fn entry(id: &str, on: &str, event: &Value) -> Value {
    json!({"id": id, "on": on, "recorded_by": "A. Printer", "event": event})
}

/// Fixer at work with 3 g/L of silver, its volume exact.
fn fixer(name: &str, on: &str, litres: &str) -> Value {
    entry(
        &format!("open-{name}"),
        on,
        &json!({"opened": {"batch": {"id": name, "kind": "fixer", "status": "in_use", "craft": "film_and_paper",
            "volume_l": {"value": litres, "standard_uncertainty": "0"},
            "composition": [{"substance": "sodium_thiosulfate", "g_per_l": "150"}],
            "evidence": [{"laboratory_assay": {"silver_mg_per_l": {"value": "3000", "standard_uncertainty": "30"}}}]}}}),
    )
}

fn litres(value: &str) -> Value {
    json!({"volume_l": {"value": value, "standard_uncertainty": "0"}})
}

fn asked(entries: &[Value], from: &str, until: &str) -> Answer<WasteRegister> {
    let request = json!({"entries": entries, "from": from, "until": until});
    let request: WasteRegisterRequest = serde_json::from_str(&request.to_string()).unwrap();
    list_waste_events(&request).unwrap()
}

fn year(entries: &[Value]) -> WasteRegister {
    asked(entries, "2026-01-01", "2026-12-31").result
}

fn volume(row: &RegisterRow) -> Option<String> {
    row.volume_l.map(|v| v.decimal().normalize().to_string())
}

fn mass(row: &RegisterRow) -> Option<String> {
    row.mass_kg.map(|m| m.decimal().normalize().to_string())
}

fn told(register: &WasteRegister) -> Vec<(&str, RegisterEvent)> {
    register
        .rows
        .iter()
        .map(|r| (r.entry.as_str(), r.what))
        .collect()
}

/// 10 L at 3 g/L: 30 g when spent, 12 g in the 4 L that were shipped, 15 in the 5 L that went down under a
/// permit, 1.5 in half a litre spilled, and what is left for the haulier.
fn story() -> Vec<Value> {
    vec![
        fixer("jug", "2026-01-05", "10"),
        entry(
            "processed",
            "2026-01-06",
            &json!({"measured": {"batch": "jug", "ph": "5"}}),
        ),
        entry("spent", "2026-02-10", &json!({"spent": {"batch": "jug"}})),
        entry(
            "seen",
            "2026-02-17",
            &json!({"inspected": {"batch": "jug", "found": "shut and dry"}}),
        ),
        entry(
            "place",
            "2026-02-24",
            &json!({"inspected": {"found": "trays dry"}}),
        ),
        entry(
            "treated",
            "2026-03-01",
            &json!({"treated": {"batch": "jug", "what": "pH raised for the plating unit", "ph": "8"}}),
        ),
        entry(
            "shipped",
            "2026-03-02",
            &json!({"shipped": {"batch": "jug", "part": litres("4"), "shipment": "s-1"}}),
        ),
        entry(
            "down",
            "2026-03-03",
            &json!({"discharged": {"batch": "jug", "part": litres("5"), "permit": "permit 12 of the sewer authority"}}),
        ),
        entry(
            "spill",
            "2026-03-04",
            &json!({"spilled": {"batch": "jug", "part": litres("0.5"), "what": "the cap was loose; mopped up"}}),
        ),
        json!({"id": "van", "on": "2026-04-01", "recorded_by": "A. Printer", "supervised_by": "B. Warden", "note": "at noon",
            "event": {"collected": {"batch": "jug", "part": {"all": {}}, "haulier": "a haulier", "consignment": "C-1"}}}),
        entry(
            "settled",
            "2026-04-20",
            &json!({"settled": {"shipment": "s-1", "silver_g": {"value": "11.8", "standard_uncertainty": "0.1"}}}),
        ),
        entry("closed", "2026-04-21", &json!({"closed": {"batch": "jug"}})),
    ]
}

#[test]
fn each_event_an_inspector_asks_for_has_its_row() {
    let register = year(&story());
    assert_eq!(
        told(&register),
        [
            ("spent", RegisterEvent::Generated),
            ("seen", RegisterEvent::Inspected),
            ("place", RegisterEvent::Inspected),
            ("treated", RegisterEvent::Treated),
            ("shipped", RegisterEvent::Shipped),
            ("down", RegisterEvent::Discharged),
            ("spill", RegisterEvent::Spilled),
            ("van", RegisterEvent::Collected),
            ("settled", RegisterEvent::Settled),
            ("closed", RegisterEvent::Closed),
        ]
    );
    let rows = &register.rows;
    let litres: Vec<Option<String>> = rows.iter().map(volume).collect();
    let expected = [
        Some("10"),
        None,
        None,
        Some("10"),
        Some("4"),
        Some("5"),
        Some("0.5"),
        Some("0.5"),
        None,
        None,
    ];
    assert_eq!(litres, expected.map(|v| v.map(str::to_owned)));
    let grams: Vec<Option<f64>> = rows.iter().map(|r| r.silver_g.map(|g| g.get())).collect();
    let expected = [
        Some(30.0),
        None,
        None,
        Some(30.0),
        Some(12.0),
        Some(15.0),
        Some(1.5),
        Some(1.5),
        Some(11.8),
        None,
    ];
    for (found, expected) in grams.iter().zip(expected) {
        match (found, expected) {
            (Some(found), Some(expected)) => assert!((found - expected).abs() < 1e-6, "{grams:?}"),
            (found, expected) => assert_eq!(*found, expected),
        }
    }
    let words: Vec<&str> = rows.iter().filter_map(|r| r.to.as_deref()).collect();
    assert_eq!(
        words,
        [
            "shipment s-1",
            "permit 12 of the sewer authority",
            "a haulier",
            "shipment s-1"
        ]
    );
    let van = &rows[7];
    assert_eq!(van.consignment.as_ref().unwrap().as_str(), "C-1");
    assert_eq!(van.supervised_by.as_ref().unwrap().as_str(), "B. Warden");
    assert_eq!(van.note.as_ref().unwrap().as_str(), "at noon");
    assert_eq!(van.status, Some(BatchStatus::Treated));
    assert_eq!(van.waste_since.unwrap().to_string(), "2026-02-10");
    assert_eq!(rows[1].text, "shut and dry");
    assert_eq!(rows[6].text, "the cap was loose; mopped up");
    assert_eq!(
        (rows[2].container.clone(), rows[8].container.clone()),
        (None, None)
    );
}

#[test]
fn a_period_sees_what_went_before_and_lists_it_not() {
    let register = asked(&story(), "2026-03-04", "2026-04-01").result;
    assert_eq!(
        told(&register),
        [
            ("spill", RegisterEvent::Spilled),
            ("van", RegisterEvent::Collected)
        ]
    );
    assert_eq!(volume(&register.rows[1]).as_deref(), Some("0.5"));
    assert_eq!(register.rows[0].status, Some(BatchStatus::Treated));
}

#[test]
fn what_was_reversed_stands_in_its_place_with_the_reason_and_counts_nothing() {
    let mut list = story();
    list.insert(
        4,
        entry(
            "wrong",
            "2026-02-18",
            &json!({"spilled": {"batch": "jug", "part": litres("3"), "what": "a stain"}}),
        ),
    );
    list.push(entry(
        "back",
        "2026-05-02",
        &json!({"reversed": {"entry": "wrong", "reason": "it was coffee"}}),
    ));
    let answer = asked(&list, "2026-01-01", "2026-12-31");
    let rows = &answer.result.rows;
    let wrong = rows.iter().find(|r| r.entry.as_str() == "wrong").unwrap();
    assert_eq!(wrong.what, RegisterEvent::Spilled);
    assert_eq!(volume(wrong).as_deref(), Some("3"));
    assert_eq!(wrong.silver_g, None, "the book moved none");
    assert_eq!(wrong.reversed_by.as_ref().unwrap().as_str(), "back");
    assert_eq!(wrong.reversed_on.unwrap().to_string(), "2026-05-02");
    assert_eq!(
        wrong.reversal_reason.as_ref().unwrap().as_str(),
        "it was coffee"
    );
    let back = rows.last().unwrap();
    assert_eq!(
        (back.entry.as_str(), back.what),
        ("back", RegisterEvent::Reversal)
    );
    assert!(back.text.contains("it was coffee") && back.text.contains("`wrong`"));
    // The rest reads as if it had never been: 0.5 L spilled in March and nothing in February.
    let spills: Vec<(&str, f64)> = answer
        .result
        .totals
        .iter()
        .filter(|t| t.what == RegisterEvent::Spilled)
        .map(|t| (t.month.as_str(), t.volume_l.get()))
        .collect();
    assert_eq!(spills, [("2026-03", 0.5)]);
    let plain = year(&story());
    let rest: Vec<&RegisterRow> = rows
        .iter()
        .filter(|r| !["wrong", "back"].contains(&r.entry.as_str()))
        .collect();
    assert_eq!(rest, plain.rows.iter().collect::<Vec<_>>());
    // It is shown in its own period, whenever the reversal came.
    let early = asked(&list, "2026-02-01", "2026-02-28").result;
    assert!(early.rows.iter().any(|r| r.reversed_by.is_some()));
}

#[test]
fn an_opening_that_was_reversed_is_shown_too() {
    let list = [
        entry(
            "1",
            "2026-01-05",
            &json!({"opened": {"batch": {"id": "can", "kind": "sludge", "status": "spent", "mass_kg": "2"}}}),
        ),
        entry(
            "2",
            "2026-01-06",
            &json!({"reversed": {"entry": "1", "reason": "entered twice"}}),
        ),
    ];
    let register = year(&list);
    assert_eq!(
        told(&register),
        [
            ("1", RegisterEvent::TakenIn),
            ("2", RegisterEvent::Reversal)
        ]
    );
    assert_eq!(mass(&register.rows[0]).as_deref(), Some("2"));
    assert!(register.rows[0].reversed_by.is_some());
    assert!(register.totals.is_empty());
}

#[test]
fn pouring_makes_waste_moves_it_or_is_nobodys_business() {
    let open = |name: &str, status: &str| {
        entry(
            &format!("open-{name}"),
            "2026-01-02",
            &json!({"opened": {"batch": {"id": name, "kind": "fixer", "status": status, "craft": "film_and_paper"}}}),
        )
    };
    let pour = |id: &str, on: &str, from: &str, into: &str| {
        entry(
            id,
            on,
            &json!({"transferred": {"from": from, "into": into, "part": litres("1")}}),
        )
    };
    let list = [
        fixer("a", "2026-01-01", "10"),
        open("b", "in_use"),
        open("can", "spent"),
        open("drum", "spent"),
        pour("work", "2026-01-03", "a", "b"),
        pour("waste", "2026-01-04", "a", "can"),
        pour("moved", "2026-01-05", "can", "drum"),
    ];
    let register = year(&list);
    assert_eq!(
        told(&register),
        [
            ("waste", RegisterEvent::Generated),
            ("moved", RegisterEvent::Moved)
        ]
    );
    let [made, moved] = &register.rows[..] else {
        panic!("two rows")
    };
    assert_eq!(made.container.as_ref().unwrap().as_str(), "can");
    assert!(made.text.contains("`a`"));
    assert_eq!(
        (volume(made).as_deref(), volume(moved).as_deref()),
        (Some("1"), Some("1"))
    );
    for row in [made, moved] {
        assert!((row.silver_g.unwrap().get() - 3.0).abs() < 1e-6);
    }
    assert_eq!(
        (
            moved.container.as_ref().unwrap().as_str(),
            moved.to.as_deref()
        ),
        ("can", Some("drum"))
    );
}

/// Acid into thiosulfate is blocked by the pour rules, so that it can only be told as an accident.
#[test]
fn an_accident_is_told_in_its_own_words() {
    let list = [
        fixer("jug", "2026-01-01", "10"),
        entry(
            "2",
            "2026-01-02",
            &json!({"opened": {"batch": {"id": "acid", "kind": "stop_bath", "status": "in_use", "volume_l": "1",
            "composition": [{"substance": "acetic_acid", "g_per_l": "200"}], "ph": {"value": "2.4", "standard_uncertainty": "0.2"}}}}),
        ),
        entry(
            "3",
            "2026-01-03",
            &json!({"transferred": {"from": "acid", "into": "jug", "part": {"all": {}},
            "incident": "the wrong bottle; windows opened, room left"}}),
        ),
    ];
    let register = year(&list);
    let row = register
        .rows
        .iter()
        .find(|r| r.entry.as_str() == "3")
        .unwrap();
    assert_eq!(row.what, RegisterEvent::Incident);
    assert_eq!(row.text, "the wrong bottle; windows opened, room left");
    assert_eq!(
        (row.to.as_deref(), volume(row).as_deref()),
        (Some("jug"), Some("1"))
    );
}

#[test]
fn water_into_waste_is_shown_and_warned_of() {
    let water = |id: &str, on: &str| {
        entry(
            id,
            on,
            &json!({"topped_up": {"batch": "jug", "water_l": {"value": "2", "standard_uncertainty": "0"}}}),
        )
    };
    let list = [
        fixer("jug", "2026-01-01", "10"),
        water("at-work", "2026-01-02"),
        entry("spent", "2026-01-03", &json!({"spent": {"batch": "jug"}})),
        water("waste", "2026-01-04"),
    ];
    let answer = asked(&list, "2026-01-01", "2026-12-31");
    assert_eq!(
        told(&answer.result),
        [
            ("spent", RegisterEvent::Generated),
            ("waste", RegisterEvent::WaterAdded)
        ]
    );
    let warning = &answer.warnings[0];
    assert_eq!(
        (warning.severity, warning.about.as_str()),
        (Severity::Caution, "")
    );
    assert!(warning.text.contains("Dilution never"));
}

#[test]
fn months_add_what_was_recorded_and_count_what_was_not() {
    let can = |id: &str, on: &str, amount: &Value| {
        let mut batch = json!({"id": id, "kind": "sludge", "status": "spent"});
        batch
            .as_object_mut()
            .unwrap()
            .extend(amount.as_object().unwrap().clone());
        entry(
            &format!("open-{id}"),
            on,
            &json!({"opened": {"batch": batch}}),
        )
    };
    let list = [
        can("a", "2026-01-05", &json!({"mass_kg": "1.25"})),
        can(
            "b",
            "2026-01-06",
            &json!({"gross_g": "2400", "tare_g": "400"}),
        ),
        can(
            "c",
            "2026-01-31",
            &json!({"evidence": [{"stated": {"silver_g": "3"}}]}),
        ),
        can("d", "2026-02-01", &json!({"mass_kg": "0.5"})),
        entry(
            "w",
            "2026-02-02",
            &json!({"closed": {"batch": "d", "written_off": "the bag was lost"}}),
        ),
    ];
    let answer = asked(&list, "2026-01-01", "2026-12-31");
    let totals: Vec<(&str, RegisterEvent, u32, f64, u32)> = answer
        .result
        .totals
        .iter()
        .map(|t| {
            (
                t.month.as_str(),
                t.what,
                t.row_count,
                t.mass_kg.get(),
                t.unknown_count,
            )
        })
        .collect();
    // 1.25 + (2400 - 400) / 1000 kg, and one that nobody weighed.
    assert_eq!(
        totals,
        [
            ("2026-01", RegisterEvent::TakenIn, 3, 3.25, 1),
            ("2026-02", RegisterEvent::TakenIn, 1, 0.5, 0),
            ("2026-02", RegisterEvent::Closed, 1, 0.5, 0),
        ]
    );
    let unweighed = &answer.warnings[0];
    assert!(unweighed.text.contains("`open-c`") && unweighed.about == "/rows/2");
    assert!(answer.result.rows[4].text.contains("the bag was lost"));
}

/// `unused` and `in_use` are no waste; a spill residue always is; a container of which nobody has said
/// anything is shown, because it may be.
#[test]
fn what_comes_in_is_listed_where_it_is_waste_or_may_be() {
    let open = |id: &str, kind: &str, status: Option<&str>| {
        let mut batch = json!({"id": id, "kind": kind, "mass_kg": "1"});
        if let Some(status) = status {
            batch["status"] = json!(status);
        }
        entry(id, "2026-01-05", &json!({"opened": {"batch": batch}}))
    };
    let register = year(&[
        open("stock", "unused_chemical", Some("unused")),
        open("bath", "sensitizing_bath", Some("in_use")),
        open("mop", "spill_residue", None),
        open("jar", "sludge", None),
    ]);
    assert_eq!(
        told(&register),
        [
            ("mop", RegisterEvent::TakenIn),
            ("jar", RegisterEvent::TakenIn)
        ]
    );
    assert!(register.rows[1].text.contains("nobody has said"));
}

#[test]
fn each_refusal_names_its_place() {
    let fault = |request: &Value| {
        let request: WasteRegisterRequest = serde_json::from_str(&request.to_string()).unwrap();
        let faults = list_waste_events(&request).unwrap_err();
        (faults.list()[0].kind, faults.list()[0].pointer.clone())
    };
    let spent = entry("1", "2026-01-05", &json!({"spent": {"batch": "jug"}}));
    assert_eq!(
        fault(&json!({"entries": [], "from": "2026-02-01", "until": "2026-01-31"})),
        (FaultKind::DateOrder, "/until".to_owned())
    );
    assert_eq!(
        fault(
            &json!({"entries": vec![spent.clone(); 2_001], "from": "2026-01-01", "until": "2026-01-31"})
        ),
        (FaultKind::TooMany, "/entries".to_owned())
    );
    assert_eq!(
        fault(&json!({"entries": [spent], "from": "2026-01-01", "until": "2026-01-31"})),
        (
            FaultKind::Unknown,
            "/entries/0/event/spent/batch".to_owned()
        )
    );
}

#[test]
fn every_source_is_in_the_bibliography() {
    for method in REGISTER_METHODS {
        assert!(reference(method.source).is_some(), "{}", method.source);
    }
}

/// 10 g of sludge at 30 % silver out of a fixer at work, into a jar of sludge that nobody works with: waste
/// begins with it, so that the register and the account count the same.
#[test]
fn what_comes_out_of_a_liquid_at_work_and_is_kept_as_waste_is_generated() {
    let list = [
        fixer("bath", "2026-01-05", "10"),
        entry(
            "jar",
            "2026-01-05",
            &json!({"opened": {"batch": {"id": "jar", "kind": "sludge", "status": "spent",
                "mass_kg": {"value": "0.1", "standard_uncertainty": "0.001"}, "waste_since": "2026-01-05"}}}),
        ),
        entry(
            "out",
            "2026-03-01",
            &json!({"product_recovered": {"batch": "bath", "into": "jar", "product": {"wet_mass_g": "10",
                "moisture_percent": "0", "silver_percent_dry": "30"}}}),
        ),
    ];
    let register = year(&list);
    let row = register
        .rows
        .iter()
        .find(|r| r.entry.as_str() == "out")
        .unwrap();
    assert_eq!(row.what, RegisterEvent::Generated);
    assert_eq!(mass(row).as_deref(), Some("0.01"));
}
