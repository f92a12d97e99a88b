//! A plan laid out on the record: what each support measures and stands on, and which shelves it carries.
//!
//! Everything in the stack's own plan, in millimetres. What this does not do: slopes, masses or judgement.
use super::hull::Plan;
use crate::event::plan::{PlannedLayer, PlannedShelf, PlannedStack, PlannedSupport};
use crate::event::values::PostSection;
use crate::judge::shelf::material::about_kg;
use crate::outline::{Outline, Spot};
use crate::units::Length;
use crate::world::{Post, Shelf, World};

/// What a support stands on.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Footing {
    /// The kiln's floor.
    Floor,
    /// A shelf of the layer below, by its place in [`LaidStack::shelves`].
    Shelf(usize),
    /// Two or more shelves at once, where they meet.
    Joint(Vec<usize>),
    /// Nothing: no shelf of the layer below reaches under it.
    Nothing,
}

/// House choice: less of a post than a micrometre under a shelf's edge is rounding.
const TOUCHES_MM: f64 = 1e-3;

/// One support.
#[derive(Clone, Debug)]
pub(super) struct LaidSupport<'a> {
    /// Its layer, from 0.
    pub layer: usize,
    /// As it was planned.
    pub planned: &'a PlannedSupport,
    /// Its middle.
    pub at: Plan,
    /// The posts on record, the lower one first.
    pub posts: Vec<&'a Post>,
    /// Its height with shim and wads: measured, or nominal where a post is not.
    pub height_mm: f64,
    /// The same where every post of it has a reading that holds.
    pub measured: Option<Length>,
    /// What it stands on.
    pub footing: Footing,
}

/// One shelf.
#[derive(Clone, Debug)]
pub(super) struct LaidShelf<'a> {
    /// Its layer, from 0.
    pub layer: usize,
    /// Its place in the plan's list of the layer's shelves.
    pub index: usize,
    /// The shelf.
    pub shelf: &'a Shelf,
    /// As it was planned.
    pub planned: &'a PlannedShelf,
    /// The supports that carry it, by their place in [`LaidStack::supports`].
    pub supports: Vec<usize>,
    /// Its own mass, by its material's density.
    pub own_kg: f64,
}

/// One stack.
#[derive(Clone, Debug)]
pub(super) struct LaidStack<'a> {
    /// Its place's name.
    pub place: &'a str,
    /// Its front left corner in the chamber.
    pub at: Plan,
    /// How many layers it has.
    pub n_layers: usize,
    /// Its supports, layer by layer.
    pub supports: Vec<LaidSupport<'a>>,
    /// Its shelves, layer by layer.
    pub shelves: Vec<LaidShelf<'a>>,
    /// The plan's layers.
    pub planned: &'a [PlannedLayer],
}

/// A spot in millimetres.
pub(super) fn plan(spot: Spot) -> Plan {
    [spot.x_nm.mm(), spot.y_nm.mm()]
}

/// A place as a spot.
pub(super) fn spot(at: Plan) -> Spot {
    Spot { x_nm: Length::from_mm(at[0]), y_nm: Length::from_mm(at[1]) }
}

/// The distance between two places.
pub(super) fn apart(a: Plan, b: Plan) -> f64 {
    libm::hypot(a[0] - b[0], a[1] - b[1])
}

impl LaidSupport<'_> {
    /// Half of the width of its widest post; 0 while none is chosen.
    pub fn half_mm(&self) -> f64 {
        self.posts.iter().map(|post| post.width.mm() / 2.0).fold(0.0, f64::max)
    }

    /// Its posts' codes: "P07", "P07 on P31".
    pub fn codes(&self) -> String {
        let codes: Vec<String> = self.posts.iter().rev().map(|post| post.code.to_string()).collect();
        codes.join(" on ")
    }

    /// Whether every post planned is on record, and there is one.
    pub fn is_chosen(&self) -> bool {
        !self.posts.is_empty() && self.posts.len() == self.planned.posts.len()
    }
}

impl LaidShelf<'_> {
    /// The size of its bounding rectangle as it lies.
    pub fn size(&self) -> Plan {
        let (length, width) = self.shelf.outline.bounds();
        match self.planned.quarter_turns % 2 {
            0 => [length.mm(), width.mm()],
            _ => [width.mm(), length.mm()],
        }
    }

    /// The front left corner of that rectangle.
    pub fn corner(&self) -> Plan {
        plan(self.planned.at)
    }

    /// A place of its outline, in the stack's plan.
    pub fn out(&self, [x, y]: Plan) -> Plan {
        let (length, width) = self.shelf.outline.bounds();
        let (l, w) = (length.mm(), width.mm());
        let [cx, cy] = self.corner();
        let [dx, dy] = match self.planned.quarter_turns % 4 {
            0 => [x, y],
            1 => [w - y, x],
            2 => [l - x, w - y],
            _ => [y, l - x],
        };
        [cx + dx, cy + dy]
    }

    /// A place of the stack's plan, on its outline.
    pub fn inward(&self, at: Plan) -> Plan {
        let (length, width) = self.shelf.outline.bounds();
        let (l, w) = (length.mm(), width.mm());
        let [cx, cy] = self.corner();
        let [dx, dy] = [at[0] - cx, at[1] - cy];
        match self.planned.quarter_turns % 4 {
            0 => [dx, dy],
            1 => [dy, w - dx],
            2 => [l - dx, w - dy],
            _ => [l - dy, dx],
        }
    }

    /// The nearest place of the shelf to a place of the stack's plan; the place itself where it is on the shelf.
    pub fn nearest(&self, at: Plan) -> Plan {
        self.out(nearest(&self.shelf.outline, self.inward(at)))
    }

    /// Where a support bears: the middle of the part of its end that is under the shelf.
    ///
    /// # Limits   Posts are taken as square to the shelf; at an arc, as round.
    pub fn bears_at(&self, support: &LaidSupport<'_>) -> Plan {
        let (length, width) = self.shelf.outline.bounds();
        let (half, [x, y]) = (support.half_mm(), self.inward(support.at));
        // Whole under the shelf it bears at its own middle, to the last bit.
        let part = |at: f64, side: f64| {
            if at - half >= 0.0 && at + half <= side {
                at
            } else {
                0.5 * ((at - half).max(0.0) + (at + half).min(side))
            }
        };
        let on = [part(x, length.mm()), part(y, width.mm())];
        let radius = length.mm() / 2.0;
        let centre = match self.shelf.outline {
            Outline::Rectangle { .. } => return self.out(nearest(&self.shelf.outline, on)),
            Outline::Round { .. } => [radius, radius],
            Outline::HalfRound { .. } => [radius, 0.0],
        };
        let away = apart(on, centre);
        if away + half <= radius {
            return self.out(on);
        }
        // Along the radius it reaches from `away - half` to the arc.
        let to = 0.5 * ((away - half).min(radius) + radius);
        let by = to.min(away) / away;
        self.out([centre[0] + (on[0] - centre[0]) * by, centre[1] + (on[1] - centre[1]) * by])
    }

    /// How far in from the nearest edge a place is; negative outside.
    pub fn inset_mm(&self, at: Plan) -> f64 {
        let local = self.inward(at);
        let (length, width) = self.shelf.outline.bounds();
        let (l, w) = (length.mm(), width.mm());
        let [x, y] = local;
        let inside = match self.shelf.outline {
            Outline::Rectangle { .. } => x.min(y).min(l - x).min(w - y),
            Outline::Round { .. } => l / 2.0 - apart(local, [l / 2.0, l / 2.0]),
            Outline::HalfRound { .. } => y.min(l / 2.0 - apart(local, [l / 2.0, 0.0])),
        };
        if inside >= 0.0 { inside } else { -apart(self.nearest(at), at) }
    }

    /// The middle of its mass, in the stack's plan.
    pub fn centre(&self) -> Plan {
        let (length, width) = self.shelf.outline.bounds();
        let (l, w) = (length.mm(), width.mm());
        self.out(match self.shelf.outline {
            Outline::Rectangle { .. } | Outline::Round { .. } => [l / 2.0, w / 2.0],
            // The centroid of half a disc lies 4 r / (3 pi) from its straight edge.
            Outline::HalfRound { .. } => [l / 2.0, 4.0 * (l / 2.0) / (3.0 * core::f64::consts::PI)],
        })
    }

    /// Its thickness now.
    pub fn thickness_mm(&self) -> f64 {
        self.shelf.thickness_now().mm().max(0.0)
    }

    /// All the ware on it.
    pub fn ware_kg(&self) -> f64 {
        let ware = &self.planned.ware;
        ware.mass_mg.kg().max(0.0) + ware.pieces.iter().map(|piece| piece.mass_mg.kg().max(0.0)).sum::<f64>()
    }

    /// The height of its tallest piece; 0 where it is empty.
    pub fn tallest_mm(&self) -> f64 {
        let ware = &self.planned.ware;
        ware.pieces.iter().map(|piece| piece.height_nm.mm()).fold(ware.tallest_nm.mm(), f64::max)
    }

    /// Whether anything stands on it.
    pub fn has_ware(&self) -> bool {
        self.ware_kg() > 0.0 || self.tallest_mm() > 0.0
    }

    /// The corners that there are, with their names as the shelf lies: none on a disc, two on half of one.
    pub fn corners(&self) -> Vec<(&'static str, Plan)> {
        let (length, width) = self.shelf.outline.bounds();
        let (l, w) = (length.mm(), width.mm());
        let local: &[Plan] = match self.shelf.outline {
            Outline::Rectangle { .. } => &[[0.0, 0.0], [l, 0.0], [l, w], [0.0, w]],
            Outline::Round { .. } => &[],
            Outline::HalfRound { .. } => &[[0.0, 0.0], [l, 0.0]],
        };
        local.iter().map(|at| self.out(*at)).map(|at| (self.where_said(at), at)).collect()
    }

    /// The middle of its arc's circle, in the stack's plan; none on a rectangle.
    pub fn arc_centre(&self) -> Option<Plan> {
        let radius = self.shelf.outline.bounds().0.mm() / 2.0;
        match self.shelf.outline {
            Outline::Rectangle { .. } => None,
            Outline::Round { .. } => Some(self.out([radius, radius])),
            Outline::HalfRound { .. } => Some(self.out([radius, 0.0])),
        }
    }

    /// Where on the shelf a place is, in words, as it lies: "front left", "middle".
    pub fn where_said(&self, at: Plan) -> &'static str {
        let ([cx, cy], [l, w]) = (self.corner(), self.size());
        // House choice: the middle is the middle third each way.
        let third = |value: f64, whole: f64| match value / whole.max(1.0) {
            share if share < 1.0 / 3.0 => 0,
            share if share <= 2.0 / 3.0 => 1,
            _ => 2,
        };
        match (third(at[1] - cy, w), third(at[0] - cx, l)) {
            (0, 0) => "front left",
            (0, 1) => "front middle",
            (0, _) => "front right",
            (1, 0) => "left",
            (1, 1) => "middle",
            (1, _) => "right",
            (_, 0) => "back left",
            (_, 1) => "back middle",
            (_, _) => "back right",
        }
    }

    /// Its code.
    pub fn code(&self) -> String {
        self.shelf.code.to_string()
    }
}

/// The nearest place of an outline.
fn nearest(outline: &Outline, [x, y]: Plan) -> Plan {
    let (length, width) = outline.bounds();
    let (l, w) = (length.mm(), width.mm());
    let radius = l / 2.0;
    let onto_disc = |centre: Plan, at: Plan| {
        let far = apart(at, centre);
        if far <= radius {
            return at;
        }
        let share = radius / far;
        [centre[0] + (at[0] - centre[0]) * share, centre[1] + (at[1] - centre[1]) * share]
    };
    match outline {
        Outline::Rectangle { .. } => [x.clamp(0.0, l), y.clamp(0.0, w)],
        Outline::Round { .. } => onto_disc([radius, radius], [x, y]),
        // In front of the straight edge the nearest place is on it; behind it, on the disc.
        Outline::HalfRound { .. } if y < 0.0 => [x.clamp(0.0, l), 0.0],
        Outline::HalfRound { .. } => onto_disc([radius, 0.0], [x, y]),
    }
}

impl<'a> LaidStack<'a> {
    /// A layer's shelves, with their places in [`Self::shelves`].
    pub fn shelves_of(&self, layer: usize) -> impl Iterator<Item = (usize, &LaidShelf<'a>)> {
        self.shelves.iter().enumerate().filter(move |(_, shelf)| shelf.layer == layer)
    }

    /// A layer's supports, with their places in [`Self::supports`].
    pub fn supports_of(&self, layer: usize) -> impl Iterator<Item = (usize, &LaidSupport<'a>)> {
        self.supports.iter().enumerate().filter(move |(_, support)| support.layer == layer)
    }
}

/// Lays a stack out. Pieces that are not on record, or not chosen yet, are left out.
pub(super) fn lay<'a>(world: &'a World, stack: &'a PlannedStack) -> LaidStack<'a> {
    let mut laid = LaidStack {
        place: &stack.place,
        at: plan(stack.at),
        n_layers: stack.layers.len(),
        supports: Vec::new(),
        shelves: Vec::new(),
        planned: &stack.layers,
    };
    for (layer, own) in stack.layers.iter().enumerate() {
        let first = laid.supports.len();
        for planned in &own.supports {
            let support = support(world, layer, planned);
            let footing = footing(&laid, &support);
            laid.supports.push(LaidSupport { footing, ..support });
        }
        for (index, planned) in own.shelves.iter().enumerate() {
            let Some(shelf) = planned.shelf.and_then(|id| world.shelves.get(&id)) else { continue };
            let own_kg = about_kg(shelf);
            let mut shelf = LaidShelf { layer, index, shelf, planned, supports: Vec::new(), own_kg };
            let under = laid.supports.iter().enumerate().skip(first);
            shelf.supports = under.filter(|(_, one)| reaches(&shelf, one)).map(|(idx, _)| idx).collect();
            laid.shelves.push(shelf);
        }
    }
    laid
}

fn support<'a>(world: &'a World, layer: usize, planned: &'a PlannedSupport) -> LaidSupport<'a> {
    let posts: Vec<&Post> = planned.posts.iter().filter_map(|id| world.posts.get(id)).collect();
    let more = planned.shim_nm + planned.wad_nm;
    let tall = |post: &&Post| post.height_reading().map_or(post.nominal, |reading| reading.height);
    let height = posts.iter().map(tall).fold(more, |sum, one| sum + one);
    let read: Option<Vec<Length>> =
        posts.iter().map(|post| post.height_reading().map(|reading| reading.height)).collect();
    let chosen = !posts.is_empty() && posts.len() == planned.posts.len();
    let measured = read.filter(|_| chosen).map(|read| read.into_iter().fold(more, |sum, one| sum + one));
    let (at, footing) = (plan(planned.at), Footing::Floor);
    LaidSupport { layer, planned, at, posts, height_mm: height.mm(), measured, footing }
}

/// Whether a support's section reaches under a shelf.
fn reaches(shelf: &LaidShelf<'_>, support: &LaidSupport<'_>) -> bool {
    let near = shelf.nearest(support.at);
    let (half, off) = (support.half_mm(), [near[0] - support.at[0], near[1] - support.at[1]]);
    // Square posts stand square to the kiln; the others are taken as round.
    let is_square = support.posts.first().is_none_or(|post| post.section == PostSection::Square);
    let off = if is_square { off[0].abs().max(off[1].abs()) } else { libm::hypot(off[0], off[1]) };
    // One that only touches a shelf's edge does not carry it. A support not chosen yet, without a width, carries what
    // is over its middle.
    off <= 0.0 || off < half - TOUCHES_MM
}

fn footing(laid: &LaidStack<'_>, support: &LaidSupport<'_>) -> Footing {
    let Some(below) = support.layer.checked_sub(1) else { return Footing::Floor };
    let under: Vec<usize> =
        laid.shelves_of(below).filter(|(_, shelf)| reaches(shelf, support)).map(|(idx, _)| idx).collect();
    match under[..] {
        [] => Footing::Nothing,
        [one] => Footing::Shelf(one),
        _ => Footing::Joint(under),
    }
}
