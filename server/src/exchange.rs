//! What a device gets for what it sends and asks: the decisions behind `/api/v1/events`, without HTTP.
//!
//! [`Offer`] reads records and words the answers; [`feed`] makes a page of the feed. Both work on any
//! engine, so that the simulation of phones and server runs the very code that serves them.
//!
//! What this does not do: store anything, or know about requests.
use crate::store::jobs::Together;
use crate::store::writer::Answer;
use crate::store::{EventStore, MAX_RECORD_BYTES, Outcome, StoreError};
use jiff::Timestamp;
use serde_json::{Value, json};
use tripoise_core::record::{Hlc, Record};
use tripoise_core::sync::wire::{Answered, Asked, Feed, MAX_RECORDS, Status};
use tripoise_core::world::check::Problem;
use uuid::Uuid;

/// How far a device's clock may be ahead of the server's. House choice: a day, beyond any time zone
/// mistaken for another.
const MAX_AHEAD_MS: i64 = 24 * 60 * 60 * 1000;

/// Records as they were offered: those that read, and the answers so far.
#[derive(Debug, Default)]
pub struct Offer {
    answers: Vec<Answered>,
    /// Which of the answers are still to be filled in.
    open: Vec<usize>,
    accepted: Vec<Record>,
}

impl Offer {
    /// Reads what was sent, with clocks set back to `now_ms` where they run more than a day ahead.
    #[must_use]
    pub fn read(sent: Vec<Value>, now_ms: i64, together: Together) -> Self {
        let mut offer = Self::default();
        for value in sent {
            let id = value.get("id").cloned().unwrap_or(Value::Null);
            let mut one =
                Answered { id, status: Status::Refused, seq: None, problems: Vec::new(), hlc: None };
            match read(value) {
                Ok(record) => {
                    let (record, hlc) = set_clock_back(record, now_ms);
                    offer.open.push(offer.answers.len());
                    offer.accepted.push(record);
                    one.hlc = hlc;
                }
                Err(problem) => one.problems.push(problem),
            }
            offer.answers.push(one);
        }
        if together == Together::AllOrNone && offer.open.len() < offer.answers.len() {
            // The others are refused for the bad one's sake.
            offer.answers.iter_mut().for_each(|one| one.hlc = None);
            (offer.open, offer.accepted) = (Vec::new(), Vec::new());
        }
        offer
    }

    /// The records to append.
    pub fn take_accepted(&mut self) -> Vec<Record> {
        std::mem::take(&mut self.accepted)
    }

    /// The answers, once the writer has answered for each accepted record.
    #[must_use]
    pub fn answered(mut self, given: Vec<Answer>) -> Vec<Answered> {
        for (idx, answer) in self.open.into_iter().zip(given) {
            fill(&mut self.answers[idx], answer);
        }
        self.answers
    }
}

fn fill(one: &mut Answered, answer: Answer) {
    let (status, seq) = match answer {
        Answer::Kept(Outcome::Stored { seq }) => (Status::Stored, seq),
        Answer::Kept(Outcome::AlreadyHad { seq }) => (Status::AlreadyHad, seq),
        Answer::Kept(Outcome::Conflict { seq }) => (Status::Conflict, seq),
        Answer::Refused(problems) => {
            (one.problems, one.hlc) = (problems, None);
            return;
        }
    };
    (one.status, one.seq) = (status, Some(seq));
    if status != Status::Stored {
        // The event that is there was set back when it came; the feed has its clock.
        one.hlc = None;
    }
}

/// Reads a record and checks what the fold does not look at.
fn read(value: Value) -> Result<Record, Problem> {
    let n_bytes = value.to_string().len();
    if n_bytes > MAX_RECORD_BYTES {
        let cause = format!("this event is {n_bytes} bytes long; at most {MAX_RECORD_BYTES} are kept");
        return Err(Problem::new("", cause));
    }
    let record: Record = serde_json::from_value(value.clone())
        .map_err(|cause| Problem::new(culprit(&value), cause.to_string()))?;
    if record.device_seq == 0 {
        return Err(Problem::new("device_seq", "a device counts its events from 1"));
    }
    let named = record.kind.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'_');
    // House choice: 64 bytes; the longest kind so far has 16.
    if record.kind.is_empty() || record.kind.len() > 64 || !named {
        return Err(Problem::new("kind", "a kind is up to 64 lower-case letters and underscores"));
    }
    if !record.body.is_object() {
        return Err(Problem::new("body", "a body is a JSON object"));
    }
    Ok(record)
}

/// The field of the envelope that does not read; empty when it is not a single one.
fn culprit(value: &Value) -> &'static str {
    const FIELDS: [&str; 9] =
        ["id", "device", "device_seq", "hlc", "hlc_claimed", "observed_at", "corrects", "kind", "schema"];
    let fine = json!({
        "id": Uuid::nil(), "device": Uuid::nil(), "device_seq": 1, "hlc": Hlc(0),
        "observed_at": Timestamp::UNIX_EPOCH, "kind": "note_added", "schema": 1, "body": {},
    });
    let spoils = |field: &&str| {
        let mut fine = fine.clone();
        fine[*field] = value.get(*field).cloned().unwrap_or(Value::Null);
        serde_json::from_value::<Record>(fine).is_err()
    };
    FIELDS.into_iter().find(spoils).unwrap_or("")
}

/// The record as it is kept, and the clock it is kept under where that is not the one sent.
fn set_clock_back(mut record: Record, now_ms: i64) -> (Record, Option<Hlc>) {
    if record.hlc.ms() <= now_ms.saturating_add(MAX_AHEAD_MS) {
        return (record, None);
    }
    let kept = Hlc::at_ms(now_ms);
    record.hlc_claimed.get_or_insert(record.hlc);
    record.hlc = kept;
    (record, Some(kept))
}

/// A page of the feed.
///
/// # Errors   The store cannot be read.
pub fn feed(store: &dyn EventStore, asked: &Asked) -> Result<Feed, StoreError> {
    let (epoch, last_seq) = (store.epoch().0, store.len());
    let other_epoch = asked.epoch.is_some_and(|known| known != epoch);
    // A device that is ahead of the store has seen numbers that a restore took away.
    let ahead = asked.since > last_seq;
    let reset = other_epoch || ahead || other_event(store, asked)?;
    let since = if reset { 0 } else { asked.since };
    let events = store.page(since, asked.limit.unwrap_or(MAX_RECORDS).clamp(1, MAX_RECORDS))?;
    let next = events.last().map_or(since, |last| last.seq);
    Ok(Feed { epoch, reset, events, next, more: next < last_seq, last_seq })
}

/// Whether the device has another event under its number than the store.
fn other_event(store: &dyn EventStore, asked: &Asked) -> Result<bool, StoreError> {
    let (Some(last), Some(before)) = (asked.last, asked.since.checked_sub(1)) else { return Ok(false) };
    Ok(store.page(before, 1)?.first().is_none_or(|kept| kept.event.id != last))
}
