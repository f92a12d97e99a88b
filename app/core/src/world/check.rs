//! What the server asks of an event before it stores it, over and above its being readable.
//!
//! The form asked the same of what was typed; this is the second look, at the door. It never changes an
//! event, and an event already stored is never judged by it again.
use super::{Subject, World};
use crate::code::Code;
use crate::event::values::{Labelled, Piece};
use crate::event::{Body, Event, PlanDropped, PlanOverruled, PlanTicked, SurfaceReading};
use crate::ids::{KilnId, PostId, ShelfId};
use crate::outline::Outline;
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// One thing wrong with what was typed or sent, and which field it belongs to.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Problem {
    /// The form's field, or the body's.
    pub field: String,
    /// What is wrong and what is wanted.
    pub cause: String,
    /// Whether it is only asked about: the same value is taken when it is confirmed.
    #[serde(default)]
    pub ask: bool,
}

impl Problem {
    /// A refusal.
    pub fn new(field: impl Into<String>, cause: impl Into<String>) -> Self {
        Self { field: field.into(), cause: cause.into(), ask: false }
    }

    /// A question.
    pub fn ask(field: impl Into<String>, cause: impl Into<String>) -> Self {
        Self { field: field.into(), cause: cause.into(), ask: true }
    }
}

/// The largest length that any piece of kiln furniture can have. House choice: 10 m, the length of a
/// large car kiln.
const LONGEST: Length = Length(10_000_000_000);

/// Everything wrong with an event that is about to be stored.
#[must_use]
pub fn problems(world: &World, event: &Event) -> Vec<Problem> {
    let mut found = Vec::new();
    if let Some(target) = event.corrects {
        match world.entry(target) {
            None => found.push(Problem::new("corrects", "the entry to correct is not on record")),
            Some(entry) if entry.event.body.kind() != event.body.kind() => {
                found.push(Problem::new("corrects", "an entry can only be corrected by one of its own kind"));
            }
            Some(_) => {}
        }
    }
    check_body(world, event, &mut found);
    found
}

#[expect(clippy::too_many_lines, reason = "one arm per kind of event; splitting it would hide the list")]
fn check_body(world: &World, event: &Event, found: &mut Vec<Problem>) {
    let correction = event.corrects.is_some();
    match &event.body {
        Body::KilnAdded(b) => {
            let taken = world.kilns.values().any(|k| k.id != b.kiln && k.name.eq_ignore_ascii_case(&b.name));
            if b.name.trim().is_empty() {
                found.push(Problem::new("name", "give the kiln a name"));
            } else if taken {
                found.push(Problem::new("name", format!("another kiln is called {}", b.name)));
            }
        }
        Body::ShelfAdded(b) => {
            code_free(world, &b.code, Subject::Shelf(b.shelf), found);
            kiln_known(world, b.kiln, found);
            positive(b.thickness_nm, "thickness", found);
            match b.outline {
                Outline::Rectangle { length_nm, width_nm } => {
                    positive(length_nm, "length", found);
                    positive(width_nm, "width", found);
                }
                Outline::Round { diameter_nm } | Outline::HalfRound { diameter_nm } => {
                    positive(diameter_nm, "diameter", found);
                }
            }
            if !correction && world.shelves.contains_key(&b.shelf) {
                found.push(Problem::new("shelf", "this shelf is on record already"));
            }
        }
        Body::PostAdded(b) => {
            code_free(world, &b.code, Subject::Post(b.post), found);
            kiln_known(world, b.kiln, found);
            positive(b.nominal_nm, "nominal", found);
            positive(b.width_nm, "width", found);
            if !correction && world.posts.contains_key(&b.post) {
                found.push(Problem::new("post", "this post is on record already"));
            }
        }
        Body::ShelfGraded(b) => shelf_known(world, b.shelf, found),
        Body::ShelfMeasured(b) => {
            shelf_known(world, b.shelf, found);
            let empty = match &b.reading {
                SurfaceReading::Lines { lines, .. } => lines.iter().all(|line| line.dips.is_empty()),
                SurfaceReading::Grid { columns, rows, heights, .. } => {
                    if heights.len() != usize::from(*columns) * usize::from(*rows) {
                        found.push(Problem::new(
                            "heights",
                            "the grid's heights do not fill its rows and columns",
                        ));
                    }
                    heights.iter().flatten().count() < 4
                }
            };
            if empty {
                found.push(Problem::new("reading", "a reading needs at least one line, or four grid points"));
            }
        }
        Body::PostMeasured(b) => {
            post_known(world, b.post, found);
            positive(b.height.nm, "height", found);
        }
        Body::SetMade(b) => {
            code_free(world, &b.code, Subject::Set(b.set), found);
            b.posts.iter().for_each(|id| post_known(world, *id, found));
            let mut distinct = b.posts.clone();
            distinct.sort_unstable();
            distinct.dedup();
            if distinct.len() != b.posts.len() || !(3..=4).contains(&b.posts.len()) {
                found.push(Problem::new("posts", "a set is three or four different posts"));
            }
            if let Some(shelf) = b.shelf {
                shelf_known(world, shelf, found);
            }
        }
        Body::SetParted(b) => {
            if !world.sets.contains_key(&b.set) {
                found.push(Problem::new("set", "this set is not on record"));
            }
        }
        Body::ShelfGround(b) => {
            shelf_known(world, b.shelf, found);
            not_negative(b.removed_nm, "removed", found);
        }
        Body::PostDressed(b) => {
            post_known(world, b.post, found);
            not_negative(b.removed_nm, "removed", found);
        }
        Body::ShelfWashed(b) => shelf_known(world, b.shelf, found),
        Body::CrackFound(b) => {
            shelf_known(world, b.shelf, found);
            if b.from == b.to {
                found.push(Problem::new("to", "a crack needs two different ends"));
            }
        }
        Body::ShelfTapped(b) => shelf_known(world, b.shelf, found),
        Body::ShelfFlipped(b) => shelf_known(world, b.shelf, found),
        Body::PieceHeld(b) => piece_known(world, b.piece, found),
        Body::PieceReleased(b) => piece_known(world, b.piece, found),
        Body::PieceMoved(b) => {
            piece_known(world, b.piece, found);
            kiln_known(world, b.kiln, found);
        }
        Body::PieceRetired(b) => piece_known(world, b.piece, found),
        Body::PieceReturned(b) => piece_known(world, b.piece, found),
        Body::KilnFired(b) => {
            kiln_known(world, b.kiln, found);
            b.pieces.iter().for_each(|piece| piece_known(world, *piece, found));
            if b.pieces.is_empty() {
                found.push(Problem::new("pieces", "tick at least one shelf or post"));
            }
        }
        Body::NoteAdded(b) => piece_known(world, b.piece, found),
        Body::SettingChanged(b) => {
            let about = b.key.about();
            if !(about.low..=about.high).contains(&b.value) {
                found.push(Problem::new("value", format!("{} is out of its range", about.label)));
            }
            if b.reason.trim().is_empty() {
                found.push(Problem::new("reason", "say why it is changed"));
            }
        }
        Body::StudioNamed(b) => {
            if b.name.trim().is_empty() {
                found.push(Problem::new("name", "give the studio a name"));
            }
        }
        Body::LabelsMade(b) => {
            for (field, fault) in b.grid.faults() {
                found.push(Problem::new(field, fault.to_string()));
            }
            if b.labels.is_empty() {
                found.push(Problem::new("labels", "choose at least one piece to label"));
            }
            b.labels.iter().for_each(|made| match made.on {
                Labelled::Shelf(id) => shelf_known(world, id, found),
                Labelled::Post(id) => post_known(world, id, found),
                Labelled::Set(id) if world.sets.contains_key(&id) => {}
                Labelled::Set(_) => found.push(Problem::new("labels", "this set is not on record")),
            });
        }
        Body::LabelGridSet(b) => {
            for (field, fault) in b.grid.faults() {
                found.push(Problem::new(field, fault.to_string()));
            }
        }
        Body::KilnChamberSet(b) => super::plans::chamber_problems(world, b, found),
        Body::PlanSaved(b) => super::plans::plan_problems(world, b, found),
        Body::PlanOverruled(PlanOverruled { plan, .. })
        | Body::PlanTicked(PlanTicked { plan, .. })
        | Body::PlanDropped(PlanDropped { plan }) => {
            if !world.plans.contains_key(plan) {
                found.push(Problem::new("plan", "this plan is not on record"));
            }
        }
        Body::FindingNoted(b) => {
            piece_known(world, b.piece, found);
            if !b.flaw.fits(b.piece) {
                let cause = format!("{} is not seen on such a piece; choose another", b.flaw.said());
                found.push(Problem::new("flaw", cause));
            }
            if b.firing.is_some_and(|firing| !world.firings.contains_key(&firing)) {
                found.push(Problem::new("firing", "this firing is not on record"));
            }
        }
        Body::PhotoTaken(b) => {
            piece_known(world, b.piece, found);
            found.extend(crate::form::photo::problems(b));
        }
        Body::FiringChecked(b) => {
            if !world.firings.contains_key(&b.firing) {
                found.push(Problem::new("firing", "this firing is not on record"));
            }
        }
        Body::EventsWithdrawn(b) => {
            if b.events.is_empty() || b.events.iter().any(|id| world.entry(*id).is_none()) {
                found.push(Problem::new("events", "the entry to take back is not on record"));
            }
        }
    }
}

fn code_free(world: &World, code: &Code, whose: Subject, found: &mut Vec<Problem>) {
    if world.by_code(code).is_some_and(|owner| owner != whose) {
        found.push(Problem::new("code", format!("{code} is taken; choose another code")));
    }
}

pub(super) fn positive(length: Length, field: &str, found: &mut Vec<Problem>) {
    if length.0 <= 0 || length > LONGEST {
        found
            .push(Problem::new(field, format!("{} mm is not a {field}; give a length above 0", length.mm())));
    }
}

fn not_negative(length: Option<Length>, field: &str, found: &mut Vec<Problem>) {
    if length.is_some_and(|l| l.0 < 0) {
        found.push(Problem::new(field, "what came off cannot be less than nothing"));
    }
}

pub(super) fn kiln_known(world: &World, id: KilnId, found: &mut Vec<Problem>) {
    if !world.kilns.contains_key(&id) {
        found.push(Problem::new("kiln", "this kiln is not on record"));
    }
}

pub(super) fn shelf_known(world: &World, id: ShelfId, found: &mut Vec<Problem>) {
    if !world.shelves.contains_key(&id) {
        found.push(Problem::new("shelf", "this shelf is not on record"));
    }
}

pub(super) fn post_known(world: &World, id: PostId, found: &mut Vec<Problem>) {
    if !world.posts.contains_key(&id) {
        found.push(Problem::new("posts", "this post is not on record"));
    }
}

fn piece_known(world: &World, piece: Piece, found: &mut Vec<Problem>) {
    match piece {
        Piece::Shelf(id) => shelf_known(world, id, found),
        Piece::Post(id) => post_known(world, id, found),
    }
}
