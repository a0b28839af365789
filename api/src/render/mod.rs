//! How answers look to people: text for a terminal, HTML and PDF for a printer. JSON is the tree itself.
//!
//! A renderer rounds nothing and leaves nothing out: what a paper says was decided when it was
//! drawn up.

pub mod account;
pub mod budget;
pub mod chart;
#[cfg(feature = "pdf")]
mod fit;
pub mod html;
#[cfg(feature = "pdf")]
pub mod pdf;
mod pictogram;
mod qr;
pub mod register;
pub mod report;
pub mod text;

/// Whether a mark turns the direction of reading, so that a line would say something else than was
/// typed.
pub(crate) const fn turns(letter: char) -> bool {
    matches!(letter, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}'
        | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

/// A mark as its number, so that a reader sees that something stood there.
pub(crate) fn by_number(letter: char) -> String {
    format!("[U+{:04X}]", u32::from(letter))
}
