//! What is bent: a shelf, the feet under and on it, and what they weigh, in the caller's units.
//!
//! What this does not do: check it; that is `check`.
use super::check::clip;
use super::system::{EdgeHold, Patch, System};

/// Standard acceleration of gravity, m/s²: 3rd CGPM, 1901.
pub const GRAVITY_M_S2: f64 = 9.806_65;
/// A shelf: a rectangle from (0, 0) to (length, width).
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Plate {
    /// Along x.
    pub length_mm: f64,
    /// Along y.
    pub width_mm: f64,
    /// Thickness.
    pub thickness_mm: f64,
    /// Young's modulus.
    pub youngs_gpa: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Density; none leaves the shelf's own weight out.
    pub density_g_cm3: Option<f64>,
}

/// A post under the shelf, or a load's foot: a square of side `pad_mm`, or a point where that is 0.
///
/// A square that stands out over the shelf's edge bears on the part under the shelf.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Foot {
    /// Its centre, along the length.
    pub x_mm: f64,
    /// Its centre, along the width.
    pub y_mm: f64,
    /// Side of the square.
    pub pad_mm: f64,
}

/// A mass set on the shelf.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PlateLoad {
    /// Where it bears.
    pub foot: Foot,
    /// Its mass.
    pub mass_kg: f64,
}

/// A shelf on its posts under its loads.
#[derive(Clone, PartialEq, Debug)]
pub struct PlateCase {
    /// The shelf.
    pub plate: Plate,
    /// The posts.
    pub supports: Vec<Foot>,
    /// A pressure all over, beside the shelf's own weight.
    pub pressure_kpa: f64,
    /// Masses set on it.
    pub loads: Vec<PlateLoad>,
    /// How the edges are held: [`EdgeHold::Free`] for a shelf. The others are there to compare with
    /// published tables of plates in frames, and then no support is needed.
    pub edges: EdgeHold,
}

impl Plate {
    /// The shorter side.
    #[must_use]
    pub fn short_mm(&self) -> f64 {
        self.length_mm.min(self.width_mm)
    }

    /// Bending stiffness D = E t³ / (12 (1 − ν²)), in N·mm.
    #[must_use]
    pub fn stiffness_n_mm(&self) -> f64 {
        let t = self.thickness_mm;
        // 1 GPa = 1000 N/mm².
        1000.0 * self.youngs_gpa * t * t * t / (12.0 * (1.0 - self.poisson * self.poisson))
    }

    /// Pressure of its own weight, in N/mm².
    #[must_use]
    pub fn own_pressure_mpa(&self) -> f64 {
        // 1 g/cm³ = 1e-6 kg/mm³.
        self.density_g_cm3.unwrap_or(0.0) * 1e-6 * self.thickness_mm * GRAVITY_M_S2
    }
}

impl PlateCase {
    /// The part of the plate that a foot bears on, in short sides.
    pub(super) fn patch(&self, foot: &Foot) -> Patch {
        let short = self.plate.short_mm();
        let sides = [self.plate.length_mm, self.plate.width_mm];
        let [x, y] = [foot.x_mm, foot.y_mm];
        if foot.pad_mm == 0.0 {
            return Patch::point(x / short, y / short);
        }
        let part = |at: f64, side: f64| clip(at, foot.pad_mm, side).map(|edge| edge / short);
        Patch { x: part(x, sides[0]), y: part(y, sides[1]) }
    }

    /// The load vector and its sum in newtons.
    pub(super) fn force(&self, system: &System) -> (Vec<f64>, f64) {
        let short = self.plate.short_mm();
        // 1 kPa = 0.001 N/mm².
        let pressure = self.pressure_kpa * 0.001 + self.plate.own_pressure_mpa();
        let mut force = system.pressure(pressure * short * short);
        let mut sum = pressure * self.plate.length_mm * self.plate.width_mm;
        for load in &self.loads {
            let weight = load.mass_kg * GRAVITY_M_S2;
            sum += weight;
            for (entry, share) in force.iter_mut().zip(system.force_on(&self.patch(&load.foot))) {
                *entry += weight * share;
            }
        }
        (force, sum)
    }
}
