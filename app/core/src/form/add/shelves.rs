//! Reads `/add/shelves`.
use super::{SIDE, THICKNESS, bought_on, codes, firings_before, kiln, line, optional_choice};
use crate::code::Code;
use crate::event::{Body, ShelfAdded};
use crate::form::quantity::Feelers;
use crate::form::{FormValues, NewId, Problem, Reader, Submission, no_form};
use crate::ids::ShelfId;
use crate::outline::Outline;
use crate::units::Length;
use crate::view::Page;
use crate::view::add::MOST_SHELVES;
use crate::view::add::shelves::AddShelves;

/// A batch of shelves alike, one event each; or one shelf corrected.
///
/// # Errors   Every problem at once.
pub fn read(
    page: &Page,
    data: &AddShelves,
    values: &FormValues,
    new_id: NewId<'_>,
) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != "shelves" {
        return Err(no_form(values));
    }
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    match page.correcting.as_ref().map(|correcting| &correcting.body) {
        Some(Body::ShelfAdded(own)) => {
            let code = codes::corrected(&mut reader, &data.taken, &own.code);
            let shelf = like_this(&mut reader, page, data);
            let (code, shelf) = reader.finish(code.zip(shelf))?;
            let next = format!("/shelf/{code}");
            Ok(Submission::new(vec![ShelfAdded { shelf: own.shelf, code, ..shelf }.into()], next))
        }
        Some(_) => Err(no_form(values)),
        None => {
            let count = reader.count("count", 1, MOST_SHELVES);
            let shelf = like_this(&mut reader, page, data);
            let codes = count.and_then(|count| codes::read(&mut reader, 'F', &data.taken, count));
            let (codes, shelf) = reader.finish(codes.zip(shelf))?;
            let alike = |code: Code| ShelfAdded { shelf: ShelfId(new_id()), code, ..shelf.clone() }.into();
            let bodies = codes.into_iter().map(alike).collect();
            Ok(Submission::new(bodies, format!("/add/shelves?kiln={}", shelf.kiln)))
        }
    }
}

/// What all of the batch have in common; id and code are filled in piece by piece.
fn like_this(reader: &mut Reader<'_>, page: &Page, data: &AddShelves) -> Option<ShelfAdded> {
    let material = reader.choice("material");
    let outline = outline(reader);
    let thickness = reader.length("thickness", THICKNESS);
    let price_cents = reader.optional_cents("price");
    let bought_on = bought_on(reader, page.today);
    let firings_before = firings_before(reader);
    let kiln = kiln(reader, &data.kilns);
    let place = line(reader, "place");
    let graded = optional_choice(reader, "graded");
    Some(ShelfAdded {
        shelf: ShelfId(uuid::Uuid::nil()),
        code: crate::code::nth('F', 0),
        material: material?,
        outline: outline?,
        thickness_nm: thickness?.nm,
        price_cents,
        bought_on,
        firings_before,
        kiln: kiln?,
        place,
        graded,
    })
}

/// The shape and its size. The longer side of a rectangle is its length, in whichever order they were typed.
fn outline(reader: &mut Reader<'_>) -> Option<Outline> {
    match reader.text("shape") {
        "rectangle" => {
            let (first, second) = (reader.length("length", SIDE), reader.length("width", SIDE));
            let (first, second): (Length, Length) = (first?.nm, second?.nm);
            Some(Outline::Rectangle { length_nm: first.max(second), width_nm: first.min(second) })
        }
        "round" => reader.length("diameter", SIDE).map(|d| Outline::Round { diameter_nm: d.nm }),
        "half_round" => reader.length("diameter", SIDE).map(|d| Outline::HalfRound { diameter_nm: d.nm }),
        _ => {
            reader.problem("shape", "choose one");
            None
        }
    }
}

#[cfg(test)]
#[path = "shelves_tests.rs"]
mod tests;
