//! Studios and their trail.

use super::{Answered, Call, JSON, json, now, page, respond};
use crate::contract;
use crate::negotiation::header_text;
use crate::problem::{Code, Problem};
use crate::reader;
use crate::store::{StoredStudio, StudioRecord};
use actix_web::HttpResponse;
use actix_web::http::header;

pub(super) async fn list(call: Call) -> Answered {
    let (limit, after) = call.paging()?;
    let store = call.store()?;
    let studios = match &call.access.only {
        // A token of one studio sees that one.
        Some((own, _)) => vec![store.studio(own.as_str()).await?],
        None => store.studios(after, limit.saturating_add(1)).await?,
    };
    let page = page(studios, limit, |s| s.position);
    json(&crate::listing::Page {
        items: page.items.iter().map(|s| &s.record).collect(),
        next_cursor: page.next_cursor,
    })
}

pub(super) async fn create(call: Call) -> Answered {
    let key = call.key()?;
    let record: StudioRecord = reader::read(&call.body, contract::members())?;
    let reply = call
        .store()?
        .create_studio(&record, &call.access, (&key, &call.payload()), now())
        .await?;
    let mut response = respond(201, JSON, reply.body);
    tagged(&mut response, 1)?;
    super::handlers::located(&mut response, &reply.location)?;
    Ok(response)
}

pub(super) async fn read(call: Call) -> Answered {
    let studio = call.store()?.studio(call.studio()).await?;
    let tag = tag(studio.version);
    let known = header_text(&call.req, &header::IF_NONE_MATCH)
        .split(',')
        .any(|t| matches!(t.trim().trim_start_matches("W/"), t if t == tag || t == "*"));
    if known {
        return Ok(HttpResponse::NotModified()
            .insert_header((header::ETAG, tag))
            .finish());
    }
    shown(&studio)
}

pub(super) async fn replace(call: Call) -> Answered {
    let given = header_text(&call.req, &header::IF_MATCH);
    if given.is_empty() {
        return Err(Problem::new(
            Code::PreconditionRequired,
            "If-Match: expected the ETag that reading the studio gave.",
        ));
    }
    let record: StudioRecord = reader::read(&call.body, contract::members())?;
    if record.id.as_str() != call.studio() {
        return Err(Problem::input(
            "conflict",
            "/id",
            format!(
                "`{}` is not `{}`: a studio keeps its name",
                record.id,
                call.studio()
            ),
        ));
    }
    let store = call.store()?;
    let seen = if given.trim() == "*" {
        store.studio(call.studio()).await?.version
    } else {
        // A tag that is none of ours is of no version.
        given
            .split(',')
            .find_map(|t| {
                t.trim()
                    .strip_prefix("\"v")?
                    .strip_suffix('"')?
                    .parse()
                    .ok()
            })
            .unwrap_or(0)
    };
    let studio = store
        .replace_studio(&record, seen, &call.access, now())
        .await?;
    shown(&studio)
}

pub(super) async fn deeds(call: Call) -> Answered {
    let (limit, after) = call.paging()?;
    let store = call.store()?;
    store.studio(call.studio()).await?;
    let deeds = store
        .deeds(call.studio(), after, limit.saturating_add(1))
        .await?;
    json(&page(deeds, limit, |d| d.number))
}

fn shown(studio: &StoredStudio) -> Answered {
    let mut response = json(&studio.record)?;
    tagged(&mut response, studio.version)?;
    Ok(response)
}

fn tag(version: i64) -> String {
    format!("\"v{version}\"")
}

fn tagged(response: &mut HttpResponse, version: i64) -> Result<(), Problem> {
    let tag = tag(version).parse().map_err(|_| Problem::internal())?;
    response.headers_mut().insert(header::ETAG, tag);
    response.headers_mut().insert(
        header::CACHE_CONTROL,
        header::HeaderValue::from_static("no-cache"),
    );
    Ok(())
}
