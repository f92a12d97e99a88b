//! `/plans`: the plans, kiln by kiln, the newest first.
use super::check;
use crate::judge::stack::{PlateCache, check_plan};
use crate::view::kiln::find;
use crate::view::route::{Parts, Request};
use crate::view::text::{count, day};
use crate::view::{Link, Mark, Row, Shape};
use crate::world::{Kiln, LoadPlan, World};
use serde::{Deserialize, Serialize};

/// Plans on the page, done ones included. House choice: half a year of a busy kiln.
const MOST_DONE: usize = 24;

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct PlanList {
    /// One part a kiln.
    pub kilns: Vec<KilnPlans>,
}

/// One kiln's plans.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct KilnPlans {
    /// The kiln's page.
    pub kiln: Link,
    /// Where a new one is made; its inside's form where that is still to be entered.
    pub make: Link,
    /// Those still to be fired.
    pub open: Vec<Row>,
    /// Those fired or given up.
    pub done: Vec<Row>,
}

/// The page.
///
/// # Errors   A kiln that is not on record.
pub fn page(world: &World, request: &Request) -> Result<Parts, String> {
    let kilns: Vec<&Kiln> = match request.query("kiln") {
        "" => world.kilns.values().collect(),
        text => vec![find(world, text)?],
    };
    let data = PlanList { kilns: kilns.iter().map(|kiln| of_kiln(world, kiln)).collect() };
    let subtitle = match kilns.as_slice() {
        [kiln] => kiln.name.clone(),
        _ => String::new(),
    };
    Ok(super::parts("Plans".to_owned(), subtitle, super::PlansPage::List(data)))
}

fn of_kiln(world: &World, kiln: &Kiln) -> KilnPlans {
    let mut plans: Vec<&LoadPlan> = world.plans.values().filter(|plan| plan.kiln == kiln.id).collect();
    plans.sort_by_key(|plan| std::cmp::Reverse((plan.saved.at, plan.id)));
    let (open, done): (Vec<&LoadPlan>, Vec<&LoadPlan>) = plans.into_iter().partition(|plan| is_open(plan));
    let make = if kiln.inside.is_some() {
        Link { href: format!("/plans/new?kiln={}", kiln.id), text: format!("Plan a load of {}", kiln.name) }
    } else {
        Link {
            href: format!("/kiln/{}/inside", kiln.id),
            text: format!("Enter {}\u{2019}s inside first", kiln.name),
        }
    };
    let mut cache = PlateCache::default();
    KilnPlans {
        kiln: Link { href: format!("/kiln/{}", kiln.id), text: kiln.name.clone() },
        make,
        open: open.into_iter().map(|plan| row(world, plan, &mut cache)).collect(),
        done: done.into_iter().take(MOST_DONE).map(done_row).collect(),
    }
}

/// Whether a plan is still to be fired.
#[must_use]
pub fn is_open(plan: &LoadPlan) -> bool {
    plan.fired.is_none() && plan.dropped.is_none()
}

/// One open plan with its verdict.
#[must_use]
pub fn row(world: &World, plan: &LoadPlan, cache: &mut PlateCache) -> Row {
    let shown = check::shown(&check_plan(world, plan, cache));
    Row {
        href: super::path(plan.id),
        code: plan.name.clone(),
        said: format!("{}; {}", layers(plan), shown.sentence),
        more: format!("{} to cone {}, saved {}", plan.ware.said(), plan.cone, day(plan.saved.at)),
        mark: shown.verdict,
    }
}

fn layers(plan: &LoadPlan) -> String {
    let n_layers: usize = plan.stacks.iter().map(|stack| stack.layers.len()).sum();
    count(n_layers as u64, "layer", "layers")
}

fn done_row(plan: &LoadPlan) -> Row {
    let mark = match plan.dropped {
        Some(_) => Mark::new(Shape::Gone, "given up"),
        None => Mark::new(Shape::Plain, "fired"),
    };
    Row {
        href: super::path(plan.id),
        code: plan.name.clone(),
        said: layers(plan),
        more: format!("{} to cone {}, saved {}", plan.ware.said(), plan.cone, day(plan.saved.at)),
        mark,
    }
}
