//! What a plan is better or worse by, in points: a point is a hundredth of a millimetre of headroom.
//!
//! Every weight is a house choice, with its arithmetic beside it; none is from a published source.
//!
//! What this does not do: say what is allowed. [`super::options`] leaves out what is not.
use crate::units::Length;

/// A millimetre of headroom lost: a hundred points, which makes a point what can just be measured.
const POINTS_PER_MM: f64 = 100.0;
/// A shelf just at the limit of the use it is put to.
///
/// # Source   House choice: at 3.2 mm, the limit for general ware on the usual span, that much headroom is lost.
pub const AT_LIMIT: f64 = 3.2 * POINTS_PER_MM;
/// Flatness over its limit by more than this does not count further. House choice: such a shelf is out anyway.
pub const MOST_OVER: f64 = 10.0;
/// A shelf that was never read, or whose reading shows too little: it is taken as just at the limit, and this is added.
///
/// # Source   House choice: 0.5 mm of headroom, so that of a shelf at its limit and an unread one the read one goes in.
pub const UNREAD: f64 = 0.5 * POINTS_PER_MM;
/// A worn-out shelf, for each layer that it carries.
///
/// # Source   House choice: a shelf at the end of its life goes up a layer before a millimetre of headroom is lost.
pub const WORN: f64 = POINTS_PER_MM;
/// A cracked shelf that is used at all.
///
/// # Source   House choice: a whole one is taken unless that costs more than 10 mm of headroom.
pub const CRACKED: f64 = 10.0 * POINTS_PER_MM;
/// Cordierite past the cone that the studio set for it.
///
/// # Source   House choice: another material is taken unless that costs more than 5 mm of headroom.
pub const HOT: f64 = 5.0 * POINTS_PER_MM;
/// A place left bare by a shelf smaller than it, as a share of the place.
///
/// # Source   House choice: a tenth of the area lost is as bad as 3 mm of headroom, a fiftieth of a layer of 150 mm and
/// ten times less than the ware that stood there.
pub const BARE: f64 = 30.0 * POINTS_PER_MM;
/// A millimetre of spread, for the layer itself and for each one that it carries.
///
/// # Source   On a base of 254 mm a millimetre of spread leans each layer of 171 mm above by 171 / 254 = 0.67 mm
/// (calculated: the case of the accumulated lean); house choice: a millimetre of lean is as bad as one of headroom.
pub const SPREAD: f64 = 171.0 / 254.0 * POINTS_PER_MM;
/// A set that stands only with a shim.
///
/// # Source   House choice: a set without is taken unless that costs more than 2 mm of headroom.
pub const SHIM: f64 = 2.0 * POINTS_PER_MM;
/// A set that does not stand together yet.
///
/// # Source   House choice: 0.1 mm of headroom, which nobody sees: it only decides between sets that are alike.
pub const NOT_MADE: f64 = 0.1 * POINTS_PER_MM;
/// A layer without a shelf, or without a set: more than everything else together.
///
/// # Source   60 layers times the most that one cell costs, under 10^5 points, is 6 × 10^6.
pub const EMPTY: i64 = 1_000_000_000;
/// What an empty layer costs more for each layer over it, so that the topmost stays empty.
pub const EMPTY_BELOW: i64 = 10_000_000;

/// A demand that no choice meets, and that was dropped: more than leaving every layer empty.
///
/// # Source   60 layers left empty, shelf and set, are 60 × 2 × 1.6 × 10^9, under 2 × 10^11.
pub const DROPPED: i64 = 1_000_000_000_000;

/// Headroom lost, in points; none is gained.
#[must_use]
pub fn headroom(lost: Length) -> f64 {
    lost.mm().max(0.0) * POINTS_PER_MM
}

/// Whole points.
#[must_use]
pub fn points(value: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "saturates, and NaN is 0")]
    let whole = libm::round(value) as i64;
    whole
}
