//! Photos as they are shown: small, on a card and in a history.
use crate::event::Body;
use crate::event::PhotoTaken;
use crate::ids::EventId;
use crate::view::text;
use crate::world::{LogEntry, Subject, World};
use serde::{Deserialize, Serialize};

/// One photo.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Photo {
    /// Where the file is.
    pub src: String,
    /// What it shows, for those who do not see it: "F07 on 2026-03-01: crack by the post".
    pub alt: String,
    /// Its width in pixels.
    pub width: u32,
    /// Its height in pixels.
    pub height: u32,
    /// The entry that it belongs to, where it can be taken back.
    pub entry: EventId,
}

/// The photo of an entry, where it is one.
#[must_use]
pub fn of_entry(world: &World, entry: &LogEntry) -> Option<Photo> {
    match &entry.event.body {
        Body::PhotoTaken(photo) => Some(shown(world, entry, photo)),
        _ => None,
    }
}

/// A piece's photos, newest first; those taken back are left out.
#[must_use]
pub fn of(world: &World, subject: Subject) -> Vec<Photo> {
    let counting = world.history(subject).rev().filter_map(|entry| match entry.counting()? {
        Body::PhotoTaken(photo) => Some(shown(world, entry, photo)),
        _ => None,
    });
    counting.collect()
}

fn shown(world: &World, entry: &LogEntry, photo: &PhotoTaken) -> Photo {
    let code = world.code_of(photo.piece);
    let note = if photo.note.is_empty() { String::new() } else { format!(": {}", photo.note) };
    Photo {
        src: format!("/photos/{}", photo.sha256),
        alt: format!("{code} on {}{note}", text::day(entry.event.observed_at)),
        width: photo.width,
        height: photo.height,
        entry: entry.event.id,
    }
}
