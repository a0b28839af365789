//! The substances: what the file must hold, checked against the periodic table and the registers.
#![expect(clippy::panic, reason = "a test fails by panicking")]

use spent_silver_domain::bibliography::{SourceStatus, reference};
use spent_silver_domain::substance::{
    Group, Substance, reportable_quantities, strangers, substances, table_sources,
    transport_entries,
};
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
        ("ethanol", &["H225"]),
        ("pyrogallol", &["H302", "H312", "H332", "H341", "H412"]),
    ]);
    for (id, statements) in read {
        assert_eq!(find(id).hazard_statements, statements, "{id}");
        assert_eq!(find(id).hazard_source.as_deref(), Some("clp_annex_vi"));
    }
    // The extract drops supplemental statements: EUH031 is from memory, and the source says so.
    let sulfide = ["H302", "H311", "H314", "H400", "EUH031"];
    for (id, statements) in [
        ("sodium_sulfide", &sulfide[..]),
        ("sodium_dithionite", &["H251", "H302", "EUH031"]),
    ] {
        assert_eq!(find(id).hazard_statements, statements, "{id}");
        assert_eq!(
            find(id).hazard_source.as_deref(),
            Some("clp_annex_vi_euh031")
        );
    }
}

#[test]
fn the_tables_name_only_substances_and_sources_that_we_have() {
    assert_eq!(strangers(substances()), Vec::<&str>::new());
    for key in table_sources() {
        assert!(reference(key).is_some(), "{key}");
    }
    let numbers: BTreeSet<&str> = transport_entries().iter().map(|e| &*e.number).collect();
    for s in substances() {
        for n in spent_silver_domain::substance::transport_numbers(&s.id) {
            assert!(numbers.contains(n.as_str()), "{}: {n}", s.id);
        }
    }
}

/// 49 CFR 172.101 (snapshot of 1 June 2026) and ADR 2017 chapter 3.2 Table A.
#[test]
fn transport_rows_agree_with_the_tables() {
    for (id, number, table, class, group, quantity) in [
        ("silver_nitrate", "UN1493", "adr", "5.1", "II", "1 kg"),
        ("silver_nitrate", "UN1493", "us", "5.1", "II", "authorised"),
        (
            "potassium_cyanide",
            "UN1680",
            "us",
            "6.1",
            "I",
            "not authorised",
        ),
        ("potassium_cyanide", "UN3413", "adr", "6.1", "III", "5 L"),
        ("diethyl_ether", "UN1155", "adr", "3", "I", "0"),
        ("diethyl_ether", "UN1155", "us", "3", "I", "authorised"),
        ("acetic_acid", "UN2790", "adr", "8", "III", "5 L"),
        (
            "sodium_borohydride_solution",
            "UN3320",
            "adr",
            "8",
            "II",
            "1 L",
        ),
        ("collodion", "UN2059", "adr", "3", "II", "1 L"),
    ] {
        let row = find(id)
            .transport
            .iter()
            .find(|e| {
                e.number == number && e.table == table && e.packing_group.as_deref() == Some(group)
            })
            .unwrap_or_else(|| panic!("{id} {number} {table} {group}"));
        assert_eq!(row.class, class, "{id} {number}");
        assert!(row.limited_quantity.starts_with(quantity), "{row:?}");
        let read = if table == "us" {
            SourceStatus::ReadPrimary
        } else {
            SourceStatus::ReadSecondary
        };
        assert_eq!(row.status, read);
        assert!(!row.edition.is_empty());
    }
}

/// 49 CFR 172.101 Appendix A; the pound is 0.45359237 kg (international yard and pound agreement, 1959).
#[test]
fn reportable_quantities_are_as_listed_and_exact_in_kilograms() {
    let listed = |name: &str| {
        reportable_quantities()
            .iter()
            .find(|q| q.name == name)
            .unwrap_or_else(|| panic!("{name}"))
    };
    for (name, pounds, kilograms) in [
        ("silver nitrate", "1", "0.45359237"),
        ("potassium cyanide", "10", "4.5359237"),
        ("ethyl ether", "100", "45.359237"),
        ("waste D011", "1", "0.45359237"),
        ("waste D006", "10", "4.5359237"),
        ("ferrous sulfate", "1000", "453.59237"),
    ] {
        let q = listed(name);
        assert_eq!(q.pounds, pounds, "{name}");
        assert_eq!(q.reportable_kg.decimal().to_string(), kilograms, "{name}");
    }
}

/// NIOSH documentation, May 1994: hydrogen cyanide STEL 4.7 ppm, ether immediately dangerous at 1,900 ppm,
/// silver and its soluble compounds 0.01 mg/m3 as silver, and what acid frees: hydrogen sulfide 10 ppm at
/// most, sulfur dioxide 2 ppm, chlorine 0.5 ppm at most; nitric acid 2 ppm.
#[test]
fn airborne_limits_are_those_that_were_read() {
    for (id, kind, value) in [
        ("potassium_cyanide", "REL STEL skin", "4.7"),
        ("diethyl_ether", "IDLH (10 % LEL)", "1900"),
        ("ammonia", "REL STEL", "35"),
        ("silver_nitrate", "PEL TWA", "0.01"),
        ("sodium_sulfide", "REL ceiling 10 min", "10"),
        ("sodium_thiosulfate", "REL TWA", "2"),
        ("sodium_hypochlorite", "REL ceiling 15 min", "0.5"),
        ("nitric_acid", "REL TWA", "2"),
    ] {
        assert!(
            find(id)
                .exposure_limits
                .iter()
                .any(|l| l.kind == kind && l.value == value),
            "{id}"
        );
    }
}

/// What a calculation of hazard properties counts of a substance is among what its label says, or a graver
/// statement of the same kind is: skin and eye statements that only hold below a limit stand in the one
/// table alone.
#[test]
fn no_hazard_is_reckoned_with_that_the_substance_does_not_bear() {
    let table: toml::Value = toml::from_str(include_str!("../data/hazard_classes.toml")).unwrap();
    for row in table["substance"].as_array().unwrap() {
        let id = row["id"].as_str().unwrap();
        let borne = &find(id).hazard_statements;
        for class in row["classes"].as_array().unwrap() {
            let hazard = class["hazard"].as_str().unwrap();
            let code = hazard.split(' ').next().unwrap();
            let below_a_limit =
                ["H315", "H319"].contains(&code) && borne.iter().any(|b| b.starts_with("H314"));
            assert!(
                below_a_limit || borne.iter().any(|b| b == code),
                "{id}: {hazard}"
            );
        }
    }
}

/// CLP Annex VI, index 047-001-00-2 and 048-007-00-8.
#[test]
fn classifications_are_the_harmonised_ones_and_what_is_missing_is_said() {
    let silver = find("silver_nitrate").classification.as_ref().unwrap();
    assert_eq!(
        silver.classes,
        [
            "Ox. Sol. 2",
            "Skin Corr. 1B",
            "Aquatic Acute 1",
            "Aquatic Chronic 1"
        ]
    );
    assert_eq!(silver.index.as_deref(), Some("047-001-00-2"));
    let cadmium = find("cadmium_iodide").classification.as_ref().unwrap();
    assert!(cadmium.classes.contains(&"Carc. 2".to_owned()));
    for s in substances() {
        let lacks = |word: &str| s.missing.iter().any(|m| m.contains(word));
        assert_eq!(s.transport.is_empty(), lacks("transport entry"), "{}", s.id);
        assert_eq!(s.exposure_limits.is_empty(), lacks("airborne"), "{}", s.id);
        assert_eq!(s.chart_groups.is_empty(), lacks("chart"), "{}", s.id);
    }
    assert!(
        find("sodium_thiosulfate")
            .missing
            .iter()
            .any(|m| m.contains("harmonised"))
    );
}
