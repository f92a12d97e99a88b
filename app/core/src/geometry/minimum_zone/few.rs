//! The narrowest zone of few points, by trying every direction that can be it.
//!
//! At the least width the zone is locked: three points on one plane and one on the other, or two and two. So its
//! normal is square to two lines through points, and the least width over all such pairs is the answer, whatever
//! the points. Work grows with the fifth power of their number, which is why this is for few.
//!
//! What this does not do: stop early. Where branch and bound would halve cells down to rounding, on clouds like
//! needles, this takes as long as on any other.
use super::support::Cloud;
use super::{Local, descend};
use crate::geometry::vector::{Vector, cross, norm, scale, sub};

/// House choice: 64 points have 2016 lines, so 2.0 million pairs of 64 points each: 0.15 s at 1 ns a point.
pub(super) const MOST: usize = 64;
/// House choice: what branch and bound may take first, about 1 ms: a shelf whose foot is on the rim needs some 10 us.
pub(super) const FIRST: usize = 1_000_000;
/// Lines closer to parallel than this give a direction of rounding only.
const PARALLEL: f64 = 1e-12;

/// The least zone of all directions, starting from one found.
pub(super) fn search(cloud: &Cloud, start: Local) -> Local {
    let mut lines: Vec<Vector> = Vec::new();
    for (i, from) in cloud.points().iter().enumerate() {
        lines.extend(cloud.points().iter().skip(i + 1).map(|to| sub(*to, *from)));
    }
    let (mut width, mut direction) = (start.width, None);
    for (i, one) in lines.iter().enumerate() {
        for other in lines.iter().skip(i + 1) {
            let normal = cross(*one, *other);
            let length = norm(normal);
            // Two points in one place give a line without a length, and no direction.
            if length <= PARALLEL * norm(*one) * norm(*other) {
                continue;
            }
            let normal = scale(normal, 1.0 / length);
            let found = cloud.support(normal).width;
            if found < width {
                (width, direction) = (found, Some(normal));
            }
        }
    }
    let Some(normal) = direction else { return start };
    // The facet and what vouches for it; where it is too slender to give back the direction, that stays.
    match descend(cloud, normal) {
        Some(better) if better.width <= width => better,
        Some(near) => Local { normal, width, ..near },
        None => Local { normal, width, ..start },
    }
}
