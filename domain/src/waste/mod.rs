//! What the waste is in law, what may be poured into what, and how it is made safe.

pub mod classification;
pub mod contents;
pub mod neutralization;
pub mod pour;
pub mod rule_set;
pub mod storage;
pub mod transport;
