//! The search for the best shelves and sets: two assignments, and branch and bound where they meet.
//!
//! Shelves and sets are assigned to layers each on their own, exactly, which can only cost less than both together.
//! Where the two do not go together (too little room over a pot, a stack too high for the kiln, shelves of two sizes in
//! one stack) the question is split into parts that exclude what was found and nothing else. The least of the open parts'
//! costs is the bound; when none is below the best answer, that is proved to be the best. Where the roof is low, height is
//! given a price (Lagrange's multiplier), which lifts the bound and finds answers that keep under it.
//!
//! It runs in slices, so that a page can show how far it is and can stop it. What this does not do: read a clock.
use super::part::{Choice, Part, height};
use super::question::Question;
use std::collections::BTreeMap;

/// Parts that are looked at before the search is given up, with the gap said.
///
/// # Source   House choice: a part of 20 layers, 200 shelves and 330 sets takes under a millisecond in a browser, so this
/// ends within two seconds.
const MOST_PARTS: u64 = 2_000;
/// The highest price of height that is tried.
///
/// # Source   House choice: 10,000 points a millimetre are 10 cm of headroom for one of height: past that nothing else counts.
const MOST_PRICE: i64 = 10_000;
/// Rounds in which the prices of several stacks are set, one after the other. House choice: they hardly bear on each other.
const PRICE_ROUNDS: usize = 2;

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

/// A search that can be run in slices.
#[derive(Clone, Debug)]
pub struct Search {
    question: Question,
    /// Parts to look at, by what they cost at least and the order in which they were made.
    open: BTreeMap<(i64, u64), Part>,
    /// The part to look at next, so that an answer is found early.
    next: Option<(i64, Part)>,
    best: Option<Choice>,
    /// The cheapest choice with the demands that join shelves and sets left out.
    first: Option<Choice>,
    /// Points for every millimetre that a stack grows.
    prices: Vec<i64>,
    /// The bound that was known before.
    known: i64,
    n_parts: u64,
    n_made: u64,
}

impl Search {
    /// A search that has not begun.
    #[must_use]
    pub fn new(question: Question) -> Self {
        let whole = Part::whole(&question);
        Self {
            prices: vec![0; question.stacks.len()],
            question,
            open: BTreeMap::new(),
            next: Some((i64::MIN, whole)),
            best: None,
            first: None,
            known: i64::MIN,
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
        let best = self.best.as_ref().map_or(i64::MAX, |best| best.cost);
        match self.open_bound().min(best) {
            i64::MAX | i64::MIN => self.known.max(0),
            bound => bound.max(self.known),
        }
    }

    fn look_at_one(&mut self) {
        let next = self.next.take().or_else(|| self.open.pop_first().map(|((bound, _), part)| (bound, part)));
        let Some((under, part)) = next else { return };
        self.n_parts += 1;
        let free = vec![0; self.prices.len()];
        let Some((choice, bound)) = part.cheapest(&self.question, &free) else { return };
        if self.first.is_none() {
            self.first = Some(choice.clone());
            self.known = bound;
            self.set_prices(&part, &choice);
        }
        let mut bound = bound.max(under);
        if self.is_no_better(bound) {
            return;
        }
        let Some(clash) = part.clash(&self.question, &choice) else {
            self.best = Some(choice);
            return;
        };
        if self.prices.iter().any(|price| *price > 0) {
            let Some((priced, by_price)) = part.cheapest(&self.question, &self.prices) else { return };
            bound = bound.max(by_price);
            self.offer(&part, priced);
        }
        if self.is_no_better(bound) {
            return;
        }
        let mut parts = part.split(&self.question, &clash).into_iter();
        self.next = parts.next().map(|part| (bound, part));
        for part in parts {
            self.n_made += 1;
            self.open.insert((bound, self.n_made), part);
        }
    }

    fn is_no_better(&self, bound: i64) -> bool {
        self.best.as_ref().is_some_and(|best| bound >= best.cost)
    }

    /// Takes a choice as the best so far where it is, and keeps every demand.
    fn offer(&mut self, part: &Part, choice: Choice) {
        if !self.is_no_better(choice.cost) && part.clash(&self.question, &choice).is_none() {
            self.best = Some(choice);
        }
    }

    /// For every stack that comes out too high the least price at which it does not, which lifts the bound the most: the
    /// bound is concave in a price, and turns where the height meets the room.
    fn set_prices(&mut self, whole: &Part, choice: &Choice) {
        for _ in 0..PRICE_ROUNDS {
            for stack in 0..self.prices.len() {
                let too_high = |choice: &Choice| {
                    let slots = &self.question.stacks[stack];
                    let heights = slots.slots.clone().map(|slot| height(&self.question, slot, choice));
                    slots.room.is_some_and(|room| heights.sum::<i64>() > room.0)
                };
                if self.prices[stack] == 0 && !too_high(choice) {
                    continue;
                }
                let (mut low, mut high) = (0, MOST_PRICE);
                while high - low > 1 {
                    let middle = low + (high - low) / 2;
                    let mut prices = self.prices.clone();
                    prices[stack] = middle;
                    match whole.cheapest(&self.question, &prices) {
                        Some((choice, _)) if !too_high(&choice) => high = middle,
                        _ => low = middle,
                    }
                }
                self.prices[stack] = high;
            }
        }
    }
}
