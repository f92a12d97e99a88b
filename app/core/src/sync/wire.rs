//! What a device and the server say to each other, in the words that both read and write.
//!
//! `POST /api/v1/events` takes an array of records and answers [`Taken`]; `GET /api/v1/events` answers
//! [`Feed`]. A word of a newer server that this build does not know reads as [`Status::Unknown`].
use crate::ids::EventId;
use crate::photo::{PhotoHash, PhotoKind};
use crate::record::{Hlc, Record};
use crate::world::check::Problem;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use uuid::Uuid;

/// How many records one request may carry, and how many one page of the feed holds at most.
///
/// House choice: 200 records of about 500 bytes are 100 kB, a second on a slow phone line.
pub const MAX_RECORDS: usize = 200;

/// What became of one record.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// Durable now.
    Stored,
    /// The same event was there already.
    AlreadyHad,
    /// Another event has this id; the offered one is kept beside it.
    Conflict,
    /// Not stored; the problems say why.
    Refused,
    /// A word of a newer server.
    #[serde(other)]
    Unknown,
}

/// The answer for one record.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Answered {
    /// As it was sent; null where there was none.
    pub id: Value,
    /// What became of it.
    pub status: Status,
    /// Its place in the feed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seq: Option<u64>,
    /// Why it was refused; empty where another record of the same form was the cause.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub problems: Vec<Problem>,
    /// The clock under which it is kept, where the server set it back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hlc: Option<Hlc>,
}

/// What `POST` answers.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Taken {
    /// Names the store's numbering.
    pub epoch: Uuid,
    /// The number of the last event in the store.
    pub last_seq: u64,
    /// One answer a record, in the order sent.
    pub answers: Vec<Answered>,
}

/// What `POST /api/v1/photos` answers.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct PhotoKept {
    /// Its name.
    pub sha256: PhotoHash,
    /// What kind of file it is.
    pub media: PhotoKind,
    /// How long it is.
    pub bytes: usize,
    /// [`Status::Stored`] or [`Status::AlreadyHad`].
    pub status: Status,
}

/// A record with its place in the feed.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Numbered {
    /// Its place, from 1, without gaps.
    pub seq: u64,
    /// The event.
    pub event: Record,
}

/// What a device asks `GET` with.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct Asked {
    /// The number of the last event that the device has.
    #[serde(default)]
    pub since: u64,
    /// The numbering it knows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub epoch: Option<Uuid>,
    /// The id it has under `since`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last: Option<EventId>,
    /// How many events it wants at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit: Option<usize>,
}

/// What `GET` answers.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Feed {
    /// Names the store's numbering.
    pub epoch: Uuid,
    /// Whether the answer starts from 0 since the numbering is another one than the device knew.
    pub reset: bool,
    /// The events, their numbers without gaps.
    pub events: Vec<Numbered>,
    /// What to ask for next.
    pub next: u64,
    /// Whether there is more now.
    pub more: bool,
    /// The number of the last event in the store.
    pub last_seq: u64,
}
