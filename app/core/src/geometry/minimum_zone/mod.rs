//! Minimum-zone flatness by ISO 1101: the least distance between two parallel planes that hold every point,
//! measured normal to them. Exact, not a heuristic.
//!
//! Let D be the set of all differences of two points. Two planes with the unit normal n that hold the points
//! are at least h(n) apart, where h(n) is how far D reaches along n; D is symmetric about zero, so the
//! minimum zone is the radius of the greatest ball about zero inside D. It touches a facet of D: three
//! points in one plane and one in the other, or two and two.
//!
//! [`portal`] finds the facet of D that a ray leaves by (the vertical Chebyshev plane, a linear programme
//! in three unknowns, by exchange); casting the ray again along that facet's normal until it stays turns
//! the vertical answer into the orthogonal one. [`certificate`] then proves, from the touching points
//! alone, that no other direction does better; where it cannot (a cloud about as thick as it is wide),
//! [`everywhere`] searches all directions by branch and bound, and where that takes long on few points, [`few`]
//! tries every direction that can be it.
//!
//! What this does not do: leave out outliers.
mod certificate;
mod everywhere;
mod few;
mod portal;
mod support;
#[cfg(test)]
mod tests;

use super::SurfacePoint;
use super::plane::{Frame, upward, vector};
use super::vector::{Vector, add, dot, scale, sub, unit};
use certificate::Certificate;
use portal::Facet;
use support::Cloud;

/// The narrowest pair of parallel planes that holds all points.
#[derive(Clone, PartialEq, Debug)]
pub struct Zone {
    /// Their distance.
    pub width_mm: f64,
    /// Their unit normal, upward.
    pub normal: Vector,
    /// The indices of the points that touch either plane, ascending.
    pub contact: Vec<usize>,
}

/// House choice: a point within 1e-9 mm of a plane touches it; the contract asks for the zone to 1e-9 mm.
const TOUCHES_MM: f64 = 1e-9;
/// House choice: each cast narrows the zone or ends the search; two or three are the usual need.
const CASTS: usize = 100;

/// Finds the minimum zone of `points`, given a frame in which they lie about as flat as they can.
///
/// # Input    four or more finite points that are not in one line in plan.
/// # Returns  `None` when the search of all directions was not done within its bound: a cloud of very many
/// points about as thick as it is wide in every direction.
#[must_use]
pub fn find(points: &[SurfacePoint], frame: &Frame) -> Option<Zone> {
    let cloud = Cloud::new(points, frame);
    let start = descend(&cloud, [0.0, 0.0, 1.0])?;
    let best = if start.certificate.is_global() {
        start
    } else if cloud.len() <= few::MOST {
        everywhere::search(&cloud, start.clone(), few::FIRST).unwrap_or_else(|| few::search(&cloud, start))
    } else {
        everywhere::search(&cloud, start, everywhere::BUDGET)?
    };
    Some(measured(points, frame, &best))
}

/// A direction, what touches there, and how far that vouches for it.
#[derive(Clone, Debug)]
struct Local {
    normal: Vector,
    width: f64,
    facet: Facet,
    certificate: Certificate,
}

impl Local {
    /// The facet that a ray leaves by.
    fn hit(cloud: &Cloud, ray: Vector) -> Option<Self> {
        let facet = portal::cast(cloud, ray)?;
        let normal = facet.normal(cloud)?;
        let width = cloud.support(normal).width;
        let certificate = certificate::of(cloud, normal, width);
        Some(Self { normal, width, facet, certificate })
    }

    /// Where to cast next: along the facet's own normal where its foot is off the facet, over the rim where it
    /// is on the rim; nothing where it is well inside.
    fn next_ray(&self, cloud: &Cloud) -> Option<Vector> {
        if self.facet.holds(cloud, self.normal) { self.certificate.turn() } else { Some(self.normal) }
    }
}

/// Casts rays from `towards` until the facet hit is square to the ray or no other is nearer.
fn descend(cloud: &Cloud, towards: Vector) -> Option<Local> {
    let mut local = Local::hit(cloud, towards)?;
    for _ in 0..CASTS {
        let Some(ray) = local.next_ray(cloud) else { break };
        let next = Local::hit(cloud, ray)?;
        if next.width >= local.width - cloud.rounding() {
            break;
        }
        local = next;
    }
    Some(local)
}

/// Measures the zone in the points' own co-ordinates, free of the rounding of the frame.
fn measured(points: &[SurfacePoint], frame: &Frame, best: &Local) -> Zone {
    let turned = add(
        scale(frame.u, best.normal[0]),
        add(scale(frame.v, best.normal[1]), scale(frame.w, best.normal[2])),
    );
    let own = best.facet.normal_of(|i| points.get(i).map_or([0.0; 3], vector));
    let datum = points.get(best.facet.first()).map_or([0.0; 3], vector);
    let along = |normal: Vector, point: &SurfacePoint| dot(normal, sub(vector(point), datum));
    let reach = |normal: Vector| {
        let heights = points.iter().map(|point| along(normal, point));
        heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| (low.min(at), high.max(at)))
    };
    // Where the facet is too slender to give a direction of its own, the frame's serves. The facet's has the
    // rounder figures, so it is kept while it is as good.
    let own = own.filter(|own| dot(*own, turned).abs() > 0.999_999).map(upward);
    let turned = upward(unit(turned).unwrap_or([0.0, 0.0, 1.0]));
    let width = |normal: Vector| {
        let (low, high) = reach(normal);
        high - low
    };
    let normal = own.filter(|own| width(*own) <= width(turned) + 0.5 * TOUCHES_MM).unwrap_or(turned);
    let (low, high) = reach(normal);
    let height = |point: &SurfacePoint| along(normal, point);
    let touches = |point: &SurfacePoint| {
        let height = height(point);
        high - height <= TOUCHES_MM || height - low <= TOUCHES_MM
    };
    let indexed = points.iter().enumerate();
    let contact = indexed.filter(|(_, point)| touches(point)).map(|(i, _)| i).collect();
    Zone { width_mm: high - low, normal, contact }
}
