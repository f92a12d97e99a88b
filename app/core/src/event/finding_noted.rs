//! Somebody saw something wrong with a piece, after a firing or at the bench.
use super::values::{Flaw, Piece};
use crate::ids::FiringId;
use serde::{Deserialize, Serialize};

/// One thing seen. It opens bench jobs; what closes them stands in [`crate::jobs`].
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct FindingNoted {
    /// The shelf or post.
    pub piece: Piece,
    /// What was seen.
    pub flaw: Flaw,
    /// The firing after which it was seen, where that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub firing: Option<FiringId>,
    /// In the user's words; may be empty.
    pub note: String,
}
