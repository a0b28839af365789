//! The words of `site::studio`.

use std::fmt::Display;

pub(in crate::site) const EMPTY_BOOK: &str =
    "The book is empty. Begin with the container that worries you most.";
pub(in crate::site) const ADD: &str = "Add a container";
pub(in crate::site) const RECORD: &str = "Record something";
pub(in crate::site) const PRINT: &str = "Print a paper";
pub(in crate::site) const POUR: &str = "May this go into that?";
pub(in crate::site) const ACCOUNT: &str = "The year's silver";
pub(in crate::site) const DUE: &str = "What is due, and when";
pub(in crate::site) const WORTH: &str = "Is it worth sending?";
pub(in crate::site) const COST: &str = "What silver costs";
pub(in crate::site) const ABOUT: &str = "About this studio";
pub(in crate::site) const TO_DO: &str = "What to do, the most urgent first";
pub(in crate::site) const CONTAINERS: &str = "Containers";
pub(in crate::site) const APART: &str = "Keep apart";
pub(in crate::site) const EVERYWHERE: &str = "Not even in one cupboard or vehicle:";
pub(in crate::site) const TRAY: &str = "No shared tray or sink:";
pub(in crate::site) const NOTHING: &str = "Nothing is due that this book knows of.";
pub(in crate::site) const LONG: &str = "There are more containers than one page works through. Here are their silver and their dangers; each container's own page says its next step.";
pub(in crate::site) const FIND: &str = "Find a container by its name";
pub(in crate::site) const SHOW: &str = "Find";
pub(in crate::site) const NONE_FOUND: &str = "No container has that in its name.";
pub(in crate::site) const FURTHER: &str = "Further containers";
pub(in crate::site) const WHAT_YOU_CAN_DO: &str = "What you can do";
pub(in crate::site) const AT_WORK: &str = "at work";
pub(in crate::site) const DONE_WITH: &str = "done with";
pub(in crate::site) const AT_WORK_OR_DONE_WITH: &str = "at work or done with: not said";
pub(in crate::site) const EMPTY: &str = "empty";
pub(in crate::site) const SINCE: &str = " since ";
pub(in crate::site) const MUST_HAVE_LEFT_BY: &str = "Must have left by ";
pub(in crate::site) const MAY_HAVE_TO_LEAVE_BY: &str = "May have to leave by ";
pub(in crate::site) const DANGER_SEE_ABOVE: &str = "A danger. See above.";

pub(in crate::site) fn both(one: impl Display, other: impl Display) -> String {
    format!("{one} and {other}")
}
