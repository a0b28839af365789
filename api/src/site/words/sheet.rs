//! The words of `site::sheet`.

pub(in crate::site) const ON: &str = "On which day?";
pub(in crate::site) const BY: &str = "Who writes this down?";
pub(in crate::site) const NOTE: &str = "Anything else";
pub(in crate::site) const NEW_CONTAINER: &str = "A new container";
pub(in crate::site) const WORK_THAT_WAS_DONE: &str = "Work that was done";
pub(in crate::site) const READING_OF_SILVER: &str = "A reading of the silver";
pub(in crate::site) const SOMETHING_LEFT: &str = "Something left, or went wrong";
