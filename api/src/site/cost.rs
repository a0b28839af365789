//! What silver costs: the studio's use of it as questions, and the answer per plate, month and year.

use super::control::{Sheet, sheet};
use super::form::{self, Field, Form, Kind, Live, Trouble};
use super::home::crafts;
use super::kept::{filled, keep, prune, take_asked, written};
use super::language::{f, t};
use super::layout::{Page, assumptions, warnings};
use super::words::{self, cost as w};
use super::worth::price_in_words;
use super::{Shown, Visit, plan, see_other, today};
use crate::book::{self, Dealt};
use crate::problem::Problem;
use crate::store::StoredStudio;
use maud::{Markup, html};
use serde_json::{Value, json};
use spent_silver_domain::answer::Answer;
use spent_silver_domain::budget::{
    Budget, BudgetRequest, CostCases, CostLines, MassFigure, WorthCases, plan_budget,
};
use spent_silver_domain::document::{budget_chart, figure};
use spent_silver_domain::ledger::{RecordedPlates, recorded_plates};
use spent_silver_domain::quantity::{MetalPrice, SignedAmount, write_significant};

const AT: &str = "/dealings/silver_use";
const SPREAD_AT: &str = "/dealings/price_range/spread/plus_minus_percent";
const LISTS: [&str; 3] = ["formats", "baths", "streams"];

/// How many rows each list of the form has.
struct Rows([usize; 3]);

impl Rows {
    /// A few, and always one more than the record holds.
    fn of(record: &Value) -> Self {
        let held = |list: &str| {
            let list = record.pointer(&format!("{AT}/{list}"));
            list.and_then(Value::as_array).map_or(0, Vec::len)
        };
        let least = [3, 2, 3];
        let mut rows = least;
        for ((row, list), least) in rows.iter_mut().zip(LISTS).zip(least) {
            *row = least.max(held(list).saturating_add(1));
        }
        Self(rows)
    }
}

fn exact(name: String, at: String, label: &str, unit: &str) -> Field {
    Field::new(name, at, label, Kind::Exact(unit.to_owned()))
}

fn format_row(i: usize, at: &str) -> Vec<Field> {
    let name = |part: &str| format!("format{i}_{part}");
    vec![
        Field::new(name("name"), format!("{at}/name"), w::NAME, Kind::Line),
        Field::new(
            name("craft"),
            format!("{at}/craft"),
            w::CRAFT,
            Kind::One(crafts()),
        )
        .help(w::CRAFT_HELP),
        Field::new(name("size"), at, w::SIZE, Kind::Size),
        Field::new(
            name("count"),
            format!("{at}/monthly_count"),
            w::COUNT,
            Kind::Count,
        ),
    ]
}

fn bath_row(i: usize, at: &str) -> Vec<Field> {
    let name = |part: &str| format!("bath{i}_{part}");
    vec![
        Field::new(name("name"), format!("{at}/name"), w::BATH_NAME, Kind::Line),
        Field::new(
            name("strength"),
            format!("{at}/strength_percent_w_v"),
            w::STRENGTH,
            Kind::Percent,
        ),
        Field::new(
            name("volume"),
            format!("{at}/volume_l"),
            w::VOLUME,
            Kind::Volume,
        ),
        Field::new(
            name("times"),
            format!("{at}/yearly_count"),
            w::TIMES,
            Kind::Count,
        ),
        Field::new(
            name("back"),
            format!("{at}/recovered_percent"),
            w::BATH_BACK,
            Kind::Figure("%"),
        ),
        exact(name("cost"), format!("{at}/yearly_cost"), w::YEARLY, ""),
    ]
}

fn stream_row(i: usize, at: &str) -> Vec<Field> {
    let name = |part: &str| format!("stream{i}_{part}");
    vec![
        Field::new(
            name("name"),
            format!("{at}/name"),
            w::STREAM_NAME,
            Kind::Line,
        ),
        Field::new(
            name("share"),
            format!("{at}/share_percent"),
            w::SHARE,
            Kind::Figure("%"),
        ),
        Field::new(
            name("back"),
            format!("{at}/recovered_percent"),
            w::BACK,
            Kind::Figure("%"),
        ),
        exact(name("cost"), format!("{at}/yearly_cost"), w::YEARLY, ""),
    ]
}

/// One row of a list: the `i`th on the page, and the `place`th in the record.
fn row(list: usize, i: usize, place: usize) -> Vec<Field> {
    let (make, title, more): (fn(usize, &str) -> Vec<Field>, _, _) = match list {
        0 => (format_row, w::FORMAT, w::ONE_MORE_KIND_OF_PLATE),
        1 => (bath_row, w::BATH, w::ONE_MORE_BATH),
        _ => (stream_row, w::STREAM, w::ONE_MORE_PLACE),
    };
    let at = format!(
        "{AT}/{}/{place}",
        LISTS.get(list).copied().unwrap_or_default()
    );
    let group = format!("{title}: {}", i.saturating_add(1));
    make(i, &at)
        .into_iter()
        .map(|field| field.under(group.clone()).live(Live::More(more)))
        .collect()
}

fn answered(list: usize, i: usize, form: &Form) -> bool {
    row(list, i, 0).iter().any(|field| !field.is_open(form))
}

/// Every question. A row that a form left open takes no place in its list.
fn fields(rows: &Rows, form: Option<&Form>, currency: &str) -> Vec<Field> {
    let in_use = |name: &str, member: &str, label: &str, unit: &str| {
        exact(name.to_owned(), format!("{AT}/{member}"), label, unit)
    };
    let mut all: Vec<Field> = [
        Field::new(
            "currency",
            format!("{AT}/currency"),
            w::CURRENCY,
            Kind::Line,
        )
        .first(currency),
        in_use("bottle", "silver_nitrate/quoted/amount", w::BOTTLE, "").help(w::BOTTLE_HELP),
        in_use("bottle_g", "silver_nitrate/quoted/for_g", w::BOTTLE_G, "g"),
        in_use(
            "premium",
            "silver_nitrate/over_metal/premium_percent",
            w::PREMIUM,
            "%",
        ),
        Field::new(
            "purity",
            format!("{AT}/purity_percent"),
            w::PURITY,
            Kind::Figure("%"),
        ),
        exact("spread".to_owned(), SPREAD_AT.to_owned(), w::SPREAD, "%").help(w::SPREAD_HELP),
    ]
    .into_iter()
    .map(|field| field.under(w::NITRATE))
    .collect();
    for (list, count) in rows.0.into_iter().enumerate() {
        let mut place = 0_usize;
        for i in 0..count {
            all.extend(row(list, i, place));
            if form.is_none_or(|form| answered(list, i, form)) {
                place = place.saturating_add(1);
            }
        }
    }
    let refiner = [
        in_use("payable", "payable_percent", w::PAYABLE, "%"),
        in_use("charges", "yearly_charges", w::CHARGES, ""),
    ];
    all.extend(refiner.into_iter().map(|field| field.under(w::REFINER)));
    all
}

/// The currency that the record names already.
fn currency_of(studio: &StoredStudio, price: Option<&MetalPrice>) -> String {
    let dealt = studio.record.dealings.as_ref();
    let terms = dealt.and_then(|d| d.terms.as_ref()).map(|of| of.currency);
    let known = price.map(|p| p.currency).or(terms);
    known.map_or_else(String::new, |c| c.code().to_owned())
}

pub(super) async fn show(visit: Visit) -> Shown {
    let studio = visit.studio().await?;
    let record = written(&studio)?;
    let form = filled(&fields(&Rows::of(&record), None, ""), &record);
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
    let dealt = Dealt::of(visit.state()?, studio).await;
    let price = dealt.price.clone();
    let sent = (status != 200).then_some(form);
    let rows = Rows::of(&written(studio)?);
    let fields = fields(&rows, sent, &currency_of(studio, price.as_ref()));
    let whole = Sheet {
        action: format!("/studios/{}/cost", studio.record.id),
        fields: &fields,
        hidden: vec![("version", form.get("version").to_owned())],
        send: w::SEND,
    };
    let ask = sheet(&whole, form, troubles, visit)?;
    let answer = match (&price, status) {
        (Some(price), 200) => {
            let entries = book::entries(visit.store()?, studio.record.id.as_str()).await?;
            let plates = recorded_plates(&entries, today(studio));
            answer(studio, price, &dealt, plates)
        }
        _ => None,
    };
    let told = answer.as_ref().and_then(|a| a.as_ref().ok());
    let body = html! {
        p.lead { (w::LEAD) }
        @if price.is_none() {
            p.note { (w::NO_PRICE) }
            p { a.big href={ "/studios/" (studio.record.id) "/terms" } { (words::terms::TITLE) } }
        }
        @match &answer {
            Some(Ok(answer)) => {
                (warnings(&answer.warnings))
                (figures(&answer.result))
                @if let Some(price) = &price { p { (w::RECKONED) " " (price_in_words(price)) ". " a href={ "/studios/" (studio.record.id) "/terms" } { (words::terms::TITLE) } } }
                (assumptions(&answer.assumptions))
                details open[!troubles.is_empty()] { summary { (w::ASK) } (ask) }
            },
            Some(Err(problem)) => {
                section.problem role="alert" {
                    h2 { (w::CANNOT) }
                    p { (t(&problem.detail)) }
                    @for error in &problem.errors { @if !problem.detail.contains(&error.detail) { p { (t(&error.detail)) } } }
                }
                (ask)
            },
            None => (ask),
        }
    };
    Ok(Page {
        status,
        title: w::TITLE,
        studio: Some(studio),
        notice: told.map(|a| &a.notice),
        body,
    }
    .shown(visit))
}

/// The budget of what the record says; none where it says nothing of the use.
fn answer(
    studio: &StoredStudio,
    price: &MetalPrice,
    dealt: &Dealt,
    plates: Option<RecordedPlates>,
) -> Option<Result<Answer<Budget>, Problem>> {
    let dealings = dealt.dealings(true);
    let mut silver_use = dealings.silver_use?;
    // The use of silver stands in the questions of this page.
    let mut assumed: Vec<_> = dealt.assumed("metal_price").into_iter().collect();
    if let Some(plates) = plates.filter(|_| silver_use.formats.is_empty()) {
        silver_use.formats = plates.formats;
        assumed.push(plates.assumed);
    }
    let request = BudgetRequest {
        studio: None,
        metal_price: price.clone(),
        price_range: dealings.price_range,
        silver_use,
        rule_set: studio.record.rule_set,
    };
    let made = plan_budget(&request).map(|answer| answer.assuming(&assumed));
    Some(made.map_err(Problem::from))
}

pub(super) async fn replace(visit: Visit, form: Form) -> Shown {
    let studio = visit.studio().await?;
    let kept = match record(&studio, &form) {
        Ok(record) => keep(&visit, &form, &record).await,
        Err(problem) => Err(problem),
    };
    match kept {
        Ok(()) => Ok(see_other(&format!("/studios/{}/cost", studio.record.id))),
        Err(problem) if problem.code.status() < 500 => {
            let rows = Rows::of(&written(&studio)?);
            let troubles = form::troubles(&problem, &fields(&rows, Some(&form), ""), &form);
            page(&visit, &studio, &form, &troubles, problem.code.status()).await
        }
        Err(problem) => Err(problem),
    }
}

/// The studio's record with what was answered.
fn record(studio: &StoredStudio, form: &Form) -> Result<Value, Problem> {
    let mut record = written(studio)?;
    let rows = Rows::of(&record);
    take_asked(&fields(&rows, None, ""), &mut record);
    // A row keeps what these questions do not ask of it; one that was left open goes.
    for (list, (name, count)) in LISTS.iter().zip(rows.0).enumerate() {
        let at = format!("{AT}/{name}");
        let held = record.pointer(&at).and_then(Value::as_array).cloned();
        let held = held.unwrap_or_default();
        let rest: Vec<Value> = (0..count)
            .filter(|i| answered(list, *i, form))
            .map(|i| held.get(i).cloned().unwrap_or_else(|| json!({})))
            .collect();
        form::take(&mut record, &at);
        if !rest.is_empty() {
            form::put(&mut record, &at, Value::Array(rest));
        }
    }
    let of_range = "/dealings/price_range";
    if !form.get("spread").is_empty() {
        form::take(&mut record, &format!("{of_range}/prices"));
    }
    for part in [AT, of_range, "/dealings"] {
        if let Some(of) = record.pointer_mut(part) {
            if part != "/dealings" {
                prune(of);
            }
            if of.as_object().is_some_and(serde_json::Map::is_empty) {
                form::take(&mut record, part);
            }
        }
    }
    let asked = fields(&rows, Some(form), "");
    let of_use = |f: &&Field| f.name != "currency" && f.at.starts_with(AT);
    let nothing = asked.iter().filter(of_use).all(|field| field.is_open(form));
    let quoted = !form.get("bottle").is_empty() || !form.get("bottle_g").is_empty();
    if quoted && !form.get("premium").is_empty() {
        let at = format!("{AT}/silver_nitrate/over_metal/premium_percent");
        return Err(Problem::input("conflict", at, w::BOTH));
    }
    let asked: Vec<Field> = asked
        .into_iter()
        // A currency by itself is no use of silver.
        .filter(|field| !(nothing && field.name == "currency"))
        .collect();
    Ok(form::request(&asked, form, record).body)
}

fn mass(of: &MassFigure) -> String {
    f(figure(
        of.mass_g.get(),
        of.standard_uncertainty_g.get(),
        "g",
    ))
}

fn three(low: SignedAmount, expected: SignedAmount, high: SignedAmount) -> Markup {
    html! { td.figure { (f(low)) } td.figure { (f(expected)) } td.figure { (f(high)) } }
}

fn nets(of: &CostCases) -> Markup {
    three(of.low.net, of.expected.net, of.high.net)
}

fn heads(first: &str) -> Markup {
    html! {
        thead { tr {
            th scope="col" { (first) }
            th.figure scope="col" { (w::LOW) } th.figure scope="col" { (w::NOW) } th.figure scope="col" { (w::HIGH) }
        } }
    }
}

fn figures(of: &Budget) -> Markup {
    let (currency, year) = (of.currency, &of.per_year);
    let line = |words: &str, amount: fn(&CostLines) -> SignedAmount| {
        html! { tr { th scope="row" { (words) } (three(amount(&year.low), amount(&year.expected), amount(&year.high))) } }
    };
    let (low, now, high) = (&of.prices.low, &of.prices.expected, &of.prices.high);
    html! {
        h2 { (w::COMES_TO) }
        p.silver { (currency) " " (f(year.expected.net)) (w::IN_A_YEAR_AND) (f(of.per_month.expected.net)) (w::IN_A_MONTH) }
        p {
            (w::BOUGHT_IN_A_YEAR) (mass(&of.silver_nitrate_per_year)) (w::IN_A_YEAR_WITH) (mass(&of.silver_per_year))
            (w::OF_SILVER_AND_GOT_BACK) (mass(&of.recovered_silver_per_year)) "."
        }
        @if !of.formats.is_empty() {
            table.rows {
                caption { (w::A_PLATE_IN) (currency) }
                (heads(w::WHICH))
                tbody { @for one in &of.formats { tr { th scope="row" { (t(one.name.as_str())) " " span.small { (mass(&one.silver_nitrate_each)) (w::OF_SILVER_NITRATE) } } (nets(&one.each)) } } }
            }
        }
        @if !of.baths.is_empty() {
            table.rows {
                caption { (w::A_FILLING_IN) (currency) }
                (heads(w::WHICH))
                tbody { @for one in &of.baths { tr { th scope="row" { (t(one.name.as_str())) " " span.small { (mass(&one.silver_nitrate_each)) (w::OF_SILVER_NITRATE) } } (nets(&one.each)) } } }
            }
        }
        table.rows {
            caption { (w::A_MONTH_IN) (currency) }
            (heads(w::WHICH))
            tbody { @for one in &of.formats { tr { th scope="row" { (t(one.name.as_str())) } (nets(&one.per_month)) } } }
            tfoot { tr { th scope="row" { (w::ALL_TWELFTH_OF_YEAR) } (nets(&of.per_month)) } }
        }
        table.rows {
            caption { (w::A_YEAR_IN) (currency) }
            (heads(w::FOR))
            tbody {
                tr { th scope="row" { (w::SILVER_PRICE) } (three(low.metal_per_troy_ounce, now.metal_per_troy_ounce, high.metal_per_troy_ounce)) }
                tr { th scope="row" { (w::NITRATE_PRICE) } (three(low.silver_nitrate_per_hundred_grams, now.silver_nitrate_per_hundred_grams, high.silver_nitrate_per_hundred_grams)) }
                (line(w::LINE_BOUGHT, |c| c.silver_nitrate))
                (line(w::LINE_GOT_BACK, |c| c.recovered_silver))
                (line(w::LINE_CHARGES, |c| c.charges))
            }
            tfoot { tr { th scope="row" { b { (w::LINE_LEFT) } } (nets(year)) } }
        }
        p { (w::YEAR_UNCERTAINTY) (f(year.expected.net_standard_uncertainty)) " " (currency) (w::FROM_SILVER_ALONE) }
        @if !of.contributions.is_empty() {
            p { (w::MOST_OF_THAT_DOUBT)
                @for (i, one) in of.contributions.iter().take(3).enumerate() {
                    @if i > 0 { ", " } (t(&one.input)) " (" (f(write_significant(one.share_percent.get(), 2))) " %)"
                }
                "."
            }
        }
        @if !of.streams.is_empty() {
            table.rows {
                caption { (w::BROUGHT_BACK_IN) (currency) }
                (heads(w::WHERE))
                tbody { @for one in &of.streams { @let worth: &WorthCases = &one.worth_per_year; tr { th scope="row" { (t(one.name.as_str())) " " span.small { (mass(&one.recovered_silver_per_year)) } } (three(worth.low, worth.expected, worth.high)) } } }
            }
        }
        (plan::picture(&budget_chart(of)))
    }
}
