//! What makes a set of posts that do not go together as they are: the least grinding, or one shim.
//!
//! What this does not do: choose between the two. A person does.
use super::grind::{Ground, least_grinding};
use super::sets::LoadPost;
use crate::grouping::Rules;
use crate::judge::post::short_limit;
use crate::judge::post_set::{Limits, SetPost, Verdict, judge_heights};
use crate::settings::{SettingKey, Settings};
use crate::units::Length;
use crate::view::text::{LengthUnit, count, length};

/// The most that a dressing takes off.
///
/// # Source   House choice: rubbing on grit takes tenths; a worn end is hardly ever out by more than 3 mm, and more
/// is cutting to another height.
const MOST_OFF: Length = Length(3_000_000);

/// A set that grinding makes: higher posts come down towards the lowest, just far enough.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Dressing {
    /// Its posts from the lowest up, as they are now.
    pub posts: Vec<LoadPost>,
    /// What comes off which, the most first: one job at the bench each.
    pub jobs: Vec<Job>,
}

/// One dressing.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Job {
    /// The post.
    pub post: LoadPost,
    /// The least that comes off.
    pub off: Length,
    /// What brings it level with the lowest of its set.
    pub level: Length,
}

impl Dressing {
    /// "dress P14 by 0.4 mm and P09 by 0.1 mm", rounded up to a hundredth of a millimetre.
    #[must_use]
    pub fn said(&self, unit: LengthUnit) -> String {
        let one = |job: &Job| format!("{} by {}", job.post.code(), length(to_a_hundredth(job.off), unit));
        let jobs: Vec<String> = self.jobs.iter().map(one).collect();
        format!("dress {}", jobs.join(" and "))
    }
}

/// Up to the next hundredth of a millimetre, which is as fine as it is shown: never less than is needed.
#[must_use]
pub fn to_a_hundredth(off: Length) -> Length {
    const STEP_NM: i64 = 10_000;
    Length(off.0.div_euclid(STEP_NM).saturating_add(i64::from(off.0.rem_euclid(STEP_NM) > 0)) * STEP_NM)
}

/// A set that one hard shim makes.
#[derive(Clone, PartialEq, Debug)]
pub struct Shimming {
    /// Its posts from the lowest up.
    pub posts: Vec<LoadPost>,
    /// The short post, on whose top end the shim goes.
    pub on: LoadPost,
    /// How thick the shim is.
    pub amount: Length,
    /// The spread that is left.
    pub spread_after: Length,
    /// The verdict in one line.
    pub said: String,
    /// What it rests on.
    pub rests_on: String,
}

/// The least grinding that makes `n_sets` sets of the posts in no set, none coming under what is too short for it.
///
/// # Input    `rules` with the guard band taken off the tolerance.
/// # Returns  As many sets as can be made without taking more than [`MOST_OFF`] off any post; and what is proved, or why
/// there are fewer.
#[must_use]
pub fn by_dressing(
    settings: &Settings,
    nominal: Length,
    loose: &[LoadPost],
    rules: &Rules,
    n_sets: usize,
) -> (Vec<Dressing>, Vec<String>) {
    let unit = LengthUnit::from_setting(settings.get(SettingKey::ShownUnit));
    let floor = nominal - short_limit(settings, nominal);
    let heights: Vec<i64> = loose.iter().map(|post| post.height.0).collect();
    let rules = Rules { dress_max: MOST_OFF.0, ..*rules };
    let most = (loose.len() / rules.set_size.posts()).min(n_sets);
    let made = (1..=most).rev().find_map(|n| least_grinding(&heights, &rules, n, floor.0));
    let posts = count(loose.len() as u64, "post", "posts");
    let n_made = made.as_ref().map_or(0, |ground| ground.sets.len());
    let fewer = (n_made < n_sets).then(|| {
        format!(
            "Grinding makes {} of the {n_sets} missing: the {posts} in no set are too few, or it would take more than {} off \
             one (house choice: more is cutting to another height).",
            if n_made == 0 { "none".to_owned() } else { n_made.to_string() },
            length(MOST_OFF, unit)
        )
    });
    let Some(ground) = made else { return (Vec::new(), fewer.into_iter().collect()) };
    let fewest = if ground.fewest_proved {
        "and none that takes as little dresses fewer posts (proved)"
    } else {
        "(proved); whether another that takes as little would dress fewer posts was not found out in time"
    };
    let exact = format!(
        "Grinding: of the {posts} in no set, no choice of {} takes less off than {} in all, {fewest}. The lowest of a set is \
         left as it is, and none comes under {}, which is too short.",
        count(ground.sets.len() as u64, "set", "sets"),
        length(Length(ground.removed), unit),
        length(floor, unit)
    );
    (dressings(loose, &rules, &ground), std::iter::once(exact).chain(fewer).collect())
}

fn dressings(loose: &[LoadPost], rules: &Rules, ground: &Ground) -> Vec<Dressing> {
    let one = |places: &Vec<usize>| {
        let posts: Vec<LoadPost> = places.iter().filter_map(|at| loose.get(*at)).cloned().collect();
        let lowest = posts.first().map_or(Length::ZERO, |post| post.height);
        let job = |post: &LoadPost| {
            let off = Length(rules.cut(lowest.0, post.height.0));
            (off.0 > 0).then(|| Job { post: post.clone(), off, level: post.height - lowest })
        };
        let mut jobs: Vec<Job> = posts.iter().filter_map(job).collect();
        jobs.reverse();
        Dressing { jobs, posts }
    };
    ground.sets.iter().map(one).collect()
}

/// Sets of three that one hard shim on the short post makes, of posts next to each other in height: as many as `n_sets`
/// and as can be, with the least shim in all.
#[must_use]
pub fn by_shim(limits: &Limits, loose: &[LoadPost], n_sets: usize) -> Vec<Shimming> {
    let windows: Vec<Option<Shimming>> = loose.windows(3).map(|posts| shimmed(limits, posts)).collect();
    // best[n][i]: the least shim in all of n sets among the i lowest posts, and whether one ends there.
    let mut best: Vec<Vec<Option<(i64, bool)>>> = vec![vec![Some((0, false)); loose.len() + 1]];
    for n in 1..=n_sets {
        let mut row: Vec<Option<(i64, bool)>> = vec![None; loose.len() + 1];
        for end in 1..=loose.len() {
            row[end] = row[end - 1].map(|(sum, _)| (sum, false));
            let Some(start) = end.checked_sub(3) else { continue };
            let with = best[n - 1][start].zip(windows[start].as_ref());
            if let Some(sum) = with.map(|((sum, _), shim)| sum.saturating_add(shim.amount.0))
                && row[end].is_none_or(|(known, _)| sum < known)
            {
                row[end] = Some((sum, true));
            }
        }
        if row[loose.len()].is_none() {
            break;
        }
        best.push(row);
    }
    let (mut n, mut end) = (best.len() - 1, loose.len());
    let mut found = Vec::new();
    while n > 0 && end > 0 {
        if best[n][end].is_some_and(|(_, ends)| ends) {
            found.extend(windows[end - 3].clone());
            (n, end) = (n - 1, end - 3);
        } else {
            end -= 1;
        }
    }
    found.reverse();
    found
}

/// Three posts, the lowest first, where one shim makes them a set.
fn shimmed(limits: &Limits, posts: &[LoadPost]) -> Option<Shimming> {
    let known: Vec<SetPost> = posts.iter().map(|post| post.known.clone()).collect();
    let judged = judge_heights(limits, &known, None, Length::ZERO);
    let shim = judged.shim.filter(|_| judged.verdict == Verdict::Shim)?;
    Some(Shimming {
        on: posts.iter().find(|post| post.code() == shim.post)?.clone(),
        amount: shim.amount,
        spread_after: shim.spread_after,
        said: judged.said,
        rests_on: judged.rests_on,
        posts: posts.to_vec(),
    })
}
