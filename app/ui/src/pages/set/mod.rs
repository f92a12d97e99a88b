//! The pages of sets.

pub mod card;
pub mod list;
pub mod new;
pub mod part;
mod stand;
mod verdict;
