//! Entries, and what they come to.

use super::{Answered, CSV, Call, JSON, TEXT, csv, json, now, page, refused_parameter, respond};
use crate::contract;
use crate::problem::{Code, Problem};
use crate::reader;
use crate::render;
use crate::store::{Access, RecordedEntry, Recording, Reply, Store, StoredStudio};
use actix_web::http::header;
use actix_web::{HttpResponse, web};
use spent_silver_domain::answer::{Answer, Notes};
use spent_silver_domain::fault::Faults;
use spent_silver_domain::ledger::{
    Book, Entry, SilverAccount, Subject, account_book, balance_container, balance_containers, fold,
};
use spent_silver_domain::quantity::{Date, Identifier};
use spent_silver_domain::waste::rule_set::{RuleSet, RuleSetName};
use std::sync::Arc;

/// Entries read at a time where all are needed.
const CHUNK: i64 = 1000;

pub(crate) fn rules(studio: &StoredStudio) -> &'static RuleSet {
    studio
        .record
        .rule_set
        .map_or_else(RuleSet::unspecified, RuleSetName::rules)
}

/// The rules as an answer names them: a studio without any has an assumption.
pub(crate) fn named_rules(studio: &StoredStudio) -> Option<&'static RuleSet> {
    studio.record.rule_set.map(RuleSetName::rules)
}

pub(super) fn located(response: &mut HttpResponse, location: &str) -> Result<(), Problem> {
    let location = location.parse().map_err(|_| Problem::internal())?;
    response.headers_mut().insert(header::LOCATION, location);
    Ok(())
}

pub(super) async fn append(call: Call) -> Answered {
    let key = call.key()?;
    let reply = record(
        call.store()?,
        call.studio(),
        &call.body,
        (&key, &call.payload()),
        &call.access,
    )
    .await?;
    let mut response = respond(201, JSON, reply.body);
    located(&mut response, &reply.location)?;
    Ok(response)
}

/// Reads an entry from JSON and appends it to a studio's book.
pub(crate) async fn record(
    store: &Store,
    name: &str,
    body: &[u8],
    (key, payload): (&str, &[u8]),
    access: &Access,
) -> Result<Reply, Problem> {
    let entry: Entry = reader::read(body, contract::members())?;
    let studio = store.studio(name).await?;
    let today = studio.record.day(now());
    if entry.on > today {
        return Err(Problem::input(
            "out_of_range",
            "/on",
            format!(
                "{} is not yet: expected a day not after today, {today}",
                entry.on
            ),
        ));
    }
    let recording = Recording {
        studio: name,
        entry: &entry,
        key,
        payload,
        access,
        now: now(),
        rules: rules(&studio),
    };
    let location = format!("/v1/studios/{name}/entries/{}", entry.id);
    store
        .append(&recording, |recorded, notes| {
            let answer = notes.answer(recorded.clone(), named_rules(&studio));
            Ok(Reply {
                location,
                body: written(&answer)?,
            })
        })
        .await
}

fn written<T: serde::Serialize>(value: &T) -> Result<String, Problem> {
    let bytes = crate::json::to_vec(value).map_err(|_| Problem::internal())?;
    String::from_utf8(bytes).map_err(|_| Problem::internal())
}

pub(super) async fn entries(call: Call) -> Answered {
    let (limit, after) = call.paging()?;
    let batch = call.parsed("batch", |name| {
        Identifier::new(name).map(Subject::Container)
    })?;
    let shipment = call.parsed("shipment", |name| {
        Identifier::new(name).map(Subject::Shipment)
    })?;
    if batch.is_some() && shipment.is_some() {
        return Err(refused_parameter(
            "shipment",
            "conflict",
            "expected a container or a shipment, not both".to_owned(),
        ));
    }
    let about = batch.or(shipment);
    let store = call.store()?;
    store.studio(call.studio()).await?;
    let entries = store
        .entries(
            call.studio(),
            about.as_ref(),
            after,
            limit.saturating_add(1),
        )
        .await?;
    let page = page(entries, limit, |e| e.sequence);
    if call.media_type == CSV {
        let mut response = respond(200, CSV, csv::entries(&page.items)?);
        if let Some(cursor) = &page.next_cursor {
            let link = format!(
                "</v1/studios/{}/entries?limit={limit}&cursor={cursor}>; rel=\"next\"",
                call.studio()
            );
            let link = link.parse().map_err(|_| Problem::internal())?;
            response.headers_mut().insert(header::LINK, link);
        }
        return Ok(response);
    }
    json(&page)
}

pub(super) async fn entry(call: Call) -> Answered {
    let store = call.store()?;
    store.studio(call.studio()).await?;
    json(&store.entry(call.studio(), call.segment("entry")).await?)
}

/// A day, and an instant of recording.
type AsOf = (Option<Date>, Option<jiff::Timestamp>);

fn as_of(call: &Call) -> Result<AsOf, Problem> {
    let on = call.parsed("on", Date::parse)?;
    let recorded = call.parsed("recorded_until", |text| {
        text.parse::<jiff::Timestamp>().map_err(|_| {
            format!("`{text}` is not an instant: expected RFC 3339, such as 2026-11-25T09:30:00Z")
        })
    })?;
    Ok((on, recorded))
}

/// The book as of a day and an instant; what is connected with one container where it is named.
async fn book(
    call: &Call,
    studio: &StoredStudio,
    only: Option<&Identifier>,
) -> Result<Arc<Book>, Problem> {
    let store = call.store()?;
    let (on, recorded) = as_of(call)?;
    let subject = only.map(|name| Subject::Container(name.clone()));
    if on.is_none() && recorded.is_none() {
        return store.standing(call.studio(), subject.as_ref()).await;
    }
    let entries = match &subject {
        Some(subject) => store.connected(call.studio(), subject).await?,
        None => all_entries(store, call.studio()).await?,
    };
    let rules = rules(studio);
    folded(entries, on, recorded, rules).await.map(Arc::new)
}

async fn folded(
    entries: Vec<RecordedEntry>,
    on: Option<Date>,
    recorded: Option<jiff::Timestamp>,
    rules: &'static RuleSet,
) -> Result<Book, Problem> {
    let fold = move || {
        let entries: Vec<Entry> = entries
            .into_iter()
            .filter(|e| match recorded {
                Some(until) => e
                    .recorded_at
                    .parse()
                    .is_ok_and(|at: jiff::Timestamp| at <= until),
                None => true,
            })
            .map(|e| e.entry)
            .collect();
        fold(&entries, on, rules, &mut Notes::default())
    };
    let done: Result<Book, Faults> = web::block(fold).await.map_err(|_| Problem::internal())?;
    // What was taken in one entry at a time cannot fail as a whole.
    done.map_err(|faults| {
        tracing::error!(%faults, "the book cannot be folded");
        Problem::new(
            Code::StoreUnavailable,
            "The book is not what it was when its entries were made. `spent-silver verify` says more.",
        )
    })
}

pub(crate) async fn all_entries(
    store: &Store,
    studio: &str,
) -> Result<Vec<RecordedEntry>, Problem> {
    let (mut all, mut after) = (Vec::new(), 0);
    loop {
        let chunk = store.entries(studio, None, after, CHUNK).await?;
        let Some(last) = chunk.last() else {
            return Ok(all);
        };
        after = last.sequence;
        all.extend(chunk);
    }
}

pub(super) async fn batches(call: Call) -> Answered {
    let studio = call.store()?.studio(call.studio()).await?;
    let book = book(&call, &studio, None).await?;
    let answer = balance_containers(&book, named_rules(&studio))?;
    if call.media_type == CSV {
        return csv::rows_of(&call, &answer, csv::containers(&answer.result.containers)?);
    }
    json(&answer)
}

pub(super) async fn batch(call: Call) -> Answered {
    let studio = call.store()?.studio(call.studio()).await?;
    let name = container(&call)?;
    let book = book(&call, &studio, Some(&name)).await?;
    let answer = balance_container(&book, &name, named_rules(&studio))?;
    json(&answer.ok_or_else(|| no_container(name.as_str()))?)
}

/// The name of the container in the path.
pub(super) fn container(call: &Call) -> Result<Identifier, Problem> {
    let name = call.segment("batch");
    Identifier::new(name).map_err(|_| no_container(name))
}

/// There is no container of that name.
pub(crate) fn no_container(name: &str) -> Problem {
    let name: String = name.chars().take(64).collect();
    Problem::new(
        Code::NotFound,
        format!("There is no container `{name}` in this book."),
    )
}

/// The period that the query names.
pub(super) fn period(call: &Call) -> Result<(Date, Date), Problem> {
    let needed = |name: &str| {
        let read = call.parsed(name, Date::parse)?;
        read.ok_or_else(|| {
            refused_parameter(name, "missing", "expected a day, YYYY-MM-DD".to_owned())
        })
    };
    let (from, until) = (needed("from")?, needed("until")?);
    if until < from {
        return Err(refused_parameter(
            "until",
            "date_order",
            format!("{until} is before {from}: expected a day on or after `from`"),
        ));
    }
    Ok((from, until))
}

pub(super) async fn account(call: Call) -> Answered {
    let studio = call.store()?.studio(call.studio()).await?;
    let (from, until) = period(&call)?;
    let answer = account_of(call.store()?, &studio, from, until).await?;
    match call.media_type {
        TEXT => Ok(respond(200, TEXT, render::account::account(&answer))),
        CSV => csv::rows_of(&call, &answer, csv::account(&answer.result)?),
        _ => json(&answer),
    }
}

/// The silver account of a studio's book, from its first to its last day.
pub(crate) async fn account_of(
    store: &Store,
    studio: &StoredStudio,
    from: Date,
    until: Date,
) -> Result<Answer<SilverAccount>, Problem> {
    let entries: Vec<Entry> = all_entries(store, studio.record.id.as_str())
        .await?
        .into_iter()
        .map(|e| e.entry)
        .collect();
    let (rules, named) = (rules(studio), named_rules(studio));
    let work = move || {
        let mut notes = Notes::new();
        let account = account_book(&entries, (from, until), rules, &mut notes)?;
        Ok::<_, Faults>(notes.answer(account, named))
    };
    Ok(web::block(work).await.map_err(|_| Problem::internal())??)
}
