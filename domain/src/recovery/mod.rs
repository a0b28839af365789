//! Ways of getting the silver out of a batch, worked out for it: one file per process.
//!
//! Safety is decided first: where storing the batch is dangerous, or where it belongs in a jug of
//! its own, there are no plans at all. Then each way of recovery says whether it applies, and why
//! not; what applies is dosed on the upper end of the silver's interval, and every step is checked
//! before the plan is returned. The plans are then set beside each other by what the metal is worth
//! less what they cost; a refiner's terms belong to the valuation and the decision.

mod borohydride;
mod by_stoichiometry;
mod cementation_copper;
mod cementation_zinc;
mod chloride_precipitation;
mod compare;
mod curve;
mod dithionite;
mod draft;
mod electrolysis;
mod facts;
mod floor;
mod ion_exchange;
mod metallic_replacement;
mod plan;
mod predicted;
mod reduction;
mod reduction_dextrose;
mod reduction_metal;
mod request;
mod series;
mod ship_liquid;
mod situation;
mod sulfide_precipitation;
mod text;
mod trimercaptotriazine;

pub use curve::{DoseCurve, DoseCurvePoint};
pub use facts::recovery_sources;
pub use plan::{
    ComparisonRow, CostLine, DecidingNumber, HazardLevel, NotApplicable, PlanCost, PlanEntry,
    PlanTime, PlatingCharge, PracticalResidual, ProcessName, Product, ReagentDose, RecoveryPlan,
    RecoveryPlans, RefusedPlan, SecondaryWaste, SilverRecovered, Stage, StageInput, Trouble,
};
pub use predicted::{
    CellPoint, DecidingSolid, DoseForResidual, EquilibriumFloor, HeadSpace, MetalDissolved,
    WashLoss,
};
pub use request::{
    MOST_NAMES, MOST_REAGENT_PRICES, Means, ReagentPrice, RecoveryOptions, RecoveryPlansRequest,
    ShippingPrice,
};

use crate::answer::{Answer, Method, Notes, Severity};
use crate::batch::{Batch, BatchStatus};
use crate::chemistry::faraday::FARADAY;
use crate::estimate::{Agreement, Estimate, estimate_batch};
use crate::fault::Faults;
use crate::procedure::{Refusal, Step};
use crate::waste::contents::{Contents, implied_groups};
use crate::waste::pour::{Act, check_act_on};
use crate::waste::storage::{StorageDanger, danger_of};
use facts::{ProcessFacts, facts};
use situation::{Liquor, SilverRange, Situation, Unfit, classify};

/// Every method of this module.
pub const METHODS: &[Method] = &[
    draft::DOSE,
    draft::RECOVERED,
    draft::COST,
    chloride_precipitation::FREE_CHLORIDE,
    chloride_precipitation::SATURATION,
    chloride_precipitation::WASHING,
    curve::CURVE,
    electrolysis::FALLING,
    electrolysis::POTENTIAL,
    floor::FLOOR,
    sulfide_precipitation::DOSE_FOR_RESIDUAL,
    sulfide_precipitation::HEAD_SPACE,
    FARADAY,
    ion_exchange::RESIN,
    reduction_metal::ACID,
    series::STAGES,
    compare::ORDER,
];

/// Answers how to take the silver out of a batch (`POST /v1/recovery-plans`).
///
/// A batch without evidence is answered too: its plans say to measure first.
///
/// # Errors
/// Every fault found in the batch, its evidence and the options.
///
/// ```
/// use spent_silver_domain::recovery::{ProcessName, RecoveryPlansRequest, plan_recovery};
/// let request: RecoveryPlansRequest = serde_json::from_str(r#"{"batch": {"id": "bath",
///   "kind": "sensitizing_bath", "volume_l": "1", "evidence": [{"stated": {
///     "silver_g": {"value": "57", "standard_uncertainty": "2"}, "source": "the silver book"}}]}}"#).unwrap();
/// let answer = plan_recovery(&request).unwrap();
/// assert_eq!(answer.result.recommended, Some(ProcessName::ChloridePrecipitation));
/// // Upper end 57 + 1.96 x 2 = 60.92 g; x 0.54177 = 33.0 g of salt; a tenth more, in whole grams: 37 g.
/// let plan = answer.result.plan(ProcessName::ChloridePrecipitation).unwrap();
/// assert_eq!(plan.reagents[0].mass_g.get(), 37.0);
/// ```
pub fn plan_recovery(request: &RecoveryPlansRequest) -> Result<Answer<RecoveryPlans>, Faults> {
    let mut notes = Notes::new();
    let batch = &request.batch;
    // Safety comes before arithmetic: a cyanide jug gets its answer even when its readings are faulty.
    let contents = implied_groups(batch);
    let estimate = if batch.evidence.is_empty() || stop_sign(batch, &contents).is_err() {
        None
    } else {
        Some(notes.within("/estimate", |notes| estimate_batch(batch, "/batch", notes))?)
    };
    let unknown = Estimate::unknown(Vec::new(), Agreement::WithinBounds {});
    let mut plans = recovery_plans_of(
        (batch, &contents),
        estimate.as_ref().unwrap_or(&unknown),
        &request.options(),
        "/batch",
        &mut notes,
    )?;
    plans.estimate = estimate;
    Ok(notes.answer(plans, request.rule_set.map(|r| r.rules())))
}

/// Works out every way of recovery for one batch; `at` is the batch's own place in the request.
///
/// The reagent is dosed on the upper end of the estimate's 95 % interval. An estimate without a
/// figure gives no dose: the plans say to measure first.
///
/// # Errors
/// Every fault found in the batch and the options.
pub fn recovery_plans(
    batch: &Batch,
    estimate: &Estimate,
    options: &RecoveryOptions<'_>,
    at: &str,
    notes: &mut Notes,
) -> Result<RecoveryPlans, Faults> {
    recovery_plans_of(
        (batch, &implied_groups(batch)),
        estimate,
        options,
        at,
        notes,
    )
}

/// The same of a batch whose contents are known already.
pub(crate) fn recovery_plans_of(
    (batch, contents): (&Batch, &Contents),
    estimate: &Estimate,
    options: &RecoveryOptions<'_>,
    at: &str,
    notes: &mut Notes,
) -> Result<RecoveryPlans, Faults> {
    let mut faults = batch.faults(at);
    faults.extend(options.faults());
    Faults::none_of(faults)?;

    let liquor = match stop_sign(batch, contents) {
        Ok(liquor) => liquor,
        Err(stop) => return Ok(stopped(*stop, options, notes)),
    };
    let situation = Situation::new((batch, contents), estimate, options, at, liquor, notes);
    let means = means_at_hand(options, notes);
    let measure_first = measure_first(&situation, estimate);
    let mut plans = Vec::new();
    let mut not_applicable = Vec::with_capacity(facts().process.len());
    let mut also_possible = Vec::new();
    for process in considered(options) {
        if let Err(unfit) = assess(&situation, process) {
            notes.cite(unfit.source);
            if let (true, Ok(liquor)) = (unfit.solved, situation.solved()) {
                let about = format!("/not_applicable/{}", not_applicable.len());
                notes.within(&about, |notes| {
                    notes.method("", chloride_precipitation::SATURATION);
                    liquor.note("", notes);
                });
            }
            not_applicable.push(unfit_entry(process.name, unfit));
            continue;
        }
        let needs: Vec<Means> = process
            .means
            .iter()
            .copied()
            .filter(|m| !means.contains(m))
            .collect();
        if !needs.is_empty() {
            not_applicable.push(needs_entry(process.name, needs));
            continue;
        }
        if options.recommended_only && recommend(&plans).is_some() {
            also_possible.push(process.name);
            continue;
        }
        let about = format!("/plans/{}", plans.len());
        let plan = notes.within(&about, |notes| {
            notes.attempt(|notes| {
                let plan = build(&situation, process, measure_first.as_deref(), notes);
                series::check(batch, contents, &plan).map(|()| plan)
            })
        });
        plans.push(match plan {
            Ok(plan) => PlanEntry::Plan(Box::new(plan)),
            Err(refusal) => PlanEntry::Refused(RefusedPlan {
                process: process.name,
                refusal,
            }),
        });
    }
    common_warnings(&situation, !plans.is_empty(), notes);
    let recommended = measure_first.is_none().then(|| recommend(&plans)).flatten();
    let comparison = if options.recommended_only {
        Vec::new()
    } else {
        compare::comparison(&plans, options, notes)
    };
    Ok(RecoveryPlans {
        estimate: None,
        recommended,
        measure_first: measure_first.filter(|_| !plans.is_empty()),
        act_today: None,
        refusal: None,
        plans,
        also_possible,
        not_applicable,
        comparison,
    })
}

/// The processes asked for, in the order in which they are considered.
fn considered<'a>(
    options: &'a RecoveryOptions<'_>,
) -> impl Iterator<Item = &'static ProcessFacts> + 'a {
    facts().process.iter().filter(|p| {
        options
            .processes
            .is_none_or(|asked| asked.contains(&p.name))
    })
}

fn means_at_hand(options: &RecoveryOptions<'_>, notes: &mut Notes) -> Vec<Means> {
    options.means.map_or_else(
        || {
            notes.assume(
                "/plans",
                format!("{}/means", options.at),
                "house_rule",
                "A kitchen scale, pH paper, jugs and a place outdoors: ways that need more are listed with what they need.",
            );
            vec![Means::Scale]
        },
        <[Means]>::to_vec,
    )
}

fn measure_first(situation: &Situation<'_>, estimate: &Estimate) -> Option<String> {
    if situation.silver.is_some() {
        return None;
    }
    let why = match &estimate.agreement {
        Agreement::Contradiction { reason } => {
            format!("The readings contradict each other ({reason})")
        }
        _ if estimate.lower_g().is_some() => {
            "The readings only say that there is at least so much silver".to_owned()
        }
        _ => "Nothing is known of the silver".to_owned(),
    };
    let how = match situation.liquor {
        Liquor::Nitrate => {
            "titrate a sample, or salt 25 mL of the bath, dry the chloride and weigh it"
        }
        Liquor::Fixer | Liquor::BleachFix => {
            "dip a test strip for silver, or send a sample to a laboratory"
        }
        Liquor::Solid => "weigh it damp, with its moisture, and say what it is",
        _ => "send a sample to a laboratory, or give the record of what went through it",
    };
    Some(format!(
        "{why}, so no dose can be given. Measure first: {how}."
    ))
}

/// Whether a process applies to the batch.
fn assess(situation: &Situation<'_>, process: &'static ProcessFacts) -> Result<(), Unfit> {
    match situation.liquor {
        Liquor::Solid if !works_on_solids(process.name) => {
            return Err(Unfit::new(
                "house_rule",
                "It is not a liquid: there is nothing to take the silver out of here. It goes to the refiner as it is, damp if it is damp, never burnt or melted here.",
            ));
        }
        Liquor::Unused => {
            return Err(Unfit::new(
                "house_rule",
                "An unused chemical is not waste to recover from: use it, pass it on, or take it to a collection.",
            ));
        }
        _ => {}
    }
    if situation.silver.is_some_and(|s| s.upper_g <= 0.0) {
        return Err(Unfit::new(
            "house_rule",
            "The estimate says that there is no silver in it: 0 g.",
        )
        .with_number("silver", 0.0, None, "g"));
    }
    by_chemistry(situation, process.name)?;
    worth_the_trouble(situation, process)
}

/// Whether a process works on washed silver chloride, and says itself which solids it does not fit.
const fn works_on_solids(process: ProcessName) -> bool {
    matches!(
        process,
        ProcessName::ChlorideReductionDextrose
            | ProcessName::ChlorideReductionIron
            | ProcessName::ChlorideReductionZinc
            | ProcessName::ChlorideThenMetal
    )
}

/// Whether there is more silver than the process leaves behind at best.
fn worth_the_trouble(
    situation: &Situation<'_>,
    process: &'static ProcessFacts,
) -> Result<(), Unfit> {
    let (Some(highest), Some(residual)) = (
        situation.highest_silver_g_per_l(),
        process.residual.as_ref(),
    ) else {
        return Ok(());
    };
    let mg_per_l = highest * 1000.0;
    if mg_per_l > residual.low_mg_per_l {
        return Ok(());
    }
    Err(Unfit::new(
        residual.source.as_str(),
        format!(
            "It holds at most {} mg/L silver, and this way leaves {} mg/L at its best: nothing would come out.",
            text::about(mg_per_l),
            situation::short(residual.low_mg_per_l)
        ),
    )
    .with_number("silver", mg_per_l, Some(residual.low_mg_per_l), "mg/L"))
}

fn by_chemistry(situation: &Situation<'_>, process: ProcessName) -> Result<(), Unfit> {
    match process {
        ProcessName::ChloridePrecipitation => chloride_precipitation::assess(situation),
        ProcessName::MetallicReplacement | ProcessName::MetallicReplacementTwoStage => {
            metallic_replacement::assess(situation)
        }
        ProcessName::Electrolysis | ProcessName::ElectrolysisThenReplacement => {
            electrolysis::assess(situation)
        }
        ProcessName::CementationCopper => cementation_copper::assess(situation),
        ProcessName::CementationZinc => cementation_zinc::assess(situation),
        ProcessName::SulfidePrecipitation => sulfide_precipitation::assess(situation),
        ProcessName::ShipLiquid => ship_liquid::assess(situation),
        ProcessName::IonExchange => ion_exchange::assess(situation),
        ProcessName::ChlorideThenMetal => series::assess_chloride_then_metal(situation),
        ProcessName::ChlorideReductionDextrose => reduction_dextrose::assess(situation),
        ProcessName::ChlorideReductionIron | ProcessName::ChlorideReductionZinc => {
            reduction_metal::assess(situation)
        }
        ProcessName::TrimercaptotriazinePrecipitation => trimercaptotriazine::assess(situation),
        ProcessName::DithioniteReduction => dithionite::assess(situation),
        ProcessName::BorohydrideReduction => borohydride::assess(situation),
    }
}

fn build(
    situation: &Situation<'_>,
    process: &'static ProcessFacts,
    measure_first: Option<&str>,
    notes: &mut Notes,
) -> RecoveryPlan {
    let draft = draft::draft(process, notes);
    let ships = process.name == ProcessName::ShipLiquid;
    let mut plan = match (ships, situation.silver) {
        (true, _) => ship_liquid::plan(situation, draft, notes),
        (false, Some(silver)) => dosed(situation, silver, draft, process, notes),
        (false, None) => undosed(draft, measure_first),
    };
    plan.cost = draft::cost(situation, &plan, notes);
    plan
}

fn dosed(
    situation: &Situation<'_>,
    silver: SilverRange,
    draft: RecoveryPlan,
    process: &'static ProcessFacts,
    notes: &mut Notes,
) -> RecoveryPlan {
    let work = match process.name {
        ProcessName::ChloridePrecipitation => chloride_precipitation::plan,
        ProcessName::MetallicReplacement | ProcessName::MetallicReplacementTwoStage => {
            metallic_replacement::plan
        }
        ProcessName::Electrolysis | ProcessName::ElectrolysisThenReplacement => electrolysis::plan,
        ProcessName::CementationCopper => cementation_copper::plan,
        ProcessName::CementationZinc => cementation_zinc::plan,
        ProcessName::SulfidePrecipitation => sulfide_precipitation::plan,
        ProcessName::ShipLiquid => return draft,
        ProcessName::IonExchange => ion_exchange::plan,
        ProcessName::ChlorideThenMetal => series::plan_chloride_then_metal,
        ProcessName::ChlorideReductionDextrose => reduction_dextrose::plan,
        ProcessName::ChlorideReductionIron => reduction_metal::plan_iron,
        ProcessName::ChlorideReductionZinc => reduction_metal::plan_zinc,
        ProcessName::TrimercaptotriazinePrecipitation => trimercaptotriazine::plan,
        ProcessName::DithioniteReduction => dithionite::plan,
        ProcessName::BorohydrideReduction => borohydride::plan,
    };
    let mut plan = work(situation, silver, draft, process, notes);
    if !process.stages.is_empty() {
        notes.method("/plan/stages", series::STAGES);
        plan.stages = series::stages(situation, silver, process);
    }
    if plan.equilibrium_floor.is_none() && plan.floor_unknown.is_none() {
        plan.floor_unknown = Some(no_floor(process.name).to_owned());
    }
    plan
}

/// Why a way of recovery has no equilibrium floor.
const fn no_floor(process: ProcessName) -> &'static str {
    match process {
        ProcessName::IonExchange => {
            "The resin and the flow decide what stays, and no equilibrium between them is known here."
        }
        ProcessName::ChlorideReductionDextrose
        | ProcessName::ChlorideReductionIron
        | ProcessName::ChlorideReductionZinc => {
            "It works on a washed solid: what its liquor still holds is not reckoned, and goes to a laboratory like any liquor."
        }
        _ => by_stoichiometry::NO_CONSTANT,
    }
}

/// A plan whose only step is to measure.
fn undosed(mut draft: RecoveryPlan, why: Option<&str>) -> RecoveryPlan {
    draft.measure_first = why.map(str::to_owned);
    draft.time = None;
    draft.steps = vec![
        Step::new(why.unwrap_or("Measure the silver first.").to_owned())
            .caution("Goggles and gloves on, eye rinse within reach.")
            .done_when("The reading is entered as evidence of this container: then ask again."),
    ];
    draft
}

fn common_warnings(situation: &Situation<'_>, any: bool, notes: &mut Notes) {
    if !any {
        return;
    }
    notes.warn(
        "/plans",
        Severity::Caution,
        "Recovering silver on the premises may need a permit, a registration or a notice: ask your waste authority before the first time.",
    );
    notes.warn("/plans", Severity::Caution, text::LIQUOR);
    if situation.batch.status == Some(BatchStatus::InUse) {
        notes.warn(
            "/plans",
            Severity::Note,
            "This container is in use: restoring a working bath is often worth more than recovering from it.",
        );
    }
    if situation.batch.status == Some(BatchStatus::Treated) {
        notes.warn(
            "/plans",
            Severity::Note,
            "This container has been treated already: what is left in it is for a laboratory to say.",
        );
    }
    if situation.liquor == Liquor::Rinse {
        notes.assume(
            "/plans",
            format!("{}/composition", situation.at),
            "house_rule",
            "No thiosulfate was stated: taken as free of fixer. The first step of the plan tries it.",
        );
    }
}

/// The first plan that may be taken unasked. The order of the plans is that of the data file: the
/// lowest practical residual first, shipping after what recovers here.
fn recommend(plans: &[PlanEntry]) -> Option<ProcessName> {
    plans.iter().find_map(|entry| match entry {
        PlanEntry::Plan(plan) if plan.offered_by_default => Some(plan.process),
        _ => None,
    })
}

fn unfit_entry(process: ProcessName, unfit: Unfit) -> NotApplicable {
    NotApplicable {
        process,
        reason: unfit.reason,
        number: unfit.number,
        needs: Vec::new(),
        source: unfit.source,
    }
}

fn needs_entry(process: ProcessName, needs: Vec<Means>) -> NotApplicable {
    let words: Vec<&str> = needs.iter().map(|m| m.words()).collect();
    NotApplicable {
        process,
        reason: format!(
            "It needs {}, which is not among the means given.",
            words.join(", and ")
        ),
        number: None,
        needs,
        source: "house_rule",
    }
}

/// What stands before any way of recovery.
enum StopSign {
    /// Keeping the batch is a danger.
    Danger(StorageDanger),
    /// The batch belongs in a jug of its own.
    Refused(Refusal),
}

/// Which kind of liquid a batch is, unless safety stands before any way of recovery.
fn stop_sign(batch: &Batch, contents: &Contents) -> Result<Liquor, Box<StopSign>> {
    if let Some(danger) = danger_of(batch, contents) {
        return Err(Box::new(StopSign::Danger(danger)));
    }
    check_act_on(batch, contents, Act::Recover)
        .and_then(|()| classify(batch))
        .map_err(|refusal| Box::new(StopSign::Refused(refusal)))
}

/// The answer without plans: every process set aside for one reason.
fn stopped(stop: StopSign, options: &RecoveryOptions<'_>, notes: &mut Notes) -> RecoveryPlans {
    let (about, reason, act_today, refusal) = match stop {
        StopSign::Danger(danger) => ("/act_today", danger.warning(), Some(danger), None),
        StopSign::Refused(refusal) => ("/refusal", refusal.reason.clone(), None, Some(refusal)),
    };
    notes.warn(about, Severity::Danger, reason.clone());
    notes.cite("house_rule");
    RecoveryPlans {
        estimate: None,
        recommended: None,
        measure_first: None,
        act_today,
        refusal,
        plans: Vec::new(),
        also_possible: Vec::new(),
        not_applicable: considered(options)
            .map(|p| unfit_entry(p.name, Unfit::new("house_rule", reason.clone())))
            .collect(),
        comparison: Vec::new(),
    }
}
