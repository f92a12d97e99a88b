//! Which form makes an entry of which kind: where "correct it" leads.
//!
//! What this does not do: fill the form in. The page does, from the entry that its query names.
use super::piece::act_of;
use crate::event::Body;
use crate::event::values::Piece;
use crate::ids::{PostId, ShelfId};
use crate::world::World;

/// The address of the form that made an entry like this; none where the kind is not corrected but taken back,
/// or its piece is not on record.
#[must_use]
pub fn address_of(body: &Body, world: &World) -> Option<String> {
    match body {
        Body::KilnAdded(_) => Some("/add/kiln".to_owned()),
        Body::ShelfAdded(_) => Some("/add/shelves".to_owned()),
        Body::PostAdded(_) => Some("/add/posts".to_owned()),
        Body::ShelfGraded(b) => shelf(world, b.shelf, "graded"),
        Body::ShelfMeasured(b) => shelf(world, b.shelf, "measure"),
        Body::ShelfGround(b) => shelf(world, b.shelf, "ground"),
        Body::ShelfWashed(b) => shelf(world, b.shelf, "washed"),
        Body::CrackFound(b) => shelf(world, b.shelf, "crack"),
        Body::ShelfTapped(b) => shelf(world, b.shelf, "tapped"),
        Body::ShelfFlipped(b) => shelf(world, b.shelf, "flipped"),
        Body::PostMeasured(b) => post(world, b.post, "measure"),
        Body::PostDressed(b) => post(world, b.post, "dressed"),
        Body::SetMade(_) => Some("/sets/new".to_owned()),
        Body::PieceHeld(b) => piece(world, b.piece, act_of(body)),
        Body::PieceReleased(b) => piece(world, b.piece, act_of(body)),
        Body::PieceMoved(b) => piece(world, b.piece, act_of(body)),
        Body::PieceRetired(b) => piece(world, b.piece, act_of(body)),
        Body::PieceReturned(b) => piece(world, b.piece, act_of(body)),
        Body::NoteAdded(b) => piece(world, b.piece, act_of(body)),
        Body::KilnFired(_) => Some("/firings/new".to_owned()),
        Body::SettingChanged(b) => Some(format!("/settings/{}", b.key.about().name)),
        // Taken apart by mistake is taken back; a withdrawal is withdrawn.
        // A label made twice is replaced by the next; a grid and a name are set again.
        Body::StudioNamed(_) | Body::LabelsMade(_) | Body::LabelGridSet(_) => None,
        // A plan and a kiln's inside are saved anew, a tick and an overruling are taken back on the plan's page.
        Body::KilnChamberSet(_)
        | Body::PlanSaved(_)
        | Body::PlanOverruled(_)
        | Body::PlanTicked(_)
        | Body::PlanDropped(_) => None,
        // A finding noted on the wrong piece is taken back, and noted on the right one.
        Body::FindingNoted(_) | Body::FiringChecked(_) | Body::PhotoTaken(_) => None,
        Body::SetParted(_) | Body::EventsWithdrawn(_) => None,
    }
}

fn piece(world: &World, piece: Piece, form: &str) -> Option<String> {
    match piece {
        Piece::Shelf(id) => shelf(world, id, form),
        Piece::Post(id) => post(world, id, form),
    }
}

fn shelf(world: &World, id: ShelfId, form: &str) -> Option<String> {
    let shelf = world.shelves.get(&id)?;
    Some(format!("{}/{form}", crate::view::shelf::path(world, shelf)))
}

fn post(world: &World, id: PostId, form: &str) -> Option<String> {
    world.posts.get(&id).map(|post| format!("/post/{}/{form}", post.code))
}

#[cfg(test)]
#[path = "address_tests.rs"]
mod tests;
