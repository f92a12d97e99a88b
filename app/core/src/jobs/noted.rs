//! Which jobs the findings noted on a piece still hold open: one walk over its history.
use super::Job;
use crate::event::Body;
use crate::event::values::{Face, Flaw, Fuel, Material, Piece};
use crate::world::{Shelf, World};
use jiff::Timestamp;
use std::collections::BTreeSet;

/// A job that a finding opened and nothing has closed since.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Noted {
    pub job: Job,
    /// "drip or run seen (by the bag wall)".
    pub reason: String,
    pub at: Timestamp,
}

/// What is open on this piece, oldest first.
pub(super) fn open(world: &World, piece: Piece) -> Vec<Noted> {
    let may_turn = match piece {
        Piece::Shelf(id) => world.shelves.get(&id).is_some_and(|shelf| may_turn(world, shelf)),
        Piece::Post(_) => false,
    };
    let mut washed: BTreeSet<Face> = BTreeSet::new();
    let mut open: Vec<Noted> = Vec::new();
    for entry in world.history(piece.into()) {
        let Some(body) = entry.counting() else { continue };
        open.retain(|noted| !noted.job.is_closed_by(body));
        match body {
            Body::ShelfWashed(b) => {
                washed.insert(b.face);
            }
            Body::ShelfGround(b) => {
                washed.remove(&b.face);
            }
            Body::FindingNoted(b) => {
                let note = if b.note.is_empty() { String::new() } else { format!(" ({})", b.note) };
                let reason = format!("{} seen{note}", b.flaw.said());
                let at = entry.event.observed_at;
                let jobs = opens(b.flaw, !washed.is_empty(), may_turn);
                open.extend(jobs.iter().map(|job| Noted { job: *job, reason: reason.clone(), at }));
            }
            _ => {}
        }
    }
    open
}

/// The jobs that a finding opens.
///
/// # Source   the trade's list of bench jobs after a firing; which belongs to which finding is common practice.
pub(super) const fn opens(flaw: Flaw, washed: bool, may_turn: bool) -> &'static [Job] {
    match flaw {
        Flaw::Drip => &[Job::Chisel],
        Flaw::StuckPot => &[Job::Chisel, Job::Tap],
        Flaw::Plucked if washed => &[Job::Wash],
        Flaw::Plucked | Flaw::Chipped => &[Job::Grind],
        Flaw::Flaking => &[Job::Strip],
        Flaw::NewCrack => &[Job::Draw, Job::Tap],
        Flaw::DullRing => &[Job::Tap],
        Flaw::Sag if may_turn => &[Job::Read, Job::Flip],
        Flaw::Sag => &[Job::Read],
        Flaw::Wet => &[Job::DryOut],
        Flaw::PostStuck | Flaw::DirtyEnd => &[Job::Dress],
        Flaw::PostShort => &[Job::Measure],
        Flaw::PostCracked => &[Job::CutDown],
        Flaw::LeanedFront | Flaw::LeanedBack | Flaw::LeanedLeft | Flaw::LeanedRight => {
            &[Job::Measure, Job::Level]
        }
    }
}

/// Whether turning this shelf over is something the trade does: cordierite, bare on the side that would go
/// down, fired to cone 8 to 10, never in wood, salt or soda.
///
/// # Source   common practice, no single source.
#[must_use]
pub(crate) fn may_turn(world: &World, shelf: &Shelf) -> bool {
    let Some(kiln) = world.kilns.get(&shelf.kiln) else { return false };
    shelf.material == Material::Cordierite
        && !matches!(kiln.fuel, Fuel::Wood | Fuel::SodaOrSalt)
        && (8..=10).contains(&kiln.usual_cone.rank())
        && !shelf.washes.contains_key(&shelf.up)
}
