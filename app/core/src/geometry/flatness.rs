//! Flatness of a face: minimum zone (ISO 1101), least squares (ISO 12781), bow and twist.
//!
//! What this does not do: say what is flat enough, filter waviness, or leave out outliers.
use super::SurfacePoint;
use super::minimum_zone;
use super::plane::{self, Frame};
use super::quadratic::Surface;
use thiserror::Error;

/// Fewest points that say anything: three always lie in a plane.
pub const FEWEST: usize = 4;
/// Most points taken.
pub const MOST: usize = 100_000;
/// House choice: 100 m; a co-ordinate beyond it is a slip of the unit.
pub const FAR_MM: f64 = 1e5;

/// Flatness of a face; the fields are named as in the published interface.
#[derive(Clone, PartialEq, Debug)]
pub struct Flatness {
    /// Least distance, measured normal to them, between two parallel planes that hold every point (ISO 1101).
    pub minimum_zone_mm: f64,
    /// Peak to valley of the normal distances to the least-squares plane (ISO 12781 FLTt).
    pub least_squares_mm: f64,
    /// Highest point over the least-squares plane (FLTp).
    pub peak_mm: f64,
    /// Lowest point under it, as a positive number (FLTv).
    pub valley_mm: f64,
    /// Root mean square distance from it (FLTq).
    pub rms_mm: f64,
    /// Fitted surface at the centre less the mean of the corners: hump positive, dish negative.
    pub bow_mm: Option<f64>,
    /// Half of the corners' alternating sum on the fitted surface.
    pub twist_mm: Option<f64>,
    /// The indices of the points that touch the two planes of the minimum zone, ascending.
    pub contact: Vec<usize>,
}

/// Why no flatness can be given.
#[derive(Clone, PartialEq, Debug, Error)]
pub enum FlatnessError {
    /// Three points always lie in a plane.
    #[error("{count} points always lie in one plane; give at least {FEWEST}")]
    TooFew {
        /// How many were given.
        count: usize,
    },
    /// More than is taken.
    #[error("{count} points are too many; give at most {MOST}")]
    TooMany {
        /// How many were given.
        count: usize,
    },
    /// A co-ordinate is no number or beyond [`FAR_MM`].
    #[error("point {index} is not a place on a shelf; give millimetres between -100000 and 100000")]
    NoPlace {
        /// Which point, from 0.
        index: usize,
    },
    /// The points lie within one line in plan.
    #[error("the {count} points lie on one line; give points across the face as well")]
    OneLine {
        /// How many were given.
        count: usize,
    },
    /// The search of all directions was not done within its bound.
    #[error(
        "the {count} points are about as high as they are wide, and too many for an exact search; give the points of one face"
    )]
    NoFace {
        /// How many were given.
        count: usize,
    },
}

/// Measures the flatness of a face.
///
/// # Input    4 to 100,000 points, not on one line in plan; order does not matter.
/// # Returns  [`Flatness`]; the minimum zone is the true one to within 1e-9 mm.
/// # Errors   [`FlatnessError`]. Never returns NaN.
/// # Limits   Says nothing about the face between the points.
/// # Source   ISO 1101 (minimum zone), ISO 12781-1 (FLTt, FLTp, FLTv, FLTq); checked in
/// tests/reference/flatness.rs
/// # Example
/// ```
/// use tripoise_core::geometry::{SurfacePoint, flatness};
/// let corner = |x_mm, y_mm, z_mm| SurfacePoint { x_mm, y_mm, z_mm };
/// // One corner of a square hangs 1 mm: two planes half a millimetre apart hold all four points.
/// let face = [corner(0.0, 0.0, 0.0), corner(300.0, 0.0, 0.0), corner(0.0, 300.0, 0.0), corner(300.0, 300.0, -1.0)];
/// let found = flatness::measure(&face)?;
/// assert!((found.minimum_zone_mm - 0.5).abs() < 1e-5);
/// # Ok::<(), flatness::FlatnessError>(())
/// ```
pub fn measure(points: &[SurfacePoint]) -> Result<Flatness, FlatnessError> {
    let frame = check(points)?;
    let zone = minimum_zone::find(points, &frame).ok_or(FlatnessError::NoFace { count: points.len() })?;
    let (mut peak_mm, mut valley_mm, mut squares) = (0.0_f64, 0.0_f64, 0.0);
    for point in points {
        let [_, _, height] = frame.local(point);
        peak_mm = peak_mm.max(height);
        valley_mm = valley_mm.max(-height);
        squares += height * height;
    }
    #[expect(clippy::cast_precision_loss, reason = "no list holds 2^53 points")]
    let count = points.len() as f64;
    let shape = Surface::fit(points);
    let least_squares_mm = peak_mm + valley_mm;
    Ok(Flatness {
        // Both are exact to rounding; where they are equal, rounding must not put them in the wrong order.
        minimum_zone_mm: zone.width_mm.min(least_squares_mm),
        least_squares_mm,
        peak_mm,
        valley_mm,
        rms_mm: (squares / count).sqrt(),
        bow_mm: shape.map(|shape| shape.bow_mm()),
        twist_mm: shape.map(|shape| shape.twist_mm()),
        contact: zone.contact,
    })
}

/// The points with their height over the orthogonal least-squares plane in place of z, for drawing.
///
/// # Errors
/// As [`measure`].
pub fn levelled(points: &[SurfacePoint]) -> Result<Vec<SurfacePoint>, FlatnessError> {
    let frame = check(points)?;
    let level = |point: &SurfacePoint| SurfacePoint { z_mm: frame.local(point)[2], ..*point };
    Ok(points.iter().map(level).collect())
}

/// Checks that the points are such as a face has, and fits their plane.
pub(super) fn check(points: &[SurfacePoint]) -> Result<Frame, FlatnessError> {
    let count = points.len();
    if count < FEWEST {
        return Err(FlatnessError::TooFew { count });
    }
    if count > MOST {
        return Err(FlatnessError::TooMany { count });
    }
    let far = |point: &SurfacePoint| {
        [point.x_mm, point.y_mm, point.z_mm].iter().any(|part| part.is_nan() || part.abs() > FAR_MM)
    };
    if let Some(index) = points.iter().position(far) {
        return Err(FlatnessError::NoPlace { index });
    }
    plane::fit(points).ok_or(FlatnessError::OneLine { count })
}

#[cfg(test)]
mod tests;
