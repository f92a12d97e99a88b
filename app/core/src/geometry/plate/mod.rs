//! A rectangular shelf as a thin elastic plate on posts: how far it bends, how hard it is stressed, what each
//! post carries.
//!
//! The model is Kirchhoff's plate with free edges on three or more supports that neither sink nor let go:
//! no shear deformation, small deflections, one stiffness in all directions, no creep. What this does not do:
//! follow a shelf that lifts off a post, a cracked one, a round one, or one of uneven thickness; it says
//! nothing about how strong a hot shelf is.
//!
//! The numbers come from a Ritz solution with quartic splines (three continuous derivatives, so conforming)
//! on a tensor grid graded towards supports and pads. Why this and not a plate element: on the same mesh
//! lines, for the published three-point cases, bicubic Hermite rectangles had three times the unknowns (four
//! a node, not one), four times the work and four times the error in the largest moment; and moments that are
//! continuous need no averaging. The matrix is so small that a plain banded Cholesky factor takes a few
//! milliseconds, and gives the same bits everywhere.
//!
//! Start reading at [`solve_plate`]; the mesh is in `lines`, the functions in `spline`, the equations in
//! `system`, deflection and moments in `field`, their extremes in `search`. Where three posts bend a shelf least: [`best_three_supports`].
mod band;
mod case;
mod check;
mod field;
mod lines;
#[cfg(test)]
mod properties;
mod search;
mod spline;
mod system;
mod three;

pub use case::{Foot, GRAVITY_M_S2, Plate, PlateCase, PlateLoad};
pub use check::PlateError;
pub use system::EdgeHold;
pub use three::{BestThree, best_three_supports};

use super::PlanPoint;
use check::{check_case, clip};
use field::Field;
use lines::{Feature, Grade, graded_lines};
use search::{Discs, Extreme};
use spline::{Basis, DEGREE};
use system::{System, Unsolved};

/// Radius of the disc about a point support or point load in which its moment is not reported, in short
/// sides: the moment is singular there (the published calculation's definition).
pub const DISC_SHARE: f64 = 0.1;

/// House choice: places along a profile; a drawing of a phone's width shows no more.
const PROFILE_STEPS: u32 = 48;

/// A value and where it was found.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Found {
    /// The value, in the unit that the field holding it names.
    pub value: f64,
    /// The place.
    pub at: PlanPoint,
}

/// How the shelf bends.
#[derive(Clone, PartialEq, Debug)]
pub struct PlateAnswer {
    /// Greatest deflection downwards, from the level of the supports.
    pub deflection_mm: Found,
    /// Greatest rise above the level of the supports; 0 where nothing rises.
    pub rise_mm: Found,
    /// Deflections from end to end along the length, through the place of greatest deflection.
    pub profile: Vec<Found>,
    /// Deflection at the centre.
    pub centre_deflection_mm: f64,
    /// Greatest principal moment, N·mm per mm, lower face stretched; outside discs about point loads and
    /// about point supports that pull.
    pub sagging_n: Option<Found>,
    /// Size of the least principal moment, N·mm per mm, upper face stretched; outside discs about point
    /// supports.
    pub hogging_n: Option<Found>,
    /// 6 / t²: from a moment to the stress at the face, in MPa.
    pub mpa_per_n: f64,
    /// What each support carries, in the order given; below 0 where it would have to pull.
    pub reactions_n: Vec<f64>,
    /// Supports that would have to pull.
    pub lifts: Vec<usize>,
    /// Everything that bears down, in newtons.
    pub load_n: f64,
    /// Unknowns of the mesh.
    pub unknowns: usize,
}

/// From fine to coarse, each with the most work its banded Cholesky factor may cost (unknowns × band²
/// multiplications and additions); the first that stays within its own is used.
/// House choice, by trial on the published three-point cases: the first keeps deflection within 0.02 %,
/// sagging moment 0.05 % and hogging 0.5 %; the second 0.03 %, 0.06 % and 2 %; the third, 0.15 %, 0.1 % and
/// 3 %. The fourth is for dozens of posts and loads on a long shelf. 30 million are about 4 ms in native
/// code.
const GRADES: [(Grade, usize); 4] = [
    (Grade { base: 0.1, point: 0.008, pad: 0.5, growth: 0.45 }, 30_000_000),
    (Grade { base: 0.12, point: 0.015, pad: 0.7, growth: 0.6 }, 30_000_000),
    (Grade { base: 0.13, point: 0.03, pad: 1.0, growth: 0.9 }, 150_000_000),
    (Grade { base: 0.16, point: 0.06, pad: 1.5, growth: 1.4 }, 150_000_000),
];
/// Where even the last of [`GRADES`] costs too much.
const COARSEST: Grade = Grade { base: 0.25, point: 0.12, pad: 2.0, growth: 2.0 };

/// Bends a shelf on its posts.
///
/// # Input
/// Lengths in one plan co-ordinate system with the shelf from (0, 0); at least three supports, not on one line.
/// # Returns
/// [`PlateAnswer`]. Its figures hold only while nothing lifts: see `lifts`.
/// # Errors
/// [`PlateError`] names the support or load at fault.
/// # Limits
/// Thin plate: at a thickness of a tenth of the short side, shear adds about 5 % to the deflection.
/// # Source
/// S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959; checked in
/// tests/reference/plate.rs.
/// # Example
/// ```
/// use tripoise_core::geometry::plate::*;
/// let plate = Plate { length_mm: 600.0, width_mm: 300.0, thickness_mm: 20.0, youngs_gpa: 50.0,
///     poisson: 0.2, density_g_cm3: Some(2.0) };
/// let foot = |x_mm, y_mm| Foot { x_mm, y_mm, pad_mm: 38.0 };
/// let supports = vec![foot(40.0, 40.0), foot(40.0, 260.0), foot(560.0, 150.0)];
/// let case = PlateCase { plate, supports, pressure_kpa: 0.5, loads: vec![], edges: EdgeHold::Free };
/// let answer = solve_plate(&case)?;
/// assert!(answer.deflection_mm.value > 0.02 && answer.deflection_mm.value < 0.08);
/// assert!(answer.lifts.is_empty());
/// # Ok::<(), PlateError>(())
/// ```
pub fn solve_plate(case: &PlateCase) -> Result<PlateAnswer, PlateError> {
    check_case(case)?;
    let mut finer = GRADES.iter().map(|(grade, most)| (mesh(case, grade), most));
    let affordable = finer.find(|((x, y), most)| cost(x, y) <= **most);
    solve_on(case, affordable.map_or_else(|| mesh(case, &COARSEST), |(mesh, _)| mesh))
}

/// What is left of a shelf's stiffness after grinding: (now / new)³, since bending stiffness goes with the
/// cube of the thickness.
///
/// # Input
/// Both thicknesses in millimetres, above 0.
/// # Returns
/// A share, 1 where nothing was ground off.
/// # Example
/// ```
/// let left = tripoise_core::geometry::plate::stiffness_left(18.0, 20.0);
/// assert!((left - 0.729).abs() < 1e-12);
/// ```
#[must_use]
pub fn stiffness_left(thickness_now_mm: f64, thickness_new_mm: f64) -> f64 {
    let share = thickness_now_mm / thickness_new_mm;
    share * share * share
}

fn mesh(case: &PlateCase, grade: &Grade) -> (Basis, Basis) {
    let short = case.plate.short_mm();
    let feet = || case.supports.iter().chain(case.loads.iter().map(|load| &load.foot));
    let along = |side_mm: f64, centre: fn(&Foot) -> f64| {
        let feature = |foot: &Foot| {
            let [low, high] = clip(centre(foot), foot.pad_mm, side_mm).map(|edge| edge / short);
            Feature { at: 0.5 * (low + high), half: 0.5 * (high - low) }
        };
        let features: Vec<Feature> = feet().map(feature).collect();
        Basis::new(graded_lines(side_mm / short, &features, grade))
    };
    (along(case.plate.length_mm, |foot| foot.x_mm), along(case.plate.width_mm, |foot| foot.y_mm))
}

fn cost(x: &Basis, y: &Basis) -> usize {
    let band = DEGREE * (x.len().min(y.len()) + 1);
    x.len() * y.len() * band * band
}

/// Solves on a given mesh.
fn solve_on(case: &PlateCase, (x, y): (Basis, Basis)) -> Result<PlateAnswer, PlateError> {
    let plate = &case.plate;
    let system = System::new(x, y, plate.poisson, case.edges)?;
    let (force, load_n) = case.force(&system);
    let loaded = system.bent_by(&force);
    let support = |foot: &Foot| {
        let unit = system.force_on(&case.patch(foot));
        let bent = system.bent_by(&unit);
        (unit, bent)
    };
    let supports: Vec<_> = case.supports.iter().map(support).collect();
    let (coefficients, reactions_n) = system.supported(&force, &loaded, &supports)?;
    let field = Field::new(&system, &coefficients, plate.poisson);
    let short = plate.short_mm();
    // Rounding leaves about 1e-12 of the load on a support that carries nothing.
    let pulls = |(_, reaction): &(usize, &f64)| **reaction < -1e-9 * load_n;
    let lifts: Vec<usize> = reactions_n.iter().enumerate().filter(pulls).map(|(i, _)| i).collect();
    let discs = |feet: Vec<&Foot>| Discs {
        centres: feet
            .iter()
            .filter(|foot| foot.pad_mm == 0.0)
            .map(|foot| [foot.x_mm / short, foot.y_mm / short])
            .collect(),
        radius: DISC_SHARE,
    };
    let laden = case.loads.iter().filter(|load| load.mass_kg > 0.0).map(|load| &load.foot);
    let downwards = laden.chain(lifts.iter().map(|i| &case.supports[*i])).collect();
    let extremes = field.extremes(&discs(downwards), &discs(case.supports.iter().collect()));
    let mm = short * short / plate.stiffness_n_mm();
    let found = |extreme: Extreme, factor: f64| Found {
        value: (extreme.value * factor).max(0.0),
        at: PlanPoint { x_mm: extreme.at[0] * short, y_mm: extreme.at[1] * short },
    };
    let centre = [0.5 * plate.length_mm / short, 0.5 * plate.width_mm / short];
    let profile = (0..=PROFILE_STEPS).map(|step| {
        let x = plate.length_mm / short * f64::from(step) / f64::from(PROFILE_STEPS);
        let at = [x, extremes.down.at[1]];
        let place = PlanPoint { x_mm: x * short, y_mm: at[1] * short };
        Found { value: field.at(at).deflection * mm, at: place }
    });
    let profile = profile.collect();
    Ok(PlateAnswer {
        profile,
        deflection_mm: found(extremes.down, mm),
        rise_mm: found(extremes.up, -mm),
        centre_deflection_mm: field.at(centre).deflection * mm,
        sagging_n: extremes.sagging.map(|extreme| found(extreme, 1.0)),
        hogging_n: extremes.hogging.map(|extreme| found(extreme, -1.0)),
        mpa_per_n: 6.0 / (plate.thickness_mm * plate.thickness_mm),
        lifts,
        reactions_n,
        load_n,
        unknowns: system.len(),
    })
}

impl From<Unsolved> for PlateError {
    fn from(unsolved: Unsolved) -> Self {
        match unsolved {
            Unsolved::Matrix => Self::Sizes,
            Unsolved::Supports => Self::Supports,
        }
    }
}
