//! Candidates for carriage against the rows and letters they rest on.
//!
//! Rows: 49 CFR 172.101 (snapshot of 1 June 2026) and ADR 2017 chapter 3.2 Table A.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use spent_silver_domain::answer::Notes;
use spent_silver_domain::batch::Batch;
use spent_silver_domain::bibliography::{SourceStatus, reference};
use spent_silver_domain::document::{DocumentRequest, draw_up_document};
use spent_silver_domain::fault::Faults;
use spent_silver_domain::waste::rule_set::RuleSet;
use spent_silver_domain::waste::transport::{
    Fit, GateAnswer, GateSubject, LimitedQuantityVerdict, Load, Reached, TransportCandidates,
    TransportItem, TransportTable, TransportVerdict, candidates_for, rule_sources,
    rules_without_row, transport_candidates,
};

fn ask(
    batches: &Value,
    gate: Option<Value>,
    rule_set: &str,
) -> Result<TransportCandidates, Faults> {
    let mut request = json!({"batches": batches, "on": "2026-11-25", "rule_set": rule_set});
    if let Some(gate) = gate {
        request["gate"] = gate;
    }
    let request = serde_json::from_str(&request.to_string()).unwrap();
    transport_candidates(&request).map(|a| a.result)
}

fn one(batch: Value, rule_set: &str) -> TransportItem {
    ask(&json!([batch]), None, rule_set)
        .unwrap()
        .items
        .remove(0)
}

/// A bottle with one substance of so many per cent by mass.
fn bottle(substance: &str, percent: &str) -> Value {
    json!({"id": "b", "kind": "unused_chemical", "status": "unused", "form": "liquid", "volume_l": "1",
        "density_g_per_ml": "1.05", "composition": [{"substance": substance, "percent_w_w": percent}]})
}

/// Number and packing group of the candidates that fit.
fn fits(item: &TransportItem) -> Vec<(String, String)> {
    item.candidates
        .iter()
        .filter(|c| c.fit == Fit::Fits)
        .map(|c| {
            (
                c.number.clone(),
                c.packing_group.clone().unwrap_or_default(),
            )
        })
        .collect()
}

fn pair(number: &str, group: &str) -> Vec<(String, String)> {
    vec![(number.to_owned(), group.to_owned())]
}

fn lists(item: &TransportItem, number: &str) -> bool {
    item.candidates.iter().any(|c| c.number == number)
}

#[test]
fn every_rule_has_a_source_and_selects_a_row() {
    for key in rule_sources() {
        assert!(reference(key).is_some(), "{key}");
    }
    assert_eq!(rules_without_row(), []);
}

/// Rows of UN 2789 and UN 2790: more than 80 %; not less than 50 % but not more than 80 %; more than
/// 10 % and less than 50 %, all by mass.
#[test]
fn acetic_acid_changes_its_row_at_10_50_and_80_per_cent() {
    for law in ["us-federal", "eu"] {
        for (percent, row) in [
            ("10.001", pair("UN2790", "III")),
            ("49.999", pair("UN2790", "III")),
            ("50", pair("UN2790", "II")),
            ("80", pair("UN2790", "II")),
            ("80.001", pair("UN2789", "II")),
        ] {
            let item = one(bottle("acetic_acid", percent), law);
            assert_eq!(fits(&item), row, "{law} {percent}");
            assert_eq!(item.candidates.len(), 1, "{law} {percent}");
        }
        let weak = one(bottle("acetic_acid", "10"), law);
        assert_eq!(weak.verdict, TransportVerdict::NotRegulatedAsFarAsKnown);
        assert!(weak.reason.contains("10 %") && weak.reason.contains("competent person"));
    }
}

/// Rows of UN 2031. The United States have a row up to 20 % and one between 20 and 65 %, ADR one below
/// 65 %; from 65 % on the acid oxidizes (5.1), above 70 % it is packing group I.
#[test]
fn nitric_acid_has_the_rows_of_each_table() {
    for (percent, group, subsidiary, words) in [
        ("20", "II", false, "not more than 20"),
        ("20.001", "II", false, "more than 20 percent and less"),
        ("64.999", "II", false, "more than 20 percent and less"),
        ("65", "II", true, "at least 65"),
        ("70", "II", true, "at least 65"),
        ("70.001", "I", true, "more than 70 percent"),
    ] {
        let item = one(bottle("nitric_acid", percent), "us-federal");
        assert_eq!(fits(&item), pair("UN2031", group), "{percent}");
        let row = &item.candidates[0];
        assert_eq!(row.subsidiary.is_empty(), !subsidiary, "{percent}");
        assert!(
            row.proper_shipping_name.contains(words),
            "{percent}: {row:?}"
        );
        assert_eq!(row.row_status, SourceStatus::ReadPrimary);
    }
    for (percent, words) in [
        ("20", "less than 65%"),
        ("64.999", "less than 65%"),
        ("65", "at least 65%"),
        ("70.001", "more than 70%"),
    ] {
        let item = one(bottle("nitric_acid", percent), "eu");
        assert_eq!(fits(&item).len(), 1, "{percent}");
        let row = &item.candidates[0];
        assert!(
            row.proper_shipping_name.contains(words),
            "{percent}: {row:?}"
        );
        assert_eq!(row.row_status, SourceStatus::ReadSecondary);
    }
}

/// Rows of UN 2672, 2073 and 3318: more than 10 up to 35 %, more than 35 up to 50 %, more than 50 %.
#[test]
fn ammonia_changes_its_row_at_10_35_and_50_per_cent() {
    for (percent, number) in [
        ("10.001", "UN2672"),
        ("35", "UN2672"),
        ("35.001", "UN2073"),
        ("50", "UN2073"),
        ("50.001", "UN3318"),
    ] {
        let item = one(bottle("ammonia", percent), "eu");
        assert!(fits(&item).iter().all(|(n, _)| n == number), "{percent}");
        assert!(lists(&item, number), "{percent}");
    }
    // No row begins at or below 10 %, and nothing that was read frees it: it stays to be classified.
    let weak = one(bottle("ammonia", "10"), "eu");
    assert!(weak.candidates.is_empty());
    assert_eq!(weak.verdict, TransportVerdict::ToBeClassified);
}

/// A strength whose uncertainty reaches over an end of a row leaves both rows open.
#[test]
fn an_uncertain_strength_leaves_both_rows_open() {
    let batch = json!({"id": "b", "kind": "unused_chemical", "status": "unused", "form": "liquid", "volume_l": "1",
        "composition": [{"substance": "acetic_acid", "percent_w_w": {"between": ["48", "52"]}}]});
    let item = one(batch, "eu");
    assert_eq!(item.verdict, TransportVerdict::ToBeClassified);
    assert!(fits(&item).is_empty());
    let groups: Vec<_> = item
        .candidates
        .iter()
        .filter_map(|c| c.packing_group.as_deref())
        .collect();
    assert_eq!(groups, ["II", "III"]);
    assert!(
        item.to_find_out
            .iter()
            .any(|t| t.contains("at or above 50"))
    );
}

/// UN 1493 is the entry of the solid; a solution has none by name.
#[test]
fn solid_silver_nitrate_has_its_entry_and_a_solution_has_not() {
    let jar = |form: Option<&str>| {
        let mut batch = json!({"id": "j", "kind": "unused_chemical", "status": "unused", "mass_kg": "0.4",
            "composition": [{"substance": "silver_nitrate"}]});
        if let Some(form) = form {
            batch["form"] = json!(form);
        }
        batch
    };
    for law in ["us-federal", "eu", "de", "gb-england"] {
        let solid = one(jar(Some("solid")), law);
        assert_eq!(fits(&solid), pair("UN1493", "II"), "{law}");
        assert_eq!(solid.candidates.len(), 1, "{law}");
        assert_eq!(solid.candidates[0].class, "5.1");
        let liquid = one(jar(Some("liquid")), law);
        assert!(!lists(&liquid, "UN1493"), "{law}");
        assert!(
            lists(&liquid, "UN3218") && lists(&liquid, "UN3264"),
            "{law}"
        );
        assert_eq!(liquid.verdict, TransportVerdict::ToBeClassified);
        // Nobody said which: both ways stay open.
        let either = one(jar(None), law);
        assert!(
            lists(&either, "UN1493") && lists(&either, "UN3218"),
            "{law}"
        );
        assert!(fits(&either).is_empty(), "{law}");
    }
    // No rule set: both tables.
    let both = one(jar(Some("solid")), "unspecified");
    assert_eq!(both.candidates.len(), 2);
    assert_eq!(both.verdict, TransportVerdict::ToBeClassified);
}

fn bath(percent: &str) -> Value {
    json!({"id": "b", "kind": "sensitizing_bath", "status": "spent", "craft": "salted_paper", "volume_l": "1",
        "density_g_per_ml": "1.08", "ph": {"between": ["4", "5"]},
        "composition": [{"substance": "silver_nitrate", "percent_w_w": percent}]})
}

/// A mixture with 5 % of category 1B and more counts as corrosive, packing group II by calculation
/// (Regulation (EC) 1272/2008 Annex I, generic limit of skin corrosion; for carriage from memory).
/// Silver nitrate is 1B: CLP Annex VI, index 047-001-00-2.
#[test]
fn a_bath_is_corrosive_by_calculation_from_5_per_cent() {
    for law in ["us-federal", "eu"] {
        assert!(fits(&one(bath("5"), law)).contains(&pair("UN3264", "II")[0]));
        let below = one(bath("4.999"), law);
        assert!(
            !below
                .candidates
                .iter()
                .any(|c| c.rule == "silver_nitrate_corrosive")
        );
        // Packing group III is for a test to give, never for a calculation.
        let third = |item: &TransportItem| {
            item.candidates
                .iter()
                .filter(|c| c.number == "UN3264" && c.packing_group.as_deref() == Some("III"))
                .all(|c| c.fit == Fit::Open)
        };
        assert!(third(&below) && third(&one(bath("9"), law)));
        let strong = one(bath("9"), law);
        assert_eq!(strong.verdict, TransportVerdict::ToBeClassified);
        let rule = strong
            .candidates
            .iter()
            .find(|c| c.number == "UN3264")
            .unwrap();
        assert_eq!(rule.rule_status, SourceStatus::Unverified);
        assert!(!rule.changes.is_empty());
    }
}

/// Mixture criteria of water life with a multiplying factor of 1: 25 % over ten (from memory).
#[test]
fn what_poisons_water_life_counts_from_two_and_a_half_per_cent() {
    let marked = |percent: &str| {
        one(bath(percent), "eu")
            .marks
            .iter()
            .any(|m| m.text.contains("fish"))
    };
    assert!(marked("2.5"));
    assert!(!marked("2.499"));
    // Below it the supplier's factor decides: the row stays open, it does not fall away.
    let rinse = json!({"id": "r", "kind": "rinse_water", "craft": "salted_paper", "status": "spent", "volume_l": "5",
        "composition": [{"substance": "silver_nitrate", "g_per_l": "0.2"}]});
    let item = one(rinse, "eu");
    assert_eq!(item.verdict, TransportVerdict::ToBeClassified);
    assert!(
        item.candidates
            .iter()
            .any(|c| c.number == "UN3082" && c.fit == Fit::Open)
    );
}

/// 49 CFR 171.8 as the agency's letter 07-0133 (24 July 2007) has it: at least one pound of the
/// material in one package, and at least 0.002 % by mass. The pound is 0.45359237 kg.
#[test]
fn silver_nitrate_is_reportable_from_one_pound_in_a_package() {
    let silver = |mass: &str, percent: &str| {
        let batch = json!({"id": "j", "kind": "unused_chemical", "status": "unused", "form": "liquid",
            "mass_kg": mass, "composition": [{"substance": "silver_nitrate", "percent_w_w": percent}]});
        let item = one(batch, "us-federal");
        item.reportable
            .iter()
            .find(|r| r.name == "silver nitrate")
            .unwrap()
            .reached
    };
    assert_eq!(silver("0.45359236", "100"), Reached::NotReached);
    assert_eq!(silver("0.45359237", "100"), Reached::Reached);
    // 5 kg of 9 %: 0.45 kg of the salt; 5.1 kg: 0.459 kg.
    assert_eq!(silver("5", "9"), Reached::NotReached);
    assert_eq!(silver("5.1", "9"), Reached::Reached);
    // Thirty tonnes hold more than a pound either way: the concentration decides.
    assert_eq!(silver("30000", "0.0019"), Reached::NotReached);
    assert_eq!(silver("30000", "0.002"), Reached::Reached);
}

/// The agency's letter 00-0099 (21 April 2000): sodium hydroxide of 47 %, 1,000 lb: the package with
/// 1,410 lb of it is a hazardous substance, those with less than 1,000 lb are not.
#[test]
fn sodium_hydroxide_is_reportable_as_the_agency_answered() {
    for (pounds_of_lye, reached) in [(1410.0, Reached::Reached), (999.0, Reached::NotReached)] {
        let mass: f64 = pounds_of_lye / 0.47 * 0.453_592_37;
        let batch = json!({"id": "n", "kind": "unused_chemical", "status": "unused", "form": "liquid",
            "mass_kg": format!("{mass:.6}"), "composition": [{"substance": "sodium_hydroxide", "percent_w_w": "47"}]});
        let item = one(batch, "us-federal");
        assert_eq!(item.reportable[0].reached, reached);
        assert!(item.candidates.iter().all(|c| c.number == "UN1824"));
    }
}

/// 40 CFR 302.5(b): a toxic waste is reportable by the quantity of what makes it so. That of mercury was
/// not read (of the table's codes D006 and D011 were), so that none told is not none.
#[test]
fn a_reportable_quantity_that_was_not_read_is_asked_for() {
    let toner = |composition: Value| {
        one(
            json!({"id": "b", "kind": "intensifier_or_reducer", "status": "spent", "volume_l": "5",
                "ph": "5", "composition": composition,
                "evidence": [{"laboratory_assay": {"silver_mg_per_l": "0.1"}}]}),
            "us-federal",
        )
    };
    let asked = |item: &TransportItem| {
        let mut lines = item.to_find_out.iter();
        lines.any(|l| l.starts_with("The reportable quantity of") && l.contains("D009"))
    };
    let mercury = toner(json!([{"substance": "mercuric_chloride", "g_per_l": "20"}]));
    assert!(asked(&mercury), "{:?}", mercury.to_find_out);
    let cadmium = toner(json!([{"substance": "cadmium_bromide", "g_per_l": "20"}]));
    assert!(cadmium.reportable.iter().any(|r| r.name.contains("D006")));
    assert!(!asked(&cadmium), "{:?}", cadmium.to_find_out);
}

/// 40 CFR 302.5(b): one pound of any waste D011, by the mass of the waste and not of the silver in it.
#[test]
fn waste_with_silver_is_reportable_by_the_mass_of_the_waste() {
    let fixer = |mass: &str, mg_per_l: &str| {
        json!({"id": "f", "kind": "fixer", "craft": "film_and_paper", "status": "spent", "volume_l": "0.4",
            "mass_kg": mass, "composition": [{"substance": "sodium_thiosulfate"}],
            "evidence": [{"laboratory_assay": {"silver_mg_per_l": {"value": mg_per_l, "standard_uncertainty": "0"}}}]})
    };
    let reached = |batch: Value| {
        let item = one(batch, "us-federal");
        item.reportable
            .iter()
            .find(|r| r.name == "waste D011")
            .map(|r| r.reached)
    };
    assert_eq!(reached(fixer("0.4535", "5000")), Some(Reached::NotReached));
    assert_eq!(reached(fixer("0.4536", "5000")), Some(Reached::Reached));
    // 2 g of silver in it: were the metal compared, no studio would ever reach a pound.
    assert_eq!(reached(fixer("0.4536", "5")), Some(Reached::Reached));
    // The volume is a jug mark, good to 5 %: 4 mg/L stays below 5 with it.
    assert_eq!(reached(fixer("0.4536", "4")), None);
}

/// Column 7a of ADR Table A: UN 1493 1 kg, UN 2790 packing group III 5 L, UN 1155 none.
#[test]
fn limited_quantities_hold_up_to_their_limit() {
    let jar = |mass: &str| {
        let batch = json!({"id": "j", "kind": "unused_chemical", "status": "unused", "form": "solid",
            "mass_kg": mass, "composition": [{"substance": "silver_nitrate"}]});
        one(batch, "eu").candidates[0].limited_quantity.verdict
    };
    assert_eq!(jar("1"), LimitedQuantityVerdict::Within);
    assert_eq!(jar("1.001"), LimitedQuantityVerdict::Above);
    let acid = |litres: &str| {
        let mut batch = bottle("acetic_acid", "30");
        batch["volume_l"] = json!(litres);
        one(batch, "eu").candidates[0].limited_quantity.verdict
    };
    assert_eq!(acid("5"), LimitedQuantityVerdict::Within);
    assert_eq!(acid("5.01"), LimitedQuantityVerdict::Above);
    let ether = |law: &str| {
        one(bottle("diethyl_ether", "100"), law).candidates[0]
            .limited_quantity
            .clone()
    };
    assert_eq!(ether("eu").verdict, LimitedQuantityVerdict::NotAllowed);
    // Column 8A of 49 CFR 172.101 sends ether to section 150, whose amounts were not read.
    assert_eq!(
        ether("us-federal").verdict,
        LimitedQuantityVerdict::NotKnown
    );
    assert!(ether("us-federal").text.contains("not read"));
}

/// 49 CFR 173.150(e) (1 October 2002) and special provision 144: 24 % alcohol by volume. Ethanol has
/// 0.789 g/mL, so that 24 % is 189.36 g/L.
#[test]
fn water_with_24_per_cent_alcohol_is_free_and_with_more_is_not() {
    let spirit = |g_per_l: &str| {
        json!({"id": "s", "kind": "unused_chemical", "status": "unused", "form": "liquid", "volume_l": "1",
            "composition": [{"substance": "ethanol", "g_per_l": g_per_l}]})
    };
    for law in ["us-federal", "eu"] {
        let free = one(spirit("189.36"), law);
        assert_eq!(
            free.verdict,
            TransportVerdict::NotRegulatedAsFarAsKnown,
            "{law}"
        );
        let over = one(spirit("190"), law);
        assert!(lists(&over, "UN1170"), "{law}");
        assert_eq!(over.verdict, TransportVerdict::ToBeClassified);
    }
    // A silver bath holds another hazardous material, so that the exception never applies to it.
    let bath = json!({"id": "b", "kind": "sensitizing_bath", "craft": "collodion", "status": "spent", "volume_l": "1",
        "composition": [{"substance": "silver_nitrate", "g_per_l": "80"}, {"substance": "ethanol", "g_per_l": "20"}]});
    assert!(lists(&one(bath, "us-federal"), "UN1993"));
}

/// Flash points: below 23 °C packing group II, from 23 to 60 °C group III (class 3, from memory). The
/// agency's letter 12-0014 (24 August 2012) has alcohol of 24 °C as packing group III.
#[test]
fn the_flash_point_gives_the_packing_group_of_alcohol() {
    let spirit = |flash: &str| {
        let batch = json!({"id": "s", "kind": "unused_chemical", "status": "unused", "form": "liquid", "volume_l": "0.5",
            "flash_point_c": flash, "composition": [{"substance": "ethanol", "percent_w_w": "50"}]});
        fits(&one(batch, "eu"))
    };
    assert_eq!(spirit("22.9"), pair("UN1170", "II"));
    assert_eq!(spirit("23"), pair("UN1170", "III"));
    assert_eq!(spirit("24"), pair("UN1170", "III"));
    assert_eq!(spirit("60"), pair("UN1170", "III"));
    assert_eq!(spirit("60.1"), []);
}

/// Class 3: what begins to boil at or below 35 °C is packing group I; ether boils at 34.6 °C. UN 2059
/// has limited quantities of none, 1 L and 5 L in ADR.
#[test]
fn collodion_takes_its_packing_group_from_boiling_and_flash_point() {
    let collodion = |boils: Option<&str>, flash: Option<&str>| {
        let mut batch = json!({"id": "c", "kind": "collodion_or_solvent", "status": "spent", "volume_l": "0.3",
            "composition": [{"substance": "collodion"}]});
        if let Some(boils) = boils {
            batch["boiling_point_c"] = json!(boils);
        }
        if let Some(flash) = flash {
            batch["flash_point_c"] = json!(flash);
        }
        one(batch, "eu")
    };
    assert_eq!(
        fits(&collodion(Some("35"), Some("-40"))),
        pair("UN2059", "I")
    );
    let second = fits(&collodion(Some("35.1"), Some("-20")));
    assert!(second.iter().all(|f| *f == pair("UN2059", "II")[0]) && !second.is_empty());
    assert_eq!(
        fits(&collodion(Some("40"), Some("23"))),
        pair("UN2059", "III")
    );
    let open = collodion(None, None);
    assert!(fits(&open).is_empty());
    assert_eq!(open.verdict, TransportVerdict::ToBeClassified);
    let groups: Vec<_> = open
        .candidates
        .iter()
        .filter_map(|c| c.packing_group.as_deref())
        .collect();
    for group in ["I", "II", "III"] {
        assert!(groups.contains(&group), "{group}");
    }
}

/// pH 2 and below is taken for corrosive until tested (extreme pH; from memory).
#[test]
fn an_acid_mixture_at_ph_2_may_be_corrosive_and_just_above_is_not_found_so() {
    let developer = |ph: &str| {
        one(
            json!({"id": "d", "kind": "developer", "craft": "film_and_paper", "status": "spent", "volume_l": "1", "ph": ph,
            "composition": [{"substance": "citric_acid", "g_per_l": "50"}]}),
            "eu",
        )
    };
    assert!(lists(&developer("2"), "UN3264"));
    assert!(!lists(&developer("2.01"), "UN3264"));
    // No row answers for citric acid: it stays to be classified either way.
    assert_eq!(developer("2.01").verdict, TransportVerdict::ToBeClassified);
}

#[test]
fn a_sludge_is_asked_whether_free_liquid_stands_over_it() {
    let sludge = |form: Option<&str>| {
        let mut batch = json!({"id": "s", "kind": "sludge", "status": "spent", "mass_kg": "0.3",
            "composition": [{"substance": "silver_chloride"}]});
        if let Some(form) = form {
            batch["form"] = json!(form);
        }
        batch
    };
    let open = one(sludge(None), "us-federal");
    assert!(lists(&open, "NA3077") && lists(&open, "NA3082"));
    assert!(open.to_find_out.iter().any(|t| t.contains("free liquid")));
    let solid = one(sludge(Some("solid")), "us-federal");
    assert!(lists(&solid, "NA3077") && !lists(&solid, "NA3082"));
    assert!(lists(&one(sludge(Some("solid")), "eu"), "UN3077"));
}

/// 49 CFR 172.101, NA3082 (symbols D and G) and special provision 8: the name of hazardous waste goes
/// with a manifest, the other with a hazardous substance that is no such waste.
#[test]
fn fixer_goes_as_hazardous_waste_where_it_needs_a_manifest() {
    let fixer = json!([{"id": "f", "kind": "fixer", "craft": "film_and_paper", "status": "spent", "volume_l": "9",
        "composition": [{"substance": "sodium_thiosulfate"}],
        "evidence": [{"laboratory_assay": {"silver_mg_per_l": "2900"}}]}]);
    let of = |category: Option<&str>| {
        let gate = category.map(|c| json!({"generator_category": c}));
        ask(&fixer, gate, "us-federal").unwrap().items.remove(0)
    };
    let names = |item: &TransportItem, fit: Fit| -> Vec<String> {
        item.candidates
            .iter()
            .filter(|c| c.fit == fit && c.number == "NA3082")
            .map(|c| c.proper_shipping_name.clone())
            .collect()
    };
    assert_eq!(
        names(&of(Some("small")), Fit::Fits),
        ["Hazardous waste, liquid, n.o.s."]
    );
    assert_eq!(
        names(&of(Some("very_small")), Fit::Fits),
        ["Other regulated substances, liquid, n.o.s"]
    );
    assert!(names(&of(None), Fit::Fits).is_empty());
    assert_eq!(names(&of(None), Fit::Open).len(), 2);
    assert!(
        of(Some("small"))
            .marks
            .iter()
            .any(|m| m.text.contains("RQ"))
    );
    // Solid silver nitrate as waste keeps its own entry: the catch-all is for what is in no class.
    let salt = json!([{"id": "j", "kind": "unused_chemical", "status": "spent", "form": "solid", "mass_kg": "0.5",
        "composition": [{"substance": "silver_nitrate"}]}]);
    let item = ask(
        &salt,
        Some(json!({"generator_category": "small"})),
        "us-federal",
    )
    .unwrap()
    .items
    .remove(0);
    assert_eq!(fits(&item), pair("UN1493", "II"));
}

#[test]
fn cyanide_and_what_must_not_be_kept_never_travel() {
    for batch in [
        json!({"id": "k", "kind": "cyanide_fixer", "volume_l": "1"}),
        json!({"id": "k", "kind": "fixer", "craft": "collodion", "status": "spent", "volume_l": "1"}),
        json!({"id": "k", "kind": "unused_chemical", "status": "unused", "form": "solid", "mass_kg": "0.1",
            "composition": [{"substance": "potassium_cyanide"}]}),
        json!({"id": "a", "kind": "ammoniacal_silver", "volume_l": "0.2"}),
        json!({"id": "n", "kind": "unused_chemical", "form": "solid", "mass_kg": "0.1",
            "composition": [{"substance": "nitrocellulose"}]}),
        json!({"id": "o", "kind": "intensifier_or_reducer", "volume_l": "1"}),
    ] {
        for law in ["us-federal", "eu", "unspecified"] {
            let item = one(batch.clone(), law);
            assert_eq!(item.verdict, TransportVerdict::Stays, "{batch}");
            assert!(item.candidates.is_empty() && !item.reason.is_empty());
        }
    }
}

#[test]
fn what_nobody_stated_is_to_be_classified_and_never_free() {
    for kind in [
        "sensitizing_bath",
        "fixer",
        "cyanide_fixer",
        "bleach_fix",
        "developer",
        "stop_bath",
        "drip",
        "rinse_water",
        "toner",
        "intensifier_or_reducer",
        "ammoniacal_silver",
        "collodion_or_solvent",
        "sludge",
        "wipes_and_filters",
        "film_and_paper",
        "glass_plates",
        "spent_cartridge",
        "spill_residue",
        "unused_chemical",
    ] {
        for law in ["us-federal", "eu", "de", "gb-england", "unspecified"] {
            let item = one(json!({"id": "x", "kind": kind}), law);
            assert!(
                matches!(
                    item.verdict,
                    TransportVerdict::ToBeClassified | TransportVerdict::Stays
                ),
                "{kind} {law}: {item:?}"
            );
        }
    }
    let stranger = one(bottle("moon_salt", "3"), "eu");
    assert_eq!(stranger.verdict, TransportVerdict::ToBeClassified);
    assert!(stranger.to_find_out.iter().any(|t| t.contains("moon_salt")));
}

/// Adding a substance never turns what is open into something free.
#[test]
fn one_more_substance_never_frees_a_container() {
    for more in spent_silver_domain::substance::substances() {
        let batch = json!({"id": "s", "kind": "stop_bath", "status": "spent", "volume_l": "1",
            "composition": [{"substance": "acetic_acid", "g_per_l": "20"}, {"substance": more.id, "g_per_l": "5"}]});
        let item = one(batch, "eu");
        let harmless = [
            "acetic_acid",
            "water",
            "sodium_thiosulfate",
            "sodium_thiosulfate_pentahydrate",
        ];
        if !harmless.contains(&more.id.as_str()) {
            assert!(
                matches!(
                    item.verdict,
                    TransportVerdict::ToBeClassified | TransportVerdict::Stays
                ),
                "{}: {item:?}",
                more.id
            );
        }
    }
}

fn answer(of: &TransportCandidates, about: GateSubject) -> Option<GateAnswer> {
    of.gate
        .questions
        .iter()
        .find(|q| q.about == about)
        .map(|q| q.answer)
}

#[test]
fn every_question_that_nobody_answered_is_a_no() {
    let water = json!([{"id": "w", "kind": "rinse_water", "volume_l": "1"}]);
    for law in ["us-federal", "eu", "de", "gb-england", "unspecified"] {
        let of = ask(&water, None, law).unwrap();
        assert!(!of.gate.passed_as_stated);
        for question in &of.gate.questions {
            assert_eq!(
                question.answer,
                GateAnswer::NoUntilConfirmed,
                "{law} {question:?}"
            );
        }
    }
    let us = ask(&water, None, "us-federal").unwrap();
    assert!(answer(&us, GateSubject::IdentificationNumber).is_some());
    let eu = ask(&water, None, "eu").unwrap();
    assert_eq!(answer(&eu, GateSubject::IdentificationNumber), None);
    assert!(answer(&eu, GateSubject::RegisteredCarrier).is_some());
}

#[test]
fn the_gate_opens_only_when_all_is_stated() {
    let water = json!([{"id": "w", "kind": "rinse_water", "volume_l": "1"}]);
    let whole = json!({"training_valid_until": "2026-11-25", "classified_by": "A. Person",
        "packaging_approved": true, "carried_by": "carrier", "carrier_accepts": true,
        "receiver_accepts": true, "telephone_answered": true, "generator_category": "small",
        "identification_number": "XX0000000000"});
    let of = ask(&water, Some(whole.clone()), "us-federal").unwrap();
    assert!(of.gate.passed_as_stated);
    assert!(of.gate.text.contains("nobody here has checked"));
    for member in whole.as_object().unwrap().keys() {
        let mut less = whole.clone();
        less.as_object_mut().unwrap().remove(member);
        let of = ask(&water, Some(less), "us-federal").unwrap();
        assert!(!of.gate.passed_as_stated, "{member}");
    }
    let with = |member: &str, value: Value| {
        let mut gate = whole.clone();
        gate[member] = value;
        ask(&water, Some(gate), "us-federal").unwrap()
    };
    // Valid up to yesterday is no longer valid.
    let late = with("training_valid_until", json!("2026-11-24"));
    assert_eq!(answer(&late, GateSubject::Training), Some(GateAnswer::No));
    let refused = with("carrier_accepts", json!(false));
    assert_eq!(answer(&refused, GateSubject::Carrier), Some(GateAnswer::No));
    let own = with("carried_by", json!("own_vehicle"));
    assert!(!own.gate.passed_as_stated);
}

#[test]
fn post_and_parcel_are_a_no_until_the_service_has_confirmed() {
    let water = json!([{"id": "w", "kind": "rinse_water", "volume_l": "1"}]);
    for by in ["post", "parcel"] {
        let of = |accepts: Option<bool>| {
            let mut gate = json!({"carried_by": by});
            if let Some(accepts) = accepts {
                gate["carrier_accepts"] = json!(accepts);
            }
            answer(
                &ask(&water, Some(gate), "eu").unwrap(),
                GateSubject::PostAndParcel,
            )
        };
        assert_eq!(of(None), Some(GateAnswer::NoUntilConfirmed));
        assert_eq!(of(Some(false)), Some(GateAnswer::No));
        assert_eq!(of(Some(true)), Some(GateAnswer::Yes));
    }
}

/// 40 CFR 262.18 asks a number of small and large generators; the smallest are not named there.
#[test]
fn the_smallest_category_is_not_asked_for_a_number() {
    let water = json!([{"id": "w", "kind": "rinse_water", "volume_l": "1"}]);
    let of = ask(
        &water,
        Some(json!({"generator_category": "very_small"})),
        "us-federal",
    )
    .unwrap();
    assert_eq!(
        answer(&of, GateSubject::IdentificationNumber),
        Some(GateAnswer::NotAsked)
    );
}

fn faults(batches: Value, gate: Option<Value>, law: &str) -> Vec<(String, String)> {
    ask(&batches, gate, law)
        .unwrap_err()
        .list()
        .iter()
        .map(|f| (f.pointer.clone(), f.detail.clone()))
        .collect()
}

#[test]
fn bad_input_is_named_by_its_place() {
    let water = json!([{"id": "w", "kind": "rinse_water", "volume_l": "1"}]);
    let none = faults(json!([]), None, "eu");
    assert_eq!(none[0].0, "/batches");
    let many = vec![water[0].clone(); 101];
    assert_eq!(faults(json!(many), None, "eu")[0].0, "/batches");
    let category = json!({"generator_category": "tiny"});
    let found = faults(water.clone(), Some(category.clone()), "us-federal");
    assert_eq!(found[0].0, "/gate/generator_category");
    assert!(found[0].1.contains("tiny") && found[0].1.contains("very_small"));
    assert!(
        faults(water, Some(category), "eu")[0]
            .1
            .contains("no categories")
    );
    let solid = json!([{"id": "w", "kind": "rinse_water", "form": "solid"}]);
    assert_eq!(faults(solid, None, "eu")[0].0, "/batches/0/form");
    let doubled = json!([{"id": "w", "kind": "rinse_water",
        "composition": [{"substance": "water", "g_per_l": "1", "percent_w_w": "1"}]}]);
    assert_eq!(faults(doubled, None, "eu")[0].0, "/batches/0/composition/0");
}

/// Above 60 °C a liquid is outside class 3 (from memory); a measured flash point settles it.
#[test]
fn a_bath_that_was_found_not_to_flash_is_in_no_flammable_row() {
    let bath = |flash: &str| {
        one(
            json!({"id": "b", "kind": "sensitizing_bath", "craft": "collodion", "status": "spent", "volume_l": "1",
                "flash_point_c": flash, "composition": [{"substance": "silver_nitrate", "g_per_l": "80"},
                {"substance": "ethanol", "g_per_l": "20"}]}),
            "eu",
        )
    };
    assert!(lists(&bath("60"), "UN1993"));
    let above = bath("60.1");
    assert!(!lists(&above, "UN1993"));
    assert!(!above.to_find_out.iter().any(|t| t.contains("ethanol")));
}

#[test]
fn rules_of_ones_own_keep_the_table_of_their_base() {
    let text = r#"
id = "our-state"
title = "Federal rules and those of our state"
edition = "2026"
extends = "us-federal"
"#;
    let shipped: Vec<RuleSet> = RuleSet::all().cloned().collect();
    let rules = RuleSet::read(text, &shipped).unwrap();
    let batch: Batch = serde_json::from_str(
        r#"{"id": "j", "kind": "unused_chemical", "status": "unused", "form": "solid", "mass_kg": "0.4",
            "composition": [{"substance": "silver_nitrate"}]}"#,
    )
    .unwrap();
    let load = Load {
        known: &[(&batch, None)],
        gate: None,
        on: serde_json::from_str("\"2026-11-25\"").unwrap(),
        rules: &rules,
        batches_at: "/batches",
        gate_at: "/gate",
    };
    let found = candidates_for(&load, &mut Notes::new()).unwrap();
    let tables: Vec<_> = found.items[0].candidates.iter().map(|c| c.table).collect();
    assert_eq!(tables, [TransportTable::Us]);
}

fn sheet(paper: &str, gate: &Value) -> Result<String, Faults> {
    let request = json!({"on": "2026-11-25", "rule_set": "us-federal", "document": {paper: {
        "batches": [{"id": "jar", "kind": "unused_chemical", "status": "unused", "form": "solid",
            "mass_kg": "0.5", "composition": [{"substance": "silver_nitrate"}]},
            {"id": "kcn", "kind": "cyanide_fixer", "volume_l": "1"}],
        "gate": gate}}});
    let request: DocumentRequest = serde_json::from_str(&request.to_string()).unwrap();
    draw_up_document(&request).map(|a| a.result.document.texts().join("\n"))
}

#[test]
fn the_shipment_sheet_carries_the_gate_before_the_candidates() {
    let text = sheet("recovery_shipment_sheet", &json!({"carried_by": "post"})).unwrap();
    let at = |words: &str| {
        text.find(words)
            .unwrap_or_else(|| panic!("{words}: {text}"))
    };
    assert!(at("no until confirmed") < at("UN1493 Silver nitrate"));
    assert!(at("a competent person classifies") < at("UN1493 Silver nitrate"));
    assert!(text.contains("5.1, II"));
    assert!(text.contains("row read in the primary text"));
    assert!(text.contains("Reportable quantity, silver nitrate: reached"));
    assert!(text.contains("(unverified)"));
    // Cyanide is named under what stays, and nowhere as a candidate.
    assert!(text.contains("A licensed contractor for cyanide takes it as it is."));
    assert!(!text.contains("UN1935") && !text.contains("UN3413"));
    let checklist = sheet("collection_checklist", &json!({})).unwrap();
    assert!(checklist.contains("no until confirmed"));
    let faults = sheet(
        "recovery_shipment_sheet",
        &json!({"generator_category": "tiny"}),
    )
    .unwrap_err();
    assert_eq!(
        faults.list()[0].pointer,
        "/document/recovery_shipment_sheet/gate/generator_category"
    );
}

/// 49 CFR 172.101, NA3082: the name goes with a manifest, and 40 CFR 261.22 decides by a pH that nobody read.
#[test]
fn what_an_unread_ph_decides_is_open_for_the_manifest() {
    let stop = |ph: Option<&str>| {
        let mut bath = json!({"id": "s", "kind": "stop_bath", "craft": "film_and_paper", "status": "spent",
            "volume_l": "9", "composition": [{"substance": "citric_acid", "g_per_l": "15"}],
            "evidence": [{"laboratory_assay": {"silver_mg_per_l": "0.5"}}]});
        if let Some(ph) = ph {
            bath["ph"] = json!(ph);
        }
        let gate = json!({"generator_category": "small"});
        ask(&json!([bath]), Some(gate), "us-federal")
            .unwrap()
            .items
            .remove(0)
    };
    let waste = |item: &TransportItem| {
        item.candidates
            .iter()
            .find(|c| c.proper_shipping_name == "Hazardous waste, liquid, n.o.s.")
            .map(|c| c.fit)
    };
    assert_eq!(waste(&stop(None)), Some(Fit::Open));
    assert_eq!(waste(&stop(Some("3"))), None);
}
