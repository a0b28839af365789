//! The silver book: append-only entries about containers, folded into what each holds and where the
//! silver went.
//!
//! Nothing is edited or removed: an entry that was wrong is reversed by another. Silver only moves
//! from one named place to another, so that none is made or lost in the sums.

mod account;
mod entry;
mod fold;
mod holding;
mod network;

pub use account::{
    AccountLine, AccountReconciliation, Adjustment, ContainerBalance, LineKind, METHODS,
    MOST_ENTRIES, RecoveryFigures, ShipmentBalance, SilverAccount, SilverAccountRequest,
    SilverMovement, Suspect, account_silver,
};
pub use entry::*;
pub use fold::{Book, Place, fold};
pub use holding::Holding;
