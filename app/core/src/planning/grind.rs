//! The least grinding that makes sets: the higher posts of each come down to its lowest.
//!
//! Heights are whole numbers in one unit, so that sums and ties are exact.
//!
//! What this does not do: look at tolerances (posts that go together as they are were matched before), or cut a lowest
//! post down: none of a set goes below its own lowest.

/// Sets that grinding makes.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Ground {
    /// Places in the list that was asked about, the lowest first.
    pub sets: Vec<Vec<usize>>,
    /// What comes off in all.
    pub removed: i64,
    /// How many posts are dressed: those above their set's lowest.
    pub n_dressed: usize,
}

/// Removed and dressed, as far as a beginning of the list goes; the less the better.
type Cost = (i64, usize);

/// What was done with a group of posts of one height.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Choice {
    /// Begin a set as its lowest.
    begin: usize,
    /// Join a set that begins at this very height: nothing comes off.
    level: usize,
    /// Join a set that began lower.
    join: usize,
}

/// The sets of `size` posts, as many as `n_sets`, that take the least off; of those that take as little, the ones
/// that dress the fewest posts.
///
/// # Input    heights in any order; `floor` is what no post may come below.
/// # Returns  None where there are not posts enough. Of equals, posts listed first.
/// # Source   By dynamic programming over the heights from the lowest up. What comes off is the sum of the higher
/// posts less, for each set, its lowest as often: it does not depend on which set a higher post joins. And whether a post
/// is dressed depends only on whether its set began lower or at its own height. So of the sets begun lower only
/// the number of their open places counts, which is the state. Checked against every choice in the tests.
#[must_use]
pub fn least_grinding(heights: &[i64], size: usize, n_sets: usize, floor: i64) -> Option<Ground> {
    if size == 0 {
        return None;
    }
    let mut order: Vec<usize> =
        (0..heights.len()).filter(|at| heights.get(*at).is_some_and(|height| *height >= floor)).collect();
    order.sort_by_key(|at| (heights[*at], *at));
    if n_sets.checked_mul(size)? > order.len() {
        return None;
    }
    let groups: Vec<&[usize]> = order.chunk_by(|one, two| heights[*one] == heights[*two]).collect();
    let table = Table { size, n_sets, places: n_sets * (size - 1) + 1 };
    let mut best: Vec<Option<Cost>> = vec![None; table.len()];
    best[0] = Some((0, 0));
    let mut choices = Vec::with_capacity(groups.len());
    for group in &groups {
        let height = group.first().map_or(0, |at| heights[*at]);
        let (next, chosen) = table.step(&best, height, group.len());
        best = next;
        choices.push(chosen);
    }
    let (removed, n_dressed) = best[table.at(n_sets, 0)]?;
    let sets = table.trace(&groups, &choices);
    Some(Ground { sets, removed, n_dressed })
}

/// States: how many sets have begun, and how many of their places are open.
struct Table {
    size: usize,
    n_sets: usize,
    places: usize,
}

impl Table {
    fn len(&self) -> usize {
        (self.n_sets + 1) * self.places
    }

    fn at(&self, begun: usize, open: usize) -> usize {
        begun * self.places + open
    }

    /// Every state after one more group of `n` posts of `height`, with the choice that led there.
    fn step(
        &self,
        best: &[Option<Cost>],
        height: i64,
        n: usize,
    ) -> (Vec<Option<Cost>>, Vec<Option<(usize, Choice)>>) {
        let mut next: Vec<Option<Cost>> = vec![None; self.len()];
        let mut chosen: Vec<Option<(usize, Choice)>> = vec![None; self.len()];
        for (from, cost) in best.iter().enumerate() {
            let Some((removed, dressed)) = *cost else { continue };
            let (begun, open) = (from / self.places, from % self.places);
            for begin in 0..=n.min(self.n_sets - begun) {
                let new_places = begin * (self.size - 1);
                // A post that can join at its own height for nothing never does better elsewhere or idle.
                let level = new_places.min(n - begin);
                for join in 0..=open.min(n - begin - level) {
                    let to = self.at(begun + begin, open - join + new_places - level);
                    #[expect(clippy::cast_possible_wrap, reason = "counts of posts")]
                    let times = (level + join) as i64 - new_places as i64;
                    let with = (removed.saturating_add(height.saturating_mul(times)), dressed + join);
                    if next[to].is_none_or(|known| with < known) {
                        next[to] = Some(with);
                        chosen[to] = Some((from, Choice { begin, level, join }));
                    }
                }
            }
        }
        (next, chosen)
    }

    /// The sets, by walking back and then forth: a post joins the set that began first, so that none is cut further
    /// than need be.
    fn trace(&self, groups: &[&[usize]], choices: &[Vec<Option<(usize, Choice)>>]) -> Vec<Vec<usize>> {
        let mut state = self.at(self.n_sets, 0);
        let mut taken = Vec::with_capacity(groups.len());
        for chosen in choices.iter().rev() {
            let Some((from, choice)) = chosen[state] else { return Vec::new() };
            taken.push(choice);
            state = from;
        }
        let mut sets: Vec<Vec<usize>> = Vec::new();
        for (group, choice) in groups.iter().zip(taken.into_iter().rev()) {
            let mut posts = group.iter().copied();
            let first_new = sets.len();
            sets.extend(posts.by_ref().take(choice.begin).map(|post| vec![post]));
            for (from, n) in [(first_new, choice.level), (0, choice.join)] {
                for post in posts.by_ref().take(n) {
                    if let Some(set) = sets.iter_mut().skip(from).find(|set| set.len() < self.size) {
                        set.push(post);
                    }
                }
            }
        }
        sets
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The least cost of `n_sets` sets over every choice.
    fn by_brute_force(rest: &[i64], size: usize, n_sets: usize) -> Option<Cost> {
        if n_sets == 0 {
            return Some((0, 0));
        }
        let (lowest, higher) = rest.split_first()?;
        let mut best = by_brute_force(higher, size, n_sets);
        for mask in 0_u32..1 << higher.len() {
            if mask.count_ones() as usize != size - 1 {
                continue;
            }
            let (mut cost, mut left) = ((0, 0), Vec::new());
            for (at, height) in higher.iter().enumerate() {
                if mask >> at & 1 == 1 {
                    cost = (cost.0 + height - lowest, cost.1 + usize::from(height > lowest));
                } else {
                    left.push(*height);
                }
            }
            if let Some(more) = by_brute_force(&left, size, n_sets - 1) {
                let with = (cost.0 + more.0, cost.1 + more.1);
                best = Some(best.map_or(with, |known| known.min(with)));
            }
        }
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(500))]

        #[test]
        fn no_other_choice_takes_less_off_or_dresses_fewer(
            heights in prop::collection::vec(0..9_i64, 0..9), size in 2..5_usize, n_sets in 0..4_usize, floor in 0..4_i64
        ) {
            let found = least_grinding(&heights, size, n_sets, floor);
            let mut sorted: Vec<i64> = heights.iter().copied().filter(|height| *height >= floor).collect();
            sorted.sort_unstable();
            let expected = by_brute_force(&sorted, size, n_sets);
            prop_assert_eq!(found.as_ref().map(|found| (found.removed, found.n_dressed)), expected);
            let Some(found) = found else { return Ok(()) };
            let (mut removed, mut n_dressed, mut used) = (0, 0, Vec::new());
            for set in &found.sets {
                prop_assert_eq!(set.len(), size);
                for post in set {
                    removed += heights[*post] - heights[set[0]];
                    n_dressed += usize::from(heights[*post] > heights[set[0]]);
                    used.push(*post);
                }
            }
            used.sort_unstable();
            used.dedup();
            prop_assert_eq!((removed, n_dressed, used.len()), (found.removed, found.n_dressed, n_sets * size));
        }
    }

    #[test]
    fn neighbours_are_not_always_best_once_posts_are_counted() {
        // Pairs of neighbours, (0, 1) and (1, 2), take 2 off and dress two posts; (0, 2) and (1, 1) dress one.
        let found = least_grinding(&[0, 1, 1, 2], 2, 2, 0).unwrap_or_default();
        assert_eq!((found.removed, found.n_dressed), (2, 1));
        assert_eq!(found.sets, [[0, 3], [1, 2]]);
    }

    #[test]
    fn a_thousand_posts_are_answered() {
        let heights: Vec<i64> = (0..1000).map(|at| (at * 7919) % 3001).collect();
        let found = least_grinding(&heights, 3, 20, 0).unwrap_or_default();
        assert_eq!(found.sets.len(), 20);
        assert!(least_grinding(&heights, 3, 20, 3002).is_none());
    }
}
