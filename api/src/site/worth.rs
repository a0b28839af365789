//! Is it worth sending? Every lot with its silver, its money and the advice; and one lot at length.

use super::container::capital;
use super::language::{d, f, t};
use super::layout::{Page, assumptions, warnings, with_names};
use super::record::query;
use super::studio::report_on;
use super::words::{self, worth as w};
use super::{Shown, Visit, plan, today};
use crate::book::Dealt;
use crate::problem::{Code, Problem};
use crate::store::StoredStudio;
use maud::{Markup, html};
use spent_silver_domain::answer::{Answer, Assumption, Severity, Warning};
use spent_silver_domain::batch::Batch;
use spent_silver_domain::decision::LotAction;
use spent_silver_domain::document::figure;
use spent_silver_domain::quantity::{Identifier, MetalPrice, SignedAmount};
use spent_silver_domain::report::{LotReport, MOST_BATCHES, Report};
use spent_silver_domain::valuation::{LotSilver, ValuationOutcome, price_words, silver_words};

/// A price with its day, as people read it.
pub(super) fn price_in_words(price: &MetalPrice) -> Markup {
    let words = f(price_words(
        price.amount.decimal(),
        price.currency,
        price.per,
    ));
    html! { (words) ", " @match price.as_of_on { Some(day) => { (w::ON) (d(day)) }, None => (w::NO_DAY) } }
}

pub(super) async fn show(visit: Visit) -> Shown {
    let studio = visit.studio().await?;
    let id = studio.record.id.as_str();
    let store = visit.store()?;
    let book = store.standing(id, None).await?;
    let batches: Vec<Batch> = book
        .holdings()
        .filter(|(_, h)| h.closed_on.is_none() && !h.is_empty())
        .map(|(_, h)| h.batch())
        .collect();
    let price = Dealt::of(visit.state()?, &studio).await.price;
    let known = studio.record.dealings.as_ref();
    let has_terms = known.is_some_and(|d| d.terms.is_some());
    let (Some(price), true) = (&price, has_terms) else {
        return missing(&visit, &studio, price.is_none(), !has_terms);
    };
    if batches.is_empty() || batches.len() > MOST_BATCHES {
        let words = if batches.is_empty() {
            w::NO_SILVER
        } else {
            w::TOO_MANY
        };
        return plain(
            &visit,
            &studio,
            html! { p.lead { (words) } (links(&studio)) },
        );
    }
    let answer = report_on(
        visit.state()?,
        &studio,
        today(&studio),
        batches,
        false,
        true,
    )
    .await?;
    let asked = visit.asked()?;
    let lots = &answer.result.lots;
    // What is dangerous comes before what it is worth.
    let (dangers, others): (Vec<Warning>, Vec<Warning>) = named(&answer)
        .into_iter()
        .partition(|w| w.severity == Severity::Danger);
    let body = match (asked.get("lot"), lots.as_slice()) {
        ("", several) => html! {
            (warnings(&dangers))
            p.lead { (w::LEAD) }
            p { (w::RECKONED) " " (price_in_words(price)) "." }
            @if several.is_empty() { p.note { (w::NO_SILVER) } }
            ul.shelf { @for lot in several { (card(id, lot)) } }
            (links(&studio))
            (warnings(&others))
            (assumptions(&answer.assumptions))
        },
        (name, several) => {
            let found = several.iter().position(|l| l.id.as_str() == name);
            let (place, lot) = found
                .and_then(|i| Some((i, several.get(i)?)))
                .ok_or_else(|| Problem::new(Code::NotFound, w::THERE_IS_NO_SUCH_LOT))?;
            let (said, assumed) = of_lot(&answer, place, lot);
            let (dangers, said): (Vec<Warning>, Vec<Warning>) = said
                .into_iter()
                .partition(|w| w.severity == Severity::Danger);
            html! {
                (warnings(&dangers))
                p.lead { (w::LOT) b { (lot.id) } ": " (containers(id, lot)) }
                (super::lot::at_length(id, lot, price))
                (warnings(&said))
                p { (w::RECKONED) " " (price_in_words(price)) "." }
                p { a.big href={ "/studios/" (id) "/worth" } { (w::ALL) } }
                (assumptions(&assumed))
            }
        }
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

fn plain(visit: &Visit, studio: &StoredStudio, body: Markup) -> Shown {
    Ok(Page {
        status: 200,
        title: w::TITLE,
        studio: Some(studio),
        notice: None,
        body,
    }
    .shown(visit))
}

/// What must be known before anything can be valued.
fn missing(visit: &Visit, studio: &StoredStudio, price: bool, refiner: bool) -> Shown {
    let body = html! {
        section.note {
            @if price { p { (w::NO_PRICE) } }
            @if refiner { p { (w::NO_TERMS) } }
        }
        (links(studio))
    };
    plain(visit, studio, body)
}

fn links(studio: &StoredStudio) -> Markup {
    html! {
        nav.doors aria-label=(w::WHAT_IT_RESTS_ON) {
            a.big href={ "/studios/" (studio.record.id) "/terms" } { (words::terms::TITLE) }
        }
    }
}

/// The warnings of a report, each with the container or lot that it is about.
pub(super) fn named(report: &Answer<Report>) -> Vec<Warning> {
    let batches: Vec<&Identifier> = report.result.batches.iter().map(|b| &b.id).collect();
    let lots: Vec<&Identifier> = report.result.lots.iter().map(|l| &l.id).collect();
    let all = with_names(&report.warnings, "/batches/", &batches);
    with_names(&all, "/lots/", &lots)
}

/// What a report says of one lot: of its containers, of itself, and of nothing in particular.
pub(super) fn of_lot(
    report: &Answer<Report>,
    place: usize,
    lot: &LotReport,
) -> (Vec<Warning>, Vec<Assumption>) {
    let other = |about: &str, list: &str, own: &dyn Fn(usize) -> bool| {
        let index = about.strip_prefix(list);
        let index = index.and_then(|rest| rest.split('/').next()?.parse().ok());
        index.is_some_and(|i: usize| !own(i))
    };
    let batches = &report.result.batches;
    let inside = |i: usize| batches.get(i).is_some_and(|b| lot.batches.contains(&b.id));
    let concerns = |about: &str| {
        !other(about, "/batches/", &inside) && !other(about, "/lots/", &|i| i == place)
    };
    let said = Answer {
        warnings: report
            .warnings
            .iter()
            .filter(|w| concerns(&w.about))
            .cloned()
            .collect(),
        ..report.clone()
    };
    let assumed = report.assumptions.iter().filter(|a| concerns(&a.about));
    (named(&said), assumed.cloned().collect())
}

pub(super) fn containers(studio: &str, lot: &LotReport) -> Markup {
    html! {
        @for (i, name) in lot.batches.iter().enumerate() {
            @if i > 0 { ", " }
            a href={ "/studios/" (studio) "/containers/" (name) } { (name) }
        }
    }
}

/// The silver of a lot in a few words.
pub(super) fn silver(of: Option<&LotSilver>) -> String {
    of.map_or_else(
        || plan::silver(None),
        |s| {
            f(figure(
                s.silver_g.get(),
                s.standard_uncertainty_g.get(),
                "g",
            ))
        },
    )
}

fn card(studio: &str, lot: &LotReport) -> Markup {
    let danger = lot.decision.verdict == LotAction::ActToday;
    html! {
        li.jar {
            h2 { a href={ "/studios/" (studio) "/worth?lot=" (query(lot.id.as_str())) } { (lot.id) } }
            p.kind { (lot.valuation.form.words()) ": " (containers(studio, lot)) }
            p.silver { (silver(lot.valuation.silver.as_ref())) }
            @if danger {
                p.due { b { (w::ACT) } }
            } @else {
                p { (t(&outcome(lot))) }
                p { b { (capital(lot.decision.verdict.words())) "." } }
            }
            @if let Some(latest) = &lot.decision.latest { p.due { (w::NOT_LATER_THAN) b { (d(latest.on)) } } }
            p.small { a href={ "/studios/" (studio) "/worth?lot=" (query(lot.id.as_str())) } { (w::AT_LENGTH) span.hidden { (w::OF) (lot.id) } } }
        }
    }
}

/// What sending a lot comes to, in a line.
pub(super) fn outcome(lot: &LotReport) -> String {
    let currency = lot.valuation.currency;
    match &lot.valuation.outcome {
        ValuationOutcome::Accepted(of) => {
            let silver = lot.valuation.silver.as_ref();
            let even = of.break_even.silver_g.filter(|even| {
                of.loses_money && silver.is_some_and(|s| s.silver_g.get() < even.get())
            });
            let even = even.map_or_else(String::new, |grams| {
                w::pays_from(f(silver_words(grams.get())))
            });
            if of.loses_money {
                let cost = f(SignedAmount::rounded(of.net.decimal().abs(), currency));
                return w::costs(currency, cost) + &even;
            }
            w::nets(currency, f(of.net))
        }
        ValuationOutcome::NotAccepted { .. } => w::REFINER_DOES_NOT_TAKE_IT_AS_IT_IS.to_owned(),
        ValuationOutcome::ValueUnknown { .. } => w::WHAT_IT_IS_WORTH_IS_NOT_KNOWN.to_owned(),
    }
}

/// What a container is worth in its lot, and the advice, in a line; none where it is in no lot.
pub(super) fn line(report: &Report, container: &Identifier) -> Option<String> {
    let lot = report
        .lots
        .iter()
        .find(|lot| lot.batches.contains(container))?;
    if lot.decision.verdict == LotAction::ActToday {
        return Some(w::ACT.to_owned());
    }
    let advice = lot.decision.verdict.words();
    let shared = match &lot.valuation.outcome {
        ValuationOutcome::Accepted(of) if lot.batches.len() > 1 => of
            .shares
            .iter()
            .find(|share| share.batch == *container)
            .map(|share| w::share_nets(&lot.id, lot.valuation.currency, f(share.net))),
        _ => None,
    };
    let worth = shared.unwrap_or_else(|| outcome(lot));
    Some(w::with_advice(worth, advice))
}
