//! Every day that something in the silver book falls due: what must leave, be inspected, be asked
//! after or be written up. The law is that of the classification; none is made here.

mod result;
mod year;

pub use result::{Clock, ClockKind, Clocks, ClocksRequest, WatchedContainer};

use super::arising::arisen;
use super::defaults::{days, defaults};
use super::entry::{Event, reversals};
use super::fold::{Book, Place, fold};
use super::holding::Holding;
use crate::answer::{Answer, Method, Notes, Severity};
use crate::batch::Batch;
use crate::bibliography::{SourceStatus, reference};
use crate::estimate::{Estimate, estimate_batch};
use crate::fault::{Faults, at_most};
use crate::quantity::{Date, Identifier};
use crate::waste::classification::{
    Classification, Hazardous, MonthlyShare, Site, Standing, classify_batch, monthly_share,
    standing_of,
};
use crate::waste::rule_set::{RuleSet, RuleSetName};
use crate::waste::storage::{StorageClock, StorageDanger, storage_danger};
use std::collections::BTreeMap;
use std::sync::Arc;
use year::of_the_year;

const CLOCKS: Method = Method {
    name: "clocks_of_the_book",
    formula: "due = start + days: a storage limit from its own start, an inspection from the last one or from the day the container stood here as waste, a refiner's statement from the day of sending, the year's account on 31 December",
    source: "house_rule",
};

/// Every method of this module.
pub const CLOCK_METHODS: &[Method] = &[CLOCKS];

/// Answers `POST /v1/waste-clocks`: every clock and due day of the book, from its entries.
///
/// Storage limits are those of the classification under the rule set, with the month's waste counted
/// over the whole book: what became waste in the month, whether it still stands here or has left. Where
/// no rule says how often waste is inspected, every seventh
/// day is taken, which is common practice without a source.
///
/// # Errors
/// Every fault of [`fold`]; too many entries; what a classification refuses, at the entry that opened
/// the container.
///
/// ```
/// use spent_silver_domain::ledger::{ClockKind, ClocksRequest, list_clocks};
/// // Spent on 1 March at a small generator: 180 days (40 CFR 262.16) end on 28 August.
/// let request: ClocksRequest = serde_json::from_str(r#"{"on": "2026-03-02", "rule_set": "us-federal",
///   "other_hazardous_waste_kg": "150", "other_acute_waste_kg": "0",
///   "entries": [
///     {"id": "1", "on": "2026-02-01", "recorded_by": "A.", "event": {"opened": {"batch": {"id": "jug", "kind": "fixer",
///       "craft": "film_and_paper", "volume_l": "10", "density_g_per_ml": "1.09",
///       "evidence": [{"laboratory_assay": {"silver_mg_per_l": "5000"}}]}}}},
///     {"id": "2", "on": "2026-03-01", "recorded_by": "A.", "event": {"spent": {"batch": "jug"}}}]}"#).unwrap();
/// let clocks = list_clocks(&request).unwrap().result.clocks;
/// let limit = clocks.iter().find(|c| c.what == ClockKind::StorageLimit).unwrap();
/// assert_eq!((limit.id.as_str(), limit.due_on.to_string()), ("jug/storage_limit/us-small-days", "2026-08-28".into()));
/// ```
pub fn list_clocks(request: &ClocksRequest) -> Result<Answer<Clocks>, Faults> {
    at_most("/entries", request.entries.len(), super::MOST_ENTRIES)?;
    clocks_of_book(request)
}

/// As [`list_clocks`], over any number of entries.
///
/// # Errors
/// See there.
pub fn clocks_of_book(request: &ClocksRequest) -> Result<Answer<Clocks>, Faults> {
    let mut notes = Notes::new();
    let rules = request
        .rule_set
        .map_or_else(RuleSet::unspecified, RuleSetName::rules);
    let on = request.on;
    let book = notes.as_a_whole(|notes| fold(&request.entries, Some(on), rules, notes))?;
    let watched = watch(request, &book, rules)?;
    let inspected = Inspected::of(request);
    let mut clocks = Vec::new();
    let mut containers = Vec::with_capacity(watched.len());
    for (i, one) in watched.iter().enumerate() {
        let about = format!("/containers/{i}");
        let classification = notes.within(&about, |notes| {
            notes.as_a_whole(|notes| {
                for warning in one.of_estimate.warnings() {
                    notes.warn("", warning.severity, warning.text.clone());
                }
                classify_batch(&one.batch, one.estimate.as_ref(), &one.site, &one.at, notes)
            })
        })?;
        let last = inspected.last(one.holding);
        clocks.extend(of_container(one, &classification, last, on, &mut notes));
        containers.push(seen(one, classification, last));
    }
    clocks.extend(of_shipments(request, &book, &mut notes));
    clocks.extend(of_the_year(request, &book, rules)?);
    clocks.sort_by(|a, b| (a.due_on, a.what, &a.id).cmp(&(b.due_on, b.what, &b.id)));
    if !clocks.is_empty() {
        notes.method("/clocks", CLOCKS);
    }
    for (i, clock) in clocks.iter().enumerate() {
        if let Some(source) = reference(&clock.source) {
            notes.cite(&source.key);
        }
        // What is a danger, and what should have left, the classification has said.
        let asked = matches!(
            clock.what,
            ClockKind::Inspection | ClockKind::RefinerStatement
        );
        if asked && clock.days_left_count < 0 {
            notes.warn(
                &format!("/clocks/{i}"),
                Severity::Caution,
                format!("Overdue since {}: {}", clock.due_on, clock.text),
            );
        }
    }
    let result = Clocks {
        on,
        clocks,
        containers,
    };
    Ok(notes.answer(result, request.rule_set.map(|r| r.rules())))
}

/// A container with something in it, and what a classification needs besides.
struct Watched<'a> {
    holding: &'a Holding,
    batch: Batch,
    estimate: Option<Estimate>,
    /// What the estimate has to say of its readings.
    of_estimate: Notes,
    /// The place of the entry that opened it.
    at: String,
    site: Site,
}

/// Every container that is not empty, with what became waste in each month.
fn watch<'a>(
    request: &ClocksRequest,
    book: &'a Book,
    rules: &'static RuleSet,
) -> Result<Vec<Watched<'a>>, Faults> {
    let site = Site {
        premises: request.premises,
        other_hazardous_waste_kg: request.other_hazardous_waste_kg,
        other_acute_waste_kg: request.other_acute_waste_kg,
        haul_distance_km: request.haul_distance_km,
        ..Site::of_nobody(rules, request.on)
    };
    let gone = reversals(&request.entries);
    let mut openings: BTreeMap<&Identifier, usize> = BTreeMap::new();
    for (i, entry) in request.entries.iter().enumerate() {
        if let Event::Opened(opened) = &entry.event
            && !gone.contains_key(&entry.id)
        {
            openings.entry(&opened.batch.id).or_insert(i);
        }
    }
    let opened_at = |name: &Identifier| {
        openings
            .get(name)
            .map_or_else(String::new, |i| format!("/entries/{i}/event/opened/batch"))
    };
    let mut all = Vec::new();
    for (name, holding) in book.holdings() {
        if holding.is_empty() || holding.closed_on.is_some() {
            continue;
        }
        let batch = holding.batch();
        let mut of_estimate = Notes::default();
        let estimate = if batch.evidence.is_empty() {
            None
        } else {
            Some(estimate_batch(&batch, "", &mut of_estimate)?)
        };
        all.push(Watched {
            holding,
            batch,
            estimate,
            of_estimate,
            at: opened_at(name),
            site: site.clone(),
        });
    }
    let arising = arisen(&request.entries, &site, opened_at)?;
    for one in &mut all {
        if one.batch.waste_since.is_none() && standing_of(&one.batch).is == Standing::Waste {
            one.batch.waste_since = arising.since.get(&one.batch.id).copied();
        }
    }
    let mut shares = arising.shares;
    // What came into a container of waste in another way counts with the container.
    for one in &all {
        let own = monthly_share(&one.batch, one.estimate.as_ref(), &site, &one.at);
        if !shares.iter().any(|s| s.month == own.month) {
            shares.push(own);
        }
    }
    let shares: Arc<[MonthlyShare]> = shares.into();
    for one in &mut all {
        one.site.shares = Arc::clone(&shares);
    }
    Ok(all)
}

fn seen(one: &Watched<'_>, found: Classification, last: Option<Date>) -> WatchedContainer {
    WatchedContainer {
        container: one.batch.id.clone(),
        kind: one.batch.kind,
        standing: found.standing,
        hazardous: found.hazardous,
        codes: found.codes.iter().map(|c| c.with_certainty()).collect(),
        category: found.category,
        last_inspected_on: last,
        unknowns: found.unknowns,
    }
}

/// The last inspections that count on the day asked for.
struct Inspected<'a> {
    of_all: Option<Date>,
    of_one: BTreeMap<&'a Identifier, Date>,
}

impl<'a> Inspected<'a> {
    fn of(request: &'a ClocksRequest) -> Self {
        let gone = reversals(&request.entries);
        let mut inspected = Self {
            of_all: None,
            of_one: BTreeMap::new(),
        };
        for entry in &request.entries {
            let Event::Inspected(inspection) = &entry.event else {
                continue;
            };
            if entry.on > request.on || gone.contains_key(&entry.id) {
                continue;
            }
            match &inspection.batch {
                None => inspected.of_all = inspected.of_all.max(Some(entry.on)),
                Some(name) => {
                    let last = inspected.of_one.entry(name).or_insert(entry.on);
                    *last = entry.on.max(*last);
                }
            }
        }
        inspected
    }

    /// The last inspection of a container, or of the whole place, since it came into the book.
    fn last(&self, holding: &Holding) -> Option<Date> {
        let own = self.of_one.get(&holding.content().id).copied();
        self.of_all.max(own).filter(|day| *day >= holding.opened_on)
    }
}

/// A clock about a container, before its words.
fn about(batch: &Batch, what: ClockKind, kind: &str, due_on: Date, on: Date) -> Clock {
    Clock {
        id: format!("{}/{kind}", batch.id),
        what,
        container: Some(batch.id.clone()),
        shipment: None,
        starts_on: None,
        due_on,
        days_left_count: due_on.days_since(on),
        text: String::new(),
        clause: None,
        source: "house_rule".to_owned(),
        status: SourceStatus::CommonPractice,
    }
}

fn of_container(
    one: &Watched<'_>,
    found: &Classification,
    last: Option<Date>,
    on: Date,
    notes: &mut Notes,
) -> Vec<Clock> {
    let mut clocks = Vec::new();
    if let Some(danger) = storage_danger(&one.batch) {
        clocks.push(today(&one.batch, &danger, on, notes));
    }
    let limit = |what: ClockKind, clock: &StorageClock, words: &str| Clock {
        starts_on: Some(clock.starts_on),
        text: format!(
            "`{}` must have left by {}.{words} {} It counts from {}.",
            one.batch.id, clock.due_on, clock.rule, clock.starts_on
        ),
        clause: Some(clock.clause.clone()),
        source: clock.source.clone(),
        status: clock.status,
        ..about(
            &one.batch,
            what,
            &format!("storage_limit/{}", clock.rule_id),
            clock.due_on,
            on,
        )
    };
    clocks.extend(
        found
            .clock
            .iter()
            .map(|c| limit(ClockKind::StorageLimit, c, "")),
    );
    clocks.extend(found.possible_clocks.iter().map(|c| {
        limit(
            ClockKind::PossibleStorageLimit,
            c,
            " While the site's category is not known this clock may run.",
        )
    }));
    clocks.extend(inspection(one, found, last, on, notes));
    clocks
}

fn today(batch: &Batch, danger: &StorageDanger, on: Date, notes: &mut Notes) -> Clock {
    for source in &danger.sources {
        if let Some(source) = reference(source) {
            notes.cite(&source.key);
        }
    }
    let never = if danger.never.is_empty() {
        String::new()
    } else {
        format!(" Never: {}", danger.never.join(" "))
    };
    let source = danger.sources.first().cloned().unwrap_or_default();
    Clock {
        text: format!(
            "`{}`: {} {}{never}",
            batch.id,
            danger.warning(),
            danger.act.join(" ")
        ),
        status: reference(&source).map_or(SourceStatus::Unverified, |r| r.status),
        source,
        ..about(batch, ClockKind::ActToday, "act_today", on, on)
    }
}

/// When the container is to be looked at: by the rule where there is one, else by common practice.
/// What is at work, unused or not hazardous has no such day.
fn inspection(
    one: &Watched<'_>,
    found: &Classification,
    last: Option<Date>,
    on: Date,
    notes: &mut Notes,
) -> Option<Clock> {
    if matches!(found.standing.is, Standing::AtWork | Standing::Unused)
        || found.hazardous == Hazardous::NotIndicated
    {
        return None;
    }
    let opened = one.holding.opened_on;
    let since = one.batch.waste_since.map_or(opened, |day| day.max(opened));
    let starts = last.map_or(since, |day| day.max(since));
    let usual = &defaults().inspection_interval;
    let (every, clause, source, status) = match &found.inspection {
        Some(duty) => (
            duty.every_day_count,
            Some(duty.authority.clause.clone()),
            duty.authority.source.clone(),
            duty.authority.status,
        ),
        None => {
            notes.assume(
                "/clocks",
                "/rule_set",
                "common_practice",
                format!(
                    "No rule of the set says how often these containers are inspected: taken as every {} days ({}).",
                    days(usual),
                    usual.status.words()
                ),
            );
            (days(usual), None, usual.source.clone(), usual.status)
        }
    };
    let before = last.map_or_else(
        || format!("no inspection is recorded since {since}"),
        |day| format!("the last was on {day}"),
    );
    let by = clause.as_ref().map_or_else(
        || status.words().to_owned(),
        |c| format!("{c}, {}", status.words()),
    );
    let due = starts.plus_days(every);
    Some(Clock {
        starts_on: Some(starts),
        text: format!(
            "Look at `{}` without opening it: shut, sound, labelled, in its tray; and write down what you found. Every {every} days ({by}); {before}.",
            one.batch.id
        ),
        clause,
        source,
        status,
        ..about(&one.batch, ClockKind::Inspection, "inspection", due, on)
    })
}

/// Shipments without a statement.
fn of_shipments(request: &ClocksRequest, book: &Book, notes: &mut Notes) -> Vec<Clock> {
    let usual = &defaults().wait_for_statement;
    let wait = request
        .settlement_day_count
        .map_or_else(|| days(usual), i64::from);
    let mut clocks = Vec::new();
    for (name, _) in book.shipments.iter().filter(|(_, s)| !s.settled) {
        let there = Place::Shipment(name.clone());
        let Some(sent) = book
            .movements
            .iter()
            .filter(|m| m.to == there)
            .map(|m| m.on)
            .max()
        else {
            continue;
        };
        let (source, status, words) = match request.settlement_day_count {
            Some(_) => (
                "house_rule",
                SourceStatus::CommonPractice,
                "by the terms you gave".to_owned(),
            ),
            None => {
                let source = reference(&usual.source).map_or("common_practice", |r| r.key.as_str());
                notes.assume(
                    "/clocks",
                    "/settlement_day_count",
                    source,
                    format!("A refiner's statement is awaited within {wait} days of sending, the longer end of a published schedule ({}); your refiner's terms may say otherwise.", usual.status.words()),
                );
                (source, usual.status, "by a published schedule".to_owned())
            }
        };
        let due = sent.plus_days(wait);
        let on_the_way = request.on.days_since(sent);
        clocks.push(Clock {
            id: format!("{name}/refiner_statement"),
            what: ClockKind::RefinerStatement,
            container: None,
            shipment: Some(name.clone()),
            starts_on: Some(sent),
            due_on: due,
            days_left_count: due.days_since(request.on),
            text: format!(
                "Shipment `{name}` has been on its way for {on_the_way} days without a statement. Ask the refiner when {wait} days have gone by ({words}); enter the statement as `settled`."
            ),
            clause: None,
            source: source.to_owned(),
            status,
        });
    }
    clocks
}
