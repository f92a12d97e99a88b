//! What is due at the bench: wash, a new reading, a tap test; thickness lost; the wrong kiln for cordierite.
//!
//! What this does not do: count days. Wear comes with firings.
use super::{Case, FlatnessView};
use crate::cone_name::ConeName;
use crate::event::values::{HoldReason, Material};
use crate::jobs::{self, Job};
use crate::judge::{Finding, finding::limit_said};
use crate::settings::SettingKey;
use crate::view::Shape;
use crate::view::history::unit_of;
use crate::view::text::{self, count};
use crate::world::{Shelf, World};

/// Firings at which a new shelf is tapped.
///
/// # Source   common practice, no single source.
const TAP_AT: [u32; 4] = [1, 3, 5, 10];
/// House choice: a tap test missed is asked for until half as many firings again as the last one; then the
/// shelf is no longer new.
const NEW_UNTIL: u32 = 15;

/// A sag from here is turned over.
///
/// # Source   common practice, no single source. The other half of the rule, every 5 to 10 firings, is not asked
/// for: it would be a job on every bare shelf.
const TURN_FROM_MM: f64 = 1.0;

/// What ends a hold, and on what that rests.
#[must_use]
pub(super) const fn release_of(reason: HoldReason, material: Material) -> (&'static str, &'static str) {
    match (reason, material) {
        (HoldReason::Wet, Material::DenseThinSic) => (
            "dry it by the supplier\u{2019}s sheet, at least 24 h at about 95 \u{b0}C, then log it dry; never on the tool\u{2019}s word alone",
            "common practice: dense thin silicon carbide bursts if wet; the supplier\u{2019}s sheet and local rules decide",
        ),
        (HoldReason::Wet, _) => (
            "dry it out, then log it dry; a mass 5 g over its dry mass is still wet",
            "calculated: 1 % pores in 4 kg hold about 15 g; the supplier\u{2019}s sheet and local rules decide",
        ),
        (HoldReason::Crack, _) => ("look, tap, draw the crack; then release or retire it", ""),
        (HoldReason::Drip, _) => ("scrape, chisel, grind; then release it", ""),
        (HoldReason::Bench, _) => ("finish it at the bench, then release it", ""),
        (HoldReason::Other, _) => ("see to it, then release it", ""),
    }
}

/// What is left of the stiffness when this share of the thickness is gone: the cube of what is left.
///
/// # Source   a plate's stiffness is E t³ / 12 (1 − ν²); 10 % off leaves 0.9³ = 73 %.
#[must_use]
pub fn stiffness_left(share_lost: f64) -> f64 {
    let left = (1.0 - share_lost).clamp(0.0, 1.0);
    left * left * left
}

/// The warning on cordierite in a kiln that goes to `cone`. It holds at every firing of such a kiln, so it is
/// no finding of [`super::judge`] and no mark on every shelf of the rack; a card and a firing say it.
#[must_use]
pub fn cordierite_at(world: &World, shelf: &Shelf, cone: ConeName) -> Option<Finding> {
    let hottest = world.settings.get(SettingKey::CordieriteCone);
    if shelf.material != Material::Cordierite || i64::from(cone.rank()) <= hottest {
        return None;
    }
    let said = format!("cordierite at cone {cone}");
    let fix = "read it often, or keep it for a cooler kiln";
    let rests_on = limit_said(&world.settings, SettingKey::CordieriteCone, unit_of(world));
    Some(Finding::new(Shape::Look, said, fix, rests_on))
}

impl Case<'_> {
    pub(super) fn care(&mut self, view: Option<&FlatnessView>) {
        self.thickness();
        self.turn(view);
        self.wash();
        self.reading_due();
        self.tap_due();
    }

    fn thickness(&mut self) {
        let (new, off) = (self.shelf.thickness, self.shelf.ground_off);
        if new.0 <= 0 || off.0 <= 0 {
            return;
        }
        let lost = off.mm() / new.mm();
        if lost >= 1.0 {
            let said = format!(
                "more ground off on record than it was thick: {} of {}",
                self.length(off),
                self.length(new)
            );
            let fix = "correct the entry that is wrong";
            return self.add(Some("look"), Finding::new(Shape::Look, said, fix, ""));
        }
        let left = text::percent(stiffness_left(lost));
        let said = format!(
            "{} ground off, {} of its thickness: {left} of the stiffness left",
            self.length(off),
            text::percent(lost)
        );
        let rests_on = limit_said(&self.world.settings, SettingKey::ThinShare, self.unit);
        if lost >= self.world.settings.ratio(SettingKey::ThinShare) {
            let fix = "light ware and the upper half of the stack; read its flatness more often";
            self.add(Some("thin"), Finding::new(Shape::Look, said, fix, rests_on));
        } else {
            self.add(None, Finding::new(Shape::Plain, said, "", rests_on));
        }
    }

    fn wash(&mut self) {
        let (up, down) = (self.shelf.up, self.shelf.up.other());
        if self.shelf.washes.contains_key(&down) {
            let said = format!("wash on {}, which is down", down.said());
            let fix = "strip it: wash on the underside falls on the ware below";
            let finding = Finding::new(Shape::Look, said, fix, "common practice, no source");
            self.add(Some("strip"), finding.calls_for(Job::Underside));
        }
        match self.shelf.washes.get(&up) {
            Some(wash) => {
                let age = self.shelf.firings().saturating_sub(wash.firings_then);
                let key = self.recoat_key();
                if i64::from(age) >= self.world.settings.get(key) {
                    let said = format!(
                        "wash on {} is {} old",
                        up.said(),
                        count(u64::from(age), "firing", "firings")
                    );
                    let rests_on = limit_said(&self.world.settings, key, self.unit);
                    let finding = Finding::new(Shape::Look, said, "look for flakes, recoat", rests_on);
                    self.add(Some("wash"), finding.calls_for(Job::Wash));
                }
            }
            None if self.past.lost_wash.contains(&up) => {
                let said = format!("{} is bare since it was ground", up.said());
                let is_read =
                    self.shelf.readings.iter().any(|reading| !reading.stale && reading.measured.face == up);
                let fix =
                    if is_read { "wash it" } else { "read its flatness while it is bare, then wash it" };
                let job = if is_read { Job::Wash } else { Job::Read };
                let finding = Finding::new(Shape::Look, said, fix, "it bore wash before");
                self.add(Some("wash"), finding.calls_for(job));
            }
            None => {}
        }
    }

    /// A sag that turning over would let come back. It is said without a mark: it bars no load.
    fn turn(&mut self, view: Option<&FlatnessView>) {
        let Some(view) = view.filter(|view| !view.stale && view.bare && !view.only_at_most()) else { return };
        let Some(bow) = view.bow else { return };
        // A hump on the face that is down is a dish on the one that is up.
        let up_mm = if view.face == self.shelf.up { bow.mm() } else { -bow.mm() };
        if -up_mm < TURN_FROM_MM || !jobs::may_turn(self.world, self.shelf) {
            return;
        }
        let said =
            format!("sags {} on {}, which is up and bare", self.length(bow.abs()), self.shelf.up.said());
        let rests_on = "cordierite at cone 8 to 10 past 1 mm of sag (common practice, no source)";
        let finding = Finding::new(Shape::Plain, said, "turn it over", rests_on).calls_for(Job::Flip);
        self.add(None, finding);
    }

    fn recoat_key(&self) -> SettingKey {
        let high = self.world.kilns.get(&self.shelf.kiln).is_some_and(|kiln| kiln.usual_cone.rank() > 6);
        if high { SettingKey::RecoatHigh } else { SettingKey::RecoatMid }
    }

    fn reading_due(&mut self) {
        let (since, what) = match self.shelf.last_reading() {
            Some(reading) => (self.shelf.firings().saturating_sub(reading.firings_then), "not read for"),
            None => (self.shelf.firings_logged, "never read in"),
        };
        if i64::from(since) < self.world.settings.get(SettingKey::RemeasureShelf) {
            return;
        }
        let said = format!("{what} {}", count(u64::from(since), "firing", "firings"));
        let rests_on = limit_said(&self.world.settings, SettingKey::RemeasureShelf, self.unit);
        let fix = "read both diagonals and the long middle line";
        let finding = Finding::new(Shape::Look, said, fix, rests_on).calls_for(Job::Read);
        self.add(Some("read again"), finding);
    }

    fn tap_due(&mut self) {
        let fired = self.shelf.firings_logged;
        if self.shelf.firings_before > 0 || fired >= NEW_UNTIL {
            return;
        }
        let Some(due) = TAP_AT.iter().rev().find(|at| **at <= fired) else { return };
        if self.past.tapped_at.is_some_and(|at| at >= *due) {
            return;
        }
        let said =
            format!("new, {}: not tapped since firing {due}", count(u64::from(fired), "firing", "firings"));
        let rests_on = "tap new shelves at firings 1, 3, 5 and 10 (common practice, no source)";
        let finding = Finding::new(Shape::Look, said, "tap it and listen", rests_on);
        self.add(Some("tap"), finding.calls_for(Job::Tap));
    }
}
