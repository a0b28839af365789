//! Every English text of the pages: one module per page, of the page's own name. A sentence around a
//! figure that stands out on the page is given in its pieces, in their order; one that is plain text is
//! a function of what it tells. What a calculation or a paper says is theirs, not the pages'.
//!
//! A translation gives each module a second set of the same names.

pub(super) mod about;
pub(super) mod account;
pub(super) mod container;
pub(super) mod container_sheet;
pub(super) mod control;
pub(super) mod cost;
pub(super) mod due;
pub(super) mod flow;
pub(super) mod form;
pub(super) mod hands;
pub(super) mod home;
pub(super) mod layout;
pub(super) mod leaving_sheets;
pub(super) mod login;
pub(super) mod lot;
pub(super) mod measure;
pub(super) mod papers;
pub(super) mod plan;
pub(super) mod pour;
pub(super) mod reading_sheets;
pub(super) mod record;
pub(super) mod sheet;
pub(super) mod statement;
pub(super) mod studio;
pub(super) mod terms;
pub(super) mod work_sheets;
pub(super) mod worth;

/// A studio that this token may not make.
pub(super) const NOT_THIS_TOKEN: &str =
    "Studios are made by the operator: this token is of one studio.";
pub(super) const FOREIGN_FORM: &str =
    "This form was sent from another page. Open the page here, and send it again.";
pub(super) const OLD_FORM: &str = "This form is of another visit, or older than this service's last start. Open the page again; what you typed is still in the one before.";
