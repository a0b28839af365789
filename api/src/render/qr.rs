//! A QR code as a picture.

use qrcode::{Color, EcLevel, QrCode};
use std::fmt::Write as _;

/// Modules of white around a code, as the standard asks.
const QUIET: usize = 4;

/// A QR code as SVG; none where the text is too long for one.
#[must_use]
pub fn svg(text: &str) -> Option<String> {
    let code = QrCode::with_error_correction_level(text, EcLevel::M).ok()?;
    let width = code.width();
    let side = width.saturating_add(QUIET.saturating_mul(2));
    let mut path = String::new();
    for (row, modules) in code.to_colors().chunks(width).enumerate() {
        // Dark modules beside each other are one bar: fewer to draw, and no seams between them.
        let mut column = QUIET;
        for bar in modules.chunk_by(|a, b| a == b) {
            let (y, long) = (row.saturating_add(QUIET), bar.len());
            if bar.first() == Some(&Color::Dark) {
                let _ = write!(path, "M{column} {y}h{long}v1h-{long}z");
            }
            column = column.saturating_add(long);
        }
    }
    Some(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {side} {side}\" class=\"qr\" role=\"img\" aria-label=\"QR code of the record\" shape-rendering=\"crispEdges\"><path d=\"M0 0h{side}v{side}h-{side}z\" fill=\"#fff\"/><path d=\"{path}\"/></svg>"
    ))
}
