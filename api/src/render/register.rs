//! The waste register of a period as text: every event in its place, what was reversed marked as such,
//! and what each month comes to.

use super::report::{Sources, assumptions};
use super::text::Page;
use spent_silver_domain::answer::Answer;
use spent_silver_domain::batch::BatchStatus;
use spent_silver_domain::document::{Column, figure};
use spent_silver_domain::ledger::{RegisterRow, RegisterTotal, WasteRegister};
use spent_silver_domain::quantity::{write_decimal, write_significant};

/// The register as text of 80 columns. Every row, every warning and the notice are on it.
#[must_use]
pub fn register(answer: &Answer<WasteRegister>) -> String {
    let register = &answer.result;
    let mut sources = Sources::default();
    let mut page = Page::new();
    page.title(
        "Waste register",
        &format!("{} to {}", register.from, register.until),
    );
    page.warned(|severity| {
        let of = answer.warnings.iter().filter(|w| w.severity == severity);
        of.map(|w| w.text.as_str()).collect()
    });
    events(&mut page, &register.rows);
    months(&mut page, &register.totals);
    assumptions(&mut page, &answer.assumptions, &mut sources);
    sources.write(&mut page, answer.references.len());
    page.notice(&answer.notice);
    page.finish()
}

/// Litres and kilograms, as they were recorded.
fn amount(litres: Option<String>, kilograms: Option<String>) -> String {
    let parts: Vec<String> = [
        litres.map(|v| format!("{v} L")),
        kilograms.map(|m| format!("{m} kg")),
    ]
    .into_iter()
    .flatten()
    .collect();
    parts.join(", ")
}

fn recorded(row: &RegisterRow) -> String {
    amount(
        row.volume_l.map(|v| write_decimal(v.decimal())),
        row.mass_kg.map(|m| write_decimal(m.decimal())),
    )
}

const fn status(of: BatchStatus) -> &'static str {
    match of {
        BatchStatus::InUse => "in use",
        BatchStatus::Spent => "spent",
        BatchStatus::Unused => "unused",
        BatchStatus::Treated => "treated",
    }
}

/// The container with what it held, in a line.
fn container(row: &RegisterRow) -> Option<String> {
    let name = row.container.as_ref()?;
    let facts: Vec<String> = [
        row.kind.map(|k| k.words().to_owned()),
        row.status.map(|s| status(s).to_owned()),
        row.waste_since.map(|day| format!("waste since {day}")),
    ]
    .into_iter()
    .flatten()
    .collect();
    Some(if facts.is_empty() {
        format!("{name}.")
    } else {
        format!("{name} ({}).", facts.join(", "))
    })
}

/// A sentence with its end, which a person may have written or not.
fn sentence(text: &str) -> String {
    let text = text.trim_end();
    if text.ends_with(['.', '!', '?']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}

/// Everything that the entry says, the reversal first.
fn words(row: &RegisterRow) -> String {
    let reversal = row.reversed_by.as_ref().map(|by| {
        let on = row.reversed_on.map_or_else(String::new, |d| d.to_string());
        let why = row.reversal_reason.as_ref().map_or("", |r| r.as_str());
        sentence(&format!("REVERSED by {by} on {on}: {why}"))
    });
    let silver = row.silver_g.zip(row.standard_uncertainty_g);
    let parts: Vec<String> = [
        reversal,
        container(row),
        Some(sentence(&row.text)),
        row.to.as_ref().map(|to| sentence(&format!("To {to}"))),
        row.consignment
            .as_ref()
            .map(|c| sentence(&format!("Consignment {c}"))),
        silver.map(|(g, u)| format!("Silver {}.", figure(g.get(), u.get(), "g"))),
        row.note.as_ref().map(|n| sentence(&format!("Note: {n}"))),
        Some(sentence(&match &row.supervised_by {
            Some(by) => format!("Recorded by {}; supervised by {by}", row.recorded_by),
            None => format!("Recorded by {}", row.recorded_by),
        })),
    ]
    .into_iter()
    .flatten()
    .collect();
    parts.join(" ")
}

fn events(page: &mut Page, rows: &[RegisterRow]) {
    page.heading("What happened");
    if rows.is_empty() {
        page.paragraph("Nothing in this period that a register asks for.");
        return;
    }
    let rows: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            vec![
                row.on.to_string(),
                row.entry.to_string(),
                row.what.words().to_owned(),
                recorded(row),
                words(row),
            ]
        })
        .collect();
    page.table(
        &[
            Column::words("Day"),
            Column::words("Entry"),
            Column::words("Event"),
            Column::figures("Amount"),
            Column::words("In words"),
        ],
        &rows,
        None,
    );
}

fn months(page: &mut Page, totals: &[RegisterTotal]) {
    if totals.is_empty() {
        return;
    }
    page.heading("What each month comes to");
    page.paragraph("Litres and kilograms are added as they were recorded, each for itself; what was reversed counts nothing.");
    let figure = |value: f64| {
        if value > 0.0 {
            write_significant(value, 6)
        } else {
            String::new()
        }
    };
    let rows: Vec<Vec<String>> = totals
        .iter()
        .map(|t| {
            vec![
                t.month.clone(),
                t.what.words().to_owned(),
                t.row_count.to_string(),
                figure(t.volume_l.get()),
                figure(t.mass_kg.get()),
                match t.unknown_count {
                    0 => String::new(),
                    n => format!("{n} unknown"),
                },
            ]
        })
        .collect();
    page.table(
        &[
            Column::words("Month"),
            Column::words("Event"),
            Column::figures("Entries"),
            Column::figures("L"),
            Column::figures("kg"),
            Column::words(""),
        ],
        &rows,
        None,
    );
}
