//! Casts a ray from zero through D and finds the facet by which it leaves.
//!
//! This is the vertical Chebyshev plane, taking the ray as vertical: a linear programme in three unknowns.
//! Three points of D whose cone holds the ray are kept; the farthest point of D along their plane's normal
//! replaces the one that leaves the ray inside (the exchange of E. L. Stiefel, Über diskrete und lineare
//! Tschebyscheff-Approximationen, Numer. Math. 1 (1959) 1), until none lies beyond.
//!
//! What this does not do: choose the ray.
use super::support::Cloud;
use crate::geometry::vector::{Vector, cross, dot, norm, scale, sub, unit, weights};

/// Two points, of which D holds the difference.
pub(super) type Pair = (usize, usize);

/// A facet of D, or the whole of D where the points lie in one plane.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Facet {
    /// Through three points of D.
    Through([Pair; 3]),
    /// Along two points of D: all points lie in one plane.
    Along([Pair; 2]),
}

/// House choice: the exchange on 100,000 points takes some 20 rounds; 500 means that it goes in a circle.
const ROUNDS: usize = 500;
/// House choice: a weight this little below zero is rounding: the ray runs along the facet's rim.
const ON_THE_RIM: f64 = 1e-9;

impl Facet {
    /// The unit normal by the points that `place` gives.
    pub fn normal_of(&self, place: impl Fn(usize) -> Vector) -> Option<Vector> {
        let difference = |(high, low): Pair| sub(place(high), place(low));
        match *self {
            Self::Along([a, b]) => unit(cross(difference(a), difference(b))),
            Self::Through(corners) => {
                let edge = |to: Pair, from: Pair| {
                    // Taken point by point, so that a point common to both drops out without rounding.
                    sub(sub(place(to.0), place(from.0)), sub(place(to.1), place(from.1)))
                };
                let [a, b, c] = corners;
                unit(cross(edge(b, a), edge(c, a)))
            }
        }
    }

    /// The unit normal in the cloud's frame, away from zero.
    pub fn normal(&self, cloud: &Cloud) -> Option<Vector> {
        let normal = self.normal_of(|i| cloud.point(i))?;
        let outward = match *self {
            Self::Through([a, ..]) => dot(normal, cloud.difference(a)),
            Self::Along(_) => normal[2],
        };
        Some(if outward < 0.0 { scale(normal, -1.0) } else { normal })
    }

    /// Whether the foot of the perpendicular from zero lies in the facet.
    pub fn holds(&self, cloud: &Cloud, normal: Vector) -> bool {
        match *self {
            Self::Along(_) => true,
            Self::Through(corners) => {
                let found = weights(corners.map(|pair| cloud.difference(pair)), normal);
                found.is_some_and(|w| w.iter().all(|w| *w >= 0.0))
            }
        }
    }

    /// One of its points.
    pub fn first(&self) -> usize {
        match *self {
            Self::Through([a, ..]) | Self::Along([a, _]) => a.0,
        }
    }
}

/// The facet by which the ray from zero along the unit vector `ray` leaves D.
///
/// Nothing where the exchange does not end; the caller then has no answer to give.
pub(super) fn cast(cloud: &Cloud, ray: Vector) -> Option<Facet> {
    let mut corners = match start(cloud, ray)? {
        Facet::Through(corners) => corners,
        flat @ Facet::Along(_) => return Some(flat),
    };
    for _ in 0..ROUNDS {
        let basis = corners.map(|pair| cloud.difference(pair));
        let normal = outward(basis);
        let length = norm(normal);
        let support = cloud.support(normal);
        let beyond = (support.high, support.low);
        let gap = support.width - dot(normal, basis[0]);
        // NaN comes from corners without a plane: it ends the search too.
        if gap.is_nan() || gap <= cloud.rounding() * length || corners.contains(&beyond) {
            return Some(Facet::Through(corners));
        }
        let leaves = leaving(basis, ray, cloud.difference(beyond))?;
        *corners.get_mut(leaves)? = beyond;
    }
    None
}

fn outward([a, b, c]: [Vector; 3]) -> Vector {
    let normal = cross(sub(b, a), sub(c, a));
    if dot(normal, a) < 0.0 { scale(normal, -1.0) } else { normal }
}

/// Which corner the new point replaces, so that the ray stays in the cone of the three.
fn leaving(basis: [Vector; 3], ray: Vector, new: Vector) -> Option<usize> {
    let held = weights(basis, ray)?;
    let entering = weights(basis, new)?;
    let mut best: Option<(usize, f64)> = None;
    for i in 0..3 {
        if entering[i] <= ON_THE_RIM {
            continue;
        }
        let ratio = held[i].max(0.0) / entering[i];
        // Of equals, the one that the new point outweighs most keeps the cone widest.
        let better =
            best.is_none_or(|(j, least)| ratio < least || (ratio <= least && entering[i] > entering[j]));
        if better {
            best = Some((i, ratio));
        }
    }
    best.map(|(i, _)| i)
}

/// A first cone around the ray: two points of D across it with their opposites span a parallelogram about
/// zero, and the farthest point beyond that makes a pyramid, by one of whose sides the ray leaves.
fn start(cloud: &Cloud, ray: Vector) -> Option<Facet> {
    let across = crate::geometry::vector::square_to(ray);
    let first = pair(cloud, across);
    let a = cloud.difference(first);
    let second = pair(cloud, cross(ray, a));
    let b = cloud.difference(second);
    let normal = cross(a, b);
    let length = norm(normal);
    if length.is_nan() || length <= 0.0 {
        return None;
    }
    let support = cloud.support(normal);
    if support.width <= cloud.rounding() * length {
        return Some(Facet::Along([first, second]));
    }
    let apex = (support.high, support.low);
    let found = weights([a, b, cloud.difference(apex)], ray)?;
    let signed = |pair: Pair, weight: f64| if weight < 0.0 { (pair.1, pair.0) } else { pair };
    Some(Facet::Through([signed(first, found[0]), signed(second, found[1]), apex]))
}

fn pair(cloud: &Cloud, direction: Vector) -> Pair {
    let support = cloud.support(direction);
    (support.high, support.low)
}
