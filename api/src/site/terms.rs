//! What silver is worth, and on what terms it goes: the price, the refiner, the haulier.

use super::control::{Sheet, sheet};
use super::form::{self, Choices, Field, Form, Kind, Trouble, choices};
use super::kept::{filled, keep, prune, take_asked, written};
use super::language::t;
use super::layout::Page;
use super::words::terms as w;
use super::{Shown, Visit, see_other};
use crate::book::Dealt;
use crate::problem::Problem;
use crate::store::StoredStudio;
use maud::html;
use serde_json::Value;
use spent_silver_domain::batch::LotForm;
use spent_silver_domain::quantity::Currency;
use spent_silver_domain::valuation::Constituent;

/// Where the answer about the currency waits until it is known which parts there are.
const CURRENCY_AT: &str = "/dealings/currency";
/// The parts of a record that name a currency.
const PARTS: [&str; 4] = [
    "/dealings/price",
    "/dealings/terms",
    "/dealings/haulage_terms",
    "/dealings/silver_use",
];

fn forms() -> Choices {
    [
        LotForm::Solution,
        LotForm::SilverChloride,
        LotForm::SilverSulfide,
        LotForm::ElectrolyticFlake,
        LotForm::MetallicReplacementSludge,
        LotForm::MixedSludge,
        LotForm::FilmAndPaper,
        LotForm::GlassPlates,
        LotForm::WipesAndFilters,
        LotForm::Metal,
        LotForm::UnusedChemical,
    ]
    .into_iter()
    .map(|form| (name_of(&form), form.words().to_owned()))
    .collect()
}

fn constituents() -> Choices {
    [
        Constituent::Cyanide,
        Constituent::Mercury,
        Constituent::Ammonia,
        Constituent::Cadmium,
        Constituent::Selenium,
        Constituent::Lead,
        Constituent::Chromate,
    ]
    .into_iter()
    .map(|one| (name_of(&one), one.words().to_owned()))
    .collect()
}

/// What a choice is called in a request.
fn name_of<T: serde::Serialize>(choice: &T) -> String {
    let value = serde_json::to_value(choice).unwrap_or_default();
    value.as_str().unwrap_or_default().to_owned()
}

fn money(name: &str, at: &str, label: &str) -> Field {
    Field::new(name, at, label, Kind::Exact(String::new()))
}

fn in_unit(name: &str, at: &str, label: &str, unit: &str) -> Field {
    Field::new(name, at, label, Kind::Exact(unit.to_owned()))
}

fn fields() -> Vec<Field> {
    let places: Vec<String> = PARTS
        .iter()
        .map(|part| format!("{part}/currency"))
        .collect();
    let places: Vec<&str> = places.iter().map(String::as_str).collect();
    let silver = [
        Field::new("currency", CURRENCY_AT, w::CURRENCY, Kind::Line)
            .help(w::CURRENCY_HELP)
            .also(&places),
        money("price", "/dealings/price/amount", w::PRICE),
        Field::new(
            "per",
            "/dealings/price/per",
            w::PER,
            Kind::One(choices(&[
                ("troy_ounce", w::TROY_OUNCE),
                ("gram", w::GRAM),
                ("kilogram", w::KILOGRAM),
            ])),
        ),
        Field::new("as_of", "/dealings/price/as_of_on", w::AS_OF, Kind::Day),
        Field::new("source", "/dealings/price/source", w::SOURCE, Kind::Line),
    ];
    let pay = |name: &str, member: &str, label: &str| {
        money(name, &format!("/dealings/terms/payment/{member}"), label)
    };
    let takes = "/dealings/terms/acceptance";
    let refiner = [
        Field::new(
            "refiner",
            "/dealings/terms/name",
            w::REFINER_NAME,
            Kind::Line,
        ),
        in_unit(
            "payable",
            "/dealings/terms/payment/payable_percent",
            w::PAYABLE,
            "%",
        )
        .help(w::PAYABLE_HELP),
        Field::new(
            "forms",
            format!("{takes}/forms"),
            w::FORMS,
            Kind::Any(forms(), None),
        )
        .help(w::FORMS_HELP),
        in_unit(
            "least_mass",
            &format!("{takes}/minimum_mass_kg"),
            w::LEAST_MASS,
            "kg",
        ),
        Field::new(
            "sample",
            format!("{takes}/approval_sample_needed"),
            w::SAMPLE,
            Kind::YesNo,
        ),
        Field::new(
            "refused",
            format!("{takes}/refused"),
            w::REFUSED,
            Kind::Any(constituents(), None),
        )
        .help(w::REFUSED_HELP),
        pay("treatment", "treatment/per_lot", w::TREATMENT),
        pay("refining", "refining_per_troy_ounce", w::REFINING),
        pay("assay", "assay_fee", w::ASSAY),
        pay("least_charge", "minimum_lot_charge", w::LEAST_CHARGE),
        in_unit(
            "least_silver",
            "/dealings/terms/payment/least_silver_paid_for_ozt",
            w::LEAST_SILVER,
            w::TROY_OUNCES,
        ),
        pay("freight", "freight", w::FREIGHT),
        Field::new(
            "days",
            "/dealings/terms/payment/settlement_day_count",
            w::DAYS,
            Kind::Count,
        ),
    ];
    let bill = |name: &str, member: &str, label: &str| {
        money(name, &format!("/dealings/haulage_terms/{member}"), label)
    };
    let haulier = [
        Field::new(
            "haulier",
            "/dealings/haulage_terms/name",
            w::HAULIER_NAME,
            Kind::Line,
        )
        .help(w::HAULIER_HELP),
        bill("call_out", "call_out", w::CALL_OUT),
        bill("per_container", "per_container", w::PER_CONTAINER),
        bill("per_kilogram", "per_kilogram", w::PER_KILOGRAM),
        bill("least_bill", "minimum", w::MINIMUM),
        Field::new(
            "days_before",
            "/dealings/haulage_terms/lead_time_day_count",
            w::NOTICE,
            Kind::Count,
        ),
    ];
    let silver = silver.into_iter().map(|f| f.under(w::SILVER));
    let refiner = refiner.into_iter().map(|f| f.under(w::REFINER));
    let haulier = haulier.into_iter().map(|f| f.under(w::HAULIER));
    silver.chain(refiner).chain(haulier).collect()
}

/// What of a record these questions do not ask, in the words of its members.
fn besides(record: &Value) -> Vec<String> {
    let mut rest = record.clone();
    take_asked(&fields(), &mut rest);
    let mut found = Vec::new();
    for (part, name) in [
        ("/dealings/terms", w::REFINER),
        ("/dealings/haulage_terms", w::HAULIER),
    ] {
        form::take(&mut rest, &format!("{part}/currency"));
        if let Some(of) = rest.pointer_mut(part) {
            prune(of);
            leaves(of, name, &mut found);
        }
    }
    found
}

fn leaves(of: &Value, name: &str, found: &mut Vec<String>) {
    let Some(members) = of.as_object() else {
        return;
    };
    for (member, value) in members {
        if matches!(member.as_str(), "payment" | "acceptance" | "treatment") {
            leaves(value, name, found);
        } else {
            found.push(format!("{name}: {}", member.replace('_', " ")));
        }
    }
}

pub(super) async fn show(visit: Visit) -> Shown {
    let studio = visit.studio().await?;
    let form = filled(&fields(), &written(&studio)?);
    let form = form.with("version", studio.version.to_string());
    page(&visit, &studio, &form, &[], 200).await
}

async fn page(
    visit: &Visit,
    studio: &StoredStudio,
    form: &Form,
    troubles: &[Trouble],
    status: u16,
) -> Shown {
    let fields = fields();
    let whole = Sheet {
        action: format!("/studios/{}/terms", studio.record.id),
        fields: &fields,
        hidden: vec![("version", form.get("version").to_owned())],
        send: w::SEND,
    };
    let own = studio.record.dealings.as_ref();
    let fed = match own.and_then(|d| d.price.as_ref()) {
        Some(_) => None,
        None => Dealt::of(visit.state()?, studio).await.price,
    };
    let besides = besides(&written(studio)?);
    let body = html! {
        p.lead { (w::LEAD) }
        p { (w::WHOLE) }
        @if let Some(price) = &fed { p.note { (w::FEED) " " (super::worth::price_in_words(price)) "." } }
        @if !besides.is_empty() {
            section.note { p { (w::BESIDES) } ul { @for one in &besides { li { (t(one)) } } } }
        }
        (sheet(&whole, form, troubles, visit)?)
    };
    Ok(Page {
        status,
        title: w::TITLE,
        studio: Some(studio),
        notice: None,
        body,
    }
    .shown(visit))
}

pub(super) async fn replace(visit: Visit, form: Form) -> Shown {
    let studio = visit.studio().await?;
    let kept = match record(&studio, &form) {
        Ok(record) => keep(&visit, &form, &record).await,
        Err(problem) => Err(problem),
    };
    match kept {
        Ok(()) => Ok(see_other(&format!("/studios/{}/worth", studio.record.id))),
        Err(problem) if problem.code.status() < 500 => {
            let troubles = form::troubles(&problem, &fields(), &form);
            page(&visit, &studio, &form, &troubles, problem.code.status()).await
        }
        Err(problem) => Err(problem),
    }
}

/// The studio's record with what was answered.
fn record(studio: &StoredStudio, form: &Form) -> Result<Value, Problem> {
    let fields = fields();
    let mut before = written(studio)?;
    take_asked(&fields, &mut before);
    let mut record = form::request(&fields, form, before).body;
    form::take(&mut record, CURRENCY_AT);
    let currency = form.get("currency").to_ascii_uppercase();
    if !currency.is_empty() {
        Currency::parse(&currency).map_err(|e| Problem::input("unknown", CURRENCY_AT, e))?;
    }
    let mut kept = false;
    for part in PARTS {
        let below = format!("{part}/");
        let mut asked = fields
            .iter()
            .filter(|f| f.at.starts_with(&below))
            .peekable();
        // The cost of silver is asked elsewhere, and only shares the currency.
        let elsewhere = asked.peek().is_none();
        let answered = asked.any(|f| !f.is_open(form));
        if !elsewhere && !answered {
            form::take(&mut record, part);
        }
        if record.pointer(part).is_none() {
            continue;
        }
        kept = true;
        let at = format!("{part}/currency");
        form::take(&mut record, &at);
        if !currency.is_empty() {
            form::put(&mut record, &at, currency.as_str().into());
        }
    }
    if !kept && !currency.is_empty() {
        return Err(Problem::input(
            "missing",
            "/dealings/price/amount",
            w::LONE_CURRENCY,
        ));
    }
    // What nothing is left of is no part of a record.
    for part in [PARTS[0], PARTS[1], PARTS[2], "/dealings"] {
        if let Some(of) = record.pointer_mut(part) {
            if part != "/dealings" {
                prune(of);
            }
            if of.as_object().is_some_and(serde_json::Map::is_empty) {
                form::take(&mut record, part);
            }
        }
    }
    Ok(record)
}
