//! A shelf's face against what it is to carry: read since it was ground, flat enough, cracked.
//!
//! What this does not do: bend it; `stability` says that.
use super::{At, Case, Said, of_shelf};
use crate::event::values::{Ring, Use, Ware};
use crate::geometry::crack;
use crate::judge::shelf::cracks::{CrackClass, class, facing, nearest_post, tip};
use crate::judge::shelf::fitness::Grade;
use crate::judge::shelf::{surface, verdicts};
use crate::judge::stack::CheckKind;
use crate::judge::stack::lay::{LaidShelf, LaidStack, spot};
use crate::settings::SettingKey;
use crate::units::Length;
use crate::view::Shape;
use crate::view::text;
use crate::world::Shelf;

impl Case<'_> {
    pub(super) fn read_since(&mut self, laid: &LaidShelf<'_>, at: At<'_>) {
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
    pub(super) fn flat_enough(&mut self, laid: &LaidShelf<'_>, at: At<'_>) {
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

    pub(super) fn cracks(&mut self, stack: &LaidStack<'_>, laid: &LaidShelf<'_>, at: At<'_>) {
        let (shelf, settings) = (laid.shelf, &self.world.settings);
        if let Some((Ring::Dull, _)) = shelf.ring {
            let said = format!("{} sounds dull", shelf.code);
            let fix = |other: Option<&str>| {
                format!("{}: dull is cracked or wet; look, dry, tap again", other.unwrap_or("take another"))
            };
            let rests_on = "common practice, no source";
            self.crack_line(Shape::Stop, (laid, at), said, (self.one_from_the_racks(laid), fix), rests_on);
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
                let fix = |other: Option<&str>| {
                    format!("{}; cut this one down or retire it", other.unwrap_or("take another"))
                };
                let rests_on = self.limit(SettingKey::CrackBisque);
                self.crack_line(
                    Shape::Stop,
                    (laid, at),
                    said,
                    (self.one_from_the_racks(laid), fix),
                    rests_on,
                );
                continue;
            }
            let said = format!("crack {long}, {across} across");
            self.one_crack(stack, laid, at, &said, class(settings, &size));
            let (_, end) = tip(&shelf.outline, one);
            let near = settings.length(SettingKey::CrackPost);
            if let Some(away) = nearest_post(&posts, end).filter(|away| *away > near) {
                let away = self.mm(away.mm());
                let said =
                    format!("{}: crack {long}, no post by its end: the nearest is {away} away", shelf.code);
                let fix = |other: Option<&str>| {
                    format!("set a post by its end, turn the shelf, or {}", other.unwrap_or("swap it"))
                };
                let rests_on = self.limit(SettingKey::CrackPost);
                self.crack_line(
                    Shape::Look,
                    (laid, at),
                    said,
                    (self.one_from_the_racks(laid), fix),
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
        let or = |general: &'static str| move |other: Option<&str>| other.unwrap_or(general).to_owned();
        if class == CrackClass::BisqueOnly && self.plan.ware == Ware::Glaze {
            let said = format!("{code}: {said}: for bisque only, and this is a glaze firing");
            let rests_on = self.limit(SettingKey::CrackWatch);
            let fix = (self.one_from_the_racks(laid), or("swap it with a sound one"));
            return self.crack_line(Shape::Stop, (laid, at), said, fix, rests_on);
        }
        if laid.layer == 0 && stack.n_layers > 1 {
            let said = format!("{code}: {said}, on the bottom layer under everything");
            let fix = (self.one_from_above(stack, laid), or("swap it with a sound one from above"));
            return self.crack_line(Shape::Stop, (laid, at), said, fix, rests_on);
        }
        if laid.layer * 2 < stack.n_layers && stack.n_layers > 1 {
            let said = format!("{code}: {said}, in the lower half of the stack");
            let fix = (self.one_from_above(stack, laid), or("move it to the upper half"));
            return self.crack_line(Shape::Look, (laid, at), said, fix, rests_on);
        }
        let said = format!("{code}: {said}, watched");
        let rests_on = self.limit(SettingKey::CrackWatch);
        let fix = "light ware on it; tap it before it goes in";
        self.look(CheckKind::Crack, at, of_shelf(laid), said, fix, rests_on);
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

/// How far a shelf hangs down in its middle, by its reading; nothing where none holds.
pub(super) fn sag(world: &crate::world::World, shelf: &Shelf) -> Length {
    let reading = surface::current(shelf).filter(|reading| !reading.stale);
    let view = reading.map(|reading| surface::read(&world.settings, shelf, reading));
    view.map_or(Length::ZERO, |view| surface::sag(shelf, &view))
}
