//! Is it worth sending? Every lot with its silver, its money and the advice; and one lot at length.

use super::container::capital;
use super::language::{d, f, t};
use super::layout::{Page, assumptions, warnings, with_names};
use super::record::query;
use super::studio::report_on;
use super::{Shown, Visit, plan, terms, today};
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

const TITLE: &str = "Is it worth sending?";
const LEAD: &str = "Containers that go to the refiner together make a lot: what is charged once is shared between them.";
const NO_PRICE: &str = "The price of silver is not in this record.";
const NO_TERMS: &str = "A refiner's terms are not in this record: what it takes, pays and charges.";
const NO_SILVER: &str = "No container in this book is known to bear silver.";
const TOO_MANY: &str = "There are more containers than one report works through. The JSON service values lots that name their containers.";
const AT_LENGTH: &str = "The account, the days and the picture";
const ALL: &str = "All lots";
const RECKONED: &str = "Reckoned at";
const NO_DAY: &str = "on a day that the record does not say";
const ACT: &str = "Act today: money is not asked.";

/// A price with its day, as people read it.
pub(super) fn price_in_words(price: &MetalPrice) -> Markup {
    let words = f(price_words(
        price.amount.decimal(),
        price.currency,
        price.per,
    ));
    html! { (words) ", " @match price.as_of_on { Some(day) => { "on " (d(day)) }, None => (NO_DAY) } }
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
            NO_SILVER
        } else {
            TOO_MANY
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
            p.lead { (LEAD) }
            p { (RECKONED) " " (price_in_words(price)) "." }
            @if several.is_empty() { p.note { (NO_SILVER) } }
            ul.shelf { @for lot in several { (card(id, lot)) } }
            (links(&studio))
            (warnings(&others))
            (assumptions(&answer.assumptions))
        },
        (name, several) => {
            let found = several.iter().position(|l| l.id.as_str() == name);
            let (place, lot) = found
                .and_then(|i| Some((i, several.get(i)?)))
                .ok_or_else(|| {
                    Problem::new(Code::NotFound, "There is no such lot in this studio now.")
                })?;
            let (said, assumed) = of_lot(&answer, place, lot);
            let (dangers, said): (Vec<Warning>, Vec<Warning>) = said
                .into_iter()
                .partition(|w| w.severity == Severity::Danger);
            html! {
                (warnings(&dangers))
                p.lead { "Lot " b { (lot.id) } ": " (containers(id, lot)) }
                (super::lot::at_length(id, lot, price))
                (warnings(&said))
                p { (RECKONED) " " (price_in_words(price)) "." }
                p { a.big href={ "/studios/" (id) "/worth" } { (ALL) } }
                (assumptions(&assumed))
            }
        }
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

fn plain(visit: &Visit, studio: &StoredStudio, body: Markup) -> Shown {
    Ok(Page {
        status: 200,
        title: TITLE,
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
            @if price { p { (NO_PRICE) } }
            @if refiner { p { (NO_TERMS) } }
        }
        (links(studio))
    };
    plain(visit, studio, body)
}

fn links(studio: &StoredStudio) -> Markup {
    html! {
        nav.doors aria-label="What it rests on" {
            a.big href={ "/studios/" (studio.record.id) "/terms" } { (terms::TITLE) }
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
                p.due { b { (ACT) } }
            } @else {
                p { (t(&outcome(lot))) }
                p { b { (capital(lot.decision.verdict.words())) "." } }
            }
            @if let Some(latest) = &lot.decision.latest { p.due { "Not later than " b { (d(latest.on)) } } }
            p.small { a href={ "/studios/" (studio) "/worth?lot=" (query(lot.id.as_str())) } { (AT_LENGTH) span.hidden { " of " (lot.id) } } }
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
                format!(" It would pay from {}.", f(silver_words(grams.get())))
            });
            if of.loses_money {
                let cost = f(SignedAmount::rounded(of.net.decimal().abs(), currency));
                return format!("Sent now it costs {currency} {cost} more than it brings.{even}");
            }
            format!("Sent now it nets {currency} {}.", f(of.net))
        }
        ValuationOutcome::NotAccepted { .. } => "The refiner does not take it as it is.".to_owned(),
        ValuationOutcome::ValueUnknown { .. } => "What it is worth is not known.".to_owned(),
    }
}

/// What a container is worth in its lot, and the advice, in a line; none where it is in no lot.
pub(super) fn line(report: &Report, container: &Identifier) -> Option<String> {
    let lot = report
        .lots
        .iter()
        .find(|lot| lot.batches.contains(container))?;
    if lot.decision.verdict == LotAction::ActToday {
        return Some(ACT.to_owned());
    }
    let advice = lot.decision.verdict.words();
    let shared = match &lot.valuation.outcome {
        ValuationOutcome::Accepted(of) if lot.batches.len() > 1 => of
            .shares
            .iter()
            .find(|share| share.batch == *container)
            .map(|share| {
                format!(
                    "Sent now with lot {} its share nets {} {}.",
                    lot.id,
                    lot.valuation.currency,
                    f(share.net)
                )
            }),
        _ => None,
    };
    let worth = shared.unwrap_or_else(|| outcome(lot));
    Some(format!("{worth} Advice: {advice}."))
}
