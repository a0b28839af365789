//! The table of operations. One row serves `POST /v1/<name>`, documents it in the contract and
//! gives the command line its `compute <name>`.

use crate::contract;
use crate::problem::Problem;
use crate::reader;
use serde::Serialize;
use serde::de::DeserializeOwned;
use spent_silver_domain::answer::Answer;
use spent_silver_domain::budget;
use spent_silver_domain::estimate;
use spent_silver_domain::fault::Faults;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::LazyLock;
use utoipa::ToSchema;
use utoipa::openapi::{RefOr, Schema};

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
        ),
        Operation::new(
            "budgets",
            "plan_budget",
            "Budget",
            "What silver costs per plate, per month and per year, net of what comes back",
            include_str!("../examples/budgets.json"),
            budget::plan_budget,
        ),
    ]
}

/// From the bytes of a request to the bytes of its answer.
type Run = dyn Fn(&[u8]) -> Result<Vec<u8>, Problem> + Send + Sync;

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
    run: Box<Run>,
}

/// One more way to write an answer.
#[derive(Clone, Copy)]
pub struct Rendering {
    /// Name on the command line, such as `text`.
    pub format: &'static str,
    /// Media type, such as `text/plain`.
    pub media_type: &'static str,
    /// Ending of a file that holds it.
    pub extension: &'static str,
    /// Writes the answer.
    pub render: fn(&serde_json::Value) -> String,
}

/// How a type describes itself.
#[derive(Clone, Copy)]
pub struct Described {
    name: fn() -> std::borrow::Cow<'static, str>,
    schema: fn() -> RefOr<Schema>,
    parts: fn(&mut Vec<(String, RefOr<Schema>)>),
}

impl Described {
    /// How `T` describes itself.
    #[must_use]
    pub fn by<T: ToSchema>() -> Self {
        Self {
            name: T::name,
            schema: T::schema,
            parts: T::schemas,
        }
    }

    /// Name of the schema.
    #[must_use]
    pub fn name(&self) -> String {
        (self.name)().into_owned()
    }

    /// The schema itself.
    #[must_use]
    pub fn schema(&self) -> RefOr<Schema> {
        (self.schema)()
    }

    /// Schemas it refers to.
    #[must_use]
    pub fn parts(&self) -> Vec<(String, RefOr<Schema>)> {
        let mut parts = Vec::new();
        (self.parts)(&mut parts);
        parts
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
            run: Box::new(move |body| {
                let request: Req = reader::read(body, contract::list_members())?;
                let answer = run(&request)?;
                let mut out = Vec::with_capacity(4096);
                serde_json::to_writer(&mut out, &answer).map_err(|_| Problem::internal())?;
                Ok(out)
            }),
        }
    }

    /// The row, written in one more media type.
    #[must_use]
    pub fn rendered(mut self, rendering: Rendering) -> Self {
        self.renderings.push(rendering);
        self
    }

    /// The row, answered away from the event loop.
    #[must_use]
    pub fn heavy(mut self) -> Self {
        self.heavy = true;
        self
    }

    /// Answers one request body with the JSON of its answer.
    ///
    /// # Errors
    /// The problem with the input; a panic of a calculation becomes an internal problem.
    pub fn answer(&self, body: &[u8]) -> Result<Vec<u8>, Problem> {
        catch_unwind(AssertUnwindSafe(|| (self.run)(body))).unwrap_or_else(|_| {
            tracing::error!(operation = self.name, "a calculation panicked");
            Err(Problem::internal())
        })
    }
}
