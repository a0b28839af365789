//! When keeping a container is itself a danger.
//!
//! Ammoniacal silver: Chemical & Engineering News 74(2):2, 1996, a two-day-old reagent detonated.

use spent_silver_domain::batch::Batch;
use spent_silver_domain::waste::storage::{StorageDanger, storage_danger};

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
