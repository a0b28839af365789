//! Writing something down: the sheet, and what the book says to it.

use super::control::{self, sheet};
use super::form::{self, Field, Form, Trouble};
use super::language::{SETTING, f, t};
use super::layout::{Page, assumptions, warnings};
use super::sheet::{CHAPTERS, Desk, Record, named};
use super::studio::{besides_money, report_on};
use super::words::{self, record as w};
use super::{Shown, Visit, plan, pour, today};
use crate::book;
use crate::problem::{Code, Problem};
use crate::render;
use crate::store::StoredStudio;
use actix_web::web;
use maud::{Markup, PreEscaped, html};
use serde_json::{Value, json};
use spent_silver_domain::answer::Severity;
use spent_silver_domain::batch::Batch;
use spent_silver_domain::document::{
    BenchWorksheet, Block, Document, DocumentRequest, Paper, draw_up_document,
};
use spent_silver_domain::ledger::{Event, Subject};
use spent_silver_domain::quantity::write_decimal;

/// Entries offered to be struck through.
const LAST_ENTRIES: usize = 100;

/// Everything that can be written down.
pub(super) async fn choose(visit: Visit) -> Shown {
    let studio = visit.studio().await?;
    let container = visit.asked()?.get("container").to_owned();
    let tail = match container.as_str() {
        "" => String::new(),
        name => format!("?container={}", query(name)),
    };
    let body = html! {
        @if !visit.may_write(&studio) { p.note { (w::READER) } }
        @for chapter in CHAPTERS {
            h2 { (chapter.title) }
            ul.doors {
                @for record in chapter.records {
                    li {
                        a href={ "/studios/" (studio.record.id) "/record/" (record.name) (tail) } { (record.title) }
                        " " span.small { (record.lead) }
                    }
                }
            }
        }
    };
    Ok(Page {
        status: 200,
        title: w::TITLE,
        studio: Some(&studio),
        notice: None,
        body,
    }
    .shown(&visit))
}

/// A name as it stands in a query.
pub(super) fn query(name: &str) -> String {
    let plain = |c: &char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    name.chars().filter(plain).collect()
}

pub(super) async fn desk(
    visit: &Visit,
    studio: StoredStudio,
    with_entries: bool,
) -> Result<Desk, Problem> {
    let store = visit.store()?;
    let name = studio.record.id.to_string();
    let standing = store.standing(&name, None).await?;
    let containers: Vec<Batch> = standing
        .holdings()
        .filter(|(_, h)| h.closed_on.is_none())
        .map(|(_, h)| h.batch())
        .collect();
    let shipments = standing
        .subjects()
        .filter_map(|s| match s {
            Subject::Shipment(name) => Some(name.to_string()),
            Subject::Container(_) => None,
        })
        .collect();
    let entries = if with_entries {
        let mut all = book::all_entries(store, &name).await?;
        all.reverse();
        all.iter()
            .map(|e| &e.entry)
            .filter(|e| !matches!(e.event, Event::Reversed(_)))
            .take(LAST_ENTRIES)
            .map(|e| (e.id.to_string(), entry_in_words(e)))
            .collect()
    } else {
        Vec::new()
    };
    let today = today(&studio);
    Ok(Desk {
        studio,
        today,
        containers,
        shipments,
        entries,
    })
}

/// An entry in a line.
pub(super) fn entry_in_words(entry: &spent_silver_domain::ledger::Entry) -> String {
    let about: Vec<String> = entry
        .event
        .subjects()
        .iter()
        .map(|s| match s {
            Subject::Container(name) | Subject::Shipment(name) => name.to_string(),
        })
        .collect();
    let title = CHAPTERS
        .iter()
        .flat_map(|c| c.records)
        .find(|r| {
            entry.id.as_str().starts_with(&format!("{}-", r.name)) && r.event == entry.event.name()
        })
        .map_or_else(
            || entry.event.name().replace('_', " "),
            |r| r.title.to_owned(),
        );
    format!("{} {title}: {} ({})", entry.on, about.join(", "), entry.id)
}

fn sheet_of(visit: &Visit) -> Result<&'static Record, Problem> {
    named(visit.segment("sheet"))
        .ok_or_else(|| Problem::new(Code::NotFound, w::THERE_IS_NO_SUCH_SHEET))
}

pub(super) async fn show(visit: Visit) -> Shown {
    let record = sheet_of(&visit)?;
    let studio = visit.studio().await?;
    let asked = visit.asked()?;
    let desk = desk(&visit, studio, record.event == "reversed").await?;
    // Only what a link of ours may set.
    let mut form = Form::default();
    for name in ["container", "entry"] {
        if !asked.get(name).is_empty() {
            form = form.with(name, asked.get(name));
        }
    }
    page(&visit, record, &desk, &form, &[], 200).await
}

async fn page(
    visit: &Visit,
    record: &'static Record,
    desk: &Desk,
    form: &Form,
    troubles: &[Trouble],
    status: u16,
) -> Shown {
    let fields = record.all_fields(desk);
    let whole = control::Sheet {
        action: format!("/studios/{}/record/{}", desk.studio.record.id, record.name),
        fields: &fields,
        hidden: Vec::new(),
        send: w::SEND,
    };
    let (bench, refused) = bench(record, desk, form.get("container")).await?;
    let limits = match record.event {
        "discharged" => limits(visit, desk, form.get("container")).await?,
        _ => html! {},
    };
    let form = match refused && troubles.is_empty() {
        true => html! {},
        false => sheet(&whole, form, troubles, visit)?,
    };
    let nothing = desk.containers.is_empty() && record.event != "opened";
    let body = html! {
        p.lead { (record.lead) }
        @if nothing {
            p.note { (w::NO_CONTAINERS) }
            p { a.big href={ "/studios/" (desk.studio.record.id) "/record/container" } { (w::ADD_CONTAINER) } }
        }
        @if !record.never.is_empty() {
            section.warning.danger {
                h2 { (w::NEVER) }
                @for line in record.never { p { (line) } }
            }
        }
        @if !record.steps.is_empty() {
            section { h2 { (w::HOW) } ol { @for step in record.steps { li { (step) } } } }
        }
        (bench)
        (limits)
        @if !visit.may_write(&desk.studio) { p.note { (w::READER) } }
        (form)
    };
    Ok(Page {
        status,
        title: record.title,
        studio: Some(&desk.studio),
        notice: None,
        body,
    }
    .shown(visit))
}

/// How a container stands against what its rules let into a sewer or a water, and what they forbid.
async fn limits(visit: &Visit, desk: &Desk, container: &str) -> Result<Markup, Problem> {
    let Some(batch) = desk.containers.iter().find(|b| b.id.as_str() == container) else {
        return Ok(html! { p.note { (w::LIMITS_FIRST) } });
    };
    let one = vec![batch.clone()];
    let report = report_on(visit.state()?, &desk.studio, desk.today, one, false, false).await?;
    let found = report.result.batches.first().map(|b| &b.classification);
    let danger = report
        .result
        .batches
        .first()
        .and_then(|b| b.danger.as_ref());
    Ok(html! {
        @if let Some(danger) = danger { (plan::danger(container, danger)) }
        @if let Some(found) = found {
            section.warning.danger {
                h2 { (w::WHAT_RULES_SAY_OF) (container) }
                p { (plan::hazardous(found.hazardous)) }
                ul {
                    @for one in &found.discharge_limits {
                        li { b { (one.element) ", " (f(write_decimal(one.limit_mg_per_l.decimal()))) (w::MG_L) } (t(&one.text)) " (" (t(&one.authority.clause)) ")" }
                    }
                    @if let Some(local) = &found.local_limit { li { (t(&local.text)) } }
                    @for line in &found.never { li { b { (t(line)) } } }
                }
            }
        }
        (warnings(&besides_money(report.warnings.clone())))
        (assumptions(&report.assumptions))
    })
}

/// The steps at the bench, for the container that was chosen; or why there are none for it.
async fn bench(record: &Record, desk: &Desk, container: &str) -> Result<(Markup, bool), Problem> {
    let Some(procedure) = record.procedure else {
        return Ok((html! {}, false));
    };
    let Some(batch) = desk.containers.iter().find(|b| b.id.as_str() == container) else {
        return Ok((html! { p.note { (w::CHOOSE_FIRST) } }, false));
    };
    let request = DocumentRequest {
        document: Paper::Worksheet(Box::new(BenchWorksheet {
            batch: batch.clone(),
            procedure,
        })),
        on: desk.today,
        studio: None,
        rule_set: desk.studio.record.rule_set,
        paper_size: None,
    };
    let answer = web::block(move || draw_up_document(&request))
        .await
        .map_err(|_| Problem::internal())??;
    let document: &Document = &answer.result.document;
    let blocks = || document.sections.iter().flat_map(|s| &s.blocks);
    // Where there are no steps there is nothing to write down either.
    let refused = !blocks().any(|b| matches!(b, Block::Steps { .. }));
    let markup = html! {
        (warnings(&answer.warnings))
        div class=(if refused { "refusal" } else { "bench" }) {
            (PreEscaped(render::html::sections(document, SETTING)))
        }
    };
    Ok((markup, refused))
}

pub(super) async fn send(visit: Visit, form: Form) -> Shown {
    let record = sheet_of(&visit)?;
    let studio = visit.studio().await?;
    let desk = desk(&visit, studio, record.event == "reversed").await?;
    let fields = record.all_fields(&desk);
    match written(&visit, record, &desk, &fields, &form).await {
        Ok((status, body)) => Ok(Page {
            status,
            title: w::DONE,
            studio: Some(&desk.studio),
            notice: None,
            body,
        }
        .shown(&visit)),
        Err(problem) if problem.code.status() < 500 => {
            let status = problem.code.status();
            if record.event == "transferred"
                && let Some(refusal) =
                    pour::refused(&desk, form.get("container"), form.get("into"))?
                && problem.errors.iter().any(|e| e.code == "not_applicable")
            {
                return Ok(Page {
                    status,
                    title: words::pour::STOP,
                    studio: Some(&desk.studio),
                    notice: None,
                    body: refusal,
                }
                .shown(&visit));
            }
            let troubles = form::troubles(&problem, &fields, &form);
            page(&visit, record, &desk, &form, &troubles, status).await
        }
        Err(problem) => Err(problem),
    }
}

/// The entry that a form makes, as the JSON of the same request.
fn entry(record: &Record, fields: &[Field], form: &Form) -> Result<(Value, Vec<String>), Problem> {
    let once = form.once()?;
    let id = format!("{}-{}", record.name, once.get(..10).unwrap_or(once));
    let mut start = json!({"id": id, "event": {}});
    form::put(&mut start, &format!("/event/{}", record.event), json!({}));
    let made = form::request(fields, form, start);
    let (mut body, as_typed) = (made.body, made.as_typed);
    // A strip that is off the scale has no next colour, and says so.
    let strip = "/event/measured/reading/test_strip";
    if let Some(members) = body.pointer_mut(strip).and_then(Value::as_object_mut) {
        members.entry("below_g_per_l").or_insert(Value::Null);
    }
    if !as_typed.is_empty() {
        let words = w::as_written(as_typed.join(" "));
        let note = match form.get("note") {
            "" => words,
            note => format!("{note} {words}"),
        };
        form::put(&mut body, "/note", note.into());
    }
    Ok((body, as_typed))
}

async fn written(
    visit: &Visit,
    record: &Record,
    desk: &Desk,
    fields: &[Field],
    form: &Form,
) -> Result<(u16, Markup), Problem> {
    let (body, as_typed) = entry(record, fields, form)?;
    let studio = desk.studio.record.id.as_str();
    let text = body.to_string();
    let payload = format!("POST /studios/{studio}/record/{}\n{text}", record.name);
    let key = (form.once()?, payload.as_bytes());
    let reply = book::record(visit.store()?, studio, text.as_bytes(), key, &visit.access).await?;
    let answer: Value = serde_json::from_str(&reply.body).map_err(|_| Problem::internal())?;
    let subject = match record.event {
        "opened" => form.get("id"),
        _ => form.get("container"),
    };
    let into = form.get("into");
    let (warned, assumed) = said(&answer);
    let markup = html! {
        (warned)
        p.lead { (t(record.title)) @if !subject.is_empty() { ": " strong { (t(subject)) } } }
        @if !as_typed.is_empty() { ul { @for line in &as_typed { li { (t(line)) } } } }
        ul.doors {
            @for name in [subject, into].into_iter().filter(|n| !n.is_empty()) {
                li { a.big href={ "/studios/" (studio) "/containers/" (query(name)) } { (w::LOOK_AT) (t(name)) } }
            }
            @if record.event == "opened" {
                li { a.big href={ "/studios/" (studio) "/record/container" } { (w::ADD_ANOTHER_CONTAINER) } }
            }
            li { a.big href={ "/studios/" (studio) "/record" } { (w::MORE) } }
            li { a.big href={ "/studios/" (studio) } { (w::TO_STUDIO) } }
        }
        (assumed)
        p.small { (w::ENTRY) (t(body.get("id").and_then(Value::as_str).unwrap_or_default())) }
    };
    Ok((201, markup))
}

/// The warnings and assumptions of an answer that was kept as JSON. None is left out.
fn said(answer: &Value) -> (Markup, Markup) {
    let list = |name: &str| {
        answer
            .get(name)
            .and_then(Value::as_array)
            .cloned()
            .unwrap_or_default()
    };
    let text = |of: &Value, name: &str| {
        of.get(name)
            .and_then(Value::as_str)
            .unwrap_or_default()
            .to_owned()
    };
    let all: Vec<spent_silver_domain::answer::Warning> = list("warnings")
        .iter()
        .map(|w| spent_silver_domain::answer::Warning {
            about: String::new(),
            severity: match text(w, "severity").as_str() {
                "danger" => Severity::Danger,
                "caution" => Severity::Caution,
                _ => Severity::Note,
            },
            text: text(w, "text"),
        })
        .collect();
    let assumed = list("assumptions");
    let told = html! {
        @if !assumed.is_empty() {
            details {
                summary { (w::WHAT_WAS_ASSUMED) (assumed.len()) ")" }
                ul { @for one in &assumed { li { (t(&text(one, "text"))) } } }
            }
        }
    };
    (warnings(&all), told)
}
