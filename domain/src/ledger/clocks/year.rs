//! What falls due at the end of the calendar year.

use super::result::{Clock, ClockKind, ClocksRequest};
use crate::answer::Notes;
use crate::batch::BatchStatus;
use crate::bibliography::SourceStatus;
use crate::fault::Faults;
use crate::ledger::account::figures;
use crate::ledger::fold::{Book, Movement, fold};
use crate::ledger::holding::Holding;
use crate::quantity::{Date, write_significant};
use crate::waste::rule_set::{RuleSet, When};

/// The share of what was on hand on a 1 January that must have moved by the end of that year, where some
/// of it stands here still.
fn stock_to_move(
    request: &ClocksRequest,
    book: &Book,
    rules: &'static RuleSet,
    begins: Date,
) -> Result<Option<Clock>, Faults> {
    let waste = |h: &Holding| {
        !h.is_empty()
            && h.closed_on.is_none()
            && h.content().status.is_some_and(BatchStatus::is_waste)
    };
    let Some(rule) = &rules.speculative else {
        return Ok(None);
    };
    let may_be_of_it =
        |h: &Holding| waste(h) && h.content().waste_since.is_none_or(|day| day < begins);
    if !book.holdings().any(|(_, h)| may_be_of_it(h)) {
        return Ok(None);
    }
    let start = fold(
        &request.entries,
        Some(begins.plus_days(-1)),
        rules,
        &mut Notes::default(),
    )?;
    let still_there = start
        .holdings()
        .any(|(name, h)| waste(h) && book.holding(name).is_some_and(waste));
    if !still_there {
        return Ok(None);
    }
    let due_on = rule.latest_day(begins);
    let days_left_count = due_on.days_since(request.on);
    let year = begins.civil().year();
    let in_year = |m: &&Movement| m.on >= begins && m.on <= due_on;
    let period: Vec<&Movement> = book.movements.iter().filter(in_year).collect();
    let moved = figures(&start, book, &period)?;
    let enough = rule.share_percent.as_f64();
    if days_left_count < 0 && moved.turnover_percent.is_some_and(|t| t.get() >= enough) {
        return Ok(None);
    }
    let digits = |grams: f64| write_significant(grams, 4);
    let unknown = moved.unknown_at_start_count > 0 || moved.unknown_sent_count > 0;
    Ok(Some(Clock {
        id: format!("book/stock_to_move/{year}"),
        what: ClockKind::StockToMove,
        container: None,
        shipment: None,
        starts_on: Some(begins),
        due_on,
        days_left_count,
        text: format!(
            "Of the material for recovery on hand on 1 January {year} at least {} % must have been recovered or sent by 31 December, by weight or volume and for each kind of material ({}, {}). By its silver, as far as the book knows it: {} g on that day, {} g sent in that year.{}{}",
            rule.share_percent.decimal(),
            rule.rule.clause,
            rule.rule.status.words(),
            digits(moved.at_start_g.get()),
            digits(moved.sent_g.get()),
            if unknown {
                " There is more, whose silver nobody knows: reckon by weight or volume."
            } else {
                ""
            },
            if days_left_count < 0 {
                " That day has passed, and some of it stands here still: ask your waste authority now."
            } else {
                ""
            }
        ),
        clause: Some(rule.rule.clause.clone()),
        source: rule.rule.source.clone(),
        status: rule.rule.status,
    }))
}

/// What falls due at the end of the calendar year.
pub(super) fn of_the_year(
    request: &ClocksRequest,
    book: &Book,
    rules: &'static RuleSet,
) -> Result<Vec<Clock>, Faults> {
    let on = request.on;
    let due = on.last_of_year();
    let year = on.civil().year();
    let first = on.first_of_year();
    let mut clocks = Vec::new();
    if book.holdings().next().is_none() {
        return Ok(clocks);
    }
    // Last year's share that stayed is overdue until it has gone.
    let last_year = first.plus_days(-1).first_of_year();
    for begins in [last_year, first] {
        clocks.extend(stock_to_move(request, book, rules, begins)?);
    }
    let paper = rules
        .paper
        .iter()
        .find(|p| p.when == When::SilverRecovery && rules.speculative.is_some());
    let what = format!(
        "Draw up the silver account of {year}: read or weigh what each container holds on the last day."
    );
    let account = Clock {
        id: format!("book/annual_account/{year}"),
        what: ClockKind::AnnualAccount,
        container: None,
        shipment: None,
        starts_on: Some(first),
        due_on: due,
        days_left_count: due.days_since(on),
        text: format!("{what} No rule of the set asks for it; it is common practice."),
        clause: None,
        source: "common_practice".to_owned(),
        status: SourceStatus::CommonPractice,
    };
    clocks.push(match paper {
        Some(paper) => Clock {
            text: format!(
                "{what} {} See {}, {}.",
                paper.text,
                paper.rule.clause,
                paper.rule.status.words()
            ),
            clause: Some(paper.rule.clause.clone()),
            source: paper.rule.source.clone(),
            status: paper.rule.status,
            ..account
        },
        None => account,
    });
    Ok(clocks)
}
