//! Bow and twist: the second-degree surface fitted to heights over the plan.
//!
//! What this does not do: follow local lumps. Six numbers describe the whole face.
use super::SurfacePoint;

/// Unknowns of z = c0 + c1 x + c2 y + c3 x² + c4 xy + c5 y².
const TERMS: usize = 6;
/// House choice: a term whose part square to the terms before it is below 1e-5 of its length (1e-10 of its
/// square) cannot be told from them, such as y² on two rows.
const SINGULAR: f64 = 1e-10;

/// The fitted surface.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Surface {
    x: Span,
    y: Span,
    level: f64,
    c: [f64; TERMS],
}

impl Surface {
    /// Fits the surface; nothing below six points or where they cannot tell its terms apart.
    pub fn fit(points: &[SurfacePoint]) -> Option<Self> {
        if points.len() < TERMS {
            return None;
        }
        let (x, y) = (Span::of(points, |p| p.x_mm)?, Span::of(points, |p| p.y_mm)?);
        let level = points.first()?.z_mm;
        let mut surface = Self { x, y, level, c: [0.0; TERMS] };
        let factor = Factor::of(points.iter().map(|p| surface.terms(p.x_mm, p.y_mm)))?;
        // The second round solves for what the first left over: it wins back the digits that the normal
        // equations lose.
        for _ in 0..2 {
            let mut right = [0.0; TERMS];
            for point in points {
                let left_over = point.z_mm - surface.height_mm(point.x_mm, point.y_mm);
                let terms = surface.terms(point.x_mm, point.y_mm);
                right.iter_mut().zip(terms).for_each(|(sum, term)| *sum += term * left_over);
            }
            surface.c.iter_mut().zip(factor.solve(right)).for_each(|(c, step)| *c += step);
        }
        surface.c.iter().all(|c| c.is_finite()).then_some(surface)
    }

    fn terms(&self, x_mm: f64, y_mm: f64) -> [f64; TERMS] {
        let (x, y) = (self.x.local(x_mm), self.y.local(y_mm));
        [1.0, x, y, x * x, x * y, y * y]
    }

    /// The surface's height at a place.
    pub fn height_mm(&self, x_mm: f64, y_mm: f64) -> f64 {
        self.level + dot(&self.terms(x_mm, y_mm), &self.c)
    }

    // In co-ordinates that run from −1 to 1 the corners have x² = y² = 1 and xy = ±1.

    /// The surface at the centre of the points' bounding rectangle less the mean of its corners.
    pub fn bow_mm(&self) -> f64 {
        -(self.c[3] + self.c[5])
    }

    /// Half of (z at min,min + z at max,max − z at min,max − z at max,min).
    pub fn twist_mm(&self) -> f64 {
        2.0 * self.c[4]
    }
}

fn dot(a: &[f64; TERMS], b: &[f64; TERMS]) -> f64 {
    a.iter().zip(b).fold(0.0, |sum, (a, b)| sum + a * b)
}

/// Maps the points' range in one direction to −1 … 1.
#[derive(Clone, Copy, PartialEq, Debug)]
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
        let found = Surface::fit(&grid(5, 4, z));
        let bow_mm = found.map(|f| f.bow_mm());
        let twist_mm = found.map(|f| f.twist_mm());
        assert!(bow_mm.is_some_and(|bow| (bow - 1.0).abs() < 1e-12), "{bow_mm:?}");
        assert!(twist_mm.is_some_and(|twist| (twist - 0.4).abs() < 1e-12), "{twist_mm:?}");
    }

    #[test]
    fn what_the_points_cannot_tell_is_left_out() {
        assert_eq!(Surface::fit(&grid(2, 2, |x, _| x)), None);
        assert_eq!(Surface::fit(&grid(5, 2, |x, _| x)), None);
        assert_eq!(Surface::fit(&grid(3, 3, |x, _| x).split_off(4)), None);
    }
}
