//! What one piece of evidence points to, before anything is combined.

use crate::statistics::Uncertain;

/// Grams of silver, or bounds on them.
#[derive(Debug, Clone)]
pub(super) enum Finding {
    /// A figure.
    Point(Uncertain),
    /// Bounds only: `lower` and `upper` times `scale`, an uncertain factor near its own value
    /// (the volume, most often).
    Bounds {
        lower: f64,
        upper: Option<f64>,
        scale: Uncertain,
    },
    /// Silver that went out of the batch.
    Removed(Uncertain),
}
