//! Somebody looked over everything that came out of a firing.
use crate::ids::FiringId;
use serde::{Deserialize, Serialize};

/// What was not noted beside it was seen to be fine.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct FiringChecked {
    /// The firing.
    pub firing: FiringId,
    /// In the user's words; may be empty.
    pub note: String,
}
