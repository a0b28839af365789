//! The silver account of a period as text: whether it can be trusted, what there was and is, and
//! where the rest went.

use super::report::{Sources, assumptions};
use super::text::Page;
use spent_silver_domain::answer::Answer;
use spent_silver_domain::document::{Column, FieldLine, figure};
use spent_silver_domain::ledger::{
    AccountReconciliation, ContainerBalance, LedgerMovement, LineKind, Place, ShipmentBalance,
    SilverAccount,
};
use spent_silver_domain::quantity::{ComputedGrams, write_significant};

/// The account as text of 80 columns. Every warning and the notice are on it.
#[must_use]
pub fn account(answer: &Answer<SilverAccount>) -> String {
    let account = &answer.result;
    let mut sources = Sources::default();
    let mut page = Page::new();
    page.title(
        "Silver account",
        &format!("{} to {}", account.from, account.until),
    );
    page.warned(|severity| {
        let of = answer.warnings.iter().filter(|w| w.severity == severity);
        of.map(|w| w.text.as_str()).collect()
    });
    lines(&mut page, account);
    containers(&mut page, &account.containers);
    shipments(&mut page, &account.shipments);
    match &account.reconciliation {
        Some(checked) => checks(&mut page, checked),
        None => {
            page.heading("Readings against records");
            page.paragraph("Nothing checks the records of this period: a titration, an assay or a refiner's statement would.");
        }
    }
    let figures = &account.recovery_figures;
    page.heading("Spent silver, for the rules on precious-metal recovery");
    let grams = |of: ComputedGrams| format!("{} g", write_significant(of.get(), 4));
    let with_unknown = |of: ComputedGrams, unknown: u32| match unknown {
        0 => grams(of),
        count => format!("{} and {count} unknown", grams(of)),
    };
    page.fields(&[
        FieldLine::new(
            "On hand at the start",
            with_unknown(figures.at_start_g, figures.unknown_at_start_count),
        ),
        FieldLine::new(
            "Generated or received",
            grams(figures.generated_or_received_g),
        ),
        FieldLine::new(
            "Sent for recovery",
            with_unknown(figures.sent_g, figures.unknown_sent_count),
        ),
        FieldLine::new(
            "Hauled away, discharged or lost",
            grams(figures.gone_otherwise_g),
        ),
        FieldLine::new(
            "On hand at the end",
            with_unknown(figures.at_end_g, figures.unknown_at_end_count),
        ),
        FieldLine::new(
            "Sent, of what was there",
            figures.turnover_percent.map_or_else(
                || {
                    let unknown = figures.unknown_at_start_count + figures.unknown_sent_count > 0;
                    if unknown {
                        "not known"
                    } else {
                        "nothing was there"
                    }
                    .to_owned()
                },
                |t| format!("{} %", write_significant(t.get(), 3)),
            ),
        ),
    ]);
    movements(&mut page, &account.movements);
    assumptions(&mut page, &answer.assumptions, &mut sources);
    sources.write(&mut page, answer.references.len());
    page.notice(&answer.notice);
    page.finish()
}

/// A figure with its uncertainty, where there is one.
pub(crate) fn silver(value: Option<ComputedGrams>, uncertainty: Option<ComputedGrams>) -> String {
    value.zip(uncertainty).map_or_else(
        || "unknown".to_owned(),
        |(value, u)| figure(value.get(), u.get(), "g"),
    )
}

pub(crate) const fn line_in_words(what: LineKind) -> (&'static str, &'static str) {
    match what {
        LineKind::AtStart => ("", "In containers at the start"),
        LineKind::TakenIn => ("+", "Here before, taken into the book"),
        LineKind::Bought => ("+", "Bought"),
        LineKind::Received => ("+", "Received"),
        LineKind::FromMaterial => ("+", "Out of film, paper and plates"),
        LineKind::ToMaterial => ("-", "Onto plates and sheets"),
        LineKind::Shipped => ("-", "Sent to a refiner"),
        LineKind::Collected => ("-", "Collected by a haulier"),
        LineKind::Discharged => ("-", "Discharged"),
        LineKind::Lost => ("-", "Spilled or written off"),
        LineKind::Unexplained => ("+", "Found by readings, unexplained"),
        LineKind::AtEnd => ("=", "In containers at the end"),
    }
}

fn lines(page: &mut Page, account: &SilverAccount) {
    page.heading("What there was, what came, what went");
    let rows: Vec<Vec<String>> = account
        .lines
        .iter()
        .map(|line| {
            let (sign, words) = line_in_words(line.what);
            let unknown = match line.unknown_count {
                0 => String::new(),
                n => format!("and {n} unknown"),
            };
            let amount = figure(line.silver_g.get(), line.standard_uncertainty_g.get(), "g");
            vec![sign.to_owned(), words.to_owned(), amount, unknown]
        })
        .collect();
    page.table(
        &[
            Column::words(""),
            Column::words("Silver"),
            Column::figures("Amount"),
            Column::words(""),
        ],
        &rows,
        None,
    );
}

fn containers(page: &mut Page, all: &[ContainerBalance]) {
    if all.is_empty() {
        return;
    }
    page.heading("What each container holds");
    let rows: Vec<Vec<String>> = all
        .iter()
        .map(|c| {
            let holds = if c.empty {
                "empty".to_owned()
            } else {
                silver(c.silver_g, c.standard_uncertainty_g)
            };
            // The uncertainty at hand is that of the records alone: it does not belong to this figure.
            let reconciled = c
                .reconciled_g
                .filter(|_| !c.empty)
                .map_or_else(String::new, |g| {
                    format!("{} g", write_significant(g.get(), 4))
                });
            vec![
                c.batch.id.to_string(),
                c.batch.kind.words().to_owned(),
                holds,
                reconciled,
            ]
        })
        .collect();
    page.table(
        &[
            Column::words("Container"),
            Column::words("Content"),
            Column::figures("Silver"),
            Column::figures("Reconciled"),
        ],
        &rows,
        None,
    );
}

fn shipments(page: &mut Page, all: &[ShipmentBalance]) {
    if all.is_empty() {
        return;
    }
    page.heading("Shipments");
    let rows: Vec<Vec<String>> = all
        .iter()
        .map(|s| {
            let settled = s.settled_g.map_or_else(
                || "not settled".to_owned(),
                |g| format!("{} g", write_significant(g.get(), 4)),
            );
            let apart = s
                .standardized_difference
                .map_or_else(String::new, |z| format!("{:.1} times", z.get()));
            vec![
                s.shipment.to_string(),
                silver(s.sent_g, s.sent_standard_uncertainty_g),
                settled,
                apart,
            ]
        })
        .collect();
    page.table(
        &[
            Column::words("Shipment"),
            Column::figures("Sent"),
            Column::figures("Refiner found"),
            Column::figures("Apart, in uncertainties"),
        ],
        &rows,
        None,
    );
}

fn checks(page: &mut Page, checked: &AccountReconciliation) {
    page.heading("Readings against records");
    let verdict = if checked.agree {
        "They agree within chance."
    } else {
        "They disagree beyond chance."
    };
    page.paragraph(&format!(
        "{verdict} Independent checks: {}; chi-square {}, chance {} %.",
        checked.check_count,
        write_significant(checked.chi_square.get(), 3),
        write_significant(checked.chance_percent.get(), 2)
    ));
    let rows: Vec<Vec<String>> = checked
        .adjustments
        .iter()
        .map(|a| {
            let name = a.entry.as_ref().or(a.container.as_ref());
            let mark = if checked
                .suspects
                .iter()
                .any(|s| s.entry == a.entry && s.container == a.container)
            {
                "look at it"
            } else {
                ""
            };
            vec![
                name.map_or_else(String::new, ToString::to_string),
                format!("{} g", write_significant(a.recorded_g.get(), 4)),
                figure(a.reconciled_g.get(), a.standard_uncertainty_g.get(), "g"),
                format!("{:+.1}", a.standardized_adjustment.get()),
                mark.to_owned(),
            ]
        })
        .collect();
    page.table(
        &[
            Column::words("Entry"),
            Column::figures("Recorded"),
            Column::figures("Closes the account"),
            Column::figures("Off by, in deviations"),
            Column::words(""),
        ],
        &rows,
        None,
    );
}

pub(crate) fn place_in_words(of: &Place) -> String {
    match of {
        Place::OnHand => "here before".to_owned(),
        Place::Bought => "bought".to_owned(),
        Place::Received => "received".to_owned(),
        Place::Material => "film, paper, plates".to_owned(),
        Place::Container(name) => name.to_string(),
        Place::Shipment(name) => format!("shipment {name}"),
        Place::Settled => "settled".to_owned(),
        Place::Collected => "haulier".to_owned(),
        Place::Discharged => "discharged".to_owned(),
        Place::Lost => "lost".to_owned(),
        Place::Unexplained => "unexplained".to_owned(),
    }
}

fn movements(page: &mut Page, all: &[LedgerMovement]) {
    if all.is_empty() {
        return;
    }
    page.heading("Every movement");
    let rows: Vec<Vec<String>> = all
        .iter()
        .map(|m| {
            vec![
                m.on.to_string(),
                m.entry.to_string(),
                place_in_words(&m.from),
                place_in_words(&m.to),
                silver(m.silver_g, m.standard_uncertainty_g),
            ]
        })
        .collect();
    page.table(
        &[
            Column::words("Day"),
            Column::words("Entry"),
            Column::words("From"),
            Column::words("To"),
            Column::figures("Silver"),
        ],
        &rows,
        None,
    );
}
