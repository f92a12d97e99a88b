//! The checks, each in one place: what it looks at, its limit, its line.
//!
//! `pieces` and `faces` look at what was chosen, `posts` and `together` at supports, `stability` at slopes, lean and
//! masses, `heights` and `room` at what is over and beside it;
//! `swap` finds who could take a cracked one's place. What this does not do: any of the arithmetic of
//! [`super::statics`].
mod faces;
mod heights;
mod pieces;
mod posts;
mod room;
mod stability;
mod swap;
mod together;

pub(super) use heights::{Headroom, headrooms};

use super::lay::{LaidShelf, LaidStack};
use super::plate::BentShelf;
use super::statics::Standing;
use super::{CheckKind, CheckLine, Passed};
use crate::event::PlanSaved;
use crate::event::values::Piece;
use crate::judge::finding::limit_said;
use crate::settings::SettingKey;
use crate::units::Length;
use crate::view::Shape;
use crate::view::text::{self, LengthUnit};
use crate::world::{Kiln, Overruled, Post, World};
use std::collections::BTreeMap;

/// Where a line belongs.
#[derive(Clone, Copy, Debug)]
pub(super) struct At<'a> {
    /// The stack's place; empty for the whole plan.
    pub place: &'a str,
    /// The layer, from 1; 0 for the whole stack.
    pub layer: u32,
}

impl<'a> At<'a> {
    const PLAN: Self = Self { place: "", layer: 0 };

    fn layer(stack: &LaidStack<'a>, layer: usize) -> Self {
        Self { place: stack.place, layer: u32::try_from(layer + 1).unwrap_or(u32::MAX) }
    }
}

/// A line before it has its name.
pub(super) struct Said {
    pub shape: Shape,
    pub pieces: Vec<Piece>,
    pub said: String,
    pub fix: String,
    pub rests_on: String,
}

impl Said {
    fn new(
        shape: Shape,
        pieces: Vec<Piece>,
        said: String,
        fix: impl Into<String>,
        rests_on: impl Into<String>,
    ) -> Self {
        Self { shape, pieces, said, fix: fix.into(), rests_on: rests_on.into() }
    }
}

/// Collects the lines of one plan.
pub(super) struct Case<'a> {
    pub world: &'a World,
    pub plan: &'a PlanSaved,
    pub kiln: Option<&'a Kiln>,
    overruled: &'a BTreeMap<String, Overruled>,
    unit: LengthUnit,
    lines: Vec<CheckLine>,
    /// How many lines there are of each name.
    named: BTreeMap<String, u32>,
    passed: BTreeMap<CheckKind, u32>,
}

impl<'a> Case<'a> {
    pub fn new(
        world: &'a World,
        plan: &'a PlanSaved,
        overruled: &'a BTreeMap<String, Overruled>,
        unit: LengthUnit,
    ) -> Self {
        let kiln = world.kilns.get(&plan.kiln);
        let (lines, named, passed) = (Vec::new(), BTreeMap::new(), BTreeMap::new());
        Self { world, plan, kiln, overruled, unit, lines, named, passed }
    }

    /// Makes every check.
    pub fn all(
        &mut self,
        stacks: &[LaidStack<'_>],
        standing: &[Standing],
        bent: &[Vec<Option<BentShelf>>],
        headroom: &[Vec<Headroom>],
    ) {
        self.whole_plan(stacks);
        for ((stack, stood), bent) in stacks.iter().zip(standing).zip(bent) {
            self.pieces(stack);
            self.supports(stack, stood);
            self.stability(stack, stood, bent);
        }
        self.room(stacks, standing, headroom);
    }

    /// The lines, the whole plan's first, then from the floor up, and the checks that found nothing.
    pub fn finish(self) -> (Vec<CheckLine>, Vec<Passed>) {
        let mut lines = self.lines;
        let order: BTreeMap<&str, usize> =
            self.plan.stacks.iter().enumerate().map(|(n, stack)| (stack.place.as_str(), n)).collect();
        // Of one layer the gravest first, then in the order of the checks.
        lines.sort_by_key(|line| {
            let stack = order.get(line.place.as_str()).map_or(0, |n| n + 1);
            (line.layer, stack, std::cmp::Reverse(line.shape), line.check)
        });
        let passed =
            self.passed.into_iter().filter(|(check, _)| lines.iter().all(|line| line.check != *check));
        let passed = passed.map(|(check, times)| Passed { check, times }).collect();
        (lines, passed)
    }

    fn pass(&mut self, check: CheckKind) {
        let times = self.passed.entry(check).or_default();
        *times = times.saturating_add(1);
    }

    /// What must not be loaded so.
    fn stop(
        &mut self,
        check: CheckKind,
        at: At<'_>,
        pieces: Vec<Piece>,
        said: String,
        fix: &str,
        rests_on: impl Into<String>,
    ) {
        self.line(check, at, Said::new(Shape::Stop, pieces, said, fix, rests_on));
    }

    /// What is to be looked at.
    fn look(
        &mut self,
        check: CheckKind,
        at: At<'_>,
        pieces: Vec<Piece>,
        said: String,
        fix: &str,
        rests_on: impl Into<String>,
    ) {
        self.line(check, at, Said::new(Shape::Look, pieces, said, fix, rests_on));
    }

    /// What is not known.
    fn unknown(
        &mut self,
        check: CheckKind,
        at: At<'_>,
        pieces: Vec<Piece>,
        said: String,
        fix: &str,
        rests_on: impl Into<String>,
    ) {
        self.line(check, at, Said::new(Shape::Unknown, pieces, said, fix, rests_on));
    }

    /// Adds a line; its name holds check, place, layer, weight and pieces.
    fn line(&mut self, check: CheckKind, at: At<'_>, said: Said) {
        let weight = if said.shape >= Shape::Stop { "stop" } else { "look" };
        let mut ids: Vec<String> = said
            .pieces
            .iter()
            .map(|piece| match piece {
                Piece::Shelf(id) => id.to_string(),
                Piece::Post(id) => id.to_string(),
            })
            .collect();
        ids.sort_unstable();
        let name = format!("{} {} {} {weight} {}", check.key(), at.place, at.layer, ids.join(" "));
        // Without pieces there is nothing after it; a form would trim the space.
        let name = name.trim_end().to_owned();
        let Said { shape, pieces, said, fix, rests_on } = said;
        // A second line about the same pieces has a number of its own.
        let again = self.named.entry(name.clone()).or_default();
        let name = if *again == 0 { name } else { format!("{name} {again}") };
        *again += 1;
        // Numbers may have moved a little since; other words are another matter, and not what was overruled.
        let same = |one: &&Overruled| words(&one.said).ends_with(&words(&said));
        let overruled = self.overruled.get(&name).filter(same).cloned();
        let (place, layer) = (at.place.to_owned(), at.layer);
        self.lines.push(CheckLine {
            name,
            check,
            place,
            layer,
            shape,
            said,
            fix,
            rests_on,
            pieces,
            exchange: None,
            overruled,
        });
    }

    fn limit(&self, key: SettingKey) -> String {
        limit_said(&self.world.settings, key, self.unit)
    }

    fn setting_mm(&self, key: SettingKey) -> f64 {
        self.world.settings.length(key).mm()
    }

    fn length(&self, length: Length) -> String {
        text::length(length, self.unit)
    }

    /// A worked-out length: to the tenth of a millimetre, since more would say more than anyone measured.
    fn mm(&self, mm: f64) -> String {
        self.length(Length::from_mm(libm::round(mm * 10.0) / 10.0))
    }
}

fn of_shelf(shelf: &LaidShelf<'_>) -> Vec<Piece> {
    vec![Piece::Shelf(shelf.shelf.id)]
}

fn of_posts<'a>(posts: impl Iterator<Item = &'a Post>) -> Vec<Piece> {
    posts.map(|post| Piece::Post(post.id)).collect()
}

/// A mass as shown: to the tenth of a kilogram.
fn kg(kg: f64) -> String {
    format!("{} kg", text::fixed(kg, 1))
}

/// A line without its figures.
fn words(said: &str) -> String {
    said.split_whitespace()
        .filter(|word| !word.starts_with(|c: char| c.is_ascii_digit()))
        .collect::<Vec<_>>()
        .join(" ")
}
