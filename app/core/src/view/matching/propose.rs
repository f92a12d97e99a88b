//! The answer: sets from the exact search, named, drawn and said.
use super::{Answer, Proposal, Question};
use crate::code::{Code, next_free};
use crate::grouping::keep::{Kept, regroup};
use crate::grouping::{Rules, best_sets};
use crate::ids::{PostId, SetId};
use crate::judge::post_set::{SetPost, arrange};
use crate::units::Length;
use crate::view::set::choose::usual_inset;
use crate::view::text::{count, length};
use crate::world::PostSet;

/// One group of the search: places in the question's list, and the present set that it is or lives on in.
struct Found {
    posts: Vec<usize>,
    present: Option<SetId>,
}

/// Searches and says what came out.
pub(super) fn answer(question: &Question<'_>) -> Answer {
    let rules = Rules {
        set_size: question.size,
        tolerance: question.tolerance_used().0,
        dress_max: question.dress.0,
    };
    let heights: Vec<i64> = question.posts.iter().map(|post| post.height.0).collect();
    let present = present(question);
    let kept = question.keep.then(|| {
        let places: Vec<Vec<usize>> = present.iter().map(|(_, posts)| posts.clone()).collect();
        regroup(&heights, &places, &rules).ok()
    });
    let (found, unmatched, exact) = match kept.flatten() {
        Some(kept) => {
            let exact = kept_said(question, &kept);
            let heir = |at: Option<usize>| at.and_then(|at| present.get(at)).map(|(set, _)| set.id);
            let sets =
                kept.sets.into_iter().map(|set| Found { posts: set.posts, present: heir(set.heir_of) });
            (sets.collect::<Vec<_>>(), kept.unmatched, exact)
        }
        None => {
            let best = best_sets(&heights, &rules);
            let sets = best.sets().map(|set| Found { posts: set.to_vec(), present: None }).collect();
            let exact = "Proved by an exact search over all posts: no grouping makes more sets; of those that make as \
                         many none takes less off; of those none has less spread in all."
                .to_owned();
            (sets, best.unmatched, exact)
        }
    };
    let sets = name(question, &rules, &found);
    let labels = sets.iter().map(|set| set.code.to_string()).zip(found.iter().map(|one| one.posts.clone()));
    let labels: Vec<(String, Vec<usize>)> = labels.collect();
    Answer {
        said: said(question, &rules, &found),
        exact,
        guard: question.guard_said(),
        comb: question.drawn(&labels, &unmatched),
        left: left(question, &unmatched),
        sets,
    }
}

/// Present sets all of whose posts can be matched, with the places of their posts.
fn present<'a>(question: &Question<'a>) -> Vec<(&'a PostSet, Vec<usize>)> {
    let place = |id: &PostId| question.posts.iter().position(|one| one.post.id == *id);
    let whole = |set: &'a PostSet| {
        let posts: Option<Vec<usize>> = set.posts.iter().map(place).collect();
        posts.filter(|posts| posts.len() == question.size.posts()).map(|posts| (set, posts))
    };
    let mut sets: Vec<_> = question.world.sets_together().filter_map(whole).collect();
    sets.sort_by(|(a, _), (b, _)| a.code.cmp(&b.code));
    sets
}

fn kept_said(question: &Question<'_>, kept: &Kept) -> String {
    let least = match (kept.n_leaving, kept.leaving_is_least) {
        (0, _) => "no post leaves its set".to_owned(),
        (n, true) => {
            format!("{} its set, and fewer cannot (proved)", count(n as u64, "post leaves", "posts leave"))
        }
        (n, false) => format!(
            "{} its set; whether fewer could was not found out in the time given",
            count(n as u64, "post leaves", "posts leave")
        ),
    };
    let more = match kept.n_sets_if_regrouped.saturating_sub(kept.worth.n_sets) {
        0 => "taking all sets apart would not make more".to_owned(),
        n => format!("a fresh match would make {}", count(n as u64, "set more", "sets more")),
    };
    let size = question.size_said();
    format!(
        "Present sets of {size} that hold stay whole; the other posts make as many sets as they can (proved); {least}; {more}."
    )
}

/// The sets with their codes, in their posts' places.
fn name(question: &Question<'_>, rules: &Rules, found: &[Found]) -> Vec<Proposal> {
    let n_new = found.len();
    let mut free = next_free('K', question.world.codes.keys(), n_new).into_iter();
    let mut sets = Vec::new();
    for one in found {
        let ids: Vec<PostId> =
            one.posts.iter().filter_map(|at| question.posts.get(*at)).map(|one| one.post.id).collect();
        let same = question
            .world
            .sets_together()
            .find(|set| set.posts.len() == ids.len() && set.posts.iter().all(|id| ids.contains(id)));
        let code = match same {
            Some(set) => Some(set.code.clone()),
            None => free.next(),
        };
        if let Some(code) = code {
            sets.push(proposal(question, rules, one, code, same));
        }
    }
    sets
}

fn proposal(
    question: &Question<'_>,
    rules: &Rules,
    found: &Found,
    code: Code,
    same: Option<&PostSet>,
) -> Proposal {
    let candidates: Vec<_> = found.posts.iter().filter_map(|at| question.posts.get(*at)).collect();
    let known: Vec<SetPost> = candidates.iter().map(|one| one.known.clone()).collect();
    let order = arrange(&question.limits, &known, None, usual_inset(question.world));
    let in_place = order.iter().filter_map(|at| candidates.get(*at));
    let heights: Vec<i64> = candidates.iter().map(|one| one.height.0).collect();
    let lowest = heights.iter().min().copied().unwrap_or_default();
    let dress = candidates.iter().filter_map(|one| {
        let cut = rules.cut(lowest, one.height.0);
        (cut > 0).then(|| format!("{} by {}", one.known.code, length(Length(cut), question.unit)))
    });
    let moves = candidates.iter().filter_map(|one| {
        let old = question.world.set_of(one.post.id).filter(|_| same.is_none())?;
        (Some(old.id) != found.present).then(|| format!("{} leaves {}", one.known.code, old.code))
    });
    let taken_over = found.present.filter(|_| same.is_none()).and_then(|id| question.world.sets.get(&id));
    let taken_over = taken_over.map(|old| format!("the rest of {}", old.code));
    let mut ascending = heights.clone();
    ascending.sort_unstable();
    let spread = rules.judge(&ascending).map_or(0, |cost| cost.spread);
    Proposal {
        stands: same.is_some(),
        posts: in_place.map(|one| (one.post.id, one.known.code.clone())).collect(),
        spread: length(Length(spread), question.unit),
        dress: dress.collect(),
        moves: moves.chain(taken_over).collect(),
        code,
    }
}

fn said(question: &Question<'_>, rules: &Rules, found: &[Found]) -> String {
    let costs = found.iter().filter_map(|one| {
        let mut heights: Vec<i64> =
            one.posts.iter().filter_map(|at| question.posts.get(*at)).map(|one| one.height.0).collect();
        heights.sort_unstable();
        rules.judge(&heights)
    });
    let (removed, spread) = costs
        .fold((0_i64, 0_i64), |(r, s), cost| (r.saturating_add(cost.removed), s.saturating_add(cost.spread)));
    let removed = if removed > 0 {
        format!(", {} to grind off in all", length(Length(removed), question.unit))
    } else {
        String::new()
    };
    format!(
        "{} from {}{removed}, {} of spread in all",
        question.n_said(found.len()),
        count(question.posts.len() as u64, "measured post", "measured posts"),
        length(Length(spread), question.unit)
    )
}

/// Posts in no set, and why.
fn left(question: &Question<'_>, unmatched: &[usize]) -> Vec<[String; 3]> {
    let why = "no two others near enough";
    let why = if question.size.posts() == 4 { "no three others near enough" } else { why };
    let loose = unmatched.iter().filter_map(|at| question.posts.get(*at)).map(|one| {
        let in_set = question.world.set_of(one.post.id).map(|set| format!("; in {} now", set.code));
        [
            one.known.code.clone(),
            length(one.height, question.unit),
            format!("{why}{}", in_set.unwrap_or_default()),
        ]
    });
    loose.chain(question.barred.iter().cloned()).collect()
}
