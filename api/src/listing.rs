//! Lists: a page of a few entries, and a cursor that leads to the next.

use crate::problem::{Code, ErrorEntry, Problem};
use crate::resource::{Answered, fixed};
use actix_web::{HttpRequest, web};
use serde::Serialize;
use std::borrow::Cow;
use utoipa::openapi::schema::{ArrayBuilder, ObjectBuilder, SchemaType, Type};
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

/// Entries of a list when the request names no limit.
const USUAL_LIMIT: usize = 50;
/// Most entries of a list.
const MOST_LIMIT: usize = 200;

/// One page of a list.
#[derive(Debug, Serialize)]
pub struct Page<T> {
    /// The entries.
    pub items: Vec<T>,
    /// Cursor of the next page; null on the last.
    pub next_cursor: Option<String>,
}

impl<T: ToSchema> PartialSchema for Page<T> {
    fn schema() -> RefOr<Schema> {
        RefOr::T(Schema::Object(
            ObjectBuilder::new()
                .description(Some("One page of a list."))
                .property(
                    "items",
                    ArrayBuilder::new().items(Ref::from_schema_name(T::name())),
                )
                .property(
                    "next_cursor",
                    ObjectBuilder::new()
                        .schema_type(SchemaType::from_iter([Type::String, Type::Null]))
                        .description(Some("Cursor of the next page; null on the last.")),
                )
                .required("items")
                .required("next_cursor")
                .build(),
        ))
    }
}

impl<T: ToSchema> ToSchema for Page<T> {
    fn name() -> Cow<'static, str> {
        format!("{}Page", T::name()).into()
    }

    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        schemas.push((T::name().into_owned(), T::schema()));
        T::schemas(schemas);
    }
}

/// Answers with the page that the query asks for; `key` names an entry and the order is fixed.
pub(crate) fn list<'a, T: Serialize + 'a>(
    req: &HttpRequest,
    items: impl Iterator<Item = &'a T>,
    key: fn(&T) -> &str,
) -> Answered {
    let mut limit = USUAL_LIMIT;
    let mut after = None;
    for (name, value) in parameters(req)? {
        match name.as_str() {
            "limit" => {
                limit = value
                    .parse()
                    .ok()
                    .filter(|l| (1..=MOST_LIMIT).contains(l))
                    .ok_or_else(|| {
                        refused(
                            "limit",
                            "out_of_range",
                            format!("`{value}` is out of range: expected 1 to {MOST_LIMIT}"),
                        )
                    })?;
            }
            "cursor" => after = Some(value),
            other => {
                return Err(refused(
                    other,
                    "unknown",
                    "not a parameter of this list: expected limit or cursor".to_owned(),
                ));
            }
        }
    }
    let mut items = items.peekable();
    if let Some(cursor) = after {
        let wrong = || {
            refused(
                "cursor",
                "invalid_value",
                "not a cursor of this list: expected `next_cursor` of an earlier answer".to_owned(),
            )
        };
        let last = from_cursor(&cursor).ok_or_else(wrong)?;
        items
            .by_ref()
            .find(|item| key(item) == last)
            .ok_or_else(wrong)?;
    }
    let mut page: Vec<&T> = Vec::new();
    while page.len() < limit {
        match items.next() {
            Some(item) => page.push(item),
            None => break,
        }
    }
    let next_cursor = match (items.peek(), page.last()) {
        (Some(_), Some(last)) => Some(to_cursor(key(last))),
        _ => None,
    };
    let body = serde_json::to_string(&Page {
        items: page,
        next_cursor,
    })
    .map_err(|_| Problem::internal())?;
    fixed(req, "application/json", Cow::Owned(body))
}

fn parameters(req: &HttpRequest) -> Result<Vec<(String, String)>, Problem> {
    web::Query::<Vec<(String, String)>>::from_query(req.query_string())
        .map(web::Query::into_inner)
        .map_err(|_| Problem::new(Code::InvalidParameter, "The query cannot be read."))
}

fn refused(parameter: &str, code: &'static str, detail: String) -> Problem {
    let parameter: String = parameter.chars().take(80).collect();
    Problem::new(Code::InvalidParameter, format!("{parameter}: {detail}"))
        .with(ErrorEntry::parameter(code, parameter, detail))
}

/// A cursor holds the key of the last entry; its form may change.
fn to_cursor(key: &str) -> String {
    key.bytes().map(|b| format!("{b:02x}")).collect()
}

fn from_cursor(cursor: &str) -> Option<String> {
    if cursor.len() > 400 || !cursor.is_ascii() || !cursor.len().is_multiple_of(2) {
        return None;
    }
    let bytes: Option<Vec<u8>> = (0..cursor.len())
        .step_by(2)
        .map(|at| u8::from_str_radix(cursor.get(at..at + 2)?, 16).ok())
        .collect();
    String::from_utf8(bytes?).ok()
}
