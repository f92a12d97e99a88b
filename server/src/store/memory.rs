//! A store in memory, for tests: it passes the same suite as the one that ships.
//!
//! What this does not do: survive the process.
use super::{Epoch, EventStore, Fault, MAX_RECORD_BYTES, Numbered, Outcome, StoreError};
use std::sync::{Mutex, MutexGuard};
use tripoise_core::record::Record;
use uuid::Uuid;

/// A store that is gone with the process.
#[derive(Debug)]
pub struct MemoryStore {
    epoch: Epoch,
    kept: Mutex<Kept>,
}

#[derive(Clone, Debug, Default)]
struct Kept {
    records: Vec<Record>,
    conflicts: Vec<Record>,
    closed: bool,
}

impl Default for MemoryStore {
    fn default() -> Self {
        Self { epoch: Epoch(Uuid::new_v4()), kept: Mutex::default() }
    }
}

impl MemoryStore {
    /// A store that holds these records under a new epoch, as after a restore.
    #[must_use]
    pub fn restored(records: Vec<Record>) -> Self {
        let kept = Kept { records, ..Kept::default() };
        Self { kept: Mutex::new(kept), ..Self::default() }
    }

    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.kept.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }
}

impl Kept {
    fn add(&mut self, record: &Record) -> Result<Outcome, StoreError> {
        let bytes = serde_json::to_vec(record)?.len();
        if bytes > MAX_RECORD_BYTES {
            return Err(StoreError::TooLong { id: record.id, bytes, max: MAX_RECORD_BYTES });
        }
        let Some(at) = self.records.iter().position(|kept| kept.id == record.id) else {
            self.records.push(record.clone());
            return Ok(Outcome::Stored { seq: number(self.records.len()) });
        };
        let seq = number(at + 1);
        if self.records[at].same_fact(record) {
            return Ok(Outcome::AlreadyHad { seq });
        }
        if !self.conflicts.contains(record) {
            self.conflicts.push(record.clone());
        }
        Ok(Outcome::Conflict { seq })
    }
}

impl EventStore for MemoryStore {
    fn append(&self, records: &[Record]) -> Result<Vec<Outcome>, StoreError> {
        let mut kept = self.kept();
        if kept.closed {
            return Err(StoreError::Closed);
        }
        let mut next = kept.clone();
        let outcomes = records.iter().map(|record| next.add(record)).collect::<Result<_, _>>()?;
        *kept = next;
        Ok(outcomes)
    }

    fn page(&self, since: u64, limit: usize) -> Result<Vec<Numbered>, StoreError> {
        let kept = self.kept();
        let numbered = kept.records.iter().zip(1..);
        let above = numbered.filter(|(_, seq)| *seq > since).take(limit);
        Ok(above.map(|(event, seq)| Numbered { seq, event: event.clone() }).collect())
    }

    fn len(&self) -> u64 {
        number(self.kept().records.len())
    }

    fn epoch(&self) -> Epoch {
        self.epoch
    }

    fn conflicts(&self) -> Result<Vec<Record>, StoreError> {
        Ok(self.kept().conflicts.clone())
    }

    fn check(&self) -> Result<Vec<Fault>, StoreError> {
        Ok(Vec::new())
    }

    fn close(&self) -> Result<(), StoreError> {
        self.kept().closed = true;
        Ok(())
    }
}

fn number(count: usize) -> u64 {
    u64::try_from(count).unwrap_or(u64::MAX)
}
