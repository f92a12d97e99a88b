//! Three or four posts were put together as a set.
use crate::code::Code;
use crate::ids::{PostId, SetId, ShelfId};
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// A set, in the order in which its posts stand: the first two at one end (front, back), the third in
/// the middle of the other end; four go round the corners.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct SetMade {
    /// The set.
    pub set: SetId,
    /// Its short code.
    pub code: Code,
    /// Three or four posts.
    pub posts: Vec<PostId>,
    /// The shelf it is judged under, where one was chosen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shelf: Option<ShelfId>,
    /// How far the posts' centres stand in from the shelf's edges.
    pub inset_nm: Length,
}
