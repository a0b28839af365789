//! Pour checks: may this go into that, or share a tray, sink, cupboard or vehicle with it?
//!
//! The rules are data. They are written in hazard groups, hold whichever side a group comes from,
//! and name every pair of groups; the gravest rule that holds decides, so that adding something
//! never turns a no into a yes.

mod check;
mod compatibility;
mod procedure;
mod table;

pub use check::{
    LawReason, MOST_BESIDE, PourCheck, PourCheckRequest, PourPair, PourReason, PourSafety,
    SharedPlaces, check_pour, check_pour_between, check_pour_of,
};
pub use compatibility::{Compatibility, compatibility};
pub use procedure::{check_act, check_procedure};
pub(crate) use procedure::{check_act_on, check_procedure_on, objection_to};
pub use table::{Act, Apart, PourVerdict, objection, sources, verdict_of};

pub(crate) use check::bottle;
pub(crate) use table::{act_rules, call, dilute_marks, ph_marks, working_bath};
