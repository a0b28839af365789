//! The pages: for people who will never write JSON.
//!
//! A page goes over the same calls as the JSON service. A form becomes the JSON text of the same
//! request, with the digits as they were typed, and what is wrong with it comes back as the same
//! problem, whose pointer leads to the field. Everything works without a script.

mod about;
mod account;
mod container;
mod container_sheet;
mod control;
mod cost;
mod due;
mod flow;
mod form;
mod hands;
mod home;
mod kept;
mod language;
mod layout;
mod leaving_sheets;
mod login;
mod lot;
mod measure;
mod papers;
mod plan;
mod pour;
mod reading_sheets;
mod record;
mod session;
mod sheet;
mod statement;
mod studio;
mod terms;
mod words;
mod work_sheets;
mod worth;

pub use session::Sessions;

use crate::book::now;
use crate::problem::{Code, Problem};
use crate::server::{State, access_of};
use crate::store::{Access, Role, Store, StoredStudio};
use actix_web::http::StatusCode;
use actix_web::http::header::{self, HeaderValue};
use actix_web::{HttpRequest, HttpResponse, guard, web};
use form::Form;
use language::Language;
use maud::Markup;
use std::pin::Pin;

/// What these pages may do: their own style, their own forms, and nothing else.
const POLICY: HeaderValue = HeaderValue::from_static(
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
);

/// The style of every page.
const STYLE: &str = include_str!("style.css");
/// What makes forms pleasant; every page works without it.
const SCRIPT: &str = include_str!("forms.js");

/// A page, or the problem that stands in its place.
type Shown = Result<HttpResponse, Problem>;
type Showing = Pin<Box<dyn Future<Output = Shown>>>;

/// One address.
struct Route {
    path: &'static str,
    /// The role that looking needs.
    read: Role,
    /// The role that sending the form needs.
    write: Role,
    /// Whether it is shown to people who are not logged in.
    open: bool,
    show: Option<fn(Visit) -> Showing>,
    send: Option<fn(Visit, Form) -> Showing>,
}

macro_rules! shows {
    ($function:path) => {
        Some(|visit| Box::pin($function(visit)))
    };
}

macro_rules! sends {
    ($function:path) => {
        Some(|visit, form| Box::pin($function(visit, form)))
    };
}

const PAGE: Route = Route {
    path: "",
    read: Role::Reader,
    write: Role::Writer,
    open: false,
    show: None,
    send: None,
};

const ROUTES: &[Route] = &[
    Route {
        path: "/",
        write: Role::Owner,
        show: shows!(home::show),
        send: sends!(home::begin),
        ..PAGE
    },
    Route {
        path: "/login",
        open: true,
        show: shows!(login::show),
        send: sends!(login::begin),
        ..PAGE
    },
    Route {
        path: "/logout",
        open: true,
        send: sends!(login::end),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}",
        show: shows!(studio::show),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}/about",
        write: Role::Owner,
        show: shows!(about::show),
        send: sends!(about::replace),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}/terms",
        write: Role::Owner,
        show: shows!(terms::show),
        send: sends!(terms::replace),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}/cost",
        write: Role::Owner,
        show: shows!(cost::show),
        send: sends!(cost::replace),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}/statements",
        show: shows!(statement::show),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}/worth",
        show: shows!(worth::show),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}/record",
        show: shows!(record::choose),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}/record/{sheet}",
        show: shows!(record::show),
        send: sends!(record::send),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}/containers/{batch}",
        show: shows!(container::show),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}/pour",
        show: shows!(pour::show),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}/papers",
        show: shows!(papers::show),
        send: sends!(papers::issue),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}/papers/{document}.{format}",
        show: shows!(papers::read),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}/due",
        show: shows!(due::show),
        ..PAGE
    },
    Route {
        path: "/studios/{studio}/account",
        show: shows!(account::show),
        ..PAGE
    },
];

/// Somebody who looks at a page, or sends a form.
pub(super) struct Visit {
    req: HttpRequest,
    access: Access,
    /// The name in the cookie.
    name: String,
    /// What a form of this visitor carries.
    proof: String,
    /// Whether somebody is logged in, and can log out.
    logged_in: bool,
}

impl Visit {
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

    /// The studio in the path.
    async fn studio(&self) -> Result<StoredStudio, Problem> {
        self.store()?.studio(self.segment("studio")).await
    }

    /// What stands behind the question mark.
    fn asked(&self) -> Result<Form, Problem> {
        Form::read(self.req.query_string().as_bytes())
    }

    /// Whether the visitor may write in a studio's book.
    fn may_write(&self, studio: &StoredStudio) -> bool {
        let name = studio.record.id.as_str();
        self.access.check(name, Role::Writer).is_ok()
    }
}

/// What went wrong, as a page for somebody who has no visit here.
pub(crate) fn problem_page(problem: &Problem) -> HttpResponse {
    layout::problem_page(None, problem)
}

/// Every address of the pages.
pub(crate) fn routes(config: &mut web::ServiceConfig) {
    for route in ROUTES {
        let mut at = web::resource(route.path);
        if route.show.is_some() {
            let handle = move |req| answer(route, req, None);
            at = at.route(
                web::route()
                    .guard(guard::Any(guard::Get()).or(guard::Head()))
                    .to(handle),
            );
        }
        if route.send.is_some() {
            at = at.route(web::post().to(move |req, body| answer(route, req, Some(body))));
        }
        let allow = match (route.show.is_some(), route.send.is_some()) {
            (true, true) => "GET, HEAD, POST",
            (true, false) => "GET, HEAD",
            _ => "POST",
        };
        config.service(
            at.default_service(web::to(move |req| crate::server::not_allowed(req, allow))),
        );
    }
    for (path, kind, text) in [
        (layout::style_path(), "text/css", STYLE),
        (layout::script_path(), "text/javascript", SCRIPT),
    ] {
        let file = move || async move {
            HttpResponse::Ok()
                .content_type(format!("{kind}; charset=utf-8"))
                // The path holds a hash of what it serves.
                .insert_header((header::CACHE_CONTROL, "public, max-age=31536000, immutable"))
                .body(text)
        };
        config.service(web::resource(path).route(web::get().to(file)));
    }
}

type Sent = Option<web::Bytes>;

async fn answer(route: &'static Route, req: HttpRequest, body: Sent) -> HttpResponse {
    let Some(state) = req.app_data::<web::Data<State>>().cloned() else {
        return layout::problem_page(None, &Problem::internal());
    };
    let beyond = !state.settings.listen.ip().is_loopback();
    // A browser that comes by a link from elsewhere keeps the cookie to itself: a new one would end a
    // login. One step on our own pages, and it is sent.
    if body.is_none() && session::named(&req).is_none() && session::is_foreign(&req) {
        let place = req.uri().path_and_query();
        return layout::door(place.map_or("/", |p| p.as_str()));
    }
    let (name, new) = match session::named(&req) {
        Some(name) => (name, false),
        None => match session::new_name() {
            Ok(name) => (name, true),
            Err(problem) => return layout::problem_page(None, &problem),
        },
    };
    let language = Language::of(&req);
    let made = let_in(route, &state, req, &name, body);
    let mut response = language.speaking(made).await;
    // A login sets a name of its own.
    if new && !response.headers().contains_key(header::SET_COOKIE) {
        set_cookie(&mut response, &name, beyond);
    }
    response
}

fn set_cookie(response: &mut HttpResponse, name: &str, beyond_loopback: bool) {
    if let Ok(cookie) = HeaderValue::from_str(&session::cookie(name, beyond_loopback)) {
        response.headers_mut().insert(header::SET_COOKIE, cookie);
    }
}

async fn let_in(
    route: &Route,
    state: &web::Data<State>,
    req: HttpRequest,
    name: &str,
    body: Sent,
) -> HttpResponse {
    let address = req
        .peer_addr()
        .map_or_else(String::new, |peer| peer.ip().to_string());
    let token = state.sessions.token(name);
    let access = match access_of(state, token.as_deref(), address.clone()).await {
        Ok(access) => access,
        Err(problem) => return layout::problem_page(None, &problem),
    };
    let logged_in = token.is_some() && access.is_some();
    if let Some(access) = &access
        && let Err(problem) = state.limits.caller(&access.actor, &access.address)
    {
        return layout::problem_page(None, &problem);
    }
    let access = match access {
        Some(access) => access,
        // Nobody: it reaches no studio, and these pages ask for none.
        None if route.open => Access::local(address),
        None => return see_other("/login"),
    };
    let visit = Visit {
        req,
        access,
        name: name.to_owned(),
        proof: state.sessions.proof(name),
        logged_in,
    };
    let frame = layout::Frame::of(&visit);
    shown(route, visit, body)
        .await
        .unwrap_or_else(|problem| layout::problem_page(Some(&frame), &problem))
}

async fn shown(route: &Route, visit: Visit, body: Sent) -> Shown {
    let needed = if body.is_some() {
        route.write
    } else {
        route.read
    };
    match visit.req.match_info().get("studio") {
        Some(studio) => visit.access.check(studio, needed)?,
        None if needed == Role::Owner && visit.access.only.is_some() => {
            return Err(Problem::new(Code::Forbidden, words::NOT_THIS_TOKEN));
        }
        None => {}
    }
    let Some(body) = body else {
        let show = route.show.ok_or_else(Problem::internal)?;
        return show(visit).await;
    };
    if session::is_foreign(&visit.req) {
        return Err(Problem::new(Code::FormRefused, words::FOREIGN_FORM));
    }
    let form = Form::read(&body)?;
    let proof = crate::config::Secret::from(visit.proof.clone());
    if !proof.matches(form.get("proof").as_bytes()) {
        return Err(Problem::new(Code::FormRefused, words::OLD_FORM));
    }
    let send = route.send.ok_or_else(Problem::internal)?;
    send(visit, form).await
}

fn see_other(place: &str) -> HttpResponse {
    HttpResponse::SeeOther()
        .insert_header((header::LOCATION, place))
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .insert_header((header::CONTENT_SECURITY_POLICY, POLICY))
        .finish()
}

/// A page as an answer.
fn page(status: u16, markup: Markup) -> HttpResponse {
    let status = StatusCode::from_u16(status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    HttpResponse::build(status)
        .content_type("text/html; charset=utf-8")
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .insert_header((header::CONTENT_SECURITY_POLICY, POLICY))
        .insert_header((header::VARY, header::ACCEPT_LANGUAGE.as_str()))
        .body(markup.into_string())
}

/// Today, in a studio.
fn today(studio: &StoredStudio) -> spent_silver_domain::quantity::Date {
    studio.record.day(now())
}
