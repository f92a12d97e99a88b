//! Following the server's feed, and mending a server that was set back.
use super::wire::{Asked, Feed, Numbered};
use super::{CHUNK, Chunk, ChunkKey, Held, Phone, WaitState, Waiting, Write};
use crate::ids::EventId;
use crate::record::Record;
use std::collections::{BTreeMap, BTreeSet};

/// A question to `GET`.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Pull {
    /// The generation in which it was asked.
    pub generation: u64,
    /// The query.
    pub asked: Asked,
}

/// Which chunks [`Held::take_pull`] must be given, beside the phone's row and the waiting entries.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Reads {
    /// The chunk that the next event goes into, where it is there.
    Tail(ChunkKey),
    /// All of every generation: the feed has been followed to its end and is compared with the old ones.
    All,
}

impl Phone {
    /// What to ask the feed with.
    #[must_use]
    pub fn next_pull(&self) -> Pull {
        let asked = Asked { since: self.cursor, epoch: self.epoch, last: self.last, limit: None };
        Pull { generation: self.generation, asked }
    }

    /// Which chunks reading this answer takes.
    #[must_use]
    pub fn reads(&self, feed: &Feed) -> Reads {
        let turns = feed.reset || self.epoch.is_some_and(|known| known != feed.epoch);
        if (self.is_mending() || turns) && !feed.more {
            return Reads::All;
        }
        Reads::Tail(ChunkKey { generation: self.generation, index: self.cursor / CHUNK })
    }
}

impl Held {
    /// What the answer to `pull` changes.
    #[must_use]
    pub fn take_pull(&self, pull: &Pull, feed: &Feed) -> Write {
        let phone = &self.phone;
        // Of an earlier numbering, or another tab has had the same page already.
        if pull.generation != phone.generation || pull.asked.since != phone.cursor {
            return Write::default();
        }
        let turned = feed.reset || phone.epoch.is_some_and(|known| known != feed.epoch);
        if !turned && !self.tail_is_whole() {
            return self.begin_again(feed.epoch);
        }
        let write = if turned { self.begin_again(feed.epoch) } else { Write::default() };
        let mut now = self.clone();
        now.apply(&write);
        now.phone.epoch = Some(feed.epoch);
        let dense = feed.events.iter().zip(now.phone.cursor + 1..).all(|(one, seq)| one.seq == seq);
        if !dense {
            // Not the page that was asked for: the question is asked again.
            return write;
        }
        let mut changed = write.put_waiting.into_iter().map(|w| (w.record.id, w)).collect();
        let mut drop_waiting = Vec::new();
        now.meet_own(&feed.events, &mut changed, &mut drop_waiting);
        let put_chunks = now.extend(&feed.events);
        now.doubt(&mut changed);
        now.phone.whole |= !feed.more;
        let mut drop_generations_before = None;
        if !feed.more && now.phone.is_mending() {
            now.mend(&mut changed);
            now.phone.oldest_generation = now.phone.generation;
            drop_generations_before = Some(now.phone.generation);
        }
        let put_waiting = changed.into_values().collect();
        let phone = (now.phone != self.phone).then_some(now.phone);
        let put_photos = write.put_photos;
        Write {
            phone,
            put_waiting,
            drop_waiting,
            put_photos,
            put_chunks,
            drop_generations_before,
            ..Write::default()
        }
    }

    /// Lets go of the waiting entries that the feed has brought, and moves the phone's counters on.
    fn meet_own(
        &mut self,
        events: &[Numbered],
        changed: &mut BTreeMap<EventId, Waiting>,
        drop_waiting: &mut Vec<EventId>,
    ) {
        for Numbered { event, .. } in events {
            let phone = &mut self.phone;
            phone.hlc = phone.hlc.max(event.hlc);
            phone.hlc_kept = phone.hlc_kept.max(event.hlc);
            if event.device == phone.device {
                phone.device_seq = phone.device_seq.max(event.device_seq);
            }
            let Some(entry) = self.waiting.get(&event.id) else { continue };
            if event.same_fact(&entry.record) {
                changed.remove(&event.id);
                drop_waiting.push(event.id);
            } else if entry.state != WaitState::Conflict {
                changed.insert(event.id, Waiting { state: WaitState::Conflict, ..entry.clone() });
            }
        }
        drop_waiting.iter().for_each(|id| drop(self.waiting.remove(id)));
    }

    /// Whether the feed's last chunk is as long as the cursor says; else the copy has a hole.
    fn tail_is_whole(&self) -> bool {
        let Phone { generation, cursor, .. } = self.phone;
        let key = ChunkKey { generation, index: cursor / CHUNK };
        let n_there = self.chunks.get(&key).map_or(0, Vec::len);
        u64::try_from(n_there).is_ok_and(|n_there| n_there == cursor % CHUNK)
    }

    /// An entry whose number the feed has passed without bringing it is not on the server after all: the
    /// store was set back without a new epoch. It waits again.
    fn doubt(&self, changed: &mut BTreeMap<EventId, Waiting>) {
        for entry in self.waiting.values() {
            if matches!(entry.state, WaitState::Acknowledged { seq } if seq <= self.phone.cursor) {
                changed.insert(entry.record.id, Waiting { state: WaitState::ToSend, ..entry.clone() });
            }
        }
    }

    /// The feed with these events at its end: the chunks that change.
    fn extend(&mut self, events: &[Numbered]) -> Vec<Chunk> {
        let generation = self.phone.generation;
        let mut touched = BTreeSet::new();
        for Numbered { seq, event } in events {
            let key = ChunkKey { generation, index: (seq - 1) / CHUNK };
            self.chunks.entry(key).or_default().push(event.clone());
            touched.insert(key);
            (self.phone.cursor, self.phone.last) = (*seq, Some(event.id));
        }
        let chunk = |key| Chunk { key, records: self.chunks.get(&key).cloned().unwrap_or_default() };
        touched.into_iter().map(chunk).collect()
    }

    /// Whatever the feeds of earlier numberings hold and the new one does not waits to be offered again.
    fn mend(&self, changed: &mut BTreeMap<EventId, Waiting>) {
        let known: BTreeSet<EventId> = self.feed(self.phone.generation).map(|record| record.id).collect();
        let older = self.chunks.iter().rev().filter(|(key, _)| key.generation < self.phone.generation);
        let lost = |record: &&Record| !known.contains(&record.id) && !self.waiting.contains_key(&record.id);
        for record in older.flat_map(|(_, records)| records).filter(lost) {
            let again = || Waiting { record: record.clone(), form: None, state: WaitState::ToSend };
            changed.entry(record.id).or_insert_with(again);
        }
    }
}
