//! A hold was lifted.
use super::values::Piece;
use serde::{Deserialize, Serialize};

/// The end of every hold on a piece, and what it rests on ("24 h at 95 C, dry mass as before").
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PieceReleased {
    /// The shelf or post.
    pub piece: Piece,
    /// What the release rests on.
    pub because: String,
}
