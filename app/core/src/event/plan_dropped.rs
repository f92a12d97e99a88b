//! A plan was given up. It stays readable.
use crate::ids::PlanId;
use serde::{Deserialize, Serialize};

/// A plan no longer wanted.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PlanDropped {
    /// The plan.
    pub plan: PlanId,
}
