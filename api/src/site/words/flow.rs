//! The words of `site::flow`.

pub(in crate::site) const TITLE: &str = "Where the silver came from, and where it went";
pub(in crate::site) const CAPTION: &str = "Each bar is as thick as its silver; the hatched edge is its standard uncertainty. What is unknown is not in it.";
pub(in crate::site) const NOTHING: &str =
    "No silver with a figure is in this time: there is nothing to draw.";
/// What readings did not find again stands among what went out.
pub(in crate::site) const MISSED: &str = "Missing by readings, unexplained";
pub(in crate::site) const LACKING: &str = "Unknown when it came or went";
pub(in crate::site) const ABOUT: &str = "about ";
