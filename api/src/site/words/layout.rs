//! The words of `site::layout`.

use std::fmt::Display;

pub(in crate::site) const NAME: &str = "Spent Silver";
pub(in crate::site) const SKIP: &str = "Skip to what this page says";
pub(in crate::site) const STUDIOS: &str = "All studios";
pub(in crate::site) const FIRST: &str = "Local rules come first";
pub(in crate::site) const DOCS: &str = "For programs: the JSON service";
pub(in crate::site) const LOG_OUT: &str = "Log out";
pub(in crate::site) const ASSUMED: &str = "What was assumed";
pub(in crate::site) const FROM_ELSEWHERE: &str = "You come by a link from another page.";
pub(in crate::site) const GO_IN: &str = "Go in";
pub(in crate::site) const BACK: &str = "Back to the start";
pub(in crate::site) const WRITE_IT_THERE: &str = "write it under “About this studio”";
pub(in crate::site) const WHERE_YOU_ARE: &str = "Where you are";
pub(in crate::site) const RULES: &str = "Rules: ";
pub(in crate::site) const EDITION: &str = " (edition: ";
pub(in crate::site) const DANGER: &str = "Danger";
pub(in crate::site) const CAUTION: &str = "Caution";
pub(in crate::site) const NOTE: &str = "Note";

pub(in crate::site) fn and_more(count: impl Display) -> String {
    format!(" and {count} more")
}
