//! When keeping a container is itself a danger.
//!
//! Ammoniacal silver: Chemical & Engineering News 74(2):2, 1996, a two-day-old reagent detonated.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use spent_silver_domain::batch::Batch;
use spent_silver_domain::waste::storage::{StorageDanger, container_findings, storage_danger};

fn danger(json: &str) -> Option<StorageDanger> {
    storage_danger(&serde_json::from_str::<Batch>(json).unwrap())
}

#[test]
fn ammoniacal_silver_acts_today_into_salt_water_whatever_its_status() {
    for status in ["in_use", "spent", "unused", "treated"] {
        let found = danger(&format!(
            r#"{{"id": "a", "kind": "ammoniacal_silver", "status": "{status}"}}"#
        ))
        .unwrap();
        assert!(found.act.iter().any(|a| a.contains("salt water")));
        assert!(found.never.iter().any(|n| n.contains("bottle")));
    }
}

#[test]
fn ammonia_in_a_silver_bath_is_ammoniacal_silver() {
    assert!(
        danger(
            r#"{"id": "a", "kind": "sensitizing_bath",
                "composition": [{"substance": "ammonia"}]}"#
        )
        .is_some()
    );
}

#[test]
fn silver_with_ammonium_and_lye_is_ammoniacal_silver() {
    assert!(
        danger(
            r#"{"id": "a", "kind": "rinse_water", "composition": [{"substance": "silver_nitrate"},
                {"substance": "ammonium_nitrate"}, {"substance": "sodium_hydroxide"}]}"#
        )
        .is_some()
    );
}

#[test]
fn a_working_bath_in_a_vented_bottle_is_no_danger() {
    let bath = |vented: bool| {
        danger(&format!(
            r#"{{"id": "b", "kind": "sensitizing_bath", "craft": "collodion", "status": "in_use",
                "container": {{"vented": {vented}}},
                "composition": [{{"substance": "nitric_acid"}}, {{"substance": "ethanol"}}]}}"#
        ))
    };
    assert!(bath(true).is_none());
    assert!(bath(false).unwrap().reason.contains("tight cap"));
}

#[test]
fn strong_acid_with_ether_is_a_danger_also_with_a_vent() {
    assert!(
        danger(
            r#"{"id": "b", "kind": "sensitizing_bath", "container": {"vented": true}, "composition":
                [{"substance": "nitric_acid", "g_per_l": "60"}, {"substance": "diethyl_ether"}]}"#
        )
        .unwrap()
        .never
        .iter()
        .any(|n| n.contains("Never add anything"))
    );
}

#[test]
fn dry_nitrocellulose_is_a_danger_and_wet_collodion_is_not() {
    let found = danger(
        r#"{"id": "n", "kind": "spill_residue", "composition": [{"substance": "nitrocellulose"}]}"#,
    );
    assert!(found.unwrap().act.iter().any(|a| a.contains("water")));
    assert!(danger(r#"{"id": "c", "kind": "collodion_or_solvent"}"#).is_none());
}

#[test]
fn silver_oxalate_acetylide_and_azide_are_dangers() {
    for substance in [
        "silver_oxalate",
        "silver_acetylide",
        "silver_azide",
        "silver_nitride",
    ] {
        assert!(
            danger(&format!(
                r#"{{"id": "x", "kind": "unused_chemical", "composition": [{{"substance": "{substance}"}}]}}"#
            ))
            .is_some(),
            "{substance}"
        );
    }
}

#[test]
fn a_spent_cartridge_is_never_shut_tight() {
    assert!(
        danger(r#"{"id": "c", "kind": "spent_cartridge", "container": {"vented": false}}"#)
            .is_some()
    );
    assert!(danger(r#"{"id": "c", "kind": "spent_cartridge"}"#).is_none());
}

#[test]
fn plain_jugs_are_no_danger() {
    for kind in [
        "fixer",
        "cyanide_fixer",
        "developer",
        "stop_bath",
        "drip",
        "rinse_water",
        "sludge",
    ] {
        assert!(
            danger(&format!(r#"{{"id": "j", "kind": "{kind}"}}"#)).is_none(),
            "{kind}"
        );
    }
}

fn container(kind: &str, volume: &str, vessel: &str) -> Batch {
    serde_json::from_str(&format!(
        r#"{{"id": "c", "kind": "{kind}", "craft": "collodion", "volume_l": "{volume}", "container": {{{vessel}}}}}"#
    ))
    .unwrap()
}

fn checks(kind: &str, volume: &str, vessel: &str) -> Vec<&'static str> {
    container_findings(&container(kind, volume, vessel))
        .iter()
        .map(|f| f.check)
        .collect()
}

/// Common practice of the trade; the vent where gas can form stands in the rules on acts (shut up).
#[test]
fn a_container_is_checked_for_head_space_material_vent_label_and_bund() {
    let bath = |vessel: &str| checks("sensitizing_bath", "1.9", vessel);
    assert!(
        bath(
            r#""material": "glass", "vented": true, "capacity_l": "2.5", "old_label_removed": true,
            "secondary_containment": true"#
        )
        .is_empty()
    );
    assert_eq!(
        bath(r#""vented": true, "capacity_l": "1.95""#),
        ["container_head_space"]
    );
    assert_eq!(
        bath(r#""vented": true, "capacity_l": "2""#),
        Vec::<&str>::new()
    );
    assert_eq!(
        bath(r#""vented": true, "fill_percent": "95.1""#),
        ["container_head_space"]
    );
    assert_eq!(
        bath(r#""vented": true, "material": "steel""#),
        ["container_material"]
    );
    assert_eq!(bath(r#""material": "glass""#), ["container_vent"]);
    assert_eq!(
        bath(r#""vented": true, "old_label_removed": false"#),
        ["container_old_label"]
    );
    assert_eq!(
        bath(r#""vented": true, "secondary_containment": false"#),
        ["container_bund"]
    );
    assert_eq!(
        checks(
            "collodion_or_solvent",
            "1",
            r#""vented": true, "material": "polyethylene""#
        ),
        ["container_material"]
    );
}

#[test]
fn bad_values_of_a_container_are_faults_with_their_place() {
    let faults = |vessel: &str| -> Vec<String> {
        container("fixer", "1", vessel)
            .faults("/batch")
            .iter()
            .map(|f| f.pointer.clone())
            .collect()
    };
    assert_eq!(
        faults(r#""capacity_l": "0""#),
        ["/batch/container/capacity_l"]
    );
    assert_eq!(
        faults(r#""capacity_l": "2", "fill_percent": "80""#),
        ["/batch/container/fill_percent"]
    );
    assert!(faults(r#""capacity_l": "2", "fill_percent": "55""#).is_empty());
    let made_of = r#"{"id": "c", "kind": "fixer", "container": {"material": "cheese"}}"#;
    assert!(serde_json::from_str::<Batch>(made_of).is_err());
}

/// Ammoniacal silver makes fulminating silver: nobody is to change its cap or its bottle.
#[test]
fn what_must_not_be_kept_gets_no_advice_on_a_better_container() {
    let vessel = r#""material": "steel", "fill_percent": "100""#;
    assert!(checks("ammoniacal_silver", "1", vessel).is_empty());
}

#[test]
fn cyanide_is_never_poured_over_into_a_better_container() {
    let vessel = r#""fill_percent": "99", "material": "aluminium""#;
    let found = container_findings(&container("cyanide_fixer", "1", vessel));
    assert_eq!(found[0].check, "container_head_space");
    for finding in found {
        assert!(
            finding.instead.contains("Do not open it or pour it over"),
            "{finding:?}"
        );
    }
}
