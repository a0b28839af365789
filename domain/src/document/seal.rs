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

impl Document {
    /// The document with its fingerprint: SHA-256 of its canonical JSON (RFC 8785), the
    /// fingerprint left out.
    #[must_use]
    pub fn sealed(mut self) -> Self {
        self.sha256 = None;
        if let Ok(canonical) = serde_json_canonicalizer::to_vec(&self) {
            let digest = Sha256::digest(canonical);
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
