//! The silver account of a year: in figures and as a picture.

use super::control::{field_alone, form_to_ask};
use super::flow;
use super::form::{Field, Kind};
use super::language::{d, f, t};
use super::layout::{Page, assumptions, warnings};
use super::words::account as w;
use super::{Shown, Visit, today};
use crate::book;
use crate::problem::{Code, Problem};
use crate::render::account::{line_in_words, silver};
use crate::store::StoredStudio;
use maud::{Markup, html};
use spent_silver_domain::document::figure;
use spent_silver_domain::ledger::{AccountReconciliation, SilverAccount};
use spent_silver_domain::quantity::Date;

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
        Field::new("from", "/from", w::FROM, Kind::Day).first(first.to_string()),
        Field::new("until", "/until", w::UNTIL, Kind::Day).first(on.to_string()),
    ];
    let action = format!("/studios/{}/account", studio.record.id);
    let ask = form_to_ask(
        &action,
        w::SEND,
        html! { @for field in &fields { (field_alone(field, &asked)) } },
    );
    let days = day("from", first).and_then(|from| Ok((from, day("until", on)?)));
    let wrong = match &days {
        Err((_, words)) => Some(words.clone()),
        Ok((from, until)) if until < from => Some(w::ends_before(until, from)),
        Ok(_) => None,
    };
    if let Some(words) = wrong {
        let body = html! { section.problem role="alert" { p { (t(&words)) } } (ask) };
        return Ok(Page {
            status: Code::InvalidInput.status(),
            title: w::TITLE,
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
        p.lead { (d(from)) (w::TO) (d(until)) }
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
        title: w::TITLE,
        studio: Some(&studio),
        notice: Some(&answer.notice),
        body,
    }
    .shown(&visit))
}

fn lines(account: &SilverAccount) -> Markup {
    html! {
        table.rows {
            caption { (w::LINES) }
            thead { tr { th scope="col" { (w::SILVER) } th.figure scope="col" { (w::AMOUNT) } th scope="col" { (w::BESIDES) } } }
            tbody {
                @for line in &account.lines {
                    @let (sign, words) = line_in_words(line.what);
                    tr {
                        th scope="row" { (sign) " " (words) }
                        td.figure { (f(figure(line.silver_g.get(), line.standard_uncertainty_g.get(), "g"))) }
                        td { @if line.unknown_count > 0 { (line.unknown_count) (w::UNKNOWN) } }
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
                h2 { (w::SHIPMENTS) }
                table.rows {
                    thead { tr { th scope="col" { (w::SHIPMENT) } th.figure scope="col" { (w::SENT) } th.figure scope="col" { (w::SETTLED) } } }
                    tbody {
                        @for one in &account.shipments {
                            tr {
                                th scope="row" { a href={ "/studios/" (studio.record.id) "/statements?shipment=" (one.shipment) } { (one.shipment) span.hidden { (w::DOES_REFINERS_STATEMENT_AGREE) } } }
                                td.figure { (f(silver(one.sent_g, one.sent_standard_uncertainty_g))) }
                                td.figure {
                                    @match one.settled_g {
                                        Some(g) => { (f(spent_silver_domain::quantity::write_significant(g.get(), 4))) " g" },
                                        None => (w::NOT_YET),
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
            h2 { (w::CHECKED) }
            @match of {
                None => p { (w::UNCHECKED) },
                Some(checked) => {
                    p { b { (if checked.agree { w::YES_WITHIN_CHANCE } else { w::NO_MORE_THAN_CHANCE_ALLOWS }) } " " (checked.check_count) (w::INDEPENDENT_CHECKS) }
                    @if !checked.suspects.is_empty() {
                        p { (w::LOOK_AT_THESE_FIRST) }
                        ul {
                            @for one in &checked.suspects {
                                li {
                                    @match (&one.entry, &one.container) {
                                        (Some(entry), _) => { (w::ENTRY) (entry) },
                                        (None, Some(container)) => { (w::START_OF) (container) },
                                        (None, None) => (w::START),
                                    }
                                    (w::RECORDED) (f(spent_silver_domain::quantity::write_significant(one.recorded_g.get(), 3))) " g"
                                    @if let Some(g) = one.expected_g {
                                        (w::ALL_ELSE_SAYS) (f(spent_silver_domain::quantity::write_significant(g.get(), 3))) " g"
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
