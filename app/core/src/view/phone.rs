//! `/phone`: what is on this phone and not on the server, and what the server did not take.
//!
//! The server cannot see what a phone holds: the page that it renders says so, and the phone's own program
//! puts [`of`] in its place. What was not taken also stands in the history of its piece: [`with_not_taken`].
use super::route::Parts;
use super::shelf::ShelfPage;
use super::{FormState, HistoryLine, Page, PageData, Request, Tab, history, text};
use crate::code::Code;
use crate::event::Event;
use crate::ids::EventId;
use crate::photo::PhotoHash;
use crate::sync::{Held, PhotoRow, WaitState, Waiting};
use crate::world::{Subject, World, subjects};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// The page's data.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct PhonePage {
    /// Whether the phone itself made the page.
    pub known: bool,
    /// How much waits, in words.
    pub said: String,
    /// What is on this phone only, oldest first.
    pub waiting: Vec<WaitingLine>,
    /// The photos among it, oldest first.
    pub photos: Vec<PhotoLine>,
    /// What the server did not take, oldest first.
    pub not_taken: Vec<WaitingLine>,
    /// The photos that it did not take, oldest first.
    pub photos_not_taken: Vec<PhotoLine>,
    /// "1,789 entries of the studio are kept here".
    pub kept: String,
    /// When the server last answered, in words.
    pub exchanged: String,
    /// What all of it takes of the phone's storage; empty where the browser does not say.
    pub used: String,
    /// Whether the server lets this phone in.
    pub paired: bool,
}

/// What the phone knows of its dealings with the server beside what it holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Dealings {
    /// When an exchange last ended well.
    pub last_exchange: Option<Timestamp>,
    /// False once the server said that it does not know this phone.
    pub paired: bool,
    /// What the browser says that everything of this site takes, in bytes.
    pub used_bytes: Option<u64>,
    /// The part of it that entries take, where the browser tells it apart.
    pub used_by_entries_bytes: Option<u64>,
}

impl Default for Dealings {
    fn default() -> Self {
        Self { last_exchange: None, paired: true, used_bytes: None, used_by_entries_bytes: None }
    }
}

/// One entry that waits, or was not taken.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct WaitingLine {
    /// The entry.
    pub event: EventId,
    /// When it was recorded: "2026-03-01 14:05".
    pub at: String,
    /// What happened, in one line.
    pub said: String,
    /// Why the server did not take it; empty while it waits.
    pub why: Vec<String>,
}

/// One photo that waits, or was not taken.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PhotoLine {
    /// Its name.
    pub sha256: PhotoHash,
    /// What it is of, and its size: "F07: photo (crack), 412 kB".
    pub said: String,
    /// Why the server did not take it; empty while it waits.
    pub why: String,
}

/// The page as the server renders it.
#[must_use]
pub fn page() -> Parts {
    parts(PhonePage::default())
}

/// The page as the phone makes it.
#[must_use]
pub fn of(held: &Held, world: &World, dealings: &Dealings, request: &Request) -> Page {
    let mut waiting: Vec<&Waiting> =
        held.waiting.values().filter(|entry| entry.state == WaitState::ToSend).collect();
    waiting.sort_by_key(|entry| entry.record.order());
    let lines = |entries: Vec<&Waiting>| entries.into_iter().map(|entry| line(world, entry)).collect();
    let mut photos: Vec<&PhotoRow> = held.photos.values().filter(|row| row.waits()).collect();
    photos.sort_by_key(|row| row.kept_ms);
    let photos_not_taken = held.photos_not_taken().into_iter();
    let data = PhonePage {
        known: true,
        said: waiting_said(waiting.len(), photos.len()),
        waiting: lines(waiting),
        photos: photos.into_iter().map(|row| photo_line(world, row, "")).collect(),
        not_taken: lines(held.not_taken()),
        photos_not_taken: photos_not_taken.map(|(row, why)| photo_line(world, row, why)).collect(),
        kept: format!("{} of the studio are kept here", text::count(held.phone.cursor, "entry", "entries")),
        exchanged: dealings.last_exchange.map_or_else(
            || "This phone and the server have not yet exchanged what they have.".to_owned(),
            |at| format!("Last exchange with the server: {} UTC.", text::moment(at)),
        ),
        used: used(
            dealings,
            held.records().count(),
            held.photos.values().map(|row| u64::from(row.bytes)).sum(),
        ),
        paired: dealings.paired,
    };
    Page { data: PageData::Phone(data), ..super::page(world, request) }
}

/// "10 entries and 1 photo are on this phone and go to the server as soon as it can be reached."
fn waiting_said(n_entries: usize, n_photos: usize) -> String {
    let counted = |n: usize, one: &str, many: &str| (n > 0).then(|| text::count(n as u64, one, many));
    let parts = [counted(n_entries, "entry", "entries"), counted(n_photos, "photo", "photos")];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    let (is, goes) = if n_entries + n_photos == 1 { ("is", "goes") } else { ("are", "go") };
    if parts.is_empty() {
        return "Nothing waits: the server has all that was recorded here.".to_owned();
    }
    format!(
        "{} {is} on this phone and {goes} to the server as soon as it can be reached.",
        parts.join(" and ")
    )
}

fn photo_line(world: &World, row: &PhotoRow, why: &str) -> PhotoLine {
    let of = row.entry.and_then(|id| world.entry(id)).map(|entry| history::said(world, &entry.event));
    let said = format!("{}, {}", of.as_deref().unwrap_or("photo"), kilobytes(u64::from(row.bytes)));
    PhotoLine { sha256: row.sha256.clone(), said, why: why.to_owned() }
}

fn parts(data: PhonePage) -> Parts {
    Parts {
        title: "This phone".to_owned(),
        subtitle: "what is on it, and what is on the server".to_owned(),
        tab: Tab::More,
        data: PageData::Phone(data),
        form: FormState::default(),
    }
}

/// "4.2 MB of storage, of it 1.1 MB for photos and 560 kB for each 1,000 entries"; kilobytes of 1,000 bytes, as
/// phones count.
fn used(dealings: &Dealings, n_entries: usize, photos_bytes: u64) -> String {
    let Some(all) = dealings.used_bytes else { return String::new() };
    let n_entries = u64::try_from(n_entries).unwrap_or(u64::MAX);
    // The browser counts photos and entries together.
    let of_entries = dealings.used_by_entries_bytes.map(|bytes| bytes.saturating_sub(photos_bytes));
    let each = of_entries.and_then(|bytes| bytes.saturating_mul(1_000).checked_div(n_entries));
    let each = each.map(|each| format!("{} for each 1,000 entries", kilobytes(each)));
    let photos = (photos_bytes > 0).then(|| format!("{} for photos", kilobytes(photos_bytes)));
    let parts: Vec<String> = photos.into_iter().chain(each).collect();
    let of_it = if parts.is_empty() { String::new() } else { format!(", of it {}", parts.join(" and ")) };
    format!("All of it takes {} of this phone's storage{of_it}.", kilobytes(all))
}

fn kilobytes(bytes: u64) -> String {
    let kilobytes = bytes.div_ceil(1_000);
    let (whole, rest) = (kilobytes / 1_000, kilobytes % 1_000);
    if whole == 0 { format!("{rest} kB") } else { format!("{whole}.{} MB", rest / 100) }
}

/// The page with what the server did not take of its piece at the top of the history.
#[must_use]
pub fn with_not_taken(held: &Held, world: &World, mut page: Page) -> Page {
    let subject = page.path.rsplit('/').next().and_then(|code| world.by_code(&Code::read(code).ok()?));
    let (subject, history) = match (&mut page.data, subject) {
        (PageData::Shelf(ShelfPage::Card(card)), _) => (Subject::Shelf(card.shelf), &mut card.history),
        (PageData::PostCard(card), Some(subject)) => (subject, &mut card.history),
        _ => return page,
    };
    for entry in held.not_taken() {
        let event = Event::read(&entry.record).ok();
        if event.is_some_and(|event| subjects(&event.body).contains(&subject)) {
            let line = line(world, entry);
            let standing = format!("not taken by the server: {}", line.why.join("; "));
            history.insert(
                0,
                HistoryLine {
                    event: line.event,
                    at: line.at,
                    said: line.said,
                    standing,
                    counts: false,
                    photo: None,
                },
            );
        }
    }
    page
}

fn line(world: &World, entry: &Waiting) -> WaitingLine {
    let said = match Event::read(&entry.record) {
        Ok(event) => history::said(world, &event),
        Err(cause) => cause.to_string(),
    };
    WaitingLine {
        event: entry.record.id,
        at: text::moment(entry.record.observed_at),
        said,
        why: match &entry.state {
            WaitState::ToSend | WaitState::Acknowledged { .. } => Vec::new(),
            WaitState::Conflict => vec!["the server has another entry under this one's id".to_owned()],
            WaitState::Refused { problems, .. } if problems.is_empty() => {
                vec!["another entry of the same form was refused".to_owned()]
            }
            WaitState::Refused { problems, .. } => problems.iter().map(|one| one.cause.clone()).collect(),
        },
    }
}

/// Whether the server has these entries, and the photos that they name.
#[must_use]
pub fn has_reached_the_server(held: &Held, entries: &[EventId]) -> bool {
    let waits = |id: &EventId| held.waiting.get(id).is_some_and(|entry| entry.state == WaitState::ToSend);
    let lacks_photo = |row: &PhotoRow| row.waits() && row.entry.is_some_and(|id| entries.contains(&id));
    !entries.iter().any(waits) && !held.photos.values().any(lacks_photo)
}

/// The badge where nothing is left to do.
pub const ALL_THERE: &str = "On the server";

/// What the badge says: "On this phone: 7 waiting, 1 photo", "On the server" once all of it is there, how much
/// was not taken, and whether the server knows this phone at all.
#[must_use]
pub fn badge(held: &Held, paired: bool) -> String {
    let (n_waiting, n_photos) = (held.n_waiting(), held.n_photos_waiting());
    let photos = text::count(n_photos as u64, "photo", "photos");
    let waiting = match (n_waiting, n_photos) {
        (0, 0) => None,
        (n, 0) => Some(format!("{n} waiting")),
        (0, _) => Some(format!("{photos} waiting")),
        (n, _) => Some(format!("{n} waiting, {photos}")),
    };
    let mut said = match (waiting, paired) {
        (None, true) => ALL_THERE.to_owned(),
        (Some(waiting), true) => format!("On this phone: {waiting}"),
        (None, false) => "Not paired".to_owned(),
        (Some(waiting), false) => format!("Not paired; on this phone: {waiting}"),
    };
    let n_not_taken = held.not_taken().len() + held.photos_not_taken().len();
    if n_not_taken > 0 {
        said.push_str(&format!("; {n_not_taken} not taken"));
    }
    said
}

#[cfg(test)]
#[path = "phone_tests.rs"]
mod tests;
