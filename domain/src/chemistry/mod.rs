//! Species, molar masses, the equilibrium solver, acid-base and electrochemistry.

pub mod constants;
pub mod faraday;
