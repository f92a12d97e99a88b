//! The survival curve drawn: steps with their band, those in service as ticks, the fitted law as a smooth line.
//!
//! What this does not do: look beyond the oldest piece.
use crate::judge::lifespan::{Batch, End, Lifespan};
use crate::life::kaplan_meier::Step;
use crate::life::weibull::Weibull;
use crate::view::text::{count, fixed};
use serde::{Deserialize, Serialize};

/// The drawing.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Curve {
    /// What it shows, for those who do not see it.
    pub said: String,
    /// The caption.
    pub caption: String,
    /// The steps as an SVG path.
    pub steps: String,
    /// Their 95 % band.
    pub band: String,
    /// The fitted law.
    pub law: Option<String>,
    /// Where pieces in service are: across, down.
    pub serving: Vec<(f64, f64)>,
    /// The half, where the median is read.
    pub half: f64,
    /// Top and bottom of the shares: all, none.
    pub ends: (f64, f64),
    /// The greatest age drawn: "63 firings".
    pub oldest: String,
}

/// The drawing's size in its own units.
pub const SIZE: (f64, f64) = (358.0, 196.0);
/// Left and right; the left has room for "100 %".
const ACROSS: (f64, f64) = (46.0, 348.0);
/// All and none.
const DOWN: (f64, f64) = (14.0, 166.0);
/// House choice: pieces of the smooth line.
const PIECES: u32 = 40;

struct Axes {
    oldest: f64,
}

impl Axes {
    fn x(&self, firings: f64) -> f64 {
        tenth(ACROSS.0 + firings / self.oldest.max(1.0) * (ACROSS.1 - ACROSS.0))
    }

    /// Steps from all at no firing to the oldest age.
    fn stairs(&self, steps: &[Step], of: fn(&Step) -> f64) -> Vec<(f64, f64)> {
        let mut places = vec![(self.x(0.0), y(1.0))];
        let mut level = y(1.0);
        for step in steps {
            let x = self.x(step.firings);
            places.push((x, level));
            level = y(of(step));
            places.push((x, level));
        }
        places.push((self.x(self.oldest), level));
        places
    }

    fn law(&self, law: &Weibull) -> String {
        let at = |piece: u32| {
            let firings = self.oldest * f64::from(piece) / f64::from(PIECES);
            (self.x(firings), y(1.0 - law.retired_within(0.0, firings)))
        };
        path((0..=PIECES).map(at))
    }
}

/// Draws a batch's life; nothing where nothing was retired.
pub(super) fn draw(batch: &Batch, lifespan: &Lifespan) -> Option<Curve> {
    if lifespan.steps.is_empty() {
        return None;
    }
    let oldest = lifespan.ages.last()?.firings;
    let axes = Axes { oldest };
    let lower = axes.stairs(&lifespan.steps, |step| step.low);
    let upper = axes.stairs(&lifespan.steps, |step| step.high);
    let survival = |firings: f64| {
        lifespan.steps.iter().rev().find(|step| step.firings <= firings).map_or(1.0, |step| step.survival)
    };
    let serving = lifespan.ages.iter().filter(|age| age.in_service > 0);
    let law = lifespan.law.as_ref().ok().map(|law| axes.law(law));
    let mut caption =
        "Share of the pieces that outlast so many firings, with its 95 % band. Upright strokes: pieces \
                       in service, or set aside otherwise, at their age."
            .to_owned();
    if law.is_some() {
        caption.push_str(" Dashed: the fitted law.");
    }
    let last = lifespan.steps.last()?;
    Some(Curve {
        said: format!(
            "{} worn out or broken; after {} firings {} % are left",
            count(batch.count(End::WornOut) as u64, "piece", "pieces"),
            fixed(last.firings, 0),
            fixed(100.0 * last.survival, 0)
        ),
        caption,
        steps: path(axes.stairs(&lifespan.steps, |step| step.survival).into_iter()),
        band: format!("{}Z", path(upper.into_iter().chain(lower.into_iter().rev()))),
        law,
        serving: serving.map(|age| (axes.x(age.firings), y(survival(age.firings)))).collect(),
        half: y(0.5),
        ends: (y(1.0), y(0.0)),
        oldest: format!("{} firings", fixed(oldest, 0)),
    })
}

fn y(share: f64) -> f64 {
    tenth(DOWN.1 - share * (DOWN.1 - DOWN.0))
}

fn path(places: impl Iterator<Item = (f64, f64)>) -> String {
    let mut path = String::new();
    for (idx, (x, y)) in places.enumerate() {
        path.push_str(&format!("{}{x} {y}", if idx == 0 { "M" } else { "L" }));
    }
    path
}

fn tenth(value: f64) -> f64 {
    libm::round(value * 10.0) / 10.0
}
