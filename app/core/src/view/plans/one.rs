//! `/plan/ID`: the stacks from the side, their layers from the floor up, the check's lines under each.
use super::bench::Bench;
use super::check::{self, CheckShown, LineShown};
use super::{above, path, side};
use crate::event::PlanSaved;
use crate::ids::PlanId;
use crate::judge::stack::{PlateCache, StackCheck, check_with};
use crate::view::figure::Figure;
use crate::view::route::Parts;
use crate::view::text::LengthUnit;
use crate::view::{HistoryLine, Link, history};
use crate::world::{LoadPlan, Overruled, Subject, World};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct OnePlan {
    /// The plan as it was last saved; its forms save it anew.
    pub plan: PlanSaved,
    /// Its address.
    pub path: String,
    /// What it became: its firing, or that it was given up. None while it is open.
    pub became: Option<Link>,
    /// Everything drawn and checked.
    pub seen: PlanSeen,
    /// The kiln's page, and the firing's form.
    pub kiln: Link,
    /// Where the firing of it is logged.
    pub fire: String,
    /// What the record says of it.
    pub history: Vec<HistoryLine>,
}

/// A plan, drawn and checked.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct PlanSeen {
    /// The verdict and every line.
    pub check: CheckShown,
    /// The floor with all stacks; none where the kiln's inside is not on record.
    pub floor: Option<Figure>,
    /// The stacks.
    pub stacks: Vec<StackSeen>,
}

/// One stack.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct StackSeen {
    /// Its place.
    pub place: String,
    /// From the side.
    pub side: Figure,
    /// Its layers, the lowest first.
    pub layers: Vec<LayerSeen>,
}

/// One layer in the list.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct LayerSeen {
    /// Where it is changed.
    pub href: String,
    /// "1", from the floor.
    pub number: u32,
    /// "F17 on K20".
    pub said: String,
    /// Its clear height, its load, its lean.
    pub facts: String,
    /// "If F17 goes, these go: ...", one a shelf; empty where nothing else goes.
    pub falls: Vec<String>,
    /// Whether it stands in the kiln.
    pub is_loaded: bool,
}

/// The page.
///
/// # Errors   The plan's kiln is not on record.
pub fn page(world: &World, plan: &LoadPlan) -> Result<Parts, String> {
    let bench = Bench::of_plan(world, plan).ok_or("this plan\u{2019}s kiln is not on record")?;
    let now = plan.as_saved();
    let seen = seen(world, &bench, &now, &plan.overruled, &mut PlateCache::default());
    let data = OnePlan {
        path: path(plan.id),
        became: became(world, plan),
        seen: mark_loaded(seen, plan),
        kiln: Link { href: format!("/kiln/{}", plan.kiln), text: bench.kiln.name.clone() },
        fire: format!("/firings/new?kiln={}&plan={}", plan.kiln, plan.id),
        history: history::lines(world, Subject::Plan(plan.id)),
        plan: now,
    };
    Ok(super::parts(plan.name.clone(), super::about(world, plan), super::PlansPage::One(Box::new(data))))
}

fn became(world: &World, plan: &LoadPlan) -> Option<Link> {
    if let Some(firing) = plan.fired.and_then(|id| world.firings.get(&id)) {
        let text = format!("Fired on {}", firing.fired_on);
        return Some(Link { href: format!("/firing/{}", firing.id), text });
    }
    plan.dropped.map(|_| Link { href: String::new(), text: "Given up; it stays readable.".to_owned() })
}

fn mark_loaded(mut seen: PlanSeen, plan: &LoadPlan) -> PlanSeen {
    for stack in &mut seen.stacks {
        for layer in &mut stack.layers {
            layer.is_loaded = plan.loaded.contains(&(stack.place.clone(), layer.number));
        }
    }
    seen
}

/// A plan, drawn and checked; also in the browser, while it is changed.
#[must_use]
pub fn seen(
    world: &World,
    bench: &Bench,
    plan: &PlanSaved,
    overruled: &BTreeMap<String, Overruled>,
    cache: &mut PlateCache,
) -> PlanSeen {
    let unit = history::unit_of(world);
    let checked = check_with(world, plan, overruled, cache);
    let check = check::shown(&checked);
    let stacks = (0..plan.stacks.len())
        .filter_map(|at| stack_seen(world, bench, plan, at, (&checked, &check), unit))
        .collect();
    PlanSeen { floor: above::floor(world, bench, plan), check, stacks }
}

fn stack_seen(
    world: &World,
    bench: &Bench,
    plan: &PlanSaved,
    at: usize,
    (checked, check): (&StackCheck, &CheckShown),
    unit: LengthUnit,
) -> Option<StackSeen> {
    let (stack, figures) = (plan.stacks.get(at)?, checked.stacks.get(at)?);
    let drawn = side::Seen { world, bench, figures, check, unit };
    let layers = stack.layers.iter().zip(&figures.layers).enumerate().map(|(layer, (planned, numbers))| {
        let shelves = planned.shelves.iter().map(|laid| {
            let shelf = laid.shelf.and_then(|id| world.shelves.get(&id));
            shelf.map_or_else(|| "a shelf to choose".to_owned(), |shelf| shelf.code.to_string())
        });
        let falls = numbers.shelves.iter().filter(|shelf| !shelf.falls_with.is_empty());
        LayerSeen {
            href: layer_path(plan.plan, at, layer),
            number: u32::try_from(layer + 1).unwrap_or(u32::MAX),
            said: format!(
                "{} on {}",
                shelves.collect::<Vec<_>>().join(" and "),
                check::stands_on(world, plan, at, layer)
            ),
            facts: check::facts(numbers, unit),
            falls: falls
                .map(|one| format!("If {} goes, these go: {}", one.code, one.falls_with.join("; ")))
                .collect(),
            is_loaded: false,
        }
    });
    Some(StackSeen { place: stack.place.clone(), side: side::stack(&drawn, stack), layers: layers.collect() })
}

/// Where a layer is changed; both are counted from 1.
#[must_use]
pub fn layer_path(plan: PlanId, stack: usize, layer: usize) -> String {
    format!("{}/layer/{}/{}", path(plan), stack + 1, layer + 1)
}

impl PlanSeen {
    /// The lines that may be overruled.
    pub fn open_lines(&self) -> impl Iterator<Item = &LineShown> {
        self.check.lines.iter().map(|(_, _, line)| line).filter(|line| line.is_open)
    }
}
