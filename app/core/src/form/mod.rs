//! What a person typed, turned into events or into problems beside the fields.
//!
//! [`submit`] reads a form against the very page that showed it, so the browser, the server (for forms
//! posted without JavaScript) and the tests run the same reading on the same data. Nothing typed is lost:
//! on problems the page comes back with the values as typed.
//!
//! What this does not do: make ids or read clocks (both are arguments) or write anything.

pub mod add;
pub mod address;
mod batch;
mod entry;
mod firing;
mod found;
pub mod kiln;
mod labels;
mod matching;
pub(crate) mod photo;
pub mod piece;
pub mod plans;
pub mod post;
pub mod quantity;
mod reader;
pub mod set;
mod setting;
pub mod shelf;

pub use crate::world::check::Problem;
pub use reader::{Bounds, Reader};

use crate::event::{Body, EventsWithdrawn};
use crate::ids::EventId;
use crate::view::bench::{self, BenchPage};
use crate::view::{Page, PageData};
use std::collections::BTreeMap;
use uuid::Uuid;

/// A posted form: field to values, in the order posted.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct FormValues(pub BTreeMap<String, Vec<String>>);

impl FormValues {
    /// From name-value pairs, as a browser posts them.
    #[must_use]
    pub fn from_pairs(pairs: impl IntoIterator<Item = (String, String)>) -> Self {
        let mut values: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for (name, value) in pairs {
            values.entry(name).or_default().push(value);
        }
        Self(values)
    }

    /// The first value of a field as typed, empty where it is missing.
    #[must_use]
    pub fn get(&self, name: &str) -> &str {
        self.0.get(name).and_then(|values| values.first()).map_or("", String::as_str)
    }

    /// Every value of a field.
    #[must_use]
    pub fn all(&self, name: &str) -> &[String] {
        self.0.get(name).map_or(&[], Vec::as_slice)
    }
}

/// A form that could be read: what to record, and where to go when it is.
#[derive(Clone, PartialEq, Debug)]
pub struct Submission {
    /// The events' bodies, in the order in which they happened.
    pub bodies: Vec<Body>,
    /// The event that the first body corrects.
    pub corrects: Option<EventId>,
    /// The page to go to. `done` and `n` are added to its query.
    pub next: String,
    /// Whether `next` shows the banner with its undo; not after an undo.
    pub banner: bool,
}

impl Submission {
    /// Bodies to record, then a page.
    pub fn new(bodies: Vec<Body>, next: impl Into<String>) -> Self {
        Self { bodies, corrects: None, next: next.into(), banner: true }
    }

    /// The address to go to once `last` is recorded.
    #[must_use]
    pub fn next_after(&self, last: EventId) -> String {
        if !self.banner {
            return self.next.clone();
        }
        let join = if self.next.contains('?') { '&' } else { '?' };
        format!("{}{join}done={last}&n={}", self.next, self.bodies.len())
    }
}

/// Makes ids. The browser and the server make UUIDv7; tests count.
pub type NewId<'a> = &'a mut dyn FnMut() -> Uuid;

/// Reads a posted form against the page that showed it.
///
/// # Errors   Every problem at once, in the order of the fields.
pub fn submit(page: &Page, values: &FormValues, new_id: NewId<'_>) -> Result<Submission, Vec<Problem>> {
    if values.get("do") == "undo" {
        return undo(page, values);
    }
    let mut read = submit_page(page, values, new_id)?;
    if page.bench && page.correcting.is_none() && is_of_one_piece(page) {
        bench::NEXT.clone_into(&mut read.next);
    }
    read.corrects = page.correcting.as_ref().map(|correcting| correcting.event);
    Ok(read)
}

/// Whether the page's form is about the one piece in the hand: in bench mode, the next piece comes after it.
fn is_of_one_piece(page: &Page) -> bool {
    match &page.data {
        PageData::Shelf(_) | PageData::Piece(_) | PageData::PostDress(_) => true,
        PageData::PostMeasure(data) => data.run.is_none(),
        _ => false,
    }
}

/// One line a page: which reading belongs to which data.
fn submit_page(page: &Page, values: &FormValues, new_id: NewId<'_>) -> Result<Submission, Vec<Problem>> {
    match &page.data {
        PageData::Piece(data) => piece::read(page, data, values),
        PageData::Entry(data) => entry::read(page, data, values),
        PageData::Bench(BenchPage::Batch(data)) => batch::read(page, data, values),
        PageData::Bench(_) => Err(no_form(values)),
        PageData::AfterFiring(data) => found::read(page, data, values),
        PageData::NewFiring(data) => firing::read(page, data, values, new_id),
        PageData::Setting(data) => setting::read(page, data, values),
        PageData::AddKiln(data) => add::kiln::read(page, data, values, new_id),
        PageData::AddShelves(data) => add::shelves::read(page, data, values, new_id),
        PageData::AddPosts(data) => add::posts::read(page, data, values, new_id),
        PageData::PostMeasure(data) => post::measure::read(page, data, values),
        PageData::PostDress(data) => post::dress::read(page, data, values),
        PageData::SetNew(data) => set::new::read(page, data, values, new_id),
        PageData::SetPart(data) => set::part::read(page, data, values),
        PageData::PostCard(_) | PageData::PostList(_) | PageData::SetCard(_) | PageData::SetList(_) => {
            Err(no_form(values))
        }
        PageData::Shelf(data) => shelf::read(page, data, values, new_id),
        PageData::Home(_)
        | PageData::Rack(_)
        | PageData::Find(_)
        | PageData::Scan(_)
        | PageData::NotFound(_) => Err(no_form(values)),
        PageData::Record(_) | PageData::Firings(_) | PageData::Firing(_) => Err(no_form(values)),
        PageData::KilnInside(data) => kiln::read(page, data, values),
        PageData::Plans(data) => plans::read(page, data, values, new_id),
        PageData::Kiln(_) => Err(no_form(values)),
        PageData::Match(data) => matching::read(page, data, values, new_id),
        PageData::Labels(data) => labels::read(page, data, values, new_id),
        PageData::Phone(_)
        | PageData::Settings(_)
        | PageData::Life(_)
        | PageData::More(_)
        | PageData::About => Err(no_form(values)),
    }
}

/// What is said to a form that the page does not have: an old page of an older build, most likely.
#[must_use]
pub fn no_form(values: &FormValues) -> Vec<Problem> {
    vec![Problem::new("do", format!("this page has no form {:?}; open it again", values.get("do")))]
}

/// The undo in the banner, on every page.
fn undo(page: &Page, values: &FormValues) -> Result<Submission, Vec<Problem>> {
    let events: Vec<EventId> = values.all("event").iter().filter_map(|text| text.parse().ok()).collect();
    if events.is_empty() || events.len() != values.all("event").len() {
        return Err(vec![Problem::new("event", "there is nothing to take back here; open the page again")]);
    }
    let body = EventsWithdrawn { events, reason: values.get("reason").trim().to_owned() };
    Ok(Submission { bodies: vec![body.into()], corrects: None, next: after_undo(page), banner: false })
}

/// Where an undo leads: to the page it was tapped on; in a run, to the post that was taken back.
fn after_undo(page: &Page) -> String {
    match &page.data {
        PageData::PostMeasure(data) => data.after_undo.clone(),
        PageData::Bench(BenchPage::Undo(data)) => data.address.clone(),
        _ if page.bench => bench::keep(&page.path),
        _ => page.path.clone(),
    }
}
