//! A piece was put on hold: not to be loaded until released.
use super::values::{HoldReason, Piece};
use serde::{Deserialize, Serialize};

/// A hold, with its reason.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PieceHeld {
    /// The shelf or post.
    pub piece: Piece,
    /// Why.
    pub reason: HoldReason,
    /// In the user's words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}
