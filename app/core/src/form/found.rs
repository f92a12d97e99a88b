//! Reads what was seen wrong: on everything that came out of a firing, or on one piece.
//!
//! What this does not do: decide what is to be done; [`crate::jobs`] does. It only puts on hold what must not be
//! loaded as it is, so that a finding cannot be forgotten between two loads.
use super::piece::note;
use super::quantity::Feelers;
use super::{FormValues, Problem, Reader, Submission, no_form};
use crate::event::values::{Flaw, HoldReason, Piece, Ring};
use crate::event::{Body, FindingNoted, FiringChecked, NoteAdded, PieceHeld, ShelfTapped};
use crate::ids::FiringId;
use crate::jobs;
use crate::view::Page;
use crate::view::firings::after::{After, FORM, Seen};

/// The most entries of one form: as many as one request to the server may carry.
pub(crate) const MOST_ENTRIES: usize = 200;

/// What was seen after a firing; where nothing is ticked, that somebody looked.
///
/// # Errors   Every problem at once.
pub fn read(page: &Page, data: &After, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != FORM {
        return Err(no_form(values));
    }
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let mut bodies: Vec<Body> = Vec::new();
    for seen in data.groups.iter().flat_map(|group| &group.pieces) {
        bodies.extend(of_piece(&mut reader, seen, Some(data.firing), &format!("_{}", seen.code)));
    }
    bodies.push(FiringChecked { firing: data.firing, note: note(&mut reader, "note") }.into());
    if bodies.len() > MOST_ENTRIES {
        let many = bodies.len();
        reader.problem("note", format!("{many} entries are too many at once; send at most {MOST_ENTRIES}"));
    }
    Ok(Submission::new(reader.finish(Some(bodies))?, "/bench"))
}

/// The entries for one piece; its fields' names end with `suffix`. A note by itself is kept as a note.
pub(super) fn of_piece(
    reader: &mut Reader<'_>,
    seen: &Seen,
    firing: Option<FiringId>,
    suffix: &str,
) -> Vec<Body> {
    let field = format!("seen{suffix}");
    let ticked =
        reader.all(&field).iter().map(|key| Flaw::from_key(key).filter(|flaw| flaw.fits(seen.piece)));
    let Some(flaws) = ticked.collect::<Option<Vec<Flaw>>>() else {
        reader.problem(&field, format!("{}: choose from the list; open the page again", seen.code));
        return Vec::new();
    };
    let text = note(reader, &format!("note{suffix}"));
    if flaws.is_empty() && !text.is_empty() {
        return vec![NoteAdded { piece: seen.piece, text }.into()];
    }
    bodies(seen, &flaws, firing, &text)
}

fn bodies(seen: &Seen, flaws: &[Flaw], firing: Option<FiringId>, note: &str) -> Vec<Body> {
    let piece = seen.piece;
    let mut bodies: Vec<Body> = Vec::new();
    if let (Piece::Shelf(shelf), true) = (piece, flaws.contains(&Flaw::DullRing)) {
        // Before the finding: a tap test that comes after it would close its job.
        bodies.push(ShelfTapped { shelf, ring: Ring::Dull }.into());
    }
    if let Some((reason, flaw)) = gravest_hold(flaws).filter(|_| !seen.is_held) {
        bodies.push(PieceHeld { piece, reason, note: format!("{} seen", flaw.said()) }.into());
    }
    let noted = |flaw: &Flaw| FindingNoted { piece, flaw: *flaw, firing, note: note.to_owned() }.into();
    bodies.extend(flaws.iter().map(noted));
    bodies
}

/// A piece has one hold: wet before cracked before glaze, as each may only be seen to after the one before.
fn gravest_hold(flaws: &[Flaw]) -> Option<(HoldReason, Flaw)> {
    [HoldReason::Wet, HoldReason::Crack, HoldReason::Drip]
        .into_iter()
        .find_map(|reason| Some((reason, *flaws.iter().find(|flaw| jobs::holds(**flaw) == Some(reason))?)))
}
