//! One support: what it stands on, over and with, its width, its ends, its age.
//!
//! What this does not do: look at a shelf's supports together; `together` does.
use super::{At, Case, of_posts};
use crate::judge::decision;
use crate::judge::post::short_limit;
use crate::judge::shelf::material::{LIFE_SOURCE, life_band};
use crate::judge::stack::CheckKind;
use crate::judge::stack::lay::{Footing, LaidStack, LaidSupport, apart};
use crate::judge::stack::statics::{Standing, nearest_mm};
use crate::settings::SettingKey;
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
}
