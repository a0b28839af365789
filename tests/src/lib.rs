//! Helpers that the black-box tests share.
