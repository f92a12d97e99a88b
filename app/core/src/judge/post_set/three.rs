//! The verdict on three posts by their heights.
use super::limits::{Limits, SetPost, coarsest, guard_said};
use super::tilt::{any_shelf, best_shim, tilt};
use super::verdict::{MEASURE_AGAIN, Reading, Shim, Verdict, to_a_tenth};
use crate::judge::decision::{Decision, SPREAD_95, against_limit};
use crate::outline::{Outline, Spot};
use crate::units::Length;

/// Three posts with their heights, the lowest first, and where each stands.
struct Three<'a> {
    limits: &'a Limits,
    posts: [&'a SetPost; 3],
    /// In the order of `posts`.
    heights: [Length; 3],
    /// In the order of `posts`.
    spots: [Spot; 3],
    /// The shelf, where one is chosen.
    outline: Option<&'a Outline>,
    u: Length,
}

/// Judges three posts, on a shelf where one is chosen.
///
/// # Returns   None where there are not three of each.
pub(super) fn judge(
    limits: &Limits,
    posts: &[SetPost],
    heights: &[Length],
    on: Option<(&Outline, &[Spot; 3])>,
) -> Option<Reading> {
    let plan = on.map_or_else(any_shelf, |(_, spots)| *spots);
    let mut order: Vec<usize> = (0..3).collect();
    order.sort_by_key(|at| (heights.get(*at).copied(), *at));
    let three = Three {
        limits,
        posts: pick(&order, |at| posts.get(at))?,
        heights: pick(&order, |at| heights.get(at).copied())?,
        spots: pick(&order, |at| plan.get(at).copied())?,
        outline: on.map(|(outline, _)| outline),
        u: coarsest(posts).map_or(Length::ZERO, |(_, u)| u),
    };
    Some(three.judge())
}

fn pick<T>(order: &[usize], get: impl Fn(usize) -> Option<T>) -> Option<[T; 3]> {
    let found: Option<Vec<T>> = order.iter().map(|at| get(*at)).collect();
    found?.try_into().ok()
}

impl Three<'_> {
    fn judge(&self) -> Reading {
        let limits = self.limits;
        let spread = self.heights[2] - self.heights[0];
        let apart = format!("{} apart", limits.say(spread));
        let rests = |limit: &str| {
            let read: Vec<SetPost> = self.posts.iter().map(|post| (*post).clone()).collect();
            format!("{limit}; {}", guard_said(limits, coarsest(&read)))
        };
        if self.decide(spread, limits.good) == Decision::Within {
            return Reading::new(Verdict::Good, format!("matched: {apart}"), "", rests(&limits.good_said));
        }
        match self.decide(spread, limits.accepted) {
            Decision::Within => Reading::new(
                Verdict::Accepted,
                format!("matched, accepted: {apart}"),
                format!("do not stand {} in the same column on every layer", self.posts[0].code),
                rests(&limits.accepted_said),
            ),
            Decision::Undecided => self.undecided(&apart, limits.accepted, rests(&limits.accepted_said)),
            Decision::Over => self.over(&apart, spread, rests(&limits.shim_said)),
        }
    }

    /// Past what is accepted: one shim on the short post, if the two higher ones agree.
    fn over(&self, apart: &str, spread: Length, rests_on: String) -> Reading {
        let limits = self.limits;
        let higher = self.heights[2] - self.heights[1];
        let by_spread = self.decide(spread, limits.shim);
        let by_higher = self.decide(higher, limits.accepted);
        if by_spread == Decision::Over || by_higher == Decision::Over {
            return self.not_together(apart, rests_on);
        }
        if by_spread == Decision::Undecided {
            return self.undecided(apart, limits.shim, rests_on);
        }
        if by_higher == Decision::Undecided {
            return self.undecided(
                &format!("the two higher {} apart", limits.say(higher)),
                limits.accepted,
                rests_on,
            );
        }
        let Some(shim) = self.shim(higher) else {
            return self.not_together(apart, rests_on);
        };
        let (amount, short) = (limits.say(shim.amount), &shim.post);
        let left = match shim.tilt_after_deg {
            Some(deg) => format!(", which leaves {deg:.2}\u{b0} of tilt"),
            None => String::new(),
        };
        let said = format!("usable with a shim of {amount} on {short}, the short post: {apart}");
        let fix = format!("put one hard shim of {amount} on the top end of {short}, one at most{left}");
        Reading {
            odd: Some(shim.post.clone()),
            shim: Some(shim),
            ..Reading::new(Verdict::Shim, said, fix, rests_on)
        }
    }

    /// The shim that leaves the least tilt among those that leave the spread within what is accepted.
    fn shim(&self, higher: Length) -> Option<Shim> {
        let [low, mid, high] = self.heights;
        let slack = self.limits.accepted - higher;
        let least = high - low - self.limits.accepted;
        let most = mid - low + slack;
        let best = best_shim(&self.spots, self.heights, 0, least.max(Length::ZERO), most)?;
        let amount = to_a_tenth(best);
        let after = [low + amount, mid, high];
        let spread_after = after.iter().max().copied()? - after.iter().min().copied()?;
        let tilt_after = self.outline.and_then(|outline| tilt(outline, &self.spots, after, self.u));
        Some(Shim {
            post: self.posts[0].code.clone(),
            amount,
            spread_after,
            tilt_after_deg: tilt_after.map(|tilt| tilt.tilt_deg),
        })
    }

    /// The odd one out is the one farther from the middle one.
    fn not_together(&self, apart: &str, rests_on: String) -> Reading {
        let [low, mid, high] = self.heights;
        let odd = if high - mid > mid - low { self.posts[2] } else { self.posts[0] };
        let fix = format!(
            "put another post in the place of {}, or bring the two higher ones down to {}, never one alone",
            odd.code, self.posts[0].code
        );
        let said = format!("not together: {apart}");
        Reading { odd: Some(odd.code.clone()), ..Reading::new(Verdict::NotTogether, said, fix, rests_on) }
    }

    fn undecided(&self, what: &str, limit: Length, rests_on: String) -> Reading {
        let near = self.limits.say(limit);
        let said = format!("undecided: {what} is too near {near} to tell");
        Reading::new(Verdict::Undecided, said, MEASURE_AGAIN, rests_on)
    }

    fn decide(&self, value: Length, limit: Length) -> Decision {
        let u_of_a_difference = core::f64::consts::SQRT_2 * self.u.mm();
        against_limit(value.mm(), limit.mm(), u_of_a_difference, SPREAD_95)
    }
}
