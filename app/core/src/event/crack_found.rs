//! A crack was found, or read again after it grew.
use super::values::Ring;
use crate::ids::{CrackId, ShelfId};
use crate::outline::Spot;
use serde::{Deserialize, Serialize};

/// Where a crack starts and ends on the shelf's outline. Its length and how far across it goes are
/// worked out ([`crate::geometry::crack`]). The same crack read again keeps its id.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct CrackFound {
    /// The shelf.
    pub shelf: ShelfId,
    /// The crack.
    pub crack: CrackId,
    /// Where it starts, nearly always at an edge.
    pub from: Spot,
    /// Where it ends.
    pub to: Spot,
    /// What the tap test said.
    pub ring: Ring,
    /// Anything else worth keeping.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}
