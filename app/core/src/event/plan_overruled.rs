//! A line of a plan's check was overruled by someone, with the reason.
use crate::ids::PlanId;
use serde::{Deserialize, Serialize};

/// One line overruled, or no longer.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PlanOverruled {
    /// The plan.
    pub plan: PlanId,
    /// Which line: the check's name and what it is about, as `judge::stack` writes it; it stays the same while
    /// what it is about stays the same.
    pub line: String,
    /// What the line said.
    pub said: String,
    /// Why it is overruled; empty takes the overruling back.
    pub reason: String,
}
