//! What a calculation says of a container, as parts of a page: the danger, the silver, the law, the
//! steps. Nothing of an answer that warns is left out.

use super::language::{SETTING, d, f, t};
use super::layout::asked;
use super::words::plan as w;
use maud::{Markup, PreEscaped, html};
use spent_silver_domain::document::{
    Block, dose_chart, interval_in_words, ph_chart, silver_in_words, step_line,
};
use spent_silver_domain::estimate::{Agreement, Estimate};
use spent_silver_domain::procedure::{Refusal, Step};
use spent_silver_domain::quantity::write_significant;
use spent_silver_domain::recovery::{PlanEntry, RecoveryPlan, RecoveryPlans};
use spent_silver_domain::report::{ToDo, Urgency};
use spent_silver_domain::waste::classification::{Classification, Hazardous, Standing};
use spent_silver_domain::waste::contents::Certainty;
use spent_silver_domain::waste::neutralization::NeutralizationPlan;
use spent_silver_domain::waste::storage::StorageDanger;

/// A danger in keeping a container. It is larger than anything else on a page.
pub(super) fn danger(name: &str, danger: &StorageDanger) -> Markup {
    html! {
        section.refusal role="alert" {
            p.names { (t(name)) }
            p.never { (t(&danger.warning())) }
            @if !danger.act.is_empty() {
                h2 { (w::DO_TODAY) }
                ol { @for line in &danger.act { li { (t(line)) } } }
            }
            @if !danger.never.is_empty() {
                h2 { (w::NEVER) }
                ul { @for line in &danger.never { li { b { (t(line)) } } } }
            }
        }
    }
}

/// Why there is no plan.
pub(super) fn refusal(of: &Refusal) -> Markup {
    html! {
        section.refusal {
            p.never { (t(&of.reason)) }
            @for (heading, lines) in [(w::NEVER, &of.never), (w::INSTEAD, &of.instead), (w::CALL, &of.call)] {
                @if !lines.is_empty() {
                    h3 { (heading) }
                    ul { @for line in lines { li { (t(line)) } } }
                }
            }
        }
    }
}

/// The silver of a container in a few words.
pub(super) fn silver(estimate: Option<&Estimate>) -> String {
    match estimate {
        Some(estimate) if !estimate.by_evidence.is_empty() => f(silver_in_words(estimate)),
        _ => w::NOT_KNOWN.to_owned(),
    }
}

/// The silver of a container, and where the figure comes from.
pub(super) fn silver_at_length(estimate: Option<&Estimate>) -> Markup {
    let Some(estimate) = estimate.filter(|e| !e.by_evidence.is_empty()) else {
        return html! { p.silver { (w::NOT_KNOWN) } };
    };
    let agreement = match &estimate.agreement {
        Agreement::Single {} => w::IT_RESTS_ON_ONE_READING.to_owned(),
        Agreement::WithinBounds {} => w::ONLY_BOUNDS.to_owned(),
        Agreement::Consistent { chance_percent, .. } => {
            w::agree(f(write_significant(chance_percent.get(), 2)))
        }
        Agreement::Widened { birge_ratio, .. } => {
            w::widened(f(write_significant(birge_ratio.get(), 2)))
        }
        Agreement::Contradiction { reason } => w::cannot_all_be_true(reason),
    };
    html! {
        p.silver { (t(&f(silver_in_words(estimate)))) }
        @if let Some(words) = interval_in_words(estimate).map(f) { p { (w::NINETY_FIVE_IN_100) (t(&words)) "." } }
        p { (t(&agreement)) }
        table.rows {
            caption { (w::WHERE_IT_COMES_FROM) }
            thead { tr { th scope="col" { (w::READING) } th.figure scope="col" { (w::SILVER) } th scope="col" { (w::MOST_OF_ITS_DOUBT) } } }
            tbody {
                @for one in &estimate.by_evidence {
                    tr {
                        td { (one.kind.replace('_', " ")) }
                        td.figure {
                            @match (one.silver_g.zip(one.standard_uncertainty_g), &one.bounds_g) {
                                (Some((g, u)), _) => (f(spent_silver_domain::document::figure(g.get(), u.get(), "g"))),
                                (None, Some(b)) => {
                                    (f(write_significant(b.lower.get(), 2))) (w::TO)
                                    @match b.upper { Some(u) => (f(write_significant(u.get(), 2))), None => (w::MORE) } " g"
                                },
                                _ => (w::NO_FIGURE),
                            }
                        }
                        td {
                            @if let Some(first) = one.contributions.first() {
                                (without_unit(&first.input)) ", " (f(write_significant(first.share_percent.get(), 2))) " %"
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The name of an input without the unit at its end: `titre_ml` is a titre.
fn without_unit(input: &str) -> String {
    const UNITS: &[&str] = &[
        "g", "ml", "l", "percent", "cm", "m2", "mol", "per", "mg", "kg",
    ];
    let mut words: Vec<&str> = input.split('_').collect();
    while words.len() > 1 && words.last().is_some_and(|w| UNITS.contains(w)) {
        words.pop();
    }
    words.join(" ")
}

/// Whether it is hazardous, in words.
pub(super) const fn hazardous(of: Hazardous) -> &'static str {
    match of {
        Hazardous::NotIndicated => w::NOT_HAZARDOUS,
        Hazardous::ToBeAsked => w::HAZARD_MUST_BE_ASKED,
        Hazardous::ToBeTested => w::A_TEST_DECIDES,
        Hazardous::Presumed => w::TAKEN_TO_BE_HAZARDOUS,
        Hazardous::Known => w::IT_IS_HAZARDOUS,
    }
}

/// What a container is in law, short.
pub(super) fn law(of: &Classification) -> Markup {
    let lists = [
        (
            w::DO,
            of.duties
                .iter()
                .map(|d| d.text.as_ref())
                .collect::<Vec<_>>(),
        ),
        (
            w::MARKS_ON_CONTAINER,
            of.marks.iter().map(|d| d.text.as_ref()).collect(),
        ),
        (w::ASK, of.questions.iter().map(AsRef::as_ref).collect()),
        (w::NEVER, of.never.iter().map(AsRef::as_ref).collect()),
    ];
    html! {
        p {
            (t(&of.standing.text)) " "
            @if of.standing.is == Standing::AtWork { (w::WHEN_IT_IS_GIVEN_UP) }
            b { (hazardous(of.hazardous)) }
        }
        @if !of.codes.is_empty() {
            p { (w::CODES) @for (i, code) in of.codes.iter().enumerate() { @if i > 0 { ", " } (t(&code.code)) @if code.certainty != Certainty::Known { " (" (code.certainty.words()) ")" } } }
        }
        @if let Some(clock) = &of.clock {
            p.due { (w::IT_MUST_HAVE_LEFT_BY) b { (d(clock.due_on)) } ": " (t(&clock.rule)) }
        } @else if let Some(clock) = of.possible_clocks.first() {
            p.due { (w::IT_MAY_HAVE_TO_LEAVE_BY) b { (d(clock.due_on)) } ": " (t(&clock.rule)) }
        }
        @for finding in &of.container_findings {
            p.note { (t(&finding.happens)) " " (t(&finding.instead)) }
        }
        @for (heading, lines) in lists {
            @if !lines.is_empty() {
                details open[heading == w::NEVER] {
                    summary { (heading) " (" (lines.len()) ")" }
                    ul { @for line in lines { li { (t(line)) } } }
                }
            }
        }
    }
}

/// Numbered steps with their amounts and cautions, as a worksheet has them.
pub(super) fn steps(of: &[Step]) -> Markup {
    let block = Block::Steps {
        steps: of.iter().map(step_line).collect(),
        tick: false,
    };
    PreEscaped(crate::render::html::block(&block, SETTING))
}

/// The ways of recovery: the one to take with its steps, the others by name.
pub(super) fn recovery(plans: &RecoveryPlans) -> Markup {
    html! {
        @if let Some(refused) = &plans.refusal { (refusal(refused)) }
        @if let Some(first) = &plans.measure_first { p.note { (t(first)) } }
        @for entry in &plans.plans {
            @match entry {
                PlanEntry::Plan(plan) => (recovery_plan(plan)),
                PlanEntry::Refused(plan) => (refusal(&plan.refusal)),
            }
        }
        @if !plans.not_applicable.is_empty() {
            details {
                summary { (w::WAYS_CLOSED) (plans.not_applicable.len()) ")" }
                ul { @for one in &plans.not_applicable { li { (t(&one.reason)) } } }
            }
        }
    }
}

fn recovery_plan(plan: &RecoveryPlan) -> Markup {
    html! {
        h3 { (t(&plan.title)) }
        @if !plan.hazards.is_empty() {
            section.warning.danger { h4 { (w::WHAT_CAN_HURT) } ul { @for line in &plan.hazards { li { (t(line)) } } } }
        }
        @if let Some(first) = &plan.measure_first { p.note { (t(first)) } }
        @if let Some(time) = &plan.time { p { (t(&time.text)) } }
        (steps(&plan.steps))
        @if let Some(test) = &plan.end_test { p.done { b { (w::END) } (t(test)) } }
        @if let Some(left) = &plan.practical_residual {
            p { (w::IN_PRACTICE) (number(left.low_mg_per_l.get())) (w::TO) (number(left.high_mg_per_l.get()))
                (w::STAY_IN_THE_LIQUOR) b { (w::TEST_THE_LIQUOR) } }
        }
        p { (t(&plan.product.next)) }
        @if !plan.secondary_waste.is_empty() {
            h4 { (w::WHAT_IS_LEFT_TO_DEAL_WITH) }
            ul { @for waste in &plan.secondary_waste { li { b { (t(&waste.what)) } ": " (t(&waste.text)) } } }
        }
        @if !plan.troubles.is_empty() {
            details {
                summary { (w::IF_IT_GOES_WRONG) }
                ul { @for trouble in &plan.troubles { li { b { (t(&trouble.sign)) } ": " (t(&trouble.response)) } } }
            }
        }
        @if let Some(curve) = &plan.dose_curve { (picture(&dose_chart(curve))) }
    }
}

fn number(of: f64) -> String {
    f(write_significant(of, 2))
}

/// A chart with its table beneath.
pub(super) fn picture(chart: &spent_silver_domain::document::Chart) -> Markup {
    let block = Block::Chart {
        chart: Box::new(chart.clone()),
    };
    PreEscaped(crate::render::html::block(&block, SETTING))
}

/// How a liquor is made neutral.
pub(super) fn neutralization(plan: &NeutralizationPlan) -> Markup {
    if let Some(refused) = &plan.refusal {
        return refusal(refused);
    }
    html! {
        @if let Some(grams) = plan.base_g {
            p {
                (w::ABOUT) b { (f(write_significant(grams.get(), 3))) " g" } (w::OF_SODIUM_BICARBONATE)
                @if let Some(range) = plan.base_95_g {
                    (w::NINETY_FIVE_IN_100_BETWEEN) (f(write_significant(range.lower.get(), 3))) (w::AND) (f(write_significant(range.upper.get(), 3))) " g"
                }
                "."
            }
        }
        @if let Some(order) = &plan.order { p { b { (t(order)) } } }
        (steps(&plan.steps))
        @if !plan.left_out.is_empty() {
            ul { @for one in &plan.left_out { li { (one.substance) ": " (t(&one.reason)) } } }
        }
        @for duty in &plan.duties { p.note { (t(&duty.text)) } }
        @if let Some(chart) = ph_chart(plan) { (picture(&chart)) }
    }
}

/// What to do, the most urgent first.
pub(super) fn to_do(list: &[ToDo]) -> Markup {
    html! {
        ol.todo {
            @for one in list {
                li class=(match one.urgency { Urgency::Today => "today", _ => "later" }) {
                    p {
                        b {
                            @match (one.urgency, one.by_on) {
                                (Urgency::Today, _) => (w::TODAY),
                                (_, Some(day)) => { (w::BY) (d(day)) ". " },
                                (Urgency::Soon, None) => (w::SOON),
                                _ => "",
                            }
                        }
                        (t(&one.what))
                    }
                    p.small { (asked(&one.why)) }
                }
            }
        }
    }
}
