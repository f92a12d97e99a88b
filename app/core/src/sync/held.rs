//! What a phone's store holds, and the one form in which it changes.
use super::{Chunk, ChunkKey, Phone, PhotoRow, WaitState, Waiting};
use crate::ids::EventId;
use crate::photo::PhotoHash;
use crate::record::Record;
use std::collections::{BTreeMap, BTreeSet};

/// What the store holds, or as much of it as a decision needs.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Held {
    /// The phone's own row.
    pub phone: Phone,
    /// The waiting entries, all of them.
    pub waiting: BTreeMap<EventId, Waiting>,
    /// The photos that are on this phone, all of them, without their files.
    pub photos: BTreeMap<PhotoHash, PhotoRow>,
    /// The feed, by generation and place: all of it, or what [`Reads`](super::Reads) names.
    pub chunks: BTreeMap<ChunkKey, Vec<Record>>,
}

/// A change of what the store holds: made whole in one transaction, or not at all.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Write {
    /// The new row of the phone.
    pub phone: Option<Phone>,
    /// Waiting entries to put down, by their ids.
    pub put_waiting: Vec<Waiting>,
    /// Waiting entries to delete.
    pub drop_waiting: Vec<EventId>,
    /// Photos to put down; the file of one that is new goes with its row.
    pub put_photos: Vec<PhotoRow>,
    /// Photos to delete, with their files.
    pub drop_photos: Vec<PhotoHash>,
    /// Chunks to put down.
    pub put_chunks: Vec<Chunk>,
    /// Delete the chunks of every generation before this one.
    pub drop_generations_before: Option<u64>,
}

impl Write {
    /// Whether there is nothing to write.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl Held {
    /// Nothing but the phone's row.
    #[must_use]
    pub fn new(phone: Phone) -> Self {
        Self { phone, waiting: BTreeMap::new(), photos: BTreeMap::new(), chunks: BTreeMap::new() }
    }

    /// Makes a change in this image of the store.
    pub fn apply(&mut self, write: &Write) {
        if let Some(phone) = &write.phone {
            self.phone.clone_from(phone);
        }
        for id in &write.drop_waiting {
            self.waiting.remove(id);
        }
        for waiting in &write.put_waiting {
            self.waiting.insert(waiting.record.id, waiting.clone());
        }
        for sha256 in &write.drop_photos {
            self.photos.remove(sha256);
        }
        for row in &write.put_photos {
            self.photos.insert(row.sha256.clone(), row.clone());
        }
        if let Some(first) = write.drop_generations_before {
            self.chunks.retain(|key, _| key.generation >= first);
        }
        for chunk in &write.put_chunks {
            self.chunks.insert(chunk.key, chunk.records.clone());
        }
    }

    /// Every record that counts on this phone: the feed's, newest generation first, then what waits. The
    /// fold takes the first of each id, so the server's word on a clock goes before the phone's.
    pub fn records(&self) -> impl Iterator<Item = &Record> {
        let generations = self.chunks.keys().map(|key| key.generation).collect::<BTreeSet<_>>();
        let feed = generations.into_iter().rev().flat_map(|generation| self.feed(generation));
        feed.chain(self.waiting.values().filter(|entry| entry.counts()).map(|entry| &entry.record))
    }

    /// The feed of one generation, in the order of its numbers.
    pub(super) fn feed(&self, generation: u64) -> impl Iterator<Item = &Record> {
        let (first, last) = (ChunkKey { generation, index: 0 }, ChunkKey { generation, index: u64::MAX });
        self.chunks.range(first..=last).flat_map(|(_, records)| records)
    }

    /// How many entries are on this phone and not known to be on the server.
    #[must_use]
    pub fn n_waiting(&self) -> usize {
        self.waiting.values().filter(|entry| entry.state == WaitState::ToSend).count()
    }

    /// The entries that the server did not take, in the order recorded.
    #[must_use]
    pub fn not_taken(&self) -> Vec<&Waiting> {
        let mut found: Vec<&Waiting> = self.waiting.values().filter(|entry| !entry.counts()).collect();
        found.sort_by_key(|entry| entry.record.order());
        found
    }

    /// Puts refused or contradicting entries away for good: a person looked at them and said so. Others are
    /// left alone.
    #[must_use]
    pub fn put_away(&self, ids: &[EventId]) -> Write {
        let gone = |id: &&EventId| self.waiting.get(id).is_some_and(|entry| !entry.counts());
        Write { drop_waiting: ids.iter().filter(gone).copied().collect(), ..Write::default() }
    }

    /// A new numbering: the cursor starts again, and what was acknowledged under the old one waits again,
    /// photos too.
    pub(super) fn begin_again(&self, epoch: uuid::Uuid) -> Write {
        let mut phone = self.phone.clone();
        phone.generation += 1;
        (phone.epoch, phone.cursor, phone.last) = (Some(epoch), 0, None);
        let again =
            self.waiting.values().filter(|entry| matches!(entry.state, WaitState::Acknowledged { .. }));
        let put_waiting = again.map(|entry| Waiting { state: WaitState::ToSend, ..entry.clone() }).collect();
        Write { phone: Some(phone), put_waiting, put_photos: self.photos_again(), ..Write::default() }
    }
}
