//! Pour checks: may this go into that, or share a tray, sink, cupboard or vehicle with it?
//!
//! The rules are data. They are written in hazard groups, hold whichever side a group comes from,
//! and name every pair of groups; the gravest rule that holds decides, so that adding something
//! never turns a no into a yes.

mod check;
mod procedure;
mod table;

pub use check::{
    LawReason, PourCheck, PourCheckRequest, PourReason, PourSafety, SharedPlaces, check_pour,
    check_pour_between,
};
pub use procedure::{check_act, check_procedure};
pub use table::{Act, Apart, PourVerdict, objection, sources, verdict_of};

pub(crate) use table::{act_rules, call, working_bath};
