//! A shelf's outline in millimetres: what it holds, its middle, and how far it reaches.
//!
//! Co-ordinates are those of [`crate::outline`]: the bounding rectangle starts at (0, 0); half a disc has its
//! straight edge in front, from (0, 0) to (diameter, 0).
//!
//! What this does not do: chipped corners or cut-outs.
use super::PlanPoint;
use crate::outline::Outline;

/// The outline of a face.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Face {
    /// From (0, 0) to (length, width).
    Rectangle {
        /// Along x.
        length_mm: f64,
        /// Along y.
        width_mm: f64,
    },
    /// A disc that touches both axes.
    Disc {
        /// Its diameter.
        diameter_mm: f64,
    },
    /// Half a disc over its straight edge.
    HalfDisc {
        /// The length of the straight edge.
        diameter_mm: f64,
    },
}

impl From<&Outline> for Face {
    fn from(outline: &Outline) -> Self {
        match *outline {
            Outline::Rectangle { length_nm, width_nm } => {
                Self::Rectangle { length_mm: length_nm.mm(), width_mm: width_nm.mm() }
            }
            Outline::Round { diameter_nm } => Self::Disc { diameter_mm: diameter_nm.mm() },
            Outline::HalfRound { diameter_nm } => Self::HalfDisc { diameter_mm: diameter_nm.mm() },
        }
    }
}

impl Face {
    /// The bounding rectangle's far corner.
    #[must_use]
    pub fn bounds(&self) -> PlanPoint {
        let (x_mm, y_mm) = match *self {
            Self::Rectangle { length_mm, width_mm } => (length_mm, width_mm),
            Self::Disc { diameter_mm } => (diameter_mm, diameter_mm),
            Self::HalfDisc { diameter_mm } => (diameter_mm, diameter_mm / 2.0),
        };
        PlanPoint { x_mm, y_mm }
    }

    /// The centre of a plate of this outline.
    ///
    /// # Source   half a disc: 4 r / (3 π) from its straight edge, by integration.
    #[must_use]
    pub fn middle(&self) -> PlanPoint {
        match *self {
            Self::Rectangle { length_mm, width_mm } => {
                PlanPoint { x_mm: length_mm / 2.0, y_mm: width_mm / 2.0 }
            }
            Self::Disc { diameter_mm } => PlanPoint { x_mm: diameter_mm / 2.0, y_mm: diameter_mm / 2.0 },
            Self::HalfDisc { diameter_mm } => {
                let radius = diameter_mm / 2.0;
                PlanPoint { x_mm: radius, y_mm: 4.0 * radius / (3.0 * core::f64::consts::PI) }
            }
        }
    }

    /// The corners, counter-clockwise from (0, 0); a disc has none, half a disc two.
    #[must_use]
    pub fn corners(&self) -> Vec<PlanPoint> {
        let at = |x_mm, y_mm| PlanPoint { x_mm, y_mm };
        match *self {
            Self::Rectangle { length_mm: l, width_mm: w } => {
                vec![at(0.0, 0.0), at(l, 0.0), at(l, w), at(0.0, w)]
            }
            Self::Disc { .. } => Vec::new(),
            Self::HalfDisc { diameter_mm } => vec![at(0.0, 0.0), at(diameter_mm, 0.0)],
        }
    }

    /// Whether a place lies on the face or within `slack_mm` outside it.
    #[must_use]
    pub fn holds(&self, place: PlanPoint, slack_mm: f64) -> bool {
        let far = self.bounds();
        let within = |value: f64, high: f64| value >= -slack_mm && value <= high + slack_mm;
        let in_bounds = within(place.x_mm, far.x_mm) && within(place.y_mm, far.y_mm);
        in_bounds
            && self.arc().is_none_or(|(centre, radius)| {
                let (x, y) = (place.x_mm - centre.x_mm, place.y_mm - centre.y_mm);
                (x * x + y * y).sqrt() <= radius + slack_mm
            })
    }

    /// The centre and the radius of the round part.
    fn arc(&self) -> Option<(PlanPoint, f64)> {
        let (diameter_mm, y_mm) = match *self {
            Self::Rectangle { .. } => return None,
            Self::Disc { diameter_mm } => (diameter_mm, diameter_mm / 2.0),
            Self::HalfDisc { diameter_mm } => (diameter_mm, 0.0),
        };
        Some((PlanPoint { x_mm: diameter_mm / 2.0, y_mm }, diameter_mm / 2.0))
    }

    /// The place of the face that lies farthest along the unit direction `(x, y)`.
    #[must_use]
    pub fn farthest(&self, x: f64, y: f64) -> PlanPoint {
        let on_arc = self.arc().map(|(centre, radius)| PlanPoint {
            x_mm: centre.x_mm + radius * x,
            y_mm: centre.y_mm + radius * y,
        });
        // Half a disc's arc lies behind its straight edge only.
        let on_arc = on_arc.filter(|place| place.y_mm >= 0.0);
        let along = |place: &PlanPoint| x * place.x_mm + y * place.y_mm;
        let better = |a: PlanPoint, b: PlanPoint| if along(&b) > along(&a) { b } else { a };
        on_arc.into_iter().chain(self.corners()).reduce(better).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(face: Face, direction: (f64, f64), wanted: (f64, f64)) {
        let found = face.farthest(direction.0, direction.1);
        let off = (found.x_mm - wanted.0).abs() + (found.y_mm - wanted.1).abs();
        assert!(off < 1e-12, "{found:?} for {wanted:?} of {face:?}");
        assert!(face.holds(found, 1e-9));
    }

    #[test]
    fn farthest_places() {
        let rectangle = Face::Rectangle { length_mm: 600.0, width_mm: 300.0 };
        check(rectangle, (0.8, 0.6), (600.0, 300.0));
        check(rectangle, (-0.8, -0.6), (0.0, 0.0));
        let disc = Face::Disc { diameter_mm: 400.0 };
        check(disc, (-0.6, -0.8), (80.0, 40.0));
        let half = Face::HalfDisc { diameter_mm: 400.0 };
        check(half, (0.6, 0.8), (320.0, 160.0));
        check(half, (0.6, -0.8), (400.0, 0.0));
        check(half, (-0.6, -0.8), (0.0, 0.0));
    }
}
