//! What falls due at the end of the calendar year.

use super::result::{Clock, ClockKind, ClocksRequest};
use crate::answer::Notes;
use crate::batch::BatchStatus;
use crate::bibliography::SourceStatus;
use crate::fault::Faults;
use crate::ledger::account::figures;
use crate::ledger::fold::{Book, Movement, fold};
use crate::ledger::holding::Holding;
use crate::quantity::write_significant;
use crate::waste::rule_set::{RuleSet, When};

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
    let clock = |what: ClockKind, kind: &str| Clock {
        id: format!("book/{kind}/{year}"),
        what,
        container: None,
        shipment: None,
        starts_on: Some(first),
        due_on: due,
        days_left_count: due.days_since(on),
        text: String::new(),
        clause: None,
        source: "common_practice".to_owned(),
        status: SourceStatus::CommonPractice,
    };
    let start = fold(
        &request.entries,
        Some(first.plus_days(-1)),
        rules,
        &mut Notes::default(),
    )?;
    let waste = |h: &Holding| {
        !h.is_empty()
            && h.closed_on.is_none()
            && matches!(
                h.content().status,
                Some(BatchStatus::Spent | BatchStatus::Treated)
            )
    };
    let still_there = start
        .holdings()
        .any(|(name, h)| waste(h) && book.holding(name).is_some_and(waste));
    if let Some(rule) = rules.speculative.as_ref().filter(|_| still_there) {
        let period: Vec<&Movement> = book.movements.iter().filter(|m| m.on >= first).collect();
        let moved = figures(&start, book, &period)?;
        let digits = |grams: f64| write_significant(grams, 4);
        clocks.push(Clock {
            due_on: rule.latest_day(on),
            text: format!(
                "Of the material for recovery on hand on 1 January at least {} % must have been recovered or sent by 31 December, by weight or volume and for each kind of material ({}, {}). By its silver, as far as the book knows it: {} g on 1 January, {} g sent since.",
                rule.share_percent.decimal(),
                rule.rule.clause,
                rule.rule.status.words(),
                digits(moved.at_start_g.get()),
                digits(moved.sent_g.get())
            ),
            clause: Some(rule.rule.clause.clone()),
            source: rule.rule.source.clone(),
            status: rule.rule.status,
            ..clock(ClockKind::StockToMove, "stock_to_move")
        });
    }
    let paper = rules
        .paper
        .iter()
        .find(|p| p.when == When::SilverRecovery && rules.speculative.is_some());
    let account = clock(ClockKind::AnnualAccount, "annual_account");
    let what = format!(
        "Draw up the silver account of {year}: read or weigh what each container holds on the last day."
    );
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
        None => Clock {
            text: format!("{what} No rule of the set asks for it; it is common practice."),
            ..account
        },
    });
    Ok(clocks)
}
