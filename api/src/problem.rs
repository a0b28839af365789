//! What goes wrong, as RFC 9457 problem documents.
//!
//! One table holds every problem there is: its code, status, title and documentation page. HTTP
//! and the command line write the same document.

use serde::Serialize;
use spent_silver_domain::fault::Faults;
use std::fmt::Write as _;
use utoipa::ToSchema;

/// Most entries that one problem document lists.
const MOST_ERRORS: usize = 100;

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident: $code:literal, $status:literal, $title:literal, $page:literal;)*) => {
        /// Every problem there is.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Code {
            $($(#[$doc])* $name,)*
        }

        impl Code {
            /// All codes, in the order of the table.
            pub const ALL: &[Self] = &[$(Self::$name,)*];

            /// The code as documents and page addresses write it.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$name => $code,)* }
            }

            /// The HTTP status.
            #[must_use]
            pub const fn status(self) -> u16 {
                match self { $(Self::$name => $status,)* }
            }

            /// The title, the same for every problem of this code.
            #[must_use]
            pub const fn title(self) -> &'static str {
                match self { $(Self::$name => $title,)* }
            }

            /// The documentation page: what happened and what to do.
            #[must_use]
            pub const fn page(self) -> &'static str {
                match self { $(Self::$name => $page,)* }
            }
        }
    };
}

codes! {
    /// The body is not JSON in UTF-8.
    NotJson: "not_json", 400, "The body is not JSON",
        "The body could not be read as one JSON value in UTF-8. The detail says where reading stopped. Check for a missing comma, brace or quote at that place.";
    /// The body is nested too deeply.
    TooDeep: "too_deep", 400, "The body is nested too deeply",
        "Objects and lists may stand inside each other 32 levels deep. No request we take needs more.";
    /// A member occurs twice.
    DuplicateMember: "duplicate_member", 400, "A member occurs twice",
        "One object names the same member twice, so it is unclear which of the two is meant. Keep one.";
    /// A query parameter or path segment is wrong.
    InvalidParameter: "invalid_parameter", 400, "A parameter is not accepted",
        "A query parameter is unknown or its value is out of range. Each entry of `errors` names the parameter and says what would be right.";
    /// On the command line: an option or argument is wrong.
    InvalidArgument: "invalid_argument", 400, "The command line is not accepted",
        "An option or argument of the command is unknown, missing or out of range. `spent-silver --help` lists what there is.";
    /// On the command line: a file cannot be read.
    UnreadableFile: "unreadable_file", 400, "The file cannot be read",
        "The file named on the command line does not exist, is not a file, may not be read, or is larger than a request may be.";
    /// On the command line: the answer's file cannot be written.
    UnwritableFile: "unwritable_file", 400, "The file cannot be written",
        "The answer was worked out, but the file that `--output` names cannot be written: its folder does not exist, it is a folder itself, or it may not be written to.";
    /// An append or an issue without its key.
    IdempotencyKeyMissing: "idempotency_key_missing", 400, "An Idempotency-Key is needed",
        "What appends to the book or issues a document carries the header `Idempotency-Key`: a text of 1 to 64 characters that is new for each new request. The same request may then be sent again with the same key, after a lost connection say, and is done once.";
    /// No token, or a wrong one.
    Unauthorized: "unauthorized", 401, "An API token is needed",
        "This service asks for a token. Send it as `Authorization: Bearer TOKEN`.";
    /// The Host header names somebody else.
    HostRefused: "host_refused", 403, "This host name is not served",
        "A service on the loopback interface answers only to `localhost`, `127.0.0.1` and `[::1]`, and to the names its operator allows, so that a web page elsewhere cannot drive it.";
    /// The token does not reach this far.
    Forbidden: "forbidden", 403, "The token does not allow this",
        "A reader's token reads, a writer's appends entries and issues documents, an owner's also changes the studio's record. Studios are made, and tokens given, by the operator.";
    /// A form that is not of this visit.
    FormRefused: "form_refused", 403, "This form was not taken",
        "A form of these pages is taken from the visit that opened it. One that another page sent, or that was open before the service was started anew, is not. Open its page again; nothing was changed.";
    /// Nothing is there.
    NotFound: "not_found", 404, "There is nothing at this address",
        "The path or the name in it is not known here. The contract at `/openapi.json` lists every path.";
    /// No price feed is configured.
    PriceNotConfigured: "price_not_configured", 404, "No price feed is configured",
        "This service follows no price of silver. Put the price into the request: its amount, currency, unit and date.";
    /// The path does not know the method.
    MethodNotAllowed: "method_not_allowed", 405, "The method is not allowed here",
        "The path exists, but not with this method. The `Allow` header lists the methods it takes.";
    /// No representation the client accepts.
    NotAcceptable: "not_acceptable", 406, "No such representation",
        "The answer cannot be written in any media type of the `Accept` header. The detail lists those there are.";
    /// It contradicts what is kept.
    StateConflict: "state_conflict", 409, "It contradicts what is kept",
        "The name is taken, or an entry for an earlier day would make a later one impossible. Nothing was changed. The detail says what stands in the way.";
    /// Somebody else changed it first.
    PreconditionFailed: "precondition_failed", 412, "It was changed since you read it",
        "The `If-Match` header names a version that is no longer the current one. Read it again, and put your change into what it is now.";
    /// The body is too large.
    BodyTooLarge: "body_too_large", 413, "The body is too large",
        "The body is longer than this service takes. Send fewer containers in one request.";
    /// The body is not declared as JSON.
    UnsupportedMediaType: "unsupported_media_type", 415, "The body must be application/json",
        "Requests with a body declare it with `Content-Type: application/json`, and without a content coding.";
    /// The body is JSON but not what the operation takes.
    InvalidInput: "invalid_input", 422, "The input is not accepted",
        "The body is JSON, but a member is missing, unknown or of the wrong kind, or its value cannot be. Each entry of `errors` carries a code, the JSON Pointer of the member, the value found, and what would be right.";
    /// One key, two requests.
    IdempotencyKeyReused: "idempotency_key_reused", 422, "The key was used for another request",
        "The `Idempotency-Key` came before with another body or path. Send each new request with a new key; send an old one again exactly as it was.";
    /// Which version is to be replaced is not said.
    PreconditionRequired: "precondition_required", 428, "Say which version you replace",
        "What replaces something carries `If-Match` with the `ETag` that reading it gave, so that nobody's change is lost.";
    /// Too many requests.
    TooManyRequests: "too_many_requests", 429, "Too many requests",
        "More requests came from one token, or from one address, than this service answers in a minute, or too many without a token that is in force. Wait for the time in `Retry-After`.";
    /// On the command line: the book is not what its entries come to.
    BookDiffers: "book_differs", 409, "The book is not what its entries come to",
        "`spent-silver verify` reckoned every balance anew from the entries, and every document's fingerprint from the document; each entry of `errors` names one that differs from what is kept. Somebody changed the file by other means, or the program has a fault. Restore a backup, or export, and import into a new book.";
    /// Our own fault.
    Internal: "internal", 500, "The service failed",
        "This is a fault of the service, not of the request. The `request_id` finds it in the operator's log.";
    /// The book cannot be read or written now.
    StoreUnavailable: "store_unavailable", 503, "The book is not available",
        "The silver book cannot be read or written now: it is busy, there is no room left, its server does not answer, or its file is damaged. Nothing was changed. The detail says which, and `Retry-After` when to try again.";
    /// A newer program wrote the book.
    StoreTooNew: "store_too_new", 503, "The book is newer than this program",
        "A newer program wrote this book, and this one does not know all that is in it. It was not touched. Use the newer program.";
    /// The price feed gave nothing yet.
    PriceUnavailable: "price_unavailable", 503, "The price is not available",
        "A price feed is configured, but it has given no price yet. Try again after the time in `Retry-After`, or put the price into the request.";
}

/// One thing wrong: a member of the body by its JSON Pointer, or a parameter by its name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ErrorEntry {
    /// What kind of error it is, such as `missing` or `out_of_range`; more may be added.
    pub code: &'static str,
    /// The value found, and what would be right.
    pub detail: String,
    /// JSON Pointer into the body; a missing member is named itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub pointer: Option<String>,
    /// Name of the query or path parameter.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub parameter: Option<String>,
}

impl ErrorEntry {
    /// An error in the body.
    pub fn at(code: &'static str, pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self {
            code,
            detail: detail.into(),
            pointer: Some(pointer.into()),
            parameter: None,
        }
    }

    /// An error in a query or path parameter.
    pub fn parameter(
        code: &'static str,
        parameter: impl Into<String>,
        detail: impl Into<String>,
    ) -> Self {
        Self {
            code,
            detail: detail.into(),
            pointer: None,
            parameter: Some(parameter.into()),
        }
    }
}

/// Something went wrong: the one error type of this crate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Which problem it is.
    pub code: Code,
    /// What happened this time, and what would help.
    pub detail: String,
    /// Each thing wrong, where there are several or one has a place.
    pub errors: Vec<ErrorEntry>,
    /// Methods for the `Allow` header of a 405.
    pub allow: Option<&'static str>,
    /// Seconds for the `Retry-After` header of a 503.
    pub retry_after: Option<u64>,
}

/// The problem document as it is written.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Problem)]
pub struct ProblemDocument<'a> {
    /// Relative reference of the problem's page.
    #[serde(rename = "type")]
    pub type_: String,
    /// Title of the problem, the same each time.
    pub title: &'static str,
    /// HTTP status.
    pub status: u16,
    /// What happened this time.
    pub detail: &'a str,
    /// The problem's code.
    pub code: &'static str,
    /// The request's id, as the log has it; absent on the command line.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub request_id: Option<&'a str>,
    /// Each thing wrong, at most 100.
    #[serde(skip_serializing_if = "<[ErrorEntry]>::is_empty")]
    #[schema(required = false)]
    pub errors: &'a [ErrorEntry],
}

impl Problem {
    /// A problem with its detail.
    pub fn new(code: Code, detail: impl Into<String>) -> Self {
        Self {
            code,
            detail: detail.into(),
            errors: Vec::new(),
            allow: None,
            retry_after: None,
        }
    }

    /// The problem with one more error.
    #[must_use]
    pub fn with(mut self, error: ErrorEntry) -> Self {
        self.errors.push(error);
        self
    }

    /// An input that is JSON but wrong in one place.
    pub fn input(
        code: &'static str,
        pointer: impl Into<String>,
        detail: impl Into<String>,
    ) -> Self {
        let pointer = pointer.into();
        let detail = detail.into();
        Self::new(Code::InvalidInput, located(&pointer, &detail))
            .with(ErrorEntry::at(code, pointer, detail))
    }

    /// A path that has no such method.
    #[must_use]
    pub fn method_not_allowed(allow: &'static str) -> Self {
        Self {
            allow: Some(allow),
            ..Self::new(Code::MethodNotAllowed, format!("This path takes {allow}."))
        }
    }

    /// Something that must not happen; nothing of the inside is told.
    #[must_use]
    pub fn internal() -> Self {
        Self::new(
            Code::Internal,
            "The service failed. Nothing was changed; the same request may be sent again.",
        )
    }

    /// The document, with the request's id where there is a request.
    #[must_use]
    pub fn document<'a>(&'a self, request_id: Option<&'a str>) -> ProblemDocument<'a> {
        ProblemDocument {
            type_: format!("/problems/{}", self.code.name()),
            title: self.code.title(),
            status: self.code.status(),
            detail: &self.detail,
            code: self.code.name(),
            request_id,
            errors: self.errors.get(..MOST_ERRORS).unwrap_or(&self.errors),
        }
    }

    /// The document as JSON.
    #[must_use]
    pub fn to_json(&self, request_id: Option<&str>) -> Vec<u8> {
        serde_json::to_vec(&self.document(request_id)).unwrap_or_default()
    }

    /// The problem as a person reads it on a terminal.
    #[must_use]
    pub fn to_text(&self) -> String {
        let mut text = format!("{} ({})\n", self.code.title(), self.code.name());
        if self.errors.is_empty() {
            let _ = writeln!(text, "  {}", self.detail);
        }
        for error in self.errors.iter().take(MOST_ERRORS) {
            let place = error
                .pointer
                .as_deref()
                .or(error.parameter.as_deref())
                .unwrap_or_default();
            let place = if place.is_empty() {
                "the whole input"
            } else {
                place
            };
            let _ = writeln!(text, "  {place}\n    {}", error.detail);
        }
        text
    }
}

/// A detail that stands alone, without its entry.
fn located(pointer: &str, detail: &str) -> String {
    if pointer.is_empty() {
        detail.to_owned()
    } else {
        format!("{pointer}: {detail}")
    }
}

impl From<Faults> for Problem {
    fn from(faults: Faults) -> Self {
        let list = faults.list();
        let detail = match list {
            [only] => located(&only.pointer, &only.detail),
            several => format!("{} things are wrong; see errors.", several.len()),
        };
        Self {
            errors: list
                .iter()
                .map(|f| ErrorEntry::at(f.kind.code(), f.pointer.clone(), f.detail.clone()))
                .collect(),
            ..Self::new(Code::InvalidInput, detail)
        }
    }
}

impl std::fmt::Display for Problem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}: {}", self.code.name(), self.detail)
    }
}

impl std::error::Error for Problem {}
