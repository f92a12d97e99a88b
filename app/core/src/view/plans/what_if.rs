//! `/plan/ID/what-if`: the checks as they are beside the checks as they would be. Nothing is recorded until the plan
//! is saved so.
//!
//! The address carries the change, so that it works as a plain link; with the program loaded [`WhatIf::compared`]
//! runs in the browser at every choice.
use super::bench::{Bench, Named};
use super::check::{self, CheckShown, LineShown};
use super::path;
use crate::event::PlanSaved;
use crate::event::values::RetireReason;
use crate::judge::stack::{PlateCache, check_with};
use crate::view::Mark;
use crate::view::route::{Parts, Request};
use crate::world::{LoadPlan, Overruled, Retired, World};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct WhatIf {
    /// The plan as it was last saved.
    pub plan: PlanSaved,
    /// The lines overruled.
    pub overruled: BTreeMap<String, Overruled>,
    /// What it is checked against.
    pub bench: Bench,
    /// The plan's address.
    pub path: String,
    /// What the address asks.
    pub asked: Asked,
    /// The plan's shelves.
    pub shelves: Vec<(String, String)>,
    /// Shelves of the kiln's racks that stand nowhere in the plan.
    pub spare: Vec<(String, String)>,
    /// Whether the plan can still be changed.
    pub is_open: bool,
    /// The plan's layers: "1.3" and "front, layer 3: F17".
    pub layers: Vec<(String, String)>,
    /// The kiln's sets.
    pub sets: Vec<(String, String)>,
}

/// A change as it is chosen.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct Asked {
    /// "retire", "exchange", "swap", "raise"; empty while none is chosen.
    pub change: String,
    /// The shelf's code.
    pub shelf: String,
    /// The code of the shelf that takes its place.
    pub other: String,
    /// The layer.
    pub layer: String,
    /// The set's code.
    pub set: String,
}

/// The kinds of change.
pub const CHANGES: [(&str, &str); 4] = [
    ("exchange", "put another shelf in one\u{2019}s place"),
    ("retire", "retire a shelf"),
    ("swap", "put another set under a layer"),
    ("raise", "raise a layer by one"),
];

/// Before and after.
#[derive(Clone, PartialEq, Debug)]
pub struct Compared {
    /// "F17 retired".
    pub said: String,
    /// Why nothing is compared; empty where it is.
    pub problem: String,
    /// The verdict before.
    pub before: Mark,
    /// The verdict after.
    pub after: Mark,
    /// The lines that go or change, as they are.
    pub gone: Vec<LineShown>,
    /// The lines that come or change, as they would be.
    pub new: Vec<LineShown>,
    /// How many stay as they are.
    pub n_same: usize,
    /// Whether it is the plan that changes, so that it can be saved so.
    pub of_plan: bool,
}

/// The page.
///
/// # Errors   The plan's kiln is not on record.
pub fn page(world: &World, request: &Request, plan: &LoadPlan) -> Result<Parts, String> {
    let bench = Bench::of_plan(world, plan).ok_or("this plan\u{2019}s kiln is not on record")?;
    let asked = |name: &str| request.query(name).trim().to_owned();
    let code = |id| world.shelves.get(&id).map(|shelf| shelf.code.to_string());
    let mut shelves = Vec::new();
    let mut layers = Vec::new();
    for (at, stack) in (1..).zip(&plan.stacks) {
        for (number, layer) in (1..).zip(&stack.layers) {
            let codes: Vec<String> = layer.shelves.iter().filter_map(|laid| code(laid.shelf?)).collect();
            let place = format!("{}, layer {number}", stack.place);
            layers.push((format!("{at}.{number}"), format!("{place}: {}", codes.join(" and "))));
            shelves.extend(codes.into_iter().map(|code| (code.clone(), format!("{code}, {place}"))));
        }
    }
    let mut sets: Vec<_> = bench.sets.iter().collect();
    sets.sort_by(|a, b| a.code.cmp(&b.code));
    let sets = sets.into_iter().map(|set| (set.code.to_string(), set.code.to_string())).collect();
    let named = Named::by(&plan.stacks).shelves;
    let spare = bench.shelves.iter().filter(|one| one.retired.is_none() && !named.contains(&one.id));
    let mut spare: Vec<_> =
        spare.map(|one| (one.code.to_string(), format!("{}, in the racks", one.code))).collect();
    spare.sort();
    let data = WhatIf {
        plan: plan.as_saved(),
        overruled: plan.overruled.clone(),
        bench,
        path: path(plan.id),
        asked: Asked {
            change: asked("change"),
            shelf: asked("shelf"),
            other: asked("other"),
            layer: asked("layer"),
            set: asked("set"),
        },
        shelves,
        layers,
        sets,
        spare,
        is_open: plan.fired.is_none() && plan.dropped.is_none(),
    };
    let data = super::PlansPage::WhatIf(Box::new(data));
    Ok(super::parts(format!("What if: {}", plan.name), "nothing is recorded".to_owned(), data))
}

impl WhatIf {
    /// The checks before and after a change.
    #[must_use]
    pub fn compared(&self, world: &World, asked: &Asked, cache: &mut PlateCache) -> Compared {
        let before = check::shown(&check_with(world, &self.plan, &self.overruled, cache));
        let (said, changed_world, plan) = match self.changed(world, asked) {
            Ok(changed) => changed,
            Err(problem) => {
                let mark = before.verdict.clone();
                let none = Vec::new();
                return Compared {
                    said: String::new(),
                    problem,
                    before: mark.clone(),
                    after: mark,
                    gone: none.clone(),
                    new: none,
                    n_same: before.lines.len(),
                    of_plan: false,
                };
            }
        };
        let after = check::shown(&check_with(&changed_world, &plan, &self.overruled, cache));
        let other = |line: &LineShown, there: &CheckShown| {
            !there
                .lines
                .iter()
                .any(|(_, _, one)| one.name == line.name && one.said == line.said && one.place == line.place)
        };
        let only = |here: &CheckShown, there: &CheckShown| -> Vec<LineShown> {
            here.lines.iter().map(|(_, _, line)| line).filter(|line| other(line, there)).cloned().collect()
        };
        let gone = only(&before, &after);
        Compared {
            said,
            problem: String::new(),
            of_plan: plan != self.plan,
            n_same: before.lines.len() - gone.len(),
            new: only(&after, &before),
            gone,
            before: before.verdict,
            after: after.verdict,
        }
    }

    /// The plan as it would be, where it is the plan that changes.
    ///
    /// # Errors   What is still to be chosen, or that nothing of the plan changes.
    pub fn plan_so(&self, asked: &Asked) -> Result<PlanSaved, String> {
        let (_, _, plan) = self.changed(&self.bench.world(), asked)?;
        if plan == self.plan { Err("nothing of the plan changes by that".to_owned()) } else { Ok(plan) }
    }

    /// The world and the plan as they would be.
    fn changed(&self, world: &World, asked: &Asked) -> Result<(String, World, PlanSaved), String> {
        let (mut world, mut plan) = (world.clone(), self.plan.clone());
        match asked.change.as_str() {
            "retire" => {
                let shelf = world.shelves.values_mut().find(|one| one.code.as_str() == asked.shelf);
                let shelf = shelf.ok_or("choose the shelf")?;
                let (reason, note) = (RetireReason::Other, String::new());
                shelf.retired = Some(Retired { reason, note, stamp: shelf.added });
                Ok((format!("{} retired", asked.shelf), world, plan))
            }
            "exchange" => {
                let id = |code: &str| {
                    self.bench.shelves.iter().find(|one| one.code.as_str() == code).map(|one| one.id)
                };
                let one = id(&asked.shelf).ok_or("choose the shelf")?;
                let other = id(&asked.other).ok_or("choose the shelf that takes its place")?;
                let layers = plan.stacks.iter_mut().flat_map(|stack| &mut stack.layers);
                // What stands on a shelf stays where it is: only the shelves change places.
                for laid in layers.flat_map(|layer| &mut layer.shelves) {
                    laid.shelf = match laid.shelf {
                        Some(id) if id == one => Some(other),
                        Some(id) if id == other => Some(one),
                        same => same,
                    };
                }
                Ok((format!("{} in the place of {}", asked.other, asked.shelf), world, plan))
            }
            "swap" => {
                let set = self.bench.sets.iter().find(|set| set.code.as_str() == asked.set);
                let set = set.ok_or("choose the set that is to stand there")?;
                let (stack, at) = place(&plan, &asked.layer)?;
                let layer = &mut plan.stacks[stack].layers[at];
                if layer.supports.len() != set.posts.len() {
                    let (posts, columns) = (set.posts.len(), layer.supports.len());
                    return Err(format!("{} has {posts} posts and the layer {columns} columns", set.code));
                }
                layer.set = Some(set.id);
                for (support, post) in layer.supports.iter_mut().zip(&set.posts) {
                    support.posts = vec![*post];
                }
                Ok((format!("{} under layer {}", set.code, at + 1), world, plan))
            }
            "raise" => {
                let (stack, at) = place(&plan, &asked.layer)?;
                let layers = &mut plan.stacks[stack].layers;
                if at + 1 >= layers.len() {
                    return Err("this layer is the topmost already".to_owned());
                }
                layers.swap(at, at + 1);
                Ok((format!("layer {} raised over the next", at + 1), world, plan))
            }
            _ => Err("choose what is to change".to_owned()),
        }
    }
}

/// "1.3": the third layer of the first stack.
fn place(plan: &PlanSaved, text: &str) -> Result<(usize, usize), String> {
    let read = text.split_once('.').and_then(|(stack, layer)| {
        let stack = stack.parse::<usize>().ok()?.checked_sub(1)?;
        let layer = layer.parse::<usize>().ok()?.checked_sub(1)?;
        plan.stacks.get(stack)?.layers.get(layer).map(|_| (stack, layer))
    });
    read.ok_or_else(|| "choose the layer".to_owned())
}
