//! The `spent-silver` program.

fn main() {}
