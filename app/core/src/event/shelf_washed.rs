//! A shelf's face was coated with kiln wash.
use super::values::Face;
use crate::ids::ShelfId;
use serde::{Deserialize, Serialize};

/// One coating.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct ShelfWashed {
    /// The shelf.
    pub shelf: ShelfId,
    /// The face.
    pub face: Face,
    /// What the wash was made of, in the user's words.
    pub recipe: String,
    /// How many coats.
    pub coats: u8,
}
