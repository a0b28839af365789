//! The silver book over HTTP: one table of endpoints, each a method on a path.

mod calculate;
mod csv;
mod examples;
mod handlers;
mod papers;
mod registers;
mod studios;

use crate::listing::Page;
use crate::negotiation::{header_text, negotiate};
use crate::operation::{Described, operations};
use crate::problem::{Code, ErrorEntry, Problem};
use crate::resource::Parameter;
use crate::server::State;
use crate::store::{
    Access, Deed, IssuedDocument, IssuedSummary, RecordedEntry, Role, Store, StudioRecord,
};
use actix_web::http::StatusCode;
use actix_web::http::header;
use actix_web::{HttpMessage as _, HttpRequest, HttpResponse, web};
use spent_silver_domain::answer::Answer;
use spent_silver_domain::ledger::{
    Clocks, ContainerBalance, ContainerBalances, Entry, ShipmentBalance, SilverAccount,
    WasteRegister,
};
use std::pin::Pin;
use std::sync::LazyLock;

pub use calculate::Place;
pub(crate) use handlers::{account_of, all_entries, named_rules, record, rules};
pub(crate) use papers::{issue_from, numbered, written};
pub(crate) use registers::clocks_on;

const JSON: &str = "application/json";
const CSV: &str = "text/csv";
const TEXT: &str = "text/plain";
const HTML: &str = "text/html";
const CALENDAR: &str = "text/calendar";
#[cfg(feature = "pdf")]
const PAPERS: &[&str] = &[JSON, TEXT, HTML, "application/pdf"];
#[cfg(not(feature = "pdf"))]
const PAPERS: &[&str] = &[JSON, TEXT, HTML];

/// What a handler gets.
pub struct Call {
    /// The request, without its body.
    pub req: HttpRequest,
    /// The body; empty where the method has none.
    pub body: web::Bytes,
    /// The media type that the client likes best of those offered.
    pub media_type: &'static str,
    /// Who asks.
    pub access: Access,
}

type Answered = Result<HttpResponse, Problem>;
type Answering = Pin<Box<dyn Future<Output = Answered>>>;

/// One method on one path of the book.
pub struct Endpoint {
    /// `GET`, `POST` or `PUT`.
    pub method: &'static str,
    /// Path, with its parameters in braces.
    pub path: String,
    /// Operation id.
    pub id: String,
    /// Chapter of the documentation.
    pub tag: &'static str,
    /// What it does, in one line.
    pub summary: String,
    /// The role that it needs in the studio that its path names.
    pub role: Role,
    /// What it takes.
    pub request: Option<Body>,
    /// Status of its success.
    pub status: u16,
    /// What it answers in JSON.
    pub answer: Option<Answers>,
    /// Media types it answers in, JSON first where it is one.
    pub media_types: Vec<&'static str>,
    /// Its query parameters; those of the path are described by their names.
    pub query: &'static [Parameter],
    /// Whether the same request may come again under an `Idempotency-Key`, which it then needs.
    pub keyed: bool,
    /// Whether it replaces something, and needs `If-Match`.
    pub replaces: bool,
    handler: Box<dyn Fn(Call) -> Answering + Send + Sync>,
}

/// What an endpoint takes.
pub struct Body {
    /// Name of its schema in the contract.
    pub schema: String,
    /// How the schema is made.
    pub shape: Shape,
    /// An example, as JSON.
    pub example: String,
}

/// What an endpoint answers in JSON.
pub struct Answers {
    /// Name of its schema in the contract.
    pub name: String,
    /// The type that describes it.
    pub whole: Described,
    /// The result in it, where it is an answer with its envelope.
    pub result: Option<Described>,
}

impl Answers {
    fn plain<T: utoipa::ToSchema>() -> Option<Self> {
        Some(Self {
            name: T::name().into_owned(),
            whole: Described::by::<T>(),
            result: None,
        })
    }

    fn enveloped<T: utoipa::ToSchema>() -> Option<Self> {
        Some(Self {
            name: format!("{}Answer", T::name()),
            whole: Described::by::<Answer<T>>(),
            result: Some(Described::by::<T>()),
        })
    }
}

/// How the schema of a body is made.
pub enum Shape {
    /// A type describes itself.
    Own(Described),
    /// The request of an operation, but for what the book fills in.
    Filled {
        /// Path name of the operation.
        operation: &'static str,
        /// Members that the path gives, and that therefore may not be given.
        given: &'static [&'static str],
        /// Members that the book knows where it was recorded, and that may be left out then.
        known: &'static [&'static str],
    },
}

/// Every endpoint of the book.
#[must_use]
pub fn endpoints() -> &'static [Endpoint] {
    static ENDPOINTS: LazyLock<Vec<Endpoint>> = LazyLock::new(table);
    &ENDPOINTS
}

const AS_OF: &[Parameter] = &[
    Parameter {
        name: "on",
        integer: false,
        description: "The day at whose end, YYYY-MM-DD. Default: as it stands.",
    },
    Parameter {
        name: "recorded_until",
        integer: false,
        description: "Only what was recorded by that instant, RFC 3339. Default: everything.",
    },
];
const PAGING: &[Parameter] = &[LIMIT, CURSOR];
const LIMIT: Parameter = Parameter {
    name: "limit",
    integer: true,
    description: "Most entries in the answer, 1 to 200. Default 50.",
};
const CURSOR: Parameter = Parameter {
    name: "cursor",
    integer: false,
    description: "Where to go on: `next_cursor` of the answer before.",
};
const ENTRIES: &[Parameter] = &[
    LIMIT,
    CURSOR,
    Parameter {
        name: "batch",
        integer: false,
        description: "Only entries about this container.",
    },
    Parameter {
        name: "shipment",
        integer: false,
        description: "Only entries about this shipment.",
    },
];
const ON: &[Parameter] = &[Parameter {
    name: "on",
    integer: false,
    description: "The day it is taken to be, YYYY-MM-DD. Default: today, in the studio's time zone.",
}];
const PERIOD: &[Parameter] = &[
    Parameter {
        name: "from",
        integer: false,
        description: "First day, YYYY-MM-DD.",
    },
    Parameter {
        name: "until",
        integer: false,
        description: "Last day, YYYY-MM-DD.",
    },
];

/// Builds the handler of an endpoint from an asynchronous function.
macro_rules! by {
    ($function:path) => {
        Box::new(|call| Box::pin($function(call)))
    };
}

fn get(
    path: &str,
    id: &str,
    summary: &str,
    handler: Box<dyn Fn(Call) -> Answering + Send + Sync>,
) -> Endpoint {
    Endpoint {
        method: "GET",
        path: path.to_owned(),
        id: id.to_owned(),
        tag: "Book",
        summary: summary.to_owned(),
        role: Role::Reader,
        request: None,
        status: 200,
        answer: None,
        media_types: vec![JSON],
        query: &[],
        keyed: false,
        replaces: false,
        handler,
    }
}

fn own<T: utoipa::ToSchema>(example: &str) -> Option<Body> {
    Some(Body {
        schema: T::name().into_owned(),
        shape: Shape::Own(Described::by::<T>()),
        example: example.to_owned(),
    })
}

const STUDIO: &str = include_str!("../../examples/book/studio.json");
const ENTRY: &str = include_str!("../../examples/book/entry.json");

fn table() -> Vec<Endpoint> {
    let mut rows = vec![
        Endpoint {
            answer: Answers::plain::<Page<StudioRecord>>(),
            query: PAGING,
            ..get(
                "/v1/studios",
                "list_studios",
                "The studios whose book is kept here",
                by!(studios::list),
            )
        },
        Endpoint {
            method: "POST",
            role: Role::Owner,
            request: own::<StudioRecord>(STUDIO),
            status: 201,
            answer: Answers::plain::<StudioRecord>(),
            keyed: true,
            ..get(
                "/v1/studios",
                "create_studio",
                "Begin the book of a studio",
                by!(studios::create),
            )
        },
        Endpoint {
            answer: Answers::plain::<StudioRecord>(),
            ..get(
                "/v1/studios/{studio}",
                "get_studio",
                "A studio's record",
                by!(studios::read),
            )
        },
        Endpoint {
            method: "PUT",
            role: Role::Owner,
            request: own::<StudioRecord>(STUDIO),
            answer: Answers::plain::<StudioRecord>(),
            replaces: true,
            ..get(
                "/v1/studios/{studio}",
                "replace_studio",
                "Replace a studio's record",
                by!(studios::replace),
            )
        },
        Endpoint {
            answer: Answers::plain::<Page<Deed>>(),
            query: PAGING,
            role: Role::Owner,
            ..get(
                "/v1/studios/{studio}/deeds",
                "list_deeds",
                "Who did what, when and from where",
                by!(studios::deeds),
            )
        },
        Endpoint {
            answer: Answers::plain::<Page<RecordedEntry>>(),
            query: ENTRIES,
            media_types: vec![JSON, CSV],
            ..get(
                "/v1/studios/{studio}/entries",
                "list_entries",
                "The entries, in the order recorded",
                by!(handlers::entries),
            )
        },
        Endpoint {
            method: "POST",
            role: Role::Writer,
            request: own::<Entry>(ENTRY),
            status: 201,
            answer: Answers::enveloped::<RecordedEntry>(),
            keyed: true,
            ..get(
                "/v1/studios/{studio}/entries",
                "append_entry",
                "Append an entry; it is never edited or removed",
                by!(handlers::append),
            )
        },
        Endpoint {
            answer: Answers::plain::<RecordedEntry>(),
            ..get(
                "/v1/studios/{studio}/entries/{entry}",
                "get_entry",
                "One entry",
                by!(handlers::entry),
            )
        },
        Endpoint {
            answer: Answers::enveloped::<ContainerBalances>(),
            query: AS_OF,
            media_types: vec![JSON, CSV],
            ..get(
                "/v1/studios/{studio}/batches",
                "list_batches",
                "What every container holds, as it stands or on a day",
                by!(handlers::batches),
            )
        },
        Endpoint {
            answer: Answers::enveloped::<ContainerBalance>(),
            query: AS_OF,
            ..get(
                "/v1/studios/{studio}/batches/{batch}",
                "get_batch",
                "What one container holds, as it stands or on a day",
                by!(handlers::batch),
            )
        },
        Endpoint {
            answer: Answers::enveloped::<SilverAccount>(),
            query: PERIOD,
            media_types: vec![JSON, TEXT, CSV],
            ..get(
                "/v1/studios/{studio}/silver-account",
                "get_silver_account",
                "Where the silver of a period came from and went, and whether readings and records agree",
                by!(handlers::account),
            )
        },
        Endpoint {
            answer: Answers::enveloped::<Clocks>(),
            query: ON,
            media_types: vec![JSON, CSV],
            ..get(
                "/v1/studios/{studio}/clocks",
                "list_studio_clocks",
                "What falls due and when: storage limits, inspections, statements, the year's account",
                by!(registers::clocks),
            )
        },
        Endpoint {
            media_types: vec![CALENDAR],
            ..get(
                "/v1/studios/{studio}/calendar.ics",
                "get_calendar",
                "What falls due, as a calendar that others subscribe to (RFC 5545)",
                by!(registers::calendar),
            )
        },
        Endpoint {
            answer: Answers::enveloped::<WasteRegister>(),
            query: PERIOD,
            media_types: vec![JSON, TEXT, CSV],
            ..get(
                "/v1/studios/{studio}/waste-register",
                "get_waste_register",
                "Every event of a period that an inspector asks for",
                by!(registers::register),
            )
        },
        Endpoint {
            answer: Answers::plain::<Page<ShipmentBalance>>(),
            ..get(
                "/v1/studios/{studio}/shipments",
                "list_shipments",
                "Every shipment: what was sent, and what the refiner found",
                by!(handlers::shipments),
            )
        },
        Endpoint {
            answer: Answers::plain::<ShipmentBalance>(),
            ..get(
                "/v1/studios/{studio}/shipments/{shipment}",
                "get_shipment",
                "One shipment: what was sent, and what the refiner found",
                by!(handlers::shipment),
            )
        },
        Endpoint {
            answer: Answers::plain::<Page<IssuedSummary>>(),
            query: PAGING,
            ..get(
                "/v1/studios/{studio}/documents",
                "list_documents",
                "The documents that were issued",
                by!(papers::list),
            )
        },
        Endpoint {
            method: "POST",
            role: Role::Writer,
            request: Some(papers::body()),
            status: 201,
            answer: Answers::plain::<IssuedDocument>(),
            keyed: true,
            ..get(
                "/v1/studios/{studio}/documents",
                "issue_document",
                "Draw up a document from the book, number it and keep it",
                by!(papers::issue),
            )
        },
        Endpoint {
            answer: Answers::plain::<IssuedDocument>(),
            media_types: PAPERS.to_vec(),
            ..get(
                "/v1/studios/{studio}/documents/{document}",
                "get_document",
                "A document, as it was issued",
                by!(papers::read),
            )
        },
    ];
    for operation in operations() {
        for place in operation.places {
            rows.extend(calculate::endpoint(operation, *place));
        }
    }
    rows
}

impl Endpoint {
    /// An example of its answer.
    #[must_use]
    pub fn example(&self) -> Option<serde_json::Value> {
        examples::example(&self.id)
    }

    /// The problems it can answer with.
    #[must_use]
    pub fn problems(&self) -> Vec<Code> {
        let mut codes = vec![
            Code::InvalidParameter,
            Code::Unauthorized,
            Code::HostRefused,
            Code::Forbidden,
            Code::NotAcceptable,
            Code::Internal,
            Code::StoreUnavailable,
        ];
        if self.path.contains('{') {
            codes.push(Code::NotFound);
        }
        if self.request.is_some() {
            codes.extend([
                Code::NotJson,
                Code::TooDeep,
                Code::DuplicateMember,
                Code::StateConflict,
                Code::BodyTooLarge,
                Code::UnsupportedMediaType,
                Code::InvalidInput,
            ]);
        }
        if self.keyed {
            codes.extend([Code::IdempotencyKeyMissing, Code::IdempotencyKeyReused]);
        }
        if self.replaces {
            codes.extend([Code::PreconditionFailed, Code::PreconditionRequired]);
        }
        codes
    }

    /// Answers a request: who asks, in what form, and whether they may.
    pub(crate) async fn answer(&self, req: HttpRequest, body: web::Bytes) -> Answered {
        let media_type = negotiate(&req, &self.media_types)
            .and_then(|n| self.media_types.get(n).copied())
            .ok_or_else(|| {
                Problem::new(
                    Code::NotAcceptable,
                    format!(
                        "The answer can be written as {}.",
                        self.media_types.join(", ")
                    ),
                )
            })?;
        let access = req
            .extensions()
            .get::<Access>()
            .cloned()
            .ok_or_else(Problem::internal)?;
        let named = req.match_info().get("studio");
        match named {
            Some(studio) => access.check(studio, self.role)?,
            // Studios are made by the operator, or on the machine itself.
            None if self.role == Role::Owner && access.only.is_some() => {
                return Err(Problem::new(
                    Code::Forbidden,
                    "Studios are made by the operator: this token is of one studio.",
                ));
            }
            None => {}
        }
        self.check_query(&req)?;
        (self.handler)(Call {
            req,
            body,
            media_type,
            access,
        })
        .await
    }

    fn check_query(&self, req: &HttpRequest) -> Result<(), Problem> {
        let mut seen: Vec<String> = Vec::new();
        for (name, _) in query(req)? {
            let known = self.query.iter().any(|p| p.name == name);
            if !known || seen.contains(&name) {
                let names: Vec<&str> = self.query.iter().map(|p| p.name).collect();
                let detail = match names.as_slice() {
                    [] => "this path takes no query parameters".to_owned(),
                    _ => format!("expected one each of {}", names.join(", ")),
                };
                return Err(refused_parameter(&name, "unknown", detail));
            }
            seen.push(name);
        }
        Ok(())
    }
}

fn query(req: &HttpRequest) -> Result<Vec<(String, String)>, Problem> {
    web::Query::<Vec<(String, String)>>::from_query(req.query_string())
        .map(web::Query::into_inner)
        .map_err(|_| Problem::new(Code::InvalidParameter, "The query cannot be read."))
}

fn refused_parameter(name: &str, code: &'static str, detail: String) -> Problem {
    let name: String = name.chars().take(80).collect();
    Problem::new(Code::InvalidParameter, format!("{name}: {detail}"))
        .with(ErrorEntry::parameter(code, name, detail))
}

impl Call {
    fn state(&self) -> Result<&web::Data<State>, Problem> {
        self.req
            .app_data::<web::Data<State>>()
            .ok_or_else(Problem::internal)
    }

    fn store(&self) -> Result<&Store, Problem> {
        Ok(&self.state()?.store)
    }

    /// A segment of the path.
    fn segment(&self, name: &str) -> &str {
        self.req.match_info().get(name).unwrap_or_default()
    }

    /// The name of the studio in the path.
    fn studio(&self) -> &str {
        self.segment("studio")
    }

    /// A query parameter.
    fn parameter(&self, name: &str) -> Result<Option<String>, Problem> {
        let found = query(&self.req)?.into_iter().find(|(n, _)| n == name);
        Ok(found.map(|(_, value)| value))
    }

    /// A query parameter, read by `read`, which says what would be right.
    fn parsed<T>(
        &self,
        name: &str,
        read: impl FnOnce(&str) -> Result<T, String>,
    ) -> Result<Option<T>, Problem> {
        self.parameter(name)?
            .map(|value| read(&value).map_err(|e| refused_parameter(name, "invalid_value", e)))
            .transpose()
    }

    /// How many entries are asked for, and after which.
    fn paging(&self) -> Result<(i64, i64), Problem> {
        let limit = self.parsed("limit", |value| {
            value
                .parse()
                .ok()
                .filter(|limit| (1..=200).contains(limit))
                .ok_or_else(|| format!("`{value}` is out of range: expected 1 to 200"))
        })?;
        let after = self.parsed("cursor", |value| {
            from_cursor(value).ok_or_else(|| {
                "not a cursor of this list: expected `next_cursor` of an earlier answer".to_owned()
            })
        })?;
        Ok((limit.unwrap_or(50), after.unwrap_or(0)))
    }

    /// The key under which the request may come again: a plain text of 1 to 64 characters, in quotation
    /// marks (as the draft has it) or without.
    fn key(&self) -> Result<String, Problem> {
        let given = header_text(
            &self.req,
            &header::HeaderName::from_static("idempotency-key"),
        );
        let bare = given
            .strip_prefix('"')
            .and_then(|g| g.strip_suffix('"'))
            .unwrap_or(given);
        let good = (1..=64).contains(&bare.len())
            && bare
                .bytes()
                .all(|b| b.is_ascii_graphic() && b != b'"' && b != b'\\');
        if good {
            return Ok(bare.to_owned());
        }
        let detail = "expected a text of 1 to 64 characters without spaces, new for each new request, such as a UUID";
        Err(Problem::new(
            Code::IdempotencyKeyMissing,
            format!("Idempotency-Key: {detail}."),
        )
        .with(ErrorEntry::parameter("missing", "Idempotency-Key", detail)))
    }

    /// What the key stands for: the path and the body.
    fn payload(&self) -> Vec<u8> {
        let mut payload = format!("{} {}\n", self.req.method(), self.req.path()).into_bytes();
        payload.extend_from_slice(&self.body);
        payload
    }
}

pub(crate) fn now() -> jiff::Timestamp {
    jiff::Timestamp::now()
}

/// A cursor holds the number of the last entry; its form may change.
fn to_cursor(last: i64) -> String {
    format!("n{last:x}")
}

fn from_cursor(cursor: &str) -> Option<i64> {
    let number = i64::from_str_radix(cursor.strip_prefix('n')?, 16).ok()?;
    (number >= 0).then_some(number)
}

/// A page of a list of which one more than `limit` was read, to know whether there is more.
fn page<T>(mut items: Vec<T>, limit: i64, place: impl Fn(&T) -> i64) -> Page<T> {
    let limit = usize::try_from(limit).unwrap_or(usize::MAX);
    let more = items.len() > limit;
    items.truncate(limit);
    let next_cursor = items
        .last()
        .filter(|_| more)
        .map(|last| to_cursor(place(last)));
    Page { items, next_cursor }
}

pub(crate) fn respond(status: u16, media_type: &str, body: impl Into<Vec<u8>>) -> HttpResponse {
    let status = StatusCode::from_u16(status).unwrap_or(StatusCode::OK);
    let content_type = match media_type {
        JSON | "application/pdf" => media_type.to_owned(),
        letters => format!("{letters}; charset=utf-8"),
    };
    HttpResponse::build(status)
        .content_type(content_type)
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .body(body.into())
}

fn json<T: serde::Serialize>(value: &T) -> Answered {
    let body = crate::json::to_vec(value).map_err(|_| Problem::internal())?;
    Ok(respond(200, JSON, body))
}
