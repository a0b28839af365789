//! The words of `site::account`.

use std::fmt::Display;

pub(in crate::site) const TITLE: &str = "The year's silver";
pub(in crate::site) const FROM: &str = "From the first day";
pub(in crate::site) const UNTIL: &str = "To the last day";
pub(in crate::site) const SEND: &str = "Show this time";
pub(in crate::site) const LINES: &str = "What there was, what came, what went";
pub(in crate::site) const SHIPMENTS: &str = "Shipments";
pub(in crate::site) const CHECKED: &str = "Do readings and records agree?";
pub(in crate::site) const UNCHECKED: &str = "Nothing checks these records: a titration, a laboratory's figure or a refiner's statement would.";
pub(in crate::site) const TO: &str = " to ";
pub(in crate::site) const SILVER: &str = "Silver";
pub(in crate::site) const AMOUNT: &str = "Amount";
pub(in crate::site) const BESIDES: &str = "Besides";
pub(in crate::site) const UNKNOWN: &str = " unknown";
pub(in crate::site) const SHIPMENT: &str = "Shipment";
pub(in crate::site) const SENT: &str = "Sent";
pub(in crate::site) const SETTLED: &str = "Settled";
pub(in crate::site) const DOES_REFINERS_STATEMENT_AGREE: &str =
    ": does the refiner's statement agree?";
pub(in crate::site) const NOT_YET: &str = "not yet";
pub(in crate::site) const YES_WITHIN_CHANCE: &str = "Yes, within chance.";
pub(in crate::site) const NO_MORE_THAN_CHANCE_ALLOWS: &str = "No: more than chance allows.";
pub(in crate::site) const INDEPENDENT_CHECKS: &str = " independent checks.";
pub(in crate::site) const LOOK_AT_THESE_FIRST: &str = "Look at these first:";
pub(in crate::site) const ENTRY: &str = "entry ";
pub(in crate::site) const START_OF: &str = "the start of ";
pub(in crate::site) const START: &str = "the start";
pub(in crate::site) const RECORDED: &str = ": recorded ";
pub(in crate::site) const ALL_ELSE_SAYS: &str = ", all else says ";

pub(in crate::site) fn ends_before(until: impl Display, from: impl Display) -> String {
    format!("{until} is before {from}: expected a later day")
}
