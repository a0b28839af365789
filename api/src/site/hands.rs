//! The clocks of containers as one picture: a bar from the day each began to the day it must have left,
//! and a line for today. It says nothing that the table beneath does not, and needs no colour.

use super::flow::tenth;
use super::language::{d, day_in_words, plain, t};
use super::words::hands as w;
use maud::{Markup, html};
use spent_silver_domain::ledger::{Clock, ClockKind};
use spent_silver_domain::quantity::Date;

/// Bars in one picture.
const MOST: usize = 24;
const WIDTH: f64 = 640.0;
const TOP: f64 = 28.0;
const ROW: f64 = 46.0;
const BAR: f64 = 14.0;
/// Where a bar stands below its words.
const BELOW: f64 = 22.0;

/// A clock that runs between two days.
struct Hand<'a> {
    clock: &'a Clock,
    name: &'a str,
    from: Date,
}

/// The picture and its table, where any clock of a container runs between two days.
pub(super) fn picture<'a>(clocks: impl Iterator<Item = &'a Clock>, on: Date) -> Markup {
    let running: Vec<Hand<'a>> = clocks
        .filter(|c| {
            matches!(
                c.what,
                ClockKind::StorageLimit | ClockKind::PossibleStorageLimit
            )
        })
        .filter_map(|clock| {
            Some(Hand {
                clock,
                name: clock.container.as_ref()?.as_str(),
                from: clock.starts_on?,
            })
        })
        .collect();
    let hands = running.get(..MOST).unwrap_or(&running);
    let days = hands
        .iter()
        .flat_map(|h| [h.from, h.clock.due_on])
        .chain([on]);
    let (Some(first), Some(last)) = (days.clone().min(), days.max()) else {
        return html! {};
    };
    if hands.is_empty() {
        return html! {};
    }
    let whole = f64_of(last.days_since(first)).max(1.0);
    let along = |day: Date| f64_of(day.days_since(first)) / whole * WIDTH;
    let rows = f64_of(i64::try_from(hands.len()).unwrap_or(0));
    let height = TOP + ROW * rows;
    let today = along(on);
    let (anchor, beside) = if today > WIDTH / 2.0 {
        ("end", today - 5.0)
    } else {
        ("start", today + 5.0)
    };
    html! {
        figure {
            svg.flow role="img" aria-labelledby="hands_title hands_words" viewBox={ "0 0 " (WIDTH) " " (tenth(height)) } {
                title #hands_title { (w::TITLE) }
                desc #hands_words { (w::CAPTION) }
                defs {
                    pattern id="late" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                        rect.paper width="6" height="6" {}
                        line.ink x1="0" y1="0" x2="0" y2="6" stroke-width="2" {}
                    }
                }
                line.ink x1=(tenth(today)) x2=(tenth(today)) y1="4" y2=(tenth(height)) stroke-width="2" {}
                text.strong x=(tenth(beside)) y="16" text-anchor=(anchor) { (w::TODAY) }
                @for (i, hand) in hands.iter().enumerate() {
                    (bar(hand, TOP + ROW * f64_of(i64::try_from(i).unwrap_or(0)), on, &along))
                }
            }
            figcaption { (w::CAPTION) @if running.len() > hands.len() { " " (w::FIRST) } }
            (table(hands))
        }
    }
}

fn bar(hand: &Hand<'_>, y: f64, on: Date, along: &impl Fn(Date) -> f64) -> Markup {
    let (from, due, now) = (along(hand.from), along(hand.clock.due_on), along(on));
    // Not `clamp`, which panics where a clock would end before it began.
    let gone = now.min(due).max(from);
    let top = y + BELOW;
    let possible = hand.clock.what == ClockKind::PossibleStorageLimit;
    // The words stand where they have room.
    let (anchor, at) = if from > WIDTH / 2.0 {
        ("end", due.max(now))
    } else {
        ("start", from)
    };
    html! {
        text x=(tenth(at)) y=(tenth(y + 15.0)) text-anchor=(anchor) { (plain(hand.name)) (if possible { w::PERHAPS_BY } else { w::BY }) (day_in_words(hand.clock.due_on)) }
        @if due > gone { rect class=(if possible { "open" } else { "frame" }) x=(tenth(gone)) y=(tenth(top)) width=(tenth(due - gone)) height=(BAR) {} }
        @if gone > from { rect.ink x=(tenth(from)) y=(tenth(top)) width=(tenth(gone - from)) height=(BAR) {} }
        @if now > due { rect fill="url(#late)" x=(tenth(due)) y=(tenth(top)) width=(tenth(now - due)) height=(BAR) {} }
    }
}

fn table(hands: &[Hand<'_>]) -> Markup {
    html! {
        table.rows {
            caption { (w::TITLE) }
            thead { tr { th scope="col" { (w::CONTAINER) } th scope="col" { (w::COUNTS_FROM) } th scope="col" { (w::MUST_HAVE_LEFT) } th.figure scope="col" { (w::DAYS_LEFT) } } }
            tbody {
                @for hand in hands {
                    tr {
                        th scope="row" { (t(hand.name)) @if hand.clock.what == ClockKind::PossibleStorageLimit { " " span.small { (w::PERHAPS) } } }
                        td.day { (d(hand.from)) }
                        td.day { (d(hand.clock.due_on)) }
                        td.figure { (hand.clock.days_left_count) }
                    }
                }
            }
        }
    }
}

fn f64_of(count: i64) -> f64 {
    count as f64
}
