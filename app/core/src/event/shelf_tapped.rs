//! A shelf was tapped and listened to.
use super::values::Ring;
use crate::ids::ShelfId;
use serde::{Deserialize, Serialize};

/// One tap test.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct ShelfTapped {
    /// The shelf.
    pub shelf: ShelfId,
    /// What it sounded like.
    pub ring: Ring,
}
