//! Black-box tests over HTTP, published values and simulations, in one binary: a binary apiece costs a link and its
//! disk. `cargo test -p spent-silver-tests NAME::` runs one file.

mod account_text;
mod book;
mod book_clock;
mod browser;
mod coverage;
mod http_contract;
mod http_operations;
mod http_price_feed;
mod http_service;
mod layout;
mod published;
mod register_text;
mod report_text;
mod rule_sets;
mod site;
mod site_language;
mod site_leaving;
mod site_money;
mod visitor;
