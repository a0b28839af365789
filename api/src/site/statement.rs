//! Does the refiner's statement agree? What it reports against what the book says was sent.

use super::control::{form_to_ask, questions};
use super::form::{self, Field, Form, Kind, Live, Trouble};
use super::language::{f, t};
use super::layout::{Page, assumptions, warnings};
use super::record::query;
use super::words::{self, statement as w};
use super::{Shown, Visit, today};
use crate::book::{self, Dealt};
use crate::contract;
use crate::problem::{Code, Problem};
use crate::reader;
use crate::store::StoredStudio;
use maud::{Markup, html};
use serde_json::{Value, json};
use spent_silver_domain::answer::Answer;
use spent_silver_domain::document::figure;
use spent_silver_domain::ledger::ShipmentBalance;
use spent_silver_domain::quantity::{
    Date, MetalPrice, SignedAmount, write_decimal, write_significant,
};
use spent_silver_domain::valuation::{
    ComparedAmount, LineItem, MoneyCheck, SettlementCheck, SettlementCheckRequest,
    SettlementVerdict, UmpireCost, check_settlement,
};

/// What a refiner takes off, as its statement lists it.
const CHARGES: &[(&str, LineItem, &str)] = &[
    (
        "charge_share",
        LineItem::SilverNotPayable,
        w::SHARE_NOT_PAID_FOR,
    ),
    (
        "charge_deducted",
        LineItem::SilverDeducted,
        w::SILVER_TAKEN_OFF_BEFORE_THAT_SHARE,
    ),
    (
        "charge_least",
        LineItem::SilverBelowLeast,
        w::BELOW_LEAST_PAID_FOR,
    ),
    (
        "charge_lot",
        LineItem::TreatmentPerLot,
        w::TREATMENT_FOR_LOT,
    ),
    (
        "charge_kg",
        LineItem::TreatmentPerKilogram,
        w::TREATMENT_BY_KILOGRAM,
    ),
    (
        "charge_l",
        LineItem::TreatmentPerLitre,
        w::TREATMENT_BY_LITRE,
    ),
    (
        "charge_ozt",
        LineItem::TreatmentPerTroyOunce,
        w::TREATMENT_BY_TROY_OUNCE,
    ),
    ("charge_refining", LineItem::Refining, w::REFINING),
    (
        "charge_minimum",
        LineItem::MinimumTopUp,
        w::MISSING_TO_LEAST_CHARGE,
    ),
    ("charge_assay", LineItem::Assay, w::ASSAY),
    (
        "charge_surcharge",
        LineItem::Surcharge,
        w::SURCHARGES_TOGETHER,
    ),
    ("charge_freight", LineItem::Freight, w::FREIGHT),
    (
        "charge_return",
        LineItem::ReturnFreight,
        w::FREIGHT_OF_EMPTIES_BACK,
    ),
];
const LINES_AT: &str = "/statement/deductions";

/// The questions for the lines of a statement: those that were answered take the places of its list.
fn charges(currency: &str, form: &Form) -> Vec<Field> {
    let mut place = 0_usize;
    let mut all = Vec::new();
    for (i, (name, _, label)) in CHARGES.iter().enumerate() {
        let mut field = exact(name, &format!("{LINES_AT}/{place}/amount"), label, currency);
        if i == 0 {
            field = field.help(w::LINES_HELP);
        }
        if !field.is_open(form) {
            place = place.saturating_add(1);
        }
        all.push(field.under(w::LINES).live(Live::Total(currency.to_owned())));
    }
    all
}

fn exact(name: &str, at: &str, label: &str, unit: &str) -> Field {
    Field::new(name, at, label, Kind::Exact(unit.to_owned()))
}

fn fields(currency: &str, price: &MetalPrice, form: &Form) -> Vec<Field> {
    let per = format!("{} a {}", price.currency, price.per.words());
    let statement = [
        Field::new(
            "reported",
            "/reported_silver_g",
            w::REPORTED,
            Kind::Figure("g"),
        )
        .needed(),
        exact("price", "/price/amount", w::PRICE, &per),
        exact("gross", "/statement/gross_value", w::GROSS, currency),
        exact("net", "/statement/net_paid", w::NET, currency),
        exact("billed", "/statement/net_billed", w::BILLED, currency),
    ];
    let assay = |name: &str, member: &str, label: &str| {
        exact(
            name,
            &format!("/assay_exchange/{member}"),
            label,
            w::PERCENT_OF_SILVER,
        )
    };
    let assays = [
        assay("own", "own_percent_w_w", w::OWN),
        assay("theirs", "refiner_percent_w_w", w::THEIRS),
        assay("umpire", "umpire_percent_w_w", w::UMPIRE),
        exact(
            "split",
            "/assay_exchange/splitting_limit_percent_w_w",
            w::SPLIT,
            w::POINTS_OF_SILVER,
        )
        .help(w::SPLIT_HELP),
    ];
    let received = [
        exact("dry", "/received/dry_mass_kg", w::DRY, "kg"),
        exact("mass", "/received/mass_kg", w::MASS, "kg"),
        exact("volume", "/received/volume_l", w::VOLUME, "L"),
        Field::new("count", "/received/container_count", w::COUNT, Kind::Count),
    ];
    let statement = statement.into_iter().map(|f| f.under(w::STATEMENT));
    let assays = assays.into_iter().map(|f| f.under(w::ASSAYS));
    let received = received.into_iter().map(|f| f.under(w::RECEIVED));
    let lines = charges(currency, form);
    statement
        .chain(lines)
        .chain(assays)
        .chain(received)
        .collect()
}

pub(super) async fn show(visit: Visit) -> Shown {
    let studio = visit.studio().await?;
    let asked = visit.asked()?;
    let first = Date::parse("1900-01-01").map_err(|_| Problem::internal())?;
    let account = book::account_of(visit.store()?, &studio, first, today(&studio)).await?;
    let shipments = &account.result.shipments;
    let name = asked.get("shipment");
    if name.is_empty() {
        return choose(&visit, &studio, shipments);
    }
    let one = shipments
        .iter()
        .find(|s| s.shipment.as_str() == name)
        .ok_or_else(|| Problem::new(Code::NotFound, w::THERE_IS_NO_SUCH_SHIPMENT))?;
    check(&visit, &studio, one, &asked).await
}

fn choose(visit: &Visit, studio: &StoredStudio, shipments: &[ShipmentBalance]) -> Shown {
    let body = html! {
        @if shipments.is_empty() { p.note { (w::NONE) } } @else { p.lead { (w::LEAD) } }
        ul.doors {
            @for one in shipments {
                li {
                    a href={ "/studios/" (studio.record.id) "/statements?shipment=" (query(one.shipment.as_str())) } { (one.shipment) }
                    " " span.small { (w::WAS_SENT) (sent(one)) }
                }
            }
        }
    };
    Ok(Page {
        status: 200,
        title: w::TITLE,
        studio: Some(studio),
        notice: None,
        body,
    }
    .shown(visit))
}

fn sent(of: &ShipmentBalance) -> String {
    let figures = of.sent_g.zip(of.sent_standard_uncertainty_g);
    figures.map_or_else(
        || w::NOT_KNOWN.to_owned(),
        |(g, u)| f(figure(g.get(), u.get(), "g")),
    )
}

async fn check(visit: &Visit, studio: &StoredStudio, one: &ShipmentBalance, asked: &Form) -> Shown {
    let id = studio.record.id.as_str();
    let standing = Dealt::of(visit.state()?, studio).await;
    let price = &standing.price;
    let dealt = studio
        .record
        .dealings
        .as_ref()
        .and_then(|d| d.terms.as_ref());
    let head = html! { p.lead { (w::SHIPMENT) b { (one.shipment) } ": " (sent(one)) (w::OF_SILVER_SENT) } };
    let back = html! { p { a href={ "/studios/" (id) "/statements" } { (w::ANOTHER) } } };
    let figures = one.sent_g.zip(one.sent_standard_uncertainty_g);
    let (Some(price), Some(dealt), Some((silver, u))) = (price, dealt, figures) else {
        let body = html! {
            (head)
            @if figures.is_none() { p.note { (w::SENT_UNKNOWN) } }
            @if price.is_none() || dealt.is_none() {
                p.note { (w::NO_TERMS) }
                p { a.big href={ "/studios/" (id) "/terms" } { (words::terms::TITLE) } }
            }
            (back)
        };
        return Ok(Page {
            status: 200,
            title: w::TITLE,
            studio: Some(studio),
            notice: None,
            body,
        }
        .shown(visit));
    };
    let fields = fields(dealt.currency.code(), price, asked);
    let tried = fields.iter().any(|f| !f.is_open(asked));
    let mut form = asked.clone();
    if !tried {
        // What the book has of the statement stands there at first.
        if let Some(settled) = one.settled_g {
            form = form.with("reported", f(write_significant(settled.get(), 6)));
        }
        form = form.with("price", f(write_decimal(price.amount.decimal())));
    }
    let start = json!({
        "shipment": one.shipment,
        "expected_silver_g": {"value": silver, "standard_uncertainty": u},
        "price": price,
        "terms": dealt,
        "rule_set": studio.record.rule_set.as_ref().map(|_| &book::rules(studio).id),
    });
    // As the entry states it, with its uncertainty, until something else is typed.
    let settled = one.settled_g.zip(one.settled_standard_uncertainty_g);
    let reported = settled
        .filter(|_| !tried)
        .map(|(value, u)| json!({"value": value, "standard_uncertainty": u}));
    let ready = tried || settled.is_some();
    let answer = match ready {
        true => {
            let assumed: Vec<_> = ["price", "terms"]
                .iter()
                .filter_map(|member| standing.assumed(member))
                .collect();
            let made = checked(start, reported, &fields, &form, dealt.currency.code());
            Some(made.map(|answer| answer.assuming(&assumed)))
        }
        false => None,
    };
    let troubles: Vec<Trouble> = match &answer {
        Some(Err(problem)) if problem.code.status() < 500 => {
            form::troubles(problem, &fields, &form)
        }
        Some(Err(_)) => return Err(Problem::internal()),
        _ => Vec::new(),
    };
    let told = answer.as_ref().and_then(|a| a.as_ref().ok());
    let ask = form_to_ask(
        &format!("/studios/{id}/statements"),
        w::SEND,
        html! {
            input type="hidden" name="shipment" value=(one.shipment);
            (questions(&fields, &form, &troubles))
        },
    );
    let body = html! {
        (head)
        @if let Some(answer) = told {
            (warnings(&answer.warnings))
            (verdict(answer))
        }
        section aria-labelledby="ask" { h2 #ask { (w::ASK) } (ask) }
        @if let Some(answer) = told { (assumptions(&answer.assumptions)) }
        (back)
    };
    Ok(Page {
        status: if troubles.is_empty() { 200 } else { 422 },
        title: w::TITLE,
        studio: Some(studio),
        notice: told.map(|a| &a.notice),
        body,
    }
    .shown(visit))
}

fn checked(
    start: Value,
    reported: Option<Value>,
    fields: &[Field],
    form: &Form,
    currency: &str,
) -> Result<Answer<SettlementCheck>, Problem> {
    let mut body = form::request(fields, form, start).body;
    if body.get("rule_set").is_some_and(Value::is_null) {
        form::take(&mut body, "/rule_set");
    }
    let answered = CHARGES
        .iter()
        .filter(|(name, ..)| !form.get(name).is_empty());
    for (i, (_, item, _)) in answered.enumerate() {
        let item = serde_json::to_value(item).map_err(|_| Problem::internal())?;
        form::put(&mut body, &format!("{LINES_AT}/{i}/item"), item);
    }
    if body.get("statement").is_some() {
        form::put(&mut body, "/statement/currency", currency.into());
    }
    if let Some(reported) = reported {
        form::put(&mut body, "/reported_silver_g", reported);
    }
    let text = body.to_string();
    let request: SettlementCheckRequest = reader::read(text.as_bytes(), contract::members())?;
    Ok(check_settlement(&request)?)
}

const fn in_words(of: SettlementVerdict) -> &'static str {
    match of {
        SettlementVerdict::Agrees => w::IT_AGREES,
        SettlementVerdict::SilverAgrees => w::SILVER_AGREES_NO_MONEY,
        SettlementVerdict::TooUncertain => w::KNOWN_TOO_POORLY,
        SettlementVerdict::MoneyDiffers => w::MONEY_DISAGREES,
        SettlementVerdict::SilverDiffers => w::SILVER_DIFFERS,
        SettlementVerdict::UmpireSettles => w::UMPIRES_ASSAY_SETTLES,
        SettlementVerdict::AskForUmpire => w::ASSAYS_LIE_TOO_FAR_APART,
    }
}

fn verdict(answer: &Answer<SettlementCheck>) -> Markup {
    let of = &answer.result;
    let (silver, money) = (&of.silver, &of.money);
    html! {
        section.verdict {
            p { b { (in_words(of.verdict)) } }
            ul { @for reason in &of.reasons { li { (t(reason)) } } }
        }
        table.rows {
            caption { (w::SILVER) }
            tbody {
                tr { th scope="row" { (w::LINE_SENT) } td.figure { (f(figure(silver.expected_g.get(), silver.expected_standard_uncertainty_g.get(), "g"))) } }
                tr { th scope="row" { (w::LINE_REPORTED) } td.figure { (f(figure(silver.reported_g.get(), silver.reported_standard_uncertainty_g.get(), "g"))) } }
                tr { th scope="row" { (w::LINE_DIFFERENCE) } td.figure { b { (f(figure(silver.difference_g.get(), silver.standard_uncertainty_g.get(), "g"))) } } }
                tr { th scope="row" { (w::WORTH_BEFORE_ANY_CHARGE) } td.figure { (f(silver.worth)) " " (money.currency) } }
            }
        }
        @if let Some(assays) = &of.assays {
            p {
                (w::ASSAYS_LIE) b { (f(write_decimal(assays.apart_percent_w_w.decimal()))) } (w::POINTS_APART)
                (f(write_decimal(assays.splitting_limit_percent_w_w.decimal()))) ". "
                @if let Some(settling) = assays.settling_percent_w_w { (w::WHAT_SETTLES) b { (f(write_decimal(settling.decimal()))) " %" } ". " }
                @if let Some(cost) = assays.umpire_cost {
                    (w::UMPIRE_IS_PAID_BY)
                    (match cost { UmpireCost::You => "you", UmpireCost::Refiner => w::REFINER, UmpireCost::Shared => "both" })
                    "."
                }
            }
        }
        (money_check(money))
        @if !of.ask_for.is_empty() {
            h2 { (w::ASK_FOR) }
            ul { @for one in &of.ask_for { li { b { (t(&one.what)) } " " (t(&one.why)) } } }
        }
    }
}

fn money_check(of: &MoneyCheck) -> Markup {
    let stated = of.net.by_statement.is_some() || of.gross_value.by_statement.is_some();
    let amount = |a: Option<SignedAmount>| a.map_or_else(|| w::NOT_SAID.to_owned(), f);
    let said = |by_statement, difference| {
        html! { @if stated { td.figure { (amount(by_statement)) } td.figure { (amount(difference)) } } }
    };
    let whole = |of: &ComparedAmount| said(of.by_statement, of.difference);
    html! {
        h2 { (w::MONEY) }
        table.rows {
            caption { (w::FOR_SILVER_REPORTED) (of.currency) }
            thead { tr { th scope="col" { (w::FOR) } th.figure scope="col" { (w::BY_TERMS) } @if stated { th.figure scope="col" { (w::STATED) } th.figure scope="col" { (w::STATED_LESS_TERMS) } } } }
            tbody {
                tr { th scope="row" { (w::ITS_SILVER_AT_METALS_PRICE) } td.figure { (f(of.gross_value.by_terms)) } (whole(&of.gross_value)) }
                @for line in &of.deductions {
                    tr { th scope="row" { (w::LESS) (t(&line.label)) } td.figure { (f(line.by_terms)) } (said(line.by_statement, line.difference)) }
                }
            }
            tfoot { tr { th scope="row" { (w::LEFT_FOR_YOU) } td.figure { b { (f(of.net.by_terms)) } } (whole(&of.net)) } }
        }
        @if let Some(off) = of.statement_off_by {
            p { (w::LINES_AND_NET_ARE) (f(off)) " " (of.currency) (w::APART) }
        }
        @if stated { p.small { (w::ROUNDING_MAKES_UP_TO) (f(of.rounding_allowed)) " " (of.currency) (w::OF_DIFFERENCE) } }
        p { (w::TERMS_WOULD_LEAVE) (f(of.net_by_terms_for_expected)) " " (of.currency) "." }
    }
}
