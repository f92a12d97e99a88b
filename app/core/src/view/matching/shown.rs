//! The sets of a load in words and drawn: what stands, what is made by a tap, what mends the missing ones.
//!
//! What this does not do: choose. [`crate::planning`] does.
use crate::code::{Code, next_free};
use crate::ids::{PostId, ShelfId};
use crate::judge::post_set::{Limits, SetPost, arrange, guard_said};
use crate::planning::{Dressing, HeightSets, LoadPost, LoadSet, Shimming, to_a_hundredth};
use crate::units::Length;
use crate::view::comb::{self, Comb, Group, Tooth};
use crate::view::history::unit_of;
use crate::view::set::choose::usual_inset;
use crate::view::text::{LengthUnit, count, length, length_input};
use crate::world::World;
use serde::{Deserialize, Serialize};

/// What there is of one height.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Shown {
    /// "150 mm: 3 of 4".
    pub title: String,
    /// The sets to load.
    pub sets: Vec<SetShown>,
    /// How many more there could be; empty where none.
    pub spare: String,
    /// The posts drawn: set by set with the tolerance band, then what mending would make, then the rest.
    pub comb: Option<Comb>,
    /// Ways to the missing sets by grinding.
    pub dressing: Vec<DressShown>,
    /// Ways to the missing sets by a shim.
    pub shims: Vec<ShimShown>,
    /// The tolerance, and why it is less than the one on record.
    pub guard: String,
    /// What is proved, one line each.
    pub exact: Vec<String>,
}

/// One set to load.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SetShown {
    /// Its code, or the one that it gets.
    pub code: Code,
    /// "P01 150.1 mm, P02 150.2 mm, P03 150.4 mm; 0.3 mm apart".
    pub said: String,
    /// What becomes of present sets: "takes K03 apart".
    pub takes: String,
    /// What making it records; none where it stands as it is.
    pub made: Option<MadeSet>,
}

/// What making a set records.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct MadeSet {
    /// Its posts in the places where they stand best.
    pub posts: Vec<PostId>,
    /// The same by code: the form posts it back, so that a rack that changed is noticed.
    pub token: String,
    /// The shelf it is judged under, where the set that lives on in it had one.
    pub shelf: Option<ShelfId>,
    /// How far in its posts stand.
    pub inset: Length,
}

/// A set that grinding makes.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct DressShown {
    /// "P07, P09 and P14: dress P14 by 0.39 mm and P09 by 0.09 mm".
    pub said: String,
    /// One job at the bench each: what it says, and the page that logs it with the amount filled in.
    pub jobs: Vec<crate::view::Link>,
}

/// A set that a shim makes.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct ShimShown {
    /// "P07, P09 and P14: one hard shim of 1.2 mm on the top end of P07".
    pub said: String,
    /// What it rests on.
    pub rests_on: String,
}

impl SetShown {
    /// The name of its box.
    #[must_use]
    pub fn field(&self) -> String {
        format!("set_{}", self.code)
    }
}

/// Everything said of each height; new sets are given codes in this order.
pub(super) fn shown(world: &World, heights: &[HeightSets]) -> Vec<Shown> {
    let n_new = heights.iter().flat_map(|height| &height.sets).filter(|set| set.present.is_none()).count();
    let mut codes = next_free('K', world.codes.keys(), n_new).into_iter();
    let unit = unit_of(world);
    heights.iter().map(|height| one_height(world, height, &mut codes, unit)).collect()
}

fn one_height(
    world: &World,
    height: &HeightSets,
    codes: &mut impl Iterator<Item = Code>,
    unit: LengthUnit,
) -> Shown {
    let mut sets: Vec<(&LoadSet, SetShown)> = Vec::new();
    for set in &height.sets {
        let present = set.present.and_then(|id| world.sets.get(&id)).map(|set| set.code.clone());
        if let Some(code) = present.or_else(|| codes.next()) {
            sets.push((set, set_shown(world, set, code, unit)));
        }
    }
    let spare = match height.spare.len() {
        0 => String::new(),
        n => format!("{} could be had besides", count(n as u64, "set", "sets")),
    };
    let dressing = height.dressing.iter().map(|one| dress_shown(one, unit)).collect();
    let shims = height.shims.iter().map(|one| shim_shown(one, unit)).collect();
    Shown {
        title: format!("{}: {} of {}", length(height.nominal, unit), height.sets.len(), height.wanted),
        comb: comb::draw(&groups(height, &sets), height.nominal, unit),
        spare,
        dressing,
        shims,
        guard: guard(world, height, unit),
        exact: height.exact.clone(),
        sets: sets.into_iter().map(|(_, shown)| shown).collect(),
    }
}

fn guard(world: &World, height: &HeightSets, unit: LengthUnit) -> String {
    let used = height.tolerance - height.guard;
    let band = guard_said(&Limits::of(&world.settings), height.coarsest);
    if band.is_empty() {
        return String::new();
    }
    if used.0 < 0 {
        return format!(
            "the {band}, is wider than the {} accepted: measure with a finer instrument",
            length(height.tolerance, unit)
        );
    }
    format!("spread to {}: {} accepted, less a {band}", length(used, unit), length(height.tolerance, unit))
}

fn set_shown(world: &World, set: &LoadSet, code: Code, unit: LengthUnit) -> SetShown {
    let posts: Vec<String> =
        set.posts.iter().map(|post| format!("{} {}", post.code(), length(post.height, unit))).collect();
    let taken: Vec<String> =
        set.takes_from.iter().filter_map(|id| world.sets.get(id)).map(|old| old.code.to_string()).collect();
    let takes = if taken.is_empty() { String::new() } else { format!("takes {} apart", taken.join(" and ")) };
    SetShown {
        said: format!("{}; {} apart", posts.join(", "), length(set.spread(), unit)),
        takes,
        made: set.present.is_none().then(|| made(world, set)),
        code,
    }
}

fn made(world: &World, set: &LoadSet) -> MadeSet {
    let heir = set.heir_of.and_then(|id| world.sets.get(&id));
    let (shelf, inset) = heir.map_or_else(|| (None, usual_inset(world)), |old| (old.shelf, old.inset));
    let outline = shelf.and_then(|id| world.shelves.get(&id)).map(|shelf| shelf.outline);
    let known: Vec<SetPost> = set.posts.iter().map(|post| post.known.clone()).collect();
    let order = arrange(&Limits::of(&world.settings), &known, outline.as_ref(), inset);
    let in_place: Vec<&LoadPost> = order.iter().filter_map(|at| set.posts.get(*at)).collect();
    let codes: Vec<&str> = in_place.iter().map(|post| post.code()).collect();
    MadeSet { token: codes.join(" "), posts: in_place.iter().map(|post| post.post).collect(), shelf, inset }
}

/// "P07, P09 and P14".
fn named(posts: &[LoadPost]) -> String {
    let codes: Vec<&str> = posts.iter().map(LoadPost::code).collect();
    match codes.split_last() {
        Some((last, others)) if !others.is_empty() => format!("{} and {last}", others.join(", ")),
        _ => codes.join(""),
    }
}

fn dress_shown(dressing: &Dressing, unit: LengthUnit) -> DressShown {
    let job = |job: &crate::planning::Job| {
        let off = to_a_hundredth(job.off);
        let code = job.post.code();
        crate::view::Link {
            href: format!("/post/{code}/dressed?removed={}", length_input(off, unit).replace(' ', "+")),
            text: format!("{code}: {} off; level at {}", length(off, unit), length(job.level, unit)),
        }
    };
    DressShown {
        said: format!("{}: {}", named(&dressing.posts), dressing.said(unit)),
        jobs: dressing.jobs.iter().map(job).collect(),
    }
}

fn shim_shown(shim: &Shimming, unit: LengthUnit) -> ShimShown {
    ShimShown {
        said: format!(
            "{}: one hard shim of {} on the top end of {}, which leaves {} apart",
            named(&shim.posts),
            length(shim.amount, unit),
            shim.on.code(),
            length(shim.spread_after, unit)
        ),
        rests_on: shim.rests_on.clone(),
    }
}

/// The posts as the comb is told of them. What is to be dressed is struck.
fn groups(height: &HeightSets, sets: &[(&LoadSet, SetShown)]) -> Vec<Group> {
    let tooth =
        |post: &LoadPost, out: bool| Tooth { code: post.code().to_owned(), height: Some(post.height), out };
    let of_set = |(set, shown): &(&LoadSet, SetShown)| Group {
        label: shown.code.to_string(),
        teeth: set.posts.iter().map(|post| tooth(post, false)).collect(),
        band: Some(height.tolerance),
    };
    let of_dressing = |dressing: &Dressing| Group {
        label: "dress".to_owned(),
        teeth: dressing
            .posts
            .iter()
            .map(|post| tooth(post, dressing.jobs.iter().any(|job| job.post.post == post.post)))
            .collect(),
        band: Some(height.tolerance),
    };
    let dressed: Vec<PostId> =
        height.dressing.iter().flat_map(|one| &one.posts).map(|post| post.post).collect();
    let rest = height.loose.iter().filter(|post| !dressed.contains(&post.post));
    let rest =
        Group { label: String::new(), teeth: rest.map(|post| tooth(post, false)).collect(), band: None };
    sets.iter().map(of_set).chain(height.dressing.iter().map(of_dressing)).chain([rest]).collect()
}
