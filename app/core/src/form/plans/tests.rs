//! Plans as people make them.
