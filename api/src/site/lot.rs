//! One lot at length: what to do and by when, the account line by line, the other ways, the pictures.

use super::container::capital;
use super::language::{d, f, t};
use super::{plan, worth};
use maud::{Markup, html};
use spent_silver_domain::decision::{Decision, LotAction};
use spent_silver_domain::document::{worth_by_price_chart, worth_by_silver_chart};
use spent_silver_domain::quantity::{ComputedPercent, Currency, MetalPrice, write_significant};
use spent_silver_domain::report::LotReport;
use spent_silver_domain::valuation::{
    HaulageCost, MoneyLine, Settlement, ValuationOutcome, price_words, silver_words,
};

const ADVICE: &str = "What to do";
const DAYS: &str = "When";
const ACCOUNT: &str = "What sending it comes to";
const BEFORE: &str = "Before it is sent";
const NOT_TAKEN: &str = "The refiner does not take it as it is";
const UNKNOWN: &str = "What it is worth is not known";
const WAYS: &str = "Every way out";
const PICTURES: &str = "When it would pay";
const CHANGES: &str = "What would change the advice";
const SHARES: &str = "What of it belongs to each container";
const HAULAGE: &str = "What a collection would cost";
const RESTORE: &str = "How the bath is restored";
const NEVER: &str = "Never";
const NO_DAY: &str = "No rule known here sets a latest day for it. That is no permission to keep it: ask your authority.";

pub(super) fn at_length(studio: &str, lot: &LotReport, price: &MetalPrice) -> Markup {
    let (valuation, decision) = (&lot.valuation, &lot.decision);
    if decision.verdict == LotAction::ActToday {
        return refusal(decision);
    }
    html! {
        section aria-labelledby="silver" {
            h2 #silver { "Silver in it" }
            p.silver { (worth::silver(valuation.silver.as_ref())) }
            @if let Some(silver) = &valuation.silver {
                p {
                    (f(silver_words(silver.silver_g.get()))) "; 95 times in 100 it is "
                    @match silver.upper_95_g {
                        Some(upper) => { "between " (f(write_significant(silver.lower_95_g.get(), 3))) " and " (f(write_significant(upper.get(), 3))) " g." },
                        None => { (f(write_significant(silver.lower_95_g.get(), 3))) " g or more." },
                    }
                }
            }
        }
        section aria-labelledby="advice" {
            h2 #advice { (ADVICE) }
            p.verdict { b { (capital(decision.verdict.words())) "." } " " (t(&decision.reason)) }
            @if let Some(chance) = decision.chance_of_gain_percent {
                p { "The chance that sending it now brings more than it costs: " b { (f(chance_in_words(chance))) } "." }
            }
            @if !decision.act.is_empty() { ol { @for line in &decision.act { li { (t(line)) } } } }
            @if !decision.never.is_empty() {
                section.warning.danger { h3 { (NEVER) } ul { @for line in &decision.never { li { (t(line)) } } } }
            }
        }
        (days(decision))
        (outcome(lot))
        (pictures(lot, price))
        (ways(lot))
        @if let Some(haulage) = &valuation.haulage { (collection(haulage)) }
        @if let Some(restore) = &decision.restore {
            section aria-labelledby="restore" {
                h2 #restore { (RESTORE) }
                (plan::steps(&restore.steps))
            }
        }
        @if !decision.what_would_change.is_empty() {
            section aria-labelledby="changes" {
                h2 #changes { (CHANGES) }
                ul { @for line in &decision.what_would_change { li { (t(line)) } } }
            }
        }
        p.small { "Containers: " (worth::containers(studio, lot)) }
    }
}

/// Where keeping it is a danger, money is not asked.
fn refusal(decision: &Decision) -> Markup {
    html! {
        section.refusal role="alert" {
            p.never { (t(&decision.reason)) }
            @if !decision.act.is_empty() { ol { @for line in &decision.act { li { (t(line)) } } } }
            @if !decision.never.is_empty() {
                h2 { (NEVER) }
                ul { @for line in &decision.never { li { b { (t(line)) } } } }
            }
        }
    }
}

/// A chance as a person weighs it: never written as certain.
fn chance_in_words(of: ComputedPercent) -> String {
    match of.get() {
        p if p < 0.1 => "less than 0.1 %".to_owned(),
        p if p > 99.9 => "more than 99.9 %".to_owned(),
        p => format!("{} %", f(write_significant(p, 2))),
    }
}

fn days(decision: &Decision) -> Markup {
    html! {
        section aria-labelledby="days" {
            h2 #days { (DAYS) }
            @match &decision.latest {
                Some(latest) => p.due { "Not later than " b { (d(latest.on)) } ": " (t(&latest.text)) },
                None => p { (NO_DAY) },
            }
            ul {
                @for limit in decision.limits.iter().skip(1) { li { (d(limit.on)) ": " (t(&limit.text)) } }
                @if let Some(day) = decision.call_by_on { li { "Call the haulier by " b { (d(day)) } "." } }
                @if let Some(day) = decision.look_again_on { li { "Look at it again on " b { (d(day)) } "." } }
                @if let Some(day) = decision.break_even_on { li { "At the rate it fills it pays from " b { (d(day)) } "." } }
                @if let Some(often) = decision.economic_interval {
                    li { "In the long run sending costs least every " (f(write_significant(often.interval_months.get(), 2))) " months, with " (f(silver_words(often.silver_g.get()))) " each time." }
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
                    h2 #account { (ACCOUNT) }
                    (account(settlement, currency, &lot.decision.reason))
                },
                ValuationOutcome::NotAccepted { reasons } => {
                    h2 #account { (NOT_TAKEN) }
                    ul { @for reason in reasons { li { (t(&reason.text)) } } }
                },
                ValuationOutcome::ValueUnknown { reasons, conditions } => {
                    h2 #account { (UNKNOWN) }
                    ul { @for reason in reasons { li { (t(reason)) } } }
                    @if !conditions.is_empty() {
                        h3 { (BEFORE) }
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
            h3 { (BEFORE) }
            ul { @for one in &of.conditions { li { (t(&one.text)) } } }
        }
        table.rows {
            caption { "If it went now, in " (currency) }
            thead { tr { th scope="col" { "For" } th.figure scope="col" { "Amount" } } }
            tbody {
                tr { th scope="row" { "Its silver at the metal's price" } td.figure { (f(of.gross_value)) } }
                @for line in &of.deductions { (money_line(line, "−")) }
            }
            tfoot { tr { th scope="row" { "Left for you" } td.figure { b { (f(of.net)) } } } }
        }
        @if let Some(day) = of.settled_on { p { "Sent today, it is settled about " (d(day)) ", freight not counted." } }
        @if of.shares.len() > 1 {
            table.rows {
                caption { (SHARES) ", in " (currency) }
                thead { tr { th scope="col" { "Container" } th.figure scope="col" { "Silver" } th.figure scope="col" { "Net" } } }
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
            h2 #pays { (PICTURES) }
            ul {
                li {
                    @match even.silver_g {
                        Some(grams) => { "At this price: from " b { (f(silver_words(grams.get()))) } " of silver in the lot." },
                        None => "At this price no amount of silver is enough.",
                    }
                }
                li {
                    @match &even.price {
                        Some(p) => { "With this silver: from " b { (f(price_words(p.amount.decimal(), p.currency, p.per))) } "." },
                        None => "With this silver no price is enough: the refiner pays for none of it.",
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
                h2 #ways { (WAYS) }
                table.rows {
                    caption { "In " (decision.currency) }
                    thead { tr { th scope="col" { "What" } th.figure scope="col" { "Brings" } } }
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
                                        (false, _) => "not open",
                                        (true, Some(net)) => (f(net)),
                                        (true, None) => "not known",
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
            h2 #haulage { (HAULAGE) }
            table.rows {
                caption { "In " (of.currency) }
                thead { tr { th scope="col" { "For" } th.figure scope="col" { "Amount" } } }
                tbody { @for line in &of.lines { (money_line(line, "")) } }
                @if let Some(total) = of.total { tfoot { tr { th scope="row" { "All of it" } td.figure { b { (f(total)) } } } } }
            }
            @for line in &of.unknown { p.note { (t(line)) } }
            @if let Some(days) = of.lead_time_day_count { p { "Call " (days) " days before." } }
            @if let Some(ask) = &of.free_collection { p.note { (t(ask)) } }
        }
    }
}
