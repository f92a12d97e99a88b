//! Which line to read again where the readings of a network contradict one another.
//!
//! In the eight lines of a rectangle a slip can be seen, and not always be pinned to one line: front edge, back
//! edge and the middle from front to back close one ring, and a slip in any of them looks the same. So every
//! reading is left out in turn; those without which the rest agrees are the ones to read again.
//!
//! What this does not do: find two slips that hide each other.
use crate::event::LineReading;
use crate::geometry::PlanPoint;
use crate::geometry::straightedge::{self, Line, Reading, Solved};
use crate::outline::{LineName, Spot};
use crate::units::Length;

/// A residual over this many standard uncertainties names a slip of the feeler.
/// House choice: three; a fair reading is further off once in 370.
const SLIP: f64 = 3.0;

/// Readings that contradict one another.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Slip {
    /// The lines without one of which the rest agrees best; empty where no single line explains it.
    pub lines: Vec<LineName>,
    /// By how much they contradict: the largest residual.
    pub residual: Length,
}

impl Slip {
    /// "back edge or middle, front to back".
    #[must_use]
    pub fn said(&self) -> String {
        let names: Vec<&str> = self.lines.iter().map(|line| line.said()).collect();
        if names.is_empty() { "more than one line".to_owned() } else { names.join(" or ") }
    }
}

/// Looks for a slip in a solved network.
pub(super) fn find(solved: &Solved, lines: &[LineReading], u: Length) -> Option<Slip> {
    let worst = solved.closure_worst.filter(|worst| worst.residual_mm.abs() > SLIP * u.mm())?;
    let readings =
        lines.iter().enumerate().flat_map(|(line, read)| (0..read.dips.len()).map(move |dip| (line, dip)));
    let without: Vec<(LineName, f64)> = readings
        .filter_map(|(line, dip)| Some((lines.get(line)?.line, left_over_mm(lines, (line, dip))?)))
        .collect();
    let best = without.iter().map(|(_, left)| *left).fold(f64::INFINITY, f64::min);
    let mut suspects: Vec<LineName> = Vec::new();
    // House choice: as well as the best, within one standard uncertainty.
    for (line, left) in without.iter().filter(|_| best <= SLIP * u.mm()) {
        if *left <= best + u.mm() && !suspects.contains(line) {
            suspects.push(*line);
        }
    }
    Some(Slip { lines: suspects, residual: Length::from_mm(worst.residual_mm.abs()) })
}

/// The largest residual once the reading at `left_out` (line, reading) is not counted; none where the rest does
/// not join.
fn left_over_mm(lines: &[LineReading], left_out: (usize, usize)) -> Option<f64> {
    let mut rest = lines.to_vec();
    rest.get_mut(left_out.0)?.dips.remove(left_out.1);
    rest.retain(|line| !line.dips.is_empty());
    let solved = straightedge::solve(&network(&rest)).ok()?;
    Some(solved.closure_worst.map_or(0.0, |worst| worst.residual_mm.abs()))
}

/// The lines as the network takes them.
pub(super) fn network(lines: &[LineReading]) -> Vec<Line> {
    let place = |spot: Spot| PlanPoint { x_mm: spot.x_nm.mm(), y_mm: spot.y_nm.mm() };
    lines
        .iter()
        .map(|line| Line {
            from: place(line.from),
            to: place(line.to),
            readings: line
                .dips
                .iter()
                .map(|dip| Reading { at: f64::from(dip.at_permille) / 1000.0, dip_mm: dip.dip_nm.mm() })
                .collect(),
        })
        .collect()
}
