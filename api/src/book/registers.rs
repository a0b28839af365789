//! What is asked of the whole book: what falls due, and what an inspector asks for.

use super::handlers::{all_entries, named_rules, period};
use super::{Answered, CALENDAR, CSV, Call, TEXT, csv, json, now, respond};
use crate::problem::Problem;
use crate::render;
use crate::server::State;
use crate::store::{Store, StoredStudio};
use actix_web::web;
use icalendar::{Calendar, Component as _, Event, Property};
use spent_silver_domain::answer::Answer;
use spent_silver_domain::fault::Faults;
use spent_silver_domain::ledger::{
    Clock, Clocks, ClocksRequest, Entry, WasteRegisterRequest, clocks_of_book, register_of_book,
};
use spent_silver_domain::quantity::{Date, Identifier};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

pub(super) async fn clocks(call: Call) -> Answered {
    let studio = call.store()?.studio(call.studio()).await?;
    let on = call.parsed("on", Date::parse)?;
    let on = on.unwrap_or_else(|| studio.record.day(now()));
    let answer = clocks_on(call.state()?, &studio, on).await?;
    match call.media_type {
        CSV => csv::rows_of(&call, &*answer, csv::clocks(&answer.result.clocks)?),
        _ => json(&*answer),
    }
}

/// What falls due by the books of the studios that were asked last. It takes every entry of a book and a
/// classification of every container, and stays as it is until something is written down or the day
/// is over.
#[derive(Default)]
pub(crate) struct KnownClocks(Mutex<BTreeMap<Identifier, Known>>);

struct Known {
    /// The version of the studio's record, the number of its last entry, and the day.
    of: (i64, i64, Date),
    answer: Arc<Answer<Clocks>>,
}

impl KnownClocks {
    /// Most studios.
    const STUDIOS: usize = 8;
    /// Most containers of one: beyond, an answer takes more room than it saves time.
    const CONTAINERS: usize = 2_000;

    fn open(&self) -> MutexGuard<'_, BTreeMap<Identifier, Known>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn get(&self, studio: &StoredStudio, on: Date) -> Option<Arc<Answer<Clocks>>> {
        let open = self.open();
        let known = open.get(&studio.record.id)?;
        let of = (studio.version, studio.last_sequence, on);
        (known.of == of).then(|| Arc::clone(&known.answer))
    }

    fn keep(&self, studio: &StoredStudio, on: Date, answer: &Arc<Answer<Clocks>>) {
        if answer.result.containers.len() > Self::CONTAINERS {
            return;
        }
        let mut open = self.open();
        if open.len() >= Self::STUDIOS && !open.contains_key(&studio.record.id) {
            open.clear();
        }
        let known = Known {
            of: (studio.version, studio.last_sequence, on),
            answer: Arc::clone(answer),
        };
        open.insert(studio.record.id.clone(), known);
    }
}

/// What falls due by a studio's book, as of a day.
pub(crate) async fn clocks_on(
    state: &State,
    studio: &StoredStudio,
    on: Date,
) -> Result<Arc<Answer<Clocks>>, Problem> {
    if let Some(known) = state.clocks.get(studio, on) {
        return Ok(known);
    }
    let store = &state.store;
    let site = &studio.record.studio;
    let request = ClocksRequest {
        entries: entries(store, studio.record.id.as_str()).await?,
        on,
        premises: site.premises,
        other_hazardous_waste_kg: site.other_hazardous_waste_kg,
        other_acute_waste_kg: site.other_acute_waste_kg,
        haul_distance_km: site.haul_distance_km,
        settlement_day_count: None,
        rule_set: studio.record.rule_set,
    };
    let answer = Arc::new(done(move || clocks_of_book(&request)).await?);
    state.clocks.keep(studio, on, &answer);
    Ok(answer)
}

/// Every entry of a studio's book.
pub(crate) async fn entries(store: &Store, studio: &str) -> Result<Vec<Entry>, Problem> {
    let all = all_entries(store, studio).await?;
    Ok(all.into_iter().map(|e| e.entry).collect())
}

async fn done<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Faults> + Send + 'static,
) -> Result<T, Problem> {
    Ok(web::block(work).await.map_err(|_| Problem::internal())??)
}

pub(super) async fn register(call: Call) -> Answered {
    let studio = call.store()?.studio(call.studio()).await?;
    let (from, until) = period(&call)?;
    let request = WasteRegisterRequest {
        entries: entries(call.store()?, call.studio()).await?,
        from,
        until,
        rule_set: named_rules(&studio).and(studio.record.rule_set),
    };
    let answer = done(move || register_of_book(&request)).await?;
    match call.media_type {
        TEXT => Ok(respond(200, TEXT, render::register::register(&answer))),
        CSV => csv::rows_of(&call, &answer, csv::register(&answer.result.rows)?),
        _ => json(&answer),
    }
}

/// The clocks as a calendar (RFC 5545): one day each.
pub(super) async fn calendar(call: Call) -> Answered {
    let studio = call.store()?.studio(call.studio()).await?;
    let on = studio.record.day(now());
    let answer = clocks_on(call.state()?, &studio, on).await?;
    let mut calendar = Calendar::empty();
    calendar
        .append_property(Property::new("VERSION", "2.0"))
        .append_property(Property::new("PRODID", "-//Spent Silver//Silver book//EN"))
        .append_property(Property::new("CALSCALE", "GREGORIAN"));
    calendar.name(&format!("Spent silver: {}", studio.record.studio.name));
    for clock in &answer.result.clocks {
        calendar.push(event(call.studio(), clock, on, answer.notice.text.as_ref()));
    }
    Ok(respond(200, CALENDAR, calendar.to_string()))
}

fn event(studio: &str, clock: &Clock, on: Date, notice: &str) -> Event {
    let day = |date: Date| date.to_string().replace('-', "");
    let what = serde_json::to_value(clock.what).unwrap_or_default();
    let what = what.as_str().unwrap_or_default().replace('_', " ");
    let about = [&clock.container, &clock.shipment]
        .into_iter()
        .flatten()
        .next()
        .map_or_else(String::new, |name| format!("{name}: "));
    let mut words = clock.text.clone();
    if let Some(clause) = &clock.clause {
        words.push_str(&format!("\n{clause}"));
    }
    words.push_str(&format!("\n{notice}"));
    let whole_day = |date: Date, key: &str| {
        let mut property = Property::new(key, day(date));
        property.add_parameter("VALUE", "DATE");
        property
    };
    let mut event = Event::new();
    event
        .uid(&format!("{}@{studio}.spent-silver", clock.id))
        .summary(&format!("{about}{what}"))
        .description(&words)
        .append_property(whole_day(clock.due_on, "DTSTART"))
        .append_property(whole_day(clock.due_on.plus_days(1), "DTEND"))
        // The state of the book is that of the day it was asked.
        .append_property(Property::new("DTSTAMP", format!("{}T000000Z", day(on))))
        .append_property(Property::new("TRANSP", "TRANSPARENT"));
    event.done()
}
