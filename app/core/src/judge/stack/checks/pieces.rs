//! What was chosen: whether it is there, on hold, retired, cracked, flat, and fit for the heat.
use super::{At, Case, Said, of_shelf};
use crate::event::values::{Fuel, HoldReason, Material, Piece, Ring, Use, Ware};
use crate::geometry::crack;
use crate::judge::shelf::cracks::{CrackClass, class, facing, nearest_post, tip};
use crate::judge::shelf::fitness::Grade;
use crate::judge::shelf::{care, surface, verdicts};
use crate::judge::stack::CheckKind;
use crate::judge::stack::lay::{LaidShelf, LaidStack, spot};
use crate::settings::SettingKey;
use crate::units::Length;
use crate::view::Shape;
use crate::view::text;
use crate::world::{Hold, Post, Retired, Shelf};
use std::collections::BTreeMap;

/// Silicon-infiltrated silicon carbide is good to about 1350 °C, which is near cone 13.
///
/// # Source   common practice; the cone from memory, unchecked.
const INFILTRATED_TO: i8 = 12;

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

    pub(super) fn stop(
        &mut self,
        check: CheckKind,
        at: At<'_>,
        pieces: Vec<Piece>,
        said: String,
        fix: &str,
        rests_on: impl Into<String>,
    ) {
        let (fix, rests_on) = (fix.to_owned(), rests_on.into());
        self.line(check, at, Said { shape: Shape::Stop, pieces, said, fix, rests_on });
    }

    pub(super) fn look(
        &mut self,
        check: CheckKind,
        at: At<'_>,
        pieces: Vec<Piece>,
        said: String,
        fix: &str,
        rests_on: impl Into<String>,
    ) {
        let (fix, rests_on) = (fix.to_owned(), rests_on.into());
        self.line(check, at, Said { shape: Shape::Look, pieces, said, fix, rests_on });
    }

    pub(super) fn unknown(
        &mut self,
        check: CheckKind,
        at: At<'_>,
        pieces: Vec<Piece>,
        said: String,
        fix: &str,
        rests_on: impl Into<String>,
    ) {
        let (fix, rests_on) = (fix.to_owned(), rests_on.into());
        self.line(check, at, Said { shape: Shape::Unknown, pieces, said, fix, rests_on });
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
        if material == Material::InfiltratedSic && self.plan.cone.rank() > INFILTRATED_TO {
            let said =
                format!("{code} is good to about 1350 \u{b0}C, and the plan goes to cone {}", self.plan.cone);
            let rests_on = "about 1350 \u{b0}C (common practice); the cone from memory, unchecked";
            self.stop(CheckKind::Heat, at, vec![piece], said, "take another material", rests_on);
        }
    }

    fn read_since(&mut self, laid: &LaidShelf<'_>, at: At<'_>) {
        let shelf = laid.shelf;
        let said = match surface::current(shelf) {
            Some(reading) if !reading.stale => return self.pass(CheckKind::NotMeasured),
            Some(_) => format!("{} was ground since its flatness was read", shelf.code),
            None if shelf.graded.is_some() => return self.pass(CheckKind::NotMeasured),
            None => format!("{} was never read and not graded", shelf.code),
        };
        let fix = "read both diagonals and the long middle line";
        self.unknown(CheckKind::NotMeasured, at, of_shelf(laid), said, fix, "as recorded");
    }

    /// Flatness, or the grade by eye, against what stands on it.
    fn flat_enough(&mut self, laid: &LaidShelf<'_>, at: At<'_>) {
        let Some(wanted) = wanted_use(laid, self.plan.ware) else { return };
        let shelf = laid.shelf;
        let reading = surface::current(shelf).filter(|reading| !reading.stale);
        let Some(reading) = reading else {
            let Some(graded) = shelf.graded else { return };
            if graded <= wanted {
                return self.pass(CheckKind::Flatness);
            }
            let said =
                format!("{}: by eye fit for {}, planned for {}", shelf.code, graded.said(), wanted.said());
            let shape = if graded == Use::NoUse { Shape::Stop } else { Shape::Look };
            let fix = "read it, or swap it for a flatter one".to_owned();
            let rests_on = "graded by eye, no reading".to_owned();
            return self.line(
                CheckKind::Flatness,
                at,
                Said { shape, pieces: of_shelf(laid), said, fix, rests_on },
            );
        };
        let view = surface::read(&self.world.settings, shelf, reading);
        let Some(verdict) = verdicts(self.world, shelf, &view).into_iter().find(|one| one.fit_for == wanted)
        else {
            return;
        };
        let flat = view.said(self.unit);
        let said = format!("{}: {flat}, planned for {}", shelf.code, wanted.said());
        let rests_on = format!(
            "not over {} on this span ({})",
            self.length(verdict.limit),
            crate::judge::shelf::fitness::keys(wanted)
                .map_or("", |(_, limit)| limit.about().provenance.said())
        );
        match verdict.grade {
            Grade::Good | Grade::Watch => self.pass(CheckKind::Flatness),
            Grade::Undecided => {
                self.unknown(CheckKind::Flatness, at, of_shelf(laid), said, view.again(), rests_on);
            }
            Grade::Not => {
                let fix = "swap it for a flatter one, or load less demanding ware on it";
                self.look(CheckKind::Flatness, at, of_shelf(laid), said, fix, rests_on);
            }
        }
    }

    fn cracks(&mut self, stack: &LaidStack<'_>, laid: &LaidShelf<'_>, at: At<'_>) {
        let (shelf, settings) = (laid.shelf, &self.world.settings);
        if let Some((Ring::Dull, _)) = shelf.ring {
            let said = format!("{} sounds dull", shelf.code);
            let fix = "take another: dull is cracked or wet; look, dry, tap again";
            self.stop(CheckKind::Crack, at, of_shelf(laid), said, fix, "common practice, no source");
        }
        if shelf.cracks.is_empty() {
            return self.pass(CheckKind::Crack);
        }
        // Where the posts below and the posts that stand on it are, on its own outline.
        let below = laid.supports.iter().map(|idx| stack.supports[*idx].at);
        let posts: Vec<_> = below.map(|place| spot(laid.inward(place))).collect();
        let all: Vec<_> = shelf.cracks.values().collect();
        for (n, one) in all.iter().enumerate() {
            let size = crack::measure(&shelf.outline, one.from, one.to);
            let long = text::length_by_eye(size.length, self.unit);
            let across = text::percent(size.across);
            let opposite = all.iter().skip(n + 1).any(|other| facing(&shelf.outline, one, other));
            if class(settings, &size) == CrackClass::CutDown || opposite {
                let why = if opposite { "two cracks face each other" } else { "more than half across" };
                let said = format!("{}: crack {long}, {across} across: {why}", shelf.code);
                let rests_on = self.limit(SettingKey::CrackBisque);
                self.stop(
                    CheckKind::Crack,
                    at,
                    of_shelf(laid),
                    said,
                    "take another; cut this one down or retire it",
                    rests_on,
                );
                continue;
            }
            self.one_crack(
                stack,
                laid,
                at,
                &format!("crack {long}, {across} across"),
                class(settings, &size),
            );
            let (_, end) = tip(&shelf.outline, one);
            let near = settings.length(SettingKey::CrackPost);
            if let Some(away) = nearest_post(&posts, end).filter(|away| *away > near) {
                let said = format!(
                    "{}: crack {long}, no post by its end: the nearest is {} away",
                    shelf.code,
                    self.mm(away.mm())
                );
                let rests_on = self.limit(SettingKey::CrackPost);
                self.look(
                    CheckKind::Crack,
                    at,
                    of_shelf(laid),
                    said,
                    "set a post by its end, turn the shelf, or swap it",
                    rests_on,
                );
            }
        }
    }

    fn one_crack(
        &mut self,
        stack: &LaidStack<'_>,
        laid: &LaidShelf<'_>,
        at: At<'_>,
        said: &str,
        class: CrackClass,
    ) {
        let code = &laid.shelf.code;
        let rests_on = "cracked shelves in the upper half (common practice, no source)";
        let bisque_only = class == CrackClass::BisqueOnly;
        if bisque_only && self.plan.ware == Ware::Glaze {
            let said = format!("{code}: {said}: for bisque only, and this is a glaze firing");
            let rests_on = self.limit(SettingKey::CrackWatch);
            return self.stop(
                CheckKind::Crack,
                at,
                of_shelf(laid),
                said,
                "swap it with a sound one",
                rests_on,
            );
        }
        if laid.layer == 0 && stack.n_layers > 1 {
            let said = format!("{code}: {said}, on the bottom layer under everything");
            return self.stop(
                CheckKind::Crack,
                at,
                of_shelf(laid),
                said,
                "swap it with a sound one from above",
                rests_on,
            );
        }
        if laid.layer * 2 < stack.n_layers && stack.n_layers > 1 {
            let said = format!("{code}: {said}, in the lower half of the stack");
            return self.look(
                CheckKind::Crack,
                at,
                of_shelf(laid),
                said,
                "move it to the upper half",
                rests_on,
            );
        }
        let said = format!("{code}: {said}, watched");
        let rests_on = self.limit(SettingKey::CrackWatch);
        self.look(
            CheckKind::Crack,
            at,
            of_shelf(laid),
            said,
            "light ware on it; tap it before it goes in",
            rests_on,
        );
    }
}

/// What a shelf is used for: as planned, and at least bisque where anything stands on it in a bisque firing.
fn wanted_use(laid: &LaidShelf<'_>, ware: Ware) -> Option<Use> {
    let planned = laid.planned.ware.used_for.filter(|one| *one != Use::NoUse);
    planned.or_else(|| {
        let plain = if ware == Ware::Bisque { Use::Bisque } else { Use::General };
        laid.has_ware().then_some(plain)
    })
}

/// How far a shelf hangs down in its middle, by its reading: a dish on the face that is up.
pub(super) fn sag(world: &crate::world::World, shelf: &Shelf) -> Length {
    let Some(reading) = surface::current(shelf).filter(|reading| !reading.stale) else { return Length::ZERO };
    let view = surface::read(&world.settings, shelf, reading);
    let bow = view.bow.unwrap_or_default();
    // A hump on the other face is a dish on this one.
    let own = if view.face == shelf.up { bow } else { Length(-bow.0) };
    Length((-own.0).max(0))
}
