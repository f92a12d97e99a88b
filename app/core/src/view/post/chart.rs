//! A post's heights over its firings: the band from nominal down to too short, and the line they wear along.
//!
//! What this does not do: fit or judge; it is told.
use crate::judge::wear::Wear;
use crate::units::Length;
use crate::view::chart::{Asked, Chart, draw as draw_chart};
use crate::view::text::{LengthUnit, length};
use crate::world::Post;

/// What stands in the chart beside the readings.
#[derive(Clone, Copy, Debug)]
pub struct Beside<'a> {
    /// Where too short begins.
    pub short_at: Length,
    /// Where the post leaves its set, and the set's code.
    pub leaves: Option<(Length, &'a str)>,
    /// The fitted line.
    pub wear: Option<&'a Wear>,
    /// How far ahead of now to draw it.
    pub ahead: f64,
}

/// Draws a post's readings; nothing where there are none.
#[must_use]
pub fn draw(post: &Post, beside: &Beside<'_>, unit: LengthUnit) -> Option<Chart> {
    let heights = || post.readings.iter().map(|reading| reading.height);
    let (highest, lowest) = (heights().max()?, heights().min()?);
    let mut levels =
        vec![(post.nominal, "nominal".to_owned(), false), (beside.short_at, "too short".to_owned(), true)];
    levels.extend(beside.leaves.map(|(at, set)| (at, format!("leaves {set}"), true)));
    let any_old = post.readings.iter().any(|reading| reading.stale);
    let mut caption = format!(
        "Heights over firings. The band is from nominal, {}, down to {}, too short.",
        length(post.nominal, unit),
        length(beside.short_at, unit)
    );
    if beside.wear.is_some() {
        caption.push_str(
            " The line is fitted to the readings, dashed where it is carried on; about it, its 95 % band.",
        );
    }
    if beside.ahead > 0.0 {
        caption.push_str(" Upright: now.");
    }
    if any_old {
        caption.push_str(" Hollow: before dressing.");
    }
    draw_chart(Asked {
        dots: post
            .readings
            .iter()
            .map(|reading| (reading.firings_then, reading.height, !reading.stale))
            .collect(),
        levels,
        passes: Some((post.nominal, beside.short_at)),
        wear: beside.wear,
        ahead: beside.ahead,
        now: post.firings(),
        said: format!(
            "{} readings from {} to {}",
            post.readings.len(),
            length(lowest, unit),
            length(highest, unit)
        ),
        caption,
    })
}
