//! A kiln came into the studio's record.
use super::values::Fuel;
use crate::cone_name::ConeName;
use crate::ids::KilnId;
use serde::{Deserialize, Serialize};

/// A kiln, as far as furniture needs to know it: what heats it and how hot it usually goes.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct KilnAdded {
    /// The kiln.
    pub kiln: KilnId,
    /// What people call it; unique in the studio.
    pub name: String,
    /// What heats it.
    pub fuel: Fuel,
    /// The cone it usually goes to.
    pub usual_cone: ConeName,
}
