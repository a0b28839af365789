//! What every page has: its head, the way back, the warnings, the notice.

use super::language::{plain, t};
use super::words::layout as w;
use super::{SCRIPT, STYLE, Visit, page};
use crate::problem::Problem;
use crate::store::{StoredStudio, sha256};
use actix_web::HttpResponse;
use maud::{DOCTYPE, Markup, html};
use spent_silver_domain::answer::{Assumption, Notice, Severity, Warning};
use spent_silver_domain::quantity::Identifier;
use spent_silver_domain::waste::rule_set::RuleSet;
use std::collections::BTreeSet;
use std::sync::LazyLock;

/// Members that calculations speak of, and where a page asks for them.
const MEMBERS: &[(&str, &str)] = &[
    ("state other_hazardous_waste_kg", w::WRITE_IT_THERE),
    ("state other_acute_waste_kg", w::WRITE_IT_THERE),
];

/// Containers that a warning about many names.
const MOST_NAMED: usize = 60;

/// Path of a file that every page fetches: with a hash of it, so that it may be kept for good.
fn path_of(name: &str, text: &str, ending: &str) -> String {
    let hash = sha256(text.as_bytes());
    format!("/{name}-{}.{ending}", hash.get(..16).unwrap_or(&hash))
}

pub(super) fn style_path() -> &'static str {
    static PATH: LazyLock<String> = LazyLock::new(|| path_of("style", STYLE, "css"));
    &PATH
}

pub(super) fn script_path() -> &'static str {
    static PATH: LazyLock<String> = LazyLock::new(|| path_of("forms", SCRIPT, "js"));
    &PATH
}

/// What of a visit a page's frame needs.
pub(super) struct Frame {
    proof: String,
    logged_in: bool,
}

impl Frame {
    pub(super) fn of(visit: &Visit) -> Self {
        Self {
            proof: visit.proof.clone(),
            logged_in: visit.logged_in,
        }
    }
}

/// One page.
pub(super) struct Page<'a> {
    pub status: u16,
    pub title: &'a str,
    pub studio: Option<&'a StoredStudio>,
    /// What an answer's notice says; else that of the studio's rules.
    pub notice: Option<&'a Notice>,
    pub body: Markup,
}

impl Page<'_> {
    pub(super) fn shown(self, visit: &Visit) -> HttpResponse {
        let frame = Frame::of(visit);
        page(self.status, framed(&self, &frame))
    }
}

fn framed(of: &Page<'_>, frame: &Frame) -> Markup {
    let rules = of
        .studio
        .map_or_else(RuleSet::unspecified, crate::book::rules);
    let own = rules.notice();
    let notice = of.notice.unwrap_or(&own);
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (plain(of.title)) " - " (w::NAME) }
                link rel="stylesheet" href=(style_path());
                script src=(script_path()) defer {}
            }
            body {
                a.skip href="#main" { (w::SKIP) }
                header {
                    nav aria-label=(w::WHERE_YOU_ARE) {
                        a href="/" { @if of.studio.is_some() { (w::STUDIOS) } @else { (w::NAME) } }
                        @if let Some(studio) = of.studio {
                            " / "
                            a href={ "/studios/" (studio.record.id) } {
                                (t(studio.record.studio.name.as_str()))
                            }
                        }
                    }
                }
                main #main {
                    h1 { (t(of.title)) }
                    (of.body)
                }
                footer {
                    section.notice aria-labelledby="first" {
                        h2 #first { (w::FIRST) }
                        p { (t(&notice.text)) }
                        @if !notice.confirm.is_empty() {
                            ul { @for line in notice.confirm.iter() { li { (t(line)) } } }
                        }
                        p.small { (w::RULES) (t(&notice.rule_set)) (w::EDITION) (t(&notice.edition)) ")." }
                    }
                    p.small { a href="/docs" { (w::DOCS) } }
                    @if frame.logged_in {
                        form method="post" action="/logout" {
                            input type="hidden" name="proof" value=(frame.proof);
                            button.quiet type="submit" { (w::LOG_OUT) }
                        }
                    }
                }
            }
        }
    }
}

/// What went wrong, as a page.
pub(super) fn problem_page(frame: Option<&Frame>, problem: &Problem) -> HttpResponse {
    let nobody = Frame {
        proof: String::new(),
        logged_in: false,
    };
    let body = html! {
        section.problem role="alert" {
            p { (t(&problem.detail)) }
            @for error in &problem.errors {
                @if !problem.detail.contains(&error.detail) { p { (t(&error.detail)) } }
            }
        }
        p { (problem.code.page()) }
        p { a.big href="/" { (w::BACK) } }
    };
    let whole = Page {
        status: problem.code.status(),
        title: problem.code.title(),
        studio: None,
        notice: None,
        body,
    };
    let mut response = page(whole.status, framed(&whole, frame.unwrap_or(&nobody)));
    if let Some(seconds) = problem.retry_after {
        response.headers_mut().insert(
            actix_web::http::header::RETRY_AFTER,
            actix_web::http::header::HeaderValue::from(seconds),
        );
    }
    response
}

/// The way in for somebody who follows a link from elsewhere.
pub(super) fn door(place: &str) -> HttpResponse {
    let nobody = Frame {
        proof: String::new(),
        logged_in: false,
    };
    let whole = Page {
        status: 200,
        title: w::NAME,
        studio: None,
        notice: None,
        body: html! { p.lead { (w::FROM_ELSEWHERE) } p { a.big href=(place) { (w::GO_IN) } } },
    };
    page(whole.status, framed(&whole, &nobody))
}

/// Every warning of an answer, the gravest first. None is left out.
pub(super) fn warnings(all: &[Warning]) -> Markup {
    html! {
        @for (severity, signal, class) in [
            (Severity::Danger, w::DANGER, "danger"),
            (Severity::Caution, w::CAUTION, "caution"),
            (Severity::Note, w::NOTE, "note"),
        ] {
            @let of = said_once(all, severity);
            @if !of.is_empty() {
                section class={ "warning " (class) } {
                    h2 { (signal) }
                    @match of.as_slice() {
                        [one] => p { (t(&one.text)) },
                        _ => ul { @for warning in &of { li { (t(&warning.text)) } } },
                    }
                }
            }
        }
    }
}

/// The warnings of an answer about several containers, each with the names it is about: `list` is the
/// pointer of the list that `names` are of.
pub(super) fn with_names(all: &[Warning], list: &str, names: &[&Identifier]) -> Vec<Warning> {
    let mut out: Vec<(Warning, Vec<&str>)> = Vec::new();
    for warning in all {
        let place = warning.about.strip_prefix(list);
        let place = place.and_then(|rest| rest.split('/').next()?.parse::<usize>().ok());
        let name = place.and_then(|i| names.get(i)).map(|n| n.as_str());
        let name = name.filter(|n| !warning.text.contains(n));
        let same = |(w, of): &&mut (Warning, Vec<&str>)| {
            w.text == warning.text
                && w.severity == warning.severity
                && of.is_empty() == name.is_none()
        };
        match out.iter_mut().find(same) {
            Some((_, of)) => of.extend(name.filter(|n| !of.contains(n))),
            None => out.push((warning.clone(), name.into_iter().collect())),
        }
    }
    out.into_iter()
        .map(|(warning, of)| match of.as_slice() {
            [] => warning,
            some => {
                let named = some.get(..MOST_NAMED).unwrap_or(some).join(", ");
                let more = match some.len().saturating_sub(MOST_NAMED) {
                    0 => String::new(),
                    n => w::and_more(n),
                };
                Warning {
                    text: format!("{named}{more}: {}", warning.text),
                    ..warning
                }
            }
        })
        .collect()
}

/// Warnings of one gravity; the same words about several things are said once.
fn said_once(all: &[Warning], severity: Severity) -> Vec<&Warning> {
    let mut of: Vec<&Warning> = Vec::new();
    for warning in all.iter().filter(|w| w.severity == severity) {
        if of.iter().all(|w| w.text != warning.text) {
            of.push(warning);
        }
    }
    of
}

/// A text of a calculation, in which members of a request are named as the questions they are.
pub(super) fn asked(text: &str) -> Markup {
    let mut text = text.to_owned();
    for (member, question) in MEMBERS {
        text = text.replace(member, question);
    }
    t(&text)
}

/// What an answer took for granted; the same words about several things are said once.
pub(super) fn assumptions(all: &[Assumption]) -> Markup {
    let mut said: BTreeSet<&str> = BTreeSet::new();
    let once: Vec<&str> = all
        .iter()
        .map(|one| one.text.as_ref())
        .filter(|text| said.insert(*text))
        .collect();
    html! {
        @if !once.is_empty() {
            details {
                summary { (w::ASSUMED) " (" (once.len()) ")" }
                ul { @for text in once { li { (t(text)) } } }
            }
        }
    }
}
