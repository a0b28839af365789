//! The money of a statement against the money of the terms, line by line.

use super::request::{ReceivedLot, RefinerStatement, SettlementCheckRequest};
use super::result::{ComparedAmount, ComparedLine, MoneyCheck};
use super::too_large;
use crate::answer::Notes;
use crate::fault::{Fault, FaultKind};
use crate::quantity::{Currency, Exact, SignedAmount, TooLarge};
use crate::valuation::settlement::{Load, NoSettlement, Settled, price_per_ozt, settle};
use crate::valuation::{ChargeBasis, LineItem, RefinerTerms};
use rust_decimal::Decimal;

/// The money, and what is to be said of it.
pub(super) struct Money {
    pub check: MoneyCheck,
    pub differs: bool,
    pub reasons: Vec<String>,
}

/// Compares the money. `settling` is the silver by the assay that settles, where it is known.
pub(super) fn check_money(
    request: &SettlementCheckRequest,
    settling: Option<Decimal>,
    notes: &mut Notes,
) -> Result<Money, Fault> {
    let lot = request.received.clone().unwrap_or_default();
    let terms = &request.terms;
    assume_absent(&lot, terms, notes);
    let wrong = too_large("/price/amount");
    let price = price_per_ozt(&request.price).map_err(&wrong)?;
    let by_terms = |silver_g: Decimal| {
        let load = load(&lot, silver_g, terms)?;
        settle(&load, price, terms).map_err(|why| match why {
            NoSettlement::TooLarge => wrong(TooLarge),
            NoSettlement::Unknown(words) => Fault::new(
                FaultKind::Missing,
                if charges_by_mass(terms, &load) && load.mass_kg.is_none() {
                    "/received/mass_kg"
                } else {
                    "/received/volume_l"
                },
                format!("missing: {words}"),
            ),
        })
    };
    let reported = by_terms(request.reported_silver_g.decimal())?;
    let expected = by_terms(request.expected_silver_g.decimal())?.net;
    let settling = settling.map(&by_terms).transpose()?.map(|s| s.net);
    compare(
        &reported,
        expected,
        settling,
        request.statement.as_ref(),
        terms,
    )
    .map_err(&wrong)
}

/// A surcharge for a constituent that nobody stated is left out, and that is said.
fn assume_absent(lot: &ReceivedLot, terms: &RefinerTerms, notes: &mut Notes) {
    for surcharge in &terms.payment.surcharges {
        if let Some(constituent) = surcharge.when.filter(|c| !lot.constituents.contains(c)) {
            notes.assume(
                "/money/deductions",
                "/received/constituents",
                "house_rule",
                format!(
                    "No {} was stated in the lot: `{}` is left out of what the terms say.",
                    constituent.words(),
                    surcharge.name
                ),
            );
        }
    }
}

fn load(lot: &ReceivedLot, silver_g: Decimal, terms: &RefinerTerms) -> Result<Load, Fault> {
    let by_container = terms.payment.surcharges.iter().any(|s| {
        s.per == ChargeBasis::Container && s.when.is_none_or(|c| lot.constituents.contains(&c))
    });
    if by_container && lot.container_count.is_none() {
        return Err(Fault::missing(
            "/received/container_count",
            "how many containers went, since the terms charge by the container",
        ));
    }
    let count = usize::from(lot.container_count.unwrap_or(1));
    Ok(Load {
        silver_g,
        mass_kg: lot.mass_kg.map(|m| m.decimal()),
        volume_l: lot.volume_l.map(|v| v.decimal()),
        container_count: count,
        present: lot.constituents.iter().map(|c| (*c, count)).collect(),
    })
}

fn charges_by_mass(terms: &RefinerTerms, load: &Load) -> bool {
    let treatment = terms.payment.treatment.as_ref();
    treatment.is_some_and(|t| t.per_kilogram.is_some() || t.per_troy_ounce_received.is_some())
        || terms.payment.surcharges.iter().any(|s| {
            matches!(
                s.per,
                ChargeBasis::Kilogram | ChargeBasis::TroyOunceReceived
            ) && load.containers_for(s) > 0
        })
}

/// One kind of deduction, by the terms and by the statement.
struct Row {
    item: LineItem,
    label: String,
    basis: Option<String>,
    by_terms: Exact,
    by_statement: Exact,
}

/// The row of an item; a new one where there is none yet.
fn row_of(rows: &mut Vec<Row>, item: LineItem) -> Option<&mut Row> {
    let at = rows.iter().position(|r| r.item == item).unwrap_or_else(|| {
        rows.push(Row {
            item,
            label: String::new(),
            basis: None,
            by_terms: Exact::ZERO,
            by_statement: Exact::ZERO,
        });
        rows.len().saturating_sub(1)
    });
    rows.get_mut(at)
}

fn join(text: &mut String, more: &str) {
    if !text.is_empty() {
        text.push_str("; ");
    }
    text.push_str(more);
}

fn rows_of(
    reported: &Settled<'_>,
    statement: Option<&RefinerStatement>,
    terms: &RefinerTerms,
) -> Vec<Row> {
    let mut rows = Vec::new();
    for line in &reported.lines {
        let line = line.described(reported, terms);
        if let Some(row) = row_of(&mut rows, line.item) {
            join(&mut row.label, &line.label);
            join(row.basis.get_or_insert_default(), &line.basis);
            row.by_terms = row.by_terms + Exact::from(line.amount.decimal());
        }
    }
    for line in statement.map_or(&[][..], |s| &s.deductions) {
        if let Some(row) = row_of(&mut rows, line.item) {
            let named = line.words.as_ref().map(|w| w.as_str());
            if row.basis.is_none() {
                let words = named.map_or_else(
                    || format!("{}, not in the terms", line.item.words()),
                    ToOwned::to_owned,
                );
                join(&mut row.label, &words);
            } else if let Some(words) = named
                && !row.label.to_lowercase().contains(&words.to_lowercase())
            {
                join(&mut row.label, &format!("{words}, on the statement"));
            }
            row.by_statement = row.by_statement + Exact::from(line.amount);
        }
    }
    rows
}

/// The net that a statement gives: paid, or billed as a negative amount.
fn stated_net(statement: &RefinerStatement) -> Option<Exact> {
    let paid = statement.net_paid.map(Exact::from);
    paid.or_else(|| statement.net_billed.map(|b| Exact::ZERO - Exact::from(b)))
}

fn compare(
    reported: &Settled<'_>,
    expected: SignedAmount,
    settling: Option<SignedAmount>,
    statement: Option<&RefinerStatement>,
    terms: &RefinerTerms,
) -> Result<Money, TooLarge> {
    let currency = terms.currency;
    let rounded = |value: Exact| Ok(SignedAmount::rounded(value.finish()?, currency));
    let rows = rows_of(reported, statement, terms);
    let listed = statement.is_some_and(|s| !s.deductions.is_empty());
    let taken: Exact = rows.iter().map(|r| r.by_statement).sum();
    let gross = statement.and_then(|s| s.gross_value);
    // What the statement's lines come to, where it gives all of them.
    let summed = gross
        .filter(|_| listed || rows.is_empty())
        .map(|g| Exact::from(g) - taken);
    let net = statement.and_then(stated_net);
    let off = net
        .zip(summed)
        .map(|(net, summed)| rounded(net - summed))
        .transpose()?;
    let against = |by_terms: SignedAmount, by_statement: Option<Exact>| {
        let difference = by_statement
            .map(|s| rounded(s - Exact::from(by_terms.decimal())))
            .transpose()?;
        Ok::<_, TooLarge>(ComparedAmount {
            by_terms,
            by_statement: by_statement.map(rounded).transpose()?,
            difference,
        })
    };
    let gross_value = against(reported.gross, gross.map(Exact::from))?;
    let net = against(reported.net, net.or(summed))?;
    let deductions: Vec<ComparedLine> = rows
        .iter()
        .map(|row| {
            let compared = against(rounded(row.by_terms)?, listed.then_some(row.by_statement))?;
            Ok(ComparedLine {
                item: row.item,
                label: row.label.clone(),
                basis: row.basis.clone(),
                by_terms: compared.by_terms,
                by_statement: compared.by_statement,
                difference: compared.difference,
            })
        })
        .collect::<Result<_, TooLarge>>()?;
    let unit = Exact::from(Decimal::new(1, currency.minor_unit()));
    let lines = Decimal::from(deductions.len().saturating_add(1));
    let check = MoneyCheck {
        currency,
        gross_value,
        deductions,
        net,
        net_by_terms_for_expected: expected,
        net_by_terms_for_settling: settling,
        statement_off_by: off,
        rounding_allowed: rounded(unit * Exact::from(lines))?,
    };
    Ok(words(check, unit.finish()?, currency))
}

/// Whether the money differs, in words.
fn words(check: MoneyCheck, unit: Decimal, currency: Currency) -> Money {
    let mut reasons = Vec::new();
    let mut differs = false;
    let size = |a: SignedAmount| SignedAmount::rounded(a.decimal().abs(), currency);
    let apart: Vec<String> = check
        .deductions
        .iter()
        .filter_map(|l| {
            let by = l.difference.filter(|d| d.decimal().abs() > unit)?;
            let way = if by.decimal() > Decimal::ZERO {
                "more"
            } else {
                "less"
            };
            Some(format!(
                "{}: {currency} {} {way} than the terms say",
                l.label,
                size(by)
            ))
        })
        .collect();
    let gross = check
        .gross_value
        .difference
        .filter(|d| d.decimal().abs() > unit);
    match check.net.difference {
        Some(d) if d.decimal().abs() > check.rounding_allowed.decimal() => {
            differs = true;
            let way = if d.decimal() < Decimal::ZERO {
                "less"
            } else {
                "more"
            };
            reasons.push(format!(
                "The refiner pays {currency} {} {way} than the terms say for the silver reported.",
                size(d)
            ));
        }
        Some(d) if !d.decimal().is_zero() => reasons.push(format!(
            "The money is {currency} {} off, which rounding each line may make.",
            size(d)
        )),
        Some(_) => {
            reasons.push("The net is what the terms say for the silver reported.".to_owned())
        }
        None => differs = !apart.is_empty() || gross.is_some(),
    }
    if let Some(d) = gross {
        let way = if d.decimal() < Decimal::ZERO {
            "less"
        } else {
            "more"
        };
        reasons.push(format!(
            "The gross value is {currency} {} {way} than the silver reported times the price: ask which price, and of which day.",
            size(d)
        ));
    }
    if !apart.is_empty() {
        reasons.push(format!("Lines that differ: {}.", apart.join("; ")));
    }
    if let Some(off) = check.statement_off_by.filter(|o| !o.decimal().is_zero()) {
        differs = true;
        reasons.push(format!(
            "The statement does not add up: its net is {currency} {off} off its own lines."
        ));
    }
    Money {
        check,
        differs,
        reasons,
    }
}
