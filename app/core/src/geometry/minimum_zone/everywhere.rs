//! Searches all directions for the narrowest zone, by branch and bound on the half-sphere.
//!
//! A cell is a spherical triangle. At its corners the reach of D is known, with the point of D reached; such
//! a point bounds the reach from below over the whole cell, because a direction in the cell is a sum of the
//! corners with weights ≥ 0 that add to at least one. A cell is dropped when its bound reaches the best width
//! found, or when the cell lies in a cone that a [`super::certificate`] vouches for.
//!
//! What this does not do: serve shelves. Their zone is proved without it; this is for clouds about as thick
//! as wide, where nothing says which way is up.
use super::support::{Cloud, Support};
use super::{Local, descend};
use crate::geometry::plane::Frame;
use crate::geometry::vector::{Vector, add, cross, dot, scale, sub, unit, weights};

/// House choice: half of what the contract allows, 1e-9 mm.
const CLOSE: f64 = 5e-10;
/// House choice: about 2 s at 1 ns a point looked at; past that the answer is "not found", said so.
pub(super) const BUDGET: usize = 2_000_000_000;
/// What a cell costs beside its points, in points. House choice: as measured, 0.5 us.
const CELL: usize = 500;
/// What a descent costs, in cells. House choice: 28 us measured on 17 points, against 0.5 us.
const DESCENT: usize = 56;

#[derive(Clone, Copy)]
struct Corner {
    direction: Vector,
    reached: Vector,
    width: f64,
}

impl Corner {
    fn at(cloud: &Cloud, direction: Vector) -> Self {
        let Support { high, low, width } = cloud.support(direction);
        Self { direction, reached: cloud.difference((high, low)), width }
    }
}

/// The least zone of all directions, starting from one found; nothing when the budget for work is spent.
pub(super) fn search(cloud: &Cloud, start: Local, budget: usize) -> Option<Local> {
    let mut cells = cover(cloud, &start)?;
    let mut found = Found { cones: vec![cone(&start)], best: start };
    let mut work = 0;
    while let Some(cell) = cells.pop() {
        if found.settles(&cell, cloud) {
            continue;
        }
        work += cloud.len() + CELL;
        if work > budget {
            return None;
        }
        let (longest, middle) = halved(&cell)?;
        let middle = Corner::at(cloud, middle);
        if middle.width < found.best.width - CLOSE {
            // On a needle a descent may end no lower than it began, and then there is one for every cell.
            work += DESCENT * (cloud.len() + CELL);
            found.take(descend(cloud, middle.direction)?);
        }
        let (mut left, mut right) = (cell, cell);
        *left.get_mut(longest)? = middle;
        *right.get_mut((longest + 1) % 3)? = middle;
        cells.push(left);
        cells.push(right);
    }
    Some(found.best)
}

/// Four cells that hold every direction in which a narrower zone can be.
fn cover(cloud: &Cloud, start: &Local) -> Option<Vec<[Corner; 3]>> {
    let level = Frame::about([0.0; 3], start.normal);
    // A square on its corner holds the disc of radius r when it reaches √2 r; the rest is for rounding.
    let reach = start.certificate.far_slope().map(|slope| 1.415 * slope);
    let toward = |direction: Vector, sign: f64| {
        let level_part = scale(direction, sign);
        let corner = reach.map_or(Some(level_part), |reach| unit(add(level.w, scale(level_part, reach))));
        corner.map(|corner| Corner::at(cloud, corner))
    };
    let top = Corner::at(cloud, level.w);
    let (east, north) = (toward(level.u, 1.0)?, toward(level.v, 1.0)?);
    let (west, south) = (toward(level.u, -1.0)?, toward(level.v, -1.0)?);
    Some(vec![[east, north, top], [north, west, top], [west, south, top], [south, east, top]])
}

/// Directions around one that is vouched for: the axis, and the least cosine to it.
type Cone = (Vector, f64);

fn cone(local: &Local) -> Cone {
    let slope = local.certificate.safe_slope();
    (local.normal, 1.0 / (slope * slope + 1.0).sqrt())
}

struct Found {
    best: Local,
    cones: Vec<Cone>,
}

impl Found {
    fn take(&mut self, local: Local) {
        self.cones.push(cone(&local));
        if local.width < self.best.width {
            self.best = local;
        }
    }

    fn settles(&self, cell: &[Corner; 3], cloud: &Cloud) -> bool {
        let enough = self.best.width - CLOSE - cloud.rounding();
        let bound = |by: Vector| cell.iter().map(|at| dot(by, at.direction)).fold(f64::INFINITY, f64::min);
        let [a, b, c] = cell.map(|at| at.reached);
        let points = [a, b, c, nearest_of_two(a, b), nearest_of_two(b, c), nearest_of_two(c, a)];
        if points.into_iter().chain(nearest_of_three(a, b, c)).any(|point| bound(point) >= enough) {
            return true;
        }
        let inside = |(axis, cosine): &Cone| {
            // Cosines near one lose the small angle: chords keep it.
            let chord = 2.0 * (1.0 - cosine);
            let within = |sign: f64| {
                cell.iter().all(|at| {
                    let apart = sub(scale(*axis, sign), at.direction);
                    dot(apart, apart) < chord
                })
            };
            within(1.0) || within(-1.0)
        };
        self.cones.iter().any(inside)
    }
}

/// The point nearest zero between two points of D: it is in D, since D is convex.
fn nearest_of_two(a: Vector, b: Vector) -> Vector {
    let along = sub(b, a);
    let length = dot(along, along);
    let part = if length > 0.0 { (-dot(a, along) / length).clamp(0.0, 1.0) } else { 0.0 };
    add(a, scale(along, part))
}

/// The foot of the perpendicular from zero on the triangle, where it falls inside.
fn nearest_of_three(a: Vector, b: Vector, c: Vector) -> Option<Vector> {
    let normal = unit(cross(sub(b, a), sub(c, a)))?;
    let foot = scale(normal, dot(normal, a));
    let inside = weights([a, b, c], normal)?;
    let sign = dot(normal, a).signum();
    inside.iter().all(|weight| weight * sign >= 0.0).then_some(foot)
}

/// The corner where the longest side begins, and that side's middle.
fn halved(cell: &[Corner; 3]) -> Option<(usize, Vector)> {
    let side = |i: usize| {
        let along = sub(cell[i].direction, cell[(i + 1) % 3].direction);
        dot(along, along)
    };
    let longest = (1..3).fold(0, |best, i| if side(i) > side(best) { i } else { best });
    let middle = unit(add(cell[longest].direction, cell[(longest + 1) % 3].direction))?;
    Some((longest, middle))
}
