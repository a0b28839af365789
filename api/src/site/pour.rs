//! May this go into that?

use super::control::{field_alone, form_to_ask};
use super::form::{Field, Form, Kind};
use super::language::t;
use super::layout::{Page, assumptions, warnings};
use super::record::{desk, query};
use super::sheet::Desk;
use super::words::pour as w;
use super::{Shown, Visit};
use crate::problem::Problem;
use maud::{Markup, html};
use spent_silver_domain::answer::Answer;
use spent_silver_domain::batch::Batch;
use spent_silver_domain::quantity::Identifier;
use spent_silver_domain::substance::substances;
use spent_silver_domain::waste::pour::{PourCheck, PourCheckRequest, PourVerdict, check_pour};

const fn headline(verdict: PourVerdict) -> &'static str {
    match verdict {
        PourVerdict::Blocked => w::STOP,
        PourVerdict::NotKnownToBeSafe => w::DO_NOT_POUR,
        PourVerdict::Caution => w::DONE_WITH_CARE,
        PourVerdict::NoObjectionKnown => w::NOTHING_IS_KNOWN_AGAINST_IT,
    }
}

const fn place(verdict: PourVerdict) -> &'static str {
    match verdict {
        PourVerdict::Blocked => "never",
        PourVerdict::NotKnownToBeSafe => w::NOT_KNOWN_TO_BE_SAFE,
        PourVerdict::Caution => w::WITH_CARE,
        PourVerdict::NoObjectionKnown => w::NOTHING_KNOWN_AGAINST_IT,
    }
}

fn fields(desk: &Desk) -> Vec<Field> {
    let bottles = substances()
        .iter()
        .map(|s| (s.id.clone(), s.name.clone()))
        .collect();
    vec![
        Field::new("from", "/from", w::FROM, Kind::One(desk.containers())),
        Field::new("into", "/into", w::INTO, Kind::One(desk.containers())),
        Field::new("bottle", "/substances", w::BOTTLE, Kind::One(bottles)),
    ]
}

pub(super) async fn show(visit: Visit) -> Shown {
    let studio = visit.studio().await?;
    let desk = desk(&visit, studio, false).await?;
    let asked = visit.asked()?;
    let fields = fields(&desk);
    let answer = check(
        &desk,
        asked.get("from"),
        asked.get("into"),
        asked.get("bottle"),
    )?;
    let tried = ["from", "into", "bottle"]
        .iter()
        .any(|name| !asked.get(name).is_empty());
    let action = format!("/studios/{}/pour", desk.studio.record.id);
    let body = html! {
        @match &answer {
            Some(answer) => (verdict(answer, &desk, &asked)),
            None if tried => p.note role="alert" { (w::NOBODY) },
            None => p.lead { (w::LEAD) },
        }
        (form_to_ask(&action, w::ASK, html! { @for field in &fields { (field_alone(field, &asked)) } }))
    };
    let title = answer
        .as_ref()
        .filter(|a| a.result.safety.verdict >= PourVerdict::NotKnownToBeSafe)
        .map_or(w::TITLE, |a| headline(a.result.safety.verdict));
    Ok(Page {
        status: 200,
        title,
        studio: Some(&desk.studio),
        notice: answer.as_ref().map(|a| &a.notice),
        body,
    }
    .shown(&visit))
}

/// The answer of the pour check, where two things were named.
fn check(
    desk: &Desk,
    from: &str,
    into: &str,
    bottle: &str,
) -> Result<Option<Answer<PourCheck>>, Problem> {
    let held = |name: &str| desk.containers.iter().find(|b| b.id.as_str() == name);
    let mut all: Vec<&Batch> = Vec::new();
    for batch in [held(from), held(into)].into_iter().flatten() {
        if all.iter().all(|b| b.id != batch.id) {
            all.push(batch);
        }
    }
    let substances: Vec<Identifier> = Identifier::new(bottle).into_iter().collect();
    let (one, other, substances) = match (all.as_slice(), substances.as_slice()) {
        ([one, other], _) => ((*one).clone(), (*other).clone(), substances),
        ([one], [bottle]) => ((*one).clone(), of_bottle(bottle), Vec::new()),
        _ => return Ok(None),
    };
    let request = PourCheckRequest {
        from: one,
        into: other,
        also: Vec::new(),
        substances,
        rule_set: desk.studio.record.rule_set,
    };
    Ok(Some(check_pour(&request)?))
}

/// A bottle of a substance, as a container.
fn of_bottle(substance: &Identifier) -> Batch {
    let mut bottle = Batch::named(
        substance.clone(),
        spent_silver_domain::batch::BatchKind::UnusedChemical,
    );
    bottle.composition = vec![spent_silver_domain::batch::Component::named(
        substance.clone(),
    )];
    bottle
}

/// The refusal to pour one container into another, where there is one.
pub(super) fn refused(desk: &Desk, from: &str, into: &str) -> Result<Option<Markup>, Problem> {
    let answer = check(desk, from, into, "")?;
    let answer = answer.filter(|a| a.result.safety.verdict >= PourVerdict::NotKnownToBeSafe);
    let asked = Form::default().with("from", from).with("into", into);
    Ok(answer.map(|answer| verdict(&answer, desk, &asked)))
}

fn verdict(answer: &Answer<PourCheck>, desk: &Desk, asked: &Form) -> Markup {
    let check = &answer.result;
    let verdict = check.safety.verdict;
    let bad = verdict >= PourVerdict::NotKnownToBeSafe;
    let studio = &desk.studio.record.id;
    let names: Vec<&str> = ["from", "into", "bottle"]
        .iter()
        .map(|n| asked.get(n))
        .filter(|n| !n.is_empty())
        .collect();
    html! {
        section class=(if bad { "refusal" } else { "verdict" }) role=[bad.then_some("alert")] {
            p.names { (t(&names.join(" + "))) }
            @if !bad { h2 { (headline(verdict)) } }
            @if bad {
                p.never { (if verdict == PourVerdict::Blocked { w::NEVER_BLOCKED } else { w::NEVER_UNKNOWN }) }
            }
            @if !check.safety.reasons.is_empty() {
                h2 { (w::WHY) }
                @for reason in &check.safety.reasons {
                    p { strong { (t(&reason.between.join(w::WITH))) } ": " (t(&reason.happens)) }
                    @if let Some(instead) = &reason.instead { p { b { (w::INSTEAD) ": " } (t(instead)) } }
                }
            }
            @if bad { h2 { (w::HAPPENED) } p { (w::HAPPENED_WORDS) } }
            @if !bad { p { b { (w::NOT_PERMISSION) } } }
        }
        (warnings(&answer.warnings))
        section {
            h2 { (w::APART) }
            table.rows {
                tbody {
                    @for (words, of) in [
                        (w::ONE_TRAY, check.share.tray),
                        (w::ONE_SINK, check.share.sink),
                        (w::ONE_CUPBOARD, check.share.cupboard),
                        (w::ONE_VEHICLE, check.share.vehicle),
                    ] { tr { th scope="row" { (words) } td { (place(of)) } } }
                }
            }
        }
        @if !check.law.is_empty() {
            section { h2 { (w::LAW) } ul { @for one in &check.law { li { (t(&one.text)) } } } }
        }
        @if !check.silver.is_empty() {
            section { h2 { (w::SILVER) } ul { @for one in &check.silver { li { (t(one)) } } } }
        }
        @if check.pairs.len() > 1 {
            section {
                h2 { (w::EACH_TWO) }
                @for pair in &check.pairs {
                    p { strong { (t(&pair.between.join(" + "))) } ": " (headline(pair.safety.verdict)) }
                }
            }
        }
        (assumptions(&answer.assumptions))
        @if !bad && names.len() == 2 && asked.get("bottle").is_empty() {
            p { a href={ "/studios/" (studio) "/record/poured?container=" (query(asked.get("from"))) } { (w::WRITE_IT_DOWN) } }
        }
    }
}
