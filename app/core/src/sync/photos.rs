//! Photos on the phone: which are to be sent, what the server's answer means, and which copies may go.
//!
//! A photo is kept on the phone when it is taken; [`Held::record`] ties it to the entry that names it, in the
//! transaction that keeps the entry, and from then on it waits for the server. One that no entry names was
//! looked at and not wanted: it is not sent, and goes after a day. A restored server may lack what it had: a
//! new generation lets every photo wait again ([`Held::begin_again`](super::Held)).
//!
//! What this does not do: hold the pictures. Here are their rows; the files lie beside them in the phone's store.
use super::wire::{PhotoKept, Status};
use super::{Draft, Held, Write};
use crate::event::Body;
use crate::ids::EventId;
use crate::photo::{PhotoHash, PhotoKind};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// How long a photo stays that no entry names. House choice: a day, longer than anybody leaves a form open.
pub const UNNAMED_FOR_MS: i64 = DAY_MS;

/// How long the phone keeps its copy of what the server has. House choice: 30 days, a few firings: what is
/// spoken of at the bench is then shown without the server, too.
pub const SENT_FOR_MS: i64 = 30 * DAY_MS;

/// How much such copies may take together. House choice: 50 MB, some 100 photos of half a megabyte.
pub const MOST_SENT_BYTES: u64 = 50_000_000;

const DAY_MS: i64 = 24 * 60 * 60 * 1000;

/// A photo that is on this phone.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PhotoRow {
    /// Its name.
    pub sha256: PhotoHash,
    /// What kind of file it is.
    pub media: PhotoKind,
    /// How long the file is.
    pub bytes: u32,
    /// When it was last taken or chosen, by this phone's clock.
    pub kept_ms: i64,
    /// The first entry here that names it; none before one is recorded.
    pub entry: Option<EventId>,
    /// How far it has come.
    pub state: PhotoState,
}

/// How far a photo has come.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PhotoState {
    /// To be sent, once an entry names it.
    ToSend,
    /// The server has it; this is a copy.
    OnServer {
        /// When it said so, by this phone's clock.
        since_ms: i64,
    },
    /// The server refused it. As a refused entry it is offered again when the feed has brought something new.
    Refused {
        /// Why.
        why: String,
        /// The generation in which it was refused.
        generation: u64,
        /// The cursor at which it was refused.
        cursor: u64,
    },
}

impl PhotoRow {
    /// Whether an entry of this phone is not whole on the server for want of it.
    #[must_use]
    pub fn waits(&self) -> bool {
        self.entry.is_some() && self.state == PhotoState::ToSend
    }

    fn is_due(&self, held: &Held) -> bool {
        match self.state {
            PhotoState::ToSend => self.waits(),
            PhotoState::Refused { generation, cursor, .. } => {
                self.entry.is_some() && (generation, cursor) != (held.phone.generation, held.phone.cursor)
            }
            PhotoState::OnServer { .. } => false,
        }
    }
}

/// A photo to send.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PhotoOffer {
    /// The generation in which it is offered.
    pub generation: u64,
    /// Which.
    pub sha256: PhotoHash,
}

/// What the server said to a photo.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum PhotoAnswer {
    /// It has it.
    Kept,
    /// It does not want it, whatever comes: with its reason.
    Refused(String),
}

impl PhotoAnswer {
    /// Reads the answer to `POST /api/v1/photos`; none where it is about something else than this photo: the
    /// phone is not let in, the server is in trouble, or somebody else answered.
    #[must_use]
    pub fn read(status: u16, text: &str, sent: &PhotoHash) -> Option<Self> {
        match status {
            200 | 201 => {
                let kept: PhotoKept = serde_json::from_str(text).ok()?;
                let has = matches!(kept.status, Status::Stored | Status::AlreadyHad);
                (has && kept.sha256 == *sent).then_some(Self::Kept)
            }
            // RFC 9110: too long, of no kind that is kept, not what its name says.
            413 | 415 | 422 => {
                let told: Option<serde_json::Value> = serde_json::from_str(text).ok();
                let why = told.as_ref().and_then(|told| told.get("error")?.as_str());
                Some(Self::Refused(why.unwrap_or("the server did not keep this photo").to_owned()))
            }
            _ => None,
        }
    }
}

/// One run through the photos that wait. It lives in memory, and offers each once: what fails waits for the next.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct PhotoRound {
    offered: BTreeSet<PhotoHash>,
}

impl PhotoRound {
    /// What to send next, oldest first.
    pub fn next(&mut self, held: &Held) -> Option<PhotoOffer> {
        let due = held.photos.values().filter(|row| row.is_due(held) && !self.offered.contains(&row.sha256));
        let sha256 = due.min_by_key(|row| (row.kept_ms, &row.sha256))?.sha256.clone();
        self.offered.insert(sha256.clone());
        Some(PhotoOffer { generation: held.phone.generation, sha256 })
    }
}

impl Held {
    /// Puts a photo down that was taken or chosen. One that is here already keeps what is known of it, but a
    /// refused one is tried again.
    #[must_use]
    pub fn keep_photo(&self, sha256: &PhotoHash, media: PhotoKind, bytes: u32, now_ms: i64) -> Write {
        let before = self.photos.get(sha256);
        let state = match before.map(|row| &row.state) {
            Some(PhotoState::OnServer { since_ms }) => PhotoState::OnServer { since_ms: *since_ms },
            _ => PhotoState::ToSend,
        };
        let entry = before.and_then(|row| row.entry);
        let row = PhotoRow { sha256: sha256.clone(), media, bytes, kept_ms: now_ms, entry, state };
        Write { put_photos: vec![row], ..Write::default() }
    }

    /// Whether the photos that these entries name are on this phone.
    ///
    /// # Errors   One line: one is not, and what to do.
    pub fn has_photos_of(&self, drafts: &[Draft]) -> Result<(), String> {
        let mut named = drafts.iter().filter_map(|draft| named(&draft.body));
        if named.all(|sha256| self.photos.contains_key(sha256)) {
            return Ok(());
        }
        Err("the photo is no longer on this phone; choose it again".to_owned())
    }

    /// The rows of the photos that these entries name, tied to them.
    pub(super) fn tie_photos(&self, drafts: &[Draft]) -> Vec<PhotoRow> {
        let tied = drafts.iter().filter_map(|draft| {
            let row = self.photos.get(named(&draft.body)?)?;
            row.entry.is_none().then(|| PhotoRow { entry: Some(draft.id), ..row.clone() })
        });
        tied.collect()
    }

    /// What the answer to `offer` changes. Needs the phone's row and those of its photos.
    #[must_use]
    pub fn take_photo(&self, offer: &PhotoOffer, answer: &PhotoAnswer, now_ms: i64) -> Write {
        let (generation, cursor) = (self.phone.generation, self.phone.cursor);
        // Another tab may have had its answer, or a store of another numbering gave this one.
        let waits = |row: &&PhotoRow| !matches!(row.state, PhotoState::OnServer { .. });
        let Some(row) = self.photos.get(&offer.sha256).filter(waits) else { return Write::default() };
        if offer.generation != generation {
            return Write::default();
        }
        let state = match answer {
            PhotoAnswer::Kept => PhotoState::OnServer { since_ms: now_ms },
            PhotoAnswer::Refused(why) => PhotoState::Refused { why: why.clone(), generation, cursor },
        };
        Write { put_photos: vec![PhotoRow { state, ..row.clone() }], ..Write::default() }
    }

    /// The photos that must be sent again to a server whose numbering is new.
    pub(super) fn photos_again(&self) -> Vec<PhotoRow> {
        let sent = self.photos.values().filter(|row| matches!(row.state, PhotoState::OnServer { .. }));
        sent.map(|row| PhotoRow { state: PhotoState::ToSend, ..row.clone() }).collect()
    }

    /// Lets go of photos that nobody wants and of copies that are old or too many.
    #[must_use]
    pub fn tidy_photos(&self, now_ms: i64) -> Write {
        let mut sent: Vec<(i64, &PhotoRow)> = Vec::new();
        let mut drop_photos = Vec::new();
        for row in self.photos.values() {
            match row.state {
                PhotoState::OnServer { since_ms } => sent.push((since_ms.max(row.kept_ms), row)),
                _ if row.entry.is_none() && row.kept_ms.saturating_add(UNNAMED_FOR_MS) < now_ms => {
                    drop_photos.push(row.sha256.clone());
                }
                PhotoState::ToSend | PhotoState::Refused { .. } => {}
            }
        }
        // The newest are kept first.
        sent.sort_by_key(|(since_ms, row)| (std::cmp::Reverse(*since_ms), &row.sha256));
        let mut together = 0;
        for (since_ms, row) in sent {
            together += u64::from(row.bytes);
            if since_ms.saturating_add(SENT_FOR_MS) < now_ms || together > MOST_SENT_BYTES {
                drop_photos.push(row.sha256.clone());
            }
        }
        Write { drop_photos, ..Write::default() }
    }

    /// Lets go of every copy of what the server has: the phone has no room left.
    #[must_use]
    pub fn make_room(&self) -> Write {
        let sent = self.photos.values().filter(|row| matches!(row.state, PhotoState::OnServer { .. }));
        Write { drop_photos: sent.map(|row| row.sha256.clone()).collect(), ..Write::default() }
    }

    /// How many photos of entries are on this phone and not known to be on the server.
    #[must_use]
    pub fn n_photos_waiting(&self) -> usize {
        self.photos.values().filter(|row| row.waits()).count()
    }

    /// The photos that the server did not take, with its reason, oldest first.
    #[must_use]
    pub fn photos_not_taken(&self) -> Vec<(&PhotoRow, &str)> {
        let refused = self.photos.values().filter_map(|row| match &row.state {
            PhotoState::Refused { why, .. } => Some((row, why.as_str())),
            PhotoState::ToSend | PhotoState::OnServer { .. } => None,
        });
        let mut found: Vec<_> = refused.collect();
        found.sort_by_key(|(row, _)| row.kept_ms);
        found
    }

    /// Puts refused photos away for good: a person looked at them and said so. Others are left alone.
    #[must_use]
    pub fn put_photos_away(&self, photos: &[PhotoHash]) -> Write {
        let refused = |sha256: &&PhotoHash| {
            let row = self.photos.get(*sha256);
            row.is_some_and(|row| matches!(row.state, PhotoState::Refused { .. }))
        };
        Write { drop_photos: photos.iter().filter(refused).cloned().collect(), ..Write::default() }
    }
}

/// The photo that an entry names.
fn named(body: &Body) -> Option<&PhotoHash> {
    match body {
        Body::PhotoTaken(photo) => Some(&photo.sha256),
        _ => None,
    }
}

#[cfg(test)]
#[path = "photo_tests.rs"]
mod tests;
