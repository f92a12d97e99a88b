//! Somebody wrote something down about a piece.
use super::values::Piece;
use serde::{Deserialize, Serialize};

/// A note.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct NoteAdded {
    /// The shelf or post.
    pub piece: Piece,
    /// The note.
    pub text: String,
}
