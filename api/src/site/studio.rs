//! A studio: what it has, what is dangerous or due, and the next step.

use super::language::{d, f, t};
use super::layout::{Page, assumptions, warnings};
use super::record::query;
use super::words::{self, studio as w};
use super::{Shown, Visit, today};
use super::{plan, worth};
use crate::book::Dealt;
use crate::problem::Problem;
use crate::server::State;
use crate::store::StoredStudio;
use actix_web::web;
use maud::{Markup, html};
use spent_silver_domain::answer::{Answer, Warning};
use spent_silver_domain::batch::{Batch, BatchStatus};
use spent_silver_domain::document::{amount_in_words, figure};
use spent_silver_domain::ledger::{Book, Holding, balance_container};
use spent_silver_domain::quantity::{Date, Identifier};
use spent_silver_domain::report::{
    BatchReport, KeepApart, Report, ReportRequest, ToDo, report_studio,
};
use spent_silver_domain::waste::storage::storage_danger;

/// Containers that one page works through. What is beyond is listed with its silver and its danger.
pub(super) const MOST_WORKED: usize = 40;
/// Containers on one page.
const MOST_SHOWN: usize = 60;

/// What a report has to say besides money, where money was not to be asked: that no price was given
/// says nothing there.
pub(super) fn besides_money(mut warnings: Vec<Warning>) -> Vec<Warning> {
    warnings.retain(|w| w.about != "/lots");
    warnings
}

/// The report on containers of a studio, under its prices and terms; without money where it is not to
/// be `valued`, because what a container is worth depends on what goes with it.
pub(super) async fn report_on(
    state: &State,
    studio: &StoredStudio,
    on: Date,
    batches: Vec<Batch>,
    curves: bool,
    valued: bool,
) -> Result<Answer<Report>, Problem> {
    let dealt = Dealt::of(state, studio).await;
    let dealings = dealt.dealings(valued && dealt.price.is_some());
    // Without terms nothing is valued.
    let price = dealings.terms.as_ref().and(dealt.price.clone());
    // What silver nitrate costs the studio is what a restored bath spares it. Only where the record's own
    // price is in the same currency has the whole of it been checked when it was kept.
    let kept = studio.record.dealings.as_ref();
    let kept_price = kept.and_then(|d| d.price.as_ref());
    let silver_use = dealings.silver_use.filter(|used| {
        price.is_some() && kept_price.is_some_and(|price| price.currency == used.currency)
    });
    let members = [
        ("price", price.is_some()),
        ("terms", dealings.terms.is_some()),
        ("haulage_terms", dealings.haulage_terms.is_some()),
        ("reagent_prices", !dealings.reagent_prices.is_empty()),
    ];
    let filled = members.into_iter().filter(|(_, filled)| *filled);
    let assumed: Vec<_> = filled
        .filter_map(|(member, _)| dealt.assumed(member))
        .collect();
    let request = ReportRequest {
        studio: studio.record.studio.clone(),
        on,
        batches,
        lots: Vec::new(),
        price,
        price_range: None,
        terms: dealings.terms,
        haulage_terms: dealings.haulage_terms,
        means: dealings.means,
        current_a: dealings.current_a,
        reagent_prices: dealings.reagent_prices,
        curves: Some(curves),
        silver_use,
        rule_set: studio.record.rule_set,
    };
    let done = web::block(move || report_studio(&request)).await;
    let mut answer = done.map_err(|_| Problem::internal())??;
    // The budget has a page of its own, which says what belongs to it.
    let of_budget = |about: &str| about.starts_with("/budget");
    answer.assumptions.retain(|a| !of_budget(&a.about));
    answer.warnings.retain(|w| !of_budget(&w.about));
    Ok(answer.assuming(&assumed))
}

pub(super) async fn show(visit: Visit) -> Shown {
    let studio = visit.studio().await?;
    let store = visit.store()?;
    let book = store.standing(studio.record.id.as_str(), None).await?;
    let held: Vec<(&Identifier, &Holding)> = book
        .holdings()
        .filter(|(_, h)| h.closed_on.is_none())
        .collect();
    let full: Vec<Batch> = held
        .iter()
        .filter(|(_, h)| !h.is_empty())
        .map(|(_, h)| h.batch())
        .collect();
    let asked = visit.asked()?;
    let (find, after) = (asked.get("find"), asked.get("after"));
    let mut shown = held.iter().filter(|(name, _)| {
        name.as_str().contains(find) && (after.is_empty() || name.as_str() > after)
    });
    let page: Vec<(&Identifier, &Holding)> = shown.by_ref().take(MOST_SHOWN).copied().collect();
    let more = shown.next().is_some();
    let on = today(&studio);
    let report = match full.len() {
        0 => None,
        n if n > MOST_WORKED => None,
        _ => Some(report_on(visit.state()?, &studio, on, full.clone(), false, true).await?),
    };
    let dangers = html! {
        @for batch in &full {
            @if let Some(danger) = storage_danger(batch) { (plan::danger(batch.id.as_str(), &danger)) }
        }
    };
    let body = html! {
        (dangers)
        (doors(&studio, held.is_empty()))
        @if held.is_empty() { p.lead { (w::EMPTY_BOOK) } }
        @if let Some(report) = &report { (told(report)) }
        @if full.len() > MOST_WORKED { p.note { (w::LONG) } }
        @if !held.is_empty() {
            section aria-labelledby="containers" {
                h2 #containers { (w::CONTAINERS) }
                @if held.len() > MOST_WORKED {
                    form method="get" action={ "/studios/" (studio.record.id) } {
                        label for="find" { (w::FIND) }
                        div.row {
                            input type="text" id="find" name="find" value=(find) autocomplete="off";
                            button type="submit" { (w::SHOW) }
                        }
                    }
                }
                @if page.is_empty() { p.note { (w::NONE_FOUND) } }
                (cards(&studio, &book, &page, report.as_ref())?)
                @if let (true, Some((last, _))) = (more, page.last()) {
                    p {
                        a.big href={ "/studios/" (studio.record.id) "?find=" (query(find)) "&after=" (last) } { (w::FURTHER) }
                    }
                }
            }
        }
        @if let Some(report) = &report {
            (apart(report))
            (warnings(&worth::named(report)))
            (assumptions(&report.assumptions))
        }
    };
    Ok(Page {
        status: 200,
        title: studio.record.studio.name.as_str(),
        studio: Some(&studio),
        notice: report.as_ref().map(|r| &r.notice),
        body,
    }
    .shown(&visit))
}

fn doors(studio: &StoredStudio, empty: bool) -> Markup {
    let at = format!("/studios/{}", studio.record.id);
    html! {
        nav.doors aria-label=(w::WHAT_YOU_CAN_DO) {
            @if !empty {
                a.big href={ (at) "/record" } { (w::RECORD) }
                a.big href={ (at) "/papers" } { (w::PRINT) }
                a.big href={ (at) "/pour" } { (w::POUR) }
            }
            a.big href={ (at) "/record/container" } { (w::ADD) }
            @if !empty {
                a.big href={ (at) "/due" } { (w::DUE) }
                a.big href={ (at) "/worth" } { (w::WORTH) }
                a.big href={ (at) "/account" } { (w::ACCOUNT) }
            }
            a.big href={ (at) "/cost" } { (w::COST) }
            a.big href={ (at) "/terms" } { (words::terms::TITLE) }
            a.big href={ (at) "/about" } { (w::ABOUT) }
        }
    }
}

fn told(report: &Answer<Report>) -> Markup {
    // What is dangerous stands above in the same words.
    let rest: Vec<ToDo> = report
        .result
        .to_do
        .iter()
        .filter(|one| !one.about.ends_with("/danger"))
        .cloned()
        .collect();
    html! {
        section aria-labelledby="todo" {
            h2 #todo { (w::TO_DO) }
            @if rest.is_empty() { p { (w::NOTHING) } }
            (plan::to_do(&rest))
        }
    }
}

fn apart(report: &Answer<Report>) -> Markup {
    // The same words about several pairs stand once.
    let mut groups: Vec<(&KeepApart, Vec<String>)> = Vec::new();
    for pair in &report.result.keep_apart {
        let [one, other] = &pair.batches;
        let names = w::both(one, other);
        let same = groups.iter_mut().find(|(first, _)| {
            first.happens == pair.happens && first.apart_everywhere == pair.apart_everywhere
        });
        match same {
            Some((_, all)) => all.push(names),
            None => groups.push((pair, vec![names])),
        }
    }
    html! {
        @if !groups.is_empty() {
            section aria-labelledby="apart" {
                h2 #apart { (w::APART) }
                @for (pair, names) in &groups {
                    div.mind {
                        p { (t(&pair.happens)) " " b { (if pair.apart_everywhere { w::EVERYWHERE } else { w::TRAY }) } }
                        ul { @for name in names { li { (name) } } }
                    }
                }
            }
        }
    }
}

pub(super) const fn status_in_words(of: Option<BatchStatus>) -> &'static str {
    match of {
        Some(BatchStatus::InUse) => w::AT_WORK,
        Some(BatchStatus::Spent) => w::DONE_WITH,
        Some(BatchStatus::Unused) => "unused",
        Some(BatchStatus::Treated) => "treated",
        None => w::AT_WORK_OR_DONE_WITH,
    }
}

fn cards(
    studio: &StoredStudio,
    book: &Book,
    held: &[(&Identifier, &Holding)],
    report: Option<&Answer<Report>>,
) -> Result<Markup, Problem> {
    // Where no report was made, the balances say what is known.
    let mut balances = Vec::new();
    let mut said = Vec::new();
    if report.is_none() {
        for (name, _) in held {
            let rules = crate::book::named_rules(studio);
            if let Some(answer) = balance_container(book, name, rules)? {
                said.extend(answer.warnings);
                balances.push(answer.result);
            }
        }
    }
    let reported = |name: &Identifier| -> Option<&BatchReport> {
        report?.result.batches.iter().find(|b| b.id == *name)
    };
    let silver = |name: &Identifier| {
        if report.is_some() {
            return plan::silver(reported(name).and_then(|r| r.estimate.as_ref()));
        }
        balances
            .iter()
            .find(|c| c.batch.id == *name)
            .and_then(|c| c.silver_g.zip(c.standard_uncertainty_g))
            .map_or_else(
                || plan::silver(None),
                |(g, u)| f(figure(g.get(), u.get(), "g")),
            )
    };
    Ok(html! {
        (warnings(&said))
        ul.shelf {
            @for (name, holding) in held {
                @let batch = holding.batch();
                @let of = reported(name);
                li.jar {
                    h3 { a href={ "/studios/" (studio.record.id) "/containers/" (name) } { (name) } }
                    p.kind {
                        (batch.kind.words())
                        @if let Some(amount) = amount_in_words(&batch).map(f) { ", " (amount) }
                    }
                    @if holding.is_empty() {
                        p.silver { (w::EMPTY) }
                    } @else {
                        p.silver { (silver(name)) }
                        p.small { (status_in_words(batch.status)) @if let Some(day) = batch.waste_since { (w::SINCE) (d(day)) } }
                        @if let Some(law) = of.map(|r| &r.classification) {
                            @if let Some(clock) = &law.clock {
                                p.due { (w::MUST_HAVE_LEFT_BY) b { (d(clock.due_on)) } }
                            } @else if let Some(clock) = law.possible_clocks.first() {
                                p.due { (w::MAY_HAVE_TO_LEAVE_BY) b { (d(clock.due_on)) } }
                            }
                        }
                        @if let Some(words) = report.and_then(|r| worth::line(&r.result, name)) {
                            p.worth { (t(&words)) }
                        }
                        @if of.is_some_and(|r| r.danger.is_some()) { p.due { b { (w::DANGER_SEE_ABOVE) } } }
                    }
                }
            }
        }
    })
}
