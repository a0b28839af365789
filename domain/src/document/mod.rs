//! Pieces of paper as a typed tree, and one builder per document.
