//! Fills a plan by the proposal: what is asked of it, and what a first plan takes for usual.
//!
//! What this does not do: search; [`crate::planning`] does.
use crate::cone_name::ConeName;
use crate::event::PlanSaved;
use crate::event::plan::{PlannedLayer, PlannedStack, PlannedWare};
use crate::event::values::{Use, Ware};
use crate::grouping::SetSize;
use crate::judge::shelf::bending::Slab;
use crate::outline::Outline;
use crate::planning::{NoProposal, Order, Proposal, Wanted, WantedLayer, WantedStack, propose};
use crate::units::{Length, Mass};
use crate::view::plans::bench::Bench;
use crate::world::{Shelf, World};
use std::collections::BTreeMap;

/// The layers wanted in one place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Asked {
    /// The place's name.
    pub place: String,
    /// The nominal heights, the lowest layer first.
    pub layers: Vec<Length>,
}

/// What is left over the tallest piece for its gap and the sag of the shelf above. House choice: 6 mm for the gap
/// (common practice), and as much again and a little for sag and posts under their nominal height: 15 mm.
const OVER_WARE: Length = Length(15_000_000);
/// The tallest piece on a topmost shelf. House choice: 100 mm, a mug.
const TOPMOST: Length = Length(100_000_000);
/// The tallest is said on fives: a rule is read no finer across a load.
const STEP: i64 = 5_000_000;

/// A first filling: shelves and sets by the proposal, ware as usual.
///
/// # Errors   [`NoProposal`], as the proposal says it.
pub fn fill(bench: &Bench, ware: Ware, cone: ConeName, asked: &[Asked]) -> Result<Proposal, NoProposal> {
    let world = bench.world();
    let stacks = asked.iter().filter(|one| !one.layers.is_empty()).map(|one| WantedStack {
        place: one.place.clone(),
        layers: (0..one.layers.len()).map(|at| usual_layer(&one.layers, at, ware)).collect(),
    });
    let wanted = Wanted {
        kiln: bench.kiln.id,
        ware,
        cone,
        size: SetSize::Three,
        fresh: false,
        order: Order::AsGiven,
        stacks: stacks.collect(),
        shelves: Vec::new(),
    };
    let mut proposal = propose(&world, &wanted)?;
    for laid in
        proposal.stacks.iter_mut().flat_map(|stack| &mut stack.layers).flat_map(|layer| &mut layer.shelves)
    {
        let shelf = laid.shelf.and_then(|id| world.shelves.get(&id));
        laid.ware.mass_mg = shelf.map_or_else(Mass::default, |shelf| usual_load(&world, shelf));
    }
    Ok(proposal)
}

fn usual_layer(heights: &[Length], at: usize, ware: Ware) -> WantedLayer {
    let nominal = heights.get(at).copied().unwrap_or_default();
    let tallest = heights.get(at + 1).map_or(TOPMOST, |above| *above - OVER_WARE);
    let ware = PlannedWare {
        used_for: Some(if ware == Ware::Bisque { Use::Bisque } else { Use::General }),
        tallest_nm: Length((tallest.0 / STEP * STEP).max(0)),
        ..PlannedWare::default()
    };
    WantedLayer { nominal, ware }
}

/// Ware by the shelf's own mass; for an outline that the plate calculation refuses, by a square of the same area.
fn usual_load(world: &World, shelf: &Shelf) -> Mass {
    let side = Length::from_mm(libm::sqrt(shelf.outline.area_m2()) * 1000.0);
    let square = Shelf { outline: Outline::Rectangle { length_nm: side, width_nm: side }, ..shelf.clone() };
    let slab = Slab::of(world, shelf).or_else(|_| Slab::of(world, &square));
    slab.map_or_else(|_| Mass::default(), |slab| slab.usual_load())
}

/// What a plan asks for as it stands: its layers' heights, its ware. A layer without posts takes the height that most
/// layers have.
#[must_use]
pub fn as_planned(world: &World, plan: &PlanSaved) -> Wanted {
    let height = |layer: &PlannedLayer| {
        let posts = layer.supports.iter().filter_map(|one| one.posts.first());
        posts.filter_map(|id| world.posts.get(id)).map(|post| post.nominal).next()
    };
    let layers = || plan.stacks.iter().flat_map(|stack| &stack.layers);
    let mut n_of: BTreeMap<Length, usize> = BTreeMap::new();
    layers().filter_map(height).for_each(|nominal| *n_of.entry(nominal).or_default() += 1);
    let usual = n_of.iter().max_by_key(|(_, n)| **n).map(|(nominal, _)| *nominal);
    let usual = usual.or_else(|| world.posts.values().next().map(|post| post.nominal)).unwrap_or_default();
    let stack = |stack: &PlannedStack| WantedStack {
        place: stack.place.clone(),
        layers: stack
            .layers
            .iter()
            .map(|layer| WantedLayer {
                nominal: height(layer).unwrap_or(usual),
                ware: layer.shelves.first().map(|laid| laid.ware.clone()).unwrap_or_default(),
            })
            .collect(),
    };
    let of_four = layers().filter(|layer| layer.supports.len() == 4 && layer.shelves.len() < 2).count();
    Wanted {
        kiln: plan.kiln,
        ware: plan.ware,
        cone: plan.cone,
        size: if 2 * of_four > layers().count() { SetSize::Four } else { SetSize::Three },
        fresh: false,
        order: Order::AsGiven,
        stacks: plan.stacks.iter().map(stack).collect(),
        shelves: Vec::new(),
    }
}

/// The stacks of a proposal, with pieces placed by hand as they were planned where their shelf is as large.
#[must_use]
pub fn kept_by_hand(plan: &PlanSaved, mut stacks: Vec<PlannedStack>) -> Vec<PlannedStack> {
    for stack in &mut stacks {
        let old = plan.stacks.iter().find(|one| one.place == stack.place);
        for (layer, old) in stack.layers.iter_mut().zip(old.into_iter().flat_map(|one| &one.layers)) {
            if let (Some(now), Some(then)) = (layer.shelves.first_mut(), old.shelves.first()) {
                now.ware = then.ware.clone();
            }
        }
    }
    stacks
}
