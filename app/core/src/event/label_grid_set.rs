//! A label grid was added to the studio's table, changed, or taken out of it.
use crate::label::Grid;
use serde::{Deserialize, Serialize};

/// The grid of this name, as it is from now on.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct LabelGridSet {
    /// The grid. Its name is its key.
    pub grid: Grid,
    /// Whether it is offered.
    pub offered: bool,
}
