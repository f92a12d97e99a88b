//! The verdict on four posts by their heights: whether the shelf rocks, and on which of them.
use super::limits::{Limits, SetPost, coarsest, spread_guard};
use super::tilt::standing;
use super::verdict::{MEASURE_AGAIN, Reading, Shim, Verdict, to_a_tenth};
use crate::geometry::four_post;
use crate::geometry::triangle::Triangle;
use crate::judge::decision::{Decision, ONE_SIDED_95, SPREAD_95, against_limit};
use crate::outline::Spot;
use crate::units::Length;

/// The square on which a gap is thought where no shelf is chosen; on any parallelogram it is the same.
fn any_shelf() -> [Spot; 4] {
    let at = |x: f64, y: f64| Spot { x_nm: Length::from_mm(x), y_nm: Length::from_mm(y) };
    [at(0.0, 0.0), at(300.0, 0.0), at(300.0, 300.0), at(0.0, 300.0)]
}

/// The rocking gap and what it rests on.
struct Gap {
    gap: Length,
    /// Places in the set whose post carries nothing when the shelf rests on the others.
    free: Vec<usize>,
    /// The standard uncertainty of the gap.
    u_mm: f64,
}

/// Judges four posts that go round the corners, on a shelf where one is chosen.
///
/// # Returns   None where there are not four of each, or they do not go round.
pub(super) fn judge(
    limits: &Limits,
    posts: &[SetPost],
    heights: &[Length],
    on: Option<&[Spot; 4]>,
) -> Option<Reading> {
    let heights: [Length; 4] = heights.try_into().ok()?;
    let u = coarsest(posts).map_or(Length::ZERO, |(_, u)| u);
    let found = gap(on.copied().unwrap_or_else(any_shelf), heights, u)?;
    let codes: Vec<String> =
        found.free.iter().filter_map(|at| posts.get(*at)).map(|post| post.code.clone()).collect();
    let by_gap = against_limit(found.gap.mm(), limits.gap.mm(), found.u_mm, ONE_SIDED_95);
    let reading = match by_gap {
        Decision::Within => level(limits, heights, u, &found),
        Decision::Undecided => {
            undecided(limits, &format!("a rocking gap of {}", limits.say(found.gap)), limits.gap)
        }
        Decision::Over => rocks(limits, posts, heights, u, &found, &codes),
    };
    let guard = Length::from_mm(ONE_SIDED_95 * found.u_mm);
    let rests_on = format!(
        "{}; guard band {} = 1.645 times the gap\u{2019}s uncertainty; decision rule of ISO 14253-1",
        limits.gap_said,
        limits.say(guard)
    );
    Some(Reading { gap: Some(found.gap), carries_nothing: codes, rests_on, ..reading })
}

/// The gap, by the geometry of four posts.
fn gap(spots: [Spot; 4], heights: [Length; 4], u: Length) -> Option<Gap> {
    let mut posts = [standing(spots[0], heights[0]); 4];
    for (post, (spot, height)) in posts.iter_mut().zip(spots.into_iter().zip(heights)) {
        *post = standing(spot, height);
    }
    let judged = four_post::judge(&posts).ok()?;
    // Below a tenth of a micrometre all four carry: it is rounding, not a gap.
    let free: Vec<usize> = (0..4).filter(|at| judged.gaps_mm[*at] > 1e-4).collect();
    let widest = (0..4).max_by(|a, b| judged.gaps_mm[*a].total_cmp(&judged.gaps_mm[*b]))?;
    let others: Vec<_> = (0..4).filter(|at| *at != widest).map(|at| posts[at].place()).collect();
    let shares = Triangle::new(others.try_into().ok()?)?.shares(posts[widest].place());
    // The gap is its own height less the others' weighted by their shares.
    let weight = 1.0 + shares.iter().map(|share| share * share).sum::<f64>();
    Some(Gap { gap: Length::from_mm(judged.gap_mm), free, u_mm: u.mm() * weight.sqrt() })
}

/// It does not rock; the tilt of four is limited as that of three.
fn level(limits: &Limits, heights: [Length; 4], u: Length, found: &Gap) -> Reading {
    let spread = spread(heights);
    let apart = format!("rocking gap {}, {} apart", limits.say(found.gap), limits.say(spread));
    let decide =
        |limit: Length| against_limit(spread.mm(), limit.mm(), core::f64::consts::SQRT_2 * u.mm(), SPREAD_95);
    if decide(limits.good) == Decision::Within {
        return Reading::new(Verdict::Good, format!("matched: {apart}"), "", "");
    }
    match decide(limits.accepted) {
        Decision::Within => Reading::new(Verdict::Accepted, format!("matched, accepted: {apart}"), "", ""),
        Decision::Undecided => undecided(limits, &format!("{} apart", limits.say(spread)), limits.accepted),
        Decision::Over => {
            let fix = format!(
                "the shelf would tilt: put posts in that are within {} of each other",
                limits.say(limits.accepted)
            );
            Reading::new(Verdict::NotTogether, format!("not together: {apart}"), fix, "")
        }
    }
}

/// It rocks: one shim on the shorter of the free posts, if that leaves the heights within what is accepted.
fn rocks(
    limits: &Limits,
    posts: &[SetPost],
    heights: [Length; 4],
    u: Length,
    found: &Gap,
    codes: &[String],
) -> Reading {
    let carries = format!("{} carries nothing, a gap of {}", codes.join(" or "), limits.say(found.gap));
    let short = found.free.iter().copied().min_by_key(|at| (heights[*at], *at));
    let amount = to_a_tenth(found.gap);
    let mut after = heights;
    if let Some(at) = short {
        after[at] = after[at] + amount;
    }
    let spread_after = spread(after);
    let shimmed = spread_after <= limits.accepted - spread_guard(u) && found.gap <= limits.shim;
    match short.and_then(|at| posts.get(at)).filter(|_| shimmed) {
        Some(post) => {
            let said =
                format!("usable with a shim of {} on {}: it rocks, {carries}", limits.say(amount), post.code);
            let fix = format!(
                "put one hard shim of {} on the top end of {}, one at most",
                limits.say(amount),
                post.code
            );
            let shim = Shim { post: post.code.clone(), amount, spread_after, tilt_after_deg: None };
            Reading {
                odd: Some(post.code.clone()),
                shim: Some(shim),
                ..Reading::new(Verdict::Shim, said, fix, "")
            }
        }
        None => {
            let said = format!("not together: it rocks, {carries}");
            let fix = format!("put another post in the place of {}", codes.join(" or "));
            Reading { odd: codes.first().cloned(), ..Reading::new(Verdict::NotTogether, said, fix, "") }
        }
    }
}

fn undecided(limits: &Limits, what: &str, limit: Length) -> Reading {
    let said = format!("undecided: {what} is too near {} to tell", limits.say(limit));
    Reading::new(Verdict::Undecided, said, MEASURE_AGAIN, "")
}

fn spread(heights: [Length; 4]) -> Length {
    let [a, b, c, d] = heights;
    a.max(b).max(c).max(d) - a.min(b).min(c).min(d)
}
