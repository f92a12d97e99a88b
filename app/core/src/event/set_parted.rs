//! A set was taken apart; its posts are free again.
use crate::ids::SetId;
use serde::{Deserialize, Serialize};

/// The end of a set.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct SetParted {
    /// The set.
    pub set: SetId,
    /// Why.
    pub reason: String,
}
