//! What every handler asks of a request, and how it answers.

use super::{Answered, Call, JSON};
use crate::listing::Page;
use crate::negotiation::header_text;
use crate::problem::{Code, ErrorEntry, Problem};
use crate::server::State;
use crate::store::Store;
use actix_web::http::StatusCode;
use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};

pub(super) fn query(req: &HttpRequest) -> Result<Vec<(String, String)>, Problem> {
    web::Query::<Vec<(String, String)>>::from_query(req.query_string())
        .map(web::Query::into_inner)
        .map_err(|_| Problem::new(Code::InvalidParameter, "The query cannot be read."))
}

pub(super) fn refused_parameter(name: &str, code: &'static str, detail: String) -> Problem {
    let name: String = name.chars().take(80).collect();
    Problem::new(Code::InvalidParameter, format!("{name}: {detail}"))
        .with(ErrorEntry::parameter(code, name, detail))
}

impl Call {
    pub(super) fn state(&self) -> Result<&web::Data<State>, Problem> {
        self.req
            .app_data::<web::Data<State>>()
            .ok_or_else(Problem::internal)
    }

    pub(super) fn store(&self) -> Result<&Store, Problem> {
        Ok(&self.state()?.store)
    }

    /// A segment of the path.
    pub(super) fn segment(&self, name: &str) -> &str {
        self.req.match_info().get(name).unwrap_or_default()
    }

    /// The name of the studio in the path.
    pub(super) fn studio(&self) -> &str {
        self.segment("studio")
    }

    /// A query parameter.
    pub(super) fn parameter(&self, name: &str) -> Result<Option<String>, Problem> {
        let found = query(&self.req)?.into_iter().find(|(n, _)| n == name);
        Ok(found.map(|(_, value)| value))
    }

    /// A query parameter, read by `read`, which says what would be right.
    pub(super) fn parsed<T>(
        &self,
        name: &str,
        read: impl FnOnce(&str) -> Result<T, String>,
    ) -> Result<Option<T>, Problem> {
        self.parameter(name)?
            .map(|value| read(&value).map_err(|e| refused_parameter(name, "invalid_value", e)))
            .transpose()
    }

    /// How many entries are asked for, and after which.
    pub(super) fn paging(&self) -> Result<(i64, i64), Problem> {
        let limit = self.parsed("limit", |value| {
            value
                .parse()
                .ok()
                .filter(|limit| (1..=200).contains(limit))
                .ok_or_else(|| format!("`{value}` is out of range: expected 1 to 200"))
        })?;
        let after = self.parsed("cursor", |value| {
            from_cursor(value).ok_or_else(|| {
                "not a cursor of this list: expected `next_cursor` of an earlier answer".to_owned()
            })
        })?;
        Ok((limit.unwrap_or(50), after.unwrap_or(0)))
    }

    /// The key under which the request may come again: a plain text of 1 to 64 characters, in quotation
    /// marks (as the draft has it) or without.
    pub(super) fn key(&self) -> Result<String, Problem> {
        let given = header_text(
            &self.req,
            &header::HeaderName::from_static("idempotency-key"),
        );
        let bare = given
            .strip_prefix('"')
            .and_then(|g| g.strip_suffix('"'))
            .unwrap_or(given);
        let good = (1..=64).contains(&bare.len())
            && bare
                .bytes()
                .all(|b| b.is_ascii_graphic() && b != b'"' && b != b'\\');
        if good {
            return Ok(bare.to_owned());
        }
        let detail = "expected a text of 1 to 64 characters without spaces, new for each new request, such as a UUID";
        Err(Problem::new(
            Code::IdempotencyKeyMissing,
            format!("Idempotency-Key: {detail}."),
        )
        .with(ErrorEntry::parameter("missing", "Idempotency-Key", detail)))
    }

    /// What the key stands for: the path and the body.
    pub(super) fn payload(&self) -> Vec<u8> {
        let mut payload = format!("{} {}\n", self.req.method(), self.req.path()).into_bytes();
        payload.extend_from_slice(&self.body);
        payload
    }
}

pub(crate) fn now() -> jiff::Timestamp {
    jiff::Timestamp::now()
}

/// A cursor holds the number of the last entry; its form may change.
pub(super) fn to_cursor(last: i64) -> String {
    format!("n{last:x}")
}

pub(super) fn from_cursor(cursor: &str) -> Option<i64> {
    let number = i64::from_str_radix(cursor.strip_prefix('n')?, 16).ok()?;
    (number >= 0).then_some(number)
}

/// A page of a list of which one more than `limit` was read, to know whether there is more.
pub(super) fn page<T>(mut items: Vec<T>, limit: i64, place: impl Fn(&T) -> i64) -> Page<T> {
    let limit = usize::try_from(limit).unwrap_or(usize::MAX);
    let more = items.len() > limit;
    items.truncate(limit);
    let next_cursor = items
        .last()
        .filter(|_| more)
        .map(|last| to_cursor(place(last)));
    Page { items, next_cursor }
}

pub(crate) fn respond(status: u16, media_type: &str, body: impl Into<Vec<u8>>) -> HttpResponse {
    let status = StatusCode::from_u16(status).unwrap_or(StatusCode::OK);
    let content_type = match media_type {
        JSON | "application/pdf" => media_type.to_owned(),
        letters => format!("{letters}; charset=utf-8"),
    };
    HttpResponse::build(status)
        .content_type(content_type)
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .body(body.into())
}

pub(super) fn json<T: serde::Serialize>(value: &T) -> Answered {
    let body = crate::json::to_vec(value).map_err(|_| Problem::internal())?;
    Ok(respond(200, JSON, body))
}
