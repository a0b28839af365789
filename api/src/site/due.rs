//! What falls due by the book, the earliest first.

use super::layout::{Page, assumptions, t, warnings, with_names};
use super::{Shown, Visit, today};
use crate::book;
use maud::{Markup, html};
use spent_silver_domain::answer::{Severity, Warning};
use spent_silver_domain::ledger::{Clock, ClockKind, Clocks};
use spent_silver_domain::quantity::Identifier;

const TITLE: &str = "What is due, and when";
const NOTHING: &str = "Nothing falls due by this book. That is no permission: what is not written down, it does not know.";
const WHY: &str = "Why each container's days run, or do not";

const fn what(kind: ClockKind) -> &'static str {
    match kind {
        ClockKind::ActToday => "act today: keeping it is a danger",
        ClockKind::StorageLimit => "must have left",
        ClockKind::PossibleStorageLimit => "may have to have left",
        ClockKind::Inspection => "look it over",
        ClockKind::RefinerStatement => "the refiner's statement is awaited",
        ClockKind::StockToMove => "a share of the year's stock must have moved",
        ClockKind::AnnualAccount => "draw up the year's account",
    }
}

pub(super) async fn show(visit: Visit) -> Shown {
    let studio = visit.studio().await?;
    let answer = book::clocks_on(visit.store()?, &studio, today(&studio)).await?;
    let id = studio.record.id.as_str();
    let names: Vec<&Identifier> = answer
        .result
        .containers
        .iter()
        .map(|c| &c.container)
        .collect();
    let (dangers, others): (Vec<Warning>, Vec<Warning>) =
        with_names(&answer.warnings, "/containers/", &names)
            .into_iter()
            .partition(|w| w.severity == Severity::Danger);
    // What is dangerous comes before what is late.
    let (today, dated): (Vec<&Clock>, Vec<&Clock>) = answer
        .result
        .clocks
        .iter()
        .partition(|c| c.what == ClockKind::ActToday);
    let body = html! {
        (warnings(&dangers))
        @if answer.result.clocks.is_empty() { p.lead { (NOTHING) } }
        ol.todo { @for clock in today.iter().chain(&dated) { (line(id, clock)) } }
        (super::hands::picture(&answer.result.clocks, answer.result.on))
        (warnings(&others))
        (watched(&answer.result))
        (assumptions(&answer.assumptions))
    };
    Ok(Page {
        status: 200,
        title: TITLE,
        studio: Some(&studio),
        notice: Some(&answer.notice),
        body,
    }
    .shown(&visit))
}

fn line(studio: &str, clock: &Clock) -> Markup {
    let left = clock.days_left_count;
    html! {
        li class=(if left <= 0 { "today" } else { "later" }) {
            p {
                b { time datetime=(clock.due_on) { (clock.due_on) } }
                @match left {
                    0 => " (today)",
                    1.. => { " (in " (left) " days)" },
                    _ => { " (" b { (left.unsigned_abs()) " days ago" } ")" },
                }
                ": "
                @if let Some(name) = &clock.container {
                    a href={ "/studios/" (studio) "/containers/" (name) } { (name) } ", "
                }
                @if let Some(name) = &clock.shipment { (name) ", " }
                (what(clock.what))
            }
            p.small { (t(&clock.text)) @if let Some(clause) = clock.clause.as_ref().filter(|c| !clock.text.contains(c.as_str())) {
                    " (" (t(clause)) ")"
                } }
        }
    }
}

fn watched(of: &Clocks) -> Markup {
    html! {
        @if !of.containers.is_empty() {
            section aria-labelledby="why" {
                h2 #why { (WHY) }
                ul {
                    @for one in &of.containers {
                        li {
                            b { (one.container) } " (" (one.kind.words()) "): " (t(&one.standing.text))
                            @if !one.codes.is_empty() { " " (t(&one.codes.join(", "))) "." }
                        }
                    }
                }
            }
        }
    }
}
