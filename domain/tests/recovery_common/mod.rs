//! What the recovery tests share.
#![allow(
    dead_code,
    clippy::panic,
    clippy::unwrap_used,
    reason = "each test file uses its own part, and a test fails by panicking"
)]

use serde_json::Value;
use spent_silver_domain::answer::{Answer, Notes};
use spent_silver_domain::estimate::{Agreement, Estimate, Interval};
use spent_silver_domain::quantity::Computed;
use spent_silver_domain::recovery::{
    ProcessName, RecoveryPlan, RecoveryPlans, RecoveryPlansRequest, recovery_plans,
};

/// An estimate with a 95 % interval, in grams.
pub fn estimate(lower: f64, figure: f64, upper: f64) -> Estimate {
    Estimate {
        silver_g: Some(Computed::of(figure)),
        standard_uncertainty_g: Some(Computed::of((upper - lower) / 3.92)),
        interval_95_g: Some(Interval {
            lower: Computed::of(lower),
            upper: Some(Computed::of(upper)),
        }),
        ..Estimate::unknown(Vec::new(), Agreement::Single {})
    }
}

/// Reads a request as it comes over the wire.
pub fn read(request: &Value) -> RecoveryPlansRequest {
    serde_json::from_str(&request.to_string()).unwrap()
}

/// The whole answer for an estimate made elsewhere.
pub fn full_answer(request: &Value, estimate: &Estimate) -> Answer<RecoveryPlans> {
    let request = read(request);
    let mut notes = Notes::new();
    let plans = recovery_plans(
        &request.batch,
        estimate,
        &request.options(),
        "/batch",
        &mut notes,
    )
    .unwrap();
    notes.answer(plans, request.rule_set.map(|r| r.rules()))
}

/// The plans for an estimate made elsewhere.
pub fn answer(request: &Value, estimate: &Estimate) -> RecoveryPlans {
    full_answer(request, estimate).result
}

/// The plan of one process, which must be there.
pub fn plan(plans: &RecoveryPlans, process: ProcessName) -> &RecoveryPlan {
    plans.plan(process).unwrap_or_else(|| {
        panic!(
            "no plan for {process:?}; set aside: {:?}",
            plans
                .not_applicable
                .iter()
                .find(|n| n.process == process)
                .map(|n| &n.reason)
        )
    })
}

/// Why a process was set aside, which it must have been.
pub fn set_aside(plans: &RecoveryPlans, process: ProcessName) -> String {
    assert!(plans.plan(process).is_none(), "{process:?} has a plan");
    plans
        .not_applicable
        .iter()
        .find(|n| n.process == process)
        .map(|n| n.reason.clone())
        .unwrap()
}
