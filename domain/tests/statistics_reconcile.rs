//! Data reconciliation against published networks: see each example's `source`.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::Value;
use spent_silver_domain::statistics::{
    Balance, Irreconcilable, Reading, Reconciliation, reconcile,
};

fn examples() -> Vec<Value> {
    let all: Value =
        serde_json::from_str(include_str!("../../tests/data/worked_examples.json")).unwrap();
    let list = all["examples"].as_array().unwrap().clone();
    list.into_iter()
        .filter(|e| e["topic"] == "reconciliation")
        .collect()
}

fn example(id: &str) -> Value {
    examples().into_iter().find(|e| e["id"] == id).unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().unwrap();
    list.iter().map(|v| v.as_f64().unwrap()).collect()
}

fn readings(inputs: &Value) -> Vec<Option<Reading>> {
    let variances = match inputs.get("half_width_95") {
        Some(widths) => numbers(widths)
            .iter()
            .map(|w| (w / 1.96) * (w / 1.96))
            .collect(),
        None => numbers(&inputs["variance"]),
    };
    numbers(&inputs["measured"])
        .into_iter()
        .zip(variances)
        .map(|(value, variance)| Some(Reading { value, variance }))
        .collect()
}

fn balances(inputs: &Value) -> Vec<Balance> {
    let matrix = inputs.get("incidence").unwrap_or(&inputs["A"]);
    let rows = matrix.as_array().unwrap();
    rows.iter()
        .map(|row| numbers(row).into_iter().enumerate().collect())
        .collect()
}

fn solved(example: &Value) -> Reconciliation {
    let inputs = &example["inputs"];
    reconcile(&readings(inputs), &balances(inputs)).unwrap()
}

fn value_of(closed: &Reconciliation, i: usize) -> f64 {
    closed.amounts[i].unwrap().value
}

#[test]
fn published_networks_reconcile_to_the_published_amounts() {
    let mut compared = 0;
    for example in examples() {
        let Some(published) = example["published"].get("reconciled") else {
            continue;
        };
        let tolerance = &example["tolerance"]["values"]["reconciled"]["abs"];
        let tolerance = tolerance.as_f64().unwrap();
        let closed = solved(&example);
        for (i, expected) in numbers(published).into_iter().enumerate() {
            let ours = value_of(&closed, i);
            assert!(
                (ours - expected).abs() <= tolerance,
                "{}: stream {}: {ours} against {expected}",
                example["id"],
                i + 1
            );
            compared += 1;
        }
    }
    assert!(
        compared > 50,
        "only {compared} published amounts were found"
    );
}

/// Recomputed with matrices of another library, to ten digits (see the example's `recomputed`).
#[test]
fn uncertainties_and_tests_agree_with_an_independent_computation() {
    let mut compared = 0;
    for example in examples() {
        let recomputed = &example["recomputed"];
        let closed = solved(&example);
        if let Some(objective) = recomputed.get("objective") {
            let objective = objective.as_f64().unwrap();
            assert!((closed.chi_square - objective).abs() < 1e-6 * objective);
        }
        if let Some(passes) = recomputed["global_test_pass"].as_bool() {
            assert_eq!(!closed.disagree, passes, "{}", example["id"]);
        }
        for (name, of) in [("u_reconciled", true), ("adjustment_z", false)] {
            let Some(expected) = recomputed.get(name) else {
                continue;
            };
            for (i, expected) in numbers(expected).into_iter().enumerate() {
                let amount = closed.amounts[i].unwrap();
                let ours = if of {
                    amount.standard_uncertainty
                } else {
                    amount.standardized_adjustment.unwrap()
                };
                assert!(
                    (ours - expected).abs() < 2e-8 * expected.abs().max(1.0),
                    "{}: {name} of stream {}: {ours} against {expected}",
                    example["id"],
                    i + 1
                );
                compared += 1;
            }
        }
    }
    assert!(compared > 100, "only {compared} figures were found");
}

/// Narasimhan and Jordache 2000, chapter 7: a bias of 4 in stream 2 (status: from memory).
#[test]
fn the_global_test_fails_and_the_biased_stream_is_named() {
    let example = example("REC-NJ-GE");
    let closed = solved(&example);
    let published = &example["published"];
    let statistic = published["global_statistic"].as_f64().unwrap();
    assert!((closed.chi_square - statistic).abs() < 5e-4);
    assert!(closed.disagree);
    let suspect = published["suspect_stream"].as_u64().unwrap();
    assert_eq!(closed.suspects, [usize::try_from(suspect).unwrap() - 1]);

    // Without its meter the balances give the stream, and the rest agrees.
    let inputs = &example["inputs"];
    let mut without = readings(inputs);
    without[1] = None;
    let again = reconcile(&without, &balances(inputs)).unwrap();
    let recomputed = &example["recomputed"];
    let stream = recomputed["estimate_of_stream2_without_its_meter"]
        .as_f64()
        .unwrap();
    assert!((value_of(&again, 1) - stream).abs() < 1e-6);
    let objective = recomputed["objective_without_stream2"].as_f64().unwrap();
    assert!((again.chi_square - objective).abs() < 1e-9);
    assert_eq!(again.degrees_of_freedom, closed.degrees_of_freedom - 1);
    assert!(!again.disagree && again.suspects.is_empty());
}

/// VDI 2048 sheet 1, annex A: the two feed-water meters cannot be told apart.
#[test]
fn readings_that_no_balance_tells_apart_are_both_named() {
    assert_eq!(solved(&example("REC-VDI2048-A")).suspects, [0, 1]);
    // Yang, Ten and Jao 1995: stream 1 carries the gross error.
    assert_eq!(solved(&example("REC-YANG")).suspects, [0]);
}

fn read(value: f64, variance: f64) -> Option<Reading> {
    Some(Reading { value, variance })
}

#[test]
fn what_nothing_checks_is_left_as_it_was_read() {
    let closed = reconcile(&[read(5.0, 1.0)], &[]).unwrap();
    let amount = closed.amounts[0].unwrap();
    assert!((amount.value - 5.0).abs() < 1e-15);
    assert_eq!(amount.standardized_adjustment, None);
    assert_eq!((closed.degrees_of_freedom, closed.disagree), (0, false));
}

#[test]
fn an_amount_that_neither_reading_nor_balance_gives_stays_unknown() {
    // Two unread streams in one balance: only their sum is known.
    let closed = reconcile(
        &[read(5.0, 1.0), None, None],
        &[vec![(0, 1.0), (1, -1.0), (2, -1.0)]],
    )
    .unwrap();
    assert_eq!(closed.amounts[1], None);
    assert_eq!(closed.amounts[2], None);
    // A balance that names one of them gives both.
    let closed = reconcile(
        &[read(5.0, 1.0), None, None, read(2.0, 0.25)],
        &[
            vec![(0, 1.0), (1, -1.0), (2, -1.0)],
            vec![(2, 1.0), (3, -1.0)],
        ],
    )
    .unwrap();
    let first = closed.amounts[1].unwrap();
    assert!((first.value - 3.0).abs() < 1e-12);
    assert!((first.standard_uncertainty - 1.25f64.sqrt()).abs() < 1e-12);
}

#[test]
fn a_balance_said_twice_counts_once() {
    let balance: Balance = vec![(0, 1.0), (1, -1.0)];
    let once = reconcile(
        &[read(10.0, 1.0), read(13.0, 4.0)],
        std::slice::from_ref(&balance),
    );
    let twice = reconcile(
        &[read(10.0, 1.0), read(13.0, 4.0)],
        &[balance.clone(), balance],
    );
    assert_eq!(once.unwrap().degrees_of_freedom, 1);
    assert_eq!(twice.unwrap().degrees_of_freedom, 1);
}

#[test]
fn exact_amounts_hold_and_contradict() {
    let balance: Balance = vec![(0, 1.0), (1, -1.0)];
    let held = reconcile(
        &[read(10.0, 0.0), read(13.0, 4.0)],
        std::slice::from_ref(&balance),
    );
    let held = held.unwrap();
    assert!((value_of(&held, 0) - 10.0).abs() < 1e-12);
    assert!((value_of(&held, 1) - 10.0).abs() < 1e-12);
    let against = reconcile(&[read(10.0, 0.0), read(13.0, 0.0)], &[balance]);
    assert_eq!(against, Err(Irreconcilable::ExactContradiction));
}

#[test]
fn a_figure_that_is_none_and_a_term_that_is_nowhere_are_refused() {
    let nan = reconcile(&[read(f64::NAN, 1.0)], &[]);
    assert_eq!(nan, Err(Irreconcilable::Malformed));
    let nowhere = reconcile(&[read(1.0, 1.0)], &[vec![(1, 1.0)]]);
    assert_eq!(nowhere, Err(Irreconcilable::Malformed));
}
