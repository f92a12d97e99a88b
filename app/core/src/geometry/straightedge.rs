//! From feelers under a straightedge to heights: a least-squares network over the lines read.
//!
//! The straightedge rests on two equal spacers at the ends of a line. A reading says how far the surface lies
//! below the chord between those ends; it says nothing of how one line stands against another. Lines that
//! share places do: the heights at those places are found so that all readings fit as well as they can.
//!
//! What this does not do: correct for the sag of the straightedge itself.
use super::least_norm::{solve as solve_least_norm, span, take_out};
use super::{PlanPoint, SurfacePoint};
use thiserror::Error;

/// Places within this distance are one place: the contract of the published interface.
pub const MERGED_MM: f64 = 0.1;
/// House choice: a way to move that the readings see less than a thousandth as well as another is not seen:
/// 0.1 mm of merging on a line of 100 mm shifts a reading's share by as much.
const SEEN: f64 = 1e-3;
/// House choice: eight lines of 75 stations; the work grows with the cube (600³ ≈ 2e8, some 0.3 s).
pub const MOST_PLACES: usize = 600;

/// One line read with a straightedge.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    /// Where the first spacer stands.
    pub from: PlanPoint,
    /// Where the second spacer stands.
    pub to: PlanPoint,
    /// What was read between them.
    pub readings: Vec<Reading>,
}

/// One feeler reading.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Reading {
    /// The fraction of the way from the first end to the second, 0 to 1.
    pub at: f64,
    /// Feeler less spacer: how far the surface lies below the chord; negative above it.
    pub dip_mm: f64,
}

/// The solved heights, and how well the readings agree.
#[derive(Clone, PartialEq, Debug)]
pub struct Solved {
    /// Every place once, in the order in which the lines name them; the least-squares plane taken out.
    pub points: Vec<SurfacePoint>,
    /// Root mean square of the residuals; nothing where no reading is checked by another.
    pub closure_rms_mm: Option<f64>,
    /// The reading that fits worst; nothing where no reading is checked by another.
    pub closure_worst: Option<Misfit>,
    /// How many ways the heights could still move without any reading changing, planes aside.
    pub undetermined: usize,
}

/// How far one reading is from what all of them say.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Misfit {
    /// Index of the line.
    pub line: usize,
    /// Index of the reading in its line.
    pub reading: usize,
    /// The dip read less the dip that the solved heights give.
    pub residual_mm: f64,
}

/// Why the heights cannot be found.
#[derive(Clone, PartialEq, Debug, Error)]
pub enum StraightedgeError {
    /// A line whose two ends are one place.
    #[error("the ends are less than {MERGED_MM} mm apart; give two places")]
    NoLength {
        /// Index of the line.
        line: usize,
    },
    /// A reading outside its line, or no number.
    #[error("{at} is not on the line; give a fraction from 0 to 1")]
    OffLine {
        /// Index of the line.
        line: usize,
        /// Index of the reading.
        reading: usize,
        /// The fraction given.
        at: f64,
    },
    /// A dip where the straightedge rests.
    #[error("{dip_mm} is not a reading at the end of a line, where the straightedge rests; give 0 there")]
    DipAtEnd {
        /// Index of the line.
        line: usize,
        /// Index of the reading.
        reading: usize,
        /// The dip given.
        dip_mm: f64,
    },
    /// A line that shares no place with those before it.
    #[error("shares no place with the other lines; give it an end or a reading on one of them")]
    Apart {
        /// Index of the line.
        line: usize,
    },
    /// All places are on one line.
    #[error("all places lie on one line; give lines across the face as well")]
    OneLine,
    /// More places than the network takes.
    #[error("{count} places are too many; give at most {MOST_PLACES}")]
    TooMany {
        /// How many.
        count: usize,
    },
}

/// Solves the heights of all places that the lines name.
///
/// # Input    lines with at least one reading each; co-ordinates of any size, in any order.
/// # Returns  [`Solved`], with the least-squares plane of the places taken out. Where the readings leave
/// more than a plane open, the smallest heights that fit, and `undetermined` says how much is open.
/// # Errors   [`StraightedgeError`]. Never returns NaN for finite input.
/// # Source   J. C. Moody, How to calibrate surface plates in the plant, The Tool Engineer, October 1955, for
/// the geometry of lines that share places; checked in tests/reference/straightedge.rs
/// # Example
/// ```
/// use tripoise_core::geometry::{PlanPoint, straightedge::{self, Line, Reading}};
/// let at = |x_mm, y_mm| PlanPoint { x_mm, y_mm };
/// let middle = |dip_mm| vec![Reading { at: 0.5, dip_mm }];
/// // Both diagonals of a dished shelf, each 0.8 mm low in the middle.
/// let lines = [
///     Line { from: at(0.0, 0.0), to: at(600.0, 300.0), readings: middle(0.8) },
///     Line { from: at(0.0, 300.0), to: at(600.0, 0.0), readings: middle(0.8) },
/// ];
/// let solved = straightedge::solve(&lines)?;
/// assert_eq!((solved.points.len(), solved.undetermined, solved.closure_rms_mm), (5, 0, None));
/// # Ok::<(), straightedge::StraightedgeError>(())
/// ```
pub fn solve(lines: &[Line]) -> Result<Solved, StraightedgeError> {
    let network = Network::of(lines)?;
    let n = network.places.len();
    let planes = network.planes();
    if planes.len() < 3 {
        return Err(StraightedgeError::OneLine);
    }
    let rows: Vec<Vec<f64>> = network.sights.iter().map(|sight| sight.row(n, &planes)).collect();
    let right: Vec<f64> = network.sights.iter().map(|sight| -sight.dip_mm).collect();
    let found = solve_least_norm(&rows, &right, n, SEEN);
    let height = |i: usize| found.values.get(i).copied().unwrap_or(0.0);
    let misfit = |sight: &Sight| Misfit {
        line: sight.line,
        reading: sight.reading,
        residual_mm: sight.dip_mm + sight.parts.iter().map(|(i, share)| share * height(*i)).sum::<f64>(),
    };
    let misfits: Vec<Misfit> = network.sights.iter().map(misfit).collect();
    let is_checked = misfits.len() > found.rank;
    let worse = |a: Misfit, b: Misfit| if b.residual_mm.abs() > a.residual_mm.abs() { b } else { a };
    let points = network.places.iter().enumerate();
    Ok(Solved {
        points: points
            .map(|(i, place)| SurfacePoint { x_mm: place.x_mm, y_mm: place.y_mm, z_mm: height(i) })
            .collect(),
        closure_rms_mm: is_checked.then(|| rms(&misfits)),
        closure_worst: misfits.into_iter().reduce(worse).filter(|_| is_checked),
        undetermined: n.saturating_sub(found.rank + planes.len()),
    })
}

fn rms(misfits: &[Misfit]) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "no list holds 2^53 readings")]
    let count = misfits.len() as f64;
    (misfits.iter().map(|m| m.residual_mm * m.residual_mm).sum::<f64>() / count).sqrt()
}

/// One reading as an equation: the shares of the places in it add to minus the dip.
struct Sight {
    line: usize,
    reading: usize,
    dip_mm: f64,
    parts: [(usize, f64); 3],
}

impl Sight {
    /// The equation's row, blind to planes: places merged from a little way off would else see a plane a
    /// little, and the answer would hang on those tenths of a millimetre.
    fn row(&self, n: usize, planes: &[Vec<f64>]) -> Vec<f64> {
        let mut row = vec![0.0; n];
        for (i, share) in self.parts {
            row.iter_mut().skip(i).take(1).for_each(|value| *value += share);
        }
        planes.iter().for_each(|plane| take_out(&mut row, plane));
        row
    }
}

struct Network {
    places: Vec<PlanPoint>,
    sights: Vec<Sight>,
}

impl Network {
    fn of(lines: &[Line]) -> Result<Self, StraightedgeError> {
        let mut network = Self { places: Vec::new(), sights: Vec::new() };
        let mut named = Vec::new();
        for (i, line) in lines.iter().enumerate() {
            named.push(network.add(i, line)?);
        }
        if network.places.len() > MOST_PLACES {
            return Err(StraightedgeError::TooMany { count: network.places.len() });
        }
        check_joined(&named)?;
        Ok(network)
    }

    /// Adds a line; returns the places that it names.
    fn add(&mut self, index: usize, line: &Line) -> Result<Vec<usize>, StraightedgeError> {
        let (from, to) = (self.place(line.from), self.place(line.to));
        if from == to {
            return Err(StraightedgeError::NoLength { line: index });
        }
        let mut named = vec![from, to];
        for (i, reading) in line.readings.iter().enumerate() {
            let Reading { at, dip_mm } = *reading;
            if !(0.0..=1.0).contains(&at) {
                return Err(StraightedgeError::OffLine { line: index, reading: i, at });
            }
            let between = |from: f64, to: f64| (1.0 - at) * from + at * to;
            let place = self.place(PlanPoint {
                x_mm: between(line.from.x_mm, line.to.x_mm),
                y_mm: between(line.from.y_mm, line.to.y_mm),
            });
            if place != from && place != to {
                let parts = [(place, 1.0), (from, at - 1.0), (to, -at)];
                self.sights.push(Sight { line: index, reading: i, dip_mm, parts });
                named.push(place);
            } else if dip_mm != 0.0 {
                return Err(StraightedgeError::DipAtEnd { line: index, reading: i, dip_mm });
            }
        }
        Ok(named)
    }

    /// The index of a place, new or merged with the nearest one known.
    fn place(&mut self, place: PlanPoint) -> usize {
        let distance = |other: &PlanPoint| {
            let (x, y) = (other.x_mm - place.x_mm, other.y_mm - place.y_mm);
            (x * x + y * y).sqrt()
        };
        let known = self.places.iter().enumerate().map(|(i, other)| (i, distance(other)));
        let nearest = known.reduce(|a, b| if b.1 < a.1 { b } else { a });
        if let Some((i, _)) = nearest.filter(|(_, distance)| *distance <= MERGED_MM) {
            return i;
        }
        self.places.push(place);
        self.places.len() - 1
    }

    /// The heights of the three planes z = 1, x, y at the places, as unit vectors square to each other.
    fn planes(&self) -> Vec<Vec<f64>> {
        let part = |of: fn(&PlanPoint) -> f64| -> Vec<f64> {
            let first = self.places.first().map_or(0.0, of);
            self.places.iter().map(|place| of(place) - first).collect()
        };
        let (x, y) = (part(|place| place.x_mm), part(|place| place.y_mm));
        let mut planes = span(vec![vec![1.0; self.places.len()]]);
        for mut along in [x, y] {
            let size = along.iter().fold(0.0_f64, |size, value| size.max(value.abs()));
            planes.iter().for_each(|plane| take_out(&mut along, plane));
            // House choice: places that leave a line by less than where they merge are on it.
            if along.iter().any(|value| value.abs() > MERGED_MM && value.abs() > 1e-9 * size) {
                planes.push(along);
                planes = span(planes);
            }
        }
        planes
    }
}

/// Every line must reach the first by shared places; otherwise the first that does not is named.
fn check_joined(named: &[Vec<usize>]) -> Result<(), StraightedgeError> {
    let mut reached: Vec<bool> = named.iter().enumerate().map(|(i, _)| i == 0).collect();
    loop {
        let mut grew = false;
        for (i, places) in named.iter().enumerate() {
            let joins = !reached[i]
                && named.iter().zip(&reached).any(|(other, is_reached)| {
                    *is_reached && places.iter().any(|place| other.contains(place))
                });
            if joins {
                reached[i] = true;
                grew = true;
            }
        }
        if !grew {
            break;
        }
    }
    match reached.iter().position(|is_reached| !is_reached) {
        Some(line) => Err(StraightedgeError::Apart { line }),
        None => Ok(()),
    }
}
