//! Before loading: which posts stand together, and which shelf and set go into which layer.
pub mod assign;
pub mod grind;
mod mend;
pub mod sets;

pub use mend::{Dressing, Shimming};
pub use sets::{HeightSets, LoadPost, LoadSet, SetsForLoad, sets_for_load, sets_of};
