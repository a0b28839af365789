//! The tests of the program: its commands, its papers, its server, in one binary: a binary apiece costs a link and its
//! disk. `cargo test -p spent-silver NAME::` runs one file.

mod book;
mod command_line;
mod render_demo_documents;
mod render_documents;
mod render_text_kit;
mod serve;
mod service;
