//! Species, molar masses, the equilibrium solver, acid-base and electrochemistry.

pub mod constants;
pub mod dosing;
pub mod electrode;
pub mod equilibria;
pub mod faraday;
pub mod formula;
pub mod iodide;
pub mod liquor;
pub mod neutralization;
pub mod prediction;
pub mod proof;
pub mod reagent;
pub mod solver;
pub mod species;
pub mod system;
