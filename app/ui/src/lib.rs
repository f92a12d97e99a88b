//! Tripoise's pages.
