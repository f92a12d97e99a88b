//! The two drawings of a shelf: from the side with its bow, and its face as a contour map.
//!
//! Plain numbers and path texts; the page puts them into SVG. Nothing is drawn that was not measured: an
//! unmeasured shelf is a dashed straight line, and the map says how many readings it was drawn from.
mod map;
mod scale;
mod side;

pub use map::face_map;
pub use scale::{Scale, WIDTH};
pub use side::side_view;

use serde::{Deserialize, Serialize};

/// A shelf from the side.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SideView {
    /// The slab's middle line as an SVG path, straight at height 0; it is [`WIDTH`] wide.
    pub path: String,
    /// The drawing's upper edge.
    pub top: f64,
    /// The drawing's height.
    pub height: f64,
    /// Whether it is drawn dashed, for nothing was measured.
    pub dashed: bool,
    /// What it shows, for those who do not see it, and how much it exaggerates.
    pub caption: String,
}

/// A place on a map with its number.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct MapPoint {
    /// Across the drawing.
    pub x: f64,
    /// Down the drawing.
    pub y: f64,
    /// What stands beside it; may be empty.
    pub text: String,
}

/// One height's lines on a map.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct MapLine {
    /// SVG path.
    pub path: String,
    /// The height, bare, where it covers nothing; empty where every place on the line would.
    pub level: MapPoint,
}

/// A face from above.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct FaceMap {
    /// The drawing's height; its width is [`WIDTH`].
    pub height: f64,
    /// The outline as an SVG path.
    pub outline: String,
    /// Lines of equal height.
    pub lines: Vec<MapLine>,
    /// Where it was read.
    pub points: Vec<MapPoint>,
    /// Cracks as SVG paths.
    pub cracks: Vec<String>,
    /// Where posts stand.
    pub posts: Vec<MapPoint>,
    /// What it shows.
    pub caption: String,
    /// The numbers: x, y, height under the highest, each with its unit.
    pub table: Vec<[String; 3]>,
}
