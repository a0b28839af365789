//! What it costs to have a lot hauled away, every line on its own.

use super::lot::{Bulk, bulk, holds, lot_bulk};
use super::settlement::{LineItem, MoneyLine, ozt_of_kg};
use super::terms::{ChargeBasis, HaulageTerms};
use crate::answer::{Method, Notes, Severity};
use crate::batch::Batch;
use crate::fault::Fault;
use crate::quantity::{Currency, Exact, Plain, SignedAmount, TooLarge};
use rust_decimal::Decimal;
use serde::Serialize;
use std::borrow::Cow;

pub(super) const HAULAGE: Method = Method {
    name: "haulage",
    formula: "cost = max(minimum, call-out + containers x rate + kilograms x rate) + surcharges + analysis; each line rounded half away from zero to the minor unit",
    source: "haulier_practice",
};

/// What a haulier's bill comes to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct HaulageCost {
    /// Currency of every amount.
    pub currency: Currency,
    /// The lines of the bill.
    pub lines: Vec<MoneyLine>,
    /// Their sum; null when a charge counts by something that is not known.
    pub total: Option<SignedAmount>,
    /// What must be known for a total.
    pub unknown: Vec<String>,
    /// Days from the call to the collection.
    pub lead_time_day_count: Option<u16>,
    /// What to ask where a public collection may take it without charge.
    pub free_collection: Option<String>,
}

/// Prices a collection of these batches by a licensed haulier.
///
/// `cost = max(minimum, call-out + containers x rate + kilograms x rate) + surcharges + analysis`,
/// each line rounded half away from zero. Two jugs of 5 kg at 80 call-out, 10 a container and 2 a
/// kilogram cost 80 + 20 + 20 = 120. `at` is the batches' own place in the request, `terms_at` that
/// of the terms.
///
/// # Errors
/// A fault when the figures are too large for exact money.
pub fn haulage_cost(
    batches: &[&Batch],
    terms: &HaulageTerms,
    at: &str,
    terms_at: &str,
    notes: &mut Notes,
) -> Result<HaulageCost, Fault> {
    let too_large = |_: TooLarge| {
        Fault::out_of_range(terms_at, "the bill", "figures small enough for exact money")
    };
    let bulks = batches
        .iter()
        .enumerate()
        .map(|(i, b)| bulk(b, &format!("{at}/{i}"), "", notes))
        .collect::<Result<Vec<Bulk>, TooLarge>>()
        .map_err(too_large)?;
    notes.method("", HAULAGE);
    let mass_kg = lot_bulk(&bulks).map_err(too_large)?.mass_kg;
    let bill = bill(batches, mass_kg, terms, Exact::ONE).map_err(too_large)?;
    if bill.free_collection.is_some() {
        notes.warn(
            "/free_collection",
            Severity::Note,
            "A free public collection is often for households only and may set an amount: ask before you go.",
        );
    }
    Ok(bill)
}

/// What the same collection would cost with `growth` times as much in `growth` times as many
/// containers; `None` where a charge counts by something that is not known.
pub(crate) fn grown_cost(
    batches: &[&Batch],
    mass_kg: Option<Decimal>,
    terms: &HaulageTerms,
    growth: Exact,
) -> Result<Option<SignedAmount>, TooLarge> {
    Ok(bill(batches, mass_kg, terms, growth)?.total)
}

fn bill(
    batches: &[&Batch],
    mass_kg: Option<Decimal>,
    terms: &HaulageTerms,
    growth: Exact,
) -> Result<HaulageCost, TooLarge> {
    let currency = terms.currency;
    let code = currency.code();
    let grown = |count: usize| (Exact::from(Decimal::from(count)) * growth).finish();
    let containers = grown(batches.len())?;
    let mass_kg = mass_kg
        .map(|m| (Exact::from(m) * growth).finish())
        .transpose()?;
    let mut lines: Vec<MoneyLine> = Vec::new();
    let mut unknown: Vec<String> = Vec::new();
    let push = |item,
                label: Cow<'static, str>,
                unit: &str,
                rate: Decimal,
                count: Decimal,
                lines: &mut Vec<MoneyLine>| {
        let amount = (Exact::from(rate) * Exact::from(count)).finish()?;
        let basis = if unit.is_empty() {
            Cow::Borrowed("once")
        } else {
            Cow::Owned(format!(
                "{} {unit} x {} {code}",
                Plain::decimal(count.round_dp(4)),
                currency.plain(rate)
            ))
        };
        lines.push(MoneyLine {
            item,
            label,
            basis,
            amount: SignedAmount::rounded(amount, currency),
        });
        Ok::<(), TooLarge>(())
    };
    if let Some(a) = terms.call_out {
        push(
            LineItem::CallOut,
            "call-out".into(),
            "",
            a.decimal(),
            Decimal::ONE,
            &mut lines,
        )?;
    }
    if let Some(a) = terms.per_container {
        push(
            LineItem::PerContainer,
            "containers".into(),
            "container(s)",
            a.decimal(),
            containers,
            &mut lines,
        )?;
    }
    let needs_mass =
        "The haulier charges by mass, and a container was not weighed: weigh it.".to_owned();
    if let Some(a) = terms.per_kilogram {
        match mass_kg {
            Some(m) => push(
                LineItem::PerKilogram,
                "mass".into(),
                "kg",
                a.decimal(),
                m,
                &mut lines,
            )?,
            None => unknown.push(needs_mass.clone()),
        }
    }
    if let (Some(least), true) = (terms.minimum, unknown.is_empty()) {
        let covered: Exact = lines.iter().map(|l| Exact::from(l.amount.decimal())).sum();
        let missing = (Exact::from(least) - covered)
            .at_least(Exact::ZERO)
            .finish()?;
        if !missing.is_zero() {
            push(
                LineItem::MinimumTopUp,
                "topping up to the least charge".into(),
                "",
                missing,
                Decimal::ONE,
                &mut lines,
            )?;
        }
    }
    for s in &terms.surcharges {
        let holders: Vec<&&Batch> = batches
            .iter()
            .filter(|b| s.when.is_none_or(|c| holds(b, c)))
            .collect();
        if holders.is_empty() {
            continue;
        }
        let (unit, count) = match s.per {
            ChargeBasis::Lot => ("", Some(Decimal::ONE)),
            ChargeBasis::Container => ("container(s)", Some(grown(holders.len())?)),
            ChargeBasis::Kilogram => ("kg", mass_kg),
            ChargeBasis::TroyOunceReceived => (
                "ozt received",
                mass_kg.map(|m| ozt_of_kg(m).finish()).transpose()?,
            ),
        };
        match count {
            Some(c) => push(
                LineItem::Surcharge,
                s.name.to_string().into(),
                unit,
                s.amount.decimal(),
                c,
                &mut lines,
            )?,
            None => unknown.push(needs_mass.clone()),
        }
    }
    if let Some(a) = terms.analysis {
        push(
            LineItem::Assay,
            "analysis".into(),
            "",
            a.decimal(),
            Decimal::ONE,
            &mut lines,
        )?;
    }
    unknown.dedup();
    let total = if unknown.is_empty() {
        let sum: Exact = lines.iter().map(|l| Exact::from(l.amount.decimal())).sum();
        Some(SignedAmount::rounded(sum.finish()?, currency))
    } else {
        None
    };
    Ok(HaulageCost {
        currency,
        lines,
        total,
        unknown,
        lead_time_day_count: terms.lead_time_day_count,
        free_collection: (terms.free_municipal_collection == Some(true)).then(|| {
            "A public collection may take this without charge: ask what it takes, from whom and how much."
                .to_owned()
        }),
    })
}
