//! One container: its silver, what it is in law, where it may go, what to do with it, its entries.

use super::language::{d, f, t};
use super::layout::{Page, assumptions, warnings};
use super::record::{entry_in_words, query};
use super::studio::{MOST_WORKED, besides_money, report_on, status_in_words};
use super::words::container as w;
use super::{Shown, Visit, today};
use super::{plan, worth};
use crate::book::{Dealt, no_container};
use crate::problem::Problem;
use crate::server::State;
use crate::store::StoredStudio;
use maud::{Markup, html};
use spent_silver_domain::batch::Batch;
use spent_silver_domain::document::{amount_in_words, content_in_words};
use spent_silver_domain::ledger::{Event, Subject};
use spent_silver_domain::quantity::Identifier;
use spent_silver_domain::report::ToDo;
use spent_silver_domain::waste::pour::{Act, check_act};

/// Entries shown; the list over the JSON service has all.
const MOST_ENTRIES: i64 = 100;

/// What is written down of a liquid that nobody is to work on.
const HANDS_OFF: &[&str] = &["level", "out-of-work", "collected", "spilled"];

/// What is written down most, in the order of a day.
const OFTEN: &[(&str, &str)] = &[
    ("strip", w::TEST_STRIP),
    ("titration", w::TITRATION),
    ("level", w::VOLUME_OR_PH),
    ("plates", w::PLATES_WERE_SENSITIZED),
    ("fixed", w::FILM_OR_PAPER_WAS_FIXED),
    ("water", w::TOPPED_UP),
    ("poured", w::POURED_INTO_ANOTHER),
    ("out-of-work", w::TAKEN_OUT_OF_WORK),
    ("collected", w::COLLECTED),
    ("spilled", w::SPILLED),
];

pub(super) async fn show(visit: Visit) -> Shown {
    let studio = visit.studio().await?;
    let store = visit.store()?;
    let given = visit.segment("batch");
    let missing = || no_container(given);
    let name = Identifier::new(given).map_err(|_| missing())?;
    let subject = Subject::Container(name.clone());
    let id = studio.record.id.as_str();
    let book = store.standing(id, Some(&subject)).await?;
    let holding = book.holding(&name).ok_or_else(missing)?;
    let batch = holding.batch();
    let entries = store.entries(id, Some(&subject), 0, MOST_ENTRIES).await?;
    let body = match holding.closed_on {
        Some(day) => html! { p.note { (w::CLOSED) " " (d(day)) "." } },
        None if holding.is_empty() => html! { p.note { (w::EMPTY) } (doors(&studio, &batch)) },
        None => {
            let all = store.standing(id, None).await?;
            let full: Vec<Batch> = all
                .holdings()
                .filter(|(_, h)| h.closed_on.is_none() && !h.is_empty())
                .map(|(_, h)| h.batch())
                .collect();
            filled(visit.state()?, &studio, &batch, full, today(&studio)).await?
        }
    };
    let body = html! {
        p.lead {
            (capital(batch.kind.words()))
            @if let Some(amount) = amount_in_words(&batch).map(f) { ", " (amount) }
            ". " (capital(status_in_words(batch.status)))
            @if let Some(day) = batch.waste_since { (w::SINCE) (d(day)) }
            "."
        }
        (body)
        section aria-labelledby="entries" {
            h2 #entries { (w::ENTRIES) }
            ul {
                @for one in &entries {
                    li {
                        (t(&entry_in_words(&one.entry))) (w::BY) (t(one.entry.recorded_by.as_str()))
                        @if let Some(note) = &one.entry.note { ". " (t(note.as_str())) }
                        @if let Event::Reversed(of) = &one.entry.event { ". " (t(of.reason.as_str())) }
                        " "
                        @if !matches!(one.entry.event, Event::Reversed(_)) && visit.may_write(&studio) {
                            a.small href={ "/studios/" (id) "/record/wrong?entry=" (one.entry.id) } { (w::THIS_WAS_WRONG) span.hidden { ": " (one.entry.id) } }
                        }
                    }
                }
            }
        }
    };
    Ok(Page {
        status: 200,
        title: name.as_str(),
        studio: Some(&studio),
        notice: None,
        body,
    }
    .shown(&visit))
}

/// A sentence begins with a capital.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// What can be done with it. Where nobody is to work on it, no work is offered.
fn doors(studio: &StoredStudio, batch: &Batch) -> Markup {
    let name = &batch.id;
    let shunned =
        check_act(batch, Act::Titrate).is_err() && check_act(batch, Act::Recover).is_err();
    let at = format!("/studios/{}", studio.record.id);
    html! {
        section aria-labelledby="do" {
            h2 #do { (w::DO) }
            nav.doors aria-label=(w::DO) {
                a.big href={ (at) "/papers?container=" (name) } { (w::PRINT_ITS_LABEL_OR_RECORD) }
                a.big href={ (at) "/pour?from=" (name) } { (w::MAY_THIS_GO_INTO_THAT) }
                a.big href={ (at) "/record?container=" (name) } { (w::RECORD_SOMETHING_ELSE) }
            }
            ul.often {
                @for (sheet, words) in OFTEN.iter().filter(|(sheet, _)| !shunned || HANDS_OFF.contains(sheet)) {
                    li { a href={ (at) "/record/" (sheet) "?container=" (name) } { (words) } }
                }
            }
        }
    }
}

async fn filled(
    state: &State,
    studio: &StoredStudio,
    batch: &Batch,
    full: Vec<Batch>,
    on: spent_silver_domain::quantity::Date,
) -> Result<Markup, Problem> {
    let answer = report_on(state, studio, on, vec![batch.clone()], true, false).await?;
    // What it is worth depends on what goes to the refiner with it, so money is asked of the whole.
    let dealt = studio.record.dealings.as_ref();
    let has_terms = dealt.is_some_and(|d| d.terms.is_some());
    let priced = Dealt::of(state, studio).await.price.is_some();
    let whole = match has_terms && full.len() <= MOST_WORKED {
        true => Some(report_on(state, studio, on, full, false, true).await?),
        false => None,
    };
    let lots = whole.iter().flat_map(|w| w.result.lots.iter().enumerate());
    let lot = lots
        .into_iter()
        .find(|(_, lot)| lot.batches.contains(&batch.id));
    let worth = whole
        .as_ref()
        .and_then(|w| worth::line(&w.result, &batch.id));
    let (lot_said, lot_assumed) = match (&whole, lot) {
        (Some(whole), Some((place, lot))) => worth::of_lot(whole, place, lot),
        _ => (Vec::new(), Vec::new()),
    };
    let to_do: Vec<ToDo> = match &whole {
        Some(whole) => whole
            .result
            .to_do
            .iter()
            .filter(|one| one.batches.contains(&batch.id))
            .cloned()
            .collect(),
        None => answer.result.to_do.clone(),
    };
    let new = |text: &str| answer.warnings.iter().all(|w| !text.ends_with(&w.text));
    // Where the whole is worth nothing for want of a price or of terms, it is said here too.
    let mut said = match has_terms && priced {
        true => besides_money(answer.warnings.clone()),
        false => answer.warnings.clone(),
    };
    said.extend(lot_said.into_iter().filter(|w| new(&w.text)));
    let mut assumed = answer.assumptions.clone();
    let known = |text: &str| answer.assumptions.iter().any(|a| a.text == text);
    assumed.extend(lot_assumed.into_iter().filter(|a| !known(&a.text)));
    let Some(report) = answer.result.batches.first() else {
        return Err(Problem::internal());
    };
    Ok(html! {
        @if let Some(danger) = &report.danger { (plan::danger(batch.id.as_str(), danger)) }
        (warnings(&said))
        section aria-labelledby="silver" {
            h2 #silver { (w::SILVER) }
            (plan::silver_at_length(report.estimate.as_ref()))
        }
        @if let (Some(words), Some((_, lot))) = (&worth, lot) {
            section aria-labelledby="worth" {
                h2 #worth { (w::WORTH) }
                p { (t(words)) }
                p { a href={ "/studios/" (studio.record.id) "/worth?lot=" (query(lot.id.as_str())) } { (w::LOT) (lot.id) (w::ACCOUNT_DAYS_AND_PICTURE) } }
            }
        } @else {
            p { a href={ "/studios/" (studio.record.id) "/worth" } { (w::WORTH) } }
        }
        @if !to_do.is_empty() {
            section aria-labelledby="todo" { h2 #todo { (w::TO_DO) } (plan::to_do(&to_do)) }
        }
        (doors(studio, batch))
        section aria-labelledby="law" {
            h2 #law { (w::LAW) }
            p { (w::IN_IT) (t(&f(content_in_words(batch)))) }
            (plan::law(&report.classification))
        }
        @if let Some(plans) = &report.recovery {
            section aria-labelledby="recovery" { h2 #recovery { (w::RECOVERY) } (plan::recovery(plans)) }
        }
        @if let Some(neutral) = &report.neutralization {
            section aria-labelledby="neutral" { h2 #neutral { (w::NEUTRAL) } (plan::neutralization(neutral)) }
        }
        (assumptions(&assumed))
    })
}
