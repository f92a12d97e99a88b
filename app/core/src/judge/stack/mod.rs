//! A plan of a load checked, from the floor up: every check of the trade that the record can make, one line each.
//!
//! [`check`] lays the plan out (`lay`: heights, what carries what), works out how it stands (`statics`: planes,
//! lean, centres of mass in every state of loading), and asks each check in `checks`. A line names the piece, the
//! reason, what mends it, the number it rests on and where the limit comes from.
//!
//! Model: rigid shelves and posts, small angles, posts square to what they stand on, the floor level at height
//! 0, posts without mass. Up to three supports the statics are exact; with four or more the share of each is
//! that of springs of one stiffness, and the lines say so. What this does not do: know the floor's level,
//! friction or knocks, creep, or whether anything on record is true.
//!
//! Start reading at [`check_with`]. The page's data are [`StackCheck`]'s.

mod checks;
mod figures;
mod hull;
mod kind;
mod lay;
mod order;
mod plate;
mod statics;
mod together;

pub use figures::{CornerTip, LayerFigures, LoadingStep, ShelfFigures, StackFigures};
pub use kind::CheckKind;
pub use plate::PlateCache;

use crate::event::PlanSaved;
use crate::event::values::Piece;
use crate::view::Shape;
use crate::view::history::unit_of;
use crate::world::{LoadPlan, Overruled, World};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What all the lines come to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LoadVerdict {
    /// No line stands against it.
    Passes,
    /// Something is to be looked at, or is not known.
    LookAt,
    /// Something must not be loaded so.
    DoNotLoad,
}

impl LoadVerdict {
    /// As said: the checks are what passes, nothing more.
    #[must_use]
    pub const fn said(self) -> &'static str {
        match self {
            Self::Passes => "passes these checks",
            Self::LookAt => "look at",
            Self::DoNotLoad => "do not load",
        }
    }

    /// The shape of its mark.
    #[must_use]
    pub const fn shape(self) -> Shape {
        match self {
            Self::Passes => Shape::Plain,
            Self::LookAt => Shape::Look,
            Self::DoNotLoad => Shape::Stop,
        }
    }
}

/// One thing found.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct CheckLine {
    /// What it is about, as a stable name: check, place, layer and pieces; it changes when the pieces do, or when
    /// "look at" turns into "do not load", so that an overruling never covers more than what was seen.
    pub name: String,
    /// Which check.
    pub check: CheckKind,
    /// The stack's place; empty where it is about the whole plan.
    pub place: String,
    /// The layer, from 1 on the floor; 0 where it is about the whole stack or plan.
    pub layer: u32,
    /// How grave.
    pub shape: Shape,
    /// The piece and the reason: "S24: crack 75 mm, no post by it".
    pub said: String,
    /// What mends it.
    pub fix: String,
    /// The number and the limit, and where the limit comes from.
    pub rests_on: String,
    /// The pieces it names.
    pub pieces: Vec<Piece>,
    /// The code of the shelf it is about and of the one that could take its place, where one was found.
    pub exchange: Option<[String; 2]>,
    /// Who overruled it, where someone did.
    pub overruled: Option<Overruled>,
}

impl CheckLine {
    /// Where it is: "left, bottom layer", "left, layer 3"; empty for the whole plan.
    #[must_use]
    pub fn place_said(&self) -> String {
        match (self.place.as_str(), self.layer) {
            ("", _) => String::new(),
            (place, 0) => place.to_owned(),
            (place, 1) => format!("{place}, bottom layer"),
            (place, layer) => format!("{place}, layer {layer}"),
        }
    }

    /// What it counts for: an overruled "do not load" is still to be looked at, an overruled "look at" is not.
    #[must_use]
    pub fn counts_as(&self) -> LoadVerdict {
        let shape = match (self.check.is_note(), self.shape) {
            (true, _) | (_, Shape::Plain) => return LoadVerdict::Passes,
            (_, Shape::Stop | Shape::Gone) => LoadVerdict::DoNotLoad,
            (_, Shape::Look | Shape::Unknown) => LoadVerdict::LookAt,
        };
        match (&self.overruled, shape) {
            (None, shape) => shape,
            (Some(_), LoadVerdict::DoNotLoad) => LoadVerdict::LookAt,
            (Some(_), _) => LoadVerdict::Passes,
        }
    }
}

/// A check that was made and found nothing.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Passed {
    /// Which.
    pub check: CheckKind,
    /// How many times it was made.
    pub times: u32,
}

/// A plan, checked.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct StackCheck {
    /// What it comes to.
    pub verdict: LoadVerdict,
    /// What was found, the whole plan's first, then from the floor up.
    pub lines: Vec<CheckLine>,
    /// The checks that found nothing.
    pub passed: Vec<Passed>,
    /// The numbers of each stack.
    pub stacks: Vec<StackFigures>,
}

/// Checks a plan, solving every plate anew.
#[must_use]
pub fn check(world: &World, plan: &PlanSaved, overruled: &BTreeMap<String, Overruled>) -> StackCheck {
    check_with(world, plan, overruled, &mut PlateCache::default())
}

/// Checks a plan as the record has it.
#[must_use]
pub fn check_plan(world: &World, plan: &LoadPlan, cache: &mut PlateCache) -> StackCheck {
    check_with(world, &plan.as_saved(), &plan.overruled, cache)
}

/// Checks a plan; plates that `cache` knows are not solved again.
///
/// # Input    any plan; one that is not finished says what is missing.
/// # Returns  the verdict, the lines from the floor up, and every stack's figures. Never NaN.
/// # Limits   see the module's model.
#[must_use]
pub fn check_with(
    world: &World,
    plan: &PlanSaved,
    overruled: &BTreeMap<String, Overruled>,
    cache: &mut PlateCache,
) -> StackCheck {
    let stacks: Vec<lay::LaidStack<'_>> = plan.stacks.iter().map(|stack| lay::lay(world, stack)).collect();
    let standing: Vec<statics::Standing> = stacks.iter().map(statics::stand).collect();
    let mut case = checks::Case::new(world, plan, overruled, unit_of(world));
    let bent = plate::bend_all(world, &stacks, &standing, cache);
    let headroom = checks::headrooms(world, plan, &stacks, &standing);
    case.all(&stacks, &standing, &bent, &headroom);
    let (lines, passed) = case.finish();
    let verdict = lines.iter().map(CheckLine::counts_as).max().unwrap_or(LoadVerdict::Passes);
    let stacks = figures::of_all(&stacks, &standing, &bent, &headroom);
    StackCheck { verdict, lines, passed, stacks }
}

#[cfg(test)]
mod held;
