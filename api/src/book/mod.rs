//! The silver book over HTTP: one table of endpoints, each a method on a path.

mod calculate;
mod call;
mod csv;
mod dealt;
mod examples;
mod handlers;
mod papers;
mod registers;
mod shipments;
mod studios;
mod table;

use crate::described::Described;
use crate::negotiation::negotiate;
use crate::problem::{Code, Problem};
use crate::resource::Parameter;
use crate::store::{Access, Role};
use actix_web::{HttpMessage as _, HttpRequest, HttpResponse, web};
use call::{json, page, query, refused_parameter};
use spent_silver_domain::answer::Answer;
use std::pin::Pin;
use std::sync::LazyLock;
use table::{ENTRY, STUDIO, get, table};

pub use calculate::Place;
pub(crate) use call::{now, respond};
pub(crate) use dealt::Dealt;
pub(crate) use handlers::{account_of, all_entries, named_rules, no_container, record, rules};
pub(crate) use papers::{issue_from, numbered, written};
pub(crate) use registers::{KnownClocks, clocks_on, entries};

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
