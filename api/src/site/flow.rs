//! The silver of a year as one picture: what came in on the left, what went out on the right, each bar
//! as thick as its silver, with its margin as a lighter edge. It says nothing that the table beneath
//! does not, and needs no colour.

use super::language::f;
use super::words::flow as w;
use crate::render::account::line_in_words;
use maud::{Markup, html};
use spent_silver_domain::document::figure;
use spent_silver_domain::ledger::{AccountLine, LineKind, SilverAccount};
use spent_silver_domain::quantity::write_significant;

const WIDTH: f64 = 640.0;
/// Height of all the silver.
const TALL: f64 = 240.0;
/// Room between bars, for their words.
const GAP: f64 = 60.0;
/// From a bar down to its words, and to its figure: room for the larger letters of a narrow screen.
const TO_WORDS: f64 = 22.0;
const TO_FIGURE: f64 = 44.0;
const TOP: f64 = 24.0;
const BAR: f64 = 150.0;
/// What is less than this share of all the silver is not drawn as lacking.
const LEAST_SHOWN: f64 = 0.005;

/// Which side of the book a line stands on; what was missed went out.
fn comes_in(line: &AccountLine) -> bool {
    match line.what {
        LineKind::AtStart
        | LineKind::TakenIn
        | LineKind::Bought
        | LineKind::Received
        | LineKind::FromMaterial => true,
        LineKind::Unexplained => line.silver_g.get() > 0.0,
        _ => false,
    }
}

/// What one side lacks against the other, where something on it was unknown.
fn lacking(account: &SilverAccount, side: bool, missing: f64, most: f64) -> f64 {
    let unknown = |l: &AccountLine| {
        // What was found stands on neither side here.
        l.what != LineKind::Unexplained && comes_in(l) == side && l.unknown_count > 0
    };
    if missing > most * LEAST_SHOWN && account.lines.iter().any(unknown) {
        missing
    } else {
        0.0
    }
}

struct Bar {
    words: &'static str,
    figure: String,
    y: f64,
    height: f64,
    margin: f64,
}

/// Bars of one side, from the top; and where the next would begin.
fn bars<'a>(lines: impl Iterator<Item = &'a AccountLine>, per_gram: f64) -> (Vec<Bar>, f64) {
    let mut y = TOP;
    let mut out = Vec::new();
    for line in lines {
        let grams = line.silver_g.get().abs();
        let u = line.standard_uncertainty_g.get();
        let height = (grams * per_gram).max(1.0);
        let words = match line.what {
            LineKind::Unexplained if !comes_in(line) => w::MISSED,
            what => line_in_words(what).1,
        };
        out.push(Bar {
            words,
            figure: f(figure(grams, u, "g")),
            y,
            height,
            margin: (u * per_gram).min(height),
        });
        y += height + GAP;
    }
    (out, y)
}

/// The picture, where there is anything to draw.
pub(super) fn picture(account: &SilverAccount) -> Markup {
    let with_silver = || {
        let lines = account.lines.iter();
        lines.filter(|l| l.silver_g.get().abs() > 0.0)
    };
    let sum = |side: bool| -> f64 {
        let of = with_silver().filter(|l| comes_in(l) == side);
        of.map(|l| l.silver_g.get().abs()).sum()
    };
    let (came, went) = (sum(true), sum(false));
    let most = came.max(went);
    if most <= 0.0 {
        return html! { p.note { (w::NOTHING) } };
    }
    let per_gram = TALL / most;
    let (left, left_end) = bars(with_silver().filter(|l| comes_in(l)), per_gram);
    let (right, right_end) = bars(with_silver().filter(|l| !comes_in(l)), per_gram);
    let sides = [
        (
            &left,
            0.0,
            "start",
            0.0,
            left_end,
            lacking(account, true, went - came, most),
        ),
        (
            &right,
            WIDTH - BAR,
            "end",
            WIDTH,
            right_end,
            lacking(account, false, came - went, most),
        ),
    ];
    let height = sides
        .iter()
        .map(|(.., end, lack)| {
            if *lack > 0.0 {
                end + lack * per_gram + GAP
            } else {
                *end
            }
        })
        .fold(0.0, f64::max);
    html! {
        figure {
            svg.flow role="img" aria-labelledby="flow_title flow_words" viewBox={ "0 0 " (WIDTH) " " (tenth(height)) } {
                title #flow_title { (w::TITLE) }
                desc #flow_words { (w::CAPTION) }
                defs {
                    pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                        rect.paper width="6" height="6" {}
                        line.ink x1="0" y1="0" x2="0" y2="6" stroke-width="2" {}
                    }
                }
                (ribbons(&left, &right))
                @for (side, x, anchor, text_x, end, lack) in &sides {
                    @if *lack > 0.0 {
                        rect.open x=(x) y=(tenth(*end)) width=(BAR) height=(tenth(lack * per_gram)) {}
                        text x=(text_x) y=(tenth(end + lack * per_gram + TO_WORDS)) text-anchor=(anchor) { (w::LACKING) }
                        text.strong x=(text_x) y=(tenth(end + lack * per_gram + TO_FIGURE)) text-anchor=(anchor) { (w::ABOUT) (f(write_significant(*lack, 2))) " g" }
                    }
                    @for bar in *side {
                        rect.ink x=(x) y=(tenth(bar.y)) width=(BAR) height=(tenth(bar.height)) {}
                        rect fill="url(#hatch)" x=(x) y=(tenth(bar.y + bar.height - bar.margin)) width=(BAR) height=(tenth(bar.margin)) {}
                        text x=(text_x) y=(tenth(bar.y + bar.height + TO_WORDS)) text-anchor=(anchor) { (bar.words) }
                        text.strong x=(text_x) y=(tenth(bar.y + bar.height + TO_FIGURE)) text-anchor=(anchor) { (bar.figure) }
                    }
                }
            }
            figcaption { (w::CAPTION) }
        }
    }
}

/// A place in a picture, to a tenth: finer is not seen.
pub(super) fn tenth(of: f64) -> String {
    format!("{of:.1}")
}

/// From each bar to the middle, and on to the bars of the other side.
fn ribbons(left: &[Bar], right: &[Bar]) -> Markup {
    let middle = WIDTH / 2.0;
    let path = |bars: &[Bar], edge: f64| {
        let mut at = TOP;
        let mut out = Vec::new();
        for bar in bars {
            let (top, bottom) = (bar.y, bar.y + bar.height);
            let (in_top, in_bottom) = (at, at + bar.height);
            let bend = (edge + middle) / 2.0;
            out.push(format!(
                "M{edge:.1} {top:.1}C{bend:.1} {top:.1} {bend:.1} {in_top:.1} {middle:.1} {in_top:.1}V{in_bottom:.1}C{bend:.1} {in_bottom:.1} {bend:.1} {bottom:.1} {edge:.1} {bottom:.1}Z"
            ));
            at = in_bottom;
        }
        out
    };
    let mut all = path(left, BAR);
    all.extend(path(right, WIDTH - BAR));
    html! { @for d in &all { path.ribbon d=(d) {} } }
}
