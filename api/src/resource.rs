//! The table of things that can be looked up: one row serves a `GET` path and documents it.

use crate::contract;
use crate::described::Described;
use crate::listing::{Page, list};
use crate::negotiation::header_text;
use crate::pages;
use crate::price_feed::{FeedPrice, PriceOrigin};
use crate::problem::{Code, Problem};
use crate::server::State;
use actix_web::http::header::{self, HeaderValue};
use actix_web::{HttpRequest, HttpResponse, web};
use serde::Serialize;
use serde_json::Value;
use spent_silver_domain::bibliography::{Reference, bibliography};
use spent_silver_domain::quantity::{Amount, Currency, Identifier, MetalPrice, PriceUnit, Seconds};
use spent_silver_domain::substance::{Substance, substance, substances};
use spent_silver_domain::waste::rule_set::RuleSet;
use std::borrow::Cow;
use std::future::{Future, ready};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::pin::Pin;
use utoipa::ToSchema;

pub(crate) type Answered = Result<HttpResponse, Problem>;
type Handler = fn(HttpRequest) -> Pin<Box<dyn Future<Output = Answered>>>;

/// One path that answers `GET`.
pub struct Resource {
    /// Path, with its parameters in braces.
    pub path: &'static str,
    /// Operation id.
    pub id: &'static str,
    /// Chapter of the documentation.
    pub tag: &'static str,
    /// What it answers, in one line.
    pub summary: &'static str,
    /// Media type of the answer.
    pub media_type: &'static str,
    /// Schema of the answer, for JSON of our own.
    pub schema: Option<Described>,
    /// An example answer.
    pub example: Option<fn() -> Option<Value>>,
    /// Path and query parameters; any other query parameter is refused.
    pub parameters: &'static [Parameter],
    /// Problems of its own.
    pub problems: &'static [Code],
    /// Answers a request.
    pub handler: Handler,
}

impl Resource {
    /// Whether it has query parameters, which its handler reads and checks.
    #[must_use]
    pub fn takes_query(&self) -> bool {
        self.parameters
            .iter()
            .any(|p| !self.path.contains(&format!("{{{}}}", p.name)))
    }
}

/// A path or query parameter.
pub struct Parameter {
    /// Its name.
    pub name: &'static str,
    /// Whether it is a whole number.
    pub integer: bool,
    /// What it does.
    pub description: &'static str,
}

const PAGING: &[Parameter] = &[
    Parameter {
        name: "limit",
        integer: true,
        description: "Most entries in the answer, 1 to 200. Default 50.",
    },
    Parameter {
        name: "cursor",
        integer: false,
        description: "Where to go on: `next_cursor` of the answer before.",
    },
];
const ID: &[Parameter] = &[Parameter {
    name: "id",
    integer: false,
    description: "Its id, as the list has it.",
}];
const KEY: &[Parameter] = &[Parameter {
    name: "key",
    integer: false,
    description: "Its key, as answers cite it.",
}];
const CODE: &[Parameter] = &[Parameter {
    name: "code",
    integer: false,
    description: "The problem's code.",
}];

/// Every path that answers `GET`.
#[must_use]
pub fn resources() -> &'static [Resource] {
    static RESOURCES: std::sync::LazyLock<Vec<Resource>> = std::sync::LazyLock::new(table);
    &RESOURCES
}

fn table() -> Vec<Resource> {
    let listed = &[
        Code::InvalidParameter,
        Code::Unauthorized,
        Code::HostRefused,
    ];
    let single = &[Code::Unauthorized, Code::HostRefused, Code::NotFound];
    let open = &[Code::HostRefused];
    vec![
        Resource {
            path: "/v1/price",
            id: "get_price",
            tag: "Price",
            summary: "The metal price from the operator's feed, if one is configured",
            media_type: "application/json",
            schema: Some(Described::by::<FeedPrice>()),
            example: Some(price_example),
            parameters: &[],
            problems: &[
                Code::Unauthorized,
                Code::HostRefused,
                Code::PriceNotConfigured,
                Code::PriceUnavailable,
            ],
            handler: |req| Box::pin(price(req)),
        },
        Resource {
            schema: Some(Described::by::<Page<RuleSet>>()),
            parameters: PAGING,
            problems: listed,
            handler: |req| now(list(&req, RuleSet::all(), |r| &r.id)),
            ..json(
                "/v1/rule-sets",
                "list_rule_sets",
                "Rules",
                "The rules we have, by jurisdiction",
            )
        },
        Resource {
            schema: Some(Described::by::<RuleSet>()),
            example: Some(|| serde_json::to_value(RuleSet::unspecified()).ok()),
            parameters: ID,
            problems: single,
            handler: |req| now(one(&req, RuleSet::named(segment(&req, "id")))),
            ..json(
                "/v1/rule-sets/{id}",
                "get_rule_set",
                "Rules",
                "One jurisdiction's rules",
            )
        },
        Resource {
            schema: Some(Described::by::<Page<Substance>>()),
            parameters: PAGING,
            problems: listed,
            handler: |req| now(list(&req, substances().iter(), |s| &s.id)),
            ..json(
                "/v1/substances",
                "list_substances",
                "Substances",
                "The substances we know",
            )
        },
        Resource {
            schema: Some(Described::by::<Substance>()),
            example: Some(|| serde_json::to_value(substances().first()?).ok()),
            parameters: ID,
            problems: single,
            handler: |req| {
                let found = Identifier::new(segment(&req, "id")).ok();
                now(one(&req, found.and_then(|id| substance(&id))))
            },
            ..json(
                "/v1/substances/{id}",
                "get_substance",
                "Substances",
                "One substance",
            )
        },
        Resource {
            schema: Some(Described::by::<Page<Reference>>()),
            parameters: PAGING,
            problems: listed,
            handler: |req| now(list(&req, bibliography().values(), |r| &r.key)),
            ..json(
                "/v1/references",
                "list_references",
                "References",
                "Where the figures come from",
            )
        },
        Resource {
            schema: Some(Described::by::<Reference>()),
            example: Some(|| serde_json::to_value(bibliography().values().next()?).ok()),
            parameters: KEY,
            problems: single,
            handler: |req| now(one(&req, bibliography().get(segment(&req, "key")))),
            ..json(
                "/v1/references/{key}",
                "get_reference",
                "References",
                "One source",
            )
        },
        Resource {
            problems: open,
            handler: |req| {
                now(fixed(
                    &req,
                    "application/json",
                    Cow::Borrowed(contract::contract_text()),
                ))
            },
            ..json("/openapi.json", "get_contract", "Service", "This contract")
        },
        Resource {
            media_type: "text/html",
            problems: open,
            handler: |req| {
                now(fixed(
                    &req,
                    "text/html; charset=utf-8",
                    Cow::Borrowed(pages::documentation()),
                ))
            },
            ..json(
                "/docs",
                "get_documentation",
                "Service",
                "The documentation, as a page",
            )
        },
        Resource {
            media_type: "text/html",
            parameters: CODE,
            problems: &[Code::HostRefused, Code::NotFound],
            handler: |req| now(problem_page(&req)),
            ..json(
                "/problems/{code}",
                "get_problem",
                "Service",
                "What a problem means, as a page",
            )
        },
        Resource {
            schema: Some(Described::by::<Health>()),
            example: Some(|| serde_json::to_value(Health::OK).ok()),
            problems: open,
            handler: |_| now(fresh(&Health::OK)),
            ..json(
                "/livez",
                "check_liveness",
                "Service",
                "Whether the process lives",
            )
        },
        Resource {
            schema: Some(Described::by::<Health>()),
            example: Some(|| serde_json::to_value(Health::OK).ok()),
            problems: &[Code::HostRefused, Code::StoreUnavailable],
            handler: |req| Box::pin(readiness(req)),
            ..json(
                "/readyz",
                "check_readiness",
                "Service",
                "Whether it can answer",
            )
        },
    ]
}

fn json(
    path: &'static str,
    id: &'static str,
    tag: &'static str,
    summary: &'static str,
) -> Resource {
    Resource {
        path,
        id,
        tag,
        summary,
        media_type: "application/json",
        schema: None,
        example: None,
        parameters: &[],
        problems: &[],
        handler: |_| now(Err(Problem::internal())),
    }
}

fn now(answer: Answered) -> Pin<Box<dyn Future<Output = Answered>>> {
    Box::pin(ready(answer))
}

/// The state of the process.
#[derive(Debug, Serialize, ToSchema)]
pub struct Health {
    /// `ok`.
    pub status: &'static str,
}

impl Health {
    const OK: Self = Self { status: "ok" };
}

fn segment<'a>(req: &'a HttpRequest, name: &str) -> &'a str {
    req.match_info().get(name).unwrap_or_default()
}

/// An answer that may be kept and asked for again by its tag.
pub(crate) fn fixed(
    req: &HttpRequest,
    content_type: &'static str,
    body: Cow<'static, str>,
) -> Answered {
    let mut hasher = DefaultHasher::new();
    body.hash(&mut hasher);
    let etag = format!("\"{:016x}\"", hasher.finish());
    let known = header_text(req, &header::IF_NONE_MATCH)
        .split(',')
        .map(|tag| tag.trim().trim_start_matches("W/"))
        .any(|tag| tag == etag || tag == "*");
    let tag = HeaderValue::from_str(&etag).map_err(|_| Problem::internal())?;
    if known {
        return Ok(HttpResponse::NotModified()
            .insert_header((header::ETAG, tag))
            .insert_header((header::CACHE_CONTROL, "no-cache"))
            .finish());
    }
    let mut response = HttpResponse::Ok();
    response
        .content_type(content_type)
        .insert_header((header::ETAG, tag))
        .insert_header((header::CACHE_CONTROL, "no-cache"));
    Ok(match body {
        Cow::Borrowed(text) => response.body(text),
        Cow::Owned(text) => response.body(text),
    })
}

/// An answer that is true now and not kept.
fn fresh<T: Serialize>(value: &T) -> Answered {
    let body = serde_json::to_vec(value).map_err(|_| Problem::internal())?;
    Ok(HttpResponse::Ok()
        .content_type("application/json")
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .body(body))
}

fn one<T: Serialize>(req: &HttpRequest, found: Option<&T>) -> Answered {
    let found = found.ok_or_else(|| {
        let name = segment(req, "id").to_owned() + segment(req, "key");
        let name: String = name.chars().take(80).collect();
        Problem::new(
            Code::NotFound,
            format!("`{name}` is not here; the list one level up has every name."),
        )
    })?;
    let body = serde_json::to_string(found).map_err(|_| Problem::internal())?;
    fixed(req, "application/json", Cow::Owned(body))
}

fn problem_page(req: &HttpRequest) -> Answered {
    let name = segment(req, "code");
    let code = Code::ALL
        .iter()
        .find(|c| c.name() == name)
        .ok_or_else(|| Problem::new(Code::NotFound, "There is no such problem."))?;
    fixed(
        req,
        "text/html; charset=utf-8",
        Cow::Owned(pages::problem(*code)),
    )
}

fn state(req: &HttpRequest) -> Result<web::Data<State>, Problem> {
    req.app_data::<web::Data<State>>()
        .cloned()
        .ok_or_else(Problem::internal)
}

/// Ready is who can read the book. A stale price makes nobody unready.
async fn readiness(req: HttpRequest) -> Answered {
    state(&req)?.store.check().await?;
    fresh(&Health::OK)
}

async fn price(req: HttpRequest) -> Answered {
    let state = state(&req)?;
    match &state.price {
        Some(feed) => fresh(&feed.price().await?),
        None => Err(Problem::new(
            Code::PriceNotConfigured,
            "No price feed is configured: the price comes from you. Put its amount, currency, unit and date into the request.",
        )),
    }
}

fn price_example() -> Option<Value> {
    let price = FeedPrice {
        price: MetalPrice {
            amount: Amount::new("31.25".parse().ok()?).ok()?,
            currency: Currency::parse("USD").ok()?,
            per: PriceUnit::TroyOunce,
            as_of_on: spent_silver_domain::quantity::Date::parse("2026-11-25").ok(),
            source: spent_silver_domain::quantity::Text::new("price feed").ok(),
        },
        origin: PriceOrigin::PriceFeed,
        as_of_at: "2026-11-25T09:30:00Z".to_owned(),
        stale: false,
        age_s: Seconds::parse("42").ok()?,
    };
    serde_json::to_value(price).ok()
}
