//! The stored form of an event: an envelope around a body that may be of a kind this build cannot read.
//!
//! A [`Record`] is what the journal holds (one JSON line each), what the export writes and what phones
//! and server exchange. Its body stays plain JSON, so that an unreadable event is kept, counted and
//! shown instead of stopping the rest. [`crate::event`] gives bodies their types.
use crate::ids::{DeviceId, EventId};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::fmt;

/// A hybrid logical clock: 48 bits of milliseconds since 1970, then 16 bits of counter.
///
/// Written in JSON as 16 hexadecimal digits, since a JSON number cannot carry 64 bits everywhere; the
/// text sorts as the number does.
///
/// # Source   Kulkarni et al., Logical Physical Clocks, 2014 (from memory).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Hlc(pub u64);

impl Hlc {
    /// The clock reading at `ms` milliseconds since 1970 (clamped to 48 bits) with counter 0.
    #[must_use]
    pub fn at_ms(ms: i64) -> Self {
        let ms = u64::try_from(ms).unwrap_or(0).min((1 << 48) - 1);
        Self(ms << 16)
    }

    /// Milliseconds since 1970.
    #[must_use]
    pub fn ms(self) -> i64 {
        i64::try_from(self.0 >> 16).unwrap_or(i64::MAX)
    }

    /// The next reading on a device that last issued or saw `self` and whose wall clock shows `now_ms`:
    /// the wall clock where it is ahead, otherwise one more on the counter.
    #[must_use]
    pub fn tick(self, now_ms: i64) -> Self {
        Self::at_ms(now_ms).max(Self(self.0.saturating_add(1)))
    }
}

impl fmt::Display for Hlc {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:016x}", self.0)
    }
}

impl Serialize for Hlc {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Hlc {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        let well_formed = text.len() == 16 && text.bytes().all(|b| b.is_ascii_hexdigit());
        match u64::from_str_radix(&text, 16) {
            Ok(value) if well_formed => Ok(Self(value)),
            _ => Err(serde::de::Error::custom(format!(
                "{text:?} is not a clock reading; 16 hexadecimal digits are wanted"
            ))),
        }
    }
}

/// Where an event stands in the total order of the fold: (hlc, device, `device_seq`).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Order(pub Hlc, pub DeviceId, pub u64);

/// One event as stored and exchanged. Never edited: a correction is a new record that names this one.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Record {
    /// `UUIDv7`, made where the event was recorded.
    pub id: EventId,
    /// Who recorded it.
    pub device: DeviceId,
    /// Counts the device's own events from 1, without gaps.
    pub device_seq: u64,
    /// When, in the order that the fold uses.
    pub hlc: Hlc,
    /// The clock as the device sent it, where it ran more than a day ahead and the server set `hlc` back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hlc_claimed: Option<Hlc>,
    /// When it was seen, by the wall clock of whoever recorded it.
    pub observed_at: Timestamp,
    /// The event that this one replaces, where it is a correction.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<EventId>,
    /// `shelf_measured` and so on.
    pub kind: String,
    /// The version of that kind's body.
    pub schema: u32,
    /// The body, not yet typed.
    pub body: Value,
}

impl Record {
    /// The record's place in the fold.
    #[must_use]
    pub fn order(&self) -> Order {
        Order(self.hlc, self.device, self.device_seq)
    }

    /// Whether two records state the same fact. A clock that the server set back counts as it was sent.
    #[must_use]
    pub fn same_fact(&self, offered: &Self) -> bool {
        if self == offered {
            return true;
        }
        let as_sent = |record: &Self| {
            let mut record = record.clone();
            record.hlc = record.hlc_claimed.take().unwrap_or(record.hlc);
            record
        };
        as_sent(self) == as_sent(offered)
    }
}
