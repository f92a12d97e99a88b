//! Sets for a load: so many of each height, from what stands in one kiln's racks.
//!
//! What this does not do: record anything, or say which set goes into which layer; [`super::question`] does that.
//!
//! Start reading at [`sets_for_load`].
use super::mend::{Dressing, Shimming, by_dressing, by_shim};
use crate::event::values::{Instrument, Piece};
use crate::grouping::keep::{Kept, regroup};
use crate::grouping::{Rules, SetSize, best_sets};
use crate::ids::{KilnId, PostId, SetId};
use crate::judge::post::unsound;
use crate::judge::post_set::{Limits, SetPost, coarsest, spread_guard};
use crate::units::Length;
use crate::view::text::count;
use crate::world::{Post, PostSet, World};
use std::collections::BTreeMap;

/// Sets for a load.
#[derive(Clone, PartialEq, Debug)]
pub struct SetsForLoad {
    /// One entry for each height wanted, from the least up.
    pub heights: Vec<HeightSets>,
    /// Posts of these heights that cannot be loaded, by code, and why.
    pub left_out: Vec<(Piece, String)>,
}

/// What there is of one height.
#[derive(Clone, PartialEq, Debug)]
pub struct HeightSets {
    /// The nominal height.
    pub nominal: Length,
    /// How many sets are wanted.
    pub wanted: usize,
    /// Posts to a set.
    pub size: SetSize,
    /// The greatest spread accepted, before the guard band comes off.
    pub tolerance: Length,
    /// The guard band.
    pub guard: Length,
    /// The coarsest reading among them, which the guard band comes from.
    pub coarsest: Option<(Instrument, Length)>,
    /// The sets to load: as many as are wanted or can be had. Those that stand as they are come first, then those of
    /// the least spread.
    pub sets: Vec<LoadSet>,
    /// Sets that could be had beyond those wanted.
    pub spare: Vec<LoadSet>,
    /// For sets that are missing: the least grinding that makes them.
    pub dressing: Vec<Dressing>,
    /// For sets that are missing: shims that make them, from the same posts as the dressing or others.
    pub shims: Vec<Shimming>,
    /// Posts in no set, from the lowest up.
    pub loose: Vec<LoadPost>,
    /// What is proved, one line each.
    pub exact: Vec<String>,
}

impl HeightSets {
    /// How many of the sets wanted cannot be had as the posts are.
    #[must_use]
    pub fn missing(&self) -> usize {
        self.wanted.saturating_sub(self.sets.len())
    }
}

/// A post with what counts of it here.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LoadPost {
    /// Which.
    pub post: PostId,
    /// What is known of it.
    pub known: SetPost,
    /// Its height.
    pub height: Length,
}

impl LoadPost {
    /// Its code.
    #[must_use]
    pub fn code(&self) -> &str {
        &self.known.code
    }
}

/// A set for a load.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LoadSet {
    /// The present set that it is, where it stands together already.
    pub present: Option<SetId>,
    /// The present set that lives on in it: one of which it holds more than half.
    pub heir_of: Option<SetId>,
    /// Its posts from the lowest up.
    pub posts: Vec<LoadPost>,
    /// Present sets that lose a post to it.
    pub takes_from: Vec<SetId>,
}

impl LoadSet {
    /// Highest less lowest.
    #[must_use]
    pub fn spread(&self) -> Length {
        match (self.posts.first(), self.posts.last()) {
            (Some(low), Some(high)) => high.height - low.height,
            _ => Length::ZERO,
        }
    }
}

/// The posts of one nominal height that can be matched, by code, and the present sets among them.
struct Rack<'a> {
    world: &'a World,
    nominal: Length,
    posts: Vec<LoadPost>,
    present: Vec<(&'a PostSet, Vec<usize>)>,
}

/// Sets of three for a load from the posts in a kiln's racks that are measured since they were dressed, sound, on no
/// hold and in service.
///
/// # Input    nominal heights with the number of layers wanted; one that is named twice counts twice. With `fresh`
/// present sets are taken apart, otherwise those that hold stay whole.
/// # Returns  for each height the sets, and for those that cannot be had the least grinding or the shims that make them;
/// each line of `exact` says what is proved.
#[must_use]
pub fn sets_for_load(world: &World, kiln: KilnId, wanted: &[(Length, usize)], fresh: bool) -> SetsForLoad {
    sets_of(world, kiln, SetSize::Three, wanted, fresh)
}

/// As [`sets_for_load`], with so many posts to a set.
#[must_use]
pub fn sets_of(
    world: &World,
    kiln: KilnId,
    size: SetSize,
    wanted: &[(Length, usize)],
    fresh: bool,
) -> SetsForLoad {
    let mut by_height: BTreeMap<Length, usize> = BTreeMap::new();
    for (nominal, layers) in wanted {
        *by_height.entry(*nominal).or_default() += layers;
    }
    let mut of_kiln: Vec<&Post> = world
        .posts_in_service()
        .filter(|post| post.kiln == kiln && by_height.contains_key(&post.nominal))
        .collect();
    of_kiln.sort_by(|one, two| one.code.cmp(&two.code));
    let mut racks: BTreeMap<Length, Vec<LoadPost>> = BTreeMap::new();
    let mut left_out = Vec::new();
    for post in of_kiln {
        match (unsound(world, post), post.height_reading()) {
            (None, Some(reading)) => racks.entry(post.nominal).or_default().push(LoadPost {
                post: post.id,
                known: SetPost::of(&world.settings, post),
                height: reading.height,
            }),
            (why, _) => {
                let why = why.map_or_else(|| "not measured".to_owned(), |finding| finding.said);
                left_out.push((Piece::Post(post.id), why));
            }
        }
    }
    let heights = by_height.into_iter().map(|(nominal, wanted)| {
        let posts = racks.remove(&nominal).unwrap_or_default();
        Rack::new(world, nominal, posts, size).sets(size, wanted, fresh)
    });
    SetsForLoad { heights: heights.collect(), left_out }
}

/// The greatest spread accepted of a set: of four, half the rocking gap, since however they stand the gap under the
/// free one is at most twice their spread (calculated).
#[must_use]
pub fn tolerance(limits: &Limits, size: SetSize) -> Length {
    match size {
        SetSize::Four => Length(limits.gap.0 / 2),
        SetSize::Two | SetSize::Three => limits.accepted,
    }
}

impl<'a> Rack<'a> {
    fn new(world: &'a World, nominal: Length, posts: Vec<LoadPost>, size: SetSize) -> Self {
        let places: BTreeMap<PostId, usize> = posts.iter().map(|post| post.post).zip(0..).collect();
        let mut present: Vec<(&PostSet, Vec<usize>)> = world
            .sets_together()
            .filter(|set| set.posts.len() == size.posts())
            .filter_map(|set| {
                let at: Option<Vec<usize>> = set.posts.iter().map(|post| places.get(post).copied()).collect();
                Some((set, at?))
            })
            .collect();
        present.sort_by(|one, two| one.0.code.cmp(&two.0.code));
        Self { world, nominal, posts, present }
    }

    fn sets(&self, size: SetSize, wanted: usize, fresh: bool) -> HeightSets {
        let known: Vec<SetPost> = self.posts.iter().map(|post| post.known.clone()).collect();
        let coarsest = coarsest(&known);
        let guard = coarsest.map_or(Length::ZERO, |(_, u)| spread_guard(u));
        let limits = Limits::of(&self.world.settings);
        let tolerance = tolerance(&limits, size);
        let rules = Rules { set_size: size, tolerance: (tolerance - guard).0, dress_max: 0 };
        let heights: Vec<i64> = self.posts.iter().map(|post| post.height.0).collect();
        let present: Vec<Vec<usize>> = self.present.iter().map(|(_, posts)| posts.clone()).collect();
        let kept = if fresh { None } else { regroup(&heights, &present, &rules).ok() };
        let (groups, loose, exact) = match kept {
            Some(kept) => {
                let exact = kept_said(&kept);
                (kept.sets.into_iter().map(|set| set.posts).collect::<Vec<_>>(), kept.unmatched, exact)
            }
            None => {
                let found = best_sets(&heights, &rules);
                let groups = found.sets().map(<[usize]>::to_vec).collect();
                (groups, found.unmatched, vec![FRESH_SAID.to_owned()])
            }
        };
        let mut sets: Vec<LoadSet> = groups.iter().map(|posts| self.load_set(posts)).collect();
        // Stable: of equal spreads the lower set stays first.
        sets.sort_by_key(|set| (set.present.is_none(), set.spread()));
        let spare = sets.split_off(wanted.min(sets.len()));
        let loose: Vec<LoadPost> = loose.iter().filter_map(|at| self.posts.get(*at)).cloned().collect();
        let mut found = HeightSets {
            nominal: self.nominal,
            wanted,
            size,
            tolerance,
            guard,
            coarsest,
            sets,
            spare,
            dressing: Vec::new(),
            shims: Vec::new(),
            loose,
            exact,
        };
        self.mend(&mut found, &limits);
        found
    }

    /// Adds what would make the sets that are missing.
    fn mend(&self, found: &mut HeightSets, limits: &Limits) {
        let missing = found.missing();
        if missing == 0 {
            return;
        }
        let settings = &self.world.settings;
        let rules =
            Rules { set_size: found.size, tolerance: (found.tolerance - found.guard).0, dress_max: 0 };
        let (dressing, said) = by_dressing(settings, self.nominal, &found.loose, &rules, missing);
        found.exact.extend(said);
        found.dressing = dressing;
        if found.size == SetSize::Three {
            found.shims = by_shim(limits, &found.loose, missing);
            if !found.shims.is_empty() {
                found.exact.push(
                    "Shims: of posts next to each other in height, the sets that need the least shim; not proved over \
                     all choices."
                        .to_owned(),
                );
            }
        }
    }

    /// The set of the posts at these places.
    fn load_set(&self, places: &[usize]) -> LoadSet {
        let stays = |old: &[usize]| old.iter().filter(|at| places.contains(at)).count();
        let touched: Vec<(&PostSet, usize, usize)> = self
            .present
            .iter()
            .map(|(set, old)| (*set, stays(old), old.len()))
            .filter(|(_, n, _)| *n > 0)
            .collect();
        let present = touched.iter().find(|(_, n, all)| n == all && *all == places.len());
        let posts: Vec<LoadPost> = places.iter().filter_map(|at| self.posts.get(*at)).cloned().collect();
        let loses = |post: &LoadPost| self.world.set_of(post.post).map(|set| set.id);
        let mut takes_from: Vec<SetId> = match present {
            Some(_) => Vec::new(),
            None => posts.iter().filter_map(loses).collect(),
        };
        takes_from.sort_unstable();
        takes_from.dedup();
        LoadSet {
            present: present.map(|(set, ..)| set.id),
            heir_of: touched.iter().find(|(_, n, all)| 2 * n > *all).map(|(set, ..)| set.id),
            posts,
            takes_from,
        }
    }
}

/// What is proved of a fresh match.
const FRESH_SAID: &str = "Matched afresh: no grouping of all these posts makes more sets, and of those that make as many \
     none has less spread in all (proved).";

/// What is proved where present sets are kept.
fn kept_said(kept: &Kept) -> Vec<String> {
    let leave = count(kept.n_leaving as u64, "post leaves", "posts leave");
    let leaving = match (kept.n_leaving, kept.leaving_is_least) {
        (0, _) => "No post leaves its set".to_owned(),
        (_, true) => format!("{leave} the set they stood in, and fewer cannot (proved)"),
        (_, false) => format!("{leave} the set they stood in; whether fewer could was not found out in time"),
    };
    let more = match kept.n_sets_if_regrouped.saturating_sub(kept.worth.n_sets) {
        0 => "a fresh match would not make more".to_owned(),
        n => format!("a fresh match would make {}", count(n as u64, "set more", "sets more")),
    };
    vec![
        "Sets that hold stay whole; the other posts make as many sets as they can (proved).".to_owned(),
        format!("{leaving}; {more}."),
    ]
}
