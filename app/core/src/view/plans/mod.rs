//! Plans of loads: `/plans`, `/plans/new`, and under `/plan/ID` the plan itself, its layers, the loading sheet,
//! and what if.
//!
//! What this does not do: judge a stack ([`crate::judge::stack`] does) or read forms.

pub mod above;
pub mod bench;
pub mod check;
pub mod layer;
pub mod list;
pub mod new;
pub mod one;
pub mod propose;
pub mod sheet;
pub mod side;
pub mod turned;
pub mod what_if;

use super::route::{Parts, Request};
use super::{FormState, PageData, Tab};
use crate::ids::PlanId;
use crate::world::{LoadPlan, World};
use serde::{Deserialize, Serialize};

/// One of the pages.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlansPage {
    /// Every plan.
    List(list::PlanList),
    /// A new one.
    New(Box<new::NewPlan>),
    /// One of them.
    One(Box<one::OnePlan>),
    /// One of its layers.
    Layer(Box<layer::LayerPage>),
    /// What is printed, or ticked off.
    Sheet(Box<sheet::Sheet>),
    /// Filled by the proposal.
    Propose(Box<propose::Propose>),
    /// What would be otherwise.
    WhatIf(Box<what_if::WhatIf>),
}

impl PlansPage {
    /// Whether anything on it answers to a finger before it is sent.
    #[must_use]
    pub fn is_live(&self) -> bool {
        !matches!(self, Self::List(_))
    }
}

/// A page under `/plan/ID`.
///
/// # Errors   A plan or a layer that is not on record.
pub fn page(world: &World, request: &Request, id: &str, below: &[&str]) -> Result<Parts, String> {
    let plan = find(world, id)?;
    match below {
        [] => one::page(world, plan),
        ["layer", stack, layer] => layer::page(world, plan, stack, layer),
        ["fill"] => propose::page(world, plan),
        ["sheet"] => sheet::page(world, plan),
        ["what-if"] => what_if::page(world, request, plan),
        _ => Err(format!("no page is called {}", request.path)),
    }
}

fn find<'a>(world: &'a World, id: &str) -> Result<&'a LoadPlan, String> {
    let known = id.parse().ok().and_then(|id: PlanId| world.plans.get(&id));
    known.ok_or_else(|| "no plan is on record under this address; the list of plans has them".to_owned())
}

/// The plan's address.
#[must_use]
pub fn path(plan: PlanId) -> String {
    format!("/plan/{plan}")
}

/// "Heron, glaze to cone 10".
#[must_use]
pub fn about(world: &World, plan: &LoadPlan) -> String {
    let kiln = world.kilns.get(&plan.kiln).map_or("a kiln not on record", |kiln| kiln.name.as_str());
    format!("{kiln}, {} to cone {}", plan.ware.said(), plan.cone)
}

fn parts(title: String, subtitle: String, data: PlansPage) -> Parts {
    Parts { title, subtitle, tab: Tab::Rack, data: PageData::Plans(data), form: FormState::default() }
}
