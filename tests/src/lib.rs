//! Helpers that the black-box tests share.

pub mod published;
