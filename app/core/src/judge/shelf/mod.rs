//! One shelf judged: what it is fit for, what is wrong with it, what mends that, and on which limit it rests.
//!
//! Start reading at [`judge`]. [`surface`] turns readings into heights and flatness, [`fitness`] holds them
//! against the trade's limits with a guard band; cracks, care and comparison add their findings.
//!
//! What this does not do: read a clock (what is due is counted in firings), or clear a wet shelf for firing.

pub mod bending;
pub mod care;
pub mod compare;
pub mod cracks;
pub mod fitness;
pub mod material;
mod past;
mod slip;
pub mod surface;

pub use slip::Slip;
pub use surface::{Extent, FlatnessView};

use super::Finding;
use crate::event::values::{HoldReason, Use};
use crate::jobs::Job;
use crate::view::history::unit_of;
use crate::view::text::{self, LengthUnit};
use crate::view::{Mark, Shape};
use crate::world::{Shelf, World};
use fitness::{Grade, UseVerdict};
use past::Past;

/// What is to be said of one shelf.
#[derive(Clone, PartialEq, Debug)]
pub struct ShelfJudgement {
    /// The most demanding use it is fit for, as far as is known; none where nothing was read or graded.
    pub fit_for: Option<Use>,
    /// The same by flatness alone, cracks and ring left aside: what grinding can win or keep.
    pub flat_for: Option<Use>,
    /// The worst of it in one word.
    pub mark: Mark,
    /// The reading that the judgement rests on, stale or not; none where the shelf was never read.
    pub flatness: Option<FlatnessView>,
    /// Everything found, the worst first.
    pub findings: Vec<Finding>,
}

/// A finding before the mark is made of it. A `word` of `None` leaves the mark alone.
struct Found {
    finding: Finding,
    word: Option<&'static str>,
    /// The most demanding use that it still leaves open.
    leaves: Use,
}

/// Collects what is found on one shelf.
struct Case<'a> {
    world: &'a World,
    shelf: &'a Shelf,
    unit: LengthUnit,
    past: Past,
    found: Vec<Found>,
}

impl Case<'_> {
    fn add(&mut self, word: Option<&'static str>, finding: Finding) {
        self.found.push(Found { finding, word, leaves: Use::Flatware });
    }

    /// Adds a finding that leaves only `leaves` and less demanding uses open.
    fn limit(&mut self, leaves: Use, word: &'static str, finding: Finding) {
        self.found.push(Found { finding, word: Some(word), leaves });
    }

    fn length(&self, length: crate::units::Length) -> String {
        text::length(length, self.unit)
    }
}

/// Judges one shelf.
///
/// # Returns  What it is fit for, its mark, the reading it rests on and all findings, the worst first. For a
/// retired shelf only why it was set aside.
/// # Limits   Fitness is by flatness, cracks, ring and grade by eye; strength at heat is not part of it.
#[must_use]
pub fn judge(world: &World, shelf: &Shelf) -> ShelfJudgement {
    let reading = surface::current(shelf);
    let flatness = reading.map(|reading| surface::read(&world.settings, shelf, reading));
    if let Some(retired) = &shelf.retired {
        let note = if retired.note.is_empty() { String::new() } else { format!(": {}", retired.note) };
        let said = format!("retired on {}, {}{note}", past::day(retired.stamp.at), retired.reason.said());
        let findings = vec![Finding::new(Shape::Gone, said, "", "")];
        let mark = Mark::new(Shape::Gone, "retired");
        return ShelfJudgement { fit_for: None, flat_for: None, mark, flatness, findings };
    }
    let past = Past::of(world, shelf, flatness.as_ref().map(|view| view.event));
    let mut case = Case { world, shelf, unit: unit_of(world), past, found: Vec::new() };
    case.hold();
    case.cracks();
    case.ring();
    let by_flatness = case.flatness(flatness.as_ref());
    case.compare(flatness.as_ref());
    case.care(flatness.as_ref());
    case.conclude(by_flatness, flatness)
}

/// The verdict on each use, where there is a reading that still holds.
#[must_use]
pub fn verdicts(world: &World, shelf: &Shelf, view: &FlatnessView) -> Vec<UseVerdict> {
    fitness::verdicts(&world.settings, shelf.outline.span(), view)
}

impl Case<'_> {
    /// Fit by flatness, or by eye where nothing was read or the eye looked later and was stricter.
    fn flatness(&mut self, view: Option<&FlatnessView>) -> Option<Use> {
        let graded = self.shelf.graded;
        let Some(view) = view.filter(|view| !view.stale) else {
            return self.by_eye(view.is_some());
        };
        let verdicts = verdicts(self.world, self.shelf, view);
        let by_reading = self.say_flatness(view, &verdicts);
        match graded.filter(|_| self.past.graded_after_reading) {
            Some(by_eye) if by_reading.is_none_or(|read| by_eye > read) => {
                let said = format!("graded by eye after the reading: {}", by_eye.said());
                self.add(
                    None,
                    Finding::new(Shape::Plain, said, "", "the stricter of eye and reading counts"),
                );
                Some(by_eye)
            }
            _ => by_reading,
        }
    }

    fn by_eye(&mut self, was_read: bool) -> Option<Use> {
        let fix = "read it: both diagonals and the long middle line take a minute";
        let graded = self.shelf.graded.filter(|_| !was_read || self.past.graded_after_reading);
        match graded {
            Some(fit_for) => {
                let said = format!("by eye, fit for {}; not read since", fit_for.said());
                let word = Some("by eye");
                self.add(word, Finding::new(Shape::Plain, said, fix, "graded by eye, no reading"));
            }
            None if was_read => {
                let said = "ground since it was last read";
                let finding = Finding::new(Shape::Unknown, said, fix, "").calls_for(Job::Read);
                self.add(Some("read again"), finding);
            }
            None => {
                let said = "not read and not graded yet";
                let finding = Finding::new(Shape::Unknown, said, fix, "").calls_for(Job::Read);
                self.add(Some("not read"), finding);
            }
        }
        graded
    }

    fn conclude(mut self, by_flatness: Option<Use>, flatness: Option<FlatnessView>) -> ShelfJudgement {
        // Stable: findings of one weight stay in the order in which they were looked for.
        self.found.sort_by_key(|found| std::cmp::Reverse(found.finding.shape));
        let leaves = self.found.iter().map(|found| found.leaves).max().unwrap_or(Use::Flatware);
        // A crack's limit holds even where flatness is not known: it can only be worse.
        let fit_for = match by_flatness {
            Some(fit_for) => Some(fit_for.max(leaves)),
            None => (leaves == Use::NoUse).then_some(leaves),
        };
        let worst = self.found.iter().find_map(|found| found.word.map(|word| (found.finding.shape, word)));
        let mark = match (worst, fit_for) {
            (Some((shape, word)), _) if shape > Shape::Plain => Mark::new(shape, word),
            (Some((shape, "by eye")), Some(_)) => Mark::new(shape, "by eye"),
            (_, Some(fit_for)) => Mark::new(Shape::Plain, fitness::short(fit_for)),
            (_, None) => Mark::new(Shape::Unknown, "not known"),
        };
        let findings = self.found.into_iter().map(|found| found.finding).collect();
        ShelfJudgement { fit_for, flat_for: by_flatness, mark, flatness, findings }
    }

    /// What flatness says, and the use it allows.
    fn say_flatness(&mut self, view: &FlatnessView, verdicts: &[UseVerdict]) -> Option<Use> {
        let what = view.said(self.unit);
        let fit = verdicts.iter().find(|verdict| matches!(verdict.grade, Grade::Good | Grade::Watch));
        let undecided = verdicts.iter().find(|verdict| verdict.grade == Grade::Undecided);
        if view.extent == Extent::Lines {
            let fix = "read both diagonals and the long middle line: one line does not show the face";
            let finding = Finding::new(Shape::Unknown, format!("{what}, along a single line"), fix, "");
            self.add(Some("one line"), finding.calls_for(Job::Read));
        }
        if let Some(near) = undecided.filter(|near| fit.is_none_or(|fit| near.fit_for < fit.fit_for)) {
            let shape = if fit.is_some() { Shape::Unknown } else { Shape::Look };
            let said = format!("undecided for {}: {what}", near.fit_for.said());
            let word = fit.is_none().then_some("undecided");
            let finding = Finding::new(shape, said, view.again(), self.rests_on(view, near));
            self.add(word, finding.calls_for(Job::Read));
        }
        match fit {
            Some(fit) => {
                let watch = if fit.grade == Grade::Watch { "; watch it" } else { "" };
                let said = format!("fit for {}: {what}{watch}", fit.fit_for.said());
                self.add(None, Finding::new(Shape::Plain, said, "", self.rests_on(view, fit)));
                Some(fit.fit_for)
            }
            None if undecided.is_some() => None,
            None => {
                let last = verdicts.last()?;
                let finding = Finding::new(
                    Shape::Stop,
                    format!("past every use: {what}"),
                    "grind it if it is a lump of glaze or wash; otherwise cut it up or retire it",
                    self.rests_on(view, last),
                );
                self.limit(Use::NoUse, "past use", finding.calls_for(Job::CutDown));
                Some(Use::NoUse)
            }
        }
    }

    fn rests_on(&self, view: &FlatnessView, verdict: &UseVerdict) -> String {
        let about = fitness::keys(verdict.fit_for)
            .map(|(_, limit)| super::limit_said(&self.world.settings, limit, self.unit))
            .unwrap_or_default();
        format!(
            "limit {} over its {}; {about}; standard uncertainty {} ({}, times the root of two, a house \
             choice); decided as in ISO 14253-1",
            self.length(verdict.limit),
            self.length(self.shelf.outline.span()),
            self.length(view.u),
            view.instrument.said(),
        )
    }

    fn hold(&mut self) {
        let Some(hold) = &self.shelf.hold else { return };
        let note = if hold.note.is_empty() { String::new() } else { format!(", {}", hold.note) };
        let said = format!("on hold since {}, {}{note}", past::day(hold.since.at), hold.reason.said());
        let (fix, rests_on) = care::release_of(hold.reason, self.shelf.material);
        let ground_since = self.shelf.last_ground.is_some_and(|(_, stamp, _)| stamp.at >= hold.since.at);
        let job = match hold.reason {
            HoldReason::Wet => Job::DryOut,
            HoldReason::Drip if !ground_since => Job::Chisel,
            HoldReason::Drip | HoldReason::Crack | HoldReason::Bench | HoldReason::Other => Job::Release,
        };
        self.add(Some("hold"), Finding::new(Shape::Stop, said, fix, rests_on).calls_for(job));
    }

    fn is_wet(&self) -> bool {
        self.shelf.hold.as_ref().is_some_and(|hold| hold.reason == HoldReason::Wet)
    }
}

#[cfg(test)]
pub(crate) mod bench;
#[cfg(test)]
mod tests;
