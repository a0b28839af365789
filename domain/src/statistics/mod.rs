//! First-order uncertainty, the combination of several estimates, and chance.
//!
//! Everything here is binary floating point: squares of small uncertainties vanish in a decimal.

mod combine;
mod distribution;
mod limited;
mod reconcile;
mod uncertain;

pub use combine::{Combined, combine, combine_moved};
pub use distribution::{Belief, chi_square_tail, normal_cdf, normal_quantile};
pub use limited::Limited;
pub use reconcile::{
    Balance, Irreconcilable, Reading, Reconciled, Reconciliation, SIGNIFICANCE, reconcile,
};
pub use uncertain::{Contribution, InputId, Inputs, Uncertain};
