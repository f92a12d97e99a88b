//! Heights against the next shelf, the roof and the arch; places against walls, keep-outs, stacks and pieces.
use super::{At, Case, of_shelf, pieces::sag};
use crate::event::PlanSaved;
use crate::event::plan::{Chamber, KeepOut};
use crate::event::values::{Fuel, KeepOutKind, Ware};
use crate::judge::stack::CheckKind;
use crate::judge::stack::hull::Plan;
use crate::judge::stack::lay::{LaidShelf, LaidStack, apart, plan};
use crate::judge::stack::statics::{Standing, Stood};
use crate::settings::SettingKey;
use crate::units::Length;
use crate::view::kiln::usual_clearance;
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

/// A box in the chamber: two opposite corners in plan, and two heights.
#[derive(Clone, Copy, Debug)]
struct Block {
    low: Plan,
    high: Plan,
    from_mm: f64,
    to_mm: f64,
}

impl Block {
    /// How far apart two blocks are in plan; negative by how far they overlap; nothing where their heights do not meet.
    fn apart(&self, other: &Self) -> Option<f64> {
        (self.from_mm < other.to_mm && other.from_mm < self.to_mm).then(|| {
            let gap =
                |axis: usize| (other.low[axis] - self.high[axis]).max(self.low[axis] - other.high[axis]);
            let (x, y) = (gap(0), gap(1));
            if x > 0.0 && y > 0.0 { libm::hypot(x, y) } else { x.max(y) }
        })
    }
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
        let roof = roof_over(inside?.chamber, stack, shelf)?;
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

fn highest(shelf: &LaidShelf<'_>, stood: &Stood) -> f64 {
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
fn roof_over(chamber: Chamber, stack: &LaidStack<'_>, shelf: &LaidShelf<'_>) -> Option<f64> {
    match chamber {
        Chamber::Box { height_nm, .. } | Chamber::Cylinder { height_nm, .. } => Some(height_nm.mm()),
        Chamber::Arched { width_nm, height_nm, spring_nm, .. } => {
            let left = stack.at[0] + shelf.corner()[0];
            let right = left + shelf.size()[0];
            let sides = [left, right].map(|x| arch_mm(width_nm.mm(), height_nm.mm(), spring_nm.mm(), x));
            sides.into_iter().reduce(f64::min)
        }
    }
}

/// The height of an arch at a distance from the left wall: a segment of a circle over the spring line.
///
/// # Source   rise s over half a chord a: radius (a² + s²) / 2 s; from the definition of the segment.
fn arch_mm(width_mm: f64, crown_mm: f64, spring_mm: f64, x_mm: f64) -> f64 {
    let (half, rise) = (width_mm / 2.0, crown_mm - spring_mm);
    if rise <= 0.0 || half <= 0.0 {
        return crown_mm;
    }
    let radius = (half * half + rise * rise) / (2.0 * rise);
    let off = (x_mm - half).abs().min(half);
    crown_mm - radius + libm::sqrt((radius * radius - off * off).max(0.0))
}

impl Case<'_> {
    pub(super) fn room(&mut self, stacks: &[LaidStack<'_>], standing: &[Standing]) {
        let rooms = headrooms(self.world, self.plan, stacks, standing);
        for (stack, rooms) in stacks.iter().zip(rooms) {
            for room in rooms {
                self.one_headroom(stack, room);
            }
            stack.shelves.iter().for_each(|shelf| self.placed(stack, shelf));
        }
        if let Some(inside) = self.kiln.and_then(|kiln| kiln.inside.as_ref()) {
            for (stack, standing) in stacks.iter().zip(standing) {
                self.walls(inside, stack, standing);
            }
        }
        self.neighbours(stacks, standing);
    }

    fn one_headroom(&mut self, stack: &LaidStack<'_>, room: Headroom) {
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

    /// Shelves and ware against the walls and the parts to keep clear.
    fn walls(&mut self, inside: &KilnInside, stack: &LaidStack<'_>, standing: &Standing) {
        let fuel_kiln = self.kiln.is_some_and(|kiln| kiln.fuel != Fuel::Electric);
        let wanted = if fuel_kiln { self.setting_mm(SettingKey::ClearWall) } else { 0.0 };
        for (idx, shelf) in stack.shelves.iter().enumerate() {
            let at = At::layer(stack, shelf.layer);
            let block = block(stack, shelf, &standing.shelves[idx]);
            let clear = wall_mm(inside.chamber, stack, shelf, &block);
            let code = shelf.code();
            let rests_on = self.limit(SettingKey::ClearWall);
            if clear < 0.0 {
                let said = format!("{code} reaches {} into the wall", self.mm(-clear));
                self.stop(
                    CheckKind::Wall,
                    at,
                    of_shelf(shelf),
                    said,
                    "move the stack, or take a smaller shelf",
                    rests_on,
                );
            } else if clear < wanted {
                let said = format!("{code} is {} from the wall", self.mm(clear));
                self.look(
                    CheckKind::Wall,
                    at,
                    of_shelf(shelf),
                    said,
                    "move the stack away from it",
                    rests_on,
                );
            } else {
                self.pass(CheckKind::Wall);
            }
            for keep_out in &inside.keep_outs {
                self.keep_out(keep_out, shelf, &block, at);
            }
        }
    }

    fn keep_out(&mut self, keep_out: &KeepOut, shelf: &LaidShelf<'_>, block: &Block, at: At<'_>) {
        let own = keep_out.clearance_nm;
        let wanted = own.unwrap_or_else(|| usual_clearance(&self.world.settings, keep_out.kind));
        let low = plan(keep_out.at);
        let high = [low[0] + keep_out.length_nm.mm(), low[1] + keep_out.width_nm.mm()];
        let part = Block { low, high, from_mm: keep_out.from_nm.mm(), to_mm: keep_out.to_nm.mm() };
        let Some(apart) = block.apart(&part).filter(|apart| *apart < wanted.mm()) else {
            return self.pass(CheckKind::KeepOut);
        };
        let what = keep_out.kind.said();
        let from = if own.is_some() { "this kiln\u{2019}s own" } else { "the studio\u{2019}s usual one" };
        let rests_on = format!("{} kept from the {what} ({from})", self.length(wanted));
        if apart < 0.0 {
            let said = format!("{} or its ware stands in the way of the {what}", shelf.code());
            self.stop(CheckKind::KeepOut, at, of_shelf(shelf), said, "move the stack", rests_on);
        } else {
            let said = format!("{} is {} from the {what}", shelf.code(), self.mm(apart));
            let hot = matches!(keep_out.kind, KeepOutKind::Element | KeepOutKind::BurnerPort);
            let fix = if hot { "move it away: ware and posts near it overheat" } else { "move it away" };
            self.look(CheckKind::KeepOut, at, of_shelf(shelf), said, fix, rests_on);
        }
    }

    /// Stacks against each other: shelves that would overlap.
    fn neighbours(&mut self, stacks: &[LaidStack<'_>], standing: &[Standing]) {
        let all = || stacks.iter().zip(standing).enumerate();
        for (n, (stack, stood)) in all() {
            for (_, (other, others)) in all().skip(n + 1) {
                for (idx, shelf) in stack.shelves.iter().enumerate() {
                    let own = block(stack, shelf, &stood.shelves[idx]);
                    let met = other.shelves.iter().enumerate().find(|(at, one)| {
                        let apart = own.apart(&block(other, one, &others.shelves[*at]));
                        apart.is_some_and(|apart| apart < 0.0)
                    });
                    let Some((_, met)) = met else {
                        self.pass(CheckKind::Neighbour);
                        continue;
                    };
                    let said = format!(
                        "{} and {} of {} are in each other\u{2019}s way",
                        shelf.code(),
                        met.code(),
                        other.place
                    );
                    let pieces = of_shelf(shelf).into_iter().chain(of_shelf(met)).collect();
                    let at = At::layer(stack, shelf.layer);
                    self.stop(
                        CheckKind::Neighbour,
                        at,
                        pieces,
                        said,
                        "move one of the stacks",
                        "from the plan\u{2019}s own places",
                    );
                }
            }
        }
    }

    /// Pieces placed by hand: on the shelf, clear of each other and of the posts of the layer above.
    fn placed(&mut self, stack: &LaidStack<'_>, shelf: &LaidShelf<'_>) {
        let pieces = &shelf.planned.ware.pieces;
        let gap = if self.plan.ware == Ware::Bisque { 0.0 } else { self.setting_mm(SettingKey::GapPots) };
        let at = At::layer(stack, shelf.layer);
        let rests_on = self.limit(SettingKey::GapPots);
        for (n, piece) in (1_usize..).zip(pieces) {
            let (place, radius) = (plan(piece.at), piece.diameter_nm.mm() / 2.0);
            let other = pieces.iter().enumerate().skip(n).find(|(_, other)| {
                apart(place, plan(other.at)) - radius - other.diameter_nm.mm() / 2.0 < gap
            });
            let posts = stack.supports_of(shelf.layer + 1).map(|(_, one)| one);
            let post = posts.into_iter().find(|one| apart(place, one.at) - radius - one.half_mm() < gap);
            let said = match (other, post) {
                (Some((other, _)), _) => {
                    format!("{}: pieces {n} and {} are too near each other", shelf.code(), other + 1)
                }
                (None, Some(post)) => format!("{}: piece {n} is too near {}", shelf.code(), post.codes()),
                (None, None) if shelf.inset_mm(place) < 0.0 => {
                    format!("{}: piece {n} stands beside the shelf", shelf.code())
                }
                (None, None) => {
                    self.pass(CheckKind::Pieces);
                    continue;
                }
            };
            self.look(CheckKind::Pieces, at, of_shelf(shelf), said, "move one of them", rests_on.clone());
        }
    }
}

/// A shelf with its ware as a block of the chamber.
fn block(stack: &LaidStack<'_>, shelf: &LaidShelf<'_>, stood: &Stood) -> Block {
    let ([x, y], [w, d]) = (shelf.corner(), shelf.size());
    let low = [stack.at[0] + x, stack.at[1] + y];
    Block {
        low,
        high: [low[0] + w, low[1] + d],
        from_mm: stood.top_mm - shelf.thickness_mm(),
        to_mm: stood.top_mm + shelf.tallest_mm(),
    }
}

/// How far a shelf is from the nearest wall; negative where it reaches into it.
fn wall_mm(chamber: Chamber, stack: &LaidStack<'_>, shelf: &LaidShelf<'_>, block: &Block) -> f64 {
    match chamber {
        Chamber::Box { width_nm, depth_nm, .. } | Chamber::Arched { width_nm, depth_nm, .. } => {
            let sides =
                [block.low[0], block.low[1], width_nm.mm() - block.high[0], depth_nm.mm() - block.high[1]];
            sides.into_iter().fold(f64::INFINITY, f64::min)
        }
        Chamber::Cylinder { diameter_nm, .. } => {
            let radius = diameter_nm.mm() / 2.0;
            let out = |at: Plan| [at[0] + stack.at[0], at[1] + stack.at[1]];
            let corners = shelf.corners();
            let far = |at: Plan| apart(out(at), [radius, radius]);
            let farthest = corners.iter().map(|(_, at)| far(*at)).reduce(f64::max);
            // Where there are no corners it is a disc; half a disc has its arc beside its corners.
            let (middle, own) = (shelf.arc_centre(), shelf.shelf.outline.bounds().0.mm() / 2.0);
            let round = middle.map(|middle| far(middle) + own);
            radius - farthest.into_iter().chain(round).fold(0.0, f64::max)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1000 wide, spring line 900, crown 1200: rise 300 over 500, radius (500² + 300²) / 600 = 566.67; at 250 mm from
    /// the middle the arch is 1200 − 566.67 + √(566.67² − 250²) = 1141.87 mm high.
    #[test]
    fn an_arch_is_a_segment_of_a_circle() {
        let at = |x: f64| arch_mm(1000.0, 1200.0, 900.0, x);
        assert!((at(500.0) - 1200.0).abs() < 1e-9);
        assert!((at(0.0) - 900.0).abs() < 1e-9 && (at(1000.0) - 900.0).abs() < 1e-9);
        assert!((at(250.0) - 1141.8715).abs() < 1e-3, "{}", at(250.0));
    }

    #[test]
    fn blocks_are_apart_in_plan_where_their_heights_meet() {
        let block = |x: f64, from_mm: f64| Block {
            low: [x, 0.0],
            high: [x + 100.0, 50.0],
            from_mm,
            to_mm: from_mm + 10.0,
        };
        assert_eq!(block(0.0, 0.0).apart(&block(130.0, 5.0)), Some(30.0));
        assert_eq!(block(0.0, 0.0).apart(&block(90.0, 5.0)), Some(-10.0));
        assert_eq!(block(0.0, 0.0).apart(&block(0.0, 10.0)), None);
    }
}
