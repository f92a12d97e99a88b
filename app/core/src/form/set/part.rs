//! Reads why a set was taken apart.
use crate::event::{Body, SetParted};
use crate::form::quantity::Feelers;
use crate::form::{FormValues, Problem, Reader, Submission, no_form};
use crate::view::Page;
use crate::view::set::part::{FORM, SetPart};

/// The longest reason kept, in characters. House choice: three lines on a phone.
const LONGEST: usize = 200;

/// One parting.
///
/// # Errors   Every problem at once.
pub fn read(page: &Page, data: &SetPart, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    let set = match page.correcting.as_ref().map(|correcting| &correcting.body) {
        Some(Body::SetParted(body)) => body.set,
        None => data.set,
        Some(_) => return Err(no_form(values)),
    };
    if values.get("do") != FORM {
        return Err(no_form(values));
    }
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let reason = reader.needed_text("reason", "say why, in a word or two");
    if reason.chars().count() > LONGEST {
        reader.problem("reason", format!("at most {LONGEST} characters fit"));
    }
    if data.apart {
        reader.problem("reason", format!("{} is apart already", data.code));
    }
    let reason = reader.finish(Some(reason))?;
    Ok(Submission::new(vec![SetParted { set, reason }.into()], format!("/set/{}", data.code)))
}
