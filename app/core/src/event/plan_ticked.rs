//! A layer was loaded, or a tick was taken back, while working through the loading sheet.
use crate::ids::PlanId;
use serde::{Deserialize, Serialize};

/// One tick.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PlanTicked {
    /// The plan.
    pub plan: PlanId,
    /// The stack's place.
    pub place: String,
    /// The layer, from 1 at the floor.
    pub layer: u32,
    /// Whether it stands in the kiln now.
    pub loaded: bool,
}
