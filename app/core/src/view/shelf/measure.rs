//! The data of the form for a reading: which lines, and what was read there last.
use super::log::Named;
use crate::event::values::Face;
use crate::event::{Against, Body, SurfaceReading};
use crate::ids::ShelfId;
use crate::judge::decision;
use crate::outline::{Line, LineName, Outline};
use crate::units::Length;
use crate::view::Link;
use crate::view::history::unit_of;
use crate::view::route::Request;
use crate::view::text::{day, length};
use crate::world::{Shelf, World};
use serde::{Deserialize, Serialize};

/// How a face is read.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum How {
    /// The middles of two diagonals and the long centre line.
    Quick,
    /// All lines, with quarter points where wanted.
    Full,
    /// A grid from a dial indicator.
    Grid,
    /// Another shelf in place of the straightedge.
    Against,
}

impl How {
    /// Every way, in the order offered.
    pub const ALL: [Self; 4] = [Self::Quick, Self::Full, Self::Grid, Self::Against];

    /// The value in the address.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Quick => "quick",
            Self::Full => "full",
            Self::Grid => "grid",
            Self::Against => "against",
        }
    }

    /// As said.
    #[must_use]
    pub const fn said(self) -> &'static str {
        match self {
            Self::Quick => "quick",
            Self::Full => "full",
            Self::Grid => "dial indicator",
            Self::Against => "against a shelf",
        }
    }

    /// The way that a reading was taken, for its correction.
    #[must_use]
    pub fn of(reading: &SurfaceReading, outline: &Outline) -> Self {
        match reading {
            SurfaceReading::Grid { .. } => Self::Grid,
            SurfaceReading::Lines { against: Against::Shelf { .. }, .. } => Self::Against,
            SurfaceReading::Lines { lines, .. } => {
                let quick = outline.quick_lines();
                let is_quick = |line: &crate::event::LineReading| {
                    quick.iter().any(|known| known.name == line.line)
                        && line.dips.iter().all(|dip| dip.at_permille == 500)
                };
                if lines.iter().all(is_quick) { Self::Quick } else { Self::Full }
            }
        }
    }
}

/// The page for a reading.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Measure {
    /// The shelf.
    pub named: Named,
    /// Its outline.
    pub outline: Outline,
    /// How it is read.
    pub how: How,
    /// The other ways, as links.
    pub ways: Vec<Link>,
    /// The lines to read; empty for a grid.
    pub lines: Vec<Line>,
    /// What the last reading of the face that is up had in the middle of each line; empty where none.
    pub last: Vec<String>,
    /// What each place of each line read last, on both faces, where that still holds.
    pub before: Vec<Before>,
    /// Whether no wash is on record on the face that is up.
    pub bare: bool,
    /// The other shelves by code, for reading against one.
    pub others: Vec<(String, ShelfId)>,
}

/// What one place of a line read last.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Before {
    /// The face.
    pub face: Face,
    /// Whether it was bare.
    pub bare: bool,
    /// The line.
    pub line: LineName,
    /// How far along, in thousandths.
    pub at_permille: u16,
    /// The dip.
    pub dip: Length,
    /// The day.
    pub on: String,
    /// A reading farther off than this is asked about.
    pub allowed: Length,
}

/// A reading is asked about beyond this.
/// House choice: two readings of one place differ by what the shelf moved in between and by what the instrument
/// scatters. Cordierite sags some tenths in a dozen firings, so 1 mm is a slip of the feeler more often than a
/// sag.
const ASK_FROM: Length = Length(1_000_000);
/// And beyond so many standard uncertainties of the difference, where those are more.
/// House choice: by chance alone five are passed once in 1.7 million readings (normal law), so what is asked about
/// is never mere scatter.
const ASK_SIGMAS: f64 = 5.0;

/// The page's data.
#[must_use]
pub fn measure(world: &World, request: &Request, shelf: &Shelf) -> Measure {
    let how = match super::correcting(world, request) {
        Some(Body::ShelfMeasured(body)) => How::of(&body.reading, &shelf.outline),
        _ => How::ALL.into_iter().find(|how| how.key() == request.query("how")).unwrap_or(How::Quick),
    };
    let named = Named::of(world, shelf);
    let lines = match how {
        How::Quick | How::Against => shelf.outline.quick_lines(),
        How::Full => shelf.outline.full_lines(),
        How::Grid => Vec::new(),
    };
    let way = |other: &How| Link {
        href: format!("{}/measure?how={}", named.path, other.key()),
        text: other.said().to_owned(),
    };
    let others = world.shelves_in_service().filter(|other| other.id != shelf.id && how == How::Against);
    Measure {
        outline: shelf.outline,
        how,
        ways: How::ALL.iter().filter(|other| **other != how).map(way).collect(),
        last: lines.iter().map(|line| last_read(world, shelf, shelf.up, line)).collect(),
        lines,
        // A reading that is put right would be compared with itself.
        before: if request.query("corrects").is_empty() { before(world, shelf) } else { Vec::new() },
        bare: !shelf.washes.contains_key(&shelf.up),
        others: others.map(|other| (other.code.to_string(), other.id)).collect(),
        named,
    }
}

/// The newest reading of each place of each line on each face, as far as it still holds. What was read against
/// another shelf belongs to both of them and is left out.
fn before(world: &World, shelf: &Shelf) -> Vec<Before> {
    let mut all: Vec<Before> = Vec::new();
    for reading in shelf.readings.iter().rev().filter(|reading| !reading.stale) {
        let measured = &reading.measured;
        let SurfaceReading::Lines { against, lines } = &measured.reading else { continue };
        if matches!(against, Against::Shelf { .. }) {
            continue;
        }
        let u = decision::uncertainty(&world.settings, measured.instrument);
        // Both readings scatter: the difference of two has the root of two times the uncertainty of one.
        let scatter = Length::from_mm(ASK_SIGMAS * core::f64::consts::SQRT_2 * u.mm());
        let (face, bare, allowed) = (measured.face, measured.bare, ASK_FROM.max(scatter));
        for line in lines {
            for dip in &line.dips {
                let is_known = |known: &Before| {
                    (known.face, known.line, known.at_permille) == (face, line.line, dip.at_permille)
                };
                if all.iter().any(is_known) {
                    continue;
                }
                let (line, at_permille, dip) = (line.line, dip.at_permille, dip.dip_nm);
                let on = day(reading.stamp.at);
                all.push(Before { face, bare, line, at_permille, dip, on, allowed });
            }
        }
    }
    all
}

/// "last time 0.7 mm dish", from the newest reading of that line on that face.
fn last_read(world: &World, shelf: &Shelf, face: Face, line: &Line) -> String {
    let unit = unit_of(world);
    let of_line =
        shelf.readings.iter().rev().filter(|reading| reading.measured.face == face).find_map(|reading| {
            let SurfaceReading::Lines { lines, .. } = &reading.measured.reading else { return None };
            let read = lines.iter().find(|read| read.line == line.name)?;
            let middle = read.dips.iter().find(|dip| dip.at_permille == 500)?;
            let stale = if reading.stale { ", before it was ground" } else { "" };
            let bend = if middle.dip_nm.0 < 0 { "hump" } else { "dish" };
            Some(format!("last time {} {bend}{stale}", length(middle.dip_nm.abs(), unit)))
        });
    of_line.unwrap_or_default()
}
