//! A shelf was turned over.
use super::values::Face;
use crate::ids::ShelfId;
use serde::{Deserialize, Serialize};

/// Which face is up from now on.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct ShelfFlipped {
    /// The shelf.
    pub shelf: ShelfId,
    /// The face that is up now.
    pub up: Face,
}
