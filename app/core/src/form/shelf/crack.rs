//! The form for a crack: two ends on the outline, in the studio's unit from the front left corner.
use super::{exact, fields, reader};
use crate::event::values::Ring;
use crate::event::{Body, CrackFound};
use crate::form::reader::Bounds;
use crate::form::{FormValues, NewId, Problem, Reader, Submission};
use crate::ids::CrackId;
use crate::outline::Spot;
use crate::units::Length;
use crate::view::Page;
use crate::view::shelf::crack::CrackPage;
use crate::view::text::LengthUnit;
use std::collections::BTreeMap;

/// House choice: a finger on the drawing is a few millimetres off; an end this far outside is still on the edge.
const SLACK: Length = Length(10_000_000);

pub(super) fn read(
    page: &Page,
    data: &CrackPage,
    values: &FormValues,
    new_id: NewId<'_>,
) -> Result<Submission, Vec<Problem>> {
    let mut form = reader(page, &data.named, values);
    // A correction keeps the crack's id unless another one is chosen.
    let corrected = page.correcting.as_ref().and_then(|correcting| match &correcting.body {
        Body::CrackFound(body) => Some(body.crack),
        _ => None,
    });
    let known = match form.text("crack") {
        "" | "new" => Some(None),
        id => match data
            .known
            .iter()
            .map(|known| known.id)
            .chain(corrected)
            .find(|known| known.to_string() == id)
        {
            Some(known) => Some(Some(known)),
            None => {
                form.problem("crack", "this crack is not on record; choose one of the list");
                None
            }
        },
    };
    let from = spot(&mut form, data, "from");
    let to = spot(&mut form, data, "to");
    if from.is_some() && from == to {
        form.problem("to_x", "a crack needs two different ends");
    }
    let ring = form.choice::<Ring>("ring");
    let note = form.text("note").to_owned();
    let read = known.zip(from).zip(to).zip(ring);
    let (((known, from), to), ring) = form.finish(read)?;
    let crack = known.or(corrected).unwrap_or_else(|| CrackId(new_id()));
    let body = CrackFound { shelf: data.named.shelf, crack, from, to, ring, note };
    Ok(Submission::new(vec![body.into()], data.named.path.clone()))
}

fn spot(form: &mut Reader<'_>, data: &CrackPage, end: &str) -> Option<Spot> {
    let (length, width) = data.outline.bounds();
    let (x_field, y_field) = (format!("{end}_x"), format!("{end}_y"));
    let mut part = |field: &str, most: Length| {
        let slack = SLACK.mm();
        let bounds =
            Bounds { least_mm: -slack, most_mm: most.mm() + slack, usual_mm: (-slack, most.mm() + slack) };
        // Put on the edge what is a little over it.
        form.length(field, bounds).map(|typed| typed.nm.clamp(Length::ZERO, most))
    };
    let (x, y) = (part(&x_field, length), part(&y_field, width));
    let spot = Spot { x_nm: x?, y_nm: y? };
    if data.outline.holds(spot, SLACK) {
        return Some(spot);
    }
    form.problem(
        &x_field,
        "this place is not on the shelf; measure from the front left corner of its outline",
    );
    None
}

pub(super) fn values_of(body: &CrackFound, unit: LengthUnit) -> BTreeMap<String, Vec<String>> {
    fields([
        ("crack", body.crack.to_string()),
        ("from_x", exact(body.from.x_nm, unit)),
        ("from_y", exact(body.from.y_nm, unit)),
        ("to_x", exact(body.to.x_nm, unit)),
        ("to_y", exact(body.to.y_nm, unit)),
        ("ring", body.ring.key().to_owned()),
        ("note", body.note.clone()),
    ])
}
