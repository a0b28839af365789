//! The words of `site::due`.

pub(in crate::site) const TITLE: &str = "What is due, and when";
pub(in crate::site) const NOTHING: &str = "Nothing falls due by this book. That is no permission: what is not written down, it does not know.";
pub(in crate::site) const LATER: &str = "What falls due later";
pub(in crate::site) const FIRST: &str = "What falls due first";
pub(in crate::site) const WHY: &str = "Why each container's days run, or do not";
pub(in crate::site) const ACT_TODAY: &str = "act today: keeping it is a danger";
pub(in crate::site) const MUST_HAVE_LEFT: &str = "must have left";
pub(in crate::site) const MAY_HAVE_TO_HAVE_LEFT: &str = "may have to have left";
pub(in crate::site) const LOOK_IT_OVER: &str = "look it over";
pub(in crate::site) const REFINERS_STATEMENT_IS_AWAITED: &str =
    "the refiner's statement is awaited";
pub(in crate::site) const TURNOVER: &str = "a share of the year's stock must have moved";
pub(in crate::site) const DRAW_UP_YEARS_ACCOUNT: &str = "draw up the year's account";
pub(in crate::site) const TODAY: &str = " (today)";
pub(in crate::site) const IN_SO_MANY: &str = " (in ";
pub(in crate::site) const DAYS_CLOSED: &str = " days)";
pub(in crate::site) const DAYS_AGO: &str = " days ago";
