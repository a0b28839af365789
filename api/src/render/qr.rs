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
        for (column, module) in modules.iter().enumerate() {
            if *module == Color::Dark {
                let (x, y) = (column.saturating_add(QUIET), row.saturating_add(QUIET));
                let _ = write!(path, "M{x} {y}h1v1h-1z");
            }
        }
    }
    Some(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {side} {side}\" class=\"qr\" role=\"img\" aria-label=\"QR code of the record\" shape-rendering=\"crispEdges\"><path d=\"M0 0h{side}v{side}h-{side}z\" fill=\"#fff\"/><path d=\"{path}\"/></svg>"
    ))
}
