//! From a reading to heights, and from heights to flatness.
//!
//! What this does not do: hold anything against a limit ([`super::fitness`]), or correct for the sag of the
//! straightedge.
use super::slip::{self, Slip};
use crate::event::values::{Face, Instrument};
use crate::event::{Against, LineReading, SurfaceReading};
use crate::geometry::{SurfacePoint, flatness, straightedge};
use crate::ids::{EventId, ShelfId};
use crate::judge::decision;
use crate::outline::Outline;
use crate::settings::Settings;
use crate::units::Length;
use crate::view::text::{self, LengthUnit};
use crate::world::{Shelf, ShelfReading};
use jiff::Timestamp;

/// How much of the face a reading shows.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Extent {
    /// Lines that join across the face, or a grid: heights of the face.
    Face,
    /// Lines that do not join: only the gap along the worst of them.
    Lines,
}

/// One reading worked out.
#[derive(Clone, PartialEq, Debug)]
pub struct FlatnessView {
    /// The reading's event.
    pub event: EventId,
    /// When it was observed.
    pub at: Timestamp,
    /// The face that was read.
    pub face: Face,
    /// Whether the face was bare of wash.
    pub bare: bool,
    /// What was read with.
    pub instrument: Instrument,
    /// The shelf's firings then.
    pub firings_then: u32,
    /// Whether the face was ground since.
    pub stale: bool,
    /// The other shelf, where the gap belongs to both together: the figures are then the most it can be.
    pub shared_with: Option<ShelfId>,
    /// How much of the face it shows.
    pub extent: Extent,
    /// Minimum-zone flatness; for lines that do not join, the largest gap along one.
    pub flatness: Length,
    /// Standard uncertainty of that.
    pub u: Length,
    /// Peak to valley about the least-squares plane.
    pub least_squares: Option<Length>,
    /// Hump positive, dish negative; none where the points cannot tell.
    pub bow: Option<Length>,
    /// Half of the corners' alternating sum.
    pub twist: Option<Length>,
    /// The heights over the least-squares plane; empty where the lines do not join.
    pub points: Vec<SurfacePoint>,
    /// How many ways the face could still bend without any reading changing.
    pub undetermined: usize,
    /// The lines to read again, where the readings contradict one another.
    pub slip: Option<Slip>,
}

impl FlatnessView {
    /// Whether the figures are only a lower bound: one line, or lines that do not join.
    #[must_use]
    pub fn only_at_least(&self) -> bool {
        self.extent == Extent::Lines
    }

    /// Whether the figures are only an upper bound: two shelves face to face.
    #[must_use]
    pub fn only_at_most(&self) -> bool {
        self.shared_with.is_some()
    }

    /// "1.9 mm, a dish on face A".
    #[must_use]
    pub fn said(&self, unit: LengthUnit) -> String {
        let bound = if self.only_at_most() { "at most " } else { "" };
        let both = if self.only_at_most() { ", both shelves together" } else { "" };
        let flatness = text::length(self.flatness, unit);
        let face = self.face.said();
        match self.bend() {
            Some(bend) => format!("{bound}{flatness}, a {bend} on {face}{both}"),
            None => format!("{bound}{flatness} on {face}{both}"),
        }
    }

    /// "dish" or "hump" where it shows through the uncertainty, "twist" where that is the greater.
    #[must_use]
    pub fn bend(&self) -> Option<&'static str> {
        let seen = decision::ONE_SIDED_95 * self.u.mm();
        let (bow, twist) = (self.bow.unwrap_or_default().mm(), self.twist.unwrap_or_default().mm());
        if twist.abs() > seen && twist.abs() > bow.abs() {
            Some("twist")
        } else if bow.abs() > seen {
            Some(if bow < 0.0 { "dish" } else { "hump" })
        } else {
            None
        }
    }

    /// What to read with next where this reading cannot decide.
    #[must_use]
    pub const fn again(&self) -> &'static str {
        match (self.extent, self.shared_with, self.instrument) {
            (Extent::Lines, ..) => "undecided: read both diagonals and the long middle line",
            (_, Some(_), _) => {
                "undecided: measure again with a straightedge, the gap may be the other shelf\u{2019}s"
            }
            (_, _, Instrument::Feeler | Instrument::Tape) => "undecided: measure again with the caliper",
            (_, _, Instrument::Caliper) => "undecided: measure again with a dial indicator",
            (_, _, Instrument::DialIndicator) => {
                "undecided: too near the limit for any instrument here; take it as over"
            }
        }
    }
}

/// The reading that describes the shelf best: the newest one that still holds of the face that is up, else of
/// the other face (a dish there is a hump here), else the newest stale one.
#[must_use]
pub fn current(shelf: &Shelf) -> Option<&ShelfReading> {
    let newest = |face: Face| {
        shelf.readings.iter().rev().find(move |reading| !reading.stale && reading.measured.face == face)
    };
    newest(shelf.up).or_else(|| newest(shelf.up.other())).or_else(|| shelf.readings.last())
}

/// How far a shelf hangs down in its middle with the face up that is up now, by a reading of either face: a hump on the
/// other face is a dish on this one. Where the points cannot tell, all of the flatness.
#[must_use]
pub fn sag(shelf: &Shelf, view: &FlatnessView) -> Length {
    match view.bow {
        None => view.flatness,
        Some(bow) if view.face == shelf.up => Length((-bow.0).max(0)),
        Some(bow) => bow.max(Length::ZERO),
    }
}

/// Works one reading out.
///
/// # Limits   Standard uncertainty of the flatness: the instrument's times the root of two. House choice: a
/// zone is the difference of its highest and its lowest reading, each with the instrument's uncertainty.
#[must_use]
pub fn read(settings: &Settings, shelf: &Shelf, reading: &ShelfReading) -> FlatnessView {
    let measured = &reading.measured;
    let u_instrument = decision::uncertainty(settings, measured.instrument);
    let (mut points, mut undetermined, mut slip, mut shared_with) = (Vec::new(), 0, None, None);
    let mut worst_gap = Length::ZERO;
    match &measured.reading {
        SurfaceReading::Grid { columns, rows, inset_nm, heights } => {
            let heights = heights.iter().map(|height| height.as_ref().map(|typed| typed.nm));
            points = grid_points(&shelf.outline, (*columns, *rows), *inset_nm, heights);
        }
        SurfaceReading::Lines { against, lines } => {
            if let Against::Shelf { other } = against {
                shared_with = Some(*other);
            }
            worst_gap = lines.iter().map(gap).max().unwrap_or_default();
            if let Ok(solved) = straightedge::solve(&slip::network(lines)) {
                undetermined = solved.undetermined;
                slip = slip::find(&solved, lines, u_instrument);
                points = solved.points;
            }
        }
    }
    let face = flatness::measure(&points).ok();
    let length = |mm: f64| Length::from_mm(mm);
    FlatnessView {
        event: reading.stamp.event,
        at: reading.stamp.at,
        face: measured.face,
        bare: measured.bare,
        instrument: measured.instrument,
        firings_then: reading.firings_then,
        stale: reading.stale,
        shared_with,
        extent: if face.is_some() { Extent::Face } else { Extent::Lines },
        flatness: face.as_ref().map_or(worst_gap, |face| length(face.minimum_zone_mm)),
        u: length(u_instrument.mm() * core::f64::consts::SQRT_2),
        least_squares: face.as_ref().map(|face| length(face.least_squares_mm)),
        bow: face.as_ref().and_then(|face| face.bow_mm).map(length),
        twist: face.as_ref().and_then(|face| face.twist_mm).map(length),
        points: flatness::levelled(&points).unwrap_or_default(),
        undetermined,
        slip,
    }
}

/// Where the points of a grid lie, row by row from the front left corner; places without a height left out.
pub fn grid_points(
    outline: &Outline,
    (columns, rows): (u16, u16),
    inset: Length,
    heights: impl Iterator<Item = Option<Length>>,
) -> Vec<SurfacePoint> {
    let (length, width) = outline.bounds();
    let along = |idx: usize, count: u16, size: Length| {
        #[expect(clippy::cast_precision_loss, reason = "a grid has at most 65535 columns")]
        let share = if count > 1 { idx as f64 / f64::from(count - 1) } else { 0.5 };
        inset.mm() + share * (size.mm() - 2.0 * inset.mm())
    };
    let per_row = usize::from(columns).max(1);
    heights
        .enumerate()
        .filter_map(|(idx, height)| {
            Some(SurfacePoint {
                x_mm: along(idx % per_row, columns, length),
                y_mm: along(idx / per_row, rows, width),
                z_mm: height?.mm(),
            })
        })
        .collect()
}

/// The gap that a straightedge along the line would show: from the highest to the lowest place, ends included.
fn gap(line: &LineReading) -> Length {
    let low = line.dips.iter().map(|dip| dip.dip_nm).max().unwrap_or_default().max(Length::ZERO);
    let high = line.dips.iter().map(|dip| dip.dip_nm).min().unwrap_or_default().min(Length::ZERO);
    low - high
}
