//! Reads the heights of posts: one, or a list of them.
//!
//! Refused: below half or above twice the nominal height, and negative ones with them. Asked about: more
//! than 3 mm off the last height, or off nominal where there is none.
use crate::event::values::Instrument;
use crate::event::{Body, PostMeasured};
use crate::form::{Bounds, FormValues, Problem, Reader, Submission, no_form};
use crate::units::Length;
use crate::view::Page;
use crate::view::post::measure::{FORM, MeasurePost, PostMeasure};
use crate::view::text::{LengthUnit, length};

/// A height that differs by more than this from the last one is asked about.
/// House choice: posts near burners were seen to shorten by 2 to 3 mm in their whole life.
const ODD: Length = Length(3_000_000);

/// How far an end may be out of square. House choice: over 10 mm it is a broken end, not a worn one; 3 mm
/// across a common 38 mm leans a post 4.5 degrees, twice what the trade's worst example leans.
const SQUARE: Bounds = Bounds { least_mm: 0.0, most_mm: 10.0, usual_mm: (0.0, 3.0) };

/// One height, or every height that was filled in: one event each.
///
/// # Errors   Every problem at once.
pub fn read(page: &Page, data: &PostMeasure, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != FORM {
        return Err(no_form(values));
    }
    let mut reader = Reader::new(values, page.unit, data.feelers.clone());
    let instrument: Option<Instrument> = reader.choice("instrument");
    if data.all {
        let bodies = many(&mut reader, page.unit, data, instrument);
        return Ok(Submission::new(reader.finish(bodies)?, data.next.clone()));
    }
    let Some(post) = data.posts.first() else { return Err(no_form(values)) };
    let corrected = match page.correcting.as_ref().map(|correcting| &correcting.body) {
        Some(Body::PostMeasured(body)) => Some(body.post),
        Some(_) => return Err(no_form(values)),
        None => None,
    };
    let height = one(&mut reader, page.unit, post, "height", corrected.is_none());
    let square = reader.optional_length("square", SQUARE);
    let (height, instrument) = reader.finish(height.zip(instrument))?;
    let post = corrected.unwrap_or(post.post);
    let body = PostMeasured { post, height, instrument, out_of_square: square };
    // The run goes on with the instrument that was chosen here.
    let with = |key: &str| format!("with={key}&");
    let next = data.next.replace(&with(&data.instrument), &with(instrument.key()));
    Ok(Submission::new(vec![body.into()], next))
}

/// One height. `compare`: whether the last reading is one to compare with; not where it is the one corrected.
fn one(
    reader: &mut Reader<'_>,
    unit: LengthUnit,
    post: &MeasurePost,
    field: &str,
    compare: bool,
) -> Option<crate::event::values::Typed> {
    let nominal = post.nominal.mm();
    let possible = (nominal / 2.0, nominal * 2.0);
    let bounds = Bounds { least_mm: possible.0, most_mm: possible.1, usual_mm: possible };
    let typed = reader.length(field, bounds)?;
    let (before, what) = match post.last.filter(|_| compare) {
        Some(last) => (last, "last time"),
        None => (post.nominal, "its nominal height"),
    };
    let change = typed.nm - before;
    if change.abs() > ODD {
        let word = if change.0 > 0 { "more" } else { "less" };
        let (shown, off, before) = (length(typed.nm, unit), length(change.abs(), unit), length(before, unit));
        reader.ask(
            field,
            format!("{shown} is {off} {word} than {what} ({before}); tick the box if it is right"),
        );
    }
    Some(typed)
}

/// Every height that was filled in.
fn many(
    reader: &mut Reader<'_>,
    unit: LengthUnit,
    data: &PostMeasure,
    instrument: Option<Instrument>,
) -> Option<Vec<Body>> {
    let mut bodies = Vec::new();
    for post in &data.posts {
        let field = field_of(post);
        if reader.text(&field).is_empty() {
            continue;
        }
        let height = one(reader, unit, post, &field, true);
        if let Some((height, instrument)) = height.zip(instrument) {
            bodies.push(PostMeasured { post: post.post, height, instrument, out_of_square: None }.into());
        }
    }
    let first = data.posts.first()?;
    if data.posts.iter().all(|post| reader.text(&field_of(post)).is_empty()) {
        reader.problem(&field_of(first), "type at least one height");
    }
    Some(bodies)
}

/// The name of a post's field in the list of all.
#[must_use]
pub fn field_of(post: &MeasurePost) -> String {
    format!("height_{}", post.code)
}

#[cfg(test)]
mod tests;
