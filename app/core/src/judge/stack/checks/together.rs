//! A shelf's supports together: how many there are, their heights, how far they stand in, their age.
//!
//! What this does not do: look at one support by itself; `posts` does.
use super::{At, Case, Said, of_posts, of_shelf};
use crate::judge::shelf::material::life_band;
use crate::judge::stack::CheckKind;
use crate::judge::stack::hull::Polygon;
use crate::judge::stack::lay::{LaidShelf, LaidStack, LaidSupport};
use crate::judge::stack::statics::Standing;
use crate::judge::{decision, post_set};
use crate::settings::SettingKey;
use crate::units::Length;
use crate::view::Shape;
use crate::view::text;
use crate::world::Post;

impl Case<'_> {
    pub(super) fn carried(&mut self, stack: &LaidStack<'_>, shelf: &LaidShelf<'_>, at: At<'_>) {
        let n = shelf.supports.len();
        let places: Vec<_> = shelf.supports.iter().map(|idx| stack.supports[*idx].at).collect();
        if n < 3 || Polygon::new(&places).sides.is_empty() {
            let said = match n {
                0 => format!("{} lies on no post", shelf.code()),
                1 | 2 => format!("{} lies on {} only", shelf.code(), text::count(n as u64, "post", "posts")),
                _ => format!("{} lies on posts in one line", shelf.code()),
            };
            let fix = "three posts, not in one line";
            return self.stop(
                CheckKind::Carried,
                at,
                of_shelf(shelf),
                said,
                fix,
                "two posts carry no shelf (calculated)",
            );
        }
        self.pass(CheckKind::Carried);
        if n > 4 {
            let said = format!("{} lies on {n} posts: which of them carry it is not known", shelf.code());
            self.unknown(
                CheckKind::Beyond,
                at,
                of_shelf(shelf),
                said,
                "three posts cannot rock",
                "taken as springs of one stiffness",
            );
        }
    }

    /// Three heights by their spread, four by the gap that lets it rock; measured ones only, with their guard band.
    pub(super) fn spread(&mut self, stack: &LaidStack<'_>, standing: &Standing, idx: usize, at: At<'_>) {
        let shelf = &stack.shelves[idx];
        let supports: Vec<&LaidSupport<'_>> =
            shelf.supports.iter().map(|one| &stack.supports[*one]).collect();
        let heights: Option<Vec<Length>> = supports.iter().map(|one| one.measured).collect();
        let Some(heights) = heights.filter(|heights| heights.len() >= 3) else { return };
        let pieces = of_posts(supports.iter().flat_map(|one| one.posts.iter().copied()));
        let limits = post_set::Limits::of(&self.world.settings);
        let u = supports.iter().flat_map(|one| &one.posts).filter_map(|post| post.height_reading());
        let u = u.map(|reading| decision::uncertainty(&self.world.settings, reading.instrument)).max();
        let guard = post_set::spread_guard(u.unwrap_or_default());
        if heights.len() > 3 {
            let gaps = &standing.shelves[idx].gaps_mm;
            let gap = Length::from_mm(gaps.iter().copied().fold(0.0, f64::max));
            // Less than a tenth of the gap off is rounding: those carry.
            let free = supports.iter().zip(gaps).filter(|(_, off)| **off > gap.mm() / 10.0);
            let free: Vec<String> = free.map(|(one, _)| one.codes()).collect();
            let said = format!(
                "{} rocks: {} may carry nothing, a gap of {}",
                shelf.code(),
                free.join(" or "),
                self.mm(gap.mm())
            );
            if gap - guard > limits.gap {
                let fix = "shim the free post, or take three";
                return self.stop(CheckKind::Spread, at, pieces, said, fix, limits.gap_said);
            }
            if gap + guard > limits.gap {
                return self.unknown(
                    CheckKind::Spread,
                    at,
                    pieces,
                    said,
                    "measure the four again with the caliper",
                    limits.gap_said,
                );
            }
            return self.pass(CheckKind::Spread);
        }
        let (Some(high), Some(low)) = (heights.iter().max(), heights.iter().min()) else { return };
        let spread = *high - *low;
        let short =
            supports.iter().find(|one| one.measured == Some(*low)).map_or(String::new(), |one| one.codes());
        let said =
            format!("{} lies on posts {} apart; {short} is the short one", shelf.code(), self.length(spread));
        if spread - guard > limits.shim {
            self.stop(CheckKind::Spread, at, pieces, said, "match three others", limits.shim_said);
        } else if spread - guard > limits.accepted {
            let fix =
                format!("shim {short} by {} on its top end, or match three others", self.length(spread));
            self.line(
                CheckKind::Spread,
                at,
                Said { shape: Shape::Look, pieces, said, fix, rests_on: limits.accepted_said },
            );
        } else if spread + guard > limits.accepted {
            self.unknown(
                CheckKind::Spread,
                at,
                pieces,
                said,
                "undecided: measure again with the caliper",
                limits.accepted_said,
            );
        } else {
            self.pass(CheckKind::Spread);
        }
    }

    pub(super) fn inset(&mut self, stack: &LaidStack<'_>, shelf: &LaidShelf<'_>, at: At<'_>) {
        let (least, most) = (self.setting_mm(SettingKey::InsetLeast), self.setting_mm(SettingKey::InsetMost));
        for idx in &shelf.supports {
            let support = &stack.supports[*idx];
            // A post that carries a neighbour too stands by the joint.
            let carries = stack.shelves_of(shelf.layer).filter(|(_, one)| one.supports.contains(idx)).count();
            let inset = shelf.inset_mm(support.at);
            let pieces = of_posts(support.posts.iter().copied()).into_iter().chain(of_shelf(shelf)).collect();
            if inset < least && carries < 2 {
                let said = format!(
                    "{} stands {} in from the edge of {}",
                    support.codes(),
                    self.mm(inset),
                    shelf.code()
                );
                let rests_on = self.limit(SettingKey::InsetLeast);
                self.look(CheckKind::Inset, at, pieces, said, "move it in", rests_on);
            } else if carries >= 2 && inset < 0.0 && -inset >= support.half_mm() - least / 2.0 {
                let said = format!(
                    "{} reaches only {} under {}",
                    support.codes(),
                    self.mm(support.half_mm() + inset),
                    shelf.code()
                );
                let rests_on = "half of the least inset (House choice)".to_owned();
                self.look(
                    CheckKind::Inset,
                    at,
                    pieces,
                    said,
                    "centre it under the joint, or take a wider post",
                    rests_on,
                );
            } else if inset > most {
                let said = format!(
                    "{} stands {} in from the edge of {}",
                    support.codes(),
                    self.mm(inset),
                    shelf.code()
                );
                let rests_on = self.limit(SettingKey::InsetMost);
                self.look(
                    CheckKind::Inset,
                    at,
                    pieces,
                    said,
                    "move it out: corners tip sooner over deep posts",
                    rests_on,
                );
            } else {
                self.pass(CheckKind::Inset);
            }
        }
    }

    /// Bottom posts of one batch that are old: they fail together.
    pub(super) fn same_age(&mut self, stack: &LaidStack<'_>) {
        let posts: Vec<&Post> = stack.supports_of(0).flat_map(|(_, one)| one.posts.iter().copied()).collect();
        let Some(first) = posts.first().filter(|_| posts.len() >= 3) else { return };
        let cone = self.kiln.map_or(self.plan.cone, |kiln| kiln.usual_cone);
        let Some(band) = life_band(first.material, cone) else { return };
        let from = self.world.settings.ratio(SettingKey::BatchShare) * f64::from(band.low);
        let one_batch = posts.iter().all(|post| {
            post.material == first.material
                && post.bought_on == first.bought_on
                && f64::from(post.firings()) >= from
        });
        if !one_batch {
            return self.pass(CheckKind::SameAge);
        }
        let fewest = posts.iter().map(|post| post.firings()).min().unwrap_or(0);
        let codes: Vec<String> = posts.iter().map(|post| post.code.to_string()).collect();
        let said = format!(
            "{}, the bottom posts, are all of one batch, {} old: they may fail together",
            codes.join(", "),
            text::count(u64::from(fewest), "firing", "firings")
        );
        let rests_on = self.limit(SettingKey::BatchShare);
        let pieces = of_posts(posts.into_iter());
        self.look(
            CheckKind::SameAge,
            At::layer(stack, 0),
            pieces,
            said,
            "mix in newer posts, one a column",
            rests_on,
        );
    }
}
