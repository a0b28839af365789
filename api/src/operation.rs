//! The table of operations. One row serves `POST /v1/<name>`, documents it in the contract and
//! gives the command line its `compute <name>`.

use crate::book::Place;
use crate::contract;
use crate::described::Described;
use crate::json;
use crate::problem::Problem;
use crate::reader;
use crate::render;
use serde::Serialize;
use serde::de::DeserializeOwned;
use spent_silver_domain::answer::{Answer, Assumption};
use spent_silver_domain::chemistry::equilibria;
use spent_silver_domain::fault::{Fault, FaultKind, Faults};
use spent_silver_domain::waste::{classification, neutralization, pour, transport};
use spent_silver_domain::{
    bath_care, budget, decision, document, estimate, ledger, recovery, report, valuation,
};
use std::collections::BTreeSet;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{LazyLock, OnceLock};
use utoipa::ToSchema;

/// Every operation, in the order of the job.
#[must_use]
pub fn operations() -> &'static [Operation] {
    static OPERATIONS: LazyLock<Vec<Operation>> = LazyLock::new(table);
    &OPERATIONS
}

/// The operation of that path name.
#[must_use]
pub fn operation(name: &str) -> Option<&'static Operation> {
    operations().iter().find(|o| o.name == name)
}

/// To add an operation, add a row here and its example to `api/examples/`.
fn table() -> Vec<Operation> {
    vec![
        Operation::new(
            "silver-estimates",
            "estimate_silver",
            "Silver",
            "How much silver is in a container, and how surely",
            include_str!("../examples/silver-estimates.json"),
            estimate::estimate_silver,
        )
        .of_the_book(&[Place::One("batch")]),
        Operation::new(
            "recovery-plans",
            "plan_recovery",
            "Silver",
            "How to get the silver out, step by step, and what then is left",
            include_str!("../examples/recovery-plans.json"),
            recovery::plan_recovery,
        )
        .of_the_book(&[Place::One("batch")])
        .rendered(svg(|body, assumed| {
            let answer = answered(recovery::plan_recovery, body, assumed)?;
            let plans = &answer.result;
            plans
                .curve()
                .map(|curve| render::chart::sheet(&document::dose_chart(curve), &answer).into_bytes())
                .ok_or_else(|| match (&plans.act_today, &plans.refusal) {
                    (Some(danger), _) => no_chart(&format!("no plan is given: {}", danger.warning())),
                    (None, Some(refusal)) => {
                        no_chart(&format!("no plan is given: {}", refusal.reason))
                    }
                    (None, None) => no_chart("no plan for this container has a dose curve: expected one whose reagent can be overdosed, with `curves` not false and a silver that is known"),
                })
        })),
        Operation::new(
            "bath-care",
            "care_for_bath",
            "Silver",
            "How a working silver nitrate bath is kept at work, and when it is past sense",
            include_str!("../examples/bath-care.json"),
            bath_care::care_for_bath,
        )
        .of_the_book(&[Place::One("batch")])
        .heavy(),
        Operation::new(
            "valuations",
            "value_lot",
            "Money",
            "What a lot is worth after every charge",
            include_str!("../examples/valuations.json"),
            valuation::value_lot,
        )
        .of_the_book(&[Place::Lot("lot")]),
        Operation::new(
            "decisions",
            "decide_lot",
            "Money",
            "Send, hold, restore, recover here, haul away or act today",
            include_str!("../examples/decisions.json"),
            decision::decide,
        )
        .of_the_book(&[Place::Lot("lot")]),
        Operation::new(
            "settlement-checks",
            "check_settlement",
            "Money",
            "Whether a refiner's statement agrees with what was sent and with the terms, and what to ask for",
            include_str!("../examples/settlement-checks.json"),
            valuation::check_settlement,
        )
        .of_the_book(&[Place::Shipment]),
        Operation::new(
            "waste-classifications",
            "classify_waste",
            "Waste",
            "What a container is in law, what must be tested, how long it may be kept",
            include_str!("../examples/waste-classifications.json"),
            classification::classify_waste,
        )
        .of_the_book(&[Place::One("batch")]),
        Operation::new(
            "pour-checks",
            "check_pour",
            "Waste",
            "Whether one container may be poured into another, or stand beside it",
            include_str!("../examples/pour-checks.json"),
            pour::check_pour,
        )
        .of_the_book(&[Place::One("from")]),
        Operation::new(
            "transport-candidates",
            "find_transport_candidates",
            "Waste",
            "Who may offer containers for carriage, and which entries of the tables may apply",
            include_str!("../examples/transport-candidates.json"),
            transport::transport_candidates,
        )
        .of_the_book(&[Place::Named("batches")]),
        Operation::new(
            "neutralization-plans",
            "plan_neutralization",
            "Waste",
            "How much base makes an acid liquor neutral, in what order, with what gas",
            include_str!("../examples/neutralization-plans.json"),
            neutralization::plan_neutralization,
        )
        .of_the_book(&[Place::One("batch")])
        .rendered(svg(|body, assumed| {
            let answer = answered(neutralization::plan_neutralization, body, assumed)?;
            let plan = &answer.result;
            document::ph_chart(plan)
                .map(|chart| render::chart::sheet(&chart, &answer).into_bytes())
                .ok_or_else(|| no_chart(&plan.refusal.as_ref().map_or_else(
                    || "this plan has no path of the pH".to_owned(),
                    |refusal| format!("no plan is given: {}", refusal.reason),
                )))
        })),
        Operation::new(
            "equilibria",
            "solve_equilibrium",
            "Chemistry",
            "What a mixture of the trade's chemicals comes to: pH, what falls out, what stays dissolved",
            include_str!("../examples/equilibria.json"),
            equilibria::solve_equilibrium,
        ),
        Operation::new(
            "documents",
            "draw_up_document",
            "Paper",
            "A label, a record, a log, a worksheet or a sheet that travels with a waste, on paper",
            include_str!("../examples/documents.json"),
            document::draw_up_document,
        )
        .rendered(text(|body, _| Ok(render::text::document(&drawn_up(body)?).into_bytes())))
        .rendered(html(|body, _| Ok(render::html::document(&drawn_up(body)?).into_bytes())))
        .rendered_where_built(pdf()),
        Operation::new(
            "budgets",
            "plan_budget",
            "Budget",
            "What silver costs per plate, per month and per year, net of what comes back",
            include_str!("../examples/budgets.json"),
            budget::plan_budget,
        )
        .of_the_book(&[Place::Studio]),
        Operation::new(
            "silver-accounts",
            "account_silver",
            "Book",
            "Where the silver of a period came from and went, and whether readings and records agree",
            include_str!("../examples/silver-accounts.json"),
            ledger::account_silver,
        )
        .heavy()
        .rendered(text(|body, assumed| {
            let answer = answered(ledger::account_silver, body, assumed)?;
            Ok(render::account::account(&answer).into_bytes())
        })),
        Operation::new(
            "waste-registers",
            "list_waste_events",
            "Book",
            "Every event of a period that an inspector asks for, and what each month comes to",
            include_str!("../examples/waste-registers.json"),
            ledger::list_waste_events,
        )
        .heavy()
        .rendered(text(|body, assumed| {
            let answer = answered(ledger::list_waste_events, body, assumed)?;
            Ok(render::register::register(&answer).into_bytes())
        })),
        Operation::new(
            "waste-clocks",
            "list_clocks",
            "Book",
            "Every day that something in the book falls due: what must leave, be inspected or be asked after",
            include_str!("../examples/waste-clocks.json"),
            ledger::list_clocks,
        )
        .heavy(),
        Operation::new(
            "reports",
            "report_studio",
            "Report",
            "The whole job for a studio: all six questions, and what to do next",
            include_str!("../../demo/studio.json"),
            report::report_studio,
        )
        .of_the_book(&[Place::All("batches")])
        .heavy()
        .rendered(text(|body, assumed| {
            let answer = answered(report::report_studio, body, assumed)?;
            Ok(render::report::report(&answer).into_bytes())
        })),
    ]
}

/// The document that a request asks for.
fn drawn_up(body: &[u8]) -> Result<document::Document, Problem> {
    let answer = answered(document::draw_up_document, body, &[])?;
    Ok(answer.result.document)
}

/// The answer to a request body, with what was `assumed` before it was asked.
fn answered<Req: DeserializeOwned, Res>(
    run: fn(&Req) -> Result<Answer<Res>, Faults>,
    body: &[u8],
    assumed: &[Assumption],
) -> Result<Answer<Res>, Problem> {
    let request: Req = reader::read(body, contract::members())?;
    Ok(run(&request)?.assuming(assumed))
}

#[cfg(feature = "pdf")]
const fn pdf() -> Option<Rendering> {
    Some(Rendering {
        format: "pdf",
        media_type: "application/pdf",
        letters: false,
        extension: "pdf",
        heavy: true,
        render: |body, _| render::pdf::document(&drawn_up(body)?),
    })
}

#[cfg(not(feature = "pdf"))]
const fn pdf() -> Option<Rendering> {
    None
}

const fn text(render: Render) -> Rendering {
    Rendering {
        format: "text",
        media_type: "text/plain",
        letters: true,
        extension: "txt",
        heavy: false,
        render,
    }
}

const fn html(render: Render) -> Rendering {
    Rendering {
        format: "html",
        media_type: "text/html",
        letters: true,
        extension: "html",
        heavy: false,
        render,
    }
}

const fn svg(render: Render) -> Rendering {
    Rendering {
        format: "svg",
        media_type: "image/svg+xml",
        letters: true,
        extension: "svg",
        heavy: false,
        render,
    }
}

/// There is nothing to draw, and why.
fn no_chart(why: &str) -> Problem {
    Faults::from(Fault::new(FaultKind::NotApplicable, "", why)).into()
}

/// From the bytes of a request, and what was assumed before, to the bytes of its answer.
type Run = dyn Fn(&[u8], &[Assumption]) -> Result<Vec<u8>, Problem> + Send + Sync;
/// The same in another media type.
type Render = fn(&[u8], &[Assumption]) -> Result<Vec<u8>, Problem>;

/// One stateless operation.
pub struct Operation {
    /// Its name in the path and on the command line, such as `silver-estimates`.
    pub name: &'static str,
    /// Its name in the contract, `verb_resource`.
    pub id: &'static str,
    /// The chapter of the documentation it stands in.
    pub tag: &'static str,
    /// What it answers, in one line.
    pub summary: &'static str,
    /// An example request, as JSON.
    pub example: &'static str,
    /// Schema of the request.
    pub request: Described,
    /// Schema of the result, without its envelope.
    pub result: Described,
    /// Schema of the whole answer.
    pub answer: Described,
    /// Other media types the answer can be written in.
    pub renderings: Vec<Rendering>,
    /// Whether it may take longer than a millisecond, so that it leaves the event loop.
    pub heavy: bool,
    /// Where it takes containers of the book.
    pub places: &'static [Place],
    /// Made from the schema when first asked for.
    members: OnceLock<Members>,
    run: Box<Run>,
}

/// Names of the members of a request.
#[derive(Default)]
struct Members {
    all: BTreeSet<String>,
    required: BTreeSet<String>,
}

/// One more way to write an answer.
#[derive(Clone, Copy)]
pub struct Rendering {
    /// Name on the command line, such as `text`.
    pub format: &'static str,
    /// Media type, such as `text/plain`.
    pub media_type: &'static str,
    /// Whether it is made of letters, which then are UTF-8.
    pub letters: bool,
    /// Ending of a file that holds it.
    pub extension: &'static str,
    /// Whether writing it may take longer than a millisecond, so that it leaves the event loop.
    pub heavy: bool,
    /// Answers a request body in this media type; assumptions made before are listed with its own.
    pub render: Render,
}

impl Rendering {
    /// Media type with its letters, where it is made of letters.
    #[must_use]
    pub fn content_type(&self) -> String {
        if self.letters {
            format!("{}; charset=utf-8", self.media_type)
        } else {
            self.media_type.to_owned()
        }
    }
}

impl Operation {
    /// A row: path name, operation id, tag, summary, example request, and the domain function.
    pub fn new<Req, Res>(
        name: &'static str,
        id: &'static str,
        tag: &'static str,
        summary: &'static str,
        example: &'static str,
        run: fn(&Req) -> Result<Answer<Res>, Faults>,
    ) -> Self
    where
        Req: DeserializeOwned + ToSchema + 'static,
        Res: Serialize + ToSchema + 'static,
    {
        Self {
            name,
            id,
            tag,
            summary,
            example,
            request: Described::by::<Req>(),
            result: Described::by::<Res>(),
            answer: Described::by::<Answer<Res>>(),
            renderings: Vec::new(),
            heavy: false,
            places: &[],
            members: OnceLock::new(),
            run: Box::new(move |body, assumed| {
                let answer = answered(run, body, assumed)?;
                json::to_vec(&answer).map_err(|_| Problem::internal())
            }),
        }
    }

    /// The row, written in one more media type.
    #[must_use]
    pub fn rendered(mut self, rendering: Rendering) -> Self {
        self.renderings.push(rendering);
        self
    }

    /// The row, written in one more media type where this build has it.
    #[must_use]
    fn rendered_where_built(self, rendering: Option<Rendering>) -> Self {
        match rendering {
            Some(rendering) => self.rendered(rendering),
            None => self,
        }
    }

    /// The row, answered from the book as well.
    #[must_use]
    const fn of_the_book(mut self, places: &'static [Place]) -> Self {
        self.places = places;
        self
    }

    /// The row, answered away from the event loop.
    #[must_use]
    pub fn heavy(mut self) -> Self {
        self.heavy = true;
        self
    }

    fn members(&self) -> &Members {
        self.members.get_or_init(|| {
            let object = self.request.object();
            object.map_or_else(Members::default, |of| Members {
                all: of.properties.into_iter().map(|(name, _)| name).collect(),
                required: of.required.into_iter().collect(),
            })
        })
    }

    /// Whether its request has that member.
    #[must_use]
    pub fn takes(&self, member: &str) -> bool {
        self.members().all.contains(member)
    }

    /// Whether its request must have that member.
    #[must_use]
    pub fn requires(&self, member: &str) -> bool {
        self.members().required.contains(member)
    }

    /// Answers one request body with the JSON of its answer.
    ///
    /// # Errors
    /// The problem with the input; a panic of a calculation becomes an internal problem.
    pub fn answer(&self, body: &[u8]) -> Result<Vec<u8>, Problem> {
        self.answer_assuming(body, &[])
    }

    /// As [`Self::answer`], of a request that was filled in: what was assumed in doing so is listed with
    /// the answer's own assumptions.
    ///
    /// # Errors
    /// See there.
    pub fn answer_assuming(&self, body: &[u8], assumed: &[Assumption]) -> Result<Vec<u8>, Problem> {
        catch_unwind(AssertUnwindSafe(|| (self.run)(body, assumed))).unwrap_or_else(|_| {
            tracing::error!(operation = self.name, "a calculation panicked");
            Err(Problem::internal())
        })
    }
}
