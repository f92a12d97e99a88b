//! What was chosen: whether it is there, on hold, retired, in these racks, measured, and fit for the heat.
//!
//! What this does not do: look at a shelf's face; `faces` does.
use super::{At, Case, Said, of_shelf};
use crate::event::values::{Fuel, HoldReason, Material, Piece};
use crate::judge::shelf::care;
use crate::judge::shelf::material::too_soft;
use crate::judge::stack::CheckKind;
use crate::judge::stack::lay::{LaidShelf, LaidStack};
use crate::settings::SettingKey;
use crate::view::Shape;
use crate::view::text;
use crate::world::{Hold, Post, Retired};
use std::collections::BTreeMap;

impl Case<'_> {
    /// What is about the whole plan: the kiln's inside, and pieces planned twice.
    pub(super) fn whole_plan(&mut self, stacks: &[LaidStack<'_>]) {
        if self.kiln.is_none_or(|kiln| kiln.inside.is_none()) {
            self.line(CheckKind::Missing, At::PLAN, Said {
                shape: Shape::Unknown,
                pieces: Vec::new(),
                said: "the kiln\u{2019}s inside is not measured: walls, roof and parts to keep clear are not checked"
                    .to_owned(),
                fix: "measure the kiln\u{2019}s inside".to_owned(),
                rests_on: "as recorded".to_owned(),
            });
        }
        if stacks.iter().all(|stack| stack.shelves.is_empty()) {
            self.line(
                CheckKind::Missing,
                At::PLAN,
                Said {
                    shape: Shape::Unknown,
                    pieces: Vec::new(),
                    said: "no shelf is planned yet".to_owned(),
                    fix: "add a layer, or have the plan filled".to_owned(),
                    rests_on: String::new(),
                },
            );
        }
        let mut seen: BTreeMap<Piece, usize> = BTreeMap::new();
        for stack in stacks {
            let posts =
                stack.supports.iter().flat_map(|support| &support.posts).map(|post| Piece::Post(post.id));
            let shelves = stack.shelves.iter().map(|shelf| Piece::Shelf(shelf.shelf.id));
            posts.chain(shelves).for_each(|piece| *seen.entry(piece).or_default() += 1);
        }
        let twice: Vec<Piece> = seen.into_iter().filter(|(_, n)| *n > 1).map(|(piece, _)| piece).collect();
        if twice.is_empty() {
            self.pass(CheckKind::Twice);
        }
        for piece in twice {
            let said = format!("{} is planned in two places", self.world.code_of(piece));
            self.stop(
                CheckKind::Twice,
                At::PLAN,
                vec![piece],
                said,
                "choose another for one of them",
                "as planned",
            );
        }
        self.line(
            CheckKind::FloorLevel,
            At::PLAN,
            Said {
                shape: Shape::Unknown,
                pieces: Vec::new(),
                said: "the floor is taken as level: nothing here knows".to_owned(),
                fix: "lay a level on the bottom shelf before the next layer".to_owned(),
                rests_on: "a slope of the floor adds to every layer\u{2019}s".to_owned(),
            },
        );
    }

    /// Every piece of a stack.
    pub(super) fn pieces(&mut self, stack: &LaidStack<'_>) {
        for (layer, own) in stack.planned.iter().enumerate() {
            let at = At::layer(stack, layer);
            let known = stack.shelves_of(layer).count();
            if known < own.shelves.len() || own.shelves.is_empty() {
                let said = "a shelf is not chosen yet".to_owned();
                self.unknown(CheckKind::Missing, at, Vec::new(), said, "choose a shelf", "as planned");
            } else {
                self.pass(CheckKind::Missing);
            }
            for (_, shelf) in stack.shelves_of(layer) {
                self.one_shelf(stack, shelf, at);
            }
            for (_, support) in stack.supports_of(layer) {
                for post in &support.posts {
                    self.one_post(post, at);
                }
            }
        }
    }

    fn one_shelf(&mut self, stack: &LaidStack<'_>, laid: &LaidShelf<'_>, at: At<'_>) {
        let shelf = laid.shelf;
        self.standing(Piece::Shelf(shelf.id), shelf.retired.as_ref(), shelf.hold.as_ref(), at);
        self.whose(Piece::Shelf(shelf.id), shelf.kiln, at);
        self.heat(Piece::Shelf(shelf.id), shelf.material, at);
        match care::cordierite_at(self.world, shelf, self.plan.cone) {
            Some(found) => {
                let said = format!("{}: {}", shelf.code, found.said);
                self.look(CheckKind::Heat, at, of_shelf(laid), said, &found.fix, found.rests_on);
            }
            None => self.pass(CheckKind::Heat),
        }
        self.read_since(laid, at);
        self.flat_enough(laid, at);
        self.cracks(stack, laid, at);
    }

    fn one_post(&mut self, post: &Post, at: At<'_>) {
        let piece = Piece::Post(post.id);
        self.standing(piece, post.retired.as_ref(), post.hold.as_ref(), at);
        self.whose(piece, post.kiln, at);
        self.heat(piece, post.material, at);
        let hottest = self.world.settings.get(SettingKey::CordieriteCone);
        if post.material == Material::Cordierite && i64::from(self.plan.cone.rank()) > hottest {
            let said = format!("{}: cordierite at cone {}", post.code, self.plan.cone);
            let rests_on = self.limit(SettingKey::CordieriteCone);
            self.look(CheckKind::Heat, at, vec![piece], said, "take posts of a hotter material", rests_on);
        }
        let rests_on = "the nominal height is not its height (common practice)";
        match post.last_reading() {
            None => {
                let said = format!("{} was never measured: its nominal height is taken", post.code);
                self.unknown(CheckKind::NotMeasured, at, vec![piece], said, "measure it", rests_on);
            }
            Some(last) if last.stale => {
                let said = format!("{} was dressed since it was measured", post.code);
                self.unknown(CheckKind::NotMeasured, at, vec![piece], said, "measure it", rests_on);
            }
            Some(_) => self.pass(CheckKind::NotMeasured),
        }
    }

    fn standing(&mut self, piece: Piece, retired: Option<&Retired>, hold: Option<&Hold>, at: At<'_>) {
        let code = self.world.code_of(piece);
        match retired {
            Some(retired) => {
                let said = format!(
                    "{code} was retired on {}: {}",
                    text::day(retired.stamp.at),
                    retired.reason.said()
                );
                self.stop(CheckKind::Retired, at, vec![piece], said, "take another", "as recorded");
            }
            None => self.pass(CheckKind::Retired),
        }
        match hold {
            Some(hold) => {
                let said =
                    format!("{code} is on hold since {}: {}", text::day(hold.since.at), hold.reason.said());
                let (fix, rests_on) = if hold.reason == HoldReason::Wet {
                    (
                        "take another, or dry it by the supplier\u{2019}s sheet and log it dry",
                        "wet silicon carbide bursts (common practice)",
                    )
                } else {
                    ("see to it and release it, or take another", "as recorded")
                };
                self.stop(CheckKind::Hold, at, vec![piece], said, fix, rests_on);
            }
            None => self.pass(CheckKind::Hold),
        }
    }

    fn whose(&mut self, piece: Piece, kiln: crate::ids::KilnId, at: At<'_>) {
        if kiln == self.plan.kiln {
            return self.pass(CheckKind::OtherKiln);
        }
        let other = self.world.kilns.get(&kiln).map_or("another kiln", |kiln| kiln.name.as_str());
        let said = format!("{} is in the racks of {other}", self.world.code_of(piece));
        self.unknown(
            CheckKind::OtherKiln,
            at,
            vec![piece],
            said,
            "bring it, and log the move",
            "as recorded",
        );
    }

    /// Silicon carbide in an electric kiln, and the hottest that a material stands.
    fn heat(&mut self, piece: Piece, material: Material, at: At<'_>) {
        let code = self.world.code_of(piece);
        let electric = self.kiln.is_some_and(|kiln| kiln.fuel == Fuel::Electric);
        if electric && material.is_silicon_carbide() {
            let said = format!("{code} is silicon carbide, which conducts, in an electric kiln");
            let fix = "power off and locked while loading, nothing loose near an element; follow the kiln maker and local rules, or take another material";
            self.look(
                CheckKind::Electric,
                at,
                vec![piece],
                said,
                fix,
                "silicon carbide conducts electricity",
            );
        } else {
            self.pass(CheckKind::Electric);
        }
        if let Some(why) = too_soft(material, self.plan.cone) {
            let said = format!("{code}: {why}");
            let rests_on = "common practice; the cone from memory, unchecked";
            self.stop(CheckKind::Heat, at, vec![piece], said, "take another material", rests_on);
        }
    }
}
