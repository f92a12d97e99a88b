//! Events were taken back: "undo". They stay in the record, struck through.
use crate::ids::EventId;
use serde::{Deserialize, Serialize};

/// Events that no longer count. Withdrawing a withdrawal makes its events count again.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct EventsWithdrawn {
    /// Which events.
    pub events: Vec<EventId>,
    /// Why, where anyone said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reason: String,
}
