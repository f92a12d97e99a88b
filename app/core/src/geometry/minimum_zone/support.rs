//! The points in a frame, and which of them reach farthest along a direction.
//!
//! What this does not do: skip points. Every query looks at all of them, which is what makes the final
//! check over all points and the search one and the same.
use crate::geometry::SurfacePoint;
use crate::geometry::plane::Frame;
use crate::geometry::vector::{Vector, sub};

/// The points in a frame.
#[derive(Clone, Debug)]
pub(super) struct Cloud {
    points: Vec<Vector>,
    reach: f64,
}

/// What a direction touches.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Support {
    /// The farthest point along the direction; the first of those that are level.
    pub high: usize,
    /// The farthest point against it.
    pub low: usize,
    /// How far apart the two are along the direction, times the direction's length.
    pub width: f64,
}

impl Cloud {
    pub fn new(points: &[SurfacePoint], frame: &Frame) -> Self {
        let points: Vec<Vector> = points.iter().map(|point| frame.local(point)).collect();
        let reach = points.iter().flatten().fold(0.0, |reach: f64, part| reach.max(part.abs()));
        Self { points, reach }
    }

    /// How many points.
    pub fn len(&self) -> usize {
        self.points.len()
    }

    /// The least step that is more than rounding: eight units in the last place of the largest co-ordinate.
    pub fn rounding(&self) -> f64 {
        8.0 * f64::EPSILON * self.reach
    }

    pub fn points(&self) -> &[Vector] {
        &self.points
    }

    pub fn point(&self, i: usize) -> Vector {
        self.points.get(i).copied().unwrap_or_default()
    }

    /// The difference of two points: a point of D.
    pub fn difference(&self, (high, low): (usize, usize)) -> Vector {
        sub(self.point(high), self.point(low))
    }

    /// The points that reach farthest along and against `direction`.
    pub fn support(&self, direction: Vector) -> Support {
        let [a, b, c] = direction;
        let (mut high, mut low) = (0, 0);
        let (mut most, mut least) = (f64::NEG_INFINITY, f64::INFINITY);
        for (i, point) in self.points.iter().enumerate() {
            let along = a * point[0] + b * point[1] + c * point[2];
            if along > most {
                (most, high) = (along, i);
            }
            if along < least {
                (least, low) = (along, i);
            }
        }
        Support { high, low, width: most - least }
    }
}
