//! The words of `site::about`.

pub(in crate::site) const TITLE: &str = "About this studio";
pub(in crate::site) const SEND: &str = "Keep this";
pub(in crate::site) const ADDRESS: &str = "Address, on one line";
pub(in crate::site) const NUMBER: &str = "The number its authority gave it";
pub(in crate::site) const OTHER: &str = "Other hazardous waste of the site in a month";
pub(in crate::site) const OTHER_HELP: &str = "Besides what is in this book. The law counts all of it together: nothing is 0, not known is left open.";
pub(in crate::site) const ACUTE: &str = "Other acutely hazardous waste of the site in a month";
pub(in crate::site) const ACUTE_HELP: &str =
    "Cyanides are such a waste in the United States. Nothing is 0.";
pub(in crate::site) const DISTANCE: &str = "How far does the waste travel?";
pub(in crate::site) const DISTANCE_HELP: &str = "A long way may give a longer time to keep it.";
