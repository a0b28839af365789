//! The silver book: append-only entries about containers, folded into what each holds and where the
//! silver went.
//!
//! Nothing is edited or removed: an entry that was wrong is reversed by another. Silver only moves
//! from one named place to another, so that none is made or lost in the sums.

mod account;
mod amounts;
mod arising;
mod clocks;
mod defaults;
mod entry;
mod fold;
mod holding;
mod network;
mod pen;
mod plates;
mod register;
mod result;
mod state;

pub use account::{
    METHODS, MOST_ENTRIES, account_book, account_silver, balance_container, balance_containers,
};
pub use clocks::{
    CLOCK_METHODS, Clock, ClockKind, Clocks, ClocksRequest, WatchedContainer, clocks_of_book,
    list_clocks,
};
pub use entry::*;
pub use fold::{Book, Place, fold};
pub use holding::Holding;
pub use plates::{RecordedPlates, recorded_plates};
pub use register::{
    REGISTER_METHODS, RegisterEvent, RegisterRow, RegisterTotal, WasteRegister,
    WasteRegisterRequest, list_waste_events, register_of_book,
};
pub use result::*;
pub use state::{Refused, State, amend};
