//! A first filling of a plan: sets of the wanted heights and shelves that fit, so that there is something to check.
//!
//! Lower layers first: the best marks low, what wants looking at high. What this does not do: search. It takes
//! pieces in the order of their marks, and every layer can be changed.
use crate::cone_name::ConeName;
use crate::event::plan::{PlannedLayer, PlannedShelf, PlannedStack, PlannedSupport, PlannedWare, StackPlace};
use crate::event::values::{Piece, Use, Ware};
use crate::ids::{SetId, ShelfId};
use crate::judge::shelf::bending::Slab;
use crate::judge::{post_set, shelf};
use crate::outline::{Outline, Spot};
use crate::settings::SettingKey;
use crate::units::{Length, Mass};
use crate::view::Shape;
use crate::view::plans::bench::Bench;
use crate::view::plans::new::{is_free, sets_by_height};
use crate::view::plans::turned::{bounds, usual_spots};
use crate::world::World;
use std::collections::BTreeMap;

/// The layers wanted in one place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Wanted {
    /// The place's name.
    pub place: String,
    /// The nominal heights, the lowest layer first.
    pub layers: Vec<Length>,
}

/// What is left over the tallest piece for its gap and the sag of the shelf above. House choice: 6 mm for the gap
/// (common practice), and as much again and a little for sag and a thick foot: 15 mm.
const OVER_WARE: Length = Length(15_000_000);
/// The tallest piece on a topmost shelf. House choice: 100 mm, a mug.
const TOPMOST: Length = Length(100_000_000);
/// The tallest is said on fives: a rule is read no finer across a load.
const STEP: i64 = 5_000_000;

/// The stacks with a first choice of everything.
#[must_use]
pub fn fill(bench: &Bench, ware: Ware, cone: ConeName, wanted: &[Wanted]) -> Vec<PlannedStack> {
    let _ = cone;
    let world = bench.world();
    let places = bench.kiln.inside.as_ref().map_or(&[][..], |inside| &inside.places);
    let mut stock = Stock::of(&world, bench);
    let mut stacks: Vec<PlannedStack> = wanted
        .iter()
        .filter_map(|one| places.iter().find(|place| place.name == one.place))
        .map(|place| PlannedStack { place: place.name.clone(), at: place.at, layers: Vec::new() })
        .collect();
    let most = wanted.iter().map(|one| one.layers.len()).max().unwrap_or(0);
    // Layer by layer over all places: the best pieces stand at the bottom of every stack.
    for number in 0..most {
        for stack in &mut stacks {
            let Some(asked) = wanted.iter().find(|one| one.place == stack.place) else { continue };
            let Some(place) = places.iter().find(|place| place.name == stack.place) else { continue };
            let Some(nominal) = asked.layers.get(number) else { continue };
            let above = asked.layers.get(number + 1).copied();
            stack.layers.push(one_layer(&world, &mut stock, place, *nominal, (above, ware)));
        }
    }
    stacks.retain(|stack| !stack.layers.is_empty());
    stacks
}

/// What is not used yet, the best first.
struct Stock {
    shelves: Vec<ShelfId>,
    sets: BTreeMap<Length, Vec<SetId>>,
}

impl Stock {
    fn of(world: &World, bench: &Bench) -> Self {
        let mut shelves: Vec<(Shape, &crate::code::Code, ShelfId)> = bench
            .shelves
            .iter()
            .filter(|one| is_free(world, Piece::Shelf(one.id)) && one.kiln == bench.kiln.id)
            .map(|one| (shelf::judge(world, one).mark.shape, &one.code, one.id))
            .filter(|(shape, ..)| *shape < Shape::Stop)
            .collect();
        shelves.sort();
        let mut sets = BTreeMap::new();
        for (nominal, ids) in sets_by_height(world, &bench.kiln) {
            let mut ranked: Vec<(Shape, String, SetId)> = ids
                .into_iter()
                .filter_map(|id| world.sets.get(&id))
                .filter(|set| set.posts.iter().all(|post| is_free(world, Piece::Post(*post))))
                .map(|set| (post_set::judge(world, set).mark.shape, set.code.to_string(), set.id))
                .filter(|(shape, ..)| *shape < Shape::Stop)
                .collect();
            ranked.sort();
            sets.insert(nominal, ranked.into_iter().map(|(_, _, id)| id).collect());
        }
        Self { shelves: shelves.into_iter().map(|(_, _, id)| id).collect(), sets }
    }

    fn take_set(&mut self, nominal: Length) -> Option<SetId> {
        let sets = self.sets.get_mut(&nominal).filter(|sets| !sets.is_empty())?;
        Some(sets.remove(0))
    }

    /// The first shelf that fills the place, as it must lie; else two halves.
    fn take_shelves(&mut self, world: &World, place: &StackPlace) -> Vec<PlannedShelf> {
        let outline = |id: &ShelfId| world.shelves.get(id).map(|one| one.outline);
        let lies = |outline: &Outline| (0..2).find(|turns| covers(outline, *turns, place));
        let whole = self.shelves.iter().position(|id| outline(id).is_some_and(|one| lies(&one).is_some()));
        if let Some(at) = whole {
            let id = self.shelves.remove(at);
            let turns = outline(&id).and_then(|one| lies(&one)).unwrap_or(0);
            return vec![laid(id, Spot { x_nm: Length::ZERO, y_nm: Length::ZERO }, turns)];
        }
        let half = |id: &ShelfId| match outline(id) {
            Some(Outline::HalfRound { diameter_nm }) => {
                diameter_nm <= place.length_nm && diameter_nm <= place.width_nm
            }
            _ => false,
        };
        let halves: Vec<ShelfId> = self.shelves.iter().copied().filter(half).take(2).collect();
        let [front, back] = halves.as_slice() else { return Vec::new() };
        self.shelves.retain(|id| id != front && id != back);
        let middle = outline(front).map_or(Length::ZERO, |one| one.bounds().1);
        let at = |y_nm| Spot { x_nm: Length::ZERO, y_nm };
        vec![laid(*front, at(Length::ZERO), 2), laid(*back, at(middle), 0)]
    }
}

fn laid(shelf: ShelfId, at: Spot, quarter_turns: u8) -> PlannedShelf {
    PlannedShelf { shelf: Some(shelf), at, quarter_turns, ware: PlannedWare::default() }
}

/// Whether an outline fits a place and fills more than half of it.
fn covers(outline: &Outline, turns: u8, place: &StackPlace) -> bool {
    let (long, wide) = bounds(outline, turns);
    let fits = long <= place.length_nm && wide <= place.width_nm;
    let room = place.length_nm.mm() * place.width_nm.mm() / 1e6;
    fits && outline.area_m2() > 0.5 * room
}

fn one_layer(
    world: &World,
    stock: &mut Stock,
    place: &StackPlace,
    nominal: Length,
    (above, ware): (Option<Length>, Ware),
) -> PlannedLayer {
    let mut shelves = stock.take_shelves(world, place);
    let tallest = above.map_or(TOPMOST, |above| above - OVER_WARE);
    for one in &mut shelves {
        let usual = one.shelf.and_then(|id| world.shelves.get(&id)).map(|shelf| usual_load(world, shelf));
        one.ware = PlannedWare {
            used_for: Some(if ware == Ware::Bisque { Use::Bisque } else { Use::General }),
            tallest_nm: Length((tallest.0 / STEP * STEP).max(0)),
            mass_mg: usual.unwrap_or_default(),
            ..PlannedWare::default()
        };
    }
    if shelves.is_empty() {
        let at = Spot { x_nm: Length::ZERO, y_nm: Length::ZERO };
        shelves.push(PlannedShelf { shelf: None, at, quarter_turns: 0, ware: PlannedWare::default() });
    }
    let set = stock.take_set(nominal);
    let supports = supports(world, place, &shelves, set);
    PlannedLayer { set, supports, shelves }
}

/// Ware by the shelf's own mass; of a round one by its area.
fn usual_load(world: &World, shelf: &crate::world::Shelf) -> Mass {
    if let Ok(slab) = Slab::of(world, shelf) {
        return slab.usual_load();
    }
    // The same rule for an outline that the plate calculation refuses: by a square of the same area.
    let side = Length::from_mm(libm::sqrt(shelf.outline.area_m2()) * 1000.0);
    let square = Outline::Rectangle { length_nm: side, width_nm: side };
    let alike = crate::world::Shelf { outline: square, ..shelf.clone() };
    Slab::of(world, &alike).map_or_else(|_| Mass::default(), |slab| slab.usual_load())
}

/// The set's posts by the inset under these shelves; open ones where there are fewer.
#[must_use]
pub fn supports(
    world: &World,
    place: &StackPlace,
    shelves: &[PlannedShelf],
    set: Option<SetId>,
) -> Vec<PlannedSupport> {
    let outlines: Vec<(Outline, PlannedShelf)> = shelves
        .iter()
        .map(|one| {
            let known = one.shelf.and_then(|id| world.shelves.get(&id)).map(|shelf| shelf.outline);
            let open = Outline::Rectangle { length_nm: place.length_nm, width_nm: place.width_nm };
            (known.unwrap_or(open), one.clone())
        })
        .collect();
    let posts = set.and_then(|id| world.sets.get(&id)).map_or(&[][..], |set| &set.posts);
    let inset = world.settings.length(SettingKey::Inset);
    let n_posts = if posts.len() == 4 && outlines.len() == 1 { 4 } else { 3 };
    usual_spots(&outlines, n_posts, inset)
        .into_iter()
        .enumerate()
        .map(|(at, spot)| PlannedSupport {
            at: spot,
            posts: posts.get(at).copied().into_iter().collect(),
            shim_nm: Length::ZERO,
            wad_nm: Length::ZERO,
        })
        .collect()
}
