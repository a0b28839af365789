//! No plan that is returned contains a blocked step: every pair and every triple of substances goes
//! through every builder of plans.
//!
//! The check here walks the answer's JSON and asks the table of pairs of groups, not the gate that the
//! builders pass. Outside source of the table: EPA-600/2-80-076; see `waste_compatibility.rs`.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_macros,
    reason = "a test fails by panicking, and this one prints its figures"
)]

use serde_json::{Value, json};
use spent_silver_domain::batch::Batch;
use spent_silver_domain::bath_care::care_for_bath;
use spent_silver_domain::decision::decide;
use spent_silver_domain::quantity::Identifier;
use spent_silver_domain::recovery::plan_recovery;
use spent_silver_domain::substance::{Group, substance, substances};
use spent_silver_domain::waste::contents::implied_groups;
use spent_silver_domain::waste::neutralization::plan_neutralization;
use spent_silver_domain::waste::pour::{PourVerdict, verdict_of};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

#[derive(Default)]
struct Counts {
    mixtures: AtomicUsize,
    plans: AtomicUsize,
    additions: AtomicUsize,
    refused: AtomicUsize,
    restored: AtomicUsize,
}

/// Reads a request as it comes over the wire.
fn read<T: serde::de::DeserializeOwned>(request: &Value) -> T {
    serde_json::from_str(&request.to_string()).unwrap()
}

fn groups_of(id: &str) -> Vec<Group> {
    substance(&Identifier::new(id).unwrap())
        .unwrap()
        .groups
        .clone()
}

/// Everything an object's `steps` add, in order.
fn additions(plan: &Value) -> Vec<String> {
    plan["steps"]
        .as_array()
        .into_iter()
        .flatten()
        .flat_map(|s| s["adds"].as_array().unwrap())
        .map(|a| a["substance"].as_str().unwrap().to_owned())
        .collect()
}

/// Whether a plan goes on to work on the washed product, which holds the silver and what washing does
/// not take away.
fn works_on_product(plan: &Value) -> bool {
    plan["stages"]
        .as_array()
        .into_iter()
        .flatten()
        .any(|s| s["works_on"] == "product")
}

fn hold(batch: &Value, plan: &Value, counts: &Counts) {
    counts.plans.fetch_add(1, Relaxed);
    let known: Batch = read(batch);
    let mut held: Vec<Group> = implied_groups(&known)
        .held()
        .iter()
        .map(|h| h.group)
        .collect();
    let ammonia = [Group::Ammonia, Group::Ammonium];
    let mut washed: Vec<Group> = held
        .iter()
        .copied()
        .filter(|g| ammonia.contains(g))
        .collect();
    washed.push(Group::SilverSolid);
    for id in additions(plan) {
        counts.additions.fetch_add(1, Relaxed);
        let poured = groups_of(&id);
        let on_product = works_on_product(plan) && !poured.contains(&Group::Chloride);
        let into = if on_product { &mut washed } else { &mut held };
        assert!(
            verdict_of(&poured, into) < PourVerdict::NotKnownToBeSafe,
            "{id} into {into:?}: {batch} {plan}"
        );
        into.extend(poured);
    }
}

fn batch(kind: &str, craft: &str, parts: &[&str]) -> Value {
    let composition: Vec<Value> = parts
        .iter()
        .map(|id| json!({"substance": id, "g_per_l": "8"}))
        .collect();
    json!({
        "id": "jug", "kind": kind, "craft": craft, "status": "spent", "volume_l": "2",
        "ph": {"between": ["5", "6"]}, "composition": composition,
        "evidence": [{"stated": {"silver_g": "6", "source": "the book"}}],
    })
}

/// Sends one mixture through the builders.
fn enumerate(kind: &str, craft: &str, parts: &[&str], counts: &Counts) {
    counts.mixtures.fetch_add(1, Relaxed);
    let jug = batch(kind, craft, parts);
    let recovery = json!({
        "batch": jug, "curves": false,
        "means": ["scale", "burette", "power_supply", "extraction", "training", "pump", "resin_column"],
    });
    if let Ok(answer) = plan_recovery(&read(&recovery)) {
        let result = serde_json::to_value(&answer.result).unwrap();
        for entry in result["plans"].as_array().unwrap() {
            match entry.get("plan").or_else(|| entry.get("offered")) {
                Some(plan) => hold(&jug, plan, counts),
                None => _ = counts.refused.fetch_add(1, Relaxed),
            }
        }
    }
    let neutral = json!({"batch": jug, "base": "sodium_bicarbonate", "target_ph": "7"});
    if let Ok(answer) = plan_neutralization(&read(&neutral)) {
        let plan = serde_json::to_value(&answer.result).unwrap();
        if plan["refusal"].is_null() {
            hold(&jug, &plan, counts);
        } else {
            counts.refused.fetch_add(1, Relaxed);
        }
    }
    if kind == "sensitizing_bath" {
        let care = json!({
            "batch": jug, "target_strength_percent_w_v": "9", "target_ph": "4",
            "acid": "nitric_acid", "acid_percent_w_v": "2", "on": "2026-11-25",
        });
        if let Ok(answer) = care_for_bath(&read(&care)) {
            let result = serde_json::to_value(&answer.result).unwrap();
            match result.get("care").filter(|c| !c.is_null()) {
                Some(plan) => hold(&jug, plan, counts),
                None => _ = counts.refused.fetch_add(1, Relaxed),
            }
        }
    }
}

/// Sends one mixture, as a bath at work, through the restoring of decisions: with the word that no
/// ammonium salt went through it, and without.
fn restore(parts: &[&str], counts: &Counts) {
    let mut bath = batch("sensitizing_bath", "salted_paper", parts);
    bath["status"] = json!("in_use");
    for free in [true, false] {
        let request = json!({
            "lot": {"id": "lot", "batches": [bath]},
            "price": {"amount": "31.1034768", "currency": "USD", "per": "troy_ounce"},
            "terms": {"currency": "USD", "payment": {"payable_percent": "90"}},
            "restore": {"currency": "USD", "bottle_price": "150", "bottle_g": "100", "ammonium_free": free},
            "on": "2026-11-25",
        });
        // A named ammonium salt and the word that there is none contradict: that is a fault, no plan.
        let Ok(answer) = decide(&read(&request)) else {
            counts.refused.fetch_add(1, Relaxed);
            continue;
        };
        match &answer.result.decision.restore {
            Some(plan) => {
                counts.restored.fetch_add(1, Relaxed);
                hold(&bath, &serde_json::to_value(plan).unwrap(), counts);
            }
            None => _ = counts.refused.fetch_add(1, Relaxed),
        }
    }
}

fn report(what: &str, counts: &Counts) {
    println!(
        "{what}: {} mixtures, {} plans returned ({} of them restore a bath) with {} additions, {} refused or set aside",
        counts.mixtures.load(Relaxed),
        counts.plans.load(Relaxed),
        counts.restored.load(Relaxed),
        counts.additions.load(Relaxed),
        counts.refused.load(Relaxed)
    );
    assert!(counts.plans.load(Relaxed) > 1000 && counts.additions.load(Relaxed) > 1000);
    assert!(counts.refused.load(Relaxed) > 1000);
}

/// Shares the first substance out among the cores.
fn shared(work: impl Fn(usize) + Sync) {
    let next = AtomicUsize::new(0);
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|s| {
        for _ in 0..cores {
            s.spawn(|| {
                loop {
                    let i = next.fetch_add(1, Relaxed);
                    if i >= substances().len() {
                        break;
                    }
                    work(i);
                }
            });
        }
    });
}

#[test]
fn no_plan_for_a_pair_of_substances_contains_a_blocked_step() {
    let counts = Counts::default();
    shared(|i| {
        for j in i..substances().len() {
            let parts = [substances()[i].id.as_str(), substances()[j].id.as_str()];
            // Each pair meets each kind of container in turn over the table, and a rinse always.
            let kind = ["sensitizing_bath", "fixer", "stop_bath", "drip"][(i + j) % 4];
            enumerate(kind, "film_and_paper", &parts, &counts);
            enumerate("rinse_water", "salted_paper", &parts, &counts);
            restore(&parts, &counts);
        }
    });
    report("pairs", &counts);
    assert!(counts.restored.load(Relaxed) > 1000);
}

#[test]
// Restoring is left to the pairs: with it the triples take longer than they are worth.
#[ignore = "needs minutes"]
fn no_plan_for_a_triple_of_substances_contains_a_blocked_step() {
    let counts = Counts::default();
    shared(|i| {
        for j in i + 1..substances().len() {
            for k in j + 1..substances().len() {
                let parts = [i, j, k].map(|n| substances()[n].id.as_str());
                enumerate("rinse_water", "salted_paper", &parts, &counts);
            }
        }
    });
    report("triples", &counts);
}
