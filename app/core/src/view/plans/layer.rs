//! `/plan/ID/layer/STACK/LAYER`: one layer's shelves, posts and ware; what the check says of it follows every touch.
//!
//! The page carries its part of the world ([`Bench`]), so that the browser reads the form, draws and checks by the
//! very functions the server uses. What this does not do: read the form; `form::plans::layer` does.
use super::above::{self, LayerDrawing};
use super::bench::Bench;
use super::check::LineShown;
use super::one::{self, PlanSeen};
use super::path;
use crate::event::PlanSaved;
use crate::event::plan::{PlacedPiece, PlannedLayer};
use crate::ids::ShelfId;
use crate::judge::stack::PlateCache;
use crate::outline::Outline;
use crate::units::{Length, Mass};
use crate::view::add::{Start, put};
use crate::view::rack::outline_said;
use crate::view::route::Parts;
use crate::view::text::{LengthUnit, length, length_bare, length_input};
use crate::view::{FormState, PageData, Tab, history};
use crate::world::{LoadPlan, Overruled, Shelf, World};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The form's name.
pub const FORM: &str = "layer";
/// Rows of posts offered at least: two shelves that share a column, and one to spare.
const LEAST_POSTS: usize = 6;
/// What a shelf's list says for one that is still to be chosen.
pub const OPEN: &str = "open";

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct LayerPage {
    /// The whole plan as it was last saved.
    pub plan: PlanSaved,
    /// The lines overruled.
    pub overruled: BTreeMap<String, Overruled>,
    /// What it is made from and checked against.
    pub bench: Bench,
    /// Which stack, from 0.
    pub stack: usize,
    /// Which layer, from 0 at the floor.
    pub layer: usize,
    /// The plan's address.
    pub path: String,
    /// The rows of shelves, one blank one counted.
    pub n_shelves: usize,
    /// The rows of posts, blank ones counted.
    pub n_posts: usize,
    /// The shelves to choose from: value and words.
    pub shelves: Vec<(String, String)>,
    /// The sets to choose from.
    pub sets: Vec<(String, String)>,
    /// The layer below and the one above, where there are.
    pub neighbours: [Option<String>; 2],
}

/// A layer, drawn and checked.
#[derive(Clone, PartialEq, Debug)]
pub struct LayerShown {
    /// From above, with posts to drag.
    pub drawing: Option<LayerDrawing>,
    /// The whole plan.
    pub seen: PlanSeen,
    /// The lines about this layer.
    pub lines: Vec<LineShown>,
    /// Its numbers.
    pub facts: String,
    /// What falls with it.
    pub falls: Vec<String>,
}

impl LayerPage {
    /// The layer as it was last saved.
    #[must_use]
    pub fn planned(&self) -> Option<&PlannedLayer> {
        self.plan.stacks.get(self.stack)?.layers.get(self.layer)
    }

    /// Draws and checks a plan that this page's form makes.
    #[must_use]
    pub fn shown(&self, world: &World, plan: &PlanSaved, cache: &mut PlateCache) -> LayerShown {
        let seen = one::seen(world, &self.bench, plan, &self.overruled, cache);
        let stack = plan.stacks.get(self.stack);
        let number = u32::try_from(self.layer + 1).unwrap_or(u32::MAX);
        let lines = stack.map_or_else(Vec::new, |stack| seen.check.of_layer(&stack.place, number));
        let of_layer = seen.stacks.get(self.stack).and_then(|stack| stack.layers.get(self.layer));
        LayerShown {
            drawing: stack.and_then(|stack| above::layer(world, &self.bench, stack, self.layer)),
            lines,
            facts: of_layer.map_or_else(String::new, |layer| layer.facts.clone()),
            falls: of_layer.map_or_else(Vec::new, |layer| layer.falls.clone()),
            seen,
        }
    }
}

/// The page.
///
/// # Errors   No such stack or layer.
pub fn page(world: &World, plan: &LoadPlan, stack: &str, layer: &str) -> Result<Parts, String> {
    let number = |text: &str| text.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
    let missing = || "this plan has no such layer; open the plan again".to_owned();
    let (stack, layer) = number(stack).zip(number(layer)).ok_or_else(missing)?;
    let planned = plan.stacks.get(stack).ok_or_else(missing)?;
    let its_layer = planned.layers.get(layer).ok_or_else(missing)?;
    let bench = Bench::of_plan(world, plan).ok_or("this plan\u{2019}s kiln is not on record")?;
    let unit = history::unit_of(world);
    let values = values_of(world, its_layer, unit);
    let at = |n: usize| planned.layers.get(n).map(|_| one::layer_path(plan.id, stack, n));
    let data = LayerPage {
        plan: plan.as_saved(),
        overruled: plan.overruled.clone(),
        stack,
        layer,
        path: path(plan.id),
        n_shelves: its_layer.shelves.len().max(1) + 1,
        n_posts: its_layer.supports.len().max(LEAST_POSTS - 1) + 1,
        shelves: shelf_options(&bench, plan, its_layer, unit),
        sets: set_options(world, &bench, plan, its_layer, unit),
        neighbours: [layer.checked_sub(1).and_then(at), at(layer + 1)],
        bench,
    };
    Ok(Parts {
        title: format!("{}, layer {}", planned.place, layer + 1),
        subtitle: plan.name.clone(),
        tab: Tab::Rack,
        data: PageData::Plans(super::PlansPage::Layer(Box::new(data))),
        form: FormState { action: FORM.to_owned(), values, problems: Vec::new() },
    })
}

fn shelf_options(
    bench: &Bench,
    plan: &LoadPlan,
    own: &PlannedLayer,
    unit: LengthUnit,
) -> Vec<(String, String)> {
    let used: Vec<ShelfId> = plan
        .stacks
        .iter()
        .flat_map(|stack| &stack.layers)
        .flat_map(|layer| &layer.shelves)
        .filter_map(|laid| laid.shelf)
        .filter(|id| own.shelves.iter().all(|laid| laid.shelf != Some(*id)))
        .collect();
    let own_ids: Vec<ShelfId> = own.shelves.iter().filter_map(|laid| laid.shelf).collect();
    let offered = |shelf: &&Shelf| shelf.retired.is_none() || own_ids.contains(&shelf.id);
    let mut shelves: Vec<&Shelf> = bench.shelves.iter().filter(offered).collect();
    shelves.sort_by(|a, b| a.code.cmp(&b.code));
    let said = |shelf: &Shelf| {
        let what = match shelf.outline {
            Outline::Rectangle { .. } => "whole",
            Outline::Round { .. } => "round",
            Outline::HalfRound { .. } => "half",
        };
        let mut said = format!(
            "{}, {what}, {}, {}",
            shelf.code,
            outline_said(&shelf.outline, unit),
            shelf.material.said()
        );
        if used.contains(&shelf.id) {
            said.push_str(", in this plan already");
        }
        if shelf.retired.is_some() {
            said.push_str(", retired");
        } else if let Some(hold) = &shelf.hold {
            said = format!("{said}, on hold: {}", hold.reason.said());
        }
        said
    };
    let fixed = [(String::new(), "no shelf here"), (OPEN.to_owned(), "still to be chosen")];
    fixed
        .into_iter()
        .map(|(value, said)| (value, said.to_owned()))
        .chain(shelves.into_iter().map(|shelf| (shelf.code.to_string(), said(shelf))))
        .collect()
}

fn set_options(
    world: &World,
    bench: &Bench,
    plan: &LoadPlan,
    own: &PlannedLayer,
    unit: LengthUnit,
) -> Vec<(String, String)> {
    let used: Vec<_> =
        plan.stacks.iter().flat_map(|stack| &stack.layers).filter_map(|layer| layer.set).collect();
    let mut sets: Vec<_> = bench.sets.iter().collect();
    sets.sort_by(|a, b| a.code.cmp(&b.code));
    let said = |set: &crate::world::PostSet| {
        let height = super::new::nominal_of(world, set)
            .map_or_else(|| "mixed heights".to_owned(), |height| length(height, unit));
        let there = used.contains(&set.id) && own.set != Some(set.id);
        let there = if there { ", in this plan already" } else { "" };
        format!("{}, {height}, {} posts{there}", set.code, set.posts.len())
    };
    std::iter::once((String::new(), "no set: single posts".to_owned()))
        .chain(sets.into_iter().map(|set| (set.code.to_string(), said(set))))
        .collect()
}

/// A layer as it would be typed.
#[must_use]
pub fn values_of(world: &World, layer: &PlannedLayer, unit: LengthUnit) -> Start {
    let mut start = Start::new();
    let set = layer.set.and_then(|id| world.sets.get(&id));
    put(&mut start, "set", set.map_or_else(String::new, |set| set.code.to_string()));
    let some = |value: Length| if value.0 == 0 { String::new() } else { length_input(value, unit) };
    for (n, laid) in (1..).zip(&layer.shelves) {
        let shelf = laid.shelf.and_then(|id| world.shelves.get(&id));
        put(&mut start, &format!("shelf{n}"), shelf.map_or(OPEN.to_owned(), |one| one.code.to_string()));
        put(&mut start, &format!("sx{n}"), length_input(laid.at.x_nm, unit));
        put(&mut start, &format!("sy{n}"), length_input(laid.at.y_nm, unit));
        put(&mut start, &format!("turn{n}"), laid.quarter_turns.to_string());
        let ware = &laid.ware;
        put(&mut start, &format!("use{n}"), ware.used_for.map_or("", crate::event::values::Use::key));
        put(&mut start, &format!("tall{n}"), some(ware.tallest_nm));
        put(&mut start, &format!("mass{n}"), mass_input(ware.mass_mg));
        if ware.lidded {
            put(&mut start, &format!("lid{n}"), "yes");
        }
        let lines: Vec<String> = ware.pieces.iter().map(|piece| piece_line(piece, unit)).collect();
        put(&mut start, &format!("pieces{n}"), lines.join("\n"));
    }
    for (n, support) in (1..).zip(&layer.supports) {
        put(&mut start, &format!("x{n}"), length_input(support.at.x_nm, unit));
        put(&mut start, &format!("y{n}"), length_input(support.at.y_nm, unit));
        let codes =
            support.posts.iter().filter_map(|id| world.posts.get(id)).map(|post| post.code.to_string());
        put(&mut start, &format!("posts{n}"), codes.collect::<Vec<_>>().join(" + "));
        put(&mut start, &format!("shim{n}"), some(support.shim_nm));
        put(&mut start, &format!("wad{n}"), some(support.wad_nm));
    }
    start
}

/// A mass as it would be typed, in kilograms; empty where it is nothing.
#[must_use]
pub fn mass_input(mass: Mass) -> String {
    if mass.0 == 0 {
        return String::new();
    }
    let text = format!("{}.{:06}", mass.0 / 1_000_000, mass.0 % 1_000_000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn piece_line(piece: &PlacedPiece, unit: LengthUnit) -> String {
    let sizes = [piece.at.x_nm, piece.at.y_nm, piece.diameter_nm, piece.height_nm];
    let mut parts: Vec<String> =
        sizes.iter().map(|size| length_bare(*size, unit).replace('\u{2212}', "-")).collect();
    parts.push(mass_input(piece.mass_mg));
    parts.join("; ")
}
