//! The search for the best shelves and sets: two assignments, and branch and bound where they meet.
//!
//! Shelves and sets are assigned to layers each on their own, exactly, which can only cost less than both together.
//! Where the two do not go together (too little room over a pot, a stack too high for the kiln, shelves of two sizes in
//! one stack) the question is split into parts that exclude what was found and nothing else. The least of the open parts'
//! costs is the bound; when none is below the best answer, that is proved to be the best.
//!
//! It runs in slices, so that a page can show how far it is and can stop it. What this does not do: read a clock.
use super::assign::{Costs, assign};
use super::question::Question;
use super::weights::{DROPPED, EMPTY, EMPTY_BELOW};
use std::collections::BTreeMap;

/// Parts that are looked at before the search is given up, with the gap said.
///
/// # Source   House choice: a part of 20 layers, 200 shelves and 330 sets takes about a millisecond in a browser, so this
/// ends within about two seconds.
const MOST_PARTS: u64 = 2_000;

/// What it costs to leave a layer empty that must be filled: a part that needs it holds no answer.
///
/// # Source   over all dropped demands together, 120 at most: 1.2 × 10^14.
const FORBIDDEN: i64 = 1_000_000_000_000_000;

/// How far a search is.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Progress {
    /// Of its work: 1 when it has ended.
    pub done_share: f64,
    /// What the best answer so far costs, in points; none before the first.
    pub best: Option<i64>,
    /// What no answer can cost less than.
    pub bound: i64,
}

/// Which shelf and which set each layer gets, by their places in the question.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Choice {
    /// The shelves.
    pub shelves: Vec<Option<usize>>,
    /// The sets.
    pub sets: Vec<Option<usize>>,
    /// What they cost.
    pub cost: i64,
}

/// What a search found.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Found {
    /// The best answer.
    pub choice: Choice,
    /// What no answer can cost less than.
    pub bound: i64,
    /// Whether it keeps every demand; not where the search was stopped before it had one that does.
    pub keeps_all: bool,
}

/// What is measured of the shelf and the set of a layer.
const SAG: usize = 0;
const THICKNESS: usize = 1;
const LOW: usize = 2;
const HIGH: usize = 3;

/// What a layer may still get: from and to, for each of the four.
type Limits = [(i64, i64); 4];

/// A part of the question.
#[derive(Clone, Debug)]
struct Part {
    limits: Vec<Limits>,
    /// The kind of shelf of each stack, once that is settled.
    kinds: Vec<Option<usize>>,
    /// Whether a layer must get a shelf, and a set.
    must: Vec<(bool, bool)>,
}

/// Where shelves and sets do not go together.
enum Clash {
    /// Shelves of several kinds in one stack, most of them of this one.
    Kinds { stack: usize, most: usize },
    /// Too little room under the shelf of a layer that hangs down by so much.
    Room { slot: usize, sag: i64, low: i64 },
    /// Too high: this layer has the most to spare.
    Height { slot: usize, which: usize, value: i64 },
    /// Too high, and nothing in it could be lower: one of these must go.
    Full(Vec<(usize, usize)>),
}

/// A search that can be run in slices.
#[derive(Clone, Debug)]
pub struct Search {
    question: Question,
    /// Parts to look at, by what they cost at least and the order in which they were made.
    open: BTreeMap<(i64, u64), Part>,
    /// The part to look at next, so that an answer is found early.
    next: Option<(i64, Part)>,
    best: Option<Choice>,
    first: Option<Choice>,
    n_parts: u64,
    n_made: u64,
}

impl Search {
    /// A search that has not begun.
    #[must_use]
    pub fn new(question: Question) -> Self {
        let wide = [(i64::MIN, i64::MAX); 4];
        let whole = Part {
            limits: vec![wide; question.slots.len()],
            kinds: vec![None; question.stacks.len()],
            must: vec![(false, false); question.slots.len()],
        };
        Self {
            question,
            open: BTreeMap::new(),
            next: Some((i64::MIN, whole)),
            best: None,
            first: None,
            n_parts: 0,
            n_made: 0,
        }
    }

    /// The question.
    #[must_use]
    pub fn question(&self) -> &Question {
        &self.question
    }

    /// Looks at so many more parts, or to the end. Slices of any size lead to the same answer.
    pub fn step(&mut self, work_units: u64) -> Progress {
        for _ in 0..work_units {
            if self.has_ended() {
                break;
            }
            self.look_at_one();
        }
        self.progress()
    }

    /// Runs to its end.
    #[must_use]
    pub fn run(mut self) -> Self {
        while !self.has_ended() {
            self.look_at_one();
        }
        self
    }

    /// Whether there is nothing more to do.
    #[must_use]
    pub fn has_ended(&self) -> bool {
        let nothing_better = self.best.as_ref().is_some_and(|best| self.open_bound() >= best.cost);
        nothing_better || (self.open.is_empty() && self.next.is_none()) || self.n_parts >= MOST_PARTS
    }

    /// How far it is.
    #[must_use]
    pub fn progress(&self) -> Progress {
        #[expect(clippy::cast_precision_loss, reason = "a few thousand")]
        let share = self.n_parts as f64 / MOST_PARTS as f64;
        Progress {
            done_share: if self.has_ended() { 1.0 } else { share },
            best: self.best.as_ref().map(|best| best.cost),
            bound: self.bound(),
        }
    }

    /// The best answer so far and the bound, with the question; none before the first slice.
    #[must_use]
    pub fn into_found(self) -> (Question, Option<Found>) {
        let bound = self.bound();
        let keeps_all = self.best.is_some();
        let found = self.best.or(self.first).map(|choice| Found { choice, bound, keeps_all });
        (self.question, found)
    }

    /// The least that any part not looked at can cost.
    fn open_bound(&self) -> i64 {
        let open = self.open.first_key_value().map(|((bound, _), _)| *bound);
        let next = self.next.as_ref().map(|(bound, _)| *bound);
        open.into_iter().chain(next).min().unwrap_or(i64::MAX)
    }

    fn bound(&self) -> i64 {
        let known = self.first.as_ref().map_or(0, |first| first.cost);
        let best = self.best.as_ref().map_or(i64::MAX, |best| best.cost);
        match self.open_bound().min(best) {
            i64::MAX | i64::MIN => known,
            bound => bound.max(known),
        }
    }

    fn look_at_one(&mut self) {
        let part = match self.next.take() {
            Some((_, part)) => part,
            None => match self.open.pop_first() {
                Some((_, part)) => part,
                None => return,
            },
        };
        self.n_parts += 1;
        let choice = self.relaxed(&part);
        if self.first.is_none() {
            self.first = Some(choice.clone());
        }
        if choice.cost >= self.best.as_ref().map_or(FORBIDDEN, |best| best.cost) {
            return;
        }
        match self.clash(&part, &choice) {
            None => self.best = Some(choice),
            Some(clash) => self.split(&part, choice.cost, &clash),
        }
    }

    /// Shelves and sets each assigned on their own.
    fn relaxed(&self, part: &Part) -> Choice {
        let question = &self.question;
        let leave = |must: &dyn Fn(&(bool, bool)) -> bool| -> Vec<i64> {
            let above = question.slots.iter().map(|slot| i64::try_from(slot.above).unwrap_or(0));
            let one = |(above, part): (i64, &(bool, bool))| {
                if must(part) { FORBIDDEN } else { EMPTY + EMPTY_BELOW.saturating_mul(above) }
            };
            above.zip(&part.must).map(one).collect()
        };
        let shelves = assign(&Costs::new(question.shelves.len(), leave(&|must| must.0), |slot, shelf| {
            self.allows_shelf(part, slot, shelf).then(|| question.shelf_cost(slot, shelf)).flatten()
        }));
        let sets = assign(&Costs::new(question.sets.len(), leave(&|must| must.1), |slot, set| {
            self.allows_set(part, slot, set).then(|| question.set_cost(slot, set)).flatten()
        }));
        let dropped = DROPPED.saturating_mul(i64::try_from(question.dropped).unwrap_or(0));
        Choice { cost: shelves.cost + sets.cost + dropped, shelves: shelves.columns, sets: sets.columns }
    }

    fn allows_shelf(&self, part: &Part, slot: usize, shelf: usize) -> bool {
        let one = &self.question.shelves[shelf];
        let stack = self.question.slots[slot].stack;
        let limits = &part.limits[slot];
        part.kinds[stack].is_none_or(|kind| kind == one.kind)
            && within(limits[SAG], one.sag.0)
            && within(limits[THICKNESS], one.thickness.0)
    }

    fn allows_set(&self, part: &Part, slot: usize, set: usize) -> bool {
        let one = &self.question.sets[set];
        let limits = &part.limits[slot];
        within(limits[LOW], one.low.0) && within(limits[HIGH], one.high.0)
    }

    /// The first demand that an answer does not keep.
    fn clash(&self, part: &Part, choice: &Choice) -> Option<Clash> {
        let question = &self.question;
        for (at, stack) in question.stacks.iter().enumerate() {
            let mut kinds: Vec<usize> = stack
                .slots
                .clone()
                .filter_map(|slot| choice.shelves[slot])
                .map(|shelf| question.shelves[shelf].kind)
                .collect();
            kinds.sort_unstable();
            if kinds.first() != kinds.last() {
                let n_of = |kind: &usize| kinds.iter().filter(|other| *other == kind).count();
                let most = kinds.iter().copied().max_by_key(|kind| (n_of(kind), std::cmp::Reverse(*kind)))?;
                return Some(Clash::Kinds { stack: at, most });
            }
        }
        for (at, slot) in question.slots.iter().enumerate() {
            if let (Some(needs), Some(shelf), Some(set)) = (slot.needs, choice.shelves[at], choice.sets[at]) {
                let (sag, low) = (question.shelves[shelf].sag.0, question.sets[set].low.0);
                if low - sag < needs.0 {
                    return Some(Clash::Room { slot: at, sag, low: needs.0 + sag });
                }
            }
        }
        question.stacks.iter().find_map(|stack| {
            let room = stack.room?;
            let height: i64 = stack.slots.clone().map(|slot| self.height(slot, choice)).sum();
            (height > room.0).then(|| self.too_high(part, stack.slots.clone(), choice))
        })
    }

    fn height(&self, slot: usize, choice: &Choice) -> i64 {
        choice.shelves[slot].map_or(0, |shelf| self.question.shelves[shelf].thickness.0)
            + choice.sets[slot].map_or(0, |set| self.question.sets[set].high.0)
    }

    /// The layer of a stack that could be lowered the most.
    fn too_high(&self, part: &Part, slots: std::ops::Range<usize>, choice: &Choice) -> Clash {
        let question = &self.question;
        let mut best: Option<(i64, Clash)> = None;
        let mut offer = |spare: i64, clash: Clash| {
            if spare > 0 && best.as_ref().is_none_or(|(known, _)| spare > *known) {
                best = Some((spare, clash));
            }
        };
        for slot in slots.clone() {
            if let Some(shelf) = choice.shelves[slot] {
                let value = question.shelves[shelf].thickness.0;
                let allowed = (0..question.shelves.len()).filter(|at| {
                    self.allows_shelf(part, slot, *at) && question.shelf_cost(slot, *at).is_some()
                });
                let least = allowed.map(|at| question.shelves[at].thickness.0).min().unwrap_or(value);
                offer(value - least, Clash::Height { slot, which: THICKNESS, value });
            }
            if let Some(set) = choice.sets[slot] {
                let value = question.sets[set].high.0;
                let allowed = (0..question.sets.len())
                    .filter(|at| self.allows_set(part, slot, *at) && question.set_cost(slot, *at).is_some());
                let least = allowed.map(|at| question.sets[at].high.0).min().unwrap_or(value);
                offer(value - least, Clash::Height { slot, which: HIGH, value });
            }
        }
        best.map_or_else(|| Clash::Full(self.filled(slots, choice)), |(_, clash)| clash)
    }

    /// What stands and lies in these layers.
    fn filled(&self, slots: std::ops::Range<usize>, choice: &Choice) -> Vec<(usize, usize)> {
        let of = |slot: usize| {
            let shelf = choice.shelves[slot].map(|_| (slot, THICKNESS));
            shelf.into_iter().chain(choice.sets[slot].map(|_| (slot, HIGH)))
        };
        // The topmost first, which is the first to be done without.
        slots.rev().flat_map(of).collect()
    }

    /// Splits a part so that what clashed is in none of its parts, and every other answer is in one.
    fn split(&mut self, part: &Part, cost: i64, clash: &Clash) {
        match *clash {
            Clash::Full(ref filled) => {
                let mut must = part.must.clone();
                for (slot, which) in filled {
                    // Where an earlier one goes, its own part has it.
                    let mut without = Part { must: must.clone(), ..part.clone() };
                    let (shelf, set) = &mut must[*slot];
                    *(if *which == THICKNESS { shelf } else { set }) = true;
                    narrow_to(&mut without.limits[*slot][*which], i64::MIN);
                    narrow_from(&mut without.limits[*slot][*which], i64::MAX);
                    self.put_by(cost, without);
                }
            }
            Clash::Kinds { stack, most } => {
                for kind in (0..self.question.kinds.len()).filter(|kind| *kind != most) {
                    let mut child = part.clone();
                    child.kinds[stack] = Some(kind);
                    self.put_by(cost, child);
                }
                let mut child = part.clone();
                child.kinds[stack] = Some(most);
                self.next = Some((cost, child));
            }
            Clash::Room { slot, sag, low } => {
                // Either the shelf hangs down less, or the posts are so much higher.
                let mut flatter = part.clone();
                narrow_to(&mut flatter.limits[slot][SAG], sag - 1);
                self.put_by(cost, flatter);
                let mut higher = part.clone();
                narrow_from(&mut higher.limits[slot][SAG], sag);
                narrow_from(&mut higher.limits[slot][LOW], low);
                self.next = Some((cost, higher));
            }
            Clash::Height { slot, which, value } => {
                let mut as_high = part.clone();
                narrow_from(&mut as_high.limits[slot][which], value);
                self.put_by(cost, as_high);
                let mut lower = part.clone();
                narrow_to(&mut lower.limits[slot][which], value - 1);
                self.next = Some((cost, lower));
            }
        }
    }

    fn put_by(&mut self, cost: i64, part: Part) {
        self.n_made += 1;
        self.open.insert((cost, self.n_made), part);
    }
}

fn within((from, to): (i64, i64), value: i64) -> bool {
    (from..=to).contains(&value)
}

fn narrow_to(limit: &mut (i64, i64), to: i64) {
    limit.1 = limit.1.min(to);
}

fn narrow_from(limit: &mut (i64, i64), from: i64) {
    limit.0 = limit.0.max(from);
}
