//! How answers look to people: text for a terminal, HTML and PDF for a printer. JSON is the tree itself.
//!
//! A renderer rounds nothing and leaves nothing out: what a paper says was decided when it was
//! drawn up.

pub mod budget;
pub mod chart;
pub mod html;
#[cfg(feature = "pdf")]
pub mod pdf;
mod pictogram;
mod qr;
pub mod report;
pub mod text;
