//! One suite for every engine.
use super::{EventStore, JournalStore, MemoryStore, Outcome, StoreError};
use tripoise_core::ids::{DeviceId, EventId};
use tripoise_core::record::{Hlc, Record};
use uuid::Uuid;

/// An event that differs from every other number's.
pub fn record(number: u64) -> Record {
    Record {
        id: EventId(Uuid::from_u128(u128::from(number))),
        device: DeviceId(Uuid::from_u128(1 << 100)),
        device_seq: number,
        hlc: Hlc(number << 16),
        hlc_claimed: None,
        observed_at: jiff::Timestamp::UNIX_EPOCH,
        corrects: None,
        kind: "note_added".to_owned(),
        schema: 1,
        body: serde_json::json!({ "text": format!("number {number}: é\n\"quoted\"") }),
    }
}
