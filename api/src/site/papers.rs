//! Papers: drawn up from the book by a form, numbered, kept, and printed.

use super::container::capital;
use super::control::{self, sheet};
use super::form::{self, Field, Form, Kind, Trouble, choices};
use super::language::{d, t};
use super::layout::Page;
use super::record::{desk, query};
use super::sheet::Desk;
use super::words::papers as w;
use super::words::statement::NO_TERMS;
use super::{Shown, Visit};
use crate::book::{self, Dealt};
use crate::problem::{Code, Problem};
use crate::render::account::place_in_words;
use crate::store::IssuedDocument;
use actix_web::http::header::{self, HeaderValue};
use actix_web::web;
use maud::{Markup, html};
use serde_json::{Value, json};
use spent_silver_domain::ledger::{LedgerMovement, LineKind, Place, SilverAccount};
use spent_silver_domain::quantity::{Date, write_significant};

/// What is less than this is the rounding of the figures.
const LEAST_FOUND_G: f64 = 0.001;
const MOST: i64 = 200;

/// Papers that take more from the book than containers.
const ACCOUNT: &str = "precious_metal_account";
const SETTLEMENT: &str = "settlement_sheet";
const VALUATION_AT: &str = "/document/settlement_sheet/valuation";

/// Papers that can be drawn up here: name, words, and whether each container has its own.
const PAPERS: &[(&str, &str, bool)] = &[
    ("container_label", w::LABEL_FOR_CONTAINER, true),
    ("waste_record", w::WASTE_RECORD, true),
    ("classification_record", w::WHAT_IT_IS_IN_LAW, true),
    ("worksheet", w::WORKSHEET_FOR_BENCH, true),
    ("laboratory_sample_sheet", w::SAMPLE_SHEET, true),
    ("accumulation_log", w::LOG_OF_WHAT_GOES_IN, false),
    ("inspection_log", w::LOG_OF_LOOKING_THEM_OVER, false),
    (
        "collection_checklist",
        w::CHECKLIST_BEFORE_COLLECTION,
        false,
    ),
    ("recovery_shipment_sheet", w::SHIPMENT_SHEET, false),
    (ACCOUNT, w::SILVER_OF_A_PERIOD, false),
    (SETTLEMENT, w::WHAT_A_LOT_SHOULD_BRING, false),
    ("spill_record", w::SPILL_RECORD, false),
    ("emergency_posting", w::WHAT_HANGS_BY_TELEPHONE, false),
    ("wall_sheet", w::WHAT_HANGS_AT_THE_BENCH, false),
];

fn fields(desk: &Desk, kind: &str) -> Vec<Field> {
    let own = PAPERS.iter().any(|(name, _, own)| *name == kind && *own);
    let kinds: Vec<(&str, &str)> = PAPERS.iter().map(|(n, w, _)| (*n, *w)).collect();
    let at = |member: &str| format!("/document/{kind}/{member}");
    let lot = |member: &str| format!("{VALUATION_AT}/lot/{member}");
    let containers = match kind {
        SETTLEMENT => lot("batches"),
        _ if own => at("batch"),
        _ => at("batches"),
    };
    let all = vec![
        Field::new("paper", "/document", w::WHICH, Kind::One(choices(&kinds))).needed(),
        Field::new(
            "containers",
            containers,
            w::FOR,
            Kind::Any(desk.containers(), None),
        )
        .help(w::FOR_HELP),
        Field::new("on", "/on", w::ON, Kind::Day)
            .needed()
            .first(desk.today.to_string()),
        Field::new(
            "size",
            "/paper_size",
            w::SIZE,
            Kind::One(choices(&[("a4", "A4"), ("us_letter", w::US_LETTER)])),
        )
        .first("a4")
        .help(w::LABEL_IS_A6_ALWAYS),
        Field::new(
            "procedure",
            at("procedure"),
            w::PROCEDURE,
            Kind::One(choices(&[
                ("volhard_titration", w::TITRATING_WITH_THIOCYANATE),
                ("chloride_weighing", w::WEIGHING_SILVER_CHLORIDE),
                ("recovery", w::GETTING_SILVER_OUT),
                ("neutralization", w::MAKING_IT_NEUTRAL),
            ])),
        ),
        Field::new("carrier", at("carrier"), w::CARRIER, Kind::Line),
        Field::new("destination", at("destination"), w::DESTINATION, Kind::Line),
        Field::new("place", at("place"), w::PLACE, Kind::Line),
        Field::new("laboratory", at("laboratory"), w::LABORATORY, Kind::Line),
        Field::new("lot", lot("id"), w::LOT, Kind::Line)
            .needed()
            .first("lot"),
        Field::new("sample", lot("sample_approved"), w::SAMPLE, Kind::YesNo),
        Field::new("from", at("from_on"), w::FROM, Kind::Day)
            .needed()
            .first(desk.today.first_of_year().to_string()),
        Field::new("until", at("until_on"), w::UNTIL, Kind::Day)
            .needed()
            .first(desk.today.to_string()),
    ];
    let always = |name: &str| match name {
        "paper" | "on" | "size" => true,
        "containers" => kind != ACCOUNT,
        _ => false,
    };
    all.into_iter()
        .filter(|f| always(&f.name) || asks(kind).contains(&f.name.as_str()))
        .collect()
}

/// Questions that a paper asks, besides its containers and its day.
fn asks(kind: &str) -> &'static [&'static str] {
    match kind {
        "worksheet" => &["procedure"],
        "waste_record" | "collection_checklist" | "recovery_shipment_sheet" => {
            &["carrier", "destination"]
        }
        "laboratory_sample_sheet" => &["laboratory"],
        ACCOUNT => &["from", "until"],
        SETTLEMENT => &["lot", "sample"],
        "inspection_log" | "spill_record" | "emergency_posting" | "wall_sheet" => &["place"],
        _ => &[],
    }
}

pub(super) async fn show(visit: Visit) -> Shown {
    let studio = visit.studio().await?;
    let desk = desk(&visit, studio, false).await?;
    let asked = visit.asked()?;
    let container = asked.get("container");
    let mut form = Form::default();
    if !container.is_empty() {
        form = form.with("containers", container);
    }
    let known = PAPERS.iter().find(|(name, ..)| *name == asked.get("paper"));
    let Some((kind, ..)) = known else {
        return choose(&visit, &desk, container).await;
    };
    form = form.with("paper", *kind);
    page(&visit, &desk, &form, &[], 200).await
}

/// Every paper, to choose one.
async fn choose(visit: &Visit, desk: &Desk, container: &str) -> Shown {
    let id = desk.studio.record.id.as_str();
    let tail = match container {
        "" => String::new(),
        name => format!("&container={}", query(name)),
    };
    let mut kept = visit.store()?.documents(id, 0, MOST).await?;
    kept.reverse();
    let body = html! {
        ul.doors {
            @for (name, words, _) in PAPERS {
                li { a href={ "/studios/" (id) "/papers?paper=" (name) (tail) } { (capital(words)) } }
            }
        }
        @if !kept.is_empty() {
            section aria-labelledby="kept" {
                h2 #kept { (w::KEPT) }
                p { (w::KEPT_WORDS) }
                (list(id, &kept))
            }
        }
    };
    Ok(Page {
        status: 200,
        title: w::TITLE,
        studio: Some(&desk.studio),
        notice: None,
        body,
    }
    .shown(visit))
}

async fn page(visit: &Visit, desk: &Desk, form: &Form, troubles: &[Trouble], status: u16) -> Shown {
    let fields = fields(desk, form.get("paper"));
    let id = desk.studio.record.id.as_str();
    let whole = control::Sheet {
        action: format!("/studios/{id}/papers"),
        fields: &fields,
        hidden: Vec::new(),
        send: w::SEND,
    };
    let body = html! {
        (sheet(&whole, form, troubles, visit)?)
        p { a href={ "/studios/" (id) "/papers" } { (w::OTHER) } }
    };
    Ok(Page {
        status,
        title: w::TITLE,
        studio: Some(&desk.studio),
        notice: None,
        body,
    }
    .shown(visit))
}

fn list(studio: &str, papers: &[IssuedDocument]) -> Markup {
    html! {
        ul.papers {
            @for paper in papers {
                @let at = format!("/studios/{studio}/papers/{}", paper.number);
                li {
                    b { (w::NUMBER) (paper.number) } " " (t(&paper.document.title))
                    @if let Some(of) = &paper.document.id { ": " (t(of)) }
                    ", " (d(paper.document.dated_on))
                    span.row {
                        a href={ (at) ".html" } { (w::LOOK_AND_PRINT) span.hidden { (w::A_NUMBER) (paper.number) } }
                        @if cfg!(feature = "pdf") { a href={ (at) ".pdf" } { (w::PDF) span.hidden { (w::OF_NO) (paper.number) } } }
                        a href={ (at) ".txt" } { (w::TEXT) span.hidden { (w::OF_NO) (paper.number) } }
                    }
                }
            }
        }
    }
}

pub(super) async fn issue(visit: Visit, form: Form) -> Shown {
    let studio = visit.studio().await?;
    let desk = desk(&visit, studio, false).await?;
    match issued(&visit, &desk, &form).await {
        Ok(papers) => {
            let id = desk.studio.record.id.as_str();
            let body = html! {
                (list(id, &papers))
                p { a.big href={ "/studios/" (id) "/papers" } { (w::PRINT_ANOTHER) } }
            };
            Ok(Page {
                status: 201,
                title: w::DONE,
                studio: Some(&desk.studio),
                notice: papers.first().map(|p| &p.document.notice),
                body,
            }
            .shown(&visit))
        }
        Err(problem) if problem.code.status() < 500 => {
            let troubles = form::troubles(&problem, &fields(&desk, form.get("paper")), &form);
            page(&visit, &desk, &form, &troubles, problem.code.status()).await
        }
        Err(problem) => Err(problem),
    }
}

/// The requests that a form makes: one for each container where each has its own paper.
fn requests(desk: &Desk, form: &Form, start: Value) -> Vec<Value> {
    let kind = form.get("paper");
    let own = PAPERS.iter().any(|(name, _, own)| *name == kind && *own);
    let fields: Vec<Field> = fields(desk, kind)
        .into_iter()
        .filter(|f| f.name != "paper" && (f.name != "containers" || !own))
        .collect();
    let whole = form::request(&fields, form, start).body;
    if kind == SETTLEMENT {
        return vec![with_batches(whole, desk)];
    }
    if !own {
        return vec![whole];
    }
    let each: Vec<Value> = form
        .all("containers")
        .map(|name| {
            let mut one = whole.clone();
            form::put(&mut one, &format!("/document/{kind}/batch"), name.into());
            one
        })
        .collect();
    // Without a container the request says what is missing.
    if each.is_empty() { vec![whole] } else { each }
}

/// What a request begins with, before its answers: what the book and the record give to it.
async fn start(visit: &Visit, desk: &Desk, form: &Form) -> Result<Value, Problem> {
    match form.get("paper") {
        "" => Ok(json!({})),
        SETTLEMENT => {
            let dealt = Dealt::of(visit.state()?, &desk.studio).await;
            let dealings = dealt.dealings(true);
            let (Some(price), Some(terms)) = (dealt.price, dealings.terms) else {
                return Err(Problem::input("missing", VALUATION_AT, NO_TERMS));
            };
            let mut valuation = json!({"price": price, "terms": terms});
            if let Some(haulage) = dealings.haulage_terms {
                form::put(&mut valuation, "/haulage_terms", json!(haulage));
            }
            if let Some(rules) = book::named_rules(&desk.studio) {
                form::put(&mut valuation, "/rule_set", json!(rules.id));
            }
            Ok(json!({"document": {SETTLEMENT: {"valuation": valuation}}}))
        }
        ACCOUNT => {
            let day = |name: &str| Date::parse(form.get(name)).ok();
            let period = day("from").zip(day("until")).filter(|(a, b)| a <= b);
            let mut of = json!({"movements": []});
            // Where the days are none, the reader says so.
            if let Some((from, until)) = period {
                let account = book::account_of(visit.store()?, &desk.studio, from, until).await?;
                of = silver_of(&account.result)?;
            }
            Ok(json!({"document": {ACCOUNT: of}}))
        }
        kind => Ok(json!({"document": {kind: {}}})),
    }
}

/// The silver of a period as its paper takes it: what there was, and what came and went.
fn silver_of(account: &SilverAccount) -> Result<Value, Problem> {
    let mut movements = Vec::new();
    let line_of = |what| account.lines.iter().find(|line| line.what == what);
    let at_start = line_of(LineKind::AtStart);
    let mut any_unknown = false;
    let mut balance = at_start.map_or(0.0, |line| line.silver_g.get());
    if let Some(unknown) = at_start.map(|line| line.unknown_count).filter(|n| *n > 0) {
        any_unknown = true;
        let what = w::unknown_at_start(unknown);
        movements.push(json!({"on": account.from, "what": what, "in_silver_g": "0"}));
    }
    let mut all: Vec<&LedgerMovement> = account.movements.iter().collect();
    all.sort_by_key(|one| one.on);
    for one in all {
        let (member, container, other) = match (&one.from, &one.to) {
            (Place::Container(_), Place::Container(_)) => continue,
            (Place::Container(name), other) => ("out_silver_g", name, other),
            (other, Place::Container(name)) => ("in_silver_g", name, other),
            _ => continue,
        };
        let mut what = format!("{container}: {} ({})", place_in_words(other), one.entry);
        let silver = match one.silver_g {
            Some(silver) => {
                let sign = if member == "in_silver_g" { 1.0 } else { -1.0 };
                balance += sign * silver.get();
                serde_json::to_value(silver).map_err(|_| Problem::internal())?
            }
            None => {
                any_unknown = true;
                what = w::of_unknown(what);
                "0".into()
            }
        };
        movements.push(json!({"on": one.on, "what": what, member: silver}));
    }
    // What readings found of silver that was unknown when it came, or went.
    let found = line_of(LineKind::AtEnd).map_or(0.0, |line| line.silver_g.get() - balance);
    if any_unknown && found.abs() > LEAST_FOUND_G {
        let member = if found > 0.0 {
            "in_silver_g"
        } else {
            "out_silver_g"
        };
        let silver = write_significant(found.abs(), 6);
        movements.push(json!({"on": account.until, "what": w::FOUND, member: silver}));
    }
    let opening = at_start.map(|line| line.silver_g);
    Ok(json!({"opening_silver_g": opening, "movements": movements}))
}

/// Containers in the place of their names, in the lot of a settlement sheet.
fn with_batches(mut request: Value, desk: &Desk) -> Value {
    let at = format!("{VALUATION_AT}/lot/batches");
    let names = request.pointer_mut(&at).and_then(Value::as_array_mut);
    for name in names.into_iter().flatten() {
        let held = desk
            .containers
            .iter()
            .find(|batch| name.as_str() == Some(batch.id.as_str()));
        if let Some(batch) = held {
            *name = json!(batch);
        }
    }
    request
}

async fn issued(visit: &Visit, desk: &Desk, form: &Form) -> Result<Vec<IssuedDocument>, Problem> {
    let (store, id) = (visit.store()?, desk.studio.record.id.as_str());
    let once = form.once()?;
    let mut papers = Vec::new();
    let start = start(visit, desk, form).await?;
    for (i, request) in requests(desk, form, start).iter().enumerate() {
        let body = request.to_string();
        let payload = format!("POST /studios/{id}/papers\n{body}");
        let key = format!("{}-{i}", once.get(..32).unwrap_or(once));
        let key = (key.as_str(), payload.as_bytes());
        let reply = book::issue_from(store, id, body.as_bytes(), key, &visit.access).await?;
        let number = reply
            .location
            .rsplit('/')
            .next()
            .and_then(|n| n.parse().ok());
        let number = number.ok_or_else(Problem::internal)?;
        papers.push(store.document(id, number).await?);
    }
    Ok(papers)
}

/// A paper as it was drawn up, to look at, to print or to keep.
pub(super) async fn read(visit: Visit) -> Shown {
    let store = visit.store()?;
    let studio = visit.studio().await?;
    let (given, format) = (visit.segment("document"), visit.segment("format"));
    let missing = || Problem::new(Code::NotFound, w::THERE_IS_NO_SUCH_PAPER);
    let media_type = match format {
        "html" => "text/html",
        "txt" => "text/plain",
        "pdf" if cfg!(feature = "pdf") => "application/pdf",
        _ => return Err(missing()),
    };
    let number: i64 = given.parse().ok().filter(|n| *n > 0).ok_or_else(missing)?;
    let issued = store.document(studio.record.id.as_str(), number).await?;
    let document = book::numbered(issued);
    let bytes = web::block(move || book::written(media_type, &document))
        .await
        .map_err(|_| Problem::internal())??;
    let mut response = book::respond(200, media_type, bytes);
    let name = format!("inline; filename=\"document-{number}.{format}\"");
    let name = HeaderValue::from_str(&name).map_err(|_| Problem::internal())?;
    response
        .headers_mut()
        .insert(header::CONTENT_DISPOSITION, name);
    Ok(response)
}
