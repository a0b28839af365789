//! Which media type a client prefers.

use actix_web::HttpRequest;
use actix_web::http::header::{self, HeaderName};

/// Index of the media type that the `Accept` header likes best; the first offered wins a tie.
pub(crate) fn negotiate(req: &HttpRequest, offered: &[&str]) -> Option<usize> {
    let accept = header_text(req, &header::ACCEPT);
    if accept.trim().is_empty() {
        return Some(0);
    }
    let mut best: Option<(f32, usize)> = None;
    for (index, media_type) in offered.iter().enumerate() {
        let quality = quality_of(accept, media_type);
        if quality > 0.0 && best.is_none_or(|(q, _)| quality > q) {
            best = Some((quality, index));
        }
    }
    best.map(|(_, index)| index)
}

/// The quality that the most specific matching range gives a media type.
fn quality_of(accept: &str, media_type: &str) -> f32 {
    let family = media_type.split('/').next().unwrap_or_default();
    let mut found = (0, 0.0);
    for range in accept.split(',') {
        let mut parts = range.split(';').map(str::trim);
        let name = parts.next().unwrap_or_default();
        let specific = if name.eq_ignore_ascii_case(media_type) {
            3
        } else if name
            .strip_suffix("/*")
            .is_some_and(|f| f.eq_ignore_ascii_case(family))
        {
            2
        } else if name == "*/*" {
            1
        } else {
            continue;
        };
        let quality = parts
            .find_map(|p| p.strip_prefix("q=").or_else(|| p.strip_prefix("Q=")))
            .map_or(1.0, |q| q.trim().parse().unwrap_or(0.0));
        if specific > found.0 {
            found = (specific, quality);
        }
    }
    found.1
}

/// A header as text; empty when absent or not ASCII.
pub(crate) fn header_text<'a>(req: &'a HttpRequest, name: &HeaderName) -> &'a str {
    req.headers()
        .get(name)
        .and_then(|v| v.to_str().ok())
        .unwrap_or_default()
}
