//! Keeping present sets, against every possible answer for small lists.
//!
//! What this does not do: judge which of the equal answers is given.
use super::*;
use crate::grouping::SetSize;
use proptest::prelude::*;
use std::collections::BTreeSet;

/// Every list of disjoint sets that `rules` allow among `rest`, given to `visit`.
fn every_grouping(
    heights: &[i64],
    rest: &[usize],
    rules: &Rules,
    chosen: &mut Vec<Vec<usize>>,
    visit: &mut dyn FnMut(&[Vec<usize>]),
) {
    let Some((first, others)) = rest.split_first() else {
        visit(chosen);
        return;
    };
    every_grouping(heights, others, rules, chosen, visit);
    for mask in 0_u32..1 << others.len() {
        if mask.count_ones() as usize + 1 != rules.set_size.posts() {
            continue;
        }
        let (mut set, mut left) = (vec![*first], Vec::new());
        for (i, post) in others.iter().enumerate() {
            let side = if mask >> i & 1 == 1 { &mut set } else { &mut left };
            side.push(*post);
        }
        let mut tall: Vec<i64> = set.iter().map(|post| heights[*post]).collect();
        tall.sort_unstable();
        if rules.judge(&tall).is_some() {
            chosen.push(set);
            every_grouping(heights, &left, rules, chosen, visit);
            chosen.pop();
        }
    }
}

/// Posts of broken sets that leave, when the broken sets' posts and the spares are grouped as `sets`.
fn leaving(sets: &[Vec<usize>], broken: &[Vec<usize>]) -> usize {
    let stay = |old: &Vec<usize>| {
        let inside = |set: &Vec<usize>| set.iter().filter(|post| old.contains(post)).count();
        let most = sets.iter().map(inside).max().unwrap_or(0);
        if 2 * most > old.len() { most } else { 0 }
    };
    broken.iter().map(|old| old.len() - stay(old)).sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn holds_what_it_states(
        heights in prop::collection::vec(0..25_i64, 4..11),
        size in 2..5_usize, n_present in 0..3_usize, tolerance in 0..8_i64, dress_max in 0..5_i64
    ) {
        let set_size = SetSize::of(size).ok_or_else(|| TestCaseError::fail("size"))?;
        let rules = Rules { set_size, tolerance, dress_max };
        let present: Vec<Vec<usize>> =
            (0..heights.len()).collect::<Vec<_>>().chunks_exact(size).take(n_present).map(<[_]>::to_vec).collect();
        let kept = regroup(&heights, &present, &rules).map_err(|err| TestCaseError::fail(err.to_string()))?;

        let spread = |set: &Vec<usize>| {
            let tall = set.iter().map(|post| heights[*post]);
            tall.clone().max().unwrap_or(0) - tall.min().unwrap_or(0)
        };
        let (holding, broken): (Vec<_>, Vec<_>) =
            present.iter().cloned().partition(|set| spread(set) <= tolerance);
        let sorted = |set: &Vec<usize>| set.iter().copied().collect::<BTreeSet<_>>();
        for set in &holding {
            prop_assert!(kept.sets.iter().any(|new| sorted(&new.posts) == sorted(set)), "{set:?} was taken apart");
        }
        let others: Vec<Vec<usize>> = kept.sets[holding.len()..].iter().map(|set| set.posts.clone()).collect();
        let mut all: Vec<usize> = kept.sets.iter().flat_map(|set| set.posts.clone()).chain(kept.unmatched.clone()).collect();
        all.sort_unstable();
        prop_assert_eq!(all, (0..heights.len()).collect::<Vec<_>>());
        prop_assert_eq!(leaving(&others, &broken), kept.n_leaving);
        prop_assert!(kept.leaving_is_least);

        let free: Vec<usize> = (0..heights.len()).filter(|post| !holding.iter().any(|set| set.contains(post))).collect();
        let mut best = (0, 0);
        every_grouping(&heights, &free, &rules, &mut Vec::new(), &mut |sets| {
            let worth = (sets.len(), 1000 - leaving(sets, &broken));
            best = best.max(worth);
        });
        prop_assert_eq!((others.len(), 1000 - kept.n_leaving), best);
    }
}

#[test]
fn one_post_is_exchanged_and_the_set_that_holds_stays() -> Result<(), KeepError> {
    let rules = Rules { set_size: SetSize::Three, tolerance: 5, dress_max: 0 };
    // Set 0 holds; in set 1 the post 5 has worn down by 20; 6 is a spare of the right height, 7 is not.
    let heights = [100, 101, 102, 150, 151, 131, 152, 180];
    let kept = regroup(&heights, &[vec![0, 1, 2], vec![5, 3, 4]], &rules)?;
    assert_eq!(kept.sets[0].posts, [0, 1, 2]);
    assert_eq!(kept.sets[1].posts, [3, 4, 6]);
    assert_eq!(kept.sets[1].heir_of, Some(1));
    assert_eq!((kept.n_leaving, kept.leaving_is_least, kept.unmatched), (1, true, vec![5, 7]));
    Ok(())
}

#[test]
fn present_sets_that_make_no_sense_are_named() {
    let rules = Rules { set_size: SetSize::Three, tolerance: 5, dress_max: 0 };
    let refused = |present: &[Vec<usize>]| regroup(&[1, 2, 3, 4], present, &rules).map(|_| ());
    assert_eq!(refused(&[vec![0, 1]]), Err(KeepError::Size { set: 0, n_posts: 2, wanted: 3 }));
    assert_eq!(refused(&[vec![0, 1, 4]]), Err(KeepError::Unknown { set: 0, post: 4 }));
    assert_eq!(refused(&[vec![0, 1, 1]]), Err(KeepError::Twice { set: 0, post: 1 }));
}
