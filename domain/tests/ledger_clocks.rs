//! The clocks of the silver book, against the clauses that set them.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use spent_silver_domain::answer::{Answer, Severity};
use spent_silver_domain::bibliography::{SourceStatus, reference};
use spent_silver_domain::fault::FaultKind;
use spent_silver_domain::ledger::{
    CLOCK_METHODS, Clock, ClockKind, Clocks, ClocksRequest, list_clocks,
};
use spent_silver_domain::waste::classification::Standing;
use spent_silver_domain::waste::rule_set::RuleSet;

fn entry(id: &str, on: &str, event: &Value) -> Value {
    json!({"id": id, "on": on, "recorded_by": "A. Printer", "event": event})
}

fn fixer(name: &str, on: &str, litres: &str) -> Value {
    entry(
        &format!("open-{name}"),
        on,
        &json!({"opened": {"batch": {"id": name, "kind": "fixer", "status": "in_use", "craft": "film_and_paper",
            "volume_l": {"value": litres, "standard_uncertainty": "0"}, "density_g_per_ml": "1",
            "evidence": [{"laboratory_assay": {"silver_mg_per_l": "3000"}}]}}}),
    )
}

fn spent(name: &str, on: &str) -> Value {
    entry(
        &format!("spent-{name}"),
        on,
        &json!({"spent": {"batch": name}}),
    )
}

/// A generator between 100 and 1,000 kg a month, so a small one.
fn small(on: &str, entries: &[Value]) -> Value {
    json!({"entries": entries, "on": on, "rule_set": "us-federal",
        "other_hazardous_waste_kg": "150", "other_acute_waste_kg": "0"})
}

fn asked(request: &Value) -> Answer<Clocks> {
    let request: ClocksRequest = serde_json::from_str(&request.to_string()).unwrap();
    list_clocks(&request).unwrap()
}

fn of(answer: &Answer<Clocks>, what: ClockKind) -> Vec<&Clock> {
    let clocks = answer.result.clocks.iter();
    clocks.filter(|c| c.what == what).collect()
}

fn only(answer: &Answer<Clocks>, what: ClockKind) -> &Clock {
    let found = of(answer, what);
    assert_eq!(found.len(), 1, "{what:?}: {found:#?}");
    found[0]
}

fn faults(request: &Value) -> Vec<(FaultKind, String)> {
    let request: ClocksRequest = serde_json::from_str(&request.to_string()).unwrap();
    let faults = list_clocks(&request).unwrap_err();
    let list = faults.list().iter();
    list.map(|f| (f.kind, f.pointer.clone())).collect()
}

/// 40 CFR 262.16(b): no more than 180 days. 1 March and 180 days: 30 of March, 30, 31, 30, 31 of April
/// to July make 152, and 28 more end on 28 August.
#[test]
fn a_storage_limit_falls_due_where_the_clause_puts_it() {
    let entries = [fixer("jug", "2026-02-01", "10"), spent("jug", "2026-03-01")];
    let answer = asked(&small("2026-03-02", &entries));
    let limit = only(&answer, ClockKind::StorageLimit);
    assert_eq!(limit.due_on.to_string(), "2026-08-28");
    assert_eq!(limit.starts_on.unwrap().to_string(), "2026-03-01");
    assert_eq!(limit.days_left_count, 179);
    assert_eq!(limit.id, "jug/storage_limit/us-small-days");
    assert_eq!(limit.clause.as_deref(), Some("40 CFR 262.16(b)-(d)"));
    assert_eq!(limit.status, SourceStatus::ReadPrimary);
    assert!(answer.references.contains(&limit.source.as_str()));
    // The haul earns 270 days, which end on 26 November: 31 August and 28 September are 90 days less.
    let mut far = small("2026-03-02", &entries);
    far["haul_distance_km"] = json!("400");
    let answer = asked(&far);
    assert_eq!(
        only(&answer, ClockKind::StorageLimit).due_on.to_string(),
        "2026-11-26"
    );
}

#[test]
fn a_limit_that_has_gone_by_is_warned_of_and_stays_first() {
    let entries = [fixer("jug", "2026-02-01", "10"), spent("jug", "2026-03-01")];
    let answer = asked(&small("2026-09-01", &entries));
    let limit = only(&answer, ClockKind::StorageLimit);
    assert_eq!(limit.days_left_count, -4);
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.text.contains("should have left by 2026-08-28"))
    );
    let days: Vec<_> = answer.result.clocks.iter().map(|c| c.due_on).collect();
    assert!(days.is_sorted());
}

/// Table 1 of 40 CFR 262.13: above 100 kg in the month a site is a small generator. Two jugs of 60 L at
/// 1 kg/L are 120 kg; one of them alone is 60 kg, and a very small generator has no such clock.
#[test]
fn the_month_is_counted_over_all_containers() {
    let mut two = small(
        "2026-03-20",
        &[
            fixer("a", "2026-03-01", "60"),
            fixer("b", "2026-03-01", "60"),
            spent("a", "2026-03-10"),
            spent("b", "2026-03-11"),
        ],
    );
    two["other_hazardous_waste_kg"] = json!("0");
    let answer = asked(&two);
    let limits = of(&answer, ClockKind::StorageLimit);
    let days: Vec<String> = limits.iter().map(|c| c.due_on.to_string()).collect();
    assert_eq!(days, ["2026-09-06", "2026-09-07"]);
    two["entries"].as_array_mut().unwrap().pop();
    let answer = asked(&two);
    assert!(of(&answer, ClockKind::StorageLimit).is_empty());
    let category = &answer.result.containers[0].category;
    assert_eq!(category.id.as_deref(), Some("very_small"));
}

/// 262.13 counts what arises in the month, not what is there: 60 kg that a haulier took away in the same
/// month still count, and a drum filled by 60 kg in each of two months has no month of 120 kg.
#[test]
fn a_month_counts_what_arose_in_it() {
    let month = |list: &[Value], on: &str| {
        let mut request = small(on, list);
        request["other_hazardous_waste_kg"] = json!("0");
        let answer = asked(&request);
        let last = answer.result.containers.last().unwrap();
        (last.category.id.clone(), last.category.reason.clone())
    };
    let gone = [
        fixer("a", "2026-03-01", "60"),
        spent("a", "2026-03-02"),
        entry(
            "van",
            "2026-03-05",
            &json!({"collected": {"batch": "a", "part": {"all": {}}, "haulier": "a haulier"}}),
        ),
        fixer("b", "2026-03-06", "60"),
        spent("b", "2026-03-20"),
    ];
    let (id, reason) = month(&gone, "2026-03-21");
    assert_eq!(id.as_deref(), Some("small"));
    assert!(reason.contains("120.00 kg"), "{reason}");
    // Reversed, the first jug never was waste.
    let mut kept = gone.to_vec();
    kept.push(entry(
        "r1",
        "2026-03-21",
        &json!({"reversed": {"entry": "van", "reason": "not ours"}}),
    ));
    kept.push(entry(
        "r2",
        "2026-03-21",
        &json!({"reversed": {"entry": "spent-a", "reason": "still at work"}}),
    ));
    let (id, reason) = month(&kept, "2026-03-21");
    assert_eq!(id.as_deref(), Some("very_small"));
    assert!(reason.contains("60.00 kg"), "{reason}");
    let drum = entry(
        "drum",
        "2026-01-01",
        &json!({"opened": {"batch": {"id": "drum", "kind": "fixer", "status": "spent",
        "craft": "film_and_paper", "composition": [{"substance": "sodium_thiosulfate"}]}}}),
    );
    let pour = |id: &str, on: &str, from: &str| {
        entry(
            id,
            on,
            &json!({"transferred": {"from": from, "into": "drum", "part": {"all": {}}}}),
        )
    };
    let filled = [
        drum,
        fixer("a", "2026-03-01", "60"),
        pour("p1", "2026-03-02", "a"),
        fixer("b", "2026-04-01", "60"),
        pour("p2", "2026-04-02", "b"),
    ];
    let (id, reason) = month(&filled, "2026-04-03");
    assert_eq!(id.as_deref(), Some("very_small"), "{reason}");
    assert!(reason.contains("60.00 kg"), "{reason}");
}

/// Without the site's other waste the category is unknown, and every limit that may run is shown under
/// the name it would keep: 90 days of 40 CFR 262.17(a), 180 of 262.16(b).
#[test]
fn limits_that_may_run_are_shown_as_such() {
    let mut request = small(
        "2026-03-02",
        &[fixer("jug", "2026-02-01", "10"), spent("jug", "2026-03-01")],
    );
    request
        .as_object_mut()
        .unwrap()
        .remove("other_hazardous_waste_kg");
    let answer = asked(&request);
    assert!(of(&answer, ClockKind::StorageLimit).is_empty());
    let possible = of(&answer, ClockKind::PossibleStorageLimit);
    let named: Vec<(&str, String)> = possible
        .iter()
        .map(|c| (c.id.as_str(), c.due_on.to_string()))
        .collect();
    assert_eq!(
        named,
        [
            ("jug/storage_limit/us-large-days", "2026-05-30".to_owned()),
            ("jug/storage_limit/us-small-days", "2026-08-28".to_owned()),
        ]
    );
    assert!(possible.iter().all(|c| c.text.contains("may run")));
    let watched = &answer.result.containers[0];
    assert_eq!(watched.category.id, None);
    assert!(
        watched
            .unknowns
            .iter()
            .any(|u| u.how.contains("other_hazardous_waste_kg"))
    );
}

#[test]
fn what_must_not_be_kept_is_due_today_whatever_else_is_due() {
    let request = json!({"on": "2026-05-01", "entries": [
        entry("1", "2026-01-01", &json!({"opened": {"batch": {"id": "old", "kind": "ammoniacal_silver", "status": "in_use", "volume_l": "1"}}})),
        entry("2", "2026-01-01", &json!({"inspected": {"found": "all in order"}})),
    ]});
    let answer = asked(&request);
    let first = &answer.result.clocks[0];
    assert_eq!(first.what, ClockKind::ActToday);
    assert_eq!(first.id, "old/act_today");
    assert_eq!(first.due_on.to_string(), "2026-05-01");
    assert!(first.text.contains("salt water") && first.text.contains("Never"));
    assert!(reference(&first.source).is_some());
    assert_eq!(answer.warnings[0].severity, Severity::Danger);
    // It is at work, so that nothing else runs.
    assert!(of(&answer, ClockKind::Inspection).is_empty());
}

/// 40 CFR 262.16(b)(2)(iv): at least weekly for a small generator.
#[test]
fn an_inspection_is_due_a_week_after_the_last_that_counts() {
    let mut list = vec![
        fixer("jug", "2026-02-01", "10"),
        fixer("other", "2026-02-01", "10"),
        spent("jug", "2026-03-01"),
    ];
    let due = |list: &[Value]| {
        let answer = asked(&small("2026-03-20", list));
        let clock = only(&answer, ClockKind::Inspection).clone();
        assert_eq!(clock.id, "jug/inspection");
        (clock.due_on.to_string(), clock)
    };
    // Never inspected: from the day it stood here as waste.
    let (day, clock) = due(&list);
    assert_eq!(day, "2026-03-08");
    assert!(clock.clause.unwrap().contains("262.16(b)(2)(iv)"));
    assert_eq!(clock.status, SourceStatus::ReadSecondary);
    // The whole place.
    list.push(entry(
        "i1",
        "2026-03-07",
        &json!({"inspected": {"found": "in order"}}),
    ));
    assert_eq!(due(&list).0, "2026-03-14");
    // Another container.
    list.push(entry(
        "i2",
        "2026-03-15",
        &json!({"inspected": {"batch": "other", "found": "in order"}}),
    ));
    assert_eq!(due(&list).0, "2026-03-14");
    list.push(entry(
        "i3",
        "2026-03-16",
        &json!({"inspected": {"batch": "jug", "found": "in order"}}),
    ));
    assert_eq!(due(&list).0, "2026-03-23");
    // Reversed, and later than today: both count as not made.
    list.push(entry(
        "r",
        "2026-03-17",
        &json!({"reversed": {"entry": "i3", "reason": "it was the other jug"}}),
    ));
    list.push(entry(
        "i4",
        "2026-03-25",
        &json!({"inspected": {"found": "in order"}}),
    ));
    assert_eq!(due(&list).0, "2026-03-14");
    let answer = asked(&small("2026-03-20", &list));
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.text.starts_with("Overdue since 2026-03-14"))
    );
    assert_eq!(
        answer.result.containers[0]
            .last_inspected_on
            .unwrap()
            .to_string(),
        "2026-03-07"
    );
}

#[test]
fn without_a_rule_the_inspection_is_common_practice_and_says_so() {
    for rules in ["unspecified", "eu", "gb-england"] {
        let request = json!({"on": "2026-03-02", "rule_set": rules,
            "entries": [fixer("jug", "2026-02-01", "10"), spent("jug", "2026-03-01")]});
        let answer = asked(&request);
        let clock = only(&answer, ClockKind::Inspection);
        assert_eq!(clock.due_on.to_string(), "2026-03-08", "{rules}");
        assert_eq!(clock.clause, None);
        assert_eq!(clock.status, SourceStatus::CommonPractice);
        assert!(
            answer
                .assumptions
                .iter()
                .any(|a| a.text.contains("every 7 days (common practice, no source)"))
        );
    }
}

#[test]
fn what_is_at_work_empty_or_closed_has_no_clock() {
    let answer = asked(&small(
        "2026-06-01",
        &[
            fixer("at-work", "2026-02-01", "10"),
            entry(
                "2",
                "2026-02-01",
                &json!({"opened": {"batch": {"id": "empty", "kind": "fixer"}}}),
            ),
            fixer("gone", "2026-02-01", "5"),
            spent("gone", "2026-02-02"),
            entry(
                "3",
                "2026-02-03",
                &json!({"collected": {"batch": "gone", "part": {"all": {}}, "haulier": "a haulier"}}),
            ),
            entry("4", "2026-02-03", &json!({"closed": {"batch": "gone"}})),
        ],
    ));
    let kinds: Vec<ClockKind> = answer.result.clocks.iter().map(|c| c.what).collect();
    assert_eq!(kinds, [ClockKind::AnnualAccount]);
    let containers = &answer.result.containers;
    assert_eq!(containers.len(), 1);
    assert_eq!(containers[0].standing.is, Standing::AtWork);
}

/// A published schedule settles in 4 to 6 weeks: 42 days from 10 March end on 21 April.
#[test]
fn a_shipment_is_asked_after_until_it_is_settled() {
    let mut list = vec![
        fixer("jug", "2026-02-01", "10"),
        entry(
            "s",
            "2026-03-10",
            &json!({"shipped": {"batch": "jug", "part": {"all": {}}, "shipment": "s-1"}}),
        ),
    ];
    let answer = asked(&small("2026-04-30", &list));
    let clock = only(&answer, ClockKind::RefinerStatement);
    assert_eq!(clock.due_on.to_string(), "2026-04-21");
    assert_eq!(clock.shipment.as_ref().unwrap().as_str(), "s-1");
    assert!(clock.text.contains("51 days"), "{}", clock.text);
    assert!(
        answer
            .assumptions
            .iter()
            .any(|a| a.field == "/settlement_day_count")
    );
    assert!(answer.warnings.iter().any(|w| w.text.contains("`s-1`")));
    let mut own = small("2026-04-30", &list);
    own["settlement_day_count"] = json!(60);
    let answer = asked(&own);
    assert_eq!(
        only(&answer, ClockKind::RefinerStatement)
            .due_on
            .to_string(),
        "2026-05-09"
    );
    assert!(
        !answer
            .assumptions
            .iter()
            .any(|a| a.field == "/settlement_day_count")
    );
    assert!(answer.warnings.iter().all(|w| !w.text.contains("`s-1`")));
    list.push(entry(
        "t",
        "2026-04-29",
        &json!({"settled": {"shipment": "s-1", "silver_g": "29"}}),
    ));
    let answer = asked(&small("2026-04-30", &list));
    assert!(of(&answer, ClockKind::RefinerStatement).is_empty());
}

/// 40 CFR 261.1(c)(8): 75 % of the stock of 1 January by 31 December; 266.70(c) asks for the figures of
/// the year. A tenth of 30 g was sent.
#[test]
fn the_year_ends_with_the_stock_moved_and_the_account_drawn_up() {
    let list = [
        fixer("jug", "2025-11-01", "10"),
        spent("jug", "2025-11-02"),
        entry(
            "s",
            "2026-03-10",
            &json!({"shipped": {"batch": "jug",
            "part": {"volume_l": {"value": "1", "standard_uncertainty": "0"}}, "shipment": "s-1"}}),
        ),
    ];
    let answer = asked(&small("2026-04-30", &list));
    let stock = only(&answer, ClockKind::StockToMove);
    assert_eq!(stock.due_on.to_string(), "2026-12-31");
    assert_eq!(stock.id, "book/stock_to_move/2026");
    assert!(
        stock.text.contains("75 %") && stock.text.contains("30 g on that day, 3 g sent"),
        "{}",
        stock.text
    );
    assert_eq!(stock.status, SourceStatus::ReadSecondary);
    let account = only(&answer, ClockKind::AnnualAccount);
    assert_eq!(account.due_on.to_string(), "2026-12-31");
    assert_eq!(account.clause.as_deref(), Some("40 CFR 266.70(c)"));
    // What came in this year was not on hand on 1 January; and no European rule asks for the share.
    let answer = asked(&small(
        "2026-04-30",
        &[fixer("jug", "2026-01-02", "10"), spent("jug", "2026-01-02")],
    ));
    assert!(of(&answer, ClockKind::StockToMove).is_empty());
    let mut eu = small("2026-04-30", &list);
    eu["rule_set"] = json!("eu");
    let answer = asked(&eu);
    assert!(of(&answer, ClockKind::StockToMove).is_empty());
    let account = only(&answer, ClockKind::AnnualAccount);
    assert_eq!(
        (account.clause.clone(), account.status),
        (None, SourceStatus::CommonPractice)
    );
}

#[test]
fn a_clock_keeps_its_name_from_day_to_day() {
    let list = [
        fixer("jug", "2025-11-01", "10"),
        spent("jug", "2025-11-02"),
        fixer("other", "2026-01-10", "10"),
        entry(
            "s",
            "2026-01-20",
            &json!({"shipped": {"batch": "other", "part": {"all": {}}, "shipment": "s-1"}}),
        ),
    ];
    let names = |on: &str| {
        let mut names: Vec<String> = asked(&small(on, &list))
            .result
            .clocks
            .into_iter()
            .map(|c| c.id)
            .collect();
        names.sort();
        let all = names.len();
        names.dedup();
        assert_eq!(names.len(), all, "two clocks of one name");
        names
    };
    assert_eq!(names("2026-02-01"), names("2026-11-01"));
}

#[test]
fn each_refusal_names_its_place() {
    let late = json!({"on": "2026-03-01", "entries": [entry("1", "2026-02-01", &json!({"opened": {"batch":
        {"id": "jug", "kind": "fixer", "status": "spent", "waste_since": "2026-04-01", "volume_l": "1"}}}))]});
    assert_eq!(
        faults(&late),
        [(
            FaultKind::DateOrder,
            "/entries/0/event/opened/batch/waste_since".to_owned()
        )]
    );
    let many: Vec<Value> = (0..2_001)
        .map(|i| spent(&format!("jug{i}"), "2026-03-01"))
        .collect();
    assert_eq!(
        faults(&json!({"on": "2026-03-01", "entries": many})),
        [(FaultKind::TooMany, "/entries".to_owned())]
    );
    assert_eq!(
        faults(&json!({"on": "2026-03-01", "entries": [spent("jug", "2026-03-01")]})),
        [(
            FaultKind::Unknown,
            "/entries/0/event/spent/batch".to_owned()
        )]
    );
}

#[test]
fn every_source_is_in_the_bibliography() {
    for method in CLOCK_METHODS {
        assert!(reference(method.source).is_some(), "{}", method.source);
    }
    for line in include_str!("../data/ledger.toml").lines() {
        if let Some(key) = line.strip_prefix("source = ") {
            assert!(reference(key.trim_matches('"')).is_some(), "{key}");
        }
    }
}

#[test]
fn a_rule_of_inspection_needs_its_days() {
    let file = |lines: &str| {
        let text = format!(
            "id = \"ours\"\ntitle = \"ours\"\nedition = \"2026\"\nextends = \"us-federal\"\n[[rule]]\nid = \"ours-look\"\nquantity = \"days_between_inspections\"\napplies_to = \"every container\"\n{lines}clause = \"7\"\nsource = \"permit\"\nedition = \"2026\"\nstatus = \"read_primary\"\n"
        );
        let shipped: Vec<RuleSet> = RuleSet::all().cloned().collect();
        RuleSet::read(&text, &shipped)
    };
    let read = file("comparison = \"at_or_below\"\nvalue = \"1\"\nunit = \"d\"\n").unwrap();
    assert_eq!(read.inspection.last().unwrap().every_day_count, 1);
    for (lines, pointer) in [
        (
            "comparison = \"at_or_below\"\nunit = \"d\"\n",
            "/rule/0/value",
        ),
        (
            "comparison = \"at_or_below\"\nvalue = \"1\"\nunit = \"kg\"\n",
            "/rule/0/unit",
        ),
        (
            "comparison = \"at_or_below\"\nvalue = \"0.5\"\nunit = \"d\"\n",
            "/rule/0/value",
        ),
        ("value = \"1\"\nunit = \"d\"\n", "/rule/0/comparison"),
    ] {
        let faults = file(lines).unwrap_err();
        assert!(
            faults.list().iter().any(|f| f.pointer == pointer),
            "{pointer}: {faults}"
        );
    }
}

/// 40 CFR 261.1(c)(8): the share of a year that did not move is overdue on 1 January, and is not forgotten.
#[test]
fn last_years_stock_that_stayed_is_overdue() {
    let mut list = vec![fixer("jug", "2025-11-01", "10"), spent("jug", "2025-11-02")];
    let stock_on = |on: &str, list: &[Value]| -> Vec<(String, i64)> {
        let answer = asked(&small(on, list));
        of(&answer, ClockKind::StockToMove)
            .iter()
            .map(|c| (c.id.clone(), c.days_left_count))
            .collect()
    };
    let both = stock_on("2027-01-01", &list);
    assert_eq!(
        both,
        [
            ("book/stock_to_move/2026".to_owned(), -1),
            ("book/stock_to_move/2027".to_owned(), 364)
        ]
    );
    // Nine tenths of it went in 2026: that year's share was moved.
    list.push(entry(
        "s",
        "2026-03-10",
        &json!({"shipped": {"batch": "jug",
        "part": {"volume_l": {"value": "9", "standard_uncertainty": "0"}}, "shipment": "s-1"}}),
    ));
    let rest = stock_on("2027-01-01", &list);
    assert_eq!(rest, [("book/stock_to_move/2027".to_owned(), 364)]);
}
