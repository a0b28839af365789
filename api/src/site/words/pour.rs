//! The words of `site::pour`.

pub(in crate::site) const TITLE: &str = "May this go into that?";
pub(in crate::site) const LEAD: &str =
    "Asked before pouring, it costs a minute. It also says what may not stand side by side.";
pub(in crate::site) const ASK: &str = "Ask";
pub(in crate::site) const FROM: &str = "What would you pour?";
pub(in crate::site) const INTO: &str = "Into which container, or beside which?";
pub(in crate::site) const BOTTLE: &str = "And something out of its own bottle?";
pub(in crate::site) const NOBODY: &str =
    "Choose two containers, or a container and something out of a bottle.";
pub(in crate::site) const NEVER_BLOCKED: &str =
    "Never pour, drip or rinse the one into the other, not even a little, not even outdoors.";
pub(in crate::site) const NEVER_UNKNOWN: &str =
    "Never pour to find out. What is not known is not known to be safe.";
pub(in crate::site) const APART: &str = "Where they may stand together";
pub(in crate::site) const INSTEAD: &str = "Instead";
pub(in crate::site) const WHY: &str = "What would happen";
pub(in crate::site) const LAW: &str = "What the law makes of it";
pub(in crate::site) const SILVER: &str = "What becomes of the silver";
pub(in crate::site) const NOT_PERMISSION: &str =
    "This is not a permission. What is not written down here, this answer does not know.";
pub(in crate::site) const HAPPENED: &str = "If it has happened";
pub(in crate::site) const HAPPENED_WORDS: &str = "Get out, shut the door, and call the emergency number. When people are safe, write it down as an accident: the sheet “Poured into another container” has a line for it.";
pub(in crate::site) const DO_NOT_POUR: &str = "Do not pour: it is not known to be safe.";
pub(in crate::site) const DONE_WITH_CARE: &str = "It is done, with care.";
pub(in crate::site) const NOTHING_IS_KNOWN_AGAINST_IT: &str = "Nothing is known against it.";
pub(in crate::site) const NOT_KNOWN_TO_BE_SAFE: &str = "not known to be safe";
pub(in crate::site) const WITH_CARE: &str = "with care";
pub(in crate::site) const NOTHING_KNOWN_AGAINST_IT: &str = "nothing known against it";
pub(in crate::site) const ONE_TRAY: &str = "one tray, bund or towel";
pub(in crate::site) const ONE_SINK: &str = "one sink";
pub(in crate::site) const ONE_CUPBOARD: &str = "one cupboard";
pub(in crate::site) const ONE_VEHICLE: &str = "one vehicle";
pub(in crate::site) const EACH_TWO: &str = "Each two";
pub(in crate::site) const WRITE_IT_DOWN: &str = "It was poured: write it down";
pub(in crate::site) const WITH: &str = " with ";
pub(in crate::site) const STOP: &str = "Stop. Do not pour.";
