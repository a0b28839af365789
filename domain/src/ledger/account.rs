//! The silver account of a period: what there was, what came, what went, what is left; and whether
//! readings and records agree.

use super::entry::Entry;
use super::fold::{Book, Movement, Place, fold};
use super::holding::{Holding, Level};
use super::network::{Apart, MOST_READINGS, Network, Source};
use super::result::{
    AccountLine, AccountReconciliation, Adjustment, ContainerBalance, ContainerBalances,
    LedgerMovement, LineKind, RecoveryFigures, ShipmentBalance, SilverAccount,
    SilverAccountRequest, Suspect,
};
use crate::answer::{Answer, Method, Notes, Severity};
use crate::batch::{Batch, BatchStatus};
use crate::estimate::estimate_batch;
use crate::fault::{Fault, FaultKind, Faults, at_most};
use crate::quantity::{
    ComputedFactor, ComputedGrams, ComputedPercent, Date, Identifier, nearest_double,
    write_significant,
};
use crate::statistics::Irreconcilable;
use crate::valuation::FAR;
use crate::waste::rule_set::{RuleSet, RuleSetName};
use crate::waste::storage::storage_danger;
use rust_decimal::Decimal;

/// Most entries that one request may carry.
pub const MOST_ENTRIES: usize = 2_000;

const RECONCILIATION: Method = Method {
    name: "data_reconciliation",
    formula: "x = y - V A' (A V A')^-1 A y: the smallest adjustments, weighted by the inverse of their variances, that close every balance; r' (A V A')^-1 r is chi-square with as many degrees of freedom as balances; a standardized adjustment beyond Sidak's limit at 5 % is a gross error",
    source: "narasimhan_jordache_2000",
};

const ACCOUNT: Method = Method {
    name: "silver_account",
    formula: "silver at the end = silver at the start + what came in - what went out + what readings found against the records",
    source: "house_rule",
};

/// Every method of this module.
pub const METHODS: &[Method] = &[ACCOUNT, RECONCILIATION];

/// Answers the silver account of a period (`POST /v1/silver-accounts`).
///
/// # Errors
/// Every fault of [`fold`]; a period that ends before it begins; too many entries.
///
/// ```
/// use spent_silver_domain::ledger::{SilverAccountRequest, account_silver};
/// // A bath made from 100 g of silver nitrate of 99.9 % holds 100 x 0.999 x 0.634994 = 63.44 g of silver.
/// let request: SilverAccountRequest = serde_json::from_str(r#"{"from": "2026-01-01", "until": "2026-12-31",
///   "entries": [
///     {"id": "1", "on": "2026-02-01", "recorded_by": "A.", "event": {"opened": {"batch": {"id": "bath", "kind": "sensitizing_bath"}}}},
///     {"id": "2", "on": "2026-02-01", "recorded_by": "A.", "event": {"made_up": {"batch": "bath",
///       "silver_nitrate_g": "100", "purity_percent": "99.9", "volume_after_l": "1.1"}}}]}"#).unwrap();
/// let account = account_silver(&request).unwrap().result;
/// assert!((account.containers[0].silver_g.unwrap().get() - 63.4359).abs() < 1e-3);
/// ```
pub fn account_silver(request: &SilverAccountRequest) -> Result<Answer<SilverAccount>, Faults> {
    let mut notes = Notes::new();
    let rules = request
        .rule_set
        .map_or_else(RuleSet::unspecified, RuleSetName::rules);
    at_most("/entries", request.entries.len(), MOST_ENTRIES)?;
    let period = (request.from, request.until);
    let account = account_book(&request.entries, period, rules, &mut notes)?;
    Ok(notes.answer(account, request.rule_set.map(|r| r.rules())))
}

/// The silver account of a period, from its first to its last day, over any number of entries.
///
/// # Errors
/// Every fault of [`fold`]; a period that ends before it begins.
pub fn account_book(
    entries: &[Entry],
    (from, until): (Date, Date),
    rules: &RuleSet,
    notes: &mut Notes,
) -> Result<SilverAccount, Faults> {
    if until < from {
        return Err(Fault::new(
            FaultKind::DateOrder,
            "/until",
            format!("{until} is before {from}: expected a day on or after `from`"),
        )
        .into());
    }
    let before = from.plus_days(-1);
    let start = fold(entries, Some(before), rules, &mut Notes::default())?;
    let book = fold(entries, Some(until), rules, notes)?;
    account(&book, &start, from, until, notes)
}

/// What a container holds, with what must be known of it.
fn balance(
    name: &Identifier,
    holding: &Holding,
    notes: &mut Notes,
) -> Result<ContainerBalance, Faults> {
    let batch = holding.batch();
    if let Some(danger) = storage_danger(&batch).filter(|_| !holding.is_empty()) {
        notes.warn(
            "",
            Severity::Danger,
            format!("{name}: {}", danger.warning()),
        );
    }
    if !batch.evidence.is_empty() {
        // What the estimate has to say of readings that disagree belongs to the container.
        let mut own = Notes::default();
        estimate_batch(&batch, "", &mut own)?;
        for warning in own.warnings() {
            notes.warn("", warning.severity, warning.text.clone());
        }
    }
    let level = holding.level()?;
    Ok(ContainerBalance {
        batch,
        empty: holding.is_empty(),
        opened_on: holding.opened_on,
        closed_on: holding.closed_on,
        silver_g: level.map(|l| ComputedGrams::of(l.value())),
        standard_uncertainty_g: level.map(|l| ComputedGrams::of(l.uncertainty())),
        reconciled_g: None,
    })
}

/// Answers what every container of a book holds, closed ones included.
///
/// # Errors
/// Readings that cannot be combined.
pub fn balance_containers(
    book: &Book,
    rules: Option<&'static RuleSet>,
) -> Result<Answer<ContainerBalances>, Faults> {
    let mut notes = Notes::new();
    let mut containers = Vec::new();
    for (name, holding) in book.holdings() {
        let about = format!("/containers/{}", containers.len());
        containers.push(notes.within(&about, |notes| balance(name, holding, notes))?);
    }
    Ok(notes.answer(ContainerBalances { containers }, rules))
}

/// Answers what one container of a book holds; `None` where it was never opened.
///
/// # Errors
/// Readings that cannot be combined.
pub fn balance_container(
    book: &Book,
    name: &Identifier,
    rules: Option<&'static RuleSet>,
) -> Result<Option<Answer<ContainerBalance>>, Faults> {
    let Some(holding) = book.holding(name) else {
        return Ok(None);
    };
    let mut notes = Notes::new();
    let balance = balance(name, holding, &mut notes)?;
    Ok(Some(notes.answer(balance, rules)))
}

/// The account of the days from `from` to `until`, between the book at its start and at its end.
fn account(
    book: &Book,
    start: &Book,
    from: Date,
    until: Date,
    notes: &mut Notes,
) -> Result<SilverAccount, Faults> {
    notes.method("/lines", ACCOUNT);
    let reconciled = Network::of(book, start, from);
    let reconciliation = match &reconciled {
        Ok(network) if network.closed.degrees_of_freedom > 0 => {
            notes.method("/reconciliation", RECONCILIATION);
            Some(compared(network, notes))
        }
        Ok(_) => None,
        Err(why) => {
            let words = match why {
                Apart::Irreconcilable(Irreconcilable::ExactContradiction) => {
                    "two figures that were entered as exact contradict each other".to_owned()
                }
                Apart::Irreconcilable(Irreconcilable::Malformed) => {
                    "their figures are too far apart in size".to_owned()
                }
                Apart::TooMany(readings) => format!(
                    "{readings} readings are more than the {MOST_READINGS} that are compared at once; ask for shorter periods"
                ),
            };
            notes.warn(
                "/reconciliation",
                Severity::Caution,
                format!("Readings and records could not be compared: {words}."),
            );
            None
        }
    };
    let mut containers = Vec::new();
    for (name, holding) in book.holdings() {
        if holding.closed_on.is_some() {
            continue;
        }
        let about = format!("/containers/{}", containers.len());
        let network = reconciled.as_ref().ok();
        let balance = ContainerBalance {
            reconciled_g: network
                .and_then(|network| network.holds(name))
                .map(ComputedGrams::of),
            ..notes.within(&about, |notes| balance(name, holding, notes))?
        };
        containers.push(balance);
    }
    let period: Vec<&Movement> = book.movements.iter().filter(|m| m.on >= from).collect();
    let recovery_figures = figures(start, book, &period)?;
    warn_of_unknown(&recovery_figures, notes);
    Ok(SilverAccount {
        from,
        until,
        lines: lines(start, book, &period)?,
        containers,
        recovery_figures,
        reconciliation,
        shipments: shipments(book, from, notes),
        movements: period.iter().map(|m| written(m)).collect(),
    })
}

fn shipments(book: &Book, from: Date, notes: &mut Notes) -> Vec<ShipmentBalance> {
    let mut all: Vec<ShipmentBalance> = Vec::new();
    for name in book.shipments.keys() {
        let here = Place::Shipment(name.clone());
        let of = |counts: &dyn Fn(&Movement) -> bool| -> Vec<&Movement> {
            book.movements.iter().filter(|m| counts(m)).collect()
        };
        let parts = of(&|m| m.to == here);
        let statement = of(&|m| m.from == here && m.to == Place::Settled);
        if parts.iter().chain(&statement).all(|m| m.on < from) {
            continue;
        }
        let sent = parts
            .iter()
            .try_fold(Level::NONE, |sum, m| Some(sum.plus(m.silver?)));
        let settled = statement.first().and_then(|m| m.silver);
        let difference = sent.zip(settled).and_then(|(sent, settled)| {
            let difference = settled.less(sent);
            let z = difference.value() / difference.uncertainty();
            z.is_finite().then_some(z)
        });
        if let Some(z) = difference.filter(|z| z.abs() > FAR) {
            let words = if z < 0.0 { "less" } else { "more" };
            notes.warn(
                &format!("/shipments/{}", all.len()),
                Severity::Caution,
                format!("The refiner found {words} silver in shipment `{name}` than the book sent, beyond the uncertainty of both ({:.1} times it). Ask how it was sampled and assayed, and look at the terms for the splitting limit and the umpire assay.", z.abs()),
            );
        }
        all.push(ShipmentBalance {
            shipment: name.clone(),
            sent_g: sent.map(|s| ComputedGrams::of(s.value())),
            sent_standard_uncertainty_g: sent.map(|s| ComputedGrams::of(s.uncertainty())),
            settled_g: settled.map(|s| ComputedGrams::of(s.value())),
            settled_standard_uncertainty_g: settled.map(|s| ComputedGrams::of(s.uncertainty())),
            standardized_difference: difference.map(ComputedFactor::of),
        });
    }
    all
}

fn written(movement: &Movement) -> LedgerMovement {
    LedgerMovement {
        entry: movement.entry.clone(),
        on: movement.on,
        from: movement.from.clone(),
        to: movement.to.clone(),
        silver_g: movement.silver.map(|l| ComputedGrams::of(l.value())),
        standard_uncertainty_g: movement.silver.map(|l| ComputedGrams::of(l.uncertainty())),
    }
}

/// A sum of silver, and how many amounts in it are unknown.
#[derive(Clone, Copy)]
struct Sum {
    level: Level,
    unknown: u32,
}

impl Sum {
    const NONE: Self = Self {
        level: Level::NONE,
        unknown: 0,
    };

    fn of(levels: impl Iterator<Item = Option<Level>>) -> Self {
        levels.fold(Self::NONE, |sum, level| match level {
            Some(level) => Self {
                level: sum.level.plus(level),
                ..sum
            },
            None => Self {
                unknown: sum.unknown.saturating_add(1),
                ..sum
            },
        })
    }

    fn line(self, what: LineKind) -> AccountLine {
        AccountLine {
            what,
            silver_g: ComputedGrams::of(self.level.value()),
            standard_uncertainty_g: ComputedGrams::of(self.level.uncertainty()),
            unknown_count: self.unknown,
        }
    }
}

/// Silver in the containers of a book, by its readings.
fn stock(book: &Book, counts: impl Fn(&Batch) -> bool) -> Result<Sum, Faults> {
    let mut levels = Vec::new();
    for (_, holding) in book.holdings() {
        if holding.closed_on.is_none() && counts(holding.content()) {
            levels.push(holding.level()?);
        }
    }
    Ok(Sum::of(levels.into_iter()))
}

/// What readings found that no later entry has settled yet.
fn open_difference(book: &Book) -> Result<Level, Faults> {
    let mut sum = Level::NONE;
    for (name, holding) in book.holdings() {
        if let (Some(level), Some(records)) = (holding.level()?, book.records(name))
            && level.grams != records
        {
            sum = sum.plus(Level {
                grams: level.grams.saturating_sub(records),
                variance: level.variance + holding.base_variance(),
            });
        }
    }
    Ok(sum)
}

/// A millionth of a gram.
const ROUNDING_G: Decimal = Decimal::from_parts(1, 0, 0, false, 6);

fn lines(start: &Book, book: &Book, period: &[&Movement]) -> Result<Vec<AccountLine>, Faults> {
    let through = |counts: &dyn Fn(&Movement) -> bool| {
        Sum::of(period.iter().filter(|m| counts(m)).map(|m| m.silver))
    };
    let from = |place: Place| through(&|m: &Movement| m.from == place);
    let to = |place: Place| through(&|m: &Movement| m.to == place);
    let mut unexplained = from(Place::Unexplained);
    // What was found by the start is in the stock of that day.
    let open = open_difference(book)?.less(open_difference(start)?);
    unexplained.level = unexplained.level.plus(open);
    // Less than a book is kept to is the rounding of what it carries.
    if unexplained.level.grams.abs() < ROUNDING_G {
        unexplained.level.grams = Decimal::ZERO;
    }
    let sent = through(&|m: &Movement| {
        matches!((&m.from, &m.to), (Place::Container(_), Place::Shipment(_)))
    });
    Ok(vec![
        stock(start, |_| true)?.line(LineKind::AtStart),
        from(Place::OnHand).line(LineKind::TakenIn),
        from(Place::Bought).line(LineKind::Bought),
        from(Place::Received).line(LineKind::Received),
        from(Place::Material).line(LineKind::FromMaterial),
        to(Place::Material).line(LineKind::ToMaterial),
        sent.line(LineKind::Shipped),
        to(Place::Collected).line(LineKind::Collected),
        to(Place::Discharged).line(LineKind::Discharged),
        to(Place::Lost).line(LineKind::Lost),
        unexplained.line(LineKind::Unexplained),
        stock(book, |_| true)?.line(LineKind::AtEnd),
    ])
}

pub(super) fn figures(
    start: &Book,
    book: &Book,
    period: &[&Movement],
) -> Result<RecoveryFigures, Faults> {
    let waste = |b: &Batch| b.status.is_some_and(BatchStatus::is_waste);
    let (first, last) = (stock(start, waste)?, stock(book, waste)?);
    let out = |counts: &dyn Fn(&Place) -> bool| {
        Sum::of(period.iter().filter(|m| counts(&m.to)).map(|m| m.silver))
    };
    let sent = out(&|place| matches!(place, Place::Shipment(_)));
    let otherwise =
        out(&|place| matches!(place, Place::Collected | Place::Discharged | Place::Lost));
    let generated = last
        .level
        .grams
        .saturating_sub(first.level.grams)
        .saturating_add(sent.level.grams)
        .saturating_add(otherwise.level.grams);
    let grams = |value: Decimal| ComputedGrams::of(nearest_double(value));
    let at_start = nearest_double(first.level.grams);
    let known = at_start > 0.0 && first.unknown == 0 && sent.unknown == 0;
    Ok(RecoveryFigures {
        at_start_g: grams(first.level.grams),
        generated_or_received_g: grams(generated),
        sent_g: grams(sent.level.grams),
        gone_otherwise_g: grams(otherwise.level.grams),
        at_end_g: grams(last.level.grams),
        turnover_percent: known
            .then(|| ComputedPercent::of(100.0 * nearest_double(sent.level.grams) / at_start)),
        unknown_at_start_count: first.unknown,
        unknown_sent_count: sent.unknown,
        unknown_at_end_count: last.unknown,
    })
}

/// Says what the figures for the recovery rules leave out.
fn warn_of_unknown(figures: &RecoveryFigures, notes: &mut Notes) {
    let parts: Vec<String> = [
        (figures.unknown_at_start_count, "on hand at the start"),
        (figures.unknown_sent_count, "sent"),
        (figures.unknown_at_end_count, "on hand at the end"),
    ]
    .iter()
    .filter(|(count, _)| *count > 0)
    .map(|(count, when)| format!("{count} {when}"))
    .collect();
    if !parts.is_empty() {
        notes.warn(
            "/recovery_figures",
            Severity::Caution,
            format!(
                "The figures for the rules on precious-metal recovery leave out spent material whose silver nobody knows ({}): they are too low, and what share was sent cannot be told. Measure it, or keep the account by weight or volume.",
                parts.join(", ")
            ),
        );
    }
}

fn compared(network: &Network, notes: &mut Notes) -> AccountReconciliation {
    let closed = &network.closed;
    let name = |i: usize| {
        let source = network.sources.get(i);
        let container = match source {
            Some(Source::Start(name)) => Some(name.clone()),
            _ => None,
        };
        (source.and_then(Source::entry).cloned(), container)
    };
    let recorded = |i: usize| network.measured.get(i).copied().flatten();
    let suspects: Vec<Suspect> = closed
        .suspects
        .iter()
        .filter_map(|i| {
            let (entry, container) = name(*i);
            let amount = closed.amounts.get(*i)?.as_ref()?;
            let reading = recorded(*i)?;
            // Left out, a reading is given by the rest: y - (y - x) v / (v - u^2).
            let gained =
                reading.variance - amount.standard_uncertainty * amount.standard_uncertainty;
            let without =
                reading.value - (reading.value - amount.value) * reading.variance / gained;
            Some(Suspect {
                entry,
                container,
                recorded_g: ComputedGrams::of(reading.value),
                expected_g: without.is_finite().then(|| ComputedGrams::of(without)),
            })
        })
        .collect();
    if closed.disagree {
        let named: Vec<String> = suspects
            .iter()
            .map(|s| {
                let name = match (&s.entry, &s.container) {
                    (Some(entry), _) => format!("entry `{entry}`"),
                    (None, Some(container)) => {
                        format!("the balance of `{container}` at the start")
                    }
                    (None, None) => String::new(),
                };
                let digits = |g: ComputedGrams| write_significant(g.get(), 4);
                let expected = s.expected_g.map_or_else(String::new, |g| {
                    format!(", and everything else says {} g", digits(g))
                });
                format!("{name} ({} g recorded{expected})", digits(s.recorded_g))
            })
            .collect();
        let who = if named.is_empty() {
            "No single entry stands out.".to_owned()
        } else {
            format!(
                "Most likely wrong: {}. Look at it before anything rests on the account.",
                named.join(" or ")
            )
        };
        notes.warn(
            "/reconciliation",
            Severity::Caution,
            format!("Readings and records of the silver disagree beyond chance. {who}"),
        );
    }
    let adjustments = closed
        .amounts
        .iter()
        .enumerate()
        .filter_map(|(i, amount)| {
            let amount = amount.as_ref()?;
            let standardized = amount.standardized_adjustment?;
            let (entry, container) = name(i);
            if matches!(network.sources.get(i), Some(Source::Share(_))) {
                return None;
            }
            Some(Adjustment {
                entry,
                container,
                recorded_g: ComputedGrams::of(recorded(i)?.value),
                reconciled_g: ComputedGrams::of(amount.value),
                standard_uncertainty_g: ComputedGrams::of(amount.standard_uncertainty),
                standardized_adjustment: ComputedFactor::of(standardized),
            })
        })
        .collect();
    AccountReconciliation {
        chi_square: ComputedFactor::of(closed.chi_square),
        check_count: u32::try_from(closed.degrees_of_freedom).unwrap_or(u32::MAX),
        chance_percent: ComputedPercent::of(100.0 * closed.chance),
        agree: !closed.disagree,
        suspects,
        adjustments,
    }
}
