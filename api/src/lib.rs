//! Everything impure: HTTP, the contract, the price feed, pages, rendering and the command line.
#![deny(missing_docs)]

pub mod book;
pub mod command;
pub mod config;
pub mod contract;
pub mod described;
mod json;
mod limits;
mod listing;
mod negotiation;
pub mod operation;
pub mod pages;
pub mod price_feed;
pub mod problem;
pub mod reader;
pub mod render;
pub mod resource;
mod rule_sets;
pub mod server;
mod site;
pub mod store;

/// The heap of every program of the service. An answer is some thousands of small pieces, made and
/// dropped together.
#[global_allocator]
static HEAP: mimalloc::MiMalloc = mimalloc::MiMalloc;
