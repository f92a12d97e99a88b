//! A kiln was fired, which counts one firing on every piece that was in it.
use super::values::{Piece, Ware};
use crate::cone_name::ConeName;
use crate::ids::{FiringId, KilnId, PlanId};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// One firing.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct KilnFired {
    /// The firing.
    pub firing: FiringId,
    /// The kiln.
    pub kiln: KilnId,
    /// Bisque or glaze.
    pub ware: Ware,
    /// The cone that was reached.
    pub cone: ConeName,
    /// The day.
    pub fired_on: Date,
    /// Every piece that was in it.
    pub pieces: Vec<Piece>,
    /// Anything else worth keeping.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// The plan it was loaded by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plan: Option<PlanId>,
}
