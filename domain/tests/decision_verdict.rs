//! What to do with a lot, in the order safety, measuring, money.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use spent_silver_domain::answer::{Answer, Notes};
use spent_silver_domain::bibliography::SourceStatus;
use spent_silver_domain::decision::{
    Alternative, Circumstances, Decision, DecisionRequest, LimitKind, LotAction, LotClocks,
    LotDecision, decide, decide_lot,
};
use spent_silver_domain::fault::{FaultKind, Faults};
use spent_silver_domain::quantity::Date;
use spent_silver_domain::valuation::{Market, estimate_lot, value_prepared_lot};
use spent_silver_domain::waste::storage::StorageClock;

fn batch(kind: &str, silver_g: f64, u: f64) -> Value {
    json!({"id": "a", "kind": kind, "mass_kg": 5,
        "evidence": [{"stated": {"silver_g": {"value": silver_g, "standard_uncertainty": u}, "source": "assay"}}]})
}

/// At USD 31.1034768 per troy ounce a gram is a dollar; the lot minimum is 300 dollars at 90 % payable:
/// break-even at 333.33 g.
fn request(batch: Value) -> Value {
    json!({
        "lot": {"id": "lot", "batches": [batch]},
        "price": {"amount": "31.1034768", "currency": "USD", "per": "troy_ounce"},
        "terms": {"currency": "USD", "payment": {"payable_percent": 90, "minimum_lot_charge": 300}},
        "on": "2026-01-01"
    })
}

fn ask(request: &Value) -> Result<Answer<LotDecision>, Faults> {
    let request: DecisionRequest = serde_json::from_str(&request.to_string()).unwrap();
    decide(&request)
}

fn decision(request: &Value) -> Decision {
    ask(request).unwrap().result.decision
}

fn find(decision: &Decision, action: LotAction) -> &Alternative {
    decision
        .alternatives
        .iter()
        .find(|a| a.action == action)
        .unwrap()
}

fn net(decision: &Decision, action: LotAction) -> String {
    find(decision, action).net.unwrap().to_string()
}

#[test]
fn a_lot_above_break_even_is_sent() {
    let d = decision(&request(batch("sludge", 1000.0, 10.0)));
    assert_eq!(d.verdict, LotAction::Send);
    // 1000 x 0.9 - 300.
    assert_eq!(net(&d, LotAction::Send), "600.00");
    assert_eq!(d.break_even_on.unwrap().to_string(), "2026-01-01");
    assert!(d.chance_of_gain_percent.unwrap().get() > 99.9);
    assert_eq!(
        d.alternatives[0].action,
        LotAction::Send,
        "the chosen one comes first"
    );
}

#[test]
fn a_small_lot_that_loses_money_says_so_plainly_and_is_held_until_it_pays() {
    let mut r = request(batch("sludge", 100.0, 1.0));
    r["haulage_terms"] = json!({"currency": "USD", "call_out": 250});
    r["fill_rate_g_per_month"] = json!(50);
    let answer = ask(&r).unwrap();
    let d = &answer.result.decision;
    assert_eq!(d.verdict, LotAction::Hold, "{}", d.reason);
    assert_eq!(net(d, LotAction::Send), "-210.00");
    assert_eq!(net(d, LotAction::HaulAway), "-250.00");
    // 233.33 g more at 50 g a month: 4.667 months of 30.4375 days = 142.04 days.
    assert_eq!(d.break_even_on.unwrap().to_string(), "2026-05-24");
    assert!(
        d.reason.contains("costs money") && d.reason.contains("2026-05-24"),
        "{}",
        d.reason
    );
    assert!(
        answer
            .warnings
            .iter()
            .any(|w| w.text.contains("costs money"))
    );
    assert!(
        d.what_would_change.iter().any(|w| w.contains("333.3 g")),
        "{:?}",
        d.what_would_change
    );
}

#[test]
fn a_small_lot_waits_for_the_fuller_container_even_if_it_never_pays() {
    // A haulier at 150 whatever the amount; silver doubles by 1 March (59 days, 96.9 g at 50 g a month).
    let mut r = request(batch("sludge", 100.0, 1.0));
    r["haulage_terms"] = json!({"currency": "USD", "call_out": 150});
    r["fill_rate_g_per_month"] = json!(50);
    r["must_leave_by_on"] = json!("2026-03-01");
    let d = decision(&r);
    // Sent then: 196.92 x 0.9 - 300 = -122.77, of which 100 / 196.92 is -62.35; hauled then, -76.17.
    assert_eq!(net(&d, LotAction::Hold), "-62.35");
    assert_eq!(d.verdict, LotAction::Hold, "{}", d.reason);
    assert!(d.reason.contains("after the latest day"), "{}", d.reason);
    // With a haulier at 100 the later lot is better hauled: 100 / 1.9692 = 50.78.
    r["haulage_terms"]["call_out"] = json!(100);
    let d = decision(&r);
    assert_eq!(net(&d, LotAction::Hold), "-50.78");
    assert!(find(&d, LotAction::Hold).reason.contains("hauled away"));
}

#[test]
fn where_nothing_more_gathers_the_least_loss_is_taken_and_said() {
    let mut r = request(batch("sludge", 100.0, 1.0));
    r["fill_rate_g_per_month"] = json!(0);
    let d = decision(&r);
    assert!(d.break_even_on.is_none());
    assert_eq!(d.verdict, LotAction::Send);
    assert!(
        d.reason.contains("costs money") && d.reason.contains("cheapest"),
        "{}",
        d.reason
    );
    r["haulage_terms"] = json!({"currency": "USD", "call_out": 150});
    let d = decision(&r);
    assert_eq!(d.verdict, LotAction::HaulAway, "{}", d.reason);
    assert!(
        d.reason.contains("150.00") && d.reason.contains("210.00"),
        "{}",
        d.reason
    );
    // A free collection costs nothing, and is asked about first.
    r["haulage_terms"]["free_municipal_collection"] = json!(true);
    let d = decision(&r);
    assert_eq!(net(&d, LotAction::HaulAway), "0.00");
    assert!(d.reason.contains("ask"), "{}", d.reason);
}

#[test]
fn hold_does_not_exist_once_the_time_is_up() {
    for (day, possible) in [
        ("2025-12-31", false),
        ("2026-01-01", false),
        ("2026-01-02", true),
    ] {
        let mut r = request(batch("sludge", 100.0, 1.0));
        r["fill_rate_g_per_month"] = json!(500);
        r["must_leave_by_on"] = json!(day);
        let d = decision(&r);
        assert_eq!(find(&d, LotAction::Hold).possible, possible, "{day}");
        if !possible {
            assert_ne!(d.verdict, LotAction::Hold);
        }
    }
    // An unmeasured lot whose time is up leaves unmeasured.
    let mut r = request(json!({"id": "a", "kind": "sludge"}));
    assert_eq!(decision(&r).verdict, LotAction::MeasureFirst);
    r["must_leave_by_on"] = json!("2026-01-01");
    assert_eq!(decision(&r).verdict, LotAction::HaulAway);
}

#[test]
fn an_unknown_value_is_measured_first_and_not_taken_for_nothing() {
    let r = request(json!({"id": "a", "kind": "sensitizing_bath"}));
    let d = decision(&r);
    assert_eq!(d.verdict, LotAction::MeasureFirst);
    assert!(find(&d, LotAction::Send).net.is_none());
    assert!(d.act[0].contains("silver chloride"), "{:?}", d.act);
}

#[test]
fn even_odds_on_a_poor_figure_are_measured_first() {
    let d = decision(&request(batch("sludge", 340.0, 120.0)));
    assert_eq!(d.verdict, LotAction::MeasureFirst, "{}", d.reason);
    // The same silver well known is not.
    let d = decision(&request(batch("sludge", 340.0, 2.0)));
    assert_eq!(d.verdict, LotAction::Send);
}

#[test]
fn the_chance_agrees_with_a_simulation() {
    // Silver 380 +- 60 g and a price spread of 15 %, lot minimum 300 at 90 %, drawn 200,000 times.
    let mut r = request(batch("sludge", 380.0, 60.0));
    r["price_spread_percent"] = json!(15);
    let ours = decision(&r).chance_of_gain_percent.unwrap().get() / 100.0;
    let mut seed: u64 = 1;
    let mut uniform = || {
        seed = seed
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        ((seed >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    };
    let n = 200_000;
    let mut gains = 0;
    for _ in 0..n {
        let (u, v) = (uniform(), uniform());
        let radius = (-2.0 * f64::ln(u)).sqrt();
        let (a, b) = (
            radius * (std::f64::consts::TAU * v).cos(),
            radius * (std::f64::consts::TAU * v).sin(),
        );
        if (380.0 + 60.0 * a) * (1.0 + 0.15 * b) * 0.9 > 300.0 {
            gains += 1;
        }
    }
    let simulated = f64::from(gains) / f64::from(n);
    assert!((ours - simulated).abs() < 0.005, "{ours} {simulated}");
}

#[test]
fn the_default_price_spread_is_listed_as_an_assumption() {
    let answer = ask(&request(batch("sludge", 380.0, 60.0))).unwrap();
    let spread = answer
        .assumptions
        .iter()
        .find(|a| a.field == "/price_spread_percent")
        .unwrap();
    assert!(
        spread.text.contains("10 %") && spread.text.contains("unverified"),
        "{}",
        spread.text
    );
    let whole = serde_json::to_value(&answer).unwrap();
    for m in &answer.methods {
        assert!(whole["result"].pointer(&m.about).is_some(), "{m:?}");
    }
    for a in &answer.assumptions {
        assert!(whole["result"].pointer(&a.about).is_some(), "{a:?}");
    }
    for w in &answer.warnings {
        assert!(whole["result"].pointer(&w.about).is_some(), "{w:?}");
    }
    for key in &answer.references {
        assert!(
            spent_silver_domain::bibliography::reference(key).is_some(),
            "{key}"
        );
    }
}

#[test]
fn cyanide_goes_to_a_licensed_contractor_whatever_its_silver_is_worth() {
    let mut r = request(batch("cyanide_fixer", 5000.0, 10.0));
    r["recovery_offers"] = json!([{"name": "cell", "product_form": "electrolytic_flake", "recovered_percent": 95, "currency": "USD", "cost": 1}]);
    let answer = ask(&r).unwrap();
    let d = &answer.result.decision;
    assert_eq!(d.verdict, LotAction::HaulAway);
    assert!(d.reason.contains("licensed contractor"), "{}", d.reason);
    assert!(
        d.alternatives
            .iter()
            .filter(|a| a.possible)
            .all(|a| a.action == LotAction::HaulAway)
    );
    assert!(d.never.iter().any(|n| n.contains("acid")));
    assert!(d.break_even.is_none() && d.chance_of_gain_percent.is_none());
    // A fixer of unstated type in a collodion studio counts as cyanide.
    let mut b = batch("fixer", 5000.0, 10.0);
    b["craft"] = json!("collodion");
    assert_eq!(decision(&request(b)).verdict, LotAction::HaulAway);
}

#[test]
fn recovery_here_is_compared_with_the_liquid_that_is_left() {
    let mut b = batch("fixer", 400.0, 4.0);
    b["composition"] = json!([{"substance": "sodium_thiosulfate"}]);
    let mut r = request(b);
    r["terms"]["payment"] = json!({"payable_percent": 75, "minimum_lot_charge": 250});
    r["haulage_terms"] = json!({"currency": "USD", "call_out": 40});
    r["recovery_offers"] = json!([{"name": "plating cell", "product_form": "electrolytic_flake", "recovered_percent": 95,
        "currency": "USD", "cost": 15, "terms": {"currency": "USD", "payment": {"payable_percent": 95, "minimum_lot_charge": 75}}}]);
    let d = decision(&r);
    // Send: 400 x 0.75 - 250 = 50. Recover: 380 x 0.95 - 75 = 286, less 15 and 40: 231.
    assert_eq!(net(&d, LotAction::Send), "50.00");
    assert_eq!(net(&d, LotAction::RecoverHere), "231.00");
    assert_eq!(d.verdict, LotAction::RecoverHere);
    let recover = find(&d, LotAction::RecoverHere);
    assert!(recover.reason.contains("still waste"), "{}", recover.reason);
    let sum: rust_decimal::Decimal = recover.lines.iter().map(|l| l.amount.decimal()).sum();
    assert_eq!(sum, recover.net.unwrap().decimal());
    assert!(
        find(&d, LotAction::Send).reason.contains("181.00 worse"),
        "{}",
        find(&d, LotAction::Send).reason
    );
}

#[test]
fn lead_and_selenium_bar_recovery_here() {
    let mut b = batch("fixer", 400.0, 4.0);
    b["composition"] = json!([{"substance": "sodium_thiosulfate"}, {"substance": "lead_nitrate"}]);
    let mut r = request(b);
    r["recovery_offers"] = json!([{"name": "cell", "product_form": "electrolytic_flake", "recovered_percent": 95, "currency": "USD", "cost": 1}]);
    assert!(!find(&decision(&r), LotAction::RecoverHere).possible);
}

fn working_bath() -> Value {
    let mut b = batch("sensitizing_bath", 100.0, 1.0);
    b["status"] = json!("in_use");
    b["volume_l"] = json!(2);
    b
}

#[test]
fn a_working_bath_is_restored_with_bicarbonate_and_never_ammonia() {
    let mut r = request(working_bath());
    r["terms"]["payment"] = json!({"payable_percent": 90});
    r["restore"] = json!({"currency": "USD", "bottle_price": 150, "bottle_g": 100, "upkeep_cost": 5, "ammonium_free": true});
    let d = decision(&r);
    assert_eq!(d.verdict, LotAction::Restore, "{}", d.reason);
    // 100 g of silver is 157.48 g of nitrate (63.50 %), at 1.50 a gram 236.22, less 5.
    assert_eq!(net(&d, LotAction::Restore), "231.22");
    assert!(
        d.reason.contains("worth USD 236.22") && d.reason.contains("which leaves USD 231.22"),
        "{}",
        d.reason
    );
    let plan = d.restore.as_ref().unwrap();
    assert!((plan.silver_nitrate_kept_g.get() - 157.48).abs() < 0.01);
    // 2 L at 9 % w/v hold 180 g.
    assert!((plan.silver_nitrate_to_add_g.unwrap().get() - 22.52).abs() < 0.01);
    let text = serde_json::to_string(&plan.steps).unwrap();
    assert!(text.contains("sodium_bicarbonate") && text.contains("Never ammonia"));
    assert!(
        plan.steps
            .iter()
            .flat_map(|s| &s.adds)
            .all(|a| !a.substance.as_str().contains("ammoni")
                && !a.substance.as_str().contains("hydroxide"))
    );
    for step in plan.steps.iter().filter(|s| {
        s.adds
            .iter()
            .any(|a| a.substance.as_str() == "silver_nitrate")
    }) {
        assert!(step.cautions.iter().any(|c| c.contains("Goggles")));
    }
}

#[test]
fn a_bath_that_may_hold_ammonium_is_restored_without_bicarbonate() {
    let mut holds = working_bath();
    holds["composition"] = json!([{"substance": "ammonium_nitrate", "g_per_l": 5}]);
    for bath in [holds, working_bath()] {
        let steps = decision(&request(bath)).restore.unwrap().steps;
        assert!(
            steps
                .iter()
                .flat_map(|s| &s.adds)
                .all(|a| a.substance.as_str() != "sodium_bicarbonate")
        );
        assert!(
            steps
                .iter()
                .any(|s| s.action.contains("Without bicarbonate"))
        );
    }
}

#[test]
fn a_bath_with_an_ammonium_salt_is_not_free_of_ammonium() {
    let mut b = working_bath();
    b["composition"] = json!([{"substance": "ammonium_nitrate", "g_per_l": 5}]);
    let mut r = request(b);
    r["restore"] =
        json!({"currency": "USD", "bottle_price": 150, "bottle_g": 100, "ammonium_free": true});
    let faults = decide(&serde_json::from_str(&r.to_string()).unwrap()).unwrap_err();
    assert_eq!(faults.list()[0].pointer, "/restore/ammonium_free");
}

#[test]
fn only_a_sensitizing_bath_at_work_is_restored() {
    let mut spent = working_bath();
    spent["status"] = json!("spent");
    let mut drip = working_bath();
    drip["kind"] = json!("drip");
    for b in [spent, drip] {
        let d = decision(&request(b));
        assert!(d.restore.is_none());
        assert!(
            d.alternatives
                .iter()
                .all(|a| a.action != LotAction::Restore)
        );
    }
}

#[test]
fn the_earliest_limit_wins_and_is_named() {
    let mut b = batch("sludge", 100.0, 1.0);
    b["kind"] = json!("fixer");
    b["composition"] = json!([{"substance": "sodium_thiosulfate"}]);
    b["volume_l"] = json!(10);
    let mut r = request(b);
    r["capacity_l"] = json!(20);
    r["fill_rate_l_per_month"] = json!(4);
    r["must_leave_by_on"] = json!("2026-12-01");
    r["haulage_terms"] = json!({"currency": "USD", "call_out": 90, "lead_time_day_count": 10});
    let d = decision(&r);
    let latest = d.latest.as_ref().unwrap();
    // 10 L left at 4 L a month: 2.5 months, 76.09 days.
    assert_eq!(
        (latest.set_by, latest.on.to_string().as_str()),
        (LimitKind::Capacity, "2026-03-18")
    );
    assert_eq!(d.limits.len(), 2);
    assert_eq!(d.call_by_on.unwrap().to_string(), "2026-03-08");

    r["must_leave_by_on"] = json!("2026-02-01");
    assert_eq!(decision(&r).latest.unwrap().set_by, LimitKind::GivenDate);

    r["rule_set"] = json!("us-federal");
    r["recoverable_stock"] = json!({"january_first_kg": 100, "moved_this_year_kg": "74.9"});
    let d = decision(&r);
    assert_eq!(
        d.limits.last().unwrap().set_by,
        LimitKind::SpeculativeAccumulation
    );
    assert_eq!(d.limits.last().unwrap().on.to_string(), "2026-12-31");
    assert!(
        d.limits.last().unwrap().text.contains("secondary"),
        "a figure read second hand is not shown as law"
    );
    r["recoverable_stock"] = json!({"january_first_kg": 100, "moved_this_year_kg": 75});
    // 75 % moved is enough for this year; the rest is stock on the next 1 January.
    let d = decision(&r);
    assert_eq!(d.limits.last().unwrap().on.to_string(), "2027-12-31");
    // Nobody said what stood here, nor since when the fixer is spent: it may be of that stock.
    r.as_object_mut().unwrap().remove("recoverable_stock");
    let d = decision(&r);
    assert_eq!(d.limits.last().unwrap().on.to_string(), "2026-12-31");
    assert!(d.limits.last().unwrap().text.contains("not known here"));
    // What became waste after 1 January is not of the stock of that day.
    r["lot"]["batches"][0]["status"] = json!("spent");
    r["lot"]["batches"][0]["waste_since"] = json!("2026-01-02");
    r["on"] = json!("2026-01-05");
    let d = decision(&r);
    let last = d.limits.last().unwrap();
    assert_eq!(last.on.to_string(), "2027-12-31");
    assert!(
        last.text.contains("75 % by weight or volume"),
        "{}",
        last.text
    );
    // On the day to call, and after it, waiting is not open any more: the haulier would come too late.
    for (on, words) in [
        ("2026-03-08", "Today is the last day"),
        ("2026-03-09", "call today"),
    ] {
        r["on"] = json!(on);
        r["fill_rate_l_per_month"] = json!(null);
        r["must_leave_by_on"] = json!("2026-03-18");
        let answer = ask(&r).unwrap();
        let d = &answer.result.decision;
        assert_eq!(d.call_by_on.unwrap().to_string(), "2026-03-08");
        assert!(!find(d, LotAction::Hold).possible, "{on}");
        assert_ne!(d.verdict, LotAction::Hold, "{on}");
        assert!(
            answer.warnings.iter().any(|w| w.text.contains(words)),
            "{on}"
        );
    }
}

#[test]
fn a_storage_clock_is_named_with_its_rule() {
    let request: DecisionRequest =
        serde_json::from_str(&request(batch("sludge", 100.0, 1.0)).to_string()).unwrap();
    let clock = StorageClock {
        starts_on: Date::parse("2025-07-15").unwrap(),
        limit_day_count: 180,
        due_on: Date::parse("2026-01-11").unwrap(),
        rule: "180 days for a small quantity generator".into(),
        rule_id: "us-small-days".into(),
        clause: "40 CFR 262.16(b)-(d)".into(),
        status: SourceStatus::ReadPrimary,
        source: "house_rule".into(),
    };
    let market = Market {
        price: &request.price,
        price_at: "/price",
        terms: &request.terms,
        terms_at: "/terms",
        haulage_terms: None,
        haulage_at: "/haulage_terms",
    };
    let mut notes = Notes::new();
    let (form, estimates) = estimate_lot(&request.lot, "/lot", &market, &mut notes).unwrap();
    let lot = request.lot.prepared(form, &estimates, "/lot");
    let valuation =
        value_prepared_lot(&lot, "/lot", &market, Some(request.on), &mut notes).unwrap();
    let clocks = LotClocks {
        runs: Some(clock),
        may_run: None,
    };
    let circumstances = Circumstances::of(&request, &clocks);
    let d = decide_lot(
        &lot,
        "/lot",
        &market,
        &valuation,
        &circumstances,
        &mut notes,
    )
    .unwrap();
    let latest = d.latest.unwrap();
    assert_eq!(latest.set_by, LimitKind::StorageClock);
    assert!(
        latest
            .text
            .contains("180 days for a small quantity generator")
    );
}

#[test]
fn the_economic_interval_and_the_plan_follow_the_fixed_cost() {
    let mut r = request(batch("sludge", 1000.0, 10.0));
    r["fill_rate_g_per_month"] = json!(100);
    r["holding_cost_per_month"] = json!(15);
    r["expected_fill_g"] = json!([0, 0, 0, 400, 0, 0]);
    let d = decision(&r);
    // Q = sqrt(2 x 300 x 100 / 0.015) = 2000 g, every 20 months at sqrt(2 x 300 x 100 x 0.015) = 30.
    let interval = d.economic_interval.unwrap();
    assert!((interval.silver_g.get() - 2000.0).abs() < 1e-6);
    assert!((interval.interval_months.get() - 20.0).abs() < 1e-6);
    assert_eq!(interval.cost_per_month.to_string(), "30.00");
    // 1000 g held three months costs 45, less than another 300: all goes with the fourth month.
    let plan: Vec<(String, f64)> = d
        .shipping_plan
        .iter()
        .map(|p| (p.ships_on.to_string(), p.silver_g.get()))
        .collect();
    assert_eq!(plan, [("2026-05-02".to_owned(), 1400.0)]);
    // Sent now 600; held to 2000 g (10 months): 1000 g of it share 1500 as 750, less 150.
    assert_eq!(net(&d, LotAction::Hold), "600.00");
    assert_eq!(
        d.verdict,
        LotAction::Send,
        "holding must bring more, not as much"
    );
    r["holding_cost_per_month"] = json!(10);
    let d = decision(&r);
    assert_eq!(d.verdict, LotAction::Hold, "{}", d.reason);
}

#[test]
fn a_lot_too_small_for_the_refiner_may_wait_and_a_refused_one_is_hauled() {
    let mut r = request(batch("sludge", 100.0, 1.0));
    r["terms"]["acceptance"] = json!({"minimum_mass_kg": 10});
    assert_eq!(decision(&r).verdict, LotAction::Hold);
    r["terms"]["acceptance"] = json!({"forms": ["metal"]});
    assert_eq!(decision(&r).verdict, LotAction::HaulAway);
}

#[test]
fn money_in_two_currencies_and_long_lists_are_faults() {
    let fault = |r: &Value| {
        let faults = ask(r).unwrap_err();
        (faults.list()[0].kind, faults.list()[0].pointer.clone())
    };
    let mut r = request(batch("sludge", 100.0, 1.0));
    r["restore"] = json!({"currency": "EUR", "bottle_price": 100, "bottle_g": 100});
    assert_eq!(
        fault(&r),
        (FaultKind::MixedCurrencies, "/restore/currency".into())
    );
    r["restore"] = json!({"currency": "USD", "bottle_price": 100, "bottle_g": 0});
    assert_eq!(
        fault(&r),
        (FaultKind::OutOfRange, "/restore/bottle_g".into())
    );
    let offer = json!({"name": "x", "product_form": "metal", "recovered_percent": 90, "currency": "GBP", "cost": 1});
    let mut r = request(batch("sludge", 100.0, 1.0));
    r["recovery_offers"] = json!([offer]);
    assert_eq!(
        fault(&r),
        (
            FaultKind::MixedCurrencies,
            "/recovery_offers/0/currency".into()
        )
    );
    let mut r = request(batch("sludge", 100.0, 1.0));
    r["expected_fill_g"] = json!(vec![1; 61]);
    assert_eq!(fault(&r), (FaultKind::TooMany, "/expected_fill_g".into()));
}

#[test]
fn absurd_figures_give_an_answer_or_a_fault_and_never_a_panic() {
    for silver in [0.0, 1e-9, 1e8] {
        for rate in ["0", "0.000000001", "1000000"] {
            for price in ["0", "999999999999"] {
                let mut b = batch("sensitizing_bath", silver, 0.0);
                b["status"] = json!("in_use");
                b["volume_l"] = json!(1000000);
                let mut r = request(b);
                r["price"]["amount"] = json!(price);
                r["fill_rate_g_per_month"] = json!(rate);
                r["holding_cost_per_month"] = json!("999999999999");
                r["expected_fill_g"] = json!([1, 2, 3]);
                r["capacity_l"] = json!(1000000);
                r["restore"] = json!({"currency": "USD", "bottle_price": "999999999999", "bottle_g": "0.0000001"});
                if let Ok(answer) = ask(&r) {
                    serde_json::to_string(&answer).unwrap();
                }
            }
        }
    }
}

#[test]
fn ammoniacal_silver_is_acted_on_today_and_money_is_not_asked() {
    let mut kinds = vec![batch("ammoniacal_silver", 5000.0, 1.0)];
    let mut bath = batch("sensitizing_bath", 5000.0, 1.0);
    bath["status"] = json!("in_use");
    bath["composition"] = json!([{"substance": "silver_nitrate"}, {"substance": "ammonia"}]);
    kinds.push(bath);
    for b in kinds {
        let mut r = request(b);
        r["fill_rate_g_per_month"] = json!(500);
        let answer = ask(&r).unwrap();
        let d = &answer.result.decision;
        assert_eq!(d.verdict, LotAction::ActToday);
        assert!(d.alternatives.is_empty() && d.restore.is_none());
        assert!(d.break_even.is_none() && d.chance_of_gain_percent.is_none());
        assert!(!d.act.is_empty() && !d.never.is_empty());
        assert!(
            answer
                .warnings
                .iter()
                .any(|w| w.about == "/decision/verdict")
        );
    }
}

#[test]
fn one_dangerous_container_decides_for_the_whole_lot() {
    let mut r = request(batch("fixer", 5000.0, 1.0));
    let mut other = batch("ammoniacal_silver", 1.0, 0.1);
    other["id"] = json!("b");
    r["lot"]["batches"].as_array_mut().unwrap().push(other);
    let d = decision(&r);
    assert_eq!(d.verdict, LotAction::ActToday);
    assert!(d.reason.starts_with("b:"), "{}", d.reason);
}

#[test]
fn the_clock_of_the_rule_set_ends_holding() {
    // 180 days for a small quantity generator (40 CFR 262.16(b)), 90 for a large one (262.17(a)).
    let mut b = batch("fixer", 100.0, 1.0);
    b["craft"] = json!("film_and_paper");
    b["composition"] = json!([{"substance": "sodium_thiosulfate"}]);
    b["status"] = json!("spent");
    b["volume_l"] = json!(5);
    b["waste_since"] = json!("2025-07-05");
    let mut r = request(b);
    r["rule_set"] = json!("us-federal");
    r["fill_rate_g_per_month"] = json!(50);
    r["other_hazardous_waste_kg"] = json!(300);
    r["other_acute_waste_kg"] = json!(0);
    r["on"] = json!("2025-12-01");
    let d = decision(&r);
    let latest = d.latest.as_ref().unwrap();
    assert_eq!(latest.set_by, LimitKind::StorageClock);
    assert_eq!(latest.on.to_string(), "2026-01-01");
    r["on"] = json!("2026-01-02");
    let d = decision(&r);
    assert!(!find(&d, LotAction::Hold).possible);
    assert_ne!(d.verdict, LotAction::Hold);
    // A very small generator has no such clock; an unknown category is not taken for one.
    r["other_hazardous_waste_kg"] = json!(0);
    let d = decision(&r);
    assert_eq!(
        d.latest.unwrap().set_by,
        LimitKind::SpeculativeAccumulation,
        "40 CFR 261.1(c)(8)"
    );
    r.as_object_mut()
        .unwrap()
        .remove("other_hazardous_waste_kg");
    r["on"] = json!("2025-08-01");
    let d = decision(&r);
    assert_eq!(
        d.latest.as_ref().unwrap().set_by,
        LimitKind::PossibleStorageClock
    );
    assert_eq!(d.latest.unwrap().on.to_string(), "2025-10-03");
    assert!(
        d.what_would_change
            .iter()
            .any(|w| w.contains("other hazardous waste"))
    );
}

#[test]
fn a_bath_takes_no_acid_but_dilute_whatever_its_craft() {
    for craft in ["collodion", "albumen_paper"] {
        let mut b = working_bath();
        b["craft"] = json!(craft);
        let steps = decision(&request(b)).restore.unwrap().steps;
        let acids: Vec<&str> = steps
            .iter()
            .flat_map(|s| &s.adds)
            .map(|a| a.substance.as_str())
            .filter(|s| s.contains("acid"))
            .collect();
        assert_eq!(acids, ["nitric_acid_dilute"], "{craft}");
    }
    // A bath that holds a strong acid with its alcohol is a danger before it is a bath.
    let mut b = working_bath();
    b["craft"] = json!("collodion");
    b["composition"] = json!([{"substance": "nitric_acid", "g_per_l": 60}, {"substance": "ethanol", "g_per_l": 40}]);
    assert_eq!(decision(&request(b)).verdict, LotAction::ActToday);
}

#[test]
fn a_held_lot_is_looked_at_again_after_today_even_where_sending_already_pays() {
    // 400 g net 60 dollars already, so break-even is today; at 2 dollars a month of holding and
    // 28 g a month it is held for a bigger lot all the same.
    let mut r = request(batch("sludge", 400.0, 1.0));
    r["fill_rate_g_per_month"] = json!(28);
    r["holding_cost_per_month"] = json!(2);
    let d = decision(&r);
    assert_eq!(d.verdict, LotAction::Hold);
    assert_eq!(d.break_even_on.unwrap().to_string(), "2026-01-01");
    let day = d.look_again_on.unwrap();
    assert!(day > Date::parse("2026-01-01").unwrap());
    assert!(d.act.contains(&format!("Look again on {day}.")));
    assert!(d.reason.contains(&day.to_string()), "{}", d.reason);
    // A day by which it must leave comes before.
    r["must_leave_by_on"] = json!("2026-01-03");
    let d = decision(&r);
    assert_eq!(d.look_again_on.unwrap().to_string(), "2026-01-03");
}

#[test]
fn a_chance_is_told_to_a_tenth_of_a_percent() {
    for silver_g in [1.0, 150.0, 300.0, 330.0, 340.0, 380.0, 5000.0] {
        let d = decision(&request(batch("sludge", silver_g, 20.0)));
        let text = serde_json::to_value(&d).unwrap()["chance_of_gain_percent"].clone();
        let text = text.as_str().unwrap();
        assert!(
            text.split_once('.')
                .is_none_or(|(_, tenths)| tenths.len() == 1),
            "{silver_g} g: {text}"
        );
    }
}
