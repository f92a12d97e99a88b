//! Whether posts go together: the verdict on a set of three or four, with what mends it.
//!
//! [`judge`] takes a set of the world; [`judge_posts`] takes loose posts; [`judge_heights`] takes plain
//! data, and runs in the browser while a set is being put together. All give the same [`SetJudgement`].
//!
//! What this does not do: look at one post's own faults ([`super::post`]), or lay out a page.
//!
//! Start reading at [`judge_heights`]; the verdicts are in `three.rs` and `four.rs`, the warning that a set
//! has drifted in `drift.rs`.

mod arrange;
mod drift;
mod four;
mod limits;
mod three;
mod tilt;
mod verdict;

pub use arrange::arrange;
pub use drift::{Drift, DriftReading};
pub use limits::{Limits, SetPost, coarsest, guard_said, spread_guard};
pub use tilt::{Tilt, tilt};
pub use verdict::{Shim, Verdict};

use crate::event::values::Instrument;
use crate::ids::{PostId, SetId, ShelfId};
use crate::judge::finding::{Finding, gravest_first};
use crate::outline::{Outline, Spot};
use crate::units::Length;
use crate::view::{Mark, Shape};
use crate::world::{Post, PostSet, World};
use serde::{Deserialize, Serialize};
use verdict::Reading;

/// Everything said of a set.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SetJudgement {
    /// The mark for lists.
    pub mark: Mark,
    /// The verdict.
    pub verdict: Verdict,
    /// The verdict in one line: "usable with a shim of 1.1 mm on P14, the short post: 1.3 mm apart".
    pub said: String,
    /// What mends it; empty where nothing need be done.
    pub fix: String,
    /// The limit, the guard band and where they come from.
    pub rests_on: String,
    /// Highest less lowest, where all are measured.
    pub spread: Option<Length>,
    /// Four posts: the rocking gap.
    pub gap: Option<Length>,
    /// Four posts: those that carry nothing when the shelf rests on the others.
    pub carries_nothing: Vec<String>,
    /// How the chosen shelf lies on three.
    pub tilt: Option<Tilt>,
    /// The shim, where the verdict is one.
    pub shim: Option<Shim>,
    /// The post that is shimmed or to be put out, where the verdict is one of these.
    pub odd: Option<String>,
    /// The coarsest instrument among the readings, and its standard uncertainty.
    pub coarsest: Option<(Instrument, Length)>,
    /// The warning that the heights have drifted.
    pub drift: Option<Drift>,
    /// The verdict and everything else found, the gravest first.
    pub findings: Vec<Finding>,
    /// What is known of each post, in their places.
    pub posts: Vec<SetPost>,
    /// Where each stands on the chosen shelf; empty where none is chosen.
    pub spots: Vec<Spot>,
}

/// Every set that is together, judged.
#[must_use]
pub fn judge_all(world: &World) -> Vec<(SetId, SetJudgement)> {
    world.sets_together().map(|set| (set.id, judge(world, set))).collect()
}

/// Judges a set on the shelf and inset that it was made with.
#[must_use]
pub fn judge(world: &World, set: &PostSet) -> SetJudgement {
    judge_on(world, set, set.shelf, set.inset)
}

/// Judges a set as if on another shelf or inset.
#[must_use]
pub fn judge_on(world: &World, set: &PostSet, shelf: Option<ShelfId>, inset: Length) -> SetJudgement {
    let posts = posts_of(world, &set.posts);
    let mut judged = judge_loose(world, &posts, shelf, inset);
    if let Some((stamp, reason)) = &set.parted {
        let said = format!("taken apart on {}, {reason}", crate::view::text::day(stamp.at));
        judged.verdict = Verdict::Parted;
        judged.mark = Verdict::Parted.mark();
        judged.findings = vec![Finding::new(Shape::Gone, said.clone(), "", "")];
        judged.said = said;
        judged.fix = String::new();
        return judged;
    }
    let limits = Limits::of(&world.settings);
    judged.drift = drift::find(&limits, world, set, &posts, &judged);
    if let Some(drift) = &judged.drift {
        let shape = if drift.certain { judged.mark.shape.max(Shape::Look) } else { Shape::Look };
        judged.findings.push(Finding::new(
            shape,
            drift.said.clone(),
            judged.fix.clone(),
            drift.rests_on.clone(),
        ));
        gravest_first(&mut judged.findings);
        if judged.mark.shape < shape {
            judged.mark = Mark::new(shape, "drifted");
        }
    }
    judged
}

/// Judges loose posts as if they were a set, in the order given.
#[must_use]
pub fn judge_posts(world: &World, posts: &[PostId], shelf: Option<ShelfId>, inset: Length) -> SetJudgement {
    judge_loose(world, &posts_of(world, posts), shelf, inset)
}

fn posts_of<'a>(world: &'a World, ids: &[PostId]) -> Vec<&'a Post> {
    ids.iter().filter_map(|id| world.posts.get(id)).collect()
}

fn judge_loose(world: &World, posts: &[&Post], shelf: Option<ShelfId>, inset: Length) -> SetJudgement {
    let known: Vec<SetPost> = posts.iter().map(|post| SetPost::of(&world.settings, post)).collect();
    let outline = shelf.and_then(|id| world.shelves.get(&id)).map(|shelf| shelf.outline);
    judge_heights(&Limits::of(&world.settings), &known, outline.as_ref(), inset)
}

/// Judges by plain data: what is known of each post, and the shelf they are to stand under.
#[must_use]
pub fn judge_heights(
    limits: &Limits,
    posts: &[SetPost],
    outline: Option<&Outline>,
    inset: Length,
) -> SetJudgement {
    let heights: Vec<Length> = posts.iter().filter_map(|post| post.height).collect();
    let spots = tilt::spots(outline, posts.len(), inset);
    let reading = read(limits, posts, &heights, outline, &spots);
    let all_measured = heights.len() == posts.len();
    let extremes = heights.iter().max().zip(heights.iter().min()).filter(|_| all_measured);
    let lie = lie(posts, &heights, outline, &spots);
    let mut findings =
        vec![Finding::new(reading.verdict.mark().shape, &reading.said, &reading.fix, &reading.rests_on)];
    findings.extend(barred(posts));
    findings.extend(outline.and_then(|_| odd_inset(limits, inset)));
    gravest_first(&mut findings);
    let verdict_mark = reading.verdict.mark();
    let mark = if posts.iter().any(|post| !post.barred.is_empty()) && verdict_mark.shape < Shape::Stop {
        Mark::new(Shape::Stop, "hold")
    } else {
        verdict_mark
    };
    SetJudgement {
        mark,
        verdict: reading.verdict,
        said: reading.said,
        fix: reading.fix,
        rests_on: reading.rests_on,
        spread: extremes.map(|(high, low)| *high - *low),
        gap: reading.gap,
        carries_nothing: reading.carries_nothing,
        tilt: lie,
        shim: reading.shim,
        odd: reading.odd,
        coarsest: coarsest(posts),
        drift: None,
        findings,
        posts: posts.to_vec(),
        spots,
    }
}

/// The verdict by the heights alone.
fn read(
    limits: &Limits,
    posts: &[SetPost],
    heights: &[Length],
    outline: Option<&Outline>,
    spots: &[Spot],
) -> Reading {
    if !(3..=4).contains(&posts.len()) {
        let said = format!("{} ticked: a set is three or four posts", posts.len());
        return Reading::new(Verdict::Incomplete, said, "tick three or four", "");
    }
    let missing: Vec<&str> =
        posts.iter().filter(|post| post.height.is_none()).map(|post| post.code.as_str()).collect();
    if !missing.is_empty() {
        let said = format!("measure {} first", missing.join(", "));
        let why = if posts.iter().any(|post| post.height.is_none() && post.dressed) {
            "a dressed end has a new height"
        } else {
            ""
        };
        return Reading::new(Verdict::Measure, said.clone(), said, why);
    }
    let found = if posts.len() == 3 {
        three::judge(limits, posts, heights, outline.zip(spots.try_into().ok()))
    } else {
        four::judge(limits, posts, heights, spots.try_into().ok())
    };
    found.unwrap_or_else(|| {
        let said = "these posts cannot stand under this shelf at this inset";
        Reading::new(Verdict::Incomplete, said, "choose another shelf or inset", "")
    })
}

fn lie(posts: &[SetPost], heights: &[Length], outline: Option<&Outline>, spots: &[Spot]) -> Option<Tilt> {
    let u = coarsest(posts).map_or(Length::ZERO, |(_, u)| u);
    tilt::tilt(outline?, spots.try_into().ok()?, heights.try_into().ok()?, u)
}

fn barred(posts: &[SetPost]) -> impl Iterator<Item = Finding> {
    posts.iter().filter(|post| !post.barred.is_empty()).map(|post| {
        let fix = format!("put another post in the place of {}", post.code);
        Finding::new(Shape::Stop, format!("{} is {}", post.code, post.barred), fix, "as recorded")
    })
}

/// The least and the greatest inset that pass without a word.
///
/// # Source   common practice, no source: 40 mm, warn under 20 and over 100.
const USUAL_INSET_MM: (f64, f64) = (20.0, 100.0);

fn odd_inset(limits: &Limits, inset: Length) -> Option<Finding> {
    let (least, most) = USUAL_INSET_MM;
    let (said, fix) = if inset.mm() < least {
        ("near the edge", "stand the posts further in")
    } else if inset.mm() > most {
        ("deep, so that corners tip sooner", "stand the posts nearer the edge, or load the corners last")
    } else {
        return None;
    };
    let said = format!("inset {} is {said}", limits.say(inset));
    Some(Finding::new(
        Shape::Look,
        said,
        fix,
        "look under 20 mm and over 100 mm (common practice, no source)",
    ))
}

#[cfg(test)]
mod tests;
