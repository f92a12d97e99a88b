//! Proves from the touching points that no other direction gives a narrower zone.
//!
//! Take the frame in which the found planes, t apart, are level. Let n be another unit normal whose slope
//! from theirs is s = tan θ.
//!
//! 1. The differences of an upper and a lower touching point lie in the top of D, at height t. If their
//!    projections hold the disc of radius κ about zero, then h(n) ≥ (t + κ s) / √(1 + s²), which is above t
//!    while s (t² − κ²) < 2 t κ.
//! 2. All of D lies within ±t of the level, and its projection holds the disc of radius W. So
//!    h(n) ≥ W sin θ − t cos θ, which is above t once tan(θ/2) > t / W.
//!
//! Where the two ranges of θ meet, the found zone is the least of all. For shelves κ and W are hundreds of
//! times t, and they overlap widely.
//!
//! What this does not do: search. Where the ranges do not meet, [`super::everywhere`] does.
use super::support::Cloud;
use crate::geometry::plane::Frame;
use crate::geometry::vector::{Vector, add, dot, scale, unit};

/// A place in plan, in the cloud's units.
type Flat = [f64; 2];

/// How far the touching points vouch for the direction found.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Certificate {
    /// Upward, whichever way the direction was found.
    normal: Vector,
    width: f64,
    /// κ above; at or below zero when the touching points do not surround the foot.
    hold: f64,
    /// W above.
    spread: f64,
    /// Where to turn when they do not: a level unit vector.
    weak: Vector,
    rounding: f64,
}

impl Certificate {
    /// The greatest slope up to which no direction is better.
    pub fn safe_slope(&self) -> f64 {
        let (t, k) = (self.width, self.hold);
        if k <= 0.0 {
            0.0
        } else if k >= t {
            f64::INFINITY
        } else {
            2.0 * t * k / (t * t - k * k)
        }
    }

    /// The slope beyond which rule 2 rules a better direction out; nothing where it rules out none.
    pub fn far_slope(&self) -> Option<f64> {
        let half = self.width / self.spread;
        (half < 1.0).then(|| 2.0 * half / (1.0 - half * half))
    }

    /// Whether the zone found is the least in every direction.
    pub fn is_global(&self) -> bool {
        // D without thickness beyond rounding: no zone is narrower than none.
        self.width <= self.rounding || self.far_slope().is_some_and(|far| self.safe_slope() >= far)
    }

    /// The direction a little beyond the rim that the foot lies on; nothing when it lies inside.
    pub fn turn(&self) -> Option<Vector> {
        if self.width <= self.rounding || self.hold > RIM * self.spread {
            return None;
        }
        // House choice: a thousandth of the slope at which rule 2 takes over.
        let step = 1e-3 * self.width / self.spread;
        // The direction whose upper end sinks: n = (−s, 1) for the slope s.
        unit(add(self.normal, scale(self.weak, step)))
    }
}

/// House choice: a foot within 1e-9 of the shelf's width of the rim counts as on it.
const RIM: f64 = 1e-9;
/// House choice: of the points that touch a plane, the farthest in 16 directions stand for all. Fewer
/// points prove less, never something false.
const DIRECTIONS: [Flat; 16] = [
    [1.0, 0.0],
    [2.0, 1.0],
    [1.0, 1.0],
    [1.0, 2.0],
    [0.0, 1.0],
    [-1.0, 2.0],
    [-1.0, 1.0],
    [-2.0, 1.0],
    [-1.0, 0.0],
    [-2.0, -1.0],
    [-1.0, -1.0],
    [-1.0, -2.0],
    [0.0, -1.0],
    [1.0, -2.0],
    [1.0, -1.0],
    [2.0, -1.0],
];

/// What vouches for the level found at `normal` (a unit vector) with the planes `width` apart.
pub(super) fn of(cloud: &Cloud, normal: Vector, width: f64) -> Certificate {
    let level = Frame::about([0.0; 3], normal);
    let normal = level.w;
    let flat = |i: usize| {
        let point = cloud.point(i);
        [dot(point, level.u), dot(point, level.v)]
    };
    let support = cloud.support(normal);
    let (top, bottom) = (dot(normal, cloud.point(support.high)), dot(normal, cloud.point(support.low)));
    let near = 4.0 * cloud.rounding();
    let (mut upper, mut lower) = (Vec::new(), Vec::new());
    for (i, point) in cloud.points().iter().enumerate() {
        let height = dot(normal, *point);
        if top - height <= near {
            upper.push(flat(i));
        }
        if height - bottom <= near {
            lower.push(flat(i));
        }
    }
    let (upper, lower) = (outermost(upper), outermost(lower));
    let differences: Vec<Flat> =
        upper.iter().flat_map(|p| lower.iter().map(|q| [p[0] - q[0], p[1] - q[1]])).collect();
    let (hold, weak) = inscribed(differences);
    Certificate {
        normal,
        width,
        hold,
        spread: spread(cloud, &level),
        weak: add(scale(level.u, weak[0]), scale(level.v, weak[1])),
        rounding: cloud.rounding(),
    }
}

fn outermost(points: Vec<Flat>) -> Vec<Flat> {
    if points.len() <= DIRECTIONS.len() {
        return points;
    }
    let along = |direction: &Flat, point: &Flat| direction[0] * point[0] + direction[1] * point[1];
    let farthest = |direction: &Flat| {
        points.iter().copied().reduce(|a, b| if along(direction, &b) > along(direction, &a) { b } else { a })
    };
    DIRECTIONS.iter().filter_map(farthest).collect()
}

/// The signed distance from zero to the nearest side of the points' convex hull (negative outside), and
/// that side's outward direction.
fn inscribed(mut points: Vec<Flat>) -> (f64, Flat) {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    let hull = hull(&points);
    let mut nearest = (f64::INFINITY, [1.0, 0.0]);
    for (i, from) in hull.iter().enumerate() {
        let to = hull.get(i + 1).or_else(|| hull.first()).copied().unwrap_or_default();
        let (along, across) = (to[0] - from[0], to[1] - from[1]);
        let length = (along * along + across * across).sqrt();
        if length > 0.0 {
            // The hull runs counter-clockwise: its outside is to the right.
            let out = [across / length, -along / length];
            let distance = out[0] * from[0] + out[1] * from[1];
            if distance < nearest.0 {
                nearest = (distance, out);
            }
        }
    }
    if hull.len() < 3 { (nearest.0.min(0.0), nearest.1) } else { nearest }
}

/// The convex hull, counter-clockwise, of points sorted by x, then y (A. M. Andrew, Another efficient
/// algorithm for convex hulls in two dimensions, Inf. Process. Lett. 9 (1979) 216).
fn hull(sorted: &[Flat]) -> Vec<Flat> {
    let turns_left =
        |a: Flat, b: Flat, c: Flat| (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) > 0.0;
    let chain = |points: &mut dyn Iterator<Item = &Flat>| {
        let mut chain: Vec<Flat> = Vec::new();
        for point in points {
            while let [.., a, b] = chain.as_slice() {
                if turns_left(*a, *b, *point) {
                    break;
                }
                chain.pop();
            }
            chain.push(*point);
        }
        chain.pop();
        chain
    };
    let mut hull = chain(&mut sorted.iter());
    hull.extend(chain(&mut sorted.iter().rev()));
    hull
}

/// The radius of a disc about zero inside the projection of D: that of a parallelogram of four of its points.
fn spread(cloud: &Cloud, level: &Frame) -> f64 {
    let plan = |direction: Vector| {
        let support = cloud.support(direction);
        let difference = cloud.difference((support.high, support.low));
        [dot(difference, level.u), dot(difference, level.v)]
    };
    let a = plan(level.u);
    let b = plan(add(scale(level.u, -a[1]), scale(level.v, a[0])));
    let area = (a[0] * b[1] - a[1] * b[0]).abs();
    let side = |x: f64, y: f64| (x * x + y * y).sqrt();
    let longest = side(a[0] - b[0], a[1] - b[1]).max(side(a[0] + b[0], a[1] + b[1]));
    if longest > 0.0 { area / longest } else { 0.0 }
}
