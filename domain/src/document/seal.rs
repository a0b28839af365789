//! The name and the fingerprint of a document: what its QR code carries.

use super::tree::{Document, DocumentKind};
use crate::quantity::Date;
use serde_json::Value;
use sha2::{Digest as _, Sha256};
use std::fmt::Write as _;

/// The name a document is filed under: kind, what it is about, day.
pub(super) fn record_id(kind: DocumentKind, about: Option<&str>, on: Date) -> String {
    let kind = serde_json::to_value(kind).ok();
    let kind = kind.as_ref().and_then(Value::as_str).unwrap_or("document");
    match about {
        Some(about) => format!("{kind}/{about}/{on}"),
        None => format!("{kind}/{on}"),
    }
}

/// Canonical JSON by RFC 8785: members sorted by their UTF-16 code units, no white space, strings
/// with the fewest escapes. The documents hold no fractions as JSON numbers; whole numbers are
/// written as they are.
///
/// ```
/// use spent_silver_domain::document::canonical_json;
/// let value = serde_json::json!({"b": [true, null], "a": "€\n"});
/// assert_eq!(canonical_json(&value), "{\"a\":\"€\\n\",\"b\":[true,null]}");
/// ```
#[must_use]
pub fn canonical_json(value: &Value) -> String {
    let mut out = String::new();
    write_value(&mut out, value);
    out
}

fn write_value(out: &mut String, value: &Value) {
    match value {
        Value::Null => out.push_str("null"),
        Value::Bool(true) => out.push_str("true"),
        Value::Bool(false) => out.push_str("false"),
        Value::Number(number) => {
            let _ = write!(out, "{number}");
        }
        Value::String(text) => write_string(out, text),
        Value::Array(items) => {
            out.push('[');
            for (i, item) in items.iter().enumerate() {
                if i > 0 {
                    out.push(',');
                }
                write_value(out, item);
            }
            out.push(']');
        }
        Value::Object(members) => {
            let mut members: Vec<_> = members.iter().collect();
            members.sort_by(|(a, _), (b, _)| a.encode_utf16().cmp(b.encode_utf16()));
            out.push('{');
            for (i, (name, member)) in members.into_iter().enumerate() {
                if i > 0 {
                    out.push(',');
                }
                write_string(out, name);
                out.push(':');
                write_value(out, member);
            }
            out.push('}');
        }
    }
}

/// RFC 8785, section 3.2.2.2.
fn write_string(out: &mut String, text: &str) {
    out.push('"');
    for letter in text.chars() {
        match letter {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\u{8}' => out.push_str("\\b"),
            '\t' => out.push_str("\\t"),
            '\n' => out.push_str("\\n"),
            '\u{c}' => out.push_str("\\f"),
            '\r' => out.push_str("\\r"),
            c if u32::from(c) < 0x20 => {
                let _ = write!(out, "\\u{:04x}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
}

impl Document {
    /// The document with its fingerprint: SHA-256 of its canonical JSON, the fingerprint left out.
    #[must_use]
    pub fn sealed(mut self) -> Self {
        self.sha256 = None;
        if let Ok(value) = serde_json::to_value(&self) {
            let digest = Sha256::digest(canonical_json(&value).as_bytes());
            self.sha256 = Some(digest.iter().fold(String::new(), |mut hex, byte| {
                let _ = write!(hex, "{byte:02x}");
                hex
            }));
        }
        self
    }

    /// What the QR code says: the document's name and its fingerprint.
    #[must_use]
    pub fn code(&self) -> String {
        let hash = self.sha256.as_deref().unwrap_or("none");
        format!("{} sha256:{hash}", self.record_id)
    }
}
