//! The fold, tried on small worlds.
