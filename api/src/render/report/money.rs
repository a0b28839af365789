//! What the lots are worth, and what to do with each: one line per lot, then what several share.

use super::plans::write_steps;
use super::{Grouped, names, short};
use crate::render::text::Page;
use spent_silver_domain::decision::{Alternative, LotAction};
use spent_silver_domain::document::{Column, StepLine, step_line};
use spent_silver_domain::quantity::{ComputedPercent, SignedAmount};
use spent_silver_domain::report::{LotReport, Report};
use spent_silver_domain::valuation::{MoneyLine, Settlement, ValuationOutcome};

/// Lots side by side in one account.
const ACCOUNT_COLUMNS: usize = 4;

pub(super) fn lots(page: &mut Page, report: &Report) {
    let lots = &report.lots;
    if lots.is_empty() {
        return;
    }
    let currency = report.totals.currency.map_or("", |c| c.code());
    page.heading(&format!(
        "What it is worth, and what to do with it ({currency})"
    ));
    advice(page, lots);
    ways_out(page, lots);
    reasons(page, lots);
    accounts(page, lots);
    recovering(page, lots);
    closed(page, lots);
    for lot in lots {
        if let Some(restore) = &lot.decision.restore {
            page.gap();
            page.indented(&format!("To restore {}:", names(&lot.batches)), 0);
            if let [id] = lot.batches.as_slice() {
                write_steps(page, &[(id, &restore.steps)]);
            } else {
                let steps: Vec<StepLine> = restore.steps.iter().map(step_line).collect();
                page.steps(&steps, true);
            }
        }
    }
    let mut changes = Grouped::default();
    for lot in lots {
        for change in &lot.decision.what_would_change {
            changes.add(lot.id.as_str(), change);
        }
    }
    if !changes.0.is_empty() {
        page.gap();
        page.indented("What would change the advice:", 0);
        changes.points(page);
    }
    page.gap();
}

fn settlement(lot: &LotReport) -> Option<&Settlement> {
    match &lot.valuation.outcome {
        ValuationOutcome::Accepted(settlement) => Some(settlement),
        _ => None,
    }
}

fn money(of: Option<SignedAmount>) -> String {
    of.map_or_else(|| "not known".to_owned(), |n| n.to_string())
}

fn advice(page: &mut Page, lots: &[LotReport]) {
    let rows: Vec<Vec<String>> = lots
        .iter()
        .map(|lot| {
            let decision = &lot.decision;
            let day = match (decision.look_again_on, &decision.latest) {
                (Some(day), _) => day.to_string(),
                (None, Some(latest)) => latest.on.to_string(),
                (None, None) => String::new(),
            };
            vec![
                lot.id.to_string(),
                names(&lot.batches),
                decision.verdict.words().to_owned(),
                day,
                money(decision.alternatives.first().and_then(|a| a.net)),
            ]
        })
        .collect();
    page.table(
        &[
            Column::words("Lot"),
            Column::words("Containers"),
            Column::words("Advice"),
            Column::words("Next day"),
            Column::figures("Brings"),
        ],
        &rows,
        None,
    );
}

/// A chance as a person weighs it: never written as certain.
fn chance(of: Option<ComputedPercent>) -> String {
    match of {
        None => String::new(),
        Some(percent) if percent.get() < 0.1 => "less than 0.1 %".to_owned(),
        Some(percent) if percent.get() > 99.9 => "more than 99.9 %".to_owned(),
        Some(percent) => format!("{} %", short(percent, 2)),
    }
}

/// Every way out in money, side by side.
fn ways_out(page: &mut Page, lots: &[LotReport]) {
    let best = |lot: &LotReport, action: LotAction| {
        let offered: Vec<&Alternative> = lot
            .decision
            .alternatives
            .iter()
            .filter(|a| a.action == action)
            .collect();
        let net = offered.iter().filter(|a| a.possible).filter_map(|a| a.net);
        match (net.max(), offered.iter().any(|a| a.possible)) {
            (Some(net), _) => net.to_string(),
            (None, true) => "not known".to_owned(),
            (None, false) if offered.is_empty() => String::new(),
            (None, false) => "not open".to_owned(),
        }
    };
    let rows: Vec<Vec<String>> = lots
        .iter()
        .filter(|lot| !lot.decision.alternatives.is_empty())
        .map(|lot| {
            vec![
                lot.id.to_string(),
                best(lot, LotAction::Send),
                chance(lot.decision.chance_of_gain_percent),
                best(lot, LotAction::HaulAway),
                best(lot, LotAction::RecoverHere),
                best(lot, LotAction::Hold),
            ]
        })
        .collect();
    page.table(
        &[
            Column::words("Each way out"),
            Column::figures("Send now"),
            Column::figures("Chance it pays"),
            Column::figures("Haul away"),
            Column::figures("Recover"),
            Column::figures("Hold"),
        ],
        &rows,
        None,
    );
}

/// The reason for each advice, without the account that stands below, and what to do about it.
fn reasons(page: &mut Page, lots: &[LotReport]) {
    let mut why = Grouped::default();
    let mut act = Grouped::default();
    let mut never = Grouped::default();
    for lot in lots {
        let decision = &lot.decision;
        // The table above gives the day.
        if let Some(day) = decision.look_again_on {
            page.hear(&format!("Look again on {day}."));
        }
        let statement = settlement(lot).map_or("", |s| s.statement.as_str());
        let reason = decision.reason.replacen(statement, "", 1);
        if !page.has_said(&reason) {
            why.add(lot.id.as_str(), reason.trim());
        }
        for (list, texts) in [(&mut act, &decision.act), (&mut never, &decision.never)] {
            for text in texts.iter().filter(|t| !page.has_said(t)) {
                list.add(lot.id.as_str(), text);
            }
        }
        if let Some(latest) = &decision.latest {
            act.add(
                lot.id.as_str(),
                &format!("Latest day {}: {}", latest.on, latest.text),
            );
        }
    }
    why.points(page);
    act.points(page);
    never.points(page);
    page.gap();
}

/// What the refiner would pay and keep if the lots went today, side by side.
fn accounts(page: &mut Page, lots: &[LotReport]) {
    let settled: Vec<(&LotReport, &Settlement)> = lots
        .iter()
        .filter_map(|l| Some((l, settlement(l)?)))
        .collect();
    for part in settled.chunks(ACCOUNT_COLUMNS) {
        let mut labels: Vec<&str> = Vec::new();
        for (_, settlement) in part {
            for line in &settlement.deductions {
                if !labels.contains(&line.label.as_ref()) {
                    labels.push(&line.label);
                }
            }
        }
        let mut columns = vec![Column::words("Sent to the refiner now")];
        columns.extend(part.iter().map(|(lot, _)| Column::figures(lot.id.as_str())));
        let row = |name: &str, of: &dyn Fn(&Settlement) -> String| {
            let mut row = vec![name.to_owned()];
            row.extend(part.iter().map(|(_, s)| of(s)));
            row
        };
        let mut rows = vec![row("Silver at the metal's price, less", &|s| {
            s.gross_value.to_string()
        })];
        for label in labels {
            rows.push(row(label, &|s| {
                line_of(s, label).map_or_else(String::new, |l| l.amount.to_string())
            }));
        }
        let net = row("Left for you", &|s| s.net.to_string());
        page.table(&columns, &rows, Some(&net));
    }
    let mut how: Vec<(&str, Grouped)> = Vec::new();
    let mut conditions = Grouped::default();
    for (lot, settlement) in &settled {
        page.hear(&settlement.statement);
        for line in settlement.deductions.iter().filter(|l| l.basis != "once") {
            let place = how.iter().position(|h| h.0 == line.label);
            let place = place.unwrap_or_else(|| {
                how.push((&line.label, Grouped::default()));
                how.len().saturating_sub(1)
            });
            if let Some((_, grouped)) = how.get_mut(place) {
                grouped.add(lot.id.as_str(), &line.basis);
            }
        }
        for condition in &settlement.conditions {
            conditions.add(lot.id.as_str(), &condition.text);
        }
    }
    for (label, grouped) in how {
        let text = match grouped.0.as_slice() {
            [(_, basis)] => basis.clone(),
            _ => grouped.lines().join("; "),
        };
        page.hanging("•", &format!("{label}: {text}"), 0);
    }
    if !conditions.0.is_empty() {
        page.indented("Before anything is sent:", 0);
        conditions.points(page);
    }
}

fn line_of<'a>(settlement: &'a Settlement, label: &str) -> Option<&'a MoneyLine> {
    settlement.deductions.iter().find(|l| l.label == label)
}

/// Recovering here first, lot by lot under each way.
fn recovering(page: &mut Page, lots: &[LotReport]) {
    let mut ways: Vec<(&str, Vec<&str>, Vec<String>)> = Vec::new();
    for lot in lots {
        for way in lot.decision.alternatives.iter().filter(|a| a.possible) {
            let (LotAction::RecoverHere, Some(net), Some(name)) = (way.action, way.net, &way.name)
            else {
                continue;
            };
            let labels: Vec<&str> = way.lines.iter().map(|l| l.label.as_ref()).collect();
            let amounts: Vec<String> = way.lines.iter().map(|l| l.amount.to_string()).collect();
            let text = format!("{} {net} ({})", lot.id, signed_sum(&amounts));
            match ways.iter_mut().find(|w| w.0 == name && w.1 == labels) {
                Some(known) => known.2.push(text),
                None => ways.push((name, labels, vec![text])),
            }
        }
    }
    let mut told: Option<Vec<&str>> = None;
    for (name, labels, lots) in ways {
        if told.as_ref() != Some(&labels) {
            page.indented(
                &format!(
                    "Recovering here first, left for you ({}):",
                    labels.join("; ")
                ),
                0,
            );
            told = Some(labels);
        }
        page.hanging("•", &format!("{name}: {}", lots.join("; ")), 0);
    }
}

/// Amounts as a sum: `137.44 - 0.08 - 140.00`.
fn signed_sum(amounts: &[String]) -> String {
    let mut sum = String::new();
    for amount in amounts {
        let (sign, bare) = match amount.strip_prefix('-') {
            Some(bare) => ("-", bare),
            None => ("+", amount.as_str()),
        };
        if sum.is_empty() {
            sum.push_str(amount);
        } else {
            sum.push_str(&format!(" {sign} {bare}"));
        }
    }
    sum
}

/// Ways that are not open, or whose money is not known, with the reason.
fn closed(page: &mut Page, lots: &[LotReport]) {
    let mut grouped = Grouped::default();
    for lot in lots {
        if let ValuationOutcome::NotAccepted { reasons } = &lot.valuation.outcome {
            for reason in reasons {
                grouped.add(lot.id.as_str(), &reason.text);
            }
        }
        // Where safety decided, the reason above has closed every other way.
        if !lot.decision.never.is_empty() {
            continue;
        }
        let mut closed = Grouped::default();
        for way in &lot.decision.alternatives {
            let name = way
                .name
                .as_ref()
                .map_or_else(String::new, |n| format!(" ({n})"));
            let name = format!("{}{name}", way.action.words());
            if !way.possible {
                closed.add(&name, &format!("not open. {}", way.reason));
            } else if way.net.is_none() && way.action != LotAction::Hold {
                // That holding has no figure is told by what would change the advice.
                closed.add(&name, &way.reason);
            }
        }
        for line in closed.lines() {
            grouped.add(lot.id.as_str(), &line);
        }
    }
    if grouped.0.is_empty() {
        return;
    }
    page.indented("What is closed or not known:", 0);
    grouped.merged_points(page);
    page.gap();
}
