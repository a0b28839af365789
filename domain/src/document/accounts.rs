//! Logs and accounts: what went in, what came of it, and a refiner's statement against what was
//! expected.

use super::findings;
use super::form::{Inserts, filled};
use super::label::{Desk, content_in_words, studio_fields};
use super::request::{AccumulationLog, MOST_LINES, PreciousMetalAccount, SettlementSheet};
use super::sheets::{all_dangers, known};
use super::tree::{Block, Column, Document, DocumentKind, FieldLine};
use crate::answer::{Notes, Severity};
use crate::fault::{Fault, FaultKind, Faults, at_most};
use crate::quantity::{Date, Exact, write_decimal, write_significant};
use crate::valuation::{ValuationOutcome, price_words, value_lot};
use rust_decimal::Decimal;

/// Blank lines at the end of a log.
const BLANK_LINES: usize = 12;

fn in_order(on: Date, before: Option<Date>, last: Date, at: String) -> Option<Fault> {
    if on > last {
        let detail = format!("{on} is after {last}: expected a day that has been");
        return Some(Fault::new(FaultKind::DateOrder, at, detail));
    }
    before.filter(|b| on < *b).map(|b| {
        let detail = format!("{on} is before the line above it, {b}: expected the oldest first");
        Fault::new(FaultKind::DateOrder, at, detail)
    })
}

/// The log of what went into containers: what is known, then lines to fill in.
pub(super) fn accumulation(
    of: &AccumulationLog,
    at: &str,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Result<Document, Faults> {
    at_most(format!("{at}/pours"), of.pours.len(), MOST_LINES)?;
    let known = known(&of.batches, &format!("{at}/batches"), notes)?;
    let mut faults = Vec::new();
    let mut before = None;
    for (i, pour) in of.pours.iter().enumerate() {
        let place = format!("{at}/pours/{i}");
        faults.extend(in_order(pour.on, before, desk.on, format!("{place}/on")));
        before = Some(pour.on);
        if !of.batches.iter().any(|b| b.id == pour.batch) {
            faults.push(Fault::new(
                FaultKind::Unknown,
                format!("{place}/batch"),
                format!("no container `{}`: expected one of `batches`", pour.batch),
            ));
        }
    }
    Faults::none_of(faults)?;
    let mut rows: Vec<Vec<String>> = of
        .pours
        .iter()
        .map(|pour| {
            vec![
                pour.on.to_string(),
                pour.batch.to_string(),
                pour.what.to_string(),
                pour.volume_l
                    .map_or_else(String::new, |v| write_decimal(v.decimal())),
                pour.by
                    .as_ref()
                    .map_or_else(String::new, ToString::to_string),
            ]
        })
        .collect();
    rows.extend((0..BLANK_LINES).map(|_| vec![String::new(); 5]));
    let columns = ["Date", "Container", "What", "Litres", "By"];
    let entries = Block::Table {
        columns: columns.into_iter().map(Column::words).collect(),
        rows,
        total: None,
    };
    let classified = findings::of_all(&known, &format!("{at}/batches"), desk)?;
    let containers = Block::Table {
        columns: [
            "Container",
            "Content",
            "Holds, L",
            "Waste since",
            "Must leave by",
        ]
        .into_iter()
        .map(Column::words)
        .collect(),
        rows: known
            .iter()
            .zip(&classified)
            .map(|((batch, _), (_, found))| {
                vec![
                    batch.id.to_string(),
                    content_in_words(batch),
                    batch
                        .container
                        .as_ref()
                        .and_then(|c| c.capacity_l)
                        .map_or_else(String::new, |v| write_decimal(v.decimal())),
                    batch
                        .waste_since
                        .map_or_else(String::new, |d| d.to_string()),
                    findings::must_leave_by(found),
                ]
            })
            .collect(),
        total: None,
    };
    let mut dangers = all_dangers(of.batches.iter());
    dangers.extend(findings::past_their_day(&classified, desk.on));
    let containers = std::iter::once(containers).chain(findings::clock_rules(&classified, notes));
    let mut inserts = Inserts::new();
    inserts.insert("dangers", dangers);
    let fields = studio_fields(desk.studio, true);
    inserts.insert("parties", vec![Block::Fields { fields }]);
    inserts.insert("containers", containers.collect());
    inserts.insert("entries", vec![entries]);
    Ok(filled(
        DocumentKind::AccumulationLog,
        None,
        inserts,
        desk,
        notes,
    ))
}

/// The account of silver: opening, movements with the balance after each, closing. Grams, exact.
pub(super) fn account(
    of: &PreciousMetalAccount,
    at: &str,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Result<Document, Faults> {
    at_most(format!("{at}/movements"), of.movements.len(), MOST_LINES)?;
    let mut faults = Vec::new();
    if of.until_on < of.from_on {
        faults.push(Fault::new(
            FaultKind::DateOrder,
            format!("{at}/until_on"),
            format!("{} is before from_on, {}", of.until_on, of.from_on),
        ));
    }
    // Without an opening every balance is a blank to fill in, never one counted from nothing.
    let opened = of.opening_silver_g.is_some();
    let mut balance = Exact::from(of.opening_silver_g.map_or(Decimal::ZERO, |g| g.decimal()));
    let (mut came, mut went) = (Exact::ZERO, Exact::ZERO);
    let mut rows = Vec::new();
    let mut below = false;
    let mut before = Some(of.from_on);
    for (i, line) in of.movements.iter().enumerate() {
        let place = format!("{at}/movements/{i}");
        faults.extend(in_order(
            line.on,
            before,
            of.until_on,
            format!("{place}/on"),
        ));
        before = Some(line.on);
        if line.in_silver_g.is_some() == line.out_silver_g.is_some() {
            faults.push(Fault::new(
                FaultKind::Conflict,
                place,
                "expected exactly one of in_silver_g and out_silver_g",
            ));
            continue;
        }
        let (into, out) = (
            line.in_silver_g.map(|g| g.decimal()),
            line.out_silver_g.map(|g| g.decimal()),
        );
        came = came + Exact::from(into.unwrap_or_default());
        went = went + Exact::from(out.unwrap_or_default());
        balance =
            balance + Exact::from(into.unwrap_or_default()) - Exact::from(out.unwrap_or_default());
        let now = balance.finish().map_err(|_| too_large(at))?;
        below |= opened && now < Decimal::ZERO;
        let cell = |g: Option<Decimal>| g.map_or_else(|| "–".to_owned(), write_decimal);
        rows.push(vec![
            line.on.to_string(),
            line.what.to_string(),
            cell(into),
            cell(out),
            if opened {
                write_decimal(now)
            } else {
                String::new()
            },
        ]);
    }
    Faults::none_of(faults)?;
    if !opened {
        notes.warn(
            "",
            Severity::Note,
            "No silver was stated for the start: the balances are left open. Read or weigh what was there, and fill them in from it.",
        );
    }
    if below {
        notes.warn(
            "",
            Severity::Caution,
            "The balance falls below nothing: more silver went than the account knows of. A movement or the opening is missing.",
        );
    }
    let sum = |of: Exact| of.finish().map(write_decimal).map_err(|_| too_large(at));
    let total = vec![
        of.until_on.to_string(),
        "Balance".to_owned(),
        sum(came)?,
        sum(went)?,
        if opened { sum(balance)? } else { String::new() },
    ];
    let entries = Block::Table {
        columns: vec![
            Column::words("Date"),
            Column::words("What"),
            Column::figures("In, g"),
            Column::figures("Out, g"),
            Column::figures("Balance, g"),
        ],
        rows,
        total: Some(total),
    };
    let mut fields = studio_fields(desk.studio, false);
    fields.push(FieldLine::new(
        "Period",
        format!("{} to {}", of.from_on, of.until_on),
    ));
    fields.push(FieldLine::or_blank(
        "Silver at the start",
        of.opening_silver_g
            .map(|g| format!("{} g", write_decimal(g.decimal()))),
    ));
    let mut inserts = Inserts::new();
    inserts.insert("parties", vec![Block::Fields { fields }]);
    inserts.insert("entries", vec![entries]);
    Ok(filled(
        DocumentKind::PreciousMetalAccount,
        None,
        inserts,
        desk,
        notes,
    ))
}

fn too_large(at: &str) -> Faults {
    Fault::out_of_range(format!("{at}/movements"), "the sum", "a sum below 1e28 g").into()
}

/// What a lot should bring, line by line, beside blanks for what the refiner's statement says.
pub(super) fn settlement(
    of: &SettlementSheet,
    at: &str,
    desk: Desk<'_>,
    notes: &mut Notes,
) -> Result<Document, Faults> {
    let place = format!("{at}/valuation");
    let answer = value_lot(&of.valuation).map_err(|faults| below_pointer(&faults, &place))?;
    for method in &answer.methods {
        notes.cite(method.source);
    }
    for assumed in &answer.assumptions {
        let field = format!("{place}{}", assumed.field);
        notes.assume("", field, assumed.source, assumed.text.clone());
    }
    for warning in &answer.warnings {
        notes.warn("", warning.severity, warning.text.clone());
    }
    let valuation = &answer.result.valuation;
    let mut fields = studio_fields(desk.studio, false);
    fields.push(FieldLine::new("Lot", valuation.lot.to_string()));
    fields.push(FieldLine::or_blank(
        "Refiner",
        of.valuation.terms.name.as_ref().map(ToString::to_string),
    ));
    fields.push(FieldLine::new("Currency", valuation.currency.to_string()));
    let digits = |grams: f64| write_significant(grams, 4);
    fields.push(FieldLine::or_blank(
        "Silver expected",
        valuation.silver.map(|s| {
            let range = s.upper_95_g.map_or_else(
                || format!("{} g or more", digits(s.lower_95_g.get())),
                |upper| {
                    format!(
                        "{} to {} g",
                        digits(s.lower_95_g.get()),
                        digits(upper.get())
                    )
                },
            );
            format!("{} g; {range}, 95 times in 100", digits(s.silver_g.get()))
        }),
    ));
    let price = &of.valuation.price;
    let price_in_words = price_words(price.amount.decimal(), price.currency, price.per);
    fields.push(FieldLine::new(
        "Price expected",
        price.as_of_on.map_or_else(
            || price_in_words.clone(),
            |day| format!("{price_in_words}, of {day}"),
        ),
    ));
    let mut inserts = Inserts::new();
    inserts.insert("parties", vec![Block::Fields { fields }]);
    let why =
        |heading: &str, lines: Vec<String>| vec![Block::warning(Severity::Caution, heading, lines)];
    match &valuation.outcome {
        ValuationOutcome::NotAccepted { reasons } => {
            let lines = reasons.iter().map(|r| r.text.clone()).collect();
            inserts.insert("lines", why("Not taken by these terms", lines));
        }
        ValuationOutcome::ValueUnknown {
            reasons,
            conditions,
        } => {
            let lines = reasons
                .iter()
                .cloned()
                .chain(conditions.iter().map(|c| c.text.clone()))
                .collect();
            inserts.insert("lines", why("Its value is not known", lines));
        }
        ValuationOutcome::Accepted(settled) => {
            let row = |label: &str, basis: &str, amount: String| {
                let label = if basis.is_empty() {
                    label.to_owned()
                } else {
                    format!("{label} ({basis})")
                };
                vec![label, amount, String::new(), String::new()]
            };
            let mut rows = vec![
                row(
                    "Silver paid for, troy ounces",
                    "",
                    write_significant(settled.silver_paid_for_ozt.get(), 4),
                ),
                row("Value of the silver", "", settled.gross_value.to_string()),
            ];
            rows.extend(
                settled
                    .deductions
                    .iter()
                    .map(|d| row(&d.label, &d.basis, format!("-{}", d.amount))),
            );
            let mut total = row("Net", "", settled.net.to_string());
            total.resize(4, String::new());
            let mut blocks = vec![Block::Table {
                columns: vec![
                    Column::words("Line"),
                    Column::figures("Expected"),
                    Column::figures("On the statement"),
                    Column::figures("Difference"),
                ],
                rows,
                total: Some(total),
            }];
            if !settled.conditions.is_empty() {
                let lines = settled.conditions.iter().map(|c| c.text.clone()).collect();
                blocks.extend(why("To be settled before it is sent", lines));
            }
            inserts.insert("lines", blocks);
            let shares = settled
                .shares
                .iter()
                .map(|s| {
                    vec![
                        s.batch.to_string(),
                        write_significant(s.silver_g.get(), 4),
                        s.gross_value.to_string(),
                        format!("-{}", s.deductions),
                        s.net.to_string(),
                    ]
                })
                .collect();
            let headings = ["Silver, g", "Value", "Charges", "Net"];
            inserts.insert(
                "shares",
                vec![Block::Table {
                    columns: std::iter::once(Column::words("Container"))
                        .chain(headings.into_iter().map(Column::figures))
                        .collect(),
                    rows: shares,
                    total: None,
                }],
            );
        }
    }
    let about = Some(valuation.lot.to_string());
    Ok(filled(
        DocumentKind::SettlementSheet,
        about,
        inserts,
        desk,
        notes,
    ))
}

/// Faults of a part, with their pointers from the whole.
fn below_pointer(faults: &Faults, at: &str) -> Faults {
    let mut list = faults
        .list()
        .iter()
        .map(|f| Fault::new(f.kind, format!("{at}{}", f.pointer), f.detail.clone()));
    let first = list.next();
    match (first, Faults::none_of(list.collect())) {
        (Some(first), Err(rest)) => {
            let mut all = vec![first];
            all.extend(rest.list().iter().cloned());
            Faults::none_of(all).err().unwrap_or(rest)
        }
        (Some(first), Ok(())) => first.into(),
        (None, _) => Fault::missing(at, "a valuation").into(),
    }
}
