//! Supports: what they stand on, how many carry a shelf, their heights, widths, ends and places.
use super::{At, Case, Said, of_posts, of_shelf};
use crate::judge::post::short_limit;
use crate::judge::shelf::material::{LIFE_SOURCE, life_band};
use crate::judge::stack::CheckKind;
use crate::judge::stack::hull::Polygon;
use crate::judge::stack::lay::{Footing, LaidShelf, LaidStack, LaidSupport, apart};
use crate::judge::stack::statics::{Standing, nearest_mm};
use crate::judge::{decision, post_set};
use crate::settings::SettingKey;
use crate::units::Length;
use crate::view::Shape;
use crate::view::text;
use crate::world::Post;

impl Case<'_> {
    /// Every support of a stack, layer by layer.
    pub(super) fn supports(&mut self, stack: &LaidStack<'_>, standing: &Standing) {
        for layer in 0..stack.n_layers {
            let at = At::layer(stack, layer);
            for (_, support) in stack.supports_of(layer) {
                if !support.is_chosen() {
                    let said = "a post is not chosen yet".to_owned();
                    self.unknown(CheckKind::Missing, at, Vec::new(), said, "choose a post", "as planned");
                    continue;
                }
                self.footing(stack, support, at);
                self.doubled(support, at);
                self.over(stack, support, at);
                self.slender(support, at);
                for post in &support.posts {
                    self.ends(post, at);
                    self.age(post, at);
                }
            }
            for (idx, shelf) in stack.shelves_of(layer) {
                self.carried(stack, shelf, at);
                self.spread(stack, standing, idx, at);
                self.inset(stack, shelf, at);
            }
        }
        self.same_age(stack);
    }

    fn footing(&mut self, stack: &LaidStack<'_>, support: &LaidSupport<'_>, at: At<'_>) {
        let pieces = of_posts(support.posts.iter().copied());
        let code = support.codes();
        let rests_on = "from the plan\u{2019}s own places";
        match &support.footing {
            Footing::Nothing => {
                let said = format!("{code} stands on nothing: no shelf of the layer below is under it");
                self.stop(CheckKind::Footing, at, pieces, said, "move it over a shelf", rests_on);
            }
            Footing::Joint(under) => {
                let codes: Vec<String> = under.iter().map(|idx| stack.shelves[*idx].code()).collect();
                let said = format!("{code} stands where {} meet", codes.join(" and "));
                self.look(
                    CheckKind::Footing,
                    at,
                    pieces,
                    said,
                    "only where a post below carries both; else move it",
                    rests_on,
                );
            }
            Footing::Shelf(under) if stack.shelves[*under].inset_mm(support.at) < support.half_mm() => {
                let said = format!("{code} stands over the edge of {}", stack.shelves[*under].code());
                self.look(
                    CheckKind::Footing,
                    at,
                    pieces,
                    said,
                    "move it in, wholly onto the shelf",
                    rests_on,
                );
            }
            Footing::Floor | Footing::Shelf(_) => self.pass(CheckKind::Footing),
        }
    }

    /// At most two on each other, the tall one below, never in the bottom layer; one hard shim at most.
    fn doubled(&mut self, support: &LaidSupport<'_>, at: At<'_>) {
        let [below, above] = support.posts[..] else {
            if support.posts.len() > 2 {
                let said = format!("{}: more than two on each other", support.codes());
                let pieces = of_posts(support.posts.iter().copied());
                self.stop(
                    CheckKind::Doubled,
                    at,
                    pieces,
                    said,
                    "take one taller post",
                    "at most two (common practice)",
                );
            }
            return;
        };
        let pieces = of_posts(support.posts.iter().copied());
        let rests_on = "at most two, the tall one below, never in the bottom layer (common practice)";
        if support.layer == 0 {
            let said = format!("{} in the bottom layer", support.codes());
            return self.stop(CheckKind::Doubled, at, pieces, said, "one post in the bottom layer", rests_on);
        }
        if above.nominal > below.nominal {
            let said = format!("{}: the tall one is on top", support.codes());
            return self.look(CheckKind::Doubled, at, pieces, said, "set the tall one below", rests_on);
        }
        self.pass(CheckKind::Doubled);
    }

    /// Centre to centre with the nearest support below.
    fn over(&mut self, stack: &LaidStack<'_>, support: &LaidSupport<'_>, at: At<'_>) {
        let Some(below) = support.layer.checked_sub(1) else { return };
        let under: Vec<_> = stack.supports_of(below).map(|(_, one)| one).collect();
        let Some(nearest) =
            under.iter().min_by(|a, b| apart(a.at, support.at).total_cmp(&apart(b.at, support.at)))
        else {
            return;
        };
        let Some(away) = nearest_mm(support.at, under.iter().map(|one| one.at)) else { return };
        let good = self.setting_mm(SettingKey::PostOverGood);
        let width = 2.0 * support.half_mm().min(nearest.half_mm().max(0.0));
        let stop = self.world.settings.ratio(SettingKey::PostOverShare) * width;
        if away <= good {
            return self.pass(CheckKind::PostOverPost);
        }
        let said = format!(
            "{} stands {} beside {}, centre to centre",
            support.codes(),
            self.mm(away),
            nearest.codes()
        );
        let pieces = of_posts(support.posts.iter().chain(&nearest.posts).copied());
        let fix = "move it over the post below";
        if away <= stop {
            let rests_on = self.limit(SettingKey::PostOverGood);
            self.look(CheckKind::PostOverPost, at, pieces, said, fix, rests_on);
        } else {
            let rests_on = self.limit(SettingKey::PostOverShare);
            self.stop(CheckKind::PostOverPost, at, pieces, said, fix, rests_on);
        }
    }

    fn slender(&mut self, support: &LaidSupport<'_>, at: At<'_>) {
        let width = support.posts.iter().map(|post| post.width.mm()).fold(f64::INFINITY, f64::min);
        if !width.is_finite() || width <= 0.0 {
            return;
        }
        let ratio = support.height_mm / width;
        let settings = &self.world.settings;
        let said = format!("{} is {} times as high as wide", support.codes(), text::fixed(ratio, 1));
        let pieces = of_posts(support.posts.iter().copied());
        if ratio > settings.ratio(SettingKey::SlenderStop) {
            let rests_on = self.limit(SettingKey::SlenderStop);
            self.stop(CheckKind::Slender, at, pieces, said, "take wider posts", rests_on);
        } else if ratio > settings.ratio(SettingKey::SlenderWarn) {
            let rests_on = self.limit(SettingKey::SlenderWarn);
            self.look(
                CheckKind::Slender,
                at,
                pieces,
                said,
                "take wider posts, or put this layer higher",
                rests_on,
            );
        } else {
            self.pass(CheckKind::Slender);
        }
    }

    /// Ends out of square, and worn short.
    fn ends(&mut self, post: &Post, at: At<'_>) {
        let Some(reading) = post.height_reading() else { return };
        let settings = &self.world.settings;
        let pieces = of_posts(std::iter::once(post));
        let short = post.nominal - reading.height;
        let limit = short_limit(settings, post.nominal);
        let u = decision::uncertainty(settings, reading.instrument);
        match decision::against_limit(short.mm(), limit.mm(), u.mm(), decision::ONE_SIDED_95) {
            decision::Decision::Over => {
                let said =
                    format!("{} is {} short of {}", post.code, self.length(short), self.length(post.nominal));
                let rests_on = format!(
                    "{}, {}, whichever is less",
                    self.limit(SettingKey::PostShort),
                    self.limit(SettingKey::PostShortShare)
                );
                self.look(
                    CheckKind::Short,
                    at,
                    pieces.clone(),
                    said,
                    "only with two as short; else retire it",
                    rests_on,
                );
            }
            _ => self.pass(CheckKind::Short),
        }
        let Some(out) = reading.out_of_square.filter(|_| post.width.0 > 0) else { return };
        let slope = out.mm() / post.width.mm();
        if slope > self.world.settings.ratio(SettingKey::SquarenessWarn) {
            let leans = text::fixed(libm::atan(slope).to_degrees(), 1);
            let said =
                format!("{}: end out of square by {}, leans {leans}\u{b0}", post.code, self.length(out));
            let rests_on = self.limit(SettingKey::SquarenessWarn);
            self.look(CheckKind::Square, at, pieces, said, "dress the end, or take another", rests_on);
        } else {
            self.pass(CheckKind::Square);
        }
    }

    /// Older than its like usually last.
    fn age(&mut self, post: &Post, at: At<'_>) {
        let cone = self.kiln.map_or(self.plan.cone, |kiln| kiln.usual_cone);
        let Some(band) = life_band(post.material, cone) else { return };
        if post.firings() <= band.high {
            return self.pass(CheckKind::Age);
        }
        let said = format!(
            "{} has had {}; its material usually lasts {} to {}",
            post.code,
            text::count(u64::from(post.firings()), "firing", "firings"),
            band.low,
            band.high
        );
        let pieces = of_posts(std::iter::once(post));
        let fix = "tap it, look for crumbling ends, keep it in the upper half";
        self.look(CheckKind::Age, at, pieces, said, fix, LIFE_SOURCE);
    }

    fn carried(&mut self, stack: &LaidStack<'_>, shelf: &LaidShelf<'_>, at: At<'_>) {
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
    fn spread(&mut self, stack: &LaidStack<'_>, standing: &Standing, idx: usize, at: At<'_>) {
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

    fn inset(&mut self, stack: &LaidStack<'_>, shelf: &LaidShelf<'_>, at: At<'_>) {
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
    fn same_age(&mut self, stack: &LaidStack<'_>) {
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
