//! A phone's side of the exchange with the server: what it keeps, what it sends, what it asks for, and
//! what it makes of the answers. Decisions only, as a state machine; nothing here has a network or a clock.
//!
//! The phone keeps [`Held`]: one [`Phone`] row, the [`Waiting`] entries that the server has not been seen
//! to have, and the server's feed in [`Chunk`]s. Whatever happens is told as one [`Write`], which the store
//! puts down whole or not at all; what stands in memory beside it may be lost at any moment.
//!
//! 1. [`Held::record`] numbers what a form said; the entries wait.
//! 2. [`Round::next`] says what to ask the server: push what waits, then pull the feed.
//! 3. [`Held::take_push`] and [`Held::take_pull`] read the answers.
//! 4. [`PhotoRound::next`] says which photo to send once the entries are through; [`Held::take_photo`] reads that
//!    answer.
//!
//! **Restores.** Every answer carries the store's epoch. When that changes, or the server says that the
//! numbering is another, the phone begins a new *generation*: cursor 0, and what was acknowledged waits
//! again. The feed of the generations before stays, and counts, until the new feed has been followed to its
//! end; then whatever they hold and the new feed does not is offered again, the phone's own events and
//! others' alike. Answers to questions of an earlier generation are not listened to. So an event is lost
//! only when no phone and no store holds it any more.
//!
//! **Two tabs** share the store. Each function here reads what the store holds inside the very transaction
//! that writes, so tabs take turns; an answer to a question that another tab has meanwhile had answered
//! changes nothing.
//!
//! What this does not do: make ids, read clocks, or judge entries; the server has the last word on those.

mod held;
mod number;
mod photos;
mod pull;
mod push;
mod round;
pub mod wire;

#[cfg(test)]
mod tests;

pub use held::{Held, Write};
pub use number::Draft;
pub use photos::{PhotoAnswer, PhotoOffer, PhotoRound, PhotoRow, PhotoState};
pub use pull::{Pull, Reads};
pub use push::Push;
pub use round::{Question, Round};

use crate::ids::{DeviceId, EventId};
use crate::record::{Hlc, Record};
use crate::world::check::Problem;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// What a phone knows of itself and of how far it has followed the server: one row of its store.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Phone {
    /// Who records here.
    pub device: DeviceId,
    /// The number of the newest event recorded here.
    pub device_seq: u64,
    /// The newest clock issued or seen here.
    pub hlc: Hlc,
    /// The newest clock under which the server keeps an event: never more than a day ahead of it.
    pub hlc_kept: Hlc,
    /// The numbering that the cursor belongs to; none before the server first answered.
    pub epoch: Option<Uuid>,
    /// Counts the numberings seen here. A question carries it, and its answer counts only under it.
    pub generation: u64,
    /// Generations before this one have been left behind; their feeds are deleted.
    pub oldest_generation: u64,
    /// The number of the last event of the feed that is here.
    pub cursor: u64,
    /// The id under the cursor.
    pub last: Option<EventId>,
    /// Whether a feed has been followed to its end, so that the phone knows the whole studio.
    #[serde(default)]
    pub whole: bool,
}

impl Phone {
    /// A phone that has recorded and seen nothing.
    #[must_use]
    pub fn new(device: DeviceId) -> Self {
        Self {
            device,
            device_seq: 0,
            hlc: Hlc::default(),
            hlc_kept: Hlc::default(),
            epoch: None,
            generation: 0,
            oldest_generation: 0,
            cursor: 0,
            last: None,
            whole: false,
        }
    }

    /// Whether feeds of earlier numberings are still held.
    #[must_use]
    pub fn is_mending(&self) -> bool {
        self.oldest_generation < self.generation
    }
}

/// An entry that the server's feed has not been seen to hold.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Waiting {
    /// The entry.
    pub record: Record,
    /// The first entry of its form, where the form made several: they are stored together or not at all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub form: Option<EventId>,
    /// How far it has come.
    pub state: WaitState,
}

/// How far a waiting entry has come.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WaitState {
    /// To be sent.
    ToSend,
    /// The server has it under this number; it leaves when the feed brings it.
    Acknowledged {
        /// Its place in the feed.
        seq: u64,
    },
    /// The server refused it. It is offered again when the feed has brought something new, since what it
    /// needed may have come; until then it is shown and not counted.
    Refused {
        /// Why; empty where another entry of the same form was the cause.
        problems: Vec<Problem>,
        /// The generation in which it was refused.
        generation: u64,
        /// The cursor at which it was refused.
        cursor: u64,
    },
    /// The server has another event under this id. Both are kept; this one is shown and not counted.
    Conflict,
}

impl Waiting {
    /// Whether the phone's own pages count it: it is not refused and contradicts nothing.
    #[must_use]
    pub fn counts(&self) -> bool {
        matches!(self.state, WaitState::ToSend | WaitState::Acknowledged { .. })
    }

    /// Whether it is to be sent now.
    fn is_due(&self, phone: &Phone) -> bool {
        match self.state {
            WaitState::ToSend => true,
            WaitState::Refused { generation, cursor, .. } => {
                (generation, cursor) != (phone.generation, phone.cursor)
            }
            WaitState::Acknowledged { .. } | WaitState::Conflict => false,
        }
    }
}

/// Where a [`Chunk`] stands: its generation, then its place in the feed.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, Deserialize)]
pub struct ChunkKey {
    /// The generation of the feed.
    pub generation: u64,
    /// Chunk `k` holds the numbers from `k × CHUNK + 1` to `(k + 1) × CHUNK`.
    pub index: u64,
}

/// How many records a chunk of the feed holds. House choice: 200 of about 500 bytes are 100 kB; one more
/// event rewrites one chunk, and 50,000 events are read in 250 rows.
pub const CHUNK: u64 = 200;

/// A piece of the server's feed: records in the order of their numbers, without gaps.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Chunk {
    /// Its place.
    pub key: ChunkKey,
    /// The records.
    pub records: Vec<Record>,
}
