//! Geometry of flatness and support: pure functions over points in millimetres.
//!
//! Values cross its functions as structs whose fields carry their unit (`x_mm`); whole nanometres
//! ([`crate::units::Length`]) are turned into them at the caller's edge. Nothing here knows of events,
//! pages or JSON.
//!
//! What this does not do: judge. It measures; thresholds and verdicts stand elsewhere.
//!
//! Start reading at [`flatness`], then [`straightedge`] (from feelers to heights) and [`three_post`].
pub mod arch;
pub mod contour;
pub mod crack;
pub mod face;
pub mod flatness;
pub mod four_post;
mod least_norm;
mod marching;
pub mod minimum_zone;
pub mod plane;
pub mod plate;
mod quadratic;
pub mod stack;
pub mod straightedge;
pub mod three_post;
pub mod triangle;
pub mod vector;

pub use face::Face;

/// A point of a face: where it lies in plan, and how high the surface stands there.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct SurfacePoint {
    /// Along the length.
    pub x_mm: f64,
    /// Across.
    pub y_mm: f64,
    /// Height over any datum, up positive.
    pub z_mm: f64,
}

/// A place in plan.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct PlanPoint {
    /// Along the length.
    pub x_mm: f64,
    /// Across.
    pub y_mm: f64,
}
