//! Ways of getting the silver out of a batch, worked out for it: one file per process.
