//! The least grinding that makes sets: the higher posts of each come down towards its lowest, just far enough.
//!
//! Heights are whole numbers in one unit, so that sums and ties are exact.
//!
//! What this does not do: look for posts that go together as they are; those were matched before.
use crate::grouping::Rules;
use std::collections::BTreeMap;

/// States that are kept before the fewest posts are no longer looked for.
///
/// # Source   House choice: a state is some hundred bytes and takes about a microsecond, so this is a few tens of
/// megabytes and well under a second on a phone.
const MOST_STATES: usize = 200_000;

/// Sets that grinding makes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Ground {
    /// Places in the list that was asked about, the lowest of each set first.
    pub sets: Vec<Vec<usize>>,
    /// What comes off in all. No choice takes less off.
    pub removed: i64,
    /// How many posts are dressed.
    pub n_dressed: usize,
    /// Whether no choice that takes as little off dresses fewer. True unless the search was given up.
    pub fewest_proved: bool,
}

/// Removed, and posts dressed; the less the better.
type Cost = (i64, usize);

/// `n_sets` sets that take the least off; of those that take as little, the ones that dress the fewest posts.
///
/// # Input    heights in any order; the tolerance of `rules` has the guard band taken off already, its `dress_max` is
/// the most taken off one post; a post under `floor` takes no part.
/// # Returns  None where there are not so many sets to be had. Of equals always the same.
/// # Source   What comes off is proved by neighbours alone: see [`crate::grouping::best_sets`]. Fewest posts need not stand
/// in sets of neighbours (of 0, 1, 1 and 2 at no tolerance, the pairs 0–2 and 1–1 take 2 off one post, neighbours 2 off
/// two), so that is looked for over every choice, by dynamic programming from the lowest post up; a state is the sets that
/// are begun and not full. Checked against every choice in the tests.
#[must_use]
pub fn least_grinding(heights: &[i64], rules: &Rules, n_sets: usize, floor: i64) -> Option<Ground> {
    let mut order: Vec<usize> =
        (0..heights.len()).filter(|at| heights.get(*at).is_some_and(|height| *height >= floor)).collect();
    order.sort_by_key(|at| (heights[*at], *at));
    let sorted: Vec<i64> = order.iter().map(|at| heights[*at]).collect();
    let (neighbours, cost) = of_neighbours(&sorted, rules, n_sets)?;
    let (sets, cost, fewest_proved) = match fewest(&sorted, rules, n_sets, cost) {
        Search::Better(sets, cost) => (sets, cost, true),
        Search::NoneBetter => (neighbours, cost, true),
        Search::GivenUp => (neighbours, cost, false),
    };
    let place = |set: Vec<usize>| set.into_iter().map(|at| order[at]).collect();
    Some(Ground {
        sets: sets.into_iter().map(place).collect(),
        removed: cost.0,
        n_dressed: cost.1,
        fewest_proved,
    })
}

/// What a post costs over a set's lowest; none where more would come off than may.
fn cost_over(rules: &Rules, lowest: i64, height: i64) -> Option<Cost> {
    let cut = rules.cut(lowest, height);
    (rules.tolerance >= 0 && cut <= rules.dress_max).then_some((cut, usize::from(cut > 0)))
}

fn plus(one: Cost, other: Cost) -> Cost {
    (one.0.saturating_add(other.0), one.1 + other.1)
}

/// The best sets of neighbours: for what comes off, the best of all.
fn of_neighbours(sorted: &[i64], rules: &Rules, n_sets: usize) -> Option<(Vec<Vec<usize>>, Cost)> {
    let size = rules.set_size.posts();
    let run = |start: usize| -> Option<Cost> {
        let posts = sorted.get(start..start + size)?;
        let costs = posts.iter().map(|height| cost_over(rules, posts[0], *height));
        costs.sum::<Option<Total>>().map(|total| total.0)
    };
    // best[n][i]: n sets among the i lowest posts, and whether one ends there.
    let mut best: Vec<Vec<Option<(Cost, bool)>>> = vec![vec![Some(((0, 0), false)); sorted.len() + 1]];
    for n in 1..=n_sets {
        let mut row: Vec<Option<(Cost, bool)>> = vec![None; sorted.len() + 1];
        for end in 1..=sorted.len() {
            row[end] = row[end - 1].map(|(cost, _)| (cost, false));
            let Some(start) = end.checked_sub(size) else { continue };
            let with = best[n - 1][start].zip(run(start)).map(|((cost, _), set)| plus(cost, set));
            if let Some(with) = with.filter(|with| row[end].is_none_or(|(known, _)| *with < known)) {
                row[end] = Some((with, true));
            }
        }
        best.push(row);
    }
    let (cost, _) = best[n_sets][sorted.len()]?;
    let (mut sets, mut n, mut end) = (Vec::new(), n_sets, sorted.len());
    while n > 0 && end > 0 {
        if best[n][end].is_some_and(|(_, ends)| ends) {
            (n, end) = (n - 1, end - size);
            sets.push((end..end + size).collect());
        } else {
            end -= 1;
        }
    }
    sets.reverse();
    Some((sets, cost))
}

/// A sum of costs, for `Iterator::sum`.
struct Total(Cost);

impl std::iter::Sum<Cost> for Total {
    fn sum<I: Iterator<Item = Cost>>(costs: I) -> Self {
        Self(costs.fold((0, 0), plus))
    }
}

/// What the search over every choice came to.
enum Search {
    /// Sets that cost less than those of neighbours.
    Better(Vec<Vec<usize>>, Cost),
    /// There are none.
    NoneBetter,
    /// It took too long.
    GivenUp,
}

/// Sets begun and not full: the lowest's height, and places open. How many are begun in all stands before them.
type State = (usize, Vec<(i64, usize)>);

/// What led to a state: the one before, and what became of the post.
#[derive(Clone, Copy)]
enum Step {
    Skip,
    Begin,
    /// Joins the set that begins at this height and has so many places open.
    Join(i64, usize),
}

/// What was reached after some posts: each state with its cost, the state before it and what was done.
type Reached = BTreeMap<State, (Cost, Option<State>, Step)>;

/// Looks over every choice for one that costs less than `known`.
fn fewest(sorted: &[i64], rules: &Rules, n_sets: usize, known: Cost) -> Search {
    if known.1 <= 1 || n_sets == 0 {
        return Search::NoneBetter;
    }
    let more = rules.set_size.posts() - 1;
    let mut layers: Vec<Reached> = vec![BTreeMap::from([((0, Vec::new()), ((0, 0), None, Step::Skip))])];
    let mut n_states = 0;
    for (at, height) in sorted.iter().enumerate() {
        let left = sorted.len() - at - 1;
        let mut next: Reached = BTreeMap::new();
        let Some(now) = layers.last() else { return Search::GivenUp };
        for (state, (cost, ..)) in now {
            let mut put = |to: State, cost: Cost, step: Step| {
                let open: usize = to.1.iter().map(|(_, places)| places).sum();
                let needed = open + (n_sets - to.0) * (more + 1);
                let at_least = to.1.iter().try_fold(cost, |sum, (lowest, places)| {
                    let (cut, dressed) = cost_over(rules, *lowest, *height)?;
                    let times = i64::try_from(*places).unwrap_or(i64::MAX);
                    Some(plus(sum, (cut.saturating_mul(times), dressed * places)))
                });
                if needed <= left && at_least.is_some_and(|cost| cost < known) {
                    let better = next.get(&to).is_none_or(|(known, ..)| cost < *known);
                    if better {
                        next.insert(to, (cost, Some(state.clone()), step));
                    }
                }
            };
            put(state.clone(), *cost, Step::Skip);
            if state.0 < n_sets {
                let mut open = state.1.clone();
                open.push((*height, more));
                open.sort_unstable();
                put((state.0 + 1, open), *cost, Step::Begin);
            }
            for (one, (lowest, places)) in state.1.iter().enumerate() {
                if one > 0 && state.1[one - 1] == (*lowest, *places) {
                    continue;
                }
                let Some(over) = cost_over(rules, *lowest, *height) else { continue };
                let mut open = state.1.clone();
                if *places == 1 {
                    open.remove(one);
                } else {
                    open[one] = (*lowest, places - 1);
                    open.sort_unstable();
                }
                put((state.0, open), plus(*cost, over), Step::Join(*lowest, *places));
            }
        }
        n_states += next.len();
        if n_states > MOST_STATES {
            return Search::GivenUp;
        }
        layers.push(next);
    }
    let end: State = (n_sets, Vec::new());
    match layers.last().and_then(|last| last.get(&end)) {
        Some((cost, ..)) => Search::Better(trace(sorted, &layers, end, more + 1), *cost),
        None => Search::NoneBetter,
    }
}

/// Walks back to what became of each post, then forth to the sets.
fn trace(sorted: &[i64], layers: &[Reached], end: State, size: usize) -> Vec<Vec<usize>> {
    let (mut state, mut steps) = (end, Vec::with_capacity(sorted.len()));
    for layer in layers.iter().skip(1).rev() {
        let Some((_, Some(before), step)) = layer.get(&state) else { return Vec::new() };
        steps.push(*step);
        state = before.clone();
    }
    let mut sets: Vec<Vec<usize>> = Vec::new();
    for (at, step) in steps.into_iter().rev().enumerate() {
        match step {
            Step::Skip => {}
            Step::Begin => sets.push(vec![at]),
            Step::Join(lowest, places) => {
                // Sets alike in lowest and in places are alike in all that counts.
                let joins = |set: &&mut Vec<usize>| {
                    set.len() + places == size && set.first().is_some_and(|first| sorted[*first] == lowest)
                };
                if let Some(set) = sets.iter_mut().find(joins) {
                    set.push(at);
                }
            }
        }
    }
    sets
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grouping::SetSize;
    use proptest::prelude::*;

    /// The least cost of `n_sets` sets over every choice.
    fn by_brute_force(rest: &[i64], rules: &Rules, n_sets: usize) -> Option<Cost> {
        if n_sets == 0 {
            return Some((0, 0));
        }
        let (lowest, higher) = rest.split_first()?;
        let mut best = by_brute_force(higher, rules, n_sets);
        for mask in 0_u32..1 << higher.len() {
            if mask.count_ones() as usize != rules.set_size.posts() - 1 {
                continue;
            }
            let (mut cost, mut left) = (Some((0, 0)), Vec::new());
            for (at, height) in higher.iter().enumerate() {
                if mask >> at & 1 == 1 {
                    let over = (height - lowest - rules.tolerance).max(0);
                    let may = rules.tolerance >= 0 && over <= rules.dress_max;
                    cost = cost.filter(|_| may).map(|(sum, n)| (sum + over, n + usize::from(over > 0)));
                } else {
                    left.push(*height);
                }
            }
            if let Some(with) = cost.zip(by_brute_force(&left, rules, n_sets - 1)) {
                let with = (with.0.0 + with.1.0, with.0.1 + with.1.1);
                best = Some(best.map_or(with, |known| known.min(with)));
            }
        }
        best
    }

    fn rules() -> impl Strategy<Value = Rules> {
        let size = prop_oneof![Just(SetSize::Two), Just(SetSize::Three), Just(SetSize::Four)];
        (size, -1..4_i64, 0..9_i64).prop_map(|(set_size, tolerance, dress_max)| Rules {
            set_size,
            tolerance,
            dress_max,
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(600))]

        #[test]
        fn no_other_choice_takes_less_off_or_dresses_fewer(
            heights in prop::collection::vec(0..9_i64, 0..9), rules in rules(), n_sets in 0..4_usize, floor in 0..4_i64
        ) {
            let found = least_grinding(&heights, &rules, n_sets, floor);
            let mut sorted: Vec<i64> = heights.iter().copied().filter(|height| *height >= floor).collect();
            sorted.sort_unstable();
            let expected = by_brute_force(&sorted, &rules, n_sets);
            prop_assert_eq!(found.as_ref().map(|found| (found.removed, found.n_dressed)), expected);
            let Some(found) = found else { return Ok(()) };
            prop_assert!(found.fewest_proved);
            let (mut cost, mut used) = ((0, 0), Vec::new());
            for set in &found.sets {
                prop_assert_eq!(set.len(), rules.set_size.posts());
                for post in set {
                    let over = cost_over(&rules, heights[set[0]], heights[*post]);
                    cost = plus(cost, over.ok_or_else(|| TestCaseError::fail("too much off"))?);
                    used.push(*post);
                }
            }
            used.sort_unstable();
            used.dedup();
            prop_assert_eq!(cost, (found.removed, found.n_dressed));
            prop_assert_eq!(used.len(), n_sets * rules.set_size.posts());
        }
    }

    #[test]
    fn neighbours_are_not_always_best_once_posts_are_counted() -> Result<(), &'static str> {
        let rules = Rules { set_size: SetSize::Two, tolerance: 0, dress_max: 5 };
        let found = least_grinding(&[0, 1, 1, 2], &rules, 2, 0).ok_or("none")?;
        assert_eq!((found.removed, found.n_dressed), (2, 1));
        assert_eq!(found.sets, [[0, 3], [1, 2]]);
        Ok(())
    }

    #[test]
    fn many_posts_are_answered_and_what_was_not_proved_is_said() -> Result<(), &'static str> {
        let heights: Vec<i64> = (0..1000).map(|at| (at * 7919) % 3001).collect();
        let rules = Rules { set_size: SetSize::Four, tolerance: 2, dress_max: 3000 };
        let found = least_grinding(&heights, &rules, 20, 0).ok_or("none")?;
        assert_eq!(found.sets.len(), 20);
        assert!(least_grinding(&heights, &rules, 20, 3002).is_none());
        Ok(())
    }
}
