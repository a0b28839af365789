//! What silver costs: against published amounts, and by what must hold.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use rust_decimal::Decimal;
use serde_json::{Value, json};
use spent_silver_domain::answer::Answer;
use spent_silver_domain::bibliography::reference;
use spent_silver_domain::budget::{Budget, BudgetRequest, METHODS, default_sources, plan_budget};
use spent_silver_domain::fault::{FaultKind, Faults};

const INCH_CM: f64 = 2.54;
const GRAIN_G: f64 = 0.064_798_91;

fn plan(request: &Value) -> Result<Answer<Budget>, Faults> {
    let request: BudgetRequest = serde_json::from_str(&request.to_string()).unwrap();
    plan_budget(&request)
}

fn inches(inches: f64) -> String {
    format!("{:.3}", inches * INCH_CM)
}

/// A studio of invented figures: 30 USD an ounce, silver nitrate from the metal at half as much again.
fn studio() -> Value {
    json!({
        "metal_price": {"amount": "31.1034768", "currency": "USD", "per": "troy_ounce"},
        "price_range": {"spread": {"plus_minus_percent": 50}},
        "silver_use": {
            "currency": "USD",
            "silver_nitrate": {"over_metal": {"premium_percent": 50}},
            "purity_percent": {"value": 100, "standard_uncertainty": 0},
            "formats": [
                {"name": "4x5", "monthly_count": 40, "width_cm": inches(4.0), "height_cm": inches(5.0)},
                {"name": "8x10", "monthly_count": 10, "width_cm": inches(8.0), "height_cm": inches(10.0)}
            ],
            "baths": [
                {"name": "plate bath", "strength_percent_w_v": 9, "volume_l": 2, "yearly_count": 1, "recovered_percent": 90}
            ],
            "streams": [
                {"name": "run-off", "share_percent": 50, "recovered_percent": 80, "yearly_cost": "12.00"},
                {"name": "fixer", "share_percent": 20, "recovered_percent": 60}
            ],
            "payable_percent": 90,
            "yearly_charges": "100.00"
        }
    })
}

fn mass(value: &Value) -> f64 {
    value["mass_g"].as_str().unwrap().parse().unwrap()
}

fn money(value: &Value) -> Decimal {
    value.as_str().unwrap().parse().unwrap()
}

fn result(request: &Value) -> Value {
    serde_json::to_value(plan(request).unwrap()).unwrap()["result"].clone()
}

#[test]
fn a_collodion_plate_takes_what_the_published_titration_test_found() {
    // A supplier's published titration test, January 2026: 0.18 g of silver nitrate per 4x5,
    // 0.31 g per 5x7 and 0.72 g per 8x10 inch plate, printed to two digits.
    for (w, h, published) in [(4.0, 5.0, 0.18), (5.0, 7.0, 0.31), (8.0, 10.0, 0.72)] {
        let mut request = studio();
        request["silver_use"]["formats"] = json!([{"name": "plate", "monthly_count": 1, "width_cm": inches(w), "height_cm": inches(h)}]);
        let each = &result(&request)["formats"][0]["silver_nitrate_each"];
        assert!(
            (mass(each) - published).abs() <= 0.0051,
            "{w}x{h}: {}",
            mass(each)
        );
        let u: f64 = each["standard_uncertainty_g"]
            .as_str()
            .unwrap()
            .parse()
            .unwrap();
        assert!(u / mass(each) >= 0.2999, "one test is no better than 30 %");
    }
}

#[test]
fn an_albumen_sheet_takes_what_the_period_manual_says() {
    // Workshop Receipts, 4th series: 17x22 inch takes 7 gr of ammonium chloride, which needs
    // 22 1/4 gr of silver nitrate (exactly 22.23), and the organic matter 2 to 3 gr more.
    let mut request = studio();
    request["silver_use"]["formats"] = json!([
        {"name": "albumen", "craft": "albumen_paper", "monthly_count": 1, "width_cm": inches(17.0), "height_cm": inches(22.0)},
        {"name": "as chloride", "monthly_count": 1, "width_cm": inches(17.0), "height_cm": inches(22.0), "silver_nitrate_g_per_m2": "5.97"}
    ]);
    let result = result(&request);
    let grains = |i: usize| mass(&result["formats"][i]["silver_nitrate_each"]) / GRAIN_G;
    assert!((24.2..=25.3).contains(&grains(0)), "{}", grains(0));
    assert!((grains(1) - 22.23).abs() < 0.01, "{}", grains(1));
}

#[test]
fn a_litre_of_nine_percent_bath_holds_the_silver_of_the_make_up_record() {
    // 1.0 L of 9 % w/v silver nitrate of 99.8 % purity: 57.0353579 g of silver, by exact
    // arithmetic from M(Ag) 107.8682 and M(AgNO3) 169.8722 outside this program.
    let mut request = studio();
    request["silver_use"]["purity_percent"] = json!({"value": "99.8", "plus_minus": "0.2"});
    request["silver_use"]["baths"][0]["volume_l"] = json!({"value": 1, "plus_minus": "0.01"});
    let result = result(&request);
    assert!((mass(&result["baths"][0]["silver_nitrate_each"]) - 90.0).abs() < 1e-9);
    assert!((mass(&result["baths"][0]["silver_each"]) - 57.035_357_9).abs() < 57.0 * 1e-7);
}

#[test]
fn silver_nitrate_over_the_metal_costs_its_silver_and_the_premium() {
    // At 1 USD a gram of silver, 100 g of silver nitrate holds 63.50 g of silver: 63.50 USD, and
    // half as much again is 95.25 USD.
    let result = result(&studio());
    let prices = &result["prices"];
    assert_eq!(
        prices["expected"]["silver_nitrate_per_hundred_grams"],
        "95.25"
    );
    assert_eq!(prices["low"]["metal_per_troy_ounce"], "15.55");
    assert_eq!(prices["high"]["metal_per_troy_ounce"], "46.66");
}

#[test]
fn a_quoted_price_moves_with_the_metal_in_it_only() {
    let mut request = studio();
    request["silver_use"]["silver_nitrate"] = json!({"quoted": {"amount": "25", "for_g": "25"}});
    let result = result(&request);
    let prices = &result["prices"];
    assert_eq!(
        prices["expected"]["silver_nitrate_per_hundred_grams"],
        "100.00"
    );
    // 63.50 g of silver, half a dollar a gram cheaper or dearer: 31.75 USD.
    assert_eq!(prices["low"]["silver_nitrate_per_hundred_grams"], "68.25");
    assert_eq!(prices["high"]["silver_nitrate_per_hundred_grams"], "131.75");
}

#[test]
fn a_studio_worked_by_hand_comes_out() {
    // 480 plates of 4x5 (0.012903 m2) and 120 of 8x10 (0.051613 m2) at 13.9 g/m2, and 180 g for
    // a 2 L bath: 86.09 + 86.09 + 180 = 352.18 g of silver nitrate, 223.63 g of silver.
    // Plates: 109.33 g of silver, of which 0.5 x 0.8 + 0.2 x 0.6 = 52 % comes back, 56.85 g;
    // bath: 114.30 g, of which 90 %, 102.87 g. Recovered 159.72 g, paid at 90 %: 143.75 USD.
    // Bought: 352.18 x 0.9525 = 335.45 USD. Charges 112. Net 335.45 - 143.75 + 112 = 303.70 USD.
    let result = result(&studio());
    let near =
        |value: f64, expected: f64| assert!((value - expected).abs() < 0.02, "{value} {expected}");
    near(mass(&result["silver_nitrate_per_year"]), 352.18);
    near(mass(&result["silver_per_year"]), 223.63);
    near(mass(&result["recovered_silver_per_year"]), 159.72);
    let year = &result["per_year"]["expected"];
    assert_eq!(year["silver_nitrate"], "335.45");
    assert_eq!(year["recovered_silver"], "143.75");
    assert_eq!(year["charges"], "112.00");
    assert_eq!(year["net"], "303.70");
    assert_eq!(result["per_month"]["expected"]["charges"], "9.33");
}

#[test]
fn lines_add_up_and_parts_make_the_whole() {
    let result = result(&studio());
    for case in ["low", "expected", "high"] {
        let parts = result["formats"].as_array().unwrap().iter();
        let parts = parts.chain(result["baths"].as_array().unwrap());
        let mut net = Decimal::ZERO;
        for part in parts {
            for cost in [&part["each"][case], &part["per_year"][case]] {
                assert_eq!(
                    money(&cost["silver_nitrate"]) - money(&cost["recovered_silver"])
                        + money(&cost["charges"]),
                    money(&cost["net"])
                );
            }
            net += money(&part["per_year"][case]["net"]);
        }
        let whole = money(&result["per_year"][case]["net"]);
        assert!(
            (net - whole).abs() <= Decimal::new(5, 2),
            "{case}: {net} {whole}"
        );
    }
}

#[test]
fn silver_got_back_is_never_more_than_silver_bought() {
    let mut request = studio();
    request["silver_use"]["streams"] =
        json!([{"name": "all", "share_percent": 100, "recovered_percent": 100}]);
    request["silver_use"]["baths"][0]["recovered_percent"] = json!(100);
    let result = result(&request);
    let (bought, back) = (
        mass(&result["silver_per_year"]),
        mass(&result["recovered_silver_per_year"]),
    );
    assert!(
        (bought - back).abs() < 1e-6 * bought,
        "all of it comes back: {bought} {back}"
    );
    assert!(
        money(&result["per_year"]["expected"]["net"]) > Decimal::ZERO,
        "the premium is lost"
    );
}

#[test]
fn one_loss_for_two_sizes_is_one_uncertainty_and_two_losses_are_two() {
    let total = |second: &str| {
        let mut request = studio();
        request["silver_use"]["baths"] = json!([]);
        for (i, loss) in ["14", second].iter().enumerate() {
            request["silver_use"]["formats"][i]["silver_nitrate_g_per_m2"] =
                json!({"value": loss, "standard_uncertainty": "4"});
        }
        let year = &result(&request)["silver_nitrate_per_year"];
        let u: f64 = year["standard_uncertainty_g"]
            .as_str()
            .unwrap()
            .parse()
            .unwrap();
        u / mass(year)
    };
    // Both sizes use the same area in a year: shared, 4 in 14; by themselves, 4 in 14 over root 2.
    assert!((total("14") - 4.0 / 14.0).abs() < 1e-6);
    assert!((total("14.0001") - 4.0 / 14.0 / 2f64.sqrt()).abs() < 1e-4);
}

#[test]
fn the_spread_of_the_net_agrees_with_a_simulation() {
    // A second route to the same figure: the first-order spread against 40,000 random studios.
    let mut request = studio();
    let readings = [13.9, 9.0, 2.0, 90.0, 50.0, 80.0, 20.0, 60.0];
    let spreads = [1.2, 0.1, 0.05, 3.0, 4.0, 4.0, 3.0, 5.0];
    let reading = |i: usize| json!({"value": readings[i], "standard_uncertainty": spreads[i]});
    let used = &mut request["silver_use"];
    used["formats"][0]["silver_nitrate_g_per_m2"] = reading(0);
    used["formats"][1]["silver_nitrate_g_per_m2"] = reading(0);
    used["baths"][0]["strength_percent_w_v"] = reading(1);
    used["baths"][0]["volume_l"] = reading(2);
    used["baths"][0]["recovered_percent"] = reading(3);
    used["streams"][0]["share_percent"] = reading(4);
    used["streams"][0]["recovered_percent"] = reading(5);
    used["streams"][1]["share_percent"] = reading(6);
    used["streams"][1]["recovered_percent"] = reading(7);
    let ours: f64 = result(&request)["per_year"]["expected"]["net_standard_uncertainty"]
        .as_str()
        .unwrap()
        .parse()
        .unwrap();

    let area = 2.0 * 480.0 * 20.0 * INCH_CM * INCH_CM / 10_000.0;
    let silver = 107.8682 / 169.8722;
    let mut seed = 7u64;
    let mut uniform = || {
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (seed >> 11) as f64 / (1u64 << 53) as f64
    };
    let mut nets = Vec::new();
    for _ in 0..40_000 {
        let mut x = [0.0; 8];
        for i in 0..8 {
            let normal: f64 = (0..12).map(|_| uniform()).sum::<f64>() - 6.0;
            x[i] = readings[i] + spreads[i] * normal;
        }
        let plates = x[0] * area;
        let bath = x[1] * 10.0 * x[2];
        let back =
            plates * silver * (x[4] * x[5] + x[6] * x[7]) / 1e4 + bath * silver * x[3] / 100.0;
        nets.push((plates + bath) * silver * 1.5 - back * 0.9);
    }
    let mean = nets.iter().sum::<f64>() / nets.len() as f64;
    let sd = (nets.iter().map(|n| (n - mean).powi(2)).sum::<f64>() / nets.len() as f64).sqrt();
    assert!((ours / sd - 1.0).abs() < 0.03, "{ours} {sd}");
}

#[test]
fn every_default_is_listed_and_every_source_resolves() {
    let mut request = studio();
    let used = request["silver_use"].as_object_mut().unwrap();
    used.remove("purity_percent");
    used.remove("payable_percent");
    used.remove("streams");
    used["baths"][0]
        .as_object_mut()
        .unwrap()
        .remove("recovered_percent");
    request.as_object_mut().unwrap().remove("price_range");
    let answer = plan(&request).unwrap();
    for field in [
        "/silver_use/purity_percent",
        "/silver_use/payable_percent",
        "/silver_use/streams",
        "/silver_use/formats/0/craft",
        "/silver_use/formats/0/silver_nitrate_g_per_m2",
        "/silver_use/baths/0/strength_percent_w_v",
        "/silver_use/baths/0/volume_l",
        "/silver_use/baths/0/recovered_percent",
        "/price_range",
        "/rule_set",
    ] {
        assert!(
            answer.assumptions.iter().any(|a| a.field == field),
            "{field}"
        );
    }
    for key in &answer.references {
        assert!(reference(key).is_some(), "{key}");
    }
    let sources = METHODS.iter().map(|m| m.source).chain(default_sources());
    for key in sources {
        assert!(reference(key).is_some(), "{key}");
    }
    assert!(
        answer
            .assumptions
            .iter()
            .all(|a| answer.references.contains(&a.source))
    );
}

#[test]
fn a_stream_that_costs_more_than_it_brings_is_said_to() {
    let mut request = studio();
    request["silver_use"]["streams"][1]["yearly_cost"] = json!("250");
    let answer = plan(&request).unwrap();
    let warning = answer
        .warnings
        .iter()
        .find(|w| w.about == "/streams/1/worth_per_year");
    assert!(warning.unwrap().text.contains("fixer"));
    request["silver_use"]["silver_nitrate"] = json!({"quoted": {"amount": "5", "for_g": "25"}});
    let answer = plan(&request).unwrap();
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.text.contains("below the value of the silver"))
    );
}

#[test]
fn bad_input_is_named_by_its_place() {
    let cases = [
        (
            "/silver_use/currency",
            json!("EUR"),
            "/silver_use/currency",
            FaultKind::MixedCurrencies,
        ),
        (
            "/silver_use/formats/0/width_cm",
            json!(0),
            "/silver_use/formats/0/width_cm",
            FaultKind::OutOfRange,
        ),
        (
            "/silver_use/formats/1/height_cm",
            json!(5000),
            "/silver_use/formats/1/height_cm",
            FaultKind::OutOfRange,
        ),
        (
            "/silver_use/formats/0/monthly_count",
            json!(100_001),
            "/silver_use/formats/0/monthly_count",
            FaultKind::OutOfRange,
        ),
        (
            "/silver_use/baths/0/yearly_count",
            json!(1_001),
            "/silver_use/baths/0/yearly_count",
            FaultKind::OutOfRange,
        ),
        (
            "/silver_use/streams/0/share_percent",
            json!(81),
            "/silver_use/streams",
            FaultKind::Conflict,
        ),
        (
            "/price_range",
            json!({"prices": {"low": "40", "high": "50"}}),
            "/price_range/prices/low",
            FaultKind::OutOfRange,
        ),
        (
            "/price_range",
            json!({"prices": {"low": "20", "high": "30"}}),
            "/price_range/prices/high",
            FaultKind::OutOfRange,
        ),
        (
            "/silver_use/silver_nitrate",
            json!({"quoted": {"amount": "5", "for_g": 0}}),
            "/silver_use/silver_nitrate/quoted/for_g",
            FaultKind::OutOfRange,
        ),
        (
            "/silver_use/formats/0/craft",
            json!("film_and_paper"),
            "/silver_use/formats/0/silver_nitrate_g_per_m2",
            FaultKind::Missing,
        ),
    ];
    for (place, value, pointer, kind) in cases {
        let mut request = studio();
        match request.pointer_mut(place) {
            Some(spot) => *spot = value,
            None => request["silver_use"]["formats"][0]["craft"] = value,
        }
        let faults = plan(&request).unwrap_err();
        assert!(
            faults
                .list()
                .iter()
                .any(|f| f.pointer == pointer && f.kind == kind),
            "{place}: {faults}"
        );
    }
    let mut request = studio();
    request["silver_use"]["formats"] = json!([]);
    request["silver_use"]["baths"] = json!([]);
    assert_eq!(
        plan(&request).unwrap_err().list()[0].kind,
        FaultKind::Missing
    );
    let mut request = studio();
    request["silver_use"]["formats"][0]["monthly_count"] = json!(0);
    request["silver_use"]["formats"][1]["monthly_count"] = json!(0);
    request["silver_use"]["baths"] = json!([]);
    assert_eq!(
        plan(&request).unwrap_err().list()[0].pointer,
        "/silver_use/formats"
    );
    let mut request = studio();
    request["silver_use"]["formats"] =
        Value::Array(vec![request["silver_use"]["formats"][0].clone(); 101]);
    assert_eq!(
        plan(&request).unwrap_err().list()[0].kind,
        FaultKind::TooMany
    );
}

#[test]
fn absurd_but_allowed_figures_neither_panic_nor_mislead() {
    let mut request = studio();
    request["metal_price"] = json!({"amount": "999999999999", "currency": "USD", "per": "gram"});
    request["silver_use"]["formats"] = json!([{
        "name": "wall", "monthly_count": 100_000, "width_cm": 500, "height_cm": 500,
        "silver_nitrate_g_per_m2": {"value": 10000, "standard_uncertainty": 1}
    }]);
    let result = result(&request);
    assert!(money(&result["per_year"]["expected"]["net"]) > Decimal::ZERO);
    request["metal_price"]["amount"] = json!("0");
    assert!(plan(&request).is_ok(), "worthless metal still has charges");
}

#[test]
fn unknown_members_and_wrong_suffixes_are_refused() {
    for (place, name) in [
        ("/silver_use", "silver_nitrate_price"),
        ("/silver_use/formats/0", "width_in"),
    ] {
        let mut request = studio();
        request.pointer_mut(place).unwrap()[name] = json!(1);
        assert!(
            serde_json::from_str::<BudgetRequest>(&request.to_string()).is_err(),
            "{name}"
        );
    }
    let mut request = studio();
    request["silver_use"]["silver_nitrate"]["over_metal"]["for_g"] = json!(1);
    assert!(serde_json::from_str::<BudgetRequest>(&request.to_string()).is_err());
}
