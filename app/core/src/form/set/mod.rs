//! Reads the forms of sets: a new one, one taken apart.

pub mod new;
pub mod part;
