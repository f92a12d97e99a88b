//! A post's heights over its firings: one dot a reading, and the band from nominal down to too short.
//!
//! What this does not do: draw a line between readings, or beyond them. Only what was measured is drawn.
use crate::units::Length;
use crate::view::text::{LengthUnit, length};
use crate::world::Post;
use serde::{Deserialize, Serialize};

/// The drawing.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct HeightChart {
    /// What it shows, for those who do not see it.
    pub said: String,
    /// The caption.
    pub caption: String,
    /// Where the nominal height is.
    pub nominal: f64,
    /// Where too short begins.
    pub short: f64,
    /// The readings.
    pub dots: Vec<Dot>,
    /// "0 firings" and "61 firings", at the left and right end.
    pub ends: (String, String),
}

/// One reading.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Dot {
    /// Across.
    pub x: f64,
    /// Down.
    pub y: f64,
    /// Whether it still holds; after a dressing it is drawn hollow.
    pub holds: bool,
}

/// The drawing's size in its own units.
pub const SIZE: (f64, f64) = (358.0, 150.0);
/// Left and right margin.
const SIDE: f64 = 14.0;
/// Top and bottom of the heights.
const BETWEEN: (f64, f64) = (16.0, 118.0);

/// Draws a post's readings; nothing where there are none.
#[must_use]
pub fn draw(post: &Post, short_at: Length, unit: LengthUnit) -> Option<HeightChart> {
    let heights = || post.readings.iter().map(|reading| reading.height);
    let high = heights().max()?.max(post.nominal);
    let low = heights().min()?.min(short_at);
    let range = (high - low).mm().max(0.001);
    let y = |height: Length| tenth(BETWEEN.0 + (high - height).mm() / range * (BETWEEN.1 - BETWEEN.0));
    let first = post.readings.iter().map(|reading| reading.firings_then).min()?;
    let last = post.firings().max(first);
    let span = f64::from((last - first).max(1));
    let x = |firings: u32| tenth(SIDE + f64::from(firings - first) / span * (SIZE.0 - 2.0 * SIDE));
    let dots: Vec<Dot> = post
        .readings
        .iter()
        .map(|reading| Dot { x: x(reading.firings_then), y: y(reading.height), holds: !reading.stale })
        .collect();
    let count = |firings: u32| crate::view::text::count(u64::from(firings), "firing", "firings");
    Some(HeightChart {
        said: format!(
            "{} readings from {} to {}",
            dots.len(),
            length(heights().min()?, unit),
            length(heights().max()?, unit)
        ),
        caption: format!(
            "Heights over firings. The band is from nominal, {}, down to {}, too short; hollow: before dressing.",
            length(post.nominal, unit),
            length(short_at, unit)
        ),
        nominal: y(post.nominal),
        short: y(short_at),
        dots,
        ends: (count(first), count(last)),
    })
}

fn tenth(value: f64) -> f64 {
    libm::round(value * 10.0) / 10.0
}
