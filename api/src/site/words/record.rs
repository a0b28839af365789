//! The words of `site::record`.

use std::fmt::Display;

pub(in crate::site) const TITLE: &str = "Write something down";
pub(in crate::site) const SEND: &str = "Write it in the book";
pub(in crate::site) const DONE: &str = "Written down";
pub(in crate::site) const NEVER: &str = "Never";
pub(in crate::site) const HOW: &str = "How it is done";
pub(in crate::site) const CHOOSE_FIRST: &str =
    "Come here from a container's own page, and the steps stand here, made for what is in it.";
pub(in crate::site) const LIMITS_FIRST: &str =
    "Come here from a container's own page, and what the rules say of it stands here.";
pub(in crate::site) const MORE: &str = "Write something else down";
pub(in crate::site) const TO_STUDIO: &str = "To all containers";
pub(in crate::site) const NO_CONTAINERS: &str =
    "There is no container in this book yet. Add one first.";
pub(in crate::site) const READER: &str =
    "You may read this book, and not write in it: ask for a writer's token.";
pub(in crate::site) const THERE_IS_NO_SUCH_SHEET: &str = "There is no such sheet in this book.";
pub(in crate::site) const ADD_CONTAINER: &str = "Add a container";
pub(in crate::site) const WHAT_RULES_SAY_OF: &str = "What the rules say of ";
pub(in crate::site) const MG_L: &str = " mg/L: ";
pub(in crate::site) const LOOK_AT: &str = "Look at ";
pub(in crate::site) const ADD_ANOTHER_CONTAINER: &str = "Add another container";
pub(in crate::site) const ENTRY: &str = "Entry ";
pub(in crate::site) const WHAT_WAS_ASSUMED: &str = "What was assumed (";

pub(in crate::site) fn as_written(typed: impl Display) -> String {
    format!("As written down: {typed}")
}
