//! Cracks: how far across, whether two face each other, whether a post stands by the end.
use super::Case;
use crate::event::values::{Ring, Use};
use crate::geometry::crack::{self, CrackSize};
use crate::jobs::Job;
use crate::judge::{Finding, finding::limit_said};
use crate::outline::{Outline, Spot};
use crate::settings::{SettingKey, Settings};
use crate::units::Length;
use crate::view::Shape;
use crate::view::text::{self, length_by_eye};
use crate::world::{Crack, Shelf, World};

/// The trade's classes of a crack.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum CrackClass {
    /// Under a quarter across: watch it.
    Watch,
    /// A quarter to a half: bisque only.
    BisqueOnly,
    /// Over half: cut down or retire.
    CutDown,
}

/// The class of a crack by how far across it goes.
#[must_use]
pub fn class(settings: &Settings, size: &CrackSize) -> CrackClass {
    if size.across < settings.ratio(SettingKey::CrackWatch) {
        CrackClass::Watch
    } else if size.across <= settings.ratio(SettingKey::CrackBisque) {
        CrackClass::BisqueOnly
    } else {
        CrackClass::CutDown
    }
}

/// Where posts stand under this shelf: as its own set has them, else three at the default inset.
#[must_use]
pub fn post_spots(world: &World, shelf: &Shelf) -> Vec<Spot> {
    let own = world.sets_together().find(|set| set.shelf == Some(shelf.id));
    match own {
        Some(set) => shelf.outline.post_spots(set.posts.len(), set.inset),
        None => shelf.outline.post_spots(3, world.settings.length(SettingKey::Inset)),
    }
}

/// A crack's inner end: the one farther from the edge.
#[must_use]
pub fn tip(outline: &Outline, crack: &Crack) -> (Spot, Spot) {
    let depth = |spot: Spot| crack::measure(outline, spot, spot).depth;
    if depth(crack.from) > depth(crack.to) { (crack.to, crack.from) } else { (crack.from, crack.to) }
}

/// How far the nearest of some posts stands from a spot.
#[must_use]
pub fn nearest_post(posts: &[Spot], spot: Spot) -> Option<Length> {
    posts.iter().map(|post| distance(*post, spot)).min_by(f64::total_cmp).map(Length::from_mm)
}

/// Whether two cracks run towards each other: the directions from edge to inner end are within 45 degrees of
/// opposite, and each inner end lies ahead of the other, within 45 degrees of its direction.
///
/// House choice: the trade says only "facing each other".
#[must_use]
pub fn facing(outline: &Outline, one: &Crack, other: &Crack) -> bool {
    let (ends, others) = (tip(outline, one), tip(outline, other));
    let (Some(way), Some(back)) = (direction(ends.0, ends.1), direction(others.0, others.1)) else {
        return false;
    };
    // Where the two ends have met there is nothing between them to point along.
    let between = direction(ends.1, others.1).unwrap_or(way);
    let cos_45 = core::f64::consts::FRAC_1_SQRT_2;
    dot(way, back) <= -cos_45 && dot(way, between) >= cos_45 && dot(back, between) <= -cos_45
}

fn distance(a: Spot, b: Spot) -> f64 {
    let (dx, dy) = (b.x_nm.mm() - a.x_nm.mm(), b.y_nm.mm() - a.y_nm.mm());
    (dx * dx + dy * dy).sqrt()
}

fn direction(from: Spot, to: Spot) -> Option<(f64, f64)> {
    let length = distance(from, to);
    let unit = |from: Length, to: Length| (to.mm() - from.mm()) / length;
    (length > 0.0).then(|| (unit(from.x_nm, to.x_nm), unit(from.y_nm, to.y_nm)))
}

fn dot(a: (f64, f64), b: (f64, f64)) -> f64 {
    a.0 * b.0 + a.1 * b.1
}

impl Case<'_> {
    pub(super) fn cracks(&mut self) {
        let shelf = self.shelf;
        let posts = post_spots(self.world, shelf);
        for crack in shelf.cracks.values() {
            self.crack(crack, &posts);
        }
        let cracks: Vec<&Crack> = shelf.cracks.values().collect();
        let facing = cracks
            .iter()
            .enumerate()
            .any(|(idx, one)| cracks.iter().skip(idx + 1).any(|other| facing(&shelf.outline, one, other)));
        if facing {
            let finding = Finding::new(
                Shape::Stop,
                "two cracks face each other",
                "cut it down or retire it",
                "common practice, no source; facing: within 45 degrees, a house choice",
            );
            self.limit(Use::NoUse, "cut down", finding.calls_for(Job::CutDown));
        }
    }

    fn crack(&mut self, crack: &Crack, posts: &[Spot]) {
        let settings = &self.world.settings;
        let size = crack::measure(&self.shelf.outline, crack.from, crack.to);
        let what = format!(
            "crack {}, {} of the way across",
            length_by_eye(size.length, self.unit),
            text::percent(size.across)
        );
        let limit = |key| limit_said(settings, key, self.unit);
        let (leaves, word, finding) = match class(settings, &size) {
            CrackClass::Watch => {
                let tap = if crack.ring == Ring::NotTapped { "tap it; " } else { "" };
                let fix =
                    format!("{tap}watch it, keep it in the upper half of the stack with a post near it");
                let finding = Finding::new(Shape::Look, what, fix, limit(SettingKey::CrackWatch));
                let finding =
                    if crack.ring == Ring::NotTapped { finding.calls_for(Job::Tap) } else { finding };
                (Use::Flatware, "look", finding)
            }
            CrackClass::BisqueOnly => {
                let fix = "bisque only, never on the bottom layer, nothing heavy over it";
                (
                    Use::Bisque,
                    "bisque only",
                    Finding::new(Shape::Look, what, fix, limit(SettingKey::CrackBisque)),
                )
            }
            CrackClass::CutDown => {
                let fix = "cut it down or retire it";
                let finding = Finding::new(Shape::Stop, what, fix, limit(SettingKey::CrackBisque));
                (Use::NoUse, "cut down", finding.calls_for(Job::CutDown))
            }
        };
        self.limit(leaves, word, finding);
        self.post_by_crack(crack, size, posts);
    }

    fn post_by_crack(&mut self, crack: &Crack, size: CrackSize, posts: &[Spot]) {
        let settings = &self.world.settings;
        let (_, end) = tip(&self.shelf.outline, crack);
        let Some(nearest) = nearest_post(posts, end) else { return };
        if nearest <= settings.length(SettingKey::CrackPost) {
            return;
        }
        let said = format!(
            "crack {}, no post by it: the nearest stands {} from its end",
            length_by_eye(size.length, self.unit),
            length_by_eye(nearest, self.unit)
        );
        let fix = "put a post by its end, or swap the shelf for a sound one";
        let rests_on = limit_said(settings, SettingKey::CrackPost, self.unit);
        self.add(Some("look"), Finding::new(Shape::Look, said, fix, rests_on));
    }

    /// The last tap test. A wet shelf sounds dull as well.
    pub(super) fn ring(&mut self) {
        let Some((Ring::Dull, stamp)) = self.shelf.ring else { return };
        let said = format!("sounded dull on {}", super::past::day(stamp.at));
        let rests_on = "common practice, no source: a dull ring is a crack, or water";
        if self.is_wet() {
            let fix = "dry it out and tap it again: a wet shelf sounds dull as well";
            self.add(Some("hold"), Finding::new(Shape::Stop, said, fix, rests_on).calls_for(Job::Tap));
        } else {
            let fix = "if it may be wet, dry it out and tap it again; otherwise cut it down or retire it";
            let finding = Finding::new(Shape::Stop, said, fix, rests_on).calls_for(Job::Tap);
            self.limit(Use::NoUse, "dull", finding);
        }
    }
}
