//! The HTTP service: routes from the two tables, and what every request and answer goes through.

use crate::book::{Endpoint, KnownClocks, endpoints};
use crate::config::{LogLevel, Settings};
use crate::limits::Limits;
use crate::negotiation::{header_text, negotiate};
use crate::operation::{Operation, Rendering, operations};
use crate::price_feed::PriceFeed;
use crate::problem::{Code, ErrorEntry, Problem};
use crate::resource::{Resource, resources};
use crate::site::{self, Sessions};
use crate::store::{Access, Store};
use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{Server, ServiceRequest, ServiceResponse};
use actix_web::http::StatusCode;
use actix_web::http::header::{self, HeaderName, HeaderValue};
use actix_web::middleware::{Next, from_fn};
use actix_web::{App, HttpMessage as _, HttpRequest, HttpResponse, HttpServer, guard, web};
use std::hash::{BuildHasher as _, RandomState};
use std::net::{SocketAddr, TcpListener};
use std::sync::LazyLock;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");
const PROBLEM: HeaderValue = HeaderValue::from_static("application/problem+json");
const PAGE: HeaderValue = HeaderValue::from_static("text/html; charset=utf-8");
const JSON: &str = "application/json";
/// Pages are text and style of their own; nothing is fetched, framed or sent.
const POLICY: HeaderValue = HeaderValue::from_static(
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
);

/// What handlers share.
pub struct State {
    /// The settings.
    pub settings: Settings,
    /// The price feed, where one is configured.
    pub price: Option<PriceFeed>,
    /// The silver book.
    pub store: Store,
    /// Who is logged in to the pages.
    pub sessions: Sessions,
    pub(crate) limits: Limits,
    pub(crate) clocks: KnownClocks,
}

impl State {
    /// The state of a service with these settings, its book open.
    ///
    /// # Errors
    /// When the settings contradict each other, the price feed cannot be set up, the book cannot be
    /// opened, or others could reach the service and no token is in force.
    pub async fn new(settings: Settings) -> Result<Self, Problem> {
        let price = settings.check()?.map(PriceFeed::new).transpose()?;
        let store = Store::open(&settings.book.location()?).await?;
        if settings.asks_for_token() && settings.api_token.is_none() && !store.has_tokens().await? {
            return Err(settings.unguarded());
        }
        Ok(Self {
            limits: Limits::new(&settings),
            settings,
            price,
            store,
            sessions: Sessions::new()?,
            clocks: KnownClocks::default(),
        })
    }
}

/// A service that is bound to its address and ready to run.
pub struct Bound {
    /// The service; it runs when awaited.
    pub server: Server,
    /// The address it listens on.
    pub address: SocketAddr,
}

/// Binds the service. It stops when [`Server::handle`] says so; signals are the caller's.
///
/// # Errors
/// When the address cannot be listened on.
pub fn bind(state: State) -> Result<Bound, Problem> {
    bind_with(state, |_| {})
}

/// As [`bind`], with routes of the caller's beside ours.
///
/// # Errors
/// When the address cannot be listened on.
pub fn bind_with(
    state: State,
    more: impl Fn(&mut web::ServiceConfig) + Clone + Send + 'static,
) -> Result<Bound, Problem> {
    let wanted = state.settings.listen;
    let refused = |e: std::io::Error| {
        Problem::new(
            Code::InvalidArgument,
            format!("--listen: {wanted} cannot be listened on: {e}."),
        )
    };
    let listener = TcpListener::bind(wanted).map_err(refused)?;
    let address = listener.local_addr().map_err(refused)?;
    // What the first request would otherwise pay for.
    LazyLock::force(&IDS);
    let _ = crate::contract::members();
    let workers = state.settings.workers;
    let grace = state.settings.shutdown_seconds;
    let state = web::Data::new(state);
    let mut server = HttpServer::new(move || {
        App::new()
            .wrap(from_fn(envelope))
            .configure(|c| routes(c, &state))
            .configure(more.clone())
    })
    .disable_signals()
    .shutdown_timeout(grace)
    .client_request_timeout(Duration::from_secs(20));
    if let Some(workers) = workers {
        server = server.workers(workers);
    }
    let server = server.listen(listener).map_err(refused)?.run();
    Ok(Bound { server, address })
}

/// Every route and every limit, in one place.
fn routes(config: &mut web::ServiceConfig, state: &web::Data<State>) {
    config
        .app_data(state.clone())
        .app_data(web::PayloadConfig::new(state.settings.body_limit_bytes));
    for operation in operations() {
        config.service(
            web::resource(format!("/v1/{}", operation.name))
                .route(web::post().to(move |req, body| answer(operation, req, body)))
                .default_service(web::to(|req| not_allowed(req, "POST"))),
        );
    }
    for resource in resources() {
        let handle = move |req| get(resource, req);
        config.service(
            web::resource(resource.path)
                .route(
                    web::route()
                        .guard(guard::Any(guard::Get()).or(guard::Head()))
                        .to(handle),
                )
                .default_service(web::to(|req| not_allowed(req, "GET, HEAD"))),
        );
    }
    let mut paths: Vec<(&'static str, Vec<&'static Endpoint>)> = Vec::new();
    for endpoint in endpoints() {
        match paths.iter_mut().find(|(path, _)| *path == endpoint.path) {
            Some((_, several)) => several.push(endpoint),
            None => paths.push((&endpoint.path, vec![endpoint])),
        }
    }
    for (path, several) in paths {
        let allow = allowed(&several);
        let mut at = web::resource(path);
        for endpoint in several {
            let handle = move |req, body| keep(endpoint, req, body);
            at = at.route(match endpoint.method {
                "POST" => web::post().to(handle),
                "PUT" => web::put().to(handle),
                _ => web::route()
                    .guard(guard::Any(guard::Get()).or(guard::Head()))
                    .to(handle),
            });
        }
        config.service(at.default_service(web::to(move |req| not_allowed(req, allow))));
    }
    site::routes(config);
    config.default_service(web::to(nothing_here));
}

/// What the `Allow` header says of a path with these endpoints.
fn allowed(endpoints: &[&Endpoint]) -> &'static str {
    let has = |method| endpoints.iter().any(|e| e.method == method);
    match (has("GET"), has("POST"), has("PUT")) {
        (true, true, _) => "GET, HEAD, POST",
        (true, _, true) => "GET, HEAD, PUT",
        (true, _, _) => "GET, HEAD",
        (_, _, true) => "PUT",
        _ => "POST",
    }
}

async fn keep(
    endpoint: &'static Endpoint,
    req: HttpRequest,
    body: Result<web::Bytes, actix_web::Error>,
) -> HttpResponse {
    let answered = async {
        if endpoint.request.is_some() {
            check_content_type(&req)?;
        }
        let body = body.map_err(|e| unreadable_body(&req, &e))?;
        endpoint.answer(req.clone(), body).await
    };
    answered
        .await
        .unwrap_or_else(|problem| problem_response(&req, &problem))
}

pub(crate) async fn not_allowed(req: HttpRequest, allow: &'static str) -> HttpResponse {
    problem_response(&req, &Problem::method_not_allowed(allow))
}

async fn nothing_here(req: HttpRequest) -> HttpResponse {
    let problem = Problem::new(
        Code::NotFound,
        "There is nothing at this path. The contract at /openapi.json lists every path.",
    );
    // A person who mistyped an address gets a page.
    match negotiate(&req, &[JSON, "text/html"]) {
        Some(1) => site::problem_page(&problem),
        _ => problem_response(&req, &problem),
    }
}

async fn get(resource: &'static Resource, req: HttpRequest) -> HttpResponse {
    let offered = [resource.media_type];
    let answered = match negotiate(&req, &offered) {
        None => Err(not_acceptable(&offered)),
        Some(_) if resource.takes_query() => (resource.handler)(req.clone()).await,
        Some(_) => match no_query(&req) {
            Ok(()) => (resource.handler)(req.clone()).await,
            Err(problem) => Err(problem),
        },
    };
    answered.unwrap_or_else(|problem| problem_response(&req, &problem))
}

async fn answer(
    operation: &'static Operation,
    req: HttpRequest,
    body: Result<web::Bytes, actix_web::Error>,
) -> HttpResponse {
    answer_body(operation, &req, body)
        .await
        .unwrap_or_else(|problem| problem_response(&req, &problem))
}

async fn answer_body(
    operation: &'static Operation,
    req: &HttpRequest,
    body: Result<web::Bytes, actix_web::Error>,
) -> Result<HttpResponse, Problem> {
    check_content_type(req)?;
    no_query(req)?;
    let rendering = choose(operation, req)?;
    let body = body.map_err(|e| unreadable_body(req, &e))?;
    let run = move || match rendering {
        Some(rendering) => (rendering.render)(&body, &[]),
        None => operation.answer(&body),
    };
    let out = if rendering.map_or(operation.heavy, |r| r.heavy || operation.heavy) {
        web::block(run).await.map_err(|_| Problem::internal())??
    } else {
        run()?
    };
    let mut response = HttpResponse::Ok();
    response.insert_header((header::CACHE_CONTROL, "no-store"));
    let Some(rendering) = rendering else {
        return Ok(response.content_type(JSON).body(out));
    };
    let name = format!(
        "inline; filename=\"{}.{}\"",
        operation.name, rendering.extension
    );
    Ok(response
        .content_type(rendering.content_type())
        .insert_header((header::CONTENT_DISPOSITION, name))
        .body(out))
}

fn check_content_type(req: &HttpRequest) -> Result<(), Problem> {
    let declared = header_text(req, &header::CONTENT_TYPE);
    let essence = declared.split(';').next().unwrap_or_default().trim();
    if !essence.eq_ignore_ascii_case(JSON) {
        let found: String = essence.chars().take(60).collect();
        return Err(Problem::new(
            Code::UnsupportedMediaType,
            format!("`{found}` is not taken: expected Content-Type: application/json."),
        ));
    }
    let coding = header_text(req, &header::CONTENT_ENCODING);
    if !coding.is_empty() && !coding.eq_ignore_ascii_case("identity") {
        return Err(Problem::new(
            Code::UnsupportedMediaType,
            "A content coding is not taken: send the body as it is.",
        ));
    }
    Ok(())
}

fn no_query(req: &HttpRequest) -> Result<(), Problem> {
    let query = req.query_string();
    if query.is_empty() {
        return Ok(());
    }
    let name: String = query
        .split(['=', '&'])
        .next()
        .unwrap_or_default()
        .chars()
        .take(80)
        .collect();
    let detail = "this path takes no query parameters";
    Err(Problem::new(Code::InvalidParameter, detail)
        .with(ErrorEntry::parameter("unknown", name, detail)))
}

fn unreadable_body(req: &HttpRequest, error: &actix_web::Error) -> Problem {
    if error.as_response_error().status_code() == StatusCode::PAYLOAD_TOO_LARGE {
        let limit = req
            .app_data::<web::Data<State>>()
            .map_or(0, |s| s.settings.body_limit_bytes);
        return Problem::new(
            Code::BodyTooLarge,
            format!("The body is longer than {limit} bytes."),
        );
    }
    Problem::new(Code::NotJson, "The body ended before it was complete.")
}

/// The rendering that the client prefers; `None` is JSON.
fn choose(operation: &Operation, req: &HttpRequest) -> Result<Option<Rendering>, Problem> {
    let mut offered = vec![JSON];
    offered.extend(operation.renderings.iter().map(|r| r.media_type));
    match negotiate(req, &offered) {
        None => Err(not_acceptable(&offered)),
        Some(0) => Ok(None),
        Some(n) => Ok(operation.renderings.get(n - 1).copied()),
    }
}

fn not_acceptable(offered: &[&str]) -> Problem {
    Problem::new(
        Code::NotAcceptable,
        format!("The answer can be written as {}.", offered.join(", ")),
    )
}

#[derive(Clone)]
struct RequestId(String);

static IDS: LazyLock<(RandomState, AtomicU64)> =
    LazyLock::new(|| (RandomState::new(), AtomicU64::new(0)));

/// The client's id where it is a plain word, or one of ours.
fn request_id(req: &ServiceRequest) -> String {
    let given = req
        .headers()
        .get(REQUEST_ID)
        .and_then(|v| v.to_str().ok())
        .unwrap_or_default();
    let plain = !given.is_empty()
        && given.len() <= 64
        && given
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_' | b'.'));
    if plain {
        return given.to_owned();
    }
    format!(
        "{:016x}",
        IDS.0.hash_one(IDS.1.fetch_add(1, Ordering::Relaxed))
    )
}

/// What every request goes through: id, host, token; and every answer: headers, log line, and a
/// problem document where the framework would answer in plain text.
async fn envelope(
    req: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<BoxBody>, actix_web::Error> {
    let started = Instant::now();
    let id = request_id(&req);
    req.extensions_mut().insert(RequestId(id.clone()));
    let mut response = match admit(&req).await {
        Err(problem) => {
            let answer = problem_response(req.request(), &problem);
            req.into_response(answer)
        }
        // Extractors and handlers answer for themselves; nothing between here and them fails.
        Ok(()) => next.call(req).await?.map_into_boxed_body(),
    };
    let status = response.status();
    if (status.is_client_error() || status.is_server_error())
        && ![Some(&PROBLEM), Some(&PAGE)].contains(&response.headers().get(header::CONTENT_TYPE))
    {
        let answer = plain_problem(response.request(), status);
        response = response.into_response(answer);
    }
    let method = response.request().method().clone();
    let headers = response.headers_mut();
    if let Ok(id) = HeaderValue::from_str(&id) {
        headers.insert(REQUEST_ID, id);
    }
    headers.insert(
        header::X_CONTENT_TYPE_OPTIONS,
        HeaderValue::from_static("nosniff"),
    );
    if !headers.contains_key(header::CONTENT_SECURITY_POLICY) {
        headers.insert(header::CONTENT_SECURITY_POLICY, POLICY);
    }
    headers.insert(
        header::REFERRER_POLICY,
        // Not `no-referrer`: a browser then says of our own forms, too, that they come from nowhere.
        HeaderValue::from_static("same-origin"),
    );
    headers.insert(
        header::CROSS_ORIGIN_RESOURCE_POLICY,
        HeaderValue::from_static("same-origin"),
    );
    tracing::info!(
        request_id = %id,
        %method,
        path = response.request().path(),
        status = status.as_u16(),
        duration_us = u64::try_from(started.elapsed().as_micros()).unwrap_or(u64::MAX),
        "answered"
    );
    Ok(response)
}

/// A problem for a status that the framework chose.
fn plain_problem(req: &HttpRequest, status: StatusCode) -> HttpResponse {
    let code = Code::ALL
        .iter()
        .copied()
        .find(|c| c.status() == status.as_u16() && *c != Code::NotJson)
        .unwrap_or(if status.is_client_error() {
            Code::InvalidParameter
        } else {
            Code::Internal
        });
    problem_response(req, &Problem::new(code, code.page()))
}

/// Lets a request in, and notes who asks.
async fn admit(req: &ServiceRequest) -> Result<(), Problem> {
    let Some(state) = req.app_data::<web::Data<State>>().cloned() else {
        return Err(Problem::internal());
    };
    let settings = &state.settings;
    if settings.listen.ip().is_loopback() && !is_served(req, &settings.allowed_hosts) {
        return Err(Problem::new(
            Code::HostRefused,
            "The Host header must name localhost, 127.0.0.1 or [::1], or a name that the operator allows.",
        ));
    }
    if !req.path().starts_with("/v1/") {
        return Ok(());
    }
    let address = req
        .peer_addr()
        .map_or_else(String::new, |peer| peer.ip().to_string());
    let given = header_text(req.request(), &header::AUTHORIZATION);
    let access = if given.is_empty() {
        access_of(&state, None, address.clone()).await?
    } else {
        let token = given
            .split_once(' ')
            .filter(|(scheme, _)| scheme.eq_ignore_ascii_case("bearer"))
            .map(|(_, token)| token.trim());
        match token {
            Some(token) => access_of(&state, Some(token), address.clone()).await?,
            None => None,
        }
    };
    let Some(access) = access else {
        state.limits.stranger(&address)?;
        return Err(Problem::new(
            Code::Unauthorized,
            "Send an API token that is in force as Authorization: Bearer TOKEN.",
        ));
    };
    state.limits.caller(&access.actor, &access.address)?;
    req.extensions_mut().insert(access);
    Ok(())
}

/// What a token, or none, lets somebody at an address do; `None` is nothing.
pub(crate) async fn access_of(
    state: &State,
    token: Option<&str>,
    address: String,
) -> Result<Option<Access>, Problem> {
    let settings = &state.settings;
    match (token, &settings.api_token) {
        (None, _) if !settings.asks_for_token() => Ok(Some(Access::local(address))),
        (None, _) => Ok(None),
        (Some(token), Some(own)) if own.matches(token.as_bytes()) => Ok(Some(Access {
            actor: "operator".to_owned(),
            ..Access::local(address)
        })),
        (Some(token), _) => state.store.admit(token, &address).await,
    }
}

/// Whether the Host header names this machine, or a name the operator allows.
fn is_served(req: &ServiceRequest, allowed: &[String]) -> bool {
    let host = req
        .uri()
        .authority()
        .map(|a| a.as_str())
        .unwrap_or_else(|| header_text(req.request(), &header::HOST));
    let name = match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|b| b.is_ascii_digit()) => name,
        _ => host,
    };
    ["localhost", "127.0.0.1", "[::1]"]
        .into_iter()
        .chain(allowed.iter().map(String::as_str))
        .any(|good| good.eq_ignore_ascii_case(name))
}

/// The problem as an HTTP answer, with the headers its status asks for.
fn problem_response(req: &HttpRequest, problem: &Problem) -> HttpResponse {
    let status =
        StatusCode::from_u16(problem.code.status()).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let id = req.extensions().get::<RequestId>().cloned();
    if problem.code == Code::Internal {
        tracing::error!(
            request_id = id.as_ref().map(|i| i.0.as_str()),
            "internal problem"
        );
    }
    let mut response = HttpResponse::build(status);
    response
        .insert_header((header::CONTENT_TYPE, PROBLEM))
        .insert_header((header::CACHE_CONTROL, "no-store"));
    if problem.code == Code::Unauthorized {
        response.insert_header((header::WWW_AUTHENTICATE, "Bearer realm=\"spent-silver\""));
    }
    if let Some(allow) = problem.allow {
        response.insert_header((header::ALLOW, allow));
    }
    if let Some(seconds) = problem.retry_after {
        response.insert_header((header::RETRY_AFTER, seconds.to_string()));
    }
    response.body(problem.to_json(id.as_ref().map(|i| i.0.as_str())))
}

/// Starts the log: JSON lines on standard error.
pub fn start_log(level: LogLevel) {
    use tracing_subscriber::filter::LevelFilter;
    let level = match level {
        LogLevel::Off => LevelFilter::OFF,
        LogLevel::Error => LevelFilter::ERROR,
        LogLevel::Warn => LevelFilter::WARN,
        LogLevel::Info => LevelFilter::INFO,
        LogLevel::Debug => LevelFilter::DEBUG,
    };
    // A second start in one process changes nothing.
    let _ = tracing_subscriber::fmt()
        .json()
        .flatten_event(true)
        .with_max_level(level)
        .with_writer(std::io::stderr)
        .try_init();
    std::panic::set_hook(Box::new(|panic| {
        let place = panic.location().map(ToString::to_string);
        tracing::error!(place, "a panic was caught");
    }));
}
