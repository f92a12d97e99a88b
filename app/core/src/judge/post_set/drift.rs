//! The warning that a set has drifted: its heights were within what is accepted, and are not now.
//!
//! Readings are taken in rounds. A round ends where a post is read a second time, or on another day; what
//! the set looked like is asked at each round's end, so that a half-measured set is never held against it.
//!
//! What this does not do: say how fast ([`crate::trend`]), or look back to before the set was made.
use super::limits::{Limits, SetPost};
use super::verdict::Verdict;
use super::{SetJudgement, judge_heights};
use crate::judge::decision::uncertainty;
use crate::units::Length;
use crate::view::text;
use crate::world::{Post, PostReading, PostSet, World};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// A set's heights have drifted apart.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Drift {
    /// Whether the newest readings decide it; otherwise they are only likely past the limit.
    pub certain: bool,
    /// The last day on which the set was within.
    pub within_on: String,
    /// One line: "drifted past 1 mm: 0.2 mm apart on 2026-03-15, 1.4 mm apart now".
    pub short: String,
    /// The same with the readings that show it.
    pub said: String,
    /// The limit, and where it comes from.
    pub rests_on: String,
    /// The readings that show it: every post that changed, the one that changed most first.
    pub readings: Vec<DriftReading>,
}

/// One post's part in a drift.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct DriftReading {
    /// The post.
    pub code: String,
    /// Its height when the set was within.
    pub before: Length,
    /// Read on.
    pub before_on: String,
    /// Its height now.
    pub now: Length,
    /// Read on.
    pub now_on: String,
    /// Firings between the two.
    pub firings: u32,
    /// Whether it was dressed between the two.
    pub dressed: bool,
}

/// One reading of one of the set's posts.
#[derive(Clone, Copy)]
struct Read<'a> {
    place: usize,
    reading: &'a PostReading,
}

/// The newest reading of each post at some time.
type State<'a> = Vec<Option<&'a PostReading>>;

/// Whether the set has drifted past its limit since it was last within, and which readings show it.
pub(super) fn find(
    limits: &Limits,
    world: &World,
    set: &PostSet,
    posts: &[&Post],
    now: &SetJudgement,
) -> Option<Drift> {
    let certain = match now.verdict {
        Verdict::Shim | Verdict::NotTogether => true,
        Verdict::Undecided if past(limits, now) => false,
        _ => return None,
    };
    let (state, then) = states(posts, set.made.at).into_iter().rev().skip(1).find_map(|state| {
        let then = judge_state(limits, world, set, posts, &state)?;
        let within = match then.verdict {
            Verdict::Good | Verdict::Accepted => true,
            Verdict::Undecided => certain && !past(limits, &then),
            _ => false,
        };
        within.then_some((state, then))
    })?;
    let readings = changes(posts, &state);
    let within_on = state.iter().flatten().map(|reading| text::day(reading.stamp.at)).max()?;
    let by_gap = now.gap.is_some_and(|gap| gap > limits.gap);
    let short = say(limits, &then, now, &within_on, by_gap);
    Some(Drift {
        certain,
        said: format!("{short}; {}", show(limits, &readings)),
        short,
        within_on,
        rests_on: if by_gap { limits.gap_said.clone() } else { limits.accepted_said.clone() },
        readings,
    })
}

/// Whether the plain values are past the limit, whatever their uncertainty.
fn past(limits: &Limits, judged: &SetJudgement) -> bool {
    judged.spread.is_some_and(|spread| spread > limits.accepted)
        || judged.gap.is_some_and(|gap| gap > limits.gap)
}

/// What the set looked like when it was made and at the end of every round since, oldest first.
fn states<'a>(posts: &[&'a Post], made: Timestamp) -> Vec<State<'a>> {
    let mut reads: Vec<Read<'a>> = Vec::new();
    for (place, post) in posts.iter().enumerate() {
        reads.extend(post.readings.iter().map(|reading| Read { place, reading }));
    }
    reads.sort_by_key(|read| (read.reading.stamp.at, read.place));
    let mut state: State<'a> = vec![None; posts.len()];
    let mut states = Vec::new();
    let mut round: Vec<Read<'a>> = Vec::new();
    for read in reads {
        let ends = round.iter().any(|earlier| {
            let day = |read: &Read<'_>| text::day(read.reading.stamp.at);
            // Everything read before the set was made is one round.
            let since = read.reading.stamp.at > made;
            since
                && (earlier.place == read.place
                    || day(earlier) != day(&read)
                    || earlier.reading.stamp.at <= made)
        });
        if ends {
            states.push(state.clone());
            round.clear();
        }
        if let Some(slot) = state.get_mut(read.place) {
            *slot = Some(read.reading);
        }
        round.push(read);
    }
    states.push(state);
    states
}

/// The set judged as it was; none where not every post had a reading that held.
fn judge_state(
    limits: &Limits,
    world: &World,
    set: &PostSet,
    posts: &[&Post],
    state: &State<'_>,
) -> Option<SetJudgement> {
    let at = state.iter().flatten().map(|reading| reading.stamp.at).max()?;
    let mut known = Vec::with_capacity(posts.len());
    for (post, reading) in posts.iter().zip(state) {
        let reading = (*reading)?;
        let dressed = reading.stale && post.last_dressed.is_some_and(|dressed| dressed.at <= at);
        known.push(SetPost {
            code: post.code.to_string(),
            height: (!dressed).then_some(reading.height),
            u: uncertainty(&world.settings, reading.instrument),
            instrument: Some(reading.instrument),
            on: text::day(reading.stamp.at),
            dressed,
            barred: String::new(),
        });
    }
    let outline = set.shelf.and_then(|id| world.shelves.get(&id)).map(|shelf| shelf.outline);
    Some(judge_heights(limits, &known, outline.as_ref(), set.inset))
}

fn changes(posts: &[&Post], state: &State<'_>) -> Vec<DriftReading> {
    let mut found = Vec::new();
    for (post, before) in posts.iter().zip(state) {
        let (Some(before), Some(now)) = (before, post.last_reading()) else { continue };
        if before.stamp != now.stamp {
            found.push(DriftReading {
                code: post.code.to_string(),
                before: before.height,
                before_on: text::day(before.stamp.at),
                now: now.height,
                now_on: text::day(now.stamp.at),
                firings: now.firings_then.saturating_sub(before.firings_then),
                dressed: before.stale && !now.stale,
            });
        }
    }
    found.sort_by_key(|reading| std::cmp::Reverse((reading.now - reading.before).abs()));
    found
}

fn say(limits: &Limits, then: &SetJudgement, now: &SetJudgement, within_on: &str, by_gap: bool) -> String {
    let phrase = |judged: &SetJudgement| {
        let length = limits.say(if by_gap { judged.gap } else { judged.spread }.unwrap_or_default());
        if by_gap { format!("rocking gap {length}") } else { format!("{length} apart") }
    };
    let limit = limits.say(if by_gap { limits.gap } else { limits.accepted });
    let start = if now.verdict == Verdict::Undecided { "may have drifted" } else { "drifted" };
    format!("{start} past {limit}: {} on {within_on}, {} now", phrase(then), phrase(now))
}

fn show(limits: &Limits, readings: &[DriftReading]) -> String {
    let one = |reading: &DriftReading| {
        let (before, now) = (limits.say(reading.before), limits.say(reading.now));
        let dressed = if reading.dressed { ", dressed between" } else { "" };
        format!(
            "{} {before} ({}) then, {now} ({}) now{dressed}",
            reading.code, reading.before_on, reading.now_on
        )
    };
    readings.iter().map(one).collect::<Vec<_>>().join("; ")
}
