//! The proposal: the choice set down as stacks, and what is said of it.
//!
//! Posts stand where the usual inset puts them, over one another from the floor up; of the orders in which a set's posts
//! can stand, each layer gets the one that leaves the stack the most upright.
//!
//! What this does not do: check the plan; `judge::stack` does, and a person may change everything.
use super::options::{SetOption, turns};
use super::part::leave_empty;
use super::question::{NoProposal, Question};
use super::search::{Found, Search};
use super::wanted::Wanted;
use super::weights::DROPPED;
use crate::event::plan::{PlannedLayer, PlannedShelf, PlannedStack, PlannedSupport, StackPlace};
use crate::event::values::Piece;
use crate::geometry::PlanPoint;
use crate::geometry::three_post::gradient;
use crate::geometry::triangle::Triangle;
use crate::ids::PostId;
use crate::outline::{Outline, Spot};
use crate::units::Length;
use crate::view::text::{count, percent};
use crate::world::World;

/// A plan's stacks as proposed.
///
/// The objective is a sum of points, a point being a hundredth of a millimetre of headroom; the less the better:
/// how near each shelf's flatness is to the limit of its use; wear, counted for every layer that a shelf carries, so that
/// the best lie low; cracks; headroom lost to sag and to posts under their nominal height; spread, counted for every layer
/// that a set carries; shims; area of the place left bare. The weights are [`super::weights`].
#[derive(Clone, PartialEq, Debug)]
pub struct Proposal {
    /// The stacks, to be saved as a plan's.
    pub stacks: Vec<PlannedStack>,
    /// What the choice costs, in points.
    pub objective: i64,
    /// What no choice can cost less than.
    pub bound: i64,
    /// The difference: 0 where the choice is proved to be the best.
    pub gap: i64,
    /// Pieces of the racks that may not lie in any of these layers, by kind and code, and why.
    pub left_out: Vec<(Piece, String)>,
    /// What a person should know of it, one line each.
    pub said: Vec<String>,
}

/// Fills a plan, from the question to the end of the search.
///
/// # Errors   [`NoProposal`] where there is no kiln, inside or place for it.
pub fn propose(world: &World, wanted: &Wanted) -> Result<Proposal, NoProposal> {
    Ok(Search::new(Question::of(world, wanted)?).run().finish())
}

impl Search {
    /// What was found so far; a search that has not begun is given one slice.
    #[must_use]
    pub fn finish(mut self) -> Proposal {
        if self.progress().best.is_none() {
            self.step(1);
        }
        let (question, found) = self.into_found();
        match found {
            Some(found) => proposal(question, &found),
            None => Proposal {
                stacks: Vec::new(),
                objective: 0,
                bound: 0,
                gap: 0,
                left_out: question.left_out,
                said: question.said,
            },
        }
    }
}

fn proposal(question: Question, found: &Found) -> Proposal {
    let stacks = (0..question.stacks.len()).map(|stack| planned(&question, found, stack)).collect();
    let (objective, bound) = (found.choice.cost, found.bound.min(found.choice.cost));
    let mut said = vec![how_good(&question, found)];
    said.extend(empty_layers(&question, found));
    said.extend(sets_to_make(&question, found));
    said.extend(question.said);
    Proposal { stacks, objective, bound, gap: objective - bound, left_out: question.left_out, said }
}

/// How near the best it is.
fn how_good(question: &Question, found: &Found) -> String {
    let choice = &found.choice;
    let mut penalties = DROPPED.saturating_mul(i64::try_from(question.dropped).unwrap_or(0));
    for slot in 0..question.slots.len() {
        let empty = i64::from(choice.shelves[slot].is_none()) + i64::from(choice.sets[slot].is_none());
        penalties += empty * leave_empty(question, slot);
    }
    let points = choice.cost - penalties;
    let gap = choice.cost - found.bound;
    if !found.keeps_all {
        return "No choice was found that leaves room everywhere and keeps each stack to one size of shelf and under the \
                roof; this one comes nearest"
            .to_owned();
    }
    if gap <= 0 {
        return format!(
            "Proved: no other choice of these shelves and sets for these layers is better, at {points} points (a point is a \
             hundredth of a millimetre of headroom; the weights are house choices)"
        );
    }
    #[expect(clippy::cast_precision_loss, reason = "a share for reading")]
    let share = gap as f64 / points.max(1) as f64;
    format!(
        "Stopped before it was proved: {points} points, at most {gap} ({}) more than the best there can be",
        percent(share)
    )
}

fn layer_said(question: &Question, slot: usize) -> String {
    let one = &question.slots[slot];
    let place = question.stacks.get(one.stack).map_or("", |stack| stack.place.name.as_str());
    format!("{place}, layer {}", one.layer + 1)
}

fn empty_layers<'a>(question: &'a Question, found: &'a Found) -> impl Iterator<Item = String> + use<'a> {
    (0..question.slots.len()).filter_map(|slot| {
        let what = match (found.choice.shelves[slot], found.choice.sets[slot]) {
            (Some(_), Some(_)) => return None,
            (None, Some(_)) => "no shelf is left that may lie there",
            (Some(_), None) => "no set of posts is left for it",
            (None, None) => "neither shelf nor set is left for it",
        };
        Some(format!("{}: {what}", layer_said(question, slot)))
    })
}

/// Sets that are to be put together first.
fn sets_to_make(question: &Question, found: &Found) -> Option<String> {
    let new: Vec<String> = (0..question.slots.len())
        .filter_map(|slot| {
            let set = found.choice.sets[slot].and_then(|set| question.sets.get(set))?;
            set.set.is_none().then(|| format!("{} ({})", set.code, layer_said(question, slot)))
        })
        .collect();
    (!new.is_empty()).then(|| {
        format!("{} not made yet: {}", count(new.len() as u64, "set is", "sets are"), new.join("; "))
    })
}

fn planned(question: &Question, found: &Found, at: usize) -> PlannedStack {
    let stack = &question.stacks[at];
    let mut lean = [0.0, 0.0];
    let chosen = |slot: usize| found.choice.shelves[slot].and_then(|shelf| question.shelves.get(shelf));
    // One frame for the whole stack, so that posts stand over posts.
    let frame =
        stack.slots.clone().find_map(chosen).and_then(|shelf| question.kinds.get(shelf.kind).copied());
    let layers = stack.slots.clone().map(|slot| {
        let set = found.choice.sets[slot].and_then(|set| question.sets.get(set));
        let shelf = chosen(slot);
        let spots = frame.map_or_else(Vec::new, |frame| spots(question, &stack.place, &frame));
        let shelves = shelf.map(|shelf| {
            let (at, quarter_turns) = laid(&stack.place, &shelf.outline);
            let ware = question.slots[slot].ware.clone();
            PlannedShelf { shelf: Some(shelf.shelf), at, quarter_turns, ware }
        });
        let unfilled = || {
            let ware = question.slots[slot].ware.clone();
            let at = Spot { x_nm: Length::ZERO, y_nm: Length::ZERO };
            PlannedShelf { shelf: None, at, quarter_turns: 0, ware }
        };
        PlannedLayer {
            set: set.and_then(|set| set.set),
            supports: supports(set, &spots, &mut lean, question.slots[slot].layer),
            shelves: vec![shelves.unwrap_or_else(unfilled)],
        }
    });
    let layers = layers.collect();
    PlannedStack { place: stack.place.name.clone(), at: stack.place.at, layers }
}

/// Where a shelf lies in its place: in the middle.
fn laid(place: &StackPlace, outline: &Outline) -> (Spot, u8) {
    let quarter_turns = turns(outline, place.length_nm, place.width_nm).unwrap_or(0);
    let (long, wide) = outline.bounds();
    let (long, wide) = if quarter_turns % 2 == 1 { (wide, long) } else { (long, wide) };
    let half = |room: Length, of: Length| Length((room.0 - of.0) / 2);
    (Spot { x_nm: half(place.length_nm, long), y_nm: half(place.width_nm, wide) }, quarter_turns)
}

/// Where the posts of a stack stand.
fn spots(question: &Question, place: &StackPlace, frame: &Outline) -> Vec<Spot> {
    let (corner, quarter_turns) = laid(place, frame);
    let spots = frame.post_spots(question.n_posts, question.inset);
    let moved = |spot: Spot| {
        let spot = frame.turned(quarter_turns, spot);
        Spot { x_nm: corner.x_nm + spot.x_nm, y_nm: corner.y_nm + spot.y_nm }
    };
    spots.into_iter().map(moved).collect()
}

/// The posts in their places. `lean` is the slope of all layers below, and of this one when it returns.
fn supports(
    set: Option<&SetOption>,
    spots: &[Spot],
    lean: &mut [f64; 2],
    layer: usize,
) -> Vec<PlannedSupport> {
    let Some(set) = set else {
        return spots.iter().map(|at| PlannedSupport { at: *at, ..nobody() }).collect();
    };
    let order = match <[Spot; 3]>::try_from(spots) {
        Ok(three) if set.posts.len() == 3 => most_upright(set, three, lean),
        _ => across(set.posts.len(), layer),
    };
    let support = |(at, post): (&Spot, usize)| {
        let posts: Vec<PostId> = set.posts.get(post).map(|(id, _)| *id).into_iter().collect();
        let shim_nm = if post == 0 { set.shim } else { Length::ZERO };
        PlannedSupport { at: *at, posts, shim_nm, wad_nm: Length::ZERO }
    };
    spots.iter().zip(order).map(support).collect()
}

fn nobody() -> PlannedSupport {
    let nowhere = Spot { x_nm: Length::ZERO, y_nm: Length::ZERO };
    PlannedSupport { at: nowhere, posts: Vec::new(), shim_nm: Length::ZERO, wad_nm: Length::ZERO }
}

/// Of the six orders of three posts the one that leaves the least slope with the layers below; of equals the first.
fn most_upright(set: &SetOption, spots: [Spot; 3], lean: &mut [f64; 2]) -> Vec<usize> {
    const ORDERS: [[usize; 3]; 6] = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
    let corners = spots.map(|spot| PlanPoint { x_mm: spot.x_nm.mm(), y_mm: spot.y_nm.mm() });
    let Some(triangle) = Triangle::new(corners) else { return ORDERS[0].to_vec() };
    let top = |post: usize| {
        let height = set.posts.get(post).map_or(Length::ZERO, |(_, height)| *height);
        (if post == 0 { height + set.shim } else { height }).mm()
    };
    let with = |order: [usize; 3]| {
        let slope = gradient(&triangle, order.map(top));
        [lean[0] + slope[0], lean[1] + slope[1]]
    };
    let steepness = |order: &[usize; 3]| {
        let [x, y] = with(*order);
        x * x + y * y
    };
    let best =
        ORDERS.iter().copied().min_by(|a, b| steepness(a).total_cmp(&steepness(b))).unwrap_or(ORDERS[0]);
    *lean = with(best);
    best.to_vec()
}

/// Four posts from the lowest up, round the corners: the lowest across from the highest, which rocks least; a corner
/// further on each layer, so that the short one is not always in the same column.
fn across(n_posts: usize, layer: usize) -> Vec<usize> {
    let mut order: Vec<usize> = if n_posts == 4 { vec![0, 1, 3, 2] } else { (0..n_posts).collect() };
    if n_posts > 0 {
        order.rotate_left(layer % n_posts);
    }
    order
}
