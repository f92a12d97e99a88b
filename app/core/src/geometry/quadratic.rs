//! Bow and twist: the second-degree surface fitted to heights over the plan.
//!
//! What this does not do: follow local lumps. Six numbers describe the whole face.
use super::SurfacePoint;

/// Unknowns of z = c0 + c1 x + c2 y + c3 x² + c4 xy + c5 y².
const TERMS: usize = 6;
/// House choice: a term whose part square to the terms before it is below 1e-5 of its length (1e-10 of its
/// square) cannot be told from them, such as y² on two rows.
const SINGULAR: f64 = 1e-10;

/// How a face departs from a plane as a whole.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct BowTwist {
    /// The fitted surface at the centre of the points' bounding rectangle less the mean of its corners.
    pub bow_mm: f64,
    /// Half of (z at min,min + z at max,max − z at min,max − z at max,min) of the fitted surface.
    pub twist_mm: f64,
}

/// Fits the surface; nothing below six points or where they cannot tell its terms apart.
pub(super) fn fit(points: &[SurfacePoint]) -> Option<BowTwist> {
    if points.len() < TERMS {
        return None;
    }
    let (x, y) = (Span::of(points, |p| p.x_mm)?, Span::of(points, |p| p.y_mm)?);
    let level = points.first()?.z_mm;
    let terms = |p: &SurfacePoint| {
        let (x, y) = (x.local(p.x_mm), y.local(p.y_mm));
        [1.0, x, y, x * x, x * y, y * y]
    };
    let factor = Factor::of(points.iter().map(terms))?;
    let mut c = [0.0; TERMS];
    // The second round solves for what the first left over: it wins back the digits that the normal
    // equations lose.
    for _ in 0..2 {
        let mut right = [0.0; TERMS];
        for point in points {
            let row = terms(point);
            let left_over = point.z_mm - level - dot(&row, &c);
            for (sum, term) in right.iter_mut().zip(row) {
                *sum += term * left_over;
            }
        }
        for (c, step) in c.iter_mut().zip(factor.solve(right)) {
            *c += step;
        }
    }
    // In co-ordinates that run from −1 to 1 the corners have x² = y² = 1 and xy = ±1.
    let found = BowTwist { bow_mm: -(c[3] + c[5]), twist_mm: 2.0 * c[4] };
    (found.bow_mm.is_finite() && found.twist_mm.is_finite()).then_some(found)
}

fn dot(a: &[f64; TERMS], b: &[f64; TERMS]) -> f64 {
    a.iter().zip(b).fold(0.0, |sum, (a, b)| sum + a * b)
}

/// Maps the points' range in one direction to −1 … 1.
struct Span {
    middle: f64,
    half: f64,
}

impl Span {
    fn of(points: &[SurfacePoint], part: impl Fn(&SurfacePoint) -> f64) -> Option<Self> {
        let low = points.iter().map(&part).fold(f64::INFINITY, f64::min);
        let high = points.iter().map(&part).fold(f64::NEG_INFINITY, f64::max);
        let half = (high - low) / 2.0;
        (half > 0.0).then_some(Self { middle: low + half, half })
    }
    fn local(&self, value: f64) -> f64 {
        (value - self.middle) / self.half
    }
}

/// The Cholesky factor of the normal equations.
struct Factor([[f64; TERMS]; TERMS]);

impl Factor {
    fn of(rows: impl Iterator<Item = [f64; TERMS]>) -> Option<Self> {
        let mut m = [[0.0; TERMS]; TERMS];
        for row in rows {
            for i in 0..TERMS {
                for j in 0..=i {
                    m[i][j] += row[i] * row[j];
                }
            }
        }
        for i in 0..TERMS {
            let whole = m[i][i];
            for j in 0..=i {
                let known = m[i].iter().zip(&m[j]).take(j).fold(0.0, |sum, (a, b)| sum + a * b);
                let left = m[i][j] - known;
                m[i][j] = if i > j { left / m[j][j] } else { left };
            }
            if m[i][i].is_nan() || m[i][i] <= SINGULAR * whole {
                return None;
            }
            m[i][i] = m[i][i].sqrt();
        }
        Some(Self(m))
    }

    fn solve(&self, mut right: [f64; TERMS]) -> [f64; TERMS] {
        let m = &self.0;
        for i in 0..TERMS {
            for k in 0..i {
                right[i] -= m[i][k] * right[k];
            }
            right[i] /= m[i][i];
        }
        for i in (0..TERMS).rev() {
            for k in i + 1..TERMS {
                right[i] -= m[k][i] * right[k];
            }
            right[i] /= m[i][i];
        }
        right
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(nx: u32, ny: u32, z: impl Fn(f64, f64) -> f64) -> Vec<SurfacePoint> {
        let place = |i: u32, n: u32, size: f64| size * f64::from(i) / f64::from(n - 1);
        let all = (0..nx).flat_map(|i| (0..ny).map(move |j| (place(i, nx, 600.0), place(j, ny, 300.0))));
        all.map(|(x_mm, y_mm)| SurfacePoint { x_mm, y_mm, z_mm: z(x_mm, y_mm) }).collect()
    }

    #[test]
    fn a_made_surface_gives_back_its_bow_and_twist() {
        // A hump of 1 mm in the middle along x, corners lifted by 0.4 mm crosswise, on a slope.
        let z = |x: f64, y: f64| {
            let (u, v) = ((x - 300.0) / 300.0, (y - 150.0) / 150.0);
            120.0 + 0.01 * x - 0.02 * y - u * u + 0.2 * u * v
        };
        let found = fit(&grid(5, 4, z));
        assert!(found.is_some_and(|f| (f.bow_mm - 1.0).abs() < 1e-12), "{found:?}");
        assert!(found.is_some_and(|f| (f.twist_mm - 0.4).abs() < 1e-12), "{found:?}");
    }

    #[test]
    fn what_the_points_cannot_tell_is_left_out() {
        assert_eq!(fit(&grid(2, 2, |x, _| x)), None);
        assert_eq!(fit(&grid(5, 2, |x, _| x)), None);
        assert_eq!(fit(&grid(3, 3, |x, _| x).split_off(4)), None);
    }
}
