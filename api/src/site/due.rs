//! What falls due by the book, the earliest first.

use super::language::{d, t};
use super::layout::{Page, assumptions, warnings, with_names};
use super::words::due as w;
use super::{Shown, Visit, today};
use crate::book;
use maud::{Markup, html};
use spent_silver_domain::answer::{Severity, Warning};
use spent_silver_domain::ledger::{Clock, ClockKind, Clocks, WatchedContainer};
use spent_silver_domain::quantity::Identifier;
use std::collections::BTreeSet;

/// Clocks on one page, besides the dangers.
const MOST: usize = 60;

const fn what(kind: ClockKind) -> &'static str {
    match kind {
        ClockKind::ActToday => w::ACT_TODAY,
        ClockKind::StorageLimit => w::MUST_HAVE_LEFT,
        ClockKind::PossibleStorageLimit => w::MAY_HAVE_TO_HAVE_LEFT,
        ClockKind::Inspection => w::LOOK_IT_OVER,
        ClockKind::RefinerStatement => w::REFINERS_STATEMENT_IS_AWAITED,
        ClockKind::StockToMove => w::TURNOVER,
        ClockKind::AnnualAccount => w::DRAW_UP_YEARS_ACCOUNT,
    }
}

/// What of the answer stands on one page: every danger, and so many of the dated clocks.
struct Part<'a> {
    clocks: Vec<(usize, &'a Clock)>,
    /// The first dated clock that stands on the next page; none on the last.
    next: Option<usize>,
    /// Containers that this page speaks of.
    containers: BTreeSet<&'a Identifier>,
}

impl<'a> Part<'a> {
    fn of(all: &'a Clocks, from: usize) -> Self {
        let numbered = all.clocks.iter().enumerate();
        // What is dangerous comes before what is late.
        let (mut clocks, dated): (Vec<_>, Vec<_>) =
            numbered.partition(|(_, c)| c.what == ClockKind::ActToday);
        let rest = dated.get(from..).unwrap_or_default();
        let shown = rest.get(..MOST).unwrap_or(rest);
        let end = from.saturating_add(shown.len());
        let next = (end < dated.len()).then_some(end);
        clocks.extend_from_slice(shown);
        let mut containers: BTreeSet<&Identifier> = clocks
            .iter()
            .filter_map(|(_, c)| c.container.as_ref())
            .collect();
        if from == 0 {
            // Of what has no clock the first page speaks.
            let timed: BTreeSet<&Identifier> = dated
                .iter()
                .filter_map(|(_, c)| c.container.as_ref())
                .collect();
            let names = all.containers.iter().map(|c| &c.container);
            containers.extend(names.filter(|name| !timed.contains(name)));
        }
        Self {
            clocks,
            next,
            containers,
        }
    }

    /// Whether this page is the one that says it; a danger is said on each.
    fn says(&self, warning: &Warning, all: &Clocks) -> bool {
        let place = |list: &str| -> Option<usize> {
            let rest = warning.about.strip_prefix(list)?;
            rest.split('/').next()?.parse().ok()
        };
        if warning.severity == Severity::Danger {
            return true;
        }
        if let Some(i) = place("/clocks/") {
            return self.clocks.iter().any(|(n, _)| *n == i);
        }
        let container = place("/containers/").and_then(|i| all.containers.get(i));
        container.is_none_or(|c| self.containers.contains(&c.container))
    }
}

pub(super) async fn show(visit: Visit) -> Shown {
    let studio = visit.studio().await?;
    let answer = book::clocks_on(visit.state()?, &studio, today(&studio)).await?;
    let all = &answer.result;
    let id = studio.record.id.as_str();
    let asked = visit.asked()?;
    let from = asked.get("from").parse().unwrap_or(0);
    let part = Part::of(all, from);
    let names: Vec<&Identifier> = all.containers.iter().map(|c| &c.container).collect();
    let said: Vec<Warning> = answer
        .warnings
        .iter()
        .filter(|w| part.says(w, all))
        .cloned()
        .collect();
    let (dangers, others): (Vec<Warning>, Vec<Warning>) = with_names(&said, "/containers/", &names)
        .into_iter()
        .partition(|w| w.severity == Severity::Danger);
    let body = html! {
        (warnings(&dangers))
        @if all.clocks.is_empty() { p.lead { (w::NOTHING) } }
        ol.todo { @for (_, clock) in &part.clocks { (line(id, clock)) } }
        @if part.next.is_some() || from > 0 {
            p {
                @if from > 0 { a.big href={ "/studios/" (id) "/due" } { (w::FIRST) } " " }
                @if let Some(next) = part.next { a.big href={ "/studios/" (id) "/due?from=" (next) } { (w::LATER) } }
            }
        }
        (super::hands::picture(part.clocks.iter().map(|(_, c)| *c), all.on))
        (warnings(&others))
        (watched(all, &part))
        (assumptions(&answer.assumptions))
    };
    Ok(Page {
        status: 200,
        title: w::TITLE,
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
                b { (d(clock.due_on)) }
                @match left {
                    0 => (w::TODAY),
                    1.. => { (w::IN_SO_MANY) (left) (w::DAYS_CLOSED) },
                    _ => { " (" b { (left.unsigned_abs()) (w::DAYS_AGO) } ")" },
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

fn watched(of: &Clocks, part: &Part<'_>) -> Markup {
    let containers: Vec<&WatchedContainer> = of
        .containers
        .iter()
        .filter(|one| part.containers.contains(&one.container))
        .collect();
    html! {
        @if !containers.is_empty() {
            section aria-labelledby="why" {
                h2 #why { (w::WHY) }
                ul {
                    @for one in &containers {
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
