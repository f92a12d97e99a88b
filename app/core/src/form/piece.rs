//! Reads what can be logged of a shelf and of a post alike.
use super::add::{kiln, line};
use super::quantity::Feelers;
use super::{FormValues, Problem, Reader, Submission, found, no_form, photo};
use crate::event::values::{HoldReason, Piece, RetireReason};
use crate::event::{Body, NoteAdded, PieceHeld, PieceMoved, PieceReleased, PieceRetired, PieceReturned};
use crate::view::Page;
use crate::view::add::{Start, put};
use crate::view::piece::{Act, PiecePage};

/// The longest note kept. House choice: a few sentences, which a phone's screen still shows at once.
const LONGEST_NOTE: usize = 500;
/// The heaviest dry mass read, in grams: no shelf that people lift weighs more.
const HEAVIEST_G: u32 = 100_000;
/// Heavier than when it was last dry by this much is a wet shelf: 1 % of pores in a 4 kg shelf hold about
/// 15 g of water (calculated), and a kitchen scale shows 5.
const WET_G: u32 = 5;
/// What stands between the reason of a release and its dry mass.
const DRY_MASS: &str = "; dry mass ";

/// One entry about one piece, and back to its card.
///
/// # Errors   Every problem at once.
pub fn read(page: &Page, data: &PiecePage, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    let of_another = |body: &Body| piece_of(body) != Some(data.piece) || act_of(body) != data.act.key();
    let corrected = page.correcting.as_ref().map(|correcting| &correcting.body);
    if values.get("do") != data.act.key() || corrected.is_some_and(of_another) {
        return Err(no_form(values));
    }
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let piece = data.piece;
    if let Act::Found { seen, firing } = &data.act {
        let bodies = found::of_piece(&mut reader, seen, *firing, "");
        if bodies.is_empty() {
            reader.problem("seen", "tick what is wrong, or write it below");
        }
        return Ok(Submission::new(reader.finish(Some(bodies))?, data.card.clone()));
    }
    let body: Option<Body> = match &data.act {
        Act::Hold => held(&mut reader, piece),
        Act::Release { last_dry_g, .. } => released(&mut reader, piece, *last_dry_g),
        Act::Move { kilns } => {
            let (kiln, place) = (kiln(&mut reader, kilns), line(&mut reader, "place"));
            kiln.map(|kiln| PieceMoved { piece, kiln, place }.into())
        }
        Act::Retire { .. } => retired(&mut reader, piece),
        Act::Return => {
            let because =
                needed_note(&mut reader, "because", "say what changed, such as cut down and ground");
            Some(PieceReturned { piece, because }.into())
        }
        Act::Note => {
            let text = needed_note(&mut reader, "text", "write the note");
            Some(NoteAdded { piece, text }.into())
        }
        Act::Photo => photo::read(&mut reader, piece),
        Act::Found { .. } => None,
    };
    let body = reader.finish(body)?;
    Ok(Submission::new(vec![body], data.card.clone()))
}

fn held(reader: &mut Reader<'_>, piece: Piece) -> Option<Body> {
    let reason = reader.choice("reason");
    let note = note(reader, "note");
    if reason == Some(HoldReason::Other) && note.is_empty() {
        reader.problem("note", "say the reason in a few words");
    }
    reason.map(|reason| PieceHeld { piece, reason, note }.into())
}

fn released(reader: &mut Reader<'_>, piece: Piece, last_dry_g: Option<u32>) -> Option<Body> {
    let because = needed_note(reader, "because", "say what it rests on, such as 24 h at 95 C");
    let mass = reader.text("mass");
    let mass = mass.strip_suffix('g').map_or(mass, str::trim_end);
    let mass = if mass.is_empty() { None } else { Some(super::quantity::read_count(mass, HEAVIEST_G)) };
    let mass = match mass.transpose() {
        Ok(mass) => mass,
        Err(cause) => {
            reader.problem("mass", cause);
            None
        }
    };
    if let (Some(now), Some(before)) = (mass, last_dry_g)
        && now >= before + WET_G
    {
        let more = now - before;
        let cause = format!("{more} g heavier than the {before} g when it was last dry: that may be water");
        reader.ask("mass", cause);
    }
    let mass = mass.map_or_else(String::new, |grams| format!("{DRY_MASS}{grams} g"));
    Some(PieceReleased { piece, because: format!("{because}{mass}") }.into())
}

fn retired(reader: &mut Reader<'_>, piece: Piece) -> Option<Body> {
    let reason = reader.choice("reason");
    let note = note(reader, "note");
    if reason == Some(RetireReason::Other) && note.is_empty() {
        reader.problem("note", "say the reason in a few words");
    }
    reason.map(|reason| PieceRetired { piece, reason, note }.into())
}

/// A text of a few sentences that may be empty.
pub(crate) fn note(reader: &mut Reader<'_>, field: &str) -> String {
    let text = reader.text(field);
    let n_chars = text.chars().count();
    if n_chars > LONGEST_NOTE {
        reader.problem(field, format!("{n_chars} characters are too many; use at most {LONGEST_NOTE}"));
    }
    text.to_owned()
}

/// A text of a few sentences that must be there.
pub(crate) fn needed_note(reader: &mut Reader<'_>, field: &str, wanted: &str) -> String {
    let text = note(reader, field);
    if text.is_empty() {
        reader.problem(field, wanted);
    }
    text
}

/// The dry mass in grams that a release's reason ends with.
#[must_use]
pub fn dry_mass_g(because: &str) -> Option<u32> {
    let (_, mass) = because.rsplit_once(DRY_MASS)?;
    mass.strip_suffix(" g")?.parse().ok()
}

/// The piece that one of these entries is about.
fn piece_of(body: &Body) -> Option<Piece> {
    match body {
        Body::PieceHeld(b) => Some(b.piece),
        Body::PieceReleased(b) => Some(b.piece),
        Body::PieceMoved(b) => Some(b.piece),
        Body::PieceRetired(b) => Some(b.piece),
        Body::PieceReturned(b) => Some(b.piece),
        Body::NoteAdded(b) => Some(b.piece),
        _ => None,
    }
}

/// The form that makes such an entry, as [`Act::key`] names it.
#[must_use]
pub fn act_of(body: &Body) -> &'static str {
    match body {
        Body::PieceHeld(_) => "hold",
        Body::PieceReleased(_) => "release",
        Body::PieceMoved(_) => "move",
        Body::PieceRetired(_) => "retire",
        Body::PieceReturned(_) => "return",
        Body::NoteAdded(_) => "note",
        _ => "",
    }
}

/// The form's values for an entry on record.
#[must_use]
pub fn values_of(body: &Body) -> Start {
    let mut start = Start::new();
    match body {
        Body::PieceHeld(b) => {
            put(&mut start, "reason", b.reason.key());
            put(&mut start, "note", &b.note);
        }
        Body::PieceReleased(b) => {
            let mass = dry_mass_g(&b.because);
            let because = match (mass, b.because.rsplit_once(DRY_MASS)) {
                (Some(_), Some((because, _))) => because,
                _ => &b.because,
            };
            put(&mut start, "because", because);
            put(&mut start, "mass", mass.map_or_else(String::new, |grams| grams.to_string()));
        }
        Body::PieceMoved(b) => {
            put(&mut start, "kiln", b.kiln.to_string());
            put(&mut start, "place", &b.place);
        }
        Body::PieceRetired(b) => {
            put(&mut start, "reason", b.reason.key());
            put(&mut start, "note", &b.note);
        }
        Body::PieceReturned(b) => put(&mut start, "because", &b.because),
        Body::NoteAdded(b) => put(&mut start, "text", &b.text),
        _ => {}
    }
    start
}

#[cfg(test)]
#[path = "piece_tests.rs"]
mod tests;
