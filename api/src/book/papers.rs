//! Documents: drawn up from the book, numbered, kept.

use super::calculate::{Request, documents};
use super::{Answered, Body, Call, JSON, Shape, TEXT, json, now, page, respond};
use crate::contract;
use crate::problem::{Code, ErrorEntry, Problem};
use crate::reader;
use crate::render;
use crate::store::{Access, IssuedDocument, Issuing, Reply, Store};
use actix_web::http::header;
use actix_web::web;
use spent_silver_domain::document::{Document, DocumentRequest, StudioDetails, draw_up_document};

/// What issuing a document takes: the request of a document, whose containers may be named.
pub(super) fn body() -> Body {
    Body {
        schema: "StoredDocumentRequest".to_owned(),
        shape: Shape::Filled {
            operation: "documents",
            given: &[],
            known: &[],
        },
        example: include_str!("../../examples/book/document.json").to_owned(),
    }
}

pub(super) async fn list(call: Call) -> Answered {
    let (limit, after) = call.paging()?;
    let store = call.store()?;
    store.studio(call.studio()).await?;
    let issued = store
        .documents(call.studio(), after, limit.saturating_add(1))
        .await?;
    let page = page(issued, limit, |d| d.number);
    json(&crate::listing::Page {
        items: page.items.iter().map(IssuedDocument::summary).collect(),
        next_cursor: page.next_cursor,
    })
}

pub(super) async fn issue(call: Call) -> Answered {
    let key = call.key()?;
    let reply = issue_from(
        call.store()?,
        call.studio(),
        &call.body,
        (&key, &call.payload()),
        &call.access,
    )
    .await?;
    let mut response = respond(201, JSON, reply.body);
    super::handlers::located(&mut response, &reply.location)?;
    Ok(response)
}

/// Draws a document up from a request in JSON and a studio's book, numbers it and keeps it.
pub(crate) async fn issue_from(
    store: &Store,
    name: &str,
    body: &[u8],
    (key, payload): (&str, &[u8]),
    access: &Access,
) -> Result<Reply, Problem> {
    let studio = store.studio(name).await?;
    // What was issued is not drawn up again from a book that went on.
    if let Some(reply) = store.reply_to(name, key, payload).await? {
        return Ok(reply);
    }
    let mut request = Request::read(body)?;
    let book = store.standing(name, None).await?;
    if let Some(mut paper) = request.inner("document") {
        let kinds: Vec<String> = paper.names().map(str::to_owned).collect();
        for kind in kinds {
            let Some(mut content) = paper.inner(&kind) else {
                continue;
            };
            content
                .name_container("batch", &book)
                .and_then(|()| content.name_containers("batches", "/batches", &book))
                .map_err(|p| below(p, &format!("/document/{kind}")))?;
            paper.put(&kind, &content)?;
        }
        request.put("document", &paper)?;
    }
    let details = StudioDetails {
        name: Some(studio.record.studio.name.clone()),
        ..studio.record.details.clone().unwrap_or_default()
    };
    request.fill_in("studio", Some(&details))?;
    let rules = studio.record.rule_set.as_ref();
    request.fill_in("rule_set", rules.map(|r| &r.rules().id))?;
    let document = drawn_up(request.written()).await?;
    let issuing = Issuing {
        studio: name,
        document: &document,
        key,
        payload,
        access,
        now: now(),
    };
    store
        .issue(&issuing, |issued| {
            let bytes = crate::json::to_vec(issued).map_err(|_| Problem::internal())?;
            Ok(Reply {
                location: format!("/v1/studios/{}/documents/{}", issuing.studio, issued.number),
                body: String::from_utf8(bytes).map_err(|_| Problem::internal())?,
            })
        })
        .await
}

/// The problem with a name in a part, as one of the whole.
fn below(problem: Problem, prefix: &str) -> Problem {
    let mut errors = problem.errors.into_iter();
    match errors.next() {
        Some(ErrorEntry {
            code,
            detail,
            pointer: Some(pointer),
            ..
        }) => Problem::input(code, format!("{prefix}{pointer}"), detail),
        _ => Problem::internal(),
    }
}

async fn drawn_up(body: Vec<u8>) -> Result<Document, Problem> {
    let work = move || {
        // The table's own way first: it catches what must not happen.
        documents()?.answer(&body)?;
        let request: DocumentRequest = reader::read(&body, contract::members())?;
        Ok::<_, Problem>(draw_up_document(&request)?.result.document)
    };
    web::block(work).await.map_err(|_| Problem::internal())?
}

pub(super) async fn read(call: Call) -> Answered {
    let store = call.store()?;
    store.studio(call.studio()).await?;
    let given = call.segment("document");
    let number = given.parse().ok().filter(|n| *n > 0).ok_or_else(|| {
        let given: String = given.chars().take(20).collect();
        Problem::new(
            Code::NotFound,
            format!("There is no document `{given}` here: expected a number."),
        )
    })?;
    let issued = store.document(call.studio(), number).await?;
    if call.media_type == JSON {
        return json(&issued);
    }
    let document = numbered(issued);
    let (extension, media_type) = match call.media_type {
        TEXT => ("txt", TEXT),
        "application/pdf" => ("pdf", "application/pdf"),
        other => ("html", other),
    };
    let bytes = web::block(move || written(media_type, &document))
        .await
        .map_err(|_| Problem::internal())??;
    let mut response = respond(200, media_type, bytes);
    let name = format!("inline; filename=\"document-{number}.{extension}\"");
    let name = name.parse().map_err(|_| Problem::internal())?;
    response
        .headers_mut()
        .insert(header::CONTENT_DISPOSITION, name);
    Ok(response)
}

/// The document with its number in its heading. Its fingerprint stays that of the document itself.
pub(crate) fn numbered(issued: IssuedDocument) -> Document {
    let mut document = issued.document;
    document.title = format!("{} · No. {}", document.title, issued.number);
    document
}

pub(crate) fn written(media_type: &str, document: &Document) -> Result<Vec<u8>, Problem> {
    match media_type {
        TEXT => Ok(render::text::document(document).into_bytes()),
        #[cfg(feature = "pdf")]
        "application/pdf" => render::pdf::document(document),
        _ => Ok(render::html::document(document).into_bytes()),
    }
}
