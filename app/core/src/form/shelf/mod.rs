//! The forms of one shelf: a reading, a crack, grinding, wash, a tap, a turn, a grade.
//!
//! [`read`] turns what was typed into an event's body; [`values_of`] is its inverse, with which a correction
//! begins. What this does not do: record, or set which entry a correction replaces.

mod crack;
mod grid;
mod log;
mod measure;

pub(super) use log::recipe;

use super::{FormValues, NewId, Problem, Reader, Submission, no_form};
use crate::event::Body;
use crate::event::values::Typed;
use crate::form::quantity::{Feelers, read_length};
use crate::units::Length;
use crate::view::Page;
use crate::view::shelf::ShelfPage;
use crate::view::shelf::log::Named;
use crate::view::text::{LengthUnit, length_input};
use std::collections::BTreeMap;

/// Reads one of a shelf's forms.
///
/// # Errors   Every problem at once, in the order of the fields.
pub fn read(
    page: &Page,
    data: &ShelfPage,
    values: &FormValues,
    new_id: NewId<'_>,
) -> Result<Submission, Vec<Problem>> {
    let action = values.get("do");
    match (data, action) {
        (ShelfPage::Card(card), "ground_fine") => log::ground_fine(card).ok_or_else(|| no_form(values)),
        (ShelfPage::Measure(data), "record") => measure::read(page, data, values),
        (ShelfPage::Crack(data), "record") => crack::read(page, data, values, new_id),
        (ShelfPage::Ground(data), "record") => log::ground(page, data, values),
        (ShelfPage::Washed(data), "record") => log::washed(page, data, values),
        (ShelfPage::Tapped(named), "record") => log::tapped(page, named, values),
        (ShelfPage::Flipped(data), "record") => log::flipped(page, &data.named, values),
        (ShelfPage::Graded(named), "record") => log::graded(page, named, values),
        _ => Err(no_form(values)),
    }
}

/// What the fields of a form held when this body was read from them; empty for a body of another form.
#[must_use]
pub fn values_of(body: &Body, unit: LengthUnit, feelers: &Feelers) -> BTreeMap<String, Vec<String>> {
    match body {
        Body::ShelfMeasured(body) => measure::values_of(body, Typing { unit, feelers }),
        Body::CrackFound(body) => crack::values_of(body, unit),
        Body::ShelfGround(body) => log::ground_values(body, unit),
        Body::ShelfWashed(body) => log::washed_values(body),
        Body::ShelfTapped(body) => fields([("ring", body.ring.key().to_owned())]),
        Body::ShelfFlipped(body) => fields([("face", body.up.key().to_owned())]),
        Body::ShelfGraded(body) => fields([("fit_for", body.fit_for.key().to_owned())]),
        _ => BTreeMap::new(),
    }
}

/// What a typed text rests on when it is shown again.
#[derive(Clone, Copy)]
struct Typing<'a> {
    unit: LengthUnit,
    feelers: &'a Feelers,
}

impl Typing<'_> {
    /// The text as typed where it still reads as the same length, else the length itself: the unit of the
    /// studio or the thickness of its bank card may have changed since.
    fn text(self, typed: &Typed) -> String {
        if self.reads(&typed.text) == Some(typed.nm) {
            typed.text.clone()
        } else {
            exact(typed.nm, self.unit)
        }
    }

    fn reads(self, text: &str) -> Option<Length> {
        read_length(text, self.unit, self.feelers).ok()
    }
}

fn reader<'a>(page: &Page, named: &Named, values: &'a FormValues) -> Reader<'a> {
    Reader::new(values, page.unit, named.feelers.clone())
}

/// Fields with one value each; empty ones are left out.
fn fields<const N: usize>(pairs: [(&str, String); N]) -> BTreeMap<String, Vec<String>> {
    let filled = pairs.into_iter().filter(|(_, value)| !value.is_empty());
    filled.map(|(name, value)| (name.to_owned(), vec![value])).collect()
}

/// A length that reads back as itself: in the page's unit where that shows all of it, else in millimetres to
/// the last nanometre.
pub(crate) fn exact(value: Length, unit: LengthUnit) -> String {
    let shown = length_input(value, unit);
    let back = super::quantity::read_length(&shown, unit, &super::quantity::Feelers::default());
    if back == Ok(value) {
        return shown;
    }
    let (whole, part) = (value.0.unsigned_abs() / 1_000_000, value.0.unsigned_abs() % 1_000_000);
    let sign = if value.0 < 0 { "-" } else { "" };
    let text = format!("{sign}{whole}.{part:06}");
    format!("{} mm", text.trim_end_matches('0').trim_end_matches('.'))
}

#[cfg(test)]
mod odd_tests;
#[cfg(test)]
mod tests;
