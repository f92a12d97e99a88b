//! `/plan/ID/fill`: fills a plan's layers with the best shelves and sets, the layers' heights and ware kept.
use super::bench::Bench;
use super::path;
use crate::event::PlanSaved;
use crate::view::route::Parts;
use crate::world::{LoadPlan, World};
use serde::{Deserialize, Serialize};

/// The form's name.
pub const FORM: &str = "propose";

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Propose {
    /// The plan as it was last saved.
    pub plan: PlanSaved,
    /// What there is to choose from.
    pub bench: Bench,
    /// The plan's address.
    pub path: String,
}

/// The page.
///
/// # Errors   The plan's kiln is not on record.
pub fn page(world: &World, plan: &LoadPlan) -> Result<Parts, String> {
    let bench = Bench::of_plan(world, plan).ok_or("this plan\u{2019}s kiln is not on record")?;
    let data = Propose { plan: plan.as_saved(), bench, path: path(plan.id) };
    let subtitle = "heights and ware stay; shelves and sets are chosen".to_owned();
    Ok(super::parts(format!("Fill {}", plan.name), subtitle, super::PlansPage::Propose(Box::new(data))))
}
