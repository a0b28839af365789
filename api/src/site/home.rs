//! The first page: how a studio's book begins, and later the studios.

use super::control::{Sheet, sheet};
use super::form::{self, Choices, Field, Form, Kind, Trouble, choices};
use super::language::t;
use super::layout::Page;
use super::words::home as w;
use super::{Shown, Visit, see_other};
use crate::book::now;
use crate::contract;
use crate::problem::Problem;
use crate::reader;
use crate::store::{StoredStudio, StudioRecord};
use actix_web::HttpResponse;
use maud::{Markup, html};
use serde_json::json;
use spent_silver_domain::waste::rule_set::RuleSet;

const WELCOME_WORDS: [&str; 3] = [w::IT_KNOWS, w::IT_SAYS, w::IT_KEEPS];
const MOST: i64 = 200;

fn fields() -> Vec<Field> {
    let mut all = about_fields();
    let name = Field::new("id", "/id", w::PLACE, Kind::Line)
        .help(w::PLACE_HELP)
        .needed();
    all.insert(1, name);
    all
}

/// What a studio says of itself, besides its name in addresses.
pub(super) fn about_fields() -> Vec<Field> {
    vec![
        Field::new("title", "/studio/name", w::NAME, Kind::Line).needed(),
        Field::new(
            "crafts",
            "/studio/crafts",
            w::CRAFTS,
            Kind::Any(crafts(), None),
        )
        .help(w::CRAFTS_HELP),
        Field::new(
            "premises",
            "/studio/premises",
            w::PREMISES,
            Kind::One(choices(&[
                ("household_hobby", w::HOBBY_AT_HOME),
                ("home_business", w::BUSINESS_AT_HOME),
                ("business", w::BUSINESS),
                ("school", w::SCHOOL),
                ("college", w::COLLEGE_OR_UNIVERSITY),
            ])),
        )
        .help(w::PREMISES_HELP),
        Field::new("rule_set", "/rule_set", w::RULES, Kind::One(rule_sets())).help(w::RULES_HELP),
        Field::new("time_zone", "/time_zone", w::ZONE, Kind::Line).help(w::ZONE_HELP),
        Field::new("responsible", "/details/responsible", w::PERSON, Kind::Line)
            .help(w::PERSON_HELP),
        Field::new("telephone", "/details/telephone", w::PHONE, Kind::Line),
    ]
}

pub(super) fn crafts() -> Choices {
    choices(&[
        ("collodion", w::COLLODION_PLATES),
        ("salted_paper", w::SALTED_PAPER),
        ("albumen_paper", w::ALBUMEN_PAPER),
        ("film_and_paper", w::FILM_AND_GELATIN_PAPER),
    ])
}

fn rule_sets() -> Choices {
    RuleSet::all()
        .filter(|r| r.id != RuleSet::unspecified().id)
        .map(|r| (r.id.clone(), r.title.clone()))
        .collect()
}

pub(super) async fn show(visit: Visit) -> Shown {
    page(&visit, 200, &Form::default(), &[]).await
}

async fn page(visit: &Visit, status: u16, form: &Form, troubles: &[Trouble]) -> Shown {
    let store = visit.store()?;
    let studios = match &visit.access.only {
        // A token of one studio sees that one.
        Some((own, _)) => vec![store.studio(own.as_str()).await?],
        None => store.studios(0, MOST).await?,
    };
    let fields = fields();
    let begin = Sheet {
        action: "/".to_owned(),
        fields: &fields,
        hidden: Vec::new(),
        send: w::SEND,
    };
    let begin = match &visit.access.only {
        Some(_) => None,
        None => Some(sheet(&begin, form, troubles, visit)?),
    };
    let body = match (studios.as_slice(), begin) {
        ([], Some(begin)) => html! {
            @for words in WELCOME_WORDS { p.lead { (words) } }
            h2 { (w::BEGIN) }
            (begin)
        },
        (some, begin) => html! {
            (list(some))
            @if let Some(begin) = begin {
                details open[!troubles.is_empty()] {
                    summary { (w::BEGIN) }
                    (begin)
                }
            }
        },
    };
    let title = if studios.is_empty() {
        w::WELCOME
    } else {
        w::STUDIOS
    };
    Ok(Page {
        status,
        title,
        studio: None,
        notice: None,
        body,
    }
    .shown(visit))
}

fn list(studios: &[StoredStudio]) -> Markup {
    html! {
        ul.doors {
            @for studio in studios {
                li {
                    a.big href={ "/studios/" (studio.record.id) } {
                        (t(studio.record.studio.name.as_str()))
                    }
                }
            }
        }
    }
}

pub(super) async fn begin(visit: Visit, form: Form) -> Shown {
    match made(&visit, &form).await {
        Ok(response) => Ok(response),
        Err(problem) if problem.code.status() < 500 => {
            let troubles = form::troubles(&problem, &fields(), &form);
            page(&visit, problem.code.status(), &form, &troubles).await
        }
        Err(problem) => Err(problem),
    }
}

async fn made(visit: &Visit, form: &Form) -> Result<HttpResponse, Problem> {
    let request = form::request(&fields(), form, json!({"studio": {}}));
    let body = request.body.to_string();
    let record: StudioRecord = reader::read(body.as_bytes(), contract::members())?;
    let payload = format!("POST /\n{body}");
    let key = (form.once()?, payload.as_bytes());
    visit
        .store()?
        .create_studio(&record, &visit.access, key, now())
        .await?;
    Ok(see_other(&format!("/studios/{}", record.id)))
}
