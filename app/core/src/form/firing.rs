//! Reads `/firings/new`.
use super::add::line;
use super::quantity::Feelers;
use super::{FormValues, NewId, Problem, Reader, Submission, no_form};
use crate::event::values::Piece;
use crate::event::{Body, KilnFired};
use crate::ids::{FiringId, KilnId};
use crate::view::Page;
use crate::view::firings::new::{Loaded, NewFiring};
use std::collections::BTreeSet;

/// A firing, and on to its page.
///
/// # Errors   Every problem at once.
pub fn read(
    page: &Page,
    data: &NewFiring,
    values: &FormValues,
    new_id: NewId<'_>,
) -> Result<Submission, Vec<Problem>> {
    let corrected = match page.correcting.as_ref().map(|correcting| &correcting.body) {
        Some(Body::KilnFired(firing)) => Some(firing),
        Some(_) => return Err(no_form(values)),
        None => None,
    };
    let kiln: Option<KilnId> = data.kiln.as_ref().map(|kiln| kiln.id);
    let (Some(kiln), "firing") = (kiln, values.get("do")) else { return Err(no_form(values)) };
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    let (ware, cone) = (reader.choice("ware"), reader.cone("cone"));
    let fired_on = reader.date("date");
    if fired_on.is_some_and(|day| day > page.today) {
        reader.ask("date", "this day is still to come; tick the box if it is right");
    }
    let pieces = pieces(&mut reader, data);
    let note = line(&mut reader, "note");
    let parts = ware.zip(cone).zip(fired_on);
    let ((ware, cone), fired_on) = reader.finish(parts)?;
    let firing = corrected.map_or_else(|| FiringId(new_id()), |firing| firing.firing);
    let plan = data.plan.as_ref().map(|plan| plan.id);
    let body = KilnFired { firing, kiln, ware, cone, fired_on, pieces, note, plan };
    Ok(Submission::new(vec![body.into()], format!("/firing/{firing}")))
}

/// What was ticked, in the order of their kinds and ids. A piece on hold must be owned up to.
fn pieces(reader: &mut Reader<'_>, data: &NewFiring) -> Vec<Piece> {
    let ticked: BTreeSet<&str> =
        reader.all("in").iter().map(|code| code.trim()).filter(|code| !code.is_empty()).collect();
    let known: Vec<&Loaded> = data.groups.iter().flat_map(|group| &group.pieces).collect();
    let strange = ticked.iter().filter(|code| known.iter().all(|piece| piece.code != **code));
    let strange: Vec<&str> = strange.copied().collect();
    if !strange.is_empty() {
        reader.problem("in", format!("{} is not in these racks; open the page again", strange.join(", ")));
    }
    let loaded: Vec<&Loaded> =
        known.into_iter().filter(|piece| ticked.contains(piece.code.as_str())).collect();
    if loaded.is_empty() {
        reader.problem("in", "tick at least one shelf or post");
    }
    let barred: Vec<String> = loaded
        .iter()
        .filter(|piece| !piece.barred.is_empty())
        .map(|piece| format!("{} is {}", piece.code, piece.barred))
        .collect();
    if !barred.is_empty() && !reader.ticked("held") {
        let said = barred.join("; ");
        reader.problem("held", format!("{said}: untick it, or tick the box that says it was in there"));
    }
    let pieces: BTreeSet<Piece> = loaded.into_iter().map(|piece| piece.piece).collect();
    pieces.into_iter().collect()
}

#[cfg(test)]
#[path = "firing_tests.rs"]
mod tests;
