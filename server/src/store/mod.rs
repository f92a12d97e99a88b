//! The store: what was recorded, kept so that a power cut loses nothing that was acknowledged.
//!
//! The truth is an append-only [`journal`] of JSON lines that a person can read; beside it stands an
//! index in an embedded database ([`index`]), which can be deleted at any time and is built again from
//! the journal. This is the only folder that names a database.
//!
//! What this does not do: understand events. A body is opaque here; the fold is `tripoise_core::world`.
//!
//! Start reading at [`EventStore`], then [`JournalStore`], [`open`](JournalStore::open) and [`writer`].

pub mod conflicts;
pub mod error;
pub mod index;
pub mod jobs;
pub mod journal;
pub mod line;
pub mod lock;
pub mod manifest;
pub mod memory;
pub mod photos;
pub mod repair;
pub mod segment;
pub mod verify;
pub mod writer;

mod journal_store;
mod open;

#[cfg(test)]
mod faults;
#[cfg(test)]
mod healing;
#[cfg(test)]
mod suite;
#[cfg(test)]
mod writing;

pub use error::StoreError;
pub use journal_store::JournalStore;
pub use memory::MemoryStore;
pub use open::Opened;
pub use tripoise_core::sync::wire::Numbered;
pub use writer::{Draft, Recorded, StoreHandle};

use serde::{Deserialize, Serialize};
use std::fmt;
use tripoise_core::record::Record;
use uuid::Uuid;

/// The longest record, in bytes of JSON.
///
/// House choice: the index's engine wants values under 32 KiB (32,768 bytes); 30,000 leaves room for its
/// own framing. The longest event that the pages make, a grid of 100 readings, is about 12,000.
pub const MAX_RECORD_BYTES: usize = 30_000;

/// Names one numbering of the events; a new one means that sequence numbers have started again.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Epoch(pub Uuid);

impl fmt::Display for Epoch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// What became of one record.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Outcome {
    /// Durable now, under this number.
    Stored {
        /// Its place in the journal, from 1, without gaps.
        seq: u64,
    },
    /// The same event was here already, under this number.
    AlreadyHad {
        /// Its place in the journal.
        seq: u64,
    },
    /// Another event with this id is here under this number. The new one is kept beside it, and shown.
    Conflict {
        /// The place of the event that stays.
        seq: u64,
    },
}

/// Something that [`EventStore::check`] found wrong.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fault {
    /// Which part: `journal/events-000001.txt line 12`, `index`.
    pub part: String,
    /// What is wrong and what to do.
    pub what: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.part, self.what)
    }
}

/// A place where events are kept. One suite of tests runs on every engine.
pub trait EventStore: Send + Sync {
    /// Keeps the records; when it returns, what is `Stored` survives a power cut.
    ///
    /// # Returns  One outcome per record, in the order given.
    /// # Errors   Nothing of the batch is kept: a full disk, a record that is too long, a closed store.
    fn append(&self, records: &[Record]) -> Result<Vec<Outcome>, StoreError>;

    /// Up to `limit` records with a number above `since`, in journal order.
    ///
    /// # Errors   The index cannot be read and could not be built again.
    fn page(&self, since: u64, limit: usize) -> Result<Vec<Numbered>, StoreError>;

    /// The number of the last record; 0 when there is none.
    fn len(&self) -> u64;

    /// Whether there is no record.
    fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The numbering in force.
    fn epoch(&self) -> Epoch;

    /// The records that were offered under an id which another event has: kept, never folded.
    ///
    /// # Errors   The file that holds them cannot be read.
    fn conflicts(&self) -> Result<Vec<Record>, StoreError>;

    /// Reads everything again and lists what is wrong.
    ///
    /// # Errors   The store cannot be read at all.
    fn check(&self) -> Result<Vec<Fault>, StoreError>;

    /// Writes what is still in memory and lets go of the files. Appending afterwards is an error.
    ///
    /// # Errors   The last write failed; acknowledged events are in the journal all the same.
    fn close(&self) -> Result<(), StoreError>;
}

/// Every record of the store, in journal order.
///
/// # Errors   As [`EventStore::page`].
pub fn read_all(store: &dyn EventStore) -> Result<Vec<Record>, StoreError> {
    // House choice: 1,000 records of about 500 bytes are half a megabyte at a time.
    const PAGE: usize = 1_000;
    let mut all = Vec::new();
    let mut since = 0;
    loop {
        let page = store.page(since, PAGE)?;
        let Some(last) = page.last() else { return Ok(all) };
        since = last.seq;
        all.extend(page.into_iter().map(|numbered| numbered.event));
    }
}
