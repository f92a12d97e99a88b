//! Open bench jobs: what is to be done to each piece at the bench, why, and what closes it.
//!
//! Nothing is ticked off a list. A job is open while a judgement asks for it ([`crate::judge`], whose findings
//! name the job that mends them), or while a finding that somebody noted stands and no later entry of the right
//! kind closed it. So taking an entry back opens the job again.
//!
//! What this does not do: judge, or say in which order pieces come. Start reading at [`of`].
mod job;
mod noted;

pub use job::Job;
pub(crate) use noted::may_turn;

use crate::event::values::{Flaw, HoldReason, Piece};
use crate::ids::{PostId, SetId, ShelfId};
use crate::judge::post_set::Verdict;
use crate::judge::{Finding, SetJudgement, post, post_set, shelf};
use crate::view::Shape;
use crate::world::{Post, PostSet, Shelf, Subject, World};
use jiff::Timestamp;

/// A job that is to be done.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct OpenJob {
    /// The shelf, post or set.
    pub on: Subject,
    /// What is to be done.
    pub job: Job,
    /// How grave the gravest reason is.
    pub shape: Shape,
    /// Why, one line each, the newest finding of somebody's own first.
    pub reasons: Vec<String>,
    /// When the first of its findings was noted; none where it follows from a judgement alone.
    pub since: Option<Timestamp>,
}

/// The jobs on one shelf, post or set, in the order of the bench; none where it is retired or taken apart.
#[must_use]
pub fn of(world: &World, on: Subject) -> Vec<OpenJob> {
    match on {
        Subject::Shelf(id) => world.shelves.get(&id).map_or_else(Vec::new, |one| of_shelf(world, one)),
        Subject::Post(id) => world.posts.get(&id).map_or_else(Vec::new, |one| of_post(world, one)),
        Subject::Set(id) => world.sets.get(&id).map_or_else(Vec::new, |one| of_set(world, one)),
        Subject::Kiln(_) | Subject::Firing(_) | Subject::Setting(_) | Subject::Plan(_) => Vec::new(),
    }
}

/// The jobs on one shelf.
#[must_use]
pub fn of_shelf(world: &World, one: &Shelf) -> Vec<OpenJob> {
    if one.retired.is_some() {
        return Vec::new();
    }
    let findings = shelf::judge(world, one).findings;
    gather(world, Subject::Shelf(one.id), Some(Piece::Shelf(one.id)), &findings)
}

/// The jobs on one post, its set's aside.
#[must_use]
pub fn of_post(world: &World, one: &Post) -> Vec<OpenJob> {
    if one.retired.is_some() {
        return Vec::new();
    }
    let findings = post::judge_in(world, one, None).findings;
    gather(world, Subject::Post(one.id), Some(Piece::Post(one.id)), &findings)
}

/// The jobs on one set. Posts without a height are their own jobs.
#[must_use]
pub fn of_set(world: &World, one: &PostSet) -> Vec<OpenJob> {
    if one.parted.is_some() {
        return Vec::new();
    }
    let judged = post_set::judge(world, one);
    let finding = set_job(&judged).map(|(job, shape)| {
        let said = judged.drift.as_ref().map_or_else(|| judged.said.clone(), |drift| drift.said.clone());
        Finding::new(shape, said, "", "").calls_for(job)
    });
    gather(world, Subject::Set(one.id), None, finding.as_slice())
}

/// What a set's verdict calls for.
fn set_job(judged: &SetJudgement) -> Option<(Job, Shape)> {
    match judged.verdict {
        Verdict::NotTogether => Some((Job::Match, Shape::Stop)),
        Verdict::Shim => Some((Job::Match, Shape::Look)),
        Verdict::Undecided => Some((Job::Measure, Shape::Unknown)),
        Verdict::Good | Verdict::Accepted => judged.drift.as_ref().map(|_| (Job::Measure, Shape::Look)),
        Verdict::Measure | Verdict::Incomplete | Verdict::Parted => None,
    }
}

/// Every job on every piece in service and every set that is together, in the order of the bench, then of codes.
#[must_use]
pub fn all(world: &World) -> Vec<OpenJob> {
    let mut jobs: Vec<OpenJob> = world.sets_together().flat_map(|set| of_set(world, set)).collect();
    jobs.extend(world.shelves_in_service().flat_map(|shelf| of_shelf(world, shelf)));
    jobs.extend(world.posts_in_service().flat_map(|post| of_post(world, post)));
    jobs.sort_by_cached_key(|open| (open.job, code(world, open.on)));
    jobs
}

/// The hold that a finding puts on a piece which is on none.
///
/// House choice: what must not be loaded as it is: wet, cracked or dull, with glaze on it.
#[must_use]
pub const fn holds(flaw: Flaw) -> Option<HoldReason> {
    match flaw {
        Flaw::Wet => Some(HoldReason::Wet),
        Flaw::NewCrack | Flaw::DullRing | Flaw::PostCracked => Some(HoldReason::Crack),
        Flaw::Drip | Flaw::StuckPot => Some(HoldReason::Drip),
        _ => None,
    }
}

/// One job a kind: its reasons together, the gravest shape, the oldest finding.
fn gather(world: &World, on: Subject, piece: Option<Piece>, findings: &[Finding]) -> Vec<OpenJob> {
    let mut jobs: Vec<OpenJob> = Vec::new();
    let mut add = |job: Job, shape: Shape, reason: String, since: Option<Timestamp>| {
        let known = jobs.iter_mut().find(|open| open.job == job);
        let Some(open) = known else {
            jobs.push(OpenJob { on, job, shape, reasons: vec![reason], since });
            return;
        };
        open.shape = open.shape.max(shape);
        open.since = open.since.or(since);
        if !open.reasons.contains(&reason) {
            open.reasons.push(reason);
        }
    };
    for noted in piece.map_or_else(Vec::new, |piece| noted::open(world, piece)) {
        add(noted.job, Shape::Look, noted.reason, Some(noted.at));
    }
    for finding in findings {
        if let Some(job) = finding.job {
            add(job, finding.shape, finding.said.clone(), None);
        }
    }
    jobs.sort_by_key(|open| open.job);
    jobs
}

/// The code of a shelf, post or set; empty for anything else.
#[must_use]
pub fn code(world: &World, on: Subject) -> String {
    let shelf = |id: ShelfId| world.shelves.get(&id).map(|one| one.code.to_string());
    let post = |id: PostId| world.posts.get(&id).map(|one| one.code.to_string());
    let set = |id: SetId| world.sets.get(&id).map(|one| one.code.to_string());
    match on {
        Subject::Shelf(id) => shelf(id),
        Subject::Post(id) => post(id),
        Subject::Set(id) => set(id),
        Subject::Kiln(_) | Subject::Firing(_) | Subject::Setting(_) | Subject::Plan(_) => None,
    }
    .unwrap_or_default()
}

#[cfg(test)]
mod tests;
