//! Reads one entry for several pieces: an event each, all of them or none.
use super::add::{kiln, line};
use super::found::MOST_ENTRIES;
use super::piece::note;
use super::quantity::Feelers;
use super::shelf::recipe;
use super::{FormValues, Problem, Reader, Submission, no_form};
use crate::event::values::{Face, HoldReason, Piece, Ring};
use crate::event::{
    Body, PieceHeld, PieceMoved, PostDressed, ShelfFlipped, ShelfGround, ShelfTapped, ShelfWashed,
};
use crate::view::Page;
use crate::view::bench::batch::{Act, Batch, FORM, Pick};

/// House choice: ten hours at one piece is a slip.
const MOST_MINUTES: u32 = 600;
/// House choice: two coats are usual, six are a slip.
const MOST_COATS: u32 = 6;

/// What is logged of one piece.
type Each = Box<dyn Fn(&Pick) -> Option<Body>>;

/// One event a ticked piece.
///
/// # Errors   Every problem at once.
pub fn read(page: &Page, data: &Batch, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    let (Some(act), FORM) = (&data.act, values.get("do")) else { return Err(no_form(values)) };
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let picked = picked(&mut reader, data);
    let each = each(&mut reader, act);
    let bodies = each.and_then(|each| picked.iter().map(|pick| each(pick)).collect::<Option<Vec<Body>>>());
    Ok(Submission::new(reader.finish(bodies)?, "/bench"))
}

fn picked<'a>(reader: &mut Reader<'_>, data: &'a Batch) -> Vec<&'a Pick> {
    let codes: Vec<&str> =
        reader.all("in").iter().map(|code| code.trim()).filter(|code| !code.is_empty()).collect();
    let all: Vec<&Pick> = data.groups.iter().flat_map(|group| &group.pieces).collect();
    let strange: Vec<&str> =
        codes.iter().copied().filter(|code| all.iter().all(|pick| pick.code != *code)).collect();
    if !strange.is_empty() {
        reader.problem("in", format!("{} is not in service; open the page again", strange.join(", ")));
    }
    let picked: Vec<&Pick> = all.into_iter().filter(|pick| codes.contains(&pick.code.as_str())).collect();
    if picked.is_empty() && strange.is_empty() {
        reader.problem("in", "tick at least one piece");
    }
    for barred in picked.iter().filter(|pick| !pick.barred.is_empty()) {
        reader.problem("in", format!("{}: {}", barred.code, barred.barred));
    }
    if picked.len() > MOST_ENTRIES {
        let many = picked.len();
        reader.problem("in", format!("{many} are too many at once; tick at most {MOST_ENTRIES}"));
    }
    picked
}

/// Reads what is the same for all of them.
fn each(reader: &mut Reader<'_>, act: &Act) -> Option<Each> {
    match act {
        Act::Ground { .. } => {
            let minutes = reader.optional_count("minutes", MOST_MINUTES);
            let (method, mask) = (reader.choice("method"), reader.choice("mask"));
            let (method, mask) = method.zip(mask)?;
            Some(Box::new(move |pick| {
                let (shelf, face) = shelf(pick)?;
                Some(ShelfGround { shelf, face, removed_nm: None, minutes, method, mask }.into())
            }))
        }
        Act::Washed => {
            let recipe = recipe(reader);
            let coats = reader.count("coats", 1, MOST_COATS).and_then(|coats| u8::try_from(coats).ok())?;
            Some(Box::new(move |pick| {
                let (shelf, face) = shelf(pick)?;
                Some(ShelfWashed { shelf, face, recipe: recipe.clone(), coats }.into())
            }))
        }
        Act::Flipped => Some(Box::new(|pick| {
            let (shelf, up) = shelf(pick)?;
            Some(ShelfFlipped { shelf, up: up.other() }.into())
        })),
        Act::Tapped => {
            let ring = reader.choice::<Ring>("ring")?;
            if ring == Ring::NotTapped {
                reader.problem("ring", "tap them first; then say whether they ring");
            }
            Some(Box::new(move |pick| Some(ShelfTapped { shelf: shelf(pick)?.0, ring }.into())))
        }
        Act::Held => {
            let reason = reader.choice::<HoldReason>("reason");
            let note = note(reader, "note");
            if reason == Some(HoldReason::Other) && note.is_empty() {
                reader.problem("note", "say the reason in a few words");
            }
            let reason = reason?;
            Some(Box::new(move |pick| {
                Some(PieceHeld { piece: pick.piece, reason, note: note.clone() }.into())
            }))
        }
        Act::Moved { kilns } => {
            let (kiln, place) = (kiln(reader, kilns), line(reader, "place"));
            let kiln = kiln?;
            Some(Box::new(move |pick| {
                Some(PieceMoved { piece: pick.piece, kiln, place: place.clone() }.into())
            }))
        }
        Act::Dressed { .. } => {
            let minutes = reader.optional_count("minutes", MOST_MINUTES);
            let (method, mask) = (reader.choice("method"), reader.choice("mask"));
            let (method, mask) = method.zip(mask)?;
            Some(Box::new(move |pick| match pick.piece {
                Piece::Post(post) => {
                    Some(PostDressed { post, removed_nm: None, minutes, method, mask }.into())
                }
                Piece::Shelf(_) => None,
            }))
        }
    }
}

/// A ticked shelf and the face of it that is up.
fn shelf(pick: &Pick) -> Option<(crate::ids::ShelfId, Face)> {
    match pick.piece {
        Piece::Shelf(shelf) => Some((shelf, pick.up?)),
        Piece::Post(_) => None,
    }
}
