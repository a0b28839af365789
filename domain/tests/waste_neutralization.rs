//! Neutralization: doses against published figures, and each block as a refusal of its own.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use spent_silver_domain::answer::{Answer, Severity};
use spent_silver_domain::bibliography::reference;
use spent_silver_domain::procedure::Refusal;
use spent_silver_domain::waste::neutralization::{
    NeutralizationPlan, NeutralizationRequest, plan_neutralization, sources,
};

fn answer(batch: &str, wish: &str) -> Answer<NeutralizationPlan> {
    let request: NeutralizationRequest =
        serde_json::from_str(&format!(r#"{{"batch": {batch}, {wish}}}"#)).unwrap();
    plan_neutralization(&request).unwrap()
}

fn plan(batch: &str, wish: &str) -> NeutralizationPlan {
    let plan = answer(batch, wish).result;
    assert_eq!(plan.refusal, None);
    plan
}

fn refused(batch: &str, wish: &str) -> Refusal {
    let answer = answer(batch, wish);
    let plan = answer.result;
    assert!(plan.base_g.is_none() && plan.base_mol.is_none() && plan.base_95_g.is_none());
    assert!(plan.ph_path.is_empty() && plan.steps.is_empty());
    let refusal = plan.refusal.unwrap();
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.severity == Severity::Danger)
    );
    assert!(!refusal.reason.is_empty());
    assert!(!refusal.never.is_empty() && !refusal.instead.is_empty() && !refusal.call.is_empty());
    refusal
}

const SODA: &str = r#""base": "sodium_bicarbonate""#;
const WASHING_SODA: &str = r#""base": "sodium_carbonate""#;
const LYE: &str = r#""base": "sodium_hydroxide""#;

fn liquor(substance: &str, amount: &str) -> String {
    format!(
        r#"{{"id": "l", "kind": "rinse_water", "volume_l": {{"value": "1", "standard_uncertainty": "0"}},
            "composition": [{{"substance": "{substance}", {amount}}}]}}"#
    )
}

fn exactly(field: &str, value: &str) -> String {
    format!(r#""{field}": {{"value": "{value}", "standard_uncertainty": "0"}}"#)
}

/// 1 g of nitric acid needs 1.333 g of bicarbonate, 0.8410 g of carbonate or 0.6347 g of hydroxide, and
/// 1 g of acetic acid 0.6660 g of hydroxide (stoichiometry from IUPAC atomic weights). With the gas of
/// the carbonates gone, what stays dissolved adds less than 0.2 %.
#[test]
fn a_gram_of_acid_needs_what_stoichiometry_says() {
    for (acid, wish, ph, gas, wanted) in [
        ("nitric_acid", SODA, "6.5", "open_to_air", 1.333),
        ("nitric_acid", WASHING_SODA, "6.5", "open_to_air", 0.8410),
        ("nitric_acid", LYE, "7", "closed", 0.6347),
        ("acetic_acid", LYE, "8.5", "closed", 0.6660),
    ] {
        let plan = plan(
            &liquor(acid, &exactly("g_per_l", "1")),
            &format!(r#"{wish}, "target_ph": "{ph}", "carbon_dioxide": "{gas}""#),
        );
        let got = plan.base_g.unwrap().get();
        assert!(
            (got - wanted).abs() < 2e-3 * wanted,
            "{acid} {wish}: {got} against {wanted}"
        );
    }
}

#[derive(serde::Deserialize)]
struct Published {
    cases: Vec<Case>,
}

#[derive(serde::Deserialize)]
struct Case {
    id: String,
    volume_l: f64,
    acids: Vec<Acid>,
    base: String,
    target_ph: f64,
    carbon_dioxide: String,
    base_g: f64,
    carbon_dioxide_mol: f64,
}

#[derive(serde::Deserialize)]
struct Acid {
    substance: String,
    mol_per_l: f64,
}

#[test]
fn doses_and_gas_agree_with_a_reference_code() {
    let published: Published =
        serde_json::from_str(include_str!("data/neutralization_reference.json")).unwrap();
    assert_eq!(published.cases.len(), 9);
    for case in published.cases {
        let acids: Vec<String> = case
            .acids
            .iter()
            .map(|a| {
                format!(
                    r#"{{"substance": "{}", "mol_per_l": "{}"}}"#,
                    a.substance, a.mol_per_l
                )
            })
            .collect();
        let plan = plan(
            &format!(
                r#"{{"id": "l", "kind": "rinse_water", "volume_l": "{}", "composition": [{}]}}"#,
                case.volume_l,
                acids.join(",")
            ),
            &format!(
                r#""base": "{}", "target_ph": "{}", "carbon_dioxide": "{}""#,
                case.base, case.target_ph, case.carbon_dioxide
            ),
        );
        let dose = plan.base_g.unwrap().get();
        assert!(
            (dose / case.base_g - 1.0).abs() < 5e-3,
            "{}: {dose}",
            case.id
        );
        let gas = plan.carbon_dioxide_released_mol.unwrap().get();
        assert!(
            (gas - case.carbon_dioxide_mol).abs() <= 1e-8 + 1e-2 * case.carbon_dioxide_mol,
            "{}: {gas}",
            case.id
        );
        let litres = plan.carbon_dioxide_released_l.unwrap().get();
        assert!((litres - gas * 24.465).abs() < 1e-3, "{}", case.id);
    }
}

/// A published answer for 50 m3 of strong acid at pH 2: 500 mol of hydroxide to pH 7. The activity of
/// the hydrogen ion, which it leaves out, lies within the upper end of our range.
#[test]
fn a_strong_acid_alone_may_be_dosed_from_its_ph() {
    let plan = plan(
        r#"{"id": "l", "kind": "rinse_water", "volume_l": {"value": "50000", "standard_uncertainty": "0"},
            "ph": {"value": "2", "standard_uncertainty": "0"}, "composition": [{"substance": "nitric_acid"}]}"#,
        r#""base": "sodium_hydroxide", "target_ph": "7""#,
    );
    assert!(
        (plan.base_mol.unwrap().get() - 500.0).abs() < 0.01,
        "{:?}",
        plan.base_mol
    );
    assert!(plan.base_95_g.unwrap().upper.get() > 1.05 * plan.base_g.unwrap().get());
}

#[test]
fn the_dose_carries_the_uncertainty_of_what_was_measured() {
    let plan = plan(
        r#"{"id": "l", "kind": "rinse_water", "volume_l": {"value": "4", "standard_uncertainty": "0.12"},
            "composition": [{"substance": "nitric_acid",
                             "mol_per_l": {"value": "0.1", "standard_uncertainty": "0.004"}}]}"#,
        r#""base": "sodium_hydroxide", "target_ph": "7""#,
    );
    // 3 % and 4 % make 5 %: plus or minus 9.8 % at 95 %.
    let half = (plan.base_95_g.unwrap().upper.get() - plan.base_95_g.unwrap().lower.get()) / 2.0;
    assert!(
        (half / plan.base_g.unwrap().get() - 0.098).abs() < 5e-4,
        "{half}"
    );
}

#[test]
fn the_path_rises_and_ends_at_the_target() {
    for wish in [SODA, WASHING_SODA, LYE] {
        let plan = plan(
            &liquor("acetic_acid", &exactly("mol_per_l", "0.2")),
            &format!(r#"{wish}, "target_ph": "7""#),
        );
        let path: Vec<f64> = plan.ph_path.iter().map(|p| p.ph.get()).collect();
        assert!(path.windows(2).all(|w| w[0] < w[1]), "{path:?}");
        assert!((path.last().unwrap() - 7.0).abs() < 1e-6);
        // OpenStax Chemistry 2e, 14.3: acetic acid of 0.2 mol/L stands near pH 2.7.
        assert!((path[0] - 2.72).abs() < 0.05, "{}", path[0]);
    }
}

#[test]
fn the_window_and_the_gas_are_assumed_aloud() {
    let answer = answer(&liquor("nitric_acid", &exactly("g_per_l", "1")), SODA);
    for field in ["/target_ph", "/carbon_dioxide", "/rule_set"] {
        assert!(
            answer.assumptions.iter().any(|a| a.field == field),
            "{field}"
        );
    }
    let window = answer.result.ph_window.unwrap();
    assert!((window.lower.get() - 6.5).abs() < 1e-12);
    assert!((window.upper.get() - 8.5).abs() < 1e-12);
}

#[test]
fn the_steps_put_the_base_into_the_acid_in_a_vented_container() {
    let plan = plan(&liquor("nitric_acid", &exactly("g_per_l", "10")), SODA);
    assert!(
        plan.order
            .as_deref()
            .unwrap()
            .contains("base into the acid")
    );
    let text: String = plan
        .steps
        .iter()
        .flat_map(|s| std::iter::once(&s.action).chain(&s.cautions))
        .cloned()
        .collect::<Vec<_>>()
        .join(" ");
    for words in [
        "oggles",
        "closed container",
        "foam",
        "portions",
        "for a day",
        "permission to discharge",
    ] {
        assert!(text.contains(words), "{words}");
    }
    let weighed: f64 = plan
        .steps
        .iter()
        .flat_map(|s| &s.adds)
        .map(|a| a.mass_g.unwrap().get())
        .sum();
    assert!((weighed - plan.base_95_g.unwrap().upper.get()).abs() < 1e-9);
}

#[test]
fn a_treated_bath_gets_a_plan() {
    let batch = r#"{"id": "b", "kind": "sensitizing_bath", "craft": "collodion", "status": "treated",
        "volume_l": "2", "composition": [{"substance": "nitric_acid", "g_per_l": "2"},
        {"substance": "sodium_chloride"}, {"substance": "ammonium_nitrate"}]}"#;
    plan(batch, SODA);
    assert!(refused(batch, LYE).reason.contains("ammonia"));
}

#[test]
fn a_rule_set_says_what_neutralizing_is_in_law() {
    let plan = plan(
        &liquor("nitric_acid", &exactly("g_per_l", "1")),
        &format!(r#"{SODA}, "rule_set": "us-federal""#),
    );
    assert!(plan.duties.iter().any(|d| d.text.contains("never covers")));
}

// The blocks.

#[test]
fn a_silver_bath_is_refused_with_the_route_through_chloride() {
    for wish in [SODA, WASHING_SODA, LYE] {
        let refusal = refused(
            r#"{"id": "b", "kind": "sensitizing_bath", "craft": "salted_paper", "volume_l": "1",
                "composition": [{"substance": "nitric_acid", "g_per_l": "2"}]}"#,
            wish,
        );
        assert!(refusal.instead[0].contains("chloride first"));
        assert!(refusal.never.iter().any(|n| n.contains("hydroxide")));
    }
}

#[test]
fn silver_stated_in_the_composition_is_refused_in_any_container() {
    let refusal = refused(
        r#"{"id": "b", "kind": "stop_bath", "volume_l": "1", "composition":
            [{"substance": "acetic_acid", "g_per_l": "20"}, {"substance": "silver_nitrate"}]}"#,
        SODA,
    );
    assert!(refusal.instead[0].contains("chloride first"));
}

#[test]
fn silver_shown_by_evidence_is_refused_in_a_treated_bath() {
    refused(
        r#"{"id": "b", "kind": "sensitizing_bath", "status": "treated", "volume_l": "1",
            "composition": [{"substance": "nitric_acid", "g_per_l": "2"}],
            "evidence": [{"laboratory_assay": {"silver_mg_per_l": "5"}}]}"#,
        SODA,
    );
}

#[test]
fn cyanide_is_refused() {
    let refusal = refused(
        r#"{"id": "c", "kind": "cyanide_fixer", "volume_l": "1"}"#,
        SODA,
    );
    assert!(refusal.reason.contains("one answer"));
}

#[test]
fn a_collodion_fixer_of_unstated_type_is_refused_as_cyanide() {
    let refusal = refused(
        r#"{"id": "f", "kind": "fixer", "craft": "collodion", "volume_l": "1"}"#,
        SODA,
    );
    assert!(refusal.reason.contains("one answer"));
}

#[test]
fn fixer_is_refused_because_sulfite_buffers_it() {
    let refusal = refused(
        r#"{"id": "f", "kind": "fixer", "craft": "film_and_paper", "volume_l": "1", "ph": "5"}"#,
        SODA,
    );
    assert!(refusal.reason.contains("buffered"));
    assert!(refusal.never.iter().any(|n| n.contains("acid")));
}

#[test]
fn sulfite_is_refused_in_any_container() {
    refused(
        r#"{"id": "s", "kind": "stop_bath", "volume_l": "1", "composition":
            [{"substance": "acetic_acid", "g_per_l": "20"}, {"substance": "sodium_sulfite"}]}"#,
        SODA,
    );
}

#[test]
fn ammoniacal_silver_is_refused_with_what_to_do_today() {
    let refusal = refused(
        r#"{"id": "a", "kind": "ammoniacal_silver", "volume_l": "1"}"#,
        SODA,
    );
    assert!(refusal.instead.iter().any(|i| i.contains("salt water")));
}

#[test]
fn mercury_lead_chromium_and_selenium_are_refused() {
    for metal in [
        "mercuric_chloride",
        "lead_nitrate",
        "potassium_dichromate",
        "selenium",
    ] {
        let refusal = refused(
            &format!(
                r#"{{"id": "m", "kind": "rinse_water", "volume_l": "1", "composition":
                    [{{"substance": "nitric_acid", "g_per_l": "2"}}, {{"substance": "{metal}"}}]}}"#
            ),
            SODA,
        );
        assert!(
            refusal.instead.iter().any(|i| i.contains("collection")),
            "{metal}"
        );
    }
}

#[test]
fn gold_is_refused_for_the_refiner() {
    let refusal = refused(
        r#"{"id": "g", "kind": "toner", "volume_l": "1", "composition":
            [{"substance": "gold_chloride"}]}"#,
        SODA,
    );
    assert!(refusal.instead.iter().any(|i| i.contains("refiner")));
}

#[test]
fn sulfide_is_refused() {
    refused(
        r#"{"id": "s", "kind": "toner", "volume_l": "1", "composition":
            [{"substance": "sodium_sulfide"}]}"#,
        SODA,
    );
}

#[test]
fn ferricyanide_is_refused() {
    refused(
        r#"{"id": "f", "kind": "intensifier_or_reducer", "volume_l": "1", "composition":
            [{"substance": "potassium_ferricyanide"}]}"#,
        SODA,
    );
}

#[test]
fn hypochlorite_peroxide_and_permanganate_are_refused() {
    for oxidizer in [
        "sodium_hypochlorite",
        "hydrogen_peroxide",
        "potassium_permanganate",
    ] {
        refused(
            &format!(
                r#"{{"id": "o", "kind": "rinse_water", "volume_l": "1", "composition":
                    [{{"substance": "nitric_acid", "g_per_l": "2"}}, {{"substance": "{oxidizer}"}}]}}"#
            ),
            SODA,
        );
    }
}

#[test]
fn strong_acid_with_alcohol_or_ether_is_refused() {
    let refusal = refused(
        r#"{"id": "b", "kind": "rinse_water", "volume_l": "1", "composition":
            [{"substance": "nitric_acid", "g_per_l": "60"}, {"substance": "ethanol"}]}"#,
        SODA,
    );
    assert!(refusal.reason.contains("burst"));
}

#[test]
fn collodion_is_refused() {
    refused(
        r#"{"id": "c", "kind": "collodion_or_solvent", "volume_l": "1"}"#,
        SODA,
    );
}

#[test]
fn silver_oxalate_is_refused() {
    refused(
        r#"{"id": "x", "kind": "rinse_water", "volume_l": "1", "composition":
            [{"substance": "nitric_acid", "g_per_l": "2"}, {"substance": "silver_oxalate"}]}"#,
        SODA,
    );
}

#[test]
fn iron_developer_and_other_metal_salts_are_refused() {
    for metal in [
        "iron_ii_sulfate",
        "copper_sulfate",
        "chrome_alum",
        "cadmium_bromide",
    ] {
        refused(
            &format!(
                r#"{{"id": "d", "kind": "stop_bath", "volume_l": "1", "composition":
                    [{{"substance": "acetic_acid", "g_per_l": "20"}}, {{"substance": "{metal}"}}]}}"#
            ),
            SODA,
        );
    }
}

#[test]
fn an_unknown_substance_is_refused() {
    let refusal = refused(
        r#"{"id": "u", "kind": "stop_bath", "volume_l": "1", "composition":
            [{"substance": "acetic_acid", "g_per_l": "20"}, {"substance": "mystery_powder"}]}"#,
        SODA,
    );
    assert!(refusal.reason.contains("mystery_powder"));
}

#[test]
fn solids_are_refused() {
    refused(r#"{"id": "s", "kind": "sludge", "mass_kg": "1"}"#, SODA);
}

#[test]
fn a_ph_alone_never_gives_a_dose() {
    let refusal = refused(
        r#"{"id": "s", "kind": "stop_bath", "volume_l": "1", "ph": "3"}"#,
        SODA,
    );
    assert!(refusal.reason.contains("acetic acid or sulfite"));
}

#[test]
fn a_weak_acid_of_unstated_amount_is_never_dosed_from_its_ph() {
    let refusal = refused(
        r#"{"id": "s", "kind": "stop_bath", "volume_l": "1", "ph": "3",
            "composition": [{"substance": "acetic_acid"}]}"#,
        SODA,
    );
    assert!(refusal.reason.contains("pH alone"));
    refused(
        r#"{"id": "s", "kind": "stop_bath", "volume_l": "1", "ph": "3", "composition":
            [{"substance": "nitric_acid"}, {"substance": "acetic_acid", "g_per_l": "20"}]}"#,
        SODA,
    );
}

#[test]
fn bicarbonate_cannot_be_asked_for_what_it_cannot_reach() {
    let refusal = refused(
        &liquor("nitric_acid", &exactly("g_per_l", "1")),
        &format!(r#"{SODA}, "target_ph": "8.9", "carbon_dioxide": "closed""#),
    );
    assert!(refusal.reason.contains("beyond"));
}

#[test]
fn faults_name_their_field() {
    let fault = |batch: &str, wish: &str| {
        let request: NeutralizationRequest =
            serde_json::from_str(&format!(r#"{{"batch": {batch}, {wish}}}"#)).unwrap();
        plan_neutralization(&request).unwrap_err().list()[0]
            .pointer
            .clone()
    };
    let acid = r#"{"id": "s", "kind": "stop_bath", "composition": [{"substance": "acetic_acid", "g_per_l": "20"}]}"#;
    assert_eq!(fault(acid, SODA), "/batch/volume_l");
    assert_eq!(
        fault(acid, &format!(r#"{SODA}, "target_ph": "12""#)),
        "/target_ph"
    );
}

#[test]
fn a_reading_that_contradicts_the_recipe_is_told() {
    let answer = answer(
        r#"{"id": "s", "kind": "stop_bath", "volume_l": "1", "ph": "6",
            "composition": [{"substance": "nitric_acid", "g_per_l": "6"}]}"#,
        SODA,
    );
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.text.contains("something else"))
    );
}

#[test]
fn every_source_of_the_constants_resolves() {
    for key in sources() {
        assert!(reference(key).is_some(), "{key}");
    }
}
