//! A piece went to another rack or another kiln's stock.
use super::values::Piece;
use crate::ids::KilnId;
use serde::{Deserialize, Serialize};

/// A move.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PieceMoved {
    /// The shelf or post.
    pub piece: Piece,
    /// The kiln whose racks it is in now.
    pub kiln: KilnId,
    /// Where it stands now.
    #[serde(default)]
    pub place: String,
}
