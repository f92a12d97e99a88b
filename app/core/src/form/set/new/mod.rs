//! Reads a new set: which posts, its code, the shelf and the inset it is judged under.
use crate::code::Code;
use crate::event::{Body, SetMade};
use crate::form::quantity::Feelers;
use crate::form::{FormValues, NewId, Problem, Reader, Submission, no_form};
use crate::ids::{SetId, ShelfId};
use crate::view::Page;
use crate::view::set::choose::read_inset;
use crate::view::set::new::{FORM, Pick, SetNew};

/// One set; its posts in the places where they stand best.
///
/// # Errors   Every problem at once.
pub fn read(
    page: &Page,
    data: &SetNew,
    values: &FormValues,
    new_id: NewId<'_>,
) -> Result<Submission, Vec<Problem>> {
    let own = match page.correcting.as_ref().map(|correcting| &correcting.body) {
        Some(Body::SetMade(body)) => Some((body.set, body.code.clone())),
        None => None,
        Some(_) => return Err(no_form(values)),
    };
    if values.get("do") != FORM {
        return Err(no_form(values));
    }
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let ticked = ticked(&mut reader, data);
    let shelf = shelf(&mut reader, data);
    let inset = match read_inset(reader.text("inset"), page.unit) {
        Ok(inset) => Some(inset),
        Err(cause) => {
            reader.problem("inset", cause);
            None
        }
    };
    let code = code(&mut reader, data, own.as_ref().map(|(_, code)| code));
    let (((ticked, shelf), inset), code) = reader.finish(Some(ticked).zip(shelf).zip(inset).zip(code))?;
    let in_place = data.in_place(&ticked, values.get("shelf").trim(), inset);
    let set = own.map_or_else(|| SetId(new_id()), |(set, _)| set);
    let next = format!("/set/{code}");
    let posts = in_place.into_iter().map(|pick| pick.post).collect();
    Ok(Submission::new(vec![SetMade { set, code, posts, shelf, inset_nm: inset }.into()], next))
}

fn ticked<'a>(reader: &mut Reader<'_>, data: &'a SetNew) -> Vec<&'a Pick> {
    let ticked: Vec<&Pick> = data.posts.iter().filter(|pick| reader.ticked(&pick.field())).collect();
    match ticked.len() {
        3 | 4 => {}
        n => reader.problem("posts", format!("a set is three or four posts; {n} are ticked")),
    }
    for pick in ticked.iter().filter(|pick| pick.known.barred.starts_with("retired")) {
        reader.problem("posts", format!("{} is {}; tick another", pick.known.code, pick.known.barred));
    }
    ticked
}

/// The chosen shelf; `Some(None)` where none is.
fn shelf(reader: &mut Reader<'_>, data: &SetNew) -> Option<Option<ShelfId>> {
    let code = reader.text("shelf");
    if code.is_empty() {
        return Some(None);
    }
    let found = data.stand.with_code(code).map(|shelf| Some(shelf.shelf));
    if found.is_none() {
        reader.problem("shelf", format!("no shelf in service has the code {code}"));
    }
    found
}

fn code(reader: &mut Reader<'_>, data: &SetNew, own: Option<&Code>) -> Option<Code> {
    let code = reader.code("code")?;
    if data.taken.contains(&code) && own != Some(&code) {
        reader.problem("code", format!("{code} is taken; {} is free", data.code));
        return None;
    }
    Some(code)
}

#[cfg(test)]
mod tests;
