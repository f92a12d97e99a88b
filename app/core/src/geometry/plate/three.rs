//! Where three posts bend a shelf least.
//!
//! What this does not do: look for places without the shelf's own symmetry, or for loads other than an even
//! one. Two posts stand across the shelf's long middle line, one on it; that is how the published optimum
//! is laid out, and a load that is the same left and right gains nothing from leaving it.
use super::super::PlanPoint;
use super::PlateError;
use super::field::Field;
use super::lines::{Grade, graded_lines};
use super::spline::Basis;
use super::system::{EdgeHold, Patch, System};

/// Three places for posts and how flat a shelf lies on them under an even load.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct BestThree {
    /// The two that stand across the middle line, then the one on it.
    pub supports: [PlanPoint; 3],
    /// Distance of the two from their end of the long side.
    pub from_end_mm: f64,
    /// Distance of each of the two from the middle line.
    pub from_middle_mm: f64,
    /// Distance of the third from the other end.
    pub third_from_end_mm: f64,
    /// Peak-to-valley deflection in units of q b⁴ / D, where b is the short side.
    pub peak_to_valley: f64,
    /// The same with posts at two corners and the middle of the opposite short side.
    pub at_the_rim: f64,
}

/// House choice: even cells of 1/9 of the short side to find the place, of 1/16 to settle it; the optimum is
/// flat, so that 1 % of the deflection is 0.01 of the place.
const CELLS: [f64; 2] = [1.0 / 9.0, 1.0 / 16.0];
/// House choice: steps of the search on either mesh; it has settled to 0.001 of the short side by then.
const STEPS: [usize; 2] = [90, 45];
/// House choice: the first simplex's edge on either mesh, in short sides.
const EDGES: [f64; 2] = [0.06, 0.015];

/// Finds where three posts under an evenly loaded shelf leave the least peak-to-valley deflection.
///
/// # Input
/// The shelf's sides, ν, and how near its edge a post's centre may stand.
/// # Returns
/// [`BestThree`]; it depends on neither load, thickness nor stiffness.
/// # Errors
/// [`PlateError::Strip`] for a shelf too long to be a plate, [`PlateError::Supports`] where the inset leaves
/// no room.
/// # Limits
/// Point supports; places are good to about 0.01 of the short side, since the optimum is flat.
/// # Source
/// Compared with an independent polynomial Ritz solution in tests/reference/plate.rs.
pub fn best_three_supports(
    length_mm: f64,
    width_mm: f64,
    poisson: f64,
    least_inset_mm: f64,
) -> Result<BestThree, PlateError> {
    let (long, short) = (length_mm.max(width_mm), length_mm.min(width_mm));
    let aspect = long / short;
    if !(short > 0.0 && aspect <= 5.0) {
        return Err(PlateError::Strip { times: aspect });
    }
    let inset = (least_inset_mm / short).max(0.0);
    if inset >= 0.4 {
        return Err(PlateError::Supports);
    }
    let room = Room { aspect, inset };
    // Near the published optimum for a shelf of 1.5 to 1.
    let mut best = room.inside([0.28 * aspect, 0.3, 0.15 * aspect]);
    let mut peak_to_valley = 0.0;
    let mut at_the_rim = 0.0;
    for ((cell, steps), edge) in CELLS.into_iter().zip(STEPS).zip(EDGES) {
        let shelf = EvenShelf::new(aspect, poisson, cell)?;
        (best, peak_to_valley) = room.search(&shelf, best, edge, steps);
        at_the_rim = shelf.peak_to_valley([0.0, 0.5, 0.0]);
    }
    if !peak_to_valley.is_finite() {
        return Err(PlateError::Supports);
    }
    let [s, t, r] = best;
    let place = |along: f64, across: f64| {
        let (along, across) = (along * short, across * short);
        if length_mm >= width_mm {
            PlanPoint { x_mm: along, y_mm: across }
        } else {
            PlanPoint { x_mm: across, y_mm: along }
        }
    };
    Ok(BestThree {
        supports: [place(s, 0.5 - t), place(s, 0.5 + t), place(aspect - r, 0.5)],
        from_end_mm: s * short,
        from_middle_mm: t * short,
        third_from_end_mm: r * short,
        peak_to_valley,
        at_the_rim,
    })
}

/// A shelf under an even load of 1, factorised, ready for any three posts.
struct EvenShelf {
    system: System,
    poisson: f64,
    force: Vec<f64>,
    loaded: Vec<f64>,
    aspect: f64,
}

impl EvenShelf {
    fn new(aspect: f64, poisson: f64, cell: f64) -> Result<Self, PlateError> {
        let grade = Grade { base: cell, point: cell, pad: 1.0, growth: 0.0 };
        let lines = |span: f64| Basis::new(graded_lines(span, &[], &grade));
        let system = System::new(lines(aspect), lines(1.0), poisson, EdgeHold::Free)?;
        let force = system.pressure(1.0);
        let loaded = system.bent_by(&force);
        Ok(Self { system, poisson, force, loaded, aspect })
    }

    /// Infinite where the posts do not hold the shelf.
    fn peak_to_valley(&self, [s, t, r]: [f64; 3]) -> f64 {
        let support = |x: f64, y: f64| {
            let unit = self.system.force_on(&Patch::point(x, y));
            let bent = self.system.bent_by(&unit);
            (unit, bent)
        };
        let supports = [support(s, 0.5 - t), support(s, 0.5 + t), support(self.aspect - r, 0.5)];
        match self.system.supported(&self.force, &self.loaded, &supports) {
            Ok((bent, _)) => Field::new(&self.system, &bent, self.poisson).peak_to_valley(),
            Err(_) => f64::INFINITY,
        }
    }
}

/// Where the three posts may stand.
struct Room {
    aspect: f64,
    inset: f64,
}

impl Room {
    fn inside(&self, [s, t, r]: [f64; 3]) -> [f64; 3] {
        let end = self.aspect - self.inset;
        [s.max(self.inset).min(end), t.max(0.02).min(0.5 - self.inset), r.max(self.inset).min(end)]
    }

    /// Nelder and Mead's simplex search (The Computer Journal 7, 1965), kept inside the room.
    fn search(&self, shelf: &EvenShelf, start: [f64; 3], edge: f64, steps: usize) -> ([f64; 3], f64) {
        let rated = |point: [f64; 3]| {
            let point = self.inside(point);
            (point, shelf.peak_to_valley(point))
        };
        let corner = |axis: usize| {
            let mut point = start;
            point[axis] += if axis == 1 { -edge } else { edge };
            rated(point)
        };
        let mut simplex = [rated(start), corner(0), corner(1), corner(2)];
        for _ in 0..steps {
            simplex.sort_by(|a, b| a.1.total_cmp(&b.1));
            let [a, b, c, worst] = simplex;
            let middle = [0, 1, 2].map(|i| (a.0[i] + b.0[i] + c.0[i]) / 3.0);
            let beyond =
                |factor: f64| rated([0, 1, 2].map(|i| middle[i] + factor * (middle[i] - worst.0[i])));
            let reflected = beyond(1.0);
            simplex[3] = if reflected.1 < a.1 {
                let expanded = beyond(2.0);
                if expanded.1 < reflected.1 { expanded } else { reflected }
            } else if reflected.1 < c.1 {
                reflected
            } else {
                let inward = beyond(if reflected.1 < worst.1 { 0.5 } else { -0.5 });
                if inward.1 < worst.1.min(reflected.1) {
                    inward
                } else {
                    for point in &mut simplex[1..] {
                        *point = rated([0, 1, 2].map(|i| 0.5 * (a.0[i] + point.0[i])));
                    }
                    simplex[3]
                }
            };
        }
        simplex.sort_by(|a, b| a.1.total_cmp(&b.1));
        simplex[0]
    }
}
