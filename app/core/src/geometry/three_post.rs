//! A shelf on three posts: its tilt, what each post carries, and how near it is to tipping.
//!
//! What this does not do: bend the shelf (see [`super::plate`]), or add up a stack of layers.
use super::triangle::{RimTip, Triangle};
use super::{Face, PlanPoint};
use thiserror::Error;

/// A post: where its middle stands, and how high it is.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Post {
    /// Along the length.
    pub x_mm: f64,
    /// Across.
    pub y_mm: f64,
    /// Its height.
    pub height_mm: f64,
}

impl Post {
    /// Where it stands.
    #[must_use]
    pub fn place(&self) -> PlanPoint {
        PlanPoint { x_mm: self.x_mm, y_mm: self.y_mm }
    }
}

/// Something set on the shelf.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Load {
    /// Along the length.
    pub x_mm: f64,
    /// Across.
    pub y_mm: f64,
    /// Its mass.
    pub mass_kg: f64,
}

/// A shelf on three posts.
#[derive(Clone, PartialEq, Debug)]
pub struct Setting {
    /// The posts.
    pub posts: [Post; 3],
    /// The outline of the shelf; its mass is taken to be at its middle.
    pub face: Face,
    /// The mass of the shelf, above 0.
    pub shelf_mass_kg: f64,
    /// What stands on it.
    pub loads: Vec<Load>,
    /// The standard uncertainty of each post's height, where it is known.
    pub u_height_mm: Option<f64>,
}

/// How the shelf lies; the fields are named as in the published interface.
#[derive(Clone, PartialEq, Debug)]
pub struct Lie {
    /// Greatest less least height.
    pub spread_mm: f64,
    /// Steepest slope.
    pub slope_mm_per_m: f64,
    /// The same as an angle.
    pub tilt_deg: f64,
    /// Direction of steepest descent, counter-clockwise from +x, −180 to 180; nothing when level.
    pub downhill_deg: Option<f64>,
    /// Standard uncertainty of the tilt.
    pub tilt_u_deg: Option<f64>,
    /// Of the shelf with its loads.
    pub centre_of_mass: PlanPoint,
    /// What part of the weight each post carries; they add to 1, and one below 0 would lift.
    pub reaction_shares: [f64; 3],
    /// Least signed distance of the centre of mass from the sides of the support triangle.
    pub margin_mm: f64,
    /// Whether the margin is negative.
    pub tips: bool,
    /// Per corner of the outline, the least mass which, set there, brings the shelf to the point of tipping.
    pub corner_tip_kg: Vec<Option<f64>>,
    /// The place on the rim where the least mass does it.
    pub rim_tip: Option<RimTip>,
    /// Indices of posts whose middle is not under the shelf.
    pub off_shelf: Vec<usize>,
}

/// Why the lie cannot be given.
#[derive(Clone, Copy, PartialEq, Debug, Error)]
pub enum ThreePostError {
    /// The posts are in one line or in one place.
    #[error("the three stand in one line; give posts that form a triangle")]
    OneLine,
    /// Nothing has mass.
    #[error("the shelf and its loads have no mass; give a mass above 0")]
    NoMass,
}

/// House choice, and the published interface's: a slope up to 1e-12 is level and has no downhill direction.
const LEVEL: f64 = 1e-12;

/// Works out how a shelf lies on three posts.
///
/// # Input    finite values; posts and loads may stand outside the outline ([`Lie::off_shelf`] says which do).
/// # Errors   [`ThreePostError`]. Never returns NaN.
/// # Limits   Rigid shelf, small tilt: positions in plan are those of the level shelf.
/// # Source   statics of a plate on three supports; margin after McGhee and Frank 1968; uncertainty by
/// JCGM 100:2008 clause 5.1.2; checked in tests/reference/support.rs
pub fn judge(setting: &Setting) -> Result<Lie, ThreePostError> {
    let posts = setting.posts;
    let triangle = Triangle::new(posts.map(|post| post.place())).ok_or(ThreePostError::OneLine)?;
    let (centre, mass_kg) = centre_of_mass(setting).ok_or(ThreePostError::NoMass)?;
    let gradient = gradient(&triangle, posts.map(|post| post.height_mm));
    let slope = (gradient[0] * gradient[0] + gradient[1] * gradient[1]).sqrt();
    let margin_mm = triangle.margin(centre);
    let heights = posts.map(|post| post.height_mm);
    let high = heights.into_iter().fold(f64::NEG_INFINITY, f64::max);
    let low = heights.into_iter().fold(f64::INFINITY, f64::min);
    let corners = setting.face.corners();
    let off = posts.iter().enumerate().filter(|(_, post)| !setting.face.holds(post.place(), 0.0));
    Ok(Lie {
        spread_mm: high - low,
        slope_mm_per_m: 1000.0 * slope,
        tilt_deg: libm::atan(slope).to_degrees(),
        // Adding zero turns −0 into 0, whose angle has one sign.
        downhill_deg: (slope > LEVEL).then(|| libm::atan2(0.0 - gradient[1], 0.0 - gradient[0]).to_degrees()),
        tilt_u_deg: setting
            .u_height_mm
            .map(|u| (u * tilt_per_height(&triangle, gradient, slope)).to_degrees()),
        centre_of_mass: centre,
        reaction_shares: triangle.shares(centre),
        margin_mm,
        tips: margin_mm < 0.0,
        corner_tip_kg: corners.into_iter().map(|at| triangle.tipping_mass(centre, mass_kg, at)).collect(),
        rim_tip: triangle.rim_tip(centre, mass_kg, &setting.face),
        off_shelf: off.map(|(i, _)| i).collect(),
    })
}

fn centre_of_mass(setting: &Setting) -> Option<(PlanPoint, f64)> {
    let middle = setting.face.middle();
    let own = Load { x_mm: middle.x_mm, y_mm: middle.y_mm, mass_kg: setting.shelf_mass_kg };
    let (mut mass_kg, mut x, mut y) = (0.0, 0.0, 0.0);
    for load in std::iter::once(&own).chain(&setting.loads) {
        mass_kg += load.mass_kg;
        // From the middle, so that a bare shelf's centre is its middle to the last digit.
        x += load.mass_kg * (load.x_mm - middle.x_mm);
        y += load.mass_kg * (load.y_mm - middle.y_mm);
    }
    let centre = PlanPoint { x_mm: middle.x_mm + x / mass_kg, y_mm: middle.y_mm + y / mass_kg };
    (mass_kg > 0.0 && centre.x_mm.is_finite() && centre.y_mm.is_finite()).then_some((centre, mass_kg))
}

/// The slope (dz/dx, dz/dy) of the plane through the post heads.
#[must_use]
pub fn gradient(triangle: &Triangle, heights_mm: [f64; 3]) -> [f64; 2] {
    let per_height = per_height(triangle);
    // Against the first height, so that equal heights give exactly no slope.
    let over = heights_mm.map(|height| height - heights_mm[0]);
    let along =
        |axis: usize| per_height.iter().zip(over).fold(0.0, |sum, (slope, over)| sum + slope[axis] * over);
    [along(0), along(1)]
}

/// How the slope changes with each post's height.
fn per_height(triangle: &Triangle) -> [[f64; 2]; 3] {
    let [a, b, c] = triangle.corners();
    let area = triangle.area();
    let opposite =
        |from: PlanPoint, to: PlanPoint| [(from.y_mm - to.y_mm) / area, (to.x_mm - from.x_mm) / area];
    [opposite(b, c), opposite(c, a), opposite(a, b)]
}

/// By how many radians the tilt's standard uncertainty grows per millimetre of each height's.
///
/// With the slope g and its change c_i with height i: √Σ (g · c_i)² / |g|, for small angles: the factor
/// 1 / (1 + |g|²) of the arc tangent, 1e-5 from one at 3 mm per m, is left out. A level shelf has no direction
/// of slope; the tilt's uncertainty is then that in the direction where it is greatest.
fn tilt_per_height(triangle: &Triangle, gradient: [f64; 2], slope: f64) -> f64 {
    let changes = per_height(triangle);
    if slope > LEVEL {
        let along = changes.iter().map(|c| (gradient[0] * c[0] + gradient[1] * c[1]) / slope);
        return along.map(|c| c * c).sum::<f64>().sqrt();
    }
    let sum = |of: fn(&[f64; 2]) -> f64| changes.iter().map(of).sum::<f64>();
    let (xx, xy, yy) = (sum(|c| c[0] * c[0]), sum(|c| c[0] * c[1]), sum(|c| c[1] * c[1]));
    let (half_sum, half_difference) = ((xx + yy) / 2.0, (xx - yy) / 2.0);
    (half_sum + (half_difference * half_difference + xy * xy).sqrt()).sqrt()
}
