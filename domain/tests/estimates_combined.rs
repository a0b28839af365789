//! Several readings of one container: where their mean lies, how far it is widened, and when there
//! is none.
#![expect(
    clippy::panic,
    clippy::expect_used,
    reason = "a test fails by panicking"
)]

use proptest::prelude::*;
use serde_json::{Value, json};
use spent_silver_domain::answer::Answer;
use spent_silver_domain::estimate::{
    Agreement, Estimate, EstimateRequest, bound_sources, estimate_silver,
};
use spent_silver_domain::quantity::Shape;
use spent_silver_domain::statistics::{Inputs, Uncertain, combine, combine_moved};

fn ask(batch: Value) -> Answer<Estimate> {
    let text = json!({ "batch": batch }).to_string();
    let request: EstimateRequest =
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("{e}: {text}"));
    estimate_silver(&request).unwrap_or_else(|e| panic!("{e:?}: {text}"))
}

fn titration(titre_ml: f64) -> Value {
    json!({"volhard_titration": {"sample_ml": 5, "thiocyanate_mol_per_l": 0.1, "titre_ml": titre_ml}})
}

fn one_litre(evidence: Vec<Value>) -> Answer<Estimate> {
    ask(json!({"id": "b", "kind": "sensitizing_bath",
        "volume_l": {"value": 1, "standard_uncertainty": 0.1}, "evidence": evidence}))
}

/// Readings of a quantity with an independent relative uncertainty each and a common one for all.
fn scaled_alike(readings: &[(f64, f64)], common: f64) -> Vec<Uncertain> {
    let mut inputs = Inputs::default();
    let factor = inputs
        .register("factor", "factor", 1.0, common, Shape::Normal)
        .expect("new");
    readings
        .iter()
        .enumerate()
        .map(|(i, (x, u))| {
            inputs
                .register(i.to_string(), "reading", *x, u * x, Shape::Normal)
                .expect("new")
                .times(&factor)
        })
        .collect()
}

#[test]
fn a_common_factor_does_not_pull_the_mean_below_the_readings() {
    // R. W. Peelle's puzzle (1987): 1.5 and 1.0, 10 % independent and 20 % common, where the
    // covariance taken at each reading gives 0.88 +- 0.22. By hand, the factor applied once:
    // (1.5/0.0225 + 1.0/0.01)/(1/0.0225 + 1/0.01) = 1.1538, u^2 = 1/144.44 + (0.2 x 1.1538)^2.
    let c = combine(&scaled_alike(&[(1.5, 0.1), (1.0, 0.1)], 0.2)).expect("two");
    assert!((c.mean.value() - 1.153_846).abs() < 1e-6, "{c:?}");
    assert!((c.mean.standard_uncertainty() - 0.245_311).abs() < 1e-5);
    // G. D'Agostini 1994: 8.0 and 8.5, 2 % independent and 10 % common, where it gives 7.87 +- 0.81.
    // By hand: (8/0.0256 + 8.5/0.0289)/(1/0.0256 + 1/0.0289) = 8.23486, u^2 = 1/73.6646 + 0.823486^2.
    let c = combine(&scaled_alike(&[(8.0, 0.02), (8.5, 0.02)], 0.1)).expect("two");
    assert!((c.mean.value() - 8.234_862).abs() < 1e-5, "{c:?}");
    assert!((c.mean.standard_uncertainty() - 0.831_68).abs() < 1e-4);
    // Chi-square is that of the independent parts: 0.5^2/(0.16^2 + 0.17^2).
    assert!((c.chi_square - 0.25 / 0.0545).abs() < 1e-5);
}

#[test]
fn what_adds_to_all_alike_stays_as_it_is() {
    // 10 and 12 with 1 each, and a blank of 3 that both were read against: the mean is 11, and
    // u^2 = 1/2 + 9. Taken as a share of each it would be otherwise.
    let mut inputs = Inputs::default();
    let mut new = |name: &'static str, x, u| {
        inputs
            .register(name, name, x, u, Shape::Normal)
            .expect("new")
    };
    let (a, b, blank) = (new("a", 13.0, 1.0), new("b", 15.0, 1.0), new("c", 3.0, 3.0));
    let c = combine(&[a.minus(&blank), b.minus(&blank)]).expect("two");
    assert!((c.mean.value() - 11.0).abs() < 1e-9);
    assert!((c.mean.variance() - 9.5).abs() < 1e-9);
    // Read as 5 g and 6 g with a common 20 %, and 10 g added since: (5 + 6)/2 + 10, and
    // u^2 = 1/2 + (0.2 x 5.5)^2.
    let factor = new("factor", 1.0, 0.2);
    let (five, six) = (new("five", 5.0, 1.0), new("six", 6.0, 1.0));
    let ten = Uncertain::exact(10.0);
    let c = combine_moved(
        &[five.times(&factor), six.times(&factor)],
        &[ten.clone(), ten],
    )
    .expect("two");
    assert!((c.mean.value() - 15.5).abs() < 1e-9, "{c:?}");
    assert!((c.mean.variance() - (0.5 + 1.21)).abs() < 1e-9, "{c:?}");
}

#[test]
fn a_weight_below_zero_is_none() {
    // The second holds the first's whole error and more: C = [[1, 2], [2, 5]], where plain least
    // squares weighs them 3/2 and -1/2 and gets 9 from 10 and 12. The first stands alone.
    let mut inputs = Inputs::default();
    let mut new = |name: &'static str, x, u| {
        inputs
            .register(name, name, x, u, Shape::Normal)
            .expect("new")
    };
    let (common, own) = (new("common", 0.0, 1.0), new("own", 12.0, 1.0));
    let first = Uncertain::exact(10.0).plus(&common);
    let second = own.plus(&common.scaled(2.0));
    let c = combine(&[first, second]).expect("two");
    assert!((c.mean.value() - 10.0).abs() < 1e-9, "{c:?}");
    assert!((c.mean.standard_uncertainty() - 1.0).abs() < 1e-9);
}

#[test]
fn two_titrations_of_one_jug_that_differ_meet_between_them() {
    let answer = one_litre(vec![titration(22.0), titration(20.0)]);
    let each: Vec<f64> = answer
        .result
        .by_evidence
        .iter()
        .map(|e| e.silver_g.expect("a figure").get())
        .collect();
    // Titre x 0.1 x 107.8682 / 5.
    assert!((each[0] - 47.4620).abs() < 1e-4 && (each[1] - 43.1473).abs() < 1e-4);
    let (value, u) = answer.result.figure().expect("a figure");
    // Sample and thiocyanate 1 % each, titre 0.05 and blank 0.03 mL: u1^2 = 47.462^2 x
    // (0.0002 + 0.0034/484) = 0.46635, u2^2 = 43.147^2 x (0.0002 + 0.0034/400) = 0.38816;
    // (47.462/0.46635 + 43.147/0.38816)/(1/0.46635 + 1/0.38816) = 45.107.
    assert!((value - 45.107).abs() < 0.002, "{value}");
    // Chi-square = 4.3147^2/0.85451 = 21.786. The volume's 10 % is not widened by it:
    // u^2 = 21.786/4.7206 + 4.5107^2 = 24.962.
    let Agreement::Widened { chi_square, .. } = answer.result.agreement else {
        panic!("{:?}", answer.result.agreement);
    };
    assert!((chi_square.get() - 21.786).abs() < 0.01, "{chi_square:?}");
    assert!((u - 24.962f64.sqrt()).abs() < 0.005, "{u}");
}

#[test]
fn readings_that_agree_are_weighed_as_before() {
    // 22.0 and 22.1 mL: 47.462 and 47.678 g. As above, u1^2 = 0.46635 and u2^2 = 47.678^2 x
    // (0.0002 + 0.0034/488.41) = 0.47046: the mean is 47.569.
    let answer = one_litre(vec![titration(22.0), titration(22.1)]);
    let (value, u) = answer.result.figure().expect("a figure");
    assert!((value - 47.569).abs() < 0.001, "{value}");
    // 1/(1/0.46635 + 1/0.47046) + 4.7569^2 = 22.862.
    assert!((u - 22.862f64.sqrt()).abs() < 0.001, "{u}");
    assert!(matches!(
        answer.result.agreement,
        Agreement::Consistent { .. }
    ));
}

#[test]
fn readings_far_apart_beyond_chance_have_no_mean() {
    let stated = |g: f64| json!({"stated": {"silver_g": g}});
    for (evidence, words) in [
        // Half the titre; chi-square 23.73^2/(0.466 + 0.119) = 963.
        (
            vec![titration(22.0), titration(11.0)],
            "number 2 (volhard_titration) gives 23.73 g and number 1 (volhard_titration) gives 47.46 g",
        ),
        (
            vec![titration(22.0), titration(22.0), titration(11.0)],
            "number 3 (volhard_titration) stands out",
        ),
        // 20 % each: chi-square 25 and 24.6 on one degree of freedom, a chance below 1 in 10,000 by
        // any table (15.1).
        (vec![stated(1079.0), stated(0.011)], "units"),
        (vec![stated(100.0), stated(8.0)], "units"),
    ] {
        let answer = one_litre(evidence);
        assert_eq!(answer.result.figure(), None);
        let Agreement::Contradiction { reason } = &answer.result.agreement else {
            panic!("{:?}", answer.result.agreement);
        };
        assert!(
            reason.contains(words) && reason.contains("sample"),
            "{reason}"
        );
        assert!(
            answer
                .warnings
                .iter()
                .any(|w| w.text.contains("No figure is given; measure again"))
        );
    }
    // A reading misread by a tenth among two good ones keeps its figure, and so do two that are
    // far apart and rough.
    let answer = one_litre(vec![titration(22.0), titration(22.0), titration(24.3)]);
    assert!(answer.result.figure().is_some(), "{:?}", answer.result);
    let answer = one_litre(vec![stated(50.0), stated(25.0)]);
    assert!(answer.result.figure().is_some(), "{:?}", answer.result);
}

#[test]
fn a_part_whose_readings_have_no_mean_gives_no_whole() {
    let liquor = |mg: f64| json!({"laboratory_assay": {"silver_mg_per_l": {"value": mg, "standard_uncertainty": 1}, "sampled": "clear_liquor"}});
    let sludge = json!({"weighed_solid": {"wet_mass_g": 40, "moisture_percent": 50, "silver_percent_dry": 75, "sampled": "sludge"}});
    let answer = ask(json!({"id": "r", "kind": "rinse_water", "volume_l": 10,
        "evidence": [liquor(100.0), liquor(300.0), sludge]}));
    assert_eq!(answer.result.figure(), None);
    assert!(matches!(
        answer.result.agreement,
        Agreement::Contradiction { .. }
    ));
}

#[test]
fn an_exact_figure_is_judged_by_the_others() {
    let stated =
        |g: f64, u: f64| json!({"stated": {"silver_g": {"value": g, "standard_uncertainty": u}}});
    let answer = one_litre(vec![stated(50.0, 0.0), stated(47.0, 1.0)]);
    // Chi-square (47 - 50)^2 / 1^2 on one degree of freedom: a chance of 0.27 %.
    assert_eq!(answer.result.figure(), Some((50.0, 0.0)));
    let Agreement::Widened { chance_percent, .. } = answer.result.agreement else {
        panic!("{:?}", answer.result.agreement);
    };
    assert!((chance_percent.get() - 0.26998).abs() < 1e-4);
    let answer = one_litre(vec![stated(50.0, 0.0), stated(20.0, 1.0)]);
    assert_eq!(answer.result.figure(), None);
}

#[test]
fn every_bound_on_readings_names_a_source_that_resolves() {
    for key in bound_sources() {
        assert!(
            spent_silver_domain::bibliography::reference(key).is_some(),
            "{key}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    /// Readings that share a volume, and some of which share a solution and a pipette besides.
    #[test]
    fn the_mean_lies_between_the_least_and_the_greatest_reading(
        readings in prop::collection::vec((0.001f64..1000.0, 0.001f64..0.5, 0u8..4, 0.5f64..2.0), 2..7),
        common in 0.0f64..0.5,
        solution in 0.0f64..0.3,
        pipette in 0.0f64..0.3,
    ) {
        let mut inputs = Inputs::default();
        let volume = inputs.register("v", "v", 2.0, 2.0 * common, Shape::Normal).expect("new");
        let solution = inputs.register("s", "s", 0.1, 0.1 * solution, Shape::Normal).expect("new");
        let pipette = inputs.register("p", "p", 5.0, 5.0 * pipette, Shape::Rectangular).expect("new");
        let parts: Vec<Uncertain> = readings
            .iter()
            .enumerate()
            .map(|(i, (x, u, shares, _))| {
                let own = inputs.register(i.to_string(), "r", *x, u * x, Shape::Normal).expect("new");
                let own = if shares & 1 == 1 { own.times(&solution) } else { own.scaled(0.1) };
                let own = if shares & 2 == 2 { own.over(&pipette) } else { own.scaled(0.2) };
                own.times(&volume)
            })
            .collect();
        let c = combine(&parts).expect("a mean");
        let least = parts.iter().map(Uncertain::value).fold(f64::INFINITY, f64::min);
        let most = parts.iter().map(Uncertain::value).fold(0.0, f64::max);
        prop_assert!(c.mean.value() >= least * (1.0 - 1e-9), "{c:?}");
        prop_assert!(c.mean.value() <= most * (1.0 + 1e-9), "{c:?}");
        // The volume, which all share, is there once and whole: u >= x u(V)/V.
        prop_assert!(c.mean.standard_uncertainty() >= c.mean.value() * common * (1.0 - 1e-9));
        prop_assert!(c.chi_square.is_finite());
    }
}

fn ten_litres(assay_mg_per_l: (f64, f64)) -> Answer<Estimate> {
    ask(json!({"id": "f", "kind": "fixer",
        "volume_l": {"value": 10, "standard_uncertainty": 0.5}, "evidence": [
        {"test_strip": {"at_least_g_per_l": 3, "below_g_per_l": 5}},
        {"laboratory_assay": {"silver_mg_per_l": {"value": assay_mg_per_l.0, "standard_uncertainty": assay_mg_per_l.1}}}]}))
}

#[test]
fn one_volume_excuses_no_reading_that_a_strip_rules_out() {
    // By hand: 2.50 +- 0.03 g/L lies 0.50 below the strip's 3 g/L, 16.7 of its own uncertainties,
    // whatever the volume is.
    let answer = ten_litres((2500.0, 30.0)).result;
    assert!(
        matches!(answer.agreement, Agreement::Contradiction { .. }),
        "{:?}",
        answer.agreement
    );
    assert!(answer.silver_g.is_none());
}

#[test]
fn no_strip_makes_the_silver_surer_than_the_volume() {
    // By hand: c = 2.98 +- 0.03 g/L cut at 3 g/L is a normal cut at z = 0.6667 of its uncertainties:
    // mean 2.98 + 0.03 x 1.2649 = 3.01795, u 0.03 x sqrt(1 + 0.6667 x 1.2649 - 1.2649^2) = 0.01479.
    // Times 10 +- 0.5 L: 30.18 g, u = sqrt((0.5 x 3.018)^2 + (10 x 0.01479)^2) = 1.516 g.
    let answer = ten_litres((2980.0, 30.0)).result;
    let (silver, u) = answer.figure().expect("a figure");
    assert!((silver - 30.18).abs() < 0.1, "{silver}");
    assert!((u - 1.516).abs() < 0.03, "{u}");
    let interval = answer.interval_95_g.expect("an interval");
    let width = interval.upper.expect("both ends").get() - interval.lower.get();
    assert!((width - 2.0 * 1.96 * 1.516).abs() < 0.15, "{width}");
}
