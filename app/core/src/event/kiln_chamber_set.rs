//! A kiln's inside was measured and drawn: what a plan of a load must fit into.
use super::plan::{Chamber, KeepOut, StackPlace};
use crate::ids::KilnId;
use serde::{Deserialize, Serialize};

/// The chamber; a later one takes its place whole.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct KilnChamberSet {
    /// The kiln.
    pub kiln: KilnId,
    /// Its form and size.
    pub chamber: Chamber,
    /// Where stacks stand; none yet is allowed.
    pub places: Vec<StackPlace>,
    /// Where nothing may be.
    pub keep_outs: Vec<KeepOut>,
}
