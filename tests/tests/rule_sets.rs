//! The demo's containers under every rule set side by side:
//! `cargo test -p spent-silver-tests rule_sets:: -- --nocapture` prints the table.

use spent_silver_domain::waste::classification::{ClassificationRequest, classify_waste};
use spent_silver_domain::waste::rule_set::RuleSet;

#[test]
fn the_demo_s_containers_stand_under_every_rule_set() {
    let studio: serde_json::Value =
        serde_json::from_str(include_str!("../../demo/studio.json")).unwrap();
    for batch in studio["batches"].as_array().unwrap() {
        println!("\n{} ({})", batch["id"], batch["kind"]);
        for rules in RuleSet::all() {
            let body = serde_json::json!({
                "batch": batch, "on": studio["on"], "rule_set": rules.id,
                "other_hazardous_waste_kg": "0", "other_acute_waste_kg": "0",
            });
            let request: ClassificationRequest = serde_json::from_str(&body.to_string()).unwrap();
            let found = classify_waste(&request).unwrap().result;
            let hazardous = serde_json::to_value(found.hazardous).unwrap();
            let codes: Vec<String> = found
                .codes
                .iter()
                .map(|c| format!("{} {}", c.code, c.certainty.words()))
                .collect();
            let list: Vec<&str> = found
                .waste_list
                .iter()
                .flat_map(|l| l.candidates.iter().map(|c| c.code.as_str()))
                .collect();
            println!(
                "  {:<12} {:<14} {} | list: {} | category: {} | to test or ask: {}",
                rules.id,
                hazardous.as_str().unwrap_or_default(),
                codes.join("; "),
                list.join(" / "),
                found.category.title,
                found.unknowns.len()
            );
            // No rules, no verdict; and no rule set ever takes silence for harmless.
            assert_eq!(
                rules.is_silent(),
                codes.is_empty() && hazardous == "to_be_asked"
            );
            assert!(
                found
                    .never
                    .iter()
                    .any(|n| n.contains("not permission") || n.contains("permission to discharge"))
            );
        }
    }
}
