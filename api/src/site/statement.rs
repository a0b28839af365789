//! Does the refiner's statement agree? What it reports against what the book says was sent.

use super::control::{form_to_ask, questions};
use super::form::{self, Field, Form, Kind, Live, Trouble};
use super::language::{f, t};
use super::layout::{Page, assumptions, warnings};
use super::record::query;
use super::{Shown, Visit, terms, today};
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

const TITLE: &str = "The refiner's statement";
const LEAD: &str = "Does what the refiner found agree with what you sent? Choose a shipment.";
const NONE: &str = "Nothing was sent to a refiner by this book.";
const SENT_UNKNOWN: &str = "How much silver was in this shipment is not known: a container went into it unread. So nothing here can check the refiner.";
pub(super) const NO_TERMS: &str = "The refiner's terms or the price of silver are not in this record: the money cannot be checked without them.";
const ASK: &str = "What the statement says";
const SEND: &str = "Check it";
const ANOTHER: &str = "Another shipment";
const ASK_FOR: &str = "Ask the refiner for";
const MONEY: &str = "The money";
const NOT_SAID: &str = "not said";

const REPORTED: &str = "How much silver does the refiner report?";
const PRICE: &str = "At which price of silver did it settle?";
const NET: &str = "What did it pay out?";
const BILLED: &str = "Or: what did it bill you?";
const GROSS: &str = "What does it say the silver is worth, before charges?";
const OWN: &str = "Your assay of the dry material";
const THEIRS: &str = "The refiner's assay";
const UMPIRE: &str = "The umpire's assay, if there was one";
const SPLIT: &str = "The splitting limit of your terms";
const SPLIT_HELP: &str = "How far the two assays may lie apart before an umpire is asked. Left open, 0.20 points of silver are taken.";
const DRY: &str = "Mass after drying";
const MASS: &str = "Mass as received";
const VOLUME: &str = "Volume as received";
const COUNT: &str = "How many containers were received?";
const ASSAYS: &str = "Assays that you exchanged";
const RECEIVED: &str = "The lot as it was received";
const STATEMENT: &str = "The statement";

/// What a refiner takes off, as its statement lists it.
const CHARGES: &[(&str, LineItem, &str)] = &[
    (
        "charge_share",
        LineItem::SilverNotPayable,
        "The share of the silver that it does not pay for",
    ),
    (
        "charge_deducted",
        LineItem::SilverDeducted,
        "Silver taken off before that share",
    ),
    (
        "charge_least",
        LineItem::SilverBelowLeast,
        "Silver below the least that it pays for",
    ),
    (
        "charge_lot",
        LineItem::TreatmentPerLot,
        "Treatment, for the lot",
    ),
    (
        "charge_kg",
        LineItem::TreatmentPerKilogram,
        "Treatment, by the kilogram",
    ),
    (
        "charge_l",
        LineItem::TreatmentPerLitre,
        "Treatment, by the litre",
    ),
    (
        "charge_ozt",
        LineItem::TreatmentPerTroyOunce,
        "Treatment, by the troy ounce",
    ),
    ("charge_refining", LineItem::Refining, "Refining"),
    (
        "charge_minimum",
        LineItem::MinimumTopUp,
        "What was missing to its least charge",
    ),
    ("charge_assay", LineItem::Assay, "Assay"),
    (
        "charge_surcharge",
        LineItem::Surcharge,
        "Surcharges, together",
    ),
    ("charge_freight", LineItem::Freight, "Freight"),
    (
        "charge_return",
        LineItem::ReturnFreight,
        "Freight of the empties back",
    ),
];
const LINES: &str = "What it took off, line by line";
const LINES_HELP: &str = "Leave all of these open to check the net alone. Once one is filled in, what is left open counts as not taken off.";
const LINES_AT: &str = "/statement/deductions";

/// The questions for the lines of a statement: those that were answered take the places of its list.
fn charges(currency: &str, form: &Form) -> Vec<Field> {
    let mut place = 0_usize;
    let mut all = Vec::new();
    for (i, (name, _, label)) in CHARGES.iter().enumerate() {
        let mut field = exact(name, &format!("{LINES_AT}/{place}/amount"), label, currency);
        if i == 0 {
            field = field.help(LINES_HELP);
        }
        if !field.is_open(form) {
            place = place.saturating_add(1);
        }
        all.push(field.under(LINES).live(Live::Total(currency.to_owned())));
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
            REPORTED,
            Kind::Figure("g"),
        )
        .needed(),
        exact("price", "/price/amount", PRICE, &per),
        exact("gross", "/statement/gross_value", GROSS, currency),
        exact("net", "/statement/net_paid", NET, currency),
        exact("billed", "/statement/net_billed", BILLED, currency),
    ];
    let assay = |name: &str, member: &str, label: &str| {
        exact(
            name,
            &format!("/assay_exchange/{member}"),
            label,
            "% of silver",
        )
    };
    let assays = [
        assay("own", "own_percent_w_w", OWN),
        assay("theirs", "refiner_percent_w_w", THEIRS),
        assay("umpire", "umpire_percent_w_w", UMPIRE),
        exact(
            "split",
            "/assay_exchange/splitting_limit_percent_w_w",
            SPLIT,
            "points of silver",
        )
        .help(SPLIT_HELP),
    ];
    let received = [
        exact("dry", "/received/dry_mass_kg", DRY, "kg"),
        exact("mass", "/received/mass_kg", MASS, "kg"),
        exact("volume", "/received/volume_l", VOLUME, "L"),
        Field::new("count", "/received/container_count", COUNT, Kind::Count),
    ];
    let statement = statement.into_iter().map(|f| f.under(STATEMENT));
    let assays = assays.into_iter().map(|f| f.under(ASSAYS));
    let received = received.into_iter().map(|f| f.under(RECEIVED));
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
        .ok_or_else(|| Problem::new(Code::NotFound, "There is no such shipment in this book."))?;
    check(&visit, &studio, one, &asked).await
}

fn choose(visit: &Visit, studio: &StoredStudio, shipments: &[ShipmentBalance]) -> Shown {
    let body = html! {
        @if shipments.is_empty() { p.note { (NONE) } } @else { p.lead { (LEAD) } }
        ul.doors {
            @for one in shipments {
                li {
                    a href={ "/studios/" (studio.record.id) "/statements?shipment=" (query(one.shipment.as_str())) } { (one.shipment) }
                    " " span.small { "sent: " (sent(one)) }
                }
            }
        }
    };
    Ok(Page {
        status: 200,
        title: TITLE,
        studio: Some(studio),
        notice: None,
        body,
    }
    .shown(visit))
}

fn sent(of: &ShipmentBalance) -> String {
    let figures = of.sent_g.zip(of.sent_standard_uncertainty_g);
    figures.map_or_else(
        || "not known".to_owned(),
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
    let head = html! { p.lead { "Shipment " b { (one.shipment) } ": " (sent(one)) " of silver sent, by this book." } };
    let back = html! { p { a href={ "/studios/" (id) "/statements" } { (ANOTHER) } } };
    let figures = one.sent_g.zip(one.sent_standard_uncertainty_g);
    let (Some(price), Some(dealt), Some((silver, u))) = (price, dealt, figures) else {
        let body = html! {
            (head)
            @if figures.is_none() { p.note { (SENT_UNKNOWN) } }
            @if price.is_none() || dealt.is_none() {
                p.note { (NO_TERMS) }
                p { a.big href={ "/studios/" (id) "/terms" } { (terms::TITLE) } }
            }
            (back)
        };
        return Ok(Page {
            status: 200,
            title: TITLE,
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
        SEND,
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
        section aria-labelledby="ask" { h2 #ask { (ASK) } (ask) }
        @if let Some(answer) = told { (assumptions(&answer.assumptions)) }
        (back)
    };
    Ok(Page {
        status: if troubles.is_empty() { 200 } else { 422 },
        title: TITLE,
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
        SettlementVerdict::Agrees => "It agrees.",
        SettlementVerdict::SilverAgrees => {
            "The silver agrees. The money of the statement was not given, so none was compared."
        }
        SettlementVerdict::TooUncertain => {
            "Nothing disagrees, but the silver that was sent is known too poorly to check the refiner with."
        }
        SettlementVerdict::MoneyDiffers => {
            "The silver agrees; the money is not what the terms say."
        }
        SettlementVerdict::SilverDiffers => {
            "The silver differs by more than chance allows. Ask for the umpire's assay while your sample is kept."
        }
        SettlementVerdict::UmpireSettles => {
            "The umpire's assay settles, and the statement is not by it."
        }
        SettlementVerdict::AskForUmpire => {
            "The assays lie too far apart: ask for the umpire's assay."
        }
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
            caption { "The silver" }
            tbody {
                tr { th scope="row" { "Sent" } td.figure { (f(figure(silver.expected_g.get(), silver.expected_standard_uncertainty_g.get(), "g"))) } }
                tr { th scope="row" { "Reported" } td.figure { (f(figure(silver.reported_g.get(), silver.reported_standard_uncertainty_g.get(), "g"))) } }
                tr { th scope="row" { "Reported less sent" } td.figure { b { (f(figure(silver.difference_g.get(), silver.standard_uncertainty_g.get(), "g"))) } } }
                tr { th scope="row" { "Worth, before any charge" } td.figure { (f(silver.worth)) " " (money.currency) } }
            }
        }
        @if let Some(assays) = &of.assays {
            p {
                "The assays lie " b { (f(write_decimal(assays.apart_percent_w_w.decimal()))) } " points apart; the splitting limit is "
                (f(write_decimal(assays.splitting_limit_percent_w_w.decimal()))) ". "
                @if let Some(settling) = assays.settling_percent_w_w { "What settles: " b { (f(write_decimal(settling.decimal()))) " %" } ". " }
                @if let Some(cost) = assays.umpire_cost {
                    "By common practice the umpire is paid by "
                    (match cost { UmpireCost::You => "you", UmpireCost::Refiner => "the refiner", UmpireCost::Shared => "both" })
                    "."
                }
            }
        }
        (money_check(money))
        @if !of.ask_for.is_empty() {
            h2 { (ASK_FOR) }
            ul { @for one in &of.ask_for { li { b { (t(&one.what)) } " " (t(&one.why)) } } }
        }
    }
}

fn money_check(of: &MoneyCheck) -> Markup {
    let stated = of.net.by_statement.is_some() || of.gross_value.by_statement.is_some();
    let amount = |a: Option<SignedAmount>| a.map_or_else(|| NOT_SAID.to_owned(), f);
    let said = |by_statement, difference| {
        html! { @if stated { td.figure { (amount(by_statement)) } td.figure { (amount(difference)) } } }
    };
    let whole = |of: &ComparedAmount| said(of.by_statement, of.difference);
    html! {
        h2 { (MONEY) }
        table.rows {
            caption { "For the silver reported, in " (of.currency) }
            thead { tr { th scope="col" { "For" } th.figure scope="col" { "By the terms" } @if stated { th.figure scope="col" { "Stated" } th.figure scope="col" { "Stated less terms" } } } }
            tbody {
                tr { th scope="row" { "Its silver at the metal's price" } td.figure { (f(of.gross_value.by_terms)) } (whole(&of.gross_value)) }
                @for line in &of.deductions {
                    tr { th scope="row" { "Less: " (t(&line.label)) } td.figure { (f(line.by_terms)) } (said(line.by_statement, line.difference)) }
                }
            }
            tfoot { tr { th scope="row" { "Left for you" } td.figure { b { (f(of.net.by_terms)) } } (whole(&of.net)) } }
        }
        @if let Some(off) = of.statement_off_by {
            p { "The statement's own lines and its net are " (f(off)) " " (of.currency) " apart." }
        }
        @if stated { p.small { "Rounding each line may make up to " (f(of.rounding_allowed)) " " (of.currency) " of the difference." } }
        p { "For the silver that was sent the terms would leave " (f(of.net_by_terms_for_expected)) " " (of.currency) "." }
    }
}
