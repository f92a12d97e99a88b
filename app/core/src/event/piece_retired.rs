//! A piece was set aside for good. Why is what the record must never lose.
use super::values::{Piece, RetireReason};
use serde::{Deserialize, Serialize};

/// A retirement, with its reason.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PieceRetired {
    /// The shelf or post.
    pub piece: Piece,
    /// Why.
    pub reason: RetireReason,
    /// In the user's words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}
