//! The calculators, from the book: the containers come from what was recorded, the site from the
//! studio's record, and the rest from the request. Then it is the same call as without a book.

use super::dealt::Dealt;
use super::handlers::{container, no_container, rules};
use super::registers::entries;
use super::shipments::shipment_of;
use super::{Answered, Answers, Body, Call, Endpoint, JSON, Shape, get, now, respond};
use crate::operation::{Operation, operation};
use crate::problem::{Code, Problem};
use crate::store::{Role, StoredStudio};
use actix_web::http::header;
use actix_web::web;
use serde::de::{Deserialize, Deserializer, Error as _, MapAccess, Visitor};
use serde_json::value::RawValue;
use spent_silver_domain::answer::Assumption;
use spent_silver_domain::batch::Batch;
use spent_silver_domain::ledger::{Book, Subject, recorded_plates};
use spent_silver_domain::quantity::Identifier;
use std::fmt::Write as _;

/// Where the request of an operation takes containers of the book.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// This member is the container that the path names.
    One(&'static str),
    /// This member is a list of containers, each of which may be named.
    Named(&'static str),
    /// This member is the list of every container with something in it.
    All(&'static str),
    /// The shipment that the path names: its silver as sent, and as settled.
    Shipment,
    /// The lot that this member is lists containers, each of which may be named.
    Lot(&'static str),
    /// No container: the studio's record gives what it knows.
    Studio,
}

/// Members that the studio's record may give where an operation requires them.
const DEALT: &[&str] = &["price", "metal_price", "terms", "silver_use"];

/// The endpoint of an operation, where it stands in the book.
pub(super) fn endpoint(operation: &'static Operation, place: Place) -> Option<Endpoint> {
    let (folder, given, words): (_, &'static [&'static str], _) = match place {
        Place::One("from") => ("batches/{batch}/", &["from"], "for a container of the book"),
        Place::One(_) => (
            "batches/{batch}/",
            &["batch"],
            "for a container of the book",
        ),
        Place::Named(_) => ("", &[], "for containers of the book"),
        Place::Shipment => (
            "shipments/{shipment}/",
            &["shipment", "expected_silver_g"],
            "for a shipment of the book",
        ),
        Place::All(_) => ("", &["batches", "studio"], "from the book"),
        Place::Lot(_) => ("", &[], "for containers of the book"),
        Place::Studio => ("", &["studio"], "from the studio's record"),
    };
    let mut example: serde_json::Value = serde_json::from_str(operation.example).ok()?;
    let members = example.as_object_mut()?;
    for name in given {
        members.remove(*name);
    }
    match place {
        Place::One("from") => {
            members.insert("into".to_owned(), "fixer-2".into());
        }
        Place::Named(name) => {
            members.insert(name.to_owned(), serde_json::json!(["fixer-1"]));
        }
        Place::Lot(name) => {
            let lot = members.get_mut(name)?.as_object_mut()?;
            lot.insert("batches".to_owned(), serde_json::json!(["fixer-1"]));
        }
        Place::One(_) | Place::All(_) | Place::Shipment | Place::Studio => {}
    }
    let mut media_types = vec![JSON];
    media_types.extend(operation.renderings.iter().map(|r| r.media_type));
    Some(Endpoint {
        method: "POST",
        tag: operation.tag,
        role: Role::Reader,
        request: Some(Body {
            schema: format!("Stored{}", operation.request.name()),
            shape: Shape::Filled {
                operation: operation.name,
                given,
                known: match place {
                    Place::Shipment => &["reported_silver_g"],
                    _ => DEALT,
                },
            },
            example: example.to_string(),
        }),
        answer: Some(Answers {
            name: format!("{}Answer", operation.result.name()),
            whole: operation.answer,
            result: Some(operation.result),
        }),
        media_types,
        ..get(
            &format!("/v1/studios/{{studio}}/{folder}{}", operation.name),
            &format!("{}_of_studio", operation.id),
            &format!("{}, {words}", operation.summary),
            Box::new(move |call| Box::pin(calculate(call, operation, place))),
        )
    })
}

async fn calculate(call: Call, operation: &'static Operation, place: Place) -> Answered {
    let store = call.store()?;
    let studio = store.studio(call.studio()).await?;
    let mut request = Request::read(&call.body)?;
    match place {
        Place::One(member) => {
            let name = container(&call)?;
            let subject = Subject::Container(name.clone());
            let book = store.standing(call.studio(), Some(&subject)).await?;
            request.give(member, &held(&book, &name)?)?;
            if member == "from" {
                let book = store.standing(call.studio(), None).await?;
                request.name_container("into", &book)?;
            }
        }
        Place::Named(member) => {
            let book = store.standing(call.studio(), None).await?;
            request.name_containers(member, &format!("/{member}"), &book)?;
        }
        Place::Lot(member) => {
            if let Some(mut lot) = request.inner(member) {
                let book = store.standing(call.studio(), None).await?;
                lot.name_containers("batches", &format!("/{member}/batches"), &book)?;
                request.put(member, &lot)?;
            }
        }
        Place::Studio => request.give("studio", &studio.record.studio.name)?,
        Place::Shipment => {
            let shipment = shipment_of(&call).await?;
            let sent = shipment.sent_g.zip(shipment.sent_standard_uncertainty_g);
            let (silver, uncertainty) = sent.ok_or_else(|| {
                Problem::new(
                    Code::StateConflict,
                    format!(
                        "What shipment `{}` held is not known: a container went into it unread.",
                        shipment.shipment
                    ),
                )
            })?;
            request.give("shipment", &shipment.shipment)?;
            request.give(
                "expected_silver_g",
                &serde_json::json!({"value": silver, "standard_uncertainty": uncertainty}),
            )?;
            let settled = shipment
                .settled_g
                .zip(shipment.settled_standard_uncertainty_g);
            let reported = settled
                .map(|(value, u)| serde_json::json!({"value": value, "standard_uncertainty": u}));
            request.fill_in("reported_silver_g", reported.as_ref())?;
        }
        Place::All(member) => {
            let book = store.standing(call.studio(), None).await?;
            let all: Vec<Batch> = book
                .holdings()
                .filter(|(_, h)| h.closed_on.is_none() && !h.is_empty())
                .map(|(_, h)| h.batch())
                .collect();
            request.give(member, &all)?;
            request.give("studio", &studio.record.studio)?;
        }
    }
    let dealt = Dealt::of(call.state()?, &studio).await;
    let mut assumed = request.fill(operation, &studio, &dealt)?;
    if place == Place::Studio
        && let Some(mut of) = request.inner("silver_use")
        && of.get("formats").is_none()
    {
        let entries = entries(store, call.studio()).await?;
        if let Some(plates) = recorded_plates(&entries, studio.record.day(now())) {
            of.set("formats", &plates.formats)?;
            request.put("silver_use", &of)?;
            assumed.push(plates.assumed);
        }
    }
    run(&call, operation, request.written(), assumed).await
}

/// Answers a request that is whole, in the media type asked for; `assumed` is what was filled in.
async fn run(
    call: &Call,
    operation: &'static Operation,
    body: Vec<u8>,
    assumed: Vec<Assumption>,
) -> Answered {
    let rendering = operation
        .renderings
        .iter()
        .find(|r| r.media_type == call.media_type)
        .copied();
    let work = move || match rendering {
        Some(rendering) => (rendering.render)(&body, &assumed),
        None => operation.answer_assuming(&body, &assumed),
    };
    let out = web::block(work).await.map_err(|_| Problem::internal())??;
    let mut response = respond(200, call.media_type, out);
    if let Some(rendering) = rendering {
        let name = format!(
            "inline; filename=\"{}.{}\"",
            operation.name, rendering.extension
        );
        let name = name.parse().map_err(|_| Problem::internal())?;
        response
            .headers_mut()
            .insert(header::CONTENT_DISPOSITION, name);
    }
    Ok(response)
}

/// A container of the book that is still in it.
fn held(book: &Book, name: &Identifier) -> Result<Batch, Problem> {
    let holding = book
        .holding(name)
        .ok_or_else(|| no_container(name.as_str()))?;
    match holding.closed_on {
        Some(day) => Err(Problem::new(
            Code::StateConflict,
            format!("`{name}` was closed on {day}: expected a container that is in the book"),
        )),
        None => Ok(holding.batch()),
    }
}

/// The members of a request, each as it was written: no digit is lost.
pub(super) struct Request(Vec<(String, Box<RawValue>)>);

impl<'de> Deserialize<'de> for Request {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Members;
        impl<'de> Visitor<'de> for Members {
            type Value = Request;

            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("an object")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Request, A::Error> {
                let mut members: Vec<(String, Box<RawValue>)> = Vec::new();
                while let Some((name, value)) = map.next_entry::<String, Box<RawValue>>()? {
                    if members.iter().any(|(known, _)| *known == name) {
                        return Err(A::Error::custom(format!("`{name}` occurs twice")));
                    }
                    members.push((name, value));
                }
                Ok(Request(members))
            }
        }
        deserializer.deserialize_map(Members)
    }
}

impl Request {
    /// Reads the outermost members; what they hold is looked at when the whole is read.
    pub(super) fn read(body: &[u8]) -> Result<Self, Problem> {
        serde_json::from_slice(body).map_err(|e| {
            let words = e.to_string();
            if words.contains("occurs twice") {
                return Problem::new(Code::DuplicateMember, words);
            }
            match e.classify() {
                serde_json::error::Category::Data => {
                    Problem::input("wrong_type", "", "expected an object")
                }
                _ => Problem::new(Code::NotJson, words),
            }
        })
    }

    fn get(&self, member: &str) -> Option<&RawValue> {
        self.0
            .iter()
            .find(|(name, _)| name == member)
            .map(|(_, value)| value.as_ref())
    }

    fn set<T: serde::Serialize>(&mut self, member: &str, value: &T) -> Result<(), Problem> {
        let text = serde_json::to_string(value).map_err(|_| Problem::internal())?;
        let raw = RawValue::from_string(text).map_err(|_| Problem::internal())?;
        self.0.retain(|(name, _)| name != member);
        self.0.push((member.to_owned(), raw));
        Ok(())
    }

    /// Gives a member that the path or the book gives, and the request may not.
    fn give<T: serde::Serialize>(&mut self, member: &str, value: &T) -> Result<(), Problem> {
        if self.get(member).is_some() {
            return Err(Problem::input(
                "unknown_member",
                format!("/{member}"),
                "comes from the book: expected the request without it",
            ));
        }
        self.set(member, value)
    }

    /// Fills a member in where the request is silent.
    pub(super) fn fill_in<T: serde::Serialize>(
        &mut self,
        member: &str,
        value: Option<&T>,
    ) -> Result<(), Problem> {
        match value {
            Some(value) if self.get(member).is_none() => self.set(member, value),
            _ => Ok(()),
        }
    }

    /// Fills in what the studio's record says, where the operation asks it and the request is silent;
    /// says what of it is about money.
    fn fill(
        &mut self,
        operation: &Operation,
        studio: &StoredStudio,
        dealt: &Dealt,
    ) -> Result<Vec<Assumption>, Problem> {
        let record = &studio.record;
        self.fill_in(
            "rule_set",
            record.rule_set.as_ref().map(|_| &rules(studio).id),
        )?;
        self.fill_all(operation, &record.studio, &["name", "crafts"])?;
        let asked: Vec<String> = self.names().map(str::to_owned).collect();
        let price = dealt.price.as_ref();
        let needs = ["price", "metal_price"]
            .into_iter()
            .find(|member| operation.requires(member));
        if let Some(member) = needs {
            self.fill_in(member, price)?;
        }
        // Where a price is no must, what rests on one is left out without it.
        let valued = price.is_some() || self.get("price").is_some() || needs.is_some();
        self.fill_all(operation, &dealt.dealings(valued), &[])?;
        let of_use = ["terms", "silver_use"]
            .iter()
            .any(|member| self.get(member).is_some());
        if operation.takes("price") && of_use {
            self.fill_in("price", price)?;
        }
        let filled = self.names().filter(|name| asked.iter().all(|a| a != name));
        Ok(filled.filter_map(|name| dealt.assumed(name)).collect())
    }

    /// Fills in every member of a record that the operation takes, but for those that are named.
    fn fill_all<T: serde::Serialize>(
        &mut self,
        operation: &Operation,
        record: &T,
        but_for: &[&str],
    ) -> Result<(), Problem> {
        let text = serde_json::to_vec(record).map_err(|_| Problem::internal())?;
        for (name, value) in Self::read(&text)?.0 {
            if operation.takes(&name) && !but_for.contains(&name.as_str()) {
                self.fill_in(&name, Some(&value))?;
            }
        }
        Ok(())
    }

    /// Puts the container in the place of its name.
    pub(super) fn name_container(&mut self, member: &str, book: &Book) -> Result<(), Problem> {
        let Some(name) = self.get(member).and_then(named) else {
            return Ok(());
        };
        self.set(member, &found(book, &name, &format!("/{member}"))?)
    }

    /// Puts containers in the place of their names, in a list that stands at `at`.
    pub(super) fn name_containers(
        &mut self,
        member: &str,
        at: &str,
        book: &Book,
    ) -> Result<(), Problem> {
        let Some(items) = self
            .get(member)
            .and_then(|raw| serde_json::from_str::<Vec<Box<RawValue>>>(raw.get()).ok())
        else {
            return Ok(());
        };
        let mut filled = Vec::new();
        for (i, item) in items.into_iter().enumerate() {
            filled.push(match named(&item) {
                Some(name) => {
                    let batch = found(book, &name, &format!("{at}/{i}"))?;
                    let text = serde_json::to_string(&batch).map_err(|_| Problem::internal())?;
                    RawValue::from_string(text).map_err(|_| Problem::internal())?
                }
                None => item,
            });
        }
        self.set(member, &filled)
    }

    /// A member that is an object, by itself.
    pub(super) fn inner(&self, member: &str) -> Option<Self> {
        serde_json::from_str(self.get(member)?.get()).ok()
    }

    /// Puts an object back.
    pub(super) fn put(&mut self, member: &str, inner: &Self) -> Result<(), Problem> {
        let text = String::from_utf8(inner.written()).map_err(|_| Problem::internal())?;
        let raw: Box<RawValue> = RawValue::from_string(text).map_err(|_| Problem::internal())?;
        self.set(member, &raw)
    }

    /// The names of the members.
    pub(super) fn names(&self) -> impl Iterator<Item = &str> {
        self.0.iter().map(|(name, _)| name.as_str())
    }

    /// The request as JSON.
    pub(super) fn written(&self) -> Vec<u8> {
        let mut text = String::from("{");
        for (i, (name, value)) in self.0.iter().enumerate() {
            if i > 0 {
                text.push(',');
            }
            let name = serde_json::Value::from(name.as_str());
            let _ = write!(text, "{name}:{}", value.get());
        }
        text.push('}');
        text.into_bytes()
    }
}

/// The text that a value is, where it is one.
fn named(raw: &RawValue) -> Option<String> {
    serde_json::from_str(raw.get()).ok()
}

fn found(book: &Book, name: &str, pointer: &str) -> Result<Batch, Problem> {
    let held = Identifier::new(name)
        .ok()
        .and_then(|id| book.holding(&id).filter(|h| h.closed_on.is_none()));
    held.map(|h| h.batch()).ok_or_else(|| {
        let name: String = name.chars().take(64).collect();
        Problem::input(
            "unknown",
            pointer,
            format!("`{name}` is no container of this book: expected one that is in it, or a container as an object"),
        )
    })
}

/// The operation of documents, which the book issues.
pub(super) fn documents() -> Result<&'static Operation, Problem> {
    operation("documents").ok_or_else(Problem::internal)
}
