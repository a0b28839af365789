//! The report on a studio: what it refuses, what it sums, how it ranks and groups.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use spent_silver_domain::answer::Answer;
use spent_silver_domain::decision::LotAction;
use spent_silver_domain::fault::{FaultKind, Faults};
use spent_silver_domain::report::{
    BatchReport, MOST_BATCHES, Report, ReportRequest, Urgency, report_studio,
};

const DEMO: &str = include_str!("../../demo/studio.json");

fn ask(request: &Value) -> Result<Answer<Report>, Faults> {
    let request: ReportRequest = serde_json::from_str(&request.to_string()).unwrap();
    report_studio(&request)
}

fn report(request: &Value) -> Report {
    ask(request).unwrap().result
}

fn demo() -> Answer<Report> {
    ask(&serde_json::from_str(DEMO).unwrap()).unwrap()
}

/// A batch whose silver is stated, with its standard uncertainty.
fn stated(id: &str, kind: &str, silver_g: u32, u: u32) -> Value {
    json!({"id": id, "kind": kind, "status": "spent", "craft": "film_and_paper", "mass_kg": 5,
        "evidence": [{"stated": {"silver_g": {"value": silver_g, "standard_uncertainty": u}, "source": "the silver book"}}]})
}

/// At USD 31.1034768 a troy ounce a gram is a dollar; 90 % is paid, less 30 dollars a lot.
fn studio(batches: &[Value]) -> Value {
    json!({
        "studio": {"name": "A shed"},
        "on": "2026-11-25",
        "batches": batches,
        "price": {"amount": "31.1034768", "currency": "USD", "per": "troy_ounce"},
        "terms": {"currency": "USD", "payment": {"payable_percent": 90, "minimum_lot_charge": 30}}
    })
}

fn with(mut request: Value, member: &str, value: Value) -> Value {
    request[member] = value;
    request
}

fn pointers(refused: Result<Answer<Report>, Faults>) -> Vec<(String, FaultKind)> {
    refused
        .unwrap_err()
        .list()
        .iter()
        .map(|f| (f.pointer.clone(), f.kind))
        .collect()
}

#[test]
fn what_is_wrong_with_a_studio_is_named_by_its_place() {
    let fixer = || stated("a", "fixer", 60, 3);
    let one = |request: &Value| {
        let all = pointers(ask(request));
        assert_eq!(all.len(), 1, "{all:?}");
        all.into_iter().next().unwrap()
    };
    assert_eq!(
        one(&studio(&[fixer(), fixer()])),
        ("/batches/1/id".to_owned(), FaultKind::Conflict)
    );
    assert_eq!(
        one(&studio(&[])),
        ("/batches".to_owned(), FaultKind::Missing)
    );
    let many: Vec<Value> = (0..=MOST_BATCHES)
        .map(|i| json!({"id": format!("jug-{i}"), "kind": "fixer"}))
        .collect();
    assert_eq!(one(&studio(&many)).0, "/batches");
    assert!(ask(&studio(&many[..MOST_BATCHES])).is_ok());

    let lot = |ids: &[&str]| json!({"id": format!("lot-{}", ids.join("-")), "batches": ids});
    let lots = |lots: Value| {
        with(
            studio(&[fixer(), stated("b", "fixer", 80, 4)]),
            "lots",
            lots,
        )
    };
    assert_eq!(
        one(&lots(json!([lot(&["a", "nobody"])]))),
        ("/lots/0/batches/1".to_owned(), FaultKind::Unknown)
    );
    assert_eq!(
        one(&lots(json!([lot(&["a"]), lot(&["b", "a"])]))),
        ("/lots/1/batches/1".to_owned(), FaultKind::Conflict)
    );
    assert_eq!(
        one(&lots(json!([{"id": "empty", "batches": []}]))),
        ("/lots/0/batches".to_owned(), FaultKind::Missing)
    );
    assert_eq!(
        pointers(ask(&lots(json!([lot(&["a"]), lot(&["a"])])))),
        [
            ("/lots/1/id".to_owned(), FaultKind::Conflict),
            ("/lots/1/batches/0".to_owned(), FaultKind::Conflict),
        ]
    );
}

#[test]
fn two_currencies_never_add() {
    let fixer = stated("a", "fixer", 60, 3);
    let mut euro = studio(std::slice::from_ref(&fixer));
    euro["terms"]["currency"] = json!("EUR");
    let all = pointers(ask(&euro));
    assert!(
        all.iter()
            .any(|(at, kind)| at.starts_with("/terms") && *kind == FaultKind::MixedCurrencies),
        "{all:?}"
    );
    let mut offer = studio(&[fixer]);
    offer["haulage_terms"] = json!({"currency": "GBP", "call_out": 90});
    let all = pointers(ask(&offer));
    assert!(
        all.iter().any(|(at, _)| at.starts_with("/haulage_terms")),
        "{all:?}"
    );
}

#[test]
fn terms_without_a_price_are_asked_for_it() {
    let mut request = studio(&[stated("a", "fixer", 60, 3)]);
    request.as_object_mut().unwrap().remove("price");
    assert_eq!(
        pointers(ask(&request)),
        [("/price".to_owned(), FaultKind::Missing)]
    );
}

#[test]
fn totals_are_the_sums_of_their_parts() {
    let request = studio(&[
        stated("a", "fixer", 60, 3),
        stated("b", "fixer", 80, 4),
        stated("c", "sludge", 100, 12),
    ]);
    let report = report(&request);
    let totals = &report.totals;
    // 60 + 80 + 100 g; the root of 9 + 16 + 144 is 13; 1.96 x 13 = 25.48.
    assert_eq!(totals.silver_g.get(), 240.0);
    assert!((totals.standard_uncertainty_g.get() - 13.0).abs() < 1e-9);
    assert!((totals.interval_95_g.lower.get() - 214.52).abs() < 0.001);
    assert!((totals.interval_95_g.upper.unwrap().get() - 265.48).abs() < 0.001);
    // 240 / 31.1034768 = 7.716179...
    assert!((totals.silver_ozt.get() - 7.716_179).abs() < 1e-6);
    assert_eq!(totals.metal_value.unwrap().to_string(), "240.00");
    // Sent: 140 x 0.9 - 30 = 96 for the fixers, 100 x 0.9 - 30 = 60 for the sludge; 156 together.
    let nets: Vec<String> = report
        .lots
        .iter()
        .map(|l| l.decision.alternatives[0].net.unwrap().to_string())
        .collect();
    assert_eq!(nets, ["96.00", "60.00"]);
    assert_eq!(totals.net_as_decided.unwrap().to_string(), "156.00");
    assert_eq!(totals.lots_without_figure_count, 0);
}

#[test]
fn a_container_without_a_reading_is_not_measured_and_not_counted_as_empty() {
    let mut unread = stated("unread", "fixer", 0, 0);
    unread.as_object_mut().unwrap().remove("evidence");
    let report = report(&studio(&[stated("a", "sludge", 100, 12), unread]));
    assert!(report.batches[1].estimate.is_none());
    assert_eq!(report.totals.container_count, 2);
    assert_eq!(report.totals.measured_count, 1);
    assert_eq!(report.totals.silver_g.get(), 100.0);
    // Its lot has no figure: unknown is not nothing.
    assert_eq!(report.totals.lots_without_figure_count, 1);
    let lot = report
        .lots
        .iter()
        .find(|l| l.batches[0].as_str() == "unread")
        .unwrap();
    assert_eq!(lot.decision.verdict, LotAction::MeasureFirst);
}

#[test]
fn batches_of_one_kind_travel_together_and_a_bath_at_work_and_a_cyanide_alone() {
    let mut bath = stated("bath", "sensitizing_bath", 90, 2);
    bath["status"] = json!("in_use");
    let report = report(&studio(&[
        stated("f1", "fixer", 60, 3),
        bath,
        stated("k1", "cyanide_fixer", 6, 1),
        stated("f2", "fixer", 80, 4),
        stated("dev", "developer", 3, 1),
        stated("k2", "cyanide_fixer", 5, 1),
    ]));
    let lots: Vec<(String, Vec<String>)> = report
        .lots
        .iter()
        .map(|l| {
            (
                l.id.to_string(),
                l.batches.iter().map(ToString::to_string).collect(),
            )
        })
        .collect();
    let expected = [
        ("spent-fixer", vec!["f1", "f2"]),
        ("bath", vec!["bath"]),
        ("k1", vec!["k1"]),
        ("developer", vec!["dev"]),
        ("k2", vec!["k2"]),
    ];
    let expected: Vec<(String, Vec<String>)> = expected
        .into_iter()
        .map(|(id, of)| (id.to_owned(), of.into_iter().map(str::to_owned).collect()))
        .collect();
    assert_eq!(lots, expected);
}

/// A small generator's 180 days from 1 January have run out by 25 November.
fn overdue() -> Value {
    json!({"id": "late", "kind": "fixer", "status": "spent", "craft": "film_and_paper", "volume_l": 5,
        "waste_since": "2026-01-01", "composition": [{"substance": "sodium_thiosulfate"}],
        "evidence": [{"laboratory_assay": {"silver_mg_per_l": 3000}}]})
}

#[test]
fn danger_heads_the_list_then_cyanide_then_days_gone_by_then_dates_in_order() {
    let held = |id: &str, days: &str| {
        let mut batch = stated(id, "sludge", 100, 5);
        batch["waste_since"] = json!("2026-11-20");
        (
            batch,
            json!({"id": id, "batches": [id], "must_leave_by_on": days}),
        )
    };
    let ((may, may_lot), (june, june_lot)) =
        (held("june", "2027-06-01"), held("may", "2027-05-01"));
    let mut request = studio(&[
        overdue(),
        may,
        june,
        stated("jug", "cyanide_fixer", 6, 1),
        json!({"id": "shelf", "kind": "ammoniacal_silver"}),
    ]);
    request["lots"] = json!([may_lot, june_lot]);
    request["studio"]["premises"] = json!("business");
    request["studio"]["other_hazardous_waste_kg"] = json!(500);
    request["studio"]["other_acute_waste_kg"] = json!(0);
    request["rule_set"] = json!("us-federal");
    let to_do = report(&request).to_do;
    let heads: Vec<(usize, Urgency, String)> = to_do
        .iter()
        .take(3)
        .map(|t| (t.rank, t.urgency, t.batches[0].to_string()))
        .collect();
    assert_eq!(
        heads,
        [
            (1, Urgency::Today, "shelf".to_owned()),
            (2, Urgency::Today, "jug".to_owned()),
            (3, Urgency::Today, "late".to_owned()),
        ]
    );
    let dates: Vec<String> = to_do
        .iter()
        .filter(|t| t.urgency == Urgency::Dated)
        .map(|t| t.by_on.unwrap().to_string())
        .collect();
    let mut sorted = dates.clone();
    sorted.sort();
    assert_eq!(dates, sorted);
    let ranks: Vec<usize> = to_do.iter().map(|t| t.rank).collect();
    assert_eq!(ranks, (1..=to_do.len()).collect::<Vec<_>>());
}

#[test]
fn cyanide_goes_to_a_contractor_even_where_nothing_is_valued() {
    let request = json!({"studio": {"name": "A shed", "crafts": ["collodion"]}, "on": "2026-11-25",
        "batches": [{"id": "old-fixer", "kind": "fixer", "status": "spent", "volume_l": 2}]});
    let first = &report(&request).to_do[0];
    assert_eq!(first.urgency, Urgency::Today);
    assert!(
        first.what.contains("licensed waste contractor") && first.what.contains("old-fixer"),
        "{}",
        first.what
    );
}

#[test]
fn one_site_has_one_mass_in_a_month() {
    let assayed = |id: &str, litres: u32| {
        json!({"id": id, "kind": "fixer", "status": "spent", "craft": "film_and_paper",
            "volume_l": litres, "waste_since": "2026-11-10",
            "composition": [{"substance": "sodium_thiosulfate"}],
            "evidence": [{"laboratory_assay": {"silver_mg_per_l": 3000}}]})
    };
    let untested = json!({"id": "stop", "kind": "stop_bath", "status": "spent",
        "craft": "film_and_paper", "volume_l": 4, "waste_since": "2026-11-21", "ph": 4});
    let mut request = studio(&[assayed("ten", 10), assayed("five", 5), untested]);
    request["studio"]["other_hazardous_waste_kg"] = json!(2);
    request["studio"]["other_acute_waste_kg"] = json!(0);
    request["rule_set"] = json!("us-federal");
    let report = report(&request);
    let reasons: Vec<&str> = report
        .batches
        .iter()
        .map(|b| b.classification.category.reason.as_str())
        .collect();
    // At 1.1 kg/L: 2 + 11 + 5.5 = 18.50 kg are sure, and the untested 4.4 kg may come on top.
    for reason in &reasons {
        assert_eq!(*reason, reasons[0]);
        assert!(
            reason.contains("18.50 kg") && reason.contains("22.90 kg"),
            "{reason}"
        );
    }
}

#[test]
fn one_container_of_unknown_mass_leaves_the_category_of_the_whole_month_open() {
    let assayed = json!({"id": "ten", "kind": "fixer", "status": "spent", "craft": "film_and_paper",
        "volume_l": 10, "waste_since": "2026-11-10",
        "composition": [{"substance": "sodium_thiosulfate"}],
        "evidence": [{"laboratory_assay": {"silver_mg_per_l": 3000}}]});
    let unweighed =
        json!({"id": "cake", "kind": "sludge", "status": "spent", "waste_since": "2026-11-12"});
    let mut request = studio(&[assayed, unweighed]);
    request["studio"]["other_hazardous_waste_kg"] = json!(2);
    request["studio"]["other_acute_waste_kg"] = json!(0);
    request["rule_set"] = json!("us-federal");
    for batch in report(&request).batches {
        assert_eq!(batch.classification.category.id, None, "{}", batch.id);
    }
}

#[test]
fn a_lot_that_is_held_is_looked_at_again_on_a_day_to_come_and_the_same_everywhere() {
    let report = demo().result;
    let mut dated = 0;
    for lot in &report.lots {
        let decision = &lot.decision;
        let Some(day) = decision.look_again_on else {
            assert!(
                decision.verdict != LotAction::Hold
                    || !decision.act.iter().any(|a| a.contains("Look again")),
                "{}",
                lot.id
            );
            continue;
        };
        dated += 1;
        assert_eq!(decision.verdict, LotAction::Hold);
        assert!(day > report.on, "{}: {day}", lot.id);
        if let Some(latest) = &decision.latest {
            assert!(day <= latest.on, "{}: {day}", lot.id);
        }
        assert!(decision.act.contains(&format!("Look again on {day}.")));
        assert!(
            decision.reason.contains(&format!("Held until {day} ")),
            "{}",
            decision.reason
        );
        let kept = report.to_do.last().unwrap();
        assert!(kept.what.contains(&day.to_string()), "{}", kept.what);
    }
    let held = report
        .lots
        .iter()
        .filter(|l| l.decision.verdict == LotAction::Hold);
    assert_eq!(dated, held.count(), "nothing is held without end");
    // 40 CFR 261.1(c)(8): what is on hand on the next 1 January moves within that year.
    for lot in &report.lots {
        let day = lot.decision.look_again_on;
        assert!(
            day.is_none_or(|d| d.to_string().as_str() <= "2027-12-31"),
            "{}",
            lot.id
        );
    }
    // The fixer fills its room by 16 March 2027, and the haulier wants 21 days' notice.
    let fixer = report.lots.iter().find(|l| l.id.as_str() == "spent-fixer");
    let day = fixer.unwrap().decision.look_again_on.unwrap();
    assert_eq!(day.to_string(), "2027-02-23");
}

#[test]
fn the_list_of_what_to_do_is_short_and_in_plain_words() {
    let to_do = demo().result.to_do;
    assert!(to_do.len() <= 12, "{}", to_do.len());
    let danger: Vec<&str> = to_do
        .iter()
        .take(2)
        .map(|t| t.batches[0].as_str())
        .collect();
    assert_eq!(danger, ["back-shelf", "kcn-jug"]);
    for entry in &to_do {
        let code = |text: &str| {
            text.split(|c: char| !c.is_alphanumeric()).any(|word| {
                word.len() == 4
                    && word.starts_with(['D', 'F', 'P', 'U'])
                    && word[1..].chars().all(|c| c.is_ascii_digit())
            })
        };
        assert!(!code(&entry.what) && !code(&entry.why), "{entry:?}");
    }
    // What is merely kept is one line, and the last.
    let kept: Vec<usize> = to_do
        .iter()
        .filter(|t| t.what.starts_with("Keep for now"))
        .map(|t| t.rank)
        .collect();
    assert_eq!(kept, [to_do.len()]);
    // The same thing to find out is asked once for all containers.
    let ph: Vec<&str> = to_do
        .iter()
        .filter(|t| t.what.ends_with(": pH"))
        .flat_map(|t| t.batches.iter().map(|b| b.as_str()))
        .collect();
    assert_eq!(ph, ["drips", "fix-b", "run-off", "rinse-1"]);
}

/// What was never used is no waste yet (40 CFR 261.2), so nobody has to have it tested.
#[test]
fn a_test_is_asked_of_what_is_done_with_and_not_of_unused_stock() {
    let bottle = |id: &str, status: &str| {
        json!({"id": id, "kind": "unused_chemical", "status": status, "mass_kg": "0.1",
            "composition": [{"substance": "silver_nitrate"}]})
    };
    let mut request = studio(&[bottle("kept", "unused"), bottle("given-up", "spent")]);
    request["rule_set"] = json!("us-federal");
    let found = report(&request);
    for one in &found.batches {
        assert!(!one.classification.unknowns.is_empty(), "{:?}", one.id);
    }
    let asked: Vec<&str> = found
        .to_do
        .iter()
        .filter(|t| t.what.starts_with("Find out for"))
        .flat_map(|t| t.batches.iter().map(|id| id.as_str()))
        .collect();
    assert!(asked.contains(&"given-up"), "{asked:?}");
    assert!(!asked.contains(&"kept"), "{asked:?}");
}

#[test]
fn every_pointer_of_the_answer_resolves_inside_the_result() {
    let answer = demo();
    let value = serde_json::to_value(&answer).unwrap();
    let result = &value["result"];
    let mut lost = Vec::new();
    for list in ["warnings", "methods", "assumptions"] {
        for note in value[list].as_array().unwrap() {
            let about = note["about"].as_str().unwrap();
            if result.pointer(about).is_none() {
                lost.push(format!("{list}: {about}"));
            }
        }
    }
    for entry in &answer.result.to_do {
        if result.pointer(&entry.about).is_none() {
            lost.push(format!("to_do: {}", entry.about));
        }
    }
    lost.dedup();
    assert!(lost.is_empty(), "{lost:#?}");
}

#[test]
fn what_is_never_done_says_never() {
    // Papers print these lines bare: each must carry its own word.
    let report = demo().result;
    let of = |batch: &BatchReport| -> Vec<String> {
        let danger = batch.danger.iter().flat_map(|d| d.never.clone());
        let refusal = batch.recovery.iter().filter_map(|r| r.refusal.as_ref());
        danger
            .chain(refusal.flat_map(|r| r.never.clone()))
            .collect()
    };
    let mut all: Vec<String> = report.batches.iter().flat_map(of).collect();
    all.extend(report.lots.iter().flat_map(|l| l.decision.never.clone()));
    assert!(all.len() >= 5, "{all:?}");
    for line in all {
        assert!(line.starts_with("Never "), "{line}");
    }
}
