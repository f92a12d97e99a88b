//! A retired piece came back into use, against the record's advice or after a repair.
use super::values::Piece;
use serde::{Deserialize, Serialize};

/// A return, with its reason.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PieceReturned {
    /// The shelf or post.
    pub piece: Piece,
    /// What changed.
    pub because: String,
}
