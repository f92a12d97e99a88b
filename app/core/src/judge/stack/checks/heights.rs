//! Heights: what is left over the ware of each layer, under the next shelf, the roof or the arch.
//!
//! Clear height = posts + shim + wads − sag of the shelf above − tallest piece − gap, at the place where the two
//! shelves' planes come nearest. What this does not do: places in plan; `room` does.
use super::{At, Case, faces::sag, of_shelf};
use crate::event::PlanSaved;
use crate::event::plan::Chamber;
use crate::judge::stack::CheckKind;
use crate::judge::stack::hull::Plan;
use crate::judge::stack::lay::{LaidShelf, LaidStack};
use crate::judge::stack::statics::{Standing, Stood};
use crate::settings::SettingKey;
use crate::units::Length;
use crate::world::{KilnInside, World};

/// What is left over the ware of one shelf.
#[derive(Clone, Copy, Debug)]
pub(in crate::judge::stack) struct Headroom {
    /// The layer, from 0.
    pub layer: usize,
    /// The shelf, by its place in the stack's list.
    pub shelf: usize,
    /// What is left after gap and sag; negative where it does not fit.
    pub left: Length,
    /// The shelf above; none where it is the roof.
    pub above: Option<usize>,
}

/// Every stack's headrooms.
pub(in crate::judge::stack) fn headrooms(
    world: &World,
    plan: &PlanSaved,
    stacks: &[LaidStack<'_>],
    standing: &[Standing],
) -> Vec<Vec<Headroom>> {
    let inside = world.kilns.get(&plan.kiln).and_then(|kiln| kiln.inside.as_ref());
    let each = stacks.iter().zip(standing);
    each.map(|(stack, standing)| {
        (0..stack.shelves.len()).filter_map(|idx| headroom(world, inside, stack, standing, idx)).collect()
    })
    .collect()
}

fn headroom(
    world: &World,
    inside: Option<&KilnInside>,
    stack: &LaidStack<'_>,
    standing: &Standing,
    idx: usize,
) -> Option<Headroom> {
    let shelf = &stack.shelves[idx];
    if !shelf.has_ware() {
        return None;
    }
    let ware = &shelf.planned.ware;
    let gap = if ware.lidded { SettingKey::GapLid } else { SettingKey::GapRim };
    let need = shelf.tallest_mm() + world.settings.length(gap).mm();
    let layer = shelf.layer;
    let above = stack.shelves_of(layer + 1).filter(|(_, one)| overlaps(shelf, one));
    let left = above.map(|(above, one)| {
        let room = lowest_over(shelf, &standing.shelves[idx], one, &standing.shelves[above]);
        (room - sag(world, one.shelf).mm() - need, Some(above))
    });
    let found = left.reduce(|least, one| if one.0 < least.0 { one } else { least });
    let found = found.or_else(|| {
        let roof = roof_over(inside?.chamber, stack, shelf);
        let clear = world.settings.length(SettingKey::ClearWall).mm();
        Some((roof - highest(shelf, &standing.shelves[idx]) - shelf.tallest_mm() - clear, None))
    });
    found.map(|(left, above)| Headroom { layer, shelf: idx, left: Length::from_mm(left), above })
}

fn overlaps(a: &LaidShelf<'_>, b: &LaidShelf<'_>) -> bool {
    let ([ax, ay], [aw, ad], [bx, by], [bw, bd]) = (a.corner(), a.size(), b.corner(), b.size());
    ax < bx + bw && bx < ax + aw && ay < by + bd && by < ay + ad
}

/// A shelf's top at a place.
fn top_at(shelf: &LaidShelf<'_>, stood: &Stood, at: Plan) -> f64 {
    let centre = shelf.centre();
    stood.top_mm + stood.slope[0] * (at[0] - centre[0]) + stood.slope[1] * (at[1] - centre[1])
}

/// The places where two planes over a shelf are nearest or farthest: its bounding corners.
fn bounds(shelf: &LaidShelf<'_>) -> [Plan; 4] {
    let ([x, y], [w, d]) = (shelf.corner(), shelf.size());
    [[x, y], [x + w, y], [x + w, y + d], [x, y + d]]
}

pub(super) fn highest(shelf: &LaidShelf<'_>, stood: &Stood) -> f64 {
    bounds(shelf).iter().map(|at| top_at(shelf, stood, *at)).fold(f64::NEG_INFINITY, f64::max)
}

/// The least distance from a shelf's top to the underside of the one above it, over the part they share.
fn lowest_over(below: &LaidShelf<'_>, stood: &Stood, above: &LaidShelf<'_>, high: &Stood) -> f64 {
    let ([x0, y0], [w, d]) = (below.corner(), below.size());
    let shared = bounds(above).map(|[x, y]| [x.clamp(x0, x0 + w), y.clamp(y0, y0 + d)]);
    let room = shared.map(|at| top_at(above, high, at) - above.thickness_mm() - top_at(below, stood, at));
    room.into_iter().fold(f64::INFINITY, f64::min)
}

/// The lowest that the roof comes over a shelf, above the floor.
pub(super) fn roof_over(chamber: Chamber, stack: &LaidStack<'_>, shelf: &LaidShelf<'_>) -> f64 {
    let left = stack.at[0] + shelf.corner()[0];
    chamber.roof_mm(left, left + shelf.size()[0])
}

impl Case<'_> {
    pub(super) fn one_headroom(&mut self, stack: &LaidStack<'_>, room: Headroom) {
        let shelf = &stack.shelves[room.shelf];
        let check = if room.above.is_some() { CheckKind::Headroom } else { CheckKind::Roof };
        if room.left.0 >= 0 {
            return self.pass(check);
        }
        let over = room.above.map_or("the roof".to_owned(), |above| stack.shelves[above].code());
        let said = format!(
            "{}: ware of {} is {} too tall under {over}",
            shelf.code(),
            self.mm(shelf.tallest_mm()),
            self.mm(-room.left.mm())
        );
        let key = match (room.above, shelf.planned.ware.lidded) {
            (None, _) => SettingKey::ClearWall,
            (_, true) => SettingKey::GapLid,
            (_, false) => SettingKey::GapRim,
        };
        let rests_on = self.limit(key);
        let at = At::layer(stack, room.layer);
        self.stop(check, at, of_shelf(shelf), said, "take taller posts, or lower ware", rests_on);
    }
}
