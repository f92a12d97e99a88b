//! Judgements: which checks a reading passes, by which limit, and what cannot be decided.
//!
//! The tool never says that something is safe. It says which checks passed, on which number each rests,
//! and where the limit comes from.
//!
//! What this does not do: lay out text for a page ([`crate::view`]).

pub mod decision;
pub mod finding;
pub mod lifespan;
pub mod post;
pub mod post_set;
pub mod shelf;
pub mod stack;
pub mod wear;

pub use decision::{Decision, against_limit};
pub use finding::{Finding, limit_said};
pub use post::PostJudgement;
pub use post_set::SetJudgement;
