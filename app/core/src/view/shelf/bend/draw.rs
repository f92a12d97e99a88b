//! A bent shelf drawn to scale: in plan, and from the side with its bending exaggerated.
//!
//! What this does not do: solve anything. It draws what [`bend`](crate::judge::shelf::bending::bend) found.
use super::super::drawing::{MapPoint, Scale, WIDTH};
use crate::geometry::plate::Found;
use crate::judge::shelf::bending::{Bent, Slab};
use crate::outline::Spot;
use crate::units::Length;
use crate::view::plan::where_said;
use crate::view::text::LengthUnit;
use serde::{Deserialize, Serialize};

/// House choice: around the outline, as in the other drawings of a shelf.
const PAD: f64 = 9.0;
/// House choice: the bending may take this much of the height of the side view.
const MOST_BEND: f64 = 40.0;
/// House choice: half the slab's drawn thickness.
const HALF_SLAB: f64 = 4.5;
/// House choice: how much of each post is drawn below the level of their tops.
const POST: f64 = 64.0;

/// From above.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct BendPlan {
    /// The drawing's height; its width is that of every shelf's drawing.
    pub height: f64,
    /// The outline as an SVG path.
    pub outline: String,
    /// The posts: left, top, width, height.
    pub posts: Vec<[f64; 4]>,
    /// The place of greatest deflection, with what it is.
    pub greatest: MapPoint,
    /// The line of the side view, as its distance down.
    pub line: f64,
    /// What it shows.
    pub caption: String,
}

/// From the side.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct BendSide {
    /// The slab's middle line as an SVG path; 0 is the level of the posts' tops.
    pub path: String,
    /// The posts: left, top, width, height.
    pub posts: Vec<[f64; 4]>,
    /// The drawing's upper edge.
    pub top: f64,
    /// The drawing's height.
    pub height: f64,
    /// What it shows, and how much it exaggerates.
    pub caption: String,
}

/// A place on the shelf in words: "front right", with the nearest whole spot.
pub(super) fn where_is(slab: &Slab, found: &Found) -> String {
    let spot = Spot { x_nm: Length::from_mm(found.at.x_mm), y_nm: Length::from_mm(found.at.y_mm) };
    where_said(&slab.outline, &[spot]).into_iter().next().unwrap_or_default()
}

pub(super) fn plan(slab: &Slab, posts: &[Spot], bent: &Bent, unit: LengthUnit) -> BendPlan {
    let scale = Scale::of(&slab.outline);
    let half = slab.post_width.mm() / 2.0;
    let square = |spot: &Spot| {
        let (left, top) = scale.at(spot.x_nm.mm() - half, spot.y_nm.mm() + half);
        let (right, bottom) = scale.at(spot.x_nm.mm() + half, spot.y_nm.mm() - half);
        [left, top, tenth(right - left), tenth(bottom - top)]
    };
    let greatest = &bent.answer.deflection_mm;
    let (x, y) = scale.at(greatest.at.x_mm, greatest.at.y_mm);
    let text = super::shown::small(Length::from_mm(greatest.value), unit);
    BendPlan {
        height: scale.height(),
        outline: scale.outline(&slab.outline),
        posts: posts.iter().map(square).collect(),
        greatest: MapPoint { x, y, text },
        line: y,
        caption: format!(
            "To scale, from above, front at the bottom. Squares: posts. Ring: where it bends most, {}. Dotted: the \
             line drawn from the side.",
            where_is(slab, greatest)
        ),
    }
}

pub(super) fn side(slab: &Slab, posts: &[Spot], bent: &Bent, times: u32) -> BendSide {
    let (long, _) = slab.outline.bounds();
    let per_mm = (WIDTH - 2.0 * PAD) / long.mm().max(1.0);
    let downs = || bent.answer.profile.iter().map(|found| found.value);
    let y = |down: f64| tenth(down * per_mm * f64::from(times));
    let mut path = String::new();
    for (idx, found) in bent.answer.profile.iter().enumerate() {
        let start = if idx == 0 { "M" } else { "L" };
        path.push_str(&format!("{start}{} {}", tenth(PAD + found.at.x_mm * per_mm), y(found.value)));
    }
    let width = slab.post_width.mm();
    let bottom = y(downs().fold(0.0, f64::max)).max(0.0) + POST;
    let post = |spot: &Spot| {
        let left = PAD + (spot.x_nm.mm() - width / 2.0) * per_mm;
        [tenth(left), HALF_SLAB, tenth(width * per_mm), tenth(bottom - HALF_SLAB)]
    };
    let mut drawn: Vec<[f64; 4]> = Vec::new();
    for rectangle in posts.iter().map(post) {
        // Two posts behind each other are one from the side.
        if !drawn.iter().any(|other| (other[0] - rectangle[0]).abs() < 0.5) {
            drawn.push(rectangle);
        }
    }
    let top = y(downs().fold(0.0, f64::min)).min(0.0) - 2.0 * HALF_SLAB;
    BendSide {
        path,
        posts: drawn,
        top: tenth(top),
        height: tenth(bottom - top),
        caption: format!(
            "From the front, along the dotted line: bending drawn {times} times its size, thickness and posts not to \
             scale. A free edge may rise over the posts\u{2019} level."
        ),
    }
}

/// The largest of a few round factors that keeps the bending in the drawing.
pub(super) fn exaggeration(slab: &Slab, bent: &Bent) -> u32 {
    let (long, _) = slab.outline.bounds();
    let per_mm = (WIDTH - 2.0 * PAD) / long.mm().max(1.0);
    let most = bent.answer.profile.iter().fold(0.0_f64, |most, found| most.max(found.value.abs()));
    let fits = |times: &u32| most * per_mm * f64::from(*times) <= MOST_BEND;
    [5000, 2000, 1000, 500, 200, 100, 50, 20, 10, 5, 2].into_iter().find(fits).unwrap_or(1)
}

fn tenth(value: f64) -> f64 {
    libm::round(value * 10.0) / 10.0 + 0.0
}
