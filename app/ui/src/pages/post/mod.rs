//! The pages of posts.

pub mod card;
pub mod dress;
pub mod list;
pub mod measure;
