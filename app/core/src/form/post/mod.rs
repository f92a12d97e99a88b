//! Reads the forms of posts: a height, many heights, a dressing.

pub mod dress;
pub mod measure;
