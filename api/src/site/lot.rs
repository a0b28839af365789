//! One lot at length: what to do and by when, the account line by line, the other ways, the pictures.

use super::container::capital;
use super::language::{d, f, t};
use super::words::lot as w;
use super::{plan, worth};
use maud::{Markup, html};
use spent_silver_domain::decision::{Decision, LotAction};
use spent_silver_domain::document::{worth_by_price_chart, worth_by_silver_chart};
use spent_silver_domain::quantity::{ComputedPercent, Currency, MetalPrice, write_significant};
use spent_silver_domain::report::LotReport;
use spent_silver_domain::valuation::{
    HaulageCost, MoneyLine, Settlement, ValuationOutcome, price_words, silver_words,
};

pub(super) fn at_length(studio: &str, lot: &LotReport, price: &MetalPrice) -> Markup {
    let (valuation, decision) = (&lot.valuation, &lot.decision);
    if decision.verdict == LotAction::ActToday {
        return refusal(decision);
    }
    html! {
        section aria-labelledby="silver" {
            h2 #silver { (w::SILVER_IN_IT) }
            p.silver { (worth::silver(valuation.silver.as_ref())) }
            @if let Some(silver) = &valuation.silver {
                p {
                    (f(silver_words(silver.silver_g.get()))) (w::NINETY_FIVE_IN_100)
                    @match silver.upper_95_g {
                        Some(upper) => { (w::BETWEEN) (f(write_significant(silver.lower_95_g.get(), 3))) (w::AND) (f(write_significant(upper.get(), 3))) " g." },
                        None => { (f(write_significant(silver.lower_95_g.get(), 3))) (w::G_OR_MORE) },
                    }
                }
            }
        }
        section aria-labelledby="advice" {
            h2 #advice { (w::ADVICE) }
            p.verdict { b { (capital(decision.verdict.words())) "." } " " (t(&decision.reason)) }
            @if let Some(chance) = decision.chance_of_gain_percent {
                p { (w::CHANCE) b { (f(chance_in_words(chance))) } "." }
            }
            @if !decision.act.is_empty() { ol { @for line in &decision.act { li { (t(line)) } } } }
            @if !decision.never.is_empty() {
                section.warning.danger { h3 { (w::NEVER) } ul { @for line in &decision.never { li { (t(line)) } } } }
            }
        }
        (days(decision))
        (outcome(lot))
        (pictures(lot, price))
        (ways(lot))
        @if let Some(haulage) = &valuation.haulage { (collection(haulage)) }
        @if let Some(restore) = &decision.restore {
            section aria-labelledby="restore" {
                h2 #restore { (w::RESTORE) }
                (plan::steps(&restore.steps))
            }
        }
        @if !decision.what_would_change.is_empty() {
            section aria-labelledby="changes" {
                h2 #changes { (w::CHANGES) }
                ul { @for line in &decision.what_would_change { li { (t(line)) } } }
            }
        }
        p.small { (w::CONTAINERS) (worth::containers(studio, lot)) }
    }
}

/// Where keeping it is a danger, money is not asked.
fn refusal(decision: &Decision) -> Markup {
    html! {
        section.refusal role="alert" {
            p.never { (t(&decision.reason)) }
            @if !decision.act.is_empty() { ol { @for line in &decision.act { li { (t(line)) } } } }
            @if !decision.never.is_empty() {
                h2 { (w::NEVER) }
                ul { @for line in &decision.never { li { b { (t(line)) } } } }
            }
        }
    }
}

/// A chance as a person weighs it: never written as certain.
fn chance_in_words(of: ComputedPercent) -> String {
    match of.get() {
        p if p < 0.1 => w::HARDLY_ANY_CHANCE.to_owned(),
        p if p > 99.9 => w::HARDLY_A_DOUBT.to_owned(),
        p => format!("{} %", f(write_significant(p, 2))),
    }
}

fn days(decision: &Decision) -> Markup {
    html! {
        section aria-labelledby="days" {
            h2 #days { (w::DAYS) }
            @match &decision.latest {
                Some(latest) => p.due { (w::NOT_LATER_THAN) b { (d(latest.on)) } ": " (t(&latest.text)) },
                None => p { (w::NO_DAY) },
            }
            ul {
                @for limit in decision.limits.iter().skip(1) { li { (d(limit.on)) ": " (t(&limit.text)) } }
                @if let Some(day) = decision.call_by_on { li { (w::CALL_HAULIER_BY) b { (d(day)) } "." } }
                @if let Some(day) = decision.look_again_on { li { (w::LOOK_AT_IT_AGAIN_ON) b { (d(day)) } "." } }
                @if let Some(day) = decision.break_even_on { li { (w::IT_FILLS_AND_PAYS_FROM) b { (d(day)) } "." } }
                @if let Some(often) = decision.economic_interval {
                    li { (w::IN_THE_LONG_RUN_EVERY) (f(write_significant(often.interval_months.get(), 2))) (w::MONTHS_WITH) (f(silver_words(often.silver_g.get()))) (w::EACH_TIME) }
                }
                @for one in &decision.shipping_plan { li { (d(one.ships_on)) ": " (f(silver_words(one.silver_g.get()))) } }
            }
        }
    }
}

fn outcome(lot: &LotReport) -> Markup {
    let currency = lot.valuation.currency;
    html! {
        section aria-labelledby="account" {
            @match &lot.valuation.outcome {
                ValuationOutcome::Accepted(settlement) => {
                    h2 #account { (w::ACCOUNT) }
                    (account(settlement, currency, &lot.decision.reason))
                },
                ValuationOutcome::NotAccepted { reasons } => {
                    h2 #account { (w::NOT_TAKEN) }
                    ul { @for reason in reasons { li { (t(&reason.text)) } } }
                },
                ValuationOutcome::ValueUnknown { reasons, conditions } => {
                    h2 #account { (w::UNKNOWN) }
                    ul { @for reason in reasons { li { (t(reason)) } } }
                    @if !conditions.is_empty() {
                        h3 { (w::BEFORE) }
                        ul { @for one in conditions { li { (t(&one.text)) } } }
                    }
                },
            }
        }
    }
}

fn account(of: &Settlement, currency: Currency, reason: &str) -> Markup {
    html! {
        @if !reason.contains(&of.statement) { p { (t(&of.statement)) } }
        @if !of.conditions.is_empty() {
            h3 { (w::BEFORE) }
            ul { @for one in &of.conditions { li { (t(&one.text)) } } }
        }
        table.rows {
            caption { (w::IF_IT_WENT_NOW_IN) (currency) }
            thead { tr { th scope="col" { (w::FOR) } th.figure scope="col" { (w::AMOUNT) } } }
            tbody {
                tr { th scope="row" { (w::ITS_SILVER_AT_METALS_PRICE) } td.figure { (f(of.gross_value)) } }
                @for line in &of.deductions { (money_line(line, "−")) }
            }
            tfoot { tr { th scope="row" { (w::LEFT_FOR_YOU) } td.figure { b { (f(of.net)) } } } }
        }
        @if let Some(day) = of.settled_on { p { (w::SETTLED_ABOUT) (d(day)) (w::FREIGHT_NOT_COUNTED) } }
        @if of.shares.len() > 1 {
            table.rows {
                caption { (w::SHARES) (w::COMMA_IN) (currency) }
                thead { tr { th scope="col" { (w::CONTAINER) } th.figure scope="col" { (w::SILVER) } th.figure scope="col" { (w::NET) } } }
                tbody {
                    @for share in &of.shares {
                        tr {
                            th scope="row" { (share.batch) }
                            td.figure { (f(write_significant(share.silver_g.get(), 3))) " g" }
                            td.figure { (share.net) }
                        }
                    }
                }
            }
            p.small { (of.sharing_rule) }
        }
    }
}

fn money_line(line: &MoneyLine, sign: &str) -> Markup {
    html! {
        tr {
            th scope="row" { (t(&line.label)) @if line.basis != "once" { " " span.small { (t(&line.basis)) } } }
            td.figure { (sign) (f(line.amount)) }
        }
    }
}

fn pictures(lot: &LotReport, price: &MetalPrice) -> Markup {
    let ValuationOutcome::Accepted(settlement) = &lot.valuation.outcome else {
        return html! {};
    };
    let even = &settlement.break_even;
    let by_silver = lot
        .valuation
        .silver
        .as_ref()
        .and_then(|silver| worth_by_silver_chart(silver, settlement, lot.valuation.currency));
    html! {
        section aria-labelledby="pays" {
            h2 #pays { (w::PICTURES) }
            ul {
                li {
                    @match even.silver_g {
                        Some(grams) => { (w::AT_THIS_PRICE_FROM) b { (f(silver_words(grams.get()))) } (w::OF_SILVER_IN_LOT) },
                        None => (w::NO_SILVER_IS_ENOUGH),
                    }
                }
                li {
                    @match &even.price {
                        Some(p) => { (w::WITH_THIS_SILVER_FROM) b { (f(price_words(p.amount.decimal(), p.currency, p.per))) } "." },
                        None => (w::NO_PRICE_IS_ENOUGH),
                    }
                }
            }
            @if let Some(chart) = &by_silver { (plan::picture(chart)) }
            @if let Some(chart) = worth_by_price_chart(settlement, price) { (plan::picture(&chart)) }
        }
    }
}

/// What is left of a reason when what is said above is taken out.
fn new_in(reason: &str, lot: &LotReport) -> String {
    let statement = match &lot.valuation.outcome {
        ValuationOutcome::Accepted(settlement) => settlement.statement.as_str(),
        _ => "",
    };
    let rest = reason.replacen(statement, "", 1);
    let rest = rest.trim();
    if lot.decision.reason.contains(rest) {
        return String::new();
    }
    rest.to_owned()
}

fn ways(lot: &LotReport) -> Markup {
    let decision = &lot.decision;
    html! {
        @if !decision.alternatives.is_empty() {
            section aria-labelledby="ways" {
                h2 #ways { (w::WAYS) }
                table.rows {
                    caption { (w::IN_MONEY) (decision.currency) }
                    thead { tr { th scope="col" { (w::WHAT) } th.figure scope="col" { (w::BRINGS) } } }
                    tbody {
                        @for way in &decision.alternatives {
                            tr {
                                th scope="row" {
                                    b { (capital(way.action.words())) } @if let Some(name) = &way.name { " (" (t(name)) ")" }
                                    @let reason = new_in(&way.reason, lot);
                                    @if !reason.is_empty() { br; span.small { (t(&reason)) } }
                                }
                                td.figure {
                                    @match (way.possible, way.net) {
                                        (false, _) => (w::NOT_OPEN),
                                        (true, Some(net)) => (f(net)),
                                        (true, None) => (w::NOT_KNOWN),
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn collection(of: &HaulageCost) -> Markup {
    html! {
        section aria-labelledby="haulage" {
            h2 #haulage { (w::HAULAGE) }
            table.rows {
                caption { (w::IN_MONEY) (of.currency) }
                thead { tr { th scope="col" { (w::FOR) } th.figure scope="col" { (w::AMOUNT) } } }
                tbody { @for line in &of.lines { (money_line(line, "")) } }
                @if let Some(total) = of.total { tfoot { tr { th scope="row" { (w::ALL_OF_IT) } td.figure { b { (f(total)) } } } } }
            }
            @for line in &of.unknown { p.note { (t(line)) } }
            @if let Some(days) = of.lead_time_day_count { p { (w::CALL) (days) (w::DAYS_BEFORE) } }
            @if let Some(ask) = &of.free_collection { p.note { (t(ask)) } }
        }
    }
}
