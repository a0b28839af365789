//! The first page: how a studio's book begins, and later the studios.

use super::control::{Sheet, sheet};
use super::form::{self, Choices, Field, Form, Kind, Trouble, choices};
use super::language::t;
use super::layout::Page;
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

const WELCOME: &str = "Your silver, and what is left of it";
const WELCOME_WORDS: [&str; 3] = [
    "This book knows how much silver is in each of your containers, and how surely.",
    "It says what each one is in law, what you may pour into what, what to do next and what never to do, and it prints the labels and records.",
    "Nothing leaves this machine, and where you do not know an answer, leave it: the book then takes the safe side and says so.",
];
const BEGIN: &str = "Begin a studio";
const SEND: &str = "Begin the book";
const STUDIOS: &str = "Studios";
const MOST: i64 = 200;

const NAME: &str = "What is the studio called?";
const PLACE: &str = "A short name for it in addresses";
const PLACE_HELP: &str = "Letters, digits, - and _, without spaces: my-studio. It never changes.";
const CRAFTS: &str = "What do you make?";
const CRAFTS_HELP: &str =
    "Where collodion is made, a fixer nobody can name counts as cyanide until shown otherwise.";
const PREMISES: &str = "What kind of place is it?";
const PREMISES_HELP: &str = "The law asks: a hobby at home is often treated otherwise than a business. Left open, nothing is taken for granted.";
const RULES: &str = "Whose rules apply?";
const RULES_HELP: &str =
    "The nearest that is listed. Your state, district or town may be stricter, and comes first.";
const ZONE: &str = "Time zone";
const ZONE_HELP: &str = "Such as Europe/Berlin, America/Chicago or Asia/Tokyo: it says which day it is there. Left open, it is UTC.";
const PERSON: &str = "Who answers for the waste?";
const PERSON_HELP: &str = "It stands on labels and records, and as the writer of new entries.";
const PHONE: &str = "Which telephone is answered when something leaks?";

fn fields() -> Vec<Field> {
    let mut all = about_fields();
    let name = Field::new("id", "/id", PLACE, Kind::Line)
        .help(PLACE_HELP)
        .needed();
    all.insert(1, name);
    all
}

/// What a studio says of itself, besides its name in addresses.
pub(super) fn about_fields() -> Vec<Field> {
    vec![
        Field::new("title", "/studio/name", NAME, Kind::Line).needed(),
        Field::new(
            "crafts",
            "/studio/crafts",
            CRAFTS,
            Kind::Any(crafts(), None),
        )
        .help(CRAFTS_HELP),
        Field::new(
            "premises",
            "/studio/premises",
            PREMISES,
            Kind::One(choices(&[
                ("household_hobby", "a hobby at home"),
                ("home_business", "a business at home"),
                ("business", "a business"),
                ("school", "a school"),
                ("college", "a college or university"),
            ])),
        )
        .help(PREMISES_HELP),
        Field::new("rule_set", "/rule_set", RULES, Kind::One(rule_sets())).help(RULES_HELP),
        Field::new("time_zone", "/time_zone", ZONE, Kind::Line).help(ZONE_HELP),
        Field::new("responsible", "/details/responsible", PERSON, Kind::Line).help(PERSON_HELP),
        Field::new("telephone", "/details/telephone", PHONE, Kind::Line),
    ]
}

pub(super) fn crafts() -> Choices {
    choices(&[
        ("collodion", "collodion plates"),
        ("salted_paper", "salted paper"),
        ("albumen_paper", "albumen paper"),
        ("film_and_paper", "film and gelatin paper"),
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
        send: SEND,
    };
    let begin = match &visit.access.only {
        Some(_) => None,
        None => Some(sheet(&begin, form, troubles, visit)?),
    };
    let body = match (studios.as_slice(), begin) {
        ([], Some(begin)) => html! {
            @for words in WELCOME_WORDS { p.lead { (words) } }
            h2 { (BEGIN) }
            (begin)
        },
        (some, begin) => html! {
            (list(some))
            @if let Some(begin) = begin {
                details open[!troubles.is_empty()] {
                    summary { (BEGIN) }
                    (begin)
                }
            }
        },
    };
    let title = if studios.is_empty() { WELCOME } else { STUDIOS };
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
