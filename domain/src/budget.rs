//! What silver costs per plate and per period, net of recovery.
