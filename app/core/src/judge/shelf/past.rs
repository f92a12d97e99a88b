//! What a shelf's history says that its present state does not: one walk over the entries that count.
use crate::event::values::{Face, Piece, Ring};
use crate::event::{Body, ShelfGround};
use crate::ids::EventId;
use crate::world::{Shelf, Subject, World};
use jiff::Timestamp;
use jiff::tz::Offset;

/// What the walk found.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Past {
    /// Whether the last grade by eye came after the reading that is judged.
    pub graded_after_reading: bool,
    /// Firings since the record began at the last tap test; none where it was never tapped.
    pub tapped_at: Option<u32>,
    /// The faces that bore wash until they were ground.
    pub lost_wash: Vec<Face>,
}

impl Past {
    /// Walks the shelf's history. `reading` is the event of the reading that is judged.
    pub fn of(world: &World, shelf: &Shelf, reading: Option<EventId>) -> Self {
        let mut past = Self::default();
        let mut firings = 0;
        let mut washed: Vec<Face> = Vec::new();
        for entry in world.history(Subject::Shelf(shelf.id)) {
            let Some(body) = entry.counting() else { continue };
            match body {
                Body::ShelfGraded(_) => past.graded_after_reading = true,
                Body::ShelfMeasured(_) if Some(entry.event.id) == reading => {
                    past.graded_after_reading = false
                }
                Body::KilnFired(b) if b.pieces.contains(&Piece::Shelf(shelf.id)) => firings += 1,
                Body::ShelfTapped(b) if b.ring != Ring::NotTapped => past.tapped_at = Some(firings),
                Body::CrackFound(b) if b.ring != Ring::NotTapped => past.tapped_at = Some(firings),
                Body::ShelfWashed(b) => {
                    washed.push(b.face);
                    past.lost_wash.retain(|face| *face != b.face);
                }
                Body::ShelfGround(ShelfGround { face, .. }) if washed.contains(face) => {
                    washed.retain(|other| other != face);
                    past.lost_wash.push(*face);
                }
                _ => {}
            }
        }
        past
    }
}

/// The day of a moment, in UTC.
pub(super) fn day(at: Timestamp) -> String {
    Offset::UTC.to_datetime(at).date().to_string()
}
