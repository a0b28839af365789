//! The words of `site::control`.

pub(in crate::site) const WRONG: &str = "This was not taken";
pub(in crate::site) const WRONG_MORE: &str =
    "Nothing was written down. What you typed still stands below.";
pub(in crate::site) const DONT_KNOW: &str = "don't know";
/// Before a sum that a script shows.
pub(in crate::site) const TOGETHER: &str = "Together";
pub(in crate::site) const ALL_OF_IT: &str = "all of it";
pub(in crate::site) const OTHER_SIZE: &str = "another size, or none:";
pub(in crate::site) const ABOUT: &str = "You may say how far off it can be: 4.5 ± 0.1, or 4 to 5";
pub(in crate::site) const YES: &str = "yes";
pub(in crate::site) const NO: &str = "no";
pub(in crate::site) const CHOOSE: &str = "choose";
pub(in crate::site) const UNIT_OF: &str = "Unit of: ";
pub(in crate::site) const WIDTH_CM: &str = "Width, cm";
pub(in crate::site) const HEIGHT_CM: &str = "Height, cm";
pub(in crate::site) const NEEDED: &str = "needed";
