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

/// House choice: a longer shelf is carried by more than three posts.
const LONGEST: f64 = 5.0;
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
/// [`PlateError::Strip`] for a shelf too long to be a plate, [`PlateError::NoRoom`] where the inset leaves
/// none.
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
    if !(short > 0.0 && aspect <= LONGEST) {
        return Err(PlateError::Strip { times: aspect, most: LONGEST });
    }
    let inset = (least_inset_mm / short).max(0.0);
    if inset >= 0.4 {
        return Err(PlateError::NoRoom { inset_mm: least_inset_mm });
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

#[cfg(test)]
mod tests {
    use super::*;

    fn check(length_mm: f64, width_mm: f64, inset_mm: f64) -> Result<BestThree, PlateError> {
        let best = best_three_supports(length_mm, width_mm, 0.2, inset_mm)?;
        for place in best.supports {
            for (at, side) in [(place.x_mm, length_mm), (place.y_mm, width_mm)] {
                assert!(at > inset_mm - 1e-9 && at < side - inset_mm + 1e-9, "{place:?} in {length_mm}");
            }
        }
        assert!(best.peak_to_valley < 0.15 * best.at_the_rim, "{best:?}");
        Ok(best)
    }

    #[test]
    fn a_turned_shelf_gets_turned_places() -> Result<(), PlateError> {
        let (along, across) = (check(600.0, 300.0, 40.0)?, check(300.0, 600.0, 40.0)?);
        for (a, b) in along.supports.iter().zip(&across.supports) {
            assert_eq!((a.x_mm, a.y_mm), (b.y_mm, b.x_mm));
        }
        Ok(())
    }

    #[test]
    fn an_inset_holds_the_posts_back_and_costs_flatness() -> Result<(), PlateError> {
        let (free, held) = (check(450.0, 300.0, 0.0)?, check(450.0, 300.0, 90.0)?);
        assert!(held.peak_to_valley > 1.05 * free.peak_to_valley, "{held:?} {free:?}");
        assert_eq!(check(300.0, 300.0, 120.0).map(|_| ()), Err(PlateError::NoRoom { inset_mm: 120.0 }));
        assert_eq!(check(3000.0, 300.0, 0.0).map(|_| ()), Err(PlateError::Strip { times: 10.0, most: 5.0 }));
        Ok(())
    }

    /// Two posts near the ends of a long side and one on the other long side bend it more.
    #[test]
    fn the_pair_stands_across_the_long_middle_line() -> Result<(), PlateError> {
        for aspect in [1.15, 1.3] {
            let best = best_three_supports(aspect, 1.0, 0.2, 0.0)?;
            let turned = EvenShelf::new(1.0 / aspect, 0.2, CELLS[0])?;
            let room = Room { aspect: 1.0 / aspect, inset: 0.0 };
            let (_, other) = room.search(&turned, room.inside([0.3, 0.3, 0.12]), 0.06, 90);
            // In units of the long side's fourth power.
            let other = other * aspect * aspect * aspect * aspect;
            assert!(best.peak_to_valley < other, "{aspect}: {} and {other}", best.peak_to_valley);
        }
        Ok(())
    }
}
