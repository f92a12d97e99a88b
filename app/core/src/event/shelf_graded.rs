//! A shelf was graded by eye: enough to begin with, and replaced by the first reading.
use super::values::Use;
use crate::ids::ShelfId;
use serde::{Deserialize, Serialize};

/// The most demanding use a shelf is fit for, judged by eye.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct ShelfGraded {
    /// The shelf.
    pub shelf: ShelfId,
    /// The most demanding use it is fit for.
    pub fit_for: Use,
}
