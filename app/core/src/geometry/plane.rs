//! The orthogonal least-squares plane through points, and the frame that lies in it.
//!
//! What this does not do: robust fitting. Every point counts the same, an outlier too.
use super::SurfacePoint;
use super::vector::{Vector, add, cross, dot, scale, square_to, sub, unit};

/// A plane with two directions in it and one normal to it, through the mean of the points.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Frame {
    /// The mean of the points.
    pub origin: Vector,
    /// A direction in the plane.
    pub u: Vector,
    /// The direction in the plane square to `u`.
    pub v: Vector,
    /// The unit normal, upward (z ≥ 0).
    pub w: Vector,
}

impl Frame {
    /// The frame about `origin` with the normal `w` (a unit vector).
    #[must_use]
    pub fn about(origin: Vector, w: Vector) -> Self {
        let w = upward(w);
        let u = square_to(w);
        Self { origin, u, v: cross(w, u), w }
    }

    /// A point's distances along `u`, `v` and `w` from the origin.
    #[must_use]
    pub fn local(&self, point: &SurfacePoint) -> Vector {
        let from_origin = sub(vector(point), self.origin);
        [dot(from_origin, self.u), dot(from_origin, self.v), dot(from_origin, self.w)]
    }

    /// The height of the plane over a place in plan; nothing where the plane stands upright.
    #[must_use]
    pub fn height_mm(&self, x_mm: f64, y_mm: f64) -> Option<f64> {
        let run = self.w[0] * (x_mm - self.origin[0]) + self.w[1] * (y_mm - self.origin[1]);
        Some(self.origin[2] - run / self.w[2]).filter(|height| height.is_finite())
    }
}

/// A point as a vector.
#[must_use]
pub fn vector(point: &SurfacePoint) -> Vector {
    [point.x_mm, point.y_mm, point.z_mm]
}

/// Turns a normal so that it points up; an upright plane's normal so that its first part is positive.
#[must_use]
pub fn upward(w: Vector) -> Vector {
    let first = [w[2], w[0], w[1]].into_iter().find(|part| *part != 0.0);
    if first.is_some_and(|part| part < 0.0) { scale(w, -1.0) } else { w }
}

/// Fits the plane with the least sum of squared normal distances.
///
/// # Input    three or more finite points; order does not matter beyond rounding.
/// # Returns  `None` when the points lie within one line in plan ([`WIDTH_SQUARED`]).
/// # Source   C. M. Shakarji, Least-squares fitting algorithms of the NIST algorithm testing system,
/// J. Res. NIST 103 (1998) 633: the normal is the eigenvector of the least eigenvalue of the
/// scatter matrix; checked in tests/reference/flatness.rs
#[must_use]
pub fn fit(points: &[SurfacePoint]) -> Option<Frame> {
    let origin = mean(points)?;
    let rough = scatter(points, |point| sub(vector(point), origin));
    if in_one_line(&rough) {
        return None;
    }
    let frame = Frame::about(origin, least_axis(rough));
    // In the rough frame the scatter of heights is all but separate from that of the plan: one Newton
    // step for the eigenvector leaves an error of the square of the first one's.
    let s = scatter(points, |point| frame.local(point));
    let (a, b, d) = (s[0][0] - s[2][2], s[0][1], s[1][1] - s[2][2]);
    let determinant = a * d - b * b;
    let (tilt_u, tilt_v) =
        ((s[1][2] * b - s[0][2] * d) / determinant, (s[0][2] * b - s[1][2] * a) / determinant);
    // Where the two least axes are alike there is no one plane; the first axis then stands.
    let turned = add(frame.w, add(scale(frame.u, tilt_u), scale(frame.v, tilt_v)));
    let refined = (tilt_u.abs() < 1e-3 && tilt_v.abs() < 1e-3).then(|| unit(turned)).flatten();
    Some(refined.map_or(frame, |w| Frame::about(origin, w)))
}

/// House choice: points whose scatter across is below 1e-12 of that along (a band 0.6 µm wide and 600 mm
/// long) are one line: rounding of the scatter itself reaches 1e-15.
const WIDTH_SQUARED: f64 = 1e-12;

fn in_one_line(s: &[Vector; 3]) -> bool {
    let sum = s[0][0] + s[1][1];
    let determinant = s[0][0] * s[1][1] - s[0][1] * s[0][1];
    // The product of the two eigenvalues over the square of their sum, which the greater one dominates.
    determinant.is_nan() || determinant <= WIDTH_SQUARED * sum * sum
}

fn mean(points: &[SurfacePoint]) -> Option<Vector> {
    let first = vector(points.first()?);
    #[expect(clippy::cast_precision_loss, reason = "no list holds 2^53 points")]
    let count = points.len() as f64;
    let sum = points.iter().fold([0.0; 3], |sum, point| add(sum, sub(vector(point), first)));
    Some(add(first, scale(sum, 1.0 / count)))
}

fn scatter(points: &[SurfacePoint], local: impl Fn(&SurfacePoint) -> Vector) -> [Vector; 3] {
    let (mut aa, mut ab, mut ac, mut bb, mut bc, mut cc) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for point in points {
        let [a, b, c] = local(point);
        aa += a * a;
        ab += a * b;
        ac += a * c;
        bb += b * b;
        bc += b * c;
        cc += c * c;
    }
    [[aa, ab, ac], [ab, bb, bc], [ac, bc, cc]]
}

/// House choice: cyclic Jacobi on 3×3 converges quadratically; six sweeps are the usual need, 30 is never met.
const SWEEPS: usize = 30;

/// The eigenvector of the least eigenvalue of a symmetric matrix, by cyclic Jacobi rotations.
fn least_axis(mut m: [Vector; 3]) -> Vector {
    let mut axes = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    for _ in 0..SWEEPS {
        let off = m[0][1] * m[0][1] + m[0][2] * m[0][2] + m[1][2] * m[1][2];
        let on = m[0][0] * m[0][0] + m[1][1] * m[1][1] + m[2][2] * m[2][2];
        if off <= 1e-40 * on {
            break;
        }
        for (p, q) in [(0, 1), (0, 2), (1, 2)] {
            rotate(&mut m, &mut axes, p, q);
        }
    }
    let least = (0..3).fold(0, |best, i| if m[i][i] < m[best][best] { i } else { best });
    unit([axes[0][least], axes[1][least], axes[2][least]]).unwrap_or([0.0, 0.0, 1.0])
}

fn rotate(m: &mut [Vector; 3], axes: &mut [Vector; 3], p: usize, q: usize) {
    if m[p][q] == 0.0 {
        return;
    }
    let theta = (m[q][q] - m[p][p]) / (2.0 * m[p][q]);
    let t = theta.signum() / (theta.abs() + (theta * theta + 1.0).sqrt());
    let c = 1.0 / (t * t + 1.0).sqrt();
    let s = t * c;
    for row in m.iter_mut().chain(axes.iter_mut()) {
        (row[p], row[q]) = (c * row[p] - s * row[q], s * row[p] + c * row[q]);
    }
    let (above, below) = (m[p], m[q]);
    m[p] = sub(scale(above, c), scale(below, s));
    m[q] = add(scale(above, s), scale(below, c));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x_mm: f64, y_mm: f64, z_mm: f64) -> SurfacePoint {
        SurfacePoint { x_mm, y_mm, z_mm }
    }

    #[test]
    fn finds_a_tilted_plane() {
        let on = |x: f64, y: f64| at(x, y, 7.0 + 0.25 * x - 0.5 * y);
        let points = [on(0.0, 0.0), on(600.0, 0.0), on(600.0, 300.0), on(0.0, 300.0), on(77.0, 31.0)];
        let w = fit(&points).map(|frame| frame.w);
        let length = (0.25_f64 * 0.25 + 0.5 * 0.5 + 1.0).sqrt();
        let wanted = [-0.25 / length, 0.5 / length, 1.0 / length];
        assert!(w.is_some_and(|w| (0..3).all(|i| (w[i] - wanted[i]).abs() < 1e-15)), "{w:?}");
    }

    #[test]
    fn one_line_in_plan_has_no_plane() {
        let line = [at(0.0, 0.0, 0.0), at(1.0, 2.0, 0.3), at(2.0, 4.0, -0.1), at(5.0, 10.0, 0.2)];
        assert_eq!(fit(&line), None);
        assert_eq!(fit(&[at(3.0, 3.0, 3.0); 5]), None);
        assert_eq!(fit(&[]), None);
    }
}
