//! A reading beside the ones before it, and one face beside the other.
//!
//! What this does not do: draw a line through them and foretell; [`crate::trend`] does.
use super::{Case, FlatnessView, surface};
use crate::jobs::Job;
use crate::judge::{Finding, decision};
use crate::settings::{SettingKey, Settings};
use crate::units::Length;
use crate::view::Shape;
use crate::view::text::count;
use crate::world::Shelf;

/// Every reading of a shelf worked out, the newest first, `most` of them at most.
#[must_use]
pub fn readings(settings: &Settings, shelf: &Shelf, most: usize) -> Vec<FlatnessView> {
    shelf.readings.iter().rev().take(most).map(|reading| surface::read(settings, shelf, reading)).collect()
}

/// The newest fresh, bare reading of the whole of each face, where both were read within
/// [`SettingKey::RemeasureShelf`] firings of each other.
#[must_use]
pub fn both_faces(settings: &Settings, shelf: &Shelf) -> Option<(FlatnessView, FlatnessView)> {
    let newest = |face| {
        let fresh = |reading: &&crate::world::ShelfReading| {
            let measured = &reading.measured;
            !reading.stale && measured.bare && measured.face == face
        };
        shelf.readings.iter().rev().find(fresh).map(|reading| surface::read(settings, shelf, reading))
    };
    let up = newest(shelf.up)?;
    let down = newest(shelf.up.other())?;
    let apart = up.firings_then.abs_diff(down.firings_then);
    (i64::from(apart) < settings.get(SettingKey::RemeasureShelf)).then_some((up, down))
}

/// How far two faces are from mirroring each other, where that shows through the uncertainty of both.
///
/// A dish on one is a hump on the other, so their bows add to nothing on a shelf that only warped.
/// # Source   the two-sided 95 % band of the sum of two bows, each with its own uncertainty.
#[must_use]
pub fn disagreement(one: &FlatnessView, other: &FlatnessView) -> Option<Length> {
    if one.only_at_most() || other.only_at_most() {
        return None;
    }
    let sum = one.bow? + other.bow?;
    let (u, v) = (one.u.mm(), other.u.mm());
    (sum.mm().abs() > decision::SPREAD_95 * (u * u + v * v).sqrt()).then(|| sum.abs())
}

impl Case<'_> {
    pub(super) fn compare(&mut self, view: Option<&FlatnessView>) {
        let Some(view) = view else { return };
        if let Some(slip) = &view.slip {
            let said = format!("the readings contradict each other by {}", self.length(slip.residual));
            let fix = match slip.lines.as_slice() {
                [] => "read all lines again: more than one is out".to_owned(),
                [one] => format!("read the line again: {}", one.said()),
                _ => format!("read again, for one of them slipped: {}", slip.said()),
            };
            let rests_on = "over three standard uncertainties of the instrument (house choice)";
            let finding = Finding::new(Shape::Look, said, fix, rests_on).calls_for(Job::Read);
            self.add(Some("read again"), finding);
        }
        if view.stale {
            return;
        }
        if !view.bare {
            let said = format!("{} was read over wash", view.face.said());
            let fix = "read it bare when it is next stripped: lumps of wash spoil a reading";
            self.add(None, Finding::new(Shape::Unknown, said, fix, "common practice, no source"));
        }
        if view.face != self.shelf.up {
            let said = format!("read on {}, which is down: a dish there is a hump here", view.face.said());
            self.add(
                None,
                Finding::new(Shape::Plain, said, "", "the two faces of a warped shelf mirror each other"),
            );
        }
        self.faces();
        self.change(view);
    }

    fn faces(&mut self) {
        let Some((up, down)) = both_faces(&self.world.settings, self.shelf) else { return };
        let Some(apart) = disagreement(&up, &down) else { return };
        let said = format!(
            "the faces do not mirror each other: {}; {}; {} apart",
            up.said(self.unit),
            down.said(self.unit),
            self.length(apart)
        );
        let fix = "it is wash or glaze, not warp: scrape both faces and read them again";
        let finding = Finding::new(Shape::Look, said, fix, "a dish on one face is a hump on the other");
        self.add(Some("look"), finding.calls_for(Job::Read));
    }

    /// How the bow changed since the reading of the same face before.
    fn change(&mut self, view: &FlatnessView) {
        let settings = &self.world.settings;
        let before = self.shelf.readings.iter().rev().skip_while(|r| r.stamp.event != view.event).skip(1);
        let Some(before) = before.clone().find(|r| r.measured.face == view.face) else { return };
        let before = surface::read(settings, self.shelf, before);
        let (Some(now), Some(then)) = (view.bow, before.bow) else { return };
        let (u, v) = (view.u.mm(), before.u.mm());
        let grew = now - then;
        if grew.mm().abs() <= decision::SPREAD_95 * (u * u + v * v).sqrt() {
            return;
        }
        let way = if grew.0 < 0 { "towards a dish" } else { "towards a hump" };
        let firings = view.firings_then.saturating_sub(before.firings_then);
        let ground = if before.stale && !view.stale { ", ground in between" } else { "" };
        let said = format!(
            "moved {} {way} in {}{ground}",
            self.length(grew.abs()),
            count(u64::from(firings), "firing", "firings")
        );
        let rests_on = "more than the uncertainty of both readings";
        self.add(None, Finding::new(Shape::Plain, said, "", rests_on));
    }
}
