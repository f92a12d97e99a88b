//! A plan of a load was made or changed. The whole plan is kept each time: of two phones' plans the later one
//! counts, and the earlier one stays readable in the plan's history.
use super::plan::PlannedStack;
use super::values::Ware;
use crate::cone_name::ConeName;
use crate::ids::{KilnId, PlanId};
use serde::{Deserialize, Serialize};

/// A plan, whole.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PlanSaved {
    /// The plan.
    pub plan: PlanId,
    /// The kiln.
    pub kiln: KilnId,
    /// What people call it: "glaze, week 9".
    pub name: String,
    /// Bisque or glaze.
    pub ware: Ware,
    /// The cone it goes to.
    pub cone: ConeName,
    /// The stacks.
    pub stacks: Vec<PlannedStack>,
}
