//! Under which entries of the tables of dangerous goods a container may travel: candidates, each with
//! its reason, its source and what would change it. A competent person classifies; nothing here does.
//!
//! The gate comes first: who may offer it at all. What must not be kept, and cyanide, never travels
//! from a studio.

mod condition;
mod data;
mod gate;
mod item;
mod quantities;
mod request;
mod result;
mod search;
mod span;

pub use data::{GateSubject, TransportTable, rule_sources};
pub use request::{Carriage, MOST_ITEMS, ShippingGate, TransportRequest};
pub use result::{
    Fit, Gate, GateAnswer, GateFinding, LimitedQuantity, LimitedQuantityVerdict, Reached,
    ReportableFinding, TransportCandidate, TransportCandidates, TransportItem, TransportMark,
    TransportVerdict,
};

pub use search::rules_without_row;

use crate::answer::{Answer, Method, Notes, Severity};
use crate::batch::Batch;
use crate::estimate::{Estimate, estimate_batch};
use crate::fault::{Fault, Faults, at_most};
use crate::quantity::Date;
use crate::waste::classification::source_key;
use crate::waste::rule_set::RuleSet;
use crate::waste::storage::storage_danger;
use condition::Around;
use data::rules;
use item::Item;
use quantities::{reportable, surest, unread};
use search::{Search, marks};
use span::Truth;

/// How candidates are found.
pub const CANDIDATES: Method = Method {
    name: "transport candidates",
    formula: "each row of the tables with its conditions on substance, share in % by mass, form, pH, flash and boiling point: all hold, fits; one is not known, open; one fails, not listed",
    source: "house_rule",
};

/// How a reportable quantity is compared.
pub const REPORTABLE: Method = Method {
    name: "reportable quantity of a package",
    formula: "mass of the substance in one package, or for a waste code the mass of the waste, against the reportable quantity; equal counts; for a substance in a mixture only from its share by mass up",
    source: "cfr49_171_8",
};

const STANDING: &str = "Candidates only: a competent person classifies, and answers for it.";

/// Answers `POST /v1/transport-candidates`.
///
/// Each container is taken as one package. Shares are percent by mass, masses kilograms; a bare
/// figure is taken at its face value, one with an uncertainty over its whole interval. Sources: 49 CFR
/// 172.101 (1 June 2026) and ADR 2017 Table A.
///
/// # Errors
/// No container, too many, a fault of a batch or its evidence, and a generator category that the
/// rule set does not name.
///
/// ```
/// use spent_silver_domain::waste::transport::{TransportRequest, TransportVerdict, transport_candidates};
/// let request: TransportRequest = serde_json::from_str(r#"{"batches": [{"id": "jar", "kind": "unused_chemical",
///   "status": "unused", "form": "solid", "mass_kg": "0.5", "composition": [{"substance": "silver_nitrate"}]}],
///   "on": "2026-11-25", "rule_set": "eu"}"#).unwrap();
/// let answer = transport_candidates(&request).unwrap();
/// let jar = &answer.result.items[0];
/// assert_eq!(jar.verdict, TransportVerdict::Candidates);
/// // ADR Table A: UN 1493, 5.1, packing group II, 1 kg: half a kilogram is within.
/// assert_eq!(jar.candidates[0].number, "UN1493");
/// // Nobody said that anyone is trained, or that a carrier agreed.
/// assert!(!answer.result.gate.passed_as_stated);
/// ```
pub fn transport_candidates(
    request: &TransportRequest,
) -> Result<Answer<TransportCandidates>, Faults> {
    let mut notes = Notes::new();
    let rules = request.rule_set.map(|r| r.rules());
    if request.batches.is_empty() {
        return Err(Fault::missing("/batches", "at least one container").into());
    }
    at_most("/batches", request.batches.len(), MOST_ITEMS)?;
    let mut faults = Vec::new();
    for (i, batch) in request.batches.iter().enumerate() {
        faults.extend(batch.faults(&format!("/batches/{i}")));
    }
    Faults::none_of(faults)?;
    let mut known = Vec::with_capacity(request.batches.len());
    for (i, batch) in request.batches.iter().enumerate() {
        let estimate = if batch.evidence.is_empty() {
            None
        } else {
            let place = format!("/batches/{i}");
            Some(notes.within(&format!("/items/{i}"), |notes| {
                notes.as_a_whole(|notes| estimate_batch(batch, &place, notes))
            })?)
        };
        known.push((batch, estimate));
    }
    let load = Load {
        known: &known,
        gate: request.gate.as_ref(),
        on: request.on,
        rules: rules.unwrap_or_else(RuleSet::unspecified),
        batches_at: "/batches",
        gate_at: "/gate",
    };
    let result = candidates_for(&load, &mut notes)?;
    Ok(notes.answer(result, rules))
}

/// Containers that are to travel together, and what was said of the load.
pub struct Load<'a> {
    /// The containers, checked, each with its estimate where it carries evidence.
    pub known: &'a [(&'a Batch, Option<Estimate>)],
    /// What has been settled.
    pub gate: Option<&'a ShippingGate>,
    /// Today.
    pub on: Date,
    /// The rules that apply.
    pub rules: &'a RuleSet,
    /// Where the containers stand in the request.
    pub batches_at: &'a str,
    /// Where the gate stands in the request.
    pub gate_at: &'a str,
}

/// The gate and the candidates of a load.
///
/// # Errors
/// A generator category that the rule set does not name.
pub fn candidates_for(load: &Load<'_>, notes: &mut Notes) -> Result<TransportCandidates, Faults> {
    if let Some(gate) = load.gate {
        Faults::none_of(gate::faults(gate, load.rules, load.gate_at))?;
    }
    let tables = tables_of(load.rules);
    if tables.len() > 1 {
        notes.assume(
            "/items",
            "/rule_set",
            "house_rule",
            "The rule set names no table of dangerous goods: both tables that were read are searched.",
        );
    }
    notes.method("/items", CANDIDATES);
    if tables.contains(&TransportTable::Us) {
        notes.method("/items", REPORTABLE);
    }
    notes.assume(
        "/items",
        load.batches_at,
        "house_rule",
        "Each container counts as one package; containers packed into one outer package are added up by whoever packs.",
    );
    let gate = gate::ask(load.gate, load.on, &tables);
    if !gate.passed_as_stated {
        notes.warn("/gate", Severity::Caution, gate.text);
    }
    for question in &gate.questions {
        notes.cite(question.source);
    }
    let mut items = Vec::with_capacity(load.known.len());
    for (i, (batch, estimate)) in load.known.iter().enumerate() {
        let place = format!("{}/{i}", load.batches_at);
        let item = notes.within(&format!("/items/{i}"), |notes| {
            item_of(batch, estimate.as_ref(), load, &tables, &place, notes)
        });
        items.push(item);
    }
    Ok(TransportCandidates {
        standing: STANDING,
        gate,
        items,
    })
}

/// The tables that a rule set lives under; both where it names none.
fn tables_of(of: &RuleSet) -> Vec<TransportTable> {
    let mut id = Some(of.id.as_str());
    let mut base = of.extends.as_deref();
    while let Some(name) = id {
        if let Some(law) = rules().law.iter().find(|l| l.rule_set == name) {
            return vec![law.table];
        }
        id = base;
        base = RuleSet::all()
            .find(|r| base == Some(r.id.as_str()))
            .and_then(|r| r.extends.as_deref());
    }
    vec![TransportTable::Us, TransportTable::Adr]
}

/// Why a batch does not travel from a studio, where it does not: keeping it is itself a danger, it
/// counts as cyanide, or it may be an explosive.
#[must_use]
pub fn stays(batch: &Batch) -> Option<String> {
    if let Some(danger) = storage_danger(batch) {
        return Some(danger.warning());
    }
    let contents = crate::waste::contents::implied_groups(batch);
    let stated_form = batch.form;
    rules()
        .stays
        .iter()
        .find(|rule| {
            let in_form = rule.form.is_none_or(|f| {
                stated_form == Some(f) || (stated_form.is_none() && !batch.kind.is_liquid())
            });
            contents.holds(rule.group) && in_form
        })
        .map(|rule| rule.why.clone())
}

fn item_of(
    batch: &Batch,
    estimate: Option<&Estimate>,
    load: &Load<'_>,
    tables: &[TransportTable],
    at: &str,
    notes: &mut Notes,
) -> TransportItem {
    if let Some(reason) = stays(batch) {
        notes.warn("", Severity::Danger, format!("{}: {reason}", batch.id));
        return TransportItem {
            id: batch.id.to_string(),
            verdict: TransportVerdict::Stays,
            reason,
            candidates: Vec::new(),
            to_find_out: Vec::new(),
            reportable: Vec::new(),
            marks: Vec::new(),
        };
    }
    let category = load.gate.and_then(|g| g.generator_category.as_ref());
    let item = Item::read(batch, estimate, load.rules, category, at, notes);
    let (reportable, unread) = if tables.contains(&TransportTable::Us) {
        (reportable(&item), unread(&item))
    } else {
        (Vec::new(), Vec::new())
    };
    let least = if unread.is_empty() {
        Truth::No
    } else {
        Truth::Open
    };
    let mut around = Around {
        so_far: Truth::No,
        reportable: surest(&reportable).max(least),
    };
    let mut found = Search::default();
    for table in tables {
        around.so_far = Truth::No;
        found.rows(&item, *table, &mut around);
    }
    found.strangers(&item, tables, around);
    if !unread.is_empty() {
        found.ask(format!(
            "The reportable quantity of {}: it was not read here. It is in Appendix A of 49 CFR 172.101, and the mass of the waste counts.",
            unread.join(", ")
        ));
    }
    found.candidates.sort_by_key(|c| c.fit);
    let marks = marks(&item, tables, around, &found);
    for source in found.sources() {
        notes.cite(source_key(source));
    }
    for r in &reportable {
        notes.cite(source_key(r.source));
    }
    let (verdict, reason) = found.verdict();
    let to_find_out = found.to_find_out();
    TransportItem {
        id: batch.id.to_string(),
        verdict,
        reason,
        candidates: found.candidates,
        to_find_out,
        reportable,
        marks,
    }
}
