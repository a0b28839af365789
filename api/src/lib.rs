//! Everything impure: HTTP, the contract, the price feed, pages, rendering and the command line.

pub mod render;
