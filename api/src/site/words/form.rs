//! The words of `site::form`.

/// How a problem of the service asks for a number, and how a page does.
pub(in crate::site) const NUMBER_IN_JSON: &str =
    "a JSON number, or a string holding one, such as 22.86, \"22.86\" or 1.2e-3";
pub(in crate::site) const NUMBER_ON_PAPER: &str =
    "a number in digits, with a point and no comma before its decimals, such as 22.86";
/// The same where a comma is the decimal mark.
pub(in crate::site) const NUMBER_WITH_COMMA: &str = "a number in digits, with one comma or point before its decimals and nothing between its thousands, such as 22,86";
/// What is said of a question that needs an answer.
pub(in crate::site) const MISSING: &str = "missing: an answer is needed";
pub(in crate::site) const FORM_CANNOT_BE_READ: &str = "The form cannot be read.";
pub(in crate::site) const FORM_IS_NOT_WHOLE: &str = "The form is not whole. Open its page again.";
