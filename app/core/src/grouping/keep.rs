//! New sets beside the present ones: a set that still holds stays whole, the others change least.
//!
//! What this does not do: take a set apart that holds, even where that would make one set more. It says
//! how many sets there would be if all were taken apart, so that a person can choose.
use super::{Rules, SetCost, Worth, best_sets};
use thiserror::Error;

/// House choice: steps before the search for the fewest leavings is given up; one step looks at one free
/// post, so this ends well within half a second on a phone.
const MOST_STEPS: usize = 20_000_000;

/// Why present sets could not be kept.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Error)]
pub enum KeepError {
    /// A present set of another size.
    #[error("present set {set} has {n_posts} posts, not {wanted}; leave it out or give it {wanted}")]
    Size {
        /// Its place in the list of present sets.
        set: usize,
        /// How many posts it has.
        n_posts: usize,
        /// How many a set has.
        wanted: usize,
    },
    /// A post that is not in the list of heights.
    #[error("present set {set} names post {post}, which is not in the list; list its height")]
    Unknown {
        /// The set's place.
        set: usize,
        /// The post's place.
        post: usize,
    },
    /// A post in two present sets, or twice in one.
    #[error("post {post} is named again by present set {set}; a post stands in one set")]
    Twice {
        /// The later set's place.
        set: usize,
        /// The post's place.
        post: usize,
    },
}

/// One set of the answer.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct KeptSet {
    /// Its posts from the lowest up.
    pub posts: Vec<usize>,
    /// The present set that lives on in it: one of which it holds more than half.
    pub heir_of: Option<usize>,
    /// What it costs.
    pub cost: SetCost,
}

/// The answer, with what is proved about it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Kept {
    /// All sets: those that still hold as they were, then the others by their lowest posts.
    pub sets: Vec<KeptSet>,
    /// The posts in no set, from the lowest up.
    pub unmatched: Vec<usize>,
    /// Sets, material removed and spread in all.
    pub worth: Worth,
    /// Posts that leave the set they stood in.
    pub n_leaving: usize,
    /// Whether fewer could not leave. True unless the search was given up.
    pub leaving_is_least: bool,
    /// How many sets there would be if every present set were taken apart.
    pub n_sets_if_regrouped: usize,
}

/// Groups posts and keeps present sets together.
///
/// # Input
/// Heights in code order; present sets as places in that list, each of the size that `rules` ask for.
/// # Returns
/// In this order: every present set whose spread is within tolerance without grinding stays whole
/// (always); the rest make as many sets as they can (always exact); as few posts as can be leave their
/// set (exact where `leaving_is_least`). A present set lives on in a new one that holds more than half
/// of it. With the mended sets given, the other sets remove least and then spread least (exact).
/// # Errors
/// [`KeepError`] where the present sets make no sense.
pub fn regroup(heights: &[i64], present: &[Vec<usize>], rules: &Rules) -> Result<Kept, KeepError> {
    check(heights.len(), present, rules)?;
    let ascending = |posts: &[usize]| {
        let mut posts = posts.to_vec();
        posts.sort_unstable_by_key(|post| (heights[*post], *post));
        posts
    };
    let whole = Rules { dress_max: 0, ..*rules };
    let mut free = vec![true; heights.len()];
    let (mut sets, mut broken) = (Vec::new(), Vec::new());
    for (at, posts) in present.iter().enumerate() {
        let posts = ascending(posts);
        match judge(heights, &posts, &whole) {
            Some(cost) => {
                posts.iter().for_each(|post| free[*post] = false);
                sets.push(KeptSet { posts, heir_of: Some(at), cost });
            }
            None => broken.push((at, posts)),
        }
    }
    let mut search = Search::new(heights, rules, &broken, free);
    let proved = search.mend(0);
    let mut others = search.best_mended.clone();
    let mut rest = search.order.clone();
    rest.retain(|post| !others.iter().any(|set| set.posts.contains(post)));
    let unmatched = group_rest(heights, rules, &rest, &broken, &mut others);
    others.sort_unstable_by_key(|set| (heights[set.posts[0]], set.posts[0]));
    sets.extend(others);
    let n_staying: usize = sets.iter().map(|set| staying(set, present)).sum();
    Ok(Kept {
        worth: sets.iter().fold(Worth::default(), |sum, set| sum.with(set.cost)),
        n_leaving: present.iter().map(Vec::len).sum::<usize>() - n_staying,
        leaving_is_least: proved,
        n_sets_if_regrouped: best_sets(heights, rules).worth.n_sets,
        sets,
        unmatched,
    })
}

fn check(n_posts: usize, present: &[Vec<usize>], rules: &Rules) -> Result<(), KeepError> {
    let wanted = rules.set_size.posts();
    let mut seen = vec![false; n_posts];
    for (set, posts) in present.iter().enumerate() {
        if posts.len() != wanted {
            return Err(KeepError::Size { set, n_posts: posts.len(), wanted });
        }
        for post in posts.iter().copied() {
            match seen.get_mut(post) {
                None => return Err(KeepError::Unknown { set, post }),
                Some(true) => return Err(KeepError::Twice { set, post }),
                Some(first) => *first = true,
            }
        }
    }
    Ok(())
}

fn judge(heights: &[i64], ascending: &[usize], rules: &Rules) -> Option<SetCost> {
    let tall: Vec<i64> = ascending.iter().map(|post| heights[*post]).collect();
    rules.judge(&tall)
}

/// Posts of `set` that stay with the set that lives on in it.
fn staying(set: &KeptSet, present: &[Vec<usize>]) -> usize {
    let stays = |old: &Vec<usize>| set.posts.iter().filter(|post| old.contains(post)).count();
    set.heir_of.and_then(|at| present.get(at)).map_or(0, stays)
}

/// Groups what the mended sets leave over, exactly; returns the posts in no set.
fn group_rest(
    heights: &[i64],
    rules: &Rules,
    rest: &[usize],
    broken: &[(usize, Vec<usize>)],
    sets: &mut Vec<KeptSet>,
) -> Vec<usize> {
    let tall: Vec<i64> = rest.iter().map(|post| heights[*post]).collect();
    let found = best_sets(&tall, rules);
    for set in found.sets() {
        let posts: Vec<usize> = set.iter().map(|at| rest[*at]).collect();
        let lives_on = |old: &&(usize, Vec<usize>)| {
            2 * posts.iter().filter(|post| old.1.contains(post)).count() > posts.len()
        };
        let heir_of = broken.iter().find(lives_on).map(|old| old.0);
        sets.extend(judge(heights, &posts, rules).map(|cost| KeptSet { posts, heir_of, cost }));
    }
    found.unmatched.iter().map(|at| rest[*at]).collect()
}

/// A way to mend one broken set.
#[derive(Clone, Debug)]
struct Mending {
    set: KeptSet,
    stays: usize,
}

/// Chooses for every broken set how it is mended, if at all.
struct Search<'a> {
    heights: &'a [i64],
    rules: &'a Rules,
    /// Ways to mend each broken set, the best first.
    ways: Vec<Vec<Mending>>,
    /// The most posts that can stay in the broken sets from each on.
    may_stay: Vec<usize>,
    free: Vec<bool>,
    /// The free posts from the lowest up.
    order: Vec<usize>,
    most_sets: usize,
    chosen: Vec<Mending>,
    best_stays: usize,
    best_mended: Vec<KeptSet>,
    steps_left: usize,
}

impl<'a> Search<'a> {
    fn new(heights: &'a [i64], rules: &'a Rules, broken: &[(usize, Vec<usize>)], free: Vec<bool>) -> Self {
        let mut order: Vec<usize> = (0..heights.len()).filter(|post| free[*post]).collect();
        order.sort_unstable_by_key(|post| (heights[*post], *post));
        let ways: Vec<Vec<Mending>> =
            broken.iter().map(|old| ways_to_mend(heights, rules, old, &order)).collect();
        let mut may_stay = vec![0; ways.len() + 1];
        for at in (0..ways.len()).rev() {
            may_stay[at] = may_stay[at + 1] + ways[at].first().map_or(0, |way| way.stays);
        }
        let mut search = Self {
            heights,
            rules,
            ways,
            may_stay,
            free,
            order,
            most_sets: 0,
            chosen: Vec::new(),
            best_stays: 0,
            best_mended: Vec::new(),
            steps_left: MOST_STEPS,
        };
        search.most_sets = search.count_sets();
        search
    }

    /// The most sets that the free posts can make: the first run that fits, from the lowest up.
    fn count_sets(&self) -> usize {
        let size = self.rules.set_size.posts();
        let mut run: Vec<i64> = Vec::with_capacity(size);
        let mut n_sets = 0;
        for post in self.order.iter().filter(|post| self.free[**post]) {
            if run.len() == size {
                run.remove(0);
            }
            run.push(self.heights[*post]);
            if run.len() == size && self.rules.judge(&run).is_some() {
                n_sets += 1;
                run.clear();
            }
        }
        n_sets
    }

    /// Tries every way for the broken sets from `at` on; false where it gave up.
    fn mend(&mut self, at: usize) -> bool {
        let Some(left) = self.steps_left.checked_sub(self.order.len()) else {
            return false;
        };
        self.steps_left = left;
        let stays: usize = self.chosen.iter().map(|way| way.stays).sum();
        if self.chosen.len() + self.count_sets() < self.most_sets {
            return true;
        }
        if stays > self.best_stays {
            self.best_stays = stays;
            self.best_mended = self.chosen.iter().map(|way| way.set.clone()).collect();
        }
        if at == self.ways.len() {
            return true;
        }
        for choice in 0..self.ways[at].len() {
            if stays + self.ways[at][choice].stays + self.may_stay[at + 1] <= self.best_stays {
                break;
            }
            let way = self.ways[at][choice].clone();
            if way.set.posts.iter().any(|post| !self.free[*post]) {
                continue;
            }
            self.set_free(&way.set.posts, false);
            self.chosen.push(way);
            let done = self.mend(at + 1);
            if let Some(way) = self.chosen.pop() {
                self.set_free(&way.set.posts, true);
            }
            if !done {
                return false;
            }
        }
        stays + self.may_stay[at + 1] <= self.best_stays || self.mend(at + 1)
    }

    fn set_free(&mut self, posts: &[usize], free: bool) {
        posts.iter().for_each(|post| self.free[*post] = free);
    }
}

/// Every set that holds more than half of a broken one: all of it, or all but one with one from outside.
fn ways_to_mend(
    heights: &[i64],
    rules: &Rules,
    (at, old): &(usize, Vec<usize>),
    free: &[usize],
) -> Vec<Mending> {
    let mut sets = vec![old.clone()];
    // Of two, more than half is both.
    if old.len() > 2 {
        for leaves in old {
            for joins in free.iter().filter(|post| !old.contains(post)) {
                let stay = old.iter().copied().filter(|post| post != leaves);
                sets.push(stay.chain([*joins]).collect());
            }
        }
    }
    let mut ways = Vec::new();
    for mut posts in sets {
        posts.sort_unstable_by_key(|post| (heights[*post], *post));
        if let Some(cost) = judge(heights, &posts, rules) {
            ways.push(Mending {
                stays: posts.iter().filter(|post| old.contains(post)).count(),
                set: KeptSet { posts, heir_of: Some(*at), cost },
            });
        }
    }
    ways.sort_by_key(|way| {
        let leaves = old.len() - way.stays;
        (leaves, way.set.cost.removed, way.set.cost.spread)
    });
    ways
}

#[cfg(test)]
mod tests;
