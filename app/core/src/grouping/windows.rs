//! The best sets when every post is free: exact, in the time of one sort.
//!
//! What this does not do: honour a limit or an uncertainty of a single post, or keep present sets. With
//! those the theorem below is false (tests/reference/grouping.rs holds the counterexamples).
use super::{Grouping, Rules, Worth, ascending};

/// Most sets; then least material removed; then least total spread after grinding. Exact.
///
/// # Input
/// Heights in any order and any one unit; equal heights are taken in the order listed.
/// # Returns
/// One optimal grouping, always the same for the same heights: of equal answers, the one that leaves the
/// higher (then later listed) posts unmatched.
/// # Limits
/// One tolerance and one limit for grinding, common to all posts.
/// # Source
/// Some optimum takes only runs of neighbours in the sorted order. For the posts it uses, consecutive
/// runs are feasible if any partition is, and bridge each gap between neighbours as seldom as can be; a
/// post left inside a run may be exchanged for an end of it. Material removed, the sum of
/// max(0, height − lowest − tolerance), is convex, 0 at 0 and so superadditive, and the same exchange
/// never removes more. Checked against an exact integer programme in tests/oracle/match_sets.py.
/// # Example
/// ```
/// use tripoise_core::grouping::{best_sets, Rules, SetSize};
/// // Cutting the sorted list into threes would make no set at all.
/// let rules = Rules { set_size: SetSize::Three, tolerance: 50, dress_max: 0 };
/// let found = best_sets(&[1000, 1020, 0, 1010], &rules);
/// assert_eq!(found.sets().collect::<Vec<_>>(), [[0, 3, 1]]);
/// assert_eq!(found.unmatched, [2]);
/// ```
#[must_use]
pub fn best_sets(heights: &[i64], rules: &Rules) -> Grouping {
    let sorted = ascending(heights);
    let size = rules.set_size.posts();
    // best[i]: the best worth of the i lowest posts; ends[i]: whether a set ends at the i-th of them.
    let mut best = vec![Worth::default(); sorted.len() + 1];
    let mut ends = vec![false; sorted.len() + 1];
    let mut run = [0; 4];
    for end in 1..=sorted.len() {
        best[end] = best[end - 1];
        let Some(start) = end.checked_sub(size) else {
            continue;
        };
        for (slot, post) in run.iter_mut().zip(&sorted[start..end]) {
            *slot = post.0;
        }
        if let Some(set) = rules.judge(&run[..size]) {
            let with = best[start].with(set);
            if with > best[end] {
                best[end] = with;
                ends[end] = true;
            }
        }
    }
    trace_back(&sorted, &ends, rules, best[sorted.len()])
}

/// Walks from the highest post down and collects the sets that the best answer ends with.
fn trace_back(sorted: &[(i64, usize)], ends: &[bool], rules: &Rules, worth: Worth) -> Grouping {
    let size = rules.set_size.posts();
    let mut members = Vec::with_capacity(worth.n_sets * size);
    let mut unmatched = Vec::with_capacity(sorted.len() - worth.n_sets * size);
    let mut end = sorted.len();
    while end > 0 {
        let length = if ends[end] { size } else { 1 };
        let posts = sorted[end - length..end].iter().rev().map(|post| post.1);
        if ends[end] {
            members.extend(posts);
        } else {
            unmatched.extend(posts);
        }
        end -= length;
    }
    members.reverse();
    unmatched.reverse();
    Grouping { set_size: rules.set_size, members, unmatched, worth }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grouping::SetSize;
    use proptest::prelude::*;

    /// The best worth over every way to group: any subset of `size` posts may be a set.
    fn by_brute_force(heights: &[i64], rules: &Rules) -> Worth {
        fn go(rest: &[i64], rules: &Rules) -> Worth {
            let Some((lowest, higher)) = rest.split_first() else {
                return Worth::default();
            };
            let mut best = go(higher, rules);
            let more = rules.set_size.posts() - 1;
            for mask in 0_u32..1 << higher.len() {
                if mask.count_ones() as usize != more {
                    continue;
                }
                let (mut set, mut left) = (vec![*lowest], Vec::new());
                for (i, height) in higher.iter().enumerate() {
                    let side = if mask >> i & 1 == 1 { &mut set } else { &mut left };
                    side.push(*height);
                }
                if let Some(cost) = rules.judge(&set) {
                    best = best.max(go(&left, rules).with(cost));
                }
            }
            best
        }
        let mut sorted = heights.to_vec();
        sorted.sort_unstable();
        go(&sorted, rules)
    }

    fn rules() -> impl Strategy<Value = Rules> {
        let size = prop_oneof![Just(SetSize::Two), Just(SetSize::Three), Just(SetSize::Four)];
        (size, -1..12_i64, prop_oneof![Just(0_i64), 0..15_i64])
            .prop_map(|(set_size, tolerance, dress_max)| Rules { set_size, tolerance, dress_max })
    }

    /// What the answer says of itself, worked out again from its sets.
    fn audit(heights: &[i64], rules: &Rules, found: &Grouping) -> Result<(), TestCaseError> {
        let mut again = Worth::default();
        let mut used: Vec<usize> = found.unmatched.clone();
        for set in found.sets() {
            let tall: Vec<i64> = set.iter().map(|post| heights[*post]).collect();
            prop_assert!(tall.is_sorted());
            let cost = rules.judge(&tall);
            prop_assert!(cost.is_some(), "{set:?} is no set");
            again = cost.map_or(again, |cost| again.with(cost));
            used.extend(set);
        }
        used.sort_unstable();
        prop_assert_eq!(used, (0..heights.len()).collect::<Vec<_>>());
        prop_assert_eq!(again, found.worth);
        Ok(())
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]

        #[test]
        fn no_other_grouping_is_worth_more(
            heights in prop::collection::vec(0..40_i64, 0..10), rules in rules()
        ) {
            let found = best_sets(&heights, &rules);
            audit(&heights, &rules, &found)?;
            prop_assert_eq!(found.worth, by_brute_force(&heights, &rules));
        }

        #[test]
        fn order_of_the_list_and_a_common_height_change_nothing(
            mut heights in prop::collection::vec(0..4000_i64, 0..60), rules in rules(), more in 0..1000_i64
        ) {
            let worth = best_sets(&heights, &rules).worth;
            heights.reverse();
            prop_assert_eq!(best_sets(&heights, &rules).worth, worth);
            heights.iter_mut().for_each(|height| *height += more);
            prop_assert_eq!(best_sets(&heights, &rules).worth, worth);
        }

        #[test]
        fn a_wider_tolerance_or_more_grinding_never_loses_a_set(
            heights in prop::collection::vec(0..400_i64, 0..60), rules in rules()
        ) {
            let n_sets = best_sets(&heights, &rules).worth.n_sets;
            let wider = Rules { tolerance: rules.tolerance + 1, ..rules };
            let harder = Rules { dress_max: rules.dress_max + 1, ..rules };
            prop_assert!(best_sets(&heights, &wider).worth.n_sets >= n_sets);
            prop_assert!(best_sets(&heights, &harder).worth.n_sets >= n_sets);
        }

        #[test]
        fn heights_at_the_ends_of_the_range_do_not_overflow(
            heights in prop::collection::vec(any::<i64>(), 0..12),
            tolerance in any::<i64>(), dress_max in any::<i64>()
        ) {
            let rules = Rules { set_size: SetSize::Three, tolerance, dress_max };
            let found = best_sets(&heights, &rules);
            prop_assert_eq!(found.sets().len() * 3 + found.unmatched.len(), heights.len());
        }
    }

    #[test]
    fn of_equal_posts_the_first_listed_go_first() {
        let rules = Rules { set_size: SetSize::Three, tolerance: 0, dress_max: 0 };
        let found = best_sets(&[7; 8], &rules);
        assert_eq!(found.sets().collect::<Vec<_>>(), [[0, 1, 2], [3, 4, 5]]);
        assert_eq!(found.unmatched, [6, 7]);
    }
}
