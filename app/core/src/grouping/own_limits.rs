//! The best sets when each post has its own limit for grinding: exact up to 60 posts, or refused.
//!
//! With limits of its own for each post the theorem behind [`super::best_sets`] is false, so this
//! searches. A search that would take too long is refused; it never returns an answer it has not proved.
//!
//! What this does not do: take an uncertainty for each post. The pages use the largest of them for all,
//! which accepts no set that a sharper rule would refuse.
use super::{Grouping, Rules, SetCost, SetSize, Worth, ascending};
use std::collections::BTreeMap;
use thiserror::Error;

/// The most posts that are grouped with limits of their own.
pub const MOST_POSTS: usize = 60;
/// House choice: bounds worked out before a search is given up. One takes about 0.8 µs for 60 posts, so
/// the search ends within half a second on a desk and two on a phone.
const MOST_BOUNDS: u32 = 500_000;

/// One post with its own limit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct LimitedPost {
    /// Its height.
    pub height: i64,
    /// The most that may be ground off it.
    pub dress_max: i64,
}

/// Why posts with limits of their own were not grouped.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Error)]
pub enum OwnLimitsError {
    /// More posts than are solved exactly.
    #[error(
        "{n_posts} posts with limits of their own are more than {MOST_POSTS}; group fewer, or give all one limit"
    )]
    TooMany {
        /// How many were given.
        n_posts: usize,
    },
    /// The proof would take too long.
    #[error(
        "the best sets of these {n_posts} posts with limits of their own could not be proved in time; group fewer, or give all one limit"
    )]
    NotProved {
        /// How many were given.
        n_posts: usize,
    },
}

/// Most sets; then least material removed; then least total spread. Exact.
///
/// # Input
/// At most [`MOST_POSTS`] posts in code order, heights and limits in one unit.
/// # Returns
/// A proved optimum, always the same for the same posts.
/// # Errors
/// [`OwnLimitsError`] where there are too many, or the search would take too long.
/// # Source
/// Branch and bound over the lowest free post. Bound: lower each post's least finished height to the
/// least among those not below it. Then the order by height is the order by least finished height, runs
/// of neighbours are optimal again, and the relaxed answer is worth at least as much.
pub fn best_sets_with_own_limits(
    posts: &[LimitedPost],
    set_size: SetSize,
    tolerance: i64,
) -> Result<Grouping, OwnLimitsError> {
    let n_posts = posts.len();
    if n_posts > MOST_POSTS {
        return Err(OwnLimitsError::TooMany { n_posts });
    }
    let heights: Vec<i64> = posts.iter().map(|post| post.height).collect();
    let order: Vec<usize> = ascending(&heights).iter().map(|post| post.1).collect();
    let mut search = Search::new(posts, &order, set_size, tolerance);
    let all = search.all();
    search.start_from_runs();
    if tolerance >= 0 && !search.improve(all, Worth::default()) {
        return Err(OwnLimitsError::NotProved { n_posts });
    }
    Ok(search.answer(&order, set_size))
}

/// Posts from the lowest up; a set of posts is a bit mask over them.
struct Search {
    height: Vec<i64>,
    /// The lowest that a post may be brought down to, less the tolerance: its set's lowest post must not
    /// be below this.
    least: Vec<i64>,
    size: usize,
    rules: Rules,
    best: Worth,
    best_sets: Vec<u64>,
    chosen: Vec<u64>,
    /// The best worth with which each rest has been entered.
    entered: BTreeMap<u64, Worth>,
    bounds_left: u32,
}

impl Search {
    fn new(posts: &[LimitedPost], order: &[usize], set_size: SetSize, tolerance: i64) -> Self {
        let least =
            |post: &LimitedPost| post.height.saturating_sub(post.dress_max.max(0)).saturating_sub(tolerance);
        Self {
            height: order.iter().map(|at| posts[*at].height).collect(),
            least: order.iter().map(|at| least(&posts[*at])).collect(),
            size: set_size.posts(),
            // Who may be ground how far is decided by `least`; the rules only count the cost.
            rules: Rules { set_size, tolerance, dress_max: i64::MAX },
            best: Worth::default(),
            best_sets: Vec::new(),
            chosen: Vec::new(),
            entered: BTreeMap::new(),
            bounds_left: MOST_BOUNDS,
        }
    }

    fn all(&self) -> u64 {
        // MOST_POSTS is below 64.
        (1 << self.height.len()) - 1
    }

    fn cost(&self, set: &[usize]) -> Option<SetCost> {
        let mut tall = [0; 4];
        for (slot, at) in tall.iter_mut().zip(set) {
            *slot = self.height[*at];
        }
        self.rules.judge(&tall[..set.len()])
    }

    /// The best runs of neighbours that the limits allow: a first answer, to prune with.
    fn start_from_runs(&mut self) {
        let posts: Vec<usize> = members(self.all()).collect();
        let least = self.least.clone();
        let (worth, sets) =
            self.runs(&posts, |run| run[1..].iter().all(|at| least[*at] <= self.height[run[0]]));
        self.best = worth;
        self.best_sets = sets;
    }

    /// The most that the posts in `rest` can be worth.
    fn bound(&self, rest: u64) -> Worth {
        let posts: Vec<usize> = members(rest).collect();
        let mut relaxed = vec![i64::MAX; self.height.len()];
        let mut lowest = i64::MAX;
        for at in posts.iter().rev() {
            lowest = lowest.min(self.least[*at]);
            relaxed[*at] = lowest;
        }
        self.runs(&posts, |run| relaxed[run[run.len() - 1]] <= self.height[run[0]]).0
    }

    /// The best choice of runs of neighbours among `posts`, where `may` allows them.
    fn runs(&self, posts: &[usize], may: impl Fn(&[usize]) -> bool) -> (Worth, Vec<u64>) {
        let mut best = vec![Worth::default(); posts.len() + 1];
        let mut ends = vec![false; posts.len() + 1];
        for end in 1..=posts.len() {
            best[end] = best[end - 1];
            let Some(run) = end.checked_sub(self.size).map(|start| &posts[start..end]) else {
                continue;
            };
            if let Some(cost) = self.cost(run).filter(|_| may(run)) {
                let with = best[end - self.size].with(cost);
                ends[end] = with > best[end];
                best[end] = best[end].max(with);
            }
        }
        let (mut sets, mut end) = (Vec::new(), posts.len());
        while end > 0 {
            if ends[end] {
                sets.push(mask(&posts[end - self.size..end]));
            }
            end -= if ends[end] { self.size } else { 1 };
        }
        (best[posts.len()], sets)
    }

    /// Looks for an answer worth more than the best so far; false where it gave up.
    fn improve(&mut self, rest: u64, so_far: Worth) -> bool {
        if so_far > self.best {
            self.best = so_far;
            self.best_sets.clone_from(&self.chosen);
        }
        if rest == 0 {
            return true;
        }
        let Some(left) = self.bounds_left.checked_sub(1) else {
            return false;
        };
        self.bounds_left = left;
        if so_far.and(self.bound(rest)) <= self.best {
            return true;
        }
        match self.entered.get(&rest) {
            Some(worth) if *worth >= so_far => return true,
            _ => self.entered.insert(rest, so_far),
        };
        for (set, cost) in self.sets_on_the_lowest(rest) {
            self.chosen.push(set);
            let done = self.improve(rest & !set, so_far.with(cost));
            self.chosen.pop();
            if !done {
                return false;
            }
        }
        self.improve(rest & (rest - 1), so_far)
    }

    /// Every set whose lowest post is the lowest in `rest`, the cheapest first.
    fn sets_on_the_lowest(&self, rest: u64) -> Vec<(u64, SetCost)> {
        let lowest = rest.trailing_zeros() as usize;
        let others: Vec<usize> =
            members(rest & (rest - 1)).filter(|at| self.least[*at] <= self.height[lowest]).collect();
        let mut found = Vec::new();
        self.extend(&mut vec![lowest], &others, &mut found);
        found.sort_by_key(|(set, cost)| (cost.removed, cost.spread, *set));
        found
    }

    fn extend(&self, set: &mut Vec<usize>, others: &[usize], found: &mut Vec<(u64, SetCost)>) {
        if set.len() == self.size {
            found.extend(self.cost(set).map(|cost| (mask(set), cost)));
            return;
        }
        for (i, at) in others.iter().enumerate() {
            // Of posts of one height the first does for all: each may join this lowest post, so each may
            // join any later one, which is higher.
            if others[..i].iter().any(|before| self.height[*before] == self.height[*at]) {
                continue;
            }
            set.push(*at);
            self.extend(set, &others[i + 1..], found);
            set.pop();
        }
    }

    fn answer(&self, order: &[usize], set_size: SetSize) -> Grouping {
        let mut sets: Vec<Vec<usize>> = self.best_sets.iter().map(|set| members(*set).collect()).collect();
        sets.sort_unstable();
        let used = self.best_sets.iter().fold(0, |used, set| used | set);
        Grouping {
            set_size,
            members: sets.iter().flatten().map(|at| order[*at]).collect(),
            unmatched: members(self.all() & !used).map(|at| order[at]).collect(),
            worth: self.best,
        }
    }
}

fn mask(posts: &[usize]) -> u64 {
    posts.iter().fold(0, |mask, at| mask | 1 << at)
}

/// The places whose bit is set, from the lowest up.
fn members(mut mask: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let at = (mask != 0).then(|| mask.trailing_zeros() as usize);
        mask &= mask.wrapping_sub(1);
        at
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grouping::best_sets;
    use proptest::prelude::*;

    /// The best worth over every way to group, straight from the definition.
    fn by_brute_force(rest: &[LimitedPost], size: usize, tolerance: i64) -> Worth {
        let Some((lowest, higher)) = rest.split_first() else {
            return Worth::default();
        };
        let mut best = by_brute_force(higher, size, tolerance);
        for mask in 0_u32..1 << higher.len() {
            if mask.count_ones() as usize != size - 1 {
                continue;
            }
            let (inside, left): (Vec<_>, Vec<_>) = (0..higher.len()).partition(|i| mask >> i & 1 == 1);
            let cuts: Vec<i64> =
                inside.iter().map(|i| (higher[*i].height - lowest.height - tolerance).max(0)).collect();
            if inside.iter().zip(&cuts).any(|(i, cut)| *cut > higher[*i].dress_max) {
                continue;
            }
            let finished = inside.iter().zip(&cuts).map(|(i, cut)| higher[*i].height - cut);
            let cost = SetCost {
                removed: cuts.iter().sum(),
                spread: finished.max().unwrap_or(lowest.height) - lowest.height,
            };
            let left: Vec<LimitedPost> = left.iter().map(|i| higher[*i]).collect();
            best = best.max(by_brute_force(&left, size, tolerance).with(cost));
        }
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]

        #[test]
        fn no_other_grouping_is_worth_more(
            mut posts in prop::collection::vec((0..30_i64, 0..12_i64), 0..10),
            size in 2..5_usize, tolerance in 0..6_i64
        ) {
            posts.sort_unstable();
            let posts: Vec<LimitedPost> = posts.into_iter()
                .map(|(height, dress_max)| LimitedPost { height, dress_max }).collect();
            let set_size = SetSize::of(size).ok_or_else(|| TestCaseError::fail("size"))?;
            let found = best_sets_with_own_limits(&posts, set_size, tolerance);
            prop_assert_eq!(found.map(|found| found.worth), Ok(by_brute_force(&posts, size, tolerance)));
        }

        #[test]
        fn nor_where_most_posts_are_alike(
            mut posts in prop::collection::vec((0..7_i64, 0..7_i64), 6..11), size in 2..5_usize, tolerance in 0..2_i64
        ) {
            posts.sort_unstable();
            let posts: Vec<LimitedPost> = posts.into_iter()
                .map(|(height, dress_max)| LimitedPost { height, dress_max }).collect();
            let set_size = SetSize::of(size).ok_or_else(|| TestCaseError::fail("size"))?;
            let found = best_sets_with_own_limits(&posts, set_size, tolerance);
            prop_assert_eq!(found.map(|found| found.worth), Ok(by_brute_force(&posts, size, tolerance)));
        }

        #[test]
        fn one_limit_for_all_gives_what_the_runs_give(
            heights in prop::collection::vec(0..4000_i64, 0..61),
            size in 2..5_usize, tolerance in -1..60_i64, dress_max in 0..100_i64
        ) {
            let set_size = SetSize::of(size).ok_or_else(|| TestCaseError::fail("size"))?;
            let posts: Vec<LimitedPost> = heights.iter()
                .map(|height| LimitedPost { height: *height, dress_max }).collect();
            let found = best_sets_with_own_limits(&posts, set_size, tolerance);
            let runs = best_sets(&heights, &Rules { set_size, tolerance, dress_max });
            prop_assert_eq!(found, Ok(runs));
        }
    }

    #[test]
    fn too_many_are_refused() {
        let post = LimitedPost { height: 1, dress_max: 0 };
        assert_eq!(
            best_sets_with_own_limits(&[post; 61], SetSize::Three, 5),
            Err(OwnLimitsError::TooMany { n_posts: 61 })
        );
    }
}
