//! Places against walls, door, roof, parts to keep clear, the next stack and each other.
//!
//! What this does not do: what is left over the ware; `heights` does.
use super::heights::{Headroom, highest, roof_over};
use super::{At, Case, of_shelf};
use crate::event::plan::{Chamber, KeepOut};
use crate::event::values::{Fuel, KeepOutKind, Ware};
use crate::judge::stack::CheckKind;
use crate::judge::stack::hull::Plan;
use crate::judge::stack::lay::{LaidShelf, LaidStack, apart, plan};
use crate::judge::stack::statics::{Standing, Stood};
use crate::settings::SettingKey;
use crate::world::KilnInside;

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

impl Case<'_> {
    pub(super) fn room(
        &mut self,
        stacks: &[LaidStack<'_>],
        standing: &[Standing],
        headroom: &[Vec<Headroom>],
    ) {
        for (stack, rooms) in stacks.iter().zip(headroom) {
            for room in rooms {
                self.one_headroom(stack, *room);
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

    /// Shelves and ware against the walls and the parts to keep clear.
    fn walls(&mut self, inside: &KilnInside, stack: &LaidStack<'_>, standing: &Standing) {
        let key = self.wall_key(inside);
        let wanted = key.map_or(0.0, |key| self.setting_mm(key));
        for (idx, shelf) in stack.shelves.iter().enumerate() {
            let at = At::layer(stack, shelf.layer);
            let block = block(stack, shelf, &standing.shelves[idx]);
            let clear = wall_mm(inside.chamber, stack, shelf, &block);
            let code = shelf.code();
            let rests_on =
                key.map_or_else(|| "the kiln\u{2019}s inside, as measured".to_owned(), |key| self.limit(key));
            self.under_roof(inside, stack, &standing.shelves[idx], shelf, at);
            self.door(inside.chamber, shelf, &block, at);
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

    /// What is kept from the walls: in an electric kiln the elements' distance, unless the elements are drawn.
    fn wall_key(&self, inside: &KilnInside) -> Option<SettingKey> {
        let electric = self.kiln.is_some_and(|kiln| kiln.fuel == Fuel::Electric);
        let drawn = inside.keep_outs.iter().any(|part| part.kind == KeepOutKind::Element);
        match (electric, drawn) {
            (false, _) => Some(SettingKey::ClearWall),
            (true, false) => Some(SettingKey::ClearElement),
            (true, true) => None,
        }
    }

    /// A shelf without ware, which no headroom speaks of, under the roof.
    fn under_roof(
        &mut self,
        inside: &KilnInside,
        stack: &LaidStack<'_>,
        stood: &Stood,
        shelf: &LaidShelf<'_>,
        at: At<'_>,
    ) {
        if shelf.has_ware() {
            return;
        }
        let clear = roof_over(inside.chamber, stack, shelf) - highest(shelf, stood);
        if clear >= self.setting_mm(SettingKey::ClearWall) {
            return self.pass(CheckKind::Roof);
        }
        let said = format!("{} lies {} under the roof", shelf.code(), self.mm(clear));
        let rests_on = self.limit(SettingKey::ClearWall);
        self.stop(
            CheckKind::Roof,
            at,
            of_shelf(shelf),
            said,
            "leave a layer out, or take shorter posts",
            rests_on,
        );
    }

    /// The door and the back of a fuel kiln, which are kept clear by more than its sides.
    fn door(&mut self, chamber: Chamber, shelf: &LaidShelf<'_>, block: &Block, at: At<'_>) {
        let fuel_kiln = self.kiln.is_some_and(|kiln| kiln.fuel != Fuel::Electric);
        let (Chamber::Box { depth_nm, .. } | Chamber::Arched { depth_nm, .. }) = chamber else { return };
        let (front, back) = (block.low[1], depth_nm.mm() - block.high[1]);
        let wanted = self.setting_mm(SettingKey::ClearDoor);
        // Nearer than the walls' own distance is told as the wall's.
        let told = self.setting_mm(SettingKey::ClearWall);
        let (clear, which) = if front <= back { (front, "door") } else { (back, "back") };
        if !fuel_kiln || clear >= wanted || clear < told {
            return;
        }
        let said = format!("{} is {} from the {which}", shelf.code(), self.mm(clear));
        let rests_on = self.limit(SettingKey::ClearDoor);
        self.look(CheckKind::Wall, at, of_shelf(shelf), said, "move the stack away from it", rests_on);
    }

    fn keep_out(&mut self, keep_out: &KeepOut, shelf: &LaidShelf<'_>, block: &Block, at: At<'_>) {
        let own = keep_out.clearance_nm;
        let wanted = own.unwrap_or_else(|| self.world.settings.clearance(keep_out.kind));
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

    /// Stacks against each other: shelves and ware in each other's way, or nearer than pots are set.
    fn neighbours(&mut self, stacks: &[LaidStack<'_>], standing: &[Standing]) {
        let gap = if self.plan.ware == Ware::Bisque { 0.0 } else { self.setting_mm(SettingKey::GapPots) };
        let blocks: Vec<Vec<Block>> = stacks
            .iter()
            .zip(standing)
            .map(|(stack, stood)| {
                let each = stack.shelves.iter().zip(&stood.shelves);
                each.map(|(shelf, stood)| block(stack, shelf, stood)).collect()
            })
            .collect();
        for (n, stack) in stacks.iter().enumerate() {
            for (m, other) in stacks.iter().enumerate().skip(n + 1) {
                for (shelf, own) in stack.shelves.iter().zip(&blocks[n]) {
                    let met = other.shelves.iter().zip(&blocks[m]);
                    let near = met.filter_map(|(one, block)| Some((own.apart(block)?, one)));
                    match near.min_by(|a, b| a.0.total_cmp(&b.0)).filter(|(apart, _)| *apart < gap) {
                        Some((apart, met)) => self.in_the_way((stack, shelf), (other, met), apart),
                        None => self.pass(CheckKind::Neighbour),
                    }
                }
            }
        }
    }

    fn in_the_way(
        &mut self,
        (stack, shelf): (&LaidStack<'_>, &LaidShelf<'_>),
        (other, met): (&LaidStack<'_>, &LaidShelf<'_>),
        apart: f64,
    ) {
        let (one, two) = (shelf.code(), format!("{} of {}", met.code(), other.place));
        let pieces = of_shelf(shelf).into_iter().chain(of_shelf(met)).collect();
        let at = At::layer(stack, shelf.layer);
        let fix = "move one of the stacks";
        if apart < 0.0 {
            let said = format!("{one} and {two} are in each other\u{2019}s way");
            self.stop(CheckKind::Neighbour, at, pieces, said, fix, "from the plan\u{2019}s own places");
        } else {
            let said = format!("{one} and {two} are {} apart", self.mm(apart));
            let rests_on = self.limit(SettingKey::GapPots);
            self.look(CheckKind::Neighbour, at, pieces, said, fix, rests_on);
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
