//! The extremes of a solved plate: sampled on a fine grid and on the rims of discs, then climbed to.
//!
//! What this does not do: prove that the highest hill was climbed. Three samples a cell see every hill wider
//! than a cell, and the solution has hardly a narrower one.
use super::field::{Field, Sample};
use super::spline::Local;

/// A place and the value found there.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Extreme {
    /// The value.
    pub(super) value: f64,
    /// Where, in short sides.
    pub(super) at: [f64; 2],
}

/// The extremes of one solution.
#[derive(Clone, Copy, Debug)]
pub(super) struct Extremes {
    /// Greatest deflection in the direction of the load.
    pub(super) down: Extreme,
    /// Least deflection; below 0 where the plate rises.
    pub(super) up: Extreme,
    /// Greatest principal moment outside the discs about point loads, if any place is outside.
    pub(super) sagging: Option<Extreme>,
    /// Least principal moment outside the discs about point supports, if any place is outside.
    pub(super) hogging: Option<Extreme>,
}

/// Discs that are left out because a moment is singular at their centres.
#[derive(Clone, Debug)]
pub(super) struct Discs {
    /// Their centres.
    pub(super) centres: Vec<[f64; 2]>,
    /// Their common radius.
    pub(super) radius: f64,
}

/// House choice: 3 samples a cell; a moment that turns over within a cell is met to the second order before
/// the pattern search improves it.
const SAMPLES: usize = 3;
/// House choice: 72 places on each disc's rim, one every 5°.
const RIM_PLACES: usize = 72;
/// House choice: the search stops when its step is 1/1024 of a sample's spacing.
const HALVINGS: usize = 10;

impl Discs {
    /// Whether `at` is outside all of them; a rim counts as outside.
    fn leave(&self, at: [f64; 2]) -> bool {
        // A hair less than the radius, so that a rim that touches an edge is not lost to rounding.
        let least = self.radius * self.radius * (1.0 - 1e-9);
        self.centres.iter().all(|centre| {
            let (dx, dy) = (at[0] - centre[0], at[1] - centre[1]);
            dx * dx + dy * dy >= least
        })
    }

    /// Places on the rims and where rims meet the plate's edges, inside the plate.
    fn rims(&self, size: [f64; 2]) -> Vec<[f64; 2]> {
        let mut places = Vec::new();
        for centre in &self.centres {
            for step in 0..RIM_PLACES {
                let angle = step as f64 / RIM_PLACES as f64 * core::f64::consts::TAU;
                let at =
                    [centre[0] + self.radius * libm::cos(angle), centre[1] + self.radius * libm::sin(angle)];
                places.push(at);
            }
            for axis in 0..2 {
                for edge in [0.0, size[axis]] {
                    let away = edge - centre[axis];
                    let chord = self.radius * self.radius - away * away;
                    if chord >= 0.0 {
                        for sign in [-1.0, 1.0] {
                            let mut at = *centre;
                            at[axis] = edge;
                            at[1 - axis] += sign * chord.sqrt();
                            places.push(at);
                        }
                    }
                }
            }
        }
        // A place outside by rounding is taken to the edge; one truly outside is dropped.
        places.retain_mut(|at| {
            let inside = [0, 1].map(|axis| at[axis].max(0.0).min(size[axis]));
            let near = [0, 1].iter().all(|axis| (inside[*axis] - at[*axis]).abs() < 1e-9);
            *at = inside;
            near && self.leave(*at)
        });
        places
    }
}

impl Field<'_> {
    /// The extremes; `loads` and `supports` are the discs left out of sagging and of hogging.
    pub(super) fn extremes(&self, loads: &Discs, supports: &Discs) -> Extremes {
        let mut quests = [
            Quest::new(|sample| sample.deflection, None),
            Quest::new(|sample| -sample.deflection, None),
            Quest::new(|sample| sample.most, Some(loads)),
            Quest::new(|sample| -sample.least, Some(supports)),
        ];
        let mut meet = |at: [f64; 2], sample: &Sample| {
            for quest in &mut quests {
                quest.meet(at, sample);
            }
        };
        let system = self.system();
        let (xs, ys) = (places(system.x.lines()), places(system.y.lines()));
        let locals: Vec<Local> = ys.iter().map(|y| system.y.at(*y)).collect();
        for x in &xs {
            let slice = self.slice(*x);
            for (y, local) in ys.iter().zip(&locals) {
                meet([*x, *y], &self.on(&slice, local));
            }
        }
        for at in supports.rims(self.size()).into_iter().chain(loads.rims(self.size())) {
            meet(at, &self.at(at));
        }
        let [down, up, sagging, hogging] = quests.map(|quest| {
            let best = quest.best?;
            Some(self.climb(&quest, best, [spacing(&xs, best.at[0]), spacing(&ys, best.at[1])]))
        });
        let nowhere = Extreme { value: 0.0, at: [0.0, 0.0] };
        let negated = |found: Extreme| Extreme { value: -found.value, ..found };
        Extremes {
            down: down.unwrap_or(nowhere),
            up: negated(up.unwrap_or(nowhere)),
            sagging,
            hogging: hogging.map(negated),
        }
    }

    /// Improves a sample by steps along both axes that halve each round.
    fn climb(&self, quest: &Quest<'_>, start: Extreme, mut step: [f64; 2]) -> Extreme {
        let size = self.size();
        let mut best = start;
        for _ in 0..HALVINGS {
            step = step.map(|length| 0.5 * length);
            for (axis, sign) in [(0, -1.0), (0, 1.0), (1, -1.0), (1, 1.0)] {
                let mut at = best.at;
                at[axis] = (at[axis] + sign * step[axis]).max(0.0).min(size[axis]);
                let value = (quest.merit)(&self.at(at));
                if value > best.value && quest.allows(at) {
                    best = Extreme { value, at };
                }
            }
        }
        best
    }
}

/// The search for the largest of something outside some discs.
struct Quest<'a> {
    merit: fn(&Sample) -> f64,
    without: Option<&'a Discs>,
    best: Option<Extreme>,
}

impl<'a> Quest<'a> {
    fn new(merit: fn(&Sample) -> f64, without: Option<&'a Discs>) -> Self {
        Self { merit, without, best: None }
    }

    fn allows(&self, at: [f64; 2]) -> bool {
        self.without.is_none_or(|discs| discs.leave(at))
    }

    fn meet(&mut self, at: [f64; 2], sample: &Sample) {
        let value = (self.merit)(sample);
        // Of two equal places, which a symmetric shelf has, the first met stands, whatever the rounding.
        let more = |best: Extreme| value > best.value + 1e-9 * best.value.abs();
        if self.best.is_none_or(more) && self.allows(at) {
            self.best = Some(Extreme { value, at });
        }
    }
}

/// Sample places along one direction: the mesh lines and places between them.
fn places(lines: &[f64]) -> Vec<f64> {
    let mut places = Vec::with_capacity(lines.len() * SAMPLES);
    for pair in lines.windows(2) {
        for step in 0..SAMPLES {
            places.push(pair[0] + (pair[1] - pair[0]) * step as f64 / SAMPLES as f64);
        }
    }
    places.push(lines[lines.len() - 1]);
    places
}

/// The wider of the gaps beside `x` among rising `places`.
fn spacing(places: &[f64], x: f64) -> f64 {
    let i = places.partition_point(|place| *place < x).clamp(1, places.len() - 1);
    let before = places[i] - places[i - 1];
    places.get(i + 1).map_or(before, |after| before.max(after - places[i]))
}
