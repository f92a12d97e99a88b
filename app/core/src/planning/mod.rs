//! Before loading: which posts stand together, and which shelf and set go into which layer.
//!
//! [`sets_for_load`] matches posts. [`propose`] fills a plan: [`Question::of`] says in numbers what may go where and what
//! that costs, [`Search`] finds the best in slices, and [`Search::finish`] sets it down as a [`Proposal`]. The objective is
//! said at [`Proposal`], its weights are in [`weights`].
//!
//! What this does not do: check a plan, or record one.
pub mod assign;
mod fill;
pub mod grind;
mod mend;
pub mod options;
mod part;
pub mod question;
mod room;
pub mod search;
pub mod sets;
pub mod wanted;
pub mod weights;

pub use fill::{Proposal, propose};
pub use mend::{Dressing, Job, Shimming, to_a_hundredth};
pub use part::Choice;
pub use question::{NoProposal, Question};
pub use search::{Found, Progress, Search};
pub use sets::{HeightSets, LoadPost, LoadSet, SetsForLoad, sets_for_load, sets_of};
pub use wanted::{Order, Wanted, WantedLayer, WantedStack};

#[cfg(test)]
mod studio_tests;
#[cfg(test)]
mod tests;
