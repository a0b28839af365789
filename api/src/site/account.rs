//! The silver account of a year: in figures and as a picture.

use super::control::{field_alone, form_to_ask};
use super::flow;
use super::form::{Field, Kind};
use super::language::{d, f, t};
use super::layout::{Page, assumptions, warnings};
use super::{Shown, Visit, today};
use crate::book;
use crate::problem::{Code, Problem};
use crate::render::account::{line_in_words, silver};
use crate::store::StoredStudio;
use maud::{Markup, html};
use spent_silver_domain::document::figure;
use spent_silver_domain::ledger::{AccountReconciliation, SilverAccount};
use spent_silver_domain::quantity::Date;

const TITLE: &str = "The year's silver";
const FROM: &str = "From the first day";
const UNTIL: &str = "To the last day";
const SEND: &str = "Show this time";
const LINES: &str = "What there was, what came, what went";
const SHIPMENTS: &str = "Shipments";
const CHECKED: &str = "Do readings and records agree?";
const UNCHECKED: &str = "Nothing checks these records: a titration, a laboratory's figure or a refiner's statement would.";

pub(super) async fn show(visit: Visit) -> Shown {
    let studio = visit.studio().await?;
    let asked = visit.asked()?;
    let on = today(&studio);
    let first = Date::parse(&format!("{:04}-01-01", on.civil().year())).unwrap_or(on);
    let day = |name: &str, usual: Date| match asked.get(name) {
        "" => Ok(usual),
        text => Date::parse(text).map_err(|e| (name.to_owned(), e)),
    };
    let fields = [
        Field::new("from", "/from", FROM, Kind::Day).first(first.to_string()),
        Field::new("until", "/until", UNTIL, Kind::Day).first(on.to_string()),
    ];
    let action = format!("/studios/{}/account", studio.record.id);
    let ask = form_to_ask(
        &action,
        SEND,
        html! { @for field in &fields { (field_alone(field, &asked)) } },
    );
    let days = day("from", first).and_then(|from| Ok((from, day("until", on)?)));
    let wrong = match &days {
        Err((_, words)) => Some(words.clone()),
        Ok((from, until)) if until < from => {
            Some(format!("{until} is before {from}: expected a later day"))
        }
        Ok(_) => None,
    };
    if let Some(words) = wrong {
        let body = html! { section.problem role="alert" { p { (t(&words)) } } (ask) };
        return Ok(Page {
            status: Code::InvalidInput.status(),
            title: TITLE,
            studio: Some(&studio),
            notice: None,
            body,
        }
        .shown(&visit));
    }
    let (from, until) = days.map_err(|_| Problem::internal())?;
    let answer = book::account_of(visit.store()?, &studio, from, until).await?;
    let account = &answer.result;
    let body = html! {
        p.lead { (d(from)) " to " (d(until)) }
        (warnings(&answer.warnings))
        (flow::picture(account))
        (lines(account))
        (shipments(account, &studio))
        (checked(account.reconciliation.as_ref()))
        (ask)
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

fn lines(account: &SilverAccount) -> Markup {
    html! {
        table.rows {
            caption { (LINES) }
            thead { tr { th scope="col" { "Silver" } th.figure scope="col" { "Amount" } th scope="col" { "Besides" } } }
            tbody {
                @for line in &account.lines {
                    @let (sign, words) = line_in_words(line.what);
                    tr {
                        th scope="row" { (sign) " " (words) }
                        td.figure { (f(figure(line.silver_g.get(), line.standard_uncertainty_g.get(), "g"))) }
                        td { @if line.unknown_count > 0 { (line.unknown_count) " unknown" } }
                    }
                }
            }
        }
    }
}

fn shipments(account: &SilverAccount, studio: &StoredStudio) -> Markup {
    html! {
        @if !account.shipments.is_empty() {
            section {
                h2 { (SHIPMENTS) }
                table.rows {
                    thead { tr { th scope="col" { "Shipment" } th.figure scope="col" { "Sent" } th.figure scope="col" { "Settled" } } }
                    tbody {
                        @for one in &account.shipments {
                            tr {
                                th scope="row" { a href={ "/studios/" (studio.record.id) "/statements?shipment=" (one.shipment) } { (one.shipment) span.hidden { ": does the refiner's statement agree?" } } }
                                td.figure { (f(silver(one.sent_g, one.sent_standard_uncertainty_g))) }
                                td.figure {
                                    @match one.settled_g {
                                        Some(g) => { (f(spent_silver_domain::quantity::write_significant(g.get(), 4))) " g" },
                                        None => "not yet",
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

fn checked(of: Option<&AccountReconciliation>) -> Markup {
    html! {
        section {
            h2 { (CHECKED) }
            @match of {
                None => p { (UNCHECKED) },
                Some(checked) => {
                    p { b { (if checked.agree { "Yes, within chance." } else { "No: more than chance allows." }) } " " (checked.check_count) " independent checks." }
                    @if !checked.suspects.is_empty() {
                        p { "Look at these first:" }
                        ul {
                            @for one in &checked.suspects {
                                li {
                                    @match (&one.entry, &one.container) {
                                        (Some(entry), _) => { "entry " (entry) },
                                        (None, Some(container)) => { "the start of " (container) },
                                        (None, None) => "the start",
                                    }
                                    ": recorded " (f(spent_silver_domain::quantity::write_significant(one.recorded_g.get(), 3))) " g"
                                    @if let Some(g) = one.expected_g {
                                        ", all else says " (f(spent_silver_domain::quantity::write_significant(g.get(), 3))) " g"
                                    }
                                }
                            }
                        }
                    }
                },
            }
        }
    }
}
