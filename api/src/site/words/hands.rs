//! The words of `site::hands`.

pub(in crate::site) const TITLE: &str = "How far each container's time has run";
pub(in crate::site) const CAPTION: &str = "Each bar runs from the day it counts from to the day it must have left: full is what has gone, empty is what is left, hatched is what is over the day. A dashed frame is a limit that perhaps holds. The line across is today.";
pub(in crate::site) const FIRST: &str =
    "The picture shows those that fall due first; all of them stand in the list above.";
pub(in crate::site) const TODAY: &str = "today";
pub(in crate::site) const PERHAPS_BY: &str = ", perhaps by ";
pub(in crate::site) const CONTAINER: &str = "Container";
pub(in crate::site) const COUNTS_FROM: &str = "Counts from";
pub(in crate::site) const MUST_HAVE_LEFT: &str = "Must have left";
pub(in crate::site) const DAYS_LEFT: &str = "Days left";
pub(in crate::site) const PERHAPS: &str = "perhaps";
pub(in crate::site) const BY: &str = ", by ";
