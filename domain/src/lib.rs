//! Silver, waste and money: the pure calculations behind Spent Silver.
//!
//! Nothing here reads a file, a clock or the network. Prices, terms, rule sets and dates are
//! arguments. Each calculation is a plain function from an input, which is also the JSON shape of
//! the request, to an answer that carries its methods, assumptions, references, warnings and notice.
#![deny(missing_docs)]
#![warn(clippy::arithmetic_side_effects)]

pub mod answer;
pub mod batch;
pub mod bath_care;
pub mod bibliography;
pub mod budget;
pub mod chemistry;
mod data;
pub mod decision;
pub mod document;
pub mod estimate;
pub mod fault;
pub mod ledger;
pub mod procedure;
pub mod quantity;
pub mod recovery;
pub mod report;
mod short_hash;
pub mod statistics;
pub mod substance;
pub mod valuation;
pub mod waste;
