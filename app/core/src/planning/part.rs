//! A part of a plan's question: what each layer may still get, its cheapest answer with some demands left out, and how it is
//! split where that answer breaks one.
//!
//! What this does not do: decide which part is looked at next; [`super::search`] does.
use super::assign::{Costs, assign};
use super::question::Question;
use super::weights::{DROPPED, EMPTY, EMPTY_BELOW};
use std::ops::Range;

/// What it costs to leave a layer empty that must be filled: a part that needs it holds no answer.
///
/// # Source   all layers left empty, shelf and set, are under 2 × 10^11.
const FORBIDDEN: i64 = 10_000_000_000_000;
/// Heights are priced by the micrometre, rounded so that the bound stays one.
const UM: i64 = 1_000;

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

/// What is measured of the shelf and the set of a layer.
const SAG: usize = 0;
const THICKNESS: usize = 1;
const LOW: usize = 2;
const HIGH: usize = 3;

/// What a layer may still get: from and to, for each of the four.
type Limits = [(i64, i64); 4];

/// A part of the question.
#[derive(Clone, Debug)]
pub(super) struct Part {
    limits: Vec<Limits>,
    /// The kind of shelf of each stack, once that is settled.
    kinds: Vec<Option<usize>>,
    /// Whether a layer must get a shelf, and a set.
    must: Vec<(bool, bool)>,
}

/// Where shelves and sets do not go together.
pub(super) enum Clash {
    /// Shelves of several kinds in one stack, most of them of this one.
    Kinds { stack: usize, most: usize },
    /// Too little room under the shelf of a layer that hangs down by so much.
    Room { slot: usize, sag: i64, low: i64 },
    /// Too high: this layer has the most to spare.
    Height { slot: usize, which: usize, value: i64 },
    /// Too high, and nothing in it could be lower: one of these must go.
    Full(Vec<(usize, usize)>),
}

impl Part {
    /// Everything that the question allows.
    pub fn whole(question: &Question) -> Self {
        Self {
            limits: vec![[(i64::MIN, i64::MAX); 4]; question.slots.len()],
            kinds: vec![None; question.stacks.len()],
            must: vec![(false, false); question.slots.len()],
        }
    }

    /// Shelves and sets each assigned on their own, with a price in points on every millimetre that a stack grows.
    ///
    /// # Returns  the choice with what it costs without the price, and what no answer in this part can cost less than:
    /// the priced cost less what an answer could pay for all the room that there is. None where a layer that must be
    /// filled cannot be.
    pub fn cheapest(&self, question: &Question, price_per_mm: &[i64]) -> Option<(Choice, i64)> {
        let price = |slot: usize, height: i64| {
            let stack = question.slots[slot].stack;
            price_per_mm.get(stack).copied().unwrap_or(0).saturating_mul(height.div_euclid(UM))
        };
        let shelf = |slot: usize, shelf: usize| {
            let cost =
                self.allows_shelf(question, slot, shelf).then(|| question.shelf_cost(slot, shelf))??;
            Some(cost * UM + price(slot, question.shelves[shelf].thickness.0))
        };
        let set = |slot: usize, set: usize| {
            let cost = self.allows_set(question, slot, set).then(|| question.set_cost(slot, set))??;
            Some(cost * UM + price(slot, question.sets[set].high.0))
        };
        let leave = |must: fn(&(bool, bool)) -> bool| -> Vec<i64> {
            let one =
                |slot: usize| if must(&self.must[slot]) { FORBIDDEN } else { leave_empty(question, slot) };
            (0..question.slots.len()).map(|slot| one(slot) * UM).collect()
        };
        let shelves = assign(&Costs::new(question.shelves.len(), leave(|must| must.0), shelf));
        let sets = assign(&Costs::new(question.sets.len(), leave(|must| must.1), set));
        let priced = shelves.cost + sets.cost;
        if priced >= FORBIDDEN * UM {
            return None;
        }
        let all_room = |(stack, price): (&super::question::StackSlots, &i64)| {
            Some(stack.room?.0.div_euclid(UM).saturating_mul(*price))
        };
        let paid: i64 = question.stacks.iter().zip(price_per_mm).filter_map(all_room).sum();
        let dropped = DROPPED.saturating_mul(i64::try_from(question.dropped).unwrap_or(0));
        // Whole points: every answer costs some, so the bound may be rounded up.
        let bound = (priced - paid).div_euclid(UM) + i64::from((priced - paid).rem_euclid(UM) > 0);
        let choice = Choice { shelves: shelves.columns, sets: sets.columns, cost: 0 };
        let cost = points(question, &choice) + dropped;
        Some((Choice { cost, ..choice }, bound + dropped))
    }

    fn allows_shelf(&self, question: &Question, slot: usize, shelf: usize) -> bool {
        let one = &question.shelves[shelf];
        let stack = question.slots[slot].stack;
        let limits = &self.limits[slot];
        self.kinds[stack].is_none_or(|kind| kind == one.kind)
            && within(limits[SAG], one.sag.0)
            && within(limits[THICKNESS], one.thickness.0)
    }

    fn allows_set(&self, question: &Question, slot: usize, set: usize) -> bool {
        let one = &question.sets[set];
        let limits = &self.limits[slot];
        within(limits[LOW], one.low.0) && within(limits[HIGH], one.high.0)
    }

    /// The first demand that an answer does not keep.
    pub fn clash(&self, question: &Question, choice: &Choice) -> Option<Clash> {
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
            let height: i64 = stack.slots.clone().map(|slot| height(question, slot, choice)).sum();
            (height > room.0).then(|| self.too_high(question, stack.slots.clone(), choice))
        })
    }

    /// The layer of a stack that could be lowered the most.
    fn too_high(&self, question: &Question, slots: Range<usize>, choice: &Choice) -> Clash {
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
                    self.allows_shelf(question, slot, *at) && question.shelf_cost(slot, *at).is_some()
                });
                let least = allowed.map(|at| question.shelves[at].thickness.0).min().unwrap_or(value);
                offer(value - least, Clash::Height { slot, which: THICKNESS, value });
            }
            if let Some(set) = choice.sets[slot] {
                let value = question.sets[set].high.0;
                let allowed = (0..question.sets.len()).filter(|at| {
                    self.allows_set(question, slot, *at) && question.set_cost(slot, *at).is_some()
                });
                let least = allowed.map(|at| question.sets[at].high.0).min().unwrap_or(value);
                offer(value - least, Clash::Height { slot, which: HIGH, value });
            }
        }
        best.map_or_else(|| Clash::Full(filled(slots, choice)), |(_, clash)| clash)
    }

    /// Parts that leave out what clashed and hold every other answer between them; the first is the one to go on with.
    pub fn split(&self, question: &Question, clash: &Clash) -> Vec<Self> {
        match clash {
            Clash::Full(filled) => {
                let mut must = self.must.clone();
                let one = |(slot, which): &(usize, usize)| {
                    // Where an earlier one goes, its own part has it.
                    let mut without = Self { must: must.clone(), ..self.clone() };
                    let (shelf, set) = &mut must[*slot];
                    *(if *which == THICKNESS { shelf } else { set }) = true;
                    without.limits[*slot][*which] = (i64::MAX, i64::MIN);
                    without
                };
                filled.iter().map(one).collect()
            }
            Clash::Kinds { stack, most } => {
                let others = (0..question.kinds.len()).filter(|kind| kind != most);
                let of = |kind: usize| {
                    let mut kinds = self.kinds.clone();
                    kinds[*stack] = Some(kind);
                    Self { kinds, ..self.clone() }
                };
                std::iter::once(*most).chain(others).map(of).collect()
            }
            Clash::Room { slot, sag, low } => {
                // Either the posts are so much higher, or the shelf hangs down less.
                let higher =
                    self.narrowed(*slot, SAG, (*sag, i64::MAX)).narrowed(*slot, LOW, (*low, i64::MAX));
                vec![higher, self.narrowed(*slot, SAG, (i64::MIN, sag - 1))]
            }
            Clash::Height { slot, which, value } => {
                let lower = self.narrowed(*slot, *which, (i64::MIN, value - 1));
                vec![lower, self.narrowed(*slot, *which, (*value, i64::MAX))]
            }
        }
    }

    fn narrowed(&self, slot: usize, which: usize, (from, to): (i64, i64)) -> Self {
        let mut part = self.clone();
        let limit = &mut part.limits[slot][which];
        *limit = (limit.0.max(from), limit.1.min(to));
        part
    }
}

fn within((from, to): (i64, i64), value: i64) -> bool {
    (from..=to).contains(&value)
}

/// What it costs to leave a layer without a shelf, or without a set.
pub(super) fn leave_empty(question: &Question, slot: usize) -> i64 {
    let above = question.slots.get(slot).map_or(0, |slot| i64::try_from(slot.above).unwrap_or(0));
    EMPTY + EMPTY_BELOW.saturating_mul(above)
}

/// What a choice costs, dropped demands aside.
fn points(question: &Question, choice: &Choice) -> i64 {
    let of = |slot: usize| {
        let shelf = choice.shelves[slot].and_then(|shelf| question.shelf_cost(slot, shelf));
        let set = choice.sets[slot].and_then(|set| question.set_cost(slot, set));
        let leave = leave_empty(question, slot);
        shelf.unwrap_or(leave) + set.unwrap_or(leave)
    };
    (0..question.slots.len()).map(of).sum()
}

/// How high a layer is: its posts and its shelf.
pub(super) fn height(question: &Question, slot: usize, choice: &Choice) -> i64 {
    choice.shelves[slot].map_or(0, |shelf| question.shelves[shelf].thickness.0)
        + choice.sets[slot].map_or(0, |set| question.sets[set].high.0)
}

/// What stands and lies in these layers, the topmost first, which is the first to be done without.
fn filled(slots: Range<usize>, choice: &Choice) -> Vec<(usize, usize)> {
    let of = |slot: usize| {
        let shelf = choice.shelves[slot].map(|_| (slot, THICKNESS));
        shelf.into_iter().chain(choice.sets[slot].map(|_| (slot, HIGH)))
    };
    slots.rev().flat_map(of).collect()
}
