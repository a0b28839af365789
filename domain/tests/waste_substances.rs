//! The substances: what the file must hold, checked against the periodic table and the registers.
#![expect(clippy::panic, reason = "a test fails by panicking")]

use spent_silver_domain::bibliography::reference;
use spent_silver_domain::substance::{Group, Substance, substances};
use std::collections::{BTreeMap, BTreeSet};

fn find(id: &str) -> &'static Substance {
    substances()
        .iter()
        .find(|s| s.id == id)
        .unwrap_or_else(|| panic!("{id} is not in the file"))
}

#[test]
fn every_id_is_there_once_and_every_source_resolves() {
    let mut ids = BTreeSet::new();
    for s in substances() {
        assert!(ids.insert(&s.id), "{} twice", s.id);
        assert!(!s.groups.is_empty(), "{} has no group", s.id);
        for key in [Some(&s.source), s.hazard_source.as_ref()]
            .into_iter()
            .flatten()
        {
            assert!(reference(key).is_some(), "{}: {key}", s.id);
        }
        assert_eq!(
            s.hazard_statements.is_empty(),
            s.hazard_source.is_none(),
            "{}: statements and their source go together",
            s.id
        );
    }
}

#[test]
fn everything_a_studio_meets_has_an_entry() {
    for id in [
        "silver_nitrate",
        "nitric_acid",
        "acetic_acid",
        "ethanol",
        "diethyl_ether",
        "sodium_thiosulfate",
        "ammonium_thiosulfate",
        "potassium_cyanide",
        "sodium_cyanide",
        "sodium_sulfite",
        "ammonia",
        "ammonium_bromide",
        "potassium_iodide",
        "cadmium_bromide",
        "cadmium_iodide",
        "iron_ii_sulfate",
        "pyrogallol",
        "hydroquinone",
        "alum",
        "chrome_alum",
        "selenium",
        "gold_chloride",
        "potassium_ferricyanide",
        "potassium_dichromate",
        "mercuric_chloride",
        "lead_nitrate",
        "thiourea",
        "formaldehyde",
        "sodium_chloride",
        "hydrochloric_acid",
        "sulfuric_acid",
        "citric_acid",
        "sodium_bicarbonate",
        "sodium_carbonate",
        "sodium_hydroxide",
        "potassium_hydroxide",
        "sodium_sulfide",
        "sodium_borohydride",
        "sodium_dithionite",
        "sodium_metabisulfite",
        "trimercaptotriazine",
        "hydrogen_peroxide",
        "potassium_permanganate",
        "sodium_hypochlorite",
        "dextrose",
        "iron_wool",
        "zinc",
        "copper",
        "aluminium",
        "nitrocellulose",
        "collodion",
        "silver_chloride",
        "silver_cyanide",
        "ammonium_chloride",
        "ammonium_nitrate",
        "ammonium_iodide",
        "water",
    ] {
        find(id);
    }
}

#[test]
fn every_group_has_a_substance_or_comes_from_a_kind_of_container() {
    let used: BTreeSet<Group> = substances().iter().flat_map(|s| s.groups.clone()).collect();
    for group in Group::ALL {
        let from_kind = matches!(group, Group::AcidFixer | Group::CyanideTraces);
        assert!(used.contains(group) || from_kind, "{group:?}");
    }
}

/// Molar masses as printed in general chemistry texts and on reagent bottles, to two places.
#[test]
fn molar_masses_agree_with_the_bottles() {
    for (id, printed) in [
        ("silver_nitrate", 169.87),
        ("nitric_acid", 63.01),
        ("acetic_acid", 60.05),
        ("citric_acid", 192.12),
        ("sodium_thiosulfate_pentahydrate", 248.18),
        ("iron_ii_sulfate", 278.01),
        ("ammonium_iron_ii_sulfate", 392.13),
        ("potassium_dichromate", 294.18),
        ("potassium_ferricyanide", 329.24),
        ("mercuric_chloride", 271.50),
        ("cadmium_iodide", 366.22),
        ("chrome_alum", 499.40),
        ("alum", 474.39),
        ("sodium_carbonate", 105.99),
        ("sodium_bicarbonate", 84.01),
        ("silver_cyanide", 133.89),
        ("gold_chloride", 393.83),
        ("pyrogallol", 126.11),
        ("rochelle_salt", 282.22),
    ] {
        let ours = find(id).molar_mass().unwrap();
        assert!(
            (ours - printed).abs() < 2.5e-4 * printed,
            "{id}: {ours} against {printed}"
        );
    }
}

/// Harmonised statements of Regulation (EC) 1272/2008, Annex VI, as read in an extract.
#[test]
fn hazard_statements_agree_with_the_harmonised_entries() {
    let read: BTreeMap<&str, &[&str]> = BTreeMap::from([
        ("silver_nitrate", &["H272", "H314", "H400", "H410"][..]),
        (
            "cadmium_iodide",
            &["H301", "H331", "H351", "H373", "H400", "H410"],
        ),
        ("sodium_sulfide", &["H302", "H311", "H314", "H400"]),
        ("sodium_dithionite", &["H251", "H302"]),
        ("ethanol", &["H225"]),
        ("pyrogallol", &["H302", "H312", "H332", "H341", "H412"]),
    ]);
    for (id, statements) in read {
        assert_eq!(find(id).hazard_statements, statements, "{id}");
        assert_eq!(find(id).hazard_source.as_deref(), Some("clp_annex_vi"));
    }
}
