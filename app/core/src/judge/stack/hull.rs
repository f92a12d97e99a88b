//! The support polygon of any number of supports, and what part of a load each carries.
//!
//! What this does not do: heights.
#[cfg(test)]
use crate::geometry::PlanPoint;

/// A vector in plan, in millimetres.
pub(super) type Plan = [f64; 2];

/// House choice: supports whose polygon is less than a millionth of the square over its longest side are in one
/// line, as in `geometry::triangle`.
const THIN: f64 = 1e-6;
/// House choice, as there: a place this close to a side is on it.
const ON_SIDE_MM: f64 = 1e-9;

/// One side of a polygon: the signed distance of a place is `offset + normal · place`, positive inside.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Side {
    normal: Plan,
    offset: f64,
}

impl Side {
    /// The signed distance of a place.
    pub fn distance(&self, at: Plan) -> f64 {
        self.offset + self.normal[0] * at[0] + self.normal[1] * at[1]
    }
}

/// What part of a load one support carries: `fixed + grows · place`.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub(super) struct Share {
    /// At the origin.
    pub fixed: f64,
    /// Per millimetre.
    pub grows: Plan,
}

impl Share {
    /// What it carries of `kg` with this moment about the origin.
    pub fn of(&self, kg: f64, moment: Plan) -> f64 {
        self.fixed * kg + self.grows[0] * moment[0] + self.grows[1] * moment[1]
    }
}

/// A support polygon.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Polygon {
    /// Empty where the supports span no area.
    pub sides: Vec<Side>,
    /// Of each support, in the order given.
    pub shares: Vec<Share>,
}

impl Polygon {
    /// The hull of some places. Shares are those of springs of one stiffness, which for three is statics alone.
    pub fn new(places: &[Plan]) -> Self {
        Self { sides: sides(places), shares: shares(places) }
    }

    /// The least signed distance to a side; nothing where there is no polygon.
    pub fn margin(&self, at: Plan) -> Option<f64> {
        self.sides.iter().map(|side| side.distance(at)).reduce(f64::min)
    }

    /// The least mass which, set at `at`, brings `kg` with its centre at `centre` to the point of tipping, as
    /// `geometry::triangle` has it; nothing where no mass can.
    pub fn tipping_mass(&self, centre: Plan, kg: f64, at: Plan) -> Option<f64> {
        if self.sides.iter().any(|side| side.distance(centre) < 0.0) {
            return self.margin(at).filter(|inside| *inside < -ON_SIDE_MM).map(|_| 0.0);
        }
        let out = self.sides.iter().map(|side| (side.distance(centre), side.distance(at)));
        out.filter(|(_, out)| *out < -ON_SIDE_MM).map(|(inside, out)| kg * inside / -out).reduce(f64::min)
    }
}

/// A vector as the geometry's point.
#[cfg(test)]
pub(super) fn point(at: Plan) -> PlanPoint {
    PlanPoint { x_mm: at[0], y_mm: at[1] }
}

fn turn(a: Plan, b: Plan, c: Plan) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

fn apart(a: Plan, b: Plan) -> f64 {
    let (x, y) = (b[0] - a[0], b[1] - a[1]);
    (x * x + y * y).sqrt()
}

/// The sides of the convex hull (monotone chain), counter-clockwise.
fn sides(places: &[Plan]) -> Vec<Side> {
    let mut sorted = places.to_vec();
    sorted.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    sorted.dedup();
    let half = |points: &mut dyn Iterator<Item = Plan>| {
        let mut chain: Vec<Plan> = Vec::new();
        for point in points {
            while let [.., a, b] = chain[..]
                && turn(a, b, point) <= 0.0
            {
                chain.pop();
            }
            chain.push(point);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut sorted.iter().copied());
    hull.extend(half(&mut sorted.iter().rev().copied()));
    let ring = || hull.iter().copied().zip(hull.iter().copied().cycle().skip(1));
    let longest = ring().map(|(a, b)| apart(a, b)).fold(0.0, f64::max);
    let first = hull.first().copied().unwrap_or_default();
    let area: f64 = ring().map(|(a, b)| turn(first, a, b)).sum();
    if hull.len() < 3 || area <= THIN * longest * longest {
        return Vec::new();
    }
    let side = |(a, b): (Plan, Plan)| {
        let long = apart(a, b);
        let normal = [(a[1] - b[1]) / long, (b[0] - a[0]) / long];
        Side { normal, offset: -(normal[0] * a[0] + normal[1] * a[1]) }
    };
    ring().map(side).collect()
}

/// Least-norm shares: 1/n + (p − c) M⁻¹ (x − c) with M = Σ (p − c)(p − c)ᵀ; even shares where M is singular.
///
/// # Source   equilibrium of a rigid plate on springs of one stiffness; three supports leave no freedom.
fn shares(places: &[Plan]) -> Vec<Share> {
    let n = places.len();
    #[expect(clippy::cast_precision_loss, reason = "a shelf has a handful of supports")]
    let each = if n == 0 { 0.0 } else { 1.0 / n as f64 };
    let mean = |axis: usize| places.iter().map(|place| place[axis]).sum::<f64>() * each;
    let centre = [mean(0), mean(1)];
    let off: Vec<Plan> = places.iter().map(|p| [p[0] - centre[0], p[1] - centre[1]]).collect();
    let sum = |of: fn(&Plan) -> f64| off.iter().map(of).sum::<f64>();
    let (xx, xy, yy) = (sum(|p| p[0] * p[0]), sum(|p| p[0] * p[1]), sum(|p| p[1] * p[1]));
    let det = xx * yy - xy * xy;
    let even = det <= THIN * THIN * (xx + yy) * (xx + yy);
    let share = |p: &Plan| {
        if even {
            return Share { fixed: each, grows: [0.0, 0.0] };
        }
        let grows = [(p[0] * yy - p[1] * xy) / det, (p[1] * xx - p[0] * xy) / det];
        Share { fixed: each - grows[0] * centre[0] - grows[1] * centre[1], grows }
    };
    off.iter().map(share).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::triangle::Triangle;

    const THREE: [Plan; 3] = [[40.0, 40.0], [40.0, 260.0], [560.0, 150.0]];

    #[test]
    fn three_are_the_triangle_of_the_geometry() {
        let polygon = Polygon::new(&THREE);
        let triangle = Triangle::new(THREE.map(point));
        for at in [[300.0, 150.0], [20.0, 30.0], [590.0, 290.0], [300.0, 40.0]] {
            let wanted = triangle.map(|t| (t.margin(point(at)), t.shares(point(at))));
            let shares: Vec<f64> = polygon.shares.iter().map(|share| share.of(1.0, at)).collect();
            let (margin, by_triangle) = wanted.unwrap_or_default();
            assert!(polygon.margin(at).is_some_and(|found| (found - margin).abs() < 1e-9), "{at:?}");
            assert!(shares.iter().zip(by_triangle).all(|(a, b)| (a - b).abs() < 1e-12), "{shares:?}");
            let tips = triangle.and_then(|t| t.tipping_mass(point([300.0, 150.0]), 7.0, point(at)));
            let found = polygon.tipping_mass([300.0, 150.0], 7.0, at);
            assert_eq!(found.is_some(), tips.is_some());
            assert!((found.unwrap_or_default() - tips.unwrap_or_default()).abs() < 1e-9);
        }
    }

    #[test]
    fn four_in_a_square_share_evenly_and_one_inside_makes_no_side() {
        let square = [[0.0, 0.0], [200.0, 0.0], [200.0, 200.0], [0.0, 200.0], [90.0, 110.0]];
        let four = Polygon::new(&square[..4]);
        assert!(four.shares.iter().all(|share| (share.of(8.0, [800.0, 800.0]) - 2.0).abs() < 1e-12));
        // On one of them: 1/4 + 100·100·2/40000 = 3/4 there, 1/4 beside it, -1/4 across.
        let on_one: Vec<f64> = four.shares.iter().map(|share| share.of(1.0, [0.0, 0.0])).collect();
        assert!(on_one.iter().zip([0.75, 0.25, -0.25, 0.25]).all(|(a, b)| (a - b).abs() < 1e-12));
        assert_eq!(Polygon::new(&square).sides.len(), 4);
        assert_eq!(four.margin([100.0, 60.0]), Some(60.0));
    }

    #[test]
    fn in_one_line_there_is_no_polygon() {
        for line in [&[][..], &[[1.0, 2.0]], &[[0.0, 0.0], [1.0, 1.0], [2.0, 2.0]], &[[5.0, 5.0]; 3]] {
            let polygon = Polygon::new(line);
            assert_eq!(polygon.margin([0.0, 0.0]), None);
            assert!(polygon.shares.iter().all(|share| share.fixed.is_finite()));
        }
    }
}
