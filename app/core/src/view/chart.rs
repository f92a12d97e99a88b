//! Readings over firings: one dot a reading, limits as lines, and where enough was read the fitted line with its
//! confidence band, dashed beyond the last firing.
//!
//! What this does not do: fit ([`crate::judge::wear`]) or connect the dots. Only what was measured is a dot.
use crate::judge::wear::{FARTHEST, Outlook, Wear};
use crate::units::Length;
use crate::view::text::count;
use serde::{Deserialize, Serialize};

/// The drawing.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Chart {
    /// What it shows, for those who do not see it.
    pub said: String,
    /// The caption.
    pub caption: String,
    /// The band of values that pass, as its top and bottom.
    pub passes: Option<(f64, f64)>,
    /// Limits and other levels.
    pub levels: Vec<Level>,
    /// The readings.
    pub dots: Vec<Dot>,
    /// The fitted line, where there is one.
    pub fit: Option<Fit>,
    /// Where today is, where the drawing goes beyond it.
    pub now: Option<f64>,
    /// "0 firings" and "61 firings", at the left and right end.
    pub ends: (String, String),
}

/// One level across the drawing.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Level {
    /// Down.
    pub y: f64,
    /// What stands at it.
    pub label: String,
    /// Whether it is a limit; otherwise it is only a mark.
    pub is_limit: bool,
    /// Whether its label stands at the right.
    pub at_right: bool,
}

/// One reading.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Dot {
    /// Across.
    pub x: f64,
    /// Down.
    pub y: f64,
    /// Whether it still holds; otherwise it is drawn hollow.
    pub holds: bool,
}

/// A fitted line as SVG paths.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Fit {
    /// Over the readings.
    pub line: String,
    /// Carried on beyond them.
    pub ahead: String,
    /// The confidence band.
    pub band: String,
}

/// What is said of a piece's wear.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct WearSaid {
    /// "At this rate P07 leaves its set K03 in about 14 firings (9 to 31)."; or why nothing can be told.
    pub lines: Vec<String>,
    /// The rate and what it rests on; empty where there is no line.
    pub rests_on: String,
}

/// What is drawn.
#[derive(Clone, PartialEq, Debug)]
pub struct Asked<'a> {
    /// Firing, value, whether it still holds.
    pub dots: Vec<(u32, Length, bool)>,
    /// Value, label, whether it is a limit.
    pub levels: Vec<(Length, String, bool)>,
    /// The values that pass: the greater, the lesser.
    pub passes: Option<(Length, Length)>,
    /// The fitted line.
    pub wear: Option<&'a Wear>,
    /// How far ahead of now it is drawn, in firings.
    pub ahead: f64,
    /// The piece's firings now.
    pub now: u32,
    /// What it shows.
    pub said: String,
    /// The caption.
    pub caption: String,
}

/// The drawing's size in its own units.
pub const SIZE: (f64, f64) = (358.0, 176.0);
/// Left and right margin.
const SIDE: f64 = 14.0;
/// Top and bottom of the values.
const BETWEEN: (f64, f64) = (18.0, 142.0);
/// House choice: pieces of the band's edge; it bends little.
const STEPS: u32 = 16;

/// How far ahead a drawing goes for what is foretold: a little past the crossing; nothing where none is foretold.
#[must_use]
pub fn ahead_for(outlooks: &[Outlook], wear: &Wear) -> f64 {
    let soonest = outlooks.iter().filter_map(|outlook| match outlook {
        Outlook::In { about, .. } => Some(*about),
        _ => None,
    });
    // House choice: a sixth further than the crossing, so that the eye sees the lines cross.
    soonest.reduce(f64::min).map_or(0.0, |about| (about * 7.0 / 6.0).min(FARTHEST * wear.span()))
}

struct Axes {
    first: f64,
    until: f64,
    high: Length,
    range_mm: f64,
}

impl Axes {
    fn x(&self, firing: f64) -> f64 {
        let share = (firing - self.first) / (self.until - self.first).max(1.0);
        tenth(SIDE + share * (SIZE.0 - 2.0 * SIDE))
    }

    /// Values beyond the drawing lie on its edge.
    fn y_mm(&self, value_mm: f64) -> f64 {
        let share = ((self.high.mm() - value_mm) / self.range_mm).clamp(-0.06, 1.06);
        tenth(BETWEEN.0 + share * (BETWEEN.1 - BETWEEN.0))
    }

    fn y(&self, value: Length) -> f64 {
        self.y_mm(value.mm())
    }

    fn fit(&self, wear: &Wear, now: f64) -> Fit {
        let last = wear.readings.iter().map(|reading| reading.firing).fold(self.first, f64::max);
        let from = wear.readings.iter().map(|reading| reading.firing).fold(last, f64::min);
        let line = |one: f64, two: f64| {
            let y = |firing: f64| self.y_mm(wear.line.at(firing));
            format!("M{} {}L{} {}", self.x(one), y(one), self.x(two), y(two))
        };
        let until = self.until.max(now);
        let at = |step: u32| from + (until - from) * f64::from(step) / f64::from(STEPS);
        let edge = |step: u32, side: f64| {
            let firing = at(step);
            let value = wear.line.at(firing) + side * wear.line.half_width(firing, wear.t);
            format!("{} {}", self.x(firing), self.y_mm(value))
        };
        let upper = (0..=STEPS).map(|step| edge(step, 1.0));
        let lower = (0..=STEPS).rev().map(|step| edge(step, -1.0));
        let band = upper.chain(lower).collect::<Vec<_>>().join("L");
        Fit {
            line: line(from, last),
            ahead: if until > last { line(last, until) } else { String::new() },
            band: format!("M{band}Z"),
        }
    }
}

/// Draws readings; nothing where there are none.
#[must_use]
pub fn draw(asked: Asked<'_>) -> Option<Chart> {
    let values = || asked.dots.iter().map(|dot| dot.1).chain(asked.levels.iter().map(|level| level.0));
    let (high, low) = (values().max()?, values().min()?);
    let first = asked.dots.iter().map(|dot| dot.0).min()?;
    let now = f64::from(asked.now.max(first));
    let until = (now + asked.ahead).max(f64::from(first) + 1.0);
    let axes = Axes { first: f64::from(first), until, high, range_mm: (high - low).mm().max(0.001) };
    let dots = asked.dots.iter().map(|(firing, value, holds)| Dot {
        x: axes.x(f64::from(*firing)),
        y: axes.y(*value),
        holds: *holds,
    });
    let levels = asked.levels.iter().enumerate().map(|(idx, (value, label, is_limit))| Level {
        y: axes.y(*value),
        label: label.clone(),
        is_limit: *is_limit,
        at_right: idx % 2 == 1,
    });
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "firings are whole and far below 2^32"
    )]
    let last_firing = libm::round(until) as u64;
    let said = |n: u64| count(n, "firing", "firings");
    Some(Chart {
        passes: asked.passes.map(|(high, low)| (axes.y(high), axes.y(low))),
        levels: levels.collect(),
        dots: dots.collect(),
        fit: asked.wear.map(|wear| axes.fit(wear, now)),
        now: (asked.ahead > 0.0).then(|| axes.x(now)),
        ends: (said(u64::from(first)), said(last_firing)),
        said: asked.said,
        caption: asked.caption,
    })
}

fn tenth(value: f64) -> f64 {
    libm::round(value * 10.0) / 10.0
}
