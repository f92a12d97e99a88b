//! The order in which a shelf is loaded, and what tips it on the way.
//!
//! The middle and the side with two posts first, free corners last; unloading is the reverse. Ware that is spread
//! evenly is taken as nine even parts, one for each third of the length and the width.
use super::figures::{CornerTip, LoadingStep};
use super::hull::Plan;
use super::lay::{LaidShelf, LaidStack, plan, spot};
use super::statics::{Standing, Stood};
use crate::outline::Outline;

/// One thing set down.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct SetDown {
    /// Where, in words.
    pub place: String,
    /// Where.
    pub at: Plan,
    /// Its mass.
    pub kg: f64,
    /// How high its centre is above the shelf.
    pub centre_mm: f64,
}

/// One step of loading a shelf.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Step {
    /// Where, in words.
    pub place: String,
    /// Where.
    pub at: Plan,
    /// What is set there.
    pub kg: f64,
    /// The least mass which, set there at that moment, tips the shelf.
    pub tips_at_kg: Option<f64>,
}

/// Everything that is set down on a shelf, in the plan's order.
pub(super) fn pieces(shelf: &LaidShelf<'_>) -> Vec<SetDown> {
    let ware = &shelf.planned.ware;
    let mut all = Vec::new();
    let kg = ware.mass_mg.kg().max(0.0);
    if kg > 0.0 {
        let centre_mm = ware.tallest_nm.mm().max(0.0) / 2.0;
        let parts = parts(&shelf.shelf.outline);
        let whole: f64 = parts.iter().map(|(_, share)| share).sum();
        for (at, share) in parts {
            let at = shelf.out(at);
            let place = shelf.where_said(at).to_owned();
            all.push(SetDown { place, at, kg: kg * share / whole, centre_mm });
        }
    }
    for (n, piece) in (1..).zip(&ware.pieces) {
        let at = plan(piece.at);
        let place = format!("{}: piece {n}", shelf.where_said(at));
        let centre_mm = piece.height_nm.mm().max(0.0) / 2.0;
        all.push(SetDown { place, at, kg: piece.mass_mg.kg().max(0.0), centre_mm });
    }
    all.retain(|one| one.kg > 0.0);
    all
}

/// Even parts of an outline: the middles of its parts and their areas' shares, with the whole's centroid.
fn parts(outline: &Outline) -> Vec<(Plan, f64)> {
    let (length, width) = outline.bounds();
    let (l, w) = (length.mm(), width.mm());
    match outline {
        Outline::Rectangle { .. } => {
            let third = |n: usize, whole: f64| whole * [1.0, 3.0, 5.0][n] / 6.0;
            (0..9).map(|n| ([third(n % 3, l), third(n / 3, w)], 1.0)).collect()
        }
        Outline::Round { .. } => wedges([l / 2.0, l / 2.0], l / 2.0, 8, core::f64::consts::TAU),
        Outline::HalfRound { .. } => wedges([l / 2.0, 0.0], l / 2.0, 4, core::f64::consts::PI),
    }
}

/// Equal wedges of a disc, counter-clockwise from the right.
///
/// # Source   a wedge of half angle a has its centroid 2 r sin a / (3 a) from the centre.
fn wedges(centre: Plan, radius: f64, n: u32, angle: f64) -> Vec<(Plan, f64)> {
    let half = angle / f64::from(2 * n);
    let far = 2.0 * radius * libm::sin(half) / (3.0 * half);
    let one = |n: u32| {
        let way = half * f64::from(2 * n + 1);
        ([centre[0] + far * libm::cos(way), centre[1] + far * libm::sin(way)], 1.0)
    };
    (0..n).map(one).collect()
}

/// Puts first what stands farthest inside the support polygon. Equals stay in the plan's order.
pub(super) fn sort(stood: &Stood, all: &mut [SetDown]) {
    let inside = |one: &SetDown| {
        let at = [one.at[0] + stood.lean[0], one.at[1] + stood.lean[1]];
        stood.polygon.margin(at).unwrap_or(0.0)
    };
    all.sort_by(|a, b| inside(b).total_cmp(&inside(a)));
}

/// The steps of loading a shelf, for the loading sheet.
pub(super) fn steps_said(standing: &Standing, idx: usize) -> Vec<LoadingStep> {
    let steps = standing.shelves[idx].steps.iter();
    steps
        .map(|step| LoadingStep {
            place: step.place.clone(),
            at: spot(step.at),
            mass_kg: step.kg,
            tips_at_kg: step.tips_at_kg,
        })
        .collect()
}

/// What tips a shelf at each of its corners, bare and with its own ware.
pub(super) fn corners(stack: &LaidStack<'_>, standing: &Standing, idx: usize) -> Vec<CornerTip> {
    let (shelf, stood) = (&stack.shelves[idx], &standing.shelves[idx]);
    let own = [shelf.centre()[0] + stood.lean[0], shelf.centre()[1] + stood.lean[1]];
    let mut laden = (shelf.own_kg, [own[0] * shelf.own_kg, own[1] * shelf.own_kg]);
    for piece in pieces(shelf) {
        laden.0 += piece.kg;
        laden.1 = [
            laden.1[0] + piece.kg * (piece.at[0] + stood.lean[0]),
            laden.1[1] + piece.kg * (piece.at[1] + stood.lean[1]),
        ];
    }
    let centre = [laden.1[0] / laden.0, laden.1[1] / laden.0];
    let tip = |(place, at): (&'static str, Plan)| {
        let moved = [at[0] + stood.lean[0], at[1] + stood.lean[1]];
        CornerTip {
            place: place.to_owned(),
            at: spot(at),
            bare_kg: stood.polygon.tipping_mass(own, shelf.own_kg, moved),
            laden_kg: stood.polygon.tipping_mass(centre, laden.0, moved),
        }
    };
    shelf.corners().into_iter().map(tip).collect()
}
