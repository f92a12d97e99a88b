//! The numbers of a checked stack, as pages show them.
use super::checks::Headroom;
use super::lay::LaidStack;
use super::order;
use super::plate::BentShelf;
use super::statics::{Standing, length_of};
use super::together;
use crate::ids::ShelfId;
use crate::outline::Spot;
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// One stack.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct StackFigures {
    /// Its place.
    pub place: String,
    /// Its layers, the lowest first.
    pub layers: Vec<LayerFigures>,
    /// The topmost shelf's top over the floor.
    pub height_mm: f64,
    /// How far that top has moved sideways.
    pub lean_mm: f64,
}

/// One layer.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct LayerFigures {
    /// Where its supports stand, over the kiln's floor.
    pub floor_mm: f64,
    /// The top of its shelves; of the highest where they differ.
    pub top_mm: f64,
    /// What is left over the ware that stands on this layer, after gap and sag; below 0 where it does not fit. None
    /// where nothing stands on it, or what is above is not known.
    pub clear: Option<Length>,
    /// Greatest less least height of its supports, where all are measured.
    pub spread: Option<Length>,
    /// The steepest slope of its shelves, everything below added up.
    pub slope_mm_per_m: f64,
    /// The farthest that one of its shelves' tops has moved sideways.
    pub lean_mm: f64,
    /// All that its supports carry, without posts.
    pub carried_kg: f64,
    /// Its shelves, in the plan's order; those not chosen yet are left out.
    pub shelves: Vec<ShelfFigures>,
}

/// One shelf.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct ShelfFigures {
    /// Which.
    pub shelf: ShelfId,
    /// Its code.
    pub code: String,
    /// Its place in the plan's list of the layer's shelves.
    pub index: usize,
    /// Signed distance of the centre of mass of all that it carries, itself included, to the sides of its support
    /// polygon, with everything in place; none where fewer than three supports carry it.
    pub margin_mm: Option<f64>,
    /// The least of it in any state of loading, everything above included.
    pub least_margin_mm: Option<f64>,
    /// Its own mass, by its material's density.
    pub own_kg: f64,
    /// The ware that stands on it.
    pub load_kg: f64,
    /// All that its supports carry, itself included.
    pub carried_kg: f64,
    /// The greatest deflection under that load; none where it is not worked out.
    pub deflection_mm: Option<f64>,
    /// The greatest stress.
    pub stress_mpa: Option<f64>,
    /// Where to load first and last; unloading is the reverse.
    pub loading: Vec<LoadingStep>,
    /// What tips it at each corner.
    pub corners: Vec<CornerTip>,
    /// What else goes if this one goes, or one of its supports: "left, layer 3: S14".
    pub falls_with: Vec<String>,
}

/// One step of loading a shelf.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct LoadingStep {
    /// Where, in words: "middle", "front right: piece 2".
    pub place: String,
    /// Where, in the stack.
    pub at: Spot,
    /// What is set there.
    pub mass_kg: f64,
    /// The least mass which, set there at this moment, brings the shelf to the point of tipping; none where the
    /// place is within the support polygon.
    pub tips_at_kg: Option<f64>,
}

/// What tips a shelf at one corner.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct CornerTip {
    /// Which, in words, as the shelf lies.
    pub place: String,
    /// Where, in the stack.
    pub at: Spot,
    /// The least mass that tips the empty shelf; none where no mass can.
    pub bare_kg: Option<f64>,
    /// The same once its own ware stands on it.
    pub laden_kg: Option<f64>,
}

/// Every stack's figures.
pub(super) fn of_all(
    stacks: &[LaidStack<'_>],
    standing: &[Standing],
    bent: &[Vec<Option<BentShelf>>],
    headroom: &[Vec<Headroom>],
) -> Vec<StackFigures> {
    let both = stacks.iter().zip(standing);
    both.zip(bent.iter().zip(headroom))
        .map(|((stack, standing), (bent, rooms))| of_stack(stack, standing, bent, rooms))
        .collect()
}

fn of_stack(
    stack: &LaidStack<'_>,
    standing: &Standing,
    bent: &[Option<BentShelf>],
    rooms: &[Headroom],
) -> StackFigures {
    let layers: Vec<LayerFigures> = (0..stack.n_layers)
        .map(|layer| {
            let own = || stack.shelves_of(layer);
            let most = |of: &dyn Fn(usize) -> f64| own().map(|(idx, _)| of(idx)).fold(0.0, f64::max);
            let supports = || stack.supports.iter().filter(|support| support.layer == layer);
            let heights: Vec<Length> = supports().filter_map(|support| support.measured).collect();
            let all = heights.len() == supports().count();
            let rooms = rooms.iter().filter(|room| room.layer == layer);
            LayerFigures {
                floor_mm: standing.floor_mm(stack, layer),
                top_mm: most(&|idx| standing.shelves[idx].mean_top_mm),
                clear: rooms.map(|room| room.left).min(),
                spread: heights.iter().max().zip(heights.iter().min()).filter(|_| all).map(|(a, b)| *a - *b),
                slope_mm_per_m: most(&|idx| 1000.0 * length_of(standing.shelves[idx].slope)),
                lean_mm: most(&|idx| length_of(standing.shelves[idx].lean)),
                carried_kg: own().map(|(idx, _)| standing.shelves[idx].carried_kg).sum(),
                shelves: own().map(|(idx, _)| of_shelf(stack, standing, bent, idx)).collect(),
            }
        })
        .collect();
    StackFigures {
        place: stack.place.to_owned(),
        height_mm: layers.last().map_or(0.0, |layer| layer.top_mm),
        lean_mm: layers.last().map_or(0.0, |layer| layer.lean_mm),
        layers,
    }
}

fn of_shelf(
    stack: &LaidStack<'_>,
    standing: &Standing,
    bent: &[Option<BentShelf>],
    idx: usize,
) -> ShelfFigures {
    let (laid, stood) = (&stack.shelves[idx], &standing.shelves[idx]);
    let bent = bent.get(idx).and_then(Option::as_ref);
    ShelfFigures {
        shelf: laid.shelf.id,
        code: laid.shelf.code.to_string(),
        index: laid.index,
        margin_mm: stood.margin_mm,
        least_margin_mm: stood.least.as_ref().map(|least| least.margin_mm),
        own_kg: laid.own_kg,
        load_kg: laid.ware_kg(),
        carried_kg: stood.carried_kg,
        deflection_mm: bent.map(|bent| bent.deflection_mm),
        stress_mpa: bent.map(|bent| bent.stress_mpa),
        loading: order::steps_said(standing, idx),
        corners: order::corners(stack, standing, idx),
        falls_with: together::falls_with(stack, idx),
    }
}
