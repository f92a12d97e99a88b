//! A post was measured.
use super::values::{Instrument, Typed};
use crate::ids::PostId;
use serde::{Deserialize, Serialize};

/// A post's true height, and how far its end is out of square where that was looked at.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PostMeasured {
    /// The post.
    pub post: PostId,
    /// Its height.
    pub height: Typed,
    /// What was read with.
    pub instrument: Instrument,
    /// How far the worse end is out of square across the post's width.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub out_of_square: Option<Typed>,
}
