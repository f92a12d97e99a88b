//! The support triangle of three posts: shares, margin, and the mass that tips.
//!
//! What this does not do: heights. Everything here is in plan, for small tilts.
use super::{Face, PlanPoint};

/// Three posts that are not in one line, in plan.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Triangle {
    corners: [PlanPoint; 3],
    /// Twice the area, signed: positive when the corners run counter-clockwise.
    area: f64,
}

/// A place on the rim and the mass that, set there, brings the shelf to the point of tipping.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct RimTip {
    /// Where.
    pub x_mm: f64,
    /// Where.
    pub y_mm: f64,
    /// The least mass that does it.
    pub mass_kg: f64,
}

/// House choice: three posts whose triangle is less than a millionth of the square over its longest side
/// (0.6 µm high on 600 mm) are in one line.
const THIN: f64 = 1e-6;
/// House choice: a place this close to a side is on it; rounding on a shelf of 1 m is 1e-13 mm.
const ON_SIDE_MM: f64 = 1e-9;

impl Triangle {
    /// The triangle, or nothing where the posts are in one line or in one place.
    #[must_use]
    pub fn new(corners: [PlanPoint; 3]) -> Option<Self> {
        let [a, b, c] = corners;
        let area = turn(a, b, c);
        let longest = [(a, b), (b, c), (c, a)].iter().fold(0.0_f64, |s, (p, q)| s.max(distance(*p, *q)));
        (area.abs() > THIN * longest * longest).then_some(Self { corners, area })
    }

    /// Twice the signed area.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.area
    }

    /// The three posts.
    #[must_use]
    pub fn corners(&self) -> [PlanPoint; 3] {
        self.corners
    }

    /// How much of a load at `place` each post carries; they add to 1, and one below 0 would lift.
    ///
    /// # Source   moments about the sides: the barycentric co-ordinates of the place.
    #[must_use]
    pub fn shares(&self, place: PlanPoint) -> [f64; 3] {
        let [a, b, c] = self.corners;
        [turn(place, b, c) / self.area, turn(a, place, c) / self.area, turn(a, b, place) / self.area]
    }

    /// The signed distances of `place` from the sides 0–1, 1–2 and 2–0: positive inside.
    #[must_use]
    pub fn distances(&self, place: PlanPoint) -> [f64; 3] {
        let [a, b, c] = self.corners;
        let side = |from, to| turn(from, to, place) * self.area.signum() / distance(from, to);
        [side(a, b), side(b, c), side(c, a)]
    }

    /// The least of [`Self::distances`]: the stability margin.
    ///
    /// # Source   R. B. McGhee and A. A. Frank, On the stability properties of quadruped creeping gaits,
    /// Math. Biosci. 3 (1968) 331.
    #[must_use]
    pub fn margin(&self, place: PlanPoint) -> f64 {
        self.distances(place).into_iter().fold(f64::INFINITY, f64::min)
    }

    /// The least mass which, set at `place`, brings `mass_kg` at `centre` to the point of tipping; nothing
    /// where no mass can, because the place is on or inside the triangle. Zero when it tips already.
    ///
    /// About a side, mass × distance of what lies inside equals mass × distance of what lies outside.
    #[must_use]
    pub fn tipping_mass(&self, centre: PlanPoint, mass_kg: f64, place: PlanPoint) -> Option<f64> {
        let (inside, outside) = (self.distances(centre), self.distances(place));
        if outside.iter().all(|distance| *distance >= -ON_SIDE_MM) {
            return None;
        }
        if inside.iter().any(|distance| *distance < 0.0) {
            return Some(0.0);
        }
        let sides = inside.into_iter().zip(outside).filter(|(_, out)| *out < -ON_SIDE_MM);
        sides.map(|(inside, outside)| mass_kg * inside / -outside).reduce(f64::min)
    }

    /// The place on the rim of `face` where the least mass tips it; nothing where the triangle reaches
    /// everywhere.
    ///
    /// For each side that is the place farthest beyond it: the mass falls as the distance grows.
    #[must_use]
    pub fn rim_tip(&self, centre: PlanPoint, mass_kg: f64, face: &Face) -> Option<RimTip> {
        let [a, b, c] = self.corners;
        let beyond = |(from, to): (PlanPoint, PlanPoint)| {
            let outward = self.area.signum() / distance(from, to);
            let place = face.farthest((to.y_mm - from.y_mm) * outward, (from.x_mm - to.x_mm) * outward);
            let mass_kg = self.tipping_mass(centre, mass_kg, place)?;
            Some(RimTip { x_mm: place.x_mm, y_mm: place.y_mm, mass_kg })
        };
        let least = |a: RimTip, b: RimTip| if b.mass_kg < a.mass_kg { b } else { a };
        [(a, b), (b, c), (c, a)].into_iter().filter_map(beyond).reduce(least)
    }
}

/// Twice the signed area of the triangle a, b, c.
fn turn(a: PlanPoint, b: PlanPoint, c: PlanPoint) -> f64 {
    (b.x_mm - a.x_mm) * (c.y_mm - a.y_mm) - (b.y_mm - a.y_mm) * (c.x_mm - a.x_mm)
}

fn distance(a: PlanPoint, b: PlanPoint) -> f64 {
    let (x, y) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    (x * x + y * y).sqrt()
}
