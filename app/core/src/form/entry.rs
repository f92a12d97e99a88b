//! Reads the form that takes an entry back.
use super::piece::note;
use super::quantity::Feelers;
use super::{FormValues, Problem, Reader, Submission, no_form};
use crate::event::EventsWithdrawn;
use crate::view::Page;
use crate::view::entry::EntryPage;

/// A withdrawal; of a withdrawal too, which lets its entries count again. The page then shows how it stands.
///
/// # Errors   An entry that is taken back already, or a reason that is too long.
pub fn read(page: &Page, data: &EntryPage, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != "withdraw" {
        return Err(no_form(values));
    }
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let reason = note(&mut reader, "reason");
    if data.withdraw.is_none() {
        reader.problem("reason", "this entry was taken back already; open it again to see by what");
    }
    let events = vec![data.event];
    let body = reader.finish(Some(EventsWithdrawn { events, reason }))?;
    Ok(Submission::new(vec![body.into()], page.path.clone()))
}
